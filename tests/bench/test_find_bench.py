"""The search, as ratios within one run: candidates against the plain way, growth, the whole find.

``python -m pytest tests/bench/test_find_bench.py -s`` prints them; processor time, one thread.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

import lumen
from lumen.find.guide import Guide
from lumen.find.reciprocity import Reciprocity
from lumen.light.intensity import IntensityDistribution
from lumen.light.sources import PointSource
from lumen.scenario.files import load
from lumen.study.lighting.maps import lighting
from lumen.study.load.electrics import strip_profiles
from lumen.study.study import study
from lumen.study.wishes.verdicts import aim_results

PAIR = load(lumen.examples()[0])
BEAMS = [15, 18, 20, 22, 25, 28, 30, 33, 36, 40, 45, 50, 55, 60, 70]


def took(what: Callable[[], object]) -> float:
    """Processor seconds."""
    began = time.process_time()
    what()
    return time.process_time() - began


def sources(places: int, aims: int) -> list[PointSource]:
    """Spots of every beam, aimed several ways, at places along the wall."""
    rng = np.random.default_rng(3)
    forms = [IntensityDistribution.beam(100.0, beam) for beam in BEAMS]
    found = []
    for k in range(places):
        for _ in range(aims):
            z = -np.array([0.5, -0.6, -0.4]) + 0.2 * rng.normal(size=3)
            z /= np.linalg.norm(z)
            x = np.cross(z, [0.0, 0.0, 1.0])
            x /= np.linalg.norm(x)
            axes = np.array([x, np.cross(z, x), z])
            at = np.array([0.6 + 0.02 * k, 2.88, 1.3])
            found += [PointSource(at, form, axes, 0.045) for form in forms]
    return found


def test_candidates_a_second() -> None:
    """By reciprocity for the rows that the wishes ask for, against maps and whole studies."""
    lit = lighting(PAIR, strip_profiles(PAIR))
    reciprocity = Guide.of(lit, aim_results(lit, shadows=False)).reciprocity
    reciprocity.responses(sources(1, 1))
    for places, aims in ((10, 1), (10, 4), (2, 40)):
        some = sources(places, aims)
        fast = len(some) / took(lambda some=some: reciprocity.responses(some))  # type: ignore[misc]
        print(f"{places} places x {aims} aims x {len(BEAMS)} beams: {fast:.0f} candidates a second")
    light = PAIR.lights[0]
    moved = [
        PAIR.model_copy(
            update={
                "lights": (
                    light.model_copy(update={"mount_m": (0.6 + 0.02 * k, 3.0, 1.3)}),
                    *PAIR.lights[1:],
                )
            }
        )
        for k in range(8)
    ]
    profiles = strip_profiles(PAIR)
    plain = 8 / took(lambda: [lighting(plan, profiles) for plan in moved])
    whole = 8 / took(lambda: [study(plan).to_json() for plan in moved])
    print(f"the plain way: {plain:.0f} maps a second, {whole:.1f} whole studies a second")
    every = Reciprocity.of(PAIR)
    some = sources(2, 10)
    print(f"every target point: {len(some) / took(lambda: every.responses(some)):.0f} a second")


def test_the_whole_find() -> None:
    """The plain pair from its file to the menu, and how it is shared out."""
    began, last = time.process_time(), [0.0]

    def told(progress: lumen.find.Progress) -> None:
        now = time.process_time() - began
        print(f"  {last[0]:5.1f} s, then {progress.doing}")
        last[0] = now

    found = lumen.find(PAIR, progress=told)
    spent = time.process_time() - began
    print(
        f"{found.tried} candidates, {spent:.1f} s of processor, {found.seconds:.1f} s on the clock"
    )
