"""Every reference that a model declares is checked, followed and let go; no other code knows it."""

from __future__ import annotations

import typing
from collections.abc import Iterator
from typing import Annotated, Any

import pytest
from pydantic import StringConstraints
from pydantic.fields import FieldInfo

from lumen.errors import ScenarioError
from lumen.scenario.base import Id, Part, Point3
from lumen.scenario.document import Scenario, dump, parse, plain
from lumen.scenario.edits import SECTIONS, apply
from lumen.scenario.files import examples, load
from lumen.scenario.places import POINT, TURN
from lumen.scenario.references import Ref, hanging_on, mentions_of_plan, ref_of, sections_of

PLANS = {file.stem: load(file) for file in examples()}
PAIR = PLANS["plain-pair"]


def _full() -> Scenario:
    """A plan with the references in it that no room of the examples happens to have."""
    data = plain(PAIR)
    data["lights"][0] |= {"wall": 2, "aim": {"at": "page:left"}}
    data["people"][0]["bed"] = "mattress"
    data["setups"][0]["reading"] = ["left"]
    data["room"] |= {"bed_wall": 2, "finishes": {"wall_by_wall": {"1": {"lrv": 40}}}}
    data["furniture"] += [
        {"id": "shelf", "kind": "shelf", "at_m": [0.4, 1.0, 1.0], "size_m": [0.3, 0.3, 0.3]}
    ]
    data["supply"] += [
        {"id": "long cord", "kind": "extension", "fed_from": "right outlet", "inside": "shelf"},
        {"id": "cube", "kind": "adapter", "fed_from": "long cord", "inside": "left nightstand"},
        {"id": "fan", "kind": "appliance", "fed_from": "cube", "power_w": 20, "inside": "shelf"},
    ]
    return parse(data)


PLANS["full"] = _full()
FREE_TEXT = {"name", "title", "note", "source", "like", "material", "identity", "format", "lm63"}
TAGS = {"kind", "form", "side", "shape"}


def _do(plan: Scenario, name: str, id: str, **args: Any) -> Scenario:  # noqa: A002
    return apply(plan, {"name": name, "id": id, "args": args})


