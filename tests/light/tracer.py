"""Light tracing on Mitsuba's ray casts: particles from the source, each landing joined to sensors.

Tracing backward from a sensor is not used: into a gap of 25 to 60 mm it looks converged long before
it is. Sources have no body. Needs Mitsuba with a working LLVM (Debian: ``libllvm19``).
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import numpy as np

from lumen.light.geometry import Floats, unit
from lumen.light.room import Room
from lumen.light.sources import PanelSource, PointSource, Source, StripSource

__all__ = ["Tracer", "reference", "renderer"]


def renderer() -> Any:
    """Mitsuba in its vectorised variant; without it the test fails rather than passes over."""
    if "DRJIT_LIBLLVM_PATH" not in os.environ:
        for pattern in ("libLLVM*19*.so*", "libLLVM*18*.so*", "libLLVM*17*.so*", "libLLVM*16*.so*"):
            found = sorted(Path("/usr/lib").glob(f"*/{pattern}"))
            if found:
                os.environ["DRJIT_LIBLLVM_PATH"] = str(found[0])
                break
    import mitsuba as mi

    mi.set_variant("llvm_ad_rgb")
    import drjit as dr

    dr.eval(dr.arange(mi.Float, 4) + 1)  # fails here without LLVM 16 or newer
    return mi


class Tracer:
    """Light tracing with connections to sensors, on Mitsuba's ray casts."""

    def __init__(self, mi: Any, room: Room) -> None:
        import drjit as dr

        self.mi, self.dr = mi, dr
        corners: list[Floats] = []
        reflectances: list[float] = []
        for surface in room.surfaces:
            for triangle in _fan(surface.corners):
                corners.append(triangle)
                reflectances.append(float(surface.reflectance))
        for index, box in enumerate(room.boxes):
            for face, rho in zip(box.faces(), room.box_face_reflectance(index)[:, 0], strict=True):
                corners += [face[[0, 1, 2]], face[[0, 2, 3]]]
                reflectances += [float(rho)] * 2
        triangles = np.array(corners)
        mesh = mi.Mesh("room", 3 * len(triangles), len(triangles))
        params = mi.traverse(mesh)
        params["vertex_positions"] = mi.Float(triangles.reshape(-1).astype(np.float32))
        params["faces"] = mi.UInt(np.arange(3 * len(triangles), dtype=np.uint32))
        params.update()
        self.scene = mi.load_dict({"type": "scene", "room": mesh})
        self.reflectances = mi.Float(np.array(reflectances, dtype=np.float32))

    def emit(
        self, source: Source, n: int, rng: np.random.Generator
    ) -> tuple[Floats, Floats, Floats]:
        """Origins, directions and weights (share of the flux) of particles."""
        u = (np.arange(n) + rng.random(n)) / n
        v = rng.permutation(u) if n else u
        a, b = rng.permutation(u), rng.permutation((np.arange(n) + rng.random(n)) / n)
        if isinstance(source, PointSource):
            z, phi = 2.0 * a - 1.0, 2.0 * np.pi * b
            s = np.sqrt(1.0 - z * z)
            own = np.stack([s * np.cos(phi), s * np.sin(phi), z], axis=1)
            weight = source.distribution.intensity(own) * 4.0 * np.pi / n
            return np.broadcast_to(source.position, (n, 3)), own @ source.axes, weight
        origin, normal, flux = _spread(source, u, v)
        phi = 2.0 * np.pi * b
        x = unit(np.cross(normal, [0.3, 0.5, 0.81]))
        y = np.cross(normal, x)
        direction = (
            np.sqrt(a)[:, None] * (np.cos(phi)[:, None] * x + np.sin(phi)[:, None] * y)
            + np.sqrt(1.0 - a)[:, None] * normal
        )
        return origin, direction, np.full(n, flux / n)

    def direct(self, source: Source, points: Floats, normals: Floats, n: int = 64) -> Floats:
        """Direct illuminance at sensors from n x n stratified points of the source."""
        if isinstance(source, PointSource):
            ray = points - source.position
            d = np.linalg.norm(ray, axis=1)
            cosine = np.maximum(-(ray * normals).sum(axis=1) / d, 0.0)
            e = source.distribution.intensity((ray / d[:, None]) @ source.axes.T) * cosine / d**2
            return e * ~self.blocked(np.broadcast_to(source.position, points.shape), points)
        m, k = (n * n // 8, 8) if isinstance(source, StripSource) else (n, n)
        u, v = np.meshgrid((np.arange(m) + 0.5) / m, (np.arange(k) + 0.5) / k)
        spots, normal, flux = _spread(source, u.ravel(), v.ravel())
        result = []
        for p, q in zip(points, normals, strict=True):
            ray = p - spots
            d2 = (ray**2).sum(axis=1)
            kernel = np.maximum(ray @ normal, 0.0) * np.maximum(-(ray @ q), 0.0) / d2**2
            rows = np.flatnonzero(kernel > 0.0)
            seen = np.zeros(len(spots))
            if len(rows):
                seen[rows] = ~self.blocked(spots[rows], np.broadcast_to(p, (len(rows), 3)))
            result.append((kernel * seen).mean() * flux / np.pi)
        return np.array(result)

    def blocked(self, starts: Floats, ends: Floats) -> Floats:
        mi = self.mi
        a, b = mi.Point3f(starts.T.astype(np.float32)), mi.Point3f(ends.T.astype(np.float32))
        ray = mi.Ray3f(a, b - a)
        ray.maxt = 1.0 - 1e-5
        ray.o += 1e-5 * ray.d
        return np.array(self.scene.ray_test(ray))

    def bounced(
        self, source: Source, points: Floats, normals: Floats, n: int, seed: int, depth: int = 20
    ) -> Floats:
        """One replicate of the bounced illuminance at all sensors.

        A particle that has lost nine tenths of its light goes on by chance, and then with as much
        light as keeps the mean: most of those in a narrow gap never come out of it.
        """
        mi, dr = self.mi, self.dr
        m, rng = len(points), np.random.default_rng(seed)
        origin, direction, weight = self.emit(source, n, rng)
        least = _LEAST * float(weight.max())
        o = mi.Point3f(np.array(origin).T.astype(np.float32))
        d = mi.Vector3f(np.array(direction).T.astype(np.float32))
        o += 1e-5 * d
        w = mi.Float(weight.astype(np.float32))
        flat_p = mi.Float(points.astype(np.float32).ravel())
        flat_n = mi.Float(normals.astype(np.float32).ravel())
        total = dr.zeros(mi.Float, m)
        for _ in range(depth):
            hit = self.scene.ray_intersect_preliminary(mi.Ray3f(o, d))
            si = hit.compute_surface_interaction(mi.Ray3f(o, d))
            front = dr.dot(mi.Vector3f(si.n), d) < 0.0
            ok = hit.is_valid() & front
            w = dr.select(ok, w * dr.gather(mi.Float, self.reflectances, hit.prim_index, ok), 0.0)
            left = np.nan_to_num(np.array(w))  # a ray along an edge may find no normal
            alive = np.flatnonzero(rng.random(len(left)) < left / least)
            if not len(alive):
                break
            left = np.maximum(left[alive], least)
            kept = mi.UInt(alive.astype(np.uint32))
            at, normal = (
                kind(*(dr.gather(mi.Float, axis, kept) for axis in (v.x, v.y, v.z)))
                for kind, v in ((mi.Point3f, si.p), (mi.Vector3f, si.n))
            )
            w, x = mi.Float(left.astype(np.float32)), at + 2e-5 * normal
            sampler = mi.load_dict({"type": "independent"})
            sampler.seed(int(rng.integers(1 << 31)), len(alive))
            d = mi.Frame3f(normal).to_world(mi.warp.square_to_cosine_hemisphere(sampler.next_2d()))
            dr.eval(w, x, d, normal)
            index = dr.arange(mi.UInt, len(alive) * m)
            particle, sensor = index // m, index % m
            p, q = (
                dr.gather(kind, flat, sensor)
                for kind, flat in ((mi.Point3f, flat_p), (mi.Vector3f, flat_n))
            )
            px = mi.Point3f(*(dr.gather(mi.Float, c, particle) for c in (x.x, x.y, x.z)))
            pn = mi.Vector3f(
                *(dr.gather(mi.Float, c, particle) for c in (normal.x, normal.y, normal.z))
            )
            pw = dr.gather(mi.Float, w, particle)
            ray = p - px
            d2 = dr.squared_norm(ray)
            kernel = dr.maximum(dr.dot(ray, pn), 0.0) * dr.maximum(-dr.dot(ray, q), 0.0) / (d2 * d2)
            active = (kernel * pw) > 0.0
            test = mi.Ray3f(px, ray)
            test.maxt = 1.0 - 1e-5
            active &= ~self.scene.ray_test(test, active)
            dr.scatter_reduce(dr.ReduceOp.Add, total, pw * kernel / np.pi, sensor, active)
            o = x
            dr.eval(total, o)
        return np.array(total, dtype=float)


_LEAST = 0.1


def _fan(corners: Floats) -> list[Floats]:
    """Triangles of a polygon from its reflex corner if it has one (an L), else from the first."""
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[1])
    edges = np.roll(corners, -1, axis=0) - corners
    area = sum(np.cross(corners[i], corners[(i + 1) % len(corners)]) for i in range(len(corners)))
    turn = np.cross(np.roll(edges, 1, axis=0), edges) @ np.asarray(area)
    del normal
    first = int(np.argmin(turn)) if turn.min() < 0.0 else 0
    ring = np.roll(corners, -first, axis=0)
    return [ring[[0, i, i + 1]] for i in range(1, len(ring) - 1)]


def _spread(source: Source, u: Floats, v: Floats) -> tuple[Floats, Floats, float]:
    """Points of a straight strip or a panel by two parameters; its normal and flux."""
    if isinstance(source, StripSource):
        a, b = source.path
        normal = source.facing[0]
        across = np.cross(unit(b - a), normal) * source.width_m
        points = a + u[:, None] * (b - a) + (v - 0.5)[:, None] * across
        return points, normal, source.flux_lm
    assert isinstance(source, PanelSource)
    c = source.corners
    return (
        c[0] + u[:, None] * (c[1] - c[0]) + v[:, None] * (c[3] - c[0]),
        source.normal,
        source.flux_lm,
    )


def reference(
    mi: Any,
    room: Room,
    source: Source,
    points: Floats,
    normals: Floats,
    *,
    replicates: int = 10,
    particles: int = 32_000,
) -> tuple[Floats, Floats]:
    """Total illuminance at the sensors and its standard error."""
    tracer = Tracer(mi, room)
    runs = np.array(
        [tracer.bounced(source, points, normals, particles, 2 * k + 11) for k in range(replicates)]
    )
    error = runs.std(axis=0, ddof=1) / np.sqrt(replicates)
    return tracer.direct(source, points, normals) + runs.mean(axis=0), error
