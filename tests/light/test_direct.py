"""Direct light against published examples, closed forms and brute force."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lumen.errors import GeometryError
from lumen.light.direct import (
    DISC_POINTS,
    DISC_WEIGHTS,
    configuration_factor,
    illuminance_from_line,
    illuminance_from_panel,
    illuminance_from_point,
    illuminance_from_rectangle,
    illuminance_from_strip,
)
from lumen.light.geometry import Box, unit
from lumen.light.sources import PanelSource, PointSource, StripSource
from lumen.light.visibility import Blocker, segments_blocked

REFERENCE = Path(__file__).parents[1] / "reference"
UP = np.array([0, 0, 1.0])


def rows(name: str) -> list[dict[str, str]]:
    """Rows of one reference file."""
    with (REFERENCE / name).open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


@dataclass
class Power:
    """I = I0 cos^m of the angle from the nadir; m = 0 is even all round."""

    flux_lm: float
    m: float

    def intensity(self, directions: np.ndarray) -> np.ndarray:
        if self.m == 0:
            return np.full(directions.shape[:-1], self.flux_lm / (4 * np.pi))
        peak = self.flux_lm * (self.m + 1) / (2 * np.pi)
        return peak * np.maximum(-directions[..., 2], 0) ** self.m


@pytest.mark.parametrize(
    "row", rows("line_source.csv"), ids=lambda r: f"{r['case']} {r['beta_deg']}"
)
def test_line_source_published(row: dict[str, str]) -> None:
    """A diffuse line gives the illuminance and aspect factors of the handbooks."""
    if row["quantity"] == "illuminance":
        half, height = float(row["length_m"]) / 2, float(row["height_m"])
        actual = illuminance_from_line(
            [0, 0, 0], UP, [-half, 0, height], [half, 0, height], -UP, 1880 / np.pi**2
        )
    else:
        length = min(np.tan(np.radians(float(row["beta_deg"]))), 1e7)
        normal = UP if row["quantity"] == "parallel" else np.array([1.0, 0, 0])
        actual = illuminance_from_line([0, 0, 0], normal, [0, 0, 1], [length, 0, 1], -UP, 1.0)

    assert actual[0] == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_infinite_line() -> None:
    """A very long diffuse line gives pi I'/(2 d) (IES Lighting Handbook 1947, p. 8-41)."""
    actual = illuminance_from_line([0, 0, 0], UP, [-1e6, 0, 0.7], [1e6, 0, 0.7], -UP, 50.0)

    assert actual[0] == pytest.approx(np.pi * 50 / (2 * 0.7), rel=1e-9)


@pytest.mark.parametrize("row", rows("panel.csv"), ids=lambda r: r["case"])
def test_panel_computed_apart(row: dict[str, str]) -> None:
    """A square panel gives the values of the contour formula at four places."""
    x0, x1, y0, y1 = (float(v) for v in row["corners"].split())
    panel = [[x0, y0, 2], [x0, y1, 2], [x1, y1, 2], [x1, y0, 2]]
    normal = [float(v) for v in row["normal"].split()]

    actual = illuminance_from_rectangle([0, 0, 0], normal, panel, 1000 * np.pi)

    assert actual[0] == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def element_rows() -> list[dict[str, str]]:
    """Rows for a surface element and a rectangle."""
    return [r for r in rows("form_factors.csv") if r["kind"].startswith("element")]


@pytest.mark.parametrize("row", element_rows(), ids=lambda r: f"{r['kind']} {r['a']} {r['b']}")
def test_configuration_factor_grid(row: dict[str, str]) -> None:
    """Element to rectangle agrees with the catalogue's closed forms, and with them to 1e-12."""
    x, y = float(row["a"]), float(row["b"])
    if row["kind"] == "element parallel":
        rectangle = np.array([[[0, 0, 1], [x, 0, 1], [x, y, 1], [0, y, 1]]])
        a, b = np.sqrt(1 + x * x), np.sqrt(1 + y * y)
        closed = (x / a * np.arctan(y / a) + y / b * np.arctan(x / b)) / (2 * np.pi)
    else:
        # the rectangle stands on the element's plane at distance 1: width x, height y
        rectangle = np.array([[[1, 0, 0], [1, x, 0], [1, x, y], [1, 0, y]]], float)
        b = np.sqrt(1 + y * y)
        closed = (np.arctan(x) - np.arctan(x / b) / b) / (2 * np.pi)

    actual = configuration_factor(np.zeros((1, 3)), UP[None], rectangle)[0]

    assert actual == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
    assert actual == pytest.approx(closed, abs=1e-12)


