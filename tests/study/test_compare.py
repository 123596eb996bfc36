"""Two setups held against each other."""

from __future__ import annotations

from typing import Any

import pytest

from lumen.scenario.files import examples, load
from lumen.study.study import Study, study
from lumen.whatif.compare import compare, times_words


@pytest.fixture(scope="module")
def found() -> Study:
    """The plain pair's study."""
    return study(load(examples()[0]))


@pytest.fixture(scope="module")
def data(found: Study) -> dict[str, Any]:
    """The same as data."""
    return found.to_json()


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
    assert times_words(first, second) == words


def test_numbers_are_those_of_the_study(found: Study, data: dict[str, Any]) -> None:
    """Each line holds both setups' values as the study has them, and the watts' difference."""
    lines = {one.name: one for one in compare(found.lighting, data, "read left", "read both")}
    planes = {(p["target"], p["setup"]): p for p in data["planes"]}
    page = planes["page:right", "read both"]
    assert f"{page['average_lx']:.0f} lx" in lines["Right page"].second
    totals = {s["id"]: s["total_w"] for s in data["setups"]}
    assert totals["read both"] - totals["read left"] == pytest.approx(6.5, abs=1.5)
    assert lines["Power"].words.endswith("W more")
    assert lines["Wishes"].first == "0 of 2 met"


def test_order_matters(found: Study, data: dict[str, Any]) -> None:
    """Held the other way round, more becomes less, and the sizes of the changes stay."""
    there = compare(found.lighting, data, "read left", "night")
    back = compare(found.lighting, data, "night", "read left")
    assert [one.size for one in there] == pytest.approx([one.size for one in back])
    assert next(one for one in there if one.name == "Power").words.endswith("less")
    assert next(one for one in back if one.name == "Power").words.endswith("more")


def test_unknown_setup_is_an_error(found: Study, data: dict[str, Any]) -> None:
    """A setup that the study lacks is not silently left out."""
    with pytest.raises(KeyError):
        compare(found.lighting, data, "read left", "party")


def test_the_difference_has_its_own_narrower_band(found: Study, data: dict[str, Any]) -> None:
    """Doubts that both setups have fall away: the ratio's band is narrower than the answers'."""
    lines = {one.name: one for one in compare(found.lighting, data, "read left", "read both")}
    line = lines["Bed"]
    low, high = (float(part) for part in line.sure.removesuffix(" times").split("-"))
    planes = {(p["target"], p["setup"]): p for p in data["planes"]}
    before, after = planes["mattress", "read left"], planes["mattress", "read both"]
    assert low <= after["average_lx"] / before["average_lx"] <= high
    apart = (after["high_lx"] / before["low_lx"]) / (after["low_lx"] / before["high_lx"])
    assert high / low < apart / 1.5


def test_exact_ratios_carry_no_band(found: Study, data: dict[str, Any]) -> None:
    """The strip dimmed from a half to a fiftieth gives a twenty-fifth, whatever its lumens are."""
    lines = {one.name: one for one in compare(found.lighting, data, "evening glow", "night")}
    assert lines["Bed"].words == "4.0 % of it"
    assert lines["Bed"].sure == ""


def test_a_person_keeps_the_whole_name(found: Study) -> None:
    """Somebody called "Anna's dad" is not cut to Anna."""
    people = [
        found.scenario.people[0].model_copy(update={"name": "Anna's dad"}),
        *found.scenario.people[1:],
    ]
    renamed = study(found.scenario.model_copy(update={"people": tuple(people)}))
    lines = compare(renamed.lighting, renamed.to_json(), "read left", "read both")
    eyes = [one.name for one in lines if one.about == "eyes"]
    assert "Anna's dad's eyes, lying" in eyes
    assert len(eyes) == len(people)
