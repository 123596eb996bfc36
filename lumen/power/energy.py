"""Energy and its cost: by setup, by the year, standby apart, and the cheapest change first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from lumen.errors import LumenError
from lumen.power.demand import OnTime, check_times, level_at
from lumen.power.load import LoadTree, Node, solve_tree

__all__ = [
    "Change",
    "RankedChange",
    "YearEnergy",
    "cost_of_energy",
    "energy_kwh",
    "rank_changes",
    "unplug_changes",
    "use_less_changes",
    "year_energy_from_timetables",
]

DAYS_PER_YEAR = 365.0
HOURS_PER_DAY = 24.0


def energy_kwh(watts: float, hours: float, days: float = 1.0) -> float:
    """Return the energy of a steady load [kWh]: ``W h / 1000``.

    Examples
    --------
    >>> energy_kwh(200.0, 4.0, 120.0)
    96.0
    """
    for name, value in (("watts", watts), ("hours", hours), ("days", days)):
        if not (math.isfinite(value) and value >= 0.0):
            raise LumenError(name, "must be a number, 0 or more", value)
    return watts * hours * days / 1000.0


def cost_of_energy(kwh: float, tariff_per_kwh: float) -> float:
    """Return what energy costs, in the currency of the tariff.

    Examples
    --------
    >>> cost_of_energy(96.0, 0.085)
    8.16
    """
    for name, value in (("kwh", kwh), ("tariff_per_kwh", tariff_per_kwh)):
        if not (math.isfinite(value) and value >= 0.0):
            raise LumenError(name, "must be a number, 0 or more", value)
    return kwh * tariff_per_kwh


@dataclass(frozen=True, slots=True)
class YearEnergy:
    """Energy of a year [kWh].

    Parameters
    ----------
    running_by_setup
        Energy beyond standby in each setup, losses included.
    running_by_load
        Energy of each load while it is on, its share of a driver's loss not included.
    standby_by_node
        Energy of each load, driver and receiver that is off or waiting.
    running_kwh, standby_kwh, total_kwh
        Everything that is on, losses included; all standby; their sum.
    running_cost, standby_cost, total_cost
        The same at the tariff; 0 without one.
    explain
        The sum: (text, value, unit) line by line.
    """

    running_by_setup: Mapping[str, float]
    running_by_load: Mapping[str, float]
    standby_by_node: Mapping[str, float]
    running_kwh: float
    standby_kwh: float
    total_kwh: float
    running_cost: float
    standby_cost: float
    total_cost: float
    explain: tuple[tuple[str, float, str], ...]


def year_energy_from_timetables(
    nodes: Iterable[Node],
    timetables: Mapping[str, tuple[Sequence[OnTime], float]],
    *,
    tariff_per_kwh: float = 0.0,
    duty: Mapping[str, float] | None = None,
) -> YearEnergy:
    """Return the energy of a year from timetables and the days on which each holds.

    Reckoned from the exact on-times, not from quarter hours.

    Parameters
    ----------
    timetables
        Name to (on-times, days a year); days that none claims have every load off.

    Examples
    --------
    >>> plan = [
    ...     Node("circuit", None, "circuit", 230.0),
    ...     Node("heater", "circuit", "load", watts=1500.0),
    ... ]
    >>> winter = [OnTime("heater", 22.0, 8.0)]
    >>> year_energy_from_timetables(plan, {"winter": (winter, 90.0)}).total_kwh
    1080.0
    """
    plan = tuple(nodes)
    claimed = math.fsum(days for _, days in timetables.values())
    if claimed > 366.0 or any(days < 0.0 for _, days in timetables.values()):
        raise LumenError("timetables", "must claim 0 to 366 days in all", claimed)
    spans: list[tuple[str, Mapping[str, float], float]] = []
    for name, (timetable, days) in timetables.items():
        check_times(plan, timetable)
        cuts = {0.0, HOURS_PER_DAY}
        for on in timetable:
            cuts.update((on.start_h % 24.0, (on.start_h + on.hours) % 24.0))
        for start, end in pairwise(sorted(cuts)):
            levels = level_at(plan, timetable, (start + end) / 2)
            spans.append((name, levels, (end - start) * days))
    spans.append(("all off", {}, max(0.0, DAYS_PER_YEAR - claimed) * HOURS_PER_DAY))
    return _energy(plan, spans, tariff_per_kwh, duty or {})


def _energy(
    nodes: tuple[Node, ...],
    spans: Sequence[tuple[str, Mapping[str, float], float]],
    tariff: float,
    duty: Mapping[str, float],
) -> YearEnergy:
    known = {node.id for node in nodes}
    for key, share in duty.items():
        if key not in known:
            raise LumenError(f"duty['{key}']", "must be the id of a node", key)
        if not 0.0 <= share <= 1.0:
            raise LumenError(f"duty['{key}']", "must be from 0 to 1", share)
    plan = [replace(node, watts=node.watts * duty.get(node.id, 1.0)) for node in nodes]
    off = {node.id: 0.0 for node in nodes if node.kind == "load"}
    by_setup: dict[str, float] = {}
    by_load: dict[str, float] = {}
    by_waiting: dict[str, float] = {}
    total = 0.0
    solved: dict[frozenset[tuple[str, float]], tuple[LoadTree, dict[str, float]]] = {}
    for name, levels, hours in spans:
        by_setup.setdefault(name, 0.0)
        if hours == 0.0:
            continue
        wanted = {**off, **levels}
        same = frozenset(wanted.items())
        if same not in solved:  # the same levels return in other seasons and at other hours
            tree = solve_tree(plan, wanted)
            solved[same] = tree, _own_standby(tree)
        tree, waiting = solved[same]
        total += energy_kwh(tree.total_w, hours)
        running = (tree.total_w - math.fsum(waiting.values())) * hours / 1000.0
        by_setup[name] += running
        for node_id, watts in waiting.items():
            if watts > 0.0:
                by_waiting[node_id] = by_waiting.get(node_id, 0.0) + watts * hours / 1000.0
        for node_id, load in tree.loads.items():
            if load.node.kind == "load" and load.standby_w == 0.0 < load.watts_in:
                by_load[node_id] = by_load.get(node_id, 0.0) + load.watts_in * hours / 1000.0
    standby = math.fsum(by_waiting.values())
    by_setup.pop("all off", None)
    running = total - standby
    lines = [(f"setup '{name}', beyond standby", kwh, "kWh") for name, kwh in by_setup.items()]
    lines += [(f"'{node_id}' waiting", kwh, "kWh") for node_id, kwh in by_waiting.items()]
    lines += [
        ("on", running, "kWh"),
        ("standby", standby, "kWh"),
        ("in all", total, "kWh"),
        ("price of 1 kWh", tariff, ""),
        ("cost of a year", cost_of_energy(total, tariff), ""),
    ]
    return YearEnergy(
        running_by_setup=by_setup,
        running_by_load=by_load,
        standby_by_node=by_waiting,
        running_kwh=running,
        standby_kwh=standby,
        total_kwh=total,
        running_cost=cost_of_energy(max(0.0, running), tariff),
        standby_cost=cost_of_energy(standby, tariff),
        total_cost=cost_of_energy(total, tariff),
        explain=tuple(lines),
    )


def _own_standby(tree: LoadTree) -> dict[str, float]:
    """Standby of each node itself, counted at the root [W]: a driver's loss falls to what waits."""
    own: dict[str, float] = {}
    gain: dict[str, float] = {}
    for node_id, load in tree.loads.items():  # parents come before children
        upstream = 1.0 if load.node.parent is None else gain[load.node.parent]
        scale = load.node.efficiency if load.node.kind == "driver" else 1.0
        gain[node_id] = upstream / scale
        below = math.fsum(tree.loads[child].standby_w for child in tree.children[node_id])
        own[node_id] = max(0.0, load.standby_w - below / scale) * upstream
    return own


