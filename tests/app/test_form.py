"""Forms are what the models say of their fields; nothing is guessed from a name or a value."""

from __future__ import annotations

import re
import typing
import xml.etree.ElementTree as ElementTree
from html import unescape
from typing import Annotated, Any

import pytest

from lumen.app import commands, inspect, panels
from lumen.app.inspect import SECTIONS, fields_of, wall_name
from lumen.app.markup import markup
from lumen.app.measures import MEASURES, measure_svg
from lumen.app.panels.form import form
from lumen.scenario.base import CLOCK, LENGTH, MASS, SHARE, Part, Shown, shown_of
from lumen.scenario.document import Scenario, plain
from lumen.scenario.files import examples, load
from lumen.scenario.lights import Light
from lumen.scenario.room import Colour

NOT_IN_FORMS = {
    "id", "format", "schema_for_editors", "identity", "room", "furniture", "people", "lights",
    "strips", "supply", "setups", "aims", "slopes", "openings", "wall_by_wall", "lm63", "levels",
    "running", "reading", "form", "box_says",
}  # fmt: skip
UNITS = {
    "_m": LENGTH, "_kg": MASS, "_lm": "lm", "_w": "W", "_k": "K", "_deg": "°", "_a": "A",
    "_v": "V", "_m2": "m²", "_mm2": "mm²", "_h": CLOCK, "_lm_per_m": "lm/m", "_c": "°C",
    "_w_per_m": "W/m", "_ohm_per_m": "Ω/m", "leds_per_m": "/m",
    "_cd_m2": "cd/m²", "hours_per_day": "hours a day", "pst_lm": "",
}  # fmt: skip


def _models() -> set[type[Part]]:
    seen: set[type[Part]] = set()
    todo: list[Any] = [Scenario]
    while todo:
        one = todo.pop()
        if isinstance(one, type) and issubclass(one, Part):
            if one not in seen and one.__name__ != "AimFor":  # wishes have a card of their own
                seen.add(one)
                todo += [info.annotation for info in one.model_fields.values()]
        else:
            todo += typing.get_args(one)
    return seen


@pytest.mark.parametrize("model", sorted(_models(), key=lambda one: one.__name__))
def test_every_field_says_what_it_is(model: type[Part]) -> None:
    """Label, a sentence of help that ends with a stop, and the unit that its name speaks of."""
    for name in model.model_fields:
        shown = shown_of(model, name)
        if shown is None:
            assert name in NOT_IN_FORMS or name in ("kind",), (model.__name__, name)
            continue
        assert shown.label[:1].isupper(), name
        assert shown.help.endswith("."), name
        assert 2 <= len(shown.help.split()) <= 30, name
        suffixes = [suffix for suffix in UNITS if name.endswith(suffix)]
        unit = UNITS[max(suffixes, key=len)] if suffixes else None
        assert unit is None or shown.unit == unit, (model.__name__, name, shown.unit)


def test_a_drawing_is_of_a_field_that_there_is() -> None:
    """Every drawing's key is a field with a length or an angle; most such fields have a drawing."""
    measured = {}
    for model in _models():
        for name in model.model_fields:
            shown = shown_of(model, name)
            if shown is not None and shown.unit in (LENGTH, "°"):
                owner = next(one for one in model.__mro__ if name in one.__annotations__)
                measured[f"{owner.__name__}.{name}"] = shown
    drawn = {re.sub(r"\.\d$", "", key) for key in MEASURES}
    assert drawn - {"Strip.leds_per_m"} <= set(measured)
    assert len(drawn) >= 0.75 * len(measured), set(measured) - drawn
    for key in MEASURES:
        text = measure_svg(key)
        ElementTree.fromstring(text)
        assert text.count("<path") >= 2


class Vase(Part):
    """A made-up part."""

    high_m: Annotated[float, Shown("How high", "Without the flowers.", LENGTH, first=True)] = 0.3
    full: Annotated[float, Shown("Filled", "With water.", SHARE, group="Water")] = 0.25
    glaze: Annotated[Colour | None, Shown("Glaze", "Outside.", group="Looks")] = None
    hidden: float = 1.0


class Lit(Light):
    """A light with a vase below it."""

    vase: Annotated[Vase, Shown("Vase", "What stands below it.")] = Vase()


def test_a_field_that_is_new_is_in_the_form(plain_pair: Scenario) -> None:
    """A part that nobody knew has its fields, typed as they are declared, under its headings."""
    light = Lit(**plain(plain_pair.lights[0]))
    plan = plain_pair.model_copy(update={"lights": (light,)})
    fields = {one.path: one for one in fields_of(plan, light.id, "cm")}
    high, full, glaze = (fields[f"vase.{name}"] for name in ("high_m", "full", "glaze"))
    assert (high.label, high.kind, high.text, high.group) == ("How high", "length", "30 cm", "Vase")
    assert (full.unit, full.text, full.group, full.first) == ("%", "25", "Water", False)
    assert glaze.kind == "colour"
    assert "vase.hidden" not in fields
    text = markup(form(fields.values(), light.id))
    assert text.index("How high") < text.index("<summary>Water</summary>")
    assert "Without the flowers." in text


