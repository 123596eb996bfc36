"""What a plan draws: every node in each setup, through a day, with everything on; energy; warmth.

Loads are held against limits at the high end of what was typed, energy is reckoned from the
middle. Current is the upper bound of :mod:`lumen.power.load`: volt-amperes, not only watts.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lumen.power.demand import DayDemand
from lumen.power.energy import (
    RankedChange,
    YearEnergy,
    rank_changes,
    unplug_changes,
    use_less_changes,
)
from lumen.power.heat import CompartmentHeat
from lumen.power.load import LimitShare, LoadTree, NodeLoad, solve_tree
from lumen.power.strip import Tape, TapeState, tape_state
from lumen.scenario.aims import Setup
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip
from lumen.study.digits import figure
from lumen.study.load.cord_runs import CordRun, cord_runs
from lumen.study.load.day import (
    ALL_ON,
    ANY_DAY,
    Case,
    clock,
    days_of,
    duty_of,
    may_run_together,
    year_of,
)
from lumen.study.load.drivers import DriverFit, Surge, driver_fits, surges
from lumen.study.load.regions import RegionPack, region_pack
from lumen.study.load.supply_range import SupplyRange, supply_range
from lumen.study.load.warmth import air_around, heat_parts, inside_of, warmth
from lumen.study.load.wiring import Role, Wiring, cord_loop_ohm, strip_length_m, wiring
from lumen.study.scene.levels import EVERYTHING, given_levels

__all__ = [
    "EVERYTHING",
    "CordDrop",
    "Electrics",
    "Total",
    "Weakest",
    "Worst",
    "all_off",
    "electrics",
    "strip_profiles",
    "strip_tape",
]

_DAYS_PER_YEAR = 365.0
_HOT_CORD_C = 60.0
_STATIONS = 33
Profile = tuple[NDArray[np.float64], NDArray[np.float64]]
Line = tuple[str, float, str]


@dataclass(frozen=True)
class Worst:
    """The case in which a limit is used most: a setup, everything on, or an hour of a day."""

    case: Case
    share: LimitShare
    load: NodeLoad


@dataclass(frozen=True)
class Total:
    """What a setup draws in all [W], [A]."""

    total_w: float
    total_a: float


@dataclass(frozen=True)
class Weakest:
    """The limit that is nearest to what it can take, or furthest past it, in one case."""

    case: Case
    share: LimitShare


@dataclass(frozen=True)
class CordDrop:
    """Volts and watts that a mains cord loses with everything on; 0.03 of the supply is plenty.

    ``drop_v`` at 20 °C, as in a cord that carries little; ``drop_hot_v`` at its full 60 °C.
    """

    id: str
    amperes: float
    drop_v: float
    drop_hot_v: float
    drop_share: float
    loss_w: float


@dataclass(frozen=True, eq=False)
class Electrics:
    """The electrical half of a study.

    Parameters
    ----------
    trees
        The solved tree in each setup, with everything on (:data:`EVERYTHING`) last.
    together
        The solved tree with all that can be on at once, by season, hour and setup
        (:func:`lumen.study.load.day.may_run_together`): what limits are held against.
    days
        Variants of a day ("winter, evening"), each through its quarter hours.
    strips
        What each LED strip does along its length.
    heat
        Warmth of each closed space that holds something, by furniture.
    """

    scenario: Scenario
    region: RegionPack
    wiring: Wiring
    trees: Mapping[str, LoadTree]
    together: Mapping[Case, LoadTree]
    days: Mapping[str, DayDemand]
    strips: Mapping[str, TapeState]
    heat: Mapping[str, CompartmentHeat]
    year: YearEnergy
    setup_kwh: Mapping[str, float]

    @property
    def everything(self) -> LoadTree:
        """The tree with everything on."""
        return self.trees[EVERYTHING]

    @property
    def volts(self) -> float:
        """Supply that amperes are reckoned at: the circuits' own, else the region's nominal [V]."""
        roots = self.everything.roots
        return self.everything[roots[0]].volts_out if roots else self.region.volts

    @property
    def tariff(self) -> float:
        """Price of energy: the plan's, else the region's rough one."""
        typed = self.scenario.price_per_kwh
        return self.region.price_per_kwh if typed is None else typed

    @property
    def tariff_assumed(self) -> bool:
        """Whether the price of energy is the region's rough one."""
        return self.scenario.price_per_kwh is None

    @cached_property
    def cases(self) -> Mapping[Case, LoadTree]:
        """Setups, the worst hour of each day variant, and all that can be on at once."""
        trees = {
            Case("setup", name, setup=name): tree
            for name, tree in self.trees.items()
            if name != EVERYTHING
        }
        for name, day in self.days.items():
            hour = day.closest_h
            if hour is not None:
                variant = None if name == ANY_DAY else name
                case = Case("hour", f"{name}, {clock(hour)}", day=variant, hour=hour)
                trees[case] = day.at(hour)
        return {**trees, **self.together}

    def tree(self, case: Case) -> LoadTree:
        """Return the solved tree of a case."""
        return self.everything if case.kind == "everything" else self.cases[case]

    def worst(self, node_id: str, role: Role) -> Worst | None:
        """Return the case that uses one limit of a node most; a setup before everything on."""
        limit = self.wiring.limits.get(node_id, {}).get(role)
        best: Worst | None = None
        if limit is None:
            return None
        for case, tree in self.cases.items():
            for share in tree[node_id].shares:
                better = best is None or share.share > best.share.share * (1 + 1e-9)
                if share.limit is limit and better:
                    best = Worst(case, share, tree[node_id])
        return best

    @cached_property
    def cord_drops(self) -> tuple[CordDrop, ...]:
        """What each mains cord of known size and length loses, with everything on."""
        plan = self.scenario
        drops = []
        for item in (*plan.supply, *plan.lights):
            cord = getattr(item, "cord", None)
            ohm = cord_loop_ohm(cord)
            if ohm > 0.0 and item.id in self.everything.loads:
                load = self.everything[item.id]
                drop = load.amperes * ohm
                lost = load.amperes * drop
                hot = load.amperes * cord_loop_ohm(cord, _HOT_CORD_C)
                share = drop / load.volts_in
                drops.append(CordDrop(item.id, load.amperes, drop, hot, share, lost))
        return tuple(drops)

    @cached_property
    def drivers(self) -> tuple[DriverFit, ...]:
        """Each driver against the label power behind it, and the one that would suit."""
        return driver_fits(self.scenario, self.everything)

    @cached_property
    def surges(self) -> tuple[Surge, ...]:
        """The surge behind every receiver and circuit that feeds a driver."""
        return surges(self.scenario, self.everything, self.wiring)

    def total(self, setup: str) -> Total:
        """Return what a setup draws in all [W], [A], with what is plugged in nowhere."""
        tree = self.trees[setup]
        apart_w = 0.0
        levels = given_levels(self.scenario, setup)
        for light in self.scenario.lights:
            if light.id in self.wiring.apart:
                level = levels.get(light.id, 0.0)
                apart_w += middle(light.lamp.power_w) * light.lamps * level
        for strip in self.scenario.strips:
            if strip.id in self.wiring.apart:
                level = levels.get(strip.id, 0.0)
                apart_w += middle(strip.power_w_per_m) * strip_length_m(strip) * level
        amperes = math.fsum(tree[root].amperes for root in tree.roots)
        return Total(figure(tree.total_w + apart_w), figure(amperes + apart_w / self.volts))

    # -- nodes --------------------------------------------------------------------------------

    @property
    def setups(self) -> tuple[str, ...]:
        """Ids of the setups, in the plan's order."""
        return tuple(name for name in self.trees if name != EVERYTHING)

    @cached_property
    def children(self) -> Mapping[str | None, tuple[str, ...]]:
        """What hangs on each node, in the plan's order; under ``None`` what hangs on nothing."""
        ids = {node.id for node in self.wiring.nodes}
        below: dict[str | None, list[str]] = {}
        for node in self.wiring.nodes:
            below.setdefault(node.parent if node.parent in ids else None, []).append(node.id)
        return {parent: tuple(nodes) for parent, nodes in below.items()}

    def in_setup(self, setup: str) -> LoadTree:
        """Return the tree of a setup; with everything on where there is no such setup."""
        return self.trees.get(setup, self.everything)

    def tightest(self, tree: LoadTree, node_id: str) -> LimitShare | None:
        """Return the limit used most; for a plate with no limit of its own, its fullest hole."""
        own = tree[node_id].tightest
        if own is not None or tree[node_id].node.kind != "outlet":
            return own
        holes = [
            share
            for child in tree.children[node_id]
            for share in tree[child].shares
            if share.limit is self.wiring.limits[child].get("hole")
        ]
        return max(holes, key=lambda share: share.share, default=None)

    def explain(self, tree: LoadTree, node_id: str) -> tuple[Line, ...]:
        """Return the sum that led to what a node carries: (text, value, unit) line by line.

        A heater whose label holds at other volts than those that reach it says so first.
        """
        label: tuple[Line, ...] = ()
        if node_id in self.wiring.labels:
            watts, volts = self.wiring.labels[node_id]
            label = (
                ("watts of a heater on its label", watts, "W"),
                ("at the label's volts; they go with the square of the volts", volts, "V"),
            )
        return (*label, *tree[node_id].explain)

    @cached_property
    def weakest_by_case(self) -> tuple[Weakest, ...]:
        """The limit nearest to what it can take, in each case and with everything on."""
        return tuple(
            Weakest(case, share)
            for case, tree in {**self.cases, ALL_ON: self.everything}.items()
            if (share := tree.weakest) is not None
        )

    @property
    def weakest(self) -> Weakest | None:
        """The limit nearest to what it can take, in any case that can be."""
        best: Weakest | None = None
        for weak in self.weakest_by_case:
            if weak.case == ALL_ON and ALL_ON not in self.cases:
                continue  # everything on, though it can never be
            share = figure(weak.share.share)
            if best is None or share > figure(best.share.share) * (1 + 1e-9):
                best = weak
        return best

    def name(self, node_id: str) -> str:
        """Return the person's own name of anything in the plan, else its id."""
        return self._names.get(node_id, node_id)

    @cached_property
    def _names(self) -> dict[str, str]:
        plan = self.scenario
        items = (*plan.people, *plan.supply, *plan.lights, *plan.strips, *plan.furniture)
        return {item.id: item.name or item.id for item in items}

    def kind(self, node_id: str) -> str:
        """Return what a node is, in the plan's words."""
        return self._kinds[node_id]

    @cached_property
    def _kinds(self) -> dict[str, str]:
        plan = self.scenario
        kinds: dict[str, str] = {item.id: item.kind for item in plan.supply}
        kinds.update({light.id: "light" for light in plan.lights})
        kinds.update({strip.id: "strip" for strip in plan.strips})
        return kinds

    # -- lists --------------------------------------------------------------------------------

    @cached_property
    def supply(self) -> SupplyRange:
        """The usual range of the supply, and the currents of each circuit over it."""
        return supply_range(self.everything, self.region, self.scenario.supply_volts)

    @cached_property
    def cord_lengths(self) -> tuple[CordRun, ...]:
        """Cords along their routes."""
        return cord_runs(self.scenario)

    @cached_property
    def energy_changes(self) -> tuple[RankedChange, ...]:
        """What saves energy in a year, the most first."""
        changes = (*unplug_changes(self.year), *use_less_changes(self.year))
        return tuple(rank_changes(changes, tariff_per_kwh=self.tariff))

    def heat_inside(self, furniture_id: str) -> tuple[tuple[str, float], ...]:
        """Return what leaves heat in a closed space, by id, and how much [W]."""
        inside = inside_of(self.scenario)[furniture_id]
        return tuple(heat_parts(self.scenario, self.everything, inside))


