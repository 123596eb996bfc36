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
from lumen.sheet.bands import Band, bands_on, clashes, workmanship
from lumen.sheet.cautions import caution_groups, own_source
from lumen.sheet.cords import CordRun, cord_runs, unplaced
from lumen.sheet.cuts import StripCuts, boards, grouped_boards, reel_tests, strip_cuts
from lumen.sheet.elevation import scale_of
from lumen.sheet.fixing import Fixing, fixings
from lumen.sheet.night import night_ratios
from lumen.sheet.parts import further
from lumen.sheet.places import HiddenSpace, hidden_spaces, leans, strip_places
from lumen.sheet.plugs import buttons, lids, plug_rows
from lumen.sheet.shopping import grouped, shopping, total
from lumen.sheet.trade import trade_words
from lumen.sheet.trials import heaviest, trials
from lumen.sheet.true_size import TILE_WIDE_MM, Tile, lanes, outline_of, tiles
from lumen.sheet.walls import (
    Fixed,
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
from lumen.study.load.regions import region_pack
from lumen.study.scene.levels import given_levels
from lumen.study.scene.surfaces import bed_wall
from lumen.study.study import Study

__all__ = ["contents"]

Json = dict[str, Any]

_DARK_LX = 0.05  # a band that ends below this is dark
_MOST_TILES = 4
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
    runs, cuts, panels = cord_runs(plan), strip_cuts(plan), boards(plan)
    held, spaces = fixings(plan), hidden_spaces(plan)
    items = shopping(study, runs, cuts)
    more = further(study, runs, cuts, panels, held, spaces)
    walls = [_wall(plan, wall, runs, held) for wall in walls_that_carry(plan)]
    tried = trials(plan)
    twins = {pair.right for pair in pairs_of(plan) if not pair.uneven_m and not pair.level_m}
    running = {setup.id: list(setup.running) for setup in plan.setups}
    for wall in walls:
        wall["wandering"] = [
            {"letter": mark["letter"], "name": mark["name"], **_plain(change)}
            for mark in (*wall["marks"], *wall["board"])
            for item in items
            if item.id == mark["id"] and mark["kind"] != "hung" and mark["id"] not in twins
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
        "fixings": _plain(held),
        "pairs": _plain(pairs_of(plan)),
        "templates": _templates(plan, walls, ceiling, board),
        "cuts": [
            {**_plain(cut), "width_m": widths[cut.id], "alike": _alike(cut)} for cut in cuts
        ],
        "lanes": _plain(lanes(cuts)),
        "boards": _plain(grouped_boards(panels)),
        "places": _plain(strip_places(plan)),
        "spaces": _spaces(spaces),
        "leans": _plain(leans(plan)),
        "cords": _plain(runs),
        "unmeasured": _plain(unplaced(plan)),
        "shopping": _plain(grouped((*items, *more))),
        "total": _plain(total(items)),
        "plugs": _plain(plug_rows(study, data["power"])),
        "lids": _plain(lids(study, data["power"])),
        "buttons": _plain(buttons(study, data["power"])),
        "levels": _levels(plan),
        "unswitched": _unswitched(plan),
        "people": len(plan.people),
        "trials": _plain(tried),
        "night": [
            {**_plain(row), "without": running[row.setup_id]}
            for row in night_ratios(study, {t.setup for t in tried if t.allowed})
        ],
        "heat_trial": _plain(heaviest(tried)),
        "reels": _plain(reel_tests(plan, cuts)),
        "unplaced": [item.name or item.id for item in plan.supply
                     if item.kind == "outlet" and item.at_m is None],
        "tolerances": {
            name: workmanship(name) for name in ("mark", "pair", "moved", "drill_clear", "spare")
        },
        "trade": trade_words(plan.region),
        "region": {
            "arc_fault": region.text("arc_fault"),
            "leakage_protection": region.text("leakage_protection"),
            "arc_fault_source": region.source("arc_fault"),
            "leakage_source": region.source("leakage_protection"),
        },
        "sights": _sights(plan, data),
        "planes": _grids(data, "planes"),
        "eyes": _grids(data, "eyes"),
        "assumed": [_assumed(plan, item["field"]) for item in data["assumptions"]],
        "cautions": [
            {**_plain(group), "source": own_source(caution["source"], plan.region)}
            for group in caution_groups(data["cautions"])
            for caution in (data["cautions"][group.place],)
        ],
        "state": _state(data),
    }  # fmt: skip


def _alike(cut: StripCuts) -> list[Json]:
    """Edges cut alike, each with the numbers and ways of its twins."""
    found: dict[object, Json] = {}
    for place, edge in enumerate(cut.edges):
        key = (edge.run_m, edge.units, edge.used_m)
        entry = found.setdefault(key, {"edge": place, "numbers": [], "ways": []})
        entry["numbers"].append(edge.number)
        entry["ways"].append(edge.way)
    return list(found.values())


def _spaces(spaces: Sequence[HiddenSpace]) -> list[Json]:
    """Hidden spaces, those together whose sizes and vents are the same."""
    found: dict[object, Json] = {}
    for space in spaces:
        plain = _plain(space)
        key = (space.inner_m, space.divider_m, space.vent_m2, space.known)
        entry = found.setdefault(key, {**plain, "names": [], "full": []})
        entry["names"].append(space.name)
        if space.holds:
            entry["full"].append(
                {"name": space.name, "holds": list(space.holds), "cords": space.cords}
            )
    return list(found.values())


def _state(data: Json) -> Json:
    """How the plan stands: how many stops, and the wishes that are not met, by place."""
    levels = [caution["level"] for caution in data["cautions"]]
    missed = [k for k, aim in enumerate(data["aims"]) if aim["state"] != "met"]
    worst: dict[str, int] = {}
    for k in missed:
        wish, kept = data["aims"][k]["id"], worst.get(data["aims"][k]["id"])
        if kept is None or _gap(data["aims"][k]) > _gap(data["aims"][kept]):
            worst[wish] = k
    return {
        "stops": levels.count("stop"),
        "asks": levels.count("ask"),
        "notes": levels.count("note"),
        "missed": missed,
        "worst": list(worst.values()),
        "wishes": len(data["aims"]),
    }


def _gap(aim: Json) -> float:
    """How many times a wish is missed by."""
    least, most, value = aim["at_least"], aim["at_most"], max(aim["value"], 1e-9)
    return max(
        0.0 if least is None else least / value, 0.0 if not most else value / max(most, 1e-9)
    )


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


def _wall(plan: Scenario, wall: Wall, runs: Sequence[CordRun], held: Sequence[Fixing]) -> Json:
    on = {fixing.id: fixing for fixing in held}
    marks = marks_on(plan, wall)
    in_wall = [thing for thing in fixed_on(plan, wall) if on[thing.id].on == "wall"]
    bands = bands_on(plan, wall)
    is_bed_wall = wall.number == bed_wall(plan.room)
    places = {mark.id: mark.along_m for mark in marks if mark.kind == "light"}
    boards = [
        {**_plain(mark), "kind": "board", "along_m": round(wall.place(_mount(plan, mark.id))[0], 6)}
        for mark in (board_marks(plan) if is_bed_wall else ())
    ]
    places |= {mark["id"]: mark["along_m"] for mark in boards}
    prefix = "" if is_bed_wall else str(wall.number)
    outlets = [
        {**_plain(outlet), "letter": f"{prefix}O{number}"}
        for number, outlet in enumerate(outlets_on(plan, wall), start=1)
    ]
    hung = {item.id for item in hung_on(plan, wall)}
    outlines = [
        {
            **_plain(thing),
            "from_bed_line_m": _middle_of(thing, wall),
            "wide_m": round(thing.right_m - thing.left_m, 6),
            "left_from_left_m": thing.left_m,
            "left_from_line_m": None
            if wall.bed_line_m is None
            else round(thing.left_m - wall.bed_line_m, 6),
        }
        for thing in fixed_on(plan, wall)
        if thing.kind == "hung"
    ]
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
        "carries": bool(marks or boards),
        "marks": [
            {**_plain(mark), "on": on[mark.id].on, "carrier": on[mark.id].carrier} for mark in marks
        ],
        "hung": outlines,
        "board": boards,
        "outlets": outlets,
        "bands": _plain(bands),
        "clashes": _clashes(in_wall, bands, wall),
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
            if all(_near(wall, point) for point in run.corners_m)
        ],
    }


