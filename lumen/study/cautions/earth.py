"""Rules 28 to 31, 48, 66 and 67: earth and polarity, from the outlet to the lamp holder."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Adapter, Appliance, Outlet, PowerStrip
from lumen.study.cautions.clauses import Clause, clause, line, thing
from lumen.study.cautions.facts import Facts, Item
from lumen.study.cautions.registry import Hazard, rule


def breaks_in_earth(facts: Facts, item: Light | Appliance) -> list[Clause]:
    """Return where the earth of an item is known to be broken."""
    breaks = []
    if item.cord is not None and item.cord.cores == 2:
        breaks.append(clause("two-cores"))
    if item.plug in ("two-pin", "two-pin polarised"):
        breaks.append(clause("two-pins"))
    for node in facts.above(item):
        if isinstance(node, Adapter) and not node.passes_earth:
            breaks.append(clause("adapter", at=thing(node.id)))
        if isinstance(node, Outlet) and node.earthed is False:
            breaks.append(clause("outlet", at=thing(node.id)))
        cord = getattr(node, "cord", None)
        if cord is not None and cord.cores == 2:
            breaks.append(clause("cord", at=thing(node.id)))
    return breaks


def needs_earth(item: Light | Appliance) -> bool:
    """Return whether an item must be earthed: class I, or metal and made for fixed wiring."""
    if item.protection_class is not None:
        return item.protection_class == "I"
    return isinstance(item, Light) and item.body == "metal" and item.made_for == "fixed wiring"


@rule(28)
def metal_light_no_earth(facts: Facts) -> Iterator[Hazard]:
    """An item that must be earthed, with a break in its earth on the way."""
    items: list[Light | Appliance] = [*facts.of(Light), *facts.of(Appliance)]
    for item in items:
        if not needs_earth(item) or facts.low_volts(item) or facts.parent(item) is None:
            continue
        broken = breaks_in_earth(facts, item)
        if broken:
            yield Hazard(
                (item.id,),
                clause(
                    "class-1" if item.protection_class == "I" else "metal",
                    item=thing(item.id),
                    broken=tuple(broken),
                ),
                assumed=() if item.protection_class else (clause("as-class-1"),),
            )


@rule(29)
def class_unknown(facts: Facts) -> Iterator[Hazard]:
    """A metal light on the mains with no class recorded."""
    for light in facts.of(Light):
        if light.body == "metal" and light.protection_class is None and not facts.low_volts(light):
            yield Hazard(
                (light.id,),
                clause("no-mark", light=thing(light.id)),
                assumed=(clause("as-class-1", light=thing(light.id)),),
            )


@rule(30)
def polarity_unmarked(facts: Facts) -> Iterator[Hazard]:
    """A cord with nothing to tell line from neutral, or a two-pin plug with an in-line switch."""
    for light in facts.of(Light):
        if facts.low_volts(light):
            continue
        if light.cord is not None and light.cord.marked is False:
            yield Hazard(
                (light.id,),
                clause("cord", light=thing(light.id)),
            )
        elif light.plug == "two-pin" and light.inline_switch:
            yield Hazard(
                (light.id,),
                clause("plug", light=thing(light.id)),
            )


@rule(31)
def reversible_plug(facts: Facts) -> Iterator[Hazard]:
    """A light with a switch in its cord where plugs go in either way."""
    if facts.region.text("reversible_plug") != "yes":
        return
    for light in facts.of(Light):
        if light.inline_switch and not facts.low_volts(light):
            yield Hazard(
                (light.id,),
                clause("switch", light=thing(light.id)),
            )


@rule(48)
def no_earth_slot(facts: Facts) -> Iterator[Hazard]:
    """A three-pin plug on an outlet without earth, or on an adapter that drops it."""
    for outlet in facts.of(Outlet):
        if outlet.earthed is False:
            plugs = [item.id for item in facts.children[outlet.id] if _three_pins(item)]
            if plugs:
                yield Hazard(
                    (outlet.id, *plugs),
                    clause("outlet", outlet=thing(outlet.id), plugs=thing(*plugs)),
                )
    for adapter in facts.of(Adapter):
        if not adapter.passes_earth:
            plugs = [item.id for item in facts.children[adapter.id] if _three_pins(item)]
            if plugs:
                yield Hazard(
                    (adapter.id, *plugs),
                    clause("adapter", adapter=thing(adapter.id), plugs=thing(*plugs)),
                )


def _three_pins(item: Item) -> bool:
    if isinstance(item, Strip | Outlet):
        return False
    if getattr(item, "plug", None) is not None:
        return getattr(item, "plug", None) == "earthed"
    if getattr(item, "protection_class", None) == "I":
        return True
    cord = getattr(item, "cord", None)
    return isinstance(item, PowerStrip | Light | Appliance) and cord is not None and cord.cores == 3


@rule(66)
def class_3_on_mains(facts: Facts) -> Iterator[Hazard]:
    """A thing made for separated extra-low voltage (class III) that is fed from the mains."""
    items: list[Light | Appliance] = [*facts.of(Light), *facts.of(Appliance)]
    for item in items:
        parent = facts.parent(item)
        if item.protection_class != "III" or parent is None or facts.low_volts(item):
            continue
        volts = facts.electrics.everything[item.id].volts_in
        yield Hazard(
            (item.id, parent.id),
            clause("mains", item=thing(item.id), supply_v=volts, feeder=thing(parent.id)),
            numbers=(line("supply", volts, "V"),),
        )


@rule(67)
def earth_unknown(facts: Facts) -> Iterator[Hazard]:
    """An item that must be earthed on an outlet of which nobody knows whether it has an earth."""
    items: list[Light | Appliance] = [*facts.of(Light), *facts.of(Appliance)]
    for item in items:
        if not needs_earth(item) or facts.low_volts(item) or breaks_in_earth(facts, item):
            continue
        outlet = facts.outlet_of(item)
        if outlet is not None and outlet.earthed is None:
            yield Hazard(
                (item.id, outlet.id),
                clause("unknown", item=thing(item.id), outlet=thing(outlet.id)),
            )
