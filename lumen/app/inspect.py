"""The fields of one thing of the plan, as a form shows them.

The fields come from the document's own models, so that a field that the document learns appears
in the form by itself. Lengths are shown and read in centimetres or in feet and inches.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from lumen.app.declared import Holds, holds
from lumen.scenario.base import Part
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Cord
from lumen.scenario.people import Person
from lumen.study.scene.media import medium_of
from lumen.tables import table
from lumen.units import show_feet_inches

__all__ = [
    "CLOCK",
    "NEW_FORM",
    "SECTIONS",
    "Field",
    "clock_text",
    "fields_of",
    "item_of",
    "length_text",
    "name_of",
    "number_text",
]

Json = dict[str, Any]

SECTIONS = ("lights", "strips", "furniture", "people", "supply")

CLOCK = "o'clock"

_UNITS = {
    "m": "length",
    "lm": "lm",
    "w": "W",
    "k": "K",
    "deg": "degrees",
    "a": "A",
    "v": "V",
    "kg": "kg",
    "m2": "m²",
    "mm2": "mm²",
    "lx": "lx",
    "h": CLOCK,
    "lm_per_m": "lm a metre",
    "w_per_m": "W a metre",
    "ohm_per_m": "ohm a metre",
    "leds_per_m": "a metre",
    "hours_per_day": "hours a day",
}

_WORDS = {
    "mount_m": "Fixed at",
    "at_m": "Place (middle of underside)",
    "size_m": "Size",
    "lamp.flux_lm": "Bulb's light, as on its box",
    "lamp.power_w": "Bulb's watts",
    "lamp.cct_k": "Warmth of white",
    "lamp.kind": "Kind of bulb",
    "lamp.diameter_m": "Bulb's width",
    "lamps": "Number of bulbs",
    "dims": "Can be dimmed",
    "dimmer": "Has a dimmer of its own",
    "lowest_level": "Dims down to (0 to 1)",
    "lamp.lowest_level": "Bulb dims down to (0 to 1)",
    "made_for": "Made for",
    "conversion": "Changed over by",
    "body": "Made of",
    "enclosure": "Wiring closed in",
    "strain_relief": "Cord held against pulling",
    "fixing": "Held by",
    "inline_switch": "Switch in the cord",
    "protection_class": "Protection class on its label",
    "projection_m": "Stands off the wall by",
    "drop_m": "Hangs lower by",
    "wall": "Wall number",
    "aim.at": "Aimed at",
    "aim.tilt_deg": "Tilt (0 down, 90 level, 180 up)",
    "aim.turn_deg": "Turned (0 into the room)",
    "distribution.form": "How it spreads its light",
    "distribution.beam_deg": "How tight the beam is",
    "distribution.field_deg": "Beam's outer edge",
    "distribution.file_name": "Distribution file",
    "distribution.width_m": "Panel's width, across its aim",
    "distribution.length_m": "Panel's length, the way it is turned",
    "output_share": "Share of the bulb's light that leaves the shade",
    "maintenance_factor": "Share of its light left after years and dust",
    "ageing.maintenance_factor": "Left of lamps, spots and panels (maintenance factor)",
    "ageing.dusty_maintenance_factor": "Left of fabric shades, light thrown up, strips",
    "ageing.counted": "Reckon every number as after these years",
    "age_factor": "Wants so many times the usual light on a page",
    "fed_from": "Plugged into",
    "inside": "Lies inside",
    "flux_lm_per_m": "Light of the tape",
    "power_w_per_m": "Watts of the tape",
    "leds_per_m": "Dots",
    "cut_m": "Cut mark every",
    "loop_ohm_per_m": "Resistance of the tape",
    "path_m": "Path of the strip",
    "lean_deg": "Leans back by",
    "turn_deg": "Turned by",
    "finish.lrv": "Finish (0 black, 100 white)",
    "finish.colour": "Colour",
    "mirror_front": "Its front is a mirror",
    "gaze_down_deg": "Looks down by",
    "rating_a": "Rating on the label",
    "breaker_a": "Breaker",
    "electronic_w": "Rating for LED loads",
    "motor_w": "Rating for motors",
    "label_v": "Volts on the label",
    "motor": "Has a motor",
    "medical": "Keeps somebody well (medical device)",
    "plug_fuse_a": "Fuse in the plug",
    "rating_w": "Rating on the label",
    "output_v": "Gives",
    "power_w": "Watts on the label",
    "like": "Kind of thing",
    "price": "Price",
    "eye_above_mattress_m": "Eye above mattress, sitting",
    "eye_from_head_end_m": "Eye from head end, sitting",
    "lying_eye_above_mattress_m": "Eye above mattress, lying",
    "lying_eye_from_head_end_m": "Eye from head end, lying",
    "from_centre_m": "From the bed's centre line",
    "mass_kg": "Weight",
    "to_fabric_m": "Gap to curtain or bedding",
    "from_h": "Begins at",
    "on_from_h": "Goes on at",
    "hours_per_day": "Is on for",
    "max_lamp_w": "Largest bulb on its label",
}

_GROUPS = {
    "lamp": "Bulb",
    "distribution": "Shade and beam",
    "aim": "Direction",
    "cord": "Cord",
    "feed_cord": "Cord from driver to strip",
    "finish": "Finish",
    "compartment": "Hidden space",
    "page": "Page",
    "ageing": "Years of use and dust",
}

_FORMS = {
    "all round": "all round: bare or fully diffusing",
    "opal": "opal: one way, very soft",
    "cosine": "soft beam",
    "beam": "spot",
    "shade": "shade, from its measurements",
    "panel": "panel: a flat rectangle, even",
    "file": "from a distribution file",
}

NEW_FORM: dict[str, Json] = {
    "all round": {"form": "all round"},
    "opal": {"form": "opal"},
    "cosine": {"form": "cosine", "beam_deg": 60},
    "beam": {"form": "beam", "beam_deg": 30},
    "shade": {"form": "shade", "bottom_diameter_m": 0.15, "height_m": 0.18},
    "panel": {"form": "panel", "width_m": 0.6, "length_m": 0.6},
}

_HIDDEN = ("id", "identity", "format", "schema_for_editors", "lm63")

_AXES = ("from left wall", "from front", "above floor")
_SIDES = ("wide", "deep", "high")


Kind = Literal["length", "number", "choice", "choices", "flag", "reference", "colour", "text"]


@dataclass(frozen=True)
class Field:
    """One field of a form: where it lives, what it is called, what it holds as text.

    ``options`` are value and words of what can be chosen, ``choices`` the values as the document
    spells them; ``needed`` says that it cannot be left open.
    """

    path: str
    label: str
    kind: Kind
    text: str = ""
    unit: str = ""
    options: tuple[tuple[str, str], ...] = ()
    assumed: str | None = None
    group: str = ""
    choices: tuple[Any, ...] = ()
    needed: bool = False


def item_of(scenario: Scenario, name: str, section: str = "") -> tuple[str, Any] | None:
    """Return section and item of an id, or None; setups are found by their ``section`` only."""
    if section == "setups":
        return next((("setups", one) for one in scenario.setups if one.id == name), None)
    if name == "room":
        return "room", scenario.room
    if name == "plan":
        return "plan", scenario
    for section in SECTIONS:
        for item in getattr(scenario, section):
            if item.id == name:
                return section, item
    return None


def name_of(item: Any) -> str:
    """Return what an item is called on screen."""
    name = getattr(item, "name", None) or item.id
    return str(name[:1].upper() + name[1:])


def length_text(length_m: float, system: str) -> str:
    r"""Return a length as a form shows it: to a millimetre, or to a sixteenth of an inch.

    Examples
    --------
    >>> length_text(0.025, "cm"), length_text(1.22, "cm"), length_text(0.3048, "ft-in")
    ('2.5 cm', '122 cm', '1\' 0"')
    """
    if system == "ft-in":
        return show_feet_inches(length_m)
    return f"{number_text(round(length_m * 100, 1))} cm"


def number_text(value: Any) -> str:
    """Return a number, or a range of two, without needless zeros.

    Examples
    --------
    >>> number_text(470.0), number_text((30.0, 60.0))
    ('470', '30-60')
    """
    if isinstance(value, tuple):
        return "-".join(map(number_text, value))
    return f"{float(value):.6g}"


def clock_text(hour: float) -> str:
    """Return an hour of the day as a clock shows it.

    Examples
    --------
    >>> clock_text(21.5), clock_text(7)
    ('21:30', '07:00')
    """
    minutes = round(60 * hour)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def fields_of(scenario: Scenario, name: str, system: str, section: str = "") -> tuple[Field, ...]:
    """Return every field of a thing, in the order of the document."""
    found = item_of(scenario, name, section)
    if found is None:
        return ()
    _, item = found
    if isinstance(item, Person):
        item = _with_its_page(item)
    return tuple(_walk(scenario, item, "", "", system))


def _with_its_page(person: Person) -> Person:
    """A person with the page's size as it is taken where none is written: that of a phone, say."""
    medium, written = medium_of(person), person.page.model_fields_set
    page = person.page.model_copy()
    for field in ("width_m", "height_m"):
        if field not in written:
            page = page.model_copy(update={field: getattr(medium, field)})
    return person.model_copy(update={"page": page})


