"""Rooms copied with all that is in and on them, and storeys copied, ordered and removed."""

from __future__ import annotations

import msgspec
import pytest
from plan_samples import box, job, room, window

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.model import (
    CeilingTreatment,
    CornerPick,
    Exclusion,
    Field,
    Job,
    Join,
    OpeningId,
    Plane,
    Readings,
    ReadOpening,
    ReadSide,
    Region,
    RegionId,
    Reveal,
    Rooflight,
    RoomId,
    SetTogether,
    StoreyId,
    Strip,
    WallType,
    WallTypeId,
)

replace = msgspec.structs.replace
R1, G = RoomId("r1"), StoreyId("g")
SQUARE = ((500.0, 500.0, 0.0), (900.0, 500.0, 0.0), (900.0, 900.0, 0.0), (500.0, 900.0, 0.0))


def rich() -> Job:
    """A room under a slope, with a window, a rooflight, a beam, what is left out overhead, and a pick."""
    slope = Field(
        planes=(Plane(z_mm=2400.0, slope_x=0.1, at_x_mm=1000.0),),
        regions=(Region(id=RegionId("beam"), op="lower", outline=SQUARE, planes=(Plane(z_mm=2200.0),)),),
    )
    one = replace(
        room(),
        number="7",
        ceiling=slope,
        printed_area_m2=16.0,
        evidence=("drawn",),
        corners=(CornerPick(corner="s0|w1.start", bead="existing"),),
        ceiling_treatment=CeilingTreatment(exclusions=(Exclusion(id="x", outline=SQUARE),)),
    )
    one = replace(one, outline=(replace(one.outline[0], wall_type=WallTypeId("brick")), *one.outline[1:]))
    light = Rooflight(id=OpeningId("l"), room=R1, outline=SQUARE)
    strip = Strip(depth_mm=150.0)
    own = window(reveal=Reveal(start=strip, end=strip, head=strip))
    made = job(one, openings=(own,), rooflights=(light,))
    return replace(made, wall_types=(WallType(id=WallTypeId("brick"), finish_a_mm=12.0),))


def test_pasted_room_measures_the_same_as_the_original() -> None:
    before = rich()
    after, (new,) = edits.pasted_rooms(before, edits.copied_rooms(before, (R1,)), G, (20_000.0, 3_000.0))
    one, other = measure(after).rooms
    assert other.room == new != R1
    for name in ("wall_net_m2", "ceiling_m2", "reveal_m2", "drop_m2", "external_corner_m", "bead_m"):
        assert getattr(other, name) == pytest.approx(getattr(one, name)), name


def test_everything_given_in_plan_moves_with_the_room() -> None:
    before = rich()
    after, (new,) = edits.pasted_rooms(before, edits.copied_rooms(before, (R1,)), G, (20_000.0, 3_000.0))
    made = edits.room_of(after, new)
    assert (made.outline[0].x_mm, made.outline[0].y_mm) == (20_000.0, 3_000.0)
    assert made.ceiling is not None
    assert made.ceiling.planes[0].at_x_mm == 21_000.0
    assert made.ceiling.regions[0].outline[0][:2] == (20_500.0, 3_500.0)
    assert made.ceiling_treatment.exclusions[0].outline[0][:2] == (20_500.0, 3_500.0)
    assert after.storeys[0].rooflights[1].outline[0][:2] == (20_500.0, 3_500.0)


def test_copy_has_ids_of_its_own_and_its_picks_follow_them() -> None:
    before = rich()
    after, (new,) = edits.pasted_rooms(before, edits.copied_rooms(before, (R1,)), G, (20_000.0, 0.0))
    opening = after.storeys[0].openings[1]
    assert opening.room == new
    assert edits.room_of(after, new).corners[0].corner == "|".join(sorted((f"{opening.id}.start", "s0")))
    picked = [edge.bead for edge in measure(after).rooms[1].edges if edge.bead == "existing"]
    assert picked == [edge.bead for edge in measure(before).rooms[0].edges if edge.bead == "existing"] != []


def test_number_stands_once_and_what_the_drawing_said_stays_with_the_original() -> None:
    before = rich()
    after, (new,) = edits.pasted_rooms(before, edits.copied_rooms(before, (R1,)), G)
    made = edits.room_of(after, new)
    assert (made.number, made.printed_area_m2, made.evidence) == ("", None, ())
    assert edits.room_of(after, R1) is before.storeys[0].rooms[0]


def test_copy_into_another_job_brings_its_wall_types_and_makes_a_storey() -> None:
    after, (new,) = edits.pasted_rooms(Job(), edits.copied_rooms(rich(), (R1,)), None)
    assert [kind.id for kind in after.wall_types] == ["brick"]
    assert (new, edits.room_of(after, new).number) == ("r1", "7")
    assert after.storeys[0].name == "Ground floor"


def test_cut_rooms_are_gone_with_their_openings() -> None:
    after = edits.cut_rooms(rich(), (R1,))
    assert after.storeys[0].rooms == after.storeys[0].openings == after.storeys[0].rooflights == ()


