"""Cord along a route, the current a cord may carry, and fuses that suit it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lumen.errors import LumenError
from lumen.power.conductors import (
    COILED_SHARE,
    ambient_correction,
    area_from_gauge,
    bundling_correction,
    cord_limit,
    diameter_from_gauge,
    flex_for_fuse,
    flex_resistance_per_metre,
    fuse_for_load,
    fuse_suits_flex,
    resistance_at_temperature,
    resistance_per_metre,
)
from lumen.power.cord import cord_length, drawer_slack, route_length, sold_lengths
from lumen.power.defaults import regions

route = st.lists(st.tuples(*[st.floats(-5.0, 5.0)] * 3), min_size=2, max_size=6)


@given(route)
def test_route_is_at_least_the_straight_line(points: list[tuple[float, float, float]]) -> None:
    """A route is no shorter than its ends lie apart, and the same both ways."""
    length = route_length(points)
    assert length >= math.dist(points[0], points[-1]) - 1e-9
    assert route_length(points[::-1]) == pytest.approx(length, abs=1e-9)


@given(route, st.sampled_from(regions()), st.sampled_from(["extension", "lamp cord", "strip"]))
def test_bought_cord_reaches_and_is_the_shortest(
    points: list[tuple[float, float, float]], region: str, kind: str
) -> None:
    """The sold length reaches, and the next shorter one would not."""
    cord = cord_length(points, region=region, kind=kind)
    sold = sold_lengths(region, kind)
    if cord.buy_m is None:
        assert sold[-1] < cord.needed_m
        return
    assert cord.buy_m >= cord.needed_m - 1e-9
    left = {text: value for text, value, _ in cord.explain}["left over"]
    assert left == pytest.approx(cord.buy_m - cord.needed_m)
    assert all(length < cord.needed_m for length in sold if length < cord.buy_m)


def test_cord_sum_by_hand() -> None:
    """1.5 m of route, 10 % slack, 0.15 m at each end and a drawer of 0.3 m: 2.344 m, buy 2.5 m."""
    cord = cord_length(
        [[0, 0, 0.3], [0, 0, 0], [1.2, 0, 0]],
        region="EU",
        kind="lamp cord",
        extra_m=drawer_slack(0.3),
    )
    assert cord.needed_m == pytest.approx(1.65 + 0.30 + 0.3 + math.pi * 0.03)
    assert cord.buy_m == 2.5
    assert cord.explain[-1] == ("left over", pytest.approx(2.5 - cord.needed_m), "m")


def test_thin_unknown_and_long_cords() -> None:
    """No table reaches: None. A printed rating beats the table and is not assumed."""
    assert cord_limit(region="UK") is None
    assert cord_limit(region="UK", area_mm2=0.4) is None
    assert cord_limit(region="EU", area_mm2=0.5, length_m=3.0) is None
    printed = cord_limit(region="US", awg=18, printed_a=10.0)
    table = cord_limit(region="US", awg=18)
    assert printed is not None
    assert table is not None
    assert (printed.amperes, printed.assumed) == (10.0, False)
    assert (table.amperes, table.assumed) == (7.0, True)


def test_a_cord_from_elsewhere_rounds_down() -> None:
    """An 18 AWG cord in the EU counts as 0.75 mm², a 1.25 mm² cord as 1.0 mm²."""
    gauge = cord_limit(region="EU", awg=18)
    odd = cord_limit(region="EU", area_mm2=1.25)
    assert gauge is not None
    assert odd is not None
    assert (gauge.amperes, odd.amperes) == (6.0, 10.0)


@given(st.floats(-20.0, 59.0), st.integers(2, 20), st.booleans())
def test_no_correction_raises_a_rating(ambient: float, together: int, coiled: bool) -> None:
    """Warm air, bundles and coils only lower what a cord may carry."""
    limit = cord_limit(
        region="US",
        awg=16,
        ambient_c=ambient,
        conductors_together=together,
        coiled=coiled,
    )
    assert limit is not None
    assert limit.amperes <= 13.0 * (COILED_SHARE if coiled else 1.0) + 1e-12


def test_cord_in_air_as_hot_as_itself_carries_nothing() -> None:
    """At 60 °C nothing is left for a 60 °C cord."""
    assert ambient_correction(60.0) == 0.0
    assert ambient_correction(75.0) == 0.0
    assert ambient_correction(10.0) == 1.0
    assert cord_limit(region="US", awg=16, ambient_c=60.0) is None


@given(st.floats(0.1, 10.0))
def test_fine_strands_never_have_less_than_solid_wire(area: float) -> None:
    """A flexible conductor has 0 to 20 % more resistance than a solid one of its size."""
    solid = resistance_per_metre(area)
    assert 0.99 * solid <= flex_resistance_per_metre(area_mm2=area) <= 1.2 * solid


def test_odd_gauge_takes_three_percent_more() -> None:
    """A gauge that the table does not list has 3 % more than solid wire; two sizes are refused."""
    wire = resistance_per_metre(area_from_gauge(20))
    assert flex_resistance_per_metre(awg=20) == pytest.approx(1.03 * wire)
    with pytest.raises(LumenError, match="one of the two"):
        flex_resistance_per_metre(awg=18, area_mm2=0.75)


def test_fuse_and_flex() -> None:
    """13 A needs 1.25 mm²; 0.75 mm² passes only moulded and under 2 m; 0.5 mm² never."""
    assert fuse_suits_flex(3.0, 0.5)
    assert not fuse_suits_flex(13.0, 1.0)
    assert fuse_suits_flex(13.0, 1.25)
    assert fuse_suits_flex(13.0, 0.75, moulded=True, length_m=1.9)
    assert not fuse_suits_flex(13.0, 0.75, moulded=True, length_m=2.0)
    assert not fuse_suits_flex(13.0, 0.75, moulded=True)
    assert not fuse_suits_flex(13.0, 0.5, moulded=True, length_m=1.0)
    assert (fuse_for_load(690.0), fuse_for_load(710.0)) == (3.0, 13.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: route_length([[0.0, 0.0]]), "points_m must be two or more"),
        (lambda: route_length([[0.0, 0.0], [math.nan, 0.0]]), "points_m must hold numbers"),
        (lambda: drawer_slack(-0.1), "travel_m"),
        (lambda: sold_lengths("EU", "rope"), "region, kind"),
        (lambda: cord_length([[0, 0], [1, 0]], region="EU", slack_share=-0.1), "slack_share"),
        (lambda: cord_limit(region="XX", awg=16), "region must be US"),
        (lambda: cord_limit(region="US", awg=16, area_mm2=1.0), "area_mm2 must be left out"),
        (lambda: cord_limit(region="US", printed_a=0.0), "printed_a must be more than 0"),
        (lambda: diameter_from_gauge(50), "awg must be from -3"),
        (lambda: resistance_per_metre(0.0), "area_mm2 must be more than 0"),
        (lambda: resistance_at_temperature(1.0, 20.0, 500.0), "temperature_c"),
        (lambda: ambient_correction(math.nan), "ambient_c"),
        (lambda: ambient_correction(40.0, conductor_c=30.0), "conductor_c"),
        (lambda: bundling_correction(0), "conductors must be from 1 to 20"),
        (lambda: flex_for_fuse(0.0), "fuse_a must be more than 0"),
        (lambda: fuse_for_load(-1.0), "watts"),
    ],
)
def test_bad_input_is_refused(call: object, message: str) -> None:
    """Each refusal names the field and its rule."""
    assert callable(call)
    with pytest.raises(LumenError, match=message):
        call()
