r"""How light lies across a cell: mean, tilt and bend, and how each goes on to the next bounce.

A cell is a narrow quad along the strip. Across it, u from -1 to 1, light is

::

    E(u) = mean (1 + tilt u + bend (3 u² - 1) / 2)

the first three of Legendre's polynomials: orthogonal, so that ``mean`` is the mean whatever the
others are, ``mean tilt = 3 <E u>`` and ``mean bend = 5 <E (3 u² - 1) / 2>``, <> the mean over u.

**Tilt goes on.** Let F(u, w) be the light at u of cell i for each unit of exitance at w of cell
j. For an exitance ``M (1 + a w)`` the mean light of i is ``M <F> + M a <F w>``, its tilt times mean
``3 M <F u> + 3 M a <F u w>``. The last term, of second order in width over distance, is dropped.
Two Gauss points at u = ±1/√3 give <F> of a cubic in u exactly, and <F u> of a square; with the
values below and above ``F_-, F_+``::

    <F> = (F_- + F_+) / 2          3 <F u> = √3 (F_+ - F_-) / 2

``<F w>`` needs no work of its own. By reciprocity, ``A_i F_ij(u, w) = A_j F_ji(w, u)``, what the
tilt of j adds to the mean of i is what the mean of i adds to the tilt of j: with the tilt factor
``T_ji = 3 <F_ji u>`` it is ``A_j T_ji / (3 A_i)``.

**A tilted cell is a line of light off its middle.** Its flux has its centroid at
``<u E> / <E> = tilt / 3`` of half the width: ``tilt / 6`` of the whole width from the middle. From
further off than the cell is wide, a line there gives its light exactly to second order.

**Bend follows from tilt.** What cells get from the strip itself is measured in all three. What
they get from one another is known by mean and tilt; deep in a gap it falls off as ``exp(k u)``.
Then ``tilt = 3 (coth k - 1 / k) = k - k³ / 15 + ...`` and ``bend = k² / 3 - ...``: bend over the
square of tilt is 1/3 for a flat one and 0.346 for a tilt of 0.94. `BEND_OF_TILT` is between.

**What a box hides** of a cell is a stretch across it, so the share that is seen needs the integral
of E: with x = (1 + u) / 2, the share below x is ``x + (x² - x)(tilt + bend (2 x - 1))``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lumen.light.geometry import Floats, Ints

__all__ = ["BEND_OF_TILT", "CellLight", "mean_and_tilt", "profile_of_exitance", "share_below"]

BEND_OF_TILT = 0.34
"""An exponential's bend over the square of its tilt."""


@dataclass(frozen=True, eq=False)
class CellLight:
    """Light of cells as ``mean (1 + tilt u + bend (3 u² - 1) / 2 + slope v)``.

    Across a cell u runs from -1 to 1, along it v.
    """

    mean: Floats
    tilt: Floats
    bend: Floats
    slope: Floats

    def subset(self, rows: Ints) -> CellLight:
        """That of some of the cells."""
        return CellLight(self.mean[rows], self.tilt[rows], self.bend[rows], self.slope[rows])


def mean_and_tilt(below: Floats, above: Floats) -> tuple[Floats, Floats]:
    """Mean across a cell, and mean times tilt, from the values at its two Gauss points."""
    half = below.dtype.type(0.5)
    return half * (below + above), half * below.dtype.type(np.sqrt(3.0)) * (above - below)


def profile_of_exitance(
    exitance: Floats, tilted: Floats, reflectance: Floats, direct: CellLight
) -> CellLight:
    """How the exitance of cells lies, all channels together.

    Parameters
    ----------
    exitance, tilted : (c, n)
        Exitance [lm/m²], and exitance times tilt.
    reflectance : (c, n)
    direct : CellLight
        What the strip itself gives the cells, known in full.
    """
    total = exitance.sum(axis=0)
    per_total = np.divide(1.0, total, out=np.zeros_like(total), where=total > 0.0)
    tilt = tilted.sum(axis=0) * per_total
    share = np.clip((reflectance * direct.mean).sum(axis=0) * per_total, 0.0, 1.0)
    other = np.maximum(1.0 - share, 1e-9)
    fall = np.clip((tilt - share * direct.tilt) / other, -1.0, 1.0)
    bend = share * direct.bend + other * BEND_OF_TILT * fall * fall
    return CellLight(total, tilt, bend, share * direct.slope)


def share_below(x: Floats, tilt: Floats, bend: Floats) -> Floats:
    """Share of a cell's light below x across it, 0 to 1; x may be overwritten.

    Examples
    --------
    Half of an even cell, and three quarters of the light of one that falls to nothing:

    >>> half = np.full(2, 0.5)
    >>> share_below(half, np.array([0.0, -1.0]), np.zeros(2))
    array([0.5 , 0.75])
    """
    one = x.dtype.type(1.0)
    np.clip(x, one - one, one, out=x)
    bent = x * x.dtype.type(2.0)
    bent -= one
    bent *= bend
    bent += tilt
    bent *= x * x - x
    bent += x
    return bent
