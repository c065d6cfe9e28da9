"""Figures that went wrong without a word: each is worked by hand beside its test."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from rectangles import rect

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.model import (
    Band,
    Border,
    CeilingTreatment,
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


def take(*rooms: Room, openings: tuple[Opening, ...] = (), **more: Any) -> Takeoff:
    job_parts = {k: more.pop(k) for k in ("wall_types", "bead_default", "coat_edge_default") if k in more}
    return measure(Job(storeys=(Storey(id="g", rooms=rooms, openings=openings, **more),), **job_parts))


def only(room: Room, *openings: Opening, **more: Any) -> RoomTakeoff:
    return take(room, openings=openings, **more).rooms[0]


def way(**more: Any) -> Opening:
    """A doorway 0.9 × 2.0 without a leaf in the wall between two rooms, a metre from its start."""
    base: dict[str, Any] = {
        "id": "o", "kind": "open", "room": "A", "side": "s1",
        "offset_mm": 1000, "width_mm": 900, "sill_mm": 0, "head_mm": 2000,
    }  # fmt: skip
    return Opening(**{**base, **more})


def door(**more: Any) -> Opening:
    return way(kind="door", **more)


# Doorways: their strips, jambs 2 × 2.0 and a head of 0.9, girth 4.9 m ------------------------------------

BARE = WallTreatment(coat=False)


def two_rooms(one: WallTreatment, two: WallTreatment, wall_mm: float = 100, **side: Any) -> tuple[Room, Room]:
    """A to the left, B to the right of one wall."""

    def ceiling(walls: WallTreatment) -> CeilingTreatment:
        return CeilingTreatment(coat=walls.coat)

    a = Room(id="A", outline=rect(0, 0, 3000, 4000, s1=side), walls=one, ceiling_treatment=ceiling(one))
    b = Room(id="B", outline=rect(3000 + wall_mm, 0, 3000, 4000, s3=side), walls=two, ceiling_treatment=ceiling(two))
    return a, b


def test_a_doorway_whose_host_is_bare_has_no_coat_and_so_no_bead() -> None:
    a, b = take(*two_rooms(BARE, WallTreatment()), openings=(way(),)).rooms
    assert (a.reveal_m2, b.reveal_m2) == (0, 0)
    assert b.bead_m == 0
    assert b.external_corner_m == 0
    # its coat ends at the bare strips all round
    assert b.coat_edge_m == pytest.approx(4.9)


def test_a_doorway_whose_far_room_is_bare_ends_its_coat_at_the_far_face() -> None:
    a, b = take(*two_rooms(WallTreatment(), BARE), openings=(way(),)).rooms
    assert a.reveal_m2 == pytest.approx(4.9 * 0.1)
    assert a.bead_m == pytest.approx(4.9)
    assert a.coat_edge_m + b.coat_edge_m == pytest.approx(4.9)


def test_a_doorway_is_as_deep_as_the_finished_wall() -> None:
    lined = WallType(id="w", finish_a_mm=15, finish_b_mm=15)
    rooms = two_rooms(WallTreatment(), WallTreatment(), wall_type="w")
    rooms = (rooms[0], Room(id="B", outline=rect(3100, 0, 3000, 4000, s3={"wall_type": "w", "wall_face": "b"})))
    a, _ = take(*rooms, openings=(way(),), wall_types=(lined,)).rooms
    assert a.reveal_m2 == pytest.approx(4.9 * 0.13)


def test_skirting_that_stays_ends_the_coat_of_a_doorway_on_both_faces() -> None:
    kept = WallTreatment(bands=(Band(edge="bottom", to_mm=120),))
    a, b = take(*two_rooms(kept, kept), openings=(way(),)).rooms
    # over each skirting 14.0 − 0.9; beside each jamb's foot, which is coated to the floor, 2 × 0.12 a face
    assert a.coat_edge_m + b.coat_edge_m == pytest.approx(2 * 13.1 + 4 * 0.12)


def test_a_door_between_faces_that_are_not_quite_parallel_is_taken_off_both() -> None:
    lean = 4000 * math.tan(math.radians(1.3))
    a = Room(id="A", outline=rect(0, 0, 3000, 4000))
    corners = ((3100, 0), (6100, 0), (6100, 4000), (3100 + lean, 4000))
    b = Room(id="B", outline=tuple(Side(id=f"s{i}", x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners)))
    first, second = take(a, b, openings=(door(),)).rooms
    assert (first.openings_m2, second.openings_m2) == (pytest.approx(1.8), pytest.approx(1.8))
    assert second.frame_joint_m == pytest.approx(4.9)


def test_a_return_reaches_a_doorway_from_the_finished_corner_on_both_faces() -> None:
    """Linings of 25 beside the host's wall: its return of 1.0 from the finished corner ends 1.025 from the drawn one.

    A doorway 1.0 from there has 25 mm of the return beside it, so its strips, 4.9 m round, are coated whole and the far
    face has an arris all round: no coat ends there. From 1.03 on it lies in bare wall: the far coat ends all round it.
    """
    lined = WallType(id="w", finish_a_mm=25, finish_b_mm=25)
    returned = {"treatment": WallTreatment(start_mm=1000)}
    _, b = two_rooms(WallTreatment(), WallTreatment())
    a = Room(id="A", outline=rect(0, 0, 3000, 4000, s0={"wall_type": "w"}, s1=returned))
    beside = take(a, b, openings=(way(),), wall_types=(lined,)).rooms
    assert beside[0].reveal_m2 == pytest.approx(4.9 * 0.1)
    assert beside[1].external_corner_m == pytest.approx(4.9)
    assert beside[1].coat_edge_m == 0
    clear = take(a, b, openings=(way(offset_mm=1030),), wall_types=(lined,)).rooms
    assert clear[0].reveal_m2 == 0
    assert clear[1].external_corner_m == 0
    assert clear[1].coat_edge_m == pytest.approx(4.9)


# Ceiling bands -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("wide", "deep", "band"), [(900, 1100, 600), (730, 730, 800), (4000, 500, 600)])
def test_a_ceiling_band_as_wide_as_the_room_is_all_of_its_ceiling(wide: float, deep: float, band: float) -> None:
    treatment = CeilingTreatment(only=(Border(width_mm=band, what="band"),))
    r = only(Room(id="R", outline=rect(0, 0, wide, deep), ceiling_treatment=treatment))
    assert r.ceiling_m2 == pytest.approx(wide * deep / 1e6)
    assert r.coat_edge_m == pytest.approx(0)


# Parts of a ceiling ---------------------------------------------------------------------------------------


def test_ceiling_parts_count_the_same_in_whatever_order_they_are_listed() -> None:
    outer = Region(
        id="o", op="set", outline=((500, 500, 0), (3500, 500, 0), (3500, 3500, 0), (500, 3500, 0)),
        planes=(Plane(z_mm=2400, slope_x=0.2, at_x_mm=500),),
    )  # fmt: skip
    inner = Region(
        id="i", op="raise", outline=((1000, 1000, 0), (2000, 1000, 0), (2000, 2000, 0), (1000, 2000, 0)),
        planes=(Plane(z_mm=2600),),
    )  # fmt: skip
    lone = Region(
        id="l", op="lower", outline=((2500, 2500, 0), (3000, 2500, 0), (3000, 3000, 0), (2500, 3000, 0)),
        planes=(Plane(z_mm=2300),),
    )  # fmt: skip

    def figures(regions: tuple[Region, ...]) -> tuple[float, ...]:
        ceiling = Field(planes=(Plane(z_mm=3000),), regions=regions)
        r = only(Room(id="R", outline=rect(0, 0, 4000, 4000), ceiling=ceiling))
        return r.ceiling_m2, r.drop_m2, r.external_corner_m, r.internal_corner_m["drop"]

    first = figures((outer, inner, lone))
    for order in itertools.permutations((outer, inner, lone)):
        assert figures(order) == pytest.approx(first, abs=1e-9)


def test_a_rooflight_over_a_ridge_does_not_depend_on_the_order_of_the_planes() -> None:
    west = Plane(z_mm=2400, slope_x=0.5, at_x_mm=0)
    east = Plane(z_mm=2400, slope_x=-0.25, at_x_mm=4000)
    light = Rooflight(
        id="l", room="R", depth_mm=200, outline=((1000, 1000, 0), (2000, 1000, 0), (2000, 2000, 0), (1000, 2000, 0))
    )

    def shaft(planes: tuple[Plane, ...]) -> float:
        room = Room(id="R", outline=rect(0, 0, 4000, 3000), ceiling=Field(planes=planes))
        return only(room, rooflights=(light,)).reveal_m2

    # the ridge lies 1333.3 from the west: two level sides of 1 m, and two that go up and down again
    girth = 2 * 1.0 + 2 * (math.sqrt(1.25) / 3 + 2 * math.sqrt(1.0625) / 3)
    assert shaft((west, east)) == pytest.approx(girth * 0.2)
    assert shaft((east, west)) == pytest.approx(girth * 0.2)


# Finishes ------------------------------------------------------------------------------------------------


def test_tiles_and_openings_of_a_lined_wall_are_placed_from_the_same_corner() -> None:
    """Tiles drawn right up to a door stay right up to it, however thick the linings are."""
    lined = WallType(id="w", finish_a_mm=30)
    tiles = Exclusion(id="t", outline=((1000, 0, 0), (2000, 0, 0), (2000, 2000, 0), (1000, 2000, 0)), what="tiles")
    walled: dict[str, Any] = {"wall_type": "w"}
    sides = rect(0, 0, 4000, 3000, s0={**walled, "treatment": WallTreatment(exclusions=(tiles,))}, s3=walled)
    d = door(room="R", side="s0", offset_mm=2000)
    r = only(Room(id="R", outline=sides), d, wall_types=(lined,))
    # the tiles' right border is the door's own jamb: the coat ends over the tiles and at their left only
    face = next(e for e in r.edges if e.cls == "coat_edge" and e.kind == "face")
    assert sum(e.length_m for e in r.edges if e.cls == "coat_edge" and e.kind == "face") == pytest.approx(1.0 + 2.0)
    assert face.surfaces == ("s0",)


def test_a_wall_open_above_a_height_is_told_to_have_no_thickness() -> None:
    a = Room(id="A", outline=rect(0, 0, 3000, 4000, s1={"kind": "open", "open_from_mm": 1100}))
    b = Room(id="B", outline=rect(3000, 0, 3000, 4000, s3={"kind": "open", "open_from_mm": 1100}))
    codes = {f.code for r in take(a, b).rooms for f in r.findings} | {f.code for f in take(a, b).findings}
    assert "half-wall-without-thickness" in codes


# Openings and what adjoins them ----------------------------------------------------------------------------


def test_a_round_window_tiled_to_its_middle_ends_its_coat_along_half_of_its_rim() -> None:
    sill = Strip(depth_mm=150)
    window = Opening(
        id="w", kind="window", room="R", side="s0", shape="round", offset_mm=2500, width_mm=800, sill_mm=1100,
        head_mm=1900, reveal=Reveal(start=sill, end=sill, head=sill, sill=sill),
    )  # fmt: skip
    tiles = Exclusion(id="t", outline=((0, 0, 0), (5800, 0, 0), (5800, 1500, 0), (0, 1500, 0)), what="tiles")
    sides = rect(0, 0, 5800, 4000, s0={"treatment": WallTreatment(exclusions=(tiles,))})
    r = only(Room(id="R", outline=sides), window)
    # over the tiles at both sides of the window, and round the lower half of its rim; the ends of the tiled
    # wall at its two corners, 1.5 m each, are corners with coated walls
    corners = 2 * 1.5
    assert r.coat_edge_m - corners == pytest.approx(5.8 - 0.8 + math.pi * 0.4)


def test_a_window_half_in_front_of_a_step_keeps_the_half_of_its_sill_strip_that_is_seen() -> None:
    step = Region(
        id="p", op="raise", outline=((0, 0, 0), (1500, 0, 0), (1500, 1000, 0), (0, 1000, 0)), planes=(Plane(z_mm=900),)
    )
    s = Strip(depth_mm=200)
    window = Opening(
        id="w", kind="window", room="R", side="s0", offset_mm=1000, width_mm=1000, sill_mm=900, head_mm=2100,
        reveal=Reveal(start=s, end=s, head=s, sill=s),
    )  # fmt: skip
    floor = Field(planes=(Plane(z_mm=0),), regions=(step,))
    r = only(Room(id="R", outline=rect(0, 0, 4000, 3000), floor=floor), window)
    sill = next(x for x in r.surfaces if x.id == "w.sill")
    assert sill.net_m2 == pytest.approx(0.5 * 0.2)


def test_skirting_returned_into_a_doorway_whose_jamb_lies_in_a_corner_is_no_end_of_coat_twice() -> None:
    """A door 0.9 × 2.0 with its jamb in the corner of a 4 × 3 m room, skirting 0.12 kept and returned, reveals 0.1.

    Over the skirting 14.0 − 0.9, and across both reveals 2 × 0.1. The jamb in the corner runs straight on from the
    wall beside it, skirting and all, so that nothing ends there.
    """
    kept = WallTreatment(bands=(Band(edge="bottom", to_mm=120, into_reveals=True),))
    strip = Strip(depth_mm=100)
    d = door(room="R", side="s0", offset_mm=0, reveal=Reveal(start=strip, end=strip, head=strip))
    r = only(Room(id="R", outline=rect(0, 0, 4000, 3000), walls=kept), d)
    assert r.coat_edge_m == pytest.approx(13.1 + 0.2)
    assert r.reveal_m2 == pytest.approx((0.9 + 2 * 1.88) * 0.1)


def test_skirting_returned_from_one_room_ends_the_coat_of_the_other_at_its_arris() -> None:
    """Skirting 0.12 in A alone, returned through the doorway: beside it B's coat ends over 0.12 at both jambs."""
    kept = WallTreatment(bands=(Band(edge="bottom", to_mm=120, into_reveals=True),))
    a, b = take(*two_rooms(kept, WallTreatment()), openings=(way(),)).rooms
    assert b.coat_edge_m == pytest.approx(2 * 0.12)
    assert b.external_corner_m == pytest.approx(2 * 1.88 + 0.9)
    # over A's skirting, and across its returns through the wall
    assert a.coat_edge_m == pytest.approx(13.1 + 2 * 0.1)


