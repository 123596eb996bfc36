"""Numbers that nothing guards: each constant moved by a tenth, and the tests that must notice.

``pytest -m long tests/test_mutants.py`` moves every number written at the top of a module of
`PACKAGES` up and down by a tenth in a copy of the project and runs the tests of that module. One
that no test notices is a survivor and fails here: it wants a test, or a reason in ``EXCUSED``.
Printed examples (doctests, the README) do not count as guards.
"""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[1]
QUIETLY = ("-x", "-q", "-p", "no:cacheprovider")
PACKAGES = ("lumen/light", "lumen/power", "lumen/study", "lumen/whatif", "lumen/words")

SETTING = "how finely it looks; answers must not hang on it"
STORE = "how much is kept"
SLACK = "a hair's breadth against rounding"
LABEL = "a number that names something"

EXCUSED = {
    "lumen/light/interreflection/* *": "settings of the engine; convergence tests judge them",
    "lumen/study/cache.py CACHE_BYTES": STORE,
    "* _BLOCK": STORE,
    "lumen/light/dots.py _FAR": SLACK,
    "lumen/light/geometry.py _TINY": SLACK,
    "lumen/light/visibility.py *": SLACK,
    "lumen/light/mirror.py _*": SLACK,
    "lumen/light/sources.py _STRAIGHT": SETTING,
    "lumen/light/direct.py _LINES_ACROSS": SETTING,
    "lumen/light/lm63.py _VERSIONS": LABEL,
    "lumen/light/lm63.py _TYPES": LABEL,
    "lumen/light/lm63.py _MOST_VALUES": STORE,
    "lumen/power/load.py (_ALL,*": LABEL,
    "lumen/power/load.py _GROUPS": LABEL,
    "lumen/power/demand.py _ROUNDING_H": SLACK,
    "lumen/power/heat.py _NOTHING_W": SLACK,
    "lumen/study/cautions/__init__.py *": LABEL,
    "lumen/study/cautions/overload.py _NAMED": "how many are named",
    "lumen/study/cautions/places.py _STEP_M": SETTING,
    "lumen/study/eyes/comfort.py _ROUND": SETTING,
    "lumen/words/comfort.py _MOST_LINES": "how many are named",
    "lumen/study/load/electrics.py _STATIONS": SETTING,
    "lumen/study/scene/emitters.py _PROFILE_STATIONS": SETTING,
    "lumen/study/lighting/fields.py _LIFT_M": SLACK,
    "lumen/study/lighting/fields.py _SPLIT": SETTING,
    "lumen/study/lighting/glow.py _STEP_M": SETTING,
    "lumen/study/lighting/glow.py _COARSE": SETTING,
    "lumen/whatif/heights.py _STEP_M": SETTING,
    "lumen/study/lighting/hues.py _*": SETTING,
    "lumen/study/scene/nightpath.py *": "ways run on a grid of 10 cm: a tenth of these is nothing",
    "lumen/study/eyes/sight.py _STRIP_SAMPLES": SETTING,
    "lumen/study/scene/surfaces.py _GRID": SLACK,
    "lumen/study/scene/surfaces.py FRONT": LABEL,
    "lumen/study/scene/surfaces.py _GRACE_M": SLACK,
    "lumen/study/scene/surfaces.py _CLEAR_M": SLACK,
    "lumen/study/scene/targets.py _LIFT_M": SLACK,
}

TESTS = {
    "lumen/light/shade.py": "light/test_shade.py study/test_limits.py",
    "lumen/light/*": "light/test_{stem}.py light/test_light_tables.py",
    "lumen/power/conductors.py": "power/test_reference.py power/test_cord.py",
    "lumen/power/*": "power/test_{stem}.py power/test_reference.py",
    "lumen/study/cautions/*": "study/test_cautions.py study/test_electrics.py",
    "lumen/study/scene/emitters.py": (
        "study/test_limits.py study/test_lighting.py study/test_glow.py"
    ),
    "lumen/study/eyes/looks.py": "study/test_comfort.py study/test_limits.py",
    "lumen/study/eyes/sight.py": "study/test_comfort.py study/test_limits.py",
    "lumen/study/eyes/comfort.py": "study/test_comfort.py study/test_limits.py",
    "lumen/study/scene/nightpath.py": "study/test_targets.py",
    "lumen/study/load/wiring.py": "study/test_electrics.py",
    "lumen/study/load/day.py": "study/test_electrics.py study/test_cautions.py",
    "lumen/study/load/warmth.py": "study/test_electrics.py study/test_cautions.py",
    "lumen/study/*": "study/test_{stem}.py study/test_limits.py",
    "lumen/whatif/*": "study/test_{stem}.py",
    "lumen/words/doubts.py": "app/test_doubt_words.py",
    "lumen/words/*": "study/test_{stem}.py study/test_limits.py",
}


