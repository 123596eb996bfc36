"""Rules 14, 16, 17, 35, 40, 46, 69, 80, 81: what makes heat, what feeds it, what is near it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lumen.power.heat import NOTE_K, WARNING_K
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
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Found, Line, Severity, rule
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
    PowerStrip: "a power strip",
    Extension: "an extension cord",
    Receiver: "a remote receiver",
    Adapter: "an adapter",
}


@rule(14)
def heater_not_at_wall(facts: Facts) -> Iterator[Found]:
    """Something that makes heat behind anything but a wall outlet; bedding has rule 17."""
    for item in facts.of(Appliance):
        if not facts.heats_strongly(item):
            continue
        between = [node for node in facts.above(item) if isinstance(node, tuple(_BETWEEN))]
        if between:
            first = between[0]
            what = next(words for kind, words in _BETWEEN.items() if isinstance(first, kind))
            yield Found(
                (item.id, *(node.id for node in between)),
                f"{facts.the(item.id)} ({facts.watts(item.id):.0f} W) is plugged into {what}, "
                f"{facts.the(first.id)}, not straight into the wall.",
                numbers=(
                    (f"{facts.the(item.id)} draws", facts.watts(item.id), "W"),
                    ("current", facts.amperes(item.id), "A"),
                ),
                fix=facts.plug_fix(item, alone=True) or facts.plug_fix(item),
            )


@rule(16)
def heater_near_fabric(facts: Facts) -> Iterator[Found]:
    """A room heater too near the bed or a curtain; one whose place is not given is not measured."""
    for item in facts.of(Appliance):
        if not facts.is_room_heater(item) or item.at_m is None:
            continue
        near = [(facts.distance_to(item.at_m, piece), piece.id) for piece in facts.fabric()]
        if near and min(near)[0] < HEATER_TO_FABRIC_M:
            distance, piece = min(near)
            yield Found(
                (item.id, piece),
                f"{facts.the(item.id)} stands {distance:.2f} m from {facts.the(piece)}.",
                numbers=(
                    ("distance", distance, "m"),
                    ("keep at least", HEATER_TO_FABRIC_M, "m"),
                ),
            )


@rule(69)
def heater_place_unknown(facts: Facts) -> Iterator[Found]:
    """A room heater whose place is not given, in a room with a bed or curtain."""
    fabric = [piece.id for piece in facts.fabric()]
    for item in facts.of(Appliance):
        strong = facts.is_room_heater(item) and facts.heats_strongly(item)
        if fabric and strong and item.at_m is None and item.inside is None:
            yield Found(
                (item.id, *fabric),
                f"nobody has written down where {facts.the(item.id)} stands, and "
                f"{facts.list_of(fabric)} {'is' if len(fabric) == 1 else 'are'} in the room.",
                numbers=(("keep at least", HEATER_TO_FABRIC_M, "m"),),
            )


@rule(17)
def blanket_not_at_wall(facts: Facts) -> Iterator[Found]:
    """An electric blanket or pad behind anything but a wall outlet."""
    for item in facts.of(Appliance):
        parent = facts.parent(item)
        if facts.is_bedding_heater(item) and parent is not None and not isinstance(parent, Outlet):
            yield Found(
                (item.id, parent.id),
                f"{facts.the(item.id)} is plugged into {facts.the(parent.id)}, "
                "not straight into the wall.",
                numbers=((f"{facts.the(item.id)} draws", facts.watts(item.id), "W"),),
                fix=facts.plug_fix(item),
            )


@rule(35)
def lamp_near_fabric(facts: Facts) -> Iterator[Found]:
    """A lamp's surface near fabric: as measured, else from the light's place in the room."""
    for light in facts.of(Light):
        limit = LAMP_TO_FABRIC_M[light.lamp.kind]
        distance, near = light.to_fabric_m, "fabric"
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
            distance, near = max(0.0, distance), facts.the(piece_id)
        if distance < limit:
            yield Found(
                (light.id,),
                f"the {light.lamp.kind} lamp of {facts.the(light.id)} is {distance:.2f} m "
                f"from {near}.",
                numbers=(
                    ("lamp to fabric", distance, "m"),
                    ("keep at least, by our own rule", limit, "m"),
                ),
                assumed=None if measured else "distance reckoned from the plan, not measured",
            )


@rule(40)
def warmth_shut_in(facts: Facts) -> Iterator[Found]:
    """Anything with watts in a closed space that it warms."""
    furniture = {item.id: item for item in facts.scenario.furniture}
    for furniture_id, ids in inside_of(facts.scenario).items():
        found = facts.electrics.heat.get(furniture_id)
        if found is None:
            continue
        low, rise, high = found.rise_k
        space = furniture[furniture_id].compartment
        closed = space is None or space.vent_area_m2 <= 0.0
        gear = any(isinstance(facts.items[i], PowerStrip | Driver | Receiver) for i in ids)
        trifle = found.losses_w < TRIFLE_W or not (gear or rise >= TRIFLE_K)
        too_warm = bool(found.over_label)
        if rise <= NOTE_K and not (closed and not trifle) and not too_warm:
            continue
        severity: Severity = "warning" if rise > WARNING_K or too_warm else "advice"
        if rise > STOP_K:
            severity = "danger"
        where = facts.the(furniture_id)
        verb = "stay" if found.losses_w >= 1.5 else "stays"
        words = (
            f"{facts.list_of(ids)}: about {found.losses_w:.1f} W of heat {verb} in {where}, and "
            + (
                f"its air gets about {rise:.0f} K ({low:.0f} to {high:.0f} K) warmer than the room"
                if rise < BEYOND_K
                else f"its air gets more than {BEYOND_K:g} K warmer than the room"
            )
        )
        if closed:
            words += ", and it has no opening for air"
            words += " that the plan knows of" if _vents_unknown(space) else ""
        if too_warm:
            words += (
                f"; at {found.air_c[2]:.0f} °C at most it passes the "
                f"{found.label_ambient_c:g} °C that a label in it allows"
            )
        parts = heat_parts(facts.scenario, facts.electrics.everything, ids)
        yield Found(
            (furniture_id, *ids),
            words + ".",
            severity,
            (
                *((f"heat of {facts.the(item_id)}", watts, "W") for item_id, watts in parts),
                *found.explain,
                ("a note from", NOTE_K, "K"),
                ("a warning from", WARNING_K, "K"),
                ("stop from", STOP_K, "K"),
            ),
            assumed=_assumed(facts, furniture_id, ids, space),
        )


def _vents_unknown(space: Compartment | None) -> bool:
    return space is None or "vent_area_m2" not in space.model_fields_set


def _assumed(
    facts: Facts, furniture_id: str, ids: list[str], space: Compartment | None
) -> str | None:
    """Say what nobody has written down about a closed space and what lies in it."""
    said = []
    if space is None:
        said.append("the size inside is reckoned from the outside")
    if _vents_unknown(space):
        said.append("no opening is given, so the space is taken as closed")
    plugged = [i for i in ids if facts.lying[i].why == "plugged in there"]
    if plugged:
        verb = "lies" if len(plugged) == 1 else "lie"
        said.append(f"{facts.list_of(plugged)} {verb} where the plug is, since no place is given")
    return "; ".join(said) or None


@rule(80)
def heater_shut_in(facts: Facts) -> Iterator[Found]:
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
        place = "in the bed" if bed else f"inside {facts.the(piece.id)}"
        lines: list[Line] = [(f"{facts.the(item.id)} draws", facts.watts(item.id), "W")]
        air = facts.electrics.heat.get(piece.id)
        if air is not None:
            lines.append(("warmer than the room in there, steady", air.rise_k[1], "K"))
        yield Found(
            (item.id, piece.id),
            f"{facts.the(item.id)} ({facts.watts(item.id):.0f} W) makes heat and lies {place}.",
            numbers=tuple(lines),
            fix=_take_out(item.id, where.why),
        )


@rule(81)
def warm_in_bedding(facts: Facts) -> Iterator[Found]:
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
        yield Found(
            (item_id, piece.id),
            f"{facts.the(item_id)} lies in {facts.the(piece.id)}, where bedding covers it: about "
            f"{watts:.0f} W of heat cannot get out.",
            numbers=(
                ("heat made there", watts, "W"),
                ("worth a question from", BEDDING_W, "W"),
                ("warmer than the room under a duvet, on a patch of 30 x 30 cm", covered, "K"),
            ),
            fix=_take_out(item_id, where.why),
            assumed="a duvet of 10 tog (1 m² K/W), heat through one side only",
        )


def _take_out(item_id: str, why: str) -> dict[str, Any] | None:
    if why != "given":
        return None
    return {"name": "set", "id": item_id, "args": {"field": "inside", "value": None}}


@rule(46)
def charging_shut_in(facts: Facts) -> Iterator[Found]:
    """A charger inside furniture or the bed."""
    kinds = {item.id: item.kind for item in facts.scenario.furniture}
    for item in facts.of(Appliance):
        if charges(item) and item.inside is not None:
            bed = kinds[item.inside] in BEDDING
            where = "in the bed" if bed else f"inside {facts.the(item.inside)}"
            yield Found(
                (item.id, item.inside),
                f"{facts.the(item.id)} charges {where}.",
                numbers=(
                    (f"{facts.the(item.id)} draws", facts.watts(item.id), "W"),
                    ("current", facts.amperes(item.id), "A"),
                ),
            )
