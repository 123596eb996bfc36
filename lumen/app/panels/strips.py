"""The ways of a strip behind a headboard, side by side, each to be tried."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import html

from lumen.app.panels.parts import button
from lumen.find.strip_choices import StripChoice
from lumen.study.lighting.glow import DOTS_FAINT
from lumen.words.figures import amount, watts

__all__ = ["strips_panel"]

_MOST = 8


def strips_panel(rows: Sequence[StripChoice]) -> list[Any]:
    """Return the ways one by one: today's first, then the best; the best of each kind stays in."""
    shown = [row for i, row in enumerate(rows) if i < _MOST or row.best_in]
    words = (
        "Even: least over mean of the wall's glow along the board's top edge, 1 at best. Each way "
        "was reckoned as a whole plan, at the level of the setup where the strip shines most."
    )
    return [
        html.H3("Ways of the strip"),
        html.P(words, className="lm-small"),
        html.Ol([_way(row) for row in shown], className="pg-ways"),
    ]


def _way(row: StripChoice) -> Any:
    several = {"name": "several", "args": {"commands": list(row.commands)}}
    far = "as bright" if row.end_share > 0.97 else f"{100 * (1 - row.end_share):.0f} % dimmer"
    facts = (
        ("Even", f"{row.evenness:.2f}, {row.words}"),
        ("Glow", f"{amount(row.glow_cd_m2)} cd/m\u00b2"),
        ("Dots", "none seen" if row.dots <= DOTS_FAINT else f"{100 * row.dots:.0f} %"),
        ("Sleeper's eyes", f"{amount(row.spill_lx)} melanopic lx"),
        ("Power", f"{watts(row.watts_w)} on {row.length_m:.2f} m"),
        ("Dark at cuts", f"{100 * row.left_m:.0f} cm"),
        ("Far end", far),
    )
    parts: list[Any] = [html.H4(row.title)]
    if row.best_in:
        parts.append(html.P(_capital(", ".join(row.best_in)), className="pg-best"))
    parts.append(html.Dl([html.Div([html.Dt(name), html.Dd(said)]) for name, said in facts]))
    if not row.today:
        parts.append(button("Try it", several, "is-main", **{"aria-label": f"Try {row.title}"}))
    return html.Li(parts, className="pg-way is-today" if row.today else "pg-way")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
