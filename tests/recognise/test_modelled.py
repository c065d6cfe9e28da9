"""Spaces of a model become rooms: outlines, ceilings, open borders, openings, what is behind."""

from __future__ import annotations

import math

import pytest
from modelled_making import box, circle, drawing, opening, plane, space, storey, wall

from takeoff.errors import Finding
from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import Job, Room, Swing
from takeoff.recognise.modelled import propose_modelled
from takeoff.recognise.presets import Settings

OUTER = [
    wall(box(0, 0, 8000, 300), "yes"),
    wall(box(0, 4700, 8000, 5000), "yes"),
    wall(box(0, 300, 300, 4700), "yes"),
    wall(box(7700, 300, 8000, 4700), "yes"),
]
PARTITION = wall(box(4300, 300, 4400, 4700), "no")
KITCHEN, HALL = box(300, 300, 4300, 4700), box(4400, 300, 7700, 4700)


def rooms(job: Job) -> list[Room]:
    return [r for s in job.storeys for r in s.rooms]


def figures(job: Job) -> dict[str, RoomTakeoff]:
    assert [f.text for f in check(job) if f.severity == "error"] == []
    return {r.room: r for r in measure(job).rooms}


def codes(findings: tuple[Finding, ...]) -> set[str]:
    return {f.code for f in findings}


def two_rooms(*more: object) -> tuple[Job, tuple[Finding, ...]]:
    return propose_modelled(
        (
            drawing(
                storey(), space("01", KITCHEN, name="Kitchen"), space("02", HALL, name="Hall"), *OUTER, PARTITION, *more
            ),
        )
    )  # type: ignore[arg-type]


def test_spaces_are_rooms_with_the_areas_and_heights_of_their_solids() -> None:
    job, findings = two_rooms()
    kitchen, hall = rooms(job)
    assert (kitchen.name, kitchen.number, kitchen.times, kitchen.confidence) == ("Kitchen", "01", 1, "sure")
    measured = figures(job)
    assert measured[kitchen.id].floor_m2 == pytest.approx(4.0 * 4.4)
    assert measured[hall.id].floor_m2 == pytest.approx(3.3 * 4.4)
    assert measured[kitchen.id].wall_gross_m2 == pytest.approx(2 * (4.0 + 4.4) * 2.5)
    assert job.storeys[0].height_source == "drawn"
    assert findings == ()


def test_floor_above_the_storeys_level_lowers_the_height() -> None:
    job, _ = propose_modelled((drawing(storey(), space("01", KITCHEN, floor=20, top=2520), *OUTER, PARTITION),))
    (room,) = figures(job).values()
    assert (room.height_min_mm, room.height_max_mm) == pytest.approx((2500, 2500))


def test_what_is_behind_comes_from_walls_rooms_and_the_building() -> None:
    job, _ = two_rooms()
    kitchen, _ = rooms(job)
    by_class = {}
    for face in figures(job)[kitchen.id].faces:
        for b in face.behind:
            by_class.setdefault(b.cls, []).append((round(b.to_mm - b.from_mm), b.thickness_mm))
    assert sorted(by_class) == ["outside", "same"]
    assert by_class["same"] == [(4400, pytest.approx(100))]
    assert sorted(by_class["outside"]) == [
        (4000, pytest.approx(300)),
        (4000, pytest.approx(300)),
        (4400, pytest.approx(300)),
    ]
    assert len(job.storeys[0].building) == 1


def test_wall_that_is_not_external_is_not_called_outside_though_nothing_is_drawn_behind() -> None:
    party = [wall(box(0, 0, 8000, 300), "no"), *OUTER[1:]]
    job, _ = propose_modelled((drawing(storey(), space("01", KITCHEN), *party, PARTITION),))
    (room,) = rooms(job)
    south = next(s for s in room.outline if (s.x_mm, s.y_mm) == (300, 300))
    assert [b.cls for b in south.behind] == ["unknown"]


