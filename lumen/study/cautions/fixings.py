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
from lumen.study.cautions.clauses import (
    Clause,
    Fact,
    Line,
    OpeningOf,
    Surface,
    Things,
    clause,
    line,
    thing,
)
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.load.warmth import CLOSED
from lumen.study.scene.bodies import (
    OFF_M,
    TOUCH_M,
    beyond_room,
    depth_inside,
    nearest_wall,
    stations,
    to_box_m,
    to_surfaces_m,
)
from lumen.study.scene.emitters import light_centre
from lumen.study.scene.surfaces import bed_wall, ceiling_height_m

HANGING_M = 0.10
"""A strip further than this from everything is fixed to nothing: our own."""

Array = NDArray[np.float64]


# -- lights ---------------------------------------------------------------------------------------


@rule(87)
def light_buried(facts: Facts) -> Iterator[Hazard]:
    """A light whose centre is outside the room or inside furniture, so that its light is lost."""
    room = facts.scenario.room
    outline = np.array(room.outline_m)
    for light in facts.of(Light):
        centre = np.asarray(light_centre(facts.scenario, light), dtype=float)
        x, y, z = (float(part) for part in centre)
        off, wall = nearest_wall(room, centre)
        if off > TOUCH_M and not bool(points_in_polygon(centre[None, :2], outline)[0]):
            yield _buried(light, "outside", off, wall=Surface("wall", wall))
        elif z - ceiling_height_m(room, x, y) > TOUCH_M:
            yield _buried(light, "above", z - ceiling_height_m(room, x, y))
        elif -z > TOUCH_M:
            yield _buried(light, "under", -z)
        else:
            yield from _in_furniture(facts, light, centre)


def _in_furniture(facts: Facts, light: Light, centre: Array) -> Iterator[Hazard]:
    for piece in facts.scenario.furniture:
        depth = float(depth_inside(facts.boxes[piece.id], centre[None])[0])
        if depth > TOUCH_M:
            severity: Severity = "warning" if piece.kind in CLOSED else "danger"
            yield _buried(light, "inside", depth, severity, furniture=thing(piece.id))


def _buried(
    light: Light, key: str, depth: float, severity: Severity = "danger", **of: Fact
) -> Hazard:
    others = tuple(i for fact in of.values() if isinstance(fact, Things) for i in fact.ids)
    return Hazard(
        (light.id, *others),
        clause("buried", light=thing(light.id), where=clause(key, by_m=depth, **of)),
        severity,
        (line("beyond-surface", depth, "m"), line("touching", TOUCH_M, "m")),
    )


@rule(88)
def light_off_its_mount(facts: Facts) -> Iterator[Hazard]:
    """A light that is fixed to nothing, or whose shade reaches into what it is fixed to."""
    for light in facts.of(Light):
        fault = _mount_fault(facts, light)
        if fault is not None:
            yield fault
            continue
        for what, depth in _body_faults(facts, light):
            yield Hazard(
                (light.id,),
                clause("reaches", light=thing(light.id), by_m=depth, into=what),
                numbers=(
                    line("beyond-surface", depth, "m"),
                    line("touching", TOUCH_M, "m"),
                ),
                title=clause("reaches-title"),
            )


def _mount_fault(facts: Facts, light: Light) -> Hazard | None:
    plan, mount = facts.scenario, light.mount_m
    what: Fact
    if light.mount == "ceiling":
        top = ceiling_height_m(plan.room, mount[0], mount[1])
        off, what = abs(top - mount[2]), Surface("ceiling")
        foot = [mount[0], mount[1], round(top, 4)]
    elif light.mount == "wall":
        wall = bed_wall(plan.room) if light.wall is None else light.wall
        off, what = distance_to_wall(plan.room.outline_m, wall, mount), Surface("wall", wall)
        if off > OFF_M and nearest_wall(plan.room, mount)[0] <= OFF_M:
            return _on_another_wall(facts, light, wall, off)
        foot = _foot_on_wall(facts, wall, mount)
    elif light.mount == "headboard":
        board = board_of(plan, light)
        if board is None:
            return Hazard(
                (light.id,),
                clause("no-board", light=thing(light.id)),
                numbers=(line("boards", 0.0, ""),),
            )
        box = pose_of(board)
        off, what = box.distance(mount), thing(board.id)
        local = [max(-h, min(h, a)) for a, h in zip(box.local(mount), box.half, strict=True)]
        foot = [round(part, 4) for part in box.world(local)]
    else:
        return None
    boxes = list(facts.boxes.values())
    if off <= OFF_M or (light.mount != "headboard" and _touches(boxes, mount)):
        return None
    return Hazard(
        (light.id,),
        clause("floats", light=thing(light.id), mount=what, off_m=off),
        numbers=(line("off", off, "m"), line("let-be", OFF_M, "m")),
        fix={"name": "move", "id": light.id, "args": {"to_m": foot}},
    )


