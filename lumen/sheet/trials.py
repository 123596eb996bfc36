"""Which setups may be tried out: those that raise no stop when only they are plugged in.

A test that orders an overload does harm, so every order of the sheet to switch a setup on goes
through here. The rules are the study's own; they are asked again about the plan less everything
that the setup leaves off.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from lumen.scenario.aims import Setup
from lumen.scenario.document import Scenario
from lumen.scenario.supply import Appliance, Circuit, Outlet
from lumen.study.cautions import cautions
from lumen.study.digits import figure
from lumen.study.load.electrics import electrics
from lumen.words.cautions import caution_words

__all__ = ["Trial", "heaviest", "only", "trials"]


@dataclass(frozen=True)
class Trial:
    """One setup as it may be tried.

    ``unplugged`` are the appliances of the setup that must be out of their outlets for it;
    ``stops`` are titles of the stops that stay whatever is unplugged: then it may not be tried.
    ``watts`` is what it draws as tried, ``hidden_w`` that less what goes straight into the wall:
    what power strips, drivers and receivers carry.
    """

    setup: str
    name: str
    lit: tuple[str, ...]
    running: tuple[str, ...]
    unplugged: tuple[str, ...]
    unplugged_names: tuple[str, ...]
    stops: tuple[str, ...]
    watts: float
    hidden_w: float

    @property
    def allowed(self) -> bool:
        """Whether the sheet may order it."""
        return not self.stops


def only(plan: Scenario, setup: Setup, running: Collection[str]) -> Scenario:
    """Return the plan with what one setup has on, and what feeds that; the rest is unplugged."""
    lit = {source for source, level in setup.levels.items() if level > 0.0}
    lights = tuple(light for light in plan.lights if light.id in lit)
    strips = tuple(strip for strip in plan.strips if strip.id in lit)
    feeders = {item.id: getattr(item, "fed_from", None) for item in plan.supply}
    needed: set[str | None] = set(running)
    plugs = [light.fed_from for light in lights] + [strip.fed_from for strip in strips]
    for at in (*plugs, *(feeders.get(item) for item in running)):
        while at is not None and at not in needed:
            needed.add(at)
            at = feeders.get(at)
    supply = tuple(
        item
        for item in plan.supply
        if item.id in needed
        or isinstance(item, Circuit | Outlet)
        or (isinstance(item, Appliance) and item.id in running)
    )
    tried = setup.model_copy(
        update={
            "levels": {key: setup.levels[key] for key in setup.levels if key in lit},
            "running": tuple(item for item in setup.running if item in running),
        }
    )
    return plan.model_copy(
        update={
            "lights": lights, "strips": strips, "supply": supply, "setups": (tried,), "aims": (),
        }
    )  # fmt: skip


def trials(plan: Scenario) -> tuple[Trial, ...]:
    """Return how each setup that switches something on may be tried, in the plan's order.

    Where a setup raises a stop, the appliance that draws most is taken out until none is left.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> [trial.name for trial in trials(load(examples()[0])) if not trial.allowed]
    []
    """
    return tuple(_trial(plan, s) for s in plan.setups if s.running or any(s.levels.values()))


def _trial(plan: Scenario, setup: Setup) -> Trial:
    names = {item.id: item.name or item.id for item in plan.supply}
    running, unplugged = list(setup.running), []
    while True:
        tried = only(plan, setup, running)
        drawn = electrics(tried)
        stops = [c for c in cautions(tried, drawn) if c.level == "stop"]
        if not stops or not running:
            break
        most = max(running, key=lambda item: (drawn.everything[item].amperes, item))
        running.remove(most)
        unplugged.append(most)
    tree = drawn.trees[setup.id]
    at_wall = {
        item.id
        for item in tried.supply
        if isinstance(item, Appliance) and isinstance(_feeder(tried, item), Outlet)
    }
    watts = drawn.total(setup.id).total_w
    return Trial(
        setup=setup.id,
        name=setup.name or setup.id,
        lit=tuple(key for key, level in setup.levels.items() if level > 0.0),
        running=tuple(running),
        unplugged=tuple(unplugged),
        unplugged_names=tuple(names[item] for item in unplugged),
        stops=tuple(dict.fromkeys(words.title for words in caution_words(stops, tried))),
        watts=watts,
        hidden_w=figure(watts - math.fsum(tree[item].watts_in for item in at_wall)),
    )


def heaviest(tried: Collection[Trial]) -> Trial | None:
    """Return the trial without a stop in which strips, drivers and receivers carry most."""
    warm = [trial for trial in tried if trial.allowed and trial.hidden_w > 0.0]
    return max(warm, key=lambda trial: trial.hidden_w, default=None)


def _feeder(plan: Scenario, item: Appliance) -> object:
    return next((other for other in plan.supply if other.id == item.fed_from), None)
