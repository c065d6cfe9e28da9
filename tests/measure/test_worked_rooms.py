"""The rooms worked by hand that every measuring engine must reproduce.

Source of every expected figure: the project's measuring notes, section 7, where the working is
written out; rooms A, B, C, E and F were checked there against solids.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import (
    Band,
    Border,
    CeilingTreatment,
    Field,
    Job,
    Opening,
    Plane,
    Region,
    Reveal,
    Ring,
    Room,
    Side,
    Storey,
    Strip,
    WallTreatment,
)

Points = list[tuple[float, float]]
L_SHAPE: Points = [(0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000)]


def box(width: float, depth: float) -> Points:
    return [(0, 0), (width, 0), (width, depth), (0, depth)]


def ring(points: Points) -> Ring:
    return tuple((x, y, 0.0) for x, y in points)


def sides(
    points: Points, bulges: dict[int, float] | None = None, treated: dict[int, WallTreatment] | None = None
) -> tuple[Side, ...]:
    return tuple(
        Side(id=f"s{i}", x_mm=x, y_mm=y, bulge=(bulges or {}).get(i, 0.0), treatment=(treated or {}).get(i))
        for i, (x, y) in enumerate(points)
    )


def flat(z_mm: float) -> Field:
    return Field(planes=(Plane(z_mm=z_mm),))


def opening(
    name: str,
    kind: Any,
    side: str,
    offset: float,
    width: float,
    sill: float,
    head: float,
    depth: float,
    coated: str = "jambs head",
) -> Opening:
    def strip(part: str) -> Strip:
        return Strip(depth_mm=depth, coat=part in coated)

    reveal = Reveal(start=strip("jambs"), end=strip("jambs"), head=strip("head"), sill=strip("sill"))
    return Opening(
        id=name,
        kind=kind,
        room="R",
        side=side,
        offset_mm=offset,
        width_mm=width,
        sill_mm=sill,
        head_mm=head,
        reveal=reveal,
    )


def measured(outline: tuple[Side, ...], *openings: Opening, **room: Any) -> RoomTakeoff:
    storey = Storey(id="g", rooms=(Room(id="R", outline=outline, **room),), openings=openings)
    return measure(Job(storeys=(storey,))).rooms[0]


def expect(r: RoomTakeoff, **figures: float) -> None:
    flat_figures = {k: getattr(r, k) for k in r.__struct_fields__}
    flat_figures |= r.internal_corner_m
    for key, value in figures.items():
        assert flat_figures[key] == pytest.approx(value, abs=1e-9), key


WINDOW = opening("w", "window", "s0", 1000, 1200, 900, 2100, 150)
DOOR = opening("d", "door", "s5", 500, 900, 0, 2040, 100)


def test_room_a_l_shaped_with_a_window_and_a_door() -> None:
    r = measured(sides(L_SHAPE), WINDOW, DOOR)
    expect(
        r,
        floor_m2=16,
        ceiling_m2=16,
        perimeter_m=18,
        wall_gross_m2=43.2,
        openings_m2=3.276,
        wall_net_m2=39.924,
        reveal_m2=1.038,
        coated_m2=56.962,
        external_corner_m=10.98,
        wall_wall=12,
        wall_ceiling=18,
        ceiling=0,
        drop=0,
        reveal=0.5,
        coat_edge_m=1.5,
        floor_edge_m=17.3,
        frame_joint_m=8.58,
        height_min_mm=2400,
        height_max_mm=2400,
    )


def test_room_a_with_the_window_sill_coated_too() -> None:
    sill = opening("w", "window", "s0", 1000, 1200, 900, 2100, 150, "jambs head sill")
    r = measured(sides(L_SHAPE), sill, DOOR)
    expect(r, reveal_m2=1.218, external_corner_m=12.18, reveal=0.8, coat_edge_m=0, frame_joint_m=9.78)


def test_room_a2_with_skirting_and_coving_left_on() -> None:
    bands = (Band(edge="bottom", to_mm=120, into_reveals=True), Band(edge="top", to_mm=100, what="coving"))
    r = measured(
        sides(L_SHAPE),
        WINDOW,
        DOOR,
        walls=WallTreatment(bands=bands),
        ceiling_treatment=CeilingTreatment(left_on=(Border(width_mm=100),)),
    )
    expect(
        r,
        wall_net_m2=36.072,
        ceiling_m2=14.24,
        reveal_m2=1.014,
        coated_m2=51.326,
        external_corner_m=10.52,
        wall_wall=10.9,
        wall_ceiling=0,
        reveal=0.5,
        coat_edge_m=54,
        floor_edge_m=0,
    )


def test_room_a3_one_outside_wall_with_returns_and_a_ceiling_band() -> None:
    none = WallTreatment(coat=False)
    treated = {1: WallTreatment(start_mm=600), 2: none, 3: WallTreatment(end_mm=600)}
    band = CeilingTreatment(only=(Border(width_mm=600, sides=("s0",)),))
    r = measured(sides(box(5000, 4000), treated=treated), ceiling_treatment=band)
    expect(
        r,
        wall_net_m2=14.88,
        ceiling_m2=3,
        wall_wall=4.8,
        wall_ceiling=6.2,
        external_corner_m=0,
        coat_edge_m=9.8,
        floor_edge_m=6.2,
    )


def test_room_b_in_the_roof() -> None:
    roof = Field(planes=(Plane(z_mm=1200, slope_x=1), Plane(z_mm=5200, slope_x=-1), Plane(z_mm=2400)))
    r = measured(sides(box(4000, 6000)), ceiling=roof)
    expect(
        r,
        ceiling_m2=2 * 6 * 1.2 * math.sqrt(2) + 9.6,
        wall_net_m2=30.72,
        wall_wall=4.8,
        wall_ceiling=12 + 2 * (1.6 + 2 * 1.2 * math.sqrt(2)),
        ceiling=12,
        external_corner_m=0,
    )


def test_room_c_with_a_bulkhead() -> None:
    boxing = Region(
        id="b", op="lower", planes=(Plane(z_mm=2100),), outline=ring([(0, 2400), (4000, 2400), (4000, 3000), (0, 3000)])
    )
    r = measured(sides(box(4000, 3000)), ceiling=Field(planes=(Plane(z_mm=2400),), regions=(boxing,)))
    expect(
        r, ceiling_m2=12, drop_m2=1.2, wall_net_m2=32.04, external_corner_m=4, wall_wall=9, wall_ceiling=14, drop=4.6
    )


def test_room_d_with_a_bow() -> None:
    r = measured(sides(box(4000, 3000), bulges={0: 0.25}), ceiling=flat(2400))
    sweep = 4 * math.atan(0.25)
    radius = 4000 * (1 + 0.25**2) / (4 * 0.25)
    segment = radius**2 * (sweep - math.sin(sweep)) / 2
    expect(
        r,
        floor_m2=12 + segment / 1e6,
        wall_net_m2=(10 + radius * sweep / 1000) * 2.4,
        wall_wall=9.6,
        external_corner_m=0,
    )
    assert radius == pytest.approx(4250)
    assert radius * sweep == pytest.approx(4164.6, abs=0.05)


def test_room_e_with_a_dormer_in_a_mono_pitch() -> None:
    dormer = Region(
        id="d",
        op="raise",
        planes=(Plane(z_mm=2300),),
        outline=ring([(500, 1000), (4000, 1000), (4000, 2500), (500, 2500)]),
    )
    r = measured(sides(box(4000, 5000)), ceiling=Field(planes=(Plane(z_mm=1000, slope_x=1),), regions=(dormer,)))
    root2 = math.sqrt(2)
    expect(
        r,
        ceiling_m2=18.8 * root2 + 1.2,
        wall_net_m2=54,
        drop_m2=1.84,
        external_corner_m=1.5 + 2 * 0.8 * root2 + 1.5,
        wall_wall=12,
        wall_ceiling=10 + 8 * root2,
        drop=4.7,
    )


def test_room_f_with_a_dwarf_wall() -> None:
    dwarf = Region(
        id="f",
        op="raise",
        planes=(Plane(z_mm=900),),
        coat_sides=True,
        coat_face=True,
        outline=ring([(1000, 2000), (4000, 2000), (4000, 2100), (1000, 2100)]),
    )
    r = measured(sides(box(5000, 4000)), ceiling=flat(2400), floor=Field(planes=(Plane(z_mm=0),), regions=(dwarf,)))
    expect(r, floor_m2=19.7, wall_net_m2=43.2, drop_m2=5.88, ceiling_m2=20, external_corner_m=9.8, floor_edge_m=24.2)


@pytest.mark.parametrize(
    "quantity",
    ["wall_gross_m2", "wall_net_m2", "openings_m2", "ceiling_m2", "reveal_m2", "coat_edge_m", "external_corner_m"],
)
def test_every_figure_is_the_sum_of_its_dims(quantity: str) -> None:
    bands = (Band(edge="bottom", to_mm=120, into_reveals=True),)
    r = measured(sides(L_SHAPE), WINDOW, DOOR, walls=WallTreatment(bands=bands))
    lines = [d for d in r.dims if d.quantity == quantity]
    assert lines
    assert math.fsum(d.product for d in lines) == pytest.approx(getattr(r, quantity), abs=1e-9)
    for d in lines:
        assert d.product == pytest.approx(d.times * math.prod(d.dims))
