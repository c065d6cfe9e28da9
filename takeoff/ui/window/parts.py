"""The parts of the window beyond its frame, each in a module of its own with ``add(window)``.

``add`` registers pages (``window.sides``), gives action rows (``window.acts.add``), makes tools and
connects what listens. It is called once, after the panels stand and before the menus are filled, so
a part says nothing of menus: its rows name theirs. A part keeps what it makes on itself as a child of
the window (a QObject) and never reaches into another part.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from takeoff.ui.window import (
    coats_part,
    copying_part,
    drawing_part,
    figures_part,
    findings_part,
    heights_part,
    import_part,
    look_part,
    openings_part,
    photos_part,
    quick_parts_part,
    sheets_part,
    site_part,
    storeys_part,
    tour_part,
)

if TYPE_CHECKING:
    from takeoff.ui.window.main import MainWindow

Part = Callable[["MainWindow"], None]

PARTS: tuple[Part, ...] = (
    import_part.add,
    drawing_part.add,
    openings_part.add,
    coats_part.add,
    figures_part.add,
    findings_part.add,
    tour_part.add,
    sheets_part.add,
    copying_part.add,
    storeys_part.add,
    photos_part.add,
    look_part.add,
    heights_part.add,
    quick_parts_part.add,
    site_part.add,
)
"""In the order in which their actions stand in the menus."""


def add_parts(window: MainWindow) -> None:
    """Add every part to a window whose panels stand."""
    for add in PARTS:
        add(window)
