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
import numpy.typing as npt

from lumen.light.direct import configuration_factor, illuminance_from_strip
from lumen.light.geometry import Bools, Floats, Ints, polygon_normal, unit
from lumen.light.interreflection.mesh import Patches, quad_points
from lumen.light.sources import StripSource
from lumen.light.visibility import Blocker, hidden_interval, visible_pairs

__all__ = ["Cells", "Detail", "NearField", "line_factors", "near_field"]


@dataclass(frozen=True)
class Detail:
    """How finely cells follow the strip.

    Attributes
    ----------
    across, along, at_ends : float
        Largest cell size over distance: across the strip, along it, near its ends.
    least_across_m, least_along_m, least_at_ends_m : float
        Sizes that are not split further [m].
    """

    across: float
    along: float
    at_ends: float
    least_across_m: float
    least_along_m: float
    least_at_ends_m: float


FULL = Detail(0.35, 4.0, 0.7, 0.006, 0.2, 0.06)
DRAG = Detail(0.6, 6.0, 1.2, 0.012, 0.3, 0.12)


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
    column_start, column_end : (columns, 3)
        The line across the patch through the middle of a column [m].
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
    chosen = _near_patches(patches, blockers, strip, detail)
    if not len(chosen):
        return None
    cells = _split(patches, chosen, strip, detail)
    first, tilt = _first_light(cells, strip, blockers)
    exchange = _exchange(cells, blockers)
    rho = patches.reflectances[cells.patch].T
    onto = _to_far(patches, blockers, cells, chosen, exchange, tilt, strip)
    exitance = np.stack([_settle(exchange / cells.area[:, None], r, first) for r in rho])
    received = np.asarray(exitance @ (exchange / cells.area[:, None]).T)
    seen = _to_sensors(blockers, cells, points, normals, tilt)
    return NearField(
        cells=cells,
        first=first,
        exitance=exitance,
        received=received,
        onto_far=np.asarray(exitance @ onto.T),
        at_sensors=np.asarray(exitance @ seen.T),
    )


def _distance(points: Floats, strip: StripSource) -> Floats:
    """Distance of points (..., 3) from the strip's run."""
    best = np.full(points.shape[:-1], np.inf)
    for a, b in zip(strip.path[:-1], strip.path[1:], strict=True):
        d = b - a
        t = np.clip((points - a) @ d / (d @ d), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(points - a - t[..., None] * d, axis=-1))
    return best


def _near_patches(
    patches: Patches, blockers: Sequence[Blocker], strip: StripSource, detail: Detail
) -> Ints:
    nodes = np.linspace(0.05, 0.95, 5)
    s, t = (g.ravel() for g in np.meshgrid(nodes, nodes))
    spots, _ = quad_points(patches.corners, s, t)
    distance = _distance(spots, strip).min(axis=1)
    size = _side_lengths(patches.corners)
    wide = size.min(axis=1) * 0 + size.max(axis=1)
    splits = wide > np.maximum(detail.across * distance, detail.least_across_m)
    stations = np.concatenate(
        [np.linspace(a, b, 7) for a, b in zip(strip.path[:-1], strip.path[1:], strict=True)]
    )
    ahead = np.einsum("kc,nc->nk", stations, patches.normals) - (
        patches.centres * patches.normals
    ).sum(axis=1, keepdims=True)
    splits &= ahead.max(axis=1) > -2e-3
    rows = np.flatnonzero(splits)
    if not len(rows):
        return rows
    light = illuminance_from_strip(
        spots[rows].reshape(-1, 3),
        np.repeat(patches.normals[rows], len(s), axis=0),
        strip,
        blockers,
    ).reshape(len(rows), -1)
    close = distance[rows] < 0.2
    return np.asarray(rows[(light.max(axis=1) > 0.0) | close])


