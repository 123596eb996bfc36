"""The sheet's numbers are facts: with every sentence replaced by its key they come out the same."""

from __future__ import annotations

import datetime
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from lumen.app import ids
from lumen.app.panels import study_panels
from lumen.sheet import PARTS, lists, sheet
from lumen.study.study import Study
from lumen.words.sentences import translated
from tests.sheet.printing import EXAMPLES, plain_contents, study_of

DATE = datetime.date(2026, 1, 1)
_SPOKEN = ("aria-label", "title", "alt")


class Skeleton(HTMLParser):
    """Tags with their attributes, numbers among them; no text."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, tuple[tuple[str, str | None], ...]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, tuple(a for a in attrs if a[0] not in _SPOKEN)))


def skeleton(page: str) -> Skeleton:
    """Return a page without its texts."""
    reader = Skeleton()
    reader.feed(page)
    return reader


def same(plain: Any, keyed: Any, at: str = "") -> None:
    """Hold two pieces of data to each other: texts may differ, nothing else may."""
    if isinstance(plain, dict):
        assert plain.keys() == keyed.keys(), at
        for key in plain:
            same(plain[key], keyed[key], f"{at}.{key}")
    elif isinstance(plain, list | tuple):
        assert len(plain) == len(keyed), at
        for place, (one, other) in enumerate(zip(plain, keyed, strict=True)):
            same(one, other, f"{at}.{place}")
    elif isinstance(plain, str):
        assert isinstance(keyed, str), at
    else:
        assert plain == keyed, at


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_words_are_replaced_and_numbers_stay(path: Path) -> None:
    """Paper, lists, JSON: every number, mark, table and drawing, whatever the sentences say."""
    found = study_of(path)
    page, frames, data = sheet(found, include=PARTS, date=DATE), lists(found), found.to_json()
    with translated(lambda key, template, facts: key):
        fresh = Study(found.scenario, found.lighting, found.electrics, found.cautions)
        page_keyed = sheet(fresh, include=PARTS, date=DATE)
        frames_keyed, data_keyed = lists(fresh), fresh.to_json()
        held_keyed = plain_contents(fresh)
    assert "caution." in page_keyed.lower()
    same(data, data_keyed)
    same(plain_contents(found), held_keyed)
    assert frames.keys() == frames_keyed.keys()
    for name, frame in frames.items():
        keyed = frames_keyed[name]
        assert list(frame.columns) == list(keyed.columns), name
        assert frame.shape == keyed.shape, name
        numbers = frame.select_dtypes("number")
        pd.testing.assert_frame_equal(numbers, keyed[numbers.columns])
    assert skeleton(page).tags == skeleton(page_keyed).tags


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_page_too(path: Path) -> None:
    """Cautions, load tree, setups: as many rows, bars as long, the same commands behind buttons."""
    found = study_of(path)
    for setup in found.setups[:2]:
        panels = study_panels(found, setup)
        with translated(lambda key, template, facts: key):
            fresh = Study(found.scenario, found.lighting, found.electrics, found.cautions)
            keyed = study_panels(fresh, setup)
        for place in (ids.CAUTIONS, ids.LOAD_TREE, ids.SETUPS, ids.WARNED):
            assert skeleton(panels[place]).tags == skeleton(keyed[place]).tags, (setup, place)
            assert NUMBER.findall(panels[place]) or place != ids.LOAD_TREE


NUMBER = re.compile(r"\d+(?:\.\d+)?")


def test_a_number_in_a_text_would_be_noticed() -> None:
    """The reader of tags sees the numbers that a page carries, and no text."""
    page = '<p>a <data value="1.5" data-study="x">1.5 m</data></p>'
    assert skeleton(page).tags != skeleton(page.replace('"1.5"', '"1.6"')).tags
    assert skeleton(page).tags == skeleton(re.sub("1.5 m", "key", page)).tags
