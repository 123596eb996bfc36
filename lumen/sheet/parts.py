"""What a plan needs beside its lights and plugs: dimmers, remote, joints, wire, boards, screws.

The plan does not hold these; they follow from what it does hold. Sizes are from the study and from
tables; how many screws and clips a thing takes is common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from lumen.power.conductors import area_from_gauge, resistance_per_metre, voltage_drop
from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Driver, Receiver
from lumen.sheet.cords import CordRun
from lumen.sheet.cuts import Board, StripCuts
from lumen.sheet.fixing import Fixing
from lumen.sheet.places import HiddenSpace
from lumen.sheet.shopping import Item, Spec, lowest_asked
from lumen.study.scene.levels import dimming
from lumen.study.study import Study

__all__ = ["further"]

_WIRE_DROP = 0.03  # share of the volts that a feed wire may lose: rule of strip makers, as rule 38
_GAUGES = (22, 20, 18, 16, 14, 12)
_AREAS_MM2 = (0.34, 0.5, 0.75, 1.0, 1.5, 2.5)
_CLIP_EVERY_M = 0.4
_JOINT_WIRE_M = 0.1


def further(
    study: Study,
    runs: Sequence[CordRun],
    cuts: Sequence[StripCuts],
    boards: Sequence[Board],
    held: Sequence[Fixing],
    spaces: Sequence[HiddenSpace],
) -> tuple[Item, ...]:
    """Return what is bought beside the things that the plan names.

    Parameters
    ----------
    study
        The study of a plan.
    runs, cuts, boards, held, spaces
        Its cords, cuts, boards, what holds its things, and its hidden spaces.
    """
    plan = study.scenario
    return (
        *_dimmers(study),
        *_remote(plan),
        *_joints(plan, cuts),
        *_wire(study, runs, cuts),
        *_boards(boards),
        *_screws(held),
        *_clips(runs),
        *_grommets(spaces),
    )


def _item(key: str, name: str, kind: str, count: int, *specs: Spec) -> Item:
    return Item(key, name, kind, count, specs, (), None, None)


def _dimmers(study: Study) -> Iterator[Item]:
    """One for each light or strip that a setup dims and that no driver or remote plug dims."""
    plan = study.scenario
    things: dict[str, Light | Strip] = {light.id: light for light in plan.lights}
    things |= {strip.id: strip for strip in plan.strips}
    for source, rule in dimming(plan).items():
        least = lowest_asked(plan, source)
        if least >= 1.0 or rule.on_off or any(by != source for by in rule.by):
            continue
        item = things[source]
        fed = study.electrics.everything[source].watts_in if item.fed_from else 0.0
        if isinstance(item, Strip):
            specs = [Spec("kind", words="constant voltage, between driver and strip"),
                     Spec("volts", words=f"{item.volts} V")]  # fmt: skip
            if fed:
                specs.append(Spec("carries", low=fed / item.volts, unit="A"))
        else:
            words = "on the list of that lamp's maker, and a lamp marked dimmable"
            specs = [Spec("kind", words=words),
                     Spec("least load", words="no more than this lamp draws when low")]  # fmt: skip
        specs.append(Spec("goes down to this or lower", 100.0 * least, 100.0 * least, "%"))
        specs.append(Spec("worked by", words="a knob or remote in reach of the pillow"))
        yield _item(f"dimmer {source}", item.name or source, "dimmer", 1, *specs)


def _remote(plan: Scenario) -> Iterator[Item]:
    receivers = [item for item in plan.supply if isinstance(item, Receiver)]
    if receivers:
        yield _item(
            "remote", "for all receivers", "remote", 1,
            Spec("buttons, one a receiver", low=float(len(receivers)), unit="buttons"),
            Spec("system", words="the receivers' own; a second remote if people sleep apart"),
            Spec("battery", words="and a spare one"),
        )  # fmt: skip


def _joints(plan: Scenario, cuts: Sequence[StripCuts]) -> Iterator[Item]:
    widths = {strip.id: strip.width_m for strip in plan.strips}
    for cut in cuts:
        corners, feeds = cut.joints, len(cut.feed_points)
        words = "two-wire, for single-white tape; or solder and sleeve"
        if corners:
            yield _item(
                f"corner {cut.id}", cut.name, "corner connector", corners,
                Spec("for tape as wide as", widths[cut.id], widths[cut.id], "m"),
                Spec("kind", words=words),
            )  # fmt: skip
        yield _item(
            f"feed {cut.id}", cut.name, "feed connector", feeds,
            Spec("for tape as wide as", widths[cut.id], widths[cut.id], "m"),
            Spec("kind", words=words),
        )  # fmt: skip


def _wire(study: Study, runs: Sequence[CordRun], cuts: Sequence[StripCuts]) -> Iterator[Item]:
    plan = study.scenario
    joints = {cut.id: cut.joints for cut in cuts}
    drivers = {item.id for item in plan.supply if isinstance(item, Driver)}
    things: tuple[Light | Strip, ...] = (*plan.strips, *plan.lights)
    for source in things:
        if source.fed_from not in drivers:
            continue
        feeds = [run for run in runs if run.id == source.id]
        specs = []
        if feeds:
            length = math.fsum(run.needed_m for run in feeds)
            extra = _JOINT_WIRE_M * joints.get(source.id, 0)
            specs.append(Spec("length", low=round(length + extra, 3), unit="m"))
        volts = float(source.volts) if isinstance(source, Strip) else _output(plan, source)
        amperes = study.electrics.everything[source.id].watts_in / volts
        longest = max((run.needed_m for run in feeds), default=0.0)
        specs += _thick(plan.region, amperes, longest, volts)
        specs.append(Spec("kind", words="two-wire, low voltage, red and black"))
        name = source.name or source.id
        yield _item(f"wire {source.id}", name, "low-voltage wire", 1, *specs)


def _output(plan: Scenario, light: Light) -> float:
    return next(x.output_v for x in plan.supply if isinstance(x, Driver) and x.id == light.fed_from)


def _thick(region: str, amperes: float, length: float, volts: float) -> list[Spec]:
    """The thinnest usual wire that loses no more than 3 % of the volts."""
    american = region in ("US", "CA")
    sizes = [(f"{g} AWG", area_from_gauge(g)) for g in _GAUGES] if american else [
        (f"{a:g} mm²", a) for a in _AREAS_MM2
    ]  # fmt: skip
    for words, area in sizes:
        if voltage_drop(amperes, length, resistance_per_metre(area)) <= _WIRE_DROP * volts:
            return [Spec("each wire as thick as this or thicker", words=words)]
    return [Spec("wire", words="too long for usual wire: bring the driver nearer")]


def _boards(boards: Sequence[Board]) -> Iterator[Item]:
    count = sum(board.count for board in boards)
    if count:
        materials = ", ".join(dict.fromkeys(board.material for board in boards))
        area = math.fsum(board.count * board.length_m * board.width_m for board in boards)
        yield _item(
            "boards", "as the cut list", "boards", count,
            Spec("material", words=materials),
            Spec("area in all, without waste", area, area, "m²"),
        )  # fmt: skip


def _screws(held: Sequence[Fixing]) -> Iterator[Item]:
    in_wall = [f for f in held if f.on == "wall"]
    if in_wall:
        yield _item(
            "wall screws", ", ".join(f.name for f in in_wall),
            "set of screws and plugs", len(in_wall),
            Spec("in a set", words="one of each for every hole of its bracket"),
            Spec("by what the wall is", words="knock and drill small first. Hollow board: anchors "
                 "marked for hollow walls, or screw into a stud; brick, block or concrete: nylon "
                 "plugs and a masonry bit of their size; timber: wood screws"),
            Spec("each marked for", words="four times the weight it holds (common practice)"),
        )  # fmt: skip
    for carrier in dict.fromkeys(f.carrier for f in held if f.on in ("board", "post", "furniture")):
        there = [f for f in held if f.carrier == carrier]
        longest = min(f.longest_screw_m or 0.0 for f in there)
        yield _item(
            f"screws {carrier}", ", ".join(f.name for f in there), "set of wood screws", len(there),
            Spec("in a set", words="one for every hole of its bracket"),
            Spec("into", words=carrier),
            Spec("no longer in the wood than", longest, longest, "m"),
        )  # fmt: skip
    glued = [f for f in held if f.on == "adhesive"]
    for fixing in glued:
        mass = fixing.mass_kg
        specs = [Spec("made for", words="this wall's paint, and to be pulled off again")]
        if mass is not None:
            specs.append(Spec("marked for, with its arm", low=4.0 * mass, unit="kg"))
        yield _item(f"adhesive {fixing.id}", fixing.name, "adhesive plate", 1, *specs)


def _clips(runs: Sequence[CordRun]) -> Iterator[Item]:
    held = [run for run in runs if run.kind in ("lamp cord", "low-voltage feed")]
    count = sum(math.ceil(run.route_m / _CLIP_EVERY_M) for run in held)
    if count:
        yield _item(
            "clips", ", ".join(dict.fromkeys(run.name for run in held)), "cord clips", count,
            Spec("kind", words="stuck or screwed to furniture, never stapled, not on the wall"),
        )  # fmt: skip


def _grommets(spaces: Sequence[HiddenSpace]) -> Iterator[Item]:
    for space in spaces:
        if space.cords:
            yield _item(
                f"grommet {space.id}", space.name, "cord grommet", 1,
                Spec("hole", words="wide enough for a plug to pass, edge rounded"),
                Spec("cords that pass it", float(space.cords), float(space.cords), "cords"),
            )  # fmt: skip
