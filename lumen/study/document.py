"""A study's light as plain data, sentences among it: parts of the shape ``lumen-study/1``.

`DEVELOPERS.md` documents the shape. What is read from it again is JSON; faces in Python read the
attributes of the study.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.scenario.document import Scenario
from lumen.study.digits import figure
from lumen.study.eyes.comfort import Comfort, Sleeper
from lumen.study.eyes.sight import Sighting
from lumen.study.lighting.glow import Glow
from lumen.study.lighting.maps import Answer, Lighting
from lumen.study.scene.targets import Target
from lumen.study.wishes.verdicts import AimResult, Evenness
from lumen.words.comfort import (
    comfort_lines,
    contrast_words,
    glare_limits,
    night_words,
    way_words,
    white_words,
)
from lumen.words.glow import dots_words, glow_words
from lumen.words.sight import seen_at, shielding_limit, sight_words
from lumen.words.wishes import evenness_source, shadow_words, verdict_words, wish_source

__all__ = ["aims_json", "answers_json", "comfort_json", "targets_json"]

Json = dict[str, Any]


# ---- targets and what they get ------------------------------------------------------------------


def targets_json(lit: Lighting) -> list[Json]:
    """Return planes and eyes as plain data."""
    return [
        {
            "id": target.id,
            "name": target.name,
            "kind": "eye" if target.is_eye else "plane",
            "points": len(target.points),
            "person": target.person,
            "posture": None if target.is_page else target.posture,
            "of": target.kind,
        }
        for target in lit.targets
    ]


def answers_json(lit: Lighting, only: str | None = None) -> Json:
    """Return planes and eyes in every setup, or in ``only`` one, as plain data."""
    planes, eyes = [], []
    for setup in lit.scenario.setups:
        if only not in (None, setup.id):
            continue
        for target in lit.targets:
            answer = lit.answer(target.id, setup.id)
            if target.is_eye:
                eyes.append({**_plane(answer), **_eye(target, answer)})
            else:
                planes.append(_plane(answer))
    return {"planes": planes, "eyes": eyes}


def _eye(target: Target, answer: Answer) -> Json:
    return {
        "person": target.person,
        "posture": target.posture,
        "illuminance_lx": figure(answer.average_lx),
        "melanopic_edi_lx": figure(answer.melanopic_lx),
        "melanopic_low_lx": figure(answer.melanopic_low_lx),
        "melanopic_high_lx": figure(answer.melanopic_high_lx),
    }


def _plane(answer: Answer) -> Json:
    return {
        "target": answer.target,
        "setup": answer.setup,
        "average_lx": figure(answer.average_lx),
        "minimum_lx": figure(answer.minimum_lx),
        "maximum_lx": figure(answer.maximum_lx),
        "uniformity": None if answer.uniformity is None else figure(answer.uniformity),
        "low_lx": figure(answer.low_lx),
        "high_lx": figure(answer.high_lx),
        "after_years_lx": figure(answer.after_years_lx),
        "direct_lx": figure(answer.direct_lx),
        "bounced_lx": figure(answer.bounced_lx),
        "by_source": [
            {
                "id": share.id,
                "direct_lx": figure(share.direct_lx),
                "bounced_lx": figure(share.bounced_lx),
            }
            for share in answer.by_source
        ],
    }


# ---- wishes -------------------------------------------------------------------------------------


def aims_json(results: Iterable[AimResult], names: Mapping[str, str]) -> list[Json]:
    """Return verdicts as plain data; ``names`` are the targets' by id."""
    return [
        {
            "id": r.id,
            "of": r.of,
            "name": names[r.of],
            "setup": r.setup,
            "measure": r.measure,
            "value": figure(r.value),
            "low": figure(r.low),
            "high": figure(r.high),
            "new": figure(r.new),
            "after_years": figure(r.after_years),
            "at_least": r.at_least,
            "at_most": r.at_most,
            "state": r.state,
            "level_state": r.level_state,
            "doubt": r.doubt,
            "words": verdict_words(r),
            "sure": r.sure,
            "source": wish_source(r),
            "evenness": None if r.evenness is None else _evenness(r.evenness),
        }
        for r in results
    ]


def _evenness(found: Evenness) -> Json:
    return {
        "value": figure(found.value),
        "after_years": figure(found.after_years),
        "at_least": found.at_least,
        "state": found.state,
        "source": evenness_source(found),
        "shadow": shadow_words(found.shadow),
    }


# ---- comfort ------------------------------------------------------------------------------------


def comfort_json(comfort: Comfort) -> Json:
    """Return comfort as plain data: the study's ``comfort``."""
    scenario = comfort.lighting.scenario
    return {
        "sight": [_sighting(scenario, seen) for seen in comfort.sight],
        "glow": [_glow(comfort.lighting, glow) for glow in comfort.glow],
        "dots": [
            {
                "strip": dots.strip,
                "pitch_m": _short(dots.pitch_m),
                "stand_off_m": _maybe(dots.stand_off_m),
                "contrast": _maybe(dots.contrast),
                "melts_at_m": _short(dots.melts_at_m),
                "cover": dots.cover,
                "words": dots_words(dots),
            }
            for dots in comfort.dots
        ],
        "sleepers": [_sleeper(sleeper) for sleeper in comfort.sleepers],
        "setups": [_setup(comfort, setup.id) for setup in scenario.setups],
    }


