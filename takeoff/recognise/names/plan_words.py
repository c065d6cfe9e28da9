"""What a piece of text on a plan says: a room's name, its number, an area, a height, a level, or a note.

Names of rooms are told from remarks about them by their words, their layer, and their height."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

import msgspec

from takeoff.recognise.names.keyed_words import Keyed, keyed, with_names
from takeoff.recognise.names.sizes_of_rooms import size_in

Kind = Literal["name", "number", "area", "height", "mark", "size", "room-size", "door-note", "figure", "note", "sheet"]

SQUARE_FOOT_M2 = 0.09290304
"""exact: 0.3048 squared"""
HIGHEST_M, LOWEST_M = 15.0, 1.8
"""A ceiling height outside this range is something else (common practice, no source)."""
LONGEST_NAME = 48
LETTER_WIDTH = 0.65
"""Of a letter's height (common practice, no source)."""

_NUMBER = r"(\d{1,3}(?:[ '’,.]\d{3})+(?:[.,]\d{1,3})?|\d+(?:[.,]\d+)?)"
_METRIC = (
    r"(?:m\s?[²2](?![0-9])|m\^2|m\*\*2|m\.?q\b\.?|sq\.?\s?m(?:trs?|ts?|etres?|eters?)?\b|square\s+met(?:er|re)s?|qm\b|"
    r"кв\.?\s?м\.?|м\s?[²2]|τ\.?\s?μ\.?|㎡|平方?米|平方メートル|평방미터|metri\s+quadr\w+|metros\s+cuadrados|m[eè]tres\s+carr[eé]s|"
    r"quadratmeter|vierkante\s+meter|m\.?kw\b\.?)"
)
_FEET = r"(?:sq\.?\s?(?:ft|feet|foot)\b\.?|s\.?f\.?\b|ft\s?[²2]|square\s+feet)"
_AREA_WORD = (
    r"(?:area|fläche|flaeche|fl|surface|surf|superficie|superf|sup|oppervlakte|opp|площадь|площа|pow|powierzchnia|"
    r"wohnfläche|área|plocha|yta|areal|ala|面积|面積|alan|nrf|ngf|nuf|bgf|nia|gia|wfl|shab|pinta-ala|a|f|s|su)"
)
_AREA_UNIT = re.compile(rf"(?:{_AREA_WORD}\s*[:=.]?\s*)?{_NUMBER}\s*({_METRIC}|{_FEET})", re.I)
_UNIT_FIRST = re.compile(rf"(?<![\w.])(?:mq|m²|qm|㎡|sqm|s\.?q\.?m|м²)\.?\s*[:=]?\s*{_NUMBER}(?![\d.,/x×:])", re.I)
"""mq. 12,50"""
_AREA_PREFIX = re.compile(rf"^\s*{_AREA_WORD}\s*[:=]\s*{_NUMBER}\s*$", re.I)
_HEIGHT = re.compile(
    r"^\s*(?:c\.?h\.?|clg\.?(?:\s*ht\.?)?|ceiling(?:\s+height)?|r\.?h\.?|rh|lrh|lh|lichte\s+(?:höhe|hoehe)|"
    r"rht|hsp|h\.?s\.?p\.?|haut(?:eur)?|alt(?:ura|ezza)?|hoogte|высота|h)\s*[:=.]?\s*(?:±\s*)?"
    r"(\d+(?:[.,]\d+)?)\s*(mm|cm|m|м|мм|)\s*$",
    re.I,
)
_ROOM_NUMBER = re.compile(
    r"^(?:(?:room|raum|rm|r|zimmer|no|nr|№)\.?\s*)?"
    r"((?:[A-ZА-ЯΑ-Ω]{1,3}[-. ]?)?\d{1,4}(?:[.\-/]\d{1,4}){0,3}[A-Za-zа-я]?)$",
    re.I,
)
_MARK = re.compile(r"^(?:D|W|T|F|P|V|J|WD|DR|WN|Д|О|ОК|OK|Ф|Θ|Π)[-. ]?\d{1,3}[a-z]?$", re.I)
_SIZE = re.compile(r"^\s*(\d{2,4}(?:[.,]\d+)?)\s*[x×х*/]\s*(\d{2,4}(?:[.,]\d+)?)\s*(?:mm|cm|m)?\s*$", re.I)
_DOOR_NOTE = re.compile(
    r"двер|\bdoor|\btür|\btuer|\bporte\b|\bpuerta|\bporta\b|\bdeur|\bdrzwi|πόρτα|"
    r"\bfenster\b|\bwindow\b|\bокно\b|\bfen[eê]tre\b",
    re.I,
)
_SIDE = r"\d{1,4}(?:[.,]\d+)?(?:\s*['’′]\s*-?\s*(?:\d{1,2}(?:\.\d+)?)?\s*[\"”″]?)?"
_SIZED_THING = re.compile(rf"^(?:\(?\d{{1,2}}\)?\s*[#@–-]\s*)?{_SIDE}\s*[x×X]\s*{_SIDE}\s+\W*[^\W\d]{{2}}")
"""What begins with two sides, or with how many there are of such, is a thing of that size, a door or a tile: rooms
have their name first."""
_FIGURE = re.compile(r"^[\s\d.,:;+\-–±°%/\\'\"’×xX=~()<>²³#*]*$")
_NOISE = re.compile(
    r"^(?:up|dn|down|auf|ab|вверх|вниз|fd|rwp|svp|typ\.?|ffl|ofl|fl|n|scale.*|1\s*:\s*\d+.*|"
    r"level\s*[+\-±].*|\+?/?-?\d.*\s*(?:ffl|ssl)|do not scale.*)$",
    re.I,
)


