"""Forms in a real browser: what they take, and that they take it from every control."""

from __future__ import annotations

import pytest

from lumen.tables import table

from .driver import Page

pytestmark = pytest.mark.browser


def test_names_of_colours_are_those_of_the_browser(page: Page) -> None:
    """The outside reference for the table of names: Chromium's own CSS."""
    rows = table("colour_names")
    found = page.tab.evaluate(
        """(names) => names.map((name) => {
          const pen = document.createElement("canvas").getContext("2d");
          pen.fillStyle = name;
          return CSS.supports("color", name) ? pen.fillStyle : null;
        })""",
        [row["name"] for row in rows],
    )
    assert found == [row["colour"] for row in rows]


def test_a_colour_is_picked_or_typed_by_its_name(page: Page) -> None:
    """The picker's colour and a typed name both go into the plan, and each shows in the other."""
    page.tab.evaluate("() => lumen.page.open('thing')")
    page.tab.locator('#thing [data-select="room"]').click()
    field = page.tab.locator('[data-field="finishes.walls.colour"]')
    page.tab.locator("#thing details", has=field).locator("summary").first.click()
    picker = field.locator("input[type=color]")
    page.after(lambda: picker.fill("#a0b1c2"))
    assert page.plan["room"]["finishes"]["walls"]["colour"] == "#a0b1c2"
    page.tab.wait_for_function(
        "() => document.querySelector('[data-field=\"finishes.walls.colour\"] input').value"
        " === '#a0b1c2'"
    )
    text = field.locator("input").first
    page.after(lambda: (text.fill("Wheat"), text.press("Tab")))
    assert page.plan["room"]["finishes"]["walls"]["colour"] == "#f5deb3"
    page.tab.wait_for_function(
        "() => document.querySelector('[data-field=\"finishes.walls.colour\"] .pg-picker').value"
        " === '#f5deb3'"
    )
    page.undo()


def test_the_text_of_a_box_fills_the_fields_in_one_step(page: Page) -> None:
    """Paste, press: fields are filled and marked; one undo takes all back, the text too."""
    before = page.thing("left light")
    page.tab.evaluate("() => lumen.page.open('thing')")
    page.tab.locator('#thing [data-select="left light"]').click()
    page.tab.locator("#thing .pg-box > summary").click()
    area = page.tab.locator("#thing .pg-box textarea")
    area.fill("LED 345 lm, 4,6 W (= 50 W)\n3000 K GU10, dimmable, Ra 72")
    page.after(page.tab.locator("#thing .pg-box button", has_text="Fill in the fields").click)
    lamp = page.thing("left light")["lamp"]
    assert (lamp["flux_lm"], lamp["power_w"], lamp["cct_k"], lamp["cap"]) == (
        345,
        4.6,
        3000,
        "GU10",
    )
    flux = page.tab.locator('#thing [data-field="lamp.flux_lm"]')
    flux.locator(".pg-note.is-read", has_text="read on the box: 345 lm").wait_for()
    marked = page.tab.locator("#thing .pg-read mark").all_text_contents()
    assert "4,6 W" in marked
    assert "50 W" not in marked
    page.tab.locator("#thing summary", has_text="Colour and flicker").click()
    poor = page.tab.locator('#thing [data-field="lamp.ra"] .pg-note.is-short')
    assert "at least 80, EU 2019/2020" in poor.inner_text()
    page.undo()
    assert page.thing("left light") == before
    page.tab.wait_for_function("() => document.querySelector('.pg-box textarea').value === ''")


def test_a_question_mark_opens_its_sentence_by_key(page: Page) -> None:
    """Each field's sentence and drawing open with the keyboard, and stay open after an edit."""
    page.tab.evaluate("() => lumen.page.open('thing')")
    page.tab.locator('#thing [data-select="headboard"]').click()
    asks = page.tab.locator('#thing [data-field="size_m.2"] .pg-help')
    asks.locator("summary").focus()
    page.tab.keyboard.press("Enter")
    assert asks.locator("p").is_visible()
    assert asks.locator("svg .is-measured").is_visible()
    wide = page.tab.locator('#thing [data-field="size_m.0"] input')
    page.after(lambda: (wide.fill("1.7 m"), wide.press("Tab")))
    assert page.thing("headboard")["size_m"][0] == 1.7
    assert asks.locator("p").is_visible()
