"""A real server and a real browser; the page in a person's words comes from driver.py."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from waitress.server import create_server

from lumen.app import create_app
from lumen.scenario.files import examples

from .driver import Page

_HERE = Path(__file__).parent
FEW = ("plain-pair", "attic-slope", "loft-over-bunk", "parents-with-cot")
ROOMS = [
    pytest.param(file, id=file.stem, marks=[] if file.stem in FEW else [pytest.mark.long])
    for file in examples()
]
"""Four rooms as unlike as can be in the normal run, the other eight with ``-m long``."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser on a busy machine may lose a race once: one more try, told in the summary."""
    for item in items:
        if item.path.is_relative_to(_HERE):
            item.add_marker(pytest.mark.flaky(reruns=1))


class Server:
    """The page's server in a thread; may be stopped and started again on the same port."""

    def __init__(self, plan: Path | None = None) -> None:
        self.app = create_app(plan)
        self.port = 0
        self.start()

    def start(self) -> None:
        """Listen on the port used before, or on any free one the first time."""
        self._server = create_server(self.app.server, host="127.0.0.1", port=self.port, threads=6)
        self.port = int(self._server.effective_port)
        self._stopping = False
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        try:
            self._server.run()
        except OSError:  # the loop may be waiting on a socket that stop() is closing
            if not self._stopping:
                raise

    def stop(self) -> None:
        """Stop listening and close every connection."""
        self._stopping = True
        self._server.close()
        self._server.task_dispatcher.shutdown(timeout=2)
        for channel in list(self._server._map.values()):
            channel.close()
        self._thread.join(timeout=5)

    @property
    def address(self) -> str:
        """Where the page is."""
        return f"http://127.0.0.1:{self.port}/"


@pytest.fixture(scope="session", autouse=True)
def _own_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Whatever is kept in the person's data folder goes to a folder of the test run."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture(scope="session")
def shared_server() -> Iterator[Server]:
    """A server with the example room, shared by the tests that do not stop it."""
    server = Server()
    yield server
    server.stop()


@pytest.fixture
def served() -> Iterator[Callable[..., Server]]:
    """Start servers of a test's own; they are stopped at its end."""
    running: list[Server] = []

    def start(plan: Path | None = None) -> Server:
        running.append(Server(plan))
        return running[-1]

    yield start
    for server in running:
        server.stop()


@pytest.fixture
def opened(
    browser: Browser, tmp_path: Path, served: Callable[..., Server]
) -> Iterator[Callable[..., Page]]:
    """Open the page at an address; its console must be empty when the test ends.

    Pages close before the test's own servers stop, or what they still ask would go unanswered.
    """
    pages: list[Page] = []

    def open_page(
        server: Server, *, width: int = 1440, height: int = 900, touch: bool = False
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height}, has_touch=touch, accept_downloads=True
        )
        pages.append(Page(context, server.address, tmp_path))
        return pages[-1]

    yield open_page
    for page in pages:
        page.close()
    for page in pages:
        assert page.console == []
        assert page.asked_elsewhere == []


@pytest.fixture
def page(opened: Callable[..., Page], shared_server: Server) -> Page:
    """The page with the example room on a desk."""
    return opened(shared_server)
