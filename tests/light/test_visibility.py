"""Segments against solids: the exact intervals agree with brute force."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lumen.light.geometry import Box, Surface
from lumen.light.room import Room
from lumen.light.visibility import (
    Blocker,
    blockers_of,
    hidden_interval,
    hidden_spans,
    segments_blocked,
    visible_pairs,
)


def random_box(rng: np.random.Generator) -> Box:
    """A turned, leaning box near the origin."""
    q, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return Box(rng.uniform(-0.5, 0.5, 3), rng.uniform(0.1, 0.6, 3), q)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 100_000))
def test_hidden_interval_is_what_sampling_finds(seed: int) -> None:
    """The interval of a line hidden by a turned box agrees with 4,000 single segments."""
    rng = np.random.default_rng(seed)
    blocker = Blocker.of_box(random_box(rng))
    points = rng.uniform(-3, 3, (10, 3))
    a, b = rng.uniform(-3, 3, (2, 3))
    t = (np.arange(4000) + 0.5) / 4000

    t0, t1 = hidden_interval(points, a, b, blocker)

    sampled = segments_blocked(points[:, None], a + t[None, :, None] * (b - a), [blocker])
    inside = (t > t0[:, None]) & (t < t1[:, None])
    assert (sampled != inside).sum(axis=1).max() <= 2


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 100_000))
def test_all_pairs_agree_with_single_segments(seed: int) -> None:
    """The single-precision test of all pairs agrees with the exact one but for grazing."""
    rng = np.random.default_rng(seed)
    blockers = [Blocker.of_box(random_box(rng)) for _ in range(4)]
    p, q = rng.uniform(-2, 2, (60, 3)), rng.uniform(-2, 2, (300, 3))

    seen = visible_pairs(p, q, blockers)

    # the same drawing-in by 0.05 mm, so that only single precision differs
    exact = segments_blocked(p[:, None], q[None], blockers, contact_m=5e-5)
    assert (seen == exact).mean() < 1e-3


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 100_000))
def test_spans_of_many_lines_are_the_exact_intervals(seed: int) -> None:
    """The spans that a box, a wall's part or an endless slab hides of many lines, one by one."""
    rng = np.random.default_rng(seed)
    turned = Blocker.of_box(random_box(rng))
    corner = Surface(np.array([[0, 0, 0], [1.2, 0, 0.3], [0.4, 0, 1.0]]) - 0.3, 0.5)
    endless = Blocker(turned.normals[:1], turned.low[:1], np.array([np.inf]))
    points = rng.uniform(-2, 2, (20, 3))
    a, b = rng.uniform(-2, 2, (2, 15, 3))

    for blocker in (turned, *Blocker.behind_surface(corner), endless):
        spans = hidden_spans(points, a, b, blocker)

        for k in range(15):
            t0, t1 = hidden_interval(points, a[k], b[k], blocker, contact_m=5e-5)
            length = np.zeros(20) if spans is None else spans[1][:, k] - spans[0][:, k]
            assert_allclose(np.maximum(length, 0.0), np.maximum(t1 - t0, 0.0), atol=1e-3)
            some = t1 > t0 + 1e-3
            if some.any():
                assert spans is not None
                assert_allclose(spans[0][some, k], t0[some], atol=1e-3)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 100_000))
def test_all_pairs_agree_about_walls_and_endless_slabs(seed: int) -> None:
    """The test of all pairs agrees with the exact one for solids of other than six faces."""
    rng = np.random.default_rng(seed)
    turned = Blocker.of_box(random_box(rng))
    ring = np.array([[0, 0, 0], [1.2, 0, 0.3], [1.4, 0, 0.9], [0.4, 0, 1.0]]) - 0.5
    solids = [*Blocker.behind_surface(Surface(ring, 0.5))]
    solids.append(Blocker(turned.normals[:1], turned.low[:1], np.array([np.inf])))
    p, q = rng.uniform(-2, 2, (40, 3)), rng.uniform(-2, 2, (200, 3))

    seen = visible_pairs(p, q, solids)

    exact = segments_blocked(p[:, None], q[None], solids, contact_m=5e-5)
    assert (seen == exact).mean() < 1e-3


def test_contact_does_not_hide() -> None:
    """A point on a box's own face, or on the floor beside it, still sees along the face."""
    blocker = Blocker.of_box(Box([0, 0, 0.5], [0.5, 0.5, 0.5]))

    assert not segments_blocked([0.0, 0.0, 1.0], [2.0, 0.0, 1.0], [blocker])
    assert not segments_blocked([0.5, 0.0, 0.0], [0.5, 0.0, 2.0], [blocker])
    assert segments_blocked([-1.0, 0.0, 0.5], [1.0, 0.0, 0.5], [blocker])


def _prism(outline: list[list[float]], height: float) -> Room:
    ring = np.array(outline, float)
    low = np.c_[ring, np.zeros(len(ring))]
    high = np.c_[ring, np.full(len(ring), height)]
    walls = [
        Surface(
            np.array([low[i], high[i], high[(i + 1) % len(ring)], low[(i + 1) % len(ring)]]), 0.5
        )
        for i in range(len(ring))
    ]
    surfaces = (Surface(low, 0.2), Surface(high[::-1], 0.8), *walls)
    return Room(surfaces, tuple(map(str, range(len(surfaces)))))


def test_a_convex_room_has_no_blocking_walls() -> None:
    """Walls of a room without a notch never hide inner points."""
    assert blockers_of(_prism([[0, 0], [4, 0], [4, 3], [0, 3]], 2.5)) == ()


@pytest.mark.parametrize(
    ("target", "hidden"),
    [((0.5, 2.8, 1.0), True), ((0.5, 1.2, 1.0), False), ((1.9, 2.9, 1.0), True)],
)
def test_the_notch_of_an_ell_hides(target: tuple[float, ...], hidden: bool) -> None:
    """From the end of one leg, the notch hides what lies round the corner."""
    room = _prism([[0, 0], [4, 0], [4, 1.5], [2, 1.5], [2, 3], [0, 3]], 2.5)

    assert bool(segments_blocked([3.9, 0.9, 1.0], target, blockers_of(room))) is hidden


def test_from_inside_a_solid_everything_is_hidden() -> None:
    """A point within a box sees nothing of a line outside."""
    blocker = Blocker.of_box(Box([0, 0, 0], [1, 1, 1]))

    t0, t1 = hidden_interval(
        np.zeros((1, 3)), np.array([-4, 2, 0.0]), np.array([4, 2, 0.0]), blocker
    )

    assert_allclose([t0[0], t1[0]], [0.0, 1.0])
