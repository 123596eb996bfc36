"""The drawings in a real browser: hands, keys and touch become the right commands."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.browser


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Say nothing: the test's own words are enough."""


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The repository served on a free port."""
    handler = functools.partial(_Quiet, directory=str(ROOT))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_address[1]}/tests/js/harness/"
        server.shutdown()
        thread.join()


class Drawing:
    """A page with the plain pair on its wall, spoken to in words of the person."""

    def __init__(self, page: Any, view: str) -> None:
        self.page = page
        self.view = page.locator(f"[data-lm-view={view}]")

    def thing(self, name: str) -> Any:
        return self.view.locator(f'[data-id="{name}"]')

    def box(self, name: str, part: str) -> dict[str, float]:
        """Where a part of a thing is drawn, read in one step: drawings are renewed at any time."""
        selector = f'[data-id="{name}"] {part}'
        found = self.view.evaluate(
            "(view, selector) => view.querySelector(selector).getBoundingClientRect().toJSON()",
            selector,
        )
        return dict(found)

    def middle(self, name: str, part: str = "") -> tuple[float, float]:
        box = self.box(name, part or ".lm-hit")
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def scale(self) -> float:
        """Pixels in a metre, from the headboard's drawn width."""
        return self.box("headboard", ".lm-box")["width"] / 1.65

    def drag(self, name: str, right_m: float = 0.0, up_m: float = 0.0, part: str = "") -> None:
        x, y = self.middle(name, part)
        scale = self.scale()
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        for step in range(1, 9):
            self.page.mouse.move(x + right_m * scale * step / 8, y - up_m * scale * step / 8)
        self.page.mouse.up()

    def commands(self) -> list[dict[str, Any]]:
        sent = self.page.evaluate("window.sent.filter(([id]) => id === 'command').map((s) => s[1])")
        return [{key: value for key, value in each.items() if key != "stamp"} for each in sent]

    def wait_for_commands(self, count: int) -> list[dict[str, Any]]:
        self.page.wait_for_function(
            f"window.sent.filter(([id]) => id === 'command').length >= {count}"
        )
        return self.commands()

    def label(self, name: str) -> str:
        return str(self.thing(name).get_attribute("aria-label"))


@pytest.fixture
def drawing(browser: Any, address: str, request: pytest.FixtureRequest) -> Iterator[Drawing]:
    """The harness page, whose console must be empty when a test ends."""
    options = {"view": "wall", "width": 1440, "height": 900, "touch": False, "query": ""}
    options |= getattr(request, "param", {})
    context = browser.new_context(
        viewport={"width": options["width"], "height": options["height"]},
        has_touch=options["touch"],
    )
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(f"{address}?setup=read%20both&look={options['view']}{options['query']}")
    page.wait_for_function("window.ready === true")
    view = Drawing(page, str(options["view"]))
    view.thing("left light").wait_for()
    yield view
    context.close()
    assert said == []


def test_a_drag_is_one_command(drawing: Drawing) -> None:
    """Dragging a light up sends one move, to the centimetre, and asks previews on the way."""
    drawing.drag("left light", up_m=0.15)
    (command,) = drawing.wait_for_commands(1)
    assert command["name"] == "move"
    assert command["id"] == "left light"
    x, y, z = command["args"]["to_m"]
    assert (x, y) == (0.885, 3)
    assert z == pytest.approx(1.37, abs=0.011)
    assert z * 100 == pytest.approx(round(z * 100), abs=1e-6)
    assert 1 <= drawing.page.evaluate("window.previews") <= 8
    assert len(drawing.commands()) == 1


def test_a_small_tremble_is_no_drag(drawing: Drawing) -> None:
    """A press that moves less than 4 pixels selects and moves nothing."""
    x, y = drawing.middle("right light")
    drawing.page.mouse.move(x, y)
    drawing.page.mouse.down()
    drawing.page.mouse.move(x + 2, y + 2)
    drawing.page.mouse.up()
    drawing.view.locator('[data-id="right light"][aria-pressed=true]').wait_for()
    assert drawing.commands() == []


def test_escape_puts_a_dragged_light_back(drawing: Drawing) -> None:
    """Escape in the middle of a drag leaves the plan and the drawing as they were."""
    now = "document.querySelector('[data-id=\"left light\"]').getAttribute('aria-label')"
    before = drawing.label("left light")
    x, y = drawing.middle("left light")
    drawing.page.mouse.move(x, y)
    drawing.page.mouse.down()
    drawing.page.mouse.move(x, y - 60)
    drawing.page.wait_for_function(f"(was) => {now} !== was", arg=before)
    drawing.page.keyboard.press("Escape")
    drawing.page.mouse.up()
    drawing.page.wait_for_function(f"(was) => {now} === was", arg=before)
    assert drawing.commands() == []


