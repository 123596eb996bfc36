"""From a plan that meets no wish to one that meets all of them: open, find, try."""

from __future__ import annotations

import pytest

from .driver import Page

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("width", [1440, 390])
def test_open_find_try(page: Page, width: int) -> None:
    """Open the drawer, find, try: all eight wishes are met; one undo takes all of it back."""
    page.tab.set_viewport_size({"width": width, "height": 900})
    before = page.plan
    for selector in (
        '[data-opens="find"]',
        '[data-act="find"]',
        ".pg-find-card .lm-button.is-main",
    ):
        press = page.tab.locator(selector).first
        press.wait_for(timeout=300_000)
        press.scroll_into_view_if_needed()
        press.click()
    page.settle()
    assert page.plan != before
    card = page.tab.locator(".pg-find-card").first
    assert "8 of 8 wishes met" in card.inner_text()
    assert "is-old" in (page.tab.locator("#found").get_attribute("class") or "")
    wide = page.tab.evaluate("document.querySelector('#drawer-find .lm-drawer-body').scrollWidth")
    seen = page.tab.evaluate("document.querySelector('#drawer-find .lm-drawer-body').clientWidth")
    assert wide <= seen + 1
    page.undo()
    assert page.plan == before
