"""Sums that lead the search: what each choice of lights does for every wish at once.

The guide takes the same sums as the study's `Lighting.answer` over arrays of candidates, without
bands and words; what it finds is judged by the study before anybody is told. Light is linear: what
a light gives at a quantity q of lamp lumens times level is q times what one lumen gives.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.find.reciprocity import Reciprocity, rows_of
from lumen.light.colour import melanopic_ratio
from lumen.scenario.aims import AimFor
from lumen.scenario.document import Scenario
from lumen.study.eyes.sight import HARSH_CD_M2
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.emitters import Emitter
from lumen.study.scene.reading import page_slabs
from lumen.study.scene.targets import named, page_id
from lumen.study.wishes.verdicts import AimResult

__all__ = ["QUANTITIES_LM", "Guide", "Score", "Traits", "Want", "glare_points", "traits_of"]

Array = NDArray[np.floating[Any]]

QUANTITIES_LM = np.concatenate([[0.0], 2.0 * 1.12 ** np.arange(58)])
"""Lamp lumens times level, 2 to 1280 lm in steps of 12 %; and dark."""

_MET, _MET_NEW, _HARSH, _LOST = 10.0, 6.0, 1.0, 20.0
_ENOUGH = 0.4  # margins beyond this, as a logarithm, count no more
_FAR = -3.0
_WORSE = 0.1  # what is missed today may come out this much worse, no more: ours


@dataclass(frozen=True)
class Want:
    """One wish in one setup: its targets, how it is measured, its limits, how even a page is.

    Under ``floor``, a tenth less than there is today or is wished, what is asked at least is worth
    a great loss: nobody dims the reader's light away to spare the sleeper, nor lights a spot of the
    page (``even_floor``). Neither is the sleeper given up: over ``ceiling``, a tenth more than
    there is today, counts as much. A ``loose`` wish counts by how near it comes alone.
    """

    aim: str
    setup: str
    targets: tuple[str, ...]
    measure: str
    statistic: str
    at_least: float | None
    at_most: float | None
    evenness: float | None
    floor: float
    ceiling: float
    even_floor: float = 0.0
    loose: bool = False

    @property
    def by_point(self) -> bool:
        """Whether single points decide, not the mean alone."""
        return (
            self.measure == "uniformity" or self.statistic != "average" or self.evenness is not None
        )


@dataclass(frozen=True)
class Traits:
    """Output when new and after years over what the maps are for; melanopic ratio."""

    new: float
    after: float
    ratio: float


@dataclass(frozen=True, eq=False)
class Score:
    """How candidates fare in one setup, by candidate and quantity: (n, q)."""

    setup: str
    points: Array


@dataclass(frozen=True, eq=False)
class Guide:
    """A plan's wishes over rows of targets, and what each of its lights gives them today."""

    scenario: Scenario
    lit: Lighting
    wants: tuple[Want, ...]
    places: Mapping[str, slice]
    reciprocity: Reciprocity

    @classmethod
    def of(
        cls, lit: Lighting, results: Sequence[AimResult], reciprocity: Reciprocity | None = None
    ) -> Guide:
        """Return the guide of a plan's light and of how its wishes fare today.

        What asks in the same room, of the same people and wishes, may be handed on.
        """
        aims = {aim.id: aim for aim in lit.scenario.aims}
        wants = tuple(_want(aims[r.id], r, lit) for r in results)
        names: dict[str, bool] = {}
        for want in wants:
            for name in want.targets:
                names[name] = names.get(name, False) or want.by_point
        for page in lit.pages:
            name = page_id(page.person)
            names[name] = names.get(name, False)
        rows, places = rows_of(lit, names)
        return cls(
            lit.scenario, lit, wants, places, reciprocity or Reciprocity.of(lit.scenario, rows)
        )

    @cached_property
    def today(self) -> Mapping[str, Array]:
        """What each source gives each row at full output, then what each page keeps of it.

        (1 + p, r) [lx], the pages as in `pages`.
        """
        means = self.reciprocity.receivers.means.T
        found = np.zeros((len(self.lit.emitters), 1 + len(self.pages), means.shape[1]))
        found[:, 0] = (self.lit.direct + self.lit.bounced) @ means
        for page in self.lit.pages:
            taken = page.taken_straight + page.taken_by_bounce
            found[:, 1 + self.pages.index(page.person)] = taken @ means
        return {e.id: rows for e, rows in zip(self.lit.emitters, found, strict=True)}

    @cached_property
    def pages(self) -> tuple[str, ...]:
        """Who has a page, in the order of the slabs that shade."""
        return tuple(page_slabs(self.scenario))

    @cached_property
    def _given_back(self) -> Mapping[str, tuple[slice, Array]]:
        """For each page that is read: its rows, and what it gives each row for one lux on it."""
        means = self.reciprocity.receivers.means
        return {
            page.person: (self.places[page_id(page.person)], means @ page.points)
            for page in self.lit.pages
        }

    def seen(self, setup: str, given: Array) -> Array:
        """Return what rows (..., r) get in a setup of what a light gives (..., 1 + p, r).

        Pages that are read there keep some of it, and give back what falls on them.
        """
        base = given[..., 0, :]
        found = base
        for person in self.lit.reading.get(setup, ()):
            if person in self._given_back:
                part, back = self._given_back[person]
                on_page = base[..., part].mean(axis=-1)
                kept = given[..., 1 + self.pages.index(person), :]
                found = found + kept + on_page[..., None] * back
        return np.asarray(found)

    def seen_all(
        self, setup: str, given: Mapping[str, Array], levels: Mapping[str, float]
    ) -> dict[str, Array]:
        """Return what rows get in a setup of every light that is on in it, at its level."""
        return {
            name: self.seen(setup, given[name]) * level
            for name, level in levels.items()
            if level > 0.0 and name in given
        }

    @cached_property
    def traits(self) -> Mapping[str, Traits]:
        """Of today's lights and strips."""
        return {e.id: traits_of(e) for e in self.lit.emitters}

    def level(self, setup: str, name: str) -> float:
        """Return a light's level in a setup as the plan has it."""
        return self.levels[setup].get(name, 0.0)

    @cached_property
    def levels(self) -> Mapping[str, Mapping[str, float]]:
        """Level of each source in each setup, as it really is, screens that are read among them."""
        return {
            setup.id: {
                e.id: float(w)
                for e, w in zip(self.lit.emitters, self.lit.weights(setup.id), strict=True)
            }
            for setup in self.scenario.setups
        }

    def values(
        self, want: Want, given: Mapping[str, Array], traits: Mapping[str, Traits]
    ) -> tuple[Array, Array, Array, Array]:
        """Return a wish's value new and after years, and how even new and after years.

        From what rows get of each light (..., r); of lying postures the one that gets most.
        """
        melanopic = want.measure == "melanopic_edi_lx"
        found = []
        for name in want.targets:
            part = self.places[name]
            new = old = np.zeros(1)
            for k, row in given.items():
                light = row[..., part] * (traits[k].ratio if melanopic else 1.0)
                new, old = new + light * traits[k].new, old + light * traits[k].after
            found.append((new, old))
        level = [_statistic(want.measure, want.statistic, x) for pair in found for x in pair]
        news, olds = np.stack(level[::2]), np.stack(level[1::2])
        worst = news.argmax(axis=0)[None]
        new, old = (np.take_along_axis(x, worst, axis=0)[0] for x in (news, olds))
        if not want.evenness:
            return new, old, new, old
        return (new, old, *(_statistic("uniformity", "", x) for x in found[0]))

    def worth(
        self, want: Want, given: Mapping[str, Array], traits: Mapping[str, Traits]
    ) -> tuple[Array, NDArray[np.bool_]]:
        """Return points of a wish and whether it is met, new, from what rows get (..., r).

        Most points for after years too, fewer for new lamps alone, then by the margin.
        """
        new, old, now, later = self.values(want, given, traits)
        held = [_held(new, old, want.at_least, want.at_most)]
        lost = (old < want.floor) | (new > want.ceiling)
        if want.evenness:
            held.append(_held(now, later, want.evenness, None))
            lost = lost | (later < want.even_floor)
        points = np.minimum.reduce([points for points, _ in held])
        met = np.logical_and.reduce([met for _, met in held])
        if want.loose:  # the margin is all that is left
            points = 2.0 * np.minimum(points, 0.0)
        return points - _LOST * lost, met

    def corrected(
        self,
        given: Mapping[str, Mapping[str, Array]],
        traits: Mapping[str, Traits],
        results: Sequence[AimResult],
    ) -> Guide:
        """Return the guide with limits moved by what it is off where the study has looked.

        ``given`` is what rows get of each light by setup, for the plan that ``results`` are of.
        """
        wants = []
        for want, result in zip(self.wants, results, strict=True):
            new, old, now, _ = (
                float(np.ravel(x)[0]) for x in self.values(want, given[want.setup], traits)
            )
            least, most, even = want.at_least, want.at_most, want.evenness
            if most is not None and result.new > 0.0 and new > 0.0:
                most *= new / result.new
            if least is not None and result.after_years > 0.0 and old > 0.0:
                least *= old / result.after_years
            if even and result.evenness is not None and result.evenness.value > 0.0:
                even *= now / result.evenness.value
            wants.append(replace(want, at_least=least, at_most=most, evenness=even))
        return replace(self, wants=tuple(wants))

    def scores(
        self,
        group: Sequence[str],
        units: Mapping[str, Array],
        whites: Sequence[Mapping[str, Traits]],
        others: Mapping[str, Mapping[str, float]],
        given: Mapping[str, Array],
        quantities: Array,
        harsh: Mapping[str, Array] | None = None,
    ) -> list[list[Score]]:
        """Return how candidates of a group fare in each setup where any of it is on, by white.

        Parameters
        ----------
        group
            The lights that change together.
        units : id -> (n, 1 + p, r)
            What each gives the rows for each lumen of its lamp, and what pages keep of it.
        whites : id -> Traits
            Of the group and of all others, for each white that is tried.
        others : setup -> id -> level
            Of all lights; the group's own are not read.
        given : id -> (1 + p, r)
            What the others give at full output, likewise.
        quantities : (q,)
            Lumens times level to try.
        harsh : id -> (n, eyes)
            Luminance toward eyes in bed for each lumen [cd/m2 lm].
        """
        found: list[list[Score]] = [[] for _ in whites]
        for setup in self.scenario.setups:
            on = {name: self.level(setup.id, name) for name in group}
            most = max(on.values(), default=0.0)
            if most <= 0.0:
                continue
            share = {name: level / most for name, level in on.items() if level > 0.0}
            rest = {n: v for n, v in others.get(setup.id, {}).items() if n not in group}
            fixed = self.seen_all(setup.id, given, rest)
            alike = np.zeros((len(units[group[0]]), len(quantities)))
            own = {
                name: (self.seen(setup.id, units[name]) * part)[:, None] * quantities[:, None]
                for name, part in share.items()
            }
            rows = {**fixed, **own}
            white: list[Want] = []
            for want in self.wants:
                if want.setup != setup.id:
                    continue
                if want.measure == "melanopic_edi_lx":
                    white.append(want)
                else:
                    alike += self.worth(want, rows, whites[0])[0]
            if harsh is not None:
                for name, part in share.items():
                    bright = harsh[name][:, None, :] * (part * quantities[:, None])
                    alike -= glare_points([bright])
            for traits, scores in zip(whites, found, strict=True):
                points = alike.copy()
                for want in white:
                    points += self.worth(want, rows, traits)[0]
                scores.append(Score(setup.id, points))
        return found


