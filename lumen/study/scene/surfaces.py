"""The written room as arrays: floor, ceiling planes and walls as polygons, furniture as boxes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box, Surface, points_in_polygon
from lumen.light.mirror import PlaneMirror
from lumen.light.room import Room as LitRoom
from lumen.scenario.base import middle
from lumen.scenario.outline import bed_wall_of, wall_normal
from lumen.scenario.pose import pose_of
from lumen.scenario.room import Finish, Furniture, Opening, Room, Slope

__all__ = [
    "FRONT",
    "MIRROR_REFLECTANCE",
    "Face",
    "bed_wall",
    "ceiling_height_m",
    "faces_of",
    "free_floor",
    "furniture_box",
    "held_in",
    "lit_room",
    "mirrors_of",
    "reflectance",
    "solid_at",
]

Array = NDArray[np.float64]
_GRID = 1e-9
_WHITEST = 0.99  # LRV 100 is the white that cards are read against; no finish returns all light


def reflectance(finish: Finish) -> float:
    """Return the diffuse reflectance [-] of a finish: its light reflectance value over 100."""
    return min(middle(finish.lrv) / 100, _WHITEST)


def bed_wall(room: Room) -> int:
    """Return the number of the wall one faces, as given or found from the outline."""
    return bed_wall_of(room.outline_m) if room.bed_wall is None else room.bed_wall


def ceiling_height_m(room: Room, x: float, y: float) -> float:
    """Return the ceiling's height above a point of the floor: the lowest of its planes."""
    return float(min(_height(plane, (x, y)) for plane in _ceiling_planes(room)))


@dataclass(frozen=True)
class Face:
    """A surface of the room: floor, ceiling, one of its slopes, a wall or an opening in it.

    ``wall`` is the wall's number, ``opening`` and ``slope`` are ids.
    """

    kind: Literal["floor", "ceiling", "wall"]
    wall: int | None = None
    opening: str | None = None
    slope: str | None = None

    @property
    def name(self) -> str:
        """What the light half calls it."""
        parts = (self.kind, self.wall, self.opening, self.slope)
        return ":".join(str(part) for part in parts if part is not None)


def lit_room(room: Room, furniture: Sequence[Furniture]) -> LitRoom:
    """Return surfaces and boxes for the light half, normals into the room.

    Openings with a finish of their own (a door, a dark window) and mirrors are surfaces of their
    own, cut out of their walls, up to the ceiling at most.
    """
    parts = _parts(room)
    return LitRoom(
        surfaces=tuple(surface for _, surface in parts),
        surface_names=tuple(face.name for face, _ in parts),
        boxes=tuple(furniture_box(item) for item in furniture),
        box_names=tuple(item.id for item in furniture),
        box_reflectances=tuple(map(_box_reflectance, furniture)),
    )


def faces_of(room: Room) -> tuple[Face, ...]:
    """Return what each surface of the lit room is, in its order; boxes come after."""
    return tuple(face for face, _ in _parts(room))


def _parts(room: Room) -> list[tuple[Face, Surface]]:
    return [*_floor(room), *_ceiling(room), *_walls(room)]


FRONT = 2  # place of a box's front among its faces: -x +x -y +y -z +z


def _box_reflectance(item: Furniture) -> float | list[float]:
    rho = reflectance(item.finish)
    if not item.mirror_front:
        return rho
    return [MIRROR_REFLECTANCE if face == FRONT else rho for face in range(6)]


def furniture_box(item: Furniture) -> Box:
    """Return a piece of furniture as a box, turned about the vertical, leaning on its lower edge.

    Examples
    --------
    >>> board = Furniture(id="b", kind="headboard", at_m=(1, 2, 0), size_m=(1, 0.06, 1), lean_deg=5)
    >>> corner = furniture_box(board)
    >>> bool(corner.centre[1] > 2)
    True
    """
    pose = pose_of(item)
    return Box(
        centre=np.array(pose.centre), half_size=np.array(pose.half), axes=np.array(pose.axes)
    )


def _floor(room: Room) -> list[tuple[Face, Surface]]:
    corners = np.array([(x, y, 0.0) for x, y in room.outline_m])
    return [(Face("floor"), Surface(corners, np.array(reflectance(room.finishes.floor))))]


