"""Flat surfaces and boxes of a room, and the few plane-geometry operations the light needs.

The frame is right-handed, lengths are in metres. Stand in the room and face the bed wall::

              z up
              |     y toward the bed wall
              |    /
              |   /
              |  /
              | /
      origin  o------------ x to the right
      (floor, first corner of the outline)

A surface's corners run counter-clockwise seen from its lit side, so that its normal points into
the room::

        3 ------- 2
        |    n    |      n comes out of the page, toward the reader,
        |    .    |      who stands on the lit side
        0 ------- 1
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from lumen.errors import GeometryError

__all__ = [
    "Bools",
    "Box",
    "Floats",
    "Ints",
    "Surface",
    "clip_by_plane",
    "convex_parts",
    "plane_axes",
    "points_in_polygon",
    "polygon_normal",
    "unit",
]

Floats = npt.NDArray[np.floating[Any]]
Ints = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]

_TINY = 1e-12


def unit(vectors: npt.ArrayLike) -> Floats:
    """Vectors of length 1 along ``vectors`` (..., 3); a zero vector stays zero.

    Examples
    --------
    >>> unit([0.0, 3.0, 4.0])
    array([0. , 0.6, 0.8])
    """
    v = np.asarray(vectors, dtype=float)
    length = np.linalg.norm(v, axis=-1, keepdims=True)
    return v / np.where(length > 0.0, length, 1.0)


def polygon_normal(corners: npt.ArrayLike) -> Floats:
    """Area vector of a planar polygon: its length is the area [m²], its direction the normal.

    Parameters
    ----------
    corners : (..., k, 3)
        Corners in order, counter-clockwise seen from the side the vector points to [m].

    Examples
    --------
    >>> polygon_normal([[0, 0, 0], [2, 0, 0], [2, 3, 0], [0, 3, 0]])
    array([0., 0., 6.])
    """
    c = np.asarray(corners, dtype=float)
    first = c[..., :1, :]
    a = c[..., 1:-1, :] - first
    b = c[..., 2:, :] - first
    return np.asarray(0.5 * np.cross(a, b).sum(axis=-2))


def plane_axes(corners: npt.ArrayLike) -> Floats:
    """Three unit rows u, v, n of a polygon's own frame; u runs along its longest edge."""
    c = np.asarray(corners, dtype=float)
    edges = np.roll(c, -1, axis=0) - c
    n = unit(polygon_normal(c))
    u = unit(edges[np.argmax(np.linalg.norm(edges, axis=1))])
    u = unit(u - (u @ n) * n)
    return np.stack([u, np.cross(n, u), n])


def points_in_polygon(points: npt.ArrayLike, polygon: npt.ArrayLike) -> Bools:
    """Whether plane points (n, 2) lie inside a simple polygon (k, 2), by the even-odd rule.

    Examples
    --------
    >>> points_in_polygon([[0.5, 0.5], [2.0, 0.5]], [[0, 0], [1, 0], [1, 1], [0, 1]])
    array([ True, False])
    """
    p = np.asarray(points, dtype=float)[:, None, :]
    a = np.asarray(polygon, dtype=float)[None]
    b = np.roll(a, -1, axis=1)
    spans = (a[..., 1] > p[..., 1]) != (b[..., 1] > p[..., 1])
    rise = np.where(spans, b[..., 1] - a[..., 1], 1.0)
    x = a[..., 0] + (p[..., 1] - a[..., 1]) * (b[..., 0] - a[..., 0]) / rise
    return np.asarray((spans & (p[..., 0] < x)).sum(axis=1) % 2 == 1)


