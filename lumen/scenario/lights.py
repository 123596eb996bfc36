"""Lights, lamps and LED strips as the person wrote them down."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import Amount, Fraction, Id, Length, Name, Part, Point3, Positive, assumed
from lumen.scenario.references import Ref, TargetRef
from lumen.scenario.room import WALL
from lumen.tables import usual_shape

__all__ = [
    "FEEDERS",
    "Ageing",
    "Aim",
    "AllRound",
    "Beam",
    "Cord",
    "Cosine",
    "Distribution",
    "DistributionFile",
    "Lamp",
    "Light",
    "Opal",
    "Panel",
    "Shade",
    "Strip",
]

Angle = Annotated[float, Field(gt=0.0, lt=180.0)]


Kept = Annotated[float, Field(ge=0.1, le=1.0, allow_inf_nan=False)]


class Ageing(Part):
    """What is left of a light's output after years of use and dust: the maintenance factor.

    ``maintenance_factor`` goes for lamps, spots and panels, ``dusty_maintenance_factor`` for fabric
    shades, light thrown up and strips; a light or strip with one of its own keeps that. Numbers are
    for new lamps in a freshly done room, and only the low end of a band is after these years,
    unless ``counted`` says to reckon every number as it will be then.
    """

    maintenance_factor: Kept = assumed(
        0.80, "0.80 left of lamps, spots and panels after years: common practice, from memory"
    )
    dusty_maintenance_factor: Kept = assumed(
        0.70, "0.70 left of fabric shades, light thrown up and strips: common practice, from memory"
    )
    counted: bool = False


class AllRound(Part):
    """Even in all directions: a bare or fully diffusing lamp."""

    form: Literal["all round"] = "all round"


class Opal(Part):
    """A small glowing disc or dome facing one way: intensity falls with the cosine."""

    form: Literal["opal"] = "opal"


class Cosine(Part):
    """A soft beam: a power of the cosine that is half its peak at half the beam angle."""

    form: Literal["cosine"] = "cosine"
    beam_deg: Angle


class Beam(Part):
    """A spot given by beam angle (half of peak) and field angle (a tenth of peak)."""

    form: Literal["beam"] = "beam"
    beam_deg: Angle
    field_deg: Angle | None = None


class Shade(Part):
    """A shade from tape-measure numbers; the lamp stands ``lamp_height_m`` above its lower edge."""

    form: Literal["shade"] = "shade"
    shape: Literal["drum", "cone", "globe", "cylinder", "head"] = "drum"
    bottom_diameter_m: Positive
    top_diameter_m: Positive | None = None
    height_m: Positive
    lamp_height_m: Annotated[float, Field(ge=0.0)] | None = None
    material: str = assumed("fabric, light", "light fabric shade")
    open_top: bool = True
    open_bottom: bool = True

    @property
    def upper_m(self) -> float:
        """The upper diameter [m], the usual one where none is written (table ``usual_shapes``)."""
        if self.top_diameter_m is not None:
            return self.top_diameter_m
        return usual_shape(f"{self.shape} top over bottom") * self.bottom_diameter_m

    @property
    def lamp_above_m(self) -> float:
        """The lamp's middle above the lower edge [m], half-way up where none is written."""
        if self.lamp_height_m is not None:
            return self.lamp_height_m
        return usual_shape("lamp over shade height") * self.height_m


class Panel(Part):
    """A flat rectangle that glows evenly on one side, such as a ceiling panel.

    ``width_m`` runs across the light's aim, ``length_m`` the way it is turned (into the room, for a
    light that looks straight down and is not turned).
    """

    form: Literal["panel"] = "panel"
    width_m: Annotated[float, Field(ge=0.02, le=3.0)]
    length_m: Annotated[float, Field(ge=0.02, le=3.0)]


class DistributionFile(Part):
    """A photometric file of ANSI/IES LM-63, kept whole inside the document."""

    NO_LIGHT = frozenset({"file_name"})

    form: Literal["file"] = "file"
    lm63: Annotated[str, Field(min_length=20, max_length=400_000)]
    file_name: Name | None = None


Distribution = Annotated[
    AllRound | Opal | Cosine | Beam | Shade | Panel | DistributionFile,
    Field(discriminator="form"),
]


class Lamp(Part):
    """The bulb or LED module: flux, watts and white as printed on its box.

    ``lowest_level`` is the lowest share of its light that it dims to.
    """

    NO_LIGHT = frozenset({"power_w", "standby_w", "power_factor"})
    AFTER_MAPS = frozenset({"cct_k", "kind", "lowest_level"})

    flux_lm: Amount
    power_w: Amount
    cct_k: Annotated[float, Field(ge=1000.0, le=20000.0)] = assumed(2700.0, "warm white, 2700 K")
    kind: Literal["led", "halogen", "incandescent", "fluorescent"] = "led"
    diameter_m: Positive = assumed(0.060, "bulb about 60 mm across")
    standby_w: Annotated[float, Field(ge=0.0)] = 0.0
    power_factor: Annotated[float, Field(gt=0.0, le=1.0)] | None = None
    lowest_level: Fraction | None = None


class Cord(Part):
    """A flexible cord: cores, conductor size and length."""

    cores: Literal[2, 3] | None = None
    awg: Annotated[int, Field(ge=8, le=24)] | None = None
    area_mm2: Positive | None = None
    length_m: Positive | None = None
    rating_a: Positive | None = None
    marked: bool | None = None
    coiled: bool = False
    route: tuple[
        Literal[
            "open",
            "under rug",
            "under furniture",
            "through wall",
            "through door",
            "stapled",
            "concealed",
            "in groove",
        ],
        ...,
    ] = ()


