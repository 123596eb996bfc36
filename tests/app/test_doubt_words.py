"""What to measure next, in words."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.lighting.doubts import Doubt, doubts
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


@pytest.mark.parametrize(("share", "told"), [(0.082, True), (0.078, False)])
def test_a_twelfth_of_the_doubt_is_told(plan: Scenario, share: float, told: bool) -> None:
    """A bulb with 8.2 % of the square of the band is named, one with 7.8 % is not.

    Widths add as squares and the other parts stay, so the width with that share follows from them.
    """

    def bulb_and_others(plan: Scenario) -> tuple[Doubt, float]:
        parts = doubts(lighting(plan), "page:left", "read left")
        (bulb,) = (one for one in parts if (one.what, one.of) == ("lumens", "left light"))
        return bulb, sum(one.half**2 for one in parts if one is not bulb)

    bulb, others = bulb_and_others(plan)
    width = 0.1 * math.sqrt(others * share / (1 - share)) / bulb.half
    flux = [470 * (1 - width), 470 * (1 + width)]
    args = {"field": "lamp.flux_lm", "value": flux}
    drawn = apply(plan, {"name": "set", "id": "left light", "args": args})
    assert bulb_and_others(drawn)[0].share == pytest.approx(share, abs=5e-4)
    assert told == any("the lumens of left light" in line for line in _told(drawn))


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