class Words(msgspec.Struct, frozen=True):
    """One line of text and what it says. ``value``: m² of an area, mm of a height;
    ``rounding``: half a unit of the last place that is written, in the same unit."""

    kind: Kind
    text: str
    value: float = 0.0
    rounding: float = 0.0


def _figure(text: str) -> tuple[float, float]:
    """(value, half a unit of its last place); a lone comma or point is a decimal mark, unless
    exactly three digits follow a group that a mark already ended."""
    text = re.sub(r"[ '’]", "", text)
    if "," in text and "." in text:
        last = max(text.rfind(","), text.rfind("."))
        text = re.sub(r"[.,]", "", text[:last]) + "." + text[last + 1 :]
    text = text.replace(",", ".")
    if text.count(".") > 1:
        text = text.replace(".", "")
    places = len(text.partition(".")[2])
    return float(text), 0.5 * 10.0**-places


def area_in(text: str, bare: bool = True) -> tuple[float, float, tuple[int, int]] | None:
    """(m², rounding in m², where in the text) of the first printed area, or None. ``bare``: a figure
    without a unit after a word for areas ("A = 12.5") is one too.

    >>> area_in("Camera mq 14,20")[0], area_in("12.5 qm")[0], area_in("A = 7", bare=False)
    (14.2, 12.5, None)
    """
    match = _AREA_UNIT.search(text)
    if match is not None:
        feet = re.match(_FEET, match[2], re.I) is not None
        figure = re.sub(r",(?=\d{3}\b)", "", match[1]) if feet else match[1]
        value, rounding = _figure(figure)
        factor = SQUARE_FOOT_M2 if feet else 1.0
        return value * factor, rounding * factor, match.span()
    match = _UNIT_FIRST.search(text) or (_AREA_PREFIX.match(text) if bare else None)
    if match is not None:
        value, rounding = _figure(match[1])
        return value, rounding, match.span()
    return None


