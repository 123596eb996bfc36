"""What one source leaves on the surfaces of a room, and what any sensors get from it.

::

    source --direct--> quarters of patches --exchange--> exitance of quarters --> sensors
       '---near field of a strip--> cells ---------------------------------------> sensors

This is the one way from a source to a sensor's bounced light: whoever wants less than all of it at
every point (a picture) may draw the part from the quarters, which is smooth, out between fewer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lumen.errors import GeometryError
from lumen.light.direct import illuminance_from
from lumen.light.geometry import Floats
from lumen.light.interreflection.emission import mean_from_panel, mean_from_point, mean_from_strip
from lumen.light.interreflection.nearfield import NearField, near_field
from lumen.light.interreflection.settings import DRAG, FULL, NearFieldSettings
from lumen.light.interreflection.transport import Sensors, Transport
from lumen.light.sources import PointSource, Source, StripSource
from lumen.light.visibility import Blocker

__all__ = ["PHOTOMETRIC", "LightMap", "SurfaceLight", "illuminance_map", "surface_light"]

# Share of linear red, green, blue in luminance: Rec. ITU-R BT.709-6 (2015), item 3.2.
PHOTOMETRIC = np.array([0.2126, 0.7152, 0.0722])


@dataclass(frozen=True, eq=False)
class SurfaceLight:
    """What the surfaces of a room get of one source at full output, and give on.

    Attributes
    ----------
    quarters : (c, 4 N)
        Exitance of quarters of patches [lm/m²], without what the cells of a near field give.
    near : NearField or None
        The cells beside a strip.
    received : (c, N)
        Mean illuminance of the patches, direct and bounced [lx].
    exitance : (c, N)
        Mean exitance of the patches, cells and all [lm/m²].
    captured_flux_lm : float
        Direct flux that reached the patches [lm]; near the source's flux when all is well.
    """

    quarters: Floats
    near: NearField | None
    received: Floats
    exitance: Floats
    captured_flux_lm: float

    @property
    def patch_illuminance(self) -> Floats:
        """Mean illuminance of the patches (N,), direct and bounced, photometric [lx]."""
        return photometric(self.received)

    @property
    def patch_exitance(self) -> Floats:
        """Mean exitance of the patches (N,), photometric [lm/m²]."""
        return photometric(self.exitance)

    def less(self, other: SurfaceLight) -> SurfaceLight:
        """What is left of this light when another is taken away, neither with cells of a strip."""
        return SurfaceLight(
            quarters=self.quarters - other.quarters,
            near=None,
            received=self.received - other.received,
            exitance=self.exitance - other.exitance,
            captured_flux_lm=self.captured_flux_lm - other.captured_flux_lm,
        )

    @property
    def nbytes(self) -> int:
        """Memory held [bytes]."""
        own = self.quarters.nbytes + self.received.nbytes + self.exitance.nbytes
        return own + (0 if self.near is None else self.near.nbytes)

    def bounced(self, sensors: Sensors) -> Floats:
        """Illuminance (n,) [lx] that the surfaces give sensors."""
        return photometric(self.bounced_in_channels(sensors))

    def bounced_in_channels(self, sensors: Sensors) -> Floats:
        """The same in the room's channels (c, n)."""
        smooth = self._smooth(sensors)
        return (
            smooth if self.near is None else smooth + self.near.at(sensors.points, sensors.normals)
        )

    def smooth(self, sensors: Sensors) -> Floats:
        """The part (n,) [lx] that comes from quarters of patches: it changes slowly from place
        to place, but for what stands between.
        """
        return photometric(self._smooth(sensors))

    def steep(self, points: Floats, normals: Floats, *, rough: bool = False) -> Floats:
        """The part (n,) [lx] that comes from the cells beside a strip, at any points.

        ``rough`` looks at each column of cells along one line only.
        """
        if self.near is None:
            return np.zeros(len(points))
        return photometric(self.near.at(points, normals, glimpse=0.0 if rough else None))

    def by_patch(self, sensors: Sensors) -> Floats:
        """What sensors get from each patch (n, N) [lx]; over all patches that is `bounced`."""
        each = photometric(self.quarters).astype(np.float32) * sensors.gather
        by_patch: Floats = each.reshape(len(sensors), -1, 4).sum(axis=2)
        if self.near is not None:
            rows, given = self.near.by_patch(sensors.points, sensors.normals)
            by_patch[:, rows] += photometric(given)
        return by_patch

    def _smooth(self, sensors: Sensors) -> Floats:
        return np.asarray(self.quarters.astype(np.float32) @ sensors.gather.T, dtype=float)


