"""Where light is asked for: pages, bed, floor, the way to the door, mirrors and eyes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.outline import inside_outline, wall_normal
from lumen.scenario.people import Person
from lumen.scenario.room import Furniture, Opening
from lumen.study.cache import current
from lumen.study.scene.media import medium_of
from lumen.study.scene.nightpath import walk
from lumen.study.scene.surfaces import free_floor, furniture_box, held_in, solid_at

__all__ = [
    "LYING",
    "READING",
    "STANDING",
    "Kind",
    "Posture",
    "Subject",
    "Target",
    "bed_of",
    "eye_id",
    "lying_eye",
    "mattress_of",
    "named",
    "page_cells",
    "page_frame",
    "page_id",
    "side_page_frame",
    "sitting_eye",
    "slouched_eye",
    "subjects",
    "targets",
    "wall_place",
    "who",
]

Array = NDArray[np.float64]


class Kind(StrEnum):
    """What light is asked for on: planes, and eyes."""

    PAGE = "page"
    BED = "bed"
    FLOOR = "floor"
    WAY = "way"
    BEDSIDE = "bedside"
    FACE = "face"
    EYE = "eye"


class Posture(StrEnum):
    """How somebody sits, lies or stands who looks, or who holds a page."""

    SITTING = "sitting"
    SLOUCHED = "slouched"
    ON_THE_SIDE = "on the side"
    LYING_BACK = "lying back"
    LYING_LEFT = "lying left"
    LYING_RIGHT = "lying right"
    FOOT = "foot"
    DOOR = "door"


LYING = (Posture.LYING_BACK, Posture.LYING_LEFT, Posture.LYING_RIGHT)
READING = (Posture.SITTING, Posture.SLOUCHED, Posture.ON_THE_SIDE)
STANDING = (Posture.FOOT, Posture.DOOR)
_LIFT_M = 0.005  # sensors stand off the surface they report, clear of its own box
_FLOOR_STEP_M = 0.25  # a lamp near the floor: at 0.45 m its average came out 2.6 times too high
WALKS_FROM_YEARS = 2.0  # somebody younger does not walk to the door alone: our own assumption


@dataclass(frozen=True, eq=False)
class Target:
    """A plane or an eye: points (n, 3) [m], unit normals (n, 3), what it is and whose.

    ``id`` is how files and answers name it, ``name`` how people do. A page and an eye have a
    person and a posture, a way to the door and a bedside plane a person, a face at a mirror the
    ``opening`` that the mirror is.
    """

    id: str
    name: str
    kind: Kind
    points: Array
    normals: Array
    person: str | None = None
    posture: Posture | None = None
    opening: str | None = None

    @property
    def is_eye(self) -> bool:
        """Whether it is an eye; all else is a plane."""
        return self.kind is Kind.EYE

    @property
    def is_page(self) -> bool:
        """Whether it is the page of somebody who sits up: the one that setups are judged by."""
        return self.kind is Kind.PAGE and self.posture is Posture.SITTING

    @property
    def lies(self) -> bool:
        """Whether it is an eye of somebody who lies."""
        return self.is_eye and self.posture in LYING


@dataclass(frozen=True)
class Subject:
    """What a wish is about, as a plan names it: a target, or all lying postures of a person.

    ``posture`` is None for the worst lying posture of a person's eyes, and where there is none.
    """

    id: str
    kind: Kind
    person: str | None = None
    posture: Posture | None = None
    opening: str | None = None


def page_id(person: str, posture: Posture = Posture.SITTING) -> str:
    """Return how files and answers name a person's page.

    Examples
    --------
    >>> page_id("left"), page_id("left", Posture.SLOUCHED)
    ('page:left', 'page slouched:left')
    """
    return f"page{'' if posture is Posture.SITTING else f' {posture}'}:{person}"


def eye_id(person: str, posture: Posture | None = None) -> str:
    """Return how files and answers name a person's eyes; without a posture the worst lying one.

    Examples
    --------
    >>> eye_id("left"), eye_id("left", Posture.LYING_BACK)
    ('eye:left', 'eye:left:lying back')
    """
    return f"eye:{person}{'' if posture is None else f':{posture}'}"


def subjects(scenario: Scenario) -> Mapping[str, Subject]:
    """Return all that a plan's wishes may be about, by its name in the file.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = next(p for p in map(load, examples()) if p.title == "Plain pair")
    >>> one = subjects(plan)["page slouched:left"]
    >>> one.kind.value, one.person, one.posture.value
    ('page', 'left', 'slouched')
    """
    return {one.id: one for one in _subjects(scenario)}


def _subjects(scenario: Scenario) -> Iterator[Subject]:
    yield Subject("mattress", Kind.BED)
    yield Subject("floor", Kind.FLOOR)
    for opening in scenario.room.openings:
        yield Subject(f"mirror:{opening.id}", Kind.FACE, opening=opening.id)
    for person in scenario.people:
        who = person.id
        for posture in READING:
            yield Subject(page_id(who, posture), Kind.PAGE, who, posture)
        yield Subject(f"path:{who}", Kind.WAY, who)
        yield Subject(f"bedside:{who}", Kind.BEDSIDE, who)
        yield Subject(eye_id(who), Kind.EYE, who)
        for posture in Posture:
            yield Subject(eye_id(who, posture), Kind.EYE, who, posture)


def named(some: Iterable[Target]) -> dict[str, tuple[Target, ...]]:
    """Return targets by every name a wish may use: their own, or that of a person's lying eyes.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = next(p for p in map(load, examples()) if p.title == "Plain pair")
    >>> [t.posture.value for t in named(targets(plan))["eye:left"]]
    ['lying back', 'lying left', 'lying right']
    """
    found: dict[str, tuple[Target, ...]] = {}
    for target in some:
        found[target.id] = (target,)
        if target.lies and target.person is not None:
            name = eye_id(target.person)
            found[name] = (*found.get(name, ()), target)
    return found


def mattress_of(scenario: Scenario) -> Furniture | None:
    """Return the first mattress, the one people lie on."""
    return next((item for item in scenario.furniture if item.kind == "mattress"), None)


def bed_of(scenario: Scenario, person: Person) -> Furniture | None:
    """Return the mattress a person lies on: the one they name, else the first."""
    named = (item for item in scenario.furniture if item.id == person.bed)
    return next(named, mattress_of(scenario))


def targets(scenario: Scenario) -> tuple[Target, ...]:
    """Return every plane and eye of a plan that lies in its room, in a fixed order.

    They depend on room, furniture and people only, and are kept while a light moves.
    """
    return current().get(
        "targets",
        lambda: tuple(t for t in _targets(scenario) if _in_room(scenario, t)),
        room=scenario.room,
        furniture=scenario.furniture,
        people=scenario.people,
    )


def written_targets(scenario: Scenario) -> tuple[Target, ...]:
    """Return every plane and eye as it is written, also where it lies outside the room."""
    return tuple(_targets(scenario))


def _in_room(scenario: Scenario, target: Target) -> bool:
    """Whether all of a target lies in the room: under a low slope nobody sits up or stands."""
    return not held_in(scenario.room, (), target.points)[1].any()


def _targets(scenario: Scenario) -> Iterator[Target]:
    mattress = mattress_of(scenario)
    if mattress is not None:
        for person in scenario.people:
            if person.reads:
                frame = page_frame(bed_of(scenario, person) or mattress, person)
                yield _page(person, frame, Posture.SITTING)
        yield _mattress_top(mattress)
    floor = free_floor(scenario.room, scenario.furniture, _FLOOR_STEP_M)
    if len(floor):
        points = np.column_stack([floor, np.full(len(floor), _LIFT_M)])
        normals = np.tile([0.0, 0.0, 1.0], (len(floor), 1))
        yield Target("floor", "Floor", Kind.FLOOR, points, normals)
    if mattress is not None:
        for person in scenario.people:
            if person.age is not None and person.age < WALKS_FROM_YEARS:
                continue
            yield from _way(scenario, bed_of(scenario, person) or mattress, person)
        for person in scenario.people:
            if person.reads:
                yield _bedside(bed_of(scenario, person) or mattress, person)
        for person in scenario.people:
            if person.reads:
                yield from _pages_lying(scenario, bed_of(scenario, person) or mattress, person)
    for opening in scenario.room.openings:
        if opening.kind == "mirror":
            yield _face(scenario, opening)
    if mattress is not None:
        for person in scenario.people:
            yield from _eyes(scenario, bed_of(scenario, person) or mattress, person)


def person_x_m(mattress: Furniture, person: Person) -> float:
    """Return how far right of the bed's centre line a person lies [m]: a quarter of the bed."""
    if person.from_centre_m is not None:
        return person.from_centre_m
    return {"left": -0.25, "middle": 0.0, "right": 0.25}[person.side] * mattress.size_m[0]


