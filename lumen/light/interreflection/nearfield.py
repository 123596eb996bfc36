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
    onto_far : (c, 4 N)
        Mean illuminance of quarters of far patches from the cells; 0 on near patches [lx].
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
    light = _first_light(cells, strip, blockers)
    exchange = _exchange(cells, blockers)
    rho = patches.reflectances[cells.patch].T
    tilt = _share(*_settle(cells, exchange, rho, light)[:2])
    leaky = np.flatnonzero(exchange.even.sum(axis=1) < _SEALED)
    some = cells.subset(leaky)
    onto = _to_far(patches, blockers, some, chosen, tilt[leaky], strip, detail)
    exchange, onto = _close(exchange, onto, cells, leaky, tilt, patches.quarters().areas)
    exitance, tilted, received = _settle(cells, exchange, rho, light)
    tilt, direct = _share(exitance, tilted), _share(exitance, rho * light.mean)
    shape = _Light(light.mean, tilt, direct * light.bend, direct * light.slope)
    seen = _to_sensors(blockers, cells, points, normals, shape)
    return NearField(
        cells=cells,
        first=light.mean,
        exitance=exitance,
        received=received,
        onto_far=np.asarray(exitance[:, leaky] @ onto.T),
        at_sensors=np.asarray(exitance @ seen.T),
    )


@dataclass(frozen=True, eq=False)
class _Light:
    """Direct illuminance of cells as mean (1 + tilt u + bend (3 u² - 1) / 2 + slope v).

    Across a cell u runs from -1 to 1, along it v.
    """

    mean: Floats
    tilt: Floats
    bend: Floats
    slope: Floats


@dataclass(frozen=True, eq=False)
class _Exchange:
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


def _first_light(cells: Cells, strip: StripSource, blockers: Sequence[Blocker]) -> _Light:
    moments, light = _moments(cells, strip, blockers, 3, 2)
    rough = np.flatnonzero(light.min(axis=1) < 0.3 * light.max(axis=1))
    if len(rough):
        moments[:, rough], _ = _moments(cells.subset(rough), strip, blockers, 10, 4)
    mean = moments[0]
    return _Light(mean, *np.clip(moments[1:] / np.where(mean > 0.0, mean, 1.0), -1.0, 1.0))


def _moments(
    cells: Cells, strip: StripSource, blockers: Sequence[Blocker], k: int, m: int
) -> tuple[Floats, Floats]:
    """Mean light of cells, its tilt, bend and slope times that; and the light itself."""
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
    shapes = np.stack([np.ones_like(t), 3.0 * t, 2.5 * (3.0 * t * t - 1.0), 3.0 * s])
    return shapes @ share.T, light


def _exchange(cells: Cells, blockers: Sequence[Blocker]) -> _Exchange:
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
    # half a cell is centred a quarter off the middle; two Gauss points lie a little further out
    arm = np.repeat([1.0 / np.sqrt(3.0), 0.5], [len(wide), len(close)])
    return _Exchange(even, arm * (upper - lower) * share, to, of)


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
_WIDE = 2.5
_NARROW = 6.0


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


def _settle(
    cells: Cells, exchange: _Exchange, rho: Floats, light: _Light
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


def _share(exitance: Floats, part: Floats) -> Floats:
    """A share (n,) of the exitance, of all channels together."""
    total = exitance.sum(axis=0)
    result = np.divide(part.sum(axis=0), total, out=np.zeros_like(total), where=total > 0.0)
    return np.asarray(result)


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
    """Mean factors (4 N, n) from the quarters of far patches to cells; 0 for near patches.

    Every quarter looks at a place of its own in each cell; in the rough, each cell is looked at
    from one quarter of a patch alone, which then speaks for all four.
    """
    far = np.ones(len(patches), dtype=bool)
    far[chosen] = False
    distance = distance_from_strip(patches.centres, strip) - patches.radii
    start, end, width = _emitting_lines(cells, tilt)
    onto = np.zeros((len(patches), 4, len(cells)), dtype=np.float32)
    rng = np.random.default_rng(3)
    turn = rng.integers(0, 4, len(cells))
    for quarter, (low, up) in enumerate(((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5))):
        place = ((turn + np.array([[1], [3]]) * quarter) % 4 + rng.random((2, len(cells)))) / 4.0
        side = _place(place[0], tilt) - 0.5
        target = cells.start + place[1, :, None] * (cells.end - cells.start)
        target += side[:, None] * cells.across
        mine = np.flatnonzero(turn == quarter) if detail.rough else np.arange(len(cells))
        for rows, k in (
            (np.flatnonzero(far & (distance < _BESIDE_M)), detail.points),
            (np.flatnonzero(far & (distance >= _BESIDE_M)), 1),
        ):
            nodes = (np.arange(k) + 0.5) / k
            s, t = (g.ravel() for g in np.meshgrid(low + 0.5 * nodes, up + 0.5 * nodes))
            spots, density = quad_points(patches.corners[rows], s, t)
            flat = spots.reshape(-1, 3)
            facing = np.repeat(patches.normals[rows], k * k, axis=0)
            factor = line_factors(
                flat, facing, start[mine], end[mine], cells.normal[mine], width[mine]
            )
            lit = np.flatnonzero(factor.any(axis=1))
            if blockers and len(lit):
                factor[lit] *= visible_pairs(flat[lit], target[mine], blockers)
            weight = (density / density.sum(axis=1, keepdims=True)).astype(np.float32)
            mean = np.einsum("rkn,rk->rn", factor.reshape(len(rows), k * k, len(mine)), weight)
            for q in range(4) if detail.rough else (quarter,):
                onto[rows[:, None], q, mine] = mean
    return onto.reshape(-1, len(cells))


_BESIDE_M = 0.4


def _close(
    exchange: _Exchange, onto: Floats, cells: Cells, leaky: Ints, tilt: Floats, areas: Floats
) -> tuple[_Exchange, Floats]:
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
    scaled = _Exchange(
        exchange.even * scale, exchange.tilted * scale[exchange.of], exchange.to, exchange.of
    )
    return scaled, np.asarray(onto * outward[leaky])


_SEALED = 0.997
_FAR_DOUBT = 10.0


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
    shape: _Light,
) -> Floats:
    """Factors (s, n) from sensors to cells; hidden parts of columns are exact intervals."""
    start, end, width = _emitting_lines(cells, shape.tilt)
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
            below = [
                _share_below(
                    np.clip((t[some][pair] - cells.low[cell]) / size[cell], 0.0, 1.0),
                    shape.tilt[cell],
                    shape.bend[cell],
                )
                for t in (t0, t1)
            ]
            free[at, cell] -= below[1] - below[0]
        share = (1.0 + shape.slope * (line - 1) * 2.0 / 3.0) / 3.0
        visible += np.maximum(free, 0.0) * share.astype(np.float32)
    return np.asarray(factor * visible)


def _share_below(x: Floats, tilt: Floats, bend: Floats) -> Floats:
    """Share of a cell's light below x (0 to 1) across it."""
    return np.asarray(x + (x * x - x) * (tilt + bend * (2.0 * x - 1.0)))


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
