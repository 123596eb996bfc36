"""Rules 42, 44, 45, 47, 49, 50: remote plugs, standby, protection, signs, volts, guesses."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.power.energy import cost_of_energy
from lumen.power.load import solve_tree
from lumen.scenario.supply import (
    Adapter,
    Appliance,
    Circuit,
    Extension,
    Outlet,
    PowerStrip,
    Receiver,
)
from lumen.study.cautions.clauses import clause, line, thing
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.overload import guessed, over, sum_of
from lumen.study.cautions.registry import Hazard, rule
from lumen.study.load.electrics import all_off

STANDBY_NOTE_W = 5.0


@rule(42)
def receiver_overloaded(facts: Facts) -> Iterator[Hazard]:
    """A remote plug over its ratings, or anywhere but in a wall outlet."""
    for receiver in facts.of(Receiver):
        resistive = facts.worst(receiver.id, "resistive")
        electronic = facts.worst(receiver.id, "electronic")
        if resistive is not None and over(resistive):
            yield Hazard(
                (receiver.id,),
                clause(
                    "over",
                    receiver=thing(receiver.id),
                    carried_a=resistive.share.amperes,
                    limit_a=resistive.share.limit.amperes,
                ),
                "danger",
                sum_of(facts, resistive),
                assumed=guessed(facts, resistive),
                limits=(resistive.share.limit,),
            )
        elif electronic is not None and over(electronic):
            carried, most = electronic.share.amperes, electronic.share.limit.amperes
            of = thing(receiver.id)
            if electronic.share.limit.counts == "electronic watts":
                volts = electronic.load.volts_in
                drawn_w, limit_w = carried * volts, most * volts
                fact = clause("electronic-w", receiver=of, drawn_w=drawn_w, limit_w=limit_w)
            else:
                fact = clause("electronic-a", receiver=of, carried_a=carried, limit_a=most)
            yield Hazard(
                (receiver.id,),
                fact,
                "warning",
                sum_of(facts, electronic),
                assumed=guessed(facts, electronic),
                limits=(electronic.share.limit,),
            )
        else:
            parent = facts.parent(receiver)
            if isinstance(parent, PowerStrip | Extension | Adapter | Receiver):
                yield Hazard(
                    (receiver.id, parent.id),
                    clause("not-at-wall", receiver=thing(receiver.id), feeder=thing(parent.id)),
                    "warning",
                    fix=facts.plug_fix(receiver),
                    title=clause("not-at-wall-title"),
                    tell=clause("not-at-wall-tell"),
                )


@rule(44)
def standby_high(facts: Facts) -> Iterator[Hazard]:
    """Everything off, the remote plugs too, and what still draws: the energy list's standby."""
    nodes = facts.electrics.wiring.nodes
    off = solve_tree(nodes, all_off(facts.electrics.wiring))
    if off.total_w <= STANDBY_NOTE_W * GRACE or not off.roots:
        return
    own = [(node.id, off[node.id].standby_w, node.kind) for node in nodes]
    ids = [i for i, drawn, kind in own if drawn > 0.0 and kind in ("load", "receiver", "driver")]
    waiting = [line("thing", off[i].standby_w, "W", of=thing(i)) for i in ids]
    kwh = facts.electrics.year.standby_kwh
    cost = cost_of_energy(kwh, facts.electrics.tariff)
    root = off.roots[0]
    yield Hazard(
        (root, *ids),
        clause(
            "waiting", off_w=off.total_w, year_kwh=kwh, cost=cost, currency=facts.region.currency
        ),
        numbers=(
            *waiting,
            line("in-all", off.total_w, "W"),
            line("note-over", STANDBY_NOTE_W, "W"),
            line("year", kwh, "kWh"),
            line("price", facts.electrics.tariff, facts.region.currency),
            line("cost", cost, facts.region.currency),
        ),
    )


@rule(45)
def protection_unknown(facts: Facts) -> Iterator[Hazard]:
    """A circuit of which nobody knows, or somebody knows the lack of, its protection."""
    for circuit in facts.of(Circuit):
        american = facts.region.code in ("US", "CA")
        known = circuit.arc_fault_protection if american else circuit.leakage_protection
        if not known:
            what = "arc" if american else "leakage"
            item = "arc_fault" if american else "leakage_protection"
            yield Hazard(
                (circuit.id,),
                clause(
                    f"no-{what}" if known is False else f"{what}-unknown",
                    circuit=thing(circuit.id),
                    here=facts.region.text(item),
                    source=facts.region.source(item),
                ),
            )


@rule(47)
def danger_signs(facts: Facts) -> Iterator[Hazard]:
    """Any sign that the person ticked."""
    items: list[Circuit | Outlet | PowerStrip] = [
        *facts.of(Circuit),
        *facts.of(Outlet),
        *facts.of(PowerStrip),
    ]
    for item in items:
        if item.signs:
            signs = tuple(clause(sign) for sign in item.signs)
            yield Hazard((item.id,), clause("signs", item=thing(item.id), signs=signs))


@rule(49)
def supply_volts_off(facts: Facts) -> Iterator[Hazard]:
    """A measured supply outside the region's usual range."""
    low, high = facts.region.need("low_v"), facts.region.need("high_v")
    circuits = list(facts.of(Circuit))
    measured = facts.scenario.supply_volts
    pairs = [(c.id, c.volts or measured) for c in circuits] or [("supply", measured)]
    for item_id, volts in pairs:
        if volts is not None and not low <= volts <= high:
            key = "under" if volts < low else "over"
            yield Hazard(
                (item_id,),
                clause(key, of=thing(item_id), supply_v=volts, low_v=low, high_v=high),
                numbers=(
                    line("supply", volts, "V"),
                    line("low", low, "V"),
                    line("high", high, "V"),
                ),
            )


@rule(50)
def watts_guessed(facts: Facts) -> Iterator[Hazard]:
    """Watts that nobody has read from a label."""
    for item in facts.of(Appliance):
        kind = facts.kind(item)
        if not facts.watts_unread(item.id):
            continue
        watts = facts.electrics.everything[item.id].node.watts
        fact = (
            clause("usual", item=thing(item.id), drawn_w=watts, kind=kind.name)
            if item.power_w is None and kind
            else clause("unread", item=thing(item.id), drawn_w=watts)
        )
        lines = [line("reckoned-with", watts, "W")]
        if kind is not None:
            lines.append(line("usual-low", kind.watts[0], "W"))
            lines.append(line("usual-high", kind.watts[2], "W"))
        yield Hazard(
            (item.id,),
            fact,
            numbers=tuple(lines),
            assumed=(clause("assumed", drawn_w=watts, item=thing(item.id)),),
        )
