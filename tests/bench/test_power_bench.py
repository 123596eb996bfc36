"""What the electrical half costs, as multiples of one bare solve of its tree in the same run.

Run: python -m pytest tests/bench/test_power_bench.py -s -p no:cacheprovider
"""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable

import pytest

from lumen.power.demand import OnTime, day_demand
from lumen.power.load import LoadTree, Node, solve_tree
from lumen.power.strip import Tape, tape_state
from lumen.scenario.document import Scenario
from lumen.scenario.files import examples, load
from lumen.study.cautions import cautions
from lumen.study.load.electrics import electrics
from tests.study.small_plans import plan, supply


def best(call: Callable[[], object], times: int = 7) -> float:
    """Shortest of several runs [s]."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return min(taken)


def fan(loads: int) -> list[Node]:
    """One circuit with so many loads on one strip."""
    nodes = [Node("c", None, "circuit", 230.0), Node("s", "c", "strip")]
    nodes += [Node(f"load {i}", "s", "load", watts=10.0, power_factor=0.6) for i in range(loads)]
    return nodes


def crowded() -> Scenario:
    """A bedroom with fifty appliances on three power strips."""
    likes = ("hair-dryer", "laptop", "heater", "phone-charger", "portable-fan")
    strips = [supply(f"s{i}", "power strip", "wall outlet", holes=20) for i in range(3)]
    things = [supply(f"a{i}", "appliance", f"s{i % 3}", like=likes[i % 5]) for i in range(50)]
    return plan("US", *strips, *things)


def test_tree_grows_with_its_nodes_only() -> None:
    """Four times the loads take no more than eight times the time (four, and room for noise)."""
    small, large = fan(50), fan(200)
    ratio = best(lambda: solve_tree(large)) / best(lambda: solve_tree(small))
    print(f"\n200 loads over 50 loads: {ratio:.1f}")
    assert ratio <= 8.0


def test_day_is_far_cheaper_than_its_steps() -> None:
    """A day of 96 quarter hours, all at once, costs less than 12 single solves."""
    nodes = fan(50)
    times = [OnTime(f"load {i}", i % 24, 3.0) for i in range(50)]
    ratio = best(lambda: day_demand(nodes, times)) / best(lambda: solve_tree(nodes))
    print(f"\nday over one solve: {ratio:.1f}")
    assert ratio <= 12.0


def test_closed_form_of_a_strip_is_small_change() -> None:
    """An LED strip at 33 stations costs less than one solve of a tree of 50 loads."""
    nodes, tape = fan(50), Tape(length_m=5.0, watts_per_m=14.4, volts=24.0)
    ratio = best(lambda: tape_state(tape)) / best(lambda: solve_tree(nodes))
    print(f"\nstrip over one solve: {ratio:.2f}")
    assert ratio <= 1.0


@pytest.mark.parametrize("room", ["plain-pair", "l-room-dressing-nook", "fifty things"])
def test_electrics_and_cautions_in_solves(room: str) -> None:
    """All setups, days, the year and every rule cost a stated number of single solves."""
    scenario = (
        crowded()
        if room == "fifty things"
        else load({file.stem: file for file in examples()}[room])
    )
    drawn = electrics(scenario)
    nodes = drawn.wiring.nodes
    one = best(lambda: solve_tree(nodes))
    power = best(lambda: electrics(scenario), 5)
    rules = best(lambda: cautions(scenario, electrics(scenario)), 5) - power
    print(
        f"\n{room}: electrics {power / one:.0f}, cautions {rules / one:.0f} solves of {one:.2g} s"
    )
    assert power / one <= 150.0
    assert rules / one <= 150.0


def test_memory_of_a_crowded_room() -> None:
    """Fifty appliances keep less than two hundred times what one solved tree keeps."""

    def kept(call: Callable[[], object]) -> int:
        tracemalloc.start()
        held = call()
        size, _ = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert held is not None
        return size

    scenario = crowded()
    drawn = electrics(scenario)

    def tree() -> LoadTree:
        return solve_tree(drawn.wiring.nodes)

    ratio = kept(lambda: electrics(scenario)) / kept(tree)
    print(f"\nelectrics over one tree: {ratio:.0f} times the memory")
    assert ratio <= 200.0
