"""What is usual in a plan's region, and in an appliance, where nobody has read a label.

Values come from the tables behind :mod:`lumen.power.defaults`, each with its source. What is used
unread is marked as assumed wherever it turns up.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import cache

from lumen.errors import LumenError
from lumen.power.defaults import Appliance, appliance, region_number, region_value, regions
from lumen.tables import table

__all__ = ["ApplianceKind", "RegionPack", "appliance_kind", "region_pack"]

ApplianceKind = Appliance


@dataclass(frozen=True, slots=True)
class RegionPack:
    """One region's values by item, such as ``nominal_v`` or ``strip_assumed_a``."""

    code: str

    def number(self, item: str) -> float | None:
        """Return a value of the region, ``None`` where the region has no such rule."""
        value = region_value(self.code, item)
        return None if value is None else value.number

    def need(self, item: str) -> float:
        """Return a value that every region has."""
        return region_number(self.code, item)

    def text(self, item: str) -> str:
        """Return a value in words, empty where the region has none."""
        value = region_value(self.code, item)
        return "" if value is None else value.text

    def source(self, item: str) -> str:
        """Return where a value comes from, with edition and locator."""
        value = region_value(self.code, item)
        if value is None:
            return ""
        return ", ".join(filter(None, (value.source, value.edition, value.locator)))

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
        value = region_value(self.code, "tariff_per_kwh")
        return "" if value is None else value.unit


def region_pack(code: str) -> RegionPack:
    """Return what is usual in a region.

    Raises
    ------
    LumenError
        For a region that the tables do not know.

    Examples
    --------
    >>> region_pack("JP").volts, region_pack("JP").plate_a
    (100.0, 15.0)
    """
    if code not in regions():
        raise LumenError("region", f"must be one of {', '.join(regions())}", code)
    return RegionPack(code)


@cache
def _appliance_keys() -> dict[str, str]:
    """The key of each row of the appliance table, by key and by name."""
    keys = {}
    for row in table("appliances"):
        keys[row["name"].lower().replace(" ", "-")] = row["key"]
        keys[row["key"]] = row["key"]
    return keys


def appliance_kind(like: str | None) -> ApplianceKind | None:
    """Return the row that ``like`` names, by key or by name; ``None`` when nothing is named.

    Raises
    ------
    LumenError
        When no row has that name; near ones are listed.

    Examples
    --------
    >>> appliance_kind("hair dryer").watts[2], appliance_kind("hair-dryer").heats
    (1875.0, True)
    >>> appliance_kind(None) is None
    True
    """
    if like is None:
        return None
    wanted = like.strip().lower().replace(" ", "-")
    keys = _appliance_keys()
    if wanted in keys:
        return appliance(keys[wanted])
    near = difflib.get_close_matches(wanted, sorted(set(keys.values())), n=4)
    known = ", ".join(near) or "a row of the appliance table, such as heater or hair-dryer"
    raise LumenError("like", f"must name a known appliance: {known}", like)
