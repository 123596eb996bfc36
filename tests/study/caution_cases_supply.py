"""Rules 10 to 26: a plan just over the line and one just short of it."""

from __future__ import annotations

from tests.study.caution_parts import (
    ALL,
    DRYER,
    Case,
    behind_headboard,
    cord,
    each,
    kept_lead,
    receiver,
    resistive,
    strip,
)
from tests.study.small_plans import (
    appliance,
    heater,
    light,
    put,
    supply,
)

CASES = [
    Case(10, "US", [strip(rating_a=None)], [strip(rating_a=15)], "advice"),
    Case(10, "AU", [strip(rating_a=None)], [strip(rating_a=10)], "advice"),
    Case(11, "US", [strip(), strip("second", "strip")], [strip(), strip("second")], "danger"),
    Case(
        11,
        "UK",
        [strip(), supply("cube", "adapter", "strip"), strip("second", "cube")],
        [strip(), supply("cube", "adapter", "far outlet"), strip("second", "cube")],
        "danger",
    ),
    Case(
        12,
        "US",
        [supply("lead", "extension", "wall outlet", rating_a=13), strip(into="lead")],
        [supply("lead", "extension", "wall outlet", rating_a=13), strip(into="wall outlet")],
        "danger",
    ),
    Case(
        13,
        "AU",
        [strip(), supply("cube", "adapter", "strip")],
        [strip(), supply("cube", "adapter", "far outlet")],
        "warning",
    ),
    Case(
        13,
        "UK",
        [
            supply("cube", "adapter", "wall outlet"),
            heater("h", "cube", 500),
            heater("i", "cube", 500),
        ],
        [supply("cube", "adapter", "wall outlet"), heater("h", "cube", 500)],
        "warning",
    ),
    *each(
        14,
        ALL,
        [strip(), heater("h", "strip", 900)],
        [strip(), heater("h", "far outlet", 900)],
        "danger",
    ),
    *each(
        14,
        ALL,
        [receiver(), appliance("dry", "receiver", 900, **DRYER)],
        [receiver(), appliance("dry", "far outlet", 900, **DRYER)],
        "danger",
    ),
    Case(
        15,
        "US",
        [heater("h", "wall outlet", 500), heater("i", "wall outlet", 500)],
        [heater("h", "wall outlet", 500), heater("i", "far outlet", 500)],
        "warning",
    ),
    # the heater stands left of the bed, whose side is at x = 1.2
    Case(
        16,
        "US",
        [heater("h", "wall outlet", 500, at_m=[0.31, 1.5, 0.1])],
        [heater("h", "wall outlet", 500, at_m=[0.29, 1.5, 0.1])],
        "danger",
    ),
    Case(
        17,
        "US",
        [strip(), appliance("blanket", "strip", 60, like="electric-blanket")],
        [strip(), appliance("blanket", "far outlet", 60, like="electric-blanket")],
        "warning",
    ),
    Case(
        18,
        "US",
        [light("lamp", "wall outlet", cord=cord(route=["through wall"]))],
        [light("lamp", "wall outlet", cord=cord(route=["open"]))],
        "danger",
    ),
    Case(
        18,
        "EU",
        [strip(cord=cord(route=["concealed"]))],
        [strip(cord=cord(route=["open"]))],
        "danger",
    ),
    Case(
        19,
        "JP",
        [light("lamp", "wall outlet", cord=cord(route=["stapled"]))],
        [light("lamp", "wall outlet", cord=cord(route=["open"]))],
        "warning",
    ),
    Case(
        20,
        "UK",
        [strip(cord=cord(route=["through door"]))],
        [strip(cord=cord(route=[]))],
        "warning",
    ),
    Case(
        21,
        "US",
        [strip(cord=cord(route=["under rug"]))],
        [strip(cord=cord(route=["open"]))],
        "warning",
    ),
    # the bed's head end is at y = 2.98, 20 mm off the wall
    Case(
        21,
        "EU",
        [put("far outlet", "at_m", [2.0, 3.0, 0.2]), put("far outlet", "wall", 2), resistive(9)],
        [put("far outlet", "at_m", [3.5, 3.0, 0.2]), put("far outlet", "wall", 2), resistive(9)],
        "warning",
    ),
    Case(22, "US", [supply("lead", "extension", "wall outlet", rating_a=13)], [], "advice"),
    Case(
        22,
        "UK",
        [supply("lead", "extension", "wall outlet", rating_a=13, days_in_use=91)],
        [],
        "warning",
    ),
    *each(
        25,
        ALL,
        [light("lamp", "wall outlet", cord={"cores": 2, "awg": 20})],
        [light("lamp", "wall outlet", cord={"cores": 2, "awg": 18})],
        "danger",
    ),
    Case(
        26,
        "UK",
        [light("lamp", "wall outlet", plug_fuse_a=13, cord=cord(area_mm2=0.75, length_m=2.0))],
        [light("lamp", "wall outlet", plug_fuse_a=13, cord=cord(area_mm2=0.75, length_m=1.9))],
        "warning",
    ),
    Case(
        26,
        "UK",
        [light("lamp", "wall outlet", plug_fuse_a=13, cord=cord(area_mm2=1.0))],
        [light("lamp", "wall outlet", plug_fuse_a=3, cord=cord(area_mm2=1.0))],
        "warning",
    ),
    # labels that nobody has read, of things other than power strips
    Case(
        10,
        "EU",
        [receiver(rating_a=None)],
        [receiver(rating_a=10)],
        "advice",
    ),
    Case(
        10,
        "JP",
        [supply("lead", "extension", "far outlet")],
        [supply("lead", "extension", "far outlet", cord={"area_mm2": 1.25})],
        "advice",
    ),
    Case(
        10,
        "IN",
        [supply("cube", "adapter", "far outlet")],
        [supply("cube", "adapter", "far outlet", rating_a=6)],
        "advice",
    ),
    # a plug whose fuse nobody has read is taken to hold 13 A
    Case(
        26,
        "UK",
        [light("lamp", "wall outlet", cord=cord(area_mm2=1.0))],
        [light("lamp", "wall outlet", cord=cord(area_mm2=1.25))],
        "warning",
    ),
    # thresholds from both sides, by a few percent
    # a headboard 59.5 or 60.5 mm before an outlet; a plug is 60 mm deep
    Case(21, "US", behind_headboard(0.0595), behind_headboard(0.0605), "warning"),
    Case(22, "EU", [kept_lead(90.5)], [kept_lead(90)], "warning"),
]
