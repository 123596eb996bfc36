"""Two setups side by side: their pictures at one scale, and the difference in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.markup import markup
from lumen.scenario.document import Scenario
from lumen.study.compare import Difference, compare

__all__ = ["compare_html", "summary"]


def compare_html(scenario: Scenario, data: Mapping[str, Any], first: str, second: str) -> str:
    """Return the drawer of two setups as HTML; setups that are gone are replaced by others."""
    known = [setup.id for setup in scenario.setups]
    if len(known) < 2:
        return markup(html.P("This plan has one setup only; there is nothing to hold it against."))
    first = first if first in known else known[0]
    second = second if second in known and second != first else _other(known, first)
    found = compare(data, first, second)
    names = {setup.id: setup.name or setup.id for setup in scenario.setups}
    sides = html.Div(
        [_side(scenario, "first", first), _side(scenario, "second", second)],
        className="pg-sides",
    )
    lead = html.P(summary(found, names[first], names[second]), className="lm-lead")
    return markup([lead, sides, _table(found, names[first], names[second]), _note()])


def _other(known: list[str], first: str) -> str:
    return known[(known.index(first) + 1) % len(known)]


def summary(found: tuple[Difference, ...], first: str, second: str) -> str:
    """Return the greatest change and the watts, in one sentence."""
    changes = sorted((one for one in found if one.size > 0), key=lambda one: -one.size)
    power = next(one for one in found if one.name == "Power")
    watt = "draws the same" if power.words == "the same" else f"draws {power.words}"
    if not changes:
        return f"{second} gives the same light as {first} and {watt}."
    words = [f"{_low(one.name)} {one.second} instead of {one.first}" for one in changes[:2]]
    return f"{second} against {first}: {'; '.join(words)}. It {watt}."


def _low(name: str) -> str:
    return name[:1].lower() + name[1:]


def _side(scenario: Scenario, side: str, chosen: str) -> Any:
    options = [
        html.Option(one.name or one.id, value=one.id, selected=one.id == chosen)
        for one in scenario.setups
    ]
    label = "This setup" if side == "first" else "against this one"
    wall = {"data-lm-thumb": chosen}
    maps = {
        "data-lm-view": "lux",
        "data-lm-grid": "mattress",
        "data-lm-title": "The bed",
        "data-lm-setup": chosen,
        "data-key": f"map-{side}",
    }
    return html.Div(
        [
            html.Label(
                [
                    html.Span(label),
                    html.Select(options, className="lm-input", **marked({"data-compare": side})),
                ]
            ),
            html.Div(className="pg-side-picture", **marked({**wall, "data-key": f"wall-{side}"})),
            html.Div(**marked(maps)),
        ],
        className="pg-side lm-field",
        **marked({"data-key": f"side-{side}"}),
    )


def _table(found: tuple[Difference, ...], first: str, second: str) -> Any:
    heads = [html.Th(text, scope="col") for text in ("", first, second, "The difference")]
    rows = [
        html.Tr(
            [
                html.Th(one.name, scope="row"),
                html.Td(one.first),
                html.Td(one.second),
                html.Td(one.words, className="pg-change" if one.size > 0 else ""),
            ]
        )
        for one in found
    ]
    return html.Div(
        html.Table(
            [html.Thead(html.Tr(heads)), html.Tbody(rows)], className="pg-numbers pg-differences"
        ),
        className="pg-scroll",
    )


def _note() -> Any:
    return html.P(
        "Both pictures are painted at the same exposure and both maps with the same scale. The two "
        "setups share their doubts (bulbs, walls), so the difference is surer than either number.",
        className="lm-small",
    )
