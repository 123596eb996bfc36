"""What makes an answer unsure: which bulb, which shade, which surface, as shares of its band.

The band of an answer adds independent doubts as squares
(:class:`lumen.study.lighting.maps.Lighting`). Here the same squares are shared out again, so
that a person knows what is worth reading off a box or measuring before anything else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.interreflection import Sensors, SurfaceLight
from lumen.scenario.lights import Light
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.emitters import Emitter, printed
from lumen.study.scene.surfaces import faces_of
from lumen.study.scene.targets import page_id

__all__ = ["Area", "Cause", "Doubt", "Sensitivity", "doubts", "ratio", "sensitivities"]

Array = NDArray[np.floating[Any]]

Cause = Literal["lumens", "shade", "screen", "reflectance"]
Area = Literal["walls", "wall", "floor", "ceiling", "opening", "furniture"]


@dataclass(frozen=True)
class Doubt:
    """One cause of an answer's band.

    ``what`` is ``lumens`` (as printed on the box), ``shade`` (what shade, beam or cover make of
    them), ``screen`` (how bright a page glows) or ``reflectance`` (of all surfaces together);
    ``of`` is the source's id, or the surface that moves the answer most. ``half`` is how far this
    alone moves the answer, as a share of it; ``share`` is its part of the square of the band.
    """

    what: Cause
    of: str
    half: float
    share: float


@dataclass(frozen=True)
class Sensitivity:
    """How an answer follows a surface: by ``per`` times as many percent as its reflectance moves.

    ``area`` says what surface it is: all walls of the common finish, one wall with its own, floor,
    ceiling, an opening, a piece of furniture; ``of`` is its name, an id of the last two.
    """

    area: Area
    of: str
    per: float


def doubts(lit: Lighting, target: str, setup: str) -> tuple[Doubt, ...]:
    """Return what makes an answer unsure, the greatest share first; the shares add up to one.

    Each half is the mean of its way down and its way up. Where a page lies and how far off an eye
    is is not in the band, so it is not here; ageing, which takes from all lights, is no doubt.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.study import study
    >>> found = doubts(study(load(examples()[0])).lighting, "page:left", "read left")
    >>> [(one.what, one.of) for one in found][:2]
    [('reflectance', 'walls'), ('shade', 'left light')]
    >>> round(sum(one.share for one in found), 9)
    1.0
    """
    direct, bounced = _split(lit, target, setup)
    total = float((direct + bounced).sum())
    if total <= 0:
        return ()
    causes = [cause for cause in _causes(lit, target, setup, direct, bounced) if cause[2] > 0]
    square = sum(half**2 for _, _, half in causes)
    found = [Doubt(what, of, half / total, half**2 / square) for what, of, half in causes]
    return tuple(sorted(found, key=lambda one: -one.share))


def _causes(
    lit: Lighting, target: str, setup: str, direct: Array, bounced: Array
) -> Iterator[tuple[Cause, str, float]]:
    """What, of which, and how far it moves the answer [lx]."""
    down, up, bounce_down, bounce_up = lit.doubts
    written = {item.id: item for item in lit.scenario.sources}
    for row, emitter in enumerate(lit.emitters):
        lx = float(direct[row] + bounced[row])
        if emitter.id not in written:
            yield "screen", emitter.id, lx * float(down[row] + up[row]) / 2
            continue
        item = written[emitter.id]
        flux = item.lamp.flux_lm if isinstance(item, Light) else item.flux_lm_per_m
        low, high = printed(flux)
        lamp = (high - low) / 2
        whole = float(down[row] + up[row]) / 2
        yield "lumens", emitter.id, lx * lamp
        yield "shade", emitter.id, lx * math.sqrt(max(0.0, whole**2 - lamp**2))
    surfaces = sensitivities(lit, target, setup)
    of = surfaces[0].of if surfaces else "walls"
    yield "reflectance", of, float(bounced.sum()) * (bounce_down + bounce_up) / 2


def sensitivities(lit: Lighting, target: str, setup: str) -> tuple[Sensitivity, ...]:
    """Return how an answer follows the reflectance of each surface, the strongest first.

    Of a patch with reflectance ``rho`` under illuminance ``H`` the answer gets ``b`` straight
    (:meth:`lumen.light.interreflection.SurfaceLight.by_patch`: over all patches that is its bounced
    light), and more by way of other patches. With the response ``a`` (bounced light for each lux of
    direct light on a patch) and the factor ``g`` to the target, the change with one reflectance is
    ``d E / d ln(rho) = b + (a - rho g) H``: the adjoint of the exchange of light. First order only:
    a tenth of a white ceiling does more on the way up than on the way down. A strip with a near
    field is taken by whole patches throughout. What a page hides from its own reader is left out.
    """
    direct, bounced = _split(lit, target, setup)
    total = float((direct + bounced).sum())
    if total <= 0:
        return ()
    weights, patches = lit.weights(setup), lit.transport.patches
    sources = [
        (w, lit.maps[k], e) for k, (w, e) in enumerate(zip(weights, lit.emitters, strict=True)) if w
    ]
    lamps = sum((w * left.patch_illuminance for w, left, _ in sources), np.zeros(len(patches)))
    pages = [(float(factors.sum()), left) for left, factors in lit.page_maps(setup)]
    received = sum((part * left.patch_illuminance for part, left in pages), lamps)

    def slopes(of: str, lux: Array, all_pages: bool) -> Array:
        """``b + (a - rho g) H`` of one target: of the lamps, or of what pages give back too."""
        straight = sum(
            (w * _by_patch(lit, of, e, left) for w, left, e in sources), np.zeros(len(patches))
        )
        if all_pages:
            sensors = _sensors(lit, of)
            straight = sum((p * left.by_patch(sensors).mean(axis=0) for p, left in pages), straight)
        return np.asarray(straight + _by_others(lit, of) * lux)

    each = slopes(target, received, all_pages=True)
    for page in lit.pages_read(setup):  # what reaches a page by bounce goes on from there
        gives = float(page.points[lit.slices[target]].mean())
        if gives > 0.0:
            each = each + gives * slopes(page_id(page.person), lamps, all_pages=False)
    sums: dict[tuple[Area, str], float] = {}
    by_face = np.bincount(patches.surface, each / total)
    for area, part in zip(_areas(lit), by_face, strict=False):
        sums[area] = sums.get(area, 0.0) + float(part)
    found = [Sensitivity(*area, value) for area, value in sums.items() if value > 0]
    return tuple(sorted(found, key=lambda one: -one.per))


def _sensors(lit: Lighting, target: str) -> Sensors:
    """The sensors of one target, out of those of all."""
    sensors, part = lit.evaluation.sensors_of(lit.targets), lit.slices[target]
    return Sensors(
        points=sensors.points[part],
        normals=sensors.normals[part],
        row_sum=sensors.row_sum[part],
        gather=sensors.gather[part],
        adjoint=sensors.adjoint[:, part],
    )


def _by_patch(lit: Lighting, target: str, emitter: Emitter, left: SurfaceLight) -> Array:
    """What a target gets of a source straight from each patch on average (patches,) [lx].

    With a strip's near field whole patches are taken, as they are for what goes on by others: light
    that bounces to and fro in a gap follows its walls more than once, which cells alone leave out.
    """
    if left.near is not None:
        return _straight(lit, target) * left.patch_illuminance
    sensors, light = _sensors(lit, target), lit.evaluation
    return light.cache.get(
        "light by patch",
        lambda: np.asarray(left.by_patch(sensors).mean(axis=0), dtype=float),
        transport=light.room,
        points=sensors.points,
        normals=sensors.normals,
        source=emitter.content,
        detail=light.detail_of(emitter),
    )


def _by_others(lit: Lighting, target: str) -> Array:
    """What a target gets by way of other patches for one lux on each (patches,): a - rho g."""
    return np.asarray(lit.response[target] - _straight(lit, target))


def _straight(lit: Lighting, target: str) -> Array:
    """What a target gets straight from each whole patch for one lux on it (patches,): rho g."""
    gather = _sensors(lit, target).gather.mean(axis=0, dtype=float)
    factors = gather.reshape(-1, 4).sum(axis=1)
    return np.asarray(lit.transport.patches.reflectances[:, 0] * factors)


def _areas(lit: Lighting) -> list[tuple[Area, str]]:
    """What each face of the room belongs to: walls with the common finish count together."""
    plan = lit.scenario
    return lit.evaluation.cache.get(
        "areas", lambda: _found_areas(lit), room=plan.room, furniture=plan.furniture
    )


def _found_areas(lit: Lighting) -> list[tuple[Area, str]]:
    room = lit.scenario.room
    own = {int(number) for number in room.finishes.wall_by_wall}
    found: list[tuple[Area, str]] = []
    for face in faces_of(room):
        if face.opening is not None:
            found.append(("opening", face.opening))
        elif face.kind == "wall":
            apart = face.wall in own
            found.append(("wall", face.name) if apart else ("walls", "walls"))
        else:
            found.append((face.kind, face.kind))
    things: list[tuple[Area, str]] = [("furniture", one.id) for one in lit.scenario.furniture]
    return found + [thing for thing in things for _ in range(6)]


def ratio(lit: Lighting, target: str, first: str, second: str) -> tuple[float, float, float] | None:
    """Return how often the light of one setup goes into that of another, with its band.

    Both setups have the same bulbs and walls, so that most doubts fall away: to first order each
    cause moves the ratio by the difference of its parts in the two. ``None`` where the first is
    dark.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.study import study
    >>> lit = study(load(examples()[0])).lighting
    >>> ratio(lit, "page:left", "read left", "read left")
    (1.0, 1.0, 1.0)
    """
    parts = []
    for setup in (first, second):
        direct, bounced = _split(lit, target, setup)
        total = float((direct + bounced).sum())
        parts.append((total, direct + bounced, float(bounced.sum())))
    (before, each_before, bounce_before), (after, each_after, bounce_after) = parts
    if before <= 0:
        return None
    times = after / before
    if after <= 0:
        return 0.0, 0.0, 0.0
    down, up, bounce_down, bounce_up = lit.doubts
    apart = each_after / after - each_before / before
    bounce = bounce_after / after - bounce_before / before
    half = math.hypot(
        float(np.linalg.norm(apart * (down + up) / 2)), bounce * (bounce_down + bounce_up) / 2
    )
    return times, times * max(0.0, 1 - half), times * (1 + half)


def _split(lit: Lighting, target: str, setup: str) -> tuple[Array, Array]:
    """Direct and bounced light of each source on a target [lx]."""
    answer = lit.answer(target, setup)
    rows = {emitter.id: row for row, emitter in enumerate(lit.emitters)}
    direct, bounced = np.zeros(len(rows)), np.zeros(len(rows))
    for share in answer.by_source:
        direct[rows[share.id]], bounced[rows[share.id]] = share.direct_lx, share.bounced_lx
    return direct, bounced
