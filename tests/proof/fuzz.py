"""Broken inputs, drawn from a seed: plans, photometric files, commands, requests, words, labels.

Every draw hangs on its seed alone, so that a failure is drawn again by its number.
"""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator
from typing import Any

from lumen.scenario.files import examples

__all__ = ["argument", "command", "label", "lm63_text", "plan_text", "request"]

_PLANS = [json.loads(path.read_text(encoding="utf-8")) for path in examples()]
_ODD: tuple[Any, ...] = (
    None,
    True,
    False,
    0,
    -1,
    1,
    1e-9,
    1e-300,
    5e-324,
    1e9,
    1e200,
    -1e200,
    0.1 + 0.2,
    2**63,
    10**400,
    "",
    " ",
    "nan",
    "12",
    "a" * 5000,
    "客室",
    "\u202e",
    "a/b",
    "a:b",
    "'; --",
    "<b>",
    "\x00",
    "\ud800",
    [],
    {},
    [[]],
    [0, 0],
    [0, 0, 0],
    [1, 0],
    [1e-9, 1e-9, 1e-9],
    ["a"],
    {"form": "beam"},
    {"kind": "outlet"},
)


def _spots(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in a document, the whole one left out."""
    items = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    for key, inside in items:
        yield (*path, key)
        yield from _spots(inside, (*path, key))


def _at(value: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        value = value[step]
    return value


def _spoil(plan: dict[str, Any], draw: random.Random) -> None:
    """One slip somewhere in a document."""
    spots = list(_spots(plan))
    if not spots:
        return
    path = draw.choice(spots)
    holder, key = _at(plan, path[:-1]), path[-1]
    old = holder[key]
    slip = draw.randrange(8)
    if slip == 0:
        del holder[key]
    elif slip == 1:
        holder[key] = copy.deepcopy(_at(plan, draw.choice(spots)))
    elif slip == 2 and isinstance(holder, list):
        holder.extend(copy.deepcopy(old) for _ in range(draw.choice((1, 2, 70))))
    elif slip == 3 and isinstance(holder, dict):
        holder[str(key) + draw.choice("xe ")] = holder.pop(key)
    elif slip in (4, 5) and isinstance(old, int | float) and not isinstance(old, bool):
        holder[key] = old * draw.choice((0, -1, 1e-6, 1e-3, 0.1, 10, 1000, 1e6))
    elif slip == 6 and isinstance(old, str):
        others = [_at(plan, each) for each in spots]
        holder[key] = draw.choice([each for each in others if isinstance(each, str)])
    else:
        holder[key] = copy.deepcopy(draw.choice(_ODD))


def spoiled(seed: int) -> dict[str, Any]:
    """Return a plan with one to three slips, as Python data."""
    draw = random.Random(seed)
    plan = copy.deepcopy(draw.choice(_PLANS))
    for _ in range(draw.choice((1, 1, 2, 3))):
        _spoil(plan, draw)
    return plan


def plan_text(seed: int) -> str:
    """Return the text of a plan with slips in its data, or in its letters."""
    draw = random.Random(seed)
    text = json.dumps(spoiled(seed))
    if draw.random() < 0.2:
        at = draw.randrange(len(text))
        cut = draw.choice(("", '"', "{", "}", ",", "NaN", "Infinity", "1e999", "\x00", "[" * 3000))
        text = text[:at] + cut + text[at + draw.randrange(40) :]
    return text


_LM63 = """IESNA:LM-63-2002
[TEST] drawn
[MANUFAC] nobody
TILT=NONE
1 800 1 5 1 1 2 0.1 0 0
1 1 9
0 22.5 45 67.5 90
0
400 300 200 100 0
"""


def lm63_text(seed: int) -> str:
    """Return a photometric file with some of its words spoiled."""
    draw = random.Random(seed)
    words = _LM63.replace("\n", " \n ").split(" ")
    odd = (
        "nan",
        "inf",
        "-1",
        "0",
        "1e200",
        "-1e200",
        "1e-300",
        "",
        "x",
        "1000",
        "99999999",
        "\n",
        "TILT=INCLUDE",
        "0.5",
        "180",
    )
    for _ in range(draw.choice((1, 1, 2, 4))):
        at = draw.randrange(len(words))
        words[at] = draw.choice(odd)
        if draw.random() < 0.2:
            del words[at : at + draw.randrange(1, 6)]
    return " ".join(words).replace(" \n ", "\n")


_NAMES = (
    "move",
    "set",
    "add",
    "remove",
    "duplicate",
    "mirror",
    "rename",
    "plug",
    "level",
    "replace",
    "type",
    "measure",
    "place",
    "several",
    "",
)
_FIELDS = (
    "title",
    "lamp.flux_lm",
    "size_m",
    "at_m",
    "mount_m",
    "distribution.form",
    "path_m",
    "finish.lrv",
    "lean_deg",
    "nothing",
    "levels",
    "id",
    "",
)


def command(seed: int, plan: dict[str, Any]) -> dict[str, Any]:
    """Return a command such as a page might send, or might not."""
    draw = random.Random(seed)
    ids = [
        item["id"]
        for section in plan.values()
        if isinstance(section, list)
        for item in section
        if "id" in item
    ]
    some = (*_ODD, *ids, [0.1, 0.2, 0.3], "1 m", "168 cm", "5 ft 6 in", 0.5, 30)
    args = {
        key: copy.deepcopy(draw.choice(some))
        for key in draw.sample(
            (
                "to_m",
                "by_m",
                "value",
                "to",
                "into",
                "as",
                "setup",
                "of",
                "section",
                "item",
                "corner",
                "text",
                "system",
                "what",
                "plan",
                "commands",
            ),
            4,
        )
    }
    args["field"] = draw.choice(_FIELDS)
    found: dict[str, Any] = {"name": draw.choice(_NAMES), "id": draw.choice(ids), "args": args}
    if draw.random() < 0.2:
        found["ids"] = draw.sample(ids, 2)
    if draw.random() < 0.15:
        found[draw.choice(("name", "id", "ids", "args"))] = draw.choice(_ODD)
    return found


_ROUTES = (
    "preview",
    "file",
    "sheet",
    "save",
    "keep",
    "kept/x",
    "example/plain-pair",
    "picture/../x",
    "alive",
    "opened",
    "_dash-update-component",
)


def request(seed: int) -> tuple[str, str, dict[str, Any]]:
    """Return way of asking, address and body of a request to the page's server."""
    draw = random.Random(seed)
    body: Any = {
        "plan": draw.choice((spoiled(seed), _PLANS[0], draw.choice(_ODD))),
        "command": draw.choice(_ODD),
    }
    if draw.random() < 0.3:
        body = draw.choice(_ODD)
    data = json.dumps(body).encode("utf-8", "surrogatepass")
    if draw.random() < 0.2:
        data = data[: draw.randrange(len(data) + 1)]
    kind = draw.choice(
        ("application/json", "application/json", "text/plain", "multipart/form-data", "")
    )
    return (
        draw.choice(("POST", "POST", "GET", "PUT")),
        f"/{draw.choice(_ROUTES)}",
        {"data": data, "content_type": kind},
    )


def argument(seed: int) -> list[str]:
    """Return words of a command line; none of them serves a page."""
    draw = random.Random(seed)
    words = [
        "check",
        "sheet",
        "new",
        "schema",
        "rules",
        "--json",
        "-o",
        "--csv",
        "--paper",
        "a4",
        "nothing.json",
        "/",
        "",
        "x" * 300,
        "-",
        "--port=0",
        "客室",
    ]
    return [
        draw.choice(("check", "sheet", "rules", "schema")),
        *draw.choices(words, k=draw.randrange(4)),
    ]


_SAYINGS = (
    "{n} lm", "{n} lumens", "{n} W", "{n}W = {n} W", "replaces {n} W", "{n}-{n} W", "{n} K",
    "2700K", "E27", "GU10", "g 9", "Ra {n}", "CRI>{n}", "R9={n}", "{n}\u00b0", "beam angle: {n}",
    "dimmable", "nicht dimmbar", "dims to {n} %", "max. {n}x {n} W", "PstLM <= {n}", "SVM {n}",
    "PF > {n}", "standby {n} W", "\u00d8 {n} mm", "{n} W/m", "{n} lm/ft", "{n} V DC", "{n} LEDs/m",
    "width {n} mm", "cuttable every {n} cm", "Lumens: {n}", "Wattage (W): {n}", "{n}/827", "LED",
    "halogen", "swivels {n}\u00b0", "energy class E", "{n}", "a lamp for quiet evenings",
)  # fmt: skip
_NUMBERS = (
    "0", "1", "5.5", "4,9", "90", "470", "1.055", "1 055", "1'055", "1,521.5", ".5", "-12", "1e9",
    "99999999999999999999", "9" * 400, "0.0000001", "NaN", "\u221e", "\u0665", "\u00bd", "5.5.5",
    "1,,2", "",
)  # fmt: skip
_BETWEEN = (" ", ", ", "; ", "\n", "|", " \u00b7 ", "", "/", "=", "\u00a0", "\t", "  ", " - ")
_UNFIT = (
    "\x00",
    "\ud800",
    "\u202e",
    "<b>",
    "{}",
    "\u0130",
    "\ufb03",
    "\u1e9e",
    "\\",
    '"',
    "&lt;",
    "\U0001f4a1",
)


def label(seed: int) -> str:
    """Return the pasted text of a box or a shop's page: words true and untrue, torn or long."""
    draw = random.Random(seed)
    text = ""
    for _ in range(draw.choice((1, 3, 6, 12, 12, 300))):
        saying = draw.choice(_SAYINGS)
        while "{n}" in saying:
            saying = saying.replace("{n}", draw.choice(_NUMBERS), 1)
        text += saying + draw.choice(_BETWEEN)
    if draw.random() < 0.3:
        at = draw.randrange(len(text) + 1)
        text = text[:at] + draw.choice(_UNFIT) + text[at + draw.randrange(6) :]
    if draw.random() < 0.1:
        text = draw.choice((*_SAYINGS, *_NUMBERS, *_BETWEEN)) * draw.choice((50, 5000))
    return text