def bed_point(mattress: Furniture, right_m: float, from_head_m: float, up_m: float) -> Array:
    """Return a point [m] from the bed's own corner: right of centre, from head end, above top."""
    box = furniture_box(mattress)
    local = np.array([right_m, box.half_size[1] - from_head_m, box.half_size[2] + up_m])
    return np.asarray(box.centre + local @ box.axes)


def bed_axes(mattress: Furniture) -> Array:
    """Return the bed's unit axes (3, 3): right, toward the head, up."""
    return np.asarray(furniture_box(mattress).axes)


def sitting_eye(mattress: Furniture, person: Person) -> Array:
    """Return the eye (3,) [m] of a person who sits up against the headboard."""
    return bed_point(
        mattress,
        person_x_m(mattress, person),
        person.eye_from_head_end_m,
        middle(person.eye_above_mattress_m),
    )


def page_frame(mattress: Furniture, person: Person) -> tuple[Array, Array, Array, Array]:
    """Return centre, across, up-the-page and normal of a person's page, each (3,).

    The page lies ``distance_m`` from the sitting eye along a gaze ``gaze_down_deg`` below level
    and squarely faces the eye.
    """
    right, headward, up = bed_axes(mattress)
    down = math.radians(person.page.gaze_down_deg)
    gaze = -math.cos(down) * headward - math.sin(down) * up
    centre = sitting_eye(mattress, person) + middle(person.page.distance_m) * gaze
    up_page = math.cos(down) * up - math.sin(down) * headward
    return centre, right, up_page, -gaze


