import math
from typing import Any

import msgspec
import pytest
from plan_samples import L_SHAPE, box, job, ring, room, storey, window

from takeoff.errors import Finding
from takeoff.findings import checking, noticed
from takeoff.plan import lot_records, model, price_terms, site_check
from takeoff.plan.check import check
from takeoff.plan.check.rooms_together import MOST_OVERLAPS
from takeoff.plan.limits import LIMITS
from takeoff.plan.model import (
    Band,
    Behind,
    Border,
    CeilingTreatment,
    CornerPick,
    Exclusion,
    Field,
    Job,
    OpeningId,
    Plane,
    Region,
    RegionId,
    Reveal,
    Rooflight,
    RoomId,
    SideId,
    StoreyId,
    Strip,
    WallTreatment,
    WallTypeId,
)

replace = msgspec.structs.replace


def codes(a_job: Job) -> list[str]:
    found = check(a_job)
    for f in found:
        assert f.text[-1] == "."
        assert f.text[0] == f.text[0].upper()
        assert f.severity in ("check", "error", "assumed")
    return sorted(f.code for f in found)


def only(a_job: Job) -> Finding:
    found = check(a_job)
    assert len(found) == 1, [f.text for f in found]
    return found[0]


def region(corners: Any, name: str = "beam", op: Any = "lower", z: float = 2200.0, **given: Any) -> Region:
    outline = tuple((float(c[0]), float(c[1]), 0.0) for c in corners)
    planes = given.pop("planes", (Plane(z_mm=z),))
    return Region(id=RegionId(name), op=op, outline=outline, planes=planes, **given)


def ceiling(*regions: Region, planes: tuple[Plane, ...] = (Plane(z_mm=2400),)) -> Field:
    return Field(planes=planes, regions=regions)


def side_with(number: int, **given: Any) -> Any:
    sides = list(ring(L_SHAPE))
    sides[number] = replace(sides[number], **given)
    return job(replace(room(), outline=tuple(sides)))


# -- a sound job


def test_a_sound_room_has_no_findings():
    assert check(job(room(), openings=(window(),))) == ()


def test_rooms_that_share_a_wall_line_or_a_corner_do_not_overlap():
    rooms = (room(box(4000, 3000)), room(box(4000, 3000, 4000), "r2"), room(box(4000, 3000, 8000, 3000), "r3"))
    assert check(job(*rooms)) == ()


def test_rooms_on_both_sides_of_a_curved_wall_do_not_overlap():
    bow = ((0, 0), (4000, 0, 0.25), (4000, 3000), (0, 3000))
    dent = ((4000, 3000, -0.25), (4000, 0), (9000, 0), (9000, 3000))
    assert check(job(room(bow), room(dent, "r2"))) == ()


def test_an_empty_job_says_that_there_is_nothing():
    assert codes(Job()) == ["no-storeys"]
    assert codes(job()) == ["no-rooms"]


# -- numbers


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_ends_the_check_and_is_named(number):
    found = only(side_with(1, x_mm=number))
    assert found.code == "number-not-finite"
    assert "storeys[0].rooms[0].outline[1].x_mm" in found.text.lower()
    assert (found.where.storey, found.where.room, found.where.surface) == ("g", "r1", "s1")


@pytest.mark.parametrize(
    "a_job",
    [
        side_with(1, x_mm=1e11),
        side_with(1, bulge=1e6),
        job(room(), height_mm=60_000.0),
        job(room(), height_mm=0.0),
        job(room(), times=0),
        job(room(times=-1)),
        job(room(), openings=(window(width_mm=0.0),)),
        job(room(), openings=(window(width_mm=-900.0),)),
        job(room(), openings=(window(reveal=Reveal(head=Strip(depth_mm=-1.0))),)),
        job(room(ceiling=ceiling(region(((0, 0), (1e300, 0), (1000, 1000)))))),
        job(room(ceiling=ceiling(planes=(Plane(z_mm=2400, slope_x=math.nan),)))),
        job(room(walls=WallTreatment(start_mm=-600.0))),
        job(room(), building=(((0, 0, 0), (math.nan, 0, 0), (1, 1, 0)),)),
    ],
)
def test_numbers_that_no_building_has_are_errors(a_job):
    found = check(a_job)
    assert found
    assert {f.code for f in found} <= {"number-absurd", "number-not-finite"}
    assert all(f.severity == "error" for f in found)


