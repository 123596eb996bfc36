"""Warmth of a closed space in furniture from the losses inside it, as a band.

Steady state, one air temperature inside: what is lost inside leaves through the faces and with
the air that its own warmth drives through the vents::

    P = U A dT + 1200 q(dT) dT

No published limit for such a space was found; 10 K and 20 K are thresholds of our own. A label
that names an ambient temperature always counts before them. The air beside a hot adapter is warmer
than this mean, and the adapter itself much warmer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lumen.errors import LumenError
from lumen.power.roots import root_between

__all__ = [
    "NOTE_K",
    "WARNING_K",
    "Compartment",
    "CompartmentHeat",
    "compartment_heat",
    "panel_transmittance",
]

NOTE_K = 10.0
"""Rise from which it is worth a note [K]: our own threshold."""

WARNING_K = 20.0
"""Rise from which it is worth a warning [K]: our own threshold."""

Face = Literal["back", "front", "left", "right", "top", "bottom"]

_AIR_J_PER_M3_K = 1200.0  # density times specific heat of room air
_GRAVITY = 9.81
_STILL_FILM = 0.13  # m²K/W, ISO 6946, heat flow sideways
_MOVING_FILM = 0.10  # m²K/W, ISO 6946, heat flow upwards
_NOTHING_W = 1e-9
_SHARP_OPENING = 0.6  # discharge coefficient of a sharp-edged opening


@dataclass(frozen=True, slots=True)
class Compartment:
    """A closed space, measured inside.

    Parameters
    ----------
    width_m, depth_m, height_m
        Inside size [m].
    panel_m
        Panel thickness [m].
    conductivity
        Of the panel [W/(m K)]; 0.13 for wood and boards (ISO 10456).
    covered
        Faces that lie against a wall, a floor or bedding and pass no heat.
    low_vent_m2, high_vent_m2
        Free area of openings near the bottom and near the top [m²].
    vent_gap_m
        Height between the two, or of the one opening when there is only one level [m];
        ``None``: three quarters of the height with two levels, 0.02 m with one.
    """

    width_m: float
    depth_m: float
    height_m: float
    panel_m: float = 0.018
    conductivity: float = 0.13
    covered: tuple[Face, ...] = ()
    low_vent_m2: float = 0.0
    high_vent_m2: float = 0.0
    vent_gap_m: float | None = None


@dataclass(frozen=True, slots=True)
class CompartmentHeat:
    """Rise over the room and air inside, each (low, middle, high).

    ``over_label`` says whether the high air temperature passes the ambient that a label allows
    (``None`` without a label); ``assumptions`` are the sentences that the band rests on.
    """

    losses_w: float
    rise_k: tuple[float, float, float]
    air_c: tuple[float, float, float]
    room_c: float
    label_ambient_c: float | None
    over_label: bool | None
    assumptions: tuple[str, ...]
    explain: tuple[tuple[str, float, str], ...]


def panel_transmittance(
    panel_m: float, conductivity: float = 0.13, *, films: float = 2 * _STILL_FILM
) -> float:
    """Return the thermal transmittance of a panel between still air on both sides [W/(m² K)].

    ``1 / (films + thickness / conductivity)``, films 0.13 + 0.13 m² K/W.

    Source: ISO 6946.

    Examples
    --------
    >>> panel_transmittance(0.018)
    2.51
    """
    for name, value in (("panel_m", panel_m), ("conductivity", conductivity), ("films", films)):
        if not (math.isfinite(value) and value > 0.0):
            raise LumenError(name, "must be more than 0", value)
    return 1.0 / (films + panel_m / conductivity)


def _face_areas(box: Compartment) -> dict[Face, float]:
    front = box.width_m * box.height_m
    side = box.depth_m * box.height_m
    level = box.width_m * box.depth_m
    return {
        "back": front,
        "front": front,
        "left": side,
        "right": side,
        "top": level,
        "bottom": level,
    }


def _vent_flow(box: Compartment, rise_k: float, room_c: float, discharge: float) -> float:
    """Air driven by warmth through the vents [m³/s].

    Two levels: ``Cd A* sqrt(2 g h dT / T)``, ``1/A*^2 = 1/A1^2 + 1/A2^2``. One level:
    ``(Cd / 3) A sqrt(g h dT / T)``, air in below and out above (BS 5925, from memory).
    """
    buoyancy = _GRAVITY * rise_k / (273.15 + room_c)
    low, high = box.low_vent_m2, box.high_vent_m2
    if low > 0.0 and high > 0.0:
        gap = 0.75 * box.height_m if box.vent_gap_m is None else box.vent_gap_m
        area = low * high / math.hypot(low, high)
        return discharge * area * math.sqrt(2.0 * buoyancy * gap)
    gap = 0.02 if box.vent_gap_m is None else box.vent_gap_m
    return discharge / 3.0 * (low + high) * math.sqrt(buoyancy * gap)


def _rise(
    losses_w: float, conductance: float, box: Compartment, room_c: float, discharge: float
) -> float:
    if losses_w <= _NOTHING_W:
        return losses_w / conductance  # vents do nothing yet, and their flow would underflow

    def surplus(rise_k: float) -> float:
        flow = _vent_flow(box, rise_k, room_c, discharge)
        return conductance * rise_k + _AIR_J_PER_M3_K * flow * rise_k - losses_w

    return root_between(surplus, 0.0, 1.01 * losses_w / conductance)


def compartment_heat(
    losses_w: float | Sequence[float],
    box: Compartment,
    *,
    room_c: float = 25.0,
    label_ambient_c: float | None = None,
) -> CompartmentHeat:
    """Return how much warmer than the room the air in a closed space gets, low, middle and high.

    Parameters
    ----------
    losses_w
        Heat made inside [W]: adapter and driver losses, standby, and all that a device charging
        inside draws.
    box
        The space.
    room_c
        Room air [°C].
    label_ambient_c
        Highest ambient printed on anything inside (``ta``), the lowest of them [°C].

    Raises
    ------
    LumenError
        For a size, loss or vent outside its range, or when every face is covered.

    Notes
    -----
    Middle: still films, the open faces, vents as drawn. High: the largest open face covered too
    (if another stays open), vents half blocked. Low: nothing covered, moving air (films 0.10),
    panels that conduct twice as well.

    Examples
    --------
    >>> heat = compartment_heat(10.0, Compartment(0.4, 0.3, 0.15))
    >>> heat.rise_k
    (5.98, 8.86, 12.07)
    """
    parts = [float(losses_w)] if isinstance(losses_w, int | float) else [float(x) for x in losses_w]
    if any(not (math.isfinite(x) and x >= 0.0) for x in parts):
        raise LumenError("losses_w", "must be numbers, 0 or more", losses_w)
    for name in ("width_m", "depth_m", "height_m", "panel_m", "conductivity"):
        value = getattr(box, name)
        if not (math.isfinite(value) and value > 0.0):
            raise LumenError(f"box.{name}", "must be more than 0", value)
    for name in ("low_vent_m2", "high_vent_m2"):
        value = getattr(box, name)
        if not (math.isfinite(value) and value >= 0.0):
            raise LumenError(f"box.{name}", "must be a number, 0 or more", value)
    if box.vent_gap_m is not None and not box.vent_gap_m > 0.0:
        raise LumenError("box.vent_gap_m", "must be more than 0", box.vent_gap_m)
    if not -20.0 <= room_c <= 60.0:
        raise LumenError("room_c", "must be from -20 to 60", room_c)
    areas = _face_areas(box)
    for face in box.covered:
        if face not in areas:
            raise LumenError("box.covered", f"must hold only {', '.join(areas)}", face)
    open_faces = sorted((area for face, area in areas.items() if face not in box.covered))
    if not open_faces:
        raise LumenError("box.covered", "must leave one face open", box.covered)
    losses = math.fsum(parts)
    still = panel_transmittance(box.panel_m, box.conductivity)
    moving = panel_transmittance(box.panel_m, 2 * box.conductivity, films=2 * _MOVING_FILM)
    open_m2 = math.fsum(open_faces)
    kept_m2 = math.fsum(open_faces[:-1]) if len(open_faces) > 1 else open_m2
    rises = (
        _rise(losses, moving * math.fsum(areas.values()), box, room_c, _SHARP_OPENING),
        _rise(losses, still * open_m2, box, room_c, _SHARP_OPENING),
        _rise(losses, still * kept_m2, box, room_c, _SHARP_OPENING / 2),
    )
    low, middle, high = (room_c + rise for rise in rises)
    vented = box.low_vent_m2 + box.high_vent_m2 > 0.0
    assumptions = (
        "steady state, after several hours; one air temperature in the whole space",
        f"panels {1000 * box.panel_m:g} mm, {box.conductivity:g} W/(m K), still air on both sides",
        "high: the largest open face is covered as well" + (", vents half blocked" * vented),
        "low: nothing is covered, air moves along the panels, panels conduct twice as well",
        "vents work by warmth alone" if vented else "no vents, closed lid",
        f"room air at {room_c:g} °C",
        "the air beside an adapter is warmer than this mean",
    )
    lines = [
        ("heat made inside", losses, "W"),
        ("open faces", open_m2, "m²"),
        ("heat through one square metre and kelvin", still, "W/(m² K)"),
        ("through the faces, per kelvin", still * open_m2, "W/K"),
        (
            "with the air through the vents",
            _AIR_J_PER_M3_K * _vent_flow(box, rises[1], room_c, _SHARP_OPENING) * rises[1],
            "W",
        ),
        ("rise, low", rises[0], "K"),
        ("rise, middle", rises[1], "K"),
        ("rise, high", rises[2], "K"),
        ("room", room_c, "°C"),
        ("air inside, high", high, "°C"),
    ]
    over = None
    if label_ambient_c is not None:
        lines.append(("ambient that the label allows", label_ambient_c, "°C"))
        over = high > label_ambient_c
    return CompartmentHeat(
        losses_w=losses,
        rise_k=rises,
        air_c=(low, middle, high),
        room_c=room_c,
        label_ambient_c=label_ambient_c,
        over_label=over,
        assumptions=assumptions,
        explain=tuple(lines),
    )
