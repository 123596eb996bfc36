"""Rules 60, 68 and 70 to 73: any limit of the tree that is passed, and limits that do not match."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Appliance, Circuit, Driver, Extension, Outlet, PowerStrip
from lumen.study.cautions.facts import GRACE, Facts, Item
from lumen.study.cautions.overload import guessed, over, sum_of
from lumen.study.cautions.registry import Found, Line, Severity, rule
from lumen.study.load.electrics import EVERYTHING, Worst
from lumen.study.load.wiring import Role
from lumen.study.words import amperes

DROP_NOTE = 0.05
"""Share of the supply lost in cords that is worth a note."""

DROP_ASK = 0.10
"""From twice that it is worth a question: our own rule."""

VOLTS_APART = 0.10
"""How far the supply may be from the volts on a label: about what the regions' supplies vary."""

_ROLES: tuple[Role, ...] = get_args(Role)
_ASK: tuple[Role, ...] = ("demand", "plug fuse", "electronic", "motor", "coiled cord")


@rule(60)
def any_limit_passed(facts: Facts) -> Iterator[Found]:
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
        grave = [found for found in passed if found[1] not in _ASK] or passed
        _, role, worst = max(grave, key=lambda found: found[0])
        severity: Severity = "warning" if role in _ASK else "danger"
        yield Found(
            (node.id,),
            f"{facts.the(node.id)} carries {amperes(worst.share.amperes)} and may carry "
            f"{amperes(worst.share.limit.amperes)} ({worst.share.limit.reason}), "
            f"{facts.when(worst.case)}.",
            severity,
            sum_of(facts, worst),
            assumed=guessed(facts, worst),
            limits=tuple(found[2].share.limit for found in passed),
        )


@rule(68)
def breaker_over_outlet(facts: Facts) -> Iterator[Found]:
    """A breaker larger than any that belongs before such an outlet, whatever the load."""
    most = facts.region.need("outlet_breaker_max_a")
    for outlet in facts.of(Outlet):
        breaker = facts.electrics.wiring.limits[outlet.fed_from]["breaker"]
        rating = outlet.rating_a or facts.region.need("outlet_a")
        if breaker.amperes <= max(most, rating) * GRACE:
            continue
        yield Found(
            (outlet.id, outlet.fed_from),
            f"{facts.the(outlet.id)} is one of {amperes(rating)} behind a {breaker.amperes:g} A "
            f"breaker; {max(most, rating):g} A is the most before it.",
            numbers=(
                ("outlet", rating, "A"),
                ("breaker", breaker.amperes, "A"),
                ("largest breaker before such an outlet", max(most, rating), "A"),
            ),
            assumed=None if outlet.rating_a else "rating of the outlet: usual in the region",
        )


@rule(70)
def volts_lost_in_cords(facts: Facts) -> Iterator[Found]:
    """Volts lost in the cords on the way to a thing, with everything on."""
    drops = {drop.id: drop for drop in facts.electrics.cord_drops}
    for item in facts.items.values():
        if item.id not in drops:
            continue
        way: list[Item] = [item]
        if not facts.low_volts(item):  # a driver makes up for what is lost before it
            way += facts.above(item)
        found = [drops[node.id] for node in way if node.id in drops]
        share = sum(drop.drop_share for drop in found)
        below = [i for i in facts.below(item.id) if i.id in drops and not facts.low_volts(i)]
        if share <= DROP_NOTE * GRACE or below:  # told where the way ends
            continue
        volts = facts.electrics.everything[item.id].volts_in
        lines: list[Line] = [
            (f"lost in the cord of {facts.the(drop.id)}", drop.drop_v, "V") for drop in found
        ]
        lines += [
            ("lost in all", share * volts, "V"),
            ("share of the supply", 100 * share, "%"),
            ("worth a note over", 100 * DROP_NOTE, "%"),
            ("worth a question over", 100 * DROP_ASK, "%"),
        ]
        yield Found(
            (item.id,),
            f"{facts.the(item.id)} gets {100 * share:.1f} % fewer volts than the supply: "
            f"{share * volts:.1f} V are lost in "
            f"{'the cord' if len(found) == 1 else 'the cords'} on the way.",
            "warning" if share > DROP_ASK * GRACE else "advice",
            tuple(lines),
        )


@rule(71)
def over_if_all_were_on(facts: Facts) -> Iterator[Found]:
    """A limit passed only if everything were on, which by seasons and times never happens."""
    if EVERYTHING in facts.electrics.together:
        return
    for item in facts.items.values():
        if not isinstance(item, Circuit | Outlet | PowerStrip | Extension):
            continue
        worst = _if_all(facts, item.id)
        if worst is None:
            continue
        share, meet = worst.share, facts.worst(item.id, _role_of(facts, item.id, worst))
        never = _never_together(facts, worst)
        yield Found(
            (item.id, *never),
            f"{facts.the(item.id)} would carry {amperes(share.amperes)} of "
            f"{amperes(share.limit.amperes)} ({share.limit.reason}) if {facts.list_of(never)} "
            "were on together; by the seasons and times that you gave they never are.",
            numbers=(
                *sum_of(facts, worst),
                *(() if meet is None else (("most by your times", meet.share.amperes, "A"),)),
            ),
            assumed=guessed(facts, worst),
        )


def _if_all(facts: Facts, node_id: str) -> Worst | None:
    """Return the limit that is passed most with everything on, though in no case that happens."""
    load = facts.electrics.everything[node_id]
    found = [
        Worst(EVERYTHING, share, load)
        for share in load.shares
        if share.share > GRACE
        and not any(
            other.limit is share.limit and other.share > GRACE
            for tree in facts.electrics.cases.values()
            for other in tree[node_id].shares
        )
    ]
    return max(found, key=lambda worst: worst.share.share, default=None)


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
def low_voltage_cord_thin(facts: Facts) -> Iterator[Found]:
    """A low-voltage cord of a light or LED strip over what its conductors may carry."""
    for item in facts.items.values():
        if not isinstance(item, Light | Strip | Appliance) or not facts.low_volts(item):
            continue
        worst = facts.worst(item.id, "cord")
        if worst is None or not over(worst):
            continue
        driver = next(node for node in facts.above(item) if isinstance(node, Driver))
        yield Found(
            (item.id, driver.id),
            f"the low-voltage cord of {facts.the(item.id)} carries {amperes(worst.share.amperes)} "
            f"at {driver.output_v:g} V and may carry {amperes(worst.share.limit.amperes)} "
            f"({worst.share.limit.reason}), {facts.when(worst.case)}.",
            numbers=sum_of(facts, worst),
            assumed=guessed(facts, worst),
            limits=(worst.share.limit,),
        )


@rule(73)
def label_volts_differ(facts: Facts) -> Iterator[Found]:
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
        yield Found(
            (item.id,),
            f"{facts.the(item.id)} is made for {low:g} V"
            + (f" to {high:g} V" if high > low else "")
            + f" and gets {volts:g} V: "
            + ("it would overheat or burn out." if more else "it would not run as it should."),
            "danger" if more else "warning",
            numbers=(("label, least", low, "V"), ("label, most", high, "V"), ("gets", volts, "V")),
        )
