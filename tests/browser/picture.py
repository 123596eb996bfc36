"""Make the picture at the head of the README: `python tests/browser/picture.py`.

Run it anew when the page has changed to the eye; it needs chromium.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import threading
from pathlib import Path

from playwright.sync_api import sync_playwright
from waitress import create_server

from lumen.app import create_app
from lumen.scenario.files import examples

ROOT = Path(__file__).parents[2]
OUT = ROOT / "assets" / "picture.png"
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu"]


def main() -> None:
    """Open the plain pair with both readers' lights on and keep what the window shows."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        plan = next(file for file in examples() if file.stem == "plain-pair")
        server = create_server(create_app(plan).server, host="127.0.0.1", port=0)
        threading.Thread(target=server.run, daemon=True).start()
        with sync_playwright() as playwright:
            chromium = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=FLAGS
            )
            tab = chromium.new_page(viewport={"width": 1440, "height": 900}, color_scheme="dark")
            tab.goto(f"http://127.0.0.1:{server.effective_port}/")
            tab.wait_for_selector('html[data-busy="no"]', state="attached", timeout=180_000)
            tab.get_by_text("Read both", exact=True).first.click()
            tab.wait_for_timeout(3_000)  # a picture fades in; nothing hangs on it
            tab.screenshot(path=OUT)
            chromium.close()
        server.close()


if __name__ == "__main__":
    main()
