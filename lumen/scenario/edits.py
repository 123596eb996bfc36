"""One command for every gesture, key and form field: a plan and a command give a new plan.

A command is a plain mapping, so that a page, a script and a test all speak it::

    {"name": "move", "id": "left light", "args": {"to_m": [0.90, 3.0, 1.25]}}

=========  ==========  ==================================================================
name       id or ids   args
=========  ==========  ==================================================================
move       one         to_m [x, y, z]; a strip: corner (number of the path's point) and to_m
move       any         by_m [dx, dy, dz]
set        one         field (dotted path), value (null: back to the default)
add        --          section, item
remove     any         --
duplicate  one         by_m, as (the new id); both may be left out
mirror     any         --  (about the bed's centre line; moves the twin if there is one)
rename     one         to
plug       any         into (a supply node; null pulls the plug of a light or strip)
order      one         to (its new place in its list, the first is 0)
level      --          setup, of (a light or strip), value 0 to 1
run        --          setup, of (an appliance), value (whether it runs then)
replace    --          plan (a whole document)
=========  ==========  ==================================================================

``set`` also takes the id ``plan`` for top-level fields and ``room`` for those of the room.
What is fixed to furniture that is moved, turned, leaned or sized goes along (see :mod:`carry`).
A setup or aim that shares its id with something else is told apart by ``args.section``.
The copy of a setup has the wishes of its original and no hours, which would be counted twice; a
wish whose figure is set loses its ``source``, which gave another one.
``stamp`` beside ``name`` is free for the caller and is not read.
"""

from __future__ import annotations

import copy
import difflib
import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from typing import Any

from lumen.errors import Fault, ScenarioError
from lumen.scenario.aims import AimFor
from lumen.scenario.base import Part
from lumen.scenario.carry import carried, kept_off_the_wall
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.mirror import GEOMETRY, mirrored, swap_sides

__all__ = ["COMMANDS", "SECTIONS", "apply"]

Plan = dict[str, Any]
Item = dict[str, Any]
Spot = tuple[str, int]

_THINGS = ("furniture", "people", "lights", "strips", "supply")  # their ids are one name space
SECTIONS = (*_THINGS, "setups", "aims", "openings", "slopes")
_PLACE = {"furniture": "at_m", "lights": "mount_m", "supply": "at_m"}
_CARRY = ("move", "set", "mirror")
_FIGURES = ("of", "measure", "at_least", "at_most")  # what the source of a wish speaks of
_OFFSET_M = (0.2, 0.0, 0.0)  # a copy lies beside its original, where it can be seen


def apply(scenario: Scenario, command: Mapping[str, Any]) -> Scenario:
    """Return the plan after one command; the plan given is never changed.

    Parameters
    ----------
    scenario
        The plan as it stands.
    command
        Name, id or ids, and args, as in the module's table.

    Raises
    ------
    ScenarioError
        When the command is not understood or the plan it leads to breaks a rule; each fault names
        the field of the command (``command.args.to_m``) or of the plan (``lights[0].mount_m``).

    Examples
    --------
    >>> from lumen.scenario.document import parse
    >>> plan = parse({"format": "lumen-plan/1", "title": "x",
    ...     "room": {"outline_m": [[0, 0], [3, 0], [3, 3], [0, 3]], "height_m": 2.4}})
    >>> apply(plan, {"name": "set", "id": "room", "args": {"field": "height_m", "value": 2.5}}
    ...     ).room.height_m
    2.5
    """
    if not isinstance(command, Mapping):
        raise _refusal("command", "must be an object with a name", command)
    for key in command:
        if key not in ("name", "id", "ids", "args", "stamp"):
            raise _refusal(f"command.{key}", "is not part of a command", command[key])
    name = command.get("name")
    if not isinstance(name, str) or name not in COMMANDS:
        raise _refusal("command.name", f"must be one of {_near(name, COMMANDS)}", name)
    edit, known, counts = COMMANDS[name]
    args = command.get("args", {})
    if not isinstance(args, Mapping):
        raise _refusal("command.args", "must be an object", args)
    for key in args:
        if key not in known:
            rule = f"is not known to {name}; known are {', '.join(known) or 'none'}"
            raise _refusal(f"command.args.{key}", rule, args[key])
    names = _names(command)
    if counts == "one" and len(names) != 1:
        raise _refusal("command.id", f"must be one id for {name}", names)
    if counts == "any" and not names:
        raise _refusal("command.id", f"must be given for {name}", None)
    if counts == "none" and names:
        raise _refusal("command.id", f"must not be given for {name}", names)
    after = edit(scenario, plain(scenario), names, args)
    if name == "set":
        after = kept_off_the_wall(scenario, after)
    return carried(scenario, after, names) if name in _CARRY else after


