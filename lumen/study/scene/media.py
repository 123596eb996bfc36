"""What people read from: paper that gives back light, screens that give their own."""

from __future__ import annotations

from dataclasses import dataclass

from lumen.scenario.base import band, middle
from lumen.scenario.people import Person
from lumen.tables import table

__all__ = ["Medium", "medium_of"]


@dataclass(frozen=True)
class Medium:
    """A page to read from.

    ``reflectance`` is that of its white; ``luminance`` that of what glows by itself, with its band
    [cd/m2], 0 for paper; ``cct_k`` the white of its own light, None without any. ``assumed`` says
    whether the luminance is the table's.
    """

    name: str
    width_m: float
    height_m: float
    reflectance: float
    luminance: float
    low: float
    high: float
    cct_k: float | None
    assumed: bool

    @property
    def area_m2(self) -> float:
        """Area of one side [m2]."""
        return self.width_m * self.height_m


def medium_of(person: Person) -> Medium:
    """Return what a person reads from, by the table ``reading`` and what is written of the page.

    Examples
    --------
    >>> paper = medium_of(Person(id="a", side="left"))
    >>> paper.reflectance, paper.luminance, paper.width_m
    (0.8, 0.0, 0.4)
    >>> tablet = medium_of(Person(id="a", side="left", reads_from="tablet"))
    >>> tablet.luminance, tablet.cct_k
    (40.0, 6500.0)
    """
    row = next(row for row in table("reading") if row["reads_from"] == person.reads_from)
    page, written = person.page, person.page.model_fields_set
    own = page.luminance_cd_m2 if person.reads_from != "paper" else None
    usual = tuple(float(row[key]) for key in ("luminance_cd_m2", "low_cd_m2", "high_cd_m2"))
    luminance, low, high = usual if own is None else (middle(own), *band(own, _TOLERANCE))
    white = row["night_cct_k" if page.night_mode else "cct_k"]
    return Medium(
        name=person.reads_from,
        width_m=page.width_m if "width_m" in written else float(row["width_m"]),
        height_m=page.height_m if "height_m" in written else float(row["height_m"]),
        reflectance=float(row["reflectance"]),
        luminance=luminance,
        low=low,
        high=high,
        cct_k=float(white) if white else None,
        assumed=own is None and luminance > 0.0,
    )


_TOLERANCE = 0.20
"""A luminance somebody typed without a range: give or take a fifth; our own assumption."""
