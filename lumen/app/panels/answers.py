"""The answers of a setup: light on each plane and eye, lamps in sight, power, cautions."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np
from dash import html

from lumen.app.cards import AnswerCard, SeenCard, SharePart, answer_cards, seen_cards
from lumen.app.marks import marked
from lumen.app.markup import Drawn
from lumen.app.panels.parts import opener
from lumen.app.panels.wishes import wishes_of
from lumen.app.profile import profile_svg
from lumen.app.words import LEVELS, caution_line, power_answer
from lumen.scenario.document import Scenario
from lumen.study.cautions import Level
from lumen.study.eyes.sight_lines import sight_lines
from lumen.study.lighting.glow import EVEN
from lumen.study.study import Study

__all__ = ["answers_panel"]

Json = dict[str, Any]
Component = Any


def answers_panel(study: Study, setup: str) -> list[Component]:
    """Return the answers of a setup, each with its drawer, and what it draws."""
    scenario = study.scenario
    name = next((s.name or s.id for s in scenario.setups if s.id == setup), "No setup yet")
    beside = [opener("compare", "compare", "pg-link")] if len(scenario.setups) > 1 else []
    head = html.Div(
        [html.H2(name), *beside, html.Small("about right, not exact")],
        className="lm-answers-head",
    )
    found = answer_cards(study, setup)
    cards = [_answer(scenario, answer, setup) for answer in found if answer.first]
    rest = [answer for answer in found if not answer.first]
    if not scenario.people:
        cards.insert(0, html.P("Nobody reads or sleeps in this plan yet.", className="lm-small"))
    seen = [_seen(study, one, setup) for one in seen_cards(study, setup)]
    more = [
        html.Details(
            [
                html.Summary(f"{len(rest)} more: {_list_of(rest)}"),
                html.Div(
                    [_answer(scenario, answer, setup) for answer in rest], className="pg-answers"
                ),
            ],
            className="pg-more",
        )
    ]
    power = [_power(study, setup)] if scenario.setups else []
    last = [*power, _caution_row([caution.level for caution in study.cautions])]
    return [head, *_fulfilled(study), *cards, *seen, *last, *(more if rest else [])]


def _fulfilled(study: Study) -> list[Component]:
    """How many of the plan's wishes are met in all setups together, and the way to more."""
    states = [aim.state for aim in study.aims]
    if not states:
        return []
    met = f"{states.count('met')} of {len(states)} wishes met"
    way = [] if states.count("met") == len(states) else [_way_to_more()]
    return [html.Div([html.Span(met, className="lm-small"), *way], className="pg-fulfilled")]


def _way_to_more() -> Component:
    return opener("Find plans that do", "find", "lm-button is-main")


def _list_of(rest: list[AnswerCard]) -> str:
    names = [answer.name[:1].lower() + answer.name[1:] for answer in rest]
    return ", ".join(names[:2]) + (" ..." if len(names) > 2 else "")


def _seen(study: Study, card: SeenCard, setup: str) -> Component:
    state = [html.Span("glaring", className="lm-state is-much")] if card.glares else [html.Span()]
    lines = card.lines or ("From every place that was looked from, shades or things hide it.",)
    return html.Details(
        [
            html.Summary(
                [
                    html.Span(card.name, className="lm-card-name"),
                    *state,
                    html.Span(card.value, className="lm-number pg-words"),
                ],
                className="lm-card",
            ),
            html.Div(
                [html.Ul([html.Li(line) for line in lines]), *_picture(study, card, setup)],
                className="pg-drawer",
            ),
        ],
        className="pg-answer",
        **marked(_marks(study, card, setup)),
    )


def _marks(study: Study, card: SeenCard, setup: str) -> Json:
    """Its name, and the lines of sight for ``assets/sights.js`` to draw while it is open."""
    if card.board is not None:
        return {"data-answer": "glow"}
    lines = [asdict(line) for line in sight_lines(study.comfort, setup)]
    return {"data-answer": "sight", "data-sights": json.dumps(lines, separators=(",", ":"))}


def _picture(study: Study, card: SeenCard, setup: str) -> list[Component]:
    if card.board is None:
        key = (
            "While this is open the drawing shows who looks at what: full lines hurt, dotted ones "
            "do not."
        )
        return [html.P(key, className="lm-small")]
    weights, read = study.lighting.weights(setup), study.comfort.read_in(setup)
    drawn: list[Component] = []
    for glow in study.comfort.glow:
        if glow.board == card.board:
            strips = glow.profile(np.where(glow.strips, weights, 0.0))
            long_m = float(glow.along[-1] - glow.along[0])
            drawn.append(
                Drawn(profile_svg(strips.tolist(), glow.profile(weights, read).tolist(), long_m))
            )
    even = f"Shaded: over {100 * EVEN:.0f} % of the mean, which reads as even."
    return [*drawn, html.P(even, className="lm-small")] if drawn else []


def _answer(scenario: Scenario, answer: AnswerCard, setup: str) -> Component:
    return html.Details(
        [
            html.Summary(
                [
                    html.Span(answer.name, className="lm-card-name"),
                    _state(answer),
                    html.Span(
                        [
                            html.Span("about ", className="lm-unit pg-about"),
                            html.Span(
                                answer.number,
                                **marked({"data-live": answer.live, "data-live-part": "value"}),
                            ),
                            html.Span("lx", className="lm-unit"),
                        ],
                        className="lm-number",
                    ),
                    html.Span(
                        answer.band,
                        className="lm-band",
                        **marked({"data-live": answer.live, "data-live-part": "band"}),
                    ),
                    *_clock(answer),
                    *_beside(answer),
                ],
                className="lm-card",
            ),
            html.Div(_drawer(scenario, answer, setup), className="pg-drawer"),
        ],
        className="pg-answer",
        **marked({"data-answer": answer.live}),
    )


