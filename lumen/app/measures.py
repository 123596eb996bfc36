"""Small drawings of what a field measures: the thing in a few lines, and the measured edge marked.

Pure: a field's key in, SVG text out; colours come from ``assets/trim.css``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["MEASURES", "Measure", "measure_svg"]

_TICK = 3.5  # half of the short line at either end of a measure


@dataclass(frozen=True)
class Measure:
    """Which thing is drawn, the edges measured on it (x, y to x, y), and the angles (SVG paths)."""

    thing: str
    edges: tuple[tuple[float, float, float, float], ...] = ()
    arcs: tuple[str, ...] = ()


_BED = '<path d="M8 56h104v14H8zM112 24v50M4 74h112"/>'
_THINGS = {
    "box": '<path d="M20 30h60v40H20zM20 30l22-14h60v40l-22 14M80 30l22-14"/>',
    "hollow": '<path d="M20 30h60v40H20zM20 30l22-14h60v40l-22 14M80 30l22-14"/>'
    '<path class="is-fine" d="M27 37h46v26H27z"/>',
    "place": '<path d="M6 8h64v66H6z"/>'
    '<path d="M30 14h26v10H30zM82 8v66M78 74h38M92 30h14v10H92z"/>'
    '<path class="is-fine" d="M6 8h64"/>',
    "wall light": '<path d="M18 6v70M18 26h44M62 26v8M52 34h20l8 26H44z"/>'
    '<circle cx="62" cy="47" r="5"/>',
    "shade": '<path d="M45 20h30l13 42H32zM60 8v12"/><circle cx="60" cy="46" r="7"/>',
    "bulb": '<circle cx="60" cy="34" r="22"/><path d="M52 56h16v14H52zM52 61h16M52 66h16"/>',
    "panel": '<path d="M14 56l24-34h72l-24 34z"/>',
    "spot": '<path d="M52 6h16v10H52zM60 16L34 72M60 16l26 56"/>'
    '<path class="is-fine" d="M60 16L20 68M60 16l40 52"/>',
    "tilted": '<path class="is-fine" d="M40 12v62M40 12h66"/><path d="M40 12l44 46"/>'
    '<path d="M34 6h12v12H34z"/>',
    "turned": '<path class="is-fine" d="M60 40V8"/>'
    '<path d="M60 40L30 16M6 74h108M54 34h12v12H54z"/>',
    "tape": '<path d="M4 34h104v14H4zM36 34v14M68 34v14M100 34v14"/>'
    '<path d="M12 41h.1M20 41h.1M28 41h.1M44 41h.1M52 41h.1M60 41h.1M76 41h.1M84 41h.1M92 41h.1"'
    ' class="is-dots"/>',
    "leaning": '<path d="M102 4v72M8 74h108M60 74l30-60 8 4-30 56z"/>'
    '<path class="is-fine" d="M60 74V14"/>',
    "sitting": f'{_BED}<circle cx="84" cy="26" r="9"/><path d="M86 35q12 8 12 21M76 26h3"/>',
    "lying": f'{_BED}<path d="M84 50h26v6H84z"/><circle cx="94" cy="41" r="9"/>'
    '<path d="M92 34v3"/>',
    "standing": '<path d="M8 74h104"/><circle cx="56" cy="14" r="8"/><path d="M56 22v28l-6 24'
    'M56 50l6 24M56 28l-9 18M56 28l9 18M61 13h3"/>',
    "from above": '<path d="M14 10h92v62H14zM14 24h92"/><path class="is-fine" d="M60 4v74"/>'
    '<circle cx="86" cy="20" r="7"/>',
    "reading": '<circle cx="20" cy="22" r="10"/><path d="M28 20h3M70 66l24-24"/>'
    '<path class="is-fine" d="M31 21h76"/>',
    "page": '<path d="M24 14h72v52H24zM60 14v52"/>',
    "opening": '<path d="M6 6h108v70H6z"/><path d="M42 24h38v28H42z"/>',
    "sloped": '<path d="M10 74V46L62 8h50v66z"/><path class="is-fine" d="M10 46h56"/>',
    "room": '<path d="M10 14h100v60H10z"/>',
    "hanging": '<path d="M6 8h108M60 8v34"/><path d="M50 42h20l8 24H42z"/>',
}
_PLACE = ((6, 50, 43, 50), (64, 19, 64, 74), (112, 40, 112, 74))
_BEAM_ARC = "M45 48A35 35 0 0 0 75 48"

MEASURES: dict[str, Measure] = {
    "Furniture.size_m.0": Measure("box", ((20, 76, 80, 76),)),
    "Furniture.size_m.1": Measure("box", ((84, 73, 106, 59),)),
    "Furniture.size_m.2": Measure("box", ((13, 30, 13, 70),)),
    "Furniture.at_m.0": Measure("place", _PLACE),
    "_Fed.size_m.0": Measure("box", ((20, 76, 80, 76),)),
    "_Fed.size_m.1": Measure("box", ((84, 73, 106, 59),)),
    "_Fed.size_m.2": Measure("box", ((13, 30, 13, 70),)),
    "_Fed.size_m": Measure("box", ((20, 76, 80, 76), (84, 73, 106, 59), (13, 30, 13, 70))),
    "_Fed.at_m": Measure("place", _PLACE),
    "_Fed.at_m.0": Measure("place", _PLACE),
    "Outlet.at_m": Measure("place", _PLACE),
    "Outlet.at_m.0": Measure("place", _PLACE),
    "Furniture.lean_deg": Measure("leaning", arcs=("M60 32A42 42 0 0 1 79 36",)),
    "Furniture.turn_deg": Measure("turned", arcs=("M60 18A22 22 0 0 0 43 26",)),
    "Compartment.inner_size_m.0": Measure("hollow", ((27, 57, 73, 57),)),
    "Compartment.inner_size_m.1": Measure("hollow", ((84, 73, 106, 59),)),
    "Compartment.inner_size_m.2": Measure("hollow", ((34, 37, 34, 63),)),
    "Compartment.wall_thickness_m": Measure("hollow", ((73, 50, 80, 50),)),
    "Light.mount_m.0": Measure("place", _PLACE),
    "Light.projection_m": Measure("wall light", ((18, 14, 62, 14),)),
    "Light.drop_m": Measure("wall light", ((96, 26, 96, 47),)),
    "Light.size_m": Measure("wall light", ((44, 68, 80, 68),)),
    "Shade.bottom_diameter_m": Measure("shade", ((32, 71, 88, 71),)),
    "Shade.top_diameter_m": Measure("shade", ((45, 13, 75, 13),)),
    "Shade.height_m": Measure("shade", ((100, 20, 100, 62),)),
    "Shade.lamp_height_m": Measure("shade", ((20, 46, 20, 62),)),
    "Lamp.diameter_m": Measure("bulb", ((38, 6, 82, 6),)),
    "Panel.width_m": Measure("panel", ((14, 65, 86, 65),)),
    "Panel.length_m": Measure("panel", ((6, 52, 30, 18),)),
    "Beam.beam_deg": Measure("spot", arcs=(_BEAM_ARC,)),
    "Beam.field_deg": Measure("spot", arcs=("M33 51A44 44 0 0 0 87 51",)),
    "Cosine.beam_deg": Measure("spot", arcs=(_BEAM_ARC,)),
    "Aim.tilt_deg": Measure("tilted", arcs=("M40 52A40 40 0 0 0 68 41",)),
    "Aim.turn_deg": Measure("turned", arcs=("M60 18A22 22 0 0 0 43 26",)),
    "Strip.width_m": Measure("tape", ((114, 34, 114, 48),)),
    "Strip.cut_m": Measure("tape", ((36, 58, 68, 58),)),
    "Strip.leds_per_m": Measure("tape", ((4, 24, 108, 24),)),
    "Person.eye_above_mattress_m": Measure("sitting", ((64, 26, 64, 56),)),
    "Person.eye_from_head_end_m": Measure("sitting", ((78, 11, 112, 11),)),
    "Person.lying_eye_above_mattress_m": Measure("lying", ((70, 34, 70, 56),)),
    "Person.lying_eye_from_head_end_m": Measure("lying", ((92, 22, 112, 22),)),
    "Person.standing_eye_m": Measure("standing", ((88, 13, 88, 74),)),
    "Person.from_centre_m": Measure("from above", ((60, 38, 86, 38),)),
    "Page.distance_m": Measure("reading", ((31, 21, 82, 54),)),
    "Page.gaze_down_deg": Measure("reading", arcs=("M75 21A44 44 0 0 1 68 45",)),
    "Page.width_m": Measure("page", ((24, 74, 96, 74),)),
    "Page.height_m": Measure("page", ((106, 14, 106, 66),)),
    "Opening.from_m": Measure("opening", ((80, 62, 114, 62),)),
    "Opening.to_m": Measure("opening", ((42, 68, 114, 68),)),
    "Opening.sill_m": Measure("opening", ((90, 52, 90, 76),)),
    "Opening.head_m": Measure("opening", ((100, 24, 100, 76),)),
    "Slope.knee_height_m": Measure("sloped", ((20, 46, 20, 74),)),
    "Slope.pitch_deg": Measure("sloped", arcs=("M42 46A32 32 0 0 0 36 27",)),
    "Room.height_m": Measure("room", ((60, 14, 60, 74),)),
}
"""What is drawn for a field, by model, field and, for a point, axis."""


def measure_svg(key: str) -> str:
    """Return the small drawing of a field, or an empty text where there is none.

    Examples
    --------
    >>> measure_svg("Shade.height_m").startswith("<svg"), measure_svg("Light.name")
    (True, '')
    """
    found = MEASURES.get(key)
    if found is None:
        return ""
    marks = "".join(_edge(edge) for edge in found.edges)
    marks += "".join(f'<path d="{arc}"/>' for arc in found.arcs)
    return (
        '<svg class="pg-measure" viewBox="0 0 120 80" aria-hidden="true">'
        f'<g class="is-thing">{_THINGS[found.thing]}</g><g class="is-measured">{marks}</g></svg>'
    )


def _edge(edge: Sequence[float]) -> str:
    """A measured edge with a short line square to it at either end."""
    x0, y0, x1, y1 = edge
    long = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    a, b = -(y1 - y0) / long * _TICK, (x1 - x0) / long * _TICK
    ends = "".join(
        f"M{x - a:.1f} {y - b:.1f}L{x + a:.1f} {y + b:.1f}" for x, y in ((x0, y0), (x1, y1))
    )
    return f'<path d="M{x0:g} {y0:g}L{x1:g} {y1:g}{ends}"/>'
