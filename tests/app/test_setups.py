"""Setups and wishes on the page: every button's command is one that the plan takes."""

from __future__ import annotations

import html as text_of
import json
import re
from typing import Any

import pytest

from lumen.app import commands, figures, panels
from lumen.app.markup import markup
from lumen.app.panels.wishes import wishes_of
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.files import examples, load

ROOMS = {path.stem: load(path) for path in examples()}
LONG = "the setup in which both of us read and the children sleep  x"


def _commands(html: str) -> list[dict[str, Any]]:
    return [json.loads(text_of.unescape(c)) for c in re.findall(r'data-command="([^"]+)"', html)]


def _run(plan: dict[str, Any], name: str, of: str | None = None, **args: Any) -> commands.Outcome:
    command = {"name": name, "args": args} | ({"id": of} if of else {})
    return commands.run({"revision": 1, "plan": plan}, command)


def _after(plan: dict[str, Any], command: dict[str, Any]) -> Scenario:
    outcome = commands.run({"revision": 1, "plan": plan}, command)
    assert outcome.answered["faults"] == [], command
    assert outcome.document is not None
    return parse(outcome.document["plan"])


def test_a_new_setup_is_empty_and_named_to_the_page(document: dict[str, Any]) -> None:
    """It comes last and lights nothing; the page is told to show it and to take nothing in hand."""
    outcome = _run(document["plan"], "place", what="setup", setup="night")
    assert outcome.document is not None
    last = outcome.document["plan"]["setups"][-1]
    assert outcome.answered["setup"] == last["id"]
    assert "levels" not in last
    assert outcome.answered["made"] == []
    again = _run(outcome.document["plan"], "place", what="setup", setup=last["id"])
    assert again.answered["setup"] not in {s["id"] for s in outcome.document["plan"]["setups"]}


@pytest.mark.parametrize("room", ROOMS)
def test_every_button_of_the_form_is_taken(room: str) -> None:
    """Copy, remove, earlier and later of each setup give a plan; the first cannot go earlier."""
    plan = plain(ROOMS[room])
    for setup in ROOMS[room].setups:
        said = markup(panels.setup_panel(ROOMS[room], setup.id, "cm"))
        first = setup.id == ROOMS[room].setups[0].id
        last = setup.id == ROOMS[room].setups[-1].id
        assert len(re.findall(r"<button[^>]* disabled[ >]", said)) == first + last
        for command in _commands(said):
            to = command["args"].get("to", 0)
            if 0 <= to < len(ROOMS[room].setups):
                _after(plan, command)
            else:
                assert _run(plan, "order", setup.id, **command["args"]).answered["faults"]


def test_fields_of_a_setup_are_typed(document: dict[str, Any]) -> None:
    """Name, hours and the hour of the clock go into the setup, though a person has the same id."""
    plan = json.loads(json.dumps(document["plan"]))
    plan["setups"].append({"id": "left"})
    for field, text, value in (
        ("name", "Ours / at night: dim", "Ours / at night: dim"),
        ("hours_per_day", "1.5", 1.5),
        ("from_h", "21:40", 21.666667),
        ("from_h", "7", 7),
    ):
        outcome = _run(plan, "type", "left", field=field, text=text, section="setups", system="cm")
        assert outcome.document is not None, outcome.answered
        assert outcome.document["plan"]["setups"][-1][field] == value
    said = markup(panels.setup_panel(parse(outcome.document["plan"]), "left", "cm"))
    assert 'value="07:00"' in said
    refused = _run(plan, "type", "left", field="from_h", text="25", section="setups")
    assert refused.document is None
    assert refused.answered["faults"][0]["text"].startswith("Begins at")


def test_boxes_say_what_runs(plain_pair: Scenario) -> None:
    """Each appliance has a box, ticked where it runs in this setup, and its season beside it."""
    plan = _after(
        plain(plain_pair),
        {"name": "run", "args": {"setup": "night", "of": "left charger", "value": True}},
    )
    said = markup(panels.setup_panel(plan, "night", "cm"))
    boxes = re.findall(r'<input type="checkbox" data-run="([^"]+)"[^>]*?( checked)?>', said)
    assert dict(boxes)["left charger"] == " checked"
    ticked = {name for name, on in boxes if on}
    assert ticked == set(next(s for s in plan.setups if s.id == "night").running)
    assert len(boxes) == said.count('data-field="season"') > 1


def test_what_goes_with_a_setup_is_said(document: dict[str, Any]) -> None:
    """Wishes that only spoke of it go, others stay: both are told by name."""
    said = _run(document["plan"], "remove", "evening glow", section="setups").answered["said"]
    assert "With it went the wish calm evening" in said
    said = _run(document["plan"], "remove", "read left", section="setups").answered["said"]
    assert "left page stayed for the other setups" in said
    assert "said" not in _run(document["plan"], "remove", "all off", section="setups").answered


