"""What is written on a plan, line by line, with its place near the origin."""

from __future__ import annotations

import re
from collections import Counter
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.names.keyed_words import with_names
from takeoff.recognise.names.plan_words import Words, is_remark, lines_of, read
from takeoff.recognise.names.schedule import Schedule, schedule
from takeoff.recognise.names.title_block import TitleBlock, title_block
from takeoff.recognise.scale.sheet_frames import LAYER as SHEET_LAYER
from takeoff.recognise.walls.layer_roles import LEFT_OUT, LayerGuess, by_name

Floats = NDArray[np.float64]

NAMING = ("name", "area", "number")
"""Kinds of words that show a room where they stand."""
ROOM_WORDS = (*NAMING, "height")
"""Kinds of words that belong to the room they stand in."""
NOT_ROOMS = ("dimension", "grid", "frame", "service", "site", "door", "glazing", "stair")
"""Text on layers of these roles does not name rooms."""


NOTES = re.compile(
    r"(?<![a-z])(?:notes?|remarks?|keyn|hinweise?|bemerkung(?:en)?|legende|remarques?|"
    r"notas?|note|opmerking(?:en)?|uwagi|примечани[ея]|leaders?|ovhd|clng)(?![a-z])",
    re.I,
)
"""Names of layers for remarks, where room names stand only when they stand nowhere else."""

_CODE = re.compile(r"(?!(.)\1+$)[B-DF-HJ-NP-TV-XZБВГДЖЗЙК-НП-ТФ-ЩΒΓΔΖΘΚΛΜΝΞΠΡΣΤΦΧΨ]{1,3}")
"""No word has consonants alone, in the scripts that have both."""
_ROOM_CODES = re.compile(
    r"WC|BWC|HWC|KT|KTN|BR|MBR|LR|DR|FR|GR|CR|PR|BD|BTH|TV|LDK|DK|WK|PS|DS|SK|MB|PDR|CL|ST|"
    r"SZ|WZ|KZ|GZ|BZ|EZ|AZ|VR|VZ|SR|AR|HWR|TRH|TR|WF|FL|KL|SDB|CH|PL|SJ|PW|GDR|KCH|WP|HR|СУ|С|К",
    re.I,
)
"""What rooms are called in a few letters (from memory)."""
OFTEN_MARKED = 3
"""The same few letters in so many places mark doors and windows, as a name would say what each is (common practice,
no source)."""


class Placed(NamedTuple):
    """Words at a place in mm near the origin, with their height; ``label`` is its row in the
    drawing; ``on_notes``: they stand on a layer of remarks."""

    words: Words
    x: float
    y: float
    label: int
    height: float
    on_notes: bool = False


class SheetWords(NamedTuple):
    """What the sheet says of itself: its title block, and its schedules of doors and windows."""

    block: TitleBlock
    schedule: Schedule

    @property
    def rows(self) -> frozenset[int]:
        """The labels that they are made of."""
        return self.block.rows | self.schedule.rows


def sheet_words(drawing: Drawing) -> SheetWords:
    """Both, empty where the sheet has none."""
    return SheetWords(title_block(drawing), schedule(drawing))


def placed(
    drawing: Drawing,
    origin: tuple[float, float],
    guesses: tuple[LayerGuess, ...],
    of_sheet: frozenset[int] = frozenset(),
) -> list[Placed]:
    """Every line of text with what it says; text on layers that are off is left out. ``of_sheet``: rows
    of labels that belong to the sheet's title block or a table on it."""
    roles = [by_name(g.name)[0] if g.why == LEFT_OUT else g.role for g in guesses]
    notes = [bool(NOTES.search(layer.name)) for layer in drawing.layers]
    shown = [layer.state == "on" for layer in drawing.layers]
    captions = any(shown[label.layer] and with_names(lines_of(label.text)) for label in drawing.labels)
    found: list[Placed] = []
    for row, label in enumerate(drawing.labels):
        if not shown[label.layer]:
            continue
        for words in read(label.text, label.tag, captions):
            if row in of_sheet:
                words = Words("sheet", words.text)
            elif drawing.layers[label.layer].name == SHEET_LAYER or (
                words.kind in ("name", "number") and (roles[label.layer] in NOT_ROOMS or is_remark(words.text))
            ):
                words = Words("note", words.text)
            found.append(Placed(words, label.x - origin[0], label.y - origin[1], row, label.height, notes[label.layer]))
    return _without_sizes(_marks_told(found))


def _marks_told(found: list[Placed]) -> list[Placed]:
    """The words, those that are marks of doors and windows and no names: a few letters that no word has, as often as
    a mark stands on a plan."""
    often = Counter(w.words.text for w in found if w.words.kind == "name")
    marks = {text for text, times in often.items() if times >= OFTEN_MARKED and _is_code(text)}
    return [w._replace(words=Words("mark", w.words.text)) if w.words.text in marks else w for w in found]


def _is_code(text: str) -> bool:
    return bool(_CODE.fullmatch(text)) and not _ROOM_CODES.fullmatch(text)


SIZE_REPEATED = 3
"""A number with places that stands so often on a drawing is a width or a height of doors and windows."""
_PLACES = re.compile(r"\d+[.,]\d{2}")


def _without_sizes(found: list[Placed]) -> list[Placed]:
    """The words, numbers of rooms that repeat with places taken for sizes: each room has a number of its own."""
    often = Counter(w.words.text for w in found if w.words.kind == "number" and _PLACES.fullmatch(w.words.text))
    return [
        w._replace(words=Words("figure", w.words.text)) if often[w.words.text] >= SIZE_REPEATED else w for w in found
    ]


def of_rooms(words: list[Placed]) -> list[Placed]:
    """Those that speak of a room."""
    return [w for w in words if w.words.kind in ROOM_WORDS]


def places(words: list[Placed]) -> Floats:
    """(n, 2) mm"""
    return np.array([(w.x, w.y) for w in words], float).reshape(-1, 2)
