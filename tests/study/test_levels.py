"""Asked and given levels: light and power agree, whatever dims a light or does not."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.scenario.document import Scenario, parse
from lumen.study.lighting.maps import levels_of, lighting
from lumen.study.load.electrics import electrics
from lumen.study.scene.levels import dimming, given_levels
from lumen.study.study import study
from tests.study.small_plans import QUIET


def plan(
    light: dict[str, Any] | None = None,
    lamp: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    level: float = 0.5,
) -> Scenario:
    """A light of 10 W behind a receiver, asked for a level in one setup and full in another."""
    return parse(
        {
            **QUIET,
            "region": "EU",
            "supply": [
                *QUIET["supply"],
                {
                    "id": "receiver",
                    "kind": "receiver",
                    "fed_from": "far outlet",
                    "standby_w": 0,
                    **(receiver or {}),
                },
            ],
            "lights": [
                {
                    "id": "lamp",
                    "mount_m": [0.8, 3.0, 1.3],
                    "fed_from": "receiver",
                    "lamp": {"flux_lm": 800, "power_w": 10, "power_factor": 1, **(lamp or {})},
                    **(light or {}),
                }
            ],
            "setups": [
                {"id": "part", "levels": {"lamp": level}},
                {"id": "full", "levels": {"lamp": 1}},
            ],
        }
    )


CASES = [
    ({}, {}, {}, 0.5, 0.5),  # nobody says what dims it: as asked
    ({"dims": False}, {}, {}, 0.5, 1.0),
    ({"dims": False}, {}, {}, 0.0, 0.0),
    ({}, {}, {"dims": False}, 0.3, 1.0),  # a receiver that only switches
    ({"dimmer": True}, {}, {"dims": False}, 0.3, 0.3),  # but the light has its own dimmer
    ({"dimmer": False}, {}, {}, 0.3, 1.0),
    ({"dimmer": False}, {}, {"dims": True}, 0.3, 0.3),
    ({}, {"lowest_level": 0.2}, {"dims": True}, 0.05, 0.2),
    ({}, {"lowest_level": 0.2}, {"dims": True, "lowest_level": 0.4}, 0.05, 0.4),
    ({"dimmer": True, "lowest_level": 0.1}, {}, {"dims": True, "lowest_level": 0.4}, 0.2, 0.2),
    ({"dimmer": True, "lowest_level": 0.1}, {}, {}, 0.0, 0.0),
]


@pytest.mark.parametrize(("light", "lamp", "receiver", "asked", "want"), CASES)
def test_light_and_watts_follow_the_level_that_is_given(
    light: dict[str, Any],
    lamp: dict[str, Any],
    receiver: dict[str, Any],
    asked: float,
    want: float,
) -> None:
    """Lux and watts of a setup, over those at full, are both the level that is really given."""
    scenario = plan(light, lamp, receiver, asked)
    assert given_levels(scenario, "part").get("lamp", 0.0) == want
    assert levels_of(scenario, "part", {}) == given_levels(scenario, "part")
    lit, drawn = lighting(scenario), electrics(scenario)
    lux = [lit.answer("floor", setup).average_lx for setup in ("part", "full")]
    watts = [drawn.trees[setup]["lamp"].watts_in for setup in ("part", "full")]
    assert lux[0] / lux[1] == pytest.approx(want)
    assert watts[0] / watts[1] == pytest.approx(want)


@given(
    dims=st.booleans(),
    own=st.sampled_from([None, True, False]),
    switch=st.sampled_from([None, True, False]),
    low=st.floats(0, 1),
    asked=st.floats(0, 1),
)
@settings(max_examples=60, deadline=None)
def test_a_given_level_is_off_full_or_within_what_the_labels_allow(
    dims: bool, own: bool | None, switch: bool | None, low: float, asked: float
) -> None:
    """Off stays off, full stays full, nothing lies under the lowest level, watts agree."""
    scenario = plan({"dims": dims, "dimmer": own}, {"lowest_level": low}, {"dims": switch}, asked)
    found = given_levels(scenario, "part").get("lamp", 0.0)
    rule = dimming(scenario)["lamp"]
    assert (found == 0.0) == (asked == 0.0)
    assert found == 0.0 or found >= max(asked, low if rule.by else 0.0) or rule.on_off
    assert found in (0.0, 1.0) or not rule.on_off
    watts = electrics(scenario).trees["part"]["lamp"].watts_in
    assert watts == pytest.approx(10 * found, abs=1e-9)


def test_the_study_hands_its_rules_to_whatever_relights_by_itself() -> None:
    """``dimming`` of the study says which lights are on or off and how low the others go."""
    found = study(plan({"dimmer": True}, {"lowest_level": 0.2})).to_json()
    assert found["dimming"] == {"lamp": {"on_off": False, "lowest": 0.2, "by": ["lamp"]}}
    planes = {(p["target"], p["setup"]): p["average_lx"] for p in found["planes"]}
    assert planes["floor", "part"] == pytest.approx(planes["floor", "full"] / 2, rel=1e-5)
