"""Written lights and strips as sources with an intensity distribution, at full output."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lumen.errors import PhotometryError
from lumen.light.intensity import IntensityDistribution
from lumen.light.lm63 import Lm63File, read_lm63
from lumen.light.shade import ShadedLight, distribution_of_shade
from lumen.light.sources import PanelSource, PointSource, StripSource
from lumen.scenario.base import Amount, band, middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import (
    Beam,
    Cosine,
    DistributionFile,
    Light,
    Opal,
    Panel,
    Shade,
    Strip,
)
from lumen.scenario.outline import wall_normal
from lumen.scenario.pose import facing_of
from lumen.study.cache import current, fingerprint, light_content
from lumen.study.scene.surfaces import bed_wall
from lumen.study.scene.targets import Target

__all__ = [
    "COVER_SHARE",
    "Emitter",
    "emitter_of_light",
    "emitter_of_strip",
    "light_centre",
    "photometric_axes",
    "photometric_file",
    "printed",
]

Array = NDArray[np.float64]
Profile = tuple[Array, Array]

_PROFILE_STATIONS = 17  # even stations along a run; a sagging strip's profile is smooth

FLUX_TOLERANCE = 0.10  # printed lumens: give or take a tenth, common practice, no source

COVER_SHARE = {
    "none": (1.0, 0.0),
    "clear": (0.93, 0.03),
    "frosted": (0.80, 0.06),
    "opal": (0.65, 0.1),
}
"""Share of a strip's light that its cover lets out, and how unsure that is.

Clear 0.93 and opal 0.68 from one maker's page; frosted and the bands from memory.
"""


@dataclass(frozen=True, eq=False)
class Emitter:
    """A source at full output with what the study needs to know about it.

    ``flux_low`` and ``flux_high`` are shares of the reckoned flux; ``spread`` is the part of that
    doubt that is not the printed lumens' (shade, beam, cover). ``lamp_flux_lm`` is what is
    printed on the boxes of its lamps, or on the reel for the length of the strip. ``shade`` is
    there for lights whose shade was measured. ``written`` is what the person wrote of it, as far as
    it bears on maps of light. ``kept`` is the maintenance factor: the share of the
    new output that is left after years of use and dust; ``aged`` says that ``source`` and
    ``flux_lm`` are as they will be then.
    """

    id: str
    name: str
    source: PointSource | StripSource | PanelSource
    flux_lm: float
    flux_low: float
    flux_high: float
    cct_k: float
    lamp_flux_lm: float
    lamp_kind: str = "led"
    notes: tuple[str, ...] = ()
    shade: ShadedLight | None = None
    kept: float = 1.0
    aged: bool = False
    spread: float = 0.0
    written: str = ""

    @cached_property
    def content(self) -> str:
        """Name by content of all that its maps of light depend on."""
        return fingerprint(self.written, self.source)

    @cached_property
    def point(self) -> PointSource:
        """A light as it looks from afar: a panel is a disc of its own area and brightness."""
        if isinstance(self.source, PanelSource):
            c = self.source.corners
            across, back = (c[2] - c[1]) / 2, (c[1] - c[0]) / 2
            x, y = across / np.linalg.norm(across), back / np.linalg.norm(back)
            return PointSource(
                position=c.mean(axis=0),
                distribution=IntensityDistribution.lambertian(self.flux_lm),
                axes=np.array([x, y, -self.source.normal]),
                size_m=math.sqrt(4 * self.source.area_m2 / math.pi),
            )
        assert isinstance(self.source, PointSource)
        return self.source


def light_centre(scenario: Scenario, light: Light) -> Array:
    """Return where the light comes from (3,) [m]: off its mount, less the drop."""
    mount = np.array(light.mount_m, dtype=float)
    drop = np.array([0.0, 0.0, light.drop_m])
    return np.asarray(mount + light.projection_m * _off_mount(scenario, light) - drop)


def _off_mount(scenario: Scenario, light: Light) -> Array:
    if light.mount == "ceiling":
        return np.array([0.0, 0.0, -1.0])
    if light.mount == "stand":
        return np.array([0.0, 0.0, 1.0])
    return np.array([*_inward(scenario, light), 0.0])


def _inward(scenario: Scenario, light: Light) -> tuple[float, float]:
    wall = bed_wall(scenario.room) if light.wall is None else light.wall
    return wall_normal(scenario.room.outline_m, wall)


def photometric_axes(scenario: Scenario, light: Light, targets: Mapping[str, Target]) -> Array:
    """Return the light's own axes (3, 3) in the room: gamma 0 along the aim, C 90 into the room."""
    inward = np.array([*_inward(scenario, light), 0.0])
    turn = math.radians(light.aim.turn_deg)
    ahead = np.array(
        [
            inward[0] * math.cos(turn) - inward[1] * math.sin(turn),
            inward[0] * math.sin(turn) + inward[1] * math.cos(turn),
            0.0,
        ]
    )
    down = np.array([0.0, 0.0, -1.0])
    target = targets.get(light.aim.at or "")
    if target is not None:
        aim = target.points.mean(axis=0) - light_centre(scenario, light)
        aim = aim / np.linalg.norm(aim)
        level = np.array([aim[0], aim[1], 0.0])
        if np.linalg.norm(level) > 1e-9:
            ahead = level / np.linalg.norm(level)
    else:
        tilt = math.radians(light.aim.tilt_deg)
        aim = math.sin(tilt) * ahead + math.cos(tilt) * down
    across = np.cross(ahead, -down)
    return np.array([across, np.cross(-aim, across), -aim])


