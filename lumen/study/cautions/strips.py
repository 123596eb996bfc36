"""Rules 10 to 13, 22, 41: how power strips, extension cords and adapters are put together."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.supply import Adapter, Extension, PowerStrip, Receiver
from lumen.study.cautions.clauses import clause, line, thing
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.registry import Hazard, Severity, rule

MUCH_OF_A_LEAD = 0.5  # of its rating: our own rule
_LONG_DAYS = 90.0  # 29 CFR 1910.305(a)(2), temporary wiring


@rule(10)
def label_unread(facts: Facts) -> Iterator[Hazard]:
    """A power strip, extension cord, adapter or receiver whose rating is a low guess."""
    for item in facts.items.values():
        if not isinstance(item, PowerStrip | Extension | Adapter | Receiver):
            continue
        limits = facts.electrics.wiring.limits[item.id]
        limit = limits["resistive"] if isinstance(item, Receiver) else limits.get("label")
        if limit is not None and limit.assumed:
            usual = facts.region.number("strip_usual_a") if isinstance(item, PowerStrip) else None
            yield Hazard(
                (item.id,),
                clause("unread-label", item=thing(item.id), limit_a=limit.amperes),
                numbers=(
                    line("assumed", limit.amperes, "A"),
                    line("carries", facts.amperes(item.id), "A"),
                    *(() if usual is None else (line("usual", usual, "A"),)),
                ),
                assumed=(clause("assumed-label", limit_a=limit.amperes, item=thing(item.id)),),
            )


@rule(11)
def strip_into_strip(facts: Facts) -> Iterator[Hazard]:
    """A power strip with another one above it."""
    for strip in facts.of(PowerStrip):
        first = next((node for node in facts.above(strip) if isinstance(node, PowerStrip)), None)
        if first is not None:
            yield Hazard(
                (strip.id, first.id),
                clause("behind", strip=thing(strip.id), feeder=thing(first.id)),
                numbers=(line("of-carries", facts.amperes(first.id), "A", of=thing(first.id)),),
                fix=facts.plug_fix(strip),
            )


@rule(12)
def strip_on_extension(facts: Facts) -> Iterator[Hazard]:
    """A power strip on an extension cord, also through an adapter or receiver."""
    for strip in facts.of(PowerStrip):
        for node in facts.above(strip):
            if isinstance(node, Extension):
                yield Hazard(
                    (strip.id, node.id),
                    clause("behind", strip=thing(strip.id), feeder=thing(node.id)),
                    numbers=(line("of-carries", facts.amperes(node.id), "A", of=thing(node.id)),),
                    fix=facts.plug_fix(strip),
                )
            if not isinstance(node, Adapter | Receiver):
                break


@rule(13)
def adaptor_stacked(facts: Facts) -> Iterator[Hazard]:
    """An adapter in a strip, cord or adapter, or with more than one thing that heats."""
    for adapter in facts.of(Adapter):
        parent = facts.parent(adapter)
        heat = [item.id for item in facts.below(adapter.id) if facts.heats_strongly(item)]
        if isinstance(parent, PowerStrip | Adapter | Extension):
            yield Hazard(
                (adapter.id, parent.id),
                clause("behind", adapter=thing(adapter.id), feeder=thing(parent.id)),
                fix=facts.plug_fix(adapter),
            )
        elif len(heat) > 1:
            yield Hazard(
                (adapter.id, *heat),
                clause("heat", adapter=thing(adapter.id), things=thing(*heat)),
                numbers=tuple(
                    line("thing", facts.amperes(item), "A", of=thing(item)) for item in heat
                ),
            )


@rule(22)
def extension_permanent(facts: Facts) -> Iterator[Hazard]:
    """An extension cord that stays: a note, or more when it stays long or carries much."""
    for extension in facts.of(Extension):
        worst = facts.worst(extension.id, "label") or facts.worst(extension.id, "cord")
        share = 0.0 if worst is None else worst.share.share
        limit = 0.0 if worst is None else worst.share.limit.amperes
        days = extension.days_in_use or 0.0
        severity: Severity = (
            "warning" if days > _LONG_DAYS or share > MUCH_OF_A_LEAD * GRACE else "advice"
        )
        long = (clause("days", days=float(days)),) if days > _LONG_DAYS else ()
        much = share > MUCH_OF_A_LEAD * GRACE
        carries = (clause("carries-of", carried_a=share * limit, limit_a=limit),) if much else ()
        yield Hazard(
            (extension.id,),
            clause("stays", extension=thing(extension.id), long=long, carries=carries),
            severity,
            (
                line("days-in-use", days, "d"),
                line("share", 100 * share, "%"),
                line("note-from", 100 * MUCH_OF_A_LEAD, "%"),
                line("or-from", _LONG_DAYS, "d"),
            ),
        )


@rule(41)
def strip_built_in(facts: Facts) -> Iterator[Hazard]:
    """A power strip for the open, screwed down or hidden in furniture."""
    for strip in facts.of(PowerStrip):
        if strip.furniture_type or not (strip.fixed or strip.inside is not None):
            continue
        fact = (
            clause("fixed", strip=thing(strip.id))
            if strip.inside is None
            else clause("inside", strip=thing(strip.id), furniture=thing(strip.inside))
        )
        yield Hazard((strip.id,), fact)