def _clock(answer: AnswerCard) -> list[Component]:
    """What a sleeper's wish is held against, where that is not the lux of the card."""
    if not answer.clock:
        return []
    live = marked({"data-live": answer.live, "data-live-measure": "melanopic"})
    words: list[Any] = [
        "for the body clock ",
        html.Span(answer.clock, **live),
        f", {answer.clock_wish}",
    ]
    return [html.Span(words, className="pg-clock")]


def _state(answer: AnswerCard) -> Component:
    if answer.aim is None:
        return html.Span()
    state = answer.aim.state
    live = {"data-live-aim": answer.aim.id, "data-state": state}
    return html.Span(
        state,
        className=f"lm-state {_CLASSES.get(state, 'is-unsure')}",
        **marked(live),
    )


def _beside(answer: AnswerCard) -> list[Component]:
    """How sure the verdict is, and what decides it beside the middle: in words, in plain sight."""
    if answer.aim is None:
        return []
    live = marked({"data-live-aim-words": answer.aim.id})
    return [html.Span(answer.beside, className="pg-beside", **live)]


def _drawer(scenario: Scenario, answer: AnswerCard, setup: str) -> list[Component]:
    legend = html.P(
        [
            html.I(className="pg-key is-direct"),
            "straight from the light ",
            html.I(className="pg-key is-bounced"),
            "bounced off walls and things",
        ],
        className="lm-small",
    )
    source = [html.Br(), html.Span(f"Source: {answer.source}.", className="lm-source")]
    return [
        *([html.P([answer.wish, *(source if answer.source else [])])] if answer.wish else []),
        *wishes_of(scenario, answer.live, setup),
        html.Div([_share(part) for part in answer.parts], className="lm-shares"),
        *([legend] if answer.parts else []),
        html.H3("What limits it"),
        html.Ul([html.Li(line) for line in answer.limits]),
        *_elsewhere(scenario, answer),
        *_measure(answer),
        html.P(answer.extra, className="lm-small"),
        *_assumed(answer),
    ]


def _share(part: SharePart) -> Component:
    bar = html.Span(
        [
            html.I(className="is-direct", style={"width": f"{100 * part.direct_share:.1f}%"}),
            html.I(className="is-bounced", style={"width": f"{100 * part.bounced_share:.1f}%"}),
        ],
        className="lm-bar",
        **marked({"aria-hidden": "true"}),
    )
    name = html.Button(
        part.name, type="button", className="pg-link", **marked({"data-select": part.id})
    )
    return html.Div([name, bar, html.Span(part.words, className="lm-small")], className="lm-share")


def _elsewhere(scenario: Scenario, answer: AnswerCard) -> list[Component]:
    """For a page or an eye: the way to what another height, or another light, would do."""
    light = next((part for part in answer.parts if part.id in _light_ids(scenario)), None)
    if light is None or not (answer.target.is_page or answer.target.is_eye):
        return []
    return [
        opener(f"Try {light.name} elsewhere", "heights", "lm-button", **{"data-light": light.id})
    ]


def _light_ids(scenario: Scenario) -> set[str]:
    return {light.id for light in scenario.lights}


def _measure(answer: AnswerCard) -> list[Component]:
    if not answer.measure:
        return []
    return [
        html.H3("What to measure next"),
        html.Ul([html.Li(line) for line in answer.measure]),
    ]


def _assumed(answer: AnswerCard) -> list[Component]:
    if not answer.assumed:
        return []
    items = html.Ul([html.Li(line, className="lm-assumed") for line in answer.assumed])
    count = len(answer.assumed)
    head = f"{count} things were assumed" if count > 1 else "1 thing was assumed"
    return [html.Details([html.Summary(head), items])]


def _power(study: Study, setup: str) -> Component:
    power = power_answer(study.electrics, setup)
    state = [html.Span("too much", className="lm-state is-much")] if power.over else [html.Span()]
    return html.Button(
        [
            html.Span("Power", className="lm-card-name"),
            *state,
            html.Span(power.value, className="lm-number"),
            html.Span(power.band, className="lm-band pg-wide"),
        ],
        type="button",
        className="lm-card",
        **marked({"data-opens": "power", "data-answer": "power"}),
    )


def _caution_row(levels: Sequence[Level]) -> Component:
    worst = next((level for level in LEVELS if level in levels), None)
    mark = html.Span(LEVELS[worst] if worst else "", className="lm-caution-word")
    return html.Button(
        [
            html.Span("Cautions", className="lm-card-name"),
            html.Span(mark, className=f"lm-caution is-{worst} pg-bare") if worst else html.Span(),
            html.Span(caution_line(levels), className="lm-number pg-words"),
        ],
        type="button",
        className="lm-card",
        **marked({"data-opens": "cautions", "data-answer": "cautions"}),
    )


_CLASSES = {
    "met": "is-met",
    "met while new": "is-while",
    "short": "is-short",
    "too much": "is-much",
}