def slouched_page_frame(mattress: Furniture, person: Person) -> tuple[Array, Array, Array, Array]:
    """Return centre, across, up-the-page and normal of the page of somebody who has slid down.

    As :func:`page_frame`, with the gaze down in the proportion of the eye's height: who leans back
    holds the page steeper. Our own assumption.
    """
    right, headward, up = bed_axes(mattress)
    down = math.radians(SLOUCH * person.page.gaze_down_deg)
    gaze = -math.cos(down) * headward - math.sin(down) * up
    centre = slouched_eye(mattress, person) + middle(person.page.distance_m) * gaze
    return centre, right, math.cos(down) * up - math.sin(down) * headward, -gaze


def side_page_frame(
    scenario: Scenario, mattress: Furniture, person: Person
) -> tuple[Array, Array, Array, Array] | None:
    """Return the same of a page that is read lying on the side; None where none has room.

    The page stands on its edge on the mattress, its lines upright as the eyes are, squarely before
    the lying eye; toward one's own side of the bed, or toward the other where a wall or a thing is
    in the way. Our own assumption.
    """
    right, headward, up = bed_axes(mattress)
    eye = lying_eye(mattress, person)
    medium, away = medium_of(person), middle(person.page.distance_m)
    rise = max(0.0, medium.width_m / 2 + _LIFT_M - middle(person.lying_eye_above_mattress_m))
    if rise >= away:
        return None
    out = -right if person.side == "left" else right
    for way in (out, -out):
        centre = eye + math.sqrt(away**2 - rise**2) * way + rise * up
        free = inside_outline(scenario.room.outline_m, (centre[0], centre[1]))
        if free and not solid_at(scenario.furniture, centre[None]).any():
            normal = (eye - centre) / away
            return centre, np.cross(headward, normal), headward, normal
    return None


def lying_eye(mattress: Furniture, person: Person) -> Array:
    """Return the eye (3,) [m] of a person who lies."""
    return bed_point(
        mattress,
        person_x_m(mattress, person),
        person.lying_eye_from_head_end_m,
        middle(person.lying_eye_above_mattress_m),
    )


def page_cells(person: Person) -> tuple[int, int]:
    """Return how many cells of about 5 cm a page is looked at in, across and up it.

    A shadow's edge on a page moves the average of so many by about 2 % (of 20 by up to 10 %).
    """
    medium = medium_of(person)
    width, height = (
        max(_LEAST_CELLS, round(size / _PAGE_STEP_M)) for size in (medium.width_m, medium.height_m)
    )
    return width, height


