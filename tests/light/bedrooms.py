"""Bedrooms of every kind with a light in each, for comparisons with light tracing.

`cases` were looked at while the engine's settings were chosen, of `elsewhere` the first two and the
last. `held_out` were drawn after most settings were frozen; the last of them was in sight when it
was chosen how soon patches are split. `written` were not looked at.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from lumen.light.geometry import Box, Floats, Surface, unit
from lumen.light.room import Room
from lumen.light.sources import PanelSource, PointSource, Source, StripSource
from lumen.scenario.document import Scenario, parse
from lumen.scenario.outline import inside_outline
from lumen.study.scene.surfaces import ceiling_height_m, furniture_box

__all__ = ["cases", "elsewhere", "held_out", "in_the_air", "written"]


@dataclass
class CosinePower:
    """I = I0 cos^m(gamma) about the nadir; m = 0 is even in all directions."""

    flux_lm: float
    m: float

    def intensity(self, directions: Floats) -> Floats:
        if self.m == 0.0:
            return np.full(directions.shape[:-1], self.flux_lm / (4.0 * np.pi))
        peak = self.flux_lm * (self.m + 1.0) / (2.0 * np.pi)
        return peak * np.maximum(-directions[..., 2], 0.0) ** self.m


@dataclass
class UpDown:
    """60 % up, 40 % down, each by cos squared."""

    flux_lm: float

    def intensity(self, directions: Floats) -> Floats:
        c = directions[..., 2]
        peak = self.flux_lm * 3.0 / (2.0 * np.pi)
        return peak * np.where(c > 0.0, 0.6, 0.4) * c**2


def aligned(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Box:
    """A box between six limits."""
    return Box(np.array([x0 + x1, y0 + y1, z0 + z1]) / 2, np.array([x1 - x0, y1 - y0, z1 - z0]) / 2)


def prism(outline: Floats, height: float, reflectances: tuple[float, ...]) -> list[Surface]:
    """Floor, ceiling and walls over a counter-clockwise outline."""
    k = len(outline)
    low = np.concatenate([outline, np.zeros((k, 1))], axis=1)
    high = np.concatenate([outline, np.full((k, 1), height)], axis=1)
    walls = []
    for i in range(k):
        j = (i + 1) % k
        walls.append(Surface(np.array([low[i], high[i], high[j], low[j]]), reflectances[1]))
    return [Surface(low, reflectances[0]), Surface(high[::-1], reflectances[2]), *walls]


def furnish(surfaces: list[Surface], boxes: list[Box], reflectances: list[float]) -> Room:
    """A room with names made up."""
    return Room(
        tuple(surfaces),
        tuple(f"surface {i}" for i in range(len(surfaces))),
        tuple(boxes),
        tuple(f"box {i}" for i in range(len(boxes))),
        tuple(reflectances),
    )


def bedroom(gap: float, top: float, wall: float = 0.5) -> Room:
    """4.0 x 3.5 x 2.6 m with mattress, headboard, nightstands, wardrobe and desk."""
    w, d = 4.0, 3.5
    back = d - gap
    boxes = [
        aligned(1.1, 2.9, back - 2.06, back - 0.06, 0.0, 0.5),
        aligned(1.1, 2.9, back - 0.06, back, 0.0, top),
        aligned(0.6, 1.05, d - 0.4, d, 0.3, 0.5),
        aligned(2.95, 3.4, d - 0.4, d, 0.3, 0.5),
        aligned(0.0, 0.6, 0.0, 1.8, 0.0, 2.2),
        aligned(2.5, 3.6, 0.0, 0.45, 0.0, 0.75),
    ]
    outline = np.array([[0, 0], [w, 0], [w, d], [0, d]], float)
    return furnish(prism(outline, 2.6, (0.2, wall, 0.8)), boxes, [0.5, 0.4, 0.3, 0.3, 0.5, 0.3])


def leaning_bedroom() -> Room:
    """Headboard leaning back 6 degrees, one box turned by 25 degrees."""
    a, t = np.radians(6.0), np.radians(25.0)
    axes = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    half = np.array([0.9, 0.03, 0.6])
    # its upper back edge stays 40 mm from the wall, its lower edge stands on the floor
    centre = np.array([2.0, 0.0, 0.0])
    head = Box(centre, half, axes)
    corners = head.corners()
    centre = centre + np.array([0.0, 3.46 - corners[:, 1].max(), 1e-4 - corners[:, 2].min()])
    head = Box(centre, half, axes)
    turned = np.array([[np.cos(t), np.sin(t), 0], [-np.sin(t), np.cos(t), 0], [0, 0, 1]])
    front = head.corners()[:, 1].min()
    boxes = [
        head,
        aligned(1.1, 2.9, front - 2.0, front, 0.0, 0.5),
        Box(np.array([3.2, 0.9, 0.375]), np.array([0.5, 0.25, 0.375]), turned),
        aligned(0.0, 0.6, 0.0, 1.8, 0.0, 2.2),
    ]
    outline = np.array([[0, 0], [4, 0], [4, 3.5], [0, 3.5]], float)
    return furnish(prism(outline, 2.6, (0.2, 0.5, 0.8)), boxes, [0.4, 0.5, 0.3, 0.5])


def ell_bedroom() -> Room:
    """An L-shaped room: its notch hides one leg from the other."""
    outline = np.array([[0, 0], [4.6, 0], [4.6, 2.0], [3.0, 2.0], [3.0, 3.6], [0, 3.6]], float)
    boxes = [aligned(0.5, 2.1, 1.5, 3.5, 0.0, 0.5), aligned(0.5, 2.1, 3.5, 3.6, 0.0, 1.1)]
    return furnish(prism(outline, 2.5, (0.3, 0.6, 0.8)), boxes, [0.5, 0.3])


def attic_bedroom() -> Room:
    """A ceiling that slopes down to 1.3 m at one side."""
    w, d = 4.0, 3.6
    a, b, c, e = (0, 0, 0), (w, 0, 0), (w, d, 0), (0, d, 0)
    p, q, r, s = (0, 0, 1.3), (0, d, 1.3), (1.4, 0, 2.5), (1.4, d, 2.5)
    t, u = (w, 0, 2.5), (w, d, 2.5)
    surfaces = [
        Surface(np.array([a, b, c, e], float), 0.25),
        Surface(np.array([t, r, s, u], float), 0.8),
        Surface(np.array([r, p, q, s], float), 0.7),
        Surface(np.array([a, p, r, t, b], float), 0.5),
        Surface(np.array([c, u, s, q, e], float), 0.5),
        Surface(np.array([a, e, q, p], float), 0.5),
        Surface(np.array([b, t, u, c], float), 0.6),
    ]
    boxes = [aligned(1.5, 3.1, 1.6, 3.6, 0.0, 0.5), aligned(3.4, 4.0, 0.2, 1.7, 0.0, 2.0)]
    return furnish(surfaces, boxes, [0.5, 0.4])


def sensors_of(head_y: float, mattress: float = 0.5, x: float = 2.0) -> tuple[Floats, Floats]:
    """Bed plane 20, reading pages 8, floor 6, eyes 6."""
    gx, gy = np.meshgrid(x + np.linspace(-0.8, 0.8, 5), head_y - np.linspace(0.25, 1.9, 4))
    bed = np.stack([gx.ravel(), gy.ravel(), np.full(20, mattress + 0.1)], axis=1)
    page = np.array([[-0.5, -0.5, 0.4], [-0.4, -0.55, 0.4], [-0.6, -0.6, 0.35], [-0.5, -0.7, 0.35]])
    pages = np.concatenate([page, page * [-1, 1, 1]]) + np.array([x, head_y, mattress])
    floor = np.array(
        [
            [x - 1.1, 1.0, 0.01],
            [x, 1.0, 0.01],
            [x, 0.6, 0.01],
            [x + 1.0, 1.4, 0.01],
            [x + 0.95, 0.5, 0.01],
            [x - 1.1, 1.4, 0.01],
        ]
    )
    eyes = np.array(
        [
            [x, 1.0, 1.6],
            [x, 1.0, 1.6],
            [x + 0.8, 1.5, 1.2],
            [x + 0.8, 1.5, 1.2],
            [x - 0.5, head_y - 0.3, 1.25],
            [x - 0.5, head_y - 0.35, 0.85],
        ]
    )
    looks = np.array([[0, 1, 0], [0, -1, 0], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1.0]])
    points = np.concatenate([bed, pages, floor, eyes])
    up = np.array([0, 0, 1.0])
    tilt = unit(np.array([0, 1.0, 1.0]))
    normals = np.concatenate(
        [np.tile(up, (20, 1)), np.tile(tilt, (8, 1)), np.tile(up, (6, 1)), looks]
    )
    return points, normals


SIDE = np.array([[0, 0, 1.0], [1.0, 0, 0], [0, 1.0, 0]])  # own nadir looks along -y


def hidden_strip(gap: float, below: float, facing: str, top: float = 1.15) -> StripSource:
    """A strip behind the headboard, ``below`` its top."""
    y, z = 3.5 - gap, top - below
    if facing == "wall":
        return StripSource(np.array([[1.15, y, z], [2.85, y, z]]), np.array([0, 1.0, 0]), 600.0)
    return StripSource(
        np.array([[1.15, 3.5 - gap / 2, z], [2.85, 3.5 - gap / 2, z]]), np.array([0, 0, 1.0]), 600.0
    )


def cases() -> dict[str, tuple[Room, Source, tuple[Floats, Floats]]]:
    """Every comparison: room, source, sensors."""
    near = sensors_of(3.40)
    panel = PanelSource(
        np.array([[1.7, 1.4, 2.59], [1.7, 2.0, 2.59], [2.3, 2.0, 2.59], [2.3, 1.4, 2.59]]), 1200.0
    )
    ell_panel = PanelSource(panel.corners + np.array([-0.4, 0.0, -0.1]), 1200.0)
    lean = leaning_bedroom()
    return {
        "pendant": (
            bedroom(0.04, 1.15),
            PointSource(np.array([2.0, 1.7, 2.0]), CosinePower(800.0, 0.0)),
            near,
        ),
        "wall light": (
            bedroom(0.0, 1.1),
            PointSource(np.array([0.85, 3.42, 1.5]), CosinePower(400.0, 1.0), SIDE),
            near,
        ),
        "up and down": (
            bedroom(0.04, 1.15),
            PointSource(np.array([3.2, 3.40, 1.5]), UpDown(500.0)),
            near,
        ),
        "panel": (bedroom(0.04, 1.15), panel, near),
        "to wall 25": (bedroom(0.025, 1.15), hidden_strip(0.025, 0.06, "wall"), near),
        "to wall 40": (bedroom(0.040, 1.15), hidden_strip(0.040, 0.10, "wall"), near),
        "to wall 60": (bedroom(0.060, 1.15, 0.7), hidden_strip(0.060, 0.08, "wall"), near),
        "up 25": (bedroom(0.050, 1.15), hidden_strip(0.050, 0.08, "up"), near),
        "ell": (ell_bedroom(), ell_panel, sensors_of(3.5, x=1.3)),
        "attic": (
            attic_bedroom(),
            PointSource(np.array([2.3, 1.8, 2.2]), CosinePower(800.0, 0.0)),
            sensors_of(3.55, x=2.3),
        ),
        "leaning": (
            lean,
            StripSource(
                np.array([[1.2, 3.456, 1.12], [2.8, 3.456, 1.12]]), np.array([0, 1.0, 0]), 600.0
            ),
            sensors_of(3.25),
        ),
    }


def elsewhere() -> dict[str, tuple[Room, Source, tuple[Floats, Floats]]]:
    """Strips that are not behind a headboard."""
    near, up = sensors_of(3.40), np.array([0, 0, 1.0])
    bed, plain = aligned(1.1, 2.9, 1.4, 3.4, 0, 0.5), bedroom(0.0, 1.1)
    outline = np.array([[0, 0], [4, 0], [4, 3.5], [0, 3.5]], float)
    walls = prism(outline, 2.6, (0.3, 0.6, 0.8))
    raised = [
        aligned(1.1, 2.9, 1.3, 3.4, 0.25, 0.5),
        aligned(1.1, 2.9, 3.4, 3.46, 0, 1.1),
        aligned(0, 0.6, 0, 1.8, 0, 2.2),
    ]
    cove = [
        bed,
        aligned(0.2, 3.8, 3.35, 3.5, 2.45, 2.47),
        aligned(0.2, 3.8, 3.33, 3.35, 2.45, 2.50),
    ]
    attic = attic_bedroom()
    shelf = aligned(0, 0.12, 0.3, 3.3, 0.9, 0.92)
    with_shelf = furnish([*attic.surfaces], [*attic.boxes, shelf], [0.5, 0.4, 0.6])

    def strip(
        start: list[float], end: list[float], facing: Floats, flux: float = 400.0
    ) -> StripSource:
        return StripSource(np.array([start, end]), facing, flux)

    return {
        "below the bed": (
            furnish(walls, raised, [0.5, 0.4, 0.5]),
            strip([1.15, 1.33, 0.245], [2.85, 1.33, 0.245], -up),
            near,
        ),
        "cove": (
            furnish(walls, cove, [0.5, 0.6, 0.6]),
            strip([0.3, 3.42, 2.475], [3.7, 3.42, 2.475], up),
            near,
        ),
        "into the room": (
            plain,
            strip([1.2, 3.395, 0.8], [2.8, 3.395, 0.8], np.array([0, -1.0, 0])),
            near,
        ),
        "upright in a corner": (
            plain,
            strip([3.97, 3.47, 0.2], [3.97, 3.47, 2.4], -np.array([1.0, 1.0, 0]) / np.sqrt(2.0)),
            near,
        ),
        "on the knee wall": (
            with_shelf,
            strip([0.05, 0.4, 0.925], [0.05, 3.2, 0.925], up),
            sensors_of(3.55, x=2.3),
        ),
        "on the wardrobe": (plain, strip([0.05, 1.79, 2.205], [0.55, 1.79, 2.205], up), near),
    }


def held_out() -> dict[str, tuple[Room, Source, tuple[Floats, Floats]]]:
    """Bedrooms drawn at random, all with a hidden strip, made after the settings were frozen."""
    return {
        f"held out, {kind} {1000 * gap:.0f}, {seed}": _drawn(seed, kind, gap)
        for seed, kind, gap in (
            (9101, "wall", 0.025),
            (9102, "wall", 0.040),
            (9103, "wall", 0.060),
            (9104, "lean", 0.040),
            (9105, "up", 0.050),
            (9106, "wall", 0.040),
        )
    }


def _drawn(seed: int, kind: str, gap: float) -> tuple[Room, Source, tuple[Floats, Floats]]:
    rng = np.random.default_rng(seed)
    w, d, h = rng.uniform(3.2, 4.6), rng.uniform(3.0, 4.2), rng.uniform(2.35, 2.8)
    rho = (rng.uniform(0.15, 0.4), rng.uniform(0.4, 0.75), rng.uniform(0.7, 0.88))
    wide, top, x = rng.uniform(1.4, 1.9), rng.uniform(0.95, 1.3), w / 2 + rng.uniform(-0.15, 0.15)
    bed, below = rng.uniform(0.45, 0.6), rng.uniform(0.05, 0.12)
    inset, thick = rng.uniform(0.03, 0.12), rng.uniform(0.05, 0.08)
    facing = np.array([0, 0, 1.0]) if kind == "up" else np.array([0, 1.0, 0])
    if kind == "lean":
        a = np.radians(rng.uniform(4, 8))
        axes = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
        half = np.array([wide, thick, top]) / 2
        corners = Box(np.zeros(3), half, axes).corners()
        middle = np.array([x, d - gap - corners[:, 1].max(), 1e-4 - corners[:, 2].min()])
        board = Box(middle, half, axes)
        front, high = board.corners()[:, 1].min(), board.corners()[:, 2].max()
        y, z = d - 0.9 * gap, high - below  # clear of the board's leaning back
    else:
        board = aligned(x - wide / 2, x + wide / 2, d - gap - thick, d - gap, 0, top)
        front, z = d - gap - thick, top - below
        y = d - gap / 2 if kind == "up" else d - gap + 0.001
    left, right = x - wide / 2, x + wide / 2
    boxes = [
        board,
        aligned(left, right, front - 2.0, front, 0, bed),
        aligned(left - 0.5, left - 0.05, d - 0.4, d, 0.3, 0.5),
        aligned(right + 0.05, right + 0.5, d - 0.4, d, 0.35, 0.55),
    ]
    if seed % 2:
        boxes.append(aligned(0, 0.55, 0, 0.8, 0, 2.1))
    outline = np.array([[0, 0], [w, 0], [w, d], [0, d]], float)
    room = furnish(prism(outline, h, rho), boxes, [rng.uniform(0.2, 0.6) for _ in boxes])
    path = np.array([[left + inset, y, z], [right - inset, y, z]])
    return room, StripSource(path, facing, 600.0), sensors_of(front, mattress=bed, x=x)


def written() -> dict[str, Scenario]:
    """Held-out bedrooms as a person writes them down: from the plan to lux by the public call."""
    ell = [[0, 0], [4.8, 0], [4.8, 2.3], [3.1, 2.3], [3.1, 3.9], [0, 3.9]]
    attic = [[0, 0], [3.8, 0], [3.8, 4.1], [0, 4.1]]
    alcove = [
        [0, 0],
        [4.1, 0],
        [4.1, 2.9],
        [3.2, 2.9],
        [3.2, 3.6],
        [0.9, 3.6],
        [0.9, 2.9],
        [0, 2.9],
    ]
    board = {"id": "board", "kind": "headboard", "finish": {"lrv": 35}, "lean_deg": 6}
    bed = {"id": "bed", "kind": "mattress", "finish": {"lrv": 55}}
    turned = {"id": "chest", "kind": "chest", "turn_deg": 28, "finish": {"lrv": 30}}
    return {
        "written, L, strip behind a leaning board": _plan(
            ell,
            2.45,
            [
                {**board, "at_m": [1.5, 3.70, 0], "size_m": [1.6, 0.06, 1.1]},
                {**bed, "at_m": [1.5, 2.6, 0.1], "size_m": [1.5, 2.0, 0.45]},
                {**turned, "at_m": [3.9, 0.8, 0], "size_m": [0.9, 0.45, 0.8]},
            ],
            strips=[
                {
                    "id": "strip",
                    "path_m": [[0.8, 3.865, 1.02], [2.2, 3.865, 1.02]],
                    "facing": "bed wall",
                    "flux_lm_per_m": 700,
                    "power_w_per_m": 8,
                    "current": "regulated",
                }
            ],
        ),
        "written, attic, panel and slats": _plan(
            attic,
            2.4,
            [
                {**bed, "at_m": [1.9, 3.0, 0], "size_m": [1.6, 2.0, 0.5]},
                *(
                    {
                        "id": f"slat {i}",
                        "kind": "batten",
                        "at_m": [1.0 + 0.3 * i, 4.08, 0],
                        "size_m": [0.05, 0.04, 1.5],
                        "finish": {"lrv": 8},
                    }
                    for i in range(6)
                ),
            ],
            slopes=[
                {"id": "left", "wall": 3, "knee_height_m": 1.1, "pitch_deg": 42},
                {"id": "right", "wall": 1, "knee_height_m": 1.3, "pitch_deg": 38},
            ],
            lights=[
                {
                    "id": "panel",
                    "mount": "ceiling",
                    "mount_m": [1.9, 1.6, 2.4],
                    "projection_m": 0.02,
                    "distribution": {"form": "panel", "width_m": 0.3, "length_m": 0.9},
                    "aim": {"turn_deg": 15},
                    "lamp": {"flux_lm": 1500, "power_w": 15},
                }
            ],
        ),
        "written, alcove, aimed head and curtain": _plan(
            alcove,
            2.5,
            [
                {**bed, "at_m": [2.05, 2.55, 0], "size_m": [1.4, 2.0, 0.5]},
                {
                    "id": "curtain",
                    "kind": "curtain",
                    "at_m": [3.4, 1.6, 0],
                    "size_m": [0.9, 0.06, 2.1],
                    "turn_deg": 65,
                    "finish": {"lrv": 45},
                },
            ],
            lights=[
                {
                    "id": "head",
                    "mount": "wall",
                    "wall": 5,
                    "mount_m": [0.9, 3.3, 1.25],
                    "projection_m": 0.15,
                    "size_m": 0,
                    "distribution": {"form": "cosine", "beam_deg": 70},
                    "aim": {"tilt_deg": 55, "turn_deg": -30},
                    "lamp": {"flux_lm": 500, "power_w": 6},
                }
            ],
        ),
    }


def _plan(
    outline: Any, height: float, furniture: Any, slopes: Any = (), **sources: Any
) -> Scenario:
    finishes = {"floor": {"lrv": 30}, "walls": {"lrv": 62}, "ceiling": {"lrv": 82}}
    room = {"outline_m": outline, "height_m": height, "slopes": slopes, "finishes": finishes}
    head = {"format": "lumen-plan/1", "title": "held out"}
    return parse({**head, "room": room, "furniture": furniture, **sources})


def in_the_air(scenario: Scenario, count: int, seed: int) -> tuple[Floats, Floats]:
    """Random points a hand's breadth off everything, looking anywhere."""
    rng = np.random.default_rng(seed)
    outline = np.array(scenario.room.outline_m)
    boxes = [furniture_box(item) for item in scenario.furniture]
    points: list[Floats] = []
    while len(points) < count:
        x, y = rng.uniform(outline.min(axis=0), outline.max(axis=0))
        point = np.array([x, y, rng.uniform(0.15, scenario.room.height_m)])
        near = [(x + a, y + b) for a in (-0.15, 0.15) for b in (-0.15, 0.15)]
        if not all(inside_outline(scenario.room.outline_m, at) for at in near):
            continue
        if min(ceiling_height_m(scenario.room, *at) for at in near) < point[2] + 0.15:
            continue
        depth = [np.abs((point - b.centre) @ b.axes.T) - b.half_size for b in boxes]
        if all(d.max() > 0.1 for d in depth):
            points.append(point)
    return np.array(points), unit(rng.normal(size=(count, 3)))
