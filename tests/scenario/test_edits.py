# ruff: noqa: E501 (one case a line is easier to read)
"""Every command does what its name says, its inverse restores the plan, and a refusal changes nothing."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import ScenarioError
from lumen.scenario.document import Scenario, dump, parse, plain
from lumen.scenario.edits import COMMANDS, apply
from lumen.scenario.files import examples, load

PLANS = {file.stem: load(file) for file in examples()}
PAIR = PLANS["plain-pair"]


def _do(plan: Scenario, name: str, id: object = None, **args: Any) -> Scenario:  # noqa: A002
    command: dict[str, Any] = {"name": name, "args": args}
    if id is not None:
        command["ids" if isinstance(id, list) else "id"] = id
    return apply(plan, command)


def _item(plan: Scenario, name: str) -> Any:
    sections = (plan.lights, plan.strips, plan.supply, plan.furniture, plan.people)
    return next(item for section in sections for item in section if item.id == name)


def _setup(plan: Scenario, name: str) -> Any:
    return next(setup for setup in plan.setups if setup.id == name)


def test_move_a_light() -> None:
    """A light moves to a point, and by a vector."""
    moved = _do(PAIR, "move", "left light", to_m=[0.9, 3.0, 1.4])
    assert _item(moved, "left light").mount_m == (0.9, 3.0, 1.4)
    assert _item(moved, "right light") == _item(PAIR, "right light")
    back = _do(moved, "move", "left light", by_m=[-0.015, 0.0, -0.18])
    assert dump(back) == dump(PAIR)


def test_move_a_strip() -> None:
    """A strip moves one corner at a time, or whole."""
    corner = _do(PAIR, "move", "glow strip", corner=1, to_m=[1.025, 2.977, 1.0])
    path = _item(corner, "glow strip").path_m
    assert path[1] == (1.025, 2.977, 1.0)
    assert path[0] == PAIR.strips[0].path_m[0]
    whole = _item(_do(PAIR, "move", "glow strip", by_m=[0, 0, -0.1]), "glow strip").path_m
    assert [point[2] for point in whole] == pytest.approx([0.5, 0.95, 0.95, 0.5])


def test_move_several() -> None:
    """Several things move by one vector in one step."""
    moved = _do(
        PAIR, "move", ["left light", "right light", "mattress", "bed outlet"], by_m=[0, -0.1, 0]
    )
    assert _item(moved, "left light").mount_m[1] == pytest.approx(2.9)
    assert _item(moved, "mattress").at_m[1] == pytest.approx(1.8)
    assert _item(moved, "bed outlet").at_m[1] == pytest.approx(2.9)


def test_set_inside_an_item() -> None:
    """A dotted path reaches into an item; null takes the value away again."""
    brighter = _do(PAIR, "set", "left light", field="lamp.flux_lm", value=[500, 600])
    assert _item(brighter, "left light").lamp.flux_lm == (500, 600)
    cord = _do(PAIR, "set", "glow strip", field="feed_cord.length_m", value=None)
    assert _item(cord, "glow strip").feed_cord.length_m is None
    point = _do(PAIR, "set", "glow strip", field="path_m.0.2", value=0.65)
    assert _item(point, "glow strip").path_m[0] == (1.025, 2.977, 0.65)


def test_set_the_plan_and_the_room() -> None:
    """The ids plan and room reach the top-level fields and the room's."""
    assert _do(PAIR, "set", "plan", field="title", value="Ours").title == "Ours"
    room = _do(PAIR, "set", "room", field="finishes.walls.lrv", value=30).room
    assert room.finishes.walls.lrv == 30
    assert room.finishes.ceiling.lrv == 85


def test_set_below_a_default_keeps_the_rest_of_it() -> None:
    """Changing one field of a part that was left open writes out the part's own default."""
    bare = _do(PAIR, "set", "room", field="finishes", value=None)
    assert bare.room.finishes.walls.lrv == 60
    tinted = _do(bare, "set", "room", field="finishes.walls.colour", value="#aabbcc")
    assert tinted.room.finishes.walls.lrv == 60
    assert tinted.room.finishes.walls.colour == "#aabbcc"
    assert tinted.room.finishes.floor.lrv == 25