def test_every_number_of_a_job_has_its_limit():
    named = {(kind, name) for kind, limits in LIMITS.items() for name in limits}
    kinds = [
        *vars(model).values(),
        *vars(site_check).values(),
        *vars(price_terms).values(),
        *vars(lot_records).values(),
    ]
    for kind in kinds:
        if isinstance(kind, type) and issubclass(kind, msgspec.Struct) and kind is not model.Where:
            for field in msgspec.structs.fields(kind):
                if field.type in (int, float, int | None, float | None):
                    assert (kind, field.name) in named, (kind.__name__, field.name)


# -- names


def test_ids_that_stand_twice_are_errors():
    assert "id-twice" in codes(job(room(box(10, 10)), room(box(1000, 1000, 9000))))
    assert codes(Job(storeys=(storey(room()), storey(room(name="r2"))))) == ["id-twice"]
    assert codes(job(room(), openings=(window(), window(offset_mm=3000.0)))) == ["id-twice"]
    assert codes(side_with(1, id=SideId("s0"))) == ["id-twice"]
    assert codes(side_with(1, id=SideId(""))) == ["id-empty"]


def test_an_opening_of_an_unknown_room_or_side_is_named():
    found = only(job(room(), openings=(window(room=RoomId("nowhere")),)))
    assert (found.code, found.severity, found.where.opening) == ("opening-room-unknown", "error", "w1")
    assert codes(job(room(), openings=(window(side=SideId("s9")),))) == ["opening-side-unknown"]
    light = Rooflight(id=OpeningId("l"), room=RoomId("nowhere"), outline=((0, 0, 0), (9, 0, 0), (9, 9, 0)))
    assert codes(job(room(), rooflights=(light,))) == ["opening-room-unknown"]


def test_references_that_lead_nowhere_are_errors():
    assert codes(side_with(0, wall_type=WallTypeId("brick"))) == ["wall-type-unknown"]
    border = Border(width_mm=600, sides=(SideId("s9"),))
    assert codes(job(room(ceiling_treatment=CeilingTreatment(only=(border,))))) == ["border-side-unknown"]


def test_corner_picks_that_contradict_or_choose_nothing_are_found():
    picks = (CornerPick(corner="c1", bead="new"), CornerPick(corner="c1", bead="none"))
    assert codes(job(room(corners=picks))) == ["corner-picked-twice"]
    assert codes(job(room(corners=(CornerPick(corner="c1"),)))) == ["corner-pick-empty"]


# -- outlines


def test_an_outline_that_crosses_itself_is_an_error_at_the_crossing():
    found = only(job(room(((0, 0), (4000, 4000), (4000, 0), (0, 3000)))))
    assert (found.code, found.severity) == ("outline-crosses", "error")
    # y = x meets the way back from (4000, 0) to (0, 3000), y = 3000 − 0.75 x, at 3000 / 1.75
    assert found.where.x_mm == pytest.approx(3000 / 1.75)
    assert found.where.y_mm == pytest.approx(3000 / 1.75)


def test_an_arc_that_swings_through_another_wall_is_a_crossing():
    # Bulge −1 over the 4000 side is a half circle 2000 deep, into a room 1000 deep.
    assert codes(job(room(((0, 0, -1), (4000, 0), (4000, 1000), (0, 1000))))) == ["outline-crosses"]
    assert codes(job(room(((0, 0, -1), (4000, 0), (4000, 3000), (0, 3000))))) == []


@pytest.mark.parametrize(
    "corners", [(), ((0, 0),), ((0, 0), (1000, 0)), ((0, 0), (0, 0), (1000, 0), (0, 1000)), ((0, 0), (9, 0), (5, 0))]
)
def test_an_outline_that_bounds_nothing_is_an_error(corners):
    found = only(job(room(corners)))
    assert found.code in ("outline-unsound", "outline-crosses")
    assert found.severity == "error"


def test_two_arcs_bound_a_round_room():
    assert codes(job(room(((0, 0, 1), (4000, 0, 1))))) == []