def test_window_lies_in_its_rooms_side_with_the_depth_to_its_frame() -> None:
    job, findings = two_rooms(
        opening("window", [(1000, 0), (2200, 0), (2200, 300), (1000, 300)], 900, 2100, frame=(100, 170))
    )
    (window,) = job.storeys[0].openings
    kitchen, _ = rooms(job)
    assert (window.room, window.kind, window.sill_mm, window.head_mm) == (kitchen.id, "window", 900, 2100)
    side = next(s for s in kitchen.outline if s.id == window.side)
    assert (side.x_mm + window.offset_mm, side.y_mm) == pytest.approx((1000, 300))
    assert window.width_mm == pytest.approx(1200)
    # From the room's face at y 300 to the frame's back at y 170.
    assert window.reveal.head.depth_mm == pytest.approx(130)
    assert window.reveal.head.depth_source == "drawn"
    assert window.reveal.sill.coat is False
    assert "reveal-not-modelled" not in codes(findings)
    assert figures(job)[kitchen.id].openings_m2 == pytest.approx(1.44)


def test_window_whose_frame_fills_the_wall_takes_the_assumed_depth_and_says_so() -> None:
    hole = [(1000, 0), (2200, 0), (2200, 300), (1000, 300)]
    job, findings = two_rooms(opening("window", hole, 900, 2100, frame=(0, 300)))
    (window,) = job.storeys[0].openings
    assert (window.reveal.head.depth_mm, window.reveal.head.depth_source) == (150, "assumed")
    assert "reveal-not-modelled" in codes(findings)
    given = Settings(reveal_mm=90, given=frozenset({"reveal_mm"}))
    job, _ = propose_modelled(
        (drawing(storey(), space("01", KITCHEN), *OUTER, opening("window", hole, 900, 2100)),), given
    )
    assert job.storeys[0].openings[0].reveal.head.depth_mm == 90


def test_door_between_two_rooms_is_hosted_once_and_seen_from_both() -> None:
    job, _ = two_rooms(opening("door", [(4300, 2900), (4300, 2000), (4400, 2000), (4400, 2900)], 0, 2040))
    assert len(job.storeys[0].openings) == 1
    measured = figures(job)
    assert [r.openings_m2 for r in measured.values()] == pytest.approx([0.9 * 2.04, 0.9 * 2.04])


def test_door_that_begins_below_the_finished_floor_begins_at_it() -> None:
    job, _ = propose_modelled(
        (
            drawing(
                storey(),
                space("01", KITCHEN, floor=20, top=2520),
                *OUTER,
                opening("door", [(1000, 0), (1900, 0), (1900, 300), (1000, 300)], 0, 2040),
            ),
        )
    )
    (door,) = job.storeys[0].openings
    assert (door.sill_mm, door.head_mm) == (20, 2040)
    assert "opening-below-floor" not in codes(check(job))


def test_window_wider_than_one_room_is_shared_by_the_rooms_behind_it() -> None:
    job, _ = two_rooms(opening("window", [(3800, 0), (5400, 0), (5400, 300), (3800, 300)], 900, 2100))
    widths = {o.room: o.width_mm for o in job.storeys[0].openings}
    kitchen, hall = rooms(job)
    assert widths == {kitchen.id: pytest.approx(500), hall.id: pytest.approx(1000)}


def test_opening_in_no_room_is_told() -> None:
    job, findings = two_rooms(opening("window", box(20000, 0, 21000, 300), 900, 2100))
    assert job.storeys[0].openings == ()
    assert "opening-in-no-room" in codes(findings)


def test_round_and_odd_holes_are_known_by_their_area() -> None:
    hole = [(1000, 0), (2000, 0), (2000, 300), (1000, 300)]
    job, _ = two_rooms(opening("window", hole, 900, 1900, face=math.pi / 4 * 1e6))
    assert job.storeys[0].openings[0].shape == "round"
    job, _ = two_rooms(opening("window", hole, 900, 1900, face=0.6e6))
    assert job.storeys[0].openings[0].confidence == "check"


def test_spaces_that_touch_are_joined_by_open_sides_split_where_the_border_ends() -> None:
    # The second space is 1000 shorter, so the first one's side is open over 3400 and wall over 1000.
    job, _ = propose_modelled(
        (drawing(storey(), space("01", box(0, 0, 4000, 4400)), space("02", box(4000, 1000, 7000, 4400))),)
    )
    first, second = rooms(job)
    assert sorted(s.kind for s in first.outline) == ["open", "wall", "wall", "wall", "wall"]
    assert sorted(s.kind for s in second.outline) == ["open", "wall", "wall", "wall"]
    measured = figures(job)
    assert measured[first.id].perimeter_m == pytest.approx(4.0 + 1.0 + 4.0 + 4.4)
    assert measured[second.id].perimeter_m == pytest.approx(3.0 + 3.4 + 3.0)


