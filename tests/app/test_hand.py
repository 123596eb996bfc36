"""The short card of what is in the hand."""

from __future__ import annotations

import re
from html import unescape

from lumen.app import panels
from lumen.scenario.document import parse, plain
from lumen.scenario.files import examples, load


def _card(names: list[str], system: str = "cm") -> str:
    plan = plain(load(next(file for file in examples() if file.stem == "plain-pair")))
    plan["strips"][0].update(
        path_m=[[1.0, 2.9, 1.0], [1.0, 2.9, 1.4], [2.5, 2.9, 1.4]], power_w_per_m=9.6
    )
    return panels.form_panels(parse(plan), names, system)["hand"]


def test_a_strip_says_how_much_tape_it_takes() -> None:
    """Runs of 40 and 150 cm at 9.6 W a metre: 190 cm of tape, 18.2 W; its price can be typed."""
    card = _card(["glow strip"])
    assert "190 cm of tape, about 18.2 W at full" in card
    assert 'data-field="price"' in card
    assert "6' 2 13/16\" of tape" in unescape(_card(["glow strip"], "ft-in"))


def test_many_things_are_mirrored_only_where_a_mirror_makes_sense() -> None:
    """Two lights can be mirrored and removed as one; with a person among them only removed."""
    lights = _card(["left light", "right light"])
    assert "2 things" in lights
    assert "&quot;mirror&quot;" in lights
    mixed = _card(["left light", "left"])
    assert "&quot;mirror&quot;" not in mixed
    assert "&quot;remove&quot;" in mixed


def test_a_form_says_what_hangs_on_a_thing() -> None:
    """A receiver feeds a light, a light is in setups, a person in wishes: by the references."""
    plan = load(next(file for file in examples() if file.stem == "plain-pair"))

    def said(name: str) -> str:
        form = unescape(panels.form_panels(plan, [name], "cm")["thing"])
        return re.sub(r"<[^>]+>", "", form.partition("What hangs on it")[2])

    assert said("left receiver") == "Plugged into: Left light"
    assert "Lies inside: " in said("right nightstand")
    assert said("left light").startswith("In setups: Read left, Read both")
    assert "In wishes: Left page, Left sleeps" in said("left")
    assert (
        said("clock") == "In setups: Read left, Read right, Read both, Evening glow, Night, All off"
    )
    assert said("headboard") == ""
