"""Figures that are ordered by, each worked by hand beside it: profiles of bead, splays, bare walls in the bill."""

from __future__ import annotations

import math

import msgspec
import pytest
from worked_rooms import WORKED, box, job_of, opening, sides

from takeoff.measure import measure
from takeoff.measure.conventions import bill_room, load
from takeoff.measure.takeoff import Edge, RoomTakeoff
from takeoff.plan.model import (
    Behind,
    Border,
    CeilingTreatment,
    CornerPick,
    Exclusion,
    Field,
    Opening,
    Plane,
    Region,
    Reveal,
    Ring,
    Side,
    Strip,
    WallTreatment,
    WallType,
)

BARE = WallTreatment(coat=False)


def wedge(half_mm: float) -> RoomTakeoff:
    """A room of 6 × 4 m with a wedge of 1 m standing into it from one wall, so wide at its foot."""
    points = [(0, 0), (6000, 0), (6000, 4000), (3000 + half_mm, 4000), (3000, 3000), (3000 - half_mm, 4000), (0, 4000)]
    return measure(job_of(sides(points))).rooms[0]


@pytest.mark.parametrize(
    ("half_mm", "profile"),
    [(1000, "square"), (2000, "wide"), (300, "narrow"), (1250, "square"), (1350, "wide"), (800, "square"),
     (700, "narrow")],
)  # fmt: skip
def test_the_nose_of_a_wedge_takes_bead_by_its_angle(half_mm: float, profile: str) -> None:
    (nose,) = [e for e in wedge(half_mm).edges if e.cls == "external"]
    # the void round the nose is the whole turn less the wedge; 15° either way of 270° is still square
    angle = 360 - 2 * math.degrees(math.atan(half_mm / 1000))
    assert nose.angle_deg == pytest.approx(angle)
    assert (abs(angle - 270) <= 15, angle < 270) == (profile == "square", nose.angle_deg < 270)
    assert nose.profile == profile


def arrises(room: RoomTakeoff, name: str) -> dict[str, Edge]:
    """The external corners round an opening by the part of its reveal."""
    found = [e for e in room.edges if e.cls == "external" and e.kind == "opening"]
    return {s.rpartition(".")[2]: e for e in found for s in e.surfaces if s.startswith(f"{name}.")}


def splayed(splay_deg: float) -> RoomTakeoff:
    strip = Strip(depth_mm=150)
    reveal = Reveal(start=strip, end=strip, head=strip, sill=Strip(depth_mm=150), splay_deg=splay_deg)
    window = Opening(id="w", kind="window", room="R", side="s0", offset_mm=1000, width_mm=1200, sill_mm=900,
                     head_mm=2100, reveal=reveal)  # fmt: skip
    return measure(job_of(sides(box(4000, 3000)), window)).rooms[0]


def test_splayed_jambs_make_blunter_arrises_and_head_and_sill_stay_square() -> None:
    angles = {part: e.angle_deg for part, e in arrises(splayed(20), "w").items()}
    assert angles == pytest.approx({"start": 250, "end": 250, "head": 270, "sill": 270})
    profiles = {part: e.profile for part, e in arrises(splayed(20), "w").items()}
    assert profiles == {"start": "wide", "end": "wide", "head": "square", "sill": "square"}


def test_splayed_strips_are_longer_in_depth_and_narrow_to_the_frame() -> None:
    areas = {s.id.rpartition(".")[2]: s.net_m2 for s in splayed(20).surfaces if s.kind == "reveal"}
    jamb = 1.2 * 0.15 / math.cos(math.radians(20))
    head = (1.2 + 1.2 - 2 * 0.15 * math.tan(math.radians(20))) / 2 * 0.15
    assert areas == pytest.approx({"start": jamb, "end": jamb, "head": head, "sill": head})


def billed(job_room: RoomTakeoff, convention: str = "net") -> float:
    return bill_room(load(convention), job_room).wall_m2


def test_a_bare_wall_is_not_billed_and_its_opening_is_not_deducted_again() -> None:
    window = opening("w", "window", "s0", 1000, 1200, 900, 2100, 150)
    beside = opening("b", "window", "s1", 1000, 800, 900, 2100, 150)
    room = measure(job_of(sides(box(5000, 4000), treated={1: BARE}), window, beside)).rooms[0]
    # walls of 5, 5 and 4 m less the window of 1.44 m²; the wall of 4 m is bare, and so its window of
    # 0.96 m², which one convention would not deduct, is no wall either
    assert billed(room) == pytest.approx(14 * 2.4 - 1.44)
    assert billed(room, "uk-nrm2") == pytest.approx(14 * 2.4 - 1.44)
    assert room.reveal_m2 == pytest.approx((1.2 + 2 * 1.2) * 0.15)


def test_half_a_wall_left_bare_is_left_out_of_the_bill() -> None:
    room = measure(job_of(sides(box(5000, 4000), treated={0: WallTreatment(start_mm=600)}))).rooms[0]
    assert room.not_coated_m2 == pytest.approx(4.4 * 2.4)
    assert billed(room) == pytest.approx(18 * 2.4 - 4.4 * 2.4)


