"""One light at every height, and the page against the other one's eyes: words, pictures, table."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from dash import html

from lumen.app.curves import heights_svg, trade_svg
from lumen.app.inspect import length_text, name_of
from lumen.app.markup import markup
from lumen.app.panels.parts import button
from lumen.errors import LumenError
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.scenario.mirror import swap_sides
from lumen.study.words import about, amount
from lumen.whatif.heights import HeightSweep, Reach, Step, height_sweep

__all__ = ["height_words", "heights_html", "trade_words"]

Show = Callable[[float], str]


def heights_html(scenario: Scenario, light: str, setup: str, system: str) -> str:
    """Return the drawer of one light as HTML; what is missing for it is said instead."""
    try:
        sweep = height_sweep(scenario, light, setup)
    except LumenError as error:
        if error.fault.field == "setup":
            name = next(name_of(one) for one in scenario.lights if one.id == light)
            words = f"No setup turns {name} on yet: give it some light in one, then look again."
            return markup(html.P(words))
        return markup(html.P(f"{error.fault.field.capitalize()} {error.fault.rule}."))
    item = next(one for one in scenario.lights if one.id == light)
    names = _Names(scenario, sweep)

    def show(length_m: float) -> str:
        return _whole(length_m, system)

    parts = [markup(html.H3(f"{names.light}, in {names.setup}"))]
    if sweep.steps:
        first, *rest = height_words(sweep, names, show)
        parts.append(markup(html.P(first)))
        parts.append(heights_svg(sweep, show, item.mount_m))
        parts.append(markup([_key(sweep), *map(html.P, rest)]))
    else:
        parts.append(markup(html.P("It hangs on no wall, so there is no height to choose.")))
    if picture := trade_svg(sweep, show):
        parts.append(markup(html.H3("The page against the other one's eyes")))
        first, *rest = [*trade_words(sweep, names), ""]
        parts.append(markup(html.P(first)))
        parts.append(picture)
        key = (
            "Full line: hung higher or lower. Broken line: dimmed from full to off. "
            f"{'Diamonds: another light in its place. ' if sweep.others else ''}"
            "Shaded: where the wishes are met."
        )
        parts.append(markup([html.P(key, className="lm-small"), *map(html.P, filter(None, rest))]))
    if sweep.steps:
        parts.append(markup(_table(sweep, names, show, [item, *_twin(scenario, item)])))
        parts.append(markup(_told(sweep)))
    return "".join(parts)


class _Names:
    """What people and things of a sweep are called."""

    def __init__(self, scenario: Scenario, sweep: HeightSweep) -> None:
        people = {one.id: name_of(one) for one in scenario.people}
        self.light = name_of(next(one for one in scenario.lights if one.id == sweep.light))
        self.setup = next(one.name or one.id for one in scenario.setups if one.id == sweep.setup)
        self.page = f"{people.get(sweep.reader or '', 'the reader')}'s page"
        self.eyes = f"{people.get(sweep.sleeper or '', 'the sleeper')}'s eyes"
        self.unit = "melanopic lx" if sweep.measure == "melanopic_edi_lx" else "lx"


def height_words(sweep: HeightSweep, names: _Names, show: Show) -> Iterator[str]:
    """Say what the heights tell: where the page has enough, who sees the bulb, what is told."""
    free = [step for step in sweep.steps if step.room]
    lit = [(step, step.page) for step in free if step.page is not None]
    if lit:
        yield _page_words(sweep, names, show, lit)
    blind = [step for step in free if not step.sees]
    if not blind:
        yield "At every height somebody in bed looks into the bulb."
    elif len(blind) < len(free):
        yield f"Nobody in bed looks into the bulb at {_spans(sweep.steps, blind, show)}."
    else:
        yield "At no height does anybody in bed look into the bulb."
    if sweep.advice:
        low = min(rule.low_m for rule in sweep.advice)
        high = max(rule.high_m for rule in sweep.advice)
        yield (
            f"What people are told reaches from {show(low)} to {show(high)}: "
            "each rule was made for another shade, another eye."
        )


def _page_words(
    sweep: HeightSweep, names: _Names, show: Show, lit: Sequence[tuple[Step, Reach]]
) -> str:
    best_step, best = max(lit, key=lambda pair: pair[1].value)
    if best.high <= 0:
        return f"It gives no light here, so no height lights {names.page}: its lumens are 0."
    most = f"{about(best.value, best.low, best.high)}, at {show(best_step.height_m)}"
    wish = sweep.page_at_least
    if wish is None:
        return f"{_first(names.page)} gets most, {most}."
    enough = [step for step, page in lit if page.value >= wish]
    if not enough:
        return (
            f"At no height does it give {names.page} the wished {wish:g} lx: the most is {most}. "
            f"{_instead(sweep, best.value)}"
        )
    return (
        f"It gives {names.page} the wished {wish:g} lx at {_spans(sweep.steps, enough, show)}; "
        f"the most is {most}."
    )


def _instead(sweep: HeightSweep, most_lx: float) -> str:
    """What would give the page more than any height does, if something was tried that would."""
    tried = [(one.step.page, one.words) for one in sweep.others if one.step.page is not None]
    better = max(tried, key=lambda pair: pair[0].value, default=None)
    if better is None or better[0].value <= most_lx:
        return "It takes more lumens, or another place."
    page, words = better
    return (
        f"{_first(words)}, in its place and with the same lumens, would give "
        f"{about(page.value, page.low, page.high)}."
    )


def trade_words(sweep: HeightSweep, names: _Names) -> Iterator[str]:
    """Say what the page costs the other one: by height, by another light, by dimming."""
    yield from _wished_words(sweep, names)
    yield from _cost_words(sweep, names)
    yield from _dimmed_words(sweep, names)


def _wished_words(sweep: HeightSweep, names: _Names) -> Iterator[str]:
    """What the other one gets wherever the page has its wish, or would have with more lumens."""
    wish, dark = sweep.page_at_least, sweep.without
    if wish is None or dark.page is None or dark.eyes is None:
        return
    free = [(s.page.value, s.eyes.value) for s in sweep.steps if s.room and s.page and s.eyes]
    enough = [eyes for page, eyes in free if page >= wish]
    if enough:
        yield (
            f"Wherever it hangs and gives {names.page} its {wish:g} lx, {names.eyes} get at least "
            f"about {amount(min(enough))} {names.unit}."
        )
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
        yield (
            f"With a bulb bright enough to give {names.page} its {wish:g} lx, {names.eyes} would "
            f"get at least about {amount(min(scaled))} {names.unit}, at whatever height."
        )


def _cost(step: Step) -> float | None:
    """What the eyes get for every 100 lx on the page."""
    if step.page is None or step.eyes is None or step.page.value < 0.1:
        return None
    return 100 * step.eyes.value / step.page.value


def _cost_words(sweep: HeightSweep, names: _Names) -> Iterator[str]:
    here = _cost(sweep.here)
    if here is None:
        return
    by_height = [cost for s in sweep.steps if s.room and (cost := _cost(s)) is not None]
    span = ""
    if len(by_height) > 1:
        least, most = amount(min(by_height)), amount(max(by_height))
        span = f", {least} to {most} at other heights" if least != most else ", at any height"
    words = (
        f"For every 100 lx on the page {names.eyes} get about {amount(here)} {names.unit} as it "
        f"hangs{span}."
    )
    others = [(one.words, cost) for one in sweep.others if (cost := _cost(one.step)) is not None]
    told = [f"{what} {amount(cost)}" for what, cost in others]
    yield words + (f" In its place, with the same lumens: {'; '.join(told)}." if told else "")
    best = min(others, key=lambda pair: pair[1], default=None)
    if best is not None and best[1] < 0.7 * min([here, *by_height]):
        yield f"{_first(best[0])} spares {names.eyes} more than any height does."
    elif by_height and min(by_height) < 0.7 * here:
        yield f"Hung at another height it would spare {names.eyes} more: see the picture."


def _dimmed_words(sweep: HeightSweep, names: _Names) -> Iterator[str]:
    full, dark, wish = sweep.full, sweep.without, sweep.eyes_at_most
    if wish is None or not (full.eyes and dark.eyes and full.page and dark.page):
        return
    rise = full.eyes.value - dark.eyes.value
    if dark.eyes.value >= wish:
        yield (
            f"What else is on already gives {names.eyes} the wished most of {wish:g} {names.unit}."
        )
    elif full.eyes.value <= wish:
        yield f"Turned up fully it stays under the wished {wish:g} {names.unit} in {names.eyes}."
    else:
        share = (wish - dark.eyes.value) / rise
        page = dark.page.value + share * (full.page.value - dark.page.value)
        yield (
            f"Dimmed to {amount(100 * share)} % it would give {names.eyes} no more than the wished "
            f"{wish:g} {names.unit}, and the page about {amount(page)} lx."
        )


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
    words = [show(a) if a == b else f"{show(a)} to {show(b)}" for a, b in spans]
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))


def _key(sweep: HeightSweep) -> Any:
    words: list[Any] = [html.I(className="pg-ring"), "somebody in bed looks into the bulb "]
    words += [html.I(className="pg-full"), "nobody does "]
    if sweep.page_at_least is not None or sweep.eyes_at_most is not None:
        words += [html.I(className="pg-broken"), "wished "]
    words.append("Press a row to hang it there.")
    return html.P(words, className="lm-small")


def _twin(scenario: Scenario, item: Light) -> list[Light]:
    """The light of the same name on the other side, if it hangs on a wall too."""
    other = swap_sides(item.id)
    return [
        one
        for one in scenario.lights
        if one.id == other != item.id and one.mount in ("wall", "headboard")
    ]


def _hang(items: Sequence[Light], height_m: float) -> dict[str, Any]:
    moves = [
        {"name": "move", "id": one.id, "args": {"to_m": [*one.mount_m[:2], height_m]}}
        for one in items
    ]
    return moves[0] if len(moves) == 1 else {"name": "several", "args": {"commands": moves}}


def _table(sweep: HeightSweep, names: _Names, show: Show, lights: Sequence[Light]) -> Any:
    """Every height in figures; ``lights`` are the light and its twin, if there is one."""
    both = len(lights) > 1
    heads = ["Hang it at", "Page, lx", *([f"Eyes, {names.unit}"] if sweep.sleeper else []), "Bulb"]
    rows = []
    for step in reversed(sweep.steps):
        at = show(step.height_m)
        cells: list[Any] = [_cell(step.page), *([_cell(step.eyes)] if sweep.sleeper else [])]
        cells.append("seen" if step.sees else "hidden")
        if not step.room:
            cells = ["in the furniture", *[""] * (len(cells) - 1)]
        if both:
            label = {"aria-label": f"Hang both sides at {at}"}
            press = button("both", _hang(lights, step.height_m), **label)
            cells.append(press if step.room else "")
        label = {"aria-label": f"Hang it at {at}"}
        one = button(at, _hang(lights[:1], step.height_m), **label) if step.room else at
        rows.append(html.Tr([html.Th(one, scope="row"), *map(html.Td, cells)]))
    titles: list[Any] = [html.Th(text, scope="col") for text in (*heads, *["Sides"] * both)]
    head = html.Thead(html.Tr(titles))
    table = html.Table([head, html.Tbody(rows)], className="pg-numbers pg-heights")
    return html.Details(
        [html.Summary("The same as a table"), html.Div(table, className="pg-scroll")]
    )


def _cell(reach: Reach | None) -> str:
    return (
        "" if reach is None else f"{amount(reach.value)} ({amount(reach.low)}-{amount(reach.high)})"
    )


def _told(sweep: HeightSweep) -> Any:
    items = [
        html.Li(f"{rule.rule} ({rule.of}): {rule.source}, {rule.locator} ({rule.how})")
        for rule in sweep.advice
    ]
    return html.Details([html.Summary("What people are told, and who says so"), html.Ul(items)])


def _first(words: str) -> str:
    return words[:1].upper() + words[1:]


def _whole(length_m: float, system: str) -> str:
    """A height as it is read off a tape: whole centimetres or inches."""
    unit = 0.01 if system == "cm" else 0.0254
    return length_text(round(length_m / unit) * unit, system)
