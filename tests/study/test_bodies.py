"""Whole bodies: boxes against boxes, bodies against the room, and slips of the tape measure."""

from __future__ import annotations

import copy
import itertools
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from lumen.light.geometry import Box
from lumen.scenario.document import parse, plain
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.scenario.room import Furniture
from lumen.study.cautions import Caution, cautions
from lumen.study.lighting.maps import lighting
from lumen.study.load.electrics import electrics, strip_profiles
from lumen.study.scene.bodies import beyond_room, corners_of, overlap
from lumen.study.scene.surfaces import furniture_box
from lumen.words.cautions import caution_words
from tests.study.small_plans import put

BODIES = range(85, 94)
PLAIN = Path(__file__).parents[2] / "scenarios/plain-pair.json"


def piece(
    x: float, y: float, size: tuple[float, float, float], turn: float = 0.0, lean: float = 0.0
) -> Box:
    """A box of furniture on the floor."""
    return furniture_box(
        Furniture(id="p", kind="other", at_m=(x, y, 0), size_m=size, turn_deg=turn, lean_deg=lean)
    )


def meet_by_linear_program(one: Box, other: Box) -> bool:
    """Whether two boxes share a point: a feasible point of all twelve half-spaces."""
    rows, bounds = [], []
    for box in (one, other):
        for axis, half in zip(box.axes, box.half_size, strict=True):
            middle = float(axis @ box.centre)
            rows += [axis, -axis]
            bounds += [middle + half, half - middle]
    found = linprog(np.zeros(3), A_ub=np.array(rows), b_ub=np.array(bounds), bounds=(None, None))
    return bool(found.success)


@given(
    x=st.floats(-1.2, 1.2),
    y=st.floats(-1.2, 1.2),
    turn=st.floats(-180, 180),
    lean=st.floats(-45, 45),
    other=st.floats(-180, 180),
)
@settings(max_examples=150, deadline=None)
def test_boxes_meet_when_some_point_lies_in_both(
    x: float, y: float, turn: float, lean: float, other: float
) -> None:
    """Fifteen axes say the same as a linear program for a point in both boxes."""
    one = piece(0, 0, (1.0, 0.4, 0.8), turn, lean)
    two = piece(x, y, (0.7, 0.3, 1.2), other, -lean / 2)
    found = overlap(one, two)
    if found is not None and found.depth_m < 1e-6:
        return  # they touch: either answer is right
    assert (found is not None) == meet_by_linear_program(one, two)


@given(
    x=st.floats(-0.8, 0.8),
    y=st.floats(-0.8, 0.8),
    turn=st.floats(-90, 90),
    lean=st.floats(-30, 30),
)
@settings(max_examples=80, deadline=None)
def test_the_way_out_is_a_way_out_and_not_longer_than_needed(
    x: float, y: float, turn: float, lean: float
) -> None:
    """Moved by the depth the boxes are apart; moved by a little less they are not."""
    one, two = piece(0, 0, (1.0, 0.4, 0.8), turn, lean), piece(x, y, (0.7, 0.3, 1.2))
    found = overlap(one, two)
    if found is None or found.depth_m < 1e-3:
        return

    def after(share: float) -> Box:
        shift = found.way * found.depth_m * share
        return Box(one.centre + shift, one.half_size, one.axes)

    left = overlap(after(1.001), two)
    assert left is None or left.depth_m < 1e-6
    assert overlap(after(0.99), two) is not None


def test_a_leaning_board_meets_the_wall_by_its_height_times_the_sine() -> None:
    """A board of 1.1 m that leans 5 degrees on its back foot reaches h sin 5 = 96 mm further."""
    room = load(examples()[0]).room.model_copy(
        update={"outline_m": ((0, 0), (4, 0), (4, 3), (0, 3)), "slopes": (), "openings": ()}
    )
    upright = corners_of(piece(2.0, 2.97, (1.6, 0.06, 1.1)))
    leaning = corners_of(piece(2.0, 2.97, (1.6, 0.06, 1.1), lean=5.0))
    assert [part.by_m for part in beyond_room(room, upright) if part.by_m > 1e-9] == []
    (only,) = [part for part in beyond_room(room, leaning) if part.by_m > 1e-9]
    assert only.by_m == pytest.approx(1.1 * np.sin(np.radians(5.0)), abs=1e-6)


def test_a_corner_of_an_l_room_that_stands_in_a_wardrobe_is_found() -> None:
    """No corner of the wardrobe is outside the room, and still the room's own corner is in it."""
    outline = ((0, 0), (4, 0), (4, 2), (2, 2), (2, 4), (0, 4))
    room = load(examples()[0]).room.model_copy(
        update={"outline_m": outline, "slopes": (), "openings": ()}
    )
    turned = corners_of(piece(1.9, 1.9, (1.6, 0.5, 2.0), turn=-45.0))
    found = beyond_room(room, turned)
    assert max(part.by_m for part in found) == pytest.approx(0.25 - 0.1414, abs=0.01)


