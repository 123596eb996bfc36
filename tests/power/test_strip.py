"""The strip's closed forms against a nodal solve of the same strip, and its identities."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.sparse import diags
from scipy.sparse.linalg import spsolve

from lumen.errors import LumenError
from lumen.power.strip import (
    Tape,
    cut_plan,
    dark_volts,
    reels_needed,
    tape_state,
)

Array = NDArray[np.float64]


def nodal(tape: Tape, groups: int) -> tuple[Array, Array, float]:
    """Solve a strip of separate groups by its node equations: places, volts, current drawn.

    Group k sits in the middle of its unit; feed cords are resistors to the supply. A regulated
    group is a fixed current over its knee and a steep conductance under it, found by iteration.
    """
    dark = dark_volts(tape.volts) if tape.dark_v is None else tape.dark_v
    unit = tape.length_m / groups
    places = (np.arange(groups) + 0.5) * unit
    between = 1.0 / (tape.loop_ohm_per_m * unit)
    nominal = tape.watts_per_m / tape.volts * unit
    feeds: Array = np.zeros(groups)
    to_first = tape.feed_ohm + tape.loop_ohm_per_m * unit / 2
    if tape.feed in ("start", "both"):
        feeds[0] += 1.0 / to_first
    if tape.feed in ("end", "both"):
        feeds[-1] += 1.0 / to_first
    links = np.full(groups - 1, between)
    if tape.feed == "middle":
        # the cord ends at a node of its own between the two middle groups
        assert groups % 2 == 0
        half = groups // 2
        star = np.array([2 * between, 2 * between, 1.0 / max(tape.feed_ohm, 1e-12)])
        links[half - 1] = star[0] * star[1] / star.sum()
        feeds[half - 1] += star[0] * star[2] / star.sum()
        feeds[half] += star[1] * star[2] / star.sum()
    regulated = np.full(groups, tape.current == "regulated")
    knee = dark + tape.dropout_v
    slope = nominal / (tape.dropout_v if tape.current == "regulated" else tape.volts - dark)
    for _ in range(200):
        loads = np.where(regulated, 0.0, slope)
        main = feeds + loads
        main[:-1] += links
        main[1:] += links
        matrix = diags([main, -links, -links], [0, 1, -1], format="csc")
        right = feeds * tape.volts + loads * dark - np.where(regulated, nominal, 0.0)
        volts = spsolve(matrix, right)
        wanted = (volts >= knee) & (tape.current == "regulated")
        if np.array_equal(wanted, regulated):
            break
        # move the border one group at a time near the end, so that it settles
        regulated = wanted if np.abs(wanted ^ regulated).sum() > 2 else wanted & regulated
    drawn = np.where(regulated, nominal, slope * (volts - dark))
    return places, volts, float(drawn.sum())


LINEAR = [
    Tape(5.0, 14.4, 12.0),
    Tape(5.0, 14.4, 12.0, feed="end"),
    Tape(5.0, 14.4, 12.0, feed="both"),
    Tape(5.0, 14.4, 24.0, feed="middle"),
    Tape(5.0, 14.4, 24.0, feed="middle", feed_ohm=0.15),
    Tape(10.0, 19.2, 24.0, 0.1, feed_ohm=0.2),
    Tape(2.0, 18.0, 5.0, 0.15, feed="both", feed_ohm=0.05),
    Tape(5.0, 14.4, 12.0, current="regulated", dark_v=8.0),
    Tape(5.0, 14.4, 24.0, current="regulated", feed="both", feed_ohm=0.1),
    Tape(5.0, 14.4, 24.0, current="regulated", feed="middle", feed_ohm=0.1),
]


@pytest.mark.parametrize("tape", LINEAR, ids=str)
def test_closed_form_equals_a_fine_nodal_solve(tape: Tape) -> None:
    """With 8000 groups the nodal solve agrees with the closed form to 1e-6."""
    places, volts, amperes = nodal(tape, 8000)
    state = tape_state(tape, places)
    np.testing.assert_allclose(state.volts, volts, rtol=1e-6)
    assert state.amperes == pytest.approx(amperes, rel=1e-6)


@pytest.mark.parametrize(
    "tape",
    [
        Tape(5.0, 14.4, 12.0, current="regulated"),
        Tape(9.0, 14.4, 12.0, current="regulated", feed_ohm=0.2),
        Tape(14.0, 14.4, 12.0, current="regulated", feed="both"),
        Tape(5.0, 14.4, 12.0, current="regulated", feed_ohm=5.0),
    ],
    ids=str,
)
def test_regulated_tape_out_of_headroom_equals_the_nodal_solve(tape: Tape) -> None:
    """Past its headroom too; 1e-5, because the knee falls between two of 4000 groups."""
    places, volts, amperes = nodal(tape, 4000)
    state = tape_state(tape, places)
    assert state.headroom_v < 0.0
    np.testing.assert_allclose(state.volts, volts, rtol=1e-5)
    assert state.amperes == pytest.approx(amperes, rel=1e-5)


def discrete(tape: Tape, groups: int) -> tuple[Array, float]:
    """Closed form of the ladder itself, fed at its start: w_k = A cosh((N - k + 1/2) theta)."""
    dark = dark_volts(tape.volts)
    unit = tape.length_m / groups
    link = tape.loop_ohm_per_m * unit
    each = tape.watts_per_m / tape.volts * unit / (tape.volts - dark)
    theta = 2 * math.asinh(math.sqrt(link * each) / 2)
    k = np.arange(1, groups + 1)
    shape = np.cosh((groups - k + 0.5) * theta)
    current = (math.cosh((groups + 0.5) * theta) - shape[0]) / link
    scale = (tape.volts - dark) / (shape[0] + (link / 2 + tape.feed_ohm) * current)
    return dark + scale * shape, scale * current


@pytest.mark.parametrize("tape", [LINEAR[0], LINEAR[5]], ids=str)
def test_real_groups_equal_the_ladders_own_closed_form(tape: Tape) -> None:
    """A strip cut into its real 50 mm groups agrees with the ladder's closed form to 1e-9."""
    groups = round(tape.length_m / 0.05)
    places, volts, amperes = nodal(tape, groups)
    exact, current = discrete(tape, groups)
    np.testing.assert_allclose(volts, exact, rtol=1e-9)
    assert amperes == pytest.approx(current, rel=1e-9)
    # and the continuous line that we use is this far from the real strip
    np.testing.assert_allclose(tape_state(tape, places).volts, volts, rtol=2e-5)


