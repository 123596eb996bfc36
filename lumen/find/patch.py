"""The patch of a light: where on its surface how many wishes hold, and what breaks at each edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.errors import LumenError
from lumen.find.guide import Guide, Want
from lumen.find.may import May, may_of
from lumen.find.options import CORD, Group, light_group
from lumen.find.places import cord_too_short
from lumen.find.reciprocity import Reciprocity
from lumen.scenario.document import Scenario
from lumen.study.eyes.sight import HARSH_CD_M2
from lumen.study.lighting.maps import lighting
from lumen.study.load.electrics import strip_profiles
from lumen.study.scene.targets import Kind
from lumen.study.wishes.verdicts import aim_results

__all__ = ["Cell", "Edge", "Patch", "patch"]

Array = NDArray[np.floating[Any]]


@dataclass(frozen=True)
class Cell:
    """One place: ``along_m`` and ``up_m`` on the surface, the mount there [m], what holds.

    ``breaks`` names the wishes that do not hold (id, setup), ``why`` tells in words what breaks, in
    whose eyes the light glares too; ``against`` says why a light may not hang there, nothing where
    it may.
    """

    along_m: float
    up_m: float
    mount_m: tuple[float, float, float]
    met: int
    breaks: tuple[tuple[str, str], ...]
    why: tuple[str, ...]
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
        """Return the patch as plain data, an entry of ``patch`` in ``lumen-find/1``.

        ``words`` are those that the numbers in ``why`` and ``against`` of the cells stand for.
        """
        told = dict.fromkeys(word for cell in self.cells for word in (*cell.why, *cell.against))
        number = {word: place for place, word in enumerate(told)}
        return {
            "light": self.light,
            "step_m": self.step_m,
            "right": list(self.right),
            "here": list(self.here),
            "of": self.of,
            "words": list(told),
            "cells": [
                {
                    "along_m": cell.along_m,
                    "up_m": cell.up_m,
                    "mount_m": list(cell.mount_m),
                    "met": cell.met,
                    "breaks": [list(pair) for pair in cell.breaks],
                    "why": [number[word] for word in cell.why],
                    "against": [number[word] for word in cell.against],
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
    reciprocity: Reciprocity | None = None,
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
        Whether the light's cord is there already, and may be too short; else one is bought. One
        that is too short where the light hangs today says nothing about other places.
    reciprocity
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
    guide = Guide.of(lit, aim_results(lit, shadows=False), reciprocity)
    group = light_group(guide, may or may_of(scenario), [light])
    if group is None or group.surface is None:
        raise LumenError("light", "must be a light that can be moved on its surface", light)
    spots = group.surface.grid(step_m)
    here = cord_too_short(scenario, group.lights[0], group.lights[0].mount_m)
    against = [
        tuple(w for w in group.stands_against(spot) if w != CORD or (cords and not here))
        for spot in spots
    ]
    broken = _broken(guide, group, spots, [not words for words in against])
    cells = tuple(
        Cell(
            round(spot[0], 4),
            round(spot[1], 4),
            group.mounts_at(spot)[0],
            len(guide.wants) - len(pairs),
            tuple(pairs),
            (*dict.fromkeys(pairs.values()), *glare),
            words,
        )
        for spot, pairs, glare, words in zip(
            spots, broken, _glare(guide, group, spots), against, strict=True
        )
    )
    x, y, z = (float(c) for c in group.surface.right)
    return Patch(
        light,
        step_m,
        (x, y, z),
        (round(group.here[0], 4), round(group.here[1], 4)),
        len(guide.wants),
        cells,
        tuple(_edges(group, cells)),
    )


def _broken(
    guide: Guide, group: Group, spots: Sequence[tuple[float, float]], free: Sequence[bool]
) -> list[dict[tuple[str, str], str]]:
    """Which wishes do not hold at each spot, and how each is missed, in words.

    Where the light may hang, ``free``, it is asked whether the reader's own shadow is why.
    """
    rows = group.at(spots)
    found: list[dict[tuple[str, str], str]] = [{} for _ in spots]
    shaded: dict[int, list[Want]] = {}
    pages = {t.id for t in guide.lit.targets if t.kind is Kind.PAGE}
    for want in guide.wants:
        given = _given(guide, group, want, rows)
        held = np.broadcast_to(guide.worth(want, given, guide.traits)[1], (len(spots),))
        new, _, even, _ = (
            np.broadcast_to(x, (len(spots),)) for x in guide.values(want, given, guide.traits)
        )
        for place in np.flatnonzero(~held):
            how = _missed(guide, want, float(new[place]), float(even[place]))
            found[place][(want.aim, want.setup)] = how
            if free[int(place)] and want.targets[0] in pages:
                shaded.setdefault(int(place), []).append(want)
    if shaded:
        bare = group.at([spots[place] for place in shaded], bodies=False)
        for number, (where, wants) in enumerate(shaded.items()):
            for want in wants:
                given = _given(guide, group, want, bare[number][None])
                if guide.worth(want, given, guide.traits)[1].all():
                    words = f"the reader's own body shades it in {_setup(guide, want)}"
                    found[where][(want.aim, want.setup)] = f"{_target(guide, want)}: {words}"
    return found


def _given(guide: Guide, group: Group, want: Want, rows: Array) -> dict[str, Array]:
    """What every light gives in a wish's setup, the light itself at the places of ``rows``."""
    light, levels = group.lights[0], guide.levels[want.setup]
    others = {n: v for n, v in levels.items() if n != light.id}
    given = guide.seen_all(want.setup, guide.today, others)
    if levels.get(light.id, 0.0) > 0.0:
        given[light.id] = guide.seen(want.setup, rows) * levels[light.id]
    return given


