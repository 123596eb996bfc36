"""Where a piece of furniture stands and how it is turned, and what is fixed to it.

Everything here is plain arithmetic on the written document, so that the one writer can carry what
is fixed to a board when the board moves, and the study can check that it still fits.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lumen.scenario.lights import Light, Strip
from lumen.scenario.outline import bed_wall_of, distance_to_wall, wall_normal
from lumen.scenario.room import Furniture, Room
from lumen.scenario.supply import Circuit, Outlet

if TYPE_CHECKING:
    from lumen.scenario.document import Scenario

__all__ = ["Pose", "board_of", "facing_of", "fixed_to", "pose_of", "reach_back_m"]

Vector = tuple[float, float, float]

TOUCHING_M = 0.015
"""What stands so near to a piece of furniture is on it: our own."""

ON_BOARD_M = 0.08
"""A strip that shines at the wall from so near to a board is on the board: our own."""

_FLOOR_M = 0.02
_STRAIGHT = 0.7  # a strip that faces a wall within 45 degrees shines at it: our own
_WAYS: dict[str, Vector] = {
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
}
_SOFT = ("mattress", "curtain")  # nothing is fixed to them


@dataclass(frozen=True)
class Pose:
    """A box in the room: middle, unit vectors right, back and up as rows, half its size [m]."""

    centre: Vector
    axes: tuple[Vector, Vector, Vector]
    half: Vector

    def local(self, point: Sequence[float]) -> Vector:
        """Return a point in the box's own frame [m]."""
        away = [p - c for p, c in zip(point, self.centre, strict=True)]
        x, y, z = (sum(a * b for a, b in zip(axis, away, strict=True)) for axis in self.axes)
        return (x, y, z)

    def world(self, local: Sequence[float]) -> Vector:
        """Return where a point of the box's own frame is in the room [m]."""
        x, y, z = (
            c + sum(local[k] * self.axes[k][i] for k in range(3)) for i, c in enumerate(self.centre)
        )
        return (x, y, z)

    def turned(self, local: Sequence[float]) -> Vector:
        """Return a direction of the box's own frame as one of the room."""
        x, y, z = (sum(local[k] * self.axes[k][i] for k in range(3)) for i in range(3))
        return (x, y, z)

    def distance(self, point: Sequence[float]) -> float:
        """Return how far a point is outside the box [m], 0 inside it."""
        beyond = (max(abs(a) - h, 0.0) for a, h in zip(self.local(point), self.half, strict=True))
        return math.hypot(*beyond)

    def corners(self) -> list[Vector]:
        """Return its eight corners [m]."""
        return [
            self.world([s * h for s, h in zip(signs, self.half, strict=True)])
            for signs in itertools.product((-1.0, 1.0), repeat=3)
        ]


def pose_of(item: Furniture) -> Pose:
    """Return a piece of furniture as a box, turned about the vertical, leaning on its lower edge.

    Examples
    --------
    >>> board = Furniture(id="b", kind="headboard", at_m=(1, 2, 0), size_m=(1, 0.06, 1), lean_deg=5)
    >>> pose_of(board).centre[1] > 2
    True
    """
    turn, lean = math.radians(item.turn_deg), math.radians(item.lean_deg)
    width, depth, height = item.size_m
    right = (math.cos(turn), math.sin(turn), 0.0)
    level = (-math.sin(turn), math.cos(turn), 0.0)
    up = tuple(
        math.cos(lean) * u + math.sin(lean) * b for u, b in zip((0, 0, 1), level, strict=True)
    )
    back = tuple(
        math.cos(lean) * b - math.sin(lean) * u for u, b in zip((0, 0, 1), level, strict=True)
    )
    # It stands on the edge it leans toward; the other edge lifts off the floor.
    edge = math.copysign(depth / 2, item.lean_deg or 1.0)
    x, y, z = (
        p + edge * b + u * height / 2 - edge * k
        for p, b, u, k in zip(item.at_m, level, up, back, strict=True)
    )
    return Pose((x, y, z), (right, back, up), (width / 2, depth / 2, height / 2))  # type: ignore[arg-type]


