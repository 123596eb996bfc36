"""Marks, bands, cuts and cords against geometry worked out by hand from the plans' own numbers."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from lumen.scenario.document import Scenario, parse
from lumen.scenario.files import examples, load
from lumen.sheet.bands import bands_on, clashes
from lumen.sheet.cords import cord_runs
from lumen.sheet.cuts import boards, strip_cuts
from lumen.sheet.true_size import lanes, outline_of, tiles
from lumen.sheet.walls import (
    board_marks,
    ceiling_marks,
    fixed_on,
    marks_on,
    outlets_on,
    pairs_of,
    wall_of,
    walls_that_carry,
)
from lumen.study.study import Study


def room(**more: Any) -> Scenario:
    """A room 4 m wide and 3 m deep, its bed a little left of the middle."""
    data: dict[str, Any] = {
        "format": "lumen-plan/1",
        "title": "x",
        "region": "UK",
        "room": {"outline_m": [[0, 0], [4, 0], [4, 3], [0, 3]], "height_m": 2.5},
        "furniture": [
            {"id": "bed", "kind": "mattress", "at_m": [1.8, 1.9, 0.3], "size_m": [1.5, 2, 0.3]},
        ],
    }
    return parse({**data, **more})


def light(light_id: str, x: float, y: float = 3.0, z: float = 1.2, **more: Any) -> dict[str, Any]:
    """A light as a plan holds it."""
    return {"id": light_id, "mount_m": [x, y, z], "lamp": {"flux_lm": 400, "power_w": 5}, **more}


def test_marks_are_measured_from_both_datums() -> None:
    """Bed line at 1.8 of a wall of 4 m: x = 0.9 is 0.9 left of it and 0.9 from the corner."""
    plan = room(lights=[light("l", 0.9), light("r", 3.1, z=1.25)])
    left, right = marks_on(plan, wall_of(plan, 2))
    assert (left.from_bed_line_m, left.nearest, left.from_nearest_m) == (-0.9, "left", 0.9)
    assert (left.height_m, left.below_top_m, left.letter) == (1.2, 1.3, "A")
    assert (right.from_bed_line_m, right.nearest, right.from_nearest_m) == (1.3, "right", 0.9)
    for mark in (left, right):
        assert mark.from_left_m + mark.from_right_m == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("wall", "point", "along"),
    [(1, (4.0, 1.0, 1.0), 2.0), (3, (0.0, 1.0, 1.0), 1.0), (0, (1.0, 0.0, 1.0), 3.0)],
)
def test_left_is_left_as_one_faces_each_wall(
    wall: int, point: tuple[float, float, float], along: float
) -> None:
    """On the right wall the bed wall's corner is at the left, on the left wall at the right."""
    plan = room()
    found = wall_of(plan, wall).place(point)
    assert found[0] == pytest.approx(along)
    assert found[2] == pytest.approx(0.0)


def test_side_walls_do_not_meet_the_bed_line() -> None:
    """A mark on a side wall has its corners only; the bed line runs along that wall."""
    plan = room(lights=[light("l", 0.0, 2.0, wall=3)])
    (mark,) = marks_on(plan, wall_of(plan, 3))
    assert mark.from_bed_line_m is None
    assert (mark.from_left_m, mark.from_right_m) == (2.0, 1.0)


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_no_two_marks_share_a_letter(path: Path) -> None:
    """A letter names one mark of the whole sheet: those of side walls bear the wall's number."""
    plan = load(path)
    marks = [m for wall in walls_that_carry(plan) for m in marks_on(plan, wall)]
    letters = [m.letter for m in (*marks, *ceiling_marks(plan), *board_marks(plan))]
    assert len(set(letters)) == len(letters)


def test_pair_check_is_the_straight_way() -> None:
    """Marks 2.2 m apart and 0.05 m different in height lie sqrt(2.2^2 + 0.05^2) apart."""
    plan = room(lights=[light("l", 0.9), light("r", 3.1, z=1.25)])
    (pair,) = pairs_of(plan)
    assert pair.between_m == pytest.approx(math.hypot(2.2, 0.05), abs=1e-6)
    assert (pair.uneven_m, pair.level_m) == (0.4, 0.05)


def test_each_light_is_in_one_pair_at_most() -> None:
    """Of two lights on the right, only the one that mirrors the left one is its twin."""
    plan = room(lights=[light("l", 0.9), light("a", 2.7), light("b", 2.75)])
    assert [(pair.left, pair.right) for pair in pairs_of(plan)] == [("l", "a")]


def test_hung_boxes_give_their_upper_corners() -> None:
    """A nightstand 0.4 m wide at x 0.5 that hangs on the wall has corners at 0.3 and 0.7."""
    stand = {"id": "n", "kind": "nightstand", "at_m": [0.5, 2.85, 0.4], "size_m": [0.4, 0.3, 0.2]}
    floor = {**stand, "id": "c", "kind": "chest", "at_m": [3.0, 2.85, 0.0]}
    plan = room(furniture=[*_bed(), stand, floor])
    found = [(m.along_m, m.height_m) for m in marks_on(plan, wall_of(plan, 2))]
    assert found == [(0.3, 0.6), (0.7, 0.6)]


