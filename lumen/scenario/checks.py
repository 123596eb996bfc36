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
from lumen.scenario.references import TARGETS, Mention, TargetRef, kinds_of, lists_of, mentions
from lumen.tables import table

__all__ = ["MOST_FLOOR_M2", "MOST_STRIP_WORK", "cross_faults", "strip_work"]

Parts = Mapping[str, Sequence[tuple[int, Any]]]

_SQUARE = 0.9  # a strip may be written to face so far along its run; it is then set square


def cross_faults(parts: Parts) -> list[Fault]:
    """Return what is wrong between parts that each hold on their own.

    ``parts`` maps a section to its sound items with their numbers in the file; ``named`` holds
    section and id of all that was written, items at fault as well, so that one slip is told once.
    """
    return [
        *_double_names(parts),
        *_references(parts),
        *_limits_of_wishes(parts),
        *_loops(parts),
        *_appliances(parts),
        *_room_faults(parts),
        *_outside(parts),
        *_impossible(parts),
        *_ceilings(parts),
    ]


def _double_names(parts: Parts) -> Iterator[Fault]:
    own = {section for section in _sections(parts) if _has_own_names(parts[section])}
    for _, room in parts["room"]:
        for section in lists_of(type(room)):
            yield from _twice(f"room.{section}", list(enumerate(getattr(room, section))))
    shared = [
        (f"{section}[{number}].id", item.id)
        for section in _sections(parts)
        if section not in own
        for number, item in parts[section]
    ]
    counts = Counter(name for _, name in shared)
    seen: set[str] = set()
    for path, name in shared:
        if counts[name] > 1 and name in seen:
            yield Fault(path, "must differ from every other id in the plan", name)
        seen.add(name)
    for section in sorted(own):
        yield from _twice(section, parts[section])


def _twice(section: str, items: Sequence[tuple[int, Any]]) -> Iterator[Fault]:
    names = Counter(item.id for _, item in items)
    for number, item in items:
        if names[item.id] > 1:
            names[item.id] = 0
            yield Fault(f"{section}[{number}].id", f"must differ within {section}", item.id)


def _sections(parts: Parts) -> list[str]:
    return [section for section in parts if section not in ("room", "named")]


def _has_own_names(items: Sequence[tuple[int, Any]]) -> bool:
    return any(getattr(type(item), "own_names", False) for _, item in items)


Known = Mapping[str, Mapping[str, str]]


def _known(parts: Parts) -> Known:
    """Kinds of all that can be named, by section and name; of an item at fault nobody knows it."""
    known: dict[str, dict[str, str]] = defaultdict(dict)
    for _, (section, name) in parts["named"]:
        known[section][name] = ""
    for section in _sections(parts):
        for _, item in parts[section]:
            known[section][item.id] = getattr(item, "kind", section)
    for _, room in parts["room"]:
        known["walls"] = {str(wall): "wall" for wall in range(len(room.outline_m))}
        for key, section in lists_of(type(room)).items():
            items = getattr(room, section.key)
            known[key] = {item.id: getattr(item, "kind", key) for item in items}
    return known


def _references(parts: Parts) -> Iterator[Fault]:
    known = _known(parts)
    for section in _sections(parts):
        for number, item in parts[section]:
            for mention in mentions(type(item), item, f"{section}[{number}]", section, item):
                yield from _reference_faults(mention, known)
    for _, room in parts["room"]:
        for mention in mentions(type(room), room, "room"):
            yield from _reference_faults(mention, known)


def _reference_faults(mention: Mention, known: Known) -> Iterator[Fault]:
    ref, value = mention.ref, mention.value
    if isinstance(ref, TargetRef):
        if fault := _target_fault(str(value), known):
            yield Fault(mention.path, fault, value)
        return
    if ref.to == ("walls",):
        yield from _wall_faults(mention, known)
        return
    there = {name: kind for section in ref.to for name, kind in known.get(section, {}).items()}
    fits = kinds_of(ref, mention.owner)
    fitting = {name for name, kind in there.items() if not fits or not kind or kind in fits}
    for one in ref.named(value):
        if one.name in fitting:
            continue
        if one.name in there and ref.wrong:
            yield Fault(mention.path, ref.wrong, one.name)
        else:
            yield Fault(mention.path, f"must name {ref.words} ({_list(fitting)})", one.name)


