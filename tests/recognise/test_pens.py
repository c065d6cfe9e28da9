"""Where layers say nothing, the pens that wall in most are walls, and dimensions are none."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from takeoff.drawing.model import Drawing, Layer, LineSource, Linework
from takeoff.measure import measure
from takeoff.recognise import propose
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.plan_words import Words
from takeoff.recognise.walls.inferred_layers import _rooms

Box = tuple[float, float, float, float]


def sides(x0: float, y0: float, x1: float, y1: float) -> list[Box]:
    return [(x0, y0, x1, y0), (x1, y0, x1, y1), (x1, y1, x0, y1), (x0, y1, x0, y0)]


def drawing(pens: tuple[tuple[float, list[Box]], ...], names: tuple[str, ...] = ()) -> Drawing:
    """One layer per pen, (width in mm, lines)."""
    layers = tuple(Layer(names[i] if names else f"black {w:.2f} mm", weight_mm=w) for i, (w, _) in enumerate(pens))
    lines = np.array([line for _, some in pens for line in some], float)
    layer = np.repeat(np.arange(len(pens)), [len(some) for _, some in pens]).astype(np.int32)
    source = np.zeros(len(lines), np.int32)
    return Drawing("plan.pdf", layers, Linework(lines, layer, source), sources=(LineSource("PATH"),), unit="mm")


OUTER = sides(0, 0, 8300, 4600)
ROOMS = sides(300, 300, 4100, 4300) + sides(4200, 300, 8000, 4300)
ACROSS = [
    (300.0, 2000.0, 8000.0, 2000.0),
    (2000.0, -900.0, 2000.0, 4300.0),
    (6000.0, -900.0, 6000.0, 4300.0),
    (-900.0, 3000.0, 8000.0, 3000.0),
]


def areas_m2(found: Drawing) -> list[float]:
    return sorted(room.floor_m2 for room in measure(propose(found)[0]).rooms)


def test_thin_lines_across_a_room_do_not_part_it() -> None:
    assert areas_m2(drawing(((0.5, OUTER + ROOMS), (0.13, ACROSS)))) == pytest.approx([15.2, 15.2])


def test_partitions_in_a_thinner_pen_part_rooms_all_the_same() -> None:
    """Outer walls in 0.5, partitions in 0.25: the heavy pen alone would make one room of two."""
    hall = sides(300, 300, 8000, 4300)
    partition = [(4100.0, 300.0, 4100.0, 4300.0), (4200.0, 300.0, 4200.0, 4300.0)]
    assert areas_m2(drawing(((0.5, OUTER + hall), (0.25, partition)))) == pytest.approx([15.2, 15.2])


def test_a_heavy_frame_round_the_sheet_is_no_wall() -> None:
    frame = sides(-5000, -5000, 15000, 10000)
    assert areas_m2(drawing(((1.0, frame), (0.5, OUTER + ROOMS)))) == pytest.approx([15.2, 15.2])


def test_named_layers_count_more_than_pens() -> None:
    found = drawing(((0.13, OUTER + ROOMS), (0.5, ACROSS)), names=("A-WALL", "grid"))
    assert areas_m2(found) == pytest.approx([15.2, 15.2])


def test_places_outdoors_count_for_no_choice_of_pens() -> None:
    """Thin lines close a parking beside a house as walls close its rooms."""
    words = [Placed(Words("name", text), 0.0, 0.0, k, 100.0, False) for k, text in enumerate(("Hall", "Parking"))]
    room = shapely.box(0.0, 0.0, 4000.0, 3000.0)
    spaces = [SimpleNamespace(words=[k], polygon=room, support=1.0) for k in range(2)]
    reading: Any = SimpleNamespace(words=[SimpleNamespace(words=w.words) for w in words], spaces=spaces)
    assert _rooms(reading) == (0, 0, 1)
