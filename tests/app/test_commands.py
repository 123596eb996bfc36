"""Commands of the page: what they make of a document, and what they refuse."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from lumen.app import commands
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.files import examples, load


def _typed(field: str, text: str, name: str = "left light", system: str = "cm") -> dict[str, Any]:
    args = {"field": field, "text": text, "system": system}
    return {"name": "type", "id": name, "args": args, "stamp": 7}


def _light(outcome: commands.Outcome, name: str = "left light") -> dict[str, Any]:
    assert outcome.document is not None, outcome.answered
    return next(light for light in outcome.document["plan"]["lights"] if light["id"] == name)


def test_a_command_gives_the_next_revision(document: dict[str, Any]) -> None:
    """A move gives a new document, one revision on, and answers with the command's stamp."""
    command = {"name": "move", "id": "left light", "args": {"by_m": [0, 0, 0.1]}, "stamp": 3}
    outcome = commands.run(document, command)
    assert _light(outcome)["mount_m"][2] == pytest.approx(1.32)
    assert outcome.answered == {"stamp": 3, "faults": [], "revision": 2}


def test_the_drawings_know_what_each_light_can_give() -> None:
    """The sliders relight by the study's own rules: they come with what the drawings are given."""
    plan = plain(load(examples()[0]))
    plan["lights"][0]["dims"] = False
    found = commands.found(plan)
    drawn = json.loads(commands.study_text(found))
    assert drawn["dimming"] == found.data["dimming"]
    assert drawn["dimming"][plan["lights"][0]["id"]]["on_off"] is True


def test_the_document_given_is_never_changed(document: dict[str, Any]) -> None:
    """Running a command leaves the document it was given as it was."""
    before = copy.deepcopy(document)
    commands.run(document, _typed("mount_m.2", "130"))
    assert document == before


def test_a_command_that_changes_nothing_makes_no_revision(document: dict[str, Any]) -> None:
    """Typing the value that stands already is answered without a new document."""
    outcome = commands.run(document, _typed("lamp.flux_lm", "470"))
    assert outcome.document is None
    assert outcome.answered["faults"] == []


@pytest.mark.parametrize(
    ("field", "text", "system", "value"),
    [
        ("mount_m.2", "130", "cm", 1.30),
        ("mount_m.2", "1.3 m", "ft-in", 1.30),
        ("mount_m.2", "4' 1/2\"", "cm", 1.2319),
        ("mount_m.2", "48", "ft-in", 1.2192),
    ],
)
def test_lengths_are_read_in_any_unit(
    document: dict[str, Any], field: str, text: str, system: str, value: float
) -> None:
    """A bare number is in the unit of the page; one with its unit is read as it says."""
    outcome = commands.run(document, _typed(field, text, system=system))
    assert _light(outcome)["mount_m"][2] == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "value"),
    [("800", 800), ("800 lm", 800), ("700-800", [700, 800]), ("about 450 lumen", 450)],
)
def test_amounts_take_units_and_ranges(document: dict[str, Any], text: str, value: object) -> None:
    """A bulb's lumens may be typed with their unit, and as a range."""
    assert _light(commands.run(document, _typed("lamp.flux_lm", text)))["lamp"]["flux_lm"] == value


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("lamp.flux_lm", "-5", "0 or more"),
        ("lamp.flux_lm", "12 candles", "must be in lm"),
        ("lamp.flux_lm", "bright", "must be a number"),
        ("mount_m.2", "900", "above the floor"),
        ("mount_m.2", "12 parsecs", "must be in one of"),
        ("mount", "floor", "must be 'wall'"),
        ("nonsense", "1", "is not a known field"),
    ],
)
def test_a_bad_value_is_refused_in_a_sentence(
    document: dict[str, Any], field: str, text: str, words: str
) -> None:
    """What cannot be is refused with its rule, and no document comes back."""
    outcome = commands.run(document, _typed(field, text))
    assert outcome.document is None
    assert words in outcome.answered["faults"][0]["text"]
    assert outcome.answered["stamp"] == 7


