"""Everything that the sheet holds, as plain data: the page and the lists read nothing else.

Numbers of light and power are not copied: templates read them from the study's own JSON.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.sheet.advice import ways
from lumen.sheet.bands import bands_on, clashes, workmanship
from lumen.sheet.cautions import cautions_by_page
from lumen.sheet.cords import CordRun, cord_runs
from lumen.sheet.cuts import boards, reel_tests, strip_cuts
from lumen.sheet.elevation import scale_of
from lumen.sheet.night import night_ratios
from lumen.sheet.plugs import buttons, lids, plug_rows
from lumen.sheet.shopping import shopping, total
from lumen.sheet.trials import heaviest, trials
from lumen.sheet.true_size import lanes, outline_of, tiles
from lumen.sheet.walls import (
    Wall,
    board_marks,
    box_on_wall,
    ceiling_marks,
    fixed_on,
    hung_on,
    marks_on,
    outlets_on,
    pairs_of,
    walls_that_carry,
)
from lumen.study.levels import given_levels
from lumen.study.regions import region_pack
from lumen.study.study import Study
from lumen.study.surfaces import bed_wall

__all__ = ["contents"]

Json = dict[str, Any]

_DARK_LX = 0.05  # a band that ends below this is dark
_ACROSS = 6  # setups side by side in a table
_NEAR_WALL_M = 0.7  # what stands within this of a wall is drawn on it


def contents(study: Study, data: Json) -> Json:
    """Return what the sheet holds beside the study: marks, bands, cuts, cords, things to buy.

    Parameters
    ----------
    study
        The study of a plan.
    data
        Its ``to_json()``, made once.
    """
    plan = study.scenario
    runs = cord_runs(plan)
    cuts = strip_cuts(plan)
    items = shopping(study, runs, cuts)
    walls = [_wall(plan, wall, runs) for wall in walls_that_carry(plan)]
    tried = trials(plan)
    for wall in walls:
        wall["wandering"] = [
            {"letter": mark["letter"], "name": mark["name"], **_plain(change)}
            for mark in (*wall["marks"], *wall["board"])
            for item in items
            if item.id == mark["id"] and mark["kind"] != "hung"
            for change in item.near
            if change.kind == "hole"
        ]
    ceiling, board = _plain(ceiling_marks(plan)), _plain(board_marks(plan))
    widths = {strip.id: strip.width_m for strip in plan.strips}
    region = region_pack(plan.region)
    return {
        "walls": walls,
        "ceiling": ceiling,
        "board": board,
        "pairs": _plain(pairs_of(plan)),
        "templates": _templates(plan, walls, ceiling, board),
        "cuts": [{**_plain(cut), "width_m": widths[cut.id]} for cut in cuts],
        "lanes": _plain(lanes(cuts)),
        "boards": _plain(boards(plan)),
        "cords": _plain(runs),
        "shopping": _plain(items),
        "total": _plain(total(items)),
        "plugs": _plain(plug_rows(study, data["power"])),
        "lids": _plain(lids(study, data["power"])),
        "buttons": _plain(buttons(study, data["power"])),
        "levels": _levels(plan),
        "unswitched": _unswitched(plan),
        "night": _plain(night_ratios(study, {t.setup for t in tried if t.allowed})),
        "people": len(plan.people),
        "trials": _plain(tried),
        "heat_trial": _plain(heaviest(tried)),
        "reels": _plain(reel_tests(plan, cuts)),
        "unplaced": [item.name or item.id for item in plan.supply
                     if item.kind == "outlet" and item.at_m is None],
        "tolerances": {
            name: workmanship(name) for name in ("mark", "pair", "moved", "drill_clear", "spare")
        },
        "region": {
            "arc_fault": region.text("arc_fault"),
            "leakage_protection": region.text("leakage_protection"),
            "arc_fault_source": region.source("arc_fault"),
            "leakage_source": region.source("leakage_protection"),
        },
        "hung": [
            {"wall": wall["name"], "letter": mark["letter"], "name": mark["name"],
             "height_m": mark["height_m"]}
            for wall in walls
            for mark in wall["marks"]
            if mark["kind"] == "hung" and mark["name"].endswith("left corner")
        ],
        "sights": _sights(plan, data),
        "planes": _grids(data, "planes"),
        "eyes": _grids(data, "eyes"),
        "assumed": [_assumed(plan, item["field"]) for item in data["assumptions"]],
        "cautions": cautions_by_page(data["cautions"]),
    }  # fmt: skip


def _plain(found: Any) -> Any:
    """Dataclasses as dictionaries, with their properties where the page needs them."""
    if isinstance(found, tuple | list):
        return [_plain(item) for item in found]
    if dataclasses.is_dataclass(found) and not isinstance(found, type):
        plain = {f.name: _plain(getattr(found, f.name)) for f in dataclasses.fields(found)}
        for name in ("nearest", "from_nearest_m", "allowed"):
            if hasattr(found, name):
                plain[name] = getattr(found, name)
        return plain
    return found


def _wall(plan: Scenario, wall: Wall, runs: Sequence[CordRun]) -> Json:
    marks = marks_on(plan, wall)
    bands = bands_on(plan, wall)
    is_bed_wall = wall.number == bed_wall(plan.room)
    places = {mark.id: mark.along_m for mark in marks if mark.kind == "light"}
    boards = [
        {**_plain(mark), "kind": "board", "along_m": round(wall.place(_mount(plan, mark.id))[0], 6)}
        for mark in (board_marks(plan) if is_bed_wall else ())
    ]
    places |= {mark["id"]: mark["along_m"] for mark in boards}
    outlets = [
        {**_plain(outlet), "letter": f"O{number}"}
        for number, outlet in enumerate(outlets_on(plan, wall), start=1)
    ]
    hung = {item.id for item in hung_on(plan, wall)}
    return {
        "number": wall.number,
        "name": wall.name,
        "bed_wall": is_bed_wall,
        "length_m": wall.length_m,
        "height_m": wall.height_m,
        "bed_line_m": wall.bed_line_m,
        "top": [list(corner) for corner in wall.top],
        "scale": scale_of(wall.length_m, wall.height_m, marked=bool(marks or boards)),
        "slopes": max(z for _, z in wall.top) - min(z for _, z in wall.top) > 0.01,
        "marks": _plain(marks),
        "board": boards,
        "outlets": outlets,
        "bands": _plain(bands),
        "clashes": _plain(clashes(fixed_on(plan, wall), bands, wall)),
        "pairs": [
            {**_plain(pair), "left_along_m": places[pair.left], "right_along_m": places[pair.right]}
            for pair in pairs_of(plan)
            if pair.left in places and pair.right in places
        ],
        "furniture": _furniture(plan, wall, hung),
        "openings": [
            {
                "id": hole.id,
                "kind": hole.kind,
                "left_m": round(wall.length_m - hole.to_m, 6),
                "right_m": round(wall.length_m - hole.from_m, 6),
                "sill_m": hole.sill_m,
                "head_m": hole.head_m,
            }
            for hole in plan.room.openings
            if hole.wall == wall.number
        ],
        "strips": [
            {"name": strip.name or strip.id, "points": _on_wall(wall, strip.path_m)}
            for strip in plan.strips
            if all(abs(wall.place(point)[2]) < 0.3 for point in strip.path_m)
        ],
        "cords": [
            {"name": run.name, "points": _on_wall(wall, run.corners_m)}
            for run in runs
            if run.kind != "low-voltage feed" and all(_near(wall, point) for point in run.corners_m)
        ],
    }


def _mount(plan: Scenario, light_id: str) -> Sequence[float]:
    return next(light.mount_m for light in plan.lights if light.id == light_id)


def _near(wall: Wall, point: Sequence[float]) -> bool:
    along, _, off = wall.place(point)
    return -0.01 <= along <= wall.length_m + 0.01 and -0.05 <= off < _NEAR_WALL_M


def _on_wall(wall: Wall, path: Sequence[Sequence[float]]) -> list[list[float]]:
    return [[round(v, 6) for v in wall.place(point)[:2]] for point in path]


def _furniture(plan: Scenario, wall: Wall, hung: set[str]) -> list[Json]:
    found = []
    for item in plan.furniture:
        low, high, under, top = box_on_wall(wall, item)
        middle = wall.place(item.at_m)
        depth = abs(wall.inward[0]) * item.size_m[0] / 2 + abs(wall.inward[1]) * item.size_m[1] / 2
        if not -0.1 < middle[2] - depth < _NEAR_WALL_M or high <= 0 or low >= wall.length_m:
            continue
        found.append(
            {
                "id": item.id,
                "name": item.name or item.id,
                "kind": item.kind,
                "left_m": max(0.0, low),
                "right_m": min(wall.length_m, high),
                "low_m": under,
                "high_m": top,
                "hung": item.id in hung,
            }
        )
    return found


def _templates(
    plan: Scenario, walls: list[Json], ceiling: list[Json], board: list[Json]
) -> list[Json]:
    """True-size outlines of every mount, each with the facts that place it."""
    wall_marks = {m["id"]: m for wall in walls for m in wall["marks"] if m["kind"] == "light"}
    ceiling_by, board_by = ({m["id"]: m for m in marks} for marks in (ceiling, board))
    found = []
    for light in plan.lights:
        if light.mount == "stand":
            continue
        shape = outline_of(plan, light)
        mark = wall_marks.get(light.id) or ceiling_by.get(light.id) or board_by.get(light.id)
        if mark is None:
            continue
        found.append(
            {
                "letter": mark["letter"],
                "outline": _plain(shape),
                "tiles": _plain(tiles(shape)),
                "facts": _facts(light, mark),
            }
        )
    return found


def _facts(light: Light, mark: Json) -> list[Json]:
    line = mark["from_bed_line_m"]
    facts = []
    if light.mount != "ceiling":
        facts.append({"words": "cross above the floor", "value_m": mark["height_m"]})
    if line is not None:
        side = "right" if line > 0 else "left"
        facts.append({"words": f"cross {side} of the bed line", "value_m": line})
    if light.mount == "wall":
        facts.append(
            {
                "words": f"cross from the {mark['nearest']} corner",
                "value_m": mark["from_nearest_m"],
            }
        )
    elif light.mount == "ceiling":
        facts.append({"words": "cross from the wall ahead", "value_m": mark["from_ahead_m"]})
    else:
        facts.append({"words": "cross below the board's top", "value_m": mark["below_board_top_m"]})
    return facts


def _sights(plan: Scenario, data: Json) -> list[Json]:
    """Source by source, whose eyes look into a bare lamp, and what would clear it there."""
    names = {target["id"]: target["name"] for target in data["targets"]}
    lights = {light.id: light for light in plan.lights}
    found = []
    for source in plan.sources:
        rows = [
            (place, row)
            for place, row in enumerate(data["comfort"]["sight"])
            if row["light"] == source.id and row["harsh"] and row["in_view"]
        ]
        if rows:
            light = lights.get(source.id)
            clears = [] if light is None else [w for _, r in rows for w in ways(plan, light, r)]
            found.append(
                {
                    "id": source.id,
                    "name": source.name or source.id,
                    "drilled": light is not None and light.mount in ("wall", "headboard"),
                    "eyes": list(dict.fromkeys(names[row["eye"]] for _, row in rows)),
                    "brightest": max(rows, key=lambda pair: pair[1]["luminance_cd_m2"])[0],
                    "clears": _plain(list(dict.fromkeys(clears))),
                }
            )
    return found


def _grids(data: Json, kind: str) -> list[Json]:
    """Answers as tables, targets down and setups across; cells are places in the study's list.

    Setups that leave everything dark are left out, and targets that no setup lights.
    """
    names = {setup["id"]: setup["name"] for setup in data["setups"]}
    cells = {(row["target"], row["setup"]): place for place, row in enumerate(data[kind])
             if row["high_lx"] >= _DARK_LX}  # fmt: skip
    lit = [setup for setup in names if any(setup == s for _, s in cells)]
    found = []
    for start in range(0, len(lit), _ACROSS):
        part = lit[start : start + _ACROSS]
        rows = [
            {"name": target["name"], "cells": [cells.get((target["id"], s)) for s in part]}
            for target in data["targets"]
            if any((target["id"], s) in cells for s in part)
        ]
        found.append({"setups": [names[s] for s in part], "rows": rows})
    return found


_ITEM = re.compile(r"^(\w+)\[(\d+)\]\.?(.*)$")
_UNITS = {"m": "length", "deg": "degrees", "w": "W", "k": "K", "ohm_per_m": "ohm a metre"}


def _assumed(plan: Scenario, field: str) -> Json:
    """A field of the plan in words: whose, which, and in what unit."""
    found = _ITEM.match(field)
    of, rest = "plan", field
    if found:
        item = getattr(plan, found[1])[int(found[2])]
        of, rest = getattr(item, "name", None) or item.id, found[3]
    for suffix, unit in sorted(_UNITS.items(), key=lambda pair: -len(pair[0])):
        # m2 and the like keep their name: only plain lengths are shown both ways
        if rest.endswith(f"_{suffix}") and not rest.endswith("_per_m" if suffix == "m" else "?"):
            return {"of": of, "words": _words(rest[: -len(suffix) - 1]), "unit": unit}
    return {"of": of, "words": _words(rest), "unit": ""}


def _words(path: str) -> str:
    return path.replace("_", " ").replace(".", ", ")


def _levels(plan: Scenario) -> list[Json]:
    """What is on in each setup, light by light, and what runs beside them."""
    names = {source.id: source.name or source.id for source in plan.sources}
    names |= {item.id: item.name or item.id for item in plan.supply}
    return [
        {
            "setup": setup.name or setup.id,
            "levels": [
                {"name": names[source], "level": level}
                for source, level in given_levels(plan, setup.id).items()
                if level > 0.0
            ],
            "running": [names[item] for item in setup.running],
            "hours_per_day": setup.hours_per_day,
            "from_h": setup.from_h,
        }
        for setup in plan.setups
    ]


def _unswitched(plan: Scenario) -> list[Json]:
    """Lights and strips that no receiver switches: how they go on and off must be found out."""
    receivers = {item.id for item in plan.supply if item.kind == "receiver"}
    parents = {item.id: getattr(item, "fed_from", None) for item in plan.supply}

    def switched(at: str | None) -> bool:
        while at is not None:
            if at in receivers:
                return True
            at = parents.get(at)
        return False

    return [
        {
            "name": source.name or source.id,
            "inline": bool(getattr(source, "inline_switch", False)),
            "plugged": source.fed_from is not None,
        }
        for source in plan.sources
        if not switched(source.fed_from)
    ]
