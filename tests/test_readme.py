"""The README tells the truth: its worked room is recomputed, its commands exist."""

import re
from pathlib import Path

import pytest

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
        with pytest.raises(SystemExit) as end:
            main([name, "--help"])
        assert end.value.code == 0
    assert "usage" in capsys.readouterr().out


def test_both_commands_are_single_lines():
    """One line runs the main job, one line runs all tests; the checks call the same script."""
    assert "pip install -q . && .venv/bin/lumen" in README
    assert "bash tests/run" in README
    assert "bash tests/run" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_spot_of_the_readme():
    """A 100 lm spot of 30 degrees at the page gives about 300 lx; the other eyes a quarter."""
    from lumen.scenario.edits import apply
    from lumen.study.lighting import lighting

    plan = lumen.load(ROOT / "scenarios/plain-pair.json")
    before = lighting(plan).answer("eye:right:lying left", "read left").average_lx
    for field, value in (
        ("distribution", {"form": "cosine", "beam_deg": 30}),
        ("aim", {"at": "page:left"}),
        ("lamp.flux_lm", 100),
    ):
        args = {"field": field, "value": value}
        plan = apply(plan, {"name": "set", "id": "left light", "args": args})
    lit = lighting(plan)
    assert 270 < lit.answer("page:left", "read left").average_lx < 330
    eyes = lit.answer("eye:right:lying left", "read left").average_lx
    assert 0.2 < eyes / before < 0.3
