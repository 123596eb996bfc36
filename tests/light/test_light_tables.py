"""Tables of the light half: numbers in order, shares within 0 to 1, nothing without provenance."""

from __future__ import annotations

from itertools import pairwise

import pytest

from lumen.tables import HOW, table

LIGHT_TABLES = (
    "age_factors",
    "aims",
    "glare_limits",
    "lamps",
    "maintenance",
    "materials",
    "melanopic",
    "planckian",
    "reflectance",
    "shielding",
    "strip_classes",
)


@pytest.mark.parametrize("name", LIGHT_TABLES)
def test_every_row_says_where_it_is_from(name):
    """Every row has a source and how it is known; what was read also has a place."""
    for row in table(name):
        assert row["how"] in HOW
        assert row["source"]
        assert row["locator"] or row["how"] == "assumed"


def test_reflectances_are_in_order():
    """Each reflectance lies in its band, within 0 to 1, under one name."""
    rows = table("reflectance")
    for row in rows:
        assert 0 < float(row["low"]) <= float(row["reflectance"]) <= float(row["high"]) < 1
    assert len({row["surface"] for row in rows}) == len(rows)


def test_aims_are_in_order_and_defaults_exist():
    """Low, middle and high aims ascend, and each use of the page has a default row."""
    for row in table("aims"):
        given = [float(row[key]) for key in ("low_lx", "lx", "high_lx") if row[key]]
        assert given
        assert given == sorted(given)
    defaults = {row["use"] for row in table("aims") if row["region"] == "default"}
    assert {"general", "reading in bed", "mirror", "wardrobe", "night", "relax"} <= defaults


def test_no_aim_is_claimed_that_was_not_found():
    """India's code, whose rows could not be read anywhere, is not claimed."""
    assert "India" not in {row["region"] for row in table("aims")}


def test_lamps_give_believable_lumens_per_watt():
    """Lamps lie within their bands and within 8 to 130 lm/W by kind."""
    limits = {
        "incandescent": (8, 18),
        "halogen": (10, 29),
        "fluorescent": (40, 70),
        "led": (50, 130),
    }
    for row in table("lamps"):
        assert float(row["flux_low_lm"]) <= float(row["flux_lm"]) <= float(row["flux_high_lm"])
        assert float(row["power_low_w"]) <= float(row["power_w"]) <= float(row["power_high_w"])
        low, high = limits[row["kind"]]
        assert low <= float(row["flux_lm"]) / float(row["power_w"]) <= high


def test_strips_give_believable_lumens_per_watt():
    """LED tape gives 90 to 110 lm/W in each class."""
    for row in table("strip_classes"):
        assert 90 <= float(row["flux_lm_per_m"]) / float(row["power_w_per_m"]) <= 110


def test_shielding_steps_join():
    """The steps of luminance leave no gap and do not overlap."""
    rows = table("shielding")
    assert float(rows[0]["from_cd_m2"]) == 0
    for before, after in pairwise(rows):
        assert before["below_cd_m2"] == after["from_cd_m2"]
        assert float(before["shielding_deg"]) < float(after["shielding_deg"])
