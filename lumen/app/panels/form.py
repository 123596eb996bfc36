"""Forms: fields as their models describe them, those that decide first and the rest folded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any

from dash import dcc, html

from lumen.app.boxed import Note
from lumen.app.inspect import Field
from lumen.app.marks import marked
from lumen.app.markup import Drawn
from lumen.app.measures import measure_svg

__all__ = ["entry", "form"]

Component = Any

_SHORT_UNIT = 5  # letters


def form(
    fields: Iterable[Field],
    name: str,
    section: str = "",
    notes: Mapping[str, Sequence[Note]] | None = None,
    between: Sequence[Component] = (),
) -> list[Component]:
    """Return the fields of a thing: those that decide under their headings, then folded groups.

    ``notes`` stand beside their fields, by path; ``between`` goes before what is folded.
    """
    notes = notes or {}
    first: dict[str, list[Field]] = {}
    folded: dict[str, list[Field]] = {}
    for field in fields:
        (first if field.first else folded).setdefault(field.group, []).append(field)
    parts: list[Component] = []
    for group, members in first.items():
        body = [
            entry(field, name, section=section, notes=notes.get(field.path, ()))
            for field in members
        ]
        parts.append(html.Fieldset([html.Legend(group), *body] if group else body))
    parts += between
    for group, members in folded.items():
        title = f"{group or 'This thing'}: more" if group in first else group
        body = [
            entry(field, name, section=section, notes=notes.get(field.path, ()))
            for field in members
        ]
        key = {"data-key": f"{name}/{title}"}
        parts.append(html.Details([html.Summary(title), *body], **marked(key)))
    return parts


def entry(
    field: Field,
    name: str,
    short: bool = False,
    section: str = "",
    notes: Sequence[Note] = (),
) -> Component:
    """Return one field of a form; ``section`` is told where the id alone is not enough."""
    label = field.short if short else field.label
    if field.kind == "choices":
        return _boxes(field, name)
    if field.kind in ("choice", "flag", "reference"):
        options = []
        if not field.needed:
            options.append(html.Option("not known", value="", selected=field.text == ""))
        options += [
            html.Option(text, value=value, selected=value == field.text)
            for value, text in field.options
        ]
        control: Component = html.Select(options, className="lm-input")
    else:
        control = dcc.Input(
            type="text",
            value=field.text,
            placeholder="not known",
            id={
                "type": "field",
                "index": f"{section}|{name}|{field.path}|{'short' if short else 'long'}",
            },
            autoComplete="off",
        )
    # A short unit stands in the field, behind the number; a long one beside the label.
    inside = 0 < len(field.unit) <= _SHORT_UNIT and not short
    unit = f" ({field.unit})" if field.unit and not short and not inside else ""
    mark = [html.Span(field.unit, className="pg-unit")] if inside else []
    hint = (
        [html.Span(f"assumed: {field.assumed}", className="lm-hint-text")] if field.assumed else []
    )
    return html.Div(
        [
            html.Label([html.Span(f"{label}{unit}"), control, *mark]),
            *([_picker(field, label)] if field.kind == "colour" else []),
            *([] if short else [*map(_noted, notes), *hint, *_help(field, name)]),
            html.Span(className="lm-fault", role="alert"),
        ],
        className=f"lm-field is-{field.kind}{' pg-short' if short else ''}",
        **marked(
            {
                "data-field": field.path,
                "data-id": name,
                "data-key": f"{section}/{name}/{field.path}",
                **({"data-section": section} if section else {}),
            }
        ),
    )


def _noted(note: Note) -> Component:
    return html.Span(note.words, className=f"pg-note is-{note.state}")


def _help(field: Field, name: str) -> list[Component]:
    """A question mark that opens one sentence: by mouse, finger and key alike."""
    if not field.help:
        return []
    asks = html.Summary("?", **marked({"aria-label": f"What is this: {field.label}"}))
    key = marked({"data-key": f"help {name}/{field.path}"})
    drawing = measure_svg(field.key)
    told: list[Component] = [asks, html.P(field.help), *([Drawn(drawing)] if drawing else [])]
    return [html.Details(told, className="pg-help", **key)]


def _boxes(field: Field, name: str) -> Component:
    """A closed list of which several may be true: one box each."""
    ticked = field.text.split(", ")
    boxes = [
        html.Label(
            [
                Drawn(
                    f'<input type="checkbox" value="{escape(value)}"'
                    f"{' checked' if value in ticked else ''}>"
                ),
                html.Span(words),
            ]
        )
        for value, words in field.options
    ]
    return html.Div(
        [
            html.Div(
                [html.Span(field.label), *boxes],
                className="pg-boxes",
                role="group",
                **marked({"aria-label": field.label}),
            ),
            *_help(field, name),
            html.Span(className="lm-fault", role="alert"),
        ],
        className="lm-field is-choices",
        **marked({"data-field": field.path, "data-id": name, "data-key": f"{name}/{field.path}"}),
    )


def _picker(field: Field, label: str) -> Component:
    """The browser's own colour picker; Dash has none. Beside it a name or #rrggbb can be typed."""
    shown = escape(field.text or "#808080")
    words = escape(f"Pick: {label}")
    return Drawn(f'<input type="color" class="pg-picker" value="{shown}" aria-label="{words}">')
