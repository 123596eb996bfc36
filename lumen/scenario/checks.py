"""Checks that span parts of a plan: names, references, loops, and what must lie in the room."""

from __future__ import annotations

import difflib
import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from lumen.errors import Fault
from lumen.scenario.outline import area_m2, inside_outline, outline_faults
from lumen.scenario.plausible import hint, numbers
from lumen.scenario.pose import facing_of
from lumen.tables import table

__all__ = ["MOST_FLOOR_M2", "MOST_STRIP_WORK", "cross_faults", "strip_work"]

Parts = Mapping[str, Sequence[tuple[int, Any]]]

_PLANES = ("mattress", "floor")
_POSTURES = ("sitting", "slouched", "lying back", "lying left", "lying right", "foot", "door")
_DRAWS = ("lights", "strips")
_SQUARE = 0.9  # a strip may be written to face so far along its run; it is then set square


def cross_faults(parts: Parts) -> list[Fault]:
    """Return what is wrong between parts that each hold on their own.

    ``parts`` maps a section to its sound items with their numbers in the file; ``named`` holds
    section and id of all that was written, items at fault as well, so that one slip is told once.
    """
    return [
        *_double_names(parts),
        *_references(parts),
        *_loops(parts),
        *_appliances(parts),
        *_room_faults(parts),
        *_outside(parts),
        *_impossible(parts),
        *_ceilings(parts),
    ]


def _double_names(parts: Parts) -> Iterator[Fault]:
    everything = [
        (f"{section}[{number}].id", item.id)
        for section in ("furniture", "people", "lights", "strips", "supply")
        for number, item in parts[section]
    ]
    counts = Counter(name for _, name in everything)
    seen: set[str] = set()
    for path, name in everything:
        if counts[name] > 1 and name in seen:
            yield Fault(path, "must differ from every other id in the plan", name)
        seen.add(name)
    for section in ("setups", "aims"):
        own = Counter(item.id for _, item in parts[section])
        for number, item in parts[section]:
            if own[item.id] > 1:
                own[item.id] = 0
                yield Fault(f"{section}[{number}].id", f"must differ within {section}", item.id)


def _references(parts: Parts) -> Iterator[Fault]:
    written: dict[str, set[str]] = defaultdict(set)
    for _, (section, name) in parts["named"]:
        written[section].add(name)
    kinds = {item.id: item.kind for _, item in parts["supply"]}
    furniture, people = written["furniture"], written["people"]
    draws = written["lights"] | written["strips"]
    feeders = [name for name, kind in kinds.items() if kind != "appliance"]

    for section in (*_DRAWS, "supply"):
        for number, item in parts[section]:
            path = f"{section}[{number}]"
            feeder = getattr(item, "fed_from", None)
            if feeder is not None and feeder not in written["supply"]:
                rule = f"must name a supply node ({_list(feeders)})"
                yield Fault(f"{path}.fed_from", rule, feeder)
            elif feeder is not None and kinds.get(feeder) == "appliance":
                yield Fault(f"{path}.fed_from", "must not be an appliance", feeder)
            elif getattr(item, "kind", "") == "outlet" and kinds.get(feeder, "circuit") != (
                "circuit"
            ):
                yield Fault(f"{path}.fed_from", "must be a circuit", feeder)
            elif (
                getattr(item, "kind", "") not in ("", "outlet") and kinds.get(feeder) == "circuit"
            ) and not getattr(item, "fixed", False):
                yield Fault(f"{path}.fed_from", "must be an outlet or what is plugged in", feeder)
            elif (
                section == "strips"
                and feeder is not None
                and kinds.get(feeder, "driver") != ("driver")
            ):
                yield Fault(f"{path}.fed_from", "must be a driver", feeder)
            inside = getattr(item, "inside", None)
            if inside is not None and inside not in furniture:
                yield Fault(f"{path}.inside", f"must name furniture ({_list(furniture)})", inside)

    # A node at fault may be an appliance for all one knows.
    appliances = {name for name in written["supply"] if kinds.get(name, "appliance") == "appliance"}
    setups = written["setups"]
    rooms = [room for _, room in parts["room"]]
    for number, setup in parts["setups"]:
        for name in setup.levels:
            if name not in draws:
                yield Fault(
                    f"setups[{number}].levels", f"must name lights or strips ({_list(draws)})", name
                )
        for name in setup.running:
            if name not in appliances:
                rule = f"must name appliances ({_list(appliances)})"
                yield Fault(f"setups[{number}].running", rule, name)
        for name in setup.reading or ():
            if name not in people:
                rule = f"must name people ({_list(people)})"
                yield Fault(f"setups[{number}].reading", rule, name)
    for number, aim in parts["aims"]:
        if fault := _target_fault(aim.of, people, rooms):
            yield Fault(f"aims[{number}].of", fault, aim.of)
        if aim.at_least is None and aim.at_most is None:
            yield Fault(f"aims[{number}]", "needs at_least or at_most", aim.id)
        if aim.at_least is not None and aim.at_most is not None and aim.at_least > aim.at_most:
            yield Fault(
                f"aims[{number}].at_least", f"must be {aim.at_most:g} or less", aim.at_least
            )
        for name in aim.setups:
            if name not in setups:
                yield Fault(f"aims[{number}].setups", f"must name setups ({_list(setups)})", name)
    others = {item.id for _, item in parts["furniture"] if item.kind != "mattress"}
    for number, person in parts["people"]:
        if person.bed is not None and person.bed not in furniture - others:
            rule = f"must name a mattress ({_list(furniture - others)})"
            yield Fault(f"people[{number}].bed", rule, person.bed)
    for number, light in parts["lights"]:
        at = light.aim.at
        if at is not None and (fault := _target_fault(at, people, rooms)):
            yield Fault(f"lights[{number}].aim.at", fault, at)


