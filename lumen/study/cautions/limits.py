"""Rules 60, 68 and 70 to 73: any limit of the tree that is passed, and limits that do not match."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Appliance, Circuit, Driver, Extension, Outlet, PowerStrip
from lumen.study.cautions.clauses import clause, line, thing
from lumen.study.cautions.facts import GRACE, Facts, Item
from lumen.study.cautions.overload import beyond_limit, guessed, over, sum_of
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.load.day import ALL_ON
from lumen.study.load.electrics import Worst
from lumen.study.load.wiring import Role

DROP_NOTE = 0.05
"""Share of the supply lost in cords that is worth a note."""

DROP_ASK = 0.10
"""From twice that it is worth a question: our own rule."""

VOLTS_APART = 0.10
"""How far the supply may be from the volts on a label: about what the regions' supplies vary."""

_ROLES: tuple[Role, ...] = get_args(Role)
_ASK: tuple[Role, ...] = ("demand", "plug fuse", "electronic", "motor", "coiled cord")


@rule(60)
def any_limit_passed(facts: Facts) -> Iterator[Hazard]:
    """Any limit of any node that is passed and that no rule of its own has spoken of."""
    for node in facts.electrics.wiring.nodes:
        limits = facts.electrics.wiring.limits[node.id]
        told = max(
            (
                worst.share.share
                for role in _ROLES
                if (worst := facts.worst(node.id, role)) is not None
                and id(worst.share.limit) in facts.told
            ),
            default=0.0,
        )
        passed = [
            (worst.share.share, role, worst)
            for role in _ROLES
            if role in limits
            and (worst := facts.worst(node.id, role)) is not None
            and over(worst)
            and worst.share.share > told * GRACE
        ]
        if not passed:
            continue
        grave = [each for each in passed if each[1] not in _ASK] or passed
        _, role, worst = max(grave, key=lambda each: each[0])
        severity: Severity = "warning" if role in _ASK else "danger"
        yield Hazard(
            (node.id,),
            beyond_limit(worst, "beyond", item=node.id),
            severity,
            sum_of(facts, worst),
            assumed=guessed(facts, worst),
            limits=tuple(each[2].share.limit for each in passed),
        )


@rule(68)
def breaker_over_outlet(facts: Facts) -> Iterator[Hazard]:
    """A breaker larger than any that belongs before such an outlet, whatever the load."""
    most = facts.region.need("outlet_breaker_max_a")
    for outlet in facts.of(Outlet):
        breaker = facts.electrics.wiring.limits[outlet.fed_from]["breaker"]
        rating = outlet.rating_a or facts.region.need("outlet_a")
        if breaker.amperes <= max(most, rating) * GRACE:
            continue
        yield Hazard(
            (outlet.id, outlet.fed_from),
            clause(
                "behind",
                outlet=thing(outlet.id),
                rating_a=rating,
                breaker_a=breaker.amperes,
                most_a=max(most, rating),
            ),
            numbers=(
                line("outlet", rating, "A"),
                line("breaker", breaker.amperes, "A"),
                line("largest", max(most, rating), "A"),
            ),
            assumed=() if outlet.rating_a else (clause("usual-outlet"),),
        )


@rule(70)
def volts_lost_in_cords(facts: Facts) -> Iterator[Hazard]:
    """Volts lost in the cords on the way to a thing, with everything on."""
    drops = {drop.id: drop for drop in facts.electrics.cord_drops}
    for item in facts.items.values():
        if item.id not in drops:
            continue
        way: list[Item] = [item]
        if not facts.low_volts(item):  # a driver makes up for what is lost before it
            way += facts.above(item)
        lost = [drops[node.id] for node in way if node.id in drops]
        share = sum(drop.drop_share for drop in lost)
        below = [i for i in facts.below(item.id) if i.id in drops and not facts.low_volts(i)]
        if share <= DROP_NOTE * GRACE or below:  # told where the way ends
            continue
        volts = facts.electrics.everything[item.id].volts_in
        lines = [line("lost-in", drop.drop_v, "V", of=thing(drop.id)) for drop in lost]
        lines += [
            line("lost", share * volts, "V"),
            line("share", 100 * share, "%"),
            line("note-over", 100 * DROP_NOTE, "%"),
            line("ask-over", 100 * DROP_ASK, "%"),
        ]
        yield Hazard(
            (item.id,),
            clause(
                "lost-in-cord" if len(lost) == 1 else "lost-in-cords",
                item=thing(item.id),
                share=share,
                lost_v=share * volts,
            ),
            "warning" if share > DROP_ASK * GRACE else "advice",
            tuple(lines),
        )


