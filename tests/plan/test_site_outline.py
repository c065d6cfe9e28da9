"""The outline of a room from its readings, and what of them does not fit."""

import math

import pytest
from site_samples import read, side, squared

from takeoff.plan.readings import outline_of


def codes(outline):
    return [finding.code for finding in outline.findings]


def gaps(outline):
    """Side lengths of the adjusted outline, mm."""
    ring = outline.points
    return [math.dist(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)]


def test_two_lengths_are_a_rectangle_with_corners_that_nobody_measured():
    outline = outline_of(read(3600.0, 2800.0, None, None))
    assert outline.closed
    assert gaps(outline) == pytest.approx([3600.0, 2800.0, 3600.0, 2800.0], abs=1e-6)
    assert outline.area_mm2 == pytest.approx(3600.0 * 2800.0)
    assert outline.rest_on_about
    assert codes(outline) == ["readings-square-assumed"]


def test_clockwise_rooms_lie_to_the_right_of_the_first_side():
    outline = outline_of(read(3600.0, 2800.0, None, None))
    assert outline.points[0] == (0.0, 0.0)
    assert outline.points[1] == pytest.approx((3600.0, 0.0))
    assert outline.points[2] == pytest.approx((3600.0, -2800.0))


def test_a_room_out_of_square_is_not_forced_square():
    # a parallelogram of 4 by 3 whose diagonals differ: by the cosine rule, 7 m² less or more
    lean = math.radians(88.0)
    long = math.sqrt(16 + 9 + 24 * math.cos(lean)) * 1000.0
    short = math.sqrt(16 + 9 - 24 * math.cos(lean)) * 1000.0
    outline = outline_of(read(4000.0, 3000.0, 4000.0, 3000.0, diagonals=((0, 2, long), (1, 3, short))))
    a, b, c = outline.points[:3]
    angle = math.degrees(math.acos(((a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1])) / 12e6))
    assert angle == pytest.approx(92.0, abs=0.01)
    assert not outline.rest_on_about
    assert codes(outline) == []


def test_an_l_shape_has_one_turn_to_the_left():
    outline = outline_of(squared(5000.0, 4000.0, 2000.0, 2000.0, 3000.0, 2000.0, left=(3,)))
    assert outline.area_mm2 == pytest.approx(14e6)
    assert outline.closing_mm == pytest.approx(0.0, abs=1e-6)
    assert outline.findings == ()


def test_walking_the_other_way_gives_the_mirrored_room():
    turned = [side(mm, turn_deg=90.0) for mm in (3600.0, 2800.0, None, None)]
    outline = outline_of(read(*turned))
    assert outline.points[2] == pytest.approx((3600.0, 2800.0))
    assert outline.area_mm2 == pytest.approx(3600.0 * 2800.0)


def test_misclosure_is_what_the_walk_as_typed_misses():
    outline = outline_of(read(4000.0, 3000.0, 4030.0, 3040.0))
    # 30 along and 40 across
    assert outline.closing_mm == pytest.approx(50.0)
    assert "readings-misclose" in codes(outline)
    assert any("50 mm" in finding.text for finding in outline.findings)


def test_small_misclosure_is_shared_out_without_a_word():
    outline = outline_of(squared(4000.0, 3000.0, 4004.0, 3000.0))
    assert outline.closing_mm == pytest.approx(4.0)
    # 4 mm over 3 m are 0.08°, well within what "square" means by a square; lengths are surer
    assert gaps(outline) == pytest.approx([4000.0, 3000.0, 4004.0, 3000.0], abs=0.5)
    turns = [line.adjusted - line.read for line in outline.lines if line.kind == "turn"]
    assert turns == pytest.approx([turns[0], turns[1], turns[1], turns[0]], abs=0.01)
    assert turns[0] + turns[1] + turns[2] + turns[3] == pytest.approx(0.0, abs=1e-9)
    assert 0.01 < abs(turns[0]) < 0.08
    assert outline.findings == ()


def test_a_slip_of_ten_centimetres_is_named():
    # 5–4–3 thrice over: every length is checked by two others; C–D was typed 4.1
    outline = outline_of(read(4000.0, 3000.0, 4100.0, 3000.0, diagonals=((0, 2, 5000.0), (1, 3, 5000.0))))
    assert codes(outline) == ["reading-gross"]
    assert any(line.suspect and line.what == "C–D" for line in outline.lines)


