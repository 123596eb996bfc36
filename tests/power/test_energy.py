"""Energy of setups and timetables, standby apart, and the order of changes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import LumenError
from lumen.power.demand import OnTime
from lumen.power.energy import (
    Change,
    Hours,
    cost_of_energy,
    energy_kwh,
    rank_changes,
    unplug_changes,
    year_energy,
    year_energy_from_timetables,
)
from lumen.power.load import Node

PLAN = [
    Node("c", None, "circuit", 230.0),
    Node("r", "c", "receiver", standby_w=1.0),
    Node("d", "r", "driver", 24.0, efficiency=0.8, standby_w=0.5),
    Node("tape", "d", "load", watts=40.0),
    Node("lamp", "c", "load", watts=8.0, standby_w=0.3),
    Node("heater", "c", "load", watts=1000.0),
]


def test_standby_stands_apart() -> None:
    """Two hours of tape and lamp: on 116 Wh a day beyond what waits, waiting reckoned by hand."""
    year = year_energy(PLAN, [Hours("evening", {"tape": 1.0, "lamp": 1.0}, 2.0)])
    # tape 40 W through a driver of 0.8 is 50 W, lamp 8 W; the receiver waits at 1 W all day,
    # lamp 0.3 W and driver 0.5 W for the other 22 hours
    assert year.running_kwh == pytest.approx((50 + 8) * 2 * 365 / 1000, rel=1e-12)
    assert year.standby_by_node["r"] == pytest.approx(8.76, rel=1e-12)
    assert year.standby_by_node["lamp"] == pytest.approx(0.3 * 22 * 365 / 1000, rel=1e-12)
    assert year.standby_by_node["d"] == pytest.approx(0.5 * 22 * 365 / 1000, rel=1e-12)
    assert year.running_by_load == pytest.approx({"tape": 29.2, "lamp": 5.84})
    assert year.total_kwh == pytest.approx(year.running_kwh + year.standby_kwh, rel=1e-12)


def test_two_receivers_and_two_adapters_wait_23_kwh() -> None:
    """Two receivers at 1 W and two adapters at 0.3 W all year are the 23 kWh worked beforehand."""
    plan = [
        Node("c", None, "circuit", 230.0),
        *(Node(f"r{i}", "c", "receiver", standby_w=1.0) for i in "ab"),
        *(Node(f"a{i}", "c", "load", watts=20.0, standby_w=0.3) for i in "ab"),
    ]
    assert year_energy(plan, []).standby_kwh == pytest.approx(23.0, abs=0.5)


@given(st.floats(0.0, 23.0), st.floats(0.0, 24.0), st.floats(0.0, 365.0))
@settings(max_examples=50, deadline=None)
def test_timetable_energy_is_exact(start: float, hours: float, days: float) -> None:
    """A load on for any time of day uses watts times hours, over midnight too."""
    year = year_energy_from_timetables(
        PLAN[:1] + PLAN[5:], {"winter": ([OnTime("heater", start, hours)], days)}
    )
    assert year.total_kwh == pytest.approx(hours * days, rel=1e-9, abs=1e-9)


def test_timetable_and_hours_agree() -> None:
    """The same evening written as hours and as a timetable gives the same year."""
    by_hours = year_energy(PLAN, [Hours("e", {"tape": 0.5, "lamp": 1.0}, 3.5)], tariff_per_kwh=0.3)
    times = [OnTime("tape", 22.0, 3.5, 0.5), OnTime("lamp", 22.0, 3.5)]
    by_times = year_energy_from_timetables(PLAN, {"e": (times, 365.0)}, tariff_per_kwh=0.3)
    assert by_times.total_kwh == pytest.approx(by_hours.total_kwh, rel=1e-12)
    assert by_times.standby_cost == pytest.approx(by_hours.standby_cost, rel=1e-12)
    assert by_times.running_by_setup == pytest.approx(by_hours.running_by_setup)


def test_duty_scales_energy_not_hours() -> None:
    """A thermostat that is on half of the time uses half."""
    year = year_energy(PLAN, [Hours("cold", {"heater": 1.0}, 8.0)], duty={"heater": 0.5}, days=90.0)
    assert year.running_by_load["heater"] == pytest.approx(360.0)


def test_cheapest_change_first() -> None:
    """Free changes lead by saving, then short payback; what saves nothing is left out."""
    changes = [
        Change("dear", 100.0, 100.0),
        Change("quick", 50.0, 5.0),
        Change("nothing", 0.0),
        Change("free, small", 2.0),
        Change("free, big", 9.0),
    ]
    ranked = rank_changes(changes, tariff_per_kwh=0.25)
    assert [r.change.text for r in ranked] == ["free, big", "free, small", "quick", "dear"]
    assert ranked[2].payback_years == pytest.approx(0.4)
    assert rank_changes(changes[:1], tariff_per_kwh=0.0)[0].payback_years == math.inf
    assert unplug_changes(year_energy(PLAN, []))[0].text == "unplug 'r' when it is not in use"


@pytest.mark.parametrize(
    ("setups", "duty", "message"),
    [
        ([Hours("a", {}, 25.0)], {}, r"setups\[0\].hours_per_day must be from 0 to 24"),
        ([Hours("a", {}, 13.0), Hours("b", {}, 13.0)], {}, "more than 24 hours a day"),
        ([], {"x": 0.5}, "duty.'x'. must be the id of a node"),
        ([], {"lamp": 1.5}, "duty.'lamp'. must be from 0 to 1"),
    ],
)
def test_bad_hours_are_refused(setups: list[Hours], duty: dict[str, float], message: str) -> None:
    """Hours over a day, or a duty that cannot be, are refused by name."""
    with pytest.raises(LumenError, match=message):
        year_energy(PLAN, setups, duty=duty)


def test_bad_numbers_are_refused() -> None:
    """Negative energy, tariffs, prices and days are refused."""
    with pytest.raises(LumenError, match="watts"):
        energy_kwh(-1.0, 1.0)
    with pytest.raises(LumenError, match="tariff_per_kwh"):
        cost_of_energy(1.0, math.nan)
    with pytest.raises(LumenError, match="price"):
        rank_changes([Change("x", 1.0, -1.0)], tariff_per_kwh=0.2)
    with pytest.raises(LumenError, match="0 to 366 days"):
        year_energy_from_timetables(PLAN, {"a": ([], 200.0), "b": ([], 200.0)})
