"""How a wish fares, in words: how sure, how even, whose shadow, and who says so."""

from __future__ import annotations

from lumen.study.wishes.aims import AgeFactor
from lumen.study.wishes.shadow import Shadow
from lumen.study.wishes.verdicts import AimResult, Evenness
from lumen.words.figures import amount
from lumen.words.sentences import Sentences

__all__ = ["evenness_source", "shadow_words", "verdict_words", "wish_source"]

_say = Sentences(
    "wishes",
    {
        "not sure": "not sure: {low}-{high}{unit}",
        "likely": "likely",
        "after years": "about {after_years}{unit} after years",
        "uneven": "least over average {value}, wished at least {at_least}",
        "own": "your own wish",
        "rule": "our own rule: no part of a page under 0.4 of its average",
        "age as written": "times {factor} as written for {person}",
        "age": "times {factor} over {years} years ({source})",
        "shadow": "your own {part} part of the page from {light}",
        "head": "head shades",
        "shoulders": "shoulders shade",
        "head and shoulders": "head and shoulders shade",
        "free, head": "from {height} cm up it does not",
        "free": "from {height} cm up they do not",
        "never free, head": "raised to {height} cm it still does",
        "never free": "raised to {height} cm they still do",
        "still short": ("without that shadow least over average would be {without}, still short"),
    },
)


def verdict_words(found: AimResult) -> str:
    """Return what stands beside a verdict on every face; nothing where it says all.

    How sure it is, what is left after years where that decides, and how even a page is where that
    is too little: "not sure: 230-350 lx; about 240 lx after years".
    """
    unit = "" if found.measure == "uniformity" else " lx"
    words: list[str] = []
    if found.doubt == "not sure":
        words = [_say("not sure", low=amount(found.low), high=amount(found.high), unit=unit)]
    elif found.doubt:
        words = [_say(found.doubt)]
    if found.level_state == "met while new":
        words.append(_say("after years", after_years=amount(found.after_years), unit=unit))
    even = found.evenness
    if even is not None and even.state != "met":
        words.append(_say("uneven", value=f"{even.value:.2f}", at_least=f"{even.at_least:g}"))
    return "; ".join(words)


def wish_source(found: AimResult) -> str:
    """Return who says what a wish asks for, and for whose age it was raised."""
    source = found.source or _say("own")
    return source if found.age is None else f"{source}; {_age(found.age)}"


def _age(age: AgeFactor) -> str:
    factor = f"{age.factor:g}"
    if age.from_years is None:
        return _say("age as written", factor=factor, person=age.person)
    return _say("age", factor=factor, years=f"{age.from_years:g}", source=age.source)


def evenness_source(found: Evenness) -> str:
    """Return whose rule it is how even a page has to be."""
    return _say("own" if found.own else "rule")


def shadow_words(shadow: Shadow | None) -> str:
    """Return what a reader's own body does to the page, and where the light would not; or ""."""
    if shadow is None:
        return ""
    words = [_say("shadow", part=_say(" and ".join(shadow.parts)), light=shadow.light_name)]
    one = ", head" if shadow.parts == ("head",) else ""
    if shadow.free_from_m is not None:
        words.append(_say(f"free{one}", height=f"{100 * shadow.free_from_m:.0f}"))
    elif shadow.highest_m is not None:
        words.append(_say(f"never free{one}", height=f"{100 * shadow.highest_m:.0f}"))
    if shadow.without < shadow.at_least:
        words.append(_say("still short", without=amount(shadow.without)))
    return "; ".join(words)
