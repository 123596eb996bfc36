"""Every number on the sheet is the study's: read back from the page by the path that it carries."""

from __future__ import annotations

import base64
import hashlib
import json
import math
import re
from html.parser import HTMLParser
from typing import Any

import pytest

from lumen.scenario.document import parse, plain
from lumen.sheet import sheet
from lumen.sheet.contents import contents
from lumen.sheet.figures import FILTERS, Trail, length_words
from lumen.sheet.page import PARTS, render, script_hash
from lumen.study.study import Study, study
from lumen.units import read
from tests.sheet.printing import EXAMPLES, plain_contents, study_of

_PAGES: dict[int, str] = {}


def html_of(found: Study) -> str:
    """Return the sheet of a study, made once."""
    if id(found) not in _PAGES:
        _PAGES[id(found)] = sheet(found)
    return _PAGES[id(found)]


class Reader(HTMLParser):
    """Collects what carries a number: (root, path, value, text), scripts, and all text."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str, float, str]] = []
        self.scripts = 0
        self.handlers: list[str] = []
        self.outside: list[str] = []
        self.text: list[str] = []
        self._open: tuple[str, str, float] | None = None
        self._style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        held = {key: value or "" for key, value in attrs}
        self.scripts += tag == "script"
        self._style = tag in ("style", "script")
        self.handlers += [key for key in held if key.startswith("on")]
        self.outside += [
            value for key, value in held.items()
            if key in ("src", "href", "data", "action", "xlink:href") and not value.startswith("#")
        ]  # fmt: skip
        for root in ("study", "sheet"):
            if f"data-{root}" in held:
                value = float(held.get("value") or held["data-value"])
                self._open = (root, held[f"data-{root}"], value)

    def handle_endtag(self, tag: str) -> None:
        if tag in ("data", "text"):
            self._open = None
        self._style = False

    def handle_data(self, data: str) -> None:
        if not self._style:
            self.text.append(data)
        if self._open is not None and data.strip():
            self.found.append((*self._open, data.strip()))
            self._open = None


def read_page(html: str) -> Reader:
    """Return what a page holds."""
    reader = Reader()
    reader.feed(html)
    return reader


def at(data: Any, path: str) -> Any:
    """Return what lies at a path of plain data."""
    for key in _keys(data, path):
        data = data[key]
    return data


def _keys(data: Any, path: str) -> list[Any]:
    """Split a path by what is there: ids may hold dots."""
    keys: list[Any] = []
    rest = path
    while rest:
        if isinstance(data, list):
            head, _, rest = rest.partition(".")
            keys.append(int(head))
        else:
            head = max((k for k in data if rest == k or rest.startswith(f"{k}.")), key=len)
            rest = rest[len(head) + 1 :]
            keys.append(head)
        data = data[keys[-1]]
    return keys


_LENGTH = re.compile(r"(-?\d+)\xa0mm(?:\s*\((.+)\))?$")
_PITCH = re.compile(r"(\d+\.\d+)\xa0mm$")  # the pitch of cut marks keeps its tenth
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def shown_right(value: float, text: str) -> bool:
    """Whether the text is the value, rounded as it is shown."""
    if found := _PITCH.match(text):
        return abs(float(found[1]) / 1000 - value) <= 0.0000501
    length = text.split(": ")[-1].replace(" ", "\xa0") if "\xa0" in text else text
    if found := _LENGTH.search(length.replace(")\xa0", ") ").replace("mm\xa0(", "mm (")):
        metres = abs(value) if not found[1].startswith("-") else value
        right = abs(float(found[1]) / 1000 - metres) <= 0.00051
        if found[2]:
            inches = read(found[2].replace("\xa0", " ")).value
            right = right and abs(inches - metres) <= 0.0254 / 32 + 1e-9
        return right
    if text.startswith("under 0.1"):
        return value < 0.1
    number = _NUMBER.search(text.replace(",", ""))  # about 130,000
    assert number is not None, text
    shown = float(number[0])
    if "%" in text and not math.isclose(shown, value, rel_tol=0.06):
        value *= 100
    last = 0.5 * 10 ** -len(number[0].partition(".")[2])
    # two significant digits (three from a thousand on) are what the study's words promise
    return abs(shown - value) <= max(last, 0.051 * abs(value)) + 1e-9


def test_every_number_is_the_study_s(any_study: Study) -> None:
    """Each number read back from the HTML equals the study's (or the sheet's) at its path."""
    data = any_study.to_json()
    found = read_page(render(data, contents(any_study), "a4", include=PARTS)).found
    roots = {"study": data, "sheet": plain_contents(any_study)}
    assert len(found) > 150
    for root, path, value, text in found:
        assert value == float(at(roots[root], path)), (root, path)
        assert shown_right(value, text), (path, value, text)


def test_no_second_copy_of_a_number(plain: Study) -> None:
    """A study with other numbers gives a page with those: no template holds one of its own."""
    data = json.loads(json.dumps(plain.to_json()))
    for row in data["planes"]:
        row["average_lx"] = 123456.0
    data["power"]["energy"]["kwh_year"] = 777.0
    html = render(data, contents(plain), "a4")
    shown = {(path, value) for _, path, value, _ in read_page(html).found}
    assert ("power.energy.kwh_year", 777.0) in shown
    averages = {v for p, v in shown if p.startswith("planes.") and p.endswith("average_lx")}
    assert averages == {123456.0}


def test_what_the_page_must_hold(any_study: Study) -> None:
    """Setups' watts, each lit plane and eye, each limit, and each caution's words are there."""
    data = any_study.to_json()
    reader = read_page(html_of(any_study))
    paths = {path for root, path, _, _ in reader.found if root == "study"}
    for place in range(len(data["setups"])):
        assert {f"setups.{place}.total_w", f"setups.{place}.total_a"} <= paths
    for kind in ("planes", "eyes"):
        for place, row in enumerate(data[kind]):
            if row["high_lx"] >= 0.05:
                ends = ("average_lx", "low_lx", "high_lx")
                assert {f"{kind}.{place}.{end}" for end in ends} <= paths
    for place, node in enumerate(data["power"]["nodes"]):
        assert f"power.nodes.{place}.everything_on.amperes" in paths
        if node["rating_a"] is not None:
            assert f"power.nodes.{place}.rating_a" in paths
    words = " ".join(" ".join(reader.text).split())
    groups = contents(any_study).cautions
    assert sorted(p for group in groups for p in group.places) == [*range(len(data["cautions"]))]
    for group in groups:
        caution = data["cautions"][group.place]
        for text in (caution["fact"], caution["rule_text"], caution["remedy"], caution["source"]):
            assert " ".join(text.split()) in words, text
        if group.level != "note" and caution["question"]:
            assert " ".join(caution["question"].split()) in words
        assert words.count(" ".join(caution["fact"].split())) == 1  # each caution once
        for place in group.places:
            assert data["cautions"][place]["names"][0] in words
    for item in data["assumptions"]:
        assert item["why"] in words


HOSTILE = (
    '<script>alert(1)</script>',
    '"quoted" & <b>bold</b>',
    "' onload='alert(1)",
    "🛏️ lamp 😴",
    "</style></svg><img src=x onerror=alert(1)>",
    "{{ 7 * 7 }}{% raw %}",
)  # fmt: skip


def hostile_plan(source: Study) -> dict[str, Any]:
    """Return a plan in which every name is an attack."""
    data = plain_of(source)
    data["title"] = HOSTILE[0]
    data["note"] = HOSTILE[4]
    for number, section in enumerate(("lights", "strips", "supply", "setups", "people")):
        for item in data[section]:
            item["name"] = HOSTILE[number]
    for item in data["furniture"]:
        item["name"] = HOSTILE[5]
    return data


def plain_of(source: Study) -> Any:
    """Return a study's plan as plain data, to be changed."""
    return json.loads(json.dumps(plain(source.scenario)))


