"""The supply tree as written: circuit > outlet > power strip, receiver, driver > what draws."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import (
    CLOCK,
    LENGTH,
    SHARE,
    SIZE,
    Amount,
    Fraction,
    Id,
    ItsName,
    Part,
    Point3,
    Positive,
    Price,
    Rows,
    Shown,
    assumed,
)
from lumen.scenario.lights import (
    FEEDERS,
    PLUGGED,
    Cord,
    LowestLevel,
    PlugFuse,
    PlugKind,
    PowerFactor,
    ProtectionClass,
)
from lumen.scenario.places import POINT
from lumen.scenario.references import Ref
from lumen.scenario.room import WALL

__all__ = [
    "Adapter",
    "Appliance",
    "Circuit",
    "Driver",
    "Extension",
    "Outlet",
    "PowerStrip",
    "Receiver",
    "SupplyNode",
]

_LABEL = "On its label"
_LIES = "Where it lies"
_PANEL = "In the panel"
_TROUBLE = "Signs of trouble"
_DIMMING = "Dimming"
_REMOTE = "Remote"
_NATURE = "What it does"
_WHEN = "When it runs"

Watts = Annotated[float, Field(ge=0.0, allow_inf_nan=False)]


class _Node(Part):
    id: Id
    name: ItsName = None


_STILL_FEEDS = "still feeds {who}: plug that in elsewhere first"

_PLUGGED = Ref(
    ("supply",),
    "a supply node",
    kinds=FEEDERS,
    kinds_if=("fixed", ("circuit",)),
    wrong="must be an outlet or what is plugged in",
    gone="passes on",
    heirs=FEEDERS,
    refusal=_STILL_FEEDS,
)

_WIRED = Ref(
    ("supply",),
    "a circuit",
    kinds=("circuit",),
    wrong="must be a circuit",
    gone="passes on",
    heirs=("circuit",),
    refusal=_STILL_FEEDS,
)


class _Fed(_Node):
    """``max_ambient_c`` is the warmest surrounding air that its label allows (``ta``).

    ``size_m`` is its width, depth and height, to tell whether it fits where it lies.
    """

    fed_from: Annotated[Id, _PLUGGED, PLUGGED]
    at_m: Annotated[
        Point3 | None,
        POINT,
        Shown(
            "Place", "The middle of its underside; left open, it is not drawn.", LENGTH, group=_LIES
        ),
    ] = None
    inside: Annotated[
        Id | None,
        Ref(("furniture",), "furniture"),
        Shown(
            "Lies inside",
            "Furniture with a hidden space, where air and warmth are watched.",
            first=True,
        ),
    ] = None
    size_m: Annotated[
        tuple[Positive, Positive, Positive] | None,
        Shown(
            "Size",
            "Width, depth and height, to tell whether it fits where it lies.",
            LENGTH,
            group=_LIES,
            axes=SIZE,
        ),
    ] = None
    plug_fuse_a: PlugFuse = None
    max_ambient_c: Annotated[
        Annotated[float, Field(ge=20.0, le=120.0)] | None,
        Shown(
            "Warmest air around it (ta)",
            "Degrees Celsius on its label, behind ta.",
            "°C",
            group=_LABEL,
        ),
    ] = None
    price: Price = None


class Circuit(_Node):
    """Everything that goes dead when one breaker is off."""

    kind: Literal["circuit"] = "circuit"
    breaker_a: Annotated[
        Positive | None, Shown("Breaker", "Amperes on its handle in the panel.", "A", first=True)
    ] = assumed(None, "the region's usual breaker")
    volts: Annotated[
        Positive | None,
        Shown("Volts", "Where you measured them; left open, the region's.", "V", first=True),
    ] = None
    leakage_protection: Annotated[
        bool | None,
        Shown("Leakage protection", "RCD or GFCI: the one with a test button.", group=_PANEL),
    ] = None
    arc_fault_protection: Annotated[
        bool | None,
        Shown("Arc-fault protection", "AFDD or AFCI: says so on the breaker.", group=_PANEL),
    ] = None
    signs: Annotated[
        tuple[Literal["hot", "smell", "buzz", "tingle", "trips", "worn", "discoloured"], ...],
        Shown("Signs of trouble", "Tick what you see, smell or feel.", group=_TROUBLE),
    ] = ()


class Outlet(_Node):
    """A wall outlet; ``holes`` plugs share its plate."""

    kind: Literal["outlet"] = "outlet"
    fed_from: Annotated[
        Id,
        _WIRED,
        Shown("On which circuit", "The circuit that goes dead with its breaker.", first=True),
    ]
    at_m: Annotated[
        Point3 | None, POINT, Shown("Place", "The middle of its plate.", LENGTH, first=True)
    ] = None
    wall: Annotated[
        int | None,
        WALL,
        Shown("On which wall", "Left open, it is the wall that it is at.", group=_LIES),
    ] = None
    rating_a: Annotated[
        Positive | None,
        Shown("Rating", "Amperes printed on it.", "A", first=True, short="Rating, A"),
    ] = assumed(None, "the region's usual outlet")
    holes: Annotated[
        int, Field(ge=1, le=6), Shown("Holes", "How many plugs go in.", first=True)
    ] = assumed(2, "a twin outlet")
    earthed: Annotated[
        bool | None,
        Shown("Has an earth contact", "A third hole, or clips at the sides.", first=True),
    ] = None
    signs: Annotated[
        tuple[Literal["hot", "smell", "buzz", "tingle", "trips", "worn", "discoloured"], ...],
        Shown("Signs of trouble", "Tick what you see, smell or feel.", group=_TROUBLE),
    ] = ()


class PowerStrip(_Fed):
    """A multi-outlet strip with cord and plug; ``furniture_type`` when made to be built in."""

    kind: Literal["power strip"] = "power strip"
    rating_a: Annotated[
        Positive | None,
        Shown("Rating", "Amperes printed on it.", "A", first=True, short="Rating, A"),
    ] = None
    holes: Annotated[
        int, Field(ge=1, le=20), Shown("Holes", "How many plugs go in.", first=True)
    ] = 6
    breaker_a: Annotated[
        Positive | None,
        Shown(
            "Cut-out of its own", "Amperes of the small button that pops out.", "A", group=_LABEL
        ),
    ] = None
    furniture_type: Annotated[
        bool,
        Shown("Made to be built in", "Its papers say that it may go into furniture.", group=_LABEL),
    ] = False
    fixed: Annotated[
        bool, Shown("Wired in, no plug", "It hangs on the circuit itself.", group=_LABEL)
    ] = False
    cord: Annotated[Cord | None, Shown("Cord", "From its plug to the thing itself.")] = None
    signs: Annotated[
        tuple[Literal["hot", "smell", "buzz", "tingle", "trips", "worn", "discoloured"], ...],
        Shown("Signs of trouble", "Tick what you see, smell or feel.", group=_TROUBLE),
    ] = ()


class Extension(_Fed):
    """An extension cord with one outlet."""

    kind: Literal["extension"] = "extension"
    rating_a: Annotated[
        Positive | None,
        Shown("Rating", "Amperes printed on it.", "A", first=True, short="Rating, A"),
    ] = None
    cord: Annotated[Cord | None, Shown("Cord", "From its plug to the thing itself.")] = None
    days_in_use: Annotated[
        Annotated[float, Field(ge=0.0)] | None,
        Shown("Days in use", "An extension cord is meant for a while only.", "days", first=True),
    ] = None


class Adapter(_Fed):
    """A cube, double or travel adapter."""

    kind: Literal["adapter"] = "adapter"
    rating_a: Annotated[
        Positive | None,
        Shown("Rating", "Amperes printed on it.", "A", first=True, short="Rating, A"),
    ] = None
    holes: Annotated[
        int, Field(ge=1, le=6), Shown("Holes", "How many plugs go in.", first=True)
    ] = 2
    passes_earth: Annotated[
        bool, Shown("Passes the earth on", "It has an earth contact on both sides.", first=True)
    ] = True


class Receiver(_Fed):
    """A remote-switched plug: ratings as printed, resistive, for electronic loads, for motors.

    ``dims`` says whether it dims what hangs on it, or only switches; ``lowest_level`` how low.
    """

    kind: Literal["receiver"] = "receiver"
    rating_a: Annotated[
        Positive | None,
        Shown("Rating", "Amperes printed on it.", "A", first=True, short="Rating, A"),
    ] = None
    electronic_w: Annotated[
        Positive | None,
        Shown(
            "Rating for LED loads",
            "Watts printed for LED or electronic loads, far below those for plain ones.",
            "W",
            first=True,
        ),
    ] = None
    motor_w: Annotated[
        Positive | None, Shown("Rating for motors", "Watts printed for motors.", "W", group=_LABEL)
    ] = None
    standby_w: Annotated[
        Watts, Shown("Draws while off", "Watts all day, with nothing on.", "W", group=_LABEL)
    ] = assumed(1.0, "a receiver draws about 1 W all day")
    dims: Annotated[
        bool | None, Shown("Dims what it feeds", "Or does it only switch.", group=_DIMMING)
    ] = None
    lowest_level: LowestLevel = None
    button: Annotated[
        str | None, Shown("Button of the remote", "Which one switches it.", group=_REMOTE)
    ] = None
    after_power_cut: Annotated[
        Literal["off", "on", "as before"] | None,
        Shown("After a power cut", "What it does when power comes back.", group=_REMOTE),
    ] = None


class Driver(_Fed):
    """A power supply that feeds LED strips or lights at extra-low voltage.

    ``dims`` says whether it dims what it feeds, ``lowest_level`` how low.
    """

    kind: Literal["driver"] = "driver"
    output_v: Annotated[
        Positive, Shown("Gives", "Volts on its output side; the tape's own.", "V", first=True)
    ] = 24.0
    rating_w: Annotated[Positive, Shown("Rating", "Watts it can give.", "W", first=True)]
    outputs: Annotated[
        int,
        Field(ge=1, le=8),
        Shown("Outputs", "How many tapes have terminals of their own.", group=_LABEL),
    ] = 1
    class_2: Annotated[
        bool | None, Shown("Class 2 output", "Its label says Class 2, or LPS.", group=_LABEL)
    ] = None
    isolated: Annotated[
        bool | None,
        Shown(
            "Isolated from the mains",
            "Its label says SELV, or shows two coils in a box.",
            group=_LABEL,
        ),
    ] = None
    efficiency: Annotated[
        float,
        Field(gt=0.3, le=1.0),
        Shown("Efficiency", "What comes out over what goes in.", SHARE, group=_LABEL),
    ] = assumed(0.85, "a fair driver: 85 %")
    power_factor: Annotated[
        float,
        Field(gt=0.1, le=1.0),
        Shown(
            "Power factor", "Watts over volt-amperes; on the label as PF or lambda.", group=_LABEL
        ),
    ] = assumed(0.55, "small driver without correction")
    standby_w: Annotated[
        Watts, Shown("Draws while off", "Watts all day, with nothing on.", "W", group=_LABEL)
    ] = assumed(0.5, "EU 2019/2020 no-load limit")
    dims: Annotated[
        bool | None, Shown("Dims what it feeds", "Or does it only switch.", group=_DIMMING)
    ] = None
    lowest_level: LowestLevel = None
    cord_route: Annotated[
        tuple[Literal["open", "in wall", "in floor"], ...],
        Shown("Where its cord runs", "Tick all that are true.", group=_LIES),
    ] = ()


class Appliance(_Fed):
    """Anything else with a plug; ``like`` names a row of the appliance table for its defaults.

    ``label_v`` are the volts printed beside its watts, one number or a range such as 220-240.
    """

    kind: Literal["appliance"] = "appliance"
    like: Annotated[
        str | None,
        Rows("appliances", "key", "name"),
        Shown(
            "Kind of thing",
            "Tells its usual watts, hours and surge, where its label does not.",
            first=True,
        ),
    ] = None
    power_w: Annotated[
        Amount | None,
        Shown(
            "Watts on the label",
            "Or a range, for something with steps.",
            "W",
            first=True,
            short="Watts",
        ),
    ] = None
    label_v: Annotated[
        Amount | None,
        Shown("Volts on the label", "Beside its watts, such as 220-240.", "V", group=_LABEL),
    ] = None
    label_read: Annotated[
        bool, Shown("Watts were read off the label", "Not guessed.", group=_LABEL)
    ] = True
    standby_w: Annotated[
        Watts | None, Shown("Draws while off", "Watts all day, with nothing on.", "W", group=_LABEL)
    ] = None
    continuous: Annotated[
        bool | None,
        Shown("Runs for three hours and more", "A heater or blanket does.", group=_NATURE),
    ] = None
    heats: Annotated[
        bool | None, Shown("Makes heat", "Heaters, kettles, hair dryers.", group=_NATURE)
    ] = None
    charges: Annotated[
        bool | None,
        Shown("Has a battery that charges", "Phones, shavers, bicycles.", group=_NATURE),
    ] = None
    motor: Annotated[
        bool | None, Shown("Has a motor", "Fans, beds that rise, pumps.", group=_NATURE)
    ] = None
    medical: Annotated[
        bool | None,
        Shown(
            "Keeps somebody well (medical device)",
            "It must not go off with a switch or a trip.",
            group=_NATURE,
        ),
    ] = None
    fixed: Annotated[
        bool, Shown("Wired in, no plug", "It hangs on the circuit itself.", group=_LABEL)
    ] = False
    power_factor: PowerFactor = None
    efficiency: Annotated[
        Annotated[float, Field(gt=0.3, le=1.0)] | None,
        Shown("Efficiency", "What comes out over what goes in.", SHARE, group=_LABEL),
    ] = None
    hours_per_day: Annotated[
        Annotated[float, Field(ge=0.0, le=24.0)] | None,
        Shown("Is on for", "For what it costs.", "hours a day", group=_WHEN),
    ] = None
    on_from_h: Annotated[
        Annotated[float, Field(ge=0.0, le=24.0)] | None,
        Shown("Goes on at", "A time of day such as 21:30.", CLOCK, group=_WHEN),
    ] = None
    season: Annotated[
        Literal["all year", "winter", "summer"],
        Shown("Season", "When in the year it runs at all.", group=_WHEN),
    ] = "all year"
    duty: Annotated[
        Fraction | None,
        Shown(
            "Share of the time it heats",
            "Of something that a thermostat switches.",
            SHARE,
            group=_WHEN,
        ),
    ] = None
    plug: PlugKind = None
    protection_class: ProtectionClass = None
    cord: Annotated[Cord | None, Shown("Cord", "From its plug to the thing itself.")] = None


SupplyNode = Annotated[
    Circuit | Outlet | PowerStrip | Extension | Adapter | Receiver | Driver | Appliance,
    Field(discriminator="kind"),
]
