"""Frames for the lux maps and the walk-in view; scripts and Plotly fill them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from dash import dcc, html

from lumen.app.inspect import name_of
from lumen.app.marks import marked
from lumen.scenario.document import Scenario

__all__ = ["maps_panel", "places_panel", "walk_panel"]

Json = dict[str, Any]
Component = Any


def maps_panel(scenario: Scenario) -> list[Component]:
    """Return frames for the lux maps of bed, pages, floor and bed wall; the scripts draw them."""
    planes = (
        [("mattress", "The bed")] if any(f.kind == "mattress" for f in scenario.furniture) else []
    )
    if planes:
        planes += [(f"page:{p.id}", f"{name_of(p)}'s page") for p in scenario.people if p.reads]
    planes += [("floor", "The floor"), ("wall", "The bed wall")]
    return [
        html.Div(**marked({"data-lm-view": "lux", "data-lm-grid": grid, "data-lm-title": title}))
        for grid, title in planes
    ]


def places_panel(places: Iterable[tuple[str, str]]) -> list[Component]:
    """Return the buttons that say from where the walk-in view looks."""
    return [
        html.Button(
            words,
            type="button",
            className="lm-look",
            **marked({"data-switch": "place", "data-to": key}),
        )
        for key, words in places
    ]


def walk_panel(figure: Json) -> Component:
    """Return the walk-in picture; dragging in it turns the head."""
    return dcc.Graph(
        id="walk-picture",
        figure=figure,
        responsive=True,
        className="pg-walk",
        config={"displaylogo": False, "displayModeBar": False, "scrollZoom": True},
    )
