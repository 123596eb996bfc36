"""Light of a plan: one map per source on every plane and eye, setups as weighted sums, bands."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.colour import melanopic_ratio
from lumen.light.direct import illuminance_from
from lumen.light.interreflection import LightMap, Sensors, Transport, illuminance_map
from lumen.light.mirror import PlaneMirror, illuminance_through_mirror, with_mirrors
from lumen.light.sources import Source, StripSource
from lumen.light.visibility import Blocker
from lumen.scenario.document import Scenario
from lumen.study.body import own_shadow
from lumen.study.cache import Store, fingerprint
from lumen.study.emitters import (
    FLUX_TOLERANCE,
    Emitter,
    Profile,
    emitter_of_light,
    emitter_of_strip,
)
from lumen.study.levels import EVERYTHING, given_levels
from lumen.study.surfaces import lit_room, mirrors_of
from lumen.study.targets import Target, targets

__all__ = [
    "EVERYTHING",
    "Answer",
    "Lighting",
    "Share",
    "bounced_at",
    "direct_light",
    "emitters_of",
    "levels_of",
    "lighting",
    "room_is_ready",
    "room_key",
    "sensors_of",
    "traits",
    "transport_of",
]

Array = NDArray[np.floating[Any]]

REFLECTANCE_TOLERANCE = 0.10
"""Reflectances typed from a card or guessed: give or take a tenth; our own assumption."""

_rooms: Store[Transport] = Store(600_000_000, lambda transport: transport.nbytes)
_sensors: Store[Sensors] = Store(200_000_000, lambda sensors: sensors.nbytes)
_maps: Store[LightMap] = Store(200_000_000, lambda found: 2 * found.patch_exitance.nbytes)
_responses: Store[Mapping[str, Array]] = Store(
    20_000_000, lambda found: sum(row.nbytes for row in found.values())
)


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
class Lighting:
    """Unit maps of every source on every target, and the sums that answer a setup.

    ``direct`` and ``bounced`` are (sources, points) [lx] at full output; ``slices`` says which
    points belong to which target. ``response`` holds, for each target, the bounced light that it
    gets on average for each lux of direct light on a patch (patches,).
    """

    scenario: Scenario
    targets: tuple[Target, ...]
    slices: Mapping[str, slice]
    emitters: tuple[Emitter, ...]
    direct: Array
    bounced: Array
    maps: tuple[LightMap, ...]
    transport: Transport
    response: Mapping[str, Array]

    @cached_property
    def room(self) -> str:
        """Name of the room by content, under which what is dear to compute is kept."""
        return room_key(self.scenario)

    @cached_property
    def mirrors(self) -> tuple[tuple[str, PlaneMirror], ...]:
        """The room's mirrors by the ids of their openings or furniture."""
        return mirrors_of(self.scenario.room, self.scenario.furniture)

    def direct_at(self, emitter: Emitter, points: Array, normals: Array, target: str = "") -> Array:
        """Return the direct light of one source at full output at any points (n,) [lx].

        ``target`` names what the points belong to: a page lies in its reader's own shadow.
        """
        blockers = (*self.transport.blockers, *own_shadow(self.scenario, target))
        mirrors = [mirror for _, mirror in self.mirrors]
        return direct_light(emitter.source, points, normals, blockers, mirrors)

    def weights(self, setup: str) -> Array:
        """Return each source's level (sources,) in a setup."""
        levels = levels_of(self.scenario, setup)
        return np.array([levels.get(emitter.id, 0.0) for emitter in self.emitters])

    def weights_by_age(self, setup: str) -> tuple[Array, Array]:
        """Return each source's level in a setup times its output: new, and after years."""
        level = self.weights(setup)
        new, aged = self._ages
        return level * new, level * aged

    def illuminance(self, setup: str) -> Array:
        """Return the illuminance (points,) [lx] in a setup: one weighted sum."""
        return np.asarray(self.weights(setup) @ self._total)

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
        direct, bounced = (w * mean for mean in self._means[target])
        spread = w @ self._total[:, part]
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
        """Each target's mean direct and bounced light from every source, at full output."""
        return {
            name: (self.direct[:, part].mean(axis=1), self.bounced[:, part].mean(axis=1))
            for name, part in self.slices.items()
        }

    @cached_property
    def _melanopic(self) -> Array:
        """Each source's melanopic ratio (sources, 3): middle, low, high."""
        found = [melanopic_ratio(e.cct_k, e.lamp_kind) for e in self.emitters]
        return np.array(found).reshape(-1, 3)

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
    scenario: Scenario, profiles: Mapping[str, Profile] | None = None, *, detail: str = "full"
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
    """
    asked = targets(scenario)
    by_id = {target.id: target for target in asked}
    transport = transport_of(scenario)
    sensors, sensor_key = sensors_of(scenario, asked)

    emitters = emitters_of(scenario, by_id, profiles or {})
    mirrors = [mirror for _, mirror in mirrors_of(scenario.room, scenario.furniture)]

    ends = np.cumsum([len(t.points) for t in asked])
    slices = {
        t.id: slice(int(end) - len(t.points), int(end)) for t, end in zip(asked, ends, strict=True)
    }
    bodies = {t.id: body for t in asked if (body := own_shadow(scenario, t.id))}

    def found(emitter: Emitter) -> LightMap:
        def key(level: str) -> str:
            return fingerprint(sensor_key, level, sorted(bodies), *traits(emitter))

        # What is not being moved keeps its full answer; a point's answer has one detail only.
        exact = not isinstance(emitter.source, StripSource) or key("full") in _maps
        level = "full" if exact else detail
        return _maps.get(key(level), lambda: shaded(emitter, level))

    def shaded(emitter: Emitter, level: str) -> LightMap:
        matt = illuminance_map(transport, sensors, emitter.source, detail=level)
        plain = with_mirrors(matt, transport, sensors, emitter.source, mirrors)
        direct = plain.direct.copy()
        for target in (t for t in asked if t.id in bodies):
            blockers = (*transport.blockers, *bodies[target.id])
            direct[slices[target.id]] = direct_light(
                emitter.source, target.points, target.normals, blockers, mirrors
            )
        return replace(plain, direct=direct)

    maps = tuple(map(found, emitters))
    empty = np.empty((0, len(sensors)))
    return Lighting(
        scenario=scenario,
        targets=asked,
        slices=slices,
        emitters=emitters,
        direct=np.array([m.direct for m in maps]) if maps else empty,
        bounced=np.array([m.bounced for m in maps]) if maps else empty,
        maps=maps,
        transport=transport,
        response=_responses.get(
            fingerprint(sensor_key, *slices),
            lambda: {n: sensors.adjoint[:, s].mean(axis=(0, 1)) for n, s in slices.items()},
        ),
    )


def sensors_of(scenario: Scenario, asked: Sequence[Target]) -> tuple[Sensors, str]:
    """Return the sensors of all targets in order, kept by content, and the name they go by."""
    points = np.concatenate([t.points for t in asked]) if asked else np.empty((0, 3))
    normals = np.concatenate([t.normals for t in asked]) if asked else np.empty((0, 3))
    key = fingerprint(room_key(scenario), points.tobytes(), normals.tobytes())
    return _sensors.get(key, lambda: transport_of(scenario).sensors(points, normals)), key


def direct_light(
    source: Source,
    points: Array,
    normals: Array,
    blockers: Sequence[Blocker],
    mirrors: Sequence[PlaneMirror],
) -> Array:
    """Return what comes straight from a source, or from it by way of one mirror (n,) [lx]."""
    found = illuminance_from(source, points, normals, blockers)
    for mirror in mirrors:
        found = found + illuminance_through_mirror(mirror, source, points, normals, blockers)
    return np.asarray(found)


def bounced_at(sensors: Sensors, found: LightMap) -> Array:
    """Return what the patches, as one source leaves them, give to any sensors (n,) [lx]."""
    per_patch = sensors.gather.reshape(len(sensors), len(found.patch_exitance), -1).sum(axis=2)
    return np.asarray(per_patch @ found.patch_exitance)


def room_is_ready(scenario: Scenario) -> bool:
    """Return whether the room's transport is at hand, so that an answer takes milliseconds."""
    return room_key(scenario) in _rooms


