"""A card for each room: its walls side by side, seen from inside, and what is to be known of it."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.sheets import palette
from takeoff.sheets.flow import TEXT_PT, Flow, cut, labelled_lines, line_mm
from takeoff.sheets.picture import Caption, Measure, Picture, Shape
from takeoff.sheets.sheet_values import CardFace, Course, FlatRing, RoomCard

_SCALES = (50, 75, 100, 200, 500)
_MOST_STRIP_MM = 54.0
"""Height of all rows of walls of a card; more only where no scale keeps within it."""
_GAP_MM, _WORDS_MM, _ROW_MM = 5.0, 5.0, 2.0
"""Between walls, below them for their words, between rows of them."""
_TITLE_PT = 12.0
_BETWEEN_MM = 7.0
_LABEL_MM = 23.0
_SMALL_PT = palette.SMALLEST_PT

Row = tuple[CardFace, ...]


def put_cards(flow: Flow, cards: Sequence[RoomCard]) -> None:
    """The cards one under another, each whole on its page; they begin on a page of their own."""
    for number, card in enumerate(cards):
        scale, rows = _arranged(card.faces, flow.width, flow.measure)
        picture = strip_picture(rows, scale, flow.measure) if rows else None
        tall = _texts_mm(flow, card) + (picture.height_mm if picture else 0.0) + 2.0
        if number == 0 or flow.left_mm() < tall + _BETWEEN_MM:
            flow.new_page()
        elif number:
            flow.y -= _BETWEEN_MM
        _put(flow, card, picture)


def _put(flow: Flow, card: RoomCard, picture: Picture | None) -> None:
    flow.page.outline.append(card.title)
    step = line_mm(_TITLE_PT)
    right = flow.measure(card.figure, palette.SEMIBOLD, TEXT_PT)
    name = cut(card.title, flow.width - right - 6.0, palette.SEMIBOLD, _TITLE_PT, flow.measure)
    flow.text(flow.left, flow.y - step * 0.76, name, palette.SEMIBOLD, _TITLE_PT)
    flow.text(flow.left + flow.width, flow.y - step * 0.76, card.figure, palette.SEMIBOLD, TEXT_PT, align="right")
    flow.y -= step
    flow.rule(flow.left, flow.left + flow.width, flow.y - 0.6, 0.3, palette.INK)
    flow.y -= 2.0
    if picture is not None:
        flow.page.pictures.append((flow.left, flow.y - picture.height_mm, picture))
        flow.y -= picture.height_mm + 1.5
    for line in card.lines:
        colour = palette.URGENT if line.urgent else palette.INK
        flow.labelled(line.label, line.text, _LABEL_MM, colour)
        flow.y -= 0.3


def _texts_mm(flow: Flow, card: RoomCard) -> float:
    """Height of title and lines."""
    step = line_mm(TEXT_PT)
    lines = (labelled_lines(line.label, line.text, _LABEL_MM, flow.width, flow.measure) for line in card.lines)
    return line_mm(_TITLE_PT) + 4.0 + sum(step * count + 0.3 for count in lines)


def _arranged(faces: Sequence[CardFace], width_mm: float, measure: Measure) -> tuple[int, list[Row]]:
    """The largest scale at which the walls stand in few enough rows, and those rows; no walls give no rows."""
    for scale in _SCALES:
        rows = _rows(faces, scale, width_mm, measure)
        tall = sum(_tall(row, scale) for row in rows)
        wide = max((_wide(face, scale, measure) for face in faces), default=0.0)
        if wide <= width_mm and tall <= _MOST_STRIP_MM:
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
