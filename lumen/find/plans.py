"""Plans to choose from: each a whole document, with what it keeps, costs and changes."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from lumen.find.design import Command, Design, applied
from lumen.find.judge import Judged, counts, difference, harsh_of
from lumen.find.lamps import sold_as
from lumen.find.may import May
from lumen.find.search import SHIFT_M, TILT_RAD
from lumen.scenario.base import Amount, middle
from lumen.scenario.document import Scenario, dump, parse
from lumen.scenario.lights import Beam, Cosine, Light, Shade
from lumen.sheet.cuts import strip_cuts
from lumen.sheet.shopping import Item, shopping
from lumen.study.document import aims_json
from lumen.study.load.cord_runs import cord_runs
from lumen.study.study import Study, study
from lumen.tables import table
from lumen.words.cautions import CautionWords, caution_words
from lumen.words.figures import watts

__all__ = ["Plan", "bought_ids", "holes", "moved_m", "plan_of"]


@dataclass(frozen=True, eq=False)
class Plan:
    """One way to meet the wishes, studied anew from its document.

    ``met`` counts wishes that new lamps meet, of ``of``; ``met_after_years`` those that last;
    ``sure`` those of them whose whole band keeps clear of the limits. ``loses_moved`` and
    ``loses_tilted`` name wishes that a hole 20 mm off or an aim 5 degrees off would lose. ``holes``
    are new fixing points in walls, ``lights_w`` what all lights and strips draw in full.
    """

    family: str
    title: str
    commands: tuple[Command, ...]
    scenario: Scenario
    study: Study
    met: int
    of: int
    met_after_years: int
    sure: int
    adds: tuple[CautionWords, ...]
    clears: tuple[CautionWords, ...]
    changes: tuple[str, ...]
    loses_moved: tuple[str, ...]
    loses_tilted: tuple[str, ...]
    glare: int
    buy: tuple[Item, ...]
    holes: int
    lights_w: float
    price: tuple[float, float] | None

    def to_json(self) -> dict[str, Any]:
        """Return the plan as plain data, an entry of ``plans`` in ``lumen-find/1``."""
        names = {target.id: target.name for target in self.study.lighting.targets}
        results = self.study.aims
        return {
            "title": self.title,
            "family": self.family,
            "commands": list(self.commands),
            "plan": json.loads(dump(self.scenario)),
            "met": self.met,
            "of": self.of,
            "met_after_years": self.met_after_years,
            "sure": self.sure,
            "wishes": aims_json(results, names),
            "changes": list(self.changes),
            "adds": [_told(caution) for caution in self.adds],
            "clears": [_told(caution) for caution in self.clears],
            "tolerance": {
                "shift_m": SHIFT_M,
                "loses_shifted": list(self.loses_moved),
                "tilt_deg": round(math.degrees(TILT_RAD), 3),
                "loses_tilted": list(self.loses_tilted),
            },
            "glare": self.glare,
            "buy": [_bought(item) for item in self.buy],
            "holes": self.holes,
            "lights_w": round(self.lights_w, 2),
            "price": None if self.price is None else list(self.price),
        }


def _told(words: CautionWords) -> dict[str, Any]:
    return {
        "rule": words.caution.rule,
        "level": words.caution.level,
        "objects": list(words.caution.objects),
        "title": words.title,
        "fact": words.fact,
    }


def _bought(item: Item) -> dict[str, Any]:
    specs = [{k: v for k, v in asdict(spec).items() if v is not None} for spec in item.specs]
    return {"id": item.id, "name": item.name, "kind": item.kind, "specs": specs}


def plan_of(family: str, judged: Judged, today: Study, may: May | None = None) -> Plan:
    """Return a judged design as a plan: written down, read again, studied the plain way.

    ``may`` says what is there already and need not be bought.
    """
    commands = judged.design.commands(today.scenario)
    scenario = parse(json.loads(dump(applied(today.scenario, commands))))
    found = study(scenario)
    met, lasting, sure = counts(found.aims)
    adds, clears = difference(today.cautions, found.cautions)
    bought = bought_ids(today.scenario, scenario, may)
    items = shopping(found, cord_runs(scenario), strip_cuts(scenario), only=bought)
    return Plan(
        family=family,
        title=_title(judged.design, today.scenario),
        commands=tuple(commands),
        scenario=scenario,
        study=found,
        met=met,
        of=len(found.aims),
        met_after_years=lasting,
        sure=sure,
        adds=caution_words(adds, scenario),
        clears=caution_words(clears, today.scenario),
        changes=tuple(_sentences(today.scenario, scenario)),
        loses_moved=judged.loses_moved,
        loses_tilted=judged.loses_tilted,
        glare=len(harsh_of(found.lighting)),
        buy=items,
        holes=holes(today.scenario, scenario),
        lights_w=lights_w(scenario),
        price=_price(today.scenario, items),
    )


def lights_w(scenario: Scenario) -> float:
    """Return what all lights and strips draw in full by their labels [W]."""
    lights = sum(middle(light.lamp.power_w) * light.lamps for light in scenario.lights)
    strips = sum(
        middle(strip.power_w_per_m) * cut.used_m
        for strip, cut in zip(scenario.strips, strip_cuts(scenario), strict=True)
    )
    return float(lights + strips)


def bought_ids(old: Scenario, new: Scenario, may: May | None = None) -> frozenset[str]:
    """Return what a change makes somebody buy: lights of another kind or lamp, strips, drivers.

    A light that only gets a bulb that is there already, by ``may``, is not bought.
    """
    there = {
        (lamp.flux_lm, white) for lamp in (may.lamps if may else ()) for white in lamp.whites_k
    }
    before = {item.id: item for item in (*old.sources, *old.supply)}
    found = set()
    for item in (*new.sources, *new.supply):
        past = before.get(item.id)
        if past is None or past == item:
            continue
        parts = ("lamp", "distribution", "cord")
        if isinstance(item, Light):
            same = [getattr(item, part) == getattr(past, part) for part in parts]
            if same[1] and same[2] and (same[0] or (item.lamp.flux_lm, item.lamp.cct_k) in there):
                continue
        found.add(item.id)
    return frozenset(found)


def holes(old: Scenario, new: Scenario) -> int:
    """Return how many fixing points a change asks for anew."""
    before = {light.id: light for light in old.lights}
    return sum(
        light.mount_m != before[light.id].mount_m
        for light in new.lights
        if light.mount in ("wall", "ceiling", "headboard")
    )


def moved_m(old: Scenario, new: Scenario) -> float:
    """Return how far lights are moved by a change, in all [m]."""
    before = {light.id: light.mount_m for light in old.lights}
    return math.fsum(math.dist(light.mount_m, before[light.id]) for light in new.lights)


def _price(today: Scenario, items: Sequence[Item]) -> tuple[float, float] | None:
    """Sum of what has a typed price; None where anything bought has none."""
    if not items or any(item.price_low is None for item in items):
        return None
    low = sum(item.price_low or 0.0 for item in items)
    return low, sum(item.price_high or 0.0 for item in items)


# ---- words --------------------------------------------------------------------------------------


def _names(scenario: Scenario, ids: Sequence[str]) -> str:
    by_id = {item.id: item.name or item.id for item in scenario.sources}
    names = [by_id[name] for name in ids]
    if len(names) == 1:
        return names[0]
    return ", ".join(names[:-1]) + " and " + names[-1]


def form_words(light: Light) -> str:
    """Return a light's kind in words: "spot of 25 degrees"."""
    form = light.distribution
    if isinstance(form, Beam):
        return f"spot of {form.beam_deg:g} degrees"
    if isinstance(form, Cosine):
        return f"soft beam of {form.beam_deg:g} degrees"
    if isinstance(form, Shade):
        return f"{form.shape} of {form.material}"
    return {"file": "light of its own file", "opal": "opal disc"}.get(form.form, form.form)