def _walk(scenario: Scenario, part: Part, path: str, group: str, system: str) -> Iterator[Field]:
    for name, info in type(part).model_fields.items():
        held = holds(type(part), name)
        if name in _HIDDEN or (isinstance(part, Scenario) and name == "room"):
            continue
        if name in ("kind", "form") and len(held.choices) < 2:
            continue  # it tells which member of a union this is: another thing, not another value
        here = f"{path}.{name}" if path else name
        value = getattr(part, name)
        extra = info.json_schema_extra
        why = str(extra["assumed"]) if isinstance(extra, dict) and "assumed" in extra else None
        if name in part.model_fields_set:
            why = None
        shown = Shown(here, name, held, value, why, group, info.is_required())
        yield from _fields(scenario, shown, system)


@dataclass(frozen=True)
class Shown:
    """One field of the document on its way to the form."""

    path: str
    name: str
    holds: Holds
    value: Any
    why: str | None
    group: str
    required: bool

    @property
    def label(self) -> str:
        """What the form calls it."""
        return _label(self.path, self.name)

    def field(self, kind: Kind, text: str, **more: Any) -> Field:
        """Return it as one field of the form."""
        fresh = {"assumed": self.why, "group": self.group, **more}
        return Field(self.path, self.label, kind, text, **fresh)


