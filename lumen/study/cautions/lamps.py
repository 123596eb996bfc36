"""Rules 32 to 34 and 58: lights run from a plug, their joints, and the lamp in them."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.base import middle
from lumen.scenario.lights import Light, Strip
from lumen.scenario.supply import Circuit
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Found, Severity, rule

UNMARKED_LAMP_W = 60.0
"""Most for a light without a label: public safety checklists."""

UNMARKED_CEILING_W = 25.0
"""The same for a ceiling light with small lamps: public safety checklists."""

BEST_LM_PER_W = 210.0
"""Where the best energy class of light sources begins: Regulation (EU) 2019/2015, Annex II."""

MOST_LM_PER_W = 683.0
"""What a watt of light of 555 nm is by definition: SI Brochure, 9th edition, 2.3.1, K_cd."""

_SMALL_LAMP_M = 0.04


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
def fixed_light_on_plug(facts: Facts) -> Iterator[Found]:
    """A light evaluated for fixed wiring that now has a plug."""
    for light in facts.of(Light):
        if _converted(facts, light):
            who = {"own": ", changed by yourself", "by a professional": ", changed for you"}
            unknown = [
                words
                for known, words in (
                    (light.enclosure, "whether its joint has a closed box or cover"),
                    (light.strain_relief, "whether its cord has a grip"),
                )
                if known is None
            ]
            open_question = f" Nobody has written down {' or '.join(unknown)}." if unknown else ""
            yield Found(
                (light.id,),
                f"{facts.the(light.id)} was made for fixed wiring and runs from a plug"
                f"{who.get(light.conversion, '')}.{open_question}",
            )


@rule(33)
def joint_open(facts: Facts) -> Iterator[Found]:
    """A converted light without a closed joint or a grip on its cord."""
    for light in facts.of(Light):
        if not _converted(facts, light):
            continue
        missing = []
        if light.enclosure is False:
            missing.append("no closed box or cover around the joint")
        if light.strain_relief is False:
            missing.append("no grip that takes the pull of the cord")
        if missing:
            yield Found((light.id,), f"{facts.the(light.id)} has {' and '.join(missing)}.")


@rule(34)
def lamp_over_limit(facts: Facts) -> Iterator[Found]:
    """Lamp watts against the light's label, or against the usual most without one."""
    for light in facts.of(Light):
        power = light.lamp.power_w
        watts = power[1] if isinstance(power, tuple) else middle(power)
        limit, severity = light.max_lamp_w, _severity(light)
        if limit is None:
            small = light.mount == "ceiling" and light.lamp.diameter_m <= _SMALL_LAMP_M
            limit = UNMARKED_CEILING_W if small else UNMARKED_LAMP_W
        if watts > limit * (1 + 1e-9):
            label = "its label allows" if light.max_lamp_w else "without a label the most is"
            yield Found(
                (light.id,),
                f"the lamp in {facts.the(light.id)} draws {watts:g} W; {label} {limit:g} W.",
                severity,
                (("lamp", watts, "W"), ("limit", limit, "W")),
                assumed=None if light.max_lamp_w else f"no label: {limit:g} W is assumed",
            )


def _severity(light: Light) -> Severity:
    return "warning" if light.max_lamp_w is None else "danger"


@rule(58)
def more_light_than_watts(facts: Facts) -> Iterator[Found]:
    """Lumens and watts that cannot both stand on one box; a range counts at its mildest end."""
    items: tuple[Light | Strip, ...] = (*facts.of(Light), *facts.of(Strip))
    for item in items:
        if isinstance(item, Light):
            flux, power, per = item.lamp.flux_lm, item.lamp.power_w, ""
        else:
            flux, power, per = item.flux_lm_per_m, item.power_w_per_m, " a metre"
        lumens = flux[0] if isinstance(flux, tuple) else flux
        watts = power[1] if isinstance(power, tuple) else power
        if lumens <= BEST_LM_PER_W * watts * (1 + 1e-9):
            continue
        fact = f"{facts.the(item.id)} is written with {lumens:g} lm from {watts:g} W{per}"
        if lumens > MOST_LM_PER_W * watts:
            fact += "; no light at all can give so much"
        yield Found(
            (item.id,),
            f"{fact}.",
            numbers=(
                (f"light{per}", lumens, "lm"),
                (f"watts{per}", watts, "W"),
                ("most of the usual kinds", BEST_LM_PER_W * watts, "lm"),
            ),
        )
