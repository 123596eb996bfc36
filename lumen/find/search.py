"""The search: a coarse grid, then steps about the best, one group of lights after the other.

Each *family* says how much may change (levels, lamps, place, kind), so that what comes out differs
in kind and not by centimetres. Its best is then moved to where a hand may err.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from lumen.find.choice import Choice
from lumen.find.design import Design, hung_anew
from lumen.find.guide import Guide
from lumen.find.may import May, groups_of
from lumen.find.options import Group, Options, joined, light_group
from lumen.find.places import Spot
from lumen.find.strips import drivers_for
from lumen.find.weigh import State, Weigh
from lumen.study.load.cord_runs import cord_runs
from lumen.study.wishes.verdicts import AimResult

__all__ = ["FAMILIES", "SHIFT_M", "TILT_RAD", "Family", "Search", "Stopped"]


class Stopped(Exception):  # noqa: N818  it is no error
    """The person wants no more."""


@dataclass(frozen=True)
class Family:
    """How much may change in a family of plans, and of which kinds lights may be."""

    name: str
    parts: frozenset[str]
    kinds: str = ""


FAMILIES = (
    Family("levels", frozenset()),
    Family("spots in place", frozenset({"lamp", "kind"}), "spot"),
    Family("spots", frozenset({"lamp", "kind", "place"}), "spot"),
    Family("lamps", frozenset({"lamp"})),
    Family("moved", frozenset({"lamp", "place"})),
    Family("shades", frozenset({"lamp", "kind", "place"}), "shade"),
    Family("soft heads", frozenset({"lamp", "kind", "place"}), "soft"),
)
"""From the least change to the most promising, then the rest."""

SHIFT_M, TILT_RAD = 0.020, float(np.radians(5.0))
"""How far a hole may wander and a light's aim may be off: what this project asks of a mounting."""