# -- slips of the tape measure ---------------------------------------------------------------------


def raised(data: dict[str, Any]) -> list[Caution]:
    """Cautions about bodies that a plan earns."""
    scenario = parse(data)
    return [c for c in cautions(scenario, electrics(scenario)) if c.rule in BODIES]


def _of(plan: dict[str, Any], name: str) -> dict[str, Any]:
    sections = ("furniture", "people", "lights", "strips", "supply")
    items = [item for section in sections for item in plan[section]]
    items += plan["room"]["openings"]
    return next(item for item in items if item["id"] == name)


def _by(name: str, key: str, *by: float) -> Any:
    def slip(plan: dict[str, Any]) -> None:
        item = _of(plan, name)
        item[key] = [round(a + b, 6) for a, b in zip(item[key], by, strict=True)]

    return slip


def _to(name: str, key: str, value: Any) -> Any:
    def slip(plan: dict[str, Any]) -> None:
        _of(plan, name)[key] = value

    return slip


def _bed(*by: float) -> Any:
    def slip(plan: dict[str, Any]) -> None:
        for name in ("bed frame", "mattress"):
            _by(name, "at_m", *by)(plan)

    return slip


def _strip(*by: float) -> Any:
    def slip(plan: dict[str, Any]) -> None:
        strip = _of(plan, "glow strip")
        strip["path_m"] = [[a + b for a, b in zip(p, by, strict=True)] for p in strip["path_m"]]

    return slip


def _size(name: str, size: list[float]) -> Any:
    return _to(name, "size_m", size)


