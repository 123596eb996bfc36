"""Two setups side by side: their pictures at one scale, and the difference in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.markup import markup
from lumen.scenario.document import Scenario
from lumen.study.study import Study
from lumen.whatif.compare import compare
from lumen.words.compare import DifferenceLine, compare_lines, compare_summary

__all__ = ["compare_html"]


def compare_html(study: Study, first: str, second: str) -> str:
    """Return the drawer of two setups as HTML; setups that are gone are replaced by others."""
    scenario = study.scenario
    known = [setup.id for setup in scenario.setups]
    if len(known) < 2:
        return markup(html.P("This plan has one setup only; there is nothing to hold it against."))
    first = first if first in known else known[0]
    second = second if second in known and second != first else _other(study, first)
    found = compare(study.comfort, study.electrics, study.aims, first, second)
    names = {setup.id: setup.name or setup.id for setup in scenario.setups}
    pictures = html.Div(
        [_side(scenario, "first", first), _side(scenario, "second", second)],
        className="pg-sides",
    )
    lead = html.P(compare_summary(found, names[first], names[second]), className="lm-lead")
    return markup(
        [lead, pictures, _table([*compare_lines(found)], names[first], names[second]), _note()]
    )


def _other(study: Study, first: str) -> str:
    """The lit setup that gives people most unlike light; a mirror image would tell little."""
    lit = study.lighting
    lux = {setup: float(lit.illuminance(setup).mean()) for setup in study.setups}
    bright = [name for name in study.setups if name != first and lux[name] > 0.05 * lux[first]]
    here = max(lux[first], 1e-6)
    others = bright or [name for name in study.setups if name != first]
    return max(others, key=lambda name: abs(math.log(max(lux[name], 1e-6) / here)))


def _side(scenario: Scenario, side: str, chosen: str) -> Any:
    options = [
        html.Option(one.name or one.id, value=one.id, selected=one.id == chosen)
        for one in scenario.setups
    ]
    label = "This setup" if side == "first" else "held against"
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


def _table(found: Sequence[DifferenceLine], first: str, second: str) -> Any:
    heads = [html.Th(text, scope="col") for text in ("", first, second, "The difference")]
    rows = [
        html.Tr(
            [
                html.Th(one.name, scope="row"),
                html.Td(one.first),
                html.Td(one.second),
                html.Td(
                    [one.words, html.Span(f" ({one.sure})", className="lm-small")]
                    if one.sure
                    else one.words,
                    className="pg-change" if one.changed else "",
                ),
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
        "setups have the same bulbs and walls, so the difference is surer than either number: its "
        "own band stands beside it.",
        className="lm-small",
    )
