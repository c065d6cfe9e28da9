"""Proposing anew after the layers were sorted: what the user set stays, or he is told what is lost."""

from __future__ import annotations

import msgspec
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, codes, rooms

from takeoff.drawing.model import Drawing
from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId, StoreyId, WallTreatment
from takeoff.recognise import Settings, propose
from takeoff.recognise.again import again

replace = msgspec.structs.replace


def parted_kitchen() -> Drawing:
    """Kitchen and hall; a wall on a layer called like furniture would part the kitchen at 2000."""
    sheet: Sheet = two_rooms().box(2000, 0, 2100, 3000, layer="Equipment")
    return sheet.drawing()


BEFORE = propose(parted_kitchen())[0]
NEW = propose(parted_kitchen(), Settings(layer_roles=(("Equipment", "wall"),)))[0]


def named(job: Job, name: str) -> RoomId:
    return next(r.id for r in rooms(job) if r.name == name)


def ids(job: Job) -> list[str]:
    return sorted(str(r.id) for r in rooms(job))


def test_with_nothing_set_it_is_the_new_proposal() -> None:
    job, found = again(BEFORE, BEFORE, NEW)
    assert sorted(round(area_m2(r), 2) for r in rooms(job)) == [5.7, 6.0, 9.0]
    assert found == ()
    assert named(job, "Hall") == named(BEFORE, "Hall")
    assert len(set(ids(job))) == len(ids(job)) == 3
    known = {r.id for r in rooms(job)}
    assert all(o.room in known for s in job.storeys for o in s.openings)


def test_a_room_that_stays_the_same_keeps_all_that_was_set() -> None:
    hall = named(BEFORE, "Hall")
    mine = edits.set_flat_ceiling(edits.rename_room(BEFORE, hall, "Lobby"), hall, 2700.0)
    mine = edits.set_wall_treatment(mine, hall, WallTreatment(coat=False))
    job, found = again(BEFORE, mine, NEW)
    assert next(r for r in rooms(job) if r.id == hall) == next(r for r in rooms(mine) if r.id == hall)
    assert codes(found) == ["rooms-kept"]
    assert "Lobby" in f"{found[0].text} {found[0].evidence}"
    assert len(rooms(job)) == 3


def test_a_room_with_another_outline_keeps_its_values_and_what_is_lost_is_told() -> None:
    kitchen = named(BEFORE, "Kitchen")
    side = next(r for r in rooms(BEFORE) if r.id == kitchen).outline[0].id
    mine = edits.set_flat_ceiling(BEFORE, kitchen, 2700.0)
    mine = edits.set_wall_treatment(mine, kitchen, WallTreatment(coat=False), side)
    smaller = propose(
        two_rooms().box(1000, 0, 1100, 3000, layer="Equipment").drawing(),
        Settings(layer_roles=(("Equipment", "wall"),)),
    )[0]
    job, found = again(BEFORE, mine, smaller)
    room = next(r for r in rooms(job) if r.id == kitchen)
    assert round(area_m2(room), 2) == 8.7
    assert room.ceiling is not None
    assert room.ceiling.planes[0].z_mm == 2700.0
    assert codes(found) == ["set-values-lost"]
    assert "single walls" in f"{found[0].text} {found[0].evidence}"


def test_a_room_that_was_drawn_by_hand_stays_and_nothing_is_proposed_in_it() -> None:
    ring = ((100.0, 100.0, 0.0), (1900.0, 100.0, 0.0), (1900.0, 2900.0, 0.0), (100.0, 2900.0, 0.0))
    mine = edits.remove_room(BEFORE, named(BEFORE, "Kitchen"))
    mine = edits.draw_room(mine, StoreyId("1"), ring)
    drawn = next(r for r in rooms(mine) if r.name != "Hall")
    job, found = again(BEFORE, mine, NEW)
    assert drawn in rooms(job)
    assert codes(found) == ["rooms-kept", "room-in-the-way"]
    assert sorted(round(area_m2(r), 2) for r in rooms(job)) == [5.04, 5.7, 9.0]


def test_an_outline_moved_by_hand_stays() -> None:
    hall = next(r for r in rooms(BEFORE) if r.name == "Hall")
    mine = edits.move_side(BEFORE, hall.id, hall.outline[0].id, 50.0)
    job, found = again(BEFORE, mine, NEW)
    assert (
        next(r for r in rooms(job) if r.id == hall.id).outline
        == next(r for r in rooms(mine) if r.id == hall.id).outline
    )
    assert "rooms-kept" in codes(found)


def test_a_room_that_was_refused_is_not_proposed_again() -> None:
    job, _ = again(BEFORE, edits.remove_room(BEFORE, named(BEFORE, "Hall")), NEW)
    assert all(r.name != "Hall" for r in rooms(job))


def test_storeys_and_job_keep_what_was_set() -> None:
    mine = edits.set_storey_height(BEFORE, StoreyId("1"), 2650.0)
    mine = replace(mine, name="Cottage", system="demo-coat-b")
    job, _ = again(BEFORE, mine, NEW)
    assert (job.storeys[0].height_mm, job.name, job.system) == (2650.0, "Cottage", "demo-coat-b")
    assert len(rooms(job)) == 3


def test_where_nothing_is_found_any_more_only_what_was_set_stays() -> None:
    mine = edits.rename_room(BEFORE, named(BEFORE, "Hall"), "Lobby")
    job, _ = again(BEFORE, mine, replace(NEW, storeys=()))
    assert [r.name for r in rooms(job)] == ["Lobby"]
    assert again(BEFORE, BEFORE, replace(NEW, storeys=()))[0].storeys == ()
