"""The setups as small pictures, with the sliders of the one on show."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.words import setup_words
from lumen.scenario.document import Scenario

__all__ = ["setups_panel"]

Component = Any


def setups_panel(scenario: Scenario, data: Mapping[str, Any], setup: str) -> list[Component]:
    """Return the setups as small pictures; the scripts paint them and the sliders of one."""
    pictures = [
        html.Button(
            [
                html.Span(className="lm-setup-picture", **marked({"data-lm-thumb": one.id})),
                html.Span(one.name, className="lm-setup-name"),
                html.Span(
                    " · ".join(filter(None, (one.watts, one.wishes))), className="lm-setup-facts"
                ),
            ],
            type="button",
            className="lm-setup",
            **marked(
                {"data-setup": one.id, "aria-pressed": "true" if one.id == setup else "false"}
            ),
        )
        for one in setup_words(scenario, data)
    ]
    sliders = html.Div(
        className="pg-levels",
        role="group",
        **marked({"data-lm-levels": setup, "aria-label": "How bright each light is in this setup"}),
    )
    return [sliders, html.Div(pictures, className="pg-pictures")]