PAGES_LYING = ("page slouched", "page on the side")
"""Pages of somebody who has slid down, and of somebody who reads lying on the side."""


def _target_fault(target: str, people: set[str], rooms: Sequence[Any]) -> str | None:
    """Why a target does not exist; a room at fault (no ``rooms``) may hold any mirror or door."""
    head, *rest = target.split(":")
    openings = [opening for room in rooms for opening in room.openings]
    if head in _PLANES and not rest:
        return None
    if head in ("page", "path", "bedside") and len(rest) == 1 and rest[0] in people:
        if head == "path" and rooms and not any(o.kind == "door" for o in openings):
            return "needs a door in room.openings to lead to"
        return None
    if head in PAGES_LYING and len(rest) == 1 and rest[0] in people:
        return None
    if head == "eye" and len(rest) in (1, 2) and rest[0] in people:
        if len(rest) == 1 or rest[1] in _POSTURES:
            return None
        return f"must end in one of {', '.join(_POSTURES)}"
    mirrors = {opening.id for opening in openings if opening.kind == "mirror"}
    if head == "mirror" and len(rest) == 1:
        if not rooms or rest[0] in mirrors:
            return None
        return f"must name a mirror of room.openings ({_list(mirrors)})"
    return (
        "must be mattress, floor, page:<person>, page slouched:<person>, "
        "page on the side:<person>, "
        "path:<person>, bedside:<person>, eye:<person>, "
        f"eye:<person>:<posture> or mirror:<opening>, with a person of the plan ({_list(people)})"
    )


def _loops(parts: Parts) -> Iterator[Fault]:
    parent = {item.id: getattr(item, "fed_from", None) for _, item in parts["supply"]}
    for number, item in parts["supply"]:
        at, steps = parent.get(item.id), 0
        while at is not None and at != item.id and steps <= len(parent):
            at, steps = parent.get(at), steps + 1
        if at == item.id:
            yield Fault(f"supply[{number}].fed_from", "must not lead back to itself", item.fed_from)


def _appliances(parts: Parts) -> Iterator[Fault]:
    """Faults of appliances that nothing gives watts: neither a number nor a row of the table."""
    known = {row["key"]: row["name"].lower() for row in table("appliances")}
    for number, item in parts["supply"]:
        if item.kind != "appliance":
            continue
        like = None if item.like is None else item.like.strip().lower()
        if like is None and item.power_w is None:
            yield Fault(f"supply[{number}].power_w", "must be given, or like must be", None)
        elif (
            like is not None
            and like.replace(" ", "-") not in known
            and like not in (*known.values(),)
        ):
            near = difflib.get_close_matches(like.replace(" ", "-"), sorted(known), n=3)
            names = ", ".join(near) or "heater, hair-dryer, television and others"
            rule = f"must name a row of the appliance table ({names})"
            yield Fault(f"supply[{number}].like", rule, item.like)


MOST_FLOOR_M2 = 200.0
"""A larger floor is no bedroom, and its light would take longer than anybody waits."""

MOST_STRIP_WORK = 1200
"""Straight runs of strips times pieces of furniture: more would take over twenty seconds."""


def strip_work(strips: Sequence[Any], furniture: Sequence[Any]) -> int:
    """Return how many pairs of a strip's straight run and a piece of furniture there are."""
    return sum(len(strip.path_m) - 1 for strip in strips) * len(furniture)


