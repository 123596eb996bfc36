"""Every column of the tables is read by somebody: a number that nothing reads is no rule."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import pytest

import lumen
from lumen.scenario.lights import Ageing
from lumen.tables import PROVENANCE, names, table

PACKAGE = Path(lumen.__file__).parent
# where a value comes from, for who reads the table
ABOUT = {*PROVENANCE, "edition", "note", "unit", "meaning", "printed"}

FOR_THE_READER = {
    "age_factors": (["low", "high"], "how far sources differ; the factor is what wishes take"),
    "glare_limits": (["low", "high"], "none of these limits has a band"),
    "lamps": (
        ["kind", "power_low_w", "power_high_w", "cct_k"],
        "what a kind is like; the search takes what is sold of it",
    ),
    "maintenance": (
        ["what", "factor", "low", "high"],
        "whence the document's own defaults, which are held to it below",
    ),
    "reflectance": (
        ["surface", "where", "reflectance", "low", "high", "shine"],
        "whence the finishes of the rooms that come along: a person types what they see or measure",
    ),
    "strip_classes": (
        ["strip", "flux_low_lm_per_m", "flux_high_lm_per_m"],
        "how a class is called and how far tape of it differs; the search takes its middle",
    ),
}
"""Columns that no module reads, and why they stand beside what is read."""


@cache
def modules() -> dict[str, ast.Module]:
    """Return the syntax tree of each module of the package, by its path in it."""
    return {
        str(path.relative_to(PACKAGE)): ast.parse(path.read_text(encoding="utf-8"))
        for path in sorted(PACKAGE.rglob("*.py"))
    }


def _words(module: ast.Module) -> set[str]:
    """Return the strings in a module and the pieces that formatted strings are made of."""
    return {
        node.value
        for node in ast.walk(module)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def _reads(module: ast.Module, name: str) -> bool:
    return any(
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "table"
        and any(isinstance(arg, ast.Constant) and arg.value == name for arg in node.args)
        for node in ast.walk(module)
    )


def _fields(module: ast.Module) -> set[str]:
    """Return the fields of the classes in a module."""
    return {
        step.target.id
        for node in ast.walk(module)
        if isinstance(node, ast.ClassDef)
        for step in node.body
        if isinstance(step, ast.AnnAssign) and isinstance(step.target, ast.Name)
    }


@cache
def _asked_for() -> frozenset[str]:
    """Return every attribute that some module of the package reads."""
    return frozenset(
        node.attr
        for module in modules().values()
        for node in ast.walk(module)
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load)
    )


def unread(name: str) -> list[str]:
    """Return the columns of a table that no module reads.

    A module reads a column when it reads the table and names the column; where the column becomes
    a field of a class there, somebody must ask for that field too. A column may be named in two
    pieces, the second from its underscore on.
    """
    readers = [module for module in modules().values() if _reads(module, name)]
    said = {word for module in readers for word in _words(module)}
    kept = {field for module in readers for field in _fields(module)}
    return [
        column
        for column in table(name)[0]
        if column not in ABOUT
        and not any(word.startswith("_") and column.endswith(word) for word in said)
        and (column not in said or (column in kept and column not in _asked_for()))
    ]


@pytest.mark.parametrize("name", names())
def test_every_column_is_read(name: str) -> None:
    """No column of a table is there for nothing, but for those that are listed above."""
    columns, _ = FOR_THE_READER.get(name, ([], ""))
    assert unread(name) == columns


def test_defaults_of_ageing_are_the_table_s() -> None:
    """What is left of the light after years: the document's defaults, within the table's bands."""
    plain, dusty = table("maintenance")
    ageing = Ageing()
    assert ageing.maintenance_factor == float(plain["factor"])
    assert ageing.dusty_maintenance_factor == float(dusty["factor"])
    for row in (plain, dusty):
        assert float(row["low"]) < float(row["factor"]) < float(row["high"])


def test_every_item_of_the_regions_is_read() -> None:
    """No value of a region is there for nothing."""
    said = {word for module in modules().values() for word in _words(module)}
    items = {row["item"] for row in table("regions")}
    assert sorted(items - said) == []
