"""Who sees which bright thing: lines of sight from every eye to every light, and what clears them.

A light is taken to pieces by what it is: the bare lamp, the lit opening of a beam, the lamp seen
through the opening of its shade, the bright inside of the shade, its glowing outside, the bare
strip. What hides it is furniture, a wall, the shade's rim, or the light's own back.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Literal, TypedDict, cast

import numpy as np
from numpy.typing import NDArray

from lumen.light.glare import (
    GlareSource,
    luminance_of_exitance,
    place_in_view,
    shielding_needed,
)
from lumen.light.mirror import PlaneMirror
from lumen.light.sources import StripSource
from lumen.light.visibility import Blocker, segments_blocked
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Strip
from lumen.study.cache import fingerprint
from lumen.study.eyes.looks import (
    GRAZING,
    LOOKS,
    deeper_shade,
    lamp_luminance,
    look_of,
    shielding_of,
)
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.emitters import Emitter, light_centre, photometric_axes
from lumen.study.scene.targets import LYING, STANDING, Posture, Target

__all__ = ["GLARE_FIELD_DEG", "HARSH_CD_M2", "Change", "Look", "Sighting", "buried", "sightings"]

Array = NDArray[np.floating[Any]]

Look = Literal["lamp", "opening", "inside", "gaps", "shade", "strip"]

HARSH_CD_M2 = 1000.0
"""Mean luminance of a reading light toward somebody else's bed, at most: DIN 5035-3, as a hospital
lighting maker's pages give it (table ``glare_limits``)."""

_EVENNESS = 2.0
"""A lamp's brightest and dullest parts against its mean: our own assumption for opal lamps."""

GLARE_FIELD_DEG = 60.0
"""How far off the line of view a bright thing still glares: brow and nose end the field of an eye
near there (from memory); beyond it, up to 90 degrees, it is merely in sight. Our own limit."""

_IN_VIEW = math.radians(90.0)
_SCAN_M = 0.40
_STEP_M = 0.01
_STRIP_SAMPLES = 25


@dataclass(frozen=True)
class Change:
    """A move up (positive) or down [m] that hides a light, and the eyes that would newly see it."""

    by_m: float
    newly: tuple[str, ...]


@dataclass(frozen=True)
class Sighting:
    """One eye and one light: what of it is in sight, how bright at full output, what clears it.

    ``look`` is what is seen: lamp, opening, inside (of the shade), gaps, shade (from outside) or
    strip. ``in_view`` says whether it lies within 90 degrees of the gaze. Luminances [cd/m2] are at
    full output, ``low`` and ``high`` their band. ``parts`` are luminance [cd/m2] and area [m2] of
    everything bright of it that shows at once. ``needed_deg`` is the shielding angle that the
    lamp's luminance asks for by EN 12464-1, ``shielding_deg`` the one its shade gives; ``applies``
    is False below eye height, where that table is only a guide. ``alpha`` and ``beta`` are its
    place in view, ``gamma`` the angle from its own aim [rad]. ``mirror`` names the mirror in which
    it is seen; then no change is sought. ``changes`` are moves that hide it, the best first, and
    ``deeper_shade_m`` is how much deeper a shade would.
    """

    eye: str
    person: str
    posture: Posture
    light: str
    look: Look
    in_view: bool
    luminance: float
    low: float
    high: float
    area_m2: float
    distance_m: float
    alpha: float
    beta: float
    gamma: float
    above_eye_m: float
    shielding_deg: float | None
    needed_deg: float
    applies: bool
    changes: tuple[Change, ...]
    deeper_shade_m: float | None
    parts: tuple[tuple[float, float], ...]
    mirror: str | None = None

    @property
    def place(self) -> tuple[str | None, Posture]:
        """Whose place it is seen from: a pillow, a seat in bed; foot and door are anybody's.

        Who lies turns over and who sits slides down: all lying postures are one place, and all
        sitting ones.
        """
        if self.posture in STANDING:
            return None, self.posture
        return self.person, Posture.LYING_BACK if self.posture in LYING else Posture.SITTING

    @property
    def harsh(self) -> bool:
        """Whether it is in view and over the limit of DIN 5035-3 at full output."""
        return self.in_view and self.luminance > HARSH_CD_M2

    def glares(self, level: float) -> bool:
        """Return whether it is over that limit at a level, near enough to the line of view."""
        near = self.beta <= math.radians(GLARE_FIELD_DEG)
        return near and self.luminance * level > HARSH_CD_M2

    def glare_sources(self, level: float) -> tuple[GlareSource, ...]:
        """Return it as glare sources at a level, one for each bright part."""
        return tuple(
            GlareSource(luminance * level, area, self.distance_m, self.alpha, self.beta)
            for luminance, area in self.parts
        )


