"""Two setups held against each other, in words: each line of the table, and all in one go."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lumen.study.scene.targets import who
from lumen.whatif.compare import Amount, Comparison, LightDifference
from lumen.words.answers import places_words
from lumen.words.figures import about, amount, watts
from lumen.words.sentences import Sentences

__all__ = ["DifferenceLine", "compare_lines", "compare_summary"]

_PARTS = (("half", 0.5), ("third", 1 / 3), ("quarter", 0.25), ("fifth", 0.2))
_NEAR = 0.10  # so near to a plain part it is called that

_say = Sentences(
    "compare",
    {
        "same": "the same",
        "about the same": "about the same",
        "from the dark": "dark before",
        "next to nothing": "next to nothing of it",
        "more": "{times} times as much",
        "half": "half of it",
        "third": "a third of it",
        "quarter": "a quarter of it",
        "fifth": "a fifth of it",
        "less": "{share} % of it",
        "percent": "{low}-{high} %",
        "times": "{low}-{high} times",
        "eyes": "{person}'s eyes, lying",
        "glaring": "Glaring bulb",
        "fewer places": "fewer places",
        "more places": "more places",
        "power": "Power",
        "more watts": "{watts} more",
        "less watts": "{watts} less",
        "wishes": "Wishes",
        "met": "{met} of {count} met",
        "no wish": "no wish written",
        "told next to nothing": "next to nothing of the light",
        "told more": "{times} times as much light",
        "told half": "half of the light",
        "told third": "a third of the light",
        "told quarter": "a quarter of the light",
        "told fifth": "a fifth of the light",
        "told less": "{share} % of the light",
        "page gets": "the {name} gets {words}, {second} instead of {first}",
        "page gets from the dark": "the {name} gets {second}, dark before",
        "eyes get": "{person}'s eyes get {words}, {second} instead of {first}",
        "eyes get from the dark": "{person}'s eyes get {second}, dark before",
        "much the same": "{second} gives much the same light as {first}. {watts}",
        "against": "{second} against {first}: {changes}. {watts}",
        "draws the same": "All that is on draws the same.",
        "draws more": "All that is on draws {watts} more in all.",
        "draws less": "All that is on draws {watts} less in all.",
    },
)


@dataclass(frozen=True)
class DifferenceLine:
    """A line of the table: a thing, what it gets in both setups, the change, how sure that is.

    ``changed`` is whether it stands out.
    """

    name: str
    first: str
    second: str
    words: str
    sure: str
    changed: bool


def compare_lines(found: Comparison) -> Iterator[DifferenceLine]:
    """Yield the lines of the table: pages, eyes, bed, floor, bright things, power, wishes."""
    yield from map(_light, found.light)
    a, b = found.glaring
    words = _say("same" if a == b else "fewer places" if b < a else "more places")
    first, second = places_words(a), places_words(b)
    yield DifferenceLine(_say("glaring"), first, second, words, "", a != b)
    x, y = found.power_w
    yield DifferenceLine(_say("power"), watts(x), watts(y), _watts(x, y), "", False)
    if any(count for _, count in found.wishes):
        first, second = (
            _say("met", met=met, count=count) if count else _say("no wish")
            for met, count in found.wishes
        )
        yield DifferenceLine(_say("wishes"), first, second, "", "", False)


def _light(one: LightDifference) -> DifferenceLine:
    name = one.target.name if one.target is not None else _eyes(one)
    key, facts = _change(one)
    first, second = _about(one.first), _about(one.second)
    return DifferenceLine(name, first, second, _say(key, **facts), _sure(one), one.size > 0)


def _eyes(one: LightDifference) -> str:
    assert one.person is not None
    return _say("eyes", person=who(one.person))


def _about(found: Amount) -> str:
    return about(found.value, found.low, found.high)


def _change(one: LightDifference) -> tuple[str, dict[str, str]]:
    """The key of the sentence that tells a change, and its facts."""
    if one.change == "more":
        return "more", {"times": amount(one.share)}
    if one.change == "less":
        parts = (name for name, part in _PARTS if abs(one.share / part - 1) <= _NEAR)
        return next(parts, "less"), {"share": amount(100 * one.share)}
    return one.change, {}


def _sure(one: LightDifference) -> str:
    """The band of a ratio: in percent below one, in times above; nothing when it is exact."""
    found = one.ratio
    quiet = one.change in ("same", "next to nothing")
    if quiet or found is None or found[2] - found[1] < 0.02 * found[0]:
        return ""
    times, low, high = found
    if times < 1:
        return _say("percent", low=amount(100 * low), high=amount(100 * high))
    return _say("times", low=amount(low), high=amount(high))


_LEAST_W = 0.5


def _watts(x: float, y: float) -> str:
    if abs(y - x) < _LEAST_W:
        return _say("same")
    return _say("more watts" if y > x else "less watts", watts=watts(abs(y - x)))


def compare_summary(found: Comparison, first: str, second: str) -> str:
    """Return what changes most on a page and in somebody's eyes, and the watts, in one go.

    ``first`` and ``second`` are the names of the two setups.
    """
    x, y = found.power_w
    more = "more" if y > x else "less"
    key = "draws the same" if abs(y - x) < _LEAST_W else f"draws {more}"
    drawn = _say(key, watts=watts(abs(y - x)))
    light = [one for one in found.light if one.size > 0]
    pages = [one for one in light if one.kind == "page"]
    eyes = [one for one in light if one.kind == "eyes"]
    most = [max(some, key=lambda one: one.size) for some in (pages, eyes) if some] or light[:1]
    changed = [one for one in most if one.change not in ("same", "about the same")]
    if not changed:
        return _say("much the same", first=first, second=second, watts=drawn)
    changes = "; ".join(map(_gets, changed))
    return _say("against", first=first, second=second, changes=changes, watts=drawn)


def _gets(one: LightDifference) -> str:
    key, facts = _change(one)
    both = {"first": _about(one.first), "second": _about(one.second)}
    dark = " from the dark" if one.change == "from the dark" else ""
    words = "" if dark else _say(f"told {key}", **facts)
    if one.target is None:
        assert one.person is not None
        return _say(f"eyes get{dark}", person=who(one.person), words=words, **both)
    name = one.target.name[:1].lower() + one.target.name[1:]
    return _say(f"page gets{dark}", name=name, words=words, **both)
