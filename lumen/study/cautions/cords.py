"""Rules 18 to 21 and 23 to 27: where cords run, what they carry, which fuse guards them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lumen.power.conductors import (
    COILED_SHARE,
    flex_for_fuse,
    fuse_for_load,
    fuse_suits_flex,
)
from lumen.power.load import Limit
from lumen.scenario.lights import Cord, Light, Strip
from lumen.scenario.supply import Appliance, Driver, Extension, Outlet, PowerStrip
from lumen.study.cautions.facts import Facts, Item
from lumen.study.cautions.overload import guessed, over, sum_of
from lumen.study.cautions.registry import Found, Severity, rule
from lumen.study.load.wiring import cord_area_mm2
from lumen.study.words import amperes
from lumen.tables import table

PLUG_DEPTH_M = 0.06  # a straight plug with its cord's bend: common practice, no source
_PRESSES = ("bed frame", "mattress", "headboard", "wardrobe", "chest", "desk", "nightstand")


def _routes(facts: Facts, *wanted: str) -> Iterator[tuple[Item, list[str]]]:
    for item, cord in facts.cords():
        if isinstance(item, Strip):
            continue  # an LED strip's feed is extra-low voltage: rule 39
        met: list[str] = [step for step in cord.route if step in wanted]
        if met:
            yield item, met


@rule(18)
def cord_through_surface(facts: Facts) -> Iterator[Found]:
    """A flexible cord through or inside a wall, floor or ceiling, or hidden in a groove."""
    for item, met in _routes(facts, "through wall", "concealed", "in groove"):
        if isinstance(item, Light) and facts.low_volts(item):
            continue
        words = {
            "through wall": "goes through a wall, floor or ceiling",
            "concealed": "is hidden inside the building",
            "in groove": "lies in a groove; once that is covered it counts as hidden",
        }
        yield Found((item.id,), f"the cord of {facts.the(item.id)} {words[met[0]]}.")


@rule(19)
def cord_fixed_to_wall(facts: Facts) -> Iterator[Found]:
    """A flexible cord stapled, nailed or glued to the building."""
    for item, _ in _routes(facts, "stapled"):
        yield Found((item.id,), f"the cord of {facts.the(item.id)} is fastened to the building.")


@rule(20)
def cord_through_door(facts: Facts) -> Iterator[Found]:
    """A cord through a door or window."""
    for item, _ in _routes(facts, "through door"):
        yield Found((item.id,), f"the cord of {facts.the(item.id)} runs through a door or window.")


@rule(21)
def cord_pinched(facts: Facts) -> Iterator[Found]:
    """A cord under a rug or furniture, or a plug that furniture stands against."""
    for item, met in _routes(facts, "under rug", "under furniture"):
        where = "a rug" if met[0] == "under rug" else "furniture"
        yield Found((item.id,), f"the cord of {facts.the(item.id)} lies under {where}.")
    for outlet in facts.of(Outlet):
        plugs = facts.children[outlet.id]
        if outlet.at_m is None or not plugs:
            continue
        near = [
            (gap, piece.id)
            for piece in facts.scenario.furniture
            if piece.kind in _PRESSES
            and (gap := facts.room_at(outlet, piece, PLUG_DEPTH_M)) is not None
        ]
        if near:
            gap, piece_id = min(near)
            yield Found(
                (outlet.id, piece_id, *(plug.id for plug in plugs)),
                f"{facts.the(piece_id)} leaves {1000 * gap:.0f} mm at {facts.the(outlet.id)}, "
                f"too little for the plug of {facts.list_of([plug.id for plug in plugs])}.",
                numbers=(
                    ("room at the outlet", 1000 * gap, "mm"),
                    ("a straight plug with its cord, assumed", 1000 * PLUG_DEPTH_M, "mm"),
                ),
                assumed=f"a plug {1000 * PLUG_DEPTH_M:.0f} mm deep; measure yours",
                title="Plug pressed by furniture",
                tell="Furniture in front of this outlet presses on the plug and bends its cord.",
            )


@rule(23)
def extension_undersized(facts: Facts) -> Iterator[Found]:
    """An extension cord over its rating or its conductors; a power strip's own cord likewise."""
    for item in (*facts.of(Extension), *facts.of(PowerStrip)):
        found = [facts.worst(item.id, "cord")]
        if isinstance(item, Extension):
            found.append(facts.worst(item.id, "label"))
        past = [worst for worst in found if worst is not None and over(worst)]
        if past:
            worst = max(past, key=lambda w: w.share.share)
            what = facts.the(item.id)
            own_cord = isinstance(item, PowerStrip)
            if own_cord:
                what = f"the cord of {what}"
            yield Found(
                (item.id,),
                f"{what} carries {amperes(worst.share.amperes)} and may carry "
                f"{amperes(worst.share.limit.amperes)} ({worst.share.limit.reason}), "
                f"{facts.when(worst.case)}.",
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                limits=tuple(worst.share.limit for worst in past),
                title="Cord of a power strip too thin" if own_cord else None,
                tell="This strip's cord carries more than its size and the air around it allow."
                if own_cord
                else None,
            )


