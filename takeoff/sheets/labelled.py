"""Labelled sentences one under another: label at the left, what it says beside it."""

from __future__ import annotations

from takeoff.sheets import palette
from takeoff.sheets.flow import TEXT_PT, Flow, labelled_lines, line_mm
from takeoff.sheets.sheet_values import Line

_LABEL_MM, _MOST_LABEL_MM = 23.0, 45.0
_KEPT_LINES = 3


def put_lines(flow: Flow, lines: tuple[Line, ...], width: float, size_pt: float = TEXT_PT) -> None:
    """Labelled sentences one under another, over pages where they must."""
    step = line_mm(size_pt)
    indent = label_mm(flow, lines, size_pt)
    for line in lines:
        # a label stays with its sentence, or with so much of a long one
        flow.need(min(line_height(flow, line, width, indent, size_pt), _KEPT_LINES * step))
        colour = palette.URGENT if line.urgent else palette.INK
        flow.labelled(line.label, line.text, indent, colour, width, size_pt)
        flow.y -= 0.3


def label_mm(flow: Flow, lines: tuple[Line, ...], size_pt: float = TEXT_PT) -> float:
    """The width of the labels before these lines: the usual one, more where a label is longer."""
    widest = max((flow.measure(line.label, palette.SEMIBOLD, size_pt) for line in lines), default=0.0)
    return min(max(_LABEL_MM, widest + 3.0), _MOST_LABEL_MM)


def line_height(flow: Flow, line: Line, width: float, indent: float, size_pt: float = TEXT_PT) -> float:
    """Height of a labelled sentence within a width, its label's width taken off."""
    return labelled_lines(line.label, line.text, indent, width, flow.measure, size_pt) * line_mm(size_pt) + 0.3
