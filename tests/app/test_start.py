"""The start card: each measurement lands, and what hangs on it comes along."""

from __future__ import annotations

import pytest

from lumen.app import start
from lumen.errors import LumenError
from lumen.scenario.document import Scenario, parse

VALUES = {
    "room_width": "420",
    "room_depth": "350",
    "room_height": "270",
    "bed_width": "193",
    "bed_length": "213",
    "bed_top": "55",
    "headboard_top": "130",
    "light_height": "140",
}


@pytest.mark.parametrize(("what", "text"), VALUES.items())
def test_each_measurement_lands(plain_pair: Scenario, what: str, text: str) -> None:
    """A typed measurement is the room's own afterwards, and the others stay as they were."""
    before = {m.key: t for m, t in start.measurements(plain_pair, "cm")}
    args = {"what": what, "text": text, "system": "cm"}
    after = parse(start.measured(plain_pair, args))
    now = {m.key: t for m, t in start.measurements(after, "cm")}
    assert now.pop(what) == f"{text} cm"
    before.pop(what)
    assert now == before


def test_a_deeper_room_takes_the_bed_along(plain_pair: Scenario) -> None:
    """Head end, lights and strip keep their distance to the bed wall."""
    args = {"what": "room_depth", "text": "4 m"}
    after = parse(start.measured(plain_pair, args))
    for old, new in (
        (plain_pair.furniture[2].at_m, after.furniture[2].at_m),
        (plain_pair.lights[0].mount_m, after.lights[0].mount_m),
        (plain_pair.strips[0].path_m[0], after.strips[0].path_m[0]),
    ):
        assert 4.0 - new[1] == pytest.approx(3.0 - old[1])


def test_a_wider_bed_pushes_what_is_beside_it(plain_pair: Scenario) -> None:
    """Nightstands and lights keep their gap to a mattress that gets 40 cm wider."""
    after = parse(start.measured(plain_pair, {"what": "bed_width", "text": "193"}))
    assert after.lights[0].mount_m[0] == pytest.approx(plain_pair.lights[0].mount_m[0] - 0.2)
    assert after.lights[1].mount_m[0] == pytest.approx(plain_pair.lights[1].mount_m[0] + 0.2)


@pytest.mark.parametrize("text", ["30", "80 m", "wide", ""])
def test_silly_sizes_are_refused(plain_pair: Scenario, text: str) -> None:
    """A room of 30 cm, 80 m, or of a word is refused with the field's own name."""
    with pytest.raises(LumenError, match="Bed wall, wide"):
        start.measured(plain_pair, {"what": "room_width", "text": text})
