"""How a strip behind a headboard may run: edges, set-back, facing, lumens a metre, feed, compared.

Every row is the study's own light and load of a whole plan with that strip in it; nothing is
scaled from another row.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from lumen.errors import LumenError
from lumen.find.design import Command, Design
from lumen.find.strips import drivers_for, metre_fluxes, strip_of
from lumen.light.geometry import Box
from lumen.power.strip import tape_state
from lumen.scenario.base import middle
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip
from lumen.sheet.cuts import strip_cuts
from lumen.study.digits import figure
from lumen.study.eyes.comfort import Comfort
from lumen.study.lighting.glow import DOTS_FAINT, EVEN
from lumen.study.lighting.maps import Lighting, lighting
from lumen.study.load.electrics import strip_profiles, strip_tape
from lumen.study.scene.surfaces import furniture_box
from lumen.words.figures import amount, watts
from lumen.words.glow import glow_words

__all__ = ["StripChoice", "choice_words", "strip_choices", "with_choices"]

Array = NDArray[np.floating[Any]]
Facing = Literal["bed wall", "up"]

SET_BACKS_M = (0.03, 0.05, 0.08)
"""From the board's edge to the strip: common practice, no source."""

_SIDES_M = 0.45  # how far down the sides a run goes where today's has none; ours
_SAG = 0.9  # a far end under this share of the near one asks for a feed at both; ours


@dataclass(frozen=True, eq=False)
class StripChoice:
    """One way to run a strip, and what comes of it in the setup where it shines most.

    ``evenness`` is least over mean of the wall's glow along the board's top edge, ``glow_cd_m2``
    that mean, ``dots`` the contrast of single LEDs there; ``spill_lx`` is the melanopic light of
    this strip alone on the eyes of whoever lies worst; ``watts_w`` is by the label, ``left_m`` what
    no cut unit fills, ``end_share`` the light of its darkest place over its brightest.
    """

    edges: str
    set_back_m: float | None
    facing: str
    flux_lm_per_m: float
    feed: str
    today: bool
    evenness: float
    glow_cd_m2: float
    words: str
    dots: float
    spill_lx: float
    watts_w: float
    length_m: float
    left_m: float
    end_share: float
    best_in: tuple[str, ...]
    commands: tuple[Command, ...]
    scenario: Scenario

    @property
    def title(self) -> str:
        """What it is, in words."""
        if self.today:
            return "As it is today"
        off = "" if self.set_back_m is None else f", {100 * self.set_back_m:.0f} cm in"
        way = "facing the wall" if self.facing == "bed wall" else f"facing {self.facing}"
        fed = "" if self.feed in ("start", "end") else f", fed at {_FEEDS[self.feed]}"
        edges = self.edges[:1].upper() + self.edges[1:]
        return f"{edges}{off}, {way}, {self.flux_lm_per_m:g} lm a metre{fed}"

    def to_json(self) -> dict[str, Any]:
        """Return the choice as plain data, an entry of ``strips`` in ``lumen-find/1``."""
        return {
            "title": self.title,
            "edges": self.edges,
            "set_back_m": self.set_back_m,
            "facing": self.facing,
            "flux_lm_per_m": figure(self.flux_lm_per_m),
            "feed": self.feed,
            "today": self.today,
            "evenness": figure(self.evenness),
            "glow_cd_m2": figure(self.glow_cd_m2),
            "words": self.words,
            "dots": figure(self.dots),
            "spill_melanopic_lx": figure(self.spill_lx),
            "watts_w": figure(self.watts_w),
            "length_m": figure(self.length_m),
            "left_m": figure(self.left_m),
            "end_share": figure(self.end_share),
            "best_in": list(self.best_in),
            "commands": list(self.commands),
        }


_FEEDS = {"both": "both ends", "middle": "its middle"}


def strip_choices(
    scenario: Scenario,
    strip: str,
    *,
    progress: Callable[[float, int], None] | None = None,
    go_on: Callable[[], bool] = lambda: True,
) -> tuple[StripChoice, ...]:
    """Return ways to run a strip behind the headboard it lies at, today's first, then the best.

    Parameters
    ----------
    scenario
        The plan.
    strip
        Id of an LED strip.
    progress
        Told the share that is done and how many ways were studied.
    go_on
        Asked between them; once it says False, what was found until then is returned.

    Raises
    ------
    LumenError
        When the plan has no such strip, or it does not lie behind a headboard.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> strip_choices(load(examples()[0]), "nothing")
    Traceback (most recent call last):
    lumen.errors.LumenError: strip must be an LED strip of the plan (glow strip): got 'nothing'
    """
    return _Chooser(scenario, strip).found(progress, go_on)


