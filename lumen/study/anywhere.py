"""Illuminance at any points of a plan's room, so that others can check us."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lumen.errors import LumenError
from lumen.light.interreflection import illuminance_map
from lumen.light.mirror import with_mirrors
from lumen.scenario.document import Scenario
from lumen.study.electrics import strip_profiles
from lumen.study.lighting import EVERYTHING, lighting

__all__ = ["illuminance_at"]


def illuminance_at(
    scenario: Scenario,
    points: ArrayLike,
    normals: ArrayLike,
    *,
    setup: str | None = None,
    bounced: bool = True,
) -> NDArray[np.float64]:
    """Return the illuminance (n,) [lx] at points of the room.

    Parameters
    ----------
    scenario
        The plan.
    points, normals : (n, 3)
        Where [m], in the room's frame, and which way each point looks.
    setup
        Id of a setup; None means everything on at full level.
    bounced
        Whether light that surfaces throw back is counted beside the direct light.

    Raises
    ------
    LumenError
        When the setup is not in the plan or the arrays are not (n, 3) and finite.

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
    places, looks = (np.asarray(a, dtype=float) for a in (points, normals))
    for name, array in (("points", places), ("normals", looks)):
        if array.ndim != 2 or array.shape[1] != 3 or not np.isfinite(array).all():
            raise LumenError(name, "must be finite numbers of shape (n, 3)", array.shape)
    if len(places) != len(looks):
        raise LumenError("normals", f"must be as many as the points, {len(places)}", len(looks))
    known = [s.id for s in scenario.setups]
    if setup is not None and setup not in known:
        raise LumenError("setup", f"must be one of {', '.join(known)}", setup)
    lit = lighting(scenario, strip_profiles(scenario))
    sensors = lit.transport.sensors(places, looks)
    weights = lit.weights(EVERYTHING if setup is None else setup)
    mirrors = [mirror for _, mirror in lit.mirrors]
    total = np.zeros(len(places))
    for weight, emitter in zip(weights, lit.emitters, strict=True):
        if weight > 0:
            matt = illuminance_map(lit.transport, sensors, emitter.source)
            found = with_mirrors(matt, lit.transport, sensors, emitter.source, mirrors)
            total += weight * (found.direct + (found.bounced if bounced else 0.0))
    return total
