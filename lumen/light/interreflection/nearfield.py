"""The near field of a strip, carried apart from the room.

A strip a few centimetres from a wall lights it so steeply that the room's patches cannot follow.
The patches near the strip are split into cells that belong to the strip alone::

    strip --closed form--> cells --local exchange--> cells --lines of light--> far patches
                             |                                                     |
                             '---------lines of light-----> sensors <--transport---'

    (what a solid hides of a line of light is one interval, taken exactly)

Whole patches are taken, so every patch is either near (its first light is carried by cells)
or far. What comes back from the room onto near patches is smooth, and the room's own patches
carry it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lumen.light.direct import illuminance_from_strip
from lumen.light.geometry import Bools, Floats, Ints
from lumen.light.interreflection.cells import (
    BEND_OF_TILT,
    FULL,
    CellLight,
    Cells,
    Detail,
    cells_of,
    distance_from_strip,
    near_patches,
)
from lumen.light.interreflection.exchange import closed, exchange_among, settled
from lumen.light.interreflection.mesh import Patches, quad_points
from lumen.light.interreflection.shares import seen_factors
from lumen.light.sources import StripSource
from lumen.light.visibility import Blocker

__all__ = ["NearField", "near_field"]


@dataclass(frozen=True, eq=False)
class NearField:
    """What the cells of one strip do.

    Attributes
    ----------
    cells : Cells
    shape : CellLight
        How the exitance of the cells lies.
    first : (n,)
        Direct illuminance of the cells [lx].
    exitance : (c, n)
        Exitance after all exchange among the cells [lm/m²].
    received : (c, n)
        Illuminance of the cells from one another [lx].
    onto_far : (c, 4 N)
        Mean illuminance of quarters of far patches from the cells; 0 on near patches [lx].
    blockers : sequence of Blocker
        What hides cells from those who look at them.
    """

    cells: Cells
    shape: CellLight
    first: Floats
    exitance: Floats
    received: Floats
    onto_far: Floats
    blockers: Sequence[Blocker]

    @property
    def nbytes(self) -> int:
        """Memory held [bytes]."""
        parts = (*vars(self.cells).values(), *vars(self.shape).values(), *vars(self).values())
        return int(sum(part.nbytes for part in parts if isinstance(part, np.ndarray)))

    def at(self, points: Floats, normals: Floats, *, glimpse: float | None = None) -> Floats:
        """Illuminance of points from the cells (c, m) [lx]; ``glimpse`` as in `seen_factors`."""
        single = self.exitance.astype(np.float32)
        given = [(single @ seen.T).astype(float) for seen in self._seen(points, normals, glimpse)]
        return np.concatenate(given, axis=1) if given else np.zeros((len(single), 0))

    def by_patch(self, points: Floats, normals: Floats) -> tuple[Ints, Floats]:
        """Near patches (k,), and what points get from the cells of each (c, m, k) [lx]."""
        starts = np.flatnonzero(np.diff(self.cells.patch, prepend=-1))
        single = self.exitance.astype(np.float32)
        given = [
            np.add.reduceat(single[:, None] * seen, starts, axis=2)
            for seen in self._seen(points, normals)
        ]
        empty = np.zeros((len(single), 0, len(starts)))
        return self.cells.patch[starts], np.concatenate([empty, *given], axis=1)

    def _seen(
        self, points: Floats, normals: Floats, glimpse: float | None = None
    ) -> Iterator[Floats]:
        """Factors (some, n) from points to cells, some points at a time."""
        for k in range(0, len(points), _POINTS):
            some = slice(k, k + _POINTS)
            yield seen_factors(
                points[some],
                normals[some],
                self.cells,
                self.shape,
                self.blockers,
                glimpse=glimpse,
            )


_POINTS = 400  # at a time: each takes some 16 bytes a cell


def near_field(
    patches: Patches,
    blockers: Sequence[Blocker],
    strip: StripSource,
    *,
    detail: Detail = FULL,
) -> NearField | None:
    """Solve the near field of a strip; ``None`` when no patch is near it."""
    chosen, glow = near_patches(patches, blockers, strip, detail)
    if not len(chosen):
        return None
    cells = cells_of(patches, chosen, glow, strip, detail)
    light = _first_light(cells, strip, blockers)
    exchange = exchange_among(cells, blockers)
    rho = patches.reflectances[cells.patch].T
    shape = _shape(*settled(exchange, rho, light, within=1e-2)[:2], rho, light)
    escape = 1.0 - exchange.even.sum(axis=1)
    leaky = np.flatnonzero(escape > _SEALED)
    sent = (escape * cells.area * (rho * light.mean).sum(axis=0))[leaky]
    bright = _makes_up(detail.bright, sent)
    some, its = cells.subset(leaky), shape.subset(leaky)
    onto = _to_far(patches, blockers, some, its, chosen, bright, strip)
    exchange, onto = closed(exchange, onto, cells, leaky, shape.tilt, patches.quarters.areas)
    exitance, tilted, received = settled(exchange, rho, light)
    shape = _shape(exitance, tilted, rho, light)
    single = exitance.astype(np.float32)
    return NearField(
        cells=cells,
        shape=shape,
        first=light.mean,
        exitance=exitance,
        received=received,
        onto_far=(single[:, leaky] @ onto.T).astype(float),
        blockers=blockers,
    )


def _first_light(cells: Cells, strip: StripSource, blockers: Sequence[Blocker]) -> CellLight:
    moments, light = _moments(cells, strip, blockers, 3, 2)
    rough = np.flatnonzero(light.min(axis=1) < 0.1 * light.max(axis=1))
    if len(rough):
        moments[:, rough], _ = _moments(cells.subset(rough), strip, blockers, 10, 4)
    mean = moments[0]
    return CellLight(mean, *np.clip(moments[1:] / np.where(mean > 0.0, mean, 1.0), -1.0, 1.0))


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


def _shape(exitance: Floats, tilted: Floats, rho: Floats, light: CellLight) -> CellLight:
    """How the exitance (c, n) of cells lies, all channels together.

    What cells receive from one another is known by mean and tilt; it falls off from the strip like
    an exponential.
    """
    total = exitance.sum(axis=0)
    per_total = np.divide(1.0, total, out=np.zeros_like(total), where=total > 0.0)
    tilt = tilted.sum(axis=0) * per_total
    direct = np.clip((rho * light.mean).sum(axis=0) * per_total, 0.0, 1.0)
    other = np.maximum(1.0 - direct, 1e-9)
    fall = np.clip((tilt - direct * light.tilt) / other, -1.0, 1.0)
    bend = direct * light.bend + other * BEND_OF_TILT * fall * fall
    return CellLight(total, tilt, bend, direct * light.slope)


def _makes_up(share: float, values: Floats) -> Bools:
    """Which of the largest values (n,) make up a share of their sum."""
    order = np.argsort(-values)
    before = np.cumsum(values[order]) - values[order]
    result = np.zeros(len(values), dtype=bool)
    result[order] = before < share * values.sum()
    return result


def _to_far(
    patches: Patches,
    blockers: Sequence[Blocker],
    cells: Cells,
    light: CellLight,
    chosen: Ints,
    bright: Bools,
    strip: StripSource,
) -> Floats:
    """Mean factors (4 N, n) from the quarters of far patches to cells; 0 for near patches.

    Every quarter looks at each bright cell; at another, the patch as a whole.
    """
    far = np.ones(len(patches), dtype=bool)
    far[chosen] = False
    distance = distance_from_strip(patches.centres, strip) - patches.radii
    beside, beyond = (
        np.flatnonzero(far & near) for near in (distance < _BESIDE_M, distance >= _BESIDE_M)
    )
    onto = np.zeros((len(patches), 4, len(cells)), dtype=np.float32)
    whole = (range(4), ~bright, (0.0, 0.0), 1.0, 0.0)
    # the quarters look at all of a column in turn
    quarters = (
        ((k,), bright, (0.5 * (k % 2), 0.5 * (k // 2)), 0.5, at)
        for k, at in enumerate((-0.75, 0.25, -0.25, 0.75))
    )
    for those, which, corner, size, at in (whole, *quarters):
        mine = np.flatnonzero(which)
        if not len(mine):
            continue
        close = quad_points(patches.corners[beside], *_evenly(corner, size))
        single = quad_points(patches.corners[beyond], *_scattered(beyond, corner, size))
        count = close[1].shape[1]
        factor = seen_factors(
            np.concatenate([close[0].reshape(-1, 3), single[0][:, 0]]),
            patches.normals[np.concatenate([np.repeat(beside, count), beyond])],
            cells.subset(mine),
            light.subset(mine),
            blockers,
            glimpse=at,
        )
        weight = (close[1] / close[1].sum(axis=1, keepdims=True)).astype(np.float32)
        split = factor[: weight.size].reshape(*weight.shape, len(mine))
        for k in those:
            onto[beside[:, None], k, mine] = np.einsum("rkn,rk->rn", split, weight)
            onto[beyond[:, None], k, mine] = factor[weight.size :]
    return onto.reshape(-1, len(cells))


def _evenly(corner: tuple[float, float], size: float) -> tuple[Floats, Floats]:
    """Four places in a part of a patch: of one that is beside a cell."""
    k = np.arange(4)
    return corner[0] + size * (k % 2 + 0.5) / 2.0, corner[1] + size * (k // 2 + 0.5) / 2.0


def _scattered(rows: Ints, corner: tuple[float, float], size: float) -> tuple[Floats, Floats]:
    """One place in a part of each patch, each elsewhere, those of its four quarters about its middle.

    What a cell far down the gap sees of the ceiling may be no wider than a quarter of a patch, and
    must not fall in step with their rows. The four places of a patch are one turned by right angles
    about its middle, so that light that changes evenly over the patch is met exactly: places that
    were scattered one by one left 0.1 to 0.2 % of noise in the mean of a room.
    """
    number = rows[:, None] + 0.5
    s, t = (_ALONG * number) % 1.0 - 0.5, (_UP * number) % 1.0 - 0.5
    right, upper = corner[0] > 0.0, corner[1] > 0.0
    if right != upper:  # a quarter turn, one way or the other
        s, t = (t, -s) if right else (-t, s)
    elif right:
        s, t = -s, -t
    return corner[0] + size * (0.5 + s), corner[1] + size * (0.5 + t)


_BESIDE_M = 0.4  # patches nearer are seen in their quarters; a tenth moves p95 by 0.02 %
_ALONG, _UP = 0.7548776662, 0.5698402910  # the plane's evenest additive recurrence
_SEALED = 0.001  # a leak below this share is none; a tenth moves p95 by 0.01 %