def test_an_emptied_field_goes_back_to_its_default(document: dict[str, Any]) -> None:
    """Emptying a field takes the written value out of the plan."""
    outcome = commands.run(document, _typed("projection_m", ""))
    assert "projection_m" not in _light(outcome)


def test_choosing_a_plug_is_a_plug_command(document: dict[str, Any]) -> None:
    """The field 'plugged into' moves a light in the supply tree."""
    outcome = commands.run(document, _typed("fed_from", "right outlet"))
    assert _light(outcome)["fed_from"] == "right outlet"


def test_another_spread_of_light_starts_with_usual_values(document: dict[str, Any]) -> None:
    """Choosing 'spot' replaces the shade by a beam that can then be changed."""
    outcome = commands.run(document, _typed("distribution.form", "beam"))
    assert _light(outcome)["distribution"] == {"form": "beam", "beam_deg": 30}


def test_several_commands_are_all_done_or_none(document: dict[str, Any]) -> None:
    """When the second of two commands is refused, the first is not done either."""
    good = {"name": "move", "id": "left light", "args": {"by_m": [0, 0, 0.1]}}
    bad = {"name": "remove", "id": "nobody"}
    outcome = commands.run(document, {"name": "several", "args": {"commands": [good, bad]}})
    assert outcome.document is None
    assert outcome.answered["faults"]


def test_a_study_that_fails_keeps_the_plan(
    document: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """When reckoning breaks, the plan comes back with a sentence instead of a study."""

    def broken(scenario: Scenario) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(commands, "study", broken)
    plan = copy.deepcopy(document["plan"])
    plan["title"] = "a plan nobody has reckoned yet"
    result = commands.found(plan)
    assert result.study is None
    assert result.scenario == parse(plan)
    assert "Your plan is kept" in (result.trouble or "")


def test_a_typed_value_is_refused_by_the_name_on_the_form() -> None:
    """Minus five lumens: the sentence names the field as the form does, without paths."""
    document = commands.document_of(load(examples()[0]))
    args = {"field": "lamp.flux_lm", "text": "-5", "system": "cm"}
    told = commands.run(document, {"name": "type", "id": "left light", "args": args}).answered
    (fault,) = told["faults"]
    assert fault["text"] == "Bulb's light must be a number of 0 or more (got -5.0)."


def test_what_was_placed_is_named_so_that_it_can_be_taken_in_the_hand() -> None:
    """A strip comes with its driver; the strip is what the person asked for."""
    document = commands.document_of(load(examples()[0]))
    args = {"what": "glow strip", "setup": "read left"}
    outcome = commands.run(document, {"name": "place", "args": args})
    assert outcome.document is not None
    (made,) = outcome.answered["made"]
    assert made in [strip["id"] for strip in outcome.document["plan"]["strips"]]


def test_an_example_s_note_does_not_follow_into_one_s_own_room(document: dict[str, Any]) -> None:
    """Measured or named anew it is another room; an own note stays, and so does one only edited."""
    plan = document["plan"]
    assert plan["note"]
    typed = {"name": "type", "id": "plan", "args": {"field": "title", "text": "Ours"}}
    wide = {"name": "measure", "args": {"what": "room_width", "text": "420", "system": "cm"}}
    moved = {"name": "move", "id": "left light", "args": {"by_m": [0, 0, 0.1]}}
    for command, kept in ((typed, False), (wide, False), (moved, True)):
        outcome = commands.run(document, command)
        assert outcome.document is not None
        assert ("note" in outcome.document["plan"]) == kept
        own = {"revision": 1, "plan": {**plan, "note": "For our attic."}}
        after = commands.run(own, command).document
        assert after is not None
        assert after["plan"]["note"] == "For our attic."
    shelf = {"name": "replace", "args": {"plan": plan}}
    opened = commands.run({"revision": 1, "plan": {**plan, "title": "Ours"}}, shelf).document
    assert opened is not None
    assert opened["plan"]["note"] == plan["note"]