def _move(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    if ("to_m" in args) == ("by_m" in args):
        raise _refusal("command.args", "must hold either to_m or by_m", dict(args))
    if "by_m" in args:
        by = _vector(args, "by_m")
        if "corner" in args:
            raise _refusal("command.args.corner", "goes with to_m", args["corner"])
        for name in names:
            section, number = _find(plan, name, args, _THINGS)
            _shift(_items(plan, section)[number], section, by)
        return parse(plan)
    if len(names) != 1:
        raise _refusal("command.id", "must be one id for a move with to_m", names)
    to = _vector(args, "to_m")
    section, number = _find(plan, names[0], args, _THINGS)
    item = _items(plan, section)[number]
    if section == "strips":
        item["path_m"][_corner(args, len(item["path_m"]))] = to
    elif "corner" in args:
        raise _refusal("command.args.corner", "is for strips only", args["corner"])
    elif section in _PLACE and _has_place(item, section):
        item[_PLACE[section]] = to
    else:
        raise _refusal("command.id", "must name something that has a place", names[0])
    return parse(plan)


def _shift(item: Item, section: str, by: Sequence[float]) -> None:
    def moved(point: Sequence[float]) -> list[float]:
        return [round(a + b, 6) for a, b in zip(point, by, strict=True)]

    if section == "strips":
        item["path_m"] = [moved(point) for point in item["path_m"]]
    elif section in _PLACE and _PLACE[section] in item:
        item[_PLACE[section]] = moved(item[_PLACE[section]])
    else:
        raise _refusal("command.id", "must name something that has a place", item["id"])


def _has_place(item: Item, section: str) -> bool:
    return section != "supply" or item["kind"] != "circuit"


def _corner(args: Mapping[str, Any], count: int) -> int:
    corner = args.get("corner")
    if not isinstance(corner, int) or isinstance(corner, bool) or not 0 <= corner < count:
        rule = f"must be a point of the strip's path, 0 to {count - 1} (or use by_m)"
        raise _refusal("command.args.corner", rule, corner)
    return corner


def _set(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    field = args.get("field")
    if not isinstance(field, str) or not field:
        raise _refusal("command.args.field", "must be a dotted path", field)
    if "value" not in args:
        raise _refusal("command.args.value", "must be given (null: back to the default)", None)
    steps = field.split(".")
    at: Any
    part: Any
    if names[0] == "plan":
        at, part = plan, scenario
    elif names[0] == "room":
        at, part = plan["room"], scenario.room
    else:
        section, number = _find(plan, names[0], args)
        at = _items(plan, section)[number]
        part = _parts(scenario, section)[number]
        if steps == ["id"]:
            raise _refusal("command.args.field", "must not be id: use rename", field)
    for step in steps[:-1]:
        at, part = _step_into(at, part, step, field, remove=args["value"] is None)
        if at is None:
            return scenario  # nothing written there: it is at its default already
    if args["value"] is None and isinstance(at, dict) and steps[-1] not in at:
        _must_know(part, steps[-1], field)
    figure = isinstance(part, AimFor) and field in _FIGURES and at.get(field) != args["value"]
    _put(at, steps[-1], args["value"], field)
    if figure:
        at.pop("source", None)
    return parse(plan)


def _step_into(at: Any, part: Any, step: str, field: str, *, remove: bool) -> tuple[Any, Any]:
    """Go one step down the written values, writing out a default that is about to be changed."""
    if isinstance(at, list):
        number = _number_of(step, at, field)
        return at[number], part[number] if isinstance(part, tuple) else None
    if not isinstance(at, dict):
        raise _refusal("command.args.field", f"has nothing below {step}", field)
    inner = part.get(step) if isinstance(part, Mapping) else getattr(part, step, None)
    if at.get(step) is None:
        if remove:
            _must_know(part, step, field)
            return None, None
        at[step] = plain(inner) if isinstance(inner, Part) else {}
    return at[step], inner


def _must_know(part: Any, step: str, field: str) -> None:
    if isinstance(part, Part) and step not in type(part).model_fields:
        known = _near(step, type(part).model_fields)
        raise _refusal("command.args.field", f"must be one of {known}", field)


def _put(at: Any, step: str, value: Any, field: str) -> None:
    if isinstance(at, list):
        number = _number_of(step, at, field)
        if value is None:
            del at[number]
        else:
            at[number] = value
    elif not isinstance(at, dict):
        raise _refusal("command.args.field", f"has nothing below it called {step}", field)
    elif value is None:
        at.pop(step, None)
    else:
        at[step] = copy.deepcopy(value)


def _number_of(step: str, at: list[Any], field: str) -> int:
    if not (step.isdecimal() and int(step) < len(at)):
        rule = f"must have a number from 0 to {len(at) - 1} in place of {step!r}"
        raise _refusal("command.args.field", rule, field)
    return int(step)


def _add(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    section = _section(args)
    if section is None:
        raise _refusal("command.args.section", f"must be one of {', '.join(SECTIONS)}", None)
    item = args.get("item")
    if not isinstance(item, Mapping):
        raise _refusal("command.args.item", "must be an object", item)
    _items(plan, section).append(copy.deepcopy(dict(item)))
    return parse(plan)


def _remove(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    gone = {name: _find(plan, name, args)[0] for name in names}
    parents = {node["id"]: node.get("fed_from") for node in plan.get("supply", [])}
    kinds = {node["id"]: node["kind"] for node in plan.get("supply", [])}
    for name, section in gone.items():
        kept = [item for item in _items(plan, section) if item["id"] != name]
        _write_items(plan, section, kept)
    things = {name for name, section in gone.items() if section in _THINGS}
    for section in ("lights", "strips", "supply"):
        for item in plan.get(section, []):
            if item.get("inside") in things:
                del item["inside"]
            if item.get("fed_from") in things:
                _feed_again(item, section, parents, kinds, things)
    for sleeper in plan.get("people", []):
        if sleeper.get("bed") in things and sleeper["id"] not in things:
            rule = f"is the bed of {sleeper['id']}: give that person another one first"
            raise _refusal("command.id", rule, sleeper["bed"])
    for light in plan.get("lights", []):
        _, _, person = light.get("aim", {}).get("at", "").partition(":")
        if person.partition(":")[0] in things:
            del light["aim"]["at"]
    for setup in plan.get("setups", []):
        if "levels" in setup:
            setup["levels"] = {k: v for k, v in setup["levels"].items() if k not in things}
        if "running" in setup:
            setup["running"] = [name for name in setup["running"] if name not in things]
        if setup.get("reading"):
            setup["reading"] = [name for name in setup["reading"] if name not in things]
    if "aims" in plan:
        setups = {name for name, section in gone.items() if section == "setups"}
        plan["aims"] = list(_aims_left(plan["aims"], things, setups))
    return parse(plan)


def _feed_again(
    item: Item,
    section: str,
    parents: Mapping[str, str | None],
    kinds: Mapping[str, str],
    gone: set[str],
) -> None:
    """Plug what hung on a removed node into the node before it, where a plug fits there."""
    feeder: str | None = item["fed_from"]
    while feeder in gone:
        feeder = parents[feeder]
    kind = kinds.get(feeder or "")
    fits = kind == "driver" if section == "strips" else kind not in (None, "circuit")
    if section != "supply" and not fits:
        del item["fed_from"]
    elif section == "supply" and (kind is None or (kind == "circuit" and item["kind"] != "outlet")):
        raise _refusal(
            "command.id", f"still feeds {item['id']}: plug that in elsewhere first", gone
        )
    else:
        item["fed_from"] = feeder


def _aims_left(aims: list[Item], things: set[str], setups: set[str]) -> Iterator[Item]:
    for aim in aims:
        _, _, person = aim["of"].partition(":")
        if person.partition(":")[0] in things:
            continue
        if "setups" in aim:
            left = [name for name in aim["setups"] if name not in setups]
            if not left and aim["setups"]:
                continue  # no setup named would mean every setup
            aim = {**aim, "setups": left}
        yield aim


def _duplicate(
    scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]
) -> Scenario:
    section, number = _find(plan, names[0], args)
    items = _items(plan, section)
    twin = copy.deepcopy(items[number])
    twin["id"] = _new_name(plan, section, names[0]) if args.get("as") is None else args["as"]
    by = _vector(args, "by_m") if "by_m" in args else list(_OFFSET_M)
    if section == "strips" or _PLACE.get(section, "") in twin:
        _shift(twin, section, by)
    elif "by_m" in args:
        raise _refusal("command.args.by_m", "is for something that has a place", by)
    items.insert(number + 1, twin)
    if section == "setups":
        _share_wishes(plan, items, names[0], twin)
    else:
        for setup in plan.get("setups", []):
            _share_setup(setup, names[0], twin["id"])
    return parse(plan)


def _share_wishes(plan: Plan, setups: list[Item], original: str, twin: Item) -> None:
    twin.pop("hours_per_day", None)
    twin.pop("from_h", None)
    if "name" in twin:
        twin["name"] = _numbered(twin["name"], {setup.get("name") for setup in setups})
    for aim in plan.get("aims", []):
        if original in aim.get("setups", []):
            aim["setups"].append(twin["id"])


def _order(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    section, number = _find(plan, names[0], args)
    items, to = _items(plan, section), args.get("to")
    if not isinstance(to, int) or isinstance(to, bool) or not 0 <= to < len(items):
        raise _refusal("command.args.to", f"must be a place from 0 to {len(items) - 1}", to)
    items.insert(to, items.pop(number))
    return parse(plan)


def _share_setup(setup: Item, original: str, twin: str) -> None:
    if original in setup.get("levels", {}):
        setup["levels"][twin] = setup["levels"][original]
    if original in setup.get("running", []):
        setup["running"].append(twin)


def _new_name(plan: Plan, section: str, name: str) -> str:
    return _numbered(name, _taken(plan, section))


def _numbered(name: str, taken: Collection[str | None]) -> str:
    """Return a name that is not taken: the same one with the next number, as long as an id may be.

    >>> _numbered("night 2", {"night", "night 2"}), len(_numbered("x" * 60, ()))
    ('night 3', 60)
    """
    stem = re.sub(r" \d+$", "", name)
    counted = (f"{stem[: 59 - len(str(n))].rstrip()} {n}" for n in range(2, 10_000))
    return next(new for new in counted if new not in taken)


def _taken(plan: Plan, section: str) -> set[str]:
    sections = _THINGS if section in _THINGS else (section,)
    return {item["id"] for one in sections for item in _items(plan, one)}


def _mirror(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    for name in names:
        section, number = _find(plan, name, args, tuple(GEOMETRY))
        items = _items(plan, section)
        shape, pose = mirrored(scenario, items[number]), GEOMETRY[section]
        other = swap_sides(name)
        twin = next((item for item in items if item["id"] == other and other != name), None)
        if twin is not None:
            for key in pose:
                twin.pop(key, None)
            twin.update({key: shape[key] for key in pose if key in shape})
            continue
        if all(shape.get(key) == items[number].get(key) for key in pose):
            raise _refusal("command.id", "must lie off the bed's centre line", name)
        free = other not in _taken(plan, section)
        shape["id"] = other if free else _new_name(plan, section, name)
        items.insert(number + 1, shape)
        setups = {setup["id"]: setup for setup in plan.get("setups", [])}
        for setup_id, setup in setups.items():
            if name in setup.get("levels", {}):
                target = setups.get(swap_sides(setup_id), setup)
                target.setdefault("levels", {})[shape["id"]] = setup["levels"][name]
    return parse(plan)


def _rename(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    old, to = names[0], args.get("to")
    if not isinstance(to, str):
        raise _refusal("command.args.to", "must be a name", to)
    section, number = _find(plan, old, args)
    if to != old and to in _taken(plan, section):
        raise _refusal("command.args.to", "must differ from every other id", to)
    _items(plan, section)[number]["id"] = to
    if section in _THINGS:
        for holder in ("people", "lights", "strips", "supply"):
            for item in plan.get(holder, []):
                for key in ("fed_from", "inside", "bed"):
                    if item.get(key) == old:
                        item[key] = to
        for setup in plan.get("setups", []):
            if "levels" in setup:
                setup["levels"] = {to if k == old else k: v for k, v in setup["levels"].items()}
            if "running" in setup:
                setup["running"] = [to if name == old else name for name in setup["running"]]
            if setup.get("reading"):
                setup["reading"] = [to if name == old else name for name in setup["reading"]]
    if section == "people":
        for aim in plan.get("aims", []):
            aim["of"] = _target_renamed(aim["of"], old, to)
        for light in plan.get("lights", []):
            if "at" in light.get("aim", {}):
                light["aim"]["at"] = _target_renamed(light["aim"]["at"], old, to)
    if section == "setups":
        for aim in plan.get("aims", []):
            aim["setups"] = [to if name == old else name for name in aim.get("setups", [])]
    return parse(plan)


def _target_renamed(target: str, old: str, to: str) -> str:
    head, *rest = target.split(":")
    return ":".join(
        [head, *(to if n == 0 and name == old else name for n, name in enumerate(rest))]
    )


def _plug(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    if "into" not in args:
        raise _refusal("command.args.into", "must be given", None)
    for name in names:
        section, number = _find(plan, name, args, _THINGS)
        item = _items(plan, section)[number]
        if section not in ("lights", "strips", "supply") or item.get("kind") == "circuit":
            raise _refusal("command.id", "must name something with a plug or a feed", name)
        if args["into"] is None:
            item.pop("fed_from", None)
        else:
            item["fed_from"] = args["into"]
    return parse(plan)


def _level(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    setup = _setup_of(plan, args)
    draws = [item["id"] for section in ("lights", "strips") for item in _items(plan, section)]
    of, value = args.get("of"), args.get("value")
    if of not in draws:
        raise _refusal("command.args.of", f"must be one of {_near(of, draws)}", of)
    if not _is_number(value) or not 0 <= value <= 1:  # type: ignore[operator]
        raise _refusal("command.args.value", "must be a number from 0 to 1", value)
    levels = setup.setdefault("levels", {})
    levels[of] = value
    if value == 0:
        del levels[of]
    return parse(plan)


def _run(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    setup = _setup_of(plan, args)
    runs = [node["id"] for node in plan.get("supply", []) if node["kind"] == "appliance"]
    of, value = args.get("of"), args.get("value")
    if of not in runs:
        raise _refusal("command.args.of", f"must be one of {_near(of, runs)}", of)
    if not isinstance(value, bool):
        raise _refusal("command.args.value", "must be true or false", value)
    others = [name for name in setup.get("running", []) if name != of]
    setup["running"] = [name for name in runs if name in others or (value and name == of)]
    return parse(plan)


def _setup_of(plan: Plan, args: Mapping[str, Any]) -> Item:
    setups: list[Item] = plan.get("setups", [])
    found = next((setup for setup in setups if setup["id"] == args.get("setup")), None)
    if found is None:
        known = _near("", [setup["id"] for setup in setups])
        raise _refusal("command.args.setup", f"must be one of {known}", args.get("setup"))
    return found


def _replace(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> Scenario:
    return parse(args.get("plan"))


Edit = Callable[[Scenario, Plan, list[str], Mapping[str, Any]], Scenario]
COMMANDS: dict[str, tuple[Edit, tuple[str, ...], str]] = {
    "move": (_move, ("to_m", "by_m", "corner"), "any"),
    "set": (_set, ("field", "value", "section"), "one"),
    "add": (_add, ("section", "item"), "none"),
    "remove": (_remove, ("section",), "any"),
    "duplicate": (_duplicate, ("by_m", "as", "section"), "one"),
    "mirror": (_mirror, (), "any"),
    "rename": (_rename, ("to", "section"), "one"),
    "plug": (_plug, ("into",), "any"),
    "order": (_order, ("to", "section"), "one"),
    "level": (_level, ("setup", "of", "value"), "none"),
    "run": (_run, ("setup", "of", "value"), "none"),
    "replace": (_replace, ("plan",), "none"),
}
"""Name to edit, known args, and how many ids it takes."""


def _names(command: Mapping[str, Any]) -> list[str]:
    one, many = command.get("id"), command.get("ids")
    if one is not None and many is not None:
        raise _refusal("command.ids", "must not be given beside id", many)
    names = [one] if one is not None else list(many) if isinstance(many, list | tuple) else many
    if names is None:
        return []
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise _refusal("command.id", "must be a name, or ids a list of names", one or many)
    return list(dict.fromkeys(names))


def _section(args: Mapping[str, Any]) -> str | None:
    section = args.get("section")
    if section is not None and section not in SECTIONS:
        raise _refusal(
            "command.args.section", f"must be one of {_near(section, SECTIONS)}", section
        )
    return section


def _find(plan: Plan, name: str, args: Mapping[str, Any], among: Sequence[str] = SECTIONS) -> Spot:
    """Return section and number of the item with an id, or refuse with the nearest names."""
    section = _section(args)
    everything = [
        (one, number, item["id"])
        for one in ((section,) if section else among)
        for number, item in enumerate(_items(plan, one))
    ]
    spots = [(one, number) for one, number, item_id in everything if item_id == name]
    if len(spots) > 1:
        sections = ", ".join(one for one, _ in spots)
        rule = f"must say which {name!r} is meant ({sections})"
        raise _refusal("command.args.section", rule, None)
    if not spots:
        known = [item_id for _, _, item_id in everything]
        raise _refusal("command.id", f"must be one of {_near(name, known)}", name)
    return spots[0]


def _items(plan: Plan, section: str) -> list[Any]:
    holder = plan["room"] if section in ("openings", "slopes") else plan
    items: list[Any] = holder.setdefault(section, [])
    return items


def _write_items(plan: Plan, section: str, items: list[Any]) -> None:
    (plan["room"] if section in ("openings", "slopes") else plan)[section] = items


def _parts(scenario: Scenario, section: str) -> Sequence[Any]:
    holder: Any = scenario.room if section in ("openings", "slopes") else scenario
    parts: Sequence[Any] = getattr(holder, section)
    return parts


def _vector(args: Mapping[str, Any], key: str) -> list[float]:
    value = args.get(key)
    if not isinstance(value, list | tuple) or len(value) != 3 or not all(map(_is_number, value)):
        raise _refusal(f"command.args.{key}", "must be three numbers [x, y, z] in metres", value)
    return [round(float(part), 6) for part in value]


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _near(name: object, known: Sequence[str] | Mapping[str, Any]) -> str:
    """Return the known names, the nearest first; at most twelve."""
    names = list(known)
    best = difflib.get_close_matches(str(name), names, n=3, cutoff=0.5)
    listed = [*best, *(other for other in names if other not in best)]
    return ", ".join(listed[:12]) + (", ..." if len(listed) > 12 else "") if listed else "none yet"


def _refusal(field: str, rule: str, value: object) -> ScenarioError:
    return ScenarioError([Fault(field, rule, value)])
