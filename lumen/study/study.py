"""The study: light, power and cautions of one plan, as one frozen result that every face reads."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from lumen.errors import LumenError
from lumen.scenario.assumptions import Assumption, assumptions
from lumen.scenario.document import Scenario, dump
from lumen.study.cache import Cache, fingerprint, using
from lumen.study.cautions import Caution, cautions
from lumen.study.document import aims_json, answers_json, comfort_json, targets_json
from lumen.study.eyes.comfort import Comfort, comfort
from lumen.study.frames import FrameName, frame_of
from lumen.study.lighting.maps import Answer, Lighting, lighting
from lumen.study.load.document import power_json
from lumen.study.load.electrics import Electrics, electrics, strip_profiles
from lumen.study.scene.levels import dimming_json
from lumen.study.scene.reading import reading_assumptions
from lumen.study.wishes.verdicts import AimResult, aim_results
from lumen.words.cautions import CautionWords, caution_words
from lumen.words.terminal import coarse_words

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FORMAT", "Study", "study"]

FORMAT = "lumen-study/1"
_DETAILS = ("full", "drag")


@dataclass(frozen=True)
class Note:
    """What was put right or taken as given, and of which light, or of the room."""

    of: str
    note: str


@dataclass(frozen=True, eq=False)
class Study:
    """What a plan gives: ``lighting``, ``electrics`` and ``cautions``; JSON and frames of them."""

    scenario: Scenario
    lighting: Lighting
    electrics: Electrics
    cautions: tuple[Caution, ...]

    @property
    def setups(self) -> tuple[str, ...]:
        """Ids of the setups, in the plan's order."""
        return tuple(setup.id for setup in self.scenario.setups)

    @cached_property
    def answers(self) -> tuple[Answer, ...]:
        """Every target in every setup."""
        return tuple(
            self.lighting.answer(target.id, setup)
            for setup in self.setups
            for target in self.lighting.targets
        )

    @cached_property
    def comfort(self) -> Comfort:
        """What glares, what wakes, which white meets which, how the wall glows."""
        with using(self.lighting.evaluation.cache):
            return comfort(self.lighting)

    @cached_property
    def aims(self) -> tuple[AimResult, ...]:
        """How each wish fares in each of its setups."""
        with using(self.lighting.evaluation.cache):
            return aim_results(self.lighting)

    @cached_property
    def assumptions(self) -> tuple[Assumption, ...]:
        """Every default that the plan did not override, and who was taken to read."""
        reading = reading_assumptions(self.scenario, self.lighting.reading)
        return (*assumptions(self.scenario), *reading)

    def to_frame(self, of: FrameName = "answers") -> pd.DataFrame:
        """Return a part of the study as a tidy table, with a unit in every column's name.

        Parameters
        ----------
        of
            ``"planes"`` and ``"eyes"``: a row a target and setup; ``"answers"``: both together.
            ``"wishes"``: a row a wish and setup. ``"load"``: a row a node of the supply tree and
            setup, and one with everything on, without a setup. ``"cautions"``: a row a thing that
            a caution is about. What is bought is in :func:`lumen.sheet.frames.frames`.

        Raises
        ------
        LumenError
            When there is no such table.

        Examples
        --------
        >>> from lumen.scenario.files import examples, load
        >>> found = study(load(examples()[0])).to_frame("eyes")
        >>> found["posture"].unique().tolist()[:3]
        ['sitting', 'slouched', 'lying back']
        """
        return frame_of(of, self.lighting, self.electrics, self.aims, self.cautions)

    def to_json(self) -> dict[str, Any]:
        """Return the study as plain data, in the versioned shape that DEVELOPERS.md documents."""
        power = power_json(self.electrics)
        return {
            "format": FORMAT,
            "plan": {
                "title": self.scenario.title,
                "hash": fingerprint(dump(self.scenario)),
                "region": self.scenario.region,
            },
            "targets": targets_json(self.lighting),
            "setups": [
                {
                    "id": s.id,
                    "name": s.name or s.id,
                    "reading": list(self.lighting.reading[s.id]),
                    **asdict(self.electrics.total(s.id)),
                }
                for s in self.scenario.setups
            ],
            "dimming": dimming_json(self.scenario),
            **answers_json(self.lighting),
            "aims": aims_json(self.aims, {t.id: t.name for t in self.lighting.targets}),
            "comfort": comfort_json(self.comfort),
            "power": power,
            "cautions": [words.to_json() for words in self.caution_words],
            "assumptions": [
                {"field": a.field, "value": a.value, "why": a.why} for a in self.assumptions
            ],
            "notes": [asdict(note) for note in self.notes],
            "health": asdict(self.lighting.transport.health),
        }

    @property
    def notes(self) -> tuple[Note, ...]:
        """What files, shades and size made us put right, take as given or reckon coarsely."""
        of_lights = (Note(e.id, note) for e in self.lighting.emitters for note in e.notes)
        of_room = (Note("room", coarse_words(one)) for one in self.lighting.evaluation.coarsened)
        return (*of_lights, *of_room)

    @cached_property
    def caution_words(self) -> tuple[CautionWords, ...]:
        """The cautions as they are told."""
        return caution_words(self.cautions, self.scenario)

    @property
    def exit_status(self) -> int:
        """1 when a caution at danger level stands, else 0."""
        return 1 if any(c.severity == "danger" for c in self.cautions) else 0


def study(
    scenario: Scenario,
    *,
    detail: str = "full",
    only: Collection[str] | None = None,
    engine: Cache | None = None,
) -> Study:
    """Return the study of a plan: electrics first, since they say how bright each strip's end is.

    Parameters
    ----------
    scenario
        The plan.
    detail
        ``"full"``, or ``"drag"``: a rougher near field of strips (1 to 7 % off), several times as
        fast.
    only
        Ids of the only planes and eyes to look at, where not all are wanted.
    engine
        An :class:`lumen.Engine` of one's own, which keeps what is dear; else that of the process.

    Raises
    ------
    LumenError
        When ``detail`` is neither.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> study(load(examples()[0])).to_json()["format"]
    'lumen-study/1'
    """
    if detail not in _DETAILS:
        raise LumenError("detail", f"must be one of {', '.join(_DETAILS)}", detail)
    with using(engine):
        drawn = electrics(scenario)
        lit = lighting(scenario, strip_profiles(scenario), detail=detail, only=only)
        return Study(scenario, lit, drawn, cautions(scenario, drawn))
