"""Words of the trade by region: what an electrician there calls a thing."""

from __future__ import annotations

from lumen.tables import table

__all__ = ["trade_words"]


def trade_words(region: str) -> dict[str, str]:
    """Return the trade's words of a region by what they are for.

    Examples
    --------
    >>> trade_words("US")["leakage_device"], trade_words("UK")["leakage_device"]
    ('a GFCI', 'an RCD (30 mA)')
    """
    return {
        row["item"].replace(" ", "_"): row["words"]
        for row in table("trade_words")
        if region in row["regions"].split()
    }
