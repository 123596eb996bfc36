"""Conductors: gauge, resistance, the current a flexible cord may carry, and volts lost on the way.

Lengths are one way; the loop is twice that. Areas are nominal sizes in mm², as cords are sold.
"""

from __future__ import annotations

import math

from lumen.errors import LumenError
from lumen.power.load import Limit
from lumen.tables import table

__all__ = [
    "COILED_SHARE",
    "COPPER_OHM_MM2_PER_M",
    "ambient_correction",
    "area_from_gauge",
    "bundling_correction",
    "cord_limit",
    "diameter_from_gauge",
    "flex_for_fuse",
    "flex_resistance_per_metre",
    "fuse_for_load",
    "fuse_suits_flex",
    "low_voltage_cord_limit",
    "resistance_at_temperature",
    "resistance_per_metre",
    "thinnest_cord",
    "voltage_drop",
]

COPPER_OHM_MM2_PER_M = 0.017241
"""Annealed copper at 20 °C, 100 % IACS (IEC 60028)."""

_ALPHA_20 = 0.00393  # 1/K at 20 °C, annealed copper (IEC 60028)

COILED_SHARE = 0.25
"""Share of its rating that a coiled cord may carry: our own rule (one drum's label read: 500 W
wound of 2300 W unwound; another source says a third)."""


def diameter_from_gauge(awg: int) -> float:
    """Return the diameter of a solid wire [m].

    ``d = 0.005 in x 92^((36 - awg) / 39)``; 1/0 to 4/0 are 0, -1, -2, -3.

    Source: ASTM B258.

    Examples
    --------
    >>> 1000 * diameter_from_gauge(18)
    1.024
    """
    if not -3 <= awg <= 40:
        raise LumenError("awg", "must be from -3 (4/0) to 40", awg)
    return float(0.0254 * 0.005 * 92.0 ** ((36 - awg) / 39))


def area_from_gauge(awg: int) -> float:
    """Return the cross-section of a wire [mm²] (ASTM B258).

    Examples
    --------
    >>> area_from_gauge(16)
    1.309
    """
    return math.pi / 4 * (1000 * diameter_from_gauge(awg)) ** 2


def resistance_per_metre(area_mm2: float, temperature_c: float = 20.0) -> float:
    """Return the resistance of one solid copper conductor [Ω/m].

    ``0.017241 / area`` at 20 °C. Stranded conductors have up to 3 % more, tinned fine strands up
    to 15 % more (compare IEC 60228 class 5 in ``conductors.csv``).

    Source: IEC 60028.

    Examples
    --------
    >>> 1000 * resistance_per_metre(area_from_gauge(18))
    20.95
    """
    if not (math.isfinite(area_mm2) and area_mm2 > 0.0):
        raise LumenError("area_mm2", "must be more than 0", area_mm2)
    return resistance_at_temperature(COPPER_OHM_MM2_PER_M / area_mm2, 20.0, temperature_c)


def flex_resistance_per_metre(
    *, awg: int | None = None, area_mm2: float | None = None, temperature_c: float = 20.0
) -> float:
    """Return the resistance of one conductor of a flexible cord [Ω/m].

    Fine strands have more than a solid wire of the same size: the table's stranded (AWG) or
    class 5 (mm²) value where the size is listed; else that of a solid wire, 3 % more for a gauge
    and a sixth more for mm², the most that a listed size has.

    Source: table ``conductors`` (NFPA 70, Chapter 9, Table 8; IEC 60228).

    Examples
    --------
    >>> 1000 * flex_resistance_per_metre(area_mm2=0.75)
    26.0
    >>> 1000 * flex_resistance_per_metre(awg=18, temperature_c=75.0)
    26.08
    """
    if (awg is None) == (area_mm2 is None):
        raise LumenError("awg, area_mm2", "must be given, one of the two", (awg, area_mm2))
    for row in table("conductors"):
        listed = row["size"] == str(awg) and row["build"] == "stranded copper"
        if area_mm2 is not None:
            near = math.isclose(float(row["area_mm2"]), area_mm2, rel_tol=0.01)
            listed = near and row["build"].startswith("flexible")
        if listed:
            ohm_per_m = float(row["ohm_per_km"]) / 1000.0
            return resistance_at_temperature(ohm_per_m, float(row["temperature_c"]), temperature_c)
    if awg is not None:
        return 1.03 * resistance_per_metre(area_from_gauge(awg), temperature_c)
    assert area_mm2 is not None
    return 7.0 / 6.0 * resistance_per_metre(area_mm2, temperature_c)


