"""Rules from 80 on, and warmth of anything: a plan just over the line and one just short of it."""

from __future__ import annotations

from tests.study.caution_parts import Case, driver, receiver, strip
from tests.study.small_plans import Command, add, appliance, heater, led_strip, light, put

WARDROBE = add("furniture", "wardrobe", kind="wardrobe", at_m=[3.4, 0.5, 0], size_m=[1.0, 0.6, 2.0])
SHUT = put("nightstand", "compartment.vent_area_m2", 0)


def asked(item_id: str, level: float) -> Command:
    """Return the command that asks for a level in the evening."""
    return {"name": "level", "args": {"setup": "evening", "of": item_id, "value": level}}


CASES = [
    # whatever lies inside counts, mains gear beside it or not
    Case(
        40,
        "US",
        [SHUT, appliance("console", "far outlet", 120, inside="nightstand")],
        [appliance("console", "far outlet", 120)],
        "danger",
    ),
    Case(
        40,
        "EU",
        [WARDROBE, appliance("box", "far outlet", 15, inside="wardrobe")],
        [WARDROBE, appliance("box", "far outlet", 9, inside="wardrobe")],
        "advice",
    ),
    # a place within its sides is inside it; one on its top is not
    Case(
        40,
        "JP",
        [SHUT, appliance("box", "far outlet", 20, at_m=[0.8, 2.82, 0.5])],
        [SHUT, appliance("box", "far outlet", 20, at_m=[0.8, 2.82, 0.62])],
        "warning",
    ),
    # the lamp of a light and an LED strip inside furniture
    Case(
        40,
        "AU",
        [SHUT, light("lamp", "far outlet", 20, mount="stand", mount_m=[0.8, 2.82, 0.45])],
        [SHUT, light("lamp", "far outlet", 20, mount="stand", mount_m=[0.8, 2.82, 0.62])],
        "warning",
    ),
    Case(
        40,
        "UK",
        [
            SHUT,
            {
                "name": "add",
                "args": {
                    "section": "supply",
                    "item": {
                        "id": "driver",
                        "kind": "driver",
                        "fed_from": "far outlet",
                        "rating_w": 60,
                        "class_2": True,
                    },
                },
            },
            led_strip("tape", "driver", 0.3, 70, start_m=0.65),
            put("tape", "path_m", [[0.65, 2.8, 0.5], [0.95, 2.8, 0.5]]),
        ],
        [],
        "warning",
    ),
    # what sits in a hole of a hidden strip lies there too
    Case(
        40,
        "US",
        [
            SHUT,
            strip(inside="nightstand", furniture_type=True),
            *(receiver(f"receiver {n}", "strip", standby_w=6.6) for n in range(3)),
            *(appliance(f"load {n}", f"receiver {n}", 5) for n in range(3)),
        ],
        [
            SHUT,
            strip(inside="nightstand", furniture_type=True),
            *(receiver(f"receiver {n}", "strip", standby_w=6.6) for n in range(2)),
            *(appliance(f"load {n}", f"receiver {n}", 5) for n in range(2)),
        ],
        "warning",
    ),
    Case(
        80,
        "US",
        [WARDROBE, heater("heater", "far outlet", 1200, inside="wardrobe")],
        [WARDROBE, heater("heater", "far outlet", 1200)],
        "danger",
    ),
    Case(
        80,
        "UK",
        [heater("heater", "far outlet", 400, inside="mattress")],
        [appliance("blanket", "far outlet", 60, like="electric-blanket", inside="mattress")],
        "danger",
    ),
    Case(
        81,
        "EU",
        [appliance("laptop", "far outlet", 5.0, like="laptop", inside="mattress")],
        [appliance("clock", "far outlet", 4.9, inside="mattress")],
        "warning",
    ),
    Case(
        81,
        "IN",
        [strip(inside="mattress")],
        [strip(inside="bed")],
        "warning",
    ),
    # a level that cannot be given, is under the lowest, or that nothing is known to give
    Case(
        82,
        "US",
        [light("lamp", "far outlet", dims=False), asked("lamp", 0.5)],
        [light("lamp", "far outlet", dims=False), asked("lamp", 1.0)],
        "warning",
    ),
    Case(
        82,
        "EU",
        [receiver(dims=False), light("lamp", "receiver"), asked("lamp", 0.3)],
        [receiver(dims=True), light("lamp", "receiver"), asked("lamp", 0.3)],
        "warning",
    ),
    Case(
        82,
        "UK",
        [light("lamp", "far outlet", dimmer=False), asked("lamp", 0.3)],
        [light("lamp", "far outlet", dimmer=True), asked("lamp", 0.3)],
        "warning",
    ),
    Case(
        83,
        "JP",
        [light("lamp", "far outlet", lamp={"lowest_level": 0.1}), asked("lamp", 0.09)],
        [light("lamp", "far outlet", lamp={"lowest_level": 0.1}), asked("lamp", 0.1)],
        "advice",
    ),
    Case(
        83,
        "AU",
        [
            driver(dims=True, lowest_level=0.05),
            led_strip("tape", "driver", 2, 10),
            asked("tape", 0.04),
        ],
        [
            driver(dims=True, lowest_level=0.05),
            led_strip("tape", "driver", 2, 10),
            asked("tape", 0.05),
        ],
        "advice",
    ),
    Case(
        84,
        "IN",
        [receiver(), light("lamp", "receiver"), asked("lamp", 0.5)],
        [receiver(dims=True), light("lamp", "receiver"), asked("lamp", 0.5)],
        "advice",
    ),
]
