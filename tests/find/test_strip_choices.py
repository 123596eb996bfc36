"""The ways of a strip: each row is the study of its own plan; sums can be checked by hand."""

from __future__ import annotations

import pytest

import lumen
from lumen.errors import LumenError
from lumen.find.strip_choices import StripChoice, choice_words, strip_choices
from lumen.find.strips import drivers_for, metre_fluxes, strip_of
from lumen.scenario.document import dump
from lumen.scenario.edits import apply
from lumen.scenario.files import load, loads
from lumen.study.study import study

ROOMS = {path.stem: load(path) for path in lumen.examples()}
PAIR = ROOMS["plain-pair"]


@pytest.fixture(scope="module")
def rows() -> tuple[StripChoice, ...]:
    """The ways of the plain pair's strip."""
    return strip_choices(PAIR, "glow strip")


def test_rows_are_the_study_of_their_plans(rows: tuple[StripChoice, ...]) -> None:
    """Sent as commands, written and read again, a row's plan gives its glow, spill, watts, end."""
    most = max(PAIR.setups, key=lambda setup: setup.levels.get("glow strip", 0.0))
    for row in (rows[0], rows[1], rows[-1]):
        plan = PAIR
        for command in row.commands:
            plan = apply(plan, command)
        found = study(loads(dump(plan)))
        (glow,) = found.comfort.edge_glow(most.id)
        assert glow.evenness == pytest.approx(row.evenness, rel=1e-9)
        assert glow.mean == pytest.approx(row.glow_cd_m2, rel=1e-9)
        budgets = [
            b
            for sleeper in found.comfort.sleepers
            for b in sleeper.budgets
            if b.light == "glow strip"
        ]
        worst = min(b.lumens for b in budgets if b.lumens)
        assert most.levels["glow strip"] * budgets[0].has_lm / worst == pytest.approx(
            row.spill_lx, rel=1e-6
        )


def test_today_comes_first_and_all_differ(rows: tuple[StripChoice, ...]) -> None:
    """Today's, then ways that differ in edges, set-back, facing or lumens a metre."""
    assert rows[0].today
    assert rows[0].commands == ()
    assert len({row.title for row in rows}) == len(rows) >= 10
    assert {row.facing for row in rows} == {"bed wall", "up"}
    assert {row.edges for row in rows[1:]} == {"top edge", "top and sides"}
    assert {row.flux_lm_per_m for row in rows} == {450.0, 900.0, 1450.0}
    best = [words for row in rows for words in row.best_in]
    assert len(best) == len(set(best)) == 5
    assert all("melanopic" in choice_words(row) for row in rows)


def test_lengths_and_watts_by_hand(rows: tuple[StripChoice, ...]) -> None:
    """A board 1.65 m wide, 3 cm in: 1.59 m of top edge, 31 units of 5 cm, 4 cm dark, 4.8 W/m."""
    row = next(r for r in rows if r.edges == "top edge" and r.flux_lm_per_m == 450.0)
    assert row.set_back_m == 0.03
    assert row.length_m == pytest.approx(1.55)
    assert row.left_m == pytest.approx(0.04)
    assert row.watts_w == pytest.approx(4.8 * 1.55)


def test_light_goes_with_lumens_a_metre(rows: tuple[StripChoice, ...]) -> None:
    """The same run with half the lumens: half the glow and spill, but for the sag of the feed."""
    runs = [r for r in rows if r.edges == "top edge" and r.set_back_m == 0.03 and r.facing != "up"]
    by_flux = {row.flux_lm_per_m: row for row in runs}
    half, whole = by_flux[450.0], by_flux[900.0]
    assert whole.glow_cd_m2 / half.glow_cd_m2 == pytest.approx(2.0, rel=0.05)
    assert whole.spill_lx / half.spill_lx == pytest.approx(2.0, rel=0.05)
    assert half.end_share >= whole.end_share


def test_a_brighter_strip_brings_a_bigger_driver() -> None:
    """24 W behind 30 W is four fifths; 1450 lm a metre are 14.4 W: 35 W asks for 48 W."""
    strip = PAIR.strips[0]
    assert metre_fluxes(strip) == (450.0, 900.0, 1450.0)
    for flux, rating in ((450.0, None), (900.0, None), (1450.0, 48.0)):
        plan = PAIR.model_copy(update={"strips": (strip_of(strip, flux),)})
        found = drivers_for(PAIR, plan)
        assert (found["driver"].rating_w if found else None) == rating


def test_what_lies_behind_no_board_is_refused() -> None:
    """A strip that is not there, and one that follows no headboard, in a sentence."""
    with pytest.raises(LumenError, match="must be an LED strip of the plan"):
        strip_choices(PAIR, "left light")
    shelf = ROOMS["loft-over-bunk"]
    for strip in shelf.strips:
        with pytest.raises(LumenError, match="must lie behind a headboard"):
            strip_choices(shelf, strip.id)


def test_it_stops_when_told() -> None:
    """Once told to go no further, what was studied until then is returned."""
    found = strip_choices(PAIR, "glow strip", go_on=lambda: False)
    assert len(found) == 1
    assert found[0].today
