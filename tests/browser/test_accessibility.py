"""The page for those who do not see it well, or at all, or use no mouse.

Checked with axe-core, as ``axe-playwright-python`` carries it, by its rules for WCAG 2.0 to 2.2,
levels A and AA, and by our own walk with the Tab key.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from .conftest import Server
from .driver import Page

pytestmark = pytest.mark.browser

_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
_RULES = {"runOnly": {"type": "tag", "values": _TAGS}, "resultTypes": ["violations"]}


def _found(page: Page, part: str | None = None) -> list[str]:
    """What axe-core finds serious or critical on the page or in a part of it."""
    found: dict[str, Any] = Axe().run(page.tab, context=part, options=_RULES).response
    assert found["passes"], "it looked at nothing"
    return [
        f"{rule['impact']} {rule['id']}: {node['html'][:120]}"
        for rule in found["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
    ]


def _drawer(page: Page, name: str) -> list[str]:
    page.tab.evaluate("(name) => lumen.page.open(name)", name)
    page.tab.wait_for_selector(f"#drawer-{name}:not([hidden]) .lm-drawer-body :is(button, p)")
    page.settle()
    return _found(page, f"#drawer-{name}")


def _theme(page: Page, name: str) -> None:
    page.tab.evaluate(
        """(name) => {
          if (document.documentElement.dataset.theme !== name)
            document.querySelector('[data-act="theme"]').click();
        }""",
        name,
    )
    page.tab.wait_for_selector(f'html[data-theme="{name}"]', state="attached")


def _found_in_both(page: Page, part: str | None = None) -> list[str]:
    """The same in the light theme, then in the dark one, which stays."""
    found = []
    for theme in ("light", "dark"):
        _theme(page, theme)
        found += [f"{theme}: {fault}" for fault in _found(page, part)]
    return found


def test_no_serious_accessibility_fault(page: Page) -> None:
    """Start, a light in the hand, answers unfolded, drawers and looks: nothing serious found.

    In both themes, but for drawers that hold no colours of their own.
    """
    found = {"start": _found_in_both(page)}
    page.take("left light")
    page.tab.evaluate("() => document.querySelectorAll('details').forEach((d) => d.open = true)")
    found["light in hand"] = _found_in_both(page)
    page.add("Portable heater", into="bedside strip")  # a stop: its colours too
    for drawer in ("add", "cautions", "start", "thing", "open", "setup"):
        found[drawer] = _drawer(page, drawer)
        if drawer == "cautions":
            found["cautions, both"] = _found_in_both(page, "#drawer-cautions")
    page.tab.keyboard.press("Escape")
    page.tab.locator('[data-switch="paint"]', has_text="Lux map").click()
    page.look("From above")
    found["from above"] = _found(page, "#stage")
    assert {where: faults for where, faults in found.items() if faults} == {}


def test_no_serious_accessibility_fault_on_a_phone(
    opened: Callable[..., Page], shared_server: Server
) -> None:
    """At 390 px: nothing serious on the page or in a drawer, and every button is 24 px or more."""
    page = opened(shared_server, width=390, height=844, touch=True)
    found = _found(page) + _drawer(page, "add")
    assert found == []
    page.tab.keyboard.press("Escape")
    small = page.tab.evaluate(
        """() => [...document.querySelectorAll("button, summary, input, select")]
            .filter((each) => each.checkVisibility())
            .map((each) => [each.getBoundingClientRect(), each.textContent || each.id])
            .filter(([box]) => box.width < 24 || box.height < 24)
            .map(([box, words]) => `${words} ${box.width} x ${box.height}`)"""
    )
    assert small == []  # WCAG 2.2, success criterion 2.5.8, target size (minimum): 24 px


def test_every_thing_on_the_drawings_has_a_name(page: Page) -> None:
    """Wall and view from above: each thing of the plan is a button with a name and a place."""
    for look, view in (("Wall", "wall"), ("From above", "above")):
        page.look(look)
        page.drawn("left light").wait_for()
        names = page.tab.evaluate(
            """(view) => Object.fromEntries(
                [...document.querySelectorAll(`[data-lm-view="${view}"] .lm-thing`)].map((each) =>
                    [each.dataset.id, [each.getAttribute("role"), each.tabIndex,
                                       each.getAttribute("aria-label")]]))""",
            view,
        )
        plan = page.plan
        wanted = {
            item["id"]
            for section in ("lights", "strips", "furniture", "people", "supply")
            for item in plan.get(section, [])
            if item.get("kind") != "circuit"
        }
        assert set(names) == wanted
        for role, tab_index, name in names.values():
            assert (role, tab_index) == ("button", 0)
            assert "bed centre line" in name
    assert "92 cm left of bed centre line" in names["left light"][2]
    assert "2 to ask" in names["left receiver"][2] or "1 to ask" in names["left receiver"][2]


class Keys:
    """Somebody who has a keyboard and no mouse; every stop of the Tab key is looked at."""

    def __init__(self, page: Page) -> None:
        self.page, self.keyboard = page, page.tab.keyboard
        self.stops: list[dict[str, Any]] = []

    def at(self) -> dict[str, Any]:
        """Where the focus is, whether one sees it, and whether anything lies over it."""
        found: dict[str, Any] = self.page.tab.evaluate(
            """() => {
                const el = document.activeElement, style = getComputedStyle(el);
                const box = el.getBoundingClientRect();
                const x = box.left + box.width / 2, y = box.top + box.height / 2;
                const top = document.elementFromPoint(x, y);
                const drawn = el.closest("svg") !== null;
                const mark = drawn ? el.querySelector(".lm-hit, .lm-strip, .lm-box") : el;
                const line = getComputedStyle(mark || el);
                const label = el.labels && el.labels[0] ? el.labels[0].textContent : "";
                return {
                    id: el.dataset.id || el.id || el.dataset.opens || el.dataset.act || "",
                    name: (el.getAttribute("aria-label") || label || el.textContent || "").trim(),
                    tag: el.tagName, drawn,
                    shown: !drawn ? style.outlineStyle !== "none"
                        : mark.matches(".lm-hit") ? line.stroke !== "none"
                        : line.strokeWidth === "3.5px",
                    hidden: !drawn && !(top && (el.contains(top) || top.contains(el))),
                };
            }"""
        )
        return found

    def tab_to(self, selector: str, *, back: bool = False) -> None:
        """Press Tab until the focus is there."""
        for _ in range(120):
            self.keyboard.press("Shift+Tab" if back else "Tab")
            stop = self.at()
            if stop["tag"] != "BODY":  # past the end, where the browser's own buttons are
                self.stops.append(stop)
            if self.page.tab.evaluate(
                "(wanted) => document.activeElement.matches(wanted)", selector
            ):
                return
        seen = [stop["id"] or stop["name"][:30] for stop in self.stops[-40:]]
        raise AssertionError(f"Tab never came to {selector}; it went by {seen}")

    def until(self, words: str) -> None:
        """Wait until the plan is so, in JavaScript; its numbers may come later."""
        self.page.tab.wait_for_function(
            f"() => {{ const p = lumen.store.now.plan; return {words}; }}"
        )

    def type(self, text: str) -> None:
        """Write over what the field holds."""
        self.keyboard.press("Control+A")
        self.keyboard.type(text)


def test_the_main_job_by_keyboard_alone(page: Page) -> None:
    """Measures, a light nudged and swapped, a strip added, undo, redo, sheet and file: no mouse."""
    keys = Keys(page)
    press = keys.keyboard.press
    keys.tab_to('[href="#stage"]')  # the first stop leads past the header
    assert len(keys.stops) == 1

    keys.tab_to('[data-opens="start"]')
    press("Enter")
    keys.tab_to('[data-measure="room_width"] input')
    keys.type("13 ft")
    keys.until("p.room.outline_m.some(([x]) => Math.abs(x - 3.9624) < 1e-4)")
    keys.tab_to('[data-measure="room_height"] input')
    keys.type("250")
    keys.until("p.room.height_m === 2.5")
    press("Escape")
    assert keys.at()["id"] == "start"  # back on the button that opened it

    height = page.thing("left light")["mount_m"][2]
    keys.tab_to('.lm-thing[data-id="left light"]')
    press("ArrowUp")
    page.after(lambda: press("Shift+ArrowUp"))
    assert page.thing("left light")["mount_m"][2] == pytest.approx(height + 0.11)

    lux = page.lux_on("left page")
    press("Enter")
    page.tab.wait_for_selector('.pg-hand [data-id="left light"]')
    press("Enter")
    keys.tab_to('.pg-hand [data-field="lamp.flux_lm"] input')
    keys.type("235")
    page.after(lambda: press("Tab"))
    assert page.thing("left light")["lamp"]["flux_lm"] == 235
    assert float(page.lux_on("left page")) < float(lux)
    press("Escape")
    assert keys.at()["id"] == "left light"
    press("Escape")
    page.tab.wait_for_selector(".pg-hand > .lm-small:only-child")

    keys.tab_to('[data-opens="add"]', back=True)
    press("Enter")
    strips = len(page.plan["strips"])
    keys.tab_to('#drawer-add [data-place="glow strip"]')
    press("Enter")
    keys.until(f"p.strips.length === {strips + 1}")
    press("Escape")
    press("Control+z")
    keys.until(f"p.strips.length === {strips}")
    press("Control+y")
    keys.until(f"p.strips.length === {strips + 1}")

    keys.tab_to('[data-act="save"]')
    with page.tab.expect_download() as saving:
        press("Enter")
    assert json.loads(saving.value.path().read_text())["room"]["height_m"] == 2.5
    keys.tab_to('[data-act="sheet"]')
    with page.context.expect_page() as opening:
        press("Enter")
    opening.value.wait_for_load_state()
    assert "Order of work" in opening.value.locator("body").inner_text()
    opening.value.close()

    assert [stop for stop in keys.stops if not stop["name"]] == []
    assert [stop for stop in keys.stops if not stop["shown"]] == []
    assert [stop for stop in keys.stops if stop["hidden"]] == []


def test_no_serious_fault_in_the_reckoned_drawers(page: Page) -> None:
    """Heights, two setups and load tree, unfolded, in both themes: nothing serious found."""
    found: dict[str, list[str]] = {}
    page.take("left light")
    page.tab.locator(".pg-hand [data-opens=heights]").click()
    page.tab.wait_for_selector("#heights .pg-heights", state="attached")
    page.tab.evaluate("() => document.querySelectorAll('details').forEach((d) => d.open = true)")
    found["heights"] = _found_in_both(page, "#drawer-heights")
    page.tab.keyboard.press("Escape")
    page.show("Two setups side by side")
    page.tab.locator("#compare svg.lm-drawing[aria-label]").nth(1).wait_for()
    found["compare"] = _found_in_both(page, "#drawer-compare")
    page.tab.keyboard.press("Escape")
    found["power"] = _drawer(page, "power") + _found_in_both(page, "#drawer-power")
    assert {name: each for name, each in found.items() if each} == {}
