"""Everything in the drawer can be placed in a room, and is what it says."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest

from lumen.app import catalogue, commands
from lumen.errors import LumenError
from lumen.scenario.document import Scenario, parse
from lumen.scenario.edits import apply
from lumen.scenario.pose import fixed_to

EVERYTHING = [choice.key for group, _ in catalogue.GROUPS for choice in catalogue.choices(group)]


@pytest.mark.parametrize("what", EVERYTHING)
def test_each_choice_adds_one_new_thing(plain_pair: Scenario, what: str) -> None:
    """Each choice gives a plan that holds, with at least one thing more than before."""
    command = {"name": "place", "args": {"what": what, "setup": "read left"}}
    after = commands.carry_out(plain_pair, command)

    def count(plan: Scenario) -> int:
        return sum(len(getattr(plan, s)) for s in ("lights", "strips", "furniture", "supply"))

    assert count(after) > count(plain_pair)


@pytest.mark.parametrize(
    "what", ["wall spot", "table lamp", "ceiling light", "ceiling panel", "gentle strip"]
)
def test_a_new_light_is_on_where_one_looks(plain_pair: Scenario, what: str) -> None:
    """A light that is added is at full level in the setup on show and in no other."""
    command = {"name": "place", "args": {"what": what, "setup": "night"}}
    after = commands.carry_out(plain_pair, command)
    old = {item.id for item in (*plain_pair.lights, *plain_pair.strips)}
    new = next(i.id for i in (*after.lights, *after.strips) if i.id not in old)
    assert {s.id for s in after.setups if new in s.levels} == {"night"}


def test_a_strip_brings_a_supply_that_can_carry_it(plain_pair: Scenario) -> None:
    """The driver that comes with a strip is rated for its length times its watts and a quarter."""
    after = commands.carry_out(plain_pair, {"name": "place", "args": {"what": "glow strip"}})
    strip = after.strips[-1]
    driver = next(n for n in after.supply if n.id == strip.fed_from)
    metres = 0.45 * 2 + (1.65 - 0.1)  # down both sides and along the headboard's top
    assert driver.kind == "driver"
    assert driver.rating_w >= metres * 9.6 * 1.25


def test_an_appliance_goes_where_it_was_told(plain_pair: Scenario) -> None:
    """A heater plugged into the right outlet hangs there, runs now, and has the table's watts."""
    args = {"what": "appliance:heater", "into": "right outlet", "setup": "read left"}
    after = commands.carry_out(plain_pair, {"name": "place", "args": args})
    heater = after.supply[-1]
    assert heater.kind == "appliance"
    assert heater.fed_from == "right outlet"
    assert heater.power_w == 1500
    assert heater.id in after.setups[0].running


def test_a_room_without_outlets_says_what_is_missing() -> None:
    """An appliance in a room without an outlet is refused with what to do first."""
    bare: dict[str, Any] = {
        "format": "lumen-plan/1",
        "title": "bare",
        "room": {"outline_m": [[0, 0], [3, 0], [3, 3], [0, 3]], "height_m": 2.4},
    }
    with pytest.raises(LumenError, match="add one first"):
        commands.carry_out(parse(bare), {"name": "place", "args": {"what": "appliance:heater"}})


def test_a_broken_distribution_file_is_refused(plain_pair: Scenario) -> None:
    """Text that is no photometric file adds nothing and says so."""
    args = {"what": "light from file", "lm63": "not a file at all", "file_name": "x.ies"}
    with pytest.raises(LumenError):
        commands.carry_out(plain_pair, {"name": "place", "args": args})


def _new(before: Scenario, after: Scenario, section: str) -> Any:
    old = {item.id for item in getattr(before, section)}
    return next(item for item in getattr(after, section) if item.id not in old)


