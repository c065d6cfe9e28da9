"""Drawings of more lines, or more crossings of lines, than a building has end in a sentence, at once."""

from __future__ import annotations

import time
from importlib import import_module

import numpy as np
import pytest
from drawn import Sheet

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.errors import InputError
from takeoff.recognise import propose
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.plan_words import Words
from takeoff.recognise.one_room import rooms_at
from takeoff.recognise.presets import Settings
from takeoff.recognise.round_point.known_ground import known_ground
from takeoff.recognise.walls.bounding_lines import crowded, is_role, laborious, prepare, tangled
from takeoff.recognise.walls.layer_roles import guess
from takeoff.recognise.walls.opening_evidence import with_windows


def drawn(segments: np.ndarray, layer: str = "0") -> Drawing:
    return Drawing("plan", (Layer(layer),), Linework(segments), unit="mm")


def crossing(count: int) -> np.ndarray:
    r = np.random.default_rng(1)
    x = r.random((count, 2)) * 20_000.0
    return np.stack([x[:, 0], np.zeros(count), x[:, 1], np.full(count, 20_000.0)], axis=1)


def walk(count: int) -> np.ndarray:
    points = np.cumsum(np.random.default_rng(2).random((count + 1, 2)) * 200.0 - 100.0, axis=0)
    return np.concatenate([points[:-1], points[1:]], axis=1)


