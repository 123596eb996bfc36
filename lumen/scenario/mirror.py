"""The other half of a pair: a thing as seen in a mirror on the bed's centre line."""

from __future__ import annotations

import copy
import re
from collections.abc import Sequence
from typing import Any

from lumen.errors import Fault, ScenarioError
from lumen.scenario.base import Part
from lumen.scenario.document import Scenario
from lumen.scenario.outline import wall_normal
from lumen.scenario.places import placed_fields, spot_field
from lumen.scenario.references import (
    Mention,
    TargetRef,
    item_model,
    mentions,
    parts_of,
    sections_of,
)

__all__ = ["mirrored", "swap_sides"]

Item = dict[str, Any]


def mirrored(scenario: Scenario, section: str, item: Item) -> Item:
    """Return a written item as seen in a mirror that stands on the bed's centre line.

    Left and right change places in its name, facing, target and feed, where those exist.

    Raises
    ------
    ScenarioError
        When there is no bed, the item has no place, or no wall stands across from its own.
    """
    bed = next((box for box in scenario.furniture if box.kind == "mattress"), None)
    if bed is None:
        rule = "must hold a mattress to mirror about its centre"
        raise ScenarioError([Fault("plan.furniture", rule, None)])
    model = item_model(sections_of(type(scenario))[section], item)
    spot = spot_field(model)
    if spot is None or spot not in item:
        rule = "must name something that has a place"
        raise ScenarioError([Fault("command.id", rule, item["id"])])
    new = copy.deepcopy(item)
    _mirror_places(model, new, 2 * bed.at_m[0])
    if "name" in new:
        new["name"] = swap_sides(new["name"])
    for mention in list(mentions(model, new, "", section, new)):
        mention.owner[mention.field] = _across(scenario, item, new, mention)
    return new


def _mirror_places(model: type[Part], written: Item, twice_m: float) -> None:
    """Take places, directions and turns of a written part to the other side."""

    def across(point: Sequence[float]) -> list[float]:
        return [round(twice_m - point[0], 6), *point[1:]]

    for field, role in placed_fields(model).items():
        value = written.get(field)
        if not value:
            continue
        if role == "point":
            written[field] = across(value)
        elif role == "path":
            written[field] = [across(point) for point in value]
        elif role == "way":
            there = swap_sides(value) if isinstance(value, str) else [-value[0], *value[1:]]
            written[field] = there
        elif role == "turn":
            written[field] = -value
        elif isinstance(value, dict):
            for inner in parts_of(model, field):
                _mirror_places(inner, value, twice_m)


def _across(scenario: Scenario, item: Item, mirrored: Item, mention: Mention) -> Any:
    """What a reference names on the other side: a wall, a target, or a thing with a twin there."""
    ref, value = mention.ref, mention.value
    if ref.to == ("walls",):
        return _wall_across(scenario, item, mirrored)
    if isinstance(ref, TargetRef):
        return _target_across(scenario, value)
    if not isinstance(value, str):
        return value
    sections = sections_of(type(scenario))
    there = {part.id for key in ref.to for part in sections[key].items(scenario)}
    return swap_sides(value) if swap_sides(value) in there else value


def _wall_across(scenario: Scenario, item: Item, mirrored: Item) -> int:
    outline = scenario.room.outline_m
    nx, ny = wall_normal(outline, item["wall"])
    x, y, _ = next(mirrored[key] for key in ("mount_m", "at_m") if key in mirrored)
    for wall, (x0, y0) in enumerate(outline):
        mx, my = wall_normal(outline, wall)
        if abs(mx + nx) + abs(my - ny) < 1e-6 and abs((x - x0) * mx + (y - y0) * my) < 0.05:
            return wall
    rule = "has no wall across the bed to be mirrored to"
    raise ScenarioError([Fault("command.id", rule, item["id"])])


def _target_across(scenario: Scenario, target: str) -> str:
    head, _, rest = target.partition(":")
    name, colon, posture = rest.partition(":")
    sides = {person.id: person.side for person in scenario.people}
    want = swap_sides(sides.get(name, "middle"))
    twin = next((who for who, side in sides.items() if side == want), name)
    return f"{head}:{twin}{colon}{swap_sides(posture)}" if rest else target


def swap_sides(text: str) -> str:
    """Return a text with left and right exchanged, whole words only.

    Examples
    --------
    >>> swap_sides("left light, upright")
    'right light, upright'
    """
    other = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}
    return re.sub(r"\b([Ll]eft|[Rr]ight)\b", lambda word: other[word[0]], text)
