"""What can be added: lights, strips, things with a plug, furniture; each where it makes sense.

Sizes, fluxes and watts here are usual ones, taken as a start and shown in the thing's form, where
they can be changed: common practice, no source. Appliances take theirs from the appliance table.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from lumen.errors import LumenError
from lumen.light.lm63 import read_lm63
from lumen.scenario.document import Scenario
from lumen.scenario.outline import bed_wall_of, distance_to_wall, wall_normal
from lumen.scenario.pose import fixed_to, pose_of, reach_back_m
from lumen.scenario.room import Furniture, Opening
from lumen.study.cautions.bodies import stands_free
from lumen.study.scene.surfaces import ceiling_height_m
from lumen.tables import table

__all__ = ["BOARD_STRIP", "GROUPS", "Choice", "choices", "free_name", "placed"]

Json = dict[str, Any]


@dataclass(frozen=True)
class Choice:
    """Something to add: its key, what people call it, a line about it, its drawing."""

    key: str
    label: str
    note: str
    sketch: str


_SHADE = {"form": "shade", "bottom_diameter_m": 0.15, "height_m": 0.18, "material": "fabric, light"}

_LIGHTS: dict[str, tuple[Choice, Json]] = {
    "wall shade": (
        Choice("wall shade", "Wall light, fabric shade", "470 lm, 5.5 W", "wall-light"),
        {
            "distribution": _SHADE,
            "lamp": {"flux_lm": 470, "power_w": 5.5, "diameter_m": 0.045},
        },
    ),
    "wall spot": (
        Choice("wall spot", "Reading spot on the wall", "250 lm, 3.5 W, tight beam", "spot"),
        {
            "distribution": {"form": "beam", "beam_deg": 35},
            "lamp": {"flux_lm": 250, "power_w": 3.5, "diameter_m": 0.035},
            "projection_m": 0.15,
        },
    ),
    "table lamp": (
        Choice("table lamp", "Table lamp", "470 lm, 5.5 W, cone shade", "table-lamp"),
        {
            "mount": "stand",
            "projection_m": 0.3,
            "distribution": {
                "form": "shade",
                "shape": "cone",
                "bottom_diameter_m": 0.25,
                "top_diameter_m": 0.15,
                "height_m": 0.2,
                "material": "fabric, light",
            },
            "lamp": {"flux_lm": 470, "power_w": 5.5},
        },
    ),
    "ceiling light": (
        Choice("ceiling light", "Ceiling light, opal", "1500 lm, 14 W", "ceiling-light"),
        {
            "mount": "ceiling",
            "projection_m": 0.08,
            "distribution": {"form": "opal"},
            "lamp": {"flux_lm": 1500, "power_w": 14, "diameter_m": 0.3},
        },
    ),
    "ceiling panel": (
        Choice("ceiling panel", "Ceiling panel, 60 x 60 cm", "2400 lm, 24 W", "ceiling-light"),
        {
            "mount": "ceiling",
            "projection_m": 0.03,
            "distribution": {"form": "panel", "width_m": 0.6, "length_m": 0.6},
            "lamp": {"flux_lm": 2400, "power_w": 24},
        },
    ),
    "bare bulb": (
        Choice("bare bulb", "Bare bulb on the wall", "470 lm, 5.5 W, all round", "bulb"),
        {"lamp": {"flux_lm": 470, "power_w": 5.5}},
    ),
}

_STRIPS: dict[str, tuple[Choice, Json]] = {
    "glow strip": (
        Choice(
            "glow strip", "Glow strip behind the headboard", "900 lm and 9.6 W a metre", "strip"
        ),
        {"flux_lm_per_m": 900, "power_w_per_m": 9.6, "volts": 24},
    ),
    "gentle strip": (
        Choice(
            "gentle strip", "Gentle strip behind the headboard", "430 lm and 4.8 W a metre", "strip"
        ),
        {"flux_lm_per_m": 430, "power_w_per_m": 4.8, "volts": 24, "leds_per_m": 60},
    ),
    "under bed strip": (
        Choice(
            "under bed strip",
            "Strip under the bed, for the night",
            "430 lm and 4.8 W a metre",
            "strip",
        ),
        {"flux_lm_per_m": 430, "power_w_per_m": 4.8, "volts": 12, "leds_per_m": 60},
    ),
}

_SUPPLY: dict[str, tuple[Choice, Json]] = {
    "power strip": (
        Choice("power strip", "Power strip", "6 holes", "power-strip"),
        {"kind": "power strip", "holes": 6},
    ),
    "receiver": (
        Choice("receiver", "Remote plug", "a switched receiver", "receiver"),
        {"kind": "receiver"},
    ),
    "extension": (
        Choice("extension", "Extension cord", "one hole", "cord"),
        {"kind": "extension"},
    ),
    "adapter": (
        Choice("adapter", "Double adapter", "two holes", "receiver"),
        {"kind": "adapter"},
    ),
    "driver": (
        Choice("driver", "Power supply for a strip", "24 V, 60 W", "driver"),
        {"kind": "driver", "rating_w": 60, "output_v": 24},
    ),
    "outlet": (
        Choice("outlet", "Wall outlet", "two holes, 40 cm up", "outlet"),
        {"kind": "outlet"},
    ),
}

_FURNITURE: dict[str, tuple[Choice, Json]] = {
    "headboard": (
        Choice(
            "headboard", "Headboard, leaning", "5 degrees back, as wide as the bed", "headboard"
        ),
        {"kind": "headboard", "size_m": [1.65, 0.06, 1.1], "lean_deg": 5},
    ),
    "nightstand": (
        Choice("nightstand", "Wall-hung nightstand", "45 x 35 x 18 cm", "nightstand"),
        {
            "kind": "nightstand",
            "size_m": [0.45, 0.35, 0.18],
            "compartment": {"inner_size_m": [0.41, 0.1, 0.14]},
        },
    ),
    "wardrobe": (
        Choice("wardrobe", "Wardrobe", "120 x 60 x 200 cm", "wardrobe"),
        {"kind": "wardrobe", "size_m": [1.2, 0.6, 2.0]},
    ),
    "chest": (
        Choice("chest", "Chest of drawers", "90 x 45 x 80 cm", "chest"),
        {"kind": "chest", "size_m": [0.9, 0.45, 0.8]},
    ),
    "chair": (
        Choice("chair", "Chair", "50 x 50 x 80 cm", "chair"),
        {"kind": "chair", "size_m": [0.5, 0.5, 0.8]},
    ),
    "cot": (
        Choice("cot", "Cot", "70 x 130 x 90 cm", "cot"),
        {"kind": "cot", "size_m": [0.7, 1.3, 0.9]},
    ),
    "curtain": (
        Choice("curtain", "Curtain", "100 cm wide, down to the floor", "curtain"),
        {"kind": "curtain", "size_m": [1.0, 0.1, 2.1]},
    ),
}

_FIRST_APPLIANCES = (
    "phone-charger",
    "portable-fan",
    "heater",
    "hair-dryer",
    "humidifier",
    "television",
    "laptop",
    "electric-blanket-double",
)


def _appliances() -> tuple[Choice, ...]:
    rows = {row["key"]: row for row in table("appliances")}
    order = [
        *(k for k in _FIRST_APPLIANCES if k in rows),
        *(k for k in rows if k not in _FIRST_APPLIANCES),
    ]
    return tuple(
        Choice(
            f"appliance:{key}",
            rows[key]["name"][:1].upper() + rows[key]["name"][1:],
            f"{rows[key]['low_w']}-{rows[key]['high_w']} W, usually {rows[key]['typical_w']}",
            "plug",
        )
        for key in order
    )


GROUPS: tuple[tuple[str, str], ...] = (
    ("lights", "Lights"),
    ("strips", "LED strips"),
    ("plugs", "Things with a plug"),
    ("supply", "To plug into"),
    ("furniture", "Furniture"),
)


def choices(group: str) -> tuple[Choice, ...]:
    """Return what a group of the drawer holds."""
    if group == "plugs":
        return _appliances()
    held = {"lights": _LIGHTS, "strips": _STRIPS, "supply": _SUPPLY, "furniture": _FURNITURE}
    return tuple(choice for choice, _ in held[group].values())


def free_name(scenario: Scenario, wished: str) -> str:
    """Return an id that nothing in the plan has yet: the wished one, or with a number."""
    things = ("lights", "strips", "furniture", "people", "supply")
    taken = {item.id for section in things for item in getattr(scenario, section)}
    if wished not in taken:
        return wished
    return next(n for i in range(2, 1000) if (n := f"{wished} {i}") not in taken)


def placed(scenario: Scenario, args: Mapping[str, Any]) -> Json:
    """Return the command that adds one thing of the catalogue where it makes sense.

    ``args``: ``what`` (a choice's key, or ``setup`` for an empty one), ``into`` (what it is
    plugged into), ``setup`` (where it is switched on at once, so that it can be seen), ``lm63``
    and ``file_name`` for one from a file; ``drop`` (``axes`` and ``at`` [m] on a drawing) when it
    was let go over one.

    Raises
    ------
    LumenError
        When there is no such choice or the photometric file cannot be read.
    """
    commands = _commands(scenario, str(args.get("what", "")), args)
    if isinstance(args.get("drop"), Mapping):
        _let_go(scenario, commands, args["drop"])
    return {"name": "several", "args": {"commands": list(commands)}}


def _commands(scenario: Scenario, what: str, args: Mapping[str, Any]) -> tuple[Json, ...]:
    if what in _LIGHTS or what == "light from file":
        return _light(scenario, what, args)
    if what in _STRIPS:
        return _strip(scenario, what, args)
    if what == BOARD_STRIP:
        return _along_board(scenario, args)
    if what.startswith("appliance:"):
        return _appliance(scenario, what.partition(":")[2], args)
    if what in _SUPPLY:
        return _supply(scenario, what, args)
    if what == "setup":
        taken = {setup.id for setup in scenario.setups}
        names = (f"setup {n}" for n in range(len(taken) + 1, 10_000))
        return (_add("setups", {"id": next(name for name in names if name not in taken)}),)
    if what in _FURNITURE:
        return _furniture(scenario, what)
    raise LumenError("what", "must be something of the catalogue", what)


def _let_go(scenario: Scenario, commands: tuple[Json, ...], drop: Mapping[str, Any]) -> None:
    """Put what is added where it was let go; a strip keeps to the furniture it hides behind.

    On the wall a thing takes x and height, from above x and depth, each only as far as its kind
    may choose: what hangs on the bed wall stays on it, what stands on the floor stays there.
    """
    try:
        (_, second), (x, other) = drop["axes"], map(float, drop["at"])
    except (KeyError, TypeError, ValueError) as error:
        raise LumenError("drop", "must have axes and at, two numbers each", drop) from error
    high = second == 2
    for command in commands:
        item = command["args"].get("item", {})
        section = command["args"].get("section")
        if section == "lights":
            hangs = item.get("mount", "wall") in ("wall", "headboard")
            item["mount_m"][0] = x
            if high == hangs:
                item["mount_m"][2 if high else 1] = other
        elif section == "furniture":
            item["at_m"][0] = x
            if not high:
                item["at_m"][1] = other
            elif item["at_m"][2] > 0.02:
                item["at_m"][2] = max(0.0, round(other - item["size_m"][2] / 2, 4))
        elif section == "supply" and item.get("kind") != "circuit" and "output_v" not in item:
            wall_y = max(y for _, y in scenario.room.outline_m)
            outlet = item.get("kind") == "outlet"
            back = wall_y if outlet else wall_y - 0.05
            item["at_m"] = [x, back, other] if high else [x, wall_y if outlet else other, 0.3]


def _add(section: str, item: Json) -> Json:
    return {"name": "add", "args": {"section": section, "item": item}}


def _switched_on(scenario: Scenario, name: str, args: Mapping[str, Any]) -> list[Json]:
    setup = args.get("setup")
    if any(s.id == setup for s in scenario.setups):
        return [{"name": "level", "args": {"setup": setup, "of": name, "value": 1}}]
    return []


def _feed(scenario: Scenario, args: Mapping[str, Any], kinds: tuple[str, ...]) -> str | None:
    nodes = {node.id: node.kind for node in scenario.supply}
    wished = args.get("into")
    if isinstance(wished, str) and nodes.get(wished, "appliance") != "appliance":
        return wished
    for kind in kinds:
        for name, this in nodes.items():
            if this == kind:
                return name
    return None


def _bed(scenario: Scenario) -> tuple[float, float, float, float]:
    """Centre, half width [m] and top of the bed, and the bed wall's y."""
    xs, ys = zip(*scenario.room.outline_m, strict=True)
    mattress = next((f for f in scenario.furniture if f.kind == "mattress"), None)
    if mattress is None:
        return (min(xs) + max(xs)) / 2, 0.75, 0.6, max(ys)
    return mattress.at_m[0], mattress.size_m[0] / 2, mattress.at_m[2] + mattress.size_m[2], max(ys)


