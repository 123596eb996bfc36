"""What every test may use: one real browser for the whole run."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
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


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser; a second playwright beside a running one is refused, so all share it."""
    path = shutil.which("chromium")
    assert path, "these tests need chromium on the path"
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield found
        found.close()
