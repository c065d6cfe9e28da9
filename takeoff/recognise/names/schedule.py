"""Schedules of doors and windows drawn as tables of texts, and sizes in the attributes of their blocks."""

from __future__ import annotations

import re
from typing import NamedTuple

from takeoff.drawing.model import Drawing, Label
from takeoff.errors import InputError
from takeoff.recognise.names.plan_words import LETTER_WIDTH
from takeoff.units.lengths import parse_length

_HEADS: tuple[tuple[str, str], ...] = (
    (
        "mark",
        r"mark|ref|ref\.?\s*no|reference|door|window|door\s*(?:no|nr|number|mark|ref)|no|nr|"
        r"number|id|tag|window\s*(?:no|nr|number|mark|ref)|pos|position|t[üu]r(?:\s*nr)?|fenster(?:\s*nr)?|typ|type|"
        r"rep[èe]re|n°|porte|marca|sigla|merk|kozijn|symbol|марка|поз|обозначение",
    ),
    (
        "width",
        r"width|w|wide|b|breite|lichte\s+breite|larg|largeur|l|ancho|larghezza|larg\.?|breedte|szer|"
        r"szerokość|ширина|bredd|leveys",
    ),
    (
        "height",
        r"height|h|ht|high|höhe|hoehe|lichte\s+höhe|haut|hauteur|alto|altura|altezza|hoogte|wys|"
        r"wysokość|высота|höjd|korkeus",
    ),
    (
        "size",
        r"size|sizes|dimensions?|abmessung(?:en)?|gr[öo](?:ß|ss)e|b\s*[x×/]\s*h|w\s*[x×/]\s*h|"
        r"l\s*[x×/]\s*h|structural\s+opening|opening|dimensiones|dimensioni|afmeting(?:en)?|wymiary|размер(?:ы)?",
    ),
    (
        "sill",
        r"sill|sill\s*(?:height|level|ht)|cill|brh|brüstung(?:shöhe)?|brüst\.?|allège|"
        r"hauteur\s+d.all[èe]ge|antepecho|davanzale|parapet|borstwering|подоконник|bröstning",
    ),
    ("head", r"head|head\s*(?:height|level|ht)|sturz(?:höhe|uk)?|linteau|dintel|architrave"),
)
_UNIT = re.compile(r"\s*[\[(]?\s*\b(mm|cm|m)\b\.?\s*[\])]?\s*$", re.I)
_FORMS = tuple((name, re.compile(rf"(?:{words})\s*[.:]?", re.I)) for name, words in _HEADS)
_FIGURE = r"(\d{1,5}(?:[.,]\d+)?|[.,]\d+)"
_PAIR = re.compile(rf"^\s*{_FIGURE}\s*(?:mm|cm|m)?\s*[x×х*/]\s*{_FIGURE}\s*(mm|cm|m)?\s*$", re.I)
_ONE = re.compile(rf"^\s*{_FIGURE}\s*(mm|cm|m)?\s*$", re.I)
_MARK = re.compile(r"^(?=.{1,12}$)[A-ZА-Я0-9]+(?:[-. /]?[A-Z0-9]+)*[a-z]?$", re.I)

SAME_ROW = 0.7
WIDEST_TABLE = 160.0
ROW_PITCH = 7.0
ASIDE = 12.0
"""Of a table, in letter heights: how far texts of one row differ, how wide it is, how far its rows lie
apart, and how far its texts stand from the middle of their column (common practice, no source)."""
MOST_HEADS = 400
LEAST_MM, MOST_MM = 150.0, 12000.0


class Size(NamedTuple):
    """What is written of an opening, in mm above its floor where it is a level; None: not written."""

    width_mm: float | None = None
    height_mm: float | None = None
    sill_mm: float | None = None
    head_mm: float | None = None


class Schedule(NamedTuple):
    """Sizes by mark (in capitals, without blanks), the rows of labels that tables are made of, and
    sizes at places (x, y) in the drawing, from the attributes of blocks."""

    by_mark: dict[str, Size]
    rows: frozenset[int]
    placed: tuple[tuple[float, float, Size], ...]


def schedule(drawing: Drawing) -> Schedule:
    """All the sizes that the drawing writes down; a mark with two different sizes has none."""
    sizes: dict[str, Size] = {}
    torn: set[str] = set()
    rows: set[int] = set()
    labels = drawing.labels
    bare = "in" if drawing.unit in ("in", "ft") else ""
    heads = [
        (k, *head) for k, label in enumerate(labels) if not label.tag and (head := head_of(label.text)) is not None
    ]
    heads = heads[:MOST_HEADS]
    tall = [row for row, name, _ in heads if name in ("height", "size")]
    for first in tall:
        if first in rows:
            continue
        table = _columns(labels, heads, first)
        if table is None:
            continue
        body = _body(labels, table)
        if not body:
            continue
        rows |= {row for row, _, _ in table}
        for cells in body:
            rows.update(cells.values())
            mark, size = _sized(labels, cells, {name: unit or bare for _, name, unit in table})
            if mark and size != Size() and sizes.setdefault(mark, size) != size:
                torn.add(mark)
    known = {mark: size for mark, size in sizes.items() if mark not in torn}
    return Schedule(known, frozenset(rows), _of_blocks(drawing, bare))


def key_of(mark: str) -> str:
    """A mark as schedules are looked up: in capitals, without blanks."""
    return re.sub(r"\s", "", mark).upper()