def test_add_and_remove_restore() -> None:
    """What was added and removed again leaves the plan as it was."""
    lamp = {"flux_lm": 400, "power_w": 5}
    item = {"id": "stand", "mount": "stand", "mount_m": [3, 1, 0.7], "lamp": lamp}
    added = _do(PAIR, "add", section="lights", item=item)
    assert _item(added, "stand").lamp.flux_lm == 400
    assert dump(_do(added, "remove", "stand")) == dump(PAIR)


def test_remove_a_supply_node_hands_its_children_on() -> None:
    """What a removed node fed is plugged into the node before it; a strip without driver into none."""
    plan = _do(PAIR, "remove", "left receiver")
    assert _item(plan, "left light").fed_from == "bedside strip"
    assert _item(_do(PAIR, "remove", "driver"), "glow strip").fed_from is None
    both = _do(PAIR, "remove", ["bedside strip", "right receiver"])
    assert _item(both, "right light").fed_from == "bed outlet"
    assert _item(both, "driver").fed_from == "bed outlet"


def test_remove_an_outlet_in_use_is_refused() -> None:
    """An outlet with things plugged in cannot go: they would hang on the bare circuit."""
    with pytest.raises(ScenarioError, match="still feeds bedside strip"):
        _do(PAIR, "remove", "bed outlet")


def test_remove_drops_every_mention() -> None:
    """A light, person or setup that goes leaves no setup, aim or target that names it."""
    plan = _do(PAIR, "remove", "left light")
    assert all("left light" not in setup.levels for setup in plan.setups)
    plan = _do(PAIR, "remove", "left", section="people")
    assert [aim.id for aim in plan.aims if "left" in aim.of] == []
    plan = _do(PAIR, "remove", "evening glow")
    assert all(aim.id != "calm evening" for aim in plan.aims)
    plan = _do(PAIR, "remove", "read left")
    assert next(aim for aim in plan.aims if aim.id == "left page").setups == ("read both",)
    plan = _do(PAIR, "remove", "right nightstand")
    assert _item(plan, "driver").inside is None


def test_remove_somebody_s_bed_is_refused() -> None:
    """A mattress that somebody lies on goes only with them or after them."""
    plan = PLANS["parents-with-cot"]
    with pytest.raises(ScenarioError, match="is the bed of infant"):
        _do(plan, "remove", "cot mattress")
    assert len(_do(plan, "remove", ["cot mattress", "infant"]).people) == 2


def test_duplicate() -> None:
    """A copy lies beside its original, has a name of its own and shines in the same setups."""
    plan = _do(PAIR, "duplicate", "left light", by_m=[0.1, 0, 0.2])
    twin = _item(plan, "left light 2")
    assert twin.mount_m == pytest.approx((0.985, 3.0, 1.42))
    assert _setup(plan, "read left").levels["left light 2"] == 1
    again = _do(plan, "duplicate", "left light", **{"as": "spare"})
    assert _item(again, "spare").mount_m[0] == pytest.approx(1.085)
    assert _item(_do(plan, "duplicate", "left light 2"), "left light 3")


def test_mirror_moves_the_twin() -> None:
    """A light with a twin across the bed takes the twin along, and leaves its lamp alone."""
    plan = _do(PAIR, "set", "right light", field="lamp.flux_lm", value=300)
    plan = _do(plan, "move", "left light", to_m=[0.7, 3.0, 1.35])
    plan = _do(plan, "mirror", "left light")
    assert _item(plan, "right light").mount_m == pytest.approx((2.9, 3.0, 1.35))
    assert _item(plan, "right light").lamp.flux_lm == 300


def test_mirror_makes_a_twin() -> None:
    """Without a twin one is made: name, feed, aim, wall and setups change sides with it."""
    plan = PLANS["alcove-two-sleep-times"]
    lone = _do(plan, "remove", "right spot")
    lone = _do(lone, "set", "left spot", field="aim", value={"at": "page:reader", "turn_deg": 20})
    made = _item(_do(lone, "mirror", "left spot"), "right spot")
    was = _item(plan, "right spot")
    assert made.mount_m == pytest.approx(was.mount_m)
    assert (made.wall, made.fed_from, made.aim.at) == (was.wall, was.fed_from, was.aim.at)
    assert made.aim.turn_deg == -20
    pair = _do(_do(PAIR, "remove", "right light"), "mirror", "left light")
    assert _setup(pair, "read right").levels == {"right light": 1}
    assert _setup(pair, "read left").levels == {"left light": 1}


