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
