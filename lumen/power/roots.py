"""Where a function that rises or falls steadily is zero.

A library's root finder would do the same, but importing it takes longer than everything else that
the command needs before it begins; a bisection is ten lines and as exact as the numbers are.
"""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["root_between"]


def root_between(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where ``function`` is zero between ``low`` and ``high``, to the last bit.

    Parameters
    ----------
    function
        Continuous, of opposite signs (or zero) at the two ends.

    Raises
    ------
    ValueError
        When both ends have the same sign.

    Examples
    --------
    >>> root_between(lambda x: x * x - 2.0, 0.0, 2.0)
    1.414213562373095
    """
    at_low, at_high = function(low), function(high)
    if at_low == 0.0:
        return low
    if at_high == 0.0:
        return high
    if (at_low > 0.0) == (at_high > 0.0):
        raise ValueError(f"no change of sign between {low:g} and {high:g}")
    while True:
        middle = low + (high - low) / 2
        if middle in (low, high):
            return middle
        value = function(middle)
        if value == 0.0:
            return middle
        if (value > 0.0) == (at_low > 0.0):
            low = middle
        else:
            high = middle
