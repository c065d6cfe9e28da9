import inspect
import math
from typing import Any

import msgspec
import pytest
from plan_samples import L_SHAPE, box, job, ring, room, storey, window
from test_price_edits import OPTIONS, PRICED
from test_programme_edits import LOOKED_UP, PLANNED
from test_site_edits import SITE
from test_work_edits import WORK

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import (
    Behind,
    CeilingTreatment,
    CornerPick,
    Exclusion,
    Field,
    Job,
    OpeningId,
    Plane,
    Region,
    RegionId,
    Reveal,
    Rooflight,
    Room,
    RoomId,
    Side,
    SideId,
    StoreyId,
    Strip,
    WallTreatment,
    WallType,
    WallTypeId,
)

replace = msgspec.structs.replace

R1, R2, G, W1 = RoomId("r1"), RoomId("r2"), StoreyId("g"), OpeningId("w1")
TILES = Exclusion(id="t", outline=((1000, 0, 0), (2000, 0, 0), (2000, 1000, 0), (1000, 1000, 0)))
BEAM = Region(
    id=RegionId("beam"), op="lower", planes=(Plane(z_mm=2200),),
    outline=((0, 0, 0), (300, 0, 0), (300, 4000, 0), (0, 4000, 0)),
)  # fmt: skip


def sid(name: str) -> SideId:
    return SideId(name)


def two_rooms() -> Job:
    """An L-shaped room with a window in s0, and a box beside it with a window of its own."""
    other = window(id=OpeningId("w2"), room=R2)
    return job(room(), room(box(4000, 4000, 6000), "r2"), openings=(window(), other))


def side(a_job: Job, side_id: str, room_id: RoomId = R1) -> Side:
    found = edits.room_of(a_job, room_id)
    return next(s for r in (found.outline, *found.inner) for s in r if s.id == side_id)


def places(a_room: Room) -> list[tuple[float, float]]:
    return [(s.x_mm, s.y_mm) for s in a_room.outline]


# -- what holds for every edit

EDITS: dict[str, tuple[Any, ...]] = {
    "add_exclusion": (R1, sid("s0"), TILES),
    "add_opening": (window(id=OpeningId("w3"), offset_mm=3000.0),),
    "add_region": (R1, "ceiling", BEAM),
    "add_rooflight": (Rooflight(id=OpeningId("l"), room=R1, outline=((1, 1, 0), (2, 1, 0), (2, 2, 0))),),
    "add_pier": (R1, ((500, 500, 0), (900, 500, 0), (900, 900, 0), (500, 900, 0))),
    "add_room": (G, room(box(1000, 1000, 20000), "r3")),
    "bend_side": (R1, sid("s0"), 200.0),
    "delete_corner": (R1, sid("s2")),
    "insert_corner": (R1, sid("s1"), 5000.0, 1000.0),
    "move_corner": (R1, sid("s2"), 5100.0, 2000.0),
    "move_side": (R1, sid("s1"), 500.0),
    "remove_opening": (W1,),
    "remove_room": (R1,),
    "rename_room": (R1, "Kitchen"),
    "set_corner_heights": (R1, {sid("s0"): 2600.0}, "follow"),
    "set_behind": (R1, sid("s0"), (Behind(cls="outside"),)),
    "set_build_ups": (R1, 50.0, 12.5),
    "set_ceiling_treatment": (R1, CeilingTreatment(coat=False)),
    "set_flat_ceiling": (R1, 2600.0),
    "set_flat_floor": (R1, -100.0),
    "set_opening_confidence": (W1, "check"),
    "set_opening_mark": (W1, "W7"),
    "set_opening_size": (W1, 1400.0, None, 800.0, 2000.0),
    "pick_corners": ({R1: ["c1"]}, "existing"),
    "set_strips": (W1, ("head",), 150.0),
    "slide_opening": (W1, 2000.0),
    "set_room_ceiling": (R1, Field(planes=(Plane(z_mm=3000),))),
    "set_room_confidence": (R1, "check"),
    "set_side_kind": (R1, sid("s0"), "open"),
    "slope_ceiling": (R1, sid("s0"), "one", 2000.0, 30.0),
    "set_wall_treatment": (R1, WallTreatment(coat=False)),
}
ELSEWHERE = {
    "moved_ring", "across", "add_storey", "add_wall_type", "all_sides", "answer_above",
    "answer_stair", "answer_behind", "answer_walls",
    "ceiling_through", "coat_ceilings_under_roof",
    "close_side",
    "coat_ceilings", "coat_outside_walls", "coat_reveals", "coat_sides", "copied_rooms", "copy_storey",
    "corner_by_lengths", "corner_heights", "cut_rooms", "draw_room", "drop_storey", "duplicate_storey",
    "fitted", "in_wall", "join_rooms", "keep_sound", "move_corners", "move_photo", "move_storey",
    "move_wall", "new_exclusion_id", "new_opening_id", "new_room_id", "new_storey", "note_photo",
    "open_side", "opening_of", "outward_for_length", "pasted_rooms", "photo_of", 
    "pin_photo", "place_opening", "remove_exclusion", "remove_photo", "remove_pier", "remove_region",
    "remove_storey", "rename_job", "rename_storey", "room_of", "set_band", "set_bead_default",
    "set_ceiling_band", "set_coat_edge_default", "set_convention", "set_coving", "set_details", "set_drawing_number",
    "set_logo", "set_order_prices",
    "answer_openings", "set_opening_kind", "set_opening_shape", "set_returns",
    "set_storey_build_ups", "set_storey_height", "set_system", "set_storey_level", "set_storey_times", 
    "side_curve", "split_room", "storey_of", "unpick_corners", "with_new_room", "wall_exclusions",
    "accept_customs", "accept_substrates", "set_custom", "set_face_substrate", "set_job_substrates",
    "set_room_substrates",
    "move_rooflight", "place_rooflight", "rooflight_of", "rooflight_size", "set_rooflight",
}  # fmt: skip