def _fields(scenario: Scenario, shown: Shown, system: str) -> Iterator[Field]:
    value, held = shown.value, shown.holds
    options = _references(scenario, shown)
    if held.kind == "part" or isinstance(value, Part):
        yield from _parts(scenario, shown, system)
    elif options is not None:
        needed = shown.required
        yield shown.field("reference", value or "", options=options, needed=needed)
    elif held.kind == "choice":
        if value is None or value in held.choices:  # a direction may also be a point: not shown
            texts = tuple((str(one), str(one)) for one in held.choices)
            needed = shown.required or value is not None
            text = _plain(value)
            yield shown.field("choice", text, options=texts, choices=held.choices, needed=needed)
    elif held.kind == "choices":
        options = tuple((str(one), str(one)) for one in held.choices)
        yield shown.field("choices", ", ".join(value or ()), options=options)
    elif held.kind == "flag":
        text = "" if value is None else "yes" if value else "no"
        needed = value is not None
        yield shown.field("flag", text, options=(("yes", "yes"), ("no", "no")), needed=needed)
    elif held.kind == "path":
        for corner, point in enumerate(value):
            yield from _point(
                shown, point, f"{shown.path}.{corner}", f"Corner {corner + 1} ", system
            )
    elif held.kind == "point":
        if value is not None:
            yield from _point(shown, value, shown.path, "", system)
    elif held.kind == "number":
        length = shown.name.endswith("_m") and not shown.name.endswith("_per_m")
        unit = "" if length else _unit(shown.name)
        if length:
            yield shown.field("length", "" if value is None else _lengths(value, system))
        elif value is None:
            yield shown.field("number", "", unit=unit)
        else:
            text = clock_text(value) if unit == CLOCK else number_text(value)
            yield shown.field("number", text, unit=unit)
    elif held.kind in ("colour", "text"):
        yield shown.field("colour" if held.kind == "colour" else "text", value or "")