def head_of(text: str) -> tuple[str, str] | None:
    """(which column a text heads, the unit it names or ""), or None."""
    plain = " ".join(text.split())
    if not plain or len(plain) > 28:
        return None
    unit = _UNIT.search(plain)
    bare = plain[: unit.start()] if unit is not None and unit.start() > 0 else plain
    for name, form in _FORMS:
        if form.fullmatch(bare.strip()):
            return name, unit[1].lower() if unit is not None and unit.start() > 0 else ""
    return None


def _columns(
    labels: tuple[Label, ...], heads: list[tuple[int, str, str]], first: int
) -> list[tuple[int, str, str]] | None:
    """The heads in one row with the *first*, when a mark and a height are among them."""
    own = labels[first]
    table: dict[str, tuple[int, str, str]] = {}
    for row, name, unit in sorted(heads, key=lambda h: abs(labels[h[0]].x - own.x)):
        label = labels[row]
        if (
            abs(label.y - own.y) <= SAME_ROW * own.height
            and name not in table
            and abs(label.x - own.x) <= WIDEST_TABLE * own.height
        ):
            table[name] = (row, name, unit)
    if "mark" not in table or not ({"width", "height"} <= set(table) or "size" in table):
        return None
    return list(table.values())


def _body(labels: tuple[Label, ...], table: list[tuple[int, str, str]]) -> list[dict[str, int]]:
    """The rows below the heads: for each column the label in it."""
    h = max(labels[row].height for row, _, _ in table)
    columns = [(name, labels[row].x, labels[row].x - _half(labels[row])) for row, name, _ in table]
    left, right = min(x for _, x, _ in columns), max(x for _, x, _ in columns)
    top = labels[table[0][0]].y
    below = sorted(
        (
            k
            for k, label in enumerate(labels)
            if not label.tag and label.y < top - SAME_ROW * h and left - ASIDE * h <= label.x <= right + ASIDE * h
        ),
        key=lambda k: -labels[k].y,
    )
    rows: list[dict[str, int]] = []
    last = top
    for k in below:
        y = labels[k].y
        if last - y > ROW_PITCH * h:
            break
        if not rows or last - y > SAME_ROW * h:
            rows.append({})
            last = y
        name, far = min(
            ((n, min(abs(labels[k].x - x), abs(labels[k].x - _half(labels[k]) - edge))) for n, x, edge in columns),
            key=lambda c: c[1],
        )
        if far <= ASIDE * h and name not in rows[-1]:
            rows[-1][name] = k
    good = [
        r
        for r in rows
        if "mark" in r and ("height" in r or "size" in r) and _MARK.match(labels[r["mark"]].text.strip())
    ]
    return [
        r
        for r in good
        if any(_mm(labels[r[c]].text, "") or _PAIR.match(labels[r[c]].text) for c in ("height", "size") if c in r)
    ]


def _half(label: Label) -> float:
    return LETTER_WIDTH * label.height * len(label.text) / 2


def _sized(labels: tuple[Label, ...], cells: dict[str, int], units: dict[str, str]) -> tuple[str, Size]:
    def mm(name: str, level: bool = False) -> float | None:
        return _mm(labels[cells[name]].text, units.get(name, ""), level) if name in cells else None

    size = Size(mm("width"), mm("height"), mm("sill", True), mm("head", True))
    if "size" in cells:
        pair = _pair(labels[cells["size"]].text, units.get("size", ""))
        if pair is not None:
            size = size._replace(width_mm=pair[0], height_mm=pair[1])
    return key_of(labels[cells["mark"]].text), size


def _pair(text: str, unit: str) -> tuple[float, float] | None:
    match = _PAIR.match(text)
    if match is None:
        return None
    first, second = (_mm(match[k], match[3] or unit) for k in (1, 2))
    return None if first is None or second is None else (first, second)


def _mm(text: str, unit: str, level: bool = False) -> float | None:
    """A written length in mm; without a unit metres below 12, centimetres below 400, else mm. A *level*
    may be 0."""
    match = _ONE.match(text)
    if match is None:
        return _feet(text)
    value = float(match[1].replace(",", "."))
    if level and value == 0:
        return 0.0
    factor = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}.get(
        (match[2] or unit).lower(), 1000.0 if value < 12 else 10.0 if value < 400 else 1.0
    )
    mm = value * factor
    return mm if LEAST_MM <= mm <= MOST_MM or (level and 0 < mm <= MOST_MM) else None


def _feet(text: str) -> float | None:
    if not re.search(r"\d\s*['\"]", text):
        return None
    try:
        mm = parse_length(text)
    except InputError:
        return None  # words with a quote in them are no length
    return mm if LEAST_MM <= mm <= MOST_MM else None


def _of_blocks(drawing: Drawing, bare: str) -> tuple[tuple[float, float, Size], ...]:
    """Sizes in the attributes of door and window blocks, at the middle of their boxes."""
    found = []
    for symbol in drawing.symbols:
        said: dict[str, float | None] = {}
        for tag, text in symbol.attributes:
            head = head_of(re.sub(r"[_\-]+", " ", tag))
            head = head or head_of(re.sub(r"(?i)^(?:door|window|tuer|tür|fenster|d|w)[_\- ]*", "", tag))
            if head is not None and head[0] in ("width", "height", "sill", "head"):
                said[head[0]] = _mm(text, head[1] or bare, head[0] in ("sill", "head"))
        size = Size(said.get("width"), said.get("height"), said.get("sill"), said.get("head"))
        if size.height_mm is not None or size.head_mm is not None:
            x0, y0, x1, y1 = symbol.box or (symbol.x, symbol.y, symbol.x, symbol.y)
            found.append(((x0 + x1) / 2, (y0 + y1) / 2, size))
    return tuple(found)