def test_mirror_twice_restores() -> None:
    """A strip mirrored about the bed and back lies where it lay."""
    strip = {"id": "left strip", "path_m": [[0.5, 2.9, 0.4], [0.5, 2.9, 0.8]], "facing": "left", "flux_lm_per_m": 400, "power_w_per_m": 5}  # fmt: skip
    plan = _do(PAIR, "add", section="strips", item=strip)
    there = _do(plan, "mirror", "left strip")
    twin = _item(there, "right strip")
    assert twin.facing == "right"
    assert [point[0] for point in twin.path_m] == pytest.approx([3.1, 3.1])
    assert dump(_do(there, "mirror", "right strip")) == dump(there)


def test_mirror_on_the_centre_line_is_refused() -> None:
    """What lies on the centre line has no twin."""
    with pytest.raises(ScenarioError, match="off the bed's centre line"):
        _do(PAIR, "mirror", "headboard")


def test_rename_follows_every_mention() -> None:
    """A new name is known to feeds, setups, aims and targets."""
    plan = _do(PAIR, "rename", "bedside strip", to="board")
    assert _item(plan, "driver").fed_from == "board"
    plan = _do(plan, "rename", "left light", to="west light")
    assert _setup(plan, "read both").levels == {"west light": 1, "right light": 1}
    plan = _do(plan, "rename", "left", to="anna")
    assert {aim.of for aim in plan.aims} >= {"page:anna", "eye:anna"}
    plan = _do(plan, "rename", "read left", to="anna reads")
    assert "anna reads" in next(aim for aim in plan.aims if aim.id == "left page").setups


def test_plug() -> None:
    """A plug goes into another node, or is pulled."""
    plan = _do(PAIR, "plug", "bedside strip", into="right outlet")
    assert _item(plan, "bedside strip").fed_from == "right outlet"
    assert _item(_do(plan, "plug", "left light", into=None), "left light").fed_from is None
    with pytest.raises(ScenarioError, match=r"supply\[3\].fed_from"):
        _do(PAIR, "plug", "bedside strip", into="left receiver")


def test_level() -> None:
    """A level is set in one setup; zero takes the light out of it."""
    plan = _do(PAIR, "level", setup="read both", of="glow strip", value=0.25)
    assert _setup(plan, "read both").levels["glow strip"] == 0.25
    assert dump(_do(plan, "level", setup="read both", of="glow strip", value=0)) == dump(PAIR)


def test_order() -> None:
    """A setup goes to another place in the row; back again restores the plan."""
    ids = [setup.id for setup in PAIR.setups]
    last = len(ids) - 1
    first = _do(PAIR, "order", ids[-1], to=0, section="setups")
    assert [setup.id for setup in first.setups] == [ids[-1], *ids[:-1]]
    assert dump(_do(first, "order", ids[-1], to=last)) == dump(PAIR)


def test_run() -> None:
    """An appliance runs in a setup, or no longer; what else runs there stays, in the plan's order."""
    off = _do(PAIR, "run", setup="night", of="clock", value=False)
    assert set(_setup(PAIR, "night").running) - set(_setup(off, "night").running) == {"clock"}
    on = _do(off, "run", setup="night", of="clock", value=True)
    assert "clock" in _setup(on, "night").running
    assert _do(on, "run", setup="night", of="clock", value=True) == on
    winter = next(p for p in PLANS.values() if any(len(s.running) > 1 for s in p.setups))
    setup = next(s for s in winter.setups if len(s.running) > 1)
    less = _do(winter, "run", setup=setup.id, of=setup.running[0], value=False)
    assert set(_setup(less, setup.id).running) == set(setup.running[1:])


def test_a_copied_setup_shares_wishes_and_no_hours() -> None:
    """Its levels and wishes are those of the original; its hours would be counted twice."""
    plan = _do(PAIR, "set", "read both", field="name", value="Both read")
    plan = _do(plan, "set", "read both", field="hours_per_day", value=2)
    copy = _do(plan, "duplicate", "read both", section="setups")
    twin = _setup(copy, "read both 2")
    assert twin.levels == _setup(plan, "read both").levels
    assert (twin.name, twin.hours_per_day, twin.from_h) == ("Both read 2", 0.0, None)
    places = [setup.id for setup in copy.setups]
    assert places.index("read both 2") == places.index("read both") + 1
    for before, after in zip(plan.aims, copy.aims, strict=True):
        assert ("read both 2" in after.setups) == ("read both" in before.setups)
    assert dump(_do(copy, "remove", "read both 2")) == dump(plan)
    assert _setup(_do(copy, "duplicate", "read both"), "read both 3").name == "Both read 3"