def emitter_of_light(scenario: Scenario, light: Light, targets: Mapping[str, Target]) -> Emitter:
    """Return a written light as a source at full output.

    Raises
    ------
    PhotometryError
        When its photometric file cannot be read; the sentence names the light.
    """
    lamp_flux = middle(light.lamp.flux_lm) * light.lamps
    low, high = printed(light.lamp.flux_lm)
    shade = _shade(light, lamp_flux)
    try:
        distribution, size, spread, notes = _distribution(light, lamp_flux, shade)
    except PhotometryError as error:
        raise PhotometryError(f"{light.id}: {error.field}", error.rule, error.value) from error
    kept, aged = _kept(scenario, light), scenario.ageing.counted
    share = (1.0 if light.output_share is None else light.output_share) * (kept if aged else 1.0)
    if share != 1.0:
        distribution = distribution.scaled_to(distribution.flux_lm * share)
    centre, axes = light_centre(scenario, light), photometric_axes(scenario, light, targets)
    form = light.distribution
    return Emitter(
        id=light.id,
        name=light.name or light.id,
        source=_panel(form, centre, axes, distribution.flux_lm)
        if isinstance(form, Panel)
        else PointSource(
            position=centre,
            distribution=distribution,
            axes=axes,
            size_m=size if light.size_m is None else light.size_m,
        ),
        flux_lm=distribution.flux_lm,
        flux_low=1 - math.hypot(1 - low, spread),
        flux_high=1 + math.hypot(high - 1, spread),
        cct_k=light.lamp.cct_k,
        lamp_flux_lm=lamp_flux,
        lamp_kind=light.lamp.kind,
        notes=notes,
        shade=shade,
        kept=kept,
        aged=aged,
        spread=spread,
        written=light_content(light),
    )


def printed(flux: Amount) -> tuple[float, float]:
    """Low and high of printed lumens as shares of their middle; a dark light is surely dark."""
    mid = middle(flux)
    if mid == 0.0:
        return 1.0, 1.0
    low, high = band(flux, FLUX_TOLERANCE)
    return low / mid, high / mid


def _panel(form: Panel, centre: Array, axes: Array, flux_lm: float) -> PanelSource:
    """A panel's lit side looks along its aim; its length runs along the light's own y."""
    x, y = form.width_m / 2 * axes[0], form.length_m / 2 * axes[1]
    corners = np.array([centre - x - y, centre - x + y, centre + x + y, centre + x - y])
    return PanelSource(corners, flux_lm)


def _kept(scenario: Scenario, item: Light | Strip) -> float:
    """Maintenance factor of a light or strip: its own, else the plan's for its kind."""
    if item.maintenance_factor is not None:
        return item.maintenance_factor
    dusty = (
        isinstance(item, Strip)
        or isinstance(item.distribution, Shade)
        or (item.aim.at is None and item.aim.tilt_deg > 90.0)
    )
    ageing = scenario.ageing
    return ageing.dusty_maintenance_factor if dusty else ageing.maintenance_factor


