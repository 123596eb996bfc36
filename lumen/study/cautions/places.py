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
from lumen.study.cautions.facts import Facts, Item
from lumen.study.cautions.registry import Found, Line, Severity, rule
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
def no_room_to_sit_up(facts: Facts) -> Iterator[Found]:
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
        mm = 1000 * abs(worst.room_m)
        if worst.room_m < 0.0:
            severity: Severity = "warning"
            words = f"would be {mm:.0f} mm above {worst.over}: nobody can sit up there"
        else:
            severity = "advice"
            words = f"comes within {mm:.0f} mm of {worst.over}"
        others = [head for head in heads if head is not worst]
        more = f"; the same for {facts.list_of([h.person.id for h in others])}" if others else ""
        yield Found(
            (bed_id, *(head.person.id for head in heads)),
            f"sitting up against the head end, the head of {facts.the(worst.person.id)} "
            f"{words}{more}.",
            severity,
            (
                ("sitting eye", worst.eye_m, "m"),
                ("top of the head above the eye, assumed", EYE_TO_TOP_M, "m"),
                ("top of the head", worst.eye_m + EYE_TO_TOP_M, "m"),
                (f"{worst.over} there", worst.over_m, "m"),
                ("room left", worst.room_m, "m"),
                ("room wanted", HEAD_ROOM_M, "m"),
            ),
            assumed=_guess(worst.person),
        )


@dataclass(frozen=True)
class _Head:
    """A sitting eye's height, what is over it and how high, and the room left above the head."""

    person: Person
    eye_m: float
    over_m: float
    over: str

    @property
    def room_m(self) -> float:
        return self.over_m - self.eye_m - EYE_TO_TOP_M


def _head(facts: Facts, person: Person, bed: Furniture) -> _Head:
    eye = sitting_eye(bed, person).tolist()
    return _Head(person, eye[2], *_above(facts, bed, eye))


def _guess(person: Person) -> str:
    given = "eye_above_mattress_m" in person.model_fields_set
    return f"a head {1000 * EYE_TO_TOP_M:.0f} mm above the eye" + (
        "" if given else " and a sitting eye nobody has measured"
    )


def _above(facts: Facts, bed: Furniture, eye: Point) -> tuple[float, str]:
    """Return the height of what is over a sitting eye [m], and its name."""
    room = facts.scenario.room
    ceiling = ceiling_height_m(room, float(eye[0]), float(eye[1]))
    found = [(ceiling, "the slope" if ceiling < room.height_m - 1e-6 else "the ceiling")]
    top = bed.at_m[2] + bed.size_m[2]
    for piece in facts.scenario.furniture:
        # a board under another board is not what a head meets first
        if piece.id != bed.id and piece.at_m[2] >= top and _over(piece, eye):
            found.append((piece.at_m[2], facts.the(piece.id)))
    return min(found)


def _over(piece: Furniture, point: Point) -> bool:
    box = furniture_box(piece)
    local = np.asarray(box.axes) @ (np.array([point[0], point[1], box.centre[2]]) - box.centre)
    return bool(np.all(np.abs(local[:2]) <= np.asarray(box.half_size)[:2] + 1e-9))


@rule(52)
def cord_near_cot(facts: Facts) -> Iterator[Found]:
    """Anything on a cord, and every outlet, too near a cot for a child that reaches and pulls."""
    cots = [piece for piece in facts.scenario.furniture if piece.kind == "cot"]
    if not cots:
        return
    boxes = [(cot.id, _grown(cot)) for cot in cots]
    ways: dict[str, list[Sequence[Point]]] = {}
    for run in cord_runs(facts.scenario):
        ways.setdefault(run.id, []).append(run.corners_m)
    for item in facts.items.values():
        places = [(way, f"the cord of {facts.the(item.id)}") for way in ways.get(item.id, [])]
        places += [(way, facts.the(item.id)) for way in _own_places(facts, item)]
        near = [(_to_box(way, box), what, cot_id) for way, what in places for cot_id, box in boxes]
        if not near:
            continue
        distance, what, cot_id = min(near)
        if distance >= CORD_TO_COT_M - 1e-9:
            continue
        corded = not isinstance(item, Outlet)
        yield Found(
            (item.id, cot_id),
            f"{what} comes within {distance:.2f} m of {facts.the(cot_id)}.",
            "danger" if corded else "warning",
            (
                ("distance", distance, "m"),
                ("keep at least", CORD_TO_COT_M, "m"),
                ("a cot counts up to", boxes[0][1].half_size[2] * 2, "m"),
            ),
            assumed="cords run along the walls and straight up; a cot is about 1 m high",
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
def light_over_upper_bunk(facts: Facts) -> Iterator[Found]:
    """A ceiling light or ceiling fan within reach of somebody on an upper bunk."""
    bunks = [
        piece
        for piece in facts.scenario.furniture
        if piece.kind == "mattress" and piece.at_m[2] > UPPER_BUNK_M
    ]
    for item_id, what, place in _overhead(facts):
        near = [
            (_to_box((place,), furniture_box(bunk)), bunk.id)
            for bunk in bunks
            if place[2] > bunk.at_m[2] + bunk.size_m[2]
        ]
        if not near:
            continue
        distance, bunk_id = min(near)
        if distance < BUNK_REACH_M:
            lines: tuple[Line, ...] = (
                ("distance to the mattress", distance, "m"),
                ("within reach under", BUNK_REACH_M, "m"),
            )
            yield Found(
                (item_id, bunk_id),
                f"{what} is {distance:.2f} m from {facts.the(bunk_id)}, "
                "within reach of who lies there.",
                numbers=lines,
            )


def _overhead(facts: Facts) -> Iterator[tuple[str, str, Point]]:
    for light in facts.of(Light):
        if light.mount == "ceiling":
            centre = [float(x) for x in light_centre(facts.scenario, light)]
            yield light.id, facts.the(light.id), centre
    for item in facts.of(Appliance):
        kind = facts.kind(item)
        if kind is not None and kind.key == "ceiling-fan" and item.at_m is not None:
            yield item.id, facts.the(item.id), item.at_m
