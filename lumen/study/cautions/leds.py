"""Rules 36 to 39, 43, 54, 56 and 57: drivers, their outputs, their strips, their surge."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lumen.power.driver import FILL_PRACTICE
from lumen.scenario.lights import Strip
from lumen.scenario.supply import Adapter, Driver, Extension, PowerStrip, Receiver
from lumen.study.cautions.clauses import clause, line, line_of, thing
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.registry import Hazard, Severity, rule

LEAST_EVENNESS = 0.8
MOST_DROP = 0.10


@rule(36)
def driver_undersized(facts: Facts) -> Iterator[Hazard]:
    """Label watts behind a driver against its rating."""
    for fit in facts.electrics.drivers:
        if fit.load_w <= FILL_PRACTICE * fit.rating_w * GRACE:
            continue
        severity: Severity = "danger" if fit.load_w > fit.rating_w * GRACE else "advice"
        tree = facts.electrics.everything
        parts = tuple(
            line("thing", tree[load_id].node.watts, "W", of=thing(load_id))
            for load_id in tree[fit.id].loads
        )
        bigger = None if fit.choice is None else fit.choice.rating_w
        yield Hazard(
            (fit.id, *tree[fit.id].loads),
            clause(
                "fill",
                driver=thing(fit.id),
                rating_w=fit.rating_w,
                load_w=fit.load_w,
                share=fit.fill,
            ),
            severity,
            (
                *parts,
                line("load", fit.load_w, "W"),
                line("rating", fit.rating_w, "W"),
                line("share", 100 * FILL_PRACTICE, "%"),
                line("needed", fit.load_w / FILL_PRACTICE, "W"),
            ),
            fix=None
            if bigger is None
            else {"name": "set", "id": fit.id, "args": {"field": "rating_w", "value": bigger}},
            limits=(facts.electrics.wiring.limits[fit.id]["output"],),
        )


@rule(37)
def above_class_2(facts: Facts) -> Iterator[Hazard]:
    """One output of a driver over what Class 2 allows at its volts."""
    class_2 = {driver.id: driver.class_2 for driver in facts.of(Driver)}
    for fit in facts.electrics.drivers:
        limit = fit.output_limit_w
        if limit is None:
            continue
        able = fit.rating_w / fit.outputs
        most = max(fit.per_output_w, 0.0 if class_2[fit.id] else able)
        if most > limit * GRACE:
            key = "feeds" if fit.per_output_w >= most else "can-give"
            yield Hazard(
                (fit.id,),
                clause(
                    key, driver=thing(fit.id), most_w=most, output_v=fit.output_v, limit_w=limit
                ),
                numbers=(
                    line("load", fit.per_output_w, "W"),
                    line("rating", able, "W"),
                    line("limit", limit, "W"),
                ),
            )


@rule(38)
def strip_too_long(facts: Facts) -> Iterator[Hazard]:
    """An LED strip whose far end is clearly dimmer than its start."""
    for strip in facts.of(Strip):
        state = facts.electrics.strips.get(strip.id)
        if state is None or (state.evenness >= LEAST_EVENNESS and state.drop_share <= MOST_DROP):
            continue
        better = {"start": "both", "end": "both", "middle": "both", "both": None}[strip.feed]
        yield Hazard(
            (strip.id,),
            clause(
                "dim",
                strip=thing(strip.id),
                end_share=state.evenness,
                drop_share=state.drop_share,
            ),
            numbers=(
                *map(line_of, state.explain),
                line("note-under", 100 * LEAST_EVENNESS, "%"),
                line("or-lost", 100 * MOST_DROP, "%"),
            ),
            fix=None
            if better is None
            else {"name": "set", "id": strip.id, "args": {"field": "feed", "value": better}},
            assumed=(clause("assumed-ohm"),)
            if "loop_ohm_per_m" not in strip.model_fields_set
            else (),
        )


@rule(39)
def low_voltage_in_wall(facts: Facts) -> Iterator[Hazard]:
    """A low-voltage cable inside a wall or floor."""
    hidden = ("through wall", "concealed", "in wall", "in floor")
    for driver in facts.of(Driver):
        if any(step in hidden for step in driver.cord_route):
            yield Hazard((driver.id,), clause("in-wall", item=thing(driver.id)))
    for item, cord in facts.cords():
        if facts.low_volts(item) and any(step in hidden for step in cord.route):
            yield Hazard((item.id,), clause("in-wall", item=thing(item.id)))


@rule(43)
def many_drivers_one_switch(facts: Facts) -> Iterator[Hazard]:
    """Several drivers behind one receiver, or a surge past what a breaker must trip at."""
    for surge in facts.electrics.surges:
        if len(surge.drivers) < 2:
            continue
        if not isinstance(facts.items[surge.id], Receiver) and not surge.passes:
            continue
        peak = (clause("surge", peak_a=surge.peak_a[1]),) if surge.passes else ()
        yield Hazard(
            (surge.id, *surge.drivers),
            clause("together", drivers=thing(*surge.drivers), behind=thing(surge.id), peak=peak),
            numbers=tuple(map(line_of, surge.explain)),
            assumed=(clause("assumed-breaker"),) if surge.assumed else (),
        )


@rule(54)
def strip_volts_differ(facts: Facts) -> Iterator[Hazard]:
    """An LED strip on a driver of other volts."""
    for strip in facts.of(Strip):
        driver = next((node for node in facts.above(strip) if isinstance(node, Driver)), None)
        if driver is not None and not math.isclose(driver.output_v, strip.volts, rel_tol=1e-6):
            more = driver.output_v > strip.volts
            yield Hazard(
                (strip.id, driver.id),
                clause(
                    "burns" if more else "dark",
                    strip=thing(strip.id),
                    strip_v=float(strip.volts),
                    driver=thing(driver.id),
                    driver_v=driver.output_v,
                ),
                numbers=(
                    line("strip", float(strip.volts), "V"),
                    line("driver", driver.output_v, "V"),
                    line("ratio", 100 * driver.output_v / strip.volts, "%"),
                ),
            )


@rule(56)
def driver_not_isolated(facts: Facts) -> Iterator[Hazard]:
    """A driver whose output is not separated from the mains, and feeds something."""
    for driver in facts.of(Driver):
        fed = [item.id for item in facts.below(driver.id)]
        if driver.isolated is False and fed:
            yield Hazard(
                (driver.id, *fed),
                clause("live", driver=thing(driver.id), fed=thing(*fed)),
                numbers=(line("output", driver.output_v, "V"),),
            )


@rule(57)
def mains_part_on_driver(facts: Facts) -> Iterator[Hazard]:
    """A part made for the mains behind a driver's low-voltage output."""
    for part in facts.items.values():
        if not isinstance(part, PowerStrip | Extension | Adapter | Receiver | Driver):
            continue
        driver = facts.parent(part)
        if isinstance(driver, Driver):
            yield Hazard(
                (part.id, driver.id),
                clause("mains-part", part=thing(part.id), driver=thing(driver.id)),
                numbers=(line("output", driver.output_v, "V"),),
            )
