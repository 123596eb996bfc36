"""The supply of an LED strip: its size, its class, what it draws, and its surge at switch-on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lumen.errors import LumenError
from lumen.tables import table

__all__ = [
    "FILL_PRACTICE",
    "DriverChoice",
    "class_2_limit",
    "driver_choice",
    "driver_efficiency_floor",
    "inrush_band",
    "power_factor_assumed",
]

FILL_PRACTICE = 0.8
"""Share of a driver's rating to use: trade practice, not a code."""

_EFFICIENCY_BEST = 0.92  # best small drivers: from memory
_INRUSH_TIMES = (10.0, 100.0)  # peak over running current: application notes on inrush


@dataclass(frozen=True, slots=True)
class DriverChoice:
    """A driver for a load.

    Parameters
    ----------
    load_w, needed_w
        Label power behind it, and that divided by the fill practice [W].
    rating_w
        Next standard size, ``None`` when no listed size reaches [W].
    fill
        Load over rating; 0 without a rating.
    outputs
        Separate outputs so that none passes the Class 2 limit.
    output_limit_w
        That limit for one output at these volts [W].
    input_w
        Mains input at this load, (best driver, least efficient one that EU law lets on sale) [W].
    input_va
        The same over the power factor [VA].
    explain
        The sum: (text, value, unit) line by line.
    """

    load_w: float
    needed_w: float
    rating_w: float | None
    fill: float
    outputs: int
    output_limit_w: float
    input_w: tuple[float, float]
    input_va: tuple[float, float]
    explain: tuple[tuple[str, float, str], ...]


def driver_efficiency_floor(output_w: float) -> float:
    """Return the least full-load efficiency of LED control gear that EU law allows.

    ``P^0.81 / (1.09 P^0.81 + 2.10)``.

    Source: Regulation (EU) 2019/2020, Annex II, Table 3.

    Examples
    --------
    >>> driver_efficiency_floor(60.0)
    0.86
    """
    if not (math.isfinite(output_w) and output_w > 0.0):
        raise LumenError("output_w", "must be more than 0", output_w)
    grown = output_w**0.81
    return float(grown / (1.09 * grown + 2.10))


def power_factor_assumed(watts: float, *, region: str, what: str = "driver") -> float:
    """Return the power factor to reckon with when the label gives none.

    Parameters
    ----------
    watts
        Input power [W].
    region
        US, CA, UK, EU, AU, JP or IN.
    what
        ``"driver"`` (separate, no law binds it: 0.55 assumed) or ``"light source"``.

    Source: table ``power_factors``.

    Examples
    --------
    >>> power_factor_assumed(12.0, region="EU", what="light source")
    0.7
    """
    for row in table("power_factors"):
        if row["what"] == what and region in row["regions"].split():
            over = float(row["over_w"])
            if (over < watts or over == 0.0 == watts) and watts <= float(row["up_to_w"]):
                return float(row["power_factor"])
    raise LumenError(
        "watts, region, what",
        "must be 0 W or more, a known region, and driver or light source",
        (watts, region, what),
    )


def class_2_limit(output_v: float, *, region: str = "US") -> float:
    """Return the most one limited-power output may give at these volts [W].

    In the US and Canada Class 2 (UL 1310: at most 5 A and 100 W); elsewhere the limited power
    source of product standards, kept as good practice.

    Source: table ``class2``.

    Examples
    --------
    >>> class_2_limit(12.0), class_2_limit(24.0)
    (60.0, 100.0)
    """
    rows = [row for row in table("class2") if region in row["regions"].split()]
    for row in rows:
        if math.isclose(float(row["output_v"]), output_v):
            return float(row["max_output_w"])
    known = ", ".join(row["output_v"] for row in rows) or "in a known region"
    raise LumenError("output_v", f"must be {known}", output_v)


