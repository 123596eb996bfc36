"""What each page of a wall holds: marks, outlines, bands, what stands before it, strips, cords."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lumen.scenario.document import Scenario
from lumen.sheet.bands import Band, Clash, bands_on, clashes
from lumen.sheet.cords import CordRun
from lumen.sheet.elevation import scale_of
from lumen.sheet.fixing import Fixing
from lumen.sheet.shopping import Item, WhatIf
from lumen.sheet.walls import (
    BoardMark,
    Fixed,
    Mark,
    Pair,
    Wall,
    board_marks,
    box_on_wall,
    fixed_on,
    hung_on,
    marks_on,
    outlets_on,
    pairs_of,
)
from lumen.study.scene.surfaces import bed_wall

__all__ = [
    "BandMet",
    "BoardOnWall",
    "ClashPage",
    "HeldMark",
    "HoleOnWall",
    "HungOutline",
    "PairOnWall",
    "PieceBefore",
    "Run",
    "WallPage",
    "Wandering",
    "wall_page",
]

_NEAR_WALL_M = 0.7  # what stands within this of a wall is drawn on it
_OFF_WALL_M = 0.3  # an LED strip no further off is drawn on it
_SLOPES_M = 0.01  # an upper edge that rises by more slopes

Spot = tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class HeldMark(Mark):
    """A mark, what holds it (wall, board, adhesive ...) and the name of that."""

    on: str
    carrier: str


@dataclass(frozen=True, kw_only=True)
class BoardOnWall(BoardMark):
    """A mark on the headboard as it is drawn on the bed wall, ``along_m`` from its left corner."""

    along_m: float
    kind: str = "board"


@dataclass(frozen=True, kw_only=True)
class HungOutline(Fixed):
    """What hangs on a wall, its middle from the bed line [m]."""

    from_bed_line_m: float | None


@dataclass(frozen=True)
class BandMet:
    """One band that something reaches into, and who says that cables run there."""

    band: str
    words: str
    above_outlet: str | None
    source: str
    how: str


@dataclass(frozen=True, kw_only=True)
class ClashPage(Clash):
    """What reaches into bands, once, with all the bands that it meets."""

    bands: tuple[BandMet, ...]


@dataclass(frozen=True, kw_only=True)
class PairOnWall(Pair):
    """A pair of marks with their places along the wall [m]."""

    left_along_m: float
    right_along_m: float


@dataclass(frozen=True)
class PieceBefore:
    """Furniture that stands before a wall or hangs on it: its outline on it [m]."""

    id: str
    name: str
    kind: str
    left_m: float
    right_m: float
    low_m: float
    high_m: float
    hung: bool


@dataclass(frozen=True)
class HoleOnWall:
    """A door, window or mirror, from the wall's left corner and the floor [m]."""

    id: str
    kind: str
    left_m: float
    right_m: float
    sill_m: float
    head_m: float


@dataclass(frozen=True)
class Run:
    """A strip or cord along a wall: its corners as (along, height) [m]."""

    name: str
    points: tuple[Spot, ...]


@dataclass(frozen=True, kw_only=True)
class Wandering(WhatIf):
    """What a hole that wanders does to an answer, for the mark that wanders."""

    letter: str
    name: str


@dataclass(frozen=True)
class WallPage:
    """All that the page of one wall shows."""

    number: int
    name: str
    bed_wall: bool
    length_m: float
    height_m: float
    bed_line_m: float | None
    top: tuple[tuple[float, float], ...]
    scale: int
    slopes: bool
    carries: bool
    marks: tuple[HeldMark, ...]
    hung: tuple[HungOutline, ...]
    board: tuple[BoardOnWall, ...]
    outlets: tuple[Mark, ...]
    bands: tuple[Band, ...]
    clashes: tuple[ClashPage, ...]
    pairs: tuple[PairOnWall, ...]
    furniture: tuple[PieceBefore, ...]
    openings: tuple[HoleOnWall, ...]
    strips: tuple[Run, ...]
    cords: tuple[Run, ...]
    wandering: tuple[Wandering, ...]


def wall_page(
    plan: Scenario,
    wall: Wall,
    runs: Sequence[CordRun],
    held: Sequence[Fixing],
    items: Sequence[Item],
) -> WallPage:
    """Return what the page of a wall shows.

    Parameters
    ----------
    plan, wall
        The plan and one of its walls.
    runs, held, items
        Cords, what holds each thing, and what is bought: of that, what a hole that wanders does.
    """
    on = {fixing.id: fixing for fixing in held}
    marks = tuple(
        HeldMark(**vars(mark), on=on[mark.id].on, carrier=on[mark.id].carrier)
        for mark in marks_on(plan, wall)
    )
    in_wall = [thing for thing in fixed_on(plan, wall) if on[thing.id].on == "wall"]
    bands, is_bed_wall = bands_on(plan, wall), wall.number == bed_wall(plan.room)
    boards = _boards(plan, wall) if is_bed_wall else ()
    places = {mark.id: mark.along_m for mark in marks if mark.kind == "light"}
    places |= {mark.id: mark.along_m for mark in boards}
    heights = [height for _, height in wall.top]
    return WallPage(
        number=wall.number,
        name=wall.name,
        bed_wall=is_bed_wall,
        length_m=wall.length_m,
        height_m=wall.height_m,
        bed_line_m=wall.bed_line_m,
        top=wall.top,
        scale=scale_of(wall.length_m, wall.height_m, marked=bool(marks or boards)),
        slopes=max(heights) - min(heights) > _SLOPES_M,
        carries=bool(marks or boards),
        marks=marks,
        hung=_hung(plan, wall),
        board=boards,
        outlets=_outlets(plan, wall, "" if is_bed_wall else str(wall.number)),
        bands=bands,
        clashes=_clashes(in_wall, bands, wall),
        pairs=tuple(
            PairOnWall(
                **vars(pair), left_along_m=places[pair.left], right_along_m=places[pair.right]
            )
            for pair in pairs_of(plan)
            if pair.left in places and pair.right in places
        ),
        furniture=_furniture(plan, wall),
        openings=_openings(plan, wall),
        strips=_strips(plan, wall),
        cords=_cords(runs, wall),
        wandering=_wandering(plan, (*marks, *boards), items),
    )


