"""The command line: what it prints, where it prints it, and its exit status."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import lumen
from lumen.command import main
from lumen.scenario.files import examples, load, save
from lumen.tables import table

PLAIN = str(lumen.examples()[0])
HEATER = str(next(p for p in lumen.examples() if p.stem == "heater-one-outlet"))


def test_check_prints_text(capsys):
    """``check`` prints planes, load tree and cautions on standard output only."""
    assert main(["check", PLAIN]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    for words in ("Left page", "== Load tree", "== Cautions", "licensed electrician", "about"):
        assert words in out


def test_check_json_is_the_study(capsys):
    """``check --json`` prints exactly what the study holds."""
    assert main(["check", PLAIN, "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    expected = lumen.study(lumen.load(PLAIN)).to_json()
    assert printed == json.loads(json.dumps(expected))
    assert printed["format"] == "lumen-study/1"


def test_danger_gives_status_one(capsys):
    """A heater on the strip is a danger: exit status 1, and the caution names it."""
    assert main(["check", HEATER]) == 1
    assert "[stop]" in capsys.readouterr().out


def test_unreadable_input_gives_status_two(tmp_path, capsys):
    """Bad input: nothing on standard output, one sentence a fault on standard error, status 2."""
    bad = json.loads(Path(PLAIN).read_text(encoding="utf-8"))
    bad["lights"][0]["lamp"]["flux_lm"] = -5
    bad["room"]["hieght_m"] = 2.4
    file = tmp_path / "bad.json"
    file.write_text(json.dumps(bad), encoding="utf-8")
    assert main(["check", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "lights[0].lamp.flux_lm must be a number of 0 or more" in err
    assert "did you mean height_m?" in err
    assert len(err.strip().splitlines()) == 2


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '{"format": "lumen-plan/9"}'])
def test_broken_files_are_told(tmp_path, capsys, text):
    """Empty, cut off, wrong or too new files are refused with a sentence, status 2."""
    file = tmp_path / "broken.json"
    file.write_text(text, encoding="utf-8")
    assert main(["check", str(file)]) == 2
    assert capsys.readouterr().err.strip()


def test_missing_file_is_told(tmp_path, capsys):
    """A file that is not there is told on standard error, status 2."""
    assert main(["check", str(tmp_path / "none.json")]) == 2
    assert "none.json" in capsys.readouterr().err


def test_schema_is_a_schema(capsys):
    """``schema`` prints a JSON Schema that names the required fields."""
    assert main(["schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert set(schema["required"]) >= {"format", "title", "room"}


def test_rules_are_printed_with_sources(capsys):
    """``rules`` prints every rule of the table, each with a source for every region."""
    assert main(["rules"]) == 0
    out = capsys.readouterr().out
    assert out.count("   regions: ") == len(table("rules")) <= out.count("   source (")


def test_new_writes_a_plan_once(tmp_path, monkeypatch, capsys):
    """``new`` writes a plan that loads, and does not overwrite one."""
    monkeypatch.chdir(tmp_path)
    assert main(["new", "our room"]) == 0
    assert lumen.load(tmp_path / "our room.json").title == "our room"
    assert main(["new", "our room"]) == 2
    assert "must not be a file that exists already" in capsys.readouterr().err


def test_no_verdict_words(capsys):
    """No output ever says that something is safe or compliant."""
    for path in lumen.examples():
        main(["check", str(path)])
    words = set(capsys.readouterr().out.lower().replace(",", " ").replace(".", " ").split())
    assert not words & {"safe", "unsafe", "compliant", "non-compliant"}


@pytest.mark.parametrize("port", ["70000", "-1"])
def test_a_port_that_is_none_is_told(port, capsys):
    """A sentence and status 2; nothing is served."""
    assert main(["open", f"--port={port}", "--no-browser"]) == 2
    assert "--port must be 0 to 65535" in capsys.readouterr().err


def test_a_new_plan_with_a_long_name_is_refused_or_opens(tmp_path, capsys, monkeypatch):
    """A title over 120 letters is told; one that fits gives a plan that loads."""
    monkeypatch.chdir(tmp_path)
    assert main(["new", "x" * 130]) == 2
    assert "title" in capsys.readouterr().err
    assert main(["new", "y" * 120]) == 0
    assert load(tmp_path / f"{'y' * 120}.json").identity


def test_json_on_a_plain_terminal(tmp_path):
    """Results are UTF-8 whatever the terminal's own alphabet is."""
    file = tmp_path / "plan.json"
    plan = load(examples()[0])
    save(plan.model_copy(update={"title": "寝室 Zürich"}), file)
    environment = {**os.environ, "LC_ALL": "C", "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    found = subprocess.run(
        [sys.executable, "-m", "lumen", "check", str(file), "--json"],
        capture_output=True,
        env=environment,
        check=False,
    )
    assert found.returncode in (0, 1), found.stderr
    assert json.loads(found.stdout.decode("utf-8"))["plan"]["title"] == "寝室 Zürich"


def test_an_error_of_its_own_is_no_danger(monkeypatch, capsys):
    """A broken program exits 3 with a sentence, never 1; only a debugging person sees where."""
    monkeypatch.setattr("lumen.study.report.report", lambda found: 1 / 0)
    monkeypatch.delenv("LUMEN_DEBUG", raising=False)
    assert main(["check", PLAIN]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert "something went wrong in lumen itself" in err
    assert "ZeroDivisionError" in err
    assert "Traceback" not in err
    monkeypatch.setenv("LUMEN_DEBUG", "1")
    assert main(["check", PLAIN]) == 3
    assert "Traceback" in capsys.readouterr().err


def test_a_plan_whose_lights_give_nothing_is_checked(tmp_path, capsys):
    """0 lm is a dark light: the command prints its answers and ends as for any other plan."""
    plan = json.loads(Path(PLAIN).read_text("utf-8"))
    for light in plan["lights"]:
        light["lamp"]["flux_lm"] = 0
    file = tmp_path / "dark.json"
    file.write_text(json.dumps(plan), "utf-8")
    assert main(["check", str(file)]) == 0
    assert "under 0.1 lx" in capsys.readouterr().out
