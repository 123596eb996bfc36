"""The page's search: begun, asked how far it is, stopped; its cards lead to what they say."""

from __future__ import annotations

import html as text_of
import json
import re
import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

import pytest
from flask.testing import FlaskClient

from lumen.app import commands, create_app
from lumen.app.commands import carry_out
from lumen.app.markup import markup
from lumen.app.panels import find_panel
from lumen.app.panels.answers import answers_panel
from lumen.app.patches import patch_svg
from lumen.find.patch import patch
from lumen.scenario.document import dump, plain
from lumen.scenario.files import examples, load
from lumen.study.study import Study, study
from lumen.study.wishes.verdicts import AimResult

PAIR = load(examples()[0])
HERE = {"Host": "127.0.0.1:8765"}
NOTHING: dict[str, list[str]] = {"left light": [], "right light": [], "glow strip": []}


@pytest.fixture(scope="module")
def client() -> Iterator[FlaskClient]:
    """A client of the page's server, without a socket."""
    with create_app().server.test_client() as found:
        yield found


def begun(client: FlaskClient, **asked: Any) -> Any:
    """The answer to a search for the plain pair."""
    body = {"plan": plain(PAIR), **asked}
    return client.post("/find", json=body, headers=HERE)


def ended(client: FlaskClient, job: str) -> dict[str, Any]:
    """What the search says once it is done."""
    for _ in range(1200):
        told: dict[str, Any] = client.get(f"/find/{job}", headers=HERE).get_json()
        if told["done"]:
            return told
        time.sleep(0.1)
    raise AssertionError("the search does not end")


def test_a_card_leads_to_what_it_says(client: FlaskClient) -> None:
    """The command of *Try it* makes a plan that the study finds to meet what the card says."""
    job = begun(client, allow=NOTHING).get_json()["job"]
    told = ended(client, job)
    assert told["trouble"] is None
    said = told["html"]
    assert "Other levels only" in said
    command = json.loads(text_of.unescape(re.findall(r'data-command="([^"]+)"', said)[0]))
    assert command["name"] == "several"
    found = study(carry_out(PAIR, command))
    met = sum(r.state in ("met", "met while new") for r in found.aims)
    assert f"<b>{met} of {len(found.aims)} wishes met</b>" in said
    assert "<svg" in said
    assert "What one wish would have to become" in said


def test_a_search_is_stopped_and_the_next_one_stops_it(client: FlaskClient) -> None:
    """Stopping ends it soon, with what was found; so does another search."""
    first = begun(client).get_json()["job"]
    client.post(f"/find/{first}/stop", json={}, headers=HERE)
    assert "stopped before all was tried" in ended(client, first)["html"]
    second = begun(client).get_json()["job"]
    third = begun(client, allow=NOTHING).get_json()["job"]
    assert "stopped before all was tried" in ended(client, second)["html"]
    ended(client, third)


def test_what_cannot_be_searched_is_told(client: FlaskClient) -> None:
    """A plan that is none, a part that is none, a search that is none: 400 and a sentence."""
    for answer, words in (
        (client.post("/find", json={"plan": {}}, headers=HERE), "must be given"),
        (begun(client, allow={"left light": ["paint"]}), "must be of place, lamp, kind"),
        (client.get("/find/nothing", headers=HERE), "is not known any more"),
    ):
        assert answer.status_code == 400
        assert words in json.dumps(answer.get_json())


def test_the_drawer_lists_wishes_and_what_may_change() -> None:
    """Every limit of every wish can be typed over, every part of every light ticked off."""
    said = markup(find_panel(PAIR))
    assert said.count("data-wish=") == 2 * len(PAIR.aims)  # one that has no limit yet can get it
    assert said.count("data-may=") == 3 * len(PAIR.lights) + len(PAIR.strips)
    assert "no wishes yet" in markup(find_panel(PAIR.model_copy(update={"aims": ()})))
    odd = PAIR.model_copy(
        update={"aims": (PAIR.aims[0].model_copy(update={"id": 'a "b" <c> & d' * 4}),)}
    )
    assert "<c>" not in markup(find_panel(odd))


def test_the_patch_is_drawn_where_the_light_hangs() -> None:
    """One rectangle a cell, a ring round the light's own place, reasons in words."""
    found = patch(PAIR, "left light", step_m=0.3)
    drawn = patch_svg(PAIR, found)
    assert drawn.count("<title>") == len(found.cells)
    assert drawn.count('fill="none" stroke="#f6e9d6" stroke-width="2.5"') == 1
    assert dump(PAIR) == dump(load(examples()[0]))


def test_the_way_to_plans_stands_above_the_answers(found: commands.Found) -> None:
    """How many of all setups' wishes are met, with one press to more; nothing when all are."""
    assert found.study is not None
    shown = markup(answers_panel(found.study, "read left"))
    assert "0 of 8 wishes met" in shown
    assert 'data-opens="find"' in shown
    happy = _with_aims(found.study, [replace(aim, state="met") for aim in found.study.aims])
    shown = markup(answers_panel(happy, "read left"))
    assert "8 of 8 wishes met" in shown
    assert 'data-opens="find"' not in shown
    without = _with_aims(found.study, [])
    assert "wishes met" not in markup(answers_panel(without, "read left"))


def _with_aims(study: Study, aims: Iterable[AimResult]) -> Study:
    """Return a study whose wishes fare as given."""
    other = Study(study.scenario, study.lighting, study.electrics, study.cautions)
    vars(other)["aims"] = tuple(aims)  # where the property keeps what it once found
    return other
