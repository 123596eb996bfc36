"""The white of light: mixing, correlated colour temperature, tint for a screen, evening light.

Chromaticity is CIE 1931 x, y throughout; distances from the Planckian locus (Duv) are in CIE 1960
u, v, positive above it (greenish), negative below (pinkish).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lumen.errors import PhotometryError
from lumen.tables import table

__all__ = [
    "Mismatch",
    "White",
    "cct_and_duv",
    "melanopic_ratio",
    "mixed_white",
    "planckian_xy",
    "tint_of_white",
    "white_mismatch",
    "xy_of_rgb",
]

Array = NDArray[np.float64]

_COLDEST_K, _HOTTEST_K = 1000.0, 50000.0

# IEC 61966-2-1:1999, from XYZ of D65 white to linear sRGB
_TO_SRGB = np.array(
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.204, 1.057]]
)
# Bradford cone responses (CIE 159 and ICC.1 quote this matrix; from memory, checked in the tests)
_BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
_D65_XY = (0.3127, 0.3290)


@dataclass(frozen=True)
class White:
    """A white: chromaticity, correlated colour temperature [K] and distance from the locus."""

    x: float
    y: float
    cct_k: float
    duv: float


def planckian_xy(cct_k: float) -> tuple[float, float]:
    """A glowing black body has a chromaticity that depends on its temperature alone.

    Parameters
    ----------
    cct_k
        Temperature [K], 1000 to 50000.

    Returns
    -------
    x, y

    Raises
    ------
    PhotometryError
        Outside that range.

    Notes
    -----
    Cubic spline in reciprocal temperature through the table ``planckian``; within 2e-7 of the sum
    over wavelengths.

    Examples
    --------
    >>> planckian_xy(2700.0)
    (0.45986, 0.41060)
    """
    if not _COLDEST_K <= cct_k <= _HOTTEST_K:
        raise PhotometryError(
            "cct_k", f"must be from {_COLDEST_K:g} to {_HOTTEST_K:g} kelvin", cct_k
        )
    x, y = _locus(1e6 / cct_k)[0]
    return float(x), float(y)


def cct_and_duv(x: float, y: float) -> tuple[float, float]:
    """The nearest point of the Planckian locus in u, v gives temperature and distance.

    Parameters
    ----------
    x, y
        Chromaticity.

    Returns
    -------
    cct_k, duv
        [K] and signed distance, positive above the locus.

    Raises
    ------
    PhotometryError
        When the colour is farther than 0.05 from the locus, where CIE 015 gives no temperature.

    Notes
    -----
    Nearest of points one mired apart, then the foot of the perpendicular on the piece beside it.

    Source: CIE 015:2018, 9.5 (definition); Y. Ohno, Leukos 10 (2014) 47 (triangular solution).

    Examples
    --------
    >>> cct_and_duv(*planckian_xy(3000.0))
    (3000.0, 0.0)
    """
    mired, u, v = _locus_uv()
    own_u, own_v = _uv(x, y)
    k = int(np.argmin((u - own_u) ** 2 + (v - own_v) ** 2))
    k = min(max(k, 1), len(u) - 2)
    at, off = _foot(mired, u, v, k, own_u, own_v)
    if abs(off) > 0.05:
        raise PhotometryError("x, y", "must lie within 0.05 of white (CIE 015)", (x, y))
    if not mired[0] <= at <= mired[-1]:
        raise PhotometryError("x, y", "must be a white of 1000 to 50000 kelvin", (x, y))
    return 1e6 / at, off


def _foot(
    mired: Array, u: Array, v: Array, k: int, own_u: float, own_v: float
) -> tuple[float, float]:
    """Mired of the foot on the parabola through three stations, and the signed distance."""
    near = slice(k - 1, k + 2)
    t = mired[near] - mired[k]
    pu, pv = np.polyfit(t, u[near], 2), np.polyfit(t, v[near], 2)
    du, dv = np.polyder(pu), np.polyder(pv)
    at = 0.0
    for _ in range(4):
        eu, ev = np.polyval(pu, at) - own_u, np.polyval(pv, at) - own_v
        su, sv = np.polyval(du, at), np.polyval(dv, at)
        slope = su * su + sv * sv + eu * 2 * pu[0] + ev * 2 * pv[0]
        at -= float((eu * su + ev * sv) / slope)
    eu, ev = own_u - np.polyval(pu, at), own_v - np.polyval(pv, at)
    su, sv = np.polyval(du, at), np.polyval(dv, at)
    # towards more mired u grows; left of that direction is above the locus
    side = math.copysign(1.0, float(su * ev - sv * eu))
    return float(mired[k] + at), side * float(math.hypot(eu, ev))


def xy_of_rgb(rgb: ArrayLike) -> tuple[float, float]:
    """Chromaticity of a colour in linear sRGB (IEC 61966-2-1).

    Examples
    --------
    >>> [round(v, 3) for v in xy_of_rgb([1.0, 1.0, 1.0])]
    [0.313, 0.329]
    """
    xyz = np.linalg.solve(_TO_SRGB, np.asarray(rgb, dtype=float))
    x, y = (float(value) for value in xyz[:2] / xyz.sum())
    return x, y


def mixed_white(parts: Sequence[tuple[float, float | tuple[float, float]]]) -> White:
    """Lights of different white add by tristimulus values, never by kelvin.

    Parameters
    ----------
    parts
        (illuminance [lx], correlated colour temperature [K] or chromaticity (x, y)) of each source;
        a temperature is taken on the locus.

    Raises
    ------
    PhotometryError
        When there is no light, or an illuminance is negative.

    Notes
    -----
    X = sum E x / y, Y = sum E, Z = sum E (1 - x - y) / y.

    Examples
    --------
    >>> white = mixed_white([(100.0, 2700.0), (100.0, 6500.0)])
    >>> round(white.cct_k), round(white.duv, 4)
    (3953, -0.0064)
    """
    total = np.zeros(3)
    for lux, white in parts:
        if lux < 0:
            raise PhotometryError("illuminance", "must not be negative", lux)
        total += lux * _xyz(*(white if isinstance(white, tuple) else planckian_xy(white)))
    if total[1] <= 0:
        raise PhotometryError("parts", "must hold some light to have a white", list(parts))
    x, y = (float(value) for value in total[:2] / total.sum())
    return White(x, y, *cct_and_duv(x, y))


def tint_of_white(cct_k: float, adapted_k: float | None = 4000.0) -> tuple[float, float, float]:
    """A white of unit luminance as linear sRGB, as an eye used to another white sees it.

    Parameters
    ----------
    cct_k
        Correlated colour temperature [K].
    adapted_k
        White that the eye is used to [K]; 4000 is our own assumption for an evening room beside a
        screen. None leaves the colour as measured, where 2700 K looks strongly orange.

    Returns
    -------
    r, g, b
        Linear light, luminance 1; may exceed 1 in a channel.

    Notes
    -----
    Bradford adaptation to D65, then IEC 61966-2-1. A colour outside the screen's range is mixed
    with grey of the same luminance until it fits.

    Examples
    --------
    >>> [round(v, 2) for v in tint_of_white(4000.0)]
    [1.0, 1.0, 1.0]
    """
    xyz = _xyz(*planckian_xy(cct_k))
    if adapted_k is not None:
        seen, wanted = (_BRADFORD @ _xyz(*xy) for xy in (planckian_xy(adapted_k), _D65_XY))
        xyz = np.linalg.solve(_BRADFORD, _BRADFORD @ xyz * wanted / seen)
        xyz = xyz / xyz[1]
    rgb = _TO_SRGB @ xyz
    if rgb.min() < 0.0:
        rgb = 1.0 + (rgb - 1.0) / (1.0 - rgb.min())
    return float(rgb[0]), float(rgb[1]), float(rgb[2])


def melanopic_ratio(cct_k: float, kind: str = "led") -> tuple[float, float, float]:
    """Melanopic daylight (D65) efficacy ratio of a usual lamp: middle, low, high.

    Parameters
    ----------
    cct_k
        Correlated colour temperature [K].
    kind
        ``led``, ``halogen``, ``incandescent`` or ``fluorescent``.

    Raises
    ------
    PhotometryError
        For another kind or a temperature that is not positive.

    Notes
    -----
    Read linearly in temperature from the table ``melanopic``; its ends hold beyond. A lamp's own
    spectrum may lie anywhere in the band, and colour temperature cannot say where.

    Source: CIE S 026:2018; spectra as named in the table's rows.

    Examples
    --------
    >>> melanopic_ratio(2700.0)
    (0.39, 0.34, 0.5)
    """
    kinds = {row["kind"] for row in table("melanopic")}
    if kind not in kinds:
        raise PhotometryError("lamp.kind", f"must be one of {', '.join(sorted(kinds))}", kind)
    if not cct_k > 0:
        raise PhotometryError("cct_k", "must be more than 0", cct_k)
    rows = _melanopic(kind)
    middle, low, high = (float(np.interp(cct_k, rows[0], rows[i])) for i in (1, 2, 3))
    return middle, low, high


@dataclass(frozen=True)
class Mismatch:
    """How far two whites differ.

    ``mired`` is the difference of reciprocal temperatures [1/MK], ``duv`` that of the distances
    from the locus, ``steps`` the distance in u', v' over 0.0011 (one step of CIE TN 001:2014,
    number from memory), and ``verdict`` a word of practice, not of a standard: "alike" to 3 steps,
    "seen side by side" to 7, "different" beyond.
    """

    mired: float
    duv: float
    steps: float
    verdict: str


def white_mismatch(first_k: float, second_k: float, duv: tuple[float, float] = (0, 0)) -> Mismatch:
    """Two whites are told apart by their distance in u', v', not by their kelvins.

    Parameters
    ----------
    first_k, second_k
        Correlated colour temperatures [K].
    duv
        Distances of both from the locus.

    Notes
    -----
    The limits of 3 and 7 steps are common practice (binning of LEDs), no source.

    Examples
    --------
    >>> white_mismatch(2700.0, 3000.0).verdict
    'different'
    """
    a, b = (_uv_of(cct, off) for cct, off in ((first_k, duv[0]), (second_k, duv[1])))
    # u' = u, v' = 1.5 v
    steps = math.hypot(a[0] - b[0], 1.5 * (a[1] - b[1])) / 0.0011
    verdict = "alike" if steps <= 3 else "seen side by side" if steps <= 7 else "different"
    return Mismatch(abs(1e6 / first_k - 1e6 / second_k), abs(duv[0] - duv[1]), steps, verdict)


def _uv_of(cct_k: float, duv: float) -> tuple[float, float]:
    u, v = _uv(*planckian_xy(cct_k))
    ahead = _uv(*planckian_xy(1e6 / min(1e6 / cct_k + 0.5, 1e6 / _COLDEST_K)))
    behind = _uv(*planckian_xy(1e6 / max(1e6 / cct_k - 0.5, 1e6 / _HOTTEST_K)))
    du, dv = ahead[0] - behind[0], ahead[1] - behind[1]
    length = math.hypot(du, dv)
    return u - duv * dv / length, v + duv * du / length


def _xyz(x: float, y: float) -> Array:
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


def _uv(x: float, y: float) -> tuple[float, float]:
    below = -2 * x + 12 * y + 3
    return 4 * x / below, 6 * y / below


@cache
def _locus_rows() -> Array:
    return np.array([[float(row[k]) for k in ("mired", "x", "y")] for row in table("planckian")])


def _locus(mired: ArrayLike) -> Array:
    """Chromaticity (n, 2) on the Planckian locus: the cubic through the four nearest rows.

    Within 1.4e-7 of a spline through all of them, which is as the table is rounded.
    """
    rows, at = _locus_rows(), np.atleast_1d(np.asarray(mired, dtype=float))
    first = np.clip(np.searchsorted(rows[:, 0], at) - 2, 0, len(rows) - 4)
    four = first[:, None] + np.arange(4)
    knots = rows[four, 0]
    weights = np.ones_like(knots)
    for a in range(4):
        for b in range(4):
            if a != b:
                weights[:, a] *= (at - knots[:, b]) / (knots[:, a] - knots[:, b])
    return np.asarray(np.einsum("na,nac->nc", weights, rows[four, 1:]))


@cache
def _locus_uv() -> tuple[Array, Array, Array]:
    mired = np.arange(1e6 / _HOTTEST_K, 1e6 / _COLDEST_K + 0.5)
    xy = _locus(mired)
    uv = np.array([_uv(float(x), float(y)) for x, y in xy])
    return mired, uv[:, 0], uv[:, 1]


@cache
def _melanopic(kind: str) -> Array:
    rows = [row for row in table("melanopic") if row["kind"] == kind]
    return np.array([[float(row[k]) for row in rows] for k in ("cct_k", "ratio", "low", "high")])
