"""Plans in America for the sentences that no plan at a threshold brings about."""

from __future__ import annotations

from tests.study.caution_parts import (
    board,
    cord,
    driver,
    reader,
    receiver,
    resistive,
    spread,
    strip,
    two,
)
from tests.study.small_plans import Command, add, appliance, heater, led_strip, light, put, supply

ELSE: dict[str, list[Command]] = {
    "lead": [supply("lead", "extension", "far outlet"), heater("h", "lead", 1500)],
    "groove": [light("lamp", "wall outlet", cord=cord(route=["in groove"]))],
    "pressed cord": [light("lamp", "wall outlet", cord=cord(route=["under furniture"]))],
    "earth lost": [
        strip(cord=cord(cores=2)),
        supply("adapter", "adapter", "strip", passes_earth=False),
        light("lamp", "adapter", plug="two-pin", protection_class="I"),
    ],
    "changed": [light("lamp", "wall outlet", conversion="by a professional")],
    "tube": [light("lamp", None, lamp={"kind": "fluorescent"}, to_fabric_m=0.05)],
    "bulb": [light("lamp", None, lamp={"kind": "incandescent"}, to_fabric_m=0.05)],
    "box": [
        put("nightstand", "compartment.vent_area_m2", 0),
        strip(inside="nightstand"),
        receiver(into="strip"),
        appliance("warm", "strip", 60, inside="nightstand"),
    ],
    "charger": [supply("phone", "appliance", "far outlet", like="phone-charger", inside="bed")],
    "signs": [
        put("wall outlet", "signs", ["smell", "buzz", "tingle", "trips", "worn", "discoloured"])
    ],
    "both holes": two(1900, 1950),
    "sleepers": [
        reader(1.0),
        {"name": "add", "args": {"section": "people", "item": {"id": "other", "side": "right"}}},
        board(1.6),
    ],
    "a guessed head": [
        {"name": "add", "args": {"section": "people", "item": {"id": "other", "side": "right"}}},
        board(1.2),
    ],
    "one fabric": [{"name": "remove", "id": "bed"}, heater("h", "far outlet", 1500)],
    "long way": [
        supply("lead", "extension", "far outlet", cord=cord(area_mm2=0.75, length_m=30)),
        resistive(1400, "lead", cord=cord(area_mm2=0.75, length_m=10)),
    ],
    "volts": [resistive(100, label_v=[90, 100])],
    "undimmed": [
        driver(dims=False),
        led_strip("tape", "driver", 2, 10),
        {"name": "level", "args": {"setup": "evening", "of": "tape", "value": 0.5}},
    ],
    "tilted": [
        add("furniture", "board", kind="headboard", at_m=[3.2, 1.0, 0], size_m=[0.6, 0.4, 0.5],
            lean_deg=30),
        add("furniture", "shelf", kind="shelf", at_m=[3.2, 1.1, 0.52], size_m=[0.3, 0.5, 0.05]),
    ],
    "outside": [light("lamp", None, mount="stand", mount_m=[0.8, 3.009, 1.3], projection_m=0.0)],
    "sunk": [light("lamp", None, mount="stand", mount_m=[0.8, 1, -0.009], projection_m=0.0)],
    "early door": [
        {
            "name": "add",
            "args": {
                "section": "openings",
                "item": {"id": "d", "kind": "door", "wall": 0, "from_m": -0.02, "to_m": 0.9,
                         "sill_m": -0.02},
            },
        }
    ],
    "near": [strip(rating_a=None), resistive(1150, "strip")],
    "strip out": [
        led_strip("tape", None, 2, 10),
        put("tape", "facing", "down"),
        put("tape", "path_m", [[0.5, 3.009, 2.409], [1.5, 3.009, 2.409]]),
    ],
    "price": [{"name": "set", "id": "plan", "args": {"field": "price_per_kwh", "value": 300}}],
    "high": [{"name": "set", "id": "room", "args": {"field": "height_m", "value": 5}}],
    "step": [
        strip(),
        light("lamp", "strip", 60, max_lamp_w=500, lamp={"power_factor": 0.3}),
        resistive(1400, "strip"),
    ],
    "read breaker": [put("circuit", "breaker_a", 15), *spread(1400, 430)],
    "many": [
        supply(f"a{i}", "appliance", ("wall outlet", "far outlet")[i % 2], like="alarm-clock")
        for i in range(12)
    ]
    + [heater("h", "far outlet", 1790)],
}  # fmt: skip