def resistance_at_temperature(resistance: float, known_at_c: float, wanted_at_c: float) -> float:
    """Return a copper resistance at another temperature, in the unit it was given in.

    ``R2 = R1 (1 + 0.00393 (T2 - 20)) / (1 + 0.00393 (T1 - 20))``, straight from 0 to 100 °C.
    From 75 °C that is the 0.00323 per kelvin of NFPA 70, Chapter 9, Table 8, note 2.

    Source: IEC 60028.

    Examples
    --------
    >>> resistance_at_temperature(7.77, 75.0, 20.0)
    6.39
    """
    if not -50.0 <= known_at_c <= 150.0 or not -50.0 <= wanted_at_c <= 150.0:
        raise LumenError("temperature_c", "must be from -50 to 150", (known_at_c, wanted_at_c))
    scale = (1 + _ALPHA_20 * (wanted_at_c - 20.0)) / (1 + _ALPHA_20 * (known_at_c - 20.0))
    return resistance * scale


def ambient_correction(
    ambient_c: float, *, conductor_c: float = 60.0, rated_at_c: float = 30.0
) -> float:
    """Return the factor on a cord's current in air warmer, or cooler, than its rating assumes.

    ``sqrt((T_conductor - T_air) / (T_conductor - T_rated))``: heat made goes with current
    squared, heat given off with the difference to the air. 0 when the air is as hot as the
    conductor may get. Never more than 1: cool air does not raise a cord's rating here.

    Source: the principle of NFPA 70, Table 310.15(B)(1), 60 °C column, base 30 °C.

    Examples
    --------
    >>> ambient_correction(45.0)
    0.71
    """
    if not (math.isfinite(ambient_c) and -40.0 <= ambient_c <= 150.0):
        raise LumenError("ambient_c", "must be from -40 to 150", ambient_c)
    if not conductor_c > rated_at_c:
        raise LumenError("conductor_c", "must be above the rated ambient", conductor_c)
    share = (conductor_c - ambient_c) / (conductor_c - rated_at_c)
    return math.sqrt(min(1.0, max(0.0, share)))


def bundling_correction(conductors: int) -> float:
    """Return the factor on current when several current-carrying conductors lie together.

    1 to 3: 1.0; 4 to 6: 0.80; 7 to 9: 0.70; 10 to 20: 0.50.

    Source: NFPA 70, Table 400.5(A)(3).

    Examples
    --------
    >>> bundling_correction(6)
    0.8
    """
    for most, factor in ((3, 1.0), (6, 0.8), (9, 0.7), (20, 0.5)):
        if 1 <= conductors <= most:
            return factor
    raise LumenError("conductors", "must be from 1 to 20", conductors)