@rule(71)
def over_if_all_were_on(facts: Facts) -> Iterator[Hazard]:
    """A limit passed only if everything were on, which by seasons and times never happens."""
    if ALL_ON in facts.electrics.together:
        return
    for item in facts.items.values():
        if not isinstance(item, Circuit | Outlet | PowerStrip | Extension):
            continue
        worst = _if_all(facts, item.id)
        if worst is None:
            continue
        share, meet = worst.share, facts.worst(item.id, _role_of(facts, item.id, worst))
        never = _never_together(facts, worst)
        yield Hazard(
            (item.id, *never),
            clause(
                "never",
                item=thing(item.id),
                carried_a=share.amperes,
                limit_a=share.limit.amperes,
                reason=share.limit.reason,
                things=thing(*never),
            ),
            numbers=(
                *sum_of(facts, worst),
                *(() if meet is None else (line("by-times", meet.share.amperes, "A"),)),
            ),
            assumed=guessed(facts, worst),
        )


def _if_all(facts: Facts, node_id: str) -> Worst | None:
    """Return the limit that is passed most with everything on, though in no case that happens."""
    load = facts.electrics.everything[node_id]
    passed = [
        Worst(ALL_ON, share, load)
        for share in load.shares
        if share.share > GRACE
        and not any(
            other.limit is share.limit and other.share > GRACE
            for tree in facts.electrics.cases.values()
            for other in tree[node_id].shares
        )
    ]
    return max(passed, key=lambda worst: worst.share.share, default=None)


def _role_of(facts: Facts, node_id: str, worst: Worst) -> Role:
    limits = facts.electrics.wiring.limits[node_id]
    return next(role for role, limit in limits.items() if limit is worst.share.limit)


def _never_together(facts: Facts, worst: Worst) -> list[str]:
    """Return the loads that are not always on when the others are, the largest first."""
    loads = worst.load.loads
    apart = {
        i
        for tree in facts.electrics.together.values()
        for i in loads
        if tree.levels.get(i, 0.0) == 0.0
    }
    return sorted(apart, key=lambda i: -facts.amperes(i))


@rule(72)
def low_voltage_cord_thin(facts: Facts) -> Iterator[Hazard]:
    """A low-voltage cord of a light or LED strip over what its conductors may carry."""
    for item in facts.items.values():
        if not isinstance(item, Light | Strip | Appliance) or not facts.low_volts(item):
            continue
        worst = facts.worst(item.id, "cord")
        if worst is None or not over(worst):
            continue
        driver = next(node for node in facts.above(item) if isinstance(node, Driver))
        yield Hazard(
            (item.id, driver.id),
            clause(
                "thin",
                item=thing(item.id),
                carried_a=worst.share.amperes,
                output_v=driver.output_v,
                limit_a=worst.share.limit.amperes,
                reason=worst.share.limit.reason,
                when=worst.case,
            ),
            numbers=sum_of(facts, worst),
            assumed=guessed(facts, worst),
            limits=(worst.share.limit,),
        )


@rule(73)
def label_volts_differ(facts: Facts) -> Iterator[Hazard]:
    """An appliance made for other volts than the ones that reach it."""
    for item in facts.of(Appliance):
        if item.label_v is None:
            continue
        low, high = item.label_v if isinstance(item.label_v, tuple) else (item.label_v,) * 2
        volts = facts.electrics.everything[item.id].volts_in
        least, most = (1 - VOLTS_APART) * low, (1 + VOLTS_APART) * high
        if least <= volts <= most:
            continue
        more = volts > most
        yield Hazard(
            (item.id,),
            clause(
                "more" if more else "less",
                item=thing(item.id),
                low_v=low,
                range=(clause("up-to", high_v=high),) if high > low else (),
                supply_v=volts,
            ),
            "danger" if more else "warning",
            numbers=(
                line("label-least", low, "V"),
                line("label-most", high, "V"),
                line("gets", volts, "V"),
            ),
        )
