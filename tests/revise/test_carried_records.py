"""What a job says of its rooms beside their shape goes with them: lots, what was read and seen on site, choices at
corners, photos, counted items, options, who lives there; prices and the programme are not touched. Where a room is
cut, joined or gone each of them follows, or has a line."""

from __future__ import annotations

import msgspec
import pytest
from test_moved_wall_in_a_flat import DEEP, job, moved, room, storey

from takeoff.plan.counted_items import CountedItem
from takeoff.plan.lot_records import InVan, Lot, LotRoom
from takeoff.plan.model import CornerPick, Job, Laid, OpeningId, Photo, Room, RoomId, SideId, StoreyId
from takeoff.plan.option_records import CoatOption, KeptBand, KeptRoom, KeptSide
from takeoff.plan.price_terms import ExtraLine, PriceTerms, RateOf
from takeoff.plan.programme_terms import Crew, ProgrammeTerms
from takeoff.plan.site_check import Cleared, ConditionReading, SiteCheck, Tick
from takeoff.plan.work_records import DayRecord, RoomStage, WorkRecords
from takeoff.revise.comparison import Compared, Drawn, Shown, accepted, compared

replace = msgspec.structs.replace

READ = ConditionReading(quantity="moisture", value=4.2, room="r2", at="2031-05-20T07:40", scale="digits")
SEEN = Tick(what="damp", answer="yes", room="r2", at="2031-05-20T07:45")
CLEARED = Cleared(hold="seen-damp:r2:quote:2031-05-20T07:45", person="A. Muster", on="2031-05-21", because="dried")
EVERYWHERE = ConditionReading(quantity="air", value=18.0, at="2031-05-20T07:40")


def full() -> Job:
    """The flat with one of everything said of its living room, r2."""
    plain = job()
    bedroom, living = plain.storeys[0].rooms
    living = replace(
        living,
        counted=(
            CountedItem(kind="radiators", side="s1"),
            CountedItem(kind="sockets", count=4, who="electrician"),
            CountedItem(kind="poles", side="s2", who="client"),
        ),
        corners=(CornerPick(corner="s1|s2", bead="existing"), CornerPick(corner="or1.head|s1", bead="none")),
    )
    kept = KeptRoom(
        room="r2", sides=(KeptSide("s1", start_mm=600.0), KeptSide("s2", coat=False)), only=(KeptBand(300.0, ("s1",)),)
    )
    return replace(
        plain,
        storeys=(replace(plain.storeys[0], rooms=(bedroom, living)),),
        lots=(Lot("1", rooms=(LotRoom("flat", "r1"),)), Lot("2", name="Front", rooms=(LotRoom("flat", "r2"),))),
        in_van=(InVan("coat", 6.0),),
        photos=(
            Photo("a", "0" * 64, RoomId("r2"), side=SideId("s2"), note="crack"),
            Photo("b", "1" * 64, RoomId("r2"), opening=OpeningId("or1"), note="sill"),
            Photo("c", "2" * 64, RoomId("r2"), note="view"),
        ),
        site_check=SiteCheck(readings=(READ, EVERYWHERE), ticks=(SEEN,), cleared=(CLEARED,)),
        price=PriceTerms(rates=(RateOf("walls", "40"),), extras=(ExtraLine("skip", "1", "each", "280"),), tax="20"),
        programme=ProgrammeTerms(start="2031-06-02", crews=(Crew("base", 2),), lived_in=("r1", "r2")),
        options=(CoatOption("o", "Walls once", "kept", rooms=(kept,)),),
        work=WorkRecords(
            stages=(RoomStage("r2", "base", "2031-06-03"),), days=(DayRecord("r2", "2031-06-03", hours=6.0),)
        ),
    )


def cut(at_mm: float = 5200.0, main_left: bool = True) -> Drawn:
    """The living room cut in two by a wall from ``at_mm`` on; the window is in the part on the left."""
    drawn = storey(3000.0, 600.0)
    names = ("Living room", "Study") if main_left else ("Study", "Living room")
    left, right = room("n1", names[0], 3100.0, at_mm), room("n2", names[1], at_mm + 100.0, 7100.0)
    opening = replace(drawn.openings[0], room=RoomId("n1"))
    return Drawn("b.dxf", (replace(drawn, rooms=(drawn.rooms[0], left, right), openings=(opening,)),))


def gone() -> Drawn:
    """The bedroom alone."""
    drawn = storey(3000.0, 1500.0)
    return Drawn("b.dxf", (replace(drawn, rooms=drawn.rooms[:1], openings=()),))


