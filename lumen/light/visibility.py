"""What hides what: straight segments against boxes and against walls that stand in the way.

Every blocker is a convex solid written as a few slabs ``low <= a . x <= high``. A box has three;
a wall of a room that is not convex becomes a thin slab behind its own face. A blocker is drawn
in by ``CONTACT`` so that a point on its own face, or on a floor it stands on, is not hidden by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lumen.light.geometry import Box, Floats, Surface, convex_parts, plane_axes
from lumen.light.room import Room

__all__ = [
    "CONTACT_M",
    "Blocker",
    "blockers_of",
    "hidden_interval",
    "hidden_spans",
    "segments_blocked",
    "shadow_planes",
    "visible_pairs",
]

CONTACT_M = 1e-6
_CONTACT_SINGLE_M = 5e-5
_WALL_THICKNESS_M = 1e-3
_BLOCK = 32_000


@dataclass(frozen=True, eq=False)
class Blocker:
    """A convex solid: all points with ``low <= normals @ x <= high``.

    Parameters
    ----------
    normals : (m, 3)
        Unit normals of the slabs.
    low, high : (m,)
        Limits along them [m]; may be infinite on one side.
    """

    normals: Floats
    low: Floats
    high: Floats

    @classmethod
    def of_box(cls, box: Box) -> Blocker:
        """The blocker that fills ``box``."""
        middle = box.axes @ box.centre
        return cls(box.axes, middle - box.half_size, middle + box.half_size)

    @classmethod
    def behind_surface(cls, surface: Surface) -> list[Blocker]:
        """Thin solids behind a wall's face, one for each convex part of it."""
        u, v, n = plane_axes(surface.corners)
        flat = surface.corners @ np.stack([u, v]).T
        level = float(surface.corners[0] @ n)
        solids = []
        for part in convex_parts(flat):
            edges = np.roll(part, -1, axis=0) - part
            outward = np.stack([edges[:, 1], -edges[:, 0]], axis=1)
            outward /= np.linalg.norm(outward, axis=1, keepdims=True)
            # one slab for two edges that face away from each other
            twin = outward @ outward.T < -1.0 + 1e-12
            kept = outward[~(np.tril(twin, -1).any(axis=1))]
            reach = kept @ part.T
            solids.append(
                cls(
                    np.concatenate([n[None], kept @ np.stack([u, v])]),
                    np.concatenate([[level - _WALL_THICKNESS_M], reach.min(axis=1)]),
                    np.concatenate([[level], reach.max(axis=1)]),
                )
            )
        return solids

    def half_spaces(self) -> tuple[Floats, Floats]:
        """Outward normals (k, 3) and offsets (k,) of the faces: inside is ``n . x <= offset``."""
        up, down = np.isfinite(self.high), np.isfinite(self.low)
        normals = np.concatenate([self.normals[up], -self.normals[down]])
        return normals, np.concatenate([self.high[up], -self.low[down]])


def blockers_of(room: Room) -> tuple[Blocker, ...]:
    """Everything in a room that can hide one inner point from another.

    Boxes always can; a surface can only when some of the room lies behind its plane, so a convex
    room has no blocking walls.
    """
    blockers = [Blocker.of_box(box) for box in room.boxes]
    corners = np.concatenate([s.corners for s in room.surfaces])
    for surface in room.surfaces:
        behind = (corners - surface.corners[0]) @ surface.normal
        if behind.min() < -1e-3:
            blockers.extend(Blocker.behind_surface(surface))
    return tuple(blockers)


