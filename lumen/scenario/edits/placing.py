"""Edits of where things are: move, mirror."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.edits.command import (
    PLACE,
    Item,
    Plan,
    find,
    items_of,
    new_name,
    refusal,
    taken,
    things,
    vector,
)
from lumen.scenario.mirror import GEOMETRY, mirrored, swap_sides
from lumen.scenario.references import mentions_of_plan

__all__ = ["mention_too", "mirror", "move", "shift"]


def move(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Move things by a vector, or one to a point."""
    if ("to_m" in args) == ("by_m" in args):
        raise refusal("command.args", "must hold either to_m or by_m", dict(args))
    if "by_m" in args:
        by = vector(args, "by_m")
        if "corner" in args:
            raise refusal("command.args.corner", "goes with to_m", args["corner"])
        for name in names:
            section, number = find(scenario, plan, name, args, things(scenario))
            shift(items_of(scenario, plan, section)[number], section, by)
        return
    if len(names) != 1:
        raise refusal("command.id", "must be one id for a move with to_m", names)
    to = vector(args, "to_m")
    section, number = find(scenario, plan, names[0], args, things(scenario))
    item = items_of(scenario, plan, section)[number]
    if section == "strips":
        item["path_m"][_corner(args, len(item["path_m"]))] = to
    elif "corner" in args:
        raise refusal("command.args.corner", "is for strips only", args["corner"])
    elif section in PLACE and _has_place(item, section):
        item[PLACE[section]] = to
    else:
        raise refusal("command.id", "must name something that has a place", names[0])


def shift(item: Item, section: str, by: Sequence[float]) -> None:
    """Move a written item by a vector [m]."""

    def moved(point: Sequence[float]) -> list[float]:
        return [round(a + b, 6) for a, b in zip(point, by, strict=True)]

    if section == "strips":
        item["path_m"] = [moved(point) for point in item["path_m"]]
    elif section in PLACE and PLACE[section] in item:
        item[PLACE[section]] = moved(item[PLACE[section]])
    else:
        raise refusal("command.id", "must name something that has a place", item["id"])


def _has_place(item: Item, section: str) -> bool:
    return section != "supply" or item["kind"] != "circuit"


def _corner(args: Mapping[str, Any], count: int) -> int:
    corner = args.get("corner")
    if not isinstance(corner, int) or isinstance(corner, bool) or not 0 <= corner < count:
        rule = f"must be a point of the strip's path, 0 to {count - 1} (or use by_m)"
        raise refusal("command.args.corner", rule, corner)
    return corner


def mirror(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Move the twin across the bed's centre line, or make one."""
    for name in names:
        section, number = find(scenario, plan, name, args, tuple(GEOMETRY))
        items = items_of(scenario, plan, section)
        shape, pose = mirrored(scenario, section, items[number]), GEOMETRY[section]
        other = swap_sides(name)
        twin = next((item for item in items if item["id"] == other and other != name), None)
        if twin is not None:
            for key in pose:
                twin.pop(key, None)
            twin.update({key: shape[key] for key in pose if key in shape})
            continue
        if all(shape.get(key) == items[number].get(key) for key in pose):
            raise refusal("command.id", "must lie off the bed's centre line", name)
        free = other not in taken(scenario, plan, section)
        shape["id"] = other if free else new_name(scenario, plan, section, name)
        items.insert(number + 1, shape)
        for mention in list(mentions_of_plan(type(scenario), plan)):
            if mention.ref.copied and mention.names(name, section) and mention.item is not None:
                other_side = swap_sides(mention.item["id"])
                holders = items_of(scenario, plan, mention.section)
                holder = next((i for i in holders if i["id"] == other_side), mention.item)
                mention_too(holder, mention.field, mention.value, name, shape["id"])


def mention_too(owner: Item, field: str, value: Any, name: str, twin: str) -> None:
    """Name a thing's twin in a list or table too, with the value that the thing has there."""
    if isinstance(value, dict):
        owner.setdefault(field, {})[twin] = value[name]
    elif isinstance(value, list):
        owner[field] = [*(one for one in owner.get(field, []) if one != twin), twin]
