"""One thing has one number, everywhere it is shown.

The faces are read as they are handed out (the page's cards, the packed maps, the glow, the walk-in
picture, the text and JSON of ``check``, the sheet and its lists) and held against one another and
against `illuminance_at`: 1 % for answers, 5 % for a map's average against its card. Six of the
twelve plans and a drawn one in the normal run; `pytest -m long tests/proof/test_one_number.py`
takes the other six, draws 60, and asks every target of each.
"""

from __future__ import annotations

import math
import random
import re
from functools import cache
from html import unescape
from typing import Any

import numpy as np
import pytest

import lumen
from lumen.app.panels import compare_panels
from lumen.light.colour import tint_of_white
from lumen.light.interreflection import PHOTOMETRIC
from lumen.scenario.files import examples, load
from lumen.study.scene.surfaces import bed_wall, reflectance
from lumen.study.scene.targets import targets
from lumen.whatif.heights import height_sweep
from tests.proof.faces import Faces, Figure, Map, drawn_plan

PLANS = [load(path) for path in examples()]
SHORT, LONG = (11,), range(100, 160)
FEW = (
    "plain-pair",
    "attic-slope",
    "l-room-dressing-nook",
    "loft-over-bunk",
    "parents-with-cot",
    "weak-supply",
)

_OF_MAPS = 0.05  # a map's average against its card
_OF_FLOORS = 0.10  # the floor's card looks every 25 cm, its map every 15 cm, also beside a strip
_OF_ANSWERS = 0.01
_DARK_LX = 0.3  # nobody reads a map of less


@cache
def faces_of(case: int) -> Faces:
    """The twelve plans, then those drawn from a seed."""
    return Faces(PLANS[case] if case < len(PLANS) else drawn_plan(case, PLANS))


def _name(case: int) -> str:
    return examples()[case].stem if case < len(PLANS) else f"drawn {case}"


@pytest.fixture(
    scope="module",
    params=[
        *(
            pytest.param(case, marks=[] if path.stem in FEW else [pytest.mark.long])
            for case, path in enumerate(examples())
        ),
        *(len(PLANS) + seed for seed in SHORT),
        *(pytest.param(seed, marks=pytest.mark.long) for seed in LONG),
    ],
    ids=_name,
)
def faces(request: pytest.FixtureRequest) -> Faces:
    """One plan's faces, read once for all laws."""
    return faces_of(request.param)


def setups(faces: Faces) -> list[tuple[str, str]]:
    """Id and name of each setup."""
    return [(one["id"], one["name"]) for one in faces.data["setups"]]


def answers(faces: Faces, setup: str) -> dict[str, dict[str, Any]]:
    """The JSON's planes and eyes in a setup, by target."""
    rows = [*faces.data["planes"], *faces.data["eyes"]]
    return {row["target"]: row for row in rows if row["setup"] == setup}


def unread(faces: Faces) -> list[tuple[str, str]]:
    """The setups in which nobody reads."""
    return [each for each in setups(faces) if not faces.packed["reading"].get(each[0])]


@pytest.mark.parametrize("share", [0.3, pytest.param(1.0, marks=pytest.mark.long)])
def test_json_is_what_anybody_finds_at_the_same_points(faces: Faces, share: float) -> None:
    """Average, least and most of planes and eyes are those of `illuminance_at`: 1 %.

    A share of each plan's targets, drawn by its title so that rooms draw others; all on demand.
    Each in a setup drawn for it, on demand in the first and in one more.
    """
    if not setups(faces):
        pytest.skip("a plan without setups")
    every = targets(faces.plan)
    draw = random.Random(faces.plan.title)
    cases = [
        (target, setup)
        for target in draw.sample(every, math.ceil(share * len(every)))
        for setup in {draw.choice(setups(faces))[0], *([setups(faces)[0][0]] if share == 1 else [])}
    ]
    for target, setup in cases:
        known = answers(faces, setup)
        found = lumen.illuminance_at(
            faces.plan, target.points, target.normals, setup=setup, target=target.id
        )
        row = known[target.id]
        for key, value in (
            ("average_lx", found.mean()),
            ("minimum_lx", found.min()),
            ("maximum_lx", found.max()),
        ):
            assert row[key] == pytest.approx(value, rel=_OF_ANSWERS, abs=0.002), (target.id, key)