def sightings(lighting: Lighting) -> tuple[Sighting, ...]:
    """Return what every eye sees of every light, nothing left out but what nobody sees.

    Notes
    -----
    Lamps are taken as evenly glowing (a clear bulb's filament is far brighter), flat openings as
    evenly lit: L = I / (A cos). Lines of sight go to the lamp's middle, or to 25 points along a
    strip. Changes are found by moving the light up and down by up to 40 cm in steps of 1 cm, with
    its aim kept.
    """
    eyes = [target for target in lighting.targets if target.is_eye]
    if not eyes:
        return ()
    by_id = {target.id: target for target in lighting.targets}
    written = {item.id: item for item in lighting.scenario.sources}
    plan = lighting.scenario
    seen_from = {
        "room": fingerprint(plan.room),
        "furniture": fingerprint(plan.furniture),
        "people": fingerprint(plan.people),
        "targets": tuple(by_id),
    }
    found: list[Sighting] = []
    for emitter in lighting.emitters:
        if emitter.id not in written:
            continue  # a page that glows: its reader means to look at it
        item = written[emitter.id]
        make = (
            partial(_of_light, plan, item, emitter, eyes, by_id, lighting)
            if isinstance(item, Light)
            else partial(_of_strip, item, emitter, eyes, lighting)
        )
        cache = lighting.evaluation.cache
        found += cache.get("sightings", make, **seen_from, light=item, emitter=emitter)
    return tuple(found)


# ---- lights -------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Way:
    """A way to look at lights: straight, or by a mirror that turns everything behind it."""

    mirror: PlaneMirror | None
    name: str | None
    blockers: Sequence[Blocker]

    @property
    def share(self) -> float:
        """Share of the luminance that is left."""
        return 1.0 if self.mirror is None else self.mirror.reflectance

    def points(self, points: Array) -> Array:
        """Where points seem to be."""
        return points if self.mirror is None else self.mirror.image(points)

    def turned(self, ways: Array) -> Array:
        """How directions seem to run."""
        return ways if self.mirror is None else self.mirror.image_way(ways)

    def serves(self, points: Array) -> NDArray[np.bool_]:
        """Which points have any part in it."""
        if self.mirror is None:
            return np.ones(len(points), dtype=bool)
        return np.asarray(self.mirror.before(points))


def _ways(lighting: Lighting) -> list[_Way]:
    own = lighting.transport.blockers
    ways = [_Way(None, None, own)]
    ways += [_Way(mirror, name, mirror.blockers(own)) for name, mirror in lighting.mirrors]
    return ways


def _of_light(
    scenario: Scenario,
    light: Light,
    emitter: Emitter,
    eyes: Sequence[Target],
    by_id: dict[str, Target],
    lighting: Lighting,
) -> list[Sighting]:
    found = []
    source = emitter.point
    for way in _ways(lighting):
        if not way.serves(source.position[None])[0]:
            continue
        seen = _by_way(light, emitter, eyes, way)
        bothers = [k for k, s in seen.items() if s.in_view and s.luminance > HARSH_CD_M2]
        changes = (
            _changes(scenario, light, emitter, eyes, by_id, lighting, bothers)
            if way.mirror is None
            else {}
        )
        for k, sighting in seen.items():
            deeper = None
            if k in bothers and sighting.look == "lamp" and way.mirror is None:
                deeper = deeper_shade(light, emitter, sighting.gamma)
            found.append(
                replace(
                    sighting,
                    changes=changes.get(k, ()),
                    deeper_shade_m=deeper,
                )
            )
    return found