def _bed() -> list[dict[str, Any]]:
    size = [1.5, 2, 0.3]
    return [{"id": "bed", "kind": "mattress", "at_m": [1.8, 1.9, 0.3], "size_m": size}]


SUPPLY = [
    {"id": "c", "kind": "circuit"},
    {"id": "o", "kind": "outlet", "fed_from": "c", "at_m": [1.0, 3.0, 0.4]},
]


def test_a_mark_above_an_outlet_is_said_so() -> None:
    """A light right above an outlet lies in its upright band; 100 mm aside it is clear of it."""
    plan = room(lights=[light("l", 1.03), light("r", 1.2)], supply=SUPPLY)
    wall = wall_of(plan, 2)
    found = clashes(fixed_on(plan, wall), bands_on(plan, wall), wall)
    assert [(clash.mark, clash.above_outlet) for clash in found] == [("l", "o")]
    # half a twin plate 75 mm, 25 mm for the plug: 70 mm more to the right
    assert (found[0].shift_m, found[0].way) == (0.07, "right")
    assert "BS 7671" in found[0].source


def test_the_way_out_of_a_corner_band_is_into_the_wall() -> None:
    """Nothing can be moved past the corner of the room."""
    plan = room(lights=[light("l", 0.05)])
    wall = wall_of(plan, 2)
    (clash,) = clashes(fixed_on(plan, wall), bands_on(plan, wall), wall)
    assert (clash.way, clash.shift_m) == ("right", 0.125)


@pytest.mark.parametrize(
    ("region", "kinds"),
    [
        # BS 7671 522.6.202(i): 150 mm of ceiling and corners, level and upright of accessories
        ("UK", {"ceiling", "corner", "outlet upright", "outlet level"}),
        # DIN 18015-3: 15-45 cm of floor and ceiling, 10-30 cm of corners and openings
        ("EU", {"floor", "ceiling", "corner", "opening", "outlet upright"}),
        ("US", {"outlet upright", "outlet level"}),
    ],
)
def test_bands_follow_the_region(region: str, kinds: set[str]) -> None:
    """Each region's rules or customs, with the published distances."""
    data = room(supply=SUPPLY).model_dump(mode="json", exclude_unset=True)
    data["region"] = region
    door = {"id": "d", "kind": "door", "wall": 2, "from_m": 0.5, "to_m": 1.3, "head_m": 2.0}
    data["room"]["openings"] = [door]
    plan = parse(data)
    bands = bands_on(plan, wall_of(plan, 2))
    assert {band.kind for band in bands} == kinds
    if region == "UK":
        (ceiling,) = (band for band in bands if band.kind == "ceiling")
        assert (ceiling.low_m, ceiling.high_m) == (2.35, 2.5)
    if region == "EU":
        (floor,) = (band for band in bands if band.kind == "floor")
        assert (floor.low_m, floor.high_m) == (0.15, 0.45)
        beside = [(b.left_m, b.right_m) for b in bands if b.kind == "opening"]
        # the door runs from 0.5 to 1.3 of a wall that starts at its right corner: 2.7 to 3.5
        assert beside == [pytest.approx((2.4, 2.6)), pytest.approx((3.6, 3.8))]


def test_plain_pair_cuts(plain: Study) -> None:
    """U-run of 0.45 + 1.55 + 0.45 m at 50 mm: 9 + 31 + 9 units and nothing left over."""
    (cuts,) = strip_cuts(plain.scenario)
    assert [edge.units for edge in cuts.edges] == [9, 31, 9]
    assert [edge.leftover_m for edge in cuts.edges] == pytest.approx([0, 0, 0], abs=1e-9)
    assert (cuts.used_m, cuts.joints, cuts.reel_m) == (2.45, 2, 3.0)
    assert cuts.feed_points == ("at the end of edge 3",)


def test_leftover_is_split_evenly() -> None:
    """1.62 m at 50 mm is 32 units with 10 mm dark at either end."""
    strip = {
        "id": "s",
        "path_m": [[1.0, 2.98, 1.0], [2.62, 2.98, 1.0]],
        "flux_lm_per_m": 900,
        "power_w_per_m": 9.6,
    }
    (cuts,) = strip_cuts(room(strips=[strip]))
    edge = cuts.edges[0]
    assert (edge.units, edge.used_m, edge.each_end_m) == (32, 1.6, pytest.approx(0.01))


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_both_ends_of_every_edge_are_on_a_paper_strip(path: Path) -> None:
    """Each edge, or a twin cut alike, has a strip from its start and one up to its end."""
    cuts = strip_cuts(load(path))
    by_edge: dict[tuple[int, int], list[Any]] = {}
    for lane in lanes(cuts):
        by_edge.setdefault((lane.strip, lane.edge), []).append(lane)
    for place, cut in enumerate(cuts):
        shown = {(cut.edges[e].run_m, cut.edges[e].units) for s, e in by_edge if s == place}
        assert shown == {(edge.run_m, edge.units) for edge in cut.edges}
    for (strip, edge), found in by_edge.items():
        run = cuts[strip].edges[edge].run_m
        assert found[0].start_m == 0.0
        assert found[-1].end_m == pytest.approx(run)
        assert all(lane.end_m - lane.start_m <= 0.1700001 for lane in found)
        assert len(found) == (1 if run <= 0.17 else 2)