def test_every_edit_is_tried_here():
    assert set(EDITS) | ELSEWHERE | set(PRICED) | OPTIONS | set(SITE) | set(WORK) | set(PLANNED) | LOOKED_UP == set(
        edits.__all__
    )


@pytest.mark.parametrize("name", EDITS)
def test_an_edit_of_one_room_leaves_the_others_the_same_objects(name):
    before = two_rooms()
    kept = msgspec.json.encode(before)
    after = getattr(edits, name)(before, *EDITS[name])
    assert after != before
    assert msgspec.json.encode(before) == kept
    assert edits.room_of(after, R2) is before.storeys[0].rooms[1]
    assert edits.opening_of(after, OpeningId("w2")) is before.storeys[0].openings[1]


@pytest.mark.parametrize(
    "name", sorted(n for n in EDITS if n.startswith(("move_corner", "slide", "pick", "rename", "set")))
)
def test_an_edit_that_changes_nothing_gives_the_job_itself_back(name):
    once = getattr(edits, name)(two_rooms(), *EDITS[name])
    assert getattr(edits, name)(once, *EDITS[name]) is once


@pytest.mark.parametrize("name", EDITS)
def test_an_unknown_id_is_refused_with_a_sentence(name):
    def wrong(value: Any) -> Any:
        if isinstance(value, msgspec.Struct) and "room" in value.__struct_fields__:
            return replace(value, room="nowhere")
        return {"nowhere": []} if isinstance(value, dict) else "nowhere"

    edit = getattr(edits, name)
    with pytest.raises(InputError) as error:
        edit(two_rooms(), wrong(EDITS[name][0]), *EDITS[name][1:])
    assert "nowhere" in str(error.value)
    assert str(error.value).endswith(".")


SIDE_EDITS = [n for n in EDITS if "side_id" in inspect.signature(getattr(edits, n)).parameters]


@pytest.mark.parametrize("name", [*SIDE_EDITS, "add_exclusion"])
def test_an_unknown_side_is_refused_with_a_sentence(name):
    with pytest.raises(InputError, match="no wall “s9”"):
        getattr(edits, name)(two_rooms(), R1, sid("s9"), *EDITS[name][2:])


@pytest.mark.parametrize("name", EDITS)
def test_a_number_that_is_none_is_refused(name):
    numbers = [i for i, value in enumerate(EDITS[name]) if isinstance(value, float)]
    for index in numbers:
        arguments = list(EDITS[name])
        arguments[index] = math.nan
        with pytest.raises(InputError, match="not a number"):
            getattr(edits, name)(two_rooms(), *arguments)


# -- storeys and rooms


