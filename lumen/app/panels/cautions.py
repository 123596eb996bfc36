"""Every caution with its numbers, rule, source and remedy, and the count that stays in sight."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.panels.parts import button, figure, sum_of
from lumen.app.words import LEVELS, caution_line
from lumen.study.cautions import Level
from lumen.words.cautions import DEFER, CautionWords
from lumen.words.sentences import capital

__all__ = ["cautions_panel", "warned_panel"]

Component = Any


def warned_panel(levels: Sequence[Level]) -> list[Component]:
    """A button that always says how many cautions stand; the worst level gives it its shape."""
    worst = next((level for level in LEVELS if level in levels), None)
    first = caution_line([level for level in levels if level == worst])
    rest = sum(level != worst for level in levels)
    more = html.Span(f", {rest} more" if rest else "", className="pg-if-wide")
    word = html.Span(html.Span([first, more]), className="lm-caution-word" if worst else "")
    return [
        html.Button(
            [html.Span("Cautions: ", className="lm-visually-hidden"), word],
            type="button",
            className=f"lm-button pg-warned lm-caution is-{worst or 'none'}",
            title=f"Cautions: {caution_line(levels)}",
            **marked({"data-opens": "cautions"}),
        )
    ]


def cautions_panel(cautions: Sequence[CautionWords]) -> list[Component]:
    """Return every caution with its numbers, rule, source and remedy."""
    lead = capital(caution_line([words.caution.level for words in cautions]))
    return [
        html.P(f"{lead}.", className="lm-lead"),
        html.Ul([_caution(i, words) for i, words in enumerate(cautions)], className="lm-cautions"),
        html.P(DEFER, className="lm-small"),
    ]


_UNREAD = {"memory": " (from memory)", "assumed": " (assumed)"}


def _caution(index: int, words: CautionWords) -> Component:
    caution = words.caution
    things = [
        html.Button(item_id, type="button", className="pg-link", **marked({"data-select": item_id}))
        for item_id in caution.objects
    ]
    numbers = [
        html.Tr([html.Td(text), html.Td(f"{figure(value)} {unit}".strip())])
        for text, value, unit in words.numbers
    ]
    fix = [button("Do this", dict(caution.fix), "is-main")] if caution.fix else []
    how = _UNREAD.get(words.how, "")
    return html.Li(
        [
            html.Div(
                [
                    html.Span(LEVELS[caution.level], className="lm-caution-word"),
                    html.Span(f" {words.title}", className="lm-caution-title"),
                ]
            ),
            html.P(words.fact, className="lm-caution-fact"),
            html.P(["On: ", *things], className="pg-things lm-small") if things else None,
            html.Table(html.Tbody(numbers), className="pg-numbers") if numbers else None,
            html.P(
                [html.Strong("What clears it: "), words.remedy, " ", *fix],
                className="lm-caution-fix",
            ),
            html.P([html.Strong("Ask an electrician: "), words.question], className="lm-small")
            if words.question
            else None,
            html.P(
                f"{words.rule_text} Source: {words.source}, {words.edition}{how}.",
                className="lm-caution-rule",
            ),
            sum_of(words.explain),
        ],
        className=f"lm-caution is-{caution.level}",
        tabIndex="-1",
        **marked({"data-caution-at": index, "data-rule": caution.rule}),
    )
