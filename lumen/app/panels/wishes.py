"""Wishes as they are changed: one form, in the drawer of the answer and where plans are found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from dash import html

from lumen.app.markup import Drawn
from lumen.app.panels.parts import button, tag
from lumen.scenario.aims import AimFor
from lumen.scenario.document import Scenario
from lumen.study.scene.targets import Kind, subjects
from lumen.study.wishes.aims import usual_wish

__all__ = ["wish_row", "wishes_of"]

Component = Any

_FIELDS = (("at_least", "at least"), ("at_most", "at most"))
_UNITS = {"uniformity": "", "melanopic_edi_lx": " melanopic lx"}


def wish_row(scenario: Scenario, aim: AimFor, acts: Sequence[Component] = ()) -> Component:
    """Return a wish with its two limits as fields, where it holds, and what can be done with it."""
    setups = {setup.id: setup.name or setup.id for setup in scenario.setups}
    where = ", ".join(setups[name] for name in aim.setups) or "every setup"
    fields = [_limit(aim, field, words) for field, words in _FIELDS]
    unit = _UNITS.get(aim.measure, " lx")
    return html.Li(
        [
            html.B(aim.id),
            *fields,
            html.Span(f"{unit} in {where}".strip(), className="lm-small"),
            *acts,
        ]
    )


def _limit(aim: AimFor, field: str, words: str) -> Component:
    value = getattr(aim, field)
    text = "" if value is None else f"{value:g}"
    unit = _UNITS.get(aim.measure, " lx")
    attributes = tag({"data-wish": aim.id, "data-wish-field": field, "value": text})
    entry = Drawn(f'<input type="number" min="0" step="any" placeholder="none"{attributes}>')
    hidden = html.Span(f"{aim.id}: {words}{unit}", className="lm-visually-hidden")
    fault = html.Span(className="lm-fault", role="alert")
    return html.Label([hidden, f" {words} ", entry, fault], className="pg-limit")


def wishes_of(scenario: Scenario, target: str, setup: str) -> Iterator[Component]:
    """Yield what is wished of a target in a setup, to be changed, and the way to a first wish.

    ``target`` is a plane, or ``eye:<person>`` for all postures of somebody.
    """
    known = subjects(scenario)
    about = known[target]
    anyhow = about.kind is Kind.EYE and about.posture is None
    wished = [
        aim
        for aim in scenario.aims
        if aim.of == target
        or (anyhow and (known[aim.of].kind, known[aim.of].person) == (Kind.EYE, about.person))
    ]
    here = [aim for aim in wished if not aim.setups or setup in aim.setups]
    if here:
        rows = [wish_row(scenario, aim, _acts(aim, setup)) for aim in here]
        yield html.Ul(rows, className="pg-wishes")
        return
    acts = [_takes_in(aim, setup) for aim in wished]
    if not wished:
        item = usual_wish(scenario, target, (setup,)).model_dump(mode="json", exclude_unset=True)
        add = {"name": "add", "args": {"section": "aims", "item": item}}
        acts.append(button("Set one", add, "is-main"))
    yield html.P(["No wish here in this setup. ", *acts])


def _acts(aim: AimFor, setup: str) -> list[Component]:
    acts = []
    if len(aim.setups) > 1:
        left = [name for name in aim.setups if name != setup]
        acts.append(button("Not in this setup", _in_setups(aim, left)))
    gone = {"name": "remove", "id": aim.id, "args": {"section": "aims"}}
    acts.append(button("Remove", gone, **{"aria-label": f"Remove the wish {aim.id}"}))
    return acts


def _takes_in(aim: AimFor, setup: str) -> Component:
    limits = [f"{words} {v:g}" for f, words in _FIELDS if (v := getattr(aim, f)) is not None]
    words = f"Here too: {aim.id}, {' and '.join(limits)}{_UNITS.get(aim.measure, ' lx')}"
    return button(words, _in_setups(aim, [*aim.setups, setup]))


def _in_setups(aim: AimFor, setups: Sequence[str]) -> dict[str, Any]:
    args = {"field": "setups", "value": list(setups), "section": "aims"}
    return {"name": "set", "id": aim.id, "args": args}
