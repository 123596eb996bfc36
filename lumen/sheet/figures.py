"""Figures on paper: every number carries in the page what it is and its exact value.

A :class:`Trail` walks plain data and remembers the way; its numbers become :class:`Figure`, and
each filter shows a figure as ``<data value="1.22" data-plan="...">1220 mm ...</data>``. So the
printed page can be read back and held against the study, and no template holds a number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, is_dataclass
from typing import Any

from markupsafe import Markup

from lumen.units import show_feet_inches
from lumen.words.figures import amount as amount_words
from lumen.words.figures import amperes, watts

__all__ = [
    "FILTERS", "Figure", "Trail", "both_units", "finished", "held_together", "length_words",
]  # fmt: skip


_NO_BREAK = "\u00a0"

_UNIT_AFTER = re.compile(
    r"(?<=\d) (?=(?:[cmk]?m|mm?[²2]|k?Wh?|k?VA?|m?A|Hz|lx|lm|cd/m[²2]|k?g|°C|°F|K|%|AWG|degrees)"
    r"(?![A-Za-z]))"
)
"""The space between a number and its unit."""

_IN_FEET = ("US", "CA")
"""Regions where a tape in feet and inches is usual; elsewhere it only makes a line longer."""


def both_units(region: str) -> bool:
    """Return whether lengths and temperatures are also read in feet, inches and degrees Fahrenheit.

    Examples
    --------
    >>> both_units("US"), both_units("AU")
    (True, False)
    """
    return region in _IN_FEET


def held_together(words: str) -> str:
    r"""Return a text in which no line can break between a number and its unit.

    Examples
    --------
    >>> held_together("1 % of 15 A, two A").split(" ")
    ['1\xa0%', 'of', '15\xa0A,', 'two', 'A']
    """
    return _UNIT_AFTER.sub(_NO_BREAK, words)


def finished(value: Any) -> Any:
    """What a template prints last of all: plain texts get their units held to their numbers."""
    return held_together(value) if type(value) is str else value


@dataclass(frozen=True)
class Figure:
    """A number and the way to it: ``root`` (``study`` or ``sheet``) and ``path`` inside.

    ``units`` says how a length is read: ``both`` with feet and inches, or ``metric``.
    """

    value: float
    root: str
    path: str
    units: str = "both"

    def __float__(self) -> float:
        return float(self.value)

    def __bool__(self) -> bool:
        return bool(self.value)

    def __eq__(self, other: object) -> bool:
        return float(self.value) == (float(other) if isinstance(other, Figure) else other)

    def __hash__(self) -> int:
        return hash(self.value)

    def __lt__(self, other: float) -> bool:
        return float(self.value) < float(other)

    def __gt__(self, other: float) -> bool:
        return float(self.value) > float(other)

    def show(self, words: str) -> Markup:
        """Return the number as it is read, in markup that carries its value."""
        return Markup('<data value="{}" data-{}="{}">{}</data>').format(
            repr(float(self.value)), Markup(self.root), self.path, held_together(words)
        )


class Trail:
    """Data with a memory of the way: mappings, dataclasses, lists, texts, and numbers as figures.

    Examples
    --------
    >>> row = Trail({"marks": [{"height_m": 1.22, "name": "left"}]}, "sheet").marks[0]
    >>> row.name, row.height_m.path
    ('left', 'marks.0.height_m')
    """

    def __init__(self, data: Any, root: str, path: str = "", units: str = "both") -> None:
        self._data, self._root, self._path, self._units = data, root, path, units

    def _at(self, key: object, value: Any) -> Any:
        path = f"{self._path}.{key}" if self._path else str(key)
        if isinstance(value, bool) or value is None or isinstance(value, str):
            return value
        if isinstance(value, int | float):
            return Figure(float(value), self._root, path, self._units)
        return Trail(value, self._root, path, self._units)

    def __getattr__(self, key: str) -> Any:
        if key.startswith("_"):
            raise AttributeError(key)
        return self[key]

    def __getitem__(self, key: Any) -> Any:
        if isinstance(key, Figure):
            key = int(key.value)
        try:
            fields = is_dataclass(self._data)
            return self._at(key, getattr(self._data, key) if fields else self._data[key])
        except (AttributeError, KeyError, IndexError, TypeError):
            raise AttributeError(f"{self._path}.{key}") from None

    def __iter__(self) -> Iterator[Any]:
        if isinstance(self._data, Mapping):
            return iter(self._data)
        return (self._at(i, value) for i, value in enumerate(self._data))

    def __len__(self) -> int:
        return len(self._data)

    def __contains__(self, key: object) -> bool:
        return key in self._data


def length_words(value_m: float, unit: str = "both") -> str:
    """Return a length as it is marked: millimetres, and feet and inches.

    A line may break between the two, not inside either.

    Examples
    --------
    >>> length_words(1.22).split()
    ['1220', 'mm', "(4'", '1/16")']
    """
    metric = f"{round(1000 * value_m) + 0:d} mm" if abs(value_m) < 9.9995 else f"{value_m:.2f} m"
    inches = show_feet_inches(value_m)
    words = {"both": (metric, f"({inches})"), "metric": (metric,), "inches": (inches,)}[unit]
    return " ".join(part.replace(" ", _NO_BREAK) for part in words)


def _length(figure: Figure, unit: str | None = None) -> Markup:
    return figure.show(length_words(float(figure), unit or figure.units))


def _pitch(figure: Figure) -> Markup:
    """A pitch repeats, so its tenth of a millimetre counts: 62.5 mm."""
    return figure.show(f"{1000 * float(figure):.4g}{_NO_BREAK}mm")


def _lengths(figure: Figure, other: Figure) -> Markup:
    return Markup("{}\u00a0– {}").format(_length(figure), _length(other))


def _number(figure: Figure, unit: str = "") -> Markup:
    value = float(figure)
    words = f"{value:.0f}" if value == round(value) and abs(value) < 1e6 else amount_words(value)
    if value == 1 and unit.endswith("s"):  # 1 button, 1 degree
        unit = unit[:-1]
    return figure.show(f"{words}°" if unit == "deg" else f"{words} {unit}".strip())


def _unsure(figure: Figure, unit: str = "") -> Markup:
    """A large number that nobody knows to the last digit: two digits of it, in groups of three."""
    value = float(figure)
    return figure.show(f"about {float(f'{value:.2g}'):,.0f} {unit}".strip())


def _whole(figure: Figure, unit: str = "") -> Markup:
    return figure.show(f"{float(figure):.0f} {unit}".strip())


def _fine(figure: Figure, unit: str = "") -> Markup:
    """One decimal: for temperatures and shares in percent that are differences."""
    return figure.show(f"{float(figure):.1f} {unit}".strip())


def _lux(figure: Figure) -> Markup:
    value = float(figure)
    return figure.show("under 0.1 lx" if value < 0.1 else f"{amount_words(value)} lx")


def _bare(figure: Figure) -> Markup:
    value = float(figure)
    return figure.show("0" if value < 0.05 else amount_words(value))


def _percent(figure: Figure) -> Markup:
    share = 100 * float(figure)
    return figure.show(f"{share:.1f} %" if 0.05 <= share < 0.5 else f"{share:.0f} %")


def _watts(figure: Figure) -> Markup:
    return figure.show(watts(float(figure)) if figure else "0 W")


def _amperes(figure: Figure) -> Markup:
    return figure.show(amperes(float(figure)) if figure else "0 A")


def _celsius(figure: Figure) -> Markup:
    value = float(figure)
    also = f" ({value * 9 / 5 + 32:.0f} °F)" if figure.units == "both" else ""
    return figure.show(f"{value:.0f} °C{also}")


def _kelvins(figure: Figure) -> Markup:
    value = float(figure)
    also = f" ({value * 9 / 5:.0f} °F)" if figure.units == "both" else ""
    return figure.show(f"{value:.0f} K{also}")


def _money(figure: Figure, currency: str = "") -> Markup:
    value = float(figure)
    decimals = 0 if value >= 1000 or value == round(value) else 2
    return figure.show(f"{value:.{decimals}f} {currency}".strip())


def _ratio(figure: Figure) -> Markup:
    return figure.show(f"{amount_words(float(figure))} : 1")


def _side(figure: Figure, reference: str = "of it") -> str:
    """Which side of the bed centre line a signed distance lies on."""
    value = float(figure)
    if math.isclose(value, 0.0, abs_tol=5e-7):
        return "on the bed line"
    return f"{'right' if value > 0 else 'left'} {reference}"


def _away(figure: Figure, unit: str | None = None) -> Markup:
    """A signed distance without its sign; the page says the side in words."""
    return figure.show(length_words(abs(float(figure)), unit or figure.units))


def _text(value: Any) -> str:
    """Anything written in a plan as one line of text."""
    if isinstance(value, Figure):
        return f"{float(value):g}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Trail):
        return _flat(value._data)
    return "not given" if value is None else str(value)


def _flat(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(_named(str(k), item) for k, item in value.items() if item is not None)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(_flat(item) for item in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _by_words(bands: Trail) -> list[tuple[str, list[Any]]]:
    """Bands that are there for one reason together."""
    groups: dict[str, list[Any]] = {}
    for band in bands:
        groups.setdefault(band.words, []).append(band)
    return list(groups.items())


def _named(key: str, value: Any) -> str:
    """A field and its value in words; the field's last part is its unit."""
    words, _, unit = key.rpartition("_")
    if words and unit in ("m", "deg", "w", "k"):
        shown = {"deg": "°", "w": " W", "k": " K"}.get(unit, f" {unit}")
        return f"{words.replace('_', ' ')} {_flat(value)}{shown}"
    return f"{key.replace('_', ' ')} {_flat(value)}"


FILTERS = {
    "groupby_words": _by_words,
    "length_of": _length,
    "pitch": _pitch,
    "lengths": _lengths,
    "away": _away,
    "side": _side,
    "number": _number,
    "unsure": _unsure,
    "whole": _whole,
    "fine": _fine,
    "lux": _lux,
    "bare": _bare,
    "percent": _percent,
    "watts": _watts,
    "amperes": _amperes,
    "celsius": _celsius,
    "kelvins": _kelvins,
    "money": _money,
    "ratio": _ratio,
    "text": _text,
}
"""Filters of the templates, by name."""
