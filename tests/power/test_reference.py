"""Published worked examples and tables of the power science, one parametrised test per file."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lumen.power.conductors import (
    ambient_correction,
    area_from_gauge,
    bundling_correction,
    cord_limit,
    diameter_from_gauge,
    flex_for_fuse,
    flex_resistance_per_metre,
    resistance_at_temperature,
    resistance_per_metre,
)
from lumen.power.defaults import region_number
from lumen.power.driver import (
    FILL_PRACTICE,
    class_2_limit,
    driver_choice,
    driver_efficiency_floor,
)
from lumen.power.energy import cost_of_energy, energy_kwh
from lumen.power.load import Limit, LoadTree, Node, solve_tree
from lumen.power.strip import Tape, tape_state
from lumen.tables import table

FOOT = 0.3048
REFERENCE = Path(__file__).parents[1] / "reference"
Quantity = Callable[..., float]


def cases(name: str) -> list[Any]:
    """Rows of one reference file as test parameters."""
    with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert all(row["source"] and row["locator"] for row in rows)
    return [pytest.param(row, id=f"{row['case']} {row['quantity']}") for row in rows]


def check(row: dict[str, str], quantities: dict[str, Quantity]) -> None:
    """The computed quantity equals the printed one, and not the source's slip."""
    value = quantities[row["quantity"]](**json.loads(row["inputs"]))
    tolerance = float(row["tolerance"])
    assert value == pytest.approx(float(row["expected"]), rel=1e-12, abs=tolerance)
    if row["slip"]:
        assert abs(value - float(row["slip"])) > tolerance


def conductor(size: str, build: str) -> float:
    """Resistance of a row of the conductor table [Ω/km]."""
    (row,) = [r for r in table("conductors") if (r["size"], r["build"]) == (size, build)]
    return float(row["ohm_per_km"])


def loop_mv(size: str, at_c: float) -> float:
    """Loop millivolts per ampere and metre of a class 5 cord."""
    return 2 * resistance_at_temperature(conductor(size, "flexible class 5"), 20, at_c)


CONDUCTORS: dict[str, Quantity] = {
    "diameter_mm": lambda awg: 1000 * diameter_from_gauge(awg),
    "area_mm2": area_from_gauge,
    "ohm_per_kft": lambda awg, temperature_c: (
        1000 * FOOT * resistance_per_metre(area_from_gauge(awg), temperature_c)
    ),
    "table_ohm_per_kft": lambda size, build: FOOT * conductor(size, build),
    "k_constant": lambda size, cmil: FOOT * conductor(size, "stranded copper") * cmil / 1000,
    "flex_ohm_per_kft": lambda awg, temperature_c: (
        1000 * FOOT * flex_resistance_per_metre(awg=awg, temperature_c=temperature_c)
    ),
    "flex_mv": lambda area_mm2, at_c: (
        2000 * flex_resistance_per_metre(area_mm2=area_mm2, temperature_c=at_c)
    ),
    "resistance_at": lambda r, from_c, to_c: resistance_at_temperature(r, from_c, to_c),
    "loop_mv": loop_mv,
    "ambient": ambient_correction,
    "bundling": lambda n: bundling_correction(n),
}


@pytest.mark.parametrize("row", cases("power_conductors"))
def test_conductors(row: dict[str, str]) -> None:
    """Gauge, resistance and correction factors equal the printed tables."""
    check(row, CONDUCTORS)


def ampacity(region: str, size: str, column: str) -> float:
    """A row of the cord table whose length is not limited to a special case."""
    found = [r for r in table("cords") if region in r["regions"].split() and r["size"] == size]
    return max(float(r[column]) for r in found if r[column])


def limit_a(**inputs: Any) -> float:
    """Amperes that the cord table allows."""
    limit = cord_limit(**inputs)
    assert limit is not None
    return limit.amperes


CORDS: dict[str, Quantity] = {
    "ampacity_2": lambda region, size: ampacity(region, size, "ampacity_2_a"),
    "ampacity_3": lambda region, size: ampacity(region, size, "ampacity_3_a"),
    "cord_limit": limit_a,
    "cord_watts": lambda region, size: (
        ampacity(region, size, "ampacity_2_a") * region_number(region, "nominal_v")
    ),
    "flex_for_fuse": flex_for_fuse,
}


@pytest.mark.parametrize("row", cases("power_cords"))
def test_cords(row: dict[str, str]) -> None:
    """Cord currents equal the printed tables of each region."""
    check(row, CORDS)


def drop(amperes: float, length: float, ohm: float, volts: float = 230.0) -> float:
    """Volts that a load tree loses in a cord of so many ohms a metre and conductor."""
    # the load draws its watts at the volts of the supply
    plan = [
        Node("circuit", None, "circuit", volts),
        Node("cord", "circuit", "extension", loop_ohm=2 * length * ohm),
        Node("load", "cord", "load", watts=amperes * volts),
    ]
    tree = solve_tree(plan)
    assert tree["cord"].watts_out == pytest.approx(amperes * volts)
    return tree["cord"].drop_v * amperes / tree["cord"].amperes


DROPS: dict[str, Quantity] = {
    "drop": drop,
    "drop_percent": lambda amperes, length, ohm, volts: (
        100 * drop(amperes, length, ohm, volts) / volts
    ),
    "feed_ft": lambda awg, watts, volts, drop_v: (
        drop_v / drop(watts / volts, FOOT, resistance_per_metre(area_from_gauge(awg)), volts)
    ),
}


