"""The parts of the page that change with the plan, as functions that return components.

Whatever can be pressed carries ``data-command`` (a command to send), ``data-select`` (a thing to
take in the hand), ``data-opens`` (a drawer) or the like; ``assets/page.js`` listens for all of them
in one place. Numbers that follow a dragging hand carry ``data-live`` (see ``assets/live.js``).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from dash import dcc, html

from lumen.app import catalogue, ids
from lumen.app.inspect import Field, fields_of, item_of, name_of
from lumen.app.marks import marked
from lumen.app.markup import markup
from lumen.app.start import Measurement
from lumen.app.words import (
    LEVELS,
    Answer,
    SightWords,
    answers,
    caution_line,
    power_answer,
    setup_words,
    sight_words,
)
from lumen.scenario.document import Scenario
from lumen.study.words import amount, amperes, watts

__all__ = [
    "add_panel",
    "answers_panel",
    "asked",
    "cautions_panel",
    "examples_panel",
    "hand_panel",
    "held",
    "load_tree_panel",
    "maps_panel",
    "offered",
    "places_panel",
    "said",
    "setups_panel",
    "start_panel",
    "thing_panel",
    "trouble_panel",
    "walk_panel",
    "warned_panel",
]

Json = dict[str, Any]
Component = Any

_CLASSES = {"met": "is-met", "short": "is-short", "too much": "is-much"}


def button(
    text: Any, command: Json | None = None, kind: str = "is-quiet", **more: Any
) -> Component:
    """Return a button that sends a command when pressed."""
    data = {"data-command": json.dumps(command)} if command else {}
    return html.Button(
        text, className=f"lm-button {kind}".strip(), type="button", **marked(data), **more
    )


def _opener(text: Any, drawer: str, kind: str) -> Component:
    return html.Button(text, type="button", className=kind, **marked({"data-opens": drawer}))


def said(scenario: Scenario, data: Mapping[str, Any], setup: str) -> dict[str, str]:
    """Return answers, cautions, load tree and setups as HTML, by the id of their place."""
    return {
        ids.ANSWERS: markup(answers_panel(scenario, data, setup)),
        ids.CAUTIONS: markup(cautions_panel(data)),
        ids.LOAD_TREE: markup(load_tree_panel(data, setup)),
        ids.SETUPS: markup(setups_panel(scenario, data, setup)),
        ids.WARNED: markup(warned_panel(list(data["cautions"]))),
    }


def held(scenario: Scenario, chosen: Iterable[str], system: str) -> dict[str, str]:
    """Return the forms of what is in the hand as HTML, by the id of their place."""
    return {
        ids.HAND: markup(hand_panel(scenario, chosen, system)),
        ids.THING: markup(thing_panel(scenario, chosen, system)),
    }


def offered(scenario: Scenario, places: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return what can be added, looked at and stood in as HTML, by the id of their place."""
    return {
        ids.THINGS_TO_ADD: markup(add_panel(scenario)),
        ids.MAPS: markup(maps_panel(scenario)),
        ids.PLACES: markup(places_panel(places)),
    }


def asked(questions: Iterable[tuple[Measurement, str]]) -> dict[str, str]:
    """Return the start card as HTML, by the id of its place."""
    return {ids.START: markup(start_panel(questions))}


def answers_panel(scenario: Scenario, data: Mapping[str, Any], setup: str) -> list[Component]:
    """Return the answers of a setup, each with its drawer, and what it draws."""
    name = next((s.name or s.id for s in scenario.setups if s.id == setup), setup)
    head = html.Div(
        [html.H2(name), html.Small("about right, not exact")], className="lm-answers-head"
    )
    found = answers(scenario, data, setup)
    cards = [_answer(answer) for answer in found if answer.first]
    rest = [answer for answer in found if not answer.first]
    if not scenario.people:
        cards.insert(0, html.P("Nobody reads or sleeps in this plan yet.", className="lm-small"))
    seen = [_sight(one) for one in sight_words(data, setup)]
    more = [
        html.Details(
            [
                html.Summary(f"{len(rest)} more: {_list_of(rest)}"),
                html.Div([_answer(answer) for answer in rest], className="pg-answers"),
            ],
            className="pg-more",
        )
    ]
    last = [_power(data, setup), _caution_row(list(data["cautions"]))]
    return [head, *cards, *seen, *last, *(more if rest else [])]


