"""A file of every released format opens for good; newer ones are refused and left untouched."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from lumen.command import main
from lumen.errors import ScenarioError
from lumen.scenario.document import FORMAT, dump, plain
from lumen.scenario.files import load, loads

FOLDER = Path(__file__).parent / "formats"


@pytest.mark.parametrize("file", sorted(FOLDER.glob("*.json")), ids=lambda file: file.stem)
def test_every_format_ever_released_opens(file: Path) -> None:
    """The kept file loads, and keeps all that its author wrote."""
    plan = load(file)
    assert plan.format == FORMAT
    written = json.loads(file.read_text(encoding="utf-8"))
    now = plain(plan)
    assert {item["id"] for item in now["supply"]} == {item["id"] for item in written["supply"]}
    assert now["room"]["outline_m"] == written["room"]["outline_m"]
    assert loads(dump(plan)) == plan


def test_the_present_format_is_among_them() -> None:
    """A format that is released leaves a file here before it is changed."""
    assert (FOLDER / f"{FORMAT.replace('/', '-')}.json").exists()


def test_a_newer_format_is_refused_untouched(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is not guessed at, and not a byte of it changes."""
    file = tmp_path / "newer.json"
    text = json.dumps({"format": "lumen-plan/99", "title": "x", "unheard": 1})
    file.write_text(text)
    with pytest.raises(ScenarioError, match="needs a newer lumen"):
        load(file)
    assert main(["check", str(file)]) == 2
    assert "newer lumen" in capsys.readouterr().err
    assert file.read_text() == text
