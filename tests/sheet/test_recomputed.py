"""Marks, strip places, cords and cuts of four rooms worked out again from the plan files alone.

Another way than the sheet's: the walls are unrolled into one line and everything is read off it;
distances from corners come from Pythagoras, cuts from exact fractions, boards from their edges.
"""

from __future__ import annotations

import itertools
import json
import math
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.sheet.printing import EXAMPLES, plain_contents, study_of

ROOMS = ("plain-pair", "alcove-two-sleep-times", "l-room-dressing-nook", "parents-with-cot")
FILES = [path for path in EXAMPLES if path.stem in ROOMS]

Json = dict[str, Any]


def both(path: Path) -> tuple[Json, Json]:
    """Return the plan as its file has it, and what the sheet says."""
    found = study_of(path)
    return json.loads(path.read_text(encoding="utf-8")), plain_contents(found)


def off_wall(plan: Json, wall: int, point: list[float]) -> float:
    """Distance of a point from the line of a wall: twice a triangle's area over its base."""
    outline = plan["room"]["outline_m"]
    (ax, ay), (bx, by) = outline[wall], outline[(wall + 1) % len(outline)]
    area = abs((bx - ax) * (point[1] - ay) - (point[0] - ax) * (by - ay))
    return area / math.hypot(bx - ax, by - ay)


def nearest_wall(plan: Json, point: list[float]) -> int:
    """Number of the wall whose line is nearest, of those that the point lies beside."""
    outline, best = plan["room"]["outline_m"], []
    for k, (a, b) in enumerate(zip(outline, outline[1:] + outline[:1], strict=True)):
        length = math.dist(a, b)
        away, other = math.dist(a, point[:2]), math.dist(b, point[:2])
        beside = max(away**2, other**2) <= length**2 + off_wall(plan, k, point) ** 2 + 1e-6
        best.append((off_wall(plan, k, point) if beside else min(away, other), k))
    return min(best)[1]


