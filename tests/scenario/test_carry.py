"""What is fixed to furniture goes along, and a board that leans keeps off the wall."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import ScenarioError
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.edits import apply
from lumen.scenario.files import load
from lumen.scenario.pose import fixed_to, pose_of, reach_back_m

PLAIN = load(Path(__file__).parents[2] / "scenarios/plain-pair.json")


def put(item_id: str, field: str, value: Any) -> dict[str, Any]:
    """Return the command that sets one field."""
    return {"name": "set", "id": item_id, "args": {"field": field, "value": value}}


def board(scenario: Scenario) -> Any:
    """Return the plan's headboard."""
    return next(item for item in scenario.furniture if item.kind == "headboard")


def in_board(scenario: Scenario) -> list[tuple[float, ...]]:
    """Return the strip's path in the headboard's own frame."""
    pose = pose_of(board(scenario))
    return [pose.local(point) for point in scenario.strips[0].path_m]


def test_a_board_that_leans_rests_its_top_where_its_back_was() -> None:
    """At 5 degrees the foot of a 1.1 m board stands 1.1 sin 5 = 96 mm out, its top 25 mm off."""
    leant = apply(PLAIN, put("headboard", "lean_deg", 5))
    corners = pose_of(board(leant)).corners()
    back = max(corner[1] for corner in corners)
    foot = max(corner[1] for corner in corners if corner[2] < 0.01)
    assert 3.0 - back == pytest.approx(0.025, abs=1e-6)
    assert back - foot == pytest.approx(1.1 * math.sin(math.radians(5)), abs=1e-6)


@pytest.mark.parametrize("lean", [-12, -5, 2, 5, 20])
def test_a_strip_stays_where_it_is_stuck_when_its_board_leans(lean: float) -> None:
    """Behind the leaning board the strip is where it was behind the upright one, and square."""
    leant = apply(PLAIN, put("headboard", "lean_deg", lean))
    for was, now in zip(in_board(PLAIN), in_board(leant), strict=True):
        assert now == pytest.approx(was, abs=3e-6)
    facing = leant.strips[0].facing
    assert facing == pytest.approx(pose_of(board(leant)).axes[1], abs=2e-6)
    back = apply(leant, put("headboard", "lean_deg", 0))
    assert back.strips[0].facing == "bed wall"
    assert board(back).at_m == pytest.approx(board(PLAIN).at_m, abs=3e-6)


@given(
    by=st.tuples(st.floats(-0.2, 0.2), st.floats(-0.3, 0.0)),
    turn=st.floats(-20, 20),
    lean=st.floats(-10, 10),
)
@settings(max_examples=40, deadline=None)
def test_what_is_fixed_keeps_its_place_in_whatever_moves(
    by: tuple[float, float], turn: float, lean: float
) -> None:
    """Moved, turned and leant in any order, the strip keeps its place in the board's own frame."""
    at = PLAIN
    for command in (
        {"name": "move", "id": "headboard", "args": {"by_m": [*by, 0.0]}},
        put("headboard", "turn_deg", turn),
        put("headboard", "lean_deg", lean),
    ):
        try:
            at = apply(at, command)
        except ScenarioError:
            return  # out of the room
    for was, now in zip(in_board(PLAIN), in_board(at), strict=True):
        assert now == pytest.approx(was, abs=1e-5)


def test_a_nightstand_carries_what_lies_in_it_and_stands_on_it() -> None:
    """The power strip in the nightstand and a lamp on it move along; the outlet does not."""
    data = plain(PLAIN)
    data["lights"].append(
        {
            "id": "table lamp",
            "mount": "stand",
            "mount_m": [2.85, 2.8, 0.62],
            "lamp": {"flux_lm": 400, "power_w": 5},
        }
    )
    start = parse(data)
    moved = apply(start, {"name": "move", "id": "right nightstand", "args": {"by_m": [0.1, 0, 0]}})

    def place(scenario: Scenario, name: str) -> Any:
        items = {item.id: item for item in (*scenario.lights, *scenario.supply)}
        return getattr(items[name], "mount_m", None) or items[name].at_m

    for name, shift in (("table lamp", 0.1), ("bedside strip", 0.1), ("right outlet", 0.0)):
        assert place(moved, name)[0] - place(start, name)[0] == pytest.approx(shift), name


def test_what_the_command_names_is_not_carried_twice() -> None:
    """A board and its strip moved together move once."""
    both = {"name": "move", "ids": ["headboard", "glow strip"], "args": {"by_m": [0.1, 0, 0]}}
    moved = apply(PLAIN, both)
    shift = moved.strips[0].path_m[0][0] - PLAIN.strips[0].path_m[0][0]
    assert shift == pytest.approx(0.1)


def test_a_board_made_larger_keeps_its_back_and_its_strip() -> None:
    """Wider, taller and thicker: the strip spans the same share, as far behind it as before."""
    grown = apply(PLAIN, put("headboard", "size_m", [1.98, 0.10, 1.32]))
    assert board(grown).at_m[1] + reach_back_m(board(grown)) == pytest.approx(2.975, abs=1e-6)
    for was, now in zip(in_board(PLAIN), in_board(grown), strict=True):
        assert now[0] == pytest.approx(1.2 * was[0], abs=1e-5)
        assert now[1] - 0.05 == pytest.approx(was[1] - 0.03, abs=1e-5)
        assert now[2] == pytest.approx(1.2 * was[2], abs=1e-5)


def test_a_free_piece_may_grow_both_ways() -> None:
    """What stands against no wall keeps its middle when it is made deeper."""
    start = apply(
        PLAIN,
        {
            "name": "add",
            "args": {
                "section": "furniture",
                "item": {
                    "id": "bench",
                    "kind": "other",
                    "at_m": [1.8, 0.6, 0],
                    "size_m": [1, 0.3, 0.4],
                },
            },
        },
    )
    deeper = apply(start, put("bench", "size_m", [1, 0.5, 0.4]))
    assert deeper.furniture[-1].at_m == start.furniture[-1].at_m


def test_strips_on_walls_and_outlets_are_fixed_to_no_furniture() -> None:
    """A strip stuck to the wall behind a board, facing the room, is on the wall."""
    data = plain(PLAIN)
    strip = data["strips"][0]
    strip["path_m"] = [[x, 2.998, z] for x, _, z in strip["path_m"]]
    strip["facing"] = "room"
    assert "glow strip" not in fixed_to(parse(data))
    assert fixed_to(PLAIN)["glow strip"] == "headboard"


def test_a_strip_that_faces_along_its_own_run_is_refused() -> None:
    """Tape shines square to its run; a little off is set square, along it is no direction."""
    with pytest.raises(ScenarioError, match=r"strips\[0\].facing must not be along"):
        apply(PLAIN, put("glow strip", "facing", "left"))
    with pytest.raises(ScenarioError, match=r"facing must be a direction"):
        apply(PLAIN, put("glow strip", "facing", [0, 0, 0]))
