"""A small picture of the glow along a headboard's top edge, from a study's own luminances.

Pure: figures in, SVG text out; colours come from ``assets/views.css``.
"""

from __future__ import annotations

import html
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from lumen.study.lighting.glow import EVEN
from lumen.words.figures import amount

__all__ = ["profile_svg"]

_WIDE, _LEFT, _RIGHT, _TOP, _FOOT = 320, 38, 312, 18, 108


def profile_svg(strips: Sequence[float], everything: Sequence[float], long_m: float) -> str:
    """Return the wall's luminance from the board's left end to its right.

    Parameters
    ----------
    strips, everything
        Luminance [cd/m2] at even steps along the edge: from strips alone, and with lamps added.
    long_m
        Length of the edge [m].
    """
    line, whole = np.asarray(strips, dtype=float), np.asarray(everything, dtype=float)
    most = 1.1 * max(float(whole.max(initial=0.0)), 1e-6)

    def x(share: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * share

    def y(luminance: float) -> float:
        return _FOOT - (_FOOT - _TOP) * luminance / most

    def path(values: NDArray[np.float64]) -> str:
        last = max(len(values) - 1, 1)
        return " ".join(f"{x(i / last):.1f},{y(v):.1f}" for i, v in enumerate(values.tolist()))

    def parts() -> Iterator[str]:
        mean = float(line.mean()) if len(line) else 0.0
        yield (
            f'<rect class="pg-zone" x="{_LEFT}" y="{_TOP}" width="{_RIGHT - _LEFT}" '
            f'height="{max(0.0, y(EVEN * mean) - _TOP):.1f}"/>'
        )
        yield f'<path class="pg-rule" d="M{_LEFT} {_TOP}V{_FOOT}H{_RIGHT}"/>'
        yield (
            f'<polygon class="pg-band" points="{x(0):.1f},{_FOOT} {path(line)} '
            f'{x(1):.1f},{_FOOT}"/>'
        )
        if float(whole.mean()) > 1.05 * mean:
            yield f'<polyline class="pg-dim" points="{path(whole)}"/>'
        yield f'<polyline class="pg-curve" points="{path(line)}"/>'
        for value in (0.0, float(line.max(initial=0.0)), EVEN * mean):
            yield _text(_LEFT - 6, y(value) + 4, amount(value), "pg-tick is-end")
        yield _text(_LEFT, 11, "the wall above it, cd/m2", "pg-head")
        yield _text(x(0), _FOOT + 16, "left end", "pg-tick")
        yield _text(x(0.5), _FOOT + 16, f"{100 * long_m:.0f} cm", "pg-tick is-middle")
        yield _text(x(1), _FOOT + 16, "right end", "pg-tick is-end")

    least, top = amount(float(line.min(initial=1e9))), amount(float(line.max(initial=0.0)))
    label = f"Glow from the left end to the right: {least} to {top} cd/m2"
    return (
        f'<svg class="pg-curves pg-profile" viewBox="0 0 {_WIDE} {_FOOT + 22}" role="img" '
        f'aria-label="{html.escape(label, quote=True)}">{"".join(parts())}</svg>'
    )


def _text(x: float, y: float, words: str, kind: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" class="{kind}">{html.escape(words)}</text>'
