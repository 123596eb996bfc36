"""Find: from a plan and its wishes to a short menu of plans, what to relax, levels and patches."""

from __future__ import annotations

import contextlib
import time
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from lumen.errors import LumenError
from lumen.find.guide import Guide
from lumen.find.judge import Judge, Judged, counts, serious
from lumen.find.levels import SetupLevels, dims_to, levels_for
from lumen.find.may import May, may_of
from lumen.find.options import Group
from lumen.find.patch import Patch, patch
from lumen.find.plans import Plan, bought_ids, holes, moved_m, plan_of
from lumen.find.relax import Relaxed, relaxations
from lumen.find.search import FAMILIES, Family, Search, Stopped
from lumen.find.strip_choices import StripChoice, strip_choices
from lumen.scenario.document import Scenario
from lumen.study.cache import Cache, fingerprint, using
from lumen.study.study import Study, study
from lumen.study.wishes.verdicts import AimResult, aim_results

__all__ = ["FORMAT", "Finding", "Progress", "find"]

FORMAT = "lumen-find/1"

MOST_PLANS = 5


@dataclass(frozen=True)
class Progress:
    """How far a search is: what it does, and the best so far."""

    doing: str
    share: float
    tried: int
    met: int
    of: int


@dataclass(frozen=True, eq=False)
class Finding:
    """What was found for a plan.

    ``today`` is the study of the plan as it stands; ``plans`` the menu, best first; ``relax`` what
    one wish would have to become, empty where a plan meets all of them; ``levels`` the dim levels
    of the lights as they are; ``patch`` where the first plan's changed lights, or today's, work;
    ``strips`` the ways that strips behind headboards may run, where they were asked for.
    ``whole`` is False when the search was stopped or ran out of time.
    """

    today: Study
    may: May
    plans: tuple[Plan, ...]
    relax: tuple[Relaxed, ...]
    levels: tuple[SetupLevels, ...]
    patch: tuple[Patch, ...]
    tried: int
    seconds: float
    whole: bool
    strips: Mapping[str, tuple[StripChoice, ...]]

    @property
    def exit_status(self) -> int:
        """1 when a caution at danger level stands in today's plan, else 0: as `check`."""
        return self.today.exit_status

    def to_json(self) -> dict[str, Any]:
        """Return the finding as plain data, in the versioned shape that DEVELOPERS.md documents."""
        met, lasting, sure = counts(self.today.aims)
        return {
            "format": FORMAT,
            "plan": {
                "title": self.today.scenario.title,
                "hash": fingerprint(self.today.scenario.model_dump_json()),
            },
            "today": {
                "met": met,
                "of": len(self.today.aims),
                "met_after_years": lasting,
                "sure": sure,
            },
            "may": {
                "parts": {name: sorted(parts) for name, parts in self.may.parts.items()},
                "no_drill": sorted(self.may.no_drill),
                "pairs": self.may.pairs,
                "areas": [asdict(area) for area in self.may.areas],
                "lamps_lm": [lamp.flux_lm for lamp in self.may.lamps],
                "cords_m": list(self.may.cords_m),
            },
            "plans": [plan.to_json() for plan in self.plans],
            "relax": [relaxed.to_json() for relaxed in self.relax],
            "levels": [
                {
                    "setup": one.setup,
                    "levels": None
                    if one.levels is None
                    else {name: round(value, 3) for name, value in one.levels.items()},
                    "after_years": one.lasting,
                    "contradict": list(one.apart),
                }
                for one in self.levels
            ],
            "patch": [one.to_json() for one in self.patch],
            "strips": {n: [row.to_json() for row in rows] for n, rows in self.strips.items()},
            "tried": {
                "candidates": self.tried,
                "seconds": round(self.seconds, 2),
                "whole": self.whole,
            },
        }


