"""Rules from 80 on, and warmth of anything: a plan just over the line and one just short of it."""

from __future__ import annotations

from tests.study.caution_parts import Case, driver, reader, receiver, strip
from tests.study.small_plans import Command, add, appliance, heater, led_strip, light, put

WARDROBE = add("furniture", "wardrobe", kind="wardrobe", at_m=[3.4, 0.5, 0], size_m=[1.0, 0.6, 2.0])
SHUT = put("nightstand", "compartment.vent_area_m2", 0)


def asked(item_id: str, level: float) -> Command:
    """Return the command that asks for a level in the evening."""
    return {"name": "level", "args": {"setup": "evening", "of": item_id, "value": level}}


def chest(at: list[float], **fields: object) -> Command:
    """Return the command that stands a chest of 0.5 x 0.5 m beside the bed."""
    return add("furniture", "chest", kind="chest", at_m=at, size_m=[0.5, 0.5, 0.8], **fields)


def headboard(back_m: float, height: float = 1.0, **fields: object) -> Command:
    """Return the command that stands a headboard 30 mm thick with its back so far along."""
    at = [2.0, back_m - 0.015, 0.0]
    return add(
        "furniture", "board", kind="headboard", at_m=at, size_m=[1.6, 0.03, height], **fields
    )


def drum(diameter_m: float) -> dict[str, object]:
    """Return a drum shade."""
    return {"form": "shade", "bottom_diameter_m": diameter_m, "height_m": 0.2}


def opening(item_id: str = "door", **fields: object) -> Command:
    """Return the command that makes a door 1 to 3 m along the first wall."""
    shape = {"kind": "door", "wall": 0, "from_m": 1.0, "to_m": 3.0, "head_m": 2.0, **fields}
    return add("openings", item_id, **shape)