@pytest.mark.parametrize("file", examples(), ids=lambda file: file.stem)
def test_what_decides_stands_first_and_the_rest_is_folded(file: Any) -> None:
    """In every room each thing has a few open fields, and each field a question mark with words."""
    plan = load(file)
    for section in SECTIONS:
        for item in getattr(plan, section):
            fields = fields_of(plan, item.id, "cm")
            firsts = [one for one in fields if one.first]
            assert 2 <= len(firsts) <= 16, (item.id, [one.path for one in firsts])
            text = unescape(markup(form(fields, item.id)))
            for group in {one.group for one in fields if not one.first}:
                heads = re.findall(r"<summary>([^<]*)</summary>", text)
                assert group in heads or f"{group}: more" in heads, (item.id, group)
            asked = [one for one in fields if one.help]
            assert text.count('<summary aria-label="What is this: ') == len(asked)


def test_each_number_takes_the_unit_it_shows(plain_pair: Scenario) -> None:
    """What stands in a field with its unit behind it, as the form shows both, can be typed."""
    document = commands.document_of(plain_pair)
    tried = set()
    for name in ("plan", "left light", "glow strip", "headboard", "left", "driver", "clock"):
        for field in fields_of(plain_pair, name, "cm"):
            if field.kind == "number" and field.text and field.unit:
                args = {"field": field.path, "text": f"{field.text} {field.unit}", "system": "cm"}
                outcome = commands.run(document, {"name": "type", "id": name, "args": args})
                clock = field.unit == CLOCK  # 22:00 o'clock is nobody's way to write
                assert clock or outcome.answered["faults"] == [], (name, field)
                tried.add(field.unit)
    assert tried >= {"lm", "W", "K", "°", "lm/m", "W/m", "Ω/m", "/m", "V", "%"}


def test_a_share_is_typed_in_percent(document: dict[str, Any]) -> None:
    """5 % is a share of 0.05; more than all is refused in the words of the form."""

    def typed(text: str) -> Any:
        args = {"field": "lowest_level", "text": text, "system": "cm"}
        return commands.run(document, {"name": "type", "id": "left light", "args": args})

    plan = typed("5 %").document
    assert plan is not None
    assert plan["plan"]["lights"][0]["lowest_level"] == 0.05
    (fault,) = typed("120").answered["faults"]
    assert fault["text"] == "Dims down to must be one number from 0 to 100 % (got 120)."


def test_walls_are_chosen_by_the_side_they_are_on(plain_pair: Scenario) -> None:
    """A number of a wall is a choice among the walls as one sees them from the bed's foot."""
    assert [wall_name(plain_pair, wall) for wall in range(4)] == [
        "across from the bed, 3.60 m",
        "on the right, 3.00 m",
        "the bed wall, 3.60 m",
        "on the left, 3.00 m",
    ]
    fields = {one.path: one for one in fields_of(plain_pair, "left light", "cm")}
    assert fields["wall"].kind == "choice"
    assert fields["wall"].choices == (0, 1, 2, 3)


def test_a_size_that_is_not_known_is_typed_as_one(plain_pair: Scenario) -> None:
    """A driver without measures takes all three in one field, in any unit of length."""
    fields = {one.path: one for one in fields_of(plain_pair, "driver", "cm")}
    assert (fields["size_m"].kind, fields["size_m"].label) == (
        "lengths",
        "Size: wide x deep x high",
    )
    document = commands.document_of(plain_pair)

    def typed(text: str) -> Any:
        args = {"field": "size_m", "text": text, "system": "cm"}
        return commands.run(document, {"name": "type", "id": "driver", "args": args})

    after = typed("160 x 40 x 30 mm").document
    assert after is not None
    driver = next(node for node in after["plan"]["supply"] if node["id"] == "driver")
    assert driver["size_m"] == [0.16, 0.04, 0.03]
    assert typed("160 mm").document is None
    assert typed("160 x x 30 mm").answered["faults"][0]["field"].startswith("Size")


def test_doors_and_windows_have_forms(plain_pair: Scenario) -> None:
    """An opening is found by its section, and what is typed into it goes there."""
    door = next(one for one in plain_pair.room.openings if one.kind == "door")
    fields = {one.path: one for one in fields_of(plain_pair, door.id, "cm", "openings")}
    assert fields["head_m"].text == f"{100 * door.head_m:g} cm"
    args = {"field": "head_m", "text": "2.05 m", "system": "cm", "section": "openings"}
    command = {"name": "type", "id": door.id, "args": args}
    after = commands.run(commands.document_of(plain_pair), command).document
    assert after is not None
    doors = [one for one in after["plan"]["room"]["openings"] if one["id"] == door.id]
    assert doors[0]["head_m"] == 2.05
    assert 'data-section="openings"' in panels.form_panels(plain_pair, [door.id], "cm")["thing"]
    assert inspect.item_of(plain_pair, door.id) is not None
