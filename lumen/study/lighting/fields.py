"""Maps for pictures: what each source gives on wall, bed, floor and pages, at full output.

Any setup is a weighted sum of these maps, so a browser that holds them once relights by itself.
"""

from __future__ import annotations

import base64
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.colour import tint_of_white
from lumen.light.sources import PointSource, StripSource
from lumen.light.visibility import Blocker
from lumen.scenario.document import Scenario
from lumen.scenario.outline import wall_normal
from lumen.scenario.people import Person
from lumen.scenario.room import Finish, Furniture
from lumen.study.cache import fingerprint, light_content
from lumen.study.lighting.evaluation import Evaluation, Spread, between, evaluation_of
from lumen.study.lighting.maps import Lighting, LitPage
from lumen.study.scene.emitters import Emitter
from lumen.study.scene.levels import dimming_json
from lumen.study.scene.media import medium_of
from lumen.study.scene.surfaces import (
    bed_wall,
    ceiling_height_m,
    furniture_box,
    held_in,
    reflectance,
    solid_at,
)
from lumen.study.scene.targets import bed_of, mattress_of, page_cells, page_frame, page_id

__all__ = ["Grid", "fields", "grids", "packed", "page_factors", "set_up", "shadow_id"]

Array = NDArray[np.floating[Any]]

_LIFT_M = 0.005
_SPLIT = {"full": 3, "drag": 2}


GridKind = Literal["wall", "floor", "mattress", "page"]


@dataclass(frozen=True, eq=False)
class Grid:
    """An even grid of cell middles on a flat rectangle.

    ``kind`` says what it lies on. ``corner`` is its first corner (3,) [m]; ``u`` and ``v`` are unit
    vectors along the rows and up the columns; ``size_m`` its extent along both; ``count`` its
    cells. ``first`` holds the two coordinates that a drawing uses for the corner.
    """

    id: str
    kind: GridKind
    corner: Array
    u: Array
    v: Array
    normal: Array
    size_m: tuple[float, float]
    count: tuple[int, int]
    first: tuple[float, float]
    finish: Finish

    def points(self, count: tuple[int, int]) -> Array:
        """Return the middles (rows x columns, 3) [m] of a grid of ``count`` cells, row by row."""
        a = (np.arange(count[0]) + 0.5) / count[0] * self.size_m[0]
        b = (np.arange(count[1]) + 0.5) / count[1] * self.size_m[1]
        flat = (
            self.corner
            + a[None, :, None] * self.u
            + b[:, None, None] * self.v
            + _LIFT_M * self.normal
        )
        return np.asarray(flat.reshape(-1, 3))


def grids(scenario: Scenario) -> tuple[Grid, ...]:
    """Return the rectangles that pictures are made of: bed wall, bed, floor, pages."""
    room = scenario.room
    found = [_wall_grid(scenario), _floor_grid(scenario)]
    mattress = mattress_of(scenario)
    if mattress is not None:
        box = furniture_box(mattress)
        size = (2 * float(box.half_size[0]), 2 * float(box.half_size[1]))
        corner = box.centre + np.array([-1.0, -1.0, 1.0]) * box.half_size @ box.axes
        found.append(
            _grid("mattress", corner, box.axes[0], box.axes[1], size, 0.1, mattress.finish)
        )
        for person in scenario.people:
            if person.reads:
                found.append(_page_grid(bed_of(scenario, person) or mattress, person))
    assert room.outline_m
    return tuple(found)


def _page_grid(mattress: Furniture, person: Person) -> Grid:
    """The side of a page that is read, as its reader sees it: columns run to the reader's right."""
    centre, across, up_page, _ = page_frame(mattress, person)
    right = -across  # the bed's right is that of somebody who faces its head
    medium = medium_of(person)
    size = medium.width_m, medium.height_m
    corner = centre - size[0] / 2 * right - size[1] / 2 * up_page
    finish = Finish(lrv=100 * medium.reflectance)
    count, at = page_cells(person), (float(corner[0]), float(corner[1]))
    normal = np.cross(right, up_page)
    name = page_id(person.id)
    return Grid(name, "page", corner, right, up_page, normal, size, count, at, finish)