def _wall_faults(mention: Mention, known: Known) -> Iterator[Fault]:
    walls = known.get("walls")
    if walls is None:
        return  # of a room at fault nobody knows how many walls it has
    keyed = isinstance(mention.value, Mapping)
    for one in mention.ref.named(mention.value):
        if one.name not in walls:
            rule = f"must be {'keyed by' if keyed else 'a'} wall, 0 to {len(walls) - 1}"
            yield Fault(mention.path, rule, one.name if keyed else mention.value)


def _limits_of_wishes(parts: Parts) -> Iterator[Fault]:
    for number, aim in parts["aims"]:
        if aim.at_least is None and aim.at_most is None:
            yield Fault(f"aims[{number}]", "needs at_least or at_most", aim.id)
        if aim.at_least is not None and aim.at_most is not None and aim.at_least > aim.at_most:
            yield Fault(
                f"aims[{number}].at_least", f"must be {aim.at_most:g} or less", aim.at_least
            )


def _target_fault(target: str, known: Known) -> str | None:
    """Why a target does not exist; a room at fault may hold any mirror or door."""
    text, *rest = target.split(":")
    head = TARGETS.get(text)
    openings = known.get("openings")
    if head is not None and head.to is None and not rest:
        return None
    if head is not None and head.to is not None and 1 <= len(rest) <= 1 + bool(head.tails):
        there = known.get(head.to)
        fitting = {n for n, kind in (there or {}).items() if not head.kinds or kind in head.kinds}
        if head.to == "openings":
            if there is None or rest[0] in fitting:
                return None
            return f"must name a {head.kinds[0]} of room.openings ({_list(fitting)})"
        if rest[0] in fitting:
            if len(rest) == 2 and rest[1] not in head.tails:
                return f"must end in one of {', '.join(head.tails)}"
            if text == "path" and openings is not None and "door" not in openings.values():
                return "needs a door in room.openings to lead to"
            return None
    spelled = [
        name if head.to is None else f"{name}:<{'opening' if head.to == 'openings' else 'person'}>"
        for name, head in TARGETS.items()
    ]
    people = _list(set(known.get("people", {})))
    return (
        f"must be {', '.join(spelled)} or eye:<person>:<posture>, with a person of the plan "
        f"({people})"
    )


def _loops(parts: Parts) -> Iterator[Fault]:
    """Faults of references within a section that lead round in a ring."""
    for section in _sections(parts):
        ahead: dict[str, dict[str, Any]] = defaultdict(dict)
        where: dict[tuple[str, str], str] = {}
        for number, item in parts[section]:
            for mention in mentions(type(item), item, f"{section}[{number}]", section, item):
                if section in mention.ref.to and isinstance(mention.value, str):
                    ahead[mention.field][item.id] = mention.value
                    where[mention.field, item.id] = mention.path
        for field, names in ahead.items():
            for start in names:
                at, steps = names[start], 0
                while at is not None and at != start and steps <= len(names):
                    at, steps = names.get(at), steps + 1
                if at == start:
                    rule = "must not lead back to itself"
                    yield Fault(where[field, start], rule, names[start])


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


def _impossible(parts: Parts) -> Iterator[Fault]:
    """Numbers that nothing has, with the one that a wrong unit or comma would have made of them."""
    for section in ("room", *_sections(parts)):
        for number, part in parts[section]:
            for written in numbers(part, section if section == "room" else f"{section}[{number}]"):
                if not written.possible:
                    low, high = (f"{bound:g}" for bound in written.band.possible)
                    unit = f" {written.band.unit}" if written.band.unit else ""
                    rule = f"must be from {low} to {high}{unit}{hint(written.value, written.band)}"
                    yield Fault(written.path, rule, written.value)


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
