"""What a person typed into a field of a form, as a command for the document."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from lumen.app.boxed import BOX, box_command
from lumen.app.inspect import IN_THE_ROOM, NEW_FORM, SECTIONS, Field, fields_of, item_of
from lumen.errors import LumenError
from lumen.scenario.base import CLOCK, MASS, SHARE
from lumen.scenario.document import Scenario
from lumen.units import UnitError, read

__all__ = ["command_of", "length", "lengths"]

Json = dict[str, Any]


def command_of(scenario: Scenario, name: str, args: Mapping[str, Any]) -> Json:
    """Return the command that a typed field stands for.

    Raises
    ------
    LumenError
        When the text cannot be read as what the field holds; names the field as the form does.
    """
    path, text = str(args.get("field", "")), str(args.get("text", "")).strip()
    system = str(args.get("system", "cm"))
    section = str(args.get("section") or "")
    located = item_of(scenario, name, section)
    if located is None:
        raise LumenError("thing", "must be in the plan", name)
    if path == "id":
        return {"name": "rename", "id": name, "args": {"to": text}}
    if path == BOX and located[0] in ("lights", "strips"):
        return box_command(scenario, located[0], name, text)
    if path == "fed_from":
        return {"name": "plug", "id": name, "args": {"into": text or None}}
    command: Json = {"name": "set", "id": name, "args": {"field": path, "value": None}}
    if located[0] in (*SECTIONS, *IN_THE_ROOM, "setups"):
        command["args"]["section"] = located[0]
    if path == "distribution.form" and text in NEW_FORM:
        command["args"].update(field="distribution", value=NEW_FORM[text])
        return command
    field = next((f for f in fields_of(scenario, name, system, section) if f.path == path), None)
    if text:
        command["args"]["value"] = text if field is None else _value(field, text, system)
    return command


def _value(field: Field, text: str, system: str) -> Any:
    if field.kind == "length":
        return length(text, system, field.label)
    if field.kind == "lengths":
        return lengths(text, system, field.label)
    if field.kind == "number" and field.unit == MASS:
        return _mass(text, field.label)
    if field.kind == "number" and field.unit == SHARE:
        return _share(text, field)
    if field.kind == "number":
        return _number(text, field)
    if field.kind == "flag":
        return {"yes": True, "no": False}.get(text, text)
    if field.kind == "choices":
        return [word.strip() for word in text.split(",") if word.strip()]
    if field.kind == "choice":
        return next((one for one in field.choices if str(one) == text), text)
    return text


def length(text: str, system: str, label: str) -> Any:
    """Return a typed length [m], or low and high of a typed range.

    Raises
    ------
    LumenError
        When it is no length; the sentence starts with ``label``.
    """
    try:
        typed = read(text, "length", "in" if system == "ft-in" else "cm").amount()
    except UnitError as error:
        raise LumenError(label, error.rule, text) from error
    return [round(v, 6) for v in typed] if isinstance(typed, tuple) else round(typed, 6)


def lengths(text: str, system: str, label: str) -> list[Any]:
    """Return several typed lengths [m], such as 30 x 6 x 5 cm; a unit goes for those before it.

    Examples
    --------
    >>> lengths("300 x 60 x 50 mm", "cm", "Size"), lengths("30x6,5x5", "cm", "Size")
    ([0.3, 0.06, 0.05], [0.3, 0.065, 0.05])
    """
    parts = [part.strip() for part in re.split(r"[x×*;]", text.lower())]
    unit = (re.search(r"[a-z'\"]+$", parts[-1]) or [""])[0]
    return [length(p if re.search(r"[a-z'\"]$", p) else p + unit, system, label) for p in parts]


def _mass(text: str, label: str) -> Any:
    """Return a typed mass [kg]; pounds and ounces are read as well."""
    try:
        typed = read(text, "mass", "kg").amount()
    except UnitError as error:
        raise LumenError(label, error.rule, text) from error
    return [round(v, 6) for v in typed] if isinstance(typed, tuple) else round(typed, 6)


def _share(text: str, field: Field) -> float:
    """Return a share of 0 to 1 of a typed percentage."""
    typed = _number(text, field)
    if isinstance(typed, list) or not 0.0 <= typed <= 100.0:
        raise LumenError(field.label, "must be one number from 0 to 100 %", text)
    return round(float(typed) / 100, 6)


_CLOCK = re.compile(r"(\d{1,2})\s*[:h]\s*(\d{2})\s*h?")
_RANGE = re.compile(r"\s*([-+]?[\d.,]+)\s*(?:-|–|to)\s*([\d.,]+)\s*([^\d]*)")
_SINGLE = re.compile(r"\s*([-+]?[\d.,]+)\s*([^\d]*)")


def _number(text: str, field: Field) -> Any:
    if field.unit == CLOCK and (clock := _CLOCK.fullmatch(text.strip())):
        hour, minute = map(int, clock.groups())
        if minute < 60:
            return round(hour + minute / 60, 6)
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
    "°": ("deg", "degree"),
    "lm/m": ("lm a metre", "lm per m", "lm"),
    "W/m": ("w a metre", "w per m", "w"),
    "Ω/m": ("ohm/m", "ohm a metre"),
    "/m": ("a metre", "per m", "led/m", "leds/m"),
    "kg": ("kilo",),
}
