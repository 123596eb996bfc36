"""Colours as people write them: a name, or red, green and blue in hexadecimal digits."""

from __future__ import annotations

import re
from functools import cache

from lumen.tables import table

__all__ = ["hexadecimal"]


def hexadecimal(text: object) -> object:
    """Return ``#rrggbb`` of a colour's name or of ``#rgb``; anything else as it came.

    Names are those of CSS Color Module Level 4, 6.1 (table ``colour_names``).

    Examples
    --------
    >>> hexadecimal("Light blue"), hexadecimal("#fa0"), hexadecimal("#C8A078")
    ('#add8e6', '#ffaa00', '#C8A078')
    """
    if not isinstance(text, str):
        return text
    if re.fullmatch(r"#[0-9a-fA-F]{3}", text):
        return "#" + "".join(2 * digit for digit in text[1:])
    return _named().get(re.sub(r"\s+", "", text).lower(), text)


@cache
def _named() -> dict[str, str]:
    return {row["name"]: row["colour"] for row in table("colour_names")}
