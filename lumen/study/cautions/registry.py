"""The registry of caution rules: a number, and the pure function that looks for it in a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lumen.power.load import Limit
from lumen.study.cautions.clauses import Clause, Line
from lumen.study.cautions.facts import Facts

__all__ = ["PREDICATES", "Hazard", "Predicate", "Severity", "rule"]

Severity = Literal["danger", "warning", "advice"]


@dataclass(frozen=True)
class Hazard:
    """What one rule finds in this plan.

    Parameters
    ----------
    objects
        Ids of what it is about; the first one carries the mark.
    fact
        What is so in this plan.
    severity
        Left out: the rule's only one.
    numbers
        The sum behind it, line by line.
    fix
        A command of :mod:`lumen.scenario.edits` that clears it, when one can: of which thing, which
        field or place, by how much or to what.
    assumed
        What in it nobody has read.
    limits
        Limits of the supply tree that it says are passed.
    title, tell, remedy
        In place of the rule's own, where one rule speaks of two different things.
    """

    objects: tuple[str, ...]
    fact: Clause
    severity: Severity | None = None
    numbers: tuple[Line, ...] = ()
    fix: Mapping[str, Any] | None = None
    assumed: tuple[Clause, ...] = ()
    limits: tuple[Limit, ...] = ()
    title: Clause | None = None
    tell: Clause | None = None
    remedy: Clause | None = None


Predicate = Callable[[Facts], Iterator[Hazard]]
PREDICATES: dict[int, Predicate] = {}


def rule(number: int) -> Callable[[Predicate], Predicate]:
    """Enter a predicate under the number of its row in ``rules.csv``."""

    def enter(predicate: Predicate) -> Predicate:
        assert number not in PREDICATES, f"rule {number} has two predicates"
        PREDICATES[number] = predicate
        return predicate

    return enter
