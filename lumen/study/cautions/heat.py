"""Rules 14, 16, 17, 35, 40, 46: what makes heat, what it is plugged into, and what is near it."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.power.heat import NOTE_K, WARNING_K
from lumen.scenario.lights import Light
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
from lumen.study.cautions.registry import Found, Severity, rule
from lumen.study.emitters import light_centre
from lumen.study.warmth import inside_of

HEATER_TO_FABRIC_M = 0.9  # 3 ft, US Consumer Product Safety Commission
LAMP_TO_FABRIC_M = {"halogen": 0.3, "incandescent": 0.3, "led": 0.1, "fluorescent": 0.1}  # our own

BEYOND_K = 100.0  # from here the steady sum says only "far too hot": something trips or burns first
TRIFLE_W = 1.0  # a closed space that gets less than this is left alone: our own rule

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
        if not facts.heats(item) or facts.is_bedding_heater(item):
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
def driver_closed_in(facts: Facts) -> Iterator[Found]:
    """A power strip, driver or receiver in a closed space that it warms."""
    furniture = {item.id: item for item in facts.scenario.furniture}
    for furniture_id, ids in inside_of(facts.scenario).items():
        warm = [
            i
            for i in ids
            if isinstance(facts.items[i], PowerStrip | Driver | Receiver)
            or getattr(facts.items[i], "max_ambient_c", None) is not None
        ]
        found = facts.electrics.heat.get(furniture_id)
        if not warm or found is None:
            continue
        low, rise, high = found.rise_k
        space = furniture[furniture_id].compartment
        closed = space is None or space.vent_area_m2 <= 0.0
        too_warm = bool(found.over_label)
        if rise <= NOTE_K and not (closed and found.losses_w >= TRIFLE_W) and not too_warm:
            continue
        severity: Severity = "warning" if rise > WARNING_K or too_warm else "advice"
        where = facts.the(furniture_id)
        words = (
            f"{facts.list_of(ids)}: about {found.losses_w:.1f} W of heat stay in {where}, and "
            + (
                f"its air gets about {rise:.0f} K ({low:.0f} to {high:.0f} K) warmer than the room"
                if rise < BEYOND_K
                else f"its air gets more than {BEYOND_K:g} K warmer than the room"
            )
        )
        if closed:
            words += ", and it has no opening for air"
            words += " that the plan knows of" if space is None else ""
        if too_warm:
            words += (
                f"; at {found.air_c[2]:.0f} °C at most it passes the "
                f"{found.label_ambient_c:g} °C that a label in it allows"
            )
        yield Found(
            (furniture_id, *ids),
            words + ".",
            severity,
            (*found.explain, ("a note from", NOTE_K, "K"), ("a warning from", WARNING_K, "K")),
            assumed="the size inside is reckoned from the outside" if space is None else None,
        )


@rule(46)
def charging_shut_in(facts: Facts) -> Iterator[Found]:
    """A charger inside furniture or the bed."""
    kinds = {item.id: item.kind for item in facts.scenario.furniture}
    for item in facts.of(Appliance):
        kind = facts.kind(item)
        charges = item.charges or (kind is not None and kind.key.endswith("-charger"))
        if charges and item.inside is not None:
            bed = kinds[item.inside] in ("mattress", "bed frame")
            where = "in the bed" if bed else f"inside {facts.the(item.inside)}"
            yield Found(
                (item.id, item.inside),
                f"{facts.the(item.id)} charges {where}.",
                numbers=(
                    (f"{facts.the(item.id)} draws", facts.watts(item.id), "W"),
                    ("current", facts.amperes(item.id), "A"),
                ),
            )
