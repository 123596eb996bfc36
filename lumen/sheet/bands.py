"""Where on a wall hidden cables may run, and which marks lie there.

What a region's rules or customs say comes from ``cable_bands.csv``. Bands are where to look first,
not where alone to look: a cable may lie anywhere in any wall.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lumen.scenario.document import Scenario
from lumen.sheet.walls import Mark, Wall, outlets_on
from lumen.tables import table

__all__ = ["Band", "Clash", "bands_on", "clashes", "workmanship"]

_LEVEL_M = 0.01  # a ceiling edge that rises less than this is level


@dataclass(frozen=True)
class Band:
    """A rectangle of a wall [m] where cables may run, with the reason and its source."""

    kind: str
    name: str
    left_m: float
    right_m: float
    low_m: float
    high_m: float
    words: str
    source: str
    how: str


@dataclass(frozen=True)
class Clash:
    """A mark in a band: how far to move it along the wall, and which way, to be out of it."""

    mark: str
    mark_kind: str
    letter: str
    name: str
    band: str
    words: str
    source: str
    how: str
    above_outlet: str | None
    shift_m: float | None
    way: str | None


def workmanship(item: str) -> float:
    """Return a value of ``workmanship.csv``: what care at the wall or in the shop is counted on.

    Examples
    --------
    >>> workmanship("mark")
    0.003
    """
    return next(float(row["value"]) for row in table("workmanship") if row["item"] == item)


def bands_on(scenario: Scenario, wall: Wall) -> tuple[Band, ...]:
    """Return the bands of a wall where hidden cables may run, by the custom of the region.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.sheet.walls import wall_of
    >>> plan = load(examples()[0])
    >>> [band.kind for band in bands_on(plan, wall_of(plan, 2))]
    ['outlet upright', 'outlet upright', 'outlet level', 'outlet level']
    """
    return tuple(_bands(scenario, wall))


def _bands(scenario: Scenario, wall: Wall) -> Iterator[Band]:
    long, high = wall.length_m, wall.height_m
    for row in table("cable_bands"):
        if scenario.region not in row["regions"].split():
            continue
        near, far = float(row["near_m"]), float(row["far_m"])
        kind = row["band"]
        edges: list[tuple[str, float, float, float, float]] = []
        if kind == "floor":
            edges = [("along the floor", 0.0, long, near, far)]
        elif kind == "ceiling":
            low = min(z for _, z in wall.top)
            if high - low > _LEVEL_M:
                continue  # it follows the slope, and the page says so
            edges = [("along the ceiling", 0.0, long, low - far, low - near)]
        elif kind == "corner":
            edges = [
                ("left corner", near, far, 0.0, high),
                ("right corner", long - far, long - near, 0.0, high),
            ]
        elif kind == "opening":
            edges = list(_beside_openings(scenario, wall, near, far))
        else:
            for outlet in outlets_on(scenario, wall):
                u, z = outlet.along_m, outlet.height_m
                if kind == "outlet upright":
                    edges.append((outlet.name, u - far, u + far, 0.0, high))
                else:
                    edges.append((outlet.name, 0.0, long, z - far, z + far))
        source = ", ".join(filter(None, (row["source"], row["edition"], row["locator"])))
        for name, left, right, low, top in edges:
            left, right = max(0.0, left), min(long, right)
            low, top = max(0.0, low), min(high, top)
            if right > left and top > low:
                yield Band(kind, name, left, right, low, top, row["words"], source, row["how"])


def _beside_openings(
    scenario: Scenario, wall: Wall, near: float, far: float
) -> Iterator[tuple[str, float, float, float, float]]:
    for opening in scenario.room.openings:
        if opening.wall == wall.number and opening.kind in ("door", "window"):
            # along_m runs against the outline
            right, left = wall.length_m - opening.from_m, wall.length_m - opening.to_m
            yield f"left of {opening.id}", left - far, left - near, 0.0, wall.height_m
            yield f"right of {opening.id}", right + near, right + far, 0.0, wall.height_m


def _way_out(mark: Mark, band: Band, clear: float) -> tuple[float | None, str | None]:
    """The shorter way along the wall out of an upright band, if the wall leaves room for one."""
    ways = [
        (mark.along_m - (band.left_m - clear), "left", band.left_m - clear),
        (band.right_m + clear - mark.along_m, "right", band.right_m + clear),
    ]
    length = mark.from_left_m + mark.from_right_m
    possible = [(shift, way) for shift, way, place in ways if clear <= place <= length - clear]
    if not possible:
        return None, None
    shift, way = min(possible)
    return round(shift, 6), way


def clashes(marks: Sequence[Mark], bands: Sequence[Band]) -> tuple[Clash, ...]:
    """Return the marks whose hole, with room for its plug, reaches into a band."""
    clear = workmanship("drill_clear")
    found = []
    for mark in marks:
        for band in bands:
            inside_u = band.left_m - clear < mark.along_m < band.right_m + clear
            inside_z = band.low_m - clear < mark.height_m < band.high_m + clear
            if not (inside_u and inside_z):
                continue
            upright = band.kind in ("outlet upright", "corner", "opening")
            shift, way = _way_out(mark, band, clear)
            found.append(
                Clash(
                    mark=mark.id,
                    mark_kind=mark.kind,
                    letter=mark.letter,
                    name=mark.name,
                    band=band.kind,
                    words=band.words,
                    source=band.source,
                    how=band.how,
                    above_outlet=band.name if band.kind.startswith("outlet") else None,
                    shift_m=shift if upright else None,
                    way=way if upright else None,
                )
            )
    return tuple(found)
