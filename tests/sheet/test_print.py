"""The sheet on paper and on a phone: a real browser prints and shows it, rasters are measured."""

from __future__ import annotations

import re
import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lumen.scenario.document import parse
from lumen.sheet import PARTS, sheet
from lumen.sheet.contents import contents
from lumen.sheet.svg import MARK_COLOUR
from lumen.study.study import study
from tests.sheet.printing import EXAMPLES, pdf_of, print_pdf, study_of
from tests.sheet.test_figures import HOSTILE, hostile_plan

pytestmark = pytest.mark.browser

DPI = 300
MM = DPI / 25.4
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
TOLERANCE_MM = 0.3  # what the pencil and a household printer can do


@cache
def raster(pdf: Path, page: int, dpi: int = DPI) -> NDArray[np.uint8]:
    """Return one page as (height, width, 3) of 0 to 255, by poppler."""
    command = ["pdftoppm", "-r", str(dpi), "-f", str(page), "-l", str(page), str(pdf)]
    raw = subprocess.run(command, check=True, capture_output=True, timeout=120).stdout
    kind, size, depth, pixels = raw.split(b"\n", 3)
    assert (kind, depth) == (b"P6", b"255")
    width, height = map(int, size.split())
    return np.frombuffer(pixels, np.uint8).reshape(height, width, 3)


@cache
def texts(pdf: Path) -> list[str]:
    """Return the selectable text of each page."""
    raw = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True)
    return raw.stdout.decode().replace("\xa0", " ").split("\f")[:-1]


def page_with(pdf: Path, words: str) -> int:
    """Return the first page, counted from 1, whose text holds the words."""
    return next(n for n, text in enumerate(texts(pdf), start=1) if words in text)


def level_runs(
    image: NDArray[np.uint8], least_mm: float, most_mm: float
) -> list[tuple[float, float, float, float]]:
    """Return level dark lines as (length, x, y of their middle, thickness) [mm].

    Fringes count by their shade.
    """
    dark = 1.0 - image.mean(axis=2) / 255.0
    found: list[tuple[float, float, float, float]] = []
    for y in range(dark.shape[0]):
        row = dark[y]
        edges = np.flatnonzero(np.diff(np.concatenate([[0], (row > 0.5).astype(int), [0]])))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            length = float(row[max(0, start - 1) : end + 1].sum())
            if least_mm <= length / MM <= most_mm:
                found.append((length / MM, start / MM, y / MM, float(row[start:end].mean())))
    lines: list[list[tuple[float, float, float, float]]] = []
    for run in found:  # rows of one thick line belong together
        if lines and run[2] - lines[-1][-1][2] < 0.2 and abs(run[1] - lines[-1][-1][1]) < 0.5:
            lines[-1].append(run)
        else:
            lines.append([run])
    merged = []
    for line in lines:
        weight = np.array([run[3] for run in line])
        solid = [run for run in line if run[3] > 0.95] or line
        middle = float(np.average([run[2] for run in line], weights=weight)) + 0.5 / MM
        length = float(np.median([run[0] for run in solid]))
        merged.append((length, line[0][1], middle, float(weight.sum()) / MM))
    return merged


def ruler_lengths(pdf: Path, page: int) -> list[float]:
    """Return the lengths [mm] of the ruler's two bars: half a millimetre thick, as nothing else."""
    runs = level_runs(raster(pdf, page), 98.0, 104.0)
    return [length for length, _, _, thick in runs if thick > 0.4]


def dots(image: NDArray[np.uint8]) -> list[tuple[float, float]]:
    """Return the middles [mm] of the dots in the drill marks' own colour, from left to right."""
    colour = np.array([int(MARK_COLOUR[i : i + 2], 16) for i in (1, 3, 5)])
    ys, xs = np.nonzero(np.abs(image.astype(int) - colour).max(axis=2) < 40)
    groups: list[list[tuple[int, int]]] = []
    for x, y in sorted(zip(xs.tolist(), ys.tolist(), strict=True)):
        for group in groups:
            if abs(group[0][0] - x) < 2.5 * MM and abs(group[0][1] - y) < 2.5 * MM:
                group.append((x, y))
                break
        else:
            groups.append([(x, y)])
    return [
        tuple((np.mean(group, axis=0) + 0.5) / MM)  # type: ignore[misc]
        for group in groups
        if len(group) > 5
    ]


@pytest.mark.parametrize("paper", PAPERS)
def test_rulers_are_true(paper: str, folder: Path) -> None:
    """The printed bars measure 100 mm and 4 in (101.6 mm) on every true-size page."""
    pdf = pdf_of(EXAMPLES[0], paper, folder)
    for page in (page_with(pdf, "True-size pages"), page_with(pdf, "edge starts")):
        assert ruler_lengths(pdf, page) == pytest.approx([100.0, 101.6], abs=TOLERANCE_MM), page


