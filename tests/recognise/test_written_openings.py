"""Sizes and marks that are written beside an opening, and what they change of it."""

from __future__ import annotations

from typing import Any

import pytest

from takeoff.plan.model import Opening, OpeningId, Room, RoomId, Side, SideId
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.plan_words import Words
from takeoff.recognise.names.schedule import Schedule, Size
from takeoff.recognise.openings.opening_marks import marked, scheduled, size_mm

CORNERS = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
ROOM = Room(
    id=RoomId("r1"), outline=tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS))
)


def opening(kind: Any, **given: Any) -> Opening:
    """From x = 1000 to 1900 in the lower wall; sill and head are assumed."""
    usual: dict[str, Any] = {"sill_mm": 900 if kind == "window" else 0, "head_mm": 2040, "mark": "X1"}
    usual |= {"sill_source": "assumed", "head_source": "assumed", "offset_mm": 1000, "width_mm": 900}
    return Opening(id=OpeningId("o"), kind=kind, room=ROOM.id, side=SideId("s0"), **(usual | given))


def by_schedule(kind: Any, size: Size) -> tuple[float, str, float, str]:
    """(sill, its source, head, its source) by a schedule that gives the opening's mark this size."""
    ((found,), findings) = scheduled([opening(kind)], [ROOM], Schedule({"X1": size}, frozenset(), ()))
    assert findings == []
    return found.sill_mm, found.sill_source, found.head_mm, found.head_source


def test_a_schedule_gives_windows_a_sill_and_doors_none() -> None:
    assert by_schedule("window", Size(900, 1200, 850)) == (850, "figured", 2050, "figured")
    assert by_schedule("door", Size(900, 2100, 850)) == (0, "assumed", 2100, "figured")


def test_the_height_of_a_window_on_an_assumed_sill_leaves_its_head_assumed() -> None:
    assert by_schedule("window", Size(900, 1300)) == (900, "assumed", 2200, "assumed")
    assert by_schedule("door", Size(900, 2200)) == (0, "assumed", 2200, "figured")


def test_a_head_and_a_height_give_the_sill() -> None:
    assert by_schedule("window", Size(900, 1300, head_mm=2300)) == (1000, "figured", 2300, "figured")


def test_a_head_that_is_no_higher_than_the_sill_is_not_believed() -> None:
    assert by_schedule("window", Size(900, head_mm=900)) == (900, "assumed", 2040, "assumed")


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("900x2100", (900, 2100)),
        ("90/210", (900, 2100)),
        ("0.90 x 2.10", (900, 2100)),
        ("0,9 × 2,1", (900, 2100)),
        ("900x9000", None),
        ("door", None),
    ],
)
def test_written_sizes_are_read_in_any_unit(text: str, size: tuple[float, float] | None) -> None:
    assert size_mm(text) == (size if size is None else pytest.approx(size))


def beside(kind: Any, text: str, **given: Any) -> Opening:
    """The opening with these words in the middle of it."""
    word = Placed(Words("size" if "x" in text else "mark", text), 1450, 0, 0, 150)
    (found,) = marked([opening(kind, **given)], [ROOM], [word], (0, 0))
    return found


def test_a_size_beside_a_window_is_measured_up_from_its_sill() -> None:
    found = beside("window", "900x1200")
    assert (found.head_mm, found.head_source) == (900 + 1200, "figured")
    assert beside("window", "1200x1200").head_mm == 2040  # the drawn width is 900


def test_an_opening_keeps_the_mark_that_it_has() -> None:
    assert beside("door", "D7", mark="").mark == "D7"
    assert beside("door", "D7", mark="D1").mark == "D1"
