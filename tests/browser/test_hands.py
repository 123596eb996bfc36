"""What hands do besides dragging one thing: many things, keys, near and far, files, a thumb."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from .conftest import Server
from .driver import Page

pytestmark = pytest.mark.browser


def _wait(page: Page, words: str) -> None:
    """Wait until the plan ``p`` is so, in JavaScript; its numbers may come later."""
    page.tab.wait_for_function(f"() => {{ const p = lumen.store.now.plan; return {words}; }}")


def test_two_lights_are_dragged_copied_mirrored_and_removed(page: Page) -> None:
    """Shift takes a second light in the hand; both move as one; keys copy, mirror and remove."""
    press = page.tab.keyboard.press
    page.take("left light")
    page.tab.keyboard.down("Shift")
    page.tab.mouse.click(*page.middle("right light"))
    page.tab.keyboard.up("Shift")
    page.tab.locator(".pg-hand strong", has_text="2 things").wait_for()
    before = [page.thing(f"{side} light")["mount_m"] for side in ("left", "right")]
    steps = page.plan
    page.drag("right light", up_m=0.2)
    after = [page.thing(f"{side} light")["mount_m"] for side in ("left", "right")]
    for old, new in zip(before, after, strict=True):
        assert new[2] == pytest.approx(old[2] + 0.2, abs=0.011)
        assert new[0] == pytest.approx(old[0], abs=0.011)
    page.undo()
    assert page.plan == steps  # one step for both

    press("Escape")
    page.take("left light")
    press("ArrowLeft")
    press("Shift+ArrowUp")
    _wait(page, f"Math.abs(p.lights[0].mount_m[2] - {before[0][2]} - 0.1) < 1e-6")
    press("m")  # the twin takes the mirrored place
    _wait(page, f"Math.abs(p.lights[1].mount_m[2] - {before[0][2]} - 0.1) < 1e-6")
    plan = page.plan
    centre = page.thing("mattress")["at_m"][0]
    left, right = (light["mount_m"][0] for light in plan["lights"])
    assert left + right == pytest.approx(2 * centre, abs=1e-6)

    press("Control+d")
    _wait(page, "p.lights.length === 3")
    page.tab.locator('.lm-thing[data-id="left light"]').first.focus()
    press("Delete")
    _wait(page, "p.lights.length === 2 && !p.lights.some((light) => light.id === 'left light')")
    page.tab.locator("#wall-frame").get_by_role("button", name="right light").focus()
    press("Control+z")
    _wait(page, "p.lights.length === 3")
    page.settle()


def test_alt_suspends_snapping(page: Page) -> None:
    """Beside the twin's height a light snaps to it; with Alt held it stays where the hand is."""
    twin = page.thing("right light")["mount_m"][2]
    page.drag("left light", up_m=0.153)
    assert page.thing("left light")["mount_m"][2] == pytest.approx(twin + 0.15, abs=0.0051)
    page.drag("left light", up_m=-0.146)
    assert page.thing("left light")["mount_m"][2] == twin
    page.tab.keyboard.down("Alt")
    page.drag("left light", up_m=0.0333)
    page.tab.keyboard.up("Alt")
    free = page.thing("left light")["mount_m"][2]
    assert free == pytest.approx(twin + 0.0333, abs=0.006)
    assert round(free * 100, 3) != round(free * 100)  # not on the centimetre grid


def test_the_picture_comes_nearer_and_is_moved(page: Page) -> None:
    """The wheel zooms about the pointer, the bare wall is dragged along, one press shows all."""
    far = page.pixels_per_metre()
    x, y = page.middle("left light")
    page.tab.mouse.move(x, y)
    page.tab.mouse.wheel(0, -600)
    page.tab.wait_for_function(
        """(far) => document.querySelector('[data-id="mattress"] .lm-box')
            .getBoundingClientRect().width > 1.5 * far""",
        arg=far * page.thing("mattress")["size_m"][0],
    )
    assert page.middle("left light") == pytest.approx((x, y), abs=4)
    bare = (x, y - 190)
    page.tab.mouse.move(*bare)
    page.tab.mouse.down()
    page.tab.mouse.move(bare[0] + 60, bare[1] + 30, steps=3)
    page.tab.mouse.up()
    page.tab.wait_for_function(
        """(x) => {
            const shade = document.querySelector('#wall-frame [data-id="left light"] .lm-shade');
            const box = shade.getBoundingClientRect();
            return Math.abs(box.left + box.width / 2 - x) < 6;
        }""",
        arg=x + 60,
    )
    page.tab.get_by_label("Whole picture").first.click()
    page.tab.wait_for_function(
        """(wide) => Math.abs(document.querySelector('[data-id="mattress"] .lm-box')
            .getBoundingClientRect().width - wide) < 2""",
        arg=far * page.thing("mattress")["size_m"][0],
    )
    assert page.plan["lights"][0]["mount_m"][2] == pytest.approx(1.22)  # only the picture moved


