"""The command, and the lists as CSV: the same numbers as on the page."""

from __future__ import annotations

import csv
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from lumen.command import main
from lumen.errors import LumenError
from lumen.sheet import lists, sheet, write_lists
from lumen.sheet.shopping import shopping
from lumen.study.study import Study
from tests.sheet.printing import EXAMPLES, plain_contents, study_of


def small_plan(folder: Path) -> Path:
    """Write a small plan: the one with the fewest things that comes with the project."""
    source = next(path for path in EXAMPLES if path.stem == "two-pin-no-earth")
    return Path(shutil.copy(source, folder / "p.json"))


def test_command_writes_one_file_and_its_lists(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``lumen sheet PLAN -o OUT --csv DIR`` writes the page and a CSV of each list, and says so."""
    plan, out, folder = small_plan(tmp_path), tmp_path / "out.html", tmp_path / "csv"
    status = main(["sheet", str(plan), "-o", str(out), "--csv", str(folder), "--paper", "a4"])
    assert status in (0, 1)
    assert "size: 210mm 297mm" in out.read_text(encoding="utf-8")
    printed = capsys.readouterr().out.split()
    assert printed[0] == str(out)
    assert {Path(name) for name in printed[1:]} == set(folder.iterdir())
    for name in printed[1:]:
        rows = list(csv.reader(Path(name).read_text(encoding="utf-8").splitlines()))
        assert len(rows) > 1
        assert {len(row) for row in rows} == {len(rows[0])}


def test_command_refuses_what_it_cannot_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file that is no plan, and a folder that is not there, give a sentence and status 2."""
    bad = tmp_path / "bad.json"
    bad.write_text("{}", encoding="utf-8")
    assert main(["sheet", str(bad), "-o", str(tmp_path / "x.html")]) == 2
    assert "room" in capsys.readouterr().err
    plan = small_plan(tmp_path)
    assert main(["sheet", str(plan), "-o", str(tmp_path / "none" / "x.html")]) == 2
    assert "none" in capsys.readouterr().err


def test_unknown_paper_is_refused(plain: Study) -> None:
    """Only a4 and letter are papers; the error names the field and the value."""
    with pytest.raises(LumenError, match="paper must be one of a4, letter: got 'a3'"):
        sheet(plain, paper="a3")


def test_lists_hold_the_same_numbers(plain: Study, tmp_path: Path) -> None:
    """CSV read back gives the marks, cuts, cords and watts of the sheet and the study, exactly."""
    data = plain.to_json()
    held = plain_contents(plain)
    write_lists(plain, tmp_path)
    marks = pd.read_csv(tmp_path / "marks.csv")
    asked = [*held["walls"][0]["marks"], *held["walls"][0]["outlets"]]
    for key in ("height_m", "from_bed_line_m", "from_nearest_m"):
        assert marks[key].tolist() == [mark[key] for mark in asked]
    cuts = pd.read_csv(tmp_path / "cuts.csv")
    assert cuts["used_m"].tolist() == [edge["used_m"] for edge in held["cuts"][0]["edges"]]
    cords = pd.read_csv(tmp_path / "cords.csv")
    assert cords["needed_m"].tolist() == [cord["needed_m"] for cord in held["cords"]]
    plugs = pd.read_csv(tmp_path / "plugs.csv").set_index("name")
    for node in data["power"]["nodes"]:
        assert plugs.loc[node["name"], "everything_on_w"] == node["everything_on"]["watts"]
    answers = pd.read_csv(tmp_path / "answers.csv")
    expected = [row["average_lx"] for row in (*data["planes"], *data["eyes"])]
    assert answers["average_lx"].tolist() == expected


def test_prices_add_up(plain: Study) -> None:
    """Two lights 30-60, strip 25-40, power strip and driver 15-30, two receivers 8-15: 131-250."""
    held = plain_contents(plain)
    assert (held["total"]["low"], held["total"]["high"]) == (131.0, 250.0)
    assert held["total"]["unpriced"] == 0


def test_a_cap_that_is_known_is_bought(plain: Study) -> None:
    """With the cap written the list asks for it; without, for the one of the holder."""
    lights = [
        light.model_copy(update={"lamp": light.lamp.model_copy(update={"cap": cap})})
        for light, cap in zip(plain.scenario.lights, ("GU10", None), strict=True)
    ]
    plan = plain.scenario.model_copy(update={"lights": tuple(lights)})
    known = replace(plain, scenario=plan)
    items = shopping(known, (), (), only=[light.id for light in lights])
    caps = [spec.words for item in items for spec in item.specs if spec.what == "lamp cap"]
    assert caps[0] == "GU10"
    assert str(caps[1]).startswith("as in its holder")


def test_what_a_weaker_lamp_changes_is_the_study_s_share(plain: Study) -> None:
    """A fifth less light takes a fifth of that lamp's share off the page: light adds up."""
    held = plain_contents(plain)
    item = next(item for item in held["shopping"] if "left light" in item["ids"])
    less = next(change for change in item["near"] if "less" in change["change"])
    setups = {setup.name or setup.id: setup.id for setup in plain.scenario.setups}
    setup = setups[less["setup"]]
    found = next(a for a in plain.answers if a.target == "page:left" and a.setup == setup)
    assert less["target"] == "Left page"
    (share,) = (s for s in found.by_source if s.id == "left light")
    lost = less["from_value"] - less["to_value"]
    assert lost == pytest.approx(0.2 * (share.direct_lx + share.bounced_lx))


def test_lists_have_unit_or_plain_columns(plain: Study) -> None:
    """No list lacks a name for a column, and each that has rows says what they are of."""
    for name, frame in lists(plain).items():
        assert all(isinstance(column, str) and column for column in frame.columns), name


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_cells_are_plain(path: Path) -> None:
    """No cell holds Python's own writing, a place in the file, or a number's binary dust."""
    for name, frame in lists(study_of(path)).items():
        text = frame.to_csv(index=False)
        for strange in ("[", "{", "'name'", "True", "False", "None", "(0"):
            assert strange not in text.replace("cord[", ""), (name, strange)
        for cell in re.findall(r"(?<![\w.])\d+\.\d+", text):
            assert len(cell.replace(".", "").strip("0")) <= 9, (name, cell)
