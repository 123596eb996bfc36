"""What is in the hand: its short card, and the form with every number of it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape
from itertools import pairwise
from typing import Any

from dash import dcc, html

from lumen.app.inspect import Field, fields_of, item_of, length_text, name_of, number_text
from lumen.app.marks import marked
from lumen.app.markup import Drawn
from lumen.app.panels.parts import button, opener
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip

__all__ = ["entry", "hand_panel", "thing_panel"]

Component = Any


def hand_panel(scenario: Scenario, chosen: Iterable[str], system: str) -> list[Component]:
    """Return the short card of what is in the hand: its main numbers and what can be done."""
    names = [name for name in chosen if item_of(scenario, name) is not None]
    if not names:
        hint = (
            "Type your room, then drag a light and watch the answers. Tap a thing for its numbers."
        )
        return [html.Span(hint, className="lm-small")]
    if len(names) > 1:
        return [
            html.Strong(f"{len(names)} things"),
            html.Span("Drag one, or press an arrow key: all go along.", className="lm-small"),
            html.Div(_acts_on_many(scenario, names), className="lm-tools"),
        ]
    name = names[0]
    found = item_of(scenario, name)
    assert found is not None
    section, item = found
    fields = {field.path: field for field in fields_of(scenario, name, system)}
    shown = [entry(fields[p], name, short=True) for p in _MAIN.get(section, ()) if p in fields]
    acts = [opener("All its numbers", "thing", "lm-button")]
    if section == "lights":
        acts.append(opener("Higher or lower", "heights", "lm-button", **{"data-light": name}))
    if section in ("lights", "strips", "furniture"):
        acts.append(button("Mirror", {"name": "mirror", "id": name, "args": {}}))
        acts.append(button("Copy", {"name": "duplicate", "id": name, "args": {}}))
    if section not in ("room", "plan"):
        acts.append(button("Remove", {"name": "remove", "id": name, "args": {}}))
    return [
        html.Strong(name_of(item) if section not in ("room", "plan") else section.capitalize()),
        *([_tape(item, system)] if section == "strips" else []),
        *shown,
        html.Div(acts, className="lm-tools"),
    ]


def _acts_on_many(scenario: Scenario, names: list[str]) -> list[Component]:
    sections = {found[0] for name in names if (found := item_of(scenario, name))}
    acts = []
    if sections <= {"lights", "strips", "furniture"}:
        acts.append(button("Mirror", {"name": "mirror", "ids": names, "args": {}}))
    acts.append(button("Remove", {"name": "remove", "ids": names, "args": {}}))
    return acts


def _tape(strip: Strip, system: str) -> Component:
    """How much tape a strip takes as it lies, and its watts at full."""
    long_m = sum(math.dist(a, b) for a, b in pairwise(strip.path_m))
    watts = number_text(round(long_m * middle(strip.power_w_per_m), 1))
    words = f"{length_text(long_m, system)} of tape, about {watts} W at full"
    return html.Span(words, className="lm-small")


_MAIN = {
    "lights": ("mount_m.2", "lamp.flux_lm", "lamp.power_w", "fed_from"),
    "strips": ("flux_lm_per_m", "power_w_per_m", "fed_from", "price"),
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
        body = [entry(field, name) for field in fields]
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
            rows.append(html.H3(title))
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
    rows.append(html.H3("Room"))
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


def entry(field: Field, name: str, short: bool = False, section: str = "") -> Component:
    """Return one field of a form; ``section`` is told where the id alone is not enough."""
    label = _SHORT.get(field.path, field.label) if short else field.label
    if field.kind == "choices":
        return _boxes(field, name)
    if field.kind in ("choice", "flag", "reference"):
        options = []
        if not field.needed:
            options.append(html.Option("not known", value="", selected=field.text == ""))
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
            id={
                "type": "field",
                "index": f"{section}|{name}|{field.path}|{'short' if short else 'long'}",
            },
            autoComplete="off",
        )
    unit = f" ({field.unit})" if field.unit and not short else ""
    hint = (
        [html.Span(f"assumed: {field.assumed}", className="lm-hint-text")] if field.assumed else []
    )
    return html.Div(
        [
            html.Label([html.Span(f"{label}{unit}"), control]),
            *([_picker(field, label)] if field.kind == "colour" else []),
            *([] if short else hint),
            html.Span(className="lm-fault", role="alert"),
        ],
        className=f"lm-field is-{field.kind}{' pg-short' if short else ''}",
        **marked(
            {
                "data-field": field.path,
                "data-id": name,
                "data-key": f"{section}/{name}/{field.path}",
                **({"data-section": section} if section else {}),
            }
        ),
    )


def _boxes(field: Field, name: str) -> Component:
    """A closed list of which several may be true: one box each."""
    ticked = field.text.split(", ")
    boxes = [
        html.Label(
            [
                Drawn(
                    f'<input type="checkbox" value="{escape(value)}"'
                    f"{' checked' if value in ticked else ''}>"
                ),
                html.Span(words),
            ]
        )
        for value, words in field.options
    ]
    return html.Div(
        [
            html.Div(
                [html.Span(field.label), *boxes],
                className="pg-boxes",
                role="group",
                **marked({"aria-label": field.label}),
            ),
            html.Span(className="lm-fault", role="alert"),
        ],
        className="lm-field is-choices",
        **marked({"data-field": field.path, "data-id": name, "data-key": f"{name}/{field.path}"}),
    )


def _picker(field: Field, label: str) -> Component:
    """The browser's own colour picker; Dash has none. Beside it a name or #rrggbb can be typed."""
    shown = escape(field.text or "#808080")
    words = escape(f"Pick: {label}")
    return Drawn(f'<input type="color" class="pg-picker" value="{shown}" aria-label="{words}">')


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
