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
from lumen.study.cautions.clauses import Clause, clause, line, thing
from lumen.study.cautions.facts import Facts, Item
from lumen.study.cautions.overload import beyond_limit, guessed, over, sum_of
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.load.wiring import cord_area_mm2
from lumen.tables import table

PLUG_DEPTH_M = 0.06  # a straight plug with its cord's bend: common practice, no source
_KEYS = {
    "through wall": "through-wall",
    "concealed": "concealed",
    "in groove": "in-groove",
    "under rug": "under-rug",
    "under furniture": "under-furniture",
}
_PRESSES = ("bed frame", "mattress", "headboard", "wardrobe", "chest", "desk", "nightstand")


def _routes(facts: Facts, *wanted: str) -> Iterator[tuple[Item, list[str]]]:
    for item, cord in facts.cords():
        if isinstance(item, Strip):
            continue  # an LED strip's feed is extra-low voltage: rule 39
        met: list[str] = [step for step in cord.route if step in wanted]
        if met:
            yield item, met


@rule(18)
def cord_through_surface(facts: Facts) -> Iterator[Hazard]:
    """A flexible cord through or inside a wall, floor or ceiling, or hidden in a groove."""
    for item, met in _routes(facts, "through wall", "concealed", "in groove"):
        if isinstance(item, Light) and facts.low_volts(item):
            continue
        yield Hazard((item.id,), clause(_KEYS[met[0]], item=thing(item.id)))


@rule(19)
def cord_fixed_to_wall(facts: Facts) -> Iterator[Hazard]:
    """A flexible cord stapled, nailed or glued to the building."""
    for item, _ in _routes(facts, "stapled"):
        yield Hazard((item.id,), clause("fastened", item=thing(item.id)))


@rule(20)
def cord_through_door(facts: Facts) -> Iterator[Hazard]:
    """A cord through a door or window."""
    for item, _ in _routes(facts, "through door"):
        yield Hazard((item.id,), clause("through-door", item=thing(item.id)))


@rule(21)
def cord_pinched(facts: Facts) -> Iterator[Hazard]:
    """A cord under a rug or furniture, or a plug that furniture stands against."""
    for item, met in _routes(facts, "under rug", "under furniture"):
        yield Hazard((item.id,), clause(_KEYS[met[0]], item=thing(item.id)))
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
            yield Hazard(
                (outlet.id, piece_id, *(plug.id for plug in plugs)),
                clause(
                    "pressed",
                    furniture=thing(piece_id),
                    gap_m=gap,
                    outlet=thing(outlet.id),
                    plugs=thing(*(plug.id for plug in plugs)),
                ),
                numbers=(
                    line("gap", 1000 * gap, "mm"),
                    line("plug", 1000 * PLUG_DEPTH_M, "mm"),
                ),
                assumed=(clause("assumed-plug", plug_m=PLUG_DEPTH_M),),
                title=clause("pressed-title"),
                tell=clause("pressed-tell"),
            )


@rule(23)
def extension_undersized(facts: Facts) -> Iterator[Hazard]:
    """An extension cord over its rating or its conductors; a power strip's own cord likewise."""
    for item in (*facts.of(Extension), *facts.of(PowerStrip)):
        tight = [facts.worst(item.id, "cord")]
        if isinstance(item, Extension):
            tight.append(facts.worst(item.id, "label"))
        past = [worst for worst in tight if worst is not None and over(worst)]
        if past:
            worst = max(past, key=lambda w: w.share.share)
            own_cord = isinstance(item, PowerStrip)
            yield Hazard(
                (item.id,),
                beyond_limit(worst, "strip-cord" if own_cord else "beyond", item=item.id),
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                limits=tuple(worst.share.limit for worst in past),
                title=clause("strip-cord-title") if own_cord else None,
                tell=clause("strip-cord-tell") if own_cord else None,
            )