@rule(24)
def cord_coiled(facts: Facts) -> Iterator[Found]:
    """A coiled cord that carries over a quarter of its rating."""
    for item, cord in facts.cords():
        if not cord.coiled or isinstance(item, Strip):
            continue
        worst = facts.worst(item.id, "coiled cord")
        if worst is not None and over(worst):
            drawn = worst.share.amperes
            rating = worst.share.limit.amperes / COILED_SHARE
            limits = facts.electrics.wiring.limits[item.id]
            unknown = Limit(rating, worst.share.limit.reason, worst.share.limit.source, True)
            from_size = limits.get("cord") or limits.get("label") or unknown
            yield Found(
                (item.id,),
                f"the cord of {facts.the(item.id)} is coiled and carries {amperes(drawn)}: "
                f"{100 * drawn / rating:.0f} % of its {amperes(rating)}, "
                f"{facts.when(worst.case)}.",
                numbers=(
                    ("current", drawn, "A"),
                    (from_size.reason, rating, "A"),
                    ("share for a coiled cord", 100 * COILED_SHARE, "%"),
                    ("most while it is coiled", worst.share.limit.amperes, "A"),
                ),
                fix={
                    "name": "set",
                    "id": item.id,
                    "args": {"field": "cord.coiled", "value": False},
                },
                assumed=f"the cord's rating: {from_size.reason}" if from_size.assumed else None,
                limits=(worst.share.limit,),
            )


@rule(25)
def cord_too_small(facts: Facts) -> Iterator[Found]:
    """A light's or appliance's own cord: thinner than allowed, or over what it may carry."""
    inch = facts.region.text("cord_system") == "AWG"
    least, least_words = (0.8, "18 AWG") if inch else (0.75, "0.75 mm²")
    for item, cord in facts.cords():
        if not isinstance(item, Light | Appliance) or facts.low_volts(item):
            continue
        worst = facts.worst(item.id, "cord")
        if worst is not None and over(worst):
            yield Found(
                (item.id,),
                f"{facts.the(item.id)} draws {amperes(worst.share.amperes)} through a cord for "
                f"{amperes(worst.share.limit.amperes)}.",
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                limits=(worst.share.limit,),
            )
            continue
        area = cord_area_mm2(cord)
        if isinstance(item, Light) and area is not None and area < least - 1e-9:
            yield Found(
                (item.id,),
                f"the cord of {facts.the(item.id)} is {_size(cord)}; a light's cord should be "
                f"{least_words} or more.",
                numbers=(("conductor", area, "mm²"), ("at least", least, "mm²")),
            )


def _size(cord: Cord) -> str:
    return f"{cord.awg} AWG" if cord.awg is not None else f"{cord.area_mm2:g} mm²"


@rule(26)
def fuse_too_big_for_flex(facts: Facts) -> Iterator[Found]:
    """A British plug fuse that does not guard the flex behind it."""
    for item, cord in facts.cords():
        limits = facts.electrics.wiring.limits.get(item.id, {})  # none where it is not plugged in
        area, limit = cord_area_mm2(cord), limits.get("plug fuse")
        if limit is None or area is None:
            continue
        fuse = limit.amperes
        moulded = not isinstance(item, Light) or item.conversion == "none"
        if not fuse_suits_flex(fuse, area, moulded=moulded, length_m=cord.length_m):
            right = _fuse_between(facts.amperes(item.id), area)
            yield Found(
                (item.id,),
                f"the {'assumed ' if limit.assumed else ''}{fuse:g} A fuse in the plug of "
                f"{facts.the(item.id)} is too big for its {area:g} mm² flex.",
                numbers=(
                    ("fuse" + ", assumed" * limit.assumed, fuse, "A"),
                    ("flex", area, "mm²"),
                    ("thinnest flex that this fuse guards", flex_for_fuse(fuse), "mm²"),
                )[: 3 if math.isfinite(flex_for_fuse(fuse)) else 2],
                assumed=f"{fuse:g} A fuse: nobody has read it" if limit.assumed else None,
                fix=None if right is None else _fuse(item, right),
            )


def _fuse_between(drawn_a: float, area_mm2: float) -> float | None:
    """Return the smallest fuse sold that holds the load and guards the flex; 3 A before 1 and 2."""
    sizes = [float(row["fuse_a"]) for row in table("plug_fuses")]
    holds = [a for a in sizes if a >= max(3.0, drawn_a) and fuse_suits_flex(a, area_mm2)]
    return min(holds, default=None)


@rule(27)
def fuse_not_matched(facts: Facts) -> Iterator[Found]:
    """A British plug fuse against what it feeds: too small, or needlessly big."""
    for item in facts.items.values():
        fuse = getattr(item, "plug_fuse_a", None)
        if fuse is None or item.id not in facts.electrics.everything.loads:
            continue  # nothing flows where it is not plugged in
        worst = facts.worst(item.id, "plug fuse")
        volts = facts.electrics.everything[item.id].volts_in
        drawn = facts.electrics.everything[item.id].va
        right = fuse_for_load(drawn, volts)
        if worst is not None and over(worst):
            severity: Severity = "warning"
            words = f"{facts.the(item.id)} draws {amperes(worst.share.amperes)}, over the"
        elif isinstance(item, Light | Appliance | Driver) and fuse >= 13.0 and right == 3.0:
            severity = "advice"
            words = f"{facts.the(item.id)} draws only {drawn:.0f} VA behind a"
        else:
            continue
        yield Found(
            (item.id,),
            f"{words} {fuse:g} A fuse in its plug.",
            severity,
            (
                ("drawn, at most", drawn, "VA"),
                ("current", drawn / volts, "A"),
                ("fuse", fuse, "A"),
                ("fuse for this load", right if right is not None else math.nan, "A"),
            )[: 4 if right is not None else 3],
            fix=None if right is None or right == fuse else _fuse(item, right),
            limits=() if worst is None or severity == "advice" else (worst.share.limit,),
        )


def _fuse(item: Item, amperes_: float) -> dict[str, object]:
    return {"name": "set", "id": item.id, "args": {"field": "plug_fuse_a", "value": amperes_}}
