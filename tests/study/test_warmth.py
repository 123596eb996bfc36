"""Heat in closed furniture: everything counts, once, and one number stands on every face."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.study.cautions import cautions
from lumen.study.load.document import power_json
from lumen.study.load.electrics import electrics
from lumen.study.load.warmth import CHARGER_LOSS, inside_of, lying
from lumen.words.cautions import caution_words
from tests.study.caution_parts import driver, receiver, strip
from tests.study.small_plans import appliance, led_strip, light, plan, put

HIDDEN = strip(inside="nightstand", furniture_type=True, into="far outlet")


@given(
    loads=st.lists(st.floats(1.0, 200.0), min_size=0, max_size=3),
    standby=st.floats(0.0, 3.0),
    tape_w=st.floats(1.0, 20.0),
    share=st.floats(0.5, 0.95),
)
@settings(max_examples=60, deadline=None)
def test_all_that_goes_in_by_the_plug_is_heat_when_everything_lies_inside(
    loads: list[float], standby: float, tape_w: float, share: float
) -> None:
    """Energy is kept: the heat in the space is what the hidden power strip draws, to a milliwatt.

    Receivers sit in its holes, a driver and what it feeds lie inside, and appliances do.
    """
    commands = [
        HIDDEN,
        receiver("receiver", "strip", standby_w=standby),
        driver("driver", "receiver", inside="nightstand", efficiency=share, standby_w=0),
        led_strip("tape", "driver", 0.3, tape_w / 0.3, start_m=0.65),
        put("tape", "path_m", [[0.65, 2.8, 0.5], [0.95, 2.8, 0.5]]),
        *(
            appliance(f"thing {n}", "strip", watts, inside="nightstand")
            for n, watts in enumerate(loads)
        ),
    ]
    drawn = electrics(plan("EU", *commands))
    assert drawn.heat["nightstand"].losses_w == pytest.approx(drawn.everything["strip"].watts_in)


def test_a_charger_leaves_its_loss_and_a_heater_all() -> None:
    """15 % of a charger without a label stays in its brick, by our own share; a heater's all."""
    commands = [
        HIDDEN,
        appliance("charger", "strip", 40, charges=True),
        appliance("laptop brick", "strip", 60, charges=True, efficiency=0.88),
        appliance("warmer", "strip", 30, heats=True, efficiency=0.9, inside="nightstand"),
    ]
    drawn = electrics(plan("US", *commands))
    want = CHARGER_LOSS * 40 + (60 / 0.88 - 60) + 30 / 0.9
    assert drawn.heat["nightstand"].losses_w == pytest.approx(want)


def test_one_number_on_every_face() -> None:
    """Warmth, the caution's lines and the JSON hold the same watts and the same air."""
    scenario = plan(
        "UK",
        put("nightstand", "compartment.vent_area_m2", 0),
        HIDDEN,
        appliance("console", "strip", 120, inside="nightstand"),
        light("lamp", "strip", 9, mount="stand", mount_m=[0.8, 2.82, 0.45]),
    )
    drawn = electrics(scenario)
    heat = drawn.heat["nightstand"]
    (written,) = power_json(drawn)["heat"]
    (raised,) = (c for c in cautions(scenario, drawn) if c.rule == 40)
    (words,) = caution_words([raised], scenario)
    lines = {text: value for text, value, _ in words.numbers}
    assert heat.losses_w == pytest.approx(129)
    assert written["losses_w"] == lines["heat made inside"] == heat.losses_w
    assert [part["id"] for part in written["inside"]] == inside_of(scenario)["nightstand"]
    assert sum(part["heat_w"] for part in written["inside"]) == pytest.approx(heat.losses_w)
    assert lines["heat of the console"] == pytest.approx(120)
    assert lines["rise, middle"] == heat.rise_k[1]
    assert raised.level == "stop"


def test_where_things_lie_follows_only_what_sits_in_a_hole() -> None:
    """A receiver and a driver without a place follow the hidden strip, what has one does not."""
    found = lying(
        plan(
            "US",
            HIDDEN,
            receiver("near", "strip"),
            receiver("far", "strip", at_m=[3.0, 1.0, 0.1]),
            appliance("clock", "near", 3),
            driver("driver", "near"),
        )
    )
    assert {name: where.why for name, where in found.items()} == {
        "strip": "given",
        "near": "plugged in there",
        "driver": "plugged in there",
    }
