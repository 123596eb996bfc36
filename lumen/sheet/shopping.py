"""What to buy, by specification: what to look for, how near is near enough, what changes if not.

Nothing here names a make. What the plan gives as a range stays a range; what it gives as a number
is widened by the tolerance of the study or of ``workmanship.csv``.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from lumen.errors import LumenError, ScenarioError
from lumen.light.colour import melanopic_ratio
from lumen.power.conductors import fuse_for_load
from lumen.power.driver import driver_choice
from lumen.scenario.base import Amount, band
from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.lights import Beam, Cosine, Light, Panel, Shade, Strip
from lumen.scenario.supply import Adapter, Driver, Extension, PowerStrip, Receiver
from lumen.sheet.bands import workmanship
from lumen.sheet.cords import CordRun
from lumen.sheet.cuts import StripCuts
from lumen.sheet.trade import trade_words
from lumen.study.lighting.maps import Answer, lighting
from lumen.study.load.electrics import strip_profiles
from lumen.study.scene.emitters import FLUX_TOLERANCE
from lumen.study.scene.levels import dimming, given_levels
from lumen.study.scene.targets import Kind
from lumen.study.study import Study

__all__ = [
    "Group",
    "Item",
    "Spec",
    "Total",
    "WhatIf",
    "grouped",
    "lowest_asked",
    "shopping",
    "total",
]


@dataclass(frozen=True)
class Spec:
    """One line of a specification: from ``low`` to ``high`` in ``unit``, or in words."""

    what: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    words: str | None = None


@dataclass(frozen=True)
class WhatIf:
    """What a near thing changes: one target in one setup, from one figure to another.

    ``kind`` is ``"lamp"``, ``"white"``, ``"beam"`` or ``"hole"``.
    """

    kind: str
    change: str
    target: str
    setup: str
    from_value: float
    to_value: float
    unit: str


@dataclass(frozen=True)
class Item:
    """One thing to buy: how many, what to look for, what changes, and its typed price."""

    id: str
    name: str
    kind: str
    count: int
    specs: tuple[Spec, ...]
    near: tuple[WhatIf, ...]
    price_low: float | None
    price_high: float | None


@dataclass(frozen=True)
class Group:
    """Things that are bought alike, such as twins: how many, and whose."""

    ids: tuple[str, ...]
    names: tuple[str, ...]
    kind: str
    count: int
    specs: tuple[Spec, ...]
    near: tuple[WhatIf, ...]
    price_low: float | None
    price_high: float | None


@dataclass(frozen=True)
class Total:
    """Sum of the typed prices, and how many things have none."""

    low: float
    high: float
    priced: int
    unpriced: int


def shopping(
    study: Study,
    runs: Sequence[CordRun],
    cuts: Sequence[StripCuts],
    *,
    only: Collection[str] | None = None,
) -> tuple[Item, ...]:
    """Return what a plan needs bought, lights first.

    Parameters
    ----------
    study
        The study of the plan.
    runs, cuts
        Its cords and its strip cuts: what is bought must reach.
    only
        Ids of what is asked for; then what a near thing would change is not looked for.
    """
    return tuple(_Shopping(study, runs, cuts).items(only))


def grouped(items: Sequence[Item]) -> tuple[Group, ...]:
    """Return items with the same specification and price together, in the order of the first.

    Examples
    --------
    >>> pair = [Item(x, x, "receiver", 1, (), (), 8.0, 15.0) for x in "ab"]
    >>> [(group.count, group.names) for group in grouped(pair)]
    [(2, ('a', 'b'))]
    """
    found: dict[object, list[Item]] = {}
    for item in items:
        found.setdefault((item.kind, item.specs, item.price_low, item.price_high), []).append(item)
    return tuple(
        Group(
            ids=tuple(item.id for item in alike),
            names=tuple(item.name for item in alike),
            kind=alike[0].kind,
            count=sum(item.count for item in alike),
            specs=alike[0].specs,
            near=alike[0].near,
            price_low=alike[0].price_low,
            price_high=alike[0].price_high,
        )
        for alike in found.values()
    )


def total(items: Sequence[Item]) -> Total:
    """Return the sum of what was priced.

    Examples
    --------
    >>> total([Item("a", "a", "light", 1, (), (), 30.0, 60.0), Item("b", "b", "strip", 1, (), (),
    ...     None, None)])
    Total(low=30.0, high=60.0, priced=1, unpriced=1)
    """
    low = math.fsum(item.price_low for item in items if item.price_low is not None)
    high = math.fsum(item.price_high for item in items if item.price_high is not None)
    priced = sum(item.price_low is not None for item in items)
    return Total(low, high, priced, len(items) - priced)


def lowest_asked(plan: Scenario, source: str) -> float:
    """Return the lowest level above 0 that any setup gives a source; 1 where none dims it.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> lowest_asked(load(examples()[0]), "left light")
    1.0
    """
    levels = [given_levels(plan, setup.id).get(source, 0.0) for setup in plan.setups]
    return min((level for level in levels if level > 0.0), default=1.0)


def _at_least(what: str, value: float | None, unit: str) -> list[Spec]:
    return [] if value is None else [Spec(what, low=value, unit=unit)]


def _at_most(what: str, value: float | None, unit: str) -> list[Spec]:
    return [] if value is None else [Spec(what, high=value, unit=unit)]


def _exactly(what: str, value: float | None, unit: str) -> list[Spec]:
    return [] if value is None else [Spec(what, value, value, unit)]


def _about(what: str, value: float, margin: float, unit: str) -> Spec:
    return Spec(what, low=max(0.0, value - margin), high=value + margin, unit=unit)


def _ranged(what: str, amount: Amount, share: float, unit: str) -> Spec:
    low, high = band(amount, share)
    return Spec(what, low=low, high=high, unit=unit)


class _Shopping:
    def __init__(self, study: Study, runs: Sequence[CordRun], cuts: Sequence[StripCuts]) -> None:
        self.study = study
        self.plan: Scenario = study.scenario
        self.runs = {run.id: run for run in runs}
        self.cuts = {cut.id: cut for cut in cuts}
        self.targets = {target.id: target for target in study.lighting.targets}
        self.names = {target.id: target.name for target in study.lighting.targets}
        self.setup_names = {setup.id: setup.name or setup.id for setup in self.plan.setups}
        self.trade = trade_words(self.plan.region)
        every = (*self.plan.lights, *self.plan.supply)
        self.classes = {item.id: getattr(item, "protection_class", None) for item in every}

    def items(self, only: Collection[str] | None = None) -> Iterator[Item]:
        def near(source: Light | Strip) -> list[WhatIf]:
            return self._near(source) if only is None else []

        def asked(thing: Any) -> bool:
            return only is None or thing.id in only

        for light in filter(asked, self.plan.lights):
            yield self._item(light, "light", self._light(light), near(light))
        for strip in filter(asked, self.plan.strips):
            yield self._item(strip, "LED strip", self._strip(strip), near(strip))
        kinds = (Driver, PowerStrip, Receiver, Extension, Adapter)
        for node in filter(asked, self.plan.supply):
            if isinstance(node, kinds):
                yield self._item(node, node.kind, self._node(node), [])

    def _item(
        self,
        thing: Light | Strip | Driver | PowerStrip | Receiver | Extension | Adapter,
        kind: str,
        specs: list[Spec],
        near: list[WhatIf],
    ) -> Item:
        low, high = (None, None) if thing.price is None else band(thing.price, 0.0)
        name = thing.name or thing.id
        return Item(thing.id, name, kind, 1, tuple(specs), tuple(near), low, high)

    def _dims_to(self, item_id: str) -> list[Spec]:
        least = lowest_asked(self.plan, item_id)
        if least >= 1.0:
            return []
        return [Spec("dims without flicker to this or lower", 100.0 * least, 100.0 * least, "%")]

    def _dims(self, node: Receiver | Driver) -> list[Spec]:
        """How low a driver or remote plug must dim, when it is what dims something."""
        asked = [
            lowest_asked(self.plan, source)
            for source, rule in dimming(self.plan).items()
            if node.id in rule.by
        ]
        least = min(asked, default=1.0)
        if least >= 1.0:
            return []
        return [Spec("dims what hangs on it to this or lower", 100.0 * least, 100.0 * least, "%")]

    def _cord(self, cores: int, node_id: str) -> list[Spec]:
        """What a cord must be: wires, thickness, and a fuse where plugs have one."""
        item = next(x for x in (*self.plan.lights, *self.plan.supply) if x.id == node_id)
        has = getattr(item, "cord", None)
        thick = f"each {self.trade['thin_cord']} or thicker"
        if not isinstance(item, Light):
            thick = "as thick as its rating asks: read it on the cord"
            if has is not None and (has.awg or has.area_mm2):
                thick = f"each {has.awg} AWG" if has.awg else f"each {has.area_mm2:g} mm²"
                thick += " or thicker"
        specs = [Spec("cord", words=f"{cores} wires, {thick}; length: see cords")]
        if self.plan.region == "UK":
            watts = self.study.electrics.everything[node_id].watts_in
            specs += _exactly("fuse in its plug", fuse_for_load(watts), "A")
        return specs

    def _needs_earth(self, node_id: str) -> bool:
        """Whether anything that hangs on a node needs an earth: then it must be passed through."""
        tree = self.study.electrics.everything
        below, earthed = [node_id], False
        while below:
            at = below.pop()
            below += tree.children.get(at, ())
            earthed = earthed or self.classes.get(at) == "I"
        return earthed

    def _light(self, light: Light) -> list[Spec]:
        lamp, form = light.lamp, light.distribution
        specs: list[Spec] = []
        if light.mount != "ceiling":
            # A wall light with cord and plug is a portable luminaire: another product standard.
            specs.append(
                Spec("made", words="with cord and plug by its maker; for fixed wiring: ask first")
            )
        if light.protection_class is not None:
            earthed = self.trade["earthed"]
            words = {
                "I": f"class I: needs a plug and outlet that are {earthed}",
                "II": "class II, double-insulated (square in a square)",
                "III": f"class III, only on a {self.trade['low_voltage']}",
            }
            specs.append(Spec("protection class", words=words[light.protection_class]))
        specs.append(_ranged("lamp, light out", lamp.flux_lm, FLUX_TOLERANCE, "lm"))
        if light.lamps > 1:
            specs.append(Spec("lamps of this kind", words=str(light.lamps)))
        if not isinstance(form, Panel):
            usual = f"as in its holder; usual here {self.trade['lamp_cap']}"
            specs.append(Spec("lamp cap", words=lamp.cap or usual))
        specs.append(_about("lamp, white", lamp.cct_k, workmanship("cct"), "K"))
        specs.append(Spec("colour rendering", low=workmanship("cri"), unit="Ra"))
        specs += _at_most("lamp, power", band(lamp.power_w, 0.0)[1], "W")
        # its mark must be no less than what is screwed in
        specs.append(Spec("marked for lamps of", low=band(lamp.power_w, 0.0)[1], unit="W"))
        specs += _at_most("lamp, across", lamp.diameter_m, "m")
        if isinstance(form, Beam | Cosine):
            specs.append(_about("beam angle", form.beam_deg, workmanship("beam"), "deg"))
        if isinstance(form, Panel):
            margin = workmanship("shade")
            specs.append(_about("panel, width", form.width_m, margin, "m"))
            specs.append(_about("panel, length", form.length_m, margin, "m"))
        if isinstance(form, Shade):
            margin = workmanship("shade")
            specs.append(Spec("shade", words=f"{form.shape}, {form.material}"))
            specs.append(_about("shade, lower width", form.bottom_diameter_m, margin, "m"))
            if form.top_diameter_m is not None:
                specs.append(_about("shade, upper width", form.top_diameter_m, margin, "m"))
            specs.append(_about("shade, height", form.height_m, margin, "m"))
            if form.lamp_height_m is not None:
                specs.append(
                    _about("lamp centre above lower edge", form.lamp_height_m, margin, "m")
                )
        specs.append(
            _about("light centre off its mount", light.projection_m, workmanship("shade"), "m")
        )
        specs += self._dims_to(light.id)
        if light.fed_from is not None and light.protection_class != "III":
            specs += self._cord(3 if light.protection_class == "I" else 2, light.id)
        specs += _at_most("mass", light.mass_kg, "kg")
        return specs

    def _strip(self, strip: Strip) -> list[Spec]:
        cuts = self.cuts[strip.id]
        specs = [
            Spec("volts", words=f"{strip.volts} V"),
            _ranged("light per metre", strip.flux_lm_per_m, FLUX_TOLERANCE, "lm/m"),
            *_at_most("power per metre", band(strip.power_w_per_m, 0.0)[1], "W/m"),
            _about("white", strip.cct_k, workmanship("cct"), "K"),
            Spec("colour rendering", low=workmanship("cri"), unit="Ra"),
            *_at_least("LEDs", strip.leds_per_m, "a metre"),
            Spec("cut marks every", strip.cut_m, strip.cut_m, "pitch"),
            *_at_most("width", strip.width_m, "m"),
            Spec("length used", cuts.used_m, cuts.used_m, "m"),
            *_at_least("length to buy", cuts.reel_m, "m"),
            *self._dims_to(strip.id),
        ]
        if strip.cover != "none":
            specs.append(Spec("channel and cover", words=strip.cover))
            specs += _at_least("channel and cover, in all", cuts.run_m, "m")
        return specs

    def _node(self, node: Driver | PowerStrip | Receiver | Extension | Adapter) -> list[Spec]:
        load = self.study.electrics.everything[node.id]
        if isinstance(node, Driver):
            return self._driver(node)
        specs = _at_least("rated", node.rating_a, "A")
        specs.append(Spec("carries with everything on", load.amperes, load.amperes, "A"))
        if isinstance(node, PowerStrip):
            fed = sum(getattr(x, "fed_from", None) == node.id for x in self._all())
            specs += _at_least("holes, one to spare", float(max(fed + 1, 1)), "holes")
            earth = self._needs_earth(node.id) or self.plan.region in ("US", "CA")
            specs.append(
                Spec(self.trade["earthed"], words="every hole" if earth else "see its use")
            )
            specs += self._cord(3 if earth else 2, node.id)
            specs.append(Spec("switch and label", words="reachable and readable once in place"))
            if node.inside is not None:
                specs.append(Spec("made to be built into furniture", words="ask for this kind"))
        if isinstance(node, Receiver):
            specs += _at_least("for electronic loads", node.electronic_w, "W")
            specs += _at_most("draws when off", node.standby_w or None, "W")
            if self._needs_earth(node.id):
                through = f"{self.trade['earthed']} through: three pins in, three slots out"
                specs.append(Spec("feeds a class I light", words=through))
            specs += self._dims(node)
            after = node.after_power_cut
            specs.append(Spec("after a power cut", words=after or "ask: not in the plan"))
        if isinstance(node, Extension):
            specs += self._cord(3 if self._needs_earth(node.id) else 2, node.id)
        if isinstance(node, Adapter):
            specs.append(
                Spec(
                    self.trade["earth"], words="passed on" if node.passes_earth else "not passed on"
                )
            )
        return specs

    def _driver(self, node: Driver) -> list[Spec]:
        load = math.fsum(
            self.study.electrics.everything[strip.id].node.watts
            for strip in self._lit()
            if strip.fed_from == node.id
        )
        specs = [Spec("gives", words=f"{node.output_v:g} V, constant voltage")]
        if load > 0:
            try:
                choice = driver_choice(load, node.output_v, region=self.plan.region)
            except LumenError:
                choice = None  # volts of no standard class
            specs.append(Spec("feeds, by label", load, load, "W"))
            if choice is not None:
                specs += _at_least("rating", choice.needed_w, "W")
        specs.append(Spec("rating in the plan", node.rating_w, node.rating_w, "W"))
        specs += self._dims(node)
        specs.append(Spec("output", words=f"marked {self.trade['low_voltage']}, isolated"))
        specs += _at_most("draws when off", node.standby_w or None, "W")
        if node.inside is not None:
            specs.append(Spec("case", words="made for closed spaces; note its highest case warmth"))
        return specs

    def _lit(self) -> Iterator[Light | Strip]:
        yield from self.plan.lights
        yield from self.plan.strips

    def _all(self) -> Iterator[object]:
        yield from (*self.plan.supply, *self.plan.lights, *self.plan.strips)

    def _near(self, source: Light | Strip) -> list[WhatIf]:
        """What a lamp a size off, the next white or beam, or a wandering hole would change."""
        case = self._telling(source.id)
        if case is None:
            return []
        target, setup, answer = case
        share = next(s for s in answer.by_source if s.id == source.id)
        step = workmanship("near_flux") * (share.direct_lx + share.bounced_lx)
        where = (self.names[target], self.setup_names[setup])
        average = answer.average_lx
        share_off = workmanship("near_flux")
        changes = [
            WhatIf("lamp", f"{100 * share_off:g} % {word} light", *where, average, value, "lx")
            for word, value in (("less", average - step), ("more", average + step))
        ]
        changes += self._next_white(source, setup)
        if isinstance(source, Light):
            changes += self._moved(source, target, setup, average)
        return changes

    def _telling(self, source_id: str) -> tuple[str, str, Answer] | None:
        """The page (else bed, else floor) and setup in which a source matters most."""
        best: tuple[float, str, str, Answer] | None = None
        for kind in (Kind.PAGE, Kind.BED, Kind.FLOOR):
            for answer in self.study.answers:
                target = self.targets[answer.target]
                if target.kind is not kind or (kind is Kind.PAGE and not target.is_page):
                    continue
                for share in answer.by_source:
                    lx = share.direct_lx + share.bounced_lx
                    if share.id == source_id and lx >= 0.5 and (best is None or lx > best[0]):
                        best = (lx, answer.target, answer.setup, answer)
            if best is not None:
                return best[1:]
        return None

    def _next_white(self, source: Light | Strip, setup: str) -> list[WhatIf]:
        """What the next white does to the sleeper's body clock, all else equal."""
        white = workmanship("near_cct")
        lamp_kind = source.lamp.kind if isinstance(source, Light) else "led"
        cct = source.lamp.cct_k if isinstance(source, Light) else source.cct_k
        if abs(white - cct) <= workmanship("cct"):
            return []
        change = melanopic_ratio(white, lamp_kind)[0] - melanopic_ratio(cct, lamp_kind)[0]
        eyes = [
            a for a in self.study.answers
            if a.setup == setup and self.targets[a.target].lies
        ]  # fmt: skip
        worst = max(eyes, key=lambda a: a.melanopic_lx, default=None)
        if worst is None or worst.melanopic_lx < 0.05:
            return []
        lx = sum(s.direct_lx + s.bounced_lx for s in worst.by_source if s.id == source.id)
        return [
            WhatIf(
                "white",
                f"a white of {white:g} K",
                self.names[worst.target],
                self.setup_names[setup],
                worst.melanopic_lx,
                worst.melanopic_lx + lx * change,
                "lx melanopic",
            )
        ]

    def _moved(self, light: Light, target: str, setup: str, now: float) -> list[WhatIf]:
        """What a hole that wanders and the next beam do: the light half asked anew."""
        up = workmanship("moved")
        commands: list[tuple[str, str, str, dict[str, object]]] = [
            ("hole", f"hole {1000 * up:g} mm {word}", "move", {"by_m": [0.0, 0.0, step]})
            for word, step in (("lower", -up), ("higher", up))
        ]
        if isinstance(light.distribution, Beam | Cosine):
            wider = light.distribution.beam_deg + workmanship("near_beam")
            changed = {"field": "distribution.beam_deg", "value": wider}
            commands.append(("beam", f"a beam of {wider:g} degrees", "set", changed))
        changes = []
        for kind, words, name, args in commands:
            try:
                other = apply(self.plan, {"name": name, "id": light.id, "args": args})
            except ScenarioError:
                continue  # the room is too tight for it
            value = lighting(other, strip_profiles(other)).answer(target, setup).average_lx
            where = (self.names[target], self.setup_names[setup])
            changes.append(WhatIf(kind, words, *where, now, value, "lx"))
        return changes
