"""Breakers: standard sizes, and the currents at which they trip at once."""

from __future__ import annotations

import math

from lumen.errors import LumenError
from lumen.tables import table

__all__ = ["magnetic_zone"]


def magnetic_zone(
    breaker_a: float, *, region: str, curve: str | None = None
) -> tuple[float, float]:
    """Return the currents from which a breaker may, and by which it must, trip at once [A].

    ``curve`` B, C or D where IEC 60898-1 holds (left out: B, the touchier one); ``"plain"`` in
    the US, Canada and Japan.

    Source: table ``breakers``.

    Examples
    --------
    >>> magnetic_zone(16.0, region="EU"), magnetic_zone(15.0, region="US")
    ((48.0, 80.0), (75.0, 150.0))
    """
    if not (math.isfinite(breaker_a) and breaker_a > 0.0):
        raise LumenError("breaker_a", "must be more than 0", breaker_a)
    for row in table("breakers"):
        if region in row["regions"].split() and curve in (None, row["curve"]):
            return breaker_a * float(row["trips_from"]), breaker_a * float(row["trips_by"])
    raise LumenError(
        "region, curve", "must be a known region and one of its curves", (region, curve)
    )
