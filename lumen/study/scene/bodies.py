"""Whole bodies of a plan against each other and against the room: what runs through what.

Boxes are held against boxes by separating axes (Gottschalk, Lin and Manocha, SIGGRAPH 1996: two
boxes are apart when they are apart along one of fifteen lines), and against the room by their
outline on the floor, their lowest and their highest corner.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box, points_in_polygon
from lumen.scenario.outline import distance_to_wall, wall_normal
from lumen.scenario.room import Opening, Room
from lumen.study.scene.surfaces import ceiling_height_m

__all__ = [
    "OFF_M",
    "TOUCH_M",
    "Beyond",
    "OpeningBeyond",
    "Overlap",
    "Surface",
    "beyond_room",
    "corners_of",
    "depth_inside",
    "nearest_wall",
    "opening_beyond",
    "overlap",
    "push_out",
    "stations",
    "to_box_m",
    "to_surfaces_m",
]

Array = NDArray[np.float64]

TOUCH_M = 0.005
"""Bodies that stand in each other by less only touch: what a tape tells apart, our own."""

OFF_M = 0.02
"""What is fixed to a wall, a board or the ceiling may be so far from it: our own."""

_STEP_M = 0.02


@dataclass(frozen=True)
class Surface:
    """A surface of the room: a wall by its number, the ceiling or a slope of it, the floor."""

    kind: Literal["wall", "ceiling", "slope", "floor"]
    wall: int | None = None


@dataclass(frozen=True, eq=False)
class Overlap:
    """How deep two boxes stand in each other [m], and the shortest way out for the first."""

    depth_m: float
    way: Array


def overlap(one: Box, other: Box) -> Overlap | None:
    """Return how deep two boxes stand in each other, ``None`` when they are apart or touch.

    ``way`` (3,) is the unit vector along which the first is out after ``depth_m``.

    Examples
    --------
    >>> unit_box = lambda x: Box(np.array([x, 0, 0]), np.full(3, 0.5), np.eye(3))
    >>> found = overlap(unit_box(0.0), unit_box(0.9))
    >>> round(found.depth_m, 6), found.way.tolist()
    (0.1, [-1.0, 0.0, 0.0])
    >>> overlap(unit_box(0.0), unit_box(1.1)) is None
    True
    """
    apart = float(np.linalg.norm(one.centre - other.centre))
    if apart >= float(np.linalg.norm(one.half_size) + np.linalg.norm(other.half_size)):
        return None
    return min(_ways_out(one, other), key=lambda each: each.depth_m, default=None)


def push_out(one: Box, other: Box) -> list[Overlap]:
    """Return the level ways out of another box for the first, the shortest first."""
    level = []
    for each in _ways_out(one, other):
        if abs(each.way[2]) < 1e-6:
            back = _along(one, other, -each.way)
            level += [each, Overlap(back, -each.way)]
    return sorted(level, key=lambda each: each.depth_m)


def _ways_out(one: Box, other: Box) -> list[Overlap]:
    crossed = np.cross(one.axes[:, None], other.axes[None]).reshape(-1, 3)
    lines = np.concatenate([one.axes, other.axes, crossed])
    length = np.linalg.norm(lines, axis=1)
    kept = length > 1e-9  # two edges in one direction: their faces tell as much
    ways = lines[kept] / length[kept, None]
    away = ways @ (one.centre - other.centre)
    reach = sum(np.abs(ways @ box.axes.T) @ box.half_size for box in (one, other))
    depths = reach - np.abs(away)
    if (depths <= 0.0).any():
        return []
    ways = np.where(away < 0.0, -1.0, 1.0)[:, None] * ways
    return [Overlap(float(depth), way) for depth, way in zip(depths, ways, strict=True)]


def _along(one: Box, other: Box, way: Array) -> float:
    """How far the first has to go along ``way`` to be clear of the other [m]."""
    reach = sum(float(np.abs(box.axes @ way) @ box.half_size) for box in (one, other))
    return reach - float(way @ (one.centre - other.centre))


def corners_of(box: Box) -> Array:
    """Return the eight corners of a box (8, 3) [m]."""
    signs = np.array(list(itertools.product((-1.0, 1.0), repeat=3)))
    return np.asarray(box.centre + (signs * box.half_size) @ box.axes)


@dataclass(frozen=True)
class Beyond:
    """Something beyond a wall, the ceiling or the floor, by so much [m], and the way back in."""

    surface: Surface
    by_m: float
    way: tuple[float, float, float]


def nearest_wall(room: Room, point: Sequence[float] | Array) -> tuple[float, int]:
    """Return how far the nearest wall is from a point [m], and its number."""
    walls = range(len(room.outline_m))
    x, y = float(point[0]), float(point[1])
    return min((distance_to_wall(room.outline_m, wall, (x, y)), wall) for wall in walls)


def beyond_room(room: Room, points: Array) -> list[Beyond]:
    """Return how far the convex body about some points (n, 3) reaches out of the room, by part."""
    outline = np.array(room.outline_m)
    hull = _hull(points[:, :2])
    edge = _edge_points(hull)
    found: dict[int, float] = {}
    for point in edge[~points_in_polygon(edge, outline)]:
        away, wall = nearest_wall(room, point)
        found[wall] = max(found.get(wall, 0.0), away)
    if len(hull) > 2:
        for number, corner in enumerate(outline):  # a corner of the room that stands in the body
            if points_in_polygon(corner[None], hull)[0]:
                closed = np.vstack([hull, hull[:1]])
                away = min(_to_segment(corner, a, b) for a, b in itertools.pairwise(closed))
                found[number] = max(found.get(number, 0.0), away)
    parts = [
        Beyond(Surface("wall", wall), by, (*wall_normal(room.outline_m, wall), 0.0))
        for wall, by in found.items()
    ]
    within = points[points_in_polygon(points[:, :2], outline)]
    over = max((z - ceiling_height_m(room, x, y) for x, y, z in within), default=0.0)
    if over > 0.0:
        parts.append(Beyond(Surface("ceiling"), float(over), (0.0, 0.0, -1.0)))
    under = -float(points[:, 2].min())
    if under > 0.0:
        parts.append(Beyond(Surface("floor"), under, (0.0, 0.0, 1.0)))
    return sorted(parts, key=lambda part: -part.by_m)


def _edge_points(hull: Array) -> Array:
    closed = np.vstack([hull, hull[:1]])
    runs = [hull]
    for a, b in itertools.pairwise(closed):
        count = math.ceil(float(np.linalg.norm(b - a)) / _STEP_M)
        if count > 1:
            runs.append(a + (b - a) * (np.arange(1, count) / count)[:, None])
    return np.vstack(runs)


def _hull(points: Array) -> Array:
    """Corners of the convex hull of plane points, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted({(round(float(x), 9), round(float(y), 9)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)

    def half(run: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for p in run:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], p) <= 0.0:
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return np.array(half(ordered) + half(ordered[::-1]))


def _turn(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _to_segment(point: Array, a: Array, b: Array) -> float:
    run = b - a
    share = np.clip((point - a) @ run / max(float(run @ run), 1e-18), 0.0, 1.0)
    return float(np.linalg.norm(point - a - share * run))


def depth_inside(box: Box, points: Array) -> Array:
    """Return how deep points (n, 3) lie inside a box [m], less than 0 outside it."""
    local = np.abs((points - box.centre) @ box.axes.T)
    return np.asarray((box.half_size - local).min(axis=1))


def stations(path: Sequence[Sequence[float]]) -> Array:
    """Return points every 2 cm along a path of corners (n, 3) [m]."""
    found = [np.asarray(path[0], dtype=float)[None]]
    for a, b in itertools.pairwise(path):
        count = max(1, math.ceil(math.dist(a, b) / _STEP_M))
        share = (np.arange(1, count + 1) / count)[:, None]
        start = np.asarray(a, dtype=float)
        found.append(start + share * (np.asarray(b, dtype=float) - start))
    return np.vstack(found)


def to_box_m(box: Box, point: Array) -> float:
    """Return how far a point (3,) is outside a box [m], 0 inside it."""
    local = np.abs(box.axes @ (point - box.centre))
    return float(np.linalg.norm(np.maximum(local - box.half_size, 0.0)))


def to_surfaces_m(room: Room, boxes: Sequence[Box], point: Sequence[float] | Array) -> float:
    """Return how far a point is from the nearest wall, floor, ceiling or piece of furniture [m]."""
    x, y, z = point
    found = [nearest_wall(room, point)[0], z, ceiling_height_m(room, x, y) - z]
    found += [to_box_m(box, np.asarray(point, dtype=float)) for box in boxes]
    return max(0.0, min(found))


@dataclass(frozen=True)
class OpeningBeyond:
    """How an opening leaves its wall: which field of it, by how much, what that may be [m]."""

    field: Literal["from_m", "to_m", "sill_m", "head_m"]
    by_m: float
    most_m: float


def opening_beyond(room: Room, opening: Opening) -> Iterator[OpeningBeyond]:
    """Yield how an opening leaves its wall."""
    start = np.array(room.outline_m[opening.wall])
    end = np.array(room.outline_m[(opening.wall + 1) % len(room.outline_m)])
    length = float(np.linalg.norm(end - start))
    if opening.to_m > length:
        yield OpeningBeyond("to_m", opening.to_m - length, length)
    if opening.from_m < 0.0:
        yield OpeningBeyond("from_m", -opening.from_m, 0.0)
    if opening.sill_m < 0.0:
        yield OpeningBeyond("sill_m", -opening.sill_m, 0.0)
    # the wall's top bends down only, so it is lowest over one of the opening's sides
    sides = (np.clip(s, 0.0, length) for s in (opening.from_m, opening.to_m))
    inward = np.array(wall_normal(room.outline_m, opening.wall))
    spots = [start + (end - start) * s / length + 1e-9 * inward for s in sides]
    top = min(ceiling_height_m(room, float(x), float(y)) for x, y in spots)
    if opening.head_m > top:
        yield OpeningBeyond("head_m", opening.head_m - top, top)
