"""Rules 51 to 53: heads under slopes and bunks, cords near a cot, lights over an upper bunk."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lumen.light.geometry import Box
from lumen.scenario.lights import Light, Strip
from lumen.scenario.people import Person
from lumen.scenario.room import Furniture
from lumen.scenario.supply import Appliance, Circuit, Outlet
from lumen.study.cautions.clauses import Clause, Surface, Things, clause, line, thing
from lumen.study.cautions.facts import Facts, Item
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.load.cord_runs import cord_runs, place_of
from lumen.study.scene.emitters import light_centre
from lumen.study.scene.surfaces import ceiling_height_m, furniture_box
from lumen.study.scene.targets import bed_of, sitting_eye

EYE_TO_TOP_M = 0.12  # MIL-STD-1472G: 836 - 724 and 972 - 862 mm, rounded up
HEAD_ROOM_M = 0.05  # our own: what a head wants above it
CORD_TO_COT_M = 0.9  # 3 ft, US Consumer Product Safety Commission
COT_TOP_M = 1.0  # a cot counts up to here, whatever part of it is drawn: our own
UPPER_BUNK_M = 0.76  # 30 in: underside from which a bed is a bunk (16 CFR 1213.2), from memory
BUNK_REACH_M = 1.0  # to what is over an upper bunk: our own, an arm and a little

_STEP_M = 0.02
Point = Sequence[float]


@rule(51)
def no_room_to_sit_up(facts: Facts) -> Iterator[Hazard]:
    """The top of a sitting head against the ceiling, or the bed, above it."""
    low: dict[str, list[_Head]] = {}
    for person in facts.scenario.people:
        bed = bed_of(facts.scenario, person)
        if bed is not None:
            head = _head(facts, person, bed)
            if head.room_m < HEAD_ROOM_M - 1e-9:
                low.setdefault(bed.id, []).append(head)
    for bed_id, heads in low.items():
        worst = min(heads, key=lambda head: head.room_m)
        severity: Severity = "warning" if worst.room_m < 0.0 else "advice"
        others = [head.person.id for head in heads if head is not worst]
        yield Hazard(
            (bed_id, *(head.person.id for head in heads)),
            clause(
                "above" if worst.room_m < 0.0 else "within",
                person=thing(worst.person.id),
                by_m=abs(worst.room_m),
                over=worst.over,
                others=(clause("others", people=thing(*others)),) if others else (),
            ),
            severity,
            (
                line("eye", worst.eye_m, "m"),
                line("eye-to-top", EYE_TO_TOP_M, "m"),
                line("top", worst.eye_m + EYE_TO_TOP_M, "m"),
                line("over", worst.over_m, "m", over=worst.over),
                line("left", worst.room_m, "m"),
                line("wanted", HEAD_ROOM_M, "m"),
            ),
            assumed=(_guess(worst.person),),
        )


@dataclass(frozen=True)
class _Head:
    """A sitting eye's height, what is over it and how high, and the room left above the head."""

    person: Person
    eye_m: float
    over_m: float
    over: Surface | Things

    @property
    def room_m(self) -> float:
        return self.over_m - self.eye_m - EYE_TO_TOP_M


def _head(facts: Facts, person: Person, bed: Furniture) -> _Head:
    eye = sitting_eye(bed, person).tolist()
    return _Head(person, eye[2], *_above(facts, bed, eye))


def _guess(person: Person) -> Clause:
    given = "eye_above_mattress_m" in person.model_fields_set
    return clause("assumed-head" if given else "assumed-head-and-eye", top_m=EYE_TO_TOP_M)


def _above(facts: Facts, bed: Furniture, eye: Point) -> tuple[float, Surface | Things]:
    """Return the height of what is over a sitting eye [m], and what that is."""
    room = facts.scenario.room
    ceiling = ceiling_height_m(room, float(eye[0]), float(eye[1]))
    slope = ceiling < room.height_m - 1e-6
    above: list[tuple[float, Surface | Things]] = [
        (ceiling, Surface("slope" if slope else "ceiling"))
    ]
    top = bed.at_m[2] + bed.size_m[2]
    for piece in facts.scenario.furniture:
        # a board under another board is not what a head meets first
        if piece.id != bed.id and piece.at_m[2] >= top and _over(piece, eye):
            above.append((piece.at_m[2], thing(piece.id)))
    return min(above, key=lambda each: each[0])


def _over(piece: Furniture, point: Point) -> bool:
    box = furniture_box(piece)
    local = np.asarray(box.axes) @ (np.array([point[0], point[1], box.centre[2]]) - box.centre)
    return bool(np.all(np.abs(local[:2]) <= np.asarray(box.half_size)[:2] + 1e-9))


