"""What is plugged where, what the lid of a compartment says, and what each button does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lumen.scenario.supply import Receiver
from lumen.sheet.trade import trade_words
from lumen.study.digits import figure
from lumen.study.load.warmth import inside_of
from lumen.study.study import Study

__all__ = ["Button", "Lid", "PlugRow", "buttons", "lids", "plug_rows"]


@dataclass(frozen=True)
class PlugRow:
    """One line of the plug map: how deep in the tree, and which node of the study it is.

    ``node`` is the place of the node in the study's list, so that its numbers are read there.
    ``worst_setup`` is the setup in which it carries most. ``limit`` is the place of the limit that
    is used most in the node's own list; ``output`` says that it stands at the node's output, so
    that what it carries there is not what it draws.
    """

    node: int
    depth: int
    id: str
    name: str
    kind: str
    plugged_into: str | None
    inside: str | None
    worst_setup: str | None
    worst_name: str | None
    limit: int | None
    output: bool


@dataclass(frozen=True)
class Lid:
    """A label for the lid of a closed space: what lies in it; the node that feeds it all."""

    furniture: str
    name: str
    nodes: tuple[int, ...]
    head: int
    feeds: tuple[int, ...]
    heat: int | None


@dataclass(frozen=True)
class Button:
    """One button or switch: what it switches, in which setups it is on, after a power cut."""

    button: str
    receiver: str
    receiver_name: str
    switches: tuple[str, ...]
    on_in: tuple[str, ...]
    after_power_cut: str | None


def plug_rows(study: Study) -> tuple[PlugRow, ...]:
    """Return the supply tree as rows, feeders before what they feed."""
    drawn, plan = study.electrics, study.scenario
    place = {node.id: number for number, node in enumerate(drawn.wiring.nodes)}
    setups = {setup.id: setup.name or setup.id for setup in plan.setups}
    boxes = {item.id: item.name or item.id for item in plan.furniture}
    kinds = {"strip": "LED strip", "power strip": trade_words(plan.region)["power_strip"]}
    inside = {node: boxes[box] for box, held in inside_of(plan).items() for node in held}

    def walk(parent: str | None, depth: int) -> Iterator[PlugRow]:
        for node_id in drawn.children.get(parent, ()):
            carried = {setup: figure(drawn.trees[setup][node_id].amperes) for setup in setups}
            worst = max(carried, key=lambda setup: carried[setup], default=None)
            kind = drawn.kind(node_id)
            shares = [figure(share.share) for share in drawn.everything[node_id].shares]
            yield PlugRow(
                node=place[node_id],
                depth=depth,
                id=node_id,
                name=drawn.name(node_id),
                kind=kinds.get(kind, kind),
                plugged_into=None if parent is None else drawn.name(parent),
                inside=inside.get(node_id),
                worst_setup=worst,
                worst_name=None if worst is None else setups[worst],
                limit=max(range(len(shares)), key=lambda k: shares[k], default=None),
                output=kind == "driver",
            )
            yield from walk(node_id, depth + 1)

    return tuple(walk(None, 0))


def lids(study: Study) -> tuple[Lid, ...]:
    """Return a label for every closed space that holds something electric."""
    drawn = study.electrics
    place = {node.id: number for number, node in enumerate(drawn.wiring.nodes)}
    feeder = {node.id: node.parent for node in drawn.wiring.nodes}
    names = {item.id: item.name or item.id for item in study.scenario.furniture}
    heat = {furniture: number for number, furniture in enumerate(drawn.heat)}
    labels = []
    for box, held in inside_of(study.scenario).items():
        here = [node for node in held if node in place]
        if not here:
            continue
        heads = [node for node in here if feeder[node] not in here]
        # the one with most behind it speaks for the space
        head = max(heads, key=lambda node: figure(drawn.everything[node].amperes))
        fed = [node for node, parent in feeder.items() if parent in here and node not in here]
        labels.append(
            Lid(
                furniture=box,
                name=names[box],
                nodes=tuple(place[node] for node in here),
                head=place[head],
                feeds=tuple(place[node] for node in fed),
                heat=heat.get(box),
            )
        )
    return tuple(labels)


def buttons(study: Study) -> tuple[Button, ...]:
    """Return what each remote button switches; a receiver without one has none in the plan."""
    plan, drawn = study.scenario, study.electrics

    def below(node_id: str) -> Iterator[str]:
        for child in drawn.children.get(node_id, ()):
            yield child
            yield from below(child)

    ends = {source.id for source in plan.sources}
    ends |= {item.id for item in plan.supply if item.kind == "appliance"}
    rows = []
    for item in plan.supply:
        if isinstance(item, Receiver):
            switched = [node for node in below(item.id) if node in ends]
            on = [
                setup.name or setup.id
                for setup in plan.setups
                if any(setup.levels.get(x, 0.0) > 0.0 or x in setup.running for x in switched)
            ]
            rows.append(
                Button(
                    button=item.button or "not in the plan",
                    receiver=item.id,
                    receiver_name=item.name or item.id,
                    switches=tuple(drawn.name(node) for node in switched),
                    on_in=tuple(on),
                    after_power_cut=item.after_power_cut,
                )
            )
    return tuple(rows)
