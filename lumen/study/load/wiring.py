"""A plan's supply tree as the plain nodes of :mod:`lumen.power.load`, with every limit named.

Loads are summed as their labels say, so that the sums can be done by hand; what cords lose is
reckoned apart (:class:`lumen.study.load.electrics.CordDrop`), because a heater behind a long cord
draws less than its label, not more. What nobody has read is assumed low and marked so. A plug is a
limit of its own: the hole it sits in is held against what that one plug carries, apart from the
plate, the breaker and the cord.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from lumen.errors import LumenError
from lumen.power.conductors import (
    COILED_SHARE,
    area_from_gauge,
    cord_limit,
    flex_resistance_per_metre,
    low_voltage_cord_limit,
    thinnest_cord,
)
from lumen.power.driver import power_factor_assumed
from lumen.power.load import Counts, Limit, Node
from lumen.scenario.base import Amount, middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Cord, Light, Strip
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
from lumen.study.load.regions import ApplianceKind, RegionPack, appliance_kind, region_pack

__all__ = [
    "Role",
    "Wiring",
    "appliance_watts",
    "cord_area_mm2",
    "cord_loop_ohm",
    "strip_length_m",
    "wiring",
]

Role = Literal[
    "breaker",
    "demand",
    "hole",
    "plate",
    "label",
    "built-in breaker",
    "cord",
    "coiled cord",
    "plug fuse",
    "resistive",
    "electronic",
    "motor",
    "output",
]
End = Literal["middle", "high"]

MOTOR_START = 6.0
"""How many times its running current a motor takes while it starts: a contactor maker's rule of
thumb, about six."""

_HOTTEST_C = 59.0  # a cord for 60 °C carries next to nothing from here on, but it keeps its limit


@dataclass(frozen=True)
class Wiring:
    """Nodes of a plan and, for each, its limits by role; ``apart``: plugged in nowhere.

    ``labels`` holds watts and volts of the label of each heater that is fed at other volts.
    """

    nodes: tuple[Node, ...]
    limits: Mapping[str, Mapping[Role, Limit]]
    apart: tuple[str, ...]
    kinds: Mapping[str, ApplianceKind | None]
    labels: Mapping[str, tuple[float, float]]


def cord_area_mm2(cord: Cord | None) -> float | None:
    """Return a cord's conductor size [mm²], or ``None`` when it is not known.

    Examples
    --------
    >>> cord_area_mm2(Cord(awg=18))
    0.823
    """
    if cord is None:
        return None
    return cord.area_mm2 if cord.awg is None else area_from_gauge(cord.awg)


def cord_loop_ohm(cord: Cord | None, temperature_c: float = 20.0) -> float:
    """Return the resistance of both conductors of a cord [Ω]; 0 when size or length is not known.

    Examples
    --------
    >>> cord_loop_ohm(Cord(area_mm2=0.75, length_m=2.0))
    0.104
    """
    if cord is None or cord.length_m is None or (cord.awg is None and cord.area_mm2 is None):
        return 0.0
    area = cord.area_mm2 if cord.awg is None else None
    ohm = flex_resistance_per_metre(awg=cord.awg, area_mm2=area, temperature_c=temperature_c)
    return 2.0 * cord.length_m * ohm


def strip_length_m(strip: Strip) -> float:
    """Return the length along an LED strip's path [m]."""
    return math.fsum(math.dist(a, b) for a, b in zip(strip.path_m, strip.path_m[1:], strict=False))


def appliance_watts(item: Appliance, end: End = "high") -> float:
    """Return what an appliance gives or draws while it runs [W], from its label or its kind."""
    if item.power_w is not None:
        return _end(item.power_w, end)
    kind = appliance_kind(item.like)
    if kind is None:
        raise LumenError(f"{item.id}: power_w", "must be given, or like must name a kind", None)
    return kind.watts[2] if end == "high" else kind.watts[1]


def makes_heat(item: Appliance) -> bool:
    """Return whether an appliance makes heat on purpose, by what is written or by its kind."""
    kind = appliance_kind(item.like)
    return item.heats if item.heats is not None else bool(kind and kind.heats)