def test_hostile_names_stay_text(plain: Study) -> None:
    """Names with tags, quotes and emoji appear as typed, add no tag and run nothing."""
    html = sheet(study(parse(hostile_plan(plain))))
    reader = read_page(html)
    assert reader.scripts == 1  # the sheet's own
    assert reader.handlers == []
    text = "".join(reader.text)
    for name in HOSTILE:
        assert name in text
    assert "<img" not in html


def test_the_page_needs_nothing_from_outside(any_study: Study) -> None:
    """One script of its own, by hash; no handler, no link out, no outside resource."""
    html = html_of(any_study)
    reader = read_page(html)
    assert (reader.scripts, reader.handlers, reader.outside) == (1, [], [])
    assert "default-src 'none'" in html
    assert f"script-src '{script_hash()}'" in html
    (script,) = re.findall(r"<script>(.*?)</script>", html, re.S)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert script_hash() == f"sha256-{digest}"
    assert not re.search(r"fetch|XMLHttp|import\(|https?:", script)
    assert "url(http" not in html
    assert "@import" not in html


def test_words_that_promise_nothing(any_study: Study) -> None:
    """The sheet never calls anything safe or compliant."""
    text = " ".join(read_page(html_of(any_study)).text).lower()
    assert not re.search(r"\bsafe\b|\bsafely\b|complian|approved\b", text)


