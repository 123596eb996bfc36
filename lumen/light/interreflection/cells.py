"""Cells: the fine strip-aligned pieces of the patches near a strip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lumen.light.direct import illuminance_from_line
from lumen.light.geometry import Floats, Ints, polygon_normal, unit
from lumen.light.interreflection.mesh import Patches, quad_points
from lumen.light.interreflection.settings import NearFieldSettings
from lumen.light.sources import StripSource
from lumen.light.visibility import Blocker

__all__ = ["Cells", "cells_of", "distance_from_strip", "near_patches"]


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
    gap = points - a
    gap -= np.clip(gap @ d / (d @ d), 0.0, 1.0)[..., None] * d
    return np.asarray(np.sqrt(np.einsum("...c,...c", gap, gap)))


def near_patches(
    patches: Patches, blockers: Sequence[Blocker], strip: StripSource, settings: NearFieldSettings
) -> tuple[Ints, Floats]:
    """Patches that the strip lights too steeply to be left whole, and how far its glow is.

    Returns
    -------
    rows : (n,)
    glow : (n,)
        0 for a patch that the strip lights; for one that only sees the glow, the distance of the
        strip from the nearest lit surface, which the light there cannot be steeper than [m].
    """
    size = _side_lengths(patches.corners).max(axis=1)
    distance = distance_from_strip(patches.centres, strip) - patches.radii
    stations = np.concatenate(
        [np.linspace(a, b, 7) for a, b in zip(strip.path[:-1], strip.path[1:], strict=True)]
    )
    ahead = np.einsum("kc,nc->nk", stations, patches.normals) - (
        patches.centres * patches.normals
    ).sum(axis=1, keepdims=True)
    rows = np.flatnonzero(
        (size > settings.split_from_cells * settings.across * distance)
        & (ahead.max(axis=1) > -2e-3)
    )
    quads = _turned(patches.corners[rows], strip)
    split = _counts(quads, np.zeros(len(rows)), strip, settings) > settings.split_from_cells
    rows, quads = rows[split], quads[split]
    if not len(rows):
        return rows, np.zeros(0)
    nodes = np.linspace(0.05, 0.95, 5)
    s, t = (g.ravel() for g in np.meshgrid(nodes, nodes))
    spots = _spots(quads, s, t)
    light = np.zeros(len(rows) * len(s))
    flat, facing = spots.reshape(-1, 3), np.repeat(patches.normals[rows], len(s), axis=0)
    for a, b, f in zip(strip.path[:-1], strip.path[1:], strip.facing, strict=True):
        light += illuminance_from_line(flat, facing, a, b, f, 1.0, blockers)
    lit = light.reshape(len(rows), -1).max(axis=1) > 0.0
    beside = distance_from_strip(spots, strip).min(axis=1) < settings.glow_within_m
    closest = np.abs(ahead[rows[lit & beside]])
    glow = np.where(lit, 0.0, float(closest.min()) if closest.size else 0.0)
    kept = lit | (beside & (_counts(quads, glow, strip, settings) > settings.split_from_cells))
    return rows[kept], glow[kept]


def _spots(quads: Floats, s: Floats, t: Floats) -> Floats:
    """Points (N, k, 3) of quads by their running parameters (k,)."""
    weights = np.stack([(1 - s) * (1 - t), s * (1 - t), s * t, (1 - s) * t], axis=1)
    return np.asarray(weights @ quads)


def _side_lengths(corners: Floats) -> Floats:
    """Mean lengths (N, 2) of the first and second pair of sides."""
    a, b, c, d = (corners[:, i] for i in range(4))
    one = 0.5 * (np.linalg.norm(b - a, axis=1) + np.linalg.norm(c - d, axis=1))
    two = 0.5 * (np.linalg.norm(d - a, axis=1) + np.linalg.norm(c - b, axis=1))
    return np.stack([one, two], axis=1)


def cells_of(
    patches: Patches, chosen: Ints, glow: Floats, strip: StripSource, settings: NearFieldSettings
) -> Cells:
    """Split chosen patches: across the strip by distance, along it more coarsely."""
    quads = _turned(patches.corners[chosen], strip)
    rows, columns = _edges(quads, glow, strip, settings)
    patch, low, high, s0, s1, column = [], [], [], [], [], []
    count = 0
    for k, (a, b) in enumerate(zip(rows, columns, strict=True)):
        na, nb = len(a) - 1, len(b) - 1
        patch.append(np.full(na * nb, k))
        low.append(np.tile(a[:-1], nb))
        high.append(np.tile(a[1:], nb))
        s0.append(np.repeat(b[:-1], na))
        s1.append(np.repeat(b[1:], na))
        column.append(count + np.repeat(np.arange(nb), na))
        count += nb
    owner, t0, t1, u0, u1, number = (np.concatenate(x) for x in (patch, low, high, s0, s1, column))
    corners, _ = quad_points(
        quads[owner], np.stack([u0, u1, u1, u0], axis=1), np.stack([t0, t0, t1, t1], axis=1)
    )
    area = np.linalg.norm(polygon_normal(corners), axis=1)
    order = np.flatnonzero(area > 1e-12)
    _, lead = np.unique(number, return_index=True)
    lines = u0[lead, None] + (u1 - u0)[lead, None] * np.array([1.0, 3.0, 5.0]) / 6.0
    column_start, _ = quad_points(quads[owner[lead]], lines, np.zeros_like(lines))
    column_end, _ = quad_points(quads[owner[lead]], lines, np.ones_like(lines))
    a, b, c, d = (corners[order, i] for i in range(4))
    return Cells(
        patch=chosen[owner[order]],
        low=t0[order],
        high=t1[order],
        column=number[order],
        column_start=column_start,
        column_end=column_end,
        start=0.5 * (a + d),
        end=0.5 * (b + c),
        across=0.5 * (d + c) - 0.5 * (a + b),
        corners=corners[order],
        normal=patches.normals[chosen[owner[order]]],
        area=area[order],
    )


def _turned(quads: Floats, strip: StripSource) -> Floats:
    """Quads turned so that the first side runs along the nearest run of the strip."""
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
    along = (first >= second)[:, None, None]
    return np.asarray(np.where(along, quads, np.roll(quads, -1, axis=1)))


def _counts(quads: Floats, glow: Floats, strip: StripSource, settings: NearFieldSettings) -> Floats:
    """How many cells turned quads want, across or along, whichever is more."""
    across, along = (need.sum(axis=1) for need in _needs(quads, glow, strip, settings))
    return np.asarray(np.maximum(across, along))


def _needs(
    quads: Floats, glow: Floats, strip: StripSource, settings: NearFieldSettings
) -> tuple[Floats, Floats]:
    """How many cells (n, stations) each stretch of turned quads needs, across and along."""
    count = settings.stations
    nodes = (np.arange(count) + 0.5) / count
    sides = _side_lengths(quads)
    runs = unit(np.diff(strip.path, axis=0))
    sharp = (runs[1:] * runs[:-1]).sum(axis=1) < 0.85
    ends = strip.path[np.concatenate([[True], sharp, [True]])]
    coarser = np.where(glow > 0.0, settings.smoother, 1.0)[:, None]

    fixed = np.repeat([0.02, 0.5, 0.98], count)
    spots = _spots(quads, fixed, np.tile(nodes, 3))
    distance = distance_from_strip(spots, strip).reshape(len(quads), 3, -1).min(axis=1)
    reach = distance + glow[:, None]
    across = sides[:, 1:] / np.maximum(settings.across * reach, settings.least_across_m) / coarser

    fixed = np.repeat([0.0, 0.25, 0.5, 0.75, 1.0], count)
    spots = _spots(quads, np.tile(nodes, 5), fixed)
    shape = (len(quads), 5, -1)
    reach = distance_from_strip(spots, strip).reshape(shape).min(axis=1) + glow[:, None]
    to_end = np.full(spots.shape[:2], np.inf)
    for end in ends:
        gap = spots - end
        np.minimum(to_end, np.einsum("nkc,nkc->nk", gap, gap), out=to_end)
    to_end = np.sqrt(to_end.reshape(shape).min(axis=1)) + glow[:, None]
    size = np.minimum(
        np.maximum(settings.along * reach, settings.least_along_m),
        np.maximum(settings.at_ends * to_end, settings.least_at_ends_m),
    )
    return across / count, sides[:, :1] / size / coarser / count


def _edges(
    quads: Floats, glow: Floats, strip: StripSource, settings: NearFieldSettings
) -> tuple[list[Floats], list[Floats]]:
    """Edges of cells from 0 to 1, across and along: each cell has the size its place wants."""
    across, along = _needs(quads, glow, strip, settings)
    spare = settings.spare_cells
    return [_shared_out(each, spare) for each in across], [
        _shared_out(each, spare) for each in along
    ]


def _shared_out(need: Floats, spare: float) -> Floats:
    """Edges from 0 to 1 that share out what stations (k,) need evenly among whole cells."""
    total = np.concatenate([[0.0], np.cumsum(need)])
    count = max(1, int(np.ceil(total[-1] - spare)))
    even = np.linspace(0.0, total[-1], count + 1)
    return np.asarray(np.interp(even, total, np.linspace(0.0, 1.0, len(total))))
