"""The walk-in view: colours from the solved light, seen from where somebody is."""

from __future__ import annotations

import numpy as np
import pytest

from lumen.app import commands, figures


def test_tone_rises_and_never_clips_below_white() -> None:
    """More light never looks darker; the curve meets its own value at the exposure."""
    steps = figures.tone(np.geomspace(1e-3, 1e4, 200), 25.0)
    assert np.all(np.diff(steps) >= 0)
    light = 1 - np.exp(-1.0)
    expected = 255 * (1.055 * light ** (1 / 2.4) - 0.055)  # IEC 61966-2-1
    assert figures.tone(np.array([25.0]), 25.0)[0] == pytest.approx(expected)


def test_the_room_is_dark_with_everything_off(found: commands.Found) -> None:
    """With all lights off each corner of each surface is black."""
    assert found.study is not None
    picture = figures.walk_in(found.study, "door", "all off", 25.0)
    colours = {
        c for mesh in picture["data"] if mesh["type"] == "mesh3d" for c in mesh["vertexcolor"]
    }
    assert colours == {"rgb(0,0,0)"}


def test_luminance_of_a_matt_wall_is_its_exitance_over_pi(found: commands.Found) -> None:
    """The brightest corner of the wall's map has luminance reflectance x illuminance / pi."""
    assert found.study is not None
    maps = commands.fields_json(found)
    assert maps is not None
    wall = maps["grids"]["wall"]
    # the left one reads: what the light gives the page, the page gives back in the light's white
    lx, page = (
        np.array(wall["direct"][source]) + np.array(wall["bounced"][source])
        for source in ("left light", "page:left")
    )
    lx = lx + maps["pages"]["page:left"]["left light"] * page
    shadow = maps["grids"]["wall"]["bounced"]["shadow:left:left light"]  # and keeps some from it
    lx = lx + np.array(wall["direct"]["shadow:left:left light"]) + np.array(shadow)
    tint = np.array(maps["tint"]["left light"])
    expected = figures.tone(lx[:, None] * tint * np.array(wall["reflectance"]) / np.pi, 25.0)
    picture = figures.walk_in(found.study, "door", "read left", 25.0)
    drawn = next(m for m in picture["data"] if m["type"] == "mesh3d" and len(m["x"]) == len(lx))
    codes = np.array([[int(v) for v in c[4:-1].split(",")] for c in drawn["vertexcolor"]])
    assert np.abs(codes - expected).max() <= 0.51


def test_every_place_looks_from_inside_the_room(found: commands.Found) -> None:
    """Each place of the walk-in view lies within the room's walls, floor and ceiling."""
    assert found.study is not None
    places = figures.places(found.scenario)
    assert [key for key, _ in places][:2] == ["door", "foot"]
    for key, _ in places:
        scene = figures.walk_in(found.study, key, "night", 25.0)["layout"]["scene"]
        for axis in "xyz":
            low, high = scene[f"{axis}axis"]["range"]
            assert abs(scene["camera"]["eye"][axis]) <= (high - low) / 2
