"""What a person types into a form, in every room: fields are read by what they are declared as."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lumen.app import commands
from lumen.app.declared import holds
from lumen.app.inspect import SECTIONS, fields_of
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.files import examples, load
from lumen.scenario.lights import Lamp, Light, Strip
from lumen.scenario.room import Finish, Furniture, Room
from lumen.scenario.supply import Driver


def _typed(name: str, field: str, text: str, system: str = "cm") -> dict[str, Any]:
    args = {"field": field, "text": text, "system": system}
    return {"name": "type", "id": name, "args": args, "stamp": 1}


@pytest.mark.parametrize(
    ("model", "name", "kind"),
    [
        (Scenario, "lights", "other"),
        (Scenario, "title", "text"),
        (Room, "openings", "other"),
        (Room, "outline_m", "path"),
        (Light, "mount_m", "point"),
        (Light, "lamp", "part"),
        (Light, "dims", "flag"),
        (Light, "wall", "number"),
        (Lamp, "flux_lm", "number"),
        (Strip, "path_m", "path"),
        (Strip, "facing", "choice"),
        (Strip, "volts", "choice"),
        (Furniture, "size_m", "point"),
        (Finish, "colour", "colour"),
        (Finish, "lrv", "number"),
        (Driver, "cord_route", "choices"),
        (Driver, "at_m", "point"),
    ],
)
def test_a_field_holds_what_it_is_declared_to_hold(model: Any, name: str, kind: str) -> None:
    """Decided by the type alone, so three of anything are never taken for a point."""
    assert holds(model, name).kind == kind


@pytest.mark.parametrize("file", examples(), ids=lambda file: file.stem)
def test_every_field_takes_what_it_shows(file: Path) -> None:
    """Typing into a field of each sort of thing what stands there already is never refused."""
    scenario = load(file)
    document = commands.document_of(scenario)
    things = {type(item): item.id for section in SECTIONS for item in getattr(scenario, section)}
    shown = [("plan", ""), ("room", ""), *((name, "") for name in things.values())]
    shown += [(one.id, "openings") for one in scenario.room.openings]
    shown += [(one.id, "slopes") for one in scenario.room.slopes]
    for number, (name, section) in enumerate(shown):
        system = ("cm", "ft-in")[number % 2]
        for field in fields_of(scenario, name, system, section):
            command = _typed(name, field.path, field.text, system)
            command["args"]["section"] = section
            assert commands.run(document, command).answered["faults"] == [], (name, field)


def test_three_of_everything_can_still_be_renamed(plain_pair: Scenario) -> None:
    """A plan with three lights, three strips, three openings and so on takes a new name."""
    plan = plain(plain_pair)
    for section in ("lights", "strips", "furniture", "people", "supply", "setups"):
        items = plan[section]
        plan[section] = (items + [{**items[-1], "id": f"{section} {n}"} for n in "ab"])[:3]
    kept = {item["id"] for section in SECTIONS for item in plan[section]}
    plan["aims"] = []
    for item in (*plan["lights"], *plan["strips"], *plan["supply"]):
        if item.get("fed_from") not in kept and "fed_from" in item:
            item["fed_from"] = next(n["id"] for n in plan["supply"] if n["kind"] == "outlet")
        item.pop("inside", None)
    for strip in plan["strips"]:
        strip.pop("fed_from", None)
    for setup in plan["setups"]:
        setup["levels"], setup["running"] = {}, []
    document = commands.document_of(parse(plan))
    outcome = commands.run(document, _typed("plan", "title", "Three of each"))
    assert outcome.document is not None, outcome.answered
    assert outcome.document["plan"]["title"] == "Three of each"


def test_furniture_called_by_a_number_can_be_chosen(plain_pair: Scenario) -> None:
    """A nightstand called 12 is a nightstand: a choice among things is no number."""
    plan = plain(plain_pair)
    stand = next(item for item in plan["furniture"] if item["kind"] == "nightstand")
    renamed = commands.run(
        commands.document_of(parse(plan)),
        {"name": "rename", "id": stand["id"], "args": {"to": "12"}},
    )
    assert renamed.document is not None
    strip = next(n["id"] for n in renamed.document["plan"]["supply"] if n["kind"] == "power strip")
    outcome = commands.run(renamed.document, _typed(strip, "inside", "12"))
    plan = (outcome.document or renamed.document)["plan"]
    assert outcome.answered["faults"] == []
    assert next(n for n in plan["supply"] if n["id"] == strip)["inside"] == "12"


@pytest.mark.parametrize(
    ("text", "colour"),
    [("beige", "#f5f5dc"), ("Slate Blue", "#6a5acd"), ("#fa0", "#ffaa00"), ("#C8A078", "#C8A078")],
)
def test_a_colour_may_be_typed_by_its_name(
    document: dict[str, Any], text: str, colour: str
) -> None:
    """Names of CSS and short hexadecimal digits are taken; the plan keeps #rrggbb."""
    outcome = commands.run(document, _typed("room", "finishes.walls.colour", text))
    assert outcome.document is not None, outcome.answered
    assert outcome.document["plan"]["room"]["finishes"]["walls"]["colour"] == colour


def test_a_colour_that_is_none_is_refused_with_what_can_be_typed(document: dict[str, Any]) -> None:
    """No such colour: the sentence names the field and gives examples."""
    (fault,) = commands.run(document, _typed("room", "finishes.walls.colour", "mud")).answered[
        "faults"
    ]
    assert fault["text"] == (
        "Colour must be a colour: a name such as beige or slate blue, or #rrggbb (got mud)."
    )


def test_a_writer_that_breaks_answers_all_the_same(
    document: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever goes wrong, the command is answered with a sentence and the plan stays."""

    def breaks(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(commands, "carry_out", breaks)
    outcome = commands.run(document, _typed("plan", "title", "x"))
    assert outcome.document is None
    assert outcome.answered["stamp"] == 1
    assert [fault["text"] for fault in outcome.answered["faults"]] == [commands.BROKEN]


def test_closed_lists_are_choices(plain_pair: Scenario) -> None:
    """Shade's cloth, kinds of appliances and ticked words: each is chosen from what there is."""
    fields = {field.path: field for field in fields_of(plain_pair, "left light", "cm")}
    cloth = dict(fields["distribution.material"].options)
    assert {"fabric, light", "fabric, medium"} <= set(cloth)
    assert "open" in dict(fields["cord.route"].options)
    appliance = next(node for node in plain_pair.supply if node.kind == "appliance")
    like = {field.path: field for field in fields_of(plain_pair, appliance.id, "cm")}["like"]
    assert dict(like.options)["hair-dryer"] == "hair dryer"


@pytest.mark.parametrize(("text", "kg"), [("1.1", 1.1), ("2 lb", 0.907185), ("16 oz", 0.453592)])
def test_a_weight_is_typed_in_any_unit(document: dict[str, Any], text: str, kg: float) -> None:
    """Kilograms, pounds (0.45359237 kg by the agreement of 1959) or ounces."""
    outcome = commands.run(document, _typed("left light", "mass_kg", text))
    assert outcome.document is not None, outcome.answered
    assert outcome.document["plan"]["lights"][0]["mass_kg"] == pytest.approx(kg, abs=1e-6)
