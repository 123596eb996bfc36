"""The setups as small pictures, with the sliders of the one on show, and the form of that one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from dash import html

from lumen.app.cards import setup_cards
from lumen.app.inspect import fields_of, name_of
from lumen.app.marks import marked
from lumen.app.panels.form import entry
from lumen.app.panels.parts import button, check, opener
from lumen.scenario.document import Scenario
from lumen.scenario.supply import Appliance
from lumen.study.scene.reading import reading_of
from lumen.study.scene.targets import targets
from lumen.study.study import Study

__all__ = ["setup_panel", "setups_panel"]

Component = Any

_NONE = "No setup yet. A setup says which lights are on, how bright, and what else runs."


def setups_panel(study: Study, setup: str) -> list[Component]:
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
        for one in setup_cards(study)
    ]
    another = html.Button(
        "+",
        type="button",
        className="lm-setup pg-another",
        title="Add a setup",
        **marked({"data-place": "setup", "aria-label": "Add a setup"}),
    )
    sliders = html.Div(
        className="pg-levels",
        role="group",
        **marked({"data-lm-levels": setup, "aria-label": "How bright each light is in this setup"}),
    )
    if not study.setups:
        return [html.Div([html.P(_NONE, className="lm-small"), _add()], className="pg-setup")]
    change = opener("Name, hours, what runs", "setup", "lm-button")
    return [
        html.Div([change, sliders], className="pg-setup"),
        html.Div(pictures, className="pg-pictures"),
        another,
    ]


def setup_panel(scenario: Scenario, setup: str, system: str) -> list[Component]:
    """Return the form of one setup: name, place in the row, hours and what runs then."""
    ids = [one.id for one in scenario.setups]
    if setup not in ids:
        return [html.P(_NONE), _add()]
    at = ids.index(setup)
    fields = {one.path: one for one in fields_of(scenario, setup, system, "setups")}
    fields["name"] = replace(fields["name"], text=fields["name"].text or setup)
    form = [entry(fields[path], setup, section="setups") for path in fields]
    return [
        *form,
        html.P(
            "Without an hour it follows the one before it in the evening. Empty hours: none.",
            className="lm-small",
        ),
        *_readers(scenario, setup),
        _runs(scenario, setup, system),
        html.H3("In the row"),
        html.Div(
            [
                _ordered("Earlier", setup, at - 1, len(ids)),
                _ordered("Later", setup, at + 1, len(ids)),
                button("Copy", {"name": "duplicate", "id": setup, "args": _SECTION}),
                button("Remove", {"name": "remove", "id": setup, "args": _SECTION}),
                _add(),
            ],
            className="lm-tools",
        ),
        html.P(
            "A copy has the same levels and wishes, and no hours yet.",
            className="lm-small",
        ),
    ]


def _add() -> Component:
    place = marked({"data-place": "setup"})
    return html.Button("Add a setup", type="button", className="lm-button", **place)


_SECTION = {"section": "setups"}


def _ordered(words: str, setup: str, to: int, count: int) -> Component:
    command = {"name": "order", "id": setup, "args": {"to": to, **_SECTION}}
    return button(words, command, disabled=not 0 <= to < count)


def _readers(scenario: Scenario, setup: str) -> list[Component]:
    """Who reads in a setup, as the plan says or as it follows from lights and wishes."""
    readers = [person for person in scenario.people if person.reads]
    if not readers:
        return []
    now = reading_of(scenario, {target.id: target for target in targets(scenario)})[setup]
    boxes = [
        check(
            name_of(person),
            {"data-reads": person.id, "data-key": f"reads {setup} {person.id}"},
            on=person.id in now,
        )
        for person in readers
    ]
    group = marked({"data-reads-in": setup, "role": "group", "aria-label": "Who reads then"})
    said = next(one.reading for one in scenario.setups if one.id == setup)
    back = {"name": "set", "id": setup, "args": {"field": "reading", "value": None, **_SECTION}}
    follows = html.P("Follows from whose light is on, and from the wishes.", className="lm-small")
    last = follows if said is None else button("As lights and wishes say", back)
    return [html.H3("Who reads then"), html.Div(boxes, className="pg-checks", **group), last]


def _runs(scenario: Scenario, setup: str, system: str) -> Component:
    """Every appliance with a box, whether it runs in a setup, and in which season at all."""
    running = next(one.running for one in scenario.setups if one.id == setup)
    rows: list[Component] = []
    for item in scenario.supply:
        if not isinstance(item, Appliance):
            continue
        season = next(f for f in fields_of(scenario, item.id, system) if f.path == "season")
        season = replace(season, label=f"{name_of(item)}: season")
        data = {"data-run": item.id, "data-run-in": setup, "data-key": f"run {setup} {item.id}"}
        box = check(name_of(item), data, on=item.id in running)
        rows.append(html.Div([box, entry(season, item.id)], className="pg-run"))
    if not rows:
        rows = [html.P("Nothing with a plug but lights is in this plan.", className="lm-small")]
    return html.Div([html.H3("What runs besides the lights"), *rows], className="pg-runs")
