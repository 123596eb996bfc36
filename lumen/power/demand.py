"""A day on the supply tree: when each thing is on, and the hour when a limit is closest.

The day is a circle of 96 quarter hours. A thing that is on for any part of a quarter hour counts
for all of it, so short loads are seen in full; how long a load lasts (three hours or more makes it
continuous, NFPA 70 Article 100) is reckoned from the exact times, not from the steps.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lumen.errors import LumenError
from lumen.power.load import (
    Limit,
    LimitShare,
    LoadTree,
    Node,
    _amperes,
    _flows,
    _limit_amperes,
    _Plan,
    solve_tree,
)

__all__ = [
    "CONTINUOUS_H",
    "STEPS_PER_DAY",
    "DayDemand",
    "OnTime",
    "ShareOverDay",
    "check_times",
    "day_demand",
    "kept_up",
    "level_at",
]

STEPS_PER_DAY = 96
_PER_HOUR = STEPS_PER_DAY // 24
CONTINUOUS_H = 3.0
"""Hours from which a load is continuous: NFPA 70, Article 100."""

_ROUNDING_H = 1e-9


@dataclass(frozen=True, slots=True)
class OnTime:
    """One stretch in which a load, or a switched node above it, is on.

    Parameters
    ----------
    node_id
        The load, receiver or strip.
    start_h
        Clock hour at which it goes on, 0 to 24 [h].
    hours
        How long [h], at most 24; it may pass midnight.
    level
        Level of a load that dims, 0 to 1.
    """

    node_id: str
    start_h: float
    hours: float
    level: float = 1.0


@dataclass(frozen=True, slots=True)
class ShareOverDay:
    """One limit through the day: ``share`` (96,) of it that is used in each quarter hour."""

    node_id: str
    limit: Limit
    amperes: NDArray[np.float64]
    share: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DayDemand:
    """The tree through one day.

    Parameters
    ----------
    hours
        Start of each quarter hour (96,) [h].
    watts, amperes
        For each node id, (96,) [W], [A] (upper bound, as in :class:`lumen.power.load.NodeLoad`).
    sustained_amperes
        For each node id, the greatest current that is kept up for three hours [A].
    shares
        Every limit through the day.
    continuous
        Ids of loads that stay on for three hours or more.
    closest, closest_h
        The limit that comes nearest to being passed, or is passed worst, and the clock hour.
    """

    hours: NDArray[np.float64]
    watts: Mapping[str, NDArray[np.float64]]
    amperes: Mapping[str, NDArray[np.float64]]
    sustained_amperes: Mapping[str, float]
    shares: tuple[ShareOverDay, ...]
    continuous: frozenset[str]
    closest: LimitShare | None
    closest_h: float | None
    nodes: tuple[Node, ...]
    levels: Mapping[str, NDArray[np.float64]]

    def at(self, hour: float) -> LoadTree:
        """Return the whole solved tree, with its sums, at a clock hour [h]."""
        if not 0.0 <= hour <= 24.0:
            raise LumenError("hour", "must be from 0 to 24", hour)
        step = int(hour * _PER_HOUR) % STEPS_PER_DAY
        flagged = [replace(node, continuous=node.id in self.continuous) for node in self.nodes]
        return solve_tree(flagged, {key: float(level[step]) for key, level in self.levels.items()})


def day_demand(nodes: Iterable[Node], timetable: Sequence[OnTime]) -> DayDemand:
    """Return what every node carries in each quarter hour of a day.

    Loads that the timetable does not name are off all day and draw their standby. Other nodes
    that it does not name pass power all day; those it names are switched off at other times.

    Parameters
    ----------
    nodes
        The supply tree, as for :func:`lumen.power.load.solve_tree`.
    timetable
        On-times; where two of one node overlap, the higher level holds.

    Raises
    ------
    LumenError
        For an unknown id, a time outside the day or a level outside 0 to 1.

    Examples
    --------
    >>> plan = [
    ...     Node("circuit", None, "circuit", 120.0, limits=(Limit(15.0, "breaker", "label"),)),
    ...     Node("heater", "circuit", "load", watts=1440.0),
    ...     Node("dryer", "circuit", "load", watts=1200.0),
    ... ]
    >>> day = day_demand(plan, [OnTime("heater", 21.0, 10.0), OnTime("dryer", 6.6, 0.1)])
    >>> day.closest_h, day.closest.amperes
    (6.5, 22.0)
    >>> sorted(day.continuous), day.sustained_amperes["circuit"]
    (['heater'], 12.0)
    """
    plan = _Plan(nodes)
    check_times(plan.nodes, timetable)
    levels = _levels(plan, timetable)
    lasting = _lasting(plan, timetable)
    flows = _flows(plan, levels, STEPS_PER_DAY, dict.fromkeys(lasting, True))
    hours = np.arange(STEPS_PER_DAY) / _PER_HOUR
    watts, amperes, sustained, shares = {}, {}, {}, []
    closest: LimitShare | None = None
    closest_h: float | None = None
    for node_id in plan.order:
        amps_in, amps_out = _amperes(plan, flows, node_id)
        watts[node_id] = flows.working_in[node_id][0]
        amperes[node_id] = amps_in[0]
        sustained[node_id] = kept_up(amps_in[0])
        active = flows.working_in[node_id] / plan.volts_in[node_id]
        for limit in plan.by_id[node_id].limits:
            held = _limit_amperes(limit, amps_in, amps_out, active)
            share = held / limit.amperes
            shares.append(ShareOverDay(node_id, limit, held, share))
            step = int(np.argmax(share))
            if closest is None or share[step] > closest.share:
                closest = LimitShare(node_id, limit, float(held[step]), float(share[step]))
                closest_h = float(hours[step])
    return DayDemand(
        hours=hours,
        watts=watts,
        amperes=amperes,
        sustained_amperes=sustained,
        shares=tuple(shares),
        continuous=lasting,
        closest=closest,
        closest_h=closest_h,
        nodes=plan.nodes,
        levels=levels,
    )


def check_times(nodes: Iterable[Node], timetable: Sequence[OnTime]) -> None:
    """Refuse a timetable with an unknown id, a time outside the day or a level outside 0 to 1.

    Raises
    ------
    LumenError
        Naming the entry and the field.
    """
    known = {node.id for node in nodes}
    for index, on in enumerate(timetable):
        where = f"timetable[{index}]"
        if on.node_id not in known:
            raise LumenError(f"{where}.node_id", "must be the id of a node", on.node_id)
        if not 0.0 <= on.start_h <= 24.0:
            raise LumenError(f"{where}.start_h", "must be from 0 to 24", on.start_h)
        if not 0.0 <= on.hours <= 24.0:
            raise LumenError(f"{where}.hours", "must be from 0 to 24", on.hours)
        if not 0.0 <= on.level <= 1.0:
            raise LumenError(f"{where}.level", "must be from 0 to 1", on.level)


def level_at(nodes: Iterable[Node], timetable: Sequence[OnTime], hour: float) -> dict[str, float]:
    """Return the level of every node at a clock hour [h], by the exact on-times.

    Examples
    --------
    >>> plan = [Node("c", None, "circuit", 230.0), Node("fan", "c", "load", watts=20.0)]
    >>> level_at(plan, [OnTime("fan", 23.0, 2.0)], 0.5)
    {'c': 1.0, 'fan': 1.0}
    """
    named = {on.node_id for on in timetable}
    levels = {node.id: 0.0 if node.kind == "load" or node.id in named else 1.0 for node in nodes}
    for on in timetable:
        if (hour - on.start_h) % 24.0 < on.hours:
            levels[on.node_id] = max(levels[on.node_id], on.level)
    return levels


def _levels(plan: _Plan, timetable: Sequence[OnTime]) -> dict[str, NDArray[np.float64]]:
    named = {on.node_id for on in timetable}
    levels = {
        node.id: np.zeros(STEPS_PER_DAY)
        if node.kind == "load" or node.id in named
        else np.ones(STEPS_PER_DAY)
        for node in plan.nodes
    }
    for on in timetable:
        if on.hours == 0.0:
            continue
        first = math.floor(on.start_h * _PER_HOUR + _ROUNDING_H)
        last = math.ceil((on.start_h + on.hours) * _PER_HOUR - _ROUNDING_H)
        steps = np.arange(first, min(last, first + STEPS_PER_DAY)) % STEPS_PER_DAY
        levels[on.node_id][steps] = np.maximum(levels[on.node_id][steps], on.level)
    return levels


def _lasting(plan: _Plan, timetable: Sequence[OnTime]) -> frozenset[str]:
    spans: dict[str, list[OnTime]] = {}
    for on in timetable:
        if on.level > 0.0 and on.hours > 0.0:
            spans.setdefault(on.node_id, []).append(on)
    named = {on.node_id for on in timetable}
    found = set()
    for node in plan.nodes:
        if node.kind != "load" or node.id not in spans:
            continue
        gates = [spans.get(i, []) for i in plan.path[node.id] if i == node.id or i in named]
        if _longest_stretch(gates) >= CONTINUOUS_H - _ROUNDING_H:
            found.add(node.id)
    return frozenset(found)


def _longest_stretch(gates: Sequence[Sequence[OnTime]]) -> float:
    """Longest time [h], on the 24 h circle, during which every gate is open."""
    cuts = {0.0, 24.0}
    for gate in gates:
        for on in gate:
            cuts.update((on.start_h % 24.0, (on.start_h + on.hours) % 24.0))
    edges = sorted(cuts)
    pieces = []
    for start, end in pairwise(edges):
        middle = (start + end) / 2
        is_open = all(any((middle - on.start_h) % 24.0 < on.hours for on in gate) for gate in gates)
        pieces.append((end - start, is_open))
    if all(is_open for _, is_open in pieces):
        return 24.0
    longest = run = 0.0
    for length, is_open in pieces * 2:
        run = run + length if is_open else 0.0
        longest = max(longest, run)
    return longest


def kept_up(amperes: NDArray[np.float64], hours: float = CONTINUOUS_H) -> float:
    """Return the greatest current that is never gone below for so long on end [A].

    Parameters
    ----------
    amperes : (96,)
        Current in each quarter hour of the day, a circle [A].
    hours
        How long, from a quarter hour to a day [h]; rounded up to quarter hours.

    Examples
    --------
    >>> day = np.zeros(96)
    >>> day[94:] = day[:3] = 12.0
    >>> kept_up(day, 1.25), kept_up(day, 1.5)
    (12.0, 0.0)
    """
    if not 0.0 < hours <= 24.0:
        raise LumenError("hours", "must be more than 0 and at most 24", hours)
    width = math.ceil(hours * _PER_HOUR - _ROUNDING_H)
    wrapped = np.concatenate([amperes, amperes[: width - 1]])
    return float(np.lib.stride_tricks.sliding_window_view(wrapped, width).min(axis=1).max())
