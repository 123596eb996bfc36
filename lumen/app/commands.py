"""From what the page sends to a new document: typed text, measurements and things to place.

The page sends one command at a time. Most are those of :mod:`lumen.scenario.edits`; five more are
the page's own and are turned into these first:

=========  =====  =====================================================================
name       id     args
=========  =====  =====================================================================
type       one    field, text, system: a form field as typed; of a setup, section too
measure    --     what, text, system: one measurement of the start card
place      --     what, and where as the catalogue asks
several    --     commands: done together, as one step to undo
replace    --     begun: the answers of which a room of one's own is made; identity: its own
=========  =====  =====================================================================
"""

from __future__ import annotations

import json
import logging
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from lumen.app import catalogue, inspect, start, typed
from lumen.app.own_room import own_room
from lumen.errors import Fault, LumenError, ScenarioError
from lumen.scenario.document import Scenario, dump, identified, parse, plain
from lumen.scenario.edits import apply
from lumen.scenario.files import examples, load, loads
from lumen.study.cache import current
from lumen.study.lighting.fields import fields, packed
from lumen.study.study import Study, study

__all__ = [
    "BROKEN",
    "Found",
    "Outcome",
    "ahead",
    "carry_out",
    "document_of",
    "fields_json",
    "found",
    "packed_fields",
    "run",
    "study_text",
]

Json = dict[str, Any]


@dataclass(frozen=True)
class Outcome:
    """What a command led to: a new document, or none and the faults that say why."""

    document: Json | None
    answered: Json


def document_of(scenario: Scenario, revision: int = 1) -> Json:
    """Return the page's document of a plan."""
    return {"revision": revision, "plan": plain(scenario)}


BROKEN = (
    "Something went wrong in the program while doing this, so it was left out. "
    "Your plan is as it was before."
)
"""What is said when the program itself breaks; the log has the whole story."""


def run(document: Mapping[str, Any], command: Mapping[str, Any]) -> Outcome:
    """Carry a command out on the page's document; a refused one leaves it as it was.

    So does one that the program itself breaks on: whatever happens, the command is answered, since
    the page sends the next one only then.
    """
    stamp, revision = command.get("stamp"), int(document["revision"])
    try:
        return _run(document, command)
    except Exception:
        logging.getLogger("lumen").exception("the command %s failed", command.get("name"))
        broken = {"field": "", "rule": BROKEN, "text": BROKEN}
        return Outcome(None, {"stamp": stamp, "revision": revision, "faults": [broken]})


def _run(document: Mapping[str, Any], command: Mapping[str, Any]) -> Outcome:
    stamp, revision = command.get("stamp"), int(document["revision"])
    try:
        before = parse(document["plan"])
        after = carry_out(before, command)
    except ScenarioError as error:
        faults = [_as_typed(document["plan"], command, fault) for fault in error.faults]
        return Outcome(None, _refused(stamp, revision, faults))
    except LumenError as error:
        return Outcome(None, _refused(stamp, revision, [error.fault]))
    after = _own(before, after, command)
    if dump(after) == dump(before):
        return Outcome(None, {"stamp": stamp, "faults": [], "revision": revision})
    after = identified(after)
    answered: Json = {"stamp": stamp, "faults": [], "revision": revision + 1}
    if command.get("name") == "place":
        answered["made"] = _made(before, after)
    if command.get("name") in ("place", "duplicate") and (setup := _new_setup(before, after)):
        answered["setup"] = setup
    if gone := _gone_with(before, after, command):
        answered["said"] = gone
    return Outcome(document_of(after, revision + 1), answered)


def _as_typed(plan: Any, command: Mapping[str, Any], fault: Fault) -> Fault:
    """A fault of the field that was typed in, named as the form names it and not by its path."""
    args = command.get("args") or {}
    path = str(args.get("field", ""))
    if command.get("name") != "type" or not path or not fault.field.endswith(path):
        return fault
    system, section = str(args.get("system", "cm")), str(args.get("section") or "")
    shown = inspect.fields_of(parse(plan), str(command.get("id")), system, section)
    label = next((field.label for field in shown if field.path == path), None)
    # A file writes a range as [low, high]; a form takes it as typed, and says so at its head.
    rule = fault.rule.partition(", or a range [low")[0]
    return fault if label is None else Fault(label, rule, fault.value)


def _made(before: Scenario, after: Scenario) -> list[str]:
    """The thing that was placed, to be taken in the hand: a light or strip before its supply."""

    def things(plan: Scenario) -> list[str]:
        items = (*plan.sources, *plan.furniture, *plan.people, *plan.supply)
        return [item.id for item in items]

    known = set(things(before))
    new = [name for name in things(after) if name not in known]
    return new[:1]


@cache
def _notes_of_examples() -> frozenset[str | None]:
    return frozenset(load(path).note for path in examples()) - {None}


def _own(before: Scenario, after: Scenario, command: Mapping[str, Any]) -> Scenario:
    """Without the note of an example, once somebody makes it a room of their own.

    That is when its name is changed or its measurements are typed; an own note stays.
    """
    name = command.get("name")
    made_own = name == "measure" or (name != "replace" and after.title != before.title)
    if not made_own or after.note != before.note or after.note not in _notes_of_examples():
        return after
    return parse({key: value for key, value in plain(after).items() if key != "note"})


