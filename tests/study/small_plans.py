"""Small plans for tests, made by edits of a plan that raises no caution."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lumen.scenario.document import Scenario, parse
from lumen.scenario.edits import apply
from lumen.study.cautions import Caution, cautions
from lumen.study.load.electrics import Electrics, electrics
from lumen.words.cautions import CautionWords, caution_words

Command = dict[str, Any]

QUIET: dict[str, Any] = {
    "format": "lumen-plan/1",
    "title": "quiet room",
    "room": {"outline_m": [[0, 0], [4, 0], [4, 3], [0, 3]], "height_m": 2.4},
    "furniture": [
        {"id": "bed", "kind": "bed frame", "at_m": [2, 1.98, 0], "size_m": [1.6, 2.0, 0.35]},
        {"id": "mattress", "kind": "mattress", "at_m": [2, 1.98, 0.35], "size_m": [1.6, 2, 0.25]},
        {
            "id": "nightstand",
            "kind": "nightstand",
            "at_m": [0.8, 2.82, 0.44],
            "size_m": [0.45, 0.35, 0.18],
            "compartment": {"inner_size_m": [0.4, 0.3, 0.15], "vent_area_m2": 0.01},
        },
    ],
    "supply": [
        {
            "id": "circuit",
            "kind": "circuit",
            "leakage_protection": True,
            "arc_fault_protection": True,
        },
        {"id": "wall outlet", "kind": "outlet", "fed_from": "circuit", "earthed": True},
        {"id": "far outlet", "kind": "outlet", "fed_from": "circuit", "earthed": True},
    ],
    "setups": [{"id": "evening", "name": "Evening", "hours_per_day": 2}],
}


def add(section: str, item_id: str, **fields: Any) -> Command:
    """Return the command that adds an item."""
    return {"name": "add", "args": {"section": section, "item": {"id": item_id, **fields}}}


def supply(item_id: str, kind: str, into: str, **fields: Any) -> Command:
    """Return the command that adds a supply node."""
    return add("supply", item_id, kind=kind, fed_from=into, **fields)


def appliance(item_id: str, into: str, watts: float, **fields: Any) -> Command:
    """Return the command that plugs an appliance in; a resistive load unless told otherwise."""
    given = {"power_factor": 1.0, **fields}
    return supply(item_id, "appliance", into, power_w=watts, **given)


def heater(item_id: str, into: str, watts: float, **fields: Any) -> Command:
    """Return the command that plugs in something that makes heat."""
    return appliance(item_id, into, watts, heats=True, **fields)


def light(item_id: str, into: str | None, watts: float = 5.0, **fields: Any) -> Command:
    """Return the command that hangs a light on the bed wall."""
    lamp = {"flux_lm": 400, "power_w": watts, **fields.pop("lamp", {})}
    given = {"mount_m": [0.8, 3.0, 1.3], "lamp": lamp, **fields}
    return add("lights", item_id, **({} if into is None else {"fed_from": into}), **given)


def led_strip(
    item_id: str, into: str | None, length_m: float, w_per_m: float, **fields: Any
) -> Command:
    """Return the command that adds an LED strip of a length and label power."""
    start = fields.pop("start_m", 0.2)
    path = [[start, 2.9, 1.0], [start + min(length_m, 3.6), 2.9, 1.0]]
    if length_m > 3.6:
        path.append([start + 3.6, 2.9, 1.0 + length_m - 3.6])
    return add(
        "strips",
        item_id,
        path_m=path,
        flux_lm_per_m=900,
        power_w_per_m=w_per_m,
        fed_from=into,
        **fields,
    )


def put(item_id: str, field: str, value: Any) -> Command:
    """Return the command that sets one field."""
    return {"name": "set", "id": item_id, "args": {"field": field, "value": value}}


def plan(region: str, *commands: Command) -> Scenario:
    """Return the quiet room in a region after some commands."""
    scenario = parse({**QUIET, "region": region})
    for command in commands:
        scenario = apply(scenario, command)
    return scenario


def found(scenario: Scenario) -> tuple[Electrics, tuple[Caution, ...]]:
    """Return electrics and cautions of a plan."""
    drawn = electrics(scenario)
    return drawn, cautions(scenario, drawn)


def raised(region: str, *commands: Command) -> dict[int, list[Caution]]:
    """Return the cautions of a small plan by rule."""
    by_rule: dict[int, list[Caution]] = {}
    for caution in found(plan(region, *commands))[1]:
        by_rule.setdefault(caution.rule, []).append(caution)
    return by_rule


def caution_json(cautions: Iterable[Caution], scenario: Scenario) -> list[dict[str, Any]]:
    """Return cautions of a plan as the study's JSON has them."""
    return [words.to_json() for words in caution_words(cautions, scenario)]


def told(region: str, *commands: Command) -> dict[int, list[CautionWords]]:
    """Return the cautions of a small plan in words, by rule."""
    scenario = plan(region, *commands)
    by_rule: dict[int, list[CautionWords]] = {}
    for words in caution_words(found(scenario)[1], scenario):
        by_rule.setdefault(words.caution.rule, []).append(words)
    return by_rule
