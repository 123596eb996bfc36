"""Drawers reckoned on demand, in a real browser."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from .conftest import Server
from .driver import Page

pytestmark = pytest.mark.browser


def test_a_height_is_pressed_and_the_light_hangs_there(page: Page) -> None:
    """Higher or lower: one press moves the light, the drawer follows, undo brings it back."""
    page.take("left light")
    page.tab.locator(".pg-hand [data-opens=heights]").click()
    row = page.tab.locator("#heights [data-command]", has_text="Hang it at 150 cm")
    row.first.wait_for(state="attached")
    page.after(lambda: row.first.click(force=True))
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.5)
    page.tab.locator('.pg-hand .lm-field:has-text("Height") input[value="150 cm"]').wait_for(
        state="attached"
    )
    page.undo()
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.22)


def test_two_setups_are_laid_side_by_side(page: Page) -> None:
    """The chosen two show their own numbers; another choice changes picture and words."""
    shown = page.lux_on("left page")
    page.show("Two setups side by side")
    first = page.tab.locator(".pg-differences tbody tr", has_text="Left page").locator("td").first
    assert f"about {shown} lx" in first.inner_text()
    page.tab.select_option('[data-compare="second"]', "night")
    page.tab.locator("#compare .lm-lead", has_text="Night against Read left").wait_for()
    page.tab.locator('.pg-side-picture[data-lm-thumb="night"] canvas').wait_for()


def test_a_lost_browser_costs_no_plan(opened: Callable[..., Page], shared_server: Server) -> None:
    """What was changed in one browser is offered in another by the folder of kept plans."""
    first = opened(shared_server)
    title = first.tab.locator(".pg-title textarea")
    title.fill("Room by the lake")
    first.after(lambda: title.press("Tab"))
    with first.tab.expect_response(lambda answer: answer.url.endswith("/keep")):
        first.drag("left light", up_m=0.2)
    hung = first.thing("left light")["mount_m"][2]
    second = opened(shared_server)
    assert second.thing("left light")["mount_m"][2] != hung
    second.tab.locator('.lm-top [data-opens="open"]').click()
    press = second.tab.locator("[data-kept]", has_text="Room by the lake")
    second.after(press.click)
    assert second.thing("left light")["mount_m"][2] == hung


def test_a_long_answer_says_so_and_can_be_taken_back(page: Page) -> None:
    """A new room takes its time: the page says how old its numbers are; one press undoes it."""
    high = page.plan["room"]["height_m"]
    told = page.tab.locator("#progress")
    assert told.is_hidden()
    higher = {"name": "set", "id": "room", "args": {"field": "height_m", "value": 2.7}}
    page.tab.evaluate("(command) => lumen.bridge.command(command)", higher)
    told.locator("button").wait_for(state="visible")
    assert "older than the drawing" in told.inner_text()
    told.locator("button").click()
    page.tab.wait_for_function("(high) => lumen.store.now.plan.room.height_m === high", arg=high)
    page.settle()
    assert told.is_hidden()


def test_lines_of_sight_are_drawn_while_asked_for(page: Page) -> None:
    """Opening the answer draws who looks into the bulb; closing it takes the lines away."""
    lines = page.tab.locator("[data-lm-view=wall] .lm-sight.is-harsh")
    assert lines.count() == 0
    page.tab.locator("[data-answer=sight] summary").click()
    lines.first.wait_for(state="attached")
    assert "looks into left light" in (lines.first.locator("title").text_content() or "")
    page.tab.locator("[data-answer=sight] summary").click()
    lines.first.wait_for(state="detached")


def test_drawer_says_what_to_measure_next(page: Page) -> None:
    """An answer names its greatest doubt first, with its share."""
    page.tab.locator('[data-answer="page:left"] summary').first.click()
    text = page.tab.locator('[data-answer="page:left"] .pg-drawer').inner_text()
    assert "What to measure next" in text
    assert "% of the doubt: how pale the room is" in text
