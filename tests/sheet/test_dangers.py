"""What the sheet must never order: an overload, a coiled reel, a hole in a cable's way, a lie."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from lumen.command import main
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.files import examples, load
from lumen.sheet import sheet
from lumen.sheet.advice import can_move, ways
from lumen.sheet.bands import bands_on, clashes
from lumen.sheet.cuts import reel_tests, strip_cuts
from lumen.sheet.trials import heaviest, trials
from lumen.sheet.walls import fixed_on, wall_of
from lumen.study.cautions import cautions
from lumen.study.load.electrics import electrics
from lumen.study.study import Study, study
from tests.sheet.printing import EXAMPLES, study_of
from tests.sheet.test_figures import html_of

_ORDER = re.compile(r'data-order="([^"]*)" data-without="([^"]*)"')


def changed(path: Path, **sections: Any) -> Scenario:
    """Return a plan with some sections in place of its own."""
    data = json.loads(json.dumps(plain(load(path))))
    return parse({**data, **sections})


def named(stem: str) -> Path:
    """Return the plan of that name."""
    return next(path for path in EXAMPLES if path.stem == stem)


def pulled(plan: Scenario, setup_id: str, without: set[str]) -> Scenario:
    """Return the plan as it stands when only one setup is on, made from its JSON by hand.

    Another way than the sheet's: what is off is left out level by level from the leaves, until
    nothing that feeds nothing is left but circuits and outlets.
    """
    data = json.loads(json.dumps(plain(plan)))
    setup = next(s for s in data["setups"] if s["id"] == setup_id)
    on = {key for key, level in setup.get("levels", {}).items() if level > 0}
    on |= set(setup.get("running", ())) - without
    for section in ("lights", "strips"):
        data[section] = [item for item in data.get(section, []) if item["id"] in on]
    data["supply"] = [x for x in data["supply"] if x["kind"] != "appliance" or x["id"] in on]
    while True:
        used = {
            item.get("fed_from") for key in ("lights", "strips", "supply") for item in data[key]
        }
        kept = [
            x for x in data["supply"]
            if x["id"] in used or x["kind"] in ("circuit", "outlet", "appliance")
        ]  # fmt: skip
        if len(kept) == len(data["supply"]):
            break
        data["supply"] = kept
    setup["levels"] = {k: v for k, v in setup.get("levels", {}).items() if k in on}
    setup["running"] = [item for item in setup.get("running", []) if item in on]
    return parse({**data, "setups": [setup], "aims": []})


def test_no_order_asks_for_a_setup_with_a_stop(any_study: Study) -> None:
    """Each order to switch a setup on, as the page gives it, raises no stop when carried out."""
    orders = _ORDER.findall(html_of(any_study))
    names = {setup.id for setup in any_study.scenario.setups}
    for setup, without in orders:
        assert setup in names
        plan = pulled(any_study.scenario, setup, set(without.split("|")) - {""})
        raised = [c.rule for c in cautions(plan, electrics(plan)) if c.level == "stop"]
        assert raised == [], setup


def test_a_plan_without_a_stop_is_tested_whole(plain: Study) -> None:
    """The plain pair's heat test is its heaviest setup, with nothing unplugged."""
    found = heaviest(trials(plain.scenario))
    assert found is not None
    assert (found.setup, found.unplugged) == ("evening glow", ())
    assert "evening glow" in {setup for setup, _ in _ORDER.findall(html_of(plain))}


def test_the_heater_is_pulled_for_the_heat_test() -> None:
    """With a heater on the strip (CPSC: never), the test is ordered with that heater unplugged."""
    found = {t.setup: t for t in trials(load(named("heater-one-outlet")))}
    assert found["winter evening"].unplugged == ("ceramic heater",)
    assert set(found["hair drying"].unplugged) == {"ceramic heater", "hair dryer"}
    assert found["read left"].unplugged == ()


def test_nothing_is_ordered_where_every_setup_has_a_stop() -> None:
    """Two metal lights without earth: no heat test, no reading, and the page says why."""
    html = html_of(study_of(named("two-pin-no-earth")))
    assert _ORDER.findall(html) == []
    assert "do not run this test" in html


def test_lid_and_heat_test_give_the_top_of_the_band(plain: Study) -> None:
    """A label carries the most that the study reckons with, not the middle."""
    html = html_of(plain)
    heat = plain.to_json()["power"]["heat"][0]
    assert heat["air_c"][2] > heat["air_c"][1] + 1.0
    shown = re.findall(r'<data value="([^"]+)" data-study="power\.heat\.0\.air_c\.(\d)">', html)
    assert len(shown) >= 2
    assert {place for _, place in shown} == {"2"}


