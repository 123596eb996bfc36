r"""A plane mirror: the image of a light behind it, looked at through the mirror's own outline.

Light that meets a mirror goes on as if it came straight from the image of its source, as far as
the mirror reaches::

        o source
         \            receiver
          \          /
     ------\--------/-------  mirror, level = n . x
            \      /
             \    /   seen through the outline as through a window
              o image

Everything on the way from source to mirror is reflected with it, so the straight way from the image
to the receiver meets the same obstacles as the bent one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lumen.errors import GeometryError
from lumen.light.direct import illuminance_from
from lumen.light.geometry import Bools, Floats, polygon_normal, unit
from lumen.light.interreflection.emission import (
    mean_from_panel,
    mean_from_point,
    mean_from_strip,
)
from lumen.light.interreflection.mesh import Patches
from lumen.light.interreflection.surface_light import SurfaceLight, of_quarters
from lumen.light.interreflection.transport import Transport
from lumen.light.sources import PanelSource, PointSource, Source, StripSource
from lumen.light.visibility import Blocker

__all__ = ["PlaneMirror", "illuminance_through_mirror", "with_mirrors"]

_DEPTH_M = 1e-3
_FLUSH_M = 1e-4


@dataclass(frozen=True, eq=False)
class PlaneMirror:
    """A flat mirror.

    Parameters
    ----------
    corners : (k, 3)
        Convex outline, counter-clockwise seen from the side that reflects [m].
    reflectance
        Share of the light that goes on, 0 to 1, alike at all angles.

    Raises
    ------
    GeometryError
        When the outline is not a flat convex polygon or the reflectance is out of range.

    Examples
    --------
    >>> mirror = PlaneMirror([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], 0.85)
    >>> mirror.image([0.2, 0.3, 2.0])
    array([ 0.2, 0.3, -2. ])
    """

    corners: Floats
    reflectance: float

    def __post_init__(self) -> None:
        corners = np.array(self.corners, dtype=float)
        if corners.ndim != 2 or corners.shape[1] != 3 or len(corners) < 3:
            raise GeometryError("mirror.corners", "must be three or more points", corners.shape)
        if not np.isfinite(corners).all():
            raise GeometryError("mirror.corners", "must hold finite numbers", corners.tolist())
        if not 0.0 <= self.reflectance <= 1.0:
            raise GeometryError("mirror.reflectance", "must be from 0 to 1", self.reflectance)
        area = polygon_normal(corners)
        if np.linalg.norm(area) < 1e-8:
            raise GeometryError("mirror.corners", "must enclose an area", corners.tolist())
        corners.setflags(write=False)
        object.__setattr__(self, "corners", corners)
        edges = np.roll(corners, -1, axis=0) - corners
        turns = np.cross(edges, np.roll(edges, -1, axis=0)) @ unit(area)
        if np.abs((corners - corners[0]) @ unit(area)).max() > 1e-6 or (turns < -1e-9).any():
            raise GeometryError("mirror.corners", "must be flat and convex", corners.tolist())

    @property
    def normal(self) -> Floats:
        """Unit normal of the side that reflects (3,)."""
        return unit(polygon_normal(self.corners))

    @property
    def level(self) -> float:
        """Place of the plane along its normal [m]."""
        return float(self.corners[0] @ self.normal)

    def before(self, points: Floats) -> Bools:
        """Whether points (..., 3) lie before the mirror's plane."""
        return np.asarray(np.asarray(points) @ self.normal > self.level + 1e-9)

    def image(self, points: Floats | Sequence[float]) -> Floats:
        """The images (..., 3) of points [m]."""
        p = np.asarray(points, dtype=float)
        off = p @ self.normal - self.level
        return np.asarray(p - 2.0 * off[..., None] * self.normal)

    def image_way(self, ways: Floats) -> Floats:
        """Directions (..., 3) as the mirror turns them."""
        v = np.asarray(ways, dtype=float)
        return np.asarray(v - 2.0 * (v @ self.normal)[..., None] * self.normal)

    def image_of(self, source: Source) -> Source | None:
        """The image of a light, at its own brightness; None for one that is not before the mirror.

        The light's own axes turn left-handed, so that its distribution is mirrored too. A strip
        that runs through the mirror's plane has no image.
        """
        if isinstance(source, PointSource):
            if not self.before(source.position):
                return None
            return PointSource(
                position=self.image(source.position),
                distribution=source.distribution,
                axes=self.image_way(source.axes),
                size_m=source.size_m,
            )
        if isinstance(source, StripSource):
            if not self.before(source.path).all():
                return None
            return StripSource(
                path=self.image(source.path),
                facing=self.image_way(source.facing),
                flux_per_length=source.flux_per_length,
                width_m=source.width_m,
            )
        if not self.before(source.corners).all():
            return None
        return PanelSource(self.image(source.corners)[::-1], source.flux_lm)

    def blockers(self, blockers: Sequence[Blocker]) -> tuple[Blocker, ...]:
        """What stands between the image and a receiver before the mirror.

        The room's blockers before the mirror, their images behind it, and the mirror's plane all
        round its outline.
        """
        solids = list(self._surround())
        for blocker in blockers:
            low, high = _extent(blocker, self.normal)
            if high <= self.level + _FLUSH_M:
                continue  # all behind the mirror: a wall it hangs on, another leg of the room
            if low < self.level - _FLUSH_M:
                blocker = _cut(blocker, self.normal, self.level)
            solids += [blocker, self._image_of_blocker(blocker)]
        return tuple(solids)

    def _surround(self) -> list[Blocker]:
        n, level = self.normal, self.level
        edges = np.roll(self.corners, -1, axis=0) - self.corners
        outward = unit(np.cross(edges, n))
        return [
            Blocker(
                np.stack([n, out]),
                np.array([level - _DEPTH_M, float(corner @ out)]),
                np.array([level, np.inf]),
            )
            for out, corner in zip(outward, self.corners, strict=True)
        ]

    def _image_of_blocker(self, blocker: Blocker) -> Blocker:
        shift = 2.0 * self.level * (blocker.normals @ self.normal)
        return Blocker(self.image_way(blocker.normals), blocker.low - shift, blocker.high - shift)

    def holds(self, patches: Patches) -> Bools:
        """Which patches of a room are the mirror itself (N,)."""
        n = self.normal
        flush = np.abs(patches.centres @ n - self.level) < _FLUSH_M
        same = patches.normals @ n > 0.999
        edges = np.roll(self.corners, -1, axis=0) - self.corners
        outward = unit(np.cross(edges, n))
        inside = np.ones(len(patches), dtype=bool)
        for out, corner in zip(outward, self.corners, strict=True):
            inside &= (patches.centres - corner) @ out < 1e-6
        return np.asarray(flush & same & inside)


