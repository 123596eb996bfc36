"""What the box says: the text of a lamp's label or of a shop's page, read into fields.

Words and numbers come in any order, in several languages, with comma or point. What a lamp stands
in for ("= 40 W", "replaces 60 W") is never taken for what it draws. What is not there, or can be
read in two ways, is left out: nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lumen.scenario.plausible import band_of

__all__ = ["FOR_LIGHTS", "FOR_STRIPS", "Read", "read_box"]


@dataclass(frozen=True)
class Read:
    """One value read off a text: the field it is for, the value in SI, and where it stands."""

    field: str
    value: Any
    start: int
    end: int


FOR_LIGHTS: Mapping[str, str] = {
    "flux_lm": "lamp.flux_lm",
    "power_w": "lamp.power_w",
    "cct_k": "lamp.cct_k",
    "kind": "lamp.kind",
    "cap": "lamp.cap",
    "beam_deg": "distribution.beam_deg",
    "ra": "lamp.ra",
    "r9": "lamp.r9",
    "dims": "dims",
    "lowest_level": "lamp.lowest_level",
    "pst_lm": "lamp.pst_lm",
    "svm": "lamp.svm",
    "power_factor": "lamp.power_factor",
    "standby_w": "lamp.standby_w",
    "diameter_m": "lamp.diameter_m",
    "max_lamp_w": "max_lamp_w",
}
"""What a light takes from its box, and where in the light it belongs."""

FOR_STRIPS: Mapping[str, str] = {
    "flux_lm_per_m": "flux_lm_per_m",
    "power_w_per_m": "power_w_per_m",
    "volts": "volts",
    "cct_k": "cct_k",
    "leds_per_m": "leds_per_m",
    "width_m": "width_m",
    "cut_m": "cut_m",
    "ra": "ra",
    "r9": "r9",
    "dims": "dims",
    "lowest_level": "lowest_level",
    "pst_lm": "pst_lm",
    "svm": "svm",
}
"""What a strip takes from its reel, and where in the strip it belongs."""

_LONGEST = 4000
_LEAST_LM_PER_W = 35.0
"""Under this no LED lamp sold gives light (EU 2019/2020 asks for more than twice as much, from
memory): watts that would make it so are those of the lamp it stands in for."""

_FOOT_M = 0.3048
_N = r"(?<![\w.,])(\d+(?:[ .,'\u2019]\d{3}){1,4}(?![\d])|\d+(?:[.,]\d+)?|[.,]\d+)"
_MORE = r"(?:\s*(?:-|to|bis|\.\.\.?|/)\s*(\d+(?:[.,]\d+)?))?"
_GAP = r"[\s:=<>~+\-()\[\]]*(?:(?:ca|approx|about|min|max|typ)\.?\s*)?[\s:=<>~+\-]*"
_END = r"(?![\w])"


_SIGNS = {
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ", "\n": " ", "\r": " ",
    "\u2013": "-", "\u2014": "-", "\u2212": "-", "\u2265": ">", "\u2264": "<", "\u2248": "~",
    "\u2259": "=", "\u225c": "=", "\u2245": "=", "\u00ba": "\u00b0", "\uff05": "%", "\uff1d": "=",
}  # fmt: skip


def _plain(text: str) -> str:
    """The text in small letters with plain signs, letter for letter where it was."""
    small = (c.lower() if len(c.lower()) == 1 else c for c in text)
    return "".join(_SIGNS.get(c, c) for c in small)


def _value(written: str, thousands: bool) -> float:
    """A written number: a comma is a point, unless three digits follow it in a large unit."""
    digits = written.replace("'", "").replace("\u2019", "").replace(" ", "")
    if re.fullmatch(r"\d+(?:[.,]\d{3}){2,}", digits):
        return float(re.sub(r"[.,]", "", digits))
    if thousands and re.fullmatch(r"[1-9]\d*[.,]\d{3}", digits):
        return float(re.sub(r"[.,]", "", digits))
    return float(digits.replace(",", "."))


def _possible(one: Read) -> bool:
    """Whether such a thing exists: what does not was read wrongly."""
    if isinstance(one.value, str | bool):
        return True
    values = one.value if isinstance(one.value, tuple) else (one.value,)
    band = band_of("Lamp", one.field) or band_of("Light", one.field) or band_of("Strip", one.field)
    known = band or band_of("Beam", one.field)
    if known is None:
        return True
    low, high = known.possible
    may_be_nothing = one.field in ("r9", "pst_lm", "svm", "standby_w", "lowest_level")
    return all(low <= value <= high and (value > 0 or may_be_nothing) for value in values)


Reader = Callable[[str, str], Iterator[Read]]


def _amount(unit: str, *, thousands: bool = False, times: float = 1.0) -> Reader:
    """Read a number, or a range of two, before its unit."""
    pattern = re.compile(rf"{_N}{_MORE}\s*(?:{unit}){_END}")

    def reader(text: str, field: str) -> Iterator[Read]:
        for match in pattern.finditer(text):
            low = _value(match[1], thousands) * times
            high = _value(match[2], thousands) * times if match[2] else low
            if match[2] and low > high:
                continue
            value = round(low, 6) if high == low else (round(low, 6), round(high, 6))
            yield Read(field, value, match.start(1), match.end())

    return reader


def _one(reader: Reader) -> Reader:
    """Leave out ranges, for a field that is one number: white that can be tuned is not one."""

    def only(text: str, field: str) -> Iterator[Read]:
        for one in reader(text, field):
            if not isinstance(one.value, tuple):
                yield one

    return only


def _named(words: str, unit: str = "", *, times: float = 1.0, sign: bool = False) -> Reader:
    """Read the number after a word, the lower one of a range; ``sign`` takes a minus too."""
    minus = "(-?)" if sign else "()"
    gap = r"[\s:=<>~]*" if sign else _GAP
    number = r"(\d+(?:[.,]\d+)?|[.,]\d+)"
    pattern = re.compile(rf"(?<![\w])(?:{words}){gap}{minus}{number}(?:\s*(?:{unit}))?")

    def reader(text: str, field: str) -> Iterator[Read]:
        for match in pattern.finditer(text):
            value = float(match[2].replace(",", ".")) * times
            yield Read(field, round(-value if match[1] else value, 6), match.start(), match.end())

    return reader


def _before(words: str) -> Reader:
    """Read a number before a word: "90+ CRI"."""
    pattern = re.compile(rf"{_N}\s*\+?\s*(?:{words}){_END}")

    def reader(text: str, field: str) -> Iterator[Read]:
        for match in pattern.finditer(text):
            yield Read(field, _value(match[1], False), match.start(1), match.end())

    return reader


def _either(*readers: Reader) -> Reader:
    """Try readers one after the other."""

    def reader(text: str, field: str) -> Iterator[Read]:
        for one in readers:
            yield from one(text, field)

    return reader


_CAPS = {
    "e27": "E27", "e14": "E14", "e26": "E26", "e12": "E12", "e17": "E17", "b22": "B22d",
    "b22d": "B22d", "ba22d": "B22d", "b15d": "B15d", "ba15d": "B15d", "gu10": "GU10",
    "gu5.3": "GU5.3", "gu5,3": "GU5.3", "gu4": "GU4", "g4": "G4", "g9": "G9", "gx53": "GX53",
    "g23": "G23", "g24": "G24", "g24d": "G24", "g24q": "G24", "r7s": "R7s", "s14d": "S14d",
    "s14s": "S14s", "g5": "G5", "g13": "G13",
}  # fmt: skip
_CAP = re.compile(
    r"(?<![\w.,])(e[ -]?(?:12|14|17|26|27)|ba?22d?|ba?15d|gu[ -]?(?:10|5[.,]3|4)|gx[ -]?53"
    r"|g[ -]?(?:4|9|13|5|23)|g24[dq]?|r7s|s14[ds])"
    r"(?![\w]|[.,]\d|\s*(?:w|lm|v|k|mm|cm|\u00b0)(?!\w))"
)


def _cap(text: str, field: str) -> Iterator[Read]:
    for match in _CAP.finditer(text):
        name = match[1].replace(" ", "").replace("-", "")
        if name in _CAPS:
            yield Read(field, _CAPS[name], match.start(), match.end())


_STANDS_IN = (
    r"equivalent\w*|\u00e9quivalent\w*|equivale\w*|equiv\.?|eq\.|replac\w*|remplace\w*|ersetzt\w*"
    r"|ersatz\w*|entspricht|entsprechend|vervangt|sostituisce|sustituye|sustituci\u00f3n"
    r"|zast\u0119puje|ers\u00e4tter|erstatter|korvaa|wie|like|instead of|statt|anstatt"
    r"|comparable\w*"
    r"|vergleichbar\w*|incandescent|gl\u00fchlampe\w*|old bulb\w*"
)
_KINDS = (
    (r"led\w*", "led"),
    (r"hal+og[e\u00e8]n\w*|alogena\w*", "halogen"),
    (r"gl\u00fchlampe\w*|gl\u00fchbirne\w*|incandescen\w*|tungsten", "incandescent"),
    (r"fluorescen\w*|cfl\w*|leuchtstoff\w*|energiesparlampe\w*", "fluorescent"),
)


def _kind(text: str, field: str) -> Iterator[Read]:
    for words, kind in _KINDS:
        for match in re.finditer(rf"(?<![\w])(?:{words})", text):
            before, after = (
                text[max(0, match.start() - 30) : match.start()],
                text[match.end() :][:20],
            )
            beside = re.search(rf"(?:{_STANDS_IN}|=)[^,;|]*$", before)
            if kind == "led" or not (beside or re.match(rf"[^,;|]*?(?:{_STANDS_IN})", after)):
                yield Read(field, kind, match.start(), match.end())


_DIM = (
    r"dimm?able|dimmbar\w*|dimbaar|dimbar\w*|dimmerabile|dimmerabili|regulable\w*|gradable\w*"
    r"|variateur|\u015bciemnia\w*|himmennett\w*|d\u00e6mpbar\w*"
)
_NO = r"non|not|no|nicht|niet|ikke|inte|ej|nie|sans|un|pas|ne|ei"
_DIMS = re.compile(
    rf"(?<![\w])((?:{_NO})[\s-]*)?({_DIM})(?:\s*[:=?]\s*(no|nein|non|nee|nej|false|\u2717|x)(?![\w]))?"
)


def _dims(text: str, field: str) -> Iterator[Read]:
    for match in _DIMS.finditer(text):
        yield Read(field, not (match[1] or match[3]), match.start(), match.end())


_DIMS_TO = re.compile(
    r"(?<![\w])(?:dim\w*|d\u00e4m\w*|dimmbereich|lowest level)[^\d%;|]{0,40}?"
    r"(?<![\d.,])(\d{1,3}(?:[.,]\d+)?)\s*(?:%)?\s*(?:-|to|bis|\.\.\.?)?\s*(?:(\d{1,3})\s*)?%"
)


def _lowest(text: str, field: str) -> Iterator[Read]:
    for match in _DIMS_TO.finditer(text):
        shares = [float(part.replace(",", ".")) for part in match.groups() if part]
        if min(shares) < 100:
            yield Read(field, round(min(shares) / 100, 6), match.start(), match.end())


_TURNS = re.compile(
    r"(?:rotat\w*|turn\w*|tilt\w*|swivel\w*|pan|dreh\w*|schwenk\w*|neig\w*|orient\w*|gelenk\w*"
    r"|adjust\w*|pivot\w*|draai\w*|kantel\w*|hue|phase)[^.;,|]*$"
)
_BEAM_WORD = (
    r"beam(?: angle)?|abstrahlwinkel|ausstrahlungswinkel|ausstrahlwinkel|halbwertswinkel"
    r"|stralingshoek|angle (?:de|du) faisceau|faisceau|angolo del fascio|fascio"
    r"|\u00e1ngulo de(?:l)? (?:haz|apertura)|lichtbundel|bundelhoek|k\u0105t \u015bwiecenia"
    r"|spridningsvinkel|str\u00e5levinkel|viewing angle|light angle"
)
_ANGLE = re.compile(
    rf"{_N}\s*(?:\u00b0(?!\s*[cf](?!\w))|deg(?:rees?)?{_END}|grad(?:en|os|er)?{_END}|degr\u00e9s?{_END}|gradi{_END})"
)
_BEAM = re.compile(rf"(?<![\w])(?:{_BEAM_WORD}){_GAP}(\d+(?:[.,]\d+)?)(?!\s*(?:lm|w|k)(?!\w))")


def _beam(text: str, field: str) -> Iterator[Read]:
    for match in _BEAM.finditer(text):
        value = float(match[1].replace(",", "."))
        if 2 <= value < 180:
            end = match.end()
            sign = re.match(r"\s*(?:\u00b0|deg(?:rees?)?|grad)", text[end:])
            yield Read(field, value, match.start(1), end + (sign.end() if sign else 0))
    for match in _ANGLE.finditer(text):
        before = text[max(0, match.start() - 30) : match.start()]
        if _TURNS.search(before) or re.search(r"field angle[^\d]*$", before):
            continue
        if re.match(
            r"\s*-?\s*(?:rotat|turn|tilt|swivel|dreh|schwenk|neig|pivot|adjust)",
            text[match.end() :],
        ):
            continue
        if 2 <= (value := _value(match[1], False)) < 180:
            yield Read(field, value, match.start(1), match.end())


_CODE = re.compile(
    r"(?:(?:colou?r(?: code)?|lichtfarbe|farbe|teinte|kleur|code)[\s:=]*|/)"
    r"([789])(22|25|27|30|35|40|50|65)(?![\w.,%\u00b0])"
)


def _code(place: int) -> Reader:
    """Read the three digits of tubes and compact lamps: 827 is Ra 80 or more, 2700 K."""

    def reader(text: str, field: str) -> Iterator[Read]:
        for match in _CODE.finditer(text):
            value = float(match[place]) * (10 if place == 1 else 100)
            yield Read(field, value, match.start(1), match.end(2))

    return reader


_WATT = rf"(?:w|watts?|wat|vatios?|watios?){_END}(?!\s*(?:/|per|pro|je|par|por)\s*[a-z])"
_WATTS = re.compile(rf"{_N}{_MORE}\s*{_WATT}")
_ASIDE = re.compile(r"stand-?\s?by|bereitschaft\w*|veille|leerlauf\w*|no.?load|ruhe\w*")
_AT_MOST = re.compile(
    r"max(?:imum|imal|imale|\.)?(?:\s*(?:lamp|bulb|leuchtmittel|load))?[\s:=]*"
    r"(?:\d+\s*[x\u00d7]\s*)?$"
)


def _watts(text: str, by_field: Mapping[str, Read], labelled: Read | None) -> Read | None:
    """The watts that a lamp draws: the smallest that is said of itself, or what a label tells."""
    own = []
    matches = list(_WATTS.finditer(text))
    for number, match in enumerate(matches):
        low = _value(match[1], False)
        high = _value(match[2], False) if match[2] else low
        others = (matches[number - 1] if number else None, *matches[number + 1 : number + 2])
        if 0 < low <= high and not _stands_in(text, match, *others):
            value = low if low == high else (low, high)
            own.append(Read("power_w", value, match.start(1), match.end()))
    own = own or [one for one in (labelled,) if one is not None]
    flux = by_field["flux_lm"].value if "flux_lm" in by_field else None
    kind = by_field["kind"].value if "kind" in by_field else "led"
    if flux is not None and kind in ("led", "fluorescent"):
        least = flux[0] if isinstance(flux, tuple) else flux
        own = [one for one in own if least >= _LEAST_LM_PER_W * _highest(one)]
    own = [one for one in own if _possible(one)]
    return min(own, key=_highest, default=None)


_STANDS = re.compile(rf"(?<![\w])(?:{_STANDS_IN})|(?<!power )=")
_STOOD = re.compile(
    r"(?<![\w])(?:equiv\w*|\u00e9quiv\w*|eq\.|replacement|ersatz\w*|incandescent|gl\u00fchlampe\w*"
    r"|old bulb\w*)"
)


def _stands_in(
    text: str,
    match: re.Match[str],
    last: re.Match[str] | None = None,
    following: re.Match[str] | None = None,
) -> bool:
    """Whether watts are those of another lamp, or of this one while it is off or at most."""
    # What another number stands before or behind belongs to that number.
    near = re.split(r"\d|[;|]", text[max(0, match.start() - 32) : match.start()])[-1]
    behind = re.split(r"\d|[;|,]", text[match.end() :][:28])[0]
    before = text[max(0, match.start() - 32) : match.start()]
    if _ASIDE.search(near) or _AT_MOST.search(before):
        return True
    mine = _value(match[1], False)
    if _STANDS.search(near):
        other = last is not None and match.start() - last.end() == len(near)
        return not other or last is None or mine > _value(last[1], False)
    if following is not None and following.start() - match.end() == len(behind):
        return bool(_STANDS.search(behind)) and mine > _value(following[1], False)
    return bool(_STOOD.search(behind))


def _highest(one: Read) -> float:
    return float(one.value[1] if isinstance(one.value, tuple) else one.value)


def _max_lamp(text: str, field: str) -> Iterator[Read]:
    for match in _WATTS.finditer(text):
        if not match[2] and _AT_MOST.search(text[max(0, match.start() - 32) : match.start()]):
            yield Read(field, _value(match[1], False), match.start(1), match.end())


def _volts(text: str, field: str) -> Iterator[Read]:
    for one in _one(_amount(r"v(?:olts?)?(?:\s*dc)?"))(text, field):
        if one.value in (5, 12, 24, 48):
            yield Read(field, int(one.value), one.start, one.end)


_PER_M = r"\s*(?:/|per|pro|je|par|por|al)\s*(?:m|mtr|met(?:er|re|ro)s?|m\u00e8tre)"
_PER_FT = r"\s*(?:/|per)\s*(?:ft|foot|feet)"
_LM = r"lm|lumens?|l\u00famenes|l\u00famen|lumen\u00f3w"
_LEDS = r"leds?|dioden|diodes?|chips?"
_MM = {"mm": 0.001, "cm": 0.01}


def _lengths(words: str, *, behind: str = "") -> Reader:
    """Read a length after a word, or before one."""
    after = re.compile(
        rf"(?<![\w])(?:{words})\s*[:=~]*\s*(?:of|von|alle|every|each)?\s*{_N}\s*(mm|cm){_END}"
    )
    before = re.compile(rf"{_N}\s*(mm|cm)\s*(?:{behind}){_END}") if behind else None

    def reader(text: str, field: str) -> Iterator[Read]:
        for pattern in (after, before):
            for match in pattern.finditer(text) if pattern is not None else ():
                value = round(_value(match[1], False) * _MM[match[2]], 6)
                yield Read(field, value, match.start(1), match.end(2))

    return reader


_RA = (
    r"cri(?:\s*/\s*ra|\s*\(ra\))?|ra(?:\s*/\s*cri)?|irc"
    r"|colou?r rendering(?: index)?(?:\s*\(?(?:cri|ra)\)?)?"
    r"|farbwiedergabe(?:index)?(?:\s*\(?(?:cri|ra)\)?)?|kleurweergave(?:-?index)?"
    r"|indice de rendu des couleurs|\u00edndice de reproducci\u00f3n crom\u00e1tica"
)

_NO_UNIT = (
    r"(?![\d.,]*\d)(?!\s*(?:v|vac|vdc|hz|h|hours?|stunden|mm|cm|m|a|ma|lm|w|kwh|k|years?|%|\u00b0|/)"
    r"(?!\w))"
)
_BARE = r"\s*(?:\(\w{1,6}\)|in \w{1,6})?\s*[:=|]\s*"


def _labelled(words: str, *, thousands: bool = False) -> Reader:
    """Read a number without a unit behind its label and a colon: "Lumens: 470"."""
    pattern = re.compile(rf"(?<![\w])(?:{words}){_BARE}{_N}{_NO_UNIT}")

    def reader(text: str, field: str) -> Iterator[Read]:
        for match in pattern.finditer(text):
            near = re.split(r"\d|[;|]", text[max(0, match.start() - 32) : match.start()])[-1]
            if not re.search(rf"(?<![\w])(?:{_STANDS_IN})", near):
                yield Read(field, _value(match[1], thousands), match.start(), match.end())

    return reader


_READERS: Mapping[str, Reader] = {
    "flux_lm": _either(
        _amount(rf"(?:{_LM})(?!\s*(?:/|per|pro|je|par|por)\s*\w)", thousands=True),
        _labelled(r"lumens?|luminous flux|lichtstrom|flux lumineux|brightness", thousands=True),
    ),
    "power_w": _labelled(r"watts?|wattage|power(?: consumption)?|leistung|puissance"),
    "cct_k": _either(
        _one(_amount(r"k(?:elvin)?", thousands=True)),
        _labelled(r"colou?r temperature|farbtemperatur|kelvin|cct", thousands=True),
        _code(2),
    ),
    "kind": _kind,
    "cap": _cap,
    "beam_deg": _beam,
    "ra": _either(_named(_RA), _before(r"cri|ra"), _code(1)),
    "r9": _named(r"r9", sign=True),
    "dims": _dims,
    "lowest_level": _lowest,
    "pst_lm": _named(r"pst\s*[-_]?\s*lm|pst"),
    "svm": _named(r"svm|stroboscopic effect(?:\s*\(svm\))?|stroboskop\w*(?:\s*\(svm\))?"),
    "power_factor": _named(
        r"power factor(?:\s*\(?pf\)?)?|pf|cos\s*\u03c6|cos\s*phi|leistungsfaktor|\u03bb|dpf"
    ),
    "standby_w": _named(
        r"(?:stand-?\s?by|bereitschaft\w*|veille)(?:\s*(?:power|verbrauch|consumption))?", "w"
    ),
    "diameter_m": _lengths(
        r"\u00f8|\u2300|dia(?:meter|m)?\.?|durchmesser|diam\u00e8tre|di\u00e1metro"
    ),
    "max_lamp_w": _max_lamp,
    "flux_lm_per_m": _either(
        _amount(rf"(?:{_LM}){_PER_M}", thousands=True),
        _amount(rf"(?:{_LM}){_PER_FT}", thousands=True, times=1 / _FOOT_M),
    ),
    "power_w_per_m": _either(
        _amount(rf"(?:w|watts?){_PER_M}"),
        _amount(rf"(?:w|watts?){_PER_FT}", times=1 / _FOOT_M),
    ),
    "volts": _volts,
    "leds_per_m": _either(
        _one(_amount(rf"(?:{_LEDS}){_PER_M}")),
        _one(_amount(rf"(?:{_LEDS}){_PER_FT}", times=1 / _FOOT_M)),
    ),
    "width_m": _lengths(
        r"width|wide|breite|breit|largeur|breedte|pcb", behind=r"wide|breit|pcb|width|large|breed"
    ),
    "cut_m": _lengths(
        r"cut(?:table|ting)?(?: unit| mark| length)?s?(?: every)?|schneidbar|teilbar|k\u00fcrzbar"
        r"|s\u00e9cable tous les"
    ),
}  # fmt: skip

_ORDER = (
    "flux_lm", "power_w", "flux_lm_per_m", "power_w_per_m", "volts", "cct_k", "kind", "cap",
    "beam_deg", "ra", "r9", "dims", "lowest_level", "pst_lm", "svm", "power_factor", "standby_w",
    "diameter_m", "max_lamp_w", "leds_per_m", "width_m", "cut_m",
)  # fmt: skip


def read_box(text: str) -> dict[str, Read]:
    """Return what a text says of a lamp or strip, by field of the document.

    Parameters
    ----------
    text
        As it was pasted; what is past 4,000 letters is not read.

    Returns
    -------
    dict
        Values in SI under the names of the document's fields (``flux_lm``, ``power_w_per_m`` ...),
        each with where it stands in ``text``. A range is a pair, low first.

    Examples
    --------
    >>> by_field = read_box("470 lm 5,5 W (= 40 W) 2700K E27 36° dimmbar Ra90")
    >>> {field: one.value for field, one in by_field.items()}
    {'flux_lm': 470.0, 'power_w': 5.5, 'cct_k': 2700.0, 'cap': 'E27', 'beam_deg': 36.0, \
'ra': 90.0, 'dims': True}
    >>> by_field["power_w"].start, by_field["power_w"].end
    (7, 12)
    """
    plain = _plain(text[:_LONGEST])
    by_field: dict[str, Read] = {}
    for field, reader in _READERS.items():
        for one in reader(plain, field):
            if _possible(one):
                by_field.setdefault(field, one)
                break
    labelled = by_field.pop("power_w", None)
    watts = _watts(plain, by_field, labelled)
    if watts is not None:
        by_field["power_w"] = watts
    return {field: by_field[field] for field in _ORDER if field in by_field}
