"""The way of a cord: along walls and behind furniture, never through the room or across a door."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lumen.scenario.document import Scenario
from lumen.study.scene.surfaces import furniture_box

__all__ = ["Route", "route"]

Point = tuple[float, float, float]

_HANGS_M = 0.5
"""A cord may hang free over this much of an open wall: our own assumption."""

_BEHIND_M = 0.20
"""What stands this near a wall hides a cord behind it: our own assumption."""

_COVERED = 0.9
_FREE_M = 0.7  # what stands farther off every wall is reached over the floor
_ALONG_M = 0.4  # a cord runs along a piece of furniture when it is this near
_BELOW_M = 0.25
_ON_FLOOR_M, _AT_EDGE_M = 0.05, 0.03
_GAP_STEPS = 4  # the last 20 cm may bridge the gap between furniture and wall


@dataclass(frozen=True)
class Route:
    """Corners of a cord's way [m], and the door that it cannot avoid, if any."""

    corners_m: tuple[Point, ...]
    door: str | None


@dataclass(frozen=True)
class _Foot:
    """The nearest place of the outline to a point: how far along it, and how far off [m]."""

    along: float
    wall: int
    x: float
    y: float
    off: float
    over_floor: bool


def route(scenario: Scenario, start: Point, end: Point) -> Route:
    """Return the way of a cord from ``start`` to ``end``.

    To the nearest wall, along the walls, the shorter way round that crosses no door, and up to
    its end. It runs level at the height of its start where furniture stands before the wall or the
    way is short, else down to the floor and along it.

    Examples
    --------
    >>> from lumen.scenario.document import parse
    >>> room = parse({"format": "lumen-plan/1", "title": "x",
    ...     "room": {"outline_m": [[0, 0], [4, 0], [4, 3], [0, 3]], "height_m": 2.4}})
    >>> route(room, (1.0, 3.0, 0.4), (3.0, 3.0, 1.2)).corners_m
    ((1.0, 3.0, 0.4), (1.0, 3.0, 0.0), (3.0, 3.0, 0.0), (3.0, 3.0, 1.2))
    """
    options = [
        (*_round(scenario, a, b), a, b)
        for a in _feet(scenario, start)
        for b in _feet(scenario, end)
    ]

    def cost(option: tuple[list[tuple[float, float]], str | None, _Foot, _Foot]) -> tuple[Any, ...]:
        between, door, a, b = option
        floor = a.over_floor + b.over_floor
        return (
            door is not None,
            floor,
            a.off + b.off + _length([(a.x, a.y), *between, (b.x, b.y)]),
        )

    between, door, a, b = min(options, key=cost)
    walk = [(a.x, a.y), *between, (b.x, b.y)]
    level = not (a.over_floor or b.over_floor) and (
        _length(walk) <= _HANGS_M or _hidden(scenario, walk, start[2])
    )
    height = start[2] if level else 0.0
    way: list[Point] = [start]
    way.append((start[0], start[1], 0.0) if a.over_floor else (a.x, a.y, start[2]))
    way += [(x, y, height) for x, y in walk]
    way.append((end[0], end[1], 0.0) if b.over_floor else (b.x, b.y, end[2]))
    way.append(end)
    return Route(_tidy(way), door)


def _length(walk: Sequence[tuple[float, float]]) -> float:
    return math.fsum(math.dist(p, q) for p, q in itertools.pairwise(walk))


def _tidy(way: Sequence[Point]) -> tuple[Point, ...]:
    """Corners without repeats; what differs by less than a micrometre is one place."""
    kept: list[Point] = []
    for point in way:
        if not kept or math.dist(point, kept[-1]) > 1e-6:
            kept.append((round(point[0], 6), round(point[1], 6), round(point[2], 6)))
    return tuple(kept)


def _walls(scenario: Scenario) -> Iterator[tuple[int, float, tuple[float, float], float, float]]:
    """Each wall: number, where it begins along the outline, first corner, way along it."""
    outline, begun = scenario.room.outline_m, 0.0
    for number, (a, b) in enumerate(zip(outline, (*outline[1:], outline[0]), strict=True)):
        length = math.dist(a, b)
        yield number, begun, (a[0], a[1]), (b[0] - a[0]) / length, (b[1] - a[1]) / length
        begun += length


