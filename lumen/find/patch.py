"""The patch of a light: where on its surface how many wishes hold, and what breaks at each edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from lumen.errors import LumenError
from lumen.find.engine import Engine
from lumen.find.guide import Guide
from lumen.find.may import May, may_of
from lumen.find.options import CORD, Group, light_group
from lumen.scenario.document import Scenario
from lumen.study.lighting.maps import lighting
from lumen.study.load.electrics import strip_profiles
from lumen.study.wishes.verdicts import aim_results

__all__ = ["Cell", "Edge", "Patch", "patch"]


@dataclass(frozen=True)
class Cell:
    """One place: ``along_m`` and ``up_m`` on the surface, the mount there [m], what holds.

    ``breaks`` names the wishes that do not hold (id, setup); ``against`` says in words why a light
    may not hang there, nothing where it may.
    """

    along_m: float
    up_m: float
    mount_m: tuple[float, float, float]
    met: int
    breaks: tuple[tuple[str, str], ...]
    against: tuple[str, ...]


@dataclass(frozen=True)
class Edge:
    """Where the patch ends on one way from the light: how far [m], and what breaks there."""

    way: str
    distance_m: float
    why: tuple[str, ...]


@dataclass(frozen=True)
class Patch:
    """The patch of one light with the rest of the plan as it is; ``step_m`` between cells.

    ``right`` is the unit way along the surface in the room. Verdicts are of new lamps, by the
    guide's sums: what pages hide of bounced light is left out, some per cent.
    """

    light: str
    step_m: float
    right: tuple[float, float, float]
    here: tuple[float, float]
    of: int
    cells: tuple[Cell, ...]
    edges: tuple[Edge, ...]

    def to_json(self) -> dict[str, Any]:
        """Return the patch as plain data, an entry of ``patch`` in ``lumen-find/1``."""
        return {
            "light": self.light,
            "step_m": self.step_m,
            "right": list(self.right),
            "here": list(self.here),
            "of": self.of,
            "cells": [
                {
                    "along_m": cell.along_m,
                    "up_m": cell.up_m,
                    "mount_m": list(cell.mount_m),
                    "met": cell.met,
                    "breaks": [list(pair) for pair in cell.breaks],
                    "against": list(cell.against),
                }
                for cell in self.cells
            ],
            "edges": [
                {"way": edge.way, "distance_m": edge.distance_m, "why": list(edge.why)}
                for edge in self.edges
            ],
        }


def patch(
    scenario: Scenario,
    light: str,
    *,
    step_m: float = 0.10,
    may: May | None = None,
    cords: bool = True,
    engine: Engine | None = None,
) -> Patch:
    """Return where one light works, as it is and with its levels, the rest unchanged.

    Parameters
    ----------
    scenario
        The plan.
    light
        Id of a light on a wall, a headboard, a post or the ceiling.
    step_m
        Distance between cells [m].
    may
        What may change; here only where not to drill.
    cords
        Whether the light's cord is there already, and may be too short; else one is bought.
    engine
        Of the same room, people and wishes, where there is one already.

    Raises
    ------
    LumenError
        When the plan has no such light, or it is one that stays where it is (a panel, one that
        stands).

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> found = patch(load(examples()[0]), "left light", step_m=0.3)
    >>> found.of, {edge.way for edge in found.edges} <= {"higher", "lower", "left", "right"}
    (8, True)
    """
    if light not in {item.id for item in scenario.lights}:
        names = ", ".join(item.id for item in scenario.lights) or "none yet"
        raise LumenError("light", f"must be a light of the plan ({names})", light)
    lit = lighting(scenario, strip_profiles(scenario))
    guide = Guide.of(lit, aim_results(lit, shadows=False), engine)
    group = light_group(guide, may or may_of(scenario), [light])
    if group is None or group.surface is None:
        raise LumenError("light", "must be a light that can be moved on its surface", light)
    spots = group.surface.grid(step_m)
    met, breaks = _held(guide, group, spots)
    cells = tuple(
        Cell(
            round(spot[0], 4),
            round(spot[1], 4),
            group.mounts_at(spot)[0],
            int(count),
            tuple(pairs),
            tuple(w for w in group.stands_against(spot) if cords or w != CORD),
        )
        for spot, count, pairs in zip(spots, met, breaks, strict=True)
    )
    x, y, z = (float(c) for c in group.surface.right)
    return Patch(
        light,
        step_m,
        (x, y, z),
        (round(group.here[0], 4), round(group.here[1], 4)),
        len(guide.wants),
        cells,
        tuple(_edges(guide, group, cells)),
    )


def _held(
    guide: Guide, group: Group, spots: Sequence[tuple[float, float]]
) -> tuple[Sequence[int], list[list[tuple[str, str]]]]:
    """How many wishes hold at each spot, and which do not."""
    light = group.lights[0]
    rows = group.at(spots)
    breaks: list[list[tuple[str, str]]] = [[] for _ in spots]
    for want in guide.wants:
        levels = guide.levels[want.setup]
        others = {n: v for n, v in levels.items() if n != light.id}
        given = guide.seen_all(want.setup, guide.today, others)
        if levels.get(light.id, 0.0) > 0.0:
            given[light.id] = guide.seen(want.setup, rows) * levels[light.id]
        held = np.broadcast_to(guide.worth(want, given, guide.traits)[1], (len(spots),))
        for place in np.flatnonzero(~held):
            breaks[place].append((want.aim, want.setup))
    return [len(guide.wants) - len(pairs) for pairs in breaks], breaks


_WAYS = (("higher", 0, 1), ("lower", 0, -1), ("right", 1, 0), ("left", -1, 0))


def _edges(guide: Guide, group: Group, cells: Sequence[Cell]) -> list[Edge]:
    """Walk from the light each way until a wish that holds there breaks, or something stands."""
    by_place = {(c.along_m, c.up_m): c for c in cells}
    here = by_place.get((round(group.here[0], 4), round(group.here[1], 4)))
    if here is None:
        return []
    found = []
    alongs = sorted({c.along_m for c in cells})
    ups = sorted({c.up_m for c in cells})
    for way, a, b in _WAYS:
        i, j = alongs.index(here.along_m), ups.index(here.up_m)
        while True:
            i, j = i + a, j + b
            if not (0 <= i < len(alongs) and 0 <= j < len(ups)):
                break
            cell = by_place[(alongs[i], ups[j])]
            newly = [pair for pair in cell.breaks if pair not in here.breaks]
            why = (*cell.against, *dict.fromkeys(_broken(guide, pair) for pair in newly))
            if why:
                distance = abs(cell.along_m - here.along_m) + abs(cell.up_m - here.up_m)
                found.append(Edge(way, round(distance, 3), tuple(why)))
                break
    return found


def _broken(guide: Guide, pair: tuple[str, str]) -> str:
    """What breaks, in words: "right sleeps: more than 1 lx" in a setup."""
    want = next(w for w in guide.wants if (w.aim, w.setup) == pair)
    setup = next(s for s in guide.scenario.setups if s.id == want.setup)
    unit = "" if want.measure == "uniformity" else " lx"
    limits = []
    if want.at_least is not None:
        limits.append(f"at least {want.at_least:g}{unit}")
    if want.at_most is not None:
        limits.append(f"at most {want.at_most:g}{unit}")
    even = ", evenly" if want.evenness else ""
    return f"{want.aim} ({' and '.join(limits)}{even}) no longer holds in {setup.name or setup.id}"
