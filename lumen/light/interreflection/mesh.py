"""Patches of a room: cut at contact lines, buried parts dropped, all of them convex quads.

Cutting at the lines where furniture touches a surface matters more than small patches do: a
patch that lies half under a box is the largest single error of an enclosure's light balance.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lumen.errors import GeometryError
from lumen.light.geometry import (
    Box,
    Floats,
    convex_parts,
    plane_axes,
    points_in_polygon,
    polygon_normal,
    unit,
)
from lumen.light.room import Room

__all__ = ["Face", "Patches", "faces_of", "patches_of", "quad_points"]

_TOUCH_M = 3e-3  # a narrower gap counts as closed
_NEAR_M = 0.12
_MERGE_M = 2e-3


@dataclass(frozen=True, eq=False)
class Face:
    """One flat side that can be lit: a surface of the shell or a side of a box."""

    corners: Floats
    reflectance: Floats
    box: int


@dataclass(frozen=True, eq=False)
class Patches:
    """The patches of a room.

    Attributes
    ----------
    corners : (N, 4, 3)
        Convex quads (a triangle repeats a corner), counter-clockwise from the lit side [m].
    areas : (N,)
        [m²].
    centres, normals : (N, 3)
    reflectances : (N, c)
        c is 1 (grey) or 3.
    surface : (N,)
        Index of the face: first the room's surfaces, then six faces for each box.
    radii : (N,)
        Largest distance from the centre to a corner [m].
    """

    corners: Floats
    areas: Floats
    centres: Floats
    normals: Floats
    reflectances: Floats
    surface: npt.NDArray[np.intp]
    radii: Floats

    def __len__(self) -> int:
        return len(self.areas)

    @cached_property
    def middles(self) -> tuple[Floats, Floats]:
        """Middles of the quarters of every patch (N, 4, 3) [m] and their density (N, 4)."""
        s, t = np.array([0.25, 0.25, 0.75, 0.75]), np.array([0.25, 0.75, 0.25, 0.75])
        return quad_points(self.corners, s, t)

    @cached_property
    def running(self) -> tuple[Floats, Floats]:
        """What `points_of_rows` needs of every patch: (4, 3, N) and (3, N)."""
        places, density = _running(self.corners)
        return np.stack([place.T for place in places]), density

    def points_of_rows(
        self, rows: npt.NDArray[np.intp], s: Floats, t: Floats
    ) -> tuple[Floats, Floats]:
        """The points of `quad_points`, axes first (3, n, k), and their density (n, k).

        Quicker than `quad_points` when few patches are asked for many times.
        """
        places, density = self.running
        a, u, v, skew = places[:, :, rows, None]
        points = a + s * u + t * v
        if skew.any():
            points += s * t * skew
        even, by_s, by_t = density[:, rows, None]
        return points, np.abs(even + s * by_s + t * by_t)

    @cached_property
    def quarters(self) -> Patches:
        """Each patch as four, halved both ways; those of patch i are 4 i to 4 i + 3."""
        low, high = np.array([0.0, 0.5, 0.5, 0.0]), np.array([0.0, 0.0, 0.5, 0.5])
        parts = [
            quad_points(self.corners, low + s, high + t)[0]
            for s, t in ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5))
        ]
        corners = np.stack(parts, axis=1).reshape(-1, 4, 3)
        vectors = polygon_normal(corners)
        areas = np.maximum(np.linalg.norm(vectors, axis=1), 1e-12)
        centres = _centroids(corners)
        return Patches(
            corners=corners,
            areas=areas,
            centres=centres,
            normals=np.repeat(self.normals, 4, axis=0),
            reflectances=np.repeat(self.reflectances, 4, axis=0),
            surface=np.repeat(self.surface, 4),
            radii=np.linalg.norm(corners - centres[:, None], axis=2).max(axis=1),
        )

    def subset(self, rows: npt.NDArray[np.intp]) -> Patches:
        """Some of the patches."""
        return Patches(
            self.corners[rows],
            self.areas[rows],
            self.centres[rows],
            self.normals[rows],
            self.reflectances[rows],
            self.surface[rows],
            self.radii[rows],
        )


def quad_points(corners: Floats, across: npt.ArrayLike, up: npt.ArrayLike) -> tuple[Floats, Floats]:
    """Points of convex quads by their two running parameters, and their share of the area.

    Parameters
    ----------
    corners : (N, 4, 3)
    across, up : (k,) or (N, k)
        Parameters from 0 to 1 along the first and along the second side.

    Returns
    -------
    points : (N, k, 3) [m]
    density : (N, k)
        Area element over quad area: 1 everywhere on a rectangle.
    """
    s, t = np.asarray(across, dtype=float), np.asarray(up, dtype=float)
    (a, u, v, skew), density = _running(corners)
    if s.ndim == 1:  # the same places on all quads
        weights = np.stack([(1 - s) * (1 - t), s * (1 - t), s * t, (1 - s) * t], axis=1)
        points = weights @ corners
    else:
        points = a[:, None] + s[..., None] * u[:, None] + t[..., None] * v[:, None]
        if np.abs(skew).max(initial=0.0) > 1e-12:
            points += (s * t)[..., None] * skew[:, None]
    even, by_s, by_t = density[..., None]
    return np.asarray(points), np.abs(even + s * by_s + t * by_t)


def _running(corners: Floats) -> tuple[tuple[Floats, ...], Floats]:
    """Quads as ``a + s u + t v + s t skew``, each (N, 3), and their area element (3, N).

    The area element of a flat quad, over its area, is linear too: even + s by_s + t by_t.
    """
    a, b, c, d = (corners[:, i] for i in range(4))
    u, v, skew = b - a, d - a, a - b + c - d
    normal = polygon_normal(corners)
    area2 = np.einsum("nc,nc->n", normal, normal)
    density = np.stack(
        [
            np.einsum("nc,nc->n", np.cross(x, y), normal) / area2
            for x, y in ((u, v), (u, skew), (skew, v))
        ]
    )
    return (a, u, v, skew), density


def faces_of(room: Room) -> list[Face]:
    """All faces: the surfaces in order, then -x +x -y +y -z +z of each box in order."""
    faces = [
        Face(surface.corners, room.surface_reflectance(i), -1)
        for i, surface in enumerate(room.surfaces)
    ]
    for index, box in enumerate(room.boxes):
        reflectance = room.box_face_reflectance(index)
        faces.extend(
            Face(corners, reflectance[side], index) for side, corners in enumerate(box.faces())
        )
    return faces


def patches_of(room: Room, *, edge_m: float = 0.4) -> Patches:
    """The patches of a room with no side longer than ``edge_m`` [m].

    Raises
    ------
    GeometryError
        When ``edge_m`` is not more than 0.02 or nothing of the room is left to be lit.
    """
    if not edge_m > 0.02:
        raise GeometryError("edge_m", "must be more than 0.02", edge_m)
    corners, owner = [], []
    faces = faces_of(room)
    for index, face in enumerate(faces):
        quads = _face_quads(room, face, edge_m)
        corners.append(quads)
        owner.append(np.full(len(quads), index))
    quads = np.concatenate(corners)
    surface = np.concatenate(owner)
    vectors = polygon_normal(quads)
    areas = np.linalg.norm(vectors, axis=1)
    centres = _centroids(quads)
    front = centres + 0.5 * _TOUCH_M * unit(vectors)
    keep = areas > 1e-8
    keep &= _open_to_room(room, np.array([faces[i].box for i in surface]), front)
    quads, surface, vectors, areas = quads[keep], surface[keep], vectors[keep], areas[keep]
    centres = centres[keep]
    if not len(areas):
        raise GeometryError("room", "must leave some surface open to light", 0)
    return Patches(
        corners=quads,
        areas=areas,
        centres=centres,
        normals=vectors / areas[:, None],
        reflectances=np.stack([faces[i].reflectance for i in surface]),
        surface=surface,
        radii=np.linalg.norm(quads - centres[:, None], axis=2).max(axis=1),
    )


def _centroids(quads: Floats) -> Floats:
    a, b, c, d = (quads[:, i] for i in range(4))
    one = np.linalg.norm(np.cross(b - a, c - a), axis=1, keepdims=True)
    two = np.linalg.norm(np.cross(c - a, d - a), axis=1, keepdims=True)
    both = np.maximum(one + two, 1e-300)
    weighted = (one * (a + b + c) + two * (a + c + d)) / (3.0 * both)
    return np.asarray(np.where(one + two > 1e-14, weighted, quads.mean(axis=1)))


def _face_quads(room: Room, face: Face, edge_m: float) -> Floats:
    axes = plane_axes(face.corners)
    origin = face.corners[0]
    flat = (face.corners - origin) @ axes[:2].T
    cuts_u, cuts_v = list(flat[:, 0]), list(flat[:, 1])
    slanted = []
    for index, box in enumerate(room.boxes):
        if index == face.box:
            continue
        footprint, gap = _footprint(box, origin, axes)
        if footprint is None or not _overlaps(footprint, flat):
            continue
        if _aligned(footprint):
            cuts_u.extend(footprint[:, 0])
            cuts_v.extend(footprint[:, 1])
        elif gap < _TOUCH_M:
            slanted.append(footprint)
    if face.box >= 0:  # a wall may end within a box's face (alcoves): cut there too
        for surface in room.surfaces:
            if np.abs((surface.corners - origin) @ axes[2]).max() < _TOUCH_M:
                edge = (surface.corners - origin) @ axes[:2].T
                if _aligned(edge):
                    cuts_u.extend(edge[:, 0])
                    cuts_v.extend(edge[:, 1])
    u = _stations(cuts_u, flat[:, 0].min(), flat[:, 0].max(), edge_m)
    v = _stations(cuts_v, flat[:, 1].min(), flat[:, 1].max(), edge_m)
    cells = _cells(u, v)
    cells = _within_polygon(cells, flat)
    for footprint in slanted:
        cells = _without(cells, footprint)
    if not len(cells):
        return np.zeros((0, 4, 3))
    return np.asarray(origin + cells @ axes[:2])


def _footprint(box: Box, origin: Floats, axes: Floats) -> tuple[Floats | None, float]:
    """Where a box comes nearest to a plane: ring of that face, flat; and the gap [m]."""
    local = (box.corners() - origin) @ axes.T
    height = local[:, 2]
    if height.max() < 1e-3 or height.min() > _NEAR_M:
        return None, 0.0
    reach = max(height.min(), 0.0)
    low = local[height < reach + 6e-3] if height.min() > -_TOUCH_M else local
    if len(low) < 2:
        return None, 0.0
    points = low[:, :2]
    if len(low) == 8:  # the box passes through the plane: its section is close to its shadow
        points = _hull(points)
    elif len(low) == 4:
        middle = points.mean(axis=0)
        turn = np.arctan2(points[:, 1] - middle[1], points[:, 0] - middle[0])
        points = points[np.argsort(turn)]
    return points, float(reach)


def _hull(points: Floats) -> Floats:
    order = np.lexsort((points[:, 1], points[:, 0]))
    ring: list[Floats] = []
    for sequence in (order, order[::-1]):
        part: list[Floats] = []
        for i in sequence:
            q = points[i]
            while len(part) > 1 and _cross2(part[-1] - part[-2], q - part[-1]) <= 1e-12:
                part.pop()
            part.append(q)
        ring.extend(part[:-1])
    return np.array(ring)


def _cross2(a: Floats, b: Floats) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _overlaps(footprint: Floats, flat: Floats) -> bool:
    return bool(
        (footprint.max(axis=0) > flat.min(axis=0) + 1e-4).all()
        and (footprint.min(axis=0) < flat.max(axis=0) - 1e-4).all()
    )


def _aligned(ring: Floats) -> bool:
    """Whether all edges run along the frame's axes."""
    edges = unit(np.roll(ring, -1, axis=0) - ring)
    return bool((np.abs(edges).max(axis=1) > 1.0 - 1e-4).all())