@dataclass(frozen=True, slots=True)
class Change:
    """Something one could do: the energy it saves in a year, and its price."""

    text: str
    saves_kwh: float
    price: float = 0.0


@dataclass(frozen=True, slots=True)
class RankedChange:
    """A change with what it saves in money and after how many years it has paid for itself."""

    change: Change
    saves_cost: float
    payback_years: float


def rank_changes(changes: Iterable[Change], *, tariff_per_kwh: float) -> tuple[RankedChange, ...]:
    """Return changes that save anything, the one that pays for itself soonest first.

    Free changes come first, the greatest saving leading. Changes that save nothing are left out.

    Examples
    --------
    >>> ranked = rank_changes(
    ...     [Change("new lamp", 20.0, 8.0), Change("unplug the radio", 15.0)], tariff_per_kwh=0.2
    ... )
    >>> [(r.change.text, r.payback_years) for r in ranked]
    [('unplug the radio', 0.0), ('new lamp', 2.0)]
    """
    ranked = []
    for change in changes:
        if not (math.isfinite(change.price) and change.price >= 0.0):
            raise LumenError("change.price", "must be a number, 0 or more", change.price)
        if not change.saves_kwh > 0.0:
            continue
        saved = cost_of_energy(change.saves_kwh, tariff_per_kwh)
        if change.price == 0.0:
            payback = 0.0
        else:
            payback = change.price / saved if saved > 0.0 else math.inf
        ranked.append(RankedChange(change, saved, payback))
    return tuple(
        sorted(ranked, key=lambda r: (r.payback_years, -r.change.saves_kwh, r.change.text))
    )


def unplug_changes(year: YearEnergy) -> tuple[Change, ...]:
    """Return, for everything that waits all year, the free change of cutting its standby.

    Examples
    --------
    >>> plan = [
    ...     Node("circuit", None, "circuit", 230.0),
    ...     Node("radio", "circuit", "load", watts=10.0, standby_w=1.7),
    ... ]
    >>> unplug_changes(year_energy_from_timetables(plan, {}))[0].saves_kwh
    14.892
    """
    return tuple(
        Change(f"unplug '{node_id}' when it is not in use", kwh)
        for node_id, kwh in sorted(year.standby_by_node.items(), key=lambda item: -item[1])
    )


def use_less_changes(year: YearEnergy, *, share: float = 0.25, most: int = 3) -> tuple[Change, ...]:
    """Return, for what takes the most energy in a year, the free change of using it less.

    Parameters
    ----------
    year
        The energy of a year.
    share
        How much less, 0 to 1: a quarter unless told otherwise.
    most
        For how many loads, the greatest first.

    Examples
    --------
    >>> plan = [
    ...     Node("circuit", None, "circuit", 230.0),
    ...     Node("heater", "circuit", "load", watts=1500.0),
    ... ]
    >>> evening = [OnTime("heater", 20.0, 2.0)]
    >>> year = year_energy_from_timetables(plan, {"evening": (evening, 365.0)})
    >>> use_less_changes(year)[0].text, use_less_changes(year)[0].saves_kwh
    ("use 'heater' a quarter less", 273.75)
    """
    if not 0.0 < share <= 1.0:
        raise LumenError("share", "must be more than 0 and at most 1", share)
    words = "a quarter" if share == 0.25 else f"{100 * share:g} %"
    ranked = sorted(year.running_by_load.items(), key=lambda item: (-item[1], item[0]))
    return tuple(
        Change(f"use '{load_id}' {words} less", share * kwh) for load_id, kwh in ranked[:most]
    )
