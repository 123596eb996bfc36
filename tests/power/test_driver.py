"""Drivers and breakers: size, class, surge."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lumen.errors import LumenError
from lumen.power.breakers import magnetic_zone
from lumen.power.driver import (
    class_2_limit,
    driver_choice,
    driver_efficiency_floor,
    inrush_band,
    power_factor_assumed,
)


@given(st.floats(0.5, 250.0), st.sampled_from([5.0, 12.0, 24.0, 48.0]), st.booleans())
def test_chosen_driver_keeps_the_practice_and_the_class(
    load_w: float, volts: float, limited: bool
) -> None:
    """The size leaves a fifth free, the one below would not, and no output passes its limit."""
    choice = driver_choice(load_w, volts, limited_outputs=limited)
    assert choice.rating_w is not None
    assert choice.fill <= 0.8 + 1e-9
    if limited:
        assert load_w / choice.outputs <= choice.output_limit_w + 1e-6
    low, high = choice.input_w
    assert load_w < low <= high
    assert choice.input_va[1] >= high


def test_reel_that_passes_one_limited_output() -> None:
    """5 m of 14.4 W/m at 12 V needs two limited outputs; at 24 V one is enough."""
    assert driver_choice(72.0, 12.0).outputs == 2
    assert driver_choice(72.0, 24.0).outputs == 1
    assert driver_choice(72.0, 12.0, limited_outputs=False).outputs == 1
    assert driver_choice(400.0, 24.0).rating_w is None


def test_surge_adds_and_the_line_caps_it() -> None:
    """Several drivers surge more than one; a line of 0.5 ohm lets no more than 650 A through."""
    one, two = inrush_band([0.5], volts=230.0), inrush_band([0.5, 0.5], volts=230.0)
    assert one == (5.0, 50.0)
    assert two == (5.0, 100.0)
    cap = inrush_band([10.0], volts=230.0, line_ohm=0.5)[1]
    assert cap == pytest.approx(math.sqrt(2) * 460.0)
    assert inrush_band([], volts=230.0) == (0.0, 0.0)


def test_power_factor_steps() -> None:
    """Steps of the law for light sources; a separate driver is assumed poor."""
    steps = {4.0: 0.5, 8.0: 0.5, 10.0: 0.5, 10.1: 0.7, 25.0: 0.7, 26.0: 0.9}
    for watts, expected in steps.items():
        assert power_factor_assumed(watts, region="EU", what="light source") == expected
    assert power_factor_assumed(0.0, region="US") == 0.55


def test_breaker_zones() -> None:
    """C and D trip at once from 5 and 10 times, to twice that."""
    assert magnetic_zone(16.0, region="EU", curve="C") == (80.0, 160.0)
    assert magnetic_zone(16.0, region="UK", curve="D") == (160.0, 320.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: driver_efficiency_floor(0.0), "output_w must be more than 0"),
        (lambda: class_2_limit(7.0), "output_v must be 5, 12, 24, 48"),
        (lambda: driver_choice(0.0, 12.0), "load_w must be more than 0"),
        (lambda: driver_choice(10.0, 12.0, fill=0.0), "fill must be"),
        (lambda: driver_choice(10.0, 12.0, power_factor=2.0), "power_factor must be"),
        (lambda: power_factor_assumed(5.0, region="US", what="motor"), "watts, region, what"),
        (lambda: inrush_band([-1.0], volts=230.0), "running_a"),
        (lambda: inrush_band([1.0], volts=0.0), "volts"),
        (lambda: inrush_band([1.0], volts=230.0, line_ohm=0.0), "line_ohm"),
        (lambda: magnetic_zone(0.0, region="EU"), "breaker_a"),
        (lambda: magnetic_zone(16.0, region="US", curve="B"), "region, curve"),
    ],
)
def test_bad_input_is_refused(call: object, message: str) -> None:
    """Each refusal names the field and its rule."""
    assert callable(call)
    with pytest.raises(LumenError, match=message):
        call()