def _light(scenario: Scenario, what: str, args: Mapping[str, Any]) -> tuple[Json, ...]:
    centre, half, _, wall_y = _bed(scenario)
    if what == "light from file":
        text, file_name = str(args.get("lm63", "")), str(args.get("file_name", "file"))
        file = read_lm63(text)
        flux = file.lamp_flux_lm or file.distribution.flux_lm
        base: Json = {
            "distribution": {"form": "file", "lm63": text, "file_name": file_name},
            "lamp": {"flux_lm": round(flux, 1), "power_w": file.power_w or round(flux / 90, 1)},
        }
        label = "light"
    else:
        choice, base = _LIGHTS[what]
        own = ("table lamp", "ceiling light", "ceiling panel")
        label = choice.key if choice.key in own else "spot" if "spot" in choice.key else "light"
    item: Json = {**base}
    mount = item.get("mount", "wall")
    on_left = [one for one in scenario.lights if one.mount != "ceiling" and one.mount_m[0] < centre]
    on_right = [
        one for one in scenario.lights if one.mount != "ceiling" and one.mount_m[0] > centre
    ]
    side, sign = ("left", -1) if len(on_left) <= len(on_right) else ("right", 1)
    if mount == "ceiling":
        ys = [y for _, y in scenario.room.outline_m]
        item["mount_m"] = [centre, round((min(ys) + max(ys)) / 2, 3), scenario.room.height_m]
        name = free_name(scenario, label)
    elif mount == "stand":
        stands = [
            f for f in scenario.furniture if f.kind in ("nightstand", "chest", "desk", "shelf")
        ]
        used = {(round(one.mount_m[0], 1), round(one.mount_m[1], 1)) for one in scenario.lights}
        free = [
            f for f in stands if (round(f.at_m[0], 1), round(f.at_m[1], 1)) not in used
        ] or stands
        if not free:
            raise LumenError("table lamp", "needs a nightstand or chest to stand on", None)
        best = free[0]
        side = "left" if best.at_m[0] < centre else "right"
        item["mount_m"] = [best.at_m[0], best.at_m[1], round(best.at_m[2] + best.size_m[2], 4)]
        name = free_name(scenario, f"{side} {label}")
    else:
        out = half + 0.15 + 0.12 * len(on_left if sign < 0 else on_right)
        x = round(_in_room(scenario, centre + sign * out), 3)
        under = ceiling_height_m(scenario.room, x, wall_y - 0.2) - 0.25  # a slope may come low
        item["mount_m"] = [x, wall_y, round(min(1.35, under), 3)]
        name = free_name(scenario, f"{side} {label}")
    if what == "wall spot":
        reader = next((p for p in scenario.people if p.reads and p.side == side), None)
        reader = reader or next((p for p in scenario.people if p.reads), None)
        item["aim"] = {"at": f"page:{reader.id}"} if reader else {"tilt_deg": 45}
    item = {"id": name, **item}
    if feed := _feed(scenario, args, ("power strip", "receiver", "outlet")):
        item["fed_from"] = feed
    return _add("lights", item), *_switched_on(scenario, name, args)


