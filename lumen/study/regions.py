"""What is usual in a region, and in an appliance, where nobody has read a label.

Values come from ``regions.csv`` and ``appliances.csv``, each with its source. What is used unread
is marked as assumed wherever it turns up.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from lumen.errors import LumenError
from lumen.tables import table

__all__ = ["ApplianceKind", "RegionPack", "appliance_kind", "region_pack"]


@dataclass(frozen=True)
class RegionPack:
    """One region's rows of ``regions.csv`` by item."""

    code: str
    rows: Mapping[str, Mapping[str, str]]

    def number(self, item: str) -> float | None:
        """Return a value of the region, ``None`` where the region has none."""
        row = self.rows.get(item)
        return None if row is None or row["value"] == "none" else float(row["value"])

    def need(self, item: str) -> float:
        """Return a value that every region must have."""
        found = self.number(item)
        if found is None:
            raise LumenError(f"regions.csv {self.code}", f"must hold a number for {item}", None)
        return found

    def text(self, item: str) -> str:
        """Return a value in words."""
        return self.rows[item]["value"] if item in self.rows else ""

    def source(self, item: str) -> str:
        """Return where a value comes from, with its locator."""
        row = self.rows[item]
        return ", ".join(filter(None, (row["source"], row["edition"], row["locator"])))

    @property
    def volts(self) -> float:
        """Nominal supply [V]."""
        return self.need("nominal_v")

    @property
    def outlet_share(self) -> float:
        """Share of an outlet's rating for one plug where outlets share a circuit."""
        return self.need("outlet_share")

    @property
    def continuous_factor(self) -> float:
        """How many times a load of three hours or more counts against the breaker."""
        return self.need("continuous_factor")

    @property
    def plate_a(self) -> float | None:
        """Most that a twin outlet may carry in all [A]; ``None`` where only each hole counts."""
        return self.number("twin_danger_a")

    @property
    def price_per_kwh(self) -> float:
        """A rough household price of energy, in :attr:`currency`."""
        return self.need("tariff_per_kwh")

    @property
    def currency(self) -> str:
        """ISO 4217 code of the region's money."""
        return self.rows["tariff_per_kwh"]["unit"]


@cache
def region_pack(code: str) -> RegionPack:
    """Return what is usual in a region.

    Examples
    --------
    >>> region_pack("JP").volts, region_pack("JP").plate_a
    (100.0, 15.0)
    """
    rows = {row["item"]: row for row in table("regions") if row["region"] == code}
    if not rows:
        known = ", ".join(sorted({row["region"] for row in table("regions")}))
        raise LumenError("region", f"must be one of {known}", code)
    return RegionPack(code, rows)


@dataclass(frozen=True, slots=True)
class ApplianceKind:
    """One row of the appliance table: what such a thing usually draws, waits at and lasts."""

    key: str
    name: str
    low_w: float
    typical_w: float
    high_w: float
    standby_w: float
    duty: float
    hours_per_day: float
    days_per_year: float
    continuous: bool
    heats: bool
    electronic: bool
    motor: bool
    power_factor: float
    source: str


@cache
def appliance_kind(like: str | None) -> ApplianceKind | None:
    """Return the row that ``like`` names, by key or by name; ``None`` when nothing is named.

    Raises
    ------
    LumenError
        When no row has that name.

    Examples
    --------
    >>> appliance_kind("hair dryer").high_w, appliance_kind("hair-dryer").heats
    (1875.0, True)
    >>> appliance_kind(None) is None
    True
    """
    if like is None:
        return None
    wanted = like.strip().lower().replace(" ", "-")
    for row in table("appliances"):
        if wanted in (row["key"], row["name"].lower().replace(" ", "-")):
            return ApplianceKind(
                key=row["key"],
                name=row["name"],
                low_w=float(row["low_w"]),
                typical_w=float(row["typical_w"]),
                high_w=float(row["high_w"]),
                standby_w=float(row["standby_w"]),
                duty=float(row["duty"]),
                hours_per_day=float(row["hours_per_day"]),
                days_per_year=float(row["days_per_year"]),
                continuous=row["continuous"] == "yes",
                heats=row["heats"] == "yes",
                electronic=row["electronic"] == "yes",
                motor=row["motor"] == "yes",
                power_factor=float(row["power_factor"]),
                source=", ".join(filter(None, (row["source"], row["locator"]))),
            )
    near = difflib.get_close_matches(wanted, [row["key"] for row in table("appliances")], n=4)
    known = ", ".join(near) or "the rows of the appliance table, such as heater or hair-dryer"
    raise LumenError("like", f"must name a known appliance: {known}", like)
