"""Rules 32 to 34, 58, 82 to 84: lights run from a plug, the lamp in them, and how it dims."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lumen.scenario.base import Amount, middle
from lumen.scenario.lights import DistributionFile, Light, Strip
from lumen.scenario.supply import Circuit, Receiver
from lumen.study.cautions.clauses import Clause, Line, clause, line, thing
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Hazard, Severity, rule
from lumen.study.scene.emitters import photometric_file
from lumen.study.scene.levels import Dimming, dimming

UNMARKED_LAMP_W = 60.0
"""Most for a light without a label: public safety checklists."""

UNMARKED_CEILING_W = 25.0
"""The same for a ceiling light with small lamps: public safety checklists."""

BEST_LM_PER_W = 250.0
"""Beyond the best lamps that are sold: our own bound, over the 210 at which the best energy class
begins (Regulation (EU) 2019/2015, Annex II) and the few more that some lamps give."""

MOST_LM_PER_W = 683.0
"""What a watt of light of 555 nm is by definition: SI Brochure, 9th edition, 2.3.1, K_cd."""

_SMALL_LAMP_M = 0.04
_CHANGED = {"own": "changed-by-yourself", "by a professional": "changed-for-you"}


def _on_a_plug(facts: Facts, light: Light) -> bool:
    parent = facts.parent(light)
    return parent is not None and not isinstance(parent, Circuit) and not facts.low_volts(light)


def _converted(facts: Facts, light: Light) -> bool:
    """Return whether a light for fixed wiring was given a plug without its maker's kit."""
    if light.conversion in ("own", "by a professional"):
        return True
    fixed = light.made_for == "fixed wiring" and _on_a_plug(facts, light)
    return fixed and light.conversion != "maker's kit"


@rule(32)
def fixed_light_on_plug(facts: Facts) -> Iterator[Hazard]:
    """A light evaluated for fixed wiring that now has a plug."""
    for light in facts.of(Light):
        if _converted(facts, light):
            unknown = [
                clause(key)
                for known, key in ((light.enclosure, "enclosure"), (light.strain_relief, "grip"))
                if known is None
            ]
            yield Hazard(
                (light.id,),
                clause(
                    _CHANGED.get(light.conversion, "changed"),
                    light=thing(light.id),
                    unknown=(clause("unknown", of=tuple(unknown)),) if unknown else (),
                ),
            )


@rule(33)
def joint_open(facts: Facts) -> Iterator[Hazard]:
    """A converted light without a closed joint or a grip on its cord."""
    for light in facts.of(Light):
        if not _converted(facts, light):
            continue
        missing = []
        if light.enclosure is False:
            missing.append(clause("no-enclosure"))
        if light.strain_relief is False:
            missing.append(clause("no-grip"))
        if missing:
            fact = clause("open", light=thing(light.id), missing=tuple(missing))
            yield Hazard((light.id,), fact)


@rule(34)
def lamp_over_limit(facts: Facts) -> Iterator[Hazard]:
    """Lamp watts against the light's label, or against the usual most without one."""
    for light in facts.of(Light):
        power = light.lamp.power_w
        watts = power[1] if isinstance(power, tuple) else middle(power)
        limit, severity = light.max_lamp_w, _severity(light)
        if limit is None:
            small = light.mount == "ceiling" and light.lamp.diameter_m <= _SMALL_LAMP_M
            limit = UNMARKED_CEILING_W if small else UNMARKED_LAMP_W
        if watts > limit * (1 + 1e-9):
            fact = clause(
                "over-label" if light.max_lamp_w else "no-label",
                light=thing(light.id),
                lamp_w=float(watts),
                limit_w=float(limit),
            )
            yield Hazard(
                (light.id,),
                fact,
                severity,
                (line("lamp", watts, "W"), line("limit", limit, "W")),
                assumed=() if light.max_lamp_w else (clause("assumed", limit_w=float(limit)),),
            )


def _severity(light: Light) -> Severity:
    return "warning" if light.max_lamp_w is None else "danger"


def _lumens(light: Light) -> Amount:
    """Lumens of one lamp as written, or those of a photometric file that goes by itself.

    An absolute file gives its own; a relative one may send out more than its lamps give only when
    its numbers are wrong, and that share goes onto the lamp's lumens.
    """
    form = light.distribution
    if not isinstance(form, DistributionFile):
        return light.lamp.flux_lm
    file = photometric_file(form)
    if file.lamp_flux_lm is None:
        return file.distribution.flux_lm / light.lamps
    return middle(light.lamp.flux_lm) * max(1.0, file.output_ratio or 0.0)


