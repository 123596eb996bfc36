"""An LED strip as a circuit: volts, current and brightness along it, and how it is cut.

Two kinds of tape, both with segments so close that they form a continuous line:

* ``"resistor"``: a group draws ``g (V - dark_v)``, ``g = i_nominal / (volts - dark_v)``. With the
  loop resistance ``r`` per metre, ``V - dark_v`` follows ``cosh((l - x) / lambda)`` from the feed,
  ``lambda = 1 / sqrt(r g)``.
* ``"regulated"``: a group draws ``i_nominal`` while it has ``dropout_v`` to spare over ``dark_v``,
  so the loss is ``i r (l x - x^2 / 2)``; below that it behaves as a steep resistor tape.

Feeding both ends makes two tapes of half the length; feeding the middle makes two that share one
feed cord. Light is taken as proportional to current: real LEDs lose a little less than that, so
the far end is drawn slightly too dark. Dimming by pulses scales the light and leaves its shape.
Real tape has groups every few centimetres; against that the continuous line is off by about
``(cut / lambda)^2 / 24`` of the drop (1e-5 for 50 mm groups and lambda of 3.5 m).

Sources: the line equation of any textbook; the uniformly loaded distributor of Principles of
Power System, chapter 13. Groups: 3 in series at 12 V, 6 at 24 V (a tape maker's note).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lumen.errors import LumenError
from lumen.power.roots import root_between

__all__ = [
    "CutPlan",
    "Tape",
    "TapeState",
    "cut_plan",
    "dark_volts",
    "reels_needed",
    "tape_state",
]

Feed = Literal["start", "end", "both", "middle"]
Line = tuple[str, float, str]
Array = NDArray[np.float64]


def dark_volts(volts: float) -> float:
    """Return the volts at which a group of LEDs goes dark: its diodes in series at 3.0 V each [V].

    5 V: one diode; 12 V: three; 24 V: six; 48 V: twelve. The 3.0 V is assumed (2.8 to 3.2).

    Examples
    --------
    >>> dark_volts(24)
    18.0
    """
    series = {5.0: 1, 12.0: 3, 24.0: 6, 48.0: 12}
    if float(volts) not in series:
        raise LumenError("volts", "must be 5, 12, 24 or 48", volts)
    return 3.0 * series[float(volts)]


@dataclass(frozen=True, slots=True)
class Tape:
    """A run of LED strip and how it is fed.

    Parameters
    ----------
    length_m
        Lit length [m].
    watts_per_m
        Power printed on the label, all of it at full supply volts [W/m].
    volts
        Supply volts at the driver [V].
    loop_ohm_per_m
        Both rails together [Ω/m].
    feed
        Which end the cord comes to.
    current
        ``"resistor"`` or ``"regulated"``.
    feed_ohm
        Both conductors of each feed cord [Ω]; feeding both ends takes two such cords.
    dark_v
        Volts at which it goes dark; ``None``: :func:`dark_volts` [V].
    dropout_v
        What a regulated group needs above ``dark_v`` [V] (assumed).
    """

    length_m: float
    watts_per_m: float
    volts: float = 24.0
    loop_ohm_per_m: float = 0.2
    feed: Feed = "start"
    current: Literal["resistor", "regulated"] = "resistor"
    feed_ohm: float = 0.0
    dark_v: float | None = None
    dropout_v: float = 0.5


@dataclass(frozen=True, slots=True)
class TapeState:
    """What a tape does when it is on at full level.

    Parameters
    ----------
    stations_m, volts, relative_flux
        Places along the tape (n,) [m], the volts there [V], and light per metre against the label.
    amperes, watts
        Drawn from the driver [A], [W].
    nominal_w
        Label power: size the driver and count the outlet on this [W].
    feed_loss_w, track_loss_w
        Lost in the feed cord and in the tape's own copper [W].
    mean_flux, least_flux, evenness
        Mean and least relative flux over the whole tape; least over greatest.
    drop_v, drop_share
        Volts lost from the driver to the worst point; as a share of the supply.
    headroom_v
        Volts left at the worst point above what full regulation (or light at all) needs.
    explain
        The sum: (text, value, unit) line by line.
    """

    stations_m: Array
    volts: Array
    relative_flux: Array
    amperes: float
    watts: float
    nominal_w: float
    feed_loss_w: float
    track_loss_w: float
    mean_flux: float
    least_flux: float
    evenness: float
    drop_v: float
    drop_share: float
    headroom_v: float
    explain: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class _Half:
    """A tape fed at x = 0: even current up to ``knee_m``, the cosh law beyond it."""

    length_m: float
    ohm: float
    start_v: float
    even_a_per_m: float
    knee_m: float
    knee_v: float
    dark_v: float
    conductance: float

    @property
    def decay_m(self) -> float:
        return 1.0 / math.sqrt(self.ohm * self.conductance)

    @property
    def tail_a(self) -> float:
        """Current that enters the part beyond the knee [A]."""
        tail = (self.length_m - self.knee_m) / self.decay_m
        return (self.knee_v - self.dark_v) * math.tanh(tail) / (self.ohm * self.decay_m)

    @property
    def amperes(self) -> float:
        return self.tail_a + self.even_a_per_m * self.knee_m

    def volts(self, x: Array) -> Array:
        even = self.start_v - self.ohm * (self.amperes * x - self.even_a_per_m * x**2 / 2)
        tail = self.length_m - self.knee_m
        past = np.clip(x - self.knee_m, 0.0, tail)
        # cosh((tail - past) / decay) / cosh(tail / decay), without overflow
        fall = np.exp(-past / self.decay_m) * (
            (1.0 + np.exp(-2.0 * (tail - past) / self.decay_m))
            / (1.0 + math.exp(-2.0 * tail / self.decay_m))
        )
        beyond = self.dark_v + (self.knee_v - self.dark_v) * fall
        return np.where(x <= self.knee_m, even, beyond)

    def current(self, x: Array) -> Array:
        """Current drawn per metre [A/m]."""
        beyond = self.conductance * np.maximum(self.volts(x) - self.dark_v, 0.0)
        return np.where(x <= self.knee_m, self.even_a_per_m, beyond) if self.knee_m else beyond

    @property
    def groups_w(self) -> float:
        """Power that reaches the groups: the integral of V i."""
        x, i, tail = self.knee_m, self.even_a_per_m, self.length_m - self.knee_m
        even = i * (self.start_v * x - self.ohm * (self.amperes * x**2 / 2 - i * x**3 / 6))
        over = self.knee_v - self.dark_v
        ratio = tail / self.decay_m
        squares = self.decay_m * math.tanh(ratio) / 2
        if ratio < 300.0:
            squares += tail / (2 * math.cosh(ratio) ** 2)
        return even + self.dark_v * self.tail_a + self.conductance * over**2 * squares


def _solve_half(tape: Tape, length: float, feed_ohm: float) -> _Half:
    dark = _dark(tape)
    nominal = tape.watts_per_m / tape.volts
    r = tape.loop_ohm_per_m

    def cosh_half(conductance: float) -> _Half:
        decay = 1.0 / math.sqrt(r * conductance)
        start = dark + (tape.volts - dark) / (
            1.0 + feed_ohm * math.tanh(length / decay) / (r * decay)
        )
        return _Half(length, r, start, 0.0, 0.0, start, dark, conductance)

    if tape.current == "resistor":
        return cosh_half(nominal / (tape.volts - dark))
    knee_v = dark + tape.dropout_v
    steep = nominal / tape.dropout_v
    decay = 1.0 / math.sqrt(r * steep)

    def to_spare(knee_m: float) -> float:
        tail = tape.dropout_v * math.tanh((length - knee_m) / decay) / (r * decay)
        lost = feed_ohm * (tail + nominal * knee_m)
        return tape.volts - lost - r * (tail * knee_m + nominal * knee_m**2 / 2) - knee_v

    if to_spare(0.0) <= 0.0:
        return cosh_half(steep)
    if to_spare(length) >= 0.0:
        start = tape.volts - feed_ohm * nominal * length
        return _Half(length, r, start, nominal, length, knee_v, dark, steep)
    knee_m = root_between(to_spare, 0.0, length)
    tail = tape.dropout_v * math.tanh((length - knee_m) / decay) / (r * decay)
    start = tape.volts - feed_ohm * (tail + nominal * knee_m)
    return _Half(length, r, start, nominal, knee_m, knee_v, dark, steep)


def _dark(tape: Tape) -> float:
    return dark_volts(tape.volts) if tape.dark_v is None else tape.dark_v


def _check(tape: Tape) -> None:
    for name in ("length_m", "watts_per_m", "volts", "loop_ohm_per_m", "dropout_v"):
        value = getattr(tape, name)
        if not (math.isfinite(value) and value > 0.0):
            raise LumenError(f"tape.{name}", "must be more than 0", value)
    if not (math.isfinite(tape.feed_ohm) and tape.feed_ohm >= 0.0):
        raise LumenError("tape.feed_ohm", "must be a number, 0 or more", tape.feed_ohm)
    if tape.feed not in get_args(Feed):
        raise LumenError("tape.feed", "must be start, end, both or middle", tape.feed)
    if tape.current not in ("resistor", "regulated"):
        raise LumenError("tape.current", "must be resistor or regulated", tape.current)
    dark = _dark(tape)
    if not 0.0 <= dark < tape.volts:
        raise LumenError("tape.dark_v", f"must be from 0 to under {tape.volts:g} V", dark)
    if tape.current == "regulated" and dark + tape.dropout_v >= tape.volts:
        raise LumenError(
            "tape.dropout_v", f"must leave room under {tape.volts:g} V", tape.dropout_v
        )


def tape_state(tape: Tape, stations_m: ArrayLike | None = None) -> TapeState:
    """Return volts, current and relative brightness along a tape.

    Parameters
    ----------
    tape
        The run and its feed.
    stations_m : (n,)
        Places along the tape from its start, 0 to its length [m]; left out, 101 even ones.

    Raises
    ------
    LumenError
        For a number outside its range or a station off the tape.

    Examples
    --------
    >>> state = tape_state(Tape(5.0, 14.4, volts=12.0), [0.0, 5.0])
    >>> float(state.volts[-1]), state.amperes, state.watts, state.evenness
    (10.377, 3.769, 45.2, 0.459)
    """
    _check(tape)
    if stations_m is None:
        stations = np.linspace(0.0, tape.length_m, 101)
    else:
        stations = np.asarray(stations_m, dtype=float)
    if stations.ndim != 1 or not np.all((stations >= -1e-9) & (stations <= tape.length_m + 1e-9)):
        raise LumenError("stations_m", f"must lie from 0 to {tape.length_m:g} m", stations_m)
    halves = 1 if tape.feed in ("start", "end") else 2
    length = tape.length_m / halves
    # a cord shared by two halves carries twice the current of one
    feed_ohm = tape.feed_ohm * (2.0 if tape.feed == "middle" else 1.0)
    half = _solve_half(tape, length, feed_ohm)
    from_feed = {
        "start": stations,
        "end": tape.length_m - stations,
        "both": np.minimum(stations, tape.length_m - stations),
        "middle": np.abs(stations - length),
    }[tape.feed]
    from_feed = np.clip(from_feed, 0.0, length)
    nominal = tape.watts_per_m / tape.volts
    ends = np.array([0.0, length])
    near, far = (float(v) for v in half.current(ends) / nominal)
    far_v = float(half.volts(ends)[1])
    amperes = halves * half.amperes
    watts = tape.volts * amperes
    at_tape = halves * half.amperes * half.start_v
    needed = _dark(tape) + (tape.dropout_v if tape.current == "regulated" else 0.0)
    nominal_w = tape.watts_per_m * tape.length_m
    lines: list[Line] = [
        ("label power per metre", tape.watts_per_m, "W/m"),
        ("times length", tape.length_m, "m"),
        ("label power: size driver and outlet on this", nominal_w, "W"),
        ("label current per metre", nominal, "A/m"),
        ("copper, both rails", tape.loop_ohm_per_m, "Ω/m"),
        ("length to the worst point from its feed", length, "m"),
        ("volts where the cord meets the tape", half.start_v, "V"),
        ("volts at the worst point", far_v, "V"),
        ("lost on the way", tape.volts - far_v, "V"),
        ("as a share of the supply", 100.0 * (tape.volts - far_v) / tape.volts, "%"),
        ("current from the driver", amperes, "A"),
        ("power really drawn", watts, "W"),
        (
            "brightness at the worst point against the best",
            100.0 * far / near if near else 0.0,
            "%",
        ),
    ]
    return TapeState(
        stations_m=stations,
        volts=half.volts(from_feed),
        relative_flux=half.current(from_feed) / nominal,
        amperes=amperes,
        watts=watts,
        nominal_w=nominal_w,
        feed_loss_w=watts - at_tape,
        track_loss_w=max(0.0, at_tape - halves * half.groups_w),
        mean_flux=amperes / (nominal * tape.length_m),
        least_flux=far,
        evenness=far / near if near else 0.0,
        drop_v=tape.volts - far_v,
        drop_share=(tape.volts - far_v) / tape.volts,
        headroom_v=far_v - needed,
        explain=tuple(lines),
    )


@dataclass(frozen=True, slots=True)
class CutPlan:
    """One straight run cut at its marks.

    Parameters
    ----------
    units, used_m
        Whole units between cut marks, and their length [m].
    leftover_m, each_end_m
        Dark length that remains [m], and half of it, for either end [m].
    """

    units: int
    used_m: float
    leftover_m: float
    each_end_m: float


def cut_plan(run_m: float, cut_m: float) -> CutPlan:
    """Return how many whole units fit a run, with the leftover split between its ends.

    Examples
    --------
    >>> plan = cut_plan(1.62, 0.05)
    >>> plan.units, plan.used_m, plan.each_end_m
    (32, 1.6, 0.01)
    """
    for name, value in (("run_m", run_m), ("cut_m", cut_m)):
        if not (math.isfinite(value) and value > 0.0):
            raise LumenError(name, "must be more than 0", value)
    units = math.floor(run_m / cut_m + 1e-9)
    used = units * cut_m
    leftover = max(0.0, run_m - used)
    return CutPlan(units, used, leftover, leftover / 2)


def reels_needed(
    runs_m: Sequence[float], cut_m: float, reel_m: float
) -> tuple[tuple[float, ...], ...]:
    """Return which pieces to cut from which reel [m], longest first into the first reel with room.

    Each run is rounded down to whole units; a run longer than a reel is joined from pieces. The
    packing is not proved least, but never opens a reel while an open one has room.

    Examples
    --------
    >>> reels_needed([1.62, 2.0, 1.62], 0.05, 5.0)
    ((2.0, 1.6), (1.6,))
    """
    per_reel = math.floor(reel_m / cut_m + 1e-9)
    if per_reel < 1:
        raise LumenError("reel_m", "must hold at least one unit", reel_m)
    pieces: list[int] = []
    for run in runs_m:
        units = cut_plan(run, cut_m).units
        while units > per_reel:
            pieces.append(per_reel)
            units -= per_reel
        if units:
            pieces.append(units)
    reels: list[list[int]] = []
    for piece in sorted(pieces, reverse=True):
        for reel in reels:
            if sum(reel) + piece <= per_reel:
                reel.append(piece)
                break
        else:
            reels.append([piece])
    return tuple(tuple(round(piece * cut_m, 9) for piece in reel) for reel in reels)
