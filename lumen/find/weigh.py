"""What a design is worth: its wishes over the guide, less glare and what it costs to have it.

All weights are our own: they order what meets the wishes equally well.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.find.design import Design
from lumen.find.guide import Guide, Traits, glare_points
from lumen.find.options import Group
from lumen.scenario.base import middle
from lumen.scenario.lights import Light, Strip
from lumen.study.eyes.sight import HARSH_CD_M2
from lumen.study.scene.levels import dimming

__all__ = ["CHANGE", "FAR_POINTS", "IDLE", "State", "Weigh", "lamp_cost", "strip_cost"]

Array = NDArray[np.floating[Any]]
Levels = Mapping[str, Mapping[str, float]]

FAR_POINTS = 1.0  # lost for each metre from today's place
CHANGE = 0.4  # points that another white or strip must win to be worth a change
IDLE = 0.15  # a lamp twice as strong as it is used loses this share of ln 2 of a point
_POWER = 0.3  # points lost by a lamp e times as strong as today's


def lamp_cost(flux_lm: float, today_lm: float) -> float:
    """Return points that a stronger lamp than today's must win."""
    return _POWER * max(0.0, math.log(max(flux_lm, 1e-9) / max(today_lm, 1.0)))


def strip_cost(times: float) -> float:
    """Return points that another strip must win: the more unlike today's, the more."""
    return 0.0 if times == 1.0 else CHANGE + abs(math.log(times))


@dataclass(frozen=True)
class State:
    """Where the search stands: what each light gives, its traits, its glare, its levels."""

    given: Mapping[str, Array]
    traits: Mapping[str, Traits]
    harsh: Mapping[str, Array]
    levels: Levels


@dataclass(frozen=True, eq=False)
class Weigh:
    """Weighs designs of one plan by its guide."""

    guide: Guide
    groups: Sequence[Group | str]

    def state(self, design: Design) -> State:
        """What each light gives and at what level, as a design has it."""
        today = self.guide.scenario
        given, traits = dict(self.guide.today), dict(self.guide.traits)
        harsh = dict(self._harsh_today)
        for group in self.groups:
            if not isinstance(group, Group):
                continue
            for number, light in enumerate(group.lights):
                new = design.lights.get(light.id)
                if new is not None:
                    found = group.as_it_would_be(number, new)
                    given[light.id], traits[light.id], harsh[light.id] = found
        for name, strip in design.strips.items():
            old = next(x for x in today.strips if x.id == name)
            given[name] = given[name] * (middle(strip.flux_lm_per_m) / middle(old.flux_lm_per_m))
        rules = dimming(design.plan(today))
        levels = {
            s.id: {
                n: rules[n].given(design.levels[s.id][n])
                if n in design.levels.get(s.id, {})
                else self.guide.level(s.id, n)
                for n in given
            }
            for s in today.setups
        }
        return State(given, traits, harsh, levels)

    @cached_property
    def _harsh_today(self) -> Mapping[str, Array]:
        return {
            light.id: group.as_it_would_be(number, light)[2]
            for group in self.groups
            if isinstance(group, Group)
            for number, light in enumerate(group.lights)
        }

    def glare(self, design: Design) -> int:
        """Return how many eyes in bed meet a glaring light of a design, by setup and light."""
        state = self.state(design)
        return sum(
            int((bright * levels[name] > HARSH_CD_M2).sum())
            for levels in state.levels.values()
            for name, bright in state.harsh.items()
        )

    def total(self, design: Design, state: State | None = None) -> float:
        """Return the points of a design over all wishes, less glare and what it costs.

        ``state`` is what its lights give, where that was reckoned by another way.
        """
        state = self.state(design) if state is None else state
        points = 0.0
        for setup, levels in state.levels.items():
            given = self.guide.seen_all(setup, state.given, levels)
            wants = [want for want in self.guide.wants if want.setup == setup]
            points += sum(
                float(np.ravel(self.guide.worth(want, given, state.traits)[0])[0]) for want in wants
            )
            points -= glare_points(state.harsh[n] * levels[n] for n in given if n in state.harsh)
        return points - self._cost(design)

    def _cost(self, design: Design) -> float:
        today = {item.id: item for item in self.guide.scenario.sources}
        cost = 0.0
        for name, light in design.lights.items():
            old = today[name]
            assert isinstance(old, Light)
            cost += CHANGE * (light.lamp.cct_k != old.lamp.cct_k)
            cost += lamp_cost(middle(light.lamp.flux_lm), middle(old.lamp.flux_lm))
            cost += FAR_POINTS * math.dist(light.mount_m, old.mount_m)
        for name, strip in design.strips.items():
            was = today[name]
            assert isinstance(was, Strip)
            cost += strip_cost(middle(strip.flux_lm_per_m) / middle(was.flux_lm_per_m))
        return cost
