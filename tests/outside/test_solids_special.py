"""Rooms that random ones seldom are, each against its solid: stairs, ramps, oblique jambs, eaves."""

from __future__ import annotations

import pytest
from solids_reading import quantities, read_void
from solids_rooms import room_of
from solids_void import room_void, with_openings
from test_solids import figures, same

from takeoff.measure import measure
from takeoff.plan.model import (
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Region,
    RegionId,
    Reveal,
    Room,
    RoomId,
    SideId,
    Storey,
    StoreyId,
    Strip,
)

HEIGHT_MM = 2500.0
SQUARE = [(0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0)]
BLUNT = [(0.0, 0.0), (3000.0, 0.0), (4500.0, 2598.0), (3000.0, 4000.0), (0.0, 4000.0)]
"""A room with corners of 120° and more."""


def window(side: str, offset: float, width: float, sill: float, head: float) -> Opening:
    strip = Strip(depth_mm=100)
    return Opening(
        id=OpeningId(f"w{side}"), kind="window", room=RoomId("r"), side=SideId(side), offset_mm=offset,
        width_mm=width, sill_mm=sill, head_mm=head,
        reveal=Reveal(start=strip, end=strip, head=strip, sill=Strip(depth_mm=100, coat=False)),
    )  # fmt: skip


def part(op: str, x0: float, y0: float, x1: float, y1: float, plane: Plane, *, coat: bool | None = None) -> Region:
    outline = ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
    return Region(
        id=RegionId(f"{op}{x0}{y0}"), op=op, outline=outline, planes=(plane,), coat_sides=coat, coat_face=coat
    )  # type: ignore[arg-type]  # fmt: skip


def assert_as_the_solid(room: Room, *openings: Opening) -> dict[str, float]:
    """Every figure of the engine equals the solid's; returns the solid's."""
    bare = room_void(room, HEIGHT_MM)
    full = read_void(with_openings(bare, room, openings), room, openings, HEIGHT_MM)
    expected = quantities(room, openings, full, read_void(bare, room, (), HEIGHT_MM))
    storey = Storey(id=StoreyId("g"), height_mm=HEIGHT_MM, rooms=(room,), openings=openings)
    found = figures(measure(Job(storeys=(storey,))).rooms[0])
    differ = {k: (found.get(k, 0.0), v) for k, v in expected.items() if not same(found.get(k, 0.0), v)}
    assert not differ
    return expected


def level(z_mm: float, *regions: Region) -> Field:
    return Field(planes=(Plane(z_mm=z_mm),), regions=regions)


@pytest.mark.parametrize(("side", "offset"), [("s1", 0.0), ("s0", 2100.0)], ids=["start", "end"])
def test_jamb_at_a_blunt_corner_is_judged_by_its_angle(side: str, offset: float) -> None:
    """120° between the walls leave 210° between the jamb and the next wall: an external corner."""
    expected = assert_as_the_solid(room_of(BLUNT), window(side, offset, 900, 900, 2100))
    assert expected["external.opening"] == pytest.approx(1.2 + 0.9 + 1.2 + 0.9 - 0.9)


def test_head_at_a_ceiling_that_rises_away_from_it_is_judged_by_its_angle() -> None:
    rising = Field(planes=(Plane(z_mm=2000, slope_y=0.5),))
    assert_as_the_solid(room_of(SQUARE, rising), window("s0", 1000, 900, 900, 2000))


def test_full_height_way_through_a_wall_has_no_arris_at_floor_and_ceiling() -> None:
    expected = assert_as_the_solid(room_of(SQUARE), window("s0", 1000, 900, 0, 2500))
    assert expected["external.opening"] == pytest.approx(2 * 2.5)
    assert expected["internal.wall_ceiling"] == pytest.approx(14 - 0.9)


def test_whole_wall_open_leaves_no_arris() -> None:
    expected = assert_as_the_solid(room_of(SQUARE), window("s0", 0, 4000, 0, 2500))
    assert expected["external_corner_m"] == 0


def test_stair_of_five_steps_along_a_wall() -> None:
    steps = [part("raise", 500 + 250 * i, 0, 750 + 250 * i, 900, Plane(z_mm=180.0 * (i + 1))) for i in range(5)]
    assert_as_the_solid(room_of(SQUARE, None, level(0, *steps)))


def test_coated_steps_against_each_other() -> None:
    steps = [
        part("raise", 500 + 250 * i, 0, 750 + 250 * i, 900, Plane(z_mm=180.0 * (i + 1)), coat=True) for i in range(5)
    ]
    assert_as_the_solid(room_of(SQUARE, None, level(0, *steps)))


def test_ramp_from_a_level_floor() -> None:
    ramp = Field(planes=(Plane(z_mm=0), Plane(z_mm=-100, slope_x=0.1)))
    assert_as_the_solid(room_of(SQUARE, None, ramp))


def test_beam_that_sticks_out_of_the_room_is_cut_off() -> None:
    beam = part("lower", -500, -500, 4500, 600, Plane(z_mm=2100))
    expected = assert_as_the_solid(room_of(SQUARE, level(2400, beam)))
    assert expected["drop_m2"] == pytest.approx(4 * 0.3)


def test_dwarf_wall_higher_than_the_ceiling_parts_the_void_around_it() -> None:
    wall = part("raise", 500, 500, 1500, 600, Plane(z_mm=3500), coat=True)
    expected = assert_as_the_solid(room_of(SQUARE, None, level(0, wall)))
    assert expected["ceiling_m2"] == pytest.approx(12 - 0.1)
    assert expected["external.low"] == pytest.approx(4 * 2.5)


def test_beam_that_comes_down_on_a_dwarf_wall() -> None:
    wall = part("raise", 500, 500, 1500, 600, Plane(z_mm=900), coat=True)
    beam = part("lower", 0, 400, 4000, 700, Plane(z_mm=1500))
    assert_as_the_solid(room_of(SQUARE, level(2400, beam), level(0, wall)))


def test_ceiling_that_comes_down_to_the_floor_has_its_floor_edge_there() -> None:
    """Coated surface down to the floor without a wall between: 2 × 3 under gables, 2 × 4 at eaves."""
    tent = Field(planes=(Plane(z_mm=0, slope_y=0.8), Plane(z_mm=0, slope_y=-0.8, at_y_mm=3000)))
    expected = assert_as_the_solid(room_of(SQUARE, tent))
    assert expected["floor_edge_m"] == pytest.approx(14)


def test_coated_top_of_a_part_set_above_the_floor_is_no_floor() -> None:
    """12 m² less a plinth of 1.0 × 1.0 that is coated on top."""
    plinth = part("set", 500, 500, 1500, 1500, Plane(z_mm=300), coat=True)
    storey = Storey(id=StoreyId("g"), height_mm=HEIGHT_MM, rooms=(room_of(SQUARE, None, level(0, plinth)),))
    assert measure(Job(storeys=(storey,))).rooms[0].floor_m2 == pytest.approx(11.0)