def _stations(cuts: list[float], low: float, high: float, edge_m: float) -> Floats:
    inner = sorted(c for c in cuts if low + _MERGE_M < c < high - _MERGE_M)
    kept = [low]
    for c in inner:
        if c - kept[-1] > _MERGE_M:
            kept.append(c)
    kept.append(high)
    pieces = [
        np.linspace(a, b, max(1, int(np.ceil((b - a) / edge_m - 1e-6))) + 1)[:-1]
        for a, b in pairwise(kept)
    ]
    return np.concatenate([*pieces, [high]])


def _cells(u: Floats, v: Floats) -> Floats:
    a, c = np.meshgrid(u[:-1], v[:-1], indexing="ij")
    b, d = np.meshgrid(u[1:], v[1:], indexing="ij")
    rings = np.stack([a, c, b, c, b, d, a, d], axis=-1)
    return np.asarray(rings.reshape(-1, 4, 2))


def _within_polygon(cells: Floats, flat: Floats) -> Floats:
    if len(flat) == 4 and _aligned(flat):
        return cells
    parts = convex_parts(flat)
    if _aligned(flat):
        return cells[points_in_polygon(cells.mean(axis=1), flat)]
    result = []
    middle_in = points_in_polygon(cells.mean(axis=1), flat)
    for cell, inside in zip(cells, middle_in, strict=True):
        if inside and not _edge_crosses(cell, flat):
            result.append(cell[None])
            continue
        for part in parts:
            piece: Floats = cell
            for a, b in zip(part, np.roll(part, -1, axis=0), strict=True):
                piece = _clip2(piece, a, b, keep_left=True)
            result.append(_quads(piece))
    return np.concatenate(result)


