"""Everything that the sheet holds beside the study: the page and the lists read nothing else.

Numbers of light and power are not copied: templates read them from the study's own JSON.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lumen.scenario.document import Scenario
from lumen.sheet.bands import workmanship
from lumen.sheet.cautions import CautionGroup, caution_groups
from lumen.sheet.cords import CordRun, Unplaced, cord_runs, unplaced
from lumen.sheet.cuts import (
    BoardGroup,
    Edge,
    ReelTest,
    StripCuts,
    boards,
    grouped_boards,
    reel_tests,
    strip_cuts,
)
from lumen.sheet.fixing import Fixing, fixings
from lumen.sheet.light_pages import DefaultWords, Grid, Sight, default_words, grids, sights
from lumen.sheet.mount_templates import Template, mount_templates
from lumen.sheet.night import Ratio, night_ratios
from lumen.sheet.parts import further
from lumen.sheet.places import HiddenSpace, Lean, StripPlace, hidden_spaces, leans, strip_places
from lumen.sheet.plugs import Button, Lid, PlugRow, buttons, lids, plug_rows
from lumen.sheet.setup_pages import SetupPage, Unswitched, setup_pages, unswitched
from lumen.sheet.shopping import Group, Total, grouped, shopping, total
from lumen.sheet.trade import trade_words
from lumen.sheet.trials import Trial, heaviest, trials
from lumen.sheet.true_size import Lane, lanes
from lumen.sheet.wall_pages import WallPage, wall_page
from lumen.sheet.walls import (
    BoardMark,
    CeilingMark,
    Pair,
    board_marks,
    ceiling_marks,
    pairs_of,
    walls_that_carry,
)
from lumen.study.load.regions import RegionPack, region_pack
from lumen.study.study import Study
from lumen.study.wishes.verdicts import AimResult

__all__ = ["Contents", "contents"]


@dataclass(frozen=True, kw_only=True)
class CutPage(StripCuts):
    """How an LED strip is cut, with edges cut alike together, and how wide it is."""

    width_m: float
    alike: tuple[AlikeEdges, ...]


@dataclass(frozen=True)
class AlikeEdges:
    """Edges cut alike: the place of the first in its strip, numbers and ways of all."""

    edge: int
    numbers: tuple[int, ...]
    ways: tuple[str, ...]


@dataclass(frozen=True)
class FullSpace:
    """A hidden space that holds something."""

    name: str
    holds: tuple[str, ...]
    cords: int


@dataclass(frozen=True, kw_only=True)
class SpacePage(HiddenSpace):
    """Hidden spaces of one size, with what each of them holds."""

    names: tuple[str, ...]
    full: tuple[FullSpace, ...]


@dataclass(frozen=True, kw_only=True)
class NightRow(Ratio):
    """A reading of the night test, and what must be out of its outlet for it."""

    without: tuple[str, ...]


@dataclass(frozen=True)
class RegionWords:
    """What is asked of the protection of circuits in the plan's region, and who asks it."""

    arc_fault: str
    leakage_protection: str
    arc_fault_source: str
    leakage_source: str


@dataclass(frozen=True)
class State:
    """How the plan stands: how many stops, and the wishes that are not met, by place.

    ``worst`` is for each wish the place where it is missed by most.
    """

    stops: int
    missed: tuple[int, ...]
    worst: tuple[int, ...]
    wishes: int


@dataclass(frozen=True)
class Contents:
    """Marks, bands, cuts, cords, things to buy: all of the sheet that is not the study's."""

    walls: tuple[WallPage, ...]
    ceiling: tuple[CeilingMark, ...]
    board: tuple[BoardMark, ...]
    fixings: tuple[Fixing, ...]
    pairs: tuple[Pair, ...]
    templates: tuple[Template, ...]
    cuts: tuple[CutPage, ...]
    lanes: tuple[Lane, ...]
    boards: tuple[BoardGroup, ...]
    places: tuple[StripPlace, ...]
    spaces: tuple[SpacePage, ...]
    leans: tuple[Lean, ...]
    cords: tuple[CordRun, ...]
    unmeasured: tuple[Unplaced, ...]
    shopping: tuple[Group, ...]
    total: Total
    plugs: tuple[PlugRow, ...]
    lids: tuple[Lid, ...]
    buttons: tuple[Button, ...]
    levels: tuple[SetupPage, ...]
    unswitched: tuple[Unswitched, ...]
    people: int
    night: tuple[NightRow, ...]
    heat_trial: Trial | None
    reels: tuple[ReelTest, ...]
    unplaced: tuple[str, ...]
    tolerances: Mapping[str, float]
    trade: Mapping[str, str]
    region: RegionWords
    sights: tuple[Sight, ...]
    planes: tuple[Grid, ...]
    eyes: tuple[Grid, ...]
    assumed: tuple[DefaultWords, ...]
    cautions: tuple[CautionGroup, ...]
    state: State


_WORKMANSHIP = ("mark", "pair", "moved", "drill_clear", "spare")


