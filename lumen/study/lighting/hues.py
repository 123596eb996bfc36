"""What colour light takes on by bouncing between painted surfaces; nothing in a grey room.

Illuminance stays with the one photometric reflectance of each surface. Hues are a second answer, in
linear red, green and blue, asked for by pictures and by the white on a page: the light each source
leaves on the surfaces is shared out again among three channels, by a few bounces over the exchange
that the room has already.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.interreflection import PHOTOMETRIC, Transport
from lumen.scenario.room import Finish, Furniture, Room
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.surfaces import FRONT, MIRROR_REFLECTANCE, faces_of, reflectance

__all__ = ["coloured", "exitance_in_colour", "finishes", "hue_of", "hues_at", "paint"]

Array = NDArray[np.floating[Any]]

_MOST = 0.98
_BOUNCES = 60
_STEADY = 1e-4


def paint(finish: Finish) -> Array:
    """Return a finish's reflectance (3,) in linear red, green, blue; its luminance is its LRV.

    Source: IEC 61966-2-1 (decoding), Rec. ITU-R BT.709-6, 3.2 (luminance). A colour too strong for
    its LRV is mixed with grey until no channel gives back more than 0.98.

    Examples
    --------
    >>> red = paint(Finish(lrv=20.0, colour="#c83c28"))
    >>> bool(red[0] > 3 * red[1]), round(float(PHOTOMETRIC @ red), 6)
    (True, 0.2)
    >>> paint(Finish(lrv=20.0))
    array([0.2, 0.2, 0.2])
    """
    grey = np.full(3, reflectance(finish))
    if finish.colour is None:
        return grey
    code = np.array([int(finish.colour[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    luminance = float(PHOTOMETRIC @ linear)
    if luminance < 1e-4:
        return grey
    rgb = linear * grey / luminance
    over = float(rgb.max()) - grey[0]
    if rgb.max() > _MOST and over > 0.0:
        rgb = grey + (rgb - grey) * max(0.0, (_MOST - grey[0]) / over)
    return np.asarray(rgb)


def finishes(room: Room, furniture: Sequence[Furniture]) -> list[Finish]:
    """Return the finish of every face in the order of the room's surfaces, then six a box."""
    openings = {opening.id: opening for opening in room.openings}
    faces = []
    for part in faces_of(room):
        if part.kind != "wall":
            faces.append(room.finishes.floor if part.kind == "floor" else room.finishes.ceiling)
        elif part.opening is not None:
            own = openings[part.opening].finish
            faces.append(Finish(lrv=100 * MIRROR_REFLECTANCE) if own is None else own)
        else:
            faces.append(room.finishes.wall_by_wall.get(str(part.wall), room.finishes.walls))
    glass = Finish(lrv=100 * MIRROR_REFLECTANCE)
    return faces + [
        glass if item.mirror_front and face == FRONT else item.finish
        for item in furniture
        for face in range(6)
    ]


def coloured(lighting: Lighting) -> bool:
    """Return whether any surface has a colour, so that its channels differ."""
    return bool(np.ptp(_paints(lighting), axis=1).max() > 1e-6)


def _paints(lighting: Lighting) -> Array:
    """Reflectances of the faces (faces, 3)."""
    plan = lighting.scenario
    return np.array([paint(finish) for finish in finishes(plan.room, plan.furniture)])


def exitance_in_colour(lighting: Lighting) -> Array | None:
    """Return the exitance of all patches (sources, N, 3) [lm/m2] at full output; None when grey.

    Each source counts as white. The luminance of every patch is that of the photometric answer;
    only its hue is found here: ``B_c = rho_c (E + S B_c / A)`` for each channel, repeated until it
    changes by less than 1e-4, with the direct light ``E`` that the photometric answer has. Holding
    the luminance takes up to 5 % off a channel between strongly coloured walls.
    """
    if not coloured(lighting):
        return None
    rho = _paints(lighting)
    per_patch = rho[lighting.transport.patches.surface]
    light = lighting.evaluation
    rows = [
        light.cache.get(
            "hues",
            partial(_one, light.transport, per_patch, on.patch_exitance, on.patch_illuminance),
            transport=light.room,
            reflectances=rho,
            source=emitter.content,
            detail=light.detail_of(emitter),
        )
        for emitter, on in zip(lighting.emitters, lighting.maps, strict=True)
    ]
    return np.array(rows).reshape(-1, len(per_patch), 3)


def _one(transport: Transport, rho: Array, exitance: Array, illuminance: Array) -> Array:
    direct = np.maximum(illuminance - transport.received(exitance[None])[0], 0.0)[:, None]
    exitances = rho * illuminance[:, None]
    for _ in range(_BOUNCES):
        after = rho * (direct + transport.received(exitances.T).T)
        change = float(np.abs(after - exitances).max())
        exitances = after
        if change <= _STEADY * max(float(exitances.max()), 1e-12):
            break
    luminance = exitances @ PHOTOMETRIC
    scale = np.divide(exitance, luminance, out=np.zeros_like(luminance), where=luminance > 0)
    return np.asarray(exitances * scale[:, None])


def hues_at(lighting: Lighting, points: Array, normals: Array) -> Array | None:
    """Return the hue of each source's bounced light at points, (sources, 3) of luminance 1.

    Taken together over all the points (n, 3), which belong to one target: what they get from each
    patch comes in the colour that the patch gives on. None in a grey room; grey where nothing
    bounces.
    """
    exitance = exitance_in_colour(lighting)
    if exitance is None:
        return None
    sensors = lighting.evaluation.sensors(points, normals)
    mixed = [
        light.by_patch(sensors).mean(axis=0) @ hue_of(each)
        for light, each in zip(lighting.maps, exitance, strict=True)
    ]
    return hue_of(np.array(mixed).reshape(-1, 3))


def hue_of(light: Array) -> Array:
    """Return colours (..., 3) at luminance 1; grey for none."""
    luminance = light @ PHOTOMETRIC
    lit = luminance > 1e-12
    return np.asarray(
        np.where(lit[..., None], light / np.where(lit, luminance, 1.0)[..., None], 1.0)
    )
