"""The plan picture: coat on the room's side, openings left free, labels that never overlap."""

from __future__ import annotations

import math
from collections.abc import Callable

import invented_job as job_of
import msgspec
import pytest
import shapely

from takeoff.plan.model import Job, Side, Storey
from takeoff.sheets import palette
from takeoff.sheets.curved import area_rings, ring_polygon
from takeoff.sheets.drawn import draw
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.picture import SCALES, Caption, Picture, Sheet, band_areas, bounds, fitting_scale
from takeoff.sheets.plans import NOMINAL_MM, plan_of, thickness_at, wall_bodies
from takeoff.sheets.sheet_document import build
from takeoff.sheets.sheet_values import Course, Plan

FACE = Typeface()


def plan(storey: Storey) -> Plan:
    job, takeoff = job_of.cottage((storey,))
    return build(job, takeoff).storeys[0].plan


def band_m2(of: Plan, room: str, scale: int = 50) -> float:
    sheet = Sheet(of, scale)
    found = next(r for r in of.rooms if r.id == room)
    return float(band_areas(found, sheet).area) / 1e6


def boxes(captions: tuple[Caption, ...]) -> list[object]:
    return [
        shapely.box(
            c.x_mm,
            c.y_mm - 0.05 * c.size_pt * 0.353,
            c.x_mm + FACE.measure(c.text, c.style, c.size_pt),
            c.y_mm + 0.72 * c.size_pt * 0.353,
        )
        for c in captions
    ]


def test_band_runs_round_the_room_and_leaves_openings_free() -> None:
    """Bedroom 3.6 × 2.8 less a window of 1.5 and the Hall's door of 0.8; band 2.7 mm at 1 : 50."""
    wide = 0.0027 * 50
    ring = 3.6 * 2.8 - (3.6 - 2 * wide) * (2.8 - 2 * wide)
    assert band_m2(plan(job_of.cottage_storey()), "bedroom") == pytest.approx(ring - (1.5 + 0.8) * wide, rel=2e-3)


def test_wall_that_is_not_coated_has_no_band_and_a_return_has_its_length_written() -> None:
    drawn = plan(job_of.cottage_storey())
    living = next(room for room in drawn.rooms if room.id == "living")
    assert [text for _, text in living.parts] == ["0.60"]
    picture = draw(drawn, 50, FACE.measure)
    assert sum(caption.text == "0.60" for caption in picture.captions) == 2
    assert "length" in picture.marks


def test_band_does_not_reach_through_a_thin_wall_within_a_room() -> None:
    """A wall of 60 stands into the room; one of its sides is coated, the band is wider than the wall."""
    corners = [(0, 0), (2000, 0), (2000, 1500), (2060, 1500), (2060, 0), (4000, 0), (4000, 3000), (0, 3000)]
    room = job_of.room("Studio", corners)
    storey = Storey(id="s0", rooms=(room,))
    returns = {side.id: () for side in room.outline} | {"studio.b": ((0.0, 1500.0),)}
    measured = job_of.measured(room, storey, returns)
    drawn = plan_of(storey, {"studio": measured}, {}, {}, "")
    assert band_m2(drawn, "studio", 100) == pytest.approx(1.5 * 0.2, rel=1e-6)


def test_curved_wall_is_drawn_as_curves() -> None:
    drawn = plan(job_of.upper_storey())
    assert any(abs(bulge) > 0.05 for ring in drawn.walls for _, _, bulge in ring)
    coat = next(shape for shape in draw(drawn, 50, FACE.measure).shapes if shape.fill == "#F0C184")
    assert max(len(path) for path in coat.paths) < 40
    assert any(bulge for path in coat.paths for _, _, bulge in path)


def test_facets_of_an_arc_become_the_arc_again() -> None:
    half = ((0.0, 0.0, 0.0), (4000.0, 0.0, 1.0))
    shape = ring_polygon([half])
    rings = area_rings(shape, ((2000.0, 0.0),))
    again = ring_polygon(rings)
    assert len(rings[0]) <= 4
    assert again.area == pytest.approx(math.pi * 2000**2 / 2, rel=1e-3)


