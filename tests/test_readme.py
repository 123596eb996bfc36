"""The README tells the truth: its worked room is recomputed, its commands exist."""

import re
from pathlib import Path

import lumen
from lumen.command import main
from lumen.study.report import report

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_worked_room_is_what_the_study_says():
    """Every line of the worked room stands in the report of that plan, word for word."""
    block = README.split("## A room worked through")[1].split("## ")[0]
    lines = [line.strip() for line in block.splitlines() if line.startswith("    ")]
    said = {
        line.strip()
        for line in report(lumen.study(lumen.load(ROOT / "scenarios/plain-pair.json"))).splitlines()
    }
    assert len(lines) >= 8
    assert [line for line in lines if line not in said] == []


def test_commands_named_in_the_readme_exist(capsys):
    """Every ``lumen <command>`` line of the README names a command that answers for itself."""
    named = set(re.findall(r"^    lumen (\w+)", README, re.MULTILINE))
    assert {"open", "check", "sheet", "new", "rules", "schema"} <= named
    for name in named:
        try:
            main([name, "--help"])
        except SystemExit as end:
            assert end.code == 0
    assert "usage" in capsys.readouterr().out


def test_both_commands_are_single_lines():
    """One line runs the main job, one line runs all tests; the checks call the same script."""
    assert "pip install -q . && .venv/bin/lumen" in README
    assert "bash tests/run" in README
    assert "bash tests/run" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
