"""The settings of a strip's near field: what they cost is held, and no answer hangs on one of them.

The last test prints how far a tenth more or less of each number moves 19 of 20 sensors of four
rooms; `lumen.light.interreflection.settings` tells what it gave. The engine itself is held to 1 %
against a path tracer (`test_path_tracer.py`).
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest

from lumen.light.geometry import Floats
from lumen.light.interreflection import Transport, illuminance_map
from lumen.light.interreflection.cells import cells_of, near_patches
from lumen.light.interreflection.settings import DRAG, FULL, NearFieldSettings
from tests.light.bedrooms import bedroom, cases, hidden_strip

ROOMS = ("to wall 25", "to wall 60", "up 25", "leaning")
CLOSE = "to wall 10"  # so near that cells reach their least size


@cache
def _room(name: str) -> Transport:
    return Transport.from_room(bedroom(0.01, 1.15) if name == CLOSE else cases()[name][0])


def _cells(name: str, detail: NearFieldSettings) -> int:
    strip = hidden_strip(0.01, 0.1, "wall") if name == CLOSE else cases()[name][1]
    transport = _room(name)
    chosen, glow = near_patches(transport.patches, transport.blockers, strip, detail)
    return len(cells_of(transport.patches, chosen, glow, strip, detail))


SIZES = (
    "across",
    "along",
    "at_ends",
    "least_across_m",
    "least_along_m",
    "least_at_ends_m",
    "smoother",
)


@pytest.mark.parametrize("setting", SIZES)
@pytest.mark.parametrize("detail", [FULL, DRAG], ids=["full", "drag"])
def test_each_size_decides_how_many_cells_there_are(
    detail: NearFieldSettings, setting: str
) -> None:
    """A tenth larger makes fewer cells, a tenth smaller more: the cost is what was set."""
    value = getattr(detail, setting)
    sizes = [replace(detail, **{setting: share * value}) for share in (1.1, 1.0, 0.9)]
    counts = [sum(_cells(name, each) for name in (CLOSE, *ROOMS)) for each in sizes]
    assert counts[0] <= counts[1] <= counts[2]
    assert counts[0] < counts[2]


@pytest.mark.parametrize(("detail", "cells"), [(FULL, 4136), (DRAG, 1446)])
def test_the_cells_for_which_the_errors_were_measured(
    detail: NearFieldSettings, cells: int
) -> None:
    """The errors told in DEVELOPERS.md are for so many cells; other settings ask for new ones."""
    assert sum(_cells(name, detail) for name in (CLOSE, *ROOMS)) == cells


# ---- on demand: what an answer owes to each number -----------------------------------------------
def _lux() -> Iterator[Floats]:
    for name in ROOMS:
        _, strip, sensors = cases()[name]
        transport = _room(name)
        yield illuminance_map(transport, transport.sensors(*sensors), strip).total


@cache
def _as_set() -> tuple[Floats, ...]:
    return tuple(_lux())


@pytest.mark.long
@pytest.mark.parametrize("share", [0.9, 1.1])
@pytest.mark.parametrize("setting", [f.name for f in fields(NearFieldSettings)])
def test_no_answer_hangs_on_a_number(
    setting: str, share: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A tenth of any number moves the sensors by less than the engine's own error."""
    old = getattr(FULL, setting)
    new = round(share * old) if isinstance(old, int) else share * old
    if setting == "bright_share":
        new = min(1.0, new)
    as_set = _as_set()
    engine = sys.modules["lumen.light.interreflection.surface_light"]
    monkeypatch.setattr(engine, "FULL", replace(FULL, **{setting: new}))
    moved = max(
        100 * float(np.percentile(np.abs(a / b - 1), 95))
        for a, b in zip(_lux(), as_set, strict=True)
    )
    print(f"{setting} x {share}: {moved:.3f} %")
    assert moved < 0.4
