"""Outside walls and those nobody knows of; a job's coat in a few words; openings to place."""

import msgspec
import pytest

from takeoff.measure import Memory
from takeoff.measure.outside_rule import OutsideRule
from takeoff.plan import edits
from takeoff.plan.model import Behind, Job, Opening, OpeningId, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.views.board import State, stand
from takeoff.views.opening_types import new_opening, opening_types, opening_view
from takeoff.views.outside_walls import answered, coat_outside, coat_words, outside_sides, unknown_walls

replace = msgspec.structs.replace


def room(name: str, x: float, wide: float, behind: dict[str, str] | None = None) -> Room:
    """A box 4 m deep; what lies behind a side as given."""
    corners = ((x, 0.0), (x + wide, 0.0), (x + wide, 4000.0), (x, 4000.0))
    sides = tuple(
        Side(
            id=SideId(f"s{k}"),
            x_mm=a,
            y_mm=b,
            behind=tuple(Behind(cls=cls) for side, cls in (behind or {}).items() if side == f"s{k}"),
        )  # type: ignore[arg-type]
        for k, (a, b) in enumerate(corners)
    )
    return Room(id=RoomId(name), name=name, outline=sides)


def job(*rooms: Room, openings: tuple[Opening, ...] = ()) -> Job:
    return Job(storeys=(Storey(id=StoreyId("g"), rooms=rooms, openings=openings),))


def state(a_job: Job) -> State:
    return stand(a_job, Memory())


ALONE = job(room("r1", 0.0, 5000.0, {"s0": "outside", "s1": "same", "s2": "same", "s3": "neighbour"}))


def test_outside_wall_with_returns_and_ceiling_band_is_the_room_worked_by_hand() -> None:
    before = state(ALONE)
    after = state(coat_outside(before, ALONE, OutsideRule(600.0, 600.0)))
    figures = after.rooms["g", "r1"].figures
    # 5 × 2.4 + 2 × 0.6 × 2.4 and 5 × 0.6
    assert (str(figures["wall_net_m2"]), str(figures["ceiling_m2"])) == ("14.88", "3.00")
    assert coat_words(after) == "outside walls, returns 0.60 m, ceiling band 0.60 m"


def test_coat_is_told_in_few_words() -> None:
    assert coat_words(state(Job())) == "nothing yet"
    assert coat_words(state(ALONE)) == "walls and ceilings"
    before = state(ALONE)
    assert coat_words(state(coat_outside(before, ALONE, OutsideRule(600.0)))) == (
        "outside walls, returns 0.60 m, ceilings"
    )
    assert coat_words(state(coat_outside(before, ALONE, OutsideRule(0.0, 0.0)))) == "outside walls, no returns"
    half = edits.coat_sides(ALONE, {RoomId("r1"): (SideId("s2"),)}, False)
    assert coat_words(state(half)) == "part of the walls and ceilings"
    bare = edits.coat_ceilings(ALONE, (RoomId("r1"),), False)
    assert coat_words(state(bare)) == "walls"


def test_different_rooms_are_told_as_room_by_room() -> None:
    two = job(room("r1", 0.0, 5000.0, {"s0": "outside"}), room("r2", 5100.0, 5000.0, {"s0": "outside"}))
    after = edits.coat_ceilings(two, (RoomId("r2"),), False)
    assert coat_words(state(after)) == "room by room"


def test_walls_with_nothing_known_behind_are_asked_about() -> None:
    two = job(room("r1", 0.0, 5000.0, {"s0": "outside"}), room("r2", 5100.0, 5000.0))
    asked = unknown_walls(state(two))
    assert [(wall.room, wall.side, wall.length_mm) for wall in asked] == [
        ("r1", "s2", 5000.0),
        ("r1", "s3", 4000.0),
        ("r2", "s0", 5000.0),
        ("r2", "s1", 4000.0),
        ("r2", "s2", 5000.0),
    ]
    assert asked[0].wall_words == "C upper"


def test_end_of_a_wall_between_two_rooms_behind_is_not_asked_about() -> None:
    behind = (room("r2", 0.0, 2400.0), room("r3", 2500.0, 2500.0))
    lifted = [replace(r, outline=tuple(replace(s, y_mm=s.y_mm + 4100.0) for s in r.outline)) for r in behind]
    asked = unknown_walls(state(job(room("r1", 0.0, 5000.0), *lifted)), {"r1"})
    assert [wall.side for wall in asked] == ["s0", "s1", "s3"]