def test_openings_are_cut_through_the_wall_and_unsure_ones_are_not() -> None:
    drawn = plan(job_of.cottage_storey())
    walls = shapely.make_valid(ring_polygon(drawn.walls[:1]))
    door = next(o for o in drawn.openings if o.id == "d2")
    middle = shapely.points((door.face[0][0] + door.face[1][0]) / 2, (door.face[0][1] + door.far[0][1]) / 2)
    assert not walls.contains(middle)
    picture = draw(drawn, 50, FACE.measure)
    assert "check" in picture.marks
    assert sum(caption.text == "?" for caption in picture.captions) == 2  # the door and the Hall


def test_every_new_bead_at_an_arris_is_marked_once() -> None:
    drawn = plan(job_of.cottage_storey())
    # Five windows and the open way on the Kitchen's side, two arrises each, and the pier's two.
    assert len(drawn.beads) == 2 * 6 + 2
    assert len(drawn.fillets) == 4 * 4 + 6


def test_key_names_only_what_is_drawn() -> None:
    storey = Storey(id="s0", rooms=(job_of.room("Store", job_of.rectangle(0, 0, 2000, 2000)),))
    assert draw(plan(storey), 50, FACE.measure).marks == ("coat", "letter", "fillet", "wall_nominal")


@pytest.mark.parametrize(
    ("made", "scale"),
    [
        *((made, scale) for made in (job_of.cottage_storey, job_of.upper_storey) for scale in SCALES),
        *((lambda: job_of.terrace_of(30), scale) for scale in (100, 300)),
    ],
)
def test_no_caption_overlaps_another_at_any_scale(made: Callable[[], Storey], scale: int) -> None:
    picture = draw(plan(made()), scale, FACE.measure)
    placed = boxes(picture.captions)
    first, second = shapely.STRtree(placed).query(placed, predicate="intersects")
    assert [(a, b) for a, b in zip(first, second, strict=True) if a < b] == []


@pytest.mark.parametrize("scale", [20, 50, 100])
def test_labels_stand_in_their_rooms_clear_of_the_coat(scale: int) -> None:
    drawn = plan(job_of.cottage_storey())
    sheet = Sheet(drawn, scale)
    bands = shapely.union_all([band_areas(room, sheet) for room in drawn.rooms])
    picture = draw(drawn, scale, FACE.measure)
    named = [c for c in picture.captions if c.text in ("Living", "Kitchen", "Bedroom")]
    assert len(named) == 3
    for box, caption in zip(boxes(tuple(named)), named, strict=True):
        room = ring_polygon(next(r for r in drawn.rooms if r.name == caption.text).rings)
        corners = [(x * scale + sheet.left, y * scale + sheet.low) for x, y in box.exterior.coords]  # type: ignore
        placed = shapely.polygons(corners)
        assert room.contains(placed)
        assert not bands.intersects(placed)


def test_room_too_small_for_its_label_gets_a_number_and_a_line() -> None:
    picture = draw(plan(job_of.upper_storey()), 50, FACE.measure)
    assert picture.listed == ("1 Store, 8.6 m² to coat",)
    assert any(caption.text == "1" for caption in picture.captions)


def test_scale_is_the_largest_trade_scale_that_fits() -> None:
    drawn = plan(job_of.cottage_storey())  # 9.0 × 7.4 m over its walls
    assert fitting_scale(drawn, 180, 148) == 50
    assert fitting_scale(drawn, 179.9, 148) == 75
    assert fitting_scale(drawn, 17, 17) is None
    assert fitting_scale(Plan("s0", "Empty"), 180, 148) is None


