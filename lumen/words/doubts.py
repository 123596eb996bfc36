"""What makes an answer unsure, in words: what to read off a box or measure before anything else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Beam, Cosine, Light, Shade, Strip
from lumen.study.lighting.doubts import Doubt, Sensitivity, doubts, sensitivities
from lumen.study.lighting.maps import Lighting
from lumen.words.figures import amount
from lumen.words.sentences import Sentences

__all__ = ["measure_next"]

_TOLD = 0.08  # a smaller share of the doubt is not worth anybody's tape

_say = Sentences(
    "doubts",
    {
        "part": "{share} % of the doubt: {what}",
        "alone": "give or take {half} % by itself",
        "reflectance": "how pale the room is ({alone}). {surface}",
        "screen": (
            "how bright the screen is turned ({alone}). Type its luminance, or turn it down until "
            "white looks like paper in this light."
        ),
        "lumens": (
            "the lumens of {name} ({alone}). Printed lumens are taken as good to a tenth; read "
            "them off the very box you buy."
        ),
        "lumens as a range": (
            "the lumens of {name} ({alone}). You typed a range: one number off the box narrows it."
        ),
        "cover": "what the cover of {name} lets through ({alone}). Its maker may print it.",
        "shade": (
            "what the shade of {name} lets through ({alone}). Measure the shade and say what it is "
            "made of; a distribution file of the light would say it all."
        ),
        "beam": "how tight the beam of {name} is ({alone}). Its maker's distribution file says it.",
        "spread": "how {name} spreads its light ({alone}). Its maker's distribution file says it.",
        "no surface": "Read the walls' reflectance (LRV) off the paint card.",
        "follows": ("It follows {name} most: a tenth more there makes {more} % more here. {how}"),
        "walls": "the walls",
        "wall": "the wall with a finish of its own",
        "ceiling": "the ceiling",
        "bedding": "the bedding",
        "thing": "the {of}",
        "card of the walls": "Read their reflectance (LRV) off the paint card.",
        "card": "Read its reflectance (LRV) off the paint card.",
        "held": "Hold a paint card with printed LRV beside it and type the nearest.",
    },
)


def measure_next(lit: Lighting, target: str, setup: str) -> tuple[str, ...]:
    """Return what makes most of an answer's band and what narrows it, the greatest first."""
    parts = [one for one in doubts(lit, target, setup) if one.share >= _TOLD][:3]
    if not parts:
        return ()
    return tuple(_lines(lit.scenario, parts, sensitivities(lit, target, setup)))


def _lines(
    scenario: Scenario, parts: Sequence[Doubt], surfaces: Sequence[Sensitivity]
) -> Iterator[str]:
    sources = {item.id: item for item in scenario.sources}
    for part in parts:
        alone = _say("alone", half=amount(100 * part.half))
        if part.what == "reflectance":
            what = _say("reflectance", alone=alone, surface=_pale(scenario, surfaces))
        elif part.what == "screen":
            what = _say("screen", alone=alone)
        elif part.what == "lumens":
            what = _lumens(sources[part.of], alone)
        else:
            what = _spread(sources[part.of], alone)
        yield _say("part", share=amount(100 * part.share), what=what)


def _lumens(item: Light | Strip, alone: str) -> str:
    flux = item.lamp.flux_lm if isinstance(item, Light) else item.flux_lm_per_m
    key = "lumens as a range" if isinstance(flux, tuple) else "lumens"
    return _say(key, name=item.name or item.id, alone=alone)


def _spread(item: Light | Strip, alone: str) -> str:
    name = item.name or item.id
    if isinstance(item, Strip):
        return _say("cover", name=name, alone=alone)
    form = item.distribution
    if isinstance(form, Shade):
        return _say("shade", name=name, alone=alone)
    return _say("beam" if isinstance(form, Beam | Cosine) else "spread", name=name, alone=alone)


def _pale(scenario: Scenario, surfaces: Sequence[Sensitivity]) -> str:
    if not surfaces:
        return _say("no surface")
    first = surfaces[0]
    name, how = _surface(scenario, first)
    return _say("follows", name=name, more=amount(10 * first.per), how=how)


def _surface(scenario: Scenario, found: Sensitivity) -> tuple[str, str]:
    """A surface's name, and where its reflectance is found."""
    if found.area == "walls":
        return _say("walls"), _say("card of the walls")
    if found.area in ("ceiling", "wall"):
        return _say(found.area), _say("card")
    item = next((one for one in scenario.furniture if one.id == found.of), None)
    if item is not None and item.kind == "mattress":
        return _say("bedding"), _say("held")
    return _say("thing", of=found.of), _say("held")
