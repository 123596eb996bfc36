"""What makes an answer unsure: which bulb, which shade, which surface, as shares of its band.

The band of an answer adds independent doubts as squares
(:class:`lumen.study.lighting.maps.Lighting`). Here the same squares are shared out again, so
that a person knows what is worth reading off a box or measuring before anything else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.scenario.lights import Light
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.emitters import printed
from lumen.study.scene.surfaces import lit_room
from lumen.study.words import figure

__all__ = ["Doubt", "Pull", "doubts", "doubts_json", "pulls", "ratio"]

Array = NDArray[np.floating[Any]]

_LEAST = 0.02  # smaller shares of the square are not told


@dataclass(frozen=True)
class Doubt:
    """One cause of an answer's band.

    ``what`` is ``lumens`` (as printed on the box), ``shade`` (what shade, beam or cover make of
    them), ``screen`` (how bright a page glows) or ``reflectance`` (of all surfaces together);
    ``of`` is the source's id, or the surface that moves the answer most. ``half`` is how far this
    alone moves the answer, as a share of it; ``share`` is its part of the square of the band.
    """

    what: str
    of: str
    half: float
    share: float


@dataclass(frozen=True)
class Pull:
    """How an answer follows a surface: by ``per`` times as many percent as its reflectance moves.

    ``of`` is ``walls``, ``floor``, ``ceiling``, or the id of a wall's own finish, an opening or a
    piece of furniture.
    """

    of: str
    per: float


def doubts(lit: Lighting, target: str, setup: str) -> tuple[Doubt, ...]:
    """Return what makes an answer unsure, the greatest share first; the shares add up to one.

    Each half is the mean of its way down and its way up. Where a page lies and how far off an eye
    is is not in the band, so it is not here; ageing, which takes from all lights, is no doubt.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.study import study
    >>> found = doubts(study(load(examples()[0])).lighting, "page:left", "read left")
    >>> [(one.what, one.of) for one in found][:2]
    [('reflectance', 'walls'), ('shade', 'left light')]
    >>> round(sum(one.share for one in found), 9)
    1.0
    """
    direct, bounced = _split(lit, target, setup)
    total = float((direct + bounced).sum())
    if total <= 0:
        return ()
    causes = [cause for cause in _causes(lit, target, setup, direct, bounced) if cause[2] > 0]
    square = sum(half**2 for _, _, half in causes)
    found = [Doubt(what, of, half / total, half**2 / square) for what, of, half in causes]
    return tuple(sorted(found, key=lambda one: -one.share))


def _causes(
    lit: Lighting, target: str, setup: str, direct: Array, bounced: Array
) -> Iterator[tuple[str, str, float]]:
    """What, of which, and how far it moves the answer [lx]."""
    down, up, bounce_down, bounce_up = lit.doubts
    written = {item.id: item for item in lit.scenario.sources}
    for row, emitter in enumerate(lit.emitters):
        lx = float(direct[row] + bounced[row])
        if emitter.id not in written:
            yield "screen", emitter.id, lx * float(down[row] + up[row]) / 2
            continue
        item = written[emitter.id]
        flux = item.lamp.flux_lm if isinstance(item, Light) else item.flux_lm_per_m
        low, high = printed(flux)
        lamp = (high - low) / 2
        whole = float(down[row] + up[row]) / 2
        yield "lumens", emitter.id, lx * lamp
        yield "shade", emitter.id, lx * math.sqrt(max(0.0, whole**2 - lamp**2))
    surfaces = pulls(lit, target, setup)
    of = surfaces[0].of if surfaces else "walls"
    yield "reflectance", of, float(bounced.sum()) * (bounce_down + bounce_up) / 2


def pulls(lit: Lighting, target: str, setup: str) -> tuple[Pull, ...]:
    """Return how an answer follows the reflectance of each surface, the strongest first.

    With patches of exitance ``M`` under illuminance ``H``, direct light ``E`` and the target's
    response ``a`` (what it gets by bounce is ``a . E``), the change with one patch's reflectance
    is ``d(a . E) / d ln(rho_k) = a_k H_k``: the adjoint of the exchange of light. First order only:
    a tenth of a white ceiling does more on the way up than on the way down. What a page hides from
    its own reader is left out here.
    """
    weights = lit.weights(setup)
    direct, bounced = _split(lit, target, setup)
    total = float((direct + bounced).sum())
    if total <= 0:
        return ()
    lamps = sum(
        (w * found.patch_illuminance for w, found in zip(weights, lit.maps, strict=True) if w),
        np.zeros(len(lit.transport.patches)),
    )
    received, response = lamps, np.zeros(len(lamps))
    for left, factors in lit.page_maps(setup):
        received = received + factors.sum() * left.patch_illuminance
    for page in lit.pages_read(setup):  # what reaches a page by bounce goes on from there
        gives = float(page.points[lit.slices[target]].mean())
        response = response + gives * lit.response[f"page:{page.person}"]
    each = (lit.response[target] * received + response * lamps) / total
    names = _names(lit)
    sums: dict[str, float] = {}
    for name, part in zip(names, np.bincount(lit.transport.patches.surface, each), strict=False):
        sums[name] = sums.get(name, 0.0) + float(part)
    found = [Pull(name, value) for name, value in sums.items() if value > 0]
    return tuple(sorted(found, key=lambda one: -one.per))


def _names(lit: Lighting) -> list[str]:
    """A name for each face of the room: walls with the common finish count together."""
    plan = lit.scenario
    return lit.evaluation.cache.get(
        "surface names", lambda: _named(lit), room=plan.room, furniture=plan.furniture
    )


def _named(lit: Lighting) -> list[str]:
    room, plan = lit_room(lit.scenario.room, lit.scenario.furniture), lit.scenario.room
    own = set(plan.finishes.wall_by_wall)
    names = []
    for name in room.surface_names:
        kind, _, rest = name.partition(":")
        number, _, opening = rest.partition(":")
        if kind == "wall" and opening:
            names.append(opening)
        elif kind == "wall":
            names.append(name if number in own else "walls")
        else:
            names.append(kind)
    return names + [name for name in room.box_names for _ in range(6)]


def ratio(lit: Lighting, target: str, first: str, second: str) -> tuple[float, float, float] | None:
    """Return how often the light of one setup goes into that of another, with its band.

    Both setups have the same bulbs and walls, so that most doubts fall away: to first order each
    cause moves the ratio by the difference of its parts in the two. ``None`` where the first is
    dark.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.study import study
    >>> lit = study(load(examples()[0])).lighting
    >>> ratio(lit, "page:left", "read left", "read left")
    (1.0, 1.0, 1.0)
    """
    parts = []
    for setup in (first, second):
        direct, bounced = _split(lit, target, setup)
        total = float((direct + bounced).sum())
        parts.append((total, direct + bounced, float(bounced.sum())))
    (before, each_before, bounce_before), (after, each_after, bounce_after) = parts
    if before <= 0:
        return None
    times = after / before
    if after <= 0:
        return 0.0, 0.0, 0.0
    down, up, bounce_down, bounce_up = lit.doubts
    apart = each_after / after - each_before / before
    bounce = bounce_after / after - bounce_before / before
    half = math.hypot(
        float(np.linalg.norm(apart * (down + up) / 2)), bounce * (bounce_down + bounce_up) / 2
    )
    return times, times * max(0.0, 1 - half), times * (1 + half)


def doubts_json(lit: Lighting, setup: str) -> dict[str, dict[str, Any]]:
    """Return the doubts of every target in a setup as plain data, small shares left out.

    By target: ``parts`` (what, of, half, share) and the ``surfaces`` (of, per) that move it most.
    """
    found = {}
    for target in lit.targets:
        if parts := doubts(lit, target.id, setup):
            found[target.id] = {
                "parts": [
                    {
                        "what": one.what,
                        "of": one.of,
                        "half": figure(one.half),
                        "share": figure(one.share),
                    }
                    for one in parts
                    if one.share >= _LEAST
                ],
                "surfaces": [
                    {"of": one.of, "per": figure(one.per)}
                    for one in pulls(lit, target.id, setup)[:3]
                ],
            }
    return found


def _split(lit: Lighting, target: str, setup: str) -> tuple[Array, Array]:
    """Direct and bounced light of each source on a target [lx]."""
    answer = lit.answer(target, setup)
    rows = {emitter.id: row for row, emitter in enumerate(lit.emitters)}
    direct, bounced = np.zeros(len(rows)), np.zeros(len(rows))
    for share in answer.by_source:
        direct[rows[share.id]], bounced[rows[share.id]] = share.direct_lx, share.bounced_lx
    return direct, bounced
