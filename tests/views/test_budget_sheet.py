"""What is keyed of a budget room."""

import pytest

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan.model import Job, RoomId
from takeoff.views.site_said import BudgetSheet, OpeningLine, offered, put_budget, read_budget

BED = BudgetSheet("Bed 2", "4", "3", "2.4", (OpeningLine("2", "", "1.2", "1200", "150"), OpeningLine()))


def test_sizes_are_read_as_everywhere():
    budget = read_budget(BED)
    assert (budget.length_mm, budget.width_mm, budget.height_mm, budget.faults) == (4000.0, 3000.0, 2400.0, ())
    (window,) = budget.openings
    assert (window.count, window.width_mm, window.height_mm, window.kind, window.reveal_mm) == (
        2,
        1200.0,
        1200.0,
        "window",
        150.0,
    )


@pytest.mark.parametrize(
    ("sheet", "cell"),
    [
        (BudgetSheet("", "", "3", "2.4"), "length"),
        (BudgetSheet("", "4", "3", "high"), "height"),
        (BudgetSheet("", "4", "3", "2.4", (OpeningLine("", "", "1.2", "1.2"),)), "count:0"),
        (BudgetSheet("", "4", "3", "2.4", (OpeningLine("no", "", "1.2", "1.2"),)), "count:0"),
        (BudgetSheet("", "4", "3", "2.4", (OpeningLine("1", "x", "1.2", "1.2"),)), "kind:0"),
        (BudgetSheet("", "4", "3", "2.4", (OpeningLine("1", "", "", "1.2"),)), "wide:0"),
    ],
)
def test_what_is_missing_or_wrong_is_named(sheet, cell):
    assert [fault.cell for fault in read_budget(sheet).faults] == [cell]
    with pytest.raises(InputError):
        put_budget(Job(), "", sheet, RoomId("r"))


def test_one_empty_line_is_offered():
    assert offered(BED).openings == BED.openings
    assert len(offered(BudgetSheet(openings=(OpeningLine("1"),))).openings) == 2


def test_the_room_is_measured():
    job = put_budget(Job(), "", BED, RoomId("r"))
    (room,) = measure(job).rooms
    assert room.wall_net_m2 == pytest.approx(14 * 2.4 - 2 * 1.44)