@rule(24)
def cord_coiled(facts: Facts) -> Iterator[Hazard]:
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
            yield Hazard(
                (item.id,),
                clause(
                    "coiled",
                    item=thing(item.id),
                    carried_a=drawn,
                    share=drawn / rating,
                    rating_a=rating,
                    when=worst.case,
                ),
                numbers=(
                    line("current", drawn, "A"),
                    line("reason", rating, "A", reason=from_size.reason),
                    line("share", 100 * COILED_SHARE, "%"),
                    line("most", worst.share.limit.amperes, "A"),
                ),
                fix={
                    "name": "set",
                    "id": item.id,
                    "args": {"field": "cord.coiled", "value": False},
                },
                assumed=(clause("assumed-rating", reason=from_size.reason),)
                if from_size.assumed
                else (),
                limits=(worst.share.limit,),
            )


@rule(25)
def cord_too_small(facts: Facts) -> Iterator[Hazard]:
    """A light's or appliance's own cord: thinner than allowed, or over what it may carry."""
    inch = facts.region.text("cord_system") == "AWG"
    least = 0.8 if inch else 0.75  # 18 AWG is 0.82 mm²
    for item, cord in facts.cords():
        if not isinstance(item, Light | Appliance) or facts.low_volts(item):
            continue
        worst = facts.worst(item.id, "cord")
        if worst is not None and over(worst):
            yield Hazard(
                (item.id,),
                clause(
                    "beyond",
                    item=thing(item.id),
                    carried_a=worst.share.amperes,
                    limit_a=worst.share.limit.amperes,
                ),
                numbers=sum_of(facts, worst),
                assumed=guessed(facts, worst),
                limits=(worst.share.limit,),
            )
            continue
        area = cord_area_mm2(cord)
        if isinstance(item, Light) and area is not None and area < least - 1e-9:
            yield Hazard(
                (item.id,),
                clause(
                    "thin-awg" if inch else "thin-mm2",
                    item=thing(item.id),
                    size=_size(cord, area),
                ),
                numbers=(line("conductor", area, "mm²"), line("at-least", least, "mm²")),
            )


def _size(cord: Cord, area_mm2: float) -> Clause:
    if cord.awg is not None:
        return clause("awg", awg=float(cord.awg))
    return clause("mm2", area_mm2=area_mm2)


@rule(26)
def fuse_too_big_for_flex(facts: Facts) -> Iterator[Hazard]:
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
            yield Hazard(
                (item.id,),
                clause(
                    "too-big-assumed" if limit.assumed else "too-big",
                    item=thing(item.id),
                    fuse_a=fuse,
                    area_mm2=area,
                ),
                numbers=(
                    line("fuse-assumed" if limit.assumed else "fuse", fuse, "A"),
                    line("flex", area, "mm²"),
                    line("thinnest", flex_for_fuse(fuse), "mm²"),
                )[: 3 if math.isfinite(flex_for_fuse(fuse)) else 2],
                assumed=(clause("assumed-fuse", fuse_a=fuse),) if limit.assumed else (),
                fix=None if right is None else _fuse(item, right),
            )


def _fuse_between(drawn_a: float, area_mm2: float) -> float | None:
    """Return the smallest fuse sold that holds the load and guards the flex; 3 A before 1 and 2."""
    sizes = [float(row["fuse_a"]) for row in table("plug_fuses")]
    holds = [a for a in sizes if a >= max(3.0, drawn_a) and fuse_suits_flex(a, area_mm2)]
    return min(holds, default=None)


@rule(27)
def fuse_not_matched(facts: Facts) -> Iterator[Hazard]:
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
            fact = clause(
                "over", item=thing(item.id), carried_a=worst.share.amperes, fuse_a=float(fuse)
            )
        elif isinstance(item, Light | Appliance | Driver) and fuse >= 13.0 and right == 3.0:
            severity = "advice"
            fact = clause("needless", item=thing(item.id), drawn_va=drawn, fuse_a=float(fuse))
        else:
            continue
        yield Hazard(
            (item.id,),
            fact,
            severity,
            (
                line("drawn", drawn, "VA"),
                line("current", drawn / volts, "A"),
                line("fuse", fuse, "A"),
                line("right", right if right is not None else math.nan, "A"),
            )[: 4 if right is not None else 3],
            fix=None if right is None or right == fuse else _fuse(item, right),
            limits=() if worst is None or severity == "advice" else (worst.share.limit,),
        )


def _fuse(item: Item, amperes_: float) -> dict[str, object]:
    return {"name": "set", "id": item.id, "args": {"field": "plug_fuse_a", "value": amperes_}}