def _by_way(
    light: Light, emitter: Emitter, eyes: Sequence[Target], way: _Way
) -> dict[int, Sighting]:
    """What each eye sees of a light by one way; eyes that see nothing are left out."""
    places = np.concatenate([eye.points for eye in eyes])
    source = emitter.point
    at, axes = way.points(source.position), way.turned(source.axes)
    now = look_of(light, emitter, at[None], axes[None], places, way.blockers)
    serves = way.serves(places)
    needed = shielding_needed(lamp_luminance(light, emitter))
    found = {}
    for k, eye in enumerate(eyes):
        look = LOOKS[now.look[0, k]]
        if look == "nothing" or not serves[k]:
            continue
        luminance = way.share * float(now.luminance[0, k])
        alpha, beta, distance = _place(eye, at)
        even = 1.0 if look in ("shade", "inside") else _EVENNESS
        above = float(at[2] - places[k, 2])
        found[k] = Sighting(
            **_eye(eye),
            light=light.id,
            look=cast(Look, look),
            in_view=beta <= _IN_VIEW,
            luminance=luminance,
            low=luminance * emitter.flux_low / even,
            high=luminance * emitter.flux_high * even,
            area_m2=float(now.area[0, k]),
            distance_m=distance,
            alpha=alpha,
            beta=beta,
            gamma=float(now.gamma[0, k]),
            above_eye_m=above,
            shielding_deg=shielding_of(emitter),
            needed_deg=math.degrees(needed),
            applies=above > 0.0,
            changes=(),
            deeper_shade_m=None,
            parts=tuple(
                (way.share * float(bright), float(area))
                for bright, area in now.parts[:, :, 0, k]
                if bright > 0.0 and area > 0.0
            ),
            mirror=way.name,
        )
    return found


def _changes(
    scenario: Scenario,
    light: Light,
    emitter: Emitter,
    eyes: Sequence[Target],
    by_id: dict[str, Target],
    lighting: Lighting,
    bothers: Sequence[int],
) -> dict[int, tuple[Change, ...]]:
    """For each eye that is bothered: the least move up and the least move down that helps it.

    One who lies turns over, so a move helps only when it helps all that person's lying postures.
    """
    if not bothers:
        return {}
    steps = np.arange(-round(_SCAN_M / _STEP_M), round(_SCAN_M / _STEP_M) + 1) * _STEP_M
    start = light_centre(scenario, light)
    top = scenario.room.height_m - 0.05
    steps = steps[(start[2] + steps > 0.05) & (start[2] + steps < top)]
    if light.mount == "ceiling":
        steps = steps[steps <= 0.0]
    moved = [
        light.model_copy(
            update={"mount_m": (light.mount_m[0], light.mount_m[1], light.mount_m[2] + float(dz))}
        )
        for dz in steps
    ]
    positions = start + steps[:, None] * np.array([0.0, 0.0, 1.0])
    source = emitter.point
    axes = (
        np.broadcast_to(source.axes, (len(steps), 3, 3))
        if light.aim.at is None
        else np.array([photometric_axes(scenario, item, by_id) for item in moved])
    )
    places = np.concatenate([eye.points for eye in eyes])
    blockers = lighting.transport.blockers
    seen = look_of(light, emitter, positions, axes, places, blockers)
    gazes = np.concatenate([eye.normals for eye in eyes])
    view = np.einsum("kmc,mc->km", positions[:, None] - places[None], gazes) >= 0.0
    harsh = (seen.look > 0) & (seen.luminance > HARSH_CD_M2) & view
    free = ~buried(positions, blockers)
    found = {}
    for k in bothers:
        changes = []
        for way in (steps > 0.0, steps < 0.0):
            ok = np.flatnonzero(way & free & ~harsh[:, _turns(eyes, k)].any(axis=1))
            if len(ok):
                best = ok[np.argmin(np.abs(steps[ok]))]
                newly = [
                    eyes[j].id for j in range(len(eyes)) if harsh[best, j] and j not in bothers
                ]
                changes.append(Change(round(float(steps[best]), 3), tuple(newly)))
        found[k] = tuple(sorted(changes, key=lambda c: (len(c.newly) > 0, abs(c.by_m))))
    return found


def _turns(eyes: Sequence[Target], k: int) -> list[int]:
    """The eye itself, with the other lying postures of the same person."""
    if eyes[k].posture not in LYING:
        return [k]
    return [
        j for j, eye in enumerate(eyes) if eye.person == eyes[k].person and eye.posture in LYING
    ]


