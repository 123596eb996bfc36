"""Light of a plan: one map per source on every plane and eye, setups as weighted sums, bands."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.colour import melanopic_ratio
from lumen.light.interreflection import SurfaceLight, Transport
from lumen.light.mirror import PlaneMirror
from lumen.light.sources import StripSource
from lumen.light.visibility import Blocker
from lumen.scenario.document import Scenario
from lumen.study.cache import fingerprint, light_content
from lumen.study.lighting.evaluation import Evaluation, evaluation_of
from lumen.study.lighting.soundness import check_light
from lumen.study.scene.body import own_shadow
from lumen.study.scene.emitters import (
    FLUX_TOLERANCE,
    Emitter,
    Profile,
    emitter_of_light,
    emitter_of_strip,
)
from lumen.study.scene.levels import EVERYTHING, given_levels
from lumen.study.scene.reading import lit_pages, other_pages, page_slabs, reading_of, screens
from lumen.study.scene.targets import Target, page_id, targets

__all__ = [
    "EVERYTHING",
    "Answer",
    "Lighting",
    "LitPage",
    "Share",
    "emitters_of",
    "levels_of",
    "lighting",
]

Array = NDArray[np.floating[Any]]

_ALL = slice(None)

REFLECTANCE_TOLERANCE = 0.10
"""Reflectances typed from a card or guessed: give or take a tenth; our own assumption."""


@dataclass(frozen=True)
class Share:
    """What one source gives a target [lx], direct and bounced apart."""

    id: str
    direct_lx: float
    bounced_lx: float


@dataclass(frozen=True)
class Answer:
    """Illuminance of one target in one setup [lx], with its band and where it comes from.

    The band runs from lamps after years of use and dust (``after_years_lx`` is their middle) to new
    ones (``new_lx``).
    """

    target: str
    setup: str
    average_lx: float
    minimum_lx: float
    maximum_lx: float
    low_lx: float
    high_lx: float
    direct_lx: float
    bounced_lx: float
    melanopic_lx: float
    melanopic_low_lx: float
    melanopic_high_lx: float
    after_years_lx: float
    new_lx: float
    melanopic_after_years_lx: float
    melanopic_new_lx: float
    by_source: tuple[Share, ...]

    @property
    def uniformity(self) -> float | None:
        """Least over average (U0 of EN 12464-1); None in the dark."""
        return self.minimum_lx / self.average_lx if self.average_lx > 1e-9 else None

    @property
    def without_ageing(self) -> tuple[float, float]:
        """Low and high [lx] about the average for lamps of one age."""
        if self.average_lx <= 1e-9:
            return 0.0, 0.0
        low, high = self.low_lx / self.after_years_lx, self.high_lx / self.new_lx
        return self.average_lx * low, self.average_lx * high


@dataclass(frozen=True, eq=False)
class LitPage:
    """A page that is read: what it gives all targets for one lux on it, and what it takes away.

    ``emitter`` is the page as a source for one lux on its average, ``slab`` the page as a solid;
    ``points`` (points,) is what it gives every target point, straight and by bounce [lx];
    ``per_source`` (sources,) what each source at full output gives the page on average [lx];
    ``map`` what it leaves on the room. ``taken`` is what it keeps from the room's surfaces of each
    source's light, None of most; ``taken_straight`` and ``taken_by_bounce`` (sources, points) what
    it keeps from the target points [lx], 0 or less.
    """

    person: str
    emitter: Emitter
    slab: Blocker
    points: Array
    per_source: Array
    map: SurfaceLight
    taken: tuple[SurfaceLight | None, ...]
    taken_straight: Array
    taken_by_bounce: Array


@dataclass(frozen=True, eq=False)
class Lighting:
    """Unit maps of every source on every target, and the sums that answer a setup.

    ``direct`` and ``bounced`` are (sources, points) [lx] at full output; ``slices`` says which
    points belong to which target. ``maps`` are what each source leaves on the room's surfaces;
    ``evaluation`` tells what it gives anywhere else. ``response`` holds, for each target, the
    bounced light that it gets on average for each lux of direct light on a patch (patches,).

    Last among the sources are pages that glow by themselves. ``pages`` are those that give back
    what falls on them: their light counts as bounced light of the source it came from, in setups
    where their reader reads (:mod:`lumen.study.scene.reading`); ``reading`` says who does.
    """

    evaluation: Evaluation
    targets: tuple[Target, ...]
    slices: Mapping[str, slice]
    emitters: tuple[Emitter, ...]
    direct: Array
    bounced: Array
    maps: tuple[SurfaceLight, ...]
    response: Mapping[str, Array]
    pages: tuple[LitPage, ...]
    reading: Mapping[str, tuple[str, ...]]

    @property
    def scenario(self) -> Scenario:
        """The plan."""
        return self.evaluation.scenario

    @property
    def transport(self) -> Transport:
        """The exchange of light between the room's surfaces."""
        return self.evaluation.transport

    @property
    def room(self) -> str:
        """Name of the room by content, under which what is dear to compute is kept."""
        return self.evaluation.room

    @property
    def mirrors(self) -> tuple[tuple[str, PlaneMirror], ...]:
        """The room's mirrors by the ids of their openings or furniture."""
        return self.evaluation.mirrors

    def weights(self, setup: str) -> Array:
        """Return each source's level (sources,) in a setup."""
        if setup not in self._weights:
            levels = levels_of(self.scenario, setup, self.reading)
            weights = np.array([levels.get(emitter.id, 0.0) for emitter in self.emitters])
            self._weights[setup] = weights
        return self._weights[setup]

    @cached_property
    def _weights(self) -> dict[str, Array]:
        return {}

    def weights_by_age(self, setup: str) -> tuple[Array, Array]:
        """Return each source's level in a setup times its output: new, and after years."""
        level = self.weights(setup)
        new, aged = self._ages
        return level * new, level * aged

    def illuminance(self, setup: str) -> Array:
        """Return the illuminance (points,) [lx] in a setup: one weighted sum."""
        return np.asarray(self.weights(setup) @ self.total(setup))

    def total(self, setup: str, part: slice = _ALL) -> Array:
        """Return what each source at full output gives points (sources, points) [lx] in a setup.

        Direct and bounced, with what the pages that are read then give back of it. ``part`` picks
        a target's points from ``slices``.
        """
        total = self._total[:, part]
        for page in self.pages_read(setup):
            total = total + page.taken_straight[:, part] + page.taken_by_bounce[:, part]
            total = total + page.per_source[:, None] * page.points[None, part]
        return np.asarray(total)

    def pages_read(self, setup: str) -> tuple[LitPage, ...]:
        """Return the pages that are read in a setup."""
        reads = self.reading.get(setup, ())
        return tuple(page for page in self.pages if page.person in reads)

    def page_maps(self, setup: str) -> Iterator[tuple[SurfaceLight, Array]]:
        """Yield what pages that are read give and take from the room's surfaces, all in all.

        Each with the part of it that comes of every source (sources,), as a factor: it adds up to
        the lux on the page, or is a source's level where its light is kept off.
        """
        weights = self.weights(setup)
        for page in self.pages_read(setup):
            yield page.map, weights * page.per_source
            for k, taken in enumerate(page.taken):
                if taken is not None and weights[k]:
                    yield taken, weights * (np.arange(len(weights)) == k)

    def answer(self, target: str, setup: str) -> Answer:
        """Return what a target gets in a setup."""
        return self._answer(target, setup, self.weights(setup), self.doubts[:2])

    def alone(self, target: str, source: str) -> Answer:
        """Return what a target gets from one source alone at full output.

        Its printed lumens are as unsure as any box's, however unsure the plan is of its own lamp:
        the answer serves to choose another.
        """
        weights = np.array([float(emitter.id == source) for emitter in self.emitters])
        flux = np.array([math.hypot(FLUX_TOLERANCE, emitter.spread) for emitter in self.emitters])
        return self._answer(target, "", weights, (flux, flux))

    def _answer(self, target: str, setup: str, w: Array, flux: tuple[Array, Array]) -> Answer:
        part = self.slices[target]
        straight, by_bounce = self._means[target]
        for page in self.pages_read(setup):
            straight = straight + page.taken_straight[:, part].mean(axis=1)
            by_bounce = by_bounce + page.taken_by_bounce[:, part].mean(axis=1)
            by_bounce = by_bounce + page.per_source * page.points[part].mean()
        direct, bounced = w * straight, w * by_bounce
        spread = w @ self.total(setup, part)
        each = direct + bounced
        average = float(each.sum())
        low, after_years, new, high = self._band(direct, bounced, flux)
        ratios = self._melanopic
        return Answer(
            target=target,
            setup=setup,
            average_lx=average,
            minimum_lx=float(spread.min()),
            maximum_lx=float(spread.max()),
            low_lx=low,
            high_lx=high,
            direct_lx=float(direct.sum()),
            bounced_lx=float(bounced.sum()),
            melanopic_lx=float(each @ ratios[:, 0]),
            melanopic_low_lx=float(each @ ratios[:, 1]) * (low / average if average else 1.0),
            melanopic_high_lx=float(each @ ratios[:, 2]) * (high / average if average else 1.0),
            after_years_lx=after_years,
            new_lx=new,
            melanopic_after_years_lx=float((each * self._ages[1]) @ ratios[:, 0]),
            melanopic_new_lx=float((each * self._ages[0]) @ ratios[:, 0]),
            by_source=tuple(
                Share(e.id, float(d), float(b))
                for e, d, b in zip(self.emitters, direct, bounced, strict=True)
                if d + b > 0
            ),
        )

    @cached_property
    def _total(self) -> Array:
        return self.direct + self.bounced

    @cached_property
    def _means(self) -> dict[str, tuple[Array, Array]]:
        """Each target's mean direct and bounced light from every source, while nobody reads."""
        return {
            name: (self.direct[:, part].mean(axis=1), self.bounced[:, part].mean(axis=1))
            for name, part in self.slices.items()
        }

    @cached_property
    def _melanopic(self) -> Array:
        """Each source's melanopic ratio (sources, 3): middle, low, high."""
        ratios = [melanopic_ratio(e.cct_k, e.lamp_kind) for e in self.emitters]
        return np.array(ratios).reshape(-1, 3)

    @cached_property
    def doubts(self) -> tuple[Array, Array, float, float]:
        """Shares of doubt: each source's flux down and up, all bounced light down and up."""
        rho = _mean_reflectance(self.transport)
        down, up = (
            _bounce(min(rho * (1 + s), 0.98)) / _bounce(rho) if rho > 0 else 1.0
            for s in (-REFLECTANCE_TOLERANCE, REFLECTANCE_TOLERANCE)
        )
        low = np.array([1 - e.flux_low for e in self.emitters])
        high = np.array([e.flux_high - 1 for e in self.emitters])
        return low, high, 1 - down, up - 1

    @cached_property
    def _ages(self) -> tuple[Array, Array]:
        """Output of each source when new and after years, over what the maps are for."""
        kept = np.array([e.kept for e in self.emitters])
        aged = np.array([e.aged for e in self.emitters], dtype=bool)
        return np.where(aged, 1 / kept, 1.0), np.where(aged, 1.0, kept)

    def _band(
        self, direct: Array, bounced: Array, flux: tuple[Array, Array]
    ) -> tuple[float, float, float, float]:
        """Low, middle after years, middle when new and high of a sum [lx].

        Low is what is left after years at worst, high what there is when new at best. Independent
        doubts are added as squares (JCGM 100:2008, 5.1.2): each source's own flux, and the
        reflectances, which move all bounced light together as rho / (1 - rho) of the room's mean
        does. Ageing is no doubt but a way that all lights go: each is taken times its maintenance
        factor.
        """
        (flux_low, flux_high), (bounce_low, bounce_high) = flux, self.doubts[2:]
        new, aged = self._ages
        each, bounce = aged * (direct + bounced), float(aged @ bounced)
        after_years = float(each.sum())
        low = after_years - math.hypot(float(np.linalg.norm(flux_low * each)), bounce * bounce_low)
        each, bounce = new * (direct + bounced), float(new @ bounced)
        spread = math.hypot(float(np.linalg.norm(flux_high * each)), bounce * bounce_high)
        return max(0.0, low), after_years, float(each.sum()), float(each.sum()) + spread


