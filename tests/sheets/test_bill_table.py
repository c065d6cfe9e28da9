"""The bill by a measuring convention stands beside the net order and never changes it."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pypdfium2
import pytest

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan.model import Job, Opening, Reveal, Room, Side, Storey, Strip
from takeoff.services.measured.job_result import billed_by, measure_job
from takeoff.services.opened.opening import Opened
from takeoff.services.written.writing import document
from takeoff.sheets.pdf import pdf_bytes
from takeoff.sheets.sheet_values import Document, Table

# One room under every rule: 5.00 × 4.00 × 2.50 with five openings; source of the figures: the
# project's check values, recomputed there ("UK NRM2 34.07, SMM7 34.07, VOB 37.40").
CORNERS = ((0, 0), (5000, 0), (5000, 4000), (0, 4000))


def reveal(depth: float, sill: bool) -> Reveal:
    strip = Strip(depth_mm=depth)
    return Reveal(start=strip, end=strip, head=strip, sill=Strip(depth_mm=depth, coat=sill))


def opening(
    name: str, side: str, offset: float, width: float, sill: float, head: float, depth: float, four: bool
) -> Opening:
    return Opening(
        id=name,
        kind="window" if four else "door",
        room="R",
        side=side,
        offset_mm=offset,
        width_mm=width,
        sill_mm=sill,
        head_mm=head,
        reveal=reveal(depth, four),
    )


def job(times: int = 1) -> Job:
    openings = (
        opening("a", "s0", 300, 600, 1000, 1600, 200, True),
        opening("b", "s0", 1500, 1200, 900, 2100, 200, True),
        opening("c", "s1", 1000, 1600, 500, 2100, 200, True),
        opening("d", "s2", 500, 900, 0, 2100, 100, False),
        opening("e", "s3", 500, 2400, 0, 2100, 200, False),
    )
    sides = tuple(Side(id=f"s{i}", x_mm=x, y_mm=y) for i, (x, y) in enumerate(CORNERS))
    room = Room(id="R", name="Hall", outline=sides, times=times)
    return Job(storeys=(Storey(id="g", height_mm=2500, height_source="site", rooms=(room,), openings=openings),))


def sheets(of: Job) -> Document:
    return document(measure_job(Opened(Path("j.json"), "job", of, ())), "2031-05-20")


def bill_of(made: Document) -> Table:
    (table,) = [t for t in made.totals if t.id == "bill"]
    return table


def figure_of(table: Table, head: str) -> Decimal:
    """The total under a head of the bill; nought where it has no such column."""
    assert table.total is not None
    found = [cell for column, cell in zip(table.columns, table.total, strict=True) if column.head == head]
    return Decimal(str(found[0])) if found else Decimal(0)


def test_room_of_the_check_values_is_net_as_worked_there() -> None:
    r = measure(job()).rooms[0]
    assert r.wall_gross_m2 == pytest.approx(45.0)
    assert r.wall_net_m2 == pytest.approx(33.71)
    assert r.reveal_m2 == pytest.approx(4.55)
    assert r.external_corner_m == pytest.approx(25.30)


@pytest.mark.parametrize(
    ("convention", "walls", "narrow"),
    [("uk-smm7", "34.07", "25.30"), ("uk-nrm2", "34.07", "25.30"), ("de-vob", "37.40", "0")],
)
def test_bill_follows_the_convention_and_the_order_does_not(convention: str, walls: str, narrow: str) -> None:
    net, billed = job(), msgspec.structs.replace(job(), convention=convention)
    table = bill_of(sheets(billed))
    assert table.total is not None
    assert figure_of(table, "Walls billed") == Decimal(walls)
    assert figure_of(table, "Ceilings") == Decimal("20.00")
    assert figure_of(table, "Narrow widths") == Decimal(narrow)
    orders = [measure_job(Opened(Path("j"), "job", j, ())).order for j in (net, billed)]
    assert orders[0] == orders[1]


def test_net_job_has_no_bill_of_its_own() -> None:
    assert not [t for t in sheets(job()).totals if t.id == "bill"]


def test_bill_is_for_all_alike_rooms_and_both_readers_see_it() -> None:
    made = sheets(msgspec.structs.replace(job(times=3), convention="uk-nrm2"))
    assert bill_of(made).rows[0][1] == 3 * Decimal("34.07")
    client, team = bill_of(made.seen_by("client")), bill_of(made.seen_by("team"))
    assert (client.columns, client.rows, client.total) == (team.columns, team.rows, team.total)


def test_team_alone_reads_what_is_from_memory() -> None:
    made = sheets(msgspec.structs.replace(job(), convention="uk-nrm2"))
    assert "the steps for openings and the width that counts by length" in bill_of(made.seen_by("team")).full_note
    for of in made.seen_by("client").tables():
        assert "memory" not in of.full_note
    pages = pdf_bytes(made, paper="scope")
    assert "memory" not in words_of(pages)
    assert "From memory" in words_of(pdf_bytes(made, paper="site"))


def words_of(pdf: bytes) -> str:
    """All that a PDF says, in one line."""
    document_ = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in document_)


def test_unknown_convention_is_refused_with_those_that_exist() -> None:
    opened = Opened(Path("j.json"), "job", job(), ())
    with pytest.raises(InputError, match="uk-nrm2"):
        billed_by(opened, "made-up")
    with pytest.raises(InputError, match="made-up"):
        measure_job(Opened(Path("j"), "job", msgspec.structs.replace(job(), convention="made-up"), ()))
