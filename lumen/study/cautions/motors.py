"""Rules 62 to 64: motors and compressors behind what is made for less, medical devices."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.power.load import Limit
from lumen.scenario.supply import Adapter, Appliance, Extension, PowerStrip, Receiver
from lumen.study.cautions.clauses import clause, line, thing
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.load.wiring import MOTOR_START


def _motors(facts: Facts) -> Iterator[tuple[Appliance, bool]]:
    return (
        (item, facts.is_compressor(item)) for item in facts.of(Appliance) if facts.is_motor(item)
    )


@rule(62)
def motor_on_receiver(facts: Facts) -> Iterator[Hazard]:
    """A motor behind a remote plug that nobody has read a motor rating of, or over that rating."""
    for item, compressor in _motors(facts):
        for node in facts.above(item):
            if not isinstance(node, Receiver):
                continue
            worst = facts.worst(node.id, "motor")
            passed = worst is not None and worst.share.share > GRACE
            if node.motor_w is not None and not passed:
                continue
            severity: Severity = "danger" if compressor or node.motor_w else "warning"
            rating = (
                clause("no-rating")
                if node.motor_w is None
                else clause("rating", motor_w=float(node.motor_w))
            )
            running = facts.amperes(item.id)
            yield Hazard(
                (item.id, node.id),
                clause(
                    "compressor" if compressor else "motor",
                    item=thing(item.id),
                    receiver=thing(node.id),
                    rating=rating,
                ),
                severity,
                numbers=(
                    line("running", running, "A"),
                    line("starting", MOTOR_START * running, "A"),
                ),
                fix=facts.plug_fix(item),
                assumed=() if node.motor_w else (clause("assumed-start", times=MOTOR_START),),
                limits=() if worst is None else (worst.share.limit,),
            )


@rule(63)
def motor_on_strip(facts: Facts) -> Iterator[Hazard]:
    """A compressor, or a motor whose start is over the rating, on a strip, lead or adapter."""
    for item, compressor in _motors(facts):
        for node in facts.above(item):
            if not isinstance(node, PowerStrip | Extension | Adapter):
                continue
            limit = _least(facts, node.id)
            running = facts.amperes(item.id)
            start = MOTOR_START * running
            if not compressor and (limit is None or start <= limit.amperes * GRACE):
                continue
            past = (
                (clause("past", start_a=start, limit_a=limit.amperes),)
                if limit is not None and start > limit.amperes * GRACE
                else ()
            )
            yield Hazard(
                (item.id, node.id),
                clause(
                    "compressor" if compressor else "motor",
                    item=thing(item.id),
                    feeder=thing(node.id),
                    past=past,
                ),
                "danger" if compressor else "warning",
                numbers=(
                    line("running", running, "A"),
                    line("starting", start, "A"),
                    *(
                        ()
                        if limit is None
                        else (line("reason", limit.amperes, "A", reason=limit.reason),)
                    ),
                ),
                fix=facts.plug_fix(item, alone=True) or facts.plug_fix(item),
                assumed=(clause("assumed-start", times=MOTOR_START),),
            )


def _least(facts: Facts, node_id: str) -> Limit | None:
    limits = facts.electrics.wiring.limits[node_id]
    return min(
        (limit for role in ("label", "cord") if (limit := limits.get(role)) is not None),
        key=lambda limit: float(limit.amperes),
        default=None,
    )


@rule(64)
def medical_behind_switch(facts: Facts) -> Iterator[Hazard]:
    """A medical device behind anything that can switch it off or be pulled by mistake."""
    for item in facts.of(Appliance):
        if not facts.is_medical(item):
            continue
        between = [
            node
            for node in facts.above(item)
            if isinstance(node, PowerStrip | Extension | Adapter | Receiver)
        ]
        if between:
            remote = [node for node in between if isinstance(node, Receiver)]
            first = (remote or between)[0]
            yield Hazard(
                (item.id, *(node.id for node in between)),
                clause(
                    "remote" if remote else "between", item=thing(item.id), first=thing(first.id)
                ),
                "danger" if remote else "warning",
                numbers=(line("draws", facts.watts(item.id), "W", of=thing(item.id)),),
                fix=facts.plug_fix(item),
            )