def _sighting(scenario: Scenario, seen: Sighting) -> Json:
    return {
        "eye": seen.eye,
        "light": seen.light,
        "mirror": seen.mirror,
        "look": seen.look,
        "in_view": seen.in_view,
        "harsh": seen.harsh,
        "glares": seen.glares(1.0),
        "luminance_cd_m2": _short(seen.luminance),
        "low_cd_m2": _short(seen.low),
        "high_cd_m2": _short(seen.high),
        "from_gaze_deg": _short(math.degrees(seen.beta)),
        "distance_m": _short(seen.distance_m),
        "shielding_deg": _maybe(seen.shielding_deg),
        "shielding_asked_deg": _short(seen.needed_deg),
        "shielding_limit": shielding_limit(seen),
        "changes": [{"raise_m": c.by_m, "newly_seen_by": list(c.newly)} for c in seen.changes],
        "deeper_shade_m": seen.deeper_shade_m,
        "words": sight_words(scenario, seen),
    }


def _glow(lit: Lighting, glow: Glow) -> Json:
    return {
        "board": glow.board,
        "height_m": _short(glow.height_m),
        "along_m": _row(glow.along),
        "luminance_cd_m2": {
            emitter.id: _row(row) for emitter, row in zip(lit.emitters, glow.luminance, strict=True)
        },
        "hue": {emitter.id: _row(row) for emitter, row in zip(lit.emitters, glow.hue, strict=True)},
        "while_read_cd_m2": {
            page.emitter.id: {
                emitter.id: _row(row) for emitter, row in zip(lit.emitters, rows, strict=True)
            }
            for page, rows in zip(lit.pages, glow.by_page, strict=True)
        },
    }


def _sleeper(sleeper: Sleeper) -> Json:
    return {
        "person": sleeper.person,
        "name": sleeper.name,
        "budgets": [
            {
                "light": budget.light,
                "posture": budget.posture,
                "lumens": _maybe(budget.lumens),
                "low_lm": _maybe(budget.low_lm),
                "high_lm": _maybe(budget.high_lm),
                "has_lm": _short(budget.has_lm),
                "bounced_share": _short(budget.bounced_share),
            }
            for budget in sleeper.budgets
        ],
        "by_setup": [
            {
                "setup": night.setup,
                "target": night.target,
                "melanopic_edi_lx": _short(night.melanopic_edi_lx),
                "low_lx": _short(night.low_lx),
                "high_lx": _short(night.high_lx),
                "words": night_words(night),
            }
            for night in sleeper.by_setup
        ],
    }


def _setup(comfort: Comfort, setup: str) -> Json:
    level, scenario = comfort.levels(setup), comfort.lighting.scenario
    return {
        "setup": setup,
        "harsh": [
            {
                "eye": seen.eye,
                "light": seen.light,
                "words": sight_words(scenario, seen),
                "glares": seen.glares(level[seen.light]),
                "luminance_cd_m2": _short(seen.luminance * level[seen.light]),
                "from_gaze_deg": _short(math.degrees(seen.beta)),
                "told": seen_at(scenario, seen, level[seen.light]),
            }
            for seen in comfort.harsh(setup)
        ],
        "glare": [
            {
                "eye": glare.eye,
                "ugr": _maybe(glare.rating.value),
                "background_cd_m2": _short(glare.background),
                "small_source": glare.rating.small_source,
                "limits": list(glare_limits(glare)),
            }
            for glare in comfort.glare(setup)
        ],
        "contrast": [
            {
                "target": found.target,
                "setup": found.setup,
                "page": _short(found.page),
                "surround": _short(found.surround),
                "ratio": _maybe(found.ratio),
                "words": contrast_words(found),
            }
            for found in comfort.contrast(setup)
        ],
        "white": [
            {
                "target": found.target,
                "cct_k": _short(found.white.cct_k),
                "duv": _short(found.white.duv),
                "words": white_words(found),
            }
            for found in comfort.whites(setup)
        ],
        "mismatch": [
            {
                "first": first,
                "second": second,
                "mired": _short(found.mired),
                "duv": _short(found.duv),
                "steps": _short(found.steps),
                "verdict": found.verdict,
            }
            for first, second, found in comfort.mismatches(setup)
        ],
        "glow": [
            {
                "board": edge.board,
                "setup": edge.setup,
                "mean": _short(edge.mean),
                "least": _short(edge.least),
                "most": _short(edge.most),
                "evenness": _short(edge.evenness),
                "left_end": _short(edge.left_end),
                "right_end": _short(edge.right_end),
                "dots": _short(edge.dots),
                "others": _short(edge.others),
                "words": glow_words(edge),
            }
            for edge in comfort.edge_glow(setup)
        ],
        "ways": [
            {
                "target": way.target,
                "setup": way.setup,
                "average": _short(way.average),
                "minimum": _short(way.minimum),
                "words": way_words(way),
            }
            for way in comfort.ways(setup)
        ],
        "lines": list(comfort_lines(comfort, setup)),
    }


def _row(values: NDArray[np.floating[Any]]) -> list[float]:
    return [_short(value) for value in values]


def _maybe(value: float | None) -> float | None:
    return None if value is None else _short(value)


def _short(value: float) -> float:
    return float(f"{value:.5g}")
