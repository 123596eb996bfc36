"""Cells: the fine strip-aligned pieces of the patches near a strip."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from lumen.light.direct import illuminance_from_line
from lumen.light.geometry import Bools, Floats, Ints, polygon_normal, unit
from lumen.light.interreflection.mesh import Patches, quad_points
from lumen.light.sources import StripSource
from lumen.light.visibility import Blocker

__all__ = ["DRAG", "FULL", "Cells", "Detail", "cells_of", "distance_from_strip", "near_patches"]


@dataclass(frozen=True)
class Detail:
    """How finely cells follow the strip.

    Attributes
    ----------
    across, along, at_ends : float
        Largest cell size over distance: across the strip, along it, near its ends.
    least_across_m, least_along_m, least_at_ends_m : float
        Sizes that are not split further [m].
    smoother : float
        How much larger cells may be that only see the glow, not the strip.
    points : int
        Points each way across the nearest of the patches that are left whole.
    """

    across: float
    along: float
    at_ends: float
    least_across_m: float
    least_along_m: float
    least_at_ends_m: float
    smoother: float
    points: int


FULL = Detail(0.35, 4.0, 0.7, 0.006, 0.2, 0.06, 1.0, 3)
DRAG = Detail(0.5, 6.0, 1.2, 0.010, 0.3, 0.12, 1.5, 2)


@dataclass(frozen=True, eq=False)
class Cells:
    """Cells of near patches, each a narrow quad treated as a line of light along its middle.

    Attributes
    ----------
    patch : (n,)
        Owning patch.
    low, high : (n,)
        Where the cell begins and ends across its patch, 0 to 1.
    column : (n,)
        Cells with the same number lie above one another.
    column_start, column_end : (columns, 3, 3)
        Three lines across the patch at 1/6, 1/2 and 5/6 of each column [m].
    start, end : (n, 3)
        Middle line along the strip [m].
    across : (n, 3)
        From one long side to the other, at the middle [m].
    corners : (n, 4, 3)
    normal : (n, 3)
    area : (n,)
    """

    patch: Ints
    low: Floats
    high: Floats
    column: Ints
    column_start: Floats
    column_end: Floats
    start: Floats
    end: Floats
    across: Floats
    corners: Floats
    normal: Floats
    area: Floats

    def __len__(self) -> int:
        return len(self.area)

    def subset(self, rows: Ints) -> Cells:
        """Some of the cells; their columns keep their numbers."""
        return Cells(
            self.patch[rows],
            self.low[rows],
            self.high[rows],
            self.column[rows],
            self.column_start,
            self.column_end,
            self.start[rows],
            self.end[rows],
            self.across[rows],
            self.corners[rows],
            self.normal[rows],
            self.area[rows],
        )


def distance_from_strip(points: Floats, strip: StripSource) -> Floats:
    """Distance of points (..., 3) from the strip's run."""
    best = np.full(points.shape[:-1], np.inf)
    for a, b in zip(strip.path[:-1], strip.path[1:], strict=True):
        best = np.minimum(best, _distance_from_segment(points, a, b))
    return best


def _distance_from_segment(points: Floats, a: Floats, b: Floats) -> Floats:
    d = b - a
    t = np.clip((points - a) @ d / (d @ d), 0.0, 1.0)
    return np.asarray(np.linalg.norm(points - a - t[..., None] * d, axis=-1))