@pytest.mark.parametrize("paper", PAPERS)
def test_drill_marks_stand_where_the_numbers_say(paper: str, folder: Path) -> None:
    """Between the pair's dots on the wall drawing there is their distance over the scale."""
    pdf = pdf_of(EXAMPLES[0], paper, folder)
    found = study_of(EXAMPLES[0])
    wall = contents(found).walls[0]
    left, right = dots(raster(pdf, page_with(pdf, "Scale 1 :")))
    expected = 1000 * wall.pairs[0].between_m / wall.scale
    assert right[0] - left[0] == pytest.approx(expected, abs=TOLERANCE_MM)
    assert right[1] - left[1] == pytest.approx(0.0, abs=TOLERANCE_MM)


def test_templates_are_true_size(folder: Path) -> None:
    """Around the cross of a drum, its lower edge lies 70 mm below and its upper edge 110 above."""
    pdf = pdf_of(EXAMPLES[0], "a4", folder)
    image = raster(pdf, page_with(pdf, "True-size pages"))
    (cross,) = dots(image)
    edges = [run for run in level_runs(image, 147.0, 153.0) if abs(run[0] - 150.4) < 1.0]
    assert [run[2] - cross[1] for run in edges] == pytest.approx([-110.0, 70.0], abs=TOLERANCE_MM)
    middles = [run[1] + run[0] / 2 - cross[0] for run in edges]
    assert middles == pytest.approx([0.0, 0.0], abs=TOLERANCE_MM)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "name",
    [
        "plain-pair",
        pytest.param("heater-one-outlet", marks=pytest.mark.long),
        "l-room-dressing-nook",
    ],
)
def test_nothing_runs_off_the_paper(name: str, paper: str, folder: Path) -> None:
    """On every page a border of 9 mm stays white, and the paper is the one asked for."""
    path = next(path for path in EXAMPLES if path.stem == name)
    blank_border(pdf_of(path, paper, folder), paper)


def blank_border(pdf: Path, paper: str) -> None:
    """Assert that nothing is printed within 9 mm of any edge, on any page."""
    dpi = 40
    for page in range(1, len(texts(pdf)) + 1):
        image = raster(pdf, page, dpi)
        size = np.array(image.shape[1::-1]) / dpi * 25.4
        assert size == pytest.approx(PAPERS[paper], abs=1.0)
        border = int(9 / 25.4 * dpi)
        inner = image.copy()
        inner[border:-border, border:-border] = 255
        assert inner.min() > 200, page


def test_text_can_be_selected(folder: Path) -> None:
    """Heights, distances, names and sources come out of the PDF as text."""
    words = " ".join(" ".join(texts(pdf_of(EXAMPLES[0], "a4", folder))).split())
    for piece in ("Plain pair", "1220 mm", "915 mm", "left light", "Scale 1 :", "UL 1598"):
        assert piece in words


def test_long_and_hostile_names_stay_on_the_paper(folder: Path) -> None:
    """Names with tags and a name of 120 letters without a blank neither run nor run off."""
    data = hostile_plan(study_of(EXAMPLES[0]))
    data["title"] = "W" * 120
    data["lights"][0]["name"] = "M" * 120
    data["setups"][0]["name"] = "i" * 120
    html = folder / "hostile.html"
    page = sheet(study(parse(data)), paper="a4", include=PARTS)
    html.write_text(page, encoding="utf-8")
    pdf = print_pdf(html)
    blank_border(pdf, "a4")
    words = re.sub(r"\s", "", "".join(texts(pdf)))
    assert re.sub(r"\s", "", HOSTILE[1]) in words
    ruled = page_with(pdf, "True-size pages")
    assert ruler_lengths(pdf, ruled) == pytest.approx([100.0, 101.6], abs=TOLERANCE_MM)


def test_readable_on_a_phone(folder: Path, browser: Any) -> None:
    """At 390 px nothing sticks out sideways, letters are 14 px and up, no typed script runs."""
    html = folder / "phone.html"
    html.write_text(sheet(study(parse(hostile_plan(study_of(EXAMPLES[0]))))), encoding="utf-8")
    page = browser.new_page(viewport={"width": 390, "height": 844})
    dialogs: list[str] = []
    page.on("dialog", lambda dialog: dialogs.append(dialog.message))
    page.goto(html.as_uri())
    assert page.evaluate("document.scrollingElement.scrollWidth") <= 390
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('p, li, td, h1, h2, h3')]
             .map(e => [parseFloat(getComputedStyle(e).fontSize), e.outerHTML.slice(0, 90)])"""
    )
    assert min(sizes)[0] >= 14, min(sizes)
    assert dialogs == []
    page.close()
