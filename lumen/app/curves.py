"""Two small pictures of one light: what each height gives, and the page against the other's eyes.

Pure: a sweep in, SVG text out. Colours come from ``assets/views.css``, so that both themes fit.
What can be pressed carries ``data-command``, as everywhere on the page.
"""

from __future__ import annotations

import html
import json
import math
from collections.abc import Callable, Iterator, Sequence

from lumen.whatif.heights import HeightSweep, Reach, Step
from lumen.words.heights import other_name

__all__ = ["heights_svg", "trade_svg"]

Place = Callable[[float], float]

_WIDE, _TOP = 400, 34
_ROW = 15  # pixels a height
_SHARES = (0.02, 0.03, 0.05, 0.07, 0.1, 0.15, 0.25, 0.35, 0.5, 0.7, 1.0)
_TOLD_SHARES = (0.1, 0.25, 0.5)
_COLUMNS = {"advice": (52, 116), "page": (132, 262), "eyes": (278, 392)}


def heights_svg(sweep: HeightSweep, show: Callable[[float], str], mount: Sequence[float]) -> str:
    """Return every height as a row: what people are told, what the page gets, what the eyes get.

    Parameters
    ----------
    sweep
        The light at every height.
    show
        How a length is written.
    mount
        Where the light is fixed [m]; a row that is pressed moves it straight up or down.
    """
    if not sweep.steps:
        return ""
    steps = sweep.steps
    low, high = steps[0].height_m, steps[-1].height_m
    foot = _TOP + _ROW * len(steps)

    def y(height_m: float) -> float:
        return foot - _ROW / 2 - (height_m - low) / (high - low or 1) * _ROW * (len(steps) - 1)

    def parts() -> Iterator[str]:
        yield _text(_COLUMNS["advice"][0], 14, "advice", "pg-head")
        yield _text(_COLUMNS["page"][0], 14, "on the page, lx", "pg-head")
        if sweep.sleeper is not None:
            unit = "melanopic" if sweep.measure == "melanopic_edi_lx" else "lx"
            yield _text(_COLUMNS["eyes"][1], 14, f"in the eyes, {unit}", "pg-head is-end")
        yield from _advice(sweep, y, low, high)
        yield from _column(steps, "page", [step.page for step in steps], sweep.page_at_least, y)
        yield from _column(steps, "eyes", [step.eyes for step in steps], sweep.eyes_at_most, y)
        here = min(max(sweep.here.height_m, low), high)
        yield f'<path class="pg-here" d="M46 {y(here):.1f}H{_WIDE - 4}"/>'
        for step in steps:
            yield _row(step, sweep.light, mount, y(step.height_m), show)

    label = "What each height gives; the table below holds the same numbers"
    return _svg(foot + 26, label, parts())


