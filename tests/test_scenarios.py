"""The plans that come with the project load, say what they show, and keep their bytes."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from lumen.scenario.base import middle
from lumen.scenario.document import Scenario, dump
from lumen.scenario.files import examples, load
from lumen.scenario.supply import Appliance, Driver, Receiver
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


def _watts(plan: Scenario, *, without: tuple[str, ...] = ()) -> float:
    """Label watts over efficiencies, receivers awake: an own sum that shares no code with power."""
    total = sum(middle(light.lamp.power_w) for light in plan.lights if light.fed_from)
    drivers = {item.id: item for item in plan.supply if isinstance(item, Driver)}
    for strip in plan.strips:
        run = sum(math.dist(a, b) for a, b in zip(strip.path_m, strip.path_m[1:], strict=False))
        total += run * middle(strip.power_w_per_m) / drivers[strip.fed_from or ""].efficiency
    for item in plan.supply:
        if item.id in without:
            continue
        if isinstance(item, Receiver):
            total += item.standby_w
        if isinstance(item, Appliance):
            assert item.power_w is not None
            total += middle(item.power_w) / (item.efficiency or 1.0)
    return total


def _plan(stem: str) -> Scenario:
    return load(next(file for file in FILES if file.stem == stem))


def test_plain_pair_watts() -> None:
    """The bedside of the plain pair comes to about 90 W, 0.75 A at 120 V (active part)."""
    # 11 + 2.45 x 9.6 / 0.85 + 2 + 2 x 20 / 0.85 + 3, by hand.
    watts = _watts(_plan("plain-pair"))
    assert watts == pytest.approx(90.73, abs=0.005)
    assert watts / 120 == pytest.approx(0.756, abs=0.0005)


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


@pytest.mark.parametrize(
    ("without", "expected"),
    [
        (("electric blanket", "hair dryer"), 1246.0),
        (("hair dryer",), 1301.0),
        (("electric blanket",), 2446.0),
        ((), 2501.0),
    ],
)
def test_one_outlet_watts(without: tuple[str, ...], expected: float) -> None:
    """One outlet: 8 + 11.4 + 1.6 + 25 W of bedside, then heater, blanket and dryer as told."""
    assert _watts(_plan("heater-one-outlet"), without=without) == pytest.approx(expected, abs=0.5)


def test_alcove_watts() -> None:
    """The alcove's bedside comes to about 231 W, 1.0 A at 230 V."""
    watts = _watts(_plan("alcove-two-sleep-times"), without=("oil heater",))
    assert watts == pytest.approx(230.7, abs=0.05)
    assert watts / 230 == pytest.approx(1.0, abs=0.01)


def test_l_room_amperes() -> None:
    """The dryer alone draws 15.6 A, 16.4 A with the bedside, 17.3 A with the television too."""
    plan = _plan("l-room-dressing-nook")
    dryer = next(item for item in plan.supply if item.id == "hair dryer")
    assert isinstance(dryer, Appliance)
    assert dryer.power_w is not None
    assert middle(dryer.power_w) / 120 == pytest.approx(15.6, abs=0.05)
    assert _watts(plan, without=("television", "iron")) / 120 == pytest.approx(16.4, abs=0.05)
    assert _watts(plan, without=("iron",)) / 120 == pytest.approx(17.3, abs=0.05)


def test_weak_supply_energy() -> None:
    """What the weak-supply note promises: strip 20 W with its driver, 137 W in all, 548 Wh."""
    plan = _plan("weak-supply")
    assert _watts(plan, without=("heater",)) == pytest.approx(137, abs=0.5)
    assert 4 * 137 == 548


def test_attic_eye_is_over_the_slope() -> None:
    """In the attic a sitting eye stands above the slope over it: the trap the note names."""
    plan = _plan("attic-slope")
    person = plan.people[0]
    bed = next(item for item in plan.furniture if item.kind == "mattress")
    slope = plan.room.slopes[0]
    head_end = bed.at_m[1] + bed.size_m[1] / 2
    out = plan.room.outline_m[2][1] - head_end + person.eye_from_head_end_m
    ceiling = slope.knee_height_m + out * math.tan(math.radians(slope.pitch_deg))
    eye = bed.at_m[2] + bed.size_m[2] + middle(person.eye_above_mattress_m)
    assert eye == pytest.approx(1.23, abs=0.005)
    assert ceiling == pytest.approx(1.20, abs=0.005)
