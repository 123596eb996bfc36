"""Edits of which things there are: add, remove, copy, rename, order."""

from __future__ import annotations

import copy
from collections.abc import Collection, Mapping
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.edits.command import (
    Item,
    Plan,
    find,
    items_of,
    model_of,
    new_name,
    numbered,
    refusal,
    section_of,
    sections,
    taken,
    vector,
    write_items,
)
from lumen.scenario.edits.placing import mention_too, shift
from lumen.scenario.places import spot_field
from lumen.scenario.references import Mention, mentions_of_plan

__all__ = ["add", "duplicate", "order", "remove", "rename"]

Spot = tuple[str, str]  # section and id

_OFFSET_M = (0.2, 0.0, 0.0)  # a copy lies beside its original, where it can be seen


def add(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Add an item to a section."""
    section = section_of(scenario, args)
    if section is None:
        raise refusal(
            "command.args.section", f"must be one of {', '.join(sections(scenario))}", None
        )
    item = args.get("item")
    if not isinstance(item, Mapping):
        raise refusal("command.args.item", "must be an object", item)
    items_of(scenario, plan, section).append(copy.deepcopy(dict(item)))


def remove(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Take things away, and every mention of them as its field declares."""
    there = {
        (key, item["id"]): item
        for key in sections(scenario)
        for item in items_of(scenario, plan, key)
    }
    gone: set[Spot] = {(find(scenario, plan, name, args)[0], name) for name in names}
    along = gone
    while along:
        along = set()
        for mention in mentions_of_plan(type(scenario), plan):
            own = (mention.section, mention.item["id"]) if mention.item is not None else ("", "")
            lost = {
                one.name
                for one in mention.ref.named(mention.value)
                if own not in gone and any((section, one.name) in gone for section in one.to)
            }
            if lost and _goes_along(mention, lost, there, gone):
                along.add(own)
        gone |= along
    for section in {section for section, _ in gone}:
        items = items_of(scenario, plan, section)
        left = [item for item in items if (section, item["id"]) not in gone]
        write_items(scenario, plan, section, left)


def _goes_along(
    mention: Mention, lost: set[str], there: Mapping[Spot, Item], gone: Collection[Spot]
) -> bool:
    """Take lost names out of a field; say whether the item that it belongs to goes with them."""
    ref, value = mention.ref, mention.value
    left: Any
    if isinstance(value, list | dict):
        if isinstance(value, dict):
            left = {name: each for name, each in value.items() if name not in lost}
        else:
            left = [name for name in value if name not in lost]
        mention.owner[mention.field] = left
        return not left and ref.emptied == "item goes"
    if ref.gone == "item goes":
        return True
    if ref.gone == "passes on":
        heir = _heir(mention, there, gone)
        if heir is not None:
            mention.owner[mention.field] = heir
            return False
    who = mention.item["id"] if mention.item is not None else mention.path
    if ref.gone == "refused" or mention.required:
        rule = ref.refusal or "is named by {who}: give that another one first"
        raise refusal("command.id", rule.format(who=who), value)
    del mention.owner[mention.field]
    return False


def _heir(mention: Mention, there: Mapping[Spot, Item], gone: Collection[Spot]) -> str | None:
    """What a removed thing names itself, in a field of the same name, where that may be named."""
    name: str | None = mention.value
    section = mention.ref.to[0]
    while (section, name) in gone:
        name = there[section, str(name)].get(mention.field)
    kind = there.get((section, str(name)), {}).get("kind")
    return name if kind in mention.ref.heirs else None


def duplicate(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Copy a thing; what names it and may name more than one names its copy too."""
    section, number = find(scenario, plan, names[0], args)
    items = items_of(scenario, plan, section)
    twin = copy.deepcopy(items[number])
    own = args.get("as")
    if own is not None and not isinstance(own, str):
        raise refusal("command.args.as", "must be a name", own)
    twin["id"] = new_name(scenario, plan, section, names[0]) if own is None else own
    by = vector(args, "by_m") if "by_m" in args else list(_OFFSET_M)
    if (spot_field(model_of(scenario, section, twin)) or "") in twin:
        shift(scenario, section, twin, by)
    elif "by_m" in args:
        raise refusal("command.args.by_m", "is for something that has a place", by)
    items.insert(number + 1, twin)
    if section == "setups":
        _without_hours(twin, {setup.get("name") for setup in items})
    for mention in list(mentions_of_plan(type(scenario), plan)):
        if mention.ref.copied and mention.names(names[0], section):
            mention_too(mention.owner, mention.field, mention.value, names[0], twin["id"])


def _without_hours(twin: Item, known: Collection[str | None]) -> None:
    """A copied setup has no hours, which would count twice, and a name of its own."""
    twin.pop("hours_per_day", None)
    twin.pop("from_h", None)
    if "name" in twin:
        twin["name"] = numbered(twin["name"], known)


def order(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Give an item another place in its list."""
    section, number = find(scenario, plan, names[0], args)
    items, to = items_of(scenario, plan, section), args.get("to")
    if not isinstance(to, int) or isinstance(to, bool) or not 0 <= to < len(items):
        raise refusal("command.args.to", f"must be a place from 0 to {len(items) - 1}", to)
    items.insert(to, items.pop(number))


def rename(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Give a thing another id, and follow it wherever it is named."""
    old, to = names[0], args.get("to")
    if not isinstance(to, str):
        raise refusal("command.args.to", "must be a name", to)
    section, number = find(scenario, plan, old, args)
    if to != old and to in taken(scenario, plan, section):
        raise refusal("command.args.to", "must differ from every other id", to)
    named = [
        mention for mention in mentions_of_plan(type(scenario), plan) if mention.names(old, section)
    ]
    items_of(scenario, plan, section)[number]["id"] = to
    for mention in named:
        mention.owner[mention.field] = mention.ref.renamed(mention.value, old, to)