def test_the_copy_of_a_long_name_is_no_longer_than_a_name_may_be() -> None:
    """Sixty letters and a number are still an id."""
    long = "x" * 60
    plan = _do(_do(PAIR, "rename", "night", to=long), "duplicate", long)
    assert [s.id for s in plan.setups if s.id.startswith("x")] == [long, "x" * 58 + " 2"]


def test_every_setup_can_go() -> None:
    """A plan without setups is a plan; wishes for named setups go with the last of them."""
    plan = PAIR
    for setup in PAIR.setups:
        plan = _do(plan, "remove", setup.id, section="setups")
    assert plan.setups == ()
    assert [aim.id for aim in plan.aims] == [aim.id for aim in PAIR.aims if not aim.setups]


def test_a_wish_of_another_figure_has_no_source() -> None:
    """The source spoke of the figure that was there; the same one again keeps it."""
    aim = next(a for a in PAIR.aims if a.at_least is not None)
    plan = _do(PAIR, "set", aim.id, field="source", value="a standard", section="aims")
    same = _do(plan, "set", aim.id, field="at_least", value=aim.at_least, section="aims")
    assert next(a for a in same.aims if a.id == aim.id).source == "a standard"
    other = _do(plan, "set", aim.id, field="at_least", value=123, section="aims")
    changed = next(a for a in other.aims if a.id == aim.id)
    assert (changed.at_least, changed.source) == (123, None)


def test_replace() -> None:
    """A whole plan takes the place of another; this is also how undo works."""
    other = PLANS["attic-slope"]
    assert dump(apply(PAIR, {"name": "replace", "args": {"plan": plain(other)}})) == dump(other)


def test_openings_have_ids_too() -> None:
    """Doors and windows are edited like everything else."""
    plan = _do(PAIR, "set", "door", field="to_m", value=1.05)
    assert plan.room.openings[0].to_m == 1.05
    assert len(_do(plan, "remove", "window").room.openings) == 1


