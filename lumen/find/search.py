"""The search: a coarse grid, then steps about the best, one group of lights after the other.

Each *family* says how much may change (levels, lamps, place, kind), so that what comes out differs
in kind and not by centimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.find.design import Design
from lumen.find.guide import QUANTITIES_LM, Guide, Score, Traits, glare_points
from lumen.find.kinds import FLUXES_LM, WHITES_K, lamp_of, metre_fluxes, strip_of
from lumen.find.may import May, groups_of
from lumen.find.options import Group, Options, light_group
from lumen.scenario.base import middle
from lumen.scenario.lights import Light, Strip
from lumen.study.eyes.sight import HARSH_CD_M2
from lumen.study.load.cord_runs import cord_runs
from lumen.study.scene.levels import dimming
from lumen.study.wishes.verdicts import AimResult

__all__ = ["FAMILIES", "SHIFT_M", "TILT_RAD", "Family", "Search", "State", "Stopped"]

Array = NDArray[np.floating[Any]]
Levels = dict[str, dict[str, float]]


class Stopped(Exception):  # noqa: N818  it is no error
    """The person wants no more."""


@dataclass(frozen=True)
class Family:
    """How much may change in a family of plans, of which kinds lights may be, how far they move."""

    name: str
    parts: frozenset[str]
    kinds: str = ""
    within_m: float = np.inf


FAMILIES = (
    Family("levels", frozenset()),
    Family("spots in place", frozenset({"lamp", "kind"}), "spot of"),
    Family("spots", frozenset({"lamp", "kind", "place"}), "spot of"),
    Family("spots near by", frozenset({"lamp", "kind", "place"}), "spot of", 0.45),
    Family("lamps", frozenset({"lamp"})),
    Family("moved", frozenset({"lamp", "place"})),
    Family("shades", frozenset({"lamp", "kind", "place"}), "shade"),
    Family("soft beams", frozenset({"lamp", "kind", "place"}), "soft"),
)
"""From the least change to the most promising, then the rest."""

_COARSE_M = 0.18
_FINE_M = (0.08, 0.03, 0.01)
_STARTS = 4
_APART_M = 0.3  # between places that each are a start
_FAR_POINTS = 1.0  # lost for each metre from today's place
_KEPT = 10
_CHANGE = 0.4  # points that another white or strip must win to be worth a change
_IDLE = 0.15  # a lamp twice as strong as it is used loses this share of ln 2 of a point
_POWER = 0.3  # points lost by a lamp e times as strong as today's
_WINDOW = 1e-9
_DARK_LM = 1e-6  # a lamp of no lumens, so that it may be divided by


@dataclass(frozen=True)
class State:
    """Where the search stands: what each light gives, its traits, its glare, its levels."""

    given: Mapping[str, Array]
    traits: Mapping[str, Traits]
    harsh: Mapping[str, Array]
    levels: Levels


@dataclass(eq=False)
class Search:
    """A search over one plan.

    ``lowest`` is the lowest level of each light that something dims, 1 for what is on or off;
    ``tried`` counts candidates (a light, its kind and place) whose light was reckoned.
    """

    guide: Guide
    may: May
    lowest: Mapping[str, float]
    go_on: Callable[[], bool] = lambda: True
    tried: int = 0
    kept: dict[tuple[Any, ...], Options] = field(default_factory=dict)

    @cached_property
    def groups(self) -> tuple[Group | str, ...]:
        """Lights by groups (None for what only dims), and strips by their ids."""
        found: list[Group | str] = []
        strips = {strip.id for strip in self.guide.scenario.strips}
        for ids in groups_of(self.guide.scenario, self.may):
            if ids[0] in strips:
                found.append(ids[0])
                continue
            group = light_group(self.guide, self.may, ids)
            if group is not None:
                found.append(group)
            else:
                split = (light_group(self.guide, self.may, [name]) for name in ids)
                found += [g or name for g, name in zip(split, ids, strict=True)]
        return tuple(found)

    def corrected(self, design: Design, results: Sequence[AimResult]) -> Search:
        """Return the search led by a guide that agrees with the study about a design."""
        state = self.state(design)
        given = {
            setup: self.guide.seen_all(setup, state.given, levels)
            for setup, levels in state.levels.items()
        }
        guide = self.guide.corrected(given, state.traits, results)
        other = Search(guide, self.may, self.lowest, self.go_on)
        other.share(self)
        return other

    def share(self, other: Search) -> None:
        """Take over what another search over the same lights has reckoned."""
        self.kept = other.kept

    @cached_property
    def _meet(self) -> bool:
        """Whether two groups shine in one setup, so that each must know the other's choice."""
        ids = [g.ids if isinstance(g, Group) else (g,) for g in self.groups]
        return any(
            sum(any(s.levels.get(n, 0.0) > 0.0 for n in names) for names in ids) > 1
            for s in self.guide.scenario.setups
        )

    # ---- one family ---------------------------------------------------------------------------

    def family(self, family: Family) -> list[Design]:
        """Return the best designs of a family, best first; empty where it changes nothing more."""
        lights = [g for g in self.groups if isinstance(g, Group)]
        if family.parts and not any(family.parts & group.parts for group in lights):
            return []
        if family.kinds and not any(self._kinds(group, family) != [0] for group in lights):
            return []
        if "place" in family.parts and not any("place" in g.parts and g.surface for g in lights):
            return []
        beams = [Design()]
        meet = self._meet
        for _ in range(2 if meet else 1):
            for group in self.groups:
                self.check()
                found: dict[str, Design] = {}
                for design in beams[: 3 if meet or isinstance(group, Group) else _KEPT]:
                    for better in self._better(group, family, design)[:_KEPT]:
                        found.setdefault(_key(better), better)
                if found:
                    summed = [replace(d, points=self.total(d)) for d in found.values()]
                    beams = _varied(sorted(summed, key=lambda d: -d.points))
        return [self._with_cords(design) for design in beams]

    def check(self) -> None:
        """Go no further where the person wants no more.

        Raises
        ------
        Stopped
        """
        if not self.go_on():
            raise Stopped

    def _kinds(self, group: Group, family: Family) -> list[int]:
        """Today's kind, or those of the family in its place; today's stays where none is."""
        if "kind" not in family.parts or "kind" not in group.parts:
            return [0]
        names = [kind.name for kind in group.kinds[0]]
        return [i for i, name in enumerate(names) if i and family.kinds in name] or [0]

    def _better(self, group: Group | str, family: Family, design: Design) -> list[Design]:
        state = self.state(design)
        if isinstance(group, str):
            return self._turned(group, family, design, state)
        kinds = self._kinds(group, family)
        may_move = "place" in family.parts and "place" in group.parts and group.surface is not None
        options = self._options(group, "coarse" if may_move else "here", kinds)
        if may_move and np.isfinite(family.within_m):
            near_by = [
                _away(group, s) <= family.within_m * len(group.lights) for s in options.spots
            ]
            options = options.only(np.array(near_by, dtype=bool))
        best = self._best(group, family, design, state, options)
        if not may_move or group.surface is None:
            return best
        for step in _FINE_M:
            starts = _apart([d for d in best if _moved(d, group)] or best, group)
            fine: list[Design] = []
            for start in starts:
                self.check()
                u, v = _spot(start, group)
                near = [(u + a * step, v + b * step) for a, b in _ROUND]
                some = [k for k in kinds if _like(group, k, start, step)] or kinds
                reach = family.within_m * len(group.lights)
                inside = [s for s in _inside(near, group) if _away(group, s) <= reach]
                options = (
                    self._options(group, inside, some)
                    if inside
                    else options.only(np.zeros(len(options), dtype=bool))
                )
                if len(options):
                    fine += self._best(group, family, design, state, options)
            best = sorted({_key(d): d for d in (*best, *fine)}.values(), key=lambda d: -d.points)
            best = best[: 4 * _KEPT]
        return _varied(best)

    def sturdy(self, family: Family, designs: Sequence[Design]) -> list[Design]:
        """Return designs near the best that keep their wishes though a hand errs.

        About the best place, on a grid of 2 cm, of its kind and the next wider: what counts is the
        worst of a light in place, 2 cm off either way, and tilted by 5 degrees either way.
        """
        found: dict[str, Design] = {}
        for group in self.groups:
            if not isinstance(group, Group):
                continue
            for start in _one_of_each(designs, group)[:1]:
                self.check()
                for design in self._sturdy(group, family, start):
                    found.setdefault(_key(design), replace(design, sturdy=True))
        return list(found.values())

    def _sturdy(self, group: Group, family: Family, start: Design) -> list[Design]:
        names = [kind.name for kind in group.kinds[0]]
        own = names.index(start.kinds.get(group.ids[0], names[0]))
        near = {own, own + 1} if "kind" in family.parts else {own}
        kinds = sorted(near & set(self._kinds(group, family)))
        moves = "place" in family.parts and group.surface is not None
        u, v = _spot(start, group)
        reach = range(-1, 2) if moves else range(1)
        spots = {
            (i, j): (round(u + i * SHIFT_M, 4), round(v + j * SHIFT_M, 4))
            for i in reach
            for j in reach
        }
        if not moves:
            spots = {(0, 0): group.here}
        inside = [ij for ij, spot in spots.items() if not moves or _inside([spot], group)]
        state = self.state(start)
        found: list[Design] = []
        for kind in kinds:
            fit = [ij for ij in inside if group.fits(spots[ij], kind)]
            if not fit:
                continue
            self.check()
            around = sorted({(i + a, j + b) for i, j in fit for a, b in _CROSS}) if moves else fit
            places = [(round(u + i * SHIFT_M, 4), round(v + j * SHIFT_M, 4)) for i, j in around]
            level = group.options(
                places if moves else [group.here], [kind], rough=True, anywhere=True
            )
            at = {ij: k for k, ij in enumerate(around)}
            here = level.only(np.array([at[ij] for ij in fit]))
            variants = [
                level.only(np.array([at[i + a, j + b] for i, j in fit]))
                for a, b in (_CROSS if moves else [(0, 0)])
            ]
            for axis in (0, 1):
                for angle in (TILT_RAD, -TILT_RAD):
                    variants.append(
                        group.options(
                            [spots[ij] for ij in fit],
                            [kind],
                            rough=True,
                            anywhere=True,
                            tilt=(axis, angle),
                        )
                    )
            self.tried += (len(around) + 4 * len(fit)) * len(group.lights)
            found += self._best(group, family, start, state, here, variants)[:_ALIKE]
        return sorted(found, key=lambda d: -d.points)[: 2 * _ALIKE]

    # ---- candidates of one group ----------------------------------------------------------------

    def _options(
        self, group: Group, where: str | list[tuple[float, float]], kinds: Sequence[int]
    ) -> Options:
        if where == "here":
            spots = [group.here]
        elif where == "coarse":
            assert group.surface is not None
            spots = group.surface.grid(_COARSE_M)
        else:
            assert not isinstance(where, str)
            spots = where
        place = tuple(np.round(spots, 4).ravel())
        keys = {kind: (group.ids, kind, place) for kind in kinds}
        missing = [kind for kind, key in keys.items() if key not in self.kept]
        if missing:
            self.check()
            found = group.options(spots, missing, rough=where == "coarse")
            for kind in missing:
                self.kept[keys[kind]] = found.only(found.kinds == kind)
            self.tried += len(found) * len(group.lights)
        parts = [self.kept[key] for key in keys.values()]
        return _joined(parts)

    def _best(
        self,
        group: Group,
        family: Family,
        design: Design,
        state: State,
        options: Options,
        variants: Sequence[Options] = (),
    ) -> list[Design]:
        """The best of some candidates with their lamps and levels, a few of each kind.

        With ``variants`` of the candidates, in the same order, the worst of each counts.
        """
        if not len(options):
            return []
        light = group.lights[0]
        own = middle(light.lamp.flux_lm)
        may_lamp = "lamp" in family.parts and "lamp" in group.parts
        found: list[tuple[float, Options, int, int, float, float, dict[str, float]]] = []
        for kind in sorted(set(options.kinds.tolist())):
            some = options.only(options.kinds == kind)
            fluxes = (
                sorted({max(own, _DARK_LM), *map(float, FLUXES_LM)})
                if may_lamp
                else [max(own, _DARK_LM)]
            )
            whites = sorted({light.lamp.cct_k, *WHITES_K}) if may_lamp else [light.lamp.cct_k]
            low = max(self.lowest[name] for name in group.ids)
            dims = low < 1.0
            quantities = _quantities(fluxes, self._today(group.ids), dims)
            ccts = [float(cct) for cct in whites]
            traits = [{**state.traits, **group.traits(kind, cct)} for cct in ccts]
            by_white = self.guide.scores(
                group.ids, some.units, traits, state.levels, state.given, quantities, some.harsh
            )
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
            idle = _IDLE if may_lamp else 0.0
            away = np.array([_away(group, spot) for spot in some.spots])[:, None]
            cost = _FAR_POINTS * away + _POWER * np.maximum(
                np.log(np.array(fluxes) / max(own, 1.0)), 0.0
            )
            for cct, scores in zip(ccts, by_white, strict=True):
                total, picks = _over_fluxes(scores, quantities, fluxes, low, dims, idle)
                total = total - cost - _CHANGE * (cct != light.lamp.cct_k)
                for flat in np.argsort(-total, axis=None)[:4]:
                    row, f = (int(i) for i in np.unravel_index(flat, total.shape))
                    pick = [float(quantities[column[row, f]]) for column in picks]
                    setups = [score.setup for score in scores]
                    turned = dict(zip(setups, pick, strict=True))
                    points = float(total[row, f])
                    found.append((points, some, row, kind, fluxes[f], cct, turned))
        found.sort(key=lambda entry: -entry[0])
        return [self._design(group, design, *entry) for entry in _of_each(found)]

    def _design(
        self,
        group: Group,
        design: Design,
        points: float,
        options: Options,
        row: int,
        kind: int,
        flux: float,
        cct: float,
        turned: Mapping[str, float],
    ) -> Design:
        """The design with one candidate in the group's place; ``turned`` is lumens by setup."""
        lights = {}
        for number, light in enumerate(group.lights):
            form = group.kinds[number][kind].light
            new = form.model_copy(
                update={
                    "mount_m": options.mounts[row][number],
                    "lamp": lamp_of(form, flux, cct),
                }
            )
            if new != light:
                lights[light.id] = new
        levels: Levels = {}
        for setup, quantity in turned.items():
            on = {n: self.guide.level(setup, n) for n in group.ids}
            level = min(1.0, quantity / flux) / max(on.values())
            levels[setup] = {n: round(level * own, 3) for n, own in on.items() if own > 0.0}
        joined = {**design.lights, **lights}
        for name in group.ids:
            if name not in lights:
                joined.pop(name, None)
        names = {light.id: group.kinds[0][kind].name for light in group.lights}
        return Design(
            joined, design.strips, design.levels, {**design.kinds, **names}, points
        ).with_levels(levels)

    def _with_cords(self, design: Design) -> Design:
        """Lights that are bought have a cord as long as its way asks for."""
        plan = design.plan(self.guide.scenario)
        lights = dict(design.lights)
        for name, light in design.lights.items():
            if design.kinds.get(name, "as it is") == "as it is":
                continue
            run = next(iter(cord_runs(plan, name)), None)
            short = run is not None and run.over_m is not None and run.over_m < 0.0
            if short and run is not None and run.buy_m and light.cord is not None:
                cord = light.cord.model_copy(update={"length_m": run.buy_m})
                lights[name] = light.model_copy(update={"cord": cord})
        return replace(design, lights=lights)

    def _turned(self, name: str, family: Family, design: Design, state: State) -> list[Design]:
        """A strip, or a panel, dimmed; a strip with other lumens a metre where that may be."""
        item = next(x for x in self.guide.scenario.sources if x.id == name)
        own = middle(item.flux_lm_per_m) if isinstance(item, Strip) else middle(item.lamp.flux_lm)
        if own <= 0.0:
            return [design]
        may_lamp = isinstance(item, Strip) and "lamp" in family.parts & self.may.parts[name]
        fluxes = sorted(metre_fluxes(item)) if may_lamp and isinstance(item, Strip) else [own]
        dims = self.lowest[name] < 1.0
        quantities = _quantities(fluxes, self._today((name,)), dims, scale=own / 470.0)
        units = {name: (self.guide.today[name] / own)[None]}
        (scores,) = self.guide.scores(
            (name,), units, [state.traits], state.levels, state.given, quantities
        )
        total, picks = _over_fluxes(scores, quantities, fluxes, self.lowest[name], dims)
        if not scores:
            return [design]
        total = total - np.array([_strip_cost(flux / own) for flux in fluxes])
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

    # ---- where the search stands --------------------------------------------------------------

    def _today(self, ids: Sequence[str]) -> list[float]:
        levels = {self.guide.level(s.id, n) for s in self.guide.scenario.setups for n in ids}
        return sorted(level for level in levels if level > 0.0)

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
        today = {item.id: item for item in self.guide.scenario.sources}
        for name, light in design.lights.items():
            old = today[name]
            assert isinstance(old, Light)
            points -= _CHANGE * (light.lamp.cct_k != old.lamp.cct_k)
            times = middle(light.lamp.flux_lm) / max(middle(old.lamp.flux_lm), 1.0)
            points -= _POWER * max(0.0, float(np.log(max(times, 1e-9))))
            points -= _FAR_POINTS * float(np.linalg.norm(np.subtract(light.mount_m, old.mount_m)))
        for name, strip in design.strips.items():
            old = today[name]
            assert isinstance(old, Strip)
            points -= _strip_cost(middle(strip.flux_lm_per_m) / middle(old.flux_lm_per_m))
        return points

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
        rules = dimming(today)
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


