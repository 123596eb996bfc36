"""Plans kept by themselves in the person's own folder, with their last versions.

The page sends its plan here a moment after each change, so that a closed browser or a lost
machine costs no more than that moment. A plan is kept under its identity, so that two of one name
stay two; what the person saves to a file of their own is never touched.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import re
import threading
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import platformdirs

from lumen.errors import LumenError, ScenarioError
from lumen.scenario.document import Scenario, dump
from lumen.scenario.files import KEPT, history, load, save, version_of

__all__ = ["APART_S", "Kept", "KeptPlan", "keep", "kept", "kept_folder", "latest_kept", "load_kept"]

APART_S = 60.0
"""Versions of a kept plan lie this far apart, or twenty of them would span a minute."""

_writing = threading.Lock()  # two windows of one server: look and write without the other between


@dataclass(frozen=True)
class KeptPlan:
    """One kept version: its mark (what to ask for), title, and when it was written (UTC).

    ``trouble`` says why it cannot be opened, if it cannot.
    """

    mark: str
    title: str
    when: datetime
    latest: bool
    trouble: str | None = None


@dataclass(frozen=True)
class Kept:
    """Where a plan was kept: the mark, the mark of its content, and who else was there.

    ``other`` is the version that another window has kept meanwhile; the plan then lies beside it.
    """

    mark: str
    version: str
    other: KeptPlan | None = None


def kept_folder() -> Path:
    """Return where plans are kept by themselves."""
    return Path(platformdirs.user_data_dir("lumen")) / "kept"


def keep(scenario: Scenario, *, based_on: str | None = None) -> Kept:
    """Write a plan to the folder, under its identity.

    The version it replaces is kept too if the newest kept one is a minute older or more, and
    always when it is not known what the plan grew out of.

    Parameters
    ----------
    scenario
        The plan.
    based_on
        The mark of the content that the plan grew out of, as an earlier call returned it. When
        the folder holds another one by now, another window wrote it: both are kept side by side.

    Raises
    ------
    ScenarioError
        When the folder cannot be written.

    Examples
    --------
    >>> _slug("Our room, 2nd try!")[:16]
    'our-room-2nd-try'
    """
    folder = kept_folder()
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)  # save() says what is wrong, if anything is
    name = scenario.identity or _slug(scenario.title)
    text = dump(scenario).encode("utf-8")
    mark = hashlib.sha256(text).hexdigest()[:16]
    with _writing:
        file = _place(folder, name, mark, based_on)
        if version_of(file) != mark:
            versions = history(file)
            newest = versions[0].stat().st_mtime if versions else 0.0
            apart = based_on is None or time.time() - newest >= APART_S
            save(scenario, file, history=apart)
    first = folder / f"{name}.json"
    return Kept(file.stem, mark, None if file == first else _listed(first, first))


def _place(folder: Path, name: str, mark: str, based_on: str | None) -> Path:
    """The plan's own file, or one beside it when another window has written that meanwhile."""
    first = folder / f"{name}.json"
    for number in count(1):
        file = first if number == 1 else folder / f"{name}~{number}.json"
        present = version_of(file)
        if present in (None, mark, based_on) or based_on is None:
            return file
    raise AssertionError("counting has no end")


def kept() -> tuple[KeptPlan, ...]:
    """Return every kept plan and its earlier versions, newest first.

    What cannot be opened is listed with the reason.
    """
    plans = []
    for file in kept_folder().glob("*.json"):
        for version in (file, *history(file)[:KEPT]):
            with contextlib.suppress(OSError):
                plans.append(_listed(file, version))
    return tuple(sorted(plans, key=lambda one: one.when, reverse=True))


def latest_kept() -> Scenario | None:
    """Return the plan that was kept last, or None when none can be opened."""
    for one in kept():
        if one.latest and one.trouble is None:
            return load_kept(one.mark)
    return None


def _listed(file: Path, version: Path) -> KeptPlan:
    when = datetime.fromtimestamp(version.stat().st_mtime, UTC)
    mark = file.stem if version == file else f"{file.stem}/{version.stem}"
    try:
        title, trouble = load(version).title, None
    except ScenarioError as error:
        title, trouble = _title_of(version), str(error.faults[0])
    return KeptPlan(mark, title, when, version == file, trouble)


def _title_of(file: Path) -> str:
    """The title of a plan that cannot be opened, else the name of its file."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        title = json.loads(file.read_bytes().decode("utf-8", "replace")).get("title")
        if isinstance(title, str) and title:
            return title
    return file.stem


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
    """A file name for a plan without an identity: two titles never share one."""
    plain = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
    return f"{plain[:40] or 'plan'}-{hashlib.sha256(title.encode()).hexdigest()[:8]}"
