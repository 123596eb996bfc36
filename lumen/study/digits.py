"""Numbers as JSON, lists and data carry them: as many digits as serve to check by."""

from __future__ import annotations

__all__ = ["figure"]


def figure(value: float) -> float:
    """Return six significant digits: enough to check by, steady against the last bits.

    Examples
    --------
    >>> figure(291.3712345)
    291.371
    """
    return float(f"{value:.6g}")
