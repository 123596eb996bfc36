"""Bands of typed numbers: every number has one, the impossible is refused, the unlikely asked."""

# ruff: noqa: E501  tables of cases

from __future__ import annotations

import math
import typing
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lumen.errors import ScenarioError
from lumen.scenario.base import Part
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.files import load
from lumen.scenario.plausible import band_of, bands, meant, numbers
from lumen.study.cautions import cautions
from lumen.study.load.electrics import electrics
from lumen.words.cautions import CautionWords, caution_words

ROOMS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.json"))
PLAIN = next(path for path in ROOMS if path.stem == "plain-pair")


def parts_of(annotation: Any, seen: set[type[Part]]) -> None:
    """Collect every part of the document that an annotation can hold."""
    if isinstance(annotation, type) and issubclass(annotation, Part) and annotation not in seen:
        seen.add(annotation)
        for field in annotation.model_fields.values():
            parts_of(field.annotation, seen)
    for inner in typing.get_args(annotation):
        parts_of(inner, seen)


def is_number(annotation: Any) -> bool:
    """Whether an annotation can hold a number."""
    if annotation in (int, float):
        return True
    if typing.get_origin(annotation) is typing.Literal:
        return False
    return any(is_number(inner) for inner in typing.get_args(annotation))


def number_fields() -> Iterator[tuple[str, str]]:
    """Yield part and name of every number in the document."""
    seen: set[type[Part]] = set()
    parts_of(Scenario, seen)
    for part in sorted(seen, key=lambda each: each.__name__):
        for name, field in part.model_fields.items():
            if is_number(field.annotation):
                yield part.__name__, name


def test_every_number_of_the_document_has_a_band() -> None:
    """No numeric field is without a row; this lists those that are."""
    assert [f"{part}.{name}" for part, name in number_fields() if not band_of(part, name)] == []


def test_every_band_is_of_a_field_and_holds_together() -> None:
    """Each row names a number of the document, and what is usual lies within what is possible."""
    fields = list(number_fields())
    known = {f"{part}.{name}" for part, name in fields} | {f"*.{name}" for _, name in fields}
    assert sorted(set(bands()) - known) == []
    for key, band in bands().items():
        assert band.possible[0] <= band.possible[1], key
        assert band.likely[0] < band.likely[1], key
        if math.isfinite(band.likely[0]):
            assert band.possible[0] <= band.likely[0], key
        if math.isfinite(band.likely[1]):
            assert band.likely[1] <= band.possible[1], key


def asked(data: dict[str, Any]) -> list[CautionWords]:
    """Cautions about unlikely numbers."""
    scenario = parse(data)
    raised = [c for c in cautions(scenario, electrics(scenario)) if c.rule == 94]
    return list(caution_words(raised, scenario))


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.stem)
def test_the_twelve_rooms_ask_nothing(path: Path) -> None:
    """No number of the rooms that come along is unlikely."""
    assert asked(plain(load(path))) == []


def put(data: dict[str, Any], where: str, value: Any) -> dict[str, Any]:
    """Write one value into a plan, by a path of keys and numbers."""
    at: Any = data
    *steps, last = [int(s) if s.isdigit() else s for s in where.split(".")]
    for step in steps:
        at = at.setdefault(step, {}) if isinstance(at, dict) else at[step]
    at[last] = value
    return data