def test_a_storey_is_added_renamed_raised_and_removed():
    upper = storey(room(name="r9"), id=StoreyId("u"))
    a_job = edits.add_storey(two_rooms(), upper)
    assert edits.storey_of(a_job, StoreyId("u")) is upper
    a_job = edits.rename_storey(a_job, StoreyId("u"), "Upper")
    a_job = edits.set_storey_level(a_job, StoreyId("u"), 2700.0)
    a_job = edits.set_storey_height(a_job, StoreyId("u"), 2500.0)
    a_job = edits.set_storey_times(a_job, StoreyId("u"), 3)
    found = edits.storey_of(a_job, StoreyId("u"))
    assert (found.name, found.level_mm, found.height_mm, found.times) == ("Upper", 2700.0, 2500.0, 3)
    assert found.height_source == "typed"
    assert edits.remove_storey(a_job, StoreyId("u")) == two_rooms()
    with pytest.raises(InputError, match="already"):
        edits.add_storey(a_job, upper)
    with pytest.raises(InputError, match="already"):
        edits.add_storey(a_job, storey(room(), id=StoreyId("v")))
    with pytest.raises(InputError, match="0 times"):
        edits.set_storey_times(a_job, StoreyId("u"), 0)


def test_a_storey_is_duplicated_with_ids_of_its_own():
    a_job = edits.duplicate_storey(two_rooms(), G, StoreyId("u"), "Upper", 2700.0)
    first, second = a_job.storeys
    assert first is not second
    assert [r.id for r in second.rooms] == ["u/r1", "u/r2"]
    assert [(o.id, o.room) for o in second.openings] == [("u/w1", "u/r1"), ("u/w2", "u/r2")]
    assert second.rooms[0].outline is first.rooms[0].outline
    assert check(a_job) == ()


def test_a_removed_room_takes_its_openings_with_it():
    a_job = edits.add_rooflight(two_rooms(), EDITS["add_rooflight"][0])
    left = edits.remove_room(a_job, R1).storeys[0]
    assert [r.id for r in left.rooms] == ["r2"]
    assert [o.id for o in left.openings] == ["w2"]
    assert left.rooflights == ()


def test_a_room_id_that_is_taken_or_empty_is_refused():
    with pytest.raises(InputError, match="already"):
        edits.add_room(two_rooms(), G, room())
    with pytest.raises(InputError, match="blank"):
        edits.add_room(two_rooms(), G, room(name=""))


def test_times_below_one_are_refused():
    with pytest.raises(InputError, match="0 times"):
        edits.set_storey_times(two_rooms(), G, 0)


def test_a_wall_type_is_added_and_exchanged():
    plaster = WallType(id=WallTypeId("p"), finish_a_mm=12.5)
    a_job = edits.add_wall_type(two_rooms(), plaster)
    assert edits.add_wall_type(a_job, plaster) is a_job
    thick = edits.add_wall_type(a_job, replace(plaster, finish_a_mm=25.0))
    assert [w.finish_a_mm for w in thick.wall_types] == [25.0]


def test_a_side_made_a_wall_again_loses_its_open_range():
    opened = edits.set_side_kind(two_rooms(), R1, sid("s0"), "open", 900.0, 2100.0)
    assert side(opened, "s0").open_to_mm == 2100.0
    assert edits.set_side_kind(opened, R1, sid("s0"), "wall") == two_rooms()


# -- heights


def test_a_region_on_a_ceiling_at_the_storeys_height_keeps_that_height_and_where_it_came_from():
    assumed = job(room(), height_mm=2550.0, height_source="assumed")
    a_job = edits.add_region(assumed, R1, "ceiling", BEAM)
    field = edits.room_of(a_job, R1).ceiling
    assert field == Field(planes=(Plane(z_mm=2550.0),), regions=(BEAM,), source="assumed")
    assert edits.room_of(edits.remove_region(a_job, R1, RegionId("beam")), R1).ceiling.regions == ()
    with pytest.raises(InputError, match="already"):
        edits.add_region(a_job, R1, "floor", BEAM)
    with pytest.raises(InputError, match="no part"):
        edits.remove_region(assumed, R1, RegionId("beam"))


def test_a_flat_ceiling_keeps_the_regions():
    a_job = edits.set_flat_ceiling(edits.add_region(two_rooms(), R1, "ceiling", BEAM), R1, 2700.0)
    assert edits.room_of(a_job, R1).ceiling.regions == (BEAM,)