def test_a_slip_that_only_one_reading_can_be_is_told_with_its_size():
    right = squared(
        5000.0,
        4000.0,
        2000.0,
        2000.0,
        3000.0,
        2000.0,
        left=(3,),
        diagonals=(
            (0, 2, math.hypot(5000, 4000)),
            (0, 3, 5000.0),
            (1, 4, math.hypot(2000, 2000)),
            (1, 3, math.hypot(2000, 4000)),
            (0, 4, math.hypot(3000, 2000) + 250.0),
        ),
    )
    outline = outline_of(right)
    (found,) = outline.findings
    assert found.code == "reading-gross"
    assert found.text == "Diagonal A–E is about 250 mm too large for the others: measure it again."
    assert [line.what for line in outline.lines if line.suspect] == ["A–E"]


def test_a_left_turn_typed_right_is_said_in_degrees():
    outline = outline_of(read(5000.0, 4000.0, 2000.0, 2000.0, 3000.0, 2000.0))
    assert not outline.closed
    assert outline.missing == ("The turns add up to 540°, and a room needs 360°: at least one goes the other way.")


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        (read(3600.0, 2800.0), "three sides"),
        (read(None, None, None, None), "lengths"),
        (read(3600.0, None, None, None), "Corners"),
    ],
)
def test_what_is_missing_is_said(readings, words):
    outline = outline_of(readings)
    assert not outline.closed
    assert words in outline.missing
    assert outline.area_mm2 == 0.0


def test_the_walk_so_far_is_there_to_be_looked_at():
    outline = outline_of(read(3600.0, None, None, None))
    assert outline.points == ((0.0, 0.0), (3600.0, 0.0))


def test_a_triangle_needs_no_angle():
    outline = outline_of(read(*(side(mm, turn="free", turn_deg=-120.0) for mm in (3000.0, 4000.0, 5000.0))))
    assert outline.closed
    assert outline.area_mm2 == pytest.approx(6e6)
    assert outline.findings == ()


def test_a_splayed_corner_is_read_by_its_angle():
    # 4 × 3 with a corner cut off by 1 × 1: sides 4, 2, √2, 3, 3
    cut = math.hypot(1000.0, 1000.0)
    outline = outline_of(
        read(
            side(4000.0),
            side(2000.0, turn="read", turn_deg=-45.0),
            side(cut, turn="read", turn_deg=-45.0),
            side(3000.0),
            side(3000.0),
        )
    )
    assert outline.area_mm2 == pytest.approx(12e6 - 0.5e6)
    assert outline.closing_mm == pytest.approx(0.0, abs=1e-6)


def test_running_dimensions_are_a_length_of_their_own():
    outline = outline_of(read(side(4000.0, run_mm=4006.0), 3000.0, None, None))
    assert [line.kind for line in outline.lines][:2] == ["length", "running"]
    assert gaps(outline)[0] == pytest.approx(4003.0, abs=0.1)


def test_an_outline_that_crosses_itself_is_an_error():
    # a notch in the first wall that is deeper than the room
    outline = outline_of(squared(1500.0, 3000.0, 1000.0, 3000.0, 1500.0, 2000.0, 4000.0, 2000.0, left=(1, 2)))
    assert "readings-cross" in codes(outline)


def test_every_line_says_what_was_read_and_what_came_of_it():
    outline = outline_of(read(3600.0, 2800.0, 3610.0, None))
    first = outline.lines[0]
    assert (first.kind, first.what, first.read) == ("length", "A–B", 3600.0)
    assert first.adjusted - first.read == pytest.approx(first.off_mm)
    turns = [line for line in outline.lines if line.kind == "turn"]
    assert [line.what for line in turns] == ["B", "C", "D", "A"]
    assert all(line.assumed for line in turns)


@pytest.mark.parametrize("slip_mm", [60.0, 150.0, 1000.0, -1000.0])
@pytest.mark.parametrize("at", range(6))
def test_a_slip_of_any_size_in_any_side_of_a_well_read_room_is_named_rightly(at, slip_mm):
    lengths = [5000.0, 4000.0, 2000.0, 2000.0, 3000.0, 2000.0]
    corners = [(0, 0), (5, 0), (5, -4), (3, -4), (3, -2), (0, -2)]
    diagonals = tuple(
        (a, b, 1000.0 * math.dist(corners[a], corners[b]))
        for a, b in ((0, 2), (0, 3), (1, 3), (1, 4), (2, 4), (2, 5), (0, 4), (1, 5), (3, 5))
    )
    lengths[at] += slip_mm
    outline = outline_of(squared(*lengths, left=(3,), diagonals=diagonals))
    name = f"{'ABCDEF'[at]}–{'BCDEFA'[at]}"
    (told,) = [finding.text for finding in outline.findings if finding.code == "reading-gross"]
    too = "large" if slip_mm > 0 else "small"
    assert told.startswith(f"Length {name} is about ")
    assert f" too {too} for the others" in told
    assert float(told.partition("about ")[2].partition(" mm")[0]) == pytest.approx(abs(slip_mm), abs=2.0)
