"""Rule 94: numbers that exist but are hardly meant, and the slip that would have made them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lumen.scenario.plausible import Number, meant, numbers
from lumen.scenario.room import Opening, Slope
from lumen.study.cautions.facts import Facts
from lumen.study.cautions.registry import Found, Line, rule

_SECTIONS = ("furniture", "people", "lights", "strips", "supply", "setups", "aims")


@rule(94)
def unlikely_number(facts: Facts) -> Iterator[Found]:
    """A number outside what is usual for it, of anything in the plan."""
    for item_id, name, found in _written(facts):
        odd = [number for number in found if not number.likely]
        if not odd:
            continue
        words = "; ".join(_question(number) for number in odd)
        lines: list[Line] = []
        for number in odd:
            low, high = number.band.likely
            lines.append((number.band.words, number.value, number.band.unit))
            lines.append(("usually from", low, number.band.unit))
            lines.append(("to", high, number.band.unit))
        yield Found(
            (item_id,),
            f"{name}: {words}.",
            numbers=tuple(lines),
            fix=_fix(item_id, odd),
            assumed="what is usual is our own table of bands",
        )


def _written(facts: Facts) -> Iterator[tuple[str, str, list[Number]]]:
    """Yield everything in the plan that holds numbers: id, words for it, numbers."""
    plan = facts.scenario
    room = [n for n in numbers(plan.room) if not n.path.startswith(("openings", "slopes"))]
    yield "room", "the room", room
    parts: tuple[Opening | Slope, ...] = (*plan.room.openings, *plan.room.slopes)
    for part in parts:
        yield part.id, facts.the(part.id), list(numbers(part))
    bare = plan.model_copy(update=dict.fromkeys(("room", *_SECTIONS), ()))
    yield "plan", "the plan", list(numbers(bare))
    for section in _SECTIONS:
        for item in getattr(plan, section):
            yield item.id, facts.the(item.id), list(numbers(item))


def _question(number: Number) -> str:
    band = number.band
    low, high = (f"{bound:g}" for bound in band.likely)
    unit = f" {band.unit}" if band.unit else ""
    guess = meant(number.value, band)
    ask = f"did you mean {guess:g}{unit}?" if guess is not None else "is that so?"
    return f"{band.words} is {number.value:g}{unit}, usually {low} to {high}{unit} ({ask})"


def _fix(item_id: str, odd: list[Number]) -> Mapping[str, Any] | None:
    """Return the command that sets the one odd number to what it may have been meant as."""
    if len(odd) != 1 or "[" in odd[0].path:
        return None
    guess = meant(odd[0].value, odd[0].band)
    if guess is None:
        return None
    return {"name": "set", "id": item_id, "args": {"field": odd[0].path, "value": guess}}
