"""How the glow of strips looks, in words: even or not, ends, dots."""

from __future__ import annotations

from lumen.study.lighting.glow import DOTS_FAINT, Dots, EdgeGlow, dots_show
from lumen.words.sentences import Sentences

__all__ = ["dots_words", "glow_words"]

_say = Sentences(
    "glow",
    {
        "no glow": "no glow",
        "even": "even",
        "uneven": "uneven",
        "bright corners": "bright corners",
        "bright left": "a bright corner at the left",
        "bright right": "a bright corner at the right",
        "fades": "fades toward both ends",
        "fades left": "fades toward the left end",
        "fades right": "fades toward the right end",
        "dots": "dots",
        "faint dots": "faint dots",
        "no dots": "no dots",
        "faces nothing": "it faces nothing near",
        "cover": "the cover blends the LEDs; without it {dots}",
    },
)


def glow_words(edge: EdgeGlow) -> str:
    """Return how the wall above a headboard looks.

    Examples
    --------
    >>> glow_words(EdgeGlow("b", "s", 5, 5, 5, 1, 1, 1, 0.02, 0, (True, False), (False, False)))
    'a bright corner at the left, faint dots'
    """
    if not edge.lit:
        return _say("no glow")
    words = []
    if any(edge.bright_ends):
        words.append(_say(_which(edge.bright_ends, "bright corners", "bright")))
    if any(edge.fading_ends):
        words.append(_say(_which(edge.fading_ends, "fades", "fades")))
    if not words:
        words.append(_say("even" if edge.even else "uneven"))
    if edge.dots > DOTS_FAINT:
        words.append(_say(dots_show(edge.dots)))
    return ", ".join(words)


def _which(ends: tuple[bool, bool], both: str, one: str) -> str:
    return both if all(ends) else f"{one} {'left' if ends[0] else 'right'}"


def dots_words(dots: Dots) -> str:
    """Return how a strip's single LEDs look on what it faces."""
    if dots.contrast is None:
        return _say("faces nothing")
    words = _say(dots_show(dots.contrast))
    return _say("cover", dots=words) if dots.cover in ("frosted", "opal") else words
