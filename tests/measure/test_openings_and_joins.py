"""Openings of every shape, walls with finishes, rooms that run into each other: worked by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from rectangles import rect

from takeoff.measure import measure
from takeoff.measure.memory import Memory
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.model import (
    Band,
    Behind,
    CornerPick,
    Exclusion,
    Field,
    Job,
    Opening,
    Plane,
    Region,
    Reveal,
    Rooflight,
    Room,
    Side,
    Storey,
    Strip,
    WallTreatment,
    WallType,
)


def room(name: str, outline: tuple[Side, ...], **more: Any) -> Room:
    return Room(id=name, outline=outline, **more)


def take(*rooms: Room, openings: tuple[Opening, ...] = (), **more: Any) -> Takeoff:
    job_parts = {k: more.pop(k) for k in ("wall_types", "bead_default") if k in more}
    storey = Storey(id="g", rooms=rooms, openings=openings, **more)
    return measure(Job(storeys=(storey,), **job_parts))


def reveal(depth: float, sill: bool = False, splay: float = 0.0) -> Reveal:
    s = Strip(depth_mm=depth)
    return Reveal(start=s, end=s, head=s, sill=Strip(depth_mm=depth, coat=sill), splay_deg=splay)


def window(**more: Any) -> Opening:
    base: dict[str, Any] = {
        "id": "w",
        "kind": "window",
        "room": "R",
        "side": "s0",
        "offset_mm": 1000,
        "width_mm": 1000,
        "sill_mm": 1000,
        "head_mm": 2000,
        "reveal": reveal(200),
    }
    return Opening(**{**base, **more})


def test_round_window_has_one_strip_all_round() -> None:
    r = take(room("R", rect(0, 0, 4000, 3000)), openings=(window(shape="round"),)).rooms[0]
    assert r.openings_m2 == pytest.approx(math.pi / 4)
    assert r.reveal_m2 == pytest.approx(math.pi * 0.2)
    assert r.external_corner_by_kind_m["opening"] == pytest.approx(math.pi)
    assert r.frame_joint_m == pytest.approx(math.pi)
    assert {p.profile for p in r.bead_pieces} == {"flexible"}


def test_semicircular_head_joins_its_jambs_smoothly() -> None:
    w = window(shape="semicircular", sill_mm=0, head_mm=2000, kind="door")
    r = take(room("R", rect(0, 0, 4000, 3000)), openings=(w,)).rooms[0]
    assert r.openings_m2 == pytest.approx(1.5 + math.pi / 8)
    assert r.reveal_m2 == pytest.approx((2 * 1.5 + math.pi / 2) * 0.2)
    assert r.internal_corner_m["reveal"] == 0
    assert r.external_corner_m == pytest.approx(2 * 1.5 + math.pi / 2)


def test_segmental_head_is_measured_along_its_arc() -> None:
    w = window(shape="segmental", rise_mm=200)
    r = take(room("R", rect(0, 0, 4000, 3000)), openings=(w,)).rooms[0]
    radius = (500**2 + 200**2) / 400
    half = math.asin(500 / radius)
    segment = radius**2 * (2 * half - math.sin(2 * half)) / 2
    assert r.openings_m2 == pytest.approx(0.8 + segment / 1e6)
    assert r.reveal_m2 == pytest.approx((2 * 0.8 + 2 * radius * half / 1000) * 0.2)
    assert r.internal_corner_m["reveal"] == pytest.approx(0.4)


def test_splayed_jambs_are_measured_along_the_splay_and_the_head_is_a_trapezoid() -> None:
    w = window(reveal=reveal(200, splay=30))
    r = take(room("R", rect(0, 0, 4000, 3000)), openings=(w,)).rooms[0]
    slant, narrowing = 0.2 / math.cos(math.radians(30)), 0.2 * math.tan(math.radians(30))
    assert r.reveal_m2 == pytest.approx(2 * 1.0 * slant + (1.0 - narrowing) * 0.2)
    assert r.frame_joint_m == pytest.approx(2.0 + 1.0 - 2 * narrowing)
    assert r.internal_corner_m["reveal"] == pytest.approx(2 * slant)
    assert r.coat_edge_m == pytest.approx(1.0 + 2 * slant)


def test_opening_in_a_bow_has_radial_jambs_and_a_ring_sector_for_a_head() -> None:
    outline = rect(0, 0, 4000, 3000, s0={"bulge": 0.25})
    r = take(room("R", outline), openings=(window(),)).rooms[0]
    angle = 1000 / 4250
    sector = angle * (4450**2 - 4250**2) / 2 / 1e6
    assert r.openings_m2 == pytest.approx(1.0)
    assert r.reveal_m2 == pytest.approx(2 * 0.2 + sector)
    assert r.frame_joint_m == pytest.approx(2.0 + angle * 4.45)


def test_lined_door_has_no_strip_and_its_frame_is_sealed_to_the_face() -> None:
    d = window(kind="door", sill_mm=0, reveal=Reveal())
    r = take(room("R", rect(0, 0, 4000, 3000)), openings=(d,)).rooms[0]
    assert r.reveal_m2 == 0
    assert r.external_corner_m == 0
    assert r.frame_joint_m == pytest.approx(1 + 2 * 2)
    assert r.coat_edge_m == 0


def test_open_way_cuts_both_faces_and_its_strips_belong_to_the_host() -> None:
    way = window(kind="open", sill_mm=0, reveal=Reveal())
    a = room("R", rect(0, 0, 4000, 3000))
    b = room("S", rect(500, -3150, 4000, 3000))
    r, s = take(a, b, openings=(way,)).rooms
    assert r.openings_m2 == pytest.approx(2.0)
    assert s.openings_m2 == pytest.approx(2.0)
    assert r.reveal_m2 == pytest.approx((1 + 2 * 2) * 0.15)
    assert s.reveal_m2 == 0
    assert r.external_corner_m == pytest.approx(5)
    assert s.external_corner_m == pytest.approx(5)
    assert r.frame_joint_m == s.frame_joint_m == 0
    behind = r.faces[0].behind
    assert [(b.from_mm, b.to_mm, b.cls, b.thickness_mm) for b in behind] == [
        (0, 500, "unknown", None),
        (500, 4000, "same", 150),
    ]


def test_window_touching_corner_floor_and_ceiling_has_no_arris_there() -> None:
    w = window(offset_mm=0, sill_mm=0, head_mm=2400)
    r = take(room("R", rect(0, 0, 4000, 3000)), openings=(w,)).rooms[0]
    assert r.external_corner_m == pytest.approx(2.4)
    assert r.internal_corner_m["wall_wall"] == pytest.approx(3 * 2.4)
    assert r.internal_corner_m["wall_ceiling"] == pytest.approx(13)
    assert r.reveal_m2 == pytest.approx((1 + 2 * 2.4) * 0.2)


def test_window_cut_by_a_sloping_ceiling_has_no_head_strip_and_says_so() -> None:
    roof = Field(planes=(Plane(z_mm=1500, slope_y=0.5),))
    r = take(room("R", rect(0, 0, 4000, 3000), ceiling=roof), openings=(window(),)).rooms[0]
    assert r.openings_m2 == pytest.approx(0.5)
    assert r.reveal_m2 == pytest.approx(2 * 0.5 * 0.2)
    assert [f.code for f in r.findings] == ["opening-cut-by-ceiling"]


def test_window_wider_than_its_wall_is_cut_off_and_reported() -> None:
    r = take(room("R", rect(0, 0, 4000, 3000)), openings=(window(offset_mm=3500),)).rooms[0]
    assert r.openings_m2 == pytest.approx(0.5)
    assert [f.code for f in r.findings] == ["opening-wider-than-wall"]


def test_finishes_move_the_measured_face_in() -> None:
    lined = WallType(id="lining", finish_a_mm=100)
    outline = rect(0, 0, 4000, 3000, s0={"wall_type": "lining"}, s1={"wall_type": "lining"})
    r = take(room("R", outline), openings=(window(),), wall_types=(lined,)).rooms[0]
    assert r.floor_m2 == pytest.approx(3.9 * 2.9)
    assert r.perimeter_m == pytest.approx(2 * (3.9 + 2.9))
    assert r.openings_m2 == pytest.approx(1.0)


def test_build_ups_take_height_off() -> None:
    r = take(room("R", rect(0, 0, 4000, 3000), floor_build_up_mm=100, ceiling_build_up_mm=50)).rooms[0]
    assert r.wall_gross_m2 == pytest.approx(14 * 2.25)


def test_rooms_that_run_into_each_other_have_no_face_or_corner_between_them() -> None:
    a = room("R", rect(0, 0, 4000, 3000, s1={"kind": "open"}))
    b = room("S", rect(4000, 0, 2000, 3000, s3={"kind": "open"}))
    r, s = take(a, b).rooms
    whole = take(room("T", rect(0, 0, 6000, 3000))).rooms[0]
    for key in ("wall_net_m2", "ceiling_m2", "external_corner_m", "floor_edge_m", "perimeter_m"):
        assert getattr(r, key) + getattr(s, key) == pytest.approx(getattr(whole, key)), key
    assert r.internal_corner_m["wall_wall"] == pytest.approx(4.8)
    assert s.internal_corner_m["wall_wall"] == pytest.approx(4.8)
    assert r.internal_corner_m["wall_ceiling"] == pytest.approx(4 + 4 + 3)


def test_open_side_with_a_downstand_and_a_higher_room_beyond() -> None:
    way = {"kind": "open", "open_to_mm": 2100}
    a = room("R", rect(0, 0, 4000, 3000, s1=way))
    b = room("S", rect(4000, 0, 2000, 3000, s3=way), ceiling=Field(planes=(Plane(z_mm=2700),)))
    r, s = take(a, b).rooms
    assert r.wall_net_m2 == pytest.approx((4 + 4 + 3) * 2.4 + 3 * 0.3)
    assert s.wall_net_m2 == pytest.approx((2 + 2 + 3) * 2.7 + 3 * 0.6)


def test_open_side_that_leads_nowhere_is_reported() -> None:
    r = take(room("R", rect(0, 0, 4000, 3000, s1={"kind": "open"}))).rooms[0]
    assert r.wall_gross_m2 == pytest.approx(11 * 2.4)
    assert [f.code for f in r.findings] == ["open-side-leads-nowhere"]


def level_floor(z: float, *regions: Region) -> Field:
    return Field(planes=(Plane(z_mm=z),), regions=regions)


def step(z: float, x: float, y: float, w: float, h: float) -> Region:
    ring = ((x, y, 0.0), (x + w, y, 0.0), (x + w, y + h, 0.0), (x, y + h, 0.0))
    return Region(id="step", op="set", outline=ring, planes=(Plane(z_mm=z),))


def doorway(beyond: Room, **more: Any) -> tuple[RoomTakeoff, RoomTakeoff]:
    """A way of 1 × 2 m from R, 4 × 3 m, into a room below it, and both rooms' figures."""
    skirting = WallTreatment(bands=(Band(edge="bottom", to_mm=120.0, into_reveals=True),))
    host = room("R", rect(0, 0, 4000, 3000), walls=skirting, **more)
    way = window(kind="open", sill_mm=0, reveal=Reveal())
    r, s = take(host, beyond, openings=(way,)).rooms
    return r, s


