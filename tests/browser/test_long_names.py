"""Names of sixty letters in all twelve rooms: no text is cut, nothing slides or lies over text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from lumen.app import commands
from lumen.scenario.document import parse, plain
from lumen.scenario.files import examples, load
from lumen.study.study import study

from .conftest import FEW, ROOMS, Server
from .driver import Page
from .long_names import CUT, LETTERS, with_long_names

pytestmark = pytest.mark.browser

_WINDOWS = ((1440, 900), (390, 844), (1024, 768))
_DRAWERS = (
    "start",
    "add",
    "open",
    "power",
    "cautions",
    "thing",
    "maps",
    "heights",
    "compare",
    "setup",
)
_HERE = {
    "heights": '#heights svg, #heights p:not(:has-text("Trying every height"))',
    "compare": "#compare table",
}
"""What is reckoned when it is opened; a light that no setup turns on has no heights but a word."""


@pytest.fixture(scope="module")
def long_page(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """One server and one page for all rooms; strips are reckoned roughly, names matter here."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(commands, "study", lambda scenario: study(scenario, detail="drag"))
        server = Server()
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        page = Page(context, server.address, tmp_path_factory.mktemp("long"))
        yield page
        page.close()
        server.stop()
        assert page.console == []


def _show(page: Page, plan: dict[str, Any]) -> None:
    page.after(
        lambda: page.tab.evaluate(
            "(plan) => lumen.page.send({ name: 'replace', args: { plan } })", plan
        )
    )
    light = plan["lights"][0]["id"]
    page.tab.evaluate(
        """(name) => {
          dash_clientside.set_props("selection", { data: [name] });
          lumen.store.set({ selection: [name] });
        }""",
        light,
    )
    page.tab.wait_for_selector(f'.pg-hand [data-id="{light}"]')


def test_the_names_are_long_and_the_plans_are_plans() -> None:
    """What the other tests show is what they say: about sixty letters, and nothing else changed."""
    for file in examples():
        plan = with_long_names(plain(load(file)))
        parse(plan)
        names = [one["name"] for part in ("setups", "lights", "people") for one in plan[part]]
        assert all(LETTERS - 2 <= len(name) <= LETTERS for name in (*names, plan["title"]))


def _shown(page: Page, file: Any, drawers: tuple[str, ...], windows: tuple[Any, ...]) -> Any:
    """What cannot be read in a room: on the page and in each drawer, at each width."""
    _show(page, with_long_names(plain(load(file))))
    found = {}
    for drawer in ("", *drawers):
        if drawer:
            page.tab.evaluate(
                "(name) => lumen.page.open(name, document.querySelector('[data-opens=heights]'))",
                drawer,
            )
        if drawer in _HERE:
            page.tab.wait_for_selector(_HERE[drawer], state="attached")
        for width, height in windows:
            page.tab.set_viewport_size({"width": width, "height": height})
            page.tab.evaluate("() => new Promise((done) => requestAnimationFrame(() => done()))")
            if faults := page.tab.evaluate(CUT):
                found[drawer or "page", width] = faults
        if drawer:
            page.tab.evaluate("(name) => lumen.page.close(name)", drawer)
    page.tab.set_viewport_size({"width": 1440, "height": 900})
    return found


@pytest.mark.parametrize("file", ROOMS)
def test_every_name_can_be_read_whole(file: Any, long_page: Page) -> None:
    """Cards, chips, toolbar, the card in the hand and every drawer, at three widths."""
    assert _shown(long_page, file, _DRAWERS, _WINDOWS) == {}


@pytest.mark.parametrize(
    "file", [file for file in examples() if file.stem not in FEW], ids=lambda file: file.stem
)
def test_names_on_the_page_can_be_read_whole(file: Any, long_page: Page) -> None:
    """In the other rooms: the page and the two drawers that are full of names, wide and narrow."""
    assert _shown(long_page, file, ("cautions", "setup"), _WINDOWS[:2]) == {}


@pytest.mark.parametrize(
    ("style", "words"),
    [
        ("width: 60px; overflow: hidden; white-space: nowrap", "cut off at its side"),
        ("height: 8px; overflow: hidden", "cut off below"),
        ("position: fixed; left: 1400px; white-space: nowrap", "outside the window"),
        ("position: absolute; left: 30px; top: 8px", "lies over"),
    ],
)
def test_a_fault_is_found(style: str, words: str, long_page: Page) -> None:
    """The look-out itself: text made unreadable on purpose is told."""
    told = long_page.tab.evaluate(
        """([style, look]) => {
          const planted = document.createElement("p");
          planted.style = style;
          planted.textContent = "a few words that somebody wrote here to be read";
          document.querySelector(".lm-answers").prepend(planted);
          document.querySelector(".lm-answers").style.position = "relative";
          const found = (0, eval)(look)();
          planted.remove();
          document.querySelector(".lm-answers").style.position = "";
          return found;
        }""",
        [style, CUT],
    )
    assert any(words in one for one in told), told