class Mutant(NamedTuple):
    """One number of one constant, and where it is written."""

    file: str
    name: str
    text: str
    line: int
    start: int
    end: int

    def __str__(self) -> str:
        return f"{self.file} {self.name} {self.text}:{self.line}:{self.start}"


def constants() -> Iterator[Mutant]:
    """Every number that is written in an assignment at the top of a module."""
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            source = path.read_text(encoding="utf-8")
            for node in ast.parse(source).body:
                if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
                    continue
                target = node.targets[0] if isinstance(node, ast.Assign) else node.target
                for part in ast.walk(node.value):
                    if isinstance(part, ast.Constant) and type(part.value) in (int, float):
                        file = path.relative_to(ROOT).as_posix()
                        text = ast.get_source_segment(source, part) or ""
                        ends = (part.lineno, part.col_offset, part.end_col_offset or 0)
                        yield Mutant(file, ast.unparse(target), text, *ends)


def excuse(mutant: Mutant) -> str | None:
    """Why a number need not be guarded."""
    name = f"{mutant.file} {mutant.name}"
    if float(mutant.text) == 0.0:
        return "a tenth of nothing"
    return next((why for pattern, why in EXCUSED.items() if fnmatch(name, pattern)), None)


def guards_of(file: str) -> list[str]:
    """The tests that speak of a module."""
    names = next(tests for pattern, tests in TESTS.items() if fnmatch(file, pattern))
    found = [f"tests/{name}" for name in names.format(stem=Path(file).stem).split()]
    return [name for name in found if (ROOT / name).exists()]


def moved(text: str, times: float) -> str:
    """The number a tenth up or down; a whole one by at least one."""
    value = float(text)
    if text.isdigit():
        return str(int(value) + (1 if times > 1 else -1) * max(1, round(abs(value) / 10)))
    return repr(value * times)


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project with a package of its own to spoil."""
    root = tmp_path_factory.mktemp("mutants")
    for name in ("tests", "scenarios", "assets", "pyproject.toml", "README.md", "DEVELOPERS.md"):
        (root / name).symlink_to(ROOT / name)
    shutil.copytree(ROOT / "lumen", root / "lumen", ignore=shutil.ignore_patterns("__pycache__"))
    return root


@pytest.mark.long
@pytest.mark.parametrize("times", [0.9, 1.1])
@pytest.mark.parametrize("mutant", [m for m in constants() if excuse(m) is None], ids=str)
def test_a_tenth_is_noticed(mutant: Mutant, times: float, copy: Path) -> None:
    """With the number moved by a tenth a test of its module fails."""
    path = copy / mutant.file
    whole = path.read_text(encoding="utf-8")
    lines = whole.splitlines(keepends=True)
    # columns count bytes
    line = lines[mutant.line - 1].encode()
    spoilt = moved(mutant.text, times).encode()
    lines[mutant.line - 1] = (line[: mutant.start] + spoilt + line[mutant.end :]).decode()
    path.write_text("".join(lines), encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-B", "-m", "pytest", *QUIETLY, *guards_of(mutant.file)],
            cwd=copy,
            env={**os.environ, "PYTHONPATH": str(copy)},
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        path.write_text(whole, encoding="utf-8")
    assert done.returncode in (1, 2), f"{mutant} x {times} survives"


def test_every_excuse_is_for_something() -> None:
    """No excuse outlives its constant, and every module that has numbers has tests."""
    names = {f"{m.file} {m.name}" for m in constants()}
    assert [p for p in EXCUSED if not any(fnmatch(n, p) for n in names)] == []
    assert [m.file for m in constants() if excuse(m) is None and not guards_of(m.file)] == []