class Aim(Part):
    """Where the light's axis points: at a target, or by tilt and turn.

    ``tilt_deg`` 0 is straight down, 90 level, 180 straight up; ``turn_deg`` turns the level part
    counter-clockwise seen from above, 0 = into the room (away from the bed wall).
    """

    at: Annotated[str | None, TargetRef()] = None
    tilt_deg: Annotated[float, Field(ge=0.0, le=180.0)] = 0.0
    turn_deg: Annotated[float, Field(ge=-360.0, le=360.0)] = 0.0


FEEDERS = ("outlet", "power strip", "extension", "adapter", "receiver", "driver")
"""What something can be plugged into or is fed by."""

_FEEDS = Ref(
    ("supply",),
    "a supply node",
    kinds=("circuit", *FEEDERS),
    wrong="must not be an appliance",
    gone="passes on",
    heirs=FEEDERS,
)


class Light(Part):
    """A light with one lamp (or several alike), fixed at ``mount_m`` on a wall, ceiling or stand.

    The light's centre stands off the mount by ``projection_m`` along the wall's inward normal
    (straight down from a ceiling, straight up from a stand) and hangs ``drop_m`` lower.

    ``dims`` says whether its lamp can be dimmed at all, ``dimmer`` whether it has a dimmer of its
    own (on it, in its cord, on the wall, in its remote), and ``lowest_level`` how low that goes.
    ``fixing`` says what holds it to a wall: screws where it is left out.
    """

    NO_LIGHT = frozenset(
        {
            "name",
            "body",
            "protection_class",
            "made_for",
            "conversion",
            "enclosure",
            "strain_relief",
            "fixing",
            "max_lamp_w",
            "to_fabric_m",
            "inline_switch",
            "cord",
            "plug_fuse_a",
            "plug",
            "mass_kg",
            "price",
        }
    )
    AFTER_MAPS = frozenset({"dims", "dimmer", "lowest_level", "fed_from"})

    id: Id
    name: Name | None = None
    mount: Literal["wall", "headboard", "ceiling", "stand"] = "wall"
    mount_m: Point3
    wall: Annotated[int | None, WALL] = None
    projection_m: Annotated[float, Field(ge=0.0, le=3.0)] = assumed(
        0.12, "light centre 12 cm off its mount"
    )
    drop_m: Length = 0.0
    aim: Aim = Aim()
    distribution: Distribution = assumed(AllRound(), "light even in all directions")
    lamp: Lamp
    lamps: Annotated[int, Field(ge=1, le=24)] = 1
    output_share: Fraction | None = None
    maintenance_factor: Kept | None = None
    size_m: Annotated[float, Field(ge=0.0, le=2.0)] | None = None
    dims: bool = assumed(True, "it can be dimmed")
    dimmer: bool | None = None
    lowest_level: Fraction | None = None
    fed_from: Annotated[Id | None, _FEEDS] = None
    body: Literal["metal", "plastic", "wood", "glass", "fabric", "ceramic"] | None = None
    protection_class: Literal["I", "II", "III"] | None = None
    made_for: Literal["plug", "fixed wiring"] | None = None
    conversion: Literal["none", "maker's kit", "by a professional", "own"] = "none"
    enclosure: bool | None = None
    strain_relief: bool | None = None
    fixing: Literal["screws", "adhesive"] | None = None
    max_lamp_w: Positive | None = None
    to_fabric_m: Annotated[float, Field(ge=0.0)] | None = None
    inline_switch: bool = False
    cord: Cord | None = None
    plug_fuse_a: Positive | None = None
    plug: Literal["earthed", "two-pin polarised", "two-pin"] | None = None
    mass_kg: Positive | None = None
    price: Amount | None = None


class Strip(Part):
    """An LED strip along a path; it lights the way it faces, as a flat diffuse band.

    ``dims``, ``dimmer`` and ``lowest_level`` are those of :class:`Light`. What feeds the strip and
    what it draws decide how bright its far end is.
    """

    NO_LIGHT = frozenset({"name", "cut_m", "price"})
    AFTER_MAPS = frozenset({"cct_k", "leds_per_m", "dims", "dimmer", "lowest_level"})

    id: Id
    name: Name | None = None
    path_m: Annotated[tuple[Point3, ...], Field(min_length=2, max_length=40)]
    facing: Literal["bed wall", "room", "up", "down", "left", "right"] | Point3 = "bed wall"
    flux_lm_per_m: Amount
    power_w_per_m: Amount
    volts: Literal[5, 12, 24, 48] = 24
    cct_k: Annotated[float, Field(ge=1000.0, le=20000.0)] = assumed(2700.0, "warm white, 2700 K")
    leds_per_m: Annotated[float, Field(gt=0.0, le=2000.0)] = assumed(120.0, "120 LEDs a metre")
    cut_m: Positive = assumed(0.05, "cut mark every 50 mm")
    width_m: Positive = assumed(0.010, "tape 10 mm wide")
    cover: Literal["none", "clear", "frosted", "opal"] = "none"
    maintenance_factor: Kept | None = None
    feed: Literal["start", "end", "both", "middle"] = "start"
    current: Literal["resistor", "regulated"] = assumed("resistor", "ordinary tape with resistors")
    loop_ohm_per_m: Positive = assumed(0.2, "35 um copper, both rails")
    feed_cord: Cord | None = None
    fed_from: Annotated[
        Id | None,
        Ref(
            ("supply",),
            "a driver",
            kinds=("driver",),
            wrong="must be a driver",
            gone="passes on",
            heirs=("driver",),
        ),
    ] = None
    dims: bool = assumed(True, "it can be dimmed")
    dimmer: bool | None = None
    lowest_level: Fraction | None = None
    price: Amount | None = None
