"""Rules 36 to 39 and 43: drivers, their outputs, their strips, their surge."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lumen.errors import LumenError
from lumen.power.breakers import magnetic_zone
from lumen.power.driver import FILL_PRACTICE, class_2_limit, driver_choice, inrush_band
from lumen.scenario.lights import Strip
from lumen.scenario.supply import Circuit, Driver, Receiver
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Found, Line, Severity, rule

LEAST_EVENNESS = 0.8
MOST_DROP = 0.10


def label_watts(facts: Facts, driver: Driver) -> float:
    """Return the label power of all that a driver feeds [W]: it is sized on this."""
    return sum(facts.electrics.everything[item.id].node.watts for item in facts.children[driver.id])


@rule(36)
def driver_undersized(facts: Facts) -> Iterator[Found]:
    """Label watts behind a driver against its rating."""
    for driver in facts.of(Driver):
        load = label_watts(facts, driver)
        if load <= FILL_PRACTICE * driver.rating_w * (1 + 1e-9):
            continue
        severity: Severity = "danger" if load > driver.rating_w * (1 + 1e-9) else "advice"
        parts: tuple[Line, ...] = tuple(
            (facts.the(item.id), facts.electrics.everything[item.id].node.watts, "W")
            for item in facts.children[driver.id]
        )
        yield Found(
            (driver.id, *(item.id for item in facts.children[driver.id])),
            f"{facts.the(driver.id)} is rated {driver.rating_w:g} W and feeds {load:.1f} W by "
            f"label: {100 * load / driver.rating_w:.0f} %.",
            severity,
            (
                *parts,
                ("label power in all", load, "W"),
                ("rating", driver.rating_w, "W"),
                ("share to use", 100 * FILL_PRACTICE, "%"),
                ("rating needed", load / FILL_PRACTICE, "W"),
            ),
            fix=_bigger(facts, driver, load),
        )


def _bigger(facts: Facts, driver: Driver, load: float) -> dict[str, Any] | None:
    try:
        choice = driver_choice(load, driver.output_v, region=facts.region.code)
    except LumenError:
        return None  # volts of no known class: no size to offer
    if choice.rating_w is None:
        return None
    return {
        "name": "set",
        "id": driver.id,
        "args": {"field": "rating_w", "value": choice.rating_w},
    }


@rule(37)
def above_class_2(facts: Facts) -> Iterator[Found]:
    """One output of a driver over what Class 2 allows at its volts."""
    for driver in facts.of(Driver):
        try:
            limit = class_2_limit(driver.output_v, region=facts.region.code)
        except LumenError:
            continue
        load = label_watts(facts, driver) / driver.outputs
        able = driver.rating_w / driver.outputs
        most = max(load, 0.0 if driver.class_2 else able)
        if most > limit * (1 + 1e-9):
            verb = "feeds" if load >= most else "can give"
            yield Found(
                (driver.id,),
                f"one output of {facts.the(driver.id)} {verb} {most:.0f} W at "
                f"{driver.output_v:g} V; the low-energy class ends at {limit:g} W.",
                numbers=(
                    ("label power on one output", load, "W"),
                    ("rating of one output", able, "W"),
                    ("limit at these volts", limit, "W"),
                ),
            )


@rule(38)
def strip_too_long(facts: Facts) -> Iterator[Found]:
    """An LED strip whose far end is clearly dimmer than its start."""
    for strip in facts.of(Strip):
        state = facts.electrics.strips.get(strip.id)
        if state is None or (state.evenness >= LEAST_EVENNESS and state.drop_share <= MOST_DROP):
            continue
        better = {"start": "both", "end": "both", "middle": "both", "both": None}[strip.feed]
        yield Found(
            (strip.id,),
            f"the far end of {facts.the(strip.id)} gives {100 * state.evenness:.0f} % of its "
            f"start; {100 * state.drop_share:.1f} % of the volts are lost on the way.",
            numbers=(
                *state.explain,
                ("worth a note under", 100 * LEAST_EVENNESS, "%"),
                ("or with volts lost over", 100 * MOST_DROP, "%"),
            ),
            fix=None
            if better is None
            else {"name": "set", "id": strip.id, "args": {"field": "feed", "value": better}},
            assumed="loop resistance assumed"
            if "loop_ohm_per_m" not in strip.model_fields_set
            else None,
        )


@rule(39)
def low_voltage_in_wall(facts: Facts) -> Iterator[Found]:
    """A low-voltage cable inside a wall or floor."""
    hidden = ("through wall", "concealed", "in wall", "in floor")
    for driver in facts.of(Driver):
        if any(step in hidden for step in driver.cord_route):
            yield Found(
                (driver.id,), f"the low-voltage cable of {facts.the(driver.id)} runs in the wall."
            )
    for item, cord in facts.cords():
        if facts.low_volts(item) and any(step in hidden for step in cord.route):
            yield Found(
                (item.id,), f"the low-voltage cable of {facts.the(item.id)} runs in the wall."
            )


@rule(43)
def many_drivers_one_switch(facts: Facts) -> Iterator[Found]:
    """Several drivers behind one receiver, or a surge past what a breaker must trip at."""
    switches: list[Receiver | Circuit] = [*facts.of(Receiver), *facts.of(Circuit)]
    for node in switches:
        drivers = [item for item in facts.below(node.id) if isinstance(item, Driver)]
        if not drivers:
            continue
        running = [facts.amperes(driver.id) for driver in drivers]
        low, high = inrush_band(running, volts=facts.electrics.volts)
        circuit = node if isinstance(node, Circuit) else facts.circuit_of(node)
        assert circuit is not None
        breaker = facts.electrics.wiring.limits[circuit.id]["breaker"].amperes
        may, must = magnetic_zone(breaker, region=facts.region.code)
        several = isinstance(node, Receiver) and len(drivers) > 1
        if not several and high <= must:
            continue
        ids = [driver.id for driver in drivers]
        words = f"{facts.list_of(ids)} switch on together behind {facts.the(node.id)}"
        if high > must:
            words += f" with a surge of up to {high:.0f} A for under a millisecond"
        yield Found(
            (node.id, *ids),
            words + ".",
            numbers=(
                ("running current together", sum(running), "A"),
                ("surge, low estimate", low, "A"),
                ("surge, high estimate", high, "A"),
                ("breaker may trip at once from", may, "A"),
                ("and must from", must, "A"),
            ),
        )
