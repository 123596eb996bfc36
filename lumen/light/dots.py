"""A row of LEDs against the even line it is taken for: how far off the dots melt into one another.

Each LED is a small Lambertian source; all face the same way, at right angles to the row::

    o     o     o     o     o      pitch p
      .  .  .  .
        ..  ..                     distance r from the row
    ---------x--------------       bright over an LED, dull between two
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from lumen.errors import GeometryError

__all__ = ["distance_for_contrast", "dot_contrast", "dots_against_line"]

_FAR = 40.0  # beyond, e^-k is below the last bit of a double


def dots_against_line(
    along: npt.ArrayLike, distance_m: float, pitch_m: float
) -> npt.NDArray[np.float64]:
    r"""An endless row of Lambertian points lights a surface as its even line does, times a ripple.

    Parameters
    ----------
    along : (...)
        Place along the row [m], 0 opposite a point.
    distance_m
        Distance of the surface's line from the row [m], measured at right angles to it.
    pitch_m
        From point to point [m].

    Returns
    -------
    (...)
        Illuminance over that of the even line of the same flux; its mean is 1.

    Raises
    ------
    GeometryError
        When distance or pitch is not positive.

    Notes
    -----
    On a line along the row both cosines of each point go with 1 / d, so E is a constant times
    sum over k of 1 / (r^2 + (x - k p)^2)^2. Poisson's sum turns that into
    ``1 + 2 sum_m (1 + m k) e^(-m k) cos(m f)`` with k = 2 pi r / p and f = 2 pi x / p, which adds
    up to ``sinh k / (cosh k - cos f) + k (cos f cosh k - 1) / (cosh k - cos f)^2``. Holds away from
    the ends (some distances r) and for LEDs small against r.

    Source: derived; the simple sum is the logarithmic derivative of Euler's product (DLMF 4.36).

    Examples
    --------
    >>> dots_against_line([0.0, 0.5], 0.5, 1.0)
    array([1.38693, 0.66766])
    """
    k = math.tau * _size("distance_m", distance_m) / _size("pitch_m", pitch_m)
    phase = math.tau * np.asarray(along, dtype=float) / pitch_m
    if k > _FAR:
        return np.ones_like(phase)
    below = math.cosh(k) - np.cos(phase)
    ripple = math.sinh(k) / below + k * (np.cos(phase) * math.cosh(k) - 1.0) / below**2
    return np.asarray(ripple)


def dot_contrast(distance_m: float, pitch_m: float) -> float:
    """Dots stand out by the difference of bright and dull over their sum (Michelson contrast).

    Parameters
    ----------
    distance_m, pitch_m
        As for `dots_against_line`.

    Returns
    -------
    0 for an even line to 1 for dots with dark between.

    Examples
    --------
    One pitch away the dots are 2.7 % of the light, half a pitch away 35 %:

    >>> dot_contrast(0.01, 0.01), dot_contrast(0.005, 0.01)
    (0.0272, 0.3501)
    """
    bright, dull = dots_against_line([0.0, pitch_m / 2], distance_m, pitch_m)
    return float((bright - dull) / (bright + dull))


def distance_for_contrast(contrast: float, pitch_m: float) -> float:
    """The distance at which the dots of a row have faded to a contrast.

    Parameters
    ----------
    contrast
        More than 0, less than 1.
    pitch_m
        From LED to LED [m].

    Raises
    ------
    GeometryError
        For a contrast outside that range.

    Examples
    --------
    >>> distance_for_contrast(0.05, 0.0166667)
    0.01478
    """
    if not 0.0 < contrast < 1.0:
        raise GeometryError("contrast", "must be more than 0 and less than 1", contrast)
    low, high = 1e-3 * _size("pitch_m", pitch_m), 6.0 * pitch_m
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if dot_contrast(middle, pitch_m) > contrast else (low, middle)
    return (low + high) / 2


def _size(name: str, value: float) -> float:
    if not (math.isfinite(value) and value > 0.0):
        raise GeometryError(name, "must be more than 0", value)
    return value
