"""Every caution with its numbers, rule, source and remedy, and the count that stays in sight."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.panels.parts import button, figure, sum_of
from lumen.app.words import LEVELS, caution_line

__all__ = ["cautions_panel", "warned_panel"]

Json = dict[str, Any]
Component = Any


def warned_panel(cautions: list[Json]) -> list[Component]:
    """A button that always says how many cautions stand; the worst level gives it its shape."""
    worst = next((lv for lv in LEVELS if any(c["level"] == lv for c in cautions)), None)
    first = caution_line([c for c in cautions if c["level"] == worst])
    rest = sum(c["level"] != worst for c in cautions)
    more = html.Span(f", {rest} more" if rest else "", className="pg-if-wide")
    word = html.Span(html.Span([first, more]), className="lm-caution-word" if worst else "")
    return [
        html.Button(
            [html.Span("Cautions: ", className="lm-visually-hidden"), word],
            type="button",
            className=f"lm-button pg-warned lm-caution is-{worst or 'none'}",
            title=f"Cautions: {caution_line(cautions)}",
            **marked({"data-opens": "cautions"}),
        )
    ]


def cautions_panel(data: Mapping[str, Any]) -> list[Component]:
    """Return every caution with its numbers, rule, source and remedy."""
    cautions = list(data["cautions"])
    lead = caution_line(cautions)
    return [
        html.P(f"{lead[:1].upper()}{lead[1:]}.", className="lm-lead"),
        html.Ul([_caution(i, c) for i, c in enumerate(cautions)], className="lm-cautions"),
        html.P(
            "Check your local code and labels; ask a licensed electrician if unsure.",
            className="lm-small",
        ),
    ]


def _caution(index: int, caution: Json) -> Component:
    things = [
        html.Button(name, type="button", className="pg-link", **marked({"data-select": name}))
        for name in caution["objects"]
    ]
    numbers = [
        html.Tr([html.Td(text), html.Td(f"{figure(value)} {unit or ''}".strip())])
        for text, value, unit in caution["numbers"]
    ]
    fix = [button("Do this", caution["fix"], "is-main")] if caution.get("fix") else []
    edition = f", {caution['edition']}" if caution.get("edition") else ""
    how = {"memory": " (from memory)", "assumed": " (assumed)"}.get(caution.get("how", ""), "")
    return html.Li(
        [
            html.Div(
                [
                    html.Span(LEVELS.get(caution["level"], "Note"), className="lm-caution-word"),
                    html.Span(f" {caution['title']}", className="lm-caution-title"),
                ]
            ),
            html.P(caution["fact"], className="lm-caution-fact"),
            html.P(["On: ", *things], className="pg-things lm-small") if things else None,
            html.Table(html.Tbody(numbers), className="pg-numbers") if numbers else None,
            html.P(
                [html.Strong("What clears it: "), caution["remedy"], " ", *fix],
                className="lm-caution-fix",
            ),
            html.P([html.Strong("Ask an electrician: "), caution["question"]], className="lm-small")
            if caution.get("question")
            else None,
            html.P(
                f"{caution['rule_text']} Source: {caution['source']}{edition}{how}.",
                className="lm-caution-rule",
            ),
            sum_of(caution["explain"]),
        ],
        className=f"lm-caution is-{caution['level']}",
        tabIndex="-1",
        **marked({"data-caution-at": index, "data-rule": caution["rule"]}),
    )