def test_tiles_are_taken_off_but_where_the_window_is() -> None:
    tiles = Exclusion(id="t", outline=((1000, 900, 0), (2200, 900, 0), (2200, 1500, 0), (1000, 1500, 0)))
    half = opening("w", "window", "s0", 1600, 1200, 900, 2100, 0)
    room = measure(job_of(sides(box(5000, 4000), treated={0: WallTreatment(exclusions=(tiles,))}), half)).rooms[0]
    # the tiles are 1.2 × 0.6 m, half of them before the window
    assert room.excluded_m2 == pytest.approx(0.6 * 0.6)
    assert room.wall_net_m2 == pytest.approx(18 * 2.4 - 1.44 - 0.36)


def test_a_corner_picked_by_hand_keeps_its_bead_and_profile() -> None:
    job = WORKED["A"]
    storey = job.storeys[0]
    free = next(e for e in measure(job).rooms[0].edges if e.kind == "room" and e.cls == "external")
    picked = msgspec.structs.replace(storey.rooms[0], corners=(CornerPick(corner=free.id, bead="none"),))
    rooms = (picked,)
    taken = measure(msgspec.structs.replace(job, storeys=(msgspec.structs.replace(storey, rooms=rooms),))).rooms[0]
    assert taken.bead_m == pytest.approx(10.98 - 2.4)
    assert taken.external_corner_m == pytest.approx(10.98)


@pytest.mark.parametrize(("face", "finish"), [("a", 12.5), ("b", 20.0)])
def test_the_board_on_its_face_of_the_wall_stands_inside_the_drawn_line(face: str, finish: float) -> None:
    outline = sides(box(5000, 4000))
    boarded = (msgspec.structs.replace(outline[0], wall_type="board", wall_face=face), *outline[1:])
    kind = WallType(id="board", finish_a_mm=12.5, finish_b_mm=20.0)
    room = measure(msgspec.structs.replace(job_of(boarded), wall_types=(kind,))).rooms[0]
    assert room.floor_m2 == pytest.approx(5 * (4 - finish / 1000))


def test_build_ups_of_floor_and_ceiling_are_taken_off_the_height() -> None:
    room = measure(job_of(sides(box(5000, 4000)), floor_build_up_mm=70, ceiling_build_up_mm=40)).rooms[0]
    assert (room.height_min_mm, room.height_max_mm) == (2400 - 110, 2400 - 110)
    assert room.wall_net_m2 == pytest.approx(18 * 2.29)


def test_build_ups_count_under_a_boxing_too() -> None:
    ring = ((0, 0, 0), (5000, 0, 0), (5000, 500, 0), (0, 500, 0))
    region = Region(id="b", op="lower", outline=ring, planes=(Plane(z_mm=2100),))
    ceiling = Field(planes=(Plane(z_mm=2400),), regions=(region,))
    room = measure(job_of(sides(box(5000, 4000)), ceiling=ceiling, floor_build_up_mm=70, ceiling_build_up_mm=40)).rooms[
        0
    ]
    assert (room.height_min_mm, room.height_max_mm) == (2100 - 110, 2400 - 110)


def test_a_coving_left_on_is_measured_on_the_slope() -> None:
    slope = Field(planes=(Plane(z_mm=1500, slope_x=1),))
    coving = CeilingTreatment(left_on=(Border(width_mm=100),))
    room = measure(job_of(sides(box(4000, 5000)), ceiling=slope, ceiling_treatment=coving)).rooms[0]
    # 100 mm on the slope are 71 mm in plan along eaves and ridge, and 100 mm along the gables
    across = 4 - 2 * 0.1 / math.sqrt(2)
    assert room.ceiling_m2 == pytest.approx(across * math.sqrt(2) * (5 - 2 * 0.1))


def test_of_regions_within_each_other_the_inner_one_governs_however_they_are_listed() -> None:
    inner = Region(id="i", op="set", outline=square(1500, 1500, 1000), planes=(Plane(z_mm=2600),))
    outer = Region(id="o", op="set", outline=square(1000, 1000, 2000), planes=(Plane(z_mm=2100),))
    for regions in ((inner, outer), (outer, inner)):
        ceiling = Field(planes=(Plane(z_mm=2400),), regions=regions)
        room = measure(job_of(sides(box(5000, 4000)), ceiling=ceiling)).rooms[0]
        assert (room.height_min_mm, room.height_max_mm) == (2100, 2600)
        assert room.drop_m2 == pytest.approx(4 * 2.0 * 0.3 + 4 * 1.0 * 0.5)


def square(x: float, y: float, wide: float) -> Ring:
    return ((x, y, 0), (x + wide, y, 0), (x + wide, y + wide, 0), (x, y + wide, 0))


