"""Two setups held against each other."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from lumen.scenario.files import examples, load
from lumen.study.scene.targets import Kind, Target
from lumen.study.study import Study, study
from lumen.whatif.compare import Amount, Comparison, LightDifference, compare
from lumen.words.compare import DifferenceLine, compare_lines

BED = Target("mattress", "Bed", Kind.BED, np.zeros((1, 3)), np.zeros((1, 3)))


@pytest.fixture(scope="module")
def found() -> Study:
    """The plain pair's study."""
    return study(load(examples()[0]))


@pytest.fixture(scope="module")
def data(found: Study) -> dict[str, Any]:
    """The same as data."""
    return found.to_json()


def between(found: Study, first: str, second: str) -> Comparison:
    """Two setups of a study."""
    return compare(found.comfort, found.electrics, found.aims, first, second)


def told(found: Study, first: str, second: str) -> dict[str, DifferenceLine]:
    """The lines of the table by their names."""
    return {line.name: line for line in compare_lines(between(found, first, second))}


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        (100, 109.5, "about the same"),
        (100, 110.5, "1.1 times as much"),
        (300, 150, "half of it"),
        (300, 75, "a quarter of it"),
        (300, 33, "11 % of it"),
        (0.02, 0.095, "the same"),
        (0.02, 0.105, "dark before"),
        (50, 0.105, "next to nothing of it"),
    ],
)
def test_times_in_words(first: float, second: float, words: str) -> None:
    """Ratios are said as people say them; under a tenth they are none."""
    a, b = Amount(first, first, first), Amount(second, second, second)
    light = LightDifference("plane", BED, None, a, b, None)
    (line, *_) = compare_lines(Comparison((light,), (0, 0), (0.0, 0.0), ((0, 0), (0, 0))))
    assert line.words == words


def test_numbers_are_those_of_the_study(found: Study, data: dict[str, Any]) -> None:
    """Each line holds both setups' values as the study has them, and the watts' difference."""
    lines = told(found, "read left", "read both")
    planes = {(p["target"], p["setup"]): p for p in data["planes"]}
    page = planes["page:right", "read both"]
    assert f"{page['average_lx']:.0f} lx" in lines["Right page"].second
    totals = {s["id"]: s["total_w"] for s in data["setups"]}
    assert totals["read both"] - totals["read left"] == pytest.approx(6.5, abs=1.5)
    assert lines["Power"].words.endswith("W more")
    assert lines["Wishes"].first == "0 of 2 met"


def test_order_matters(found: Study) -> None:
    """Held the other way round, more becomes less, and the sizes of the changes stay."""
    there, back = between(found, "read left", "night"), between(found, "night", "read left")
    assert [one.size for one in there.light] == pytest.approx([one.size for one in back.light])
    assert told(found, "read left", "night")["Power"].words.endswith("less")
    assert told(found, "night", "read left")["Power"].words.endswith("more")


def test_unknown_setup_is_an_error(found: Study) -> None:
    """A setup that the study lacks is not silently left out."""
    with pytest.raises(KeyError):
        between(found, "read left", "party")


def test_the_difference_has_its_own_narrower_band(found: Study, data: dict[str, Any]) -> None:
    """Doubts that both setups have fall away: the ratio's band is narrower than the answers'."""
    lines = told(found, "read left", "read both")
    line = lines["Bed"]
    low, high = (float(part) for part in line.sure.removesuffix(" times").split("-"))
    planes = {(p["target"], p["setup"]): p for p in data["planes"]}
    before, after = planes["mattress", "read left"], planes["mattress", "read both"]
    assert low <= after["average_lx"] / before["average_lx"] <= high
    apart = (after["high_lx"] / before["low_lx"]) / (after["low_lx"] / before["high_lx"])
    assert high / low < apart / 1.5


def test_exact_ratios_carry_no_band(found: Study) -> None:
    """The strip dimmed from a half to a fiftieth gives a twenty-fifth, whatever its lumens are."""
    lines = told(found, "evening glow", "night")
    assert lines["Bed"].words == "4.0 % of it"
    assert lines["Bed"].sure == ""


def test_a_person_keeps_the_whole_name(found: Study) -> None:
    """Somebody called "Anna's dad" is not cut to Anna."""
    people = [
        found.scenario.people[0].model_copy(update={"name": "Anna's dad"}),
        *found.scenario.people[1:],
    ]
    renamed = study(found.scenario.model_copy(update={"people": tuple(people)}))
    assert "Anna's dad's eyes, lying" in told(renamed, "read left", "read both")
    light = between(renamed, "read left", "read both").light
    assert sum(one.kind == "eyes" for one in light) == len(people)
