"""Plans kept by themselves, with their last versions."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lumen.errors import LumenError
from lumen.scenario import kept as module
from lumen.scenario.document import Scenario
from lumen.scenario.files import KEPT, examples, load
from lumen.scenario.kept import keep, kept, kept_folder, latest_kept, load_kept


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A person's data folder of the test's own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path


def _plan(height_m: float, title: str = "Our room", identity: str | None = None) -> Scenario:
    plan = load(examples()[0])
    room = plan.room.model_copy(update={"height_m": height_m})
    return plan.model_copy(update={"title": title, "room": room, "identity": identity})


def _file(mark: str) -> Path:
    return kept_folder() / f"{mark}.json"


def test_what_is_kept_comes_back() -> None:
    """A kept plan is listed by its title and read back as it was."""
    plan = _plan(2.41)
    keep(plan)
    (one,) = kept()
    assert (one.title, one.latest) == ("Our room", True)
    assert load_kept(one.mark) == plan


def test_versions_lie_a_minute_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """Changes within a minute replace one another; later ones leave an earlier version behind."""
    first = keep(_plan(2.40))
    second = keep(_plan(2.41), based_on=first.version)
    third = keep(_plan(2.42), based_on=second.version)
    assert [one.latest for one in kept()].count(False) == 1
    for old in module.history(_file(first.mark)):
        os.utime(old, (1.0, 1.0))
    keep(_plan(2.43), based_on=third.version)
    heights = {load_kept(one.mark).room.height_m for one in kept()}
    assert heights == {2.40, 2.42, 2.43}


def test_no_more_than_twenty_versions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Thirty changes far apart leave the newest and twenty before it."""
    monkeypatch.setattr(module, "APART_S", 0.0)
    for step in range(30):
        keep(_plan(2.4 + step / 1000))
    found = kept()
    assert len(found) == KEPT + 1
    assert load_kept(next(one for one in found if one.latest).mark).room.height_m == 2.429


def test_the_same_plan_again_makes_no_version() -> None:
    """Kept twice without a change there is one version."""
    keep(_plan(2.4))
    keep(_plan(2.4))
    assert len(kept()) == 1


@pytest.mark.parametrize("title", ["../../etc/passwd", "..", "/", "", "CON:", "a" * 500, "客室"])
def test_titles_stay_in_the_folder(title: str) -> None:
    """Whatever the title, the file lies in the folder of kept plans."""
    found = keep(_plan(2.4, title or "x"))
    (file,) = kept_folder().iterdir()
    assert file == _file(found.mark)


@pytest.mark.parametrize("mark", ["../plain-pair", "nothing", "", "our-room/../../x"])
def test_a_mark_that_is_not_kept_is_refused(mark: str) -> None:
    """Only what is listed can be read."""
    keep(_plan(2.4))
    with pytest.raises(LumenError, match="must be one of the kept plans"):
        load_kept(mark)


def test_what_cannot_be_opened_is_listed_as_such() -> None:
    """Torn, newer and wrongly written files hide neither the others nor themselves."""
    keep(_plan(2.4))
    folder = kept_folder()
    (folder / "torn.json").write_text('{"format": "lumen-plan/1", "ti')
    (folder / "newer.json").write_text('{"format": "lumen-plan/9", "title": "From next year"}')
    (folder / "latin.json").write_bytes(
        '{"format": "lumen-plan/1", "title": "Zürich"}'.encode("latin-1")
    )
    found = {one.mark: one for one in kept()}
    assert [one.title for one in found.values() if one.trouble is None] == ["Our room"]
    assert "must be JSON" in (found["torn"].trouble or "")
    assert found["newer"].title == "From next year"
    assert "needs a newer lumen" in (found["newer"].trouble or "")
    assert "must be UTF-8" in (found["latin"].trouble or "")
    latest = latest_kept()
    assert latest is not None
    assert latest.title == "Our room"


@pytest.mark.parametrize(
    "pair",
    [("客室", "寝室"), ("Our room!", "our room"), ("a" * 60 + " left", "a" * 60 + " right")],
    ids=["no letters", "same letters", "long"],
)
@pytest.mark.parametrize("named", [True, False], ids=["identity", "title only"])
def test_two_plans_are_two_whatever_they_are_called(pair: tuple[str, str], named: bool) -> None:
    """Titles that look alike once shared a file, and the second plan replaced the first."""
    for number, title in enumerate(pair):
        keep(_plan(2.4, title, f"{number:016x}" if named else None))
    assert {one.title for one in kept() if one.latest} == set(pair)


def test_a_new_title_is_the_same_plan() -> None:
    """An identity is not changed by a title: one plan, kept once, with its history."""
    first = keep(_plan(2.4, "Before", "0" * 16))
    keep(_plan(2.4, "After", "0" * 16), based_on=first.version)
    assert [one.title for one in kept() if one.latest] == ["After"]
    assert [one.title for one in kept() if not one.latest] == ["Before"]


def test_two_windows_keep_both() -> None:
    """Who writes over a version that they have not seen gets a place beside it, and is told."""
    start = keep(_plan(2.40, identity="0" * 16))
    theirs = keep(_plan(2.41, identity="0" * 16), based_on=start.version)
    mine = keep(_plan(2.42, identity="0" * 16), based_on=start.version)
    assert theirs.other is None
    assert mine.other is not None
    assert mine.other.mark == theirs.mark
    more = keep(_plan(2.43, identity="0" * 16), based_on=mine.version)
    assert more.mark == mine.mark
    heights = {load_kept(one.mark).room.height_m for one in kept() if one.latest}
    assert heights == {2.41, 2.43}


def test_a_plan_of_unknown_origin_loses_nothing() -> None:
    """A window that knows not what it grew out of writes; what was there is in the history."""
    keep(_plan(2.40, identity="0" * 16))
    keep(_plan(2.41, identity="0" * 16))
    keep(_plan(2.42, identity="0" * 16))
    assert {load_kept(one.mark).room.height_m for one in kept()} == {2.40, 2.41, 2.42}
