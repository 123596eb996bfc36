"""How each wish fares: now and after years of use, how surely, and what shades a page.

What is asked at least is held against what is left after years, since the values that standards
cite are maintained ones; what is asked at most against new lamps, which are brightest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lumen.scenario.aims import AimFor
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.targets import Kind, Target, named
from lumen.study.wishes.aims import EVENNESS, AgeFactor, age_factor
from lumen.study.wishes.shadow import Shadow, shadow_on

__all__ = ["WORST_FIRST", "AimResult", "Doubt", "Evenness", "State", "aim_results"]

State = Literal["met", "met while new", "short", "too much"]
Doubt = Literal["", "likely", "not sure"]

WORST_FIRST: tuple[State, ...] = ("short", "too much", "met while new", "met")

_LIKELY = 0.5
"""A limit in the outer half of the doubt leaves a verdict likely, one nearer the middle leaves it
open; our own convention."""


@dataclass(frozen=True)
class Evenness:
    """Least over average of a page that is wished for: now, what is asked, whose rule it is.

    ``own`` is whether the wish itself asks for it, and not our own rule; ``shadow`` is what the
    reader's own body does to it, where it is short.
    """

    value: float
    after_years: float
    at_least: float
    state: State
    own: bool
    shadow: Shadow | None = None


@dataclass(frozen=True)
class AimResult:
    """How a wish fares in one setup.

    ``value`` with its band ``low`` to ``high`` is the middle of the answer; ``new`` and
    ``after_years`` are the same with lamps of those ages. ``state`` is the verdict on all of the
    wish, ``level_state`` on its level alone, ``evenness`` that of a page. ``doubt`` says how surely
    the level's verdict stands; ``sure`` is whether the whole band keeps clear of the limits.

    ``of`` is the target, of several the one that gets most; ``source`` who says so, empty for a
    wish of one's own; ``age`` is what ``at_least`` was multiplied by, where that is anything.
    """

    id: str
    of: str
    person: str | None
    setup: str
    measure: str
    value: float
    low: float
    high: float
    new: float
    after_years: float
    at_least: float | None
    at_most: float | None
    state: State
    level_state: State
    doubt: Doubt
    sure: bool
    source: str
    age: AgeFactor | None = None
    evenness: Evenness | None = None


def aim_results(
    lit: Lighting, only: str | None = None, *, shadows: bool = True
) -> tuple[AimResult, ...]:
    """Return how each wish fares in each of its setups, or in ``only`` one.

    A wish for what is not there (the page of somebody who no longer reads) fares nohow. With
    ``shadows`` false nothing is looked for in the reader's own shadow, which takes a while.
    """
    known = named(lit.targets)
    return tuple(
        _result(lit, aim, about, setup.id, shadows)
        for aim in lit.scenario.aims
        for setup in lit.scenario.setups
        if only in (None, setup.id)
        and setup.id in (aim.setups or (setup.id,))
        and (about := known.get(aim.of, ()))
    )


@dataclass(frozen=True)
class _Reach:
    """What a target gets of what is wished: middle, band, and at both ends of the lamps' life."""

    target: Target
    value: float
    low: float
    high: float
    new: float
    after_years: float


def _result(
    lit: Lighting, aim: AimFor, about: Sequence[Target], setup: str, shadows: bool
) -> AimResult:
    worst = max((_reach(lit, target, setup, aim) for target in about), key=lambda r: r.value)
    at_least, owner, age = aim.at_least, worst.target.person, None
    person = next((p for p in lit.scenario.people if p.id == owner), None)
    if aim.for_age and at_least is not None and person is not None:
        age = age_factor(person)
        at_least *= age.factor
    state = _state(worst.new, worst.after_years, at_least, aim.at_most)
    evenness = _evenness(lit, aim, worst.target, setup, shadows)
    states = (state, evenness.state) if evenness else (state,)
    limits = [limit for limit in (at_least, aim.at_most) if limit is not None]
    return AimResult(
        id=aim.id,
        of=worst.target.id,
        person=owner,
        setup=setup,
        measure=aim.measure,
        value=worst.value,
        low=worst.low,
        high=worst.high,
        new=worst.new,
        after_years=worst.after_years,
        at_least=at_least,
        at_most=aim.at_most,
        state=min(states, key=WORST_FIRST.index),
        level_state=state,
        doubt=_doubt(worst, at_least, aim.at_most),
        sure=not any(worst.low <= limit <= worst.high for limit in limits),
        source=aim.source or "",
        age=None if age is None or age.factor == 1.0 else age,
        evenness=evenness,
    )


