"""Lights, lamps and LED strips as the person wrote them down."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import (
    LENGTH,
    MASS,
    SHARE,
    Amount,
    Fraction,
    Id,
    ItsName,
    Length,
    Part,
    Point3,
    Positive,
    Price,
    Shown,
    assumed,
)
from lumen.scenario.lights.cord import (
    CORD,
    FEEDERS,
    LABEL,
    LIGHT_FEEDS,
    PLUGGED,
    Cord,
    PlugFuse,
    PlugKind,
    PowerFactor,
    ProtectionClass,
)
from lumen.scenario.lights.lamp import (
    QUALITY,
    R9,
    Cct,
    Dimmer,
    Dims,
    Lamp,
    LowestLevel,
    PstLM,
    Ra,
    Svm,
)
from lumen.scenario.lights.spread import (
    AllRound,
    Beam,
    Cosine,
    Distribution,
    DistributionFile,
    Opal,
    Panel,
    Shade,
)
from lumen.scenario.places import PATH, POINT, POSE, TURN, WAY
from lumen.scenario.references import Ref, TargetRef
from lumen.scenario.room import WALL

__all__ = [
    "FEEDERS",
    "PLUGGED",
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
    "LowestLevel",
    "Opal",
    "Panel",
    "PlugFuse",
    "PlugKind",
    "PowerFactor",
    "ProtectionClass",
    "Shade",
    "Strip",
]

BoxSays = Annotated[str, Field(max_length=4000)] | None
"""The text of its box or of a shop's page, as it was pasted; :mod:`lumen.scenario.box` reads it."""

_BUILT = "How it is built"
_YEARS = "Years and dust"
_FINELY = "Place, finely"
_TAPE = "The tape"

Kept = Annotated[float, Field(ge=0.1, le=1.0, allow_inf_nan=False)]


OwnMaintenance = Annotated[
    Kept | None,
    Shown(
        "Share of its light left after years and dust",
        "Its own maintenance factor; left open, the plan's goes for it.",
        SHARE,
        group=_YEARS,
    ),
]


class Ageing(Part):
    """What is left of a light's output after years of use and dust: the maintenance factor.

    ``maintenance_factor`` goes for lamps, spots and panels, ``dusty_maintenance_factor`` for fabric
    shades, light thrown up and strips; a light or strip with one of its own keeps that. Numbers are
    for new lamps in a freshly done room, and only the low end of a band is after these years,
    unless ``counted`` says to reckon every number as it will be then.
    """

    maintenance_factor: Annotated[
        Kept,
        Shown(
            "Left of lamps, spots and panels (maintenance factor)",
            "The share of its new light that a lamp still gives after years of use and dust.",
            SHARE,
        ),
    ] = assumed(
        0.80, "0.80 left of lamps, spots and panels after years: common practice, from memory"
    )
    dusty_maintenance_factor: Annotated[
        Kept,
        Shown(
            "Left of fabric shades, light thrown up, strips",
            "Cloth, and whatever looks up, gathers more dust and keeps less of its light.",
            SHARE,
        ),
    ] = assumed(
        0.70, "0.70 left of fabric shades, light thrown up and strips: common practice, from memory"
    )
    counted: Annotated[
        bool,
        Shown(
            "Reckon every number as after these years",
            "Otherwise numbers are for new lamps, and only the low end of a band is after years.",
        ),
    ] = False


