"""What to relax when nothing meets every wish: the least change of one that makes it possible."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from lumen.find.design import Design
from lumen.find.guide import Guide
from lumen.find.judge import Judge, Judged
from lumen.find.search import Family, Search
from lumen.study.digits import figure
from lumen.study.wishes.verdicts import AimResult
from lumen.words.figures import amount

__all__ = ["Relaxed", "relaxations"]


@dataclass(frozen=True)
class Relaxed:
    """One wish changed: each field with what it asks and what is possible.

    Fields are ``at_least``, ``at_most`` or ``evenness_at_least``; ``all_met`` says whether all
    wishes hold then, on new lamps; ``met`` counts them.
    """

    aim: str
    fields: tuple[tuple[str, float, float], ...]
    all_met: bool
    met: int
    of: int
    words: str

    @property
    def size(self) -> float:
        """How great the change is: the largest ratio of a field, as a logarithm."""
        return max(
            abs(math.log(b / a)) if a > 0.0 and b > 0.0 else math.inf for _, a, b in self.fields
        )

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data, an entry of ``relax`` in ``lumen-find/1``."""
        return {
            "aim": self.aim,
            "fields": [
                {"field": field, "asked": figure(asked), "possible": figure(possible)}
                for field, asked, possible in self.fields
            ],
            "all_met": self.all_met,
            "met": self.met,
            "of": self.of,
            "words": self.words,
            "commands": [
                {
                    "name": "set",
                    "id": self.aim,
                    "args": {"field": field, "value": figure(possible), "section": "aims"},
                }
                for field, _, possible in self.fields
            ],
        }


def relaxations(
    search: Search, judge: Judge, missed: Sequence[str], families: Sequence[Family]
) -> list[Relaxed]:
    """Return what one wish after the other would have to become for all others to hold.

    For each wish that was ``missed`` the search is asked again, without that wish's limit but as
    near to it as may be; least changes first.
    """
    found: dict[str, Relaxed] = {}
    for aim in dict.fromkeys(missed):
        search.check()
        loose = _without(search, aim)
        designs: list[Design] = []
        for family in families:
            designs += loose.family(family)[:3]
        designs.sort(key=lambda d: -d.points)
        for judged in judge.judged(designs[:3]):
            one = _told(aim, judged)
            old = found.get(aim)
            if one and (old is None or (not one.all_met, one.size) < (not old.all_met, old.size)):
                found[aim] = one
    return sorted(found.values(), key=lambda r: (not r.all_met, r.size))


def _without(search: Search, aim: str) -> Search:
    """The same search with one wish counted by its nearness only."""
    wants = tuple(replace(w, loose=True) if w.aim == aim else w for w in search.guide.wants)
    guide: Guide = replace(search.guide, wants=wants)
    return search.led_by(guide)


def _told(aim: str, judged: Judged) -> Relaxed | None:
    own = [r for r in judged.results if r.id == aim]
    others = [r for r in judged.results if r.id != aim]
    held = sum(r.state in ("met", "met while new") for r in others)
    fields: list[tuple[str, float, float]] = []
    short = [r for r in own if r.level_state == "short"]
    much = [r for r in own if r.level_state == "too much"]
    if short:
        worst = min(short, key=lambda r: r.new)
        fields.append(("at_least", worst.at_least or 0.0, _down(worst.new)))
    elif much:
        worst = max(much, key=lambda r: r.new)
        fields.append(("at_most", worst.at_most or 0.0, _up(worst.new)))
    uneven = [r.evenness for r in own if r.evenness is not None and r.evenness.state == "short"]
    if uneven:
        least = min(uneven, key=lambda e: e.value)
        fields.append(("evenness_at_least", least.at_least, math.floor(least.value * 100) / 100))
    if not fields:
        return None
    all_met = held == len(others)
    unit = "" if own[0].measure == "uniformity" else " lx"
    met = held + len(own) if all_met else held
    return Relaxed(
        aim, tuple(fields), all_met, met, len(judged.results), _words(aim, fields, unit, others)
    )


_FIELDS = {"at_least": "at least", "at_most": "at most", "evenness_at_least": "evenness"}


def _words(
    aim: str,
    fields: Sequence[tuple[str, float, float]],
    unit: str,
    others: Sequence[AimResult],
) -> str:
    said = []
    for field, asked, possible in fields:
        ending = "" if field.startswith("even") else unit
        said.append(f"{_FIELDS[field]} {amount(possible)}{ending} in place of {amount(asked)}")
    text = f"{aim}: {' and '.join(said)}"
    missed = dict.fromkeys(r.id for r in others if r.state in ("short", "too much"))
    if missed:
        return f"{text} is the nearest that was found, and {', '.join(missed)} still fails"
    return f"{text} makes it possible to meet all wishes"


def _down(value: float) -> float:
    step: float = 10 ** (math.floor(math.log10(max(value, 1e-9))) - 1)
    return float(math.floor(value / step) * step)


def _up(value: float) -> float:
    step: float = 10 ** (math.floor(math.log10(max(value, 1e-9))) - 1)
    return float(math.ceil(value / step) * step)