def _extent(blocker: Blocker, way: Floats) -> tuple[float, float]:
    """Least and greatest reach of a solid along a direction, as far as its slabs tell."""
    along = blocker.normals @ way
    parallel = np.flatnonzero(np.abs(along) > 1.0 - 1e-9)
    if len(parallel):
        k = parallel[0]
        ends = sorted((blocker.low[k] * along[k], blocker.high[k] * along[k]))
        return float(ends[0]), float(ends[1])
    finite = np.isfinite(blocker.low).all() and np.isfinite(blocker.high).all()
    box = len(along) == 3 and np.allclose(blocker.normals @ blocker.normals.T, np.eye(3))
    if not (finite and box):
        return -np.inf, np.inf
    centre = float((0.5 * (blocker.low + blocker.high)) @ along)
    reach = float((0.5 * (blocker.high - blocker.low)) @ np.abs(along))
    return centre - reach, centre + reach


def _cut(blocker: Blocker, way: Floats, level: float) -> Blocker:
    """The part of a solid beyond a level."""
    return Blocker(
        np.concatenate([blocker.normals, way[None]]),
        np.append(blocker.low, level),
        np.append(blocker.high, np.inf),
    )


def illuminance_through_mirror(
    mirror: PlaneMirror,
    source: Source,
    points: Floats,
    normals: Floats,
    blockers: Sequence[Blocker] = (),
) -> Floats:
    """What a mirror adds is the direct light of the image, seen through the mirror's outline.

    Parameters
    ----------
    mirror : PlaneMirror
    source : PointSource, StripSource or PanelSource
        The light itself, not its image.
    points, normals : (n, 3)
        Receivers [m] and their unit normals.
    blockers : sequence of Blocker
        What hides in the real room; the mirror itself, or the wall it hangs on, may be among them.

    Returns
    -------
    (n,) [lx]

    Notes
    -----
    E = rho E_image, one reflection. Valid for a flat mirror that reflects alike at all angles;
    light by way of two mirrors is left out.

    Examples
    --------
    A lamp of 100 cd, 4 m up, 1 m below a mirror ceiling of reflectance 0.90 adds 1.789 lx 3 m off:

    >>> from lumen.light.intensity import IntensityDistribution
    >>> lamp = PointSource(np.array([0, 0, 4.0]), IntensityDistribution.isotropic(400 * np.pi))
    >>> ceiling = PlaneMirror([[-9, -9, 5], [-9, 9, 5], [9, 9, 5], [9, -9, 5]], 0.90)
    >>> up = np.array([[0, 0, 1.0]])
    >>> illuminance_through_mirror(ceiling, lamp, np.array([[3.0, 0, 0]]), up)
    array([1.789])
    """
    p = np.asarray(points, dtype=float).reshape(-1, 3)
    n = np.broadcast_to(np.asarray(normals, dtype=float), p.shape)
    result = np.zeros(len(p))
    image = mirror.image_of(source)
    rows = np.flatnonzero(mirror.before(p))
    if image is not None and len(rows):
        between = mirror.blockers(blockers)
        result[rows] = illuminance_from(image, p[rows], n[rows], between)
    return np.asarray(mirror.reflectance * result)