def trade_svg(sweep: HeightSweep, show: Callable[[float], str]) -> str:
    """Return the page's light against the other's: one point a height, and the line of dimming.

    Both scales are logarithmic: dimming runs along the diagonal, what changes the trade leaves it.
    """
    full, without = sweep.full, sweep.without
    if not (full.page and full.eyes and without.page and without.eyes):
        return ""
    hung = [
        (step.eyes.value, step.page.value, step)
        for step in sweep.steps
        if step.room and step.page and step.eyes and min(step.page.value, step.eyes.value) > 0
    ]
    dimmed = [
        (eyes, page, share)
        for share in _SHARES
        for eyes in [_between(without.eyes, full.eyes, share)]
        for page in [_between(without.page, full.page, share)]
        if min(eyes, page) > 0
    ]
    left, right, top, foot = 44, _WIDE - 12, 14, 216
    others = [
        (step.eyes.value, step.page.value, other_name(one, short=True))
        for one in sweep.others
        for step in [one.step]
        if step.page and step.eyes and min(step.page.value, step.eyes.value) > 0
    ]
    wishes = (sweep.eyes_at_most, sweep.page_at_least)
    points = [(a, b) for a, b, _ in (*hung, *dimmed, *others)]
    eyes_lx, page_lx = [a for a, _ in points], [b for _, b in points]
    x, x_ticks = _decades(eyes_lx, wishes[0], left, right)
    y, y_ticks = _decades(page_lx, wishes[1], foot, top)

    def parts() -> Iterator[str]:
        yield from _zone(sweep, x, y, (left, right, top, foot))
        for value in x_ticks:
            yield f'<path class="pg-rule" d="M{x(value):.1f} {foot}v4"/>'
            yield _text(x(value), foot + 16, f"{value:g}", "pg-tick is-middle")
        for value in y_ticks:
            yield f'<path class="pg-rule" d="M{left} {y(value):.1f}h-4"/>'
            yield _text(left - 7, y(value) + 4, f"{value:g}", "pg-tick is-end")
        yield f'<path class="pg-rule" d="M{left} {top}V{foot}H{right}"/>'
        unit = "melanopic lx" if sweep.measure == "melanopic_edi_lx" else "lx"
        yield _text(right, foot + 32, f"in the other's eyes, {unit}", "pg-head is-end")
        yield _text(left, 8, "on the page, lx", "pg-head")
        line = " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b, _ in dimmed)
        yield f'<polyline class="pg-dim" points="{line}"/>'
        for a, b, share in dimmed:
            if share in _TOLD_SHARES:
                yield f'<circle class="pg-dim-dot" cx="{x(a):.1f}" cy="{y(b):.1f}" r="2.5"/>'
                yield _text(x(a) + 7, y(b) + 10, f"{100 * share:.0f} %", "pg-tick")
        line = " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b, _ in hung)
        yield f'<polyline class="pg-curve" points="{line}"/>'
        for a, b, step in hung:
            yield _mark(x(a), y(b), bool(step.sees))
        if hung:
            a, b, step = hung[0]
            yield _text(x(a) + 8, y(b) + 5, show(step.height_m), "pg-tick")
        for a, b, words in others:
            yield _diamond(x(a), y(b), words, right)
        if (
            sweep.here.page
            and sweep.here.eyes
            and min(sweep.here.page.value, sweep.here.eyes.value) > 0
        ):
            a, b = x(sweep.here.eyes.value), y(sweep.here.page.value)
            yield f'<circle class="pg-now" cx="{a:.1f}" cy="{b:.1f}" r="6.5"/>'
            yield _text(a - 10, b - 8, "now", "pg-tick is-now is-end")

    label = "Light on the page against light in the other one's eyes, by height and by dimming"
    return _svg(foot + 40, label, parts())


def _between(a: Reach, b: Reach, share: float) -> float:
    return a.value + share * (b.value - a.value)


def _decades(
    values: Sequence[float], wish: float | None, start: float, end: float
) -> tuple[Place, list[float]]:
    """A logarithmic scale around values and wish, and its marks at 1, 3, 10, 30."""
    known = [*values, *([wish] if wish else [])] or [1.0]
    low, high = min(known) / 1.6, max(known) * 1.6
    span = math.log(high / low)
    marks = [
        round(m * 10.0**power, 6)
        for power in range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
        for m in (1, 3)
    ]
    return (
        lambda value: start + (end - start) * math.log(max(value, low) / low) / span,
        [mark for mark in marks if low <= mark <= high],
    )


def _svg(high: float, label: str, parts: Iterator[str]) -> str:
    name = html.escape(label, quote=True)
    return (
        f'<svg class="pg-curves" viewBox="0 0 {_WIDE} {high:.0f}" role="img" aria-label="{name}">'
        f"{''.join(parts)}</svg>"
    )


