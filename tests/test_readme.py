"""The README tells the truth: its worked room is recomputed, its commands exist."""

import doctest
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


def test_python_of_the_readme_prints_what_it_says(monkeypatch):
    """Each line after ``>>>`` runs in the project's folder and prints what stands below it."""
    monkeypatch.chdir(ROOT)
    found = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert found.attempted >= 10
    assert found.failed == 0


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


def test_spots_of_the_readme():
    """Spots of 19 degrees, 50 lm, 1800 K, 1.40 m up and a brighter strip meet all eight wishes.

    For 200 lx on a page: with 70 lm and 300 lx the lit page alone comes near a sleeper's limit. A
    wider spot lower down is short though its average is as good: the reader's own shadow.
    """
    from lumen.scenario.edits import apply
    from lumen.study.lighting.maps import lighting
    from lumen.study.wishes.verdicts import aim_results

    def with_spots(beam_deg, flux_lm, height_m, wished_lx):
        plan = lumen.load(ROOT / "scenarios/plain-pair.json")
        for light in plan.lights:
            side = light.id.split()[0]
            x, y, _ = light.mount_m
            for field, value in (
                ("distribution", {"form": "cosine", "beam_deg": beam_deg}),
                ("aim", {"at": f"page:{side}"}),
                ("lamp.flux_lm", flux_lm),
                ("lamp.cct_k", 1800),
                ("mount_m", [x, y, height_m]),
            ):
                args = {"field": field, "value": value}
                plan = apply(plan, {"name": "set", "id": light.id, "args": args})
            args = {"field": "at_least", "value": wished_lx}
            plan = apply(plan, {"name": "set", "id": f"{side} page", "args": args})
        for setup, value in (("evening glow", 1.0), ("night", 0.1)):
            args = {"setup": setup, "of": "glow strip", "value": value}
            plan = apply(plan, {"name": "level", "args": args})
        return aim_results(lighting(plan))

    met = with_spots(19, 50, 1.40, 200)
    assert len(met) == 8
    assert {r.state for r in met} == {"met"}
    brighter = with_spots(19, 70, 1.40, 300)
    pages = [r for r in brighter if r.evenness is not None]
    assert {r.state for r in pages} == {"met"}
    assert 300 <= min(r.after_years for r in pages) < 315
    (sleeper,) = (r for r in brighter if r.id == "right sleeps")
    assert sleeper.state == "too much"
    assert 1.05 < sleeper.new < 1.2
    (dark,) = (
        r for r in with_spots(30, 100, 1.22, 300) if (r.id, r.setup) == ("left page", "read left")
    )
    assert dark.value > 250
    assert dark.evenness.state == "short"
    assert dark.evenness.shadow.parts == ("shoulders",)
