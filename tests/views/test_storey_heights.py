"""What is said of heights, and what stands in the fields."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.measure import Memory
from takeoff.plan import edits
from takeoff.plan.model import Field, Job, Plane, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.storage.jobs import load
from takeoff.views.board import stand
from takeoff.views.storey_heights import RoomView, corner_words, room_view, slopes_of, storey_lines, storey_view

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
G1 = RoomId("G1")


@pytest.fixture(scope="module")
def job() -> Job:
    return load(SAMPLE.read_bytes(), SAMPLE.name)


def view(job: Job, room: str) -> RoomView:
    found = room_view(stand(job, Memory()), room)
    assert found is not None
    return found


def test_storey_says_where_its_height_is_from_and_who_follows_it(job):
    ground, attic = (storey_view(storey) for storey in job.storeys)
    assert ground.says == "Measured on site, 4 rooms follow it, 1 room has a ceiling of its own."
    assert attic.says == "Typed, no room follows it, 2 rooms have ceilings of their own."
    typed = edits.set_storey_height(job, StoreyId("ground"), 2500.0)
    assert storey_view(typed.storeys[0]).says.startswith("Typed, 4 rooms")


def test_room_says_what_its_ceiling_is_like(job):
    assert view(job, "G1").says == "Level at 2.45 m, as the storey."
    assert view(job, "G5").says == "Level at 2.45 m, its own, with 1 part lowered or raised."
    assert view(job, "A1").says == (
        "2 slopes of 45.0° and a level piece, 1.20 to 2.40 m high, with 1 part lowered or raised."
    )
    assert view(job, "A2").says == "One slope of 45.0°, 0.20 to 1.10 m high."


def test_build_ups_say_what_is_left_between_floor_and_ceiling(job):
    assert view(job, "G1").finished == ""
    built = edits.set_build_ups(job, G1, 60.0, 40.0)
    assert view(built, "G1").finished == "Finished: 2.35 m from floor to ceiling."


def test_corners_are_named_by_the_walls_that_meet_there(job):
    corners = view(job, "G1").corners
    assert [(c.side, c.name, c.height_mm) for c in corners] == [
        ("G1-1", "D–A", 2450.0),
        ("G1-2", "A–B", 2450.0),
        ("G1-3", "B–C", 2450.0),
        ("G1-4", "C–D", 2450.0),
    ]


def test_slopes_are_shown_as_one_types_them(job):
    found = view(job, "A1").slopes
    assert found is not None
    assert (found.form, found.side, found.eaves_mm, found.pitch_deg, found.flat_mm, found.other_eaves_mm) == (
        "two",
        "A1-1",
        1200.0,
        45.0,
        2400.0,
        None,
    )
    lean_to = view(job, "A2").slopes
    assert lean_to is not None
    # it rises from the far eaves at y 7400 towards the room
    assert (lean_to.form, lean_to.side, lean_to.eaves_mm) == ("one", "A2-3", 200.0)
    assert view(job, "G1").slopes is None


def test_slopes_that_were_set_are_shown_the_same(job):
    made = edits.slope_ceiling(job, G1, SideId("G1-4"), "two", 1300.0, pitch_deg=30.0, other_eaves_mm=1500.0)
    found = view(made, "G1").slopes
    assert found is not None
    assert (found.form, found.side, found.eaves_mm, found.pitch_deg, found.other_eaves_mm) == (
        "two",
        "G1-4",
        1300.0,
        30.0,
        1500.0,
    )
    hipped = edits.slope_ceiling(job, G1, SideId("G1-1"), "all", 2000.0, pitch_deg=20.0)
    found = view(hipped, "G1").slopes
    assert found is not None
    assert (found.form, found.eaves_mm, found.pitch_deg) == ("all", 2000.0, 20.0)
    askew = edits.set_corner_heights(job, G1, {SideId("G1-1"): 2700.0})
    assert view(askew, "G1").slopes is None


def test_heights_at_corners_say_what_they_make(job):
    for mm, off in ((2450.0, 0), (2462.0, 3)):
        assert corner_words(job, "G1", {"G1-1": mm}, "stay") == (f"One plane, within {off} mm of the heights.", True)
    assert corner_words(job, "G1", {"G1-1": 2700.0}, "stay") == (
        "2 planes that meet in ridges and hips, within 0 mm of the heights.",
        True,
    )
    words, fits = corner_words(job, "G2", {"G2-4": 2200.0}, "stay")
    assert not fits
    assert words.startswith("The heights disagree: at the corner 4.45, 1.30 the others give 2.45 m")


def test_room_that_is_gone_has_no_heights(job):
    assert room_view(stand(job, Memory()), "nowhere") is None


def test_storeys_are_listed_from_the_top_with_level_height_and_how_often_they_are_built():
    levels = (-2600.0, 0.0, 2700.0)
    storeys = tuple(
        Storey(id=StoreyId(f"s{k}"), level_mm=mm, height_mm=2400, times=k) for k, mm in enumerate(levels, 1)
    )
    assert [(line.id, line.says) for line in storey_lines(Job(storeys=storeys))] == [
        ("s3", "+2.70 m, 2.40 m high, no room, repeated × 3"),
        ("s2", "±0.00 m, 2.40 m high, no room, repeated × 2"),
        ("s1", "−2.60 m, 2.40 m high, no room"),
    ]


def test_only_a_level_ceiling_of_its_own_stands_in_the_field_for_one(job):
    assert view(job, "G5").own_mm == 2450.0
    assert view(job, "G1").own_mm is None  # it follows its storey
    assert view(job, "A2").own_mm is None  # one slope
    assert view(job, "A1").own_mm is None  # two slopes and a level piece


def sloped(corners: list[tuple[float, float]], *planes: Plane) -> Room:
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    return Room(id=RoomId("r"), outline=outline, ceiling=Field(planes=planes))


def test_slopes_from_two_walls_at_a_corner_are_no_roof_of_two_slopes():
    corners = [(0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0)]
    left, right = Plane(z_mm=1500, slope_x=0.5), Plane(z_mm=3500, slope_x=-0.5)
    found = slopes_of(sloped(corners, left, right))
    assert found is not None
    assert found.form == "two"
    assert slopes_of(sloped(corners, left, Plane(z_mm=1500, slope_y=0.5))) is None


def test_a_slope_rises_from_the_lower_of_two_walls_that_stand_one_behind_the_other():
    # the room is 2 m wide below y = 2000 and 4 m above: its left wall stands at x = 2000, then at x = 0
    corners = [(2000, 2000), (2000, 0), (4000, 0), (4000, 4000), (0, 4000), (0, 2000)]
    found = slopes_of(sloped(corners, Plane(z_mm=1500, slope_x=0.5)))
    assert found is not None
    assert (found.side, found.eaves_mm) == ("s4", 1500.0)
