"""Narrow cells as lines of light: factors from points to them, closed form along each."""

from __future__ import annotations

import numpy as np

from lumen.light.geometry import Floats

__all__ = ["line_factors"]


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
        Unit normals of the strips.
    width : (n,)
        [m].

    Notes
    -----
    The integral of `lumen.light.direct.illuminance_from_line` for even strips, for all pairs.
    """
    result = np.zeros((len(points), len(start)))
    plane = np.concatenate([facing, (start * facing).sum(axis=1)[:, None]], axis=1)
    _, group = np.unique(np.round(plane, 6), axis=0, return_inverse=True)
    for g in range(int(group.max(initial=-1)) + 1):
        mine = np.flatnonzero(group.ravel() == g)
        emission = points @ facing[mine[0]] - plane[mine[0], 3]
        height = np.maximum(
            (start[mine] @ normals.T).max(axis=0), (end[mine] @ normals.T).max(axis=0)
        )
        lit = np.flatnonzero((emission > 1e-9) & (height > (normals * points).sum(axis=1)))
        block = max(1, _BLOCK // len(mine))
        for first in range(0, len(lit), block):
            rows = lit[first : first + block]
            part = _line_block(points[rows], normals[rows], start[mine], end[mine])
            part *= emission[rows, None] * (width[mine] / np.pi)
            result[np.ix_(rows, mine)] = part
    return result


_BLOCK = 16_000


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
    np.maximum(h2, f4(1e-8), out=h2)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = -level / slope
    np.maximum(root, f4(0.0), out=root)
    np.minimum(root, length, out=root)
    low = np.where(slope > 0.0, root, f4(0.0)) - foot
    high = np.where(slope < 0.0, root, length) - foot
    level += slope * foot
    one, two = low * low + h2, high * high + h2
    h = np.sqrt(h2)
    angle = np.arctan2((high - low) * h, h2 + low * high)
    part = high / two - low / one + angle / h
    part *= level / (h2 + h2)
    part += slope * (f4(0.5) / one - f4(0.5) / two)
    above = np.maximum(level - slope * foot, level - slope * (foot - length)) > 0.0
    return np.where(above, np.maximum(part, f4(0.0)), f4(0.0))
