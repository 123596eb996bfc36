"""The drawing of one wall to scale: what is there, what is marked, and where not to drill."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from lumen.sheet.figures import Figure, Trail
from lumen.sheet.svg import Drawing

__all__ = ["elevation", "scale_of"]

PAGE_MM = 186.0  # fits A4 and Letter with their margins
_SCALES = (10, 15, 20, 25, 30, 40, 50, 75)
_HIGHEST_MM, _PLAIN_MM = 105.0, 66.0
_SIDE_MM, _ROW_MM, _COLUMN_MM = 7.5, 6.5, 6.5


def scale_of(length_m: float, height_m: float, *, marked: bool = True) -> int:
    """Return the scale that shows a wall largest on the page: 1 to this number.

    A wall without a mark needs less room.

    Examples
    --------
    >>> scale_of(3.6, 2.4)
    25
    """
    for scale in _SCALES:
        wide, high = 1000 * length_m / scale, 1000 * height_m / scale
        fits = wide <= PAGE_MM - 2 * (_SIDE_MM + 2 * _COLUMN_MM)
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
        self.top = 7.0
        self.floor = self.top + 1000 * self.height / self.scale
        self.lights = [mark for mark in wall.marks if mark.kind == "light"]
        rows = self._rows()
        self.picture = Drawing(
            PAGE_MM, self.floor + 6.0 + _ROW_MM * len(rows), f"{wall.name}, to scale"
        )
        self.rows = rows

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
                at = self.floor + 8.0 + _ROW_MM * number
                self.picture.measure_level(self.x(start), self.x(end), at, figure)
        return self.picture.svg()

    def _bands(self) -> None:
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
            )

    def _shell(self) -> None:
        top = [(self.x(u), self.y(z)) for u, z in self.wall.top]
        outline = [(self.x(0), self.floor), *top, (self.x(self.length), self.floor)]
        self.picture.path(outline, 0.6)
        self.picture.line(self.x(0) - 4, self.floor, self.x(self.length) + 4, self.floor, 0.9)
        self.picture.text(self.x(0) - 1, self.floor + 3.4, "floor", size=2.5, anchor="end")
        for hole in self.wall.openings:
            x, y = self.x(hole.left_m), self.y(hole.head_m)
            width, height = self.x(hole.right_m) - x, self.y(hole.sill_m) - y
            self.picture.box(x, y, width, height, 0.35, "#fff")
            self.picture.text(x + width / 2, y + 4, hole.kind, size=2.5)
        line = self.wall.bed_line_m
        if line is not None:
            x = self.x(line)
            self.picture.line(x, self.top - 3, x, self.floor + 4, 0.25, "4 1 0.6 1")
            self.picture.text(x, self.top - 3.6, "bed centre line", size=2.5)

    def _things(self) -> None:
        for thing in self.wall.furniture:
            x, y = self.x(thing.left_m), self.y(thing.high_m)
            width, height = self.x(thing.right_m) - x, self.y(thing.low_m) - y
            self.picture.box(x, y, width, height, 0.3, grey=True)
            if width > 12 and height > 3:
                self.picture.text(x + 1.0, y + 2.8, thing.kind, size=2.3, anchor="start")
        for strip in self.wall.strips:
            points = [(self.x(u), self.y(z)) for u, z in strip.points]
            self.picture.path(points, 0.7, "1.5 0.8")
        for cord in self.wall.cords:
            points = [(self.x(u), self.y(z)) for u, z in cord.points]
            self.picture.path(points, 0.35, "0.35 0.9")

    def _outlets(self) -> None:
        for outlet in self.wall.outlets:
            x, y = self.x(outlet.along_m), self.y(outlet.height_m)
            self.picture.box(x - 1.7, y - 1.7, 3.4, 3.4, 0.4, "#fff")
            for side in (-0.6, 0.6):
                self.picture.line(x + side, y - 0.7, x + side, y + 0.7, 0.3)
            self.picture.text(x + 2.4, y - 2.2, outlet.letter, size=2.7, anchor="start", bold=True)

    def _marks(self) -> None:
        for mark in self.wall.marks:
            x, y = self.x(mark.along_m), self.y(mark.height_m)
            if mark.kind == "light":
                self.picture.mark(x, y)
            else:
                self.picture.line(x - 1.5, y, x + 1.5, y, 0.35)
                self.picture.line(x, y - 1.5, x, y + 1.5, 0.35)
            self.picture.text(x + 2.2, y - 2.2, mark.letter, size=3.2, anchor="start", bold=True)
        for mark in self.wall.board:
            x, y = self.x(mark.along_m), self.y(mark.height_m)
            self.picture.mark(x, y)
            self.picture.text(x + 2.2, y - 2.2, mark.letter, size=3.2, anchor="start", bold=True)

    def _heights(self) -> None:
        """Heights of the lights, and of what hangs, at the side of the wall that is nearer."""
        for on_left in (True, False):
            seen: list[Figure] = []
            for mark in (*self.lights, *self.wall.board, *self._hung()):
                here = float(mark.along_m) < self.length / 2
                known = any(abs(float(mark.height_m) - float(h)) < 5e-4 for h in seen)
                if here != on_left or known or len(seen) == 2:
                    continue
                column = _SIDE_MM - 3.5 + _COLUMN_MM * len(seen)
                x = self.x(0) - column if on_left else self.x(self.length) + column
                y = self.y(mark.height_m)
                self.picture.line(x, y, self.x(mark.along_m), y, 0.1, "0.5 1")
                self.picture.measure_upright(self.floor, y, x, mark.height_m, text_left=on_left)
                seen.append(mark.height_m)

    def _hung(self) -> list[Any]:
        return [mark for mark in self.wall.marks if mark.kind == "hung"]

    def _rows(self) -> list[list[tuple[float, float, Figure]]]:
        """Level dimensions, row by row: from the bed line, from corners, pairs, the whole wall."""
        rows: list[list[tuple[float, float, Figure]]] = []
        lines: list[tuple[float, float, Figure]] = []
        corners: list[tuple[float, float, Figure]] = []
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
        for group in (lines, corners, pairs):
            rows += _packed(_once(group))
        return [*rows, [(0.0, self.length, self.wall.length_m)]]


_Span = tuple[float, float, Figure]


def _once(spans: list[_Span]) -> list[_Span]:
    """Two marks above one another need one dimension."""
    return list({(round(a, 4), round(b, 4)): (a, b, figure) for a, b, figure in spans}.values())


def _packed(spans: list[_Span]) -> list[list[_Span]]:
    """Spans that do not overlap share a row; spans too short for their text get room."""
    rows: list[list[_Span]] = []
    order: Callable[[_Span], float] = lambda s: abs(s[1] - s[0])  # noqa: E731
    for span in sorted(spans, key=order):
        low, high = min(span[:2]), max(span[:2])
        for row in rows:
            if all(high <= min(o[:2]) + 1e-9 or low >= max(o[:2]) - 1e-9 for o in row):
                row.append(span)
                break
        else:
            rows.append([span])
    return rows
