"""The answer settles as patches get smaller: against a closed form and against a fine run.

Run as a script it prints the table of DEVELOPERS.md: ``python tests/light/test_convergence.py``.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from lumen.light.geometry import Box, Floats, Surface
from lumen.light.interreflection import Transport, illuminance_map
from lumen.light.room import Room
from lumen.light.sources import PointSource, StripSource


class Even:
    """The same intensity all round."""

    flux_lm = 1000.0

    def intensity(self, directions: Floats) -> Floats:
        """1000 lm over the whole sphere."""
        return np.full(directions.shape[:-1], 1000.0 / (4.0 * np.pi))


def _cuboid(size: tuple[float, float, float], reflectances: tuple[float, ...]) -> list[Surface]:
    """Floor, ceiling and four walls."""
    box = Box(np.array(size) / 2, np.array(size) / 2)
    return [Surface(face[::-1], rho) for face, rho in zip(box.faces(), reflectances, strict=True)]


def _room(surfaces: list[Surface], boxes: list[Box], rho: list[float]) -> Room:
    return Room(
        tuple(surfaces),
        tuple(str(i) for i in range(len(surfaces))),
        tuple(boxes),
        tuple(str(i) for i in range(len(boxes))),
        tuple(rho),
    )


@cache
def first_bounce_error(edge_m: float) -> float:
    """Relative error of the light a black cube's floor gets from one bright, evenly lit ceiling.

    Floor points see the ceiling by the exact factor of a rectangle; one side alone reflects, so
    there is one bounce and the closed form is rho times the integral of E0 over the ceiling.
    """
    rho, size = 0.8, 4.0
    room = _room(_cuboid((size,) * 3, (0.0, 0.0, 0.0, 0.0, 0.0, rho)), [], [])
    light = PointSource(np.array([2.0, 2.0, 1.5]), Even())
    points = np.array([[2.0, 2.0, 0.0], [0.7, 1.1, 0.0], [3.4, 3.2, 0.0], [0.2, 0.2, 0.0]])
    normals = np.tile([0.0, 0.0, 1.0], (4, 1))
    transport = Transport.from_room(room, edge_m=edge_m)
    found = illuminance_map(transport, transport.sensors(points, normals), light).bounced
    nodes, weights = np.polynomial.legendre.leggauss(64)
    x, y = (g.ravel() for g in np.meshgrid(2.0 + 2.0 * nodes, 2.0 + 2.0 * nodes))
    share = np.outer(weights, weights).ravel() * 4.0
    d2 = (x - 2.0) ** 2 + (y - 2.0) ** 2 + 2.5**2
    lit = 1000.0 / (4.0 * np.pi) * 2.5 / d2**1.5
    r2 = (x - points[:, :1]) ** 2 + (y - points[:, 1:2]) ** 2 + size**2
    exact = (rho * lit * share * size**2 / (np.pi * r2**2)).sum(axis=1)
    return float(np.abs(found / exact - 1.0).max())


@cache
def _bedroom(edge_m: float) -> tuple[Floats, Floats]:
    surfaces = _cuboid((3.2, 3.0, 2.4), (0.5, 0.5, 0.5, 0.5, 0.3, 0.8))
    boxes = [
        Box(np.array([1.6, 1.9, 0.25]), np.array([0.8, 1.0, 0.25])),
        Box(np.array([1.6, 2.93, 0.55]), np.array([0.8, 0.03, 0.55])),
    ]
    transport = Transport.from_room(_room(surfaces, boxes, [0.6, 0.4]), edge_m=edge_m)
    x, y = (g.ravel() for g in np.meshgrid([1.0, 1.6, 2.2], [1.2, 1.8, 2.4]))
    points = np.stack([x, y, np.full(9, 0.6)], axis=1)
    sensors = transport.sensors(points, np.tile([0.0, 0.0, 1.0], (9, 1)))
    pendant = PointSource(np.array([1.6, 1.4, 1.8]), Even())
    strip = StripSource(np.array([[0.9, 2.965, 1.0], [2.3, 2.965, 1.0]]), [0, 1.0, 0], 600.0)
    return (
        illuminance_map(transport, sensors, pendant).bounced,
        illuminance_map(transport, sensors, strip).bounced,
    )


def against_fine(edge_m: float, fine_m: float) -> tuple[float, float]:
    """Mean relative distance of bounced light on the bed from a finer run: pendant, strip."""
    pairs = zip(_bedroom(edge_m), _bedroom(fine_m), strict=True)
    pendant, strip = (float(np.abs(a / b - 1.0).mean()) for a, b in pairs)
    return pendant, strip


def test_one_bounce_settles_on_the_closed_form() -> None:
    """A cube's single bounce is off by 1 to 10 % with one patch a side, by under 0.2 % from 0.5 m.

    It goes on falling: 0.38, 0.12, 0.06 % at 1, 0.6, 0.3 m.
    """
    assert 0.01 < first_bounce_error(4.0) < 0.1
    assert first_bounce_error(0.3) < 0.6 * first_bounce_error(0.6)
    assert first_bounce_error(0.6) < 0.6 * first_bounce_error(1.0)
    assert max(first_bounce_error(0.5), first_bounce_error(0.25)) < 2e-3


def test_bedroom_settles_on_its_fine_run() -> None:
    """Bounced light of a pendant at 0.4 m is nearer the fine run than at 0.8 m, within 1 %."""
    coarse, medium = against_fine(0.8, 0.25)[0], against_fine(0.4, 0.25)[0]
    assert medium < coarse
    assert medium < 0.01


def test_hidden_strip_hardly_cares_for_patches() -> None:
    """Bounced light of a hidden strip at 1 m is within 3 % of patches of 0.4 m on average.

    The steep part of the light is on cells of the strip's own, not on patches.
    """
    assert against_fine(1.0, 0.4)[1] < 0.03


@pytest.mark.long
def test_hidden_strip_settles_on_its_fine_run() -> None:
    """Bounced light of a hidden strip at 0.4 m is within 1 % of patches of 0.2 m on average.

    Measured 0.5 %; at 0.3 m 0.3 %.
    """
    assert against_fine(0.4, 0.2)[1] < 0.01


if __name__ == "__main__":
    print("edge_m  one bounce of a cube, max  pendant, mean from 0.2 m  hidden strip, mean")
    for edge in (1.0, 0.8, 0.6, 0.4, 0.3):
        one = first_bounce_error(edge)
        pendant, strip = against_fine(edge, 0.2)
        print(f"{edge:6.2f}  {one:25.3%}  {pendant:24.2%}  {strip:18.2%}")
