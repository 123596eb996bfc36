"""A finding as text, for the command line."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.find.finding import Finding
from lumen.find.judge import counts
from lumen.find.plans import Plan
from lumen.find.strip_choices import choice_words
from lumen.sheet.shopping import Spec
from lumen.words.figures import amount, watts
from lumen.words.wishes import verdict_words

__all__ = ["level_words", "report", "spec_words"]


def report(found: Finding) -> str:
    """Return a finding as plain text."""
    return "\n".join(_lines(found)) + "\n"


def _lines(found: Finding) -> Iterator[str]:
    today = found.today
    met, lasting, _ = counts(today.aims)
    of = len(today.aims)
    yield f"{today.scenario.title}: {met} of {of} wishes met today, {lasting} after years too"
    for number, plan in enumerate(found.plans, 1):
        yield ""
        yield from _plan(number, plan)
    if not found.plans:
        yield ""
        yield "No plan was found that meets more of the wishes."
    if found.relax:
        yield ""
        yield "== What one wish would have to become"
        for relaxed in found.relax:
            yield f"- {relaxed.words}"
    if found.levels:
        yield ""
        yield "== Levels, with the lights as they are"
        yield from (f"- {words}" for words in level_words(found))
    for strip in today.scenario.strips:
        ways = found.strips.get(strip.id, ())
        if ways:
            yield ""
            yield f"== Ways of the {strip.name or strip.id}"
        for row in ways:
            yield f"- {row.title}{f' ({words})' if (words := ', '.join(row.best_in)) else ''}"
            yield f"  {choice_words(row)}"
    for patch in found.patch:
        yield ""
        best = max((c.met for c in patch.cells if not c.against), default=0)
        good = sum(c.met == best and not c.against for c in patch.cells)
        here = found.plans[0].scenario if found.plans else today.scenario
        name = next(x.name or x.id for x in here.lights if x.id == patch.light)
        area = f"{good} of {len(patch.cells)} places {100 * patch.step_m:.0f} cm apart"
        which = " in plan 1" if found.plans else ""
        yield f"== Where the {name} works{which}: {area}, {best} of {patch.of} wishes"
        for edge in patch.edges:
            yield f"- {100 * edge.distance_m:.0f} cm {_way(edge.way)}: {edge.why[0]}"
    yield ""
    whole = "" if found.whole else ", stopped before all was tried"
    yield f"{found.tried} candidates in {found.seconds:.1f} s{whole}"


def _way(way: str) -> str:
    return way if way in ("higher", "lower") else f"to the {way}"


def _plan(number: int, plan: Plan) -> Iterator[str]:
    yield f"== {number}. {plan.title}"
    kept = f"{plan.met} of {plan.of} wishes met, {plan.met_after_years} after years too"
    yield f"{kept}, {plan.sure} of them whatever the doubts"
    yield from (f"  {sentence}" for sentence in plan.changes)
    for result in plan.study.aims:
        if result.state != "met":
            name = next(t.name for t in plan.study.lighting.targets if t.id == result.of)
            beside = verdict_words(result)
            more = f" ({beside})" if beside else ""
            said = f"[{result.state}] {result.id} in {result.setup}"
            yield f"  {said}: {name} {amount(result.new)}{more}"
    for words, lost in (
        ("a hole 20 mm off", plan.loses_moved),
        ("an aim 5 degrees off", plan.loses_tilted),
    ):
        if lost:
            yield f"  {words} would lose: {', '.join(lost)}"
    if plan.glare:
        yield f"  still seen glaring from the bed: {plan.glare} times"
    for item in plan.buy:
        specs = "; ".join(spec_words(spec) for spec in item.specs)
        yield f"  buy: {item.name}, {item.kind}: {specs}"
    holes = f"{plan.holes} new fixing point{'' if plan.holes == 1 else 's'}"
    yield f"  {holes}; all lights in full draw {watts(plan.lights_w)}"
    if plan.price is not None:
        yield f"  about {plan.price[0]:.0f} to {plan.price[1]:.0f} by the prices typed"
    for word, some in (("adds", plan.adds), ("clears", plan.clears)):
        for told in some:
            about = f"{told.title}, {', '.join(told.names)}"
            yield f"  {word} a caution ({told.caution.level}): {about}"


def spec_words(spec: Spec) -> str:
    """Return one line of a specification in words."""
    if spec.words is not None:
        return f"{spec.what}: {spec.words}"
    unit = f" {spec.unit}" if spec.unit else ""
    if spec.low is not None and spec.high is not None:
        if spec.low == spec.high:
            return f"{spec.what} {spec.low:g}{unit}"
        return f"{spec.what} {spec.low:.4g} to {spec.high:.4g}{unit}"
    if spec.low is not None:
        return f"{spec.what} at least {spec.low:.4g}{unit}"
    return f"{spec.what} at most {spec.high:.4g}{unit}"


def level_words(found: Finding) -> Iterator[str]:
    """Yield one line a setup: levels that meet its wishes, or what contradicts."""
    plan = found.today.scenario
    names = {item.id: item.name or item.id for item in plan.sources}
    setups = {setup.id: setup.name or setup.id for setup in plan.setups}
    for one in found.levels:
        if one.levels is None:
            if len(one.apart) == 1:
                yield f"{setups[one.setup]}: no level meets {one.apart[0]}"
            else:
                yield f"{setups[one.setup]}: no levels meet together {', '.join(one.apart)}"
            continue
        parts = [f"{names[n]} {100 * level:.0f} %" for n, level in one.levels.items()]
        new = "" if one.lasting else " (new lamps only)"
        yield f"{setups[one.setup]}: {', '.join(parts) or 'nothing needs to be on'}{new}"
