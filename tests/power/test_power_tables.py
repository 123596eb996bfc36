"""The tables of the power science: complete, in range, each row with its source."""

from __future__ import annotations

import re

import pytest

from lumen.errors import LumenError
from lumen.power.defaults import appliance, region_number, region_value, regions
from lumen.tables import table

REGIONS = {"US", "CA", "UK", "EU", "AU", "JP", "IN"}
EVERYWHERE = [
    "nominal_v",
    "low_v",
    "high_v",
    "outlet_a",
    "outlet_share",
    "breaker_a",
    "continuous_factor",
    "strip_usual_a",
    "strip_assumed_a",
    "extension_assumed_a",
    "receiver_assumed_a",
    "adapter_assumed_a",
    "heater_label_v",
    "outlet_breaker_max_a",
    "receiver_electronic_share",
    "near_limit_share",
    "tariff_per_kwh",
]


@pytest.mark.parametrize("item", EVERYWHERE)
def test_every_region_has_the_number(item: str) -> None:
    """What the study needs everywhere is there for all seven regions, above zero."""
    assert set(regions()) == REGIONS
    assert all(region_number(region, item) > 0.0 for region in regions())


def test_region_values_hang_together() -> None:
    """Nominal volts lie in the tolerance, and an assumed strip is not above the usual one."""
    for region in regions():
        low, nominal, high = (region_number(region, f"{x}_v") for x in ("low", "nominal", "high"))
        assert low < nominal < high
        usual, assumed = (region_number(region, f"strip_{x}_a") for x in ("usual", "assumed"))
        assert assumed <= usual
        for item in ("arc_fault", "leakage_protection", "reversible_plug", "plug_fuse_a"):
            assert region_value(region, item) is not None


def test_region_refusals() -> None:
    """Unknown regions and items are refused; a rule that a region lacks is None or refused."""
    with pytest.raises(LumenError, match="region must be one of"):
        region_value("XX", "nominal_v")
    with pytest.raises(LumenError, match="item must be one of"):
        region_value("US", "colour")
    assert region_value("US", "twin_warning_a") is None
    with pytest.raises(LumenError, match="must be a number"):
        region_number("US", "arc_fault")


def test_lasting_loads_count_a_quarter_more_or_nothing_more() -> None:
    """The sum counts lasting loads 1.25 times; no region's table asks for another factor."""
    factors = {region_number(code, "continuous_factor") for code in REGIONS}
    assert factors == {1.0, 1.25}


def test_rules_are_numbered_and_whole() -> None:
    """The fifty rules and ours, each with key, level, trigger, message, remedy and source."""
    rows = table("rules")
    numbers = [int(row["number"]) for row in rows]
    assert numbers == sorted(set(numbers))
    assert numbers[:50] == list(range(1, 51))
    assert len({row["key"] for row in rows}) == len(rows)
    for row in rows:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", row["key"])
        assert set(row["level"].split()) <= {"danger", "warning", "advice"}
        assert row["level"]
        assert set(row["regions"].split()) <= REGIONS
        assert row["regions"]
        for column in ("title", "trigger", "tell", "remedy", "source", "locator"):
            assert row[column].strip(), (row["key"], column)
        assert row["tell"].endswith(".")
        assert row["remedy"].endswith(".")


def test_rules_never_promise() -> None:
    """No rule calls anything safe or compliant, nor tells how to get round an earth pin."""
    for row in table("rules"):
        words = f"{row['title']} {row['tell']} {row['remedy']}".lower()
        assert not re.search(r"\b(safe|safely|compliant|approved|guaranteed)\b", words)
    earth = next(row for row in table("rules") if row["key"] == "no-earth-slot")
    assert "Never remove the earth pin" in earth["remedy"]


def test_appliances() -> None:
    """At least 35 appliances, low to high in order, shares in range, heaters marked."""
    rows = table("appliances")
    assert len(rows) >= 35
    assert len({row["key"] for row in rows}) == len(rows)
    for row in rows:
        item = appliance(row["key"])
        low, typical, high = item.watts
        assert 0.0 < low <= typical <= high
        assert 0.0 < item.duty <= 1.0
        assert 0.0 <= item.hours_per_day <= 24.0
        assert 0.0 < item.days_per_year <= 365.0
        assert 0.0 < item.power_factor <= 1.0
        assert item.standby_w <= 10.0
        if typical > 1000.0 and not item.motor:
            assert item.heats, item.key
    with pytest.raises(LumenError, match="like must be one of"):
        appliance("time-machine")


def test_cords_carry_more_when_thicker() -> None:
    """Within a region a thicker cord never carries less, and defaults stay within the tables."""
    for region in REGIONS:
        rows = [row for row in table("cords") if region in row["regions"].split()]
        assert rows
        plain = sorted(
            (float(row["area_mm2"]), float(row["default_a"]))
            for row in rows
            if float(row["default_a"])
            == max(float(other["default_a"]) for other in rows if other["size"] == row["size"])
        )
        assert [amps for _, amps in plain] == sorted(amps for _, amps in plain)
        for row in rows:
            assert float(row["default_a"]) <= float(row["ampacity_2_a"])


def test_conductor_table_agrees_with_its_printed_figure() -> None:
    """Ohm per kilometre is the printed ohm per thousand feet over 0.3048."""
    for row in table("conductors"):
        printed = re.search(r": ([\d.]+) ohm/kft", row["locator"])
        if printed:
            expected = float(printed[1]) / 0.3048
            assert float(row["ohm_per_km"]) == pytest.approx(expected, abs=0.006)
