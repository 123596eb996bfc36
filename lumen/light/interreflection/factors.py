"""How patches and sensors see one another: form factors times visible fractions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from lumen.light.direct import configuration_factor
from lumen.light.geometry import Floats
from lumen.light.interreflection.mesh import Patches, quad_points
from lumen.light.visibility import Blocker, segments_blocked, visible_pairs

__all__ = ["exchange_areas", "may_hide", "sensor_factors"]

# Four points of a quad, one in each quarter, off the symmetry lines; and a second such set.
_QUARTERS_A = (np.array([0.21, 0.71, 0.83, 0.33]), np.array([0.17, 0.29, 0.79, 0.67]))
_QUARTERS_B = (np.array([0.67, 0.79, 0.29, 0.17]), np.array([0.33, 0.83, 0.71, 0.21]))
_PAIRINGS = ((0, 2), (1, 3), (2, 0), (3, 1))
_GUARD = 0.03
_ROWS = 192
_PAIRS = 1000  # at a time: pieces that stay in the processor's cache
_LATTICE, _LATTICE_STEP = 13, 8  # two of Fibonacci's numbers: even in both directions


def exchange_areas(
    patches: Patches, blockers: Sequence[Blocker], *, rays: int = 6, seed: int = 1
) -> Floats:
    """Exchange areas A_i F_ij (N, N) [m²] of all pairs of patches, symmetric.

    Notes
    -----
    Configuration factors are taken from points of the smaller patch to the whole larger one,
    exactly for near pairs, by the midpoint kernel for far ones. A pair that some probing segments
    find partly hidden is weighted by its visible fraction, each segment counting with the
    kernel cos cos / d² (a plain count is biased). Six rays a pair: against a hundred they move 19
    sensors of 20 by under 0.05 % in all rooms of the tests.
    """
    n = len(patches)
    c, normals = patches.centres, patches.normals
    level = (c * normals).sum(axis=1)
    height = c @ normals.T - level[None, :]  # of centre i over the plane of patch j
    corner_high = np.full((n, n), -np.inf)
    for k in range(4):
        np.maximum(corner_high, patches.corners[:, k] @ normals.T - level[None, :], out=corner_high)
    facing = (corner_high > 1e-6) & (corner_high.T > 1e-6)
    d2 = _squared_distances(c, c)
    far = np.where(facing & (height > 0.0) & (height.T > 0.0), height * height.T, 0.0)
    np.divide(far, np.pi * d2 * d2, out=far, where=d2 > 0.0)
    exchange = far * patches.areas[:, None] * patches.areas[None, :]
    np.fill_diagonal(exchange, 0.0)

    radius = np.maximum(patches.radii[:, None], patches.radii[None, :])
    i, j = np.nonzero(np.triu(facing & (d2 < (5.0 * radius) ** 2), 1))
    exchange[i, j] = _near_exchange(patches, i, j, np.sqrt(d2[i, j]) / radius[i, j])
    exchange[j, i] = exchange[i, j]
    if blockers:
        _dim_hidden(patches, exchange, blockers, rays, np.random.default_rng(seed))
    return exchange


def _squared_distances(a: Floats, b: Floats) -> Floats:
    total = np.zeros((len(a), len(b)))
    for axis in range(3):
        step = a[:, None, axis] - b[None, :, axis]
        total += step * step
    return total


def _near_exchange(
    patches: Patches, i: npt.NDArray[np.intp], j: npt.NDArray[np.intp], closeness: Floats
) -> Floats:
    """Exchange areas of near pairs: exact factors from Gauss points of the smaller patch."""
    swap = patches.areas[i] > patches.areas[j]
    small, large = np.where(swap, j, i), np.where(swap, i, j)
    result = np.zeros(len(i))
    for low, high, points in ((0.0, 1.6, 4), (1.6, 2.8, 2), (2.8, np.inf, 1)):
        rows = np.flatnonzero((closeness >= low) & (closeness < high))
        if not len(rows):
            continue
        s, t, weight = _gauss_square(points)
        p, density = quad_points(patches.corners[small[rows]], s, t)
        m, k = density.shape
        source = np.repeat(large[rows], k)
        points_flat = p.reshape(-1, 3)
        factor = configuration_factor(
            points_flat, np.repeat(patches.normals[small[rows]], k, axis=0), patches.corners[source]
        )
        behind = ((points_flat - patches.centres[source]) * patches.normals[source]).sum(axis=1)
        factor = np.where(behind > 0.0, factor, 0.0)
        mean = (factor.reshape(m, k) * density * weight).sum(axis=1)
        result[rows] = mean * patches.areas[small[rows]]
    return result


def _gauss_square(points: int) -> tuple[Floats, Floats, Floats]:
    nodes, weights = np.polynomial.legendre.leggauss(points)
    s, t = np.meshgrid(0.5 + 0.5 * nodes, 0.5 + 0.5 * nodes, indexing="ij")
    w = np.outer(weights, weights) / 4.0
    return s.ravel(), t.ravel(), w.ravel()


def _dim_hidden(
    patches: Patches,
    exchange: Floats,
    blockers: Sequence[Blocker],
    rays: int,
    rng: np.random.Generator,
) -> None:
    """Multiply exchange areas by visible fractions, in place."""
    n = len(patches)
    sets = [quad_points(patches.corners, *q)[0] for q in (_QUARTERS_A, _QUARTERS_B)]
    guard = (
        np.array([_GUARD, 1 - _GUARD, 1 - _GUARD, _GUARD]),
        np.array([_GUARD, _GUARD, 1 - _GUARD, 1 - _GUARD]),
    )
    corners = quad_points(patches.corners, *guard)[0]
    seen = np.full((n, n), 6, dtype=np.int8)
    for first in range(0, n, _ROWS):
        rows, columns = slice(first, first + _ROWS), slice(first, n)
        count = np.zeros((len(corners[rows]), n - first), dtype=np.int8)
        for k, (p, q) in enumerate(_PAIRINGS):
            one, two = sets[k % 2], sets[(k + 1) % 2]
            count += visible_pairs(one[rows, p], two[columns, q], blockers)
        for p, q in ((0, 2), (2, 0)):
            count += visible_pairs(corners[rows, p], corners[columns, q], blockers)
        seen[rows, columns] = count
    seen = np.minimum(seen, seen.T)
    exchange[seen == 0] = 0.0
    i, j = np.nonzero(np.triu((seen > 0) & (seen < 6) & (exchange > 0.0), 1))
    fraction = _visible_fraction(patches, i, j, blockers, rays, rng)
    exchange[i, j] *= fraction
    exchange[j, i] = exchange[i, j]


def may_hide(blocker: Blocker, one: Floats, two: Floats) -> bool:
    """Whether a solid reaches between two clouds of points, by its own faces."""
    normals, offsets = blocker.half_spaces()
    beyond = (one @ normals.T >= offsets - 1e-5).all(axis=0) & (
        two @ normals.T >= offsets - 1e-5
    ).all(axis=0)
    return not bool(beyond.any())


def _visible_fraction(
    patches: Patches,
    i: npt.NDArray[np.intp],
    j: npt.NDArray[np.intp],
    blockers: Sequence[Blocker],
    rays: int,
    rng: np.random.Generator,
) -> Floats:
    """Kernel-weighted visible fraction of pairs of patches."""
    result = np.zeros(len(i))
    normals = patches.normals.T
    for first in range(0, len(i), _PAIRS):
        a, b = i[first : first + _PAIRS], j[first : first + _PAIRS]
        s1, t1, s2, t2 = _low_discrepancy(len(a), rays, rng)
        p, dp = patches.points_of_rows(a, s1, t1)
        q, dq = patches.points_of_rows(b, s2, t2)
        ray = q - p
        d2 = (ray * ray).sum(axis=0)
        one = np.maximum((ray * normals[:, a, None]).sum(axis=0), 0.0)
        two = np.minimum((ray * normals[:, b, None]).sum(axis=0), 0.0)
        kernel = -one * two / np.maximum(d2, 1e-8) ** 2 * dp * dq
        hidden = segments_blocked(
            p.reshape(3, -1).T, q.reshape(3, -1).T, blockers, contact_m=5e-5
        ).reshape(kernel.shape)
        total = kernel.sum(axis=1)
        seen = np.where(hidden, 0.0, kernel).sum(axis=1)
        np.divide(seen, total, out=result[first : first + _PAIRS], where=total > 0.0)
    return result


def _low_discrepancy(pairs: int, rays: int, rng: np.random.Generator) -> tuple[Floats, ...]:
    """Four parameters (pairs, rays) a ray: an additive recurrence, shifted for every pair."""
    g = 1.16730397826141868  # root of x^5 = x + 1: the recurrence with d = 4
    steps = g ** -np.arange(1, 5.0)[:, None, None] * np.arange(1, rays + 1)
    values = steps % 1.0 + rng.random((4, pairs, 1))
    values -= values >= 1.0
    return tuple(values)


def sensor_factors(
    patches: Patches,
    points: Floats,
    normals: Floats,
    blockers: Sequence[Blocker],
) -> Floats:
    """Configuration factors (n, N) from sensors to patches times the visible fraction."""
    height = patches.corners.reshape(-1, 3) @ normals.T - (points * normals).sum(axis=1)
    above = height.reshape(len(patches), 4, -1).max(axis=1).T > 1e-9
    level = (patches.centres * patches.normals).sum(axis=1)
    lit = points @ patches.normals.T - level > 1e-9
    d2 = _squared_distances(points, patches.centres)
    i, j = np.nonzero(above & lit)
    factors = np.zeros(above.shape)
    near = d2[i, j] < (5.0 * patches.radii[j]) ** 2
    a, b = i[near], j[near]
    factors[a, b] = configuration_factor(points[a], normals[a], patches.corners[b])
    a, b = i[~near], j[~near]
    factors[a, b] = _factor_of_middles(patches, points[a], normals[a], b)
    straddle = np.flatnonzero(factors[a, b] == 0.0)
    factors[a[straddle], b[straddle]] = configuration_factor(
        points[a[straddle]], normals[a[straddle]], patches.corners[b[straddle]]
    )
    if not blockers:
        return factors
    g = _GUARD
    s = np.array([g, 1 - g, 1 - g, g, 0.5])
    t = np.array([g, g, 1 - g, 1 - g, 0.5])
    probes, _ = quad_points(patches.corners, s, t)
    seen = visible_pairs(points, probes.reshape(-1, 3), blockers)
    count = seen.reshape(*factors.shape, len(s)).sum(axis=2, dtype=np.int8)
    factors[count == 0] = 0.0
    i, j = np.nonzero((count > 0) & (count < len(s)) & (factors > 0.0))
    for first in range(0, len(i), _PAIRS):
        a, b = i[first : first + _PAIRS], j[first : first + _PAIRS]
        factors[a, b] *= _visible_fraction_from(points[a], normals[a], patches, b, blockers)
    return factors


def _factor_of_middles(
    patches: Patches, points: Floats, normals: Floats, rows: npt.NDArray[np.intp]
) -> Floats:
    """Factors (m,) from far points to one patch each, by the middles of its quarters."""
    spots, density = (each[rows] for each in patches.middles)
    total = np.zeros(len(rows))
    for k in range(4):
        ray = (spots[:, k] - points).T
        d2 = (ray * ray).sum(axis=0)
        facing = (ray * patches.normals[rows].T).sum(axis=0)
        kernel = np.maximum((ray * normals.T).sum(axis=0), 0.0) * np.maximum(-facing, 0.0)
        total += kernel / (d2 * d2) * density[:, k]
    return np.asarray(total * patches.areas[rows] / (4.0 * np.pi))


def _visible_fraction_from(
    points: Floats,
    normals: Floats,
    patches: Patches,
    rows: npt.NDArray[np.intp],
    blockers: Sequence[Blocker],
) -> Floats:
    """Kernel-weighted visible fraction (m,) of one patch each from points (m, 3).

    Each patch has a lattice of its own, the same for all points: neither do shadows fall in step
    with rows of patches, nor does an answer hang on what else was asked.
    """
    k = np.arange(_LATTICE)
    s = ((k + 0.5) / _LATTICE + 0.7549 * rows[:, None]) % 1.0
    t = ((k * _LATTICE_STEP + 0.5) / _LATTICE + 0.5698 * rows[:, None]) % 1.0
    q, density = patches.points_of_rows(rows, s, t)
    p = np.broadcast_to(points.T[..., None], q.shape)
    ray = q - p
    d2 = (ray * ray).sum(axis=0)
    one = np.maximum((ray * normals.T[..., None]).sum(axis=0), 0.0)
    two = np.minimum((ray * patches.normals.T[:, rows, None]).sum(axis=0), 0.0)
    kernel = -one * two / np.maximum(d2, 1e-8) ** 2 * density
    hidden = segments_blocked(p.reshape(3, -1).T, q.reshape(3, -1).T, blockers)
    total = kernel.sum(axis=1)
    seen = np.where(hidden.reshape(kernel.shape), 0.0, kernel).sum(axis=1)
    return np.asarray(np.divide(seen, total, out=np.zeros(len(rows)), where=total > 0.0))