def test_a_light_settles_level_with_its_twin(drawing: Drawing) -> None:
    """A light brought near its twin's height takes exactly that height, with a guide line."""
    drawing.drag("left light", up_m=0.20)
    drawing.wait_for_commands(1)
    drawing.page.wait_for_function("lumen.store.now.plan.lights[0].mount_m[2] > 1.3")
    drawing.drag("left light", right_m=0.3, up_m=-0.19)
    command = drawing.wait_for_commands(2)[1]
    assert command["args"]["to_m"][2] == 1.22


def test_arrow_keys_nudge_and_become_one_command(drawing: Drawing) -> None:
    """Arrow up three times and once with Shift lifts by 13 cm in one command; focus stays."""
    drawing.thing("left light").focus()
    # in one go, since a run of keys is one command only while it does not pause
    drawing.page.evaluate(
        """() => {
            for (const shiftKey of [false, false, false, true]) {
                const press = {key: "ArrowUp", shiftKey, bubbles: true, cancelable: true};
                document.activeElement.dispatchEvent(new KeyboardEvent("keydown", press));
            }
        }"""
    )
    (command,) = drawing.wait_for_commands(1)
    assert command["args"]["to_m"] == pytest.approx([0.885, 3, 1.35])
    focused = drawing.page.evaluate("document.activeElement.getAttribute('data-id')")
    assert focused == "left light"


def test_undo_and_redo_bring_whole_plans_back(drawing: Drawing) -> None:
    """Ctrl+Z after a nudge gives the first plan back, Ctrl+Shift+Z the second."""
    drawing.thing("left light").focus()
    drawing.page.keyboard.press("Shift+ArrowUp")
    drawing.wait_for_commands(1)
    drawing.page.wait_for_function("lumen.store.now.plan.lights[0].mount_m[2] === 1.32")
    drawing.page.keyboard.press("Control+z")
    drawing.page.wait_for_function("lumen.store.now.plan.lights[0].mount_m[2] === 1.22")
    drawing.page.keyboard.press("Control+Shift+z")
    drawing.page.wait_for_function("lumen.store.now.plan.lights[0].mount_m[2] === 1.32")
    assert [each["name"] for each in drawing.commands()] == ["move", "replace", "replace"]


def test_a_reload_keeps_the_edit_and_its_undo(drawing: Drawing) -> None:
    """After an edit and a reload the edited plan is asked for again, and can still be undone."""
    drawing.thing("left light").focus()
    drawing.page.keyboard.press("Shift+ArrowUp")
    drawing.wait_for_commands(1)
    drawing.page.wait_for_function("lumen.store.now.plan.lights[0].mount_m[2] === 1.32")
    drawing.page.reload()
    drawing.page.wait_for_function("window.ready === true")
    drawing.page.wait_for_function("lumen.store.now.plan.lights[0].mount_m[2] === 1.32")
    drawing.page.keyboard.press("Control+z")
    drawing.page.wait_for_function("lumen.store.now.plan.lights[0].mount_m[2] === 1.22")


def test_keys_remove_mirror_and_duplicate(drawing: Drawing) -> None:
    """M, Ctrl+D and Delete send one command each for the thing in the hand."""
    for key in ("m", "Control+d", "Delete"):
        drawing.thing("right light").focus()
        drawing.page.keyboard.press(key)
    names = [(each["name"], each["id"]) for each in drawing.wait_for_commands(3)]
    assert names == [(name, "right light") for name in ("mirror", "duplicate", "remove")]


def test_tab_walks_through_every_thing_and_out(drawing: Drawing) -> None:
    """Every thing on the wall has words for a screen reader and is reached by Tab."""
    things = drawing.view.locator("[data-id]")
    count = things.count()
    assert count == 19
    drawing.page.locator("[data-look=above]").focus()
    reached = set()
    for _ in range(count):
        drawing.page.keyboard.press("Tab")
        name, words = drawing.page.evaluate(
            "(({dataset, ariaLabel}) => [dataset.id, ariaLabel])(document.activeElement)"
        )
        assert "," in words
        reached.add(name)
    assert len(reached) == count
    drawing.page.keyboard.press("Tab")
    assert drawing.page.evaluate("document.activeElement.dataset.id || ''") == ""