def contents(study: Study) -> Contents:
    """Return what the sheet of a study holds beside it."""
    plan = study.scenario
    runs, cuts, panels = cord_runs(plan), strip_cuts(plan), boards(plan)
    held, spaces, tried = fixings(plan), hidden_spaces(plan), trials(plan)
    items = shopping(study, runs, cuts)
    more = further(study, runs, cuts, panels, held, spaces)
    walls = tuple(wall_page(plan, wall, runs, held, items) for wall in walls_that_carry(plan))
    ceiling, board = ceiling_marks(plan), board_marks(plan)
    lights = (mark for wall in walls for mark in wall.marks if mark.kind == "light")
    return Contents(
        walls=walls,
        ceiling=ceiling,
        board=board,
        fixings=held,
        pairs=pairs_of(plan),
        templates=mount_templates(plan, (*board, *ceiling, *lights)),
        cuts=_cut_pages(plan, cuts),
        lanes=lanes(cuts),
        boards=grouped_boards(panels),
        places=strip_places(plan),
        spaces=_space_pages(spaces),
        leans=leans(plan),
        cords=runs,
        unmeasured=unplaced(plan),
        shopping=grouped((*items, *more)),
        total=total(items),
        plugs=plug_rows(study),
        lids=lids(study),
        buttons=buttons(study),
        levels=setup_pages(plan),
        unswitched=unswitched(plan),
        people=len(plan.people),
        night=_night(study, tried),
        heat_trial=heaviest(tried),
        reels=reel_tests(plan, cuts),
        unplaced=tuple(
            item.name or item.id
            for item in plan.supply
            if item.kind == "outlet" and item.at_m is None
        ),
        tolerances={name: workmanship(name) for name in _WORKMANSHIP},
        trade=trade_words(plan.region),
        region=_region_words(region_pack(plan.region)),
        sights=sights(study),
        planes=grids(study, lambda target: not target.is_eye),
        eyes=grids(study, lambda target: target.is_eye),
        assumed=tuple(default_words(plan, item.field) for item in study.assumptions),
        cautions=caution_groups(study.caution_words),
        state=_state(study),
    )


def _cut_pages(plan: Scenario, cuts: tuple[StripCuts, ...]) -> tuple[CutPage, ...]:
    widths = {strip.id: strip.width_m for strip in plan.strips}
    return tuple(CutPage(**vars(cut), width_m=widths[cut.id], alike=_alike(cut)) for cut in cuts)


def _alike(cut: StripCuts) -> tuple[AlikeEdges, ...]:
    """Edges cut alike, each with the numbers and ways of its twins."""
    alike: dict[object, list[tuple[int, Edge]]] = {}
    for place, edge in enumerate(cut.edges):
        alike.setdefault((edge.run_m, edge.units, edge.used_m), []).append((place, edge))
    return tuple(
        AlikeEdges(
            edge=twins[0][0],
            numbers=tuple(edge.number for _, edge in twins),
            ways=tuple(edge.way for _, edge in twins),
        )
        for twins in alike.values()
    )


def _space_pages(spaces: tuple[HiddenSpace, ...]) -> tuple[SpacePage, ...]:
    """Hidden spaces, those together whose sizes and vents are the same."""
    alike: dict[object, list[HiddenSpace]] = {}
    for space in spaces:
        key = (space.inner_m, space.divider_m, space.vent_m2, space.known)
        alike.setdefault(key, []).append(space)
    return tuple(
        SpacePage(
            **vars(twins[0]),
            names=tuple(space.name for space in twins),
            full=tuple(
                FullSpace(space.name, space.holds, space.cords) for space in twins if space.holds
            ),
        )
        for twins in alike.values()
    )


def _night(study: Study, tried: tuple[Trial, ...]) -> tuple[NightRow, ...]:
    running = {setup.id: setup.running for setup in study.scenario.setups}
    rows = night_ratios(study, {trial.setup for trial in tried if trial.allowed})
    return tuple(NightRow(**vars(row), without=tuple(running[row.setup_id])) for row in rows)


def _region_words(region: RegionPack) -> RegionWords:
    return RegionWords(
        arc_fault=region.text("arc_fault"),
        leakage_protection=region.text("leakage_protection"),
        arc_fault_source=region.source("arc_fault"),
        leakage_source=region.source("leakage_protection"),
    )


def _state(study: Study) -> State:
    """How the plan stands: how many stops, and the wishes that are not met, by place."""
    levels = [caution.level for caution in study.cautions]
    missed = [place for place, aim in enumerate(study.aims) if aim.state != "met"]
    worst: dict[str, int] = {}
    for place in missed:
        wish = study.aims[place].id
        kept = worst.setdefault(wish, place)
        if _gap(study.aims[place]) > _gap(study.aims[kept]):
            worst[wish] = place
    return State(
        stops=levels.count("stop"),
        missed=tuple(missed),
        worst=tuple(worst.values()),
        wishes=len(study.aims),
    )


def _gap(aim: AimResult) -> float:
    """How many times a wish is missed by."""
    least, most, value = aim.at_least, aim.at_most, max(aim.value, 1e-9)
    return max(
        0.0 if least is None else least / value, 0.0 if not most else value / max(most, 1e-9)
    )