def _title(design: Design, today: Scenario) -> str:
    before = {item.id: item for item in today.sources}
    said: dict[str, None] = {}
    for name, light in design.lights.items():
        old = before[name]
        assert isinstance(old, Light)
        words = []
        if light.distribution != old.distribution:
            words.append(form_words(light))
        if light.lamp != old.lamp:
            lamp = f"{middle(light.lamp.flux_lm):g} lm"
            if light.lamp.cct_k != old.lamp.cct_k:
                lamp += f", {light.lamp.cct_k:g} K"
            words.append(lamp)
        if light.mount_m != old.mount_m:
            words.append(f"{light.mount_m[2]:.2f} m up")
        if words:
            said[", ".join(words)] = None
    for strip in design.strips.values():
        said[f"strip of {middle(strip.flux_lm_per_m):g} lm a metre"] = None
    if not said:
        return "Other levels only"
    text = "; ".join(said)
    return text[:1].upper() + text[1:]


def _sentences(old: Scenario, new: Scenario) -> Iterator[str]:
    """What changes against today, twins in one sentence."""
    before = {item.id: item for item in old.sources}
    told: dict[str, list[str]] = {}
    for light in new.lights:
        past = before[light.id]
        assert isinstance(past, Light)
        for sentence in _of_light(new.region, past, light):
            told.setdefault(sentence, []).append(light.id)
    for sentence, ids in told.items():
        yield sentence.format(_capital(_names(new, ids)))
    for strip in new.strips:
        was = before[strip.id]
        if strip != was and not isinstance(was, Light):
            name = _capital(strip.name or strip.id)
            yield (
                f"{name}: {_lm(strip.flux_lm_per_m)} lm a metre instead of "
                f"{_lm(was.flux_lm_per_m)}, {watts(middle(strip.power_w_per_m))} a metre"
            )
    for node in new.supply:
        past_node = next(n for n in old.supply if n.id == node.id)
        if node != past_node:
            yield f"{_capital(node.name or node.id)}: {getattr(node, 'rating_w', 0):g} W"
    yield from _levels(old, new)