def driver_choice(
    load_w: float,
    output_v: float,
    *,
    region: str = "US",
    fill: float = FILL_PRACTICE,
    limited_outputs: bool = True,
    power_factor: float | None = None,
) -> DriverChoice:
    """Return the driver for a load: next size up, outputs, and what it draws from the mains.

    Size on the label power of the strips, never on what a sagging strip really draws.

    Parameters
    ----------
    load_w
        Label power behind the driver [W].
    output_v
        5, 12, 24 or 48 [V].
    region
        For the power limit of one output.
    fill
        Share of the rating to use.
    limited_outputs
        Split so that no output passes :func:`class_2_limit`; a rating above it then means
        several outputs, each limited.
    power_factor
        From the label; left out, 0.55 is assumed for a separate driver.

    Examples
    --------
    >>> choice = driver_choice(72.0, 12.0)
    >>> choice.rating_w, choice.outputs
    (96.0, 2)
    """
    if not (math.isfinite(load_w) and load_w > 0.0):
        raise LumenError("load_w", "must be more than 0", load_w)
    if not 0.0 < fill <= 1.0:
        raise LumenError("fill", "must be more than 0 and at most 1", fill)
    limit = class_2_limit(output_v, region=region)
    needed = load_w / fill
    sizes = sorted(float(row["rating_w"]) for row in table("driver_sizes"))
    rating = next((size for size in sizes if size >= needed - 1e-9), None)
    outputs = max(1, math.ceil(load_w / limit - 1e-9)) if limited_outputs else 1
    worst = load_w / driver_efficiency_floor(load_w if rating is None else rating)
    best = load_w / _EFFICIENCY_BEST
    if power_factor is None:
        power_factor = power_factor_assumed(worst, region=region)
    if not 0.0 < power_factor <= 1.0:
        raise LumenError("power_factor", "must be more than 0 and at most 1", power_factor)
    lines = [
        ("label power of the strips", load_w, "W"),
        ("divided by the share to use", fill, ""),
        ("rating needed", needed, "W"),
    ]
    if rating is not None:
        lines.append(("next standard size", rating, "W"))
    lines += [
        (f"most on one limited output at {output_v:g} V", limit, "W"),
        ("outputs", float(outputs), ""),
        ("mains input, at most", worst, "W"),
        ("divided by power factor", power_factor, ""),
        ("apparent power, at most", worst / power_factor, "VA"),
    ]
    return DriverChoice(
        load_w=load_w,
        needed_w=needed,
        rating_w=rating,
        fill=0.0 if rating is None else load_w / rating,
        outputs=outputs,
        output_limit_w=limit,
        input_w=(min(best, worst), worst),
        input_va=(min(best, worst) / power_factor, worst / power_factor),
        explain=tuple(lines),
    )


def inrush_band(
    running_a: Sequence[float], *, volts: float, line_ohm: float | None = None
) -> tuple[float, float]:
    """Return the surge of several drivers switched on together, low and high [A].

    Low: ten times the running current of the largest alone. High: a hundred times the sum of
    all. It lasts under a millisecond for most. With the impedance of the line known, neither can
    pass ``sqrt(2) volts / line_ohm``.

    Source: application notes on LED driver inrush (up to about 100 times running current; peaks
    of several drivers add, not exactly).

    Examples
    --------
    >>> inrush_band([0.5, 0.25], volts=230.0)
    (5.0, 75.0)
    """
    if any(not (math.isfinite(a) and a >= 0.0) for a in running_a):
        raise LumenError("running_a", "must be numbers, 0 or more", running_a)
    if not volts > 0.0:
        raise LumenError("volts", "must be more than 0", volts)
    low = _INRUSH_TIMES[0] * max(running_a, default=0.0)
    high = _INRUSH_TIMES[1] * math.fsum(running_a)
    if line_ohm is not None:
        if not line_ohm > 0.0:
            raise LumenError("line_ohm", "must be more than 0", line_ohm)
        cap = math.sqrt(2.0) * volts / line_ohm
        low, high = min(low, cap), min(high, cap)
    return low, high
