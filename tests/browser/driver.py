"""The page in the words of a person who uses it. Nothing here sleeps: it waits for the page.

The root element says ``data-busy="no"`` once the words on screen belong to the plan, and carries
the plan's revision.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, ConsoleMessage, Locator, Request

PATIENCE_MS = 180_000
_SOFTWARE_DRAWING = ("GL Driver Message", "Canvas2D: Multiple readback")
# Chromium's advice about drawing without a graphics card; it comes from the machine, not the page.

_MODULES = """document.addEventListener("DOMContentLoaded", async () => {
  const first = document.getElementById("_dash-renderer");
  if (first) window.lumen = await import(first.src);
});"""
"""The modules have no global name; tests reach ``bridge``, ``page`` and ``store`` by this one."""


class Page:
    """One open page and what a person can do with it."""

    def __init__(self, context: BrowserContext, address: str, folder: Path) -> None:
        self.context, self.address, self.folder = context, address, folder
        context.set_default_timeout(PATIENCE_MS)
        self.console: list[str] = []
        self.asked: list[str] = []
        self.asked_elsewhere: list[str] = []
        context.add_init_script(_MODULES)
        self.open()

    # ---- coming and going ------------------------------------------------------------------
    def open(self) -> None:
        """Open the page in a new tab and wait until its numbers are there."""
        self.tab = self.context.new_page()
        self.tab.set_default_timeout(PATIENCE_MS)
        self.tab.on("console", self._heard)
        self.tab.on("pageerror", lambda error: self.console.append(f"page error: {error}"))
        self.tab.on("request", self._requested)
        self.tab.goto(self.address)
        self.settle()

    def reopen(self) -> None:
        """Close the tab, as somebody does who has had enough, and come back."""
        self.tab.close(run_before_unload=True)
        self.open()

    def another(self) -> Page:
        """Open the same page in a second window of the same browser."""
        return Page(self.context, self.address, self.folder)

    def write_title(self, text: str) -> None:
        """Give the plan another name, as typed into the top row."""
        field = self.tab.locator(".pg-title textarea")
        field.fill(text)
        self.after(lambda: field.press("Tab"))

    def close(self) -> None:
        """Close the browser's window."""
        self.context.close()

    def _heard(self, message: ConsoleMessage) -> None:
        if not any(words in message.text for words in _SOFTWARE_DRAWING):
            self.console.append(f"{message.type}: {message.text}")

    def _requested(self, request: Request) -> None:
        self.asked.append(f"{request.method} {request.url} {(request.post_data or '')[:200]}")
        if not request.url.startswith((self.address, "data:", "blob:")):
            self.asked_elsewhere.append(request.url)

    def settle(self) -> None:
        """Wait until the words on screen belong to the plan on screen."""
        self.tab.wait_for_selector('html[data-busy="no"]', state="attached")
        self.tab.wait_for_function("() => window.lumen !== undefined")

    def answer(self) -> None:
        """Wait until the server has answered every command."""
        # By looking, not by a promise: Chromium may lose one that is kept amid the page's work.
        self.tab.wait_for_function("() => lumen.bridge.waiting() === 0", timeout=180_000)

    @property
    def revision(self) -> str:
        """Revision of the plan that the words belong to."""
        return self.tab.locator("html").get_attribute("data-revision") or ""

    def after(self, act: Callable[[], Any]) -> None:
        """Do something that changes the plan and wait for its answers."""
        was = self.revision
        act()
        self.tab.wait_for_selector(
            f'html[data-busy="no"]:not([data-revision="{was}"])', state="attached"
        )

    # ---- reading ---------------------------------------------------------------------------
    @property
    def plan(self) -> dict[str, Any]:
        """The plan that the page holds."""
        found: dict[str, Any] = self.tab.evaluate("() => lumen.store.now.plan")
        return found

    def thing(self, name: str) -> dict[str, Any]:
        """Return one thing of the plan by its name."""
        sections = ("lights", "strips", "furniture", "people", "supply")
        items = [item for section in sections for item in self.plan.get(section, [])]
        return next(item for item in items if item["id"] == name)

    def card(self, words: str) -> Locator:
        """Return the answer whose name holds the words."""
        name = self.tab.locator(
            ".lm-card-name", has_text=re.compile(re.escape(words), re.IGNORECASE)
        )
        card = self.tab.locator("[data-answer]").filter(has=name).first
        folded = self.tab.locator(".pg-more:not([open])", has=card)
        if not card.is_visible() and folded.count():
            folded.locator("summary").first.click()
        return card

    def lux_on(self, words: str) -> str:
        """Return the number of an answer as it stands on the screen."""
        return self.card(words).locator('[data-live-part="value"]').inner_text()

    def band_of(self, words: str) -> str:
        """Return an answer's band as it stands on the screen."""
        return self.card(words).locator('[data-live-part="band"]').inner_text()

    def state_of(self, words: str) -> str:
        """Return an answer's state word."""
        return self.card(words).locator(".lm-state").inner_text()

    @property
    def said(self) -> str:
        """What the page said last, in passing."""
        return self.tab.locator("#toast").inner_text()

    def cautions(self) -> list[str]:
        """Return the text of every caution in the list."""
        self.show("Cautions")
        return self.tab.locator("[data-caution-at]").all_inner_texts()

    # ---- doing -----------------------------------------------------------------------------
    def drawn(self, name: str) -> Locator:
        """Return a thing on the drawing that is on show."""
        return self.tab.locator(f'.lm-view-frame:not([hidden]) [data-id="{name}"]')

    def take(self, name: str) -> None:
        """Press a thing on the drawing, so that its card shows."""
        x, y = self.middle(name)
        self.tab.mouse.click(x, y)
        self.tab.wait_for_selector(f'.pg-hand [data-id="{name}"]')

    def middle(self, name: str) -> tuple[float, float]:
        """Return where the middle of a thing is on the screen."""
        box = self._box(name, ".lm-hit, .lm-shade, .lm-supply, .lm-box")
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def _box(self, name: str, part: str) -> dict[str, float]:
        """Where a part of a thing is, read in one step: drawings are renewed at any time."""
        self.drawn(name).first.wait_for(state="attached")
        selector = f'.lm-view-frame:not([hidden]) [data-id="{name}"] :is({part})'
        return dict(
            self.tab.evaluate(
                "(wanted) => document.querySelector(wanted).getBoundingClientRect().toJSON()",
                selector,
            )
        )

    def pixels_per_metre(self) -> float:
        """Return the drawing's scale, read off the mattress."""
        return self._box("mattress", ".lm-box")["width"] / self.thing("mattress")["size_m"][0]

    def drag(
        self, name: str, up_m: float = 0.0, right_m: float = 0.0, *, hold: bool = False
    ) -> None:
        """Drag a thing on the drawing; ``hold`` keeps it in the hand at the end."""
        scale = self.pixels_per_metre()
        x, y = self.middle(name)
        self.tab.mouse.move(x, y)
        self.tab.mouse.down()
        for share in (0.2, 0.5, 0.8, 1.0):
            self.tab.mouse.move(x + share * right_m * scale, y - share * up_m * scale)
        if not hold:
            self.after(self.tab.mouse.up)

    def choose_setup(self, name: str) -> None:
        """Show another setup."""
        self.tab.locator(".lm-setup", has_text=name).click()
        self.tab.wait_for_selector(f'.lm-setup[aria-pressed="true"]:has-text("{name}")')
        self.settle()

    def show(self, drawer: str) -> None:
        """Open one of the drawers by the words on its button."""
        button = self.tab.locator("[data-opens]", has_text=drawer).first
        name = button.get_attribute("data-opens")
        if self.tab.locator(f"#drawer-{name}").is_hidden():
            button.click()
        self.tab.wait_for_selector(f"#drawer-{name}:not([hidden])")

    def look(self, words: str) -> None:
        """Choose the wall, the view from above, or the walk-in view."""
        self.tab.locator('[data-switch="look"]', has_text=words).click()

    def add(self, words: str, into: str | None = None) -> None:
        """Add something from the drawer, plugged into something."""
        self.show("Add")
        if into is not None:
            self.tab.select_option("#into", into)
        tile = self.tab.locator("[data-place]", has_text=words).first
        self.after(tile.click)

    def write(self, label: str, text: str, *, where: str = ".pg-hand") -> None:
        """Type a value into a field of the form and leave it."""
        field = self.field(label, where)
        field.fill(text)
        field.press("Tab")

    def field(self, label: str, where: str = ".pg-hand") -> Locator:
        """Return a field by its label."""
        return self.tab.locator(f"{where} .lm-field", has_text=label).locator("input").first

    def measure(self, label: str, text: str) -> None:
        """Type one of the eight measurements of the start card."""
        self.show("Your room")
        field = self.field(label, "#drawer-start")
        self.after(lambda: field.fill(text))

    def undo(self) -> None:
        """Press undo."""
        self.after(self.tab.locator('.lm-top [data-act="undo"]').click)

    def redo(self) -> None:
        """Press redo."""
        self.after(self.tab.locator('.lm-top [data-act="redo"]').click)

    def save(self) -> Path:
        """Save the plan as a file through the browser and return where it lies."""
        with self.tab.expect_download() as waiting:
            self.tab.locator('[data-act="save"]').click()
        path = self.folder / waiting.value.suggested_filename
        waiting.value.save_as(path)
        return path

    def sheet(self, read: Callable[[Any], str]) -> str:
        """Press Sheet, read something on the tab that opens, close it."""
        with self.context.expect_page() as opening:
            self.tab.locator('[data-act="sheet"]').click()
        opening.value.wait_for_load_state()
        found = read(opening.value)
        opening.value.close()
        return found

    def picture(self, name: str) -> Path:
        """Keep a picture of the page beside the test's other files."""
        path = self.folder / f"{name}.png"
        self.tab.screenshot(path=str(path))
        return path