_COARSE_M = 0.18
_FINE_M = 0.06
_INWARD = 2  # steps of 2 cm between places that are tried for an erring hand
_STARTS = 3
_APART_M = 0.3  # between places that each are a start
_KEPT = 10
_ALIKE = 3
_GO_ON = 2  # designs of a family that the next group is sought for


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
    lights: tuple[Group | str, ...] | None = None

    @cached_property
    def groups(self) -> tuple[Group | str, ...]:
        """Lights by groups, and strips and what only dims by their ids."""
        if self.lights is not None:
            return self.lights
        found: list[Group | str] = []
        strips = {strip.id for strip in self.guide.scenario.strips}
        for ids in groups_of(self.guide.scenario, self.may):
            if ids[0] in strips:
                found.append(ids[0])
                continue
            group = light_group(self.guide, self.may, ids, self.lowest)
            if group is not None:
                found.append(group)
            else:
                split = (light_group(self.guide, self.may, [name], self.lowest) for name in ids)
                found += [g or name for g, name in zip(split, ids, strict=True)]
        return tuple(found)

    @cached_property
    def weigh(self) -> Weigh:
        """Weighs designs by the guide."""
        return Weigh(self.guide, self.groups)

    @cached_property
    def choice(self) -> Choice:
        """Chooses lamps and levels."""
        return Choice(self.guide, self.lowest)

    def corrected(self, design: Design, results: Sequence[AimResult]) -> Search:
        """Return the search led by a guide that agrees with the study about a design."""
        state = self.weigh.state(design)
        given = {
            setup: self.guide.seen_all(setup, state.given, levels)
            for setup, levels in state.levels.items()
        }
        guide = self.guide.corrected(given, state.traits, results)
        return self.led_by(guide)

    def led_by(self, guide: Guide) -> Search:
        """Return the search led by another guide of the same lights, with what is reckoned."""
        return Search(guide, self.may, self.lowest, self.go_on, kept=self.kept, lights=self.groups)

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
        for _ in range(2 if self._meet else 1):
            for group in self.groups:
                self.check()
                found: dict[str, Design] = {}
                for design in beams[:_GO_ON]:
                    for better in self._better(group, family, design)[:_KEPT]:
                        found.setdefault(_key(better), better)
                if found:
                    summed = [replace(d, points=self.weigh.total(d)) for d in found.values()]
                    beams = _varied(sorted(summed, key=lambda d: -d.points))
        return [self._completed(design) for design in beams]

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

    def _moves(self, group: Group, family: Family) -> bool:
        return "place" in family.parts and "place" in group.parts and group.surface is not None

    def _better(self, group: Group | str, family: Family, design: Design) -> list[Design]:
        state = self.weigh.state(design)
        may = self.may.parts[group if isinstance(group, str) else group.ids[0]]
        may_lamp = "lamp" in family.parts & may
        if isinstance(group, str):
            return self.choice.turned(group, may_lamp, design, state)
        kinds = self._kinds(group, family)
        if not self._moves(group, family):
            options = self._options(group, [group.here], kinds)
            return _varied(self.choice.best(group, may_lamp, design, state, options))
        assert group.surface is not None
        options = self._options(group, group.surface.grid(_COARSE_M), kinds, rough=True)
        best = self.choice.best(group, may_lamp, design, state, options)
        fine: list[Design] = []
        for start in _apart([d for d in best if _moved(d, group)] or best, group):
            self.check()
            near = [k for k in kinds if _like(group, k, start)] or kinds
            spots = self._about(group, _spot(start, group), _FINE_M)
            options = self._options(group, spots, near, rough=True)
            fine += self.choice.best(group, may_lamp, design, state, options)
        both = {_key(d): d for d in (*best, *fine)}
        return _varied(sorted(both.values(), key=lambda d: -d.points))

    def _about(self, group: Group, spot: Spot, step_m: float) -> list[Spot]:
        u, v = spot
        return _inside([(u + a * step_m, v + b * step_m) for a, b in _ROUND], group)

    # ---- a hand that errs ------------------------------------------------------------------------

    def sturdy(self, family: Family, design: Design) -> list[Design]:
        """Return designs about one that keep their wishes though a hand errs, best first.

        About its places, inward on a grid of 4 cm, of its kind and those next to it: what counts
        is the worst of a light in place, 2 cm off either way, and tilted by 5 degrees either way.
        """
        best = design
        found: dict[str, Design] = {}
        for group in self.groups:
            if not isinstance(group, Group) or not _hung_anew(best, group):
                continue
            self.check()
            ordered = self._sturdy(group, family, best)
            if ordered:
                best = ordered[0]
                for one in ordered:
                    found[_key(one)] = replace(one, sturdy=True)
        mended = [self._completed(d) for d in found.values()]
        return sorted(mended, key=lambda d: -d.points)[:_ALIKE]

    def _sturdy(self, group: Group, family: Family, start: Design) -> list[Design]:
        names = [kind.name for kind in group.kinds[0]]
        own = names.index(start.kinds.get(group.ids[0], names[0]))
        near = {own - 1, own, own + 1} if "kind" in family.parts & group.parts else {own}
        kinds = sorted(near & set(self._kinds(group, family))) or [own]
        may_lamp = "lamp" in family.parts & group.parts
        state = self.weigh.state(start)
        spot = _spot(start, group)
        found: list[Design] = []
        if not self._moves(group, family):
            return self._by_worst(group, may_lamp, start, state, [spot], kinds)
        for _ in range(2):
            spots = self._about(group, spot, _INWARD * SHIFT_M)
            found += self._by_worst(group, may_lamp, start, state, spots, kinds)
            if not found:
                break
            best = max(found, key=lambda d: d.points)
            if _spot(best, group) == spot:
                break
            spot = _spot(best, group)
        return sorted(found, key=lambda d: -d.points)[:_ALIKE]

    def _by_worst(
        self,
        group: Group,
        may_lamp: bool,
        start: Design,
        state: State,
        spots: Sequence[Spot],
        kinds: Sequence[int],
    ) -> list[Design]:
        """The best at some places by the worst that a hand makes of each."""
        found: list[Design] = []
        for kind in kinds:
            fit = [spot for spot in spots if group.fits(spot, kind)]
            if not fit:
                continue
            self.check()
            ways = [(0.0, 0.0)]
            if group.surface is not None:
                ways += [(SHIFT_M * a, SHIFT_M * b) for a, b in _CROSS]
            off = [[(round(u + a, 4), round(v + b, 4)) for u, v in fit] for a, b in ways]
            every = list(dict.fromkeys(spot for some in off for spot in some))
            level = group.options(every, [kind], rough=True, anywhere=True)
            at = {spot: number for number, spot in enumerate(every)}
            variants = [level.only(np.array([at[spot] for spot in some])) for some in off]
            for axis in (0, 1):
                for angle in (TILT_RAD, -TILT_RAD):
                    variants.append(
                        group.options(fit, [kind], rough=True, anywhere=True, tilt=(axis, angle))
                    )
            self.tried += (len(every) + 4 * len(fit)) * len(group.lights)
            here, *rest = variants
            found += self.choice.best(group, may_lamp, start, state, here, rest)[:_ALIKE]
        return found

    # ---- candidates of one group ----------------------------------------------------------------

    def _options(
        self, group: Group, spots: Sequence[Spot], kinds: Sequence[int], *, rough: bool = False
    ) -> Options:
        place = tuple(np.round(spots, 4).ravel())
        keys = {kind: (group.ids, kind, place, rough) for kind in kinds}
        missing = [kind for kind, key in keys.items() if key not in self.kept]
        if missing:
            self.check()
            found = group.options(spots, missing, rough=rough)
            for kind in missing:
                self.kept[keys[kind]] = found.only(found.kinds == kind)
            self.tried += len(found) * len(group.lights)
        return joined([self.kept[key] for key in keys.values()])

    def _completed(self, design: Design) -> Design:
        """The design with cords as long as bought lights need, and drivers as strips need."""
        plan = design.plan(self.guide.scenario)
        lights = dict(design.lights)
        for name, light in design.lights.items():
            if design.kinds.get(name, "as it is") == "as it is":
                continue
            run = next(iter(cord_runs(plan, name)), None)
            short = run is not None and run.over_m is not None and run.over_m < 0.0
            if short and run is not None and run.buy_m and light.cord is not None:
                there = next((m for m in self.may.cords_m if m >= run.needed_m), run.buy_m)
                cord = light.cord.model_copy(update={"length_m": there})
                lights[name] = light.model_copy(update={"cord": cord})
        strong = drivers_for(self.guide.scenario, plan) if design.strips else {}
        return replace(design, lights=lights, drivers=strong)


