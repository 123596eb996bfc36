"""From a plan that meets few wishes to one that meets more: open, find, try."""

from __future__ import annotations

import re
from typing import Any

import pytest

from .driver import Page

pytestmark = pytest.mark.browser


def _hung(plan: dict[str, Any]) -> dict[str, Any]:
    """The plain pair with spots where spots belong, and lamps that are far too strong for them."""
    for light in plan["lights"]:
        light["distribution"] = {"form": "beam", "beam_deg": 20}
        light["aim"] = {"at": "page:left" if light["id"].startswith("left") else "page:right"}
        light["mount_m"][2] = 1.4
        light["lamp"]["cct_k"] = 1800
    return plan


@pytest.mark.parametrize(
    ("width", "whole"),
    [
        (390, False),
        pytest.param(390, True, marks=pytest.mark.long),
        pytest.param(1440, True, marks=pytest.mark.long),
    ],
)
def test_open_find_try(page: Page, width: int, whole: bool) -> None:
    """Open the drawer, find, try: the page then meets what the card said; one undo takes it back.

    Pressed at one width, the cards looked at in both. With all that may change on demand: that
    takes ten times as long as lamps alone, and `tests/find` does it each time.
    """
    page.tab.set_viewport_size({"width": width, "height": 900})
    if not whole:
        send = "(plan) => lumen.page.send({ name: 'replace', args: { plan } })"
        page.after(lambda: page.tab.evaluate(send, _hung(page.plan)))
    before = page.plan
    page.tab.locator('[data-opens="find"]').first.click()
    page.tab.locator("#drawer-find [data-may]").first.wait_for()
    if not whole:
        for part in ("place", "kind"):
            for box in page.tab.locator(f'#drawer-find [data-may="{part}"]').all():
                box.uncheck()
    page.tab.locator('[data-act="find"]').first.click()
    press = page.tab.locator(".pg-find-card .lm-button.is-main").first
    press.wait_for(timeout=600_000)
    page.after(press.click)
    assert page.plan != before
    card = page.tab.locator(".pg-find-card").first
    met = re.search(r"([0-8]) of 8 wishes met", card.inner_text())
    today = re.search(r"Today ([0-8]) of 8", page.tab.locator("#found").inner_text())
    assert met is not None
    assert today is not None
    assert int(met[1]) > int(today[1])
    assert int(met[1]) == 8 or not whole
    states = page.tab.evaluate("() => lumen.store.now.study.aims.map((aim) => aim.state)")
    assert sum(state in ("met", "met while new") for state in states) == int(met[1])
    page.tab.wait_for_selector("#found.is-old", state="attached")
    for other in (1440, 390):
        page.tab.set_viewport_size({"width": other, "height": 900})
        body = "document.querySelector('#drawer-find .lm-drawer-body')"
        wide, seen = (page.tab.evaluate(f"{body}.{side}Width") for side in ("scroll", "client"))
        assert wide <= seen + 1
    page.undo()
    assert page.plan == before
