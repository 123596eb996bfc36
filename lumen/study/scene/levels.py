"""The level that a light really gives for the level somebody asks of it.

A lamp that cannot be dimmed is on or off; what can be dimmed is dimmed by something: a dimmer of
its own, the driver or the receiver that feeds it; and each of these has a lowest level under which
it gives no less. Light, watts, page and paper all read levels from here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Driver, Receiver

__all__ = ["EVERYTHING", "NO_SETUP", "Dimming", "dimming", "dimming_json", "given_levels"]

EVERYTHING = "everything on"
NO_SETUP = ""
"""What stands for a setup where a plan has none: everything is off. No id is empty."""


@dataclass(frozen=True)
class Dimming:
    """What can be asked of one light or strip.

    Parameters
    ----------
    on_off
        It is on or off: its lamp does not dim, or what feeds it only switches.
    lowest
        Lowest level above 0 that it gives.
    by
        Ids of what dims it, its own for a dimmer of its own; empty when nothing is known to.
    stopped_by
        What only switches it, when that is why it is on or off: an id; its own for the lamp.
    """

    on_off: bool
    lowest: float
    by: tuple[str, ...]
    stopped_by: str | None

    def given(self, asked: float) -> float:
        """Return the level that comes of an asked one, 0 to 1.

        Examples
        --------
        >>> Dimming(False, 0.1, ("lamp",), None).given(0.02)
        0.1
        >>> Dimming(True, 0.0, (), "lamp").given(0.5)
        1.0
        """
        if asked <= 0.0:
            return 0.0
        return 1.0 if self.on_off else max(asked, self.lowest)


def dimming(scenario: Scenario) -> dict[str, Dimming]:
    """Return what can be asked of each light and strip, by id.

    Where nobody has written down what dims a light that can be dimmed, the level is taken as asked.
    """
    feeders = {item.id: item for item in scenario.supply}
    return {item.id: _dimming(item, feeders) for item in scenario.sources}


def _dimming(item: Light | Strip, feeders: Mapping[str, Any]) -> Dimming:
    own = item.lamp.lowest_level if isinstance(item, Light) else None
    if not item.dims:
        return Dimming(True, 0.0, (), item.id)
    able: dict[str, float] = {}
    unable: list[str] = []
    if item.dimmer:
        able[item.id] = item.lowest_level or 0.0
    elif item.dimmer is False:
        unable.append(item.id)
    for node in _above(item.fed_from, feeders):
        if isinstance(node, Driver | Receiver):
            if node.dims:
                able[node.id] = node.lowest_level or 0.0
            elif node.dims is False:
                unable.append(node.id)
    if able:
        return Dimming(False, max(own or 0.0, min(able.values())), tuple(able), None)
    if unable:
        return Dimming(True, 0.0, (), unable[-1])
    return Dimming(False, max(own or 0.0, item.lowest_level or 0.0), (), None)


def _above(feeder: str | None, feeders: Mapping[str, Any]) -> Iterator[Any]:
    while feeder is not None:
        yield feeders[feeder]
        feeder = getattr(feeders[feeder], "fed_from", None)


def given_levels(scenario: Scenario, setup: str) -> dict[str, float]:
    """Return the level of each light and strip that a setup names, as it really is.

    Raises
    ------
    KeyError
        For a setup that the plan does not have.
    """
    if setup == NO_SETUP:
        return {}
    if setup == EVERYTHING:
        return {item.id: 1.0 for item in scenario.sources}
    found = next((s for s in scenario.setups if s.id == setup), None)
    if found is None:
        raise KeyError(setup)
    rules = dimming(scenario)
    return {name: rules[name].given(asked) for name, asked in found.levels.items()}


def dimming_json(scenario: Scenario) -> dict[str, dict[str, Any]]:
    """Return the rule of each light and strip as plain data, for what relights by itself."""
    return {
        name: {"on_off": rule.on_off, "lowest": rule.lowest, "by": list(rule.by)}
        for name, rule in dimming(scenario).items()
    }