def lighting(
    scenario: Scenario,
    profiles: Mapping[str, Profile] | None = None,
    *,
    detail: str = "full",
    setup: str | None = None,
    only: Collection[str] | None = None,
) -> Lighting:
    """Return the light of a plan: room set-up once, then one map per light.

    Rooms, sensors and maps are kept by content, so that moving one light computes one map and
    dimming computes none.

    Parameters
    ----------
    scenario
        The plan.
    profiles
        Brightness along each strip from the power half: (stations 0 to 1, relative flux).
    detail
        ``"full"``, or ``"drag"`` for a rougher strip near field while a hand moves it.
    setup
        The only setup that will be asked about, if any: only its readers' pages are reckoned.
    only
        Ids of the only targets that will be asked about, if any. Pages of those who read and what
        lights aim at are reckoned all the same: they give light back, and shadows hang on them.
    """
    by_id = {target.id: target for target in targets(scenario)}
    reading = reading_of(scenario, by_id)
    some = reading.values() if setup is None else [reading.get(setup, ())]
    readers = {person for people in some for person in people}
    needed = {page_id(person) for person in readers} | {one.aim.at for one in scenario.lights}
    asked = tuple(
        target
        for target in by_id.values()
        if only is None or target.id in only or target.id in needed
    )
    light = evaluation_of(scenario, detail=detail)
    sensors = light.sensors_of(asked)
    emitters = emitters_of(scenario, by_id, profiles or {})

    ends = np.cumsum([len(t.points) for t in asked])
    slices = {
        t.id: slice(int(end) - len(t.points), int(end)) for t, end in zip(asked, ends, strict=True)
    }
    shaded = [t for t in asked if own_shadow(scenario, t.id)]
    at = {
        "transport": light.room,
        "points": fingerprint(sensors.points),
        "normals": fingerprint(sensors.normals),
    }
    people = fingerprint(*map(light_content, scenario.people))

    def given(emitter: Emitter) -> tuple[Array, Array]:
        """What a source gives all points, direct and bounced."""
        direct = light.direct(emitter, sensors.points, sensors.normals)
        for target in shaded:
            direct[slices[target.id]] = light.direct(
                emitter, target.points, target.normals, target.id
            )
        return direct, light.bounced(emitter, sensors)

    def kept(emitter: Emitter) -> tuple[Array, Array]:
        return light.cache.get(
            "target light",
            partial(given, emitter),
            **at,
            people=people,
            source=emitter.content,
            detail=light.detail_of(emitter),
        )

    light_of_each = [kept(emitter) for emitter in emitters]
    empty = np.empty((0, len(sensors)))
    direct = np.array([straight for straight, _ in light_of_each]) if light_of_each else empty
    bounced = np.array([by_bounce for _, by_bounce in light_of_each]) if light_of_each else empty
    maps = tuple(map(light.surfaces, emitters))
    check_light(light.transport, emitters, maps, direct, bounced)
    slabs = page_slabs(scenario)

    def taken(slab: Blocker, emitter: Emitter) -> tuple[Array, Array]:
        """What a page keeps from all points of a source's light, straight and by bounce."""
        if isinstance(emitter.source, StripSource):
            return np.zeros(len(sensors)), light.taken_by_bounce(emitter, slab, sensors)
        straight = light.taken_straight(emitter, slab, sensors.points, sensors.normals)
        for target in shaded:
            straight[slices[target.id]] = light.taken_straight(
                emitter, slab, target.points, target.normals, target.id
            )
        return straight, light.taken_by_bounce(emitter, slab, sensors)

    def page_of(person: str, page: Emitter) -> LitPage:
        part, slab = slices[page_id(person)], slabs[person]
        rows = [
            light.cache.get(
                "target light off",
                partial(taken, slab, emitter),
                **at,
                people=people,
                source=emitter.content,
                detail=light.detail_of(emitter),
                slab=slab,
            )
            for emitter in emitters
        ]
        straight, by_bounce = kept(page)
        by_bounce = by_bounce - light.hidden_by_bounce(page, slab, sensors)
        elsewhere = np.ones(len(sensors))  # nobody holds a page in two postures at once
        for name in other_pages(person):
            if name in slices:
                elsewhere[slices[name]] = 0.0
        return LitPage(
            person=person,
            emitter=page,
            slab=slab,
            points=elsewhere * (straight + by_bounce),
            per_source=(direct[:, part] + bounced[:, part]).mean(axis=1),
            map=light.surfaces(page),
            taken=tuple(light.taken(emitter, slab) for emitter in emitters),
            taken_straight=elsewhere * np.array([row[0] for row in rows]).reshape(direct.shape),
            taken_by_bounce=elsewhere * np.array([row[1] for row in rows]).reshape(direct.shape),
        )

    pages = [page_of(*each) for each in lit_pages(scenario) if each[0] in readers]
    return Lighting(
        evaluation=light,
        targets=asked,
        slices=slices,
        emitters=emitters,
        direct=direct,
        bounced=bounced,
        maps=maps,
        response=light.cache.get(
            "target response",
            lambda: {n: sensors.adjoint[:, s].mean(axis=(0, 1)) for n, s in slices.items()},
            **at,
            slices={name: (part.start, part.stop) for name, part in slices.items()},
        ),
        pages=tuple(pages),
        reading=reading,
    )