@rule(58)
def more_light_than_watts(facts: Facts) -> Iterator[Hazard]:
    """Lumens and watts that cannot both stand on one box; a range counts at its mildest end."""
    items: tuple[Light | Strip, ...] = (*facts.of(Light), *facts.of(Strip))
    for item in items:
        if isinstance(item, Light):
            flux, power, of = _lumens(item), item.lamp.power_w, ""
        else:
            flux, power, of = item.flux_lm_per_m, item.power_w_per_m, "-per-m"
        lumens = flux[0] if isinstance(flux, tuple) else flux
        watts = power[1] if isinstance(power, tuple) else power
        if lumens <= BEST_LM_PER_W * watts * (1 + 1e-9):
            continue
        impossible = lumens > MOST_LM_PER_W * watts
        fact = clause(
            f"written{of}",
            item=thing(item.id),
            flux_lm=float(lumens),
            power_w=float(watts),
            impossible=(clause("impossible"),) if impossible else (),
        )
        severity: Severity = "warning" if impossible else "advice"
        yield Hazard(
            (item.id,),
            fact,
            severity,
            numbers=(
                line(f"light{of}", lumens, "lm"),
                line(f"watts{of}", watts, "W"),
                line("most", BEST_LM_PER_W * watts, "lm"),
            ),
        )


def _asked(facts: Facts) -> Iterator[tuple[Light | Strip, Dimming, list[tuple[str, float]]]]:
    """Yield each light with the setups (id, level) that ask it for a part of its light."""
    rules = dimming(facts.scenario)
    items: tuple[Light | Strip, ...] = (*facts.of(Light), *facts.of(Strip))
    for item in items:
        parts = [
            (setup.id, setup.levels[item.id])
            for setup in facts.scenario.setups
            if 0.0 < setup.levels.get(item.id, 0.0) < 1.0
        ]
        if parts:
            yield item, rules[item.id], parts


def _in_setups(parts: list[tuple[str, float]]) -> tuple[Clause, ...]:
    return tuple(clause("in-setup", level=level, setup=thing(setup)) for setup, level in parts)


def _level_fix(
    item: Light | Strip, parts: list[tuple[str, float]], value: float
) -> Mapping[str, Any] | None:
    if len(parts) != 1:
        return None
    return {"name": "level", "args": {"setup": parts[0][0], "of": item.id, "value": value}}


@rule(82)
def level_not_given(facts: Facts) -> Iterator[Hazard]:
    """A part of its light asked of what is only on or off."""
    for item, rule_of, parts in _asked(facts):
        if not rule_of.on_off:
            continue
        stop = facts.items[rule_of.stopped_by or item.id]
        if stop.id == item.id:
            why = clause("no-dimmer" if item.dims else "lamp-does-not-dim")
        else:
            key = "only-switches" if isinstance(stop, Receiver) else "does-not-dim"
            why = clause(key, stop=thing(stop.id))
        yield Hazard(
            (item.id,) if stop.id == item.id else (item.id, stop.id),
            clause("asked", item=thing(item.id), parts=_in_setups(parts), why=why),
            numbers=tuple(_level_lines(parts, 1.0)),
            fix=_level_fix(item, parts, 1.0),
        )


@rule(83)
def level_under_lowest(facts: Facts) -> Iterator[Hazard]:
    """A lower level asked than the lamp, or what dims it, goes down to."""
    for item, rule_of, parts in _asked(facts):
        low = [part for part in parts if part[1] < rule_of.lowest - 1e-9]
        if low and not rule_of.on_off:
            yield Hazard(
                (item.id,),
                clause("asked", item=thing(item.id), parts=_in_setups(low), lowest=rule_of.lowest),
                numbers=tuple(_level_lines(low, rule_of.lowest)),
                fix=_level_fix(item, low, rule_of.lowest),
            )


@rule(84)
def nothing_dims_it(facts: Facts) -> Iterator[Hazard]:
    """A part of its light asked, and nothing in the plan is written down to dim it."""
    for item, rule_of, parts in _asked(facts):
        if rule_of.on_off or rule_of.by or item.fed_from is None:
            continue
        yield Hazard(
            (item.id,),
            clause("asked", item=thing(item.id), parts=_in_setups(parts)),
            numbers=tuple(_level_lines(parts, None)),
            assumed=(clause("assumed-level"),),
        )


def _level_lines(parts: list[tuple[str, float]], given: float | None) -> Iterator[Line]:
    for setup, level in parts:
        yield line("asked-in", 100 * level, "%", setup=thing(setup))
        yield line("reckoned-with", 100 * (level if given is None else given), "%")
