"""The words of each region's trade: ground or earth, GFCI or RCD, and questions in those words."""

from __future__ import annotations

import re
from collections.abc import Mapping

__all__ = ["TRADE", "local"]

_AMERICAN = (
    (r"\ban earth(?=ed|ing)?", "a ground"),
    (r"\bAn earth(?=ed|ing)?", "A ground"),
    (r"\bearth", "ground"),
    (r"\bEarth", "Ground"),
    (r"\bleakage protection", "GFCI protection"),
    (r"\barc-fault protection", "AFCI protection"),
)
_RCD = (
    (r"\bleakage protection", "RCD protection"),
    (r"\barc-fault protection", "AFDD protection"),
)
_LEADS = (
    (r"\ban extension cord", "an extension lead"),
    (r"\bextension cord", "extension lead"),
    (r"\bExtension cord", "Extension lead"),
)
_BOARDS = (
    (r"\bpower strip", "power board"),
    (r"\bPower strip", "Power board"),
)
_WORDS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "US": _AMERICAN,
    "CA": _AMERICAN,
    "UK": (*_RCD, *_LEADS),
    "EU": _RCD,
    "AU": (*_RCD, *_LEADS, *_BOARDS),
    "IN": _RCD,
    "JP": ((r"\bleakage protection", "earth-leakage breaker"),),
}

_RCD_TRADE = {
    "breaker": "MCB",
    "leak": "an RCD or RCBO (30 mA)",
    "arc": "an AFDD",
    "outlet": "socket-outlet",
    "an_outlet": "a socket-outlet",
    "board": "distribution board",
    "an_earth": "an earth",
    "class2": "SELV and limited",
}
TRADE: Mapping[str, Mapping[str, str]] = {
    "US": {
        "breaker": "circuit breaker",
        "leak": "a GFCI",
        "arc": "an AFCI",
        "outlet": "receptacle",
        "an_outlet": "a receptacle",
        "board": "panel",
        "an_earth": "an equipment ground",
        "class2": "listed as Class 2",
    },
    "CA": {
        "breaker": "circuit breaker",
        "leak": "a GFCI",
        "arc": "an AFCI",
        "outlet": "receptacle",
        "an_outlet": "a receptacle",
        "board": "panel",
        "an_earth": "a bonding conductor (ground)",
        "class2": "certified as Class 2",
    },
    "UK": {**_RCD_TRADE, "board": "consumer unit", "an_earth": "an earth (CPC)"},
    "EU": {**_RCD_TRADE, "an_earth": "a protective earth (PE)"},
    "AU": {**_RCD_TRADE, "board": "switchboard"},
    "IN": {**_RCD_TRADE, "leak": "an RCD (RCCB) or RCBO, 30 mA"},
    "JP": {
        **_RCD_TRADE,
        "breaker": "branch breaker",
        "leak": "an earth-leakage breaker (ELB, 30 mA)",
        "arc": "an arc-fault breaker",
        "outlet": "outlet",
        "an_outlet": "an outlet",
        "an_earth": "an earth (class D)",
    },
}


def local(text: str, region: str) -> str:
    """Return a template or a text of a table in the words of a region's trade.

    Names that a person gave are put in afterwards, so that nothing here touches them.

    Parameters
    ----------
    text
        Written with earth, extension cord, leakage and arc-fault protection.
    region
        US, CA, UK, EU, AU, JP or IN.

    Examples
    --------
    >>> local("An earthed plug on {item}", "US")
    'A grounded plug on {item}'
    >>> local("no leakage protection", "UK")
    'no RCD protection'
    """
    for pattern, words in _WORDS[region]:
        text = re.sub(pattern, words, text)
    return text
