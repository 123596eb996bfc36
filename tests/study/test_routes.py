"""The way of a cord, worked out by hand: along walls, round corners, never across a door."""

from __future__ import annotations

import itertools
import math
from pathlib import Path
from typing import Any

import pytest

from lumen.scenario.document import Scenario, parse
from lumen.scenario.files import examples, load
from lumen.scenario.outline import inside_outline
from lumen.study.load.cord_runs import cord_runs
from lumen.study.scene.routes import route


def room(**more: Any) -> Scenario:
    """A room 4 m wide and 3 m deep, or with another outline."""
    outline = more.pop("outline_m", [[0, 0], [4, 0], [4, 3], [0, 3]])
    inside = {"outline_m": outline, "height_m": 2.4, "openings": more.pop("openings", [])}
    return parse({"format": "lumen-plan/1", "title": "x", "room": inside, **more})


def length(way: tuple[tuple[float, float, float], ...]) -> float:
    """Length along corners."""
    return math.fsum(math.dist(a, b) for a, b in itertools.pairwise(way))


def test_from_wall_to_wall_it_goes_round_the_corner() -> None:
    """Outlet on the right wall 1 m from the corner, light on the bed wall 1 m from it, 1.2 m up:
    0.4 down, 2 along the floor, 1.2 up; straight through the room it would be 1.6 m.
    """
    way = route(room(), (4, 2, 0.4), (3, 3, 1.2)).corners_m
    assert (4.0, 3.0, 0.0) in way
    assert length(way) == pytest.approx(0.4 + 2.0 + 1.2)


def test_it_takes_the_way_without_the_door() -> None:
    """A door in the shorter way sends it round the other; with doors both ways one is named."""
    door = {"id": "d", "kind": "door", "wall": 1, "from_m": 2.2, "to_m": 2.9}
    found = route(room(openings=[door]), (4, 2, 0.0), (3, 3, 0.0))
    assert found.door is None
    assert length(found.corners_m) == pytest.approx(14.0 - 2.0)
    other = {"id": "e", "kind": "door", "wall": 3, "from_m": 1.0, "to_m": 1.9}
    found = route(room(openings=[door, other]), (4, 2, 0.0), (3, 3, 0.0))
    assert found.door == "d"
    assert length(found.corners_m) == pytest.approx(2.0)


def test_round_an_inner_corner() -> None:
    """In an L the way follows both walls of the inner corner: it stays in the room."""
    outline = [[0, 0], [4, 0], [4, 3], [2, 3], [2, 2], [0, 2]]
    way = route(room(outline_m=outline), (2, 2.6, 0.0), (1.5, 2, 0.0)).corners_m
    assert way == ((2, 2.6, 0), (2, 2, 0), (1.5, 2, 0))


def test_behind_furniture_it_stays_at_its_height() -> None:
    """A board along the whole way hides it: level, then up; without the board down to the floor."""
    board = {"id": "b", "kind": "headboard", "at_m": [2, 2.95, 0], "size_m": [3, 0.06, 1.0]}
    start, end = (0.8, 3.0, 0.4), (3.2, 3.0, 1.2)
    assert length(route(room(furniture=[board]), start, end).corners_m) == pytest.approx(2.4 + 0.8)
    assert length(route(room(), start, end).corners_m) == pytest.approx(0.4 + 2.4 + 1.2)


def test_under_a_bed_it_follows_the_bed() -> None:
    """A strip under the bed's edge, 2 m from the wall: along the frame, not round the room."""
    bed = {"id": "b", "kind": "bed frame", "at_m": [2, 1.9, 0.2], "size_m": [1.5, 2, 0.2]}
    way = route(room(furniture=[bed]), (1.4, 3.0, 0.2), (1.4, 1.0, 0.2)).corners_m
    assert way == ((1.4, 3, 0.2), (1.4, 1, 0.2))


def test_what_stands_free_is_reached_over_the_floor() -> None:
    """A heater in the middle of a large room: its cord lies on the floor, the shortest way."""
    way = route(room(), (2, 0, 0.4), (2, 1.4, 0.5)).corners_m
    assert all(z == 0.0 for _, y, z in way if 0.1 < y < 1.3)
    assert length(way) == pytest.approx(0.4 + 1.4 + 0.5)


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_no_cord_of_a_plan_leaves_the_room_or_crosses_a_door(path: Path) -> None:
    """Every corner and every middle between two lies in the outline or on it."""
    plan = load(path)
    for run in cord_runs(plan):
        assert run.door is None
        for a, b in itertools.pairwise(run.corners_m):
            for share in (0.0, 0.25, 0.5, 0.75, 1.0):
                x, y = (a[k] + share * (b[k] - a[k]) for k in (0, 1))
                assert inside_outline(plan.room.outline_m, (x, y), grace_m=1e-3), (run.id, x, y)
        assert run.route_m == pytest.approx(length(run.corners_m), abs=1e-5)
