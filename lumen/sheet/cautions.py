"""The cautions of a study as the paper gives them: each once, numbered, twins together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

__all__ = ["CautionGroup", "caution_groups", "own_source"]

_OTHERS = "other regions:"
_CODES = {"US": "NFPA", "CA": "NFPA", "UK": "BS ", "EU": "DIN", "AU": "AS/NZS"}
"""How the code of a region begins, where a source lists the codes of several."""


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


def own_source(source: str, region: str) -> str:
    """Return of a source that lists the codes of several regions what concerns one.

    Examples
    --------
    >>> both = "NFPA 70, 210.23; other regions: design current not over the breaker (BS 7671)"
    >>> own_source(both, "US"), own_source(both, "JP")
    ('NFPA 70, 210.23', 'design current not over the breaker (BS 7671)')
    >>> own_source("NFPA 70; BS 7671; AS/NZS 3000, 210.12; 411.3.3; 2.6.3", "UK")
    'BS 7671, 411.3.3'
    >>> own_source("IEC 60598-1, class I", "JP")
    'IEC 60598-1, class I'
    """
    before, found, after = source.partition(_OTHERS)
    if found:
        return (before if region in ("US", "CA") else after).strip(" ;,")
    codes, _, places = source.partition(", ")
    listed, where = codes.split("; "), places.split("; ")
    known = [any(code.startswith(own) for own in _CODES.values()) for code in listed]
    if len(listed) < 2 or len(listed) != len(where) or not all(known):
        return source
    own = _CODES.get(region)
    for code, place in zip(listed, where, strict=True):
        if own is not None and code.startswith(own):
            return f"{code}, {place}"
    return "no code of this region found: ask there"


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
