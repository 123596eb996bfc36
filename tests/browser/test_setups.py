"""A setup of one's own, from nothing to a judged wish, and back step by step."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from .conftest import Server
from .driver import Page
from .test_accessibility import _found

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    ("width", "height"), [(390, 844), pytest.param(1440, 900, marks=pytest.mark.long)]
)
def test_a_setup_is_made_named_lit_and_wished_for(
    opened: Callable[..., Page], shared_server: Server, width: int, height: int
) -> None:
    """One press makes it and shows it; its form, its slider and its card do the rest; undo all."""
    page = opened(shared_server, width=width, height=height)
    tab, before = page.tab, page.plan
    page.after(tab.locator('#setups [aria-label="Add a setup"]').click)
    tab.wait_for_selector("#drawer-setup:not([hidden]) .lm-field")
    made = page.plan["setups"][-1]["id"]
    chosen = tab.locator('.lm-setup[aria-pressed="true"]')
    chosen.locator(f'[data-lm-thumb="{made}"]').wait_for()

    page.after(lambda: page.write("Name", "Film on the wall", where="#drawer-setup"))
    page.after(lambda: page.write("Begins at", "20:30", where="#drawer-setup"))
    page.after(tab.locator('#drawer-setup [data-run="clock"]').click)
    assert page.plan["setups"][-1] == {
        "id": made,
        "name": "Film on the wall",
        "from_h": 20.5,
        "running": ["clock"],
    }
    page.after(tab.locator('#drawer-setup [data-reads="right"]').click)
    assert page.plan["setups"][-1]["reading"] == ["right"]
    back = tab.locator("#drawer-setup button", has_text="As lights and wishes say")
    page.after(back.click)
    assert "reading" not in page.plan["setups"][-1]
    assert not tab.locator('#drawer-setup [data-reads="right"]').is_checked()
    page.write("Begins at", "26", where="#drawer-setup")
    tab.locator("#drawer-setup .lm-fault", has_text="Begins at").wait_for()
    assert _found(page, "#drawer-setup") == []
    page.write("Begins at", "20:30", where="#drawer-setup")
    tab.locator('#drawer-setup [data-closes="setup"]').click()
    chosen.filter(has_text="Film on the wall").wait_for()

    slider = tab.locator(f'[data-lm-levels="{made}"] input[data-of="left light"]')
    page.after(lambda: slider.press("End"))
    assert page.plan["setups"][-1]["levels"] == {"left light": 1}
    dark = page.plan

    eyes = page.card("right's eyes")
    eyes.locator("summary").first.click()
    joins = eyes.locator("button", has_text="Here too")
    page.after(joins.click)
    limit = eyes.locator('[data-wish-field="at_most"]')
    page.after(lambda: (limit.fill("500"), limit.press("Tab")))
    wish = next(a for a in page.plan["aims"] if a["of"] == "eye:right")
    assert (wish["at_most"], made in wish["setups"]) == (500, True)
    assert "source" not in wish
    assert page.state_of("right's eyes") == "met"
    limit.fill("")
    limit.press("Tab")
    eyes.locator(".lm-fault", has_text="at_least or at_most").wait_for()
    assert _found(page, ".pg-answers, #answers") == []
    page.undo()
    page.undo()
    assert page.plan == dark
    assert tab.evaluate("() => document.documentElement.scrollWidth <= innerWidth")

    for _ in range(7):
        page.undo()
    assert page.plan["setups"] == before["setups"]
    assert page.plan["aims"] == before["aims"]
    tab.locator(
        f'.lm-setup[data-setup="{before["setups"][-1]["id"]}"][aria-pressed="true"]'
    ).wait_for()


def test_the_last_setup_can_go_and_another_comes(page: Page) -> None:
    """Each that goes says which wishes went along; without any the page goes on in every look."""
    page.tab.evaluate("() => lumen.page.open('setup')")
    remove = page.tab.locator("#drawer-setup button", has_text="Remove")
    for left in reversed(range(len(page.plan["setups"]))):
        page.after(remove.click)
        assert len(page.plan.get("setups", [])) == left
        page.settle()
    assert "Undo brings all back" in page.said
    assert page.plan.get("aims", []) == []
    page.tab.locator("#drawer-setup", has_text="No setup yet").wait_for()
    page.drag("left light", up_m=0.1)
    for look in ("From above", "Walk in", "Wall"):
        page.look(look)
        page.settle()
    page.tab.locator('#drawer-setup [data-place="setup"]').click()
    page.tab.locator('.lm-setup[data-setup="setup 1"][aria-pressed="true"]').wait_for()
    page.settle()
    page.tab.locator("#answers h2", has_text="setup 1").wait_for(state="attached")


def test_another_plan_begins_with_nothing_in_the_hand(page: Page) -> None:
    """What was in the hand is of the plan before, even where the next has a thing of that name."""
    page.take("left light")
    page.choose_setup("Night")
    other = {**page.plan, "identity": "0123456789abcdef", "title": "Another"}
    page.after(
        lambda: page.tab.evaluate(
            "(plan) => lumen.page.send({ name: 'replace', args: { plan } })", other
        )
    )
    page.tab.locator(".pg-hand [data-id='left light']").wait_for(state="detached")
    page.settle()
    assert page.tab.locator(".lm-thing.is-selected").count() == 0
