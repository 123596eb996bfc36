"""Candidates of one group of lights: places x kinds, with what each gives by one lumen."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.find.guide import Guide, Traits, traits_of
from lumen.find.kinds import Kind, kinds_of
from lumen.find.levels import dims_to
from lumen.find.may import May
from lumen.find.places import (
    Mount,
    Spot,
    Surface,
    body_of_light,
    cord_too_short,
    reasons,
    surface_of,
)
from lumen.light.sources import PointSource
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Panel
from lumen.study.eyes.looks import look_of
from lumen.study.scene.emitters import Emitter, emitter_of_light, light_centre, photometric_axes
from lumen.study.scene.surfaces import bed_wall
from lumen.study.scene.targets import STANDING, mattress_of
from lumen.whatif.heights import reader_of

__all__ = ["CORD", "Group", "Options", "joined", "light_group"]

CORD = "the cord is too short"

Array = NDArray[np.floating[Any]]


@dataclass(frozen=True, eq=False)
class Options:
    """Candidates in order: where each light of the group hangs, what it is, what a lumen gives."""

    mounts: tuple[tuple[Mount, ...], ...]
    spots: tuple[Spot, ...]
    kinds: NDArray[np.intp]
    moved: NDArray[np.bool_]
    units: Mapping[str, Array]
    harsh: Mapping[str, Array]

    def __len__(self) -> int:
        return len(self.kinds)

    def only(self, rows: NDArray[Any]) -> Options:
        """Return some of them."""
        index = np.arange(len(self))[rows]
        return Options(
            tuple(self.mounts[i] for i in index),
            tuple(self.spots[i] for i in index),
            self.kinds[index],
            self.moved[index],
            {name: unit[index] for name, unit in self.units.items()},
            {name: bright[index] for name, bright in self.harsh.items()},
        )


def joined(parts: Sequence[Options]) -> Options:
    """Return several candidates as one."""
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


@dataclass(frozen=True, eq=False)
class Group:
    """One light or a pair of twins that change together, on the surface of the first."""

    guide: Guide
    may: May
    lights: tuple[Light, ...]
    readers: tuple[str | None, ...]
    surface: Surface | None
    kinds: tuple[tuple[Kind, ...], ...]
    known: dict[tuple[Any, ...], bool] = field(default_factory=dict)

    @property
    def ids(self) -> tuple[str, ...]:
        """Ids of the lights."""
        return tuple(light.id for light in self.lights)

    @property
    def parts(self) -> frozenset[str]:
        """What may change."""
        return self.may.parts[self.lights[0].id]

    @property
    def here(self) -> Spot:
        """Where the first light hangs today, on its surface."""
        return (0.0, 0.0) if self.surface is None else self.surface.here

    @property
    def scenario(self) -> Scenario:
        """The plan."""
        return self.guide.scenario

    def mounts_at(self, spot: Spot) -> tuple[Mount, ...]:
        """Return the place of each light: the second's is the first's in the mirror."""
        if self.surface is None or spot == self.here:
            return tuple(light.mount_m for light in self.lights)
        first = self.surface.mount(*spot)
        if len(self.lights) == 1:
            return (first,)
        bed = mattress_of(self.scenario)
        assert bed is not None
        x = round(2 * bed.at_m[0] - first[0], 3)
        return first, (x, first[1], first[2])

    def stands_against(self, spot: Spot, kind: int = 0) -> list[str]:
        """Return why the lights, as a kind, may not hang there; nothing where they may."""
        if self.surface is None or spot == self.here:
            return []
        found: list[str] = []
        for light, reader, kinds, mount, surface in zip(
            self.lights, self.readers, self.kinds, self.mounts_at(spot), self._surfaces, strict=True
        ):
            wall = bed_wall(self.scenario.room) if light.wall is None else light.wall
            found += reasons(
                self.scenario,
                kinds[kind].light,
                mount,
                surface,
                reader=reader,
                no_drill=wall in self.may.no_drill,
            )
            found += self._no_hole(surface, wall, mount)
            if not found and not kinds[kind].bought and self._cord_short(light, mount):
                found.append(CORD)
        return list(dict.fromkeys(found))

    def _no_hole(self, surface: Surface, wall: int, mount: Mount) -> list[str]:
        if surface.wall is None:
            return []
        along, up, _ = surface.wall.place(mount)
        inside = any(area.wall == wall and area.holds(along, up) for area in self.may.areas)
        return ["no new hole is wanted in this part of the wall"] if inside else []

    def _cord_short(self, light: Light, mount: Mount) -> bool:
        key = (light.id, mount)
        if key not in self.known:
            self.known[key] = cord_too_short(self.scenario, light, mount)
        return self.known[key]

    @cached_property
    def _surfaces(self) -> list[Surface]:
        """The surface of each light; a twin without one of its own shares the first's."""
        assert self.surface is not None
        found = (
            surface_of(self.scenario, light, reader)
            for light, reader in zip(self.lights, self.readers, strict=True)
        )
        return [self.surface if own is None else own for own in found]

    def fits(self, spot: Spot, kind: int) -> bool:
        """Whether the lights, as a kind, may hang there."""
        form = self.kinds[0][kind]
        key = (spot, body_of_light(form.light).tobytes(), form.light.aim.at, form.bought)
        if key not in self.known:
            self.known[key] = not self.stands_against(spot, kind)
        return self.known[key]

    def options(
        self,
        spots: Sequence[Spot],
        kinds: Sequence[int],
        *,
        rough: bool = False,
        anywhere: bool = False,
        tilt: tuple[int, float] | None = None,
    ) -> Options:
        """Return the candidates at some places, of some kinds, that may hang there.

        ``rough`` takes each light as a point, however near it is, and what falls on a patch as
        even; ``anywhere`` does not ask whether it may hang there; ``tilt`` turns each about one of
        its own axes (0 or 1) by an angle [rad].
        """
        pairs = [(s, kind) for s in spots for kind in kinds if anywhere or self.fits(s, kind)]
        mounts = tuple(self.mounts_at(spot) for spot, _ in pairs)
        units, harsh = {}, {}
        for number, light in enumerate(self.lights):
            forms = [
                self._hung(number, kind, mount[number])
                for mount, (_, kind) in zip(mounts, pairs, strict=True)
            ]
            sources = [form[0] for form in forms]
            if tilt is not None:
                sources = [
                    replace(s, axes=_turned(s.axes, s.axes[tilt[0]], tilt[1])) for s in sources
                ]
            reciprocity = self.guide.reciprocity.coarse if rough else self.guide.reciprocity
            asked = [replace(s, size_m=0.0) for s in sources] if rough else sources
            flux = np.array([form[1] for form in forms]).reshape(-1, 1)
            units[light.id] = reciprocity.seen(asked) / flux[:, :, None]
            harsh[light.id] = self._harsh(number, [kind for _, kind in pairs], sources) / flux
        return Options(
            mounts,
            tuple(spot for spot, _ in pairs),
            np.array([kind for _, kind in pairs], dtype=np.intp),
            np.array([spot != self.here for spot, _ in pairs], dtype=bool),
            units,
            harsh,
        )

    def traits(self, kind: int, cct_k: float) -> dict[str, Traits]:
        """Return what ages and eyes make of the lights as a kind with a white."""
        found = {}
        for number, light in enumerate(self.lights):
            found[light.id] = traits_of(replace(self._emitters[number][kind], cct_k=cct_k))
        return found

    @cached_property
    def _emitters(self) -> list[list[Any]]:
        by_id = self._by_id
        return [
            [emitter_of_light(self.scenario, kind.light, by_id) for kind in kinds]
            for kinds in self.kinds
        ]

    def _hung(self, number: int, kind: int, mount: Mount) -> tuple[PointSource, float]:
        """One light of the group as a kind at a place, as a source, and its lamp's lumens."""
        light = self.kinds[number][kind].light.model_copy(update={"mount_m": mount})
        source = self._emitters[number][kind].source
        by_id = self._by_id
        at = light_centre(self.scenario, light)
        axes = photometric_axes(self.scenario, light, by_id)
        hung = PointSource(at, source.distribution, axes, source.size_m)
        return hung, max(middle(light.lamp.flux_lm), 1e-6)

    @cached_property
    def _by_id(self) -> dict[str, Any]:
        return {target.id: target for target in self.guide.lit.targets}

    def as_it_would_be(self, number: int, light: Light) -> tuple[Array, Traits, Array]:
        """Return what one light, so written, gives the rows at full output, its traits, its glare.

        The glare is the luminance (eyes,) [cd/m2] toward the eyes in bed that have it in view.
        """
        key = light.model_dump_json()
        if key not in self._reckoned:
            emitter = emitter_of_light(self.scenario, light, self._by_id)
            assert isinstance(emitter.source, PointSource)
            given = self.guide.reciprocity.seen([emitter.source])[0]
            bright = self._bright(light, emitter, [emitter.source])[0]
            self._reckoned[key] = (given, traits_of(emitter), bright)
        return self._reckoned[key]

    def at(self, spots: Sequence[Spot], *, bodies: bool = True) -> Array:
        """Return what the first light as it is gives at full output at places (n, 1 + p, r).

        At a first look: the light is a point, and light on a patch is taken as even. Without
        ``bodies`` readers cast no shadow on their own pages.
        """
        sources = [self._hung(0, 0, self.mounts_at(spot)[0])[0] for spot in spots]
        reciprocity = self.guide.reciprocity.coarse
        afar = [replace(source, size_m=0.0) for source in sources]
        return (reciprocity if bodies else reciprocity.without_bodies).seen(afar)

    def glare_at(self, spots: Sequence[Spot]) -> Array:
        """Return luminance (n, eyes) [cd/m2] of the first light as it is at places, in `eyes`."""
        sources = [self._hung(0, 0, self.mounts_at(spot)[0])[0] for spot in spots]
        return self._harsh(0, [0] * len(sources), sources)[:, : len(self.eyes)]

    def disturbed(self, number: int, light: Light, shift_m: float, tilt: float) -> Array:
        """Return what a light gives (8, 1 + p, r), moved four ways and tilted four ways."""
        right, up = np.array([1.0, 0, 0]), np.array([0, 0, 1.0])
        if self.surface is not None:
            right, up = self.surface.right, self.surface.up
        sources = []
        for way in (right, -right, up, -up):
            place = np.array(light.mount_m) + shift_m * way
            moved = light.model_copy(update={"mount_m": tuple(float(x) for x in place)})
            sources.append(emitter_of_light(self.scenario, moved, self._by_id).point)
        still = emitter_of_light(self.scenario, light, self._by_id).point
        for axis in (still.axes[0], still.axes[1]):
            for angle in (tilt, -tilt):
                turned = _turned(still.axes, axis, angle)
                sources.append(replace(still, axes=turned))
        return self.guide.reciprocity.seen(sources)

    def _harsh(self, number: int, kinds: Sequence[int], sources: Sequence[PointSource]) -> Array:
        """Luminance (n, eyes) [cd/m2] toward the eyes in bed that have the light in view."""
        found = np.zeros((len(sources), max(len(self.eyes), 1)))
        for kind in sorted(set(kinds)):
            rows = [i for i, k in enumerate(kinds) if k == kind]
            light, emitter = self.kinds[number][kind].light, self._emitters[number][kind]
            found[rows] = self._bright(light, emitter, [sources[i] for i in rows])
        return found

    @cached_property
    def _reckoned(self) -> dict[str, tuple[Array, Traits, Array]]:
        return {}

    @cached_property
    def eyes(self) -> list[Any]:
        """The eyes of those in bed."""
        eyes = self.guide.lit.targets
        return [t for t in eyes if t.is_eye and t.posture not in STANDING]

    def _bright(self, light: Light, emitter: Emitter, sources: Sequence[PointSource]) -> Array:
        """Luminance (k, eyes) [cd/m2] of one light at places, 0 where it is not in view."""
        if not self.eyes:
            return np.zeros((len(sources), 1))
        places = np.concatenate([eye.points for eye in self.eyes])
        gazes = np.concatenate([eye.normals for eye in self.eyes])
        at = np.array([source.position for source in sources])
        axes = np.array([source.axes for source in sources])
        blockers = self.guide.lit.transport.blockers
        seen = look_of(light, emitter, at, axes, places, blockers)
        view = np.einsum("kmc,mc->km", at[:, None] - places[None], gazes) >= 0.0
        return np.asarray(np.where((seen.look > 0) & view, seen.luminance, 0.0))