def test_a_doorway_through_a_leaning_wall_is_as_deep_as_the_wall_is_there() -> None:
    """The wall is 100 thick at its foot and 90.77 thicker 4 m on: in the middle of the doorway, 1.45 m on, 132.9."""
    lean = 4000 * math.tan(math.radians(1.3))
    a = Room(id="A", outline=rect(0, 0, 3000, 4000))
    corners = ((3100, 0), (6100, 0), (6100, 4000), (3100 + lean, 4000))
    b = Room(id="B", outline=tuple(Side(id=f"s{i}", x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners)))
    first, _ = take(a, b, openings=(way(),)).rooms
    assert first.reveal_m2 == pytest.approx(4.9 * (0.1 + 1.45 * math.tan(math.radians(1.3))))
    behind = first.faces[1].behind
    assert [(s.cls, s.room) for s in behind] == [("same", "B")]
    assert behind[0].thickness_mm == pytest.approx(100 + lean / 2)


def test_a_step_in_front_of_half_a_window_ends_its_coated_sill_at_the_floor() -> None:
    """The sill strip runs on level into the top of the step, which is floor: its end there, 0.2 m, is masked."""

    def edges(step_mm: float) -> float:
        step = Region(
            id="p", op="raise", outline=((0, 0, 0), (1500, 0, 0), (1500, 1000, 0), (0, 1000, 0)),
            planes=(Plane(z_mm=step_mm),),
        )  # fmt: skip
        s = Strip(depth_mm=200)
        window = Opening(
            id="w", kind="window", room="R", side="s0", offset_mm=1000, width_mm=1000, sill_mm=900, head_mm=2100,
            reveal=Reveal(start=s, end=s, head=s, sill=s),
        )  # fmt: skip
        floor = Field(planes=(Plane(z_mm=0),), regions=(step,))
        return only(Room(id="R", outline=rect(0, 0, 4000, 3000), floor=floor), window).floor_edge_m

    # at the height of the sill: half a metre of wall less that stands on the step, the jamb's foot and the sill's
    # end more
    assert edges(900) == pytest.approx(edges(800) - 0.5 + 0.2 + 0.2)


