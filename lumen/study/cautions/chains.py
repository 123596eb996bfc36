"""Rules 61 and 65: what hangs behind what, and whether there are holes for all the plugs."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.supply import Adapter, Extension, Outlet, PowerStrip, Receiver
from lumen.study.cautions.clauses import clause, line, thing
from lumen.study.cautions.facts import Facts, Item
from lumen.study.cautions.overload import over
from lumen.study.cautions.registry import Hazard, Severity, rule

LONGEST_CHAIN = 2
"""Parts between wall and thing from which a chain is grave whatever they are: our own rule."""

_JOINING = (PowerStrip, Extension, Adapter, Receiver)
_LEADS = (PowerStrip, Extension)


@rule(61)
def chain_of_parts(facts: Facts) -> Iterator[Hazard]:
    """A strip, lead, adapter or remote plug behind another; 11, 12, 13 and 42 say the rest."""
    for item in facts.items.values():
        parent = facts.parent(item)
        if not isinstance(item, _JOINING) or not isinstance(parent, _JOINING):
            continue
        chain = [item, *(node for node in facts.above(item) if isinstance(node, _JOINING))]
        both_leads = isinstance(item, _LEADS) and isinstance(parent, _LEADS)
        grave = both_leads or len(chain) > LONGEST_CHAIN
        if not grave and _told_elsewhere(facts, item, parent):
            continue
        severity: Severity = "danger" if grave else "warning"
        if grave and _told_elsewhere(facts, item, parent, gravely=True):
            continue
        yield Hazard(
            (item.id, *(node.id for node in chain[1:])),
            clause(
                "behind",
                item=thing(item.id),
                feeder=thing(parent.id),
                way=thing(*(node.id for node in reversed(chain))),
            ),
            severity,
            numbers=(line("of-carries", facts.amperes(parent.id), "A", of=thing(parent.id)),),
            fix=facts.plug_fix(item),
        )


def _told_elsewhere(facts: Facts, item: Item, parent: Item, *, gravely: bool = False) -> bool:
    """Return whether a rule of its own speaks of this pair, or speaks of it as a danger."""
    if isinstance(item, PowerStrip):
        above = [node for node in facts.above(item) if isinstance(node, _JOINING)]
        if isinstance(parent, _LEADS) or any(isinstance(node, PowerStrip) for node in above):
            return True  # 11 and 12
        past = iter(above)
        while isinstance(step := next(past, None), Adapter | Receiver):
            pass
        return isinstance(step, Extension)
    if gravely:
        return False
    if isinstance(item, Adapter):
        return isinstance(parent, PowerStrip | Adapter | Extension)  # 13
    if isinstance(item, Receiver):  # 42, unless that speaks of its load
        loads = (facts.worst(item.id, "resistive"), facts.worst(item.id, "electronic"))
        return not any(over(load) for load in loads)
    return False


@rule(65)
def more_plugs_than_holes(facts: Facts) -> Iterator[Hazard]:
    """More plugs in a plate, strip, adapter, extension cord or remote plug than it has holes."""
    for node in facts.items.values():
        if not isinstance(node, (Outlet, *_JOINING)):
            continue
        holes = node.holes if isinstance(node, Outlet | PowerStrip | Adapter) else 1
        plugs = [item.id for item in facts.children[node.id]]
        if len(plugs) <= holes:
            continue
        guess = isinstance(node, Outlet | PowerStrip | Adapter) and (
            "holes" not in node.model_fields_set
        )
        last = facts.items[plugs[-1]]
        yield Hazard(
            (node.id, *plugs),
            clause(
                "one-hole" if holes == 1 else "holes",
                plugs=float(len(plugs)),
                of=thing(node.id),
                holes=float(holes),
            ),
            numbers=(line("plugs", float(len(plugs)), ""), line("hole-count", float(holes), "")),
            fix=facts.plug_fix(last),
            assumed=(clause("assumed-holes", holes=float(holes)),) if guess else (),
        )
