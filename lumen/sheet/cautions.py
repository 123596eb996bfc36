"""The cautions of a study as the paper gives them: each once, numbered, twins together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

__all__ = ["CautionGroup", "caution_groups"]


@dataclass(frozen=True)
class CautionGroup:
    """One caution for one or several things: its number on the paper, its place in the study.

    ``place`` is that of the first in the study's list; ``names`` are all the things it stands
    for, ``others`` those beside the first, whose fact is the same with another name.
    """

    number: int
    place: int
    level: str
    names: tuple[str, ...]
    others: tuple[str, ...]
    places: tuple[int, ...]


def caution_groups(cautions: Sequence[Mapping[str, Any]]) -> tuple[CautionGroup, ...]:
    """Return the study's cautions, those together whose words differ by a name only.

    Examples
    --------
    >>> twin = {"rule": 42, "level": "ask", "title": "t", "remedy": "r", "source": "s"}
    >>> found = caution_groups([
    ...     {**twin, "names": ["left"], "fact": "The left sits."},
    ...     {**twin, "names": ["right"], "fact": "The right sits."}])
    >>> [(group.names, group.others) for group in found]
    [(('left', 'right'), ('right',))]
    """
    found: dict[object, list[int]] = {}
    for place, caution in enumerate(cautions):
        fact = caution["fact"].casefold()
        for name in sorted(caution["names"], key=len, reverse=True):
            fact = fact.replace(name.casefold(), "*")
        key = (caution["rule"], caution["level"], caution["title"], caution["remedy"], fact)
        found.setdefault(key, []).append(place)
    groups = []
    for number, places in enumerate(found.values(), start=1):
        first = cautions[places[0]]
        heads = tuple(dict.fromkeys(cautions[place]["names"][0] for place in places))
        named = tuple(dict.fromkeys(n for place in places for n in cautions[place]["names"]))
        groups.append(
            CautionGroup(number, places[0], first["level"], named, heads[1:], tuple(places))
        )
    return tuple(groups)
