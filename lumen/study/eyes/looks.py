"""What shows of a light from afar: its lamp, its lit opening, its shade from inside or outside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.glare import luminance_of_globe, shielding_angle
from lumen.light.shade import ShadedLight, shade_material
from lumen.light.visibility import Blocker, segments_blocked
from lumen.scenario.base import middle
from lumen.scenario.lights import AllRound, DistributionFile, Light, Shade
from lumen.study.scene.emitters import Emitter

__all__ = [
    "GRAZING",
    "LOOKS",
    "Seen",
    "deeper_shade",
    "lamp_luminance",
    "look_of",
    "shielding_of",
]

Array = NDArray[np.floating[Any]]

LOOKS = ("nothing", "lamp", "opening", "inside", "gaps", "shade", "strip")

GRAZING = 0.05
"""Flat openings seen flatter than 3 degrees (cosine 0.05) show nothing."""

_GAPS = 0.05  # a weave this open shows the lamp itself between its threads
_STEP_M = 0.005
_DEEPEST_M = 0.15


@dataclass(frozen=True, eq=False)
class Seen:
    """What shows of a light at places (k,) to eyes (m,): arrays (k, m).

    ``look``, ``luminance`` and ``area`` are those of the one thing that is told. ``parts`` holds
    luminance and area of everything bright that shows at once (parts, 2, k, m): a shade's cloth
    beside what is seen through its opening.
    """

    look: NDArray[np.intp]
    luminance: Array
    area: Array
    gamma: Array
    parts: Array


def look_of(
    light: Light,
    emitter: Emitter,
    positions: Array,
    axes: Array,
    eyes: Array,
    blockers: Sequence[Blocker],
) -> Seen:
    """Return what of a light shows, from places it may have (k,) to eyes (m,).

    Parameters
    ----------
    light, emitter
        The light as written, and as a source.
    positions, axes : (k, 3), (k, 3, 3)
        Where its middle may be [m] and its own axes there.
    eyes : (m, 3)
        [m]
    blockers
        What hides it.
    """
    ray = eyes[None] - positions[:, None]
    distance = np.linalg.norm(ray, axis=2)
    own = np.einsum("kmc,kac->kma", ray / np.maximum(distance, 1e-9)[..., None], axes)
    gamma = np.arccos(np.clip(-own[..., 2], -1.0, 1.0))
    seen = (
        _shade_look(light, emitter.shade, gamma, distance)
        if emitter.shade is not None
        else _bare_look(light, emitter, own, gamma)
    )
    hidden = segments_blocked(positions[:, None], eyes[None], blockers)
    return replace(seen, look=np.where(hidden, 0, seen.look))


def _shade_look(light: Light, shade: ShadedLight, gamma: Array, distance: Array) -> Seen:
    """Lamp within the cut-off; inside of the shade beyond its rim's plane; else its outside."""
    form = light.distribution
    assert isinstance(form, Shade)
    lamp_height = form.lamp_above_m
    lamp = luminance_of_globe(middle(light.lamp.flux_lm), light.lamp.diameter_m)
    along = distance * np.cos(gamma)
    low_side = (along > lamp_height) & (shade.cutoff_below > 0.0)
    high_side = (-along > form.height_m - lamp_height) & (shade.cutoff_above > 0.0)
    bare = (gamma < shade.hidden_below) & (shade.cutoff_below > 0.0)
    bare |= (math.pi - gamma < shade.hidden_above) & (shade.cutoff_above > 0.0)
    inside = (low_side | high_side) & (shade.inside_luminance > shade.wall_luminance)
    openness = shade_material(form.material)[0].openness
    gaps = openness >= _GAPS
    outside = LOOKS.index("gaps") if gaps else LOOKS.index("shade")
    look = np.where(bare, LOOKS.index("lamp"), np.where(inside, LOOKS.index("inside"), outside))
    wall = lamp if gaps else shade.wall_luminance + openness * lamp
    luminance = np.where(bare, lamp, np.where(inside, shade.inside_luminance, wall))
    ball = math.pi / 4 * light.lamp.diameter_m**2
    mouth = np.where(low_side, shade.mouth_below, shade.mouth_above) * np.abs(np.cos(gamma))
    area = np.where(bare, ball, np.where(inside, mouth, ball if gaps else shade.wall_area(gamma)))
    parts = _shade_parts(light, shade, gamma, (low_side, high_side))
    return Seen(look.astype(np.intp), luminance, np.maximum(area, 1e-6), gamma, parts)