def test_rings_that_run_the_wrong_way_are_errors():
    assert codes(job(room(tuple(reversed(L_SHAPE))))) == ["outline-turned"]
    pier = box(300, 300, 1000, 1000)
    assert codes(job(replace(room(), inner=(ring(pier, "p"),)))) == ["outline-turned"]
    assert codes(job(replace(room(), inner=(ring(pier[::-1], "p"),)))) == []


def test_an_inner_ring_outside_its_room_or_across_another_is_an_error():
    def with_piers(*piers: Any) -> Job:
        rings = tuple(ring(pier[::-1], f"p{i}") for i, pier in enumerate(piers))
        return job(replace(room(), inner=rings))

    assert codes(with_piers(box(300, 300, 9000, 0))) == ["inner-ring-outside"]
    assert codes(with_piers(box(300, 300, -150, 1000))) == ["inner-ring-outside"]
    assert codes(with_piers(box(300, 300, 500, 500), box(300, 300, 600, 600))) == ["inner-rings-overlap"]


def test_a_room_of_an_absurd_area_points_at_the_unit():
    found = only(job(room(box(500_000, 500_000))))
    assert found.code == "area-absurd"
    assert "unit" in found.text
    assert codes(job(room(box(5, 4)))) == ["area-tiny"]


def test_rooms_that_overlap_are_an_error_with_the_area_they_share():
    found = only(job(room(box(4000, 3000)), room(box(4000, 3000, 3500), "r2")))
    assert found.code == "rooms-overlap"
    assert "1.50 m²" in found.text  # 0.5 × 3
    assert 3500 < found.where.x_mm < 4000


def test_of_rooms_that_lie_over_one_another_by_the_hundred_the_first_are_named_and_the_rest_said():
    # 30 rooms in one place: 30 × 29 / 2 = 435 pairs
    found = check(job(*(room(box(4000, 3000, 10.0 * k), f"r{k}") for k in range(30))))
    overlaps = [f for f in found if f.code == "rooms-overlap"]
    assert len(overlaps) == MOST_OVERLAPS + 1
    assert f"More than {MOST_OVERLAPS} pairs of rooms" in overlaps[-1].text
    assert all(f.severity == "error" for f in overlaps)


def test_a_gallery_may_lie_over_another_room():
    low = room(box(4000, 3000), ceiling=ceiling())
    high = room(box(4000, 3000), "r2", floor=Field(planes=(Plane(z_mm=2700),)),
                ceiling=ceiling(planes=(Plane(z_mm=5000),)))  # fmt: skip
    assert codes(job(low, high)) == []


def test_rooms_on_different_storeys_do_not_overlap():
    upper = storey(room(name="r2"), id=StoreyId("u"))
    assert codes(Job(storeys=(storey(room()), upper))) == []


def test_an_open_side_that_leads_nowhere_is_found():
    assert codes(side_with(0, kind="open")) == ["open-side-leads-nowhere"]
    left, right = list(ring(box(4000, 3000))), list(ring(box(4000, 3000, 4000)))
    left[1], right[3] = replace(left[1], kind="open"), replace(right[3], kind="open")
    pair = job(room(box(1, 1)), room(box(1, 1), "r2"))
    rooms = tuple(replace(r, outline=tuple(o)) for r, o in zip(pair.storeys[0].rooms, (left, right), strict=True))
    assert codes(job(*rooms)) == []


# -- heights


def test_a_ceiling_below_its_floor_is_an_error_by_how_much_and_where():
    # Mono-pitch from 1000 down 0.25 per mm over 5000: −250 at the far end.
    field = ceiling(planes=(Plane(z_mm=1000, slope_x=-0.25),))
    found = only(job(room(box(5000, 4000), ceiling=field)))
    assert found.code == "ceiling-below-floor"
    assert "250 mm" in found.text or "249.9 mm" in found.text
    assert found.where.x_mm == pytest.approx(5000, abs=1)
    up_to_the_eaves = ceiling(planes=(Plane(z_mm=1250, slope_x=-0.25),))
    assert codes(job(room(box(5000, 4000), ceiling=up_to_the_eaves))) == []


