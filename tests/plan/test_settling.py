"""What was found or assumed is accepted, confirmed or corrected, and opened again."""

from __future__ import annotations

import pytest

from takeoff.errors import Finding, InputError, Where
from takeoff.plan import edits
from takeoff.plan.assumptions import assumptions
from takeoff.plan.check import check
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.model import (
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Reveal,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
)
from takeoff.plan.settled import open_findings
from takeoff.storage.jobs import dump, load


def kitchen(name: str = "k", x: float = 0.0, ceiling: Field | None = None) -> Room:
    corners = ((x, 0.0), (x + 4000.0, 0.0), (x + 4000.0, 3000.0), (x, 3000.0))
    sides = tuple(Side(id=SideId(f"{name}{n}"), x_mm=a, y_mm=b) for n, (a, b) in enumerate(corners))
    return Room(id=RoomId(name), name="Kitchen", outline=sides, ceiling=ceiling)


def window(mark: str, room: str = "k", sill_mm: float = 900.0) -> Opening:
    depth = Strip(depth_mm=150.0, depth_source="assumed")
    return Opening(
        id=OpeningId(mark),
        kind="window",
        room=RoomId(room),
        side=SideId(f"{room}0"),
        offset_mm=500.0,
        width_mm=1200.0,
        sill_mm=sill_mm,
        head_mm=2100.0,
        sill_source="assumed",
        head_source="assumed",
        reveal=Reveal(start=depth, end=depth, head=depth, sill=Strip(coat=False)),
    )


def job(*openings: Opening, rooms: tuple[Room, ...] = ()) -> Job:
    return Job(storeys=(Storey(id=StoreyId("g"), rooms=rooms or (kitchen(),), openings=openings),))


def test_each_assumed_value_is_listed_by_itself() -> None:
    found = assumptions(job(window("W1"), window("W2")))
    assert [(a.kind, a.thing, a.value_mm) for a in found] == [
        ("storey-height", "", 2400.0),
        ("window-sill", "W1", 900.0),
        ("window-head", "W1", 2100.0),
        ("window-reveal", "W1", 150.0),
        ("window-sill", "W2", 900.0),
        ("window-head", "W2", 2100.0),
        ("window-reveal", "W2", 150.0),
    ]


def test_codes_are_those_under_which_the_check_sums_them_up() -> None:
    whole = job(window("W1"), rooms=(kitchen(ceiling=Field(planes=(Plane(z_mm=2400.0),), source="assumed")),))
    told = {f.code for f in check(whole) if f.severity == "assumed"}
    assert {a.code for a in assumptions(whole)} == told


def test_confirmed_height_counts_as_typed_and_is_told_no_more() -> None:
    whole = job()
    (height,) = assumptions(whole)
    after = settling.confirm(whole, (height,))
    assert (after.storeys[0].height_mm, after.storeys[0].height_source) == (2400.0, "typed")
    assert assumptions(after) == ()
    assert [s.how for s in after.settled] == ["confirmed"]


def test_sills_of_two_windows_are_corrected_together() -> None:
    whole = job(window("W1"), window("W2"))
    sills = [a for a in assumptions(whole) if a.kind == "window-sill"]
    after = settling.confirm(whole, sills, 850.0)
    assert [o.sill_mm for o in after.storeys[0].openings] == [850.0, 850.0]
    assert [o.sill_source for o in after.storeys[0].openings] == ["typed", "typed"]
    assert [o.head_source for o in after.storeys[0].openings] == ["assumed", "assumed"]
    assert {s.how for s in after.settled} == {"corrected"}


def test_corrected_reveal_depth_goes_to_the_assumed_strips_only() -> None:
    whole = job(window("W1"))
    (depth,) = (a for a in assumptions(whole) if a.kind == "window-reveal")
    reveal = settling.confirm(whole, (depth,), 180.0).storeys[0].openings[0].reveal
    assert (reveal.start.depth_mm, reveal.head.depth_mm) == (180.0, 180.0)
    assert (reveal.start.depth_source, reveal.sill.depth_mm) == ("typed", 0.0)


