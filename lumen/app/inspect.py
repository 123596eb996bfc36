"""The fields of one thing of the plan, as a form shows them, and what a person typed into one.

The fields come from the document's own models, so that a field that the document learns appears
in the form by itself. Lengths are shown and read in centimetres or in feet and inches.
"""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from lumen.errors import LumenError
from lumen.scenario.base import Part
from lumen.scenario.document import Scenario
from lumen.units import UnitError, read, show_feet_inches

__all__ = ["Field", "fields_of", "item_of", "length_text", "name_of", "number_text", "typed"]

Json = dict[str, Any]

SECTIONS = ("lights", "strips", "furniture", "people", "supply")

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
    "h": "o'clock",
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

_NEW_FORM: dict[str, Json] = {
    "all round": {"form": "all round"},
    "opal": {"form": "opal"},
    "cosine": {"form": "cosine", "beam_deg": 60},
    "beam": {"form": "beam", "beam_deg": 30},
    "shade": {"form": "shade", "bottom_diameter_m": 0.15, "height_m": 0.18},
    "panel": {"form": "panel", "width_m": 0.6, "length_m": 0.6},
}

_AXES = ("from left wall", "from front", "above floor")
_SIDES = ("wide", "deep", "high")


@dataclass(frozen=True)
class Field:
    """One field of a form: where it lives, what it is called, what it holds as text."""

    path: str
    label: str
    kind: Literal["length", "number", "choice", "text"]
    text: str = ""
    unit: str = ""
    options: tuple[tuple[str, str], ...] = ()
    assumed: str | None = None
    group: str = ""
    size_m: bool = False


def item_of(scenario: Scenario, name: str) -> tuple[str, Any] | None:
    """Return section and item of an id, or None."""
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


def fields_of(scenario: Scenario, name: str, system: str) -> tuple[Field, ...]:
    """Return every field of a thing, in the order of the document."""
    found = item_of(scenario, name)
    if found is None:
        return ()
    _, item = found
    return tuple(_walk(scenario, item, "", "", system))


def _walk(scenario: Scenario, part: Part, path: str, group: str, system: str) -> Iterator[Field]:
    for name, info in type(part).model_fields.items():
        if name in ("id", "kind", "form", "format", "schema_for_editors", "lm63") and not (
            name == "kind" and len(_literals(info.annotation)) > 1
        ):
            continue
        here = f"{path}.{name}" if path else name
        value = getattr(part, name)
        extra = info.json_schema_extra
        why = str(extra["assumed"]) if isinstance(extra, dict) and "assumed" in extra else None
        if name in part.model_fields_set:
            why = None
        yield from _one(scenario, here, name, info.annotation, value, why, group, system)


def _one(
    scenario: Scenario,
    path: str,
    name: str,
    annotation: Any,
    value: Any,
    why: str | None,
    group: str,
    system: str,
) -> Iterator[Field]:
    label = _label(path, name)
    kind = _bare(annotation)
    options = _references(scenario, name)
    if isinstance(value, Part):
        inner = _GROUPS.get(name, label)
        if name == "distribution":
            form = value.form  # type: ignore[attr-defined]
            known = dict(_FORMS) if form == "file" else {k: _FORMS[k] for k in _NEW_FORM}
            label = _label(f"{path}.form", "form")
            yield Field(f"{path}.form", label, "choice", form, "", tuple(known.items()), why, inner)
        yield from _walk(scenario, value, path, inner, system)
    elif value is None and isinstance(kind, type) and issubclass(kind, Part):
        empty = kind.model_construct() if name in ("cord", "feed_cord") else None
        if empty is not None:
            yield from _walk(scenario, empty, path, _GROUPS.get(name, label), system)
    elif options:
        yield Field(path, label, "choice", value or "", "", options, why, group)
    elif choices := _literals(annotation):
        texts = tuple((str(c), str(c)) for c in choices)
        is_list = typing.get_origin(kind) is tuple
        shown = ", ".join(value or ()) if is_list else _plain(value)
        if is_list:
            yield Field(
                path, label, "text", shown, "of " + ", ".join(map(str, choices)), (), why, group
            )
        elif not isinstance(value, tuple):
            yield Field(path, label, "choice", shown, "", texts, why, group)
    elif kind is bool:
        shown = "" if value is None else "yes" if value else "no"
        yield Field(path, label, "choice", shown, "", (("yes", "yes"), ("no", "no")), why, group)
    elif name in ("path_m", "outline_m"):
        axes = _AXES[: len(value[0])]
        for corner, point in enumerate(value):
            for axis, words in enumerate(axes):
                yield Field(
                    f"{path}.{corner}.{axis}",
                    f"Corner {corner + 1} {words}",
                    "length",
                    length_text(point[axis], system),
                    group=_label(path, name),
                )
    elif isinstance(value, tuple) and len(value) == 3:
        sides = _SIDES if "size" in name else _AXES
        for axis in range(3):
            yield Field(
                f"{path}.{axis}",
                sides[axis][:1].upper() + sides[axis][1:],
                "length",
                length_text(value[axis], system),
                group=group or label,
            )
    elif _is_number(annotation):
        length = name.endswith("_m") and not name.endswith("_per_m")
        text = "" if value is None else (_lengths(value, system) if length else number_text(value))
        unit = "" if length else _unit(name)
        yield Field(path, label, "length" if length else "number", text, unit, (), why, group)
    elif kind is str:
        yield Field(path, label, "text", value or "", "", (), why, group)


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


