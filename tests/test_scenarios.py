"""The plans that come with the project load, say what they show, and keep their bytes."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from lumen.power.energy import energy_kwh
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario, dump
from lumen.scenario.files import examples, load
from lumen.scenario.supply import Appliance, Driver, Receiver
from lumen.study.load.electrics import electrics
from lumen.study.scene.surfaces import ceiling_height_m
from lumen.study.scene.targets import bed_of, sitting_eye
from lumen.study.study import study
from lumen.tables import table

FILES = sorted((Path(__file__).parents[1] / "scenarios").glob("*.json"))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_round_trip(file: Path) -> None:
    """Reading and writing a plan gives the same bytes."""
    assert dump(load(file)).encode() == file.read_bytes()


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_title_and_note(file: Path) -> None:
    """Every plan has a title of its own and a note that says what to look for."""
    plan = load(file)
    assert plan.note is not None
    assert "Look for" in plan.note
    assert sum(load(other).title == plan.title for other in FILES) == 1


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_kinds_are_in_the_table(file: Path) -> None:
    """Every appliance that is like a kind names a row of the appliance table."""
    known = {row["key"] for row in table("appliances")}
    likes = {item.like for item in load(file).supply if isinstance(item, Appliance) and item.like}
    assert likes <= known


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_strips_are_whole_segments(file: Path) -> None:
    """Every leg of every strip is a whole number of cut lengths."""
    for strip in load(file).strips:
        for a, b in zip(strip.path_m, strip.path_m[1:], strict=False):
            segments = math.dist(a, b) / strip.cut_m
            assert segments == pytest.approx(round(segments), abs=1e-6), strip.id


def test_examples_start_with_the_plain_pair() -> None:
    """The examples are these files, and the plain pair comes first."""
    found = examples()
    assert found[0].stem == "plain-pair"
    assert {file.stem for file in found} == {file.stem for file in FILES}


LESS_HEAT = {"UK": (230 / 240) ** 2, "AU": (230 / 240) ** 2}
"""Heaters there are labelled for 240 V and run on 230: their watts go with the square."""


def _heats(item: Appliance) -> bool:
    if item.heats is not None:
        return item.heats
    return any(row["key"] == item.like and row["heats"] == "yes" for row in table("appliances"))


def _watts(plan: Scenario) -> float:
    """Label watts over efficiencies, receivers awake: an own sum that shares no code with power."""
    total = sum(middle(light.lamp.power_w) for light in plan.lights if light.fed_from)
    drivers = {item.id: item for item in plan.supply if isinstance(item, Driver)}
    for strip in plan.strips:
        run = sum(math.dist(a, b) for a, b in zip(strip.path_m, strip.path_m[1:], strict=False))
        total += run * middle(strip.power_w_per_m) / drivers[strip.fed_from or ""].efficiency
    for item in plan.supply:
        if isinstance(item, Receiver):
            total += item.standby_w
        if isinstance(item, Appliance):
            assert item.power_w is not None
            less = LESS_HEAT.get(plan.region, 1.0) if _heats(item) else 1.0
            total += less * middle(item.power_w) / (item.efficiency or 1.0)
    return total


def _plan(stem: str) -> Scenario:
    return load(next(file for file in FILES if file.stem == stem))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_watts_of_everything(file: Path) -> None:
    """With everything on the load tree draws what label watts over efficiencies add up to."""
    plan = load(file)
    tree = electrics(plan).everything
    drawn = sum(tree[node.id].watts_in for node in tree.nodes if node.parent is None)
    # a tape that sags at its far end draws a little less than its label
    assert drawn == pytest.approx(_watts(plan), rel=5e-3)


@cache
def _setups(stem: str) -> dict[str, tuple[float, float]]:
    """Watts and amperes that each setup draws in all."""
    found = {}
    for setup, tree in electrics(_plan(stem)).trees.items():
        roots = [tree[node.id] for node in tree.nodes if node.parent is None]
        found[setup] = sum(one.watts_in for one in roots), sum(one.amperes for one in roots)
    return found


@pytest.mark.parametrize(
    ("stem", "setup", "says", "watts"),
    [
        # bedside 8 + 11.4 + 1.6 + 25 W, then 1200 W of heater, 55 W of blanket, 1200 W of dryer
        ("heater-one-outlet", "winter evening", "1301 W with the blanket as well", 1301.0),
        ("heater-one-outlet", "hair drying", "2446 W when the dryer comes", 2446.0),
        ("weak-supply", "everything by the bed", "about 137 W by the bed", 137.0),
    ],
)
def test_notes_say_the_watts_of_their_setups(
    stem: str, setup: str, says: str, watts: float
) -> None:
    """What a plan's note tells of a setup is what the study reckons for it."""
    assert says in str(_plan(stem).note)
    assert _setups(stem)[setup][0] == pytest.approx(watts, abs=1.0)


