"""A card for each room: its walls side by side, seen from inside, and what is to be known of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from takeoff.sheets import palette
from takeoff.sheets.flow import TEXT_PT, TOP_MM, Flow, cut, labelled_lines, line_mm, wrap
from takeoff.sheets.picture import Caption, Measure, Picture, Shape
from takeoff.sheets.sheet_values import CardFace, Course, FlatRing, RoomCard

_SCALES = (50, 75, 100, 125, 150, 200, 500)
_GAP_MM, _WORDS_MM, _ROW_MM = 4.0, 4.6, 1.2
"""Between walls, below them for their words, between rows of them."""
_TITLE_PT = 12.0
_BETWEEN_MM, _APART_MM = 5.0, 8.0
"""Between cards one under another, and side by side."""
_LABEL_MM = 23.0
_SMALL_PT = 8.5
"""Of the words of walls, as of cautions."""
_HEAD_MM = 9.0
"""What the running head takes of a page."""

Row = tuple[CardFace, ...]


class _Manner(NamedTuple):
    """How cards are set: how many side by side, how high all rows of walls of a card may be (more only where no scale
    keeps within it), the size of their text."""

    abreast: int
    strip_mm: float
    text_pt: float


_MANNERS = (
    _Manner(1, 54.0, TEXT_PT),
    _Manner(1, 32.0, 8.5),
    _Manner(1, 27.0, 8.5),
    _Manner(2, 51.0, 8.5),
    _Manner(2, 44.0, 8.0),
    _Manner(2, 36.0, 8.0),
)
"""From the largest on: the first of those that need the fewest pages is taken."""


class _Strips(NamedTuple):
    """How the walls of a card are set: their rows, at which scale, how high they are in all."""

    rows: Sequence[Row]
    scale: int
    tall: float


class _Placed(NamedTuple):
    """A card where it stands: whether it turns the page first, its left and upper edge, its width and height."""

    card: RoomCard
    strips: _Strips | None
    turn: bool
    x: float
    y: float
    wide: float
    tall: float


def put_cards(flow: Flow, cards: Sequence[RoomCard]) -> None:
    """The cards on what is left of the page and on pages that follow, each whole: as large as takes no page more."""
    if not cards:
        return
    if not flow.pages:
        flow.new_page()
    tried = [(_places(flow, cards, manner), manner) for manner in _MANNERS]
    placed, manner = min(tried, key=lambda one: sum(place.turn for place in one[0]))
    low, kept = flow.y, (flow.left, flow.width)
    for one in placed:
        if one.turn:
            flow.new_page()
            low = flow.y
        flow.left, flow.width, flow.y = one.x, one.wide, one.y
        _put(flow, one, manner.text_pt)
        low = min(low, flow.y)
        flow.left, flow.width = kept
    flow.y = low


def _places(flow: Flow, cards: Sequence[RoomCard], manner: _Manner) -> list[_Placed]:
    """Where the cards stand: each under the shorter column, one that is too wide for a column below all of them."""
    fresh = flow.size[1] - TOP_MM - _HEAD_MM
    half = (flow.width - _APART_MM * (manner.abreast - 1)) / manner.abreast
    tops = [flow.y - (_BETWEEN_MM if flow.y < fresh - 1.0 else 0.0)] * manner.abreast
    foot = flow.y - flow.left_mm()
    placed = []
    for card in cards:
        wide = half if _fits(card, half, flow.measure) else flow.width
        strips = _strips(card, wide, manner.strip_mm, flow.measure)
        tall = _tall_mm(flow, card, strips, wide, manner.text_pt)
        if tall > fresh - foot and wide < flow.width:
            wide = flow.width
            strips = _strips(card, wide, manner.strip_mm, flow.measure)
            tall = _tall_mm(flow, card, strips, wide, manner.text_pt)
        across = wide == flow.width
        top = min(tops) if across else max(tops)
        turn = top - tall < foot and top < fresh
        if turn:
            top, tops = fresh, [fresh] * manner.abreast
        column = 0 if across else tops.index(top)
        placed.append(_Placed(card, strips, turn, flow.left + column * (half + _APART_MM), top, wide, tall))
        below = top - tall - _BETWEEN_MM
        tops = [below if across or k == column else y for k, y in enumerate(tops)]
    return placed


def _fits(card: RoomCard, wide_mm: float, measure: Measure) -> bool:
    """Whether a card's longest wall stands within a width at a scale at which it is well seen."""
    return max((_wide(face, _SMALLEST_BESIDE, measure) for face in card.faces), default=0.0) <= wide_mm


