"""The supply tree, each branch as thick as its amperes, and what a year costs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.panels.parts import sum_of
from lumen.study.words import amount, amperes, watts

__all__ = ["load_tree_panel"]

Json = dict[str, Any]
Component = Any


def load_tree_panel(data: Mapping[str, Any], setup: str) -> list[Component]:
    """Return the supply tree, each branch as thick as its amperes, and what a year costs."""
    power = data["power"]
    known = {node["id"] for node in power["nodes"]}
    children: dict[str | None, list[Json]] = {}
    for node in power["nodes"]:
        parent = node["fed_from"] if node["fed_from"] in known else None
        children.setdefault(parent, []).append(node)
    most = max((n["everything_on"]["amperes"] for n in power["nodes"]), default=0.0)
    weak = power.get("weakest")
    energy = power["energy"]
    year = (
        f"In a year about {amount(energy['kwh_year'])} kWh, of it "
        f"{amount(energy['standby_kwh_year'])} kWh just for being plugged in: about "
        f"{amount(energy['cost_year'])} {energy['currency']} at {energy['tariff']:g} a kWh"
        f"{' (assumed)' if energy.get('tariff_assumed') else ''}."
    )
    lead = _weak_words(weak) if weak else "No rating is known for anything here."
    return [
        html.P(lead, className="lm-lead"),
        _branch(children, None, setup, most, weak["node"] if weak else None),
        html.P(
            "The thicker the line, the more it carries with everything on. The bar under a name "
            "is how much of its rating that is. Numbers at the right are for this setup."
            + (NOT_PLAIN if _out_of_step(power["nodes"], setup) else ""),
            className="lm-small",
        ),
        html.P(year),
    ]


NOT_PLAIN = (
    " Watts add up from branch to branch; amperes add up to less where power factors differ, "
    "because such currents are not in step."
)


def _out_of_step(nodes: list[Json], setup: str) -> bool:
    """Return whether some node's sum says that the currents behind it do not add up plainly."""
    return any(
        "power factors" in text for node in nodes for text, _, _ in node["explain"].get(setup, ())
    )


def _weak_words(weak: Json) -> str:
    everything = weak["setup"].removeprefix("everything on").removeprefix("everything")
    case = f"in {weak['setup']!r}"
    if everything != weak["setup"]:
        case = f"with everything on{everything}"
    limit = f" of {amperes(weak['limit_a'])}" if weak.get("limit_a") else ""
    return (
        f"The weakest link is {weak.get('name', weak['node'])}: "
        f"{100 * weak['share']:.0f} %{limit} {case}."
    )


def _branch(
    children: Mapping[str | None, list[Json]],
    parent: str | None,
    setup: str,
    most: float,
    weakest: str | None,
) -> Component:
    rows = []
    here = list(children.get(parent, ()))
    for number, node in enumerate(here):
        later = sum(after["everything_on"]["amperes"] for after in here[number + 1 :])
        own = node["everything_on"]["amperes"]
        widths = {
            "--pg-thick": _thick(own, most),
            "--pg-in": _thick(own + later, most),
            "--pg-later": _thick(later, most),
        }
        below = (
            [_branch(children, node["id"], setup, most, weakest)] if node["id"] in children else []
        )
        rows.append(
            html.Li(
                [_node(node, setup, node["id"] == weakest), *below],
                style=widths,
                className="is-weak" if node["id"] == weakest else "",
            )
        )
    return html.Ul(rows, className="pg-tree lm-tree" if parent is None else "")


def _thick(amperes_a: float, most_a: float) -> str:
    """How thick a line is drawn [px]: in proportion, with a hair's breadth for next to nothing."""
    return f"{1.5 + 10 * (min(amperes_a / most_a, 1.0) if most_a else 0.0):.1f}px"


def _node(node: Json, setup: str, weakest: bool) -> Component:
    full = node["everything_on"]
    here = node["by_setup"].get(setup, full)
    share = full.get("share")
    parts: list[Component] = [
        html.Span(node["name"], className="lm-branch-name"),
        html.Span(
            f"{watts(here['watts'])}, {amperes(here['amperes'])}", className="lm-branch-load"
        ),
    ]
    if node["rating_a"] and share is not None:
        bar = html.I(
            className="is-over" if share > 1 else "",
            style={"width": f"{min(100, 100 * share):.0f}%"},
        )
        words = f"{100 * share:.0f} % of {amperes(node['rating_a'])} with everything on"
        words += ", assumed" if node["assumed"] else ""
        words += ": the weakest link" if weakest else ""
        parts += [
            html.Span(bar, className="lm-meter"),
            html.Span(words, className="lm-small", title=node.get("rating_reason") or ""),
        ]
    branch = html.Button(
        parts,
        type="button",
        className=f"lm-branch pg-branch{' is-weakest' if weakest else ''}",
        **marked({"data-select": node["id"]}),
    )
    return html.Div([branch, sum_of(node["explain"].get(setup, ()))])
