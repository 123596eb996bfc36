"""The small pictures inside answers: glow along the headboard, who looks at what."""

from __future__ import annotations

import json
import re
from html import unescape
from xml.etree import ElementTree

import numpy as np
import pytest

from lumen.app import commands, panels
from lumen.app.profile import profile_svg
from lumen.study.lighting.glow import EVEN


def _points(svg: str, kind: str) -> list[tuple[float, float]]:
    line = ElementTree.fromstring(svg).find(f".//polyline[@class='{kind}']")
    assert line is not None
    pairs = [pair.split(",") for pair in line.get("points", "").split()]
    return [(float(a), float(b)) for a, b in pairs]


def test_profile_is_drawn_to_scale() -> None:
    """Twice the luminance stands twice as high over the foot line; left is left."""
    points = _points(profile_svg([10, 20, 40], [10, 20, 40], 1.6), "pg-curve")
    foot = 108
    high = [foot - y for _, y in points]
    assert [x for x, _ in points] == sorted(x for x, _ in points)
    assert high[1] / high[0] == pytest.approx(2, rel=0.02)
    assert high[2] / high[0] == pytest.approx(4, rel=0.02)


def test_even_zone_starts_at_its_limit() -> None:
    """The shaded zone's lower edge lies where 70 % of the mean is on the scale of the line."""
    values = [50.0, 100.0, 100.0, 50.0]
    svg = profile_svg(values, values, 1.6)
    zone = ElementTree.fromstring(svg).find(".//rect[@class='pg-zone']")
    assert zone is not None
    edge = 108 - (float(zone.get("y", "")) + float(zone.get("height", "")))
    top = 108 - min(y for _, y in _points(svg, "pg-curve"))
    assert edge / top == pytest.approx(EVEN * np.mean(values) / 100, rel=0.02)


def test_lamps_are_a_line_of_their_own() -> None:
    """What lamps add shows as a second, broken line, only where they add something."""
    assert 'class="pg-dim"' not in profile_svg([10, 10], [10.1, 10.1], 1.6)
    assert 'class="pg-dim"' in profile_svg([10, 10], [15, 15], 1.6)


def test_answers_carry_profile_and_lines(found: commands.Found) -> None:
    """The glow answer holds the picture; the sight answer holds one line for each harsh place."""
    assert found.study is not None
    glow = panels.study_panels(found.study, "evening glow")["answers"]
    assert "pg-profile" in glow
    text = panels.study_panels(found.study, "read left")["answers"]
    lines = json.loads(unescape(re.findall(r'data-sights="(.*?)"', text)[0]))
    assert {line["light"] for line in lines if line["harsh"]} == {"left light"}
    assert "What to measure next" in text


def test_answers_of_a_setup_that_is_gone(found: commands.Found) -> None:
    """A setup removed a moment ago has no pictures and raises nothing."""
    text = panels.study_panels(found.study, "gone")["answers"]
    assert "pg-profile" not in text