def find(
    scenario: Scenario,
    *,
    keep: Collection[str] = (),
    allow: Mapping[str, Collection[str]] | None = None,
    no_drill: Collection[int] = (),
    pairs: bool = True,
    areas: Collection[Sequence[float]] = (),
    lamps: Collection[str] = (),
    cords_m: Collection[float] = (),
    strips: bool = False,
    seconds: float = 60.0,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    engine: Cache | None = None,
) -> Finding:
    """Return plans that meet the wishes of a plan as well as may be, each studied anew.

    Parameters
    ----------
    scenario
        The plan, with its wishes (``aims``).
    keep
        Ids of lights and strips that stay as they are; their levels may still change.
    allow
        For a light, what of it may change: ``place``, ``lamp``, ``kind``; all, where it is not
        named. A strip has a ``lamp`` only.
    no_drill
        Numbers of walls that get no new hole.
    pairs
        Whether twins left and right of the bed stay twins.
    areas
        Parts of walls that get no new hole: (wall, left, right, low, high) [m], from the wall's
        left end as one faces it and from the floor.
    lamps
        Bulbs that are there already: lumens as on their boxes, "470", or with their white,
        "250@2200".
    cords_m
        Lengths of cords that are there already [m].
    strips
        Whether the ways that strips behind headboards may run are compared too: some seconds more.
    seconds
        After this long no further kind of plan is begun.
    progress
        Told what is being done, and the best so far.
    stop
        Asked every few milliseconds; once it says True, what was found until then is returned. It
        may wait, so that something more urgent goes first.
    engine
        An :class:`lumen.Engine` of one's own, which keeps what is dear; else that of the process.

    Raises
    ------
    LumenError
        When a name, part or wall is not in the plan, or no setup has a wish to meet.

    Examples
    --------
    >>> import lumen
    >>> plan = lumen.load(lumen.examples()[0])
    >>> found = lumen.find(plan, allow={"left light": [], "right light": [], "glow strip": []})
    >>> found.plans[0].title
    'Other levels only'
    """
    if not scenario.aims or not scenario.setups:
        missing = "aims" if scenario.setups else "setups"
        rule = "must hold at least one, or there is no wish to meet"
        raise LumenError(missing, rule, None)
    may = may_of(
        scenario,
        keep=keep,
        allow=allow,
        no_drill=no_drill,
        pairs=pairs,
        areas=areas,
        lamps=lamps,
        cords_m=cords_m,
    )
    with using(engine):
        return _Finder(scenario, may, strips, seconds, progress, stop).found()