@pytest.mark.parametrize(
    ("what", "section", "axes", "at", "found"),
    [
        ("wall spot", "lights", [0, 2], [0.7, 1.6], (0.7, 3.0, 1.6)),
        ("wall spot", "lights", [0, 1], [0.7, 1.0], (0.7, 3.0, 1.35)),  # it stays on its wall
        ("ceiling light", "lights", [0, 1], [1.2, 0.8], (1.2, 0.8, 2.4)),
        ("ceiling light", "lights", [0, 2], [1.2, 1.0], (1.2, 1.5, 2.4)),  # and this up there
        ("chair", "furniture", [0, 1], [3.0, 0.6], (3.0, 0.6, 0.0)),
        ("chair", "furniture", [0, 2], [3.0, 1.9], (3.0, 0.26, 0.0)),  # it does not fly
        ("nightstand", "furniture", [0, 2], [3.3, 0.6], (3.3, 2.825, 0.51)),
        ("outlet", "supply", [0, 2], [0.4, 0.3], (0.4, 3.0, 0.3)),
        ("appliance:heater", "supply", [0, 1], [0.5, 0.9], (0.5, 0.9, 0.3)),
    ],
)
def test_what_is_let_go_over_a_drawing_lies_there(
    plain_pair: Scenario,
    what: str,
    section: str,
    axes: list[int],
    at: list[float],
    found: tuple[float, float, float],
) -> None:
    """A dropped thing takes the place of the hand, as far as its kind may choose it."""
    args = {"what": what, "drop": {"axes": axes, "at": at}}
    after = commands.carry_out(plain_pair, {"name": "place", "args": args})
    item = _new(plain_pair, after, section)
    place = item.mount_m if section == "lights" else item.at_m
    assert place == pytest.approx(found)


def test_a_drop_without_a_place_is_refused(plain_pair: Scenario) -> None:
    """A place that is no two numbers is named."""
    args = {"what": "chair", "drop": {"axes": [0, 2], "at": ["here"]}}
    with pytest.raises(LumenError, match="two numbers"):
        commands.carry_out(plain_pair, {"name": "place", "args": args})


def test_one_press_lays_a_strip_along_a_leaning_board(plain_pair: Scenario) -> None:
    """Top and sides, 50 mm in, on its back as it leans; a strip that is there is laid anew."""
    board = next(one for one in plain_pair.furniture if one.kind == "headboard")
    lean = {"name": "set", "id": "headboard", "args": {"field": "lean_deg", "value": 6}}
    args = {"what": "strip along a board", "board": "headboard", "setup": "night"}
    bare = apply(apply(plain_pair, lean), {"name": "remove", "id": "glow strip", "args": {}})
    made = commands.carry_out(bare, {"name": "place", "args": args})
    (strip,) = made.strips
    runs = [math.dist(a, b) for a, b in pairwise(strip.path_m)]
    wide, _, high = board.size_m
    assert runs == pytest.approx([high - 0.1, wide - 0.1, high - 0.1], abs=1e-3)
    foot, top = strip.path_m[0], strip.path_m[1]
    leaning = math.degrees(math.atan2(top[1] - foot[1], top[2] - foot[2]))
    assert leaning == pytest.approx(6.0, abs=0.05)
    assert fixed_to(made)[strip.id] == "headboard"
    assert made.setups[[one.id for one in made.setups].index("night")].levels[strip.id] == 1
    again = commands.carry_out(apply(plain_pair, lean), {"name": "place", "args": args})
    assert [one.id for one in again.strips] == ["glow strip"]
    assert again.strips[0].path_m == strip.path_m


def test_a_board_at_the_wall_says_how_much_room_a_strip_needs(plain_pair: Scenario) -> None:
    """No room behind it: a sentence with both numbers, and the plan stays."""
    back = {"name": "move", "id": "headboard", "args": {"to_m": [1.8, 2.97, 0]}}
    args = {"what": "strip along a board", "board": "headboard"}
    with pytest.raises(LumenError, match="leaves 0 mm behind it and a strip needs 8 mm"):
        commands.carry_out(apply(plain_pair, back), {"name": "place", "args": args})
