"""The title block of a sheet: job, drawing number, revision, scale and date, from a block's
attributes or from words beside their captions."""

from __future__ import annotations

import re
from typing import NamedTuple

from takeoff.drawing.model import Drawing, Label
from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import mark, tr
from takeoff.recognise.names.plan_words import LETTER_WIDTH

FIELDS = ("job", "number", "revision", "scale", "date", "title")
LEAST_FIELDS = 3
"""Fewer captions together are no title block: a room's tag has a name and a number too."""
BESIDE_ROWS, BELOW_ROWS, ASIDE_LETTERS = 0.8, 4.5, 14.0
"""A value stands in its caption's row, or so many letter heights below and aside."""
REACH_LETTERS = 40.0
TOGETHER = 90.0
"""All of a title block lies within so many letter heights of its first caption."""
MOST_CAPTIONS = 400
LONGEST_CAPTION = 24
LONGEST_VALUE = 80

_SPLIT = r"[\s_.\-/]*"
_CAPTIONS: tuple[tuple[str, str], ...] = (
    (
        "number",
        rf"(?:drawing|drg|dwg|sheet|plan|zeichnungs?|plan{_SPLIT}?|document|doc|dessin|feuille|plano|"
        rf"l[aá]mina|tavola|disegno|tekening|blad|rysunek|лист|чертеж|чертёж){_SPLIT}"
        r"(?:no|nr|num|number|nummer|numéro|numero|num[eé]ro|n°|nº|№|n)\.?|(?:n°|nº|№)\s*(?:du\s+)?plan|"
        r"number|nummer|plannr|tek\.?\s?nr|шифр",
    ),
    (
        "revision",
        r"rev|revision|revisions?|rev\.?\s*no\.?|index|indice|révision|revisione|revisi[oó]n|"
        r"revisie|wijziging|изм|ревизия|rewizja|ändrung|stand\s*index",
    ),
    (
        "scale",
        r"scale|scales|ma(?:ß|ss)stab|mst|échelle|echelle|ech|escala|scala|schaal|skala|"
        r"масштаб|κλίμακα",
    ),
    ("date", r"date|datum|dated|drawing\s+date|issue\s+date|fecha|data|дата|ημερομηνία|p[äa]iv[äa]ys"),
    (
        "job",
        r"project|job|project\s*(?:name|title)|job\s*(?:name|title)|bauvorhaben|bv|projekt|projet|"
        r"affaire|opération|proyecto|obra|progetto|commessa|project\s*naam|werk|проект|объект|έργο|inwestycja",
    ),
    (
        "title",
        r"title|drawing\s*(?:title|name)|sheet\s*(?:title|name)|planinhalt|inhalt|plan\s*titel|"
        r"plantitel|darstellung|titre|désignation|designation|t[ií]tulo|contenido|titolo|oggetto|onderdeel|"
        r"omschrijving|tytuł|наименование|название|description",
    ),
)
_WHOLE = tuple((field, re.compile(rf"(?:{words})\s*[:.]?", re.I)) for field, words in _CAPTIONS)
_WITH_VALUE = tuple((field, re.compile(rf"(?:{words})\s*[:=]\s*(?P<value>\S.*)", re.I)) for field, words in _CAPTIONS)
_VALUE = {
    "scale": re.compile(r"1\s*[:/∶]\s*\d+|=|nts|n\.t\.s|as\s+shown|various", re.I),
    "date": re.compile(
        r"\d{1,4}[.\-/ ]\s*(?:\d{1,2}|[a-z]{3,})[.\-/ ]\s*\d{2,4}|"
        r"[a-z]{3,}\.?\s+\d{2,4}",
        re.I,
    ),
    "number": re.compile(r"(?=.*\d).{1,32}", re.I),
    "revision": re.compile(r"[a-z]?\d{0,3}|[a-z]{1,2}\d{0,3}|rev\.?\s*\w{1,4}|-|–", re.I),
}
"""What the value of a field looks like; job and title may be any words."""


class TitleBlock(NamedTuple):
    """The fields that were read ("" for none), the rows of the drawing's labels that are part of the
    block, and where it stands."""

    job: str = ""
    number: str = ""
    revision: str = ""
    scale: str = ""
    date: str = ""
    title: str = ""
    rows: frozenset[int] = frozenset()
    at: tuple[float, float] | None = None


def title_block(drawing: Drawing) -> TitleBlock:
    """The drawing's title block; an empty one where none is found."""
    return _from_attributes(drawing) or _from_captions(drawing) or TitleBlock()


def field_of(words: str) -> str:
    """Which field a caption or an attribute's tag names, or ""."""
    plain = re.sub(r"[_\s]+", " ", words).strip()
    if len(plain) > LONGEST_CAPTION:
        return ""
    return next((field for field, form in _WHOLE if form.fullmatch(plain)), "")


def _tag_field(tag: str) -> str:
    plain = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", tag).replace("_", " ")
    squeezed = re.sub(
        r"(?i)^(drawing|drg|dwg|sheet|plan|project|job|title|tb)[\s\-]*"
        r"(no|nr|num|number|name|title|rev|revision|scale|date)$",
        r"\1 \2",
        plain,
    )
    found = field_of(squeezed)
    if found:
        return found
    last = squeezed.rsplit(" ", 1)[-1]
    return field_of(last) if last.lower() in ("rev", "revision", "scale", "date") else ""