@pytest.mark.parametrize(
    ("command", "field"),
    [
        ({"name": "duplicate", "id": "left light", "args": {"section": []}}, "command.args.section"),
        ({"name": "duplicate", "id": "left light", "args": {"as": []}}, "command.args.as"),
        ({}, "command.name"),
        ({"name": "mvoe"}, "command.name"),
        ({"name": "move", "where": 1}, "command.where"),
        ({"name": "move", "args": []}, "command.args"),
        ({"name": "move", "args": {"by_m": [0, 0, 0]}}, "command.id"),
        ({"name": "move", "id": "left ligth", "args": {"by_m": [0, 0, 0]}}, "command.id"),
        ({"name": "move", "id": "left light", "args": {"by": [0, 0, 0]}}, "command.args.by"),
        ({"name": "move", "id": "left light", "args": {}}, "command.args"),
        ({"name": "move", "id": "left light", "args": {"to_m": [0, 0]}}, "command.args.to_m"),
        ({"name": "move", "id": "left light", "args": {"to_m": [0, 0, "1"]}}, "command.args.to_m"),
        ({"name": "move", "id": "left light", "args": {"by_m": [0, 0, float("nan")]}}, "command.args.by_m"),
        ({"name": "move", "id": "left light", "args": {"to_m": [9, 9, 1]}}, "lights[0].mount_m"),
        ({"name": "move", "id": "left light", "args": {"to_m": [1, 3, 1], "corner": 0}}, "command.args.corner"),
        ({"name": "move", "id": "glow strip", "args": {"to_m": [1, 2.9, 1]}}, "command.args.corner"),
        ({"name": "move", "id": "glow strip", "args": {"to_m": [1, 2.9, 1], "corner": 4}}, "command.args.corner"),
        ({"name": "move", "id": "bedroom circuit", "args": {"by_m": [0, 0, 0]}}, "command.id"),
        ({"name": "move", "id": "driver", "args": {"by_m": [0, 0, 0]}}, "command.id"),
        ({"name": "set", "id": "left light", "args": {"value": 3}}, "command.args.field"),
        ({"name": "set", "id": "left light", "args": {"field": "lamp.flux_lm"}}, "command.args.value"),
        ({"name": "set", "id": "left light", "args": {"field": "lamp.flux_lm", "value": -1}}, "lights[0].lamp.flux_lm"),
        ({"name": "set", "id": "left light", "args": {"field": "lamp.flux", "value": 1}}, "lights[0].lamp.flux"),
        ({"name": "set", "id": "left light", "args": {"field": "lamp.flux", "value": None}}, "command.args.field"),
        ({"name": "set", "id": "left light", "args": {"field": "lampp.flux_lm", "value": None}}, "command.args.field"),
        ({"name": "set", "id": "left light", "args": {"field": "id", "value": "x"}}, "command.args.field"),
        ({"name": "set", "id": "left light", "args": {"field": "mount_m.7", "value": 1}}, "command.args.field"),
        ({"name": "set", "id": "left light", "args": {"field": "fed_from.x", "value": 1}}, "command.args.field"),
        ({"name": "set", "id": "plan", "args": {"field": "room", "value": None}}, "room"),
        ({"name": "add", "args": {"section": "light", "item": {}}}, "command.args.section"),
        ({"name": "add", "args": {"item": {}}}, "command.args.section"),
        ({"name": "add", "args": {"section": "lights", "item": 3}}, "command.args.item"),
        ({"name": "add", "args": {"section": "lights", "item": {"id": "left light"}}}, "lights[2].mount_m"),
        ({"name": "remove", "id": "nothing"}, "command.id"),
        ({"name": "remove", "id": "mattress", "ids": ["mattress"]}, "command.ids"),
        ({"name": "remove", "ids": [3]}, "command.id"),
        ({"name": "duplicate", "id": "left light", "args": {"as": "right light"}}, "lights[2].id"),
        ({"name": "duplicate", "id": "clock", "args": {"by_m": [0, 0, 1]}}, "command.args.by_m"),
        ({"name": "mirror", "id": "driver"}, "command.id"),
        ({"name": "rename", "id": "left light", "args": {}}, "command.args.to"),
        ({"name": "rename", "id": "left light", "args": {"to": "clock"}}, "command.args.to"),
        ({"name": "rename", "id": "left light", "args": {"to": "a:b"}}, "lights[0].id"),
        ({"name": "plug", "id": "left light", "args": {}}, "command.args.into"),
        ({"name": "plug", "id": "left light", "args": {"into": "headboard"}}, "lights[0].fed_from"),
        ({"name": "plug", "id": "mattress", "args": {"into": "driver"}}, "command.id"),
        ({"name": "plug", "id": "clock", "args": {"into": None}}, "supply[9].fed_from"),
        ({"name": "level", "args": {"setup": "reading", "of": "left light", "value": 1}}, "command.args.setup"),
        ({"name": "level", "args": {"setup": "night", "of": "clock", "value": 1}}, "command.args.of"),
        ({"name": "level", "args": {"setup": "night", "of": "left light", "value": 1.2}}, "command.args.value"),
        ({"name": "level", "id": "x", "args": {}}, "command.id"),
        ({"name": "order", "id": "night", "args": {"to": 99}}, "command.args.to"),
        ({"name": "order", "id": "night", "args": {"to": True}}, "command.args.to"),
        ({"name": "run", "args": {"setup": "night", "of": "left light", "value": True}}, "command.args.of"),
        ({"name": "run", "args": {"setup": "night", "of": "clock", "value": 1}}, "command.args.value"),
        ({"name": "run", "args": {"setup": "dusk", "of": "clock", "value": True}}, "command.args.setup"),
        ({"name": "set", "id": "calm evening", "args": {"field": "setups", "value": ["dusk"]}}, "aims[4].setups"),
        ({"name": "replace", "args": {}}, "plan"),
    ],
)  # fmt: skip
def test_refused(command: dict[str, Any], field: str) -> None:
    """Each kind of bad command names the field of the command or of the plan, and changes nothing."""
    before = dump(PAIR)
    with pytest.raises(ScenarioError) as caught:
        apply(PAIR, command)
    assert field in [fault.field for fault in caught.value.faults], caught.value.faults
    assert dump(PAIR) == before