def _spelled(value: Any, field: str = "") -> Iterator[str]:
    """Every text of a written plan that may name something: no free text, no closed list."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield key
            if key not in FREE_TEXT | TAGS:
                yield from _spelled(each, key)
    elif isinstance(value, list):
        for each in value:
            yield from _spelled(each, field)
    elif isinstance(value, str):
        yield from (value, *value.split(":")[1:2])


def _things() -> list[tuple[str, str, str]]:
    found = []
    for stem, plan in PLANS.items():
        for key, section in sections_of(Scenario).items():
            found += [(stem, key, item.id) for item in section.items(plan)]
    return found


def _alone(plan: Scenario, name: str) -> bool:
    """Whether a text means one thing only: no two sections use it, and no word of a closed list."""
    written = list(_spelled(plain(plan)))
    ids = [i.id for section in sections_of(Scenario).values() for i in section.items(plan)]
    words = {
        "left",
        "right",
        "up",
        "down",
        "mattress",
        "floor",
        "wall",
        "headboard",
        "none",
        "winter",
    }
    return ids.count(name) == 1 and name in written and name not in words


@pytest.mark.parametrize("stem", PLANS)
def test_a_rename_leaves_no_old_name(stem: str) -> None:
    """Wherever a thing of a plan is named, it is named anew: told by the text of the file."""
    plan, tried = PLANS[stem], 0
    for _, section, name in (one for one in _things() if one[0] == stem):
        after = _do(plan, "rename", name, to="another name 7", section=section)
        there = hanging_on(plan, section, name)
        assert len(hanging_on(after, section, "another name 7")) == len(there), name
        if _alone(plan, name):
            assert name not in set(_spelled(plain(after))), (section, name)
            tried += 1
        back = _do(after, "rename", "another name 7", to=name, section=section)
        assert dump(back) == dump(plan), (section, name)
    assert tried >= 10


def _tried(plan: Scenario, name: str, section: str) -> tuple[Scenario | None, str]:
    try:
        return _do(plan, "remove", name, section=section), ""
    except ScenarioError as error:
        return None, str(error)


@pytest.mark.parametrize("stem", PLANS)
def test_a_removal_leaves_nothing_dangling(stem: str) -> None:
    """What is removed is named nowhere any more, or the refusal says who needs it."""
    plan, done = PLANS[stem], 0
    for _, section, name in (one for one in _things() if one[0] == stem):
        after, refused = _tried(plan, name, section)
        if after is None:
            assert any(one.item.id in refused for one in hanging_on(plan, section, name)), refused
            continue
        done += 1
        assert not hanging_on(after, section, name)
        if _alone(plan, name):
            assert name not in set(_spelled(plain(after))), (section, name)
    assert done >= 10


def test_a_mirror_s_face_is_followed_too() -> None:
    """A wish for the face before a mirror goes by the mirror's id, like a page by its person's."""
    glass = {"id": "glass", "kind": "mirror", "wall": 0, "from_m": 2.4, "to_m": 2.9, "sill_m": 1}
    wish = {"id": "face", "of": "mirror:glass", "at_least": 200}
    plan = apply(PAIR, {"name": "add", "args": {"section": "openings", "item": glass}})
    plan = apply(plan, {"name": "add", "args": {"section": "aims", "item": wish}})
    assert _do(plan, "rename", "glass", to="tall glass").aims[-1].of == "mirror:tall glass"
    assert all(aim.id != "face" for aim in _do(plan, "remove", "glass").aims)


def test_walls_are_counted_again() -> None:
    """With a corner that goes, what is on the walls behind it stays on its wall."""
    outline = [[0, 0], [3.6, 0], [3.6, 2], [3.6, 3.2], [0, 3.2]]
    data = plain(PAIR)
    walls = {"1": {"lrv": 11}, "2": {"lrv": 22}, "3": {"lrv": 33}, "4": {"lrv": 44}}
    data["room"] |= {"outline_m": outline, "bed_wall": 3, "finishes": {"wall_by_wall": walls}}
    data["room"]["openings"] = [
        {"id": "door", "kind": "door", "wall": 4, "from_m": 0.5, "to_m": 1.3}
    ]
    for node in data["supply"]:
        if node.get("wall") == 2:
            node["wall"] = 3
    plan = parse(data)
    after = _do(plan, "set", "room", field="outline_m.2", value=None)
    assert len(after.room.outline_m) == 4
    assert after.room.bed_wall == 2
    assert after.room.openings[0].wall == 3
    lrv = {wall: finish.lrv for wall, finish in after.room.finishes.wall_by_wall.items()}
    assert lrv == {"1": 11, "2": 33, "3": 44}
    outlets = [node for node in after.supply if node.kind == "outlet" and node.wall is not None]
    assert {outlet.wall for outlet in outlets} == {2}


def test_an_outlet_s_wall_is_checked() -> None:
    """Every number of a wall is held against the walls that there are."""
    with pytest.raises(ScenarioError, match=r"supply\[1\].wall must be a wall, 0 to 3"):
        _do(PAIR, "set", "bed outlet", field="wall", value=9)


class Picture(Part):
    """A made-up part: a picture that hangs over a piece of furniture, seen by some people."""

    id: Id
    over: Annotated[Id, Ref(("furniture",), "furniture", gone="item goes")]
    like_it: Annotated[tuple[Id, ...], Ref(("people",), "people", copied=True)] = ()
    at_m: Annotated[Point3, POINT] = (0.0, 0.0, 0.0)
    turn_deg: Annotated[float, TURN] = 0.0
    beside: Annotated[Id | None, Ref(("pictures",), "a picture", gone="passes on")] = None


class Hung(Scenario):
    """The document with pictures in it."""

    pictures: tuple[Picture, ...] = ()


def test_a_model_that_is_new_needs_no_other_code() -> None:
    """A part that nobody knew is checked, renamed, removed, copied and asked about all the same."""
    pictures: list[dict[str, Any]] = [
        {"id": "sea", "over": "headboard", "like_it": ["left"]},
        {"id": "hill", "over": "left nightstand", "beside": "sea", "like_it": ["left", "right"]},
    ]
    plan = parse(plain(PAIR) | {"pictures": pictures}, Hung)
    assert isinstance(plan, Hung)
    with pytest.raises(ScenarioError, match=r"pictures\[0\].over must name furniture"):
        parse(plain(PAIR) | {"pictures": [{"id": "sea", "over": "moon"}]}, Hung)
    with pytest.raises(ScenarioError, match=r"pictures\[0\].beside must not lead back to itself"):
        parse(plain(PAIR) | {"pictures": [pictures[0] | {"beside": "sea"}]}, Hung)
    with pytest.raises(ScenarioError, match=r"pictures\[1\].id must differ from every other id"):
        parse(plain(PAIR) | {"pictures": [pictures[0], pictures[0]]}, Hung)

    def pictured(after: Scenario) -> list[dict[str, Any]]:
        return list(plain(after).get("pictures", []))

    assert [one.path for one in hanging_on(plan, "people", "left") if "pict" in one.path] == [
        "pictures[0].like_it",
        "pictures[1].like_it",
    ]
    renamed = pictured(_do(plan, "rename", "headboard", to="board"))
    assert [one["over"] for one in renamed] == ["board", "left nightstand"]
    assert pictured(_do(plan, "rename", "sea", to="lake"))[1]["beside"] == "lake"
    gone = pictured(_do(plan, "remove", "headboard"))
    assert gone == [{"id": "hill", "over": "left nightstand", "like_it": ["left", "right"]}]
    assert pictured(_do(plan, "remove", "left", section="people"))[1]["like_it"] == ["right"]
    copied = pictured(_do(plan, "duplicate", "right", **{"as": "guest"}, section="people"))
    assert copied[1]["like_it"] == ["left", "right", "guest"]


def test_a_place_that_is_new_needs_no_other_code() -> None:
    """A part that nobody knew is moved, copied beside itself and seen in the mirror."""
    picture = {"id": "left sea", "over": "headboard", "at_m": [1.0, 2.9, 1.6], "turn_deg": 10}
    plan = parse(plain(PAIR) | {"pictures": [picture]}, Hung)

    def places(after: Scenario) -> list[list[float]]:
        return [one["at_m"] for one in plain(after)["pictures"]]

    assert places(_do(plan, "move", "left sea", to_m=[1.2, 2.9, 1.5])) == [[1.2, 2.9, 1.5]]
    assert places(_do(plan, "move", "left sea", by_m=[0.1, 0, 0])) == [[1.1, 2.9, 1.6]]
    copied = places(_do(plan, "duplicate", "left sea", by_m=[0.5, 0, 0]))
    assert copied == [[1.0, 2.9, 1.6], [1.5, 2.9, 1.6]]
    twin = plain(_do(plan, "mirror", "left sea"))["pictures"][1]
    assert (twin["id"], twin["at_m"], twin["turn_deg"]) == ("right sea", [2.6, 2.9, 1.6], -10)
    with pytest.raises(ScenarioError, match="is for strips only"):
        _do(plan, "move", "left sea", to_m=[1, 2, 1], corner=0)


def test_every_declared_reference_is_tried() -> None:
    """The plans above hold each reference of each model at least once, so none goes untried."""
    tried = {
        (type(one.owner).__name__, one.field)
        for plan in PLANS.values()
        for one in mentions_of_plan(Scenario, plan)
    }
    declared = {
        (model.__name__, name)
        for model in _models()
        for name in model.model_fields
        if ref_of(model, name) is not None
    }
    assert declared == tried
    assert len(declared) >= 22


def _of_id(annotation: Any, metadata: Any = ()) -> bool:
    """Whether a type is an id, or a list, table or choice of such."""
    args = typing.get_args(annotation)
    spelled = [one for one in (*metadata, *args) if isinstance(one, FieldInfo | StringConstraints)]
    if any(getattr(one, "pattern", None) == Id.__metadata__[0].pattern for one in spelled):
        return True
    return any(_of_id(one) for one in args)


def test_every_field_that_names_something_says_what() -> None:
    """A field of an id's type, but for a thing's own id, is a declared reference."""
    models = _models()
    for model in models:
        for name, info in model.model_fields.items():
            if name != "id" and _of_id(info.annotation, info.metadata):
                assert ref_of(model, name) is not None, (model.__name__, name)
    assert len(models) > 25
    assert set(SECTIONS) == set(sections_of(Scenario))


def _models() -> set[type[Part]]:
    """The document's model and all that it is made of."""
    seen: set[type[Part]] = set()
    todo: list[Any] = [Scenario]
    while todo:
        one = todo.pop()
        if isinstance(one, type) and issubclass(one, Part):
            if one not in seen:
                seen.add(one)
                todo += [info.annotation for info in one.model_fields.values()]
        else:
            todo += typing.get_args(one)
    return seen
