"""Studies of the project's plans and their sheets, each made once; a browser that prints them."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

from lumen.scenario.files import examples, load
from lumen.sheet import sheet
from lumen.sheet.contents import contents
from lumen.study.study import Study, study

EXAMPLES = examples()


def plain_contents(found: Study) -> Any:
    """Return what the sheet of a study holds as plain data."""
    return _plain(contents(found))


_ASKED = ("nearest", "from_nearest_m", "allowed")  # properties that the page reads


def _plain(held: Any) -> Any:
    if isinstance(held, tuple | list):
        return [_plain(item) for item in held]
    if is_dataclass(held):
        names = [f.name for f in fields(held)] + [name for name in _ASKED if hasattr(held, name)]
        return {name: _plain(getattr(held, name)) for name in names}
    return held


@cache
def study_of(path: Path) -> Study:
    """Return the study of a plan on disk, made once in a session."""
    return study(load(path))


@cache
def pdf_of(path: Path, paper: str, folder: Path) -> Path:
    """Print a plan's sheet with a headless browser, as a person's printer dialog would."""
    html = folder / f"{path.stem}-{paper}.html"
    page = sheet(study_of(path), paper=paper, include=("templates", "tests", "questions"))
    html.write_text(page, encoding="utf-8")
    return print_pdf(html)


def print_pdf(html: Path) -> Path:
    """Print an HTML file to PDF beside it."""
    browser = browser_path()
    pdf = html.with_suffix(".pdf")
    command = [browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
    profile = html.parent / "profile"
    command += [f"--user-data-dir={profile}", f"--print-to-pdf={pdf}", html.as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    return pdf


def browser_path() -> str:
    """Return the browser that prints."""
    found = shutil.which("chromium")
    assert found, "these tests need chromium on the path"
    return found