def _middle_of(thing: Fixed, wall: Wall) -> float | None:
    if wall.bed_line_m is None:
        return None
    return round((thing.left_m + thing.right_m) / 2 - wall.bed_line_m, 6)


def _clashes(things: Sequence[Fixed], bands: Sequence[Band], wall: Wall) -> list[Json]:
    """What reaches into bands, each thing once with all the bands that it meets."""
    found: dict[str, Json] = {}
    for clash in clashes(things, bands, wall):
        plain = _plain(clash)
        entry = found.setdefault(clash.mark, {**plain, "bands": [], "shift_m": None, "way": None})
        band = {key: plain[key] for key in ("band", "words", "above_outlet", "source", "how")}
        if band not in entry["bands"]:
            entry["bands"].append(band)
        if clash.shift_m is not None and (entry["shift_m"] or 0.0) < clash.shift_m:
            entry["shift_m"], entry["way"] = clash.shift_m, clash.way
    ways = {(c.mark, c.way) for c in clashes(things, bands, wall) if c.way is not None}
    for mark, entry in found.items():
        if len({way for m, way in ways if m == mark}) > 1:
            entry["shift_m"] = entry["way"] = None  # no one way leads out of all
    return list(found.values())


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
    """True-size outlines of every mount, twins once, each with the facts that place it."""
    wall_marks = {m["id"]: m for wall in walls for m in wall["marks"] if m["kind"] == "light"}
    ceiling_by, board_by = ({m["id"]: m for m in marks} for marks in (ceiling, board))
    found: dict[object, Json] = {}
    for light in plan.lights:
        if light.mount in ("stand", "ceiling"):
            continue  # nothing to mark, or the electrician's
        shape = outline_of(plan, light)
        mark = wall_marks.get(light.id) or ceiling_by.get(light.id) or board_by.get(light.id)
        if mark is None:
            continue
        key = tuple(v for k, v in _plain(shape).items() if k not in ("id", "name"))
        entry = found.setdefault(
            key, {"outline": _plain(shape), "tiles": _plain(_few(tiles(shape))), "marks": []}
        )
        name = light.name or light.id
        entry["marks"].append(
            {"letter": mark["letter"], "name": name, "facts": _facts(light, mark)}
        )
    for entry in found.values():
        entry["count"] = len(entry["marks"])
        entry["outline"]["name"] = ", ".join(mark["name"] for mark in entry["marks"])
        facts = [fact for mark in entry["marks"] for fact in mark["facts"]]
        for fact in facts:
            alike = [
                f for f in facts if (f["words"], f["value_m"]) == (fact["words"], fact["value_m"])
            ]
            fact["shared"] = len(alike) == entry["count"]
    return list(found.values())


def _few(found: Sequence[Tile]) -> list[Tile]:
    """The tiles of a template, of a very large one only that with its cross."""
    if len(found) <= _MOST_TILES:
        return list(found)
    return [tile for tile in found if _holds_cross(tile)]


def _holds_cross(tile: Tile) -> bool:
    right = tile.left_m + TILE_WIDE_MM / 1000
    return tile.left_m < 0.0 < right and tile.top_m - tile.high_m < 0.0 < tile.top_m


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
            if row["light"] == source.id and row["glares"]
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