def test_skirting_in_a_doorway_stands_on_its_hosts_floor_for_the_lower_room_too() -> None:
    _, s = doorway(room("S", rect(0, -3100, 4000, 3000), floor=level_floor(-200)))
    assert s.external_corner_m == pytest.approx(2 * (2.0 - 0.12) + 1.0)
    assert s.coat_edge_m == pytest.approx(2 * 0.12 + 1.0)  # beside the skirting, and at the threshold


def test_a_step_of_the_host_that_stands_in_a_doorway_has_no_arris_in_the_room_beyond() -> None:
    high = level_floor(0.0, step(300.0, 0, 0, 1500, 1000))
    r, s = doorway(room("S", rect(0, -3100, 4000, 3000)), floor=high)
    assert r.reveal_m2 == pytest.approx(0.1 * (1.0 + 2 * (2.0 - 0.12) - 0.3))
    assert s.external_corner_m == pytest.approx(1.0 + 2 * (2.0 - 0.12) - 0.3)
    assert s.coat_edge_m == pytest.approx(2 * 0.12 + 0.3)
    assert s.openings_m2 == pytest.approx(2.0)  # of its own face it loses what it sees


def test_a_coated_sill_that_runs_out_onto_a_platform_beyond_is_masked_there() -> None:
    wall = reveal(100, sill=True)
    hatch = window(kind="open", reveal=wall)
    high = level_floor(0.0, step(1000.0, 0, -1100, 4000, 1000))
    _, s = take(
        room("R", rect(0, 0, 4000, 3000)), room("S", rect(0, -3100, 4000, 3000), floor=high), openings=(hatch,)
    ).rooms
    assert s.floor_edge_m == pytest.approx(14.0 - 1.0 + 1.0)  # at the wall, and before the sill


