"""Lines of the text that a terminal prints of a setup's light."""

from __future__ import annotations

from collections.abc import Iterator

from lumen.scenario.lights import Ageing
from lumen.study.eyes.comfort import Budget, Sleeper
from lumen.study.lighting.evaluation import Coarse
from lumen.study.lighting.maps import Answer
from lumen.study.wishes.verdicts import AimResult
from lumen.words.figures import about, amount
from lumen.words.sentences import Sentences
from lumen.words.wishes import verdict_words, wish_source

__all__ = [
    "aim_words",
    "asleep_heading",
    "budget_words",
    "coarse_words",
    "eye_words",
    "heading",
    "plane_words",
]

_say = Sentences(
    "terminal",
    {
        "large room": (
            "the room is so large that its surfaces are lit in pieces of up to {edge} m instead of "
            "{usual} m: bounced light is less exact"
        ),
        "many strips": (
            "there are so many runs of strip among so much furniture that strips are reckoned "
            "roughly, to some 7 %; fewer pieces of furniture near them make it exact"
        ),
        "sides": "Left and right are as you face the bed wall. Numbers are about right, not exact.",
        "aged": (
            "They are for lamps after years of use and dust; a band runs from then back to new "
            "lamps."
        ),
        "new": ("They are for new lamps; a band runs from years of use and dust up to new lamps."),
        "left": (
            "What is left then: {clean} of the light, {dusty} from fabric shades, light thrown up "
            "and strips."
        ),
        "plane": "{light}; least {least}, most {most}",
        "even plane": "{light}; least {least}, most {most}, uniformity {uniformity}",
        "eye": "{light}, melanopic {body} lx",
        "at least": "at least {limit}",
        "at most": "at most {limit}",
        "wish": "[{state}] {name}: {value}{unit}{kind}, wished {limits}{unit}{beside}; {source}",
        "beside": " ({words})",
        "asleep": (
            "== Asleep: lamp lumens for 1 melanopic lx in the worst posture (Brown et al. 2022)"
        ),
        "budget": "{name}, {light}: {band}; it has {has}",
        "from": "about {lumens} lm (from {low})",
    },
)


def heading(ageing: Ageing) -> Iterator[str]:
    """Yield how the numbers are meant."""
    yield _say("sides")
    yield _say("aged" if ageing.counted else "new")
    clean, dusty = ageing.maintenance_factor, ageing.dusty_maintenance_factor
    yield _say("left", clean=f"{clean:g}", dusty=f"{dusty:g}")


def coarse_words(coarse: Coarse) -> str:
    """Return what is reckoned less finely than usual, and why."""
    return _say(coarse.what, edge=f"{coarse.edge_m:.2f}", usual=f"{coarse.usual_m:.2f}")


def plane_words(answer: Answer) -> str:
    """Return what a plane gets, its least and most, and how even it is."""
    even = answer.uniformity
    return _say(
        "plane" if even is None else "even plane",
        light=about(answer.average_lx, answer.low_lx, answer.high_lx),
        least=amount(answer.minimum_lx),
        most=amount(answer.maximum_lx),
        uniformity="" if even is None else f"{even:.2f}",
    )


def eye_words(answer: Answer) -> str:
    """Return what an eye gets, and the body clock of it."""
    light = about(answer.average_lx, answer.low_lx, answer.high_lx)
    return _say("eye", light=light, body=amount(answer.melanopic_lx))


def aim_words(aim: AimResult, name: str) -> str:
    """Return how a wish fares, with its limits and who says so; ``name`` is its target's."""
    limits = [
        _say(key, limit=f"{limit:g}")
        for key, limit in (("at least", aim.at_least), ("at most", aim.at_most))
        if limit is not None
    ]
    beside = verdict_words(aim)
    return _say(
        "wish",
        state=aim.state,
        name=name,
        value=amount(aim.value),
        unit="" if aim.measure == "uniformity" else " lx",
        kind=" melanopic" if aim.measure == "melanopic_edi_lx" else "",
        limits=" and ".join(limits),
        beside=_say("beside", words=beside) if beside else "",
        source=wish_source(aim),
    )


def asleep_heading() -> str:
    """Return the heading over the budgets of sleepers."""
    return _say("asleep")


def budget_words(sleeper: Sleeper, budget: Budget) -> str:
    """Return how many lumens of a light a sleeper bears, and how many it has."""
    lumens, low, high = budget.lumens or 0.0, budget.low_lm or 0.0, budget.high_lm
    band = (
        _say("from", lumens=amount(lumens), low=amount(low))
        if high is None
        else about(lumens, low, high, "lm")
    )
    has = amount(budget.has_lm)
    return _say("budget", name=sleeper.name, light=budget.light, band=band, has=has)
