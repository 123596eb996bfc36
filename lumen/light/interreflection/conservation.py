"""Light is neither lost nor made: factors are scaled so that every surface sends all it has.

Nothing here is a choice about how light looks; these are the two places where estimates of factors
are held to what must be so.

**The room.** Exchange areas ``S_ij = A_i F_ij`` are symmetric (reciprocity), and in a closed room
``sum_j S_ij = A_i``. `scale_to_areas` finds the diagonal D for which ``D S D`` has these row sums:
the symmetric form of Sinkhorn's scaling (Knight, SIAM Journal on Matrix Analysis 30(1), 2008; cited
from memory), which keeps every zero and the symmetry.

**A gap.** What a cell sends is kept by other cells (``kept``), or leaves to far patches (``sent``),
and the two must add to 1. Estimates do not, by a gap ``g = 1 - kept - sent``. Of all corrections
``k + s = g`` the likeliest, when the two are unsure by ``d_k`` and ``d_s`` and nothing else is
known, makes ``(k / d_k)² + (s / d_s)²`` least: ``k = g d_k² / (d_k² + d_s²)``, ``s = g - k``.
`send_all` lays it so: ``d_s`` is the far share itself, ``d_k`` is given by the caller.
"""

from __future__ import annotations

import numpy as np

from lumen.light.geometry import Floats

__all__ = ["scale_to_areas", "send_all"]


def scale_to_areas(exchange: Floats, areas: Floats, *, rounds: int = 60) -> tuple[Floats, Floats]:
    """Scale a symmetric exchange matrix (N, N) to D S D with row sums equal to the areas.

    Returns
    -------
    scaled : (N, N)
    scales : (N,)
        The diagonal of D.

    Examples
    --------
    >>> scaled, _ = scale_to_areas(np.array([[0.0, 0.9], [0.9, 0.2]]), np.array([1.0, 1.3]))
    >>> scaled.sum(axis=1).round(3)
    array([1. , 1.3])
    """
    d = np.ones(len(areas))
    for _ in range(rounds):
        rows = d * (exchange @ d)
        step = np.sqrt(np.divide(areas, rows, out=np.ones_like(areas), where=rows > 0.0))
        d *= step
        if np.abs(step - 1.0).max() < 1e-9:
            break
    return d[:, None] * exchange * d[None, :], d


def send_all(kept: Floats, sent: Floats, doubt: Floats) -> tuple[Floats, Floats]:
    """Factors (n,) by which to scale what cells keep and send so that the two add up to 1.

    Parameters
    ----------
    kept, sent : (n,)
        Estimated shares of each cell's light that stay among the cells and that leave them.
    doubt : (n,)
        How unsure ``kept`` is; ``sent`` is taken to be as unsure as it is large.

    Returns
    -------
    of_kept, of_sent : (n,)

    Examples
    --------
    Of a missing 0.05, what is sure keeps almost nothing:

    >>> of_kept, of_sent = send_all(np.array([0.75]), np.array([0.2]), np.array([0.01]))
    >>> (0.75 * of_kept + 0.2 * of_sent).round(12), of_kept.round(4)
    (array([1.]), array([1.0002]))
    """
    gap = (1.0 - kept - sent) / np.maximum(doubt**2 + sent**2, 1e-12)
    of_kept = 1.0 + gap * np.divide(doubt**2, kept, out=np.zeros_like(kept), where=kept > 0.0)
    return of_kept, 1.0 + gap * sent
