"""Cords along their routes, as the study reckons them."""

from __future__ import annotations

from lumen.study.load.cord_runs import CordRun, Unplaced, cord_runs, place_of, unplaced

__all__ = ["CordRun", "Unplaced", "cord_runs", "place_of", "unplaced"]