# -- corners


def test_a_moved_corner_moves_two_sides_and_no_other():
    before = two_rooms()
    after = edits.move_corner(before, R1, sid("s2"), 5500.0, 2500.0)
    assert places(edits.room_of(after, R1))[2] == (5500.0, 2500.0)
    for name in ("s0", "s1", "s3", "s4", "s5"):
        assert side(after, name) is side(before, name)


def test_a_window_stays_where_it_is_when_the_start_of_its_side_moves():
    after = edits.move_corner(two_rooms(), R1, sid("s0"), -500.0, 0.0)
    assert edits.opening_of(after, W1).offset_mm == 1500.0
    further = edits.move_corner(two_rooms(), R1, sid("s1"), 5500.0, 0.0)
    assert edits.opening_of(further, W1).offset_mm == 1000.0


def test_what_is_behind_and_what_is_left_out_stay_put_too():
    stretches = (Behind(cls="outside", to_mm=2000.0), Behind(cls="neighbour", from_mm=2000.0))
    a_job = edits.set_behind(edits.add_exclusion(two_rooms(), R1, sid("s0"), TILES), R1, sid("s0"), stretches)
    after = side(edits.move_corner(a_job, R1, sid("s0"), -500.0, 0.0), "s0")
    assert [(b.from_mm, b.to_mm) for b in after.behind] == [(0.0, 2500.0), (2500.0, None)]
    assert after.treatment.exclusions[0].outline[0] == (1500.0, 0.0, 0.0)


def test_a_side_that_is_not_moved_leaves_the_job_itself():
    a_job = two_rooms()
    assert edits.move_side(a_job, R1, sid("s1"), 0.0) is a_job


def test_a_side_moved_outwards_makes_the_room_larger():
    # s1 runs up from (5000, 0): outwards is to the right.
    after = edits.move_side(two_rooms(), R1, sid("s1"), 500.0)
    assert places(edits.room_of(after, R1))[:4] == [(0, 0), (5500, 0), (5500, 2000), (3000, 2000)]
    # s0 runs right from (0, 0): inwards is up; its window stays where it is.
    inward = edits.move_side(two_rooms(), R1, sid("s0"), -500.0)
    assert places(edits.room_of(inward, R1))[:2] == [(0, 500), (5000, 500)]
    assert edits.opening_of(inward, W1).offset_mm == 1000.0


def test_a_pier_grows_when_its_side_moves_into_the_room():
    pier = ring(box(300, 300, 1000, 1000)[::-1], "p")
    # Listed clockwise from (1000, 1300); p1 runs down the right face at x = 1300.
    a_job = job(replace(room(), inner=(pier,)))
    after = edits.room_of(edits.move_side(a_job, R1, sid("p1"), -200.0), R1).inner[0]
    assert {s.x_mm for s in after} == {1000.0, 1500.0}


def test_the_neighbours_of_a_moved_side_keep_their_direction():
    trapezium = ((0, 0), (4000, 0), (3000, 2000), (1000, 2000))
    after = edits.room_of(edits.move_side(job(room(trapezium)), R1, sid("s2"), 1000.0), R1)
    assert places(after)[2:] == [(2500.0, 3000.0), (1500.0, 3000.0)]


def test_a_curved_side_is_not_moved_as_a_whole():
    with pytest.raises(InputError, match="curved"):
        edits.move_side(job(room(((0, 0, 0.2), (4000, 0), (4000, 3000), (0, 3000)))), R1, sid("s0"), 100.0)


def test_a_new_corner_parts_a_side_and_what_stands_on_it():
    second = window(id=OpeningId("w3"), offset_mm=3500.0)
    a_job = edits.add_opening(two_rooms(), second)
    a_job = edits.set_behind(a_job, R1, sid("s0"), (Behind(cls="outside", from_mm=500.0, to_mm=4000.0),))
    after = edits.insert_corner(a_job, R1, sid("s0"), 3000.0, 0.0)
    assert [s.id for s in edits.room_of(after, R1).outline] == ["s0", "s0.2", "s1", "s2", "s3", "s4", "s5"]
    assert edits.opening_of(after, W1).side == "s0"
    moved = edits.opening_of(after, OpeningId("w3"))
    assert (moved.side, moved.offset_mm) == ("s0.2", 500.0)
    assert [(b.from_mm, b.to_mm) for b in side(after, "s0").behind] == [(500.0, 3000.0)]
    assert [(b.from_mm, b.to_mm) for b in side(after, "s0.2").behind] == [(0.0, 1000.0)]
    assert check(after) == ()


