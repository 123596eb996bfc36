"""What the search found, judged by the study: wishes, glare, cautions, and care at the wall."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.find.design import Design, hung_anew
from lumen.find.options import Group
from lumen.find.search import SHIFT_M, TILT_RAD, Search
from lumen.scenario.document import Scenario
from lumen.study.cautions import Caution, cautions
from lumen.study.eyes.comfort import Comfort
from lumen.study.lighting.maps import Lighting, lighting
from lumen.study.load.electrics import electrics, strip_profiles
from lumen.study.scene.targets import STANDING
from lumen.study.wishes.verdicts import AimResult, aim_results

__all__ = ["Judge", "Judged", "counts", "harsh_of", "serious"]

Array = NDArray[np.floating[Any]]

_TRIED = 2  # designs of a family that the study judges, an erring hand tries, cautions look at


@dataclass(frozen=True, eq=False)
class Judged:
    """A design, its plan, how its wishes fare, and what changes against today.

    ``glare`` counts eyes in bed that meet a glaring light, by setup, and ``glare_today`` the same
    of today; ``spoilt`` names wishes that fare far worse than today.
    """

    design: Design
    plan: Scenario
    results: tuple[AimResult, ...]
    glare: int
    glare_today: int = 0
    spoilt: tuple[str, ...] = ()
    adds: tuple[Caution, ...] = ()
    clears: tuple[Caution, ...] = ()
    loses_moved: tuple[str, ...] = ()
    loses_tilted: tuple[str, ...] = ()

    @property
    def rank(self) -> tuple[float, ...]:
        """Smaller is better: nothing spoilt, no glare added, wishes, none lost by a hand, years."""
        met, lasting, _ = counts(self.results)
        return (
            len(self.spoilt),
            max(0, self.glare - self.glare_today),
            -met,
            len(self.loses),
            -lasting,
            self.glare,
            -self.design.points,
        )

    @property
    def loses(self) -> frozenset[str]:
        """Wishes that an erring hand loses."""
        return frozenset((*self.loses_moved, *self.loses_tilted))


def counts(results: Iterable[AimResult]) -> tuple[int, int, int]:
    """Return how many wishes are met by new lamps, after years too, and surely so."""
    states = [(r.state, r.sure) for r in results]
    return (
        sum(state in ("met", "met while new") for state, _ in states),
        sum(state == "met" for state, _ in states),
        sum(state == "met" and sure for state, sure in states),
    )


def harsh_of(lit: Lighting) -> frozenset[tuple[str, str, str]]:
    """Return which eyes in bed meet which glaring light in which setup."""
    found = Comfort(lit)
    return frozenset(
        (setup.id, seen.eye, seen.light)
        for setup in lit.scenario.setups
        for seen in found.harsh(setup.id)
        if seen.posture not in STANDING
    )


def serious(raised: Iterable[Caution]) -> list[Caution]:
    """Return the cautions that ask somebody to stop or to ask."""
    return [caution for caution in raised if caution.level in ("stop", "ask")]


@dataclass(eq=False)
class Judge:
    """Judges designs against one plan of today."""

    search: Search

    @property
    def today(self) -> Scenario:
        """The plan as it stands."""
        return self.search.guide.scenario

    @cached_property
    def raised(self) -> tuple[Caution, ...]:
        """Cautions of today."""
        return cautions(self.today, electrics(self.today))

    @cached_property
    def profiles(self) -> Any:
        """Brightness along today's strips."""
        return strip_profiles(self.today)

    def light_of(self, design: Design) -> Lighting:
        """Return the study's own light of a design's plan."""
        plan = design.plan(self.today)
        profiles = strip_profiles(plan) if design.strips else self.profiles
        return lighting(plan, profiles)

    def judged(self, designs: Sequence[Design]) -> list[Judged]:
        """Return designs with how their wishes fare in the study, cautions not looked at."""
        found = []
        today = self.search.weigh.glare(Design())
        for design in designs:
            self.search.check()
            lit = self.light_of(design)
            results = aim_results(lit, shadows=False)
            glare = self.search.weigh.glare(design)
            spoilt = tuple(self._spoilt(results))
            found.append(Judged(design, lit.scenario, results, glare, today, spoilt))
        return found

    def _spoilt(self, results: Sequence[AimResult]) -> Iterator[str]:
        for want, result in zip(self.search.guide.wants, results, strict=True):
            even = math.inf if result.evenness is None else result.evenness.after_years
            patchy = even < want.even_floor
            if result.after_years < want.floor or result.new > want.ceiling or patchy:
                yield result.id

    def best(self, designs: Sequence[Design], tried: int = _TRIED) -> list[Judged]:
        """Return the designs that hold before the study, best first, cautions and care counted.

        What adds a caution that asks to stop or to ask comes after all that does not.
        """
        found = self.judged(designs[:tried])
        tested = sorted((self._by_hand(j) for j in found), key=lambda j: j.rank)
        looked: list[Judged] = []
        for judged in tested:
            raised = cautions(judged.plan, electrics(judged.plan))
            adds, clears = difference(self.raised, raised)
            looked.append(replace(judged, adds=adds, clears=clears))
            if not serious(adds):
                break
        return sorted(looked, key=lambda j: len(serious(j.adds)))

    def _by_hand(self, judged: Judged) -> Judged:
        """What is lost where a hole is 20 mm off or an aim 5 degrees off, one at a time."""
        search, design = self.search, judged.design
        state = search.weigh.state(design)
        moved: dict[str, None] = {}
        tilted: dict[str, None] = {}
        for group in search.groups:
            if not isinstance(group, Group):
                continue
            for number, light in enumerate(group.lights):
                new = design.lights.get(light.id)
                if new is None or not hung_anew(light, new):
                    continue
                rows = group.disturbed(number, new, SHIFT_M, TILT_RAD)
                for want in search.guide.wants:
                    levels = state.levels[want.setup]
                    if levels.get(light.id, 0.0) <= 0.0:
                        continue
                    given = search.guide.seen_all(want.setup, state.given, levels)
                    if not np.all(search.guide.worth(want, given, state.traits)[1]):
                        continue
                    given[light.id] = search.guide.seen(want.setup, rows) * levels[light.id]
                    held = search.guide.worth(want, given, state.traits)[1]
                    if not held[:4].all():
                        moved[want.aim] = None
                    if not held[4:].all():
                        tilted[want.aim] = None
        return replace(judged, loses_moved=tuple(moved), loses_tilted=tuple(tilted))


def difference(
    before: Sequence[Caution], after: Sequence[Caution]
) -> tuple[tuple[Caution, ...], tuple[Caution, ...]]:
    """Return the cautions that a change adds, and those that it clears."""

    def key(caution: Caution) -> tuple[int, str]:
        return caution.rule, caution.objects[0]

    old, new = {key(c): c for c in before}, {key(c): c for c in after}
    rank = {"advice": 0, "warning": 1, "danger": 2}
    adds = tuple(
        c for k, c in new.items() if k not in old or rank[c.severity] > rank[old[k].severity]
    )
    return adds, tuple(c for k, c in old.items() if k not in new)
