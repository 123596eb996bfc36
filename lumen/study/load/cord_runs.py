"""Cords along their routes: how long, with slack, and which length to buy."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lumen.power.cord import cord_length
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import (
    Adapter,
    Appliance,
    Circuit,
    Driver,
    Extension,
    Outlet,
    PowerStrip,
    Receiver,
)
from lumen.study.scene.routes import route

__all__ = ["CordRun", "Unplaced", "cord_runs", "place_of", "unplaced"]

Point = tuple[float, float, float]


@dataclass(frozen=True)
class CordRun:
    """One cord: from where to where, its way, what it needs and what the plan has.

    ``to`` is what it is measured to: the nearest thing on the way to the wall whose place the
    plan knows. ``over_m`` is what the plan's cord has beyond the need, less than 0 when short.
    ``door`` names a door that the way cannot avoid.
    """

    id: str
    name: str
    kind: str
    plugged_into: str
    to: str
    measured_to_other: bool
    corners_m: tuple[Point, ...]
    door: str | None
    route_m: float
    needed_m: float
    buy_m: float | None
    has_m: float | None
    over_m: float | None
    explain: tuple[tuple[str, float, str], ...]


def place_of(scenario: Scenario, item_id: str) -> Point | None:
    """Return where a thing is [m]: its own place, else that of the power strip in whose holes it
    sits, else the middle of what it lies in.
    """
    for light in scenario.lights:
        if light.id == item_id:
            return light.mount_m
    boxes = {box.id: box for box in scenario.furniture}
    for item in scenario.supply:
        if item.id == item_id and not isinstance(item, Circuit):
            if item.at_m is not None:
                return item.at_m
            if isinstance(item, Receiver | Adapter | Driver):
                feeder = next((x for x in scenario.supply if x.id == item.fed_from), None)
                if isinstance(feeder, PowerStrip) and feeder.at_m is not None:
                    return feeder.at_m
            inside = None if isinstance(item, Outlet) else item.inside
            if inside in boxes:
                box = boxes[inside]
                x, y, z = box.at_m
                return (x, y, z + box.size_m[2] / 2)
    return None


def cord_runs(scenario: Scenario, only: str | None = None) -> tuple[CordRun, ...]:
    """Return the cords of lights, power strips, extensions, placed appliances and LED strips.

    With ``only`` the id of one thing, its own.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> run = cord_runs(load(examples()[0]))[0]
    >>> run.name, run.needed_m > run.route_m
    ('left light', True)
    """
    return tuple(_runs(scenario, only))


_KINDS: Mapping[type, str] = {
    Light: "lamp cord",
    PowerStrip: "strip",
    Extension: "extension",
    Appliance: "appliance",
}


def _runs(scenario: Scenario, only: str | None) -> Iterator[CordRun]:
    feeders: dict[str, Any] = {item.id: item for item in scenario.supply}
    things: list[Any] = [*scenario.lights, *scenario.supply]
    for item in things:
        if only not in (None, item.id):
            continue
        kind = next((word for cls, word in _KINDS.items() if isinstance(item, cls)), None)
        start = place_of(scenario, item.id) if kind else None
        if kind is None or start is None or item.fed_from is None:
            continue
        if isinstance(item, Light) and item.mount == "ceiling":
            continue
        has = None if item.cord is None else item.cord.length_m
        yield from _run(scenario, feeders, item, kind, start, item.fed_from, has)
    for strip in scenario.strips:
        if strip.fed_from is not None and only in (None, strip.id):
            has = None if strip.feed_cord is None else strip.feed_cord.length_m
            for point in _feed_points(strip):
                yield from _run(
                    scenario, feeders, strip, "low-voltage feed", point, strip.fed_from, has
                )


def _feed_points(strip: Strip) -> Sequence[Point]:
    first, last = strip.path_m[0], strip.path_m[-1]
    if strip.feed == "middle":
        return (_half_way(strip.path_m),)
    return {"start": (first,), "end": (last,), "both": (first, last)}[strip.feed]


def _half_way(path: Sequence[Point]) -> Point:
    left = math.fsum(math.dist(a, b) for a, b in itertools.pairwise(path)) / 2
    for a, b in itertools.pairwise(path):
        run = math.dist(a, b)
        if left <= run:
            x, y, z = (a[k] + (b[k] - a[k]) * left / run for k in range(3))
            return (x, y, z)
        left -= run
    return path[-1]


def _run(
    scenario: Scenario,
    feeders: Mapping[str, Any],
    item: Any,
    kind: str,
    start: Point,
    feeder: str,
    has: float | None,
) -> Iterator[CordRun]:
    at: str | None = feeder
    passed = []
    while at is not None and place_of(scenario, at) is None:
        passed.append(feeders.get(at))
        at = getattr(feeders.get(at), "fed_from", None)
    if at is None or isinstance(feeders[feeder], Circuit):
        return
    end = place_of(scenario, at)
    assert end is not None
    way = route(scenario, end, start)
    if len(way.corners_m) < 2:
        return
    sold = kind if kind in ("lamp cord", "strip", "extension") else "extension"
    length = cord_length(way.corners_m, region=scenario.region, kind=sold)
    buyable = kind in ("lamp cord", "strip", "extension")
    lines = length.explain if buyable else length.explain[:4]
    name = {thing.id: thing.name or thing.id for thing in scenario.supply}
    yield CordRun(
        id=item.id,
        name=item.name or item.id,
        kind=kind,
        plugged_into=name[feeder],
        to=name[at],
        measured_to_other=not all(_hangs_on(item) for item in passed),
        corners_m=way.corners_m,
        door=way.door,
        route_m=round(length.route_m, 6),
        needed_m=round(length.needed_m, 6),
        buy_m=length.buy_m if buyable else None,
        has_m=has,
        over_m=None if has is None else round(has - length.needed_m, 6),
        explain=lines,
    )


def _hangs_on(item: Any) -> bool:
    """Whether a thing sits right on what feeds it, so that its place is that of its feeder."""
    return not isinstance(item, PowerStrip | Extension | Driver)


@dataclass(frozen=True)
class Unplaced:
    """A cord that cannot be measured, since the plan does not say where one of its ends is."""

    id: str
    name: str
    kind: str
    unknown: str


def unplaced(scenario: Scenario) -> tuple[Unplaced, ...]:
    """Return the cords that are bought but cannot be measured, with what has no place.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> unplaced(load(examples()[0]))
    ()
    """
    measured = {run.id for run in cord_runs(scenario)}
    names = {item.id: item.name or item.id for item in scenario.supply}
    cords = []
    things: list[Any] = [*scenario.lights, *scenario.supply, *scenario.strips]
    for item in things:
        kind = next((word for cls, word in _KINDS.items() if isinstance(item, cls)), None)
        if isinstance(item, Strip):
            kind = "low-voltage feed"
        if kind in (None, "appliance") or item.fed_from is None or item.id in measured:
            continue
        if isinstance(item, Light) and item.mount == "ceiling":
            continue
        own = isinstance(item, Strip) or place_of(scenario, item.id) is not None
        name = item.name or item.id
        cords.append(Unplaced(item.id, name, str(kind), names[item.fed_from] if own else name))
    return tuple(cords)