def test_a_corner_put_in_and_taken_out_again_leaves_the_room_as_it_was():
    a_job = edits.add_opening(two_rooms(), window(id=OpeningId("w3"), offset_mm=3500.0))
    there = edits.insert_corner(a_job, R1, sid("s0"), 3000.0, 0.0, sid("n"))
    assert edits.delete_corner(there, R1, sid("n")) == a_job


def test_an_arc_parted_in_two_is_the_same_arc():
    bow = job(room(((0, 0, 1), (4000, 0), (4000, 3000), (0, 3000))))
    after = edits.insert_corner(bow, R1, sid("s0"), 2000.0, -1900.0)
    first, second = side(after, "s0"), side(after, "s0.2")
    # A half circle parted at its lowest point: two quarters.
    assert (second.x_mm, second.y_mm) == pytest.approx((2000.0, -2000.0))
    assert first.bulge == pytest.approx(math.tan(math.pi / 8))
    assert second.bulge == pytest.approx(math.tan(math.pi / 8))
    again = side(edits.delete_corner(after, R1, sid("s0.2")), "s0")
    assert again.bulge == pytest.approx(1.0)


def test_returns_are_parted_with_their_side():
    a_job = edits.set_wall_treatment(two_rooms(), R1, WallTreatment(start_mm=600.0), sid("s0"))
    after = edits.insert_corner(a_job, R1, sid("s0"), 400.0, 0.0)
    assert side(after, "s0").treatment.start_mm == 400.0
    assert side(after, "s0.2").treatment.start_mm == 200.0
    beyond = edits.insert_corner(a_job, R1, sid("s0"), 2500.0, 0.0)
    assert side(beyond, "s0").treatment == WallTreatment(start_mm=600.0)
    assert side(beyond, "s0.2").treatment.coat is False


def test_a_corner_beyond_its_side_or_with_a_taken_id_is_refused():
    with pytest.raises(InputError, match="beyond the ends"):
        edits.insert_corner(two_rooms(), R1, sid("s0"), 6000.0, 0.0)
    with pytest.raises(InputError, match="already"):
        edits.insert_corner(two_rooms(), R1, sid("s0"), 3000.0, 0.0, sid("s1"))


def test_a_triangle_keeps_its_corners():
    with pytest.raises(InputError, match="three corners"):
        edits.delete_corner(job(room(((0, 0), (4000, 0), (0, 3000)))), R1, sid("s1"))


def test_the_first_corner_can_be_taken_away():
    after = edits.room_of(edits.delete_corner(two_rooms(), R1, sid("s0")), R1)
    assert [s.id for s in after.outline] == ["s1", "s2", "s3", "s4", "s5"]
    assert places(after) == list(L_SHAPE[1:])


# -- openings


def test_an_opening_resized_keeps_its_middle_and_says_where_the_size_comes_from():
    found = edits.opening_of(edits.set_opening_size(two_rooms(), W1, width_mm=1000.0, source="site"), W1)
    assert (found.offset_mm, found.width_mm, found.width_source) == (1100.0, 1000.0, "site")
    assert found.sill_source == "typed"
    with pytest.raises(InputError, match="must be more than 0"):
        edits.set_opening_size(two_rooms(), W1, width_mm=0.0)


def test_an_opening_moves_to_another_side_or_room_but_not_to_another_storey():
    there = edits.opening_of(edits.slide_opening(two_rooms(), W1, 500.0, side=(R2, sid("s2"))), W1)
    assert (there.room, there.side, there.offset_mm) == ("r2", "s2", 500.0)
    a_job = edits.add_storey(two_rooms(), storey(room(name="r9"), id=StoreyId("u")))
    with pytest.raises(InputError, match="another storey"):
        edits.slide_opening(a_job, W1, 500.0, side=(RoomId("r9"), sid("s2")))


