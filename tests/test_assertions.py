"""Tests that could not fail: an assertion whose two sides are one thing, or all written by hand.

Looked for in the text of every test, since such an assertion passes whatever the project does.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "tests").rglob("test_*.py"))


def _compared(test: ast.expr) -> Iterator[list[ast.expr]]:
    """What the comparisons of an assertion hold against each other."""
    if isinstance(test, ast.BoolOp):
        for part in test.values:
            yield from _compared(part)
    elif isinstance(test, ast.Compare):
        yield [_bare(each) for each in (test.left, *test.comparators)]


def _bare(side: ast.expr) -> ast.expr:
    """What is inside ``pytest.approx(...)``."""
    if isinstance(side, ast.Call) and ast.unparse(side.func) in ("pytest.approx", "approx"):
        return side.args[0]
    return side


def _by_hand(side: ast.expr, written: set[str]) -> bool:
    """Whether a side holds nothing but written numbers, words and constants."""
    if isinstance(side, ast.Attribute):
        return side.attr.strip("_").isupper()
    if isinstance(side, ast.Name):
        return side.id in written
    if isinstance(side, ast.Constant | ast.expr_context | ast.operator | ast.unaryop):
        return True
    if isinstance(side, ast.Tuple | ast.List | ast.Set | ast.BinOp | ast.UnaryOp | ast.Dict):
        return all(_by_hand(part, written) for part in ast.iter_child_nodes(side))
    return False


def _written(tree: ast.Module) -> set[str]:
    """Names in capitals that are imported or hold what is written beside them."""
    names: set[str] = set()
    for node in tree.body:
        if isinstance(node, ast.ImportFrom):
            names |= {one.asname or one.name for one in node.names}
        elif isinstance(node, ast.Assign) and _by_hand(node.value, names):
            names |= {one.id for one in node.targets if isinstance(one, ast.Name)}
    return {name for name in names if name.strip("_").isupper()}


def faults(text: str) -> list[str]:
    """The assertions of a file that cannot fail, with their lines."""
    found, tree = [], ast.parse(text)
    written = _written(tree)
    for node in ast.walk(tree):
        if not isinstance(node, ast.Assert):
            continue
        if isinstance(node.test, ast.Constant | ast.Tuple):
            found.append(f"{node.lineno}: {ast.unparse(node.test)} is always so")
        for ends in _compared(node.test):
            same = any(ast.dump(a) == ast.dump(b) for a, b in pairwise(ends))
            if same or all(_by_hand(each, written) for each in ends):
                found.append(f"{node.lineno}: {ast.unparse(node.test)} asks the project nothing")
    return found


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(ROOT).as_posix())
def test_every_assertion_can_fail(file: Path) -> None:
    """No side is compared with itself, none of two written constants with each other."""
    assert faults(file.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("text", "many"),
    [
        ("assert True", 1),
        ("assert (found == 3, 'three')", 1),
        ("assert found == found", 1),
        ("assert found == pytest.approx(found)", 1),
        ("LIMIT = 3\nassert LIMIT == 3", 1),
        ("assert limits.FAR_RATIO == pytest.approx(10.0)", 1),
        ("from lumen.limits import LIMIT\nassert found == 3 and LIMIT == 3", 1),
        ("LIMIT = 3\nassert f(3) == pytest.approx(LIMIT)", 0),
        ("README = read()\nassert 'lumen' in README", 0),
        ("assert found.value == LIMIT", 0),
        ("assert f(1) < f(2)", 0),
    ],
)
def test_such_an_assertion_is_found(text: str, many: int) -> None:
    """The look-out itself."""
    assert len(faults(text)) == many