def _list_of(rest: list[Answer]) -> str:
    names = [answer.name[:1].lower() + answer.name[1:] for answer in rest]
    return ", ".join(names[:2]) + (" ..." if len(names) > 2 else "")


def _sight(words: SightWords) -> Component:
    state = [html.Span("in sight", className="lm-state is-much")] if words.state else [html.Span()]
    lines = words.lines or ("From every place that was looked from, shades or things hide it.",)
    return html.Details(
        [
            html.Summary(
                [
                    html.Span(words.name, className="lm-card-name"),
                    *state,
                    html.Span(words.value, className="lm-number pg-words"),
                ],
                className="lm-card",
            ),
            html.Div(html.Ul([html.Li(line) for line in lines]), className="pg-drawer"),
        ],
        className="pg-answer",
        **marked({"data-answer": words.key}),
    )


def _answer(answer: Answer) -> Component:
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
                ],
                className="lm-card",
            ),
            html.Div(_drawer(answer), className="pg-drawer"),
        ],
        className="pg-answer",
        **marked({"data-answer": answer.live}),
    )


def _state(answer: Answer) -> Component:
    if answer.state is None:
        return html.Span()
    live = {"data-live-aim": answer.aim, "data-state": answer.state}
    return html.Span(
        answer.state,
        className=f"lm-state {_CLASSES.get(answer.state, 'is-unsure')}",
        title="" if answer.sure else "the band reaches over the limit: it may be either way",
        **marked(live),
    )


def _drawer(answer: Answer) -> list[Component]:
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
        html.P([answer.wish, *(source if answer.source else [])]),
        html.Div([_share(part) for part in answer.parts], className="lm-shares"),
        *([legend] if answer.parts else []),
        html.H4("What limits it"),
        html.Ul([html.Li(line) for line in answer.limits]),
        html.P(f"{answer.extra[:1].upper()}{answer.extra[1:]}", className="lm-small"),
        *_assumed(answer),
    ]


def _share(part: Any) -> Component:
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


def _assumed(answer: Answer) -> list[Component]:
    if not answer.assumed:
        return []
    items = html.Ul([html.Li(line, className="lm-assumed") for line in answer.assumed])
    count = len(answer.assumed)
    head = f"{count} things were assumed" if count > 1 else "1 thing was assumed"
    return [html.Details([html.Summary(head), items])]


def _power(data: Mapping[str, Any], setup: str) -> Component:
    power = power_answer(data, setup)
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


def _caution_row(cautions: list[Json]) -> Component:
    worst = next((lv for lv in LEVELS if any(c["level"] == lv for c in cautions)), None)
    mark = html.Span(LEVELS[worst] if worst else "", className="lm-caution-word")
    return html.Button(
        [
            html.Span("Cautions", className="lm-card-name"),
            html.Span(mark, className=f"lm-caution is-{worst} pg-bare") if worst else html.Span(),
            html.Span(caution_line(cautions), className="lm-number pg-words"),
        ],
        type="button",
        className="lm-card",
        **marked({"data-opens": "cautions", "data-answer": "cautions"}),
    )


