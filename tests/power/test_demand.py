"""A day on the supply tree: every step is a solved tree, and durations are exact."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import LumenError
from lumen.power.demand import (
    OnTime,
    day_demand,
    level_at,
)
from lumen.power.load import Limit, Node

PLAN = [
    Node("c", None, "circuit", 120.0, limits=(Limit(15.0, "breaker", "label"),)),
    Node("r", "c", "receiver", standby_w=1.0, limits=(Limit(10.0, "relay", "label"),)),
    Node("lamp", "r", "load", watts=40.0, standby_w=0.5, power_factor=0.6, electronic=True),
    Node("heater", "c", "load", watts=1500.0, dims=False),
    Node("dryer", "c", "load", watts=1200.0),
]

minutes = st.integers(0, 1440).map(lambda minute: minute / 60)
on_times = st.lists(
    st.builds(
        OnTime,
        st.sampled_from(["r", "lamp", "heater", "dryer"]),
        minutes,
        minutes,
        st.sampled_from([0.0, 0.4, 1.0]),
    ),
    max_size=6,
)


@given(on_times)
@settings(max_examples=60, deadline=None)
def test_every_quarter_hour_is_the_solved_tree(timetable: list[OnTime]) -> None:
    """The whole day at once gives what a tree solved for each step gives."""
    day = day_demand(PLAN, timetable)
    for step in range(0, 96, 7):
        tree = day.at(step / 4)
        for node_id in tree.loads:
            assert day.amperes[node_id][step] == pytest.approx(tree[node_id].amperes, rel=1e-12)
            assert day.watts[node_id][step] == pytest.approx(tree[node_id].watts_in, rel=1e-12)


@given(on_times)
@settings(max_examples=60, deadline=None)
def test_the_closest_hour_is_the_greatest_share(timetable: list[OnTime]) -> None:
    """No limit is used more at any step than the one that is named."""
    day = day_demand(PLAN, timetable)
    assert day.closest is not None
    assert day.closest.share == max(float(np.max(s.share)) for s in day.shares)
    assert day.closest_h is not None
    tree = day.at(day.closest_h)
    assert tree.weakest is not None
    assert tree.weakest.share == pytest.approx(day.closest.share, rel=1e-12)


@given(on_times, st.integers(0, 1439).map(lambda minute: minute / 60))
@settings(max_examples=60, deadline=None)
def test_steps_never_miss_a_load(timetable: list[OnTime], hour: float) -> None:
    """Whatever is on at a moment is on in its quarter hour."""
    day = day_demand(PLAN, timetable)
    exact = level_at(PLAN, timetable, hour)
    step = int(hour * 4)
    for node_id, level in exact.items():
        assert day.levels[node_id][step] >= level


@pytest.mark.parametrize(
    ("times", "lasts"),
    [
        ([("heater", 20.0, 3.0)], True),
        ([("heater", 20.02, 2.97)], False),
        ([("heater", 22.5, 1.5), ("heater", 0.0, 1.5)], True),
        ([("heater", 22.5, 1.5), ("heater", 0.1, 1.5)], False),
        ([("heater", 0.0, 24.0)], True),
        ([("heater", 1.0, 2.0), ("heater", 2.5, 2.0)], True),
        ([], False),
    ],
)
def test_three_hours_to_the_minute(times: list[tuple[str, float, float]], lasts: bool) -> None:
    """A stretch of three hours is continuous, also over midnight; just under is not."""
    found = day_demand(PLAN, [OnTime(*t) for t in times]).continuous
    assert (found == frozenset({"heater"})) is lasts


def test_a_receiver_that_cuts_in_between_ends_the_stretch() -> None:
    """A lamp on all evening behind a receiver that goes off is not continuous."""
    whole = [OnTime("lamp", 18.0, 6.0), OnTime("r", 18.0, 6.0)]
    cut = [OnTime("lamp", 18.0, 6.0), OnTime("r", 18.0, 2.0), OnTime("r", 21.0, 2.5)]
    assert day_demand(PLAN, whole).continuous == {"lamp"}
    assert day_demand(PLAN, cut).continuous == frozenset()
    # open receiver: nothing behind it draws, it waits itself
    assert day_demand(PLAN, cut).watts["c"][int(20.5 * 4)] == pytest.approx(1.0)


def test_sustained_current_is_held_for_three_hours() -> None:
    """A short dryer does not raise the current that is kept up; a heater over midnight does."""
    day = day_demand(PLAN, [OnTime("heater", 22.0, 4.0), OnTime("dryer", 23.0, 0.2)])
    assert day.sustained_amperes["c"] == pytest.approx((1500 + 1.5) / 120, rel=1e-3)
    assert max(day.amperes["c"]) > 22.0
    assert day_demand(PLAN, [OnTime("heater", 22.0, 2.5)]).sustained_amperes["c"] < 0.1


def test_closest_limit_of_a_day() -> None:
    """The breaker comes nearest to its limit when the heater joins the lamp."""
    day = day_demand(PLAN, [OnTime("lamp", 20.0, 3.0), OnTime("heater", 21.0, 9.0)])
    assert day.closest is not None
    assert (day.closest.node_id, day.closest_h) == ("c", 21.0)


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        (OnTime("x", 0.0, 1.0), "node_id must be the id of a node"),
        (OnTime("lamp", 25.0, 1.0), "start_h must be from 0 to 24"),
        (OnTime("lamp", 1.0, -1.0), "hours must be from 0 to 24"),
        (OnTime("lamp", 1.0, 1.0, 2.0), "level must be from 0 to 1"),
    ],
)
def test_bad_times_are_refused(bad: OnTime, message: str) -> None:
    """A timetable entry that cannot be is refused by its place and field."""
    with pytest.raises(LumenError, match=r"timetable\[0\]." + message):
        day_demand(PLAN, [bad])
