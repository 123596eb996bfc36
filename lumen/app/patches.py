"""The patch of a light drawn on its wall: how many wishes hold where, and its edges."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.app.sketch import wall_svg
from lumen.find.patch import Patch
from lumen.scenario.document import Scenario

__all__ = ["patch_svg"]


def patch_svg(scenario: Scenario, patch: Patch, width: int = 480) -> str:
    """Return the small drawing of the bed wall with the patch over it, as SVG.

    Cells glow the more wishes hold; where the light may not hang they are hatched. The ring is the
    light as it hangs.

    Examples
    --------
    >>> from lumen.find.patch import patch
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> patch_svg(plan, patch(plan, "left light", step_m=0.4)).count("<rect") > 10
    True
    """
    xs = [corner[0] for corner in scenario.room.outline_m]
    left, scale = min(xs), width / (max(xs) - min(xs))
    high = scenario.room.height_m
    body = "".join(_cells(patch, left, high, scale))
    label = f"Where the {patch.light} meets how many of {patch.of} wishes"
    base = wall_svg(scenario, width).replace(
        "<svg ", f'<svg role="img" aria-label="{_text(label)}" '
    )
    return base.removesuffix("</svg>") + body + "</svg>"


def _cells(patch: Patch, left: float, high: float, scale: float) -> Iterator[str]:
    yield (
        '<defs><pattern id="lm-not" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V6" stroke="#c9b8a4" stroke-width="1"/>'
        "</pattern></defs>"
    )
    most = max((cell.met for cell in patch.cells), default=0)
    least = min((cell.met for cell in patch.cells), default=0)
    size = patch.step_m * scale
    for cell in patch.cells:
        x = (cell.mount_m[0] - left) * scale - size / 2
        y = (high - cell.mount_m[2]) * scale - size / 2
        share = (cell.met - least) / (most - least) if most > least else 1.0
        if cell.against:
            fill = 'fill="url(#lm-not)" fill-opacity="0.5"'
        else:
            fill = f'fill="#7fd08a" fill-opacity="{0.08 + 0.62 * share**2:.2f}"'
        told = "; ".join(cell.against) or f"{cell.met} of {patch.of} wishes"
        yield (
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{size:.1f}" height="{size:.1f}" {fill}>'
            f"<title>{_text(told)}</title></rect>"
        )
        if (cell.along_m, cell.up_m) == patch.here:
            yield (
                f'<circle cx="{x + size / 2:.1f}" cy="{y + size / 2:.1f}" r="9" fill="none" '
                'stroke="#f6e9d6" stroke-width="2.5"/>'
            )


def _text(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
