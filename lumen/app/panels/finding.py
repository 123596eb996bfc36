"""The drawer that finds plans: wishes, what may change, and the plans found, each on a card."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from dash import html

from lumen.app.inspect import name_of
from lumen.app.marks import marked
from lumen.app.markup import Drawn
from lumen.app.panels.parts import button, check, tag
from lumen.app.panels.wishes import wish_row
from lumen.app.patches import patch_svg
from lumen.app.sketch import wall_svg
from lumen.find.finding import Finding
from lumen.find.judge import counts
from lumen.find.plans import Plan
from lumen.find.report import level_words, spec_words
from lumen.find.strip_choices import with_choices
from lumen.scenario.aims import AimFor
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.study.scene.surfaces import bed_wall
from lumen.study.wishes.sets import wish_sets
from lumen.words.figures import watts

__all__ = ["find_panel", "found_panel"]

_PARTS = (("place", "place"), ("lamp", "lamp"), ("kind", "kind of light"))


def find_panel(scenario: Scenario) -> list[Any]:
    """Return the wishes as a list that can be changed, and what may change of each light."""
    if not scenario.aims:
        words = "This plan has no wishes yet, so there is nothing to meet."
        hint = "Take a set, or open an answer and set one."
        return [html.P(f"{words} {hint}"), *_sets(scenario)]
    return [
        html.H3("Your wishes"),
        html.Ul([wish_row(scenario, aim) for aim in scenario.aims], className="pg-wishes"),
        *_sets(scenario),
        html.H3("What may change"),
        html.Div([_may(item) for item in scenario.sources], className="pg-may"),
        html.P(
            [
                *(check(words, {"data-no-drill": str(wall)}) for wall, words in _drilled(scenario)),
                check("Left and right alike", {"data-pairs": ""}, on=True),
            ],
            className="pg-checks",
        ),
        html.P("Levels of the setups may always change.", className="lm-small"),
        html.Details(
            [
                html.Summary("What you have, and where no hole may be"),
                _asked("Bulbs you have, lumens", "lamps", "470, 250@2200"),
                _asked("Cords you have, lengths", "cords", "200, 300"),
                html.P(
                    "A part of the bed wall without holes: from its left end, and from the floor.",
                    className="lm-small",
                ),
                html.Div(
                    [
                        _asked("From", "area", ""),
                        _asked("to", "area", ""),
                        _asked("Height from", "area", ""),
                        _asked("to", "area", ""),
                    ],
                    className="pg-area",
                ),
            ],
            **marked({"data-key": "find-have"}),
        ),
        *_ways(scenario),
    ]


def _asked(label: str, name: str, hint: str) -> Any:
    """A field of the search alone: it is no part of the plan."""
    given = tag({f"data-find-{name}": "", "placeholder": hint})
    return html.Label([f"{label} ", Drawn(f'<input type="text"{given}>')], className="pg-limit")


def _ways(scenario: Scenario) -> Iterator[Any]:
    """A button for each strip, to compare how it may run behind its headboard."""
    for strip in with_choices(scenario):
        yield html.P(
            html.Button(
                f"Compare ways of the {name_of(strip)}",
                type="button",
                className="lm-button is-quiet",
                **marked({"data-find-strip": strip.id}),
            )
        )


def _drilled(scenario: Scenario) -> Iterator[tuple[int, str]]:
    """The walls that lights hang on, and what asks for no new hole there."""
    bed = bed_wall(scenario.room)
    hung = {bed if x.wall is None else x.wall for x in scenario.lights if x.mount == "wall"}
    for wall in sorted({bed, *hung}):
        yield wall, f"No new hole in {'the bed wall' if wall == bed else f'wall {wall + 1}'}"


def _sets(scenario: Scenario) -> Iterator[Any]:
    """Ready sets of wishes, each taken with one press."""
    ready = [one for one in wish_sets(scenario) if one.commands]
    if not ready:
        return
    rows = []
    for one in ready:
        several = {"name": "several", "args": {"commands": list(one.commands)}}
        wishes = "; ".join(_wish_words(aim) for aim in one.aims)
        sources = ". ".join(dict.fromkeys(aim.source for aim in one.aims if aim.source))
        rows.append(
            html.Li(
                [
                    button(one.title, several),
                    html.Span(f" {one.why}: {wishes}. {sources}.", className="lm-small"),
                ]
            )
        )
    summary = html.Summary("Ready sets of wishes")
    key = marked({"data-key": "wish-sets"})
    yield html.Details([summary, html.Ul(rows, className="pg-sets")], open=not scenario.aims, **key)


def _wish_words(aim: AimFor) -> str:
    unit = {"melanopic_edi_lx": " melanopic lx", "uniformity": ""}.get(aim.measure, " lx")
    if aim.at_least is not None:
        return f"{aim.id} at least {aim.at_least:g}{unit}"
    return f"{aim.id} at most {aim.at_most:g}{unit}"


def _may(item: Any) -> Any:
    parts = _PARTS if isinstance(item, Light) else (("lamp", "lumens a metre"),)
    boxes = [
        check(words, {"data-may": part, "data-may-of": item.id}, on=True) for part, words in parts
    ]
    return html.Fieldset([html.Legend(name_of(item)), *boxes])


def found_panel(found: Finding) -> list[Any]:
    """Return what was found: plans as cards, what to relax, levels, and the patch."""
    parts: list[Any] = []
    of = len(found.today.aims)
    met, lasting, _ = counts(found.today.aims)
    whole = "" if found.whole else ", stopped before all was tried"
    parts.append(
        html.P(
            f"Today {met} of {of} wishes are met, {lasting} after years too. "
            f"{found.tried} candidates looked at in {found.seconds:.0f} s{whole}."
        )
    )
    if found.plans:
        parts += [_card(number, plan) for number, plan in enumerate(found.plans, 1)]
    else:
        parts.append(html.P("Nothing was found that meets more of the wishes."))
    if found.relax:
        parts.append(html.H3("What one wish would have to become"))
        parts.append(html.Ul([_relaxed(one) for one in found.relax]))
    if found.levels:
        parts.append(html.H3("Levels, with the lights as they are"))
        parts.append(html.Ul([html.Li(words) for words in level_words(found)]))
    for patch in found.patch:
        plan = found.plans[0].scenario if found.plans else found.today.scenario
        name = next(name_of(light) for light in plan.lights if light.id == patch.light)
        parts.append(html.H3(f"Where the {name} works{' in plan 1' if found.plans else ''}"))
        parts.append(Drawn(patch_svg(plan, patch)))
        parts.append(html.P("The brighter the more wishes hold; hatched: it may not hang there."))
        parts.append(
            html.Ul(
                [html.Li(f"{_cm(e.distance_m)} {_way(e.way)}: {e.why[0]}") for e in patch.edges]
            )
        )
    return parts


def _cm(length_m: float) -> str:
    return f"{100 * length_m:.0f} cm"


def _way(way: str) -> str:
    return way if way in ("higher", "lower") else f"to the {way}"


def _card(number: int, plan: Plan) -> Any:
    several = {"name": "several", "args": {"commands": list(plan.commands)}}
    again = marked({"data-find-from": json.dumps(several)})
    return html.Article(
        [
            html.Div(Drawn(wall_svg(plan.scenario)), className="pg-find-picture"),
            html.H3(f"{number}. {plan.title}"),
            html.P(
                [
                    html.B(f"{plan.met} of {plan.of} wishes met"),
                    f", {plan.met_after_years} after years too, {plan.sure} whatever the doubts",
                ]
            ),
            html.Ul([html.Li(words) for words in plan.changes]),
            *_costs(plan),
            html.P(
                [
                    button("Try it", several, "is-main", **{"aria-label": f"Try plan {number}"}),
                    html.Button(
                        "Keep looking from here",
                        type="button",
                        className="lm-button is-quiet",
                        **again,
                    ),
                ],
                className="pg-find-do",
            ),
        ],
        className="pg-find-card",
    )


def _costs(plan: Plan) -> Iterator[Any]:
    said = [f"{plan.holes} new fixing point{'' if plan.holes == 1 else 's'}"]
    said.append(f"all lights in full draw {watts(plan.lights_w)}")
    if plan.price is not None:
        said.append(f"about {plan.price[0]:.0f} to {plan.price[1]:.0f} by the prices typed")
    yield html.P("; ".join(said) + ".", className="lm-small")
    missed = [r for r in plan.study.aims if r.state != "met"]
    if missed:
        words = ", ".join(dict.fromkeys(f"{r.id} ({r.state})" for r in missed))
        yield html.P(f"Not met, or not for long: {words}.", className="lm-small")
    for words, lost in (
        ("A hole 20 mm off", plan.loses_moved),
        ("An aim 5 degrees off", plan.loses_tilted),
    ):
        if lost:
            yield html.P(f"{words} would lose: {', '.join(lost)}.", className="lm-small")
    for word, some in (("Adds", plan.adds), ("Clears", plan.clears)):
        for title, names in _grouped(some):
            yield html.P(f"{word} a caution: {title} ({names}).", className="lm-small")
    if plan.buy:
        items = [
            html.Li(f"{item.name}: {'; '.join(map(spec_words, item.specs))}") for item in plan.buy
        ]
        yield html.Details([html.Summary("What to buy"), html.Ul(items)], className="lm-small")


def _grouped(cautions: Sequence[Any]) -> Iterator[tuple[str, str]]:
    titles = dict.fromkeys(caution.title for caution in cautions)
    for title in titles:
        yield title, ", ".join(c.names[0] for c in cautions if c.title == title)


def _relaxed(one: Any) -> Any:
    several = {"name": "several", "args": {"commands": one.to_json()["commands"]}}
    return html.Li([one.words, " ", button("Wish so", several)])