def test_a_reel_is_lit_only_on_a_driver_that_carries_it() -> None:
    """5 m of 12 W/m draw 60 W: a driver of 80 W carries them (four fifths: 64 W), one of 70 not."""
    strip = {
        "id": "s", "path_m": [[0.1, 2.9, 1], [3.5, 2.9, 1]], "flux_lm_per_m": 900,
        "power_w_per_m": 12, "fed_from": "d",
    }  # fmt: skip
    for watts, allowed in ((80, True), (70, False)):
        supply = [
            {"id": "c", "kind": "circuit"},
            {"id": "o", "kind": "outlet", "fed_from": "c"},
            {"id": "d", "kind": "driver", "fed_from": "o", "rating_w": watts},
        ]
        plan = changed(EXAMPLES[0], strips=[strip], supply=supply, lights=[], setups=[], aims=[])
        (test,) = reel_tests(plan, strip_cuts(plan))
        assert (test.reel_m, test.reel_w) == (pytest.approx(5.0, abs=0.03), pytest.approx(60, 0.01))
        assert test.allowed is allowed


def test_the_plain_pair_s_reel_is_not_lit_whole(plain: Study) -> None:
    """16.4 ft of 9.6 W/m on a 30 W driver: the page forbids it in words."""
    assert "do not light the whole reel on this driver" in html_of(plain)


def test_a_nightstand_over_an_outlet_is_a_clash() -> None:
    """Its back, not only its corners, is tested: an outlet under its middle was missed before."""
    stand = {"id": "n", "kind": "nightstand", "at_m": [1.0, 2.85, 0.5], "size_m": [0.6, 0.3, 0.2]}
    supply = [
        {"id": "c", "kind": "circuit"},
        {"id": "o", "kind": "outlet", "fed_from": "c", "at_m": [1.0, 3.0, 0.3], "wall": 2},
    ]
    plan = changed(
        EXAMPLES[0], furniture=[stand], supply=supply, lights=[], strips=[], setups=[], aims=[],
        people=[], region="UK",
    )  # fmt: skip
    wall = wall_of(plan, 2)
    found = clashes(fixed_on(plan, wall), bands_on(plan, wall), wall)
    upright = next(clash for clash in found if clash.band == "outlet upright")
    # half a twin plate 75 mm and 25 mm for a plug either side of its middle at 300 mm
    assert upright.free_along == (
        (0.0, pytest.approx(0.2)),
        (pytest.approx(0.4), pytest.approx(0.6)),
    )
    assert upright.above_outlet == "o"


def test_advice_can_be_followed_where_the_light_is(any_study: Study) -> None:
    """No way out of glare leads through a ceiling, off a board or into furniture."""
    plan = any_study.scenario
    boards = [item for item in plan.furniture if item.kind == "headboard"]
    for light in plan.lights:
        for seen in (each for each in any_study.comfort.sight if each.light == light.id):
            for way in ways(plan, light, seen):
                if not way.words.startswith(("raise", "lower")):
                    continue
                height = light.mount_m[2] + (way.by_m if way.words[0] == "r" else -way.by_m)
                assert 0.0 < height < plan.room.height_m
                if light.mount == "headboard":
                    top = max(b.at_m[2] + b.size_m[2] for b in boards)
                    assert height < top


def test_a_light_on_a_board_cannot_be_raised_past_it() -> None:
    """In the attic the board ends at 0.90 m and the light is at 0.85 m: 20 mm up, not 170."""
    plan = load(named("attic-slope"))
    assert can_move(plan, plan.lights[0], 0.02)
    assert not can_move(plan, plan.lights[0], 0.17)


def test_driver_is_held_against_its_own_output(plain: Study) -> None:
    """Against 1.25 A at 24 V stand the amperes at 24 V, not those it takes from the mains."""
    nodes = plain.to_json()["power"]["nodes"]
    place = next(k for k, node in enumerate(nodes) if node["kind"] == "driver")
    html = html_of(plain)
    assert f'data-study="power.nodes.{place}.limits.0.carries"' in html
    limit = nodes[place]["limits"][0]
    assert limit["carries"] == pytest.approx(limit["share"] * limit["amperes"], rel=1e-4)


def test_a_lamp_holder_is_marked_for_no_less_than_its_lamp(plain: Study) -> None:
    """The mark to look for is the lamp's watts or more; a draw of nothing is not asked for."""
    words = " ".join(re.sub(r"<[^>]+>", " ", html_of(plain)).split())
    assert "marked for lamps of: 5.5 W or more" in words
    other = re.sub(r"<[^>]+>", " ", html_of(study_of(named("weak-supply"))))
    assert not re.search(r"(?<![\d.])0 W or less", " ".join(other.split()))


