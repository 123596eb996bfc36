"""Where things go on a board: strips from its edges, a hidden space's needs, how it leans."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lumen.power.cord import drawer_slack
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip
from lumen.scenario.room import Furniture
from lumen.sheet.walls import nearest_wall, wall_of
from lumen.study.load.warmth import inside_of
from lumen.study.scene.surfaces import furniture_box

__all__ = ["HiddenSpace", "Lean", "StripCorner", "StripPlace", "hidden_spaces", "leans",
           "strip_places"]  # fmt: skip

Point = Sequence[float]

_NEAR_M = 0.15  # a strip this near a box lies on it
_VENT_M = 0.020  # a vent is drilled as holes this wide
_ON_M = 0.002


@dataclass(frozen=True)
class StripCorner:
    """A corner of a strip's path [m], as a tape measures it on its board.

    From the board's left edge as one faces it, below its top edge (less than 0: above it), from
    its back, and above the floor.
    """

    number: int
    from_left_m: float
    from_right_m: float
    below_top_m: float
    from_back_m: float
    above_floor_m: float


@dataclass(frozen=True)
class StripPlace:
    """On which piece of furniture a strip lies, on which of its sides, and its corners there."""

    id: str
    name: str
    board: str
    side: str
    corners: tuple[StripCorner, ...]


@dataclass(frozen=True)
class HiddenSpace:
    """What to make in a box for a hidden space: divider, vents, cord hole, what is left in front.

    ``divider_m`` is how far the divider's back face stands from the box's outer back, ``None``
    where the space takes the whole depth. ``vent_holes`` are so many of ``vent_hole_m`` low, and
    as many high. ``front_m`` is the depth left for a drawer, and ``slack_m`` what a cord into that
    drawer needs beside its route when it is drawn out as far.
    """

    id: str
    name: str
    inner_m: tuple[float, float, float]
    known: bool
    divider_m: float | None
    front_m: float | None
    slack_m: float | None
    vent_m2: float
    vent_holes: int
    vent_hole_m: float
    holds: tuple[str, ...]
    cords: int


@dataclass(frozen=True)
class Lean:
    """How a board leans: its angle, how far its top edge stands behind its foot, both off the wall.

    ``foot_off_m`` and ``top_off_m`` are from the wall to its back face; ``top_m`` the height of
    its upper back edge.
    """

    id: str
    name: str
    lean_deg: float
    behind_m: float
    foot_off_m: float
    top_off_m: float
    top_m: float


def strip_places(plan: Scenario) -> tuple[StripPlace, ...]:
    """Return where each LED strip lies on the piece of furniture that carries it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> place = strip_places(load(examples()[0]))[0]
    >>> place.board, place.side, place.corners[1].below_top_m, place.corners[1].from_left_m
    ('headboard', 'on its back', 0.05, 0.05)
    """
    places = []
    for strip in plan.strips:
        stretches = [range(len(strip.path_m))]
        if _carrier(plan, strip.path_m) is None:  # one board an edge, as round an alcove
            stretches = [range(k, k + 2) for k in range(len(strip.path_m) - 1)]
        for stretch in stretches:
            place = _place(plan, strip, stretch)
            if place is not None:
                places.append(place)
    return tuple(places)


def _place(plan: Scenario, strip: Strip, stretch: range) -> StripPlace | None:
    points = [strip.path_m[k] for k in stretch]
    carrier = _carrier(plan, points)
    if carrier is None:
        return None
    box = furniture_box(carrier)
    local = np.array([_local(box.axes, box.centre, point) for point in points])
    wide, deep, high = (float(v) for v in box.half_size)
    corners = tuple(
        StripCorner(
            number=number + 1,
            from_left_m=_micro(wide + u),
            from_right_m=_micro(wide - u),
            below_top_m=_micro(high - w),
            from_back_m=_micro(deep - v),
            above_floor_m=_micro(point[2]),
        )
        for number, (u, v, w), point in zip(stretch, local, points, strict=True)
    )
    return StripPlace(
        id=strip.id,
        name=strip.name or strip.id,
        board=carrier.name or carrier.id,
        side=_side(local, wide, deep, high),
        corners=corners,
    )


def _local(axes: ArrayLike, centre: ArrayLike, point: Point) -> list[float]:
    away = np.asarray(point, dtype=float) - np.asarray(centre, dtype=float)
    return [float(v) for v in np.asarray(axes, dtype=float) @ away]


def _carrier(plan: Scenario, points: Sequence[Point]) -> Furniture | None:
    best: tuple[float, float, Furniture] | None = None
    for item in plan.furniture:
        if item.kind in ("mattress", "curtain"):
            continue
        box = furniture_box(item)
        beyond = [
            float(np.linalg.norm(np.maximum(np.abs(local) - np.asarray(box.half_size), 0.0)))
            for local in (_local(box.axes, box.centre, point) for point in points)
        ]
        size = float(np.prod(item.size_m))
        if max(beyond) <= _NEAR_M and (best is None or (max(beyond), size) < best[:2]):
            best = (max(beyond), size, item)
    return None if best is None else best[2]


def _side(local: np.ndarray, wide: float, deep: float, high: float) -> str:
    u, v, w = local[:, 0], local[:, 1], local[:, 2]
    if np.all(v >= deep - _ON_M):
        return "on its back"
    if np.all(w >= high - _ON_M):
        return "on its upper edge"
    if np.all(w <= -high + _ON_M):
        return "on its underside"
    if np.all(v <= -deep + _ON_M):
        return "on its front"
    if np.all(np.abs(u) >= wide - _ON_M):
        return "on its sides"
    return "inside it"


def hidden_spaces(plan: Scenario) -> tuple[HiddenSpace, ...]:
    """Return what to make in each piece of furniture that hides something electric.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> space = next(s for s in hidden_spaces(load(examples()[0])) if s.id == "right nightstand")
    >>> space.divider_m, space.front_m, space.vent_holes
    (0.118, 0.214, 7)
    """
    return tuple(_spaces(plan))


def _spaces(plan: Scenario) -> Iterator[HiddenSpace]:
    held = inside_of(plan)
    names = {x.id: x.name or x.id for x in (*plan.supply, *plan.lights, *plan.strips)}
    every = (*plan.supply, *plan.lights, *plan.strips)
    for item in plan.furniture:
        space, inside = item.compartment, held.get(item.id, [])
        if space is None and not inside:
            continue
        thick = 0.018 if space is None else space.wall_thickness_m
        inner = (
            tuple(_micro(max(0.0, size - 2 * thick)) for size in item.size_m)
            if space is None
            else space.inner_size_m
        )
        divider = front = slack = None
        whole = item.size_m[1] - 2 * thick
        left = item.size_m[1] - thick - inner[1]  # the front, if any, is a drawer's own
        if space is not None and inner[1] < whole - thick:
            divider, front = _micro(thick + inner[1]), _micro(left - thick)
            slack = _micro(drawer_slack(front))
        vent = 0.0 if space is None else space.vent_area_m2
        one = math.pi / 4 * _VENT_M**2
        crossing = sum(
            (x.id in inside) != (getattr(x, "fed_from", None) in inside)
            for x in every
            if getattr(x, "fed_from", None) is not None
        )
        yield HiddenSpace(
            id=item.id,
            name=item.name or item.id,
            inner_m=(inner[0], inner[1], inner[2]),
            known=space is not None,
            divider_m=divider,
            front_m=front,
            slack_m=slack,
            vent_m2=vent,
            vent_holes=math.ceil(vent / 2 / one - 1e-9),
            vent_hole_m=_VENT_M,
            holds=tuple(names.get(thing, thing) for thing in inside),
            cords=crossing,
        )


def leans(plan: Scenario) -> tuple[Lean, ...]:
    """Return how every leaning board stands against the wall behind it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> leans(load(examples()[0]))
    ()
    """
    leaning = []
    for item in plan.furniture:
        if not item.lean_deg:
            continue
        box = furniture_box(item)
        axes, half = np.asarray(box.axes), np.asarray(box.half_size)
        way = math.copysign(1.0, item.lean_deg)
        foot, top = (
            np.asarray(box.centre) + way * axes[1] * half[1] + end * axes[2] * half[2]
            for end in (-1.0, 1.0)
        )
        wall = wall_of(plan, nearest_wall(plan, [float(v) for v in top]))
        foot_off, top_off = (wall.place([float(v) for v in p])[2] for p in (foot, top))
        leaning.append(
            Lean(
                id=item.id,
                name=item.name or item.id,
                lean_deg=abs(item.lean_deg),
                behind_m=_micro(foot_off - top_off),
                foot_off_m=_micro(foot_off),
                top_off_m=_micro(top_off),
                top_m=_micro(float(top[2])),
            )
        )
    return tuple(leaning)


def _micro(value: float) -> float:
    return round(float(value), 6) + 0.0
