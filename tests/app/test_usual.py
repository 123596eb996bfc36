"""What a plan means where it says nothing: one thing for the engine, the drawing, the paper."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lumen.app.inspect import fields_of
from lumen.app.usual import script
from lumen.light.shade import SHAPES, distribution_of_shade
from lumen.light.sources import PanelSource
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.files import examples, load
from lumen.sheet.true_size import outline_of
from lumen.study.scene.reading import lit_pages
from lumen.study.scene.surfaces import reflectance
from lumen.study.scene.targets import bed_of, lying_eye, sitting_eye

ROOT = Path(__file__).parents[2]


def _drawn(words: str, data: Any) -> Any:
    """Return what the page's own scripts make of data, run under node."""
    node = shutil.which("node")
    if node is None:
        pytest.skip("needs node")
    code = (
        'import * as Plan from "./assets/plan.js";\n'
        'import * as Wall from "./assets/wall.js";\n'
        f"const data = {json.dumps(data)};\n"
        f"console.log(JSON.stringify({words}));"
    )
    run = subprocess.run(
        [node, "--input-type=module", "-e", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(run.stdout)


def test_the_script_is_written_from_the_models() -> None:
    """``python -m lumen.app.usual > assets/usual.js`` after a default changes."""
    assert (ROOT / "assets" / "usual.js").read_text("utf-8") == script()


@pytest.mark.parametrize("written", [{}, {"top_diameter_m": 0.2, "lamp_height_m": 0.07}])
@pytest.mark.parametrize("shape", SHAPES)
def test_a_shade_is_as_wide_above_in_light_drawing_and_template(
    plain_pair: Scenario, shape: str, written: dict[str, float]
) -> None:
    """Engine, page and printed template agree on upper diameter and lamp, written or left out."""
    if shape == "globe":
        written = {key: value for key, value in written.items() if key != "top_diameter_m"}
    form = {"form": "shade", "shape": shape, "bottom_diameter_m": 0.3, "height_m": 0.18, **written}
    corners = _drawn("Wall.shadeOutline(data)", form)
    half_top, top = corners[2]
    under = -corners[0][1]

    plan = plain(plain_pair)
    plan["lights"][0]["distribution"] = form
    template = outline_of(parse(plan), parse(plan).lights[0])
    centre = template.lamp_m
    assert template.upper_m == pytest.approx(2 * half_top, abs=1e-6)
    assert template.bottom_m == pytest.approx(centre - under, abs=1e-6)
    assert template.top_m == pytest.approx(centre + top, abs=1e-6)

    sizes = {"shape": shape, "bottom_diameter_m": 0.3, "height_m": 0.18}
    left_out = distribution_of_shade(400.0, **sizes, **written)  # type: ignore[arg-type]
    as_drawn = distribution_of_shade(
        400.0,
        **sizes,  # type: ignore[arg-type]
        top_diameter_m=2 * half_top,
        lamp_height_m=under,
    )
    assert left_out.shares == as_drawn.shares
    assert left_out.cutoff_above == as_drawn.cutoff_above
    assert left_out.cutoff_below == as_drawn.cutoff_below


@pytest.mark.parametrize("finish", [None, {"colour": "#aabbcc"}, {"lrv": 72}])
def test_furniture_is_drawn_as_light_as_it_is_reckoned(
    plain_pair: Scenario, finish: dict[str, Any] | None
) -> None:
    """No finish, a colour without a value read, a value: page and engine take the same one."""
    plan = plain(plain_pair)
    item = plan["furniture"][0]
    item.pop("finish", None)
    if finish is not None:
        item["finish"] = finish
    taken = reflectance(parse(plan).furniture[0].finish)
    assert _drawn("Plan.lrvOf(data)", item) == pytest.approx(100 * taken)


def test_places_and_holes_left_out_are_the_documents_own(plain_pair: Scenario) -> None:
    """Lights' centres and holes: the page reads them where the plan has none."""
    plan = plain(plain_pair)
    plan["lights"][0].pop("projection_m", None)
    x, y, z = _drawn("Plan.lightCentre(data, data.lights[0])", plan)
    written = parse(plan).lights[0]
    assert [x, z] == pytest.approx([written.mount_m[0], written.mount_m[2]])
    assert written.mount_m[1] - y == pytest.approx(written.projection_m)
    kinds = [{"kind": kind} for kind in ("outlet", "power strip", "adapter", "extension")]
    assert _drawn("data.map(Plan.holesOf)", kinds) == [2, 6, 2, 1]


@pytest.mark.parametrize("written", [{}, {"width_m": 0.25}, {"distance_m": 0.3}])
@pytest.mark.parametrize("reads_from", [None, "paper", "e-paper", "tablet", "phone"])
def test_a_page_is_drawn_as_large_as_it_is_reckoned(
    plain_pair: Scenario, reads_from: str | None, written: dict[str, float]
) -> None:
    """A phone, a tablet, a page of a written size: drawn with the corners that give the light."""
    plan = plain(plain_pair)
    reader = plan["people"][0]
    reader["page"] = written
    if reads_from is not None:
        reader["reads_from"] = reads_from
    drawn = _drawn("Plan.pageCorners(data, data.people[0])", plan)
    _, emitter = lit_pages(parse(plan))[0]
    assert isinstance(emitter.source, PanelSource)
    corners = emitter.source.corners  # 0.1 mm behind the page itself
    apart = np.linalg.norm(np.array(drawn)[:, None] - corners, axis=2)
    assert sorted(apart.argmin(axis=1)) == [0, 1, 2, 3]
    assert apart.min(axis=1) == pytest.approx(0.0, abs=2e-4)


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_people_are_drawn_where_they_are_reckoned(path: Path) -> None:
    """Everybody in the bed they name: the eyes that are drawn are those that are asked."""
    plan = load(path)
    words = "data.people.map((p) => [Plan.readingEye(data, p), Plan.lyingEye(data, p)])"
    for person, (sitting, lying) in zip(plan.people, _drawn(words, plain(plan)), strict=True):
        bed = bed_of(plan, person)
        assert bed is not None
        assert sitting == pytest.approx(list(sitting_eye(bed, person)))
        assert lying == pytest.approx(list(lying_eye(bed, person)))


def test_the_form_shows_the_size_that_is_taken(plain_pair: Scenario) -> None:
    """Somebody who reads from a phone sees its size, and a written one where there is one."""
    plan = plain(plain_pair)
    plan["people"][0] |= {"reads_from": "phone", "page": {"width_m": 0.08}}
    found = {f.path: f.text for f in fields_of(parse(plan), "left", "cm")}
    assert found["page.width_m"].startswith("8")
    assert found["page.height_m"].startswith("15")
