"""Energy of timetables, standby apart, and the order of changes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import LumenError
from lumen.power.demand import OnTime
from lumen.power.energy import (
    Change,
    YearEnergy,
    cost_of_energy,
    energy_kwh,
    rank_changes,
    unplug_changes,
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


def all_year(times: list[OnTime], plan: list[Node] = PLAN) -> YearEnergy:
    """Energy of a year of one and the same day."""
    return year_energy_from_timetables(plan, {"all year": (times, 365.0)})


def test_standby_stands_apart() -> None:
    """Two hours of tape and lamp: on 116 Wh a day beyond what waits, waiting reckoned by hand."""
    year = all_year([OnTime("tape", 20.0, 2.0), OnTime("lamp", 20.0, 2.0)])
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
    # 2.6 W over 8760 h
    assert all_year([], plan).standby_kwh == pytest.approx(22.8, abs=0.05)


@given(st.floats(0.0, 23.0), st.floats(0.0, 24.0), st.floats(0.0, 365.0))
@settings(max_examples=50, deadline=None)
def test_timetable_energy_is_exact(start: float, hours: float, days: float) -> None:
    """A load on for any time of day uses watts times hours, over midnight too."""
    year = year_energy_from_timetables(
        PLAN[:1] + PLAN[5:], {"winter": ([OnTime("heater", start, hours)], days)}
    )
    assert year.total_kwh == pytest.approx(hours * days, rel=1e-9, abs=1e-9)


def test_dimmed_over_midnight_by_hand() -> None:
    """Half the tape and the lamp from 22:00 for 3.5 hours, day by day, by hand.

    20 W through a driver of 0.8 and 8 W of lamp; 1 W of receiver all day, 0.5 W of driver and
    0.3 W of lamp for the other 20.5 hours.
    """
    times = [OnTime("tape", 22.0, 3.5, 0.5), OnTime("lamp", 22.0, 3.5)]
    year = year_energy_from_timetables(PLAN, {"e": (times, 365.0)}, tariff_per_kwh=0.3)
    assert year.running_by_setup["e"] == pytest.approx(33 * 3.5 * 365 / 1000)
    standby = (1.0 * 24 + 0.8 * 20.5) * 365 / 1000
    assert year.standby_cost == pytest.approx(0.3 * standby)
    assert year.total_cost == pytest.approx(0.3 * (33 * 3.5 * 365 / 1000 + standby))


def test_duty_scales_energy_not_hours() -> None:
    """A thermostat that is on half of the time uses half."""
    cold = {"cold": ([OnTime("heater", 22.0, 8.0)], 90.0)}
    year = year_energy_from_timetables(PLAN, cold, duty={"heater": 0.5})
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
    assert unplug_changes(all_year([]))[0].text == "unplug 'r' when it is not in use"


@pytest.mark.parametrize(
    ("duty", "message"),
    [
        ({"x": 0.5}, "duty.'x'. must be the id of a node"),
        ({"lamp": 1.5}, "duty.'lamp'. must be from 0 to 1"),
    ],
)
def test_bad_duties_are_refused(duty: dict[str, float], message: str) -> None:
    """A duty that cannot be is refused by name."""
    with pytest.raises(LumenError, match=message):
        year_energy_from_timetables(PLAN, {}, duty=duty)


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
