"""``lumen find`` prints its plans as text or as JSON and exits as ``check`` does."""

from __future__ import annotations

import json

import pytest

import lumen
from lumen.command import main

PAIR = str(lumen.examples()[0])
KEPT = ["--keep", "left light", "right light"]


def test_text(capsys: pytest.CaptureFixture[str]) -> None:
    """Plans, levels, patch and what was tried, in words."""
    assert main(["find", PAIR, *KEPT]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Plain pair: 0 of 8 wishes met today")
    assert "== Levels, with the lights as they are" in said
    assert "- Read left: no level meets right sleeps" in said or "no level meets left page" in said
    assert "candidates in" in said


def test_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The same as data, and nothing else on standard output."""
    allow = ["--allow", "left light=", "right light=", "glow strip=lamp"]
    assert main(["find", PAIR, "--json", *allow]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == "lumen-find/1"
    assert data["may"]["parts"] == {"left light": [], "right light": [], "glow strip": ["lamp"]}
    for key in ("today", "plans", "relax", "levels", "patch", "tried"):
        assert key in data


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--keep", "nobody"], "must be a light or strip of the plan"),
        (["--allow", "left light"], "must be ID=place,lamp,kind"),
        (["--allow", "left light=paint"], "must be of place, lamp, kind"),
        (["--no-drill", "12"], "must be a wall's number, 0 to 3"),
    ],
)
def test_what_cannot_be_read(
    words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Status 2, a sentence on standard error, nothing on standard output."""
    assert main(["find", PAIR, *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert told in err


def test_a_danger_shows_in_the_status() -> None:
    """As ``check``: 1 while today's plan raises a caution at danger level."""
    file = next(str(path) for path in lumen.examples() if path.stem == "two-pin-no-earth")
    assert main(["find", file, "--keep", "left light", "right light", "--json"]) == 1
