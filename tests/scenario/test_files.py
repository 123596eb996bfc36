# ruff: noqa: E501 (one case a line is easier to read)
"""Files: saved in one step, earlier versions kept, bad texts refused with their place."""

from __future__ import annotations

import errno
import os
import stat
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumen.errors import ScenarioError
from lumen.scenario import files
from lumen.scenario.document import Scenario, dump
from lumen.scenario.edits import apply
from lumen.scenario.files import KEPT, examples, history, history_folder, load, loads, save

PAIR_TEXT = examples()[0].read_text(encoding="utf-8")


@pytest.fixture(autouse=True)
def own_history(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep histories of these tests away from the person's own folder."""
    monkeypatch.setattr(files.platformdirs, "user_data_dir", lambda name: tmp_path / name)


def _titled(title: str) -> Scenario:
    command = {"name": "set", "id": "plan", "args": {"field": "title", "value": title}}
    return apply(loads(PAIR_TEXT), command)


def test_save_and_load(tmp_path: Path) -> None:
    """What is saved is loaded again, byte for byte as dump writes it."""
    plan = _titled("Ours")
    path = save(plan, tmp_path / "room.json")
    assert load(path) == plan
    assert path.read_bytes() == dump(plan).encode()
    assert [file.name for file in tmp_path.glob("*.new")] == []


def test_save_leaves_no_half_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the last step fails the old file is whole and nothing is left beside it."""
    path = save(_titled("Old"), tmp_path / "room.json")
    before = path.read_bytes()

    def fail(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", fail)
    with pytest.raises(ScenarioError, match=r"cannot be written \(No space left on device\)"):
        save(_titled("New"), path)
    assert path.read_bytes() == before
    assert sorted(file.name for file in tmp_path.iterdir() if file.is_file()) == ["room.json"]


def test_an_interrupt_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A break between writing and replacing leaves the old file and no temporary one."""
    path = save(_titled("Old"), tmp_path / "room.json")
    before = path.read_bytes()

    def stop(old: Path, fresh: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(files, "_take_mode_of", stop)
    with pytest.raises(KeyboardInterrupt):
        save(_titled("New"), path)
    assert path.read_bytes() == before
    assert sorted(file.name for file in tmp_path.iterdir() if file.is_file()) == ["room.json"]


@pytest.mark.skipif(sys.platform == "win32", reason="permissions of another kind")
def test_save_keeps_permissions(tmp_path: Path) -> None:
    """A file only its owner may read stays so; a new one is as open as any new file."""
    path = save(_titled("Old"), tmp_path / "room.json")
    other = tmp_path / "other"
    other.touch()
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE(other.stat().st_mode)
    path.chmod(0o600)
    save(_titled("New"), path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_save_through_a_link(tmp_path: Path) -> None:
    """Saving to a link writes the file it points to and keeps the link."""
    path = save(_titled("Old"), tmp_path / "room.json")
    link = tmp_path / "link.json"
    link.symlink_to(path)
    save(_titled("New"), link)
    assert link.is_symlink()
    assert load(path).title == "New"


def test_history_keeps_the_last_twenty(tmp_path: Path) -> None:
    """Each save keeps what it replaces; of more than twenty the oldest go."""
    path = tmp_path / "room.json"
    for number in range(25):
        save(_titled(f"Version {number}"), path)
    kept = history(path)
    assert len(kept) == files.KEPT == 20
    assert [load(file).title for file in kept] == [f"Version {n}" for n in range(23, 3, -1)]


def test_history_skips_what_is_there_already(tmp_path: Path) -> None:
    """Saving the same plan over and over does not push older versions out."""
    path = save(_titled("One"), tmp_path / "room.json")
    for _ in range(5):
        save(_titled("Two"), path)
    assert [load(file).title for file in history(path)] == ["Two", "One"]


def test_histories_of_two_files_are_apart(tmp_path: Path) -> None:
    """Two files of one name in two folders have two histories."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    assert history_folder(tmp_path / "a/room.json") != history_folder(tmp_path / "b/room.json")


def test_history_that_cannot_be_kept_stops_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A person's folder that cannot be written to does not keep a plan from being saved."""
    (tmp_path / "wall").write_text("a file, not a folder")
    monkeypatch.setattr(files.platformdirs, "user_data_dir", lambda name: tmp_path / "wall")
    path = save(_titled("One"), tmp_path / "room.json")
    assert load(save(_titled("Two"), path)).title == "Two"
    assert history(path) == ()


def test_save_without_history(tmp_path: Path) -> None:
    """History can be left out."""
    path = save(_titled("One"), tmp_path / "room.json", history=False)
    save(_titled("Two"), path, history=False)
    assert history(path) == ()


def test_save_where_there_is_no_folder(tmp_path: Path) -> None:
    """A folder that does not exist is a refusal, not a crash."""
    with pytest.raises(ScenarioError, match="cannot be written"):
        save(_titled("x"), tmp_path / "nowhere" / "room.json")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "plan must be JSON; line 1, column 1: expecting value: got 'the end of the text'"),
        ("{", "line 1, column 2: expecting property name"),
        ('{\n  "format": "lumen-plan/1",\n  title: 3}', "line 3, column 3: expecting property name"),
        ('{"a": [1, 2}', "line 1, column 12: expecting ',' delimiter: got '}'"),
        ('{"a": 1} {"b": 2}', "line 1, column 10: extra data"),
        ('{"a": 1, "a": 2}', "a must not be written twice in one object: got 2"),
        ('{"room": {"height_m": NaN}}', "plan must hold finite numbers only: got 'NaN'"),
        ('{"room": {"height_m": -Infinity}}', "plan must hold finite numbers only: got '-Infinity'"),
        ('{"room": {"height_m": 1e999}}', "plan must hold finite numbers only: got '1e999'"),
        ("[" * 100_000, "nested or long past reason"),
        ('{"a": ' + "1" * 5000 + "}", "nested or long past reason"),
        ("3", "plan must be a JSON object: got 3"),
        ("null", "plan must be a JSON object"),
        ('{"format": "lumen-plan/2"}', "format must be lumen-plan/1; a plan of a newer format"),
        ('{"format": 7}', "format must be lumen-plan/1"),
        ('{"format": ["lumen-plan/1"]}', "format must be lumen-plan/1"),
        ('{"title": "x"}', "format must be given"),
    ],
)  # fmt: skip
def test_bad_texts(text: str, sentence: str) -> None:
    """Each kind of bad text is refused with its place and its rule."""
    with pytest.raises(ScenarioError) as caught:
        loads(text)
    assert any(sentence in str(fault) for fault in caught.value.faults), caught.value.faults


