"""Wiring only: each callback parses what the page sent, calls one function, returns its answer."""

from __future__ import annotations

import logging
from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, State, no_update, set_props

from lumen.app import commands, figures, ids, panels
from lumen.app.start import measurements
from lumen.scenario.document import parse

__all__ = ["broken", "register"]

Json = dict[str, Any]


def register(app: Dash) -> None:
    """Wire the page of an app."""
    _document(app)
    _words(app)
    _pictures(app)
    _scripts(app)


def broken(error: Exception) -> str:
    """Say that a part of the page could not be made; the others stay and work on.

    Taken by Dash for every callback that raises (``on_error``): its outputs keep what they hold.
    """
    logging.getLogger("lumen").error("a part of the page failed", exc_info=error)
    words = "A part of this page could not be made anew; it shows how things were before."
    set_props(ids.TROUBLE, {"data": {"text": words, "faults": []}})
    return words


def _document(app: Dash) -> None:
    @app.callback(
        Output(ids.DOCUMENT, "data"),
        Output(ids.ANSWERED, "data"),
        Input(ids.COMMAND, "data"),
        State(ids.DOCUMENT, "data"),
        prevent_initial_call=True,
    )
    def apply(command: Json | None, document: Json) -> tuple[Any, Any]:
        """The one writer of the document."""
        if command is None:
            return no_update, no_update
        outcome = commands.run(document, command)
        return outcome.document or no_update, outcome.answered

    @app.callback(
        Output(ids.STUDY, "data"),
        Output(ids.FIELDS, "data"),
        Output(ids.READY, "data"),
        Output(ids.STUDY_TROUBLE, "children"),
        Input(ids.DOCUMENT, "data"),
    )
    def reckon(document: Json) -> tuple[Any, Any, Json, Any]:
        """Light, load and cautions of the document; what fails keeps the old numbers."""
        found = commands.found(document["plan"])
        ready = {"revision": document["revision"], "trouble": found.trouble}
        if found.study is None:
            return no_update, no_update, ready, panels.trouble_panel(found.trouble or "")
        try:
            return commands.study_text(found), commands.packed_fields(found), ready, []
        except Exception as error:
            return no_update, no_update, ready, panels.trouble_panel(broken(error))


def _words(app: Dash) -> None:
    @app.callback(
        Output(ids.STUDY_PANELS, "data"),
        Output(ids.SHOWN, "data"),
        Input(ids.READY, "data"),
        Input(ids.SETUP, "data"),
        State(ids.DOCUMENT, "data"),
        prevent_initial_call=True,
    )
    def say(ready: Json, setup: str, document: Json) -> tuple[Any, Json]:
        """Answers, cautions, load tree and setups in words."""
        found = commands.found(document["plan"])
        shown = {"revision": document["revision"], "setup": setup}
        if found.study is None:
            return no_update, shown
        try:
            return panels.study_panels(found.study, setup), shown
        except Exception as error:
            broken(error)
            return no_update, shown

    @app.callback(
        Output(ids.FORM_PANELS, "data"),
        Input(ids.SELECTION, "data"),
        Input(ids.DOCUMENT, "data"),
        Input(ids.SYSTEM, "data"),
        Input(ids.SETUP, "data"),
    )
    def hold(chosen: list[str], document: Json, system: str, setup: str) -> Json:
        """The forms of what is in the hand, and of the setup on show."""
        return panels.form_panels(parse(document["plan"]), chosen or [], system, setup)

    @app.callback(Output(ids.CHOICE_PANELS, "data"), Input(ids.DOCUMENT, "data"))
    def offer(document: Json) -> Json:
        """What can be added, looked at and stood in."""
        scenario = parse(document["plan"])
        return panels.choice_panels(scenario, figures.places(scenario))

    @app.callback(
        Output(ids.START_PANELS, "data"),
        Input(ids.START_ASKED, "data"),
        Input(ids.SYSTEM, "data"),
        State(ids.DOCUMENT, "data"),
    )
    def ask(asked: int, system: str, document: Json) -> Json:
        """The start card, filled with the room as it stands."""
        return panels.start_panels(measurements(parse(document["plan"]), system))

    @app.callback(
        Output(ids.HEIGHTS_PANELS, "data"),
        Input(ids.HEIGHTS_ASKED, "data"),
        State(ids.DOCUMENT, "data"),
        prevent_initial_call=True,
    )
    def sweep(asked: Json | None, document: Json) -> Any:
        """One light at every height; asked for only while that drawer is open."""
        if asked is None:
            return no_update
        scenario = parse(document["plan"])
        return panels.heights_panels(scenario, asked["light"], asked["setup"], asked["system"])

    @app.callback(
        Output(ids.COMPARE_PANELS, "data"),
        Input(ids.COMPARE_ASKED, "data"),
        State(ids.DOCUMENT, "data"),
        prevent_initial_call=True,
    )
    def side_by_side(asked: Json | None, document: Json) -> Any:
        """Two setups held against each other; asked for only while that drawer is open."""
        found = commands.found(document["plan"])
        if asked is None or found.study is None:
            return no_update
        return panels.compare_panels(found.study, asked["first"], asked["second"])


def _pictures(app: Dash) -> None:
    @app.callback(
        Output(ids.WALK, "children"),
        Input(ids.WALK_ASKED, "data"),
        State(ids.DOCUMENT, "data"),
        prevent_initial_call=True,
    )
    def walk_in(asked: Json | None, document: Json) -> Any:
        """The room from where somebody stands or lies; asked for only while that look is chosen."""
        found = commands.found(document["plan"])
        if asked is None or found.study is None:
            return no_update
        figure = figures.walk_in(found.study, asked["place"], asked["setup"], asked["exposure"])
        return panels.walk_panel(figure)


_MESSAGES = (
    (ids.DOCUMENT, ids.ANSWERED),
    (ids.STUDY, ids.FIELDS),
    (ids.SHOWN, ids.STUDY_PANELS, ids.FORM_PANELS, ids.CHOICE_PANELS, ids.START_PANELS),
    (ids.HEIGHTS_PANELS,),
    (ids.COMPARE_PANELS,),
    (ids.SELECTION, ids.SETUP, ids.SYSTEM),
    (ids.TROUBLE,),
)
"""What the page's own store is told together, as soon as all of it is there."""


def _scripts(app: Dash) -> None:
    """What the browser does by itself: ``assets/begin.js`` takes every message up by its names."""
    join: Any = app.clientside_callback
    for names in _MESSAGES:
        join(ClientsideFunction("page", "told"), *(Input(name, "data") for name in names))
