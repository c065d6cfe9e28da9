"""Lines that lie closer than any walls are not compared in pairs: a plan tried in far too small a unit has them."""

from __future__ import annotations

import tracemalloc

import numpy as np

from takeoff.recognise.walls.drawn_stairs import flights
from takeoff.recognise.walls.inferred_layers import paired_part
from takeoff.recognise.walls.opening_evidence import _free_panes


def faces(count: int, apart_mm: float) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Pairs of faces 3 m long and 100 mm apart, each pair so far from the next."""
    y = np.arange(count) // 2 * apart_mm + np.arange(count) % 2 * 100.0
    return np.column_stack((np.zeros(count), y, np.full(count, 3000.0), y))


def test_faces_of_walls_are_paired_and_a_crowd_of_lines_is_not_even_compared() -> None:
    assert paired_part(faces(40, 2000.0)).tolist() == [1.0] * 40
    tracemalloc.start()
    assert not paired_part(faces(5000, 0.01)).any()  # 25 million pairs, three times over
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 50_000_000


def test_a_flight_is_told_and_a_heap_of_lines_is_none() -> None:
    y = np.arange(6) * 270.0
    stair = np.column_stack((np.zeros(6), y, np.full(6, 1000.0), y))
    assert (flights(stair) >= 0).all()
    y = np.arange(5000) * 0.05
    tracemalloc.start()
    assert (flights(np.column_stack((np.zeros(5000), y, np.full(5000, 1000.0), y))) < 0).all()  # 25 million pairs
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 50_000_000


def test_panes_are_not_sought_in_a_heap_of_lines() -> None:
    y = np.arange(8000) * 0.02
    heap = np.column_stack((np.zeros(8000), y, np.full(8000, 1200.0), y))
    tracemalloc.start()
    assert not len(_free_panes(heap))  # 64 million pairs
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 50_000_000