def test_weak_supply_through_the_cut() -> None:
    """The 548 Wh that its note tells are four hours of all that is on by the bed."""
    assert "548 Wh in four hours" in str(_plan("weak-supply").note)
    watts, _ = _setups("weak-supply")["everything by the bed"]
    assert energy_kwh(watts, 4.0) == pytest.approx(0.548, rel=5e-3)


def test_plain_pair_strip() -> None:
    """Its strip is a U of 9 + 31 + 9 segments, hidden behind the headboard."""
    plan = _plan("plain-pair")
    (strip,) = plan.strips
    legs = [
        round(math.dist(a, b) / strip.cut_m)
        for a, b in zip(strip.path_m, strip.path_m[1:], strict=False)
    ]
    assert legs == [9, 31, 9]
    board = next(item for item in plan.furniture if item.kind == "headboard")
    for x, y, z in strip.path_m:
        assert abs(x - board.at_m[0]) < board.size_m[0] / 2 - 0.03
        assert board.at_m[1] + board.size_m[1] / 2 < y < plan.room.outline_m[2][1]
        assert z < board.size_m[2] - 0.03


def test_l_room_amperes() -> None:
    """The dryer alone draws 15.6 A, 16.4 A with the bedside, 17.3 A with the television too.

    In watts over 120 V, as the note tells; apparent power of small electronics adds to it.
    """
    plan = _plan("l-room-dressing-nook")
    assert "15.6 A by itself, 16.4 A with the bedside on and 17.3 A" in str(plan.note)
    tree = electrics(plan).trees["hair drying"]
    assert tree["hair dryer"].amperes == pytest.approx(15.6, abs=0.05)
    for setup, volts in (("hair drying", 16.4), ("hair drying and news", 17.3)):
        watts, amperes = _setups("l-room-dressing-nook")[setup]
        # the note has everything of the bedside on, the setup a part of it
        assert watts / 120 == pytest.approx(volts, abs=0.15)
        assert watts / 120 < amperes < 1.02 * watts / 120


def test_attic_eye_is_over_the_slope() -> None:
    """In the attic a sitting eye stands above the slope over it: the trap the note names.

    0.95 m of knee wall and 0.30 m out under 40 degrees are 1.20 m; mattress and eye make 1.23 m.
    Outside the room there is no light to tell, so the study has no such eye, and says why.
    """
    plan = _plan("attic-slope")
    found = study(plan)
    who = plan.people[0]
    assert f"eye:{who.id}:sitting" not in found.lighting.slices
    bed = bed_of(plan, who)
    assert bed is not None
    x, y, z = (float(value) for value in sitting_eye(bed, who))
    assert z == pytest.approx(1.23, abs=0.005)
    assert ceiling_height_m(plan.room, x, y) == pytest.approx(1.20, abs=0.005)
    raised = [caution["key"] for caution in found.to_json()["cautions"]]
    assert "no-room-to-sit-up" in raised