def test_walls_lie_between_rooms_and_the_outline() -> None:
    rooms = [ring_polygon([[(x, 0, 0), (x + 3000, 0, 0), (x + 3000, 3000, 0), (x, 3000, 0)]]) for x in (0, 3100)]
    outline = [[(-300, -300, 0), (6400, -300, 0), (6400, 3300, 0), (-300, 3300, 0)]]
    body, nominal = wall_bodies(rooms, outline)
    assert not nominal
    assert body.area == pytest.approx(6700 * 3600 - 2 * 9e6)


def test_space_that_no_room_covers_is_not_drawn_as_solid_wall() -> None:
    rooms = [ring_polygon([[(0, 0, 0), (3000, 0, 0), (3000, 3000, 0), (0, 3000, 0)]])]
    outline = [[(-300, -300, 0), (9000, -300, 0), (9000, 3300, 0), (-300, 3300, 0)]]
    body, _ = wall_bodies(rooms, outline)
    assert not body.contains(shapely.points(6000, 1500))
    assert body.contains(shapely.points(-150, 1500))


def test_walls_without_an_outline_have_the_nominal_thickness() -> None:
    rooms = [ring_polygon([[(0, 0, 0), (3000, 0, 0), (3000, 3000, 0), (0, 3000, 0)]])]
    body, nominal = wall_bodies(rooms, ())
    assert nominal
    assert body.area == pytest.approx((3000 + 2 * NOMINAL_MM) ** 2 - 9e6)
    side = job_of.room("A", job_of.rectangle(0, 0, 3000, 3000)).outline
    curve = _curve(side[0], side[1])
    assert thickness_at(body, curve, 1500) == pytest.approx(NOMINAL_MM)


def test_open_side_has_no_wall_beyond_it() -> None:
    room = job_of.room("Porch", job_of.rectangle(0, 0, 3000, 3000))
    opened = msgspec.structs.replace(room.outline[0], kind="open")
    room = msgspec.structs.replace(room, outline=(opened, *room.outline[1:]))
    drawn = plan(Storey(id="s0", rooms=(room,)))
    walls = ring_polygon(drawn.walls)
    assert not walls.intersects(shapely.points(1500, -100))
    assert "open_side" in draw(drawn, 50, FACE.measure).marks


def test_storey_without_rooms_gives_an_empty_picture() -> None:
    drawn = plan_of(Storey(id="s0"), {}, {}, {}, "Empty")
    assert drawn.rooms == ()
    assert draw(drawn, 50, FACE.measure).shapes == ()
    assert build(Job(storeys=(Storey(id="s0"),)), job_of.cottage()[1].__class__((), {}, (), ())).storeys


def _curve(a: Side, b: Side) -> object:
    from takeoff.geometry.curves import Curve

    return Curve(a.x_mm, a.y_mm, b.x_mm, b.y_mm)


def test_label_of_a_corridor_stands_in_one_line() -> None:
    corridor = job_of.room("Hall", job_of.rectangle(0, 0, 9000, 900))
    drawn = plan(Storey(id="s0", rooms=(corridor,)))
    picture = draw(drawn, 75, FACE.measure)
    name, figure = picture.captions[:2]
    assert (name.text, name.y_mm) == ("Hall", figure.y_mm)
    assert picture.listed == ()


def flags(picture: Picture) -> tuple[Course, ...]:
    """The cloths of the flags that letters of walls stand on."""
    return next(s.paths for s in picture.shapes if (s.fill, s.stroke) == (palette.PAPER, palette.CORNER))


def test_flags_of_letters_touch_the_walls_that_they_name() -> None:
    drawn = plan(job_of.cottage_storey())
    picture = draw(drawn, 50, FACE.measure)
    staffs = [
        p for s in picture.shapes if not s.closed and (s.stroke, s.width_mm) == (palette.CORNER, 0.3) for p in s.paths
    ]
    assert staffs
    sheet = Sheet(drawn, 50)
    walls = shapely.multilinestrings([[sheet.point(v) for v in course] for r in drawn.rooms for course, _ in r.letters])
    # a flag at a leader stands off its wall by half its band; all others stand on the wall itself
    assert all(shapely.distance(shapely.points(staff[0][:2]), walls) < 1e-6 for staff in staffs)
    assert all(any(shapely.distance(shapely.points(staff[1][:2]), shapely.linearrings([v[:2] for v in cloth])) < 1e-6
                   for cloth in flags(picture)) for staff in staffs)  # fmt: skip


