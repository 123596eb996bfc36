"""What any source of a plan gives at any points: the one evaluation that every face reads.

Cards, maps, pictures, the glow along a headboard, previews while a hand moves something and
`illuminance_at` all ask here, so that one place has one number. Dear parts are kept by content:
the room, what sensors see of it, what a source leaves on its surfaces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.direct import illuminance_from
from lumen.light.interreflection import Sensors, SurfaceLight, Transport, surface_light
from lumen.light.interreflection.transport import EDGE_M
from lumen.light.mirror import PlaneMirror, illuminance_through_mirror, with_mirrors
from lumen.light.sources import StripSource
from lumen.light.visibility import Blocker, blockers_of, segments_blocked, visible_pairs
from lumen.scenario.checks import strip_work
from lumen.scenario.document import Scenario
from lumen.study.cache import Cache, current, fingerprint, light_content
from lumen.study.scene.body import own_shadow
from lumen.study.scene.emitters import Emitter
from lumen.study.scene.surfaces import lit_room, mirrors_of
from lumen.study.scene.targets import Target

__all__ = [
    "Coarse",
    "Evaluation",
    "Spread",
    "between",
    "evaluation_of",
    "room_is_ready",
    "room_key",
    "transport_of",
]

Array = NDArray[np.floating[Any]]


@dataclass(frozen=True, eq=False)
class Spread:
    """Points of a picture, and fewer of them between which smooth light is drawn out.

    ``points`` and ``normals`` are (n, 3); ``few`` are the sensors between which light is drawn out;
    ``draw`` (n, few) are the weights by which each point takes it from those about it.
    """

    points: Array
    normals: Array
    few: Sensors
    draw: Array


@dataclass(frozen=True)
class Coarse:
    """What is reckoned less finely than usual; ``edge_m`` of patches, in place of ``usual_m``."""

    what: Literal["large room", "many strips"]
    edge_m: float = 0.0
    usual_m: float = 0.0


@dataclass(frozen=True, eq=False)
class Evaluation:
    """The light in a plan's room: ask what any of its sources gives anywhere.

    ``detail`` is ``"full"``, or ``"drag"`` for a rougher near field of a strip while a hand moves
    it; what is not being moved keeps its full answer. ``cache`` keeps what is dear, for this and
    for all that is asked of it later on.
    """

    scenario: Scenario
    detail: str = "full"
    cache: Cache = field(default_factory=current)

    @cached_property
    def room(self) -> str:
        """Name of the room by content, which is part of the key of all that is kept of it."""
        return room_key(self.scenario)

    @cached_property
    def transport(self) -> Transport:
        """The exchange of light between the room's surfaces."""
        return transport_of(self.scenario, self.cache)

    @cached_property
    def coarsened(self) -> tuple[Coarse, ...]:
        """What is reckoned less finely than usual because there is so much of it."""
        edge = self.transport.edge_m
        large = [Coarse("large room", edge, EDGE_M)] if edge > EDGE_M else []
        return (*large, *([Coarse("many strips")] if is_crowded(self.scenario) else []))

    @cached_property
    def blockers(self) -> tuple[Blocker, ...]:
        """What hides light in the room; nobody's body."""
        if room_is_ready(self.scenario, self.cache):
            return self.transport.blockers
        return blockers_of(lit_room(self.scenario.room, self.scenario.furniture))

    @cached_property
    def mirrors(self) -> tuple[tuple[str, PlaneMirror], ...]:
        """The room's mirrors by the ids of their openings or furniture."""
        return mirrors_of(self.scenario.room, self.scenario.furniture)

    def sensors(self, points: Array, normals: Array) -> Sensors:
        """Return what points (n, 3) with unit normals (n, 3) see of the room, from what is kept."""
        return self.cache.get(
            "sensors",
            lambda: self.transport.sensors(points, normals),
            transport=self.room,
            points=points,
            normals=normals,
        )

    def sensors_of(self, asked: Sequence[Target]) -> Sensors:
        """Return the sensors of all targets in order, from what is kept."""
        none = np.empty((0, 3))
        return self.sensors(
            np.concatenate([none, *(target.points for target in asked)]),
            np.concatenate([none, *(target.normals for target in asked)]),
        )

    def surfaces(self, emitter: Emitter) -> SurfaceLight:
        """Return what a source at full output leaves on the room's surfaces, mirrors and all."""
        mirrors = [mirror for _, mirror in self.mirrors]

        def made() -> SurfaceLight:
            plain = surface_light(self.transport, emitter.source, detail=self.detail_of(emitter))
            return with_mirrors(plain, self.transport, emitter.source, mirrors)

        return self.cache.get("surface light", made, **self._parts(emitter))

    def taken(self, emitter: Emitter, slab: Blocker) -> SurfaceLight | None:
        """Return what a slab in the room keeps from its surfaces of a source's light: 0 or less.

        The slab hides direct light only; by way of a mirror it hides none of what surfaces get.
        None for a strip, whose light comes from all about, and where nothing is kept.
        """
        if isinstance(emitter.source, StripSource):
            return None

        def made() -> SurfaceLight:
            full = (
                surface_light(self.transport, emitter.source)
                if self.mirrors
                else self.surfaces(emitter)
            )
            return surface_light(self.transport, emitter.source, besides=(slab,)).less(full)

        off = self.cache.get(
            "surface light off", made, transport=self.room, source=emitter.content, slab=slab
        )
        return off if off.captured_flux_lm < -1e-9 else None

    def hidden_by_bounce(self, emitter: Emitter, slab: Blocker, sensors: Sensors) -> Array:
        """Return what a slab hides from sensors of the light that surfaces give them (n,) [lx].

        From quarters of patches, each as its middle is seen; the cells beside a strip are left out.
        """
        rows, behind = self._behind(sensors, slab)
        hidden_lx = np.zeros(len(sensors))
        if len(rows):
            hidden_lx[rows] = self.surfaces(emitter).smooth(behind)
        return hidden_lx

    def taken_by_bounce(self, emitter: Emitter, slab: Blocker, sensors: Sensors) -> Array:
        """Return what a slab keeps from sensors of a source's bounced light (n,) [lx]: 0 or less.

        What it hides of the room's surfaces, and what they give less since its shadow lies on them.
        """
        off = self.taken(emitter, slab)
        taken_lx = -self.hidden_by_bounce(emitter, slab, sensors)
        if off is not None:
            rows, behind = self._behind(sensors, slab)
            taken_lx += off.smooth(sensors)
            taken_lx[rows] -= off.smooth(behind)
        return np.asarray(taken_lx)

    def _behind(self, sensors: Sensors, slab: Blocker) -> tuple[NDArray[np.intp], Sensors]:
        """The sensors from which a slab hides anything, and what they see of it behind the slab."""

        def made() -> tuple[NDArray[np.intp], Sensors]:
            ends = self.transport.quarters.centres
            hidden = ~visible_pairs(sensors.points, ends, [slab]) & (sensors.gather > 0.0)
            rows = np.flatnonzero(hidden.any(axis=1))
            behind = Sensors(
                points=sensors.points[rows],
                normals=sensors.normals[rows],
                row_sum=sensors.row_sum[rows],
                gather=np.where(hidden[rows], sensors.gather[rows], np.float32(0.0)),
                adjoint=np.zeros((self.transport.channels, len(rows), 0)),
            )
            return rows, behind

        return self.cache.get(
            "sensors behind",
            made,
            transport=self.room,
            points=sensors.points,
            normals=sensors.normals,
            slab=slab,
        )

    def taken_straight(
        self, emitter: Emitter, slab: Blocker, points: Array, normals: Array, target: str = ""
    ) -> Array:
        """Return what a slab keeps from points of a source's direct light (n,) [lx]: 0 or less."""
        own, taken_lx = own_shadow(self.scenario, target), np.zeros(len(points))
        rows = np.arange(len(points))
        if not self.mirrors:  # only what lies behind the slab, seen from anywhere on the source
            at, size = emitter.point.position, emitter.point.size_m
            wide = replace(slab, low=slab.low - size, high=slab.high + size)
            rows = np.flatnonzero(segments_blocked(at, points, [wide]))
        if len(rows):
            hidden, bare = (
                self.direct(emitter, points[rows], normals[rows], body=body)
                for body in ((*own, slab), own)
            )
            taken_lx[rows] = hidden - bare
        return taken_lx

    def detail_of(self, emitter: Emitter) -> str:
        """Return how finely a source is reckoned: only a strip in motion is ever rough.

        Said once for each source: an answer does not become rough half-way because the full one
        was let go of meanwhile.
        """
        if self.detail == "full" or not isinstance(emitter.source, StripSource):
            return "full"
        if emitter.content not in self._details:
            parts = {"transport": self.room, "source": emitter.content, "detail": "full"}
            ready = self.cache.holds("surface light", **parts)
            self._details.setdefault(emitter.content, "full" if ready else self.detail)
        return self._details[emitter.content]

    @cached_property
    def _details(self) -> dict[str, str]:
        return {}

    def _parts(self, emitter: Emitter) -> dict[str, str]:
        """What a source's light in this room is made of, as the cache asks it."""
        detail = self.detail_of(emitter)
        return {"transport": self.room, "source": emitter.content, "detail": detail}

    def direct(
        self,
        emitter: Emitter,
        points: Array,
        normals: Array,
        target: str = "",
        *,
        body: Sequence[Blocker] | None = None,
    ) -> Array:
        """Return what comes straight from a source at full output, or by way of one mirror.

        Parameters
        ----------
        emitter
            The source.
        points, normals : (n, 3)
            Where [m], and unit vectors which way they look.
        target
            Id of what the points belong to: a page lies in its reader's own shadow.
        body
            What else stands before the points, in the place of that shadow.

        Returns
        -------
        (n,) [lx]
        """
        own = own_shadow(self.scenario, target) if body is None else body
        blockers = (*self.blockers, *own)
        direct_lx = illuminance_from(emitter.source, points, normals, blockers)
        for _, mirror in self.mirrors:
            direct_lx = direct_lx + illuminance_through_mirror(
                mirror, emitter.source, points, normals, blockers
            )
        return np.asarray(direct_lx)

    def bounced(self, emitter: Emitter, sensors: Sensors) -> Array:
        """Return what the room's surfaces give sensors of a source's light (n,) [lx]."""
        return np.maximum(self.surfaces(emitter).bounced(sensors), 0.0)

    def bounced_over(self, emitter: Emitter, spread: Spread) -> Array:
        """Return the same at the points of a picture (n,) [lx].

        What comes from whole patches changes slowly and is drawn out between few points. So is the
        near field of a strip where the few about a point agree within 8 % of all bounced light
        there (a quarter while it moves); elsewhere it is taken at the point itself.
        """
        surfaces, few, draw = self.surfaces(emitter), spread.few, spread.draw
        rough = self.detail_of(emitter) != "full"
        smooth = draw @ surfaces.smooth(few)
        steep = surfaces.steep(few.points, few.normals, rough=rough)
        steep_lx = draw @ steep
        about = draw > 0.0
        most = np.where(about, steep, -np.inf).max(axis=1)
        least = np.where(about, steep, np.inf).min(axis=1)
        apart = (_APART_ROUGH if rough else _APART) * np.maximum(smooth + steep_lx, 0.0)
        rows = np.flatnonzero(most - least > apart)
        steep_lx[rows] = surfaces.steep(spread.points[rows], spread.normals[rows], rough=rough)
        return np.maximum(smooth + steep_lx, 0.0)