def electrics(scenario: Scenario) -> Electrics:
    """Return what every node of a plan carries in each setup, through a day and with all on.

    Examples
    --------
    >>> from lumen.scenario.document import parse
    >>> drawn = electrics(parse({"format": "lumen-plan/1", "title": "x", "region": "US",
    ...     "room": {"outline_m": [[0, 0], [3, 0], [3, 3], [0, 3]], "height_m": 2.4},
    ...     "supply": [{"id": "c", "kind": "circuit"}, {"id": "o", "kind": "outlet",
    ...     "fed_from": "c"}, {"id": "heater", "kind": "appliance", "fed_from": "o",
    ...     "power_w": 1500, "heats": True}]}))
    >>> drawn.everything["c"].amperes
    12.5
    """
    laid = wiring(scenario)
    cold = solve_tree(laid.nodes)
    heat = warmth(scenario, cold)
    around = air_around(scenario, heat)
    if any(air > 30.0 for air in around.values()):
        laid = wiring(scenario, air_c=around)  # warm air takes from what a cord may carry
    trees = {s.id: solve_tree(laid.nodes, setup_levels(scenario, laid, s)) for s in scenario.setups}
    trees[EVERYTHING] = solve_tree(laid.nodes)
    region = region_pack(scenario.region)
    typed = scenario.price_per_kwh
    tariff = region.price_per_kwh if typed is None else typed
    usual = wiring(scenario, end="middle")
    duty = duty_of(scenario)
    drawing = [replace(n, watts=n.watts * duty.get(n.id, 1.0)) for n in usual.nodes]
    off_w = solve_tree(drawing, all_off(usual)).total_w
    setup_kwh = {
        s.id: (solve_tree(drawing, setup_levels(scenario, usual, s)).total_w - off_w)
        * s.hours_per_day
        * _DAYS_PER_YEAR
        / 1000.0
        for s in scenario.setups
    }
    return Electrics(
        scenario=scenario,
        region=region,
        wiring=laid,
        trees=trees,
        together={
            case: trees[EVERYTHING]
            if case == ALL_ON
            else solve_tree(laid.nodes, _levels_on(laid, on))
            for case, on in may_run_together(scenario, laid).items()
        },
        days=days_of(scenario, laid),
        strips={
            strip.id: tape_state(tape)
            for strip in scenario.strips
            if (tape := strip_tape(strip)) is not None
        },
        heat=heat,
        year=year_of(scenario, usual, tariff),
        setup_kwh={key: max(0.0, kwh) for key, kwh in setup_kwh.items()},
    )