def test_the_room_beyond_is_measured_again_when_the_hosts_floor_changes() -> None:
    way = window(kind="open", sill_mm=0, reveal=Reveal())
    beyond, kept = room("S", rect(0, -3100, 4000, 3000)), Memory()
    for floor in (None, level_floor(0.0, step(300.0, 0, 0, 1500, 1000)), None):
        storey = Storey(id="g", rooms=(room("R", rect(0, 0, 4000, 3000), floor=floor), beyond), openings=(way,))
        anew = measure(Job(storeys=(storey,)))
        assert measure(Job(storeys=(storey,)), memory=kept).rooms == anew.rooms


def test_rooflight_is_an_opening_in_the_slope_with_a_shaft() -> None:
    light = Rooflight(
        id="l", room="R", depth_mm=300, outline=((1000, 1000, 0), (2000, 1000, 0), (2000, 1800, 0), (1000, 1800, 0))
    )
    roof = Field(planes=(Plane(z_mm=2000, slope_y=0.75),))
    t = take(room("R", rect(0, 0, 4000, 3000), ceiling=roof), rooflights=(light,))
    r = t.rooms[0]
    assert r.ceiling_m2 == pytest.approx(12 * 1.25 - 1 * 0.8 * 1.25)
    assert r.reveal_m2 == pytest.approx((2 * 1 + 2 * 0.8 * 1.25) * 0.3)
    assert r.external_corner_by_kind_m["opening"] == pytest.approx(2 * 1 + 2 * 0.8 * 1.25)
    assert r.internal_corner_m["reveal"] == pytest.approx(4 * 0.3)