def test_nothing_and_rooms_of_two_storeys_are_not_copied() -> None:
    with pytest.raises(InputError, match="select a room"):
        edits.copied_rooms(rich(), ())
    two, upper = edits.copy_storey(rich(), G)
    with pytest.raises(InputError, match="several storeys"):
        edits.copied_rooms(two, (R1, RoomId(f"{upper}/r1")))
    with pytest.raises(InputError, match="no rooms"):
        edits.pasted_rooms(rich(), Job(), G)


# -- storeys


def test_copied_storey_stands_above_the_one_it_is_of_and_measures_the_same() -> None:
    before = edits.rename_storey(rich(), G, "Ground floor")
    before, attic = edits.new_storey(before, G)
    after, made = edits.copy_storey(before, G)
    assert [storey.id for storey in after.storeys] == [G, made, attic]
    assert [storey.name for storey in after.storeys] == ["Ground floor", "Ground floor (2)", "First floor"]
    one, other = measure(after).rooms
    assert other.bead_m == pytest.approx(one.bead_m)
    assert [e.bead for e in one.edges] == [e.bead for e in other.edges]


def test_storey_copied_without_openings_has_none_to_come_back_from_readings() -> None:
    readings = Readings(sides=(ReadSide(length_mm=5000.0, openings=(ReadOpening(from_mm=1.0, to_mm=2.0),)),))
    before = rich()
    storey = before.storeys[0]
    before = replace(before, storeys=(replace(storey, rooms=(replace(storey.rooms[0], readings=readings),)),))
    after, made = edits.copy_storey(before, G, openings=False)
    copy = edits.storey_of(after, made)
    assert copy.openings == copy.rooflights == ()
    assert copy.rooms[0].readings is not None
    assert copy.rooms[0].readings.sides[0].openings == ()
    assert measure(after).rooms[1].openings_m2 == 0.0


def test_rooms_of_a_copied_storey_are_set_together_among_themselves() -> None:
    other = room(box(4000, 4000, 6000), "r2")
    before = job(room(), other)
    join = Join(room=R1, side="s0", beyond=RoomId("r2"), beyond_side="s2", thickness_mm=100.0)  # type: ignore[arg-type]
    before = replace(before, storeys=(replace(before.storeys[0], set_together=SetTogether(joins=(join,))),))
    after, made = edits.copy_storey(before, G)
    together = edits.storey_of(after, made).set_together
    assert together is not None
    assert (together.joins[0].room, together.joins[0].beyond) == (f"{made}/r1", f"{made}/r2")


def test_new_storey_is_as_high_as_the_one_below_and_stands_on_it() -> None:
    before = edits.set_storey_height(edits.rename_storey(rich(), G, "First floor"), G, 2600.0)
    after, made = edits.new_storey(before)
    storey = edits.storey_of(after, made)
    assert (storey.name, storey.height_mm, storey.level_mm) == ("Second floor", 2600.0, 2900.0)
    empty, first = edits.new_storey(Job())
    assert edits.storey_of(empty, first).name == "Ground floor"


def test_storeys_change_places_and_the_last_one_stays() -> None:
    two, upper = edits.new_storey(rich())
    swapped = edits.move_storey(two, upper, -1)
    assert [storey.id for storey in swapped.storeys] == [upper, G]
    assert edits.move_storey(two, upper, 1) is two
    assert [storey.id for storey in edits.drop_storey(two, G).storeys] == [upper]
    with pytest.raises(InputError, match="only storey"):
        edits.drop_storey(rich(), G)


# -- details and photos


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("48.50", "48.50"), ("48,50", "48.50"), (" 1 250 ", "1250"), ("", ""), ("0.0625", "0.0625"), ("12.", "12")],
)
def test_prices_as_people_write_them(typed: str, kept: str) -> None:
    assert edits.set_details(Job(), price_coat_m2=typed).details.price_coat_m2 == kept


@pytest.mark.parametrize("typed", ["1,250", "1.250,00", "-3", "nan", "1e3", "ten", "inf", "0.12345", "12345678"])
def test_what_is_no_price_is_refused(typed: str) -> None:
    with pytest.raises(InputError):
        edits.set_details(Job(), price_coat_m2=typed)


def test_details_are_kept_as_typed_without_spare_blanks() -> None:
    made = edits.set_details(edits.rename_job(Job(), "  Sample  House "), client=" A.  Client ")
    assert (made.name, made.details.client) == ("Sample House", "A. Client")
    assert edits.set_details(made, client="A. Client") is made
    with pytest.raises(InputError, match="shorten"):
        edits.set_details(made, site="x" * 500)


def test_photo_is_pinned_moved_noted_and_removed() -> None:
    made = edits.pin_photo(rich(), "a" * 64, "wall.jpg", R1, side="s1")  # type: ignore[arg-type]
    made = edits.pin_photo(made, "b" * 64, "window.jpg", R1, opening=OpeningId("w1"))
    assert [photo.id for photo in made.photos] == ["p1", "p2"]
    made = edits.note_photo(edits.move_photo(made, "p1", R1), "p1", "damp below the sill")
    assert (made.photos[0].side, made.photos[0].note) == (None, "damp below the sill")
    assert [photo.id for photo in edits.remove_photo(made, "p1").photos] == ["p2"]
    with pytest.raises(InputError, match="no photo"):
        edits.remove_photo(made, "p9")
    with pytest.raises(InputError, match="no wall"):
        edits.pin_photo(made, "c" * 64, "x.jpg", R1, side="s77")  # type: ignore[arg-type]
