"""Rules 14, 16, 17, 35, 40, 46, 69, 80, 81: what makes heat, what feeds it, what is near it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lumen.power.heat import NOTE_K, WARNING_K, CompartmentHeat
from lumen.scenario.lights import Light
from lumen.scenario.room import Compartment
from lumen.scenario.supply import (
    Adapter,
    Appliance,
    Driver,
    Extension,
    Outlet,
    PowerStrip,
    Receiver,
)
from lumen.study.cautions.clauses import Clause, clause, line, line_of, thing
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.load.warmth import BEDDING, charges, heat_parts, inside_of
from lumen.study.scene.emitters import light_centre

HEATER_TO_FABRIC_M = 0.9  # 3 ft, US Consumer Product Safety Commission
LAMP_TO_FABRIC_M = {"halogen": 0.3, "incandescent": 0.3, "led": 0.1, "fluorescent": 0.1}  # our own

BEYOND_K = 100.0  # from here the steady sum says only "far too hot": something trips or burns first
TRIFLE_W = 1.0  # a closed space that gets less than this is left alone: our own rule
TRIFLE_K = 1.0  # and one that gets this much warmer, when nothing in it is mains gear: our own
STOP_K = 65.0  # 117 °F, most for wood beside a room heater (UL 1482), from memory
BEDDING_W = 5.0  # in bedding: our own, a phone charging is as warm as that
BEDDING_M2 = 0.09  # 30 x 30 cm of bedding take up the heat: our own
DUVET_M2_K_PER_W = 1.0  # 10 tog; a tog is 0.1 m² K/W (BS 5335), from memory

_BETWEEN = {
    PowerStrip: "strip",
    Extension: "extension",
    Receiver: "receiver",
    Adapter: "adapter",
}


@rule(14)
def heater_not_at_wall(facts: Facts) -> Iterator[Hazard]:
    """Something that makes heat behind anything but a wall outlet; bedding has rule 17."""
    for item in facts.of(Appliance):
        if not facts.heats_strongly(item):
            continue
        between = [node for node in facts.above(item) if isinstance(node, tuple(_BETWEEN))]
        if between:
            first = between[0]
            key = next(key for kind, key in _BETWEEN.items() if isinstance(first, kind))
            yield Hazard(
                (item.id, *(node.id for node in between)),
                clause(
                    key, item=thing(item.id), drawn_w=facts.watts(item.id), feeder=thing(first.id)
                ),
                numbers=(
                    line("draws", facts.watts(item.id), "W", of=thing(item.id)),
                    line("current", facts.amperes(item.id), "A"),
                ),
                fix=facts.plug_fix(item, alone=True) or facts.plug_fix(item),
            )


@rule(16)
def heater_near_fabric(facts: Facts) -> Iterator[Hazard]:
    """A room heater too near the bed or a curtain; one whose place is not given is not measured."""
    for item in facts.of(Appliance):
        if not facts.is_room_heater(item) or item.at_m is None:
            continue
        near = [(facts.distance_to(item.at_m, piece), piece.id) for piece in facts.fabric()]
        if near and min(near)[0] < HEATER_TO_FABRIC_M:
            distance, piece = min(near)
            yield Hazard(
                (item.id, piece),
                clause("near", item=thing(item.id), distance_m=distance, fabric=thing(piece)),
                numbers=(
                    line("distance", distance, "m"),
                    line("keep", HEATER_TO_FABRIC_M, "m"),
                ),
            )


@rule(69)
def heater_place_unknown(facts: Facts) -> Iterator[Hazard]:
    """A room heater whose place is not given, in a room with a bed or curtain."""
    fabric = [piece.id for piece in facts.fabric()]
    for item in facts.of(Appliance):
        strong = facts.is_room_heater(item) and facts.heats_strongly(item)
        if fabric and strong and item.at_m is None and item.inside is None:
            yield Hazard(
                (item.id, *fabric),
                clause(
                    "unknown-one" if len(fabric) == 1 else "unknown",
                    item=thing(item.id),
                    fabric=thing(*fabric),
                ),
                numbers=(line("keep", HEATER_TO_FABRIC_M, "m"),),
            )


@rule(17)
def blanket_not_at_wall(facts: Facts) -> Iterator[Hazard]:
    """An electric blanket or pad behind anything but a wall outlet."""
    for item in facts.of(Appliance):
        parent = facts.parent(item)
        if facts.is_bedding_heater(item) and parent is not None and not isinstance(parent, Outlet):
            yield Hazard(
                (item.id, parent.id),
                clause("behind", item=thing(item.id), feeder=thing(parent.id)),
                numbers=(line("draws", facts.watts(item.id), "W", of=thing(item.id)),),
                fix=facts.plug_fix(item),
            )


@rule(35)
def lamp_near_fabric(facts: Facts) -> Iterator[Hazard]:
    """A lamp's surface near fabric: as measured, else from the light's place in the room."""
    for light in facts.of(Light):
        limit = LAMP_TO_FABRIC_M[light.lamp.kind]
        fabric: tuple[str, ...] = ()
        distance = light.to_fabric_m
        measured = distance is not None
        if distance is None:
            centre = light_centre(facts.scenario, light)
            places = [
                (facts.distance_to(list(centre), piece) - light.lamp.diameter_m / 2, piece.id)
                for piece in facts.fabric()
            ]
            if not places:
                continue
            distance, piece_id = min(places)
            distance, fabric = max(0.0, distance), (piece_id,)
        if distance < limit:
            yield Hazard(
                (light.id,),
                clause(
                    "near" if fabric else "near-fabric",
                    lamp=clause(light.lamp.kind),
                    light=thing(light.id),
                    distance_m=distance,
                    fabric=thing(*fabric),
                ),
                numbers=(
                    line("distance", distance, "m"),
                    line("keep", limit, "m"),
                ),
                assumed=() if measured else (clause("reckoned-distance"),),
            )


@rule(40)
def warmth_shut_in(facts: Facts) -> Iterator[Hazard]:
    """Anything with watts in a closed space that it warms."""
    furniture = {item.id: item for item in facts.scenario.furniture}
    for furniture_id, ids in inside_of(facts.scenario).items():
        air = facts.electrics.heat.get(furniture_id)
        if air is None:
            continue
        low, rise, high = air.rise_k
        space = furniture[furniture_id].compartment
        closed = space is None or space.vent_area_m2 <= 0.0
        gear = any(isinstance(facts.items[i], PowerStrip | Driver | Receiver) for i in ids)
        trifle = air.losses_w < TRIFLE_W or not (gear or rise >= TRIFLE_K)
        too_warm = bool(air.over_label)
        if rise <= NOTE_K and not (closed and not trifle) and not too_warm:
            continue
        severity: Severity = "warning" if rise > WARNING_K or too_warm else "advice"
        if rise > STOP_K:
            severity = "danger"
        fact = clause(
            "stay" if air.losses_w >= 1.5 else "stays",
            things=thing(*ids),
            losses_w=air.losses_w,
            furniture=thing(furniture_id),
            warmer=clause("about", rise_k=rise, low_k=low, high_k=high)
            if rise < BEYOND_K
            else clause("beyond", rise_k=BEYOND_K),
            closed=(clause("no-known-opening" if _vents_unknown(space) else "no-opening"),)
            if closed
            else (),
            label=_past_label(air) if too_warm else (),
        )
        parts = heat_parts(facts.scenario, facts.electrics.everything, ids)
        yield Hazard(
            (furniture_id, *ids),
            fact,
            severity,
            (
                *(line("heat-of", watts, "W", of=thing(item_id)) for item_id, watts in parts),
                *map(line_of, air.explain),
                line("note-from", NOTE_K, "K"),
                line("warning-from", WARNING_K, "K"),
                line("stop-from", STOP_K, "K"),
            ),
            assumed=_assumed(facts, ids, space),
        )


def _past_label(air: CompartmentHeat) -> tuple[Clause, ...]:
    assert air.label_ambient_c is not None  # it is passed, so there is one
    return (clause("past-label", most_c=air.air_c[2], label_c=float(air.label_ambient_c)),)


def _vents_unknown(space: Compartment | None) -> bool:
    return space is None or "vent_area_m2" not in space.model_fields_set


def _assumed(facts: Facts, ids: list[str], space: Compartment | None) -> tuple[Clause, ...]:
    """Return what nobody has written down about a closed space and what lies in it."""
    unknown = []
    if space is None:
        unknown.append(clause("assumed-size"))
    if _vents_unknown(space):
        unknown.append(clause("assumed-closed"))
    plugged = [i for i in ids if facts.lying[i].why == "plugged in there"]
    if plugged:
        key = "assumed-place" if len(plugged) == 1 else "assumed-places"
        unknown.append(clause(key, things=thing(*plugged)))
    return tuple(unknown)


@rule(80)
def heater_shut_in(facts: Facts) -> Iterator[Hazard]:
    """Something that makes heat on purpose inside furniture or in the bed."""
    kinds = {item.id: item for item in facts.scenario.furniture}
    for item in facts.of(Appliance):
        where = facts.lying.get(item.id)
        if where is None or not facts.heats(item):
            continue
        piece = kinds[where.furniture]
        bed = piece.kind in BEDDING and piece.compartment is None
        if bed and facts.is_bedding_heater(item):
            continue
        lines = [line("draws", facts.watts(item.id), "W", of=thing(item.id))]
        air = facts.electrics.heat.get(piece.id)
        if air is not None:
            lines.append(line("warmer", air.rise_k[1], "K"))
        yield Hazard(
            (item.id, piece.id),
            clause(
                "in-bed" if bed else "inside",
                item=thing(item.id),
                drawn_w=facts.watts(item.id),
                furniture=thing(piece.id),
            ),
            numbers=tuple(lines),
            fix=_take_out(item.id, where.why),
        )


@rule(81)
def warm_in_bedding(facts: Facts) -> Iterator[Hazard]:
    """Something with watts in or under the bedding; what heats has rule 80, a charger rule 46."""
    kinds = {item.id: item for item in facts.scenario.furniture}
    for item_id, where in facts.lying.items():
        piece, item = kinds[where.furniture], facts.items[item_id]
        if piece.kind not in BEDDING or piece.compartment is not None:
            continue
        if facts.heats(item) or (isinstance(item, Appliance) and charges(item)):
            continue
        watts = sum(w for _, w in heat_parts(facts.scenario, facts.electrics.everything, [item_id]))
        mains = isinstance(item, PowerStrip | Extension | Adapter | Receiver | Driver)
        if watts < BEDDING_W and not (mains and piece.kind == "mattress"):
            continue
        covered = watts / BEDDING_M2 * DUVET_M2_K_PER_W
        yield Hazard(
            (item_id, piece.id),
            clause("covered", item=thing(item_id), furniture=thing(piece.id), heat_w=watts),
            numbers=(
                line("heat", watts, "W"),
                line("ask-from", BEDDING_W, "W"),
                line("under-duvet", covered, "K"),
            ),
            fix=_take_out(item_id, where.why),
            assumed=(clause("assumed-duvet"),),
        )


def _take_out(item_id: str, why: str) -> dict[str, Any] | None:
    if why != "given":
        return None
    return {"name": "set", "id": item_id, "args": {"field": "inside", "value": None}}


@rule(46)
def charging_shut_in(facts: Facts) -> Iterator[Hazard]:
    """A charger inside furniture or the bed."""
    kinds = {item.id: item.kind for item in facts.scenario.furniture}
    for item in facts.of(Appliance):
        if charges(item) and item.inside is not None:
            bed = kinds[item.inside] in BEDDING
            yield Hazard(
                (item.id, item.inside),
                clause(
                    "in-bed" if bed else "inside", item=thing(item.id), furniture=thing(item.inside)
                ),
                numbers=(
                    line("draws", facts.watts(item.id), "W", of=thing(item.id)),
                    line("current", facts.amperes(item.id), "A"),
                ),
            )
