"""What is in the hand: its short card, and the form with every number of it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from dash import html

from lumen.app.boxed import Note, box_notes, quality_notes
from lumen.app.catalogue import BOARD_STRIP
from lumen.app.inspect import (
    IN_THE_ROOM,
    SECTIONS,
    fields_of,
    item_of,
    length_text,
    name_of,
    number_text,
)
from lumen.app.marks import marked
from lumen.app.panels.box import box_panel
from lumen.app.panels.form import entry, form
from lumen.app.panels.parts import button, opener
from lumen.scenario.base import middle, shown_of
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip
from lumen.scenario.references import hanging_on

__all__ = ["hand_panel", "thing_panel"]

Component = Any


def hand_panel(
    scenario: Scenario, chosen: Iterable[str], system: str, setup: str = ""
) -> list[Component]:
    """Return the short card of what is in the hand: its main numbers and what can be done.

    What is added from it is switched on in ``setup``.
    """
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
    located = item_of(scenario, name)
    assert located is not None
    section, item = located
    fields = fields_of(scenario, name, system) if section in SECTIONS else ()
    shown = [entry(field, name, short=True) for field in fields if field.short]
    acts = [opener("All its numbers", "thing", "lm-button")]
    patched = False
    if section == "lights":
        acts.append(opener("Higher or lower", "heights", "lm-button", **{"data-light": name}))
        if scenario.aims and item.mount != "stand":
            marks = {"data-patch-of": name, "aria-pressed": "false"}
            words, patched = "Where it works", True
            acts.append(html.Button(words, type="button", className="lm-button", **marked(marks)))
    if section == "furniture" and item.kind == "headboard":
        acts.append(_strip_along(name, setup))
    if section in ("lights", "strips", "furniture"):
        acts.append(button("Mirror", {"name": "mirror", "id": name, "args": {}}))
        acts.append(button("Copy", {"name": "duplicate", "id": name, "args": {}}))
    if section not in ("room", "plan"):
        told = {"section": section} if _told(section) else {}
        acts.append(button("Remove", {"name": "remove", "id": name, "args": told}))
    return [
        html.Strong(name_of(item) if section not in ("room", "plan") else section.capitalize()),
        *([_tape(item, system)] if section == "strips" else []),
        *shown,
        html.Div(acts, className="lm-tools"),
        *([html.P(id="patch-words", role="status", className="lm-small")] if patched else []),
    ]


def _strip_along(board: str, setup: str) -> Component:
    args = {"what": BOARD_STRIP, "board": board, "setup": setup}
    return button("LED strip along top and sides, 50 mm in", {"name": "place", "args": args})


def _acts_on_many(scenario: Scenario, names: list[str]) -> list[Component]:
    sections = {located[0] for name in names if (located := item_of(scenario, name))}
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


def thing_panel(
    scenario: Scenario, chosen: Iterable[str], system: str, setup: str = ""
) -> list[Component]:
    """Return the form with every field of what is in the hand."""
    names = [name for name in chosen if item_of(scenario, name) is not None]
    if len(names) != 1:
        return [
            html.P("Choose one thing on the drawing or here to see all its numbers."),
            _thing_list(scenario),
        ]
    name = names[0]
    located = item_of(scenario, name)
    assert located is not None
    parts: list[Component] = [
        html.Div(
            [
                html.H3(_title(name, located[1])),
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
    fields = fields_of(scenario, name, system)
    notes: dict[str, list[Note]] = {}
    for by_path in (box_notes(located[1], system), quality_notes(located[1])):
        for path, note in by_path.items():
            notes.setdefault(path, []).append(note)
    if located[0] == "furniture" and located[1].kind == "headboard":
        parts.append(_strip_along(name, setup))
    box = box_panel(located[1], fields)
    told = _told(located[0])
    return [
        *parts,
        *form(fields, name, told, notes, between=box),
        *_hanging(scenario, located[0], name),
    ]


_NAMED_IN = {"setups": "In setups", "aims": "In wishes"}


def _hanging(scenario: Scenario, section: str, name: str) -> list[Component]:
    """What names a thing: what is plugged into it, lies in it, uses it or wishes for it."""
    groups: dict[str, list[str]] = {}
    for mention in hanging_on(scenario, section, name):
        shown = shown_of(type(mention.owner), mention.field)
        label = _NAMED_IN.get(mention.section) or (shown.label if shown else mention.section)
        who = name_of(mention.item) if mention.item is not None else "The room"
        if who not in groups.setdefault(label, []):
            groups[label].append(who)
    if not groups:
        return []
    rows = [html.P([html.Strong(f"{label}: "), ", ".join(who)]) for label, who in groups.items()]
    key = marked({"data-key": f"{name}/hanging"})
    return [html.Details([html.Summary("What hangs on it"), *rows], **key)]


def _told(section: str) -> str:
    """The section of a form whose ids are not told apart without it."""
    return section if section in IN_THE_ROOM else ""


def _thing_list(scenario: Scenario) -> Component:
    sections = (
        ("Lights", scenario.lights),
        ("Strips", scenario.strips),
        ("People", scenario.people),
        ("Furniture", scenario.furniture),
        ("Plugs and outlets", scenario.supply),
        ("Doors, windows, mirrors", scenario.room.openings),
        ("Slopes of the ceiling", scenario.room.slopes),
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
