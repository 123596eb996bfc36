"""Closed spaces of a plan that hold something warm, and the air in them."""

from __future__ import annotations

from collections.abc import Mapping

from lumen.power.heat import Compartment, CompartmentHeat, Face, compartment_heat
from lumen.power.load import LoadTree
from lumen.scenario.document import Scenario
from lumen.scenario.room import Furniture
from lumen.scenario.supply import Appliance, Circuit, Outlet

__all__ = ["CHARGER_LOSS", "air_around", "inside_of", "warmth"]

CHARGER_LOSS = 0.15
"""Share of a charger's draw that stays in the charger as heat when its label gives no efficiency:
10 to 20 % by common practice, no source."""

_AGAINST_A_WALL = ("nightstand", "headboard", "chest", "wardrobe", "shelf", "desk")
_PANEL_M = 0.018


def inside_of(scenario: Scenario) -> dict[str, list[str]]:
    """Return the ids of what lies inside each piece of furniture."""
    found: dict[str, list[str]] = {}
    for item in scenario.supply:
        if isinstance(item, Circuit | Outlet) or item.inside is None:
            continue
        found.setdefault(item.inside, []).append(item.id)
    return found


def warmth(scenario: Scenario, tree: LoadTree) -> dict[str, CompartmentHeat]:
    """Return how warm each closed space gets with the loads of ``tree``, by furniture.

    What runs inside leaves its losses there; a charger leaves its loss, not what it charges.
    """
    boxes = {item.id: item for item in scenario.furniture}
    appliances = {item.id: item for item in scenario.supply if isinstance(item, Appliance)}
    labels = {
        item.id: item.max_ambient_c
        for item in scenario.supply
        if not isinstance(item, Circuit | Outlet) and item.max_ambient_c is not None
    }
    found = {}
    for furniture_id, ids in inside_of(scenario).items():
        losses = []
        for node_id in ids:
            load = tree[node_id]
            item = appliances.get(node_id)
            if item is None or item.efficiency is not None:
                losses.append(load.loss_w)
            elif item.charges:
                losses.append(CHARGER_LOSS * load.watts_in)
            else:
                losses.append(load.watts_in)  # what runs inside turns all it draws into heat there
        found[furniture_id] = compartment_heat(
            losses,
            _space(boxes[furniture_id]),
            label_ambient_c=min((labels[i] for i in ids if i in labels), default=None),
        )
    return found


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
