"""What to measure next, in words."""

from __future__ import annotations

from typing import Any

import pytest

from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.lighting.maps import lighting
from lumen.words.doubts import measure_next


@pytest.fixture(scope="module")
def plan() -> Scenario:
    """The plain pair."""
    return load(examples()[0])


def _told(plan: Scenario, name: str = "", field: str = "", value: Any = None) -> tuple[str, ...]:
    """The lines in the drawer of the left page, after one field was typed."""
    if name:
        args = {"field": field, "value": value}
        plan = apply(plan, {"name": "set", "id": name, "args": args})
    return measure_next(lighting(plan), "page:left", "read left")


def test_greatest_doubt_comes_first_with_its_share(plan: Scenario) -> None:
    """In the pale room the walls make most of the doubt; the line says how they pull."""
    first, second, *_ = _told(plan)
    assert first.split(" % ")[0].isdigit()
    assert "how pale the room is" in first
    assert "It follows the walls most: a tenth more there makes" in first
    assert "what the shade of left light lets through" in second


def test_wide_range_of_lumens_becomes_the_first(plan: Scenario) -> None:
    """Somebody who typed 200 to 740 lm is told that the bulb's number matters most."""
    first = _told(plan, "left light", "lamp.flux_lm", [200, 740])[0]
    assert "the lumens of left light (give or take 57 % by itself)" in first
    assert "You typed a range" in first


def test_a_beam_asks_for_its_file(plan: Scenario) -> None:
    """A spot straight at the page: its bulb, then how tight its beam is."""
    beam = {"form": "beam", "beam_deg": 36}
    aimed = apply(
        plan,
        {
            "name": "set",
            "id": "left light",
            "args": {"field": "aim", "value": {"at": "page:left"}},
        },
    )
    told = _told(aimed, "left light", "distribution", beam)
    assert "the lumens of left light" in told[0]
    assert any("how tight the beam of left light is" in line for line in told)


def test_dark_answers_say_nothing(plan: Scenario) -> None:
    """Where nothing shines nothing is to be measured."""
    lit = lighting(plan)
    assert not any(measure_next(lit, target.id, "all off") for target in lit.targets)
