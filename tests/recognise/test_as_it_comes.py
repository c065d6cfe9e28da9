"""Plans as they come by mail: wide ways, sills, masonry, leaves that slide or fold, treads among walls."""

from __future__ import annotations

import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, codes, rooms

from takeoff.plan.model import Job, Opening
from takeoff.recognise import propose


def areas(job: Job) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(job))


def lone(job: Job) -> Opening:
    (opening,) = job.storeys[0].openings
    return opening


def parted(lower: float, upper: float, width: float = 4000, deep: float = 3800) -> Sheet:
    """Two rooms of ``width`` with a partition of 100 between them that is open from ``lower`` to ``upper``."""
    sheet = Sheet().box(-300, -300, 2 * width + 400, deep + 300)
    points = [(0, 0), (width, 0), (width, lower), (width + 100, lower), (width + 100, 0), (2 * width + 100, 0)]
    points += [(2 * width + 100, deep), (width + 100, deep), (width + 100, upper), (width, upper)]
    points += [(width, deep), (0, deep)]
    return sheet.ring(*points)


def test_wall_ends_in_line_close_up_to_three_metres_where_both_are_walls() -> None:
    job, _ = propose(parted(700, 3100).word("Living", 2000, 1900).word("Kitchen", 6000, 1900).drawing())
    assert areas(job) == [15.2, 15.2]
    assert {r.confidence for r in rooms(job)} == {"check"}
    job, _ = propose(parted(700, 3700).word("Living", 2000, 1900).word("Kitchen", 6000, 1900).drawing())
    assert len(rooms(job)) == 1


def test_a_post_in_line_with_a_wall_and_as_thick_is_a_piece_of_it() -> None:
    sheet = parted(1000, 2800).word("Living", 2000, 3500).word("Kitchen", 6000, 3500)
    sheet.box(4000, 1800, 4100, 2000)
    assert areas(propose(sheet.drawing())[0]) == [15.2, 15.2]


def test_a_room_ends_at_the_sill_that_is_drawn_across_the_reveal_of_its_window() -> None:
    sheet = Sheet()
    sheet.line(-400, -400, 4400, -400).line(4400, -400, 4400, 3400).line(4400, 3400, -400, 3400)
    sheet.line(-400, 3400, -400, 2200).line(-400, 800, -400, -400).box(0, 0, 4000, 3000)
    sheet.line(-400, 2200, 0, 2200).line(-400, 800, 0, 800)
    sheet.line(-400, 2250, -500, 2250).line(-500, 2250, -500, 750).line(-500, 750, -400, 750)
    job, _ = propose(sheet.drawing())
    assert areas(job) == [12.0]
    assert [(o.kind, round(o.width_mm)) for o in job.storeys[0].openings] == [("window", 1400)]


def test_closed_masonry_and_shafts_without_a_way_in_are_told_and_are_no_rooms() -> None:
    sheet = two_rooms().box(7400, -300, 9000, 900).box(7400, 900, 9600, 3300)
    sheet.words.clear()
    job, findings = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    assert "spaces-without-way-in" in codes(findings)


def test_a_printed_area_that_agrees_makes_a_room_sure_in_spite_of_a_plain_gap() -> None:
    sheet = two_rooms(door=False).word("12.00 m²", 1500, 1200)
    found = {r.name: r for r in rooms(propose(sheet.drawing())[0])}
    assert (found["Kitchen"].confidence, found["Hall"].confidence) == ("sure", "check")
    assert "closed across a plain gap in the wall, 900 mm wide" in found["Kitchen"].evidence


def test_two_spaces_whose_area_is_printed_for_both_are_one_room() -> None:
    sheet = two_rooms(door=False).word("21.09 m²", 1500, 1200)
    (room,) = rooms(propose(sheet.drawing())[0])
    assert (room.name, room.confidence, area_m2(room)) == ("Kitchen / Hall", "sure", pytest.approx(21.09))


def test_a_leaf_that_slides_along_the_wall_is_a_door() -> None:
    for sheet in (
        two_rooms(door=False).box(3940, 1880, 3980, 2800, layer="A-DOOR"),
        two_rooms(door=False).box(4040, 1850, 4060, 2750, layer="A-DOOR"),
    ):
        job, _ = propose(sheet.drawing())
        assert (lone(job).kind, lone(job).confidence) == ("door", "sure")
        assert {r.confidence for r in rooms(job)} == {"sure"}


def test_a_leaf_on_hinges_beside_a_gap_in_another_wall_is_no_sliding_one() -> None:
    job, _ = propose(parted(1000, 1900).word("Bed", 2000, 1900).word("Bath", 6000, 1900).drawing())
    assert lone(job).kind == "open"