def test_every_double_key_is_told() -> None:
    """Several keys written twice are told together."""
    with pytest.raises(ScenarioError) as caught:
        loads('{"a": 1, "a": 2, "b": {"c": 1, "c": 2, "c": 3}}')
    assert sorted((fault.field, fault.value) for fault in caught.value.faults) == [
        ("a", 2),
        ("c", 3),
    ]


def test_too_large(tmp_path: Path) -> None:
    """A file beyond any plan's size is refused before it is read."""
    big = tmp_path / "big.json"
    with big.open("wb") as stream:
        stream.truncate(files.LARGEST_BYTES + 1)
    with pytest.raises(ScenarioError, match="must be smaller than 4 MB"):
        load(big)
    with pytest.raises(ScenarioError, match="must be smaller than 4 MB"):
        loads(" " * (files.LARGEST_BYTES + 1))


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """A missing file, a folder and a picture are each refused by name."""
    with pytest.raises(ScenarioError, match=r"cannot be read \(No such file or directory\)"):
        load(tmp_path / "none.json")
    with pytest.raises(ScenarioError, match="cannot be read"):
        load(tmp_path)
    picture = tmp_path / "picture.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n")
    with pytest.raises(ScenarioError, match="must be UTF-8 text; byte 0 is not"):
        load(picture)


def test_byte_order_mark_and_line_ends_are_taken(tmp_path: Path) -> None:
    """A file touched by another editor, with a mark and other line ends, still loads."""
    path = tmp_path / "room.json"
    path.write_bytes(b"\xef\xbb\xbf" + PAIR_TEXT.replace("\n", "\r\n").encode())
    assert load(path) == loads(PAIR_TEXT)


def test_upgrade_runs_step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """An older format passes through every step up to the present one."""

    def from_none(data: dict[str, object]) -> dict[str, object]:
        return {**data, "format": "lumen-plan/0"}

    def from_zero(data: dict[str, object]) -> dict[str, object]:
        title = data.pop("name")
        return {**data, "format": "lumen-plan/1", "title": title}

    monkeypatch.setitem(files._UPGRADES, "lumen-plan/draft", from_none)
    monkeypatch.setitem(files._UPGRADES, "lumen-plan/0", from_zero)
    text = PAIR_TEXT.replace('"lumen-plan/1"', '"lumen-plan/draft"').replace('"title"', '"name"')
    assert loads(text).title == "Plain pair"


