"""The room's outline as a polygon on the floor: is it one, which way round, what is inside."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from lumen.errors import Fault

__all__ = [
    "area_m2",
    "bed_wall_of",
    "distance_to_wall",
    "inside_outline",
    "outline_faults",
    "wall_normal",
]

Corners = Sequence[tuple[float, float]]


def area_m2(outline: Corners) -> float:
    """Return the signed area [m2], positive when counter-clockwise (the shoelace formula).

    Examples
    --------
    >>> area_m2([(0, 0), (3.6, 0), (3.6, 3.0), (0, 3.0)])
    10.8
    """
    pairs = zip(outline, [*outline[1:], outline[0]], strict=True)
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs) / 2


def wall_normal(outline: Corners, wall: int) -> tuple[float, float]:
    """Return the unit normal of a wall, pointing into the room.

    Examples
    --------
    >>> wall_normal([(0, 0), (3.6, 0), (3.6, 3.0), (0, 3.0)], 2)
    (0.0, -1.0)
    """
    (x0, y0), (x1, y1) = outline[wall], outline[(wall + 1) % len(outline)]
    length = math.hypot(x1 - x0, y1 - y0)
    return (-(y1 - y0) / length + 0.0, (x1 - x0) / length + 0.0)


def bed_wall_of(outline: Corners) -> int:
    """Return the wall one faces when y grows ahead: the furthest, then longest, that looks back.

    Examples
    --------
    >>> bed_wall_of([(0, 0), (3.6, 0), (3.6, 3.0), (0, 3.0)])
    2
    """

    def rank(wall: int) -> tuple[float, float, float]:
        (x0, y0), (x1, y1) = outline[wall], outline[(wall + 1) % len(outline)]
        facing = round(-wall_normal(outline, wall)[1], 3)
        return (facing, round((y0 + y1) / 2, 3), math.hypot(x1 - x0, y1 - y0))

    return max(range(len(outline)), key=rank)


def inside_outline(outline: Corners, point: tuple[float, float], *, grace_m: float = 0.0) -> bool:
    """Return whether a point lies inside the outline, or within ``grace_m`` of its walls.

    Examples
    --------
    >>> inside_outline([(0, 0), (2, 0), (2, 2), (0, 2)], (2.005, 1.0), grace_m=0.01)
    True
    """
    x, y = point
    odd = False
    for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if _distance_to_segment(x, y, x0, y0, x1, y1) <= grace_m:
            return True
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            odd = not odd
    return odd


def distance_to_wall(outline: Corners, wall: int, point: Sequence[float]) -> float:
    """Return how far a point (x, y) or (x, y, z) is from a wall, seen from above [m].

    Examples
    --------
    >>> distance_to_wall([(0, 0), (2, 0), (2, 2), (0, 2)], 2, (1.0, 1.5, 0.4))
    0.5
    """
    (x0, y0), (x1, y1) = outline[wall], outline[(wall + 1) % len(outline)]
    return _distance_to_segment(point[0], point[1], x0, y0, x1, y1)


def outline_faults(outline: Corners) -> Iterator[Fault]:
    """Yield what keeps an outline from being a simple counter-clockwise polygon at the origin."""
    field, n = "room.outline_m", len(outline)
    if tuple(outline[0]) != (0.0, 0.0):
        yield Fault(f"{field}[0]", "must be the origin [0, 0]", list(outline[0]))
    for i in range(n):
        if math.dist(outline[i], outline[(i + 1) % n]) < 0.01:
            yield Fault(f"{field}[{(i + 1) % n}]", "must be 1 cm or more from the corner before", i)
            return
    for i in range(n):
        for j in range(i + 2, n):
            if (i, j) != (0, n - 1) and _cross(
                outline[i], outline[(i + 1) % n], outline[j], outline[(j + 1) % n]
            ):
                yield Fault(field, f"must not cross itself: wall {i} meets wall {j}", n)
                return
    area = area_m2(outline)
    if area <= 0:
        yield Fault(field, "must run counter-clockwise seen from above", list(map(list, outline)))
    elif area < 1.0:
        yield Fault(field, "must enclose at least 1 m2", round(area, 3))


def _distance_to_segment(x: float, y: float, x0: float, y0: float, x1: float, y1: float) -> float:
    dx, dy = x1 - x0, y1 - y0
    along = ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)
    along = min(1.0, max(0.0, along))
    return math.hypot(x - x0 - along * dx, y - y0 - along * dy)


def _cross(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> bool:
    def side(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    # Two walls in one line have no side; they meet only where their extents do.
    apart = any(
        max(a[k], b[k]) < min(c[k], d[k]) or max(c[k], d[k]) < min(a[k], b[k]) for k in (0, 1)
    )
    return not apart and side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0
