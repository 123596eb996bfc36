"""The cautions of a study as the paper gives them: each once, numbered, twins together."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from lumen.study.cautions import Level
from lumen.study.cautions.clauses import Clause, Fact, Things
from lumen.words.cautions import CautionWords

__all__ = ["CautionGroup", "caution_groups"]


@dataclass(frozen=True)
class CautionGroup:
    """One caution for one or several things: its number on the paper, its place in the study.

    ``place`` is that of the first in the study's list; ``names`` are all the things it stands
    for, ``others`` those beside the first, whose fact is the same but for the thing. ``question``
    is what to ask an electrician, in the words of the trade.
    """

    number: int
    place: int
    level: Level
    names: tuple[str, ...]
    others: tuple[str, ...]
    places: tuple[int, ...]
    source: str
    question: str | None


def caution_groups(cautions: Sequence[CautionWords]) -> tuple[CautionGroup, ...]:
    """Return the study's cautions, those together whose facts differ by their things only.

    Numbers are the same when their three first digits are.
    """
    alike: dict[object, list[int]] = {}
    for place, words in enumerate(cautions):
        caution = words.caution
        own = caution.objects
        clauses = [
            None if each is None else _shape(each, own)
            for each in (caution.title, caution.remedy, caution.fact)
        ]
        alike.setdefault((caution.rule, caution.level, *clauses), []).append(place)
    groups = []
    for number, places in enumerate(alike.values(), start=1):
        first, every = cautions[places[0]], [cautions[place] for place in places]
        heads = tuple(dict.fromkeys(words.names[0] for words in every))
        groups.append(
            CautionGroup(
                number=number,
                place=places[0],
                level=first.caution.level,
                names=tuple(dict.fromkeys(name for words in every for name in words.names)),
                others=heads[1:],
                places=tuple(places),
                source=first.source,
                question=first.question,
            )
        )
    return tuple(groups)


def _shape(fact: Fact, own: Collection[str]) -> object:
    """A fact without the things that its caution is about, as something that can be compared."""
    if isinstance(fact, Things):
        return tuple(None if item_id in own else item_id for item_id in fact.ids)
    if isinstance(fact, Clause):
        return fact.key, tuple((name, _shape(value, own)) for name, value in fact.facts.items())
    if isinstance(fact, tuple):
        return tuple(_shape(each, own) for each in fact)
    return f"{fact:.3g}" if isinstance(fact, float | int) else fact