def with_mirrors(
    matt: SurfaceLight, transport: Transport, source: Source, mirrors: Sequence[PlaneMirror]
) -> SurfaceLight:
    """What a source leaves on the surfaces of a room with mirrors: its direct light goes on there.

    Parameters
    ----------
    matt : SurfaceLight
        What the source leaves with the mirrors taken as matt surfaces.
    transport : Transport
        As for that; the mirror's patches carry its reflectance.
    source : PointSource, StripSource or PanelSource
    mirrors : sequence of PlaneMirror

    Returns
    -------
    SurfaceLight

    Notes
    -----
    Light that comes straight from the source to a mirror is taken off the mirror's patches and
    put where the image sends it, once. Light that reaches a mirror after a bounce is so spread that
    it goes on as from a matt surface of the same reflectance: no light is lost. What sensors get
    straight from the image is `illuminance_through_mirror`.
    """
    for mirror in mirrors:
        if mirror.image_of(source) is not None:
            matt = _with_mirror(matt, transport, source, mirror)
    return matt


def _with_mirror(
    matt: SurfaceLight, transport: Transport, source: Source, mirror: PlaneMirror
) -> SurfaceLight:
    image = mirror.image_of(source)
    assert image is not None
    # on quarters of patches, as the light itself: after one bounce a shadow's edge is still sharp
    quarters = transport.quarters
    fine = np.zeros(len(quarters))
    own = np.repeat(mirror.holds(transport.patches), 4)
    taken = _mean_from(source, transport, own, transport.blockers)
    fine[own] -= taken
    before = mirror.before(quarters.centres)
    between = mirror.blockers(transport.blockers)
    fine[before] += mirror.reflectance * _mean_from(image, transport, before, between)
    change = of_quarters(transport, np.broadcast_to(fine, (transport.channels, len(fine))))
    # what was taken off the mirror is still received there, but not given on by it
    kept = np.zeros(len(quarters))
    kept[own] = taken
    return replace(
        matt,
        quarters=matt.quarters + change.quarters,
        received=matt.received + change.received + transport.whole(kept),
        exitance=matt.exitance + change.exitance,
    )


def _mean_from(
    source: Source, transport: Transport, wanted: Bools, blockers: Sequence[Blocker]
) -> Floats:
    """Mean illuminance of the ``wanted`` (4 N,) quarters of patches."""
    if not wanted.any():
        return np.zeros(0)
    if isinstance(source, StripSource):
        each = np.zeros((len(transport.patches), 4))
        rows = np.flatnonzero(wanted.reshape(-1, 4).any(axis=1))
        each[rows] = mean_from_strip(transport.patches.subset(rows), source, blockers)
        return np.asarray(each.ravel()[wanted])
    quarters = transport.quarters.subset(np.flatnonzero(wanted))
    if isinstance(source, PointSource):
        return mean_from_point(quarters, source, blockers)
    return mean_from_panel(quarters, source, blockers)
