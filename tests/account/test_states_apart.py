"""Two states against each other: what is added and what is omitted stand apart, rooms are known by their ids."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.plan import edits
from takeoff.services.after_order.sent_states import Said, frozen, measured_of
from takeoff.services.after_order.state_lists import compared
from takeoff.services.changed.comparing import laid_over, read_as
from takeoff.services.opened.opening import open_file
from takeoff.sheets.work_tables import compared_table
from takeoff.storage.content import Content

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def revised() -> Content:
    """The first floor sent in A, and B in the job since."""
    opened = open_file(SAMPLES / "terrace_first.dxf")
    content = Content(job=opened.job, drawings=dict(opened.drawings))
    content = frozen(content, measured_of(content), "sent", Said("2031-05-20", "Client Example"))
    done = laid_over(opened, [read_as(opened.job, SAMPLES / "terrace_first_rev_b.dxf")])
    return msgspec.structs.replace(content, job=done.compared.job)


def test_a_moved_wall_is_added_and_omitted(revised: Content) -> None:
    """Bedroom 2: wall C is 0.25 shorter and wall E is new with 0.25, both 2.40 high: 0.60 m² omitted and 0.60 m² added,
    net nothing. Its ceiling loses 0.85 m²."""
    rows = {(row.room, row.what): row for row in compared(revised, "1", "now")}
    walls = rows["Bedroom 2", "Walls"]
    assert walls.old == walls.new
    assert (walls.added, walls.omitted) == (Decimal("0.60"), Decimal("0.60"))
    ceiling = rows["Bedroom 2", "Ceilings"]
    assert (ceiling.added, ceiling.omitted) == (Decimal(0), Decimal("0.85"))
    whole = rows["", "Walls"]
    # bathroom: 2 × 0.25 × 2.40 more
    assert (whole.added, whole.omitted) == (Decimal("1.80"), Decimal("0.60"))
    for row in rows.values():
        assert row.old + row.added - row.omitted == row.new
    table = compared_table(list(rows.values()), "State 1 against now")
    assert [column.title for column in table.columns][-2:] == ["Added", "Omitted"]


def test_a_room_that_is_called_otherwise_is_the_same_room(revised: Content) -> None:
    room = next(room for room in revised.job.storeys[0].rooms if room.name == "Bathroom")
    renamed = msgspec.structs.replace(revised, job=edits.rename_room(revised.job, room.id, "Wet room"))
    rows = [row for row in compared(renamed, "1", "now") if row.what == "Ceilings" and row.room]
    assert [row.room for row in rows] == ["Wet room, was called Bathroom", "Bedroom 2"]
    assert rows[0].added == Decimal("0.83")
