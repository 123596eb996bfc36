"""Cord along a route: its length with slack, and the length to buy."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lumen.errors import LumenError
from lumen.tables import table

__all__ = [
    "DRAWER_BEND_M",
    "END_SLACK_M",
    "SLACK_SHARE",
    "CordLength",
    "cord_length",
    "drawer_slack",
    "route_length",
    "sold_lengths",
]

SLACK_SHARE = 0.10
"""Slack along the way, as a share of the route: common practice, no source."""

END_SLACK_M = 0.15
"""Slack at each end, to plug and unplug [m]: common practice, no source."""

DRAWER_BEND_M = 0.03
"""Radius of the loop a cord makes behind a drawer [m]: about four cord diameters, no source."""


@dataclass(frozen=True, slots=True)
class CordLength:
    """What to buy for a route.

    Parameters
    ----------
    route_m, needed_m
        Along the corners, and with slack [m].
    buy_m
        The sold length that reaches, or ``None`` when none does [m].
    explain
        The sum: (text, value, unit) line by line.
    """

    route_m: float
    needed_m: float
    buy_m: float | None
    explain: tuple[tuple[str, float, str], ...]


def route_length(points_m: ArrayLike) -> float:
    """Return the length along the corners of a route.

    Parameters
    ----------
    points_m : (n, 3) or (n, 2)
        Corners in order [m].

    Raises
    ------
    LumenError
        For fewer than two corners or a corner that is not a number.

    Examples
    --------
    >>> route_length([[0, 0, 0.3], [0, 0, 0], [1.2, 0, 0]])
    1.5
    """
    points = np.asarray(points_m, dtype=float)
    if points.ndim != 2 or points.shape[0] < 2 or points.shape[1] not in (2, 3):
        raise LumenError("points_m", "must be two or more points of 2 or 3 numbers", points.shape)
    if not np.all(np.isfinite(points)):
        raise LumenError("points_m", "must hold numbers only", points_m)
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def drawer_slack(travel_m: float, *, bend_radius_m: float = DRAWER_BEND_M) -> float:
    """Return the extra cord that a drawer's travel needs [m].

    The cord is fixed in the case and at the drawer; it must reach when the drawer is out, and
    its loop needs half a turn of its bend radius: ``travel + pi radius``.

    Examples
    --------
    >>> drawer_slack(0.30)
    0.394
    """
    for name, value in (("travel_m", travel_m), ("bend_radius_m", bend_radius_m)):
        if not (math.isfinite(value) and value >= 0.0):
            raise LumenError(name, "must be a number, 0 or more", value)
    return travel_m + math.pi * bend_radius_m


def sold_lengths(region: str, kind: str = "extension") -> tuple[float, ...]:
    """Return the lengths that shops of a region sell [m], shortest first.

    Parameters
    ----------
    region
        US, CA, UK, EU, AU, JP or IN.
    kind
        ``"extension"``, ``"lamp cord"``, ``"strip"`` (a power strip's own cord) or ``"tape"``.

    Examples
    --------
    >>> sold_lengths("EU", "tape")
    (1.0, 2.0, 3.0, 5.0, 10.0)
    """
    rows = table("sold_lengths")
    found = sorted(
        float(r["length_m"]) for r in rows if region in r["regions"].split() and r["kind"] == kind
    )
    if not found:
        kinds = ", ".join(sorted({row["kind"] for row in rows}))
        raise LumenError(
            "region, kind", f"must be a known region and one of {kinds}", (region, kind)
        )
    return tuple(found)


def cord_length(
    points_m: ArrayLike,
    *,
    region: str,
    kind: str = "extension",
    extra_m: float = 0.0,
    slack_share: float = SLACK_SHARE,
    end_slack_m: float = END_SLACK_M,
) -> CordLength:
    """Return the cord to buy for a route: slack added, rounded up to a sold length.

    ``needed = route (1 + slack share) + 2 end slack + extra``.

    Parameters
    ----------
    points_m : (n, 3) or (n, 2)
        Corners of the route, outlet to device [m].
    region, kind
        As for :func:`sold_lengths`.
    extra_m
        Such as :func:`drawer_slack` [m].
    slack_share, end_slack_m
        Slack along the way and at each end [m].

    Examples
    --------
    >>> cord_length([[0, 0, 0.3], [0, 0, 0], [1.2, 0, 0]], region="EU").buy_m
    2.0
    """
    for name, value in (
        ("extra_m", extra_m),
        ("slack_share", slack_share),
        ("end_slack_m", end_slack_m),
    ):
        if not (math.isfinite(value) and value >= 0.0):
            raise LumenError(name, "must be a number, 0 or more", value)
    route = route_length(points_m)
    needed = route * (1.0 + slack_share) + 2.0 * end_slack_m + extra_m
    buy = next((x for x in sold_lengths(region, kind) if x >= needed - 1e-9), None)
    lines = [
        ("along the route", route, "m"),
        ("slack on the way", route * slack_share, "m"),
        ("slack at both ends", 2.0 * end_slack_m, "m"),
    ]
    if extra_m:
        lines.append(("for what moves", extra_m, "m"))
    lines.append(("needed", needed, "m"))
    if buy is not None:
        lines.append(("next sold length", buy, "m"))
        lines.append(("left over", buy - needed, "m"))
    return CordLength(route, needed, buy, tuple(lines))
