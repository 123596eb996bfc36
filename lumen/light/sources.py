"""What gives light, on plain arrays: a point, a strip, a flat panel."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from lumen.errors import GeometryError
from lumen.light.geometry import Floats, Ints, polygon_normal, unit

__all__ = ["Distribution", "PanelSource", "PointSource", "Source", "StripSource"]

_STRAIGHT = 2e-3  # of its brightest station: what a straight piece may leave a strip's profile by


class Distribution(Protocol):
    """Whatever can tell its intensity in a direction."""

    @property
    def flux_lm(self) -> float:
        """Total luminous flux [lm]."""
        ...

    def intensity(self, directions: Floats) -> Floats:
        """Intensity [cd] along unit directions (..., 3) in the light's own frame."""
        ...


@dataclass(frozen=True, eq=False)
class PointSource:
    """A small light with an intensity distribution.

    Parameters
    ----------
    position : (3,)
        Photometric centre [m].
    distribution : Distribution
        Intensity in the light's own frame: LM-63 type C, nadir along -z, C = 0 along +x.
    axes : (3, 3)
        Rows are the light's own x, y, z in the room frame.
    size_m : float
        Diameter of the luminous opening [m]; 0 is a point. Receivers nearer than five
        diameters see seven points spread over a disc across the light's own z.

    Raises
    ------
    GeometryError
        When a number is not finite, the axes are not orthonormal or the size is negative.
    """

    position: Floats
    distribution: Distribution
    axes: Floats = field(default_factory=lambda: np.eye(3))
    size_m: float = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "position", _finite("light.position", self.position, (3,)))
        object.__setattr__(self, "axes", _finite("light.axes", self.axes, (3, 3)))
        if np.abs(self.axes @ self.axes.T - np.eye(3)).max() > 1e-6:
            raise GeometryError(
                "light.axes", "must be three unit vectors at right angles", self.axes.tolist()
            )
        if not 0.0 <= self.size_m < 10.0:
            raise GeometryError("light.size_m", "must be from 0 to 10", self.size_m)

    @property
    def flux_lm(self) -> float:
        """Total luminous flux [lm]."""
        return float(self.distribution.flux_lm)


