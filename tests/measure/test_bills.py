"""Bills that can be rebuilt with a calculator: shafts, bare stretches, ceilings and drops, narrow work by length."""

from __future__ import annotations

import re
from pathlib import Path

import msgspec
import pytest
from worked_rooms import WORKED, box, job_of, opening, sides

from takeoff.measure import measure
from takeoff.measure.conventions import Billed, bill_room, convention_ids, load
from takeoff.measure.takeoff import CoatedPart, RoomTakeoff
from takeoff.plan.model import Exclusion, Job, Rooflight, WallTreatment


def room_of(job: Job) -> RoomTakeoff:
    return measure(job).rooms[0]


def billed(job: Job, convention: str) -> Billed:
    return bill_room(load(convention), room_of(job))


def by_length(bill: Billed) -> dict[str, float]:
    """Metres of narrow work by kind."""
    out: dict[str, float] = {}
    for work in bill.narrow:
        out[work.item] = out.get(work.item, 0.0) + work.length_m
    return out


def with_opening(job: Job, *openings: object) -> Job:
    storey = job.storeys[0]
    return msgspec.structs.replace(job, storeys=(msgspec.structs.replace(storey, openings=openings),))


def a3_with_door() -> Job:
    """Room A3 with a door of 900 × 2040 in the side after its outside wall, 1500 from the corner, beyond the return."""
    return with_opening(WORKED["A3"], opening("d", "door", _returning(WORKED["A3"]), 1500, 900, 0, 2040, 0))


def _returning(job: Job) -> str:
    """The side that is coated over a return of 600 alone."""
    outline = job.storeys[0].rooms[0].outline
    return next(str(s.id) for s in outline if s.treatment and (s.treatment.start_mm or s.treatment.end_mm))


def test_an_opening_beyond_a_return_is_no_part_of_the_bill() -> None:
    # the wall 5 × 2.4 and two returns 0.6 × 2.4; the door of 1.836 m² lies in the bare stretch
    for convention in ("de-vob", "net"):
        assert billed(a3_with_door(), convention).wall_m2 == pytest.approx(14.88)


def test_an_opening_that_reaches_out_of_a_return_counts_beside_the_coat() -> None:
    # 0.3 m of the door's 0.9 m lie in the return: 0.3 × 2.04 is deducted net, and by VOB not, being small
    job = with_opening(WORKED["A3"], opening("d", "door", _returning(WORKED["A3"]), 300, 900, 0, 2040, 0))
    assert billed(job, "net").wall_m2 == pytest.approx(14.88 - 0.3 * 2.04)
    assert billed(job, "net").wall_m2 == pytest.approx(room_of(job).wall_net_m2)
    assert billed(job, "de-vob").wall_m2 == pytest.approx(14.88)


def test_skirting_along_a_bare_stretch_is_not_measured_through() -> None:
    job = WORKED["A3"]
    storey = job.storeys[0]
    room = storey.rooms[0]
    band = WORKED["A2"].storeys[0].rooms[0].walls.bands[:1]
    skirted = tuple(
        msgspec.structs.replace(s, treatment=msgspec.structs.replace(s.treatment or room.walls, bands=band))
        for s in room.outline
    )
    rooms = (msgspec.structs.replace(room, outline=skirted),)
    job = msgspec.structs.replace(job, storeys=(msgspec.structs.replace(storey, rooms=rooms),))
    # 120 mm of skirting: over 100 mm, so VOB takes it off, along the 6.2 m that are coated
    assert billed(job, "de-vob").wall_m2 == pytest.approx(14.88 - 6.2 * 0.12)


def test_an_opening_within_tiles_is_no_part_of_the_bill() -> None:
    # tiles 2.0 × 2.4 over the start of the wall, a window of 1.2 × 1.2 within them
    tiles = Exclusion(id="t", outline=((0, 0, 0), (2000, 0, 0), (2000, 2400, 0), (0, 2400, 0)))
    window = opening("w", "window", "s0", 400, 1200, 900, 2100, 0)
    job = job_of(sides(box(5000, 4000), treated={0: WallTreatment(exclusions=(tiles,))}), window)
    assert billed(job, "de-vob").wall_m2 == pytest.approx(18 * 2.4 - 2.0 * 2.4)
    assert billed(job, "net").wall_m2 == pytest.approx(room_of(job).wall_net_m2)


def test_room_a3_by_length() -> None:
    # NRM2 counts what is no wider than 600 mm by length: two returns of 2.4 m, the band of 5.0 m
    bill = billed(WORKED["A3"], "uk-nrm2")
    assert bill.wall_m2 == pytest.approx(12.0)
    assert bill.ceiling_m2 == 0.0
    assert by_length(bill) == pytest.approx({"walls": 4.8, "ceilings": 5.0})
    assert {work.width_m for work in bill.narrow} == {0.6}
    # SMM7 only up to 300 mm, so all of it by area
    assert by_length(billed(WORKED["A3"], "uk-smm7")) == {}
    assert billed(WORKED["A3"], "uk-smm7").ceiling_m2 == pytest.approx(3.0)