def _in_room(scenario: Scenario, x: float) -> float:
    xs = [corner[0] for corner in scenario.room.outline_m]
    return min(max(x, min(xs) + 0.1), max(xs) - 0.1)


def _free_place(scenario: Scenario, what: str, item: Json) -> list[float] | None:
    """The first place along the walls where a piece stands in nothing and before no door."""
    xs, ys = zip(*scenario.room.outline_m, strict=True)
    (wide, deep, high), gap = item["size_m"], 0.01
    high = min(high, scenario.room.height_m - 0.02)
    across = _steps(min(xs) + wide / 2 + gap, max(xs) - wide / 2 - gap)
    along = _steps(min(ys) + deep / 2 + gap, max(ys) - deep / 2 - gap)
    doors = [_before(scenario, opening) for opening in scenario.room.openings]
    for x, y in [*((x, along[0]) for x in across), *((x, y) for y in along for x in across[::-1])]:
        at = (round(x, 3), round(y, 3), 0.0)
        size = (wide, deep, high)
        piece = Furniture(id=what, kind=item["kind"], at_m=at, size_m=size)
        near = any(abs(x - u) < wide / 2 + r and abs(y - v) < deep / 2 + r for u, v, r in doors)
        if not near and stands_free(scenario, piece):
            return list(at)
    return None


