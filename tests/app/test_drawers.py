"""Drawers that are reckoned when they are opened: one light at every height, two setups."""

from __future__ import annotations

import json
import re
from html import unescape
from xml.etree import ElementTree

import pytest

from lumen.app import commands
from lumen.app.curves import heights_svg, trade_svg
from lumen.app.inspect import length_text
from lumen.app.panels.compare import compare_html
from lumen.app.panels.heights import heights_html
from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.study import Study, study
from lumen.whatif.heights import height_sweep
from lumen.words.figures import amount

SVG = "{http://www.w3.org/1999/xhtml}"


@pytest.fixture(scope="module")
def plan() -> Scenario:
    """The plain pair."""
    return load(examples()[0])


def _show(length_m: float) -> str:
    return length_text(length_m, "cm")


def test_pressing_a_row_sends_a_move_that_the_plan_takes(plan: Scenario) -> None:
    """Every row of the picture carries a command; done, the light hangs at that height."""
    svg = heights_svg(height_sweep(plan, "left light"), _show, plan.lights[0].mount_m)
    rows = ElementTree.fromstring(svg).findall(".//rect[@data-command]")
    sent = [json.loads(row.get("data-command", "")) for row in rows]
    heights = [
        apply(plan, command).lights[0].mount_m[2] - command["args"]["to_m"][2] for command in sent
    ]
    assert len(heights) >= 10
    assert heights == [0.0] * len(heights)


def test_dots_lie_where_the_numbers_are(plan: Scenario) -> None:
    """More lux on the page lies further right, a greater height further up."""
    sweep = height_sweep(plan, "left light")
    svg = heights_svg(sweep, _show, plan.lights[0].mount_m)
    free = [step for step in sweep.steps if step.room]
    dots = ElementTree.fromstring(svg).findall(".//circle")[: len(free)]
    across = [float(dot.get("cx", "")) for dot in dots]
    up = [float(dot.get("cy", "")) for dot in dots]
    assert up == sorted(up, reverse=True)
    lux = [step.page.value for step in free if step.page]
    by_lux = sorted(range(len(free)), key=lambda i: lux[i])
    assert [across[i] for i in by_lux] == sorted(across)
    seen = ["is-seen" in (dot.get("class") or "") for dot in dots]
    assert seen == [bool(step.sees) for step in free]


def test_trade_picture_shows_the_wished_corner(plan: Scenario) -> None:
    """The shaded corner ends at the wished lux of page and eyes, where the scale says they are."""
    sweep = height_sweep(plan, "left light")
    tree = ElementTree.fromstring(trade_svg(sweep, _show))
    zone = tree.find(".//rect[@class='pg-zone']")
    assert zone is not None
    right = float(zone.get("x", "")) + float(zone.get("width", ""))
    low = float(zone.get("y", "")) + float(zone.get("height", ""))
    ticks = {t.text: t for t in tree.findall(".//text[@class='pg-tick is-middle']")}
    assert float(ticks["1"].get("x", "")) == pytest.approx(right, abs=0.2)
    marks = {t.text: t for t in tree.findall(".//text[@class='pg-tick is-end']")}
    assert float(marks["300"].get("y", "")) - 4 == pytest.approx(low, abs=0.2)


def test_names_are_escaped(plan: Scenario) -> None:
    """A light named with an angle bracket stays text."""
    name = {"field": "name", "value": "<b>lamp"}
    odd = apply(plan, {"name": "set", "id": "left light", "args": name})
    found = heights_html(odd, "left light", "read left", "cm")
    assert "<b>lamp" not in found
    assert "&lt;b&gt;lamp" in found


def test_lights_without_heights_still_show_dimming(plan: Scenario) -> None:
    """A light on the ceiling has no heights to hang at, but can be dimmed."""
    up = {"field": "mount", "value": "ceiling"}
    above = apply(plan, {"name": "set", "id": "left light", "args": up})
    found = heights_html(above, "left light", "read left", "cm")
    assert "Hang it at" not in found
    assert "pg-dim" in found


def test_feet_and_inches_are_whole(plan: Scenario) -> None:
    """In feet and inches the picture's heights are read to the inch."""
    found = heights_html(plan, "left light", "read left", "ft-in")
    assert re.search(r"\d' \d+&quot;|\d' \d+\"", found)
    assert "cm" not in re.sub(r"<title>.*?</title>|<details>.*", "", found, flags=re.S)


@pytest.fixture(scope="module")
def found(plan: Scenario) -> Study:
    """Its study."""
    return study(plan)


def test_two_setups_side_by_side(found: Study) -> None:
    """Pictures and maps name their setups, the lead says what changes and the watts."""
    text = compare_html(found, "read left", "night")
    assert 'data-lm-thumb="read left"' in text
    assert 'data-lm-setup="night"' in text
    lead = re.search(r'<p class="lm-lead">(.*?)</p>', text)
    assert lead is not None
    assert lead[1].startswith("Night against Read left: the left page gets ")
    assert "of the light, " in lead[1]
    assert re.search(r"All that is on draws \d+ W less in all\.$", lead[1])


def test_a_setup_that_is_gone_is_replaced(found: Study) -> None:
    """A drawer that asks for a removed setup shows two that are there and lit."""
    text = compare_html(found, "gone", "gone")
    assert 'data-lm-thumb="read left"' in text
    assert len(set(re.findall(r'data-lm-thumb="(.*?)"', text)) - {"all off"}) == 2


def test_first_choice_is_no_mirror_image(found: Study) -> None:
    """Beside one reading light the page shows another kind of evening, not the other side."""
    text = compare_html(found, "read left", "")
    assert 'data-lm-thumb="read right"' not in text


def test_another_light_in_its_place_is_told(plan: Scenario) -> None:
    """The aimed spot stands in picture and words with what it costs the other one's eyes."""
    sweep = height_sweep(plan, "left light")
    spot = next(one for one in sweep.others if "spot" in one.kind).step
    assert spot.page is not None
    assert spot.eyes is not None
    cost = amount(100 * spot.eyes.value / spot.page.value)
    text = heights_html(plan, "left light", "read left", "cm")
    assert f"a spot of 35 degrees aimed at the page {cost}" in text
    assert text.count('class="pg-other"') == len(sweep.others) == 2


def test_both_sides_move_as_one_step(plan: Scenario) -> None:
    """Beside each height the twin can be taken along: one command, both level, each where it was.

    A light without a twin has no such button.
    """
    text = unescape(heights_html(plan, "left light", "read left", "cm"))
    sent = [
        json.loads(one) for one in re.findall(r"data-command='?\"?({.*?})\"? ?(?:aria|>)", text)
    ]
    both = next(one for one in sent if one["name"] == "several")
    moved = commands.carry_out(plan, both)
    heights = {light.id: light.mount_m[2] for light in moved.lights}
    assert heights["left light"] == heights["right light"]
    assert [light.mount_m[:2] for light in moved.lights] == [
        light.mount_m[:2] for light in plan.lights
    ]
    alone = apply(plan, {"name": "remove", "ids": ["right light"], "args": {}})
    assert "both sides" not in heights_html(alone, "left light", "read left", "cm")
