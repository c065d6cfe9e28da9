"""Where the pages of a preview lie: one below the other, as wide as the view or as large as the user zoomed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from PySide6.QtCore import QRectF

GAP_PX, MARGIN_PX = 18.0, 22.0
WIDEST_FIT_PX = 940.0
"""A page that is fitted is no wider: lines longer than this are hard to read."""
USUAL_WIDE_PT = 595.0
PX_PER_PT = 96.0 / 72.0


class PageRow(NamedTuple):
    """Pages of these sizes in points, so many logical px a point, in a view so many px across."""

    sizes: tuple[tuple[float, float], ...]
    scale: float
    across: float

    @property
    def zoom(self) -> float:
        """How large they are beside paper."""
        return self.scale / PX_PER_PT

    def rect(self, page: int) -> QRectF:
        """A page's place, y from the top of the first."""
        top = MARGIN_PX + sum(high * self.scale + GAP_PX for _, high in self.sizes[:page])
        wide, high = (side * self.scale for side in self.sizes[page])
        left = max((self.across - wide) / 2.0, MARGIN_PX)
        return QRectF(round(left), round(top), round(wide), round(high))

    @property
    def width(self) -> float:
        """How far the widest page reaches, px, its margin with it."""
        return max((self.rect(k).right() for k in range(len(self.sizes))), default=0.0) + MARGIN_PX

    @property
    def height(self) -> float:
        """How far down they reach, px; 0 without pages."""
        return self.rect(len(self.sizes) - 1).bottom() + MARGIN_PX if self.sizes else 0.0

    def page_at(self, y: float) -> int:
        """The page that this height belongs to; 0 without pages."""
        at = [k for k in range(len(self.sizes)) if self.rect(k).top() - GAP_PX <= y]
        return at[-1] if at else 0


def page_row(sizes: Sequence[tuple[float, float]], across: float, zoom: float | None) -> PageRow:
    """The row of these pages; without a zoom the widest is as wide as the view."""
    if zoom is not None:
        return PageRow(tuple(sizes), zoom * PX_PER_PT, across)
    widest = max((wide for wide, _ in sizes), default=USUAL_WIDE_PT)
    return PageRow(tuple(sizes), max(min(across - 2.0 * MARGIN_PX, WIDEST_FIT_PX), 100.0) / widest, across)
