"""How much of the cells of a strip points see: the hidden part of each column is exact."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lumen.light.geometry import Floats
from lumen.light.interreflection.cells import CellLight, Cells
from lumen.light.visibility import Blocker, hidden_spans

__all__ = ["visible_shares"]

_BLOCK = 32_000


def visible_shares(
    points: Floats,
    cells: Cells,
    light: CellLight,
    blockers: Sequence[Blocker],
    lines: Sequence[int] = (0, 1, 2),
) -> Floats:
    """Shares (m, n) of the light of n cells that m points see.

    Parameters
    ----------
    points : (m, 3)
        [m].
    lines
        Which of the three lines across each column to look along; all for cells that change along
        the column, the middle one for a glance.

    Notes
    -----
    What a box hides of a line is one interval; what several hide is taken once.
    """
    result = np.ones((len(points), len(cells)), np.float32)
    columns, column = np.unique(cells.column, return_inverse=True)
    tilt, bend, slope = (x.astype(np.float32) for x in (light.tilt, light.bend, light.slope))
    low, size = cells.low.astype(np.float32), (cells.high - cells.low).astype(np.float32)
    for line in lines:
        start, end = cells.column_start[columns, line], cells.column_end[columns, line]
        spans = [hidden_spans(points, start, end, blocker) for blocker in blockers]
        pieces = _apart([span for span in spans if span is not None])
        weight = np.float32(1.0 / len(lines)) * (
            1.0 + slope * np.float32((line - 1) * 2.0 / 3.0) * (len(lines) > 1)
        )
        for t0, t1 in pieces:
            rows = np.flatnonzero((t1 > t0).any(axis=1))
            height = max(1, _BLOCK // max(1, len(cells)))
            for i in range(0, len(rows), height):
                some = rows[i : i + height]
                hidden = _share_below((t1[some][:, column] - low) / size, tilt, bend)
                hidden -= _share_below((t0[some][:, column] - low) / size, tilt, bend)
                np.maximum(hidden, np.float32(0.0), out=hidden)
                result[some] -= weight * hidden
    return np.maximum(result, np.float32(0.0), out=result)


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