def _boards(plan: Scenario, wall: Wall) -> tuple[BoardOnWall, ...]:
    mounts = {light.id: light.mount_m for light in plan.lights}
    return tuple(
        BoardOnWall(**vars(mark), along_m=round(wall.place(mounts[mark.id])[0], 6))
        for mark in board_marks(plan)
    )


def _outlets(plan: Scenario, wall: Wall, prefix: str) -> tuple[Mark, ...]:
    return tuple(
        replace(outlet, letter=f"{prefix}O{number}")
        for number, outlet in enumerate(outlets_on(plan, wall), start=1)
    )


def _hung(plan: Scenario, wall: Wall) -> tuple[HungOutline, ...]:
    line = wall.bed_line_m
    return tuple(
        HungOutline(
            **vars(thing),
            from_bed_line_m=None
            if line is None
            else round((thing.left_m + thing.right_m) / 2 - line, 6),
        )
        for thing in fixed_on(plan, wall)
        if thing.kind == "hung"
    )


def _clashes(things: Sequence[Fixed], bands: Sequence[Band], wall: Wall) -> tuple[ClashPage, ...]:
    """What reaches into bands, each thing once with all the bands that it meets."""
    by_mark: dict[str, list[Clash]] = {}
    for clash in clashes(things, bands, wall):
        by_mark.setdefault(clash.mark, []).append(clash)
    return tuple(_one_clash(met) for met in by_mark.values())


def _one_clash(met: Sequence[Clash]) -> ClashPage:
    bands = dict.fromkeys(
        BandMet(clash.band, clash.words, clash.above_outlet, clash.source, clash.how)
        for clash in met
    )
    shift_m, way = None, None
    for clash in met:
        if clash.shift_m is not None and (shift_m or 0.0) < clash.shift_m:
            shift_m, way = clash.shift_m, clash.way
    if len({clash.way for clash in met if clash.way is not None}) > 1:
        shift_m = way = None  # no one way leads out of all
    first = replace(met[0], shift_m=shift_m, way=way)
    return ClashPage(**vars(first), bands=tuple(bands))


def _strips(plan: Scenario, wall: Wall) -> tuple[Run, ...]:
    return tuple(
        Run(strip.name or strip.id, _on_wall(wall, strip.path_m))
        for strip in plan.strips
        if all(abs(wall.place(point)[2]) < _OFF_WALL_M for point in strip.path_m)
    )


def _cords(runs: Sequence[CordRun], wall: Wall) -> tuple[Run, ...]:
    return tuple(
        Run(run.name, _on_wall(wall, run.corners_m))
        for run in runs
        if all(_near(wall, point) for point in run.corners_m)
    )


def _near(wall: Wall, point: Sequence[float]) -> bool:
    along, _, off = wall.place(point)
    return -0.01 <= along <= wall.length_m + 0.01 and -0.05 <= off < _NEAR_WALL_M


def _on_wall(wall: Wall, path: Sequence[Sequence[float]]) -> tuple[Spot, ...]:
    return tuple(tuple(round(v, 6) for v in wall.place(point)[:2]) for point in path)


def _furniture(plan: Scenario, wall: Wall) -> tuple[PieceBefore, ...]:
    hung = {item.id for item in hung_on(plan, wall)}
    before = []
    for item in plan.furniture:
        low, high, under, top = box_on_wall(wall, item)
        middle = wall.place(item.at_m)
        depth = abs(wall.inward[0]) * item.size_m[0] / 2 + abs(wall.inward[1]) * item.size_m[1] / 2
        if not -0.1 < middle[2] - depth < _NEAR_WALL_M or high <= 0 or low >= wall.length_m:
            continue
        before.append(
            PieceBefore(
                id=item.id,
                name=item.name or item.id,
                kind=item.kind,
                left_m=max(0.0, low),
                right_m=min(wall.length_m, high),
                low_m=under,
                high_m=top,
                hung=item.id in hung,
            )
        )
    return tuple(before)


def _openings(plan: Scenario, wall: Wall) -> tuple[HoleOnWall, ...]:
    return tuple(
        HoleOnWall(
            id=opening.id,
            kind=opening.kind,
            left_m=round(wall.length_m - opening.to_m, 6),
            right_m=round(wall.length_m - opening.from_m, 6),
            sill_m=opening.sill_m,
            head_m=opening.head_m,
        )
        for opening in plan.room.openings
        if opening.wall == wall.number
    )


def _wandering(
    plan: Scenario, marks: Sequence[HeldMark | BoardOnWall], items: Sequence[Item]
) -> tuple[Wandering, ...]:
    """What a hole that wanders does; of a pair that is alike, for one of them."""
    twins = {pair.right for pair in pairs_of(plan) if not pair.uneven_m and not pair.level_m}
    return tuple(
        Wandering(**vars(change), letter=mark.letter, name=mark.name)
        for mark in marks
        for item in items
        if item.id == mark.id and mark.kind != "hung" and mark.id not in twins
        for change in item.near
        if change.kind == "hole"
    )
