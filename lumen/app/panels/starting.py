"""How one starts: eight measurements, an empty room, the shelf of examples; and what went wrong."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from dash import dcc, html

from lumen.app.marks import marked
from lumen.app.markup import Drawn
from lumen.app.own_room import QUESTIONS, Asked
from lumen.app.start import Measurement

__all__ = ["begin_panel", "examples_panel", "start_panel", "trouble_panel"]

Component = Any


def start_panel(asked: Iterable[tuple[Measurement, str]]) -> list[Component]:
    """Return the start card: eight measurements that change the room while one types."""
    return [
        html.Div(
            [
                html.Label(
                    [
                        html.Span(one.label),
                        dcc.Input(
                            type="text",
                            value=text,
                            id={"type": "measure", "index": one.key},
                            autoComplete="off",
                        ),
                    ]
                ),
                html.Span(one.how, className="lm-hint-text"),
                html.Span(className="lm-fault", role="alert"),
            ],
            className="lm-field",
            **marked({"data-measure": one.key}),
        )
        for one, text in asked
    ]


def begin_panel() -> list[Component]:
    """Return the six questions of a room of one's own; each may be left open."""
    return [
        html.Fieldset(
            [html.Legend(f"{number}. {one.words}"), *map(_asked, one.asked)],
            className=f"pg-question is-{len(one.asked)}",
        )
        for number, one in enumerate(QUESTIONS, 1)
    ]


def _asked(one: Asked) -> Component:
    if one.several:
        boxes = [
            html.Label([Drawn(f'<input type="checkbox" value="{value}">'), html.Span(words)])
            for value, words in one.options
        ]
        body: Component = html.Div(
            boxes, className="pg-boxes", role="group", **marked({"aria-label": one.label})
        )
    else:
        if one.options:
            known = [html.Option(words, value=value) for value, words in one.options]
            control: Component = html.Select(
                [html.Option("not said", value=""), *known], className="lm-input"
            )
        else:
            control = dcc.Input(
                type="text",
                placeholder=one.usual,
                id={"type": "begin", "index": one.key},
                autoComplete="off",
            )
        body = html.Label([html.Span(one.label), control])
    return html.Div(
        [body, html.Span(className="lm-fault", role="alert")],
        className="lm-field",
        **marked({"data-begin": one.key}),
    )


def examples_panel(examples: Iterable[tuple[str, str, str]]) -> list[Component]:
    """Return the shelf of example rooms: key, title and note of each."""
    return [
        html.Button(
            [
                html.Span(className="pg-picture", **marked({"data-example-picture": key})),
                html.Strong(title),
                html.Span(note, className="lm-small"),
            ],
            type="button",
            className="pg-example",
            **marked({"data-example": key}),
        )
        for key, title, note in examples
    ]


def trouble_panel(trouble: str) -> list[Component]:
    """Return what is said when a plan could not be reckoned."""
    return [html.P(trouble, className="lm-caution is-ask", role="alert")]
