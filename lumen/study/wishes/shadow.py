"""A reader's own shadow on the page: what throws it, from which light, and from where it does not.

The page is reckoned with and without the reader's body, with the head and the shoulders alone, and
with the light at other heights; no fact is told that was not reckoned so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from lumen.light.visibility import Blocker
from lumen.scenario.lights import Light
from lumen.study.lighting.maps import Lighting
from lumen.study.scene.body import own_shadow
from lumen.study.scene.emitters import Emitter, emitter_of_light
from lumen.study.scene.targets import Target

__all__ = ["Part", "Shadow", "shadow_on"]

Array = NDArray[np.floating[Any]]

_TOLD = 0.10  # a shadow that takes less of the light at its darkest point goes untold
_GONE = 0.05  # one that takes less is none
_BOTH = 0.3  # a part of the body that throws less than this share of the shadow goes unnamed
_STEP_M, _HIGHEST_M, _UNDER_CEILING_M = 0.05, 2.00, 0.15


Part = Literal["head", "shoulders"]


@dataclass(frozen=True)
class Shadow:
    """What a reader's own body does to the light of one source on the page.

    ``parts`` of the body throw it; ``light`` is the source that loses most, ``light_name`` its
    name. ``highest_m`` is the greatest height that was tried, None for what hangs on no wall;
    ``free_from_m`` the height of its fixing point from which up the shadow is gone, None where it
    never is. ``without`` is least over average without the body, ``at_least`` what is asked.
    """

    parts: tuple[Part, ...]
    light: str
    light_name: str
    highest_m: float | None
    free_from_m: float | None
    without: float
    at_least: float


def shadow_on(lit: Lighting, target: Target, setup: str, at_least: float) -> Shadow | None:
    """Return what makes a page uneven in a setup, as far as the reader's own body does.

    ``at_least`` is the evenness asked for. None where no shadow is worth telling.

    Notes
    -----
    Heights are tried every 5 cm from where the light hangs up to 2 m or 15 cm under the ceiling,
    with its aim kept; the height named is that of its fixing point.
    """
    body = own_shadow(lit.scenario, target.id)
    if not body:
        return None
    weights = lit.weights(setup)
    now = weights @ lit.total(setup, lit.slices[target.id])
    lost = np.array(
        [
            w * _taken(lit, e, target, body) if w > 0 else np.zeros(len(now))
            for w, e in zip(weights, lit.emitters, strict=True)
        ]
    )
    bare = now + lost.sum(axis=0)
    if len(lost) == 0 or _share(lost.sum(axis=0), bare) < _TOLD:
        return None
    main = lit.emitters[int(lost.sum(axis=1).argmax())]
    light = next((one for one in lit.scenario.lights if one.id == main.id), None)
    free_from, highest = None, None
    if light is not None and light.mount in ("wall", "headboard"):
        free_from, highest = _free_from(lit, light, target, body)
    return Shadow(
        parts=_parts(lit, main, target, body),
        light=main.id,
        light_name=main.name,
        highest_m=highest,
        free_from_m=free_from,
        without=float(bare.min() / bare.mean()),
        at_least=at_least,
    )


def _taken(lit: Lighting, emitter: Emitter, target: Target, body: Sequence[Blocker]) -> Array:
    """Direct light that the body keeps from each point of the page, at full output."""
    bare, shaded = (
        lit.evaluation.direct(emitter, target.points, target.normals, body=solids)
        for solids in ((), body)
    )
    return np.asarray(bare - shaded)


def _share(lost: Array, bare: Array) -> float:
    """What is lost where most is, over the average without the body."""
    return float(lost.max() / max(float(bare.mean()), 1e-12))


def _parts(
    lit: Lighting, emitter: Emitter, target: Target, body: Sequence[Blocker]
) -> tuple[Part, ...]:
    """Which part of the body throws the shadow: head, shoulders or both."""
    both: tuple[Part, ...] = ("head", "shoulders")
    names = both[: len(body)]
    each = [float(_taken(lit, emitter, target, [part]).sum()) for part in body]
    least = _BOTH * max(sum(each), 1e-12)
    return tuple(n for n, lost in zip(names, each, strict=True) if lost >= least)


def _free_from(
    lit: Lighting, light: Light, target: Target, body: Sequence[Blocker]
) -> tuple[float | None, float]:
    """Height [m] from which up the shadow is gone, None without one, and the highest tried."""
    x, y, start = light.mount_m
    top = min(_HIGHEST_M, lit.scenario.room.height_m - _UNDER_CEILING_M)
    tried = np.arange(np.ceil(start / _STEP_M + 1e-9) * _STEP_M, top + 1e-9, _STEP_M)
    by_id = {one.id: one for one in lit.targets}
    free_from = None
    for height in tried[::-1]:
        moved = light.model_copy(update={"mount_m": (x, y, float(height))})
        emitter = emitter_of_light(lit.scenario, moved, by_id)
        bare = lit.evaluation.direct(emitter, target.points, target.normals, body=())
        if bare.max() <= 0 or _share(_taken(lit, emitter, target, body), bare) > _GONE:
            break
        free_from = float(height)
    return free_from, top