def _strip_cost(times: float) -> float:
    """Points that another strip must win: the more unlike today's, the more."""
    return 0.0 if times == 1.0 else _CHANGE + abs(float(np.log(times)))


SHIFT_M, TILT_RAD = 0.020, float(np.radians(5.0))
"""How far a hole may wander and a light's aim may be off: what this project asks of a mounting."""

_CROSS = [(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)]
_ROUND = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)]


def _quantities(
    fluxes: Sequence[float], today: Sequence[float], dims: bool, scale: float = 1.0
) -> Array:
    """Quantities to try: what lamps give in full and at today's levels, and what lies between."""
    own = [f * level for f in fluxes for level in (1.0, *today)]
    if not dims:
        return np.unique(own)
    return np.unique(np.round(np.concatenate([own, QUANTITIES_LM * scale]), 9))


def _over_fluxes(
    scores: Sequence[Score],
    quantities: Array,
    fluxes: Sequence[float],
    lowest: float,
    dims: bool,
    idle: float = 0.0,
) -> tuple[Array, list[NDArray[np.intp]]]:
    """Points (n, f) of every lamp with its best level in each setup, and those levels' columns."""
    if not scores:
        return np.zeros((1, len(fluxes))), []
    n = len(scores[0].points)
    total = np.zeros((n, len(fluxes)))
    picks = [np.zeros((n, len(fluxes)), dtype=np.intp) for _ in scores]
    for f, flux in enumerate(fluxes):
        low = lowest * flux if dims else flux
        columns = np.flatnonzero(
            (quantities >= low - _WINDOW * flux) & (quantities <= flux * (1 + _WINDOW))
        )
        for score, pick in zip(scores, picks, strict=True):
            waste = idle * np.log(flux / np.maximum(quantities[columns], 1e-3 * flux))
            part = (score.points[:, columns] - waste)[:, ::-1]  # of equals the brightest
            best = np.argmax(np.round(part, 6), axis=1)
            pick[:, f] = columns[::-1][best]
            total[:, f] += part[np.arange(n), best]
    return total, picks


