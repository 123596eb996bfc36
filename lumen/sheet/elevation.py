"""The drawing of one wall to scale: what is there, what is marked, and where not to drill.

Every text takes a place of its own: what would lie over another text goes beside it, and what is
not needed to find a mark is left out where there is no room.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from lumen.sheet.figures import Figure, Trail, length_words
from lumen.sheet.svg import Drawing, text_width

__all__ = ["elevation", "scale_of"]

PAGE_MM = 186.0  # fits A4 and Letter with their margins
_SCALES = (10, 15, 20, 25, 30, 35, 40, 50, 75)
_HIGHEST_MM, _PLAIN_MM = 70.0, 42.0
_SIDE_MM, _ROW_MM, _COLUMN_MM = 7.5, 5.6, 5.6
_TEXT_MM, _LETTER_MM = 2.5, 3.2
_COLUMNS = 3  # heights shown at either side

_Span = tuple[float, float, Figure]
_Box = tuple[float, float, float, float]


def scale_of(length_m: float, height_m: float, *, marked: bool = True) -> int:
    """Return the scale that shows a wall largest on the page: 1 to this number.

    A wall without a mark needs less room.

    Examples
    --------
    >>> scale_of(3.6, 2.4)
    35
    """
    for scale in _SCALES:
        wide, high = 1000 * length_m / scale, 1000 * height_m / scale
        fits = wide <= PAGE_MM - 2 * (_SIDE_MM + _COLUMNS * _COLUMN_MM)
        if fits and high <= (_HIGHEST_MM if marked else _PLAIN_MM):
            return scale
    return _SCALES[-1] * 2


def elevation(wall: Trail) -> Markup:
    """Return the drawing of a wall of the sheet's contents as SVG."""
    return _Elevation(wall).draw()