def _new_setup(before: Scenario, after: Scenario) -> str | None:
    """The one setup that was added to a plan or copied in it, to be shown at once."""
    known = {setup.id for setup in before.setups}
    new = [setup.id for setup in after.setups if setup.id not in known]
    return new[0] if new else None


def _gone_with(before: Scenario, after: Scenario, command: Mapping[str, Any]) -> str | None:
    """What went with a thing that was removed: wishes for it, in words."""
    args = command.get("args") or {}
    if command.get("name") != "remove" or args.get("section") == "aims":
        return None
    left = {aim.id: aim for aim in after.aims}
    lost = [aim.id for aim in before.aims if aim.id not in left]
    fewer = [a.id for a in before.aims if a.id in left and len(left[a.id].setups) < len(a.setups)]
    said = []
    if lost:
        said.append(f"with it went {_wishes(lost)}")
    if fewer:
        said.append(f"{_wishes(fewer)} stayed for the other setups")
    words = "; ".join(said)
    return f"{words[:1].upper()}{words[1:]}. Undo brings all back." if said else None


def _wishes(names: list[str]) -> str:
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"the wish{'es' if len(names) > 1 else ''} {', '.join(names[:3])}{more}"


def carry_out(scenario: Scenario, command: Mapping[str, Any]) -> Scenario:
    """Return the plan after a command of the page or of the document.

    Raises
    ------
    LumenError
        When the command or the plan it leads to breaks a rule.
    """
    if not isinstance(command, Mapping):
        raise LumenError("command", "must be an object with a name", command)
    args = command.get("args") or {}
    if not isinstance(args, Mapping):
        raise LumenError("command.args", "must be an object", args)
    name = command.get("name")
    if name == "several":
        several = args.get("commands", ())
        if not isinstance(several, list | tuple):
            raise LumenError("command.args.commands", "must be a list of commands", several)
        for one in several:
            scenario = carry_out(scenario, one)
        return scenario
    if name == "type":
        return carry_out(scenario, typed.command_of(scenario, str(command.get("id")), args))
    if name == "measure":
        return parse(start.measured(scenario, args))
    if name == "place":
        return carry_out(scenario, catalogue.placed(scenario, args))
    if name == "replace" and isinstance(args.get("begun"), Mapping):
        return own_room(args["begun"], args.get("identity"))
    if name == "replace" and isinstance(args.get("text"), str):
        return loads(args["text"])
    kept = {key: command[key] for key in ("name", "id", "ids", "args") if key in command}
    return apply(scenario, kept)


def _refused(stamp: object, revision: int, faults: Any) -> Json:
    return {
        "stamp": stamp,
        "revision": revision,
        "faults": [
            {"field": fault.field, "rule": fault.rule, "text": sentence(fault)} for fault in faults
        ],
    }


def sentence(fault: Fault) -> str:
    """Return a fault as a sentence for people: without the path of a command's own field."""
    where = fault.field.removeprefix("command.args.").removeprefix("command.")
    words = where.replace("_", " ").replace(".", ", ")
    got = "" if fault.value is None else f" (got {_short(fault.value)})"
    return f"{words[:1].upper()}{words[1:]} {fault.rule}{got}."


def _short(value: object) -> str:
    text = value if isinstance(value, str) else repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


@dataclass(frozen=True)
class Found:
    """A plan with its study, or with the reason why there is none."""

    scenario: Scenario
    study: Study | None
    data: Json = field(default_factory=dict)
    trouble: str | None = None


def found(plan: Mapping[str, Any]) -> Found:
    """Return the study of the page's plan; a study that fails loses no edit and says so."""
    text = dump(parse(plan))
    return current().get("studied plan", lambda: _reckoned(loads(text)), text=text)


def _reckoned(scenario: Scenario) -> Found:
    try:
        result = study(scenario)
        return Found(scenario, result, result.to_json())
    except LumenError as error:
        return Found(scenario, None, trouble=f"This plan cannot be reckoned yet: {error}")
    except Exception:
        # The face must stay up whatever the sciences do; the log has the whole story.
        logging.getLogger("lumen").exception("the study failed")
        reason = "Something went wrong while reckoning. Your plan is kept; undo or change it."
        return Found(scenario, None, trouble=reason)


_DRAWN = ("format", "plan", "targets", "setups", "dimming", "planes", "eyes", "aims", "cautions")


def study_text(found: Found) -> str:
    """Return what the drawings need of the study: cautions, totals, targets and their answers.

    As text, and maps as packed numbers: Dash walks through every value of a store on each update,
    which took seconds for the numbers of a few maps.
    """
    drawn = {key: found.data[key] for key in _DRAWN if key in found.data}
    return json.dumps(drawn, separators=(",", ":"))


def fields_json(found: Found) -> Json | None:
    """Return the maps of every source, reckoned once per plan."""
    reckoned = found.study
    if reckoned is None:
        return None
    return reckoned.lighting.evaluation.cache.get(
        "plan pictures", lambda: fields(reckoned.lighting), text=dump(found.scenario)
    )


def packed_fields(found: Found) -> Json | None:
    """Return the maps with their numbers packed."""
    maps = fields_json(found)
    return None if maps is None else packed(maps)


def ahead(scenario: Scenario) -> None:
    """Reckon a plan before anybody asks; who asks meanwhile waits for the same answer."""
    fields_json(found(plain(scenario)))
