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
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.overload import guessed, over, sum_of
from lumen.study.cautions.registry import Found, Line, rule
from lumen.study.load.electrics import all_off
from lumen.study.words import amperes, watts

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
                limits=(resistive.share.limit,),
            )
        elif electronic is not None and over(electronic):
            carried, most = electronic.share.amperes, electronic.share.limit.amperes
            if electronic.share.limit.counts == "electronic watts":
                volts = electronic.load.volts_in
                words = (watts(carried * volts), watts(most * volts))
            else:
                words = (amperes(carried), amperes(most))
            yield Found(
                (receiver.id,),
                f"{facts.the(receiver.id)} switches {words[0]} of electronic load; for that kind "
                f"it is made for {words[1]}.",
                "warning",
                sum_of(facts, electronic),
                assumed=guessed(facts, electronic),
                limits=(electronic.share.limit,),
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
    """Everything off, the remote plugs too, and what still draws: the energy list's standby."""
    nodes = facts.electrics.wiring.nodes
    off = solve_tree(nodes, all_off(facts.electrics.wiring))
    if off.total_w <= STANDBY_NOTE_W * GRACE or not off.roots:
        return
    own = [(node.id, off[node.id].standby_w, node.kind) for node in nodes]
    ids = [i for i, drawn, kind in own if drawn > 0.0 and kind in ("load", "receiver", "driver")]
    waiting: list[Line] = [(facts.the(i), off[i].standby_w, "W") for i in ids]
    kwh = facts.electrics.year.standby_kwh
    cost = cost_of_energy(kwh, facts.electrics.tariff)
    root = off.roots[0]
    yield Found(
        (root, *ids),
        f"with everything off {off.total_w:.1f} W stay on; waiting takes about {kwh:.0f} kWh a "
        f"year, {cost:.0f} {facts.region.currency}.",
        numbers=(
            *waiting,
            ("in all, with losses", off.total_w, "W"),
            ("worth a note over", STANDBY_NOTE_W, "W"),
            ("in a year, while it is not running", kwh, "kWh"),
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