def room_key(scenario: Scenario) -> str:
    """Return all that a room's transport depends on, as one name: shapes, finishes, mirrors."""
    return fingerprint(
        scenario.room.model_dump_json(),
        *(
            (f.at_m, f.size_m, f.turn_deg, f.lean_deg, f.finish.lrv, f.mirror_front)
            for f in scenario.furniture
        ),
    )


def transport_of(scenario: Scenario) -> Transport:
    """Return the exchange of light in a plan's room, from what is kept or set up anew."""
    return _rooms.get(
        room_key(scenario),
        lambda: Transport.from_room(lit_room(scenario.room, scenario.furniture)),
    )


def emitters_of(
    scenario: Scenario, by_id: Mapping[str, Target], profiles: Mapping[str, Profile]
) -> tuple[Emitter, ...]:
    """Return every light and strip of a plan as a source; ``by_id`` holds what they aim at."""
    return (
        *(emitter_of_light(scenario, light, by_id) for light in scenario.lights),
        *(emitter_of_strip(scenario, s, profiles.get(s.id)) for s in scenario.strips),
    )


def traits(emitter: Emitter) -> tuple[object, ...]:
    """Return what a source's map depends on, as content."""
    source: Any = emitter.source
    if hasattr(source, "path"):
        arrays = (source.path, source.facing, source.flux_per_length)
        return (source.width_m, *(np.asarray(a).tobytes() for a in arrays))
    if hasattr(source, "corners"):
        return (source.corners.tobytes(), source.flux_lm)
    return (
        source.size_m,
        source.position.tobytes(),
        source.axes.tobytes(),
        source.distribution.fingerprint(),
    )


def _mean_reflectance(transport: Transport) -> float:
    patches = transport.patches
    return float(np.average(patches.reflectances[:, 0], weights=patches.areas))


def _bounce(rho: float) -> float:
    return rho / (1 - rho)


def levels_of(scenario: Scenario, setup: str) -> Mapping[str, float]:
    """Return each source's level in a setup, by id, as it really is; one not named is off."""
    return given_levels(scenario, setup)
