"""Rules 85, 86, 89, 92, 93: bodies that run through each other, leave the room or do not fit.

Touching is no fault: what is closer than a tape measure tells is let be.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box, points_in_polygon
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Strip
from lumen.scenario.pose import pose_of
from lumen.scenario.room import Furniture, Opening
from lumen.scenario.supply import Circuit, Outlet
from lumen.study.cautions.clauses import Clause, OpeningOf, Surface, clause, line, thing
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Hazard, rule
from lumen.study.scene.bodies import (
    OFF_M,
    TOUCH_M,
    Beyond,
    OpeningBeyond,
    beyond_room,
    corners_of,
    depth_inside,
    nearest_wall,
    opening_beyond,
    overlap,
    push_out,
)
from lumen.study.scene.surfaces import furniture_box
from lumen.study.scene.targets import written_targets

SAME_BED_M = 0.3  # a frame and a mattress whose middles are so near are one bed: our own
RUG_M = 0.03  # what lies flat on the floor and is no thicker is a rug: our own
_SUNK = {"mattress": ("bed frame", "cot"), "chair": ("desk",)}  # made to stand in the other
_PAST = {"to_m": "past-end", "from_m": "past-start", "sill_m": "under", "head_m": "above"}
_SOFT = ("curtain",)
_BED = ("bed frame", "mattress", "cot")
_MOVABLE = ("nightstand", "headboard", "chest", "wardrobe", "shelf", "desk", "chair", "batten")

Array = NDArray[np.float64]
Command = Mapping[str, Any]


def _move(item_id: str, by: Array) -> Command:
    step = [round(float(part), 4) + 0.0 for part in by]
    return {"name": "move", "id": item_id, "args": {"by_m": step}}


# -- furniture ------------------------------------------------------------------------------------


@rule(85)
def furniture_in_furniture(facts: Facts) -> Iterator[Hazard]:
    """Two pieces of furniture that stand in each other."""
    pieces = [(item, facts.boxes[item.id]) for item in facts.scenario.furniture]
    for (one, box), (other, other_box) in itertools.combinations(pieces, 2):
        crossing = overlap(box, other_box)
        if crossing is None or crossing.depth_m <= TOUCH_M or _may(one, other, box, other_box):
            continue
        smaller, larger = sorted((one, other), key=lambda p: (_rank(p), _volume(p)))
        lower = smaller.at_m[2] < larger.at_m[2] + larger.size_m[2]
        yield Hazard(
            (smaller.id, larger.id),
            clause(
                "stands" if lower else "lies",
                smaller=thing(smaller.id),
                depth_m=crossing.depth_m,
                larger=thing(larger.id),
            ),
            numbers=(
                line("way-out", crossing.depth_m, "m"),
                line("touching", TOUCH_M, "m"),
            ),
            fix=_way_out(facts, smaller, larger) or _bed_out(facts, larger, smaller),
        )


def _rank(piece: Furniture) -> int:
    """What is moved out of what: the loose piece out of the bed."""
    return 0 if piece.kind in _MOVABLE else 1


def _volume(piece: Furniture) -> float:
    return math.prod(piece.size_m)


def _may(one: Furniture, other: Furniture, box: Box, other_box: Box) -> bool:
    """Whether one piece is made to stand in the other: a mattress sunk in its frame."""
    if one.kind in _SOFT or other.kind in _SOFT or _lies_flat(one) or _lies_flat(other):
        return True
    for inner, outer, inner_box, outer_box in (
        (one, other, box, other_box),
        (other, one, other_box, box),
    ):
        if outer.kind in _SUNK.get(inner.kind, ()):
            local = np.abs((corners_of(inner_box) - outer_box.centre) @ outer_box.axes.T)
            fits = bool(np.all(local[:, :2] <= outer_box.half_size[:2] + OFF_M))
            return fits or inner.kind == "chair"
    return False


def _lies_flat(piece: Furniture) -> bool:
    """Whether a piece is a rug: what stands on it is drawn as standing on the floor."""
    return piece.at_m[2] <= TOUCH_M and piece.size_m[2] <= RUG_M


def _way_out(facts: Facts, piece: Furniture, other: Furniture) -> Command | None:
    """Return the shortest level move that leaves a piece in nothing and in the room."""
    for step in push_out(facts.boxes[piece.id], facts.boxes[other.id]):
        by = step.way * (math.ceil(1000 * step.depth_m) / 1000)
        moved = piece.model_copy(update={"at_m": tuple(np.array(piece.at_m) + by)})
        if _clear(facts, moved):
            return _move(piece.id, by)
    return None


def _bed_out(facts: Facts, piece: Furniture, other: Furniture) -> Command | None:
    """Return the shortest level move of the whole bed out of something that cannot give way."""
    if piece.kind not in _BED:
        return None
    bed = [
        each
        for each in facts.scenario.furniture
        if each.kind in _BED and math.dist(each.at_m[:2], piece.at_m[:2]) < SAME_BED_M
    ]
    for step in push_out(facts.boxes[piece.id], facts.boxes[other.id]):
        by = step.way * (math.ceil(1000 * step.depth_m) / 1000)
        moved = [p.model_copy(update={"at_m": tuple(np.array(p.at_m) + by)}) for p in bed]
        if all(_clear(facts, each, {p.id for p in bed}) for each in moved):
            step_m = [round(float(part), 4) + 0.0 for part in by]
            return {"name": "move", "ids": [p.id for p in bed], "args": {"by_m": step_m}}
    return None


def _clear(facts: Facts, piece: Furniture, but: Collection[str] = ()) -> bool:
    return stands_free(facts.scenario, piece, but)


def stands_free(scenario: Scenario, piece: Furniture, but: Collection[str] = ()) -> bool:
    """Return whether a piece is in the room and in none of the others, except ``but`` some."""
    box = furniture_box(piece)
    if any(part.by_m > TOUCH_M for part in beyond_room(scenario.room, corners_of(box))):
        return False
    for other in scenario.furniture:
        if other.id != piece.id and other.id not in but:
            there = furniture_box(other)
            crossing = overlap(box, there)
            if crossing and crossing.depth_m > TOUCH_M and not _may(piece, other, box, there):
                return False
    return True


@rule(86)
def furniture_out_of_room(facts: Facts) -> Iterator[Hazard]:
    """A piece of furniture that reaches through a wall, the ceiling or the floor."""
    room = facts.scenario.room
    for piece in facts.scenario.furniture:
        parts = [
            part
            for part in beyond_room(room, corners_of(facts.boxes[piece.id]))
            if part.by_m > TOUCH_M
        ]
        if not parts:
            continue
        through = tuple(clause("through", by_m=p.by_m, surface=p.surface) for p in parts)
        yield Hazard(
            (piece.id,),
            clause("reaches", furniture=thing(piece.id), through=through),
            numbers=(
                *(line("beyond", part.by_m, "m", surface=part.surface) for part in parts),
                line("touching", TOUCH_M, "m"),
            ),
            fix=_back_in(facts, piece, parts),
        )


def _back_in(facts: Facts, piece: Furniture, parts: Sequence[Beyond]) -> Command | None:
    by = np.zeros(3)
    for part in parts:
        by += np.array(part.way) * (math.ceil(1000 * part.by_m) / 1000)
    moved = piece.model_copy(update={"at_m": tuple(np.array(piece.at_m) + by)})
    return _move(piece.id, by) if _clear(facts, moved) else None


# -- openings --------------------------------------------------------------------------------------


@rule(89)
def opening_off_its_wall(facts: Facts) -> Iterator[Hazard]:
    """A door, window or mirror that does not fit on its wall, or that lies in another one."""
    room = facts.scenario.room
    for opening in room.openings:
        faults = [each for each in opening_beyond(room, opening) if each.by_m > TOUCH_M]
        if faults:
            wall = Surface("wall", opening.wall)
            yield Hazard(
                (opening.id,),
                clause(
                    "ends",
                    opening=OpeningOf(opening.id),
                    faults=tuple(
                        clause("by", by_m=f.by_m, where=clause(_PAST[f.field], wall=wall))
                        for f in faults
                    ),
                ),
                numbers=tuple(line(_PAST[f.field], f.by_m, "m", wall=wall) for f in faults),
                fix=_fit(opening, faults),
            )
    for one, other in itertools.combinations(room.openings, 2):
        wide = min(one.to_m, other.to_m) - max(one.from_m, other.from_m)
        high = min(one.head_m, other.head_m) - max(one.sill_m, other.sill_m)
        plain = {one.kind, other.kind} <= {"door", "window"}
        if one.wall == other.wall and plain and min(wide, high) > TOUCH_M:
            yield Hazard(
                (other.id, one.id),
                clause(
                    "over",
                    opening=OpeningOf(other.id),
                    by_m=min(wide, high),
                    other=OpeningOf(one.id),
                    wall=Surface("wall", one.wall),
                ),
                numbers=(line("in-width", wide, "m"), line("in-height", high, "m")),
            )


def _fit(opening: Opening, faults: Sequence[OpeningBeyond]) -> Command | None:
    if len(faults) != 1:
        return None
    field = faults[0].field
    value = math.floor(1000 * faults[0].most_m) / 1000
    rest = {"from_m": opening.to_m, "to_m": opening.from_m, "sill_m": opening.head_m}
    rest["head_m"] = opening.sill_m
    if (value - rest[field]) * (1 if field in ("to_m", "head_m") else -1) <= 0.0:
        return None
    args = {"field": field, "value": value, "section": "openings"}
    return {"name": "set", "id": opening.id, "args": args}


# -- what lies inside -----------------------------------------------------------------------------


@rule(92)
def does_not_fit_inside(facts: Facts) -> Iterator[Hazard]:
    """A hidden space larger than its furniture, or something that sticks out of where it lies."""
    spaces: dict[str, tuple[float, ...]] = {}
    for piece in facts.scenario.furniture:
        space = piece.compartment
        if space is None:
            spaces[piece.id] = piece.size_m
            continue
        spaces[piece.id] = space.inner_size_m
        sides = zip(("width", "depth", "height"), space.inner_size_m, piece.size_m, strict=True)
        over = [(side, inner - outer) for side, inner, outer in sides if inner - outer > 1e-6]
        if over:
            yield Hazard(
                (piece.id,),
                clause(
                    "larger",
                    furniture=thing(piece.id),
                    sides=tuple(clause(f"more-{side}", by_m=by) for side, by in over),
                ),
                numbers=tuple(line(side, by, "m") for side, by in over),
            )
    yield from _said_to_lie_there(facts, spaces)
    yield from _crowded(facts, spaces)


def _said_to_lie_there(facts: Facts, spaces: Mapping[str, tuple[float, ...]]) -> Iterator[Hazard]:
    """Yield what is larger than the space that it lies in, or whose own place is off it."""
    boxes = {piece.id: pose_of(piece) for piece in facts.scenario.furniture}
    for item_id, where in facts.lying.items():
        item: Any = facts.items[item_id]
        if isinstance(item, Circuit | Outlet | Light | Strip):
            continue
        size = item.size_m
        lies = {"item": thing(item_id), "furniture": thing(where.furniture)}
        if size is not None:
            held = sorted(spaces[where.furniture])
            too_big = max(a - b for a, b in zip(sorted(size), held, strict=True))
            if too_big > 1e-6:
                width, depth, height = spaces[where.furniture]
                yield Hazard(
                    (item_id, where.furniture),
                    clause(
                        "too-big",
                        **lies,
                        width_m=width,
                        depth_m=depth,
                        height_m=height,
                        by_m=too_big,
                    ),
                    numbers=(
                        *(line("measures", part, "m") for part in size),
                        *(line("space-measures", part, "m") for part in spaces[where.furniture]),
                    ),
                )
                continue
        if item.at_m is not None:
            off = boxes[where.furniture].distance(item.at_m)
            if off > OFF_M:
                yield Hazard(
                    (item_id, where.furniture),
                    clause("elsewhere", **lies, off_m=off),
                    numbers=(line("outside", off, "m"), line("let-be", OFF_M, "m")),
                )


def _crowded(facts: Facts, spaces: Mapping[str, tuple[float, ...]]) -> Iterator[Hazard]:
    """Yield spaces whose contents, each of which fits, are larger than the space together."""
    held: dict[str, list[str]] = {}
    for item_id, where in facts.lying.items():
        if getattr(facts.items[item_id], "size_m", None) is not None and not isinstance(
            facts.items[item_id], Light
        ):
            held.setdefault(where.furniture, []).append(item_id)
    for furniture_id, ids in held.items():
        sizes: list[tuple[float, ...]] = [getattr(facts.items[i], "size_m", ()) for i in ids]
        together = sum(math.prod(size) for size in sizes)
        room = math.prod(spaces[furniture_id])
        alone = [math.prod(size) <= room for size in sizes]
        if len(ids) > 1 and all(alone) and together > room * (1 + 1e-9):
            yield Hazard(
                (furniture_id, *ids),
                clause("crowded", things=thing(*ids), furniture=thing(furniture_id)),
                numbers=(
                    line("together", 1000 * together, "l"),
                    line("space", 1000 * room, "l"),
                ),
            )


# -- eyes and pages -------------------------------------------------------------------------------


@rule(93)
def eye_or_page_buried(facts: Facts) -> Iterator[Hazard]:
    """An eye or a page that lies in furniture or outside the room, so that its number is wrong."""
    room = facts.scenario.room
    outline = np.array(room.outline_m)
    buried: dict[str, list[tuple[Clause, float]]] = {}
    for target in written_targets(facts.scenario):
        if target.person is None or not (target.is_eye or target.is_page):
            continue
        points = target.points
        out = ~points_in_polygon(points[:, :2], outline)
        share = float(out.mean())
        if share > 0.0 and max(nearest_wall(room, p)[0] for p in points[out]) > OFF_M:
            where = clause("outside", target=target.name)
            buried.setdefault(target.person, []).append((where, share))
            continue
        for piece_id, box in facts.boxes.items():
            share = float((depth_inside(box, points) > OFF_M).mean())
            if share > 0.0:
                where = clause("inside", target=target.name, furniture=thing(piece_id))
                buried.setdefault(target.person, []).append((where, share))
                break
    for person, places in buried.items():
        yield Hazard(
            (person,),
            clause("of", person=thing(person), places=tuple(where for where, _ in places)),
            numbers=tuple(line("share", 100 * share, "%", where=where) for where, share in places),
        )