def cord_limit(
    *,
    region: str,
    printed_a: float | None = None,
    awg: int | None = None,
    area_mm2: float | None = None,
    length_m: float | None = None,
    ambient_c: float = 30.0,
    conductors_together: int = 3,
    coiled: bool = False,
    hotter: bool = False,
) -> Limit | None:
    """Return the current a flexible cord may carry, and why; ``None`` when no table reaches it.

    The printed rating counts first. Without one, the size is looked up in the region's table,
    rounding an odd size down to the next one listed; that is marked as assumed. A cord thinner
    than every listed size, or of unknown size, gives ``None``.

    Parameters
    ----------
    region
        US, CA, UK, EU, AU, JP or IN.
    printed_a
        Rating printed on the cord or its plug [A].
    awg, area_mm2
        Size of its conductors, one or the other [AWG], [mm²].
    length_m
        Length [m]; some tables give long cords less.
    ambient_c
        Air around it [°C]; above 30 °C the current falls (:func:`ambient_correction`).
    conductors_together
        Current-carrying conductors side by side in one bundle; one cord has two.
    coiled
        Left coiled: :data:`COILED_SHARE`.
    hotter
        The air is hotter than ``ambient_c``, which is the hottest that is reckoned with.

    Raises
    ------
    LumenError
        For an unknown region, two sizes at once, or a number outside its range.

    Examples
    --------
    >>> cord_limit(region="US", awg=16).amperes
    13.0
    >>> cord_limit(region="UK", area_mm2=0.75, ambient_c=45.0).amperes
    4.24
    >>> cord_limit(region="EU", area_mm2=0.4) is None
    True
    """
    if awg is not None and area_mm2 is not None:
        raise LumenError("area_mm2", "must be left out when a gauge is given", area_mm2)
    for name, value in (("printed_a", printed_a), ("area_mm2", area_mm2), ("length_m", length_m)):
        if value is not None and not (math.isfinite(value) and value > 0.0):
            raise LumenError(name, "must be more than 0", value)
    rows = [row for row in table("cords") if region in row["regions"].split()]
    if not rows:
        raise LumenError("region", "must be US, CA, UK, EU, AU, JP or IN", region)
    if printed_a is not None:
        amperes, reason, source, assumed = printed_a, "printed on the cord", "label", False
    else:
        area = area_from_gauge(awg) if awg is not None else area_mm2
        if area is None:
            return None
        fitting = [
            row
            for row in rows
            if float(row["area_mm2"]) <= 1.01 * area
            and (length_m is None or length_m <= float(row["max_length_m"] or math.inf))
        ]
        if not fitting:
            return None
        row = max(fitting, key=lambda r: (float(r["area_mm2"]), float(r["default_a"])))
        amperes, assumed = float(row["default_a"]), True
        reason = f"flexible cord, {row['size']} {row['system']}"
        source = f"{row['source']}, {row['locator']}"
        if row["ampacity_2_a"] != row["ampacity_3_a"]:
            source += f" ({row['ampacity_2_a']} A for two conductors that carry current"
            source += f", {row['ampacity_3_a']} A for three)" if row["ampacity_3_a"] else ")"
    factor = 1.0
    if ambient_c > 30.0:
        factor *= ambient_correction(ambient_c)
        reason += _air_words(ambient_c, hotter=hotter)
    if conductors_together > 3:
        factor *= bundling_correction(conductors_together)
        reason += f", {conductors_together} conductors together"
    if coiled:
        factor *= COILED_SHARE
        reason += ", coiled"
    if factor * amperes <= 0.0:
        return None
    return Limit(factor * amperes, reason, source, assumed)


def _air_words(ambient_c: float, *, hotter: bool) -> str:
    return f", air at {'over ' if hotter else ''}{ambient_c:.0f} °C"


def low_voltage_cord_limit(
    *,
    region: str,
    printed_a: float | None = None,
    awg: int | None = None,
    area_mm2: float | None = None,
    length_m: float | None = None,
    ambient_c: float = 30.0,
    hotter: bool = False,
) -> Limit | None:
    """Return the current that a low-voltage cord may carry, and why; ``None`` for unknown size.

    Thin wires that no mains cord has are looked up in a table of their own; thicker ones may carry
    what a mains cord of that size may, where that is more. An odd size counts as the next thinner
    one listed, one under all of them as a share of the thinnest by its area.

    Parameters
    ----------
    region, printed_a, awg, area_mm2, length_m, ambient_c, hotter
        As for :func:`cord_limit`.

    Examples
    --------
    >>> low_voltage_cord_limit(region="US", awg=24).amperes
    2.0
    >>> low_voltage_cord_limit(region="EU", area_mm2=0.25).amperes
    2.0
    """
    as_mains = cord_limit(
        region=region,
        printed_a=printed_a,
        awg=awg,
        area_mm2=area_mm2,
        length_m=length_m,
        ambient_c=ambient_c,
        hotter=hotter,
    )
    area = area_from_gauge(awg) if awg is not None else area_mm2
    if printed_a is not None or area is None:
        return as_mains
    rows = sorted(table("low_voltage_cords"), key=lambda row: float(row["area_mm2"]))
    fitting = [row for row in rows if float(row["area_mm2"]) <= 1.01 * area]
    row = fitting[-1] if fitting else rows[0]
    amperes = float(row["amperes"]) * min(1.0, area / float(row["area_mm2"]) * 1.01)
    reason = (
        f"low-voltage wire, {awg} AWG" if awg is not None else f"low-voltage wire, {area:g} mm²"
    )
    if ambient_c > 30.0:
        amperes *= ambient_correction(ambient_c)
        reason += _air_words(ambient_c, hotter=hotter)
    if as_mains is not None and as_mains.amperes >= amperes:
        return as_mains
    if amperes <= 0.0:
        return None
    source = f"{row['source']}, {row['locator']}"
    if region != "US":
        source = "common practice, no source: thin wires as they are rated in machines"
    return Limit(amperes, reason, source, True)


