"""Numbers as people say them: about how much, between what, no more digits than are known."""

from __future__ import annotations

from math import floor, log10

__all__ = ["about", "amount", "amperes", "watts"]


def amount(value: float) -> str:
    """Return a number with two significant digits (three where the first is a 1).

    Examples
    --------
    >>> [amount(v) for v in (291.37, 12.34, 4.26, 0.123, 1834.0, 0.0, 9.96)]
    ['290', '12', '4.3', '0.12', '1830', '0', '10']
    """
    if value == 0:
        return "0"
    place = floor(log10(abs(float(f"{value:.2g}"))))  # 9.96 is written with the digits of 10
    digits = 3 if place >= 3 else 2
    decimals = min(2, digits - 1 - place)  # rounded once: 0.0754 is 0.08
    return f"{round(value, decimals):.{max(0, decimals)}f}"


def about(value: float, low: float, high: float, unit: str = "lx") -> str:
    """Return a value with its band as a phrase.

    Examples
    --------
    >>> about(291.37, 233.0, 348.0)
    'about 290 lx (230-350)'
    >>> about(0.03, 0.02, 0.04)
    'under 0.1 lx'
    """
    if high < 0.1:
        return f"under 0.1 {unit}"
    return f"about {amount(value)} {unit} ({amount(low)}-{amount(high)})"


def watts(value: float) -> str:
    """Return watts: whole ones from 10 up.

    Examples
    --------
    >>> watts(91.6), watts(5.5)
    ('92 W', '5.5 W')
    """
    return f"{value:.0f} W" if value >= 10 else f"{value:.1f} W"


def amperes(value: float) -> str:
    """Return amperes with two decimals below 10.

    Examples
    --------
    >>> amperes(0.7634), amperes(14.62)
    ('0.76 A', '14.6 A')
    """
    return f"{value:.1f} A" if value >= 10 else f"{value:.2f} A"