def test_text_and_cards_say_what_the_json_says(faces: Faces) -> None:
    """``check`` as text and the page's cards print the JSON's averages, rounded."""
    names = {one["id"]: one["name"] for one in faces.data["targets"]}
    read = 0
    for setup, name in setups(faces):
        known = answers(faces, setup)
        said = {line[2:36].strip(): line[36:] for line in faces.text[name] if line.startswith("  ")}
        for target, row in known.items():
            words = said.get(names[target], "")
            if found := re.match(r"about ([\d.]+) lx \(([\d.]+)-([\d.]+)\)", words):
                for figure, key in zip(
                    found.groups(), ("average_lx", "low_lx", "high_lx"), strict=True
                ):
                    assert Figure(figure).says(row[key]), (setup, target, key, words)
                read += 1
            if found := re.search(r"least ([\d.]+), most ([\d.]+)", words):
                assert Figure(found[1]).says(row["minimum_lx"]), (setup, target, words)
                assert Figure(found[2]).says(row["maximum_lx"]), (setup, target, words)
        for live, (value, band) in faces.cards(setup).items():
            lying = [
                row["average_lx"] for name, row in known.items() if name.startswith(f"{live}:lying")
            ]
            average = known[live]["average_lx"] if live in known else max(lying)
            if value == "under 0.1":
                assert average < 0.1
            else:
                assert Figure(value).says(average), (setup, live, value, average)
                low, _, high = band.partition("-")
                assert float(low) <= float(value) <= float(high), (setup, live, band)
            read += 1
    assert read or not faces.plan.people


def test_maps_average_what_their_cards_say(faces: Faces) -> None:
    """A page's and the bed's map, over all cells: 5 %; the floor's, where its card looks: 10 %.

    The least of a map is not above its card's average, nor its most below it.
    """
    points = {one.id: one.points for one in targets(faces.plan)}
    for setup, _ in setups(faces):
        levels, known = faces.weights(setup), answers(faces, setup)
        for name, shown in faces.maps.items():
            row = known.get(name)
            if row is None or row["average_lx"] < _DARK_LX:
                continue
            lux = shown.lux(levels)
            if name == "floor":
                mean, within = float(shown.at(points[name], lux).mean()), _OF_FLOORS
            else:
                mean, within = float(lux.ravel()[shown.free].mean()), _OF_MAPS
            assert mean == pytest.approx(row["average_lx"], rel=within), (setup, name)
            assert lux.ravel()[shown.free].min() <= row["average_lx"], (setup, name)
            assert lux.ravel()[shown.free].max() >= row["average_lx"], (setup, name)


def test_maps_are_what_anybody_finds_in_their_cells(faces: Faces) -> None:
    """Every map against `illuminance_at` at the middles of its free cells: the mean within 5 %.

    A cell of direct light is the mean of nine places: single cells differ at a shadow's edge.
    """
    draw = np.random.default_rng(5)
    for name, shown in faces.maps.items():
        free = np.flatnonzero(shown.free)
        rows = draw.choice(free, min(len(free), 40), replace=False)
        points = shown.middles()[rows] + 0.005 * shown.normal
        found = lumen.illuminance_at(
            faces.plan, points, shown.normal, target=name if name.startswith("page:") else None
        )
        mapped = shown.lux(faces.weights("everything on")).ravel()[rows]
        if found.mean() > _DARK_LX:
            assert mapped.mean() == pytest.approx(found.mean(), rel=_OF_MAPS), name
            close = np.abs(mapped - found) <= 0.2 * found + 0.02 * found.max()
            assert close.mean() > 0.85, name


