"""Rooms, names, printed areas and gaps on small plans that can be checked by hand."""

from __future__ import annotations

import pytest
from drawn import Sheet, two_rooms

from takeoff.errors import Finding
from takeoff.geometry.rings import ring_area
from takeoff.plan.model import Job, Room
from takeoff.recognise import Settings, propose


def rooms(job: Job) -> list[Room]:
    return [room for storey in job.storeys for room in storey.rooms]


def area_m2(room: Room) -> float:
    rings = [room.outline, *room.inner]
    areas = [abs(ring_area(tuple((s.x_mm, s.y_mm, s.bulge) for s in ring))) for ring in rings]
    return (areas[0] - sum(areas[1:])) / 1e6


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [f.code for f in findings]


def test_a_closed_room_is_sure_and_has_four_sides_anticlockwise() -> None:
    job, findings = propose(Sheet().box(-300, -300, 4300, 3300).box(0, 0, 4000, 3000).word("Bad", 2000, 1500).drawing())
    (room,) = rooms(job)
    assert (room.name, room.confidence) == ("Bad", "sure")
    assert area_m2(room) == pytest.approx(12.0)
    assert [s.id for s in room.outline] == ["s1", "s2", "s3", "s4"]
    assert ring_area(tuple((s.x_mm, s.y_mm, s.bulge) for s in room.outline)) > 0
    assert codes(findings) == []


def test_a_door_gap_with_its_swing_parts_two_sure_rooms() -> None:
    job, _ = propose(two_rooms().drawing())
    found = {r.name: r for r in rooms(job)}
    assert {n: round(area_m2(r), 6) for n, r in found.items()} == {"Kitchen": 12.0, "Hall": 9.0}
    assert {r.confidence for r in found.values()} == {"sure"}
    (door,) = job.storeys[0].openings
    assert (door.kind, door.confidence, door.width_mm) == ("door", "sure", pytest.approx(900))
    assert door.reveal.head.depth_mm == 0


def test_a_plain_gap_is_closed_but_the_rooms_are_to_be_checked() -> None:
    job, findings = propose(two_rooms(door=False).drawing())
    assert {(r.name, r.confidence) for r in rooms(job)} == {("Kitchen", "check"), ("Hall", "check")}
    (way,) = job.storeys[0].openings
    assert (way.kind, way.confidence) == ("open", "check")
    assert way.reveal.head.depth_mm == pytest.approx(100)
    assert codes(findings).count("room-to-check") == 2


def test_a_wide_gap_joins_two_named_spaces_into_one_open_plan() -> None:
    sheet = Sheet().box(-300, -300, 8400, 3300)
    sheet.ring(
        (0, 0),
        (4000, 0),
        (4000, 500),
        (4100, 500),
        (4100, 0),
        (8100, 0),
        (8100, 3000),
        (4100, 3000),
        (4100, 2900),
        (4000, 2900),
        (4000, 3000),
        (0, 3000),
    )
    job, _ = propose(sheet.word("Living", 2000, 1500).word("Kitchen", 6000, 1500).drawing())
    (room,) = rooms(job)
    assert sorted(room.name.split(" / ")) == ["Kitchen", "Living"]
    assert any("open plan" in line for line in room.evidence)


def test_corners_five_mm_apart_are_one_corner() -> None:
    sheet = Sheet()
    for line in ((0, 0, 3996, 0), (4000, 3, 4000, 2997), (3996, 3000, 2, 3000), (0, 2997, 0, 3)):
        sheet.line(*line)
    for line in (
        (-200, -200, 4200, -200),
        (4200, -200, 4200, 3200),
        (4200, 3200, -200, 3200),
        (-200, 3200, -200, -200),
    ):
        sheet.line(*line)
    (room,) = rooms(propose(sheet.word("Store", 2000, 1500).drawing())[0])
    assert area_m2(room) == pytest.approx(12.0, rel=2e-3)
    assert len(room.outline) == 4


def test_a_printed_area_within_its_rounding_agrees_and_one_beyond_is_reported_at_its_place() -> None:
    sheet = two_rooms().word("12.0 m²", 1500, 1200).word("9.2 m2", 5500, 1200)
    job, findings = propose(sheet.drawing())
    assert {r.name: r.printed_area_m2 for r in rooms(job)} == {"Kitchen": 12.0, "Hall": 9.2}
    (finding,) = [f for f in findings if f.code == "printed-area-differs"]
    assert (finding.severity, finding.where.x_mm, finding.where.y_mm) == ("check", 5500, 1200)
    assert "9.2 m2" in f"{finding.text} {finding.evidence}"
    assert "9.000 m²" in f"{finding.text} {finding.evidence}"


