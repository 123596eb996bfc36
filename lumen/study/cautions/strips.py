"""Rules 10 to 13, 22, 41: how power strips, extension cords and adapters are put together."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.supply import Adapter, Extension, PowerStrip, Receiver
from lumen.study.cautions.facts import GRACE, Facts
from lumen.study.cautions.registry import Found, Severity, rule
from lumen.study.words import amperes

MUCH_OF_A_LEAD = 0.5  # of its rating: our own rule
_LONG_DAYS = 90.0  # 29 CFR 1910.305(a)(2), temporary wiring


@rule(10)
def label_unread(facts: Facts) -> Iterator[Found]:
    """A power strip, extension cord, adapter or receiver whose rating is a low guess."""
    for item in facts.items.values():
        if not isinstance(item, PowerStrip | Extension | Adapter | Receiver):
            continue
        limits = facts.electrics.wiring.limits[item.id]
        limit = limits["resistive"] if isinstance(item, Receiver) else limits.get("label")
        if limit is not None and limit.assumed:
            usual = facts.region.number("strip_usual_a") if isinstance(item, PowerStrip) else None
            yield Found(
                (item.id,),
                f"nobody has read the label of {facts.the(item.id)}; "
                f"{limit.amperes:g} A is assumed.",
                numbers=(
                    ("assumed until it is read", limit.amperes, "A"),
                    ("carries at most", facts.amperes(item.id), "A"),
                    *(() if usual is None else (("usual on such labels", usual, "A"),)),
                ),
                assumed=f"{limit.amperes:g} A for {facts.the(item.id)}",
            )


@rule(11)
def strip_into_strip(facts: Facts) -> Iterator[Found]:
    """A power strip with another one above it."""
    for strip in facts.of(PowerStrip):
        first = next((node for node in facts.above(strip) if isinstance(node, PowerStrip)), None)
        if first is not None:
            yield Found(
                (strip.id, first.id),
                f"{facts.the(strip.id)} is plugged into {facts.the(first.id)}.",
                numbers=((f"{facts.the(first.id)} carries", facts.amperes(first.id), "A"),),
                fix=facts.plug_fix(strip),
            )


@rule(12)
def strip_on_extension(facts: Facts) -> Iterator[Found]:
    """A power strip on an extension cord, also through an adapter or receiver."""
    for strip in facts.of(PowerStrip):
        for node in facts.above(strip):
            if isinstance(node, Extension):
                yield Found(
                    (strip.id, node.id),
                    f"{facts.the(strip.id)} hangs on an extension cord, {facts.the(node.id)}.",
                    numbers=((f"{facts.the(node.id)} carries", facts.amperes(node.id), "A"),),
                    fix=facts.plug_fix(strip),
                )
            if not isinstance(node, Adapter | Receiver):
                break


@rule(13)
def adaptor_stacked(facts: Facts) -> Iterator[Found]:
    """An adapter in a strip, cord or adapter, or with more than one thing that heats."""
    for adapter in facts.of(Adapter):
        parent = facts.parent(adapter)
        heat = [item.id for item in facts.below(adapter.id) if facts.heats_strongly(item)]
        if isinstance(parent, PowerStrip | Adapter | Extension):
            yield Found(
                (adapter.id, parent.id),
                f"{facts.the(adapter.id)} sits in {facts.the(parent.id)}.",
                fix=facts.plug_fix(adapter),
            )
        elif len(heat) > 1:
            yield Found(
                (adapter.id, *heat),
                f"{facts.the(adapter.id)} feeds {facts.list_of(heat)}, which all make heat.",
                numbers=tuple((facts.the(item), facts.amperes(item), "A") for item in heat),
            )


@rule(22)
def extension_permanent(facts: Facts) -> Iterator[Found]:
    """An extension cord that stays: a note, or more when it stays long or carries much."""
    for extension in facts.of(Extension):
        worst = facts.worst(extension.id, "label") or facts.worst(extension.id, "cord")
        share = 0.0 if worst is None else worst.share.share
        limit = 0.0 if worst is None else worst.share.limit.amperes
        days = extension.days_in_use or 0.0
        severity: Severity = (
            "warning" if days > _LONG_DAYS or share > MUCH_OF_A_LEAD * GRACE else "advice"
        )
        words = f"{facts.the(extension.id)} is part of the plan"
        if days > _LONG_DAYS:
            words += f" for {days:g} days"
        if share > MUCH_OF_A_LEAD * GRACE:
            words += f" and carries {amperes(share * limit)} of {amperes(limit)}"
        yield Found(
            (extension.id,),
            words + ".",
            severity,
            (
                ("days in use", days, "d"),
                ("share of its rating", 100 * share, "%"),
                ("more than a note from", 100 * MUCH_OF_A_LEAD, "%"),
                ("or from", _LONG_DAYS, "d"),
            ),
        )


@rule(41)
def strip_built_in(facts: Facts) -> Iterator[Found]:
    """A power strip for the open, screwed down or hidden in furniture."""
    for strip in facts.of(PowerStrip):
        if strip.furniture_type or not (strip.fixed or strip.inside is not None):
            continue
        where = "fixed in place" if strip.inside is None else f"inside {facts.the(strip.inside)}"
        yield Found(
            (strip.id,), f"{facts.the(strip.id)} is {where}, and is not made to be built in."
        )
