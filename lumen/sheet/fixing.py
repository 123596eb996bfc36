"""What holds each light and each hung thing, and whether that makes a hole in the building.

A light on a tension post, a board or a stand asks for other steps, other marks and another undo
than one screwed to the wall; the plan's geometry says which it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.scenario.room import Furniture
from lumen.sheet.walls import hung_on, nearest_wall, wall_of
from lumen.study.scene.surfaces import ceiling_height_m, furniture_box

__all__ = ["Fixing", "carrier_of", "fixings", "is_post"]

On = Literal["wall", "adhesive", "post", "board", "furniture", "ceiling", "stand"]

_TOUCH_M = 0.03
_SLIM_M = 0.15  # a box slimmer than this both ways, from floor to ceiling, is a post
_SCREW_SPARE_M = 0.005  # a screw ends this much before the far side of a board


@dataclass(frozen=True)
class Fixing:
    """How one thing is held.

    ``on`` is what carries it, ``carrier`` that thing's name; ``holes`` says whether the building
    (wall or ceiling) gets a hole; ``board_m`` is the thickness that a screw may not pass.
    """

    id: str
    name: str
    kind: Literal["light", "hung"]
    on: On
    carrier: str
    holes: bool
    board_m: float | None
    longest_screw_m: float | None
    mass_kg: float | None


def is_post(plan: Scenario, item: Furniture) -> bool:
    """Return whether a box is a post held between floor and ceiling.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = next(load(p) for p in examples() if p.stem == "heater-one-outlet")
    >>> [item.id for item in plan.furniture if is_post(plan, item)]
    ['left post', 'right post']
    """
    x, y, z = item.at_m
    top = ceiling_height_m(plan.room, x, y)
    slim = max(item.size_m[0], item.size_m[1]) < _SLIM_M
    return slim and z < _TOUCH_M and abs(z + item.size_m[2] - top) < 2 * _TOUCH_M


def carrier_of(plan: Scenario, light: Light) -> Furniture | None:
    """Return the piece of furniture that a light is fixed to, ``None`` for one on a wall."""
    point = light.mount_m
    if light.mount == "headboard":
        boards = [item for item in plan.furniture if item.kind == "headboard"]
        return min(boards, key=lambda board: _away(board, point), default=None)
    if light.mount != "wall":
        return None
    number = nearest_wall(plan, point) if light.wall is None else light.wall
    if wall_of(plan, number).place(point)[2] < _TOUCH_M:
        return None
    near = [item for item in plan.furniture if _away(item, point) < _TOUCH_M]
    return min(near, key=lambda item: _away(item, point), default=None)


def _away(item: Furniture, point: Sequence[float]) -> float:
    """Distance of a point from a box; 0 on and in it."""
    box = furniture_box(item)
    local = np.asarray(box.axes) @ (np.asarray(point, dtype=float) - np.asarray(box.centre))
    return float(np.linalg.norm(np.maximum(np.abs(local) - np.asarray(box.half_size), 0.0)))


def fixings(plan: Scenario) -> tuple[Fixing, ...]:
    """Return how every light and every hung thing is held.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> [(f.id, f.on, f.holes) for f in fixings(load(examples()[0]))][:2]
    [('left light', 'wall', True), ('right light', 'wall', True)]
    """
    return tuple(_fixings(plan))


def _fixings(plan: Scenario) -> Iterator[Fixing]:
    for light in plan.lights:
        carrier = carrier_of(plan, light)
        on: On = "wall"
        if light.mount in ("ceiling", "stand"):
            on = "ceiling" if light.mount == "ceiling" else "stand"
        elif light.fixing == "adhesive":
            on = "adhesive"
        elif carrier is not None:
            board = carrier.kind == "headboard"
            on = "post" if is_post(plan, carrier) else "board" if board else "furniture"
        thick = None if carrier is None else float(min(carrier.size_m))
        screw = None if thick is None else round(max(0.0, thick - _SCREW_SPARE_M), 6)
        yield Fixing(
            id=light.id,
            name=light.name or light.id,
            kind="light",
            on=on,
            carrier="" if carrier is None else carrier.name or carrier.id,
            holes=on in ("wall", "ceiling"),
            board_m=thick if on in ("board", "furniture", "post") else None,
            longest_screw_m=screw if on in ("board", "furniture", "post") else None,
            mass_kg=light.mass_kg,
        )
    walls = [wall_of(plan, number) for number in range(len(plan.room.outline_m))]
    hung = {item.id: item for wall in walls for item in hung_on(plan, wall)}
    for item in hung.values():
        yield Fixing(item.id, item.name or item.id, "hung", "wall", "", True, None, None, None)
    for item in plan.furniture:
        holder = _holds(plan, item)
        if item.id not in hung and holder is not None:
            post = is_post(plan, holder)
            thick = float(min(holder.size_m))
            yield Fixing(
                item.id, item.name or item.id, "hung", "post" if post else "board",
                holder.name or holder.id, False, thick, round(max(0.0, thick - _SCREW_SPARE_M), 6),
                None,
            )  # fmt: skip


def _holds(plan: Scenario, item: Furniture) -> Furniture | None:
    """The headboard or post that a nightstand or shelf hangs on, off the floor and off the wall."""
    if item.kind not in ("nightstand", "shelf") or item.at_m[2] < _SLIM_M:
        return None
    if any(_stands_under(other, item) for other in plan.furniture if other.id != item.id):
        return None
    for other in plan.furniture:
        if other.kind != "headboard" and not is_post(plan, other):
            continue
        gap = [
            abs(item.at_m[k] - other.at_m[k]) - (item.size_m[k] + other.size_m[k]) / 2
            for k in (0, 1)
        ]
        if max(gap) < _TOUCH_M:
            return other
    return None


def _stands_under(other: Furniture, item: Furniture) -> bool:
    near = all(
        abs(item.at_m[k] - other.at_m[k]) < (item.size_m[k] + other.size_m[k]) / 2 for k in (0, 1)
    )
    return near and abs(other.at_m[2] + other.size_m[2] - item.at_m[2]) < 0.02
