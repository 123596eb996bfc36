"""An empty start: six questions make a whole plan, whatever is left open."""

from __future__ import annotations

from itertools import product

import pytest

from lumen.app.commands import document_of, run
from lumen.app.own_room import own_room
from lumen.errors import LumenError
from lumen.scenario.document import REGIONS, Scenario, parse, plain
from lumen.study.cautions import cautions
from lumen.study.load.electrics import electrics
from lumen.study.report import report
from lumen.study.study import study

ALL = ["headboard", "nightstands", "power strip", "led strip"]
FULL = {"who": "two", "lights": "plug", "have": ALL}


def test_nothing_answered_is_a_room_with_a_bed() -> None:
    """Every question skipped: four walls, a door, a bed for two, outlets, and it can be studied."""
    plan = own_room({})
    assert [one.kind for one in plan.furniture] == ["bed frame", "mattress"]
    assert len(plan.people) == 2
    assert not plan.sources
    assert "region" not in plan.model_fields_set
    assert plan.note is None


def test_a_room_without_any_light_is_reported() -> None:
    """The whole text is made where nothing gives light: its one setup is dark."""
    text = report(study(own_room({})))
    assert "== All off: 0" in text


def test_sizes_land_in_any_unit() -> None:
    """Feet, inches, metres and bare centimetres are what was typed, to the millimetre."""
    sizes = {"room_width": "4.2 m", "room_depth": "11 ft 4 in", "room_height": "250"}
    plan = own_room({**sizes, "bed_width": "76 in", "bed_length": "80 in", "bed_top": "25 in"})
    assert plan.room.outline_m[2] == pytest.approx((4.2, 136 * 0.0254))
    assert plan.room.height_m == 2.5
    mattress = plan.furniture[1]
    assert mattress.size_m[:2] == pytest.approx((76 * 0.0254, 80 * 0.0254))
    assert mattress.at_m[2] + mattress.size_m[2] == pytest.approx(25 * 0.0254, abs=1e-4)


@pytest.mark.parametrize(
    ("who", "lights"),
    list(product(("two", "left", "right", "middle"), ("none", "plug", "own plug", "wired"))),
)
def test_lights_hang_beside_whom_they_are_for(who: str, lights: str) -> None:
    """One light a sleeper, on that side, fed as was said; every setup's light is in the plan."""
    plan = own_room({"who": who, "lights": lights, "have": ALL})
    centre = plan.furniture[0].at_m[0]
    sides = {"left" if one.mount_m[0] < centre else "right" for one in plan.lights}
    wished = {"two": {"left", "right"}, "middle": {"left"}}.get(who, {who})
    assert sides == (set() if lights == "none" else wished)
    feeds = {one.fed_from for one in plan.lights}
    assert feeds <= {"bedroom circuit" if lights == "wired" else "power strip"}
    assert {one.made_for for one in plan.lights} <= {"plug" if lights == "plug" else "fixed wiring"}
    assert plan.setups[-1].id == "all off"


@pytest.mark.parametrize("region", REGIONS)
@pytest.mark.parametrize("lights", ["plug", "wired"])
def test_no_region_finds_fault_with_what_nobody_said(region: str, lights: str) -> None:
    """Cautions of a fresh room ask for what is not known; none says stop or asks an expert."""
    plan = own_room({**FULL, "lights": lights, "region": region})
    found = cautions(plan, electrics(plan))
    assert {one.level for one in found} <= {"note"}, [one.title for one in found]


def test_what_does_not_fit_is_refused_by_name() -> None:
    """A bed wider than its room, nightstands in a narrow one, and a word for a length."""
    for answers, words in (
        ({"room_width": "2 m", "bed_width": "210"}, "Mattress, wide"),
        ({"room_width": "2 m", "bed_width": "180", "have": ["nightstands"]}, "Nightstands"),
        ({"room_height": "high"}, "Ceiling, high"),
        ({"who": "nobody"}, "who"),
        ({"have": "all"}, "have"),
    ):
        with pytest.raises(LumenError, match=words):
            own_room(answers)


def test_one_command_makes_it_and_nothing_of_the_example_follows(plain_pair: Scenario) -> None:
    """The page's `replace`: a plan of its own identity and without the example's words."""
    args = {"begun": {**FULL, "system": "cm"}, "identity": "0123456789abcdef"}
    outcome = run(document_of(plain_pair), {"name": "replace", "args": args, "stamp": 1})
    assert outcome.document is not None
    after = parse(outcome.document["plan"])
    assert (after.identity, after.note, after.title) == ("0123456789abcdef", None, "My bedroom")
    assert parse(plain(after)) == after
    refused = run(
        document_of(plain_pair), {"name": "replace", "args": {"begun": {"bed_top": "9 m"}}}
    )
    assert refused.document is None
    assert "Mattress top, high" in refused.answered["faults"][0]["text"]