def clip_by_plane(polygons: Floats, planes: Floats) -> Floats:
    """The parts of convex polygons on the non-negative side of one plane each.

    Parameters
    ----------
    polygons : (m, k, 3)
        Convex polygons; a shorter one repeats its last corner [m].
    planes : (m, 4)
        ``a, b, c, d``: the kept side has ``a x + b y + c z + d >= 0``.

    Returns
    -------
    (m, k + 1, 3)
        Same order of corners; an empty result has all its corners in one place (area 0).

    Notes
    -----
    Sutherland and Hodgman's re-entrant clipping (Communications of the ACM 17(1), 1974; cited
    from memory), one plane, many polygons at once.
    """
    m, k, _ = polygons.shape
    side = np.einsum("mkc,mc->mk", polygons, planes[:, :3]) + planes[:, 3:]
    inside = side >= 0.0
    if inside.all():
        return np.concatenate([polygons, polygons[:, -1:]], axis=1)
    nxt = np.roll(polygons, -1, axis=1)
    side_nxt = np.roll(side, -1, axis=1)
    crosses = inside != np.roll(inside, -1, axis=1)
    drop = side - side_nxt
    t = np.where(crosses, side, 0.0) / np.where(crosses, drop, 1.0)
    meet = polygons + t[..., None] * (nxt - polygons)
    slots = np.stack([polygons, meet], axis=2).reshape(m, 2 * k, 3)
    valid = np.stack([inside, crosses], axis=2).reshape(m, 2 * k)
    order = np.argsort(~valid, axis=1, kind="stable")
    count = valid.sum(axis=1)
    last = np.maximum(np.minimum(count, k + 1) - 1, 0)
    take = np.minimum(np.arange(k + 1)[None, :], last[:, None])
    chosen = np.take_along_axis(order, take, axis=1)
    return np.take_along_axis(slots, chosen[..., None], axis=1)


def convex_parts(polygon: npt.ArrayLike) -> list[Floats]:
    """Convex pieces of a simple counter-clockwise polygon (k, 2) that together cover it once.

    Ears are cut off and then joined again while the joint piece stays convex.

    Examples
    --------
    >>> ell = [[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]]
    >>> len(convex_parts(ell))
    2
    """
    p = np.asarray(polygon, dtype=float)
    ring = list(range(len(p)))
    pieces: list[list[int]] = []
    while len(ring) > 3:
        for i in range(len(ring)):
            a, b, c = ring[i - 1], ring[i], ring[(i + 1) % len(ring)]
            if _turn(p[a], p[b], p[c]) <= _TINY:
                continue
            others = [q for q in ring if q not in (a, b, c)]
            if any(_in_triangle(p[q], p[a], p[b], p[c]) for q in others):
                continue
            pieces.append([a, b, c])
            ring.pop(i)
            break
        else:  # only straight angles are left: drop one
            ring.pop(
                int(
                    np.argmin(
                        [
                            abs(_turn(p[ring[i - 1]], p[ring[i]], p[ring[(i + 1) % len(ring)]]))
                            for i in range(len(ring))
                        ]
                    )
                )
            )
    pieces.append(ring)
    joined = True
    while joined:
        joined = False
        for i in range(len(pieces)):
            for j in range(i + 1, len(pieces)):
                both = _join(p, pieces[i], pieces[j])
                if both is not None:
                    pieces[i] = both
                    pieces.pop(j)
                    joined = True
                    break
            if joined:
                break
    return [p[piece] for piece in pieces]


def _turn(a: Floats, b: Floats, c: Floats) -> float:
    return float((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]))


def _in_triangle(q: Floats, a: Floats, b: Floats, c: Floats) -> bool:
    return _turn(a, b, q) >= -_TINY and _turn(b, c, q) >= -_TINY and _turn(c, a, q) >= -_TINY


def _join(p: Floats, first: list[int], second: list[int]) -> list[int] | None:
    """Join two rings over a shared edge when the result is convex."""
    for i in range(len(first)):
        a, b = first[i], first[(i + 1) % len(first)]
        for j in range(len(second)):
            if second[j] == b and second[(j + 1) % len(second)] == a:
                left = first[i + 1 :] + first[: i + 1]
                right = second[j + 1 :] + second[: j + 1]
                ring = left + right[1:-1]
                turns = [
                    _turn(p[ring[k - 1]], p[ring[k]], p[ring[(k + 1) % len(ring)]])
                    for k in range(len(ring))
                ]
                return ring if min(turns) >= -_TINY else None
    return None


def _array(field: str, value: npt.ArrayLike, shape: tuple[int, ...]) -> Floats:
    array = np.array(value, dtype=float)
    if array.shape != shape:
        raise GeometryError(field, f"must have the shape {shape}", array.shape)
    if not np.isfinite(array).all():
        raise GeometryError(field, "must hold finite numbers", array.tolist())
    array.setflags(write=False)
    return array


def _reflectance(field: str, value: npt.ArrayLike) -> Floats:
    array = np.array(value, dtype=float)
    if array.shape not in ((), (3,)):
        raise GeometryError(field, "must be one number or three (red, green, blue)", array.shape)
    if not (np.isfinite(array).all() and (array >= 0.0).all() and (array < 1.0).all()):
        raise GeometryError(field, "must be at least 0 and less than 1", array.tolist())
    array.setflags(write=False)
    return array