@pytest.mark.parametrize(
    ("flux", "m", "point", "expected", "tolerance"),
    [
        # inverse square and cosine law: A Textbook of Electrical Technology III, example 49.1
        (1200.0, 0.0, (6.0, 0.0, -8.0), 0.7639, 5e-5),
        # Lambertian, 100 cd, corrected example 49.10 (the book prints 3.93: cosine left out)
        (314.159265, 1.0, (0.0, 0.0, -3.0), 11.111, 5e-4),
        (314.159265, 1.0, (3.0, 0.0, -3.0), 2.778, 5e-4),
    ],
)
def test_point_published(
    flux: float, m: float, point: tuple[float, ...], expected: float, tolerance: float
) -> None:
    """A small light follows the inverse square and cosine laws of the textbooks."""
    actual = illuminance_from_point(point, UP, PointSource(np.zeros(3), Power(flux, m)))

    assert actual[0] == pytest.approx(expected, abs=tolerance)


def test_disc_rule_integrates_degree_five() -> None:
    """The seven-point disc rule has the moments of the unit disc up to degree 4."""
    x, y = DISC_POINTS.T

    assert DISC_WEIGHTS.sum() == pytest.approx(1.0)
    assert (DISC_WEIGHTS * x**2).sum() == pytest.approx(1 / 4)
    assert (DISC_WEIGHTS * x**4).sum() == pytest.approx(1 / 8)
    assert (DISC_WEIGHTS * x**2 * y**2).sum() == pytest.approx(1 / 24)


def test_near_disc_follows_its_closed_form() -> None:
    """A Lambertian opening of 0.2 m seen from 0.5 m gives pi L r²/(r²+h²) within 0.1 %."""
    source = PointSource(np.zeros(3), Power(np.pi * 1000 * np.pi * 0.01, 1.0), size_m=0.2)

    actual = illuminance_from_point([0, 0, -0.5], UP, source)

    assert actual[0] == pytest.approx(np.pi * 1000 * 0.01 / (0.01 + 0.25), rel=1e-3)  # 120.83 lx


def scene(seed: int) -> tuple[np.ndarray, np.ndarray, list[Blocker]]:
    """Random receivers below a source at z = 2, among three turned boxes."""
    rng = np.random.default_rng(seed)
    blockers = []
    for _ in range(3):
        q, _ = np.linalg.qr(rng.normal(size=(3, 3)))
        box = Box(np.r_[rng.uniform(-1, 1, 2), 1.0], rng.uniform(0.1, 0.35, 3), q)
        blockers.append(Blocker.of_box(box))
    points = np.c_[rng.uniform(-1.5, 1.5, (12, 2)), rng.uniform(-0.2, 0.3, 12)]
    normals = unit(rng.normal(size=(12, 3)) + np.array([0, 0, 1.5]))
    return points, normals, blockers


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 10_000))
def test_line_with_shadows_is_what_sampling_finds(seed: int) -> None:
    """A line of uneven brightness among turned boxes agrees with 20,000 small lights."""
    points, normals, blockers = scene(seed)
    a, b = np.array([-1.2, 0.1, 2.0]), np.array([1.1, -0.2, 2.2])
    facing = unit(np.cross(b - a, [0.1, 1.0, 0.0]))
    facing = facing if facing[2] < 0 else -facing
    t = (np.arange(20_000) + 0.5) / 20_000
    spots = a + t[:, None] * (b - a)

    actual = illuminance_from_line(points, normals, a, b, facing, [100, 300], blockers)

    for k in range(len(points)):
        ray = points[k] - spots
        kernel = np.maximum(ray @ facing, 0) * np.maximum(-ray @ normals[k], 0)
        kernel = kernel / (ray**2).sum(axis=1) ** 2 * ~segments_blocked(points[k], spots, blockers)
        expected = ((100 + 200 * t) * kernel).mean() * np.linalg.norm(b - a)
        assert actual[k] == pytest.approx(expected, abs=2e-4 * actual.max() + 1e-9)


@settings(max_examples=4, deadline=None)
@given(st.integers(0, 10_000))
def test_panel_with_shadows_is_what_sampling_finds(seed: int) -> None:
    """A panel among turned boxes with overlapping shadows agrees with 160,000 small lights."""
    points, normals, blockers = scene(seed)
    panel = np.array([[-0.8, -0.5, 2], [-0.8, 0.5, 2], [0.8, 0.5, 2], [0.8, -0.5, 2.0]])
    g = (np.arange(400) + 0.5) / 400
    x, y = np.meshgrid(-0.8 + 1.6 * g, -0.5 + g)
    spots = np.c_[x.ravel(), y.ravel(), np.full(x.size, 2.0)]

    actual = illuminance_from_rectangle(points, normals, panel, 1000.0, blockers)

    for k in range(4):
        ray = points[k] - spots
        kernel = np.maximum(-ray[:, 2], 0) * np.maximum(-ray @ normals[k], 0)
        kernel = kernel / (ray**2).sum(axis=1) ** 2 * ~segments_blocked(points[k], spots, blockers)
        expected = kernel.mean() * 1.6 * 1000 / np.pi
        assert actual[k] == pytest.approx(expected, abs=1e-3 * actual.max() + 1e-9)


