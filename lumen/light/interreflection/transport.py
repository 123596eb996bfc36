"""The room's light exchange, solved once and then reused for every light in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lumen.errors import GeometryError
from lumen.light.direct import illuminance_from
from lumen.light.geometry import Floats, unit
from lumen.light.interreflection.cells import DRAG, FULL, Detail
from lumen.light.interreflection.emission import mean_from_panel, mean_from_point, mean_from_strip
from lumen.light.interreflection.factors import balanced, exchange_areas, sensor_factors
from lumen.light.interreflection.mesh import Patches, patches_of
from lumen.light.interreflection.nearfield import near_field
from lumen.light.room import Room
from lumen.light.sources import PointSource, Source, StripSource
from lumen.light.visibility import Blocker, blockers_of

__all__ = ["PHOTOMETRIC", "Health", "LightMap", "Sensors", "Transport", "illuminance_map"]

# Share of linear red, green, blue in luminance: Rec. ITU-R BT.709-6 (2015), item 3.2.
PHOTOMETRIC = np.array([0.2126, 0.7152, 0.0722])


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
class LightMap:
    """What one source does at full output.

    Attributes
    ----------
    direct, bounced : (n,)
        Illuminance at the sensors [lx], photometric.
    patch_illuminance : (N,)
        Mean illuminance of the patches, direct and bounced [lx].
    patch_exitance : (N,)
        Mean exitance of the patches [lm/m²].
    bounced_rgb, patch_exitance_rgb : (n, 3), (N, 3) or None
        The same in three channels when the room is coloured; the source counts as white.
    captured_flux_lm : float
        Direct flux that reached the patches [lm]; near the source's flux when all is well.
    """

    direct: Floats
    bounced: Floats
    patch_illuminance: Floats
    patch_exitance: Floats
    bounced_rgb: Floats | None
    patch_exitance_rgb: Floats | None
    captured_flux_lm: float

    @property
    def total(self) -> Floats:
        """Direct and bounced illuminance at the sensors (n,) [lx]."""
        return self.direct + self.bounced


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

    @classmethod
    def from_room(cls, room: Room, *, edge_m: float = 0.4) -> Transport:
        """Set up the exchange of a room.

        Parameters
        ----------
        room : Room
        edge_m : float
            Largest side of a patch [m]; smaller is more exact and slower.

        Raises
        ------
        GeometryError
            When the patches cannot be made.
        """
        patches = patches_of(room, edge_m=edge_m)
        blockers = blockers_of(room)
        raw = exchange_areas(patches, blockers)
        scaled, _ = balanced(raw, patches.areas)
        root = np.sqrt(patches.reflectances.T)
        inverse = np.stack(
            [np.linalg.inv(np.diag(patches.areas) - r[:, None] * scaled * r[None, :]) for r in root]
        )
        health = _health(patches, raw, scaled, inverse)
        return cls(
            patches,
            patches.quarters,
            blockers,
            scaled.astype(np.float32),
            inverse.astype(np.float32),
            health,
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
        gather = sensor_factors(self.quarters, p, n, self.blockers)
        row_sum = gather.sum(axis=1)
        gather = gather / np.where(row_sum > 0.2, row_sum, 1.0)[:, None]
        whole = gather.reshape(len(p), -1, 4).sum(axis=2)
        root = np.sqrt(self.patches.reflectances.T)
        adjoint = np.stack(
            [
                ((whole * r).astype(np.float32) @ inv) * (r * self.patches.areas)
                for r, inv in zip(root, self.inverse, strict=True)
            ]
        )
        return Sensors(p, n, row_sum, gather.astype(np.float32), adjoint.astype(np.float32))


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


def illuminance_map(
    transport: Transport, sensors: Sensors, source: Source, *, detail: str = "full"
) -> LightMap:
    """Everything one source does at full output: direct and bounced, sensors and patches.

    Parameters
    ----------
    transport : Transport
    sensors : Sensors
        Made by the same transport.
    source : PointSource, StripSource or PanelSource
    detail : "full" or "drag"
        How finely the near field of a strip is split; "drag" is faster and less exact.

    Returns
    -------
    LightMap

    Raises
    ------
    GeometryError
        When ``detail`` is neither of the two.
    """
    if detail not in ("full", "drag"):
        raise GeometryError("detail", "must be full or drag", detail)
    direct = illuminance_from(source, sensors.points, sensors.normals, transport.blockers)
    if isinstance(source, StripSource):
        return _strip_map(transport, sensors, source, direct, FULL if detail == "full" else DRAG)
    if isinstance(source, PointSource):
        fine = mean_from_point(transport.quarters, source, transport.blockers)
    else:
        fine = mean_from_panel(transport.quarters, source, transport.blockers)
    first = transport.whole(fine)
    exitance = transport.exitance(np.broadcast_to(first, (transport.channels, len(first))))
    bounced = sensors.adjoint @ first.astype(np.float32)
    bounced = bounced + _detail_of_first_bounce(transport, sensors, fine, first)
    received = first + transport.received(exitance)
    return _light_map(transport, direct, bounced, first, received, exitance)


def _strip_map(
    transport: Transport, sensors: Sensors, strip: StripSource, direct: Floats, detail: Detail
) -> LightMap:
    patches = transport.patches
    near = near_field(
        patches, transport.blockers, strip, sensors.points, sensors.normals, detail=detail
    )
    far = np.ones(len(patches), dtype=bool)
    if near is not None:
        far[near.cells.patch] = False
    rows = np.flatnonzero(far)
    each = np.zeros((len(patches), 4))
    each[rows] = mean_from_strip(patches.subset(rows), strip, transport.blockers)
    fine = each.ravel()
    first = transport.whole(fine)
    lit = np.broadcast_to(fine, (transport.channels, len(fine)))
    if near is not None:
        lit = lit + near.onto_far
    given = np.stack([transport.whole(each) for each in lit])
    exitance = transport.exitance(given)
    bounced = np.einsum("cnk,ck->cn", sensors.adjoint, given.astype(np.float32))
    bounced = bounced + _detail_of_first_bounce(transport, sensors, lit, given)
    received = given + transport.received(exitance)
    if near is not None:
        bounced = bounced + near.at_sensors
        cells = near.cells
        share = cells.area / patches.areas[cells.patch]
        first = first + np.bincount(cells.patch, near.first * share, len(patches))
        for c in range(transport.channels):
            lit = (near.first + near.received[c]) * share
            received[c] += np.bincount(cells.patch, lit, len(patches))
            exitance[c] += np.bincount(cells.patch, near.exitance[c] * share, len(patches))
    return _light_map(transport, direct, bounced, first, received, exitance)


def _detail_of_first_bounce(
    transport: Transport, sensors: Sensors, fine: Floats, whole: Floats
) -> Floats:
    """What sensors see more or less (c, n) because patches are not lit evenly.

    The adjoint takes every patch as evenly bright; after one bounce the edge of a shadow is
    still sharp, so the first bounce is gathered from quarters of patches.
    """
    uneven = fine - np.repeat(whole, 4, axis=-1)
    bright = (transport.quarters.reflectances.T * uneven).astype(np.float32)
    return np.asarray(bright @ sensors.gather.T)


def _light_map(
    transport: Transport,
    direct: Floats,
    bounced: Floats,
    first: Floats,
    received: Floats,
    exitance: Floats,
) -> LightMap:
    """Put one source's results together, channels first."""
    coloured = transport.channels == 3
    weights = PHOTOMETRIC if coloured else np.ones(1)
    return LightMap(
        direct=direct,
        bounced=np.asarray(weights @ bounced, dtype=float),
        patch_illuminance=np.asarray(weights @ received, dtype=float),
        patch_exitance=np.asarray(weights @ exitance, dtype=float),
        bounced_rgb=np.asarray(bounced.T, dtype=float) if coloured else None,
        patch_exitance_rgb=np.asarray(exitance.T, dtype=float) if coloured else None,
        captured_flux_lm=float(first @ transport.patches.areas),
    )