tapes = st.builds(
    Tape,
    length_m=st.floats(0.2, 20.0),
    watts_per_m=st.floats(1.0, 25.0),
    volts=st.sampled_from([5.0, 12.0, 24.0, 48.0]),
    loop_ohm_per_m=st.floats(0.01, 1.0),
    feed=st.sampled_from(["start", "end", "both", "middle"]),
    current=st.sampled_from(["resistor", "regulated"]),
    feed_ohm=st.floats(0.0, 1.0),
)


@given(tapes)
@settings(max_examples=200, deadline=None)
def test_any_tape_keeps_its_energy_and_bounds(tape: Tape) -> None:
    """Power in is power in cord, copper and groups; light is 0 to 1 and falls from the feed."""
    state = tape_state(tape)
    assert 0.0 < state.amperes <= state.nominal_w / tape.volts * (1 + 1e-9)
    assert np.all((state.relative_flux >= 0.0) & (state.relative_flux <= 1.0 + 1e-9))
    assert state.least_flux <= float(state.relative_flux.min()) + 1e-9
    fine = tape_state(tape, np.linspace(0.0, tape.length_m, 20001))
    groups_w = np.trapezoid(
        fine.volts * fine.relative_flux * tape.watts_per_m / tape.volts, fine.stations_m
    )
    assert state.watts == pytest.approx(state.feed_loss_w + state.track_loss_w + groups_w, rel=2e-4)
    mean = np.trapezoid(fine.relative_flux, fine.stations_m) / tape.length_m
    assert state.mean_flux == pytest.approx(mean, rel=2e-4)
    if tape.feed == "start":
        assert np.all(np.diff(state.volts) <= 1e-12)


@given(tapes)
@settings(max_examples=60, deadline=None)
def test_both_ends_beat_one_and_halves_agree(tape: Tape) -> None:
    """A second feed never dims; a tape fed at both ends is two of half the length."""
    one = tape_state(replace(tape, feed="start"))
    two = tape_state(replace(tape, feed="both"))
    half = tape_state(replace(tape, feed="start", length_m=tape.length_m / 2))
    assert two.least_flux >= one.least_flux - 1e-12
    assert two.amperes == pytest.approx(2 * half.amperes, rel=1e-9)
    mirrored = tape_state(replace(tape, feed="end"))
    np.testing.assert_allclose(mirrored.volts, one.volts[::-1], rtol=1e-9)


def test_twice_the_volts_quarter_the_share_lost() -> None:
    """Doubling volts halves current and quarters the relative drop, as feeding both ends does."""
    low = tape_state(Tape(5.0, 14.4, 12.0, feed="both"))
    high = tape_state(Tape(5.0, 14.4, 24.0))
    assert low.evenness == pytest.approx(high.evenness, rel=1e-12)
    assert low.watts == pytest.approx(high.watts, rel=1e-12)
    regulated = Tape(5.0, 4.8, 12.0, current="regulated")
    doubled = tape_state(replace(regulated, volts=24.0))
    assert doubled.drop_share == pytest.approx(tape_state(regulated).drop_share / 4, rel=1e-12)
    assert doubled.amperes == pytest.approx(tape_state(regulated).amperes / 2, rel=1e-12)