def test_leaves_that_fold_from_both_jambs_are_a_door() -> None:
    sheet = two_rooms(door=False)
    for y, way in ((1000, 1), (1900, -1)):
        sheet.line(4000, y, 3750, y + way * 60, "A-DOOR").line(3750, y + way * 60, 4000, y + way * 200, "A-DOOR")
    job, _ = propose(sheet.drawing())
    assert (lone(job).kind, lone(job).confidence) == ("door", "sure")


def test_what_is_on_a_layer_of_all_openings_is_a_window_outside_and_a_door_inside() -> None:
    sheet = Sheet()
    for x in (0, 100):
        sheet.line(4000 + x, 1000, 4000 + x, 0).line(4000 + x, 1900, 4000 + x, 3000)
    sheet.line(4000, 1000, 4100, 1000).line(4000, 1900, 4100, 1900)
    sheet.line(0, 0, 4000, 0).line(4100, 0, 7100, 0).line(7100, 0, 7100, 3000).line(7100, 3000, 4100, 3000)
    sheet.line(4000, 3000, 0, 3000).line(0, 3000, 0, 2200).line(0, 1000, 0, 0).line(-300, 2200, 0, 2200)
    sheet.line(-300, 1000, 0, 1000).line(-300, 1000, -300, -300).line(-300, -300, 7400, -300)
    sheet.line(7400, -300, 7400, 3300).line(7400, 3300, -300, 3300).line(-300, 3300, -300, 2200)
    for x in (-200, -160):
        sheet.line(x, 1000, x, 2200, "A-OPENING")
    for x in (4020, 4080):
        sheet.line(x, 1000, x, 1900, "A-OPENING")
    job, _ = propose(sheet.word("Bed", 2000, 1500).word("Bath", 5600, 1500).drawing())
    assert sorted((o.kind, round(o.width_mm)) for o in job.storeys[0].openings) == [("door", 900), ("window", 1200)]


def test_swings_on_the_layer_of_windows_bound_no_room() -> None:
    sheet = two_rooms(door=False)
    sheet.line(4000, 1000, 3100, 1000, "Fenster")
    sheet.arcs.append((4000, 1900, 3100, 1000, 0.41421356237, "Fenster"))
    job, _ = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    assert lone(job).kind == "door"


def test_furniture_on_layers_that_say_nothing_is_not_tried_where_walls_are_named() -> None:
    sheet = two_rooms().box(0, 2700, 3000, 3000, layer="stuff").word("Yard", 3000, -1000)
    sheet.line(-300, -2000, 7400, -2000, "stuff").line(-300, -2000, -300, -300, "stuff")
    sheet.line(7400, -2000, 7400, -300, "stuff")
    found = {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}
    assert found == {"Kitchen": 12.0, "Hall": 9.0}


def test_treads_on_the_layer_of_walls_part_no_room() -> None:
    sheet = two_rooms()
    for k in range(9):
        sheet.line(4100, 300 + 300 * k, 7100, 300 + 300 * k)
    found = {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}
    assert found == {"Kitchen": 12.0, "Hall": 9.0}


def test_the_lines_of_one_name_are_one_name() -> None:
    sheet = two_rooms().word("Master", 1500, 2400).word("Bedroom", 1500, 2150)
    sheet.words = [w for w in sheet.words if w[0] != "Kitchen"]
    found = {r.name: r.confidence for r in rooms(propose(sheet.drawing())[0])}
    assert found == {"Master Bedroom": "sure", "Hall": "sure"}


def test_walls_of_two_lines_all_round_and_a_door_show_a_room_without_a_word() -> None:
    sheet = two_rooms()
    sheet.words.clear()
    sheet.segments = [(*row[:4], "0") for row in sheet.segments]
    sheet.arcs = [(*row[:5], "0") for row in sheet.arcs]
    job, _ = propose(sheet.drawing())
    assert [(round(area_m2(r)), r.confidence) for r in rooms(job)] == [(12, "sure"), (9, "sure")]


def test_two_side_lights_across_an_entrance_are_no_row_of_mullions() -> None:
    sheet = Sheet().ring((0, 0), (0, 4000), (6000, 4000), (6000, 0), (6300, 0), (6300, 4300), (-300, 4300), (-300, 0))
    sheet.box(0, -100, 2200, 0, layer="A-GLAZ").box(3700, -100, 6000, 0, layer="A-GLAZ")
    job, _ = propose(sheet.word("Shop", 3000, 2000).drawing())
    assert [r for r in rooms(job) if r.confidence == "sure"] == []