def test_a_label_outside_every_room_is_a_finding_with_its_place() -> None:
    _, findings = propose(two_rooms().word("Terrace", 9000, 1000).drawing())
    (finding,) = [f for f in findings if f.code == "label-in-no-room"]
    assert "1 label: “Terrace” at 9000, 1000" in f"{finding.text} {finding.evidence}"
    assert "“Terrace” at 9000, 1000" in f"{finding.text} {finding.evidence}"


def test_a_pier_is_an_inner_ring_clockwise() -> None:
    sheet = two_rooms().box(2000, 500, 2300, 800, layer="S-COLS")
    kitchen = next(r for r in rooms(propose(sheet.drawing())[0]) if r.name == "Kitchen")
    assert area_m2(kitchen) == pytest.approx(12.0 - 0.09)
    assert ring_area(tuple((s.x_mm, s.y_mm, s.bulge) for s in kitchen.inner[0])) < 0


def test_furniture_is_no_part_of_the_walls() -> None:
    sheet = two_rooms().box(500, 500, 1900, 1300, layer="A-FURN").box(4500, 0, 7100, 600, layer="Möbel")
    assert sorted(round(area_m2(r), 6) for r in rooms(propose(sheet.drawing())[0])) == [9.0, 12.0]


def test_a_bow_stays_an_arc() -> None:
    bulge = 0.25
    sheet = Sheet().ring((0, 0), (4000, 0), (4000, 3000, bulge), (0, 3000))
    sheet.ring((-200, -200), (4200, -200), (4200, 3200, bulge), (-200, 3200)).word("Bow", 2000, 1500)
    (room,) = rooms(propose(sheet.drawing())[0])
    assert len(room.outline) == 4
    assert [round(abs(s.bulge), 6) for s in room.outline if s.bulge] == [bulge]
    assert area_m2(room) == pytest.approx(ring_area(((0, 0, 0), (4000, 0, 0), (4000, 3000, bulge), (0, 3000, 0))) / 1e6)


@pytest.mark.parametrize("shift", [(4e6, -4e6), (1.758e9, 7.03e8), (5.0e8, 5.3e9)])
def test_a_drawing_far_off_or_in_the_grid_of_a_country_gives_the_same_rooms(shift: tuple[float, float]) -> None:
    near, far = two_rooms(), two_rooms()
    far.shift = shift
    for a, b in zip(rooms(propose(near.drawing())[0]), rooms(propose(far.drawing())[0]), strict=True):
        for p, q in zip(a.outline, b.outline, strict=True):
            assert (q.x_mm - shift[0], q.y_mm - shift[1]) == pytest.approx((p.x_mm, p.y_mm), abs=1e-5)


def test_only_the_layers_that_the_user_names_are_walls() -> None:
    sheet = Sheet().box(0, 0, 4000, 3000, layer="L7").box(-300, -300, 4300, 3300, layer="L7")
    sheet.line(2000, -300, 2000, 3300, layer="A-WALL").word("Store", 1000, 1000)
    (room,) = rooms(propose(sheet.drawing(), Settings(layers=("L7",)))[0])
    assert area_m2(room) == pytest.approx(12.0)


def test_names_count_whatever_layers_the_user_names_for_walls() -> None:
    sheet = Sheet().box(0, 0, 4000, 3000, layer="L7").box(-300, -300, 4300, 3300, layer="L7")
    sheet.word("Store", 1000, 1000, "0").word("3450", 2000, 100, "A-ANNO-DIMS")
    (room,) = rooms(propose(sheet.drawing(), Settings(layers=("L7",)))[0])
    assert (room.name, room.number) == ("Store", "")


def test_layers_that_are_off_are_not_used() -> None:
    sheet = two_rooms().line(2000, 0, 2000, 3000, "A-WALL-OLD")
    sheet.off = {"A-WALL-OLD"}
    assert len(rooms(propose(sheet.drawing())[0])) == 2