def thinnest_cord(region: str) -> tuple[str, float]:
    """Return the thinnest mains cord sold in a region, in words, and what it may carry [A].

    Sizes for the inside of a lamp only are left out.

    Source: table ``cords``.

    Examples
    --------
    >>> thinnest_cord("US"), thinnest_cord("UK")
    (('18 AWG', 7.0), ('0.5 mm2', 3.0))
    """
    rows = [
        row
        for row in table("cords")
        if region in row["regions"].split() and row["note"] != "inside a lamp only"
    ]
    row = min(rows, key=lambda r: float(r["area_mm2"]))
    words = f"{row['size']} AWG" if row["system"] == "AWG" else f"{row['size']} mm2"
    return words, float(row["default_a"])


def flex_for_fuse(fuse_a: float) -> float:
    """Return the thinnest flex that a plug fuse guards [mm²] (British fused plugs).

    A size between two that are sold counts as the next one up; over the largest none does.

    Source: table ``plug_fuses``.

    Examples
    --------
    >>> flex_for_fuse(13.0), flex_for_fuse(5.0)
    (1.25, 0.75)
    """
    if not (math.isfinite(fuse_a) and fuse_a > 0.0):
        raise LumenError("fuse_a", "must be more than 0", fuse_a)
    for row in table("plug_fuses"):
        if fuse_a <= float(row["fuse_a"]) + 1e-9:
            return float(row["min_area_mm2"])
    return math.inf


def fuse_suits_flex(
    fuse_a: float,
    area_mm2: float,
    *,
    moulded: bool = False,
    length_m: float | None = None,
) -> bool:
    """Return whether a British plug fuse guards this flex.

    3 A guards 0.5 mm² and up, 13 A 1.25 mm² and up. A 0.75 mm² lead made with its plug and
    under 2 m may carry 13 A, because what hangs on it limits its own load.

    Source: table ``plug_fuses``.

    Examples
    --------
    >>> fuse_suits_flex(13.0, 0.75), fuse_suits_flex(13.0, 0.75, moulded=True, length_m=1.8)
    (False, True)
    """
    if area_mm2 >= flex_for_fuse(fuse_a) - 1e-9:
        return True
    short = length_m is not None and length_m < 2.0
    return moulded and short and fuse_a <= 13.0 and area_mm2 >= 0.75


def fuse_for_load(watts: float, volts: float = 230.0) -> float | None:
    """Return the plug fuse for a load: 3 A up to about 700 W at 230 V, else 13 A, else ``None``.

    Source: table ``plug_fuses`` (rule of thumb of a public fire service).

    Examples
    --------
    >>> fuse_for_load(60.0), fuse_for_load(2000.0), fuse_for_load(5000.0)
    (3.0, 13.0, None)
    """
    if not (math.isfinite(watts) and watts >= 0.0):
        raise LumenError("watts", "must be a number, 0 or more", watts)
    for row in table("plug_fuses"):
        # the rule of thumb prints 700 W for 3 A x 230 V = 690 W
        ceiling = max(float(row["fuse_a"]) * volts, float(row["thumb_w"]) * volts / 230.0)
        if row["usual"] == "yes" and watts <= ceiling:
            return float(row["fuse_a"])
    return None


def voltage_drop(amperes: float, length_m: float, ohm_per_m: float) -> float:
    """Return the volts lost in a two-wire cord with its load at the end [V].

    ``2 L I R'`` with ``R'`` of one conductor. It is the same sum as ``2 K I D / CM`` of the North
    American trade and ``(mV/A/m) I L / 1000`` of the British (whose mV/A/m is the loop).

    Source: BS 7671, Appendix 4, section 6; any textbook.

    Examples
    --------
    >>> voltage_drop(16.0, 18.0, 0.018 / 2)
    5.184
    """
    for name, value in (("amperes", amperes), ("length_m", length_m), ("ohm_per_m", ohm_per_m)):
        if not (math.isfinite(value) and value >= 0.0):
            raise LumenError(name, "must be a number, 0 or more", value)
    return 2.0 * length_m * amperes * ohm_per_m