def test_a_ceiling_band_does_not_reach_through_a_wing_wall() -> None:
    """A niche 0.5 m wide and 2.0 m deep beside a wing wall 0.1 m thick, with a band of 0.8 m along the niche's
    far wall: it covers the niche, and nothing of the room on the other side of the wing wall."""
    corners = (
        (0, 0), (500, 0), (500, 2000), (600, 2000), (600, 0), (3000, 0), (3000, 3000), (-1000, 3000), (-1000, 2000),
        (0, 2000),
    )  # fmt: skip
    outline = tuple(Side(id=f"s{i}", x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners))
    band = CeilingTreatment(only=(Border(width_mm=800, sides=("s9",), what="band"),))
    r = only(Room(id="R", outline=outline, ceiling_treatment=band))
    assert r.ceiling_m2 == pytest.approx(0.5 * 2.0)
    # its end towards the room
    ends = [e.length_m for e in r.edges if e.cls == "coat_edge" and set(e.surfaces) == {"ceiling"}]
    assert sum(ends) == pytest.approx(0.5)


def test_a_slot_narrower_than_its_linings_is_filled_by_them() -> None:
    """A room 4 × 3 m lined with 30 all round, with a slot 50 wide and 500 deep in one wall: as without the slot."""
    lined = WallType(id="w", finish_a_mm=30)
    corners = ((0, 0), (4000, 0), (4000, 3000), (2050, 3000), (2050, 3500), (2000, 3500), (2000, 3000), (0, 3000))
    outline = tuple(Side(id=f"s{i}", x_mm=x, y_mm=y, wall_type="w") for i, (x, y) in enumerate(corners))
    r = only(Room(id="R", outline=outline), wall_types=(lined,))
    assert r.floor_m2 == pytest.approx(3.94 * 2.94)
    assert r.perimeter_m == pytest.approx(2 * (3.94 + 2.94))
    assert r.wall_gross_m2 == pytest.approx(2 * (3.94 + 2.94) * 2.4)
    assert r.internal_corner_m["wall_wall"] == pytest.approx(4 * 2.4)


