"""Polygons, boxes and rooms: areas, frames, pieces and refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lumen.errors import GeometryError
from lumen.light.geometry import (
    Box,
    Surface,
    clip_by_plane,
    convex_parts,
    plane_axes,
    points_in_polygon,
    polygon_normal,
)
from lumen.light.room import Room

ELL = np.array([[0, 0], [4, 0], [4, 1.5], [2, 1.5], [2, 3], [0, 3.0]])


def turned(seed: int) -> np.ndarray:
    """A right-handed random frame."""
    q, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    return q if np.linalg.det(q) > 0 else q[::-1] * [[1], [1], [1]]


@given(st.integers(0, 10_000))
def test_box_faces_close_and_look_outward(seed: int) -> None:
    """A turned box's six faces look outward and their area vectors add up to zero."""
    rng = np.random.default_rng(seed)
    box = Box(rng.normal(size=3), rng.uniform(0.1, 2, 3), turned(seed))

    normals = polygon_normal(box.faces())

    outward = box.faces().mean(axis=1) - box.centre
    assert ((normals * outward).sum(axis=1) > 0).all()
    assert_allclose(normals.sum(axis=0), 0.0, atol=1e-12)


def test_convex_parts_cover_an_ell_once() -> None:
    """The convex pieces of an L have its area and every piece turns one way."""
    parts = convex_parts(ELL)

    areas = [np.linalg.norm(polygon_normal(np.c_[p, np.zeros(len(p))])) for p in parts]
    assert sum(areas) == pytest.approx(9.0, rel=1e-12)
    for part in parts:
        edges = np.roll(part, -1, axis=0) - part
        after = np.roll(edges, -1, axis=0)
        assert (edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0] >= -1e-12).all()


def test_points_in_an_ell() -> None:
    """The notch of an L is outside, both legs are inside."""
    points = np.array([[3.0, 0.7], [1.0, 2.5], [3.0, 2.5], [-0.1, 1.0]])

    assert points_in_polygon(points, ELL).tolist() == [True, True, False, False]


@given(st.integers(0, 10_000))
def test_clipping_splits_an_area_in_two(seed: int) -> None:
    """The two sides of a cut add up to the whole polygon."""
    rng = np.random.default_rng(seed)
    quad = np.array([[[0, 0, 0], [2, 0, 0], [2, 1, 0], [0, 1, 0.0]]])
    plane = np.append(rng.normal(size=3), rng.normal() * 0.3)[None]

    one = polygon_normal(clip_by_plane(quad, plane))[0, 2]
    two = polygon_normal(clip_by_plane(quad, -plane))[0, 2]

    assert one + two == pytest.approx(2.0, abs=1e-9)


def test_plane_axes_follow_the_longest_edge() -> None:
    """The frame of a wall has u along its longest edge and n as its normal."""
    axes = plane_axes(np.array([[0, 0, 0], [0, 0, 2], [5, 0, 2], [5, 0, 0.0]]))

    assert abs(axes[0, 0]) == pytest.approx(1.0)
    assert_allclose(axes @ axes.T, np.eye(3), atol=1e-12)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Box([0, 0, 0], [1, 0, 1]), "box.half_size"),
        (lambda: Box([0, 0, 0], [1, 1, 1], np.ones((3, 3))), "box.axes"),
        (lambda: Box([0, 0, np.nan], [1, 1, 1]), "box.centre"),
        (lambda: Surface([[0, 0, 0], [1, 0, 0]], 0.5), "surface.corners"),
        (lambda: Surface([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0.2]], 0.5), "surface.corners"),
        (lambda: Surface([[0, 0, 0], [1, 0, 0], [1, 1, 0]], 1.0), "surface.reflectance"),
        (
            lambda: Room((Surface([[0, 0, 0], [1, 0, 0], [1, 1, 0]], 0.5),), ("floor",)),
            "room.surfaces",
        ),
    ],
)
def test_impossible_shapes_are_refused(make: object, field: str) -> None:
    """A shape that cannot exist is refused and the field is named."""
    with pytest.raises(GeometryError) as refusal:
        make()  # type: ignore[operator]

    assert refusal.value.field == field
