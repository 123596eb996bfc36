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


def words(page: Page, until: str) -> str:
    """What stands under the drawing of the light in the hand, once it says so."""
    place = page.tab.locator("#patch-words", has_text=until)
    place.wait_for(timeout=120_000)
    return place.inner_text()


@pytest.mark.parametrize("width", [1440, 390])
def test_where_a_light_works_is_drawn_and_told(page: Page, width: int) -> None:
    """Cells on the wall; the words follow arrow keys and name what comes near; a press ends it."""
    page.tab.set_viewport_size({"width": width, "height": 900})
    light = page.tab.locator('#wall-frame [data-id="left light"]')
    light.focus()
    page.tab.keyboard.press("Enter")
    button = page.tab.locator('[data-patch-of="left light"]')
    button.wait_for()
    button.press("Enter")
    first = words(page, "wishes hold")
    assert page.tab.locator(".lm-patch-cell").count() > 20
    assert page.tab.locator(".lm-patch-not").count() > 3
    assert button.get_attribute("aria-pressed") == "true"
    light.focus()
    for _ in range(4):
        page.tab.keyboard.press("ArrowRight")
    page.settle()
    assert "the head of Left would strike it" in words(page, "would strike it")
    assert first
    button.press("Enter")
    page.tab.locator(".lm-patch").wait_for(state="detached")


def test_ways_of_a_strip_are_compared_and_tried(page: Page) -> None:
    """Today's row and at least ten others; one is tried and taken back in one step."""
    before = page.plan
    page.tab.locator('[data-opens="find"]').first.click()
    page.tab.locator("[data-find-strip]").first.click()
    page.tab.locator(".pg-ways").wait_for(timeout=300_000)
    rows = page.tab.locator(".pg-way")
    assert rows.count() >= 8
    assert "As it is today" in rows.first.inner_text()
    page.tab.locator(".pg-way .lm-button.is-main").first.click()
    page.settle()
    assert page.plan["strips"] != before["strips"]
    page.undo()
    assert page.plan == before


def test_a_ready_set_is_taken_with_one_press(page: Page) -> None:
    """Older eyes: the page's wish is doubled, by one press in the drawer, and its source named."""
    page.tab.locator('[data-opens="find"]').first.click()
    page.tab.locator("#drawer-find summary", has_text="Ready sets").click()
    was = {aim["id"]: aim.get("at_least") for aim in page.plan["aims"]}
    page.tab.locator(".pg-sets .lm-button", has_text="Left reads with older eyes").click()
    page.settle()
    now = {aim["id"]: aim for aim in page.plan["aims"]}
    assert now["left page"]["at_least"] == 2 * (was["left page"] or 0.0)
    assert "times 2 over 65 years" in now["left page"]["source"]
