"""Names of rooms told from remarks about them: by their words, their layer, and their height."""

from __future__ import annotations

import re
from typing import NamedTuple

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
    have, or starts with a small letter."""
    return is_remark(text) or bool(_PERHAPS.search(text) or re.search(r"\d{3}", text)) or text[:1].islower()


def names_among(texts: list[Named], areas: int = 0) -> tuple[str, ...]:
    """Those that name a room, in their order, without repeats.

    On layers of remarks, in many words or in small letters a text is a name only where there is no
    better one; as many printed areas as texts show that each of them names a part of the room.
    """
    left = [t for t in texts if not is_remark(t.text)]
    each_has_an_area = len(left) > 1 and areas >= len(left)
    tallest = max((t.height for t in left), default=0.0)
    for worse in (
        lambda t: t.on_notes,
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