@pytest.mark.parametrize("row", cases("power_voltage_drop"))
def test_voltage_drop(row: dict[str, str]) -> None:
    """Voltage-drop examples give the printed answers, misprints apart."""
    check(row, DROPS)


def fed_length(tape: Tape) -> float:
    """Length that one feed serves [m]."""
    return tape.length_m / (2 if tape.feed in ("both", "middle") else 1)


def evenness_arc(tape: Tape) -> float:
    """Fed length over lambda, back from the evenness 1 / cosh."""
    return math.acosh(1 / tape_state(tape).evenness)


STRIPS: dict[str, Quantity] = {
    "end_v": lambda **tape: float(tape_state(Tape(**tape)).volts.min()),
    "amperes": lambda **tape: tape_state(Tape(**tape)).amperes,
    "watts": lambda **tape: tape_state(Tape(**tape)).watts,
    "evenness": lambda **tape: tape_state(Tape(**tape)).evenness,
    "nominal_w": lambda **tape: tape_state(Tape(**tape)).nominal_w,
    "drop_v": lambda **tape: tape_state(Tape(**tape)).drop_v,
    "drop_percent": lambda **tape: 100 * tape_state(Tape(**tape)).drop_share,
    "lambda_m": lambda **tape: fed_length(Tape(**tape)) / evenness_arc(Tape(**tape)),
}


@pytest.mark.parametrize("row", cases("power_strip"))
def test_strip(row: dict[str, str]) -> None:
    """Strips give the volts, current and evenness of the reference vectors."""
    check(row, STRIPS)


DRIVERS: dict[str, Quantity] = {
    "efficiency": lambda watts: driver_efficiency_floor(watts),
    "input_w": lambda watts: watts / driver_efficiency_floor(watts),
    "class_2": lambda volts: class_2_limit(volts),
    "outputs": lambda watts, volts: driver_choice(watts, volts).outputs,
    "tape_w": lambda **tape: tape_state(Tape(**tape)).nominal_w,
    "usable_w": lambda rating: FILL_PRACTICE * rating,
    "rating_w": lambda watts, volts: driver_choice(watts, volts).rating_w or math.nan,
    "needed_w": lambda watts, volts, fill: driver_choice(watts, volts, fill=fill).needed_w,
    "needed_a": lambda watts, volts, fill: driver_choice(watts, volts, fill=fill).needed_w / volts,
}


@pytest.mark.parametrize("row", cases("power_drivers"))
def test_drivers(row: dict[str, str]) -> None:
    """Driver efficiency, class limits and sizing examples give the printed answers."""
    check(row, DRIVERS)


ENERGY: dict[str, Quantity] = {
    "kwh": energy_kwh,
    "cost": lambda tariff, **use: cost_of_energy(energy_kwh(**use), tariff),
}


@pytest.mark.parametrize("row", cases("power_energy"))
def test_energy(row: dict[str, str]) -> None:
    """Energy and cost examples give the printed answers."""
    check(row, ENERGY)


def circuit(watts: float, volts: float, breaker: float = 15.0, lamps: int = 1) -> LoadTree:
    """One circuit with equal continuous loads and a limit on its demand."""
    limits = (
        Limit(breaker, "breaker", "example"),
        Limit(breaker, "demand", "example", counts="demand"),
    )
    plan = [Node("circuit", None, "circuit", volts, limits=limits)]
    plan += [
        Node(f"lamp {i}", "circuit", "load", watts=watts, continuous=True) for i in range(lamps)
    ]
    return solve_tree(plan)


def most_lamps(watts: float, volts: float, breaker: float) -> int:
    """The greatest number of continuous lamps whose demand a breaker takes."""
    count = 1
    while circuit(watts, volts, breaker, count + 1)["circuit"].shares[1].share <= 1.0:
        count += 1
    return count


CIRCUITS: dict[str, Quantity] = {
    "amperes": lambda watts, volts: circuit(watts, volts)["circuit"].amperes,
    "share": lambda **given: circuit(**given)["circuit"].shares[0].share,
    "demand": lambda watts, volts: circuit(watts, volts)["circuit"].amperes_demand,
    "demand_share": lambda **given: circuit(**given)["circuit"].shares[1].share,
    "circuits": lambda **given: math.ceil(circuit(**given)["circuit"].shares[0].share),
    "most_lamps": most_lamps,
    "fastened_limit": lambda breaker: breaker * region_number("US", "fastened_share"),
    "over": lambda watts, volts, breaker: (
        (circuit(watts, volts, breaker)["circuit"].amperes - breaker) * volts
    ),
    "outlet_w": lambda region: (
        region_number(region, "outlet_a") * region_number(region, "nominal_v")
    ),
    "outlet_limit_a": lambda region: (
        region_number(region, "outlet_a") * region_number(region, "outlet_share")
    ),
    "fuse_w": lambda fuse, volts: fuse * volts,
}


@pytest.mark.parametrize("row", cases("power_circuits"))
def test_circuits(row: dict[str, str]) -> None:
    """Circuit examples give the printed answers, misprints apart."""
    check(row, CIRCUITS)
