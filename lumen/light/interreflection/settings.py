"""The numbers that steer a strip's near field: what each is for, its unit, what hangs on it.

They were set where a finer one no longer moved six strip rooms by more than the path tracer of the
tests is unsure. ``p95`` is how far a tenth more or less of a number moves 19 of 20 sensors in four
of those rooms (`tests/light/test_nearfield_settings.py`, on demand); an answer itself is unsure by
0.3 to 0.6 %. What is no choice stands where it is used: Gauss points, series, sizes of blocks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["DRAG", "FULL", "NearFieldSettings"]


@dataclass(frozen=True)
class NearFieldSettings:
    """How finely the light near a strip is followed.

    Attributes
    ----------
    across : float
        Largest width of a cell over its distance from the strip [1]. The light of a line falls off
        over its own distance; mean, tilt and bend follow it over less than half of that. p95 0.2 %.
    along : float
        Largest length of a cell over its distance [1]. Along the run the light changes slowly, and
        a cell is exact along its length. p95 0.02 %.
    at_ends : float
        The same over the distance from an end or a corner of the run, where it does change.
        p95 0.1 %.
    least_across_m, least_along_m, least_at_ends_m : float
        Sizes that are not split further [m]: a strip 10 mm wide lights nothing more steeply than
        over half its width, and no room needs its ends nearer than a hand. p95 0.002, 0.007,
        0.09 %.
    smoother : float
        How much larger [1] cells may be that only see the glow of lit ones. p95 0.09 %.
    split_from_cells : float
        Cells that a patch must want to be split [1]: one alone would stand for the whole patch
        with a single line. p95 0.01 %.
    glow_within_m : float
        Patches that the strip does not light are split when nearer than this to it [m]; further off
        the glow of a gap is even. p95 0.3 %.
    stations : int
        Places along a side at which the wanted size is asked. p95 0.02 %.
    spare_cells : float
        What a need may exceed a whole number by before one more cell is made [1]. p95 under 0.01 %.
    rough_below : float
        A cell whose darkest place has less than this share of its brightest has an edge of a shadow
        in it and is looked at in 40 places instead of 6 [1]. A tenth moves nothing.
    faint : float
        Pairs of cells that pass on less than this [1] keep the factor of one line. p95
        0.02 %.
    exact_within_widths, two_lines_within_widths : float
        Distance over width [1] below which the factor between two cells is taken from their exact
        outlines, and below which from two lines each way. Beyond, a single line is off by under
        0.5 %. p95 0.06 %.
    sealed_below : float
        A cell that loses a smaller share of its light [1] than this to the room loses none.
        p95 0.03 %.
    bright_share : float
        Share [1] of what leaves the cells whose cells are looked at from all quarters of far
        patches, brightest cells first; the rest from each patch as a whole. p95 0.28 %.
    quarters_within_m : float
        Far patches nearer than this to the strip [m] look from four places of each quarter, others
        from one. p95 0.05 %.
    lines_apart : float
        Three lines across a column of cells that see shares further apart than this [1] are
        replaced by nine. A tenth moves no sensor of the rooms.
    nine_astray : float
        Nine lines of which every other one sees a share that differs by more than this [1] from the
        mean of all become 27: one edge alone cannot part them so far, several boxes do. p95 0.03 %;
        without it a book a step away from slats is off by up to 6 %.
    dim_share : float
        Of its clear light [1] what a place may lack and yet be in no shadow. A tenth moves nothing.
    along_doubt, across_doubt : float
        How unsure [1] what a cell keeps within the gap is taken to be, as a share of it: of what
        runs along with the cell, and of what stands across it, which one line tells little about.
        Used by `conservation.send_all` alone. p95 0.005 %.
    """

    across: float = 0.4
    along: float = 4.0
    at_ends: float = 0.45
    least_across_m: float = 0.006
    least_along_m: float = 0.2
    least_at_ends_m: float = 0.04
    smoother: float = 0.8
    split_from_cells: float = 1.2
    glow_within_m: float = 0.3
    stations: int = 33
    spare_cells: float = 0.1
    rough_below: float = 0.1
    faint: float = 5e-4
    exact_within_widths: float = 1.8
    two_lines_within_widths: float = 5.0
    sealed_below: float = 0.001
    bright_share: float = 0.95
    quarters_within_m: float = 0.4
    lines_apart: float = 0.3
    nine_astray: float = 0.08
    dim_share: float = 1e-3
    along_doubt: float = 1.0 / 80.0
    across_doubt: float = 4.0


FULL = NearFieldSettings()
"""For an answer that stays: the errors in DEVELOPERS are for these."""

DRAG = replace(
    FULL,
    across=0.5,
    along=6.0,
    at_ends=1.2,
    least_across_m=0.010,
    least_along_m=0.3,
    least_at_ends_m=0.12,
    smoother=1.5,
    bright_share=0.0,
)
"""While something is dragged: a third of the time, 1 to 7 % off."""
