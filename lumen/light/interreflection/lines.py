"""Narrow cells as lines of light: factors from points to them, closed form along each."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from lumen.light.geometry import Floats

__all__ = ["line_factors", "pair_line_factors"]

_BLOCK = 16_000


def line_factors(
    points: Floats,
    normals: Floats,
    start: Floats,
    end: Floats,
    facing: Floats,
    width: Floats,
) -> Floats:
    """Configuration factors (m, n) from points to narrow strips, closed form along each.

    Parameters
    ----------
    points, normals : (m, 3)
        Receivers.
    start, end : (n, 3)
        Ends of the middle lines [m].
    facing : (n, 3)
        Unit normals of the strips; quickest when strips of one plane stand together.
    width : (n,)
        [m].

    Returns
    -------
    (m, n) in single precision

    Notes
    -----
    The integral of `lumen.light.direct.illuminance_from_line` for even strips, for all pairs.
    """
    result = np.zeros((len(points), len(start)), dtype=np.float32)
    if not len(start):
        return result
    plane = np.concatenate([facing, (start * facing).sum(axis=1)[:, None]], axis=1)
    breaks = np.flatnonzero((np.abs(np.diff(plane, axis=0)) > 1e-6).any(axis=1)) + 1
    bounds = [0, *breaks.tolist(), len(start)]
    own = (normals * points).sum(axis=1)
    for first, last in pairwise(bounds):
        mine = slice(first, last)
        emission = points @ facing[first] - plane[first, 3]
        lit = np.flatnonzero(emission > 1e-9)
        if not len(lit):
            continue
        ends = np.concatenate([start[mine], end[mine]])
        lit = lit[(ends @ normals[lit].T).max(axis=0) > own[lit]]
        share = (width[mine] / np.pi).astype(np.float32)
        block = max(1, _BLOCK // (last - first))
        for k in range(0, len(lit), block):
            rows = lit[k : k + block]
            part = _line_block(points[rows], normals[rows], start[mine], end[mine])
            part *= emission[rows, None].astype(np.float32)
            part *= share
            result[rows, mine] = part
    return result


def _line_block(points: Floats, normals: Floats, start: Floats, end: Floats) -> Floats:
    """The line integral of `line_factors` over emission, single precision, all pairs."""
    f4 = np.float32
    middle = start.mean(axis=0)
    p, n = (points - middle).astype(f4), normals.astype(f4)
    a = (start - middle).astype(f4)
    step = end - start
    size = np.linalg.norm(step, axis=1)
    u, length = (step / size[:, None]).astype(f4), size.astype(f4)
    foot = p @ u.T - (a * u).sum(axis=1)
    level = n @ a.T - (n * p).sum(axis=1)[:, None]
    slope = n @ u.T
    h2 = -(foot * foot)
    for axis in range(3):
        gap = p[:, axis, None] - a[None, :, axis]
        gap *= gap
        h2 += gap
    return _integral(foot, h2, level, slope, length)


def pair_line_factors(
    points: Floats,
    normals: Floats,
    start: Floats,
    end: Floats,
    facing: Floats,
    width: Floats,
) -> Floats:
    """The factors (m,) of `line_factors` for m single pairs; all arrays have m rows."""
    f4 = np.float32
    step, w, n = (x.astype(f4).T for x in (end - start, points - start, normals))
    length = np.sqrt((step * step).sum(axis=0))
    u = step / length
    foot = (w * u).sum(axis=0)
    h2 = (w * w).sum(axis=0) - foot * foot
    level, slope = -(w * n).sum(axis=0), (n * u).sum(axis=0)
    share = np.maximum((w * facing.astype(f4).T).sum(axis=0), f4(0.0)) * (width / np.pi).astype(f4)
    share *= _integral(foot, h2, level, slope, length)
    return np.asarray(share)


def _integral(foot: Floats, h2: Floats, level: Floats, slope: Floats, length: Floats) -> Floats:
    """The integral for lines of ``length`` at squared distance ``h2`` from their receivers.

    ``level + slope t`` is the height of the line's point t over the receiver's own plane; the
    part below it does not count. Arrays may be overwritten.
    """
    f4 = np.float32
    np.maximum(h2, f4(1e-8), out=h2)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = -level / slope
    np.maximum(root, f4(0.0), out=root)
    np.minimum(root, length, out=root)
    low = np.where(slope > 0.0, root, f4(0.0)) - foot
    high = np.where(slope < 0.0, root, length) - foot
    above = (level > 0.0) | (level + slope * length > 0.0)
    level += slope * foot
    one, two = low * low, high * high
    one += h2
    two += h2
    h = np.sqrt(h2)
    cross = low * high
    cross += h2
    part = np.arctan2((high - low) * h, cross)
    part /= h
    high /= two
    low /= one
    part += high
    part -= low
    level /= h2
    level *= f4(0.5)
    part *= level
    np.divide(f4(0.5), one, out=one)
    np.divide(f4(0.5), two, out=two)
    one -= two
    one *= slope
    part += one
    np.maximum(part, f4(0.0), out=part)
    part *= above
    return part
