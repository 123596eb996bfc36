"""New HTML into an old element: only what differs changes; what the person holds stays."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

SCRIPT = Path(__file__).parents[2] / "assets" / "morph.js"


@pytest.fixture(scope="module")
def tab(browser: Browser) -> Iterator[Page]:
    """An empty tab with the script in it."""
    page = browser.new_page()
    page.set_content("<main></main>")
    page.add_script_tag(content=SCRIPT.read_text("utf-8") + "window.morph = morph;", type="module")
    yield page
    page.close()


@pytest.fixture
def morph(tab: Page) -> Callable[[str], str]:
    """Put HTML into the tab's main element and read back what stands there."""

    def put(html: str) -> str:
        tab.evaluate("(html) => morph(document.querySelector('main'), html)", html)
        return str(tab.evaluate("() => document.querySelector('main').innerHTML"))

    tab.evaluate("() => { document.querySelector('main').innerHTML = ''; }")
    return put


def _mark(tab: Page, selector: str) -> None:
    """Remember an element as an object, to see later whether it is the same one."""
    tab.evaluate("(wanted) => { window.kept = document.querySelector(wanted); }", selector)


def _is_kept(tab: Page, selector: str) -> Any:
    return tab.evaluate("(wanted) => window.kept === document.querySelector(wanted)", selector)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("<p>a</p>", "<p>b</p>"),
        ('<p class="x" title="t">a</p>', '<p class="y">a</p>'),
        ("<ul><li>1</li><li>2</li><li>3</li></ul>", "<ul><li>1</li><li>3</li></ul>"),
        ("<p>a</p>", '<section><h2>t</h2>text<b data-key="k">x</b></section>'),
        ('<i data-key="a"></i><i data-key="b"></i>', '<i data-key="b"></i><i data-key="c"></i>'),
        ("", "<p>&lt;b&gt;</p>"),
        ("<p>a</p>", ""),
    ],
)
def test_it_ends_as_the_new_html(morph: Callable[[str], str], old: str, new: str) -> None:
    """Whatever stood there before, afterwards the new HTML does."""
    morph(old)
    assert morph(new) == new


def test_what_is_alike_stays_the_same_element(tab: Page, morph: Callable[[str], str]) -> None:
    """A keyed element that moves up because one before it is gone is not made anew."""
    morph('<div data-key="a">1</div><div data-key="b">2</div>')
    _mark(tab, '[data-key="b"]')
    morph('<div data-key="b">2, later</div>')
    assert _is_kept(tab, '[data-key="b"]')


def test_a_field_that_is_typed_in_keeps_its_text(tab: Page, morph: Callable[[str], str]) -> None:
    """The field with the focus keeps what is being typed; another takes the new value."""
    morph('<input id="one" value="1"><input id="two" value="2">')
    tab.focus("#one")
    tab.keyboard.type("5")
    morph('<input id="one" value="7"><input id="two" value="8">')
    values = [tab.input_value("#one"), tab.input_value("#two")]
    assert values[0] in ("15", "51")
    assert values[1] == "8"
    assert tab.evaluate("() => document.activeElement.id") == "one"


def test_an_open_fold_stays_open(tab: Page, morph: Callable[[str], str]) -> None:
    """Details that somebody opened stay open when their words change."""
    morph("<details><summary>s</summary>old</details>")
    tab.click("summary")
    assert "new" in morph("<details><summary>s</summary>new</details>")
    assert tab.evaluate("() => document.querySelector('details').open")


def test_what_scripts_drew_is_left_alone(tab: Page, morph: Callable[[str], str]) -> None:
    """Inside a drawing's frame nothing is touched, though its attributes follow."""
    morph('<div data-lm-thumb="night"></div>')
    tab.evaluate("() => document.querySelector('[data-lm-thumb]').append('drawn')")
    assert morph('<div data-lm-thumb="day"></div>') == '<div data-lm-thumb="day">drawn</div>'


def test_a_list_shows_the_chosen_option(tab: Page, morph: Callable[[str], str]) -> None:
    """A select shows what the new HTML chooses, whatever was picked before."""
    html = '<select><option value="a">a</option><option value="b" selected{}>b</option></select>'
    morph(html.format(""))
    tab.select_option("select", "a")
    morph(html.format('=""'))
    assert tab.input_value("select") == "b"
