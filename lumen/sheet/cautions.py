"""On which page each caution of the study stands: at the top of what it concerns, in full."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

__all__ = ["PAGES", "cautions_by_page"]

PAGES: Mapping[str, tuple[int, ...]] = {
    "wall": (28, 29, 33, 35, 51, 53, 85, 86, 87, 88, 89, 90, 93),
    "cuts": (36, 37, 38, 39, 54, 56, 57, 91, 92),
    "cords": (18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 52),
    "shopping": (30, 31, 32, 34, 58, 82, 83, 84),
    "plugs": (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 40, 41, 42, 43, 46, 47, 48, 49),
    "heat": (16, 17, 80, 81),
    "assumptions": (44, 45, 50),
}
"""Rules by page. A rule that no page names would stand on the plug map."""


def cautions_by_page(cautions: Sequence[Mapping[str, Any]]) -> dict[str, list[int]]:
    """Return the places of the study's cautions by page, each caution once.

    Examples
    --------
    >>> cautions_by_page([{"rule": 33}, {"rule": 8}])["plugs"]
    [1]
    """
    page_of = {rule: page for page, rules in PAGES.items() for rule in rules}
    found: dict[str, list[int]] = {page: [] for page in PAGES}
    for place, caution in enumerate(cautions):
        found[page_of.get(caution["rule"], "plugs")].append(place)
    return found
