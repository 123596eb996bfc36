"""Closed spaces of a plan that hold something warm, and the air in them.

Whatever has watts counts, once: power strips, receivers and drivers by what they lose, a charger by
its loss, everything else by all that it draws, the lamps of lights and LED strips included.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from lumen.power.heat import Compartment, CompartmentHeat, Face, compartment_heat
from lumen.power.load import LoadTree
from lumen.scenario.document import Scenario
from lumen.scenario.room import Furniture
from lumen.scenario.supply import Adapter, Appliance, Circuit, Driver, Outlet, Receiver
from lumen.study.load.regions import appliance_kind
from lumen.study.scene.emitters import light_centre
from lumen.study.scene.surfaces import furniture_box

__all__ = [
    "BEDDING",
    "CHARGER_LOSS",
    "CLOSED",
    "Lying",
    "air_around",
    "charges",
    "heat_parts",
    "inside_of",
    "lying",
    "warmth",
]

CHARGER_LOSS = 0.15
"""Share of a charger's draw that stays in the charger as heat when its label gives no efficiency:
10 to 20 % by common practice, no source."""

CLOSED = ("nightstand", "chest", "wardrobe")
"""Furniture with doors or drawers: what stands within its sides lies inside it."""

BEDDING = ("mattress", "bed frame", "cot")
"""What lies inside these lies in or under bedding, unless a compartment is drawn."""

_AGAINST_A_WALL = ("nightstand", "headboard", "chest", "wardrobe", "shelf", "desk")
_PANEL_M = 0.018
_WITHIN_M = 0.01  # so far inside its sides a thing's place lies in furniture, not on it: our own


@dataclass(frozen=True)
class Lying:
    """In which furniture a thing lies, and how we know.

    ``why`` is ``"given"`` (the plan says so), ``"plugged in there"`` (it sits in the hole of
    something that lies there) or ``"its place"`` (its place is within the sides).
    """

    furniture: str
    why: Literal["given", "plugged in there", "its place"]


def charges(item: Appliance) -> bool:
    """Return whether an appliance is a charger, as written or by its kind."""
    kind = appliance_kind(item.like)
    by_kind = kind is not None and kind.key.endswith("-charger")
    return by_kind if item.charges is None else item.charges


def lying(scenario: Scenario) -> dict[str, Lying]:
    """Return what lies inside furniture, by id, in the plan's order.

    What is not said follows: a receiver, an adapter, a driver or a charger without a place of its
    own sits in the hole it is plugged into, and a place within the sides of closed furniture lies
    in it.
    """
    places: dict[str, Lying] = {}
    by_id = {item.id: item for item in scenario.supply}

    def settle(item: Any) -> None:
        if item.id in places or isinstance(item, Circuit | Outlet):
            return
        if item.inside is not None:
            places[item.id] = Lying(item.inside, "given")
        elif item.at_m is not None:
            _by_place(scenario, places, item.id, [item.at_m])
        elif _sits_in_its_hole(item):
            feeder = by_id[item.fed_from]
            settle(feeder)
            if feeder.id in places and not isinstance(feeder, Driver):
                places[item.id] = Lying(places[feeder.id].furniture, "plugged in there")

    for item in scenario.supply:
        settle(item)
    for light in scenario.lights:
        _by_place(scenario, places, light.id, [[float(x) for x in light_centre(scenario, light)]])
    for strip in scenario.strips:
        _by_place(scenario, places, strip.id, strip.path_m)
    order = [item.id for item in (*scenario.supply, *scenario.lights, *scenario.strips)]
    return {item_id: places[item_id] for item_id in order if item_id in places}


def _sits_in_its_hole(item: Any) -> bool:
    if isinstance(item, Appliance):
        return charges(item)
    return isinstance(item, Receiver | Adapter | Driver)


def _by_place(scenario: Scenario, places: dict[str, Lying], item_id: str, points: Any) -> None:
    for piece in scenario.furniture:
        if piece.kind in CLOSED or piece.compartment is not None:
            box = furniture_box(piece)
            local = np.abs((np.asarray(points, dtype=float) - box.centre) @ box.axes.T)
            if bool(np.all(local <= box.half_size - _WITHIN_M)):
                places[item_id] = Lying(piece.id, "its place")
                return


def inside_of(scenario: Scenario) -> dict[str, list[str]]:
    """Return the ids of what lies inside each piece of furniture."""
    inside: dict[str, list[str]] = {}
    for item_id, where in lying(scenario).items():
        inside.setdefault(where.furniture, []).append(item_id)
    return inside


def warmth(scenario: Scenario, tree: LoadTree) -> dict[str, CompartmentHeat]:
    """Return how warm each closed space gets with the loads of ``tree``, by furniture.

    What runs inside leaves its losses there; a charger leaves its loss, not what it charges. A bed
    without a compartment is no space with air in it and is left out.
    """
    boxes = {item.id: item for item in scenario.furniture}
    labels = {
        item.id: item.max_ambient_c
        for item in scenario.supply
        if not isinstance(item, Circuit | Outlet) and item.max_ambient_c is not None
    }
    spaces = {}
    for furniture_id, ids in inside_of(scenario).items():
        piece = boxes[furniture_id]
        if piece.compartment is None and piece.kind in BEDDING:
            continue
        spaces[furniture_id] = compartment_heat(
            [watts for _, watts in heat_parts(scenario, tree, ids)],
            _space(piece),
            label_ambient_c=min((labels[i] for i in ids if i in labels), default=None),
        )
    return spaces


def heat_parts(scenario: Scenario, tree: LoadTree, ids: list[str]) -> Iterator[tuple[str, float]]:
    """Yield what each thing leaves as heat where it lies [W]; what nothing feeds leaves none."""
    appliances = {item.id: item for item in scenario.supply if isinstance(item, Appliance)}
    for node_id in ids:
        if node_id not in tree.loads:
            continue
        load = tree[node_id]
        item = appliances.get(node_id)
        if load.node.kind != "load":
            yield node_id, load.loss_w
        elif item is None or load.node.heats:
            yield node_id, load.watts_in  # light, too, turns into heat where it is shut in
        elif item.efficiency is not None:
            yield node_id, load.loss_w
        elif charges(item):
            yield node_id, CHARGER_LOSS * load.watts_in
        else:
            yield node_id, load.watts_in


def air_around(scenario: Scenario, heat: Mapping[str, CompartmentHeat]) -> dict[str, float]:
    """Return the air temperature [°C] around everything that lies in a closed space."""
    return {
        node_id: heat[furniture_id].air_c[1]
        for furniture_id, ids in inside_of(scenario).items()
        for node_id in ids
        if furniture_id in heat
    }


def _space(item: Furniture) -> Compartment:
    covered: tuple[Face, ...] = ("back",) if item.kind in _AGAINST_A_WALL else ()
    space = item.compartment
    if space is None:  # the whole box less its boards, closed: nobody said otherwise
        width, depth, height = (max(0.05, size - 2 * _PANEL_M) for size in item.size_m)
        return Compartment(width, depth, height, _PANEL_M, covered=covered)
    width, depth, height = space.inner_size_m
    return Compartment(
        width,
        depth,
        height,
        space.wall_thickness_m,
        covered=covered,
        low_vent_m2=space.vent_area_m2 / 2,
        high_vent_m2=space.vent_area_m2 / 2,
    )
