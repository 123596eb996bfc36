"""The way from a bed's side to the door in the dark: the shortest walk round the furniture."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box, points_in_polygon
from lumen.scenario.document import Scenario
from lumen.scenario.outline import wall_normal
from lumen.scenario.people import Person
from lumen.scenario.room import Furniture, Opening
from lumen.study.scene.surfaces import furniture_box

__all__ = ["door_of", "walk"]

Array = NDArray[np.floating[Any]]
Points = tuple[tuple[float, float], ...]

_CELL_M = 0.10
_CLEARANCES_M = ((0.25, 0.15), (0.05,))
"""Room kept to furniture and walls: half a person's width first, less where it is tight, and a
squeeze only when no side of the bed has better; our own assumption."""

_STEP_M = 0.25
_OUT_OF_BED_M = 0.30
_EDGE_M = 0.08  # clear of the cells that the bed covers
_FROM_HEAD_M = 0.9  # where one's feet come down: about the hips' place in bed
_OVERHEAD_M = 1.0  # what hangs higher does not stop feet


def door_of(scenario: Scenario) -> Opening | None:
    """Return the first door of a plan."""
    return next((item for item in scenario.room.openings if item.kind == "door"), None)


def walk(scenario: Scenario, mattress: Furniture, person: Person) -> Array | None:
    """Return points (n, 2) [m] every 25 cm from the person's side of the bed to the door.

    None when there is no door or no way. A way keeps 25 cm to furniture and walls, less where that
    is too tight; one gets up on one's own side, else on the other, else at the foot.
    """
    door = door_of(scenario)
    if door is None:
        return None
    outline = tuple((float(x), float(y)) for x, y in scenario.room.outline_m)
    boxes = [furniture_box(item) for item in scenario.furniture if item.at_m[2] < _OVERHEAD_M]
    footprints = tuple(_footprint(box) for box in boxes)
    starts = _bedsides(furniture_box(mattress), person)
    return _way_round(outline, footprints, starts, _inside(scenario, door))


def _inside(scenario: Scenario, door: Opening) -> tuple[float, float]:
    """A place 30 cm inside a door."""
    outline = scenario.room.outline_m
    n = np.array(wall_normal(outline, door.wall))
    start, end = (np.array(outline[(door.wall + k) % len(outline)]) for k in (0, 1))
    along = (end - start) / np.linalg.norm(end - start)
    x, y = start + along * (door.from_m + door.to_m) / 2 + 0.3 * n
    return float(x), float(y)


def _bedsides(bed: Box, person: Person) -> tuple[Points, ...]:
    """Where one sits on the edge and where one then stands: own side, other side, foot."""
    right, back = bed.axes[0][:2], bed.axes[1][:2]
    head = bed.centre[:2] + bed.half_size[1] * back
    own = {"left": -1.0, "right": 1.0, "middle": 1.0}[person.side]
    seat = head - _FROM_HEAD_M * back
    foot = bed.centre[:2] - bed.half_size[1] * back
    ways = [(seat + side * bed.half_size[0] * right, side * right) for side in (own, -own)]
    return tuple(
        tuple((float(x), float(y)) for x, y in (edge + _EDGE_M * out, edge + _OUT_OF_BED_M * out))
        for edge, out in (*ways, (foot, -back))
    )


def _footprint(box: Box) -> Points:
    """The rectangle that a box covers on the floor, the lean left out."""
    right, back = box.axes[0][:2], box.axes[1][:2]
    back = back / (np.linalg.norm(back) or 1.0)
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    corners = (
        box.centre[:2] + a * box.half_size[0] * right + b * box.half_size[1] * back
        for a, b in signs
    )
    return tuple((float(x), float(y)) for x, y in corners)


def _way_round(
    outline: Points,
    footprints: tuple[Points, ...],
    starts: tuple[Points, ...],
    goal: tuple[float, float],
) -> Array | None:
    edge = np.array(outline)
    low, high = edge.min(axis=0), edge.max(axis=0)
    counts = np.maximum(1, np.ceil((high - low) / _CELL_M).astype(int))
    xs, ys = (low[k] + (np.arange(counts[k]) + 0.5) * _CELL_M for k in (0, 1))
    cells = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1)
    flat = cells.reshape(-1, 2)
    room = np.where(points_in_polygon(flat, edge), _to_polygon(flat, edge), -1.0)
    for footprint in footprints:
        corners = np.array(footprint)
        room = np.where(points_in_polygon(flat, corners), -1.0, room)
        room = np.minimum(room, np.where(room < 0, room, _to_polygon(flat, corners)))
    room = room.reshape(counts)
    for start, clearance in (
        (start, clearance) for group in _CLEARANCES_M for start in starts for clearance in group
    ):
        free = room >= clearance - 1e-9
        end = _nearest(free, cells, goal, 0.5)
        first = _nearest(free, cells, start[1], 0.35)
        if end is None or first is None or not _open(start[0], cells[first], room, 0.0, low):
            continue  # no room there, or something stands between the bed and that place
        steps = _a_star(free, first, end)
        if steps is not None:
            line = np.array([cells[step] for step in steps])
            return _even(_pulled(line, room, clearance - 1e-9, low), _STEP_M)
    return None


def _to_polygon(points: Array, corners: Array) -> Array:
    """Distance of points (n, 2) from a polygon's edges (n,)."""
    best = np.full(len(points), np.inf)
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        d = b - a
        t = np.clip((points - a) @ d / (d @ d), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(points - a - t[:, None] * d, axis=1))
    return best


