"""What every test may use: one real browser for the whole run."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, sync_playwright

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


FIRST = (
    "browser/test_first_minutes.py",
    "proof/test_one_number.py",
    "browser/test_accessibility.py",
    "light/test_path_tracer.py",
    "browser/test_long_names.py",
    "find/test_find.py",
    "browser/test_setups.py",
    "browser/test_hands.py",
    "study/test_cautions.py",
    "sheet/test_figures.py",
)
"""The files that take longest begin, so that no process is left with one at the end."""

# The same examples every time; ``--hypothesis-profile=default`` draws new ones.
settings.register_profile("steady", derandomize=True, deadline=None, print_blob=True)


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files in the order of `FIRST`, then as they were found."""
    places = {Path(__file__).parent / name: place for place, name in enumerate(FIRST)}
    items.sort(key=lambda item: places.get(item.path, len(FIRST)))


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser; a second playwright beside a running one is refused, so all share it."""
    path = shutil.which("chromium")
    assert path, "these tests need chromium on the path"
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield found
        found.close()
