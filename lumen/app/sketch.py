"""A small line drawing of a plan's bed wall, for the shelf of examples."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.document import Scenario

__all__ = ["wall_svg"]

_INK, _NIGHT, _GLOW = "#f6e9d6", "#171311", "#f0b467"


def wall_svg(scenario: Scenario, width: int = 240) -> str:
    """Return an SVG of the bed wall: furniture in outline, lights and strips as they would glow.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> wall_svg(load(examples()[0])).startswith("<svg")
    True
    """
    xs = [corner[0] for corner in scenario.room.outline_m]
    left, wide, high = min(xs), max(xs) - min(xs), scenario.room.height_m
    scale = width / wide
    body = "".join(_parts(scenario, left, high, scale))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {high * scale:.0f}">'
        '<defs><radialGradient id="g"><stop offset="0" stop-color="#f0b467" stop-opacity="0.85"/>'
        '<stop offset="1" stop-color="#f0b467" stop-opacity="0"/></radialGradient></defs>'
        f'<rect width="{width}" height="{high * scale:.0f}" fill="{_NIGHT}"/>{body}</svg>'
    )


def _parts(scenario: Scenario, left: float, high: float, scale: float) -> Iterator[str]:
    def place(x: float, z: float) -> tuple[float, float]:
        return (x - left) * scale, (high - z) * scale

    for strip in scenario.strips:
        points = " ".join("{:.1f},{:.1f}".format(*place(p[0], p[2])) for p in strip.path_m)
        yield (
            f'<polyline points="{points}" fill="none" stroke="{_GLOW}" stroke-opacity="0.35" '
            f'stroke-width="14" stroke-linecap="round" stroke-linejoin="round"/>'
        )
    for light in scenario.lights:
        x, y = place(light.mount_m[0], light.mount_m[2] - light.drop_m)
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="34" fill="url(#g)"/>'
    for box in sorted(scenario.furniture, key=lambda item: -item.at_m[1]):
        x, y = place(box.at_m[0] - box.size_m[0] / 2, box.at_m[2] + box.size_m[2])
        w, h = box.size_m[0] * scale, box.size_m[2] * scale
        yield (
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{w:.1f}" height="{h:.1f}" fill="#2b2420" '
            f'stroke="{_INK}" stroke-opacity="0.6"/>'
        )
    for light in scenario.lights:
        x, y = place(light.mount_m[0], light.mount_m[2] - light.drop_m)
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{_INK}"/>'