def _from_attributes(drawing: Drawing) -> TitleBlock | None:
    best: dict[str, str] = {}
    where = None
    for symbol in drawing.symbols:
        found: dict[str, str] = {}
        for tag, text in symbol.attributes:
            name = _tag_field(tag)
            if name and text.strip() and name not in found:
                found[name] = " ".join(text.split())
        if len(found) >= LEAST_FIELDS and len(found) > len(best):
            best, where = found, symbol
    if where is None:
        return None
    told = set(where.attributes)
    rows = frozenset(
        k
        for k, label in enumerate(drawing.labels)
        if label.tag and (label.tag, label.text) in told and label.block.endswith(where.name)
    )
    return TitleBlock(**best, rows=rows, at=(where.x, where.y))


def _from_captions(drawing: Drawing) -> TitleBlock | None:
    captions: list[tuple[int, str, str]] = []
    for row, label in enumerate(drawing.labels):
        text = " ".join(label.text.split())
        if not text or label.tag:
            continue
        name = field_of(text)
        if name:
            captions.append((row, name, ""))
            continue
        for field, form in _WITH_VALUE:
            match = form.fullmatch(text)
            if match and len(match["value"]) <= LONGEST_VALUE:
                captions.append((row, field, match["value"].strip()))
                break
    captions = captions[:MOST_CAPTIONS]
    best: TitleBlock | None = None
    most = 0
    seen: set[int] = set()
    for first, _, _ in captions:
        if first in seen:
            continue
        here = [c for c in captions if _near(drawing.labels[first], drawing.labels[c[0]])]
        if len({name for _, name, _ in here}) < LEAST_FIELDS:
            continue
        seen.update(row for row, _, _ in here)
        block, count = _read(drawing, here)
        if count > most:
            best, most = block, count
    return best if most >= LEAST_FIELDS - 1 else None


def _near(a: Label, b: Label) -> bool:
    reach = TOGETHER * max(a.height, b.height)
    return abs(a.x - b.x) <= reach and abs(a.y - b.y) <= reach


def _read(drawing: Drawing, captions: list[tuple[int, str, str]]) -> tuple[TitleBlock, int]:
    """(the block whose captions these are, how many fields have values)"""
    of_captions = {row for row, _, _ in captions}
    found: dict[str, str] = {}
    rows: set[int] = set()
    for row, name, said in captions:
        if name in found:
            continue
        if said:
            if _fits(name, said):
                found[name] = said
                rows.add(row)
            continue
        k = _value_of(drawing.labels, row, name, of_captions)
        if k is not None:
            found[name] = " ".join(drawing.labels[k].text.split())
            rows |= {row, k}
    at = drawing.labels[captions[0][0]]
    return TitleBlock(**found, rows=frozenset(rows), at=(at.x, at.y)), len(found)


def _fits(name: str, text: str) -> bool:
    form = _VALUE.get(name)
    if form is None:
        return sum(c.isalpha() for c in text) > 2 and len(text) <= LONGEST_VALUE
    return (form.search if name in ("scale", "date") else form.fullmatch)(text) is not None


def _value_of(labels: tuple[Label, ...], row: int, name: str, captions: set[int]) -> int | None:
    """The row of the text beside or below a caption that its field can hold."""
    own = labels[row]
    h = own.height
    left, right = _ends(own)
    best: tuple[float, int] | None = None
    for k, label in enumerate(labels):
        if k in captions or label.tag or label.rotation_deg != own.rotation_deg:
            continue
        dy = own.y - label.y
        its_left, its_right = _ends(label)
        tall = max(h, label.height)
        if abs(dy) <= BESIDE_ROWS * tall and 0 <= its_left - right + tall <= REACH_LETTERS * tall:
            far = max(its_left - right, 0.0)
        elif 0 < dy <= BELOW_ROWS * tall and its_left - left <= ASIDE_LETTERS * h and its_right >= left - h:
            far = dy + abs(its_left - left)
        else:
            continue
        if _fits(name, " ".join(label.text.split())) and (best is None or far < best[0]):
            best = far, k
    return None if best is None else best[1]


def _ends(label: Label) -> tuple[float, float]:
    """Where a text begins and ends along its row, by the width of common letters."""
    half = LETTER_WIDTH * label.height * len(label.text) / 2
    return label.x - half, label.x + half


_TOLD = {
    "job": mark("job “{said}”"),
    "number": mark("drawing “{said}”"),
    "revision": mark("revision “{said}”"),
    "scale": mark("scale “{said}”"),
    "date": mark("date “{said}”"),
}


def told(block: TitleBlock) -> list[Finding]:
    """What the title block says, as one note."""
    said = [tr(words, said=getattr(block, name)) for name, words in _TOLD.items() if getattr(block, name)]
    if not said:
        return []
    where = Where() if block.at is None else Where(x_mm=block.at[0], y_mm=block.at[1])
    return [noticed("title-block", where, said=", ".join(said))]