def test_a_written_ceiling_height_is_figured_and_settings_not_given_are_assumed() -> None:
    sheet = two_rooms().word("CH 2.60", 1500, 900)
    job, _ = propose(sheet.drawing(), Settings(storey_height_mm=2700, given=frozenset({"storey_height_mm"})))
    kitchen = next(r for r in rooms(job) if r.name == "Kitchen")
    assert kitchen.ceiling is not None
    assert (kitchen.ceiling.planes[0].z_mm, kitchen.ceiling.source) == (2600, "figured")
    assert job.storeys[0].height_source == "typed"
    assert job.storeys[0].openings[0].head_source == "assumed"


def test_a_drawing_without_linework_gives_no_room_and_says_so() -> None:
    job, findings = propose(Sheet().word("Hall", 0, 0).drawing())
    assert job.storeys == ()
    assert codes(findings) == ["no-room-found"]


def test_the_building_is_the_outer_border_of_its_walls() -> None:
    (ring,) = propose(two_rooms().drawing())[0].storeys[0].building
    assert sorted((round(x), round(y)) for x, y, _ in ring) == [(-300, -300), (-300, 3300), (7400, -300), (7400, 3300)]


def thin_partition(swing: bool) -> Sheet:
    """Thick outer walls, and a partition that is one line with a doorway of 900."""
    sheet = Sheet().box(-300, -300, 8300, 3300).box(0, 0, 8000, 3000)
    sheet.line(4000, 0, 4000, 1000).line(4000, 1900, 4000, 3000)
    sheet.word("Post", 2000, 1500).word("Copy", 6000, 1500)
    if swing:
        sheet.line(4000, 1000, 3100, 1000, "A-DOOR")
        sheet.arcs.append((4000, 1900, 3100, 1000, 0.41421356237, "A-DOOR"))
    return sheet


@pytest.mark.parametrize("swing", [True, False])
def test_a_single_line_among_thick_walls_parts_two_rooms(swing: bool) -> None:
    job, _ = propose(thin_partition(swing).drawing())
    assert {r.name: round(area_m2(r), 6) for r in rooms(job)} == {"Post": 12.0, "Copy": 12.0}
    (door,) = job.storeys[0].openings
    assert (door.kind, door.width_mm) == ("door" if swing else "open", pytest.approx(900))


def test_a_door_drawn_on_the_wall_layer_takes_nothing_from_its_room() -> None:
    sheet = two_rooms(door=False).line(4000, 1000, 3100, 1000)
    sheet.arcs.append((4000, 1900, 3100, 1000, 0.41421356237, "A-WALL"))
    job, _ = propose(sheet.drawing())
    assert {r.name: round(area_m2(r), 6) for r in rooms(job)} == {"Kitchen": 12.0, "Hall": 9.0}
    assert [o.kind for o in job.storeys[0].openings] == ["door"]


def test_everything_on_one_meaningless_layer_is_read_as_well() -> None:
    sheet = two_rooms()
    sheet.segments = [(*row[:4], "0") for row in sheet.segments]
    sheet.arcs = [(*row[:5], "0") for row in sheet.arcs]
    sheet.loops = [(ring, "0") for ring, _ in sheet.loops]
    sheet.box(500, 500, 1900, 1300, layer="0")
    job, _ = propose(sheet.drawing())
    assert {r.name: round(area_m2(r), 6) for r in rooms(job)} == {"Kitchen": 12.0, "Hall": 9.0}


def test_a_court_inside_a_ring_of_corridor_is_not_sure() -> None:
    sheet = Sheet().box(-300, -300, 12300, 12300).box(0, 0, 12000, 12000)
    sheet.box(3000, 3000, 9000, 9000).box(3300, 3300, 8700, 8700).word("Corridor", 1500, 1500)
    found = rooms(propose(sheet.drawing())[0])
    assert {(r.name, r.confidence, round(area_m2(r), 3)) for r in found} == {
        ("Corridor", "sure", 108.0),
        ("", "check", 29.16),
    }


def test_a_sheet_frame_round_the_plan_is_no_room() -> None:
    sheet = two_rooms().box(-5000, -5000, 15000, 9000, layer="A-WALL")
    assert sorted(r.name for r in rooms(propose(sheet.drawing())[0])) == ["Hall", "Kitchen"]


