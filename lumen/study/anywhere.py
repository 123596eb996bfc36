"""Illuminance at any points of a plan's room, so that others can check us."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lumen.errors import LumenError
from lumen.light.sources import StripSource
from lumen.scenario.document import Scenario
from lumen.study.cache import Cache, using
from lumen.study.lighting.evaluation import Evaluation, evaluation_of
from lumen.study.lighting.maps import EVERYTHING, emitters_of, levels_of
from lumen.study.load.electrics import strip_profiles
from lumen.study.scene.emitters import Emitter
from lumen.study.scene.reading import lit_pages, other_pages, page_slabs, reading_of
from lumen.study.scene.surfaces import held_in, solid_at
from lumen.study.scene.targets import Target, targets

__all__ = ["illuminance_at"]

_BLOCK = 1000  # points at a time: 3500 sensors with their rows would take 0.8 GB


def illuminance_at(
    scenario: Scenario,
    points: ArrayLike,
    normals: ArrayLike,
    *,
    setup: str | None = None,
    bounced: bool = True,
    target: str | None = None,
    engine: Cache | None = None,
) -> NDArray[np.float64]:
    """Return the illuminance (n,) [lx] at points of the room.

    Parameters
    ----------
    scenario
        The plan.
    points : (n, 3) or (3,)
        Where [m], in the room's frame. On a surface is in the room, and what lies up to 1 mm
        outside the room or inside furniture counts as on its surface.
    normals : (n, 3) or (3,)
        Which way each point looks, of any length but 0; one for all may be given.
    setup
        Id of a setup; None means everything on at full level.
    bounced
        Whether light that surfaces throw back is counted beside the direct light.
    target
        Id of what the points belong to, as ``check --json`` names it: on ``page:<person>`` the
        reader's own head and shoulders cast their shadow, elsewhere nobody's does.
    engine
        An :class:`lumen.Engine` of one's own, which keeps what is dear; else that of the process.

    In a setup in which somebody reads, their page throws a shadow and is one of the surfaces that
    throw light back, and one that glows by itself is a source (:mod:`lumen.study.scene.reading`);
    with everything on nobody reads.

    Raises
    ------
    LumenError
        When the setup or the target is not in the plan, the arrays are not (n, 3) and finite, a
        normal has no length, or a point lies outside the room.

    Notes
    -----
    Deep inside furniture it is dark: 0.

    Examples
    --------
    >>> import lumen
    >>> plan = lumen.load(lumen.examples()[0])
    >>> both = lumen.illuminance_at(plan, [[1.8, 1.0, 0.9]], [[0, 0, 1]], setup="read both")
    >>> direct = lumen.illuminance_at(
    ...     plan, [[1.8, 1.0, 0.9]], [[0, 0, 1]], setup="read both", bounced=False)
    >>> bool(both[0] > direct[0] > 0)
    True
    """
    places, looks = _points_and_normals(points, normals)
    with using(engine):
        return _illuminance(scenario, places, looks, setup, bounced, target)


def _illuminance(
    scenario: Scenario,
    places: NDArray[np.float64],
    looks: NDArray[np.float64],
    setup: str | None,
    bounced: bool,
    target: str | None,
) -> NDArray[np.float64]:
    known = [s.id for s in scenario.setups]
    if setup is not None and setup not in known:
        rule = f"must be one of {', '.join(known)}" if known else "must be None: the plan has none"
        raise LumenError("setup", rule, setup)
    by_id = {one.id: one for one in targets(scenario)}
    if target is not None and target not in by_id:
        raise LumenError("target", f"must be one of {', '.join(by_id)}", target)
    if not len(places):
        return np.zeros(0)
    places, outside = held_in(scenario.room, scenario.furniture, places)
    if outside.any():
        first = int(np.flatnonzero(outside)[0])
        raise LumenError(f"points[{first}]", "must lie in the room", places[first].tolist())
    named = EVERYTHING if setup is None else setup
    reading = reading_of(scenario, by_id)
    levels = levels_of(scenario, named, reading)
    light = evaluation_of(scenario)
    lit = [
        (level, emitter)
        for emitter in emitters_of(scenario, by_id, strip_profiles(scenario))
        if (level := levels.get(emitter.id, 0.0)) > 0
    ]
    read = [
        each
        for each in lit_pages(scenario)
        if each[0] in reading.get(named, ()) and target not in other_pages(each[0])
    ]
    pages = [(_average(light, lit, by_id[page.id]), page) for _, page in read if bounced]
    by_person = page_slabs(scenario)
    slabs = [by_person[person] for person, _ in read]
    total = np.zeros(len(places))
    free = np.flatnonzero(~solid_at(scenario.furniture, places))
    for begin in range(0, len(free) if lit else 0, _BLOCK):
        rows = free[begin : begin + _BLOCK]
        sensors = light.transport.sensors(places[rows], looks[rows]) if bounced else None
        for level, emitter in (*lit, *pages):
            total[rows] += level * light.direct(emitter, places[rows], looks[rows], target or "")
            if sensors is not None:
                total[rows] += level * light.bounced(emitter, sensors)
        for slab, (level, emitter) in product(slabs, lit):
            if not isinstance(emitter.source, StripSource):
                total[rows] += level * light.taken_straight(
                    emitter, slab, places[rows], looks[rows], target or ""
                )
            if sensors is not None:
                total[rows] += level * light.taken_by_bounce(emitter, slab, sensors)
        for (person, _), (lux, page) in zip(read, pages, strict=bounced):
            if sensors is not None:
                total[rows] -= lux * light.hidden_by_bounce(page, by_person[person], sensors)
    return total


def _average(light: Evaluation, lit: Sequence[tuple[float, Emitter]], page: Target) -> float:
    """Average illuminance of a page [lx], before it gives back any light itself."""
    sensors = light.sensors(page.points, page.normals)
    return sum(
        level
        * float(
            light.direct(emitter, page.points, page.normals, page.id).mean()
            + light.bounced(emitter, sensors).mean()
        )
        for level, emitter in lit
    )


def _points_and_normals(
    points: ArrayLike, normals: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points and unit normals (n, 3), or a sentence on what is wrong with them."""
    found = []
    for name, given in (("points", points), ("normals", normals)):
        try:
            array = np.asarray(given, dtype=float)
        except (TypeError, ValueError) as error:
            raise LumenError(name, "must be numbers of shape (n, 3)", given) from error
        if array.size == 0 and array.ndim <= 2:
            array = np.zeros((0, 3))
        if array.shape == (3,):
            array = array[None]
        if array.ndim != 2 or array.shape[1] != 3:
            raise LumenError(name, "must be of shape (n, 3)", array.shape)
        bad = np.flatnonzero(~np.isfinite(array).all(axis=1))
        if len(bad):
            raise LumenError(f"{name}[{bad[0]}]", "must be finite", array[bad[0]].tolist())
        found.append(array)
    places, looks = found
    if len(looks) == 1 and len(places) != 1:
        looks = np.repeat(looks, len(places), axis=0)
    if len(looks) != len(places):
        raise LumenError("normals", f"must be as many as the points, {len(places)}", len(looks))
    length = np.linalg.norm(looks, axis=1)
    if (length < 1e-12).any():
        first = int(np.flatnonzero(length < 1e-12)[0])
        raise LumenError(f"normals[{first}]", "must not be zero", looks[first].tolist())
    return places, looks / length[:, None]