def test_spaces_that_meet_in_the_middle_of_a_wall_are_not_joined_but_told() -> None:
    middle = [space("01", box(0, 0, 4000, 4000)), space("02", box(4000, 0, 8000, 4000))]
    job, findings = propose_modelled(
        (
            drawing(
                storey(),
                *middle,
                wall(box(3950, 0, 4050, 4000), "no"),
                wall(box(-50, -50, 8050, 50)),
                wall(box(-50, 3950, 8050, 4050)),
            ),
        )
    )
    assert {s.kind for r in rooms(job) for s in r.outline} == {"wall"}
    assert "space-in-wall" in codes(findings)
    assert {r.confidence for r in rooms(job)} == {"check"}


def test_ridge_is_the_lowest_of_two_planes() -> None:
    plan = box(0, 0, 6000, 4000)
    slopes = [
        plane("ceiling", box(0, 0, 6000, 2000), 1200, (0, 0.6), (0, 0), 0),
        plane("ceiling", box(0, 2000, 6000, 4000), 1200, (0, -0.6), (0, 4000), 1),
    ]
    job, _ = propose_modelled((drawing(storey(), space("01", plan, top=2400, ceilings=slopes)),))
    (room,) = rooms(job)
    assert room.ceiling is not None
    assert (len(room.ceiling.planes), room.ceiling.regions) == (2, ())
    (measured,) = figures(job).values()
    assert measured.ceiling_m2 == pytest.approx(24 * math.hypot(1, 0.6))
    assert (measured.height_min_mm, measured.height_max_mm) == pytest.approx((1200, 2400))


def test_bulkhead_is_a_region_of_the_ceiling() -> None:
    # The room of 4000 by 3000 with boxing 600 wide and 300 deep: worked by hand as case C.
    plan = box(0, 0, 4000, 3000)
    parts = [
        plane("ceiling", box(0, 0, 4000, 2400), 2400, piece=0),
        plane("ceiling", box(0, 2400, 4000, 3000), 2100, piece=1),
    ]
    job, _ = propose_modelled((drawing(storey(), space("01", plan, top=2400, ceilings=parts)),))
    (measured,) = figures(job).values()
    assert measured.ceiling_m2 == pytest.approx(12.0)
    assert measured.drop_m2 == pytest.approx(1.2)
    assert measured.wall_gross_m2 == pytest.approx(32.04)


def test_coffer_in_the_middle_of_a_ceiling_is_a_region_in_a_hole() -> None:
    plan = box(0, 0, 5000, 4000)
    hole = box(1000, 1000, 4000, 3000)
    parts = [
        plane("ceiling", plan, 2400, piece=0),
        plane("ceiling", list(reversed(hole)), 2400, piece=0),
        plane("ceiling", hole, 2600, piece=1),
    ]
    job, _ = propose_modelled((drawing(storey(), space("01", plan, top=2600, ceilings=parts)),))
    (measured,) = figures(job).values()
    assert measured.ceiling_m2 == pytest.approx(20.0)
    assert measured.drop_m2 == pytest.approx(2 * (3 + 2) * 0.2)


def test_round_room_in_facets_is_measured_as_a_circle() -> None:
    job, _ = propose_modelled((drawing(storey(), space("01", circle(0, 0, 3000, 48))),))
    (measured,) = figures(job).values()
    assert measured.floor_m2 == pytest.approx(math.pi * 9)
    assert measured.perimeter_m == pytest.approx(2 * math.pi * 3)


def test_pier_in_a_room_is_an_inner_ring() -> None:
    job, _ = propose_modelled(
        (drawing(storey(), space("01", box(0, 0, 5000, 4000), inner=[box(2000, 1500, 2400, 1900)])),)
    )
    (measured,) = figures(job).values()
    assert measured.floor_m2 == pytest.approx(20 - 0.16)
    assert measured.perimeter_m == pytest.approx(18 + 1.6)


def test_spaces_that_are_no_rooms_are_left_out_and_told() -> None:
    job, findings = propose_modelled(
        (
            drawing(
                storey(),
                space("01", KITCHEN),
                space("02", HALL),
                space("F", box(0, 0, 8000, 5000), name="Flat"),
                space("T", box(10000, 0, 14000, 3000), name="Terrace"),
                space("X", box(20000, 0, 21000, 900), exterior=True),
                *OUTER,
                PARTITION,
            ),
        )
    )
    assert [r.number for r in rooms(job)] == ["01", "02"]
    told = " ".join(f.evidence for f in findings if f.code == "space-left-out")
    assert all(word in told for word in ("F Flat", "T Terrace", "X Room"))