def test_a_region_below_the_floor_is_found_and_so_is_one_where_it_meets_a_plinth():
    beam = region(box(300, 4000))
    assert codes(job(room(ceiling=ceiling(beam)))) == []
    assert codes(job(room(ceiling=ceiling(replace(beam, planes=(Plane(z_mm=-10),)))))) == ["ceiling-below-floor"]
    # The beam at 2200 over a platform at 2300: they meet in the room's corner only.
    platform = region(box(4000, 1000), "platform", "raise", 2300)
    high = room(ceiling=ceiling(beam), floor=Field(planes=(Plane(z_mm=0),), regions=(platform,)))
    assert codes(job(high)) == ["ceiling-below-floor"]
    apart = replace(platform, outline=((500, 0, 0), (4000, 0, 0), (4000, 1000, 0), (500, 1000, 0)))
    low = replace(high, floor=Field(planes=(Plane(z_mm=0),), regions=(apart,)))
    assert codes(job(low)) == []


def test_build_ups_that_eat_the_whole_height_are_found():
    low = ceiling(planes=(Plane(z_mm=300),))
    assert codes(job(room(floor_build_up_mm=400.0, ceiling=low))) == ["ceiling-below-floor"]
    assert codes(job(room(ceiling_build_up_mm=100.0, floor_build_up_mm=200.0, ceiling=low))) == ["room-without-height"]


def test_regions_outside_their_room_and_across_each_other_are_found():
    def with_regions(*regions: Region) -> Job:
        return job(room(ceiling=ceiling(*regions)))

    assert codes(with_regions(region(box(300, 300, 9000)))) == ["region-outside"]
    assert codes(with_regions(region(box(300, 5000)))) == ["region-sticks-out"]
    crossing = (region(box(300, 2000)), region(box(2000, 300), "other"))
    assert codes(with_regions(*crossing)) == ["regions-overlap"]
    nested = (region(box(1000, 1000)), region(box(300, 300, 100, 100), "inner"))
    assert codes(with_regions(*nested)) == []
    assert codes(with_regions(region(((0, 0), (9, 0))))) == ["region-unsound"]
    assert codes(with_regions(region(box(300, 300), planes=()))) == ["field-without-planes"]
    assert codes(job(room(ceiling=ceiling(planes=())))) == ["field-without-planes"]


def test_a_rooflight_outside_its_room_is_found():
    light = Rooflight(id=OpeningId("l"), room=RoomId("r1"), outline=((9000, 0, 0), (9900, 0, 0), (9900, 900, 0)))
    assert codes(job(room(), rooflights=(light,))) == ["region-outside"]


# -- openings


@pytest.mark.parametrize(
    ("given", "code", "severity"),
    [
        ({"width_mm": 5200.0, "offset_mm": -100.0}, "opening-wider-than-wall", "error"),
        ({"offset_mm": -200.0}, "opening-outside-wall", "error"),
        ({"offset_mm": 4000.0}, "opening-outside-wall", "error"),
        ({"offset_mm": 6000.0}, "opening-outside-wall", "error"),
        ({"sill_mm": 2500.0, "head_mm": 2600.0}, "opening-outside-wall", "error"),
        ({"head_mm": 900.0}, "opening-head-below-sill", "error"),
        ({"head_mm": 2500.0}, "opening-above-ceiling", "check"),
        ({"sill_mm": -20.0}, "opening-below-floor", "check"),
        ({"shape": "round", "head_mm": 2000.0}, "opening-shape", "error"),
        ({"shape": "segmental"}, "opening-shape", "error"),
        ({"shape": "semicircular", "head_mm": 1400.0}, "opening-shape", "error"),
    ],
)
def test_an_opening_that_does_not_fit_is_found(given, code, severity):
    found = only(job(room(), openings=(window(**given),)))
    assert (found.code, found.severity, found.where.opening) == (code, severity, "w1")


@pytest.mark.parametrize(
    "given",
    [
        {"offset_mm": 0.0, "width_mm": 5000.0, "sill_mm": 0.0, "head_mm": 2400.0},
        {"shape": "round"},
        {"shape": "segmental", "rise_mm": 200.0},
        {"shape": "semicircular"},
    ],
)
def test_an_opening_that_just_fits_is_not(given):
    assert codes(job(room(), openings=(window(**given),))) == []