def bed_line(plan: Json) -> float:
    """Where the bed centre line runs: the middle of the first mattress."""
    return float(next(f for f in plan["furniture"] if f["kind"] == "mattress")["at_m"][0])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_drill_marks(path: Path) -> None:
    """Each wall light's mark from floor, both corners and bed line, by Pythagoras."""
    plan, held = both(path)
    marks = {m["id"]: (w, m) for w in held["walls"] for m in w["marks"] if m["kind"] == "light"}
    outline = plan["room"]["outline_m"]
    lights = [x for x in plan["lights"] if x.get("mount", "wall") == "wall"]
    assert {light["id"] for light in lights} == set(marks)
    for light in lights:
        wall, mark = marks[light["id"]]
        number = light.get("wall", nearest_wall(plan, light["mount_m"]))
        assert wall["number"] == number
        first, second = outline[number], outline[(number + 1) % len(outline)]
        off = off_wall(plan, number, light["mount_m"])
        # faced from inside, a counter-clockwise outline has its second corner at the left
        left = math.sqrt(math.dist(second, light["mount_m"][:2]) ** 2 - off**2)
        right = math.sqrt(math.dist(first, light["mount_m"][:2]) ** 2 - off**2)
        assert mark["from_left_m"] == pytest.approx(left, abs=1e-6)
        assert mark["from_right_m"] == pytest.approx(right, abs=1e-6)
        assert mark["from_nearest_m"] == pytest.approx(min(left, right), abs=1e-6)
        assert mark["height_m"] == light["mount_m"][2]
        if first[1] == second[1]:
            assert mark["from_bed_line_m"] == pytest.approx(
                light["mount_m"][0] - bed_line(plan), abs=1e-6
            )
        else:
            assert mark["from_bed_line_m"] is None


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_strip_places(path: Path) -> None:
    """Each corner of a strip from the left edge, top and back of the unturned box it lies on."""
    plan, held = both(path)
    boxes = {item["id"]: item for item in plan["furniture"]}
    strips = {strip["id"]: strip for strip in plan["strips"]}
    assert {place["id"] for place in held["places"]} == set(strips)
    for place in held["places"]:
        box = next(b for b in boxes.values() if b.get("name", b["id"]) == place["board"])
        assert not box.get("turn_deg")
        assert not box.get("lean_deg")
        edges = [(c - s / 2, c + s / 2) for c, s in zip(box["at_m"], box["size_m"], strict=True)]
        low, top = box["at_m"][2], box["at_m"][2] + box["size_m"][2]
        for corner in place["corners"]:
            x, y, z = strips[place["id"]]["path_m"][corner["number"] - 1]
            assert corner["from_left_m"] == pytest.approx(x - edges[0][0], abs=1e-6)
            assert corner["from_right_m"] == pytest.approx(edges[0][1] - x, abs=1e-6)
            assert corner["from_back_m"] == pytest.approx(edges[1][1] - y, abs=1e-6)
            assert corner["below_top_m"] == pytest.approx(top - z, abs=1e-6)
            assert corner["above_floor_m"] == z
            assert low - 0.15 <= z <= top + 0.15


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_cuts(path: Path) -> None:
    """Whole units on each edge, what stays dark at either end, and the pieces of the reels."""
    plan, held = both(path)
    for strip, cut in zip(plan["strips"], held["cuts"], strict=True):
        unit = Fraction(str(strip.get("cut_m", 0.05)))
        whole = Fraction(0)
        for a, b, edge in zip(strip["path_m"], strip["path_m"][1:], cut["edges"], strict=False):
            # edges run along one axis here, so their lengths are exact
            run = sum(abs(Fraction(str(v)) - Fraction(str(u))) for u, v in zip(a, b, strict=True))
            units = 0
            while (units + 1) * unit <= run:
                units += 1
            assert edge["units"] == units
            assert edge["run_m"] == pytest.approx(float(run), abs=1e-9)
            assert edge["used_m"] == pytest.approx(float(units * unit), abs=1e-9)
            assert edge["each_end_m"] == pytest.approx(float((run - units * unit) / 2), abs=1e-9)
            whole += units * unit
        assert cut["used_m"] == pytest.approx(float(whole), abs=1e-9)
        cut_off = math.fsum(piece for reel in cut["pieces"] for piece in reel)
        assert cut_off == pytest.approx(float(whole), abs=1e-9)
        assert all(math.fsum(reel) <= cut["reel_m"] + 1e-9 for reel in cut["pieces"])


def ends(plan: Json, cord: Json) -> tuple[list[float], list[float]]:
    """Where a cord begins and ends: from the file, a thing without a place at what holds it."""
    supply = {item["id"]: item for item in plan["supply"]}
    boxes = {item["id"]: item for item in plan["furniture"]}

    def place(name: str) -> list[float]:
        item = supply[name]
        if "at_m" in item:
            return list(item["at_m"])
        feeder = supply[item["fed_from"]]
        if item["kind"] in ("receiver", "driver") and "at_m" in feeder and (
            feeder["kind"] == "power strip"
        ):  # fmt: skip
            return list(feeder["at_m"])
        if "inside" in item:
            box = boxes[item["inside"]]
            return [*box["at_m"][:2], box["at_m"][2] + box["size_m"][2] / 2]
        return place(item["fed_from"])

    things = {x["id"]: x for x in (*plan["lights"], *plan["strips"], *plan["supply"])}
    thing = things[cord["id"]]
    if "path_m" in thing:
        return place(thing["fed_from"]), thing["path_m"][-1 if thing.get("feed") == "end" else 0]
    return place(thing["fed_from"]), list(thing.get("mount_m") or place(thing["id"]))


