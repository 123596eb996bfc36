"""Where a light may hang: its own surface on a grid, and why not elsewhere, named."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.geometry import Box, points_in_polygon
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Shade
from lumen.sheet.bands import Band, bands_on, workmanship
from lumen.sheet.walls import Wall, wall_of
from lumen.study.load.cord_runs import cord_runs
from lumen.study.scene.body import HEAD_BEHIND_EYE_M, HEAD_RADIUS_M
from lumen.study.scene.emitters import light_centre
from lumen.study.scene.surfaces import bed_wall, ceiling_height_m, furniture_box
from lumen.study.scene.targets import bed_axes, bed_of, mattress_of, sitting_eye

__all__ = ["Mount", "Spot", "Surface", "body_of_light", "cord_too_short", "reasons", "surface_of"]

Array = NDArray[np.floating[Any]]
Mount = tuple[float, float, float]
Spot = tuple[float, float]

_FLUSH_M = 0.02  # a mount this near the wall is on it; else it hangs on something else
_REACH_M = 1.0
"""From a sitting eye to a light one aims or switches by hand: functional reach 0.677 to 0.886 m
from the shoulder blade (MIL-STD-1472G, as NUREG-0700 gives it), and some leaning; our own."""
_SIDE_M = 0.85
_BODY_M = 0.05  # half of a small light's body, where no shade tells
_HEAD_CLEAR_M = 0.15  # between a head that sits up and a light: our own
_UNDER_CEILING_M = 0.10


@dataclass(frozen=True, eq=False)
class Surface:
    """What a light hangs on: ``mounts`` (u, v) -> place, as ``origin + u right + v up`` [m].

    ``u`` and ``v`` are its own place today; ``low`` and ``high`` bound both.
    """

    kind: str
    origin: Array
    right: Array
    up: Array
    here: tuple[float, float]
    low: tuple[float, float]
    high: tuple[float, float]
    wall: Wall | None
    bands: tuple[Band, ...] = ()
    boxes: tuple[Box, ...] = ()

    def mount(self, u: float, v: float) -> Mount:
        """Return the place of a mark, to the millimetre."""
        x, y, z = np.round(self.origin + u * self.right + v * self.up, 3)
        return (float(x), float(y), float(z))

    def grid(self, step_m: float) -> list[tuple[float, float]]:
        """Return even places within the bounds, counted from today's."""
        axes = []
        for here, low, high in zip(self.here, self.low, self.high, strict=True):
            first = int(np.ceil((low - here) / step_m - 1e-9))
            last = int(np.floor((high - here) / step_m + 1e-9))
            axes.append([here + i * step_m for i in range(min(first, 0), max(last, 0) + 1)])
        return [(u, v) for v in axes[1] for u in axes[0]]


def surface_of(scenario: Scenario, light: Light, reader: str | None) -> Surface | None:
    """Return the surface a light may be moved on, or None for one that stays where it is.

    A wall light moves over its wall within reach of its reader, or about where it hangs; one that
    hangs off its wall, on a post, moves up and down; one on a headboard along and up to its edge.
    """
    found = _surface(scenario, light, reader)
    if found is None:
        return None
    boxes = tuple(furniture_box(item) for item in scenario.furniture)
    return replace(found, boxes=boxes)


def _surface(scenario: Scenario, light: Light, reader: str | None) -> Surface | None:
    x, y, z = light.mount_m
    eye = _eye(scenario, reader)
    if light.mount == "ceiling":
        return Surface(
            "ceiling", np.array([0.0, 0.0, z]), np.array([1.0, 0, 0]), np.array([0, 1.0, 0]),
            (x, y), (x - _SIDE_M, y - _SIDE_M), (x + _SIDE_M, y + _SIDE_M), None,
        )  # fmt: skip
    if light.mount == "stand":
        return None
    number = bed_wall(scenario.room) if light.wall is None else light.wall
    wall = wall_of(scenario, number)
    along, _, off = wall.place(light.mount_m)
    right = np.array([*wall.right_way, 0.0])
    up = np.array([0.0, 0.0, 1.0])
    origin = np.array([x, y, 0.0]) - along * right
    low_z, high_z = _heights(scenario, eye)
    if light.mount == "headboard":
        board = _board(scenario, light)
        if board is None:
            return None
        ends = sorted(
            wall.place((board.at_m[0] + s * board.size_m[0] / 2, y, 0))[0] for s in (-1, 1)
        )
        top = board.at_m[2] + board.size_m[2]
        low_z, high_z = min(low_z, z), max(z, top + 0.05)
        return Surface(
            "headboard", origin, right, up, (along, z), (ends[0], low_z), (ends[1], high_z), None
        )
    if off > _FLUSH_M:  # on a post before the wall
        return Surface("post", origin, right, up, (along, z), (along, low_z), (along, high_z), None)
    middle = along if eye is None else wall.place(eye.tolist())[0]
    side = max(_SIDE_M, abs(along - middle) + 0.1)
    low_u, high_u = max(0.08, middle - side), min(wall.length_m - 0.08, middle + side)
    low, high = (low_u, min(low_z, z)), (high_u, max(high_z, z))
    bands = bands_on(scenario, wall)
    return Surface("wall", origin, right, up, (along, z), low, high, wall, bands)


def _heights(scenario: Scenario, eye: Array | None) -> tuple[float, float]:
    mattress = mattress_of(scenario)
    top = 0.5 if mattress is None else mattress.at_m[2] + mattress.size_m[2]
    if eye is not None:
        top = max(top, eye[2] - 0.75)
    high = min(scenario.room.height_m - 0.15, (top if eye is None else eye[2]) + 1.0)
    return top + 0.10, max(high, top + 0.3)


