"""The sample house, drawing A against B: what a person finds by hand, and nothing else."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from takeoff.plan.model import Job
from takeoff.revise.comparison import Compared, compared
from takeoff.services.changed.comparing import compare_files, difference_json, drawn_of, is_older, names_written
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.opened.several_drawings import all_in_one
from takeoff.sheets.printed_figures import room_figures
from takeoff.storage import jobs

SAMPLES = Path(__file__).parents[2] / "sample_plans"
MAIN = ("wall_net_m2", "ceiling_m2", "drop_m2", "reveal_m2", "coated_m2", "bead_m")


@pytest.fixture(scope="module")
def house() -> Opened:
    """Ground and first floor as drawn in A, with what the drawings leave open as assumed."""
    first, second = (open_file(SAMPLES / f"terrace_{name}.dxf") for name in ("ground", "first"))
    return all_in_one(first, [second])


@pytest.fixture(scope="module")
def job_file(house: Opened, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("house") / "house.json"
    path.write_bytes(jobs.dump(house.job))
    return path


def revised(house: Opened, *names: str) -> Compared:
    news = [open_file(SAMPLES / f"terrace_{name}.dxf") for name in names]
    return compared(house.job, [drawn_of(one) for one in news], printing=room_figures, names=names_written(house))


def changes(done: Compared) -> dict[str, dict[str, float]]:
    """By room the figures that are otherwise, by how much."""
    return {
        room.name: {key: float(room.quantities[key].net) for key in MAIN if room.quantities[key].net}
        for room in done.difference.changed
    }


def test_from_a_to_b_exactly_these(house: Opened) -> None:
    """Kitchen: a window 0.9 × 1.2 = 1.080; reveals (0.9 + 2 × 1.2) × 0.15 = 0.495; bead 0.9 + 2 × 1.2 = 3.300.
    Bathroom 250 wider: 2 × 0.25 × 2.4 = 1.200, 0.25 × 3.3 = 0.825. Bedroom 2: 0.25 × 3.4 = 0.850, an arris of 2.4."""
    done = revised(house, "ground_rev_b", "first_rev_b", "attic_rev_b")
    found = changes(done)
    assert found.pop("Kitchen") == {"wall_net_m2": -1.08, "reveal_m2": 0.495, "coated_m2": -0.585, "bead_m": 3.3}
    assert found.pop("Bathroom") == {"wall_net_m2": 1.2, "ceiling_m2": 0.825, "coated_m2": 2.025}
    assert found.pop("Bedroom 2") == {"ceiling_m2": -0.85, "coated_m2": -0.85, "bead_m": 2.4}
    assert set(found) == {"Attic room", "Attic store"}
    assert {r.name for r in done.difference.rooms if r.change == "added"} == {"Attic room", "Attic store"}
    assert done.lost == ()
    assert not done.another_plan


def test_a_wall_more_and_a_wall_less_are_both_told(house: Opened) -> None:
    """Bedroom 2: the jog of 0.25 × 2.4 = 0.600 is added, as much goes from the wall beside it."""
    done = revised(house, "ground_rev_b", "first_rev_b")
    bedroom = next(room for room in done.difference.rooms if room.name == "Bedroom 2")
    wall = bedroom.quantities["wall_net_m2"]
    assert (float(wall.added), float(wall.omitted), float(wall.net)) == (0.6, 0.6, 0.0)


def test_every_difference_closes_exactly(house: Opened) -> None:
    difference = revised(house, "ground_rev_b", "first_rev_b", "attic_rev_b").difference
    for totals, of in ((difference.totals, "quantities"), (difference.printed_totals, "printed")):
        for key, total in totals.items():
            rooms = [getattr(room, of)[key] for room in difference.rooms]
            assert all(q.old + q.added - q.omitted == q.new for q in rooms)
            assert all(q.added >= 0 and q.omitted >= 0 for q in rooms)
            assert sum(q.net for q in rooms) == total.net
            assert total.old + total.added - total.omitted == total.new


def test_printed_totals_are_those_of_the_sheets(house: Opened) -> None:
    """What the room schedule of either state adds up to."""
    done = revised(house, "ground_rev_b", "first_rev_b")
    for takeoff, state in zip(done.taken, ("old", "new"), strict=True):
        for key in MAIN:
            rooms = sum(room_figures(room)[key] * room.times for room in takeoff.rooms)
            assert getattr(done.difference.printed_totals[key], state) == rooms


def test_a_against_a_changes_nothing(house: Opened) -> None:
    done = revised(house, "ground", "first")
    assert done.difference.changed == ()
    assert done.lost == ()
    assert done.job.storeys == house.job.storeys


def test_b_accepted_and_b_again_changes_nothing(house: Opened) -> None:
    accepted = revised(house, "ground_rev_b", "first_rev_b", "attic_rev_b").job
    again = revised(msgspec.structs.replace(house, job=accepted), "ground_rev_b", "first_rev_b", "attic_rev_b")
    assert again.difference.changed == ()
    assert again.job.storeys == accepted.storeys


def test_accepted_measures_as_the_new_drawing_does(house: Opened) -> None:
    accepted = revised(house, "ground_rev_b", "first_rev_b").taken[1].totals
    first, second = (open_file(SAMPLES / f"terrace_{name}_rev_b.dxf") for name in ("ground", "first"))
    from takeoff.measure import measure

    fresh = measure(all_in_one(first, [second]).job).totals
    assert {key: accepted[key] for key in MAIN} == pytest.approx({key: fresh[key] for key in MAIN}, abs=1e-9)


def test_a_refused_room_stays_as_it_was(house: Opened) -> None:
    every = revised(house, "ground_rev_b", "first_rev_b")
    kitchen = next(room.room for room in every.difference.changed if room.name == "Kitchen")
    drawn = [drawn_of(open_file(SAMPLES / f"terrace_{name}_rev_b.dxf")) for name in ("ground", "first")]
    some = compared(house.job, drawn, refused={kitchen})
    assert {room.name for room in some.difference.changed} == {"Bathroom", "Bedroom 2"}


def test_a_storey_that_is_in_no_new_drawing_stays(house: Opened) -> None:
    done = revised(house, "first_rev_b")
    assert [f.text for f in done.findings if f.code == "revision-storey-missing"] == [
        "GROUND FLOOR is in none of the new drawings: it stays as it is."
    ]
    assert set(changes(done)) == {"Bathroom", "Bedroom 2"}


def test_an_attic_alone_may_be_another_plan(house: Opened) -> None:
    assert revised(house, "attic_rev_b").another_plan


def test_files_tell_the_same_file_and_an_older_one(job_file: Path) -> None:
    same = compare_files(job_file, [SAMPLES / "terrace_ground.dxf"])
    assert any(f.code == "revision-same-file" for f in same.findings)
    newer = compare_files(job_file, [SAMPLES / "terrace_ground_rev_b.dxf"])
    assert not any(f.code in ("revision-older", "revision-same-file") for f in newer.findings)


def test_going_back_to_an_older_drawing_is_told(house: Opened, tmp_path: Path) -> None:
    path = tmp_path / "b.json"
    path.write_bytes(jobs.dump(revised(house, "ground_rev_b").job))
    back = compare_files(path, [SAMPLES / "terrace_ground.dxf"])
    assert [f.text for f in back.findings if f.code == "revision-older"] == [
        "terrace_ground.dxf is revision A, but the job has revision B already: check that it is the later one."
    ]


@pytest.mark.parametrize(
    ("new", "old", "older"),
    [("A", "B", True), ("B", "A", False), ("Z", "AA", True), ("P02", "P10", True), ("", "B", False), ("1", "B", False)],
)
def test_revisions_are_told_apart_by_their_kind(house: Opened, new: str, old: str, older: bool) -> None:
    ref = house.job.drawings[0]
    assert is_older(msgspec.structs.replace(ref, revision=new), msgspec.structs.replace(ref, revision=old)) is older


def test_the_json_has_its_shape(job_file: Path) -> None:
    done = compare_files(job_file, [SAMPLES / f"terrace_{name}_rev_b.dxf" for name in ("ground", "first", "attic")])
    value = msgspec.json.decode(difference_json(done))
    assert {"schema", "old", "new", "placement", "rooms", "totals", "lost", "findings"} <= value.keys()
    assert value["placement"]["fit"] == 1.0
    kitchen = next(room for room in value["rooms"] if room["name"] == "Kitchen")
    assert kitchen["change"] == "altered"
    assert kitchen["quantities"]["wall_net_m2"] == {"old": 32.544, "new": 31.464, "added": 0.0, "omitted": 1.08}
    assert isinstance(done.compared.job, Job)