def warned_panel(cautions: list[Json]) -> list[Component]:
    """A button that always says how many cautions stand; the worst level gives it its shape."""
    worst = next((lv for lv in LEVELS if any(c["level"] == lv for c in cautions)), None)
    first = caution_line([c for c in cautions if c["level"] == worst])
    rest = sum(c["level"] != worst for c in cautions)
    short = f"{first} + {rest}" if rest else first
    word = html.Span(short, className="lm-caution-word" if worst else "")
    return [
        html.Button(
            [html.Span("Cautions: ", className="lm-visually-hidden"), word],
            type="button",
            className=f"lm-button pg-warned lm-caution is-{worst or 'none'}",
            title=f"Cautions: {caution_line(cautions)}",
            **marked({"data-opens": "cautions"}),
        )
    ]


def trouble_panel(trouble: str) -> list[Component]:
    """Return what is said when a plan could not be reckoned."""
    return [html.P(trouble, className="lm-caution is-ask", role="alert")]


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
        html.Tr([html.Td(text), html.Td(f"{_figure(value)} {unit or ''}".strip())])
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
            html.P(
                f"{caution['rule_text']} Source: {caution['source']}{edition}{how}.",
                className="lm-caution-rule",
            ),
            _sum_of(caution["explain"]),
        ],
        className=f"lm-caution is-{caution['level']}",
        tabIndex="-1",
        **marked({"data-caution-at": index, "data-rule": caution["rule"]}),
    )