def _joined(parts: Sequence[Options]) -> Options:
    parts = [part for part in parts if len(part)] or list(parts[:1])
    first = parts[0]
    return Options(
        tuple(m for p in parts for m in p.mounts),
        tuple(s for p in parts for s in p.spots),
        np.concatenate([p.kinds for p in parts]),
        np.concatenate([p.moved for p in parts]),
        {k: np.concatenate([p.units[k] for p in parts]) for k in first.units},
        {k: np.concatenate([p.harsh[k] for p in parts]) for k in first.harsh},
    )


def _of_each(found: Sequence[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    """The best candidates, at most six of a kind."""
    count: dict[int, int] = {}
    kept = []
    for entry in found:
        count[entry[3]] = count.get(entry[3], 0) + 1
        if count[entry[3]] <= 2 * _ALIKE:
            kept.append(entry)
    return kept[: 2 * _KEPT]


def _one_of_each(designs: Sequence[Design], group: Group) -> list[Design]:
    """The best design of each kind of a group's lights."""
    found: dict[str, Design] = {}
    for design in designs:
        found.setdefault(design.kinds.get(group.ids[0], ""), design)
    return list(found.values())


def _varied(designs: Sequence[Design]) -> list[Design]:
    """The best, but at most three alike in kind, so that something broader is among them."""
    count: dict[str, int] = {}
    found = []
    for design in designs:
        kind = repr(sorted(design.kinds.items()))
        count[kind] = count.get(kind, 0) + 1
        if count[kind] <= _ALIKE:
            found.append(design)
    return found[:_KEPT]


_ALIKE = 3


def _key(design: Design) -> str:
    lights = {
        k: (v.mount_m, v.distribution, v.aim, v.lamp) for k, v in sorted(design.lights.items())
    }
    strips = {k: v.flux_lm_per_m for k, v in sorted(design.strips.items())}
    return repr((lights, strips))


def _moved(design: Design, group: Group) -> bool:
    light = design.lights.get(group.ids[0])
    return light is not None and light.mount_m != group.lights[0].mount_m


def _spot(design: Design, group: Group) -> tuple[float, float]:
    """Where a design hangs the first light of a group, on its surface."""
    light = design.lights.get(group.ids[0])
    assert group.surface is not None
    if light is None:
        return group.here
    away = np.array(light.mount_m) - group.surface.origin
    return float(away @ group.surface.right), float(away @ group.surface.up)


def _away(group: Group, spot: tuple[float, float]) -> float:
    """How far the lights of a group hang from today's places, in all [m]."""
    return len(group.lights) * float(np.hypot(spot[0] - group.here[0], spot[1] - group.here[1]))


def _apart(designs: Sequence[Design], group: Group) -> list[Design]:
    """The best few that are no neighbours: of another kind, or a good way off."""
    found: list[Design] = []
    for design in designs:
        here, kind = np.array(_spot(design, group)), design.kinds.get(group.ids[0])
        if all(
            kind != d.kinds.get(group.ids[0]) or np.linalg.norm(here - _spot(d, group)) > _APART_M
            for d in found
        ):
            found.append(design)
        if len(found) == _STARTS:
            break
    return found


def _like(group: Group, kind: int, design: Design, step: float) -> bool:
    """Whether a kind is the design's own, or next to it in the list while steps are large."""
    names = [k.name for k in group.kinds[0]]
    own = design.kinds.get(group.ids[0])
    reach = 1 if step > _FINE_M[-1] else 0
    return own in names and abs(names.index(own) - kind) <= reach


def _inside(spots: Sequence[tuple[float, float]], group: Group) -> list[tuple[float, float]]:
    surface = group.surface
    assert surface is not None
    return [
        (round(u, 3), round(v, 3))
        for u, v in spots
        if surface.low[0] <= u <= surface.high[0] and surface.low[1] <= v <= surface.high[1]
    ]
