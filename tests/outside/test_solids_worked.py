"""The solids themselves against rooms worked by hand, so that they can be trusted as the other side.

The figures of the rooms A, B, C, E and F are those of the worked examples in the project's document on
what is measured; each working is repeated beside its number.
"""

from __future__ import annotations

import math

import pytest
from solids_reading import quantities, read_void
from solids_rooms import room_of
from solids_void import room_void, with_openings

from takeoff.plan.model import Field, Opening, OpeningId, Plane, Region, RegionId, Reveal, Room, RoomId, SideId, Strip

HEIGHT_MM = 2400.0


def rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[tuple[float, float, float], ...]:
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))


def measured(room: Room, openings: tuple[Opening, ...] = ()) -> dict[str, float]:
    bare = room_void(room, HEIGHT_MM)
    full = with_openings(bare, room, openings)
    return quantities(room, openings, read_void(full, room, openings, HEIGHT_MM), read_void(bare, room, (), HEIGHT_MM))


def assert_reads(found: dict[str, float], **expected: float) -> None:
    """Every named quantity agrees; a key such as internal__drop stands for internal.drop."""
    wanted = {key.replace("__", "."): value for key, value in expected.items()}
    differ = {k: (found[k], v) for k, v in wanted.items() if found[k] != pytest.approx(v, rel=1e-9, abs=1e-9)}
    assert not differ


L_SHAPE = [(0.0, 0.0), (5000.0, 0.0), (5000.0, 2000.0), (3000.0, 2000.0), (3000.0, 4000.0), (0.0, 4000.0)]


def l_shaped_openings(*, sill: bool) -> tuple[Opening, ...]:
    def strips(depth_mm: float, *, coat_sill: bool) -> Reveal:
        coated = Strip(depth_mm=depth_mm)
        return Reveal(start=coated, end=coated, head=coated, sill=Strip(depth_mm=depth_mm, coat=coat_sill))

    window = Opening(
        id=OpeningId("w"), kind="window", room=RoomId("r"), side=SideId("s0"), offset_mm=1000, width_mm=1200,
        sill_mm=900, head_mm=2100, reveal=strips(150, coat_sill=sill),
    )  # fmt: skip
    door = Opening(
        id=OpeningId("d"), kind="door", room=RoomId("r"), side=SideId("s5"), offset_mm=500, width_mm=900,
        sill_mm=0, head_mm=2040, reveal=strips(100, coat_sill=False),
    )  # fmt: skip
    return window, door


def test_l_shaped_room_with_a_window_and_an_unlined_door() -> None:
    assert_reads(
        measured(room_of(L_SHAPE), l_shaped_openings(sill=False)),
        floor_m2=5 * 2 + 3 * 2,
        ceiling_m2=16,
        perimeter_m=5 + 2 + 2 + 2 + 3 + 4,
        wall_gross_m2=18 * 2.4,
        openings_m2=1.2 * 1.2 + 0.9 * 2.04,
        wall_net_m2=39.924,
        reveal_m2=(1.2 + 2 * 1.2) * 0.15 + (0.9 + 2 * 2.04) * 0.10,
        coated_m2=56.962,
        external_corner_m=2.4 + (1.2 + 2 * 1.2) + (0.9 + 2 * 2.04),
        external__room=2.4,
        external__opening=8.58,
        internal__wall_wall=5 * 2.4,
        internal__wall_ceiling=18,
        internal__reveal=2 * 0.15 + 2 * 0.10,
        coat_edge_m=1.2 + 2 * 0.15,
        floor_edge_m=18 - 0.9 + 2 * 0.10,
        frame_joint_m=8.58,
    )


def test_l_shaped_room_with_the_window_sill_coated_too() -> None:
    assert_reads(
        measured(room_of(L_SHAPE), l_shaped_openings(sill=True)),
        reveal_m2=1.218,
        external_corner_m=12.180,
        internal__reveal=0.800,
        coat_edge_m=0,
        frame_joint_m=9.780,
    )


def test_room_in_the_roof() -> None:
    slopes = (Plane(z_mm=1200, slope_x=1), Plane(z_mm=1200, slope_x=-1, at_x_mm=4000), Plane(z_mm=2400))
    room = room_of([(0, 0), (4000, 0), (4000, 6000), (0, 6000)], ceiling=Field(planes=slopes))
    slant = 1.2 * math.sqrt(2)
    assert_reads(
        measured(room),
        ceiling_m2=2 * 6 * slant + 1.6 * 6,
        wall_gross_m2=2 * 6 * 1.2 + 2 * (4 * 2.4 - 1.2 * 1.2),
        internal__wall_wall=4 * 1.2,
        internal__wall_ceiling=2 * 6 + 2 * (1.6 + 2 * slant),
        internal__ceiling=12,
        external_corner_m=0,
    )


def test_bulkhead_along_a_wall() -> None:
    boxing = Region(id=RegionId("b"), op="lower", outline=rectangle(0, 2400, 4000, 3000), planes=(Plane(z_mm=2100),))
    ceiling = Field(planes=(Plane(z_mm=2400),), regions=(boxing,))
    assert_reads(
        measured(room_of([(0, 0), (4000, 0), (4000, 3000), (0, 3000)], ceiling=ceiling)),
        ceiling_m2=4 * 2.4 + 4 * 0.6,
        drop_m2=1.2,
        wall_net_m2=4 * 2.4 + 4 * 2.1 + 2 * (2.4 * 2.4 + 0.6 * 2.1),
        external_corner_m=4,
        external__drop=4,
        internal__wall_wall=2 * 2.4 + 2 * 2.1,
        internal__wall_ceiling=14,
        internal__drop=4 + 2 * 0.3,
    )


def test_dormer_in_a_mono_pitch() -> None:
    dormer = Region(id=RegionId("d"), op="raise", outline=rectangle(500, 1000, 4000, 2500), planes=(Plane(z_mm=2300),))
    ceiling = Field(planes=(Plane(z_mm=1000, slope_x=1),), regions=(dormer,))
    assert_reads(
        measured(room_of([(0, 0), (4000, 0), (4000, 5000), (0, 5000)], ceiling=ceiling)),
        ceiling_m2=18.8 * math.sqrt(2) + 1.2,
        wall_net_m2=54,
        drop_m2=1.2 + 0.64,
        external_corner_m=1.5 + 2 * 0.8 * math.sqrt(2) + 1.5,
        external__drop=1.5 + 2 * 0.8 * math.sqrt(2),
        external__ceiling=1.5,
        internal__wall_wall=12,
        internal__wall_ceiling=10 + 2 * 4 * math.sqrt(2),
        internal__drop=1.5 + 1.6 + 1.6,
    )


def test_free_standing_dwarf_wall() -> None:
    dwarf = Region(
        id=RegionId("d"), op="raise", outline=rectangle(1000, 2000, 4000, 2100), planes=(Plane(z_mm=900),),
        coat_sides=True, coat_face=True,
    )  # fmt: skip
    floor = Field(planes=(Plane(z_mm=0),), regions=(dwarf,))
    assert_reads(
        measured(room_of([(0, 0), (5000, 0), (5000, 4000), (0, 4000)], floor=floor)),
        floor_m2=19.7,
        wall_net_m2=43.2,
        drop_m2=6.2 * 0.9 + 0.3,
        ceiling_m2=20,
        external_corner_m=4 * 0.9 + 6.2,
        external__low=9.8,
        floor_edge_m=24.2,
    )
