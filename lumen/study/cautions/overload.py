"""Rules 1 to 9, 15 and 55: what circuits, outlets and power strips carry against what they may."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from lumen.power.demand import kept_up
from lumen.power.load import NOT_IN_STEP, NOT_IN_STEP_WORDS, Limit
from lumen.scenario.supply import Appliance, Circuit, Outlet, PowerStrip
from lumen.study.cautions.facts import GRACE, Facts, Item
from lumen.study.cautions.registry import Found, Line, Severity, rule
from lumen.study.load.electrics import EVERYTHING, Worst
from lumen.study.words import amperes

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
    tree = {EVERYTHING: facts.electrics.everything, **facts.electrics.cases}[worst.case]
    node_id = worst.load.node.id
    parts = [tree[child] for child in tree.children[node_id]]
    lines: list[Line] = [
        (facts.the(part.node.id), part.amperes, "A") for part in parts if part.amperes > 0.0
    ]
    limit = worst.share.limit
    plain = sum(part.amperes for part in parts)
    if limit.side == "in" and limit.counts in ("all", "demand"):
        if plain > NOT_IN_STEP * worst.load.amperes:
            lines.append((NOT_IN_STEP_WORDS, plain, "A"))
    elif limit.counts in _OF_A_KIND:
        lines = [
            (facts.the(part.node.id), held, "A")
            for part in parts
            if (held := part.held(limit)) > 0.0
        ]
    if limit.counts == "demand":
        lines.append(("current in all", worst.load.amperes, "A"))
        lines.append(("of it for 3 h or more", worst.load.amperes_continuous, "A"))
        lines.append(("with that part counted 1.25 times", worst.share.amperes, "A"))
    else:
        lines.append(("current in all", worst.share.amperes, "A"))
    guess = ", assumed" if limit.assumed else ""
    lines.append((f"limit: {limit.reason}{guess}", limit.amperes, "A"))
    lines.append(("share of the limit", 100.0 * worst.share.share, "%"))
    return tuple(lines)


def guessed(facts: Facts, worst: Worst) -> str | None:
    """Say what in an overload nobody has read: its limit, and the watts of what hangs there."""
    limit, said = worst.share.limit, []
    if limit.assumed:
        said.append(f"{limit.amperes:g} A is assumed: {limit.reason}")
    unread = [i for i in worst.load.loads if facts.watts_unread(i) and facts.amperes(i) > 0.0]
    if unread:
        first = sorted(unread, key=lambda i: -facts.amperes(i))[:_NAMED]
        more = f" and {len(unread) - _NAMED} more" if len(unread) > _NAMED else ""
        names = ", ".join(map(facts.the, first)) if more else facts.list_of(first)
        said.append(f"usual watts, label not read: {names}{more}")
    return "; ".join(said) or None


def _of_limit(worst: Worst, noun: str) -> str:
    word = f"assumed {noun}" if worst.share.limit.assumed else noun
    return f"{amperes(worst.share.amperes)}, and its {word} is {amperes(worst.share.limit.amperes)}"


def _biggest(facts: Facts, node_id: str) -> Item | None:
    plugged = [item for item in facts.children[node_id] if not isinstance(item, Outlet)]
    return max(plugged, key=lambda item: facts.amperes(item.id), default=None)


@rule(1)
def circuit_overloaded(facts: Facts) -> Iterator[Found]:
    """Everything on a circuit against its breaker."""
    for circuit in facts.of(Circuit):
        worst = facts.worst(circuit.id, "breaker")
        if worst is not None and over(worst):
            yield Found(
                (circuit.id,),
                f"{facts.the(circuit.id)} carries {_of_limit(worst, 'breaker')}, "
                f"{facts.when(worst.case)}.",
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
def continuous_over_80(facts: Facts) -> Iterator[Found]:
    """Long-running loads counted 1.25 times against the breaker."""
    for circuit in facts.of(Circuit):
        worst = facts.worst(circuit.id, "demand")
        if worst is not None and over(worst):
            lasting = amperes(worst.load.amperes_continuous)
            yield Found(
                (circuit.id,),
                f"of {amperes(worst.load.amperes)} on {facts.the(circuit.id)}, {lasting} runs for "
                f"3 h or more; counted 1.25 times that makes {_of_limit(worst, 'breaker')}, "
                f"{facts.when(worst.case)}.",
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                limits=(worst.share.limit,),
            )


@rule(3)
def item_too_big_to_share(facts: Facts) -> Iterator[Found]:
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
            yield Found(
                (item.id, circuit.id),
                f"{facts.the(item.id)} alone draws {amperes(drawn)}, more than "
                f"{100 * share:g} % ({amperes(share * breaker.amperes)}) of the "
                f"{breaker.amperes:g} A circuit that it shares.",
                numbers=(
                    (f"{facts.the(item.id)} draws", drawn, "A"),
                    ("breaker", breaker.amperes, "A"),
                    ("share for one item", 100 * share, "%"),
                    ("most for one item", share * breaker.amperes, "A"),
                ),
                assumed=f"{breaker.amperes:g} A breaker is assumed" if breaker.assumed else None,
            )


@rule(4)
def fastened_over_half(facts: Facts) -> Iterator[Found]:
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
            yield Found(
                (circuit.id, *(item.id for item in fixed)),
                f"{facts.list_of([item.id for item in fixed])}, fixed in place, draws "
                f"{amperes(total)}: more than half of the {breaker.amperes:g} A of "
                f"{facts.the(circuit.id)}, which feeds other things too.",
                numbers=(
                    *((facts.the(item.id), facts.amperes(item.id), "A") for item in fixed),
                    ("fixed equipment in all", total, "A"),
                    ("breaker", breaker.amperes, "A"),
                    ("share for fixed equipment", 100 * share, "%"),
                ),
                assumed=f"{breaker.amperes:g} A breaker is assumed" if breaker.assumed else None,
            )


@rule(5)
def outlet_overloaded(facts: Facts) -> Iterator[Found]:
    """Each plug against the hole it sits in."""
    for outlet in facts.of(Outlet):
        over_here = [
            worst
            for item in facts.children[outlet.id]
            if (worst := facts.worst(item.id, "hole")) is not None and over(worst)
        ]
        if over_here:
            over_here.sort(key=lambda found: -found.share.share)
            worst = over_here[0]
            item_id, *others = [found.load.node.id for found in over_here]
            severity, more = _past_the_rating(facts, outlet, worst)
            yield Found(
                (outlet.id, item_id, *others),
                f"{facts.the(item_id)} takes {amperes(worst.share.amperes)} through one hole of "
                f"{facts.the(outlet.id)}, which may carry {amperes(worst.share.limit.amperes)}, "
                f"{facts.when(worst.case)}."
                + (f" Likewise {facts.list_of(others)}." if others else "")
                + more,
                severity,
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                remedy=_of_one_thing(facts, outlet, worst),
                limits=tuple(found.share.limit for found in over_here),
            )


def _past_the_rating(facts: Facts, outlet: Outlet, worst: Worst) -> tuple[Severity, str]:
    """How grave it is: over the outlet's own rating, or only over the share that it may be used to.

    Where a region has a larger outlet too and nobody has read this one, a plug that would only fit
    the larger one is asked about.
    """
    rating, carried = _rating(facts, outlet), worst.share.amperes
    large = facts.region.number("outlet_large_a")
    if carried <= rating * GRACE:
        return "warning", f" Its own rating is {amperes(rating)}."
    if outlet.rating_a is None and large is not None and carried <= large * GRACE:
        return (
            "warning",
            f" It is taken as one of {rating:g} A; look whether it is one of {large:g} A.",
        )
    return "danger", ""


def _of_one_thing(facts: Facts, outlet: Outlet, worst: Worst) -> str | None:
    """What clears it when a single appliance is too much: its plug cannot be spread."""
    thing = facts.items[worst.load.node.id]
    if not isinstance(thing, Appliance):
        return None
    most = worst.share.limit.amperes * worst.load.volts_in
    return (
        f"One plug cannot be spread. Run {facts.the(thing.id)} on a setting of {most:.0f} W or "
        f"less, take a smaller one, or ask an electrician for an outlet on a circuit of its own."
    )


@rule(6)
def twin_outlet_high(facts: Facts) -> Iterator[Found]:
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
        yield Found(
            (outlet.id,),
            f"the {outlet.holes} holes of {facts.the(outlet.id)} together carry "
            f"{amperes(worst.share.amperes)}; {limit:g} A is the most for the whole plate, "
            f"{facts.when(worst.case)}.",
            severity,
            numbers=(
                *sum_of(facts, worst)[:-2],
                ("worth a warning from", warn, "A"),
                ("most for the plate", most, "A"),
            ),
            limits=(worst.share.limit,),
        )


@rule(7)
def outlet_hot_before_trip(facts: Facts) -> Iterator[Found]:
    """A load between what the outlet may carry and what the breaker lets through."""
    for outlet in facts.of(Outlet):
        breaker = facts.electrics.wiring.limits[outlet.fed_from]["breaker"]
        rating = _rating(facts, outlet)
        candidates: list[tuple[float, float, str]] = []
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
            carried, limit, case = max(hot)
            yield Found(
                (outlet.id, outlet.fed_from),
                f"{facts.the(outlet.id)} carries {amperes(carried)}, over its {amperes(limit)}, "
                f"and the {breaker.amperes:g} A breaker does not guard it, {facts.when(case)}.",
                numbers=(
                    ("current", carried, "A"),
                    ("outlet", limit, "A"),
                    ("breaker", breaker.amperes, "A"),
                ),
                assumed=_assumed(("outlet", outlet.rating_a is None), breaker),
            )


def _assumed(outlet: tuple[str, bool], breaker: Limit) -> str | None:
    """Say which of two ratings nobody has read."""
    said = [outlet[0]] if outlet[1] else []
    said += ["breaker"] if breaker.assumed else []
    return f"rating of the {' and the '.join(said)}: usual in the region" if said else None


@rule(8)
def strip_overloaded(facts: Facts) -> Iterator[Found]:
    """Everything on a power strip against its label and the breaker built into it."""
    for strip in facts.of(PowerStrip):
        label = facts.worst(strip.id, "label")
        trip = facts.worst(strip.id, "built-in breaker")
        worst = label if label is not None and over(label) else trip
        if worst is not None and over(worst):
            biggest = _biggest(facts, strip.id)
            yield Found(
                (strip.id,),
                f"{facts.the(strip.id)} carries {amperes(worst.share.amperes)} of its "
                f"{'assumed ' if worst.share.limit.assumed else ''}"
                f"{worst.share.limit.amperes:g} A {'label' if worst is label else 'breaker'}, "
                f"{facts.when(worst.case)}.",
                numbers=sum_of(facts, worst),
                fix=None if biggest is None else facts.plug_fix(biggest),
                assumed=guessed(facts, worst),
                limits=tuple(w.share.limit for w in (label, trip) if w is not None and over(w)),
            )


@rule(9)
def strip_near_limit(facts: Facts) -> Iterator[Found]:
    """A power strip over the usual share of its label."""
    share = facts.region.need("near_limit_share")
    for strip in facts.of(PowerStrip):
        worst = facts.worst(strip.id, "label")
        if worst is not None and over(worst, share):
            yield Found(
                (strip.id,),
                f"{facts.the(strip.id)} carries {amperes(worst.share.amperes)}: "
                f"{100 * worst.share.share:.0f} % of its "
                f"{'assumed ' if worst.share.limit.assumed else ''}"
                f"{worst.share.limit.amperes:g} A label, {facts.when(worst.case)}.",
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
            )


@rule(55)
def outlet_long_at_full(facts: Facts) -> Iterator[Found]:
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
                yield Found(
                    (outlet.id, item.id),
                    f"{facts.the(item.id)} takes {amperes(max(lasting))} for more than an hour "
                    f"through one hole of {facts.the(outlet.id)}.",
                    numbers=(
                        ("kept up for more than an hour", max(lasting), "A"),
                        ("planners count for long", most, "A"),
                        ("rating, tested for one hour", _rating(facts, outlet), "A"),
                    ),
                    assumed=None if outlet.rating_a else "rating of the outlet",
                )
                break


def _rating(facts: Facts, outlet: Outlet) -> float:
    return outlet.rating_a or facts.region.need("outlet_a")


@rule(15)
def two_heat_makers(facts: Facts) -> Iterator[Found]:
    """Several things that make heat on one outlet, or most of a circuit for them."""
    said: set[str] = set()
    for circuit in facts.of(Circuit):
        heat, total, case = _heat_together(facts, circuit.id)
        breaker = facts.electrics.wiring.limits[circuit.id]["breaker"]
        if len(heat) > 1 and total > HEAT_SHARE * breaker.amperes * GRACE:
            said |= {item.id for item in heat}
            found = _heat_found(
                facts, circuit.id, heat, total, "danger", HEAT_SHARE * breaker.amperes, case
            )
            guess = f"{breaker.amperes:g} A breaker is assumed" if breaker.assumed else None
            yield replace(found, assumed=guess)
    for outlet in facts.of(Outlet):
        heat, total, case = _heat_together(facts, outlet.id)
        if len(heat) > 1 and not said.issuperset(item.id for item in heat):
            yield _heat_found(facts, outlet.id, heat, total, "warning", None, case)


def _heat_together(facts: Facts, node_id: str) -> tuple[list[Item], float, str]:
    """Return what makes heat below a node in the case in which that is most, its amperes, the case.

    What warms a bed has a rule of its own, and small heat is none of this one's.
    """
    strong = [item for item in facts.below(node_id) if facts.heats_strongly(item)]
    best: tuple[list[Item], float, str] = ([], 0.0, "")
    for case, tree in facts.electrics.cases.items():
        on = [item for item in strong if tree[item.id].standby_w == 0.0 < tree[item.id].watts_in]
        total = sum(tree[item.id].amperes for item in on)
        if total > best[1] * (1 + 1e-9):
            best = (on, total, case)
    return best


def _heat_found(
    facts: Facts,
    at: str,
    heat: list[Item],
    total: float,
    severity: Severity,
    limit: float | None,
    case: str,
) -> Found:
    ids = [item.id for item in heat]
    words = f"{facts.list_of(ids)} make heat on {facts.the(at)}: {amperes(total)} together"
    if limit is not None:
        words += f", over four fifths of its breaker ({amperes(limit)})"
    words += f", {facts.when(case)}"
    lines: list[Line] = [(facts.the(item.id), facts.amperes(item.id), "A") for item in heat]
    lines.append(("together", total, "A"))
    if limit is not None:
        lines.append((f"{100 * HEAT_SHARE:g} % of the breaker", limit, "A"))
    least = min(heat, key=lambda item: facts.amperes(item.id))
    return Found((at, *ids), words + ".", severity, tuple(lines), facts.plug_fix(least, alone=True))
