"""What stays on everywhere, measured: skirting, coving and architraves as the job says once, each by hand."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest
from worked_rooms import WORKED, box, job_of, opening, sides

from takeoff.errors import InputError
from takeoff.measure import Memory, measure
from takeoff.measure.conventions import bill_room, load
from takeoff.measure.customs_assumed import custom_effects, customs_assumed
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import Band, Customs, Job, Reveal, Room, Side, Storey, WallTreatment
from takeoff.storage.jobs import dump
from takeoff.storage.jobs import load as load_job

replace = msgspec.structs.replace


def with_customs(job: Job, **customs: float) -> Job:
    return replace(job, customs=Customs(**customs))


def with_door(**changes: object) -> Job:
    """A room 5 × 4 × 2.4 m with a lined door 762 × 2040, which has no reveal, 1 m from the start of its first wall."""
    door = replace(opening("D", "door", "s0", 1000, 762, 0, 2040, 0), **changes)
    return job_of(sides(box(5000, 4000)), door)


def test_architrave_of_70_round_a_door_takes_0_349_m2_off_a_face() -> None:
    # two legs 2 × 0.07 × 2.04 = 0.2856, over the head (0.762 + 2 × 0.07) × 0.07 = 0.06314: 0.349 m²
    job = with_door()
    without, left_on = measure(job).rooms[0], measure(with_customs(job, architrave_mm=70)).rooms[0]
    assert without.wall_net_m2 - left_on.wall_net_m2 == pytest.approx(0.34874)
    assert left_on.excluded_m2 == pytest.approx(0.34874)
    assert left_on.openings_m2 == without.openings_m2
    # the coat ends against its outside: 2 × (2.04 + 0.07) + 0.762 + 2 × 0.07
    assert left_on.coat_edge_by_kind_m["against"] - without.coat_edge_by_kind_m["against"] == pytest.approx(5.122)


def test_door_between_rooms_has_an_architrave_on_both_faces() -> None:
    job = WORKED["H"]
    lined = [
        replace(o, reveal=Reveal(), reveal_beyond=None) if o.kind == "door" else o for o in job.storeys[0].openings
    ]
    job = replace(job, storeys=(replace(job.storeys[0], openings=tuple(lined)),))
    before, after = measure(job), measure(with_customs(job, architrave_mm=70))
    doors = [o for s in job.storeys for o in s.openings if o.kind == "door" and o.confidence == "sure"]
    assert len(doors) == 1
    wide, tall = doors[0].width_mm / 1000, doors[0].head_mm / 1000
    each = 2 * 0.07 * tall + (wide + 0.14) * 0.07
    taken = [a.wall_net_m2 - b.wall_net_m2 for a, b in zip(before.rooms, after.rooms, strict=True)]
    assert taken == pytest.approx([each, each])


def test_door_set_back_in_a_coated_reveal_has_no_architrave_on_that_face() -> None:
    job = with_door(reveal=opening("D", "door", "s0", 0, 1, 0, 1, 120).reveal)
    assert measure(with_customs(job, architrave_mm=70)).totals == measure(job).totals


def test_architrave_of_an_arched_door_goes_round_the_arch() -> None:
    # outside of it a half round of r = 0.45 + 0.07, and legs up to 2.04 − 0.45 = 1.59
    job = with_door(width_mm=900.0, shape="semicircular")
    taken = measure(job).totals["wall_net_m2"] - measure(with_customs(job, architrave_mm=70)).totals["wall_net_m2"]
    assert taken == pytest.approx(2 * 0.07 * 1.59 + math.pi / 2 * (0.52**2 - 0.45**2))


def test_architrave_is_cut_where_the_wall_ends_beside_its_door() -> None:
    # 30 mm of the corner beside it: that leg is 30 wide, its head piece too
    job = with_door(offset_mm=30.0)
    after = measure(with_customs(job, architrave_mm=70))
    taken = measure(job).totals["wall_net_m2"] - after.totals["wall_net_m2"]
    assert taken == pytest.approx((0.07 + 0.03) * 2.04 + (0.762 + 0.07 + 0.03) * 0.07)
    assert after.findings == ()


def test_skirting_and_coving_of_the_job_measure_as_those_of_each_room() -> None:
    # room A2 by hand: walls 18 × 2.18 − 1.44 − 0.9 × 1.92, ceiling 14.24; there the skirting
    # returns as well
    job = with_customs(WORKED["A"], skirting_mm=120, coving_mm=100)
    room = measure(job).rooms[0]
    assert room.wall_net_m2 == pytest.approx(36.072)
    assert room.ceiling_m2 == pytest.approx(14.240)
    assert room.reveal_m2 == pytest.approx(1.038)


def test_what_a_wall_says_itself_goes_before_the_custom() -> None:
    none = WallTreatment(bands=(Band(edge="bottom", to_mm=0.0),))
    tall = WallTreatment(bands=(Band(edge="bottom", to_mm=200.0),))
    job = job_of(sides(box(5000, 4000), treated={0: none, 1: tall}))
    # 5.0 has none, 4.0 has its own 200, the other 9.0 have 120
    room = measure(with_customs(job, skirting_mm=120)).rooms[0]
    assert room.excluded_m2 == pytest.approx(4 * 0.2 + 9 * 0.12)
    assert measure(job).rooms[0].excluded_m2 == pytest.approx(4 * 0.2)


def test_customs_that_come_off_measure_as_a_job_of_before() -> None:
    for name, job in WORKED.items():
        said = with_customs(job, skirting_mm=0, coving_mm=0, architrave_mm=0)
        assert measure(said).totals == measure(job).totals, name


def test_memory_measures_anew_when_a_custom_changes() -> None:
    memory, job = Memory(), with_door()
    before = memory.measure(job).totals["wall_net_m2"]
    assert memory.measure(with_customs(job, architrave_mm=70)).totals["wall_net_m2"] == pytest.approx(before - 0.34874)
    assert memory.measure(job).totals["wall_net_m2"] == before


def test_door_within_its_architrave_is_still_an_opening_of_the_bill() -> None:
    # a door of 1.554 m² is measured over by this convention, and the architrave, no wider than 100, is measured through
    job = with_customs(with_door(), architrave_mm=70)
    billed = bill_room(load("de-vob"), measure(job).rooms[0])
    assert billed.wall_m2 == pytest.approx(18 * 2.4)


HOUSE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def bare_of_bands(job: Job) -> Job:
    """The job with every strip that its walls and ceilings keep taken away."""
    for room in [room for storey in job.storeys for room in storey.rooms]:
        faces = {room.id: edits.all_sides(room)}
        job = edits.set_coving(edits.set_band(job, faces, "bottom", None), (room.id,), None)
    return job


# Coving round the cheeks of a dormer (E) is told to a tenth; G has a hatch whose architrave a corner cuts.
@pytest.mark.parametrize(
    ("name", "share"), [("A", 0.01), ("C", 0.01), ("D", 0.01), ("E", 0.1), ("F", 0.01), ("H", 0.01)]
)
def test_what_is_told_of_a_custom_is_what_saying_so_changes(name: str, share: float) -> None:
    job = WORKED[name]
    before = measure(job)
    told = {effect.of: effect.amount for effect in custom_effects(job, before)}
    for asked, custom, size in (
        ("skirting", "skirting", 120),
        ("coving", "coving", 100),
        ("architraves", "architrave", 70),
    ):
        after = measure(edits.set_custom(job, custom, size))
        walls = sum(before.totals[key] - after.totals[key] for key in ("wall_net_m2", "ceiling_m2"))
        assert told.get(asked, 0.0) == pytest.approx(walls, rel=share, abs=0.051), asked
    kept = measure(edits.set_bead_default(job, "existing")).totals["bead_m"]
    assert told.get("arrises", 0.0) == pytest.approx(before.totals["bead_m"] - kept)


def test_what_is_told_of_a_whole_house_is_what_saying_so_changes() -> None:
    job = bare_of_bands(load_job(HOUSE.read_bytes(), HOUSE.name))
    before = measure(job)
    told = {effect.of: effect.amount for effect in custom_effects(job, before)}
    for asked, custom, size in (
        ("skirting", "skirting", 120),
        ("coving", "coving", 100),
        ("architraves", "architrave", 70),
    ):
        after = measure(edits.set_custom(job, custom, size))
        changed = sum(before.totals[key] - after.totals[key] for key in ("wall_net_m2", "ceiling_m2"))
        assert told.get(asked, 0.0) == pytest.approx(changed, rel=0.025), asked


def test_the_end_of_a_hairline_wall_is_not_mitred_to_its_tip() -> None:
    """4 × 3 m with a slit of 1 mm that runs 1.5 m in: (14 − 0.001 + 3) m of wall at 100 mm on wall and ceiling are
    3.4 m²; the tips and corners change it by some hundredths, not by the 30 m² of strips that end far off."""
    slit = ((0, 0), (4000, 0), (4000, 3000), (2000.5, 3000), (2000, 1500), (1999.5, 3000), (0, 3000))
    sides = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(slit))
    job = Job(storeys=(Storey(id="g", rooms=(Room(id="r", outline=sides),), height_mm=2400.0),))
    told = {effect.of: effect.amount for effect in custom_effects(job, measure(job))}
    assert told["coving"] == pytest.approx(3.4, abs=0.15)


def test_each_custom_is_told_until_it_is_answered() -> None:
    job = with_door()
    told = [finding.text for finding in customs_assumed(job, measure(job))]
    # floor edge 18 − 0.762 m × 0.12; coving 18 × 2 × 0.1 − 4 × 0.01; the door's 0.349; no arris in a plain room
    assert told == [
        "Skirting is taken to come off: keeping it at 120 mm would take about 2.1 m² off the walls.",
        "Coving is taken to come off: keeping it at 100 mm would take about 3.6 m² off walls and ceilings.",
        "Architraves are taken to come off: keeping them at 70 mm would take about 0.3 m² off the walls.",
    ]
    for custom, left in (("skirting", 2), ("coving", 1), ("architrave", 0)):
        job = edits.set_custom(job, custom, 0)
        assert len(customs_assumed(job, measure(job))) == left


def test_one_edit_accepts_all_that_is_assumed_and_leaves_what_was_said() -> None:
    job = edits.set_custom(WORKED["A"], "skirting", 120)
    accepted = edits.accept_customs(job)
    assert accepted.customs == Customs(skirting_mm=120, coving_mm=0, architrave_mm=0, bead_said=True)
    assert customs_assumed(accepted, measure(accepted)) == ()
    assert measure(accepted).totals == measure(job).totals
    usual = edits.accept_customs(WORKED["A"], Customs(architrave_mm=70))
    assert usual.customs == Customs(skirting_mm=0, coving_mm=0, architrave_mm=70, bead_said=True)


def test_skirting_of_five_metres_is_refused() -> None:
    with pytest.raises(
        InputError, match=r"^Skirting of 5000 mm is not usual: type at most 1000 mm, or 0 if it comes off\.$"
    ):
        edits.set_custom(WORKED["A"], "skirting", 5000)
    with pytest.raises(InputError):
        edits.set_custom(WORKED["A"], "architrave", -1)


def test_job_file_with_a_skirting_of_five_metres_is_refused_by_its_field() -> None:
    data = dump(with_customs(WORKED["A"], skirting_mm=120)).replace(b'"skirting_mm": 120', b'"skirting_mm": 5000')
    with pytest.raises(InputError, match=r"customs\.skirting_mm"):
        load_job(data, "job.json")


def test_nought_on_a_wall_says_that_nothing_stays_on_there_only_under_a_custom() -> None:
    job = WORKED["A"]
    faces = {job.storeys[0].rooms[0].id: ("s0",)}
    assert edits.set_band(job, faces, "bottom", 0) is job
    under = edits.set_custom(job, "skirting", 120)
    none = edits.set_band(under, faces, "bottom", 0)
    assert measure(none).totals["excluded_m2"] == pytest.approx(measure(under).totals["excluded_m2"] - 5 * 0.12)
    assert check(none) == check(under)
    assert edits.set_band(none, faces, "bottom", None) == under
