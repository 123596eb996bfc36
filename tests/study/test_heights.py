"""One light at every height, and the page against the other's eyes."""

from __future__ import annotations

import pytest

from lumen.errors import LumenError
from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.study import study
from lumen.whatif.heights import HeightSweep, advice, height_sweep
from lumen.words.heights import other_name


@pytest.fixture(scope="module")
def plan() -> Scenario:
    """The plain pair."""
    return load(examples()[0])


@pytest.fixture(scope="module")
def sweep(plan: Scenario) -> HeightSweep:
    """Its left light at every height."""
    return height_sweep(plan, "left light")


def test_here_is_what_the_study_says(plan: Scenario, sweep: HeightSweep) -> None:
    """The light as it hangs: page and eyes are the study's own, a point source has one detail."""
    lit = study(plan).lighting
    page = lit.answer("page:left", "read left")
    assert sweep.here.page is not None
    assert sweep.here.page.value == pytest.approx(page.average_lx, rel=1e-9)
    assert (sweep.here.page.low, sweep.here.page.high) == pytest.approx(
        (page.low_lx, page.high_lx), rel=1e-9
    )
    lying = [lit.answer(f"eye:right:lying {way}", "read left") for way in ("back", "left", "right")]
    assert sweep.here.eyes is not None
    assert sweep.here.eyes.value == pytest.approx(max(a.melanopic_lx for a in lying), rel=1e-9)


@pytest.mark.parametrize("height_m", [0.9, 1.6])
def test_each_height_is_a_plan_of_its_own(
    plan: Scenario, sweep: HeightSweep, height_m: float
) -> None:
    """A height of the sweep gives what a study of the plan with the light hung there gives."""
    command = {"name": "move", "id": "left light", "args": {"to_m": [0.885, 3, height_m]}}
    found = study(apply(plan, command))
    step = next(one for one in sweep.steps if one.height_m == pytest.approx(height_m))
    page = found.lighting.answer("page:left", "read left")
    assert step.page is not None
    assert step.page.value == pytest.approx(page.average_lx, rel=1e-9)
    seen = {one.person for one in found.comfort.harsh("read left")}
    in_bed = {
        one.person
        for one in found.comfort.harsh("read left")
        if one.posture not in ("foot", "door") and one.glares(1.0)
    }
    assert set(step.sees) == in_bed <= seen


def test_heights_run_from_the_knee_to_the_hand(sweep: HeightSweep) -> None:
    """From 0.5 m, over a mattress, to 2.0 m, within reach of who stands; every 10 cm: our own."""
    heights = [step.height_m for step in sweep.steps]
    assert (heights[0], heights[-1], len(heights)) == (0.5, 2.0, 16)


def test_dimming_is_a_straight_line(plan: Scenario, sweep: HeightSweep) -> None:
    """Half of the light gives half way between dark and full (light is linear in flux)."""
    half = apply(
        plan, {"name": "level", "args": {"setup": "read left", "of": "left light", "value": 0.5}}
    )
    page = study(half).lighting.answer("page:left", "read left").average_lx
    assert sweep.without.page is not None
    assert sweep.full.page is not None
    assert page == pytest.approx((sweep.without.page.value + sweep.full.page.value) / 2, rel=1e-9)


def test_heights_in_furniture_are_told(plan: Scenario, sweep: HeightSweep) -> None:
    """Where the nightstand stands there is no room for the light; above its top there is."""
    stand = next(box for box in plan.furniture if box.id == "left nightstand")
    bottom, top = stand.at_m[2], stand.at_m[2] + stand.size_m[2]
    within = [step.room for step in sweep.steps if bottom < step.height_m < top]
    assert within
    assert not any(within)
    assert all(step.room for step in sweep.steps if step.height_m > top)


def test_wishes_and_people_come_from_the_plan(sweep: HeightSweep) -> None:
    """The reader is the one the light serves; the other's wish is counted as it was written."""
    assert (sweep.reader, sweep.sleeper) == ("left", "right")
    assert (sweep.page_at_least, sweep.eyes_at_most) == (300, 1)
    assert sweep.measure == "melanopic_edi_lx"


def test_a_setup_in_which_it_is_dark_is_replaced(plan: Scenario) -> None:
    """Asked for a setup that leaves it dark, the sweep takes one that uses it."""
    assert height_sweep(plan, "left light", "night").setup in ("read left", "read both")


def test_unknown_light_is_refused_by_name(plan: Scenario) -> None:
    """A light that is not there is named, with those that are."""
    with pytest.raises(LumenError, match=r"light must be a light of the plan .*left light"):
        height_sweep(plan, "chandelier")


def test_a_light_no_setup_uses_is_refused(plan: Scenario) -> None:
    """A light that is dark everywhere has nothing to show, and the sentence says so."""
    dark = plan
    for setup in plan.setups:
        args = {"setup": setup.id, "of": "left light", "value": 0}
        dark = apply(dark, {"name": "level", "args": args})
    with pytest.raises(LumenError, match="must light left light in at least one setup"):
        height_sweep(dark, "left light")


def test_advice_counts_from_this_mattress(plan: Scenario) -> None:
    """Rules that count from the mattress move with it; those from the floor do not.

    24 to 30 in is 0.610 to 0.762 m (25.4 mm an inch, exact).
    """
    mattress = next(box for box in plan.furniture if box.kind == "mattress")
    top = mattress.at_m[2] + mattress.size_m[2]
    found = {rule.rule: rule for rule in advice(plan)}
    told = found["24 to 30 in above the mattress"]
    assert (told.low_m - top, told.high_m - top) == pytest.approx((0.6096, 0.7620), abs=5e-4)
    assert found["120 to 160 cm above the floor"].low_m == 1.20
    bare = apply(plan, {"name": "remove", "ids": [mattress.id], "args": {}})
    assert all("mattress" not in rule.rule for rule in advice(bare))


def test_others_are_plans_of_their_own(plan: Scenario, sweep: HeightSweep) -> None:
    """The spot in the light's place gives what a plan with that spot gives, at the same lumens."""
    spot = {"field": "distribution", "value": {"form": "beam", "beam_deg": 35}}
    aim = {"field": "aim", "value": {"at": "page:left"}}
    changed = plan
    for args in (spot, aim):
        changed = apply(changed, {"name": "set", "id": "left light", "args": args})
    lit = study(changed).lighting
    found = {other_name(one): one.step for one in sweep.others}
    step = found["a spot of 35 degrees aimed at the page"]
    assert step.page is not None
    assert step.page.value == pytest.approx(
        lit.answer("page:left", "read left").average_lx, rel=1e-9
    )
    assert set(found) == {"a spot of 35 degrees aimed at the page", "the same shade in metal"}
