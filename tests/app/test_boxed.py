"""A pasted text fills the fields of a light in one step; each field says whether it was read."""

from __future__ import annotations

import copy
from html import unescape
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.app import commands, panels
from lumen.app.boxed import box_notes, quality_notes
from lumen.scenario.document import Scenario, dump, parse, plain

TEXT = (
    "345 lm, 4.6 W (= 50 W), 2200 K, GU10, 36°, dimmable to 5 %, Ra 72, R9 > 55, SVM 0.9, PstLM 0.4"
)


def _paste(document: dict[str, Any], name: str, text: str) -> commands.Outcome:
    args = {"field": "box_says", "text": text, "system": "cm"}
    return commands.run(document, {"name": "type", "id": name, "args": args})


def _after(scenario: Scenario, name: str, text: str) -> Scenario:
    outcome = _paste(commands.document_of(scenario), name, text)
    assert outcome.document is not None, outcome.answered
    return parse(outcome.document["plan"])


def test_a_light_takes_what_its_box_says(plain_pair: Scenario) -> None:
    """Every value goes to its field in one revision; the shade keeps telling how light spreads."""
    outcome = _paste(commands.document_of(plain_pair), "left light", TEXT)
    assert outcome.answered["revision"] == 2  # one step to undo
    light = _after(plain_pair, "left light", TEXT).lights[0]
    lamp = light.lamp
    assert (lamp.flux_lm, lamp.power_w, lamp.cct_k, lamp.cap) == (345, 4.6, 2200, "GU10")
    assert (lamp.ra, lamp.r9, lamp.svm, lamp.pst_lm, lamp.lowest_level) == (72, 55, 0.9, 0.4, 0.05)
    assert light.dims is True
    assert light.distribution == plain_pair.lights[0].distribution
    assert light.box_says == TEXT


def test_a_beam_angle_makes_a_spot_of_a_light_of_which_nothing_is_known(
    plain_pair: Scenario,
) -> None:
    """With no spread written the beam of the box is taken; a spot's own is replaced."""
    plan = plain(plain_pair)
    plan["lights"][0].pop("distribution")
    light = _after(parse(plan), "left light", "36°, 345 lm").lights[0]
    assert plain(light.distribution) == {"form": "beam", "beam_deg": 36}
    plan["lights"][0]["distribution"] = {"form": "cosine", "beam_deg": 90}
    light = _after(parse(plan), "left light", "36°, 345 lm").lights[0]
    assert plain(light.distribution) == {"form": "cosine", "beam_deg": 36}


def test_each_field_says_whether_it_was_read(plain_pair: Scenario) -> None:
    """Read, not found, or read and changed since: told at the field, in words."""
    light = _after(plain_pair, "left light", TEXT).lights[0]
    notes = box_notes(light, "cm")
    assert notes["lamp.flux_lm"].words == "read on the box: 345 lm"
    assert notes["lamp.power_factor"].words == "not found on the box"
    assert "its own measures" in notes["distribution.form"].words
    other = light.model_copy(update={"lamp": light.lamp.model_copy(update={"flux_lm": 300})})
    assert box_notes(other, "cm")["lamp.flux_lm"].words == "the box says 345"
    assert box_notes(plain_pair.lights[0], "cm") == {}
    plan = plain_pair.model_copy(update={"lights": (light, *plain_pair.lights[1:])})
    form = unescape(panels.form_panels(plan, ["left light"], "cm")["thing"])
    assert "<mark>345 lm</mark>" in form
    assert "<mark>50 W</mark>" not in form
    missed = "Kind of bulb, Power factor, Draws while off, Bulb's width, Largest bulb it takes"
    assert f"Not found: {missed}." in form


def test_colour_and_flicker_are_held_against_the_regulation(plain_pair: Scenario) -> None:
    """Ra 80, PstLM 1.0 and SVM 0.4 (EU 2019/2020, Annex II, Table 4); R9 by common practice."""
    notes = quality_notes(_after(plain_pair, "left light", TEXT).lights[0])
    assert notes["lamp.ra"].words == "at least 80, EU 2019/2020, from memory: not met"
    assert notes["lamp.svm"].words == "at most 0.4, EU 2019/2020: not met"
    assert notes["lamp.pst_lm"].words == "at most 1, EU 2019/2020: met"
    assert notes["lamp.r9"].words == "at least 50, common practice, no source, from memory: met"


def test_a_strip_takes_what_its_reel_says(plain_pair: Scenario) -> None:
    """Light and watts of a metre, volts and the tape's measures."""
    text = "24V 9.6 W/m 900 lm/m 60 LED/m CRI 95 3000 K 8 mm wide cuttable every 10 cm"
    strip = _after(plain_pair, "glow strip", text).strips[0]
    assert (strip.volts, strip.power_w_per_m, strip.flux_lm_per_m) == (24, 9.6, 900)
    assert (strip.leds_per_m, strip.width_m, strip.cut_m, strip.ra) == (60, 0.008, 0.1, 95)


def test_colour_and_flicker_change_no_light(plain_pair: Scenario) -> None:
    """What says how good light is does not count as a change of light."""
    from lumen.study.cache import light_content

    text = "Ra 95, R9 60, SVM 0.1, PstLM 0.1, E27"
    after = _after(plain_pair, "left light", text).lights[0]
    assert after != plain_pair.lights[0]
    assert light_content(after) == light_content(plain_pair.lights[0])


def test_an_emptied_text_leaves_the_fields(plain_pair: Scenario) -> None:
    """Without the text the values stay, and nothing is marked."""
    plan = _after(_after(plain_pair, "left light", TEXT), "left light", "")
    assert plan.lights[0].box_says is None
    assert plan.lights[0].lamp.flux_lm == 345


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.sampled_from((*TEXT.split(), "0", "9e9", "-", "R9", "Ra", "PF", "3", "%", "W/m", "K")),
        max_size=30,
    )
)
def test_whatever_is_pasted_is_taken(pair: Scenario, words: list[str]) -> None:
    """Any text is kept, and whatever is read from it is a value that the document takes."""
    text = " ".join(words)
    for name in ("left light", "glow strip"):
        document = commands.document_of(pair)
        before = copy.deepcopy(document)
        assert _paste(document, name, text).answered["faults"] == []
        assert document == before


@pytest.fixture(scope="module")
def pair() -> Scenario:
    """The plain pair, for tests with many tries."""
    from lumen.scenario.files import examples, load

    plan = load(next(file for file in examples() if file.stem == "plain-pair"))
    assert dump(plan)
    return plan