_APART, _APART_ROUGH = 0.08, 0.25


def between(at: Array, few: int) -> Array:
    """Return weights (n, few) that draw values at whole numbers out to places ``at`` (n,).

    Straight between its two neighbours, which both have some weight, and level beyond the ends.

    Examples
    --------
    >>> between(np.array([0.25, 5.0]), 3).round(6)
    array([[0.75, 0.25, 0.  ],
           [0.  , 0.  , 1.  ]])
    """
    at = np.clip(at, _HARDLY, few - 1.0 - _HARDLY)
    left = at.astype(int)
    weights = np.zeros((len(at), few))
    weights[np.arange(len(at)), left] = 1.0 - (at - left)
    weights[np.arange(len(at)), left + 1] = at - left
    return weights


_HARDLY = 1e-9


ROUGH_ABOVE = 500
"""Straight runs of strips times pieces of furniture above which strips are reckoned as while a hand
moves them: 500 take some ten seconds, measured on two cores."""


def evaluation_of(scenario: Scenario, *, detail: str = "full") -> Evaluation:
    """Return the light of a plan's room, to be asked about any source and any points.

    What is dear is kept in the cache that this thread works with now (`lumen.study.cache`).

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> evaluation_of(load(examples()[0])).detail
    'full'
    """
    return Evaluation(scenario, "drag" if is_crowded(scenario) else detail)


def is_crowded(scenario: Scenario) -> bool:
    """Return whether strips and furniture are so many that strips are reckoned roughly.

    The near field of each straight run looks past each piece of furniture.
    """
    return strip_work(scenario.strips, scenario.furniture) > ROUGH_ABOVE


def room_is_ready(scenario: Scenario, cache: Cache | None = None) -> bool:
    """Return whether the room's transport is at hand, so that an answer takes milliseconds."""
    return (cache or current()).holds("transport", **_room_parts(scenario))


def room_key(scenario: Scenario) -> str:
    """Return all that a room's transport depends on, as one name: shapes, finishes, mirrors."""
    return fingerprint(*_room_parts(scenario).values())


def transport_of(scenario: Scenario, cache: Cache | None = None) -> Transport:
    """Return the exchange of light in a plan's room, from what is kept or set up anew."""
    return (cache or current()).get(
        "transport",
        lambda: Transport.from_room(lit_room(scenario.room, scenario.furniture)),
        **_room_parts(scenario),
    )


def _room_parts(scenario: Scenario) -> dict[str, object]:
    return {
        "room": light_content(scenario.room),
        "furniture": tuple(map(light_content, scenario.furniture)),
    }
