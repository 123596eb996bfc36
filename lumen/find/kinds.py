"""What a light may become: its own kind with another lamp, a spot, a soft head, a metal shade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from lumen.find.lamps import Sold, beams_sold, lamp_of, own_lamp, sold_lamps
from lumen.scenario.lights import Aim, Beam, Cosine, Light, Panel, Shade
from lumen.study.scene.targets import page_id

__all__ = ["Kind", "kinds_of"]

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
    "dims": True,
    "dimmer": None,
    "lowest_level": None,
}
"""Another light is bought as it should be: with cord and plug by its maker, class II."""


_STRONGEST_LM = 806.0  # of a bulb beside a bed, unless today's is stronger: ours


@dataclass(frozen=True)
class Kind:
    """One kind of light: ``light`` as it would be written, with its lamp and place as today's.

    ``bought`` says that it is another light than today's: one with a dimmer of its own, where
    levels ask for it. ``lamps`` are those that may go into it, the light's own first where it fits.
    """

    name: str
    light: Light
    bought: bool
    lamps: tuple[Sold, ...]

    def with_lamp(self, light: Light, sold: Sold, cct_k: float) -> Light:
        """Return a light of this kind with a sold lamp in it."""
        return light.model_copy(update={"lamp": lamp_of(light, sold, cct_k)})


def kinds_of(
    light: Light, reader: str | None, lowest_level: float, owned: Sequence[Sold] = ()
) -> tuple[Kind, ...]:
    """Return today's kind first, then what else could hang there; a ceiling light keeps its kind.

    ``lowest_level`` is what the light dims to today, 1 for what is on or off; ``owned`` are bulbs
    that are there already.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> [kind.name for kind in kinds_of(plan.lights[0], "left", 1.0)][:3]
    ['as it is', 'the same shade in metal', 'reading spot of 15 degrees']
    """
    return tuple(_kinds(light, reader, lowest_level, owned))


def _kinds(
    light: Light, reader: str | None, lowest_level: float, owned: Sequence[Sold]
) -> Iterator[Kind]:
    own = own_lamp(light, lowest_level)
    most = max(_STRONGEST_LM, own.flux_lm)
    sold_bulbs = tuple(sold for sold in sold_lamps("bulb") if sold.flux_lm <= most)
    if light.mount == "ceiling":
        sold_bulbs = sold_lamps("bulb")
    sold_bulbs = (*owned, *sold_bulbs)
    bulbs = tuple(replace(sold, lowest_level=lowest_level) for sold in sold_bulbs)
    holds = not isinstance(light.distribution, Beam | Cosine | Panel)
    yield Kind("as it is", light, False, (own, *(bulbs if holds else ())))
    if light.mount == "ceiling":
        return
    form = light.distribution
    if isinstance(form, Shade) and not form.material.startswith("metal"):
        metal = form.model_copy(update={"material": "metal, white inside"})
        lamps = (replace(own, lowest_level=sold_bulbs[-1].lowest_level), *sold_bulbs)
        yield Kind("the same shade in metal", _other(light, distribution=metal), True, lamps)
    if reader is None:
        return
    aim = Aim(at=page_id(reader))
    for head, made in (("reading spot", Beam), ("spot lamp", Beam), ("soft head", Cosine)):
        lamps = sold_lamps(head)
        for beam in beams_sold(head):
            bare = _other(light, distribution=made(beam_deg=beam), aim=aim)
            first = bare.model_copy(update={"lamp": lamp_of(bare, lamps[0], lamps[0].whites_k[0])})
            yield Kind(f"{head} of {beam:g} degrees", first, True, lamps)


def _other(light: Light, **changes: object) -> Light:
    return light.model_copy(update={**_NEW_LIGHT, "lamps": 1, **changes})
