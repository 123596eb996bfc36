"""Mean direct illuminance of whole patches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from lumen.light.direct import (
    DISC_WEIGHTS,
    NEAR_SIZES,
    configuration_factor,
    disc_spots,
    illuminance_from_strip,
)
from lumen.light.geometry import Floats, Ints
from lumen.light.interreflection.mesh import Patches, quad_points
from lumen.light.interreflection.settings import FULL, NearFieldSettings
from lumen.light.sources import PanelSource, PointSource, StripSource
from lumen.light.visibility import Blocker, visible_pairs

__all__ = [
    "is_near",
    "mean_from_panel",
    "mean_from_point",
    "mean_from_strip",
    "solid_angle",
    "ways_from_spots",
]


_LATTICE, _LATTICE_STEP = 55, 34  # two of Fibonacci's numbers


def solid_angle(quads: Floats, position: Floats) -> Floats:
    """Solid angle [sr] of convex quads (N, 4, 3) seen from one point (3,), or from each of (k, 3).

    Notes
    -----
    Two triangles each, by the formula of van Oosterom and Strackee (IEEE Transactions on
    Biomedical Engineering 30(2), 1983; cited from memory).
    """
    corners = quads.transpose(1, 2, 0)[:, :, None]  # (corner, xyz, 1, quad)
    r = corners - np.atleast_2d(position).T[None, :, :, None]
    size = np.sqrt(np.einsum("icpn,icpn->ipn", r, r))
    total = np.zeros(size.shape[1:])
    for i, j, k in ((0, 1, 2), (0, 2, 3)):
        a, b, c = r[i], r[j], r[k]
        la, lb, lc = size[i], size[j], size[k]
        triple = (
            a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
        )
        ab, ac, bc = (np.einsum("cpn,cpn->pn", x, y) for x, y in ((a, b), (a, c), (b, c)))
        total += 2.0 * np.arctan2(triple, la * lb * lc + ab * lc + ac * lb + bc * la)
    return np.abs(total).reshape((*np.shape(position)[:-1], len(quads)))


def _grid(k: int) -> tuple[Floats, Floats]:
    nodes = (np.arange(k) + 0.5) / k
    s, t = np.meshgrid(nodes, nodes, indexing="ij")
    return s.ravel(), t.ravel()


def mean_from_point(patches: Patches, source: PointSource, blockers: Sequence[Blocker]) -> Floats:
    """Mean direct illuminance (N,) [lx] of every patch from a small light.

    Notes
    -----
    The flux of an even source through a patch is its solid angle, exactly; the intensity and the
    visible fraction are averaged over points of the patch, 4 of them, 36 when near.
    """
    near = is_near(patches, source.position, source.size_m)
    one = source.position[None]
    result = _mean_from_spots(patches, source, one, np.ones(1), blockers, among=~near)
    if near.any():
        some = patches.subset(np.flatnonzero(near))
        result[near] = _mean_from_spots(
            some, source, disc_spots(source), DISC_WEIGHTS, blockers, among=np.True_
        )
    return result


def is_near(patches: Patches, position: Floats, size_m: float) -> npt.NDArray[np.bool_]:
    """Which patches (N,) are so near a light that its opening is no point."""
    reach = np.linalg.norm(patches.centres - position, axis=1) - patches.radii
    return np.asarray(reach < NEAR_SIZES * size_m)


def _mean_from_spots(
    patches: Patches,
    source: PointSource,
    spots: Floats,
    weights: Floats,
    blockers: Sequence[Blocker],
    *,
    among: npt.NDArray[np.bool_] | np.bool_,
) -> Floats:
    """Mean illuminance (N,) from a light that is spread over spots (p, 3) by weights (p,).

    Patches that are not ``among`` (N,) are left at zero.
    """
    result = np.zeros(len(patches))
    for rows, ways, lux in ways_from_spots(patches, spots, weights, blockers, among=among):
        intensity = source.distribution.intensity(ways @ source.axes.T)
        result[rows] = np.einsum("pmk,pmk->m", intensity, lux)
    return result


def ways_from_spots(
    patches: Patches,
    spots: Floats,
    weights: Floats,
    blockers: Sequence[Blocker],
    *,
    among: npt.NDArray[np.bool_] | np.bool_,
) -> Iterator[tuple[Ints, Floats, Floats]]:
    """Yield the ways from a light to points of the patches, and what a candela along each gives.

    Parameters
    ----------
    patches : Patches
    spots, weights : (p, 3), (p,)
        What the light is spread over [m], and the share of each.
    blockers : sequence of Blocker
    among : (N,) bool
        Which patches are asked for.

    Yields
    ------
    rows : (m,)
        Patches that are lit, far ones first, then those near the light.
    ways : (p, m, k, 3)
        Unit directions from the light to k points of each, in the room's frame.
    lux : (p, m, k)
        Mean illuminance of the patch for each candela along the way [lx/cd].
    """
    to_spot = spots[:, None] - patches.centres
    distance = np.sqrt(np.einsum("pmc,pmc->pm", to_spot, to_spot)).min(axis=0)
    lit = (np.einsum("pmc,mc->pm", to_spot, patches.normals) > 1e-9) & among
    near = distance < 2.0 * patches.radii
    for rows, k in (
        (np.flatnonzero(lit.any(axis=0) & ~near), 2),
        (np.flatnonzero(lit.any(axis=0) & near), 6),
    ):
        if not len(rows):
            continue
        quads = patches.corners[rows]
        if k == 2:
            points, density = (each[rows] for each in patches.middles)
        else:
            points, density = quad_points(quads, *_grid(k))
        ray = points - spots[:, None, None]
        d2 = np.einsum("pmkc,pmkc->pmk", ray, ray)
        d = np.sqrt(d2)
        facing = np.einsum("pmkc,mc->pmk", ray, patches.normals[rows])
        kernel = np.maximum(-facing, 0.0) / (d2 * d) * density
        flux = np.where(lit[:, rows], solid_angle(quads, spots), 0.0) * weights[:, None]
        flux /= patches.areas[rows] * np.maximum(kernel.sum(axis=2), 1e-300)
        if blockers:
            seen = visible_pairs(spots, points.reshape(-1, 3), blockers)
            kernel *= seen.reshape(d.shape)
        yield rows, ray / d[..., None], kernel * flux[..., None]


def mean_from_panel(patches: Patches, source: PanelSource, blockers: Sequence[Blocker]) -> Floats:
    """Mean direct illuminance (N,) [lx] of every patch from a flat panel.

    Notes
    -----
    Exact factors to the whole panel from the middle of a patch (16 points when near), times the
    visible fraction over 8 x 8 points of the panel, weighted by the kernel.
    """
    result = np.zeros(len(patches))
    centre, normal = source.corners.mean(axis=0), source.normal
    size = float(np.linalg.norm(source.corners[2] - source.corners[0])) / 2.0
    exitance = source.flux_lm / source.area_m2
    spots, _ = quad_points(source.corners[None], *_grid(8))
    lit = ((patches.corners - centre) @ normal).max(axis=1) > 1e-9
    level = np.einsum("nc,nc->n", patches.centres, patches.normals)
    lit &= (patches.normals @ source.corners.T).max(axis=1) - level > 1e-9
    near = np.linalg.norm(patches.centres - centre, axis=1) < 2.0 * (patches.radii + size)
    for rows, k in ((np.flatnonzero(lit & ~near), 1), (np.flatnonzero(lit & near), 4)):
        if not len(rows):
            continue
        if k == 1:
            points, share = patches.centres[rows], np.ones((len(rows), 1))
        else:
            nodes, weights = np.polynomial.legendre.leggauss(k)
            s, t = (g.ravel() for g in np.meshgrid(0.5 + nodes / 2, 0.5 + nodes / 2, indexing="ij"))
            spread, density = quad_points(patches.corners[rows], s, t)
            points = spread.reshape(-1, 3)
            share = density * np.outer(weights, weights).ravel() / 4.0
        normals = np.repeat(patches.normals[rows], k * k, axis=0)
        polygons = np.broadcast_to(source.corners, (len(points), 4, 3))
        factor = configuration_factor(points, normals, polygons)
        factor = np.where((points - centre) @ normal > 0.0, factor, 0.0)
        if blockers:
            factor *= _seen_share(points, normals, spots[0], blockers)
        result[rows] = exitance * (factor.reshape(share.shape) * share).sum(axis=1)
    return result


def _seen_share(
    points: Floats, normals: Floats, spots: Floats, blockers: Sequence[Blocker]
) -> Floats:
    """Visible shares (m,) of a panel that shines from flat spots (k, 3), by what each gives."""
    seen = visible_pairs(spots, points, blockers)
    share = np.ones(len(points))
    mixed = np.flatnonzero(~seen.all(axis=0))
    if len(mixed):
        p, n = points[mixed], normals[mixed]
        # all spots lie in one plane: their own cosines differ by the distance alone
        d2 = (spots * spots).sum(axis=1)[:, None] + (p * p).sum(axis=1) - 2.0 * spots @ p.T
        kernel = np.maximum(spots @ n.T - (p * n).sum(axis=1), 0.0) / np.maximum(d2 * d2, 1e-12)
        total = kernel.sum(axis=0)
        lit = np.einsum("km,km->m", kernel, seen[:, mixed])
        share[mixed] = np.divide(lit, total, out=np.zeros(len(mixed)), where=total > 0)
    return share


def mean_from_strip(
    patches: Patches,
    source: StripSource,
    blockers: Sequence[Blocker],
    settings: NearFieldSettings = FULL,
) -> Floats:
    """Mean direct illuminance (N, 4) [lx] of the quarters of every patch from a strip.

    Notes
    -----
    Nine points of each patch, eight of them near its sides, tell whether it is wholly lit. If it
    is, the closed form at 2 x 2 Gauss points of each quarter, without asking for shadows; if the
    edge of a shadow or of the lit half space crosses it, at 55 points of each quarter, no two of
    them as far from a side: such an edge is mostly parallel to one.
    """
    result = np.zeros((len(patches), 4))
    sides = np.array([0.02, 0.5, 0.98])
    nine = tuple(g.ravel() for g in np.meshgrid(sides, sides))
    clear, _ = _at_points(patches, source, (), *nine)
    some = np.flatnonzero(clear.max(axis=1) > 0.0)
    light, _ = _at_points(patches.subset(some), source, blockers, *nine)
    dim = (light < (1.0 - settings.dim_share) * clear[some]).any(axis=1) | (
        clear[some].min(axis=1) <= 0.0
    )
    nodes = 0.5 + 0.5 * np.polynomial.legendre.leggauss(2)[0]
    gauss = tuple(g.ravel() for g in np.meshgrid(nodes, nodes))
    for rows, (s, t), solids in (
        (some[~dim], gauss, ()),
        (some[dim & (light.max(axis=1) > 0.0)], _lattice(), blockers),
    ):
        in_quarters = (
            (0.5 * (x + step[:, None])).ravel()
            for x, step in ((s, np.array([0, 1, 0, 1])), (t, np.array([0, 0, 1, 1])))
        )
        light_at, density = _at_points(patches.subset(rows), source, solids, *in_quarters)
        density = density.reshape(len(rows), 4, len(s))
        light_at = light_at.reshape(density.shape) * density
        result[rows] = light_at.sum(axis=2) / density.sum(axis=2)
    return result


def _lattice() -> tuple[Floats, Floats]:
    """Points of a square by Fibonacci's lattice: no two share a coordinate."""
    i = np.arange(_LATTICE)
    return (i + 0.5) / _LATTICE, ((i * _LATTICE_STEP) % _LATTICE + 0.5) / _LATTICE


def _at_points(
    patches: Patches, source: StripSource, blockers: Sequence[Blocker], s: Floats, t: Floats
) -> tuple[Floats, Floats]:
    """Light of a strip at points (N, k) of patches, and their density."""
    spots, density = quad_points(patches.corners, s, t)
    facing = np.repeat(patches.normals, len(s), axis=0)
    light = illuminance_from_strip(spots.reshape(-1, 3), facing, source, blockers)
    return light.reshape(density.shape), density