def test_a_window_under_a_beam_is_cut_at_the_beam_only_where_it_is():
    beam = region(box(1500, 4000), z=2000.0)
    low = room(ceiling=ceiling(beam))
    assert codes(job(low, openings=(window(offset_mm=1000.0),))) == ["opening-above-ceiling"]
    assert codes(job(low, openings=(window(offset_mm=1500.0),))) == []


def test_openings_that_overlap_on_one_side_are_an_error_and_over_each_other_are_not():
    pair = (window(), window(id=OpeningId("w2"), offset_mm=2000.0))
    found = only(job(room(), openings=pair))
    assert (found.code, found.severity) == ("openings-overlap", "error")
    side_by_side = (window(), window(id=OpeningId("w2"), offset_mm=2200.0))
    assert codes(job(room(), openings=side_by_side)) == []
    above = (window(head_mm=1500.0), window(id=OpeningId("w2"), sill_mm=1600.0))
    assert codes(job(room(), openings=above)) == []
    on_another = (window(), window(id=OpeningId("w2"), side=SideId("s5")))
    assert codes(job(room(), openings=on_another)) == []


def test_an_opening_in_an_open_side_is_an_error():
    a_job = side_with(0, kind="open")
    with_window = replace(a_job, storeys=(replace(a_job.storeys[0], openings=(window(),)),))
    assert codes(with_window) == ["open-side-leads-nowhere", "opening-in-open-side"]


def test_a_door_given_in_both_of_its_rooms_is_found_once():
    left, right = room(box(4000, 3000)), room(box(4000, 3000, 4100), "r2")
    door = {"kind": "door", "width_mm": 900.0, "sill_mm": 0.0, "head_mm": 2040.0}
    # s1 of the left room runs up at x = 4000, s3 of the right one down at x = 4100.
    here = window(id=OpeningId("d1"), side=SideId("s1"), offset_mm=1000.0, **door)
    there = window(id=OpeningId("d2"), room=RoomId("r2"), side=SideId("s3"), offset_mm=1100.0, **door)
    found = only(job(left, right, openings=(here, there)))
    assert (found.code, found.severity, found.where.opening) == ("opening-twice", "check", "d2")
    elsewhere = replace(there, offset_mm=0.0)
    assert codes(job(left, right, openings=(here, elsewhere))) == []
    facing = replace(there, side=SideId("s1"))
    assert codes(job(left, right, openings=(here, facing))) == []


# -- treatments


def test_bands_that_do_not_fit_the_wall_are_found():
    def with_bands(*bands: Band) -> Job:
        return job(room(walls=WallTreatment(bands=bands)))

    skirting, coving = Band(edge="bottom", to_mm=120), Band(edge="top", to_mm=100, what="coving")
    assert codes(with_bands(skirting, coving)) == []
    assert codes(with_bands(skirting, Band(edge="bottom", from_mm=100, to_mm=900))) == ["bands-overlap"]
    assert codes(with_bands(Band(edge="bottom", to_mm=2350), coving)) == ["bands-overlap"]
    assert codes(with_bands(Band(edge="bottom", to_mm=2500))) == ["band-taller-than-wall"]
    assert codes(with_bands(Band(edge="bottom", from_mm=900, to_mm=900))) == ["band-empty"]


def test_exclusions_that_do_not_fit_their_face_are_found():
    def tiles(*corners: tuple[float, float]) -> Exclusion:
        return Exclusion(id="t", what="tiles", outline=tuple((x, y, 0.0) for x, y in corners))

    def on_wall(exclusion: Exclusion) -> Job:
        return side_with(0, treatment=WallTreatment(exclusions=(exclusion,)))

    assert codes(on_wall(tiles(*box(1000, 1000)))) == []
    assert codes(on_wall(tiles(*box(1000, 1000, 4500)))) == ["exclusion-sticks-out"]
    assert codes(on_wall(tiles(*box(1000, 1000, 0, 2400)))) == ["exclusion-outside"]
    assert codes(on_wall(tiles((0, 0), (1, 1)))) == ["exclusion-unsound"]
    on_ceiling = CeilingTreatment(exclusions=(tiles(*box(1000, 1000, 4500, 1500)),))
    assert codes(job(room(ceiling_treatment=on_ceiling))) == ["exclusion-sticks-out"]


