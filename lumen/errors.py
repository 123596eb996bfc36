"""Everything this project refuses, as one small tree.

::

    LumenError(ValueError)       field, rule, value
    |-- ScenarioError            a written plan breaks one or more rules (all faults at once)
    |-- PhotometryError          a photometric file or distribution cannot be read
    `-- GeometryError            a room, box or path that cannot exist

A fault names the field, the rule and the value that was met, in one sentence a person can act on.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Fault", "GeometryError", "LumenError", "PhotometryError", "ScenarioError"]


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong: which field, which rule, which value.

    Examples
    --------
    >>> str(Fault("lights[0].lamp.flux_lm", "must be more than 0", -3))
    'lights[0].lamp.flux_lm must be more than 0: got -3'
    """

    field: str
    rule: str
    value: object = None

    def __str__(self) -> str:
        shown = repr(self.value)
        if len(shown) > 80:
            shown = shown[:77] + "..."
        return f"{self.field} {self.rule}: got {shown}"


class LumenError(ValueError):
    """Root of every refusal; carries ``field``, ``rule`` and ``value``."""

    def __init__(self, field: str, rule: str, value: object = None) -> None:
        self.fault = Fault(field, rule, value)
        super().__init__(str(self.fault))

    @property
    def field(self) -> str:
        """The field that is wrong."""
        return self.fault.field

    @property
    def rule(self) -> str:
        """The rule that it breaks."""
        return self.fault.rule

    @property
    def value(self) -> object:
        """The value that was met."""
        return self.fault.value


class PhotometryError(LumenError):
    """A photometric file or an intensity distribution cannot be used as given."""


class GeometryError(LumenError):
    """A room, a box or a path that cannot exist."""


class ScenarioError(LumenError):
    """A written plan breaks rules; ``faults`` holds every one of them."""

    def __init__(self, faults: list[Fault]) -> None:
        first = faults[0]
        super().__init__(first.field, first.rule, first.value)
        self.faults = tuple(faults)
        self.args = ("\n".join(str(fault) for fault in faults),)