def with_choices(scenario: Scenario) -> tuple[Strip, ...]:
    """Return the strips that may be compared: behind a headboard, and on in some setup.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> [strip.id for strip in with_choices(load(examples()[0]))]
    ['glow strip']
    """
    shine = {name for s in scenario.setups for name, level in s.levels.items() if level > 0.0}
    return tuple(
        strip
        for strip in scenario.strips
        if strip.id in shine and _board_of(scenario, strip) is not None
    )


class _Chooser:
    def __init__(self, scenario: Scenario, name: str) -> None:
        own = next((item for item in scenario.strips if item.id == name), None)
        if own is None:
            names = ", ".join(item.id for item in scenario.strips) or "none yet"
            raise LumenError("strip", f"must be an LED strip of the plan ({names})", name)
        board = _board_of(scenario, own)
        if board is None:
            raise LumenError("strip", "must lie behind a headboard, along its edges", name)
        self.scenario, self.own, self.board = scenario, own, board
        self.name = name
        levels = [(s.levels.get(name, 0.0), s.id) for s in scenario.setups]
        self.level, self.setup = max(levels, default=(0.0, ""), key=lambda pair: pair[0])
        if self.level <= 0.0:
            raise LumenError("strip", "must shine in a setup, to be compared there", name)

    def found(
        self, progress: Callable[[float, int], None] | None, go_on: Callable[[], bool]
    ) -> tuple[StripChoice, ...]:
        rows = [self._row(self.own, "today", None, True)]
        laid = list(self._laid())
        own = middle(self.own.flux_lm_per_m)
        others = [flux for flux in metre_fluxes(self.own) if flux != own]
        of = 1 + len(laid) + _OTHER_CLASSES * len(others)
        ways: list[tuple[Strip, str, float]] = []

        def told() -> bool:
            if progress is not None:
                progress(min(1.0, len(rows) / of), len(rows))
            return go_on()

        for strip, edges, off in laid:
            if not told():
                return _named(rows)
            rows.append(self._row(self._fed(strip), edges, off, False))
            ways.append((strip, edges, off))
        order = sorted(range(len(ways)), key=lambda i: _rank(rows[i + 1]))
        for i in order[:_OTHER_CLASSES]:
            strip, edges, off = ways[i]
            for flux in others:
                if not told():
                    return _named(rows)
                rows.append(self._row(self._fed(strip_of(strip, flux)), edges, off, False))
        return _named(rows)

    def _laid(self) -> Iterator[tuple[Strip, str, float]]:
        """Today's strip along other edges, further in, and facing up."""
        runs: list[tuple[str, Facing]] = [
            ("top edge", "bed wall"),
            ("top edge", "up"),
            ("top and sides", "bed wall"),
        ]
        for (edges, facing), off in itertools.product(runs, SET_BACKS_M):
            path = self._path(edges, off)
            if path is None:
                continue
            strip = self.own.model_copy(update={"path_m": path, "facing": facing})
            if np.shape(path) == np.shape(self.own.path_m) and strip.facing == self.own.facing:
                apart = np.abs(np.array(path) - np.array(self.own.path_m))
                same = np.minimum(apart, np.abs(np.array(path[::-1]) - np.array(self.own.path_m)))
                if same.max() < 0.005:
                    continue
            yield strip, edges, off

    @cached_property
    def _local(self) -> Array:
        """Today's path in the board's own frame: along it, out of it, up it [m]."""
        return (np.array(self.own.path_m) - self.board.centre) @ self.board.axes.T

    def _path(self, edges: str, off: float) -> tuple[tuple[float, float, float], ...] | None:
        wide, _, tall = self.board.half_size
        out = float(np.median(self._local[:, 1]))
        side, top = wide - off, tall - off
        low = min(float(self._local[:, 2].min()), top - 0.1)
        if float(np.ptp(self._local[:, 2])) < 0.1:  # today's has no sides
            low = max(top - _SIDES_M, -tall + 0.05)
        corners = [(-side, out, top), (side, out, top)]
        if edges == "top and sides":
            corners = [(-side, out, low), *corners, (side, out, low)]
        if side <= 0.05 or top <= -tall:
            return None
        points = np.array(corners) @ self.board.axes + self.board.centre
        if self._local[0, 0] > self._local[-1, 0]:
            points = points[::-1]
        return tuple((float(x), float(y), float(z)) for x, y, z in np.round(points, 4))

    def _fed(self, strip: Strip) -> Strip:
        """The strip with a feed at both ends where one leaves the far end dim."""
        tape = strip_tape(strip)
        if tape is None or strip.feed in ("both", "middle") or tape_state(tape).evenness >= _SAG:
            return strip
        return strip.model_copy(update={"feed": "both"})

    def _row(self, strip: Strip, edges: str, off: float | None, today: bool) -> StripChoice:
        design = Design(strips={} if today else {strip.id: strip})
        plan = design.plan(self.scenario)
        if not today:
            design = replace(design, drivers=drivers_for(self.scenario, plan))
            plan = design.plan(self.scenario)
        lit = lighting(plan, strip_profiles(plan))
        comfort = Comfort(lit)
        weights = np.array([self.level if e.id == strip.id else 0.0 for e in lit.emitters])
        glow = next((g for g in comfort.glow), None)
        edge = None if glow is None else glow.in_setup(self.setup, weights)
        cut = next(c for c in strip_cuts(plan) if c.id == strip.id)
        tape = strip_tape(strip)
        return StripChoice(
            edges=edges,
            set_back_m=off,
            facing=str(strip.facing),
            flux_lm_per_m=middle(strip.flux_lm_per_m),
            feed=strip.feed,
            today=today,
            evenness=0.0 if edge is None else edge.evenness,
            glow_cd_m2=0.0 if edge is None else edge.mean,
            words="no glow" if edge is None else glow_words(edge),
            dots=0.0 if edge is None else edge.dots,
            spill_lx=self.level * _spill(lit, strip.id),
            watts_w=middle(strip.power_w_per_m) * cut.used_m,
            length_m=cut.used_m,
            left_m=cut.run_m - cut.used_m,
            end_share=1.0 if tape is None else tape_state(tape).evenness,
            best_in=(),
            commands=tuple(design.commands(self.scenario)),
            scenario=plan,
        )