def glare_points(luminances: Iterable[Array]) -> Any:
    """Return what to take off for glaring parts in view, luminances (..., eyes) [cd/m2]."""
    return sum(_HARSH * (bright > HARSH_CD_M2).sum(axis=-1) for bright in luminances)


def traits_of(emitter: Emitter) -> Traits:
    """Return what ages and eyes make of a source's light."""
    ratio = melanopic_ratio(emitter.cct_k, emitter.lamp_kind)[0]
    if emitter.aged:
        return Traits(1 / emitter.kept, 1.0, ratio)
    return Traits(1.0, emitter.kept, ratio)


def _want(aim: AimFor, result: AimResult, lit: Lighting) -> Want:
    names = tuple(target.id for target in named(lit.targets)[aim.of])
    even = None if result.evenness is None else result.evenness.at_least
    limits = (result.at_least, result.at_most)
    floor = (1.0 - _WORSE) * min(result.at_least or 0.0, result.after_years)
    ceiling = math.inf
    if result.at_most is not None:
        ceiling = (1.0 + _WORSE) * max(result.at_most, result.new)
    patchy = 0.0
    if result.evenness is not None:
        patchy = (1.0 - _WORSE) * min(result.evenness.at_least, result.evenness.after_years)
    return Want(
        aim.id, result.setup, names, aim.measure, aim.statistic, *limits, even, floor, ceiling,
        patchy,
    )  # fmt: skip