def _steps(low: float, high: float) -> list[float]:
    count = max(1, int((high - low) / 0.1) + 1)
    return [low + (high - low) * n / max(1, count - 1) for n in range(count)]


def _before(scenario: Scenario, opening: Opening) -> tuple[float, float, float]:
    """Middle of the floor before a door, and half the width to keep free [m]; 0 for others."""
    outline = scenario.room.outline_m
    (x0, y0), (x1, y1) = outline[opening.wall], outline[(opening.wall + 1) % len(outline)]
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    along = (opening.from_m + opening.to_m) / 2 / length
    half = (opening.to_m - opening.from_m) / 2 if opening.kind == "door" else 0.0
    nx, ny = wall_normal(outline, opening.wall)
    return x0 + along * (x1 - x0) + half * nx, y0 + along * (y1 - y0) + half * ny, half


BOARD_STRIP = "strip along a board"
"""A strip along the top and sides of the headboard that ``board`` names; not in the drawer."""

_INSET_M = 0.05  # of the strip from the board's edges, so that it is not seen from the side
_STRIP_GAP_M = 0.008  # a strip and a little light behind a board: our own
_ON_M = 0.002  # tape lies on what it is stuck to
_DRIVERS_W = (15, 30, 60, 100, 150, 240)


def _strip(scenario: Scenario, what: str, args: Mapping[str, Any]) -> tuple[Json, ...]:
    if what == "under bed strip":
        return _laid(scenario, what, _under_bed(scenario), "down", args)
    return _laid(scenario, what, *_behind_headboard(scenario), args)


