"""The supply tree, each branch as thick as its amperes, and what a year costs."""

from __future__ import annotations

from typing import Any

from dash import html

from lumen.app.marks import marked
from lumen.app.panels.parts import sum_of
from lumen.study.load.electrics import Electrics, Weakest
from lumen.words.figures import amount, amperes, watts
from lumen.words.names import Names

__all__ = ["NOT_PLAIN", "load_tree_panel"]

Component = Any

NOT_PLAIN = (
    " Watts add up from branch to branch; amperes add up to less where power factors differ, "
    "because such currents are not in step."
)


def load_tree_panel(drawn: Electrics, setup: str) -> list[Component]:
    """Return the supply tree, each branch as thick as its amperes, and what a year costs."""
    weak, year = drawn.weakest, drawn.year
    lead = _weak_words(drawn, weak) if weak else "No rating is known for anything here."
    out_of_step = any(load.out_of_step for load in drawn.in_setup(setup).loads.values())
    return [
        html.P(lead, className="lm-lead"),
        _Branches(drawn, setup).below(None),
        html.P(
            "The thicker the line, the more it carries with everything on. The bar under a name "
            "is how much of its rating that is. Numbers at the right are for this setup."
            + (NOT_PLAIN if out_of_step else ""),
            className="lm-small",
        ),
        html.P(
            f"In a year about {amount(year.total_kwh)} kWh, of it {amount(year.standby_kwh)} kWh "
            f"just for being plugged in: about {amount(year.total_cost)} {drawn.region.currency} "
            f"at {drawn.tariff:g} a kWh{' (assumed)' if drawn.tariff_assumed else ''}."
        ),
    ]


def _weak_words(drawn: Electrics, weak: Weakest) -> str:
    names, share = Names(drawn.scenario), weak.share
    return (
        f"The weakest link is {names.name(share.node_id)}: {100 * share.share:.0f} % of "
        f"{amperes(share.limit.amperes)} {names.when(weak.case)}."
    )


class _Branches:
    """The branches of the tree, with what they share."""

    def __init__(self, drawn: Electrics, setup: str) -> None:
        self._drawn = drawn
        self._tree = drawn.in_setup(setup)
        self._most_a = max((self._amperes(node.id) for node in drawn.wiring.nodes), default=0.0)
        self._weakest = None if drawn.weakest is None else drawn.weakest.share.node_id

    def _amperes(self, node_id: str) -> float:
        return self._drawn.everything[node_id].amperes

    def below(self, parent: str | None) -> Component:
        """Return what hangs on a node as a list, each with what hangs on it."""
        here = self._drawn.children.get(parent, ())
        rows = []
        for number, node_id in enumerate(here):
            later = sum(map(self._amperes, here[number + 1 :]))
            own = self._amperes(node_id)
            widths = {
                "--pg-thick": _thick(own, self._most_a),
                "--pg-in": _thick(own + later, self._most_a),
                "--pg-later": _thick(later, self._most_a),
            }
            below = [self.below(node_id)] if node_id in self._drawn.children else []
            rows.append(
                html.Li(
                    [self._node(node_id), *below],
                    style=widths,
                    className="is-weak" if node_id == self._weakest else "",
                )
            )
        return html.Ul(rows, className="pg-tree lm-tree" if parent is None else "")

    def _node(self, node_id: str) -> Component:
        drawn, here, weakest = self._drawn, self._tree[node_id], node_id == self._weakest
        tightest = drawn.tightest(drawn.everything, node_id)
        parts: list[Component] = [
            html.Span(drawn.name(node_id), className="lm-branch-name"),
            html.Span(
                f"{watts(here.watts_in)}, {amperes(here.amperes)}", className="lm-branch-load"
            ),
        ]
        if tightest is not None:
            bar = html.I(
                className="is-over" if tightest.share > 1 else "",
                style={"width": f"{min(100, 100 * tightest.share):.0f}%"},
            )
            words = f"{100 * tightest.share:.0f} % of {amperes(tightest.limit.amperes)} with "
            words += "everything on"
            words += ", assumed" if tightest.limit.assumed else ""
            words += ": the weakest link" if weakest else ""
            parts += [
                html.Span(bar, className="lm-meter"),
                html.Span(words, className="lm-small", title=tightest.limit.reason),
            ]
        branch = html.Button(
            parts,
            type="button",
            className=f"lm-branch pg-branch{' is-weakest' if weakest else ''}",
            **marked({"data-select": node_id}),
        )
        return html.Div([branch, sum_of(drawn.explain(self._tree, node_id))])


def _thick(amperes_a: float, most_a: float) -> str:
    """How thick a line is drawn [px]: in proportion, with a hair's breadth for next to nothing."""
    return f"{1.5 + 10 * (min(amperes_a / most_a, 1.0) if most_a else 0.0):.1f}px"
