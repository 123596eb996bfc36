"""Rules 87, 88, 90, 91: lights, outlets and strips that float off what holds them, or run into it.

Touching is no fault: what is closer than a tape measure tells is let be.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box, points_in_polygon
from lumen.scenario.lights import Light, Panel, Shade, Strip
from lumen.scenario.outline import distance_to_wall
from lumen.scenario.pose import board_of, fixed_to, pose_of
from lumen.scenario.supply import Outlet
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Found, Line, Severity, rule
from lumen.study.load.warmth import CLOSED
from lumen.study.scene.bodies import (
    OFF_M,
    TOUCH_M,
    beyond_room,
    depth_inside,
    nearest_wall,
    opening_words,
    stations,
    tape,
    to_box_m,
    to_surfaces_m,
    wall_name,
)
from lumen.study.scene.emitters import light_centre
from lumen.study.scene.surfaces import bed_wall, ceiling_height_m

HANGING_M = 0.10
"""A strip further than this from everything is fixed to nothing: our own."""

Array = NDArray[np.float64]


# -- lights ---------------------------------------------------------------------------------------


@rule(87)
def light_buried(facts: Facts) -> Iterator[Found]:
    """A light whose centre is outside the room or inside furniture, so that its light is lost."""
    room = facts.scenario.room
    outline = np.array(room.outline_m)
    for light in facts.of(Light):
        centre = np.asarray(light_centre(facts.scenario, light), dtype=float)
        x, y, z = (float(part) for part in centre)
        off, wall = nearest_wall(room, centre)
        if off > TOUCH_M and not bool(points_in_polygon(centre[None, :2], outline)[0]):
            yield _buried(facts, light, f"{tape(off)} outside {wall_name(room, wall)}", off)
        elif z - ceiling_height_m(room, x, y) > TOUCH_M:
            over = z - ceiling_height_m(room, x, y)
            yield _buried(facts, light, f"{tape(over)} above the ceiling", over)
        elif -z > TOUCH_M:
            yield _buried(facts, light, f"{tape(-z)} under the floor", -z)
        else:
            yield from _in_furniture(facts, light, centre)


def _in_furniture(facts: Facts, light: Light, centre: Array) -> Iterator[Found]:
    for piece in facts.scenario.furniture:
        depth = float(depth_inside(facts.boxes[piece.id], centre[None])[0])
        if depth > TOUCH_M:
            severity: Severity = "warning" if piece.kind in CLOSED else "danger"
            where = f"{tape(depth)} inside {facts.the(piece.id)}"
            yield _buried(facts, light, where, depth, severity, piece.id)


def _buried(
    facts: Facts,
    light: Light,
    where: str,
    depth: float,
    severity: Severity = "danger",
    *others: str,
) -> Found:
    return Found(
        (light.id, *others),
        f"the middle of {facts.the(light.id)} is {where}, so none of its light comes into the "
        "room.",
        severity,
        (("beyond the surface", depth, "m"), ("touching counts up to", TOUCH_M, "m")),
    )


@rule(88)
def light_off_its_mount(facts: Facts) -> Iterator[Found]:
    """A light that is fixed to nothing, or whose shade reaches into what it is fixed to."""
    for light in facts.of(Light):
        found = _mount_fault(facts, light)
        if found is not None:
            yield found
            continue
        for what, depth in _body_faults(facts, light):
            yield Found(
                (light.id,),
                f"{facts.the(light.id)} reaches {tape(depth)} into {what}.",
                numbers=(
                    ("beyond the surface", depth, "m"),
                    ("touching counts up to", TOUCH_M, "m"),
                ),
                title="Light reaches into what holds it",
            )


def _mount_fault(facts: Facts, light: Light) -> Found | None:
    plan, mount = facts.scenario, light.mount_m
    if light.mount == "ceiling":
        top = ceiling_height_m(plan.room, mount[0], mount[1])
        off, what = abs(top - mount[2]), "the ceiling"
        foot = [mount[0], mount[1], round(top, 4)]
    elif light.mount == "wall":
        wall = bed_wall(plan.room) if light.wall is None else light.wall
        off, what = distance_to_wall(plan.room.outline_m, wall, mount), wall_name(plan.room, wall)
        if off > OFF_M and nearest_wall(plan.room, mount)[0] <= OFF_M:
            return _on_another_wall(facts, light, wall, off)
        foot = _foot_on_wall(facts, wall, mount)
    elif light.mount == "headboard":
        board = board_of(plan, light)
        if board is None:
            return Found(
                (light.id,),
                f"{facts.the(light.id)} is fixed to a headboard, and the plan has none.",
                numbers=(("headboards in the plan", 0.0, ""),),
            )
        box = pose_of(board)
        off, what = box.distance(mount), facts.the(board.id)
        local = [max(-h, min(h, a)) for a, h in zip(box.local(mount), box.half, strict=True)]
        foot = [round(part, 4) for part in box.world(local)]
    else:
        return None
    boxes = list(facts.boxes.values())
    if off <= OFF_M or (light.mount != "headboard" and _touches(boxes, mount)):
        return None
    return Found(
        (light.id,),
        f"{facts.the(light.id)} is fixed to {what} and floats {tape(off)} off it.",
        numbers=(("off its mount", off, "m"), ("let be up to", OFF_M, "m")),
        fix={"name": "move", "id": light.id, "args": {"to_m": foot}},
    )


def _on_another_wall(facts: Facts, item: Light | Outlet, wall: int, off: float) -> Found:
    """What to say of a thing whose place is on one wall and which is taken to be on another."""
    room, place = facts.scenario.room, item.mount_m if isinstance(item, Light) else item.at_m
    assert place is not None
    there = nearest_wall(room, place)[1]
    why = "the plan says" if item.wall is not None else "nothing is said, so it is taken to be on"
    return Found(
        (item.id,),
        f"the place of {facts.the(item.id)} is on {wall_name(room, there)}, and {why} "
        f"{wall_name(room, wall)}, {tape(off)} away.",
        numbers=(("off the wall it is taken to be on", off, "m"), ("let be up to", OFF_M, "m")),
        fix={"name": "set", "id": item.id, "args": {"field": "wall", "value": there}},
    )


def _touches(boxes: Sequence[Box], point: Sequence[float]) -> bool:
    """Whether a point lies on furniture: a post, a batten, the underside of a bunk."""
    spot = np.asarray(point, dtype=float)
    return any(
        -float(depth_inside(box, spot[None])[0]) >= -OFF_M and to_box_m(box, spot) <= OFF_M
        for box in boxes
    )


def _foot_on_wall(facts: Facts, wall: int, point: Sequence[float]) -> list[float]:
    outline = facts.scenario.room.outline_m
    start, end = np.array(outline[wall]), np.array(outline[(wall + 1) % len(outline)])
    run = end - start
    share = float(np.clip((np.array(point[:2]) - start) @ run / (run @ run), 0.0, 1.0))
    x, y = start + share * run
    return [round(float(x), 4), round(float(y), 4), float(point[2])]


def _body_faults(facts: Facts, light: Light) -> Iterator[tuple[str, float]]:
    """Yield what a light's shade or panel reaches into, and how deep [m]."""
    centre = np.asarray(light_centre(facts.scenario, light), dtype=float)
    form, room = light.distribution, facts.scenario.room
    if isinstance(form, Shade) and form.shape != "head":
        radius = max(form.bottom_diameter_m, form.upper_m) / 2
        off, wall = nearest_wall(room, centre)
        if radius - off > TOUCH_M:
            yield wall_name(room, wall), radius - off
        for piece in facts.scenario.furniture:
            box = facts.boxes[piece.id]
            depth = radius + float(depth_inside(box, centre[None])[0])
            beside = abs(float(box.axes[2] @ (centre - box.centre))) < box.half_size[2]
            if beside and depth > TOUCH_M and _level(box, centre, radius):
                yield facts.the(piece.id), min(depth, 2 * radius)
    elif isinstance(form, Panel):
        half = np.array([form.width_m, form.length_m]) / 2
        if light.mount == "ceiling" and light.aim.tilt_deg == 0.0 and light.aim.at is None:
            turn = math.radians(light.aim.turn_deg)
            across, back = (
                np.array([math.cos(turn), math.sin(turn), 0.0]),
                np.array([-math.sin(turn), math.cos(turn), 0.0]),
            )
            signs = np.array(list(itertools.product((-1.0, 1.0), repeat=2))) * half
            corners = centre + signs @ np.array([across, back])
            for part in beyond_room(room, corners):
                if part.by_m > TOUCH_M:
                    yield part.what, part.by_m