def _nearest(
    free: NDArray[np.bool_], cells: Array, place: Sequence[float], within_m: float
) -> tuple[int, int] | None:
    far = np.where(free, np.linalg.norm(cells - np.array(place), axis=-1), np.inf)
    i, j = np.unravel_index(int(np.argmin(far)), far.shape)
    return (int(i), int(j)) if far[i, j] <= within_m else None


def _a_star(
    free: NDArray[np.bool_], start: tuple[int, int], goal: tuple[int, int]
) -> list[tuple[int, int]] | None:
    """Shortest way over free cells, eight neighbours, no cutting of corners.

    Source: P. E. Hart, N. J. Nilsson, B. Raphael, IEEE Trans. SSC 4 (1968) 100.
    """
    ways = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1) if (a, b) != (0, 0)]
    cost, came = {start: 0.0}, {start: start}
    heap = [(math.dist(start, goal), start)]
    done: set[tuple[int, int]] = set()
    while heap:
        _, here = heapq.heappop(heap)
        if here == goal:
            back = [here]
            while back[-1] != start:
                back.append(came[back[-1]])
            return back[::-1]
        if here in done:
            continue
        done.add(here)
        for a, b in ways:
            there = (here[0] + a, here[1] + b)
            if not (0 <= there[0] < free.shape[0] and 0 <= there[1] < free.shape[1]):
                continue
            if not (free[there] and free[here[0] + a, here[1]] and free[here[0], here[1] + b]):
                continue
            new = cost[here] + math.hypot(a, b)
            if new < cost.get(there, math.inf):
                cost[there], came[there] = new, here
                heapq.heappush(heap, (new + math.dist(there, goal), there))
    return None


def _pulled(line: Array, room: Array, clearance: float, low: Array) -> Array:
    """The same way pulled tight: straight wherever the straight line keeps the room it needs."""
    kept, here = [line[0]], 0
    while here < len(line) - 1:
        there = next(
            k
            for k in range(len(line) - 1, here, -1)
            if k == here + 1 or _open(line[here], line[k], room, clearance, low)
        )
        kept.append(line[there])
        here = there
    return np.array(kept)


def _open(
    start: Sequence[float] | Array, end: Array, room: Array, clear: float, low: Array
) -> bool:
    """Whether a straight line keeps ``clear`` metres to all that stands."""
    a = np.array(start)
    n = max(2, math.ceil(float(np.linalg.norm(end - a)) / (_CELL_M / 2)))
    at = a + np.linspace(0.0, 1.0, n)[:, None] * (end - a)
    cell = np.floor((at - low) / _CELL_M).astype(int)
    if (cell < 0).any() or (cell >= room.shape).any():
        return False
    return bool((room[cell[:, 0], cell[:, 1]] >= clear).all())


def _even(line: Array, step: float) -> Array:
    """Points spread evenly along a way, both ends among them."""
    if len(line) < 2:
        return line
    lengths = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    at = np.linspace(0.0, lengths[-1], max(2, round(lengths[-1] / step) + 1))
    return np.column_stack([np.interp(at, lengths, line[:, k]) for k in (0, 1)])
