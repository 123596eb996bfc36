"""What makes an answer unsure, and how surely two setups differ."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.lighting.doubts import doubts, ratio, sensitivities
from lumen.study.lighting.maps import Lighting, lighting


@pytest.fixture(scope="module")
def plan() -> Scenario:
    """The plain pair without its strip, whose near field takes long and adds nothing here."""
    found = load(examples()[0])
    return apply(found, {"name": "remove", "ids": ["glow strip"], "args": {}})


@pytest.fixture(scope="module")
def lit(plan: Scenario) -> Lighting:
    """Its light."""
    return lighting(plan)


def _with(plan: Scenario, name: str, field: str, value: Any) -> Scenario:
    return apply(plan, {"name": "set", "id": name, "args": {"field": field, "value": value}})


@pytest.mark.parametrize("surface", ["walls", "ceiling"])
def test_sensitivities_are_slopes(plan: Scenario, lit: Lighting, surface: str) -> None:
    """Repainting by a hundredth up and down gives the slope that the adjoint says.

    Within 0.5 %: what bounces once is as fine as the light itself, the rest is the adjoint's. While
    nobody reads: what a page hides from its reader is not in it either.
    """
    args = {"field": "reading", "value": []}
    plan = apply(plan, {"name": "set", "id": "read left", "args": args})
    lit = lighting(plan)
    lrv = getattr(plan.room.finishes, surface).lrv
    up, down = (
        lighting(_with(plan, "room", f"finishes.{surface}.lrv", lrv * share))
        for share in (1.01, 0.99)
    )
    for target in ("page:left", "floor", "eye:left:sitting"):
        lux = [one.answer(target, "read left").average_lx for one in (up, down)]
        slope = math.log(lux[0] / lux[1]) / math.log(1.01 / 0.99)
        found = {one.of: one.per for one in sensitivities(lit, target, "read left")}
        assert found[surface] == pytest.approx(slope, rel=0.005)


def test_sensitivities_of_a_strip_behind_a_headboard() -> None:
    """The same where light bounces to and fro in a gap: within 1 % on a page and on the floor.

    At an eye, which sees the bright edge of the gap from its side, within 5 %.
    """
    args = {"field": "reading", "value": []}
    plan = apply(load(examples()[0]), {"name": "set", "id": "evening glow", "args": args})
    lit, lrv = lighting(plan), plan.room.finishes.walls.lrv
    assert isinstance(lrv, float)
    up, down = (
        lighting(_with(plan, "room", "finishes.walls.lrv", lrv * share)) for share in (1.01, 0.99)
    )
    for target, within in (("page:left", 0.01), ("floor", 0.01), ("eye:left:sitting", 0.05)):
        lux = [one.answer(target, "evening glow").average_lx for one in (up, down)]
        slope = math.log(lux[0] / lux[1]) / math.log(1.01 / 0.99)
        found = {one.of: one.per for one in sensitivities(lit, target, "evening glow")}
        assert found["walls"] == pytest.approx(slope, rel=within), target


def test_what_each_patch_gives_adds_up_to_the_bounced_light(plan: Scenario) -> None:
    """While nobody reads, the light straight from all patches is the answer's bounced light.

    So a room where light bounces once (all else black) follows its one pale surface by just the
    share of bounced light.
    """
    args = {"field": "reading", "value": []}
    plan = apply(plan, {"name": "set", "id": "read left", "args": args})
    bare = apply(plan, {"name": "remove", "ids": [item.id for item in plan.furniture], "args": {}})
    for field, lrv in (("walls", 0), ("floor", 0), ("ceiling", 80)):
        bare = _with(bare, "room", f"finishes.{field}.lrv", lrv)
    found = lighting(bare)
    answer = found.answer("floor", "read left")
    (ceiling,) = sensitivities(found, "floor", "read left")
    assert ceiling.of == "ceiling"
    assert ceiling.per == pytest.approx(answer.bounced_lx / answer.average_lx, rel=1e-4)


def test_sensitivities_of_an_even_box(plan: Scenario) -> None:
    """All surfaces of one reflectance: bounced light follows it by 1 / (1 - rho) (sphere's law).

    The classic multiple-reflection factor rho / (1 - rho) has that slope; it holds on average over
    the surfaces of any shut room whose first light falls evenly, and near that for the floor here.
    """
    grey = plan
    for field in ("walls", "ceiling", "floor"):
        grey = _with(grey, "room", f"finishes.{field}.lrv", 50)
    names = [item.id for item in grey.furniture]
    bare = apply(grey, {"name": "remove", "ids": names, "args": {}})
    found = lighting(bare)
    answer = found.answer("floor", "read left")
    slope = sum(one.per for one in sensitivities(found, "floor", "read left"))
    slope *= answer.average_lx / answer.bounced_lx
    assert slope == pytest.approx(1 / (1 - 0.5), rel=0.1)


def test_shares_make_the_band(lit: Lighting) -> None:
    """The halves, squared and added, give the band of the study (JCGM 100:2008, 5.1.2)."""
    for target in ("page:left", "floor", "eye:left:lying back"):
        answer = lit.answer(target, "read both")
        found = doubts(lit, target, "read both")
        half = math.sqrt(sum(one.half**2 for one in found))
        for one in found:
            assert one.share == pytest.approx(one.half**2 / half**2)
        # up and down differ a little: their mean here, each way by itself there
        low, high = answer.without_ageing
        assert half == pytest.approx((high - low) / 2 / answer.average_lx, rel=0.02)


def test_a_known_bulb_is_no_doubt(plan: Scenario, lit: Lighting) -> None:
    """A wide range of lumens becomes the first doubt; a narrow one falls behind."""
    assert doubts(lit, "page:left", "read left")[0].what != "lumens"
    wide = lighting(_with(plan, "left light", "lamp.flux_lm", [200, 740]))
    first = doubts(wide, "page:left", "read left")[0]
    assert (first.what, first.of) == ("lumens", "left light")
    assert first.half == pytest.approx(270 / 470, rel=1e-6)
    narrow = lighting(_with(plan, "left light", "lamp.flux_lm", [469, 471]))
    last = doubts(narrow, "page:left", "read left")[-1]
    assert last.what == "lumens"
    assert last.share < 1e-3


def test_dark_has_no_doubt(lit: Lighting) -> None:
    """Where nothing shines there is nothing to be unsure of."""
    assert doubts(lit, "page:left", "all off") == ()
    assert sensitivities(lit, "page:left", "all off") == ()


def test_ratio_of_dimming_is_exact(plan: Scenario, lit: Lighting) -> None:
    """One light at a third: bulbs, shade and walls are the same, so the ratio has no band."""
    args = {"setup": "read both", "of": "left light", "value": 0.3}
    dimmed = apply(plan, {"name": "level", "args": args})
    args = {"setup": "read both", "of": "right light", "value": 0.0}
    found = apply(dimmed, {"name": "level", "args": args})
    for setup in ("read left", "read both"):
        args = {"field": "reading", "value": ["left"]}
        found = apply(found, {"name": "set", "id": setup, "args": args})
    found = lighting(found)
    assert ratio(found, "page:left", "read left", "read both") == pytest.approx((0.3, 0.3, 0.3))


def test_ratio_has_the_band_of_what_differs(plan: Scenario, lit: Lighting) -> None:
    """Brighter bulbs on one side alone move the ratio as its band's first order says."""
    found = ratio(lit, "page:left", "read left", "read right")
    assert found is not None
    times, low, high = found
    brighter = lighting(_with(plan, "left light", "lamp.flux_lm", 470 * 1.01))
    moved = ratio(brighter, "page:left", "read left", "read right")
    assert moved is not None
    assert moved[0] == pytest.approx(times / 1.01, rel=1e-6)
    each = math.sqrt(2) * float(lit.doubts[0][0] + lit.doubts[1][0]) / 2
    assert (high - times) / times > each
    assert times - low == pytest.approx(high - times)


def test_ratio_to_the_dark(lit: Lighting) -> None:
    """From the dark there is no ratio; into the dark it is nought."""
    assert ratio(lit, "page:left", "all off", "read left") is None
    assert ratio(lit, "page:left", "read left", "all off") == (0.0, 0.0, 0.0)