def unrolled(plan: Json, point: list[float]) -> tuple[float, float]:
    """Where a point stands along the unrolled walls, and how far before them."""
    outline = plan["room"]["outline_m"]
    wall = nearest_wall(plan, point)
    before = sum(math.dist(outline[k], outline[k + 1]) for k in range(wall))
    off = off_wall(plan, wall, point)
    return before + math.sqrt(max(0.0, math.dist(outline[wall], point[:2]) ** 2 - off**2)), off


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_cord_lengths(path: Path) -> None:
    """Along the unrolled walls, the way that meets no door, behind furniture or on the floor."""
    plan, held = both(path)
    outline = plan["room"]["outline_m"]
    corners = outline[1:] + outline[:1]
    around = sum(math.dist(a, b) for a, b in zip(outline, corners, strict=True))
    doors = []
    for hole in plan["room"].get("openings", []):
        if hole["kind"] == "door":
            start = sum(math.dist(outline[k], outline[k + 1]) for k in range(hole["wall"]))
            doors.append((start + hole["from_m"], start + hole["to_m"]))
    checked = 0
    for cord in held["cords"]:
        start, end = ends(plan, cord)
        (u, off), (v, out) = unrolled(plan, start), unrolled(plan, end)
        if max(off, out) > 0.7:
            continue  # under a bed or free in the room: its own test
        low, high = sorted((u, v))
        straight = not any(a < high and b > low for a, b in doors)
        other = not any(a < low or b > high for a, b in doors)
        ways = [d for d, free in ((high - low, straight), (around - high + low, other)) if free]
        level = min(ways) + abs(end[2] - start[2])
        floor = min(ways) + start[2] + end[2]
        expected = off + out + (level if hidden(plan, start, end, min(ways)) else floor)
        assert cord["route_m"] == pytest.approx(expected, abs=1e-5), cord["id"]
        assert cord["needed_m"] == pytest.approx(1.1 * expected + 0.3, abs=1e-5)
        checked += 1
    assert checked >= 3


def hidden(plan: Json, start: list[float], end: list[float], along: float) -> bool:
    """Whether the way is short, or furniture within 20 cm of the bed wall hides nine tenths."""
    if along <= 0.5:
        return True
    outline = plan["room"]["outline_m"]
    back = max(y for _, y in outline)
    if min(start[1], end[1]) < back - 0.7 and start[0] != end[0]:
        on_bed_wall = False
    else:
        on_bed_wall = max(start[1], end[1]) > back - 0.7
    if not on_bed_wall:
        # round a corner or along a side wall: count both walls with every box near them
        return _beside(plan, start, end)
    low, high = sorted((start[0], end[0]))
    steps = [low + (high - low) * (k + 0.5) / 400 for k in range(400)]
    return sum(any(_stands(f, x, back, start[2]) for f in plan["furniture"]) for x in steps) >= 360


def _stands(item: Json, x: float, y: float, z: float) -> bool:
    (cx, cy, cz), (w, d, h) = item["at_m"], item["size_m"]
    near = abs(x - cx) <= w / 2 + 0.2 and abs(y - cy) <= d / 2 + 0.2
    return near and cz - 1e-9 <= z <= cz + h + 1e-9


def _beside(plan: Json, start: list[float], end: list[float]) -> bool:
    """The same for a way along other walls: sampled on the sides of their rectangle."""
    outline = plan["room"]["outline_m"]
    back = max(y for _, y in outline)
    sides = [(start[0], start[1])]
    if start[0] != end[0]:
        sides += [(start[0], back), (end[0], back)]
    sides.append((end[0], end[1]))
    steps = []
    for (ax, ay), (bx, by) in itertools.pairwise(sides):
        count = max(1, round(math.hypot(bx - ax, by - ay) * 100))
        steps += [(ax + (bx - ax) * k / count, ay + (by - ay) * k / count) for k in range(count)]
    met = sum(any(_stands(f, x, y, start[2]) for f in plan["furniture"]) for x, y in steps)
    return met >= 0.9 * len(steps)
