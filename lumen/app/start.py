"""The start card: eight measurements that change the room while one types."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lumen.app.inspect import length_text
from lumen.app.typed import length
from lumen.errors import LumenError
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario, plain

__all__ = ["MEASUREMENTS", "Measurement", "measured", "measurements"]

Json = dict[str, Any]


@dataclass(frozen=True)
class Measurement:
    """One question of the start card: its key, its words, and how to take it."""

    key: str
    label: str
    how: str
    low_m: float
    high_m: float

    def taken(self, text: str, system: str) -> float:
        """Return a typed length [m], the middle of a typed range; one out of reach is refused.

        Raises
        ------
        LumenError
            When the text is no length, or one that no bedroom has.
        """
        value = length(text, system, self.label)
        value = middle(tuple(value)) if isinstance(value, list) else value
        if not self.low_m <= value <= self.high_m:
            span = f"{length_text(self.low_m, system)} to {length_text(self.high_m, system)}"
            raise LumenError(self.label, f"must be {span}", text)
        return value


MEASUREMENTS = (
    Measurement("room_width", "Bed wall, wide", "from corner to corner", 1.5, 12.0),
    Measurement(
        "room_depth", "Room, deep", "from the bed wall to the wall you face from bed", 2.0, 12.0
    ),
    Measurement("room_height", "Ceiling, high", "from the floor", 1.8, 6.0),
    Measurement(
        "bed_width", "Mattress, wide", "queen 153 cm, king 193 cm, double 137 cm", 0.6, 2.6
    ),
    Measurement("bed_length", "Mattress, long", "203 cm is usual", 1.2, 2.6),
    Measurement("bed_top", "Mattress top, high", "from the floor, unloaded", 0.15, 1.6),
    Measurement("headboard_top", "Headboard top, high", "from the floor", 0.3, 2.4),
    Measurement(
        "light_height", "Wall lights, high", "from the floor to the middle of the mount", 0.3, 3.0
    ),
)


def measurements(scenario: Scenario, system: str) -> tuple[tuple[Measurement, str], ...]:
    """Return each question of the card with the room's present answer as text."""
    known = _present(scenario)
    return tuple(
        (one, length_text(known[one.key], system)) for one in MEASUREMENTS if one.key in known
    )


def _present(scenario: Scenario) -> dict[str, float]:
    xs, ys = zip(*scenario.room.outline_m, strict=True)
    found = {
        "room_width": max(xs) - min(xs),
        "room_depth": max(ys) - min(ys),
        "room_height": scenario.room.height_m,
    }
    mattress = next((f for f in scenario.furniture if f.kind == "mattress"), None)
    if mattress is not None:
        found["bed_width"], found["bed_length"] = mattress.size_m[0], mattress.size_m[1]
        found["bed_top"] = mattress.at_m[2] + mattress.size_m[2]
    headboard = next((f for f in scenario.furniture if f.kind == "headboard"), None)
    if headboard is not None:
        found["headboard_top"] = headboard.at_m[2] + headboard.size_m[2]
    lights = [light for light in scenario.lights if light.mount in ("wall", "headboard")]
    if lights:
        found["light_height"] = lights[0].mount_m[2]
    return found


def measured(scenario: Scenario, args: Mapping[str, Any]) -> Json:
    """Return the plan with one measurement changed and what hangs on it moved along.

    Things keep their distance to the bed wall, and to the wall's middle when the room gets wider;
    beside the bed they keep their gap to it.

    Raises
    ------
    LumenError
        When the text is no length, or one that no bedroom has.
    """
    what = str(args.get("what"))
    one = next((m for m in MEASUREMENTS if m.key == what), None)
    present = _present(scenario)
    if one is None or what not in present:
        known = ", ".join(m.key for m in MEASUREMENTS if m.key in present)
        raise LumenError("what", f"must be one of {known}", what)
    value = one.taken(str(args.get("text", "")), str(args.get("system", "cm")))
    plan = plain(scenario)
    _CHANGES[what](plan, value - present[what], value)
    return plan


def _points(plan: Json) -> list[list[float]]:
    """Every place in the plan, as lists that may be changed."""
    places = [item["at_m"] for item in plan.get("furniture", [])]
    places += [item["mount_m"] for item in plan.get("lights", [])]
    places += [point for strip in plan.get("strips", []) for point in strip["path_m"]]
    places += [node["at_m"] for node in plan.get("supply", []) if node.get("at_m")]
    return places


def _move(points: list[list[float]], axis: int, by: float) -> None:
    for point in points:
        point[axis] = round(point[axis] + by, 6)


