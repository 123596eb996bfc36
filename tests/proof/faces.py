"""What a person meets of a plan, read back from the faces themselves: HTML, text, JSON, maps, CSV.

Nothing here asks the study how it came to a number; a face is taken as it is handed out.
"""

from __future__ import annotations

import base64
import random
import re
from dataclasses import dataclass
from functools import cached_property
from html import unescape
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lumen.app import commands, panels
from lumen.app.figures import walk_in
from lumen.errors import LumenError
from lumen.scenario.document import Scenario, plain
from lumen.scenario.edits import apply
from lumen.sheet import lists, sheet
from lumen.study.report import report
from lumen.study.study import Study

__all__ = ["Faces", "Figure", "Map", "drawn_plan"]

Array = NDArray[np.float64]
Json = dict[str, Any]


@dataclass(frozen=True)
class Figure:
    """A number as it stands somewhere in words: its value, and half the place of its last digit."""

    words: str

    @property
    def value(self) -> float:
        """The number itself."""
        return float(self.words)

    @property
    def half(self) -> float:
        """How far what it was rounded from may be off; two figures at least were meant."""
        _, _, decimals = self.words.partition(".")
        if decimals:
            return 0.5 * 10.0 ** -len(decimals)
        last = len(self.words) - len(self.words.rstrip("0")) if self.value >= 100 else 0
        return 0.5 * 10.0**last

    def says(self, value: float) -> bool:
        """Whether these words may stand for a value: within their last digit, or 1 %."""
        return abs(self.value - value) <= max(1.001 * self.half, 0.01 * abs(value))


@dataclass(frozen=True, eq=False)
class Map:
    """A map as the browser gets it, unpacked, with where its cells lie (rows x columns)."""

    corner: Array
    u: Array
    v: Array
    size: tuple[float, float]
    shape: tuple[int, int]
    free: NDArray[np.bool_]
    direct: dict[str, Array]
    bounced: dict[str, Array]

    def lux(self, weights: dict[str, float]) -> Array:
        """Illuminance of the cells (rows, columns) [lx], every map by its weight."""
        total = np.zeros(self.shape[0] * self.shape[1])
        for name, weight in weights.items():
            if weight:
                total += weight * (self.direct[name] + self.bounced[name])
        return total.reshape(self.shape)

    @property
    def normal(self) -> Array:
        """The side that is looked at."""
        return np.cross(self.u, self.v)

    def middles(self) -> Array:
        """Middles of the cells (rows x columns, 3) [m]."""
        rows, columns = self.shape
        a = (np.arange(columns) + 0.5) / columns * self.size[0]
        b = (np.arange(rows) + 0.5) / rows * self.size[1]
        flat = self.corner + a[None, :, None] * self.u + b[:, None, None] * self.v
        return np.asarray(flat.reshape(-1, 3))

    def at(self, points: Array, lux: Array) -> Array:
        """What the map shows at points (n, 3): straight between the middles of free cells."""
        rows, columns = self.shape
        shown = np.where(self.free.reshape(self.shape), lux, 0.0)
        count = self.free.reshape(self.shape).astype(float)
        x = (points - self.corner) @ self.u / self.size[0] * columns - 0.5
        y = (points - self.corner) @ self.v / self.size[1] * rows - 0.5
        x, y = np.clip(x, 0, columns - 1.001), np.clip(y, 0, rows - 1.001)
        i, j = y.astype(int), x.astype(int)
        total, weight = np.zeros(len(points)), np.zeros(len(points))
        for di, dj in ((0, 0), (0, 1), (1, 0), (1, 1)):
            share = (1 - np.abs(y - i - di)) * (1 - np.abs(x - j - dj))
            total += share * shown[i + di, j + dj]
            weight += share * count[i + di, j + dj]
        return np.asarray(total / np.maximum(weight, 1e-12))


