"""What is there already is used, and where no hole is wanted none is made."""

from __future__ import annotations

import pytest

import lumen
from lumen.errors import LumenError
from lumen.find.may import may_of, owned_lamps
from lumen.find.options import light_group
from lumen.find.plans import bought_ids
from lumen.scenario.files import load

from .test_find import guide_of

ROOMS = {path.stem: load(path) for path in lumen.examples()}
PAIR = ROOMS["plain-pair"]


def test_a_bulb_that_is_there_may_go_in_and_is_not_bought() -> None:
    """A bulb of 333 lm, which no shop sells, is a lamp of today's kind; nobody buys it."""
    may = may_of(PAIR, lamps=["333@1900"])
    group = light_group(guide_of(PAIR), may, ["left light", "right light"])
    assert group is not None
    yours = [lamp for lamp in group.kinds[0][0].lamps if lamp.name == "yours"]
    assert [(lamp.flux_lm, lamp.whites_k) for lamp in yours] == [(333.0, (1900.0,))]
    light = PAIR.lights[0]
    lamp = light.lamp.model_copy(update={"flux_lm": 333.0, "cct_k": 1900.0})
    new = PAIR.model_copy(
        update={"lights": (light.model_copy(update={"lamp": lamp}), *PAIR.lights[1:])}
    )
    assert bought_ids(PAIR, new) == {"left light"}
    assert bought_ids(PAIR, new, may) == frozenset()


def test_no_hole_in_a_part_of_the_wall() -> None:
    """Inside the part a place is refused in words; above it, and for the hole of today, not."""
    may = may_of(PAIR, areas=[(2, 0.8, 1.2, 1.3, 1.6)])
    group = light_group(guide_of(PAIR), may, ["left light"])
    assert group is not None
    assert group.surface is not None
    here = group.here
    why = "no new hole is wanted in this part of the wall"
    assert why in group.stands_against((here[0], 1.4))
    assert why not in group.stands_against((here[0], 1.7))
    assert group.stands_against(here) == []


@pytest.mark.parametrize(
    ("asked", "rule"),
    [
        ({"lamps": ["bright"]}, "must be lumens as on its box"),
        ({"lamps": ["470@5"]}, "white of 1000 to 20000 K"),
        ({"cords_m": [300.0]}, "must be 0.1 to 50 m"),
        ({"areas": [(2, 0.8, 1.2)]}, "five numbers"),
        ({"areas": [(9, 0.8, 1.2, 1.0, 1.5)]}, "numbered 0 to 3"),
        ({"areas": [(2, 1.2, 0.8, 1.0, 1.5)]}, "left under right"),
    ],
)
def test_what_makes_no_sense_is_refused(asked: dict[str, object], rule: str) -> None:
    """In a sentence with the field, the rule and the value."""
    with pytest.raises(LumenError, match=rule):
        may_of(PAIR, **asked)


def test_watts_of_a_bulb_follow_its_lumens() -> None:
    """By the nearest sold bulb: 500 lm like one of 470 lm and 5 W."""
    (lamp,) = owned_lamps(["500"])
    assert lamp.power_w == pytest.approx(5.3)
