"""The engine against a general-purpose renderer's ray casts, in bedrooms of every kind.

The reference is the light tracing of ``tracer.py``, the rooms those of ``bedrooms.py``. The
tolerance is the reference's own standard error plus the bound promised for the engine: 1 % for
19 sensors of 20 beyond two standard errors, 2.5 % for the worst beyond three.

The long version (``-m long``) runs all rooms with five to eleven times as many particles.
"""

from __future__ import annotations

import numpy as np
import pytest

from lumen.light.geometry import Floats
from lumen.light.interreflection import Transport, illuminance_map
from lumen.light.room import Room
from lumen.light.sources import Source
from lumen.scenario.document import Scenario
from lumen.study.anywhere import illuminance_at
from lumen.study.lighting.maps import emitters_of
from lumen.study.load.electrics import strip_profiles
from lumen.study.scene.surfaces import lit_room
from tests.light.bedrooms import cases, elsewhere, held_out, in_the_air, written
from tests.light.tracer import reference, renderer


def compare(
    name: str,
    actual: Floats,
    room: Room,
    source: Source,
    sensors: tuple[Floats, Floats],
    **how: int,
) -> None:
    """Hold an answer against the reference at its sensors over 1 lx; say how well it does."""
    expected, error = reference(renderer(), room, source, *sensors, **how)
    lit = expected > 1.0
    expected, error, actual = expected[lit], error[lit], actual[lit]
    off = np.abs(actual / expected - 1.0)
    print(
        f"\n{name:40s} median {np.median(off):.2%} p95 {np.percentile(off, 95):.2%} "
        f"max {off.max():.2%} mean {np.mean(actual / expected - 1.0):+.2%} "
        f"s.e. median {np.median(error / expected):.2%} max {np.max(error / expected):.2%}"
    )
    assert len(off) >= 20
    assert np.percentile(off - 2.0 * error / expected, 95) < 0.01
    assert np.max(off - 3.0 * error / expected) < 0.025


def check_room(case: tuple[Room, Source, tuple[Floats, Floats]], name: str, **how: int) -> None:
    """The engine in one room."""
    room, source, sensors = case
    transport = Transport.from_room(room, edge_m=0.4)
    actual = illuminance_map(transport, transport.sensors(*sensors), source).total
    compare(name, actual, room, source, sensors, **how)


def check_plan(scenario: Scenario, name: str, **how: int) -> None:
    """The public call on one plan, whose only source the reference takes as the plan has it."""
    sensors = in_the_air(scenario, 40, 77)
    room = lit_room(scenario.room, scenario.furniture)
    (emitter,) = emitters_of(scenario, {}, strip_profiles(scenario))
    compare(name, illuminance_at(scenario, *sensors), room, emitter.source, sensors, **how)


@pytest.mark.reference
@pytest.mark.parametrize("name", {**cases(), **elsewhere()})
def test_bedroom_agrees_with_light_tracing(name: str) -> None:
    """Direct and bounced light at 40 sensors agree with light tracing within 1 % and its noise."""
    check_room({**cases(), **elsewhere()}[name], name)


@pytest.mark.reference
@pytest.mark.parametrize("name", written())
def test_written_bedroom_agrees_with_light_tracing(name: str) -> None:
    """From a plan by the public call, in rooms no setting was chosen by: the same bounds.

    Points look anywhere, many into the dark, so the reference takes twice the particles.
    """
    check_plan(written()[name], name, replicates=12, particles=60_000)


LONG = {"replicates": 24, "particles": 150_000}


@pytest.mark.long
@pytest.mark.parametrize("name", {**cases(), **elsewhere(), **held_out()})
def test_bedroom_agrees_closely(name: str) -> None:
    """With eleven times the particles, in all rooms and six more that were drawn at random."""
    check_room({**cases(), **elsewhere(), **held_out()}[name], name, **LONG)


@pytest.mark.long
@pytest.mark.parametrize("name", written())
def test_written_bedroom_agrees_closely(name: str) -> None:
    """With five times the particles, from plans by the public call."""
    check_plan(written()[name], name, **LONG)
