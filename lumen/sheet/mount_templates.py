"""True-size outlines of mounts, twins once, each with the facts that place it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from lumen.scenario.document import Scenario
from lumen.scenario.lights import Light
from lumen.sheet.true_size import TILE_WIDE_MM, Outline, Tile, outline_of, tiles
from lumen.sheet.walls import BoardMark, CeilingMark, Mark

__all__ = ["Template", "TemplateFact", "TemplateMark", "mount_templates"]

_MOST_TILES = 4

AnyMark = Mark | CeilingMark | BoardMark


@dataclass(frozen=True)
class TemplateFact:
    """One distance that places a template [m]; ``shared`` when all its twins have the same."""

    words: str
    value_m: float
    shared: bool = False


@dataclass(frozen=True)
class TemplateMark:
    """One mount that a template is for, with what places it."""

    letter: str
    name: str
    facts: tuple[TemplateFact, ...]


@dataclass(frozen=True)
class Template:
    """An outline, the pages that it prints on, and the mounts that it is for."""

    outline: Outline
    tiles: tuple[Tile, ...]
    marks: tuple[TemplateMark, ...]
    count: int


def mount_templates(plan: Scenario, marks: Sequence[AnyMark]) -> tuple[Template, ...]:
    """Return the templates of a plan's mounts; what stands or is the electrician's has none."""
    by_id = {mark.id: mark for mark in marks}
    alike: dict[Outline, list[tuple[Outline, TemplateMark]]] = {}
    for light in plan.lights:
        if light.mount in ("stand", "ceiling") or light.id not in by_id:
            continue
        mark, shape = by_id[light.id], outline_of(plan, light)
        placed = TemplateMark(mark.letter, light.name or light.id, tuple(_facts(light, mark)))
        alike.setdefault(replace(shape, id="", name=""), []).append((shape, placed))
    return tuple(_template([shape for shape, _ in group], [m for _, m in group])
                 for group in alike.values())  # fmt: skip


def _template(shapes: Sequence[Outline], marks: Sequence[TemplateMark]) -> Template:
    count = len(marks)
    times: dict[tuple[str, float], int] = {}
    for fact in (fact for mark in marks for fact in mark.facts):
        key = (fact.words, fact.value_m)
        times[key] = times.get(key, 0) + 1
    return Template(
        outline=replace(shapes[0], name=", ".join(mark.name for mark in marks)),
        tiles=_few(tiles(shapes[0])),
        marks=tuple(replace(mark, facts=tuple(_shared(mark.facts, times, count)))
                    for mark in marks),
        count=count,
    )  # fmt: skip


def _shared(
    facts: Sequence[TemplateFact], times: Mapping[tuple[str, float], int], count: int
) -> Iterator[TemplateFact]:
    for fact in facts:
        yield replace(fact, shared=times[fact.words, fact.value_m] == count)


def _few(pages: Sequence[Tile]) -> tuple[Tile, ...]:
    """The tiles of a template, of a very large one only that with its cross."""
    if len(pages) <= _MOST_TILES:
        return tuple(pages)
    return tuple(tile for tile in pages if _holds_cross(tile))


def _holds_cross(tile: Tile) -> bool:
    right = tile.left_m + TILE_WIDE_MM / 1000
    return tile.left_m < 0.0 < right and tile.top_m - tile.high_m < 0.0 < tile.top_m


def _facts(light: Light, mark: AnyMark) -> Iterator[TemplateFact]:
    line = mark.from_bed_line_m
    yield TemplateFact("cross above the floor", mark.height_m)
    if line is not None:
        side = "right" if line > 0 else "left"
        yield TemplateFact(f"cross {side} of the bed line", line)
    if isinstance(mark, BoardMark):
        yield TemplateFact("cross below the board's top", mark.below_board_top_m)
    elif isinstance(mark, Mark):
        yield TemplateFact(f"cross from the {mark.nearest} corner", mark.from_nearest_m)
