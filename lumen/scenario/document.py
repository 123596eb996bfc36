"""The whole plan as one frozen, versioned document, and the checks it must pass to exist."""

from __future__ import annotations

import contextlib
import difflib
import json
import math
import re
import secrets
import typing
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field, TypeAdapter, ValidationError

from lumen.errors import Fault, ScenarioError
from lumen.scenario.aims import AimFor, Setup
from lumen.scenario.base import Part, Positive, Shown, assumed
from lumen.scenario.checks import cross_faults
from lumen.scenario.lights import Ageing, Light, Strip
from lumen.scenario.people import Person
from lumen.scenario.plausible import band_of, hint
from lumen.scenario.references import lists_of, room_model
from lumen.scenario.room import Furniture, Room
from lumen.scenario.supply import SupplyNode

__all__ = ["FORMAT", "Region", "Scenario", "dump", "identified", "json_schema", "parse", "plain"]

FORMAT = "lumen-plan/1"
Region = Literal["US", "CA", "UK", "EU", "AU", "JP", "IN"]
REGIONS = {
    "US": "United States",
    "CA": "Canada",
    "UK": "United Kingdom",
    "EU": "European Union",
    "AU": "Australia and New Zealand",
    "JP": "Japan",
    "IN": "India",
}


class Scenario(Part):
    """One bedroom's plan: room, furniture, people, lights, strips, supply, setups and aims.

    ``identity`` tells plans apart whatever they are called; the page gives one to each plan.
    """

    format: Literal["lumen-plan/1"]
    schema_for_editors: str | None = Field(default=None, alias="$schema")
    identity: Annotated[str, Field(pattern="^[a-z0-9]{8,40}$")] | None = None
    title: Annotated[
        str,
        Field(min_length=1, max_length=120),
        Shown("Name of the plan", "On the sheet, and in the list of your plans.", first=True),
    ]
    note: Annotated[
        Annotated[str, Field(max_length=4000)] | None,
        Shown("Note", "What to remember about this plan.", first=True),
    ] = None
    region: Annotated[
        Region,
        Shown(
            "Where you live", "Whose rules, volts, outlets and cords go.", first=True, words=REGIONS
        ),
    ] = assumed("US", "region not given: US rules are used")
    supply_volts: Annotated[
        Positive | None,
        Shown(
            "Volts of the supply",
            "Where you measured them; left open, the region's.",
            "V",
            first=True,
        ),
    ] = None
    price_per_kwh: Annotated[
        Annotated[float, Field(ge=0.0)] | None,
        Shown("Price of a kilowatt-hour", "In your own money, from a bill.", first=True),
    ] = None
    room: Room
    furniture: Annotated[tuple[Furniture, ...], Field(max_length=60)] = ()
    people: Annotated[tuple[Person, ...], Field(max_length=12)] = ()
    lights: Annotated[tuple[Light, ...], Field(max_length=40)] = ()
    strips: Annotated[tuple[Strip, ...], Field(max_length=10)] = ()
    supply: Annotated[tuple[SupplyNode, ...], Field(max_length=150)] = ()
    setups: Annotated[tuple[Setup, ...], Field(max_length=24)] = ()
    aims: Annotated[tuple[AimFor, ...], Field(max_length=150)] = ()
    ageing: Annotated[
        Ageing, Shown("Years of use and dust", "What is left of the light after years.")
    ] = assumed(
        Ageing(),
        "after years of use and dust 0.80 of the new light is left, 0.70 from fabric shades, light "
        "thrown up and strips: common practice, from memory",
    )

    @property
    def sources(self) -> tuple[Light | Strip, ...]:
        """Everything that gives light: lights, then strips."""
        return (*self.lights, *self.strips)


def parse(data: object, form: type[Scenario] = Scenario) -> Scenario:
    """Return the document, or refuse it with every fault at once.

    Parameters
    ----------
    data
        The decoded JSON of a plan.
    form
        The document's model: this one, or one that has more in it.

    Raises
    ------
    ScenarioError
        One sentence per fault: field path, rule and the value met. Nothing is loaded in part.

    Examples
    --------
    >>> parse({"format": "lumen-plan/1", "title": "x", "room": {"heigth_m": 2.4}})
    Traceback (most recent call last):
    lumen.errors.ScenarioError: room.outline_m must be given: got None
    room.height_m must be given: got None
    room.heigth_m is not a known field, did you mean height_m?: got 2.4
    """
    if not isinstance(data, Mapping):
        raise ScenarioError([Fault("plan", "must be a JSON object", data)])
    faults: list[Fault] = []
    scenario = None
    try:
        scenario = form.model_validate(data)
    except ValidationError as error:
        faults = list(_field_faults(error, data, form))
    parts = _sound_parts(data, form) if scenario is None else _parts_of(scenario)
    faults += [fault for fault in cross_faults(parts) if fault not in faults]
    if faults:
        raise ScenarioError(faults)
    assert scenario is not None
    return scenario


