"""From the side: drawn in every room without text over text, and a hand there changes the plan."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lumen.app import commands
from lumen.scenario.document import Scenario, plain
from lumen.scenario.files import load

from .conftest import ROOMS, Server
from .driver import Page
from .long_names import with_long_names

pytestmark = pytest.mark.browser

_OVER = """() => {
  const frame = document.querySelector("#side-frame svg").getBoundingClientRect();
  const texts = [...document.querySelectorAll("#side-frame svg text")]
    .filter((each) => each.textContent && !each.closest("[data-caution]"))
    .map((each) => [each.textContent, each.getBoundingClientRect()]);
  const over = ([, a], [, b]) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1
    && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 2;
  const out = ([, a]) => a.left < frame.left - 1 || a.right > frame.right + 1
    || a.top < frame.top - 1 || a.bottom > frame.bottom + 1;
  return {
    count: texts.length,
    over: texts.flatMap((a, i) => texts.slice(i + 1).filter((b) => over(a, b))
      .map((b) => `${a[0]} / ${b[0]}`)),
    out: texts.filter(out).map(([text]) => text),
  };
}"""

_SCALE = """([name, part, metres]) => document.querySelector(
  `#side-frame [data-id="${name}"] ${part}`).getBoundingClientRect().width / metres"""


def _scale(page: Page) -> float:
    """Return the pixels in a metre, off the length of the mattress."""
    ask = ["mattress", ".lm-box", page.thing("mattress")["size_m"][1]]
    return float(page.tab.evaluate(_SCALE, ask))


def _pull(page: Page, selector: str, right_m: float, up_m: float = 0.0) -> None:
    """Drag a part of the drawing and let it go."""
    scale = _scale(page)
    box = page.tab.evaluate(
        "(wanted) => document.querySelector(wanted).getBoundingClientRect().toJSON()",
        f"#side-frame {selector}",
    )
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.tab.mouse.move(x, y)
    page.tab.mouse.down()
    for share in (0.3, 0.7, 1.0):
        page.tab.mouse.move(x + share * right_m * scale, y - share * up_m * scale)
    page.after(page.tab.mouse.up)


def _side(page: Page) -> None:
    page.look("Side")
    page.tab.locator("#side-frame .lm-side-wall").first.wait_for()


def test_a_light_is_set_off_the_wall_or_moved_up_and_the_numbers_follow(page: Page) -> None:
    """Drawn 6 cm into the room it stands 6 cm further off; drawn up it hangs higher."""
    _side(page)
    was, lux = page.thing("left light"), page.lux_on("left page")
    _pull(page, '[data-id="left light"] .lm-shade', 0.06)
    now = page.thing("left light")
    assert now["projection_m"] == pytest.approx(was.get("projection_m", 0.12) + 0.06, abs=0.006)
    assert now["mount_m"] == was["mount_m"]
    words = f"{100 * now['projection_m']:.4g} cm left light off the wall"
    assert page.tab.locator(".lm-side-fact", has_text=words).count() == 1
    _pull(page, '[data-id="left light"] .lm-shade', 0.0, 0.1)
    assert page.lux_on("left page") != lux
    assert page.thing("left light")["mount_m"][2] == pytest.approx(
        was["mount_m"][2] + 0.1, abs=0.02
    )


def test_a_board_is_leaned_by_its_foot_and_a_strip_set_back(page: Page) -> None:
    """The handle at the board's foot leans it; the strip on it moves off the wall by itself."""
    _side(page)
    page.tab.locator('#side-frame [data-id="headboard"]').focus()
    page.tab.keyboard.press("Enter")
    page.tab.locator('#side-frame [data-lean="foot"]').wait_for(state="attached")
    _pull(page, '[data-lean="foot"]', 0.11)
    board = page.thing("headboard")
    assert board["lean_deg"] == pytest.approx(5.7, abs=0.6)  # asin(0.11 m over 1.1 m)
    assert page.tab.locator(".lm-side-fact", has_text="leans back").count() == 1
    assert page.tab.locator(".lm-side-fact", has_text="gap at the foot").count() == 1
    page.undo()
    was = page.thing("glow strip")["path_m"]
    _pull(page, '[data-id="glow strip"] .lm-side-strip', -0.017)  # over the pixels a drag begins at
    moved = page.thing("glow strip")["path_m"]
    assert [point[1] for point in moved] == pytest.approx([was[0][1] + 0.017] * len(was), abs=0.008)


def test_the_arrow_keys_set_a_light_off_the_wall(page: Page) -> None:
    """To the right is off the wall here, a centimetre at a press."""
    _side(page)
    was = page.thing("left light").get("projection_m", 0.12)
    page.tab.locator('#side-frame [data-id="left light"]').focus()
    page.after(lambda: page.tab.keyboard.press("ArrowRight"))
    assert page.thing("left light")["projection_m"] == pytest.approx(was + 0.01)


@pytest.fixture(scope="module")
def unlit(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """One page for all rooms; its server reckons no light, the drawing is looked at."""

    def without(scenario: Scenario) -> commands.Found:
        return commands.Found(scenario, None, trouble="Not reckoned in this test.")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(commands, "_reckoned", without)
        server = Server()
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        page = Page(context, server.address, tmp_path_factory.mktemp("side"))
        yield page
        page.close()
        server.stop()
        assert page.console == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_text_lies_over_text_from_the_side(room: Path, unlit: Page) -> None:
    """In each room, with its own names and with long ones, wide and narrow, in both themes."""
    for plan in (plain(load(room)), with_long_names(plain(load(room)))):
        unlit.after(
            lambda plan=plan: unlit.tab.evaluate(  # type: ignore[misc]
                "(plan) => lumen.page.send({ name: 'replace', args: { plan } })", plan
            )
        )
        _side(unlit)
        for width, height in ((1440, 900), (1024, 768), (390, 844)):
            unlit.tab.set_viewport_size({"width": width, "height": height})
            for chosen in ([], [plan["lights"][0]["id"]], [plan["furniture"][0]["id"]]):
                unlit.tab.evaluate("(selection) => lumen.store.set({ selection })", chosen)
                unlit.tab.evaluate(
                    "() => new Promise((go) => requestAnimationFrame(() => setTimeout(go, 60)))"
                )
                found = unlit.tab.evaluate(_OVER)
                assert found["count"] >= 1
                assert found["over"] == [], (width, chosen, found["over"])
                assert found["out"] == [], (width, chosen, found["out"])