def test_strip_near_is_a_band() -> None:
    """25 mm from a 10 mm band the strip agrees with the exact rectangle within 0.01 %."""
    strip = StripSource(np.array([[-0.5, 0, 0], [0.5, 0, 0]]), -UP, 600.0, width_m=0.010)
    band = [[-0.5, -0.005, 0], [-0.5, 0.005, 0], [0.5, 0.005, 0], [0.5, -0.005, 0]]
    points = np.array([[0, 0, -0.025], [0.2, 0.03, -0.02], [0.49, 0.01, -0.1], [0.1, 0.4, -0.3]])

    actual = illuminance_from_strip(points, UP, strip)

    expected = illuminance_from_rectangle(points, UP, band, 600.0 / 0.010)
    assert_allclose(actual, expected, rtol=2e-4)


def test_an_edge_under_a_strip_throws_a_half_shadow() -> None:
    """Where an edge hides half the band's width, half its light arrives, however far away.

    A slab 60 mm below a 10 mm strip ends under its middle line; straight below, 2 m away, one
    half of the band is seen.
    """
    strip = StripSource(np.array([[-0.5, 0, 0], [0.5, 0, 0]]), -UP, 100.0)
    slab = Blocker.of_box(Box([0.0, 0.5, -0.06], [3.0, 0.5, 0.001]))
    below = [[0.0, 0.0, -2.0]]

    half = illuminance_from_strip(below, UP, strip, [slab])[0]

    assert half == pytest.approx(illuminance_from_strip(below, UP, strip)[0] / 2, rel=1e-3)


def test_a_strip_round_a_corner_is_its_parts() -> None:
    """A bent strip of one brightness is the sum of its straight parts."""
    path = np.array([[0, 0, 2], [1, 0, 2], [1, 1, 2.0]])
    points = np.random.default_rng(1).uniform(-1, 1, (20, 3))

    whole = illuminance_from_strip(points, UP, StripSource(path, -UP, 400.0))

    parts = sum(
        illuminance_from_strip(points, UP, StripSource(path[i : i + 2], -UP, 400.0)) for i in (0, 1)
    )
    assert_allclose(whole, parts, rtol=1e-12)


def test_strip_profile_keeps_its_flux() -> None:
    """Stations of a brightness profile give the trapezoid flux, in the pieces as in the whole."""
    strip = StripSource(np.array([[0, 0, 0], [2, 0, 0], [2, 1, 0.0]]), UP, [100, 300, 200, 0.0])
    starts, ends, _, flux = strip.pieces()

    total = (flux.mean(axis=1) * np.linalg.norm(ends - starts, axis=1)).sum()

    assert total == pytest.approx(strip.flux_lm)
    assert strip.flux_lm == pytest.approx((200 + 250 + 100) / 3 * 3)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.1, 20))
def test_direct_light_is_linear(seed: int, factor: float) -> None:
    """Direct light of strip and panel grows in proportion to the flux."""
    points, normals, blockers = scene(seed)
    path = np.array([[-1, 0, 2], [1, 0, 2.0]])
    panel = np.array([[-0.8, -0.5, 2], [-0.8, 0.5, 2], [0.8, 0.5, 2], [0.8, -0.5, 2.0]])

    one = illuminance_from_strip(points, normals, StripSource(path, -UP, 100.0), blockers)
    two = illuminance_from_strip(points, normals, StripSource(path, -UP, 100.0 * factor), blockers)
    three = illuminance_from_panel(points, normals, PanelSource(panel, 100.0), blockers)
    four = illuminance_from_panel(points, normals, PanelSource(panel, 100.0 * factor), blockers)

    assert_allclose(two, factor * one, rtol=1e-9, atol=1e-12)
    assert_allclose(four, factor * three, rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: StripSource([[0, 0, 0]], UP, 1.0), "strip.path"),
        (lambda: StripSource([[0, 0, 0], [0, 0, 0]], UP, 1.0), "strip.path"),
        (lambda: StripSource([[0, 0, 0], [1, 0, 1]], UP, 1.0), "strip.facing"),
        (lambda: StripSource([[0, 0, 0], [1, 0, 0]], UP, -1.0), "strip.flux_per_length"),
        (lambda: PanelSource([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 2, 0]], 1.0), "panel.corners"),
        (lambda: PanelSource([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], -1), "panel.flux_lm"),
        (lambda: PointSource([0, 0, 0], Power(1, 0), np.ones((3, 3))), "light.axes"),
        (lambda: PointSource([0, 0, 0], Power(1, 0), size_m=-1), "light.size_m"),
    ],
)
def test_impossible_sources_are_refused(make: object, field: str) -> None:
    """A source that cannot exist is refused and the field is named."""
    with pytest.raises(GeometryError) as refusal:
        make()  # type: ignore[operator]

    assert refusal.value.field == field
