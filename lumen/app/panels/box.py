"""The place where the text of a box is pasted, and what was read of it."""

from __future__ import annotations

from html import escape
from typing import Any

from dash import html

from lumen.app.boxed import BOX, places_of
from lumen.app.inspect import Field
from lumen.app.marks import marked
from lumen.app.markup import Drawn
from lumen.scenario.box import Read, read_box

__all__ = ["box_panel"]

Component = Any

_HINT = "Such as: 470 lm 5.5 W 2700 K E27 36° dimmable Ra 90"


def box_panel(item: Any, fields: tuple[Field, ...]) -> list[Component]:
    """Return the fold in which a box's text is pasted; nothing for what has no such box."""
    places = places_of(item)
    if not places:
        return []
    text = item.box_says or ""
    by_field = {field: one for field, one in read_box(text).items() if field in places}
    labels = {field.path: field.label for field in fields}
    area = Drawn(
        f'<textarea rows="4" maxlength="4000" placeholder="{escape(_HINT)}" '
        f'aria-label="Text of the box">\n{escape(text, quote=False)}</textarea>'
    )
    field = html.Div(
        [
            html.Label([html.Span("Paste the text of its box or of a shop's page"), area]),
            html.Span(className="lm-fault", role="alert"),
        ],
        className="lm-field is-box",
        **marked({"data-field": BOX, "data-id": item.id, "data-key": f"{item.id}/{BOX}"}),
    )
    # The text is sent as soon as the focus leaves it, which a press on this button does.
    press = html.Button("Fill in the fields", type="button", className="lm-button is-main")
    parts: list[Component] = [html.Summary("What the box says"), field, press]
    if text:
        missed = [
            labels[path] for name, path in places.items() if name not in by_field and path in labels
        ]
        parts.append(html.P(Drawn(_with_marks(text, by_field)), className="pg-read"))
        parts.append(
            html.P(
                f"{len(by_field)} read, marked above and at their fields."
                + (f" Not found: {', '.join(missed)}." if missed else ""),
                className="lm-small",
            )
        )
    return [html.Details(parts, className="pg-box", **marked({"data-key": f"{item.id}/box"}))]


def _with_marks(text: str, by_field: dict[str, Read]) -> str:
    """The text with what was read in it marked."""
    parts, at = [], 0
    for one in sorted(by_field.values(), key=lambda read: read.start):
        if one.start >= at:
            said = escape(text[one.start : one.end], quote=False)
            parts += [escape(text[at : one.start], quote=False), f"<mark>{said}</mark>"]
            at = one.end
    return "".join([*parts, escape(text[at:], quote=False)])
