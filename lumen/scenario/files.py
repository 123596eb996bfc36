"""Plans on disk: read with every fault named, saved in one step, earlier versions kept."""

from __future__ import annotations

import contextlib
import glob
import hashlib
import json
import os
import stat
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path
from typing import Any

import platformdirs

from lumen.errors import Fault, ScenarioError
from lumen.scenario.document import FORMAT, Scenario, dump, parse

__all__ = [
    "KEPT",
    "LARGEST_BYTES",
    "examples",
    "history",
    "history_folder",
    "load",
    "loads",
    "save",
    "upgrade",
    "version_of",
    "version_of_text",
    "write_whole",
]

LARGEST_BYTES = 4_000_000
"""More than any bedroom with its photometric files inside; larger is not a plan."""

KEPT = 20
"""Versions of a file kept in its history."""

_FRESH = ".new"
_ORPHAN_S = (
    600.0  # a write takes well under a second; what is older was left by one that was killed
)

_UPGRADES: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""Format to the step that leads to the next one; empty while there is one format only."""


def load(path: str | os.PathLike[str]) -> Scenario:
    """Return the plan in a file.

    Raises
    ------
    ScenarioError
        When the file cannot be read, is no JSON, or breaks rules of the document (all at once).
    """
    file = Path(path)
    try:
        raw = _whole(file)
    except (OSError, ValueError) as error:  # a name with a zero byte in it is a ValueError
        reason = getattr(error, "strerror", None) or str(error) or type(error).__name__
        raise _refusal(str(file), f"cannot be read ({reason})", file.name) from error
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        rule = f"must be UTF-8 text; byte {error.start} is not"
        raise _refusal(str(file), rule, raw[error.start]) from error
    return loads(text)


def _whole(file: Path) -> bytes:
    """All bytes of an ordinary file; a pipe or a device might never end."""
    status = file.stat()
    if not (
        stat.S_ISREG(status.st_mode) or stat.S_ISDIR(status.st_mode)
    ):  # a folder says so itself
        raise _refusal(str(file), "must be an ordinary file, not a pipe or a device", file.name)
    with file.open("rb") as stream:
        raw = stream.read(LARGEST_BYTES + 1)
    if len(raw) > LARGEST_BYTES:
        raise _refusal(
            str(file), f"must be smaller than {LARGEST_BYTES / 1e6:g} MB", status.st_size
        )
    return raw


def loads(text: str) -> Scenario:
    """Return the plan written in a text.

    Raises
    ------
    ScenarioError
        When the text is no JSON (with line and column), holds a key twice, a number that is not
        finite or a format this version does not know, or breaks rules of the document.

    Examples
    --------
    >>> loads('{"format": "lumen-plan/1",}')
    Traceback (most recent call last):
    lumen.errors.ScenarioError: plan must be JSON; line 1, column 27: ...
    """
    if len(text) > LARGEST_BYTES:
        raise _refusal("plan", f"must be smaller than {LARGEST_BYTES / 1e6:g} MB", len(text))
    faults: list[Fault] = []

    def pairs(members: list[tuple[str, Any]]) -> dict[str, Any]:
        keys = [key for key, _ in members]
        for key in dict.fromkeys(keys):
            if keys.count(key) > 1:
                faults.append(
                    Fault(key, "must not be written twice in one object", keys.count(key))
                )
        return dict(members)

    def constant(name: str) -> float:
        faults.append(Fault("plan", "must hold finite numbers only", name))
        return 0.0

    def number(digits: str) -> float:
        value = float(digits)
        return constant(digits) if value in (float("inf"), float("-inf")) else value

    try:
        data = json.loads(
            text, object_pairs_hook=pairs, parse_constant=constant, parse_float=number
        )
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        met = text[error.pos : error.pos + 20] or "the end of the text"
        reason = error.msg[:1].lower() + error.msg[1:]
        raise _refusal("plan", f"must be JSON; {where}: {reason}", met) from error
    except (RecursionError, ValueError) as error:
        raise _refusal(
            "plan", "must be JSON that is not nested or long past reason", len(text)
        ) from (error)
    if faults:
        raise ScenarioError(faults)
    return parse(upgrade(data))


def upgrade(data: Any) -> Any:
    """Return the data of an earlier format as that of the present one, step by step.

    Raises
    ------
    ScenarioError
        When the format is not one this version knows: a newer one is not guessed at.
    """
    if not isinstance(data, dict) or "format" not in data:
        return data  # the document's own check says what is missing
    while (version := data["format"]) != FORMAT:
        step = _UPGRADES.get(version) if isinstance(version, str) else None
        if step is None:
            rule = f"must be {FORMAT}; a plan of a newer format needs a newer lumen"
            raise _refusal("format", rule, version)
        data = step(data)
    return data


def save(scenario: Scenario, path: str | os.PathLike[str], *, history: bool = True) -> Path:
    """Write the plan so that the file is at every moment either the old one or the new one.

    The text goes to a temporary file in the same folder, is forced to disk and takes the file's
    place in one step. The version it replaces goes to the history folder, unless ``history`` is
    False.

    Raises
    ------
    ScenarioError
        When the folder or file cannot be written; the old file is then untouched.
    """
    try:
        file = Path(path).resolve()
        if history:
            _keep(file)
        write_whole(file, dump(scenario).encode("utf-8"))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refusal(str(path), f"cannot be written ({reason})", Path(path).name) from error
    return file


def write_whole(file: Path, content: bytes) -> None:
    """Write a file so that it is at every moment either the old one or the new one, whole.

    What an earlier write that was killed left beside it is cleared away.

    Raises
    ------
    OSError
        When it cannot be written; the old file is then untouched.
    """
    _clear_orphans(file)
    handle, name = tempfile.mkstemp(prefix=_beside(file), suffix=_FRESH, dir=file.parent)
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        _take_mode_of(file, fresh)
        fresh.replace(file)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    _settle(file.parent)


def _beside(file: Path) -> str:
    """How the temporary files of a file begin; a name may be as long as the system allows."""
    return f".{file.name[:40]}."


def _clear_orphans(file: Path) -> None:
    with contextlib.suppress(OSError):
        for left in file.parent.glob(f"{glob.escape(_beside(file))}*{_FRESH}"):
            if time.time() - left.stat().st_mtime > _ORPHAN_S:
                left.unlink(missing_ok=True)


def version_of(path: str | os.PathLike[str]) -> str | None:
    """Return a mark of what a file holds now, or None without a file that can be read.

    Two windows that write one plan tell by it whether the other one was there first.
    """
    try:
        return _mark(_whole(Path(path)))
    except (OSError, ScenarioError):
        return None


def version_of_text(text: str) -> str:
    """Return the mark that :func:`version_of` gives a file with this text.

    Examples
    --------
    >>> version_of_text("a")
    'ca978112ca1bbdca'
    """
    return _mark(text.encode("utf-8"))


def _mark(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()[:16]


def _take_mode_of(old: Path, fresh: Path) -> None:
    """Give the new file the old one's permissions, or those of any new file."""
    if old.exists():
        mode = old.stat().st_mode & 0o777
    else:
        mask = os.umask(0)
        os.umask(mask)
        mode = 0o666 & ~mask
    fresh.chmod(mode)


