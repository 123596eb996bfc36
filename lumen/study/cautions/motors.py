"""Rules 62 to 64: motors and compressors behind what is made for less, medical devices."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.power.load import Limit
from lumen.scenario.supply import Adapter, Appliance, Extension, PowerStrip, Receiver
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.registry import Found, Severity, rule
from lumen.study.load.wiring import MOTOR_START
from lumen.study.words import amperes


def _motors(facts: Facts) -> Iterator[tuple[Appliance, bool]]:
    return (
        (item, facts.is_compressor(item)) for item in facts.of(Appliance) if facts.is_motor(item)
    )


@rule(62)
def motor_on_receiver(facts: Facts) -> Iterator[Found]:
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
            kind = "a compressor" if compressor else "a motor"
            fact = f"{facts.the(item.id)} has {kind} and hangs on {facts.the(node.id)}"
            if node.motor_w is not None:
                fact += f", which is made for {node.motor_w:g} W of motors"
            else:
                fact += ", whose rating counts for plain heat and light; no rating for motors is "
                fact += "written down"
            running = facts.amperes(item.id)
            yield Found(
                (item.id, node.id),
                fact + ".",
                severity,
                numbers=(
                    ("running current", running, "A"),
                    ("while it starts, about", MOTOR_START * running, "A"),
                ),
                fix=facts.plug_fix(item),
                assumed=None
                if node.motor_w
                else f"a motor starts with about {MOTOR_START:g} times its running current",
                limits=() if worst is None else (worst.share.limit,),
            )


@rule(63)
def motor_on_strip(facts: Facts) -> Iterator[Found]:
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
            kind = "a compressor" if compressor else "a motor"
            fact = f"{facts.the(item.id)} has {kind} and hangs on {facts.the(node.id)}"
            if limit is not None and start > limit.amperes * GRACE:
                fact += f": it starts with about {amperes(start)} of {amperes(limit.amperes)}"
            yield Found(
                (item.id, node.id),
                fact + ".",
                "danger" if compressor else "warning",
                numbers=(
                    ("running current", running, "A"),
                    ("while it starts, about", start, "A"),
                    *(() if limit is None else ((limit.reason, limit.amperes, "A"),)),
                ),
                fix=facts.plug_fix(item, alone=True) or facts.plug_fix(item),
                assumed=f"a motor starts with about {MOTOR_START:g} times its running current",
            )


def _least(facts: Facts, node_id: str) -> Limit | None:
    limits = facts.electrics.wiring.limits[node_id]
    return min(
        (limit for role in ("label", "cord") if (limit := limits.get(role)) is not None),
        key=lambda limit: float(limit.amperes),
        default=None,
    )


@rule(64)
def medical_behind_switch(facts: Facts) -> Iterator[Found]:
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
            how = "that can switch it off" if remote else "that can be switched or pulled out"
            yield Found(
                (item.id, *(node.id for node in between)),
                f"{facts.the(item.id)} is a medical device behind {facts.the(first.id)}, {how}.",
                "danger" if remote else "warning",
                numbers=((f"{facts.the(item.id)} draws", facts.watts(item.id), "W"),),
                fix=facts.plug_fix(item),
            )