def test_windows_are_measured_where_glass_is_drawn_in_a_gap() -> None:
    sheet = Sheet().ring(
        (-300, -300),
        (1000, -300),
        (1000, 0),
        (0, 0),
        (0, 3000),
        (4000, 3000),
        (4000, 0),
        (2200, 0),
        (2200, -300),
        (4300, -300),
        (4300, 3300),
        (-300, 3300),
    )
    for y in (-200, -150, -100):
        sheet.line(1000, y, 2200, y, "A-GLAZ")
    job, _ = propose(sheet.word("Bed", 2000, 1500).drawing(), Settings(reveal_mm=120))
    (room,) = rooms(job)
    assert (room.confidence, round(area_m2(room), 6)) == ("sure", 12.0)
    (window,) = job.storeys[0].openings
    assert (window.kind, window.confidence, window.width_mm) == ("window", "sure", pytest.approx(1200))
    assert window.reveal.start.depth_mm == 120
    assert window.reveal.sill.coat is False
    side = next(s for s in room.outline if s.id == window.side)
    assert (side.x_mm + window.offset_mm, side.y_mm) == (1000, 0)


def test_two_lines_across_a_wall_are_a_question() -> None:
    sheet = Sheet().box(-300, -300, 4300, 3300).box(0, 0, 4000, 3000).word("Bed", 2000, 1500)
    sheet.line(1000, -300, 1000, 0).line(2200, -300, 2200, 0)
    (opening,) = propose(sheet.drawing())[0].storeys[0].openings
    assert (opening.kind, opening.confidence, opening.width_mm) == ("window", "question", pytest.approx(1200))


def test_a_mark_and_a_size_beside_a_door_are_its_own() -> None:
    sheet = two_rooms().word("D01", 4400, 1500, "A-DOOR-IDEN").word("900x2100", 4400, 1350, "A-DOOR-IDEN")
    (door,) = propose(sheet.drawing())[0].storeys[0].openings
    assert (door.mark, door.head_mm, door.head_source) == ("D01", 2100, "figured")


def test_no_room_is_made_of_walls_that_are_to_be_demolished() -> None:
    sheet = two_rooms().line(2000, 0, 2000, 3000, "A-WALL-DEMO").box(10000, 0, 13000, 3000, layer="Abbruch")
    assert sorted(r.name for r in rooms(propose(sheet.drawing())[0])) == ["Hall", "Kitchen"]


def one_room(*words: tuple[str, float]) -> Room:
    """The room of 4.00 × 3.00 m in which these words stand at these heights of the sheet."""
    sheet = Sheet().box(-300, -300, 4300, 3300).box(0, 0, 4000, 3000)
    for text, y in words:
        sheet.word(text, 2000, y)
    (room,) = rooms(propose(sheet.drawing())[0])
    return room


def test_names_of_an_open_plan_are_read_from_the_top_and_make_it_one_to_check() -> None:
    room = one_room(("Dining", 800), ("Living", 2400))
    assert (room.name, room.confidence) == ("Living / Dining", "check")
    room = one_room(("Living", 2400), ("Dining", 1600), ("12.0 m²", 800))
    assert (room.name, room.confidence) == ("Living / Dining", "sure")


@pytest.mark.parametrize(
    ("printed", "confidence"),
    [("12.00 m²", "sure"), ("12.05 m²", "sure"), ("12.20 m²", "check"), ("11.80 m²", "check")],
)
def test_an_area_printed_half_a_percent_off_leaves_a_room_sure_and_more_does_not(printed: str, confidence: str) -> None:
    room = one_room(("Bad", 2000), (printed, 1000))
    assert (room.confidence, room.printed_area_m2) == (confidence, float(printed.split()[0]))


def test_two_ceiling_heights_in_one_room_are_believed_neither() -> None:
    assert one_room(("Bad", 2400), ("CH 2.60", 800)).ceiling is not None
    assert one_room(("Bad", 2400), ("CH 2.60", 800), ("CH 2.40", 1600)).ceiling is None


def test_rooms_behind_a_plain_gap_are_one_where_one_of_two_areas_printed_is_that_of_both() -> None:
    """A washroom and what lies before it: 12.00 + 9.00 m² and 0.1 × 0.9 m between, with the area to the middle of
    the walls printed beside."""
    sheet = two_rooms(door=False)
    sheet.words = [
        ("Lobby", 5500, 1500, "T"),
        ("Washroom", 1500, 1800, "T"),
        ("21.09 m²", 1500, 1500, "T"),
        ("23.40 m²", 1500, 1200, "T"),
    ]
    (room,) = rooms(propose(sheet.drawing())[0])
    assert area_m2(room) == pytest.approx(21.09)