def near_patches(
    patches: Patches, blockers: Sequence[Blocker], strip: StripSource, detail: Detail
) -> tuple[Ints, Floats]:
    """Patches that the strip lights too steeply to be left whole, and how far its glow is.

    Returns
    -------
    rows : (n,)
    glow : (n,)
        0 for a patch that the strip lights; for one that only sees the glow, the distance of the
        strip from the nearest lit surface, which the light there cannot be steeper than [m].
    """
    nodes = np.linspace(0.05, 0.95, 5)
    s, t = (g.ravel() for g in np.meshgrid(nodes, nodes))
    spots, _ = quad_points(patches.corners, s, t)
    distance = distance_from_strip(spots, strip).min(axis=1)
    size = _side_lengths(patches.corners).max(axis=1)
    splits = size > np.maximum(detail.across * distance, detail.least_across_m)
    stations = np.concatenate(
        [np.linspace(a, b, 7) for a, b in zip(strip.path[:-1], strip.path[1:], strict=True)]
    )
    ahead = np.einsum("kc,nc->nk", stations, patches.normals) - (
        patches.centres * patches.normals
    ).sum(axis=1, keepdims=True)
    splits &= ahead.max(axis=1) > -2e-3
    rows = np.flatnonzero(splits)
    if not len(rows):
        return rows, np.zeros(0)
    light = np.zeros(len(rows) * len(s))
    flat, facing = spots[rows].reshape(-1, 3), np.repeat(patches.normals[rows], len(s), axis=0)
    for a, b, f in zip(strip.path[:-1], strip.path[1:], strip.facing, strict=True):
        light += illuminance_from_line(flat, facing, a, b, f, 1.0, blockers)
    lit = light.reshape(len(rows), -1).max(axis=1) > 0.0
    beside = lit & (distance[rows] < _BESIDE_M)
    clearance = float(np.abs(ahead[rows[beside]]).min()) if beside.any() else 0.0
    glow = np.where(lit, 0.0, clearance)
    dim = (distance[rows] < _BESIDE_M) & (
        size[rows] > detail.smoother * detail.across * (distance[rows] + glow)
    )
    kept = lit | dim
    return rows[kept], glow[kept]


_BESIDE_M = 0.3


def _side_lengths(corners: Floats) -> Floats:
    """Mean lengths (N, 2) of the first and second pair of sides."""
    a, b, c, d = (corners[:, i] for i in range(4))
    one = 0.5 * (np.linalg.norm(b - a, axis=1) + np.linalg.norm(c - d, axis=1))
    two = 0.5 * (np.linalg.norm(d - a, axis=1) + np.linalg.norm(c - b, axis=1))
    return np.stack([one, two], axis=1)