@pytest.mark.parametrize("room", ROOMS)
def test_a_wish_can_be_set_wherever_it_has_an_answer(room: str) -> None:
    """In each room each answer without a wish offers one that the study then judges."""
    found = commands.found({**plain(ROOMS[room]), "aims": []})
    setup = found.scenario.setups[0].id
    html = panels.study_panels(found.study, setup)["answers"]
    adds = [c for c in _commands(html) if c["name"] == "add"]
    assert len(adds) >= 2
    plan = plain(found.scenario)
    for command in adds:
        (aim,) = _after(plan, command).aims
        assert aim.setups == (setup,)
        assert aim.source
    several = {"name": "several", "args": {"commands": adds}}
    judged = commands.found(plain(_after(plan, several)))
    assert judged.study is not None
    assert {r.id for r in judged.study.aims} == {c["args"]["item"]["id"] for c in adds}


def test_a_wish_is_changed_where_its_answer_stands(plain_pair: Scenario) -> None:
    """Its figures are fields, and it can leave this setup or the plan; elsewhere it is offered."""
    here = markup(list(wishes_of(plain_pair, "page:left", "read both")))
    assert 'data-wish="left page" data-wish-field="at_least" value="300"' in here
    leaves, goes = _commands(here)
    plan = plain(plain_pair)
    left = next(a for a in _after(plan, leaves).aims if a.id == "left page")
    assert left.setups == ("read left",)
    assert "left page" not in {aim.id for aim in _after(plan, goes).aims}
    there = markup(list(wishes_of(plain_pair, "page:left", "night")))
    (joins,) = _commands(there)
    joined = next(a for a in _after(plan, joins).aims if a.id == "left page")
    assert joined.setups == ("read left", "read both", "night")


def test_a_name_that_begins_another_s_is_not_taken_for_it(plain_pair: Scenario) -> None:
    """A wish for the eyes of "left one" is none for those of "left"."""
    plan = plain(plain_pair)
    plan["people"].append({"id": "left one", "side": "middle"})
    aim = {"id": "x", "of": "eye:left one", "at_most": 3}
    plan["aims"] = [aim]
    assert "data-wish" not in markup(list(wishes_of(parse(plan), "eye:left", "night")))
    assert "data-wish" in markup(list(wishes_of(parse(plan), "eye:left one", "night")))


@pytest.mark.parametrize("count", [0, 24])
def test_none_and_many_setups_show(plain_pair: Scenario, count: int) -> None:
    """Every panel and picture is made for no setup and for two dozen with long names."""
    plan = plain(plain_pair)
    plan["setups"] = [{"id": f"{LONG[:57]} {n}", "levels": {"left light": 1}} for n in range(count)]
    plan["aims"] = []
    found = commands.found(plan)
    assert found.study is not None
    setup = found.scenario.setups[0].id if count else ""
    said = panels.study_panels(found.study, setup)
    assert said["setups"].count("data-setup=") == count
    assert ("No setup yet" in said["answers"]) == (count == 0)
    assert ('data-opens="power"' in said["answers"]) == (count > 0)
    assert panels.form_panels(found.scenario, [], "cm", setup)["this-setup"].count('"setup"') == 1
    panels.choice_panels(found.scenario, figures.places(found.scenario))
    panels.heights_panels(found.scenario, "left light", setup, "cm")
    panels.compare_panels(found.study, setup, setup)
    picture = figures.walk_in(found.study, "door", setup, 25.0)
    black = {c for m in picture["data"] if m["type"] == "mesh3d" for c in m["vertexcolor"]}
    assert (black == {"rgb(0,0,0)"}) == (count == 0)


def test_boxes_say_who_reads(plain_pair: Scenario) -> None:
    """Ticked are those who read by light and wish, or those that the plan names; one press back."""
    said = markup(panels.setup_panel(plain_pair, "read left", "cm"))
    boxes = dict(re.findall(r'data-reads="([^"]+)"[^>]*?( checked)?>', said))
    assert boxes == {"left": " checked", "right": ""}
    args = {"field": "reading", "value": [], "section": "setups"}
    nobody = _after(plain(plain_pair), {"name": "set", "id": "read left", "args": args})
    said = markup(panels.setup_panel(nobody, "read left", "cm"))
    assert dict(re.findall(r'data-reads="([^"]+)"[^>]*?( checked)?>', said)) == {
        "left": "",
        "right": "",
    }
    (back,) = [c for c in _commands(said) if c["name"] == "set"]
    assert _after(plain(nobody), back).setups[0].reading is None
