"""Every id of the page in one place; the scripts know the same names (see ``assets/store.js``)."""

from __future__ import annotations

# Stores through which the server and the page speak
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
TROUBLE = "trouble"  # {text} to say
WALK_ASKED = "walk-asked"  # {place, setup, exposure, revision} while the walk-in look is chosen
HEIGHTS_ASKED = "heights-asked"  # {light, setup, system, revision} while that drawer is open
COMPARE_ASKED = "compare-asked"  # {first, second, revision} while that drawer is open
START_ASKED = "start-asked"  # counts how often the start card was opened
STUDY_PANELS = "study-panels"  # answers, cautions, load tree, setups: HTML by the id of its place
FORM_PANELS = "form-panels"  # the forms of what is in the hand, likewise
CHOICE_PANELS = "choice-panels"  # things to add, maps, places to look from, likewise
START_PANELS = "start-panels"  # the start card, likewise
HEIGHTS_PANELS = "heights-panels"  # one light at every height, likewise
COMPARE_PANELS = "compare-panels"  # two setups side by side, likewise

# Names that only the page's own store holds
LOOK = "look"  # "wall", "above", "side" or "walk"
PAINT = "paint"  # "glow", "lux" or "none"
PLACE = "place"  # from where the walk-in view looks

# Parts of the page
TITLE = "title"
HAND = "hand"
ANSWERS = "answers"
STUDY_TROUBLE = "study-trouble"
THING = "thing"
CAUTIONS = "cautions"
WARNED = "warned"  # how many cautions stand, always in sight
LOAD_TREE = "load-tree"
PLUGS = "plugs"  # what plugs into what, drawn
THINGS_TO_ADD = "things-to-add"
SETUPS = "setups"
THIS_SETUP = "this-setup"
START = "start"
BEGIN = "begin"  # a room of one's own in six questions
MAPS = "maps"
HEIGHTS = "heights"
COMPARE = "compare"
WALK = "walk"
FIND = "find-form"
PLACES = "places"