def _figure(value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"


def load_tree_panel(data: Mapping[str, Any], setup: str) -> list[Component]:
    """Return the supply tree, each branch as thick as its amperes, and what a year costs."""
    power = data["power"]
    known = {node["id"] for node in power["nodes"]}
    children: dict[str | None, list[Json]] = {}
    for node in power["nodes"]:
        parent = node["fed_from"] if node["fed_from"] in known else None
        children.setdefault(parent, []).append(node)
    most = max((n["everything_on"]["amperes"] for n in power["nodes"]), default=0.0)
    weak = power.get("weakest")
    energy = power["energy"]
    year = (
        f"In a year about {amount(energy['kwh_year'])} kWh, of it "
        f"{amount(energy['standby_kwh_year'])} kWh just for being plugged in: about "
        f"{amount(energy['cost_year'])} {energy['currency']} at {energy['tariff']:g} a kWh"
        f"{' (assumed)' if energy.get('tariff_assumed') else ''}."
    )
    lead = _weak_words(weak) if weak else "No rating is known for anything here."
    return [
        html.P(lead, className="lm-lead"),
        _branch(children, None, setup, most, weak["node"] if weak else None),
        html.P(
            "The thicker the line, the more it carries with everything on. The bar under a name "
            "is how much of its rating that is. Numbers at the right are for this setup.",
            className="lm-small",
        ),
        html.P(year),
    ]


def _weak_words(weak: Json) -> str:
    case = "with everything on" if weak["setup"] == "everything on" else f"in {weak['setup']!r}"
    limit = f" of {amperes(weak['limit_a'])}" if weak.get("limit_a") else ""
    return (
        f"The weakest link is {weak.get('name', weak['node'])}: "
        f"{100 * weak['share']:.0f} %{limit} {case}."
    )


def _branch(
    children: Mapping[str | None, list[Json]],
    parent: str | None,
    setup: str,
    most: float,
    weakest: str | None,
) -> Component:
    rows = []
    for node in children.get(parent, ()):
        thick = 1.5 + 9 * (node["everything_on"]["amperes"] / most if most else 0)
        below = (
            [_branch(children, node["id"], setup, most, weakest)] if node["id"] in children else []
        )
        rows.append(
            html.Li(
                [_node(node, setup, node["id"] == weakest), *below],
                style={"--pg-thick": f"{thick:.1f}px"},
            )
        )
    return html.Ul(rows, className="pg-tree lm-tree" if parent is None else "")


def _node(node: Json, setup: str, weakest: bool) -> Component:
    full = node["everything_on"]
    here = node["by_setup"].get(setup, full)
    share = full.get("share")
    parts: list[Component] = [
        html.Span(node["name"], className="lm-branch-name"),
        html.Span(
            f"{watts(here['watts'])}, {amperes(here['amperes'])}", className="lm-branch-load"
        ),
    ]
    if node["rating_a"] and share is not None:
        bar = html.I(
            className="is-over" if share > 1 else "",
            style={"width": f"{min(100, 100 * share):.0f}%"},
        )
        words = f"{100 * share:.0f} % of {amperes(node['rating_a'])}"
        words += ", assumed" if node["assumed"] else ""
        words += ": the weakest link" if weakest else ""
        parts += [
            html.Span(bar, className="lm-meter"),
            html.Span(words, className="lm-small", title=node.get("rating_reason") or ""),
        ]
    branch = html.Button(
        parts,
        type="button",
        className=f"lm-branch pg-branch{' is-weakest' if weakest else ''}",
        **marked({"data-select": node["id"]}),
    )
    return html.Div([branch, _sum_of(node["explain"].get(setup, ()))])


def _sum_of(lines: Iterable[Sequence[Any]]) -> Component:
    """The sum that led to a figure, line by line, folded away until somebody asks."""
    rows = [
        html.Tr(
            [html.Td(text), html.Td("" if value is None else f"{_figure(value)} {unit}".strip())]
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


def hand_panel(scenario: Scenario, chosen: Iterable[str], system: str) -> list[Component]:
    """Return the short card of what is in the hand: its main numbers and what can be done."""
    names = [name for name in chosen if item_of(scenario, name) is not None]
    if not names:
        hint = "Drag a light and watch the answers. Tap anything to see and type its numbers."
        return [html.Span(hint, className="lm-small")]
    if len(names) > 1:
        return [
            html.Strong(f"{len(names)} things"),
            button("Remove", {"name": "remove", "ids": names, "args": {}}),
        ]
    name = names[0]
    found = item_of(scenario, name)
    assert found is not None
    section, item = found
    fields = {field.path: field for field in fields_of(scenario, name, system)}
    shown = [_input(fields[p], name, short=True) for p in _MAIN.get(section, ()) if p in fields]
    acts = [_opener("All its numbers", "thing", "lm-button")]
    if section in ("lights", "strips", "furniture"):
        acts.append(button("Mirror", {"name": "mirror", "id": name, "args": {}}))
        acts.append(button("Copy", {"name": "duplicate", "id": name, "args": {}}))
    if section not in ("room", "plan"):
        acts.append(button("Remove", {"name": "remove", "id": name, "args": {}}))
    return [
        html.Strong(name_of(item) if section not in ("room", "plan") else section.capitalize()),
        *shown,
        html.Div(acts, className="lm-tools"),
    ]


_MAIN = {
    "lights": ("mount_m.2", "lamp.flux_lm", "lamp.power_w", "fed_from"),
    "strips": ("flux_lm_per_m", "power_w_per_m", "fed_from"),
    "furniture": ("size_m.0", "size_m.1", "size_m.2"),
    "people": ("eye_above_mattress_m", "page.distance_m"),
    "supply": ("fed_from", "power_w", "rating_a"),
}


def thing_panel(scenario: Scenario, chosen: Iterable[str], system: str) -> list[Component]:
    """Return the form with every field of what is in the hand."""
    names = [name for name in chosen if item_of(scenario, name) is not None]
    if len(names) != 1:
        return [
            html.P("Choose one thing on the drawing or here to see all its numbers."),
            _thing_list(scenario),
        ]
    name = names[0]
    found = item_of(scenario, name)
    assert found is not None
    groups: dict[str, list[Field]] = {}
    for field in fields_of(scenario, name, system):
        groups.setdefault(field.group, []).append(field)
    parts: list[Component] = [
        html.Div(
            [
                html.H3(_title(name, found[1])),
                html.Button(
                    "Another", type="button", className="pg-link", **marked({"data-select": ""})
                ),
            ],
            className="pg-row",
        ),
        html.P(
            "Type a length as 122, 4 ft 1/2 in or 55-60 cm. Empty means: assume the usual.",
            className="lm-small",
        ),
    ]
    for group, fields in groups.items():
        body = [_input(field, name) for field in fields]
        if group in ("", "Bulb", "Fixed at", "Size", "Place (middle of underside)"):
            parts.append(html.Fieldset([html.Legend(group), *body] if group else body))
        else:
            key = {"data-key": f"{name}/{group}"}
            parts.append(html.Details([html.Summary(group), *body], **marked(key)))
    return parts


def _thing_list(scenario: Scenario) -> Component:
    sections = (
        ("Lights", scenario.lights),
        ("Strips", scenario.strips),
        ("People", scenario.people),
        ("Furniture", scenario.furniture),
        ("Plugs and outlets", scenario.supply),
    )
    rows: list[Component] = []
    for title, items in sections:
        if items:
            rows.append(html.H4(title))
            rows.append(
                html.Div(
                    [
                        html.Button(
                            name_of(item),
                            type="button",
                            className="pg-link",
                            **marked({"data-select": item.id}),
                        )
                        for item in items
                    ],
                    className="pg-things",
                )
            )
    rows.append(html.H4("Room"))
    rows.append(
        html.Button(
            "Walls, ceiling, finishes",
            type="button",
            className="pg-link",
            **marked({"data-select": "room"}),
        )
    )
    rows.append(
        html.Button(
            "Region, price, title",
            type="button",
            className="pg-link",
            **marked({"data-select": "plan"}),
        )
    )
    return html.Div(rows)


def _title(name: str, item: Any) -> str:
    return name_of(item) if name not in ("room", "plan") else name.capitalize()


def _input(field: Field, name: str, short: bool = False) -> Component:
    label = _SHORT.get(field.path, field.label) if short else field.label
    if field.kind == "choice":
        options = [html.Option("not known", value="", selected=field.text == "")]
        options += [
            html.Option(text, value=value, selected=value == field.text)
            for value, text in field.options
        ]
        control: Component = html.Select(options, className="lm-input")
    else:
        control = dcc.Input(
            type="text",
            value=field.text,
            placeholder="not known",
            id={"type": "field", "index": f"{name}|{field.path}|{'short' if short else 'long'}"},
            autoComplete="off",
        )
    unit = f" ({field.unit})" if field.unit and not short else ""
    hint = (
        [html.Span(f"assumed: {field.assumed}", className="lm-hint-text")] if field.assumed else []
    )
    return html.Div(
        [
            html.Label([html.Span(f"{label}{unit}"), control]),
            *([] if short else hint),
            html.Span(className="lm-fault", role="alert"),
        ],
        className=f"lm-field is-{field.kind}{' pg-short' if short else ''}",
        **marked({"data-field": field.path, "data-id": name, "data-key": f"{name}/{field.path}"}),
    )


_SHORT = {
    "mount_m.2": "Height",
    "lamp.flux_lm": "Light, lm",
    "lamp.power_w": "Watts",
    "fed_from": "Plugged into",
    "flux_lm_per_m": "lm a metre",
    "power_w_per_m": "W a metre",
    "size_m.0": "Wide",
    "size_m.1": "Deep",
    "size_m.2": "High",
    "eye_above_mattress_m": "Eye, sitting",
    "page.distance_m": "Page from eye",
    "power_w": "Watts",
    "rating_a": "Rating, A",
}


def add_panel(scenario: Scenario) -> list[Component]:
    """Return the drawer of things to add, grouped by what people call them."""
    feeders = [node for node in scenario.supply if node.kind not in ("appliance", "circuit")]
    into = [html.Option("wherever fits", value="")]
    into += [html.Option(name_of(node), value=node.id) for node in feeders]
    parts: list[Component] = [
        html.P("Press to add. Sizes, watts and lumens start at usual values; change them after."),
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
        **marked({"data-place": choice.key}),
    )


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