_OTHER_CLASSES = 2  # best runs that are tried with other lumens a metre as well


def _board_of(scenario: Scenario, strip: Strip) -> Box | None:
    """The headboard that a strip lies behind, at its edges; None where there is none."""
    path = np.array(strip.path_m)
    for item in scenario.furniture:
        if item.kind != "headboard":
            continue
        box = furniture_box(item)
        local = np.abs((path - box.centre) @ box.axes.T)
        if (local <= box.half_size + np.array([0.15, 0.25, 0.15])).all():
            return box
    return None


def _spill(lit: Lighting, name: str) -> float:
    """Melanopic light of one source at full on the eyes that lie worst [lx]."""
    eyes = [t.id for t in lit.targets if t.lies]
    return max((lit.alone(eye, name).melanopic_lx for eye in eyes), default=0.0)


def _rank(row: StripChoice) -> tuple[float, ...]:
    """Even and without dots first, then little spill for its glow, then few watts."""
    return (
        row.dots > DOTS_FAINT,
        row.evenness < EVEN,
        -round(row.evenness, 1),
        round(row.spill_lx / max(row.glow_cd_m2, 1e-6), 2),
        row.watts_w,
    )


_WAYS: tuple[tuple[str, Callable[[StripChoice], float]], ...] = (
    ("most even", lambda row: -row.evenness),
    ("least spill for its glow", lambda row: row.spill_lx / max(row.glow_cd_m2, 1e-6)),
    ("fewest watts", lambda row: row.watts_w),
    ("brightest glow", lambda row: -row.glow_cd_m2),
    ("least left over", lambda row: row.left_m),
)


def _named(rows: Sequence[StripChoice]) -> tuple[StripChoice, ...]:
    """Today's first, then the best first, each with what it is best in."""
    best = {words: min(rows, key=of) for words, of in _WAYS}
    named = [
        replace(row, best_in=tuple(words for words, one in best.items() if one is row))
        for row in rows
    ]
    return (named[0], *sorted(named[1:], key=_rank))


def choice_words(row: StripChoice) -> str:
    """Return what comes of a choice in one line."""
    dots = "no dots" if row.dots <= DOTS_FAINT else f"dots of {100 * row.dots:.0f} %"
    far = "" if row.end_share > 0.97 else f", far end {100 * (1 - row.end_share):.0f} % dimmer"
    return (
        f"{row.words}: least over mean {row.evenness:.2f}, {amount(row.glow_cd_m2)} cd/m2, {dots}; "
        f"{amount(row.spill_lx)} melanopic lx at a sleeper's eyes; {row.length_m:.2f} m, "
        f"{watts(row.watts_w)}, {100 * row.left_m:.0f} cm dark at cuts{far}"
    )
