"""The night test: ratios that a phone's light meter can find, and what the eye checks.

A phone is poor at lux and fair at ratios: its own error is much the same in both readings. What
is expected comes from the study, with the band that its two answers leave.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from lumen.study.lighting.maps import Answer
from lumen.study.study import Study

__all__ = ["Ratio", "night_ratios"]

_LEAST_LX = 1.0  # dimmer than this a phone shows nothing


@dataclass(frozen=True)
class Ratio:
    """First reading over second in one setup, with the band; both figures for reference."""

    setup_id: str
    setup: str
    first: str
    second: str
    ratio: float
    low: float
    high: float
    first_lx: float
    second_lx: float


def night_ratios(study: Study, setups: Collection[str]) -> tuple[Ratio, ...]:
    """Return the ratios to look for in some setups: page to sleeper's eyes, page, bed.

    Setups that light the room alike are read once: what else runs in them gives no light.
    """
    found: dict[tuple[str, str, float, float], Ratio] = {}
    for row in _ratios(study, setups):
        found.setdefault((row.first, row.second, row.first_lx, row.second_lx), row)
    return tuple(found.values())


def _ratios(study: Study, setups: Collection[str]) -> Iterator[Ratio]:
    names = {target.id: target.name for target in study.lighting.targets}
    targets = {target.id: target for target in study.lighting.targets}
    for setup in study.scenario.setups:
        if setup.id not in setups:
            continue
        answers = {a.target: a for a in study.answers if a.setup == setup.id}
        name = setup.name or setup.id
        pages = sorted(
            (a for t, a in answers.items() if targets[t].is_page and a.average_lx >= _LEAST_LX),
            key=lambda a: -a.average_lx,
        )
        for page in pages[:1]:
            eyes = [
                a
                for t, a in answers.items()
                if targets[t].lies and targets[t].person != targets[page.target].person
            ]
            eye = max(eyes, key=lambda a: a.average_lx, default=None)
            for other in (eye, *pages[1:], answers.get("mattress")):
                if other is not None and other.average_lx >= _LEAST_LX and other.low_lx > 0.0:
                    yield _ratio(setup.id, name, names, page, other)


def _ratio(
    setup_id: str, setup: str, names: dict[str, str], first: Answer, second: Answer
) -> Ratio:
    # both are measured on one evening, so ageing has no part in their ratio
    (low, high), (second_low, second_high) = first.without_ageing, second.without_ageing
    return Ratio(
        setup_id=setup_id,
        setup=setup,
        first=names[first.target],
        second=names[second.target],
        ratio=first.average_lx / second.average_lx,
        low=low / second_high,
        high=high / second_low,
        first_lx=first.average_lx,
        second_lx=second.average_lx,
    )
