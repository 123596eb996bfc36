"""The best lamp and levels for each candidate of one group of lights, as designs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.find.design import Design
from lumen.find.guide import QUANTITIES_LM, Guide, Score
from lumen.find.lamps import Sold
from lumen.find.options import Group, Options
from lumen.find.places import Spot
from lumen.find.strips import metre_fluxes, strip_of
from lumen.find.weigh import CHANGE, FAR_POINTS, IDLE, State, lamp_cost, strip_cost
from lumen.scenario.base import middle
from lumen.scenario.lights import Strip

__all__ = ["Choice", "away_m"]

Array = NDArray[np.floating[Any]]
Levels = dict[str, dict[str, float]]

_OF_A_KIND = 6  # candidates kept of each kind
_MOST = 20
_WINDOW = 1e-9


def away_m(group: Group, spot: Spot) -> float:
    """Return how far the lights of a group hang from today's places, in all [m]."""
    return len(group.lights) * float(np.hypot(spot[0] - group.here[0], spot[1] - group.here[1]))


@dataclass(frozen=True)
class _Found:
    """One candidate: its points, its row, its kind, its lamp and white, lumens by setup."""

    points: float
    options: Options
    row: int
    kind: int
    sold: Sold
    cct_k: float
    turned: Mapping[str, float]


@dataclass(frozen=True, eq=False)
class Choice:
    """Chooses lamps and levels. ``lowest`` is the lowest level of each light and strip today."""

    guide: Guide
    lowest: Mapping[str, float]

    def best(
        self,
        group: Group,
        may_lamp: bool,
        design: Design,
        state: State,
        options: Options,
        variants: Sequence[Options] = (),
    ) -> list[Design]:
        """Return the best of some candidates with their lamps and levels, a few of each kind.

        With ``variants`` of the candidates, in the same order, the worst of each counts as much as
        the candidate itself.
        """
        if not len(options):
            return []
        found: list[_Found] = []
        for kind in sorted(set(options.kinds.tolist())):
            rows = options.kinds == kind
            some = options.only(rows)
            found += self._of_kind(
                group, may_lamp, state, kind, some, [variant.only(rows) for variant in variants]
            )
        found.sort(key=lambda entry: -entry.points)
        return [self._design(group, design, entry) for entry in _of_each(found)]

    def _of_kind(
        self,
        group: Group,
        may_lamp: bool,
        state: State,
        kind: int,
        some: Options,
        variants: Sequence[Options],
    ) -> list[_Found]:
        light, form = group.lights[0], group.kinds[0][kind]
        lamps = form.lamps if may_lamp else form.lamps[:1]
        fluxes = [lamp.flux_lm for lamp in lamps]
        lows = [lamp.lowest_level for lamp in lamps]
        quantities = _quantities(fluxes, self._today(group.ids), min(lows) < 1.0)
        ccts = sorted({white for lamp in lamps for white in lamp.whites_k})
        traits = [{**state.traits, **group.traits(kind, cct)} for cct in ccts]
        by_white = self.guide.scores(
            group.ids, some.units, traits, state.levels, state.given, quantities, some.harsh
        )
        still = by_white
        for variant in variants:
            worse = self.guide.scores(
                group.ids, variant.units, traits, state.levels, state.given, quantities,
                variant.harsh,
            )  # fmt: skip
            by_white = [
                [
                    replace(a, points=np.minimum(a.points, b.points))
                    for a, b in zip(mine, others, strict=True)
                ]
                for mine, others in zip(by_white, worse, strict=True)
            ]
        if variants:  # nobody gives up a wish that holds for one that an erring hand would keep
            by_white = [
                [
                    replace(a, points=(a.points + b.points) / 2.0)
                    for a, b in zip(mine, worst, strict=True)
                ]
                for mine, worst in zip(still, by_white, strict=True)
            ]
        own = middle(light.lamp.flux_lm)
        away = np.array([away_m(group, spot) for spot in some.spots])[:, None]
        cost = FAR_POINTS * away + np.array([lamp_cost(flux, own) for flux in fluxes])
        found = []
        for cct, scores in zip(ccts, by_white, strict=True):
            idle = IDLE if may_lamp else 0.0
            total, picks = over_fluxes(scores, quantities, fluxes, lows, idle)
            there = np.array([lamp.name == "yours" for lamp in lamps])
            total = total - cost - CHANGE * (cct != light.lamp.cct_k) + CHANGE * there
            unsold = [cct not in lamp.whites_k for lamp in lamps]
            total[:, unsold] = -np.inf
            for flat in np.argsort(-total, axis=None)[:4]:
                row, f = (int(i) for i in np.unravel_index(flat, total.shape))
                points = float(total[row, f])
                if not np.isfinite(points):
                    continue
                pick = [float(quantities[column[row, f]]) for column in picks]
                turned = dict(zip((score.setup for score in scores), pick, strict=True))
                found.append(_Found(points, some, row, kind, lamps[f], cct, turned))
        return found

    def _design(self, group: Group, design: Design, found: _Found) -> Design:
        """The design with one candidate in the group's place."""
        levels: Levels = {}
        for setup, quantity in found.turned.items():
            on = {n: self.guide.level(setup, n) for n in group.ids}
            level = min(1.0, quantity / found.sold.flux_lm) / max(on.values())
            levels[setup] = {n: round(level * own, 3) for n, own in on.items() if own > 0.0}
        lights = {}
        for number, light in enumerate(group.lights):
            kind = group.kinds[number][found.kind]
            new = kind.light.model_copy(update={"mount_m": found.options.mounts[found.row][number]})
            new = kind.with_lamp(new, found.sold, found.cct_k)
            dimmed = any(0.0 < at.get(light.id, 0.0) < 1.0 for at in levels.values())
            if kind.bought and dimmed and self.lowest[light.id] > found.sold.lowest_level:
                own_dimmer = {"dimmer": True, "lowest_level": found.sold.lowest_level}
                new = new.model_copy(update=own_dimmer)
            if new != light:
                lights[light.id] = new
        joined = {k: v for k, v in design.lights.items() if k not in group.ids} | lights
        names = dict.fromkeys(group.ids, group.kinds[0][found.kind].name)
        return Design(
            joined, design.strips, design.levels, {**design.kinds, **names}, found.points
        ).with_levels(levels)

    def turned(self, name: str, may_lamp: bool, design: Design, state: State) -> list[Design]:
        """Return a strip or panel dimmed; a strip with other lumens a metre where that may be."""
        item = next(x for x in self.guide.scenario.sources if x.id == name)
        own = middle(item.flux_lm_per_m) if isinstance(item, Strip) else middle(item.lamp.flux_lm)
        if own <= 0.0:
            return [design]
        other = isinstance(item, Strip) and may_lamp
        fluxes = sorted(metre_fluxes(item)) if other and isinstance(item, Strip) else [own]
        low = self.lowest[name]
        quantities = _quantities(fluxes, self._today((name,)), low < 1.0, scale=own / 470.0)
        units = {name: (self.guide.today[name] / own)[None]}
        (scores,) = self.guide.scores(
            (name,), units, [state.traits], state.levels, state.given, quantities
        )
        if not scores:
            return [design]
        total, picks = over_fluxes(scores, quantities, fluxes, [low] * len(fluxes))
        total = total - np.array([strip_cost(flux / own) for flux in fluxes])
        found = []
        for f in np.argsort(-total[0])[:2]:
            flux = fluxes[int(f)]
            levels: Levels = {}
            for score, pick in zip(scores, picks, strict=True):
                level = min(1.0, quantities[pick[0, int(f)]] / flux)
                levels[score.setup] = {name: round(float(level), 3)}
            strips = {k: v for k, v in design.strips.items() if k != name}
            if isinstance(item, Strip) and flux != own:
                strips[name] = strip_of(item, flux)
            found.append(
                replace(design, strips=strips, points=float(total[0, f])).with_levels(levels)
            )
        return found

    def _today(self, ids: Sequence[str]) -> list[float]:
        levels = {self.guide.level(s.id, n) for s in self.guide.scenario.setups for n in ids}
        return sorted(level for level in levels if level > 0.0)