@pytest.mark.parametrize("name", ["A", "G"])
def test_a_room_stands_as_often_as_it_does_in_every_copy_of_its_storey(name: str) -> None:
    job = WORKED[name]
    own = job.storeys[0].rooms[0].times
    thrice = msgspec.structs.replace(job, storeys=(msgspec.structs.replace(job.storeys[0], times=3),))
    taken = measure(thrice)
    assert taken.rooms[0].times == 3 * own
    assert taken.totals["coated_m2"] == pytest.approx(3 * own * taken.rooms[0].coated_m2)


def stretches(side: Side) -> list[tuple[float, float, str, float | None]]:
    outline = sides(box(5000, 4000))
    room = measure(job_of((side, *outline[1:]))).rooms[0]
    return [(b.from_mm, b.to_mm, b.cls, b.thickness_mm) for b in room.faces[0].behind]


def test_what_the_user_says_lies_behind_goes_first_and_to_the_end_where_no_end_is_said() -> None:
    side = sides(box(5000, 4000))[0]
    said = (Behind(cls="neighbour", from_mm=1000, to_mm=2000, thickness_mm=215), Behind(cls="unheated", from_mm=4000))
    assert stretches(msgspec.structs.replace(side, behind=said)) == [
        (0, 1000, "unknown", None),
        (1000, 2000, "neighbour", 215),
        (2000, 4000, "unknown", None),
        (4000, 5000, "unheated", None),
    ]


def test_an_opening_at_the_end_of_its_wall_is_cut_off_there_and_said() -> None:
    window = opening("w", "window", "s0", 4400, 1200, 900, 2100, 150)
    room = measure(job_of(sides(box(5000, 4000)), window)).rooms[0]
    assert room.openings_m2 == pytest.approx(0.6 * 1.2)
    assert [f.code for f in room.findings] == ["opening-wider-than-wall"]


def test_a_head_above_the_ceiling_has_no_strip_and_is_said() -> None:
    window = opening("w", "window", "s0", 1000, 1200, 900, 2600, 150)
    room = measure(job_of(sides(box(5000, 4000)), window)).rooms[0]
    assert room.openings_m2 == pytest.approx(1.2 * 1.5)
    assert room.reveal_m2 == pytest.approx(2 * 1.5 * 0.15)
    assert [f.code for f in room.findings] == ["opening-cut-by-ceiling"]


@pytest.mark.parametrize("ceiling", [None, Field(planes=(Plane(z_mm=2400, slope_y=0.1),))])
def test_strips_of_an_opening_in_a_wall_that_is_left_out_stay_bare(ceiling: Field | None) -> None:
    beside = opening("b", "window", "s1", 1000, 800, 900, 2100, 150, "jambs head sill")
    room = measure(job_of(sides(box(5000, 4000), treated={1: BARE}), beside, ceiling=ceiling)).rooms[0]
    assert room.reveal_m2 == 0
    assert arrises(room, "b") == {}
    coated = measure(job_of(sides(box(5000, 4000)), beside, ceiling=ceiling)).rooms[0]
    assert coated.reveal_m2 == pytest.approx((2 * 0.8 + 2 * 1.2) * 0.15)


@pytest.mark.parametrize(("kind", "joint"), [("door", 2 * 2.1 + 1.0), ("open", 0.0)])
@pytest.mark.parametrize("ceiling", [None, Field(planes=(Plane(z_mm=2400, slope_y=0.1),))])
def test_an_open_way_has_no_frame_to_join(kind: str, joint: float, ceiling: Field | None) -> None:
    way = opening("o", kind, "s0", 1000, 1000, 0, 2100, 100)
    room = measure(job_of(sides(box(5000, 4000)), way, ceiling=ceiling)).rooms[0]
    assert room.frame_joint_m == pytest.approx(joint)
    assert room.reveal_m2 == pytest.approx((2 * 2.1 + 1.0) * 0.1)


def test_an_open_end_of_coat_is_finished_as_the_job_says_or_as_it_was_picked_and_other_edges_are_not() -> None:
    tiles = Exclusion(id="t", outline=((1000, 900, 0), (2200, 900, 0), (2200, 1500, 0), (1000, 1500, 0)))
    walls = {0: WallTreatment(exclusions=(tiles,)), 2: WallTreatment(start_mm=600)}
    job = msgspec.structs.replace(job_of(sides(box(5000, 4000), treated=walls)), coat_edge_default="trim")
    edges = [e for e in measure(job).rooms[0].edges if e.cls == "coat_edge"]
    (end,) = [e for e in edges if e.ends == "open"]  # down the wall where the coat stops, 600 mm from its start
    assert (end.length_m, end.finish) == (pytest.approx(2.4), "trim")
    assert {e.finish for e in edges if e.ends != "open"} == {""}
    storey = job.storeys[0]
    picked = msgspec.structs.replace(storey.rooms[0], corners=(CornerPick(corner=end.id, finish="stop"),))
    again = measure(msgspec.structs.replace(job, storeys=(msgspec.structs.replace(storey, rooms=(picked,)),)))
    assert [e.finish for e in again.rooms[0].edges if e.ends == "open"] == ["stop"]
