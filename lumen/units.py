"""What people type and read: metres, centimetres, feet and inches, ranges, "about".

Everything inside the project is SI; this module is where typed text becomes SI and SI becomes text.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from lumen.errors import LumenError

__all__ = [
    "ABOUT_SHARE",
    "QUANTITIES",
    "Typed",
    "UnitError",
    "read",
    "show_feet_inches",
]

ABOUT_SHARE = 0.05
"""What "about" is taken to mean: give or take a twentieth (our own assumption)."""

_FOOT, _INCH, _POUND, _OUNCE = 0.3048, 0.0254, 0.45359237, 0.028349523125
# Exact by definition: the international yard and pound agreement of 1959.

QUANTITIES: Mapping[str, Mapping[str, float]] = {
    "length": {
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
        **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), 0.01),
        **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 0.001),
        **dict.fromkeys(("ft", "foot", "feet", "'"), _FOOT),
        **dict.fromkeys(("in", "inch", "inches", '"'), _INCH),
    },
    "mass": {
        **dict.fromkeys(("kg", "kilo", "kilos"), 1.0),
        **dict.fromkeys(("g", "gram", "grams"), 0.001),
        **dict.fromkeys(("lb", "lbs", "pound", "pounds"), _POUND),
        **dict.fromkeys(("oz", "ounce", "ounces"), _OUNCE),
    },
    "power": {**dict.fromkeys(("w", "watt", "watts"), 1.0), "kw": 1000.0},
    "flux": dict.fromkeys(("lm", "lumen", "lumens"), 1.0),
    "current": {**dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), 1.0), "ma": 0.001},
    "voltage": dict.fromkeys(("v", "volt", "volts"), 1.0),
    "angle": dict.fromkeys(("deg", "degree", "degrees", "°"), 1.0),
    "colour temperature": dict.fromkeys(("k", "kelvin"), 1.0),
}
"""Quantity to unit to its size in the SI unit the project keeps (angles in degrees)."""

_EXAMPLE = {
    "length": "1.68 m, 168 cm or 5 ft 6 1/2 in",
    "mass": "0.9 kg or 2 lb",
    "power": "5.5 W",
    "flux": "470 lm",
    "current": "10 A",
    "voltage": "230 V",
    "angle": "30 deg",
    "colour temperature": "2700 K",
}


class UnitError(LumenError):
    """A typed amount that cannot be understood; says in one sentence what is expected."""


@dataclass(frozen=True)
class Typed:
    """What was typed, in SI: the value to reckon with and the range it lies in."""

    value: float
    low: float
    high: float

    @property
    def is_range(self) -> bool:
        """Whether the person gave a range (or said "about")."""
        return self.low != self.high

    def amount(self) -> float | tuple[float, float]:
        """Return what a plan holds: a number, or low and high."""
        return (self.low, self.high) if self.is_range else self.value


def read(text: str, quantity: str = "length", unit: str | None = None) -> Typed:
    """Return a typed amount in SI units.

    Parameters
    ----------
    text
        As typed: ``168 cm``, ``1,68 m``, ``5'6 1/2"``, ``55-60 cm``, ``about 60 cm``, ``60 +/- 2``.
    quantity
        A key of :data:`QUANTITIES`.
    unit
        The unit of a bare number; the SI unit when left out.

    Raises
    ------
    UnitError
        When the text is no such amount, or can be read in two ways (``1,200``).

    Examples
    --------
    >>> read("5 ft 6 1/2 in").value
    1.6891
    >>> read("168", unit="cm").value
    1.68
    >>> read("55-60 cm").amount()
    (0.55, 0.6)
    >>> read("12 parsecs")
    Traceback (most recent call last):
    lumen.units.UnitError: length must be in one of m, cm, mm, ft, in...
    """
    if quantity not in QUANTITIES:
        raise UnitError("quantity", f"must be one of {', '.join(QUANTITIES)}", quantity)
    units = QUANTITIES[quantity]
    if unit is not None and unit.lower() not in units:
        raise UnitError("unit", f"must be a unit of {quantity}: {', '.join(units)}", unit)
    if not isinstance(text, str) or len(text) > 60:
        raise UnitError(quantity, f"must be a short text such as {_EXAMPLE[quantity]}", text)
    reader = _Reader(text, quantity, units, 1.0 if unit is None else units[unit.lower()])
    return reader.typed()


_SIGNS = str.maketrans(
    {"’": "'", "′": "'", "‘": "'", "”": '"', "″": '"', "“": '"', "–": "-", "—": "-", "−": "-"}
    | dict.fromkeys("\u00a0\u2009\u202f", " ")
    | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
)
_DECIMAL = r"(?:\d+(?:[.,]\d+)?|[.,]\d+)"
_NUMBER = rf"(?:\d+[ -]+\d+/\d+|\d+/\d+|{_DECIMAL})"
_ONE = re.compile(rf"({_NUMBER})\s*([a-z°'\"]*)\.?")
_FEET_INCHES = re.compile(
    rf"(\d+)\s*(?:'|ft\.?|foot|feet)\s*-?\s*({_NUMBER})\s*(?:\"|in\.?|inch|inches)?"
)
_METRES_CENTIMETRES = re.compile(r"(\d+)\s*m\s*(\d{2}|\d(?=\s*cm))\s*(?:cm)?")
_POUNDS_OUNCES = re.compile(rf"(\d+)\s*(?:lb|lbs)\.?\s*({_NUMBER})\s*oz\.?")
_COMPOUNDS: Mapping[str, tuple[tuple[re.Pattern[str], float, float], ...]] = {
    "length": ((_FEET_INCHES, _FOOT, _INCH), (_METRES_CENTIMETRES, 1.0, 0.01)),
    "mass": ((_POUNDS_OUNCES, _POUND, _OUNCE),),
}
_ABOUT = re.compile(r"(?:about|approximately|approx\.?|around|circa|ca\.?|c\.|~|≈)\s*")


class _Reader:
    """Reads one typed text; holds it for the sentences of its errors."""

    def __init__(self, text: str, quantity: str, units: Mapping[str, float], size: float) -> None:
        self.text, self.quantity, self.units, self.size = text, quantity, units, size

    def typed(self) -> Typed:
        plain = " ".join(self.text.translate(_SIGNS).replace("''", '"').lower().split())
        about = _ABOUT.match(plain)
        if about:
            plain = plain[about.end() :]
        if both := re.fullmatch(r"(.+?)\s*(?:±|\+/-|\+-)\s*(.+)", plain):
            return self._give_or_take(both[1], both[2])
        value = self._single(plain)
        if value is None and (between := re.fullmatch(r"between (.+) and (.+)", plain)):
            return self._range(between[1], between[2])
        if value is None and (to := re.fullmatch(r"(.+?)\s*(?:-|\bto\b|\.\.)\s*(.+)", plain)):
            return self._range(to[1], to[2])
        if value is None:
            raise self._refusal(f"must be an amount such as {_EXAMPLE[self.quantity]}")
        if about:
            margin = abs(value) * ABOUT_SHARE
            return Typed(value, value - margin, value + margin)
        return Typed(value, value, value)

    def _range(self, first: str, second: str) -> Typed:
        high = self._single(second)
        low = None if high is None else self._single(first, self._unit_of(second))
        if low is None or high is None:
            raise self._refusal("must be a range such as 55-60 cm")
        if low > high:
            raise self._refusal("must be a range with the smaller number first")
        return Typed((low + high) / 2, low, high)

    def _give_or_take(self, first: str, second: str) -> Typed:
        margin = self._single(second)
        value = None if margin is None else self._single(first, self._unit_of(second))
        if value is None or margin is None or margin < 0:
            raise self._refusal("must be an amount and its margin, such as 60 +/- 2 cm")
        return Typed(value, value - margin, value + margin)

    def _unit_of(self, text: str) -> float:
        """The unit at the end of a range also holds for its bare first number."""
        found = _ONE.fullmatch(text.strip())
        return self.units[found[2]] if found and found[2] else self.size

    def _single(self, text: str, size: float | None = None) -> float | None:
        sign = -1.0 if text.startswith("-") else 1.0
        bare = text.lstrip("-").strip() if sign < 0 else text.strip()
        for pattern, large, small in _COMPOUNDS.get(self.quantity, ()):
            if found := pattern.fullmatch(bare):
                rest = self._number(found[2]) * small
                if rest >= large:
                    raise self._refusal("must have a second part smaller than one of the first")
                return round(sign * (self._number(found[1]) * large + rest), 12)
        found = _ONE.fullmatch(bare)
        if found is None:
            return None
        if found[2] and found[2] not in self.units:
            first = {size: name for name, size in reversed(list(self.units.items()))}
            known = ", ".join(name for name in self.units if name in first.values())
            raise self._refusal(f"must be in one of {known}, not {found[2]!r}")
        factor = self.units[found[2]] if found[2] else self.size if size is None else size
        value = sign * self._number(found[1]) * factor
        return round(value, 12) + 0.0

    def _number(self, text: str) -> float:
        if "/" in text:
            whole, _, part = re.sub(r"[ -]+", " ", text).rpartition(" ")
            top, bottom = (int(digits) for digits in part.split("/"))
            if bottom == 0 or (whole and top >= bottom):
                raise self._refusal(f"must hold a proper fraction, not {part}")
            return float(int(whole or 0) + Fraction(top, bottom))
        whole, comma, rest = text.partition(",")
        if comma and len(rest) == 3 and whole not in ("", "0"):
            either = f"{whole}.{rest.rstrip('0')}".rstrip(".")
            raise self._refusal(
                f"must say whether {either} or {whole}{rest} is meant, without the comma"
            )
        value = float(text.replace(",", "."))
        if not math.isfinite(value) or value > 1e9:
            raise self._refusal("must be a number of a size that occurs in a room")
        return value

    def _refusal(self, rule: str) -> UnitError:
        return UnitError(self.quantity, rule, self.text)


def show_feet_inches(length_m: float, parts: int = 16) -> str:
    """Return a length in feet and inches to the nearest 1/``parts`` inch, fraction reduced.

    Examples
    --------
    >>> print(show_feet_inches(0.3048), "and", show_feet_inches(3.6))
    1' 0" and 11' 9 3/4"
    """
    if not math.isfinite(length_m):
        raise UnitError("length", "must be finite", length_m)
    total = round(abs(length_m) / _INCH * parts)
    feet, rest = divmod(total, 12 * parts)
    inches, over = divmod(rest, parts)
    fraction = f"{Fraction(over, parts)}" if over else ""
    shown = " ".join(filter(None, [str(inches) if inches or not over else "", fraction])) + '"'
    sign = "-" if length_m < 0 and total else ""
    return sign + (f"{feet}' " if feet else "") + shown