def _parts(scenario: Scenario, shown: Shown, system: str) -> Iterator[Field]:
    """The fields of a part in a group of their own; an unwritten cord has empty ones."""
    part, inner = shown.value, _GROUPS.get(shown.name, shown.label)
    if shown.name == "distribution":
        known = dict(_FORMS) if part.form == "file" else {k: _FORMS[k] for k in NEW_FORM}
        path = f"{shown.path}.form"
        options = tuple(known.items())
        label = _label(path, "form")
        yield Field(path, label, "reference", part.form, "", options, shown.why, inner, needed=True)
    if part is None and shown.name in ("cord", "feed_cord"):
        part = Cord()
    if part is not None:
        yield from _walk(scenario, part, shown.path, inner, system)


def _point(
    shown: Shown, point: tuple[float, ...], path: str, words: str, system: str
) -> Iterator[Field]:
    """One length for each axis."""
    sides = _SIDES if "size" in shown.name else _AXES
    for axis, value in enumerate(point):
        label = f"{words}{sides[axis]}"
        group = shown.label if words else shown.group or shown.label
        text = length_text(value, system)
        yield Field(f"{path}.{axis}", label[:1].upper() + label[1:], "length", text, group=group)


def _lengths(value: Any, system: str) -> str:
    if isinstance(value, tuple):
        return " to ".join(length_text(part, system) for part in value)
    return length_text(value, system)


def _plain(value: Any) -> str:
    return "" if value is None else str(value)


def _label(path: str, name: str) -> str:
    words = _WORDS.get(path) or _WORDS.get(name)
    if words is None:
        words = re.sub(r"_(m|lm|w|k|deg|a|v|kg|m2|mm2|h)$", "", name).replace("_", " ")
    return words[:1].upper() + words[1:]


def _unit(name: str) -> str:
    for suffix in sorted(_UNITS, key=len, reverse=True):
        if name == suffix or name.endswith(f"_{suffix}"):
            return _UNITS[suffix]
    return ""


def _references(scenario: Scenario, shown: Shown) -> tuple[tuple[str, str], ...] | None:
    """Return the things of the plan, or rows of a table, that a field may name; else None."""
    name = shown.name
    if shown.path == "distribution.material":
        return _rows("materials", "material", "material", shown.value)
    if name == "like":
        return _rows("appliances", "key", "name", shown.value)
    if name == "fed_from":
        nodes = [node for node in scenario.supply if node.kind != "appliance"]
        return tuple((node.id, name_of(node)) for node in nodes)
    if name == "inside":
        return tuple((item.id, name_of(item)) for item in scenario.furniture)
    if name == "at":
        pages = tuple((f"page:{p.id}", f"{name_of(p)}'s page") for p in scenario.people if p.reads)
        return (("mattress", "the bed"), ("floor", "the floor"), *pages)
    if name == "bed":
        beds = (item for item in scenario.furniture if item.kind in ("mattress", "cot"))
        return tuple((item.id, name_of(item)) for item in beds)
    return None


def _rows(name: str, key: str, words: str, now: str | None) -> tuple[tuple[str, str], ...]:
    """Return the rows of a table as values and words, and what stands there though it is none."""
    known = {row[key]: row[words] for row in table(name)}
    other = {now: now} if now is not None and now not in known else {}
    return tuple((other | known).items())