def _statistic(measure: str, statistic: str, light: Array) -> Array:
    mean = light.mean(axis=-1)
    if measure == "uniformity":
        least = light.min(axis=-1)
        return np.asarray(np.divide(least, mean, out=np.zeros_like(mean), where=mean > 1e-9))
    if measure == "illuminance_lx" and statistic == "minimum":
        return np.asarray(light.min(axis=-1))
    if measure == "illuminance_lx" and statistic == "maximum":
        return np.asarray(light.max(axis=-1))
    return np.asarray(mean)


def _held(
    new: Array, after: Array, at_least: float | None, at_most: float | None
) -> tuple[Array, NDArray[np.bool_]]:
    """Points for values held against limits as the study holds them, and whether met when new."""
    met = np.ones(np.shape(new), dtype=bool)
    lasts = met.copy()
    margin = np.full(np.shape(new), _ENOUGH)
    if at_least is not None and at_least > 0.0:
        met &= new >= at_least
        lasts &= after >= at_least
        margin = np.minimum(margin, np.log(np.maximum(after, _TINY) / at_least))
    if at_most is not None:
        met &= new <= at_most
        margin = np.minimum(margin, np.log(max(at_most, _TINY) / np.maximum(new, _TINY)))
    points = np.where(met, np.where(lasts, _MET, _MET_NEW), 0.0)
    return points + np.maximum(margin, _FAR), met


_TINY = 1e-9
