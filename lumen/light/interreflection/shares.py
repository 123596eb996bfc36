"""How much of the cells of a strip points see: the hidden part of each column is exact.

What is hidden of a cell across it, and where its light is, is derived in `profile`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from lumen.light.geometry import Floats, Ints
from lumen.light.interreflection.cells import Cells
from lumen.light.interreflection.lines import line_factors
from lumen.light.interreflection.profile import BEND_OF_TILT, CellLight, share_below
from lumen.light.interreflection.settings import NearFieldSettings
from lumen.light.visibility import Blocker, hidden_spans

__all__ = ["seen_factors"]

_BLOCK = 32_000  # pairs of a point and a cell at a time: they stay in the processor's cache
_FEW = 64  # cells of one plane that are worth a look of their own


def seen_factors(
    points: Floats,
    normals: Floats,
    cells: Cells,
    light: CellLight,
    blockers: Sequence[Blocker],
    settings: NearFieldSettings,
    *,
    glimpse: float | None = None,
) -> Floats:
    """Configuration factors (m, n) from points to the visible light of cells.

    Parameters
    ----------
    points, normals : (m, 3)
        Receivers [m].
    cells : Cells
        Cells of one plane stand together.
    light : CellLight
    blockers : sequence of Blocker
    settings : NearFieldSettings
    glimpse : float
        Look along one line across each column, -1 to 1 along it, instead of as many as it takes.

    Notes
    -----
    Each cell is a line of light through the middle of its light. What a box hides of a line is one
    interval, what several hide is taken once.
    """
    shift = (light.tilt / 6.0)[:, None] * cells.across
    width = cells.area / np.linalg.norm(cells.end - cells.start, axis=1)
    factor = line_factors(
        points, normals, cells.start + shift, cells.end + shift, cells.normal, width
    )
    if not blockers:
        return factor
    for some in _planes(cells):
        rows = np.flatnonzero(factor[:, some].any(axis=1))
        if len(rows):
            number = np.arange(some.start, some.stop)
            mine, its = cells.subset(number), light.subset(number)
            if glimpse is None:
                shares = _visible_shares(points[rows], mine, its, blockers, settings)
            else:
                even = CellLight(its.mean, its.tilt, its.bend, 0.0 * its.slope)
                (shares,) = _along(points[rows], mine, even, blockers, np.array([glimpse]))
            factor[rows, some] *= shares
    return factor


def _planes(cells: Cells) -> list[slice]:
    """Runs of cells that look the same way, small ones put together."""
    plane = np.c_[cells.normal, (cells.start * cells.normal).sum(axis=1)]
    ends = np.flatnonzero((np.abs(np.diff(plane, axis=0)) > 1e-6).any(axis=1)) + 1
    bounds = [0]
    for end in (*ends.tolist(), len(cells)):
        if end - bounds[-1] >= _FEW or end == len(cells):
            bounds.append(end)
    return [slice(first, last) for first, last in pairwise(bounds)]


def _visible_shares(
    points: Floats,
    cells: Cells,
    light: CellLight,
    blockers: Sequence[Blocker],
    settings: NearFieldSettings,
) -> Floats:
    """Shares (m, n) of the light of n cells that m points see.

    Three lines across each column by Simpson's rule, and nine where they do not agree: there the
    end of a box cuts the column. Three times nine where every other of the nine tells otherwise
    than the rest: there several boxes do, as slats.
    """
    each = _along(points, cells, light, blockers, np.array([-0.97, 0.0, 0.97]))
    result = np.asarray((each[0] + np.float32(4.0) * each[1] + each[2]) / np.float32(6.0))
    apart = each.max(axis=0) - each.min(axis=0) > settings.lines_apart
    rows, few = np.flatnonzero(apart.any(axis=1)), np.flatnonzero(apart.any(axis=0))
    if not len(rows):
        return result
    nine = _at_lines(points[rows], cells, light, blockers, few, 9)
    mean = nine.mean(axis=0)
    result[rows[:, None], few] = mean
    astray = np.abs(nine[::2].mean(axis=0) - mean) > settings.nine_astray
    at, some = np.flatnonzero(astray.any(axis=1)), np.flatnonzero(astray.any(axis=0))
    if len(at):
        result[rows[at, None], few[some]] = _at_lines(
            points[rows[at]], cells, light, blockers, few[some], 27
        ).mean(axis=0)
    return result


def _at_lines(
    points: Floats,
    cells: Cells,
    light: CellLight,
    blockers: Sequence[Blocker],
    few: Ints,
    count: int,
) -> Floats:
    """What `_along` gives of a few cells for so many lines, evenly spread."""
    places = (2.0 * np.arange(count) + 1.0) / count - 1.0
    return _along(points, cells.subset(few), light.subset(few), blockers, places)


def _along(
    points: Floats, cells: Cells, light: CellLight, blockers: Sequence[Blocker], places: Floats
) -> Floats:
    """Shares (k, m, n) of the light along lines across each column, times how bright it is there.

    ``places`` (k,) are those of the lines along the column, -1 to 1.
    """
    tilt, bend = light.tilt.astype(np.float32), light.bend.astype(np.float32)
    result = np.ones((len(places), len(points), len(cells)), np.float32)
    columns, column = np.unique(cells.column, return_inverse=True)
    low, size = cells.low.astype(np.float32), (cells.high - cells.low).astype(np.float32)
    start, end = (
        (edge[columns, 1] + 0.75 * at * (edge[columns, 2] - edge[columns, 0])).reshape(-1, 3)
        for at in (places[:, None, None],)
        for edge in (cells.column_start, cells.column_end)
    )
    for rows, t0, t1 in _hidden(points, start, end, blockers):
        cut = np.any(t1 > t0, axis=0)
        for k, shares in enumerate(result):
            line = k * len(columns) + column
            some = np.flatnonzero(cut[line])
            if not len(some):
                continue
            whole = len(some) == len(cells)
            line, first, extent = line[some], low[some], size[some]
            lean, bow = tilt[some], bend[some]
            height = max(1, _BLOCK // len(some))
            for i in range(0, len(rows), height):
                part = slice(i, i + height)
                hidden = share_below((t1[part].take(line, axis=1) - first) / extent, lean, bow)
                hidden -= share_below((t0[part].take(line, axis=1) - first) / extent, lean, bow)
                np.maximum(hidden, np.float32(0.0), out=hidden)
                if whole:
                    shares[rows[part]] -= hidden
                else:
                    shares[rows[part, None], some] -= hidden
    np.maximum(result, np.float32(0.0), out=result)
    # along the column the light changes as an exponential, nearly
    at, slope = places[:, None, None], light.slope
    bright = 1.0 + slope * at + BEND_OF_TILT * slope**2 * (1.5 * at * at - 0.5)
    result *= np.maximum(bright, 0.0).astype(np.float32)
    return result


def _hidden(
    points: Floats, start: Floats, end: Floats, blockers: Sequence[Blocker]
) -> Iterator[tuple[Ints, Floats, Floats]]:
    """Hidden parts of lines, none of them twice: rows of points, and where each part begins, ends.

    A part that ends before it begins is none.
    """
    spans = [hidden_spans(points, start, end, blocker) for blocker in blockers]
    some = [span for span in spans if span is not None]
    touched = np.array([(t1 > t0).any(axis=1) for t0, t1 in some]).reshape(-1, len(points))
    several = touched.sum(axis=0) > 1
    for (t0, t1), mine in zip(some, touched, strict=True):
        rows = np.flatnonzero(mine & ~several)
        yield rows, t0[rows], t1[rows]
    rows = np.flatnonzero(several)
    if len(rows):
        low, high = (np.stack([limit[rows] for limit in each]) for each in zip(*some, strict=True))
        order = np.argsort(low, axis=0)
        low, high = np.take_along_axis(low, order, axis=0), np.take_along_axis(high, order, axis=0)
        np.maximum(high, low, out=high)
        np.maximum(low[1:], np.maximum.accumulate(high, axis=0)[:-1], out=low[1:])
        for t0, t1 in zip(low, high, strict=True):
            yield rows, t0, t1
