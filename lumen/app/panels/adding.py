"""The drawer of things to add."""

from __future__ import annotations

from typing import Any

from dash import html

from lumen.app import catalogue
from lumen.app.inspect import name_of
from lumen.app.marks import marked
from lumen.scenario.document import Scenario

__all__ = ["add_panel"]

Component = Any


def add_panel(scenario: Scenario) -> list[Component]:
    """Return the drawer of things to add, grouped by what people call them."""
    feeders = [node for node in scenario.supply if node.kind not in ("appliance", "circuit")]
    into = [html.Option("wherever fits", value="")]
    into += [html.Option(name_of(node), value=node.id) for node in feeders]
    parts: list[Component] = [
        html.P(
            "Press to add, or drag onto the drawing. Sizes, watts and lumens start at usual "
            "values; change them after."
        ),
        html.Div(
            html.Label(["Plug it into", html.Select(into, className="lm-input", id="into")]),
            className="lm-field",
        ),
    ]
    for group, title in catalogue.GROUPS:
        offered = catalogue.choices(group)
        body: list[Component] = [
            html.H3(title),
            html.Div([_tile(choice) for choice in offered[:8]], className="lm-catalogue-group"),
        ]
        if more := [_tile(choice) for choice in offered[8:]]:
            folded = html.Div(more, className="lm-catalogue-group")
            body.append(html.Details([html.Summary(f"{len(more)} more"), folded]))
        if group == "lights":
            text = "A light from its distribution file (LM-63)"
            body.append(
                html.Button(
                    text, type="button", className="lm-button", **marked({"data-act": "lm63"})
                )
            )
        parts.append(html.Section(body))
    return [html.Div(parts, className="lm-catalogue")]


def _tile(choice: catalogue.Choice) -> Component:
    return html.Button(
        [
            html.Span(className=f"pg-sketch is-{choice.sketch}", **marked({"aria-hidden": "true"})),
            html.Span(choice.label),
            html.Small(choice.note, className="lm-source"),
        ],
        type="button",
        className="lm-catalogue-item",
        draggable="true",
        **marked({"data-place": choice.key}),
    )
