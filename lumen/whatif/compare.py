"""Two setups of one plan held against each other: what changes on each plane, eye and plug."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lumen.study.lighting.doubts import ratio
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.targets import who
from lumen.study.words import about, amount, watts

__all__ = ["Difference", "compare", "times_words"]

_SAME = 0.10
"""A change under a tenth is told as none: lamps as printed are no better known."""

_DARK_LX = 0.1
_FAINT = "next to nothing of it"


@dataclass(frozen=True)
class Difference:
    """One thing in two setups: ``first`` and ``second`` as text with band, and the change.

    ``words`` say how the second stands to the first and ``sure`` how far that may be off, narrower
    than the two bands since both setups have the same bulbs and walls. ``size`` orders the changes:
    the greater over the less, less one; 0 for what is not light. ``about`` says what is told of:
    names are for reading only, since people may be called anything.
    """

    about: Literal["page", "eyes", "plane", "sight", "power", "wishes"]
    name: str
    first: str
    second: str
    words: str
    sure: str
    size: float


def compare(
    lit: Lighting, data: Mapping[str, Any], first: str, second: str
) -> tuple[Difference, ...]:
    """Return how two setups of a study differ, pages first, then eyes, bed, floor and power.

    Parameters
    ----------
    lit
        The study's light.
    data
        The study as plain data (``Study.to_json``).
    first, second
        Ids of two setups.

    Raises
    ------
    KeyError
        When the study has no such setup.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.study import study
    >>> found = study(load(examples()[0]))
    >>> compare(found.lighting, found.to_json(), "read left", "read left")[0].words
    'the same'
    """
    totals = {setup["id"]: setup for setup in data["setups"]}
    a, b = totals[first], totals[second]
    light = [
        *_planes(lit, data, first, second, pages=True),
        *_eyes(lit, data, first, second),
        *_planes(lit, data, first, second, pages=False),
        *_seen(data, first, second),
    ]
    return (*light, _power(a, b), *_wishes(data, first, second))


def times_words(first: float, second: float) -> str:
    """Return how ``second`` stands to ``first``, as people say it.

    Examples
    --------
    >>> times_words(300, 95), times_words(100, 104), times_words(20, 50), times_words(50, 0.02)
    ('a third of it', 'about the same', '2.5 times as much', 'next to nothing of it')
    >>> times_words(0.0, 12)
    'dark before'
    """
    if max(first, second) < _DARK_LX or first == second:
        return "the same"
    if first < _DARK_LX:
        return "dark before"
    share = second / first
    if second < _DARK_LX or share < 0.01:
        return _FAINT
    if abs(share - 1) <= _SAME:
        return "about the same"
    if share > 1:
        return f"{amount(share)} times as much"
    for part, name in ((0.5, "half"), (1 / 3, "a third"), (0.25, "a quarter"), (0.2, "a fifth")):
        if abs(share / part - 1) <= _SAME:
            return f"{name} of it"
    return f"{amount(100 * share)} % of it"


def _size(first: float, second: float) -> float:
    low, high = sorted((max(first, _DARK_LX), max(second, _DARK_LX)))
    return float(high / low - 1)


def _planes(
    lit: Lighting, data: Mapping[str, Any], first: str, second: str, *, pages: bool
) -> Iterator[Difference]:
    names = {target["id"]: target["name"] for target in data["targets"]}
    found = {(p["target"], p["setup"]): p for p in data["planes"]}
    for target, setup in found:
        if setup != first or target.startswith("page:") != pages:
            continue
        if not pages and target not in ("mattress", "floor"):
            continue
        a, b = found[target, first], found[target, second]
        yield _light(lit, "page" if pages else "plane", names[target], a, b, "average_lx")


def _eyes(lit: Lighting, data: Mapping[str, Any], first: str, second: str) -> Iterator[Difference]:
    """Each person's eyes in the lying posture that is worst in each of the two."""
    for person in lit.scenario.people:
        lying = [
            eye
            for eye in data["eyes"]
            if eye["person"] == person.id and (eye["posture"] or "").startswith("lying")
        ]
        if not lying:
            continue
        a, b = (
            max((e for e in lying if e["setup"] == setup), key=lambda e: e["illuminance_lx"])
            for setup in (first, second)
        )
        yield _light(lit, "eyes", f"{who(person)}'s eyes, lying", a, b, "illuminance_lx")


def _light(
    lit: Lighting,
    kind: Literal["page", "eyes", "plane"],
    name: str,
    a: Mapping[str, Any],
    b: Mapping[str, Any],
    value: str,
) -> Difference:
    x, y = float(a[value]), float(b[value])
    first, second = (about(one[value], one["low_lx"], one["high_lx"]) for one in (a, b))
    words = times_words(x, y)
    sure = ""
    if min(x, y) >= _DARK_LX and a["target"] == b["target"] and words not in ("the same", _FAINT):
        sure = _sure(ratio(lit, a["target"], a["setup"], b["setup"]))
    return Difference(kind, name, first, second, words, sure, _size(x, y))


def _sure(found: tuple[float, float, float] | None) -> str:
    """The band of a ratio: in percent below one, in times above; nothing when it is exact."""
    if found is None or found[2] - found[1] < 0.02 * found[0]:
        return ""
    times, low, high = found
    if times < 1:
        return f"{amount(100 * low)}-{amount(100 * high)} %"
    return f"{amount(low)}-{amount(high)} times"


def _seen(data: Mapping[str, Any], first: str, second: str) -> Iterator[Difference]:
    setups = {one["setup"]: one for one in data.get("comfort", {}).get("setups", ())}
    if first not in setups or second not in setups:
        return
    a, b = (
        len({seen["eye"] for seen in setups[name]["harsh"] if seen["glares"]})
        for name in (first, second)
    )
    words = "the same" if a == b else "fewer places" if b < a else "more places"
    yield Difference("sight", "Glaring bulb", _from(a), _from(b), words, "", 0.0 if a == b else 1.0)


def _from(places: int) -> str:
    return "none" if not places else f"from {places} place{'s' if places > 1 else ''}"


def _power(a: Mapping[str, Any], b: Mapping[str, Any]) -> Difference:
    x, y = float(a["total_w"]), float(b["total_w"])
    gap = y - x
    words = "the same" if abs(gap) < 0.5 else f"{watts(abs(gap))} {'more' if gap > 0 else 'less'}"
    return Difference("power", "Power", watts(x), watts(y), words, "", 0.0)


def _wishes(data: Mapping[str, Any], first: str, second: str) -> Iterator[Difference]:
    states = {
        setup: {aim["id"]: aim["state"] for aim in data["aims"] if aim["setup"] == setup}
        for setup in (first, second)
    }
    a, b = states[first], states[second]
    if a or b:
        met = [sum(state == "met" for state in one.values()) for one in (a, b)]
        texts = [
            f"{n} of {len(one)} met" if one else "no wish written"
            for n, one in zip(met, (a, b), strict=True)
        ]
        yield Difference("wishes", "Wishes", texts[0], texts[1], "", "", 0.0)
