"""Which advice about a light can be followed where it is fixed: never through a ceiling."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.sheet.true_size import outline_of
from lumen.study.eyes.sight import Sighting
from lumen.study.scene.emitters import light_centre
from lumen.study.scene.surfaces import ceiling_height_m, furniture_box

__all__ = ["Way", "can_move", "ways"]

_ROOM_M = 0.03  # between a mount and the edge of what carries it
_AIR_M = 0.02  # between a light and what is above or below it


@dataclass(frozen=True)
class Way:
    """One way to hide a bare lamp from some eyes: move it, or take a deeper shade, by so much."""

    words: str
    by_m: float


def can_move(plan: Scenario, light: Light, by_m: float) -> bool:
    """Return whether a light still has something to be fixed to, and room, when moved up.

    Its mount must stay on the board or wall that carries it; its body must clear the ceiling, the
    floor and the furniture.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> can_move(plan, plan.lights[0], 0.1), can_move(plan, plan.lights[0], 1.2)
    (True, False)
    """
    x, y, z = light.mount_m
    high = z + by_m
    if light.mount == "headboard":
        boards = [item for item in plan.furniture if item.kind == "headboard"]
        board = min(boards, key=lambda b: abs(b.at_m[0] - x), default=None)
        if board is not None:
            low = board.at_m[2]
            if not low + _ROOM_M <= high <= low + board.size_m[2] - _ROOM_M:
                return False
    elif light.mount != "wall":
        return False
    shape = outline_of(plan, light)
    if high + min(shape.bottom_m, 0.0) < _AIR_M:
        return False
    top = high + max(shape.top_m, 0.0)
    if top > ceiling_height_m(plan.room, x, y) - _AIR_M:
        return False
    cx, cy, cz = (float(v) for v in light_centre(plan, light))
    if cz + by_m > ceiling_height_m(plan.room, cx, cy) - _AIR_M:
        return False
    return not any(_inside(item, (cx, cy, cz + by_m)) for item in plan.furniture)


def _inside(item: Any, point: tuple[float, float, float]) -> bool:
    box = furniture_box(item)
    away = [abs(sum((point[k] - box.centre[k]) * axis[k] for k in range(3))) for axis in box.axes]
    return all(a <= half + _AIR_M for a, half in zip(away, box.half_size, strict=True))


def ways(plan: Scenario, light: Light, seen: Sighting) -> Iterator[Way]:
    """Yield what of the study's advice for one line of sight can be done at this light."""
    for change in seen.changes:
        if change.by_m and not change.newly and can_move(plan, light, change.by_m):
            yield Way("raise it by" if change.by_m > 0 else "lower it by", abs(change.by_m))
    if seen.deeper_shade_m:
        yield Way("take a shade deeper by", seen.deeper_shade_m)