_PAGE_STEP_M, _LEAST_CELLS = 0.05, 4


def _pages_lying(scenario: Scenario, mattress: Furniture, person: Person) -> Iterator[Target]:
    """The pages of somebody who has slid down, and of somebody who lies on the side."""
    slouched = slouched_page_frame(mattress, person)
    yield _page(person, slouched, Posture.SLOUCHED)
    side = side_page_frame(scenario, mattress, person)
    if side is not None:
        yield _page(person, side, Posture.ON_THE_SIDE)


def _page(
    person: Person,
    frame: tuple[Array, Array, Array, Array],
    posture: Posture,
) -> Target:
    centre, across, up_page, normal = frame
    few = 1 if posture is Posture.SITTING else 2  # postures between are looked at in larger cells
    u, v = ((np.arange(n) + 0.5) / n - 0.5 for n in (-(-n // few) for n in page_cells(person)))
    medium = medium_of(person)
    grid = [
        centre + a * medium.width_m * across + b * medium.height_m * up_page for b in v for a in u
    ]
    name = f"{who(person)} page" + ("" if posture is Posture.SITTING else f", {posture}")
    points = np.array(grid)
    normals = np.tile(normal, (len(points), 1))
    target = page_id(person.id, posture)
    return Target(target, name, Kind.PAGE, points, normals, person.id, posture)


def who(person: Person) -> str:
    """Return what a person is called at the head of a sentence."""
    name = person.name or person.id
    return name[:1].upper() + name[1:]


def _mattress_top(mattress: Furniture) -> Target:
    box = furniture_box(mattress)
    counts = [max(3, round(2 * half / 0.25)) for half in box.half_size[:2]]
    u, v = (
        ((np.arange(n) + 0.5) / n * 2 - 1) * half
        for n, half in zip(counts, box.half_size[:2], strict=True)
    )
    local = np.array([(a, b, box.half_size[2] + _LIFT_M) for b in v for a in u])
    points = box.centre + local @ box.axes
    normals = np.tile(box.axes[2], (len(points), 1))
    return Target("mattress", "Bed", Kind.BED, points, normals)


def _way(scenario: Scenario, mattress: Furniture, person: Person) -> Iterator[Target]:
    """The floor along the walk to the door."""
    way = walk(scenario, mattress, person)
    if way is not None:
        points = np.column_stack([way, np.full(len(way), _LIFT_M)])
        normals = np.tile([0.0, 0.0, 1.0], (len(points), 1))
        name = f"{who(person)}'s way to the door"
        yield Target(f"path:{person.id}", name, Kind.WAY, points, normals, person.id)


def _bedside(mattress: Furniture, person: Person) -> Target:
    """The bedside test plane, on the reader's own line of the bed.

    75 degrees to the level, 0.9 m wide, 0.3 m high, its centre 1.10 m above the floor and 0.80 m
    from the bed's head end, facing the head; three fields of 0.3 m, nine points each.

    Source: DIN 5035-3, as a hospital lighting maker's pages give it. Made for hospital beds.
    """
    right, headward, _ = bed_axes(mattress)
    headward = np.array([headward[0], headward[1], 0.0]) / np.linalg.norm(headward[:2])
    up, tilt = np.array([0.0, 0.0, 1.0]), math.radians(75.0)
    centre = bed_point(mattress, person_x_m(mattress, person), 0.80, 0.0)
    centre[2] = 1.10
    up_plane = math.sin(tilt) * up - math.cos(tilt) * headward
    normal = math.cos(tilt) * up + math.sin(tilt) * headward
    u, v = (np.arange(9) - 4) * 0.1, (np.arange(3) - 1) * 0.1
    points = np.array([centre + a * right + b * up_plane for b in v for a in u])
    name = f"{who(person)}'s bedside test plane"
    return Target(
        f"bedside:{person.id}",
        name,
        Kind.BEDSIDE,
        points,
        np.tile(normal, (len(points), 1)),
        person.id,
    )


FACE_TO_MIRROR_M = 0.5
"""How far a face is from the mirror it looks into: common practice, no source."""


def _face(scenario: Scenario, mirror: Opening) -> Target:
    """A face before a mirror, upright and turned to it: 0.2 m wide, 0.3 m high."""
    n, middle_of = wall_place(scenario, mirror.wall, (mirror.from_m + mirror.to_m) / 2)
    standing = [middle(person.standing_eye_m) for person in scenario.people]
    height = sum(standing) / len(standing) if standing else 1.58
    height = min(height, scenario.room.height_m - 0.2)
    centre = np.array([*(middle_of + FACE_TO_MIRROR_M * n), height])
    along, toward = np.array([-n[1], n[0], 0.0]), np.array([-n[0], -n[1], 0.0])
    up = np.array([0.0, 0.0, 1.0])
    points = np.array(
        [centre + a * along + b * up for b in (-0.1, 0.0, 0.1) for a in (-0.07, 0.0, 0.07)]
    )
    normals = np.tile(toward, (len(points), 1))
    name = f"Face at the {mirror.id}"
    return Target(f"mirror:{mirror.id}", name, Kind.FACE, points, normals, opening=mirror.id)


def wall_place(scenario: Scenario, wall: int, along_m: float) -> tuple[Array, Array]:
    """Return a wall's inward normal (2,) and the place (2,) [m] so far along it."""
    outline = scenario.room.outline_m
    start, end = (np.array(outline[(wall + k) % len(outline)], dtype=float) for k in (0, 1))
    along = (end - start) / np.linalg.norm(end - start)
    return np.array(wall_normal(outline, wall)), start + along_m * along


def slouched_eye(mattress: Furniture, person: Person) -> Array:
    """Return the eye (3,) [m] of a person who has slid down: two thirds as high, 10 cm further.

    A reclined eye is about 0.45 m above the mattress against 0.68 m upright (from memory); kept in
    proportion to what was measured.
    """
    return bed_point(
        mattress,
        person_x_m(mattress, person),
        person.eye_from_head_end_m + 0.10,
        SLOUCH * middle(person.eye_above_mattress_m),
    )


SLOUCH = 0.45 / 0.68


def _eyes(scenario: Scenario, mattress: Furniture, person: Person) -> Iterator[Target]:
    right, _, up = bed_axes(mattress)
    _, _, _, to_eye = page_frame(mattress, person)
    lying = lying_eye(mattress, person)
    views: list[tuple[Posture, Array, Array]] = [
        (Posture.SITTING, sitting_eye(mattress, person), -to_eye),
        (Posture.SLOUCHED, slouched_eye(mattress, person), -to_eye),
        (Posture.LYING_BACK, lying, up),
        (Posture.LYING_LEFT, lying, -right),
        (Posture.LYING_RIGHT, lying, right),
        *_standing(scenario, mattress, person),
    ]
    for posture, eye, gaze in views:
        yield Target(
            eye_id(person.id, posture),
            f"{who(person)}'s eyes, {posture}",
            Kind.EYE,
            eye.reshape(1, 3),
            np.asarray(gaze, dtype=float).reshape(1, 3),
            person.id,
            posture,
        )


def _standing(
    scenario: Scenario, mattress: Furniture, person: Person
) -> Iterator[tuple[Posture, Array, Array]]:
    """Eyes at the foot of the bed and just inside the door, looking toward the pillows."""
    room, height = scenario.room, middle(person.standing_eye_m)
    pillow = bed_point(mattress, 0.0, 0.3, 0.0)
    _, headward, _ = bed_axes(mattress)
    for off in (0.6, 0.4, 0.2):
        foot = bed_point(mattress, person_x_m(mattress, person), mattress.size_m[1] + off, 0.0)
        if inside_outline(room.outline_m, (foot[0], foot[1])) and height < room.height_m:
            foot[2] = height
            yield Posture.FOOT, foot, headward * np.array([1.0, 1.0, 0.0])
            break
    for opening in room.openings:
        if opening.kind == "door":
            n, middle_of = wall_place(scenario, opening.wall, (opening.from_m + opening.to_m) / 2)
            at = middle_of + 0.4 * n
            look = pillow[:2] - at
            look = look / (np.linalg.norm(look) or 1.0)
            yield Posture.DOOR, np.array([*at, height]), np.array([*look, 0.0])
            return