def _ceilings(parts: Parts) -> Iterator[Fault]:
    """Faults of plans that would take more time or memory than a bedroom is worth."""
    for _, room in parts["room"]:
        floor = area_m2(room.outline_m)
        if floor > MOST_FLOOR_M2:
            rule = f"must enclose at most {MOST_FLOOR_M2:g} m2 of floor"
            yield Fault("room.outline_m", rule, round(floor, 1))
    strips, boxes = ([item for _, item in parts[name]] for name in ("strips", "furniture"))
    work = strip_work(strips, boxes)
    if work > MOST_STRIP_WORK:
        rule = (
            f"must have at most {MOST_STRIP_WORK // len(boxes)} straight runs in all beside "
            f"{len(boxes)} pieces of furniture; leave out furniture that is far from any strip"
        )
        yield Fault("strips", rule, work // len(boxes))


def _room_faults(parts: Parts) -> Iterator[Fault]:
    for _, room in parts["room"]:
        yield from outline_faults(room.outline_m)
        walls = len(room.outline_m)
        if room.bed_wall is not None and not 0 <= room.bed_wall < walls:
            yield Fault("room.bed_wall", f"must be a wall, 0 to {walls - 1}", room.bed_wall)
        for name in room.finishes.wall_by_wall:
            if not (name.isdigit() and int(name) < walls):
                rule = f"must be keyed by wall, 0 to {walls - 1}"
                yield Fault("room.finishes.wall_by_wall", rule, name)
        for number, item in enumerate((*room.slopes, *room.openings)):
            section, at = (
                ("slopes", number)
                if number < len(room.slopes)
                else ("openings", number - len(room.slopes))
            )
            if item.wall >= walls:
                rule = f"must be a wall, 0 to {walls - 1}"
                yield Fault(f"room.{section}[{at}].wall", rule, item.wall)
        for number, opening in enumerate(room.openings):
            if opening.to_m <= opening.from_m:
                yield Fault(f"room.openings[{number}].to_m", "must be beyond from_m", opening.to_m)
            if opening.head_m <= opening.sill_m:
                yield Fault(
                    f"room.openings[{number}].head_m", "must be above sill_m", opening.head_m
                )


def _outside(parts: Parts) -> Iterator[Fault]:
    """Faults of things that lie outside the walls, floor or ceiling (10 mm of grace)."""
    for _, room in parts["room"]:
        if list(outline_faults(room.outline_m)):
            return
        top = room.height_m

        def place(path: str, point: Sequence[float]) -> Iterator[Fault]:
            x, y, z = point
            if not -0.01 <= z <= top + 0.01:  # noqa: B023
                yield Fault(path, f"must be within 0 to {top:g} m above the floor", z)  # noqa: B023
            if not inside_outline(room.outline_m, (x, y), grace_m=0.01):  # noqa: B023
                yield Fault(path, "must be inside the room's outline", [x, y])

        for number, light in parts["lights"]:
            yield from place(f"lights[{number}].mount_m", light.mount_m)
            if light.wall is not None and not 0 <= light.wall < len(room.outline_m):
                rule = f"must be a wall, 0 to {len(room.outline_m) - 1}"
                yield Fault(f"lights[{number}].wall", rule, light.wall)
        for number, strip in parts["strips"]:
            for corner, point in enumerate(strip.path_m):
                yield from place(f"strips[{number}].path_m[{corner}]", point)
            if any(a == b for a, b in zip(strip.path_m, strip.path_m[1:], strict=False)):
                yield Fault(f"strips[{number}].path_m", "must not repeat a point", strip.path_m)
            elif fault := _facing_fault(room, strip):
                yield Fault(f"strips[{number}].facing", fault, strip.facing)
        for number, box in parts["furniture"]:
            yield from place(f"furniture[{number}].at_m", box.at_m)
            high = box.at_m[2] + box.size_m[2]
            if high > top + 0.01:
                rule = f"must end below the ceiling at {top:g} m"
                yield Fault(f"furniture[{number}].size_m", rule, round(high, 4))
        for number, node in parts["supply"]:
            at = getattr(node, "at_m", None)
            if at is not None:
                yield from place(f"supply[{number}].at_m", at)


_BANDED = ("room", "furniture", "people", "lights", "strips", "supply", "setups", "aims")


def _impossible(parts: Parts) -> Iterator[Fault]:
    """Numbers that nothing has, with the one that a wrong unit or comma would have made of them."""
    for section in _BANDED:
        for number, part in parts[section]:
            for found in numbers(part, section if section == "room" else f"{section}[{number}]"):
                if not found.possible:
                    low, high = (f"{bound:g}" for bound in found.band.possible)
                    unit = f" {found.band.unit}" if found.band.unit else ""
                    rule = f"must be from {low} to {high}{unit}{hint(found.value, found.band)}"
                    yield Fault(found.path, rule, found.value)


def _facing_fault(room: Any, strip: Any) -> str | None:
    """Why a strip cannot face as written: tape shines square to its own run."""
    if not isinstance(strip.facing, str) and math.hypot(*strip.facing) < 1e-6:
        return "must be a direction, not three times nothing"
    if room.bed_wall is not None and not 0 <= room.bed_wall < len(room.outline_m):
        return None  # told of the room
    way = facing_of(room, strip.facing)
    for a, b in itertools.pairwise(strip.path_m):
        along = sum((q - p) * w for p, q, w in zip(a, b, way, strict=True)) / math.dist(a, b)
        if abs(along) > _SQUARE:
            return "must not be along the strip's own run: tape shines square to it"
    return None


def _list(names: Sequence[str] | set[str]) -> str:
    return ", ".join(sorted(names)) or "none yet"
