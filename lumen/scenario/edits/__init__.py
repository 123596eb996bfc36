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

from collections.abc import Callable, Mapping
from typing import Any

from lumen.scenario.carry import carried, kept_off_the_wall
from lumen.scenario.document import Scenario, parse, plain
from lumen.scenario.edits.command import SECTIONS, Plan, names_of, near, refusal
from lumen.scenario.edits.listing import add, duplicate, order, remove, rename
from lumen.scenario.edits.placing import mirror, move
from lumen.scenario.edits.writing import level, plug, run, set_field

__all__ = ["COMMANDS", "SECTIONS", "apply"]

_CARRY = ("move", "set", "mirror")


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
        raise refusal("command", "must be an object with a name", command)
    for key in command:
        if key not in ("name", "id", "ids", "args", "stamp"):
            raise refusal(f"command.{key}", "is not part of a command", command[key])
    name = command.get("name")
    if not isinstance(name, str) or name not in COMMANDS:
        raise refusal("command.name", f"must be one of {near(name, COMMANDS)}", name)
    edit, known, counts = COMMANDS[name]
    args = command.get("args", {})
    if not isinstance(args, Mapping):
        raise refusal("command.args", "must be an object", args)
    for key in args:
        if key not in known:
            rule = f"is not known to {name}; known are {', '.join(known) or 'none'}"
            raise refusal(f"command.args.{key}", rule, args[key])
    names = names_of(command)
    if counts == "one" and len(names) != 1:
        raise refusal("command.id", f"must be one id for {name}", names)
    if counts == "any" and not names:
        raise refusal("command.id", f"must be given for {name}", None)
    if counts == "none" and names:
        raise refusal("command.id", f"must not be given for {name}", names)
    plan = plain(scenario)
    edit(scenario, plan, names, args)
    after = parse(plan, type(scenario))
    if name == "set":
        after = kept_off_the_wall(scenario, after)
    return carried(scenario, after, names) if name in _CARRY else after


def _replace(scenario: Scenario, plan: Plan, names: list[str], args: Mapping[str, Any]) -> None:
    document = args.get("plan")
    if not isinstance(document, Mapping):
        raise refusal("plan", "must be a JSON object", document)
    plan.clear()
    plan.update(document)


Edit = Callable[[Scenario, Plan, list[str], Mapping[str, Any]], None]
COMMANDS: dict[str, tuple[Edit, tuple[str, ...], str]] = {
    "move": (move, ("to_m", "by_m", "corner"), "any"),
    "set": (set_field, ("field", "value", "section"), "one"),
    "add": (add, ("section", "item"), "none"),
    "remove": (remove, ("section",), "any"),
    "duplicate": (duplicate, ("by_m", "as", "section"), "one"),
    "mirror": (mirror, (), "any"),
    "rename": (rename, ("to", "section"), "one"),
    "plug": (plug, ("into",), "any"),
    "order": (order, ("to", "section"), "one"),
    "level": (level, ("setup", "of", "value"), "none"),
    "run": (run, ("setup", "of", "value"), "none"),
    "replace": (_replace, ("plan",), "none"),
}
"""Name to edit, known args, and how many ids it takes."""
