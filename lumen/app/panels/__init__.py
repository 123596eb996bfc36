"""The parts of the page that change with the plan, as functions that return components.

Whatever can be pressed carries ``data-command`` (a command to send), ``data-select`` (a thing to
take in the hand), ``data-opens`` (a drawer) or the like; ``assets/page.js`` listens for all of them
in one place. Numbers that follow a dragging hand carry ``data-live`` (see ``assets/live.js``).
"""

from __future__ import annotations

from collections.abc import Iterable

from lumen.app import ids
from lumen.app.markup import markup
from lumen.app.panels.adding import add_panel
from lumen.app.panels.answers import answers_panel
from lumen.app.panels.cautions import cautions_panel, warned_panel
from lumen.app.panels.compare import compare_html
from lumen.app.panels.finding import find_panel, found_panel
from lumen.app.panels.hand import hand_panel, thing_panel
from lumen.app.panels.heights import heights_html
from lumen.app.panels.load_tree import load_tree_panel
from lumen.app.panels.pictures import maps_panel, places_panel, walk_panel
from lumen.app.panels.plugs import plugs_panel
from lumen.app.panels.setups import setup_panel, setups_panel
from lumen.app.panels.starting import begin_panel, examples_panel, start_panel, trouble_panel
from lumen.app.panels.strips import strips_panel
from lumen.app.start import Measurement
from lumen.scenario.document import Scenario
from lumen.study.study import Study

__all__ = [
    "add_panel",
    "answers_panel",
    "cautions_panel",
    "choice_panels",
    "compare_panels",
    "examples_panel",
    "find_panel",
    "form_panels",
    "found_panel",
    "hand_panel",
    "heights_panels",
    "load_tree_panel",
    "maps_panel",
    "places_panel",
    "setup_panel",
    "setups_panel",
    "start_panel",
    "start_panels",
    "strips_panel",
    "study_panels",
    "thing_panel",
    "trouble_panel",
    "walk_panel",
    "warned_panel",
]


def study_panels(study: Study, setup: str) -> dict[str, str]:
    """Return answers, cautions, load tree and setups as HTML, by the id of their place."""
    return {
        ids.ANSWERS: markup(answers_panel(study, setup)),
        ids.CAUTIONS: markup(cautions_panel(study.caution_words)),
        ids.LOAD_TREE: markup(load_tree_panel(study.electrics, setup)),
        ids.PLUGS: markup(plugs_panel(study.electrics)),
        ids.SETUPS: markup(setups_panel(study, setup)),
        ids.WARNED: markup(warned_panel([caution.level for caution in study.cautions])),
    }


def form_panels(
    scenario: Scenario, chosen: Iterable[str], system: str, setup: str = ""
) -> dict[str, str]:
    """Return the forms of what is in the hand and of a setup as HTML, by the id of their place."""
    chosen = list(chosen)
    return {
        ids.HAND: markup(hand_panel(scenario, chosen, system, setup)),
        ids.THING: markup(thing_panel(scenario, chosen, system, setup)),
        ids.THIS_SETUP: markup(setup_panel(scenario, setup, system)),
    }


def choice_panels(scenario: Scenario, places: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return what can be added, wished and looked at as HTML, by the id of its place."""
    return {
        ids.BEGIN: markup(begin_panel()),
        ids.THINGS_TO_ADD: markup(add_panel(scenario)),
        ids.FIND: markup(find_panel(scenario)),
        ids.MAPS: markup(maps_panel(scenario)),
        ids.PLACES: markup(places_panel(places)),
    }


def start_panels(questions: Iterable[tuple[Measurement, str]]) -> dict[str, str]:
    """Return the start card as HTML, by the id of its place."""
    return {ids.START: markup(start_panel(questions))}


def heights_panels(scenario: Scenario, light: str, setup: str, system: str) -> dict[str, str]:
    """Return one light at every height as HTML, by the id of its place."""
    return {ids.HEIGHTS: heights_html(scenario, light, setup, system)}


def compare_panels(study: Study, first: str, second: str) -> dict[str, str]:
    """Return two setups side by side as HTML, by the id of their place."""
    return {ids.COMPARE: compare_html(study, first, second)}
