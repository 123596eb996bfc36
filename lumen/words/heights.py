"""One light at every height, in words: where the page has enough, what the other's eyes pay."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from lumen.scenario.document import Scenario
from lumen.whatif.heights import SPOT_DEG, Advice, HeightSweep, Other, Reach, Step
from lumen.words.figures import about, amount
from lumen.words.sentences import Sentences, capital

__all__ = ["Names", "advice_words", "height_words", "names_of", "other_name", "trade_words"]

Show = Callable[[float], str]
"""How a length is written."""

_say = Sentences(
    "heights",
    {
        "page": "{person}'s page",
        "eyes": "{person}'s eyes",
        "the reader": "the reader",
        "the sleeper": "the sleeper",
        "melanopic": "melanopic lx",
        "lux": "lx",
        "always seen": "At every height somebody in bed looks into the bulb.",
        "not seen": "Nobody in bed looks into the bulb at {heights}.",
        "never seen": "At no height does anybody in bed look into the bulb.",
        "advice": (
            "What people are told reaches from {low} to {high}: each rule was made for another "
            "shade, another eye."
        ),
        "rule": "{rule} ({of}): {source}, {locator} ({how})",
        "no light": "It gives no light here, so no height lights {page}: its lumens are 0.",
        "most": "{light}, at {height}",
        "gets most": "{page} gets most, {most}.",
        "never enough": (
            "At no height does it give {page} the wished {wish} lx: the most is {most}. {instead}"
        ),
        "enough": "It gives {page} the wished {wish} lx at {heights}; the most is {most}.",
        "more lumens": "It takes more lumens, or another place.",
        "instead": "{other}, in its place and with the same lumens, would give {light}.",
        "span": "{low} to {high}",
        "aimed spot": "a spot of {beam} degrees aimed at the page",
        "aimed at the page": "the same spot aimed at the page",
        "metal shade": "the same shade in metal",
        "label, aimed spot": "aimed spot",
        "label, aimed at the page": "aimed at the page",
        "label, metal shade": "metal shade",
        "wherever": (
            "Wherever it hangs and gives {page} its {wish} lx, {eyes} get at least about {least} "
            "{unit}."
        ),
        "bright enough": (
            "With a bulb bright enough to give {page} its {wish} lx, {eyes} would get at least "
            "about {least} {unit}, at whatever height."
        ),
        "cost": (
            "For every 100 lx on the page {eyes} get about {here} {unit} as it hangs{others}."
        ),
        "at other heights": ", {least} to {most} at other heights",
        "at any height": ", at any height",
        "in its place": "{words} In its place, with the same lumens: {others}.",
        "other": "{other} {cost}",
        "other spares": "{other} spares {eyes} more than any height does.",
        "height spares": "Hung at another height it would spare {eyes} more: see the picture.",
        "others give all": "What else is on already gives {eyes} the wished most of {wish} {unit}.",
        "fully": "Turned up fully it stays under the wished {wish} {unit} in {eyes}.",
        "dimmed": (
            "Dimmed to {share} % it would give {eyes} no more than the wished {wish} {unit}, and "
            "the page about {page} lx."
        ),
    },
)


@dataclass(frozen=True)
class Names:
    """What people, things and units of a sweep are called."""

    light: str
    setup: str
    page: str
    eyes: str
    unit: str


def names_of(scenario: Scenario, sweep: HeightSweep) -> Names:
    """Return what people and things of a sweep are called."""
    people = {one.id: one.name or one.id for one in scenario.people}
    light = next(one for one in scenario.lights if one.id == sweep.light)
    reader = people.get(sweep.reader or "") or _say("the reader")
    sleeper = people.get(sweep.sleeper or "") or _say("the sleeper")
    return Names(
        light=light.name or light.id,
        setup=next(one.name or one.id for one in scenario.setups if one.id == sweep.setup),
        page=_say("page", person=reader),
        eyes=_say("eyes", person=sleeper),
        unit=_say("melanopic" if sweep.measure == "melanopic_edi_lx" else "lux"),
    )


def other_name(other: Other, *, short: bool = False) -> str:
    """Return what another light in the same place is called; ``short`` for a picture."""
    return _say(f"label, {other.kind}" if short else other.kind, beam=f"{SPOT_DEG:g}")


def advice_words(rule: Advice) -> str:
    """Return one rule of thumb, with who gives it."""
    return _say(
        "rule",
        rule=rule.rule,
        of=rule.of,
        source=rule.source,
        locator=rule.locator,
        how=rule.how,
    )


def height_words(sweep: HeightSweep, names: Names, show: Show) -> Iterator[str]:
    """Say what the heights tell: where the page has enough, who sees the bulb, what is told."""
    free = [step for step in sweep.steps if step.room]
    lit = [(step, step.page) for step in free if step.page is not None]
    if lit:
        yield _page_words(sweep, names, show, lit)
    blind = [step for step in free if not step.sees]
    if not blind:
        yield _say("always seen")
    elif len(blind) < len(free):
        yield _say("not seen", heights=_spans(sweep.steps, blind, show))
    else:
        yield _say("never seen")
    if sweep.advice:
        low = min(rule.low_m for rule in sweep.advice)
        high = max(rule.high_m for rule in sweep.advice)
        yield _say("advice", low=show(low), high=show(high))


def _page_words(
    sweep: HeightSweep, names: Names, show: Show, lit: Sequence[tuple[Step, Reach]]
) -> str:
    best_step, best = max(lit, key=lambda pair: pair[1].value)
    if best.high <= 0:
        return _say("no light", page=names.page)
    light = about(best.value, best.low, best.high)
    most = _say("most", light=light, height=show(best_step.height_m))
    wish = sweep.page_at_least
    if wish is None:
        return _say("gets most", page=capital(names.page), most=most)
    facts = {"page": names.page, "wish": f"{wish:g}", "most": most}
    enough = [step for step, page in lit if page.value >= wish]
    if not enough:
        return _say("never enough", instead=_instead(sweep, best.value), **facts)
    return _say("enough", heights=_spans(sweep.steps, enough, show), **facts)


def _instead(sweep: HeightSweep, most_lx: float) -> str:
    """What would give the page more than any height does, if something was tried that would."""
    tried = [(one.step.page, one) for one in sweep.others if one.step.page is not None]
    better = max(tried, key=lambda pair: pair[0].value, default=None)
    if better is None or better[0].value <= most_lx:
        return _say("more lumens")
    page, other = better
    light = about(page.value, page.low, page.high)
    return _say("instead", other=capital(other_name(other)), light=light)


def trade_words(sweep: HeightSweep, names: Names) -> Iterator[str]:
    """Say what the page costs the other one: by height, by another light, by dimming."""
    yield from _wished_words(sweep, names)
    yield from _cost_words(sweep, names)
    yield from _dimmed_words(sweep, names)


def _wished_words(sweep: HeightSweep, names: Names) -> Iterator[str]:
    """What the other one gets wherever the page has its wish, or would have with more lumens."""
    wish, dark = sweep.page_at_least, sweep.without
    if wish is None or dark.page is None or dark.eyes is None:
        return
    facts = {"page": names.page, "eyes": names.eyes, "unit": names.unit, "wish": f"{wish:g}"}
    free = [(s.page.value, s.eyes.value) for s in sweep.steps if s.room and s.page and s.eyes]
    enough = [eyes for page, eyes in free if page >= wish]
    if enough:
        yield _say("wherever", least=amount(min(enough)), **facts)
        return
    if sweep.here.page is not None and sweep.here.eyes is not None:
        free.append((sweep.here.page.value, sweep.here.eyes.value))
    lit, shade = dark.page.value, dark.eyes.value  # light is linear: more lumens go straight on
    scaled = [
        shade + (eyes - shade) * (wish - lit) / (page - lit)
        for page, eyes in free
        if page - lit > 0.01 * wish
    ]
    if scaled:
        yield _say("bright enough", least=amount(min(scaled)), **facts)


def _cost(step: Step) -> float | None:
    """What the eyes get for every 100 lx on the page."""
    if step.page is None or step.eyes is None or step.page.value < 0.1:
        return None
    return 100 * step.eyes.value / step.page.value


def _cost_words(sweep: HeightSweep, names: Names) -> Iterator[str]:
    here = _cost(sweep.here)
    if here is None:
        return
    by_height = [cost for s in sweep.steps if s.room and (cost := _cost(s)) is not None]
    span = ""
    if len(by_height) > 1:
        least, most = amount(min(by_height)), amount(max(by_height))
        key = "at any height" if least == most else "at other heights"
        span = _say(key, least=least, most=most)
    words = _say("cost", eyes=names.eyes, here=amount(here), unit=names.unit, others=span)
    others = [
        (other_name(one), cost) for one in sweep.others if (cost := _cost(one.step)) is not None
    ]
    each = "; ".join(_say("other", other=name, cost=amount(cost)) for name, cost in others)
    yield _say("in its place", words=words, others=each) if each else words
    best = min(others, key=lambda pair: pair[1], default=None)
    if best is not None and best[1] < 0.7 * min([here, *by_height]):
        yield _say("other spares", other=capital(best[0]), eyes=names.eyes)
    elif by_height and min(by_height) < 0.7 * here:
        yield _say("height spares", eyes=names.eyes)


def _dimmed_words(sweep: HeightSweep, names: Names) -> Iterator[str]:
    full, dark, wish = sweep.full, sweep.without, sweep.eyes_at_most
    if wish is None or not (full.eyes and dark.eyes and full.page and dark.page):
        return
    facts = {"eyes": names.eyes, "unit": names.unit, "wish": f"{wish:g}"}
    rise = full.eyes.value - dark.eyes.value
    if dark.eyes.value >= wish:
        yield _say("others give all", **facts)
    elif full.eyes.value <= wish:
        yield _say("fully", **facts)
    else:
        share = (wish - dark.eyes.value) / rise
        page = dark.page.value + share * (full.page.value - dark.page.value)
        yield _say("dimmed", share=amount(100 * share), page=amount(page), **facts)


def _spans(steps: Sequence[Step], chosen: Sequence[Step], show: Show) -> str:
    """Neighbouring heights as spans: 90 cm to 110 cm, 130 cm."""
    wanted = {step.height_m for step in chosen}
    spans: list[list[float]] = []
    running = False
    for step in steps:
        if step.height_m not in wanted:
            running = False
        elif running:
            spans[-1][1] = step.height_m
        else:
            spans.append([step.height_m, step.height_m])
            running = True
    words = [show(a) if a == b else _say("span", low=show(a), high=show(b)) for a, b in spans]
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