def _along_board(scenario: Scenario, args: Mapping[str, Any]) -> tuple[Json, ...]:
    """A strip on the back of one headboard, however it leans: the one it has, or a new one."""
    board = next((one for one in scenario.furniture if one.id == args.get("board")), None)
    if board is None or board.kind != "headboard":
        raise LumenError("board", "must be a headboard of the plan", args.get("board"))
    pose = pose_of(board)
    x, y, z = pose.half[0] - _INSET_M, pose.half[1] + _ON_M, pose.half[2] - _INSET_M
    if x <= 0.0 or z <= 0.0:
        raise LumenError(board.id, "is too small for a strip 50 mm in from its edges", None)
    corners = ((-x, -z), (-x, z), (x, z), (x, -z))
    path = [[round(c, 4) for c in pose.world((u, y, v))] for u, v in corners]
    room = scenario.room
    wall = bed_wall_of(room.outline_m) if room.bed_wall is None else room.bed_wall
    back = [pose.world((u, pose.half[1], v)) for u, v in corners]
    free = min(distance_to_wall(room.outline_m, wall, point) for point in back)
    if free < _STRIP_GAP_M:
        rule = f"leaves {1000 * free:.0f} mm behind it and a strip needs 8 mm: move it "
        raise LumenError(board.id, f"{rule}off the wall first", None)
    held = fixed_to(scenario)
    now = next((one for one in scenario.strips if held.get(one.id) == board.id), None)
    if now is None:
        return _laid(scenario, "glow strip", path, "bed wall", args)
    changes = (("path_m", path), ("facing", "bed wall"))
    return tuple(
        {"name": "set", "id": now.id, "args": {"section": "strips", "field": key, "value": value}}
        for key, value in changes
    )


