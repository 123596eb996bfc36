"""Attributes that the scripts read: ``data-...`` and ``aria-...`` names are no Python names."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["marked"]


def marked(attributes: Mapping[str, object]) -> Any:
    """Return attributes to be spread into a component; untyped, as Dash's components type them.

    Examples
    --------
    >>> marked({"data-opens": "power"})
    {'data-opens': 'power'}
    """
    return dict(attributes)