def segments_blocked(
    starts: npt.ArrayLike,
    ends: npt.ArrayLike,
    blockers: Iterable[Blocker],
    *,
    contact_m: float = CONTACT_M,
) -> npt.NDArray[np.bool_]:
    """Whether any blocker cuts each straight segment.

    Parameters
    ----------
    starts, ends : (..., 3)
        End points; the shapes broadcast [m].
    blockers : iterable of Blocker

    Returns
    -------
    (...) bool

    Notes
    -----
    Slab test: a segment meets a convex solid when the largest entering parameter of its slabs
    is less than the smallest leaving one.

    Examples
    --------
    >>> box = Blocker.of_box(Box([1, 0, 0], [0.1, 1, 1]))
    >>> segments_blocked([[0, 0, 0], [0, 0, 0]], [[2, 0, 0], [0.5, 0, 0]], [box])
    array([ True, False])
    """
    p, q = np.broadcast_arrays(np.asarray(starts, dtype=float), np.asarray(ends, dtype=float))
    shape = p.shape[:-1]
    p, q = p.reshape(-1, 3), q.reshape(-1, 3)
    hidden = np.zeros(len(p), dtype=bool)
    with np.errstate(divide="ignore", invalid="ignore"):
        for first in range(0, len(p), _BLOCK):
            rows = slice(first, first + _BLOCK)
            a, b = p[rows], q[rows]
            hit = np.zeros(len(a), dtype=bool)
            for blocker in blockers:
                # slabs down, segments along: numpy then works through whole rows
                u = blocker.normals @ a.T
                d = blocker.normals @ b.T - u
                d[np.abs(d) < 1e-12] = 1e-12
                one = ((blocker.low + contact_m)[:, None] - u) / d
                two = ((blocker.high - contact_m)[:, None] - u) / d
                enter = np.minimum(one, two).max(axis=0)
                leave = np.maximum(one, two).min(axis=0)
                hit |= np.maximum(enter, 0.0) < np.minimum(leave, 1.0)
            hidden[rows] = hit
    return hidden.reshape(shape)