def _edge_crosses(cell: Floats, flat: Floats) -> bool:
    """Whether an edge of the polygon passes through the inside of a cell (box test, sampled)."""
    low, high = cell.min(axis=0) + 1e-9, cell.max(axis=0) - 1e-9
    for a, b in zip(flat, np.roll(flat, -1, axis=0), strict=True):
        d = np.where(np.abs(b - a) < 1e-15, 1e-15, b - a)
        one, two = (low - a) / d, (high - a) / d
        if max(np.minimum(one, two).max(), 0.0) < min(np.maximum(one, two).min(), 1.0):
            return True
    return False


def _clip2(ring: Floats, a: Floats, b: Floats, *, keep_left: bool) -> Floats:
    """Clip a convex flat ring by the line a-b."""
    if len(ring) < 3:
        return ring[:0]
    d = b - a
    side = d[0] * (ring[:, 1] - a[1]) - d[1] * (ring[:, 0] - a[0])
    side = side if keep_left else -side
    side = np.where(np.abs(side) < 1e-10, 0.0, side)
    out = []
    for i in range(len(ring)):
        j = (i + 1) % len(ring)
        if side[i] >= 0.0:
            out.append(ring[i])
        if side[i] * side[j] < 0.0:
            out.append(ring[i] + side[i] / (side[i] - side[j]) * (ring[j] - ring[i]))
    return np.array(out) if len(out) > 2 else ring[:0]