def _board(scenario: Scenario, light: Light) -> Any:
    boards = [item for item in scenario.furniture if item.kind == "headboard"]
    place = np.array(light.mount_m)
    return min(
        boards,
        key=lambda item: float(np.linalg.norm(furniture_box(item).centre - place)),
        default=None,
    )


def _eye(scenario: Scenario, person: str | None) -> Array | None:
    who = next((p for p in scenario.people if p.id == person), None)
    bed = None if who is None else bed_of(scenario, who)
    return None if who is None or bed is None else sitting_eye(bed, who)


def reasons(
    scenario: Scenario,
    light: Light,
    mount: Mount,
    surface: Surface,
    *,
    reader: str | None = None,
    no_drill: bool = False,
) -> list[str]:
    """Return what stands against a light at a place, in words; nothing where it may hang."""
    found: list[str] = []
    moved = light.model_copy(update={"mount_m": mount})
    centre = light_centre(scenario, moved)
    size = body_of_light(light)
    if not _inside(scenario, centre, size):
        found.append("the wall or ceiling ends there")
    found += [
        f"the {item.name or item.id} is in the way"
        for item, box in zip(scenario.furniture, surface.boxes, strict=True)
        if item.kind != "curtain" and _touches(box, centre, size, mount, surface)
    ]
    for person in scenario.people:
        bed = bed_of(scenario, person)
        if bed is None:
            continue
        _, headward, _ = bed_axes(bed)
        head = sitting_eye(bed, person) + HEAD_BEHIND_EYE_M * headward
        if np.linalg.norm(centre - head) < HEAD_RADIUS_M + size.max() + _HEAD_CLEAR_M:
            found.append(f"the head of {person.name or person.id} would strike it")
    eye = _eye(scenario, reader)
    if eye is not None and _over_another(scenario, reader, eye, light.mount_m, mount):
        found.append("it would hang on another's side of the bed")
    by_hand = light.inline_switch or light.aim.at is not None
    if eye is not None and by_hand and np.linalg.norm(centre - eye) > _REACH_M:
        found.append("out of reach from the pillow")
    if surface.wall is not None and mount != light.mount_m:
        if no_drill:
            found.append("no new hole is wanted in this wall")
        found += _in_bands(surface, mount)
        found += _in_openings(scenario, surface.wall, mount, size)
    return found


def _over_another(
    scenario: Scenario, reader: str | None, eye: Array, today: Mount, mount: Mount
) -> bool:
    """Whether a light that hangs on its reader's side of a shared bed would leave it."""
    own = next(p for p in scenario.people if p.id == reader)
    for other in scenario.people:
        if other.id == reader or bed_of(scenario, other) != bed_of(scenario, own):
            continue
        theirs = _eye(scenario, other.id)
        assert theirs is not None
        way, middle = theirs[:2] - eye[:2], (theirs[:2] + eye[:2]) / 2
        was, now = ((np.array(at[:2]) - middle) @ way for at in (today, mount))
        if was < 0.0 < now:
            return True
    return False


def body_of_light(light: Light) -> Array:
    """Return half the size (3,) [m] of what a light takes up: its shade, or a small head."""
    form = light.distribution
    if isinstance(form, Shade):
        wide = max(form.bottom_diameter_m, form.top_diameter_m or 0.0) / 2
        return np.array([wide, wide, form.height_m / 2])
    return np.full(3, _BODY_M)


def _inside(scenario: Scenario, centre: Array, size: Array) -> bool:
    outline = np.array(scenario.room.outline_m)
    if not points_in_polygon(centre[None, :2], outline)[0]:
        return False
    roof = ceiling_height_m(scenario.room, float(centre[0]), float(centre[1]))
    return bool(centre[2] + size[2] <= roof - 1e-9 and centre[2] - size[2] >= 0.0)


def _touches(box: Any, centre: Array, size: Array, mount: Mount, surface: Surface) -> bool:
    """Whether a light's body, or the place where it is fixed, lies in a piece of furniture."""
    local = np.abs((centre - box.centre) @ box.axes.T)
    if (local < box.half_size + size).all():
        return True
    if surface.kind != "wall":
        return False
    place = np.abs((np.array(mount) - box.centre) @ box.axes.T)
    return bool((place < box.half_size + 0.03).all())


def _in_bands(surface: Surface, mount: Mount) -> list[str]:
    wall = surface.wall
    assert wall is not None
    along, height, _ = wall.place(mount)
    clear = workmanship("drill_clear")
    return [
        f"cables may run {band.words} ({band.name})"
        for band in surface.bands
        if band.left_m - clear < along < band.right_m + clear
        and band.low_m - clear < height < band.high_m + clear
    ]


def _in_openings(scenario: Scenario, wall: Wall, mount: Mount, size: Array) -> list[str]:
    along, height, _ = wall.place(mount)
    found = []
    for opening in scenario.room.openings:
        if opening.wall != wall.number or opening.kind == "recess":
            continue
        left, right = wall.length_m - opening.to_m, wall.length_m - opening.from_m
        beside = left - size[0] < along < right + size[0]
        if beside and opening.sill_m - size[2] < height < opening.head_m + size[2]:
            found.append(f"the {opening.id} is there")
    return found


def cord_too_short(scenario: Scenario, light: Light, mount: Mount) -> bool:
    """Whether the cord that a light has does not reach from there along its route."""
    if light.cord is None or light.cord.length_m is None or light.fed_from is None:
        return False
    moved = light.model_copy(update={"mount_m": mount})
    plan = scenario.model_copy(
        update={"lights": tuple(moved if x.id == light.id else x for x in scenario.lights)}
    )
    run = next(iter(cord_runs(plan, light.id)), None)
    return run is not None and run.over_m is not None and run.over_m < 0.0
