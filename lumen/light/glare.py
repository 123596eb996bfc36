"""What a bright source does to an eye: its luminance, its shielding, its place in view, UGR.

Angles are radians. Luminance is in cd/m^2, areas are as the eye sees them (projected).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from lumen.errors import PhotometryError
from lumen.tables import table

__all__ = [
    "LARGEST_UGR_SOURCE_M2",
    "SMALLEST_UGR_SOURCE_M2",
    "GlareLimit",
    "GlareRating",
    "GlareSource",
    "glare_rating",
    "luminance_of_exitance",
    "luminance_of_globe",
    "luminance_of_surface",
    "place_in_view",
    "position_index",
    "shielding_angle",
    "shielding_needed",
]

SMALLEST_UGR_SOURCE_M2 = 0.005
LARGEST_UGR_SOURCE_M2 = 1.5
"""UGR speaks of sources of 0.005 to 1.5 m^2 (CIE 147:2002, catalogue entry)."""


# ---- luminance ----------------------------------------------------------------------------------


def luminance_of_exitance(exitance: float) -> float:
    """A perfectly diffusing surface has a luminance of its exitance over pi.

    Parameters
    ----------
    exitance
        Luminous exitance [lm/m^2]. Some books print this number itself as "luminance": it is not.

    Returns
    -------
    [cd/m^2]

    Examples
    --------
    >>> luminance_of_exitance(6942.0)
    2209.7
    """
    return _positive("exitance", exitance) / math.pi


def luminance_of_surface(illuminance: float, reflectance: float) -> float:
    """A matt surface has a luminance of reflectance times illuminance over pi.

    Parameters
    ----------
    illuminance
        [lx]
    reflectance
        0 to 1.

    Returns
    -------
    [cd/m^2]

    Examples
    --------
    >>> luminance_of_surface(44000.0, 0.85)
    11904.8
    """
    if not 0.0 <= reflectance <= 1.0:
        raise PhotometryError("reflectance", "must be from 0 to 1", reflectance)
    return luminance_of_exitance(_positive("illuminance", illuminance) * reflectance)


def luminance_of_globe(flux_lm: float, diameter_m: float) -> float:
    """An evenly glowing globe has a luminance of its flux over (pi D)^2.

    Parameters
    ----------
    flux_lm
        Flux that leaves the globe [lm], after its losses.
    diameter_m
        [m]

    Returns
    -------
    [cd/m^2]

    Examples
    --------
    >>> luminance_of_globe(400.0, 0.12)
    2814.5
    """
    size = math.pi * _size("diameter_m", diameter_m)
    return _positive("flux_lm", flux_lm) / size**2


# ---- shielding ----------------------------------------------------------------------------------


def shielding_angle(cutoff: float) -> float:
    """The shielding angle is what the cut-off angle leaves to the level.

    Parameters
    ----------
    cutoff
        Angle from straight down beyond which the lamp is hidden [rad].

    Returns
    -------
    [rad], from the level; negative when the lamp shows above it.

    Notes
    -----
    Source: CIE e-ILV 17-30-036 (complement of the cut-off angle).

    Examples
    --------
    >>> math.degrees(shielding_angle(math.radians(60.0)))
    30.0
    """
    return math.pi / 2 - cutoff


def shielding_needed(luminance: float) -> float:
    """A bright lamp asks for a shielding angle by the step that its luminance falls in.

    Parameters
    ----------
    luminance
        Of the bare lamp [cd/m^2].

    Returns
    -------
    [rad] below the level: 0, 15, 20 or 30 degrees.

    Notes
    -----
    Made for workplaces; it does not speak of lights below eye height or of uplights, so beside a
    bed it is a guide only.

    Source: EN 12464-1, shielding (see the table ``shielding``).

    Examples
    --------
    >>> math.degrees(shielding_needed(60_000.0))
    20.0
    """
    value = _positive("luminance", luminance)
    for row in table("shielding"):
        if float(row["from_cd_m2"]) <= value < float(row["below_cd_m2"]):
            return math.radians(float(row["shielding_deg"]))
    raise PhotometryError("luminance", "must be a finite number", luminance)


# ---- place in view ------------------------------------------------------------------------------


def place_in_view(
    eye: ArrayLike, gaze: ArrayLike, up: ArrayLike, source: ArrayLike
) -> tuple[float, float, float]:
    """A source's place in view is its angle around the gaze and its angle away from it.

    Parameters
    ----------
    eye, source : (3,)
        [m]
    gaze, up : (3,)
        Where the eye looks and where its brow is; need not be unit or square to one another.

    Returns
    -------
    alpha, beta, distance
        Angle from the eye's upright [rad] (0 above the gaze, pi below), angle from the gaze [rad],
        distance [m].

    Raises
    ------
    PhotometryError
        When the source is at the eye, or gaze and up are parallel.

    Examples
    --------
    >>> alpha, beta, d = place_in_view([0, 0, 1.2], [0, 1, 0], [0, 0, 1], [0.5, 2.0, 1.8])
    >>> round(math.degrees(alpha), 2), round(math.degrees(beta), 2), round(d, 4)
    (39.81, 21.33, 2.1471)
    """
    ahead = np.asarray(gaze, dtype=float)
    brow = np.asarray(up, dtype=float)
    ray = np.asarray(source, dtype=float) - np.asarray(eye, dtype=float)
    distance = float(np.linalg.norm(ray))
    across = np.cross(ahead, brow)
    if distance < 1e-9:
        raise PhotometryError("source", "must not be at the eye", ray.tolist())
    if np.linalg.norm(across) < 1e-9:
        raise PhotometryError("gaze", "must not point along the brow", ahead.tolist())
    ahead, across = ahead / np.linalg.norm(ahead), across / np.linalg.norm(across)
    brow = np.cross(across, ahead)
    depth, height, side = float(ray @ ahead), float(ray @ brow), float(ray @ across)
    alpha = math.atan2(abs(side), height)
    return alpha, math.atan2(math.hypot(height, side), depth), distance


def position_index(alpha: float, beta: float) -> float:
    """Sources away from the line of sight disturb less, by Guth's position index.

    Parameters
    ----------
    alpha
        Angle around the gaze from the eye's upright [rad], 0 to pi.
    beta
        Angle from the gaze [rad].

    Returns
    -------
    1 on the line of sight, more beside it; infinite from 90 degrees on.

    Notes
    -----
    ln p = (35.2 - 0.31889 a - 1.22 e^(-2a/9)) 1e-3 b + (21 + 0.26667 a - 0.002963 a^2) 1e-5 b^2, in
    degrees, above the line of sight; up to 12 % off the chart of CIE 117. Below it (alpha over 90
    degrees) p = 1 + 0.8 r, and 1 + 1.2 r from r = 0.6, with r = tan(beta) up to 3.

    Source: Guth's formula from several public listings; below the sight Iwata and Tokura (1997),
    from memory.

    Examples
    --------
    >>> position_index(math.radians(45.0), math.radians(20.0))
    1.690
    """
    if not 0.0 <= alpha <= math.pi + 1e-9 or not 0.0 <= beta <= math.pi + 1e-9:
        raise PhotometryError("alpha, beta", "must be from 0 to 180 degrees", (alpha, beta))
    if beta >= math.pi / 2:
        return math.inf
    if alpha > math.pi / 2:
        r = min(math.tan(beta), 3.0)
        return 1.0 + (0.8 if r < 0.6 else 1.2) * r
    a, b = math.degrees(alpha), math.degrees(beta)
    return math.exp(
        (35.2 - 0.31889 * a - 1.22 * math.exp(-2 * a / 9)) * 1e-3 * b
        + (21 + 0.26667 * a - 0.002963 * a * a) * 1e-5 * b * b
    )


# ---- rating -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class GlareSource:
    """A bright thing in view.

    Parameters
    ----------
    luminance
        Seen from the eye [cd/m^2].
    area_m2
        Bright area that faces the eye [m^2].
    distance_m
        [m]
    alpha, beta
        Place in view, see `place_in_view` [rad].
    """

    luminance: float
    area_m2: float
    distance_m: float
    alpha: float
    beta: float

    def __post_init__(self) -> None:
        _positive("luminance", self.luminance)
        _size("area_m2", self.area_m2)
        _size("distance_m", self.distance_m)

    @property
    def solid_angle(self) -> float:
        """Solid angle that it fills [sr]."""
        return self.area_m2 / self.distance_m**2


OutOfBounds = Literal[
    "small source", "small source near the gaze", "large source", "below the gaze", "lying"
]


@dataclass(frozen=True)
class GlareLimit:
    """A bound of the rating's validity that was left; ``area_m2`` of a source, to a whole cm2."""

    what: OutOfBounds
    area_m2: float | None = None