@dataclass(frozen=True, eq=False)
class Faces:
    """The faces of one plan."""

    plan: Scenario

    @cached_property
    def _found(self) -> commands.Found:
        return commands.found(plain(self.plan))

    @property
    def study(self) -> Study:
        """What the faces are made from."""
        assert self._found.study is not None, self._found.trouble
        return self._found.study

    @property
    def data(self) -> Json:
        """``lumen check --json``, which the page holds too."""
        return self._found.data

    @cached_property
    def text(self) -> dict[str, list[str]]:
        """``lumen check`` as text: its lines by the name of the setup."""
        found: dict[str, list[str]] = {}
        name = ""
        for line in report(self.study).splitlines():
            if line.startswith("== "):
                name = line[3:].split(": ")[0]
            found.setdefault(name, []).append(line)
        return found

    def cards(self, setup: str) -> dict[str, tuple[str, str]]:
        """The page's answers in a setup: the number and the band on each card, by its target."""
        answers = panels.study_panels(self.study, setup)["answers"]
        found = {}
        for card in re.findall(r"<details.*?</summary>", answers, re.DOTALL):
            part = r'data-live="([^"]+)" data-live-part="{}">([^<]*)<'
            value, band = (re.search(part.format(p), card) for p in ("value", "band"))
            if value and band:
                found[unescape(value[1])] = (unescape(value[2]), unescape(band[2]))
        return found

    def glow_labels(self, setup: str) -> list[str]:
        """What the pictures of the glow say in a setup."""
        answers = panels.study_panels(self.study, setup)["answers"]
        return re.findall(r'aria-label="Glow from the left end to the right: ([^"]*)"', answers)

    @cached_property
    def packed(self) -> Json:
        """What the browser gets of the maps."""
        packed = commands.packed_fields(self._found)
        assert packed is not None
        return packed

    def weights(self, setup: str) -> dict[str, float]:
        """By what each map counts in a setup, as ``assets/relight.js`` has it.

        A page that gives back light counts by the lux on it, one that glows by 1, what a page
        takes from a light by that light's level.
        """
        lit, sent = self.study.lighting, self.packed
        own = {e.id: float(w) for e, w in zip(lit.emitters, lit.weights(setup), strict=True)}
        read = set(sent["reading"].get(setup, ()))
        found = {}
        for name in sent["sources"]:
            if name in sent["pages"]:
                on_page = sum(lx * own[source] for source, lx in sent["pages"][name].items())
                found[name] = on_page if name in read else 0.0
            elif name in sent["shadows"]:
                shadow = sent["shadows"][name]
                found[name] = own[shadow["source"]] if shadow["page"] in read else 0.0
            else:
                found[name] = own[name]
        return found

    @cached_property
    def maps(self) -> dict[str, Map]:
        """The maps that the browser gets."""

        def numbers(parts: dict[str, str]) -> dict[str, Array]:
            return {
                name: np.frombuffer(base64.b64decode(text), "<f4").astype(float)
                for name, text in parts.items()
            }

        return {
            name: Map(
                corner=np.array(grid["corner_m"]),
                u=np.array(grid["u"]),
                v=np.array(grid["v"]),
                size=tuple(grid["size_m"]),
                shape=(grid["nv"], grid["nu"]),
                free=np.array([each == "1" for each in grid["free"]]),
                direct=numbers(grid["direct"]),
                bounced=numbers(grid["bounced"]),
            )
            for name, grid in self.packed["grids"].items()
        }

    def walk(self, setup: str, exposure_cd_m2: float) -> list[Json]:
        """The meshes of the walk-in picture."""
        place = self.data["targets"][-1]["id"].split(":", 1)[-1]
        drawn = walk_in(self.study, place, setup, exposure_cd_m2)["data"]
        return [each for each in drawn if each["type"] == "mesh3d"]

    @cached_property
    def paper(self) -> dict[str, tuple[float, str]]:
        """Numbers of the printed sheet by where they come from: the value beside, and the words."""
        text = sheet(self.study)
        found = re.findall(r'<data value="([^"]*)" data-[a-z]+="([^"]*)">([^<]*)<', text)
        return {place: (float(value), unescape(words)) for value, place, words in found}

    @cached_property
    def tables(self) -> dict[str, Any]:
        """The lists as CSV has them."""
        return lists(self.study)


def drawn_plan(seed: int, plans: list[Scenario]) -> Scenario:
    """Return a valid plan drawn from a seed: one of ``plans`` with up to eight things changed."""
    draw = random.Random(seed)
    plan = draw.choice(plans)
    for _ in range(draw.randint(3, 8)):
        try:
            plan = apply(plan, _change(plan, draw))
        except LumenError:
            continue  # refused: the plan stays as it was
    return plan


def _change(plan: Scenario, draw: random.Random) -> Json:
    kinds = ["light", "form", "strip", "finish", "page", "level", "thing", "shadow"]
    kind = draw.choice([k for k in kinds if k != "strip" or plan.strips])
    if kind in ("light", "form") and plan.lights:
        light = draw.choice(plan.lights)
        if kind == "light":
            by = [draw.uniform(-0.3, 0.3), 0.0, draw.uniform(-0.4, 0.4)]
            return {"name": "move", "id": light.id, "args": {"by_m": by}}
        forms: list[Json] = [
            {"form": "all round"},
            {"form": "beam", "beam_deg": draw.uniform(15, 90)},
            {"form": "cosine", "beam_deg": draw.uniform(20, 110)},
        ]
        return _set(light.id, "distribution", draw.choice(forms))
    if kind == "strip":
        strip = draw.choice(plan.strips)
        if draw.random() < 0.5:
            by = [draw.uniform(-0.02, 0.02), 0.0, draw.uniform(-0.05, 0.05)]
            return {"name": "move", "id": strip.id, "args": {"by_m": by}}
        return _set(strip.id, "flux_lm_per_m", draw.uniform(100, 1500))
    if kind == "finish":
        part = draw.choice(("floor", "walls", "ceiling"))
        return _set("room", f"finishes.{part}.lrv", draw.uniform(5, 90))
    if kind in ("page", "shadow") and plan.people:
        person = draw.choice(plan.people)
        if kind == "shadow":
            return _set(person.id, "body_shadow", draw.random() < 0.5)
        field, low, high = draw.choice(
            (
                ("page.gaze_down_deg", 10.0, 60.0),
                ("page.distance_m", 0.3, 0.5),
                ("page.width_m", 0.15, 0.5),
                ("page.height_m", 0.1, 0.4),
            )
        )
        return _set(person.id, field, draw.uniform(low, high))
    if kind == "level" and plan.setups:
        args = {
            "setup": draw.choice(plan.setups).id,
            "of": draw.choice(plan.sources).id,
            "value": draw.random(),
        }
        return {"name": "level", "args": args}
    thing = draw.choice(plan.furniture)
    by = [draw.uniform(-0.1, 0.1), draw.uniform(-0.1, 0.0), 0.0]
    return {"name": "move", "id": thing.id, "args": {"by_m": by}}


def _set(name: str, field: str, value: Any) -> Json:
    return {"name": "set", "id": name, "args": {"field": field, "value": value}}