def test_a_range_and_a_silly_value_are_typed(page: Page) -> None:
    """Feet are read, a height of 80 m is refused in words, an eye of 60-70 cm stays a range."""
    page.take("left light")
    page.after(lambda: page.write("Height", "4 ft 1 in"))
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.2446, abs=1e-4)
    page.tab.locator('[data-opens="thing"]').last.click()
    plan = page.plan
    page.write("Height", "80 m")
    page.tab.locator(".pg-hand .lm-fault:not(:empty)").wait_for()
    assert page.plan == plan
    page.tab.keyboard.press("Escape")
    page.take("left")
    page.after(lambda: page.write("Eye, sitting", "60-70 cm"))
    assert page.thing("left")["eye_above_mattress_m"] == [0.6, 0.7]


def test_a_plan_dropped_on_the_page_opens(page: Page) -> None:
    """A plan let go over the page is opened, as one step to undo; another file is refused."""
    plan = page.plan
    other = json.loads(json.dumps(plan))
    other["title"], other["lights"][0]["lamp"]["flux_lm"] = "Dropped", 300
    drop = """([text, name]) => {
        const data = new DataTransfer();
        data.items.add(new File([text], name, {type: "application/json"}));
        const at = document.querySelector("#stage");
        for (const kind of ["dragover", "drop"])
            at.dispatchEvent(
                new DragEvent(kind, {dataTransfer: data, bubbles: true, cancelable: true}));
    }"""
    page.tab.evaluate(drop, ['{"format": "something-else"}', "other.json"])
    page.tab.locator("#toast", has_text="other.json is not a plan").wait_for()
    page.after(lambda: page.tab.evaluate(drop, [json.dumps(other), "dropped.json"]))
    assert page.plan["title"] == "Dropped"
    page.undo()
    assert page.plan == plan


def test_on_a_phone_the_number_moves_under_the_thumb(
    opened: Callable[..., Page], shared_server: Server
) -> None:
    """While a thumb holds the light, the page's card below the wall is in sight and follows."""
    page = opened(shared_server, width=390, height=844, touch=True)
    before = page.lux_on("left page")
    wall = page.tab.locator("#wall-frame").bounding_box()
    card = page.card("left page").bounding_box()
    assert wall is not None
    assert card is not None
    assert card["y"] >= wall["y"] + wall["height"]
    x, y = page.middle("left light")
    scale = page.pixels_per_metre()
    touch = page.context.new_cdp_session(page.tab)
    touch.send(
        "Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]}
    )
    for share in (0.4, 0.7, 1.0):
        point = {"x": x, "y": y - share * 0.4 * scale}
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [point]})
    value = page.card("left page").locator('[data-live-part="value"]')
    value.filter(has_not_text=before).wait_for()
    page.tab.wait_for_selector('.pg-hand [data-id="left light"]', state="attached")
    card = page.card("left page").bounding_box()
    assert card is not None
    assert card["y"] + card["height"] <= 844
    assert page.tab.evaluate("() => scrollY") == 0
    page.after(
        lambda: touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    )
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.62, abs=0.03)


def test_a_light_is_dragged_from_the_drawer_to_the_wall(page: Page) -> None:
    """A spot let go over the wall hangs there, lit, and undo takes it away."""
    plan = page.plan
    page.show("Add")
    tile = page.tab.locator('[data-place="wall spot"]')
    x, y = page.middle("right light")
    scale = page.pixels_per_metre()
    frame = page.tab.locator("#wall-frame svg").first
    box = frame.bounding_box()
    assert box is not None
    target = {"x": x + 0.25 * scale - box["x"], "y": y - 0.40 * scale - box["y"]}
    page.after(lambda: tile.drag_to(frame, target_position=target))
    spot = next(light for light in page.plan["lights"] if light not in plan["lights"])
    where = page.thing("right light")["mount_m"]
    assert spot["mount_m"][0] == pytest.approx(where[0] + 0.25, abs=0.02)
    assert spot["mount_m"][2] == pytest.approx(where[2] + 0.40, abs=0.02)
    assert page.plan["setups"][0]["levels"][spot["id"]] == 1
    page.undo()
    assert page.plan == plan
