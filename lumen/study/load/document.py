"""The load tree as plain data: the ``power`` part of ``lumen-study/1``.

``DEVELOPERS.md`` documents the shape. Nothing in the program reads it again; faces read the
attributes of :class:`lumen.study.load.electrics.Electrics`.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lumen.power.heat import CompartmentHeat
from lumen.power.load import LoadTree
from lumen.power.strip import TapeState
from lumen.study.digits import figure
from lumen.study.load.cord_runs import CordRun
from lumen.study.load.electrics import CordDrop, Electrics, Weakest

__all__ = ["power_json"]

Json = dict[str, Any]


def power_json(drawn: Electrics) -> Json:
    """Return what a plan draws as plain data, ``power`` of ``lumen-study/1``."""
    weakest = drawn.weakest
    return {
        "volts": drawn.volts,
        "region": drawn.scenario.region,
        "supply": drawn.supply.to_json(),
        "nodes": [_node(drawn, node.id) for node in drawn.wiring.nodes],
        "apart": list(drawn.wiring.apart),
        "weakest": None if weakest is None else _weakest(drawn, weakest),
        "weakest_by_case": [_weakest(drawn, weak) for weak in drawn.weakest_by_case],
        "day": _days(drawn),
        "energy": _energy(drawn),
        "cords": [_drop(drop) for drop in drawn.cord_drops],
        "cord_lengths": [_run(run) for run in drawn.cord_lengths],
        "drivers": [fit.to_json() for fit in drawn.drivers],
        "surges": [surge.to_json() for surge in drawn.surges],
        "strips": [_strip(key, state) for key, state in drawn.strips.items()],
        "heat": [_heat(drawn, key, air) for key, air in drawn.heat.items()],
    }


def _node(drawn: Electrics, node_id: str) -> Json:
    most = drawn.everything[node_id]
    tightest = drawn.tightest(drawn.everything, node_id)
    return {
        "id": node_id,
        "name": drawn.name(node_id),
        "kind": drawn.kind(node_id),
        "fed_from": most.node.parent,
        "rating_a": None if tightest is None else figure(tightest.limit.amperes),
        "rating_reason": None if tightest is None else tightest.limit.reason,
        "assumed": bool(tightest and tightest.limit.assumed),
        "limits": [
            {
                "amperes": figure(share.limit.amperes),
                "reason": share.limit.reason,
                "source": share.limit.source,
                "assumed": share.limit.assumed,
                "carries": figure(share.amperes),
                "share": figure(share.share),
            }
            for share in most.shares
        ],
        "by_setup": {setup: _load(drawn, drawn.trees[setup], node_id) for setup in drawn.setups},
        "everything_on": _load(drawn, drawn.everything, node_id),
        "explain": {
            setup: _lines(drawn.explain(tree, node_id)) for setup, tree in drawn.trees.items()
        },
    }


def _load(drawn: Electrics, tree: LoadTree, node_id: str) -> Json:
    load, tightest = tree[node_id], drawn.tightest(tree, node_id)
    return {
        "watts": figure(load.watts_in),
        "va": figure(load.va),
        "amperes": figure(load.amperes),
        "share": None if tightest is None else figure(tightest.share),
        "limit": None if tightest is None else tightest.limit.reason,
        "limit_a": None if tightest is None else figure(tightest.limit.amperes),
    }


def _weakest(drawn: Electrics, weak: Weakest) -> Json:
    share = weak.share
    return {
        "setup": weak.case.key,
        "node": share.node_id,
        "name": drawn.name(share.node_id),
        "amperes": figure(share.amperes),
        "limit_a": figure(share.limit.amperes),
        "share": figure(share.share),
        "limit": share.limit.reason,
        "assumed": share.limit.assumed,
    }


def _days(drawn: Electrics) -> list[Json]:
    days = []
    for name, day in drawn.days.items():
        closest = day.closest
        days.append(
            {
                "variant": name,
                "closest_h": day.closest_h,
                "node": None if closest is None else closest.node_id,
                "limit": None if closest is None else closest.limit.reason,
                "share": None if closest is None else figure(closest.share),
                "assumed": bool(closest and closest.limit.assumed),
                "explain": []
                if closest is None or day.closest_h is None
                else _lines(day.at(day.closest_h)[closest.node_id].explain),
                "amperes": {
                    root: [figure(float(value)) for value in day.amperes[root]]
                    for root in drawn.everything.roots
                },
            }
        )
    return days


def _energy(drawn: Electrics) -> Json:
    year = drawn.year
    return {
        "kwh_year": figure(year.total_kwh),
        "standby_kwh_year": figure(year.standby_kwh),
        "cost_year": figure(year.total_cost),
        "standby_cost_year": figure(year.standby_cost),
        "currency": drawn.region.currency,
        "tariff": drawn.tariff,
        "tariff_assumed": drawn.tariff_assumed,
        "by_setup": [
            {"id": key, "kwh_year": figure(kwh), "cost_year": figure(kwh * drawn.tariff)}
            for key, kwh in drawn.setup_kwh.items()
        ],
        "changes": [
            {
                "text": ranked.change.text,
                "saves_kwh_year": figure(ranked.change.saves_kwh),
                "saves_cost_year": figure(ranked.saves_cost),
            }
            for ranked in drawn.energy_changes
        ],
        "explain": _lines(year.explain),
    }


def _drop(drop: CordDrop) -> Json:
    return {
        "id": drop.id,
        "amperes": figure(drop.amperes),
        "drop_v": figure(drop.drop_v),
        "drop_hot_v": figure(drop.drop_hot_v),
        "drop_share": figure(drop.drop_share),
        "loss_w": figure(drop.loss_w),
    }


def _heat(drawn: Electrics, furniture_id: str, air: CompartmentHeat) -> Json:
    return {
        "id": furniture_id,
        "inside": [
            {"id": item_id, "heat_w": figure(watts)}
            for item_id, watts in drawn.heat_inside(furniture_id)
        ],
        "losses_w": figure(air.losses_w),
        "rise_k": [figure(value) for value in air.rise_k],
        "air_c": [figure(value) for value in air.air_c],
        "label_ambient_c": air.label_ambient_c,
        "over_label": air.over_label,
        "assumptions": list(air.assumptions),
        "explain": _lines(air.explain),
    }


def _strip(strip_id: str, state: TapeState) -> Json:
    return {
        "id": strip_id,
        "nominal_w": figure(state.nominal_w),
        "drawn_w": figure(state.watts),
        "end_share": figure(state.evenness),
        "mean_share": figure(state.mean_flux),
        "drop_share": figure(state.drop_share),
        "explain": _lines(state.explain),
    }


def _run(run: CordRun) -> Json:
    return {
        "id": run.id,
        "kind": run.kind,
        "to": run.to,
        "route_m": figure(run.route_m),
        "needed_m": figure(run.needed_m),
        "buy_m": run.buy_m,
        "has_m": run.has_m,
        "over_m": run.over_m,
        "explain": _lines(run.explain),
    }


def _lines(lines: Iterable[tuple[str, float, str]]) -> list[list[Any]]:
    return [[text, figure(value), unit] for text, value, unit in lines]