def height_in(text: str) -> float | None:
    """A printed ceiling height in mm, or None."""
    match = _HEIGHT.match(text)
    if match is None:
        return None
    value, _ = _figure(match[1])
    unit = match[2].lower()
    metres = {"mm": 0.001, "мм": 0.001, "cm": 0.01, "m": 1.0, "м": 1.0}.get(unit)
    if metres is None:
        metres = 1.0 if value < HIGHEST_M else 0.01 if value < 1000 * LOWEST_M else 0.001
    height_m = value * metres
    return height_m * 1000.0 if LOWEST_M <= height_m <= HIGHEST_M else None


def lines_of(text: str) -> list[str]:
    """The lines of a text, each with single blanks."""
    return [re.sub(r"\s+", " ", line).strip() for line in re.split(r"[\r\n]+|\\P", text)]


def read(text: str, tag: str = "", captions: bool = False) -> tuple[Words, ...]:
    """What each line says, in order; lines that carry nothing are left out.

    ``tag``: of a block attribute, which can tell a number from a name. ``captions``: other labels of the drawing tell
    names of rooms under captions.
    """
    lines = lines_of(text)
    named = captions or with_names(lines)
    found: list[Words] = []
    for line in lines:
        said = keyed(line)
        if said is not None and (told := _told(said, line, named)) is not None:
            found.extend(told)
        elif bare := line.strip(" \t:;|"):
            found.extend(_line(bare, tag.lower()))
    return tuple(found)


def _told(said: Keyed, line: str, named: bool) -> list[Words] | None:
    """What a line with a caption says; None where it is to be read as it stands. ``named``: names stand
    under captions, so that what others tell (who uses a room, what it belongs to) is none."""
    if said.key == "gross" and said.value:
        return [Words("note", line)]
    if said.key == "area" and (area := area_in(said.value)) is not None:
        return [Words("area", said.value, *area[:2])]
    if said.key == "name" and said.value:
        return _line(said.value, "")
    if said.key == "number" and any(c.isdigit() for c in said.value):
        return [Words("number", said.value)]
    return [Words("note", line)] if named else None


def _line(line: str, tag: str) -> list[Words]:
    area = area_in(line)
    if area is not None:
        value, rounding, (start, end) = area
        rest = (line[:start] + " " + line[end:]).strip(" -–,;:/()[]=")
        others = [w for w in _line(rest, "") if w.kind in ("name", "number")] if rest else []
        return [*others, Words("area", line[start:end], value, rounding)]
    height = height_in(line)
    if height is not None:
        return [Words("height", line, height)]
    return _plain(line, tag)


def _plain(line: str, tag: str) -> list[Words]:
    if re.search(r"area|fläche|flaeche|surf|площ|opp", tag) and re.fullmatch(_NUMBER, line):
        value, rounding = _figure(line)
        return [Words("area", line, value, rounding)]
    if re.search(r"n(?:um|o\b|r\b)|номер", tag) and not re.search(r"name", tag) and len(line) < 16:
        return [Words("number", line)]
    if _NOISE.match(line):
        return [Words("note", line)]
    if _SIZE.match(line):
        return [Words("size", line)]
    if size_in(line) is not None:
        return [Words("room-size", line)]
    if _MARK.match(line):
        return [Words("mark", line)]
    number = _ROOM_NUMBER.match(line)
    if number is not None:
        return [Words("number", number[1])]
    if _FIGURE.match(line) or sum(c.isalpha() for c in line) < 2:
        return [Words("figure", line)]
    if _DOOR_NOTE.search(line):
        return [Words("door-note", line)]
    if _SIZED_THING.match(line):
        return [Words("note", line)]
    return _name(line)


def _name(line: str) -> list[Words]:
    if len(line) > LONGEST_NAME or line.count(" ") > 6:
        return [Words("note", line)]
    split = re.match(r"^([A-ZА-Я]{0,2}[-.]?\d{1,4}(?:\.\d{1,3}){0,2}[a-z]?)[\s:–-]+(\D.*)$", line)
    if split is not None:
        return [Words("number", split[1]), Words("name", split[2].strip())]
    split = re.match(r"^(\D*[^\d\s].*?)\s+((?:[A-Z]{1,2}[-.]?)?\d{2,4}[A-Za-z]?)$", line)
    if split is not None:
        return [Words("name", split[1].strip(" :-")), Words("number", split[2])]
    return [Words("name", line)]