@pytest.mark.parametrize(
    ("where", "value", "rule"),
    [
        ("supply.0.breaker_a", 1600, r"supply\[0\].breaker_a must be from 0 to 125 A, did you mean 16"),
        ("lights.0.cord.length_m", 3000, r"cord.length_m must be from 0.02 to 200 m, did you mean 3"),
        ("lights.0.lamp.flux_lm", 100_000, r"lamp.flux_lm must be from 0 to 50000 lm, did you mean"),
        ("lights.0.lamp.flux_lm", [400, 100_000], r"lamp.flux_lm\[1\] must be from 0 to 50000 lm"),
        ("lights.0.distribution.bottom_diameter_m", 0.001, r"bottom_diameter_m must be from 0.01 to"),
        ("room.height_m", 240, r"room.height_m must be less than or equal to 12, did you mean 2.4"),
        ("strips.0.width_m", 0.5, r"strips\[0\].width_m must be from 0.001 to 0.19 m"),
        ("furniture.0.size_m", [1530, 2.03, 0.37], r"furniture\[0\].size_m\[0\] must be from"),
    ],
)  # fmt: skip
def test_what_does_not_exist_is_refused(where: str, value: Any, rule: str) -> None:
    """Field, rule, value, and what a wrong unit or comma would have made of it."""
    with pytest.raises(ScenarioError, match=rule):
        parse(put(plain(load(PLAIN)), where, value))


@pytest.mark.parametrize(
    ("where", "value", "near", "question"),
    [
        ("room.finishes.walls.lrv", 0.75, 75, "light reflectance value is 0.75, usually 1 to 95 (did you mean 75?"),
        ("furniture.0.finish.lrv", 0.99, 1.0, "did you mean 99?|did you mean 9.9?"),
        ("room.height_m", 5.0, 4.5, "height of the room is 5 m, usually 1.9 to 4.5 m"),
        ("lights.0.lamp.flux_lm", 47000, 470, "light of one lamp is 47000 lm, usually 0 to 6000 lm (did you mean 470 lm?"),
        ("lights.0.lamp.flux_lm", [400, 8000], [400, 5000], "light of one lamp is 8000 lm"),
        ("lights.0.cord.length_m", 40, 30, "length is 40 m"),
        ("supply.0.breaker_a", 60, 50, "breaker is 60 A, usually 6 to 50 A"),
        ("people.0.eye_above_mattress_m", 1.5, 1.0, "sitting eye above the mattress is 1.5 m"),
        ("furniture.3.compartment.vent_area_m2", 0.4, 0.2, "did you mean 0.004 m²?"),
    ],
)  # fmt: skip
def test_what_is_unlikely_is_asked(where: str, value: Any, near: Any, question: str) -> None:
    """An ask with the number, what is usual and the slip; at what is still usual it is silent."""
    (only,) = asked(put(plain(load(PLAIN)), where, value))
    assert only.caution.level == "ask"
    assert any(words in only.fact for words in question.split("|")), only.fact
    assert asked(put(plain(load(PLAIN)), where, near)) == []


@pytest.mark.parametrize(
    ("field", "slip", "value"),
    [
        ("Room.height_m", 2400, 2.4),  # millimetres
        ("Room.height_m", 240, 2.4),  # centimetres
        ("Room.height_m", 94, 2.3876),  # inches
        ("Room.height_m", 8, 2.4384),  # feet
        ("Finish.lrv", 0.5, 50),
        ("Circuit.breaker_a", 160, 16),
        ("*.cct_k", 270, 2700),
    ],
)
def test_slips_of_unit_and_comma_are_recognised(field: str, slip: float, value: float) -> None:
    """Centimetres, millimetres, inches, feet and a comma out of place, each alone."""
    found = meant(slip, bands()[field])
    assert found is not None
    assert bands()[field].likely[0] <= found <= bands()[field].likely[1]
    if field != "Room.height_m" or slip != 94:
        assert found == pytest.approx(value)


def test_only_what_somebody_wrote_is_asked_about() -> None:
    """Defaults are not typed: a plan of a bare room holds the numbers that were written."""
    bare = {
        "format": "lumen-plan/1",
        "title": "x",
        "room": {"outline_m": [[0, 0], [3, 0], [3, 3], [0, 3]], "height_m": 2.4},
    }
    assert {n.path.split("[")[0] for n in numbers(parse(bare))} == {
        "room.outline_m",
        "room.height_m",
    }
