"""Lamps that are sold: what a light may be given, from the table ``lamps``.

A plan asks for no lumens that nobody sells: what lies between two lamps is reached by dimming.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lumen.scenario.base import middle
from lumen.scenario.lights import Lamp, Light
from lumen.tables import table

__all__ = ["Sold", "beams_sold", "lamp_of", "own_lamp", "sold_as", "sold_lamps"]


@dataclass(frozen=True)
class Sold:
    """One lamp or LED head as it is sold.

    ``low_lm`` and ``high_lm`` bound what is printed on such lamps, ``whites_k`` are those it is
    sold in, ``lowest_level`` what such a lamp usually dims to. ``own`` marks the light's own lamp.
    """

    name: str
    fits: str
    flux_lm: float
    low_lm: float
    high_lm: float
    power_w: float
    diameter_m: float
    whites_k: tuple[float, ...]
    lowest_level: float
    own: bool = False


@cache
def sold_lamps(fits: str) -> tuple[Sold, ...]:
    """Return the lamps that fit one use, weakest first.

    Uses are ``bulb``, ``reading spot``, ``spot lamp`` and ``soft head``.

    Examples
    --------
    >>> [lamp.flux_lm for lamp in sold_lamps("reading spot")]
    [80.0, 150.0, 220.0]
    """
    found = [
        Sold(
            row["lamp"],
            fits,
            float(row["flux_lm"]),
            float(row["flux_low_lm"]),
            float(row["flux_high_lm"]),
            float(row["power_w"]),
            float(row["diameter_m"]),
            tuple(float(white) for white in row["sold_k"].split()),
            float(row["lowest_level"]),
        )
        for row in table("lamps")
        if row["fits"] == fits
    ]
    return tuple(sorted(found, key=lambda lamp: lamp.flux_lm))


USES = ("bulb", "reading spot", "spot lamp", "soft head")


@cache
def beams_sold(fits: str) -> tuple[float, ...]:
    """Return the beam angles [deg] that heads of one use are sold with.

    Examples
    --------
    >>> beams_sold("spot lamp")
    (24.0, 36.0, 60.0)
    """
    rows = (row for row in table("lamps") if row["fits"] == fits)
    return tuple(sorted({float(beam) for row in rows for beam in row["beams_deg"].split()}))


def sold_as(lamp: Lamp) -> Sold | None:
    """Return the row that a written lamp was taken from, None for another."""
    rows = (one for fits in USES for one in sold_lamps(fits))
    return next((r for r in rows if (r.flux_lm, r.power_w) == (lamp.flux_lm, lamp.power_w)), None)


_NO_LUMENS = 1e-6  # a lamp of no lumens, so that it may be divided by


def own_lamp(light: Light, lowest_level: float) -> Sold:
    """Return the lamp that a light has."""
    lamp = light.lamp
    flux = max(middle(lamp.flux_lm), _NO_LUMENS)
    low, high = lamp.flux_lm if isinstance(lamp.flux_lm, tuple) else (flux, flux)
    watts, whites = middle(lamp.power_w), (lamp.cct_k,)
    wide = lamp.diameter_m
    return Sold("own", "bulb", flux, low, high, watts, wide, whites, lowest_level, own=True)


def lamp_of(light: Light, sold: Sold, cct_k: float) -> Lamp:
    """Return a sold lamp as it is written into a light's place, in one of its whites."""
    if sold.own:
        return light.lamp
    wide = light.lamp.diameter_m if sold.fits == "bulb" else sold.diameter_m  # as its holder asks
    return Lamp(flux_lm=sold.flux_lm, power_w=sold.power_w, cct_k=cct_k, diameter_m=wide)
