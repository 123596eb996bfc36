"""Cautions in words: title, fact, rule, what clears it, the question for an electrician."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from lumen.scenario.document import Scenario
from lumen.study.cautions import LEVEL_OF, Caution, Rule, Source, rules, source_of
from lumen.study.cautions.clauses import Clause, Fact, Line, OpeningOf, Surface, Things
from lumen.study.digits import figure
from lumen.study.load.day import Case
from lumen.words.caution_sentences import SENTENCES, SHARED
from lumen.words.figures import amperes, watts
from lumen.words.names import Names
from lumen.words.sentences import Sentences, capital
from lumen.words.trade import TRADE, local

__all__ = ["DEFER", "CautionWords", "caution_words", "question", "rules_text"]

DEFER = "Check your local code and labels; ask a licensed electrician if unsure."


@dataclass(frozen=True)
class CautionWords:
    """A caution as page, terminal and sheet print it, with the person's own names.

    ``numbers`` are the lines of its sum: (text, value, unit); ``explain`` is what led to it: the
    rule's trigger, where the thing hangs, that sum, what is assumed.
    """

    caution: Caution
    names: tuple[str, ...]
    title: str
    fact: str
    numbers: tuple[tuple[str, float, str], ...]
    explain: tuple[tuple[str, float | None, str], ...]
    rule_text: str
    source: str
    edition: str
    how: str
    remedy: str
    question: str | None
    assumed: str | None

    def to_json(self) -> dict[str, Any]:
        """Return the caution as plain data, an entry of ``cautions`` in ``lumen-study/1``."""
        caution = self.caution
        return {
            "rule": caution.rule,
            "key": caution.key,
            "level": caution.level,
            "severity": caution.severity,
            "objects": list(caution.objects),
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
            "fix": None if caution.fix is None else dict(caution.fix),
            "assumed": self.assumed,
            "defer": DEFER,
        }


def caution_words(cautions: Iterable[Caution], scenario: Scenario) -> tuple[CautionWords, ...]:
    """Return cautions of a plan in words.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.cautions import cautions
    >>> from lumen.study.load.electrics import electrics
    >>> plan = load(examples()[0])
    >>> caution_words(cautions(plan, electrics(plan)), plan)[0].title
    'Cord under a rug or furniture'
    """
    names = Names(scenario)
    return tuple(_words(caution, names, scenario.region) for caution in cautions)


def _words(caution: Caution, names: Names, region: str) -> CautionWords:
    teller = _Teller(caution.rule, names, region)
    source = source_of(caution.rule, region)
    fact = capital(teller.clause(caution.fact))
    numbers = tuple(map(teller.line, caution.numbers))
    assumed = "; ".join(map(teller.clause, caution.assumed)) or None
    asked = question(caution.rule, region)
    explain: list[tuple[str, float | None, str]] = [
        (teller.say("explain raised", trigger=teller.say("trigger")), None, "")
    ]
    if len(caution.feeders) > 1:
        way = " < ".join(map(names.name, caution.feeders))
        explain.append((teller.say("explain fed", way=way), None, ""))
    explain += numbers
    if assumed:
        explain.append((teller.say("explain assumed", what=assumed), None, ""))
    if asked:
        explain.append((teller.say("explain ask", question=asked), None, ""))
    return CautionWords(
        caution=caution,
        names=tuple(map(names.name, caution.objects)),
        title=teller.clause(caution.title or Clause("title")),
        fact=fact,
        numbers=numbers,
        explain=(*explain, (fact, None, "")),
        rule_text=teller.clause(caution.tell or Clause("tell")),
        source=", ".join(filter(None, (source.source, local(source.locator, region)))),
        edition=source.edition or "no edition",
        how=source.how,
        remedy=teller.clause(caution.remedy or Clause("remedy")),
        question=asked,
        assumed=assumed,
    )


@cache
def _sentences(region: str) -> Sentences:
    """Every sentence of the rules in the words of a region's trade; a rule's own columns too."""
    own = {
        f"{rule.number}.{key}": text
        for rule in rules().values()
        for key, text in (
            ("title", rule.title),
            ("trigger", rule.trigger),
            ("tell", rule.tell),
            ("remedy", rule.remedy),
        )
    }
    asked = {f"{rule.number}.question": rule.question for rule in rules().values()}
    templates = {
        key: local(template, region)
        for key, template in (*SHARED.items(), *SENTENCES.items(), *own.items())
    }
    return Sentences("caution", {**templates, **asked})


def question(rule: int, region: str) -> str | None:
    """Return what to ask an electrician, in the words of the trade; ``None`` for no question.

    Examples
    --------
    >>> question(45, "US")
    'Is this circuit behind a GFCI and an AFCI, and does the test button trip them?'
    """
    if not rules()[rule].question:
        return None
    return _sentences(region)(f"{rule}.question", **TRADE[region])


class _Teller:
    """Says the clauses of one rule in one plan."""

    def __init__(self, rule: int, names: Names, region: str) -> None:
        self._rule, self._names, self._region = rule, names, region
        self._say = _sentences(region)

    def say(self, key: str, **facts: object) -> str:
        own = f"{self._rule}.{key}"
        return self._say(own if own in self._say.templates else key, **facts)

    def clause(self, clause: Clause) -> str:
        """Return a clause as a sentence or a part of one."""
        return self.say(clause.key, **{key: self._fact(v) for key, v in clause.facts.items()})

    def line(self, line: Line) -> tuple[str, float, str]:
        """Return a line of a sum: text, value, unit."""
        return self.clause(line.what), line.value, line.unit

    def _fact(self, fact: Fact) -> object:
        if isinstance(fact, Things):
            return _Named(fact.ids, self._names)
        if isinstance(fact, Clause):
            return self.clause(fact)
        if isinstance(fact, tuple):
            return _Joined(map(self.clause, fact))
        if isinstance(fact, Surface):
            return self._names.surface(fact)
        if isinstance(fact, OpeningOf):
            return self._names.opening(fact.id)
        if isinstance(fact, Case):
            return self._names.when(fact)
        if isinstance(fact, str):
            return _Text(local(fact, self._region))
        return _Number(fact)


class _Number(float):
    """A number that is read as its template says (:mod:`lumen.words.caution_sentences`)."""

    def __format__(self, spec: str) -> str:
        value = float(self)
        if spec == "A":
            return amperes(value)
        if spec == "W":
            return watts(value)
        if spec == "mm":
            return f"{1000 * value:.0f} mm"
        if spec == "cm":
            return f"{100 * value:.3g}"
        if spec == "tape":
            return f"{1000 * value:.0f} mm" if value < 0.02 else f"{100 * value:.0f} cm"
        if spec.startswith("%"):
            digits = {"%": ".0f", "%1": ".1f", "%g": "g"}[spec]
            return f"{100 * value:{digits}} %"
        return format(value, spec)


class _Text(str):
    """A text of a table or label; as a ``unit`` it stands off its number."""

    def __format__(self, spec: str) -> str:
        if spec == "unit":
            return f" {self}" if self else ""
        return format(str(self), spec)


class _Named:
    """Things by the person's names for them."""

    def __init__(self, ids: Sequence[str], names: Names) -> None:
        self._ids, self._names = ids, names

    def __format__(self, spec: str) -> str:
        if spec == "name":  # a setup's
            return ", ".join(map(self._names.setup, self._ids))
        if spec == "way":
            return " > ".join(map(self._names.name, self._ids))
        if spec == ",":
            return ", ".join(map(self._names.the, self._ids))
        return self._names.list_of(self._ids)


