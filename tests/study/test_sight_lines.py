"""Lines of sight to draw are the sightings of the study, one for each eye and light."""

from __future__ import annotations

import numpy as np
import pytest

from lumen.scenario.files import examples, load
from lumen.study.eyes.sight import HARSH_CD_M2
from lumen.study.eyes.sight_lines import sight_lines
from lumen.study.study import Study, study


@pytest.fixture(scope="module")
def found() -> Study:
    """The plain pair's study."""
    return study(load(examples()[0]))


def test_harsh_lines_are_the_harsh_places(found: Study) -> None:
    """Every harsh sighting has its line, from that eye to that lamp, and no other line is harsh."""
    lines = sight_lines(found.comfort, "read both")
    eyes = {target.name: target for target in found.lighting.targets}
    drawn = {(eyes[name].id, line.light) for line in lines if line.harsh for name in line.places}
    told = {
        (seen.eye, seen.light)
        for seen in found.comfort.sight
        if seen.beta <= np.pi / 3 and seen.luminance > HARSH_CD_M2 and "strip" not in seen.light
    }
    assert drawn == told
    lamps = {e.id: e.point.position for e in found.lighting.emitters if "strip" not in e.id}
    for line in lines:
        if line.light in lamps:
            assert np.allclose(line.end, lamps[line.light], atol=1e-3)
            assert np.allclose(line.start, eyes[line.places[0]].points[0], atol=1e-3)


def test_dark_lights_have_no_lines(found: Study) -> None:
    """A light that is off is nobody's trouble."""
    assert sight_lines(found.comfort, "all off") == ()
    assert {line.light for line in sight_lines(found.comfort, "read left")} == {"left light"}