Plane = tuple[float, float, float]
"""Height as ``a x + b y + c``."""


def _height(plane: Plane, point: Sequence[float]) -> float:
    return plane[0] * point[0] + plane[1] * point[1] + plane[2]


def _ceiling_planes(room: Room) -> list[Plane]:
    planes: list[Plane] = [(0.0, 0.0, room.height_m)]
    return planes + [_slope_plane(room, slope) for slope in room.slopes]


def _slope_plane(room: Room, slope: Slope) -> Plane:
    nx, ny = wall_normal(room.outline_m, slope.wall)
    x0, y0 = room.outline_m[slope.wall]
    rise = math.tan(math.radians(slope.pitch_deg))
    return (nx * rise, ny * rise, slope.knee_height_m - rise * (nx * x0 + ny * y0))


def _ceiling(room: Room) -> list[tuple[Face, Surface]]:
    """The outline, shared out to whichever plane is lowest there."""
    planes = _ceiling_planes(room)
    faces = [Face("ceiling"), *(Face("ceiling", slope=slope.id) for slope in room.slopes)]
    rho = reflectance(room.finishes.ceiling)
    found = []
    for face, plane in zip(faces, planes, strict=True):
        part = np.array(room.outline_m, dtype=float)
        for other in planes:
            if other is not plane:
                excess = np.array([p - q for p, q in zip(other, plane, strict=True)])
                part = _clip(part, excess)
        if len(part) >= 3 and abs(_area(part)) > 1e-6:
            heights = part @ np.array(plane[:2]) + plane[2]
            corners = np.column_stack([part, heights])[::-1]
            found.append((face, Surface(corners, np.array(rho))))
    return found


def _clip(polygon: Array, line: Array) -> Array:
    """Keep the part of a polygon where ``line`` . (x, y, 1) >= 0."""
    if len(polygon) == 0:
        return polygon
    side = polygon @ line[:2] + line[2]
    kept: list[Array] = []
    for here, there, a, b in zip(
        polygon, np.roll(polygon, -1, 0), side, np.roll(side, -1), strict=True
    ):
        if a >= -_GRID:
            kept.append(here)
        if (a > _GRID and b < -_GRID) or (a < -_GRID and b > _GRID):
            kept.append(here + (there - here) * a / (a - b))
    return np.array(kept).reshape(-1, 2)


def _area(polygon: Array) -> float:
    x, y = polygon.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def _walls(room: Room) -> list[tuple[Face, Surface]]:
    planes = _ceiling_planes(room)
    found: list[tuple[Face, Surface]] = []
    for wall, start in enumerate(room.outline_m):
        end = room.outline_m[(wall + 1) % len(room.outline_m)]
        length = math.dist(start, end)
        along = (np.array(end) - np.array(start)) / length
        rho = reflectance(room.finishes.wall_by_wall.get(str(wall), room.finishes.walls))
        tops = _wall_top(planes, start, along, length)
        openings = [o for o in room.openings if o.wall == wall]
        pieces = _wall_pieces(tops, rho, openings)
        for opening, profile, piece_rho in pieces:
            # The profile runs round as seen from outside; the lit side is inside.
            corners = np.array([(*(np.array(start) + along * s), z) for s, z in profile[::-1]])
            face = Face("wall", wall, opening)
            found.append((face, Surface(corners, np.array(piece_rho))))
    return found


def _wall_top(
    planes: Sequence[Plane], start: Sequence[float], along: Array, length: float
) -> list[tuple[float, float]]:
    """The wall's upper edge as (distance along, height), with a corner where the plane changes."""
    lines = [
        (_height(plane, start), float(np.dot(plane[:2], along))) for plane in planes
    ]  # height = a + b s
    stations = {0.0, length}
    for i, (a, b) in enumerate(lines):
        for c, d in lines[i + 1 :]:
            if abs(b - d) > _GRID and 0 < (c - a) / (b - d) < length:
                stations.add((c - a) / (b - d))
    tops = [(s, min(a + b * s for a, b in lines)) for s in sorted(stations)]
    return [
        top
        for i, top in enumerate(tops)
        if i in (0, len(tops) - 1) or not _straight(tops[i - 1], top, tops[i + 1])
    ]


