"""What is plugged where, what the lid of a compartment says, and what each button does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lumen.scenario.supply import Receiver
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


def plug_rows(study: Study, power: dict[str, Any]) -> tuple[PlugRow, ...]:
    """Return the supply tree as rows, feeders before what they feed."""
    nodes = power["nodes"]
    place = {node["id"]: number for number, node in enumerate(nodes)}
    setups = {setup.id: setup.name or setup.id for setup in study.scenario.setups}
    boxes = {item.id: item.name or item.id for item in study.scenario.furniture}
    inside = {node: boxes[box] for box, held in inside_of(study.scenario).items() for node in held}

    def walk(parent: str | None, depth: int) -> Iterator[PlugRow]:
        for node in nodes:
            if (node["fed_from"] if node["fed_from"] in place else None) != parent:
                continue
            by_setup = node["by_setup"]
            worst = max(by_setup, key=lambda s: by_setup[s]["amperes"], default=None)
            yield PlugRow(
                node=place[node["id"]],
                depth=depth,
                id=node["id"],
                name=node["name"],
                kind="LED strip" if node["kind"] == "strip" else node["kind"],
                plugged_into=None if parent is None else nodes[place[parent]]["name"],
                inside=inside.get(node["id"]),
                worst_setup=worst,
                worst_name=None if worst is None else setups[worst],
                limit=max(
                    range(len(node["limits"])),
                    key=lambda k: node["limits"][k]["share"],
                    default=None,
                ),
                output=node["kind"] == "driver",
            )
            yield from walk(node["id"], depth + 1)

    return tuple(walk(None, 0))


def lids(study: Study, power: dict[str, Any]) -> tuple[Lid, ...]:
    """Return a label for every closed space that holds something electric."""
    nodes = power["nodes"]
    place = {node["id"]: number for number, node in enumerate(nodes)}
    names = {item.id: item.name or item.id for item in study.scenario.furniture}
    heat = {found["id"]: number for number, found in enumerate(power["heat"])}
    found = []
    for box, held in inside_of(study.scenario).items():
        here = [node for node in held if node in place]
        heads = [node for node in here if nodes[place[node]]["fed_from"] not in here]
        if not here:
            continue
        # the one with most behind it speaks for the space
        head = max(heads, key=lambda n: nodes[place[n]]["everything_on"]["amperes"])
        fed = [n["id"] for n in nodes if n["fed_from"] in here and n["id"] not in here]
        found.append(
            Lid(
                furniture=box,
                name=names[box],
                nodes=tuple(place[node] for node in here),
                head=place[head],
                feeds=tuple(place[node] for node in fed),
                heat=heat.get(box),
            )
        )
    return tuple(found)


def buttons(study: Study, power: dict[str, Any]) -> tuple[Button, ...]:
    """Return what each remote button switches; a receiver without one has none in the plan."""
    plan = study.scenario
    children: dict[str, list[str]] = {}
    for node in power["nodes"]:
        children.setdefault(node["fed_from"] or "", []).append(node["id"])
    names = {node["id"]: node["name"] for node in power["nodes"]}

    def below(node_id: str) -> Iterator[str]:
        for child in children.get(node_id, []):
            yield child
            yield from below(child)

    ends = {source.id for source in plan.sources}
    ends |= {item.id for item in plan.supply if item.kind == "appliance"}
    found = []
    for item in plan.supply:
        if isinstance(item, Receiver):
            switched = [node for node in below(item.id) if node in ends]
            on = [
                setup.name or setup.id
                for setup in plan.setups
                if any(setup.levels.get(x, 0.0) > 0.0 or x in setup.running for x in switched)
            ]
            found.append(
                Button(
                    button=item.button or "not in the plan",
                    receiver=item.id,
                    receiver_name=item.name or item.id,
                    switches=tuple(names[node] for node in switched),
                    on_in=tuple(on),
                    after_power_cut=item.after_power_cut,
                )
            )
    return tuple(found)