@dataclass(frozen=True, eq=False)
class StripSource:
    """A flat strip of light along a run, giving light by Lambert's law on one side.

    Parameters
    ----------
    path : (k, 3)
        The run's corners in order [m].
    facing : (3,) or (k - 1, 3)
        Unit normal of the lit side, for the whole run or for each segment.
    flux_per_length : float or (m,)
        Luminous flux per length [lm/m]: one value, or values at ``m`` stations spread evenly
        over the whole run, linear in between.
    width_m : float
        Width of the lit band [m].

    Raises
    ------
    GeometryError
        When a segment has no length, a facing is not at right angles to its segment, or a flux
        is negative.
    """

    path: Floats
    facing: Floats
    flux_per_length: Floats
    width_m: float = 0.010

    def __post_init__(self) -> None:
        path = np.array(self.path, dtype=float)
        if path.ndim != 2 or path.shape[0] < 2 or path.shape[1] != 3:
            raise GeometryError("strip.path", "must be at least two points (k, 3)", path.shape)
        object.__setattr__(self, "path", _finite("strip.path", path, path.shape))
        steps = np.diff(path, axis=0)
        if (np.linalg.norm(steps, axis=1) < 1e-4).any():
            raise GeometryError("strip.path", "must not repeat a point", path.tolist())
        facing = np.broadcast_to(np.asarray(self.facing, dtype=float), steps.shape)
        object.__setattr__(self, "facing", _finite("strip.facing", unit(facing), steps.shape))
        if np.abs((unit(steps) * self.facing).sum(axis=1)).max() > 1e-3:
            raise GeometryError(
                "strip.facing", "must be at right angles to the run", self.facing.tolist()
            )
        flux = np.atleast_1d(np.array(self.flux_per_length, dtype=float))
        if flux.ndim != 1 or not np.isfinite(flux).all() or (flux < 0.0).any():
            raise GeometryError(
                "strip.flux_per_length", "must be 0 or more at every station", flux.tolist()
            )
        if flux.size == 1:
            flux = np.repeat(flux, 2)
        flux.setflags(write=False)
        object.__setattr__(self, "flux_per_length", flux)
        if not 0.0 < self.width_m < 0.2:
            raise GeometryError("strip.width_m", "must be more than 0, below 0.2", self.width_m)

    @property
    def length_m(self) -> float:
        """Length of the whole run [m]."""
        return float(np.linalg.norm(np.diff(self.path, axis=0), axis=1).sum())

    @property
    def flux_lm(self) -> float:
        """Total luminous flux [lm]."""
        mean = (self.flux_per_length[1:] + self.flux_per_length[:-1]).mean() / 2.0
        return float(mean * self.length_m)

    def pieces(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Straight pieces on which the flux is linear.

        Neighbouring stations share a piece while a straight line keeps within 0.2 % of the
        brightest station; every piece keeps its flux exactly.

        Returns
        -------
        starts, ends : (p, 3) [m]
        facings : (p, 3)
        flux_per_length : (p, 2) [lm/m]
            At the start and at the end of each piece.
        """
        lengths = np.linalg.norm(np.diff(self.path, axis=0), axis=1)
        bends = np.concatenate([[0.0], np.cumsum(lengths)])
        stations = np.linspace(0.0, bends[-1], self.flux_per_length.size)
        inner = stations[1:-1] if np.ptp(self.flux_per_length) > 0.0 else stations[:0]
        cuts = np.unique(np.concatenate([bends, inner]))
        cuts = cuts[np.concatenate([[True], np.diff(cuts) > 1e-9])]
        flux = np.interp(cuts, stations, self.flux_per_length)
        first, last = _straight_runs(cuts, flux, bends)
        begin, finish = cuts[first], cuts[last]
        segment = np.clip(np.searchsorted(bends, 0.5 * (begin + finish)) - 1, 0, None)
        along = np.diff(self.path, axis=0) / lengths[:, None]
        starts = self.path[segment] + along[segment] * (begin - bends[segment])[:, None]
        ends = self.path[segment] + along[segment] * (finish - bends[segment])[:, None]
        given = np.concatenate([[0.0], np.cumsum(0.5 * (flux[1:] + flux[:-1]) * np.diff(cuts))])
        straight = 0.5 * (flux[first] + flux[last]) * (finish - begin)
        exact = given[last] - given[first]
        scale = np.divide(exact, straight, out=np.ones_like(exact), where=straight > 0.0)
        chords = np.stack([flux[first], flux[last]], axis=1) * scale[:, None]
        return starts, ends, self.facing[segment], chords


def _straight_runs(cuts: Floats, flux: Floats, bends: Floats) -> tuple[Ints, Ints]:
    """First and last cut of each piece: as long as its chord follows the flux, none over a bend."""
    allowed = _STRAIGHT * float(flux.max())
    stops = np.searchsorted(cuts, bends - 1e-9)
    first = [0]
    while first[-1] < len(cuts) - 1:
        i = first[-1]
        limit = int(stops[stops > i][0])
        j = i + 1
        while j < limit:
            chord = np.interp(cuts[i : j + 2], cuts[[i, j + 1]], flux[[i, j + 1]])
            if np.abs(chord - flux[i : j + 2]).max() > allowed:
                break
            j += 1
        first.append(j)
    return np.array(first[:-1]), np.array(first[1:])


@dataclass(frozen=True, eq=False)
class PanelSource:
    """A flat evenly bright rectangle that gives light by Lambert's law on one side.

    Parameters
    ----------
    corners : (4, 3)
        Rectangle, counter-clockwise seen from the lit side [m].
    flux_lm : float
        Total luminous flux [lm].

    Raises
    ------
    GeometryError
        When the corners are not a rectangle or the flux is negative.
    """

    corners: Floats
    flux_lm: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "corners", _finite("panel.corners", self.corners, (4, 3)))
        c = self.corners
        size = max(float(np.linalg.norm(c[2] - c[0])), 1e-9)
        if np.linalg.norm(c[0] - c[1] + c[2] - c[3]) > 1e-3 * size or (
            abs((c[1] - c[0]) @ (c[3] - c[0])) > 1e-3 * size**2
        ):
            raise GeometryError("panel.corners", "must be a rectangle", c.tolist())
        if self.area_m2 <= 1e-8:
            raise GeometryError("panel.corners", "must enclose an area", c.tolist())
        if not (np.isfinite(self.flux_lm) and self.flux_lm >= 0.0):
            raise GeometryError("panel.flux_lm", "must be 0 or more", self.flux_lm)

    @property
    def normal(self) -> Floats:
        """Unit normal of the lit side (3,)."""
        return unit(polygon_normal(self.corners))

    @property
    def area_m2(self) -> float:
        """Area [m²]."""
        return float(np.linalg.norm(polygon_normal(self.corners)))


Source = PointSource | StripSource | PanelSource


def _finite(name: str, value: object, shape: tuple[int, ...]) -> Floats:
    array = np.array(value, dtype=float)
    if array.shape != shape:
        raise GeometryError(name, f"must have the shape {shape}", array.shape)
    if not np.isfinite(array).all():
        raise GeometryError(name, "must hold finite numbers", array.tolist())
    array.setflags(write=False)
    return array