def buried(points: Array, blockers: Sequence[Blocker]) -> NDArray[np.bool_]:
    """Return which points (n, 3) lie inside a solid."""
    inside = np.zeros(len(points), dtype=bool)
    for blocker in blockers:
        along = points @ blocker.normals.T
        inside |= ((along > blocker.low) & (along < blocker.high)).all(axis=1)
    return inside


class _Eye(TypedDict):
    eye: str
    person: str
    posture: Posture


def _eye(eye: Target) -> _Eye:
    """Whose eye it is, as fields of a sighting."""
    assert eye.person is not None
    assert eye.posture is not None
    return {"eye": eye.id, "person": eye.person, "posture": eye.posture}


def _place(eye: Target, at: Array) -> tuple[float, float, float]:
    """Place in view; one who lies has the brow toward the bed's head."""
    gaze = eye.normals[0]
    up = np.array([0.0, 0.0, 1.0])
    if abs(gaze[2]) > 0.99:
        up = np.array([0.0, 1.0, 0.0])
    return place_in_view(eye.points[0], gaze, up, at)


# ---- strips -------------------------------------------------------------------------------------


def _of_strip(
    strip: Strip, emitter: Emitter, eyes: Sequence[Target], lighting: Lighting
) -> list[Sighting]:
    source = emitter.source
    assert isinstance(source, StripSource)
    points, facings, lengths = _along(source)
    places = np.concatenate([eye.points for eye in eyes])
    doubt = 1.5 if strip.cover in ("frosted", "opal") else _EVENNESS
    bright = luminance_of_exitance(float(source.flux_per_length.max()) / source.width_m)
    found = []
    for way in _ways(lighting):
        at, faces = way.points(points), way.turned(facings)
        ray = places[None] - at[:, None]
        distance = np.linalg.norm(ray, axis=2)
        cosine = np.einsum("kmc,kc->km", ray, faces) / np.maximum(distance, 1e-9)
        shows = (cosine > GRAZING) & way.serves(points)[:, None] & way.serves(places)[None]
        shows &= ~segments_blocked(at[:, None], places[None], way.blockers)
        luminance = way.share * bright
        for k, eye in enumerate(eyes):
            rows = np.flatnonzero(shows[:, k])
            if not len(rows):
                continue
            near = min((_place(eye, at[i]) for i in rows), key=lambda place: place[1])
            area = float((lengths[rows] * cosine[rows, k]).sum()) * source.width_m
            above = float(at[rows, 2].max() - places[k, 2])
            found.append(
                Sighting(
                    **_eye(eye),
                    light=strip.id,
                    look="strip",
                    in_view=near[1] <= _IN_VIEW,
                    luminance=luminance,
                    low=luminance * emitter.flux_low / doubt,
                    high=luminance * emitter.flux_high * doubt,
                    area_m2=max(area, 1e-6),
                    distance_m=near[2],
                    alpha=near[0],
                    beta=near[1],
                    gamma=math.acos(min(1.0, float(cosine[rows, k].max()))),
                    above_eye_m=above,
                    shielding_deg=None,
                    needed_deg=math.degrees(shielding_needed(bright)),
                    applies=above > 0.0,
                    changes=(),
                    deeper_shade_m=None,
                    parts=((luminance, max(area, 1e-6)),),
                    mirror=way.name,
                )
            )
    return found


def _along(source: StripSource) -> tuple[Array, Array, Array]:
    """Points spread over a strip, the way each faces, and the length each stands for."""
    starts, ends, facings, _ = source.pieces()
    share = np.linalg.norm(ends - starts, axis=1)
    counts = np.maximum(1, np.round(share / share.sum() * _STRIP_SAMPLES)).astype(int)
    points, faces, lengths = [], [], []
    for a, b, f, n, length in zip(starts, ends, facings, counts, share, strict=True):
        t = (np.arange(n) + 0.5)[:, None] / n
        points.append(a + t * (b - a))
        faces.append(np.tile(f, (n, 1)))
        lengths.append(np.full(n, length / n))
    return np.concatenate(points), np.concatenate(faces), np.concatenate(lengths)