def test_exclusion_that_sticks_out_is_cut_off_and_reported() -> None:
    tiles = Exclusion(id="t", what="tiles", outline=((3000, 0, 0), (5000, 0, 0), (5000, 1200, 0), (3000, 1200, 0)))
    outline = rect(0, 0, 4000, 3000, s0={"treatment": WallTreatment(exclusions=(tiles,))})
    r = take(room("R", outline)).rooms[0]
    assert r.excluded_m2 == pytest.approx(1.0 * 1.2)
    assert r.coat_edge_m == pytest.approx(1.0 + 1.2 + 1.2)
    assert [f.code for f in r.findings] == ["exclusion-sticks-out"]


def test_opening_to_check_is_left_out_and_says_what_it_would_change() -> None:
    t = take(room("R", rect(0, 0, 4000, 3000), times=2), openings=(window(confidence="check"),))
    assert t.rooms[0].openings_m2 == 0
    (effect,) = t.unsure
    assert effect.change["openings_m2"] == pytest.approx(2 * 1.0)
    assert effect.change["wall_net_m2"] == pytest.approx(-2 * 1.0)
    assert effect.change["reveal_m2"] == pytest.approx(2 * 3 * 0.2)


def test_totals_multiply_rooms_by_their_times_and_their_storey() -> None:
    t = take(room("R", rect(0, 0, 4000, 3000), times=2), times=3)
    assert t.totals["floor_m2"] == pytest.approx(6 * 12)
    assert t.rooms[0].floor_m2 == pytest.approx(12)
    assert t.rooms[0].times == 6


def test_corner_picked_by_hand_and_a_pick_whose_corner_is_gone() -> None:
    picks = (CornerPick(corner="s0|w.start", bead="none"), CornerPick(corner="s9|s8", bead="new"))
    t = take(room("R", rect(0, 0, 4000, 3000), corners=picks), openings=(window(),))
    r = t.rooms[0]
    assert r.external_corner_m == pytest.approx(3)
    assert r.bead_m == pytest.approx(2)
    assert [f.code for f in r.findings] == ["picked-corner-gone"]


def test_what_is_behind_follows_the_building_and_then_the_user() -> None:
    outline = rect(0, 0, 4000, 3000, s2={"behind": (Behind(cls="neighbour", to_mm=1500),)})
    ring = tuple((x, y, 0.0) for x, y in ((-300, -300), (4300, -300), (4300, 9000), (-300, 9000)))
    r = take(room("R", outline), building=(ring,)).rooms[0]
    assert [(b.cls, b.thickness_mm) for f in r.faces for b in f.behind] == [
        ("outside", pytest.approx(300)),
        ("outside", pytest.approx(300)),
        ("neighbour", None),
        ("unknown", None),
        ("outside", pytest.approx(300)),
    ]


def test_empty_job_has_all_totals_at_zero() -> None:
    totals = measure(Job()).totals
    assert totals["coated_m2"] == 0
    assert "bead_m" in totals


def test_every_corner_has_an_id_of_its_own() -> None:
    roof = Field(planes=(Plane(z_mm=1500, slope_y=0.5), Plane(z_mm=3000, slope_y=-0.5)))
    light = Rooflight(
        id="l", room="R", depth_mm=300, outline=((1000, 1000, 0), (2000, 1000, 0), (2000, 2000, 0), (1000, 2000, 0))
    )
    w = window(offset_mm=0, sill_mm=0, head_mm=1500)
    r = take(room("R", rect(0, 0, 4000, 3000), ceiling=roof), openings=(w,), rooflights=(light,)).rooms[0]
    ids = [e.id for e in r.edges]
    assert len(ids) == len(set(ids))
