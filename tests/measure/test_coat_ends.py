"""What a coat ends at: an open end, something kept or masked, or a corner with a bare surface; each by hand."""

from __future__ import annotations

import msgspec
import pytest
from worked_rooms import WORKED, box, job_of, opening, sides

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import CeilingTreatment, Exclusion, Job, Opening, Reveal, Rooflight, Strip, WallTreatment

BARE = WallTreatment(coat=False)


def room_of(job: Job) -> RoomTakeoff:
    return measure(job).rooms[0]


def ends(room: RoomTakeoff) -> dict[str, float]:
    """Coat edge by what it ends at; the whole is their sum, and every edge has its end."""
    assert sum(room.coat_edge_by_kind_m.values()) == pytest.approx(room.coat_edge_m)
    assert {e.ends for e in room.edges if e.cls == "coat_edge"} <= {"open", "against", "corner"}
    assert {e.ends for e in room.edges if e.cls not in ("coat_edge", "frame_joint")} <= {""}
    return {kind: round(metres, 6) for kind, metres in room.coat_edge_by_kind_m.items()}


def finishes(room: RoomTakeoff) -> set[tuple[str, str]]:
    return {(e.ends, e.finish) for e in room.edges if e.cls == "coat_edge"}


def test_none_of_room_a2_is_open() -> None:
    # 18.0 under the coving, 17.2 along the ceiling's border, 17.3 over the skirting, 1.5 at the sill's board
    assert ends(room_of(WORKED["A2"])) == {"open": 0.0, "against": 54.0, "corner": 0.0}


def test_all_of_room_a3_is_open() -> None:
    # two returns end on their wall (2 × 2.4), the band ends on its ceiling (5.0)
    room = room_of(WORKED["A3"])
    assert ends(room) == {"open": 9.8, "against": 0.0, "corner": 0.0}
    assert {finish for _, finish in finishes(room)} <= {"feather", "trim", "stop"}


def test_the_sill_of_room_a_has_its_board() -> None:
    # along the board 1.2, the feet of both jambs on it 2 × 0.15
    assert ends(room_of(WORKED["A"])) == {"open": 0.0, "against": 1.5, "corner": 0.0}


def test_a_bare_wall_is_met_in_corners() -> None:
    # two upright corners of 2.4, and the ceiling along the bare wall of 5.0
    room = room_of(job_of(sides(box(5000, 4000), treated={0: BARE})))
    assert ends(room) == {"open": 0.0, "against": 0.0, "corner": 9.8}
    assert finishes(room) == {("corner", "")}


def test_a_bare_wall_that_goes_on_in_the_same_plane_is_an_open_end() -> None:
    # the side of 5 m in two of 3 and 2 m, the second bare: open 2.4 between them; one corner of 2.4 and 2.0 of ceiling
    outline = sides([(0, 0), (3000, 0), (5000, 0), (5000, 4000), (0, 4000)], treated={1: BARE})
    assert ends(room_of(job_of(outline))) == {"open": 2.4, "against": 0.0, "corner": 4.4}


def test_a_bare_ceiling_is_met_in_corners() -> None:
    room = room_of(job_of(sides(box(5000, 4000)), ceiling_treatment=CeilingTreatment(coat=False)))
    assert ends(room) == {"open": 0.0, "against": 0.0, "corner": 18.0}


def test_tiles_are_kept_and_a_return_beside_them_is_open() -> None:
    tiles = Exclusion(id="t", outline=((200, 0, 0), (600, 0, 0), (600, 1000, 0), (200, 1000, 0)))
    part = WallTreatment(start_mm=600, exclusions=(tiles,))
    room = room_of(job_of(sides(box(5000, 4000), treated={0: part})))
    # the tiles: left side 1.0, top 0.4; the return ends open above them, 1.4; the bare stretch of 4.4 leaves a
    # corner of 2.4 with the next wall and 4.4 of ceiling
    assert ends(room) == {"open": 1.4, "against": 1.4, "corner": 6.8}


@pytest.mark.parametrize("plain", [True, False])
def test_a_bare_jamb_is_caulked_and_a_bare_sill_has_a_board(plain: bool) -> None:
    coat, bare = Strip(depth_mm=150), Strip(depth_mm=150, coat=False)
    window = Opening(id="w", kind="window", room="R", side="s0", offset_mm=1000, width_mm=1200, sill_mm=900,
                     head_mm=2100, reveal=Reveal(start=bare, end=coat, head=coat, sill=bare))  # fmt: skip
    # a curved exclusion of nothing near sends the room to the general engine
    hatch = Exclusion(id="h", outline=((3000, 1000, 1), (3100, 1000, 1)))
    treated = None if plain else {1: WallTreatment(exclusions=(hatch,))}
    room = room_of(job_of(sides(box(5000, 4000), treated=treated), window))
    # bare jamb: its arris 1.2 and its corner with the head 0.15; board: 1.2 and one jamb's foot 0.15
    kept = 0.0 if plain else 0.1 * 3.141592653589793
    assert ends(room) == pytest.approx({"open": 0.0, "against": 1.35 + kept, "corner": 1.35}, abs=1e-5)


def test_a_jamb_in_line_with_a_bare_wall_is_an_open_end() -> None:
    # the window's start jamb lies in the plane of the bare wall beside it, 1.2 m high
    bare = Strip(depth_mm=150, coat=False)
    strip = Strip(depth_mm=150)
    window = Opening(id="w", kind="window", room="R", side="s0", offset_mm=0, width_mm=1200, sill_mm=900, head_mm=2100,
                     reveal=Reveal(start=strip, end=strip, head=strip, sill=bare))  # fmt: skip
    room = room_of(job_of(sides(box(5000, 4000), treated={3: BARE}), window))
    # open: that jamb; board 1.2 + 2 × 0.15; the bare wall's other corner 2.4, its ceiling 4.0, and 2.4 − 1.2 of
    # the corner above and below the window
    assert ends(room) == {"open": 1.2, "against": 1.5, "corner": 7.6}


def test_the_foot_of_a_jamb_on_returned_skirting_is_against_it() -> None:
    room = room_of(WORKED["A2"])
    feet = [e for e in room.edges if e.cls == "coat_edge" and "floor" in "".join(e.surfaces)]
    assert [(e.ends, e.length_m) for e in feet] == [("against", 0.1)] * 2


def test_frames_and_linings_are_told_apart() -> None:
    door = opening("d", "door", "s2", 500, 900, 0, 2040, 0)
    window = opening("w", "window", "s0", 1000, 1200, 900, 2100, 150)
    light = Rooflight(id="l", room="R", outline=((1000, 1000, 0), (2000, 1000, 0), (2000, 1600, 0), (1000, 1600, 0)),
                      depth_mm=200)  # fmt: skip
    job = job_of(sides(box(5000, 4000)), door, window)
    storey = msgspec.structs.replace(job.storeys[0], rooflights=(light,))
    for of, frames in ((job, 3.6), (msgspec.structs.replace(job, storeys=(storey,)), 3.6 + 3.2)):
        room = room_of(of)
        # window 1.2 + 2 × 1.2; lined door 0.9 + 2 × 2.04; the rooflight's frame 2 × (1.0 + 0.6)
        assert room.frame_joint_by_kind_m == pytest.approx({"frame": frames, "lining": 4.98})
        assert room.frame_joint_m == pytest.approx(frames + 4.98)


def test_totals_hold_the_kinds_times_the_room() -> None:
    taken = measure(WORKED["A3"])
    assert taken.totals["coat_edge_by_kind_m.open"] == pytest.approx(9.8)
    assert taken.totals["coat_edge_by_kind_m.against"] == 0.0