def emitters_of(
    scenario: Scenario, by_id: Mapping[str, Target], profiles: Mapping[str, Profile]
) -> tuple[Emitter, ...]:
    """Return all that gives light of itself: lights, strips, then pages that glow.

    ``by_id`` holds what lights aim at, ``profiles`` the brightness along each strip.
    """
    return (
        *(emitter_of_light(scenario, light, by_id) for light in scenario.lights),
        *(emitter_of_strip(scenario, s, profiles.get(s.id)) for s in scenario.strips),
        *(screen for _, screen in screens(scenario)),
    )


def _mean_reflectance(transport: Transport) -> float:
    patches = transport.patches
    return float(np.average(patches.reflectances[:, 0], weights=patches.areas))


def _bounce(rho: float) -> float:
    return rho / (1 - rho)


def levels_of(
    scenario: Scenario, setup: str, reading: Mapping[str, Sequence[str]] | None = None
) -> Mapping[str, float]:
    """Return each source's level in a setup, by id, as it really is; one not named is off.

    ``reading`` says who reads in each setup: their pages glow, if they do so by themselves; left
    out, nobody does.
    """
    reads = (reading or {}).get(setup, ())
    return {
        **given_levels(scenario, setup),
        **{screen.id: 1.0 for person, screen in screens(scenario) if person in reads},
    }