class _Joined:
    """Several clauses in a row."""

    def __init__(self, clauses: Iterable[str]) -> None:
        self._clauses = tuple(clauses)

    def __format__(self, spec: str) -> str:
        between = {"": " and ", ",": ", ", ";": "; ", "or": " or "}[spec]
        return between.join(self._clauses)


_HOW: Mapping[str, str] = {
    "read": "read",
    "memory": "from memory",
    "assumed": "our own assumption",
}


def rules_text() -> str:
    """Return every rule with regions, edition and source, as ``lumen rules`` prints them."""
    return "\n".join(_rule_lines()) + "\n"


def _rule_lines() -> Iterator[str]:
    yield f"{len(rules())} caution rules, for planning: not code text, not advice on your home."
    yield "Levels: stop, ask and note."
    yield DEFER
    for rule in rules().values():
        yield ""
        levels = [LEVEL_OF[level] for level in rule.levels]
        yield f"{rule.number}. {rule.title}  [{' or '.join(levels)}]"
        yield f"   raised when: {rule.trigger}"
        yield f"   says: {rule.tell}"
        yield f"   clears it: {rule.remedy}"
        for regions, source in _sources(rule):
            edition = f", {source.edition}" if source.edition else ""
            how = _HOW[source.how]
            yield (
                f"   source ({' '.join(regions)}): {source.source}{edition}; "
                f"{source.locator} ({how})"
            )
        yield f"   regions: {' '.join(rule.regions)}"
        if rule.question:
            yield f"   to ask an electrician: {question(rule.number, rule.regions[0])}"


def _sources(rule: Rule) -> list[tuple[list[str], Source]]:
    """Return the regions that share a source, and that source."""
    shared: dict[Source, list[str]] = {}
    for region in rule.regions:
        shared.setdefault(source_of(rule.number, region), []).append(region)
    return [(regions, source) for source, regions in shared.items()]
