"""Who writes a paper: the firm's logo, its name and its address, right above on its first page."""

from __future__ import annotations

from takeoff.sheets import palette
from takeoff.sheets.flow import Flow, wrap
from takeoff.sheets.sheet_values import Letterhead, LogoPicture

HEAD_MM = 62.0
"""Width of the firm's column; what stands beside it keeps clear of it."""
_LOGO_WIDE_MM, _LOGO_TALL_MM = 58.0, 15.0
_MOST_LINES = 4
_STEP_MM, _BELOW_LOGO_MM, _BELOW_MM = 3.5, 2.4, 1.6


def put_letterhead(flow: Flow, head: Letterhead, top_mm: float) -> float:
    """Draw it into the upper right corner from ``top_mm`` down; the height where it ends, ``top_mm`` where nothing is
    set."""
    if not head.is_set:
        return top_mm
    right, y = flow.left + flow.width, top_mm
    if head.logo is not None:
        wide, tall = logo_mm(head.logo)
        y -= tall
        flow.page.images.append((right - wide, y, wide, tall, head.logo.data))
        y -= _BELOW_LOGO_MM
    y -= 2.6
    size = palette.SMALLEST_PT
    firm = wrap(head.firm, HEAD_MM, palette.SEMIBOLD, size, flow.measure)[:2] if head.firm else []
    lines = [(line, palette.SEMIBOLD, palette.INK) for line in firm]
    lines += [(line, palette.REGULAR, palette.GREY) for line in address_lines(flow, head.address)]
    for line, style, colour in lines:
        flow.text(right, y, line, style, size, colour, "right")
        y -= _STEP_MM
    return y + 2.6 - _BELOW_MM


def logo_mm(logo: LogoPicture) -> tuple[float, float]:
    """Its width and height on paper, as large as its place allows."""
    fit = min(_LOGO_WIDE_MM / logo.width_px, _LOGO_TALL_MM / logo.height_px)
    return logo.width_px * fit, logo.height_px * fit


def address_lines(flow: Flow, address: str) -> list[str]:
    """The address broken at its commas, as many parts on a line as it holds; a part too long for one at its blanks.
    Four lines at most; () for none."""
    size, lines = palette.SMALLEST_PT, [""]
    for part in (part.strip() for part in address.split(",")):
        longer = f"{lines[-1]}, {part}" if lines[-1] else part
        if flow.measure(longer, palette.REGULAR, size) <= HEAD_MM:
            lines[-1] = longer
        else:
            lines += wrap(part, HEAD_MM, palette.REGULAR, size, flow.measure)
    whole = [line for line in lines if line]
    if len(whole) > _MOST_LINES:
        # too long for its lines at the commas: filled to their ends
        whole = wrap(address, HEAD_MM, palette.REGULAR, size, flow.measure)
    return whole[: _MOST_LINES + 2]
