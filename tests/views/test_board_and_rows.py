"""Totals after edits are those of the job as it stands, and each thing to settle is told once."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from takeoff.errors import Finding, Where
from takeoff.measure import Memory
from takeoff.plan.model import Job, Opening, Reveal, Room, Settled, Side, Storey, Strip
from takeoff.views.board import Considered, all_findings, consider, measured_of, stand
from takeoff.views.settling import Row, counts, one_by_one, rows

replace = msgspec.structs.replace


def room(name: str, x: float, wide: float) -> Room:
    corners = ((x, 0), (x + wide, 0), (x + wide, 3000), (x, 3000))
    return Room(id=name, name=name.capitalize(), outline=tuple(
        Side(id=f"s{k}", x_mm=a, y_mm=b) for k, (a, b) in enumerate(corners)))  # fmt: skip


def window(name: str, of: str, confidence: str = "sure") -> Opening:
    strip = Strip(depth_mm=100, depth_source="assumed")
    return Opening(id=name, kind="window", room=of, side="s0", offset_mm=500, width_mm=1000, sill_mm=900, head_mm=1900,
                   reveal=Reveal(start=strip, end=strip, head=strip), mark=name.upper(), confidence=confidence,
                   sill_source="assumed", evidence=("two lines",))  # fmt: skip


def job() -> Job:
    """A hall of 4 × 3 m and a store of 2 × 3 m, 2.50 m high (assumed), on a storey that stands twice."""
    storey = Storey(id="g", name="Ground", height_mm=2500, times=2,
                    rooms=(room("hall", 0, 4000), room("store", 5000, 2000)),
                    openings=(window("w1", "hall"), window("w2", "store", "check")))  # fmt: skip
    return Job(storeys=(storey,))


def with_storey(of: Job, **given: object) -> Job:
    return replace(of, storeys=(replace(of.storeys[0], **given),))


def test_totals_count_every_room_as_often_as_it_stands() -> None:
    state = stand(job(), Memory())
    # hall 14 × 2.5 − 1, store 10 × 2.5, its window not being sure; both twice
    assert state.totals["wall_net_m2"] == 2 * (Decimal("34.00") + Decimal("25.00"))
    assert state.rooms["g", "hall"].factor == 2


def test_totals_follow_edits_to_and_fro() -> None:
    memory, of = Memory(), job()
    first = stand(of, memory)
    thrice = with_storey(of, rooms=(replace(of.storeys[0].rooms[0], times=3), of.storeys[0].rooms[1]))
    second = stand(thrice, memory, first)
    assert second.totals["wall_net_m2"] == 2 * (3 * Decimal("34.00") + Decimal("25.00"))
    gone = with_storey(thrice, rooms=thrice.storeys[0].rooms[:1], openings=thrice.storeys[0].openings[:1])
    third = stand(gone, memory, second)
    assert third.totals["wall_net_m2"] == 6 * Decimal("34.00")
    assert stand(of, memory, third).totals == first.totals
    assert second.rooms["g", "store"] is first.rooms["g", "store"]


def test_findings_are_told_once_the_grave_ones_first_and_settled_ones_not() -> None:
    state = stand(job(), Memory())
    note, error = Finding("a", "note", "A note."), Finding("b", "error", "An error.")
    check = Finding("c", "check", "A check.", Where(room="hall"))
    told = all_findings(state, Considered(None, (check, error)), (note, check))
    assert [f.code for f in told] == ["b", "c", "a"]
    settled = replace(job(), settled=(Settled(code="c", text="A check.", where=Where(room="hall")),))
    assert [f.code for f in all_findings(stand(settled, Memory()), Considered(None, (check, error)), (note,))] == [
        "b",
        "a",
    ]


def test_what_is_said_of_a_room_that_is_gone_is_told_no_more() -> None:
    state = stand(job(), Memory())
    gone = Finding("c", "check", "A check.", Where(room="attic"))
    assert all_findings(state, None, (gone,)) == ()


def test_sheets_get_open_findings_alone() -> None:
    state = stand(job(), Memory())
    demo = next(f for f in all_findings(state, consider(state)) if f.code == "demo-system")
    assert demo in measured_of(state, (), "j.json").findings
    settled = replace(job(), settled=(Settled(code=demo.code, text=demo.text, where=demo.where),))
    told = measured_of(stand(settled, Memory()), (), "j.json").findings
    assert "demo-system" not in {f.code for f in told}


def shown(of: Job) -> dict[str, Row]:
    state = stand(of, Memory())
    return {row.key: row for row in rows(state, all_findings(state, consider(state)))}


def test_an_opening_in_doubt_says_what_accepting_it_changes() -> None:
    row = shown(job())["opening:w2"]
    # off the wall 1.00 m², reveals 3 × 1.00 × 0.10; twice
    assert row.text == "Window W2 is not measured yet (two lines). If accepted: −1.40 m² of coat."
    assert (row.group, row.accept, row.head) == ("check", "opening", "Store")
    assert "opening:w1" not in shown(job())


def test_rows_stand_by_how_grave_they_are() -> None:
    of = stand(job(), Memory())
    listed = rows(of, (Finding("n", "note", "A note."), Finding("e", "error", "An error.")))
    groups = [row.group for row in listed]
    assert groups[:2] == ["error", "check"]
    assert groups[-1] == "note"


def test_assumed_values_of_one_size_stand_together_and_one_by_one() -> None:
    of = job()
    row = next(r for r in shown(of).values() if r.text == "Sills of 2 windows")
    assert (row.group, row.value_mm, len(row.values)) == ("assumed", 900, 2)
    single = one_by_one(row, stand(of, Memory()))
    assert [r.text for r in single] == ["Window W1", "Window W2"]
    assert [len(r.alike) for r in single] == [1, 1]


def test_a_storey_height_says_what_a_hundred_millimetres_change() -> None:
    row = next(r for r in shown(job()).values() if r.text.startswith("Height of the storey"))
    # 14 + 10 m of wall × 0.1 m, twice
    assert row.text == "Height of the storey; 100 mm more adds 4.8 m² of wall"


def test_rows_are_counted_by_group_and_settled_ones_stand_last() -> None:
    settled = replace(job(), settled=(Settled(code="x", text="Accepted before."),))
    listed = tuple(shown(settled).values())
    assert listed[-1].group == "settled"
    assert counts(listed)["settled"] == 1
    assert counts(listed)["error"] == 0
    assert sum(counts(listed).values()) == len(listed)
