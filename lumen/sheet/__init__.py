"""The paper that a person takes to the wall and to the shop: one HTML file, and lists as CSV.

Print it with the browser at 100 % ("actual size", no "fit to page"); "save as PDF" in the print
dialog makes a PDF of it.
"""

from lumen.sheet.lists import lists, write_lists
from lumen.sheet.page import PAPERS, PARTS, script_hash, sheet

__all__ = ["PAPERS", "PARTS", "lists", "script_hash", "sheet", "write_lists"]