def test_shift_click_moves_two_lights_together(drawing: Drawing) -> None:
    """Two lights picked with Shift move by one command that names both."""
    drawing.page.mouse.click(*drawing.middle("left light"))
    drawing.page.keyboard.down("Shift")
    drawing.page.mouse.click(*drawing.middle("right light"))
    drawing.page.keyboard.up("Shift")
    drawing.drag("right light", up_m=0.1)
    (command,) = drawing.wait_for_commands(1)
    assert sorted(command["ids"]) == ["left light", "right light"]
    assert command["args"]["by_m"][2] == pytest.approx(0.1, abs=0.011)


def test_a_strip_corner_moves_alone(drawing: Drawing) -> None:
    """A chosen strip shows handles; a handle moves its own corner."""
    drawing.page.evaluate("lumen.store.set({ selection: ['glow strip'] })")
    drawing.view.locator('[data-id="glow strip"] [data-corner="1"]').wait_for()
    drawing.drag("glow strip", right_m=0.1, part='[data-corner="1"]')
    (command,) = drawing.wait_for_commands(1)
    assert command["args"]["corner"] == 1
    assert command["args"]["to_m"][0] == pytest.approx(1.125, abs=0.011)


def test_a_level_slider_relights_without_a_server(drawing: Drawing) -> None:
    """Moving a slider repaints the wall at once; letting go sends one level command."""
    bright = """() => {
        const from = document.querySelector("[data-lm-view=wall] canvas");
        const to = document.createElement("canvas").getContext("2d", {willReadFrequently: true});
        to.drawImage(from, -from.width / 2, -from.height / 5);
        return to.getImageData(0, 0, 1, 1).data[0];
    }"""
    before = drawing.page.evaluate(bright)
    slider = drawing.page.locator('[data-lm-levels] input[data-of="glow strip"]')
    slider.focus()
    drawing.page.keyboard.press("End")
    drawing.page.wait_for_function(f"({bright})() > {before}")
    commands = drawing.wait_for_commands(1)
    wanted = {"setup": "read both", "of": "glow strip", "value": 1}
    assert commands == [{"name": "level", "args": wanted}]


def test_the_wheel_zooms_about_the_pointer(drawing: Drawing) -> None:
    """What lies under the pointer stays there when the wheel turns; a button shows the whole."""
    wide = "document.querySelector('[data-id=headboard] .lm-box').getBoundingClientRect().width"
    whole = drawing.page.evaluate(wide)
    x, y = drawing.middle("left light")
    drawing.page.mouse.move(x, y)
    drawing.page.mouse.wheel(0, -400)
    drawing.page.wait_for_function(f"{wide} > {1.3 * whole}")
    assert drawing.middle("left light") == pytest.approx((x, y), abs=3)
    drawing.page.get_by_label("Whole picture").first.click()
    drawing.page.wait_for_function(f"Math.abs({wide} - {whole}) < 1")


@pytest.mark.parametrize("drawing", [{"width": 390, "height": 844, "touch": True}], indirect=True)
def test_one_thumb_drags_a_light_on_a_phone(drawing: Drawing) -> None:
    """At 390 px a touch that drags a light moves it and does not scroll the page."""
    x, y = drawing.middle("left light")
    touch = drawing.page.context.new_cdp_session(drawing.page)

    def send(kind: str, points: list[dict[str, float]]) -> None:
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    send("touchStart", [{"x": x, "y": y}])
    for step in range(1, 7):
        send("touchMove", [{"x": x, "y": y - 5 * step}])
    send("touchEnd", [])
    (command,) = drawing.wait_for_commands(1)
    assert command["id"] == "left light"
    assert command["args"]["to_m"][2] == pytest.approx(1.22 + 30 / drawing.scale(), abs=0.03)
    assert drawing.page.evaluate("window.scrollY") == 0


@pytest.mark.parametrize("drawing", [{"view": "above"}], indirect=True)
def test_from_above_a_wall_light_keeps_to_its_wall(drawing: Drawing) -> None:
    """Seen from above a wall light slides along the wall and never off it."""
    drawing.drag("left light", right_m=-0.2, up_m=-0.5)
    (command,) = drawing.wait_for_commands(1)
    x, y, z = command["args"]["to_m"]
    assert (y, z) == (3, 1.22)
    assert x == pytest.approx(0.685, abs=0.011)