def _grid(
    kind: GridKind,
    corner: Array,
    u: Array,
    v: Array,
    size: tuple[float, float],
    step: float,
    finish: Finish,
    first: tuple[float, float] | None = None,
) -> Grid:
    count = (max(2, round(size[0] / step)), max(2, round(size[1] / step)))
    at = (float(corner[0]), float(corner[1])) if first is None else first
    return Grid(kind, kind, corner, u, v, np.cross(u, v), size, count, at, finish)


def _wall_grid(scenario: Scenario) -> Grid:
    """The bed wall, seen from the room: columns run to the right, rows up."""
    room, wall = scenario.room, bed_wall(scenario.room)
    corners = np.array([room.outline_m[wall], room.outline_m[(wall + 1) % len(room.outline_m)]])
    right = corners[np.argmin(corners[:, 0])], corners[np.argmax(corners[:, 0])]
    width = float(np.linalg.norm(right[1] - right[0]))
    u = np.array([*(right[1] - right[0]) / width, 0.0])
    top = max(ceiling_height_m(room, *end) for end in corners)
    nx, ny = wall_normal(room.outline_m, wall)
    inside = np.array([*(corners.mean(0) + 0.01 * np.array([nx, ny]))])
    top = max(top, ceiling_height_m(room, *inside))
    finish = room.finishes.wall_by_wall.get(str(wall), room.finishes.walls)
    corner = np.array([*right[0], 0.0])
    first = (float(corner[0]), 0.0)
    return _grid("wall", corner, u, np.array([0.0, 0.0, 1.0]), (width, top), 0.06, finish, first)


def _floor_grid(scenario: Scenario) -> Grid:
    outline = np.array(scenario.room.outline_m)
    low, high = outline.min(0), outline.max(0)
    size = (float(high[0] - low[0]), float(high[1] - low[1]))
    corner = np.array([*low, 0.0])
    x, y = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    return _grid("floor", corner, x, y, size, 0.15, scenario.room.finishes.floor)


def fields(
    lighting: Lighting,
    only: Iterable[str] | None = None,
    surfaces: Iterable[str] | None = None,
    *,
    detail: str = "full",
) -> dict[str, Any]:
    """Return the maps of all sources on all surfaces, or of ``only`` some on some ``surfaces``.

    Direct light is reckoned cell by cell, that of open lights as the mean of nine points of each
    cell, or else the edges of shadows would show as stairs; in ``detail`` "drag" of four. Bounced
    light from the near field of a strip is reckoned at every cell, the rest, which is smooth, on a
    coarser grid and drawn out evenly between. Maps are arrays (cells,) [lx]; ``free`` (cells,) says
    which lie in the room and in no furniture. See :func:`packed` for plain data.

    Pages that give back light are sources too, for one lux on them: ``pages`` says how much each
    source at full output gives them and ``reading`` in which setups they are read. What they keep
    of a source's light has maps of its own, 0 or less, named in ``shadows``.
    """
    wanted = None if only is None else set(only)
    asked = None if surfaces is None else set(surfaces)
    chosen = [e for e in lighting.emitters if wanted is None or e.id in wanted]
    ids = [emitter.id for emitter in lighting.emitters]
    pages = lighting.pages if wanted is None else ()
    shadows = {
        shadow_id(page, emitter.id): {"page": page.emitter.id, "source": emitter.id}
        for page in lighting.pages
        for emitter in chosen
    }
    return {
        "sources": [*(e.id for e in (*chosen, *(page.emitter for page in pages))), *shadows],
        "shadows": shadows,
        "dimming": dimming_json(lighting.scenario),
        "pages": {
            page.emitter.id: dict(zip(ids, page.per_source.tolist(), strict=True))
            for page in lighting.pages
        },
        "reading": {
            setup: [f"{kind}:{person}" for person in people for kind in ("page", "screen")]
            for setup, people in lighting.reading.items()
        },
        "tint": {emitter.id: list(tint_of_white(emitter.cct_k)) for emitter in chosen},
        "grids": {
            grid.id: _grid_json(lighting, grid, chosen, pages, _SPLIT[detail])
            for grid in grids(lighting.scenario)
            if asked is None or grid.id in asked
        },
    }


