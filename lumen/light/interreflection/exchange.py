"""Light among the cells of one strip: who sees whom, and what settles after all bounces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lumen.light.direct import configuration_factor
from lumen.light.geometry import Floats, Ints
from lumen.light.interreflection.cells import CellLight, Cells
from lumen.light.interreflection.factors import may_hide
from lumen.light.interreflection.lines import line_factors, pair_line_factors
from lumen.light.interreflection.mesh import quad_points
from lumen.light.visibility import Blocker, visible_pairs

__all__ = ["CellExchange", "closed", "exchange_among", "settled"]


@dataclass(frozen=True, eq=False)
class CellExchange:
    """Illuminance of cell i from cell j.

    ``even`` (n, n) is for each unit of exitance; ``tilted`` (m,) for each unit of tilt times
    exitance, for the pairs ``to``, ``of`` that are near enough to tell.
    """

    even: Floats
    tilted: Floats
    to: Ints
    of: Ints

    def by_tilt(self, tilted: Floats) -> Floats:
        """What the tilts add to the illuminance of all cells (c, n)."""
        n = len(self.even)
        parts = [np.bincount(self.to, self.tilted * t[self.of], n) for t in tilted]
        return np.stack(parts).astype(np.float32)


def exchange_among(cells: Cells, blockers: Sequence[Blocker]) -> CellExchange:
    """Exchange among cells.

    A point sees the whole length of a row of cells exactly, so the sum over j is far more
    certain than any single factor; what it leaves to 1 is the light that goes elsewhere.
    """
    width = cells.area / np.linalg.norm(cells.end - cells.start, axis=1)
    centre = 0.5 * (cells.start + cells.end)
    even = line_factors(centre, cells.normal, cells.start, cells.end, cells.normal, width)
    seen = _seen_shares(cells, centre, even, blockers)
    even *= seen
    # cells that are not narrow against their distance: two points to two lines; nearer, to halves
    i, j = np.nonzero(even > _FAINT)
    reach = _distance2_to_lines(cells, centre[i], j) / np.maximum(width[i], width[j]) ** 2
    wide = np.flatnonzero((reach < _NARROW**2) & (reach >= _WIDE**2))
    close = np.flatnonzero(reach < _WIDE**2)
    to, of = (np.concatenate([index[wide], index[close]]) for index in (i, j))
    lower, upper = (
        np.concatenate(pair)
        for pair in zip(
            _line_halves(cells, width, i[wide], j[wide]),
            _exact_halves(cells, i[close], j[close]),
            strict=True,
        )
    )
    share = seen[to, of]
    even[to, of] = (lower + upper) * share
    # exact where the factor changes linearly across cell j
    arm = np.repeat([1.0 / np.sqrt(3.0), 2.0 / 3.0], [len(wide), len(close)])
    return CellExchange(even, arm * (upper - lower) * share, to, of)


def _seen_shares(
    cells: Cells, centre: Floats, factors: Floats, blockers: Sequence[Blocker]
) -> Floats:
    """Visible shares (n, n) of pairs of cells, by two segments a pair."""
    seen = np.ones_like(factors)
    along = cells.end - cells.start
    one = centre - 0.31 * along + 0.2 * cells.across
    two = centre + 0.23 * along - 0.3 * cells.across
    plane = np.round(np.c_[cells.normal, (cells.normal * centre).sum(axis=1)], 6)
    _, group = np.unique(plane, axis=0, return_inverse=True)
    members = [np.flatnonzero(group.ravel() == g) for g in range(int(group.max()) + 1)]
    clouds = [cells.corners[m].reshape(-1, 3) for m in members]
    for g, rows in enumerate(members):
        for h in range(g + 1, len(members)):
            columns = members[h]
            solids = [b for b in blockers if may_hide(b, clouds[g], clouds[h])]
            if not solids or not factors[np.ix_(rows, columns)].any():
                continue
            half = np.float32(0.5)
            share = half * visible_pairs(one[rows], two[columns], solids)
            share += half * visible_pairs(two[rows], one[columns], solids)
            seen[np.ix_(rows, columns)] = share
            seen[np.ix_(columns, rows)] = share.T
    return seen


_FAINT = 5e-4
_WIDE = 1.8
_NARROW = 5.0


def _line_halves(cells: Cells, width: Floats, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    """Factors from two points across cells i to two lines in cells j, half of the cell each."""
    off = 0.5 / np.sqrt(3.0)
    lower, upper = np.zeros((2, len(i)))
    for sign in (-off, off):
        spot = 0.5 * (cells.start[i] + cells.end[i]) + sign * cells.across[i]
        for total, side in ((lower, -off), (upper, off)):
            shift = side * cells.across[j]
            start, end = cells.start[j] + shift, cells.end[j] + shift
            total += 0.25 * pair_line_factors(
                spot, cells.normal[i], start, end, cells.normal[j], width[j]
            )
    return lower, upper


def _distance2_to_lines(cells: Cells, points: Floats, j: Ints) -> Floats:
    """Squared distance of each point from the middle line of cell j."""
    d = cells.end[j] - cells.start[j]
    w = points - cells.start[j]
    t = np.clip((w * d).sum(axis=1) / (d * d).sum(axis=1), 0.0, 1.0)
    gap = w - t[:, None] * d
    return np.asarray((gap * gap).sum(axis=1))


def _exact_halves(cells: Cells, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    """Factors from cells i to the lower and the upper half of cells j.

    Exact from two points across cell i.
    """
    g = 0.5 / np.sqrt(3.0)
    spots, _ = quad_points(cells.corners[i], np.array([0.5, 0.5]), np.array([0.5 - g, 0.5 + g]))
    flat, normals = spots.reshape(-1, 3), np.repeat(cells.normal[i], 2, axis=0)
    source = np.repeat(j, 2)
    a, b, c, d = (cells.corners[:, k] for k in range(4))
    left, right = 0.5 * (a + d), 0.5 * (b + c)
    ahead = ((flat - a[source]) * cells.normal[source]).sum(axis=1) > 0.0
    halves = []
    for quads in (np.stack([a, b, right, left], axis=1), np.stack([left, right, c, d], axis=1)):
        factor = np.where(ahead, configuration_factor(flat, normals, quads[source]), 0.0)
        halves.append(factor.reshape(-1, 2).mean(axis=1))
    return halves[0], halves[1]


def settled(
    cells: Cells, exchange: CellExchange, rho: Floats, light: CellLight
) -> tuple[Floats, Floats, Floats]:
    """Exitance rho (first + received), its tilt times itself, and received, all (c, n).

    Solved by repeated bounces. The tilt of what is received is its difference between the cells
    above and below in the same column.
    """
    single = np.float32
    first, first_tilt = light.mean.astype(single), (light.mean * light.tilt).astype(single)
    rho_t, even = rho.astype(single), exchange.even.T
    below, above, gain = _neighbours(cells)
    received: Floats = np.zeros_like(rho_t)
    for _ in range(200):
        exitance = rho_t * (first + received)
        difference = gain * (received[:, above] - received[:, below])
        tilted = np.clip(rho_t * (first_tilt + difference), -exitance, exitance)
        new = exitance @ even + exchange.by_tilt(tilted)
        done = np.abs(new - received).max() <= 1e-6 * max(float(new.max()), 1e-30)
        received = new
        if done:
            break
    return exitance.astype(float), tilted.astype(float), received.astype(float)


def _neighbours(cells: Cells) -> tuple[Ints, Ints, Floats]:
    """Next cells below and above in the same column, and half a cell over their distance."""
    index = np.arange(len(cells))
    below, above = np.maximum(index - 1, 0), np.minimum(index + 1, len(cells) - 1)
    below = np.where(cells.column[below] == cells.column, below, index)
    above = np.where(cells.column[above] == cells.column, above, index)
    middle = 0.5 * (cells.low + cells.high)
    gap = middle[above] - middle[below]
    half = 0.5 * (cells.high - cells.low)
    gain = np.divide(half, gap, out=np.zeros_like(gap), where=gap > 0.0)
    return below, above, gain.astype(np.float32)


def closed(
    exchange: CellExchange, onto: Floats, cells: Cells, leaky: Ints, tilt: Floats, areas: Floats
) -> tuple[CellExchange, Floats]:
    """Scale what each cell sends to other cells and to far patches so that it sends all it has.

    What is missing is laid where it is likelier to have been missed: in proportion to the squares
    of both shares, the far one counted as ten times less certain. Cells that are not ``leaky``
    keep everything among themselves.
    """
    by_tilt = np.bincount(exchange.of, exchange.tilted * cells.area[exchange.to], len(cells))
    kept = exchange.even.sum(axis=1) + tilt * by_tilt / cells.area
    sent = np.zeros(len(cells))
    sent[leaky] = (areas @ onto) / cells.area[leaky]
    near, far = kept * kept, (_FAR_DOUBT * sent) ** 2
    share = (1.0 - kept - sent) / np.maximum(near + far, 1e-12)
    scale = (1.0 + share * kept).astype(np.float32)
    outward = (1.0 + share * _FAR_DOUBT**2 * sent).astype(np.float32)
    scaled = CellExchange(
        exchange.even * scale, exchange.tilted * scale[exchange.of], exchange.to, exchange.of
    )
    return scaled, np.asarray(onto * outward[leaky])


_FAR_DOUBT = 10.0
