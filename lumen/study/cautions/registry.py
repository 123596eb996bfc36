"""The registry of caution rules: a number, and the pure function that looks for it in a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lumen.power.load import Limit
from lumen.study.cautions.facts import Facts

__all__ = ["PREDICATES", "Found", "Line", "Predicate", "Severity", "rule"]

Severity = Literal["danger", "warning", "advice"]
Line = tuple[str, float, str]


@dataclass(frozen=True)
class Found:
    """What one rule finds in this plan.

    Parameters
    ----------
    objects
        Ids of what it is about; the first one carries the mark.
    fact
        What is so in this plan, in words, with the person's own names.
    severity
        Left out: the rule's only one.
    numbers
        The sum behind it: (text, value, unit) line by line.
    fix
        A command of :mod:`lumen.scenario.edits` that clears it, when one can.
    assumed
        What in it nobody has read, in words.
    limits
        Limits of the supply tree that it says are passed.
    title, tell, remedy
        Words in place of the rule's own, where one rule speaks of two different things.
    """

    objects: tuple[str, ...]
    fact: str
    severity: Severity | None = None
    numbers: tuple[Line, ...] = ()
    fix: Mapping[str, Any] | None = None
    assumed: str | None = None
    limits: tuple[Limit, ...] = ()
    title: str | None = None
    tell: str | None = None
    remedy: str | None = None


Predicate = Callable[[Facts], Iterator[Found]]
PREDICATES: dict[int, Predicate] = {}


def rule(number: int) -> Callable[[Predicate], Predicate]:
    """Enter a predicate under the number of its row in ``rules.csv``."""

    def enter(predicate: Predicate) -> Predicate:
        assert number not in PREDICATES, f"rule {number} has two predicates"
        PREDICATES[number] = predicate
        return predicate

    return enter