def _turned(vectors: Array, axis: Array, angle: float) -> Array:
    """Vectors (k, 3) turned about a unit axis, by Rodrigues' formula."""
    along = (vectors @ axis)[:, None] * axis
    return np.asarray(
        along + math.cos(angle) * (vectors - along) + math.sin(angle) * np.cross(axis, vectors)
    )


def light_group(
    guide: Guide, may: May, ids: Sequence[str], lowest: Mapping[str, float] | None = None
) -> Group | None:
    """Return the group of some lights, or None where one is a panel, which is no point.

    ``lowest`` is the lowest level that each light dims to today, 1 where nothing dims it.
    """
    low = dims_to(guide.scenario) if lowest is None else lowest
    by_id = {light.id: light for light in guide.scenario.lights}
    if any(name not in by_id or isinstance(by_id[name].distribution, Panel) for name in ids):
        return None
    lights = tuple(by_id[name] for name in ids)
    readers = tuple(reader_of(guide.lit, light.id) for light in lights)
    if len(lights) == 2 and readers[0] == readers[1]:
        readers = _sides(guide.scenario, lights, readers)
    kinds = tuple(
        kinds_of(light, reader, max(low[name] for name in ids), may.lamps)
        for light, reader in zip(lights, readers, strict=True)
    )
    if len({tuple(kind.name for kind in each) for each in kinds}) > 1:
        return None
    surface = surface_of(guide.scenario, lights[0], readers[0])
    return Group(guide, may, lights, readers, surface, kinds)


def _sides(
    scenario: Scenario, lights: Sequence[Light], readers: tuple[str | None, ...]
) -> tuple[str | None, ...]:
    """Twins that light one reader most each serve the reader of their own side."""
    bed = mattress_of(scenario)
    if bed is None:
        return readers
    sides = {p.side: p.id for p in scenario.people if p.reads}
    return tuple(
        sides.get("left" if light.mount_m[0] < bed.at_m[0] else "right", reader)
        for light, reader in zip(lights, readers, strict=True)
    )