def test_wall_that_turns_out_to_be_outside_is_coated_by_the_rule() -> None:
    one = job(room("r1", 0.0, 5000.0, {"s0": "outside", "s1": "same", "s3": "same"}))
    before = state(one)
    coated = state(coat_outside(before, one, OutsideRule(600.0, 600.0)))
    wall = unknown_walls(coated)[0]
    assert wall.side == "s2"
    after = state(answered(coated, coated.job, (wall,), "outside"))
    # both long walls and four returns
    assert str(after.rooms["g", "r1"].figures["wall_net_m2"]) == "29.76"
    assert unknown_walls(after) == ()
    assert outside_sides(after)[RoomId("r1")] == {"s0": (), "s2": ()}
    kept = state(answered(coated, coated.job, (wall,), "neighbour"))
    assert str(kept.rooms["g", "r1"].figures["wall_net_m2"]) == "14.88"


def test_answer_in_a_job_without_a_rule_leaves_the_coat() -> None:
    before = state(job(room("r1", 0.0, 5000.0, {"s0": "outside"})))
    wall = unknown_walls(before)[0]
    after = state(answered(before, before.job, (wall,), "outside"))
    assert after.totals == before.totals


WINDOW = Opening(
    id=OpeningId("w1"),
    kind="window",
    room=RoomId("r1"),
    side=SideId("s0"),
    offset_mm=1000.0,
    width_mm=1300.0,
    sill_mm=800.0,
    head_mm=2100.0,
    mark="W1",
)


def test_types_of_the_job_come_before_usual_ones() -> None:
    other = replace(WINDOW, id=OpeningId("w2"), offset_mm=3000.0, mark="W2")
    door = replace(WINDOW, id=OpeningId("d1"), kind="door", sill_mm=0.0, width_mm=900.0, side=SideId("s1"))
    types = opening_types(job(room("r1", 0.0, 5000.0), openings=(door, WINDOW, other)))
    assert [(t.words, t.count) for t in types[:3]] == [
        ("Window  1.30 × 1.30", 2),
        ("Door W1  0.90 × 2.10", 1),
        ("Window  1.20 × 1.20", 0),
    ]
    placed = new_opening(ALONE, types[0], RoomId("r1"), SideId("s0"), 0.0)
    assert (placed.id, placed.sill_mm, placed.head_mm, placed.mark) == ("w1", 800.0, 2100.0, "")


def test_opening_is_told_with_its_place_from_inside() -> None:
    view = opening_view(state(job(room("r1", 0.0, 5000.0), openings=(WINDOW,))), "w1")
    assert view is not None
    assert (view.title, view.place) == ("Window W1", "Wall A")
    assert (view.to_left_mm, view.to_right_mm) == (2700.0, 1000.0)
    assert view.takes == "1.69 m² deducted from the wall, 0.00 m² of reveal coated."


def test_opening_through_to_another_room_says_so() -> None:
    door = replace(WINDOW, side=SideId("s1"), kind="door", sill_mm=0.0, width_mm=900.0, head_mm=2000.0)
    view = opening_view(state(job(room("r1", 0.0, 5000.0), room("r2", 5100.0, 5000.0), openings=(door,))), "w1")
    assert view is not None
    assert view.place == "Wall B, through to r2"
    assert view.takes.startswith("3.60 m² deducted from both faces")


def test_opening_that_is_asked_about_says_why_and_what_it_changes() -> None:
    asked = replace(WINDOW, confidence="question", evidence=("no glass is drawn",))
    view = opening_view(state(job(room("r1", 0.0, 5000.0), openings=(asked,))), "w1")
    assert view is not None
    assert view.question == ("Not measured yet: no glass is drawn. If accepted: −1.69 m² of coat.")


@pytest.mark.parametrize("opening_id", ["none", ""])
def test_unknown_opening_has_no_view(opening_id: str) -> None:
    assert opening_view(state(ALONE), opening_id) is None


def test_walls_that_are_all_outside_and_wholly_coated_are_simply_walls() -> None:
    every = job(room("r1", 0.0, 5000.0, dict.fromkeys(("s0", "s1", "s2", "s3"), "outside")))
    assert coat_words(state(every)) == "walls and ceilings"


@pytest.mark.parametrize(("wide_mm", "asked"), [(100.0, False), (450.0, False), (500.0, True)])
def test_the_end_of_a_wall_between_two_rooms_behind_is_not_asked_about_but_a_longer_piece_is(
    wide_mm: float, asked: bool
) -> None:
    one = room("r1", 0.0, 5000.0, dict.fromkeys(("s1", "s2", "s3"), "outside"))
    rooms_behind = (Behind("same", 0.0, 2000.0), Behind("same", 2000.0 + wide_mm, None))
    long = replace(one, outline=(replace(one.outline[0], behind=rooms_behind), *one.outline[1:]))
    found = unknown_walls(state(job(long)))
    assert [wall.stretches for wall in found] == ([((2000.0, 2000.0 + wide_mm),)] if asked else [])