def _references(scenario: Scenario, name: str) -> tuple[tuple[str, str], ...]:
    if name == "fed_from":
        nodes = [node for node in scenario.supply if node.kind != "appliance"]
        return tuple((node.id, name_of(node)) for node in nodes)
    if name == "inside":
        return tuple((item.id, name_of(item)) for item in scenario.furniture)
    if name == "at":
        pages = tuple((f"page:{p.id}", f"{name_of(p)}'s page") for p in scenario.people if p.reads)
        return (("mattress", "the bed"), ("floor", "the floor"), *pages)
    return ()


def _bare(annotation: Any) -> Any:
    """Return the type without Annotated and without None."""
    while typing.get_origin(annotation) is Annotated:
        annotation = typing.get_args(annotation)[0]
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        inner = [a for a in typing.get_args(annotation) if a is not type(None)]
        if len(inner) == 1:
            return _bare(inner[0])
    return annotation


def _literals(annotation: Any) -> tuple[Any, ...]:
    """Return the words a field may hold, also as one of its kinds or as items of a list."""
    bare = _bare(annotation)
    if typing.get_origin(bare) is Literal:
        return typing.get_args(bare)
    if typing.get_origin(bare) in (typing.Union, types.UnionType, tuple):
        for inner in typing.get_args(bare):
            if inner is not Ellipsis and (found := _literals(inner)):
                return found
    return ()


def _is_number(annotation: Any) -> bool:
    bare = _bare(annotation)
    if bare in (float, int):
        return True
    inner = typing.get_args(bare)
    return typing.get_origin(bare) in (typing.Union, types.UnionType) and any(
        _bare(a) in (float, int) for a in inner
    )


def typed(scenario: Scenario, name: str, args: Mapping[str, Any]) -> Json:
    """Return the command that a typed field stands for.

    Raises
    ------
    LumenError
        When the text cannot be read as what the field holds; names the field as the form does.
    """
    path, text = str(args.get("field", "")), str(args.get("text", "")).strip()
    system = str(args.get("system", "cm"))
    found = item_of(scenario, name)
    if found is None:
        raise LumenError("thing", "must be in the plan", name)
    if path == "id":
        return {"name": "rename", "id": name, "args": {"to": text}}
    if path == "fed_from":
        return {"name": "plug", "id": name, "args": {"into": text or None}}
    command: Json = {"name": "set", "id": name, "args": {"field": path, "value": None}}
    if found[0] in ("lights", "strips", "furniture", "people", "supply"):
        command["args"]["section"] = found[0]
    if path == "distribution.form" and text in _NEW_FORM:
        command["args"].update(field="distribution", value=_NEW_FORM[text])
        return command
    field = next((f for f in fields_of(scenario, name, system) if f.path == path), None)
    if text:
        command["args"]["value"] = _value(path, field, text, system)
    return command


def _value(path: str, field: Field | None, text: str, system: str) -> Any:
    name = path.split(".")[-1]
    holder = path.split(".")[-2] if name.isdigit() and "." in path else name
    if name == "0" or name.isdigit() or (field is not None and field.kind == "length"):
        return length(text, system, field.label if field else holder)
    if field is not None and field.kind == "number":
        return _number(text, field)
    if field is not None and field.options == (("yes", "yes"), ("no", "no")):
        return text == "yes"
    if field is not None and field.unit.startswith("of "):
        return [word.strip() for word in text.split(",") if word.strip()]
    if field is not None and field.kind == "choice" and text.isdigit():
        return int(text)
    return text


def length(text: str, system: str, label: str) -> Any:
    """Return a typed length [m], or low and high of a typed range.

    Raises
    ------
    LumenError
        When it is no length; the sentence starts with ``label``.
    """
    try:
        found = read(text, "length", "in" if system == "ft-in" else "cm").amount()
    except UnitError as error:
        raise LumenError(label, error.rule, text) from error
    return [round(v, 6) for v in found] if isinstance(found, tuple) else round(found, 6)


_RANGE = re.compile(r"\s*([-+]?[\d.,]+)\s*(?:-|–|to)\s*([\d.,]+)\s*([^\d]*)")
_SINGLE = re.compile(r"\s*([-+]?[\d.,]+)\s*([^\d]*)")


def _number(text: str, field: Field) -> Any:
    about = re.sub(r"^(about|~|ca\.?)\s*", "", text.strip().lower())
    for pattern in (_RANGE, _SINGLE):
        if match := pattern.fullmatch(about):
            *numbers, unit = match.groups()
            if unit.strip() and not _same_unit(unit, field.unit):
                rule = f"must be in {field.unit or 'plain numbers'}, not {unit.strip()!r}"
                raise LumenError(field.label, rule, text)
            try:
                values = [float(n.replace(",", ".")) for n in numbers]
            except ValueError as error:
                raise LumenError(field.label, "must be a number", text) from error
            values = [int(v) if v == int(v) and not field.unit else v for v in values]
            return values if len(values) == 2 else values[0]
    hint = f" of {field.unit}" if field.unit else ""
    raise LumenError(field.label, f"must be a number{hint}, or a range such as 5-6", text)


def _same_unit(typed_unit: str, unit: str) -> bool:
    short = typed_unit.strip().lower().rstrip("s")
    known = {unit.lower(), unit.lower().split(" ")[0].rstrip("s"), *_LONG.get(unit, ())}
    return short in known or short + "s" in known


_LONG = {
    "lm": ("lumen",),
    "W": ("watt",),
    "K": ("kelvin",),
    "A": ("amp", "ampere"),
    "V": ("volt",),
    "degrees": ("deg", "°"),
    "lm a metre": ("lm/m", "lm per m"),
    "W a metre": ("w/m", "w per m"),
    "kg": ("kilo",),
}
