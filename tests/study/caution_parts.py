"""Parts of the plans that raise cautions, and the shape of a case."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import NamedTuple

from tests.study.small_plans import (
    Command,
    add,
    appliance,
    led_strip,
    light,
    put,
    supply,
)


def strip(item_id: str = "strip", into: str = "wall outlet", **fields: object) -> Command:
    """Return the command that adds a 10 A power strip."""
    return supply(item_id, "power strip", into, **{"rating_a": 10, **fields})


def receiver(item_id: str = "receiver", into: str = "wall outlet", **fields: object) -> Command:
    """Return the command that adds a 10 A receiver without standby of its own."""
    return supply(item_id, "receiver", into, **{"rating_a": 10, "standby_w": 0, **fields})


def driver(item_id: str = "driver", into: str = "far outlet", **fields: object) -> Command:
    """Return the command that adds a 60 W driver of the low-energy class."""
    return supply(item_id, "driver", into, **{"rating_w": 60, "class_2": True, **fields})


def curtain(gap_m: float) -> Command:
    """A curtain whose near face is ``gap_m`` in front of the test light's lamp."""
    at = [0.8, 2.88 - 0.03 - gap_m - 0.05, 0.5]
    return add("furniture", "curtain", kind="curtain", at_m=at, size_m=[0.5, 0.1, 1.8])


def cord(**fields: object) -> dict[str, object]:
    """Return a stout cord, changed by ``fields``."""
    return {"cores": 3, "area_mm2": 1.5, "length_m": 2.0, **fields}


def reader(eye_m: float, **fields: object) -> Command:
    """Return the command that lays somebody in the bed, with a sitting eye above the mattress."""
    return add("people", "reader", **{"side": "left", "eye_above_mattress_m": eye_m, **fields})


def board(height_m: float, kind: str = "bed frame", item_id: str = "upper base") -> Command:
    """Return the command that hangs a bunk's base, or something else, over the whole bed."""
    at, size = [2, 1.98, height_m], [1.6, 2.0, 0.1]
    return add("furniture", item_id, kind=kind, at_m=at, size_m=size)


def cot(x_m: float) -> Command:
    """Return the command that stands a cot 0.6 m wide with its right side at ``x_m``."""
    return add("furniture", "cot", kind="cot", at_m=[x_m - 0.3, 2.2, 0.3], size_m=[0.6, 1.2, 0.1])


def lamp_over(height_m: float, x_m: float = 2.0) -> Command:
    """Return the command that hangs a light from the ceiling, its centre at a height."""
    return light(
        "lamp", None, mount="ceiling", mount_m=[x_m, 1.5, 2.4], projection_m=2.4 - height_m
    )


def behind_headboard(gap_m: float) -> list[Command]:
    """An outlet over the mattress with a plug in it and a headboard so far before it."""
    at = [2.0, 3.0 - gap_m - 0.02, 0.0]
    return [
        put("far outlet", "at_m", [2.0, 3.0, 0.8]),
        put("far outlet", "wall", 2),
        add("furniture", "headboard", kind="headboard", at_m=at, size_m=[1.6, 0.04, 1.1]),
        resistive(9),
    ]


def kept_lead(days: float) -> Command:
    """Return the command that adds a 10 A extension cord which stays so many days."""
    return supply("lead", "extension", "far outlet", rating_a=10, days_in_use=days)


def small_ceiling_lamp(watts: float, diameter_m: float = 0.04) -> Command:
    """Return the command that hangs a ceiling light without a label."""
    lamp = {"diameter_m": diameter_m}
    return light("lamp", "far outlet", watts, mount="ceiling", mount_m=[2, 1, 2.4], lamp=lamp)


def regulated(length_m: float) -> Command:
    """Return the command that adds 12 V tape of 14.4 W/m with a regulator for each group."""
    return led_strip("tape", "driver", length_m, 14.4, volts=12, current="regulated")


def boxed(watts: float, vent_m2: float) -> list[Command]:
    """So much heat beside a power strip in the nightstand."""
    return [
        put("nightstand", "compartment.vent_area_m2", vent_m2),
        strip(inside="nightstand", furniture_type=True),
        appliance("warm", "strip", watts, inside="nightstand"),
    ]


def stand_light(x_m: float) -> Command:
    """Return the command that stands a light beside the cot."""
    return light("lamp", None, mount="stand", mount_m=[x_m, 2.2, 0.9], projection_m=0.0)


def long_load(watts: float, hours: float = 3.0) -> Command:
    """Return the command that plugs in a load for so many hours."""
    return resistive(watts, "far outlet", hours_per_day=hours, on_from_h=18, continuous=hours >= 3)


SIGN = [put("wall outlet", "signs", ["hot"])]
DRYER = {"like": "hair dryer"}


class Case(NamedTuple):
    """A rule in a region: commands that raise it, commands that just do not, and its severity.

    A severity ``"any"``: the first raise it somehow, the second not at all.
    """

    rule: int
    region: str
    earns: list[Command]
    misses: list[Command]
    severity: str


Made = Callable[[str], list[Command]]
"""Makes the commands of a region."""


def each(
    rule: int,
    regions: str,
    earns: list[Command] | Made,
    misses: list[Command] | Made,
    severity: str,
) -> list[Case]:
    """Return a case for each of several regions; commands may depend on the region."""
    return [
        Case(
            rule,
            region,
            earns(region) if callable(earns) else earns,
            misses(region) if callable(misses) else misses,
            severity,
        )
        for region in regions.split()
    ]


ALL = "US CA UK EU AU JP IN"
OVER = 1.01
"""One percent over a limit: a share of 100 % and half a percent more is still the limit."""

VOLTS = {"US": 120, "CA": 120, "UK": 230, "EU": 230, "AU": 230, "JP": 100, "IN": 230}
BREAKER = {"US": 15, "CA": 15, "UK": 32, "EU": 16, "AU": 20, "JP": 20, "IN": 16}
OUTLET = {"US": 15, "CA": 15, "UK": 13, "EU": 16, "AU": 10, "JP": 15, "IN": 6}
"""What the regions' outlets and breakers are by the references, beside the program's own table."""


def shows(case: Case, severities: Collection[str]) -> bool:
    """Return whether the severities at which a case's rule was raised hold the case's own."""
    return bool(severities) if case.severity == "any" else case.severity in severities


def resistive(watts: float, into: str = "far outlet", **fields: object) -> Command:
    """Return the command that plugs in a resistive load that does not last."""
    return appliance("load", into, watts, **{"continuous": False, **fields})


def two(first: float, second: float, **fields: object) -> list[Command]:
    """Return two loads on one plate."""
    return [
        appliance("one", "wall outlet", first, continuous=False, **fields),
        appliance("other", "wall outlet", second, continuous=False, **fields),
    ]


def spread(*watts: float, **fields: object) -> list[Command]:
    """Loads over the holes of two outlets, so that no outlet is over its own limit first."""
    outlets = ("wall outlet", "far outlet")
    return [
        appliance(f"load {i}", outlets[i % 2], w, **{"continuous": False, **fields})
        for i, w in enumerate(watts)
    ]


def absolute_file(multiplier: float) -> str:
    """Return a photometric file without a rated lamp whose intensities fall evenly from 400 cd."""
    return (
        "IESNA:LM-63-2002\n[TEST] drawn\n[MANUFAC] nobody\nTILT=NONE\n"
        f"1 -1 {multiplier:g} 5 1 1 2 0.1 0 0\n1 1 9\n0 22.5 45 67.5 90\n0\n400 300 200 100 0\n"
    )