def _shade(light: Light, flux_lm: float) -> ShadedLight | None:
    form = light.distribution
    if not isinstance(form, Shade):
        return None
    lamp_diameter_m = light.lamp.diameter_m

    def made() -> ShadedLight:
        return distribution_of_shade(
            flux_lm,
            shape=form.shape,
            bottom_diameter_m=form.bottom_diameter_m,
            top_diameter_m=form.top_diameter_m,
            height_m=form.height_m,
            lamp_height_m=form.lamp_height_m,
            material=form.material,
            open_top=form.open_top,
            open_bottom=form.open_bottom,
            lamp_diameter_m=lamp_diameter_m,
        )

    return current().get(
        "shaded light", made, shade=form, lamp_diameter_m=lamp_diameter_m, flux_lm=flux_lm
    )


def photometric_file(form: DistributionFile) -> Lm63File:
    """Return what a light's photometric file says, from what is kept or read anew.

    Raises
    ------
    PhotometryError
        When it cannot be read.
    """
    return current().get("photometric file", lambda: read_lm63(form.lm63), text=form.lm63)


def _distribution(
    light: Light, flux_lm: float, shade: ShadedLight | None
) -> tuple[IntensityDistribution, float, float, tuple[str, ...]]:
    """Distribution, luminous size [m], further share of doubt, notes."""
    form, lamp = light.distribution, light.lamp.diameter_m
    if isinstance(form, Opal | Panel):
        return IntensityDistribution.lambertian(flux_lm), lamp, 0.0, ()
    if isinstance(form, Cosine):
        return IntensityDistribution.cosine_power(flux_lm, form.beam_deg), lamp, 0.05, ()
    if isinstance(form, Beam):
        beam = IntensityDistribution.beam(flux_lm, form.beam_deg, form.field_deg)
        return beam, lamp, 0.1, ()
    if isinstance(form, Shade) and shade is not None:
        return shade.distribution, form.bottom_diameter_m, shade.spread, shade.notes
    if isinstance(form, DistributionFile):
        file = photometric_file(form)
        distribution = file.distribution
        if file.lamp_flux_lm:
            distribution = distribution.scaled_to(
                distribution.flux_lm * flux_lm / file.lamp_flux_lm
            )
        return distribution, file.luminous_size_m, 0.0, file.corrections
    return IntensityDistribution.isotropic(flux_lm), lamp, 0.0, ()


def _square_to(path: Array, facing: Array) -> Array:
    """Return the way each run of tape faces (runs, 3): tape lies square to its own run."""
    run = np.diff(path, axis=0)
    run /= np.linalg.norm(run, axis=1)[:, None]
    square = facing - (run @ facing)[:, None] * run
    return np.asarray(square / np.linalg.norm(square, axis=1)[:, None])


def emitter_of_strip(scenario: Scenario, strip: Strip, profile: Profile | None) -> Emitter:
    """Return a written strip as a diffuse line, with its brightness along the run.

    ``profile`` is (stations 0 to 1, relative flux) from the power half; None means even.
    """
    path = np.array(strip.path_m, dtype=float)
    normal = _square_to(path, np.array(facing_of(scenario.room, strip.facing)))
    share, doubt = COVER_SHARE[strip.cover]
    kept, aged = _kept(scenario, strip), scenario.ageing.counted
    per_metre = middle(strip.flux_lm_per_m) * share * (kept if aged else 1.0)
    low, high = printed(strip.flux_lm_per_m)
    if profile is None:
        relative = np.ones(2)
    else:
        relative = np.interp(np.linspace(0.0, 1.0, _PROFILE_STATIONS), *profile)
    source = StripSource(
        path=path,
        facing=normal,
        flux_per_length=per_metre * relative,
        width_m=strip.width_m,
    )
    return Emitter(
        id=strip.id,
        name=strip.name or strip.id,
        source=source,
        flux_lm=source.flux_lm,
        flux_low=1 - math.hypot(1 - low, doubt),
        flux_high=1 + math.hypot(high - 1, doubt),
        cct_k=strip.cct_k,
        lamp_flux_lm=middle(strip.flux_lm_per_m) * source.length_m,
        kept=kept,
        aged=aged,
        spread=doubt,
        written=light_content(strip),
    )