@rule(52)
def cord_near_cot(facts: Facts) -> Iterator[Hazard]:
    """Anything on a cord, and every outlet, too near a cot for a child that reaches and pulls."""
    cots = [piece for piece in facts.scenario.furniture if piece.kind == "cot"]
    if not cots:
        return
    boxes = [(cot.id, _grown(cot)) for cot in cots]
    ways: dict[str, list[Sequence[Point]]] = {}
    for run in cord_runs(facts.scenario):
        ways.setdefault(run.id, []).append(run.corners_m)
    for item in facts.items.values():
        places = [(way, "cord") for way in ways.get(item.id, [])]
        places += [(way, "thing") for way in _own_places(facts, item)]
        near = [(_to_box(way, box), key, cot_id) for way, key in places for cot_id, box in boxes]
        if not near:
            continue
        # where a cord ends at its thing, the thing itself is named
        distance, key, cot_id = min(near, key=lambda each: (each[0], each[1] == "cord", each[2]))
        if distance >= CORD_TO_COT_M - 1e-9:
            continue
        corded = not isinstance(item, Outlet)
        yield Hazard(
            (item.id, cot_id),
            clause(f"{key}-near", item=thing(item.id), distance_m=distance, cot=thing(cot_id)),
            "danger" if corded else "warning",
            (
                line("distance", distance, "m"),
                line("keep", CORD_TO_COT_M, "m"),
                line("cot-top", float(boxes[0][1].half_size[2]) * 2, "m"),
            ),
            assumed=(clause("assumed-ways"),),
        )


def _own_places(facts: Facts, item: Item) -> Iterator[Sequence[Point]]:
    if isinstance(item, Circuit):
        return
    if isinstance(item, Strip):
        yield item.path_m
    elif isinstance(item, Light):
        centre = [float(x) for x in light_centre(facts.scenario, item)]
        yield (item.mount_m, centre)
    else:
        place = item.at_m if isinstance(item, Outlet) else place_of(facts.scenario, item.id)
        if place is not None:
            yield (place,)


def _grown(cot: Furniture) -> Box:
    """Return a cot's box from the floor up to its rail, whatever of it is drawn."""
    top = max(COT_TOP_M, cot.at_m[2] + cot.size_m[2])
    x, y, _ = cot.at_m
    size = (cot.size_m[0], cot.size_m[1], top)
    return furniture_box(
        cot.model_copy(update={"at_m": (x, y, 0.0), "size_m": size, "lean_deg": 0.0})
    )


def _to_box(way: Sequence[Point], box: Box) -> float:
    """Return the least distance from a line of corners to a box [m], 0 inside it."""
    points = [np.asarray(way[0], dtype=float)[None, :]]
    for a, b in itertools.pairwise(way):
        steps = max(2, math.ceil(math.dist(a, b) / _STEP_M) + 1)
        points.append(np.linspace(np.asarray(a, dtype=float), np.asarray(b, dtype=float), steps))
    local = np.abs((np.concatenate(points) - box.centre) @ np.asarray(box.axes).T)
    beyond = np.maximum(local - box.half_size, 0.0)
    return float(np.linalg.norm(beyond, axis=1).min())


@rule(53)
def light_over_upper_bunk(facts: Facts) -> Iterator[Hazard]:
    """A ceiling light or ceiling fan within reach of somebody on an upper bunk."""
    bunks = [
        piece
        for piece in facts.scenario.furniture
        if piece.kind == "mattress" and piece.at_m[2] > UPPER_BUNK_M
    ]
    for item_id, place in _overhead(facts):
        near = [
            (_to_box((place,), furniture_box(bunk)), bunk.id)
            for bunk in bunks
            if place[2] > bunk.at_m[2] + bunk.size_m[2]
        ]
        if not near:
            continue
        distance, bunk_id = min(near)
        if distance < BUNK_REACH_M:
            yield Hazard(
                (item_id, bunk_id),
                clause("near", item=thing(item_id), distance_m=distance, bunk=thing(bunk_id)),
                numbers=(
                    line("distance", distance, "m"),
                    line("reach", BUNK_REACH_M, "m"),
                ),
            )


def _overhead(facts: Facts) -> Iterator[tuple[str, Point]]:
    for light in facts.of(Light):
        if light.mount == "ceiling":
            centre = [float(x) for x in light_centre(facts.scenario, light)]
            yield light.id, centre
    for item in facts.of(Appliance):
        kind = facts.kind(item)
        if kind is not None and kind.key == "ceiling-fan" and item.at_m is not None:
            yield item.id, item.at_m