def _quantities(
    fluxes: Sequence[float], today: Sequence[float], dims: bool, scale: float = 1.0
) -> Array:
    """Quantities to try: what lamps give in full and at today's levels, and what lies between."""
    own = [f * level for f in fluxes for level in (1.0, *today)]
    if not dims:
        return np.unique(own)
    between = QUANTITIES_LM * scale
    return np.unique(np.round(np.concatenate([own, between[between < max(own)]]), 9))


def over_fluxes(
    scores: Sequence[Score],
    quantities: Array,
    fluxes: Sequence[float],
    lows: Sequence[float],
    idle: float = 0.0,
) -> tuple[Array, list[NDArray[np.intp]]]:
    """Return points (n, f) of every lamp with its best level in each setup, and those columns."""
    if not scores:
        return np.zeros((1, len(fluxes))), []
    n = len(scores[0].points)
    total = np.zeros((n, len(fluxes)))
    picks = [np.zeros((n, len(fluxes)), dtype=np.intp) for _ in scores]
    for f, (flux, low) in enumerate(zip(fluxes, lows, strict=True)):
        columns = np.flatnonzero(
            (quantities >= low * flux - _WINDOW * flux) & (quantities <= flux * (1 + _WINDOW))
        )
        for score, pick in zip(scores, picks, strict=True):
            waste = idle * np.log(flux / np.maximum(quantities[columns], 1e-3 * flux))
            part = (score.points[:, columns] - waste)[:, ::-1]  # of equals the brightest
            best = np.argmax(np.round(part, 6), axis=1)
            pick[:, f] = columns[::-1][best]
            total[:, f] += part[np.arange(n), best]
    return total, picks


def _of_each(found: Sequence[_Found]) -> list[_Found]:
    """The best candidates, at most six of a kind."""
    count: dict[int, int] = {}
    kept = []
    for entry in found:
        count[entry.kind] = count.get(entry.kind, 0) + 1
        if count[entry.kind] <= _OF_A_KIND:
            kept.append(entry)
    return kept[:_MOST]
