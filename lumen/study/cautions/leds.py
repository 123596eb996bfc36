"""Rules 36 to 39, 43, 54, 56 and 57: drivers, their outputs, their strips, their surge."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lumen.power.driver import FILL_PRACTICE
from lumen.scenario.lights import Strip
from lumen.scenario.supply import Adapter, Driver, Extension, PowerStrip, Receiver
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.registry import Found, Line, Severity, rule

LEAST_EVENNESS = 0.8
MOST_DROP = 0.10


@rule(36)
def driver_undersized(facts: Facts) -> Iterator[Found]:
    """Label watts behind a driver against its rating."""
    for fit in facts.electrics.drivers:
        if fit.load_w <= FILL_PRACTICE * fit.rating_w * GRACE:
            continue
        severity: Severity = "danger" if fit.load_w > fit.rating_w * GRACE else "advice"
        tree = facts.electrics.everything
        parts: tuple[Line, ...] = tuple(
            (facts.the(load_id), tree[load_id].node.watts, "W") for load_id in tree[fit.id].loads
        )
        bigger = None if fit.choice is None else fit.choice.rating_w
        yield Found(
            (fit.id, *tree[fit.id].loads),
            f"{facts.the(fit.id)} is rated {fit.rating_w:g} W and feeds {fit.load_w:.1f} W by "
            f"label: {100 * fit.fill:.0f} %.",
            severity,
            (
                *parts,
                ("label power in all", fit.load_w, "W"),
                ("rating", fit.rating_w, "W"),
                ("share to use", 100 * FILL_PRACTICE, "%"),
                ("rating needed", fit.load_w / FILL_PRACTICE, "W"),
            ),
            fix=None
            if bigger is None
            else {"name": "set", "id": fit.id, "args": {"field": "rating_w", "value": bigger}},
            limits=(facts.electrics.wiring.limits[fit.id]["output"],),
        )


@rule(37)
def above_class_2(facts: Facts) -> Iterator[Found]:
    """One output of a driver over what Class 2 allows at its volts."""
    class_2 = {driver.id: driver.class_2 for driver in facts.of(Driver)}
    for fit in facts.electrics.drivers:
        limit = fit.output_limit_w
        if limit is None:
            continue
        able = fit.rating_w / fit.outputs
        most = max(fit.per_output_w, 0.0 if class_2[fit.id] else able)
        if most > limit * GRACE:
            verb = "feeds" if fit.per_output_w >= most else "can give"
            yield Found(
                (fit.id,),
                f"one output of {facts.the(fit.id)} {verb} {most:.0f} W at "
                f"{fit.output_v:g} V; the low-energy class ends at {limit:g} W.",
                numbers=(
                    ("label power on one output", fit.per_output_w, "W"),
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
    for surge in facts.electrics.surges:
        if len(surge.drivers) < 2:
            continue
        if not isinstance(facts.items[surge.id], Receiver) and not surge.passes:
            continue
        words = f"{facts.list_of(surge.drivers)} switch on together behind {facts.the(surge.id)}"
        if surge.passes:
            words += f" with a surge of up to {surge.peak_a[1]:.0f} A for under a millisecond"
        yield Found(
            (surge.id, *surge.drivers),
            words + ".",
            numbers=surge.explain,
            assumed="the breaker is assumed" if surge.assumed else None,
        )


@rule(54)
def strip_volts_differ(facts: Facts) -> Iterator[Found]:
    """An LED strip on a driver of other volts."""
    for strip in facts.of(Strip):
        driver = next((node for node in facts.above(strip) if isinstance(node, Driver)), None)
        if driver is not None and not math.isclose(driver.output_v, strip.volts, rel_tol=1e-6):
            more = driver.output_v > strip.volts
            yield Found(
                (strip.id, driver.id),
                f"{facts.the(strip.id)} is made for {strip.volts:g} V and "
                f"{facts.the(driver.id)} gives {driver.output_v:g} V: "
                + ("it would burn out." if more else "it would stay dark or glow faintly."),
                numbers=(
                    ("strip", float(strip.volts), "V"),
                    ("driver", driver.output_v, "V"),
                    ("driver over strip", 100 * driver.output_v / strip.volts, "%"),
                ),
            )


@rule(56)
def driver_not_isolated(facts: Facts) -> Iterator[Found]:
    """A driver whose output is not separated from the mains, and feeds something."""
    for driver in facts.of(Driver):
        fed = [item.id for item in facts.below(driver.id)]
        if driver.isolated is False and fed:
            yield Found(
                (driver.id, *fed),
                f"the output of {facts.the(driver.id)} is not separated from the mains, and "
                f"{facts.list_of(fed)} can be touched.",
                numbers=(("output", driver.output_v, "V"),),
            )


@rule(57)
def mains_part_on_driver(facts: Facts) -> Iterator[Found]:
    """A part made for the mains behind a driver's low-voltage output."""
    for part in facts.items.values():
        if not isinstance(part, PowerStrip | Extension | Adapter | Receiver | Driver):
            continue
        driver = facts.parent(part)
        if isinstance(driver, Driver):
            yield Found(
                (part.id, driver.id),
                f"{facts.the(part.id)} is made for the mains and hangs on the output of "
                f"{facts.the(driver.id)}.",
                numbers=(("output", driver.output_v, "V"),),
            )