def shadow_id(page: LitPage, source: str) -> str:
    """Return the name of what a page that is read takes from a source's light."""
    return f"shadow:{page.person}:{source}"


def page_factors(lighting: Lighting, setup: str) -> dict[str, Array]:
    """Return by what the maps of pages and their shadows count in a setup, by their names.

    Each (sources,): the part that comes of every source.
    """
    weights = lighting.weights(setup)
    found: dict[str, Array] = {}
    for page in lighting.pages_read(setup):
        found[page.emitter.id] = weights * page.per_source
        for k, emitter in enumerate(lighting.emitters):
            found[shadow_id(page, emitter.id)] = weights * (np.arange(len(weights)) == k)
    return found


def packed(maps: Mapping[str, Any]) -> dict[str, Any]:
    """Return maps as plain data: their numbers as 32-bit floats, little-endian, in base64."""
    grids = {
        name: {
            **grid,
            "free": "".join("1" if each else "0" for each in grid["free"]),
            **{
                part: {key: _text(values) for key, values in grid[part].items()}
                for part in ("direct", "bounced")
            },
        }
        for name, grid in maps["grids"].items()
    }
    return {**maps, "grids": grids}


def _text(values: Array) -> str:
    return base64.b64encode(np.asarray(values, dtype="<f4").tobytes()).decode("ascii")


def _grid_json(
    lighting: Lighting,
    grid: Grid,
    chosen: Sequence[Emitter],
    pages: Sequence[LitPage],
    split: int,
) -> dict[str, Any]:
    light = lighting.evaluation
    spread, free = _spread(light, grid)

    def sharp(emitter: Emitter, slab: Blocker | None = None) -> Array:
        parts = split if isinstance(emitter.source, PointSource) else 1
        nu, nv = grid.count
        points = grid.points((parts * nu, parts * nv))
        normals = np.tile(grid.normal, (len(points), 1))
        if slab is None:
            found = light.direct(emitter, points, normals, grid.id)
        else:
            found = light.taken_straight(emitter, slab, points, normals, grid.id)
        total = found.reshape(nv, parts, nu, parts).sum(axis=(1, 3)).ravel()
        return np.asarray(total / _lit_share(light, grid, parts))  # in furniture it is dark

    def taken(emitter: Emitter, page: LitPage) -> tuple[Array, Array]:
        strip = isinstance(emitter.source, StripSource)
        straight = np.zeros(len(spread.points)) if strip else sharp(emitter, page.slab)
        by_bounce = light.taken_by_bounce(emitter, page.slab, spread.few)
        return straight, np.asarray(spread.draw @ by_bounce)

    def lit(page: LitPage) -> tuple[Array, Array]:
        hidden = light.hidden_by_bounce(page.emitter, page.slab, spread.few)
        return sharp(page.emitter), light.bounced_over(page.emitter, spread) - spread.draw @ hidden

    def given(emitter: Emitter) -> tuple[Array, Array]:
        return sharp(emitter), light.bounced_over(emitter, spread)

    at = {
        "transport": light.room,
        "people": fingerprint(*map(light_content, lighting.scenario.people)),
        "grid": grid.id,
        "points": fingerprint(spread.points),
        "split": split,
    }
    maps = {
        emitter.id: light.cache.get(
            "grid light",
            partial(given, emitter),
            **at,
            source=emitter.content,
            detail=light.detail_of(emitter),
        )
        for emitter in chosen
    }
    for page in pages:
        maps[page.emitter.id] = light.cache.get(
            "grid page light",
            partial(lit, page),
            **at,
            source=page.emitter.content,
            slab=page.slab,
        )
    for page in lighting.pages:
        for emitter in chosen:
            maps[shadow_id(page, emitter.id)] = light.cache.get(
                "grid light off",
                partial(taken, emitter, page),
                **at,
                source=emitter.content,
                detail=light.detail_of(emitter),
                slab=page.slab,
            )
    return {
        "of": grid.kind,
        "corner_m": [float(c) for c in grid.corner],
        "origin_m": list(grid.first),
        "u": [float(c) for c in grid.u],
        "v": [float(c) for c in grid.v],
        "size_m": list(grid.size_m),
        "nu": grid.count[0],
        "nv": grid.count[1],
        "free": free,
        "reflectance": reflectance(grid.finish),
        "colour": grid.finish.colour,
        "direct": {name: direct for name, (direct, _) in maps.items()},
        "bounced": {name: bounced for name, (_, bounced) in maps.items()},
    }