def _shade_parts(
    light: Light,
    shade: ShadedLight,
    gamma: Array,
    sides: tuple[NDArray[np.bool_], NDArray[np.bool_]],
) -> Array:
    """Luminance and area of all of a shade that shows at once (parts, 2, k, m).

    The lamp through an opening, as much of it as the rim leaves; the rest of the opening at the
    mean luminance of the lit inside; the lamp between threads; the wall's outside at its own mean,
    the lamp that shimmers through close cloth in it. Its brighter middle would add 0.1 to 0.3 to
    UGR, 1.6 for a tube three times as high as wide.
    """
    form = light.distribution
    assert isinstance(form, Shade)
    openness = shade_material(form.material)[0].openness
    lamp = luminance_of_globe(middle(light.lamp.flux_lm), light.lamp.diameter_m)
    balls = light.lamps * math.pi / 4 * light.lamp.diameter_m**2
    free, mouth = np.zeros_like(gamma), np.zeros_like(gamma)
    for side, angle, middle_hidden, all_hidden, opening in (
        (sides[0], gamma, shade.cutoff_below, shade.hidden_below, shade.mouth_below),
        (sides[1], math.pi - gamma, shade.cutoff_above, shade.hidden_above, shade.mouth_above),
    ):
        soft = max(2 * (all_hidden - middle_hidden), 1e-9)
        mouth = np.where(side, opening * np.abs(np.cos(angle)), mouth)
        free = np.where(side, balls * np.clip((all_hidden - angle) / soft, 0.0, 1.0), free)
    free = np.minimum(free, mouth)
    cloth = shade.wall_area(gamma)
    threads = openness * np.clip(balls - free, 0.0, cloth)
    if openness >= _GAPS:
        between, wall = threads, np.full_like(gamma, shade.wall_luminance)
    else:
        between = np.zeros_like(gamma)
        wall = shade.wall_luminance + lamp * threads / np.maximum(cloth, 1e-9)
    return _stack(
        [
            (lamp, free),
            (shade.inside_luminance, mouth - free),
            (lamp, between),
            (wall, cloth - between),
        ]
    )


def _stack(parts: Sequence[tuple[float | Array, Array]]) -> Array:
    return np.array([np.broadcast_arrays(*part) for part in parts])


def _bare_look(light: Light, emitter: Emitter, own: Array, gamma: Array) -> Seen:
    """A globe that shines all round, or a flat opening that shines along its aim."""
    source = emitter.point
    size = source.size_m or light.lamp.diameter_m
    form = light.distribution
    if isinstance(form, AllRound):
        shape = np.ones_like(gamma)
        bright = shape * luminance_of_globe(emitter.flux_lm, size)
        disc = shape * math.pi / 4 * size**2
        lamp = np.full(gamma.shape, LOOKS.index("lamp"), dtype=np.intp)
        return Seen(lamp, bright, disc, gamma, _stack([(bright, disc)]))
    flatness = 0.25 if isinstance(form, DistributionFile) else 0.0  # a file may tell of a body
    facing = np.abs(np.cos(gamma)) if flatness else np.cos(gamma)
    area = math.pi / 4 * size**2 * np.maximum(facing, max(flatness, GRAZING))
    intensity = np.asarray(source.distribution.intensity(own), dtype=float)
    luminance = intensity / area
    shows = (facing > (0.0 if flatness else GRAZING)) & (luminance > 1.0)
    look = np.where(shows, LOOKS.index("opening"), LOOKS.index("nothing")).astype(np.intp)
    return Seen(look, luminance, area, gamma, _stack([(luminance, area)]))


def lamp_luminance(light: Light, emitter: Emitter) -> float:
    """Luminance of the bare lamp itself [cd/m2]: a globe, or the mean of a flat opening's front."""
    if emitter.shade is not None:
        return luminance_of_globe(middle(light.lamp.flux_lm), light.lamp.diameter_m)
    source = emitter.point
    size = source.size_m or light.lamp.diameter_m
    if isinstance(light.distribution, AllRound):
        return luminance_of_globe(emitter.flux_lm, size)
    ahead = np.array([[0.0, 0.0, -1.0]])
    return float(source.distribution.intensity(ahead)[0]) / (math.pi / 4 * size**2)


def shielding_of(emitter: Emitter) -> float | None:
    """Shielding angle of an upright light [deg]; none for a tilted one."""
    source = emitter.point
    if abs(source.axes[2, 2]) < math.cos(math.radians(5)):
        return None
    if emitter.shade is None:
        return 0.0
    down = source.axes[2, 2] > 0
    hidden = emitter.shade.hidden_below if down else emitter.shade.hidden_above
    return math.degrees(shielding_angle(hidden))


def deeper_shade(light: Light, emitter: Emitter, gamma: float) -> float | None:
    """How much deeper below the lamp the shade must reach to hide all of it along ``gamma`` [m]."""
    form, shade = light.distribution, emitter.shade
    if shade is None or not isinstance(form, Shade) or gamma >= shade.hidden_below:
        return None
    radius, lamp = form.bottom_diameter_m / 2, light.lamp.diameter_m / 2
    reach = form.lamp_above_m
    for extra in np.arange(_STEP_M, _DEEPEST_M + _STEP_M / 2, _STEP_M):
        edge = math.hypot(radius, reach + extra)
        hidden = math.atan2(radius, reach + extra) + math.asin(min(lamp / edge, 0.9))
        if hidden <= gamma:
            return round(float(extra), 3)
    return None