def _straight(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> bool:
    return abs((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) < 1e-9


Profile = list[tuple[float, float]]
"""Corners of a flat piece of a wall as (distance along, height)."""


def _wall_pieces(
    tops: Profile, rho: float, openings: Sequence[Opening]
) -> list[tuple[str | None, Profile, float]]:
    """A wall cut along its openings' edges: whose each piece is, its corners, its reflectance."""
    holes = [
        (
            *_extent(opening, tops),
            MIRROR_REFLECTANCE if opening.finish is None else reflectance(opening.finish),
            opening.id,
        )
        for opening in openings
        if opening.finish is not None or opening.kind == "mirror"
    ]
    length = tops[-1][0]
    if not holes:
        return [(None, [(0.0, 0.0), (length, 0.0), *reversed(tops)], rho)]
    across = sorted({*(s for s, _ in tops), *(h[0] for h in holes), *(h[1] for h in holes)})
    pieces: list[tuple[str | None, Profile, float]] = []
    for s0, s1 in itertools.pairwise(across):
        if s1 - s0 < _GRID:
            continue
        here = [h for h in holes if h[0] <= s0 and h[1] >= s1]
        levels = sorted({0.0, *(h[2] for h in here), *(h[3] for h in here)})
        for z0, z1 in itertools.pairwise(levels):
            inside = [h for h in here if h[2] <= z0 and h[3] >= z1]
            whose = inside[0][5] if inside else None
            value = inside[0][4] if inside else rho
            pieces.append((whose, [(s0, z0), (s1, z0), (s1, z1), (s0, z1)], value))
        upper = [(s0, levels[-1]), (s1, levels[-1])]
        above = [(s, _top(tops, s)) for s in (s1, s0) if _top(tops, s) - levels[-1] > _GRID]
        if above:
            pieces.append((None, upper + above, rho))
    return pieces


def _top(tops: Profile, s: float) -> float:
    stations, heights = zip(*tops, strict=True)
    return float(np.interp(s, stations, heights))


def _extent(opening: Opening, tops: Profile) -> tuple[float, float, float, float]:
    """From, to, sill and head of an opening, held within its wall (whose top bends down only)."""
    s0, s1 = max(0.0, opening.from_m), min(tops[-1][0], opening.to_m)
    top = min(_top(tops, s0), _top(tops, s1))
    return s0, s1, max(0.0, opening.sill_m), min(top, opening.head_m)


MIRROR_REFLECTANCE = 0.85
"""A silvered mirror behind glass sends back 0.80 to 0.88 (a page of reflection factors, read)."""


def mirrors_of(
    room: Room, furniture: Sequence[Furniture] = ()
) -> tuple[tuple[str, PlaneMirror], ...]:
    """Return the mirrors of a room by the ids of their openings or of the furniture they front."""
    planes, found = _ceiling_planes(room), []
    for opening in room.openings:
        if opening.kind != "mirror":
            continue
        start, end = (
            np.array(room.outline_m[(opening.wall + k) % len(room.outline_m)]) for k in (0, 1)
        )
        length = float(np.linalg.norm(end - start))
        along = (end - start) / length
        corner = room.outline_m[opening.wall]
        s0, s1, z0, z1 = _extent(opening, _wall_top(planes, corner, along, length))
        if s1 - s0 < _GRID or z1 - z0 < _GRID:
            continue
        flat = ((s0, z0), (s0, z1), (s1, z1), (s1, z0))  # counter-clockwise seen from inside
        corners = np.array([(*(start + along * s), z) for s, z in flat])
        rho = MIRROR_REFLECTANCE if opening.finish is None else reflectance(opening.finish)
        found.append((opening.id, PlaneMirror(corners, rho)))
    for item in furniture:
        if item.mirror_front:
            front = furniture_box(item).faces()[FRONT]
            found.append((item.id, PlaneMirror(front, MIRROR_REFLECTANCE)))
    return tuple(found)


def free_floor(room: Room, furniture: Sequence[Furniture], step_m: float) -> Array:
    """Return floor points (n, 2) [m] on an even grid that one can walk on.

    Points within the outline that no furniture with its underside below 1 m covers, or comes nearer
    to than half a foot's width: a slit between two beds is no floor to walk on.
    """
    outline = np.array(room.outline_m)
    low, high = outline.min(0), outline.max(0)
    counts = np.maximum(1, np.round((high - low) / step_m).astype(int))
    xs, ys = (
        low[k] + (np.arange(counts[k]) + 0.5) * (high[k] - low[k]) / counts[k] for k in (0, 1)
    )
    points = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    free = points_in_polygon(points, outline)
    for item in furniture:
        if item.at_m[2] < 1.0:
            free &= ~_covered(furniture_box(item), points, _FOOT_M / 2)
    return np.asarray(points[free], dtype=float)


_FOOT_M = 0.1  # a foot's width: common practice, no source


def _covered(box: Box, points: Array, about_m: float = 0.0) -> NDArray[np.bool_]:
    """Whether a box's footprint (its own width and depth) covers floor points, or comes so near."""
    offset = points - box.centre[:2]
    right, back = box.axes[0][:2], box.axes[1][:2]
    scale = np.linalg.norm(back) or 1.0
    across, along = np.abs(offset @ right), np.abs(offset @ back / scale)
    across, along = across - about_m, along - about_m
    return np.asarray((across <= box.half_size[0]) & (along <= box.half_size[1]))


_GRACE_M = 1e-3
_CLEAR_M = 2e-5


def held_in(
    room: Room, furniture: Sequence[Furniture], points: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """Return points (n, 3) [m] clear of all surfaces, and which lie outside the room (n,).

    What lies on a surface, or up to a millimetre beyond it, is set 0.02 mm before it: exactly on an
    edge the far half of what a point sees has no area to be reckoned by.
    """
    held = np.array(points, dtype=float)
    outline = np.array(room.outline_m)
    inside = points_in_polygon(held[:, :2], outline)
    for box in map(furniture_box, furniture):
        _push_out(held, box)
    for wall, start in enumerate(outline):
        along = outline[(wall + 1) % len(outline)] - start
        length = float(np.linalg.norm(along))
        offset = held[:, :2] - start
        normal = np.array(wall_normal(room.outline_m, wall))
        off, at = offset @ normal, offset @ along / length
        near = (np.abs(off) <= _GRACE_M) & (at >= -_GRACE_M) & (at <= length + _GRACE_M)
        inside |= near
        held[:, :2] += np.where(near, np.maximum(_CLEAR_M - off, 0.0), 0.0)[:, None] * normal
    for a, b, c in _ceiling_planes(room):
        above = held[:, 0] * a + held[:, 1] * b + c - held[:, 2]
        inside &= above >= -_GRACE_M
        held[:, 2] -= np.where(above < _CLEAR_M, _CLEAR_M - above, 0.0)
    inside &= held[:, 2] >= -_GRACE_M
    held[:, 2] = np.maximum(held[:, 2], _CLEAR_M)
    return np.where(inside[:, None], held, points), ~inside


def _push_out(points: Array, box: Box) -> None:
    """Set points on or barely in a box before its nearest face."""
    offset = (points - box.centre) @ box.axes.T
    depth = box.half_size - np.abs(offset)
    rows = np.flatnonzero((depth.min(axis=1) <= _GRACE_M) & (depth.min(axis=1) > -_CLEAR_M))
    axis = depth[rows].argmin(axis=1)
    way = np.where(offset[rows, axis] < 0.0, -1.0, 1.0)
    step = way * (depth[rows, axis] + _CLEAR_M)
    points[rows] += step[:, None] * box.axes[axis]


def solid_at(furniture: Sequence[Furniture], points: Array) -> NDArray[np.bool_]:
    """Return which points (n, 3) lie inside a piece of furniture."""
    found = np.zeros(len(points), dtype=bool)
    for box in map(furniture_box, furniture):
        offset = np.abs((points - box.centre) @ box.axes.T)
        found |= (offset < box.half_size - _CLEAR_M).all(axis=1)
    return found