def test_a_window_round_a_corner_of_the_house_is_one_in_each_wall() -> None:
    sheet = two_rooms()
    for off in (120, 180):
        sheet.line(-off, 1200, -off, -off, "A-GLAZ").line(-off, -off, 1500, -off, "A-GLAZ")
    found = [o for o in propose(sheet.drawing())[0].storeys[0].openings if o.kind == "window"]
    assert len(found) == 2
    assert {o.side for o in found} == {"s1", "s4"}


def test_words_of_a_legend_do_not_judge_which_lines_are_walls() -> None:
    sheet = two_rooms(door=False)
    sheet.words.clear()
    sheet.box(-3000, -8000, 20000, 6000, layer="stuff")
    for k, name in enumerate(("Masonry", "Plaster board", "Insulation", "Chimney")):
        sheet.box(12000, k * 900, 12400, k * 900 + 400).word(name, 13500, k * 900 + 200)
    job, _ = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]


def test_a_ledge_with_a_name_and_no_way_in_is_not_sure() -> None:
    sheet = two_rooms().box(7400, 0, 8600, 1200).box(7500, 100, 8500, 1100).word("Plant", 8000, 500)
    found = {r.name: r.confidence for r in rooms(propose(sheet.drawing())[0])}
    assert found["Hall"] == "sure"
    assert found.get("Plant") != "sure"


def test_a_passage_with_two_doors_of_its_own_is_no_niche_however_small() -> None:
    sheet = Sheet().box(-300, -300, 6400, 3300)
    ring = [
        (0, 0),
        (2000, 0),
        (2000, 1000),
        (2100, 1000),
        (2100, 800),
        (4100, 800),
        (4100, 1000),
        (4200, 1000),
        (4200, 0),
    ]
    ring += [(6100, 0), (6100, 3000), (4200, 3000), (4200, 1900), (4100, 1900), (4100, 2000), (3500, 2000)]
    ring += [(3500, 2100), (4100, 2100), (4100, 3000), (2100, 3000), (2100, 2100), (2700, 2100), (2700, 2000)]
    ring += [(2100, 2000), (2100, 1900), (2000, 1900), (2000, 3000), (0, 3000)]
    sheet.ring(*ring).word("Bed", 1000, 2500).word("Bath", 5200, 2500).word("Store", 3000, 2600)
    for x, way in ((2000, -900), (4200, 900)):
        sheet.line(x, 1000, x + way, 1000, "A-DOOR")
        sheet.arcs.append((x, 1900, x + way, 1000, 0.41421356237 if way < 0 else -0.41421356237, "A-DOOR"))
    assert areas(propose(sheet.drawing())[0]) == [1.8, 2.4, 5.7, 6.0]


def test_of_several_areas_in_one_label_the_one_that_is_the_outlines_own_makes_the_room_sure() -> None:
    sheet = two_rooms(door=False).word("12.00 m²", 1500, 1200).word("14.25 m²", 1500, 1200)
    job, findings = propose(sheet.drawing())
    kitchen = next(r for r in rooms(job) if r.name == "Kitchen")
    assert (kitchen.confidence, kitchen.printed_area_m2) == ("sure", 12.0)
    assert "printed-areas-differ" not in codes(findings)


def test_lines_of_one_label_are_one_name() -> None:
    sheet = two_rooms().word("Kitchen: no. 12", 1500, 1500)
    found = next(r for r in rooms(propose(sheet.drawing())[0]) if r.name.startswith("Kitchen"))
    assert found.confidence == "sure"


def test_a_name_alone_makes_no_room_sure_that_has_no_way_in_while_others_have() -> None:
    sheet = two_rooms().ring((9000, 0), (12000, 0), (12000, 3000), (9000, 3000))
    sheet.box(8700, -300, 12300, 3300).word("Pond", 10500, 1500)
    found = {room.name: room for room in rooms(propose(sheet.drawing())[0])}
    assert found["Pond"].confidence == "check"
    assert "no way in is drawn" in found["Pond"].evidence[-1]
    assert {found[name].confidence for name in found if name != "Pond"} == {"sure"}
    # its printed area, which is the outline's, proves it
    proven = {room.name: room for room in rooms(propose(sheet.word("9.00 m²", 10500, 1000).drawing())[0])}
    assert proven["Pond"].confidence == "sure"