def _wider(plan: Json, by: float, _: float) -> None:
    low, high = _reach(plan, 0)
    for corner in plan["room"]["outline_m"]:
        corner[0] = round(low + (corner[0] - low) * (high - low + by) / (high - low), 6)
    points = _points(plan)
    sides = {id(p): p[0] for p in points}
    for point in points:
        # What stands at a side wall stays there; the bed and what is round it keep to the middle.
        near_left, near_right = sides[id(point)] - low < 0.35, high - sides[id(point)] < 0.35
        share = 0.0 if near_left else 1.0 if near_right else 0.5
        point[0] = round(point[0] + share * by, 6)
    _fit_openings(plan)


def _deeper(plan: Json, by: float, _: float) -> None:
    low, high = _reach(plan, 1)
    for corner in plan["room"]["outline_m"]:
        corner[1] = round(low + (corner[1] - low) * (high - low + by) / (high - low), 6)
    near_front = [p for p in _points(plan) if p[1] - low < 0.4]
    _move([p for p in _points(plan) if not any(p is q for q in near_front)], 1, by)
    _fit_openings(plan)


def _reach(plan: Json, axis: int) -> tuple[float, float]:
    values = [corner[axis] for corner in plan["room"]["outline_m"]]
    return min(values), max(values)


def _fit_openings(plan: Json) -> None:
    """Slide doors and windows along a wall that got too short for them."""
    outline = plan["room"]["outline_m"]
    for opening in plan["room"].get("openings", []):
        a, b = outline[opening["wall"]], outline[(opening["wall"] + 1) % len(outline)]
        wall = ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
        over = opening["to_m"] - (wall - 0.02)
        if over > 0:
            opening["from_m"] = round(max(0.02, opening["from_m"] - over), 6)
            opening["to_m"] = round(wall - 0.02, 6)


def _higher(plan: Json, _: float, value: float) -> None:
    plan["room"]["height_m"] = round(value, 6)
    for light in plan.get("lights", []):
        if light.get("mount") == "ceiling":
            light["mount_m"][2] = round(value, 6)


def _bed(plan: Json) -> list[Json]:
    return [f for f in plan.get("furniture", []) if f["kind"] in ("mattress", "bed frame")]


def _bed_wider(plan: Json, by: float, value: float) -> None:
    mattress = next(f for f in plan["furniture"] if f["kind"] == "mattress")
    centre, old = mattress["at_m"][0], mattress["size_m"][0]
    for item in plan["furniture"]:
        if item["kind"] in ("mattress", "bed frame", "headboard"):
            item["size_m"][0] = round(item["size_m"][0] + by, 6)
    beside = [f["at_m"] for f in plan["furniture"] if f["kind"] in ("nightstand", "shelf", "chest")]
    beside += [light["mount_m"] for light in plan.get("lights", [])]
    beside += [p for strip in plan.get("strips", []) for p in strip["path_m"]]
    for point in beside:
        off = point[0] - centre
        if abs(off) > old / 4:
            point[0] = round(point[0] + (by / 2 if off > 0 else -by / 2), 6)


def _bed_longer(plan: Json, by: float, _: float) -> None:
    for item in _bed(plan):  # the head end stays where it is
        item["size_m"][1] = round(item["size_m"][1] + by, 6)
        item["at_m"][1] = round(item["at_m"][1] - by / 2, 6)


def _bed_higher(plan: Json, by: float, value: float) -> None:
    mattress = next(f for f in plan["furniture"] if f["kind"] == "mattress")
    thick = min(mattress["size_m"][2], value - 0.02)
    mattress["size_m"][2] = round(thick, 6)
    mattress["at_m"][2] = round(value - thick, 6)
    for item in plan["furniture"]:
        if item["kind"] == "bed frame":
            item["size_m"][2] = round(max(0.01, value - thick - item["at_m"][2]), 6)


def _headboard_higher(plan: Json, by: float, value: float) -> None:
    headboard = next(f for f in plan["furniture"] if f["kind"] == "headboard")
    headboard["size_m"][2] = round(max(0.05, value - headboard["at_m"][2]), 6)
    for strip in plan.get("strips", []):
        top = max(point[2] for point in strip["path_m"])
        for point in strip["path_m"]:
            if point[2] == top:  # its upper run stays as far below the headboard's edge
                point[2] = round(point[2] + by, 6)


def _lights_higher(plan: Json, by: float, _: float) -> None:
    walls = [i for i in plan.get("lights", []) if i.get("mount", "wall") in ("wall", "headboard")]
    _move([light["mount_m"] for light in walls], 2, by)


_CHANGES = {
    "room_width": _wider,
    "room_depth": _deeper,
    "room_height": _higher,
    "bed_width": _bed_wider,
    "bed_length": _bed_longer,
    "bed_top": _bed_higher,
    "headboard_top": _headboard_higher,
    "light_height": _lights_higher,
}
