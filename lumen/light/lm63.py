"""Photometric files of ANSI/IES LM-63, editions 1986 to 2019, as met in the wild.

A file is labels or keywords, a ``TILT=`` line and numbers. What is wrong but plain is put right and
said in ``corrections``; what could mean two things is refused with a sentence.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from lumen.errors import PhotometryError
from lumen.light.intensity import IntensityDistribution

__all__ = ["Lm63File", "Tilt", "read_lm63"]

Array = NDArray[np.float64]

_FOOT_M = 0.3048
_VERSIONS = {
    "IESNA86": 1986,
    "IESNA91": 1991,
    "IESNA:LM-63-1986": 1986,
    "IESNA:LM-63-1991": 1991,
    "IESNA:LM-63-1995": 1995,
    "IESNA:LM-63-2002": 2002,
    "IES:LM-63-2019": 2019,
}
_TYPES = {1: "C", 2: "B", 3: "A"}
_TILT_LINE = re.compile(r"^[ \t]*TILT([ \t]*)=[ \t]*(.*?)[ \t]*$", re.IGNORECASE | re.MULTILINE)
_KEYWORD = re.compile(r"^\s*\[([^\]]+)\]\s?(.*)$")
_UPLIGHT = re.compile(r"up-?\s?light|indirect", re.IGNORECASE)
_MOST_VALUES = 2_000_000


@dataclass(frozen=True)
class Tilt:
    """How a lamp's output follows its tilt: a discharge-lamp matter, kept but not applied.

    ``geometry`` is 1 for a vertical lamp, 2 for a level one that stays level, 3 for a level one
    that tilts with the luminaire.
    """

    geometry: int
    angles_deg: tuple[float, ...]
    factors: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Lm63File:
    """What an LM-63 file says.

    Parameters
    ----------
    edition
        Year of the edition whose rules were used.
    keywords
        Keyword to text; ``[MORE]`` lines are joined on.
    labels
        Free lines of the 1986 edition.
    distribution
        Intensity with multiplier and ballast factors applied, in the frame of type C.
    lamps, lumens_per_lamp
        Lamp count and rated flux [lm]; None for absolute photometry (written -1).
    width_m, length_m, height_m
        Luminous opening as written, signs included [m].
    opening
        Its shape in words.
    power_w
        Input power [W]; None when not given.
    generation
        The twelfth number: ballast-lamp factor to 1991, reserved to 2002, generation type in 2019.
    corrections
        What was put right or should be looked at, a sentence each.
    """

    edition: int
    keywords: Mapping[str, str]
    labels: tuple[str, ...]
    distribution: IntensityDistribution
    lamps: int
    lumens_per_lamp: float | None
    photometric_type: str
    width_m: float
    length_m: float
    height_m: float
    opening: str
    power_w: float | None
    generation: float
    tilt: Tilt | None
    corrections: tuple[str, ...]

    @property
    def lamp_flux_lm(self) -> float | None:
        """Rated flux of all lamps [lm]; None for absolute photometry."""
        return None if self.lumens_per_lamp is None else self.lamps * self.lumens_per_lamp

    @property
    def output_ratio(self) -> float | None:
        """Flux that leaves the luminaire over the rated flux of its lamps."""
        rated = self.lamp_flux_lm
        return self.distribution.flux_lm / rated if rated else None

    @property
    def luminous_size_m(self) -> float:
        """Diameter of the disc that spreads like the opening seen along the aim [m].

        A disc keeps its diameter; a rectangle takes the disc of equal second moment,
        d^2 = 2 (w^2 + l^2) / 3.
        """
        w, length = abs(self.width_m), abs(self.length_m)
        if self.width_m < 0 and (self.length_m == self.width_m or length == 0.0):
            return w
        if self.width_m < 0 and self.length_m < 0:  # ellipse: mean r^2 is (w^2 + l^2) / 16
            return math.sqrt((w * w + length * length) / 2)
        return math.sqrt(2 * (w * w + length * length) / 3)


def read_lm63(source: str | bytes) -> Lm63File:
    r"""Return what a photometric file of ANSI/IES LM-63 says, put into one frame.

    Parameters
    ----------
    source
        The file's text, or its bytes (UTF-8, else Latin-1).

    Returns
    -------
    Lm63File

    Raises
    ------
    PhotometryError
        When a line or number is missing, or could mean two things.

    Notes
    -----
    candela = value x multiplier x ballast factor, times the twelfth number only to 1991 (ballast-
    lamp photometric factor). Types A and B are read onto type C every degree of gamma and 3 of C:
    V (up) goes to +y and H (right, seen along the aim) to +x. Lamp tilt factors are kept, not
    applied.

    Source: ANSI/IES LM-63-1995, -2002, -19 (from their public descriptions).

    Examples
    --------
    >>> text = "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 5\n0 90\n0\n100 0"
    >>> read_lm63(text).distribution.max_intensity
    100.0
    """
    notes: list[str] = []
    text = _text(source, notes)
    tilt_line = _TILT_LINE.search(text)
    if tilt_line is None:
        raise PhotometryError("file", "must hold a line that begins with TILT=", text[:60])
    if tilt_line.group(1):
        notes.append("A blank in 'TILT =' was taken out.")
    edition, keywords, labels = _header(text[: tilt_line.start()], notes)
    numbers = _numbers(text[tilt_line.end() :], notes)
    tilt = _tilt(tilt_line.group(2), numbers)
    values = _Values(numbers.rest(), notes)
    distribution = _distribution(values, edition, notes)
    width, length, height = (float(v * values.unit_m) for v in values.opening)
    if max(abs(width), abs(length), abs(height)) > 3.0:
        notes.append(
            f"The opening is {max(abs(width), abs(length), abs(height)):.3g} m across: "
            "feet and metres may be confused."
        )
    file = Lm63File(
        edition=edition,
        keywords=MappingProxyType(keywords),
        labels=labels,
        distribution=distribution,
        lamps=values.lamps,
        lumens_per_lamp=values.lumens_per_lamp,
        photometric_type=values.kind,
        width_m=width,
        length_m=length,
        height_m=height,
        opening=_opening((width, length, height), edition, notes),
        power_w=values.power_w,
        generation=values.generation,
        tilt=tilt,
        corrections=(),
    )
    _guards(file, notes)
    return replace(file, corrections=tuple(notes))


# ---- text ---------------------------------------------------------------------------------------


def _text(source: str | bytes, notes: list[str]) -> str:
    if isinstance(source, bytes):
        try:
            text = source.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = source.decode("latin-1")
            notes.append("The bytes are not UTF-8; they were read as Latin-1.")
    else:
        text = source
    text = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    return text.replace("\x1a", "\n").replace("\x00", "")


def _header(text: str, notes: list[str]) -> tuple[int, dict[str, str], tuple[str, ...]]:
    lines = [line.rstrip() for line in text.split("\n") if line.strip()]
    edition = None
    if lines:
        edition = _VERSIONS.get(re.sub(r"\s", "", lines[0]).upper())
        if edition is None and re.match(r"\s*IES(NA)?\s*[:0-9]", lines[0], re.IGNORECASE):
            raise PhotometryError(
                "first line", f"must name a known edition ({', '.join(_VERSIONS)})", lines[0]
            )
        if edition is not None:
            if re.search(r"\s", lines[0].strip()):
                notes.append("Blanks inside the version line were taken out.")
            lines = lines[1:]
    keywords: dict[str, str] = {}
    labels: list[str] = []
    last = None
    for line in lines:
        keyword = _KEYWORD.match(line)
        if keyword is None:
            labels.append(line.strip())
            continue
        key, value = keyword.group(1).strip().upper(), keyword.group(2).strip()
        if key == "MORE":
            if last is None:
                notes.append("A [MORE] line continues nothing; it was kept as a label.")
                labels.append(value)
            else:
                keywords[last] = f"{keywords[last]} {value}".strip()
            continue
        keywords[key] = f"{keywords[key]}\n{value}" if key in keywords else value
        last = key
    if edition is None:
        edition = 1991 if keywords else 1986
        if keywords:
            notes.append("The version line is missing; the file was read by the rules of 1991.")
    return edition, keywords, tuple(labels)


class _Numbers:
    """The numbers after TILT, taken in order."""

    def __init__(self, values: list[float]) -> None:
        self._values = values
        self._next = 0

    def take(self, count: int, what: str) -> list[float]:
        taken = self._values[self._next : self._next + count]
        if len(taken) < count:
            raise PhotometryError(what, f"must be {count} numbers", taken)
        self._next += count
        return taken

    def rest(self) -> list[float]:
        return self._values[self._next :]


def _numbers(text: str, notes: list[str]) -> _Numbers:
    values: list[float] = []
    tokens = [token for token in re.split(r"[\s,]+", text) if token]
    for position, token in enumerate(tokens):
        try:
            value = float(token)
        except ValueError:
            _end_of_numbers(tokens[position:], notes)
            break
        if not math.isfinite(value):
            raise PhotometryError(f"number {position + 1} after TILT", "must be finite", token)
        values.append(value)
    return _Numbers(values)


def _end_of_numbers(left: list[str], notes: list[str]) -> None:
    for token in left:
        try:
            float(token)
        except ValueError:
            continue
        raise PhotometryError("numbers after TILT", "must not hold words between them", left[0])
    notes.append(f"Text after the numbers ({' '.join(left)[:30]!r}) was left out.")


def _tilt(word: str, numbers: _Numbers) -> Tilt | None:
    if word.upper() == "NONE":
        return None
    if word.upper() != "INCLUDE":
        raise PhotometryError(
            "TILT", "must be NONE or INCLUDE (a tilt table in another file cannot be reached)", word
        )
    geometry, pairs = numbers.take(2, "TILT")
    if geometry not in (1, 2, 3):
        raise PhotometryError("TILT geometry", "must be 1, 2 or 3", geometry)
    count = _whole("TILT pairs", pairs, 1)
    return Tilt(
        int(geometry),
        tuple(numbers.take(count, "TILT angles")),
        tuple(numbers.take(count, "TILT factors")),
    )


# ---- numbers ------------------------------------------------------------------------------------


class _Values:
    """The numbers of an LM-63 file by name, checked one by one."""

    def __init__(self, numbers: list[float], notes: list[str]) -> None:
        if len(numbers) < 10:
            raise PhotometryError("numbers after TILT", "must begin with ten", numbers)
        lamps, lumens, self.multiplier, n_v, n_h, kind, unit, *opening = numbers[:10]
        self.lamps = _whole("number of lamps", lamps, 1)
        if lumens < 0 and lumens != -1:
            raise PhotometryError("lumens per lamp", "must be more than 0, or -1", lumens)
        self.lumens_per_lamp = None if lumens in (-1, 0) else lumens
        if lumens == -1:
            notes.append("Lumens per lamp is -1 (absolute photometry): flux is the integral.")
        if lumens == 0:
            notes.append("Lumens per lamp is 0; it was read as not given.")
        if self.multiplier <= 0:
            raise PhotometryError("candela multiplier", "must be more than 0", self.multiplier)
        n_vertical = _whole("number of vertical angles", n_v, 2)
        n_horizontal = _whole("number of horizontal angles", n_h, 1)
        if n_vertical * n_horizontal > _MOST_VALUES:
            raise PhotometryError(
                "number of angles", f"must give at most {_MOST_VALUES} values", (n_v, n_h)
            )
        if kind not in _TYPES:
            raise PhotometryError("photometric type", "must be 1 (C), 2 (B) or 3 (A)", kind)
        if unit not in (1, 2):
            raise PhotometryError("units", "must be 1 (feet) or 2 (metres)", unit)
        self.kind, self.unit_m = _TYPES[int(kind)], _FOOT_M if unit == 1 else 1.0
        self.opening = opening
        table = n_vertical + n_horizontal + n_vertical * n_horizontal
        if len(numbers) == 10 + table:
            notes.append("The line of ballast factors and watts is missing; read as 1 1 0.")
            factors, rest = [1.0, 1.0, 0.0], numbers[10:]
        elif len(numbers) == 13 + table:
            factors, rest = numbers[10:13], numbers[13:]
        else:
            raise PhotometryError(
                "numbers after TILT",
                f"must be {13 + table} in all for {n_vertical} vertical and {n_horizontal} "
                "horizontal angles",
                len(numbers),
            )
        self.ballast, self.generation, watts = factors
        if self.ballast == 0.0:
            notes.append("The ballast factor is 0; it was read as 1.")
            self.ballast = 1.0
        if self.ballast < 0.0:
            raise PhotometryError("ballast factor", "must be more than 0", self.ballast)
        self.power_w = watts if watts > 0 else None
        if watts <= 0:
            notes.append("The file gives no input watts.")
        self.vertical = np.array(rest[:n_vertical])
        self.horizontal = np.array(rest[n_vertical : n_vertical + n_horizontal])
        self.candela = np.array(rest[n_vertical + n_horizontal :]).reshape(n_horizontal, n_vertical)


def _whole(name: str, value: float, least: int) -> int:
    if value != int(value) or value < least:
        raise PhotometryError(name, f"must be a whole number of {least} or more", value)
    return int(value)


def _distribution(values: _Values, edition: int, notes: list[str]) -> IntensityDistribution:
    factor = values.multiplier * values.ballast
    if edition <= 1991:
        if values.generation == 0.0:
            notes.append("The ballast-lamp factor is 0; it was read as 1.")
        factor *= values.generation or 1.0
    candela = values.candela * factor
    if (candela < 0).any():
        raise PhotometryError("candela", "must not be negative", float(candela.min()))
    vertical, candela = _in_order(values.vertical, candela, 1, "vertical", notes)
    horizontal, candela = _in_order(values.horizontal, candela, 0, "horizontal", notes)
    if values.kind == "C":
        return _type_c(vertical, horizontal, candela, notes)
    return _type_a_or_b(values.kind, vertical, horizontal, candela, notes)


def _in_order(
    angles: Array, candela: Array, axis: int, name: str, notes: list[str]
) -> tuple[Array, Array]:
    steps = np.diff(angles)
    if (steps > 0).all():
        return angles, candela
    if (steps < 0).all():
        notes.append(f"The {name} angles descend; they were turned round.")
        return angles[::-1], np.flip(candela, axis=axis)
    wrong = int(np.flatnonzero(steps <= 0)[0]) + 1
    raise PhotometryError(
        f"{name} angles", f"must ascend, but do not at number {wrong + 1}", float(angles[wrong])
    )


def _type_c(
    vertical: Array, horizontal: Array, candela: Array, notes: list[str]
) -> IntensityDistribution:
    first, last = float(horizontal[0]), float(horizontal[-1])
    if first == 0.0 and last == 360.0:
        peak = max(float(candela.max()), 1e-12)
        gap = float(np.abs(candela[0] - candela[-1]).max()) / peak
        if gap > 0.01:
            notes.append(
                f"Planes 0 and 360 differ by {100 * gap:.0f} % of the peak; their mean was taken."
            )
        candela = candela.copy()
        candela[0] = candela[-1] = (candela[0] + candela[-1]) / 2
    elif first == 0.0 and 180.0 < last < 360.0:
        notes.append("The plane at 360 is missing; the plane at 0 was joined on.")
    if vertical[0] > 0.0 and vertical[0] != 90.0:
        notes.append(f"Vertical angles begin at {vertical[0]:g}; it is dark before.")
    if vertical[-1] < 180.0 and vertical[-1] != 90.0:
        notes.append(f"Vertical angles end at {vertical[-1]:g}; it is dark beyond.")
    return IntensityDistribution.from_table(vertical, horizontal, candela)


def _type_a_or_b(
    kind: str, vertical: Array, horizontal: Array, candela: Array, notes: list[str]
) -> IntensityDistribution:
    for name, angles in (("vertical", vertical), ("horizontal", horizontal)):
        if angles[0] < -90.0 or angles[-1] > 90.0:
            raise PhotometryError(
                f"{name} angles", f"must lie within -90 to 90 for type {kind}", angles.tolist()
            )
    if len(horizontal) < 2:
        raise PhotometryError(
            "horizontal angles", f"must be at least two for type {kind}", horizontal.tolist()
        )
    if vertical[0] >= 0.0:
        notes.append(f"Type {kind} without angles below 0: it is dark below the aim.")
    gamma, c = np.arange(0.0, 91.0), np.arange(0.0, 361.0, 3.0)
    g, around = np.radians(gamma)[None, :], np.radians(c)[:, None]
    x, y, ahead = np.sin(g) * np.cos(around), np.sin(g) * np.sin(around), np.cos(g) + 0 * around
    if kind == "B":  # planes share the level axis: V turns the plane, H runs along it
        h, v = np.arcsin(np.clip(x, -1, 1)), np.arctan2(y, ahead)
    else:  # planes share the upright axis: H turns the plane, V runs along it
        h, v = np.arctan2(x, ahead), np.arcsin(np.clip(y, -1, 1))
    h, v = np.degrees(h), np.degrees(v)
    if horizontal[0] == 0.0:  # given on one side: the same on the other
        h = np.abs(h)
    read = _bilinear(horizontal, vertical, candela, h, v)
    read[:, 0] = read[:, 0].mean()
    read[-1] = read[0]
    return IntensityDistribution.from_table(gamma, c, read)


def _bilinear(rows: Array, columns: Array, table: Array, at_row: Array, at_column: Array) -> Array:
    tiny = 1e-9
    i = np.clip(np.searchsorted(rows, at_row, side="right") - 1, 0, len(rows) - 2)
    j = np.clip(np.searchsorted(columns, at_column, side="right") - 1, 0, len(columns) - 2)
    u = np.clip((at_row - rows[i]) / (rows[i + 1] - rows[i]), 0.0, 1.0)
    v = np.clip((at_column - columns[j]) / (columns[j + 1] - columns[j]), 0.0, 1.0)
    candela = (
        table[i, j] * (1 - u) * (1 - v)
        + table[i + 1, j] * u * (1 - v)
        + table[i, j + 1] * (1 - u) * v
        + table[i + 1, j + 1] * u * v
    )
    inside = (at_row >= rows[0] - tiny) & (at_row <= rows[-1] + tiny)
    inside &= (at_column >= columns[0] - tiny) & (at_column <= columns[-1] + tiny)
    return np.asarray(np.where(inside, candela, 0.0))


# ---- opening and guards -------------------------------------------------------------------------


def _opening(size: tuple[float, float, float], edition: int, notes: list[str]) -> str:
    """Shape of the luminous opening from the signs (LM-63-2002, Table 1)."""
    w, length, h = size
    if size == (0.0, 0.0, 0.0):
        return "point"
    if w < 0 and length == 0 and h == 0:
        if edition >= 2002:
            notes.append("The opening is written as a disc in the way of before 2002.")
        return "disc"
    signs = tuple(int(np.sign(v)) for v in size)
    alike = math.isclose(w, length)
    if signs == (-1, -1, 0):
        return "disc" if alike else "ellipse"
    if signs == (-1, -1, 1):
        return "upright cylinder" if alike else "upright elliptical cylinder"
    if signs == (-1, -1, -1):
        return "sphere" if alike and math.isclose(w, h) else "ellipsoid"
    if signs == (-1, 0, -1):
        return "upright disc" if math.isclose(w, h) else "upright ellipse"
    shapes = {
        (1, 1, 0): "rectangle",
        (1, 1, 1): "box with luminous sides",
        (-1, 1, -1): "level cylinder along the length",
        (1, -1, -1): "level cylinder across the length",
    }
    if signs in shapes:
        return shapes[signs]
    if min(size) >= 0.0:
        return "line" if sum(v > 0 for v in size) == 1 else "upright rectangle"
    notes.append("The signs of the opening match no known shape.")
    return "unknown"


def _guards(file: Lm63File, notes: list[str]) -> None:
    flux = file.distribution.flux_lm
    if flux <= 0.0:
        raise PhotometryError("candela", "must give some light", flux)
    ratio = file.output_ratio
    rated = file.lamp_flux_lm or 0.0
    if ratio is not None and not 0.10 <= ratio <= 1.05:
        notes.append(
            f"The intensities add up to {flux:.0f} lm, {100 * ratio:.0f} % of the lamps' "
            f"{rated:.0f} lm: look at multiplier and lumens."
        )
    if ratio is not None and not 950 < rated < 1050 and ratio < 0.5:
        per_klm = flux / 1000
        if 0.3 <= per_klm <= 1.02:
            notes.append("The candela may be meant per 1000 lm of the lamps.")
    told = " ".join([*file.keywords.values(), *file.labels])
    if _UPLIGHT.search(told) and file.distribution.gamma[-1] < math.pi / 2 + 1e-9:
        notes.append(
            "The words speak of light upward, but the numbers hold only the lower half: "
            "it may have been measured upside down."
        )