def test_glow_is_the_wall_that_anybody_finds(faces: Faces) -> None:
    """Along a headboard: illuminance times reflectance over pi, mean within 1 %, places within 3 %.

    The words and the picture say what the numbers say.
    """
    wall: Map = faces.maps["wall"]
    for number, glow in enumerate(faces.data["comfort"]["glow"]):
        along = np.array(glow["along_m"])
        rise = np.array([0.0, 0.0, glow["height_m"]])
        points = wall.corner + along[:, None] * wall.u + rise + 0.002 * wall.normal
        room = faces.plan.room
        finish = room.finishes.wall_by_wall.get(str(bed_wall(room)), room.finishes.walls)
        share = reflectance(finish) / np.pi
        found = share * lumen.illuminance_at(faces.plan, points, wall.normal)
        full = faces.weights("everything on")
        rows = {name: np.array(row) for name, row in glow["luminance_cd_m2"].items()}
        shown = sum((full[name] * row for name, row in rows.items()), np.zeros(len(along)))
        if found.mean() < 0.1:
            continue
        assert shown.mean() == pytest.approx(found.mean(), rel=_OF_ANSWERS), glow["board"]
        np.testing.assert_allclose(shown, found, rtol=0.03, atol=0.01 * found.max())
        strips = {strip.id for strip in faces.plan.strips}
        for setup, name in unread(faces):
            levels = faces.weights(setup)
            line = sum((levels[s] * rows[s] for s in strips), np.zeros(len(along)))
            told = [
                line for line in faces.text[name] if "Glow above the" in line and "cd/m2" in line
            ]
            if len(faces.data["comfort"]["glow"]) == 1 and told:
                figure = re.search(r"about ([\d.]+) cd/m2", told[0])
                assert figure is not None
                assert Figure(figure[1]).says(float(line.mean())), (setup, told)
            labels = faces.glow_labels(setup)
            if len(labels) > number:
                least, most = re.findall(r"[\d.]+", labels[number])[:2]
                assert Figure(least).says(float(line.min())), (setup, labels)
                assert Figure(most).says(float(line.max())), (setup, labels)


def test_the_walk_in_picture_shows_the_maps(faces: Faces) -> None:
    """Colours of bed wall, floor and bed, read back to cd/m2, are the maps' light on a grey finish.

    Codes of 40 to 240 are held to 4 %: one step of a code is up to 2.5 % there.
    """
    finishes = [
        faces.plan.room.finishes.walls,
        faces.plan.room.finishes.floor,
        faces.plan.room.finishes.ceiling,
        *faces.plan.room.finishes.wall_by_wall.values(),
        *(item.finish for item in faces.plan.furniture),
        *(one.finish for one in faces.plan.room.openings if one.finish),
    ]
    if any(finish.colour for finish in finishes) or not unread(faces):
        pytest.skip("its colours mix with the light's, or somebody reads in every setup")
    exposure = 25.0
    setup = max(unread(faces), key=lambda one: sum(faces.weights(one[0]).values()))[0]
    levels = faces.weights(setup)
    meshes = faces.walk(setup, exposure)[1:]
    names = [name for name in faces.maps if not name.startswith("page:")]
    cct = {e.id: e.cct_k for e in faces.study.lighting.emitters}
    shares = {"wall": None, "floor": faces.plan.room.finishes.floor}
    for name, mesh in zip(names, meshes, strict=True):
        shown = faces.maps[name]
        finish = shares.get(name)
        if finish is None:
            continue
        want = np.zeros((len(shown.free), 3))
        for source in cct:
            level = levels[source]
            light = (shown.direct[source] + shown.bounced[source])[:, None]
            want += level * light * np.array(tint_of_white(cct[source]))
        want = want @ PHOTOMETRIC * reflectance(finish) / np.pi
        codes = np.array([[int(c) for c in re.findall(r"\d+", rgb)] for rgb in mesh["vertexcolor"]])
        coded = codes / 255
        linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
        seen = -np.log1p(-np.minimum(linear, 0.9999)) * exposure @ PHOTOMETRIC
        fair = (codes.min(axis=1) > 40) & (codes.max(axis=1) < 240)
        np.testing.assert_allclose(seen[fair], want[fair], rtol=0.04)


