"""How the pages fall: how many, how full, what each says at its foot; no text lies on another."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lumen.scenario.document import parse
from lumen.sheet import PARTS, sheet
from lumen.study.study import Study, study
from tests.sheet.printing import EXAMPLES, pdf_of, study_of
from tests.sheet.test_figures import plain_of
from tests.sheet.test_print import PAPERS, raster, texts

pytestmark = pytest.mark.browser

CORE = ("Order of work", "Bed wall", "Shopping, cords and cuts", "Plugs, lid label, buttons")


def rooms(*names: str) -> list[Any]:
    """Return every plan, those not named as long tests."""
    return [
        pytest.param(path, id=path.stem, marks=() if path.stem in names else pytest.mark.long)
        for path in EXAMPLES
    ]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("path", rooms("plain-pair", "l-room-dressing-nook"))
def test_pages(path: Path, paper: str, folder: Path) -> None:
    """With all but the light tables: 8 pages for the plain pair, 12 at most; none almost empty."""
    pdf = pdf_of(path, paper, folder)
    found = texts(pdf)
    assert len(found) <= (8 if path.stem == "plain-pair" else 12)
    number = study_of(path).to_json()["plan"]["hash"][:12]
    title = study_of(path).scenario.title
    for place, text in enumerate(found, start=1):
        foot = " ".join(text.strip().splitlines()[-1].split())
        assert foot.endswith(f"page {place} of {len(found)}"), foot
        assert f"plan {number}, 20" in foot
        assert foot.startswith(title[:30])
        image = raster(pdf, place, 30)
        body = image[: int(0.95 * len(image))]
        lowest = np.flatnonzero((body < 200).any(axis=(1, 2))).max() / len(image)
        assert lowest > 0.22, (place, lowest)
    words = "\n".join(found)
    assert all(heading in words for heading in CORE)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("path", rooms("plain-pair"))
def test_no_table_parts_from_its_heading(path: Path, paper: str, folder: Path) -> None:
    """No page ends with a heading, or with the head of a table."""
    headings = ("Cords", "Boards and panels", "Setups", "Buttons", "Where not to drill", "Night")
    for text in texts(pdf_of(path, paper, folder)):
        lines = [" ".join(line.split()) for line in text.strip().splitlines() if line.strip()]
        last = lines[-2]
        assert last not in headings
        assert not last.startswith(("Cuts of ", "Labels for the lid", "Setup Draws", "Cord of"))


_OVERLAPS = """() => {
  const boxes = [];
  const add = (r, words) => {
    if (r.width < 1 || r.height < 1) return;
    const dy = 0.2 * r.height, dx = Math.min(1, 0.1 * r.width);
    boxes.push([r.left + dx, r.top + dy, r.right - dx, r.bottom - dy, words]);
  };
  const seen = (node) => {
    const el = node.nodeType === 1 ? node : node.parentElement;
    return el.closest("main") && el.getClientRects().length;
  };
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode;
    if (!node.data.trim() || node.parentElement.closest("svg, script, style")) continue;
    if (!seen(node)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const r of range.getClientRects()) add(r, node.data.trim().slice(0, 40));
  }
  for (const text of document.querySelectorAll("main svg text")) {
    if (seen(text)) add(text.getBoundingClientRect(), text.textContent);
  }
  boxes.sort((a, b) => a[1] - b[1]);
  const met = [];
  for (let i = 0; i < boxes.length; i++) {
    for (let j = i + 1; j < boxes.length && boxes[j][1] < boxes[i][3]; j++) {
      const wide = Math.min(boxes[i][2], boxes[j][2]) - Math.max(boxes[i][0], boxes[j][0]);
      const high = Math.min(boxes[i][3], boxes[j][3]) - boxes[j][1];
      if (wide > 1 && high > 1) met.push([boxes[i][4], boxes[j][4]]);
    }
  }
  return [boxes.length, met];
}"""


def overlaps(browser: Any, html: Path) -> tuple[int, list[list[str]]]:
    """Return how many texts a page holds as printed, and which lie on one another."""
    page = browser.new_page(viewport={"width": 900, "height": 1200})
    page.emulate_media(media="print")
    page.goto(html.as_uri())
    count, met = page.evaluate(_OVERLAPS)
    page.close()
    return count, met


@pytest.mark.parametrize("path", rooms("plain-pair", "l-room-dressing-nook", "attic-slope"))
def test_no_text_lies_on_another(path: Path, folder: Path, browser: Any) -> None:
    """On every page, every text has a place of its own."""
    html = folder / f"{path.stem}-all.html"
    html.write_text(sheet(study_of(path), include=PARTS), encoding="utf-8")
    count, met = overlaps(browser, html)
    assert count > 300
    assert met == []


def crowded(source: Study) -> dict[str, Any]:
    """Three lights close together on one wall, two outlets under them, names of 60 letters."""
    data = plain_of(source)
    first = data["lights"][0]
    near = [{**first, "id": f"l{k}", "mount_m": [0.885 + 0.12 * k, 3, 1.22 + 0.04 * k]}
            for k in range(3)]  # fmt: skip
    data["lights"] = [*near, data["lights"][1]]
    data["setups"] = [{"id": "all", "levels": {"l0": 1, "l1": 1, "l2": 1, "right light": 1}}]
    data["aims"] = []
    data["supply"] += [
        {"id": f"o{k}", "kind": "outlet", "fed_from": "bedroom circuit", "wall": 2,
         "at_m": [1.0 + 0.1 * k, 3, 0.4]} for k in range(2)
    ]  # fmt: skip
    for section in ("lights", "supply", "furniture"):
        for item in data[section]:
            item["name"] = f"{item['id']} of the long name that goes on and on for sixty"[:60]
    return data


def test_crowded_wall_keeps_its_texts_apart(plain: Study, folder: Path, browser: Any) -> None:
    """Marks a hand apart, and long names: dimensions and letters still do not meet."""
    html = folder / "crowded.html"
    page = sheet(study(parse(crowded(plain))), include=PARTS)
    html.write_text(page, encoding="utf-8")
    _, met = overlaps(browser, html)
    assert met == []


def test_checks_stay_and_the_next_step_comes_first(
    plain: Study, folder: Path, browser: Any
) -> None:
    """On a phone: contents link to each section; a ticked step stays ticked; the next one leads."""
    html = folder / "checks.html"
    html.write_text(sheet(plain), encoding="utf-8")
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(html.as_uri())
    targets = page.eval_on_selector_all(".contents a", "a => a.map(x => x.getAttribute('href'))")
    assert all(page.locator(target).count() == 1 for target in targets)
    first = page.locator(".next a").inner_text()
    page.locator("#step-cautions").check()
    assert page.locator(".next a").inner_text() != first
    page.reload()
    assert page.locator("#step-cautions").is_checked()
    assert not page.locator("#step-breaker").is_checked()
    # a part shows only when it is chosen
    assert not page.locator("#part-tests").is_visible()
    page.locator("#with-tests").check()
    assert page.locator("#part-tests").is_visible()
    context.close()


def test_without_its_script_the_sheet_is_whole(plain: Study, folder: Path, browser: Any) -> None:
    """Checks and choices work by themselves; nothing is missing but the memory."""
    html = folder / "plain.html"
    html.write_text(sheet(plain, include=("tests",)), encoding="utf-8")
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(html.as_uri())
    page.locator("#step-cautions").check()
    assert page.locator("#part-tests").is_visible()
    assert page.locator("section:visible").count() == 5
    context.close()


def test_the_command_s_choice(plain: Study) -> None:
    """``include`` ticks the boxes at the top; by itself only the core pages print."""
    for chosen in ((), ("tests", "light")):
        html = sheet(plain, include=chosen)
        ticked = set(re.findall(r'id="with-(\w+)" checked', html))
        assert ticked == set(chosen)
