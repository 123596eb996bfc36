"""Many lights in one place: what each would give to fixed receivers, each by one product.

For a light at ``p`` the answer at a receiver is linear in the light's intensity::

    E = sum over ways k of lux_k I(way_k),    direct and bounced

The ways, who sees whom along them, and what a candela along each gives belong to the place alone.
What becomes of the light on a patch after all bounces belongs to room and receivers alone: the
adjoint rows. Beam, aim, shade and flux then cost one evaluation of the intensity and one product.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lumen.light.direct import DISC_POINTS, DISC_WEIGHTS, NEAR_SIZES, rays_from_spots
from lumen.light.geometry import Bools, Floats, Ints
from lumen.light.intensity import IntensityDistribution
from lumen.light.interreflection.emission import is_near, ways_from_spots
from lumen.light.interreflection.mesh import Patches
from lumen.light.interreflection.surface_light import PHOTOMETRIC
from lumen.light.interreflection.transport import Sensors, Transport
from lumen.light.mirror import PlaneMirror
from lumen.light.sources import PointSource
from lumen.light.visibility import Blocker, segments_blocked

__all__ = ["Receivers", "Vantage"]

_WORTH_SORTING = 3  # lights turned alike from which on their ways are sorted


@dataclass(frozen=True, eq=False)
class Receivers:
    """Fixed receivers, each a weighted sum of sensors, with their adjoint rows.

    Attributes
    ----------
    transport : Transport
    sensors : Sensors
        Made by the same transport.
    means : (r, n)
        Weight of each sensor in each receiver.
    mirrors : tuple of PlaneMirror
    bodies : tuple of (indices, blockers)
        What stands before some sensors alone, beside the room's own blockers: a reader's body.
    slabs : tuple of Blocker
        Thin solids that stand there at times, each by itself: pages that are read.
    coarse : bool
        Takes the light on each patch as even, in place of its quarters: four times fewer ways, for
        a first look. Off, the numbers are those of the maps.
    """

    transport: Transport
    sensors: Sensors
    means: Floats
    mirrors: tuple[PlaneMirror, ...] = ()
    bodies: tuple[tuple[Ints, tuple[Blocker, ...]], ...] = ()
    slabs: tuple[Blocker, ...] = ()
    coarse: bool = False

    @property
    def cells(self) -> Patches:
        """What light falls on: quarters of patches, or patches where the look is coarse."""
        return self.transport.patches if self.coarse else self.transport.quarters

    @cached_property
    def seen_from(self) -> Floats:
        """Weight of each sensor in each receiver, (n, r)."""
        return np.ascontiguousarray(self.means.T, dtype=np.float32)

    @cached_property
    def bounced(self) -> Floats:
        """Bounced light (c, r) for each lux of direct light on a cell."""
        transport, quarters = self.transport, self.transport.quarters
        shares = quarters.areas.reshape(-1, 4)
        shares = shares / shares.sum(axis=1, keepdims=True)
        channels = PHOTOMETRIC if transport.channels == 3 else np.ones(1)
        total = np.zeros((len(self.means), len(quarters)))
        gather = self.means @ self.sensors.gather
        for weight, adjoint, rho in zip(
            channels, self.sensors.adjoint, quarters.reflectances.T, strict=True
        ):
            fine = (gather * rho).reshape(len(self.means), -1, 4)
            whole = self.means @ adjoint - fine.sum(axis=2)
            total += weight * (whole[:, :, None] * shares + fine).reshape(total.shape)
        if self.coarse:
            total = total.reshape(len(self.means), -1, 4).sum(axis=2)
        return np.ascontiguousarray(total.T, dtype=np.float32)

    @cached_property
    def ways_to_see(self) -> tuple[_Way, ...]:
        """Straight, and by each mirror."""
        return (
            _Way.straight(self),
            *(_Way.by_mirror(self, mirror) for mirror in self.mirrors),
        )


@dataclass(frozen=True, eq=False)
class _Way:
    """One way for light to come: straight, or by a mirror as from the image of the light."""

    mirror: PlaneMirror | None
    blockers: tuple[Blocker, ...]
    rows: Ints
    cells: Patches
    share: Floats
    groups: tuple[tuple[Ints, tuple[Blocker, ...]], ...]

    @classmethod
    def straight(cls, to: Receivers) -> _Way:
        cells = to.cells
        # What falls on a mirror is given on by the way that leads over it.
        share = np.ones(len(cells))
        for mirror in to.mirrors:
            share[np.repeat(mirror.holds(to.transport.patches), 1 if to.coarse else 4)] = 0.0
        blockers = to.transport.blockers
        groups = _groups(to, blockers, np.arange(len(to.sensors)))
        return cls(None, blockers, np.arange(len(cells)), cells, share, groups)

    @classmethod
    def by_mirror(cls, to: Receivers, mirror: PlaneMirror) -> _Way:
        cells = to.cells
        rows = np.flatnonzero(mirror.before(cells.centres))
        before = np.flatnonzero(mirror.before(to.sensors.points))
        groups = tuple(
            (index, mirror.blockers(solids))
            for index, solids in _groups(to, to.transport.blockers, before)
        )
        share = np.full(len(rows), mirror.reflectance)
        between = mirror.blockers(to.transport.blockers)
        return cls(mirror, between, rows, cells.subset(rows), share, groups)

    def serves(self, position: Floats) -> bool:
        return self.mirror is None or bool(self.mirror.before(position))

    def place(self, points: Floats) -> Floats:
        return points if self.mirror is None else self.mirror.image(points)

    def turned(self, ways: Floats) -> Floats:
        return ways if self.mirror is None else self.mirror.image_way(ways)

    @property
    def reflectance(self) -> float:
        return 1.0 if self.mirror is None else self.mirror.reflectance


def _groups(
    to: Receivers, blockers: tuple[Blocker, ...], among: Ints
) -> tuple[tuple[Ints, tuple[Blocker, ...]], ...]:
    left = np.zeros(len(to.sensors), dtype=bool)
    left[among] = True
    groups = []
    for index, solids in to.bodies:
        own = index[left[index]]
        left[index] = False
        groups.append((own, (*blockers, *solids)))
    return tuple(pair for pair in (*groups, (np.flatnonzero(left), blockers)) if len(pair[0]))


@dataclass(frozen=True, eq=False)
class _Rows:
    """Ways (k, 3) with the cell or sensor each ends on, ascending, and what a candela gives there.

    ``each`` (c, r) is what receivers get of one lux on it.
    """

    each: Floats
    ways: Floats
    ends_on: Ints
    lux: Floats
    reach: Floats
    ends: Floats

    @classmethod
    def joined(
        cls, each: Floats, parts: Sequence[tuple[Ints, Floats, Floats, Floats, Floats]]
    ) -> _Rows:
        """Of parts of (ends on, ways, lux, reach, ends)."""
        if not parts:
            none = np.zeros((0, 3))
            return cls(each, none, np.zeros(0, np.intp), np.zeros(0, np.float32), np.zeros(0), none)
        ends_on, ways, lux, reach, ends = (
            np.concatenate(some) for some in zip(*parts, strict=True)
        )
        order = np.argsort(ends_on, kind="stable")
        return cls(
            each,
            ways[order],
            ends_on[order],
            lux[order].astype(np.float32),
            reach[order],
            ends[order],
        )

    def only(self, rows: Bools | Ints) -> _Rows:
        """Some of the ways, in order."""
        return _Rows(
            self.each,
            self.ways[rows],
            self.ends_on[rows],
            self.lux[rows],
            self.reach[rows],
            self.ends[rows],
        )

    def beyond(self, reach_m: float) -> _Rows:
        far = self.reach >= reach_m
        return self if far.all() else self.only(far)

    def received(self, candela: Floats) -> Floats:
        """What receivers get (m, r) [lx] of intensities (m, k) [cd] along the ways."""
        if not len(self.ways):
            return np.zeros((len(candela), self.each.shape[1]), np.float32)
        first = self._first
        light = np.add.reduceat(candela * self.lux, first, axis=1)
        return np.asarray(light @ self.each[self.ends_on[first]])

    @cached_property
    def _first(self) -> Ints:
        """Where the ways to another cell begin."""
        return np.flatnonzero(np.diff(self.ends_on, prepend=-1))


class Vantage:
    """One place for a light, looked at from fixed receivers.

    Parameters
    ----------
    receivers : Receivers
    position : (3,)
        Where the light's middle would be [m].

    Notes
    -----
    The same ways, visibilities and weights as `illuminance_map` and `illuminance_from_point` use,
    way for way, so that both give the same number. Panels and strips are no points: ask the map.
    """

    def __init__(self, receivers: Receivers, position: Floats) -> None:
        self._to = receivers
        self.position = np.asarray(position, dtype=float)
        self._ways = [way for way in receivers.ways_to_see if way.serves(self.position)]
        one = np.ones(1)
        spot = self.position[None]
        self._bounced = self._onto_patches(spot, one, None)
        self._direct = self._onto_sensors(spot, one, None)
        self._far: tuple[float, _Rows, _Rows] = (0.0, self._bounced, self._direct)
        self._shut: dict[int, tuple[_Rows, list[tuple[Ints, _Rows]]]] = {}
        self._near: tuple[bytes, _Rows, _Rows] | None = None

    def responses(self, sources: Sequence[PointSource]) -> tuple[Floats, Floats]:
        """Direct and bounced light (m, r) [lx] of each of m lights, were it here.

        Parameters
        ----------
        sources : sequence of PointSource
            Their own positions are not read.
        """
        direct = np.zeros((len(sources), len(self._to.means)))
        bounced = np.zeros_like(direct)
        alike: dict[bytes, list[int]] = {}
        for number, source in enumerate(sources):
            alike.setdefault(_posture(source), []).append(number)
        for numbers in alike.values():
            some = [sources[i] for i in numbers]
            for onto_patches, onto_sensors in self._rows_for(some[0]):
                bounced[numbers] += onto_patches.received(_along(some, onto_patches.ways))
                direct[numbers] += onto_sensors.received(_along(some, onto_sensors.ways))
        return direct, bounced

    def with_slabs(self, sources: Sequence[PointSource]) -> Floats:
        """Direct and bounced light (m, 1 + s, r) [lx], then what each slab keeps of it, 0 or less.

        What a slab hides of light that has bounced is left out.
        """
        slabs = self._to.slabs
        illuminance = np.zeros((len(sources), 1 + len(slabs), len(self._to.means)))
        alike: dict[bytes, list[int]] = {}
        for number, source in enumerate(sources):
            alike.setdefault(_posture(source), []).append(number)
        for numbers in alike.values():
            some = [sources[i] for i in numbers]
            for pair in self._rows_for(some[0]):
                for rows in pair:
                    if not len(rows.ways):
                        continue
                    candela = _along(some, rows.ways)
                    illuminance[numbers, 0] += rows.received(candela)
                    for k, (hidden, shut) in enumerate(self._hidden(rows)):
                        if len(hidden):
                            illuminance[numbers, 1 + k] -= shut.received(candela[:, hidden])
        return illuminance

    def _hidden(self, rows: _Rows) -> list[tuple[Ints, _Rows]]:
        """Which ways each slab stands in; kept with the ways."""
        key = id(rows)
        if key not in self._shut:
            at = self.position[None]
            slabs = self._to.slabs
            hidden = [np.flatnonzero(segments_blocked(at, rows.ends, [slab])) for slab in slabs]
            self._shut[key] = (rows, [(index, rows.only(index)) for index in hidden])
        return self._shut[key][1]

    def _rows_for(self, source: PointSource) -> Iterator[tuple[_Rows, _Rows]]:
        """Ways onto patches and onto sensors for a light of this size, turned this way.

        Far ones hang on its size alone, near ones on how it is turned too.
        """
        size = source.size_m
        reach = NEAR_SIZES * size
        if self._far[0] != size:
            self._far = (size, self._bounced.beyond(reach), self._direct.beyond(reach))
        yield self._far[1:]
        if size <= 0.0:
            return
        key = _posture(source)
        if self._near is None or self._near[0] != key:
            spots = self.position + 0.5 * size * (DISC_POINTS @ source.axes[:2])
            onto_patches = self._onto_patches(spots, DISC_WEIGHTS, size)
            self._near = (key, onto_patches, self._onto_sensors(spots, DISC_WEIGHTS, size))
        yield self._near[1:]

    def _onto_patches(self, spots: Floats, weights: Floats, near_of: float | None) -> _Rows:
        """Ways to all patches, or from seven spots to those that are near a light of a size."""
        parts = []
        for way in self._ways:
            at, seen = way.place(self.position), way.cells
            among = np.ones(len(seen), dtype=bool)
            if near_of is not None:
                among = is_near(seen, at, near_of)
                if not among.any():
                    continue
            some = seen if near_of is None else seen.subset(np.flatnonzero(among))
            numbers = np.flatnonzero(among)
            reach = np.linalg.norm(some.centres - at, axis=1) - some.radii
            for rows, ways, lux in ways_from_spots(
                some, way.place(spots), weights, way.blockers, among=np.True_
            ):
                spread = lux.shape
                share = way.share[numbers[rows]]
                cell = np.broadcast_to(rows[None, :, None], spread).ravel()
                weight = (lux * share[None, :, None]).ravel()
                lit = weight > 0.0
                cell, weight = cell[lit], weight[lit]
                along = ways.reshape(-1, 3)[lit]
                facing = some.normals[cell]
                far = np.einsum("kc,kc->k", some.centres[cell] - at, facing)
                ends = at + along * (far / np.einsum("kc,kc->k", along, facing))[:, None]
                onto = way.rows[numbers[cell]]
                parts.append((onto, way.turned(along), weight, reach[cell], ends))
        return _Rows.joined(self._to.bounced, parts)

    def _onto_sensors(self, spots: Floats, weights: Floats, near_of: float | None) -> _Rows:
        parts = []
        for way in self._ways:
            at = way.place(self.position)
            for index, blockers in way.groups:
                distance = np.linalg.norm(self._to.sensors.points[index] - at, axis=1)
                if near_of is not None:
                    near: Bools = distance < NEAR_SIZES * near_of
                    if not near.any():
                        continue
                    index, distance = index[near], distance[near]
                point, ways, lux = rays_from_spots(
                    self._to.sensors.points[index],
                    self._to.sensors.normals[index],
                    way.place(spots),
                    weights,
                    blockers,
                )
                on = index[point]
                ends = self._to.sensors.points[on]
                lux = way.reflectance * lux
                parts.append((on, way.turned(ways), lux, distance[point], ends))
        return _Rows.joined(self._to.seen_from, parts)


def _posture(source: PointSource) -> bytes:
    return np.append(source.axes.ravel(), source.size_m).tobytes()


def _along(sources: Sequence[PointSource], ways: Floats) -> Floats:
    """Intensity (m, k) [cd] of lights turned alike along ways (k, 3) of the room."""
    own = ways @ sources[0].axes.T
    candela = np.empty((len(sources), len(ways)), np.float32)
    even: list[int] = []
    for number, source in enumerate(sources):
        if getattr(source.distribution, "is_symmetric", False):
            even.append(number)
        else:
            candela[number] = source.distribution.intensity(own)
    if even:
        gamma = np.arctan2(np.hypot(own[:, 0], own[:, 1]), -own[:, 2])
        # A table is read faster in order: sorted once, read by every light turned this way.
        order = np.argsort(gamma) if len(even) > _WORTH_SORTING else np.arange(len(gamma))
        gamma = gamma[order]
        for number in even:
            form = sources[number].distribution
            assert isinstance(form, IntensityDistribution)
            candela[number, order] = form.at_gamma(gamma)
    return candela
