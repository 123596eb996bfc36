"""Luminous intensity of a small source in every direction.

Own frame of a source (ANSI/IES LM-63, photometric type C)::

            +z_local  gamma = 180
               |
               |    +y_local  C = 90
               |   /
               |  /
               | /
     source    *--------- +x_local  C = 0
               |
               |
            -z_local  gamma = 0, the nadir or the aim

``gamma`` is the angle from the aim, ``C`` the angle around it, counter-clockwise seen from +z.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lumen.errors import PhotometryError

__all__ = ["IntensityDistribution"]

Array = NDArray[np.float64]

_FIELD_OVER_BEAM = math.sqrt(math.log2(10.0))
"""Field over beam angle of a Gaussian beam: half of peak at one, a tenth of peak at the other."""


@dataclass(frozen=True, eq=False)
class IntensityDistribution:
    """Luminous intensity [cd] over all directions, by table or in closed form.

    Make one with a constructor below; the fields are for reading.

    Parameters
    ----------
    gamma
        (g,) [rad] ascending angles from the aim; it is dark outside their range.
    c
        (k,) [rad] ascending angles around the aim, 0 to 2 pi with both ends, or only 0 when the
        source is the same all around.
    candela
        (k, g) [cd], read linearly in both angles between the entries.
    exponent
        When given, the source is ``candela[0, 0] * cos(gamma) ** exponent`` ahead and dark behind,
        and the table only draws it.
    """

    gamma: Array
    c: Array
    candela: Array
    exponent: float | None = field(default=None, kw_only=True)

    def __post_init__(self) -> None:
        for name in ("gamma", "c", "candela"):
            own = np.array(getattr(self, name), dtype=float)
            own.setflags(write=False)
            object.__setattr__(self, name, own)

    # ---- constructors -------------------------------------------------------------------------

    @classmethod
    def isotropic(cls, flux_lm: float) -> Self:
        """A source even in all directions has an intensity of its flux over 4 pi.

        Parameters
        ----------
        flux_lm
            Luminous flux [lm].

        Notes
        -----
        I = flux / (4 pi). A sphere of even luminance and a bare frosted lamp come near it; their
        caps do not.

        Examples
        --------
        >>> IntensityDistribution.isotropic(1200.0).intensity([0.0, 0.0, -1.0])
        array(95.493)
        """
        flux = _flux(flux_lm)
        return cls(np.array([0.0, math.pi]), np.zeros(1), np.full((1, 2), flux / (4 * math.pi)))

    @classmethod
    def lambertian(cls, flux_lm: float) -> Self:
        """A flat, perfectly diffusing source has an intensity that falls with the cosine.

        Parameters
        ----------
        flux_lm
            Luminous flux [lm], all of it into the half space ahead.

        Notes
        -----
        I = (flux / pi) cos(gamma).

        Examples
        --------
        >>> IntensityDistribution.lambertian(314.159265).max_intensity
        100.0
        """
        return cls._power(flux_lm, 1.0)

    @classmethod
    def cosine_power(cls, flux_lm: float, beam_deg: float) -> Self:
        """A soft beam is a power of the cosine that is half its peak at half the beam angle.

        Parameters
        ----------
        flux_lm
            Luminous flux [lm].
        beam_deg
            Full angle between the directions of half the peak [deg], more than 0 and under 180.

        Notes
        -----
        I = I0 cos(gamma)^m, m = ln 0.5 / ln cos(beam / 2), flux = 2 pi I0 / (m + 1). A beam of
        120 degrees is the Lambertian source. Beams with an edge need `beam` with a field angle.

        Examples
        --------
        >>> IntensityDistribution.cosine_power(500.0, 120.0).exponent
        1.0
        """
        beam = _angle("beam_deg", beam_deg)
        return cls._power(flux_lm, math.log(0.5) / math.log(math.cos(beam / 2)))

    @classmethod
    def beam(cls, flux_lm: float, beam_deg: float, field_deg: float | None = None) -> Self:
        """A spot is given by the angles where it falls to a half and to a tenth of its peak.

        Parameters
        ----------
        flux_lm
            Luminous flux [lm].
        beam_deg
            Full angle between the directions of half the peak [deg].
        field_deg
            Full angle between the directions of a tenth of the peak [deg], wider than the beam.
            None takes a Gaussian edge (1.82 times the beam), narrower where that would pass
            behind the front; our own assumption.

        Notes
        -----
        I = I0 exp(-ln 2 (2 gamma / beam)^p), p = ln(log2 10) / ln(field / beam), dark from 90
        degrees. Any smooth curve through the two angles would do: between them the choice moves
        intensity by a few per cent, beyond the field angle by more.

        Examples
        --------
        >>> spot = IntensityDistribution.beam(300.0, 36.0, 60.0)
        >>> edge = math.radians(18.0)
        >>> float(spot.intensity([math.sin(edge), 0, -math.cos(edge)]) / spot.max_intensity)
        0.5
        """
        beam = _angle("beam_deg", beam_deg)
        widest = min(_FIELD_OVER_BEAM * beam_deg, (beam_deg + 180.0) / 2)
        outer = _angle("field_deg", widest if field_deg is None else field_deg)
        if outer <= beam * 1.001:
            raise PhotometryError(
                "field_deg", f"must be more than beam_deg {beam_deg:g}", field_deg
            )
        power = math.log(math.log2(10.0)) / math.log(outer / beam)
        # fine enough that the straight pieces follow the narrowest beam to 1e-4 of the peak
        gamma = np.linspace(0.0, math.pi / 2, 1 + max(180, min(4000, round(720.0 / beam))))
        curve = np.exp(-math.log(2.0) * (2 * gamma / beam) ** power)
        return cls(gamma, np.zeros(1), curve[None, :]).scaled_to(_flux(flux_lm))

    @classmethod
    def from_table(cls, gamma_deg: ArrayLike, c_deg: ArrayLike, candela: ArrayLike) -> Self:
        """A measured source is a table of candela over angles from the aim and around it.

        Parameters
        ----------
        gamma_deg
            (g,) [deg] ascending within 0 to 180; dark outside their range.
        c_deg
            (k,) [deg] ascending. One plane means the same all around; 0 to 90 a quarter, 0 to 180
            or 90 to 270 a half that is mirrored; from 0 to 360 the whole. A last plane short of
            360 is joined to the first.
        candela
            (k, g) [cd], not negative; (g,) will do for one plane.

        Raises
        ------
        PhotometryError
            When angles do not ascend, leave their range, or the table has another shape.

        Notes
        -----
        Symmetry by the range of horizontal angles follows ANSI/IES LM-63 (type C).

        Examples
        --------
        >>> table = IntensityDistribution.from_table([0, 90], [0], [100, 0])
        >>> table.intensity([1.0, 0, -1.0])
        array(50.0)
        """
        gamma = _ascending("gamma_deg", gamma_deg, 0.0, 180.0)
        c = _ascending("c_deg", c_deg, 0.0, 360.0)
        cd = np.atleast_2d(np.asarray(candela, dtype=float))
        if len(gamma) < 2:
            raise PhotometryError("gamma_deg", "must hold at least two angles", gamma.tolist())
        if cd.shape != (len(c), len(gamma)):
            raise PhotometryError(
                "candela", f"must have {len(c)} planes of {len(gamma)} values", cd.shape
            )
        if not np.isfinite(cd).all() or (cd < 0).any():
            raise PhotometryError("candela", "must be numbers of 0 or more", float(cd.min()))
        c, cd = _all_around(c, cd)
        return cls(np.radians(gamma), np.radians(c), cd)

    @classmethod
    def _power(cls, flux_lm: float, exponent: float) -> Self:
        peak = _flux(flux_lm) * (exponent + 1) / math.tau
        gamma = np.linspace(0.0, math.pi / 2, 181)
        curve = peak * np.maximum(np.cos(gamma), 0.0) ** exponent
        return cls(gamma, np.zeros(1), curve[None, :], exponent=exponent)

    # ---- what it answers ----------------------------------------------------------------------

    @property
    def is_symmetric(self) -> bool:
        """Whether the source is the same all around its aim."""
        return len(self.c) == 1

    @property
    def max_intensity(self) -> float:
        """Largest intensity in any direction [cd]."""
        return float(self.candela.max())

    @cached_property
    def flux_lm(self) -> float:
        """Luminous flux [lm]: the exact integral of the intensity over all directions."""
        return self.zonal_flux(0.0, math.pi)

    def intensity(self, directions: ArrayLike) -> Array:
        """Return the intensity towards directions in the source's own frame.

        Parameters
        ----------
        directions
            (..., 3) of any length but 0.

        Returns
        -------
        (...) [cd]

        Examples
        --------
        >>> down_and_aside = [[0, 0, -1.0], [1.0, 0, -1.0]]
        >>> IntensityDistribution.lambertian(100 * math.pi).intensity(down_and_aside).round(1)
        array([100. ,  70.7])
        """
        d = np.asarray(directions, dtype=float)
        x, y, z = d[..., 0], d[..., 1], d[..., 2]
        if self.exponent is not None:
            cosine = np.maximum(-z, 0.0) / np.sqrt(x * x + y * y + z * z)
            shape = cosine if self.exponent == 1.0 else cosine**self.exponent
            return np.asarray(self.candela[0, 0] * shape)
        if self._constant:
            return np.full(d.shape[:-1], self.candela[0, 0])
        gamma = np.arctan2(np.sqrt(x * x + y * y), -z)
        if self.is_symmetric:
            return self.at_gamma(gamma)
        return self._from_planes(gamma, np.arctan2(y, x) % math.tau)

    def at_gamma(self, gamma: Array) -> Array:
        """Return the intensity of a source that is the same all around its aim.

        Parameters
        ----------
        gamma
            (...) angles from the aim [rad], 0 to pi.

        Returns
        -------
        (...) [cd]

        Examples
        --------
        >>> spot = IntensityDistribution.from_table([0, 90], [0], [100, 0])
        >>> spot.at_gamma(np.array([0.0, math.pi / 4]))
        array([100.,  50.])
        """
        if self.exponent is not None:
            return np.asarray(self.candela[0, 0] * np.maximum(np.cos(gamma), 0.0) ** self.exponent)
        left, right = self._outside
        return np.asarray(np.interp(gamma, *self._reading, left=left, right=right))

    def scaled_to(self, flux_lm: float) -> Self:
        """Return the same distribution with another flux.

        Parameters
        ----------
        flux_lm
            Luminous flux [lm].

        Raises
        ------
        PhotometryError
            When a dark distribution is asked to shine.

        Examples
        --------
        >>> IntensityDistribution.isotropic(10.0).scaled_to(800.0).flux_lm
        800.0
        """
        wanted, own = _flux(flux_lm), self.flux_lm
        if own <= 0.0:
            if wanted == 0.0:
                return self
            raise PhotometryError("flux_lm", "cannot be given to a dark distribution", flux_lm)
        return replace(self, candela=self.candela * (wanted / own))

    def zonal_flux(self, gamma_from: float, gamma_to: float) -> float:
        """Return the flux between two cones about the aim [lm].

        Parameters
        ----------
        gamma_from, gamma_to
            Half angles of the cones [rad].

        Notes
        -----
        Exact for the table read linearly in gamma and C:
        integral of I sin(gamma) = I_a cos(a) - I_b cos(b) + slope (sin(b) - sin(a)) per piece.

        Examples
        --------
        >>> IntensityDistribution.isotropic(100.0).zonal_flux(0.0, math.pi / 2)
        50.0
        """
        low, high = sorted((max(gamma_from, 0.0), min(gamma_to, math.pi)))
        if self.exponent is not None:
            m = self.exponent + 1
            cosines = (max(math.cos(low), 0.0) ** m, max(math.cos(high), 0.0) ** m)
            return float(self.candela[0, 0] * math.tau / m * (cosines[0] - cosines[1]))
        low, high = max(low, float(self.gamma[0])), min(high, float(self.gamma[-1]))
        if high <= low:
            return 0.0
        inner = self.gamma[(self.gamma > low) & (self.gamma < high)]
        edges = np.concatenate([[low], inner, [high]])
        mean = self._mean_curve()
        curve = np.interp(edges, self.gamma, mean)
        slope = np.diff(curve) / np.diff(edges)
        pieces = -np.diff(curve * np.cos(edges)) + slope * np.diff(np.sin(edges))
        return float(math.tau * pieces.sum())

    # ---- how ----------------------------------------------------------------------------------

    @cached_property
    def _constant(self) -> bool:
        whole = self.gamma[0] == 0.0 and self.gamma[-1] >= math.pi - 1e-12
        return bool(whole and np.ptp(self.candela) == 0.0)

    @cached_property
    def _reading(self) -> tuple[Array, Array]:
        return self.gamma, self.candela[0]

    @cached_property
    def _outside(self) -> tuple[float, float]:
        """What lies before the first and beyond the last angle: dark, or the pole itself."""
        first, last = float(self.candela[0, 0]), float(self.candela[0, -1])
        return (
            first if self.gamma[0] <= 1e-9 else 0.0,
            last if self.gamma[-1] >= math.pi - 1e-9 else 0.0,
        )

    def _mean_curve(self) -> Array:
        """Mean over C of the linear interpolant, for each gamma."""
        if self.is_symmetric:
            return np.asarray(self.candela[0])
        return np.asarray(np.trapezoid(self.candela, self.c, axis=0) / math.tau)

    def _from_planes(self, gamma: Array, c: Array) -> Array:
        i, u = _place(self.c, c)
        j, v = _place(self.gamma, gamma)
        cd = self.candela
        near = cd[i, j] * (1 - v) + cd[i, j + 1] * v
        far = cd[i + 1, j] * (1 - v) + cd[i + 1, j + 1] * v
        inside = (gamma >= self.gamma[0] - 1e-9) & (gamma <= self.gamma[-1] + 1e-9)
        return np.asarray(np.where(inside, near * (1 - u) + far * u, 0.0))


def _place(nodes: Array, at: Array) -> tuple[NDArray[np.intp], Array]:
    """Cell of each value among ascending nodes, and how far along it (0 to 1)."""
    step = nodes[1] - nodes[0]
    if np.allclose(np.diff(nodes), step, rtol=1e-9, atol=0.0):  # even steps need no search
        cell = ((at - nodes[0]) / step).astype(np.intp)
    else:
        cell = np.searchsorted(nodes, at, side="right") - 1
    cell = np.clip(cell, 0, len(nodes) - 2)
    return cell, np.clip((at - nodes[cell]) / (nodes[cell + 1] - nodes[cell]), 0.0, 1.0)


def _all_around(c: Array, cd: Array) -> tuple[Array, Array]:
    """Planes of any LM-63 symmetry as planes from 0 to 360 degrees, both ends given."""
    first, last = c[0], c[-1]
    if len(c) == 1:
        return np.zeros(1), cd
    if (first, last) == (0.0, 90.0):  # mirrored in both planes
        c, cd = np.concatenate([c, 180.0 - c[-2::-1]]), np.concatenate([cd, cd[-2::-1]])
        first, last = c[0], c[-1]
    if (first, last) == (90.0, 270.0):  # mirrored in the plane 90 to 270
        c, cd = _mirrored_about_90(c, cd)
    elif (first, last) == (0.0, 180.0):  # mirrored in the plane 0 to 180
        c, cd = np.concatenate([c, 360.0 - c[-2::-1]]), np.concatenate([cd, cd[-2::-1]])
    elif last < 360.0:
        if first > 0.0 or 360.0 - last > 2 * float(np.diff(c).max()):
            raise PhotometryError(
                "c_deg", "must end at 0, 90, 180 or 360 or run from 90 to 270", c.tolist()
            )
        c, cd = np.append(c, 360.0), np.concatenate([cd, cd[:1]])
    elif first > 0.0:
        c, cd = np.insert(c, 0, 0.0), np.concatenate([cd[-1:], cd])
    return c, cd


def _mirrored_about_90(c: Array, cd: Array) -> tuple[Array, Array]:
    other = (180.0 - c[1:-1]) % 360.0
    angles = np.concatenate([c, other])
    rows = np.concatenate([cd, cd[1:-1]])
    angles, kept = np.unique(angles, return_index=True)
    rows = rows[kept]
    if angles[0] > 0.0:  # no plane at 180, so none at 0: read it between its neighbours
        gap = angles[0] + 360.0 - angles[-1]
        zero = rows[0] + (rows[-1] - rows[0]) * (angles[0] / gap)
        angles, rows = np.insert(angles, 0, 0.0), np.concatenate([zero[None, :], rows])
    return np.append(angles, 360.0), np.concatenate([rows, rows[:1]])


def _flux(flux_lm: float) -> float:
    if not math.isfinite(flux_lm) or flux_lm < 0.0:
        raise PhotometryError("flux_lm", "must be a number of 0 or more", flux_lm)
    return float(flux_lm)


def _angle(name: str, degrees: float) -> float:
    if not 0.0 < degrees < 180.0:
        raise PhotometryError(name, "must be more than 0 and less than 180 degrees", degrees)
    return math.radians(degrees)


def _ascending(name: str, angles: ArrayLike, low: float, high: float) -> Array:
    values = np.atleast_1d(np.asarray(angles, dtype=float))
    if values.ndim != 1 or not np.isfinite(values).all() or (np.diff(values) <= 0).any():
        raise PhotometryError(name, "must be numbers that ascend without repeats", values.tolist())
    if values[0] < low or values[-1] > high:
        raise PhotometryError(
            name,
            f"must lie within {low:g} to {high:g} degrees",
            [float(values[0]), float(values[-1])],
        )
    return values