def _on_another_wall(facts: Facts, item: Light | Outlet, wall: int, off: float) -> Hazard:
    """Return the hazard of a thing at one wall that is taken to be on another."""
    room, place = facts.scenario.room, item.mount_m if isinstance(item, Light) else item.at_m
    assert place is not None
    there = nearest_wall(room, place)[1]
    return Hazard(
        (item.id,),
        clause(
            "other-wall-taken" if item.wall is None else "other-wall",
            item=thing(item.id),
            there=Surface("wall", there),
            wall=Surface("wall", wall),
            off_m=off,
        ),
        numbers=(line("off-wall-taken", off, "m"), line("let-be", OFF_M, "m")),
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


def _body_faults(facts: Facts, light: Light) -> Iterator[tuple[Surface | Things, float]]:
    """Yield what a light's shade or panel reaches into, and how deep [m]."""
    centre = np.asarray(light_centre(facts.scenario, light), dtype=float)
    form, room = light.distribution, facts.scenario.room
    if isinstance(form, Shade) and form.shape != "head":
        radius = max(form.bottom_diameter_m, form.upper_m) / 2
        off, wall = nearest_wall(room, centre)
        if radius - off > TOUCH_M:
            yield Surface("wall", wall), radius - off
        for piece in facts.scenario.furniture:
            box = facts.boxes[piece.id]
            depth = radius + float(depth_inside(box, centre[None])[0])
            beside = abs(float(box.axes[2] @ (centre - box.centre))) < box.half_size[2]
            if beside and depth > TOUCH_M and _level(box, centre, radius):
                yield thing(piece.id), min(depth, 2 * radius)
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
                    yield part.surface, part.by_m


def _level(box: Box, centre: Array, radius: float) -> bool:
    """Whether a round shade beside a box reaches into it, seen from above."""
    local = np.abs(box.axes @ (centre - box.centre))[:2]
    return float(np.linalg.norm(np.maximum(local - box.half_size[:2], 0.0))) < radius - TOUCH_M


# -- outlets ---------------------------------------------------------------------------------------


@rule(90)
def outlet_off_its_wall(facts: Facts) -> Iterator[Hazard]:
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
            yield Hazard(
                (outlet.id,),
                clause("floats", outlet=thing(outlet.id), off_m=off, wall=Surface("wall", wall)),
                numbers=(line("off", off, "m"), line("let-be", OFF_M, "m")),
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
                yield Hazard(
                    (outlet.id, opening.id),
                    clause("in", outlet=thing(outlet.id), opening=OpeningOf(opening.id)),
                    numbers=(
                        line("along", along, "m"),
                        line("begins", opening.from_m, "m"),
                        line("ends", opening.to_m, "m"),
                    ),
                )


# -- strips ---------------------------------------------------------------------------------------


@rule(91)
def strip_astray(facts: Facts) -> Iterator[Hazard]:
    """An LED strip that leaves its board, runs through furniture or a wall, or hangs in the air."""
    fixed = fixed_to(facts.scenario)
    for strip in facts.of(Strip):
        points = stations(strip.path_m)
        faults = _strip_faults(facts, strip, points, fixed.get(strip.id))
        if faults:
            yield Hazard(
                (strip.id,),
                clause("astray", strip=thing(strip.id), faults=tuple(c for c, _ in faults)),
                numbers=tuple(number for _, number in faults),
            )


def _strip_faults(
    facts: Facts, strip: Strip, points: Array, fixed: str | None
) -> list[tuple[Clause, Line]]:
    room = facts.scenario.room
    faults: list[tuple[Clause, Line]] = []
    outside = points[~points_in_polygon(points[:, :2], np.array(room.outline_m))]
    beyond = max((nearest_wall(room, point) for point in outside), default=(0.0, 0))
    if beyond[0] > TOUCH_M:
        faults.append(_stray("outside", beyond[0], wall=Surface("wall", beyond[1])))
    over = max(float(z) - ceiling_height_m(room, float(x), float(y)) for x, y, z in points)
    if over > TOUCH_M:
        faults.append(_stray("above", over))
    for piece in facts.scenario.furniture:
        depth = float(depth_inside(facts.boxes[piece.id], points).max())
        if depth > TOUCH_M and not (piece.kind in CLOSED and strip.id in facts.lying):
            faults.append(_stray("inside", depth, furniture=thing(piece.id)))
    if fixed is None and not faults:
        faults += _past_its_board(facts, strip, points)
    boxes = list(facts.boxes.values())
    free = float(np.median([to_surfaces_m(room, boxes, point) for point in points[::5]]))
    if free > HANGING_M and not faults:
        faults.append(_stray("hangs", free))
    return faults


def _stray(key: str, by: float, **of: Fact) -> tuple[Clause, Line]:
    return clause(f"runs-{key}", by_m=by, **of), line(key, by, "m", **of)


def _past_its_board(facts: Facts, strip: Strip, points: Array) -> Iterator[tuple[Clause, Line]]:
    """Yield how far a strip that follows a headboard runs past its edges."""
    for board in facts.scenario.furniture:
        if board.kind != "headboard":
            continue
        box = facts.boxes[board.id]
        local = (points - box.centre) @ box.axes.T
        beside = np.abs(local[:, 1]) <= box.half_size[1] + OFF_M
        past = np.maximum(np.abs(local[:, [0, 2]]) - box.half_size[[0, 2]], 0.0).max(axis=1)
        if beside.all() and (past <= OFF_M).mean() > 0.25 and past.max() > OFF_M:
            yield _stray("past-edge", float(past.max()), board=thing(board.id))
