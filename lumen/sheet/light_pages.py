"""What the pages on light hold: tables of answers, bare lamps in sight, defaults in words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from lumen.scenario.document import Scenario
from lumen.sheet.advice import Way, ways
from lumen.study.lighting.maps import Answer
from lumen.study.load.regions import region_pack
from lumen.study.scene.targets import Target
from lumen.study.study import Study

__all__ = ["DefaultWords", "Grid", "GridRow", "Sight", "default_words", "grids", "sights"]

_DARK_LX = 0.05  # a band that ends below this is dark
_ACROSS = 6  # setups side by side in a table


@dataclass(frozen=True)
class Sight:
    """A bare lamp in sight: whose eyes, the place in the study's list where it is brightest, ways
    to clear it there; ``drilled`` when it is fixed to a wall or headboard.
    """

    id: str
    name: str
    drilled: bool
    eyes: tuple[str, ...]
    brightest: int
    clears: tuple[Way, ...]


@dataclass(frozen=True)
class GridRow:
    """One target: for each setup the place of its answer in the study's list, if it is lit."""

    name: str
    cells: tuple[int | None, ...]


@dataclass(frozen=True)
class Grid:
    """Answers as a table: targets down, setups across."""

    setups: tuple[str, ...]
    rows: tuple[GridRow, ...]


@dataclass(frozen=True)
class DefaultWords:
    """A field that the plan did not give, in words: whose, which, and in what unit.

    ``usual`` is the region's own value where the plan's default only says to take that.
    """

    of: str
    words: str
    unit: str
    usual: float | None = None


def sights(study: Study) -> tuple[Sight, ...]:
    """Return source by source whose eyes look into a bare lamp, and what would clear it there."""
    plan = study.scenario
    names = {target.id: target.name for target in study.lighting.targets}
    lights = {light.id: light for light in plan.lights}
    seen = []
    for source in plan.sources:
        glaring = [
            (place, sighting)
            for place, sighting in enumerate(study.comfort.sight)
            if sighting.light == source.id and sighting.glares(1.0)
        ]
        if not glaring:
            continue
        light = lights.get(source.id)
        clears = [] if light is None else [w for _, s in glaring for w in ways(plan, light, s)]
        seen.append(
            Sight(
                id=source.id,
                name=source.name or source.id,
                drilled=light is not None and light.mount in ("wall", "headboard"),
                eyes=tuple(dict.fromkeys(names[sighting.eye] for _, sighting in glaring)),
                brightest=max(glaring, key=lambda pair: pair[1].luminance)[0],
                clears=tuple(dict.fromkeys(clears)),
            )
        )
    return tuple(seen)


def grids(study: Study, wanted: Callable[[Target], bool]) -> tuple[Grid, ...]:
    """Return answers as tables, each cell its place in the study's list of such targets.

    Setups that leave everything dark are left out, and targets that no setup lights.
    """
    targets = {target.id: target for target in study.lighting.targets if wanted(target)}
    rows: list[Answer] = [answer for answer in study.answers if answer.target in targets]
    cells = {
        (answer.target, answer.setup): place
        for place, answer in enumerate(rows)
        if answer.high_lx >= _DARK_LX
    }
    names = {setup.id: setup.name or setup.id for setup in study.scenario.setups}
    lit = [setup for setup in names if any(setup == at for _, at in cells)]
    return tuple(
        Grid(
            setups=tuple(names[setup] for setup in part),
            rows=tuple(
                GridRow(target.name, tuple(cells.get((target.id, setup)) for setup in part))
                for target in targets.values()
                if any((target.id, setup) in cells for setup in part)
            ),
        )
        for part in (lit[start : start + _ACROSS] for start in range(0, len(lit), _ACROSS))
    )


_ITEM = re.compile(r"^(\w+)\[(\d+)\]\.?(.*)$")
_UNITS = {
    "m": "length",
    "deg": "degrees",
    "w": "W",
    "k": "K",
    "a": "A",
    "v": "V",
    "ohm_per_m": "ohm a metre",
}

_USUAL = {"breaker_a": "breaker_a", "rating_a": "outlet_a"}
"""Fields that the plan leaves to its region, with the region's item."""


def default_words(plan: Scenario, field: str) -> DefaultWords:
    """Return a field of the plan in words."""
    place = _ITEM.match(field)
    of, rest = "plan", field
    if place:
        item = getattr(plan, place[1])[int(place[2])]
        of, rest = getattr(item, "name", None) or item.id, place[3]
    for suffix, unit in sorted(_UNITS.items(), key=lambda pair: -len(pair[0])):
        # m2 and the like keep their name: only plain lengths are shown both ways
        if rest.endswith(f"_{suffix}") and not rest.endswith("_per_m" if suffix == "m" else "?"):
            usual = region_pack(plan.region).number(_USUAL[rest]) if rest in _USUAL else None
            return DefaultWords(of, _words(rest[: -len(suffix) - 1]), unit, usual)
    return DefaultWords(of, _words(rest), "")


def _words(path: str) -> str:
    return path.replace("_", " ").replace(".", ", ")