def _feet(scenario: Scenario, point: Point) -> list[_Foot]:
    """Where a cord from a point may meet the walls: near by, or along a piece of furniture.

    What stands free in the room reaches its nearest wall over the floor.
    """
    outline = scenario.room.outline_m
    feet = []
    for number, begun, (ax, ay), wx, wy in _walls(scenario):
        length = math.dist(outline[number], outline[(number + 1) % len(outline)])
        along = min(length, max(0.0, (point[0] - ax) * wx + (point[1] - ay) * wy))
        x, y = ax + along * wx, ay + along * wy
        away = math.hypot(point[0] - x, point[1] - y)
        feet.append(_Foot(begun + along, number, x, y, away, False))
    nearest = min(feet, key=lambda foot: foot.off)
    found = [foot for foot in feet if foot.off > _FREE_M and _beside(scenario, point, foot)]
    if nearest.off <= _FREE_M:
        return [nearest, *found]
    return found or [replace(nearest, over_floor=True)]


def _beside(scenario: Scenario, point: Point, foot: _Foot) -> bool:
    """Whether the straight way to a wall runs along one piece of furniture that stands at it."""
    for item in scenario.furniture:
        box = furniture_box(item)
        low, top = item.at_m[2], item.at_m[2] + item.size_m[2]
        if not low - _BELOW_M <= point[2] <= top + _BELOW_M:
            continue
        # on the floor it may lie beside it; higher up it must be held under or on it
        aside = _ALONG_M if point[2] < _ON_FLOOR_M else _AT_EDGE_M
        count = max(2, math.ceil(foot.off / 0.05))
        for i in range(count + 1):
            x = point[0] + (foot.x - point[0]) * i / count
            y = point[1] + (foot.y - point[1]) * i / count
            local = [
                abs((x - box.centre[0]) * axis[0] + (y - box.centre[1]) * axis[1])
                for axis in box.axes[:2]
            ]
            beyond = [max(0.0, v - half) for v, half in zip(local, box.half_size, strict=False)]
            if max(beyond) > (aside if i < count - _GAP_STEPS else _ALONG_M):
                break
        else:
            return True
    return False


def _round(scenario: Scenario, a: _Foot, b: _Foot) -> tuple[list[tuple[float, float]], str | None]:
    """The corners of the outline between two of its places, and a door on the way."""
    outline = scenario.room.outline_m
    starts = [begun for _, begun, *_ in _walls(scenario)]
    whole = starts[-1] + math.dist(outline[-1], outline[0])
    options = []
    for first, last, turned in ((a, b, False), (b, a, True)):
        span = (last.along - first.along) % whole
        met = sorted(
            ((begun - first.along) % whole, outline[k])
            for k, begun in enumerate(starts)
            if 1e-9 < (begun - first.along) % whole < span - 1e-9
        )
        corners = [(x, y) for _, (x, y) in met]
        door = next(
            (
                hole.id
                for hole in scenario.room.openings
                if hole.kind == "door"
                and _meets(starts[hole.wall] + hole.from_m, starts[hole.wall] + hole.to_m,
                           first.along, span, whole)
            ),
            None,
        )  # fmt: skip
        options.append((door is not None, span, corners[::-1] if turned else corners, door))
    _, _, corners, door = min(options, key=lambda option: option[:2])
    return corners, door


def _meets(start: float, end: float, first: float, span: float, whole: float) -> bool:
    """Whether a stretch of the outline lies on the way that begins at ``first``."""
    offset = (start - first) % whole
    return offset < span - 1e-9 or offset + (end - start) > whole + 1e-9


def _hidden(scenario: Scenario, walk: Sequence[tuple[float, float]], height: float) -> bool:
    """Whether furniture stands before the walls all along the way at a height."""
    steps = []
    for (ax, ay), (bx, by) in itertools.pairwise(walk):
        count = max(1, math.ceil(math.hypot(bx - ax, by - ay) / 0.02))
        steps += [
            (ax + (bx - ax) * (i + 0.5) / count, ay + (by - ay) * (i + 0.5) / count)
            for i in range(count)
        ]
    boxes = [furniture_box(item) for item in scenario.furniture]
    spans = [(item.at_m[2], item.at_m[2] + item.size_m[2]) for item in scenario.furniture]
    behind = 0
    for x, y in steps:
        for box, (low, top) in zip(boxes, spans, strict=True):
            if not low - 1e-9 <= height <= top + 1e-9:
                continue
            local = [
                abs((x - box.centre[0]) * axis[0] + (y - box.centre[1]) * axis[1])
                for axis in box.axes[:2]
            ]
            if all(v <= half + _BEHIND_M for v, half in zip(local, box.half_size[:2], strict=True)):
                behind += 1
                break
    return bool(steps) and behind >= _COVERED * len(steps)