def test_a_name_in_two_sections_must_be_told_apart() -> None:
    """A setup and an aim of one name are told apart by the section."""
    plan = _do(PAIR, "rename", "calm evening", to="evening glow")
    with pytest.raises(ScenarioError, match="must say which 'evening glow' is meant"):
        _do(plan, "remove", "evening glow")
    assert len(_do(plan, "remove", "evening glow", section="aims").setups) == len(PAIR.setups)


def test_the_command_is_not_changed() -> None:
    """An item given to add is copied: changing it later does not reach the plan."""
    item = {"id": "box", "kind": "chest", "at_m": [3, 1, 0], "size_m": [0.4, 0.4, 0.4]}
    command = {"name": "add", "args": {"section": "furniture", "item": item}, "stamp": 7}
    plan = apply(PAIR, command)
    item["id"] = "other"
    assert _item(plan, "box").kind == "chest"


names = st.sampled_from(sorted(PLANS))
steps = st.floats(-0.4, 0.4).map(lambda value: round(value, 4))


@settings(deadline=None, max_examples=40)
@given(names, st.data(), steps, steps, steps)
def test_a_move_and_its_inverse_restore(
    stem: str, data: st.DataObject, dx: float, dy: float, dz: float
) -> None:
    """Moving anything that has a place there and back gives the same bytes, or is refused whole."""
    plan = PLANS[stem]
    before = dump(plan)
    sections = (plan.lights, plan.strips, plan.furniture)
    item = data.draw(st.sampled_from([item for section in sections for item in section]))
    try:
        moved = _do(plan, "move", item.id, by_m=[dx, dy, dz])
    except ScenarioError:
        assert dump(plan) == before
        return
    assert dump(_do(moved, "move", item.id, by_m=[-dx, -dy, -dz])) == before


@settings(deadline=None, max_examples=40)
@given(names, st.data())
def test_a_rename_and_its_inverse_restore(stem: str, data: st.DataObject) -> None:
    """Any thing renamed and renamed back gives the same bytes."""
    plan = PLANS[stem]
    sections = (plan.lights, plan.strips, plan.furniture, plan.people, plan.supply)
    name = data.draw(st.sampled_from([item.id for section in sections for item in section]))
    taken = {setup.id for setup in plan.setups} | {aim.id for aim in plan.aims}
    if name in taken:
        return
    there = _do(plan, "rename", name, to="quite another name")
    assert dump(there) != dump(plan)
    assert dump(_do(there, "rename", "quite another name", to=name)) == dump(plan)


@settings(deadline=None, max_examples=40)
@given(names, st.data(), st.floats(1, 5000))
def test_a_set_and_its_inverse_restore(stem: str, data: st.DataObject, flux: float) -> None:
    """A flux that was set and set back gives the same bytes."""
    plan = PLANS[stem]
    light = data.draw(st.sampled_from(plan.lights))
    there = _do(plan, "set", light.id, field="lamp.flux_lm", value=flux)
    assert _do(there, "set", light.id, field="lamp.flux_lm", value=light.lamp.flux_lm) == plan


@settings(deadline=None, max_examples=40)
@given(names, st.data())
def test_a_duplicate_removed_restores(stem: str, data: st.DataObject) -> None:
    """A copy that is removed again leaves no trace."""
    plan = PLANS[stem]
    sections = (plan.lights, plan.strips, plan.furniture)
    item = data.draw(st.sampled_from([item for section in sections for item in section]))
    twin = _do(plan, "duplicate", item.id, by_m=[0, 0, 0], **{"as": "the twin"})
    assert dump(_do(twin, "remove", "the twin")) == dump(plan)


plain_values = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.floats() | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3)
    ),
    max_leaves=6,
)
arg_names = st.sampled_from(sorted({key for _, known, _ in COMMANDS.values() for key in known}))
ids = st.sampled_from(
    ["left light", "glow strip", "clock", "plan", "room", "left", "night", "door"]
)


@settings(deadline=None, max_examples=200)
@given(
    st.sampled_from(sorted(COMMANDS)),
    ids | plain_values,
    st.dictionaries(arg_names, plain_values | ids, max_size=3),
)
def test_any_command_is_done_or_refused(name: str, id: object, args: dict[str, Any]) -> None:  # noqa: A002
    """No command, however odd, breaks anything: a sound plan comes back, or one refusal."""
    before = dump(PAIR)
    try:
        after = apply(PAIR, {"name": name, "id": id, "args": args})
    except ScenarioError:
        after = PAIR
    assert parse(plain(after)) == after
    assert dump(PAIR) == before
