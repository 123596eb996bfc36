"""The drawing of what plugs into what: every thing once, its numbers, and cords too short."""

from __future__ import annotations

import re
from html import unescape

import pytest

from lumen.app.markup import markup
from lumen.app.panels.plugs import plugs_panel
from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load
from lumen.study.load.electrics import electrics

CARD = re.compile(
    r'<g data-select="([^"]*)"[^>]*aria-label="([^"]*)" class="pg-plug ([^"]*)">(.*?)</g>'
)


def cards(plan: Scenario) -> dict[str, tuple[str, str]]:
    """What each card says aloud, and its class, by id."""
    found = CARD.findall(markup(plugs_panel(electrics(plan))))
    return {unescape(name): (unescape(said), kind) for name, said, kind, _ in found}


@pytest.mark.parametrize("path", examples(), ids=lambda path: path.stem)
def test_every_thing_has_its_card_and_no_line_runs_out(path: object) -> None:
    """In each room: a card for each node of the tree, and lines that fit their card."""
    drawn = electrics(load(path))  # type: ignore[arg-type]
    text = markup(plugs_panel(drawn))
    found = CARD.findall(text)
    assert sorted(unescape(name) for name, *_ in found) == sorted(n.id for n in drawn.wiring.nodes)
    for *_, body in found:
        wide = float(re.search(r'<rect x="[^"]*" y="[^"]*" width="([^"]*)"', body).group(1))  # type: ignore[union-attr]
        for line in re.findall(r"<text[^>]*>([^<]*)</text>", body):
            assert 7.4 * len(unescape(line)) <= wide - 20


def test_a_cards_numbers_are_the_trees_own(plain_pair: Scenario) -> None:
    """Watts, volt-amperes and share of the driver's card are what the load tree holds."""
    drawn = electrics(plain_pair)
    load_of = drawn.everything["driver"]
    said, kind = cards(plain_pair)["driver"]
    watts, va = map(float, re.search(r"([\d.]+) W, ([\d.]+) VA", said).groups())  # type: ignore[union-attr]
    assert watts == pytest.approx(load_of.watts_in, abs=0.5)
    assert va == pytest.approx(load_of.va, rel=0.05)
    assert va > watts  # its power factor is below 1
    share = load_of.tightest
    assert share is not None
    assert f"{100 * share.share:.0f} % of" in said
    assert kind == ("is-near" if share.share >= 0.8 else "is-free")


def test_what_is_over_says_so(plain_pair: Scenario) -> None:
    """A driver of 12 W behind a strip that takes more is over, in colour and in words."""
    small = {"name": "set", "id": "driver", "args": {"field": "rating_w", "value": 12}}
    said, kind = cards(apply(plain_pair, small))["driver"]
    assert kind == "is-over"
    assert "over: " in said


def test_a_cord_too_short_says_what_to_buy(plain_pair: Scenario) -> None:
    """One metre is short of a light's way: the card says both lengths and one that is sold."""
    cut = {"field": "cord.length_m", "value": 1.0}
    short = apply(plain_pair, {"name": "set", "id": "left light", "args": cut})
    run = next(one for one in electrics(short).cord_lengths if one.id == "left light")
    assert run.buy_m is not None
    assert run.buy_m >= run.needed_m > 1.0
    said, _ = cards(short)["left light"]
    assert "Cord too short" in said
    assert "; buy " in said
    assert "too short" in markup(plugs_panel(electrics(short)))


def test_nothing_plugged_in_says_where_to_begin(plain_pair: Scenario) -> None:
    """A plan without outlets and lights has a sentence in place of a drawing."""
    bare = plain_pair.model_copy(
        update={"supply": (), "lights": (), "strips": (), "setups": (), "aims": ()}
    )
    assert "Add an outlet" in markup(plugs_panel(electrics(bare)))