class Aim(Part):
    """Where the light's axis points: at a target, or by tilt and turn.

    ``tilt_deg`` 0 is straight down, 90 level, 180 straight up; ``turn_deg`` turns the level part
    counter-clockwise seen from above, 0 = into the room (away from the bed wall).
    """

    at: Annotated[
        str | None,
        TargetRef(),
        Shown("Aimed at", "It then looks there wherever it hangs; tilt and turn are not needed."),
    ] = None
    tilt_deg: Annotated[
        float,
        Field(ge=0.0, le=180.0),
        POSE,
        Shown("Tilt", "0 looks straight down, 90 level, 180 straight up.", "°"),
    ] = 0.0
    turn_deg: Annotated[
        float,
        Field(ge=-360.0, le=360.0),
        TURN,
        Shown("Turned by", "0 looks into the room; counter-clockwise seen from above.", "°"),
    ] = 0.0


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
            "box_says",
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
    name: ItsName = None
    mount: Annotated[
        Literal["wall", "headboard", "ceiling", "stand"],
        POSE,
        Shown(
            "Hangs on",
            "A light on a headboard goes where the board goes; one on a stand stands on something.",
            first=True,
            words={
                "wall": "a wall",
                "headboard": "the headboard",
                "ceiling": "the ceiling",
                "stand": "nothing: it stands",
            },
        ),
    ] = "wall"
    mount_m: Annotated[
        Point3,
        POINT,
        Shown(
            "Fixed at",
            "Where it is held: the middle of its plate, or the foot of one that stands.",
            LENGTH,
            first=True,
            short=("", "", "Height"),
        ),
    ]
    wall: Annotated[
        int | None,
        WALL,
        Shown("On which wall", "Left open, it is the wall that it hangs at.", group=_FINELY),
    ] = None
    projection_m: Annotated[
        float,
        Field(ge=0.0, le=3.0),
        POSE,
        Shown(
            "Stands off by",
            "From the wall, ceiling or stand to the middle of what glows.",
            LENGTH,
            group=_FINELY,
        ),
    ] = assumed(0.12, "light centre 12 cm off its mount")
    drop_m: Annotated[
        Length,
        POSE,
        Shown(
            "Hangs lower by",
            "How far below its fixing the middle of what glows is.",
            LENGTH,
            group=_FINELY,
        ),
    ] = 0.0
    aim: Annotated[Aim, Shown("Direction", "Where a spot or shade looks.")] = Aim()
    distribution: Annotated[
        Distribution,
        Shown("Spread of light", "Bare, through a shade, as a spot, or from a file."),
    ] = assumed(AllRound(), "light even in all directions")
    lamp: Annotated[Lamp, Shown("Bulb", "One bulb or LED module, as its box has it.")]
    lamps: Annotated[
        Annotated[int, Field(ge=1, le=24)],
        Shown("Number of bulbs", "How many such bulbs are in it.", group="Bulb"),
    ] = 1
    output_share: Annotated[
        Fraction | None,
        Shown(
            "Share of the bulb's light that leaves it",
            "From a data sheet (light output ratio); left open, the shade's measures tell.",
            SHARE,
            group="Shade and beam",
        ),
    ] = None
    maintenance_factor: OwnMaintenance = None
    size_m: Annotated[
        Annotated[float, Field(ge=0.0, le=2.0)] | None,
        Shown(
            "Width of what glows",
            "Across what one sees glow, for how harsh it is to look at.",
            LENGTH,
            group="Shade and beam",
        ),
    ] = None
    dims: Dims = assumed(True, "it can be dimmed")
    dimmer: Dimmer = None
    lowest_level: LowestLevel = None
    fed_from: Annotated[Id | None, LIGHT_FEEDS, PLUGGED] = None
    body: Annotated[
        Literal["metal", "plastic", "wood", "glass", "fabric", "ceramic"] | None,
        Shown(
            "Made of", "Its body, not its shade: metal that one can touch matters.", group=_BUILT
        ),
    ] = None
    protection_class: ProtectionClass = None
    made_for: Annotated[
        Literal["plug", "fixed wiring"] | None,
        Shown(
            "Made for",
            "A light for fixed wiring has terminals and no plug of its own.",
            group=LABEL,
            words={"plug": "a plug"},
        ),
    ] = None
    conversion: Annotated[
        Literal["none", "maker's kit", "by a professional", "own"],
        Shown(
            "Changed over by",
            "Who gives a light that is made for fixed wiring its cord and plug.",
            group=CORD,
            words={"none": "nobody", "own": "yourself"},
        ),
    ] = "none"
    enclosure: Annotated[
        bool | None,
        Shown("Wiring closed in", "Every joint sits in a closed box or housing.", group=_BUILT),
    ] = None
    strain_relief: Annotated[
        bool | None,
        Shown(
            "Cord held against pulling",
            "A pull on the cord does not reach its joints.",
            group=_BUILT,
        ),
    ] = None
    fixing: Annotated[
        Literal["screws", "adhesive"] | None,
        Shown("Held by", "What holds it to the wall: screws, where it is left open.", group=_BUILT),
    ] = None
    max_lamp_w: Annotated[
        Positive | None,
        Shown("Largest bulb it takes", "Watts printed beside its socket.", "W", group=LABEL),
    ] = None
    to_fabric_m: Annotated[
        Annotated[float, Field(ge=0.0)] | None,
        Shown(
            "Gap to curtain or bedding",
            "The nearest cloth, as it hangs or lies.",
            LENGTH,
            group=_BUILT,
        ),
    ] = None
    inline_switch: Annotated[
        bool, Shown("Switch in the cord", "A switch one can reach along its cord.", group=CORD)
    ] = False
    cord: Annotated[Cord | None, Shown("Cord", "From its plug to the light itself.")] = None
    plug_fuse_a: PlugFuse = None
    plug: PlugKind = None
    mass_kg: Annotated[
        Positive | None, Shown("Weight", "What its fixing must hold.", MASS, group=_BUILT)
    ] = None
    price: Price = None
    box_says: BoxSays = None