def _laid(
    scenario: Scenario, what: str, path: list[list[float]], facing: str, args: Mapping[str, Any]
) -> tuple[Json, ...]:
    """A strip along a path, with a power supply of its own that is large enough for it."""
    choice, base = _STRIPS[what]
    metres = sum(
        sum((a - b) ** 2 for a, b in zip(p, q, strict=True)) ** 0.5 for p, q in pairwise(path)
    )
    name = free_name(scenario, choice.key)
    driver = free_name(scenario, f"{name} supply")
    wished_w = metres * base["power_w_per_m"] * 1.25
    rating = next((w for w in _DRIVERS_W if w >= wished_w), _DRIVERS_W[-1])
    item = {"id": name, "path_m": path, "facing": facing, **base}
    commands = []
    if feed := _feed(scenario, args, ("power strip", "receiver", "outlet")):
        node = {"id": driver, "kind": "driver", "fed_from": feed, "output_v": base["volts"]}
        commands.append(_add("supply", {**node, "rating_w": rating}))
        item["fed_from"] = driver
    return *commands, _add("strips", item), *_switched_on(scenario, name, args)


def _behind_headboard(scenario: Scenario) -> tuple[list[list[float]], str]:
    """Path and facing of a strip on the back of the headboard, or on its top against a wall."""
    wall_y = max(y for _, y in scenario.room.outline_m)
    board = next((f for f in scenario.furniture if f.kind == "headboard"), None)
    if board is None:
        raise LumenError("glow strip", "needs a headboard to hide behind: add one first", None)
    left, right = (board.at_m[0] + s * (board.size_m[0] / 2 - 0.05) for s in (-1, 1))
    back = board.at_m[1] + reach_back_m(board)
    if wall_y - back < _STRIP_GAP_M:  # no room for light behind it
        edge = board.at_m[2] + board.size_m[2] + _ON_M
        ends = [[x, board.at_m[1], edge] for x in (left, right)]
        return [[round(c, 4) for c in end] for end in ends], "up"
    y = back + _ON_M
    top = board.at_m[2] + board.size_m[2] - 0.05
    low = max(board.at_m[2] + 0.05, top - 0.45)
    corners = [[left, y, low], [left, y, top], [right, y, top], [right, y, low]]
    return [[round(c, 4) for c in corner] for corner in corners], "bed wall"


