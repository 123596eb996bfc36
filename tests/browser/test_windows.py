"""Two windows, a file changed by somebody else: nothing is lost without being asked."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from lumen.scenario.files import examples, load, save
from lumen.scenario.kept import kept

from .conftest import Server
from .driver import PATIENCE_MS, Page

pytestmark = pytest.mark.browser


def _until(so: Callable[[], bool]) -> None:
    """Wait until the folder of kept plans is so: a plan is kept a moment after each change."""
    end = time.monotonic() + PATIENCE_MS / 1000
    while not so():
        assert time.monotonic() < end
        time.sleep(0.05)


def test_two_windows_on_one_plan_keep_both(
    opened: Callable[..., Page], served: Callable[..., Server]
) -> None:
    """The second window's work does not vanish: both are kept, and the person is asked."""
    server = served()
    first = opened(server)
    first.write_title("From the first window")
    second = first.another()
    second.write_title("From the second window")
    first.tab.wait_for_selector("#choice:not([hidden])")
    assert "another window" in first.tab.inner_text("#choice")
    first.after(lambda: first.tab.get_by_role("button", name="Go on here with a copy").click())
    assert first.plan["title"] == "From the first window (copy)"
    assert second.plan["title"] == "From the second window"
    assert first.plan["identity"] != second.plan["identity"]
    both = {"From the first window (copy)", "From the second window"}
    _until(lambda: both <= {one.title for one in kept() if one.latest})
    for page in (first, second):
        page.tab.wait_for_function(
            "(identity) => localStorage.getItem(`lumen-kept ${identity}`)",
            arg=page.plan["identity"],
        )  # the window has heard that it was kept
        page.tab.reload()
        page.settle()
    assert first.plan["title"] == "From the first window (copy)"
    assert second.plan["title"] == "From the second window"
    assert both <= {one.title for one in kept() if one.latest}


def test_the_other_window_can_be_shown_here(
    opened: Callable[..., Page], served: Callable[..., Server]
) -> None:
    """Asked which goes on, the other one's plan comes here as a step that can be taken back."""
    first = opened(served())
    first.write_title("Older")
    second = first.another()
    second.write_title("Newer")
    first.tab.wait_for_selector("#choice:not([hidden])")
    first.after(lambda: first.tab.get_by_role("button", name="Show the other one here").click())
    assert first.plan["title"] == "Newer"


def test_saving_over_a_file_that_changed_on_disk_asks(
    opened: Callable[..., Page], served: Callable[..., Server], tmp_path: Path
) -> None:
    """What somebody else wrote meanwhile is not lost by a press on Save."""
    file = tmp_path / "ours.json"
    file.write_bytes(examples()[0].read_bytes())
    page = opened(served(file))
    page.write_title("Mine")
    save(load(examples()[0]).model_copy(update={"title": "Theirs"}), file)
    page.tab.get_by_role("button", name="Save", exact=True).click()
    page.tab.wait_for_selector("#choice:not([hidden])")
    assert load(file).title == "Theirs"
    page.tab.get_by_role("button", name="Write over it").click()
    page.tab.locator("#toast", has_text="Saved to ours.json").wait_for()
    assert load(file).title == "Mine"
