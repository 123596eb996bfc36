"""What a light may become: its own kind with another lamp, a spot, a soft head, a metal shade."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Aim, Beam, Cosine, Lamp, Light, Shade, Strip

__all__ = ["FLUXES_LM", "WHITES_K", "Kind", "kinds_of", "lamp_of", "metre_fluxes", "strip_of"]

FLUXES_LM = (
    15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 110, 120, 135, 150, 175, 200,
    225, 250, 300, 350, 400, 470, 600, 806, 1055,
)  # fmt: skip
"""Lumens that lamps and small spots are sold with: common practice, no source."""

WHITES_K = (1800, 2200, 2700, 3000)
"""Whites that lamps for a bedroom are sold in: common practice, no source."""

BEAMS_DEG = (15, 20, 25, 30, 36, 45, 60)
"""Beam angles that spots are sold with: common practice, no source."""

SOFT_DEG = (80,)

_W_PER_LM = 1 / 85  # of an LED lamp where today's tells nothing: common practice, no source

_METRE_STEPS = (0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)

# What belonged to the old light is not known of another one.
_NEW_LIGHT = {
    "output_share": None,
    "maintenance_factor": None,
    "size_m": None,
    "body": None,
    "protection_class": "II",
    "made_for": "plug",
    "conversion": "none",
    "enclosure": None,
    "strain_relief": None,
    "max_lamp_w": None,
    "mass_kg": None,
    "price": None,
    "plug": None,
}
"""Another light is bought as it should be: with cord and plug by its maker, class II."""


@dataclass(frozen=True)
class Kind:
    """One kind of light: ``light`` as it would be written, with its lamp and place as today's.

    ``bought`` says that it is another light than today's.
    """

    name: str
    light: Light
    bought: bool


def kinds_of(scenario: Scenario, light: Light, reader: str | None) -> tuple[Kind, ...]:
    """Return today's kind first, then what else could hang there; a ceiling light keeps its kind.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> [kind.name for kind in kinds_of(plan, plan.lights[0], "left")][:3]
    ['as it is', 'the same shade in metal', 'spot of 15 degrees']
    """
    return tuple(_kinds(light, reader))


def _kinds(light: Light, reader: str | None) -> Iterator[Kind]:
    yield Kind("as it is", light, False)
    if light.mount == "ceiling":
        return
    form = light.distribution
    if isinstance(form, Shade) and not form.material.startswith("metal"):
        metal = form.model_copy(update={"material": "metal, white inside"})
        yield Kind("the same shade in metal", _other(light, distribution=metal), True)
    if reader is None:
        return
    aim = Aim(at=f"page:{reader}")
    for beam in BEAMS_DEG:
        spot = Beam(beam_deg=float(beam))
        if form == spot and light.aim == aim:
            continue
        yield Kind(f"spot of {beam} degrees", _other(light, distribution=spot, aim=aim), True)
    for beam in SOFT_DEG:
        soft = Cosine(beam_deg=float(beam))
        yield Kind(f"soft beam of {beam} degrees", _other(light, distribution=soft, aim=aim), True)


def _other(light: Light, **changes: object) -> Light:
    return light.model_copy(update={**_NEW_LIGHT, "lamps": 1, **changes})


def lamp_of(light: Light, flux_lm: float, cct_k: float) -> Lamp:
    """Return a lamp with other lumens: watts in proportion, as LED lamps of one make are."""
    lamp = light.lamp
    own = middle(lamp.flux_lm)
    if abs(flux_lm - own) < 1e-3 and cct_k == lamp.cct_k:
        return lamp
    each = middle(lamp.power_w) / own if own > 0.0 and middle(lamp.power_w) > 0.0 else _W_PER_LM
    watts = max(0.1, round(flux_lm * each, 1))
    return lamp.model_copy(update={"flux_lm": float(flux_lm), "power_w": watts, "cct_k": cct_k})


def metre_fluxes(strip: Strip) -> tuple[float, ...]:
    """Return lumens a metre that a strip of this kind may have, today's among them."""
    own = middle(strip.flux_lm_per_m)
    return tuple(own if step == 1.0 else _rounded(own * step) for step in _METRE_STEPS)


def _rounded(value: float) -> float:
    return float(f"{value:.2g}")


def strip_of(strip: Strip, flux_lm_per_m: float) -> Strip:
    """Return a strip with other lumens a metre, watts in proportion."""
    own = middle(strip.flux_lm_per_m)
    if flux_lm_per_m == own:
        return strip
    watts = round(middle(strip.power_w_per_m) * flux_lm_per_m / own, 1)
    return strip.model_copy(
        update={"flux_lm_per_m": flux_lm_per_m, "power_w_per_m": watts, "price": None}
    )
