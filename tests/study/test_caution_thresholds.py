"""Every threshold of the cautions moved by 5 %: some plan among the cases must notice.

``pytest -m long tests/study/test_caution_thresholds.py -s`` prints each survivor.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import pytest

import lumen.power.defaults as defaults
from lumen.study.cautions.registry import PREDICATES
from tests.study.caution_parts import Case, shows
from tests.study.small_plans import Command, raised
from tests.study.test_cautions import CASES

MOVES = (0.95, 1.05)
OUTSIDE = {
    "lumen.power.driver": ("FILL_PRACTICE",),
    "lumen.power.heat": ("NOTE_K", "WARNING_K", "DANGER_K"),
    "lumen.power.conductors": ("COILED_SHARE",),
    "lumen.study.load.wiring": ("MOTOR_START",),
}
"""Thresholds that the rules take from elsewhere."""

NO_THRESHOLD = {
    "NOT_IN_STEP": "changes a line of a sum",
    "MOST_LM_PER_W": "changes a sentence",
    "BEYOND_K": "changes a sentence",
    "EYE_TO_TOP_M": "a measure of a head, rounded up",
    "_STEP_M": "a step of a search",
    "_LONG_H": "counted in whole quarter hours, so that 5 % less is the same",
    "SAME_BED_M": "tells one bed from two, far from either",
    "BEDDING_M2": "how much bedding takes up heat, in a sentence",
    "DUVET_M2_K_PER_W": "how well bedding insulates, in a sentence",
}
"""Numbers that no caution hangs on within 5 %, and why."""

REGIONAL = {
    "outlet_a": (5, 7),
    "outlet_large_a": (5,),
    "outlet_share": (5,),
    "outlet_long_a": (55,),
    "twin_warning_a": (6,),
    "twin_danger_a": (6, 7),
    "breaker_a": (1, 2),
    "single_item_share": (3,),
    "fastened_share": (4,),
    "strip_assumed_a": (8,),
    "receiver_assumed_a": (42,),
    "receiver_electronic_share": (42,),
    "near_limit_share": (9,),
    "low_v": (49,),
    "high_v": (49,),
    "outlet_breaker_max_a": (68,),
    "nominal_v": (1, 5, 8),
}
"""Numbers of a region, and the rules that hold something against them."""


def constants() -> Iterator[tuple[str, str]]:
    """Yield module and name of each number that the rules hold something against."""
    modules = sorted({predicate.__module__ for predicate in PREDICATES.values()})
    for module in (*modules, "lumen.study.cautions.facts"):
        for name, value in vars(sys.modules[module]).items():
            plain = isinstance(value, float) and name.strip("_").isupper()
            if plain and name not in NO_THRESHOLD and _home(module, name):
                yield module, name
    for module, names in OUTSIDE.items():
        for name in names:
            if hasattr(sys.modules[module], name):
                yield module, name


def _home(module: str, name: str) -> bool:
    """Return whether a name is set in a module, not brought into it."""
    source = sys.modules[module].__loader__.get_source(module)  # type: ignore[union-attr]
    return f"\n{name} = " in source


@contextmanager
def moved_constant(module: str, name: str, factor: float) -> Iterator[None]:
    """Move a constant wherever a module of the program has it by that name."""
    value = getattr(sys.modules[module], name)
    holders = [
        found
        for key, found in list(sys.modules.items())
        if key.startswith("lumen") and vars(found).get(name) is value
    ]
    for holder in holders:
        setattr(holder, name, value * factor)
    try:
        yield
    finally:
        for holder in holders:
            setattr(holder, name, value)


@contextmanager
def moved_value(region: str, item: str, factor: float) -> Iterator[None]:
    """Move a number of a region."""
    values = defaults._region_values()
    kept = values[region, item]
    values[region, item] = replace(kept, number=(kept.number or 0.0) * factor)
    try:
        yield
    finally:
        values[region, item] = kept


def noticed(cases: list[Case]) -> bool:
    """Return whether one of the cases no longer holds."""
    return any(
        not shows(case, _severities(case, case.earns))
        or (bool(case.misses) and shows(case, _severities(case, case.misses)))
        for case in cases
    )


def _severities(case: Case, commands: list[Command]) -> set[str]:
    return {hit.severity for hit in raised(case.region, *commands).get(case.rule, [])}


def _near(module: str) -> list[Case]:
    """Return the cases of a module's rules, one region of each; all for what is used everywhere."""
    rules = [n for n, predicate in PREDICATES.items() if predicate.__module__ == module]
    found: dict[str, Case] = {}
    for case in CASES:
        if not rules or case.rule in rules:
            found.setdefault(repr((case.rule, case.earns, case.misses, case.severity)), case)
    return list(found.values())


def surviving_constants() -> list[str]:
    """Return the moved constants that no case notices."""
    survivors = []
    for module, name in constants():
        cases = _near(module)
        for factor in MOVES:
            with moved_constant(module, name, factor):
                if not noticed(cases):
                    survivors.append(f"{module}.{name} x {factor}")
    return survivors


def surviving_values() -> list[str]:
    """Return the moved numbers of regions that no case notices."""
    survivors = []
    for (region, item), value in list(defaults._region_values().items()):
        rules = REGIONAL.get(item)
        if rules is None or value.number is None:
            continue
        cases = [case for case in CASES if case.region == region and case.rule in rules]
        for factor in MOVES:
            with moved_value(region, item, factor):
                if not noticed(cases):
                    survivors.append(f"{region} {item} x {factor}")
    return survivors


def test_the_list_of_constants_is_not_empty() -> None:
    """The thresholds are found at all, those of other modules too."""
    names = {name for _, name in constants()}
    assert names >= {"GRACE", "STRONG_HEAT_W", "HEATER_TO_FABRIC_M", "DROP_NOTE", "FILL_PRACTICE"}


def test_a_moved_threshold_is_noticed() -> None:
    """One of them here, the rest on demand."""
    with moved_constant("lumen.study.cautions.limits", "DROP_NOTE", 1.05):
        assert noticed([case for case in CASES if (case.rule, case.region) == (70, "EU")])


@pytest.mark.long
def test_every_constant_is_held_by_a_case() -> None:
    """No constant of the rules can move by 5 % unseen."""
    survivors = surviving_constants()
    print("\n".join(survivors))
    assert survivors == []


@pytest.mark.long
def test_every_number_of_a_region_is_held_by_a_case() -> None:
    """No number of a region that a rule rests on can move by 5 % unseen."""
    survivors = surviving_values()
    print("\n".join(survivors))
    assert survivors == []
