"""The study: light, power and cautions of one plan, as one frozen result that every face reads."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from lumen.errors import LumenError
from lumen.scenario.assumptions import assumptions
from lumen.scenario.document import Scenario, dump
from lumen.study.cache import fingerprint
from lumen.study.cautions import Caution, cautions
from lumen.study.eyes.comfort import Comfort, comfort
from lumen.study.lighting.maps import Answer, Lighting, lighting
from lumen.study.load.electrics import Electrics, electrics, strip_profiles
from lumen.study.scene.levels import dimming_json
from lumen.study.scene.reading import reading_assumptions
from lumen.study.scene.targets import Target
from lumen.study.wishes.verdicts import AimResult, aim_results, aims_json
from lumen.study.words import figure

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FORMAT", "Study", "answers_json", "study"]

FORMAT = "lumen-study/1"
_DETAILS = ("full", "drag")


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
        return comfort(self.lighting)

    @cached_property
    def aims(self) -> tuple[AimResult, ...]:
        """How each wish fares in each of its setups."""
        return aim_results(self.lighting)

    def to_frame(self) -> pd.DataFrame:
        """Return planes and eyes x setups as a table, one row each, unit in the column's name."""
        import pandas as pd  # slow to import, and the command line does not need it

        columns = [
            "target",
            "setup",
            "average_lx",
            "minimum_lx",
            "maximum_lx",
            "uniformity",
            "low_lx",
            "high_lx",
            "after_years_lx",
            "direct_lx",
            "bounced_lx",
            "melanopic_lx",
        ]
        rows = [[getattr(answer, column) for column in columns] for answer in self.answers]
        return pd.DataFrame(rows, columns=columns)

    def to_json(self) -> dict[str, Any]:
        """Return the study as plain data, in the versioned shape that DEVELOPERS.md documents."""
        power = self.electrics.to_json()
        return {
            "format": FORMAT,
            "plan": {
                "title": self.scenario.title,
                "hash": fingerprint(dump(self.scenario)),
                "region": self.scenario.region,
            },
            "targets": [
                {
                    "id": t.id,
                    "name": t.name,
                    "kind": t.kind,
                    "points": len(t.points),
                    "person": t.person,
                    "posture": t.posture,
                }
                for t in self.lighting.targets
            ],
            "setups": [
                {
                    "id": s.id,
                    "name": s.name or s.id,
                    "reading": list(self.lighting.reading[s.id]),
                    **self.electrics.total(s.id),
                }
                for s in self.scenario.setups
            ],
            "dimming": dimming_json(self.scenario),
            **answers_json(self.lighting),
            "aims": aims_json(self.aims, {t.id: t.name for t in self.lighting.targets}),
            "comfort": self.comfort.to_json(),
            "power": power,
            "cautions": [caution.to_json() for caution in self.cautions],
            "assumptions": [
                {"field": a.field, "value": a.value, "why": a.why}
                for a in (
                    *assumptions(self.scenario),
                    *reading_assumptions(self.scenario, self.lighting.reading),
                )
            ],
            "notes": [
                {"of": emitter.id, "note": note}
                for emitter in self.lighting.emitters
                for note in emitter.notes
            ]
            + [{"of": "room", "note": note} for note in self.lighting.evaluation.coarsened],
            "health": asdict(self.lighting.transport.health),
        }

    @property
    def exit_status(self) -> int:
        """1 when a caution at danger level stands, else 0."""
        return 1 if any(c.severity == "danger" for c in self.cautions) else 0


def study(scenario: Scenario, *, detail: str = "full") -> Study:
    """Return the study of a plan: electrics first, since they say how bright each strip's end is.

    Parameters
    ----------
    scenario
        The plan.
    detail
        ``"full"``, or ``"drag"``: a rougher near field of strips (1 to 7 % off), several times as
        fast.

    Raises
    ------
    LumenError
        When ``detail`` is neither.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> found = study(load(examples()[0]))
    >>> found.to_json()["format"]
    'lumen-study/1'
    """
    if detail not in _DETAILS:
        raise LumenError("detail", f"must be one of {', '.join(_DETAILS)}", detail)
    drawn = electrics(scenario)
    lit = lighting(scenario, strip_profiles(scenario), detail=detail)
    return Study(scenario, lit, drawn, cautions(scenario, drawn))


def answers_json(lit: Lighting, only: str | None = None) -> dict[str, Any]:
    """Return planes and eyes in every setup, or in ``only`` one, as plain data."""
    planes, eyes = [], []
    for setup in lit.scenario.setups:
        if only not in (None, setup.id):
            continue
        for target in lit.targets:
            answer = lit.answer(target.id, setup.id)
            if target.kind == "plane":
                planes.append(_plane(answer))
            else:
                eyes.append({**_plane(answer), **_eye(target, answer)})
    return {"planes": planes, "eyes": eyes}


def _eye(target: Target, answer: Answer) -> dict[str, Any]:
    return {
        "person": target.person,
        "posture": target.posture,
        "illuminance_lx": figure(answer.average_lx),
        "melanopic_edi_lx": figure(answer.melanopic_lx),
        "melanopic_low_lx": figure(answer.melanopic_low_lx),
        "melanopic_high_lx": figure(answer.melanopic_high_lx),
    }


def _plane(answer: Answer) -> dict[str, Any]:
    return {
        "target": answer.target,
        "setup": answer.setup,
        "average_lx": figure(answer.average_lx),
        "minimum_lx": figure(answer.minimum_lx),
        "maximum_lx": figure(answer.maximum_lx),
        "uniformity": None if answer.uniformity is None else figure(answer.uniformity),
        "low_lx": figure(answer.low_lx),
        "high_lx": figure(answer.high_lx),
        "after_years_lx": figure(answer.after_years_lx),
        "direct_lx": figure(answer.direct_lx),
        "bounced_lx": figure(answer.bounced_lx),
        "by_source": [
            {
                "id": share.id,
                "direct_lx": figure(share.direct_lx),
                "bounced_lx": figure(share.bounced_lx),
            }
            for share in answer.by_source
        ],
    }
