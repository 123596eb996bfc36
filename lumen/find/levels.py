"""Dim levels that meet the wishes with the lights as they are, or which wishes contradict.

In one setup every wish is linear in the levels, so that the question is a linear program. Of all
levels that meet the wishes those are taken that keep the largest margin, up to a fifth, and change
today's least.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.find.guide import Guide, Want
from lumen.scenario.document import Scenario
from lumen.study.scene.levels import dimming

__all__ = ["SetupLevels", "dims_to", "levels_for"]

Array = NDArray[np.floating[Any]]

_MARGIN = 0.2  # relative; more is no better
_CHANGE = 1e-3  # weight of the change from today against the margin


@dataclass(frozen=True)
class SetupLevels:
    """One setup: levels that meet its wishes, or the wishes that no levels meet together.

    ``levels`` is None where none do. ``lasting`` says whether they hold after years too; else for
    new lamps only. ``apart`` names a smallest set of wishes that contradict each other, with the
    lights and bounds as they are.
    """

    setup: str
    levels: Mapping[str, float] | None
    lasting: bool
    apart: tuple[str, ...]


def dims_to(scenario: Scenario) -> dict[str, float]:
    """Return the lowest level of each light and strip that something dims; 1 for what is on or off.

    What nothing in the plan is known to dim counts as dimmable where a setup dims it today.
    """
    found = {}
    for name, rule in dimming(scenario).items():
        dimmed = any(0.0 < s.levels.get(name, 0.0) < 1.0 for s in scenario.setups)
        may = not rule.on_off and (bool(rule.by) or dimmed)
        found[name] = max(rule.lowest, 0.01) if may else 1.0
    return found


def levels_for(guide: Guide) -> tuple[SetupLevels, ...]:
    """Return, for each setup with wishes, levels of what is on in it that meet them.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.lighting.maps import lighting
    >>> from lumen.study.wishes.verdicts import aim_results
    >>> lit = lighting(load(examples()[0]))
    >>> found = levels_for(Guide.of(lit, aim_results(lit, shadows=False)))
    >>> [(one.setup, one.apart) for one in found][0]
    ('read left', ('right sleeps',))
    """
    bounds = dict.fromkeys(guide.today, 1.0) | dims_to(guide.scenario)
    found = []
    for setup in guide.scenario.setups:
        wants = [want for want in guide.wants if want.setup == setup.id]
        on = [n for n, level in guide.levels[setup.id].items() if level > 0.0]
        if wants:
            found.append(_setup(guide, setup.id, wants, on, bounds))
    return tuple(found)


def _setup(
    guide: Guide, setup: str, wants: Sequence[Want], on: Sequence[str], bounds: Mapping[str, float]
) -> SetupLevels:
    for lasting in (True, False):
        levels = _solved(guide, setup, wants, on, bounds, lasting)
        if levels is not None:
            return SetupLevels(setup, levels, lasting, ())
    left = list(wants)
    for want in wants:  # what may be left out without making it possible is no part of the quarrel
        fewer = [w for w in left if w is not want]
        if _solved(guide, setup, fewer, on, bounds, False) is None:
            left = fewer
    return SetupLevels(setup, None, False, tuple(dict.fromkeys(w.aim for w in left)))


def _solved(
    guide: Guide,
    setup: str,
    wants: Sequence[Want],
    on: Sequence[str],
    bounds: Mapping[str, float],
    lasting: bool,
) -> dict[str, float] | None:
    from scipy.optimize import linprog  # slow to import, and asked for here only

    rows: list[Array] = []  # row . (levels, margin) <= limit
    limits: list[float] = []
    for want in wants:
        for row, slack, most in _rows(guide, want, on, lasting):
            rows.append(np.append(row, slack))
            limits.append(most)
    if not on:
        possible = all(most >= -1e-12 for most in limits)
        return {} if possible else None
    today = np.array([guide.level(setup, name) for name in on])
    n = len(on)
    # unknowns: levels, margin, and how far each level goes from today's
    matrix = np.zeros((len(rows) + 2 * n, 2 * n + 1))
    limit = np.zeros(len(matrix))
    for k, (row, most) in enumerate(zip(rows, limits, strict=True)):
        scale = max(float(np.abs(row).max()), 1e-12)
        matrix[k, : n + 1], limit[k] = row / scale, most / scale
    for sign, begin in ((1.0, len(rows)), (-1.0, len(rows) + n)):
        for i in range(n):
            matrix[begin + i, i], matrix[begin + i, n + 1 + i] = sign, -1.0
            limit[begin + i] = sign * today[i]
    cost = np.concatenate([np.zeros(n), [-1.0], np.full(n, _CHANGE)])
    box = [(bounds[name], 1.0) for name in on] + [(0.0, _MARGIN)] + [(0.0, 1.0)] * n
    found = linprog(cost, A_ub=matrix, b_ub=limit, bounds=box, method="highs")
    if found.status != 0:
        return None
    return {name: float(level) for name, level in zip(on, found.x[:n], strict=True)}


def _rows(
    guide: Guide, want: Want, on: Sequence[str], lasting: bool
) -> list[tuple[Array, float, float]]:
    """A wish as rows (levels) and a coefficient of the margin, at most a limit each."""
    found: list[tuple[Array, float, float]] = []
    melanopic = want.measure == "melanopic_edi_lx"
    least: list[tuple[Array, float, float]] = []
    for target in want.targets:
        part = guide.places[target]
        each = {}
        for age in ("new", "after"):
            light = [
                guide.seen(want.setup, guide.today[n])[part]
                * getattr(guide.traits[n], age)
                * (guide.traits[n].ratio if melanopic else 1.0)
                for n in on
            ]
            points = guide.places[target]
            each[age] = np.array(light).reshape(len(on), points.stop - points.start)
        old = each["after" if lasting else "new"]
        if want.measure == "uniformity":
            found += _even(old, want.at_least or 0.0)
            continue
        stat = want.statistic if want.measure == "illuminance_lx" else "average"
        if want.at_most is not None:
            columns = each["new"].T if stat == "maximum" else [each["new"].mean(axis=1)]
            found += [(np.asarray(row), want.at_most, want.at_most) for row in columns]
        if want.at_least is not None and want.at_least > 0.0:
            columns = old.T if stat == "minimum" else [old.mean(axis=1)]
            least += [(-np.asarray(row), want.at_least, -want.at_least) for row in columns]
        if want.evenness:
            found += _even(old, want.evenness)
    # of several postures the one that gets most decides: at least asks for one of them
    if len(want.targets) > 1 and least:
        least = [max(least, key=lambda entry: float(-entry[0].sum()))]
    return found + least


def _even(light: Array, share: float) -> list[tuple[Array, float, float]]:
    mean = light.mean(axis=1)
    return [(share * mean - point, 0.0, 0.0) for point in light.T]
