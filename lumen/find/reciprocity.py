"""What a light would give anywhere it may hang: the study's receivers, asked from any place."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.interreflection.reciprocity import Receivers, Vantage
from lumen.light.sources import PointSource
from lumen.scenario.document import Scenario
from lumen.study.cache import Cache, fingerprint
from lumen.study.lighting.evaluation import evaluation_of
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.body import own_shadow
from lumen.study.scene.reading import page_slabs
from lumen.study.scene.targets import Target, targets

__all__ = ["Reciprocity"]

Array = NDArray[np.floating[Any]]

_PLACES_BYTES = 80_000_000  # some 200 places of 0.4 MB; 3 ms make one anew


@dataclass(frozen=True, eq=False)
class Reciprocity:
    """A plan's fixed targets, and what a light at any place gives them.

    ``rows`` (r, n) are weights of all target points, in the order of the targets; ``None`` asks
    for every point by itself. ``rest`` is called before each look from another place, so that a
    search can give way to a hand; it may raise to stop it. ``room`` names the room by content; the
    ``cache`` keeps the places that were asked for: one of the search's own, for it looks from more
    places than the study's could hold beside the room.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.lighting.maps import lighting
    >>> plan = load(examples()[0])
    >>> lit = lighting(plan)
    >>> direct, bounced = Reciprocity.of(plan).responses([lit.emitters[0].source])
    >>> bool(np.allclose(direct[0], lit.direct[0], rtol=1e-5))
    True
    """

    receivers: Receivers
    room: str
    cache: Cache
    rest: Callable[[], None] = lambda: None

    @cached_property
    def coarse(self) -> Reciprocity:
        """The same for a first look: light on a patch is taken as even."""
        return replace(self, receivers=replace(self.receivers, coarse=True))

    @cached_property
    def without_bodies(self) -> Reciprocity:
        """The same where readers cast no shadow on their own pages: to tell what a shadow does."""
        return replace(self, receivers=replace(self.receivers, bodies=()))

    @classmethod
    def of(cls, scenario: Scenario, rows: Array | None = None) -> Reciprocity:
        """Return what asks for a plan; room and sensors are those that the study keeps."""
        asked = targets(scenario)
        light = evaluation_of(scenario)
        sensors = light.sensors_of(asked)
        means = np.eye(len(sensors)) if rows is None else rows
        mirrors = tuple(mirror for _, mirror in light.mirrors)
        bodies = []
        for target, index in _slices(asked):
            body = own_shadow(scenario, target.id)
            if body:
                bodies.append((index, body))
        slabs = page_slabs(scenario)
        pages = tuple(slabs[person] for person in slabs)
        receivers = Receivers(light.transport, sensors, means, mirrors, tuple(bodies), pages)
        return cls(receivers, light.room, Cache(_PLACES_BYTES))

    @cached_property
    def content(self) -> str:
        """Name by content of the receivers: every field of theirs, the room by its own name."""
        to = self.receivers
        others = {
            one.name: getattr(to, one.name)
            for one in fields(to)
            if one.name not in ("transport", "sensors")
        }
        return fingerprint(self.room, to.sensors.points, to.sensors.normals, others)

    def vantage(self, position: Array) -> Vantage:
        """Return a place for a light, kept for those that ask for it again."""
        self.rest()  # not while others may wait for this very place
        return self.cache.get(
            "vantage",
            lambda: Vantage(self.receivers, position),
            receivers=self.content,
            place=np.round(position, 6),
        )

    def responses(self, sources: Sequence[PointSource]) -> tuple[Array, Array]:
        """Return direct and bounced light (m, r) [lx] of each of m lights at its own place."""
        rows = len(self.receivers.means)
        direct, bounced = np.zeros((2, len(sources), rows))
        together: dict[bytes, list[int]] = {}
        for number, source in enumerate(sources):
            together.setdefault(np.round(source.position, 6).tobytes(), []).append(number)
        for numbers in together.values():
            some = [sources[i] for i in numbers]
            direct[numbers], bounced[numbers] = self.vantage(some[0].position).responses(some)
        return direct, bounced

    def seen(self, sources: Sequence[PointSource]) -> Array:
        """Return what each of m lights gives (m, 1 + p, r) [lx], then what each page keeps of it.

        Pages in the order of the people who read.
        """
        to = self.receivers
        found = np.zeros((len(sources), 1 + len(to.slabs), len(to.means)))
        together: dict[bytes, list[int]] = {}
        for number, source in enumerate(sources):
            together.setdefault(np.round(source.position, 6).tobytes(), []).append(number)
        for numbers in together.values():
            some = [sources[i] for i in numbers]
            found[numbers] = self.vantage(some[0].position).with_slabs(some)
        return found


def _slices(asked: Sequence[Target]) -> list[tuple[Target, NDArray[np.intp]]]:
    ends = np.cumsum([len(t.points) for t in asked])
    return [
        (t, np.arange(int(end) - len(t.points), int(end)))
        for t, end in zip(asked, ends, strict=True)
    ]


def rows_of(lit: Lighting, names: Mapping[str, bool]) -> tuple[Array, dict[str, slice]]:
    """Return rows that take the mean of each named target, or its points where asked.

    ``names`` maps a target to whether its points are wanted one by one.
    """
    count = sum(len(target.points) for target in lit.targets)
    rows: list[Array] = []
    places: dict[str, slice] = {}
    for name, each in names.items():
        part = lit.slices[name]
        size = part.stop - part.start
        block = np.zeros((size if each else 1, count))
        if each:
            block[np.arange(size), np.arange(part.start, part.stop)] = 1.0
        else:
            block[0, part] = 1.0 / size
        begin = sum(len(r) for r in rows)
        places[name] = slice(begin, begin + len(block))
        rows.append(block)
    return (np.concatenate(rows) if rows else np.zeros((0, count))), places
