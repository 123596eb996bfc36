"""The cautions that a plan earns: rules as data, each with one small predicate.

``rules.csv`` holds what a rule says, its edition, source and regions; a predicate finds the things
in the plan that it is about and the numbers behind it. A caution is planning information: it never
says that anything is allowed, and no caution means only that none of these rules found anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import PREDICATES, Found, Line, Severity
from lumen.study.cautions.trade import local, question
from lumen.study.load.electrics import Electrics
from lumen.study.words import figure
from lumen.tables import table

__all__ = ["DEFER", "ORDER", "Caution", "cautions", "rules", "rules_text", "source_of"]

DEFER = "Check your local code and labels; ask a licensed electrician if unsure."

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
_LEVELS: Mapping[Severity, Literal["stop", "ask", "note"]] = {
    "danger": "stop",
    "warning": "ask",
    "advice": "note",
}
_LAST = 60  # what no other rule has said of a passed limit
# A graver rule on the same thing says all that the lesser one would.
_COVERED_BY = {2: (1,), 9: (8,), 29: (28,), 32: (33,), 10: ()}


@dataclass(frozen=True)
class Caution:
    """One rule that one thing in the plan meets."""

    rule: int
    key: str
    severity: Severity
    objects: tuple[str, ...]
    names: tuple[str, ...]
    title: str
    fact: str
    numbers: tuple[Line, ...]
    trigger: str
    feeders: tuple[str, ...]
    rule_text: str
    source: str
    edition: str
    how: str
    remedy: str
    question: str | None = None
    fix: Mapping[str, Any] | None = None
    assumed: str | None = None

    @property
    def level(self) -> Literal["stop", "ask", "note"]:
        """What the person should do: stop, ask or note."""
        return _LEVELS[self.severity]

    @property
    def explain(self) -> tuple[tuple[str, float | None, str], ...]:
        """What led to it: the rule's trigger, where the thing hangs, and the sum, line by line."""
        lines: list[tuple[str, float | None, str]] = [(f"raised when {self.trigger}", None, "")]
        if len(self.feeders) > 1:
            lines.append((f"fed through: {' < '.join(self.feeders)}", None, ""))
        lines += self.numbers
        if self.assumed:
            lines.append((f"assumed: {self.assumed}", None, ""))
        if self.question:
            lines.append((f"ask an electrician: {self.question}", None, ""))
        return (*lines, (self.fact, None, ""))

    def to_json(self) -> dict[str, Any]:
        """Return the caution as plain data, an entry of ``cautions`` in ``lumen-study/1``."""
        return {
            "rule": self.rule,
            "key": self.key,
            "level": self.level,
            "severity": self.severity,
            "objects": list(self.objects),
            "names": list(self.names),
            "title": self.title,
            "fact": self.fact,
            "numbers": [[text, figure(value), unit] for text, value, unit in self.numbers],
            "explain": [
                [text, None if value is None else figure(value), unit]
                for text, value, unit in self.explain
            ],
            "rule_text": self.rule_text,
            "source": self.source,
            "edition": self.edition,
            "how": self.how,
            "remedy": self.remedy,
            "question": self.question,
            "fix": None if self.fix is None else dict(self.fix),
            "assumed": self.assumed,
            "defer": DEFER,
        }


def rules() -> dict[int, Mapping[str, str]]:
    """Return the rows of ``rules.csv`` by number.

    Examples
    --------
    >>> rules()[8]["title"]
    'Power strip overloaded'
    """
    return {int(row["number"]): row for row in table("rules")}


def source_of(number: int, region: str) -> Mapping[str, str]:
    """Return edition, source, locator and how we know it, of a rule in a region.

    Where a region has no document of its own for it, the row of the rule itself, which names no
    other region's.

    Examples
    --------
    >>> source_of(26, "UK")["source"], source_of(1, "US")["source"]
    ('appliance-testing tables for BS 1363 plugs', 'NFPA 70')
    """
    return _own_sources().get((number, region)) or rules()[number]