def test_sheet_and_lists_carry_the_same_numbers(faces: Faces) -> None:
    """The printed sheet's planes, eyes and readings, and the lists, against the JSON: 1 %."""
    held = {name: (faces.data[kind], kind) for kind in ("planes", "eyes") for name in [kind]}
    read = 0
    for place, (value, words) in faces.paper.items():
        kind, _, rest = place.partition(".")
        number, _, key = rest.partition(".")
        if kind in held and key.endswith("_lx"):
            want = held[kind][0][int(number)][key]
            assert value == pytest.approx(want, rel=_OF_ANSWERS, abs=0.002), place
            figure = re.search(r"\d+(\.\d+)?", words)
            assert figure is not None
            if not words.startswith("under"):
                assert Figure(figure[0]).says(want) or want < 0.05, (place, words, want)
            read += 1
    assert read or max((row["high_lx"] for row in faces.data["planes"]), default=0.0) < 0.1
    names = {one["id"]: one["name"] for one in faces.data["targets"]}
    known = {
        (setup_name, names[target]): row["average_lx"]
        for setup, setup_name in setups(faces)
        for target, row in answers(faces, setup).items()
    }
    for _, row in faces.tables["night"].iterrows():
        for reading in ("first", "second"):
            if (row["setup"], row[reading]) in known:
                want = known[row["setup"], row[reading]]
                assert row[f"{reading}_lx"] == pytest.approx(want, rel=_OF_ANSWERS)


def test_what_lies_round_a_page_is_what_anybody_finds_there(faces: Faces) -> None:
    """Contrast: the mean of illuminance times reflectance over pi where the reader looks: 1 %.

    Not in rooms with a mirror, in which one sees by another law. In one setup drawn for each page.
    """
    if faces.study.lighting.mirrors:
        pytest.skip("what one sees in a mirror is no matt surface")
    told = {
        (row["setup"], row["target"]): row["surround"]
        for setup in faces.data["comfort"]["setups"]
        for row in setup["contrast"]
    }
    draw = random.Random(faces.plan.title)
    for page in faces.study.comfort.around_pages:
        seen, (setup, _) = page.surfaces, draw.choice(setups(faces))
        lux = lumen.illuminance_at(faces.plan, seen.points, seen.normals, setup=setup)
        found = float((seen.reflectances * lux / np.pi).mean()) if len(lux) else 0.0
        close = pytest.approx(found, rel=_OF_ANSWERS, abs=1e-4)
        assert told[setup, page.target] == close, (setup, page.target)


def test_two_setups_side_by_side_print_the_same_numbers(faces: Faces) -> None:
    """The table of two setups has the averages and bands that the JSON has for both."""
    if len(setups(faces)) < 2:
        pytest.skip("a plan with one setup")
    names = {one["id"]: one["name"] for one in faces.data["targets"]}
    (first, _), *_, (second, _) = setups(faces)
    page = unescape(compare_panels(faces.study, first, second)["compare"])
    rows = dict(re.findall(r'<th scope="row">([^<]*)</th>((?:<td.*?</td>)+)', page))
    read = 0
    for setup, column in ((first, 0), (second, 1)):
        for target, row in answers(faces, setup).items():
            cells = re.findall(r"<td[^>]*>([^<]*)", rows.get(names[target], ""))
            if cells and (figure := re.match(r"about ([\d.]+) lx \(([\d.]+)-", cells[column])):
                assert Figure(figure[1]).says(row["average_lx"]), (setup, target, cells)
                assert Figure(figure[2]).says(row["low_lx"]), (setup, target, cells)
                read += 1
            elif cells:
                assert row["high_lx"] < 0.1
    assert read or not faces.plan.people


def test_what_a_near_thing_changes_begins_at_the_answer(faces: Faces) -> None:
    """The list of changes: each is told from the very number that the JSON has in that setup."""
    names = {one["id"]: one["name"] for one in faces.data["targets"]}
    known = {
        (name, names[target]): row
        for setup, name in setups(faces)
        for target, row in answers(faces, setup).items()
    }
    for _, row in faces.tables["changes"].iterrows():
        key = "melanopic_edi_lx" if "melanopic" in row["unit"] else "average_lx"
        want = known[row["setup"], row["target"]][key]
        assert row["from_value"] == pytest.approx(want, rel=_OF_ANSWERS), dict(row)


@pytest.mark.parametrize("case", [0, 4, 7], ids=_name)
def test_a_light_at_its_own_height_is_the_plan(case: int) -> None:
    """The curve over heights goes through the card: page and eyes as the JSON has them."""
    faces = faces_of(case)
    light = next(one for one in faces.plan.lights if one.mount in ("wall", "headboard"))
    found = height_sweep(faces.plan, light.id)
    assert found.here.page is not None
    row = answers(faces, found.setup)[f"page:{found.reader}"]
    assert found.here.page.value == pytest.approx(row["average_lx"], rel=_OF_ANSWERS)
