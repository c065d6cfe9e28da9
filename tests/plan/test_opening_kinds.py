"""An opening that becomes another kind, and openings that are answered together."""

from __future__ import annotations

import msgspec
import pytest
from plan_samples import box, job, ring, room, window

from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.assumptions import assumptions
from takeoff.plan.check import check
from takeoff.plan.edits.settling_edits import confirm
from takeoff.plan.model import Job, Opening, OpeningId, Reveal, Room, RoomId, Strip, Swing
from takeoff.plan.opening_groups import opening_groups
from takeoff.plan.usual_sizes import UsualSizes, of_kind
from takeoff.storage import jobs

replace = msgspec.structs.replace
O1 = OpeningId("o1")


def way(**given: object) -> Opening:
    """An open way as a plan shows it: no sill, a head that is assumed, strips as deep as the wall of 500."""
    strip = Strip(depth_mm=500.0, depth_source="drawn")
    usual = {
        "id": O1, "kind": "open", "sill_mm": 0.0, "head_mm": 2040.0,
        "reveal": Reveal(start=strip, end=strip, head=strip),
        "width_source": "drawn", "sill_source": "drawn", "head_source": "assumed",
    }  # fmt: skip
    return window(**(usual | given))


def one_room(*openings: Opening) -> Job:
    """4 × 3 × 2.4 m within walls of 500."""
    outline = tuple((*point, 0.0) for point in box(5000, 4000, -500, -500))
    return job(room(box(4000, 3000)), openings=openings, building=(outline,))


def figures(of: Job) -> tuple[float, float]:
    totals = measure(of).totals
    return totals["coated_m2"], totals["bead_m"]


def test_a_way_that_becomes_a_window_has_a_windows_sizes() -> None:
    """Walls 14 × 2.4 = 33.6 and ceiling 12. As a way to the floor: − 1.2 × 2.04 + 0.5 × (2 × 2.04 + 1.2) = + 0.192.
    As a window: − 1.2 × 1.2 + 0.15 × 3 × 1.2 = − 0.9; bead along both jambs and the head."""
    before = one_room(way())
    assert figures(before) == pytest.approx((45.6 + 0.192, 2 * 2.04 + 1.2))
    after = edits.set_opening_kind(before, O1, "window")
    assert figures(after) == pytest.approx((45.6 - 0.9, 3 * 1.2))
    opening = edits.opening_of(after, O1)
    assert (opening.sill_mm, opening.sill_source, opening.head_mm, opening.head_source) == (
        900,
        "assumed",
        2100,
        "assumed",
    )
    assert opening.reveal.head == Strip(depth_mm=150.0, depth_source="assumed")
    assert opening.reveal.sill == Strip(depth_mm=150.0, coat=False, depth_source="assumed")
    assert (opening.width_mm, opening.width_source) == (1200, "drawn")


def test_back_and_forth_gives_the_same_figures() -> None:
    before = one_room(way())
    after = edits.set_opening_kind(edits.set_opening_kind(before, O1, "window"), O1, "open")
    opening = edits.opening_of(after, O1)
    assert (opening.sill_mm, opening.head_mm, opening.head_source) == (0, 2040, "assumed")
    door = edits.opening_of(edits.set_opening_kind(after, O1, "door"), O1)
    assert door.reveal.start.depth_mm == 0
    assert edits.set_opening_kind(before, O1, "open") is before


@pytest.mark.parametrize("source", ["typed", "site", "figured", "drawn"])
def test_sizes_that_were_given_stay(source: str) -> None:
    given = way(sill_mm=300.0, sill_source=source, head_mm=2310.0, head_source=source)
    new = of_kind(given, "window")
    assert (new.sill_mm, new.head_mm, new.sill_source, new.head_source) == (300, 2310, source, source)
    strip = Strip(depth_mm=80.0, depth_source="site")
    assert of_kind(way(reveal=Reveal(start=strip)), "window").reveal.start == strip


def test_floor_under_a_modelled_door_is_given() -> None:
    modelled = way(kind="door", head_source="drawn", head_mm=2100.0)
    assert of_kind(modelled, "window").sill_mm == 0


def test_a_low_head_that_was_typed_keeps_the_sill_below_it() -> None:
    hatch = way(head_mm=700.0, head_source="typed")
    assert (of_kind(hatch, "window").sill_mm, of_kind(hatch, "window").head_mm) == (0, 700)
    high = way(kind="window", sill_mm=2200.0, sill_source="typed", head_mm=2400.0, head_source="assumed")
    assert of_kind(high, "door").head_mm == 2400


def test_usual_sizes_that_the_user_gave_count_as_typed() -> None:
    usual = UsualSizes(window_sill_mm=1000.0, given=frozenset({"window_sill_mm"}))
    new = of_kind(way(), "window", usual)
    assert (new.sill_mm, new.sill_source, new.head_source) == (1000, "typed", "assumed")


