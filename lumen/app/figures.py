"""The walk-in view: the room's surfaces in the light of a setup, from where somebody stands.

Pure: a study and a place in, a Plotly figure as plain data out. Colours come from the solved
exitance of every surface patch, and from the finer maps of bed wall, floor and bed, through one
fixed tone curve (the same as the drawings', see ``assets/relight.js``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.colour import tint_of_white
from lumen.scenario.document import Scenario
from lumen.scenario.room import Finish
from lumen.study.lighting.fields import fields, page_factors
from lumen.study.lighting.hues import exitance_in_colour, hues_at, paint
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.levels import NO_SETUP
from lumen.study.scene.targets import STANDING, Posture, Target, targets
from lumen.study.study import Study

__all__ = ["places", "tone", "walk_in"]

Array = NDArray[np.float64]
Json = dict[str, Any]

_HUE_POINTS = 40  # spread over a surface, to tell the colour of the light that bounces onto it

_POSTURES = {
    Posture.DOOR: "From the door",
    Posture.FOOT: "From the foot",
    Posture.SITTING: "Sitting up",
    Posture.LYING_BACK: "Lying",
}


def places(scenario: Scenario) -> tuple[tuple[str, str], ...]:
    """Return the places to look from: key and words, the door and the foot of the bed once."""
    found: dict[str, str] = {}
    for target in targets(scenario):
        if not target.is_eye or target.posture not in _POSTURES:
            continue
        words = _POSTURES[target.posture]
        if target.posture not in STANDING:
            who = next((p.name or p.id for p in scenario.people if p.id == target.person), "")
            words = f"{who[:1].upper()}{who[1:]}, {words.lower()}"
        found.setdefault(_key(target), words)
    order = sorted(found, key=lambda key: (key not in STANDING, key))
    return tuple((key, found[key]) for key in order)


def _key(target: Target) -> str:
    """What the page calls the place of an eye; the foot of the bed and the door are anybody's."""
    person = "" if target.posture in STANDING else f"{target.person}:"
    return f"{person}{target.posture}"


def tone(luminance: Array, exposure_cd_m2: float) -> Array:
    """Return screen codes 0 to 255 of linear RGB luminance [cd/m2] at a fixed exposure.

    sRGB (IEC 61966-2-1) of ``1 - exp(-L / exposure)``: soft toward white, never clipped. The
    curve is our own choice for a picture; no number is read off it.

    Examples
    --------
    >>> tone(np.array([0.0, 25.0, 1e6]), 25.0).round().tolist()
    [0.0, 208.0, 255.0]
    """
    light = 1 - np.exp(-np.maximum(luminance, 0.0) / exposure_cd_m2)
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(255 * coded)


def walk_in(study: Study, place: str, setup: str, exposure_cd_m2: float) -> Json:
    """Return the figure of the room from a place, lit as a setup lights it; dark without one."""
    lit = study.lighting
    setup = setup if setup in study.setups else NO_SETUP
    weights: Array = np.asarray(lit.weights(setup), dtype=np.float64)
    meshes = [_patches(lit, setup), *_fine(lit, setup)]
    points = np.concatenate([mesh.points for mesh in meshes])
    low, high = points.min(axis=0), points.max(axis=0)
    return {
        "data": [
            *[_mesh(mesh, exposure_cd_m2) for mesh in meshes],
            *_lights(lit, weights, exposure_cd_m2),
        ],
        "layout": {
            "paper_bgcolor": "#0f0c0a",
            "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
            "showlegend": False,
            "hovermode": False,
            "uirevision": place,
            "scene": {
                **{
                    f"{axis}axis": {"visible": False, "range": [float(low[i]), float(high[i])]}
                    for i, axis in enumerate("xyz")
                },
                "aspectmode": "manual",
                "aspectratio": dict(zip("xyz", map(float, high - low), strict=True)),
                "camera": _camera(study.scenario, place, low, high),
                "dragmode": "turntable",
            },
        },
    }


@dataclass(frozen=True, eq=False)
class _Mesh:
    points: Array
    triangles: NDArray[np.intp]
    luminance: Array


def _patches(lit: Lighting, setup: str) -> _Mesh:
    """All surface patches, each corner with the mean of the patches that meet there."""
    patches = lit.transport.patches
    exitance = _exitance(lit, setup)
    corners = patches.corners.reshape(-1, 3)
    surface = np.repeat(patches.surface, 4)
    keys = np.column_stack([surface, np.round(corners, 3)])
    _, first, index = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    index = index.reshape(-1)
    area = np.repeat(patches.areas, 4)
    total = np.zeros((len(first), 3))
    np.add.at(total, index, np.repeat(exitance, 4, axis=0) * area[:, None])
    share = np.bincount(index, weights=area, minlength=len(first))
    quads = index.reshape(-1, 4)
    triangles = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    return _Mesh(np.asarray(corners[first], dtype=float), triangles, total / share[:, None] / np.pi)


def _exitance(lit: Lighting, setup: str) -> Array:
    """Exitance of the patches in a setup (N, 3), each source in its own white [lm/m2]."""
    total, weights = np.zeros((len(lit.transport.patches), 3)), lit.weights(setup)
    coloured = exitance_in_colour(lit)
    for k, (weight, emitter) in enumerate(zip(weights, lit.emitters, strict=True)):
        if weight:
            tint = np.array(tint_of_white(emitter.cct_k))
            grey = lit.maps[k].patch_exitance[:, None]
            total += weight * (grey if coloured is None else coloured[k]) * tint
    tints = np.array([tint_of_white(emitter.cct_k) for emitter in lit.emitters]).reshape(-1, 3)
    for found, factors in lit.page_maps(setup):  # uncoloured where it goes on between painted walls
        total += found.patch_exitance[:, None] * (factors @ tints)
    return total


