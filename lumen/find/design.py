"""One choice of lights, lamps and levels: a plan, and the commands that lead there from today's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from lumen.scenario.document import Scenario, plain
from lumen.scenario.edits import apply
from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Driver

__all__ = ["Design", "applied", "hung_anew"]

Command = dict[str, Any]


@dataclass(frozen=True)
class Design:
    """Lights, strips, drivers and levels that differ from today's, by id; ``levels`` by setup too.

    ``points`` is what the guide gives it; ``kinds`` names what became of each light; ``sturdy``
    says that it was sought so that a hand may err.
    """

    lights: Mapping[str, Light] = field(default_factory=dict)
    strips: Mapping[str, Strip] = field(default_factory=dict)
    levels: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    kinds: Mapping[str, str] = field(default_factory=dict)
    points: float = 0.0
    sturdy: bool = False
    drivers: Mapping[str, Driver] = field(default_factory=dict)

    def plan(self, today: Scenario) -> Scenario:
        """Return today's plan so changed, not written and read again."""
        setups = tuple(
            s.model_copy(update={"levels": {**s.levels, **self.levels[s.id]}})
            if s.id in self.levels
            else s
            for s in today.setups
        )
        return today.model_copy(
            update={
                "lights": tuple(self.lights.get(x.id, x) for x in today.lights),
                "strips": tuple(self.strips.get(x.id, x) for x in today.strips),
                "supply": tuple(self.drivers.get(x.id, x) for x in today.supply),
                "setups": setups,
            }
        )

    def level(self, today: Scenario, setup: str, name: str) -> float:
        """Return a light's level in a setup."""
        own = self.levels.get(setup, {}).get(name)
        if own is not None:
            return own
        return next((s.levels.get(name, 0.0) for s in today.setups if s.id == setup), 0.0)

    def with_levels(self, levels: Mapping[str, Mapping[str, float]]) -> Design:
        """Return the design with some levels changed."""
        setups = {*self.levels, *levels}
        joined = {s: {**self.levels.get(s, {}), **levels.get(s, {})} for s in setups}
        return replace(self, levels=joined)

    def commands(self, today: Scenario) -> list[Command]:
        """Return the edits that make today's plan this one, in order."""
        return list(self._commands(today))

    def _commands(self, today: Scenario) -> Iterator[Command]:
        for item in today.sources:
            other: Light | Strip | None = self.lights.get(item.id) or self.strips.get(item.id)
            if other is not None:
                yield from _differences(item.id, plain(item), plain(other))
        for node in today.supply:
            if node.id in self.drivers:
                yield from _differences(node.id, plain(node), plain(self.drivers[node.id]))
        for setup in today.setups:
            for name, value in self.levels.get(setup.id, {}).items():
                if abs(value - setup.levels.get(name, 0.0)) > 1e-9:
                    args = {"setup": setup.id, "of": name, "value": value}
                    yield {"name": "level", "args": args}


def _differences(name: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Command]:
    for key in dict.fromkeys((*new, *old)):
        if new.get(key) == old.get(key):
            continue
        if key == "mount_m":
            yield {"name": "move", "id": name, "args": {"to_m": list(new[key])}}
        else:
            yield {"name": "set", "id": name, "args": {"field": key, "value": new.get(key)}}


def applied(today: Scenario, commands: list[Command]) -> Scenario:
    """Return today's plan after all commands, each as the page would send it."""
    for command in commands:
        today = apply(today, command)
    return today


def hung_anew(old: Light, new: Light) -> bool:
    """Whether a hand must hang or aim a light anew, so that it may err: not for a lamp alone."""
    return any(
        getattr(old, part) != getattr(new, part) for part in ("mount_m", "distribution", "aim")
    )