def test_boards_make_the_box_again(plain: Study) -> None:
    """Top, bottom, sides and back of a nightstand add up to its outer size and its board."""
    stand = next(f for f in plain.scenario.furniture if f.id == "left nightstand")
    parts = {b.part: b for b in boards(plain.scenario) if b.item == "left nightstand"}
    width, depth, height = stand.size_m
    assert (parts["top and bottom"].length_m, parts["top and bottom"].width_m) == (width, depth)
    assert parts["sides"].width_m + 2 * parts["sides"].thick_m == pytest.approx(height)
    assert parts["back"].length_m + 2 * parts["back"].thick_m == pytest.approx(width)


def test_cords_by_hand(plain: Study) -> None:
    """Left light: from the strip at (2.85, 2.95, 0.47), which holds its receiver, to the wall, then
    behind nightstand and headboard level to x 0.885, and up to 1.22.

    0.05 + 1.965 + 0.75 = 2.765 m; a tenth more and twice 0.15 m: 3.3415 m; next sold 12 ft.
    """
    run = next(run for run in cord_runs(plain.scenario) if run.id == "left light")
    assert run.route_m == pytest.approx(2.765)
    assert run.needed_m == pytest.approx(3.3415)
    assert run.buy_m == pytest.approx(12 * 0.3048, abs=5e-4)  # tables hold four digits
    assert run.over_m == pytest.approx(3.0 - 3.3415)


def test_small_lights_fit_one_tile_large_ones_more() -> None:
    """A drum of 150 x 180 mm is one page; a shade of 400 mm needs 3 x 3 overlapping ones."""
    shade = {"form": "shade", "bottom_diameter_m": 0.15, "height_m": 0.18, "lamp_height_m": 0.07}
    plan = room(lights=[light("s", 1.0, distribution=shade)])
    assert len(tiles(outline_of(plan, plan.lights[0]))) == 1
    wide = {**shade, "bottom_diameter_m": 0.4, "height_m": 0.4}
    plan = room(lights=[light("s", 1.0, distribution=wide)])
    found = tiles(outline_of(plan, plan.lights[0]))
    assert (found[-1].columns, found[-1].rows) == (3, 3)
    assert found[1].left_m - found[0].left_m == pytest.approx(0.178 - 0.010)


def test_walls_that_carry_something() -> None:
    """The bed wall first, then any other with a light or an outlet."""
    supply = [*SUPPLY, {"id": "far", "kind": "outlet", "fed_from": "c", "at_m": [4, 1, 0.4]}]
    plan = room(supply=supply, lights=[light("l", 0.0, 2.0, wall=3)])
    assert [wall.number for wall in walls_that_carry(plan)] == [2, 1, 3]
    (outlet,) = outlets_on(plan, wall_of(plan, 1))
    assert (outlet.id, outlet.along_m) == ("far", 2.0)


def test_ceiling_and_board_marks() -> None:
    """Ceiling: to the walls ahead and on the left. Board: from its top and nearer edge."""
    board = {"id": "b", "kind": "headboard", "at_m": [1.8, 2.95, 0], "size_m": [1.6, 0.06, 1.1]}
    plan = room(
        furniture=[*_bed(), board],
        lights=[
            light("c", 2.2, 1.0, 2.5, mount="ceiling"),
            light("h", 1.2, 2.92, 0.95, mount="headboard"),
        ],
    )
    (ceiling,) = ceiling_marks(plan)
    assert (ceiling.from_bed_line_m, ceiling.from_ahead_m, ceiling.from_left_m) == (0.4, 2.0, 2.2)
    (mark,) = board_marks(plan)
    assert (mark.below_board_top_m, mark.from_board_edge_m, mark.edge) == (0.15, 0.2, "left")


def test_upper_edge_follows_slopes() -> None:
    """A slope of 45 degrees from a knee of 1 m on the left wall meets 2.5 m at 1.5 m from it."""
    slope = {"id": "s", "wall": 3, "knee_height_m": 1.0, "pitch_deg": 45}
    outline = [[0, 0], [4, 0], [4, 3], [0, 3]]
    plan = room(room={"outline_m": outline, "height_m": 2.5, "slopes": [slope]})
    wall = wall_of(plan, 2)
    assert wall.top_at(0.0) == pytest.approx(1.0)
    assert wall.top_at(1.0) == pytest.approx(2.0)
    assert wall.top_at(3.0) == pytest.approx(2.5)
    assert len(wall.top) == 3
