"""The main job in a real browser: drag, read, add, be warned, save, come back."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lumen.scenario.files import examples
from lumen.words.figures import amount

from .conftest import ROOMS, Server
from .driver import Page

pytestmark = pytest.mark.browser


def _checked(file: Path) -> dict[str, Any]:
    """What the command says about a saved file, in a process of its own."""
    command = [sys.executable, "-m", "lumen", "check", str(file), "--json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1), done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_numbers_after_a_drag_are_those_of_the_command(page: Page) -> None:
    """A light dragged 300 mm up and saved: each number on screen is what check prints."""
    before = page.lux_on("left page")
    page.drag("left light", up_m=0.30)
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.52, abs=0.011)
    assert page.lux_on("left page") != before

    found = _checked(page.save())
    setup = found["setups"][0]["id"]
    planes = {p["target"]: p for p in found["planes"] if p["setup"] == setup}
    for words, target in (
        ("left page", "page:left"),
        ("right page", "page:right"),
        ("on the bed", "mattress"),
        ("on the floor", "floor"),
    ):
        plane = planes[target]
        assert page.lux_on(words) == amount(plane["average_lx"])
        assert page.band_of(words) == f"{amount(plane['low_lx'])}-{amount(plane['high_lx'])}"
    lying = [
        e
        for e in found["eyes"]
        if e["setup"] == setup and e["person"] == "right" and e["posture"].startswith("lying")
    ]
    worst = max(lying, key=lambda eye: eye["illuminance_lx"])
    assert page.lux_on("in right's eyes") == amount(worst["illuminance_lx"])
    assert len(page.cautions()) == len(found["cautions"])


def test_answers_follow_the_hand_before_it_lets_go(page: Page) -> None:
    """While a light is held, the page's number moves; Escape puts light and number back."""
    before = page.lux_on("left page")
    page.drag("left light", up_m=0.4, hold=True)
    value = page.card("left page").locator('[data-live-part="value"]')
    value.filter(has_not_text=before).wait_for()
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.22)
    page.tab.keyboard.press("Escape")
    page.tab.mouse.up()
    value.filter(has_text=before).wait_for()
    assert page.lux_on("left page") == before


def test_a_heater_on_the_strip_is_told_plainly(page: Page) -> None:
    """A 1500 W heater in the power strip raises a stop that names strip, numbers, rule, remedy."""
    page.add("Portable heater", into="bedside strip")
    heater = next(text for text in page.cautions() if "heater" in text and "Stop" in text)
    assert "bedside strip" in heater
    assert "Source:" in heater
    assert "What clears it:" in heater
    assert "W" in heater or "A" in heater
    stops = page.card("Cautions").inner_text()
    assert "stop" in stops


def test_watts_follow_the_bulb(page: Page) -> None:
    """Swapping a 470 lm bulb for one of 800 lm and 9 W moves the page and the amperes."""
    lux, power = page.lux_on("left page"), page.card("Power").inner_text()
    page.take("left light")
    page.after(lambda: page.write("Light, lm", "800"))
    page.after(lambda: page.write("Watts", "9"))
    # Both numbers are shown with two figures: half a lux before, five after.
    assert float(page.lux_on("left page")) == pytest.approx(float(lux) * 800 / 470, abs=6)
    assert page.card("Power").inner_text() != power


def test_everything_is_there_after_closing_and_reopening(page: Page) -> None:
    """Closed in the middle of the work, the page opens with the same plan and the same undo."""
    page.drag("left light", up_m=0.2)
    page.add("Reading spot")
    plan, lux = page.plan, page.lux_on("left page")
    page.reopen()
    page.tab.wait_for_selector('html[data-busy="no"]:not([data-revision="1"])', state="attached")
    assert page.plan == plan
    assert page.lux_on("left page") == lux
    page.undo()
    assert len(page.plan["lights"]) == 2


def test_undo_and_redo_go_through_every_step(page: Page) -> None:
    """Two edits undone give the first plan, redone the last; a new edit clears redo."""
    first = page.plan
    page.drag("left light", up_m=0.2)
    page.drag("right light", up_m=0.1)
    last = page.plan
    page.undo()
    page.undo()
    assert page.plan == first
    page.redo()
    page.redo()
    assert page.plan == last
    page.undo()
    page.drag("left light", up_m=-0.3)
    assert page.tab.locator('[data-act="redo"]').is_disabled()


def test_the_room_follows_while_one_types(page: Page) -> None:
    """Room sizes typed in feet, inches and centimetres change room and things that hang on it."""
    page.measure("Bed wall, wide", "13 ft 1 1/2 in")
    page.measure("Ceiling, high", "8'")
    page.measure("Mattress, wide", "193 cm")
    plan = page.plan
    assert max(x for x, _ in plan["room"]["outline_m"]) == pytest.approx(4.0005, abs=1e-4)
    assert plan["room"]["height_m"] == pytest.approx(2.4384, abs=1e-4)
    assert page.thing("mattress")["size_m"][0] == pytest.approx(1.93)
    assert page.thing("mattress")["at_m"][0] == pytest.approx(2.0, abs=1e-3)


def test_a_bad_value_is_told_at_its_field(page: Page) -> None:
    """A bulb of minus 5 lm is refused in a sentence beside the field, and the plan stays."""
    plan = page.plan
    page.take("left light")
    page.write("Light, lm", "-5")
    fault = page.tab.locator(".pg-hand .lm-fault", has_text="must be")
    fault.wait_for()
    assert "0 or more" in fault.inner_text()
    assert page.plan == plan
    page.write("Light, lm", "12 parsecs")
    page.tab.locator(".pg-hand .lm-fault", has_text="not 'parsecs'").wait_for()


