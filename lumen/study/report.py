"""The study as plain text for a terminal: planes, eyes, wishes, load tree, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lumen.scenario.aims import Setup
from lumen.scenario.document import Scenario
from lumen.study.load.electrics import Electrics
from lumen.study.scene.targets import Kind, Posture, Target, named, targets
from lumen.study.study import Study
from lumen.words.cautions import DEFER, CautionWords
from lumen.words.comfort import comfort_lines
from lumen.words.figures import amount, amperes, watts
from lumen.words.terminal import (
    aim_words,
    asleep_heading,
    budget_words,
    eye_words,
    heading,
    plane_words,
)
from lumen.words.wishes import shadow_words

__all__ = ["looked_at", "report"]


def report(study: Study) -> str:
    """Return the text that ``lumen check`` prints: the same numbers as the page shows."""
    return "\n".join(_lines(study)) + "\n"


def looked_at(scenario: Scenario) -> set[str]:
    """Return the ids of the planes and eyes that the text is made of: all that it tells, all eyes.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> plan = load(examples()[0])
    >>> sorted(looked_at(plan))[-3:]
    ['page:right', 'path:left', 'path:right']
    """
    every = targets(scenario)
    about = named(every)
    wished = {target.id for aim in scenario.aims for target in about.get(aim.of, ())}
    return {one.id for one in every if one.is_eye or one.id in wished or not _quiet(one)}


def _lines(study: Study) -> Iterator[str]:
    yield study.scenario.title
    yield from heading(study.scenario.ageing)
    for setup in study.scenario.setups:
        yield ""
        yield from _setup(study, setup)
    over = [
        (one, budget) for one in study.comfort.sleepers for budget in one.budgets if budget.over
    ]
    if over:
        yield ""
        yield asleep_heading()
    yield from (f"  {budget_words(sleeper, budget)}" for sleeper, budget in over)
    yield ""
    yield "== Load tree"
    yield from _tree(study.electrics)
    yield ""
    yield "== Cautions"
    yield from _cautions(study.caution_words)
    if study.assumptions:
        yield ""
        yield "== Assumed, because the plan does not say"
        yield from (f"  {item.field}: {item.why}" for item in study.assumptions)
    if study.notes:
        yield ""
        yield "== How lights and room are taken"
        yield from (f"  {note.of}: {note.note}" for note in study.notes)


def _setup(study: Study, setup: Setup) -> Iterator[str]:
    """The light of a setup: planes, eyes, how wishes fare, what matters to eyes."""
    lit, total = study.lighting, study.electrics.total(setup.id)
    wished = {aim.of for aim in study.aims}
    drawn = f"{watts(total.total_w)}, {amperes(total.total_a)}"
    yield f"== {setup.name or setup.id}: {drawn}"
    told = [target for target in lit.targets if target.id in wished or not _quiet(target)]
    for words, some in (
        (plane_words, [target for target in told if not target.is_eye]),
        (eye_words, [target for target in told if target.is_eye]),
    ):
        for target in some:
            yield f"  {target.name:<34}{words(lit.answer(target.id, setup.id))}"
    names = {target.id: target.name for target in lit.targets}
    for aim in study.aims:
        if aim.setup == setup.id:
            yield f"  {aim_words(aim, names[aim.of])}"
            if aim.evenness is not None and aim.evenness.shadow is not None:
                yield f"      {shadow_words(aim.evenness.shadow)}"
    yield from (f"  - {line}" for line in comfort_lines(study.comfort, setup.id))


def _quiet(target: Target) -> bool:
    """Test planes and in-between postures are told only to those who wish something of them."""
    between = target.kind is Kind.PAGE and not target.is_page
    return between or target.kind is Kind.BEDSIDE or target.posture is Posture.SLOUCHED


def _tree(drawn: Electrics) -> Iterator[str]:
    """Every node of the supply tree with everything on, and what a year costs."""

    def below(parent: str | None, depth: int) -> Iterator[str]:
        for node_id in drawn.children.get(parent, ()):
            most, rated = drawn.everything[node_id], drawn.tightest(drawn.everything, node_id)
            limit = f" of {amperes(rated.limit.amperes)} ({rated.limit.reason})" if rated else ""
            name = "  " * depth + drawn.name(node_id)
            load = f"{watts(most.watts_in):>8} {amperes(most.amperes):>8}"
            yield f"  {name:<40}{load}{limit}"
            yield from below(node_id, depth + 1)

    yield "  everything on:"
    yield from below(None, 0)
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
