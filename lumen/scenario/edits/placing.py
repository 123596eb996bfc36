"""Edits of where things are: move, mirror."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.edits.command import (
    Item,
    Plan,
    find,
    items_of,
    model_of,
    new_name,
    refusal,
    sections,
    taken,
    things,
    vector,
)
from lumen.scenario.mirror import mirrored, swap_sides
from lumen.scenario.places import placed_fields, spot_field
from lumen.scenario.references import mentions_of_plan, models_of

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
            shift(scenario, section, items_of(scenario, plan, section)[number], by)
        return
    if len(names) != 1:
        raise refusal("command.id", "must be one id for a move with to_m", names)
    to = vector(args, "to_m")
    section, number = find(scenario, plan, names[0], args, things(scenario))
    item = items_of(scenario, plan, section)[number]
    model = model_of(scenario, section, item)
    spot = spot_field(model)
    if spot is not None and placed_fields(model)[spot] == "path":
        item[spot][_corner(args, len(item[spot]))] = to
    elif "corner" in args:
        raise refusal("command.args.corner", "is for strips only", args["corner"])
    elif spot is not None:
        item[spot] = to
    else:
        raise refusal("command.id", "must name something that has a place", names[0])


def shift(scenario: Scenario, section: str, item: Item, by: Sequence[float]) -> None:
    """Move a written item by a vector [m]."""

    def moved(point: Sequence[float]) -> list[float]:
        return [round(a + b, 6) for a, b in zip(point, by, strict=True)]

    model = model_of(scenario, section, item)
    spot = spot_field(model)
    if spot is None or spot not in item:
        raise refusal("command.id", "must name something that has a place", item["id"])
    many = placed_fields(model)[spot] == "path"
    item[spot] = [moved(point) for point in item[spot]] if many else moved(item[spot])


def _corner(args: Mapping[str, Any], count: int) -> int:
    corner = args.get("corner")
    if not isinstance(corner, int) or isinstance(corner, bool) or not 0 <= corner < count:
        rule = f"must be a point of the strip's path, 0 to {count - 1} (or use by_m)"
        raise refusal("command.args.corner", rule, corner)
    return corner


def _with_places(scenario: Scenario) -> list[str]:
    """The sections of things that have a place."""
    known = sections(scenario)
    return [key for key in things(scenario) if any(map(spot_field, models_of(known[key])))]


def mirror(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Move the twin across the bed's centre line, or make one."""
    for name in names:
        section, number = find(scenario, plan, name, args, _with_places(scenario))
        items = items_of(scenario, plan, section)
        shape = mirrored(scenario, section, items[number])
        pose = tuple(placed_fields(model_of(scenario, section, items[number])))
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