def _settle(folder: Path) -> None:
    """Force the folder's entry to disk where the system allows it."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def history_folder(path: str | os.PathLike[str]) -> Path:
    """Return where earlier versions of a file are kept, in the person's own data folder."""
    file = Path(path).resolve()
    mark = hashlib.sha256(str(file).encode()).hexdigest()[:12]
    return Path(platformdirs.user_data_dir("lumen")) / "history" / f"{file.stem}-{mark}"


def history(path: str | os.PathLike[str]) -> tuple[Path, ...]:
    """Return the kept earlier versions of a file that are whole, newest first."""
    versions = sorted(history_folder(path).glob("*.json"), reverse=True)
    return tuple(version for version in versions if _is_whole(version))


def _is_whole(version: Path) -> bool:
    """Whether a version was written to its end: a full disk once left empty ones behind."""
    try:
        with version.open("rb") as stream:
            size = stream.seek(0, os.SEEK_END)
            stream.seek(max(0, size - 16))
            return stream.read().rstrip().endswith(b"}")
    except OSError:
        return False


def _keep(file: Path) -> None:
    """Copy the present version to the history; a history that cannot be kept stops nothing.

    Older ones give way only after the new one is whole on disk.
    """
    with contextlib.suppress(OSError, ScenarioError):
        text = _whole(file)
        versions = history(file)
        if versions and versions[0].read_bytes() == text:
            return
        folder = history_folder(file)
        folder.mkdir(parents=True, exist_ok=True)
        stamp = datetime.now(UTC).strftime("%Y-%m-%d-%H%M%S-%f")
        write_whole(folder / f"{stamp}.json", text)
        for old in history(file)[KEPT:]:
            old.unlink(missing_ok=True)


def examples() -> tuple[Path, ...]:
    """Return the plans that come with the project, plain pair first.

    They lie in ``scenarios/`` of a checkout and in ``lumen/scenario/examples`` once installed.
    """
    package = Path(str(resources.files("lumen.scenario")))
    for folder in (package / "examples", package.parents[1] / "scenarios"):
        plans = sorted(
            folder.glob("*.json"), key=lambda file: (file.stem != "plain-pair", file.stem)
        )
        if plans:
            return tuple(plans)
    return ()


def _refusal(field: str, rule: str, value: object) -> ScenarioError:
    return ScenarioError([Fault(field, rule, value)])
