"""What a plan leaves open and the study fills in: every assumption, with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lumen.scenario.base import Part
from lumen.scenario.document import Scenario

__all__ = ["Assumption", "assumptions"]


@dataclass(frozen=True)
class Assumption:
    """One field nobody wrote: where it is, the value taken, and why that value."""

    field: str
    value: object
    why: str


def assumptions(scenario: Scenario) -> tuple[Assumption, ...]:
    """Return the assumptions of a plan in the order of its fields.

    A field counts when it was declared as an assumption and is not written in the plan. Inside
    parts that were not written themselves nothing more is listed: their own entry says it.

    Examples
    --------
    >>> from lumen.scenario.document import parse
    >>> plan = parse({"format": "lumen-plan/1", "title": "x", "region": "EU",
    ...     "room": {"outline_m": [[0, 0], [3, 0], [3, 3], [0, 3]], "height_m": 2.4}})
    >>> [one.field for one in assumptions(plan)]
    ['room.finishes', 'ageing']
    """
    return tuple(_open_fields(scenario, ""))


def _open_fields(part: Part, path: str) -> Iterator[Assumption]:
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        here = f"{path}.{name}" if path else name
        if name in part.model_fields_set:
            yield from _inside(value, here)
            continue
        extra = field.json_schema_extra
        if isinstance(extra, dict) and "assumed" in extra:
            shown = _shown(value)
            yield Assumption(here, shown, str(extra["assumed"]))


def _inside(value: Any, path: str) -> Iterator[Assumption]:
    if isinstance(value, Part):
        yield from _open_fields(value, path)
    elif isinstance(value, tuple):
        for number, item in enumerate(value):
            yield from _inside(item, f"{path}[{number}]")
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _inside(item, f"{path}.{key}")


def _shown(value: Any) -> object:
    """Return a value as plain JSON, whole."""
    return value.model_dump(mode="json") if isinstance(value, Part) else value
