"""Pages at true size: a template of each light's mount, and the cut marks of each LED strip.

Tiles overlap by a centimetre; a cross at each corner of the overlap lies over that of the next
tile. Each page has a ruler to check the printer by.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Shade
from lumen.sheet.cuts import Edge, StripCuts
from lumen.sheet.figures import Trail, length_words
from lumen.sheet.svg import Drawing

__all__ = [
    "LANES_A_PAGE",
    "OVERLAP_MM",
    "TILE_WIDE_MM",
    "Lane",
    "Outline",
    "Tile",
    "lane_page",
    "lanes",
    "outline_of",
    "tile_page",
    "tiles",
]

PAGE_MM = 186.0
TILE_WIDE_MM, TILE_HIGH_MM = 178.0, 205.0
OVERLAP_MM = 10.0
LANE_MM = 170.0
LANES_A_PAGE = 8
_LANE_PITCH_MM = 25.5
_WIDEST_MM = 14.0  # a wider tape is drawn this wide; its cut marks stay true
_MARGIN_MM = 8.0
_LEAST_BELOW_MM = 50.0


@dataclass(frozen=True)
class Outline:
    """What a light covers, seen along its axis of mounting, from its mount [m].

    ``right`` and ``up`` are positive; the mount is at (0, 0). ``shape`` is ``"shade"`` (a front
    view, ``lower_m`` and ``upper_m`` wide) or ``"round"`` (``lower_m`` across).
    """

    id: str
    name: str
    mount: str
    shape: str
    lower_m: float
    upper_m: float
    bottom_m: float
    top_m: float
    lamp_m: float
    known: bool


@dataclass(frozen=True)
class Tile:
    """One page of a template: its column and row, and the part it shows [m] from the mount."""

    column: int
    row: int
    columns: int
    rows: int
    left_m: float
    top_m: float
    high_m: float


@dataclass(frozen=True)
class Lane:
    """One paper strip: a stretch of one edge of an LED strip, from ``start_m`` to ``end_m``."""

    strip: int
    edge: int
    number: int
    of: int
    start_m: float
    end_m: float


def outline_of(scenario: Scenario, light: Light) -> Outline:
    """Return what a light covers around its mount, as far as the plan knows its size.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> drum = outline_of(plan, plan.lights[0])
    >>> drum.lower_m, drum.bottom_m, drum.top_m
    (0.15, -0.07, 0.11)
    """
    form, lamp = light.distribution, -light.drop_m
    name = light.name or light.id
    if isinstance(form, Shade) and light.mount != "ceiling":
        bottom = lamp - form.lamp_above_m
        return Outline(
            light.id, name, light.mount, "shade", form.bottom_diameter_m, form.upper_m,
            round(bottom, 6), round(bottom + form.height_m, 6), lamp, True,
        )  # fmt: skip
    if isinstance(form, Shade):
        across, known = form.bottom_diameter_m, True
    elif light.size_m:
        across, known = light.size_m, True
    else:
        across, known = light.lamp.diameter_m, False
    centre = 0.0 if light.mount == "ceiling" else lamp
    half = across / 2
    return Outline(
        light.id, name, light.mount, "round", across, across,
        round(centre - half, 6), round(centre + half, 6), centre, known,
    )  # fmt: skip


def tiles(shape: Outline) -> tuple[Tile, ...]:
    """Return the pages of a template; all but the largest lights fit one.

    Examples
    --------
    >>> big = Outline("l", "l", "ceiling", "round", 0.4, 0.4, -0.2, 0.2, 0.0, True)
    >>> len(tiles(big))
    9
    """
    wide = 1000 * max(shape.lower_m, shape.upper_m) + 2 * _MARGIN_MM
    high_up = 1000 * max(shape.top_m, 0.0) + 2 * _MARGIN_MM
    high = high_up + 1000 * max(-shape.bottom_m, 0.0) + _MARGIN_MM
    columns, rows = _count(wide, TILE_WIDE_MM), _count(high, TILE_HIGH_MM)
    step_x, step_y = TILE_WIDE_MM - OVERLAP_MM, TILE_HIGH_MM - OVERLAP_MM
    left = -(TILE_WIDE_MM + step_x * (columns - 1)) / 2
    # a small light takes no more paper than its words need
    frame = TILE_HIGH_MM if rows > 1 else max(high, high_up + _LEAST_BELOW_MM)
    return tuple(
        Tile(
            column + 1, row + 1, columns, rows,
            round((left + step_x * column) / 1000, 6), round((high_up - step_y * row) / 1000, 6),
            round(frame / 1000, 6),
        )
        for row in range(rows)
        for column in range(columns)
    )  # fmt: skip


def _count(size: float, tile: float) -> int:
    return max(1, math.ceil((size - OVERLAP_MM) / (tile - OVERLAP_MM) - 1e-9))


def tile_page(template: Trail, tile: Trail) -> Markup:
    """Return one page of a template as SVG at true size."""
    shape = template.outline
    frame_high = 1000 * float(tile.high_m)
    picture = Drawing(PAGE_MM, frame_high + 21.0, f"Template of {shape.name}", "true-size")
    frame_x, frame_y = (PAGE_MM - TILE_WIDE_MM) / 2, 2.0
    picture.box(frame_x, frame_y, TILE_WIDE_MM, frame_high, 0.2, dash="3 1.5", grey=True)

    def x(right_m: float) -> float:
        return frame_x + 1000 * (right_m - float(tile.left_m))

    def y(up_m: float) -> float:
        return frame_y + 1000 * (float(tile.top_m) - up_m)

    def inside(at_x: float, at_y: float) -> bool:
        return frame_x <= at_x <= frame_x + TILE_WIDE_MM and frame_y <= at_y <= frame_y + frame_high

    clip = _Clip(picture, frame_x, frame_y, TILE_WIDE_MM, frame_high)
    half_low, half_high = float(shape.lower_m) / 2, float(shape.upper_m) / 2
    if shape.shape == "shade":
        corners = [
            (-half_low, float(shape.bottom_m)),
            (half_low, float(shape.bottom_m)),
            (half_high, float(shape.top_m)),
            (-half_high, float(shape.top_m)),
        ]
        clip.path([(x(u), y(v)) for u, v in (*corners, corners[0])], 0.4)
    else:
        clip.circle(x(0.0), y(float(shape.lamp_m)), 1000 * half_low, 0.4)
    clip.line(x(0.0), frame_y, x(0.0), frame_y + frame_high, 0.15, "6 1 1 1")
    clip.line(frame_x, y(0.0), frame_x + TILE_WIDE_MM, y(0.0), 0.15, "6 1 1 1")
    if inside(x(0.0), y(0.0)):
        picture.mark(x(0.0), y(0.0), 6.0)
        picture.text(x(0.0) + 1.5, frame_y + 4.0, "up", anchor="start", size=3)
        # beside a small ring, inside a large one; not where a tile ends to the right
        beside = 1000 * half_low + 4.0 if 1000 * half_low < 41.0 else 7.0
        if x(0.0) - frame_x <= TILE_WIDE_MM / 2 + 1.0:
            _facts(picture, template, x(0.0) + beside, y(0.0), frame_x + TILE_WIDE_MM - 2.0)
    _overlaps(picture, tile, frame_x, frame_y)
    words = f"tile {tile.column.value:.0f} of {tile.columns.value:.0f} across, "
    words += f"{tile.row.value:.0f} of {tile.rows.value:.0f} down"
    if float(tile.columns) * float(tile.rows) > 1:
        picture.text(frame_x + 12, frame_y + frame_high - 2, words, anchor="start", size=3)
    picture.ruler(frame_x + 6, frame_high + 9.0)
    return picture.svg()


class _Clip:
    """Draws only what lies in a frame; long lines are cut to it."""

    def __init__(self, picture: Drawing, x: float, y: float, width: float, height: float) -> None:
        self.picture = picture
        self.low, self.high = (x, y), (x + width, y + height)

    def line(
        self, x0: float, y0: float, x1: float, y1: float, weight: float, dash: str = ""
    ) -> None:
        start, end = 0.0, 1.0
        for a, b, low, high in ((x0, x1, self.low[0], self.high[0]),
                                (y0, y1, self.low[1], self.high[1])):  # fmt: skip
            if abs(b - a) < 1e-9:
                if not low - 1e-6 <= a <= high + 1e-6:
                    return
                continue
            first, last = sorted(((low - a) / (b - a), (high - a) / (b - a)))
            start, end = max(start, first), min(end, last)
        if start < end:
            self.picture.line(
                x0 + (x1 - x0) * start, y0 + (y1 - y0) * start,
                x0 + (x1 - x0) * end, y0 + (y1 - y0) * end, weight, dash,
            )  # fmt: skip

    def path(self, points: list[tuple[float, float]], weight: float) -> None:
        for (x0, y0), (x1, y1) in itertools.pairwise(points):
            self.line(x0, y0, x1, y1, weight)

    def circle(self, x: float, y: float, radius: float, weight: float) -> None:
        steps = 180
        turn = [2 * math.pi * i / steps for i in range(steps + 1)]
        self.path([(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turn], weight)


def _facts(picture: Drawing, template: Trail, left: float, y: float, right: float) -> None:
    """What to set the template by, beside its cross; lines too long for the tile are broken."""
    letters = " and ".join(mark.letter for mark in template.marks)
    most = int((right - left) / 1.75)
    picture.text(left, y - 8.0, _short(f"{letters}  {template.outline.name}", most), anchor="start",
                 bold=True, size=3.2)  # fmt: skip
    row = 0
    for mark in template.marks:
        for fact in mark.facts:
            if float(template.count) > 1 and not fact.shared:
                words = f"{mark.letter}: {fact.words}"
            elif mark.letter == template.marks[0].letter:
                words = fact.words
            else:
                continue
            value = length_words(abs(float(fact.value_m)), fact.value_m.units)
            for line, figure in ((f"{words}:", None), (value, fact.value_m)):
                picture.text(left, y + 6.0 + 3.7 * row, line, anchor="start", size=2.8,
                             figure=figure)  # fmt: skip
                row += 1


def _overlaps(picture: Drawing, tile: Trail, frame_x: float, frame_y: float) -> None:
    """Crosses at the corners of every overlap: those of neighbours lie on one another."""
    across = [tile.column > 1, float(tile.column) < float(tile.columns)]
    down = [tile.row > 1, float(tile.row) < float(tile.rows)]
    xs = [frame_x + OVERLAP_MM / 2, frame_x + TILE_WIDE_MM - OVERLAP_MM / 2]
    ys = [frame_y + OVERLAP_MM / 2, frame_y + TILE_HIGH_MM - OVERLAP_MM / 2]
    for i, at_x in enumerate(xs):
        for j, at_y in enumerate(ys):
            if across[i] or down[j]:
                picture.line(at_x - 3, at_y, at_x + 3, at_y, 0.2)
                picture.line(at_x, at_y - 3, at_x, at_y + 3, 0.2)


def lanes(strips: tuple[StripCuts, ...]) -> tuple[Lane, ...]:
    """Return the paper strips that show both ends of every edge at true size, twins once.

    Between its ends a tape has nothing but its own cut marks; edges alike share their strips.
    """
    return tuple(_lanes(strips))


def _lanes(strips: tuple[StripCuts, ...]) -> Iterator[Lane]:
    for number, strip in enumerate(strips):
        seen = set()
        for place, edge in enumerate(strip.edges):
            if (edge.run_m, edge.units) in seen:
                continue
            seen.add((edge.run_m, edge.units))
            yield from _edge_lanes(number, place, edge)


def _edge_lanes(strip: int, place: int, edge: Edge) -> Iterator[Lane]:
    run = 1000 * edge.run_m
    if run <= LANE_MM:
        yield Lane(strip, place, 1, 1, 0.0, round(run / 1000, 6))
        return
    ends = ((0.0, LANE_MM), (run - LANE_MM, run))
    for number, (start, end) in enumerate(ends, start=1):
        yield Lane(strip, place, number, 2, round(start / 1000, 6), round(end / 1000, 6))


def lane_page(contents: Trail, page: list[Trail]) -> Markup:
    """Return a page of paper strips as SVG at true size.

    Each shows the tape with every cut mark; solid ends are where to cut.
    """
    height = _LANE_PITCH_MM * len(page) + 22.0
    picture = Drawing(PAGE_MM, height, "Cut marks of the LED strip at true size", "true-size")
    for row, lane in enumerate(page):
        _lane(picture, contents, lane, _LANE_PITCH_MM * row + 2.0)
    picture.ruler(10.0, height - 13.0)
    return picture.svg()


def _lane(picture: Drawing, contents: Trail, lane: Trail, top: float) -> None:
    strip = contents.cuts[lane.strip]
    edge = strip.edges[lane.edge]
    start, end = 1000 * float(lane.start_m), 1000 * float(lane.end_m)
    x0, tape = 8.0, top + 11.0
    half = min(1000 * float(strip.width_m), _WIDEST_MM) / 2
    cut, dark, units = 1000 * float(strip.cut_m), 1000 * float(edge.each_end_m), edge.units
    picture.box(x0, top, end - start, _LANE_PITCH_MM - 3.0, 0.15, dash="3 1.5", grey=True)
    twins = [
        f"{other.number.value:.0f}"
        for other in strip.edges
        if other.run_m == edge.run_m and other.units == edge.units
    ]
    which = "its start" if lane.number == 1 else "its end"
    words = f"edge {' and '.join(twins)}, {which if float(lane.of) > 1 else 'whole'}: {strip.name}"
    picture.text(x0 + 1.5, top + 3.4, _short(words, 90), anchor="start", size=2.7)
    lit_end = dark + cut * float(units)
    first, last = max(start, dark), min(end, lit_end)
    if last > first:
        picture.box(x0 + first - start, tape - half, last - first, 2 * half, 0.2)
    for i in range(int(float(units)) + 1):
        at = dark + cut * i
        if start - 1e-6 <= at <= end + 1e-6:
            is_end = i in (0, int(float(units)))
            x = x0 + at - start
            reach = half + (2.2 if is_end else 1.0)
            picture.line(x, tape - reach, x, tape + reach, 0.5 if is_end else 0.2)
            if is_end or i % 5 == 0:
                picture.text(x + 0.8, tape + half + 3.2, f"{i}", size=2.5, anchor="start")
    for at, words in ((0.0, "edge starts"), (1000 * float(edge.run_m), "edge ends")):
        if start - 1e-6 <= at <= end + 1e-6:
            x = x0 + at - start
            picture.line(x, top, x, top + _LANE_PITCH_MM - 3.0, 0.4)
            anchor = "start" if at == 0.0 else "end"
            shift = 1.0 if at == 0.0 else -1.0
            picture.text(x + shift, top + 21.4, words, anchor=anchor, size=2.4)


def _short(words: str, most: int) -> str:
    """Cut a very long name for a paper strip; the tables give it whole."""
    return words if len(words) <= most else words[: most - 1] + "…"
