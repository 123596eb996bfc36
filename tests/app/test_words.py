"""What the page says is what the study found."""

from __future__ import annotations

import html
import re

import pytest

from lumen.app import commands, panels, words
from lumen.app.cards import answer_cards, seen_cards
from lumen.scenario.document import Scenario
from lumen.study.study import Study
from lumen.words.figures import amount, watts


def _study(found: commands.Found) -> Study:
    assert found.study is not None
    return found.study


def test_each_answer_has_the_studys_number_and_band(found: commands.Found) -> None:
    """The number and band of each plane's answer are the study's, rounded as people say them."""
    cards = {card.target.id: card for card in answer_cards(_study(found), "read left")}
    for plane in found.data["planes"]:
        if plane["setup"] == "read left":
            answer = cards[plane["target"]]
            assert answer.number == amount(plane["average_lx"])
            assert answer.band == f"{amount(plane['low_lx'])}-{amount(plane['high_lx'])}"


def test_parts_of_an_answer_add_up_to_it(found: commands.Found) -> None:
    """Direct and bounced shares of all sources make up the whole bar."""
    for answer in answer_cards(_study(found), "read both"):
        whole = sum(part.direct_share + part.bounced_share for part in answer.parts)
        assert 0.97 < whole <= 1.0001


def test_a_short_page_says_how_much_is_missing(found: commands.Found) -> None:
    """A page that is short of its wish names the light and how many times its flux it takes."""
    cards = answer_cards(_study(found), "read left")
    pages = [card for card in cards if card.aim is not None and card.aim.state == "short"]
    assert pages
    page = pages[0]
    plane = next(
        p
        for p in found.data["planes"]
        if p["setup"] == "read left" and p["target"] == page.target.id
    )
    main = max(s["direct_lx"] + s["bounced_lx"] for s in plane["by_source"])
    left = plane["after_years_lx"] / plane["average_lx"]
    times = (main * left + 300 - plane["after_years_lx"]) / (main * left)
    assert any(f"{amount(times)} times" in line for line in page.limits)


def test_power_names_the_fullest_link(found: commands.Found) -> None:
    """The power line gives the setup's watts and the node with the largest share of its rating."""
    said = words.power_answer(_study(found).electrics, "read both")
    total = next(s for s in found.data["setups"] if s["id"] == "read both")
    shares = {
        node["name"]: node["by_setup"]["read both"]["share"]
        for node in found.data["power"]["nodes"]
        if node["rating_a"] and node["by_setup"]["read both"]["share"] is not None
    }
    assert said.value.startswith(watts(total["total_w"]))
    assert max(shares, key=lambda name: shares[name]) in said.band


def test_no_answer_promises_safety(found: commands.Found) -> None:
    """Nothing on the page says safe or compliant, and the first screen avoids the trade's words."""
    said = panels.study_panels(found.study, "read left")
    text = " ".join(said.values()).lower()
    for word in ("compliant", ">safe", " safe "):
        assert word not in text
    first = said["answers"].partition("cautions")[0].lower()
    for word in ("candela", "ugr", " der ", "power factor"):
        assert word not in first


def test_every_caution_shows_its_numbers_rule_source_and_remedy(found: commands.Found) -> None:
    """Each caution of the study is in the list with all that makes it believable."""
    cautions = found.data["cautions"]
    text = html.unescape(panels.study_panels(found.study, "night")["cautions"])
    assert cautions
    for caution in cautions:
        for part in ("title", "fact", "remedy", "source"):
            assert caution[part] in text


def test_a_bare_bulb_in_sight_is_told_with_what_clears_it(found: commands.Found) -> None:
    """The answer on bare bulbs counts the places and repeats the study's sentences."""
    lines = next(s for s in found.data["comfort"]["setups"] if s["setup"] == "read left")["harsh"]
    sight = seen_cards(_study(found), "read left")[0]
    assert len(sight.lines) == len(lines)
    assert sight.glares == any(line["glares"] for line in lines)


def test_every_field_of_every_thing_is_in_its_form(plain_pair: Scenario) -> None:
    """Each thing has a form; each number that is written in the plan can be found there."""
    from lumen.app.inspect import SECTIONS, fields_of

    for section in SECTIONS:
        for item in getattr(plain_pair, section):
            paths = {field.path for field in fields_of(plain_pair, item.id, "cm")}
            for name in item.model_fields_set - {"id", "kind"}:
                assert any(path.split(".")[0] == name for path in paths), (item.id, name)


def test_what_a_person_wrote_is_never_markup(plain_pair: Scenario) -> None:
    """A thing called like a tag is shown as text in every panel."""
    evil = "<img src=x onerror=alert(1)>"
    lights = (plain_pair.lights[0].model_copy(update={"name": evil}), *plain_pair.lights[1:])
    plan = plain_pair.model_copy(update={"lights": lights})
    for text in (
        *panels.form_panels(plan, ["left light"], "cm").values(),
        *panels.form_panels(plan, [], "cm").values(),
        *panels.choice_panels(plan, ()).values(),
    ):
        assert "<img" not in text
    assert "&lt;img" in panels.form_panels(plan, ["left light"], "cm")["hand"]


def test_every_node_and_caution_can_be_explained(found: commands.Found) -> None:
    """Beside each node of the load tree and each caution stands the study's sum, every line."""
    told = panels.study_panels(found.study, "read left")
    page = html.unescape(" ".join(told.values()))
    lines = [
        text
        for owner in (
            *(node["explain"]["read left"] for node in found.data["power"]["nodes"]),
            *(caution["explain"] for caution in found.data["cautions"]),
        )
        for text, _, _ in owner
    ]
    assert len(lines) > 50
    assert [text for text in lines if text not in page] == []


def test_trunk_of_the_load_tree_thins_from_branch_to_branch(found: commands.Found) -> None:
    """Below a branch the trunk is as thick as what is still to come; the last leaves nothing."""
    text = panels.study_panels(found.study, "read left")["load-tree"]
    items = re.findall(r"--pg-thick: ([\d.]+)px; --pg-in: ([\d.]+)px; --pg-later: ([\d.]+)px", text)
    widths = [tuple(float(value) - 1.5 for value in item) for item in items]
    assert len(widths) == len(found.data["power"]["nodes"])
    for own, into, later in widths:
        assert into == pytest.approx(own + later, abs=0.15) or into == pytest.approx(10, abs=0.05)
    assert min(later for _, _, later in widths) == pytest.approx(0)
    assert text.count("is-weak ") + text.count('"is-weak"') == 1


def test_a_sleepers_wish_shows_what_it_is_held_against(found: commands.Found) -> None:
    """A wish in melanopic lux: the card shows that number too, as the study has it."""
    cards = {card.target.id: card for card in answer_cards(_study(found), "read left")}
    aim = next(a for a in found.data["aims"] if a["id"] == "right sleeps")
    eye = next(
        e for e in found.data["eyes"] if (e["target"], e["setup"]) == (aim["of"], "read left")
    )
    answer = cards[aim["of"]]
    assert answer.clock.startswith(f"about {amount(eye['melanopic_edi_lx'])} lx (")
    assert answer.clock_wish == "wished at most 1"
    assert all(not other.clock for other in cards.values() if other is not answer)