def _glare(
    guide: Guide, group: Group, spots: Sequence[tuple[float, float]]
) -> list[tuple[str, ...]]:
    """In whose eyes the light glares at each spot, at the highest level that a setup gives it."""
    name = group.lights[0].id
    level = max((levels.get(name, 0.0) for levels in guide.levels.values()), default=0.0)
    bright = level * group.glare_at(spots)
    eyes = [target.name for target in group.eyes]
    return [
        tuple(f"it glares in {eyes[i]}" for i in np.flatnonzero(row > HARSH_CD_M2)[: len(eyes)])
        for row in bright
    ]


_WAYS = (("higher", 0, 1), ("lower", 0, -1), ("right", 1, 0), ("left", -1, 0))


def _edges(group: Group, cells: Sequence[Cell]) -> list[Edge]:
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
            newly = [word for word in cell.why if word not in here.why]
            if cell.against or newly:
                distance = abs(cell.along_m - here.along_m) + abs(cell.up_m - here.up_m)
                found.append(Edge(way, round(distance, 3), (*cell.against, *newly)))
                break
    return found


def _missed(guide: Guide, want: Want, new: float, even: float) -> str:
    """How a wish is missed: "Left page falls under 300 lx in Read left"."""
    unit = {"uniformity": "", "melanopic_edi_lx": " melanopic lx"}.get(want.measure, " lx")
    if want.at_least is not None and new < want.at_least:
        how = f"falls under {want.at_least:g}{unit}"
    elif want.at_most is not None and new > want.at_most:
        how = f"more than {want.at_most:g}{unit}"
    else:
        how = "lit unevenly" if want.evenness and even < want.evenness else "no longer as wished"
    return f"{_target(guide, want)}: {how} in {_setup(guide, want)}"


def _target(guide: Guide, want: Want) -> str:
    name = next(t.name for t in guide.lit.targets if t.id == want.targets[0])
    return name.partition(",")[0] if len(want.targets) > 1 else name


def _setup(guide: Guide, want: Want) -> str:
    setup = next(s for s in guide.scenario.setups if s.id == want.setup)
    return setup.name or setup.id