@pytest.mark.parametrize("facing", ["bed wall", "down", "up", "room"])
def test_a_strip_inside_a_board_has_a_sheet(facing: str) -> None:
    """A strip that faces nothing near by has no distance to it; the page says so in words."""
    data = json.loads(json.dumps(plain(load(EXAMPLES[0]))))
    data["strips"][0] |= {"path_m": [[1.1, 2.945, 0.8], [2.5, 2.945, 0.8]], "facing": facing}
    assert "glow strip" in sheet(study(parse(data)))


def test_command_refuses_to_write_over_a_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A plan given as output, by whatever name, stays as it was; status 2 and a sentence."""
    source = examples()[0].read_text(encoding="utf-8")
    plan, other = tmp_path / "p.json", tmp_path / "looks-like.html"
    for path in (plan, other):
        path.write_text(source, encoding="utf-8")
        assert main(["sheet", str(plan), "-o", str(path)]) == 2
        assert path.read_text(encoding="utf-8") == source
        assert "must not be a plan" in capsys.readouterr().err


def test_the_old_sheet_stays_when_the_new_one_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file is the old one or the new one, and nothing else is left in its folder."""
    plan, out = tmp_path / "p.json", tmp_path / "out.html"
    plan.write_text(named("two-pin-no-earth").read_text(encoding="utf-8"), encoding="utf-8")
    out.write_text("old", encoding="utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    assert main(["sheet", str(plan), "-o", str(out)]) == 2
    assert out.read_text(encoding="utf-8") == "old"
    assert {path.name for path in tmp_path.iterdir()} == {"p.json", "out.html"}


@pytest.mark.parametrize("stem", ["attic-slope", "heater-one-outlet", "no-drill-toddler"])
def test_rooms_without_holes_are_not_told_to_drill(stem: str) -> None:
    """Lights on posts and boards: no hole, no breaker off for it, nothing to fill or paint."""
    words = " ".join(re.sub(r"<[^>]+>", " ", html_of(study_of(named(stem)))).split())
    for order in ("Drill one hole", "Prove it dead", "fill, sand, paint", "(drill)", "(hangs"):
        assert order not in words, order
    assert "no hole in the wall" in words
    assert "May I make holes" not in words


def test_posts_are_tightened_and_taken_out() -> None:
    """Each tension post once, with its steps and its undo; screws no longer than it is thick."""
    words = " ".join(re.sub(r"<[^>]+>", " ", html_of(study_of(named("heater-one-outlet")))).split())
    assert words.count("left post: stand it plumb") == 1
    assert words.count("left post: slacken and take out") == 1
    assert "screw it to left post, screws at most 35 mm" in words


def test_a_light_held_by_adhesive_has_no_hole(plain: Study) -> None:
    """``fixing`` adhesive: its own steps and undo, no clash with a band, no dot to drill."""
    data = json.loads(json.dumps(plain_json(plain)))
    for light in data["lights"]:
        light["fixing"] = "adhesive"
    html = sheet(study(parse(data)))
    words = " ".join(re.sub(r"<[^>]+>", " ", html).split())
    assert "(adhesive, no hole)" in words
    assert "adhesive plate on clean, dry, sound paint" in words
    assert "warm the adhesive, pull along the wall" in words
    assert "screw holes at" not in words


def plain_json(found: Study) -> Any:
    """Return a study's plan as its file has it."""
    return plain(found.scenario)


def test_one_person_is_not_two() -> None:
    """The profiling bed has one sleeper."""
    words = " ".join(re.sub(r"<[^>]+>", " ", html_of(study_of(named("profiling-bed")))).split())
    for two in ("both sides", "both pillows", "the other person", "everybody who sleeps"):
        assert two not in words, two


@pytest.mark.parametrize(
    ("stem", "own", "foreign"),
    [
        ("plain-pair", "GFCI", "RCD"),
        ("profiling-bed", "RCD", "GFCI"),
        ("attic-slope", "AFDD", "AFCI"),
    ],
)
def test_the_electrician_s_words_are_those_of_the_region(stem: str, own: str, foreign: str) -> None:
    """UL 943 and UL 1699 in North America, IEC 61008 and IEC 62606 elsewhere."""
    words = " ".join(re.sub(r"<[^>]+>", " ", html_of(study_of(named(stem)))).split())
    assert own in words
    assert foreign not in words


def test_a_british_plan_with_nothing_plugged_in_has_a_sheet() -> None:
    """A light with a cord and no outlet yet: no plug, so no fuse to look at; it used to fail."""
    data = json.loads(json.dumps(plain(load(named("alcove-two-sleep-times")))))
    data |= {"supply": [], "aims": [], "setups": []}
    for section in ("lights", "strips"):
        for item in data[section]:
            item.pop("fed_from", None)
    assert "left spot" in sheet(study(parse(data)))
