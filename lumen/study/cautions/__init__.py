"""The cautions that a plan earns: rules as data, each with one small predicate.

``rules.csv`` holds what a rule says, its edition, source and regions; a predicate finds the things
in the plan that it is about and the numbers behind it. A caution is planning information: it never
says that anything is allowed, and no caution means only that none of these rules found anything.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, cast

from lumen.errors import LumenError
from lumen.scenario.document import Scenario
from lumen.study.cautions import (  # noqa: F401  each module enters its rules
    bodies,
    chains,
    cords,
    earth,
    fixings,
    heat,
    lamps,
    leds,
    limits,
    motors,
    numbers,
    overload,
    places,
    standing,
    strips,
)
from lumen.study.cautions.clauses import Clause, Line
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import PREDICATES, Hazard, Severity
from lumen.study.load.electrics import Electrics
from lumen.tables import table

__all__ = [
    "LEVEL_OF",
    "ORDER",
    "Caution",
    "Level",
    "Rule",
    "Source",
    "cautions",
    "rules",
    "source_of",
]

Level = Literal["stop", "ask", "note"]

# Within one severity: what harms people first, then what burns, then what trips or wears.
# fmt: off
ORDER = (
    47, 28, 33, 48, 56, 57, 66, 73, 52, 53, 54, 64, 80, 87, 29, 67, 18, 19, 20, 21, 11, 12, 61,
    14, 16, 69, 17, 13, 63, 62, 1, 5, 68, 7, 8, 15, 60, 2, 3, 4, 6, 9, 23, 72, 24, 25, 26, 27,
    22, 65, 34, 35, 46, 81, 82, 85, 86, 88, 89, 90, 91, 92, 93, 94, 51, 36, 37, 38, 39, 40, 41, 42,
    43, 55, 70, 71, 44, 30, 31, 32, 45, 49, 58, 83, 84, 10, 50,
)
# fmt: on

_SEVERITIES: tuple[Severity, ...] = ("danger", "warning", "advice")
LEVEL_OF: Mapping[Severity, Level] = {"danger": "stop", "warning": "ask", "advice": "note"}
_LAST = 60  # what no other rule has said of a passed limit
# A graver rule on the same thing says all that the lesser one would.
_COVERED_BY = {2: (1,), 9: (8,), 29: (28,), 32: (33,), 10: ()}


@dataclass(frozen=True)
class Caution:
    """One rule that one thing in the plan meets: who, what, how much, and the change.

    Nothing here is a sentence; :mod:`lumen.words.cautions` says it.

    Parameters
    ----------
    rule, key, severity
        Number and key of the rule's row in ``rules.csv``, and how grave it is here.
    objects
        Ids of what it is about; the first one carries the mark.
    fact
        What is so, with its quantities by name: ``fact.facts["carried_a"]``.
    numbers
        The sum behind it, line by line.
    feeders
        The thing and what feeds it up to the circuit, by id; the thing alone when nothing does.
    fix
        A command of :mod:`lumen.scenario.edits` that clears it, when one can.
    assumed
        What in it nobody has read.
    title, tell, remedy
        In place of the rule's own, where one rule speaks of two different things.
    """

    rule: int
    key: str
    severity: Severity
    objects: tuple[str, ...]
    fact: Clause
    numbers: tuple[Line, ...]
    feeders: tuple[str, ...]
    fix: Mapping[str, Any] | None = None
    assumed: tuple[Clause, ...] = ()
    title: Clause | None = None
    tell: Clause | None = None
    remedy: Clause | None = None

    @property
    def level(self) -> Level:
        """What the person should do: stop, ask or note."""
        return LEVEL_OF[self.severity]


@dataclass(frozen=True)
class Source:
    """Where a rule comes from, and how we know: read, from memory or assumed."""

    source: str
    edition: str
    locator: str
    how: str


@dataclass(frozen=True)
class Rule:
    """A row of ``rules.csv``: what raises a rule, what it tells, what clears it, and its source."""

    number: int
    key: str
    title: str
    levels: tuple[Severity, ...]
    trigger: str
    regions: tuple[str, ...]
    source: Source
    tell: str
    remedy: str
    question: str


@cache
def rules() -> Mapping[int, Rule]:
    """Return the rules by number.

    Examples
    --------
    >>> rules()[8].title
    'Power strip overloaded'
    """
    return {
        int(row["number"]): Rule(
            number=int(row["number"]),
            key=row["key"],
            title=row["title"],
            levels=tuple(cast(Severity, level) for level in row["level"].split()),
            trigger=row["trigger"],
            regions=tuple(row["regions"].split()),
            source=_source(row),
            tell=row["tell"],
            remedy=row["remedy"],
            question=row["question"],
        )
        for row in table("rules")
    }


def _source(row: Mapping[str, str]) -> Source:
    return Source(row["source"], row["edition"], row["locator"], row["how"])


def source_of(number: int, region: str) -> Source:
    """Return where a rule comes from in a region.

    Where a region has no document of its own for it, that of the rule itself, which names no
    other region's.

    Examples
    --------
    >>> source_of(26, "UK").source, source_of(1, "US").source
    ('appliance-testing tables for BS 1363 plugs', 'NFPA 70')
    """
    return _own_sources().get((number, region)) or rules()[number].source


@cache
def _own_sources() -> dict[tuple[int, str], Source]:
    return {
        (int(row["number"]), region): _source(row)
        for row in table("rule_sources")
        for region in row["regions"].split()
    }


def cautions(scenario: Scenario, electrics: Electrics) -> tuple[Caution, ...]:
    """Return the cautions that a plan earns, the most harmful first.

    Each rule is raised once for a thing; a rule whose regions do not hold the plan's is silent.

    Parameters
    ----------
    scenario
        The plan.
    electrics
        What it draws, from :func:`lumen.study.load.electrics.electrics`.
    """
    facts = Facts(scenario, electrics)
    raised: list[Caution] = []
    for number, rule in sorted(rules().items(), key=lambda item: item[0] == _LAST):
        if scenario.region not in rule.regions:
            continue
        seen: set[str] = set()
        for hazard in PREDICATES[number](facts):
            if hazard.objects[0] not in seen:
                seen.add(hazard.objects[0])
                raised.append(_caution(facts, rule, hazard))
                if raised[-1].severity != "advice":
                    facts.told.update(map(id, hazard.limits))
    marks = {(caution.rule, caution.objects[0]) for caution in raised}
    kept = [
        caution
        for caution in raised
        if not any(
            (over, caution.objects[0]) in marks for over in _COVERED_BY.get(caution.rule, ())
        )
    ]
    rank = {number: place for place, number in enumerate(ORDER)}
    return tuple(sorted(kept, key=lambda c: (_SEVERITIES.index(c.severity), rank[c.rule])))


def _caution(facts: Facts, rule: Rule, hazard: Hazard) -> Caution:
    severity = hazard.severity or rule.levels[0]
    if severity not in rule.levels or (hazard.severity is None and len(rule.levels) > 1):
        must = f"must be raised as one of {', '.join(rule.levels)}"
        raise LumenError(f"rule {rule.number}", must, hazard.severity)
    return Caution(
        rule=rule.number,
        key=rule.key,
        severity=severity,
        objects=hazard.objects,
        fact=hazard.fact,
        numbers=hazard.numbers,
        feeders=_feeders(facts, hazard.objects[0]),
        fix=hazard.fix,
        assumed=hazard.assumed,
        title=hazard.title,
        tell=hazard.tell,
        remedy=hazard.remedy,
    )


def _feeders(facts: Facts, item_id: str) -> tuple[str, ...]:
    item = facts.items.get(item_id)
    above = () if item is None else facts.above(item)
    return (item_id, *(node.id for node in above))