def test_spaces_of_a_model_without_walls_are_to_be_checked() -> None:
    """As a model of pipes and cables writes them: nothing in it tells where doors and windows are."""
    job, _ = propose_modelled((drawing(storey(), space("01", KITCHEN), space("02", HALL)),))
    assert [(r.number, r.confidence) for r in rooms(job)] == [("01", "check"), ("02", "check")]
    assert all("the model has no walls" in " ".join(r.evidence) for r in rooms(job))
    walled, _ = two_rooms()
    assert all(r.confidence == "sure" for r in rooms(walled))


def test_name_that_is_written_in_a_spaces_number_too_is_said_once() -> None:
    job, _ = propose_modelled((drawing(storey(), space("1 - Kitchen", KITCHEN, name="Kitchen"), *OUTER),))
    assert [(r.number, r.name) for r in rooms(job)] == [("1", "Kitchen")]


def test_quantities_that_differ_from_the_solids_are_told_once() -> None:
    job, findings = propose_modelled(
        (drawing(storey(), space("01", KITCHEN, area=19.0), space("02", HALL, area=14.52), *OUTER, PARTITION),)
    )
    (told,) = [f for f in findings if f.code == "quantity-differs"]
    assert "1 of 2 spaces" in f"{told.text} {told.evidence}"
    assert "19.00 m²" in f"{told.text} {told.evidence}"
    assert "17.60 m²" in f"{told.text} {told.evidence}"
    assert rooms(job)[0].printed_area_m2 == 19.0


def test_two_storeys_are_one_job_with_their_levels() -> None:
    job, _ = propose_modelled(
        (
            drawing(storey("G", 0, 3000), space("01", KITCHEN), *OUTER),
            drawing(storey("U", 3000), space("11", KITCHEN), *OUTER),
        )
    )
    assert [(s.id, s.name, s.level_mm, s.height_mm) for s in job.storeys] == [
        ("1", "G", 0, 2500),
        ("2", "U", 3000, 2500),
    ]
    assert [r.id for r in rooms(job)] == ["r1", "r2"]


def test_stairwell_is_open_to_the_landing_above_and_says_so() -> None:
    stair = space("S", box(0, 0, 2000, 4000), top=5500, name="Stair")
    landing = space("L", box(2000, 0, 5000, 4000), name="Landing")
    job, findings = propose_modelled((drawing(storey("G", 0, 3000), stair), drawing(storey("U", 3000), landing)))
    opened = [s for r in rooms(job) for s in r.outline if s.kind == "open"]
    assert len(opened) == 2
    assert (opened[0].open_from_mm, opened[0].open_to_mm) == (3000, 5500)
    assert "open-between-storeys" in codes(findings)


def test_stairwell_through_three_storeys_leaves_the_edges_of_the_floors_as_wall() -> None:
    """2000 × 4000 and 8500 high, open over 4000 to three rooms each 2500 high: 12 × 8.5 − 3 × 4 × 2.5."""
    stair = space("S", box(0, 0, 2000, 4000), top=8500, name="Stair")
    hall = space("H", box(2000, 0, 5000, 4000), name="Hall")
    first = space("L1", box(2000, 0, 5000, 4000), name="Landing")
    second = space("L2", box(2000, 0, 5000, 4000), name="Attic")
    job, _ = propose_modelled(
        (
            drawing(storey("G", 0, 3000), stair, hall),
            drawing(storey("U", 3000, 3000), first),
            drawing(storey("A", 6000), second),
        )
    )
    walls = {r.name: r.wall_net_m2 for r in figures(job).values()}
    assert walls == pytest.approx({"Stair": 72.0, "Hall": 25.0, "Landing": 25.0, "Attic": 25.0})
    ways = [(o.sill_mm, o.head_mm) for o in job.storeys[0].openings]
    assert ways == [(0, 2500), (3000, 5500), (6000, 8500)]


