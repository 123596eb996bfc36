"""The near field of a strip, carried apart from the room.

A strip a few centimetres from a wall lights it so steeply that the room's patches cannot follow.
The patches near the strip are split into cells that belong to the strip alone::

    strip --closed form--> cells --local exchange--> cells --lines of light--> far patches
                             |                                                     |
                             '--exact visible intervals--> sensors <--transport----'

Whole patches are taken, so every patch is either near (its first light is carried by cells)
or far. What comes back from the room onto near patches is smooth, and the room's own patches
carry it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lumen.light.direct import configuration_factor, illuminance_from_strip
from lumen.light.geometry import Bools, Floats, Ints
from lumen.light.interreflection.cells import (
    FULL,
    Cells,
    Detail,
    cells_of,
    distance_from_strip,
    near_patches,
)
from lumen.light.interreflection.factors import may_hide
from lumen.light.interreflection.lines import line_factors, pair_line_factors
from lumen.light.interreflection.mesh import Patches, quad_points
from lumen.light.sources import StripSource
from lumen.light.visibility import CONTACT_M, Blocker, hidden_interval, visible_pairs

__all__ = ["NearField", "near_field"]


@dataclass(frozen=True, eq=False)
class NearField:
    """What the cells of one strip do.

    Attributes
    ----------
    cells : Cells
    first : (n,)
        Direct illuminance of the cells [lx].
    exitance : (c, n)
        Exitance after all exchange among the cells [lm/m²].
    received : (c, n)
        Illuminance of the cells from one another [lx].
    onto_far : (c, N)
        Mean illuminance of far patches from the cells; 0 on near patches [lx].
    at_sensors : (c, s)
        Illuminance of sensors from the cells [lx].
    """

    cells: Cells
    first: Floats
    exitance: Floats
    received: Floats
    onto_far: Floats
    at_sensors: Floats


def near_field(
    patches: Patches,
    blockers: Sequence[Blocker],
    strip: StripSource,
    points: Floats,
    normals: Floats,
    *,
    detail: Detail = FULL,
) -> NearField | None:
    """Solve the near field of a strip; ``None`` when no patch is near it."""
    chosen, glow = near_patches(patches, blockers, strip, detail)
    if not len(chosen):
        return None
    cells = cells_of(patches, chosen, glow, strip, detail)
    first, tilt, slope = _first_light(cells, strip, blockers)
    factors = _exchange(cells, blockers)
    rho = patches.reflectances[cells.patch].T
    onto = _to_far(patches, blockers, cells, chosen, tilt, strip, detail)
    onto = _close(factors, onto, cells, patches.areas)
    exitance = np.stack([_settle(factors, r, first) for r in rho])
    received = np.asarray(exitance @ factors.T)
    seen = _to_sensors(blockers, cells, points, normals, tilt, slope)
    return NearField(
        cells=cells,
        first=first,
        exitance=exitance,
        received=received,
        onto_far=np.asarray(exitance @ onto.T),
        at_sensors=np.asarray(exitance @ seen.T),
    )


def _first_light(
    cells: Cells, strip: StripSource, blockers: Sequence[Blocker]
) -> tuple[Floats, Floats, Floats]:
    """Mean direct illuminance of the cells, and its tilt across and along them (-1 to 1)."""
    moments, light = _moments(cells, strip, blockers, 3, 2)
    rough = np.flatnonzero(light.min(axis=1) < 0.3 * light.max(axis=1))
    if len(rough):
        moments[:, rough], _ = _moments(cells.subset(rough), strip, blockers, 10, 4)
    mean = moments[0]
    tilt, slope = np.clip(moments[1:] / np.where(mean > 0.0, mean, 1.0), -1.0, 1.0)
    return mean, tilt, slope


def _moments(
    cells: Cells, strip: StripSource, blockers: Sequence[Blocker], k: int, m: int
) -> tuple[Floats, Floats]:
    """Mean light of cells and three times its first moments across and along; the light itself."""
    nodes, weights = np.polynomial.legendre.leggauss(k)
    marks, shares = np.polynomial.legendre.leggauss(m)
    if k > 3:  # a shadow's edge: even steps
        nodes, weights = (np.arange(k) + 0.5) * 2.0 / k - 1.0, np.full(k, 2.0 / k)
        marks, shares = (np.arange(m) + 0.5) * 2.0 / m - 1.0, np.full(m, 2.0 / m)
    t, s = np.repeat(nodes, m), np.tile(marks, k)
    spots, density = quad_points(cells.corners, 0.5 + 0.5 * s, 0.5 + 0.5 * t)
    light = illuminance_from_strip(
        spots.reshape(-1, 3), np.repeat(cells.normal, k * m, axis=0), strip, blockers
    ).reshape(density.shape)
    share = light * density * np.repeat(weights, m) * np.tile(shares, k) / 4.0
    return np.stack([share.sum(1), (share * 3.0 * t).sum(1), (share * 3.0 * s).sum(1)]), light


def _exchange(cells: Cells, blockers: Sequence[Blocker]) -> Floats:
    """Factors (n, n): illuminance of cell i for each unit of exitance of cell j.

    A point sees the whole length of a row of cells exactly, so the sum over j is far more
    certain than any single factor; what it leaves to 1 is the light that comes from elsewhere.
    """
    width = cells.area / np.linalg.norm(cells.end - cells.start, axis=1)
    centre = 0.5 * (cells.start + cells.end)
    factors = line_factors(centre, cells.normal, cells.start, cells.end, cells.normal, width)
    # cells that are not narrow against their distance: two points to two lines, then the quad
    i, j = np.nonzero(factors > 1e-4)
    reach = _distance2_to_lines(cells, centre[i], j) / np.maximum(width[i], width[j]) ** 2
    wide = np.flatnonzero((reach < _NARROW**2) & (reach >= _WIDE**2))
    a, b = i[wide], j[wide]
    side = np.where((a + b) % 2 == 0, 0.5, -0.5) / np.sqrt(3.0)
    two = np.zeros(len(a), dtype=np.float32)
    for sign in (-1.0, 1.0):
        spot = centre[a] + (sign * 0.5 / np.sqrt(3.0)) * cells.across[a]
        shift = (sign * side)[:, None] * cells.across[b]
        start, end = cells.start[b] + shift, cells.end[b] + shift
        two += 0.5 * pair_line_factors(spot, cells.normal[a], start, end, cells.normal[b], width[b])
    factors[a, b] = two
    close = np.flatnonzero(reach < _WIDE**2)
    factors[i[close], j[close]] = _exact_factors(cells, i[close], j[close])
    if blockers:
        _dim_hidden(cells, centre, factors, blockers)
    return factors


def _dim_hidden(cells: Cells, centre: Floats, factors: Floats, blockers: Sequence[Blocker]) -> None:
    """Take hidden pairs of cells out of the factors, by two segments a pair, in place."""
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
            seen = half * visible_pairs(one[rows], two[columns], solids)
            seen += half * visible_pairs(two[rows], one[columns], solids)
            factors[np.ix_(rows, columns)] *= seen
            factors[np.ix_(columns, rows)] *= seen.T


_WIDE = 2.5
_NARROW = 8.0


def _distance2_to_lines(cells: Cells, points: Floats, j: Ints) -> Floats:
    """Squared distance of each point from the middle line of cell j."""
    d = cells.end[j] - cells.start[j]
    w = points - cells.start[j]
    t = np.clip((w * d).sum(axis=1) / (d * d).sum(axis=1), 0.0, 1.0)
    gap = w - t[:, None] * d
    return np.asarray((gap * gap).sum(axis=1))


def _exact_factors(cells: Cells, i: Ints, j: Ints) -> Floats:
    """Factors from cells i to whole cells j, exact from two points across cell i."""
    g = 0.5 / np.sqrt(3.0)
    spots, _ = quad_points(cells.corners[i], np.array([0.5, 0.5]), np.array([0.5 - g, 0.5 + g]))
    flat, source = spots.reshape(-1, 3), np.repeat(j, 2)
    factor = configuration_factor(
        flat, np.repeat(cells.normal[i], 2, axis=0), cells.corners[source]
    )
    ahead = ((flat - cells.corners[source, 0]) * cells.normal[source]).sum(axis=1) > 0.0
    return np.asarray(np.where(ahead, factor, 0.0).reshape(-1, 2).mean(axis=1))


def _settle(factors: Floats, rho: Floats, first: Floats) -> Floats:
    """Exitance b = rho (first + F b), by repeated bounces."""
    single = factors.astype(np.float32)
    given = (rho * first).astype(np.float32)
    b = given.copy()
    for _ in range(200):
        new = given + rho.astype(np.float32) * (single @ b)
        done = np.abs(new - b).max() <= 1e-6 * max(float(new.max()), 1e-30)
        b = new
        if done:
            break
    return b.astype(float)


def _emitting_lines(cells: Cells, tilt: Floats) -> tuple[Floats, Floats, Floats]:
    """Middle lines moved to where the light is centred, and widths."""
    shift = (tilt / 6.0)[:, None] * cells.across
    width = cells.area / np.linalg.norm(cells.end - cells.start, axis=1)
    return cells.start + shift, cells.end + shift, width


def _to_far(
    patches: Patches,
    blockers: Sequence[Blocker],
    cells: Cells,
    chosen: Ints,
    tilt: Floats,
    strip: StripSource,
    detail: Detail,
) -> Floats:
    """Mean factors (N, n) from far patches to cells; 0 for near patches."""
    far = np.ones(len(patches), dtype=bool)
    far[chosen] = False
    distance = distance_from_strip(patches.centres, strip) - patches.radii
    start, end, width = _emitting_lines(cells, tilt)
    onto = np.zeros((len(patches), len(cells)))
    for rows, k in (
        (np.flatnonzero(far & (distance < 0.4)), detail.points),
        (np.flatnonzero(far & (distance >= 0.4)), 1),
    ):
        if not len(rows):
            continue
        for turn in range(4):
            mine = np.flatnonzero(np.arange(len(cells)) % 4 == turn)
            corner = np.array([[0.27, 0.31], [0.73, 0.29], [0.69, 0.73], [0.31, 0.71]])[turn]
            nodes = np.arange(k)
            s, t = (
                g.ravel() for g in np.meshgrid((nodes + corner[0]) / k, (nodes + corner[1]) / k)
            )
            spots, density = quad_points(patches.corners[rows], s, t)
            flat = spots.reshape(-1, 3)
            facing = np.repeat(patches.normals[rows], k * k, axis=0)
            factor = line_factors(
                flat, facing, start[mine], end[mine], cells.normal[mine], width[mine]
            )
            lit_rows = np.flatnonzero(factor.any(axis=1))
            phase = (np.arange(len(mine)) * 0.618034 + 0.1) % 1.0
            side = _place((np.arange(len(mine)) * 0.754878 + 0.3) % 1.0, tilt[mine]) - 0.5
            target = (
                cells.start[mine]
                + phase[:, None] * (cells.end - cells.start)[mine]
                + side[:, None] * cells.across[mine]
            )
            if blockers and len(lit_rows):
                factor[lit_rows] *= visible_pairs(flat[lit_rows], target, blockers)
            share = (
                factor.reshape(len(rows), k * k, -1)
                * density[..., None]
                / density.sum(axis=1)[:, None, None]
            )
            onto[np.ix_(rows, mine)] = share.sum(axis=1)
    return onto


def _close(factors: Floats, onto: Floats, cells: Cells, areas: Floats) -> Floats:
    """Scale what each cell sends to far patches to what the other cells leave over."""
    wanted = np.maximum(1.0 - factors.sum(axis=1), 0.0) * cells.area
    sent = areas @ onto
    return np.asarray(onto * np.divide(wanted, sent, out=np.ones_like(sent), where=sent > 0.0))


def _place(share: Floats, tilt: Floats) -> Floats:
    """Where across a cell (0 to 1) a given share of its light lies below."""
    flat = np.abs(tilt) < 1e-6
    k = np.where(flat, 1.0, tilt)
    root = np.sqrt((1.0 - k) ** 2 + 4.0 * k * share)
    return np.where(flat, share, (root - 1.0 + k) / (2.0 * k))


def _to_sensors(
    blockers: Sequence[Blocker],
    cells: Cells,
    points: Floats,
    normals: Floats,
    tilt: Floats,
    slope: Floats,
) -> Floats:
    """Factors (s, n) from sensors to cells; hidden parts of columns are exact intervals."""
    start, end, width = _emitting_lines(cells, tilt)
    factor = line_factors(points, normals, start, end, cells.normal, width)
    if not blockers:
        return factor
    n, columns = len(points), len(cells.column_start)
    dark = _dark_columns(blockers, cells, points)
    factor *= ~dark[:, cells.column]
    ahead = np.zeros((n, columns), dtype=bool)
    lead = np.flatnonzero(np.diff(cells.column, prepend=-1))
    ahead[:, cells.column[lead]] = np.maximum.reduceat(factor, lead, axis=1) > 0.0
    i, j = np.nonzero(ahead)
    visible = np.zeros_like(factor)
    size = cells.high - cells.low
    for line in range(3):
        start, end = cells.column_start[:, line], cells.column_end[:, line]
        free = np.ones_like(factor)
        for blocker in blockers:
            face, offset = blocker.half_spaces()
            beyond_p = points @ face.T >= offset - CONTACT_M
            beyond_c = (start @ face.T >= offset - CONTACT_M) & (end @ face.T >= offset - CONTACT_M)
            may = np.flatnonzero(~(beyond_p[i] & beyond_c[j]).any(axis=1))
            if not len(may):
                continue
            a, b = i[may], j[may]
            t0, t1 = hidden_interval(points[a], start[b], end[b], blocker)
            some = t1 > t0
            at, cell, pair = _cells_of_columns(a[some], b[some], lead, cells)
            x0, x1 = (
                np.clip((t[some][pair] - cells.low[cell]) / size[cell], 0.0, 1.0) for t in (t0, t1)
            )
            free[at, cell] -= (x1 - x0) * (1.0 + tilt[cell] * (x1 + x0 - 1.0))
        share = (1.0 + slope * (line - 1) * 2.0 / 3.0) / 3.0
        visible += np.maximum(free, 0.0) * share.astype(np.float32)
    return np.asarray(factor * visible)


def _dark_columns(blockers: Sequence[Blocker], cells: Cells, points: Floats) -> Bools:
    """Columns (s, columns) that one blocker hides whole: it is convex, so four corners tell."""
    outer = [
        line + sign * 0.25 * (edge[:, 2] - edge[:, 0])
        for edge in (cells.column_start, cells.column_end)
        for sign, line in ((-1.0, edge[:, 0]), (1.0, edge[:, 2]))
    ]
    corners = np.stack(outer, axis=1).reshape(-1, 3)
    dark = np.zeros((len(points), len(cells.column_start)), dtype=bool)
    for blocker in blockers:
        if may_hide(blocker, points, corners):
            seen = visible_pairs(points, corners, [blocker])
            dark |= ~seen.reshape(len(points), -1, 4).any(axis=2)
    return dark


def _cells_of_columns(
    sensor: Ints, column: Ints, lead: Ints, cells: Cells
) -> tuple[Ints, Ints, Ints]:
    """Every cell of some sensors' columns: sensor, cell, and which of the given pairs it is of."""
    first = np.zeros(len(cells.column_start), dtype=np.intp)
    count = np.zeros_like(first)
    first[cells.column[lead]] = lead
    count[cells.column[lead]] = np.diff(lead, append=len(cells))
    repeats = count[column]
    pair = np.repeat(np.arange(len(column)), repeats)
    step = np.arange(len(pair)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
    return sensor[pair], first[column][pair] + step, pair