def test_sloping_ceiling_is_raised_as_a_whole() -> None:
    slope = Field(planes=(Plane(z_mm=2400.0), Plane(z_mm=2000.0, slope_x=0.5)), source="assumed")
    whole = job(rooms=(kitchen(ceiling=slope),))
    (ceiling,) = assumptions(whole)
    after = settling.confirm(whole, (ceiling,), 2500.0).storeys[0].rooms[0].ceiling
    assert after is not None
    assert [p.z_mm for p in after.planes] == [2500.0, 2100.0]


def test_value_given_in_the_meantime_is_not_confirmed() -> None:
    whole = job()
    (height,) = assumptions(whole)
    typed = edits.set_storey_height(whole, StoreyId("g"), 2450.0)
    with pytest.raises(InputError, match="no longer assumed"):
        settling.confirm(typed, (height,))


@pytest.mark.parametrize("wrong", [-5.0, 0.0, float("nan"), float("inf")])
def test_impossible_height_is_refused(wrong: float) -> None:
    whole = job()
    with pytest.raises(InputError):
        settling.confirm(whole, assumptions(whole), wrong)


def test_confirmed_value_is_opened_again_as_assumed() -> None:
    whole = job(window("W1"))
    for value in assumptions(whole):
        after = settling.confirm(whole, (value,))
        again = settling.open_again(after, after.settled[0])
        assert assumptions(again) == assumptions(whole)
        assert again.settled == ()


WRITTEN = "Kitchen is 12.00 m² and 12.40 m² are written."
AREA = Finding("printed-area-differs", "check", WRITTEN, Where(room="k"))


def test_accepted_finding_is_open_again_when_it_tells_another_figure() -> None:
    after = settling.accept_findings(job(), (AREA,))
    assert open_findings(after, (AREA,)) == ()
    other = Finding(AREA.code, AREA.severity, "Kitchen is 12.10 m² and 12.40 m² are written.", AREA.where)
    assert open_findings(after, (AREA, other)) == (other,)
    again = settling.open_again(after, after.settled[0])
    assert open_findings(again, (AREA,)) == (AREA,)
    with pytest.raises(InputError):
        settling.open_again(again, after.settled[0])


def test_accepting_twice_changes_nothing() -> None:
    after = settling.accept_findings(job(), (AREA,))
    assert settling.accept_findings(after, (AREA,)) is after


def test_error_must_be_mended() -> None:
    wrong = Finding("outline-crosses-itself", "error", "The outline of Kitchen crosses itself.")
    with pytest.raises(InputError, match="has to be fixed"):
        settling.accept_findings(job(), (wrong,))
    assert open_findings(job(), (wrong,)) == (wrong,)


def test_finding_about_a_room_that_is_gone_is_told_no_more() -> None:
    assert open_findings(edits.remove_room(job(), RoomId("k")), (AREA,)) == ()


def test_accepted_room_is_sure_and_its_doubt_settled() -> None:
    doubt = Finding("room-to-check", "check", "Kitchen is to be checked.", Where(storey="g", room="k"))
    unsure = edits.set_room_confidence(job(), RoomId("k"), "check")
    after = settling.accept_room(unsure, RoomId("k"), (doubt,))
    assert after.storeys[0].rooms[0].confidence == "sure"
    assert open_findings(after, (doubt,)) == ()


def test_accepted_opening_is_sure() -> None:
    unsure = edits.set_opening_confidence(job(window("W1")), OpeningId("W1"), "check")
    after = settling.accept_opening(unsure, OpeningId("W1"))
    assert after.storeys[0].openings[0].confidence == "sure"


def test_a_job_with_all_settled_has_nothing_open_nor_after_it_was_saved() -> None:
    a_job = job(window("W1"), window("W2", "h"), rooms=(kitchen(), kitchen("h", 4000.0)))
    told = check(a_job)
    assert told
    settled = settling.accept_findings(a_job, told)
    assert open_findings(settled, told) == ()
    assert open_findings(load(dump(settled), "job.json"), check(settled)) == ()


def test_a_place_worked_out_anew_is_the_same_place_but_a_metre_off_is_another() -> None:
    def at(x_mm: float) -> Finding:
        return Finding("dashed-overhead", "check", "Dashed in Kitchen: a beam.", Where(storey="g", room="k", x_mm=x_mm))

    settled = settling.accept_findings(job(), [at(1234.4)])
    assert open_findings(settled, [at(1234.4000001)]) == ()
    assert open_findings(settled, [at(2234.4)]) == (at(2234.4),)
