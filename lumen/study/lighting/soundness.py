"""Guards on every study's light: what breaks a law of nature is refused, not shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.errors import GeometryError
from lumen.light.interreflection import SurfaceLight, Transport
from lumen.study.scene.emitters import Emitter

__all__ = ["check_light"]

Array = NDArray[np.floating[Any]]

_GAIN = 1.10
"""Most of a source's light that may be found on the room's surfaces: 0.98 to 1.01 in our twelve
rooms, where the rest is what patches of finite size lose or gain."""

_CLOSED, _RECIPROCAL = 0.01, 1e-6
"""Most of its light that a room may lose or make, and largest distance of A F from its way back:
1e-5 and 1e-15 in our rooms, 5e-4 with boards that lean through a wall. Single patches in such
a wedge may see 0.4 too little; they weigh nothing, and are no reason to refuse a plan."""


def check_light(
    transport: Transport,
    emitters: Sequence[Emitter],
    surfaces: Sequence[SurfaceLight],
    direct: Array,
    bounced: Array,
) -> None:
    """Refuse light that cannot be.

    Parameters
    ----------
    transport, surfaces
        The room's exchange, and what each source leaves on its surfaces.
    direct, bounced : (sources, n)
        Illuminance at all points [lx].

    Raises
    ------
    GeometryError
        When the room loses or makes light, when light is not returned as it is received, when a
        source gives more than it has, or a number is none or below nothing.
    """
    health = transport.health
    for what, found, most in (
        ("must give as much light as it takes back", health.reciprocity_error, _RECIPROCAL),
        ("must take up as much light as it is given", abs(health.flux_error), _CLOSED),
    ):
        if not found <= most:
            raise GeometryError("room: each surface", what, found)
    for emitter, lit, straight, thrown in zip(emitters, surfaces, direct, bounced, strict=True):
        given = float(emitter.source.flux_lm)
        if not lit.captured_flux_lm <= _GAIN * given + 1e-9:
            rule = f"must not light the room with more than its {given:.4g} lm"
            raise GeometryError(emitter.id, rule, lit.captured_flux_lm)
        for values in (straight, thrown):
            if not (np.isfinite(values).all() and (values >= -1e-6 * max(1.0, given)).all()):
                least = float(np.min(np.nan_to_num(values, nan=-np.inf)))
                raise GeometryError(emitter.id, "must give every point a number of lux", least)
