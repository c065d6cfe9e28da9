"""Outside is a claim: runs of an outline, what is answered of them, and what is coated after it."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.measure import Memory, measure
from takeoff.measure.outline_runs import Run, open_runs, outline_runs
from takeoff.measure.outside_rule import (
    OutsideRule,
    coat_by,
    outside_as_drawn,
    outside_parts,
    outside_walls,
    recoated,
    rule_of,
)
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import (
    Behind,
    Border,
    CeilingTreatment,
    DrawingRef,
    Job,
    Readings,
    ReadSide,
    Ring,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    WallTreatment,
)
from takeoff.services.opened.opening import open_file

TERRACE = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"
RULE = OutsideRule(600.0, 600.0)
replace = msgspec.structs.replace


def box_room(name: str, x0: float, y0: float, x1: float, y1: float) -> Room:
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    return Room(
        id=RoomId(name),
        name=name,
        outline=tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners)),
    )


def ring(*corners: tuple[float, float]) -> Ring:
    return tuple((x, y, 0.0) for x, y in corners)


def drawn(*rooms: Room, outline: Ring) -> Job:
    """A job of one storey from a drawing, 2.4 m high."""
    storey = Storey(id=StoreyId("g"), name="Ground", rooms=rooms, building=(outline,), building_source="drawn")
    return with_origin(Job(storeys=(storey,)), DrawingRef(id=FIRST, name="drawing.dxf"))


ALONE = drawn(
    box_room("Kitchen", 0, 0, 5000, 4000), outline=ring((-300, -300), (5300, -300), (5300, 4300), (-300, 4300))
)


@pytest.fixture(scope="module")
def terrace() -> Job:
    return open_file(TERRACE).job


def coated(job: Job, rule: OutsideRule = RULE) -> Job:
    return coat_by(job, rule, outside_walls(measure(job).rooms))


def answered(job: Job, *names: str, cls: str = "neighbour") -> Job:
    for run in outline_runs(job):
        if run.name in names:
            job = edits.answer_walls(job, run.stretches(), cls)  # type: ignore[arg-type]
    return job


def behind(job: Job, room: str, side: str) -> tuple[Behind, ...]:
    return edits.side_curve(job, RoomId(room), SideId(side))[0].behind


# -- the terrace


def test_terrace_is_82_m2_if_all_is_outside_and_31_with_neighbours_at_its_long_sides(terrace: Job) -> None:
    assert measure(coated(terrace)).totals["coated_m2"] == pytest.approx(82.0, abs=0.05)
    after = answered(terrace, "left", "right")
    # ceilings: kitchen 4.80, hall 1.80, living room 2.90, each × 0.60
    totals = measure(coated(after)).totals
    assert totals["ceiling_m2"] == pytest.approx(5.70)
    assert totals["coated_m2"] == pytest.approx(31.0, abs=0.05)
    assert [run.name for run in open_runs(after)] == ["lower", "upper"]


def test_answers_after_the_coat_give_the_same_as_before_it(terrace: Job) -> None:
    job = coated(terrace)
    rule = rule_of(job, outside_walls(measure(job).rooms))
    assert rule == RULE
    job = answered(job, "left", "right")
    assert recoated(job, RULE, {str(r.id) for r in job.storeys[0].rooms}) == coated(answered(terrace, "left", "right"))


def test_runs_of_the_terrace_say_where_they_are(terrace: Job) -> None:
    assert [run.words() for run in outline_runs(terrace)] == [
        "Lower run, 5.20 m, beside Hall and Living room",
        "Right run, 9.00 m, beside Kitchen, Store and Living room",
        "Upper run, 5.20 m, beside Kitchen",
        "Left run, 9.00 m, beside Kitchen and Hall",
    ]


def test_coat_that_rests_on_the_drawing_says_what_it_is_worth(terrace: Job) -> None:
    job = coated(terrace)
    (told,) = outside_as_drawn(job, measure(job))
    assert (told.severity, told.code) == ("check", "outside-as-drawn")
    assert told.text == (
        "The outline of GROUND FLOOR is outside only as drawn (lower, right, upper and left, 26.00 m of wall): say "
        "what stands there."
    )
    assert told.evidence == "Open: 4 straight runs. Coated are 82.0 m² if all of it is outside, 0.0 m² if none is."
    job = recoated(answered(job, "left", "right"), RULE, {str(r.id) for r in job.storeys[0].rooms})
    (told,) = outside_as_drawn(job, measure(job))
    assert told.text.startswith(
        "The outline of GROUND FLOOR is outside only as drawn (lower and upper, 9.50 m of wall)"
    )
    assert "31.0 m² if all" in told.evidence
    job = answered(job, "lower", "upper", cls="outside")
    assert outside_as_drawn(job, measure(job)) == ()
    assert measure(job).totals["coated_m2"] == pytest.approx(31.0, abs=0.05)


def test_nothing_rests_on_the_drawing_while_all_is_coated(terrace: Job) -> None:
    assert outside_as_drawn(terrace, measure(terrace)) == ()


def test_coat_by_hand_on_a_wall_that_is_outside_as_drawn_is_told_without_a_worth() -> None:
    job = edits.coat_sides(ALONE, {RoomId("Kitchen"): (SideId("s2"),)}, False)
    (told,) = outside_as_drawn(job, measure(job))
    assert told.text == (
        "The outline of Ground is outside only as drawn (lower, right, upper and left, 18.00 m of wall): say what "
        "stands there."
    )


# -- what is a claim and what is none


@pytest.mark.parametrize("source", ["typed", "figured", "site"])
def test_outline_that_somebody_gave_is_no_claim(source: str) -> None:
    storey = replace(ALONE.storeys[0], building_source=source)
    job = replace(ALONE, storeys=(storey,))
    assert open_runs(job) == ()
    assert {b.cls for f in measure(job).rooms[0].faces for b in f.behind} == {"outside"}


def test_outline_that_says_no_source_is_a_claim_where_the_storey_has_a_drawing() -> None:
    old = replace(ALONE, storeys=(replace(ALONE.storeys[0], building_source=None),))
    assert len(open_runs(old)) == 4
    memory = Memory()
    assert all(b.claimed for f in memory.measure(old).rooms[0].faces for b in f.behind)
    without = replace(old, storeys=(replace(old.storeys[0], drawing=None),))
    assert open_runs(without) == ()
    assert not any(b.claimed for f in memory.measure(without).rooms[0].faces for b in f.behind)


@pytest.mark.parametrize("source", ["typed", "site"])
def test_room_with_a_side_read_on_site_was_set_down_and_learns_nothing_of_outside(source: str) -> None:
    room = ALONE.storeys[0].rooms[0]
    read = replace(room, outline=(replace(room.outline[0], source=source), *room.outline[1:]))
    taken = measure(replace(ALONE, storeys=(replace(ALONE.storeys[0], rooms=(read,)),)))
    assert {b.cls for f in taken.rooms[0].faces for b in f.behind} == {"unknown" if source == "site" else "outside"}


def test_room_read_on_site_learns_nothing_of_outside_from_where_it_was_set_down() -> None:
    read = Readings(sides=tuple(ReadSide(length_mm=5000.0) for _ in range(4)))
    room = replace(ALONE.storeys[0].rooms[0], readings=read)
    job = replace(ALONE, storeys=(replace(ALONE.storeys[0], rooms=(room,)),))
    memory = Memory()
    memory.measure(ALONE)
    assert {b.cls for f in memory.measure(job).rooms[0].faces for b in f.behind} == {"unknown"}
    assert outline_runs(job) == ()
    assert {b.cls for f in memory.measure(ALONE).rooms[0].faces for b in f.behind} == {"outside"}


def test_what_was_said_of_a_wall_is_no_claim() -> None:
    job = edits.set_behind(ALONE, RoomId("Kitchen"), SideId("s0"), (Behind(cls="outside"),))
    assert [run.name for run in open_runs(job)] == ["right", "upper", "left"]
    assert [run.answer for run in outline_runs(job)] == ["outside", None, None, None]


# -- runs


def test_pieces_in_line_are_one_run_and_a_deep_recess_has_its_own() -> None:
    # a front of 10 m with a jog of 20 mm, and in it a recess 1 m wide and 1 m deep
    outline = ring(
        (-300, -300), (3000, -300), (3000, 700), (4000, 700), (4000, -300), (6000, -300), (6000, -320), (10300, -320),
        (10300, 4300), (-300, 4300),
    )  # fmt: skip
    rooms = (
        box_room("a", 0, 0, 2700, 4000),
        box_room("b", 2800, 1000, 4200, 4000),
        box_room("c", 4300, 0, 10000, 4000),
    )
    runs = outline_runs(drawn(*rooms, outline=outline))
    assert [(run.name, run.length_mm, run.beside) for run in runs if "lower" in run.name] == [
        ("lower 1", pytest.approx(3300 + 2000 + 4300), ("a", "c")),
        ("lower 2", pytest.approx(1000), ("b",)),
    ]


def test_round_front_is_one_question() -> None:
    outline: Ring = ((-300.0, -300.0, 0.2), (5300.0, -300.0, 0.0), (5300.0, 4300.0, 0.0), (-300.0, 4300.0, 0.0))
    runs = outline_runs(drawn(box_room("a", 0, 0, 5000, 4000), outline=outline))
    (run,) = [run for run in runs if run.name == "lower"]
    assert len(run.courses[0]) == 9


def test_unheated_and_heated_are_kept_apart() -> None:
    job = answered(answered(ALONE, "left", cls="unheated"), "right", cls="heated")
    assert {run.name: run.answer for run in outline_runs(job)}["left"] == "unheated"
    assert outside_walls(measure(job).rooms)[RoomId("Kitchen")].keys() == {"s0", "s2", "s3"}


# -- an answer belongs to the wall


def test_answer_follows_the_wall_when_it_grows_and_moves() -> None:
    job = answered(ALONE, "right")
    assert behind(job, "Kitchen", "s1") == (Behind(cls="neighbour"),)
    job = edits.move_side(job, RoomId("Kitchen"), SideId("s2"), 1500.0)
    job = edits.move_side(job, RoomId("Kitchen"), SideId("s1"), 400.0)
    face = next(f for f in measure(job).rooms[0].faces if f.id == "s1")
    assert [(b.cls, b.from_mm, b.to_mm) for b in face.behind] == [("neighbour", 0.0, 5500.0)]
    assert not any(f.code.startswith("behind") for f in check(job))


def corner_wall() -> Job:
    """A wall of 5 m, of which the last 3 m look at the outline and the first 2 m at a room."""
    rooms = (box_room("long", 0, 0, 5000, 3000), box_room("lower", 0, -2100, 2000, -100))
    outline = ring((-300, -2400), (2300, -2400), (2300, -300), (5300, -300), (5300, 3300), (-300, 3300))
    return drawn(*rooms, outline=outline)


def test_wall_that_looks_at_several_things_gets_a_stretch_that_goes_with_its_end() -> None:
    job = corner_wall()
    run = next(r for r in outline_runs(job) if "long" in r.beside and r.name.startswith("lower"))
    job = edits.answer_walls(job, run.stretches(), "neighbour")
    (said,) = behind(job, "long", "s0")
    assert (said.from_mm, said.to_mm) == (pytest.approx(2300.0), None)
    job = edits.move_side(job, RoomId("long"), SideId("s1"), 1000.0)
    face = next(f for f in measure(job).rooms[0].faces if f.id == "s0")
    assert face.behind[-1].cls == "neighbour"
    assert face.behind[-1].to_mm == pytest.approx(6000.0)


def test_answer_for_a_wall_that_is_gone_is_one_sentence_and_loses_nothing() -> None:
    job = corner_wall()
    run = next(r for r in outline_runs(job) if "lower" in r.beside)
    without = edits.remove_room(job, RoomId("lower"))
    stretches = {key: parts for key, parts in run.stretches().items() if key[0] == "lower"}
    with pytest.raises(InputError, match="is gone: nothing was changed"):
        edits.answer_walls(without, stretches, "neighbour")
    both = {**stretches, (RoomId("long"), SideId("s1")): ((0.0, 3000.0),)}
    assert behind(edits.answer_walls(without, both, "neighbour"), "long", "s1") == (Behind(cls="neighbour"),)


# -- outside over a part


def test_wall_that_is_outside_over_a_part_is_coated_over_that_part_or_whole_by_choice() -> None:
    job = edits.set_behind(
        ALONE,
        RoomId("Kitchen"),
        SideId("s0"),
        (Behind(cls="outside", from_mm=2000.0), Behind(cls="same", to_mm=2000.0)),
    )
    job = answered(job, "right", "upper", "left")
    assert outside_parts(measure(job).rooms[0].faces[0]) == ((2000.0, None),)
    after = coated(job)
    side = edits.side_curve(after, RoomId("Kitchen"), SideId("s0"))[0]
    assert side.treatment == WallTreatment(parts_mm=((2000.0, None),))
    # 3 m of the wall and a return of 0.6 m at its outside end only: 3.6 × 2.4
    taken = measure(after)
    assert taken.totals["wall_net_m2"] == pytest.approx(3.6 * 2.4)
    assert taken.rooms[0].faces[0].coated_mm == ((2000.0, 5000.0),)
    # the band of ceiling runs along that part: 3 × 0.6
    assert taken.totals["ceiling_m2"] == pytest.approx(3.0 * 0.6)
    assert rule_of(after, outside_walls(taken.rooms)) == RULE
    whole = replace(RULE, whole_walls=True)
    after = coated(job, whole)
    # the whole wall of 5 m and returns at both ends
    assert measure(after).totals["wall_net_m2"] == pytest.approx(6.2 * 2.4)
    assert measure(after).totals["ceiling_m2"] == pytest.approx(5.0 * 0.6)
    assert rule_of(after, outside_walls(measure(after).rooms)) == whole


def test_coated_part_to_the_end_grows_with_its_wall_and_is_parted_with_it() -> None:
    job = edits.set_wall_treatment(ALONE, RoomId("Kitchen"), WallTreatment(parts_mm=((2000.0, None),)), SideId("s0"))
    grown = edits.move_side(job, RoomId("Kitchen"), SideId("s1"), 1000.0)
    assert measure(grown).rooms[0].faces[0].coated_mm == ((2000.0, 6000.0),)
    shifted = edits.move_side(job, RoomId("Kitchen"), SideId("s3"), 500.0)
    # the start moved out by 0.5 m: what is coated stays where it is
    assert measure(shifted).rooms[0].faces[0].coated_mm == ((2500.0, 5500.0),)
    parted = edits.insert_corner(job, RoomId("Kitchen"), SideId("s0"), 3000.0, 0.0)
    first, second = measure(parted).rooms[0].faces[:2]
    assert first.coated_mm == ((2000.0, 3000.0),)
    assert second.coated_mm == ((0.0, 2000.0),)
    assert measure(parted).totals["wall_net_m2"] == pytest.approx(measure(job).totals["wall_net_m2"])


def test_coated_part_that_its_wall_has_lost_is_told_and_measured_to_the_end() -> None:
    kept = WallTreatment(parts_mm=((1000.0, 4500.0),))
    job = edits.set_wall_treatment(ALONE, RoomId("Kitchen"), kept, SideId("s0"))
    job = edits.move_side(job, RoomId("Kitchen"), SideId("s1"), -1000.0)
    assert measure(job).rooms[0].faces[0].coated_mm == ((1000.0, 4000.0),)
    (told,) = [f for f in check(job) if f.code == "coated-part-outside-side"]
    assert told.text == (
        "A wall of Kitchen is coated from 1000 mm to 4500 mm, but is 4000 mm long: correct which part is coated."
    )


def test_band_along_a_part_in_the_middle_of_a_wall_keeps_to_it() -> None:
    job = edits.set_wall_treatment(ALONE, RoomId("Kitchen"), WallTreatment(parts_mm=((1000.0, 2500.0),)), SideId("s2"))
    band = (Border(width_mm=600.0, sides=(SideId("s2"), SideId("s1")), what="band", along_parts=True),)
    job = edits.set_ceiling_treatment(job, RoomId("Kitchen"), CeilingTreatment(only=band))
    room = measure(job).rooms[0]
    # 1.5 m along the upper wall, and all 4 m of the right one
    assert room.ceiling_m2 == pytest.approx(1.5 * 0.6 + 4.0 * 0.6)
    # 3.9 m from the right wall hold the strip of the part, and are counted once
    wide = tuple(replace(b, width_mm=3900.0) for b in band)
    job = edits.set_ceiling_treatment(job, RoomId("Kitchen"), CeilingTreatment(only=wide))
    assert measure(job).rooms[0].ceiling_m2 == pytest.approx(3.9 * 4.0)


def test_part_and_returns_that_meet_are_one_stretch() -> None:
    both = WallTreatment(start_mm=600.0, parts_mm=((500.0, 1500.0), (4000.0, 4500.0)), end_mm=300.0)
    job = edits.set_wall_treatment(ALONE, RoomId("Kitchen"), both, SideId("s0"))
    face = measure(job).rooms[0].faces[0]
    assert face.coated_mm == ((0.0, 1500.0), (4000.0, 4500.0), (4700.0, 5000.0))
    assert face.net_m2 == pytest.approx(2.3 * 2.4)


# -- what lies above a ceiling


def test_ceilings_under_the_roof_are_coated_and_no_others() -> None:
    rooms = tuple(box_room(name, 6000.0 * k, 0, 6000.0 * k + 5000, 4000) for k, name in enumerate("abc"))
    job = Job(storeys=(Storey(id=StoreyId("g"), rooms=rooms),))
    job = edits.answer_above(job, (RoomId("a"),), "roof")
    job = edits.answer_above(job, (RoomId("b"),), "heated")
    after = edits.coat_ceilings_under_roof(job)
    # nobody has said what lies above c: it stays as it is
    assert [r.ceiling_m2 for r in measure(after).rooms] == [pytest.approx(20.0), 0.0, pytest.approx(20.0)]


def test_run_words_for_many_rooms() -> None:
    run = Run("g", "left", 8400.0, ("a", "b", "c", "d", "e", "f"), (), ())
    assert run.words() == "Left run, 8.40 m, beside a, b, c, d and 2 more"
    assert replace(run, name="lower left 2").words(("Hall",)) == "Lower left run 2, 8.40 m, beside Hall"


def with_breast(deep_mm: float) -> Job:
    """A room of 5 × 4 m with a breast 1.4 m wide before its upper wall."""
    y = 4000.0 - deep_mm
    corners = ((0, 0), (5000, 0), (5000, 4000), (3200, 4000), (3200, y), (1800, y), (1800, 4000), (0, 4000))
    room = box_room("Living", 0, 0, 5000, 4000)
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=float(a), y_mm=float(b)) for k, (a, b) in enumerate(corners))
    return drawn(replace(room, outline=outline), outline=ALONE.storeys[0].building[0])


def test_cheeks_of_a_breast_go_with_the_wall_it_stands_at() -> None:
    job = with_breast(450.0)
    assert {b.cls for face in measure(job).rooms[0].faces for b in face.behind} == {"outside"}
    (upper,) = [run for run in outline_runs(job) if run.name == "upper"]
    job = edits.answer_walls(job, upper.stretches(), "neighbour")
    behind = {face.id: [(b.cls, b.claimed) for b in face.behind] for face in measure(job).rooms[0].faces}
    assert [behind[name] for name in ("s2", "s3", "s4", "s5", "s6")] == [[("neighbour", False)]] * 5
    assert behind["s1"] == [("outside", True)]
    bare = {str(face.id) for face in measure(coated(job)).rooms[0].faces if face.net_m2 == 0.0}
    assert {"s3", "s4", "s5"} <= bare
    # outside, a cheek is coated as the return that it is
    assert measure(coated(with_breast(450.0))).rooms[0].wall_net_m2 == pytest.approx(2.4 * (18.0 + 0.9))


def test_what_was_said_of_a_cheek_stays_and_a_deep_one_is_asked_about() -> None:
    job = with_breast(450.0)
    said = edits.answer_behind(job, RoomId("Living"), SideId("s3"), ((0.0, 450.0),), "unheated")
    behind = {face.id: face.behind[0].cls for face in measure(said).rooms[0].faces}
    assert (behind["s3"], behind["s5"]) == ("unheated", "outside")
    deep = {face.id: face.behind[0].cls for face in measure(with_breast(1000.0)).rooms[0].faces}
    assert deep["s3"] == deep["s5"] == "unknown"


def test_returns_of_a_short_wall_are_no_finding() -> None:
    coat = coated(with_breast(450.0))
    niche = edits.answer_behind(coat, RoomId("Living"), SideId("s3"), ((0.0, 450.0),), "heated")
    niche = recoated(niche, RULE, {"Living"})
    (short,) = [s for s in niche.storeys[0].rooms[0].outline if s.id == "s3"]
    assert short.treatment is not None
    assert short.treatment.start_mm == 600.0
    assert "return-longer-than-wall" not in {f.code for f in check(niche)}
