"""From an example to a room of one's own, and what plugs into what in it, in a real browser."""

from __future__ import annotations

import pytest

from .driver import Page

pytestmark = pytest.mark.browser


def test_six_questions_make_a_room_and_its_plugs_are_drawn(page: Page) -> None:
    """The drawing follows each answer; a refusal stands at its field; a drawn plug can be taken."""
    page.take("left light")
    page.tab.locator('.lm-top [data-opens="open"]').click()
    page.tab.locator('#drawer-open [data-opens="begin"]').click()
    wide = page.tab.locator('[data-begin="room_width"] input')
    wide.fill("13 ft 9 in")
    page.after(lambda: wide.press("Tab"))
    assert page.plan["room"]["outline_m"][1][0] == pytest.approx(165 * 0.0254)
    assert page.plan["title"] == "My bedroom"
    assert not page.plan.get("note")
    assert page.tab.evaluate("() => lumen.store.now.selection") == []
    identity = page.plan["identity"]

    high = page.tab.locator('[data-begin="room_height"] input')
    high.fill("25 m")
    high.press("Tab")
    told = page.tab.locator('[data-begin="room_height"] .lm-fault', has_text="Ceiling, high")
    told.wait_for()
    assert high.get_attribute("aria-invalid") == "true"
    high.fill("2.6 m")
    page.after(lambda: high.press("Tab"))
    assert not told.count()

    lights = page.tab.locator('[data-begin="lights"] select')
    page.after(lambda: lights.select_option("plug"))
    assert page.thing("left light")["made_for"] == "plug"
    assert page.plan["identity"] == identity
    page.tab.wait_for_selector('.lm-setup[aria-pressed="true"]:has-text("Read left")')

    page.tab.locator('.lm-answers [data-opens="plugs"]').dispatch_event("click")
    page.tab.locator('.pg-plugs [data-select="left light"]').press("Enter")
    page.tab.wait_for_selector('.pg-hand [data-id="left light"]', state="attached")
