"""Where a steady function is zero, against closed forms and a library's root finder."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from lumen.power.roots import root_between


@given(st.floats(1e-6, 1e6))
def test_square_roots(number: float) -> None:
    """The zero of x² - a is the square root of a (IEEE 754 square root is correctly rounded)."""
    found = root_between(lambda x: x * x - number, 0.0, max(1.0, number))
    assert found == pytest.approx(math.sqrt(number), rel=1e-15, abs=1e-300)


@given(st.floats(0.1, 50.0), st.floats(0.0, 20.0), st.floats(0.01, 500.0))
def test_as_the_library_finds_it(slope: float, vent: float, losses: float) -> None:
    """Heat in a vented box, s T + v T^1.5 = P: as scipy's brentq finds it."""

    def surplus(rise: float) -> float:
        return slope * rise + vent * rise**1.5 - losses

    high = 1.01 * losses / slope
    expected = brentq(surplus, 0.0, high, xtol=1e-14, rtol=1e-14)
    assert root_between(surplus, 0.0, high) == pytest.approx(expected, rel=1e-12)


def test_an_end_may_be_the_root() -> None:
    """A zero at either end is returned as it is."""
    assert root_between(lambda x: x, 0.0, 1.0) == 0.0
    assert root_between(lambda x: x - 1.0, 0.0, 1.0) == 1.0


def test_falling_functions_too() -> None:
    """The function may fall as well as rise."""
    assert root_between(lambda x: 3.0 - x, 0.0, 8.0) == 3.0


def test_no_change_of_sign_is_an_error() -> None:
    """Without a zero in between nothing is made up."""
    with pytest.raises(ValueError, match="no change of sign between 1 and 2"):
        root_between(lambda x: x, 1.0, 2.0)
