"""The ways of a strip behind a headboard, side by side, each to be tried."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import html

from lumen.app.panels.parts import button
from lumen.find.strip_choices import StripChoice
from lumen.study.lighting.glow import DOTS_FAINT
from lumen.study.words import amount, watts

__all__ = ["strips_panel"]

_HEADS = (
    "Way",
    "Even",
    "Glow",
    "Dots",
    "At a sleeper's eyes",
    "Power",
    "Dark at cuts",
    "Far end",
    "",
)
_MOST = 8


def strips_panel(rows: Sequence[StripChoice]) -> list[Any]:
    """Return the ways as a table: today's first, then the best; the best of each kind stays in."""
    shown = [row for i, row in enumerate(rows) if i < _MOST or row.best_in]
    words = (
        "Even: least over mean of the wall's glow along the board's top edge, 1 at best. Each row "
        "was reckoned as a whole plan, at the level of the setup where the strip shines most."
    )
    head = html.Thead(html.Tr([html.Th(word, scope="col") for word in _HEADS]))
    body = html.Tbody([_row(row) for row in shown])
    table = html.Table([head, body], className="pg-ways")
    return [
        html.H3("Ways of the strip"),
        html.P(words, className="lm-small"),
        html.Div(table, className="pg-ways-frame", tabIndex="0"),
    ]


def _row(row: StripChoice) -> Any:
    several = {"name": "several", "args": {"commands": list(row.commands)}}
    label = {"aria-label": f"Try {row.title}"}
    act = "" if row.today else button("Try it", several, "is-main", **label)
    best = html.Div(", ".join(row.best_in), className="lm-small pg-best")
    far = "as bright" if row.end_share > 0.97 else f"{100 * (1 - row.end_share):.0f} % dimmer"
    cells = (
        f"{row.evenness:.2f}, {row.words}",
        f"{amount(row.glow_cd_m2)} cd/m\u00b2",
        "none seen" if row.dots <= DOTS_FAINT else f"{100 * row.dots:.0f} %",
        f"{amount(row.spill_lx)} melanopic lx",
        f"{watts(row.watts_w)}, {row.length_m:.2f} m",
        f"{100 * row.left_m:.0f} cm",
        far,
        act,
    )
    name = html.Th([row.title, best], scope="row")
    return html.Tr(
        [name, *(html.Td(cell) for cell in cells)], className="is-today" if row.today else ""
    )