def test_stairwell_of_a_space_per_storey_is_to_be_checked_for_the_ceiling_that_is_not_there() -> None:
    plan = box(0, 0, 2000, 4000)
    walls = [
        wall(box(*b), "yes")
        for b in ((-300, -300, 5300, 0), (-300, 4000, 5300, 4300), (-300, 0, 0, 4000), (5000, 0, 5300, 4000))
    ]
    walls.append(wall(box(2000, 0, 2100, 4000), "no"))
    job, _ = propose_modelled(
        (
            drawing(
                storey("G", 0, 3000),
                space("S0", plan, top=3000, name="Treppenhaus"),
                space("K", box(2100, 0, 5000, 4000), name="Kitchen"),
                *walls,
            ),
            drawing(
                storey("U", 3000),
                space("S1", plan, name="Treppenhaus"),
                space("B", box(2100, 0, 5000, 4000), name="Bath"),
                *walls,
            ),
        )
    )
    found = {(r.name, r.confidence) for r in rooms(job)}
    assert found == {("Treppenhaus", "check"), ("Treppenhaus", "sure"), ("Kitchen", "sure"), ("Bath", "sure")}
    (low,) = [r for r in rooms(job) if r.confidence == "check"]
    assert "8.0 m² of its ceiling" in low.evidence[-1]


def test_model_without_spaces_gives_what_its_walls_enclose_but_nothing_sure() -> None:
    job, findings = propose_modelled(
        (
            drawing(
                storey(),
                *OUTER,
                PARTITION,
                opening("door", [(4300, 2900), (4300, 2000), (4400, 2000), (4400, 2900)], 0, 2040),
            ),
        )
    )
    measured = figures(job)
    assert sorted(r.floor_m2 for r in measured.values()) == pytest.approx([3.3 * 4.4, 4.0 * 4.4])
    assert {r.confidence for r in rooms(job)} == {"check"}
    assert job.storeys[0].height_mm == 2700
    assert "spaces-missing" in codes(findings)
    assert [o.kind for o in job.storeys[0].openings] == ["door"]


def test_what_walls_enclose_without_a_door_is_a_question() -> None:
    job, _ = propose_modelled((drawing(storey(), *OUTER),))
    assert [r.confidence for r in rooms(job)] == ["question"]


def test_no_drawings_and_no_walls_say_that_nothing_was_found() -> None:
    job, findings = propose_modelled(())
    assert job.storeys == ()
    assert [f.severity for f in findings] == ["error"]
    job, findings = propose_modelled((drawing(storey()),))
    assert job.storeys == ()
    assert ("spaces-missing", "error") in {(f.code, f.severity) for f in findings}


def test_far_from_the_origin_nothing_changes() -> None:
    far = 4e6
    moved = [[(x + far, y + far) for x, y in points] for points in (KITCHEN, HALL)]
    job, _ = propose_modelled(
        (
            drawing(
                storey(),
                space("01", moved[0]),
                space("02", moved[1]),
                *[
                    wall([(x + far, y + far) for x, y, _ in w.ring], dict(w.words)["external"])
                    for w in (*OUTER, PARTITION)
                ],
            ),
        )
    )
    assert [r.floor_m2 for r in figures(job).values()] == pytest.approx([17.6, 14.52], rel=1e-9)


def test_window_in_a_round_wall_is_hosted_on_its_arc() -> None:
    hole = [(-500, -3300), (500, -3300), (500, -2900), (-500, -2900)]
    claim = opening("window", hole, 900, 2100, frame=(0, 50))
    job, _ = propose_modelled((drawing(storey(), space("01", circle(0, 0, 3000, 48)), claim),))
    (window,) = job.storeys[0].openings
    # The hole's corners look at 2 atan(500 / 3300) of the circle, so at that much of its arc.
    assert window.width_mm == pytest.approx(2 * math.atan(500 / 3300) * 3000)
    (measured,) = figures(job).values()
    assert measured.openings_m2 == pytest.approx(window.width_mm / 1000 * 1.2)


def test_glazing_through_two_storeys_is_a_window_of_both() -> None:
    tall = opening("window", [(1000, 0), (3000, 0), (3000, 300), (1000, 300)], 0, 5600)
    job, _ = propose_modelled(
        (
            drawing(storey("G", 0, 3000), space("01", KITCHEN), *OUTER, tall),
            drawing(storey("U", 3000), space("11", KITCHEN), *OUTER),
        )
    )
    heights = [[(o.sill_mm, o.head_mm) for o in s.openings] for s in job.storeys]
    assert heights == [[(0, 2500)], [(0, 2500)]]
    assert [f.text for f in check(job) if f.severity == "error"] == []


