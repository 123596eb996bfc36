"""The room's light exchange, solved once and then reused for every light in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lumen.errors import GeometryError
from lumen.light.geometry import Floats, unit
from lumen.light.interreflection.conservation import scale_to_areas
from lumen.light.interreflection.factors import exchange_areas, sensor_factors
from lumen.light.interreflection.mesh import Patches, patches_of
from lumen.light.room import Room
from lumen.light.visibility import Blocker, blockers_of

__all__ = ["EDGE_M", "MOST_PATCHES", "Health", "Sensors", "Transport"]

EDGE_M = 0.4
"""Largest side of a patch [m]; the errors in DEVELOPERS are for this one."""

MOST_PATCHES = 1800
"""A room that would have more gets larger ones: memory grows with their number squared, and this
many hold some 0.3 GB. A bedroom of 9 x 8 m stays just below."""

_BLOCK_BYTES = 10_000_000
"""Sensors are set up so many at a time that one array of theirs, of twenty, holds this much."""


@dataclass(frozen=True)
class Health:
    """How well the exchange closes before and after it is scaled.

    Attributes
    ----------
    row_sum_min, row_sum_p1, row_sum_median, row_sum_max : float
        Raw sums of form factors over all patches; 1 would be perfect, 0.9 to 1.1 is good.
    scaled_row_error : float
        Largest distance of the scaled sums from 1.
    reciprocity_error : float
        Largest difference between A_i F_ij and A_j F_ji, over the largest exchange area.
    flux_error : float
        Relative error of absorbed against given flux when every patch is lit evenly.
    """

    row_sum_min: float
    row_sum_p1: float
    row_sum_median: float
    row_sum_max: float
    scaled_row_error: float
    reciprocity_error: float
    flux_error: float


@dataclass(frozen=True, eq=False)
class Sensors:
    """Fixed points with their adjoint rows.

    Attributes
    ----------
    points, normals : (n, 3)
    row_sum : (n,)
        Raw sum of configuration factors over all patches; near 0 inside furniture.
    gather : (n, 4 N)
        Configuration factors to quarters of patches, scaled to sum to 1.
    adjoint : (c, n, N)
        Bounced illuminance for each lux of direct light on a patch; c is 1 or 3 channels.
    """

    points: Floats
    normals: Floats
    row_sum: Floats
    gather: Floats
    adjoint: Floats

    def __len__(self) -> int:
        return len(self.points)

    @property
    def nbytes(self) -> int:
        """Memory held [bytes]."""
        arrays = (self.points, self.normals, self.row_sum, self.gather, self.adjoint)
        return int(sum(a.nbytes for a in arrays))


@dataclass(frozen=True, eq=False)
class Transport:
    """Diffuse exchange between all patches of a room.

    Build it with `from_room`; it depends on surfaces and furniture alone, never on lights.

    Notes
    -----
    Patches with even exitance B: ``A_i B_i = rho_i (A_i E0_i + sum_j S_ij B_j)`` with exchange
    areas S symmetric and scaled so that every row sums to A_i; light is then neither lost nor made.
    Valid for surfaces that scatter evenly (Lambert); gloss and mirrors are not modelled.
    """

    patches: Patches
    quarters: Patches
    blockers: tuple[Blocker, ...]
    exchange: Floats
    inverse: Floats
    health: Health
    edge_m: float = EDGE_M

    @classmethod
    def from_room(cls, room: Room, *, edge_m: float | None = None) -> Transport:
        """Set up the exchange of a room.

        Parameters
        ----------
        room : Room
        edge_m : float
            Largest side of a patch [m]; smaller is more exact and slower. Left out: 0.4 m, or in
            a large room as much as keeps the patches under `MOST_PATCHES`.

        Raises
        ------
        GeometryError
            When the patches cannot be made.
        """
        edge, patches = _patches_that_fit(room) if edge_m is None else (edge_m, None)
        patches = patches_of(room, edge_m=edge) if patches is None else patches
        blockers = blockers_of(room)
        raw = exchange_areas(patches, blockers)
        scaled, _ = scale_to_areas(raw, patches.areas)
        root = np.sqrt(patches.reflectances.T)
        inverse = np.stack([_inverse(patches.areas, r, scaled) for r in root])
        health = _health(patches, raw, scaled, inverse)
        return cls(
            patches,
            patches.quarters,
            blockers,
            scaled.astype(np.float32),
            inverse,
            health,
            edge,
        )

    @property
    def nbytes(self) -> int:
        """Memory held [bytes]."""
        return int(self.exchange.nbytes + self.inverse.nbytes + self.patches.corners.nbytes * 10)

    @property
    def channels(self) -> int:
        """1 in a grey room, 3 in a coloured one."""
        return len(self.inverse)

    def exitance(self, direct: Floats) -> Floats:
        """Exitance (c, N) [lm/m²] of all patches for their mean direct illuminance (c, N) [lx]."""
        root = np.sqrt(self.patches.reflectances.T)
        given = root * (self.patches.areas * direct)
        return np.stack(
            [r * (inv @ g) for r, inv, g in zip(root, self.inverse, given, strict=True)]
        )

    def whole(self, quarters: Floats) -> Floats:
        """Means over patches (N,) of values on their quarters (4 N,)."""
        sums = (quarters * self.quarters.areas).reshape(-1, 4).sum(axis=1)
        return np.asarray(sums / self.quarters.areas.reshape(-1, 4).sum(axis=1))

    def received(self, exitance: Floats) -> Floats:
        """Bounced illuminance (c, N) [lx] of all patches for their exitance (c, N)."""
        return np.asarray(exitance @ self.exchange / self.patches.areas)

    def sensors(self, points: Floats, normals: Floats) -> Sensors:
        """Prepare fixed sensors.

        Parameters
        ----------
        points, normals : (n, 3)
            Where [m] and which way they look.

        Raises
        ------
        GeometryError
            When the arrays do not match or a normal is zero.
        """
        p = np.array(points, dtype=float).reshape(-1, 3)
        n = unit(np.broadcast_to(np.asarray(normals, dtype=float), p.shape))
        if not np.isfinite(p).all() or not np.isfinite(n).all():
            raise GeometryError("sensors", "must be finite", None)
        if len(p) and np.linalg.norm(n, axis=1).min() < 0.5:
            raise GeometryError("sensors.normals", "must not be zero", None)
        at_once = max(16, _BLOCK_BYTES // (8 * len(self.quarters)))
        if len(p) > at_once:
            parts = [
                self.sensors(p[first : first + at_once], n[first : first + at_once])
                for first in range(0, len(p), at_once)
            ]
            return Sensors(
                p,
                n,
                np.concatenate([part.row_sum for part in parts]),
                np.concatenate([part.gather for part in parts]),
                np.concatenate([part.adjoint for part in parts], axis=1),
            )
        gather = sensor_factors(self.quarters, p, n, self.blockers)
        row_sum = gather.sum(axis=1)
        gather = gather / np.where(row_sum > 0.2, row_sum, 1.0)[:, None]
        return Sensors(p, n, row_sum, gather.astype(np.float32), self.adjoint(gather))

    def adjoint(self, gather: Floats) -> Floats:
        """Bounced light (c, n, N) for each lux of direct light on a patch, by rows of factors.

        ``gather`` (n, 4 N) are configuration factors to quarters of patches.
        """
        whole = gather.reshape(len(gather), -1, 4).sum(axis=2)
        root = np.sqrt(self.patches.reflectances.T)
        rows = np.stack(
            [
                ((whole * r).astype(np.float32) @ inv) * (r * self.patches.areas)
                for r, inv in zip(root, self.inverse, strict=True)
            ]
        )
        return np.asarray(rows.astype(np.float32))


def _patches_that_fit(room: Room) -> tuple[float, Patches]:
    """Patches of the usual size, or of the least larger one tried that keeps to their number."""
    edge = EDGE_M
    while True:
        patches = patches_of(room, edge_m=edge)
        # Cuts along furniture stay however long the sides may be: past 3 m nothing is gained.
        if len(patches) <= MOST_PATCHES or edge > 3.0:
            return edge, patches
        edge *= max(1.1, (len(patches) / MOST_PATCHES) ** 0.5)


def _inverse(areas: Floats, root: Floats, exchange: Floats) -> Floats:
    """Inverse (N, N) of ``diag(A) - r S r``, in single precision.

    Taken of ``1 - r S r / sqrt(A_i A_j)``, whose condition is that of the reflectances alone, about
    1 / (1 - rho), however much the patches differ in size: half the time of double precision, and
    the answer is as exact as it is kept.
    """
    scale = 1.0 / np.sqrt(areas)
    by = scale * root
    system = (-by[:, None] * exchange * by).astype(np.float32)
    system.flat[:: len(areas) + 1] += 1.0
    inverse = np.linalg.inv(system)
    single = scale.astype(np.float32)
    return np.asarray(single[:, None] * inverse * single)


def _health(patches: Patches, raw: Floats, scaled: Floats, inverse: Floats) -> Health:
    rows = raw.sum(axis=1) / patches.areas
    shut = np.abs(scaled.sum(axis=1) / patches.areas - 1.0)
    root = np.sqrt(patches.reflectances[:, 0])
    b = root * (inverse[0] @ (root * patches.areas))
    e = 1.0 + scaled @ b / patches.areas
    absorbed = ((1.0 - patches.reflectances[:, 0]) * e * patches.areas).sum()
    return Health(
        row_sum_min=float(rows.min()),
        row_sum_p1=float(np.percentile(rows, 1)),
        row_sum_median=float(np.median(rows)),
        row_sum_max=float(rows.max()),
        scaled_row_error=float(shut.max()),
        reciprocity_error=float(np.abs(scaled - scaled.T).max() / max(scaled.max(), 1e-300)),
        flux_error=float(abs(absorbed / patches.areas.sum() - 1.0)),
    )