def test_regulated_drop_is_the_evenly_loaded_line() -> None:
    """With headroom left, a regulated tape loses what the textbook's even load loses.

    ``i r (L x - x^2 / 2)`` up to x, fed at one end; an eighth of the lumped drop, not a half, in
    the middle when fed at both (Principles of Power System, chapter 13).
    """
    tape = Tape(5.0, 4.8, 12.0, current="regulated")
    stations = np.linspace(0.0, 5.0, 11)
    state = tape_state(tape, stations)
    textbook = 0.4 * 0.2 * (5.0 * stations - stations**2 / 2)
    np.testing.assert_allclose(12.0 - state.volts, textbook, rtol=1e-12, atol=1e-12)
    assert state.headroom_v > 0.0
    np.testing.assert_array_equal(state.relative_flux, 1.0)
    both = tape_state(replace(tape, feed="both"))
    assert both.drop_v == pytest.approx(0.4 * 5.0 * 0.2 * 5.0 / 8, rel=1e-9)


def test_ten_metres_of_twelve_watts_lose_half_of_the_lumped_sum() -> None:
    """12 W/m, 10 m at 24 V through 1 ohm of loop lose 2.5 V; a shop's article prints 5 V."""
    # 5 A through all of it would be 5 V; the load is spread, so half
    tape = Tape(10.0, 12.0, 24.0, loop_ohm_per_m=0.1, current="regulated")
    assert tape_state(tape).drop_v == pytest.approx(2.5, rel=1e-9)


def test_short_tape_is_even() -> None:
    """A tape far shorter than its decay length shows no drop."""
    state = tape_state(Tape(0.05, 14.4, 24.0))
    assert state.evenness == pytest.approx(1.0, abs=1e-4)
    assert state.watts == pytest.approx(state.nominal_w, rel=1e-4)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"length_m": 0.0}, "tape.length_m must be more than 0"),
        ({"watts_per_m": math.nan}, "tape.watts_per_m"),
        ({"feed_ohm": -1.0}, "tape.feed_ohm"),
        ({"feed": "left"}, "tape.feed must be start"),
        ({"current": "some"}, "tape.current must be"),
        ({"dark_v": 24.0}, "tape.dark_v must be from 0 to under 24 V"),
        ({"dark_v": 23.8, "current": "regulated"}, "tape.dropout_v must leave room"),
        ({"volts": 7.0}, "volts must be 5, 12, 24 or 48"),
    ],
)
def test_bad_tapes_are_refused(change: dict[str, object], message: str) -> None:
    """A tape that cannot be is refused by its field."""
    with pytest.raises(LumenError, match=message):
        tape_state(replace(Tape(5.0, 9.6), **change))  # type: ignore[arg-type]


def test_stations_must_lie_on_the_tape() -> None:
    """A place beyond the end is refused, not clipped."""
    with pytest.raises(LumenError, match="stations_m must lie from 0 to 5 m"):
        tape_state(Tape(5.0, 9.6), [5.1])


@given(st.floats(0.01, 20.0), st.sampled_from([0.025, 0.05, 0.0625, 0.1]))
def test_cut_plan_is_whole_units(run_m: float, cut_m: float) -> None:
    """Whole units fit, one more would not, and the leftover is under a unit."""
    plan = cut_plan(run_m, cut_m)
    assert plan.used_m <= run_m + 1e-9
    assert plan.leftover_m < cut_m
    assert plan.used_m + plan.leftover_m == pytest.approx(run_m, abs=1e-9)
    assert 2 * plan.each_end_m == plan.leftover_m


@given(st.lists(st.floats(0.1, 12.0), min_size=1, max_size=8))
def test_reels_hold_every_piece(runs: list[float]) -> None:
    """Every whole unit of every run is cut from some reel, and no reel is over full."""
    reels = reels_needed(runs, 0.05, 5.0)
    assert all(sum(reel) <= 5.0 + 1e-9 for reel in reels)
    wanted = sum(cut_plan(run, 0.05).used_m for run in runs)
    assert sum(map(sum, reels)) == pytest.approx(wanted, abs=1e-6)


def test_cut_refusals() -> None:
    """A run or reel of no length is refused."""
    with pytest.raises(LumenError, match="run_m"):
        cut_plan(0.0, 0.05)
    with pytest.raises(LumenError, match="reel_m must hold at least one unit"):
        reels_needed([1.0], 0.1, 0.05)