def _side_lengths(corners: Floats) -> Floats:
    """Mean lengths (N, 2) of the first and second pair of sides."""
    a, b, c, d = (corners[:, i] for i in range(4))
    one = 0.5 * (np.linalg.norm(b - a, axis=1) + np.linalg.norm(c - d, axis=1))
    two = 0.5 * (np.linalg.norm(d - a, axis=1) + np.linalg.norm(c - b, axis=1))
    return np.stack([one, two], axis=1)


def _split(patches: Patches, chosen: Ints, strip: StripSource, detail: Detail) -> Cells:
    quads = patches.corners[chosen]
    # turn each quad so that its first side runs along the strip
    run = unit(strip.path[-1] - strip.path[0])
    first = np.abs((unit(quads[:, 1] - quads[:, 0]) * run).sum(axis=1))
    second = np.abs((unit(quads[:, 3] - quads[:, 0]) * run).sum(axis=1))
    quads = np.where((first >= second)[:, None, None], quads, np.roll(quads, -1, axis=1))
    sides = _side_lengths(quads)
    ends = strip.path[[0, -1]]

    def wants_across(which: Ints, low: Floats, high: Floats) -> Bools:
        t = np.stack([low, 0.5 * (low + high), high], axis=1)
        t = np.tile(t, (1, 3))
        s = np.tile(np.repeat([0.02, 0.5, 0.98], 3), (len(which), 1))
        spots, _ = quad_points(quads[which], s, t)
        distance = _distance(spots, strip).min(axis=1)
        size = (high - low) * sides[which, 1]
        return np.asarray(size > np.maximum(detail.across * distance, detail.least_across_m))

    def wants_along(which: Ints, low: Floats, high: Floats) -> Bools:
        s = np.tile(np.stack([low, 0.5 * (low + high), high], axis=1), (1, 5))
        t = np.tile(np.repeat([0.0, 0.25, 0.5, 0.75, 1.0], 3), (len(which), 1))
        spots, _ = quad_points(quads[which], s, t)
        distance = _distance(spots, strip).min(axis=1)
        to_end = np.linalg.norm(spots[:, :, None] - ends, axis=3).min(axis=(1, 2))
        size = (high - low) * sides[which, 0]
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
    middle = 0.5 * (u0 + u1)[lead]
    line, _ = quad_points(
        quads[owner[lead]],
        np.stack([middle, middle], axis=1),
        np.tile([0.0, 1.0], (len(lead), 1)),
    )
    a, b, c, d = (corners[order, i] for i in range(4))
    return Cells(
        patch=chosen[owner[order]],
        low=t0[order],
        high=t1[order],
        column=columns[order],
        column_start=line[:, 0],
        column_end=line[:, 1],
        start=0.5 * (a + d),
        end=0.5 * (b + c),
        across=0.5 * (d + c) - 0.5 * (a + b),
        corners=corners[order],
        normal=patches.normals[chosen[owner[order]]],
        area=area[order],
    )


def _halve(count: int, wants: object) -> list[Floats]:
    """Edges from 0 to 1 for each of ``count`` ranges, halved while ``wants`` says so."""
    assert callable(wants)
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


