"""How good the light of a lamp is by the figures on its data sheet, held against what is asked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lumen.scenario.lights import Lamp, Strip
from lumen.tables import table

__all__ = ["QualityFact", "quality_facts"]


@dataclass(frozen=True)
class QualityFact:
    """One figure of a lamp and the limit that somebody sets for it."""

    field: str
    words: str
    value: float
    at_least: float | None
    at_most: float | None
    source: str
    locator: str
    how: str

    @property
    def met(self) -> bool:
        """Whether the figure keeps to the limit."""
        low = self.at_least is None or self.value >= self.at_least
        return low and (self.at_most is None or self.value <= self.at_most)


def quality_facts(lamp: Lamp | Strip) -> Iterator[QualityFact]:
    """Yield the figures that are known of a lamp or strip, with their limits.

    Limits are those of table ``light_quality``: Regulation (EU) 2019/2020, Annex II, for colour
    rendering, flicker and stroboscopic effect, and common practice for R9.

    Examples
    --------
    >>> poor = Lamp(flux_lm=470, power_w=5.5, ra=72, svm=0.3)
    >>> [(fact.field, fact.met, fact.source) for fact in quality_facts(poor)]
    [('ra', False, 'EU 2019/2020'), ('svm', True, 'EU 2019/2020')]
    """
    for row in table("light_quality"):
        value = getattr(lamp, row["field"])
        if value is not None:
            yield QualityFact(
                row["field"],
                row["words"],
                value,
                float(row["at_least"]) if row["at_least"] else None,
                float(row["at_most"]) if row["at_most"] else None,
                row["source"],
                row["locator"],
                row["how"],
            )
