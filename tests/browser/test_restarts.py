"""The server is killed and started again while something is going on: said, kept, gone on with."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Route

from lumen.scenario.files import examples, load

from .driver import PATIENCE_MS, Page

pytestmark = pytest.mark.browser


class Killed:
    """The page's server as a process of its own, which may be killed at any moment."""

    def __init__(self, file: Path) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])
        self.address = f"http://127.0.0.1:{self.port}/"
        self._command = [
            *(sys.executable, "-m", "lumen", str(file)),
            *("--port", str(self.port), "--no-browser"),
        ]
        self.start()

    def start(self) -> None:
        """Start, and wait until it answers."""
        self.process = subprocess.Popen(self._command, stderr=subprocess.DEVNULL)
        end = time.monotonic() + PATIENCE_MS / 1000
        while True:
            try:
                urllib.request.urlopen(f"{self.address}alive", timeout=5).close()
            except OSError:
                assert self.process.poll() is None
                assert time.monotonic() < end
                time.sleep(0.05)
            else:
                return

    def freeze(self) -> None:
        """Take in what is asked, and answer nothing any more."""
        self.process.send_signal(signal.SIGSTOP)

    def kill(self) -> None:
        """End it without a chance to tidy up."""
        self.process.kill()
        self.process.wait()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A file of the person's own."""
    found = tmp_path / "ours.json"
    found.write_bytes(examples()[0].read_bytes())
    return found


@pytest.fixture
def server(file: Path) -> Iterator[Killed]:
    """A server of the test's own, with that file."""
    found = Killed(file)
    yield found
    found.kill()


@pytest.fixture
def page(browser: Browser, server: Killed, tmp_path: Path) -> Iterator[Page]:
    """Its page; the browser itself tells of requests that nobody answered, the page of nothing."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, accept_downloads=True)
    found = Page(context, server.address, tmp_path)
    yield found
    found.close()
    told = ("ERR_CONNECTION", "ERR_EMPTY_RESPONSE", "the server did not respond")
    assert [line for line in found.console if not any(word in line for word in told)] == []


def _asked(page: Page, path: str, act: Callable[[], object]) -> None:
    """Do something, and wait until the page has asked the server for it."""
    with page.tab.expect_request(lambda request: request.url.endswith(path)):
        act()


def test_killed_amid_a_drag_a_save_and_a_find(page: Page, server: Killed, file: Path) -> None:
    """One page lives through four servers: every edit is there, each thing ends by itself."""
    lost = page.tab.locator(".lm-lost")

    # the hand still holds the light while its server dies, and lets go while there is none
    server.freeze()
    _asked(page, "/preview", lambda: page.drag("left light", up_m=0.3, hold=True))
    server.kill()
    lost.wait_for()
    page.tab.mouse.up()
    server.start()
    lost.wait_for(state="hidden")
    page.answer()
    page.settle()
    hung = page.thing("left light")["mount_m"][2]
    assert hung > 1.4

    # the plan is written, and the answer that says so never comes
    page.write_title("After the first")

    def written_then_killed(route: Route) -> None:
        route.fetch()
        server.kill()
        route.abort("connectionreset")

    page.tab.route("**/save", written_then_killed, times=1)
    page.tab.get_by_role("button", name="Save", exact=True).click()
    page.tab.locator("#toast", has_text="Not saved yet").wait_for()
    lost.wait_for()
    server.start()
    page.tab.locator("#toast", has_text="Saved to ours.json").wait_for()
    assert page.tab.locator("#choice").is_hidden()
    assert load(file).title == "After the first"
    assert load(file).lights[0].mount_m[2] == pytest.approx(hung)

    # a search is forgotten by the next server: the page asks for it anew
    page.tab.locator('[data-opens="find"]').first.click()
    for part in ("place", "kind"):
        page.tab.locator(f'#drawer-find [data-may="{part}"]').first.wait_for()
        for box in page.tab.locator(f'#drawer-find [data-may="{part}"]').all():
            box.uncheck()

    def killed(route: Route) -> None:
        server.kill()
        route.continue_()

    page.tab.route("**/find/*", killed, times=1)  # while it asks how far the search is
    state = page.tab.locator("#find-state")
    page.tab.locator('[data-act="find"]').first.click()
    state.filter(has_text="begins anew").wait_for()
    server.start()
    page.tab.locator(".pg-find-card").first.wait_for(timeout=600_000)
    lost.wait_for(state="hidden")
    page.settle()
    assert page.plan["title"] == "After the first"


def test_killed_between_a_change_and_its_numbers(page: Page, server: Killed) -> None:
    """The new plan has come and its light has not: it comes from the next server, unasked."""
    lost = page.tab.locator(".lm-lost")
    died: list[str] = []

    def killed(route: Route) -> None:
        if "..study.data" in (route.request.post_data or "")[:120] and not died:
            died.append("amid the light")
            server.kill()
        route.continue_()

    page.tab.route("**/_dash-update-component*", killed)
    was = page.revision
    page.drag("left light", up_m=0.2, hold=True)
    page.tab.mouse.up()
    lost.wait_for()
    server.start()
    page.tab.wait_for_selector(
        f'html[data-busy="no"]:not([data-revision="{was}"])', state="attached"
    )
    lost.wait_for(state="hidden")
