"""Two setups of one plan held against each other: what changes on each plane, eye and plug."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from lumen.scenario.people import Person
from lumen.study.eyes.comfort import Comfort
from lumen.study.lighting.doubts import ratio
from lumen.study.lighting.maps import Answer, Lighting
from lumen.study.load.electrics import Electrics
from lumen.study.scene.targets import Kind, Target
from lumen.study.wishes.verdicts import AimResult

__all__ = ["Amount", "Change", "Comparison", "LightDifference", "compare"]

_SAME = 0.10
"""A change under a tenth is told as none: lamps as printed are no better known."""

_DARK_LX = 0.1
_FAINT_SHARE = 0.01

Change = Literal["same", "about the same", "from the dark", "next to nothing", "more", "less"]


@dataclass(frozen=True)
class Amount:
    """An illuminance [lx] with its band."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class LightDifference:
    """The light of one thing in two setups.

    ``target`` is a page or another plane; ``person`` whose page it is, or whose eyes in the lying
    posture that is worst in each setup, where ``target`` is None. ``ratio`` is how often the first
    goes into the second, with its band, narrower than the two bands since both setups have the same
    bulbs and walls; None in the dark and where two postures are compared.
    """

    kind: Literal["page", "eyes", "plane"]
    target: Target | None
    person: Person | None
    first: Amount
    second: Amount
    ratio: tuple[float, float, float] | None

    @property
    def share(self) -> float:
        """The second over the first; 0 from the dark."""
        return self.second.value / self.first.value if self.first.value > 0 else 0.0

    @property
    def change(self) -> Change:
        """What kind of change it is.

        Examples
        --------
        >>> def between(a, b):
        ...     first, second = Amount(a, a, a), Amount(b, b, b)
        ...     return LightDifference("plane", None, None, first, second, None).change
        >>> between(300, 95), between(100, 104), between(50, 0.02), between(0.0, 12)
        ('less', 'about the same', 'next to nothing', 'from the dark')
        """
        first, second = self.first.value, self.second.value
        if max(first, second) < _DARK_LX or first == second:
            return "same"
        if first < _DARK_LX:
            return "from the dark"
        if second < _DARK_LX or self.share < _FAINT_SHARE:
            return "next to nothing"
        if abs(self.share - 1) <= _SAME:
            return "about the same"
        return "more" if self.share > 1 else "less"

    @property
    def size(self) -> float:
        """The greater over the less, less one: to order changes by."""
        values = (max(self.first.value, _DARK_LX), max(self.second.value, _DARK_LX))
        return float(max(values) / min(values) - 1)


@dataclass(frozen=True)
class Comparison:
    """How two setups differ: light by page, eyes and plane, then counts of each setup.

    ``glaring`` is from how many places somebody meets a glaring bulb, ``power_w`` what is drawn in
    all [W], ``wishes`` how many are met, of how many.
    """

    light: tuple[LightDifference, ...]
    glaring: tuple[int, int]
    power_w: tuple[float, float]
    wishes: tuple[tuple[int, int], tuple[int, int]]


def compare(
    comfort: Comfort, drawn: Electrics, aims: Sequence[AimResult], first: str, second: str
) -> Comparison:
    """Return how two setups of a study differ, pages first, then eyes, bed and floor.

    Parameters
    ----------
    comfort, drawn, aims
        Parts of one study.
    first, second
        Ids of two setups.

    Raises
    ------
    KeyError
        When the study has no such setup.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> from lumen.study.study import study
    >>> one = study(load(examples()[0]))
    >>> found = compare(one.comfort, one.electrics, one.aims, "read left", "read left")
    >>> found.light[0].change, found.power_w[1] - found.power_w[0]
    ('same', 0.0)
    """
    lit = comfort.lighting
    power = tuple(drawn.total(name).total_w for name in (first, second))
    planes = [target for target in lit.targets if not target.is_eye]
    pages = [target for target in planes if target.is_page]
    rest = [target for target in planes if target.kind in (Kind.BED, Kind.FLOOR)]
    return Comparison(
        light=(
            *(_plane(lit, "page", target, first, second) for target in pages),
            *_eyes(lit, first, second),
            *(_plane(lit, "plane", target, first, second) for target in rest),
        ),
        glaring=(_glaring(comfort, first), _glaring(comfort, second)),
        power_w=(power[0], power[1]),
        wishes=(_met(aims, first), _met(aims, second)),
    )


def _plane(
    lit: Lighting, kind: Literal["page", "plane"], target: Target, first: str, second: str
) -> LightDifference:
    person = next((one for one in lit.scenario.people if one.id == target.person), None)
    both = [lit.answer(target.id, setup) for setup in (first, second)]
    return _light(lit, kind, target, person, *both)


def _eyes(lit: Lighting, first: str, second: str) -> Iterator[LightDifference]:
    """Each person's eyes in the lying posture that is worst in each of the two."""
    for person in lit.scenario.people:
        lying = [t for t in lit.targets if t.lies and t.person == person.id]
        if lying:
            worst = [
                max((lit.answer(t.id, setup) for t in lying), key=lambda a: a.average_lx)
                for setup in (first, second)
            ]
            yield _light(lit, "eyes", None, person, *worst)


def _light(
    lit: Lighting,
    kind: Literal["page", "eyes", "plane"],
    target: Target | None,
    person: Person | None,
    a: Answer,
    b: Answer,
) -> LightDifference:
    lit_up = min(a.average_lx, b.average_lx) >= _DARK_LX and a.target == b.target
    return LightDifference(
        kind,
        target,
        person,
        Amount(a.average_lx, a.low_lx, a.high_lx),
        Amount(b.average_lx, b.low_lx, b.high_lx),
        ratio(lit, a.target, a.setup, b.setup) if lit_up else None,
    )


def _glaring(comfort: Comfort, setup: str) -> int:
    level = comfort.levels(setup)
    return len({seen.eye for seen in comfort.harsh(setup) if seen.glares(level[seen.light])})


def _met(aims: Sequence[AimResult], setup: str) -> tuple[int, int]:
    states = [aim.state for aim in aims if aim.setup == setup]
    return states.count("met"), len(states)
