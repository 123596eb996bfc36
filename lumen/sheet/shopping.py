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
from lumen.power.driver import driver_choice
from lumen.scenario.base import Amount, band
from lumen.scenario.document import Scenario
from lumen.scenario.edits import apply
from lumen.scenario.lights import Beam, Cosine, Light, Panel, Shade, Strip
from lumen.scenario.supply import Adapter, Driver, Extension, PowerStrip, Receiver
from lumen.sheet.bands import workmanship
from lumen.sheet.cords import CordRun
from lumen.sheet.cuts import StripCuts
from lumen.study.electrics import strip_profiles
from lumen.study.emitters import FLUX_TOLERANCE
from lumen.study.lighting import Answer, lighting
from lumen.study.study import Study

__all__ = ["Item", "Spec", "Total", "WhatIf", "shopping", "total"]

_LYING = ("lying back", "lying left", "lying right")


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


def _at_least(what: str, value: float | None, unit: str) -> list[Spec]:
    return [] if value is None else [Spec(what, low=value, unit=unit)]


def _at_most(what: str, value: float | None, unit: str) -> list[Spec]:
    return [] if value is None else [Spec(what, high=value, unit=unit)]


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
        self.names = {target.id: target.name for target in study.lighting.targets}
        self.setup_names = {setup.id: setup.name or setup.id for setup in self.plan.setups}

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
        used = [s.levels[item_id] for s in self.plan.setups if s.levels.get(item_id, 0.0) > 0.0]
        least = min(used, default=1.0)
        if least >= 1.0:
            return []
        return [Spec("dims, without flicker, to this or lower", high=100.0 * least, unit="%")]

    def _cord(self, item_id: str) -> list[Spec]:
        run = self.runs.get(item_id)
        return (
            [] if run is None else _at_least("cord, as long as this or longer", run.needed_m, "m")
        )

    def _light(self, light: Light) -> list[Spec]:
        lamp, form = light.lamp, light.distribution
        specs: list[Spec] = []
        if light.mount != "ceiling":
            # A wall light with cord and plug is a portable luminaire: another product standard.
            specs.append(
                Spec("made", words="with cord and plug by its maker; for fixed wiring: ask first")
            )
        if light.protection_class is not None:
            words = {
                "I": "class I: needs an earthed plug and outlet",
                "II": "class II, double-insulated (square in a square)",
                "III": "class III, extra-low voltage",
            }
            specs.append(Spec("protection class", words=words[light.protection_class]))
        specs.append(_ranged("lamp, light out", lamp.flux_lm, FLUX_TOLERANCE, "lm"))
        if light.lamps > 1:
            specs.append(Spec("lamps of this kind", words=str(light.lamps)))
        specs.append(_about("lamp, white", lamp.cct_k, workmanship("cct"), "K"))
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
        specs += self._cord(light.id)
        specs += _at_most("mass", light.mass_kg, "kg")
        return specs

    def _strip(self, strip: Strip) -> list[Spec]:
        cuts = self.cuts[strip.id]
        specs = [
            Spec("volts", words=f"{strip.volts} V"),
            _ranged("light per metre", strip.flux_lm_per_m, FLUX_TOLERANCE, "lm/m"),
            *_at_most("power per metre", band(strip.power_w_per_m, 0.0)[1], "W/m"),
            _about("white", strip.cct_k, workmanship("cct"), "K"),
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
            specs += self._cord(node.id)
            specs.append(Spec("switch and label", words="reachable and readable once in place"))
            if node.inside is not None:
                specs.append(Spec("made to be built into furniture", words="ask for this kind"))
        if isinstance(node, Receiver):
            specs += _at_least("for electronic loads", node.electronic_w, "W")
            specs += _at_most("draws when off", node.standby_w or None, "W")
            after = node.after_power_cut
            specs.append(Spec("after a power cut", words=after or "ask: not in the plan"))
        if isinstance(node, Extension):
            specs += self._cord(node.id)
        if isinstance(node, Adapter):
            specs.append(Spec("earth", words="passed on" if node.passes_earth else "not passed on"))
        return specs

    def _driver(self, node: Driver) -> list[Spec]:
        load = math.fsum(
            self.study.electrics.everything[strip.id].node.watts
            for strip in self._lit()
            if strip.fed_from == node.id
        )
        specs = [Spec("output", words=f"{node.output_v:g} V, constant voltage")]
        if load > 0:
            try:
                choice = driver_choice(load, node.output_v, region=self.plan.region)
            except LumenError:
                choice = None  # volts of no standard class
            specs.append(Spec("feeds, by label", load, load, "W"))
            if choice is not None:
                specs += _at_least("rating", choice.needed_w, "W")
        specs.append(Spec("rating in the plan", node.rating_w, node.rating_w, "W"))
        if node.class_2:
            specs.append(Spec("output class", words="limited energy (class 2), isolated"))
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
        found = [
            WhatIf("lamp", f"{100 * share_off:g} % {word} light", *where, average, value, "lx")
            for word, value in (("less", average - step), ("more", average + step))
        ]
        found += self._next_white(source, setup)
        if isinstance(source, Light):
            found += self._moved(source, target, setup, average)
        return found

    def _telling(self, source_id: str) -> tuple[str, str, Answer] | None:
        """The page (else bed, else floor) and setup in which a source matters most."""
        best: tuple[float, str, str, Answer] | None = None
        kinds = ("page:", "mattress", "floor")
        for kind in kinds:
            for answer in self.study.answers:
                if not answer.target.startswith(kind):
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
            if a.setup == setup and a.target.startswith("eye:") and a.target.endswith(_LYING)
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
        found = []
        for kind, words, name, args in commands:
            try:
                other = apply(self.plan, {"name": name, "id": light.id, "args": args})
            except ScenarioError:
                continue  # the room is too tight for it
            value = lighting(other, strip_profiles(other)).answer(target, setup).average_lx
            where = (self.names[target], self.setup_names[setup])
            found.append(WhatIf(kind, words, *where, now, value, "lx"))
        return found
