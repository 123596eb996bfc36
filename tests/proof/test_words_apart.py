"""Facts stand apart from words: with every sentence replaced by its key all else stays as it was.

Page, terminal, sheet and JSON are made twice, once in English and once in a language whose every
sentence is its own key. Numbers, marks, tables, forms, commands and their order must be the same:
nothing reads a sentence to find out a fact. `pytest -m long` takes all twelve rooms.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from html.parser import HTMLParser
from typing import Any

import pytest

from lumen.app.panels import compare_panels, heights_panels, study_panels
from lumen.scenario.files import examples, load
from lumen.sheet import sheet
from lumen.study.report import report
from lumen.study.study import Study, study
from lumen.words.sentences import translated

ROOMS = examples()
SHORT = ("plain-pair", "l-room-dressing-nook")
MARK = "\N{LEFT-POINTING DOUBLE ANGLE QUOTATION MARK}"


def as_key(key: str, template: str, facts: Mapping[str, object]) -> str:
    """Say a sentence as its key."""
    return f"{MARK}{key}"


@cache
def study_of(number: int) -> Study:
    """One room's study."""
    return study(load(ROOMS[number]))


@pytest.fixture(
    scope="module",
    params=[
        number if ROOMS[number].stem in SHORT else pytest.param(number, marks=pytest.mark.long)
        for number in range(len(ROOMS))
    ],
    ids=lambda number: ROOMS[number].stem,
)
def found(request: pytest.FixtureRequest) -> Study:
    """The study of a room."""
    return study_of(request.param)


def faces(found: Study) -> Iterator[tuple[str, str]]:
    """Every face of a study, by name: HTML and JSON as text."""
    yield "json", json.dumps(found.to_json())
    yield "sheet", sheet(found, include=("templates", "tests", "questions", "light"))
    for setup in found.setups[:3]:
        for place, html in study_panels(found, setup).items():
            yield f"{setup}: {place}", html
        yield from compare_panels(found, found.setups[0], setup).items()
    light = next(one for one in found.scenario.lights if one.mount in ("wall", "headboard"))
    lit = [s.id for s in found.scenario.setups if s.levels.get(light.id)]
    yield from heights_panels(found.scenario, light.id, lit[0], "cm").items()


class Skeleton(HTMLParser):
    """A page as a list of tags with their attributes, and texts; layout of words left out."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.parts: list[tuple[str, ...]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag."""
        kept = sorted((name, value or "") for name, value in attrs)
        self.parts.append((tag, *(part for pair in kept for part in pair)))

    def handle_endtag(self, tag: str) -> None:
        """Note its end."""
        self.parts.append((f"/{tag}",))

    def handle_data(self, data: str) -> None:
        """Note a text."""
        self.parts.append(("", data))


def differ(english: str, keys: str) -> bool:
    """Whether two texts differ in more than a sentence."""
    return english != keys and MARK not in keys


def check_json(english: Any, keys: Any, place: str) -> int:
    """Hold two JSON values to each other; return how many sentences differ."""
    if isinstance(english, dict):
        assert english.keys() == keys.keys(), place
        return sum(
            check_json(value, keys[name], f"{place}.{name}") for name, value in english.items()
        )
    if isinstance(english, list):
        assert len(english) == len(keys), place
        pairs = zip(english, keys, strict=True)
        return sum(check_json(a, b, f"{place}[{k}]") for k, (a, b) in enumerate(pairs))
    if isinstance(english, str) and isinstance(keys, str):
        assert not differ(english, keys), (place, english, keys)
    else:
        assert english == keys, place
    return int(english != keys)


def test_every_face_is_the_same_but_for_its_sentences(found: Study) -> None:
    """JSON, page and sheet: same keys, numbers, tags and attributes; only sentences differ."""
    english = dict(faces(found))
    with translated(as_key):
        keys = dict(faces(found))
    assert english.keys() == keys.keys()
    count = check_json(json.loads(english.pop("json")), json.loads(keys.pop("json")), "")
    assert count > 20
    for name, page in english.items():
        ours, theirs = Skeleton(page).parts, Skeleton(keys[name]).parts
        assert len(ours) == len(theirs), name
        for k, (one, other) in enumerate(zip(ours, theirs, strict=True)):
            if one[0] == "text" and ours[k + 1] != theirs[k + 1]:
                continue  # a label of a picture stands on the side where its words have room
            assert len(one) == len(other), (name, one, other)
            for a, b in zip(one, other, strict=True):
                assert not differ(a, b), (name, a, b)


def test_the_terminal_has_the_same_lines(found: Study) -> None:
    """``lumen check``: as many lines, and none differs but by its sentences."""
    english = report(found).splitlines()
    with translated(as_key):
        keys = report(found).splitlines()
    assert len(english) == len(keys)
    assert not [pair for pair in zip(english, keys, strict=True) if differ(*pair)]
    assert sum(a != b for a, b in zip(english, keys, strict=True)) > 3


def test_a_fact_that_is_read_from_a_sentence_is_found() -> None:
    """The law itself can fail: a number taken out of a sentence is gone in the other language."""
    assert differ("about 290 lx", "about 0 lx")
    with pytest.raises(AssertionError):
        check_json({"lx": 290.0}, {"lx": 0.0}, "")
    with pytest.raises(AssertionError):
        check_json({"state": "short"}, {"state": "met"}, "")
