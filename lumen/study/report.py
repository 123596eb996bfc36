"""The study as plain text for a terminal: planes, eyes, wishes, load tree, cautions."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from lumen.study.eyes.comfort import Sleeper
from lumen.study.lighting.maps import Answer
from lumen.study.load.electrics import Electrics
from lumen.study.scene.targets import Kind, Posture, Target
from lumen.study.study import Study
from lumen.study.wishes.verdicts import AimResult
from lumen.words.cautions import DEFER, CautionWords
from lumen.words.comfort import comfort_lines
from lumen.words.figures import about, amount, amperes, watts
from lumen.words.wishes import shadow_words, verdict_words, wish_source

__all__ = ["report"]


def report(study: Study) -> str:
    """Return the text that ``lumen check`` prints: the same numbers as the page shows."""
    return "\n".join(_lines(study)) + "\n"


def _lines(study: Study) -> Iterator[str]:
    yield study.scenario.title
    yield "Left and right are as you face the bed wall. Numbers are about right, not exact."
    yield from _age_words(study)
    for setup in study.scenario.setups:
        total = study.electrics.total(setup.id)
        yield ""
        yield f"== {setup.name or setup.id}: {watts(total.total_w)}, {amperes(total.total_a)}"
        yield from _light(study, setup.id)
    yield from _sleepers(study.comfort.sleepers)
    yield ""
    yield "== Load tree"
    yield from _tree(study.electrics)
    yield ""
    yield "== Cautions"
    yield from _cautions(study.caution_words)
    if study.assumptions:
        yield ""
        yield "== Assumed, because the plan does not say"
        for item in study.assumptions:
            yield f"  {item.field}: {item.why}"
    yield from _notes(study)


def _light(study: Study, setup: str) -> Iterator[str]:
    """Planes, eyes, wishes and sights of one setup."""
    targets = {target.id: target for target in study.lighting.targets}
    wished = {aim.of for aim in study.aims}
    told = [
        (targets[answer.target], answer)
        for answer in study.answers
        if answer.setup == setup and _is_told(targets[answer.target], wished)
    ]
    for target, answer in told:
        if not target.is_eye:
            yield f"  {target.name:<34}{_plane_words(answer)}"
    for target, answer in told:
        if target.is_eye:
            light = about(answer.average_lx, answer.low_lx, answer.high_lx)
            yield f"  {target.name:<34}{light}, melanopic {amount(answer.melanopic_lx)} lx"
    for aim in study.aims:
        if aim.setup == setup:
            yield f"  {_aim_words(aim, targets[aim.of].name)}"
            shadow = None if aim.evenness is None else shadow_words(aim.evenness.shadow)
            if shadow:
                yield f"      {shadow}"
    yield from (f"  - {line}" for line in comfort_lines(study.comfort, setup))


def _notes(study: Study) -> Iterator[str]:
    """What files, shades and size made us put right, take as given or reckon coarsely."""
    if study.notes:
        yield ""
        yield "== How lights and room are taken"
        for note in study.notes:
            yield f"  {note.of}: {note.note}"


def _age_words(study: Study) -> Iterator[str]:
    ageing = study.scenario.ageing
    yield (
        "They are for lamps after years of use and dust; a band runs from then back to new lamps."
        if ageing.counted
        else "They are for new lamps; a band runs from years of use and dust up to new lamps."
    )
    yield (
        f"What is left then: {ageing.maintenance_factor:g} of the light, "
        f"{ageing.dusty_maintenance_factor:g} from fabric shades, light thrown up and strips."
    )


def _is_told(target: Target, wished: Collection[str]) -> bool:
    """Test planes and in-between postures are told only to those who wish something of them."""
    between = target.posture in (Posture.SLOUCHED, Posture.ON_THE_SIDE)
    return target.id in wished or not (target.kind is Kind.BEDSIDE or between)


def _sleepers(sleepers: Sequence[Sleeper]) -> Iterator[str]:
    """How many lumens of each light a sleeper bears, where the plan's lamps have more."""
    over = [
        (sleeper, budget, budget.lumens)
        for sleeper in sleepers
        for budget in sleeper.budgets
        if budget.lumens is not None and budget.has_lm > budget.lumens
    ]
    if over:
        yield ""
        yield "== Asleep: lamp lumens for 1 melanopic lx in the worst posture (Brown et al. 2022)"
    for sleeper, budget, lumens in over:
        low = budget.low_lm or 0.0
        band = (
            about(lumens, low, budget.high_lm, "lm")
            if budget.high_lm is not None
            else f"about {amount(lumens)} lm (from {amount(low)})"
        )
        yield f"  {sleeper.name}, {budget.light}: {band}; it has {amount(budget.has_lm)}"


def _plane_words(answer: Answer) -> str:
    words = about(answer.average_lx, answer.low_lx, answer.high_lx)
    spread = f"least {amount(answer.minimum_lx)}, most {amount(answer.maximum_lx)}"
    even = "" if answer.uniformity is None else f", uniformity {answer.uniformity:.2f}"
    return f"{words}; {spread}{even}"


def _aim_words(aim: AimResult, name: str) -> str:
    limits = [
        f"at least {aim.at_least:g}" if aim.at_least is not None else "",
        f"at most {aim.at_most:g}" if aim.at_most is not None else "",
    ]
    wish = " and ".join(filter(None, limits))
    unit = "" if aim.measure == "uniformity" else " lx"
    kind = " melanopic" if aim.measure == "melanopic_edi_lx" else ""
    verdict = verdict_words(aim)
    beside = f" ({verdict})" if verdict else ""
    return (
        f"[{aim.state}] {name}: {amount(aim.value)}{unit}{kind}, "
        f"wished {wish}{unit}{beside}; {wish_source(aim)}"
    )


def _tree(drawn: Electrics) -> Iterator[str]:
    def walk(parent: str | None, depth: int) -> Iterator[str]:
        for node_id in drawn.children.get(parent, ()):
            most = drawn.everything[node_id]
            tight = drawn.tightest(drawn.everything, node_id)
            limit = "" if tight is None else f" of {amperes(tight.limit.amperes)}"
            limit += "" if tight is None else f" ({tight.limit.reason})"
            name = "  " * depth + drawn.name(node_id)
            yield f"  {name:<40}{watts(most.watts_in):>8} {amperes(most.amperes):>8}{limit}"
            yield from walk(node_id, depth + 1)

    yield "  everything on:"
    yield from walk(None, 0)
    year = drawn.year
    yield (
        f"  in a year about {amount(year.total_kwh)} kWh, of which standby "
        f"{amount(year.standby_kwh)} kWh; about {amount(year.total_cost)} "
        f"{drawn.region.currency} at {drawn.tariff:g} a kWh"
    )


def _cautions(cautions: Sequence[CautionWords]) -> Iterator[str]:
    if not cautions:
        yield "  no caution raised"
    for words in cautions:
        yield f"  [{words.caution.level}] {words.title}: {words.fact}"
        yield f"      rule {words.caution.rule}: {words.rule_text}"
        yield f"      source: {words.source}, {words.edition} ({words.how})"
        yield f"      clears it: {words.remedy}"
    yield f"  {DEFER}"
