"""Plans kept by themselves, with their last versions."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lumen.errors import LumenError
from lumen.scenario import kept as module
from lumen.scenario.document import Scenario
from lumen.scenario.files import KEPT, examples, load
from lumen.scenario.kept import keep, kept, kept_folder, load_kept


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A person's data folder of the test's own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path


def _plan(height_m: float, title: str = "Our room") -> Scenario:
    plan = load(examples()[0])
    room = plan.room.model_copy(update={"height_m": height_m})
    return plan.model_copy(update={"title": title, "room": room})


def test_what_is_kept_comes_back() -> None:
    """A kept plan is listed by its title and read back as it was."""
    plan = _plan(2.41)
    keep(plan)
    (one,) = kept()
    assert (one.title, one.latest) == ("Our room", True)
    assert load_kept(one.mark) == plan


def test_versions_lie_a_minute_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """Changes within a minute replace one another; later ones leave an earlier version behind."""
    file = keep(_plan(2.40))
    keep(_plan(2.41))
    keep(_plan(2.42))
    assert [one.latest for one in kept()].count(False) == 1
    for old in module.history(file):
        os.utime(old, (1.0, 1.0))
    keep(_plan(2.43))
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
    file = keep(_plan(2.4, title or "x"))
    assert file.parent == kept_folder().resolve()


@pytest.mark.parametrize("mark", ["../plain-pair", "nothing", "", "our-room/../../x"])
def test_a_mark_that_is_not_kept_is_refused(mark: str) -> None:
    """Only what is listed can be read."""
    keep(_plan(2.4))
    with pytest.raises(LumenError, match="must be one of the kept plans"):
        load_kept(mark)


def test_a_broken_file_is_left_out() -> None:
    """A torn file in the folder does not hide the others."""
    keep(_plan(2.4))
    (kept_folder() / "torn.json").write_text('{"format": "lumen-plan/1", "ti')
    assert [one.title for one in kept()] == ["Our room"]
