"""Rule 94: numbers that exist but are hardly meant, and the slip that would have made them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lumen.scenario.plausible import Number, meant, numbers
from lumen.scenario.room import Opening, Slope
from lumen.study.cautions.clauses import Clause, Line, Things, clause, line, thing
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Hazard, rule

_SECTIONS = ("furniture", "people", "lights", "strips", "supply", "setups", "aims")


@rule(94)
def unlikely_number(facts: Facts) -> Iterator[Hazard]:
    """A number outside what is usual for it, of anything in the plan."""
    for item_id, of, written in _written(facts):
        odd = [number for number in written if not number.likely]
        if not odd:
            continue
        lines: list[Line] = []
        for number in odd:
            low, high = number.band.likely
            lines.append(line("band", number.value, number.band.unit, what=number.band.words))
            lines.append(line("from", low, number.band.unit))
            lines.append(line("to", high, number.band.unit))
        yield Hazard(
            (item_id,),
            clause("odd", of=of, numbers=tuple(_question(number) for number in odd)),
            numbers=tuple(lines),
            fix=_fix(item_id, odd),
            assumed=(clause("assumed-bands"),),
        )


def _written(facts: Facts) -> Iterator[tuple[str, Things | Clause, list[Number]]]:
    """Yield everything in the plan that holds numbers: id, what it is, numbers."""
    plan = facts.scenario
    room = [n for n in numbers(plan.room) if not n.path.startswith(("openings", "slopes"))]
    yield "room", clause("room"), room
    parts: tuple[Opening | Slope, ...] = (*plan.room.openings, *plan.room.slopes)
    for part in parts:
        yield part.id, thing(part.id), list(numbers(part))
    bare = plan.model_copy(update=dict.fromkeys(("room", *_SECTIONS), ()))
    yield "plan", clause("plan"), list(numbers(bare))
    for section in _SECTIONS:
        for item in getattr(plan, section):
            yield item.id, thing(item.id), list(numbers(item))


def _question(number: Number) -> Clause:
    band = number.band
    low, high = band.likely
    guess = meant(number.value, band)
    return clause(
        "number",
        what=band.words,
        value=number.value,
        unit=band.unit,
        low=low,
        high=high,
        ask=clause("so") if guess is None else clause("meant", value=guess, unit=band.unit),
    )


def _fix(item_id: str, odd: list[Number]) -> Mapping[str, Any] | None:
    """Return the command that sets the one odd number to what it may have been meant as."""
    if len(odd) != 1 or "[" in odd[0].path:
        return None
    guess = meant(odd[0].value, odd[0].band)
    if guess is None:
        return None
    return {"name": "set", "id": item_id, "args": {"field": odd[0].path, "value": guess}}