@pytest.mark.parametrize("file", ROOMS)
def test_every_example_opens(
    file: Path, opened: Callable[..., Page], served: Callable[..., Server]
) -> None:
    """Each example room opens with numbers, lights, setups, and nothing in the console."""
    page = opened(served(file))
    assert page.plan["title"] in page.tab.title()
    assert page.tab.locator(".lm-setup[data-setup]").count() == len(page.plan.get("setups", []))
    assert page.tab.locator("[data-live-part=value]").count() > 0
    for light in page.plan.get("lights", []):
        assert page.tab.locator(f'[data-lm-view="wall"] [data-id="{light["id"]}"]').count() == 1


def test_saving_writes_the_file_that_was_opened(
    opened: Callable[..., Page], served: Callable[..., Server], tmp_path: Path
) -> None:
    """With a file opened, Save writes that very file, and opening it again shows the same plan."""
    file = tmp_path / "mine.json"
    file.write_bytes(examples()[0].read_bytes())
    page = opened(served(file))
    page.drag("left light", up_m=0.25)
    page.tab.locator('[data-act="save"]').click()
    page.tab.locator("#toast", has_text="Saved to mine.json").wait_for()
    again = opened(served(file))
    assert again.plan == page.plan


def test_edits_made_while_the_server_is_away_arrive_when_it_is_back(
    opened: Callable[..., Page], served: Callable[..., Server]
) -> None:
    """A server that goes away is said so; what was done meanwhile arrives after its return."""
    server = served()
    page = opened(server)
    server.stop()
    revision = page.revision
    page.drag("left light", up_m=0.3, hold=True)
    page.tab.mouse.up()
    page.tab.wait_for_selector(".lm-lost", state="visible")
    server.start()
    page.tab.wait_for_selector(
        f'html[data-busy="no"]:not([data-revision="{revision}"])', state="attached"
    )
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.52, abs=0.011)
    page.tab.wait_for_selector(".lm-lost", state="hidden")
    # What the browser itself says about requests that nobody answered is no fault of the page.
    page.console[:] = [
        line
        for line in page.console
        if "ERR_CONNECTION" not in line and "the server did not respond" not in line
    ]


def test_a_thumb_can_drag_on_a_phone(opened: Callable[..., Page], shared_server: Server) -> None:
    """At 390 px the page has no sideways scroll and a touch drags the light."""
    page = opened(shared_server, width=390, height=844, touch=True)
    wide = page.tab.evaluate("() => document.documentElement.scrollWidth")
    assert wide <= 390
    x, y = page.middle("left light")
    scale = page.pixels_per_metre()
    touch = page.context.new_cdp_session(page.tab)

    def send(kind: str, points: list[dict[str, float]]) -> None:
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def swipe() -> None:
        send("touchStart", [{"x": x, "y": y}])
        for share in (0.3, 0.6, 1.0):
            send("touchMove", [{"x": x, "y": y - share * 0.3 * scale}])
        send("touchEnd", [])

    page.after(swipe)
    assert page.thing("left light")["mount_m"][2] == pytest.approx(1.52, abs=0.03)


def test_one_gesture_asks_the_server_once_for_the_plan(page: Page) -> None:
    """A drag sends one command; taking the light in the hand and all that follows, six requests."""
    page.asked.clear()
    page.drag("left light", up_m=0.2)
    updates = [line for line in page.asked if "_dash-update-component" in line]
    assert len([line for line in updates if "..document.data" in line]) == 1
    assert len(updates) <= 6


def test_a_level_slider_relights_and_is_kept(page: Page) -> None:
    """The slider of the light that is on, at half, halves its page; undo brings it back."""
    full = float(page.lux_on("left page"))
    slider = page.tab.locator('[data-lm-levels] input[data-of="left light"]')
    page.after(lambda: slider.fill("50"))
    assert float(page.lux_on("left page")) == pytest.approx(full / 2, rel=0.05)
    assert page.plan["setups"][0]["levels"]["left light"] == 0.5
    page.undo()
    assert float(page.lux_on("left page")) == full


def test_the_room_can_be_walked_into(page: Page) -> None:
    """The walk-in view draws the lit room from the door and from a pillow."""
    page.look("Walk in")
    page.tab.locator("#walk-picture canvas").first.wait_for(state="attached")
    page.tab.locator('[data-switch="place"]', has_text="Left, lying").click()
    page.tab.wait_for_selector('[data-to="left:lying back"][aria-pressed="true"]')


def test_lux_map_and_view_from_above_show(page: Page) -> None:
    """From above the same light can be dragged along its wall; the lux map draws contours."""
    page.look("From above")
    x = page.thing("left light")["mount_m"][0]
    page.drag("left light", right_m=-0.2)
    assert page.thing("left light")["mount_m"][0] == pytest.approx(x - 0.2, abs=0.02)
    page.look("Wall")
    page.tab.locator('[data-switch="paint"]', has_text="Lux map").click()
    page.tab.locator('[data-lm-view="wall"] .lm-contour').first.wait_for(state="attached")


def test_the_sheet_opens_in_a_tab_of_its_own(page: Page) -> None:
    """One press opens the sheet of the plan as it stands, with its drill marks."""
    title = page.sheet(lambda sheet: sheet.title())
    words = page.sheet(lambda sheet: sheet.locator("body").inner_text())
    assert page.plan["title"] in title
    assert "Above the floor" in words
    assert "Order of work" in words
