"""The supply tree: what each circuit, outlet, strip, cord and driver carries, and what gives first.

Apparent power. A current can be split into the part that does work, ``P / V``, and a part that
does none, ``N / V`` (shifted or distorted current), which is orthogonal to the first over a mains
cycle (Fryze 1932). Working parts add exactly. The idle parts of different loads never add to more
than their plain sum (triangle inequality). So ``sqrt((sum P)^2 + (sum N)^2)`` is a bound that the
true apparent power cannot pass whatever the waveforms, exact for loads of one kind, and tighter
than the plain sum of volt-amperes. The true current lies between ``amperes_active`` (idle parts
cancel) and ``amperes`` (they all line up); the second is what limits are checked against.

What it leaves out: the supply is at its nominal volts, efficiencies do not change with load, and
inrush is not here (see :mod:`lumen.power.strip`).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from lumen.errors import LumenError

__all__ = [
    "KINDS",
    "NOT_IN_STEP",
    "NOT_IN_STEP_WORDS",
    "Counts",
    "Kind",
    "Limit",
    "LimitShare",
    "LoadTree",
    "Node",
    "NodeLoad",
    "solve_tree",
]

Kind = Literal[
    "circuit",
    "outlet",
    "outlet_group",
    "strip",
    "extension",
    "adapter",
    "receiver",
    "driver",
    "load",
]
KINDS: tuple[str, ...] = get_args(Kind)
Counts = Literal["all", "electronic", "electronic watts", "motor", "demand"]
Line = tuple[str, float, str]
Flow = NDArray[np.float64]

NOT_IN_STEP = 1.01
"""From this share over what flows in all, the currents of loads are said not to add up plainly."""

NOT_IN_STEP_WORDS = (
    "added plainly; less in all, because power factors differ and the currents are not in step"
)

# Groups that each node's current is split into; each is solved as if its loads were alone.
_ALL, _CONTINUOUS, _ELECTRONIC, _HEAT, _MOTOR = range(5)
_GROUPS = 5


@dataclass(frozen=True, slots=True)
class Limit:
    """A current that a node must not pass, and why.

    Parameters
    ----------
    amperes
        The limit [A].
    reason
        What sets it, in words: "printed on the strip".
    source
        Standard, label or table.
    assumed
        True when nobody has read the label.
    side
        ``"in"``: at the plug side; ``"out"``: behind the node (a driver's low-voltage side).
    counts
        ``"all"`` the whole current; ``"electronic"`` that of electronic loads only;
        ``"electronic watts"`` the working part of it, for a limit printed in watts; ``"motor"``
        that of motors only; ``"demand"`` the current with its continuous part counted 1.25 times.
    """

    amperes: float
    reason: str
    source: str
    assumed: bool = False
    side: Literal["in", "out"] = "in"
    counts: Counts = "all"


@dataclass(frozen=True, slots=True)
class Node:
    """One thing in the supply tree, as plain numbers.

    Parameters
    ----------
    id, parent
        Own id and that of what feeds it; ``None`` for a circuit (or any other root).
    kind
        One of :data:`KINDS`. Only a ``"load"`` uses power for its purpose; only a ``"driver"``
        turns mains into another voltage, with its own power factor.
    volts
        Volts behind the node [V]; ``None``: as at its input. A root must say.
    watts
        What a load delivers at full level [W] (what it draws, when ``efficiency`` is 1).
    standby_w
        Draw when off [W]; a receiver draws it always; a driver at least this.
    efficiency
        Power out over power in, of a driver or of a load's own adapter.
    power_factor
        Watts over volt-amperes at the input of a load or driver.
    limits
        Every limit of the node, each checked apart.
    continuous
        The load runs for three hours or more.
    dims
        The load's watts follow its level; otherwise any level above 0 is full.
    electronic, heats, motor
        The load is electronic (LED, charger, television); it makes heat on purpose; it is a motor
        straight on the mains.
    loop_ohm
        Resistance of the node's cord, both conductors [Ω]; its loss is reckoned at nominal volts.
    """

    id: str
    parent: str | None
    kind: Kind
    volts: float | None = None
    watts: float = 0.0
    standby_w: float = 0.0
    efficiency: float = 1.0
    power_factor: float = 1.0
    limits: tuple[Limit, ...] = ()
    continuous: bool = False
    dims: bool = True
    electronic: bool = False
    heats: bool = False
    motor: bool = False
    loop_ohm: float = 0.0


@dataclass(frozen=True, slots=True)
class LimitShare:
    """How much of one limit is used: ``share`` 1.0 is the limit itself."""

    node_id: str
    limit: Limit
    amperes: float
    share: float


@dataclass(frozen=True, slots=True)
class NodeLoad:
    """What one node carries.

    Parameters
    ----------
    watts_in, watts_out, loss_w
        Drawn, handed on (or, at a load, used), and the difference: heat in the node itself [W].
    va
        Apparent power at the input, upper bound [VA].
    amperes, amperes_active, amperes_out
        Input current [A]: upper bound, and the working part alone; current behind the node.
    amperes_continuous, amperes_noncontinuous, amperes_demand
        Part that runs for three hours or more; the rest; the sum with the first times 1.25 [A].
    amperes_electronic, amperes_electronic_active, amperes_heat, amperes_motor
        Current [A] of electronic loads alone, its working part, that of loads that make heat on
        purpose, and that of motors.
    standby_w
        The part of ``watts_in`` drawn by things that are off or waiting [W].
    drop_v
        Volts lost in cords from the root up to and with this node [V].
    loads, drivers, heaters
        Ids of all loads, drivers and heat-making loads at or below the node, sorted.
    shares, tightest
        Every limit with its used share; the one most used (``None`` without limits).
    below
        What is fed straight from the node.
    """

    node: Node
    path: tuple[str, ...]
    volts_in: float
    volts_out: float
    level: float
    watts_in: float
    watts_out: float
    loss_w: float
    va: float
    amperes: float
    amperes_active: float
    amperes_out: float
    amperes_continuous: float
    amperes_noncontinuous: float
    amperes_demand: float
    amperes_electronic: float
    amperes_electronic_active: float
    amperes_heat: float
    amperes_motor: float
    standby_w: float
    drop_v: float
    loads: tuple[str, ...]
    drivers: tuple[str, ...]
    heaters: tuple[str, ...]
    shares: tuple[LimitShare, ...]
    tightest: LimitShare | None
    below: tuple[NodeLoad, ...] = field(repr=False)

    def held(self, limit: Limit) -> float:
        """Return the current of this node that counts against a limit above it [A]."""
        return {
            "electronic": self.amperes_electronic,
            "electronic watts": self.amperes_electronic_active,
            "motor": self.amperes_motor,
            "demand": self.amperes_demand,
        }.get(limit.counts, self.amperes)

    @property
    def added_plainly(self) -> float:
        """Currents of what is fed straight from the node, added as plain numbers [A]."""
        return math.fsum(child.amperes for child in self.below)

    @property
    def out_of_step(self) -> bool:
        """Whether the currents behind the node do not add up plainly: power factors differ."""
        same = self.volts_out == self.volts_in
        return same and self.added_plainly > NOT_IN_STEP * self.amperes

    @property
    def explain(self) -> tuple[Line, ...]:
        """The sum that led to the figures: (text, value, unit) line by line."""
        return _explain(self, self.below)


@dataclass(frozen=True, slots=True)
class LoadTree:
    """The solved tree: one :class:`NodeLoad` for each node, and the totals."""

    nodes: tuple[Node, ...]
    levels: Mapping[str, float]
    loads: Mapping[str, NodeLoad]
    children: Mapping[str, tuple[str, ...]]
    roots: tuple[str, ...]
    total_w: float
    leaf_w: float
    loss_w: float

    def __getitem__(self, node_id: str) -> NodeLoad:
        """Return what the node carries."""
        if node_id not in self.loads:
            raise LumenError("node", f"must be one of {', '.join(sorted(self.loads))}", node_id)
        return self.loads[node_id]

    @property
    def shares(self) -> tuple[LimitShare, ...]:
        """Every limit in the tree, the most used first."""
        every = (share for load in self.loads.values() for share in load.shares)
        return tuple(sorted(every, key=lambda s: (-s.share, s.node_id, s.limit.reason)))

    @property
    def weakest(self) -> LimitShare | None:
        """The limit that is nearest to, or most over, what it can take."""
        ranked = self.shares
        return ranked[0] if ranked else None

    @property
    def exceeded(self) -> tuple[LimitShare, ...]:
        """Limits that are passed, worst first."""
        return tuple(share for share in self.shares if share.share > 1.0)

    def only(self, load_ids: Collection[str]) -> LoadTree:
        """Return the same tree with nothing but these loads in it, and nobody's standby.

        Raises
        ------
        LumenError
            When an id is not a load of this tree.
        """
        known = {node.id for node in self.nodes if node.kind == "load"}
        for load_id in load_ids:
            if load_id not in known:
                raise LumenError("load_ids", "must name loads of the tree", load_id)
        kept = [
            node if node.id in load_ids else replace(node, standby_w=0.0, watts=0.0)
            for node in self.nodes
        ]
        return solve_tree(kept, self.levels)


def solve_tree(
    nodes: Iterable[Node], levels: Mapping[str, float] | None = None, *, otherwise: float = 1.0
) -> LoadTree:
    """Return what every node of the supply tree carries.

    Parameters
    ----------
    nodes
        The tree or forest, in any order.
    levels
        Level of each load, 0 to 1; 0 means off (standby). On a strip, receiver or other node that
        passes power on, 0 means switched off: nothing behind it draws, not even standby.
    otherwise
        Level of loads not in ``levels``; the default 1 is "everything on". Nodes that pass power
        are on unless ``levels`` says otherwise.

    Raises
    ------
    LumenError
        For a doubled id, an unknown parent, a loop, a load that feeds something, or a number
        outside its range; the message names node and field.

    Notes
    -----
    Driver: ``P_in = max(P_out / efficiency, standby_w)``, ``N_in = P_in tan(arccos(pf))``.
    Load: ``P_in = max(level watts / efficiency, standby_w)``. Cord: ``P += I^2 loop_ohm``.
    Other nodes pass ``P`` and ``N`` on and add their own standby. Standby counts as continuous.

    Examples
    --------
    >>> plan = [
    ...     Node("circuit", None, "circuit", 120.0, limits=(Limit(15.0, "breaker", "label"),)),
    ...     Node("outlet", "circuit", "outlet", limits=(Limit(12.0, "15 A outlet", "NFPA 70"),)),
    ...     Node("heater", "outlet", "load", watts=1500.0, heats=True),
    ... ]
    >>> tree = solve_tree(plan)
    >>> tree["circuit"].amperes
    12.5
    >>> [share.node_id for share in tree.exceeded]
    ['outlet']
    """
    plan = _Plan(nodes)
    chosen = _checked_levels(plan, levels or {}, otherwise)
    flows = _flows(plan, {key: np.array([value]) for key, value in chosen.items()}, 1)
    return _tree(plan, chosen, flows)


class _Plan:
    """A checked forest in an order in which parents come before children, by id."""

    def __init__(self, nodes: Iterable[Node]) -> None:
        self.nodes = tuple(nodes)
        self.by_id: dict[str, Node] = {}
        for node in self.nodes:
            if node.id in self.by_id:
                raise LumenError(f"node '{node.id}'", "must have an id of its own", node.id)
            self.by_id[node.id] = node
        for node in self.nodes:
            _check_node(node, self.by_id)
        children: dict[str, list[str]] = {node.id: [] for node in self.nodes}
        for node in self.nodes:
            if node.parent is not None:
                children[node.parent].append(node.id)
        self.children = {key: tuple(sorted(ids)) for key, ids in children.items()}
        self.roots = tuple(sorted(n.id for n in self.nodes if n.parent is None))
        self.order: list[str] = []
        waiting = list(reversed(self.roots))
        while waiting:
            node_id = waiting.pop()
            self.order.append(node_id)
            waiting.extend(reversed(self.children[node_id]))
        if len(self.order) != len(self.nodes):
            lost = min(set(self.by_id) - set(self.order))
            raise LumenError(
                f"node '{lost}'.parent", "must not lead back to itself", _loop(lost, self.by_id)
            )
        self.volts_in: dict[str, float] = {}
        self.volts_out: dict[str, float] = {}
        self.path: dict[str, tuple[str, ...]] = {}
        for node_id in self.order:
            node = self.by_id[node_id]
            if node.parent is None:
                if node.volts is None:
                    raise LumenError(f"node '{node_id}'.volts", "must be given at a root", None)
                self.volts_in[node_id] = node.volts
                self.path[node_id] = (node_id,)
            else:
                self.volts_in[node_id] = self.volts_out[node.parent]
                self.path[node_id] = (*self.path[node.parent], node_id)
            given = self.volts_in[node_id] if node.volts is None else node.volts
            if node.kind != "driver" and not math.isclose(given, self.volts_in[node_id]):
                raise LumenError(
                    f"node '{node_id}'.volts",
                    f"must be the {self.volts_in[node_id]:g} V of what feeds it "
                    "(only a driver changes volts)",
                    given,
                )
            self.volts_out[node_id] = given


def _check_node(node: Node, by_id: Mapping[str, Node]) -> None:
    where = f"node '{node.id}'"
    if node.kind not in KINDS:
        raise LumenError(f"{where}.kind", f"must be one of {', '.join(KINDS)}", node.kind)
    if node.parent is not None:
        if node.parent not in by_id:
            raise LumenError(f"{where}.parent", "must be the id of another node", node.parent)
        if by_id[node.parent].kind == "load":
            raise LumenError(f"{where}.parent", "must not be a load", node.parent)
    for name in ("watts", "standby_w", "loop_ohm"):
        value = getattr(node, name)
        if not (math.isfinite(value) and value >= 0.0):
            raise LumenError(f"{where}.{name}", "must be a number, 0 or more", value)
    for name in ("efficiency", "power_factor"):
        value = getattr(node, name)
        if not 0.0 < value <= 1.0:
            raise LumenError(f"{where}.{name}", "must be more than 0 and at most 1", value)
    if node.volts is not None and not (math.isfinite(node.volts) and node.volts > 0.0):
        raise LumenError(f"{where}.volts", "must be more than 0", node.volts)
    if node.watts and node.kind != "load":
        raise LumenError(f"{where}.watts", "must be 0 unless the node is a load", node.watts)
    for index, limit in enumerate(node.limits):
        if not (math.isfinite(limit.amperes) and limit.amperes > 0.0):
            raise LumenError(
                f"{where}.limits[{index}].amperes", "must be more than 0", limit.amperes
            )


def _loop(start: str, by_id: Mapping[str, Node]) -> str:
    seen = [start]
    while True:
        parent = by_id[seen[-1]].parent
        if parent is None or parent in seen:
            return " < ".join([*seen, str(parent)])
        seen.append(parent)


def _checked_levels(plan: _Plan, levels: Mapping[str, float], otherwise: float) -> dict[str, float]:
    for key, value in {**levels, "(otherwise)": otherwise}.items():
        if key != "(otherwise)" and key not in plan.by_id:
            raise LumenError(f"levels['{key}']", "must be the id of a node", key)
        if not 0.0 <= value <= 1.0:
            raise LumenError(f"levels['{key}']", "must be from 0 to 1", value)
    return {
        node.id: float(levels.get(node.id, otherwise if node.kind == "load" else 1.0))
        for node in plan.nodes
    }


@dataclass(slots=True)
class _Flows:
    """Arrays (group, step) for each node: working and idle power in, working power out."""

    working_in: dict[str, Flow]
    idle_in: dict[str, Flow]
    working_out: dict[str, Flow]
    idle_out: dict[str, Flow]
    standby: dict[str, Flow]


def _flows(
    plan: _Plan,
    levels: Mapping[str, Flow],
    steps: int,
    continuous: Mapping[str, bool] | None = None,
) -> _Flows:
    """Sum the tree from the leaves, all steps at once; ``continuous`` overrules flags."""
    flows = _Flows({}, {}, {}, {}, {})
    fed: dict[str, Flow] = {}
    for node_id in plan.order:
        parent = plan.by_id[node_id].parent
        above = np.ones(steps) if parent is None else fed[parent]
        passes = plan.by_id[node_id].kind == "load" or levels[node_id] > 0.0
        fed[node_id] = above * passes
    for node_id in reversed(plan.order):
        node = plan.by_id[node_id]
        above = np.ones(steps) if node.parent is None else fed[node.parent]
        idle_per_watt = math.sqrt(max(0.0, node.power_factor**-2 - 1.0))
        working = np.zeros((_GROUPS, steps))
        idle = np.zeros((_GROUPS, steps))
        standby = np.zeros(steps)
        for child in plan.children[node_id]:
            working += flows.working_in[child]
            idle += flows.idle_in[child]
            standby += flows.standby[child]
        own = np.full(steps, node.standby_w) * above
        if node.kind == "load":
            level = levels[node_id]
            running = node.watts * (level if node.dims else (level > 0.0)) * above
            asleep = running / node.efficiency <= own
            drawn = np.maximum(running / node.efficiency, own)
            lasts = node.continuous if continuous is None else continuous.get(node_id, False)
            flows.working_out[node_id] = np.where(asleep, own, running)[None, :]
            working[_ALL] = drawn
            working[_CONTINUOUS] = drawn if lasts else np.where(asleep, own, 0.0)
            working[_ELECTRONIC] = drawn * node.electronic
            working[_HEAT] = np.where(asleep, 0.0, drawn) * node.heats
            working[_MOTOR] = drawn * node.motor
            idle = working * idle_per_watt
            standby = np.where(asleep, own, 0.0)
            flows.idle_out[node_id] = idle
        else:
            flows.working_out[node_id] = working.copy()
            flows.idle_out[node_id] = idle
            if node.kind == "driver":
                working = working / node.efficiency
                waiting = np.maximum(own - working[_ALL], 0.0)
                working[_ALL] = np.maximum(working[_ALL], own)
                working[_CONTINUOUS] = np.maximum(working[_CONTINUOUS], own)
                working[_ELECTRONIC] = working[_ALL]
                idle = working * idle_per_watt
                standby = standby / node.efficiency + waiting
            else:
                working[_ALL] += own
                working[_CONTINUOUS] += own
                idle[_ALL] += own * idle_per_watt
                idle[_CONTINUOUS] += own * idle_per_watt
                standby = standby + own
        if node.loop_ohm:
            current_squared = (working**2 + idle**2) / plan.volts_in[node_id] ** 2
            working = working + current_squared * node.loop_ohm
        flows.working_in[node_id] = working
        flows.idle_in[node_id] = idle
        flows.standby[node_id] = standby
    return flows


def _limit_amperes(limit: Limit, amps_in: Flow, amps_out: Flow, working_in: Flow) -> Flow:
    """Current (step,) that a limit is held against; inputs are (group, step).

    ``working_in`` is the working part of ``amps_in``: the one that watts stand for.
    """
    amps = amps_in if limit.side == "in" else amps_out
    held: Flow = amps[_ALL]
    if limit.counts == "electronic":
        held = amps[_ELECTRONIC]
    elif limit.counts == "electronic watts":
        held = working_in[_ELECTRONIC]
    elif limit.counts == "motor":
        held = amps[_MOTOR]
    elif limit.counts == "demand":
        held = amps[_ALL] + 0.25 * amps[_CONTINUOUS]
    return held


def _amperes(plan: _Plan, flows: _Flows, node_id: str) -> tuple[Flow, Flow]:
    """Upper-bound current in and out of a node, each (group, step)."""
    amps_in = np.hypot(flows.working_in[node_id], flows.idle_in[node_id])
    amps_out = np.hypot(flows.working_out[node_id], flows.idle_out[node_id])
    return amps_in / plan.volts_in[node_id], amps_out / plan.volts_out[node_id]


def _tree(plan: _Plan, levels: Mapping[str, float], flows: _Flows) -> LoadTree:
    loads: dict[str, NodeLoad] = {}
    beneath: dict[str, tuple[str, ...]] = {}
    for node_id in reversed(plan.order):
        found = [node_id]
        for child in plan.children[node_id]:
            found.extend(beneath[child])
        beneath[node_id] = tuple(found)
    amperes = {node_id: _amperes(plan, flows, node_id) for node_id in plan.order}
    drop: dict[str, float] = {}
    for node_id in plan.order:
        node = plan.by_id[node_id]
        # a driver regulates: what was lost before it is not seen behind it
        regulates = node.kind == "driver" or node.parent is None
        upstream = 0.0 if regulates else drop[node.parent or ""]
        drop[node_id] = upstream + float(amperes[node_id][0][_ALL, 0]) * node.loop_ohm
    for node_id in reversed(plan.order):
        node = plan.by_id[node_id]
        amps_in, amps_out = amperes[node_id]
        shares = []
        active = flows.working_in[node_id] / plan.volts_in[node_id]
        for limit in node.limits:
            amps = float(_limit_amperes(limit, amps_in, amps_out, active)[0])
            shares.append(LimitShare(node_id, limit, amps, amps / limit.amperes))
        watts_in = float(flows.working_in[node_id][_ALL, 0])
        watts_out = float(flows.working_out[node_id][_ALL, 0])
        current = float(amps_in[_ALL, 0])
        inside = sorted(beneath[node_id])
        loads[node_id] = NodeLoad(
            node=node,
            path=plan.path[node_id],
            volts_in=plan.volts_in[node_id],
            volts_out=plan.volts_out[node_id],
            level=levels[node_id],
            watts_in=watts_in,
            watts_out=watts_out,
            loss_w=watts_in - watts_out,
            va=current * plan.volts_in[node_id],
            amperes=current,
            amperes_active=watts_in / plan.volts_in[node_id],
            amperes_out=float(amps_out[_ALL, 0]),
            amperes_continuous=float(amps_in[_CONTINUOUS, 0]),
            amperes_noncontinuous=max(0.0, current - float(amps_in[_CONTINUOUS, 0])),
            amperes_demand=current + 0.25 * float(amps_in[_CONTINUOUS, 0]),
            amperes_electronic=float(amps_in[_ELECTRONIC, 0]),
            amperes_electronic_active=float(active[_ELECTRONIC, 0]),
            amperes_motor=float(amps_in[_MOTOR, 0]),
            amperes_heat=float(amps_in[_HEAT, 0]),
            standby_w=float(flows.standby[node_id][0]),
            drop_v=drop[node_id],
            loads=tuple(i for i in inside if plan.by_id[i].kind == "load"),
            drivers=tuple(i for i in inside if plan.by_id[i].kind == "driver"),
            heaters=tuple(i for i in inside if plan.by_id[i].heats),
            shares=tuple(shares),
            tightest=max(shares, key=lambda s: s.share, default=None),
            below=tuple(loads[child] for child in plan.children[node_id]),
        )
    loads = {node_id: loads[node_id] for node_id in plan.order}  # parents before children
    leaf_w = math.fsum(x.watts_out for x in loads.values() if x.node.kind == "load")
    return LoadTree(
        nodes=plan.nodes,
        levels=dict(levels),
        loads=loads,
        children=plan.children,
        roots=plan.roots,
        total_w=math.fsum(loads[root].watts_in for root in plan.roots),
        leaf_w=leaf_w,
        loss_w=math.fsum(x.loss_w for x in loads.values()),
    )


def _explain(load: NodeLoad, below: tuple[NodeLoad, ...]) -> tuple[Line, ...]:
    node = load.node
    lines: list[Line] = []
    if node.kind == "load":
        if load.standby_w > 0.0:
            lines.append(("off or waiting: standby", load.standby_w, "W"))
        else:
            lines.append(("power at full level", node.watts, "W"))
            if node.dims and load.level != 1.0:
                lines.append(("times level", load.level, ""))
    else:
        lines.extend((f"'{child.node.id}' draws", child.watts_in, "W") for child in below)
        lines.append(("handed on", load.watts_out, "W"))
        if node.standby_w and node.kind != "driver":
            lines.append(("own standby", node.standby_w, "W"))
    if node.efficiency < 1.0:
        lines.append(("divided by efficiency", node.efficiency, ""))
    if node.kind == "driver" and node.standby_w:
        lines.append(("but at least its own standby", node.standby_w, "W"))
    if node.loop_ohm:
        lines.append(("lost in its cord", load.amperes * load.amperes * node.loop_ohm, "W"))
        lines.append(("volts lost up to here", load.drop_v, "V"))
    lines.append(("drawn", load.watts_in, "W"))
    if load.out_of_step:
        lines.append((f"currents behind it {NOT_IN_STEP_WORDS}", load.added_plainly, "A"))
    lines.append(("apparent power, at most", load.va, "VA"))
    lines.append(("divided by supply volts", load.volts_in, "V"))
    lines.append(("current, at most", load.amperes, "A"))
    if load.amperes_continuous:
        lines.append(("of it for 3 h or more", load.amperes_continuous, "A"))
        lines.append(("with that part times 1.25", load.amperes_demand, "A"))
    if load.volts_out != load.volts_in:
        lines.append((f"current behind it at {load.volts_out:g} V", load.amperes_out, "A"))
    for share in load.shares:
        guess = ", assumed" if share.limit.assumed else ""
        lines.append((f"limit: {share.limit.reason}{guess}", share.limit.amperes, "A"))
        lines.append(("current held against it", share.amperes, "A"))
        lines.append(("share of the limit", 100.0 * share.share, "%"))
    return tuple(lines)
