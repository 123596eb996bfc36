"""What makes an answer unsure, in words: what to read off a box or measure before anything else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Beam, Cosine, Light, Shade, Strip
from lumen.study.words import amount

__all__ = ["measure_next"]

Json = dict[str, Any]

_TOLD = 0.08  # a smaller share of the doubt is not worth anybody's tape


def measure_next(scenario: Scenario, doubt: Mapping[str, Any] | None) -> tuple[str, ...]:
    """Return what makes most of an answer's band and what narrows it, the greatest first.

    ``doubt`` is one target's entry of :func:`lumen.study.lighting.doubts.doubts_json`.
    """
    if doubt is None:
        return ()
    return tuple(_lines(scenario, doubt))


def _lines(scenario: Scenario, doubt: Mapping[str, Any]) -> Iterator[str]:
    sources = {item.id: item for item in scenario.sources}
    for part in [one for one in doubt["parts"] if one["share"] >= _TOLD][:3]:
        head = f"{amount(100 * part['share'])} % of the doubt:"
        alone = f"give or take {amount(100 * part['half'])} % by itself"
        if part["what"] == "reflectance":
            yield f"{head} how pale the room is ({alone}). {_pale(scenario, doubt['surfaces'])}"
        elif part["what"] == "screen":
            yield (
                f"{head} how bright the screen is turned ({alone}). Type its luminance, or turn "
                "it down until white looks like paper in this light."
            )
        elif part["what"] == "lumens":
            yield f"{head} {_lumens(sources[part['of']], alone)}"
        else:
            yield f"{head} {_shade(sources[part['of']], alone)}"


def _lumens(item: Light | Strip, alone: str) -> str:
    name = item.name or item.id
    flux = item.lamp.flux_lm if isinstance(item, Light) else item.flux_lm_per_m
    if isinstance(flux, tuple):
        return (
            f"the lumens of {name} ({alone}). You typed a range: one number off the box narrows it."
        )
    return (
        f"the lumens of {name} ({alone}). Printed lumens are taken as good to a tenth; "
        "read them off the very box you buy."
    )


def _shade(item: Light | Strip, alone: str) -> str:
    name = item.name or item.id
    if isinstance(item, Strip):
        return f"what the cover of {name} lets through ({alone}). Its maker may print it."
    form = item.distribution
    if isinstance(form, Shade):
        return (
            f"what the shade of {name} lets through ({alone}). Measure the shade and say what it "
            "is made of; a distribution file of the light would say it all."
        )
    if isinstance(form, Beam | Cosine):
        return f"how tight the beam of {name} is ({alone}). Its maker's distribution file says it."
    return f"how {name} spreads its light ({alone}). Its maker's distribution file says it."


def _pale(scenario: Scenario, surfaces: list[Json]) -> str:
    if not surfaces:
        return "Read the walls' reflectance (LRV) off the paint card."
    first = surfaces[0]
    name, how = _surface(scenario, first["of"])
    more = amount(10 * first["per"])
    return f"It follows {name} most: a tenth more there makes {more} % more here. {how}"


_CARD = "Read its reflectance (LRV) off the paint card."
_HELD = "Hold a paint card with printed LRV beside it and type the nearest."


def _surface(scenario: Scenario, of: str) -> tuple[str, str]:
    """A surface's name, and where its reflectance is found."""
    if of == "walls":
        return "the walls", "Read their reflectance (LRV) off the paint card."
    if of == "ceiling":
        return "the ceiling", _CARD
    if of.startswith("wall:"):
        return "the wall with a finish of its own", _CARD
    item = next((one for one in scenario.furniture if one.id == of), None)
    if item is not None and item.kind == "mattress":
        return "the bedding", _HELD
    return f"the {of}", _HELD