def test_reveals_are_set_on_either_side_of_the_wall():
    deep = Reveal(head=Strip(depth_mm=200.0))
    beyond = edits.set_strips(two_rooms(), W1, ("head",), 200.0, beyond=True)
    assert edits.opening_of(beyond, W1).reveal_beyond == deep
    assert edits.opening_of(beyond, W1).reveal == Reveal()
    depth = edits.opening_of(edits.set_strips(two_rooms(), W1, depth_mm=150.0), W1).reveal
    assert {s.depth_mm for s in (depth.start, depth.end, depth.head, depth.sill)} == {150.0}
    assert depth.sill.coat is False


def test_a_rooflight_is_accepted_and_removed_like_any_opening():
    light = Rooflight(id=OpeningId("l"), room=R1, outline=((1, 1, 0), (2, 1, 0), (2, 2, 0)), confidence="check")
    a_job = edits.add_rooflight(two_rooms(), light)
    accepted = edits.set_opening_confidence(a_job, OpeningId("l"), "sure")
    assert accepted.storeys[0].rooflights[0].confidence == "sure"
    assert edits.remove_opening(a_job, OpeningId("l")) == two_rooms()
    with pytest.raises(InputError, match="already"):
        edits.add_opening(a_job, window(id=OpeningId("l")))


# -- coats


def test_an_exclusion_goes_on_a_side_on_top_of_the_rooms_treatment_and_comes_off_again():
    skirted = edits.set_wall_treatment(two_rooms(), R1, WallTreatment(substrate="brick"))
    a_job = edits.add_exclusion(skirted, R1, sid("s0"), TILES)
    assert side(a_job, "s0").treatment == WallTreatment(substrate="brick", exclusions=(TILES,))
    assert side(edits.remove_exclusion(a_job, R1, "t"), "s0").treatment.exclusions == ()
    on_ceiling = edits.add_exclusion(skirted, R1, "ceiling", TILES)
    assert edits.remove_exclusion(on_ceiling, R1, "t") == skirted
    with pytest.raises(InputError, match="already"):
        edits.add_exclusion(a_job, R1, "ceiling", TILES)
    with pytest.raises(InputError, match="no masked part"):
        edits.remove_exclusion(skirted, R1, "t")


def test_a_corner_is_picked_anew_and_the_pick_taken_away():
    a_job = edits.pick_corners(edits.pick_corners(two_rooms(), {R1: ["c1"]}, bead="new"), {R1: ["c1"]}, bead="none")
    assert edits.room_of(a_job, R1).corners == (CornerPick(corner="c1", bead="none"),)
    assert edits.unpick_corners(a_job, {R1: ["c1"]}) == two_rooms()


def test_one_outside_wall_with_returns_and_a_ceiling_band():
    # 5000 × 4000, only the first 5000 side outside: returns of 600 on the two walls that meet it.
    a_job = edits.set_behind(job(room(box(5000, 4000))), R1, sid("s0"), (Behind(cls="outside"),))
    after = edits.room_of(edits.coat_outside_walls(a_job, 600.0, 600.0), R1)
    coats = [s.treatment for s in after.outline]
    assert coats[0] == WallTreatment()
    assert coats[1] == WallTreatment(start_mm=600.0)
    assert coats[2] == WallTreatment(coat=False)
    assert coats[3] == WallTreatment(end_mm=600.0)
    assert [(b.width_mm, b.sides) for b in after.ceiling_treatment.only] == [(600.0, ("s0",))]


def test_outside_walls_as_measuring_found_them():
    before = two_rooms()
    a_job = edits.coat_outside_walls(before, 600.0, None, outside={R1: {sid("s0")}}, rooms={R1})
    assert edits.room_of(a_job, R2) is edits.room_of(before, R2)
    assert side(a_job, "s1").treatment.start_mm == 600.0
    assert edits.room_of(a_job, R1).ceiling_treatment == CeilingTreatment()
    with pytest.raises(InputError, match="no room"):
        edits.coat_outside_walls(two_rooms(), 600.0, outside={RoomId("nowhere"): set()})
    with pytest.raises(InputError, match="must be 0 or more"):
        edits.coat_outside_walls(two_rooms(), -1.0)


def test_a_room_without_an_outside_wall_is_not_coated():
    after = edits.room_of(edits.coat_outside_walls(two_rooms(), 600.0, 600.0), R1)
    assert not any(s.treatment.coat for s in after.outline)
    assert not after.ceiling_treatment.coat