def dump(scenario: Scenario) -> str:
    """Return the document's text: format first, defaults left out, one fixed layout.

    Writing what was read gives the same bytes, so a saved file only differs where it was edited.
    A value that somebody wrote is kept where its default would count as an assumption, even when
    the two are equal: a measured 0.40 m is not an assumed one.
    """
    return _layout(plain(scenario)) + "\n"


def plain(part: Part) -> dict[str, Any]:
    """Return the document, or a part of it, as plain JSON values, as :func:`dump` writes them."""
    return dict(_written(part))


def identified(scenario: Scenario, identity: str | None = None) -> Scenario:
    """Return the plan with an identity: the one it has, else the given one, else a new one.

    Examples
    --------
    >>> plan = parse({"format": "lumen-plan/1", "title": "x", "room": {
    ...     "outline_m": [[0, 0], [3, 0], [3, 3], [0, 3]], "height_m": 2.4}})
    >>> identified(plan, "0123456789ab").identity
    '0123456789ab'
    >>> len(identified(plan).identity)
    16
    """
    if scenario.identity is not None:
        return scenario
    return scenario.model_copy(update={"identity": identity or secrets.token_hex(8)})


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema of the document, for editors that check while one types."""
    schema = Scenario.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return schema


_DECIMALS = 6  # a micrometre
_TAGS = ("kind", "form")  # they tell which member of a union an item is


def _written(value: Any) -> Any:
    """Return plain JSON values of a part, without what need not be written."""
    if isinstance(value, Part):
        given = value.model_fields_set
        return {
            key: _written(getattr(value, name))
            for name, key, default, always, when_given in _fields(type(value))
            if always or getattr(value, name) != default or (when_given and name in given)
        }
    if isinstance(value, Mapping):
        return {key: _written(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [_written(item) for item in value]
    # What would round to nothing stays as it is: 0 may be a value that the document refuses.
    return round(value, _DECIMALS) or value if isinstance(value, float) else value


@cache
def _fields(model: type[Part]) -> tuple[tuple[str, str, Any, bool, bool], ...]:
    """Name, key in the file, default, always written?, written when given? of every field."""
    rows = []
    for name, field in model.model_fields.items():
        tag = name in _TAGS and len(typing.get_args(field.annotation)) == 1
        extra = field.json_schema_extra
        is_assumption = isinstance(extra, dict) and "assumed" in extra
        default = field.get_default(call_default_factory=True)
        always = tag or field.is_required()
        rows.append((name, field.alias or name, default, always, is_assumption))
    return tuple(rows)


def _parts_of(scenario: Scenario) -> dict[str, list[tuple[int, Any]]]:
    """Return each section's items with their numbers, of a plan that holds field by field."""
    parts: dict[str, list[tuple[int, Any]]] = {"room": [(0, scenario.room)], "named": []}
    for key in lists_of(type(scenario)):
        parts[key] = list(enumerate(getattr(scenario, key)))
    return parts


def _sound_parts(data: Mapping[str, Any], form: type[Scenario]) -> dict[str, list[tuple[int, Any]]]:
    """Return each section's items that hold on their own, so that cross checks run all the same."""
    parts: dict[str, list[tuple[int, Any]]] = {"room": [], "named": []}
    with contextlib.suppress(ValidationError):
        parts["room"].append((0, room_model(form).model_validate(data.get("room"))))
    for key in lists_of(form):
        parts[key] = []
        for number, item in enumerate(_items(data.get(key))):
            with contextlib.suppress(ValidationError):
                parts[key].append((number, _one_of(form, key).validate_python(item)))
            # A reference to an item that is itself at fault is not a second fault.
            if isinstance(item, Mapping) and isinstance(item.get("id"), str):
                parts["named"].append((0, (key, item["id"])))
    return parts


@cache
def _one_of(form: type[Scenario], key: str) -> TypeAdapter[Any]:
    return TypeAdapter(lists_of(form)[key].model)


def _items(value: object) -> list[Any]:
    return list(value) if isinstance(value, list | tuple) else []


