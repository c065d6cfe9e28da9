"""A plan on a page with what belongs to it: key, scale bar, and the labels that had no room."""

from __future__ import annotations

from takeoff.sheets import palette
from takeoff.sheets.drawn import key_picture, scale_bar
from takeoff.sheets.flow import TEXT_PT, Flow, cut, line_mm, wrap
from takeoff.sheets.north import with_north
from takeoff.sheets.picture import Picture
from takeoff.sheets.sheet_values import Document, Plan

_SMALL_PT = palette.SMALLEST_PT
_MOST_SPARE_MM = 5.0
_GAPS_MM = 3.0 + 1.0 + 2.5
"""Above the key, below it, and below the labels."""

_MOST_LISTED = 3
"""Lines of labels below a plan; more of them are listed after its page."""

_NUMBERS_MM = 58.0
"""Width of a column of listed labels."""


def put_plan(
    flow: Flow, document: Document, plan: Plan, picture: Picture | None, width: float, room: float
) -> tuple[str, ...]:
    """Put the plan's picture within a width; of the height that is over a little is shared out around it.

    A few labels that had no room are listed below it; many are returned, to be listed elsewhere.
    Without a picture a sentence says why there is no plan.
    """
    if picture is None:
        flow.paragraph(document.words["too_large" if plan.rooms else "no_plan"], colour=palette.GREY)
        flow.y -= 3.0
        return ()
    lines, rest = label_lines(flow, picture, document, width)
    bar, key, key_left = bar_and_key(flow, document, picture, width)
    over = room - plan_mm(flow, document, picture, width)
    spare = min(max(0.0, over) / 3.0, _MOST_SPARE_MM)
    flow.y -= spare
    x = flow.left + (width - picture.width_mm) / 2.0
    flow.page.pictures.append((x, flow.y - picture.height_mm, picture))
    flow.y -= picture.height_mm + 3.0 + spare
    put_bar_and_key(flow, bar, key, key_left)
    for line in lines:
        flow.text(flow.left, flow.y - 3.4, line, palette.REGULAR, _SMALL_PT, palette.GREY)
        flow.y -= line_mm(_SMALL_PT)
    flow.y -= 2.5 + spare
    return rest


def plan_mm(flow: Flow, document: Document, picture: Picture, width: float) -> float:
    """Height of a plan with its key and the labels listed below it."""
    lines, _ = label_lines(flow, picture, document, width)
    bar, key, _ = bar_and_key(flow, document, picture, width)
    below = max(bar.height_mm, key.height_mm) + len(lines) * line_mm(_SMALL_PT)
    return picture.height_mm + below + _GAPS_MM


def put_numbers(flow: Flow, document: Document, listed: tuple[str, ...]) -> None:
    """The labels that a crowded plan has as numbers, in columns read downwards."""
    step = line_mm(TEXT_PT)
    flow.heading(document.words["numbers"], 3 * step)
    flow.y -= 1.5
    while listed:
        # the plan's own page may be larger than those that follow
        columns = max(1, int(flow.width // _NUMBERS_MM))
        wide = flow.width / columns
        rows = min(-(-len(listed) // columns), max(1, int(flow.left_mm() / step)))
        for k, text in enumerate(listed[: rows * columns]):
            shown = cut(text, wide - 4.0, palette.REGULAR, TEXT_PT, flow.measure)
            flow.text(flow.left + (k // rows) * wide, flow.y - (k % rows + 0.76) * step, shown)
        listed = listed[rows * columns :]
        flow.y -= rows * step
        if listed:
            flow.new_page()


def bar_and_key(flow: Flow, document: Document, picture: Picture, width: float) -> tuple[Picture, Picture, float]:
    """The scale bar, the key, and how far right the key begins."""
    bar = with_north(scale_bar(picture.scale, flow.measure, document.feet), picture.north_deg, flow.measure)
    left = bar.width_mm + 9.0
    return bar, key_picture(picture.marks, document.words, width - left, flow.measure), left


def put_bar_and_key(flow: Flow, bar: Picture, key: Picture, key_left: float) -> None:
    """Both side by side at the left margin, their tops level."""
    flow.page.pictures.append((flow.left, flow.y - bar.height_mm, bar))
    flow.page.pictures.append((flow.left + key_left, flow.y - key.height_mm, key))
    flow.y -= max(bar.height_mm, key.height_mm) + 1.0


def label_lines(
    flow: Flow, picture: Picture, document: Document, width: float, whose: str = ""
) -> tuple[list[str], tuple[str, ...]]:
    """(lines below the plan, labels that are too many for that); ``whose``: the storey, where several share a page."""
    lines, rest = _label_lines(flow, picture, document, width, f"{whose}. " if whose else "")
    if picture.unlettered:
        text = document.words["unlettered"].format(count=picture.unlettered)
        lines = [*lines, *wrap(text, width, palette.REGULAR, _SMALL_PT, flow.measure)]
    return lines, rest


def _label_lines(
    flow: Flow, picture: Picture, document: Document, width: float, whose: str
) -> tuple[list[str], tuple[str, ...]]:
    if not picture.listed:
        return [], ()
    text = f"{whose}{document.words['not_labelled']}: " + ";  ".join(picture.listed)
    # Hundreds of labels are not worth breaking into lines to see that they are too many.
    if flow.measure(text, palette.REGULAR, _SMALL_PT) <= _MOST_LISTED * width:
        lines = wrap(text, width, palette.REGULAR, _SMALL_PT, flow.measure)
        if len(lines) <= _MOST_LISTED:
            return lines, ()
    elsewhere = document.words["numbers_elsewhere"]
    return wrap(elsewhere, width, palette.REGULAR, _SMALL_PT, flow.measure), picture.listed