_SMALLEST_BESIDE, _SMALLEST_SEEN = 150, 200
"""Scales below which walls are drawn only where they are longer than the paper is wide: in a column, at all."""


def _strips(card: RoomCard, wide_mm: float, strip_mm: float, measure: Measure) -> _Strips | None:
    scale, rows = _arranged(card.faces, wide_mm, measure, strip_mm)
    return _Strips(rows, scale, sum(_tall(row, scale) for row in rows)) if rows else None


def _put(flow: Flow, placed: _Placed, text_pt: float) -> None:
    card, strips = placed.card, placed.strips
    flow.page.outline.append(card.title)
    step = line_mm(_TITLE_PT)
    right = flow.measure(card.figure, palette.SEMIBOLD, text_pt)
    end, base = flow.left + flow.width, flow.y - step * 0.76
    for line in _title_lines(card, flow.width, right, flow.measure):
        flow.text(flow.left, flow.y - step * 0.76, line, palette.SEMIBOLD, _TITLE_PT)
        flow.y -= step
    flow.text(end, base, card.figure, palette.SEMIBOLD, text_pt, align="right")
    flow.rule(flow.left, flow.left + flow.width, flow.y - 0.6, 0.3, palette.INK)
    flow.y -= 2.0
    if strips is not None:
        picture = strip_picture(strips.rows, strips.scale, flow.measure)
        flow.page.pictures.append((flow.left, flow.y - picture.height_mm, picture))
        flow.y -= picture.height_mm + 1.5
    indent = _indent_mm(card, text_pt, flow.measure)
    for told in card.lines:
        colour = palette.URGENT if told.urgent else palette.INK
        flow.labelled(told.label, told.text, indent, colour, size=text_pt)
        flow.y -= 0.3


def _title_lines(card: RoomCard, wide_mm: float, figure_mm: float, measure: Measure) -> list[str]:
    """The title beside the card's figure, long names in up to three lines; what is longer still is cut."""
    room = wide_mm - figure_mm - 6.0
    lines = wrap(card.title, room, palette.SEMIBOLD, _TITLE_PT, measure)
    if len(lines) > _MOST_TITLE_LINES:
        rest = " ".join(lines[_MOST_TITLE_LINES - 1 :])
        lines = [*lines[: _MOST_TITLE_LINES - 1], cut(rest, room, palette.SEMIBOLD, _TITLE_PT, measure)]
    return lines


_MOST_TITLE_LINES = 3


def _indent_mm(card: RoomCard, text_pt: float, measure: Measure) -> float:
    """Width of the labels: the usual one for text of the usual size, of smaller text what they need."""
    if text_pt >= TEXT_PT:
        return _LABEL_MM
    return max((measure(line.label, palette.SEMIBOLD, text_pt) for line in card.lines), default=0.0) + 2.5


def _tall_mm(flow: Flow, card: RoomCard, strips: _Strips | None, wide_mm: float, text_pt: float) -> float:
    """Height of a card with its title, its walls and its lines."""
    figure = flow.measure(card.figure, palette.SEMIBOLD, text_pt)
    titles = len(_title_lines(card, wide_mm, figure, flow.measure))
    indent = _indent_mm(card, text_pt, flow.measure)
    lines = (labelled_lines(told.label, told.text, indent, wide_mm, flow.measure, text_pt) for told in card.lines)
    text = sum(line_mm(text_pt) * count + 0.3 for count in lines)
    return titles * line_mm(_TITLE_PT) + 2.0 + (strips.tall + 1.5 if strips else 0.0) + text


