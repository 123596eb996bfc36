"""Plans kept by themselves in the person's own folder, with their last versions.

The page sends its plan here a moment after each change, so that a closed browser or a lost
machine costs no more than that moment. A plan is kept under its title; what the person saves to a
file of their own is never touched.
"""

from __future__ import annotations

import contextlib
import re
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import platformdirs

from lumen.errors import LumenError, ScenarioError
from lumen.scenario.document import Scenario, dump
from lumen.scenario.files import KEPT, history, load, save

__all__ = ["APART_S", "KeptPlan", "keep", "kept", "kept_folder", "load_kept"]

APART_S = 60.0
"""Versions of a kept plan lie this far apart, or twenty of them would span a minute."""


@dataclass(frozen=True)
class KeptPlan:
    """One kept version: its mark (what to ask for), title, and when it was written (UTC)."""

    mark: str
    title: str
    when: datetime
    latest: bool


def kept_folder() -> Path:
    """Return where plans are kept by themselves."""
    return Path(platformdirs.user_data_dir("lumen")) / "kept"


def keep(scenario: Scenario) -> Path:
    """Write a plan to the folder, under its title.

    The version it replaces is kept too if the newest kept one is a minute older or more.

    Raises
    ------
    ScenarioError
        When the folder cannot be written.

    Examples
    --------
    >>> _slug("Our room, 2nd try!")
    'our-room-2nd-try'
    """
    folder = kept_folder()
    file = folder / f"{_slug(scenario.title)}.json"
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)  # save() says what is wrong, if anything is
        if file.exists() and file.read_text(encoding="utf-8") == dump(scenario):
            return file
    versions = history(file)
    newest = versions[0].stat().st_mtime if versions else 0.0
    return save(scenario, file, history=time.time() - newest >= APART_S)


def kept() -> tuple[KeptPlan, ...]:
    """Return every kept plan and its earlier versions, newest first; what is broken is left out."""
    found = []
    for file in kept_folder().glob("*.json"):
        for version in (file, *history(file)[:KEPT]):
            with contextlib.suppress(OSError, ScenarioError):
                when = datetime.fromtimestamp(version.stat().st_mtime, UTC)
                mark = file.stem if version == file else f"{file.stem}/{version.stem}"
                found.append(KeptPlan(mark, load(version).title, when, version == file))
    return tuple(sorted(found, key=lambda one: one.when, reverse=True))


def load_kept(mark: str) -> Scenario:
    """Return a kept plan or version by its mark.

    Raises
    ------
    LumenError
        When no such version is kept. A mark is looked up, never made into a path.
    """
    for file in kept_folder().glob("*.json"):
        for version in (file, *history(file)):
            if mark in (file.stem if version == file else "", f"{file.stem}/{version.stem}"):
                return load(version)
    raise LumenError("kept", "must be one of the kept plans", mark)


def _slug(title: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
    return plain[:60] or "plan"