def test_sills_and_reveals_are_assumptions_like_heads() -> None:
    after = edits.set_opening_kind(one_room(way()), O1, "window")
    told = {finding.code: finding.text for finding in check(after) if finding.severity == "assumed"}
    assert told["assumed-window-sill"] == "The sill height of 1 window on Ground is assumed (900 mm): measure it."
    assert told["assumed-window-reveal"] == "The reveal depth of 1 window on Ground is assumed (150 mm): measure it."
    values = {value.kind: value for value in assumptions(after)}
    mended = confirm(after, [values["window-sill"]], 1000.0)
    mended = confirm(mended, [values["window-reveal"]], 200.0)
    opening = edits.opening_of(mended, O1)
    assert (opening.sill_mm, opening.sill_source, opening.head_mm) == (1000, "typed", 2100)
    assert (opening.reveal.start.depth_mm, opening.reveal.start.depth_source) == (200, "typed")
    assert [v.kind for v in assumptions(mended)] == ["window-head"]


def unsure(name: str, width: float, side: str = "s0", offset: float = 0.0, **given: object) -> Opening:
    asked = {"id": OpeningId(name), "width_mm": width, "side": side, "offset_mm": offset, "confidence": "question"}
    return way(**(asked | given))


def two_rooms_in_question() -> Job:
    """Two rooms with a wall of 100 between them; ways in outside walls and one between the rooms."""
    one, other = room(box(4000, 3000)), Room(id=RoomId("r2"), outline=ring(box(3000, 3000, 4100, 0), "t"))
    openings = (
        unsure("a", 1210, "s0", 200, kind="window"), unsure("b", 1180, "s0", 2000, kind="window"),
        unsure("c", 1200, "s2", 200, kind="window"), unsure("d", 1600, "s2", 2000, kind="window"),
        unsure("e", 900, "s1", 200, kind="door"), way(id=OpeningId("f"), side="s3"),
        unsure("g", 1210, "s3", 1500, kind="window", confidence="check"),
    )  # fmt: skip
    outline = tuple((*point, 0.0) for point in box(7700, 3600, -300, -300))
    return job(one, other, openings=openings, building=(outline,))


def test_unsure_openings_are_put_together_by_kind_wall_and_width() -> None:
    groups = opening_groups(two_rooms_in_question())
    assert [(g.kind, g.wall, g.ids) for g in groups] == [
        ("window", "outside", ("b", "c", "a")),
        ("window", "outside", ("d",)),
        ("door", "inside", ("e",)),
        ("window", "outside", ("g",)),
    ]
    assert [g.words for g in groups] == [
        "3 openings, 1.18 to 1.21 m wide, in outside walls",
        "1 opening, 1.60 m wide, in an outside wall",
        "1 opening, 0.90 m wide, in an inside wall",
        "1 opening, 1.21 m wide, in an outside wall",
    ]
    assert opening_groups(one_room(way())) == ()
    nowhere = replace(two_rooms_in_question().storeys[0], building=())
    (first, *_) = opening_groups(Job(storeys=(nowhere,)))
    assert (first.wall, first.words) == ("", "3 openings, 1.18 to 1.21 m wide")


def test_widths_that_creep_up_do_not_end_in_one_group() -> None:
    ways = [unsure(f"o{k}", 1000 * 1.07**k, "s0", 0.0) for k in range(4)]
    assert [len(group.openings) for group in opening_groups(one_room(*ways))] == [3, 1]


@pytest.mark.parametrize("answer", ["window", "door", "open", "nothing"])
def test_one_answer_settles_a_group(answer: str) -> None:
    before = two_rooms_in_question()
    (group, *_) = opening_groups(before)
    after = edits.answer_openings(before, group.ids, answer)
    left = {o.id: o for o in after.storeys[0].openings}
    if answer == "nothing":
        assert not set(group.ids) & set(left)
    else:
        assert {(left[name].kind, left[name].confidence) for name in group.ids} == {(answer, "sure")}
    assert left["d"] == edits.opening_of(before, OpeningId("d"))
    assert len(opening_groups(after)) == 3


def test_swings_are_kept_in_the_job_and_turned_for_the_room_behind() -> None:
    swing = Swing(hinge="start", into="host", leaf_mm=900.0)
    assert swing.turned == Swing(hinge="end", into="beyond", leaf_mm=900.0)
    assert swing.turned.turned == swing
    before = one_room(way(kind="door", swings=(swing,)))
    assert jobs.load(jobs.dump(before), "kept") == before
    copied = edits.duplicate_storey(before, before.storeys[0].id, "upper", "Upper", 2700.0)
    assert copied.storeys[1].openings[0].swings == (swing,)
