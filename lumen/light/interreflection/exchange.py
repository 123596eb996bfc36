"""Light among the cells of one strip: who sees whom, and what each gives after all bounces.

Mean and tilt of a cell's light are derived in `profile`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lumen.light.direct import configuration_factor
from lumen.light.geometry import Floats, Ints, unit
from lumen.light.interreflection.cells import Cells
from lumen.light.interreflection.factors import may_hide
from lumen.light.interreflection.lines import line_factors, pair_line_factors
from lumen.light.interreflection.mesh import quad_points
from lumen.light.interreflection.profile import CellLight, mean_and_tilt
from lumen.light.interreflection.settings import NearFieldSettings
from lumen.light.visibility import Blocker, visible_pairs

__all__ = ["CellExchange", "exchange_among", "radiosity_of_cells"]

_GAUSS = 0.5 / np.sqrt(3.0)  # of a width from its middle: where two Gauss points lie


@dataclass(frozen=True, eq=False)
class CellExchange:
    """Illuminance of cell i from cell j, both even across or tilted: mean + tilted u.

    Attributes
    ----------
    even, even_tilt : (n, n)
        Mean illuminance of i, and its tilt, for each unit of the exitance of j.
    area : (n,)
        [m²].
    unsure : (n,)
        How much cell i sees of faces that stand across it: it looks from the middle of its length,
        which tells little about them.
    """

    even: Floats
    even_tilt: Floats
    area: Floats
    unsure: Floats

    def received(self, exitance: Floats, tilted: Floats) -> tuple[Floats, Floats]:
        """Mean illuminance of all cells (c, n) and its tilt, from exitance and its tilt."""
        mean = exitance @ self.even.T
        # what the tilt of j adds to the mean of i: T_ji A_j / (3 A_i), by reciprocity (`profile`)
        area = self.area.astype(np.float32)
        mean += (tilted * (area / np.float32(3.0))) @ self.even_tilt / area
        return mean, exitance @ self.even_tilt.T


def exchange_among(
    cells: Cells, blockers: Sequence[Blocker], settings: NearFieldSettings
) -> CellExchange:
    """Exchange among cells, each looking from two Gauss points across it.

    A point sees the whole length of a row of cells exactly, so the sum over j is far more
    certain than any single factor; what it leaves to 1 is the light that goes elsewhere.
    """
    n = len(cells)
    width = cells.area / np.linalg.norm(cells.end - cells.start, axis=1)
    centre = 0.5 * (cells.start + cells.end)
    spots = np.concatenate([centre - _GAUSS * cells.across, centre + _GAUSS * cells.across])
    facing = np.concatenate([cells.normal, cells.normal])
    factor = line_factors(spots, facing, cells.start, cells.end, cells.normal, width)
    even, even_tilt = mean_and_tilt(factor[:n], factor[n:])
    seen = _seen_shares(cells, centre, even, blockers)
    even *= seen
    even_tilt *= seen
    # cells that are not narrow against their distance: to two lines; nearer, to halves
    i, j = np.nonzero(even > settings.faint)
    reach = _distance2_to_lines(cells, centre[i], j) / np.maximum(width[i], width[j]) ** 2
    exact = settings.exact_within_widths**2
    wide = np.flatnonzero((reach < settings.two_lines_within_widths**2) & (reach >= exact))
    close = np.flatnonzero(reach < exact)
    to, of = (np.concatenate([index[wide], index[close]]) for index in (i, j))
    lower, upper = (
        np.concatenate(pair, axis=1)
        for pair in zip(
            _line_halves(cells, width, i[wide], j[wide]),
            _exact_halves(cells, i[close], j[close]),
            strict=True,
        )
    )
    share = seen[to, of]
    even[to, of], even_tilt[to, of] = (share * x for x in mean_and_tilt(*(lower + upper)))
    turns = np.flatnonzero((np.diff(cells.normal, axis=0) != 0.0).any(axis=1)) + 1
    starts = np.concatenate([[0], turns])
    endwise = np.abs(unit(cells.end - cells.start) @ cells.normal[starts].T)
    unsure = (np.add.reduceat(even, starts, axis=1) * endwise).sum(axis=1)
    return CellExchange(even, even_tilt, cells.area, unsure)


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


def _line_halves(cells: Cells, width: Floats, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    """Factors (2, m) from two points across cells i to two lines in cells j, half of it each."""
    lower, upper = np.zeros((2, 2, len(i)))
    for k, sign in enumerate((-_GAUSS, _GAUSS)):
        spot = 0.5 * (cells.start[i] + cells.end[i]) + sign * cells.across[i]
        for half, side in ((lower, -_GAUSS), (upper, _GAUSS)):
            shift = side * cells.across[j]
            start, end = cells.start[j] + shift, cells.end[j] + shift
            half[k] = 0.5 * pair_line_factors(
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
    """Exact factors (2, m) from two points across cells i to the halves of cells j."""
    across = np.array([0.5 - _GAUSS, 0.5 + _GAUSS])
    spots, _ = quad_points(cells.corners[i], np.array([0.5, 0.5]), across)
    flat, normals = spots.reshape(-1, 3), np.repeat(cells.normal[i], 2, axis=0)
    source = np.repeat(j, 2)
    a, b, c, d = (cells.corners[:, k] for k in range(4))
    left, right = 0.5 * (a + d), 0.5 * (b + c)
    ahead = ((flat - a[source]) * cells.normal[source]).sum(axis=1) > 0.0
    lower, upper = (
        np.where(ahead, configuration_factor(flat, normals, quads[source]), 0.0).reshape(-1, 2).T
        for quads in (np.stack([a, b, right, left], axis=1), np.stack([left, right, c, d], axis=1))
    )
    return lower, upper


def radiosity_of_cells(
    exchange: CellExchange, rho: Floats, light: CellLight, *, within: float = 1e-6
) -> tuple[Floats, Floats, Floats]:
    """Exitance rho (first + received), its tilt times itself, and received, all (c, n).

    Solved by repeated bounces, until the last changed no cell by more than ``within`` times the
    brightest.
    """
    single = np.float32
    first, first_tilt = light.mean.astype(single), (light.mean * light.tilt).astype(single)
    rho_t = rho.astype(single)
    received, received_tilt = np.zeros_like(rho_t), np.zeros_like(rho_t)
    for _ in range(200):
        exitance = rho_t * (first + received)
        tilted = np.clip(rho_t * (first_tilt + received_tilt), -exitance, exitance)
        new, received_tilt = exchange.received(exitance, tilted)
        done = np.abs(new - received).max() <= within * max(float(new.max()), 1e-30)
        received = new
        if done:
            break
    return exitance.astype(float), tilted.astype(float), received.astype(float)
