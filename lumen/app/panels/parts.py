"""Small pieces that several panels share."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.markup import Drawn

__all__ = ["button", "check", "figure", "opener", "sum_of", "tag"]

Json = dict[str, Any]
Component = Any


def button(
    text: Any, command: Json | None = None, kind: str = "is-quiet", **more: Any
) -> Component:
    """Return a button that sends a command when pressed."""
    data = {"data-command": json.dumps(command)} if command else {}
    return html.Button(
        text, className=f"lm-button {kind}".strip(), type="button", **marked(data), **more
    )


def opener(text: Any, drawer: str, kind: str, **more: str) -> Component:
    """Return a button that opens a drawer; ``more`` are attributes that say for what."""
    data = {"data-opens": drawer, **more}
    return html.Button(text, type="button", className=kind, **marked(data))


def tag(attributes: Mapping[str, str]) -> str:
    """Return attributes as they stand in a tag, each after a blank; texts are escaped."""
    return "".join(f' {key}="{escape(text)}"' for key, text in attributes.items())


def check(words: str, data: Mapping[str, str], *, on: bool = False) -> Component:
    """Return a box to tick with its words; Dash has none that is plain."""
    box = Drawn(f'<input type="checkbox"{tag(data)}{" checked" if on else ""}>')
    return html.Label([box, f" {words}"], className="pg-check")


def figure(value: object) -> str:
    """Return a number to three digits, anything else as it is."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"


def sum_of(lines: Iterable[Sequence[Any]]) -> Component:
    """The sum that led to a figure, line by line, folded away until somebody asks."""
    rows = [
        html.Tr(
            [html.Td(text), html.Td("" if value is None else f"{figure(value)} {unit}".strip())]
        )
        for text, value, unit in lines
    ]
    return html.Details(
        [
            html.Summary("How this comes about"),
            html.Table(html.Tbody(rows), className="pg-numbers"),
        ],
        className="lm-small pg-sum",
    )