def cells_of(
    patches: Patches, chosen: Ints, glow: Floats, strip: StripSource, detail: Detail
) -> Cells:
    """Split chosen patches: across the strip by distance, along it more coarsely."""
    quads = patches.corners[chosen]
    # turn each quad so that its first side runs along the strip
    runs = unit(np.diff(strip.path, axis=0))
    middle = 0.25 * quads.sum(axis=1)
    nearest = np.argmin(
        [
            _distance_from_segment(middle, a, b)
            for a, b in zip(strip.path[:-1], strip.path[1:], strict=True)
        ],
        axis=0,
    )
    run = runs[nearest]
    first = np.abs((unit(quads[:, 1] - quads[:, 0]) * run).sum(axis=1))
    second = np.abs((unit(quads[:, 3] - quads[:, 0]) * run).sum(axis=1))
    quads = np.where((first >= second)[:, None, None], quads, np.roll(quads, -1, axis=1))
    sides = _side_lengths(quads)
    sharp = (runs[1:] * runs[:-1]).sum(axis=1) < 0.85
    ends = strip.path[np.concatenate([[True], sharp, [True]])]
    coarser = np.where(glow > 0.0, detail.smoother, 1.0)

    def wants_across(which: Ints, low: Floats, high: Floats) -> Bools:
        t = np.stack([low, 0.5 * (low + high), high], axis=1)
        t = np.tile(t, (1, 3))
        s = np.tile(np.repeat([0.02, 0.5, 0.98], 3), (len(which), 1))
        spots, _ = quad_points(quads[which], s, t)
        distance = distance_from_strip(spots, strip).min(axis=1)
        size = (high - low) * sides[which, 1] / coarser[which]
        reach = distance + glow[which]
        return np.asarray(size > np.maximum(detail.across * reach, detail.least_across_m))

    def wants_along(which: Ints, low: Floats, high: Floats) -> Bools:
        s = np.tile(np.stack([low, 0.5 * (low + high), high], axis=1), (1, 5))
        t = np.tile(np.repeat([0.0, 0.25, 0.5, 0.75, 1.0], 3), (len(which), 1))
        spots, _ = quad_points(quads[which], s, t)
        distance = distance_from_strip(spots, strip).min(axis=1) + glow[which]
        to_end = np.linalg.norm(spots[:, :, None] - ends, axis=3).min(axis=(1, 2)) + glow[which]
        size = (high - low) * sides[which, 0] / coarser[which]
        return np.asarray(
            (size > np.maximum(detail.along * distance, detail.least_along_m))
            | (size > np.maximum(detail.at_ends * to_end, detail.least_at_ends_m))
        )

    across = _halve(len(chosen), wants_across)
    along = _halve(len(chosen), wants_along)
    patch, low, high, s0, s1, column = [], [], [], [], [], []
    count = 0
    for k in range(len(chosen)):
        a, b = across[k], along[k]
        na, nb = len(a) - 1, len(b) - 1
        patch.append(np.full(na * nb, k))
        low.append(np.tile(a[:-1], nb))
        high.append(np.tile(a[1:], nb))
        s0.append(np.repeat(b[:-1], na))
        s1.append(np.repeat(b[1:], na))
        column.append(count + np.repeat(np.arange(nb), na))
        count += nb
    owner, t0, t1, u0, u1, columns = (np.concatenate(x) for x in (patch, low, high, s0, s1, column))
    corners, _ = quad_points(
        quads[owner], np.stack([u0, u1, u1, u0], axis=1), np.stack([t0, t0, t1, t1], axis=1)
    )
    area = np.linalg.norm(polygon_normal(corners), axis=1)
    order = np.flatnonzero(area > 1e-12)
    _, lead = np.unique(columns, return_index=True)
    lines = u0[lead, None] + (u1 - u0)[lead, None] * np.array([1.0, 3.0, 5.0]) / 6.0
    column_start, _ = quad_points(quads[owner[lead]], lines, np.zeros_like(lines))
    column_end, _ = quad_points(quads[owner[lead]], lines, np.ones_like(lines))
    a, b, c, d = (corners[order, i] for i in range(4))
    return Cells(
        patch=chosen[owner[order]],
        low=t0[order],
        high=t1[order],
        column=columns[order],
        column_start=column_start,
        column_end=column_end,
        start=0.5 * (a + d),
        end=0.5 * (b + c),
        across=0.5 * (d + c) - 0.5 * (a + b),
        corners=corners[order],
        normal=patches.normals[chosen[owner[order]]],
        area=area[order],
    )


def _halve(count: int, wants: Callable[[Ints, Floats, Floats], Bools]) -> list[Floats]:
    """Edges from 0 to 1 for each of ``count`` ranges, halved while ``wants`` says so."""
    which = np.arange(count)
    low, high = np.zeros(count), np.ones(count)
    done: list[tuple[Ints, Floats]] = []
    while len(which):
        split = wants(which, low, high) & (high - low > 1.0 / 512)
        done.append((which[~split], high[~split]))
        which, low, high = which[split], low[split], high[split]
        middle = 0.5 * (low + high)
        which = np.concatenate([which, which])
        low, high = np.concatenate([low, middle]), np.concatenate([middle, high])
    owner = np.concatenate([d[0] for d in done])
    edge = np.concatenate([d[1] for d in done])
    order = np.lexsort((edge, owner))
    owner, edge = owner[order], edge[order]
    parts = np.split(edge, np.flatnonzero(np.diff(owner)) + 1)
    return [np.concatenate([[0.0], part]) for part in parts]
