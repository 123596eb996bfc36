"""Rules 28 to 31, 48, 66 and 67: earth and polarity, from the outlet to the lamp holder."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Adapter, Appliance, Outlet, PowerStrip
from lumen.study.cautions.facts import Facts, Item
from lumen.study.cautions.registry import Found, rule


def breaks_in_earth(facts: Facts, item: Light | Appliance) -> list[str]:
    """Return where the earth of an item is known to be broken, in words."""
    found = []
    if item.cord is not None and item.cord.cores == 2:
        found.append("its cord has two cores")
    if item.plug in ("two-pin", "two-pin polarised"):
        found.append("its plug has two pins")
    for node in facts.above(item):
        if isinstance(node, Adapter) and not node.passes_earth:
            found.append(f"{facts.the(node.id)} passes no earth")
        if isinstance(node, Outlet) and node.earthed is False:
            found.append(f"{facts.the(node.id)} has no earth")
        cord = getattr(node, "cord", None)
        if cord is not None and cord.cores == 2:
            found.append(f"the cord of {facts.the(node.id)} has two cores")
    return found


def needs_earth(item: Light | Appliance) -> bool:
    """Return whether an item must be earthed: class I, or metal and made for fixed wiring."""
    if item.protection_class is not None:
        return item.protection_class == "I"
    return isinstance(item, Light) and item.body == "metal" and item.made_for == "fixed wiring"


@rule(28)
def metal_light_no_earth(facts: Facts) -> Iterator[Found]:
    """An item that must be earthed, with a break in its earth on the way."""
    items: list[Light | Appliance] = [*facts.of(Light), *facts.of(Appliance)]
    for item in items:
        if not needs_earth(item) or facts.low_volts(item) or facts.parent(item) is None:
            continue
        broken = breaks_in_earth(facts, item)
        if broken:
            mark = "is class I" if item.protection_class == "I" else "is metal, for fixed wiring"
            yield Found(
                (item.id,),
                f"{facts.the(item.id)} {mark} and must be earthed, but {' and '.join(broken)}.",
                assumed=None if item.protection_class else "treated as class I",
            )


@rule(29)
def class_unknown(facts: Facts) -> Iterator[Found]:
    """A metal light on the mains with no class recorded."""
    for light in facts.of(Light):
        if light.body == "metal" and light.protection_class is None and not facts.low_volts(light):
            yield Found(
                (light.id,),
                f"{facts.the(light.id)} has a metal body, and no mark is recorded: neither the "
                "square within a square nor an earth terminal.",
                assumed=f"{facts.the(light.id)} is treated as class I",
            )


@rule(30)
def polarity_unmarked(facts: Facts) -> Iterator[Found]:
    """A cord with nothing to tell line from neutral, or a two-pin plug with an in-line switch."""
    for light in facts.of(Light):
        if facts.low_volts(light):
            continue
        if light.cord is not None and light.cord.marked is False:
            yield Found(
                (light.id,),
                f"no rib, stripe or colour tells line from neutral in the cord of "
                f"{facts.the(light.id)}.",
            )
        elif light.plug == "two-pin" and light.inline_switch:
            yield Found(
                (light.id,),
                f"the plug of {facts.the(light.id)} goes in either way, and its switch breaks one "
                "wire only.",
            )


@rule(31)
def reversible_plug(facts: Facts) -> Iterator[Found]:
    """A light with a switch in its cord where plugs go in either way."""
    if facts.region.text("reversible_plug") != "yes":
        return
    for light in facts.of(Light):
        if light.inline_switch and not facts.low_volts(light):
            yield Found(
                (light.id,),
                f"the switch in the cord of {facts.the(light.id)} breaks one wire, and the plug "
                "decides which.",
            )


@rule(48)
def no_earth_slot(facts: Facts) -> Iterator[Found]:
    """A three-pin plug on an outlet without earth, or on an adapter that drops it."""
    for outlet in facts.of(Outlet):
        if outlet.earthed is False:
            plugs = [item.id for item in facts.children[outlet.id] if _three_pins(item)]
            if plugs:
                yield Found(
                    (outlet.id, *plugs),
                    f"{facts.the(outlet.id)} has no earth, and the plug of "
                    f"{facts.list_of(plugs)} needs one.",
                )
    for adapter in facts.of(Adapter):
        if not adapter.passes_earth:
            plugs = [item.id for item in facts.children[adapter.id] if _three_pins(item)]
            if plugs:
                yield Found(
                    (adapter.id, *plugs),
                    f"{facts.the(adapter.id)} passes no earth to {facts.list_of(plugs)}.",
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
def class_3_on_mains(facts: Facts) -> Iterator[Found]:
    """A thing made for separated extra-low voltage (class III) that is fed from the mains."""
    items: list[Light | Appliance] = [*facts.of(Light), *facts.of(Appliance)]
    for item in items:
        parent = facts.parent(item)
        if item.protection_class != "III" or parent is None or facts.low_volts(item):
            continue
        volts = facts.electrics.everything[item.id].volts_in
        yield Found(
            (item.id, parent.id),
            f"{facts.the(item.id)} is class III, made for a low-voltage supply, and hangs on "
            f"{volts:g} V through {facts.the(parent.id)}.",
            numbers=(("supply", volts, "V"),),
        )


@rule(67)
def earth_unknown(facts: Facts) -> Iterator[Found]:
    """An item that must be earthed on an outlet of which nobody knows whether it has an earth."""
    items: list[Light | Appliance] = [*facts.of(Light), *facts.of(Appliance)]
    for item in items:
        if not needs_earth(item) or facts.low_volts(item) or breaks_in_earth(facts, item):
            continue
        outlet = facts.outlet_of(item)
        if outlet is not None and outlet.earthed is None:
            yield Found(
                (item.id, outlet.id),
                f"{facts.the(item.id)} must be earthed, and nobody has written down whether "
                f"{facts.the(outlet.id)} has an earth.",
            )
