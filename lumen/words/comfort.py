"""What glares, what wakes, which white meets which, how walls and ways are lit: in words."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.light.glare import GlareLimit
from lumen.study.eyes.comfort import (
    Comfort,
    Contrast,
    Glare,
    Night,
    PageWhite,
    Way,
    floor_limits,
    night_limits,
)
from lumen.study.eyes.sight import GLARE_FIELD_DEG
from lumen.words.figures import amount
from lumen.words.glow import glow_words
from lumen.words.sentences import Sentences, capital
from lumen.words.sight import seen_at

__all__ = [
    "comfort_lines",
    "contrast_words",
    "glare_limits",
    "night_words",
    "way_words",
    "white_words",
]

_say = Sentences(
    "comfort",
    {
        "sleep": "within the {asleep} lx for sleep",
        "evening": "over the {asleep} lx for sleep, within the {evening} lx of an evening",
        "more": "over the {evening} lx of an evening",
        "dark": "dark",
        "dark in places": "dark in places",
        "enough": "enough to walk by",
        "brighter": "brighter than a walk at night needs",
        "page dark": "too dark to tell",
        "page in keeping": "in keeping with what lies around it",
        "page brighter": "{ratio} times as bright as what lies around it",
        "page tiring": "{ratio} times as bright as what lies around it: tiring",
        "warm": "warm white",
        "neutral": "neutral white",
        "cold": "cold white",
        "greenish": "{white}, greenish",
        "pinkish": "{white}, pinkish",
        "small source": (
            "a source of {cm2} cm2 is under the 50 cm2 that UGR was made for: rated as a small "
            "source (derived)"
        ),
        "small source near the gaze": "a small source stands within 5 degrees of the gaze",
        "large source": (
            "a source of {m2} m2 is over the 1.5 m2 that UGR was made for: it disturbs more than "
            "rated"
        ),
        "below the gaze": "a source lies below the gaze, where UGR gives no position index",
        "lying": "the eye lies down; UGR was made for people who sit or stand",
        "looks down": "the gaze is on the page, UGR means a level one",
        "glaring": "Glaring: {seen}",
        "more sights": "{count} more such lines of sight",
        "beside, one": "1 more bright thing in sight, over {off} degrees off the line of view",
        "beside": "{count} more bright things in sight, over {off} degrees off the line of view",
        "glow": "Glow above the {board}: {glow}, about {mean} cd/m2",
        "mismatch": "The whites of {first} and {second} are {verdict} ({mired} mired apart)",
        "way": "{name}: {way}, least {minimum} lx, average {average} lx",
        "page": "{person}'s page: {contrast}",
    },
)


def night_words(night: Night) -> str:
    """Return how much light that is for somebody who sleeps.

    Examples
    --------
    >>> night_words(Night("night", "eye:left:lying back", 4.0, 3.0, 5.0))
    'over the 1 lx for sleep, within the 10 lx of an evening'
    """
    asleep, evening = night_limits()
    return _say(night.verdict, asleep=f"{asleep:g}", evening=f"{evening:g}")


def way_words(way: Way) -> str:
    """Return whether a way to the door is lit well enough to walk."""
    return _say(way.verdict)


def contrast_words(contrast: Contrast) -> str:
    """Return how a page stands to what lies around it."""
    ratio = "" if contrast.ratio is None else f"{contrast.ratio:.0f}"
    return _say(f"page {contrast.verdict}", ratio=ratio)


def white_words(found: PageWhite) -> str:
    """Return how the white of the light on a page is called."""
    white = _say(found.warmth)
    return white if found.tint is None else _say(found.tint, white=white)


def glare_limits(glare: Glare) -> tuple[str, ...]:
    """Return every bound of the rating's validity that is left, as sentences."""
    down = [_say("looks down")] if glare.looks_down else []
    return (*map(_limit, glare.rating.limits), *down)


def _limit(limit: GlareLimit) -> str:
    area = limit.area_m2 or 0.0
    return _say(limit.what, cm2=f"{area * 1e4:.0f}", m2=f"{area:.1f}")


_MOST_LINES = 4


def comfort_lines(comfort: Comfort, setup: str) -> Iterator[str]:
    """Yield what matters in a setup as short sentences; none when nothing does."""
    scenario, level = comfort.lighting.scenario, comfort.levels(setup)
    harsh = comfort.harsh(setup)
    glaring = [seen for seen in harsh if seen.glares(level[seen.light])]
    for seen in glaring[:_MOST_LINES]:
        yield _say("glaring", seen=seen_at(scenario, seen, level[seen.light]))
    more = len(glaring) - _MOST_LINES
    if more > 0:
        yield _say("more sights", count=more)
    beside = len(harsh) - len(glaring)
    if beside:
        key = "beside, one" if beside == 1 else "beside"
        yield _say(key, count=beside, off=f"{GLARE_FIELD_DEG:.0f}")
    names = {e.id: e.name for e in comfort.lighting.emitters}
    for edge in comfort.edge_glow(setup):
        if edge.lit:
            yield _say("glow", board=edge.board, glow=glow_words(edge), mean=amount(edge.mean))
    for first, second, found in comfort.mismatches(setup):
        yield _say(
            "mismatch",
            first=names[first],
            second=names[second],
            verdict=found.verdict,
            mired=f"{found.mired:.0f}",
        )
    targets = {target.id: target.name for target in comfort.lighting.targets}
    for way in comfort.ways(setup):
        if 0.0 < way.average < floor_limits()[2]:
            yield _say(
                "way",
                name=targets[way.target],
                way=way_words(way),
                minimum=amount(way.minimum),
                average=amount(way.average),
            )
    for contrast in comfort.contrast(setup):
        if contrast.verdict == "tiring":
            yield _say("page", person=capital(contrast.person), contrast=contrast_words(contrast))
