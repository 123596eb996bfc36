"""What the caution rules ask of a plan: who feeds whom, what is near what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any, TypeVar

import numpy as np

from lumen.light.geometry import Box
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Cord, Light, Strip
from lumen.scenario.outline import wall_normal
from lumen.scenario.room import Furniture
from lumen.scenario.supply import (
    Adapter,
    Appliance,
    Circuit,
    Driver,
    Extension,
    Outlet,
    PowerStrip,
    Receiver,
)
from lumen.study.load.electrics import Electrics, Worst
from lumen.study.load.regions import ApplianceKind, RegionPack
from lumen.study.load.warmth import Lying, lying
from lumen.study.load.wiring import Role, has_motor, makes_heat
from lumen.study.scene.surfaces import furniture_box

__all__ = ["GRACE", "STRONG_HEAT_W", "Facts", "Item", "Supply"]

Supply = Circuit | Outlet | PowerStrip | Extension | Adapter | Receiver | Driver | Appliance
Item = Supply | Light | Strip
T = TypeVar("T")

_BEDDING = ("electric-blanket", "electric-blanket-double", "heating-pad", "waterbed-heater")
_SHORT_HEAT = (
    "hair-dryer",
    "hair-dryer-100v",
    "hair-straightener",
    "clothes-iron",
    "kettle",
    "kettle-230v",
    "coffee-maker",
    "garment-steamer",
)
GRACE = 1.005
"""A share that prints as 100 % is not over: labels are rounded, 15.2 A for 3500 W at 230 V."""

STRONG_HEAT_W = 200.0
"""Heat-making things under this draw no more than a television: our own rule."""

_FABRIC = ("bed frame", "mattress", "curtain")


def _to_wall(outline: Sequence[Sequence[float]], wall: int, point: Sequence[float]) -> float:
    start = np.asarray(outline[wall])
    end = np.asarray(outline[(wall + 1) % len(outline)])
    along = np.clip(np.dot(point[:2] - start, end - start) / np.dot(end - start, end - start), 0, 1)
    return float(np.linalg.norm(point[:2] - start - along * (end - start)))


class Facts:
    """A plan with its electrics, and the questions that the rules share."""

    def __init__(self, scenario: Scenario, electrics: Electrics) -> None:
        self.scenario = scenario
        self.electrics = electrics
        self.region: RegionPack = electrics.region
        self.told: set[int] = set()  # passed limits that a rule has spoken of, by identity
        self.items: Mapping[str, Item] = {
            item.id: item for item in (*scenario.supply, *scenario.lights, *scenario.strips)
        }

    def of(self, kind: type[T]) -> Iterator[T]:
        """Yield everything of one kind, in the plan's order."""
        return (item for item in self.items.values() if isinstance(item, kind))

    @cached_property
    def children(self) -> Mapping[str, tuple[Item, ...]]:
        """What is fed from each node, in the plan's order."""
        fed: dict[str, list[Item]] = {key: [] for key in self.items}
        for item in self.items.values():
            feeder = getattr(item, "fed_from", None)
            if feeder is not None:
                fed[feeder].append(item)
        return {key: tuple(items) for key, items in fed.items()}

    def parent(self, item: Item) -> Supply | None:
        """Return what feeds an item."""
        feeder = getattr(item, "fed_from", None)
        return None if feeder is None else self.items[feeder]  # type: ignore[return-value]

    def above(self, item: Item) -> Iterator[Supply]:
        """Yield what feeds an item, and what feeds that, up to its circuit."""
        at = self.parent(item)
        while at is not None:
            yield at
            at = self.parent(at)

    def outlet_of(self, item: Item) -> Outlet | None:
        """Return the wall outlet that an item hangs on in the end."""
        return next((node for node in self.above(item) if isinstance(node, Outlet)), None)

    def circuit_of(self, item: Item) -> Circuit | None:
        """Return the circuit that an item hangs on."""
        return next((node for node in self.above(item) if isinstance(node, Circuit)), None)

    def below(self, node_id: str) -> Iterator[Item]:
        """Yield everything fed from a node, near and far."""
        for child in self.children[node_id]:
            yield child
            yield from self.below(child.id)

    @cached_property
    def lying(self) -> Mapping[str, Lying]:
        """What lies inside furniture, and how we know."""
        return lying(self.scenario)

    @cached_property
    def boxes(self) -> Mapping[str, Box]:
        """The plan's furniture as boxes, by id."""
        return {piece.id: furniture_box(piece) for piece in self.scenario.furniture}

    def low_volts(self, item: Item) -> bool:
        """Return whether an item is fed by a driver."""
        return any(isinstance(node, Driver) for node in self.above(item))

    # -- load ---------------------------------------------------------------------------------

    def worst(self, node_id: str, role: Role) -> Worst | None:
        """Return the case that uses one limit of a node most."""
        return self.electrics.worst(node_id, role)

    def amperes(self, node_id: str) -> float:
        """Return what a node carries with everything on [A]."""
        return self.electrics.everything[node_id].amperes

    def watts(self, node_id: str) -> float:
        """Return what a node draws with everything on [W]."""
        return self.electrics.everything[node_id].watts_in

    # -- appliances ---------------------------------------------------------------------------

    def kind(self, item: Appliance) -> ApplianceKind | None:
        """Return the row of the appliance table that an appliance is like."""
        return self.electrics.wiring.kinds.get(item.id)

    def watts_unread(self, item_id: str) -> bool:
        """Return whether an appliance's watts are a usual value that nobody has read."""
        item = self.items.get(item_id)
        return isinstance(item, Appliance) and (item.power_w is None or not item.label_read)

    def heats(self, item: Item) -> bool:
        """Return whether an item makes heat on purpose."""
        return isinstance(item, Appliance) and makes_heat(item)

    def heats_strongly(self, item: Item) -> bool:
        """Return whether an item makes so much heat that it wants an outlet of its own.

        What warms a bed has a rule of its own.
        """
        strong = self.heats(item) and self.watts(item.id) >= STRONG_HEAT_W
        return strong and not self.is_bedding_heater(item)

    def is_motor(self, item: Item) -> bool:
        """Return whether an item is a motor straight on the mains."""
        return isinstance(item, Appliance) and has_motor(item)

    def is_compressor(self, item: Item) -> bool:
        """Return whether an item is a motor with a compressor, such as an air conditioner."""
        kind = self.kind(item) if isinstance(item, Appliance) else None
        return self.is_motor(item) and kind is not None and kind.compressor

    def is_medical(self, item: Item) -> bool:
        """Return whether somebody's health hangs on an item."""
        if not isinstance(item, Appliance):
            return False
        kind = self.kind(item)
        return item.medical if item.medical is not None else bool(kind and kind.medical)

    def is_bedding_heater(self, item: Item) -> bool:
        """Return whether an appliance warms the bed: a blanket or pad."""
        if not isinstance(item, Appliance):
            return False
        kind = self.kind(item)
        return kind is not None and kind.key in _BEDDING

    def is_room_heater(self, item: Item) -> bool:
        """Return whether an appliance heats and is neither bedding nor a thing held in the hand."""
        if not isinstance(item, Appliance) or not self.heats(item):
            return False
        kind = self.kind(item)
        return kind is None or kind.key not in (*_BEDDING, *_SHORT_HEAT)

    # -- cords and plugs ----------------------------------------------------------------------

    def cords(self) -> Iterator[tuple[Item, Cord]]:
        """Yield every mains or low-voltage cord with its owner."""
        for item in self.items.values():
            cord = item.feed_cord if isinstance(item, Strip) else getattr(item, "cord", None)
            if cord is not None:
                yield item, cord

    def free_outlet(self, item: Item, *, alone: bool = False) -> Outlet | None:
        """Return an outlet with a hole left for an item, the least loaded circuit first.

        ``alone`` asks for an outlet with nothing else in it.
        """
        own = self.outlet_of(item)
        mine = self.amperes(item.id) if item.id in self.electrics.everything.loads else 0.0
        free = []
        for outlet in self.of(Outlet):
            there = [child for child in self.children[outlet.id] if child.id != item.id]
            if len(there) >= outlet.holes or (alone and there):
                continue
            circuit = self.items[outlet.fed_from]
            carried = self.amperes(circuit.id)
            if own is not None and own.fed_from == outlet.fed_from:
                carried -= mine
            free.append((len(there) if alone else 0, carried, len(there), outlet.id, outlet))
        return min(free)[-1] if free else None

    def plug_fix(self, item: Item, *, alone: bool = False) -> dict[str, Any] | None:
        """Return the command that plugs an item straight into a free wall outlet."""
        outlet = self.free_outlet(item, alone=alone)
        if outlet is None or getattr(item, "fed_from", None) == outlet.id:
            return None
        return {"name": "plug", "id": item.id, "args": {"into": outlet.id}}

    # -- places -------------------------------------------------------------------------------

    def distance_to(self, point: Sequence[float], furniture: Furniture) -> float:
        """Return the distance from a point to a piece of furniture [m], 0 inside it."""
        box = furniture_box(furniture)
        local = np.abs(np.asarray(box.axes) @ (np.asarray(point, dtype=float) - box.centre))
        return float(np.linalg.norm(np.maximum(local - box.half_size, 0.0)))

    def room_at(self, outlet: Outlet, furniture: Furniture, reach_m: float) -> float | None:
        """Return the room that furniture leaves straight in front of an outlet [m].

        ``None`` when it does not stand in front of it, or leaves ``reach_m`` and more.
        """
        at = outlet.at_m
        if at is None:
            return None
        outline = self.scenario.room.outline_m
        wall = outlet.wall
        if wall is None:
            wall = min(range(len(outline)), key=lambda i: _to_wall(outline, i, at))
        box = furniture_box(furniture)
        start = box.axes @ (np.asarray(at, dtype=float) - box.centre)
        ahead = box.axes @ np.array([*wall_normal(outline, wall), 0.0])
        enters, leaves = 0.0, np.inf
        for here, way, half in zip(start, ahead, box.half_size, strict=True):  # slab by slab
            if abs(way) < 1e-12:
                if abs(here) > half:
                    return None
                continue
            one, other = sorted(((-half - here) / way, (half - here) / way))
            enters, leaves = max(enters, one), min(leaves, other)
        return float(enters) if enters <= leaves and enters < reach_m else None

    def fabric(self) -> Iterator[Furniture]:
        """Yield beds and curtains."""
        return (item for item in self.scenario.furniture if item.kind in _FABRIC)