def _text(x: float, y: float, words: str, kind: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" class="{kind}">{html.escape(words)}</text>'


def _scale(most: float, wish: float | None, start: float, end: float) -> Place:
    """From 0 to a little over the most, and to the wish unless that lies far beyond."""
    top = 1.12 * (max(most, wish if wish is not None and wish < 6 * most else 0.0) or 1.0)
    return lambda value: start + (end - start) * min(value / top, 1.0)


def _ticks(most: float, wish: float | None) -> list[float]:
    top = 1.12 * (max(most, wish if wish is not None and wish < 6 * most else 0.0) or 1.0)
    step = 10 ** math.floor(math.log10(top / 2))
    step *= next(m for m in (1, 2, 5, 10) if top / (step * m) <= 4.5)
    return [round(i * step, 6) for i in range(int(top / step) + 1)]


def _advice(sweep: HeightSweep, y: Place, low: float, high: float) -> Iterator[str]:
    left, right = _COLUMNS["advice"]
    rules = sweep.advice
    for number, rule in enumerate(rules):
        x = left + (number + 0.5) * (right - left) / len(rules)
        a, b = (min(max(value, low), high) for value in (rule.low_m, rule.high_m))
        if rule.high_m < low or rule.low_m > high:
            continue
        words = html.escape(f"{rule.rule} ({rule.of}): {rule.source}")
        yield (
            f'<path class="pg-told" d="M{x:.1f} {y(a) + 2:.1f}V{y(b) - 2:.1f}">'
            f"<title>{words}</title></path>"
        )


def _column(
    steps: Sequence[Step],
    column: str,
    reaches: Sequence[Reach | None],
    wish: float | None,
    y: Place,
) -> Iterator[str]:
    left, right = _COLUMNS[column]
    known = [(s, r) for s, r in zip(steps, reaches, strict=True) if r is not None and s.room]
    if not known:
        return
    most = max(reach.high for _, reach in known)
    x = _scale(most, wish, left, right)
    foot = y(steps[0].height_m) + _ROW / 2
    band = [(x(r.low), y(s.height_m)) for s, r in known]
    band += [(x(r.high), y(s.height_m)) for s, r in reversed(known)]
    yield f'<path class="pg-rule" d="M{left} {foot:.1f}H{right}"/>'
    for value in _ticks(most, wish):
        yield _text(x(value), foot + 14, f"{value:g}", "pg-tick is-middle")
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in band)
    yield f'<polygon class="pg-band" points="{points}"/>'
    line = " ".join(f"{x(r.value):.1f},{y(s.height_m):.1f}" for s, r in known)
    yield f'<polyline class="pg-curve" points="{line}"/>'
    if wish is not None and wish < 6 * most:
        top = y(steps[-1].height_m) - _ROW / 2
        yield f'<path class="pg-wish" d="M{x(wish):.1f} {top:.1f}V{foot:.1f}"/>'
    for step, reach in known:
        yield _mark(x(reach.value), y(step.height_m), bool(step.sees))


def _mark(x: float, y: float, seen: bool) -> str:
    """A full dot where nobody in bed looks into the lamp, a ring where somebody does."""
    return f'<circle class="pg-dot{" is-seen" if seen else ""}" cx="{x:.1f}" cy="{y:.1f}" r="3.2"/>'


def _diamond(x: float, y: float, words: str, right: float) -> str:
    """Another light in the same place; its words stand on the side that has room."""
    space = 6.2 * len(words) + 10  # a rough width of the letters
    at, side = (x + 10, "") if x + space < right else (x - 10, " is-end")
    shape = f"M{x - 5.5:.1f} {y:.1f}l5.5 -5.5l5.5 5.5l-5.5 5.5z"
    return f'<path class="pg-other" d="{shape}"/>{_text(at, y - 6, words, f"pg-tick{side}")}'


def _row(
    step: Step, light: str, mount: Sequence[float], y: float, show: Callable[[float], str]
) -> str:
    words = html.escape(show(step.height_m))
    label = _text(44, y + 4, show(step.height_m), f"pg-tick is-end{'' if step.room else ' is-off'}")
    if not step.room:
        return label
    args = {"to_m": [mount[0], mount[1], step.height_m]}
    command = html.escape(json.dumps({"name": "move", "id": light, "args": args}), quote=True)
    return (
        f'{label}<rect class="pg-row-hit" x="0" y="{y - _ROW / 2:.1f}" width="{_WIDE}" '
        f'height="{_ROW}" data-command="{command}"><title>Hang it at {words}</title></rect>'
    )


def _zone(
    sweep: HeightSweep, x: Place, y: Place, frame: tuple[float, float, float, float]
) -> Iterator[str]:
    left, right, top, foot = frame
    page, eyes = sweep.page_at_least, sweep.eyes_at_most
    if page is None and eyes is None:
        return
    edge = right if eyes is None else x(eyes)
    floor = foot if page is None else y(page)
    yield (
        f'<rect class="pg-zone" x="{left}" y="{top}" width="{edge - left:.1f}" '
        f'height="{floor - top:.1f}"><title>Where the wishes are met</title></rect>'
    )
    if page is not None:
        yield f'<path class="pg-wish" d="M{left} {y(page):.1f}H{right}"/>'
    if eyes is not None:
        yield f'<path class="pg-wish" d="M{x(eyes):.1f} {top}V{foot}"/>'
