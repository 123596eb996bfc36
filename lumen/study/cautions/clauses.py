"""What cautions are made of beside numbers: things, surfaces and clauses, none of them in words.

A clause is a key and the facts that belong to it. :mod:`lumen.words.cautions` says it; who only
wants to know reads its facts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lumen.study.load.day import Case
from lumen.study.scene.bodies import Surface

__all__ = [
    "Clause",
    "Fact",
    "Line",
    "OpeningOf",
    "Surface",
    "Things",
    "clause",
    "line",
    "line_of",
    "thing",
]


@dataclass(frozen=True)
class Things:
    """Things of the plan, by id."""

    ids: tuple[str, ...]


@dataclass(frozen=True)
class OpeningOf:
    """A door, window or mirror, by id."""

    id: str


@dataclass(frozen=True)
class Clause:
    """A key and its facts.

    The name of a number says its unit (``carried_a``, ``share``); a text is one that a table, a
    label or the person wrote.
    """

    key: str
    facts: Mapping[str, Fact] = field(default_factory=dict)


Fact = float | str | Things | Surface | OpeningOf | Case | Clause | tuple[Clause, ...]


@dataclass(frozen=True)
class Line:
    """One line of the sum behind a caution: what it is, its value and unit."""

    what: Clause
    value: float
    unit: str


def clause(key: str, **facts: Fact) -> Clause:
    """Return a clause.

    Examples
    --------
    >>> clause("over", strip=thing("strip"), carried_a=11.7).facts["carried_a"]
    11.7
    """
    return Clause(key, facts)


def thing(*ids: str) -> Things:
    """Return one thing or several.

    Examples
    --------
    >>> thing("lamp").ids
    ('lamp',)
    """
    return Things(ids)


def line(key: str, value: float, unit: str, **facts: Fact) -> Line:
    """Return a line of a sum.

    Examples
    --------
    >>> line("distance", 0.4, "m").what.key
    'distance'
    """
    return Line(Clause(key, facts), value, unit)


def line_of(given: tuple[str, float, str]) -> Line:
    """Return a line that the load tree, a driver, an LED strip or a closed space has reckoned."""
    text, value, unit = given
    return Line(Clause("reckoned", {"text": text}), value, unit)