def one_room(name: str = "Bedroom") -> Drawn:
    """Bedroom and living room joined."""
    drawn = storey(3000.0, 1500.0)
    opening = replace(drawn.openings[0], room=RoomId("n1"), offset_mm=4500.0)
    whole = (room("n1", name, 0.0, 7100.0),)
    return Drawn("b.dxf", (replace(drawn, rooms=whole, openings=(opening,)),))


def called(done: Compared, name: str) -> Room:
    return next(one for one in done.job.storeys[0].rooms if one.name == name)


def lost(done: Compared) -> list[tuple[str, str]]:
    return [(one.what, one.was) for one in done.lost]


@pytest.fixture(scope="module")
def shifted() -> Compared:
    """The wall between the rooms moved by 450, and nothing else."""
    return moved(full(), Drawn("b.dxf", (storey(3450.0, 1500.0, ("r7", "r8"), first=2),)))


@pytest.fixture(scope="module")
def parted() -> Compared:
    return moved(full(), cut())


@pytest.fixture(scope="module")
def omitted() -> Compared:
    return moved(full(), gone())


# A wall that moved ---------------------------------------------------------------------------------------


def test_a_moved_wall_touches_none_of_it(shifted: Compared) -> None:
    job, before = shifted.job, full()
    for name in (
        "lots",
        "in_van",
        "photos",
        "site_check",
        "price",
        "programme",
        "work",
        "details",
        "system",
        "convention",
    ):
        assert getattr(job, name) == getattr(before, name), name
    assert [r.counted for r in job.storeys[0].rooms] == [r.counted for r in before.storeys[0].rooms]
    assert [r.corners for r in job.storeys[0].rooms] == [r.corners for r in before.storeys[0].rooms]
    assert job.options == before.options
    assert shifted.lost == ()


# A room that was cut -------------------------------------------------------------------------------------


def test_both_halves_are_in_the_lot(parted: Compared) -> None:
    study = called(parted, "Study")
    assert [one.room for one in parted.job.lots[1].rooms] == ["r2", study.id]
    assert parted.job.lots[0] == full().lots[0]


def test_both_halves_inherit_what_was_read_and_seen(parted: Compared) -> None:
    """Damp that was seen in a room holds up both halves, until somebody says which of them it is."""
    study = str(called(parted, "Study").id)
    check = parted.job.site_check
    assert check.readings == (READ, replace(READ, room=study), EVERYWHERE)
    assert check.ticks == (SEEN, replace(SEEN, room=study))
    assert [one.hold for one in check.cleared] == [CLEARED.hold, CLEARED.hold.replace("r2", study)]


def test_counted_items_go_with_their_walls(parted: Compared) -> None:
    """The pole hung on the right wall, which is the study's now; the radiator stays below the longer piece of the
    façade, and what is on no wall with the room that keeps its name. Nothing is counted twice."""
    living, study = called(parted, "Living room"), called(parted, "Study")
    assert [(item.kind, item.side) for item in living.counted] == [("radiators", "s1"), ("sockets", None)]
    assert [item.kind for item in study.counted] == ["poles"]
    side = next(s for s in study.sides if s.id == study.counted[0].side)
    assert (round(side.x_mm), round(side.y_mm)) == (7100, 0)


def test_choices_go_with_the_corners(parted: Compared) -> None:
    """The corner of façade and right wall is in the study; the head of the window stays."""
    living, study = called(parted, "Living room"), called(parted, "Study")
    assert [pick.corner for pick in living.corners] == ["or1.head|s1"]
    names = {side.id: (round(side.x_mm), round(side.y_mm)) for side in study.sides}
    assert [[names[SideId(s)] for s in pick.corner.split("|")] for pick in study.corners] in (
        [[(5300, 0), (7100, 0)]],
        [[(7100, 0), (5300, 0)]],
    )


def test_photos_go_with_what_they_show(parted: Compared) -> None:
    study = called(parted, "Study")
    crack, sill, view = parted.job.photos
    assert crack.room == study.id
    assert crack.side in {side.id for side in study.sides}
    assert (sill.room, sill.opening) == ("r2", "or1")
    assert view == full().photos[2]


def test_both_halves_are_lived_in(parted: Compared) -> None:
    assert parted.job.programme.lived_in == ("r1", "r2", called(parted, "Study").id)


def test_an_option_says_of_both_halves_what_it_said(parted: Compared) -> None:
    """600 from the start of the façade are in the left half; its right half has nothing of it; the right wall stays
    bare, and it is the study's."""
    study = called(parted, "Study")
    main, part = parted.job.options[0].rooms
    assert main.sides == (KeptSide("s1", start_mm=600.0),)
    assert main.only == (KeptBand(300.0, ("s1",)),)
    assert part.room == study.id
    assert [side.coat for side in part.sides] == [False, False]


# Rooms that became one -----------------------------------------------------------------------------------


