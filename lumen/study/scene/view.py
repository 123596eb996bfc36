"""What lies in a direction: the first patch of the room that a ray from a point meets."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.light.interreflection import Patches

__all__ = ["first_patch"]

Array = NDArray[np.floating[Any]]


def first_patch(
    patches: Patches, origin: Array, directions: Array
) -> tuple[NDArray[np.intp], Array]:
    """Return the patch (n,) that each ray meets first, -1 for none, and how far off [m].

    Parameters
    ----------
    patches
        Patches of a room; only their lit sides count.
    origin : (3,) or (n, 3)
        Where the rays start [m].
    directions : (n, 3)
        Unit vectors.
    """
    d = np.asarray(directions, dtype=float)
    start = np.broadcast_to(np.asarray(origin, dtype=float), d.shape)
    best = np.full(len(d), np.inf)
    index = np.full(len(d), -1, dtype=np.intp)
    edges = np.roll(patches.corners, -1, axis=1) - patches.corners
    outward = np.cross(edges, patches.normals[:, None])
    level = np.einsum("nkc,nkc->nk", outward, patches.corners)
    height = np.einsum("nc,nc->n", patches.normals, patches.centres)
    for row, (p, ray) in enumerate(zip(start, d, strict=True)):
        slope = patches.normals @ ray
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (height - patches.normals @ p) / slope
        ahead = np.flatnonzero((slope < -1e-9) & (t > 1e-6))
        hit = p + t[ahead, None] * ray
        within = (np.einsum("nkc,nc->nk", outward[ahead], hit) <= level[ahead] + 1e-9).all(axis=1)
        ahead = ahead[within]
        if len(ahead):
            index[row] = ahead[np.argmin(t[ahead])]
            best[row] = t[index[row]]
    return index, best
