"""What a field of the document holds, read off its declaration and never off its value.

A value says little about its field: three lights are no point in space, and furniture called "12"
is no number.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal

from lumen.scenario.base import Part
from lumen.scenario.room import Colour

__all__ = ["Holds", "holds", "members_of"]


@dataclass(frozen=True)
class Holds:
    """What a field holds.

    ``kind`` is ``part`` (fields of its own), ``point`` (``axes`` lengths), ``path`` (points),
    ``choice`` (one of ``choices``), ``choices`` (some of them), ``flag``, ``number`` (or a range),
    ``colour``, ``text``, or ``other``: lists of parts and tables, which no single field shows.
    """

    kind: Literal[
        "part", "point", "path", "choice", "choices", "flag", "number", "colour", "text", "other"
    ]
    choices: tuple[Any, ...] = ()
    axes: int = 0


@cache
def holds(part: type[Part], name: str) -> Holds:
    """Return what a field of a model holds.

    Examples
    --------
    >>> from lumen.scenario.document import Scenario
    >>> from lumen.scenario.lights import Light
    >>> holds(Light, "mount_m"), holds(Scenario, "lights").kind
    (Holds(kind='point', choices=(), axes=3), 'other')
    """
    info = part.model_fields[name]
    if Colour in _spelled(typing.get_type_hints(part, include_extras=True)[name]):
        return Holds("colour")
    return _held(info.annotation)


@cache
def members_of(part: type[Part], name: str) -> tuple[type[Part], ...]:
    """Return the models of the parts that a field of a model may hold.

    Examples
    --------
    >>> from lumen.scenario.lights import Light
    >>> [model.__name__ for model in members_of(Light, "lamp")]
    ['Lamp']
    """
    bare = _bare(part.model_fields[name].annotation)
    candidates = (bare, *typing.get_args(bare))
    return tuple(one for one in candidates if isinstance(one, type) and issubclass(one, Part))


def _held(annotation: Any) -> Holds:
    bare = _bare(annotation)
    origin, inner = typing.get_origin(bare), typing.get_args(bare)
    if isinstance(bare, type) and issubclass(bare, Part):
        return Holds("part")
    if origin is Literal:
        return Holds("choice", inner)
    if origin is tuple:
        return _row(inner)
    if origin in (typing.Union, types.UnionType):
        kinds = [_held(one) for one in inner if one is not type(None)]
        for kind in ("choice", "number", "part"):
            if first := next((one for one in kinds if one.kind == kind), None):
                return first
        return kinds[0]
    if bare is bool:
        return Holds("flag")
    if bare in (int, float):
        return Holds("number")
    return Holds("text" if bare is str else "other")


def _row(inner: tuple[Any, ...]) -> Holds:
    """What a tuple holds: a fixed number of lengths is a point, any number of points a path."""
    first = _held(inner[0])
    if inner[-1] is not Ellipsis:
        return Holds("point", axes=len(inner)) if first.kind == "number" else Holds("other")
    if first.kind == "point":
        return Holds("path", axes=first.axes)
    return Holds("choices", first.choices) if first.kind == "choice" else Holds("other")


def _bare(annotation: Any) -> Any:
    """Return the type without Annotated and without None."""
    while typing.get_origin(annotation) is Annotated:
        annotation = typing.get_args(annotation)[0]
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        inner = [a for a in typing.get_args(annotation) if a is not type(None)]
        if len(inner) == 1:
            return _bare(inner[0])
    return annotation


def _spelled(annotation: Any) -> Iterator[Any]:
    """Yield an annotation and those that it is made of."""
    yield annotation
    if typing.get_origin(annotation) is Annotated:
        yield from _spelled(annotation.__origin__)
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        for inner in typing.get_args(annotation):
            yield from _spelled(inner)