def _state(new: float, after_years: float, at_least: float | None, at_most: float | None) -> State:
    if at_least is not None and new < at_least:
        return "short"
    if at_most is not None and new > at_most:
        return "too much"
    if at_least is not None and after_years < at_least:
        return "met while new"
    return "met"


def _doubt(found: _Reach, at_least: float | None, at_most: float | None) -> Doubt:
    """How near the limits come to what they are held against, in halves of the doubt.

    The band's low end is of lamps after years and its high end of new ones, so each end tells
    the doubt about its own middle; the doubt is taken in proportion at the other age.
    """
    down = 1 - found.low / found.after_years if found.after_years > 0 else 0.0
    up = found.high / found.new - 1 if found.new > 0 else 0.0
    held = [(value, at_least) for value in (found.new, found.after_years)] + [(found.new, at_most)]
    near = 1.0
    for value, limit in held:
        if limit is None or value <= 0:
            continue
        half = value * (up if limit > value else down)
        off = abs(limit - value)
        near = min(near, off / half if half > 1e-12 else (1.0 if off > 0 else 0.0))
    return "" if near >= 1.0 else "likely" if near >= _LIKELY else "not sure"


def _evenness(
    lit: Lighting, aim: AimFor, target: Target, setup: str, shadows: bool
) -> Evenness | None:
    """A page wished to be lit is to be lit evenly too, unless its person says otherwise."""
    asks = target.kind is Kind.PAGE and aim.measure == "illuminance_lx"
    if not asks or aim.at_least is None or aim.evenness_at_least == 0.0:
        return None
    if any(
        other.of == aim.of and other.measure == "uniformity" and setup in (other.setups or (setup,))
        for other in lit.scenario.aims
    ):
        return None
    own = aim.evenness_at_least
    least = EVENNESS if own is None else own
    value, new, after = _even(lit, target.id, setup)
    state = _state(new, after, least, None)
    return Evenness(
        value=value,
        after_years=after,
        at_least=least,
        state=state,
        own=own is not None,
        shadow=shadow_on(lit, target, setup, least) if shadows and state != "met" else None,
    )


def _even(lit: Lighting, target: str, setup: str) -> tuple[float, float, float]:
    """Least over average: as reckoned, with new lamps, after years; 0 in the dark."""
    total = lit.total(setup, lit.slices[target])
    found = [w @ total for w in (lit.weights(setup), *lit.weights_by_age(setup))]
    now, new, after = (float(e.min() / e.mean()) if e.mean() > 1e-9 else 0.0 for e in found)
    return now, new, after


def _reach(lit: Lighting, target: Target, setup: str, aim: AimFor) -> _Reach:
    if aim.measure == "uniformity":
        value, new, after = _even(lit, target.id, setup)
        return _Reach(target, value, value, value, new, after)
    answer = lit.answer(target.id, setup)
    if aim.measure == "melanopic_edi_lx":
        return _Reach(
            target,
            answer.melanopic_lx,
            answer.melanopic_low_lx,
            answer.melanopic_high_lx,
            answer.melanopic_new_lx,
            answer.melanopic_after_years_lx,
        )
    if aim.statistic == "average":
        parts = (answer.low_lx, answer.high_lx, answer.new_lx, answer.after_years_lx)
        return _Reach(target, answer.average_lx, *parts)
    total = lit.total(setup, lit.slices[target.id])
    pick = np.min if aim.statistic == "minimum" else np.max
    value, new, after = (
        float(pick(w @ total)) for w in (lit.weights(setup), *lit.weights_by_age(setup))
    )
    low = after * (answer.low_lx / answer.after_years_lx if answer.after_years_lx else 1.0)
    high = new * (answer.high_lx / answer.new_lx if answer.new_lx else 1.0)
    return _Reach(target, value, low, high, new, after)