@pytest.mark.parametrize("layer", ["0", "A-WALL"])
@pytest.mark.parametrize("segments", [crossing(20_000), walk(400_000)], ids=["crossing", "long"])
def test_lines_beyond_counting_are_told_and_not_even_begun_with(
    segments: np.ndarray, layer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun: list[int] = []
    reading = import_module("takeoff.recognise.propose")
    monkeypatch.setattr(reading, "read_walls", lambda lines, *_: begun.append(len(lines.xy)))
    job, found = propose(drawn(segments, layer))
    assert job.storeys == ()
    told = [f for f in found if f.code == "lines-beyond-counting"]
    assert len(told) == 1
    assert "no rooms were sought" in f"{told[0].text} {told[0].evidence}"
    assert begun == []


def test_walls_by_layer_are_still_found_among_lines_beyond_counting() -> None:
    room = np.array([(0, 0, 4000, 0), (4000, 0, 4000, 3000), (4000, 3000, 0, 3000), (0, 3000, 0, 0)], float)
    lines = np.concatenate([room, crossing(20_000)])
    on = np.concatenate([np.zeros(4, np.int32), np.ones(20_000, np.int32)])
    drawing = Drawing("plan", (Layer("A-WALL"), Layer("0")), Linework(lines, on), unit="mm")
    job, found = propose(drawing)
    assert [len(s.rooms) for s in job.storeys] == [1]
    assert any("only those on layers of walls were tried" in f.evidence for f in found)


def test_walls_in_a_heavy_pen_are_still_found_among_lines_beyond_counting() -> None:
    # Two rooms of 4000 × 3000 in walls of 200, among lines as thin as a hatch's.
    rooms = [(0, 0, 4000, 3000), (4200, 0, 8200, 3000), (-200, -200, 8400, 3200)]
    walls = [s for a, b, c, d in rooms for s in ((a, b, c, b), (c, b, c, d), (c, d, a, d), (a, d, a, b))]
    lines = np.concatenate([np.array(walls, float), crossing(20_000)])
    on = np.concatenate([np.zeros(len(walls), np.int32), np.ones(20_000, np.int32)])
    pens = (Layer("black 0.50 mm", weight_mm=0.5), Layer("black 0.13 mm", weight_mm=0.13))
    job, found = propose(Drawing("plan", pens, Linework(lines, on), unit="mm"))
    assert [len(s.rooms) for s in job.storeys] == [2]
    assert any("only those drawn with heavier pens were tried" in f.evidence for f in found)


def test_words_are_counted_among_lines_that_lie_strewn_over_a_country() -> None:
    # A wall of 1,000 km is looked at at both ends and in 1,000 places between, each a group of its own.
    one = np.array([(0, 0, 1e9, 0), (0, 1e6, 1e9, 1e6), (0, 0, 0, 1e6)], float)
    lines = np.concatenate([one + k * 5e6 * np.array([0, 1, 0, 1]) for k in range(20)])
    reading = import_module("takeoff.recognise.propose")
    hall = Words("name", "Hall")
    # The second place, at 1e9 / 1,001 = 999,001 mm, is put on the grid of 1,500 mm: at 999,000; 750 mm around count.
    placed = [Placed(hall, x, 0.0, 0, 200.0) for x in (0.0, 999_000.0, 999_700.0, 999_800.0)]
    began = time.process_time()
    assert reading.words_at_houses(placed, lines) == 3
    assert time.process_time() - began < 5.0


def test_walls_that_end_freely_beyond_counting_end_in_a_sentence() -> None:
    # Each line stands alone, 10 mm from the next: both its ends are free, and each is near to 140 others.
    many = 30_000
    x = np.arange(many) % 300 * 10.0
    y = np.arange(many) // 300 * 1_000.0
    lines = np.stack([x, y, x + 5.0, y + 100.0], axis=1)
    with pytest.raises(InputError, match="end freely in 60,000 places, more than 50,000"):
        propose(drawn(lines, "A-WALL"))


def test_no_room_is_filled_by_hand_among_lines_beyond_counting() -> None:
    assert rooms_at(known_ground(drawn(crossing(20_000)), Settings()), 10_000.0, 10_000.0) == ()


def test_a_large_plan_is_none_of_them() -> None:
    """Ten thousand walls of 4 m, each of two lines, that touch at their ends."""
    x, y = (v.ravel() * 4000.0 for v in np.meshgrid(np.arange(70.0), np.arange(70.0)))
    across = [np.stack([x, y + t, x + 4000.0, y + t], axis=1) for t in (0.0, 120.0)]
    along = [np.stack([x + t, y, x + t, y + 4000.0], axis=1) for t in (0.0, 120.0)]
    walls = np.concatenate([*across, *along])
    assert not tangled(walls)
    assert not crowded(walls)


def test_a_heap_of_lines_is_too_much_to_be_tried_one_choice_after_the_other() -> None:
    r = np.random.default_rng(3)
    start = r.random((30_000, 2)) * 40_000.0
    lines = np.concatenate([start, start + r.random((30_000, 2)) * 1400.0 - 700.0], axis=1)
    assert laborious(lines)
    assert not tangled(lines)  # where layers say that they are walls, they are tried once
    x, y = (v.ravel() * 4000.0 for v in np.meshgrid(np.arange(100.0), np.arange(50.0)))
    sides = [(0, 0, 3900, 0), (3900, 0, 3900, 3900), (3900, 3900, 0, 3900), (0, 3900, 0, 0)]
    assert not laborious(np.concatenate([np.stack([x + a, y + b, x + c, y + d], axis=1) for a, b, c, d in sides]))


@pytest.mark.parametrize(("count", "apart", "panes"), [(4, 40.0, 4), (60, 5.5, 0)], ids=["window", "grille"])
def test_a_grille_of_many_bars_between_walls_is_no_window(count: int, apart: float, panes: int) -> None:
    top = apart * count + 50.0
    bars = [(0.0, apart * k, 2000.0, apart * k) for k in range(count)]
    faces = [(x, y, x + 3000.0, y) for x in (-3000.0, 2000.0) for y in (-50.0, top)]
    plan = drawn(np.array(bars + faces))
    lines = with_windows(prepare(plan, guess(plan)))
    assert is_role(lines, "glazing").sum() == panes


def test_coordinates_that_are_all_but_nothing_are_nothing() -> None:
    tiny = 1e-320
    room = np.array(
        [(tiny, tiny, 4000, -tiny), (4000, tiny, 4000, 3000), (4000, 3000, -tiny, 3000), (tiny, 3000, tiny, tiny)]
    )
    shifts = np.arange(30)[:, None, None] * tiny
    job, _ = propose(drawn((room[None] + shifts).reshape(-1, 4), "A-WALL"))
    assert [len(s.rooms) for s in job.storeys] == [1]


def test_lines_that_are_printed_three_times_are_counted_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A house of two rooms has 12 lines that meet at 12 corners; three times over each of 36 lies on two others and
    meets six, some 144 times in all."""
    monkeypatch.setattr("takeoff.recognise.walls.bounding_lines.MOST_UNSAID", 100)
    sheet = Sheet()
    for _ in range(3):
        for x0, y0, x1, y1 in ((0, 0, 8900, 4600), (300, 300, 4300, 4300), (4600, 300, 8600, 4300)):
            sheet.box(x0, y0, x1, y1, layer="0")
    sheet.word("Office", 2300, 2300).word("Store", 6600, 2300)
    job, found = propose(sheet.drawing())
    assert "lines-beyond-counting" not in [f.code for f in found]
    assert sorted(room.name for room in job.storeys[0].rooms) == ["Office", "Store"]
