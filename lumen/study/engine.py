"""The engine: who owns what is dear to compute about rooms, and gives the answers made of it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lumen.errors import LumenError
from lumen.scenario.document import Scenario
from lumen.study.anywhere import illuminance_at
from lumen.study.cache import CACHE_BYTES, Cache, using
from lumen.study.cautions import Caution, cautions
from lumen.study.eyes.comfort import Comfort, comfort
from lumen.study.lighting.maps import Answer, lighting
from lumen.study.load.electrics import Electrics, electrics, strip_profiles
from lumen.study.scene.targets import Kind, named, targets
from lumen.study.study import Study, study
from lumen.study.wishes.verdicts import AimResult, aim_results

__all__ = ["Engine", "Evaluated", "Want"]

Want = Literal["pages", "planes", "eyes", "wishes", "comfort", "load", "cautions"]


@dataclass(frozen=True, eq=False)
class Evaluated:
    """What was asked of a plan; None for what was not.

    ``pages`` are those that people hold, ``planes`` all others, ``eyes`` those of everybody in
    every posture: each target in every setup. ``load`` is the supply with all its limits.
    """

    pages: tuple[Answer, ...] | None = None
    planes: tuple[Answer, ...] | None = None
    eyes: tuple[Answer, ...] | None = None
    wishes: tuple[AimResult, ...] | None = None
    comfort: Comfort | None = None
    load: Electrics | None = None
    cautions: tuple[Caution, ...] | None = None


class Engine(Cache):
    """Owns what is dear to compute: room, transport, sensors and maps, in one budget of bytes.

    Whoever asks the functions of the package without an engine works with one that the process
    has. One's own may be asked from several threads: two that ask for the same thing get one
    computation. Pickled, for another process, its settings travel and what it keeps does not.

    Parameters
    ----------
    cache_bytes
        How much is kept at most [bytes]. What was not asked for longest goes first; what is larger
        than all of it is computed anew each time.

    Examples
    --------
    >>> import lumen
    >>> engine = lumen.Engine(cache_bytes=200_000_000)
    >>> plan = lumen.load(lumen.examples()[0])
    >>> pages = engine.evaluate(plan, want=["pages"]).pages
    >>> [round(page.average_lx) for page in pages if page.setup == "read left"][:1]
    [...]
    >>> 0 < engine.held_bytes <= 200_000_000
    True
    >>> engine.clear()
    >>> engine.held_bytes
    0
    """

    def __init__(self, cache_bytes: int = CACHE_BYTES) -> None:
        super().__init__(cache_bytes)

    def study(self, plan: Scenario, *, detail: str = "full") -> Study:
        """As :func:`lumen.study`, with this engine."""
        return study(plan, detail=detail, engine=self)

    def illuminance_at(
        self,
        plan: Scenario,
        points: ArrayLike,
        normals: ArrayLike,
        *,
        setup: str | None = None,
        bounced: bool = True,
        target: str | None = None,
    ) -> NDArray[np.float64]:
        """As :func:`lumen.illuminance_at`, with this engine."""
        return illuminance_at(
            plan, points, normals, setup=setup, bounced=bounced, target=target, engine=self
        )

    def evaluate(self, plan: Scenario, want: Collection[Want] = get_args(Want)) -> Evaluated:
        """Return what is wanted of a plan, and compute no more than that.

        Parameters
        ----------
        plan
            The plan.
        want
            Any of ``pages``, ``planes``, ``eyes`` (what they get), ``wishes`` (how each fares),
            ``comfort`` (what eyes meet), ``load`` and ``cautions``; all, where it is left out.

        Raises
        ------
        LumenError
            When something else is wanted.

        Examples
        --------
        >>> import lumen
        >>> engine, plan = lumen.Engine(), lumen.load(lumen.examples()[0])
        >>> load = engine.evaluate(plan, want=["load"]).load
        >>> load.total("read left").total_w > 0, engine.held_bytes
        (True, 0)
        """
        for one in want:
            if one not in get_args(Want):
                raise LumenError("want", f"must be of {', '.join(get_args(Want))}", one)
        with using(self):
            load = electrics(plan) if {"load", "cautions"} & set(want) else None
            return replace(
                _light(plan, set(want) - {"load", "cautions"}),
                load=load if "load" in want else None,
                cautions=cautions(plan, load) if load and "cautions" in want else None,
            )


def _light(plan: Scenario, want: Collection[Want]) -> Evaluated:
    """What of the light is wanted."""
    if not want:
        return Evaluated()
    every = targets(plan)
    kinds = {target.id: _WANTED_AS.get(target.kind, "planes") for target in every}
    asked = {name for name, kind in kinds.items() if kind in want or "comfort" in want}
    if "wishes" in want:
        wished = named(every)
        asked |= {target.id for aim in plan.aims for target in wished.get(aim.of, ())}
    lit = lighting(plan, strip_profiles(plan), only=asked)

    def answers(kind: Want) -> tuple[Answer, ...] | None:
        if kind not in want:
            return None
        names = [name for name in lit.slices if kinds[name] == kind]
        return tuple(lit.answer(name, setup.id) for setup in plan.setups for name in names)

    return Evaluated(
        pages=answers("pages"),
        planes=answers("planes"),
        eyes=answers("eyes"),
        wishes=aim_results(lit) if "wishes" in want else None,
        comfort=comfort(lit) if "comfort" in want else None,
    )


_WANTED_AS: dict[Kind, Want] = {Kind.PAGE: "pages", Kind.EYE: "eyes"}
