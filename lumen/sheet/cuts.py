"""What is cut: LED strip in whole units, channel and cover, boards of what the plan defines."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from lumen.errors import LumenError
from lumen.power.cord import sold_lengths
from lumen.power.strip import cut_plan, reels_needed
from lumen.scenario.base import band
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Strip
from lumen.scenario.room import Furniture
from lumen.scenario.supply import Driver
from lumen.sheet.bands import workmanship

__all__ = [
    "Board",
    "BoardGroup",
    "Edge",
    "ReelTest",
    "StripCuts",
    "boards",
    "grouped_boards",
    "reel_tests",
    "strip_cuts",
]

Point = Sequence[float]

_DRIVER_SHARE = 0.8  # a driver is loaded to four fifths at most: trade practice, rule 36


@dataclass(frozen=True)
class Edge:
    """One straight run of a strip: whole units, what stays dark, and how it joins the next.

    ``channel_m`` is the length of channel and cover, ``None`` when the plan has no cover.
    """

    number: int
    way: str
    run_m: float
    units: int
    used_m: float
    leftover_m: float
    each_end_m: float
    channel_m: float | None
    joint: str | None


@dataclass(frozen=True)
class StripCuts:
    """How one LED strip is cut, joined and fed, and how much of it to buy."""

    id: str
    name: str
    cut_m: float
    edges: tuple[Edge, ...]
    units: int
    used_m: float
    run_m: float
    feed: str
    feed_points: tuple[str, ...]
    joints: int
    reel_m: float | None
    reels: int | None
    pieces: tuple[tuple[float, ...], ...]
    cover: str


@dataclass(frozen=True)
class Board:
    """A board to cut, or a panel as a whole; sizes are finished sizes."""

    item: str
    part: str
    count: int
    length_m: float
    width_m: float
    thick_m: float
    material: str


def strip_cuts(scenario: Scenario) -> tuple[StripCuts, ...]:
    """Return how every LED strip of a plan is cut.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> cuts = strip_cuts(load(examples()[0]))[0]
    >>> [edge.units for edge in cuts.edges], cuts.used_m
    ([9, 31, 9], 2.45)
    """
    return tuple(_strip(scenario.region, strip) for strip in scenario.strips)


def _strip(region: str, strip: Strip) -> StripCuts:
    ends = list(itertools.pairwise(strip.path_m))
    runs = [math.dist(a, b) for a, b in ends]
    plans = [cut_plan(run, strip.cut_m) for run in runs]
    edges = []
    for number, ((a, b), run, plan) in enumerate(zip(ends, runs, plans, strict=True), start=1):
        last = number == len(runs)
        edges.append(
            Edge(
                number=number,
                way=_way(a, b),
                run_m=round(run, 6),
                units=plan.units,
                used_m=round(plan.used_m, 6),
                leftover_m=round(plan.leftover_m, 6),
                each_end_m=round(plan.each_end_m, 6),
                channel_m=None if strip.cover == "none" else round(run, 6),
                joint=None if last else "corner connector or soldered wires, never a sharp fold",
            )
        )
    reel, pieces = _reel(region, runs, strip.cut_m)
    return StripCuts(
        id=strip.id,
        name=strip.name or strip.id,
        cut_m=strip.cut_m,
        edges=tuple(edges),
        units=sum(plan.units for plan in plans),
        used_m=round(math.fsum(plan.used_m for plan in plans), 6),
        run_m=round(math.fsum(runs), 6),
        feed=strip.feed,
        feed_points=_feed_points(strip, [edge.units for edge in edges]),
        joints=len(edges) - 1,
        reel_m=reel,
        reels=len(pieces) or None,
        pieces=pieces,
        cover=strip.cover,
    )


def _way(a: Point, b: Point) -> str:
    dx, dy, dz = (b[k] - a[k] for k in range(3))
    if abs(dz) >= max(abs(dx), abs(dy)):
        return "up" if dz > 0 else "down"
    if abs(dx) >= abs(dy):
        return "to the right" if dx > 0 else "to the left"
    return "toward the bed wall" if dy > 0 else "away from the bed wall"


def _feed_points(strip: Strip, units: Sequence[int]) -> tuple[str, ...]:
    start, end = "at the start of edge 1", f"at the end of edge {len(units)}"
    if strip.feed == "middle":
        return (_middle(units),)
    return {"start": (start,), "end": (end,), "both": (start, end)}[strip.feed]


def _middle(units: Sequence[int]) -> str:
    """The cut mark that halves the units, by edge: one connector there feeds both ways."""
    left, edge = sum(units) // 2, 0
    while left > units[edge]:
        left -= units[edge]
        edge += 1
    where = f"after unit {left} of edge {edge + 1}"
    return f"at the cut mark {where}: cut there, and join both halves in one connector"


def _reel(
    region: str, runs: Sequence[float], cut: float
) -> tuple[float | None, tuple[tuple[float, ...], ...]]:
    """The shortest sold reel that holds all pieces and a spare, else as few longest as needed."""
    spare = workmanship("spare")
    total = math.fsum(cut_plan(run, cut).used_m for run in runs)
    if total <= 0.0:
        return None, ()
    for reel in sold_lengths(region, "tape"):
        if total + spare > reel + 1e-9:
            continue
        try:
            pieces = reels_needed(runs, cut, reel)
        except LumenError:
            continue
        if len(pieces) == 1:
            return reel, pieces
    reel = sold_lengths(region, "tape")[-1]
    return reel, reels_needed(runs, cut, reel)


def boards(scenario: Scenario) -> tuple[Board, ...]:
    """Return the boards that the plan defines: carcases with a known board, headboards whole.

    A carcase is given where its board is known (its compartment says how thick it is): top and
    bottom run over the sides, the back sits between them.
    """
    cut: list[Board] = []
    for item in scenario.furniture:
        if item.compartment is not None:
            cut += _carcase(item, item.compartment.wall_thickness_m)
        elif item.kind in ("headboard", "batten", "shelf") and item.material:
            width, depth, height = item.size_m
            long, wide, thick = sorted((width, depth, height), reverse=True)
            cut.append(Board(item.name or item.id, item.kind, 1, long, wide, thick, item.material))
    return tuple(cut)


@dataclass(frozen=True)
class BoardGroup:
    """Boards alike, of one thing or of twins: whose, how many pieces, and their sizes."""

    items: tuple[str, ...]
    part: str
    count: int
    length_m: float
    width_m: float
    thick_m: float
    material: str


def grouped_boards(panels: Sequence[Board]) -> tuple[BoardGroup, ...]:
    """Return boards of the same part, size and material together.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> [(g.part, g.count) for g in grouped_boards(boards(load(examples()[0])))]
    [('headboard', 1), ('top and bottom', 4), ('sides', 4), ('back', 2)]
    """
    groups: dict[object, list[Board]] = {}
    for board in panels:
        key = (board.part, board.length_m, board.width_m, board.thick_m, board.material)
        groups.setdefault(key, []).append(board)
    return tuple(
        BoardGroup(
            tuple(dict.fromkeys(board.item for board in alike)),
            alike[0].part,
            sum(board.count for board in alike),
            alike[0].length_m,
            alike[0].width_m,
            alike[0].thick_m,
            alike[0].material,
        )
        for alike in groups.values()
    )


def _carcase(item: Furniture, thick: float) -> list[Board]:
    width, depth, height = item.size_m
    name, material = item.name or item.id, item.material or "board"
    sides, inside = round(height - 2 * thick, 6), round(width - 2 * thick, 6)
    parts = [("top and bottom", 2, width, depth)]
    if sides > 0 and inside > 0:
        parts += [("sides", 2, depth, sides), ("back", 1, inside, sides)]
    return [
        Board(name, part, count, long, wide, thick, material) for part, count, long, wide in parts
    ]


@dataclass(frozen=True)
class ReelTest:
    """Whether a whole reel may be lit on the plan's own driver before it is cut.

    ``reel_w`` is what the reel would draw, ``driver_w`` four fifths of what its driver gives;
    ``None`` where the plan does not say.
    """

    id: str
    name: str
    reel_m: float | None
    reel_w: float | None
    driver_w: float | None

    @property
    def allowed(self) -> bool:
        """Whether the driver carries the whole reel with a fifth to spare."""
        if self.reel_w is None or self.driver_w is None:
            return False
        return self.reel_w <= self.driver_w


def reel_tests(scenario: Scenario, cuts: Sequence[StripCuts]) -> tuple[ReelTest, ...]:
    """Return for each strip whether its reel may be tried whole: never on a driver too small.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> reel_tests(plan, strip_cuts(plan))[0].allowed
    False
    """
    drivers = {item.id: item for item in scenario.supply if isinstance(item, Driver)}
    tests = []
    for strip, cut in zip(scenario.strips, cuts, strict=True):
        driver = drivers.get(strip.fed_from or "")
        per_m = band(strip.power_w_per_m, 0.0)[1]
        fits = driver is not None and driver.output_v == strip.volts
        tests.append(
            ReelTest(
                id=strip.id,
                name=cut.name,
                reel_m=cut.reel_m,
                reel_w=None if cut.reel_m is None else round(per_m * cut.reel_m, 6),
                driver_w=round(_DRIVER_SHARE * driver.rating_w, 6) if driver and fits else None,
            )
        )
    return tuple(tests)
