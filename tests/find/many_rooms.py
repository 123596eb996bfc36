"""Rooms at random and lamps by the table: what the worked example of the sweep is made of."""

from __future__ import annotations

from typing import Any

import numpy as np

from lumen.find.lamps import USES, sold_lamps
from lumen.scenario.document import Scenario, parse

__all__ = ["lamp_places", "random_rooms"]


def lamp_places(lights: str, count: int = 500) -> list[dict[str, Any]]:
    """Return rows for a sweep of one room: every sold lamp in every white, at places by turns.

    ``lights`` are ids with ``+`` between them; heights run from 1.10 to 1.60 m.
    """
    lamps = [(sold, white) for use in USES for sold in sold_lamps(use) for white in sold.whites_k]
    heights = np.linspace(1.10, 1.60, -(-count // len(lamps)))
    rows = [
        {
            "id": lights,
            "lamp.flux_lm": sold.flux_lm,
            "lamp.power_w": sold.power_w,
            "lamp.cct_k": white,
            "mount_m.2": round(float(height), 3),
        }
        for height in heights
        for sold, white in lamps
    ]
    return rows[:count]


def random_rooms(count: int, seed: int = 1) -> list[Scenario]:
    """Return bedrooms that differ in size, finishes, bed, lights and who reads; each is a plan."""
    rng = np.random.default_rng(seed)
    return [_room(rng, number) for number in range(count)]


def _room(rng: np.random.Generator, number: int) -> Scenario:
    wide, deep = (round(float(x), 2) for x in rng.uniform((2.8, 3.0), (4.6, 4.8)))
    high = round(float(rng.uniform(2.3, 2.9)), 2)
    bed = float(rng.choice([1.4, 1.6, 1.8]))
    middle = round(float(rng.uniform(bed / 2 + 0.45, wide - bed / 2 - 0.45)), 2)
    height = round(float(rng.uniform(1.1, 1.6)), 2)
    gap = bed / 2 + 0.2
    lamp = {"flux_lm": float(rng.choice([250, 470, 806])), "power_w": 5.0}
    shade = {
        "form": "shade",
        "bottom_diameter_m": round(float(rng.uniform(0.12, 0.25)), 3),
        "height_m": 0.18,
    }
    lights = [
        {
            "id": f"{side} light",
            "mount_m": [round(middle + sign * gap, 3), deep, height],
            "distribution": shade,
            "lamp": lamp,
        }
        for side, sign in (("left", -1), ("right", 1))
    ]
    people = [{"id": side, "side": side} for side in ("left", "right")]
    setups = [
        {"id": f"{side} reads", "levels": {f"{side} light": 1.0}, "reading": [side]}
        for side in ("left", "right")
    ]
    aims = [
        {"id": f"{side} page", "of": f"page:{side}", "at_least": 300, "setups": [f"{side} reads"]}
        for side in ("left", "right")
    ]
    finishes = {
        part: {"lrv": round(float(rng.uniform(low, high_lrv)))}
        for part, low, high_lrv in (("floor", 10, 40), ("ceiling", 60, 90), ("walls", 30, 85))
    }
    return parse(
        {
            "format": "lumen-plan/1",
            "title": f"Room {number}",
            "room": {
                "outline_m": [[0, 0], [wide, 0], [wide, deep], [0, deep]],
                "height_m": high,
                "finishes": finishes,
            },
            "furniture": [
                {
                    "id": "mattress",
                    "kind": "mattress",
                    "at_m": [middle, round(deep - 1.06, 3), 0.35],
                    "size_m": [bed, 2.0, 0.22],
                }
            ],
            "people": people,
            "lights": lights,
            "setups": setups,
            "aims": aims,
        }
    )
