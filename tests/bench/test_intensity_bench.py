"""What an intensity look-up costs, as multiples of one arctangent per direction in the same run."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pytest

from lumen.light.intensity import IntensityDistribution

DIRECTIONS = np.random.default_rng(0).normal(size=(100_000, 3))
FORMS = {
    "even": (IntensityDistribution.isotropic(1000.0), 1),
    "opal": (IntensityDistribution.lambertian(1000.0), 4),
    "beam": (IntensityDistribution.beam(1000.0, 36.0, 60.0), 12),
    "planes": (
        IntensityDistribution.from_table(
            np.arange(0, 181, 2.5), np.arange(0, 361, 15), np.ones((25, 73)) + np.eye(25, 73)
        ),
        40,
    ),
}


def best(call: Callable[[], object], times: int = 7) -> float:
    """Shortest of several runs [s]."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return min(taken)


@pytest.mark.parametrize("form", FORMS)
def test_look_up_costs_few_arctangents(form):
    """100 000 directions cost no more than a stated multiple of as many arctangents."""
    source, most = FORMS[form]
    unit = best(lambda: np.arctan2(DIRECTIONS[:, 1], DIRECTIONS[:, 0]))
    cost = best(lambda: source.intensity(DIRECTIONS))
    print(f"{form}: {cost / unit:.2f} arctangents, {cost * 1e3:.2f} ms")
    assert cost / unit <= most
