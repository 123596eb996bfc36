"""Rules 1 to 9, 15 and 55: what circuits, outlets and power strips carry against what they may."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from lumen.power.demand import kept_up
from lumen.power.load import NOT_IN_STEP, Limit
from lumen.scenario.supply import Appliance, Circuit, Outlet, PowerStrip
from lumen.study.cautions.clauses import Clause, Line, clause, line, thing
from lumen.study.cautions.facts import GRACE, Facts, Item
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.load.day import Case
from lumen.study.load.electrics import Worst

_OF_A_KIND = ("electronic", "electronic watts", "motor")
HEAT_SHARE = 0.8
"""Share of a breaker that several heat-making things together may take: our own rule."""

_NAMED = 3  # so many unread labels are named, the rest counted
_LONG_H = 1.25  # longer than the hour of the outlet's own test, in whole quarter hours


def over(worst: Worst | None, share: float = 1.0) -> bool:
    """Return whether the worst case passes a share of its limit."""
    return worst is not None and worst.share.share > share * GRACE


def sum_of(facts: Facts, worst: Worst) -> tuple[Line, ...]:
    """Return the sum behind an overload: what is fed, the total, the limit, the share."""
    tree = facts.electrics.tree(worst.case)
    node_id = worst.load.node.id
    parts = [tree[child] for child in tree.children[node_id]]
    lines: list[Line] = [
        line("thing", part.amperes, "A", of=thing(part.node.id))
        for part in parts
        if part.amperes > 0.0
    ]
    limit = worst.share.limit
    plain = sum(part.amperes for part in parts)
    if limit.side == "in" and limit.counts in ("all", "demand"):
        if plain > NOT_IN_STEP * worst.load.amperes:
            lines.append(line("not-in-step", plain, "A"))
    elif limit.counts in _OF_A_KIND:
        lines = [
            line("thing", held, "A", of=thing(part.node.id))
            for part in parts
            if (held := part.held(limit)) > 0.0
        ]
    if limit.counts == "demand":
        lines.append(line("in-all", worst.load.amperes, "A"))
        lines.append(line("lasting", worst.load.amperes_continuous, "A"))
        lines.append(line("demand", worst.share.amperes, "A"))
    else:
        lines.append(line("in-all", worst.share.amperes, "A"))
    key = "limit-assumed" if limit.assumed else "limit"
    lines.append(line(key, limit.amperes, "A", reason=limit.reason))
    lines.append(line("share-of-limit", 100.0 * worst.share.share, "%"))
    return tuple(lines)


def guessed(facts: Facts, worst: Worst) -> tuple[Clause, ...]:
    """Return what in an overload nobody has read: its limit, and the watts of what hangs there."""
    limit, unsure = worst.share.limit, []
    if limit.assumed:
        unsure.append(clause("assumed-limit", limit_a=limit.amperes, reason=limit.reason))
    unread = [i for i in worst.load.loads if facts.watts_unread(i) and facts.amperes(i) > 0.0]
    if unread:
        first = sorted(unread, key=lambda i: -facts.amperes(i))[:_NAMED]
        more = len(unread) - _NAMED
        unsure.append(
            clause("unread-and-more", things=thing(*first), more=float(more))
            if more > 0
            else clause("unread", things=thing(*first))
        )
    return tuple(unsure)


def of_limit(worst: Worst) -> Clause:
    """Return what is carried of a limit, and whether that is assumed."""
    limit = worst.share.limit
    key = "of-assumed-limit" if limit.assumed else "of-limit"
    return clause(key, carried_a=worst.share.amperes, limit_a=limit.amperes)


def beyond_limit(worst: Worst, key: str, **things: str) -> Clause:
    """Return what is carried, what may be, what sets that, and when."""
    limit = worst.share.limit
    return clause(
        key,
        **{name: thing(item_id) for name, item_id in things.items()},
        carried_a=worst.share.amperes,
        limit_a=limit.amperes,
        reason=limit.reason,
        when=worst.case,
    )


def _biggest(facts: Facts, node_id: str) -> Item | None:
    plugged = [item for item in facts.children[node_id] if not isinstance(item, Outlet)]
    return max(plugged, key=lambda item: facts.amperes(item.id), default=None)


@rule(1)
def circuit_overloaded(facts: Facts) -> Iterator[Hazard]:
    """Everything on a circuit against its breaker."""
    for circuit in facts.of(Circuit):
        worst = facts.worst(circuit.id, "breaker")
        if worst is not None and over(worst):
            yield Hazard(
                (circuit.id,),
                clause(
                    "over", circuit=thing(circuit.id), of_limit=of_limit(worst), when=worst.case
                ),
                numbers=sum_of(facts, worst),
                fix=_to_another_circuit(facts, circuit),
                assumed=guessed(facts, worst),
                limits=(worst.share.limit,),
            )


def _to_another_circuit(facts: Facts, circuit: Circuit) -> dict[str, object] | None:
    plugs = [
        item
        for outlet in facts.children[circuit.id]
        if isinstance(outlet, Outlet)
        for item in facts.children[outlet.id]
    ]
    loads = [item for item in plugs if isinstance(item, Appliance)] or plugs
    if not loads:
        return None
    biggest = max(loads, key=lambda item: facts.amperes(item.id))
    need = facts.amperes(biggest.id)
    for outlet in facts.of(Outlet):
        other = facts.items[outlet.fed_from]
        free = outlet.holes > len(facts.children[outlet.id])
        limit = facts.electrics.wiring.limits[other.id]["breaker"].amperes
        if other.id != circuit.id and free and facts.amperes(other.id) + need <= limit:
            return {"name": "plug", "id": biggest.id, "args": {"into": outlet.id}}
    return None


@rule(2)
def continuous_over_80(facts: Facts) -> Iterator[Hazard]:
    """Long-running loads counted 1.25 times against the breaker."""
    for circuit in facts.of(Circuit):
        worst = facts.worst(circuit.id, "demand")
        if worst is not None and over(worst):
            yield Hazard(
                (circuit.id,),
                clause(
                    "over",
                    circuit=thing(circuit.id),
                    carried_a=worst.load.amperes,
                    lasting_a=worst.load.amperes_continuous,
                    of_limit=of_limit(worst),
                    when=worst.case,
                ),
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                limits=(worst.share.limit,),
            )


@rule(3)
def item_too_big_to_share(facts: Facts) -> Iterator[Hazard]:
    """One plug-in item over the share of a circuit that others use too."""
    share = facts.region.number("single_item_share") or 1.0
    for item in facts.of(Appliance):
        circuit = facts.circuit_of(item)
        if circuit is None or item.fixed:
            continue
        breaker = facts.electrics.wiring.limits[circuit.id]["breaker"]
        outlets = [node for node in facts.children[circuit.id] if isinstance(node, Outlet)]
        holes = sum(outlet.holes for outlet in outlets)
        shared = holes > 1 or len(facts.children[circuit.id]) > len(outlets)
        drawn = facts.amperes(item.id)
        if shared and drawn > share * breaker.amperes * GRACE:
            yield Hazard(
                (item.id, circuit.id),
                clause(
                    "over",
                    item=thing(item.id),
                    drawn_a=drawn,
                    share=share,
                    most_a=share * breaker.amperes,
                    breaker_a=breaker.amperes,
                ),
                numbers=(
                    line("draws", drawn, "A", of=thing(item.id)),
                    line("breaker", breaker.amperes, "A"),
                    line("share", 100 * share, "%"),
                    line("most", share * breaker.amperes, "A"),
                ),
                assumed=_guessed_breaker(breaker),
            )


@rule(4)
def fastened_over_half(facts: Facts) -> Iterator[Hazard]:
    """Equipment fixed in place, lights left out, over half of a shared circuit."""
    share = facts.region.number("fastened_share") or 1.0
    for circuit in facts.of(Circuit):
        fixed = [
            item
            for item in facts.below(circuit.id)
            if isinstance(item, Appliance) and (item.fixed or item.fed_from == circuit.id)
        ]
        others = [item for item in facts.children[circuit.id] if item not in fixed]
        total = sum(facts.amperes(item.id) for item in fixed)
        breaker = facts.electrics.wiring.limits[circuit.id]["breaker"]
        if fixed and others and total > share * breaker.amperes * GRACE:
            yield Hazard(
                (circuit.id, *(item.id for item in fixed)),
                clause(
                    "over",
                    fixed=thing(*(item.id for item in fixed)),
                    drawn_a=total,
                    breaker_a=breaker.amperes,
                    circuit=thing(circuit.id),
                ),
                numbers=(
                    *(line("thing", facts.amperes(i.id), "A", of=thing(i.id)) for i in fixed),
                    line("fixed", total, "A"),
                    line("breaker", breaker.amperes, "A"),
                    line("share", 100 * share, "%"),
                ),
                assumed=_guessed_breaker(breaker),
            )


def _guessed_breaker(breaker: Limit) -> tuple[Clause, ...]:
    return (clause("assumed-breaker", breaker_a=breaker.amperes),) if breaker.assumed else ()


@rule(5)
def outlet_overloaded(facts: Facts) -> Iterator[Hazard]:
    """Each plug against the hole it sits in."""
    for outlet in facts.of(Outlet):
        over_here = [
            worst
            for item in facts.children[outlet.id]
            if (worst := facts.worst(item.id, "hole")) is not None and over(worst)
        ]
        if over_here:
            over_here.sort(key=lambda each: -each.share.share)
            worst = over_here[0]
            item_id, *others = [each.load.node.id for each in over_here]
            severity, rating = _past_the_rating(facts, outlet, worst)
            yield Hazard(
                (outlet.id, item_id, *others),
                clause(
                    "over",
                    item=thing(item_id),
                    carried_a=worst.share.amperes,
                    outlet=thing(outlet.id),
                    limit_a=worst.share.limit.amperes,
                    when=worst.case,
                    likewise=(clause("likewise", others=thing(*others)),) if others else (),
                    rating=rating,
                ),
                severity,
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                remedy=_of_one_thing(facts, worst),
                limits=tuple(each.share.limit for each in over_here),
            )


def _past_the_rating(
    facts: Facts, outlet: Outlet, worst: Worst
) -> tuple[Severity, tuple[Clause, ...]]:
    """How grave it is: over the outlet's own rating, or only over the share that it may be used to.

    Where a region has a larger outlet too and nobody has read this one, a plug that would only fit
    the larger one is asked about.
    """
    rating, carried = _rating(facts, outlet), worst.share.amperes
    large = facts.region.number("outlet_large_a")
    if carried <= rating * GRACE:
        return "warning", (clause("own-rating", rating_a=rating),)
    if outlet.rating_a is None and large is not None and carried <= large * GRACE:
        return "warning", (clause("which-outlet", rating_a=rating, large_a=large),)
    return "danger", ()


def _of_one_thing(facts: Facts, worst: Worst) -> Clause | None:
    """What clears it when a single appliance is too much: its plug cannot be spread."""
    item = facts.items[worst.load.node.id]
    if not isinstance(item, Appliance):
        return None
    most_w = worst.share.limit.amperes * worst.load.volts_in
    return clause("one-plug", item=thing(item.id), most_w=most_w)


@rule(6)
def twin_outlet_high(facts: Facts) -> Iterator[Hazard]:
    """All holes of one plate together (UK, Japan)."""
    warn = facts.region.number("twin_warning_a")
    most = facts.region.number("twin_danger_a")
    if warn is None or most is None:
        return
    for outlet in facts.of(Outlet):
        worst = facts.worst(outlet.id, "plate")
        if outlet.holes < 2 or worst is None or worst.share.amperes <= warn * GRACE:
            continue
        severity: Severity = "danger" if worst.share.amperes > most * GRACE else "warning"
        limit = most if severity == "danger" else warn
        yield Hazard(
            (outlet.id,),
            clause(
                "over",
                holes=float(outlet.holes),
                outlet=thing(outlet.id),
                carried_a=worst.share.amperes,
                limit_a=limit,
                when=worst.case,
            ),
            severity,
            numbers=(
                *sum_of(facts, worst)[:-2],
                line("warn", warn, "A"),
                line("most", most, "A"),
            ),
            limits=(worst.share.limit,),
        )


@rule(7)
def outlet_hot_before_trip(facts: Facts) -> Iterator[Hazard]:
    """A load between what the outlet may carry and what the breaker lets through."""
    for outlet in facts.of(Outlet):
        breaker = facts.electrics.wiring.limits[outlet.fed_from]["breaker"]
        rating = _rating(facts, outlet)
        candidates: list[tuple[float, float, Case]] = []
        for item in facts.children[outlet.id]:
            worst = facts.worst(item.id, "hole")
            if worst is not None and facts.region.code != "UK":  # there the plug's fuse guards it
                candidates.append((worst.share.amperes, rating, worst.case))
        plate = facts.worst(outlet.id, "plate")
        if plate is not None and outlet.holes > 1 and facts.region.plate_a is not None:
            candidates.append((plate.share.amperes, facts.region.plate_a, plate.case))
        large = facts.region.number("outlet_large_a")
        asked = large is not None and outlet.rating_a is None  # rule 5 asks which outlet it is
        hot = [
            (a, limit, case)
            for a, limit, case in candidates
            if a > limit * GRACE
            and breaker.amperes > limit * GRACE
            and not (asked and a <= (large or 0.0) * GRACE)
        ]
        if hot:
            carried, limit, case = max(hot, key=lambda each: (*each[:2], each[2].key))
            yield Hazard(
                (outlet.id, outlet.fed_from),
                clause(
                    "over",
                    outlet=thing(outlet.id),
                    carried_a=carried,
                    limit_a=limit,
                    breaker_a=breaker.amperes,
                    when=case,
                ),
                numbers=(
                    line("current", carried, "A"),
                    line("outlet", limit, "A"),
                    line("breaker", breaker.amperes, "A"),
                ),
                assumed=_unread(outlet, breaker),
            )


def _unread(outlet: Outlet, breaker: Limit) -> tuple[Clause, ...]:
    """Return which of two ratings nobody has read."""
    if outlet.rating_a is not None:
        return (clause("usual-breaker"),) if breaker.assumed else ()
    return (clause("usual-both" if breaker.assumed else "usual-outlet"),)


@rule(8)
def strip_overloaded(facts: Facts) -> Iterator[Hazard]:
    """Everything on a power strip against its label and the breaker built into it."""
    for strip in facts.of(PowerStrip):
        label = facts.worst(strip.id, "label")
        trip = facts.worst(strip.id, "built-in breaker")
        worst = label if label is not None and over(label) else trip
        if worst is not None and over(worst):
            biggest = _biggest(facts, strip.id)
            yield Hazard(
                (strip.id,),
                clause(
                    "over-breaker"
                    if worst is trip
                    else "over-label-assumed"
                    if worst.share.limit.assumed
                    else "over-label",
                    strip=thing(strip.id),
                    carried_a=worst.share.amperes,
                    limit_a=worst.share.limit.amperes,
                    when=worst.case,
                ),
                numbers=sum_of(facts, worst),
                fix=None if biggest is None else facts.plug_fix(biggest),
                assumed=guessed(facts, worst),
                limits=tuple(w.share.limit for w in (label, trip) if w is not None and over(w)),
            )


@rule(9)
def strip_near_limit(facts: Facts) -> Iterator[Hazard]:
    """A power strip over the usual share of its label."""
    share = facts.region.need("near_limit_share")
    for strip in facts.of(PowerStrip):
        worst = facts.worst(strip.id, "label")
        if worst is not None and over(worst, share):
            yield Hazard(
                (strip.id,),
                clause(
                    "near-assumed" if worst.share.limit.assumed else "near",
                    strip=thing(strip.id),
                    carried_a=worst.share.amperes,
                    share=worst.share.share,
                    limit_a=worst.share.limit.amperes,
                    when=worst.case,
                ),
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
            )


@rule(55)
def outlet_long_at_full(facts: Facts) -> Iterator[Hazard]:
    """A plug that takes more than its outlet is meant for over hours, though not too much."""
    most = facts.region.number("outlet_long_a")
    if most is None:
        return
    tree = facts.electrics.everything
    for outlet in facts.of(Outlet):
        if outlet.rating_a is not None and outlet.rating_a <= most:
            continue  # rule 5 says it
        for item in facts.children[outlet.id]:
            lasting = [tree[item.id].amperes_continuous]
            lasting += [
                kept_up(day.amperes[item.id], _LONG_H) for day in facts.electrics.days.values()
            ]
            if max(lasting) > most * GRACE:
                yield Hazard(
                    (outlet.id, item.id),
                    clause(
                        "long",
                        item=thing(item.id),
                        lasting_a=max(lasting),
                        outlet=thing(outlet.id),
                    ),
                    numbers=(
                        line("lasting-hour", max(lasting), "A"),
                        line("planned", most, "A"),
                        line("rating", _rating(facts, outlet), "A"),
                    ),
                    assumed=() if outlet.rating_a else (clause("assumed-rating"),),
                )
                break


def _rating(facts: Facts, outlet: Outlet) -> float:
    return outlet.rating_a or facts.region.need("outlet_a")


@rule(15)
def two_heat_makers(facts: Facts) -> Iterator[Hazard]:
    """Several things that make heat on one outlet, or most of a circuit for them."""
    told: set[str] = set()
    for circuit in facts.of(Circuit):
        heat, total, case = _heat_together(facts, circuit.id)
        breaker = facts.electrics.wiring.limits[circuit.id]["breaker"]
        if len(heat) > 1 and total > HEAT_SHARE * breaker.amperes * GRACE:
            told |= {item.id for item in heat}
            most_a = HEAT_SHARE * breaker.amperes
            hazard = _heat_makers(facts, circuit.id, heat, total, "danger", most_a, case)
            yield replace(hazard, assumed=_guessed_breaker(breaker))
    for outlet in facts.of(Outlet):
        heat, total, case = _heat_together(facts, outlet.id)
        if len(heat) > 1 and not told.issuperset(item.id for item in heat):
            yield _heat_makers(facts, outlet.id, heat, total, "warning", None, case)


def _heat_together(facts: Facts, node_id: str) -> tuple[list[Item], float, Case | None]:
    """Return what makes heat below a node in the case in which that is most, its amperes, the case.

    What warms a bed has a rule of its own, and small heat is none of this one's.
    """
    strong = [item for item in facts.below(node_id) if facts.heats_strongly(item)]
    best: tuple[list[Item], float, Case | None] = ([], 0.0, None)
    for case, tree in facts.electrics.cases.items():
        on = [item for item in strong if tree[item.id].standby_w == 0.0 < tree[item.id].watts_in]
        total = sum(tree[item.id].amperes for item in on)
        if total > best[1] * (1 + 1e-9):
            best = (on, total, case)
    return best


def _heat_makers(
    facts: Facts,
    at: str,
    heat: list[Item],
    total: float,
    severity: Severity,
    limit: float | None,
    case: Case | None,
) -> Hazard:
    assert case is not None  # several things that make heat are on in some case
    ids = [item.id for item in heat]
    fact = clause(
        "heat",
        things=thing(*ids),
        at=thing(at),
        carried_a=total,
        over=() if limit is None else (clause("over-share", limit_a=limit),),
        when=case,
    )
    lines = [line("thing", facts.amperes(item.id), "A", of=thing(item.id)) for item in heat]
    lines.append(line("together", total, "A"))
    if limit is not None:
        lines.append(line("share-of-breaker", limit, "A", share=HEAT_SHARE))
    least = min(heat, key=lambda item: facts.amperes(item.id))
    return Hazard((at, *ids), fact, severity, tuple(lines), facts.plug_fix(least, alone=True))
