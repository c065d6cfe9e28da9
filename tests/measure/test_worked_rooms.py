"""The rooms worked by hand that every measuring engine must reproduce.

Source of every expected figure: the project's measuring notes, section 7, where the working is
written out; rooms A, B, C, E and F were checked there against solids.
"""

from __future__ import annotations

import math

import pytest
from worked_rooms import WORKED

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff


def measured(name: str) -> RoomTakeoff:
    return measure(WORKED[name]).rooms[0]


def expect(r: RoomTakeoff, **figures: float) -> None:
    flat_figures = {k: getattr(r, k) for k in r.__struct_fields__}
    flat_figures |= r.internal_corner_m
    for key, value in figures.items():
        assert flat_figures[key] == pytest.approx(value, abs=1e-9), key


def test_room_a_l_shaped_with_a_window_and_a_door() -> None:
    r = measured("A")
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
    r = measured("A-with-sill")
    expect(r, reveal_m2=1.218, external_corner_m=12.18, reveal=0.8, coat_edge_m=0, frame_joint_m=9.78)


def test_room_a2_with_skirting_and_coving_left_on() -> None:
    r = measured("A2")
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
    r = measured("A3")
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
    r = measured("B")
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
    r = measured("C")
    expect(
        r, ceiling_m2=12, drop_m2=1.2, wall_net_m2=32.04, external_corner_m=4, wall_wall=9, wall_ceiling=14, drop=4.6
    )


def test_room_d_with_a_bow() -> None:
    r = measured("D")
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
    r = measured("E")
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
    r = measured("F")
    expect(r, floor_m2=19.7, wall_net_m2=43.2, drop_m2=5.88, ceiling_m2=20, external_corner_m=9.8, floor_edge_m=24.2)


def test_room_g_with_a_pier_and_lights() -> None:
    r = measured("G")
    slope = math.sqrt(1 + 0.25**2)
    # the arch: a chord of 1.2 m with a rise of 0.2 m lies on a circle of 1.0 m
    segment = math.asin(0.6) - 0.6 * 0.8
    walls = 2 * 5 * (2.2 + 3.45) / 2 + 3 * 3.45 + 3 * 2.2 + 0.3 * (2.7 + 2.85) + 2 * 0.6 * 2.775
    # the hatch goes through the pier and shows on both its faces
    holes = 1.2 * 1.0 + segment + math.pi * 0.3**2 + 2 * 0.2 * 1.9
    expect(
        r,
        floor_m2=15 - 0.18,
        perimeter_m=16 + 1.8,
        ceiling_m2=(15 - 0.18 - 0.48) * slope,
        wall_gross_m2=walls,
        openings_m2=holes,
        wall_net_m2=walls - holes,
        height_min_mm=2200,
        height_max_mm=3450,
    )
    assert r.times == 2
    shaft = (2 * 0.8 + 2 * 0.6 * slope) * 0.25
    eye, hatch = 2 * math.pi * 0.3 * 0.15, (2 * 1.9 + 0.2) * 0.15
    jambs = 2 * 1.0 * 0.15 / math.cos(math.radians(20))
    arch = r.reveal_m2 - shaft - eye - hatch - jambs
    # the head of the splayed arch: a ring that narrows from 1.0 m to its depth × tan 20° less
    inner = 1.0 - 0.15 * math.tan(math.radians(20))
    assert arch == pytest.approx(2 * math.asin(0.6) * (1.0 + inner) / 2 * 0.15 / math.cos(math.radians(20)))


def test_rooms_h_with_an_open_way_between_them() -> None:
    hall, kitchen = measure(WORKED["H"]).rooms
    # strips of the open way span the wall of 120 mm and belong to the hall; one jamb is not coated
    expect(
        hall,
        wall_net_m2=10 * 2.4 - 1.0 * 2.1 - 0.9 * 2.04,
        reveal_m2=(2.1 + 1.0) * 0.12 + (2 * 2.04 + 0.9) * 0.04,
        external_corner_m=2.1 + 1.0 + 2 * 2.04 + 0.9,
    )
    expect(
        kitchen,
        wall_net_m2=12 * 2.4 - 1.0 * 2.1 - 0.9 * 2.04,
        reveal_m2=(2 * 2.04 + 0.9) * 0.04,
        external_corner_m=2.1 + 1.0 + 2 * 2.04 + 0.9,
    )


def test_the_bare_jamb_of_an_open_way_is_the_same_jamb_from_both_rooms() -> None:
    # the way stands from y 300 to y 1300; the jamb at 1300 is not coated
    for room in measure(WORKED["H"]).rooms:
        jambs = [e for e in room.edges if e.length_m == pytest.approx(2.1) and any("way" in s for s in e.surfaces)]
        at = {e.cls: {round(y) for _, y, _ in e.line} for e in jambs if e.line}
        assert at == {"external": {300}, "coat_edge": {1300}}


def test_an_opening_in_question_says_what_it_would_change() -> None:
    (effect,) = measure(WORKED["H"]).unsure
    assert (effect.opening, effect.room, effect.evidence) == ("doubt", "kitchen", ("two lines only",))
    # 0.8 × 1.2 m off the wall, twice, since the storey stands twice
    assert effect.change["wall_net_m2"] == pytest.approx(-2 * 0.8 * 1.2)
    assert effect.change["reveal_m2"] == pytest.approx(2 * (0.8 + 2 * 1.2) * 0.04)


@pytest.mark.parametrize(
    "quantity",
    ["wall_gross_m2", "wall_net_m2", "openings_m2", "ceiling_m2", "reveal_m2", "coat_edge_m", "external_corner_m"],
)
def test_every_figure_is_the_sum_of_its_dims(quantity: str) -> None:
    r = measured("A2")
    lines = [d for d in r.dims if d.quantity == quantity]
    assert lines
    assert math.fsum(d.product for d in lines) == pytest.approx(getattr(r, quantity), abs=1e-9)
    for d in lines:
        assert d.product == pytest.approx(d.times * math.prod(d.dims))