def test_letters_of_walls_stand_within_the_room_clear_of_the_coat_and_of_each_other() -> None:
    drawn = plan(job_of.cottage_storey())
    picture = draw(drawn, 50, FACE.measure)
    letters = [c.text for c in picture.captions if len(c.text) == 1 and c.text.isalpha()]
    # Four walls in four rooms; the kitchen has eight: those too short for a letter have it at a leader.
    walls = [letter for room in drawn.rooms for _, letter in room.letters]
    assert sorted(letters) == sorted(walls)
    cloths = flags(picture)
    assert len(cloths) == len(letters)
    middles = [((ring[0][0] + ring[2][0]) / 2, (ring[0][1] + ring[2][1]) / 2) for ring in cloths]
    apart = [math.dist(a, b) for k, a in enumerate(middles) for b in middles[k + 1 :]]
    assert min(apart) > 3.8


def test_walls_of_a_cupboard_have_their_letters_at_leaders() -> None:
    rooms = (
        job_of.room("Cupboard", job_of.rectangle(0, 0, 700, 700)),
        job_of.room("Bedroom", job_of.rectangle(800, 0, 4600, 3600)),
    )
    building = tuple((x, y, 0.0) for x, y in ((-300.0, -300.0), (4900.0, -300.0), (4900.0, 3900.0), (-300.0, 3900.0)))
    drawn = plan(Storey(id="g", height_source="typed", rooms=rooms, building=(building,)))
    picture = draw(drawn, 100, FACE.measure)
    letters = [c for c in picture.captions if len(c.text) == 1 and c.text.isalpha()]
    assert sorted(c.text for c in letters) == sorted("ABCD" * 2)
    leaders = [s.paths for s in picture.shapes if not s.closed and s.width_mm == 0.15 and len(s.paths[0]) == 2]
    lines = [shapely.linestrings([v[:2] for v in path]) for path in leaders[0]]
    assert len(lines) == 4
    # from the middle of each wall's band, 2 mm wide; the sheet begins 3 mm before the room
    assert sorted(path[0][:2] for path in leaders[0]) == [(4.0, 6.5), (6.5, 4.0), (6.5, 9.0), (9.0, 6.5)]
    middles = [((ring[0][0] + ring[2][0]) / 2, (ring[0][1] + ring[2][1]) / 2) for ring in flags(picture)]
    assert min(math.dist(a, b) for k, a in enumerate(middles) for b in middles[k + 1 :]) > 3.8


def test_leaders_of_letters_meet_nothing_that_is_written_where_there_is_room() -> None:
    picture = draw(plan(job_of.cottage_storey()), 50, FACE.measure)
    leaders = [s.paths for s in picture.shapes if not s.closed and s.width_mm == 0.15 and len(s.paths[0]) == 2]
    lines = [shapely.linestrings([v[:2] for v in path]) for path in leaders[0]]
    assert lines
    assert not any(line.intersects(box) for line in lines for box in boxes(picture.captions))
    assert not any(a.intersects(b) for k, a in enumerate(lines) for b in lines[k + 1 :])


def test_garden_wall_far_from_all_rooms_does_not_press_the_plan() -> None:
    room = job_of.room("Store", job_of.rectangle(0, 0, 2000, 2000))
    garden = (
        (-300, -300, 0.0),
        (40_000, -300, 0.0),
        (40_000, 0, 0.0),
        (2300, 0, 0.0),
        (2300, 2300, 0.0),
        (-300, 2300, 0.0),
    )
    left, low, right, high = bounds(plan(Storey(id="s0", rooms=(room,), building=(garden,))))
    assert (left, low, high) == pytest.approx((-300, -300, 2300), abs=1)
    assert right == pytest.approx(2000 + 1200, abs=1)
