"""Every id of the page in one place. ``assets/page.js`` and ``bridge.js`` know the same names."""

from __future__ import annotations

# Stores that hold state
COMMAND = "command"  # what the hand, the keys and the forms ask for
DOCUMENT = "document"  # {revision, plan}: the one document; one callback writes it
ANSWERED = "answered"  # how the last command fared: {stamp, faults, revision}
STUDY = "study"  # the study's JSON
READY = "ready"  # {revision, trouble}: the study of this document is reckoned
FIELDS = "fields"  # maps for the drawings
SHOWN = "shown"  # what the words on screen belong to: {revision, setup}
SELECTION = "selection"  # ids of what is in the hand
SETUP = "setup"  # id of the setup that is shown
SYSTEM = "system"  # "cm" or "ft-in"
LOOK = "look"  # "wall", "above" or "walk"
PAINT = "paint"  # "glow", "lux" or "none"
EXPOSURE = "exposure"  # luminance that is drawn at 63 % of the screen's light [cd/m2]
PLACE = "place"  # from where the walk-in view looks
CAUTION = "caution"  # number of the caution whose mark was pressed
HISTORY = "history"  # {undo, redo}: what can be undone
TROUBLE = "trouble"  # {text, faults} to say
SERVER = "server"  # "here" or "lost"
OPENED = "opened"  # which file the server was started with, if any
WALK_ASKED = "walk-asked"  # {place, setup, exposure, revision} while the walk-in look is chosen
HEIGHTS_ASKED = "heights-asked"  # {light, setup, system, revision} while that drawer is open
COMPARE_ASKED = "compare-asked"  # {first, second, revision} while that drawer is open
START_ASKED = "start-asked"  # counts how often the start card was opened
SKETCHED = "sketched"  # a stamp of the plan that is drawn, lit or not yet
DRAWN = "drawn"  # a stamp of what the drawings show
SAID = "said"  # answers, cautions, load tree, setups as HTML, by the id of their place
HELD = "held"  # the forms of what is in the hand, likewise
OFFERED = "offered"  # things to add, maps, places to look from, likewise
ASKED = "asked"  # the start card, likewise
SWEPT = "swept"  # one light at every height, likewise
COMPARED = "compared"  # two setups side by side, likewise
TOLD = "told"  # a stamp of what was said in the toast

# Parts of the page
TITLE = "title"
HAND = "hand"
ANSWERS = "answers"
STUDY_TROUBLE = "study-trouble"
THING = "thing"
CAUTIONS = "cautions"
WARNED = "warned"  # how many cautions stand, always in sight
LOAD_TREE = "load-tree"
THINGS_TO_ADD = "things-to-add"
SETUPS = "setups"
THIS_SETUP = "this-setup"
START = "start"
MAPS = "maps"
HEIGHTS = "heights"
COMPARE = "compare"
WALK = "walk"
FIND = "find-form"
PLACES = "places"
