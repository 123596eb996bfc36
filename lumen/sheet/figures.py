"""Figures on paper: every number carries in the page what it is and its exact value.

A :class:`Trail` walks plain data and remembers the way; its numbers become :class:`Figure`, and
each filter shows a figure as ``<data value="1.22" data-plan="...">1220 mm ...</data>``. So the
printed page can be read back and held against the study, and no template holds a number.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, is_dataclass
from typing import Any

from markupsafe import Markup

from lumen.units import show_feet_inches
from lumen.words.figures import amount as amount_words
from lumen.words.figures import amperes, watts

__all__ = ["FILTERS", "Figure", "Trail", "length_words"]


_NO_BREAK = "\u00a0"


@dataclass(frozen=True)
class Figure:
    """A number and the way to it: ``root`` (``study`` or ``sheet``) and ``path`` inside."""

    value: float
    root: str
    path: str

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
            repr(float(self.value)), Markup(self.root), self.path, words
        )


class Trail:
    """Data with a memory of the way: mappings, dataclasses, lists, texts, and numbers as figures.

    Examples
    --------
    >>> row = Trail({"marks": [{"height_m": 1.22, "name": "left"}]}, "sheet").marks[0]
    >>> row.name, row.height_m.path
    ('left', 'marks.0.height_m')
    """

    def __init__(self, data: Any, root: str, path: str = "") -> None:
        self._data, self._root, self._path = data, root, path

    def _at(self, key: object, value: Any) -> Any:
        path = f"{self._path}.{key}" if self._path else str(key)
        if isinstance(value, bool) or value is None or isinstance(value, str):
            return value
        if isinstance(value, int | float):
            return Figure(float(value), self._root, path)
        return Trail(value, self._root, path)

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


def _length(figure: Figure, unit: str = "both") -> Markup:
    return figure.show(length_words(float(figure), unit))


def _pitch(figure: Figure) -> Markup:
    """A pitch repeats, so its tenth of a millimetre counts: 62.5 mm."""
    return figure.show(f"{1000 * float(figure):.4g}{_NO_BREAK}mm")


def _lengths(figure: Figure, other: Figure) -> Markup:
    return Markup("{} – {}").format(_length(figure), _length(other))


def _number(figure: Figure, unit: str = "") -> Markup:
    value = float(figure)
    words = f"{value:.0f}" if value == round(value) and abs(value) < 1e6 else amount_words(value)
    return figure.show(f"{words} {unit}".strip())


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
    return figure.show(f"{100 * float(figure):.0f} %")


def _watts(figure: Figure) -> Markup:
    return figure.show(watts(float(figure)))


def _amperes(figure: Figure) -> Markup:
    return figure.show(amperes(float(figure)))


def _celsius(figure: Figure) -> Markup:
    value = float(figure)
    return figure.show(f"{value:.0f} °C ({value * 9 / 5 + 32:.0f} °F)")


def _kelvins(figure: Figure) -> Markup:
    value = float(figure)
    return figure.show(f"{value:.0f} K ({value * 9 / 5:.0f} °F)")


def _money(figure: Figure, currency: str = "") -> Markup:
    return figure.show(f"{float(figure):.2f} {currency}".strip())


def _ratio(figure: Figure) -> Markup:
    return figure.show(f"{amount_words(float(figure))} : 1")


def _side(figure: Figure, reference: str = "of it") -> str:
    """Which side of the bed centre line a signed distance lies on."""
    value = float(figure)
    if math.isclose(value, 0.0, abs_tol=5e-7):
        return "on the bed line"
    return f"{'right' if value > 0 else 'left'} {reference}"


def _away(figure: Figure, unit: str = "both") -> Markup:
    """A signed distance without its sign; the page says the side in words."""
    return figure.show(length_words(abs(float(figure)), unit))


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
        return f"{words.replace('_', ' ')} {_flat(value)} {unit}"
    return f"{key.replace('_', ' ')} {_flat(value)}"


FILTERS = {
    "groupby_words": _by_words,
    "length_of": _length,
    "pitch": _pitch,
    "lengths": _lengths,
    "away": _away,
    "side": _side,
    "number": _number,
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