def reach_back_m(item: Furniture) -> float:
    """Return how far a piece reaches behind its place [m], toward the wall it is turned from."""
    turn = math.radians(item.turn_deg)
    x, y, _ = item.at_m
    return max(
        (cx - x) * -math.sin(turn) + (cy - y) * math.cos(turn)
        for cx, cy, _ in pose_of(item).corners()
    )


def fixed_to(scenario: Scenario) -> dict[str, str]:
    """Return what stands on, lies in or is fixed to which furniture, by id.

    Lights on a headboard, standing lights, strips on a board, and what of the supply has its place
    in or on a piece of furniture. Outlets and what is on a wall or the floor are fixed to those.
    """
    boxes = {f.id: pose_of(f) for f in scenario.furniture if f.kind not in _SOFT}
    holder_of: dict[str, str] = {}
    for light in scenario.lights:
        if light.mount == "headboard":
            board = board_of(scenario, light)
            if board is not None:
                holder_of[light.id] = board.id
        elif light.mount == "stand":
            _touching(holder_of, boxes, light.id, light.mount_m)
    for item in scenario.supply:
        if isinstance(item, Circuit | Outlet) or item.at_m is None:
            continue
        if item.inside is not None:
            holder_of[item.id] = item.inside
        else:
            _touching(holder_of, boxes, item.id, item.at_m)
    for strip in scenario.strips:
        near = _strip_on(scenario, boxes, strip)
        if near is not None:
            holder_of[strip.id] = near
    return holder_of


def board_of(scenario: Scenario, light: Light) -> Furniture | None:
    """Return the headboard that a light is fixed to: the nearest one."""
    boards = [item for item in scenario.furniture if item.kind == "headboard"]
    return min(boards, key=lambda item: pose_of(item).distance(light.mount_m), default=None)


def _touching(
    holder_of: dict[str, str], boxes: dict[str, Pose], item_id: str, point: Sequence[float]
) -> None:
    near = min(((box.distance(point), key) for key, box in boxes.items()), default=None)
    if near is not None and near[0] <= TOUCHING_M and point[2] > _FLOOR_M:
        holder_of[item_id] = near[1]


def _strip_on(scenario: Scenario, boxes: dict[str, Pose], strip: Strip) -> str | None:
    """The furniture that a strip is fixed to all along, unless it is on a wall."""
    near = min(
        ((max(box.distance(p) for p in strip.path_m), key) for key, box in boxes.items()),
        default=None,
    )
    if near is None:
        return None
    distance, key = near
    if distance <= TOUCHING_M and distance <= _to_walls(scenario, strip):
        return key
    at_wall = zip(
        facing_of(scenario.room, strip.facing), facing_of(scenario.room, "bed wall"), strict=True
    )
    ahead = sum(a * b for a, b in at_wall)
    return key if ahead > _STRAIGHT and distance <= ON_BOARD_M else None


def facing_of(room: Room, facing: str | Sequence[float]) -> Vector:
    """Return the way a strip faces as a unit vector; ``bed wall`` and ``room`` ask the outline.

    Examples
    --------
    >>> square = Room(outline_m=((0, 0), (3, 0), (3, 3), (0, 3)), height_m=2.4)
    >>> facing_of(square, "bed wall"), facing_of(square, (0, 0, -2))
    ((0.0, 1.0, 0.0), (0.0, 0.0, -1.0))
    """
    if not isinstance(facing, str):
        length = math.hypot(*facing)
        x, y, z = (part / length for part in facing)
        return (x, y, z)
    if facing in _WAYS:
        return _WAYS[facing]
    wall = bed_wall_of(room.outline_m) if room.bed_wall is None else room.bed_wall
    nx, ny = wall_normal(room.outline_m, wall)
    return (nx, ny, 0.0) if facing == "room" else (0.0 - nx, 0.0 - ny, 0.0)


def _to_walls(scenario: Scenario, strip: Strip) -> float:
    outline = scenario.room.outline_m
    return min(
        max(distance_to_wall(outline, wall, p) for p in strip.path_m)
        for wall in range(len(outline))
    )
