"""What a typed number may be, and what it usually is: a slip of the comma or the unit is asked for.

``plausible.csv`` has a row for every number of the document, by part and field. Outside the first
two bounds nothing exists and the plan is refused; outside the other two it is asked whether it is
meant, with the number that a wrong unit or a wrong comma would have made of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from lumen.scenario.base import Part
from lumen.tables import table

__all__ = ["Band", "Number", "band_of", "bands", "hint", "meant", "numbers"]

_SHRINK = {"m": (0.001, 0.01, 0.0254, 0.3048, 0.1), "m²": (1e-4, 1e-6, 0.01)}
_GROW = {"m": (100.0, 10.0, 1000.0)}
_COMMA_DOWN = (0.01, 0.1, 0.001)
_COMMA_UP = (100.0, 10.0, 1000.0)
_HUGE = 1e9
_TRIFLE = 1e-3  # nobody means so small a share of what is usual: our own


@dataclass(frozen=True)
class Band:
    """What a number may be and usually is, with words and unit for it; infinite where unbounded."""

    words: str
    unit: str
    possible: tuple[float, float]
    likely: tuple[float, float]
    source: str


@dataclass(frozen=True)
class Number:
    """One number that somebody wrote: where, which, and its band."""

    path: str
    value: float
    band: Band

    @property
    def possible(self) -> bool:
        """Whether such a number exists at all."""
        return self.band.possible[0] <= self.value <= self.band.possible[1]

    @property
    def likely(self) -> bool:
        """Whether such a number is usual."""
        return self.band.likely[0] <= self.value <= self.band.likely[1]


@cache
def bands() -> Mapping[str, Band]:
    """Return the rows of ``plausible.csv`` by part and field.

    Examples
    --------
    >>> bands()["Room.height_m"].likely
    (1.9, 4.5)
    """

    def pair(low: str, high: str) -> tuple[float, float]:
        return (float(low) if low else -math.inf, float(high) if high else math.inf)

    return {
        row["field"]: Band(
            row["words"],
            row["unit"],
            pair(row["possible_low"], row["possible_high"]),
            pair(row["likely_low"], row["likely_high"]),
            ", ".join(filter(None, (row["source"], row["locator"]))),
        )
        for row in table("plausible")
    }


def band_of(part: str, field: str) -> Band | None:
    """Return the band of a field of a part: its own row, else that of the field wherever it is.

    Examples
    --------
    >>> band_of("PowerStrip", "holes") == band_of("Outlet", "holes")
    True
    """
    known = bands()
    return known.get(f"{part}.{field}") or known.get(f"*.{field}")


def numbers(part: Part, path: str = "") -> Iterator[Number]:
    """Yield every number that somebody wrote in a part, each end of a range by itself."""
    for name in type(part).model_fields:
        if name in part.model_fields_set:
            here = f"{path}.{name}" if path else name
            yield from _within(getattr(part, name), here, band_of(type(part).__name__, name))


def _within(value: Any, path: str, band: Band | None) -> Iterator[Number]:
    if isinstance(value, Part):
        yield from numbers(value, path)
    elif isinstance(value, bool) or value is None or isinstance(value, str):
        return
    elif isinstance(value, int | float):
        if band is not None:
            yield Number(
                path, float(max(-1e300, min(1e300, value))), band
            )  # past any float is past
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from _within(each, f"{path}.{key}", band)
    else:
        for number, each in enumerate(value):
            yield from _within(each, f"{path}[{number}]", band)


def meant(value: float, band: Band) -> float | None:
    """Return the usual number that a wrong unit or a wrong comma has made this of, if any.

    Examples
    --------
    >>> meant(0.75, bands()["Finish.lrv"]), meant(3000.0, bands()["*.length_m"])
    (75.0, 3.0)
    >>> meant(1600.0, bands()["Circuit.breaker_a"])
    16.0
    """
    low, high = band.likely
    if not math.isfinite(value) or value <= 0.0 or low <= value <= high:
        return None
    if value > high:
        factors = _SHRINK.get(band.unit, _COMMA_DOWN)
    else:
        factors = _GROW.get(band.unit, _COMMA_UP)
    for factor in factors:
        guess = float(f"{value * factor:.6g}")
        if max(low, _TRIFLE * high) <= guess <= high:
            return guess
    return None


def hint(value: object, band: Band | None) -> str:
    """Return what to add to a refusal: the number that was perhaps meant, or nothing.

    Examples
    --------
    >>> hint(240, bands()["Room.height_m"])
    ', did you mean 2.4?'
    """
    if band is None or isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    guess = meant(float(value), band) if abs(value) < _HUGE else None
    return "" if guess is None else f", did you mean {guess:g}?"