class _Elevation:
    def __init__(self, wall: Trail) -> None:
        self.wall = wall
        self.scale = float(wall.scale)
        self.length, self.height = float(wall.length_m), float(wall.height_m)
        self.left = (PAGE_MM - 1000 * self.length / self.scale) / 2
        self.top = 6.5
        self.floor = self.top + 1000 * self.height / self.scale
        self.lights = [mark for mark in wall.marks if mark.kind == "light"]
        self.rows = self._rows()
        high = self.floor + 4.5 + _ROW_MM * len(self.rows)
        self.picture = Drawing(PAGE_MM, high, f"{wall.name}, to scale")
        self.taken: list[_Box] = []

    def x(self, along: Any) -> float:
        return self.left + 1000 * float(along) / self.scale

    def y(self, height: Any) -> float:
        return self.floor - 1000 * float(height) / self.scale

    def draw(self) -> Markup:
        self._bands()
        self._shell()
        self._things()
        self._outlets()
        self._marks()
        self._heights()
        for number, row in enumerate(self.rows):
            for start, end, figure in row:
                at = self.floor + 7.0 + _ROW_MM * number
                self.picture.measure_level(self.x(start), self.x(end), at, figure)
        self._names()
        return self.picture.svg()

    def _outline(self) -> list[tuple[float, float]]:
        top = [(self.x(u), self.y(z)) for u, z in self.wall.top]
        return [(self.x(0), self.floor), *top, (self.x(self.length), self.floor)]

    def _bands(self) -> None:
        """Hatched, and only as far as the wall reaches: a gable cuts them off."""
        name = f"wall{int(float(self.wall.number))}"
        self.picture.clip(name, self._outline())
        for band in self.wall.bands:
            hatch = "url(#up)" if band.kind in ("outlet upright", "corner", "opening") else None
            x, y = self.x(band.left_m), self.y(band.high_m)
            self.picture.box(
                x,
                y,
                self.x(band.right_m) - x,
                self.y(band.low_m) - y,
                0.12,
                hatch or "url(#level)",
                grey=True,
                dash="0.8 0.8",
                clip=name,
            )

    def _shell(self) -> None:
        self.picture.path(self._outline(), 0.6)
        self.picture.line(self.x(0) - 4, self.floor, self.x(self.length) + 4, self.floor, 0.9)
        for hole in self.wall.openings:
            x, y = self.x(hole.left_m), self.y(hole.head_m)
            width, height = self.x(hole.right_m) - x, self.y(hole.sill_m) - y
            self.picture.box(x, y, width, height, 0.35, "#fff")
        line = self.wall.bed_line_m
        if line is not None:
            x = self.x(line)
            self.picture.line(x, self.top - 2.5, x, self.floor + 3.0, 0.25, "4 1 0.6 1")
            self._put("bed line", [(x, self.top - 3.2)], 2.4)

    def _things(self) -> None:
        for thing in self.wall.furniture:
            x, y = self.x(thing.left_m), self.y(thing.high_m)
            width, height = self.x(thing.right_m) - x, self.y(thing.low_m) - y
            self.picture.box(x, y, width, height, 0.3, grey=True)
        for strip in self.wall.strips:
            points = [(self.x(u), self.y(z)) for u, z in strip.points]
            self.picture.path(points, 0.7, "1.5 0.8")
        for cord in self.wall.cords:
            points = [(self.x(u), self.y(z)) for u, z in cord.points]
            self.picture.path(points, 0.35, "0.35 0.9")

    def _outlets(self) -> None:
        for outlet in self.wall.outlets:
            x, y = self.x(outlet.along_m), self.y(outlet.height_m)
            self.picture.box(x - 1.5, y - 1.5, 3.0, 3.0, 0.4, "#fff")
            for side in (-0.5, 0.5):
                self.picture.line(x + side, y - 0.6, x + side, y + 0.6, 0.3)
            self.taken.append((x - 1.7, y - 1.7, x + 1.7, y + 1.7))
        for outlet in self.wall.outlets:
            self._letter(outlet)

    def _marks(self) -> None:
        marks = [*self.wall.marks, *self.wall.board]
        for mark in marks:
            x, y = self.x(mark.along_m), self.y(mark.height_m)
            if mark.kind == "hung":
                self.picture.line(x - 1.5, y, x + 1.5, y, 0.35)
                self.picture.line(x, y - 1.5, x, y + 1.5, 0.35)
            else:
                drilled = mark.kind == "light" and mark.on == "wall"
                self.picture.mark(x, y, drilled=drilled)
            self.taken.append((x - 2.0, y - 2.0, x + 2.0, y + 2.0))
        for mark in marks:
            self._letter(mark)

    def _letter(self, mark: Trail) -> None:
        """A mark's letter beside it, at the first side that is free."""
        x, y = self.x(mark.along_m), self.y(mark.height_m)
        wide = text_width(mark.letter, _LETTER_MM, bold=True) / 2
        near = [
            (x + side * (2.4 + wide), y + up)
            for up in (-1.4, 3.6, -4.2, 6.6, -7.2)
            for side in (1, -1)
        ]
        near += [(x, y - 2.9), (x, y + 5.2), (x + 8.0, y + 1.0), (x - 8.0, y + 1.0)]
        self._put(mark.letter, near, _LETTER_MM, bold=True, always=True)

    def _put(
        self,
        words: str,
        places: Sequence[tuple[float, float]],
        size: float,
        *,
        bold: bool = False,
        always: bool = False,
    ) -> None:
        """Write words around the first of some places, by its base line, that is free."""
        half = text_width(words, size, bold=bold) / 2
        chosen = None
        for x, y in places:
            box = (x - half, y - 0.8 * size, x + half, y + 0.25 * size)
            inside = box[0] > 0.5 and box[2] < PAGE_MM - 0.5
            if inside and not any(_meet(box, other) for other in self.taken):
                chosen = (x, y)
                break
        if chosen is None and always:
            chosen = places[0]
        if chosen is not None:
            x, y = chosen
            self.taken.append((x - half, y - 0.8 * size, x + half, y + 0.25 * size))
            self.picture.text(x, y, words, size=size, bold=bold)

    def _names(self) -> None:
        """What a box is, where its name has room: not needed to find a mark."""
        for thing in self.wall.furniture:
            left, right = self.x(thing.left_m), self.x(thing.right_m)
            top, low = self.y(thing.high_m), self.y(thing.low_m)
            half = text_width(thing.kind, 2.3) / 2
            if right - left < 2 * half + 2 or low - top < 3.2:
                continue
            rows = [top + 2.6 + 3.0 * k for k in range(int((low - top - 0.6) / 3.0))]
            places = [(x, y) for y in rows for x in (left + half + 1, right - half - 1)]
            self._put(thing.kind, places, 2.3)
        for hole in self.wall.openings:
            x = (self.x(hole.left_m) + self.x(hole.right_m)) / 2
            self._put(hole.kind, [(x, self.y(hole.head_m) + 3.4 + 3 * k) for k in range(8)], 2.3)
        self._put("floor", [(self.x(0) - 4, self.floor + 3.0)], 2.3)

    def _heights(self) -> None:
        """Heights of the lights, and of what hangs, at the side of the wall that is nearer."""
        for on_left in (True, False):
            seen: list[Figure] = []
            for mark in (*self.lights, *self.wall.board, *self._hung()):
                here = float(mark.along_m) < self.length / 2
                known = any(abs(float(mark.height_m) - float(h)) < 5e-4 for h in seen)
                if here != on_left or known or len(seen) == _COLUMNS:
                    continue
                column = _SIDE_MM - 3.5 + _COLUMN_MM * len(seen)
                x = self.x(0) - column if on_left else self.x(self.length) + column
                y = self.y(mark.height_m)
                self.picture.line(x, y, self.x(mark.along_m), y, 0.1, "0.5 1")
                self.picture.measure_upright(self.floor, y, x, mark.height_m, text_left=on_left)
                words = length_words(float(mark.height_m), mark.height_m.units)
                wide = text_width(words, _TEXT_MM)
                middle = min((self.floor + y) / 2, self.floor - wide / 2)
                left = x - 3.2 if on_left else x + 0.4
                self.taken.append((left, middle - wide / 2, left + 2.9, middle + wide / 2))
                seen.append(mark.height_m)

    def _hung(self) -> list[Any]:
        return [mark for mark in self.wall.marks if mark.kind == "hung"]

    def _rows(self) -> list[list[_Span]]:
        """Level dimensions, row by row: from the bed line, from corners, pairs, the whole wall."""
        rows: list[list[_Span]] = []
        lines: list[_Span] = []
        corners: list[_Span] = []
        for mark in (*self.lights, *self.wall.board):
            along = float(mark.along_m)
            if self.wall.bed_line_m is not None and abs(float(mark.from_bed_line_m)) > 0.03:
                lines.append((float(self.wall.bed_line_m), along, mark.from_bed_line_m))
            if mark.kind == "light":
                corner = 0.0 if mark.nearest == "left" else self.length
                corners.append((corner, along, mark.from_nearest_m))
        # The way between two marks of unequal height is no level one; the words below give it.
        pairs = [(float(p.left_along_m), float(p.right_along_m), p.between_m)
                 for p in self.wall.pairs if not p.level_m]  # fmt: skip
        for group in (_once([*lines, *corners]), pairs):
            rows += self._packed(group)
        return [*rows, [(0.0, self.length, self.wall.length_m)]]

    def _packed(self, spans: list[_Span]) -> list[list[_Span]]:
        """Spans share a row where neither they nor their texts meet."""
        rows: list[tuple[list[_Span], list[tuple[float, float]]]] = []
        for span in sorted(spans, key=lambda s: abs(s[1] - s[0])):
            low, high = sorted((self.x(span[0]), self.x(span[1])))
            words = length_words(abs(float(span[2])), span[2].units)
            half = text_width(words, _TEXT_MM) / 2 + 0.5
            middle = (low + high) / 2
            whole = (min(low, middle - half) + 1e-6, max(high, middle + half) - 1e-6)
            for row, ends in rows:
                if all(whole[1] <= a or whole[0] >= b for a, b in ends):
                    row.append(span)
                    ends.append(whole)
                    break
            else:
                rows.append(([span], [whole]))
        return [row for row, _ in rows]


def _once(spans: list[_Span]) -> list[_Span]:
    """Two marks above one another need one dimension."""
    return list({(round(a, 4), round(b, 4)): (a, b, figure) for a, b, figure in spans}.values())


def _meet(one: _Box, other: _Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
