"""What a light would give anywhere it may hang: the study's receivers, asked from any place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.interreflection.reciprocity import Receivers, Vantage
from lumen.light.sources import PointSource
from lumen.scenario.document import Scenario
from lumen.study.body import own_shadow
from lumen.study.evaluation import evaluation_of
from lumen.study.lighting import Lighting
from lumen.study.reading import lit_pages, page_slabs
from lumen.study.targets import Target, targets

__all__ = ["Engine"]

Array = NDArray[np.floating[Any]]

_KEPT = 64  # vantages at most, some 1 MB each with fifty rows


@dataclass(frozen=True, eq=False)
class Engine:
    """A plan's fixed targets, and what a light at any place gives them.

    ``rows`` (r, n) are weights of all target points, in the order of the targets; ``None`` asks
    for every point by itself.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.lighting import lighting
    >>> plan = load(examples()[0])
    >>> lit = lighting(plan)
    >>> direct, bounced = Engine.of(plan).responses([lit.emitters[0].source])
    >>> bool(np.allclose(direct[0], lit.direct[0], rtol=1e-5))
    True
    """

    receivers: Receivers
    read: tuple[Read, ...] = ()

    @classmethod
    def of(
        cls, scenario: Scenario, rows: Array | None = None, read: Sequence[Sequence[str]] = ()
    ) -> Engine:
        """Return the engine of a plan; room and sensors are those that the study keeps.

        ``read`` lists who reads together: answers then hold the rows once for each such group,
        with the light and the shadows of their pages.
        """
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
        base = Receivers(light.transport, sensors, means, mirrors, tuple(bodies))
        return cls(base, tuple(Read.of(scenario, base, people) for people in read))

    @cached_property
    def _vantages(self) -> dict[tuple[int, bytes], Vantage]:
        return {}

    def _vantage(self, number: int, receivers: Receivers, position: Array) -> Vantage:
        key = number, np.round(position, 6).tobytes()
        if key not in self._vantages:
            if len(self._vantages) >= _KEPT:
                self._vantages.clear()
            self._vantages[key] = Vantage(receivers, position)
        return self._vantages[key]

    def responses(self, sources: Sequence[PointSource]) -> tuple[Array, Array]:
        """Return direct and bounced light (m, r) [lx] of each of m lights at its own place.

        With people who read (m, groups x r): one block of rows a group.
        """
        if not self.read:
            return self._given(0, self.receivers, sources)
        blocks = []
        for number, read in enumerate(self.read):
            direct, bounced = self._given(2 * number + 1, read.receivers, sources)
            if len(read.gives):
                onto = sum(self._given(2 * number + 2, read.pages, sources))
                bounced = bounced + onto @ read.gives
            blocks.append((direct, bounced))
        return (
            np.concatenate([direct for direct, _ in blocks], axis=1),
            np.concatenate([bounced for _, bounced in blocks], axis=1),
        )

    def _given(
        self, number: int, receivers: Receivers, sources: Sequence[PointSource]
    ) -> tuple[Array, Array]:
        direct, bounced = np.zeros((2, len(sources), len(receivers.means)))
        together: dict[bytes, list[int]] = {}
        for place, source in enumerate(sources):
            together.setdefault(np.round(source.position, 6).tobytes(), []).append(place)
        for places in together.values():
            some = [sources[i] for i in places]
            vantage = self._vantage(number, receivers, some[0].position)
            direct[places], bounced[places] = vantage.responses(some)
        return direct, bounced


@dataclass(frozen=True, eq=False)
class Read:
    """What pages that are read make of the receivers.

    ``receivers`` are those in the pages' shadows; ``pages`` are the pages' averages without them,
    and ``gives`` (pages, r) what one lux on a page gives each receiver.
    """

    receivers: Receivers
    pages: Receivers
    gives: Array

    @classmethod
    def of(cls, scenario: Scenario, base: Receivers, people: Sequence[str]) -> Read:
        """Return what the pages of these people make of receivers that know nothing of them."""
        light, asked = evaluation_of(scenario), targets(scenario)
        index = {target.id: rows for target, rows in _slices(asked)}
        slabs = {who: slab for who, slab in page_slabs(scenario).items() if who in people}
        means, gives = np.zeros((len(slabs), base.means.shape[1])), []
        lit = dict(lit_pages(scenario))
        for row, (who, slab) in enumerate(slabs.items()):
            rows = index[f"page:{who}"]
            means[row, rows] = 1.0 / len(rows)
            points = light.direct(lit[who], base.sensors.points, base.sensors.normals)
            for target in asked:
                if own_shadow(scenario, target.id):
                    points[index[target.id]] = light.direct(
                        lit[who], target.points, target.normals, target.id
                    )
            points = points + light.bounced(lit[who], base.sensors)
            gives.append(
                base.means @ (points - light.hidden_by_bounce(lit[who], slab, base.sensors))
            )
        if not slabs:
            return cls(base, replace(base, means=means), np.zeros((0, len(base.means))))
        solid = tuple(slabs.values())
        shaded = Receivers(
            replace(base.transport, blockers=(*base.transport.blockers, *solid)),
            light.seen_past(solid, base.sensors),
            base.means,
            base.mirrors,
            base.bodies,
        )
        return cls(shaded, replace(base, means=means), np.array(gives))


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
