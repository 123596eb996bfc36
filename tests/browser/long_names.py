"""Rooms in which everything has a long name, and what of the page's text a person cannot read."""

from __future__ import annotations

from itertools import count
from pathlib import Path
from typing import Any

__all__ = ["CUT", "LETTERS", "with_long_names"]

LETTERS = 60
_WORDS = (
    "Grandmother's second reading lamp beyond the far window seat",
    "Donaudampfschifffahrtselektrizitaetenhauptbetriebswerkbauten",  # no place to break it
    "What we call the long evening with both of us still reading.",
)


def _named(number: int) -> str:
    """A name of sixty letters, unlike the others' at its end."""
    end = f" {number}"
    return _WORDS[number % len(_WORDS)][: LETTERS - len(end)].rstrip() + end


def with_long_names(plan: dict[str, Any]) -> dict[str, Any]:
    """Give the plan, its setups, people and things names of about sixty letters."""
    numbers = count()
    plan["title"] = _WORDS[0]
    for section in ("setups", "people", "lights", "strips", "furniture", "supply"):
        for item in plan.get(section, []):
            item["name"] = _named(next(numbers))
    return plan


CUT = (Path(__file__).parent / "unreadable.js").read_text("utf-8")
