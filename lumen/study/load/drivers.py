"""What a plan's drivers feed, which driver suits that, and the surge when they switch on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from lumen.errors import LumenError
from lumen.power.breakers import magnetic_zone
from lumen.power.driver import (
    FILL_PRACTICE,
    DriverChoice,
    class_2_limit,
    driver_choice,
    inrush_band,
)
from lumen.power.load import LoadTree
from lumen.scenario.document import Scenario
from lumen.scenario.supply import Circuit, Driver, Receiver
from lumen.study.digits import figure
from lumen.study.load.wiring import Wiring

__all__ = ["DriverFit", "Surge", "driver_fits", "label_watts", "surges"]

Line = tuple[str, float, str]


@dataclass(frozen=True)
class DriverFit:
    """A driver against the label power behind it.

    Parameters
    ----------
    load_w, rating_w, fill
        Label power of all it feeds, its rating [W], and the first over the second.
    outputs, per_output_w
        Its outputs, and what each gives by label when the load is shared evenly [W].
    output_limit_w
        Most for one limited output at its volts [W]; ``None`` for volts of no known class.
    choice
        The driver that would suit; ``None`` when it feeds nothing, or at such volts.
    explain
        The sum: (text, value, unit) line by line.
    """

    id: str
    load_w: float
    rating_w: float
    fill: float
    output_v: float
    outputs: int
    per_output_w: float
    output_limit_w: float | None
    choice: DriverChoice | None
    explain: tuple[Line, ...]

    def to_json(self) -> dict[str, Any]:
        """Return the fit as plain data, an entry of ``power.drivers``."""
        choice = self.choice
        return {
            "id": self.id,
            "nominal_w": figure(self.load_w),
            "rating_w": figure(self.rating_w),
            "fill": figure(self.fill),
            "fill_practice": FILL_PRACTICE,
            "needed_w": figure(self.load_w / FILL_PRACTICE),
            "next_size_w": None if choice is None else choice.rating_w,
            "output_v": self.output_v,
            "outputs": self.outputs,
            "per_output_w": figure(self.per_output_w),
            "output_limit_w": self.output_limit_w,
            "outputs_needed": None if choice is None else choice.outputs,
            "input_w": None if choice is None else [figure(w) for w in choice.input_w],
            "input_va": None if choice is None else [figure(va) for va in choice.input_va],
            "explain": [[text, figure(value), unit] for text, value, unit in self.explain],
        }


@dataclass(frozen=True)
class Surge:
    """Drivers that one receiver or circuit switches on together, and how much they may draw.

    ``peak_a`` is the band of the surge, ``trips_a`` the currents from which the circuit's breaker
    may, and by which it must, trip at once [A]; ``assumed`` when nobody has read the breaker.
    """

    id: str
    drivers: tuple[str, ...]
    running_a: float
    peak_a: tuple[float, float]
    trips_a: tuple[float, float]
    assumed: bool

    @property
    def passes(self) -> bool:
        """Whether the high estimate is past the current at which the breaker must trip."""
        return self.peak_a[1] > self.trips_a[1]

    @property
    def explain(self) -> tuple[Line, ...]:
        """The sum: (text, value, unit) line by line."""
        guess = ", breaker assumed" if self.assumed else ""
        return (
            ("running current together", self.running_a, "A"),
            ("surge, low estimate: ten times the largest", self.peak_a[0], "A"),
            ("surge, high estimate: a hundred times the sum", self.peak_a[1], "A"),
            ("breaker may trip at once from" + guess, self.trips_a[0], "A"),
            ("and must from", self.trips_a[1], "A"),
        )

    def to_json(self) -> dict[str, Any]:
        """Return the surge as plain data, an entry of ``power.surges``."""
        return {
            "id": self.id,
            "drivers": list(self.drivers),
            "running_a": figure(self.running_a),
            "peak_a": [figure(value) for value in self.peak_a],
            "breaker_trips_a": [figure(value) for value in self.trips_a],
            "passes": self.passes,
            "explain": [[text, figure(value), unit] for text, value, unit in self.explain],
        }


def label_watts(tree: LoadTree, driver_id: str) -> float:
    """Return the label power of all that a driver feeds [W]: it is sized on this."""
    return math.fsum(tree[load_id].node.watts for load_id in tree[driver_id].loads)


def driver_fits(scenario: Scenario, tree: LoadTree) -> tuple[DriverFit, ...]:
    """Return each driver of a plan against what it feeds, in the plan's order."""
    return tuple(_fit(scenario, tree, item) for item in scenario.supply if isinstance(item, Driver))


def _fit(scenario: Scenario, tree: LoadTree, driver: Driver) -> DriverFit:
    load = label_watts(tree, driver.id)
    try:
        limit = class_2_limit(driver.output_v, region=scenario.region)
    except LumenError:
        limit = None  # volts of no known class
    choice = None
    if limit is not None and load > 0.0:
        choice = driver_choice(
            load, driver.output_v, region=scenario.region, power_factor=driver.power_factor
        )
    names = {light.id: light.name or light.id for light in scenario.lights}
    names.update({strip.id: strip.name or strip.id for strip in scenario.strips})
    lines: list[Line] = [
        (f"label power of '{names.get(load_id, load_id)}'", tree[load_id].node.watts, "W")
        for load_id in tree[driver.id].loads
    ]
    lines += [
        ("label power in all", load, "W"),
        ("rating", driver.rating_w, "W"),
        ("share of the rating", 100.0 * load / driver.rating_w, "%"),
    ]
    if choice is not None:
        lines += choice.explain[1:]
    return DriverFit(
        id=driver.id,
        load_w=load,
        rating_w=driver.rating_w,
        fill=load / driver.rating_w,
        output_v=driver.output_v,
        outputs=driver.outputs,
        per_output_w=load / driver.outputs,
        output_limit_w=limit,
        choice=choice,
        explain=tuple(lines),
    )


def surges(scenario: Scenario, tree: LoadTree, laid: Wiring) -> tuple[Surge, ...]:
    """Return the surge behind every receiver and circuit that feeds a driver, receivers first."""
    listed = []
    circuits = {item.id for item in scenario.supply if isinstance(item, Circuit)}
    nodes = [item.id for item in scenario.supply if isinstance(item, Receiver)]
    for node_id in (*nodes, *(i for i in tree.roots if i in circuits)):
        load = tree[node_id]
        if load.drivers:
            breaker = laid.limits[load.path[0]]["breaker"]
            running = [tree[driver_id].amperes for driver_id in load.drivers]
            listed.append(
                Surge(
                    id=node_id,
                    drivers=load.drivers,
                    running_a=math.fsum(running),
                    peak_a=inrush_band(running, volts=load.volts_in),
                    trips_a=magnetic_zone(breaker.amperes, region=scenario.region),
                    assumed=breaker.assumed,
                )
            )
    return tuple(listed)
