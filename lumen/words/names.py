"""Things, surfaces and cases of a plan as a sentence says them, by the person's own names."""

from __future__ import annotations

from collections.abc import Sequence

from lumen.scenario.document import Scenario
from lumen.scenario.room import Opening
from lumen.study.load.day import Case, clock
from lumen.study.scene.bodies import Surface
from lumen.study.scene.surfaces import bed_wall
from lumen.words.sentences import Sentences

__all__ = ["Names"]

_OWN = ("the", "my", "our", "his", "her", "their", "a", "an")

_SAY = Sentences(
    "place",
    {
        "the": "the {name}",
        "and": "{first} and {last}",
        "bed wall": "the bed wall",
        "wall": "wall {wall}",
        "ceiling": "the ceiling",
        "slope": "the slope",
        "floor": "the floor",
        "opening": "the {kind} {id}",
    },
)
_WHEN = Sentences(
    "when",
    {
        "everything": "with everything on",
        "setup": "in '{setup}'",
        "hour": "at {clock}",
        "hour, day": "at {clock} on {day}",
        "evening": "an evening",
        "morning": "a morning",
        "winter evening": "a winter evening",
        "winter morning": "a winter morning",
        "summer evening": "a summer evening",
        "summer morning": "a summer morning",
        "a winter day": "a winter day",
        "a summer day": "a summer day",
        "may run": "with everything on that may run{at}{season}{setup}",
        "at": " at {clock}",
        "winter": " in winter",
        "summer": " in summer",
        "in setup": " in '{setup}'",
    },
)


class Names:
    """The names of a plan.

    Examples
    --------
    >>> from lumen.scenario.files import examples, load
    >>> names = Names(load(examples()[0]))
    >>> names.list_of(["left light", "right light"])
    'the left light and the right light'
    """

    def __init__(self, scenario: Scenario) -> None:
        self._room = scenario.room
        self._openings: dict[str, Opening] = {o.id: o for o in scenario.room.openings}
        self._setups = {setup.id: setup.name or setup.id for setup in scenario.setups}
        items = (
            *scenario.people,
            *scenario.supply,
            *scenario.lights,
            *scenario.strips,
            *scenario.furniture,
        )
        self._names = {item.id: item.name or item.id for item in items}

    def name(self, item_id: str) -> str:
        """Return the person's own name of anything in the plan, else its id."""
        return self._names.get(item_id, item_id)

    def setup(self, setup_id: str) -> str:
        """Return the name of a setup."""
        return self._setups.get(setup_id, setup_id)

    def the(self, item_id: str) -> str:
        """Return the person's name for a thing as a sentence says it: 'the left strip'."""
        name = self.name(item_id)
        first = name.split(" ")[0].lower()
        own = first in _OWN or first.endswith("'s")
        return name if own or name[:1].isupper() else _SAY("the", name=name)

    def list_of(self, ids: Sequence[str]) -> str:
        """Return several names as a sentence lists them."""
        names = [self.the(item_id) for item_id in ids]
        if len(names) < 2:
            return "".join(names)
        return _SAY("and", first=", ".join(names[:-1]), last=names[-1])

    def surface(self, surface: Surface) -> str:
        """Return a surface of the room."""
        if surface.kind != "wall":
            return _SAY(surface.kind)
        is_bed_wall = surface.wall == bed_wall(self._room)
        return _SAY("bed wall") if is_bed_wall else _SAY("wall", wall=surface.wall)

    def opening(self, opening_id: str) -> str:
        """Return an opening by its id, with its kind where that is not in it."""
        kind = self._openings[opening_id].kind
        if kind in opening_id.lower():
            return _SAY("the", name=opening_id)
        return _SAY("opening", kind=kind, id=opening_id)

    def when(self, case: Case) -> str:
        """Return in which case something happens.

        Examples
        --------
        >>> from lumen.scenario.files import examples, load
        >>> names = Names(load(examples()[0]))
        >>> names.when(Case("hour", "winter evening, 21:00", day="winter evening", hour=21.0))
        'at 21:00 on a winter evening'
        """
        if case.kind == "everything":
            return _WHEN("everything")
        if case.kind == "setup":
            return _WHEN("setup", setup=self.setup(case.setup or ""))
        hour = "" if case.hour is None else clock(case.hour)
        if case.kind == "hour":
            if case.day is None:
                return _WHEN("hour", clock=hour)
            return _WHEN("hour, day", clock=hour, day=_WHEN(case.day))
        return _WHEN(
            "may run",
            at=_WHEN("at", clock=hour) if hour else "",
            season=_WHEN(case.season) if case.season else "",
            setup=_WHEN("in setup", setup=self.setup(case.setup)) if case.setup else "",
        )