SLIPS: dict[str, Any] = {
    "bed in the headboard": _bed(0, 0.04, 0),
    "bed in the wall": _bed(0, 0.5, 0),
    "bed through the side wall": _bed(-1.4, 0, 0),
    "mattress off its frame": _by("mattress", "at_m", 0.0, 0.3, -0.1),
    "mattress sunk through the nightstand": _size("mattress", [1.95, 2.03, 0.25]),
    "headboard in the mattress": _by("headboard", "at_m", 0, -0.05, 0),
    "headboard in the wall": _by("headboard", "at_m", 0, 0.04, 0),
    "headboard too thick": _size("headboard", [1.65, 0.3, 1.1]),
    "headboard wider than the room": _size("headboard", [4.2, 0.06, 1.1]),
    "headboard leaning through the wall": _to("headboard", "lean_deg", 5.0),
    "headboard turned": _to("headboard", "turn_deg", 30.0),
    "nightstand in the bed": _by("left nightstand", "at_m", 0.2, 0, 0),
    "nightstand in the wall": _by("left nightstand", "at_m", 0, 0.1, 0),
    "nightstand through the side wall": _by("left nightstand", "at_m", -0.6, 0, 0),
    "nightstand in the nightstand": _by("left nightstand", "at_m", 1.9, 0, 0),
    "nightstand turned into the headboard": _to("left nightstand", "turn_deg", 45.0),
    "nightstand as large as the bed": _size("left nightstand", [1.45, 1.35, 0.18]),
    "hidden space larger than the nightstand": lambda plan: _of(plan, "left nightstand")[
        "compartment"
    ].update(inner_size_m=[0.6, 0.1, 0.14]),
    "driver larger than the hidden space": _to("driver", "size_m", [0.25, 0.16, 0.12]),
    "power strip longer than the hidden space": _to("bedside strip", "size_m", [0.5, 0.06, 0.05]),
    "power strip away from the nightstand it lies in": _to("bedside strip", "at_m", [1.2, 1, 0.4]),
    "light off its wall": _by("left light", "mount_m", 0, -0.4, 0),
    "light on the wrong wall": _to("left light", "wall", 0),
    "light through its wall": _to("left light", "projection_m", 0.0),
    "light in the headboard": lambda plan: _of(plan, "left light").update(
        mount_m=[1.8, 3.0, 0.6], projection_m=0.06
    ),
    "light in the nightstand": lambda plan: _of(plan, "left light").update(
        mount_m=[0.75, 3.0, 0.5], projection_m=0.15
    ),
    "light under the floor": _to("left light", "drop_m", 2.0),
    "light above the ceiling": _to("left light", "drop_m", -2.0),
    "light through the wall across": _to("left light", "projection_m", 3.0),
    "ceiling light under the ceiling": _to("left light", "mount", "ceiling"),
    "shade as large as the room is near": lambda plan: _of(plan, "left light")[
        "distribution"
    ].update(bottom_diameter_m=0.8),
    "door wider than its wall": lambda plan: plan["room"]["openings"][0].update(
        from_m=0.0, to_m=9.0
    ),
    "door beyond its wall": lambda plan: plan["room"]["openings"][0].update(from_m=-1.0, to_m=0.5),
    "door higher than the ceiling": lambda plan: plan["room"]["openings"][0].update(head_m=3.2),
    "window above the ceiling": lambda plan: plan["room"]["openings"].append(
        {"id": "w", "kind": "window", "wall": 1, "from_m": 1, "to_m": 2, "sill_m": 2, "head_m": 3}
    ),
    "window in the door": lambda plan: plan["room"]["openings"].append(
        {**plan["room"]["openings"][0], "id": "other window", "kind": "window"}
    ),
    "opening under the floor": lambda plan: plan["room"]["openings"][0].update(sill_m=-0.5),
    "outlet off its wall": _by("bed outlet", "at_m", 0, -0.3, 0),
    "outlet in the middle of the room": _to("right outlet", "at_m", [1.0, 0.6, 0.4]),
    "outlet on the wrong wall": _to("bed outlet", "wall", 1),
    "strip outside the headboard": lambda plan: _of(plan, "glow strip").update(
        path_m=[[1.025, 2.977, 0.8], [3.2, 2.977, 0.8]]
    ),
    "strip above the headboard": lambda plan: _of(plan, "glow strip").update(
        path_m=[[1.025, 2.977, 0.6], [1.025, 2.977, 1.5]]
    ),
    "strip in the headboard": _strip(0, -0.03, 0),
    "strip in the air": _strip(0, -0.6, 0.5),
    "strip in the mattress": _strip(0, -0.5, 0),
    "sitting eye in the headboard": lambda plan: _of(plan, "left").update(
        eye_from_head_end_m=-0.05, eye_above_mattress_m=0.2
    ),
    "eye outside the room": lambda plan: _of(plan, "left").update(eye_from_head_end_m=-0.6),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_of_the_tape_measure_is_told(slip: str) -> None:
    """Every slip of the worked room raises a caution that says what runs through what."""
    data = copy.deepcopy(plain(load(PLAIN)))
    SLIPS[slip](data)
    found = raised(data)
    assert found, slip
    assert all(caution.numbers for caution in found)


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_rooms_that_fit_raise_nothing_about_bodies(path: Any) -> None:
    """None of the twelve rooms has anything in anything else."""
    assert raised(plain(load(path))) == []


def test_a_few_millimetres_are_no_slip() -> None:
    """Moved by 4 mm each way, everything in the worked room still counts as touching."""
    start = load(PLAIN)
    for name, axis, sign in itertools.product(
        ("headboard", "left nightstand", "left light", "bed outlet"), range(3), (-1, 1)
    ):
        by = [0.0, 0.0, 0.0]
        by[axis] = 0.004 * sign
        try:
            moved = apply(start, {"name": "move", "id": name, "args": {"by_m": by}})
        except ValueError:
            continue  # outside the room by more than the document lets pass
        assert raised(plain(moved)) == [], (name, by)


@pytest.mark.parametrize("slip", [name for name in SLIPS if "nightstand in" in name])
def test_the_way_out_that_is_offered_clears_it(slip: str) -> None:
    """Where a caution offers a move, the move clears it and raises nothing else about bodies."""
    data = copy.deepcopy(plain(load(PLAIN)))
    SLIPS[slip](data)
    found = [caution for caution in raised(data) if caution.fix]
    assert found
    scenario = apply(parse(data), found[0].fix or {})
    left = raised(plain(scenario))
    assert (found[0].rule, found[0].objects) not in [(c.rule, c.objects) for c in left]


def test_a_typed_lean_does_not_put_the_strip_before_its_board() -> None:
    """Leant by 5 degrees the board keeps off the wall, its strip stays behind it, and it is told.

    The page of the one beside it stays about as bright; it was 260 lx when the board went through
    the wall and the strip came to lie before it.
    """
    start = load(PLAIN)
    leant = apply(start, put("headboard", "lean_deg", 5))
    before, after = (
        lighting(scenario, strip_profiles(scenario)).answer("page:left", "evening glow").average_lx
        for scenario in (start, leant)
    )
    assert after == pytest.approx(before, rel=0.2)
    told = raised(plain(leant))
    assert {caution.rule for caution in told} == {85}
    (only,) = told
    (words,) = caution_words([only], leant)
    assert words.fact == "The headboard stands 10 cm inside the bed frame."
    cleared = apply(leant, only.fix or {})
    assert raised(plain(cleared)) == []