def _fine(lit: Lighting, setup: str) -> Iterator[_Mesh]:
    """The maps of bed wall, floor and bed, which are finer than the patches behind them."""
    maps, weights = fields(lit), lit.weights(setup)
    tints = np.array([maps["tint"][emitter.id] for emitter in lit.emitters]).reshape(-1, 3)
    for name, grid in maps["grids"].items():
        if grid["of"] == "page":
            continue
        nu, nv = grid["nu"], grid["nv"]
        u = (np.arange(nu) + 0.5) / nu * grid["size_m"][0]
        v = (np.arange(nv) + 0.5) / nv * grid["size_m"][1]
        u[0], u[-1], v[0], v[-1] = 0.0, grid["size_m"][0], 0.0, grid["size_m"][1]
        normal = np.cross(grid["u"], grid["v"])
        inward = normal * (1 if name != "wall" else -1 if normal[1] > 0 else 1)
        flat = (
            np.array(grid["corner_m"])
            + u[None, :, None] * np.array(grid["u"])
            + v[:, None, None] * np.array(grid["v"])
            + 0.004 * inward
        ).reshape(-1, 3)
        lx = np.zeros((nu * nv, 3))
        spread = flat[:: max(1, len(flat) // _HUE_POINTS)]
        hues = hues_at(lit, spread, np.tile(inward, (len(spread), 1)))
        for k, (weight, emitter) in enumerate(zip(weights, lit.emitters, strict=True)):
            if weight:
                direct = np.array(grid["direct"][emitter.id])[:, None]
                bounced = np.array(grid["bounced"][emitter.id])[:, None]
                hue = 1.0 if hues is None else hues[k]
                tint = np.array(maps["tint"][emitter.id])
                lx += weight * (direct + bounced * hue) * tint
        for name, factors in page_factors(lit, setup).items():
            both = (grid[part].get(name) for part in ("direct", "bounced"))
            for given in (one for one in both if one is not None):
                lx += np.array(given)[:, None] * (factors @ tints)
        at = np.arange(nu * nv).reshape(nv, nu)
        a, b, c, d = at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]
        triangles = np.concatenate(
            [np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)]
        )
        finish = Finish(lrv=100 * grid["reflectance"], colour=grid["colour"])
        yield _Mesh(flat, triangles, np.asarray(lx * paint(finish) / np.pi, dtype=np.float64))


def _mesh(mesh: _Mesh, exposure_cd_m2: float) -> Json:
    codes = tone(mesh.luminance, exposure_cd_m2).round().astype(int)
    x, y, z = (np.round(mesh.points[:, i], 3).tolist() for i in range(3))
    i, j, k = (mesh.triangles[:, n].tolist() for n in range(3))
    return {
        "type": "mesh3d",
        "x": x,
        "y": y,
        "z": z,
        "i": i,
        "j": j,
        "k": k,
        "vertexcolor": [f"rgb({r},{g},{b})" for r, g, b in codes.tolist()],
        "lighting": {"ambient": 1.0, "diffuse": 0.0, "specular": 0.0, "fresnel": 0.0},
        "hoverinfo": "skip",
    }


def _lights(lit: Lighting, weights: Array, exposure_cd_m2: float) -> Iterator[Json]:
    """Lamps as dots and strips as lines; bright when they are on."""
    for weight, emitter in zip(weights, lit.emitters, strict=True):
        source: Any = emitter.source
        shine = np.array(tint_of_white(emitter.cct_k)) * 8 * exposure_cd_m2 * min(1.0, 4 * weight)
        code = tone(shine, exposure_cd_m2).round().astype(int)
        colour = f"rgb({code[0]},{code[1]},{code[2]})" if weight else "rgb(70,62,56)"
        if hasattr(source, "path"):
            path = np.asarray(source.path)
            mode, style = "lines", {"line": {"color": colour, "width": 4}}
        elif hasattr(source, "corners"):
            path = np.asarray(source.corners)[[0, 1, 2, 3, 0]]
            mode, style = "lines", {"line": {"color": colour, "width": 6}}
        else:
            path = np.asarray(source.position).reshape(1, 3)
            mode, style = "markers", {"marker": {"color": colour, "size": 14, "line": {"width": 0}}}
        x, y, z = (path[:, i].tolist() for i in range(3))
        yield {
            "type": "scatter3d",
            "mode": mode,
            "x": x,
            "y": y,
            "z": z,
            "hoverinfo": "skip",
            **style,
        }


def _camera(scenario: Scenario, place: str, low: Array, high: Array) -> Json:
    """Camera of a place: the figure's scene has its middle at the origin, one unit a metre."""
    middle = (low + high) / 2
    eye = next((t for t in targets(scenario) if t.is_eye and _key(t) == place), None)
    if eye is None:
        at, look = np.array([middle[0], low[1] + 0.2, 1.5]), np.array([0.0, 1.0, -0.1])
    else:
        at = eye.points[0]
        look = eye.normals[0].copy()
        if eye.posture is Posture.LYING_BACK:
            look = np.array([0.0, -1.0, 0.35])
        else:  # up from the page, across the room
            look[2] = -0.25
    here, aim = at - middle, at + 0.6 * look / np.linalg.norm(look) - middle
    return {
        "eye": dict(zip("xyz", map(float, here), strict=True)),
        "center": dict(zip("xyz", map(float, aim), strict=True)),
        "up": {"x": 0, "y": 0, "z": 1},
    }
