"""Verdicts on wishes: new and after years, evenness of a page, the reader's own shadow."""

from __future__ import annotations

import numpy as np
import pytest

from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.lighting.maps import Lighting, lighting
from lumen.study.scene.targets import Target
from lumen.study.study import study
from lumen.study.wishes.shadow import shadow_on
from lumen.study.wishes.verdicts import AimResult, aim_results
from lumen.words.wishes import evenness_source, shadow_words

PAIR = next(p for p in map(load, examples()) if p.title == "Plain pair")


def spot(height_m: float = 1.22, flux_lm: float = 100) -> Scenario:
    """The plain pair with a 30 degree spot at the left page: its shoulder stands in the beam."""
    plan = PAIR
    for field, value in (
        ("distribution", {"form": "cosine", "beam_deg": 30}),
        ("aim", {"at": "page:left"}),
        ("lamp.flux_lm", flux_lm),
    ):
        args = {"field": field, "value": value}
        plan = apply(plan, {"name": "set", "id": "left light", "args": args})
    x, y, _ = plan.lights[0].mount_m
    return apply(plan, {"name": "move", "id": "left light", "args": {"to_m": [x, y, height_m]}})


def wished(plan: Scenario, *aims: dict[str, object]) -> tuple[AimResult, ...]:
    """How these wishes alone fare in the setup in which the left one reads."""
    parts = tuple(
        type(PAIR.aims[0]).model_validate({"id": f"w{k}", "setups": ["read left"], **aim})
        for k, aim in enumerate(aims)
    )
    return aim_results(lighting(plan.model_copy(update={"aims": parts})))


PAGE: dict[str, object] = {"of": "page:left"}


@pytest.mark.parametrize("counted", [False, True])
def test_verdicts_do_not_hang_on_which_age_the_middle_is_for(counted: bool) -> None:
    """What is asked at least is held against old lamps, at most against new ones, always."""
    ageing = PAIR.ageing.model_copy(update={"counted": counted})
    plan = PAIR.model_copy(update={"ageing": ageing})
    answer = lighting(PAIR).answer("mattress", "read left")
    new, old = answer.average_lx, answer.after_years_lx
    assert old < 0.8 * new  # fabric shades
    between = (new + old) / 2
    bed = {"of": "mattress", "measure": "illuminance_lx"}
    states = [
        r.state
        for r in wished(
            plan,
            {**bed, "at_least": 0.99 * old},
            {**bed, "at_least": between},
            {**bed, "at_least": 1.01 * new},
            {**bed, "at_most": between},
            {**bed, "at_most": 1.01 * new},
        )
    ]
    assert states == ["met", "met while new", "short", "too much", "met"]


def test_melanopic_after_years_is_every_lamp_times_its_own_factor() -> None:
    """A sleeper's wish is held against new lamps; years take the same from lux and melanopic."""
    answer = lighting(PAIR).answer("eye:right:lying left", "read left")
    share = answer.melanopic_after_years_lx / answer.melanopic_lx
    assert share == pytest.approx(answer.after_years_lx / answer.average_lx)  # one kind of lamp
    assert answer.melanopic_new_lx == pytest.approx(answer.melanopic_lx)


def test_doubt_is_told_by_how_near_the_limit_lies() -> None:
    """At the middle nobody can say; in the outer half of the doubt it is likely; beyond it sure."""
    answer = lighting(PAIR).answer("mattress", "read left")
    up = answer.high_lx - answer.new_lx
    most = [{"of": "mattress", "at_most": answer.new_lx + k * up} for k in (0.2, 0.7, 1.1)]
    found = wished(PAIR, *most)
    assert [r.state for r in found] == ["met"] * 3
    assert [r.doubt for r in found] == ["not sure", "likely", ""]
    assert [r.sure for r in found] == [False, False, True]


