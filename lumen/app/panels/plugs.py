"""What plugs into what, as a drawing: a card for each thing, cords between, how near the limit."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from html import escape
from typing import Any

from dash import html

from lumen.app.markup import Drawn
from lumen.app.panels.parts import tag
from lumen.power.load import LimitShare
from lumen.study.load.cord_runs import CordRun
from lumen.study.load.electrics import Electrics
from lumen.units import show_feet_inches
from lumen.words.figures import amount, amperes, watts

__all__ = ["plugs_panel"]

Component = Any

_WIDE, _STEP, _LINE, _PAD, _GAP = 360, 16, 18, 10, 10  # one unit is a pixel in a narrow drawer
_DEEPEST = 7  # steps to the right; what hangs deeper stands below its feeder
_LETTER = 7.4  # of a letter at 15 units: the widest usual mean, so that no line runs out
_NEAR = 0.8  # of a limit: from here on a share is shown as near; practice
_FEET = ("US", "CA")


def plugs_panel(drawn: Electrics) -> list[Component]:
    """Return the supply tree drawn with everything on, and the cords that are too short."""
    if not drawn.wiring.nodes:
        return [html.P("Nothing here is plugged in yet. Add an outlet, then things with a plug.")]
    picture = _Picture(drawn)
    return [
        html.P(
            "Each card hangs by its cord on what it is plugged into; watts and volt-amperes with "
            "everything on. Press one to take it in the hand.",
            className="lm-small",
        ),
        *_short_cords(picture.short),
        Drawn(picture.svg()),
        html.P(
            "The bar is how much of its tightest limit a thing carries: under 80 %, "
            "from 80 % (near), past 100 % (over).",
            className="lm-small",
        ),
    ]


def _short_cords(short: dict[str, CordRun]) -> list[Component]:
    if not short:
        return []
    words = "One cord is" if len(short) == 1 else f"{len(short)} cords are"
    return [html.P(f"{words} too short: what to buy stands below.", className="pg-plug-short")]


class _Picture:
    """The drawing, row by row."""

    def __init__(self, drawn: Electrics) -> None:
        self._drawn = drawn
        runs = [run for run in drawn.cord_lengths if run.over_m is not None and run.over_m < 0]
        self.short = {run.id: run for run in runs}
        self._feet = drawn.scenario.region in _FEET

    def svg(self) -> str:
        """Return the whole tree."""
        parts: list[str] = []
        y = 2.0
        for root in self._drawn.children.get(None, ()):
            y = self._below(root, 0, y, parts)
        told = tag({"viewBox": f"0 0 {_WIDE} {y:.0f}", "class": "pg-plugs", "role": "group"})
        return f'<svg{told} aria-label="What plugs into what">{"".join(parts)}</svg>'

    def _below(self, node_id: str, depth: int, y: float, parts: list[str]) -> float:
        """Draw a thing and what hangs on it from ``y`` down; return where it ends."""
        x = 2 + _STEP * min(depth, _DEEPEST)
        text, end = self._card(node_id, x, y)
        cords: list[str] = []
        below, last = end, end - _GAP
        for child in self._drawn.children.get(node_id, ()):
            last = below + 14
            state, _ = self._state(child)
            kind = "is-short" if child in self.short else state
            side = 2 + _STEP * min(depth + 1, _DEEPEST)
            hook = f"M{x + 6},{last:.1f} q0,10 10,10 H{max(side, x + 16)}"
            cords.append(f'<path d="{hook}" class="pg-cord {kind}"/>')
            below = self._below(child, depth + 1, below, parts)
        trunk = f'<path d="M{x + 6},{end - _GAP:.1f} V{last:.1f}" class="pg-cord"/>'
        parts += [trunk if cords else "", *cords, text]
        return below

    def _tightest(self, node_id: str) -> LimitShare | None:
        return self._drawn.tightest(self._drawn.everything, node_id)

    def _state(self, node_id: str) -> tuple[str, str]:
        """How near a thing is to its limit, as a class and in words."""
        share = self._tightest(node_id)
        if share is None:
            return "is-unknown", "no rating known"
        percent = f"{100 * share.share:.0f} % of {amperes(share.limit.amperes)}"
        percent += ", assumed" if share.limit.assumed else ""
        if share.share > 1:
            return "is-over", f"over: {percent}"
        return ("is-near", f"near: {percent}") if share.share >= _NEAR else ("is-free", percent)

    def _card(self, node_id: str, x: float, y: float) -> tuple[str, float]:
        """Return a card's drawing, and where the next one begins."""
        drawn, wide = self._drawn, _WIDE - 2 - x
        load, share = drawn.everything[node_id], self._tightest(node_id)
        state, words = self._state(node_id)
        name = drawn.name(node_id)
        across = wide - 2 * _PAD
        rows = [(line, "pg-plug-name") for line in _wrapped(name, across, 1.08)]
        power = f"{watts(load.watts_in)}, {amount(load.va)} VA"
        rows += [(line, "pg-plug-what") for line in _wrapped(f"{power}; {words}", across)]
        if node_id in self.short:
            rows += [(line, "pg-plug-cord") for line in _wrapped(self._cord(node_id), across)]
        high = 2 * _PAD + _LINE * len(rows) + 6
        lines = "".join(
            f'<text x="{x + _PAD}" y="{y + _PAD + _LINE * (n + 0.75):.1f}" class="{kind}">'
            f"{escape(line)}</text>"
            for n, (line, kind) in enumerate(rows)
        )
        filled = across * min(1.0, 0.0 if share is None else share.share)
        foot = y + high - _PAD - 3
        bar = (
            f'<rect x="{x + _PAD}" y="{foot:.1f}" width="{across}" height="5" rx="2.5" '
            f'class="pg-plug-bar"/><rect x="{x + _PAD}" y="{foot:.1f}" width="{filled:.1f}" '
            f'height="5" rx="2.5" class="pg-plug-fill"/>'
        )
        said = ". ".join([name, *self._told(node_id, power, words)])
        marks = {"data-select": node_id, "role": "button", "tabindex": "0", "aria-label": said}
        marks["class"] = f"pg-plug {state}"
        box = f'<rect x="{x}" y="{y:.1f}" width="{wide}" height="{high}" rx="10"/>'
        return f"<g{tag(marks)}>{box}{lines}{bar}</g>", y + high + _GAP

    def _told(self, node_id: str, power: str, words: str) -> Iterator[str]:
        yield power
        yield words
        if node_id in self.short:
            yield self._cord(node_id)

    def _cord(self, node_id: str) -> str:
        """What is wrong with a cord, and the length to buy."""
        run = self.short[node_id]
        has, needs = self._long(run.has_m or 0.0), self._long(run.needed_m)
        if run.buy_m is None:
            return f"Cord too short: {has}, its way takes {needs}; none that long is sold"
        return f"Cord too short: {has}, its way takes {needs}; buy {self._long(run.buy_m)}"

    def _long(self, length_m: float) -> str:
        """A cord's length to the centimetre, or the half inch: nobody knows its way better."""
        if self._feet:
            return show_feet_inches(length_m, 2)
        return f"{100 * length_m:.0f} cm"


def _wrapped(text: str, across: float, wider: float = 1.0) -> list[str]:
    return textwrap.wrap(text, max(8, int(across / (_LETTER * wider)))) or [text]