@dataclass(frozen=True)
class GlareRating:
    """A unified glare rating and the reasons to doubt it.

    ``value`` is None when nothing glares. ``small_source`` says whether the derived form for small
    sources took part; ``limits`` holds every bound that was left, once.
    """

    value: float | None
    small_source: bool
    limits: tuple[GlareLimit, ...]


def glare_rating(
    sources: Sequence[GlareSource], background: float, *, seated: bool = True
) -> GlareRating:
    """Unified glare rating adds what each source gives, against the background.

    Parameters
    ----------
    sources
        Bright things in view; those behind the eye count for nothing.
    background
        Mean luminance of the view without them [cd/m^2]: indirect vertical illuminance at the eye
        over pi.
    seated
        False for an eye that lies; the rating was not made for it and says so.

    Raises
    ------
    PhotometryError
        When the background is not more than 0.

    Notes
    -----
    UGR = 8 log10(0.25 / Lb sum(L^2 w / p^2)). A source under 0.005 m^2 is rated as if it were that
    large (L^2 w becomes 200 I^2 / r^2): derived by us from the idea of a fixed area in CIE
    147:2002, whose formula we have not read. Steps of 3 from 13 to 28; twice the sources of a kind
    add 2.41.

    Source: CIE 117:1995 (formula as a thesis abstract gives it); sizes from CIE 147:2002.

    Examples
    --------
    >>> a, b, d = place_in_view([0, 0, 1.2], [0, 1, 0], [0, 0, 1], [0.5, 2.0, 1.8])
    >>> globe = GlareSource(luminance_of_globe(400.0, 0.12), math.pi * 0.06**2, d, a, b)
    >>> round(glare_rating([globe], 10.0).value, 2)
    17.3
    """
    if not background > 0.0:
        raise PhotometryError("background", "must be more than 0 cd/m2", background)
    limits: list[GlareLimit] = []
    total, small = 0.0, False
    for source in sources:
        index = position_index(source.alpha, source.beta)
        if math.isinf(index):
            continue
        area = source.area_m2
        if area < SMALLEST_UGR_SOURCE_M2:
            small = True
            limits.append(GlareLimit("small source", round(area, 4)))
            if source.beta < math.radians(5.0):
                limits.append(GlareLimit("small source near the gaze"))
        if area > LARGEST_UGR_SOURCE_M2:
            limits.append(GlareLimit("large source", round(area, 1)))
        if source.alpha > math.pi / 2:
            limits.append(GlareLimit("below the gaze"))
        ratio = area / max(area, SMALLEST_UGR_SOURCE_M2)
        total += source.luminance**2 * source.solid_angle * ratio / index**2
    if not seated:
        limits.append(GlareLimit("lying"))
    if total == 0.0:
        return GlareRating(None, small, tuple(dict.fromkeys(limits)))
    value = 8 * math.log10(0.25 / background * total)
    return GlareRating(value, small, tuple(dict.fromkeys(limits)))


def _positive(name: str, value: float) -> float:
    if not (math.isfinite(value) and value >= 0.0):
        raise PhotometryError(name, "must be a number of 0 or more", value)
    return value


def _size(name: str, value: float) -> float:
    if not (math.isfinite(value) and value > 0.0):
        raise PhotometryError(name, "must be more than 0", value)
    return value