def visible_pairs(
    starts: Floats, ends: Floats, blockers: Sequence[Blocker]
) -> npt.NDArray[np.bool_]:
    """Whether each of n points sees each of m points.

    The same test as `segments_blocked` for all pairs at once, in single precision and in
    pieces that stay in the processor's cache; blockers are drawn in by 0.05 mm.

    Parameters
    ----------
    starts : (n, 3)
    ends : (m, 3)
        Points [m].

    Returns
    -------
    (n, m) bool

    Notes
    -----
    What a convex solid hides from a point lies behind a few planes (see `hidden_interval`), so a
    pair is hidden when the end is in front of none of them: small matrix products and maxima, and
    no division.
    """
    if len(starts) == 1:  # nothing to share between pairs
        return ~segments_blocked(starts[:, None], ends, blockers, contact_m=_CONTACT_SINGLE_M)
    seen = np.ones((len(starts), len(ends)), dtype=bool)
    flat = seen.reshape(-1)
    for blocker in blockers:
        rows, may, planes, target = _behind(blocker, starts, ends)
        columns = np.flatnonzero(may)
        if not len(columns):
            continue
        whole = 2 * len(columns) > len(ends)  # picking some out costs more than it saves
        if not whole:
            target = target[:, columns]
        height = max(1, _BLOCK // target.shape[1])
        for i in range(0, len(rows), height):
            part, some = planes[:, i : i + height], rows[i : i + height]
            farthest = np.full((len(some), target.shape[1]), -1.0, np.float32)
            another = np.empty_like(farthest)
            for each in part:
                np.matmul(each, target, out=another)
                np.maximum(farthest, another, out=farthest)
            if whole:
                seen[some] &= farthest > 0.0
            else:
                row, column = np.divmod(np.flatnonzero(farthest <= 0.0), len(columns))
                flat[some[row] * seen.shape[1] + columns[column]] = False
    return seen


def hidden_spans(
    starts: Floats, line_start: Floats, line_end: Floats, blocker: Blocker
) -> tuple[Floats, Floats] | None:
    """The part of each of j lines that a convex solid hides from each of n points.

    The same as `hidden_interval` for all pairs at once, in single precision; the solid is drawn in
    by 0.05 mm.

    Parameters
    ----------
    starts : (n, 3)
        Where one looks from [m].
    line_start, line_end : (j, 3)
        Ends of the lines [m].

    Returns
    -------
    t0, t1 : (n, j) or None
        Hidden for ``t0 < t < t1``; ``t0 >= t1`` is not hidden. None when nothing is.
    """
    j = len(line_start)
    rows, may, planes, target = _behind(blocker, starts, np.concatenate([line_start, line_end]))
    lines = np.flatnonzero(may[:j] | may[j:])
    if not len(lines):
        return None
    at = target[:, lines]
    step = target[:, j + lines] - at
    spans = np.ones((len(starts), j), np.float32), np.zeros((len(starts), j), np.float32)
    height, never = max(1, _BLOCK // len(lines)), np.float32(np.inf)
    for i in range(0, len(rows), height):
        part, some = planes[:, i : i + height], rows[i : i + height]
        low = np.zeros((len(some), len(lines)), np.float32)
        high = np.ones_like(low)
        value, rate = np.empty_like(low), np.empty_like(low)
        with np.errstate(divide="ignore", invalid="ignore"):
            for each in part:  # behind this plane where value + rate t <= 0
                np.matmul(each, at, out=value)
                np.matmul(each, step, out=rate)
                np.divide(value, rate, out=value)
                np.negative(value, out=value)
                leaving = rate >= 0.0
                np.fmin(high, np.where(leaving, value, never), out=high)
                np.fmax(low, np.where(leaving, -never, value), out=low)
        for result, limit in zip(spans, (low, high), strict=True):
            result[some[:, None], lines] = limit
    return spans


def _behind(
    blocker: Blocker, starts: Floats, ends: Floats
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.bool_], Floats, Floats]:
    """Which rows of starts and which ends (m,) a solid may part, and the means to tell.

    The planes (k, rows, f + 1) of `_planes_behind` and all ends (f + 1, m) to multiply them by.
    """
    none = np.zeros(0, np.intp), np.zeros(len(ends), dtype=bool), np.zeros(0), np.zeros(0)
    if not len(starts) or not len(ends):
        return none
    u, v = blocker.normals @ starts.T, blocker.normals @ ends.T
    # a side without a limit might as well end just beyond all points
    low = np.maximum(blocker.low, np.minimum(u.min(axis=1), v.min(axis=1)) - 1.0)
    high = np.minimum(blocker.high, np.maximum(u.max(axis=1), v.max(axis=1)) + 1.0)
    half = (0.5 * (high - low) - _CONTACT_SINGLE_M)[:, None]
    if (half <= 0.0).any():  # thinner than it is drawn in, or beyond all points
        return none
    centre = 0.5 * (low + high)[:, None]
    u, v = u - centre, v - centre
    # a start or an end that lies beyond one face with all its partners cannot be hidden
    rows = np.flatnonzero(_may_cross(u, v, half))
    if not len(rows):
        return none
    may = _may_cross(v, u[:, rows], half)
    target = np.ones((len(half) + 1, len(ends)), np.float32)
    target[:-1] = v
    return rows, may, _planes_behind(u[:, rows], half), target


def _may_cross(u: Floats, v: Floats, half: Floats) -> npt.NDArray[np.bool_]:
    """Columns of u that are not beyond a face of a solid together with all of v."""
    result = np.ones(u.shape[1], dtype=bool)
    for mine, lowest, highest, h in zip(u, v.min(axis=1), v.max(axis=1), half[:, 0], strict=True):
        if lowest >= h:
            result &= mine < h
        elif highest <= -h:
            result &= mine > -h
    return result


def _planes_behind(starts: Floats, half: Floats) -> Floats:
    """Planes (k, n, m + 1) behind all of which a solid of m slabs hides things from n starts.

    ``starts`` (m, n) are coordinates along the slabs from the middle of the solid. Mirrored so
    that they are positive, a start has the near face of each slab at +half and the far one at
    -half. Being beyond a near face, a segment must pass it, and before it passes any face that
    the start is not beyond; for two slabs that gives two planes at most.
    """
    m, n = starts.shape
    sign = np.where(starts < 0.0, -1.0, 1.0)
    near = sign * starts - half  # how far beyond the near face
    beyond = near > 0.0
    planes = np.zeros((m + 1, m * m, n), np.float32)
    k = np.arange(m)
    planes[k, k] = beyond * sign
    planes[m, :m] = np.where(beyond, -half, -1.0)  # -1 alone: nothing is in front of it
    a, b = np.nonzero(~np.eye(m, dtype=bool))
    k = m + np.arange(len(a))
    by_a = np.where(beyond[a], near[b] + 2.0 * half[b], near[b])  # from the far face or the near
    by_b = np.where(beyond[a], near[a], -near[a])
    either = beyond[a] | beyond[b]
    planes[a, k] = either * sign[a] * by_a
    planes[b, k] = either * sign[b] * -near[a]
    planes[m, k] = np.where(either, -by_a * half[a] - by_b * half[b], -1.0)
    used = np.concatenate([beyond, either]).any(axis=1)
    return np.asarray(planes[:, used].transpose(1, 2, 0))


def _outside(points: Floats, blocker: Blocker, contact_m: float) -> tuple[Floats, Floats]:
    """Outward normals (k, 3) and how far each point is outside each face (n, k)."""
    normals, offsets = blocker.half_spaces()
    return normals, points @ normals.T - (offsets - contact_m)


def hidden_interval(
    points: Floats,
    start: Floats,
    end: Floats,
    blocker: Blocker,
    *,
    contact_m: float = CONTACT_M,
) -> tuple[Floats, Floats]:
    """The part of a line that a convex solid hides from each point, exactly.

    Parameters
    ----------
    points : (n, 3)
        Where one looks from [m].
    start, end : (3,) or (n, 3)
        Ends of the line looked at [m].

    Returns
    -------
    t0, t1 : (n,)
        Hidden for ``t0 < t < t1`` with t from 0 at ``start`` to 1 at ``end``; ``t0 >= t1`` is
        not hidden. From inside the solid everything is hidden.

    Notes
    -----
    A segment from P to S(t) meets the solid when, for every face i that P is beyond and every
    face k that it is not, the segment passes i before it passes k. With p the signed distance of
    P outside a face and q(t) the change of it along the whole segment this reads
    ``p_i + q_i(t) <= 0`` and ``p_i q_k(t) - p_k q_i(t) <= 0``: straight lines in t, so the hidden
    set is one interval.

    Examples
    --------
    >>> box = Blocker.of_box(Box([0, 0, 1], [0.5, 9, 0.001]))
    >>> t0, t1 = hidden_interval(np.zeros((1, 3)), np.array([-4, 0, 2.]), np.array([4, 0, 2.]), box)
    >>> round(float(t0[0]), 3), round(float(t1[0]), 3)
    (0.375, 0.625)
    """
    normals, p = _outside(points, blocker, contact_m)
    q0 = (start - points) @ normals.T
    step = np.broadcast_to((end - start) @ normals.T, q0.shape)
    low = np.zeros(len(points))
    high = np.ones(len(points))
    beyond = p > 0.0

    def keep(a: Floats, b: Floats, active: npt.NDArray[np.bool_]) -> None:
        """Keep t where a + b t <= 0."""
        with np.errstate(divide="ignore", invalid="ignore"):
            root = -a / b
        np.copyto(high, np.minimum(high, root), where=active & (b > 0.0))
        np.copyto(low, np.maximum(low, root), where=active & (b < 0.0))
        np.copyto(high, 0.0, where=active & (b == 0.0) & (a > 0.0))

    for i in range(len(normals)):
        if not beyond[:, i].any():
            continue
        keep(p[:, i] + q0[:, i], step[:, i], beyond[:, i])
        for k in range(len(normals)):
            if k == i:
                continue
            active = beyond[:, i] & ~beyond[:, k]
            keep(
                p[:, i] * q0[:, k] - p[:, k] * q0[:, i],
                p[:, i] * step[:, k] - p[:, k] * step[:, i],
                active,
            )
    return low, high


def shadow_planes(
    points: Floats, blocker: Blocker, *, contact_m: float = CONTACT_M
) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Planes that bound the space a convex solid hides from each point.

    Parameters
    ----------
    points : (n, 3)
        Where one looks from [m].

    Returns
    -------
    planes : (n, j, 4)
        A far point x is hidden when ``a x + b y + c z + d >= 0`` for every active plane.
    active : (n, j) bool
        Which planes count for which point.
    """
    normals, p = _outside(points, blocker, contact_m)
    beyond = p > 0.0
    planes, active = [], []
    for i in np.flatnonzero(beyond.any(axis=0)):
        # behind face i as seen from the point
        a = np.broadcast_to(-normals[i], (len(points), 3))
        d = (points @ normals[i]) - p[:, i]
        planes.append(np.concatenate([a, d[:, None]], axis=1))
        active.append(beyond[:, i])
        for k in range(len(normals)):
            if k == i:
                continue
            a = p[:, k : k + 1] * normals[i] - p[:, i : i + 1] * normals[k]
            d = -(a * points).sum(axis=1)
            planes.append(np.concatenate([a, d[:, None]], axis=1))
            active.append(beyond[:, i] & ~beyond[:, k])
    if not planes:
        return np.zeros((len(points), 0, 4)), np.zeros((len(points), 0), dtype=bool)
    return np.stack(planes, axis=1), np.stack(active, axis=1)
