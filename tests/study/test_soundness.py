"""Light that breaks a law of nature is refused by name; the twelve rooms pass."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from lumen.errors import GeometryError
from lumen.scenario.files import examples, load
from lumen.study.lighting.maps import Lighting, lighting
from lumen.study.lighting.soundness import check_light


@pytest.fixture(scope="module")
def lit() -> Lighting:
    """The light of the plain pair."""
    return lighting(load(examples()[0]))


def _checked(lit: Lighting, **other: Any) -> None:
    given = {
        "transport": lit.transport,
        "emitters": lit.emitters,
        "surfaces": lit.maps,
        "direct": lit.direct,
        "bounced": lit.bounced,
    }
    check_light(**{**given, **other})


def test_sound_light_passes(lit: Lighting) -> None:
    """Nothing is refused as it stands."""
    _checked(lit)


@pytest.mark.parametrize("wrong", [np.nan, np.inf, -1.0])
@pytest.mark.parametrize("part", ["direct", "bounced"])
def test_a_number_that_is_none(lit: Lighting, part: str, wrong: float) -> None:
    """One point without a number, or below nothing, stops the study and names the source."""
    broken = getattr(lit, part).copy()
    broken[1, 3] = wrong
    with pytest.raises(GeometryError, match=f"{lit.emitters[1].id} must give every point"):
        _checked(lit, **{part: broken})


def test_light_from_nowhere(lit: Lighting) -> None:
    """A source whose light is found twice over on the walls is named."""
    twice = replace(lit.maps[0], captured_flux_lm=2 * lit.maps[0].captured_flux_lm)
    with pytest.raises(GeometryError, match=r"left light must not light the room with more than"):
        _checked(lit, surfaces=(twice, *lit.maps[1:]))


@pytest.mark.parametrize(
    ("field", "rule"),
    [
        ("reciprocity_error", "must give as much light as it takes back"),
        ("flux_error", "must take up as much light as it is given"),
    ],
)
def test_an_exchange_that_does_not_close(lit: Lighting, field: str, rule: str) -> None:
    """A room whose surfaces see one another one way only, or keep light, is refused."""
    sick = replace(lit.transport, health=replace(lit.transport.health, **{field: 0.2}))
    with pytest.raises(GeometryError, match=rule):
        _checked(lit, transport=sick)


@pytest.mark.parametrize(("room", "lean_deg"), [("plain-pair", 2.0), ("weak-supply", 8.0)])
def test_a_board_leant_through_the_wall_is_still_answered(room: str, lean_deg: float) -> None:
    """Patches in a sliver weigh nothing: a slip of the tape is told by a caution, not refused."""
    plan = load(next(path for path in examples() if path.stem == room))
    boards = tuple(
        item if item.kind != "headboard" else item.model_copy(update={"lean_deg": lean_deg})
        for item in plan.furniture
    )
    assert lighting(plan.model_copy(update={"furniture": boards})).direct.size
