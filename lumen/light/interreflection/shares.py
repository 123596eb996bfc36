"""How much of the cells of a strip points see: the hidden part of each column is exact."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lumen.light.geometry import Floats
from lumen.light.interreflection.cells import CellLight, Cells
from lumen.light.visibility import Blocker, hidden_spans

__all__ = ["glimpsed_shares", "visible_shares"]

_BLOCK = 32_000


def visible_shares(
    points: Floats, cells: Cells, light: CellLight, blockers: Sequence[Blocker]
) -> Floats:
    """Shares (m, n) of the light of n cells that m points see.

    Notes
    -----
    What a box hides of a line is one interval; what several hide is taken once. Three lines across
    each column by Simpson's rule, and nine where they do not agree: there the end of a box cuts
    the column.
    """
    each = np.stack([_along(points, cells, light, blockers, v) for v in (-0.97, 0.0, 0.97)])
    apart = (each.max(axis=0) - each.min(axis=0)).max(axis=0, initial=0.0) > _APART
    result = np.asarray((each[0] + np.float32(4.0) * each[1] + each[2]) / np.float32(6.0))
    few = np.flatnonzero(apart)
    if len(few):
        some, its = cells.subset(few), light.subset(few)
        places = (2.0 * np.arange(9) + 1.0) / 9.0 - 1.0
        result[:, few] = sum(_along(points, some, its, blockers, v) for v in places) / 9.0
    return result


def glimpsed_shares(
    points: Floats, cells: Cells, light: CellLight, blockers: Sequence[Blocker], at: float
) -> Floats:
    """The shares of `visible_shares` by a single line across each column, -1 to 1 along it."""
    even = CellLight(light.mean, light.tilt, light.bend, np.zeros(len(cells)))
    return _along(points, cells, even, blockers, at)


_APART = 0.3


def _along(
    points: Floats, cells: Cells, light: CellLight, blockers: Sequence[Blocker], at: float
) -> Floats:
    """Shares of the light along one line across each column, times how bright it is there."""
    tilt, bend = light.tilt.astype(np.float32), light.bend.astype(np.float32)
    slope = light.slope
    bright = 1.0 + slope * at + 0.36 * slope**2 * (1.5 * at * at - 0.5)  # as an exponential
    bright = np.maximum(bright, 0.0).astype(np.float32)
    result = np.ones((len(points), len(cells)), np.float32)
    columns, column = np.unique(cells.column, return_inverse=True)
    low, size = cells.low.astype(np.float32), (cells.high - cells.low).astype(np.float32)
    start, end = (
        edge[columns, 1] + 0.75 * at * (edge[columns, 2] - edge[columns, 0])
        for edge in (cells.column_start, cells.column_end)
    )
    spans = [hidden_spans(points, start, end, blocker) for blocker in blockers]
    height = max(1, _BLOCK // max(1, len(cells)))
    for t0, t1 in _apart([span for span in spans if span is not None]):
        rows = np.flatnonzero((t1 > t0).any(axis=1))
        for i in range(0, len(rows), height):
            some = rows[i : i + height]
            hidden = _share_below((t1[some][:, column] - low) / size, tilt, bend)
            hidden -= _share_below((t0[some][:, column] - low) / size, tilt, bend)
            result[some] -= np.maximum(hidden, np.float32(0.0), out=hidden)
    np.maximum(result, np.float32(0.0), out=result)
    result *= bright
    return result


def _apart(spans: list[tuple[Floats, Floats]]) -> list[tuple[Floats, Floats]]:
    """The same hidden parts of lines with none of them hidden twice."""
    if len(spans) < 2:
        return spans
    low, high = (np.stack(limits) for limits in zip(*spans, strict=True))
    order = np.argsort(low, axis=0)
    low, high = np.take_along_axis(low, order, axis=0), np.take_along_axis(high, order, axis=0)
    np.maximum(high, low, out=high)
    reach = np.maximum.accumulate(high, axis=0)
    np.maximum(low[1:], reach[:-1], out=low[1:])
    return list(zip(low, high, strict=True))


def _share_below(x: Floats, tilt: Floats, bend: Floats) -> Floats:
    """Share of a cell's light below x across it, 0 to 1; x may be overwritten."""
    np.clip(x, np.float32(0.0), np.float32(1.0), out=x)
    bent = x * np.float32(2.0)
    bent -= np.float32(1.0)
    bent *= bend
    bent += tilt
    bent *= x * x - x
    bent += x
    return bent
