"""Dots of an LED row: Poisson's sum against adding the LEDs up one by one, and its limits."""

import math

import numpy as np
import pytest

from lumen.errors import GeometryError
from lumen.light.dots import distance_for_contrast, dot_contrast, dots_against_line


@pytest.mark.parametrize("distance", [0.1, 0.3, 0.5, 1.0, 2.0])
def test_closed_sum_is_the_brute_sum(distance):
    """Forty thousand LEDs added up give the closed sum, over the closed integral of the line."""
    along = np.array([0.0, 0.1, 0.25, 0.5])
    places = np.arange(-20000, 20001)
    each = 1 / (distance**2 + (along[:, None] - places) ** 2) ** 2
    line = math.pi / (2 * distance**3)  # integral of the same over a line of one LED a pitch
    found = dots_against_line(along, distance, 1.0)
    np.testing.assert_allclose(found, each.sum(axis=1) / line, rtol=1e-10)


def test_lambertian_points_in_any_attitude():
    """Receiver and facing at any angle about the row: the ripple is that of the distance alone."""
    pitch, gap, height = 0.02, 0.012, 0.009
    places = np.arange(-4000, 4001) * pitch
    facing, normal = np.array([0.6, 0.8]), np.array([-1.0, 0.0])  # in the plane across the row
    along = np.array([0.0, pitch / 3, pitch / 2])
    to_point = np.array([gap, height])
    d2 = gap**2 + height**2 + (along[:, None] - places) ** 2
    lux = ((facing @ to_point) * (-normal @ to_point) / d2**2).sum(axis=1)
    mean = (facing @ to_point) * (-normal @ to_point) * math.pi / (2 * np.hypot(gap, height) ** 3)
    expected = dots_against_line(along, float(np.hypot(gap, height)), pitch)
    np.testing.assert_allclose(lux / (mean / pitch), expected, rtol=1e-7)


def test_mean_of_the_ripple_is_the_line():
    """Over one pitch the dots average to the even line: light is neither lost nor made."""
    along = (np.arange(2000) + 0.5) / 2000
    assert dots_against_line(along, 0.2, 1.0).mean() == pytest.approx(1.0, rel=1e-12)


def test_first_harmonic_far_off():
    """Far off the contrast is 2 (1 + k) e^-k with k = 2 pi distance / pitch (Poisson's sum)."""
    k = math.tau * 1.5
    assert dot_contrast(1.5, 1.0) == pytest.approx(2 * (1 + k) * math.exp(-k), rel=1e-3)
    assert dot_contrast(100.0, 1.0) == 0.0


def test_light_box_test():
    """15 mm in front of a pitch of 16.7 mm looks even: there the contrast is under 5 %.

    Source: a sign maker's light-box test (even at 15 mm); the 5 % is our own limit.
    """
    assert dot_contrast(0.015, 0.0167) < 0.05 < dot_contrast(0.012, 0.0167)


def test_distance_turns_contrast_round():
    """The distance found for a contrast has that contrast."""
    assert dot_contrast(distance_for_contrast(0.2, 0.0083), 0.0083) == pytest.approx(0.2)


@pytest.mark.parametrize("words", [{"distance_m": 0}, {"pitch_m": -1}, {"pitch_m": math.nan}])
def test_sizes_must_be_positive(words):
    """A distance or pitch of nothing is refused."""
    with pytest.raises(GeometryError, match="more than 0"):
        dot_contrast(**{"distance_m": 0.1, "pitch_m": 0.1, **words})


def test_contrast_must_be_a_share():
    """No distance has a contrast of 1 or more."""
    with pytest.raises(GeometryError, match="less than 1"):
        distance_for_contrast(1.0, 0.01)
