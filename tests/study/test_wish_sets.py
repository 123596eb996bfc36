"""Ready sets of wishes: who they are for, what they ask by country, and that they can be taken."""

from __future__ import annotations

import pytest

import lumen
from lumen.errors import LumenError
from lumen.scenario.document import Scenario, dump
from lumen.scenario.edits import apply
from lumen.scenario.files import load, loads
from lumen.study.wishes.sets import WishSet, wish_sets, with_set

ROOMS = {path.stem: load(path) for path in lumen.examples()}
PAIR = ROOMS["plain-pair"]


def taken(plan: Scenario, one: WishSet) -> Scenario:
    """The plan after the presses of a set, written and read again."""
    for command in one.commands:
        plan = apply(plan, command)
    return loads(dump(plan))


@pytest.mark.parametrize("room", sorted(ROOMS))
@pytest.mark.parametrize("bare", [False, True])
def test_every_set_can_be_taken_once(room: str, bare: bool) -> None:
    """In each room, with and without wishes: taken, its wishes stand; taken again, nothing more."""
    plan = ROOMS[room].model_copy(update={"aims": ()}) if bare else ROOMS[room]
    for one in wish_sets(plan):
        after = taken(plan, one)
        for aim in one.aims:
            assert any(
                (have.of, have.measure, have.at_least, have.at_most)
                == (aim.of, aim.measure, aim.at_least, aim.at_most)
                and (not have.setups or set(aim.setups) <= set(have.setups))
                for have in after.aims
            )
        again = next(other for other in wish_sets(after) if other.key == one.key)
        assert taken(after, again).aims == after.aims
        assert all(aim.source for aim in one.aims)


@pytest.mark.parametrize(("region", "least"), [("US", 300.0), ("UK", 300.0), ("JP", 300.0)])
def test_pages_follow_the_country(region: str, least: float) -> None:
    """IES category D 200-300-500 lx, LG2 300 lx, JIS Z 9110 from 300 lx: as the table quotes."""
    plan = PAIR.model_copy(update={"region": region})
    page = next(aim for one in wish_sets(plan) for aim in one.aims if aim.of == "page:left")
    assert page.at_least == least


def test_older_eyes_want_twice_as_much() -> None:
    """Over 65 twice the value of 25 to 65 (IES RP-11 by the table), the source named."""
    sets = {one.key: one for one in wish_sets(PAIR)}
    (usual, older) = (
        next(a for a in sets[key].aims if a.of == "page:left")
        for key in ("beside:left", "older:left")
    )
    assert usual.at_least is not None
    assert older.at_least == 2.0 * usual.at_least
    assert "times 2 over 65 years" in (older.source or "")


def test_an_infant_sleeps_in_the_room() -> None:
    """With a cot: at most 1 melanopic lux at the child's eyes, a way to the door that is seen."""
    one = next(s for s in wish_sets(ROOMS["parents-with-cot"]) if s.key == "infant:infant")
    assert one.title == "Infant sleeps in the room"
    eyes = next(aim for aim in one.aims if aim.of == "eye:infant")
    assert (eyes.measure, eyes.at_most) == ("melanopic_edi_lx", 1.0)
    assert any(aim.of.startswith("path:") for aim in one.aims)
    assert not any(s.key.startswith("infant") for s in wish_sets(PAIR))


def test_getting_dressed_asks_for_a_face_at_the_mirror() -> None:
    """Where a mirror hangs its face is wished for; without one, the room alone."""
    nook = next(s for s in wish_sets(ROOMS["l-room-dressing-nook"]) if s.key == "dressing")
    assert any(aim.of.startswith("mirror:") for aim in nook.aims)
    pair = next(s for s in wish_sets(PAIR) if s.key == "dressing")
    assert [aim.of for aim in pair.aims] == ["floor"]


def test_a_set_is_taken_by_its_name() -> None:
    """By key or title; another name is refused with those that there are."""
    bare = PAIR.model_copy(update={"aims": ()})
    assert with_set(bare, "beside:left").aims == with_set(bare, "Left reads beside a sleeper").aims
    assert {aim.of for aim in with_set(bare, "beside:left").aims} == {"page:left", "eye:right"}
    with pytest.raises(LumenError, match=r"Left reads beside a sleeper \(beside:left\)"):
        with_set(bare, "nothing")