def test_turned_by_17_degrees_and_far_away_nothing_changes() -> None:
    sine, cosine = math.sin(math.radians(17)), math.cos(math.radians(17))

    def turned(points: object) -> list[tuple[float, float]]:
        return [(4e6 + x * cosine - y * sine, 4e6 + x * sine + y * cosine) for x, y, *_ in points]  # type: ignore[attr-defined]

    def plan(turn: object) -> Job:
        window = [(1000, 0), (2200, 0), (2200, 300), (1000, 300)]
        door = [(4300, 2900), (4300, 2000), (4400, 2000), (4400, 2900)]
        place = turned if turn else list
        job, findings = propose_modelled(
            (
                drawing(
                    storey(),
                    space("01", place(KITCHEN)),
                    space("02", place(box(4400, 300, 6000, 4700))),
                    space("03", place(box(6000, 300, 7700, 4700))),
                    *[wall([p[:2] for p in place(w.ring)], dict(w.words)["external"]) for w in (*OUTER, PARTITION)],
                    opening("window", place(window), 900, 2100, frame=(100, 170)),
                    opening("door", place(door), 0, 2040),
                ),
            )
        )
        assert findings == ()
        return job

    straight, slanting = measure(plan(False)).totals, measure(plan(True)).totals
    assert straight["openings_m2"] == pytest.approx(1.44 + 2 * 0.9 * 2.04)
    assert slanting == pytest.approx(straight, rel=1e-8)


def test_floors_that_differ_by_a_finish_leave_no_wall_to_coat_between_joined_rooms() -> None:
    job, _ = propose_modelled(
        (
            drawing(
                storey(), space("01", box(0, 0, 4000, 3000), floor=13), space("02", box(4000, 0, 8000, 3000), floor=19)
            ),
        )
    )
    tiled, _ = figures(job).values()
    # Three walls of 4 + 3 + 4 m; the strip of 3 m by 6 mm towards the other floor is not coated.
    assert tiled.wall_net_m2 == pytest.approx(11 * 2.487)
    assert tiled.not_coated_m2 == pytest.approx(3 * 0.006)
    assert tiled.floor_edge_m == pytest.approx(11)


@pytest.mark.parametrize("points", [
    [(4300, 2900), (4300, 2000), (4400, 2000), (4400, 2900)],
    [(4400, 2000), (4400, 2900), (4300, 2900), (4300, 2000)],
    [(4300, 2000), (4300, 2900), (4400, 2900), (4400, 2000)],
])  # fmt: skip
@pytest.mark.parametrize("axis", [(0.0, 1.0), (0.0, -1.0)])
@pytest.mark.parametrize("operation", ["SINGLE_SWING_LEFT", "SINGLE_SWING_RIGHT"])
def test_leaf_hangs_and_opens_as_the_model_says(operation, axis, points) -> None:
    """Left and right as one looks the way the door opens, which is along its own y axis, left of its x axis."""
    job, _ = two_rooms(opening("door", points, 0, 2040, operation=operation, axis=axis))
    (door,) = job.storeys[0].openings
    (leaf,) = door.swings
    _, side = edits.side_curve(job, door.room, door.side)
    hinge_y = side.at(door.offset_mm + (0.0 if leaf.hinge == "start" else door.width_mm))[1]
    north_is_right = axis[1] > 0
    assert hinge_y == pytest.approx(2900.0 if north_is_right == operation.endswith("RIGHT") else 2000.0)
    host = next(room.name for room in rooms(job) if room.id == door.room)
    opens_into_kitchen = axis[1] > 0  # to the west
    assert (leaf.into == "host") == ((host == "Kitchen") == opens_into_kitchen)


def test_two_leaves_hang_on_both_jambs_and_what_slides_or_lies_across_its_wall_has_none() -> None:
    place = [(4300, 2900), (4300, 2000), (4400, 2000), (4400, 2900)]

    def swings(operation: str, axis: tuple[float, float]) -> tuple[Swing, ...]:
        job, _ = two_rooms(opening("door", place, 0, 2040, operation=operation, axis=axis))
        return job.storeys[0].openings[0].swings

    both = swings("DOUBLE_DOOR_SINGLE_SWING", (0.0, 1.0))
    assert [leaf.hinge for leaf in both] == ["start", "end"]
    assert len({leaf.into for leaf in both}) == 1
    assert (
        swings("SLIDING_TO_LEFT", (0.0, 1.0)) == swings("SINGLE_SWING_LEFT", (1.0, 0.0)) == swings("", (0.0, 1.0)) == ()
    )