def has_motor(item: Appliance) -> bool:
    """Return whether an appliance is a motor straight on the mains, not one behind electronics."""
    kind = appliance_kind(item.like)
    if item.motor is not None:
        return item.motor
    return bool(kind and kind.motor and not kind.electronic) and not makes_heat(item)


def label_volts(item: Appliance, region: RegionPack) -> float:
    """Return the volts that a label's watts hold at [V]: the top of a range, else the usual."""
    if item.label_v is None:
        return region.need("heater_label_v")
    return _end(item.label_v, "high")


def _end(amount: Amount, end: End) -> float:
    return amount[1] if end == "high" and isinstance(amount, tuple) else middle(amount)


def wiring(
    scenario: Scenario, *, end: End = "high", air_c: Mapping[str, float] | None = None
) -> Wiring:
    """Return the plan's nodes, loads at the high or middle end of typed ranges.

    Parameters
    ----------
    scenario
        The plan.
    end
        ``"high"`` to hold against limits, ``"middle"`` for energy.
    air_c
        Air temperature around the cords of a node, where it lies in a closed space [°C].
    """
    return _Builder(scenario, end, air_c or {}).build()


class _Builder:
    def __init__(self, scenario: Scenario, end: End, air_c: Mapping[str, float]) -> None:
        self.scenario = scenario
        self.region: RegionPack = region_pack(scenario.region)
        self.end: End = end
        self.air_c = air_c
        self.supply = {item.id: item for item in scenario.supply}
        self.volts: dict[str, float] = {}
        self.outlets_on: dict[str, int] = {}
        for item in scenario.supply:
            if isinstance(item, Outlet):
                self.outlets_on[item.fed_from] = self.outlets_on.get(item.fed_from, 0) + item.holes
            elif isinstance(item, Appliance) and self._on_circuit(item):
                self.outlets_on[item.fed_from] = self.outlets_on.get(item.fed_from, 0) + 1
        self.nodes: list[Node] = []
        self.limits: dict[str, dict[Role, Limit]] = {}
        self.apart: list[str] = []
        self.kinds: dict[str, ApplianceKind | None] = {}
        self.labels: dict[str, tuple[float, float]] = {}

    def build(self) -> Wiring:
        for item in self.scenario.supply:
            limits: dict[Role, Limit] = {}
            node = self._node(item, limits)
            self._keep(node, limits)
        for light in self.scenario.lights:
            self._light(light)
        for strip in self.scenario.strips:
            self._strip(strip)
        return Wiring(tuple(self.nodes), self.limits, tuple(self.apart), self.kinds, self.labels)

    def _keep(self, node: Node, limits: dict[Role, Limit]) -> None:
        self.limits[node.id] = limits
        self.nodes.append(replace(node, limits=tuple(limits.values())))

    def _on_circuit(self, item: Appliance) -> bool:
        return isinstance(self.supply[item.fed_from], Circuit)

    def _input_volts(self, node_id: str) -> float:
        """Volts that reach an item: those of the driver above it, else of its circuit."""
        item = self.supply[node_id]
        if isinstance(item, Driver):
            return item.output_v
        if isinstance(item, Circuit):
            return item.volts or self.region.volts
        return self._input_volts(item.fed_from)

    def _node(
        self,
        item: Circuit | Outlet | PowerStrip | Extension | Adapter | Receiver | Driver | Appliance,
        limits: dict[Role, Limit],
    ) -> Node:
        if isinstance(item, Circuit):
            return self._circuit(item, limits)
        if isinstance(item, Outlet):
            return self._outlet(item, limits)
        self._plug(item, item.plug_fuse_a, limits)
        if isinstance(item, Appliance):
            return self._appliance(item, limits)
        if isinstance(item, Driver):
            self._add(
                limits, "output", item.rating_w / item.output_v, "rating of the driver", side="out"
            )
            return Node(
                item.id,
                item.fed_from,
                "driver",
                volts=item.output_v,
                standby_w=item.standby_w,
                efficiency=item.efficiency,
                power_factor=item.power_factor,
            )
        if isinstance(item, PowerStrip):
            self._label(limits, item.rating_a, "power strip", "strip_assumed_a")
            if item.breaker_a is not None:
                self._add(limits, "built-in breaker", item.breaker_a, "breaker built into it")
            self._cord(item.id, item.cord, limits)
            self._coiled(item.cord, limits)
            return Node(item.id, item.fed_from, "strip")
        if isinstance(item, Extension):
            self._cord(item.id, item.cord, limits)
            if item.rating_a is not None or "cord" not in limits:
                self._label(limits, item.rating_a, "extension cord", "extension_assumed_a")
            self._coiled(item.cord, limits)
            return Node(item.id, item.fed_from, "extension")
        if isinstance(item, Adapter):
            self._label(limits, item.rating_a, "adapter", "adapter_assumed_a")
            return Node(item.id, item.fed_from, "adapter")
        return self._receiver(item, limits)

    def _circuit(self, item: Circuit, limits: dict[Role, Limit]) -> Node:
        amperes = item.breaker_a or self.region.need("breaker_a")
        guessed = item.breaker_a is None
        reason = "usual breaker of the region" if guessed else "breaker"
        source = self.region.source("breaker_a") if guessed else "label"
        self._add(limits, "breaker", amperes, reason, source=source, assumed=guessed)
        if self.region.continuous_factor > 1.0:
            limits["demand"] = Limit(
                amperes,
                f"{reason}, loads of 3 h and more counted {self.region.continuous_factor:g} times",
                self.region.source("continuous_factor"),
                guessed,
                counts="demand",
            )
        return Node(item.id, None, "circuit", volts=item.volts or self.region.volts)

    def _outlet(self, item: Outlet, limits: dict[Role, Limit]) -> Node:
        if item.holes > 1 and self.region.plate_a is not None:
            self._add(
                limits,
                "plate",
                self.region.plate_a,
                f"{item.holes} holes of one plate together",
                source=self.region.source("twin_danger_a"),
                assumed=True,
            )
        return Node(item.id, item.fed_from, "outlet")

    def _receiver(self, item: Receiver, limits: dict[Role, Limit]) -> Node:
        volts = self._input_volts(item.fed_from)
        amperes = item.rating_a or self.region.need("receiver_assumed_a")
        guessed = item.rating_a is None
        reason = "receiver rating nobody has read" if guessed else "printed on the receiver"
        source = self.region.source("receiver_assumed_a") if guessed else "label"
        self._add(limits, "resistive", amperes, reason, source=source, assumed=guessed)
        if item.electronic_w is not None:
            self._add(
                limits,
                "electronic",
                item.electronic_w / volts,
                f"{item.electronic_w:g} W printed for electronic loads",
                counts="electronic watts",
            )
        else:
            limits["electronic"] = Limit(
                amperes * self.region.need("receiver_electronic_share"),
                "a tenth of the receiver's rating, for electronic loads",
                self.region.source("receiver_electronic_share"),
                True,
                counts="electronic",
            )
        if item.motor_w is not None:
            self._add(
                limits,
                "motor",
                item.motor_w / volts,
                f"{item.motor_w:g} W printed for motors",
                counts="motor",
            )
        else:
            limits["motor"] = Limit(
                amperes / MOTOR_START,
                "a sixth of the receiver's rating, for motors",
                "common practice, no source: a motor starts with about six times its current",
                True,
                counts="motor",
            )
        return Node(item.id, item.fed_from, "receiver", standby_w=item.standby_w)

    def _appliance(self, item: Appliance, limits: dict[Role, Limit]) -> Node:
        kind = appliance_kind(item.like)
        self.kinds[item.id] = kind
        low_volts = self._low_volts(item.fed_from)
        self._cord(item.id, item.cord, limits, low_volts=low_volts)
        self._coiled(item.cord, limits, low_volts=low_volts)
        heats = makes_heat(item)
        watts = self._watts(item, heats and not low_volts)
        charges = bool(item.charges)
        electronic = charges or item.efficiency is not None or bool(kind and kind.electronic)
        if kind is not None:
            usual = kind.power_factor
        else:
            usual = power_factor_assumed(watts, region=self.scenario.region) if electronic else 1.0
        factor = item.power_factor or usual
        lasting = item.continuous
        if lasting is None and kind is not None and item.hours_per_day is None:
            lasting = kind.continuous
        if lasting is None:
            lasting = (item.hours_per_day or 0.0) >= 3.0
        standby = item.standby_w
        if standby is None:
            standby = kind.standby_w if kind is not None else 0.0
        return Node(
            item.id,
            item.fed_from,
            "load",
            watts=watts,
            standby_w=standby,
            efficiency=item.efficiency or 1.0,
            power_factor=1.0 if low_volts else factor,
            continuous=lasting,
            dims=False,
            electronic=electronic and not heats,
            heats=heats,
            motor=has_motor(item),
        )

    def _watts(self, item: Appliance, heats: bool) -> float:
        """Watts of an appliance at the volts that reach it: a heater's go with their square.

        A usual value that nobody has read is never more than a plug of the region may carry.
        """
        watts = appliance_watts(item, self.end)
        if not heats:
            return watts
        printed = label_volts(item, self.region)
        if item.power_w is None:
            plug = self.region.number("outlet_large_a") or self.region.need("outlet_a")
            watts = min(watts, plug * printed)
        reaches = self._input_volts(item.fed_from)
        plain = (item.power_factor or 1.0) == 1.0 and item.efficiency is None
        if not plain or math.isclose(printed, reaches):
            return watts
        self.labels[item.id] = (watts, printed)
        return watts * (reaches / printed) ** 2

    def _low_volts(self, feeder: str) -> bool:
        item = self.supply[feeder]
        if isinstance(item, Driver):
            return True
        return not isinstance(item, Circuit) and self._low_volts(item.fed_from)

    def _light(self, light: Light) -> None:
        if light.fed_from is None:
            self.apart.append(light.id)
            return
        lamp = light.lamp
        watts = _end(lamp.power_w, self.end) * light.lamps
        low_volts = self._low_volts(light.fed_from)
        plain = lamp.kind in ("halogen", "incandescent")
        factor = lamp.power_factor or (
            1.0
            if plain
            else power_factor_assumed(watts, region=self.scenario.region, what="light source")
        )
        limits: dict[Role, Limit] = {}
        self._plug(light, light.plug_fuse_a, limits)
        self._cord(light.id, light.cord, limits, low_volts=low_volts)
        self._coiled(light.cord, limits, low_volts=low_volts)
        self._keep(
            Node(
                light.id,
                light.fed_from,
                "load",
                watts=watts,
                standby_w=lamp.standby_w * light.lamps,
                power_factor=1.0 if low_volts else factor,
                continuous=self._lasts(light.id),
                dims=light.dims,
                electronic=not plain,
            ),
            limits,
        )

    def _strip(self, strip: Strip) -> None:
        if strip.fed_from is None:
            self.apart.append(strip.id)
            return
        limits: dict[Role, Limit] = {}
        self._cord(strip.id, strip.feed_cord, limits, low_volts=True)
        if strip.feed == "both" and "cord" in limits:  # each of the two cords carries half
            limits["cord"] = replace(limits["cord"], amperes=2.0 * limits["cord"].amperes)
        self._keep(
            Node(
                strip.id,
                strip.fed_from,
                "load",
                watts=_end(strip.power_w_per_m, self.end) * strip_length_m(strip),
                continuous=self._lasts(strip.id),
                dims=strip.dims,
                electronic=True,
            ),
            limits,
        )

    def _lasts(self, light_id: str) -> bool:
        """Lights count as lasting three hours, unless every setup that uses them says less."""
        using = [s for s in self.scenario.setups if s.levels.get(light_id, 0.0) > 0.0]
        hours = math.fsum(setup.hours_per_day for setup in using)
        timed = bool(using) and all(setup.hours_per_day > 0.0 for setup in using)
        return not timed or hours >= 3.0

    def _plug(
        self,
        item: PowerStrip | Extension | Adapter | Receiver | Driver | Appliance | Light,
        fuse_a: float | None,
        limits: dict[Role, Limit],
    ) -> None:
        """Limits of a plug: the hole it sits in, and the fuse inside it."""
        feeder = item.fed_from
        assert feeder is not None
        outlet = self.supply[feeder]
        if isinstance(outlet, Outlet):
            rating = outlet.rating_a or self.region.need("outlet_a")
            shared = self.outlets_on.get(outlet.fed_from, 1) > 1
            share = self.region.outlet_share if shared else 1.0
            reason = f"the hole of a {rating:g} A outlet"
            if share < 1.0:
                reason += f", {100 * share:g} % on a circuit with other outlets"
            self._add(
                limits,
                "hole",
                share * rating,
                reason,
                source=self.region.source("outlet_share" if share < 1.0 else "outlet_a"),
                assumed=outlet.rating_a is None,
            )
        usual = self.region.number("plug_fuse_a")
        if fuse_a is not None:
            self._add(limits, "plug fuse", fuse_a, "fuse in its plug")
        elif (
            usual is not None
            and not isinstance(item, Adapter | Receiver)  # a block without a cord may have no fuse
            and not isinstance(outlet, Circuit)
            and not self._low_volts(feeder)
        ):
            self._add(
                limits,
                "plug fuse",
                usual,
                "fuse in its plug, which nobody has read",
                source=self.region.source("plug_fuse_a"),
                assumed=True,
            )

    def _label(
        self, limits: dict[Role, Limit], amperes: float | None, what: str, otherwise: str
    ) -> None:
        if amperes is not None:
            self._add(limits, "label", amperes, f"printed on the {what}")
            return
        self._add(
            limits,
            "label",
            self.region.need(otherwise),
            f"label not read, a low value for the {what}",
            source=self.region.source(otherwise),
            assumed=True,
        )

    def _cord(
        self,
        node_id: str,
        cord: Cord | None,
        limits: dict[Role, Limit],
        *,
        low_volts: bool = False,
    ) -> None:
        if cord is None:
            return
        air_c = max(30.0, self.air_c.get(node_id, 30.0))
        table_of = low_voltage_cord_limit if low_volts else cord_limit
        limit = table_of(
            region=self.scenario.region,
            printed_a=cord.rating_a,
            awg=cord.awg,
            area_mm2=cord.area_mm2 if cord.awg is None else None,
            length_m=cord.length_m,
            ambient_c=min(air_c, _HOTTEST_C),
            hotter=air_c > _HOTTEST_C,
        )
        if limit is not None:
            limits["cord"] = limit

    def _coiled(
        self, cord: Cord | None, limits: dict[Role, Limit], *, low_volts: bool = False
    ) -> None:
        if cord is None or not cord.coiled:
            return
        base = limits.get("cord") or limits.get("label")
        if base is None and not low_volts:
            words, amperes = thinnest_cord(self.scenario.region)
            thinnest = f"the thinnest cord sold, {words}: size not known"
            base = Limit(amperes, thinnest, "table of cords", True)
        if base is not None:
            self._add(
                limits,
                "coiled cord",
                COILED_SHARE * base.amperes,
                f"its cord left coiled: {100 * COILED_SHARE:g} % of {base.amperes:.3g} A "
                f"({base.reason})",
                source="our own share; common advice: never coiled",
                assumed=True,
            )

    def _add(
        self,
        limits: dict[Role, Limit],
        role: Role,
        amperes: float,
        reason: str,
        *,
        source: str = "label",
        assumed: bool = False,
        side: Literal["in", "out"] = "in",
        counts: Counts = "all",
    ) -> None:
        limits[role] = Limit(amperes, reason, source, assumed, side, counts)
