"""Lines of sight to draw: from which eye to which light, and whether it is harsh in a setup."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.sources import StripSource
from lumen.study.eyes.comfort import Comfort
from lumen.study.scene.emitters import Emitter

__all__ = ["SightLine", "sight_lines"]

Point = tuple[float, float, float]


@dataclass(frozen=True)
class SightLine:
    """A line from an eye to a light that is on and in view [m]; ``places`` lists the postures."""

    light: str
    places: tuple[str, ...]
    start: Point
    end: Point
    harsh: bool


def sight_lines(comfort: Comfort, setup: str) -> tuple[SightLine, ...]:
    """Return what is looked at in a setup, harsh lines first, one line for each eye and light.

    Somebody who turns over keeps the same eye: postures that share a place share a line, which is
    harsh when one of them glares (:meth:`lumen.study.eyes.sight.Sighting.glares`). What is seen by
    way of a mirror has no straight line and is left out; the answer's words tell it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.study import study
    >>> found = sight_lines(study(load(examples()[0])).comfort, "read left")
    >>> [(line.light, line.places, line.harsh) for line in found][0]
    ('left light', ("Left's eyes, lying back", "Left's eyes, lying left"), True)
    """
    lit = comfort.lighting
    level = dict(zip((e.id for e in lit.emitters), map(float, lit.weights(setup)), strict=True))
    eyes = {target.id: target for target in lit.targets if target.kind == "eye"}
    ends = {emitter.id: _middle(emitter) for emitter in lit.emitters}
    lines: dict[tuple[str, Point], list[tuple[str, bool]]] = {}
    for seen in comfort.sight:
        if seen.mirror is not None or not seen.in_view or level[seen.light] == 0:
            continue
        eye = eyes[seen.eye]
        harsh = seen.glares(level[seen.light])
        key = (seen.light, _point(eye.points[0]))
        lines.setdefault(key, []).append((eye.name, harsh))
    found = [
        SightLine(
            light=light,
            places=tuple(name for name, harsh in looks if harsh) or tuple(n for n, _ in looks),
            start=start,
            end=ends[light],
            harsh=any(harsh for _, harsh in looks),
        )
        for (light, start), looks in lines.items()
    ]
    return tuple(sorted(found, key=lambda line: not line.harsh))


def _middle(emitter: Emitter) -> Point:
    source = emitter.source
    if isinstance(source, StripSource):
        return _point(source.path[len(source.path) // 2])
    return _point(emitter.point.position)


def _point(at: NDArray[np.floating[Any]]) -> Point:
    x, y, z = (round(float(value), 3) for value in at)
    return x, y, z