def _arranged(faces: Sequence[CardFace], width_mm: float, measure: Measure, strip_mm: float) -> tuple[int, list[Row]]:
    """The largest scale at which the walls stand in few enough rows, and those rows; no walls give no rows."""
    for scale in _SCALES:
        rows = _rows(faces, scale, width_mm, measure)
        tall = sum(_tall(row, scale) for row in rows)
        wide = max((_wide(face, scale, measure) for face in faces), default=0.0)
        if wide <= width_mm and (tall <= strip_mm or scale >= _SMALLEST_SEEN):
            break
    return scale, rows


def _wide(face: CardFace, scale: int, measure: Measure) -> float:
    return max(face.length_mm / scale, measure(face.words, palette.REGULAR, _SMALL_PT))


def _rows(faces: Sequence[CardFace], scale: int, width_mm: float, measure: Measure) -> list[Row]:
    rows: list[list[CardFace]] = []
    used = width_mm
    for face in faces:
        wide = _wide(face, scale, measure)
        if not rows or used + _GAP_MM + wide > width_mm:
            rows.append([])
            used = -_GAP_MM
        rows[-1].append(face)
        used += _GAP_MM + wide
    return [tuple(row) for row in rows]


def _tall(row: Row, scale: int) -> float:
    return (max(face.high_mm for face in row) - min(face.low_mm for face in row)) / scale + _WORDS_MM + _ROW_MM


def strip_picture(rows: Sequence[Row], scale: int, measure: Measure) -> Picture:
    """The walls in their rows at a scale, coat dotted, what stays in the colour of walls, each with its words."""
    shapes: list[Shape] = []
    captions: list[Caption] = []
    whole = sum(_tall(row, scale) for row in rows)
    top = whole
    widest = 0.0
    for row in rows:
        top -= _tall(row, scale)
        low = min(face.low_mm for face in row)
        x = 0.0
        for face in row:
            shapes += _face(face, x, top + _WORDS_MM, low, scale)
            captions.append(Caption(x, top + 1.0, face.words, palette.REGULAR, _SMALL_PT))
            captions += _labels(face, x, top + _WORDS_MM, low, scale, measure)
            x += _wide(face, scale, measure) + _GAP_MM
        widest = max(widest, x - _GAP_MM)
    return Picture(widest, whole, scale, tuple(shapes), tuple(captions))


def _face(face: CardFace, x: float, y: float, low: float, scale: int) -> list[Shape]:
    def on_paper(rings: tuple[FlatRing, ...]) -> tuple[Course, ...]:
        return tuple(tuple((x + u / scale, y + (z - low) / scale, 0.0) for u, z in ring) for ring in rings)

    shapes = []
    if face.coat:
        shapes.append(Shape(on_paper(face.coat), fill=palette.COAT, dots=palette.DOTS))
    if face.left_on:
        shapes.append(Shape(on_paper(face.left_on), fill=palette.WALL, stroke=palette.INK, width_mm=0.12))
    shapes += [Shape(on_paper(rings), fill=palette.PAPER, stroke=palette.INK) for _, rings in face.openings]
    shapes.append(Shape(on_paper(face.whole), stroke=palette.INK, width_mm=0.3))
    return shapes


def _labels(face: CardFace, x: float, y: float, low: float, scale: int, measure: Measure) -> list[Caption]:
    """The labels of openings in the middle of them, where they have room."""
    found = []
    for text, rings in face.openings:
        us = [u for ring in rings for u, _ in ring]
        zs = [z for ring in rings for _, z in ring]
        wide = measure(text, palette.SEMIBOLD, _SMALL_PT)
        if us and text and wide < (max(us) - min(us)) / scale - 0.6 and (max(zs) - min(zs)) / scale > 4.0:
            middle = x + (max(us) + min(us)) / 2 / scale
            height = y + ((max(zs) + min(zs)) / 2 - low) / scale - 1.1
            found.append(Caption(middle - wide / 2, height, text, palette.SEMIBOLD, _SMALL_PT))
    return found