def test_a_return_longer_than_its_wall_is_found():
    assert codes(side_with(1, treatment=WallTreatment(start_mm=600.0))) == []
    assert codes(side_with(1, treatment=WallTreatment(end_mm=2100.0))) == ["return-longer-than-wall"]


def test_what_is_behind_is_said_once_and_within_the_side():
    def behind(*stretches: Behind) -> Job:
        return side_with(0, behind=stretches)

    assert codes(behind(Behind(cls="outside", to_mm=2000), Behind(cls="neighbour", from_mm=2000))) == []
    assert codes(behind(Behind(cls="outside", to_mm=2000), Behind(cls="neighbour", from_mm=1000))) == ["behind-twice"]
    assert codes(behind(Behind(cls="outside", to_mm=6000))) == ["behind-outside-side"]


def test_open_ranges_that_are_none_are_found():
    assert codes(side_with(0, open_from_mm=900.0)) == ["open-range-on-wall"]
    found = codes(side_with(0, kind="open", open_from_mm=900.0, open_to_mm=900.0))
    assert found == ["open-range-empty", "open-side-leads-nowhere"]


# -- assumptions


def test_assumed_values_are_summed_up_per_storey():
    windows = tuple(
        window(id=OpeningId(f"w{i}"), offset_mm=100.0 + 1500 * i, sill_source="assumed", head_source="assumed")
        for i in range(3)
    )
    found = check(job(room(), openings=windows, height_source="assumed"))
    assert [f.code for f in found] == ["assumed-storey-height", "assumed-window-sill", "assumed-window-head"]
    assert {f.severity for f in found} == {"assumed"}
    assert found[0].text == "The height of Ground, 2400 mm, is assumed for 1 room: measure it."
    assert found[1].text == "The sill height of 3 windows on Ground is assumed (900 mm): measure it."


def test_an_assumed_storey_height_that_no_room_uses_is_not_mentioned():
    assert codes(job(room(ceiling=ceiling()), height_source="assumed")) == []


def test_rooms_and_openings_that_are_not_sure_are_mentioned():
    unsure = room(confidence="question", evidence=("2 labels inside",), name="r1")
    found = check(job(unsure, openings=(window(confidence="check"),)))
    assert [f.code for f in found] == ["openings-check", "room-question"]
    assert found[0].text.startswith("Not yet measured on Ground: 1 likely opening")
    assert "2 labels inside" in found[1].evidence


def test_a_hundred_rooms_are_found_sound_one_by_one():
    rooms = [room(box(4000, 3000, 5000.0 * (k % 10), 4000.0 * (k // 10)), f"r{k}") for k in range(100)]
    assert check(job(*rooms)) == ()


# -- the ledger


def test_what_is_left_out_on_all_walls_of_a_room_is_told_once():
    tiles = Exclusion(id="t", outline=((0, 1000, 0), (9000, 1000, 0), (9000, 1200, 0), (0, 1200, 0)), what="tiles")
    found = only(job(room(box(4000, 3000), walls=WallTreatment(exclusions=(tiles,)))))
    assert (found.code, found.where.surface) == ("exclusion-sticks-out", None)
    assert found.text == "Tiles on a wall of room 1 reaches 1.00 m² past it and is cut off there: check its outline."


def test_every_sentence_of_the_check_stands_in_the_ledger_and_ends_as_a_sentence():
    for key, rule in checking.RULES.items():
        facts = {name: f"({name})" for name in rule.facts}
        found = noticed(key, **facts)
        assert found.code == key.partition("/")[0]
        assert found.text.endswith((".", "?"))
        assert all(f"({name})" in f"{found.text} {found.evidence}" for name in rule.facts)


@pytest.mark.parametrize(("height_mm", "odd"), [(2.4, True), (24000.0, True), (2400.0, False), (6000.0, False)])
def test_storey_height_that_no_storey_has_is_asked_about(height_mm: float, odd: bool) -> None:
    from takeoff.plan.model import Job, Storey, StoreyId

    storey = Storey(id=StoreyId("g"), name="Ground", height_mm=height_mm, height_source="typed")
    told = [f for f in check(Job(storeys=(storey,))) if f.code == "storey-height-odd"]
    assert bool(told) is odd
    assert all("was 2.4 m meant?" in finding.text for finding in told)