def setup_levels(scenario: Scenario, laid: Wiring, setup: Setup) -> dict[str, float]:
    """Return the level of each load in a setup; a receiver is on when anything behind it is."""
    given = given_levels(scenario, setup.id)
    levels = {
        node.id: max(given.get(node.id, 0.0), 1.0 if node.id in setup.running else 0.0)
        for node in laid.nodes
        if node.kind == "load"
    }
    parents = {node.id: node.parent for node in laid.nodes}
    switched = {node.id: 0.0 for node in laid.nodes if node.kind == "receiver"}
    for load, level in levels.items():
        at = parents[load]
        while level > 0.0 and at is not None:
            if at in switched:
                switched[at] = 1.0
            at = parents[at]
    return {**levels, **switched}


def all_off(laid: Wiring) -> dict[str, float]:
    """Return the levels with nothing on: each receiver is off as well, with what waits behind it.

    That is how the plan stands between its setups, so this is the standby of the energy list too.
    """
    return {node.id: 0.0 for node in laid.nodes if node.kind in ("load", "receiver")}


def _levels_on(laid: Wiring, on: Collection[str]) -> dict[str, float]:
    return {node.id: float(node.id in on) for node in laid.nodes if node.kind == "load"}


def strip_tape(strip: Strip) -> Tape | None:
    """Return an LED strip as a circuit, ``None`` when it draws nothing."""
    watts = middle(strip.power_w_per_m)
    if watts <= 0.0:
        return None
    return Tape(
        length_m=strip_length_m(strip),
        watts_per_m=watts,
        volts=float(strip.volts),
        loop_ohm_per_m=strip.loop_ohm_per_m,
        feed=strip.feed,
        current=strip.current,
        feed_ohm=cord_loop_ohm(strip.feed_cord),
    )


def strip_profiles(scenario: Scenario) -> dict[str, Profile]:
    """Return for each LED strip its stations (n,), 0 to 1 along it, and its light there.

    Light is relative to the label's lumens per metre at full supply volts: the far end of a long
    strip is really dimmer.
    """
    profiles = {}
    for strip in scenario.strips:
        tape = strip_tape(strip)
        stations = np.linspace(0.0, 1.0, _STATIONS)
        if tape is None:
            profiles[strip.id] = (stations, np.ones_like(stations))
        else:
            profiles[strip.id] = (
                stations,
                tape_state(tape, stations * tape.length_m).relative_flux,
            )
    return profiles