@pytest.mark.parametrize("offset_mm", [2000, 2150, 2650])
def test_a_round_window_that_touches_the_top_of_the_tiles_leaves_the_wall_beside_it(offset_mm: float) -> None:
    """Tiles 5.0 × 0.9 under a round window of 0.7: 5.0 × 1.5 of wall over them, less the window."""
    tiles = Exclusion(id="t", outline=((-10, 0, 0), (5010, 0, 0), (5010, 900, 0), (-10, 900, 0)), what="tiles")
    window = Opening(
        id="w", kind="window", room="R", side="s0", shape="round", offset_mm=offset_mm, width_mm=700, sill_mm=900,
        head_mm=1600, reveal=Reveal(head=Strip(depth_mm=150)),
    )  # fmt: skip
    sides = rect(0, 0, 5000, 4000, s0={"treatment": WallTreatment(exclusions=(tiles,))})
    r = only(Room(id="R", outline=sides), window)
    wall = next(s for s in r.surfaces if s.id == "s0")
    assert wall.net_m2 == pytest.approx(5.0 * 1.5 - math.pi * 0.35**2)
    assert r.external_corner_m == pytest.approx(math.pi * 0.7)


def test_a_coated_step_that_begins_at_a_jamb_runs_on_into_it() -> None:
    """A step 150 high up to a door's jamb, both coated: side and jamb lie in one plane, and nothing ends there."""

    def coat_edge(step_to_mm: float) -> float:
        ring = ((500.0, 0.0, 0.0), (step_to_mm, 0.0, 0.0), (step_to_mm, 1000.0, 0.0), (500.0, 1000.0, 0.0))
        step = Region(id="p", op="raise", outline=ring, planes=(Plane(z_mm=150),), coat_sides=True, coat_face=True)
        strip = Strip(depth_mm=100)
        d = door(room="R", side="s0", offset_mm=2000, reveal=Reveal(start=strip, end=strip, head=strip))
        floor = Field(planes=(Plane(z_mm=0),), regions=(step,))
        return only(Room(id="R", outline=rect(0, 0, 4000, 3000), floor=floor), d).coat_edge_m

    assert coat_edge(2000) == pytest.approx(coat_edge(1900)) == 0
