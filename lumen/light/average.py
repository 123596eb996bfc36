"""Averages by hand: the checks one can do with pencil and paper beside the full reckoning."""

from __future__ import annotations

import math

from lumen.errors import PhotometryError

__all__ = ["average_illuminance", "flux_for_average", "mean_indirect_illuminance"]


def average_illuminance(
    flux_lm: float, area_m2: float, utilisation: float = 1.0, maintenance: float = 1.0
) -> float:
    """The average illuminance of a plane is the flux that reaches it over its area.

    Parameters
    ----------
    flux_lm
        Flux of all lamps [lm].
    area_m2
        [m^2]
    utilisation
        Share of the lamps' flux that reaches the plane, bounces included; over 1 is possible only
        when light passes the plane twice.
    maintenance
        Share left after ageing and dirt, 1 at most (some books divide by a factor over 1 instead).

    Returns
    -------
    [lx]

    Notes
    -----
    Lumen method: E = flux x utilisation x maintenance / area.

    Examples
    --------
    >>> average_illuminance(15 * 1600.0, 96.0, utilisation=0.4)
    100.0
    """
    return _least("flux_lm", flux_lm) * _shares(utilisation, maintenance) / _size(area_m2)


def flux_for_average(
    lux: float, area_m2: float, utilisation: float = 1.0, maintenance: float = 1.0
) -> float:
    """The lumen method turned round: the flux of lamps that an average illuminance asks for.

    Parameters
    ----------
    lux
        Average illuminance [lx].
    area_m2, utilisation, maintenance
        As for `average_illuminance`.

    Returns
    -------
    [lm]

    Examples
    --------
    >>> round(flux_for_average(250.0, 300.0, 0.4, 0.9) / 4200.0, 2)
    49.6
    """
    return _least("lux", lux) * _size(area_m2) / _shares(utilisation, maintenance)


def mean_indirect_illuminance(flux_lm: float, area_m2: float, reflectance: float) -> float:
    """Bounced light spreads over all surfaces as flux x rho / (area (1 - rho)).

    Parameters
    ----------
    flux_lm
        Flux into the closed space [lm].
    area_m2
        All its surfaces [m^2].
    reflectance
        One for all surfaces, or their mean by area (then an estimate only).

    Returns
    -------
    [lx], mean over all surfaces.

    Notes
    -----
    Exact by balance of energy for one reflectance everywhere, whatever the shape.

    Examples
    --------
    >>> round(mean_indirect_illuminance(10_000.0, 96.0, 0.5), 2)
    104.17
    """
    if not 0.0 <= reflectance < 1.0:
        raise PhotometryError("reflectance", "must be from 0 to under 1", reflectance)
    return _least("flux_lm", flux_lm) * reflectance / (_size(area_m2) * (1.0 - reflectance))


def _shares(utilisation: float, maintenance: float) -> float:
    if not utilisation > 0.0:
        raise PhotometryError("utilisation", "must be more than 0", utilisation)
    if not 0.0 < maintenance <= 1.0:
        raise PhotometryError(
            "maintenance", "must be more than 0 and 1 at most (turn a divisor over)", maintenance
        )
    return utilisation * maintenance


def _size(area_m2: float) -> float:
    if not (math.isfinite(area_m2) and area_m2 > 0.0):
        raise PhotometryError("area_m2", "must be more than 0", area_m2)
    return area_m2


def _least(name: str, value: float) -> float:
    if not (math.isfinite(value) and value >= 0.0):
        raise PhotometryError(name, "must be a number of 0 or more", value)
    return value
