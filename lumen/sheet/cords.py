"""Cords along their routes, as the study reckons them."""

from __future__ import annotations

from lumen.study.cord_runs import CordRun, cord_runs, corners, place_of

__all__ = ["CordRun", "cord_runs", "corners", "place_of"]
