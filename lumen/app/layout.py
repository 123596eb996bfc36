"""The page's bones: header, stage, answers column, setups, drawers; panels fill them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from dash import dcc, html

from lumen.app import ids
from lumen.app.marks import marked
from lumen.app.panels import examples_panel

__all__ = ["INDEX", "page"]

INDEX = """<!DOCTYPE html>
<html lang="en" data-theme="dark">
  <head>
    {%metas%}
    <title>{%title%}</title>
    {%favicon%}
    {%css%}
  </head>
  <body>
    {%app_entry%}
    <noscript>This page draws with scripts: please allow them for this address.</noscript>
    <footer>{%config%}{%scripts%}{%renderer%}</footer>
  </body>
</html>"""

_STORES = (
    ids.COMMAND,
    ids.DOCUMENT,
    ids.ANSWERED,
    ids.STUDY,
    ids.READY,
    ids.FIELDS,
    ids.SHOWN,
    ids.SELECTION,
    ids.SETUP,
    ids.SYSTEM,
    ids.TROUBLE,
    ids.WALK_ASKED,
    ids.HEIGHTS_ASKED,
    ids.COMPARE_ASKED,
    ids.START_ASKED,
    ids.STUDY_PANELS,
    ids.FORM_PANELS,
    ids.CHOICE_PANELS,
    ids.START_PANELS,
    ids.HEIGHTS_PANELS,
    ids.COMPARE_PANELS,
)


def page(
    document: Mapping[str, Any], opened: Mapping[str, Any], examples: Sequence[tuple[str, str, str]]
) -> Any:
    """Return the page for a document.

    ``opened`` says which file it came from, if any; ``examples`` are key, title and note of the
    rooms on the shelf.
    """
    setups = document["plan"].get("setups") or [{"id": ""}]
    first = {
        ids.DOCUMENT: dict(document),
        ids.SETUP: setups[0]["id"],
        ids.SELECTION: [],
        ids.SYSTEM: "cm",
    }
    return html.Div(
        [
            *[dcc.Store(id=name, data=first.get(name)) for name in _STORES],
            html.A("Skip to the drawing", href="#stage", className="lm-skip"),
            html.A("Skip to the answers", href="#answers-column", className="lm-skip"),
            html.Div(
                [_top(document), _stage(), _answers(), *_drawers(examples), _setups()],
                className="lm-shell",
                id="shell",
            ),
            html.Div(id="toast", className="lm-toast", role="status", hidden=True),
            html.Div(
                id="choice",
                className="lm-choice",
                role="alertdialog",
                hidden=True,
                **marked({"aria-label": "A question"}),
            ),
            _progress(),
        ],
        id="page",
        **marked({"data-opened": json.dumps(dict(opened))}),
    )


def _progress() -> Any:
    """Told when an answer takes longer than half a second; ``assets/progress.js`` shows it."""
    return html.Div(
        [
            html.Span(role="status", **marked({"data-words": ""})),
            html.Span(**marked({"data-seconds": "", "aria-hidden": "true"})),
            html.Button(
                "Take it back",
                type="button",
                className="pg-link",
                hidden=True,
                **marked({"data-act": "undo"}),
            ),
        ],
        id="progress",
        className="pg-progress",
        hidden=True,
    )


def _act(act: str, text: str, kind: str, label: str = "", **more: Any) -> Any:
    data = {"data-act": act, **({"aria-label": label} if label else {})}
    return html.Button(
        text, type="button", className=kind, title=label or None, **marked(data), **more
    )


def _switch(name: str, label: str, options: Sequence[tuple[str, str]], chosen: str) -> Any:
    """A row of buttons of which one is down; it writes the store called ``name``."""
    return html.Div(
        [
            html.Button(
                text,
                type="button",
                className="lm-look",
                **marked(
                    {
                        "data-switch": name,
                        "data-to": value,
                        "aria-pressed": "true" if value == chosen else "false",
                    }
                ),
            )
            for value, text in options
        ],
        className="lm-looks",
        role="group",
        **marked({"aria-label": label}),
    )


def _opener(text: str, drawer: str, kind: str = "lm-button") -> Any:
    return html.Button(text, type="button", className=kind, **marked({"data-opens": drawer}))


def _top(document: Mapping[str, Any]) -> Any:
    looks = (("wall", "Wall"), ("above", "From above"), ("side", "Side"), ("walk", "Walk in"))
    title = dcc.Textarea(value=document["plan"]["title"], id=ids.TITLE, rows=1)
    return html.Header(
        [
            html.Label(
                [
                    html.Span("Name of the plan", className="lm-visually-hidden"),
                    title,
                    html.Span(className="lm-fault", role="alert"),
                ],
                className="pg-title",
                **marked({"data-field": "title", "data-id": "plan"}),
            ),
            html.Div(
                [
                    _act("undo", "↶", "lm-round", "Undo", disabled=True),
                    _act("redo", "↷", "lm-round", "Redo", disabled=True),
                ],
                className="lm-tools",
            ),
            html.Div(className="lm-spring"),
            _switch(ids.LOOK, "Look at the room", looks, "wall"),
            html.Div(className="lm-spring"),
            html.Div(id=ids.WARNED),
            html.Div(
                [
                    _opener("Your room", "start", "lm-button is-main"),
                    _opener("Add", "add"),
                    _opener("Open", "open"),
                    _act("save", "Save", "lm-button"),
                    _act("sheet", "Sheet", "lm-button", "Sheet: the paper for the wall, to print"),
                    _switch(ids.SYSTEM, "Units", (("cm", "cm"), ("ft-in", "ft-in")), "cm"),
                    _act("theme", "◐", "lm-round", "Light or dark page"),
                ],
                className="lm-tools pg-tools",
            ),
            html.Div(
                "The page's server does not answer. Your plan is kept in this browser; what you do "
                "now is sent as soon as it is back.",
                className="lm-lost",
                role="alert",
            ),
        ],
        className="lm-top",
    )


def _stage() -> Any:
    paints = (("glow", "As it looks"), ("lux", "Lux map"), ("none", "Lines"))
    frames = [
        html.Div(
            html.Div(**marked({"data-lm-view": "wall"})), className="lm-view-frame", id="wall-frame"
        ),
        html.Div(
            html.Div(**marked({"data-lm-view": "above"})),
            className="lm-view-frame",
            id="above-frame",
            hidden=True,
        ),
        html.Div(
            html.Div(**marked({"data-lm-view": "side"})),
            className="lm-view-frame",
            id="side-frame",
            hidden=True,
        ),
        html.Div(_walk(), className="lm-view-frame", id="walk-frame", hidden=True),
    ]
    tools = [
        _switch(ids.PAINT, "How the light is drawn", paints, "glow"),
        html.Div(className="pg-exposure", id="exposure-slot"),
        html.Div(
            className="pg-legend", id="legend", hidden=True, **marked({"data-lm-view": "legend"})
        ),
    ]
    return html.Main(
        [
            html.H1("Bed wall, lit as planned", className="lm-visually-hidden"),
            html.Div([*frames, html.Div(id=ids.HAND, className="pg-hand")], className="lm-views"),
            html.Div(tools, className="lm-stage-tools"),
        ],
        className="lm-stage",
        id="stage",
        tabIndex="-1",
    )


def _walk() -> list[Any]:
    return [
        html.Div(id=ids.PLACES, className="pg-places"),
        html.Div(  # filled at first use: its library is large
            id=ids.WALK,
            className="pg-walk",
            role="img",
            **marked({"aria-label": "The lit room as seen from the chosen place"}),
        ),
    ]


def _answers() -> Any:
    return html.Aside(
        [
            html.Div(id=ids.STUDY_TROUBLE),
            html.Div(
                html.P("Reckoning the light ...", className="lm-small"),
                id=ids.ANSWERS,
                className="pg-answers",
            ),
            html.Div(
                [
                    _opener("Find plans", "find", "lm-button"),
                    _opener("Lux maps", "maps", "lm-button is-quiet"),
                    _opener("Two setups side by side", "compare", "lm-button is-quiet"),
                    _opener("Plugs", "plugs", "lm-button is-quiet"),
                    _opener("All things", "thing", "lm-button is-quiet"),
                ],
                className="lm-tools",
            ),
            html.P(
                "Left and right are as you face the bed. Nothing here replaces local code, labels "
                "or a licensed electrician.",
                className="lm-small",
            ),
        ],
        className="lm-answers",
        id="answers-column",
        tabIndex="-1",
        **marked({"aria-label": "Answers"}),
    )


def _setups() -> Any:
    return html.Section(
        id=ids.SETUPS,
        className="lm-setups",
        **marked({"aria-label": "Setups: which lights are on"}),
    )


def _drawers(examples: Sequence[tuple[str, str, str]]) -> list[Any]:
    begin = [
        html.P(
            "Answer what you know, in any unit, and watch the room follow; skip the rest. It is a "
            "plan of its own: the one before stays kept, and Undo brings it back."
        ),
        html.Div(id=ids.BEGIN, className="pg-begin"),
        _act("begin", "Make this room", "lm-button is-main"),
        html.P(
            "Each answer makes the room anew. Once you have moved things by hand, go on with "
            "Your room and Add.",
            className="lm-small",
        ),
        html.Div(
            [_opener("Your room", "start", "lm-button"), _opener("Add", "add", "lm-button")],
            className="lm-tools",
        ),
    ]
    start = [
        _opener("Another room: begin with an empty one", "begin", "lm-button is-quiet"),
        html.P(
            "Measure, type in any unit, and watch the room follow. What you do not know can stay."
        ),
        html.Div(id=ids.START, className="lm-start-grid"),
        html.P("Then drag the lights to where you think they should go.", className="lm-small"),
    ]
    shelf = [
        _act("open-file", "Open a plan from a file", "lm-button is-main"),
        html.P("or drop one anywhere on this page.", className="lm-small"),
        html.Section(
            [
                html.H3("Kept on this computer"),
                html.P(
                    "Every change is kept by itself, with the last versions of each plan.",
                    className="lm-small",
                ),
                html.Ul(id="kept-plans", className="pg-kept"),
            ],
            hidden=True,
            **marked({"data-kept-section": ""}),
        ),
        html.H3("To start from"),
        _opener("An empty room, in six questions", "begin"),
        html.P("or one of these examples:", className="lm-small"),
        html.Div(examples_panel(examples), className="pg-examples"),
    ]
    maps = [
        html.P("The same colour is the same lux on every plane and in every setup."),
        html.Div(id=ids.MAPS, className="pg-maps"),
    ]
    finding = [
        html.Div(id=ids.FIND, className="pg-find-form"),
        html.Div(
            [
                _act("find", "Find plans", "lm-button is-main"),
                html.Button(
                    "Stop",
                    type="button",
                    id="find-stop",
                    className="lm-button is-quiet",
                    hidden=True,
                    **marked({"data-act": "find-stop"}),
                ),
            ],
            className="pg-find-do",
        ),
        html.P(id="find-state", role="status"),
        html.Progress(id="find-bar", value="0", max="1", hidden=True),
        html.P(
            "Found for the plan as it was before: find again.",
            id="find-old",
            className="lm-small",
            hidden=True,
        ),
        html.Div(id="found", className="pg-found"),
    ]
    return [
        _drawer("start", "Your room in eight measurements", start),
        _drawer("begin", "An empty room, in six questions", begin),
        _drawer("add", "Things to add", html.Div(id=ids.THINGS_TO_ADD)),
        _drawer("open", "Open", shelf),
        _drawer("power", "Where the power goes", html.Div(id=ids.LOAD_TREE)),
        _drawer("plugs", "What plugs into what", html.Div(id=ids.PLUGS)),
        _drawer("cautions", "Cautions", html.Div(id=ids.CAUTIONS)),
        _drawer("thing", "All its numbers", html.Div(id=ids.THING)),
        _drawer("setup", "This setup", html.Div(id=ids.THIS_SETUP)),
        _drawer("maps", "Lux maps", maps),
        _drawer("find", "Find plans that meet your wishes", finding),
        _drawer(
            "heights",
            "Higher or lower",
            html.Div(html.P("Trying every height ..."), id=ids.HEIGHTS),
        ),
        _drawer(
            "compare",
            "Two setups side by side",
            html.Div(html.P("Holding two setups together ..."), id=ids.COMPARE),
        ),
    ]


def _drawer(name: str, title: str, inside: Any) -> Any:
    close = html.Button(
        "×",
        type="button",
        className="lm-round",
        **marked({"data-closes": name, "aria-label": "Close"}),
    )
    return html.Section(
        [
            html.Div([html.H2(title, tabIndex="-1"), close], className="lm-drawer-head"),
            html.Div(
                inside,
                className="lm-drawer-body",
                tabIndex="0",  # the arrow keys scroll it
                role="group",
                **marked({"aria-label": title}),
            ),
        ],
        className="lm-drawer",
        id=f"drawer-{name}",
        hidden=True,
        **marked({"aria-label": title}),
    )
