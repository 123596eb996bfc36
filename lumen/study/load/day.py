"""A day of the plan as on-times: what runs when, and what may run at the same time at all.

What has no time of its own is put where it hurts most: once in the evening and once in the
morning, each its own variant of the day.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from lumen.power.demand import DayDemand, OnTime, day_demand
from lumen.power.energy import YearEnergy, year_energy_from_timetables
from lumen.scenario.aims import Setup
from lumen.scenario.document import Scenario
from lumen.scenario.supply import Appliance
from lumen.study.load.regions import appliance_kind
from lumen.study.load.wiring import Wiring
from lumen.study.scene.levels import EVERYTHING, given_levels

__all__ = [
    "ALL_ON",
    "ANY_DAY",
    "EVENING_H",
    "MORNING_H",
    "Case",
    "clock",
    "days_of",
    "duty_of",
    "may_run_together",
    "timetable",
    "year_of",
]

EVENING_H = 21.0
MORNING_H = 7.0
"""Where things without a time are put [h]: our own assumption."""

ANY_DAY = "a day"
"""The variant of a plan in which nothing is seasonal and everything has its time."""

_THAT_MAY_RUN = "everything that may run"
_HALF_YEAR = 182.5
_SEASONS = ("winter", "summer")


@dataclass(frozen=True)
class Case:
    """When things are on together: a case that limits are held against.

    Parameters
    ----------
    kind
        ``"setup"`` what one setup has on, ``"hour"`` the worst hour of a variant of the day,
        ``"may run"`` all that can meet, ``"everything"`` all there is.
    key
        How ``power`` of ``lumen-study/1`` names it; for a setup its id.
    setup, season, day, hour
        Id of the setup; ``"winter"`` or ``"summer"``; variant of the day, ``None`` for a plain
        one; hour of the day [h]. ``None`` where the case does not hang on it.
    """

    kind: Literal["setup", "hour", "may run", "everything"]
    key: str
    setup: str | None = None
    season: str | None = None
    day: str | None = None
    hour: float | None = None


ALL_ON = Case("everything", EVERYTHING)
"""Everything on, whether or not it can be."""


def clock(hour: float) -> str:
    """Return an hour of the day as a clock shows it.

    Examples
    --------
    >>> clock(6.75)
    '06:45'
    """
    return f"{int(hour):02d}:{round(hour % 1 * 60):02d}"


def timetable(
    scenario: Scenario, laid: Wiring, season: str, untimed_h: float, *, usual: bool = True
) -> list[OnTime]:
    """Return the on-times of one day; untimed things start at ``untimed_h``.

    The room is in one setup at a time: those without an hour follow one another in the evening.
    What runs only in setups of no known length runs for its usual hours, or with ``usual`` false
    not at all.
    """
    starts = _starts(scenario)
    parents = {node.id: node.parent for node in laid.nodes}
    receivers = {node.id for node in laid.nodes if node.kind == "receiver"}
    times: list[OnTime] = []
    for setup in scenario.setups:
        start = starts[setup.id]
        for node_id, level in given_levels(scenario, setup.id).items():
            if node_id in parents and level > 0.0 and setup.hours_per_day > 0.0:
                times.append(OnTime(node_id, start, setup.hours_per_day, level))
    for item in scenario.supply:
        if isinstance(item, Appliance) and item.season in ("all year", season):
            times += _appliance(scenario, item, untimed_h, usual=usual)
    switched = []
    for on in times:
        at = parents[on.node_id]
        while at is not None:
            if at in receivers:
                switched.append(OnTime(at, on.start_h, on.hours))
            at = parents[at]
    never = receivers - {on.node_id for on in switched}
    return times + switched + [OnTime(node_id, 0.0, 0.0) for node_id in sorted(never)]


def _starts(scenario: Scenario) -> dict[str, float]:
    starts, hour = {}, EVENING_H
    for setup in scenario.setups:
        starts[setup.id] = hour if setup.from_h is None else setup.from_h
        if setup.from_h is None:
            hour = (hour + setup.hours_per_day) % 24.0
    return starts


def _appliance(
    scenario: Scenario, item: Appliance, untimed_h: float, *, usual: bool = True
) -> list[OnTime]:
    kind = appliance_kind(item.like)
    if item.hours_per_day is None and item.on_from_h is None:
        running = [s for s in scenario.setups if item.id in s.running]
        using = [s for s in running if s.hours_per_day > 0.0]
        if using:
            starts = _starts(scenario)
            return [OnTime(item.id, starts[s.id], s.hours_per_day) for s in using]
        if running and not usual:
            return []
    hours = item.hours_per_day
    if hours is None:
        hours = kind.hours_per_day if kind is not None else (8.0 if item.continuous else 1.0)
    start = item.on_from_h
    if start is None:
        start = 0.0 if hours >= 24.0 else untimed_h
    return [OnTime(item.id, start, min(hours, 24.0))] if hours > 0.0 else []


@dataclass(frozen=True)
class _Window:
    """When one appliance may run: seasons, hours (``None``: any), setups (``None``: any)."""

    seasons: tuple[str, ...]
    hours: tuple[tuple[float, float], ...] | None
    setups: tuple[str, ...] | None

    def holds(self, season: str, hour: float, setup: str | None) -> bool:
        return (
            season in self.seasons
            and (self.setups is None or setup in self.setups)
            and (self.hours is None or any((hour - a) % 24.0 < long for a, long in self.hours))
        )


def _window(scenario: Scenario, item: Appliance) -> _Window:
    seasons = _SEASONS if item.season == "all year" else (item.season,)
    if item.on_from_h is not None:
        times = _appliance(scenario, item, item.on_from_h)
        return _Window(seasons, tuple((t.start_h, t.hours) for t in times), None)
    using = [s.id for s in scenario.setups if item.id in s.running]
    if item.hours_per_day is None and using:
        return _Window(seasons, None, tuple(using))
    return _Window(seasons, None, None)


def _may_be(setup: Setup, hour: float) -> bool:
    timed = setup.from_h is not None and setup.hours_per_day > 0.0
    return not timed or (hour - (setup.from_h or 0.0)) % 24.0 < setup.hours_per_day


def may_run_together(scenario: Scenario, laid: Wiring) -> dict[Case, frozenset[str]]:
    """Return the loads that can be on at once, for each case in which that is the most there is.

    Lights and strips may be on at any time, and so may an appliance without a time of its own; one
    with a season, a starting hour, or no time but a setup that it runs in, only then. Cases that
    hold nothing beyond another are left out. When all loads can meet, that is :data:`ALL_ON`.
    """
    loads = frozenset(node.id for node in laid.nodes if node.kind == "load")
    windows: Mapping[str, _Window] = {
        item.id: _window(scenario, item)
        for item in scenario.supply
        if isinstance(item, Appliance) and item.id in loads
    }
    cuts = sorted(
        {0.0}
        | {h % 24.0 for w in windows.values() for a, long in w.hours or () for h in (a, a + long)}
    )
    in_setups = {s for w in windows.values() for s in w.setups or ()}
    first: dict[frozenset[str], tuple[str, float | None, Setup | None]] = {}
    for season in _SEASONS:
        for start, end in zip(cuts, [*cuts[1:], 24.0], strict=True):
            hour = (start + end) / 2
            now = [None, *(s for s in scenario.setups if s.id in in_setups)]
            for setup in now:
                if setup is not None and not _may_be(setup, hour):
                    continue
                name = None if setup is None else setup.id
                off = {i for i, w in windows.items() if not w.holds(season, hour, name)}
                first.setdefault(loads - off, (season, start if cuts[1:] else None, setup))
    seasonal = any(len(w.seasons) == 1 for w in windows.values())
    most = [on for on in first if not any(on < other for other in first)]
    return {ALL_ON if on == loads else _may_run(*first[on], seasonal=seasonal): on for on in most}


def _may_run(season: str, hour: float | None, setup: Setup | None, *, seasonal: bool) -> Case:
    words = _THAT_MAY_RUN
    words += "" if hour is None else f" at {clock(hour)}"
    words += f" in {season}" if seasonal else ""
    words += "" if setup is None else f" in '{setup.name or setup.id}'"
    return Case(
        "may run",
        words,
        setup=None if setup is None else setup.id,
        season=season if seasonal else None,
        hour=hour,
    )


def _untimed(scenario: Scenario) -> bool:
    return any(
        isinstance(item, Appliance) and item.on_from_h is None and (item.hours_per_day or 0.0) < 24
        for item in scenario.supply
    )


def days_of(scenario: Scenario, laid: Wiring) -> dict[str, DayDemand]:
    """Return the plan's days: by season if anything is seasonal, evening and morning if untimed."""
    if not laid.nodes:
        return {}
    seasonal: set[str] = {item.season for item in scenario.supply if isinstance(item, Appliance)}
    seasons: list[str] = [s for s in _SEASONS if s in seasonal] or [ANY_DAY]
    days = {}
    for season in seasons:
        if _untimed(scenario):
            for when, hour in (("evening", EVENING_H), ("morning", MORNING_H)):
                name = when if season == ANY_DAY else f"{season} {when}"
                times = timetable(scenario, laid, season, hour, usual=False)
                days[name] = day_demand(laid.nodes, times)
        else:
            name = season if season == ANY_DAY else f"a {season} day"
            days[name] = day_demand(
                laid.nodes, timetable(scenario, laid, season, EVENING_H, usual=False)
            )
    return days


def year_of(scenario: Scenario, laid: Wiring, tariff: float) -> YearEnergy:
    """Return the energy of a year: half of it as in winter, half as in summer."""
    days = {
        season: (timetable(scenario, laid, season, EVENING_H), _HALF_YEAR) for season in _SEASONS
    }
    return year_energy_from_timetables(
        laid.nodes, days, tariff_per_kwh=tariff, duty=duty_of(scenario)
    )


def duty_of(scenario: Scenario) -> dict[str, float]:
    """Return the share of its hours in which each appliance really draws its watts, by id."""
    return {item.id: _duty(item) for item in scenario.supply if isinstance(item, Appliance)}


def _duty(item: Appliance) -> float:
    """Share of its on-time that an appliance draws its watts, and of the days that it is used."""
    kind = appliance_kind(item.like)
    share = item.duty
    if share is None:
        share = kind.duty if kind is not None else 1.0
    if kind is not None and item.hours_per_day is None:
        days = 2 * _HALF_YEAR if item.season == "all year" else _HALF_YEAR
        share *= min(1.0, kind.days_per_year / days)
    return share