def photometric(channels: Floats) -> Floats:
    """One value for the room's channels, which come first."""
    if len(channels) == 1:
        return np.asarray(channels[0], dtype=float)
    return np.asarray(np.tensordot(PHOTOMETRIC, channels, axes=1), dtype=float)


@dataclass(frozen=True, eq=False)
class LightMap:
    """What one source does at full output, at some sensors and on the surfaces.

    Attributes
    ----------
    direct, bounced : (n,)
        Illuminance at the sensors [lx], photometric.
    bounced_rgb : (n, 3) or None
        The same in three channels when the room is coloured; the source counts as white.
    surfaces : SurfaceLight
    """

    direct: Floats
    bounced: Floats
    bounced_rgb: Floats | None
    surfaces: SurfaceLight

    @property
    def total(self) -> Floats:
        """Direct and bounced illuminance at the sensors (n,) [lx]."""
        return self.direct + self.bounced

    @property
    def patch_illuminance(self) -> Floats:
        """Mean illuminance of the patches (N,), direct and bounced [lx]."""
        return self.surfaces.patch_illuminance

    @property
    def captured_flux_lm(self) -> float:
        """Direct flux that reached the patches [lm]."""
        return self.surfaces.captured_flux_lm


def illuminance_map(
    transport: Transport, sensors: Sensors, source: Source, *, detail: str = "full"
) -> LightMap:
    """Everything one source does at full output: direct and bounced, sensors and surfaces.

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
    surfaces = surface_light(transport, source, detail=detail)
    bounced = surfaces.bounced_in_channels(sensors)
    return LightMap(
        direct=illuminance_from(source, sensors.points, sensors.normals, transport.blockers),
        bounced=photometric(bounced),
        bounced_rgb=np.asarray(bounced.T, dtype=float) if transport.channels == 3 else None,
        surfaces=surfaces,
    )


def surface_light(
    transport: Transport,
    source: Source,
    *,
    detail: str = "full",
    besides: Sequence[Blocker] = (),
) -> SurfaceLight:
    """What one source at full output leaves on the surfaces of a room.

    Parameters, errors
    ------------------
    As for `illuminance_map`. ``besides`` are solids that hide the direct light of a point or a
    panel and take no part in the exchange.
    """
    if detail not in ("full", "drag"):
        raise GeometryError("detail", "must be full or drag", detail)
    if isinstance(source, StripSource):
        return _of_strip(transport, source, FULL if detail == "full" else DRAG)
    blockers = (*transport.blockers, *besides)
    if isinstance(source, PointSource):
        fine = mean_from_point(transport.quarters, source, blockers)
    else:
        fine = mean_from_panel(transport.quarters, source, blockers)
    return of_quarters(transport, np.broadcast_to(fine, (transport.channels, len(fine))))


def of_quarters(transport: Transport, lit: Floats) -> SurfaceLight:
    """What direct light (c, 4 N) [lx] on quarters of patches comes to after all bounces.

    The exchange takes every patch as evenly bright; after one bounce the edge of a shadow is still
    sharp, so the first bounce goes out from the quarters as they are lit.
    """
    first = np.stack([transport.whole(each) for each in lit])
    exitance = transport.exitance(first)
    uneven = transport.quarters.reflectances.T * (lit - np.repeat(first, 4, axis=1))
    return SurfaceLight(
        quarters=np.repeat(exitance, 4, axis=1) + uneven,
        near=None,
        received=first + transport.received(exitance),
        exitance=exitance,
        captured_flux_lm=float(first[0] @ transport.patches.areas),
    )


def _of_strip(
    transport: Transport, strip: StripSource, settings: NearFieldSettings
) -> SurfaceLight:
    patches = transport.patches
    near = near_field(patches, transport.blockers, strip, settings=settings)
    far = np.ones(len(patches), dtype=bool)
    if near is not None:
        far[near.cells.patch] = False
    rows = np.flatnonzero(far)
    each = np.zeros((len(patches), 4))
    each[rows] = mean_from_strip(patches.subset(rows), strip, transport.blockers, settings)
    fine = each.ravel()
    lit = np.broadcast_to(fine, (transport.channels, len(fine)))
    captured = float(transport.whole(fine) @ patches.areas)
    if near is None:
        return of_quarters(transport, lit)
    smooth = of_quarters(transport, lit + near.onto_far)
    cells = near.cells
    share = cells.area / patches.areas[cells.patch]
    received, exitance = smooth.received.copy(), smooth.exitance.copy()
    for c in range(transport.channels):
        its = (near.first + near.received[c]) * share
        received[c] += np.bincount(cells.patch, its, len(patches))
        exitance[c] += np.bincount(cells.patch, near.exitance[c] * share, len(patches))
    captured += float(near.first @ cells.area)
    return replace(
        smooth, near=near, received=received, exitance=exitance, captured_flux_lm=captured
    )
