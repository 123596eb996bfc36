"""Edits of what stands in a field: set, plug, level, run."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from lumen.scenario.aims import AimFor
from lumen.scenario.base import Part
from lumen.scenario.document import Scenario, plain
from lumen.scenario.edits.command import (
    Item,
    Plan,
    find,
    is_number,
    items_of,
    near,
    refusal,
    sections,
    things,
)
from lumen.scenario.references import mentions_of_plan

__all__ = ["level", "plug", "run", "set_field"]

_FIGURES = ("of", "measure", "at_least", "at_most")  # what the source of a wish speaks of


def set_field(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Write a value at a dotted path, or take it away."""
    field = args.get("field")
    if not isinstance(field, str) or not field:
        raise refusal("command.args.field", "must be a dotted path", field)
    if "value" not in args:
        raise refusal("command.args.value", "must be given (null: back to the default)", None)
    steps = field.split(".")
    at: Any
    part: Any
    if names[0] == "plan":
        at, part = plan, scenario
    elif names[0] == "room":
        at, part = plan["room"], scenario.room
    else:
        section, number = find(scenario, plan, names[0], args)
        at = items_of(scenario, plan, section)[number]
        part = sections(scenario)[section].items(scenario)[number]
        if steps == ["id"]:
            raise refusal("command.args.field", "must not be id: use rename", field)
    for step in steps[:-1]:
        at, part = _step_into(at, part, step, field, remove=args["value"] is None)
        if at is None:
            return  # nothing written there: it is at its default already
    if args["value"] is None and isinstance(at, dict) and steps[-1] not in at:
        _must_know(part, steps[-1], field)
    figure = isinstance(part, AimFor) and field in _FIGURES and at.get(field) != args["value"]
    _put(at, steps[-1], args["value"], field)
    if names[0] == "room" and steps[:-1] == ["outline_m"] and args["value"] is None:
        _count_walls_again(scenario, plan, int(steps[-1]))
    if figure:
        at.pop("source", None)


def _count_walls_again(scenario: Scenario, plan: Plan, corner: int) -> None:
    """Follow the walls after a corner went: the wall behind it is one with the wall before it."""
    walls = len(scenario.room.outline_m)

    def now(wall: int) -> int:
        return (wall - 1) % (walls - 1) if wall >= max(corner, 1) or corner == 0 else wall

    for mention in mentions_of_plan(type(scenario), plan):
        if mention.ref.to != ("walls",):
            continue
        value = mention.value
        if isinstance(value, dict):
            # Of two walls that became one, the wall before the corner gives the finish.
            late_first = sorted(value.items(), key=lambda pair: -int(pair[0]))
            mention.owner[mention.field] = {str(now(int(key))): each for key, each in late_first}
        else:
            mention.owner[mention.field] = now(value)


def _step_into(at: Any, part: Any, step: str, field: str, *, remove: bool) -> tuple[Any, Any]:
    """Go one step down the written values, writing out a default that is about to be changed."""
    if isinstance(at, list):
        number = _number_of(step, at, field)
        return at[number], part[number] if isinstance(part, tuple) else None
    if not isinstance(at, dict):
        raise refusal("command.args.field", f"has nothing below {step}", field)
    inner = part.get(step) if isinstance(part, Mapping) else getattr(part, step, None)
    if at.get(step) is None:
        if remove:
            _must_know(part, step, field)
            return None, None
        at[step] = plain(inner) if isinstance(inner, Part) else {}
    return at[step], inner


def _must_know(part: Any, step: str, field: str) -> None:
    if isinstance(part, Part) and step not in type(part).model_fields:
        known = near(step, type(part).model_fields)
        raise refusal("command.args.field", f"must be one of {known}", field)


def _put(at: Any, step: str, value: Any, field: str) -> None:
    if isinstance(at, list):
        number = _number_of(step, at, field)
        if value is None:
            del at[number]
        else:
            at[number] = value
    elif not isinstance(at, dict):
        raise refusal("command.args.field", f"has nothing below it called {step}", field)
    elif value is None:
        at.pop(step, None)
    else:
        at[step] = copy.deepcopy(value)


def _number_of(step: str, at: list[Any], field: str) -> int:
    if not (step.isdecimal() and int(step) < len(at)):
        rule = f"must have a number from 0 to {len(at) - 1} in place of {step!r}"
        raise refusal("command.args.field", rule, field)
    return int(step)


def plug(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Plug things into a supply node, or pull their plugs."""
    if "into" not in args:
        raise refusal("command.args.into", "must be given", None)
    for name in names:
        section, number = find(scenario, plan, name, args, things(scenario))
        item = items_of(scenario, plan, section)[number]
        if section not in ("lights", "strips", "supply") or item.get("kind") == "circuit":
            raise refusal("command.id", "must name something with a plug or a feed", name)
        if args["into"] is None:
            item.pop("fed_from", None)
        else:
            item["fed_from"] = args["into"]


def level(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Set how far a light or strip is on in a setup."""
    setup = _setup_of(plan, args)
    draws = [
        item["id"] for section in ("lights", "strips") for item in items_of(scenario, plan, section)
    ]
    of, value = args.get("of"), args.get("value")
    if of not in draws:
        raise refusal("command.args.of", f"must be one of {near(of, draws)}", of)
    if not is_number(value) or not 0 <= value <= 1:  # type: ignore[operator]
        raise refusal("command.args.value", "must be a number from 0 to 1", value)
    levels = setup.setdefault("levels", {})
    levels[of] = value
    if value == 0:
        del levels[of]


def run(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    """Say whether an appliance runs in a setup."""
    setup = _setup_of(plan, args)
    runs = [node["id"] for node in plan.get("supply", []) if node["kind"] == "appliance"]
    of, value = args.get("of"), args.get("value")
    if of not in runs:
        raise refusal("command.args.of", f"must be one of {near(of, runs)}", of)
    if not isinstance(value, bool):
        raise refusal("command.args.value", "must be true or false", value)
    others = [name for name in setup.get("running", []) if name != of]
    setup["running"] = [name for name in runs if name in others or (value and name == of)]


def _setup_of(plan: Plan, args: Mapping[str, Any]) -> Item:
    setups: list[Item] = plan.get("setups", [])
    named = next((setup for setup in setups if setup["id"] == args.get("setup")), None)
    if named is None:
        known = near("", [setup["id"] for setup in setups])
        raise refusal("command.args.setup", f"must be one of {known}", args.get("setup"))
    return named