def _under_bed(scenario: Scenario) -> list[list[float]]:
    bed = next((f for f in scenario.furniture if f.kind in ("bed frame", "mattress")), None)
    if bed is None:
        raise LumenError("strip", "needs a bed to lie under: add one first", None)
    left, right = (bed.at_m[0] + s * (bed.size_m[0] / 2 + 0.01) for s in (-1, 1))
    near, far = (bed.at_m[1] + s * bed.size_m[1] / 2 for s in (-0.95, 0.6))
    z = max(0.12, bed.at_m[2] + 0.05)
    front = bed.at_m[1] - bed.size_m[1] / 2 - 0.01
    corners = [[left, far, z], [left, front, z], [right, front, z], [right, far, z]]
    assert near > front
    return [[round(c, 4) for c in corner] for corner in corners]


def _appliance(scenario: Scenario, key: str, args: Mapping[str, Any]) -> tuple[Json, ...]:
    row = next((r for r in table("appliances") if r["key"] == key), None)
    if row is None:
        raise LumenError("what", "must be in the appliance table", key)
    feed = _feed(scenario, args, ("power strip", "outlet"))
    if feed is None:
        raise LumenError(row["name"], "needs an outlet or power strip: add one first", None)
    name = free_name(scenario, row["name"].partition(",")[0])
    item: Json = {"id": name, "kind": "appliance", "like": key, "fed_from": feed}
    item["power_w"] = float(row["typical_w"])
    item["label_read"] = False
    running = next((s.running for s in scenario.setups if s.id == args.get("setup")), None)
    if running is None:
        return (_add("supply", item),)
    turned_on = {"section": "setups", "field": "running", "value": [*running, name]}
    return _add("supply", item), {"name": "set", "id": args.get("setup"), "args": turned_on}


def _supply(scenario: Scenario, what: str, args: Mapping[str, Any]) -> tuple[Json, ...]:
    _, base = _SUPPLY[what]
    item = {"id": free_name(scenario, "remote plug" if what == "receiver" else what), **base}
    commands = []
    if what == "outlet":
        circuit = next((n.id for n in scenario.supply if n.kind == "circuit"), None)
        if circuit is None:
            circuit = free_name(scenario, "bedroom circuit")
            commands.append(_add("supply", {"id": circuit, "kind": "circuit"}))
        centre, half, _, wall_y = _bed(scenario)
        item["fed_from"] = circuit
        item["at_m"] = [round(_in_room(scenario, centre + half + 0.55), 3), wall_y, 0.4]
        return *commands, _add("supply", item)
    feed = _feed(
        scenario, args, ("outlet",) if what == "power strip" else ("power strip", "outlet")
    )
    if feed is None:
        raise LumenError(what, "needs a wall outlet: add one first", None)
    item["fed_from"] = feed
    return (_add("supply", item),)


def _furniture(scenario: Scenario, what: str) -> tuple[Json, ...]:
    _, base = _FURNITURE[what]
    centre, half, _, wall_y = _bed(scenario)
    xs, ys = zip(*scenario.room.outline_m, strict=True)
    item = {**base, "size_m": list(base["size_m"])}
    wide, deep, high = item["size_m"]
    if what == "headboard":
        wide = item["size_m"][0] = round(2 * half + 0.12, 3)
        at = [centre, wall_y - deep / 2 - 0.025, 0.0]
        if item["lean_deg"]:
            at[1] = wall_y - deep / 2 - 0.025 - high * 0.0872  # tan 5 degrees: the top comes back
        name = "headboard"
    elif what == "nightstand":
        taken = [f.at_m[0] for f in scenario.furniture if f.kind == "nightstand"]
        side = -1 if not any(x < centre for x in taken) else 1
        at = [_in_room(scenario, centre + side * (half + 0.06 + wide / 2)), wall_y - deep / 2, 0.44]
        name = f"{'left' if side < 0 else 'right'} nightstand"
    else:
        at = _free_place(scenario, what, item) or [min(xs) + wide / 2, min(ys) + deep / 2, 0.0]
        name = what
    item["size_m"][2] = min(high, scenario.room.height_m - 0.02)
    item["at_m"] = [round(c, 4) for c in at]
    return (_add("furniture", {"id": free_name(scenario, name), **item}),)
