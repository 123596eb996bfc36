"""The stairs of the house: which part may import which, read from every file's imports."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "lumen"
BASE = {"units", "errors", "tables"}
SCIENCE = {"scenario", "light", "power"}
ALLOWED: dict[str, set[str]] = {
    "errors": set(),
    "units": {"errors"},
    "tables": {"errors"},
    "light": BASE,
    "power": BASE,
    "scenario": BASE,
    # The study is two steps: rooms that return facts, and the one result that is written in words.
    "rooms": BASE | SCIENCE,
    "whatif": BASE | SCIENCE | {"rooms"},
    "words": BASE | SCIENCE | {"rooms", "whatif"},
    "study": BASE | SCIENCE | {"rooms", "words"},
    "sheet": BASE | SCIENCE | {"rooms", "words", "study"},
    "find": BASE | SCIENCE | {"rooms", "words", "study", "whatif", "sheet"},
    "app": BASE | SCIENCE | {"rooms", "words", "study", "whatif", "sheet", "find"},
    "command": BASE | SCIENCE | {"rooms", "words", "study", "whatif", "sheet", "find", "app"},
    "__main__": {"command"},
    "__init__": BASE | SCIENCE | {"rooms", "words", "study", "whatif", "sheet", "find"},
}
# The way of the data inside the study: the plan as arrays, then light and load, then who judges.
ALLOWED_IN_STUDY: dict[str, set[str]] = {
    "cache": set(),
    "digits": set(),
    "scene": {"cache", "digits"},
    "lighting": {"cache", "digits", "scene"},
    "load": {"cache", "digits", "scene"},
    "eyes": {"cache", "digits", "scene", "lighting"},
    "wishes": {"cache", "digits", "scene", "lighting", "eyes"},
    "cautions": {"cache", "digits", "scene", "load"},
    "anywhere": {"cache", "digits", "scene", "lighting", "load"},
    "study": {
        *(
            "cache",
            "digits",
            "scene",
            "lighting",
            "load",
            "eyes",
            "wishes",
            "cautions",
            "document",
            "frames",
        ),
    },
    "document": {"digits", "scene", "lighting", "eyes", "wishes"},
    "frames": {"scene", "lighting", "load", "wishes", "cautions"},
    "engine": {
        "cache",
        "digits",
        "scene",
        "lighting",
        "load",
        "eyes",
        "wishes",
        "cautions",
        "anywhere",
        "study",
    },
    "report": {"digits", "scene", "lighting", "load", "eyes", "wishes", "study"},
    "__init__": {"cache", "study"},
}
RESULT = {"study", "document", "engine", "report", "__init__"}
"""What of the study stands above the words; all else in it is a room."""
PAGE_ONLY = {"dash", "plotly"}
SCIENCE_MAY = {"numpy"}


def imports_of(source: str, module: tuple[str, ...], *, package: bool) -> Iterator[tuple[str, ...]]:
    """Yield every imported name as its parts, relative ones made absolute.

    ``module`` is the importing module ("lumen", "light", "direct"); both imports at the top and
    those inside functions count, and those that only serve type checks count as well.
    """
    here = module if package else module[:-1]
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield tuple(alias.name.split("."))
        elif isinstance(node, ast.ImportFrom):
            start = here[: len(here) - node.level + 1] if node.level else ()
            base = start + tuple(node.module.split(".")) if node.module else start
            for alias in node.names:
                yield (*base, alias.name)
        elif (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute | ast.Name)
            and getattr(node.func, "attr", getattr(node.func, "id", "")) == "import_module"
            and node.args
            and isinstance(node.args[0], ast.Constant)
        ):
            yield tuple(str(node.args[0].value).split("."))


def _step(module: tuple[str, ...]) -> str:
    """Return the step of the stairs that a module stands on."""
    part = module[1] if len(module) > 1 else "__init__"
    return "rooms" if part == "study" and len(module) > 2 and module[2] not in RESULT else part


def wrong_imports(source: str, module: tuple[str, ...], *, package: bool = False) -> list[str]:
    """Return a sentence for every import that goes up the stairs or across the landing."""
    part = _step(module)
    wrong = []
    for name in imports_of(source, module, package=package):
        target = _step(name)
        if name[:2] == module[:2] == ("lumen", "study") and len(name) > 2:
            room = module[2] if len(module) > 2 else "__init__"
            other = name[2]
            if other in ALLOWED_IN_STUDY and other not in ALLOWED_IN_STUDY[room] | {room}:
                wrong.append(f"{'.'.join(module)} must not import lumen.study.{other}")
        if name[0] == "lumen":
            known = target in ALLOWED and target != "__init__"
            if known and target != part and target not in ALLOWED[part]:
                wrong.append(f"{'.'.join(module)} must not import lumen.{target}")
            # `from lumen import something`: the public names sit on top of everything.
            if not known and part not in ("command", "__main__", "__init__", "app", "sheet"):
                wrong.append(f"{'.'.join(module)} must not import lumen itself ({target})")
            continue
        page = name[0] in PAGE_ONLY and part != "app"
        plain = name[0] in SCIENCE_MAY or name[0] in sys.stdlib_module_names
        if page or (part in ("light", "power") and not plain):
            wrong.append(f"{'.'.join(module)} must not import {name[0]}")
    return wrong


def _module(file: Path) -> tuple[str, ...]:
    parts = ("lumen", *file.relative_to(ROOT).with_suffix("").parts)
    return parts[:-1] if parts[-1] == "__init__" else parts


FILES = sorted(file for file in ROOT.rglob("*.py") if "__pycache__" not in file.parts)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(ROOT).as_posix())
def test_stairs(file: Path) -> None:
    """No file imports what stands above it or beside it."""
    source = file.read_text(encoding="utf-8")
    assert not wrong_imports(source, _module(file), package=file.name == "__init__.py")


def test_every_part_has_a_step() -> None:
    """Everything directly in the package has its place on the stairs."""
    parts = {
        item.stem
        for item in ROOT.iterdir()
        if item.suffix == ".py" or (item.is_dir() and any(item.rglob("*.py")))
    }
    assert parts <= set(ALLOWED), parts - set(ALLOWED)
    rooms = {item.stem for item in (ROOT / "study").iterdir() if item.stem != "__pycache__"}
    assert rooms == set(ALLOWED_IN_STUDY)


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("light.direct", "from lumen.scenario.room import Room"),
        ("light.direct", "import lumen.power.load"),
        ("light.direct", "from ..power import load"),
        ("light.direct", "from .. import study"),
        ("light.direct", "def f():\n    from lumen.study import study"),
        ("light.direct", "import pandas"),
        ("light.direct", "from lumen import load"),
        ("power.load", "from lumen.light import direct"),
        ("power.load", "import importlib\nimportlib.import_module('lumen.app')"),
        ("scenario.edits", "from lumen.study.study import study"),
        ("scenario.edits", "from lumen.light.geometry import Box"),
        ("study.study", "from lumen.app.server import serve"),
        ("study.study", "import plotly.graph_objects as go"),
        ("sheet.sheet", "from lumen.app import figures"),
        ("sheet.sheet", "import dash"),
        ("study.study", "from lumen.find import find"),
        ("study.study", "from lumen.whatif.heights import height_sweep"),
        ("study.scene.reading", "from lumen.study.lighting.maps import lighting"),
        ("study.lighting.maps", "from lumen.study.load import electrics"),
        ("study.load.day", "from lumen.study.lighting.maps import lighting"),
        ("study.eyes.sight", "from lumen.study.study import study"),
        ("study.eyes.sight", "from lumen.words.figures import amount"),
        ("study.cautions.heat", "from lumen.words import sentences"),
        ("words.sentences", "from lumen.study.study import Study"),
        ("whatif.compare", "from lumen.words.compare import compare_lines"),
        ("whatif.heights", "from lumen.study.study import study"),
        ("words.sentences", "from lumen.app.markup import markup"),
        ("sheet.sheet", "from lumen.whatif.compare import compared"),
        ("sheet.sheet", "from lumen.find import find"),
        ("find.search", "from lumen.app import words"),
        ("app.server", "from lumen.command import main"),
        ("errors", "from lumen.units import read"),
    ],
)
def test_a_planted_wrong_import_is_found(module: str, source: str) -> None:
    """The reader of imports finds each kind of wrong import when one is planted."""
    assert wrong_imports(source, ("lumen", *module.split(".")))


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("light.direct", "from lumen.light.geometry import Box\nimport numpy as np"),
        ("light.direct", "from .geometry import Box\nfrom lumen.errors import LumenError"),
        ("study.study", "from lumen.light import direct\nfrom lumen.power import load"),
        ("study.eyes.sight", "from lumen.study.lighting.maps import lighting"),
        ("words.sentences", "from lumen.study.cautions import Caution"),
        ("study.study", "from lumen.words.figures import amount"),
        ("app.server", "import dash\nfrom lumen.sheet import sheet"),
        ("command", "from lumen.app import server\nfrom lumen import load"),
    ],
)
def test_right_imports_pass(module: str, source: str) -> None:
    """The reader of imports lets the stairs themselves pass."""
    assert not wrong_imports(source, ("lumen", *module.split(".")))
