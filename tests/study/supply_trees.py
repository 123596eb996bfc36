"""Random supply trees: any part behind any other, any rating known or not, in every region."""

from __future__ import annotations

import random

from lumen.scenario.document import Scenario
from tests.study.caution_parts import OUTLET, VOLTS
from tests.study.small_plans import Command, appliance, led_strip, light, plan, put, supply

JOINING = ("power strip", "extension", "adapter", "receiver")
_SIZES = (0.5, 0.75, 1.0, 1.25, 1.5, 2.5)


class Grower:
    """Grows one tree; ``plain`` leaves out every fact that a rule of its own speaks of."""

    def __init__(self, seed: int, *, plain: bool) -> None:
        self.dice = random.Random(seed)
        self.plain = plain
        self.region = self.dice.choice(sorted(VOLTS))
        self.volts = VOLTS[self.region]
        self.commands: list[Command] = []
        self.free: list[str] = []
        self.drivers: list[tuple[str, int]] = []

    def grow(self) -> Scenario:
        """Return the plan."""
        dice = self.dice
        if dice.random() < 0.5:
            sizes = (10, 16, 20) if self.plain else (6, 10, 16, 20, 32, 40)
            self.commands.append(put("circuit", "breaker_a", dice.choice(sizes)))
        for outlet in ("wall outlet", "far outlet"):
            self._put(outlet, "holes", dice.randint(2, 6))
            if dice.random() < 0.5:
                rating = dice.choice((6, 10, 13, 15, 16, 20))
                self._put(outlet, "rating_a", max(rating, OUTLET[self.region]))
            self.free += [outlet] * 6
        for number in range(dice.randint(0, 5)):
            self._part(f"part {number}")
        for number in range(dice.randint(1, 8)):
            self._load(f"load {number}")
        return plan(self.region, *self.commands)

    def _put(self, item_id: str, field: str, value: object) -> None:
        self.commands.append(put(item_id, field, value))

    def _feeder(self) -> str:
        outlets = [name for name in self.free if name.endswith("outlet")]
        return self.dice.choice(outlets if self.plain and self.dice.random() < 0.5 else self.free)

    def _maybe(self, **values: object) -> dict[str, object]:
        return {name: value for name, value in values.items() if self.dice.random() < 0.6}

    def _cord(self) -> dict[str, object]:
        dice = self.dice
        size: dict[str, object] = {"area_mm2": dice.choice(_SIZES)}
        if self.region in ("US", "CA"):
            size = {"awg": dice.choice((18, 16, 14))}
        if self.plain:
            size = {"awg": 14} if self.region in ("US", "CA") else {"area_mm2": 1.5}
        return {
            "cores": 3,
            **size,
            "length_m": dice.choice((1.5, 2.0, 1.0)),
            "coiled": not self.plain and dice.random() < 0.2,
        }

    def _part(self, name: str) -> None:
        dice = self.dice
        kinds = (*JOINING, "driver")
        kind = dice.choice(kinds)
        into = dice.choice(("wall outlet", "far outlet")) if self.plain else self._feeder()
        rating = dice.choice((2.5, 5, 10, 13, 16))
        fields: dict[str, object] = self._maybe(rating_a=rating)
        if kind in ("power strip", "extension"):
            fields |= self._maybe(cord=self._cord())
        if kind == "power strip":
            fields |= self._maybe(breaker_a=dice.choice((5, 10, 15)), holes=dice.randint(2, 8))
        if kind == "receiver":
            fields |= self._maybe(electronic_w=dice.choice((50, 100, 300)), motor_w=200)
        if kind == "driver":
            volts = dice.choice((12, 24))
            fields = {"rating_w": dice.choice((20, 60, 96)), "output_v": volts, "class_2": True}
            self.drivers.append((name, volts))
        if self.region == "UK" and dice.random() < 0.5:
            fields["plug_fuse_a"] = 13 if self.plain else dice.choice((3, 5, 7, 10, 13))
        self.commands.append(supply(name, kind, into, **fields))
        if kind != "driver":
            self.free += [name] * 4

    def _load(self, name: str) -> None:
        dice = self.dice
        watts = self.volts * dice.choice((0.05, 0.2, 0.5, 1.0, 2.0, 4.0, 8.0, 14.0))
        choice = dice.random()
        if self.drivers and choice < 0.3:
            driver, volts = dice.choice(self.drivers)
            if dice.random() < 0.5:
                cord = {} if self.plain else {"feed_cord": {"awg": dice.choice((24, 22, 20, 18))}}
                self.commands.append(
                    led_strip(name, driver, 1.5, dice.choice((4, 10, 20, 40)), volts=volts, **cord)
                )
                return
            cord = {} if self.plain else {"cord": {"area_mm2": dice.choice((0.14, 0.25, 0.5, 1.0))}}
            spot = light(name, driver, dice.choice((3, 10, 35)), max_lamp_w=50, **cord)
            self.commands.append(spot)
            return
        into = self._feeder()
        if choice < 0.5:
            lamp = {"power_factor": dice.choice((0.5, 0.9, 1.0))}
            cord = self._maybe(cord=self._cord())
            lit = light(name, into, min(watts, 60.0), lamp=lamp, max_lamp_w=100, **cord)
            self.commands.append(lit)
            return
        fields: dict[str, object] = {"continuous": dice.random() < 0.3}
        if dice.random() < 0.3:
            fields |= {"season": dice.choice(("winter", "summer"))}
        if dice.random() < 0.3:
            fields |= {
                "on_from_h": dice.choice((7.0, 20.0)),
                "hours_per_day": dice.choice((1.0, 4)),
            }
        if not self.plain:
            fields |= self._maybe(cord=self._cord())
            fields |= {"heats": dice.random() < 0.2, "motor": dice.random() < 0.2}
            fields |= {"charges": dice.random() < 0.2}
        self.commands.append(
            appliance(name, into, watts, power_factor=dice.choice((0.6, 0.9, 1.0)), **fields)
        )


def tree(seed: int, *, plain: bool = False) -> Scenario:
    """Return the plan that a number grows into."""
    return Grower(seed, plain=plain).grow()
