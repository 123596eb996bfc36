"""Surfaces as an eye sees them: their luminance at points, source by source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.study.lighting.evaluation import Spread
from lumen.study.lighting.maps import Lighting, LitPage
from lumen.study.scene.emitters import Emitter
from lumen.study.scene.view import first_patch

__all__ = ["SeenSurfaces", "seen_surfaces", "while_read"]

Array = NDArray[np.floating[Any]]

_LIFT_M = 0.002  # clear of the surface that is looked at, which would hide its own light


@dataclass(frozen=True, eq=False)
class SeenSurfaces:
    """The places where rays from an eye meet surfaces of the room.

    ``points`` and ``normals`` are (n, 3), ``reflectances`` (n,). ``luminance`` (sources, n) is what
    each source at full output makes of them [cd/m2]; ``by_page`` (pages, sources, n) what each page
    that is read adds to that.
    """

    points: Array
    normals: Array
    reflectances: Array
    luminance: Array
    by_page: Array

    def at(self, weights: Array, read: NDArray[np.bool_]) -> Array:
        """Return the luminances (n,) [cd/m2] with sources at levels and pages read or not."""
        return np.asarray(weights @ self.luminance + weights @ self.by_page[read].sum(axis=0))


def seen_surfaces(lighting: Lighting, eye: Array, directions: Array) -> SeenSurfaces:
    """Return what unit vectors (n, 3) from an eye (3,) meet; those that meet nothing are left out.

    By Lambert's law, from the illuminance at the very points: L = rho E / pi. In a mirror the light
    that has bounced shows as on a matt surface; what comes straight to it is mirrored elsewhere.
    """
    patches, light = lighting.transport.patches, lighting.evaluation
    index, off = first_patch(patches, eye, directions)
    met = index >= 0
    index = index[met]
    normals = patches.normals[index]
    points = eye + off[met, None] * directions[met] + _LIFT_M * normals
    share = patches.reflectances[index, 0] / np.pi
    matt = np.ones(len(patches))
    for _, mirror in lighting.mirrors:
        matt[mirror.holds(patches)] = 0.0
    few = light.sensors(points, normals)
    spread = Spread(points, normals, few, np.eye(len(points)))

    def given(emitter: Emitter) -> tuple[Array, Array]:
        return light.direct(emitter, points, normals), light.bounced(emitter, few)

    rows = []
    for emitter in lighting.emitters:
        direct, bounced = light.cache.get(
            "seen light",
            partial(given, emitter),
            transport=lighting.room,
            points=points,
            normals=normals,
            source=emitter.content,
            detail=light.detail_of(emitter),
        )
        rows.append(share * (matt[index] * direct + bounced))
    by_page = [share * while_read(lighting, page, spread) for page in lighting.pages]
    shape = (len(lighting.emitters), len(points))
    return SeenSurfaces(
        points,
        normals,
        np.asarray(patches.reflectances[index, 0]),
        np.array(rows).reshape(shape),
        np.array(by_page).reshape(len(by_page), *shape),
    )


def while_read(lighting: Lighting, page: LitPage, spread: Spread) -> Array:
    """What a page that is read adds to each source's light (sources, n) [lx], its shadow off."""
    light, points, normals = lighting.evaluation, spread.points, spread.normals
    gives = light.direct(page.emitter, points, normals) + light.bounced_over(page.emitter, spread)
    gives -= spread.draw @ light.hidden_by_bounce(page.emitter, page.slab, spread.few)
    rows = page.per_source[:, None] * gives[None]
    for k, emitter in enumerate(lighting.emitters):
        rows[k] += spread.draw @ light.taken_by_bounce(emitter, page.slab, spread.few)
        if page.taken[k] is not None:
            rows[k] += light.taken_straight(emitter, page.slab, points, normals)
    return np.asarray(rows)