_NEVER = re.compile(
    # what a remark begins with
    r"^(?:line\s+of|see\b|refer|as\s+per|provide|ensure|allow\s+for|denotes|indicates|note\b|notes\b|"
    r"n\.?b\.?\b|all\s+\w+\s+(?:to|are)\b|siehe|gem\.|lt\.|voir|selon|ver\b|seg[uú]n|vedi|come\s+da|"
    r"zie\b|volgens|zob\.|см\.)|"
    # heights and slopes
    r"\b(?:ridge|eaves|wall\s?plate|sloping|slope[ds]?|coved|vaulted|raked?\s+ceiling|ceiling\s+(?:level|height|"
    r"at|void)|clg\b|ffl|ssl|sfl|okff|okrf|ukrd|ukd|falls?\s+to|gradient|dachschr[äa]ge|schr[äa]ge|firstlinie|"
    r"firsth[öo]he|traufe|kniestock|drempel|neigung|gef[äa]lle|fa[iî]tage|sabli[èe]re|rampant|sous[\s-]*pente|"
    r"hsp|hsfp|faux[\s-]*plafond|pendenza|colmo|gronda|cumbrera|alero|pendiente|nokhoogte|goothoogte|"
    r"schuin\s+dak|vrije\s+hoogte|kalenica|okap|skos)\b|"
    # what hangs or lies above
    r"\b(?:over|above|overhead|below|beneath)\s*$|\b(?:over|above)\s+(?:dashed|shown)|\bdashed\b|\bdotted\b|"
    r"\b(?:beam|downstand|bulkhead|lintel|rooflight|roof\s*light|skylight|soffit|purlin|truss|lantern)s?\b\s*"
    r"(?:over|above|\d|$|to\b|line|\()|\b(?:unterzug|sturz|dachfl[äa]chenfenster|dff|oberlicht|dar[üu]ber|"
    r"gestrichelt|poutre|retomb[ée]e|au[\s-]*dessus|pointill[ée]s?|tr[ée]mie|vel[uú]x|trave|travi|sopra|"
    r"lucernario|viga|encima|claraboya|balk|boven|daklicht|podci[ąa]g|nad\b|конёк|конек|свес|балка|над\b|"
    r"выше|антресоль\s+над)\b|"
    # instructions
    r"\bdo\s+not\b|\bto\s+be\s+(?:removed|retained|confirmed|demolished|made)|\bto\s+(?:match|detail|spec)|"
    r"\btyp(?:ical)?\.\s*$|\bt\.?b\.?c\.?$|\bc/w\b|\bapprox\b|\bdrg\b|\bdwg\b|\bdetail\s+\w{1,4}\d",
    re.I,
)
_PERHAPS = re.compile(
    r"\b(?:over|above|below|under|high|void\s+over|see|typ|min|max|existing|new|fall|scale|über|unter|"
    r"bestand|neu|höhe|first|hauteur|существ)\b",
    re.I,
)
_BRACKETED = re.compile(r"\s*[(（[].*[)）\]]\s*")
_LEVEL = re.compile(
    r"^(?P<what>[A-Za-zА-Яа-я.\s]{0,14}?)\s*[:=]?\s*(?P<sign>[+\-−–±]|\+/-|%%p)\s*"
    r"(?P<figure>\d{1,3}[.,]\d{1,3}|\d{2,6}|0)\s*(?P<unit>mm|m|м|cm)?\s*"
    r"(?P<after>ffl|okff|oka?|ssl|sfl)?$",
    re.I,
)
_RAW_LEVEL = re.compile(
    r"ssl|sfl|okrf|okrd|ukrd|ukd|uk\b|roh|brut|toc|tos|soffit|ridge|eaves|sill|head|"
    r"traufe|first|parapet|terrain|ground\s+level|\bgl\b|road",
    re.I,
)
_THINGS = re.compile(
    r"(?:lcd\s*|led\s*)?t\.?\s?v\.?(?:\s*(?:unit|set|stand|rack))?|d\.?w\.?|w\.?/?m\.?|frg\.?|fridges?|ref\.?|refrigerators?|"
    r"freezers?|ovens?|micro(?:wave)?|hobs?|cookers?|sinks?|h\.?w\.?\s+sink|dish\s?washers?|washing\s+machines?|dryers?|"
    r"wash\s?basins?|beds?|double\s+bed|sofas?|(?:dining\s+)?tables?|wardrobes?|almirahs?|cupboards?|shelf|shelves|"
    r"sp[üu]lmaschine|gsp|wama|waschmaschine|trockner|k[üu]hlschrank|herd|backofen|sp[üu]le|schrank|bett|tisch|"
    r"lave-linge|lave-vaisselle|frigo|four|[ée]vier|lit|placard|tanquinhos?|geladeira|fog[ãa]o|pia|cama|mesa|"
    r"lavadora|lavavajillas|nevera|horno|fregadero|armario|lavatrice|lavastoviglie|forno|lavello|letto|armadio|tavolo",
    re.I,
)
"""Words on furniture and appliances: they name no room that has a better name."""
LONG_NAME_WORDS = 4
SMALL = 0.75
"""What is written with letters lower than this part of the room's highest is a remark there."""


