"""The supply tree as written: circuit > outlet > power strip, receiver, driver > what draws."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lumen.scenario.base import Amount, Fraction, Id, Name, Part, Point3, Positive, assumed
from lumen.scenario.lights import FEEDERS, Cord
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

Watts = Annotated[float, Field(ge=0.0, allow_inf_nan=False)]


class _Node(Part):
    id: Id
    name: Name | None = None


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

    fed_from: Annotated[Id, _PLUGGED]
    at_m: Point3 | None = None
    inside: Annotated[Id | None, Ref(("furniture",), "furniture")] = None
    size_m: tuple[Positive, Positive, Positive] | None = None
    plug_fuse_a: Positive | None = None
    max_ambient_c: Annotated[float, Field(ge=20.0, le=120.0)] | None = None
    price: Amount | None = None


class Circuit(_Node):
    """Everything that goes dead when one breaker is off."""

    kind: Literal["circuit"] = "circuit"
    breaker_a: Positive | None = assumed(None, "the region's usual breaker")
    volts: Positive | None = None
    leakage_protection: bool | None = None
    arc_fault_protection: bool | None = None
    signs: tuple[
        Literal["hot", "smell", "buzz", "tingle", "trips", "worn", "discoloured"], ...
    ] = ()


class Outlet(_Node):
    """A wall outlet; ``holes`` plugs share its plate."""

    kind: Literal["outlet"] = "outlet"
    fed_from: Annotated[Id, _WIRED]
    at_m: Point3 | None = None
    wall: Annotated[int | None, WALL] = None
    rating_a: Positive | None = assumed(None, "the region's usual outlet")
    holes: Annotated[int, Field(ge=1, le=6)] = assumed(2, "a twin outlet")
    earthed: bool | None = None
    signs: tuple[
        Literal["hot", "smell", "buzz", "tingle", "trips", "worn", "discoloured"], ...
    ] = ()


class PowerStrip(_Fed):
    """A multi-outlet strip with cord and plug; ``furniture_type`` when made to be built in."""

    kind: Literal["power strip"] = "power strip"
    rating_a: Positive | None = None
    holes: Annotated[int, Field(ge=1, le=20)] = 6
    breaker_a: Positive | None = None
    furniture_type: bool = False
    fixed: bool = False
    cord: Cord | None = None
    signs: tuple[
        Literal["hot", "smell", "buzz", "tingle", "trips", "worn", "discoloured"], ...
    ] = ()


class Extension(_Fed):
    """An extension cord with one outlet."""

    kind: Literal["extension"] = "extension"
    rating_a: Positive | None = None
    cord: Cord | None = None
    days_in_use: Annotated[float, Field(ge=0.0)] | None = None


class Adapter(_Fed):
    """A cube, double or travel adapter."""

    kind: Literal["adapter"] = "adapter"
    rating_a: Positive | None = None
    holes: Annotated[int, Field(ge=1, le=6)] = 2
    passes_earth: bool = True


class Receiver(_Fed):
    """A remote-switched plug: ratings as printed, resistive, for electronic loads, for motors.

    ``dims`` says whether it dims what hangs on it, or only switches; ``lowest_level`` how low.
    """

    kind: Literal["receiver"] = "receiver"
    rating_a: Positive | None = None
    electronic_w: Positive | None = None
    motor_w: Positive | None = None
    standby_w: Watts = assumed(1.0, "a receiver draws about 1 W all day")
    dims: bool | None = None
    lowest_level: Fraction | None = None
    button: str | None = None
    after_power_cut: Literal["off", "on", "as before"] | None = None


class Driver(_Fed):
    """A power supply that feeds LED strips or lights at extra-low voltage.

    ``dims`` says whether it dims what it feeds, ``lowest_level`` how low.
    """

    kind: Literal["driver"] = "driver"
    output_v: Positive = 24.0
    rating_w: Positive
    outputs: Annotated[int, Field(ge=1, le=8)] = 1
    class_2: bool | None = None
    isolated: bool | None = None
    efficiency: Annotated[float, Field(gt=0.3, le=1.0)] = assumed(0.85, "a fair driver: 85 %")
    power_factor: Annotated[float, Field(gt=0.1, le=1.0)] = assumed(
        0.55, "small driver without correction"
    )
    standby_w: Watts = assumed(0.5, "EU 2019/2020 no-load limit")
    dims: bool | None = None
    lowest_level: Fraction | None = None
    cord_route: tuple[Literal["open", "in wall", "in floor"], ...] = ()


class Appliance(_Fed):
    """Anything else with a plug; ``like`` names a row of the appliance table for its defaults.

    ``label_v`` are the volts printed beside its watts, one number or a range such as 220-240.
    """

    kind: Literal["appliance"] = "appliance"
    like: str | None = None
    power_w: Amount | None = None
    label_v: Amount | None = None
    label_read: bool = True
    standby_w: Watts | None = None
    continuous: bool | None = None
    heats: bool | None = None
    charges: bool | None = None
    motor: bool | None = None
    medical: bool | None = None
    fixed: bool = False
    power_factor: Annotated[float, Field(gt=0.0, le=1.0)] | None = None
    efficiency: Annotated[float, Field(gt=0.3, le=1.0)] | None = None
    hours_per_day: Annotated[float, Field(ge=0.0, le=24.0)] | None = None
    on_from_h: Annotated[float, Field(ge=0.0, le=24.0)] | None = None
    season: Literal["all year", "winter", "summer"] = "all year"
    duty: Fraction | None = None
    plug: Literal["earthed", "two-pin polarised", "two-pin"] | None = None
    protection_class: Literal["I", "II", "III"] | None = None
    cord: Cord | None = None


SupplyNode = Annotated[
    Circuit | Outlet | PowerStrip | Extension | Adapter | Receiver | Driver | Appliance,
    Field(discriminator="kind"),
]