class _Finder:
    def __init__(
        self,
        scenario: Scenario,
        may: May,
        strips: bool,
        seconds: float,
        progress: Callable[[Progress], None] | None,
        stop: Callable[[], bool] | None,
    ) -> None:
        self.scenario, self.may = scenario, may
        self.began, self.seconds = time.monotonic(), seconds
        self.progress, self.stop = progress, stop
        self.kept: list[tuple[str, Judged]] = []
        self.todays = (0, 0, 0)
        self.whole = True
        self.strips = strips

    def found(self) -> Finding:
        self.tell("looking at the room", 0.0, 0)
        today = study(self.scenario)
        guide = Guide.of(today.lighting, aim_results(today.lighting, shadows=False))
        guide = replace(guide, reciprocity=replace(guide.reciprocity, rest=self.rest))
        search = Search(guide, self.may, dims_to(self.scenario), self.go_on)
        judge = Judge(search)
        levels = levels_for(guide)
        self.todays = counts(today.aims)
        relax: list[Relaxed] = []
        patches: list[Patch] = []
        menu: list[Plan] = []
        rows: dict[str, tuple[StripChoice, ...]] = {}
        try:
            best = self._families(search, judge)
            missed = [r.id for _, j in self.kept for r in j.results if _is_missed(r)]
            if best is None or counts(best.results)[0] < len(guide.wants):
                self.tell("looking what to relax", 0.75, search.tried)
                loose = [family for family in FAMILIES if family.name in _RELAXED_BY]
                relax = relaxations(search, judge, _often(missed), loose)
            self.tell("studying the plans anew", 0.9, search.tried)
            menu = self._menu(today)
            self.tell("drawing where it works", 0.95, search.tried)
            patches = self._patches(menu[0].scenario if menu else self.scenario, search)
            rows = self._strips() if self.strips else {}
        except Stopped:
            self.whole = False
            menu = menu or self._menu(today)
        self.tell("done", 1.0, search.tried)
        return Finding(
            today,
            self.may,
            tuple(menu),
            tuple(relax),
            levels,
            tuple(patches),
            search.tried,
            time.monotonic() - self.began,
            self.whole,
            rows,
        )

    def _families(self, search: Search, judge: Judge) -> Judged | None:
        """Try every kind of plan; the best is returned, all are kept."""
        best: Judged | None = None
        its = FAMILIES[0]
        for number, family in enumerate(FAMILIES):
            if time.monotonic() - self.began > self.seconds:
                raise Stopped
            share = 0.05 + 0.6 * number / len(FAMILIES)
            self.tell(f"trying {family.name}", share, search.tried)
            for judged in self._family(search, judge, family):
                if best is None or judged.rank < best.rank:
                    best, its = judged, family
        if best is not None:
            self.tell("looking closer about the best", 0.66, search.tried)
            closer = search.corrected(best.design, best.results)
            for judged in self._family(closer, judge, its):
                if judged.rank < best.rank:
                    best = judged
            search.tried += closer.tried
        return best

    def _family(self, search: Search, judge: Judge, family: Family) -> list[Judged]:
        """The best of a family, and the best that an erring hand does not spoil; both are kept."""
        designs = [d for d in search.family(family) if d.commands(self.scenario)]
        found = judge.best(designs)[:1]
        if found and found[0].loses:
            found += judge.best(search.sturdy(family, found[0].design), 1)[:1]
        self.kept += [(family.name, judged) for judged in found]
        return found

    def rest(self) -> None:
        """Between two looks: gives way, or ends."""
        if not self.go_on():
            raise Stopped

    def go_on(self) -> bool:
        return self.stop is None or not self.stop()

    def tell(self, doing: str, share: float, tried: int) -> None:
        if self.progress is not None:
            met = max((counts(j.results)[0] for _, j in self.kept), default=0)
            of = max((len(j.results) for _, j in self.kept), default=0)
            self.progress(Progress(doing, share, tried, met, of))

    def _menu(self, today: Study) -> list[Plan]:
        """Plans that no other beats in every way and that meet more than today, best first.

        Each is written down and studied anew.
        """
        met, lasting, _ = self.todays
        better = [
            (name, j)
            for name, j in self.kept
            if not j.spoilt and _more(counts(j.results), (met, lasting))
        ]
        ways = {id(j): self._ways(j) for _, j in better}
        kept = [
            (name, j)
            for name, j in better
            if not any(_beats(ways[id(k)], ways[id(j)]) for _, k in better if k is not j)
        ]
        kept.sort(key=lambda pair: _order(pair[1]))
        plans: list[Plan] = []
        for name, judged in kept:
            if len(plans) < MOST_PLANS and all(judged.plan != p.scenario for p in plans):
                plans.append(plan_of(name, judged, today, self.may))
        return plans

    def _ways(self, judged: Judged) -> tuple[float, ...]:
        met, lasting, _ = counts(judged.results)
        return (
            lasting,
            met,
            -judged.glare,
            -len(serious(judged.adds)),
            -len(judged.loses),
            -len(bought_ids(self.scenario, judged.plan, self.may)),
            -holes(self.scenario, judged.plan),
            -round(moved_m(self.scenario, judged.plan) / _STEP_M),
        )

    def _strips(self) -> dict[str, tuple[StripChoice, ...]]:
        """Ways of every strip that may change, lies behind a headboard and shines."""
        found = {}
        for strip in self.scenario.strips:
            if not self.may.parts[strip.id]:
                continue
            self.tell("comparing ways of the strip", 0.97, 0)
            with contextlib.suppress(LumenError):
                found[strip.id] = strip_choices(self.scenario, strip.id, go_on=self.go_on)
        return found

    def _patches(self, plan: Scenario, search: Search) -> list[Patch]:
        found = []
        for group in search.groups:
            if isinstance(group, Group) and group.surface is not None and search.guide.wants:
                name, asked = group.ids[0], search.guide.reciprocity
                cords = name not in bought_ids(self.scenario, plan, self.may)
                found.append(
                    patch(plan, name, step_m=0.15, may=self.may, reciprocity=asked, cords=cords)
                )
        return found


_STEP_M = 0.5  # moves that differ by less than this, over all lights, are as great: ours

_RELAXED_BY = ("levels", "lamps", "spots in place", "spots")


def _order(judged: Judged) -> tuple[float, ...]:
    """What comes first on the menu: no caution added, wishes met, none lost by a hand, years."""
    met, lasting, _ = counts(judged.results)
    return len(serious(judged.adds)), -met, len(judged.loses), -lasting, judged.glare


def _more(found: tuple[int, int, int], today: tuple[int, int]) -> bool:
    """Whether more wishes are met, or as many and more of them for years."""
    return found[:2] > today


def _is_missed(result: AimResult) -> bool:
    return result.state in ("short", "too much")


def _often(names: list[str], most: int = 4) -> list[str]:
    """The wishes that are missed most often, at most so many."""
    return [name for name, _ in Counter(names).most_common(most)]


def _beats(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Whether a plan is as good in every way and better in one, or the same and first."""
    return all(a >= b for a, b in zip(one, other, strict=True)) and one != other
