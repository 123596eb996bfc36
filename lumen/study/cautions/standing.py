"""Rules 42, 44, 45, 47, 49, 50: remote plugs, standby, protection, signs, volts, guesses."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.power.energy import cost_of_energy, energy_kwh
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
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.overload import guessed, over, sum_of
from lumen.study.cautions.registry import Found, Line, rule
from lumen.study.words import amperes

STANDBY_NOTE_W = 5.0


@rule(42)
def receiver_overloaded(facts: Facts) -> Iterator[Found]:
    """A remote plug over its ratings, or anywhere but in a wall outlet."""
    for receiver in facts.of(Receiver):
        resistive = facts.worst(receiver.id, "resistive")
        electronic = facts.worst(receiver.id, "electronic")
        if resistive is not None and over(resistive):
            yield Found(
                (receiver.id,),
                f"{facts.the(receiver.id)} switches {amperes(resistive.share.amperes)} and is "
                f"made for {amperes(resistive.share.limit.amperes)}.",
                "danger",
                sum_of(facts, resistive),
                assumed=guessed(facts, resistive),
            )
        elif electronic is not None and over(electronic):
            yield Found(
                (receiver.id,),
                f"{facts.the(receiver.id)} switches {amperes(electronic.share.amperes)} of "
                "electronic load; for that kind it is made for "
                f"{amperes(electronic.share.limit.amperes)}.",
                "warning",
                sum_of(facts, electronic),
                assumed=guessed(facts, electronic),
            )
        else:
            parent = facts.parent(receiver)
            if isinstance(parent, PowerStrip | Extension | Adapter | Receiver):
                yield Found(
                    (receiver.id, parent.id),
                    f"{facts.the(receiver.id)} sits in {facts.the(parent.id)}; such plugs are "
                    "made for wall outlets.",
                    "warning",
                    fix=facts.plug_fix(receiver),
                    title="Remote plug not in a wall outlet",
                    tell="Makers of such plugs ask for a fixed outlet: not in a strip, not on an "
                    "extension cord, not one behind another.",
                )


@rule(44)
def standby_high(facts: Facts) -> Iterator[Found]:
    """Everything off, and what still draws."""
    nodes = facts.electrics.wiring.nodes
    off = solve_tree(nodes, {node.id: 0.0 for node in nodes if node.kind == "load"})
    if off.total_w <= STANDBY_NOTE_W or not off.roots:
        return
    waiting: list[Line] = [
        (facts.the(node.id), node.standby_w, "W") for node in nodes if node.standby_w > 0.0
    ]
    kwh = energy_kwh(off.total_w, 24.0, 365.0)
    cost = cost_of_energy(kwh, facts.electrics.tariff)
    ids = [node.id for node in nodes if node.standby_w > 0.0]
    root = off.roots[0]
    yield Found(
        (root, *ids),
        f"with everything off {off.total_w:.1f} W stay on: about {kwh:.0f} kWh a year, "
        f"{cost:.0f} {facts.region.currency}.",
        numbers=(
            *waiting,
            ("in all, with losses", off.total_w, "W"),
            ("worth a note over", STANDBY_NOTE_W, "W"),
            ("in a year", kwh, "kWh"),
            ("price of 1 kWh", facts.electrics.tariff, facts.region.currency),
            ("in a year", cost, facts.region.currency),
        ),
    )


@rule(45)
def protection_unknown(facts: Facts) -> Iterator[Found]:
    """A circuit of which nobody knows, or somebody knows the lack of, its protection."""
    for circuit in facts.of(Circuit):
        asked = []
        american = facts.region.code in ("US", "CA")
        kinds = [("arc-fault", circuit.arc_fault_protection)] if american else []
        if not american:
            kinds = [("leakage", circuit.leakage_protection)]
        for what, known in kinds:
            if not known:
                asked.append(
                    f"no {what} protection" if known is False else f"{what} protection unknown"
                )
        if asked:
            item = "arc_fault" if american else "leakage_protection"
            yield Found(
                (circuit.id,),
                f"{facts.the(circuit.id)}: {', '.join(asked)}. In this region: "
                f"{facts.region.text(item)} ({facts.region.source(item)}).",
            )


@rule(47)
def danger_signs(facts: Facts) -> Iterator[Found]:
    """Any sign that the person ticked."""
    items: list[Circuit | Outlet | PowerStrip] = [
        *facts.of(Circuit),
        *facts.of(Outlet),
        *facts.of(PowerStrip),
    ]
    for item in items:
        if item.signs:
            yield Found((item.id,), f"{facts.the(item.id)}: you noted {', '.join(item.signs)}.")


@rule(49)
def supply_volts_off(facts: Facts) -> Iterator[Found]:
    """A measured supply outside the region's usual range."""
    low, high = facts.region.need("low_v"), facts.region.need("high_v")
    circuits = list(facts.of(Circuit))
    measured = facts.scenario.supply_volts
    pairs = [(c.id, c.volts or measured) for c in circuits] or [("supply", measured)]
    for item_id, volts in pairs:
        if volts is not None and not low <= volts <= high:
            side = "under" if volts < low else "over"
            yield Found(
                (item_id,),
                f"{facts.the(item_id)} has {volts:g} V, {side} the usual {low:g} to {high:g} V.",
                numbers=(("supply", volts, "V"), ("low", low, "V"), ("high", high, "V")),
            )


@rule(50)
def watts_guessed(facts: Facts) -> Iterator[Found]:
    """Watts that nobody has read from a label."""
    for item in facts.of(Appliance):
        kind = facts.kind(item)
        if not facts.watts_unread(item.id):
            continue
        watts = facts.electrics.everything[item.id].node.watts
        usual = f"usual for {kind.name}" if item.power_w is None and kind else "not read"
        lines: list[Line] = [("reckoned with", watts, "W")]
        if kind is not None:
            lines += [("usual, low", kind.watts[0], "W"), ("usual, high", kind.watts[2], "W")]
        yield Found(
            (item.id,),
            f"nobody has read the label of {facts.the(item.id)}: {watts:g} W is {usual}.",
            numbers=tuple(lines),
            assumed=f"{watts:g} W for {facts.the(item.id)}",
        )
