"""What a region and the appliance table say when the person has not: values with their source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lumen.errors import LumenError
from lumen.tables import table

__all__ = ["Appliance", "RegionValue", "appliance", "region_number", "region_value", "regions"]


@dataclass(frozen=True, slots=True)
class RegionValue:
    """One value of a region; ``text`` as written, ``number`` when it is one."""

    text: str
    number: float | None
    unit: str
    edition: str
    source: str
    locator: str
    how: str
    note: str


@dataclass(frozen=True, slots=True)
class Appliance:
    """A usual appliance: watts low, typical and high, and how it is used.

    ``duty`` is the share of its hours in which it really draws ``watts``; ``days_per_year`` the
    days on which it is used at all.
    """

    key: str
    name: str
    watts: tuple[float, float, float]
    standby_w: float
    duty: float
    hours_per_day: float
    days_per_year: float
    continuous: bool
    heats: bool
    electronic: bool
    motor: bool
    compressor: bool
    medical: bool
    power_factor: float
    source: str
    locator: str
    how: str
    note: str


@cache
def _region_values() -> dict[tuple[str, str], RegionValue]:
    found = {}
    for row in table("regions"):
        number = None if row["unit"] == "text" else float(row["value"])
        found[row["region"], row["item"]] = RegionValue(
            row["value"],
            number,
            row["unit"],
            row["edition"],
            row["source"],
            row["locator"],
            row["how"],
            row["note"],
        )
    return found


def regions() -> tuple[str, ...]:
    """Return the regions that the tables know.

    Examples
    --------
    >>> regions()
    ('AU', 'CA', 'EU', 'IN', 'JP', 'UK', 'US')
    """
    return tuple(sorted({region for region, _ in _region_values()}))


def region_value(region: str, item: str) -> RegionValue | None:
    """Return a region's value with its source, or ``None`` when the region has no such rule.

    Raises
    ------
    LumenError
        For an unknown region or an item that no region has.

    Examples
    --------
    >>> region_value("UK", "twin_danger_a").number
    20.0
    >>> region_value("EU", "twin_danger_a") is None
    True
    """
    values = _region_values()
    if region not in regions():
        raise LumenError("region", f"must be one of {', '.join(regions())}", region)
    items = {name for _, name in values}
    if item not in items:
        raise LumenError("item", f"must be one of {', '.join(sorted(items))}", item)
    return values.get((region, item))


def region_number(region: str, item: str) -> float:
    """Return a number that every region has, such as its nominal volts.

    Raises
    ------
    LumenError
        When the region has no such value or it is not a number.

    Examples
    --------
    >>> region_number("JP", "nominal_v")
    100.0
    """
    value = region_value(region, item)
    if value is None or value.number is None:
        raise LumenError(f"{region}.{item}", "must be a number in the table of regions", value)
    return value.number


@cache
def _appliances() -> dict[str, Appliance]:
    return {
        row["key"]: Appliance(
            key=row["key"],
            name=row["name"],
            watts=(float(row["low_w"]), float(row["typical_w"]), float(row["high_w"])),
            standby_w=float(row["standby_w"]),
            duty=float(row["duty"]),
            hours_per_day=float(row["hours_per_day"]),
            days_per_year=float(row["days_per_year"]),
            continuous=row["continuous"] == "yes",
            heats=row["heats"] == "yes",
            electronic=row["electronic"] == "yes",
            motor=row["motor"] == "yes",
            compressor=row["compressor"] == "yes",
            medical=row["medical"] == "yes",
            power_factor=float(row["power_factor"]),
            source=row["source"],
            locator=row["locator"],
            how=row["how"],
            note=row["note"],
        )
        for row in table("appliances")
    }


def appliance(key: str) -> Appliance:
    """Return a usual appliance by the key of its row.

    Raises
    ------
    LumenError
        For an unknown key; the message lists the known ones.

    Examples
    --------
    >>> appliance("heater").watts
    (750.0, 1500.0, 1500.0)
    """
    known = _appliances()
    if key not in known:
        raise LumenError("like", f"must be one of {', '.join(sorted(known))}", key)
    return known[key]