def _level(box: Box, centre: Array, radius: float) -> bool:
    """Whether a round shade beside a box reaches into it, seen from above."""
    local = np.abs(box.axes @ (centre - box.centre))[:2]
    return float(np.linalg.norm(np.maximum(local - box.half_size[:2], 0.0))) < radius - TOUCH_M


# -- outlets ---------------------------------------------------------------------------------------


@rule(90)
def outlet_off_its_wall(facts: Facts) -> Iterator[Found]:
    """An outlet in the air, or in a door, a window or a mirror."""
    room = facts.scenario.room
    boxes = list(facts.boxes.values())
    for outlet in facts.of(Outlet):
        if outlet.at_m is None:
            continue
        if outlet.wall is None or outlet.wall >= len(room.outline_m):
            off, wall = nearest_wall(room, outlet.at_m)
        else:
            wall = outlet.wall
            off = distance_to_wall(room.outline_m, wall, outlet.at_m)
        if off > OFF_M:
            if outlet.at_m[2] <= OFF_M or _touches(boxes, outlet.at_m):
                continue
            if nearest_wall(room, outlet.at_m)[0] <= OFF_M:
                yield _on_another_wall(facts, outlet, wall, off)
                continue
            foot = _foot_on_wall(facts, wall, outlet.at_m)
            yield Found(
                (outlet.id,),
                f"{facts.the(outlet.id)} floats {tape(off)} off {wall_name(room, wall)}.",
                numbers=(("off its wall", off, "m"), ("let be up to", OFF_M, "m")),
                fix={"name": "move", "id": outlet.id, "args": {"to_m": foot}},
            )
            continue
        along = math.dist(room.outline_m[wall], outlet.at_m[:2])
        for opening in room.openings:
            if (
                opening.wall == wall
                and opening.kind in ("door", "window", "mirror")
                and opening.from_m + TOUCH_M < along < opening.to_m - TOUCH_M
                and opening.sill_m + TOUCH_M < outlet.at_m[2] < opening.head_m - TOUCH_M
            ):
                yield Found(
                    (outlet.id, opening.id),
                    f"{facts.the(outlet.id)} sits in {opening_words(opening)}.",
                    numbers=(
                        ("along the wall", along, "m"),
                        ("the opening begins at", opening.from_m, "m"),
                        ("and ends at", opening.to_m, "m"),
                    ),
                )