def test_joined_rooms_keep_what_was_read_seen_and_counted() -> None:
    done = moved(full(), one_room("Living room"))
    (whole,) = done.job.storeys[0].rooms
    assert whole.id == "r2"
    assert [item.kind for item in whole.counted] == ["radiators", "sockets", "poles"]
    assert done.job.site_check == full().site_check
    assert [one.room for one in done.job.lots[1].rooms] == ["r2"]
    assert ("place in a lot", "1") in lost(done)
    assert done.job.photos == full().photos


def test_what_was_said_of_the_one_that_goes_is_said_of_the_one_that_stays() -> None:
    """The bedroom swallows the living room: readings, items and photos are the bedroom's, the hold that was cleared is
    cleared there; that it was in another lot is told."""
    new = one_room("Bedroom")
    shown = Shown(0, StoreyId("flat"), StoreyId("flat"), Laid())  # of two rooms one alone would be another plan
    done = compared(full(), [new], shown=[shown])
    (whole,) = done.job.storeys[0].rooms
    assert whole.id == "r1"
    assert [item.kind for item in whole.counted] == ["radiators", "sockets", "poles"]
    check = done.job.site_check
    assert check.readings == (replace(READ, room="r1"), EVERYWHERE)
    assert check.ticks == (replace(SEEN, room="r1"),)
    assert [one.hold for one in check.cleared] == ["seen-damp:r1:quote:2031-05-20T07:45"]
    assert {photo.room for photo in done.job.photos} == {"r1"}
    assert done.job.programme.lived_in == ("r1",)
    assert ("place in a lot", "Front") in lost(done)


# A room that is gone -------------------------------------------------------------------------------------


def test_a_room_that_is_gone_leaves_a_line_for_each(omitted: Compared) -> None:
    told = lost(omitted)
    for line in (
        ("place in a lot", "Front"),
        ("photo", "crack"),
        ("photo", "sill"),
        ("photo", "view"),
        ("measured on site", "moisture 4.2"),
        ("what was looked at", "damp: yes"),
        ("what is counted", "1 × Radiator"),
        ("what is counted", "4 × Socket"),
        ("what is counted", "1 × Pole"),
        ("given back by night", "yes"),
        ("coat in an option", "Walls once"),
        ("choice at a corner", "existing bead"),
    ):
        assert told.count(line) == 1, (line, told)
    assert omitted.job.lots == (full().lots[0], replace(full().lots[1], rooms=()))
    assert omitted.job.photos == ()
    assert omitted.job.site_check.readings == (EVERYWHERE,)
    assert omitted.job.programme.lived_in == ("r1",)
    assert omitted.job.options[0].rooms == ()


def test_what_was_done_stays_on_record_though_the_room_is_gone(omitted: Compared) -> None:
    """Stages, days and who cleared what are of the past: no drawing undoes them."""
    assert omitted.job.work == full().work
    assert omitted.job.site_check.cleared == (CLEARED,)


def test_all_that_was_set_of_a_room_has_a_line() -> None:
    """Each of these alone; nothing of it goes without a word."""
    from takeoff.plan.model import Border, CeilingTreatment, Exclusion, Field, Plane

    ring = ((3500.0, 500.0, 0.0), (4000.0, 500.0, 0.0), (4000.0, 900.0, 0.0))
    high = Field(planes=(Plane(z_mm=2700.0),), source="site")
    settings = {
        "height of its ceiling": {"ceiling": high},
        "height of its floor": {"floor": replace(high, planes=(Plane(z_mm=150.0),))},
        "build-up of its floor": {"floor_build_up_mm": 60.0},
        "build-up of its ceiling": {"ceiling_build_up_mm": 12.5},
        "what is above its ceiling": {"above": "roof"},
        "how often it is built": {"times": 3},
        "coat of its ceiling": {"ceiling_treatment": CeilingTreatment(coat=False)},
        "strip of the ceiling": {"ceiling_treatment": CeilingTreatment(left_on=(Border(100.0),))},
        "masked part of the ceiling": {"ceiling_treatment": CeilingTreatment(exclusions=(Exclusion("e", ring),))},
    }
    for what, fields in settings.items():
        plain = job()
        rooms = (plain.storeys[0].rooms[0], replace(plain.storeys[0].rooms[1], **fields))
        done = moved(replace(plain, storeys=(replace(plain.storeys[0], rooms=rooms),)), gone())
        assert what in [one.what for one in done.lost], what
    assert DEEP == 3500.0


def test_what_is_accepted_is_what_was_compared(parted: Compared) -> None:
    """Nothing refused: the very job that was shown. A refused room: as a comparison without it."""
    new = cut()
    assert accepted(parted, [new]) is parted.job
    refused = {"r2"}
    assert accepted(parted, [new], refused) == compared(full(), [new], refused=refused, laid=parted.placed).job
