"""One light at every height, and the page against the other one's eyes: words, pictures, table."""

from __future__ import annotations

from collections.abc import Sequence
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
from lumen.whatif.heights import HeightSweep, Reach, height_sweep
from lumen.words.figures import amount
from lumen.words.heights import Names, Show, advice_words, height_words, names_of, trade_words

__all__ = ["heights_html"]


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
    names = names_of(scenario, sweep)

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


def _table(sweep: HeightSweep, names: Names, show: Show, lights: Sequence[Light]) -> Any:
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
    items = [html.Li(advice_words(rule)) for rule in sweep.advice]
    return html.Details([html.Summary("What people are told, and who says so"), html.Ul(items)])


def _whole(length_m: float, system: str) -> str:
    """A height as it is read off a tape: whole centimetres or inches."""
    unit = 0.01 if system == "cm" else 0.0254
    return length_text(round(length_m / unit) * unit, system)
