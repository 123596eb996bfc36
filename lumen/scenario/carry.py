"""What moves along: things fixed to a piece of furniture go where it goes, and it keeps off walls.

A strip on a headboard, a light on it, a lamp on a nightstand and the power strip in it are moved,
turned and leaned with it; where it is made wider they keep their share of it.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Collection, Sequence
from typing import Any

from lumen.scenario.base import Part
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.places import placed_fields
from lumen.scenario.pose import Pose, facing_of, fixed_to, pose_of, reach_back_m
from lumen.scenario.references import item_model, lists_of
from lumen.scenario.room import Furniture, Room

__all__ = ["carried", "kept_off_the_wall"]

_NAMES = ("bed wall", "room", "up", "down", "left", "right")
_NEAR_M = 0.10  # what stands so near to the wall behind it stands against it: our own


def kept_off_the_wall(before: Scenario, after: Scenario) -> Scenario:
    """Return a plan in which pieces that lean, turn or grow otherwise than before keep their back.

    A board that leans has its top at the wall and its foot away from it: what reaches furthest back
    stays where it was, and the rest comes forward. The same holds for one that is made deeper
    against a wall.
    """
    old = {item.id: item for item in before.furniture}
    shifts = {}
    for item in after.furniture:
        was = old.get(item.id)
        if was is None or was.at_m != item.at_m or was.turn_deg != item.turn_deg:
            continue
        deeper = was.size_m != item.size_m and _against_a_wall(before, was)
        if was.lean_deg != item.lean_deg or deeper:
            by = reach_back_m(was) - reach_back_m(item)
            if abs(by) > 1e-9:
                shifts[item.id] = by
    if not shifts:
        return after
    plan = copy.deepcopy(plain(after))
    for item in plan["furniture"]:
        if item["id"] in shifts:
            turn, by = math.radians(item.get("turn_deg", 0.0)), shifts[item["id"]]
            x, y, z = item["at_m"]
            item["at_m"] = [round(x - math.sin(turn) * by, 6), round(y + math.cos(turn) * by, 6), z]
    return parse(plan, type(after))


def _against_a_wall(scenario: Scenario, item: Furniture) -> bool:
    """Whether a wall stands right behind a piece, square to it."""
    outline = scenario.room.outline_m
    turn = math.radians(item.turn_deg)
    back = (-math.sin(turn), math.cos(turn))
    reach = reach_back_m(item)
    foot = [item.at_m[k] + reach * back[k] for k in (0, 1)]
    for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        length = math.hypot(x1 - x0, y1 - y0)
        along = ((x1 - x0) / length, (y1 - y0) / length)
        square = abs(along[0] * back[0] + along[1] * back[1]) < 0.05
        ahead = -along[1] * (foot[0] - x0) + along[0] * (foot[1] - y0)
        s = along[0] * (foot[0] - x0) + along[1] * (foot[1] - y0)
        faces = -along[1] * back[0] + along[0] * back[1] < 0.0
        if square and faces and -0.01 <= ahead <= _NEAR_M and 0.0 <= s <= length:
            return True
    return False


def carried(before: Scenario, after: Scenario, named: Collection[str]) -> Scenario:
    """Return a plan in which what is fixed to moved furniture has moved along.

    What the command itself names, or has changed, stays as the command left it.
    """
    old = {item.id: item for item in before.furniture}
    poses = {
        item.id: (pose_of(old[item.id]), pose_of(item))
        for item in after.furniture
        if item.id in old and _shape(old[item.id]) != _shape(item)
    }
    if not poses:
        return after
    fixed = {thing: holder for thing, holder in fixed_to(before).items() if holder in poses}
    plan, was = plain(after), plain(before)
    moved = False
    for section, known in lists_of(type(after)).items():
        earlier = {item["id"]: item for item in was.get(section, [])}
        for number, item in enumerate(plan.get(section, [])):
            holder = fixed.get(item["id"])
            if holder is None or item["id"] in named or earlier.get(item["id"]) != item:
                continue
            model = item_model(known, item)
            plan[section][number] = _along(after.room, model, item, *poses[holder])
            moved = True
    return parse(plan, type(after)) if moved else after


def _shape(item: Furniture) -> tuple[object, ...]:
    return (item.at_m, item.size_m, item.turn_deg, item.lean_deg)


def _along(
    room: Room, model: type[Part], item: dict[str, Any], was: Pose, now: Pose
) -> dict[str, Any]:
    new = copy.deepcopy(item)
    for field, role in placed_fields(model).items():
        if role == "point" and field in item:
            new[field] = _moved(item[field], was, now)
        elif role == "path" and field in item:
            new[field] = [_moved(point, was, now) for point in item[field]]
        elif role == "way":
            facing = item.get(field, model.model_fields[field].default)
            way = facing_of(room, facing)
            local = [sum(a * b for a, b in zip(axis, way, strict=True)) for axis in was.axes]
            turned = [round(part, 6) + 0.0 for part in now.turned(local)]
            new[field] = _named(room, turned, facing)
    return new


def _named(room: Room, way: list[float], facing: object) -> object:
    """Return a direction by its name where it has one, the one it was written with first."""
    for name in (facing, *_NAMES):
        if isinstance(name, str) and math.dist(facing_of(room, name), way) < 1e-5:
            return name
    return way


def _moved(point: Sequence[float], was: Pose, now: Pose) -> list[float]:
    """Where a point fixed to a box goes: inside at its share, outside as far from its face."""
    local = [
        a * new / old if abs(a) <= old else math.copysign(abs(a) - old + new, a)
        for a, old, new in zip(was.local(point), was.half, now.half, strict=True)
    ]
    return [round(part, 6) for part in now.world(local)]