def test_a_page_that_is_black_in_part_is_not_met() -> None:
    """About 300 lx on average and hardly anything at the darkest point: short, for evenness."""
    (found,) = wished(spot(), {**PAGE, "at_least": 200})
    light = lighting(spot())
    page = light.illuminance("read left")[light.slices["page:left"]]
    assert found.evenness is not None
    assert found.evenness.value == pytest.approx(page.min() / page.mean())
    assert (found.level_state, found.evenness.state, found.state) == ("met", "short", "short")
    assert not found.evenness.own
    assert "our own rule" in evenness_source(found.evenness)


def test_the_person_sets_how_even() -> None:
    """Another figure is the person's own; 0 asks nothing; a wish for uniformity takes its place."""
    own, none = wished(
        spot(),
        {**PAGE, "at_least": 200, "evenness_at_least": 0.01},
        {**PAGE, "at_least": 200, "evenness_at_least": 0},
    )
    assert own.evenness is not None
    assert (own.state, evenness_source(own.evenness)) == ("met", "your own wish")
    assert (none.state, none.evenness) == ("met", None)
    level, even = wished(
        spot(),
        {**PAGE, "at_least": 200},
        {**PAGE, "measure": "uniformity", "at_least": 0.5},
    )
    assert (level.state, level.evenness, even.state) == ("met", None, "short")


def test_only_pages_are_to_be_even() -> None:
    """Nobody asked the bed, or a page that is not to be lit, to be even."""
    bed, dark = wished(spot(), {"of": "mattress", "at_least": 1}, {**PAGE, "at_most": 2000})
    assert (bed.evenness, dark.evenness) == (None, None)


def _page(lit: Lighting) -> Target:
    return next(target for target in lit.targets if target.id == "page:left")


def test_the_shadow_is_named_with_the_height_from_which_it_is_gone() -> None:
    """What the words say is so: without the body no shadow, from that height up none, below one."""
    lit = lighting(spot())
    shadow = shadow_on(lit, _page(lit), "read left", 0.4)
    assert shadow is not None
    assert (shadow.parts, shadow.light) == (("shoulders",), "left light")
    assert shadow.free_from_m is not None
    centimetres = 100 * shadow.free_from_m
    assert shadow_words(shadow).startswith(
        "your own shoulders shade part of the page from left light; "
        f"from {centimetres:.0f} cm up they do not"
    )

    def darkest(height_m: float) -> float:
        """Least share that the body leaves of a point's light."""
        with_body = lighting(spot(height_m))
        people = [p.model_copy(update={"body_shadow": False}) for p in PAIR.people]
        bare = lighting(spot(height_m).model_copy(update={"people": tuple(people)}))
        part = with_body.slices["page:left"]
        a, b = (one.illuminance("read left")[part] for one in (with_body, bare))
        return float(1 - (b - a).max() / b.mean())

    heights = np.arange(centimetres, 201, 10) / 100
    assert min(map(darkest, heights)) > 0.95
    assert darkest(centimetres / 100 - 0.05) < 0.95


def test_no_shadow_is_told_where_there_is_none() -> None:
    """A page in front of which nobody stands has no words, and a plan may leave bodies out."""
    high = lighting(spot(1.6))
    assert shadow_on(high, _page(high), "read left", 0.4) is None
    people = [p.model_copy(update={"body_shadow": False}) for p in PAIR.people]
    bare = spot().model_copy(update={"people": tuple(people)})
    lit = lighting(bare)
    assert shadow_on(lit, _page(lit), "read left", 0.4) is None


def test_faces_read_one_verdict() -> None:
    """The JSON's words are the verdict's, and the shadow stands in it."""
    found = study(spot())
    (aim,) = (
        a for a in found.to_json()["aims"] if (a["id"], a["setup"]) == ("left page", "read left")
    )
    assert "least over average 0.0" in aim["words"]
    assert "wished at least 0.4" in aim["words"]
    assert aim["evenness"]["shadow"].startswith("your own shoulders shade")