def behind(start: float, end: float) -> list[list[float]]:
    """Return a path 2 mm behind the board of 1.2 to 2.8 m."""
    return [[start, 2.972, 0.8], [end, 2.972, 0.8]]


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
    # whole bodies: a little more than touching, and a little less
    Case(85, "US", [chest(at=[1.0, 1.5, 0])], [chest(at=[0.905, 1.5, 0])], "warning"),
    # turned by 45 degrees its corner reaches 0.354 m from its middle
    Case(
        85,
        "EU",
        [chest(at=[0.86, 1.5, 0], turn_deg=45)],
        [chest(at=[0.84, 1.5, 0], turn_deg=45)],
        "warning",
    ),
    Case(86, "UK", [chest(at=[0.24, 1.5, 0])], [chest(at=[0.246, 1.5, 0])], "warning"),
    Case(
        86,
        "JP",
        [chest(at=[0.34, 0.5, 0], turn_deg=45)],
        [chest(at=[0.36, 0.5, 0], turn_deg=45)],
        "warning",
    ),
    # a board of 1 m that leans 10 degrees back reaches 174 mm further at its top
    Case(
        86,
        "AU",
        [headboard(2.84, lean_deg=10)],
        [headboard(2.828, lean_deg=10)],
        "warning",
    ),
    Case(
        87,
        "US",
        [light("lamp", None, mount_m=[0.8, 3.0, 0.55], projection_m=0.1)],
        [light("lamp", None, mount_m=[0.8, 3.0, 0.64], projection_m=0.1)],
        "warning",
    ),
    Case(
        87,
        "IN",
        [light("lamp", None, mount_m=[0.8, 3.0, 1.3], projection_m=2.99, drop_m=-1.2)],
        [light("lamp", None, mount_m=[0.8, 3.0, 1.3], projection_m=2.99, drop_m=-1.0)],
        "danger",
    ),
    Case(
        88,
        "US",
        [light("lamp", None, mount_m=[0.8, 2.97, 1.3])],
        [light("lamp", None, mount_m=[0.8, 2.985, 1.3])],
        "warning",
    ),
    # on a side wall, and nobody has said so
    Case(
        88,
        "JP",
        [light("lamp", None, mount_m=[0.0, 1.5, 1.3])],
        [light("lamp", None, mount_m=[0.0, 1.5, 1.3], wall=3)],
        "warning",
    ),
    Case(
        90,
        "JP",
        [put("far outlet", "at_m", [0.0, 1.5, 0.3]), put("far outlet", "wall", 2)],
        [put("far outlet", "at_m", [0.0, 1.5, 0.3]), put("far outlet", "wall", 3)],
        "warning",
    ),
    # a rug lies under the bed
    Case(
        85,
        "AU",
        [add("furniture", "rug", kind="other", at_m=[2, 1, 0], size_m=[2, 2, 0.031])],
        [add("furniture", "rug", kind="other", at_m=[2, 1, 0], size_m=[2, 2, 0.03])],
        "warning",
    ),
    Case(
        88,
        "EU",
        [light("lamp", None, mount="headboard")],
        [headboard(2.98), light("lamp", None, mount="headboard", mount_m=[1.5, 2.96, 0.9])],
        "warning",
    ),
    Case(
        88,
        "UK",
        [light("lamp", None, projection_m=0.12, distribution=drum(0.26))],
        [light("lamp", None, projection_m=0.12, distribution=drum(0.24))],
        "warning",
    ),
    Case(89, "US", [opening(to_m=4.01)], [opening(to_m=4.0)], "warning"),
    Case(89, "EU", [opening(head_m=2.41)], [opening(head_m=2.4)], "warning"),
    Case(
        89,
        "JP",
        [opening(), opening("other", from_m=2.9, to_m=3.5, kind="window")],
        [opening(), opening("other", from_m=3.0, to_m=3.5, kind="window")],
        "warning",
    ),
    Case(
        90,
        "US",
        [put("far outlet", "at_m", [3.0, 2.97, 0.3])],
        [put("far outlet", "at_m", [3.0, 2.985, 0.3])],
        "warning",
    ),
    Case(
        90,
        "AU",
        [opening(wall=2), put("far outlet", "at_m", [1.1, 3.0, 0.3])],
        [opening(wall=2), put("far outlet", "at_m", [0.9, 3.0, 0.3])],
        "warning",
    ),
    Case(
        91,
        "EU",
        [headboard(2.97), led_strip("tape", None, 2, 5), put("tape", "path_m", behind(1.2, 2.9))],
        [headboard(2.97), led_strip("tape", None, 2, 5), put("tape", "path_m", behind(1.2, 2.8))],
        "warning",
    ),
    Case(
        91,
        "US",
        [led_strip("tape", None, 2, 5), put("tape", "path_m", [[0.5, 1.5, 0.5], [2.5, 1.5, 0.5]])],
        [
            led_strip("tape", None, 2, 5),
            put("tape", "path_m", [[1.3, 1.5, 0.602], [2.5, 1.5, 0.602]]),
        ],
        "warning",
    ),
    Case(
        92,
        "US",
        [driver(inside="nightstand", size_m=[0.2, 0.16, 0.31])],
        [driver(inside="nightstand", size_m=[0.2, 0.15, 0.30])],
        "warning",
    ),
    Case(
        92,
        "UK",
        [strip(inside="nightstand", furniture_type=True, at_m=[1.1, 2.8, 0.5])],
        [strip(inside="nightstand", furniture_type=True, at_m=[1.03, 2.8, 0.5])],
        "warning",
    ),
    Case(
        92,
        "IN",
        [put("nightstand", "compartment.inner_size_m", [0.46, 0.3, 0.15])],
        [put("nightstand", "compartment.inner_size_m", [0.45, 0.3, 0.15])],
        "warning",
    ),
    # two drivers that fit one by one
    Case(
        92,
        "EU",
        [
            driver(inside="nightstand", size_m=[0.39, 0.29, 0.08]),
            driver("second", inside="nightstand", size_m=[0.39, 0.29, 0.08]),
        ],
        [
            driver(inside="nightstand", size_m=[0.39, 0.29, 0.07]),
            driver("second", inside="nightstand", size_m=[0.39, 0.29, 0.07]),
        ],
        "warning",
    ),
    Case(
        93,
        "US",
        [reader(0.2, eye_from_head_end_m=-0.05), headboard(2.99, height=1.2)],
        [reader(0.68), headboard(2.99, height=1.2)],
        "warning",
    ),
    # numbers that exist and are hardly meant
    Case(
        94,
        "US",
        [put("mattress", "finish", {"lrv": 0.75})],
        [put("mattress", "finish", {"lrv": 75})],
        "warning",
    ),
    Case(94, "EU", [light("lamp", None, 250)], [light("lamp", None, 200)], "warning"),
    Case(94, "UK", [strip(rating_a=21)], [strip(rating_a=20)], "warning"),
    Case(94, "JP", [opening(head_m=4.2)], [opening(head_m=3.9)], "warning"),
]