class Strip(Part):
    """An LED strip along a path; it lights the way it faces, as a flat diffuse band.

    ``dims``, ``dimmer`` and ``lowest_level`` are those of :class:`Light`, ``ra`` to ``svm`` those
    of :class:`Lamp`. What feeds the strip and what it draws decide how bright its far end is.
    """

    NO_LIGHT = frozenset({"name", "cut_m", "price", "box_says", *QUALITY})
    AFTER_MAPS = frozenset({"cct_k", "leds_per_m", "dims", "dimmer", "lowest_level"})

    id: Id
    name: ItsName = None
    path_m: Annotated[
        tuple[Point3, ...],
        Field(min_length=2, max_length=40),
        PATH,
        Shown("Path of the strip", "Where the tape begins, bends and ends.", LENGTH),
    ]
    facing: Annotated[
        Literal["bed wall", "room", "up", "down", "left", "right"] | Point3,
        WAY,
        Shown(
            "Shines toward",
            "The way that its LEDs look.",
            first=True,
            words={"bed wall": "the bed wall", "room": "the room"},
        ),
    ] = "bed wall"
    flux_lm_per_m: Annotated[
        Amount,
        Shown(
            "Light of the tape",
            "Lumens of a metre, on its reel or data sheet.",
            "lm/m",
            first=True,
            short="lm a metre",
        ),
    ]
    power_w_per_m: Annotated[
        Amount,
        Shown(
            "Watts of the tape",
            "Watts of a metre, on its reel or data sheet.",
            "W/m",
            first=True,
            short="W a metre",
        ),
    ]
    volts: Annotated[
        Literal[5, 12, 24, 48],
        Shown("Volts of the tape", "Printed on it; its driver must give the same.", first=True),
    ] = 24
    cct_k: Cct = assumed(2700.0, "warm white, 2700 K")
    leds_per_m: Annotated[
        float,
        Field(gt=0.0, le=2000.0),
        Shown("LEDs per metre", "Many LEDs make a line, few make dots.", "/m", group=_TAPE),
    ] = assumed(120.0, "120 LEDs a metre")
    cut_m: Annotated[
        Positive,
        Shown("Cut mark every", "From one mark with scissors to the next.", LENGTH, group=_TAPE),
    ] = assumed(0.05, "cut mark every 50 mm")
    width_m: Annotated[
        Positive,
        Shown("Width of the tape", "For the profile that it lies in.", LENGTH, group=_TAPE),
    ] = assumed(0.010, "tape 10 mm wide")
    cover: Annotated[
        Literal["none", "clear", "frosted", "opal"],
        Shown(
            "Cover",
            "What lies over the LEDs; opal hides the dots best and takes most light.",
            group=_TAPE,
        ),
    ] = "none"
    maintenance_factor: OwnMaintenance = None
    feed: Annotated[
        Literal["start", "end", "both", "middle"],
        Shown(
            "Fed at",
            "Where its driver is joined on; from both ends a long tape stays even.",
            group=_TAPE,
            words={
                "start": "its start",
                "end": "its end",
                "both": "both ends",
                "middle": "its middle",
            },
        ),
    ] = "start"
    current: Annotated[
        Literal["resistor", "regulated"],
        Shown(
            "Current set by",
            "Ordinary tape has resistors; tape with regulators stays even along its length.",
            group=_TAPE,
            words={"resistor": "resistors", "regulated": "regulators"},
        ),
    ] = assumed("resistor", "ordinary tape with resistors")
    loop_ohm_per_m: Annotated[
        Positive,
        Shown(
            "Resistance of the tape",
            "Of a metre there and back, if the data sheet says.",
            "Ω/m",
            group=_TAPE,
        ),
    ] = assumed(0.2, "35 um copper, both rails")
    feed_cord: Annotated[
        Cord | None, Shown("Cord from driver to strip", "The wire between the two.")
    ] = None
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
        PLUGGED,
    ] = None
    dims: Dims = assumed(True, "it can be dimmed")
    dimmer: Dimmer = None
    lowest_level: LowestLevel = None
    ra: Ra = None
    r9: R9 = None
    pst_lm: PstLM = None
    svm: Svm = None
    price: Annotated[
        Amount | None,
        Shown(
            "Price",
            "What the whole tape costs in your own money; the sheet adds it up.",
            group="Buying",
            short="Price",
        ),
    ] = None
    box_says: BoxSays = None