def _first_light(
    cells: Cells, strip: StripSource, blockers: Sequence[Blocker]
) -> tuple[Floats, Floats]:
    """Mean direct illuminance of the cells, and its tilt across them (-1 to 1)."""
    nodes, weights = np.polynomial.legendre.leggauss(3)
    t = np.repeat(0.5 + 0.5 * nodes, 2)
    s = np.tile([0.5 - 0.5 / np.sqrt(3), 0.5 + 0.5 / np.sqrt(3)], 3)
    spots, density = quad_points(cells.corners, s, t)
    light = illuminance_from_strip(
        spots.reshape(-1, 3), np.repeat(cells.normal, 6, axis=0), strip, blockers
    ).reshape(len(cells), 6)
    share = density * np.repeat(weights, 2) / 4.0
    mean = (light * share).sum(axis=1)
    lever = (light * share * 3.0 * np.repeat(nodes, 2)).sum(axis=1)
    tilt = np.divide(lever, mean, out=np.zeros_like(mean), where=mean > 0.0)
    return mean, np.clip(tilt, -1.0, 1.0)


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
    length = np.linalg.norm(end - start, axis=1)
    along = (end - start) / length[:, None]
    result = np.empty((len(points), len(start)))
    a_u, a_f = (start * along).sum(axis=1), (start * facing).sum(axis=1)
    height = max(1, 24_000 // max(len(start), 1))
    for first in range(0, len(points), height):
        rows = slice(first, first + height)
        p, n = points[rows], normals[rows]
        foot = p @ along.T - a_u
        emission = p @ facing.T - a_f
        level = n @ start.T - (n * p).sum(axis=1)[:, None]
        slope = n @ along.T
        square = np.zeros_like(foot)
        for axis in range(3):
            step = p[:, axis, None] - start[None, :, axis]
            square += step * step
        h2 = np.maximum(square - foot * foot, 1e-10)
        h = np.sqrt(h2)
        with np.errstate(divide="ignore", invalid="ignore"):
            root = -level / slope
        low = np.where(slope > 0.0, np.minimum(np.maximum(root, 0.0), length), 0.0)
        high = np.where(slope < 0.0, np.minimum(np.maximum(root, 0.0), length), length)
        low -= foot
        high -= foot
        at_foot = level + slope * foot
        s_low, s_high = low * low + h2, high * high + h2
        angle = np.arctan2((high - low) * h, h2 + low * high)
        j0 = (high / s_high - low / s_low + angle / h) / (2.0 * h2)
        j1 = 0.5 / s_low - 0.5 / s_high
        value = emission * (at_foot * j0 + slope * j1)
        lit = (emission > 0.0) & (level + slope * length * (slope > 0.0) > 0.0) & (high > low)
        result[rows] = np.where(lit, np.maximum(value, 0.0), 0.0)
    result *= width / np.pi
    return result


def _exchange(cells: Cells, blockers: Sequence[Blocker]) -> Floats:
    """Exchange areas (n, n) among the cells, symmetric."""
    length = np.linalg.norm(cells.end - cells.start, axis=1)
    width = cells.area / length
    centre = 0.5 * (cells.start + cells.end)
    reach = 0.5 / np.sqrt(3.0)
    step = reach * (cells.end - cells.start)
    half = 0.5 * (
        line_factors(centre - step, cells.normal, cells.start, cells.end, cells.normal, width)
        + line_factors(centre + step, cells.normal, cells.start, cells.end, cells.normal, width)
    )
    exchange = 0.5 * (half * cells.area[:, None] + (half * cells.area[:, None]).T)
    # touching or nearly touching cells that are not narrow against their distance
    gap = np.sqrt(np.maximum(_line_distance2(cells, centre), 0.0))
    wide = np.maximum(width[:, None], width[None, :])
    i, j = np.nonzero(np.triu((exchange > 0.0) & (gap < 1.5 * wide), 1))
    if len(i):
        exchange[i, j] = exchange[j, i] = _exact_exchange(cells, i, j)
    if blockers:
        one, two = (
            centre - 0.31 * (cells.end - cells.start),
            centre + 0.23 * (cells.end - cells.start),
        )
        one, two = one + 0.2 * cells.across, two - 0.3 * cells.across
        seen = visible_pairs(one, two, blockers)
        exchange *= 0.5 * seen + 0.5 * seen.T
    return exchange


def _line_distance2(cells: Cells, centre: Floats) -> Floats:
    """Squared distance of cell middles from the middle lines of all cells (n, n)."""
    d = cells.end - cells.start
    length2 = (d * d).sum(axis=1)
    t = np.clip((centre @ d.T - (cells.start * d).sum(axis=1)) / length2, 0.0, 1.0)
    total = np.zeros_like(t)
    for axis in range(3):
        step = centre[:, axis, None] - cells.start[None, :, axis] - t * d[None, :, axis]
        total += step * step
    return np.minimum(total, total.T)


def _exact_exchange(cells: Cells, i: Ints, j: Ints) -> Floats:
    swap = cells.area[i] > cells.area[j]
    small, large = np.where(swap, j, i), np.where(swap, i, j)
    g = 0.5 / np.sqrt(3.0)
    s, t = (
        np.array([0.5 - g, 0.5 + g, 0.5 + g, 0.5 - g]),
        np.array([0.5 - g, 0.5 - g, 0.5 + g, 0.5 + g]),
    )
    spots, density = quad_points(cells.corners[small], s, t)
    flat = spots.reshape(-1, 3)
    source = np.repeat(large, 4)
    factor = configuration_factor(
        flat, np.repeat(cells.normal[small], 4, axis=0), cells.corners[source]
    )
    ahead = ((flat - cells.corners[source, 0]) * cells.normal[source]).sum(axis=1) > 0.0
    mean = (np.where(ahead, factor, 0.0).reshape(-1, 4) * density).mean(axis=1)
    return np.asarray(mean * cells.area[small])


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
    exchange: Floats,
    tilt: Floats,
    strip: StripSource,
) -> Floats:
    """Mean factors (N, n) from far patches to cells, scaled so that no light is lost."""
    far = np.ones(len(patches), dtype=bool)
    far[chosen] = False
    distance = _distance(patches.centres, strip) - patches.radii
    start, end, width = _emitting_lines(cells, tilt)
    onto = np.zeros((len(patches), len(cells)))
    for rows, k in (
        (np.flatnonzero(far & (distance < 0.4)), 4),
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
            side = (np.arange(len(mine)) * 0.754878 + 0.3) % 1.0 - 0.5
            target = (
                start[mine]
                + phase[:, None] * (end - start)[mine]
                + 0.8 * side[:, None] * cells.across[mine]
            )
            if blockers and len(lit_rows):
                factor[lit_rows] *= visible_pairs(flat[lit_rows], target, blockers)
            share = (
                factor.reshape(len(rows), k * k, -1)
                * density[..., None]
                / density.sum(axis=1)[:, None, None]
            )
            onto[np.ix_(rows, mine)] = share.sum(axis=1)
    escaped = patches.areas @ onto
    wanted = np.maximum(cells.area - exchange.sum(axis=0), 0.0)
    onto *= np.divide(wanted, escaped, out=np.zeros_like(wanted), where=escaped > 0.0)
    return onto


def _to_sensors(
    blockers: Sequence[Blocker], cells: Cells, points: Floats, normals: Floats, tilt: Floats
) -> Floats:
    """Factors (s, n) from sensors to cells; hidden parts of columns are exact intervals."""
    start, end, width = _emitting_lines(cells, tilt)
    factor = line_factors(points, normals, start, end, cells.normal, width)
    if not blockers:
        return factor
    n, columns = len(points), len(cells.column_start)
    ahead = np.zeros((n, columns), dtype=bool)
    np.logical_or.at(ahead.T, cells.column, (factor > 0.0).T)
    i, j = np.nonzero(ahead)
    visible = np.ones_like(factor)
    for blocker in blockers:
        face, offset = blocker.half_spaces()
        beyond_p = points @ face.T >= offset - 1e-6
        beyond_c = (cells.column_start @ face.T >= offset - 1e-6) & (
            cells.column_end @ face.T >= offset - 1e-6
        )
        may = np.flatnonzero(~(beyond_p[i] & beyond_c[j]).any(axis=1))
        if not len(may):
            continue
        a, b = i[may], j[may]
        t0, t1 = hidden_interval(points[a], cells.column_start[b], cells.column_end[b], blocker)
        low, high = np.zeros((n, columns)), np.zeros((n, columns))
        low[a, b], high[a, b] = t0, np.maximum(t0, t1)
        size = cells.high - cells.low
        x0 = np.clip((low[:, cells.column] - cells.low) / size, 0.0, 1.0)
        x1 = np.clip((high[:, cells.column] - cells.low) / size, 0.0, 1.0)
        visible -= (x1 - x0) * (1.0 + tilt * (x1 + x0 - 1.0))
    return np.asarray(factor * np.maximum(visible, 0.0))