_CROSS = [(1, 0), (-1, 0), (0, 1), (0, -1)]
_ROUND = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)]


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


def _key(design: Design) -> str:
    lights = {
        k: (v.mount_m, v.distribution, v.aim, v.lamp) for k, v in sorted(design.lights.items())
    }
    strips = {k: v.flux_lm_per_m for k, v in sorted(design.strips.items())}
    return repr((lights, strips, sorted(design.levels.items())))


def _moved(design: Design, group: Group) -> bool:
    light = design.lights.get(group.ids[0])
    return light is not None and light.mount_m != group.lights[0].mount_m


def _hung_anew(design: Design, group: Group) -> bool:
    """Whether a hand must hang or aim a light of the group."""
    return any(
        light.id in design.lights and hung_anew(light, design.lights[light.id])
        for light in group.lights
    )


def _spot(design: Design, group: Group) -> Spot:
    """Where a design hangs the first light of a group, on its surface."""
    light = design.lights.get(group.ids[0])
    if light is None or group.surface is None:
        return group.here
    away = np.array(light.mount_m) - group.surface.origin
    return round(float(away @ group.surface.right), 4), round(float(away @ group.surface.up), 4)


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


def _like(group: Group, kind: int, design: Design) -> bool:
    """Whether a kind is the design's own, or next to it in the list."""
    names = [k.name for k in group.kinds[0]]
    own = design.kinds.get(group.ids[0])
    return own in names and abs(names.index(own) - kind) <= 1


def _inside(spots: Sequence[Spot], group: Group) -> list[Spot]:
    surface = group.surface
    assert surface is not None
    return [
        (round(u, 4), round(v, 4))
        for u, v in spots
        if surface.low[0] <= u <= surface.high[0] and surface.low[1] <= v <= surface.high[1]
    ]