def test_a_short_side_in_line_with_its_neighbour_is_no_narrow_work() -> None:
    # the wall of 5 m drawn as 4.6 and 0.4 m; round the corner a pier of 0.4 m stands for itself
    whole = job_of(sides([(0, 0), (4600, 0), (5000, 0), (5000, 4000), (0, 4000)]))
    assert by_length(billed(whole, "uk-nrm2")) == {}
    assert billed(whole, "uk-nrm2").wall_m2 == pytest.approx(18 * 2.4)
    jog = job_of(sides([(0, 0), (4600, 0), (4600, 400), (5000, 400), (5000, 4000), (0, 4000)]))
    assert by_length(billed(jog, "uk-nrm2")) == pytest.approx({"walls": 2 * 2.4})
    assert billed(jog, "uk-nrm2").wall_m2 == pytest.approx((18 - 0.8) * 2.4)


def test_a_ceiling_is_narrow_where_the_whole_of_it_is() -> None:
    # a jog of 0.4 m leaves a strip of the ceiling that is part of a wide one
    jog = job_of(sides([(0, 0), (4600, 0), (4600, 400), (5000, 400), (5000, 4000), (0, 4000)]))
    assert billed(jog, "uk-nrm2").ceiling_m2 == pytest.approx(20 - 0.16)
    # a cupboard of 0.5 × 2.0 m: its ceiling 2.0 m long, its short walls 2.4 m high
    cupboard = billed(job_of(sides(box(2000, 500))), "uk-nrm2")
    assert by_length(cupboard) == pytest.approx({"walls": 2 * 2.4, "ceilings": 2.0})
    assert cupboard.wall_m2 == pytest.approx(2 * 2.0 * 2.4)


@pytest.mark.parametrize("convention", convention_ids())
def test_a_rooflights_shaft_is_in_the_bill(convention: str) -> None:
    light = Rooflight(id="l", room="R", outline=((1000, 1000, 0), (2000, 1000, 0), (2000, 1600, 0), (1000, 1600, 0)),
                      depth_mm=700)  # fmt: skip
    job = job_of(sides(box(5000, 4000)))
    lit = msgspec.structs.replace(job, storeys=(msgspec.structs.replace(job.storeys[0], rooflights=(light,)),))
    # the shaft's sides are 2 × (1.0 + 0.6) long and 0.7 deep; the hole of 0.6 m² is taken off the ceiling in full
    bill, without = billed(lit, convention), billed(job, convention)
    assert bill.reveal_m2 == pytest.approx(3.2 * 0.7)
    assert without.reveal_m2 == 0.0
    assert bill.ceiling_m2 == pytest.approx(without.ceiling_m2 - 0.6)


@pytest.mark.parametrize("name", sorted(WORKED))
def test_net_bill_of_every_worked_room_is_what_is_coated(name: str) -> None:
    job = WORKED[name]
    for room in measure(job).rooms:
        bill = bill_room(load("net"), room)
        assert bill.wall_m2 == pytest.approx(room.wall_net_m2)
        assert bill.ceiling_m2 == pytest.approx(room.ceiling_m2)
        assert bill.drop_m2 == pytest.approx(room.drop_m2)
        assert bill.reveal_m2 == pytest.approx(room.reveal_m2)


@pytest.mark.parametrize("convention", convention_ids())
def test_what_is_from_memory_is_said_by_the_data_alone(convention: str) -> None:
    of = load(convention)
    assert "memory" not in f"{of.name} {of.year} {of.source} {' '.join(of.notes)}"
    text = (Path(__file__).parents[2] / "resources" / "sheets" / "sheets.json").read_text()
    note = re.search(r'"bill_note": "([^"]*)"', text)
    assert note is not None
    assert "memory" not in note.group(1)


def test_conventions_say_what_of_them_is_from_memory() -> None:
    assert load("uk-nrm2").from_memory == ("the edition", "the steps for openings", "the width that counts by length")
    assert load("uk-smm7").from_memory == ("the edition", "the width that counts by length")
    assert load("net").from_memory == ()


def test_a_sliver_of_ceiling_does_not_stop_the_bill() -> None:
    # a corner 0.0002 mm off the line of its neighbours leaves a sliver narrower than widths are told apart by
    outline = sides([(0, 0), (2500, -0.0002), (5000, 0), (5000, 4000), (0, 4000)])
    room = room_of(job_of(outline))
    sliver = CoatedPart("ceiling", "ceiling", 1e-9, 1e-10)
    slit = msgspec.structs.replace(room, coated_parts=(*room.coated_parts, sliver))
    assert bill_room(load("uk-nrm2"), slit).wall_m2 == pytest.approx(18 * 2.4)
    assert by_length(bill_room(load("uk-nrm2"), slit))["ceilings"] == pytest.approx(10.0)