def test_a_small_space_open_on_one_side_is_told_and_is_no_room_where_others_are_walled_in() -> None:
    # A room of 7.1 × 3.0 m with a door of 900 to a landing of 2.0 × 2.0 m, round which single lines stand.
    sheet = Sheet()
    points = [(7400, 500), (7400, -300), (-300, -300), (-300, 3300), (7400, 3300), (7400, 1400), (7100, 1400)]
    points += [(7100, 3000), (0, 3000), (0, 0), (7100, 0), (7100, 500)]
    sheet.ring(*points).line(7100, 500, 6200, 500, "door")
    sheet.arcs.append((6200, 500, 7100, 1400, -0.41421356, "door"))
    sheet.line(7400, 0, 9400, 0).line(9400, 0, 9400, 2000).line(9400, 2000, 7400, 2000)
    job, findings = propose(sheet.drawing())
    assert areas(job) == [21.3]
    assert "spaces-open-sided" in codes(findings)


def test_where_doors_have_no_leaves_a_gap_as_wide_as_a_door_parts_a_room_without_a_name() -> None:
    # Three rooms in a row, ways of 900 between them, two of them named; with a leaf in each other way it is a niche.
    sheet = Sheet().box(-300, -300, 12400, 3300)
    points = [
        (0, 0),
        (4000, 0),
        (4000, 1000),
        (4100, 1000),
        (4100, 0),
        (8100, 0),
        (8100, 1000),
        (8200, 1000),
        (8200, 0),
    ]
    points += [(12100, 0), (12100, 3000), (8200, 3000), (8200, 1900), (8100, 1900), (8100, 3000), (4100, 3000)]
    points += [(4100, 1900), (4000, 1900), (4000, 3000), (0, 3000)]
    sheet.ring(*points).word("Kitchen", 2000, 1500).word("Hall", 6000, 1500)
    sheet.segments = [(*s[:4], "lines") for s in sheet.segments]
    sheet.loops.clear()
    assert areas(propose(sheet.drawing())[0]) == [11.7, 12.0, 12.0]


def beside_a_hall(*ring: tuple[float, float]) -> Sheet:
    """A hall of 3000 × 3000 with a name, right of x = 3200, whose wall of 200 has a door of 900 from y = 100 on; the
    rest of the ``ring`` goes from the door's upper jamb round what is left of it to the lower one."""
    sheet = Sheet().box(-300, -300, 6500, 3300).word("Hall", 4700, 2000)
    hall = ((3000, 100), (3200, 100), (3200, 0), (6200, 0), (6200, 3000), (3200, 3000), (3200, 1000), (3000, 1000))
    sheet.ring(*hall, *ring).line(3200, 100, 4100, 100, "A-DOOR")
    sheet.arcs.append((4100, 100, 3200, 1000, 0.41421356237, "A-DOOR"))
    return sheet


def test_a_bay_between_a_casing_and_the_wall_before_a_door_is_the_rooms() -> None:
    # 3.0 m × 2.1 m with a casing of 0.5 m × 1.0 m in the corner beside the door, lined with 0.1 m.
    sheet = beside_a_hall((3000, 1100), (2500, 1100), (2500, 2100), (0, 2100), (0, 0), (3000, 0))
    sheet.line(3000, 1100, 3000, 2100).line(3000, 2100, 2500, 2100).line(2600, 2100, 2600, 1200)
    sheet.line(2600, 1200, 3000, 1200)
    assert areas(propose(sheet.drawing())[0]) == [5.8, 9.0]


def test_a_lobby_before_a_doorway_in_its_wall_is_a_room() -> None:
    # A lobby of 1.4 m × 1.8 m with the door to the hall, and through a doorway of 900 a washroom of 1.5 m × 1.8 m.
    outer = ((3000, 1800), (1600, 1800), (1600, 1300), (1500, 1300), (1500, 1800), (0, 1800), (0, 0), (1500, 0))
    sheet = beside_a_hall(*outer, (1500, 400), (1600, 400), (1600, 0), (3000, 0))
    assert areas(propose(sheet.drawing())[0]) == [2.52, 2.7, 9.0]


def test_the_step_of_a_frame_in_a_wall_s_face_closes_nothing_along_it() -> None:
    # 3.0 m × 2.1 m, whose left wall is one line, with a frame of 50 mm × 110 mm at it: its upper end looks along the
    # wall to the one across, 1090 mm further.
    sheet = beside_a_hall((3000, 2100), (0, 2100), (0, 0), (3000, 0))
    sheet.segments = [s for s in sheet.segments if not s[0] == s[2] == -300.0]
    sheet.line(0, -300, 0, 0).line(0, 2100, 0, 3300).line(0, 900, 50, 900).line(50, 900, 50, 1010)
    sheet.line(50, 1010, 0, 1010)
    # 6.3 m² less the frame's 0.0055 m²
    assert areas(propose(sheet.drawing())[0]) == [6.29, 9.0]