def _spread(light: Evaluation, grid: Grid) -> tuple[Spread, NDArray[np.bool_]]:
    """The cells of a grid with the fewer points between which smooth light is drawn out, and which
    cells are free; kept while lights move.
    """
    points = grid.points(grid.count)
    return light.cache.get(
        "grid spread",
        lambda: _spread_anew(light, grid, points),
        transport=light.room,
        grid=grid.id,
        points=points,
    )


def _spread_anew(light: Evaluation, grid: Grid, points: Array) -> tuple[Spread, NDArray[np.bool_]]:
    few = _coarser(grid)
    across, up = (
        between((np.arange(many) + 0.5) / many * less - 0.5, less)
        for less, many in zip(few, grid.count, strict=True)
    )
    fewer = grid.points(few)
    # nothing is drawn out from where nobody can be, in furniture or beyond the room; a free place
    # with none but such about it is one of the few itself
    free = _free(light, points)
    draw = np.kron(up, across) * _free(light, fewer)
    weight = draw.sum(axis=1, keepdims=True)
    alone = np.flatnonzero(free & (weight[:, 0] <= _HARDLY))
    draw = np.divide(draw, weight, out=np.zeros_like(draw), where=weight > _HARDLY)
    own = np.zeros((len(points), len(alone)))
    own[alone, np.arange(len(alone))] = 1.0
    seen = np.concatenate([fewer, points[alone]])
    spread = Spread(
        points=points,
        normals=np.tile(grid.normal, (len(points), 1)),
        few=light.sensors(seen, np.tile(grid.normal, (len(seen), 1))),
        draw=np.hstack([draw, own]),
    )
    return spread, free


def _lit_share(light: Evaluation, grid: Grid, parts: int) -> Array:
    """How many of the places of each cell (cells,) are free; at least one."""
    nu, nv = grid.count
    points = grid.points((parts * nu, parts * nv))

    def made() -> Array:
        free = _free(light, points).reshape(nv, parts, nu, parts)
        return np.asarray(np.maximum(free.sum(axis=(1, 3)).ravel(), 1.0))

    return light.cache.get("grid share", made, transport=light.room, grid=grid.id, points=points)


_HARDLY = 1e-6


def _free(light: Evaluation, points: Array) -> NDArray[np.bool_]:
    """Which points (n, 3) lie in the room and in no furniture."""
    room, furniture = light.scenario.room, light.scenario.furniture
    places = np.asarray(points, dtype=np.float64)
    _, outside = held_in(room, furniture, places)
    return np.asarray(~outside & ~solid_at(furniture, places))


def _coarser(grid: Grid) -> tuple[int, int]:
    """How many points of a grid smooth light is reckoned at, along both ways.

    Room set-up pays some 2 ms for each. On the floor, near furniture, they stand closer.
    """
    step = _FEW_M[grid.kind]
    few, more = (
        min(each, max(_FEWEST.get(grid.kind, 3), math.ceil(size / step - 1e-9)))
        for size, each in zip(grid.size_m, grid.count, strict=True)
    )
    return few, more


_FEW_M: dict[GridKind, float] = {"wall": 0.24, "floor": 0.3, "mattress": 0.3, "page": 0.1}
_FEWEST: dict[GridKind, int] = {"wall": 6}  # a knee wall, too


def set_up(scenario: Scenario) -> None:
    """Find what every picture of a room needs whatever its lights are: the dear part of a map."""
    light = evaluation_of(scenario)
    for grid in grids(scenario):
        _spread(light, grid)
