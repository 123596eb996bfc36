"""What every edit needs: a command's ids and numbers, and the items of a written plan."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from lumen.errors import Fault, ScenarioError
from lumen.scenario.base import Part
from lumen.scenario.document import Scenario
from lumen.scenario.references import Section, item_model, sections_of

__all__ = [
    "SECTIONS",
    "Item",
    "Plan",
    "find",
    "is_number",
    "items_of",
    "model_of",
    "names_of",
    "near",
    "new_name",
    "numbered",
    "refusal",
    "section_of",
    "sections",
    "taken",
    "things",
    "vector",
    "write_items",
]

Plan = dict[str, Any]
Item = dict[str, Any]
Spot = tuple[str, int]

SECTIONS = tuple(sections_of(Scenario))


def sections(scenario: Scenario) -> Mapping[str, Section]:
    """Return the sections that a plan has."""
    return sections_of(type(scenario))


def things(scenario: Scenario) -> tuple[str, ...]:
    """Return the sections whose items share one name space."""
    return tuple(key for key, section in sections(scenario).items() if not section.own_names)


def names_of(command: Mapping[str, Any]) -> list[str]:
    """Return the ids that a command names, each once."""
    one, many = command.get("id"), command.get("ids")
    if one is not None and many is not None:
        raise refusal("command.ids", "must not be given beside id", many)
    names = [one] if one is not None else list(many) if isinstance(many, list | tuple) else many
    if names is None:
        return []
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise refusal("command.id", "must be a name, or ids a list of names", one or many)
    return list(dict.fromkeys(names))


def section_of(scenario: Scenario, args: Mapping[str, Any]) -> str | None:
    """Return the section that a command says, or None."""
    section = args.get("section")
    if section is not None and section not in list(sections(scenario)):
        known = near(section, list(sections(scenario)))
        raise refusal("command.args.section", f"must be one of {known}", section)
    return section


def find(
    scenario: Scenario,
    plan: Plan,
    name: str,
    args: Mapping[str, Any],
    among: Sequence[str] | None = None,
) -> Spot:
    """Return section and number of the item with an id, or refuse with the nearest names."""
    section = section_of(scenario, args)
    everything = [
        (one, number, item["id"])
        for one in ((section,) if section else sections(scenario) if among is None else among)
        for number, item in enumerate(items_of(scenario, plan, one))
    ]
    spots = [(one, number) for one, number, item_id in everything if item_id == name]
    if len(spots) > 1:
        where = ", ".join(one for one, _ in spots)
        raise refusal("command.args.section", f"must say which {name!r} is meant ({where})", None)
    if not spots:
        known = [item_id for _, _, item_id in everything]
        raise refusal("command.id", f"must be one of {near(name, known)}", name)
    return spots[0]


def items_of(scenario: Scenario, plan: Plan, section: str) -> list[Any]:
    """Return the written items of a section, to be changed in place."""
    items: list[Any] = _holder(scenario, plan, section).setdefault(section, [])
    return items


def model_of(scenario: Scenario, section: str, item: Item) -> type[Part]:
    """Return the model of a written item."""
    return item_model(sections(scenario)[section], item)


def write_items(scenario: Scenario, plan: Plan, section: str, items: list[Any]) -> None:
    """Write other items into a section."""
    _holder(scenario, plan, section)[section] = items


def _holder(scenario: Scenario, plan: Plan, section: str) -> Plan:
    room: Plan = plan["room"]
    return room if sections(scenario)[section].in_room else plan


def new_name(scenario: Scenario, plan: Plan, section: str, name: str) -> str:
    """Return an id for another thing like the named one."""
    return numbered(name, taken(scenario, plan, section))


def numbered(name: str, names: Collection[str | None]) -> str:
    """Return a name that is not taken: the same one with the next number, as long as an id may be.

    >>> numbered("night 2", {"night", "night 2"}), len(numbered("x" * 60, ()))
    ('night 3', 60)
    """
    stem = re.sub(r" \d+$", "", name)
    counted = (f"{stem[: 59 - len(str(n))].rstrip()} {n}" for n in range(2, 10_000))
    return next(new for new in counted if new not in names)


def taken(scenario: Scenario, plan: Plan, section: str) -> set[str]:
    """Return the ids that a new item of a section must differ from."""
    shared = things(scenario)
    among = shared if section in shared else (section,)
    return {item["id"] for one in among for item in items_of(scenario, plan, one)}


def vector(args: Mapping[str, Any], key: str) -> list[float]:
    """Return three typed numbers [m], to a micrometre."""
    value = args.get(key)
    if not isinstance(value, list | tuple) or len(value) != 3 or not all(map(is_number, value)):
        raise refusal(f"command.args.{key}", "must be three numbers [x, y, z] in metres", value)
    return [round(float(part), 6) for part in value]


def is_number(value: object) -> bool:
    """Whether a value is a finite number and no flag."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def near(name: object, known: Sequence[str] | Mapping[str, Any]) -> str:
    """Return the known names, the nearest first; at most twelve."""
    names = list(known)
    best = difflib.get_close_matches(str(name), names, n=3, cutoff=0.5)
    listed = [*best, *(other for other in names if other not in best)]
    return ", ".join(listed[:12]) + (", ..." if len(listed) > 12 else "") if listed else "none yet"


def refusal(field: str, rule: str, value: object) -> ScenarioError:
    """Return the error of a command that cannot be done."""
    return ScenarioError([Fault(field, rule, value)])