class Named(NamedTuple):
    """A text that may name a room: whether it stands on a layer of remarks, and its letters' height."""

    text: str
    on_notes: bool = False
    height: float = 0.0


def is_remark(text: str) -> bool:
    """Whether a text speaks of heights, slopes, what hangs above or other drawings, and so names no
    room even where nothing else does."""
    return bool(_NEVER.search(text.strip()))


def may_be_remark(text: str) -> bool:
    """Whether a text names a room only where nothing else does: it has words or figures that remarks
    have, stands in brackets, or starts with a small letter."""
    worded = bool(_PERHAPS.search(text) or re.search(r"\d{3}", text) or _BRACKETED.fullmatch(text))
    return is_remark(text) or worded or text[:1].islower()


def names_among(texts: list[Named], areas: int = 0) -> tuple[str, ...]:
    """Those that name a room, in their order, without repeats.

    On layers of remarks, on things, in many words or in small letters a text is a name only where there is no
    better one; as many printed areas as texts show that each of them names a part of the room.
    """
    left = [t for t in texts if not is_remark(t.text)]
    each_has_an_area = len(left) > 1 and areas >= len(left)
    tallest = max((t.height for t in left), default=0.0)
    for worse in (
        lambda t: t.on_notes,
        lambda t: _THINGS.fullmatch(t.text.strip()) is not None,
        lambda t: may_be_remark(t.text),
        lambda t: not each_has_an_area and t.height < SMALL * tallest,
        lambda t: t.text.count(" ") >= LONG_NAME_WORDS,
    ):
        better = [t for t in left if not worse(t)]
        left = better or left
    return tuple(dict.fromkeys(t.text for t in left))


def level_in(text: str) -> float | None:
    """The finished floor's level in mm that a mark says (+2.80, FFL +3.000, ±0.00), or None; levels of
    raw floors, soffits and the ground are none.

    >>> level_in("FFL +3.000"), level_in("±0,00"), level_in("SSL +2.90"), level_in("2.80")
    (3000.0, 0.0, None, None)
    """
    match = _LEVEL.match(" ".join(text.split()))
    if match is None or _RAW_LEVEL.search(f"{match['what']} {match['after'] or ''}"):
        return None
    said = match["figure"]
    value = float(said.replace(",", "."))
    unit = (match["unit"] or "").lower()
    whole = "." not in said and "," not in said
    factor = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "м": 1000.0}.get(unit, 1.0 if whole else 1000.0)
    return value * factor * (-1.0 if match["sign"] in "-−–" and value else 1.0)