@pytest.mark.parametrize(
    ("metres", "words"),
    [
        (0.3048, "305 mm (1' 0\")"),
        (1.6891, "1689 mm (5' 6 1/2\")"),
        (0.0254 / 16, '2 mm (1/16")'),
        (-0.915, "-915 mm (-3' 0\")"),
        (0.0, '0 mm (0")'),
    ],
)
def test_lengths_in_words(metres: float, words: str) -> None:
    """Millimetres and feet-inches to 1/16: an inch is 25.4 mm by definition (agreement of 1959)."""
    assert length_words(metres).replace("\xa0", " ") == words


def test_feet_only_where_tapes_have_them(any_study: Study) -> None:
    """Feet, inches and Fahrenheit for the US and Canada; elsewhere metric units alone."""
    shown = [text for _, _, _, text in read_page(html_of(any_study)).found]
    second = [text for text in shown if re.search(r"\d[\"']|°F", text)]
    assert bool(second) == (any_study.scenario.region in ("US", "CA")), second[:3]


def test_no_line_breaks_between_a_number_and_its_unit(any_study: Study) -> None:
    """What is read as one stays on one line, in figures and in the cautions' sentences."""
    page = re.sub(r"<svg.*?</svg>", "", html_of(any_study), flags=re.S)  # no line breaks there
    words = "\n".join(read_page(page).text)
    assert not re.findall(r"\d (?:mm|cm|m|W|A|V|lx|K|kg|%|°C|cd/m²)(?![\w²])", words)


def test_a_large_number_is_not_shown_to_the_digit() -> None:
    """A lamp's luminance is known to a tenth at best: two digits of it are printed."""
    row = Trail({"luminance_cd_m2": 127260.0}, "study")
    shown = str(FILTERS["unsure"](row.luminance_cd_m2, "cd/m²"))
    assert shown.endswith(">about 130,000\xa0cd/m²</data>")


def test_a_trail_remembers_the_way() -> None:
    """A number knows its path, and a field that is not there is refused, not printed empty."""
    trail = Trail({"a": [{"b.c": {"d": 2.0}}]}, "study")
    assert trail.a[0]["b.c"].d.path == "a.0.b.c.d"
    with pytest.raises(AttributeError):
        _ = trail.a[0].nothing


def test_setups_lit_alike_are_read_once(any_study: Study) -> None:
    """The night test asks for no pair of readings twice: other appliances give no light."""
    rows = [(r.first, r.second, r.first_lx, r.second_lx) for r in contents(any_study).night]
    assert len(rows) == len(set(rows))


def test_what_is_left_to_the_region_is_named() -> None:
    """An outlet that nobody read is taken as the region's: 15 A in the US (NEMA WD 6, 5-15)."""
    cot = study_of(next(path for path in EXAMPLES if path.stem == "parents-with-cot"))
    words = [item for item in contents(cot).assumed if item.words == "rating"]
    assert [(item.usual, item.unit) for item in words] == [(15.0, "A")]