def _quads(ring: Floats) -> Floats:
    """Convex ring as quads; the last may be a triangle with one corner twice."""
    if len(ring) < 3:
        return np.zeros((0, 4, 2))
    quads = []
    i = 1
    while i < len(ring) - 1:
        last = min(i + 2, len(ring) - 1)
        quads.append([ring[0], ring[i], ring[i + 1], ring[last]])
        i += 2
    return np.array(quads)


def _without(cells: Floats, footprint: Floats) -> Floats:
    """Cells with a convex ring taken out of them."""
    x, y = footprint[:, 0], footprint[:, 1]
    if (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() < 0.0:
        footprint = footprint[::-1]
    low, high = footprint.min(axis=0), footprint.max(axis=0)
    touched = (cells.max(axis=1) > low + 1e-9).all(axis=1) & (cells.min(axis=1) < high - 1e-9).all(
        axis=1
    )
    result = [cells[~touched]]
    for cell in cells[touched]:
        rest: Floats = _dedupe(cell)
        for a, b in zip(footprint, np.roll(footprint, -1, axis=0), strict=True):
            result.append(_quads(_clip2(rest, a, b, keep_left=False)))
            rest = _clip2(rest, a, b, keep_left=True)
            if not len(rest):
                break
    return np.concatenate(result)


def _dedupe(ring: Floats) -> Floats:
    step = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    return np.asarray(ring[step > 1e-12])


def _open_to_room(room: Room, box_of: Floats, front: Floats) -> npt.NDArray[np.bool_]:
    """Whether points just in front of cells are air inside the room; ``box_of`` -1 is the shell."""
    is_open = np.ones(len(front), dtype=bool)
    for index, box in enumerate(room.boxes):
        local = np.abs((front - box.centre) @ box.axes.T)
        inside = (local < box.half_size + 0.52 * _TOUCH_M).all(axis=1)
        is_open &= ~inside | (box_of == index)
    of_box = np.flatnonzero(is_open & (box_of >= 0))
    is_open[of_box] = inside_shell(room, front[of_box])
    return is_open


def inside_shell(room: Room, points: Floats) -> npt.NDArray[np.bool_]:
    """Whether points (n, 3) lie inside the room's shell, by counting crossings of a ray."""
    direction = unit(np.array([0.5377, 0.2391, 0.8083]))
    crossings = np.zeros(len(points), dtype=int)
    for surface in room.surfaces:
        axes = plane_axes(surface.corners)
        slope = float(direction @ axes[2])
        if abs(slope) < 1e-9:
            continue
        t = ((surface.corners[0] - points) @ axes[2]) / slope
        hit = (points + t[:, None] * direction - surface.corners[0]) @ axes[:2].T
        flat = (surface.corners - surface.corners[0]) @ axes[:2].T
        crossings += (t > 0.0) & points_in_polygon(hit, flat)
    return np.asarray(crossings % 2 == 1)