@dataclass(frozen=True, eq=False)
class Box:
    """A solid box, turned or leaning as you like; it blocks light.

    Parameters
    ----------
    centre : (3,)
        Middle of the box [m].
    half_size : (3,)
        Half of its lengths along its own axes [m].
    axes : (3, 3)
        Rows are the box's own unit axes in the room frame; the default is not turned.

    Raises
    ------
    GeometryError
        When a size is not more than 0 or the axes are not three unit vectors at right angles.

    Examples
    --------
    >>> Box([1, 1, 0.25], [0.5, 0.5, 0.25]).corners().shape
    (8, 3)
    """

    centre: Floats
    half_size: Floats
    axes: Floats = None  # type: ignore[assignment]

    def __post_init__(self) -> None:
        axes = np.eye(3) if self.axes is None else self.axes
        object.__setattr__(self, "centre", _array("box.centre", self.centre, (3,)))
        object.__setattr__(self, "half_size", _array("box.half_size", self.half_size, (3,)))
        object.__setattr__(self, "axes", _array("box.axes", axes, (3, 3)))
        if (self.half_size <= 0.0).any():
            raise GeometryError("box.half_size", "must be more than 0", self.half_size.tolist())
        if np.abs(self.axes @ self.axes.T - np.eye(3)).max() > 1e-6:
            raise GeometryError(
                "box.axes", "must be three unit vectors at right angles", self.axes.tolist()
            )

    def corners(self) -> Floats:
        """The eight corners (8, 3) [m]."""
        signs = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
        return np.asarray(self.centre + (signs * self.half_size) @ self.axes)

    def faces(self) -> Floats:
        """Corners of the six faces (6, 4, 3) [m], lit side outward; order -x +x -y +y -z +z."""
        faces = []
        right_handed = np.linalg.det(self.axes) > 0.0
        for axis in range(3):
            for sign in (-1.0, 1.0):
                e = np.zeros(3)
                e[axis] = sign
                a, b = np.zeros(3), np.zeros(3)
                a[(axis + 1) % 3] = 1.0
                b[(axis + 2) % 3] = sign
                ring = np.array([e - a - b, e + a - b, e + a + b, e - a + b])
                if not right_handed:
                    ring = ring[::-1]
                faces.append(self.centre + (ring * self.half_size) @ self.axes)
        return np.array(faces)


@dataclass(frozen=True, eq=False)
class Surface:
    """A flat piece of the room's shell.

    Parameters
    ----------
    corners : (k, 3)
        A simple planar polygon, convex or not, counter-clockwise from the lit side [m].
    reflectance : float or (3,)
        Diffuse reflectance, grey or red-green-blue, at least 0 and less than 1.

    Raises
    ------
    GeometryError
        When there are fewer than three corners, no area, or the corners leave their plane by
        more than 1 mm.

    Examples
    --------
    >>> floor = Surface([[0, 0, 0], [4, 0, 0], [4, 3, 0], [0, 3, 0]], 0.2)
    >>> floor.normal, floor.area_m2
    (array([0., 0., 1.]), 12.0)
    """

    corners: Floats
    reflectance: Floats

    def __post_init__(self) -> None:
        shape = np.shape(self.corners)
        if len(shape) != 2 or shape[0] < 3:
            raise GeometryError("surface.corners", "must be at least three points", shape)
        object.__setattr__(self, "corners", _array("surface.corners", self.corners, (shape[0], 3)))
        object.__setattr__(
            self, "reflectance", _reflectance("surface.reflectance", self.reflectance)
        )
        if self.area_m2 <= 1e-9:
            raise GeometryError("surface.corners", "must enclose an area", self.corners.tolist())
        off = (self.corners - self.corners[0]) @ self.normal
        if np.abs(off).max() > 1e-3:
            raise GeometryError(
                "surface.corners", "must lie in one plane within 1 mm", float(np.abs(off).max())
            )

    @property
    def normal(self) -> Floats:
        """Unit normal into the room (3,)."""
        return unit(polygon_normal(self.corners))

    @property
    def area_m2(self) -> float:
        """Area [m²]."""
        return float(np.linalg.norm(polygon_normal(self.corners)))
