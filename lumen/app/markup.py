"""Dash's HTML components as plain HTML text.

The page's panels hold thousands of elements. Each Dash component listens to every change of the
page's state, which took ten seconds an edit; so panels are sent as one text each and the script
``assets/morph.js`` puts in what changed.
"""

from __future__ import annotations

import html as text_of
import json
from collections.abc import Iterable, Mapping
from typing import Any

__all__ = ["Drawn", "markup"]

_NAMES = {"className": "class", "htmlFor": "for", "autoComplete": "autocomplete"}
_EMPTY = {"input", "br", "hr", "img"}


class Drawn(str):
    """SVG or HTML that our own drawing code made and escaped; it is put in as it is."""


def markup(content: Any) -> str:
    """Return components as HTML; every text and attribute is escaped.

    Examples
    --------
    >>> from dash import html
    >>> markup(html.P(["5 < 6", html.B("!", className="x")]))
    '<p>5 &lt; 6<b class="x">!</b></p>'
    """
    if content is None:
        return ""
    if isinstance(content, Drawn):
        return str(content)
    if isinstance(content, str | int | float):
        return text_of.escape(str(content), quote=False)
    if isinstance(content, list | tuple):
        return "".join(map(markup, content))
    described = content.to_plotly_json()
    tag = described["type"].lower()
    props = dict(described["props"])
    inside = markup(props.pop("children", None))
    attributes = "".join(_attributes(props))
    return f"<{tag}{attributes}>" if tag in _EMPTY else f"<{tag}{attributes}>{inside}</{tag}>"


def _attributes(props: Mapping[str, Any]) -> Iterable[str]:
    for name, value in props.items():
        if value is None or value is False:
            continue
        written = _NAMES.get(name, name.lower())
        if value is True:
            yield f" {written}"
            continue
        if name == "style":
            value = "; ".join(f"{key}: {one}" for key, one in value.items())
        elif isinstance(value, Mapping):
            value = json.dumps(value)
        yield f' {written}="{text_of.escape(str(value))}"'