def test_examples_of_an_installed_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Once installed, the examples are those inside the package."""
    inside = tmp_path / "site" / "lumen" / "scenario"
    (inside / "examples").mkdir(parents=True)
    for name in ("attic-slope", "plain-pair"):
        (inside / "examples" / f"{name}.json").write_text("{}")
    monkeypatch.setattr(files.resources, "files", lambda package: inside)
    assert [file.stem for file in examples()] == ["plain-pair", "attic-slope"]


@settings(deadline=None, max_examples=100)
@given(st.text(max_size=60))
def test_any_text_is_a_refusal(text: str) -> None:
    """No short text is a plan, and none breaks the reader."""
    with pytest.raises(ScenarioError):
        loads(text)


@settings(deadline=None, max_examples=100)
@given(st.integers(0, len(PAIR_TEXT) - 1), st.sampled_from(list('{}[]",:0x-\\')))
def test_one_wrong_character(at: int, sign: str) -> None:
    """One character changed anywhere gives a plan or a refusal, never anything else."""
    text = PAIR_TEXT[:at] + sign + PAIR_TEXT[at + 1 :]
    try:
        plan = loads(text)
    except ScenarioError:
        return
    assert loads(dump(plan)) == plan


def test_empty_versions_do_not_push_good_ones_out(tmp_path: Path) -> None:
    """A disk that was full left versions of no bytes; they neither count nor come back."""
    file = tmp_path / "plan.json"
    plan = load(examples()[0])
    for step in range(3):
        save(plan.model_copy(update={"title": f"step {step}"}), file)
    folder = history_folder(file)
    for number in range(KEPT + 5):
        (folder / f"2999-01-01-000000-{number:06d}.json").write_bytes(b"")
    (folder / "2999-02-01-000000-000000.json").write_text('{"format": "lumen-plan/1", "ti')
    save(plan.model_copy(update={"title": "step 3"}), file)
    assert [load(version).title for version in history(file)] == ["step 2", "step 1", "step 0"]


def test_a_version_is_kept_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that is full while a version is kept costs no earlier one and leaves nothing torn."""
    file = tmp_path / "plan.json"
    plan = load(examples()[0])
    save(plan.model_copy(update={"title": "first"}), file)
    save(plan.model_copy(update={"title": "second"}), file)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(ScenarioError, match="cannot be written \\(No space left"):
            save(plan.model_copy(update={"title": "third"}), file)
    assert load(file).title == "second"
    assert [load(version).title for version in history(file)] == ["first"]
    assert not [
        left
        for left in (*tmp_path.iterdir(), *history_folder(file).iterdir())
        if left.suffix == ".new"
    ]


def test_what_a_killed_write_left_is_cleared(tmp_path: Path) -> None:
    """An old temporary file of this plan goes at the next save; a fresh one and others' stay."""
    file = tmp_path / "plan.json"
    old, fresh, other = (
        tmp_path / name for name in (".plan.json.a.new", ".plan.json.b.new", ".x.json.a.new")
    )
    for left in (old, fresh, other):
        left.write_text("{")
    for left in (old, other):
        os.utime(left, (1.0, 1.0))
    save(load(examples()[0]), file)
    assert [left.exists() for left in (old, fresh, other)] == [False, True, True]


def test_pipes_and_endless_files_are_refused(tmp_path: Path) -> None:
    """What is no ordinary file is told at once instead of being waited for."""
    pipe = tmp_path / "pipe.json"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(ScenarioError, match="must be an ordinary file"):
            load(path)
    with pytest.raises(ScenarioError, match="cannot be read"):
        load(tmp_path)
    with pytest.raises(ScenarioError, match="cannot be read"):
        load("a\0b")


@pytest.mark.parametrize("name", ["x" * 300 + ".json", "a\0b.json"])
def test_names_the_system_does_not_take_are_told(tmp_path: Path, name: str) -> None:
    """Too long a name and one with a zero byte are refused in a sentence."""
    with pytest.raises(ScenarioError, match="cannot be written"):
        save(load(examples()[0]), tmp_path / name)
    save(load(examples()[0]), tmp_path / ("y" * 245 + ".json"))