def _of_light(region: str, old: Light, new: Light) -> Iterator[str]:
    if new.distribution != old.distribution:
        aimed = ""
        if new.aim.at is not None:
            aimed = ", aimed at the page"
        yield (
            "{}: a "
            + form_words(new)
            + aimed
            + ", made with a plug, instead of the "
            + form_words(old)
        )
    elif new.aim != old.aim:
        yield "{}: aimed anew"
    if new.lamp != old.lamp:
        sold = sold_as(new.lamp)
        among = f" (sold with {sold.low_lm:g} to {sold.high_lm:g})" if sold else ""
        text = f"{_lm(new.lamp.flux_lm)} lm{among} instead of {_lm(old.lamp.flux_lm)}"
        if new.lamp.cct_k != old.lamp.cct_k:
            text += f", white of {new.lamp.cct_k:g} K instead of {old.lamp.cct_k:g}"
        yield "{}: " + text
    if new.mount_m != old.mount_m:
        parts = []
        up = new.mount_m[2] - old.mount_m[2]
        if abs(up) >= 0.005:
            parts.append(f"{abs(up) * 100:.0f} cm {'higher' if up > 0 else 'lower'}")
        aside = max(abs(a - b) for a, b in zip(new.mount_m[:2], old.mount_m[:2], strict=True))
        if aside >= 0.005:
            parts.append(f"{aside * 100:.0f} cm to the side")
        yield "{}: " + " and ".join(parts) + f", {new.mount_m[2]:.2f} m above the floor"
    if new.dimmer and not old.dimmer:
        yield "{}: with a dimmer of its own, down to " + f"{100 * (new.lowest_level or 0):.0f} %"
    if new.cord != old.cord and new.cord is not None and new.cord.length_m is not None:
        yield "{}: a cord of " + _as_sold(region, new.cord.length_m)


def _as_sold(region: str, length_m: float) -> str:
    """A cord's length as shops print it, and in metres where that is another: "12 ft (3.66 m)"."""
    plain = f"{length_m:.2f}".rstrip("0").rstrip(".") + " m"
    rows = (row for row in table("sold_lengths") if region in row["regions"].split())
    printed = next((r["printed"] for r in rows if abs(float(r["length_m"]) - length_m) < 1e-6), "")
    return f"{printed} ({plain})" if printed and printed != plain else plain


def _levels(old: Scenario, new: Scenario) -> Iterator[str]:
    by_id = {item.id: item.name or item.id for item in new.sources}
    for before, after in zip(old.setups, new.setups, strict=True):
        changed = {
            name: level
            for name, level in after.levels.items()
            if abs(level - before.levels.get(name, 0.0)) > 0.004
        }
        if changed:
            parts = (f"{by_id[n]} at {100 * level:.0f} %" for n, level in changed.items())
            yield f"{after.name or after.id}: {', '.join(parts)}"


def _lm(value: Amount) -> str:
    return f"{middle(value):g}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
