"""Where on a wall hidden cables may run, and which marks lie there.

What a region's rules or customs say comes from ``cable_bands.csv``. Bands are where to look first,
not where alone to look: a cable may lie anywhere in any wall.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lumen.scenario.document import Scenario
from lumen.sheet.walls import Fixed, Wall, outlets_on
from lumen.tables import table

__all__ = ["UPRIGHT", "Band", "Clash", "bands_on", "clashes", "workmanship"]

UPRIGHT = ("outlet upright", "corner", "opening")
"""Kinds of bands that run from floor to ceiling; the others run level."""

_LEVEL_M = 0.01  # a ceiling edge that rises less than this is level
_NARROWEST_M = 0.01  # a free stretch narrower than this holds no screw


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
    """A thing fixed to the wall whose outline reaches into bands, and where its screws may go.

    For a light ``shift_m`` and ``way`` say how to be out of an upright band. For what hangs,
    ``free_along`` are the stretches [m], from its own left edge, and ``free_heights`` those above
    the floor, that lie outside every band with room for a plug; either may be empty.
    """

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
    free_along: tuple[tuple[float, float], ...] = ()
    free_heights: tuple[tuple[float, float], ...] = ()


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


def _way_out(thing: Fixed, wall: Wall, band: Band, clear: float) -> tuple[float | None, str | None]:
    """The shorter way along the wall out of an upright band, if the wall leaves room for one."""
    ways = [
        (thing.right_m - (band.left_m - clear), "left"),
        (band.right_m + clear - thing.left_m, "right"),
    ]
    possible = []
    for shift, way in ways:
        step = -shift if way == "left" else shift
        if thing.left_m + step >= clear - 1e-9 and thing.right_m + step <= wall.length_m - clear:
            possible.append((shift, way))
    if not possible:
        return None, None
    shift, way = min(possible)
    return round(shift, 6), way


def _free(
    low: float, high: float, taken: Sequence[tuple[float, float]], clear: float
) -> tuple[tuple[float, float], ...]:
    """What is left of a stretch when some are taken, each with room for a plug beside it."""
    left = [(low, high)]
    for start, end in taken:
        left = [
            part
            for a, b in left
            for part in ((a, min(b, start - clear)), (max(a, end + clear), b))
            if part[1] - part[0] > _NARROWEST_M
        ]
    return tuple((round(a, 6), round(b, 6)) for a, b in left)


def clashes(things: Sequence[Fixed], bands: Sequence[Band], wall: Wall) -> tuple[Clash, ...]:
    """Return what is fixed to a wall and reaches into a band, outline and plugs' room counted.

    A light is taken as a plate of the room that its hole needs, since its bracket is not in the
    plan; what hangs as its whole back, since its screws may be anywhere in it.
    """
    clear = workmanship("drill_clear")
    met_by = []
    for thing in things:
        room = clear if thing.kind == "light" else 0.0
        met = [
            band
            for band in bands
            if band.left_m - room < thing.right_m
            and thing.left_m < band.right_m + room
            and band.low_m - room < thing.high_m
            and thing.low_m < band.high_m + room
        ]
        uprights = [(b.left_m, b.right_m) for b in met if b.kind in UPRIGHT]
        levels = [(b.low_m, b.high_m) for b in met if b.kind not in UPRIGHT]
        along = _free(thing.left_m, thing.right_m, uprights, clear)
        heights = _free(thing.low_m, thing.high_m, levels, clear)
        hung = thing.kind != "light"
        for band in met:
            upright = band.kind in UPRIGHT
            shift, way = _way_out(thing, wall, band, clear) if upright else (None, None)
            met_by.append(
                Clash(
                    mark=thing.id,
                    mark_kind=thing.kind,
                    letter=thing.letter,
                    name=thing.name,
                    band=band.kind,
                    words=band.words,
                    source=band.source,
                    how=band.how,
                    above_outlet=band.name if band.kind.startswith("outlet") else None,
                    shift_m=shift,
                    way=way,
                    free_along=tuple((round(a - thing.left_m, 6), round(b - thing.left_m, 6))
                                     for a, b in along) if hung else (),
                    free_heights=heights if hung else (),
                )
            )  # fmt: skip
    return tuple(met_by)