@cache
def _own_sources() -> dict[tuple[int, str], Mapping[str, str]]:
    return {
        (int(row["number"]), region): row
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
    table_of = rules()
    for number in sorted(table_of, key=lambda n: n == _LAST):
        row = table_of[number]
        if scenario.region not in row["regions"].split():
            continue
        seen: set[str] = set()
        for found in PREDICATES[number](facts):
            if found.objects[0] not in seen:
                seen.add(found.objects[0])
                raised.append(_caution(facts, number, row, found))
                if raised[-1].severity != "advice":
                    facts.told.update(map(id, found.limits))
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


def _caution(facts: Facts, number: int, row: Mapping[str, str], found: Found) -> Caution:
    levels = row["level"].split()
    severity = found.severity or cast(Severity, levels[0])
    if severity not in levels or (found.severity is None and len(levels) > 1):
        raise LumenError(f"rule {number}", f"must be raised as one of {levels}", found.severity)
    region, names = facts.scenario.region, facts.electrics.names
    source = source_of(number, region)

    def said(text: str) -> str:
        return local(text, region, names)

    return Caution(
        rule=number,
        key=row["key"],
        severity=severity,
        objects=found.objects,
        names=tuple(facts.electrics.name(item) for item in found.objects),
        title=local(found.title or row["title"], region),
        fact=said(found.fact[0].upper() + found.fact[1:]),
        numbers=tuple((said(text), value, unit) for text, value, unit in found.numbers),
        trigger=local(row["trigger"], region),
        feeders=_feeders(facts, found.objects[0]),
        rule_text=local(found.tell or row["tell"], region),
        source=", ".join(filter(None, (source["source"], local(source["locator"], region)))),
        edition=source["edition"] or "no edition",
        how=source["how"],
        remedy=said(found.remedy or row["remedy"]),
        question=question(row["question"], region),
        fix=found.fix,
        assumed=None if found.assumed is None else said(found.assumed),
    )


def _feeders(facts: Facts, item_id: str) -> tuple[str, ...]:
    """Return a thing and what feeds it up to the circuit, by name; alone when nothing does."""
    item = facts.items.get(item_id)
    above = () if item is None else facts.above(item)
    return tuple(facts.electrics.name(x) for x in (item_id, *(node.id for node in above)))


_HOW = {"read": "read", "memory": "from memory", "assumed": "our own assumption"}


def rules_text() -> str:
    """Return every rule with regions, edition and source, as ``lumen rules`` prints them."""
    return "\n".join(_rule_lines()) + "\n"


def _rule_lines() -> Iterator[str]:
    yield f"{len(rules())} caution rules, for planning: not code text, not advice on your home."
    yield "Levels: stop, ask and note."
    yield DEFER
    for number, row in rules().items():
        yield ""
        levels = [_LEVELS[cast(Severity, level)] for level in row["level"].split()]
        yield f"{number}. {row['title']}  [{' or '.join(levels)}]"
        yield f"   raised when: {row['trigger']}"
        yield f"   says: {row['tell']}"
        yield f"   clears it: {row['remedy']}"
        for regions, source in _sources(number, row["regions"].split()):
            edition = f", {source['edition']}" if source["edition"] else ""
            how = _HOW[source["how"]]
            yield (
                f"   source ({' '.join(regions)}): {source['source']}{edition}; "
                f"{source['locator']} ({how})"
            )
        yield f"   regions: {row['regions']}"
        if row["question"]:
            yield f"   to ask an electrician: {question(row['question'], row['regions'][:2])}"


def _sources(number: int, regions: list[str]) -> list[tuple[list[str], Mapping[str, str]]]:
    """Return the regions that share a source, and that source."""
    found: list[tuple[list[str], Mapping[str, str]]] = []
    for region in regions:
        source = source_of(number, region)
        for shared, known in found:
            if known is source:
                shared.append(region)
                break
        else:
            found.append(([region], source))
    return found