# -- strips ---------------------------------------------------------------------------------------


@rule(91)
def strip_astray(facts: Facts) -> Iterator[Found]:
    """An LED strip that leaves its board, runs through furniture or a wall, or hangs in the air."""
    fixed = fixed_to(facts.scenario)
    for strip in facts.of(Strip):
        points = stations(strip.path_m)
        found = _strip_faults(facts, strip, points, fixed.get(strip.id))
        if found:
            words, lines = zip(*found, strict=True)
            yield Found((strip.id,), f"{facts.the(strip.id)} {' and '.join(words)}.", numbers=lines)


def _strip_faults(
    facts: Facts, strip: Strip, points: Array, fixed: str | None
) -> list[tuple[str, Line]]:
    room = facts.scenario.room
    found: list[tuple[str, Line]] = []
    outside = points[~points_in_polygon(points[:, :2], np.array(room.outline_m))]
    beyond = max((nearest_wall(room, point) for point in outside), default=(0.0, 0))
    if beyond[0] > TOUCH_M:
        name = wall_name(room, beyond[1])
        found.append(
            (f"runs {tape(beyond[0])} outside {name}", (f"outside {name}", beyond[0], "m"))
        )
    over = max(float(z) - ceiling_height_m(room, float(x), float(y)) for x, y, z in points)
    if over > TOUCH_M:
        found.append((f"runs {tape(over)} above the ceiling", ("above the ceiling", over, "m")))
    for piece in facts.scenario.furniture:
        depth = float(depth_inside(facts.boxes[piece.id], points).max())
        if depth > TOUCH_M and not (piece.kind in CLOSED and strip.id in facts.lying):
            name = facts.the(piece.id)
            found.append((f"runs {tape(depth)} inside {name}", (f"inside {name}", depth, "m")))
    if fixed is None and not found:
        found += _past_its_board(facts, strip, points)
    boxes = list(facts.boxes.values())
    free = float(np.median([to_surfaces_m(room, boxes, point) for point in points[::5]]))
    if free > HANGING_M and not found:
        words = f"hangs in the air, half of it {tape(free)} and more from the nearest surface"
        found.append((words, ("from the nearest surface", free, "m")))
    return found


def _past_its_board(facts: Facts, strip: Strip, points: Array) -> Iterator[tuple[str, Line]]:
    """Yield how far a strip that follows a headboard runs past its edges."""
    for board in facts.scenario.furniture:
        if board.kind != "headboard":
            continue
        box = facts.boxes[board.id]
        local = (points - box.centre) @ box.axes.T
        beside = np.abs(local[:, 1]) <= box.half_size[1] + OFF_M
        past = np.maximum(np.abs(local[:, [0, 2]]) - box.half_size[[0, 2]], 0.0).max(axis=1)
        if beside.all() and (past <= OFF_M).mean() > 0.25 and past.max() > OFF_M:
            words = (
                f"follows {facts.the(board.id)} and runs {tape(float(past.max()))} past its edge"
            )
            yield words, (f"past the edge of {facts.the(board.id)}", float(past.max()), "m")