def _field_faults(error: ValidationError, data: object, form: type[Scenario]) -> Iterator[Fault]:
    for item in error.errors(include_url=False):
        path, known, owner = _written_path(item["loc"], data, form)
        value = item["input"]
        kind, context = item["type"], item.get("ctx", {})
        if kind == "extra_forbidden":
            near = difflib.get_close_matches(str(item["loc"][-1]), known, n=1)
            others = f", did you mean {near[0]}?" if near else f"; known are {', '.join(known)}"
            yield Fault(path, f"is not a known field{others}", value)
        elif kind == "string_pattern_mismatch":
            yield Fault(path, "must be a name without : or /, no blanks at its ends", value)
        elif kind == "missing":
            yield Fault(path, "must be given", None)
        elif kind == "value_error":
            yield Fault(path, str(context["error"]), value)
        elif kind == "union_tag_not_found":
            yield Fault(path, f"needs a {context['discriminator']}", value)
        elif kind == "union_tag_invalid":
            where = f"{path}.{str(context['discriminator']).strip(chr(39))}"
            tag = context["tag"]
            yield Fault(where, f"must be one of {context['expected_tags']}", tag)
        else:
            guess = hint(value, band_of(owner, str(item["loc"][-1])))
            yield Fault(path, f"{_sentence(item['msg'])}{guess}", value)


def _sentence(message: str) -> str:
    """Return pydantic's message as a rule: 'Input should be ...' becomes 'must be ...'."""
    message = re.sub(r"^(Input|Tuple|String|Dictionary) should", "must", message)
    message = message.replace(" after validation", "").replace("a valid tuple", "a list [...]")
    return message[0].lower() + message[1:]


def _written_path(
    loc: tuple[int | str, ...], data: object, form: type[Scenario]
) -> tuple[str, list[str], str]:
    """Return the path as the person wrote it, the names known where it ends, and in which part.

    Pydantic's location also holds the tag of a union member, which nobody wrote: a step that is
    not in the data, and is not the last one, is such a tag.
    """
    path, at = "", data
    model: Any = form
    for place, step in enumerate(loc):
        last = place == len(loc) - 1
        if isinstance(step, int):
            path += f"[{step}]"
            at = at[step] if isinstance(at, list | tuple) and step < len(at) else None
            model = _item_type(model)
            continue
        union = _member_with_tag(model, step)
        if union is not None:
            model = union
            continue
        path += f".{step}" if path else step
        at = at.get(step) if isinstance(at, Mapping) else None
        if not last:
            model = _field_type(model, step)
    fields = model.model_fields.items() if _is_part(model) else ()
    known = [field.alias or name for name, field in fields]
    return path, known, model.__name__ if _is_part(model) else ""


def _is_part(model: object) -> bool:
    return isinstance(model, type) and issubclass(model, BaseModel)


def _bare(annotation: Any) -> Any:
    while typing.get_origin(annotation) is Annotated:
        annotation = typing.get_args(annotation)[0]
    args = [a for a in typing.get_args(annotation) if a is not type(None)]
    if type(None) in typing.get_args(annotation) and len(args) == 1:
        return _bare(args[0])
    return annotation


def _field_type(model: Any, name: str) -> Any:
    if _is_part(model) and name in model.model_fields:
        return _bare(model.model_fields[name].annotation)
    args = typing.get_args(model)
    return _bare(args[1]) if typing.get_origin(model) is dict and len(args) == 2 else None


def _item_type(model: Any) -> Any:
    args = typing.get_args(model)
    return _bare(args[0]) if args else None


def _member_with_tag(model: Any, tag: str) -> Any:
    for member in typing.get_args(model):
        if _is_part(member):
            for name in ("kind", "form"):
                field = member.model_fields.get(name)
                if field is not None and tag in typing.get_args(field.annotation):
                    return member
    return None


_COLUMNS = 100
_encode = json.JSONEncoder(ensure_ascii=False).encode


def _layout(value: Any, indent: str = "", taken: int = 0) -> str:
    """Return JSON text: what fits goes on one line, the rest one item a line."""
    line = _one_line(value)
    holds_more = isinstance(value, dict | list) and bool(value)
    if not holds_more or (indent and len(indent) + taken + len(line) < _COLUMNS):
        return line
    deeper = indent + "  "
    if isinstance(value, dict):
        keys = [f"{_encode(key)}: " for key in value]
        inner = [
            deeper + key + _layout(item, deeper, len(key))
            for key, item in zip(keys, value.values(), strict=True)
        ]
        return "{\n" + ",\n".join(inner) + f"\n{indent}}}"
    return "[\n" + ",\n".join(deeper + _layout(v, deeper) for v in value) + f"\n{indent}]"


def _one_line(value: Any) -> str:
    if isinstance(value, dict):
        pairs = (f"{_encode(k)}: {_one_line(v)}" for k, v in value.items())
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_one_line, value)) + "]"
    return _number(value) if isinstance(value, float) else _encode(value)


def _number(value: float) -> str:
    if not math.isfinite(value):
        raise ScenarioError([Fault("number", "must be finite", value)])
    return str(int(value)) if value == int(value) else repr(value)
