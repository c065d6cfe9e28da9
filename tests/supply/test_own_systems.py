"""Systems of the user's own: found in his folder, kept by the job, told when they moved on."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.supply.systems import (
    as_copy,
    chosen,
    encoded,
    load,
    moved_on,
    of_job,
    own_folder,
    own_systems,
    read_file,
    remove_own,
    save_own,
    use_from_now_on,
    usual_system,
)

pytestmark = pytest.mark.usefixtures("own_folder")

DEMO = load("demo-lime-foam")
OWN = msgspec.structs.replace(DEMO, id="own-foam", name="Own foam")


def test_own_system_is_found_by_its_id_and_by_its_file() -> None:
    assert own_systems() == {}
    path = save_own(OWN)
    assert path.parent == own_folder()
    assert load("own-foam") == OWN == chosen("own-foam") == chosen(str(path)) == read_file(path)
    remove_own("own-foam")
    with pytest.raises(InputError, match="choose one of demo-coat-b, demo-lime-foam"):
        load("own-foam")


def test_those_of_the_program_stay_as_they_are() -> None:
    with pytest.raises(InputError, match="comes with the program"):
        save_own(DEMO)
    own_folder().mkdir(parents=True)
    (own_folder() / "demo-lime-foam.json").write_bytes(encoded(msgspec.structs.replace(DEMO, name="Other")))
    assert load("demo-lime-foam") == DEMO


def test_job_keeps_its_copy_whatever_becomes_of_the_file() -> None:
    save_own(OWN)
    job = edits.set_system(Job(), OWN.id, as_copy(OWN))
    assert (of_job(job), moved_on(job)) == (OWN, "")
    assert edits.set_system(job, OWN.id, as_copy(OWN)) is job
    save_own(msgspec.structs.replace(OWN, kerf_mm=3.0))
    assert (of_job(job), moved_on(job)) == (OWN, "changed")
    remove_own(OWN.id)
    assert (of_job(job), moved_on(job)) == (OWN, "gone")
    assert moved_on(Job()) == ""


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"currency": "ZZ"}, "currency"),
        ({"coat": 7}, "coat"),
        ({"beads": [{"id": "x"}]}, "beads"),
        ({"kerf_mm": -1}, "kerf_mm"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_wrong_field_in_a_file_or_in_a_job_is_named(tmp_path: Path, change: dict[str, object], said: str) -> None:
    tree = as_copy(OWN) | change
    path = tmp_path / "wrong.json"
    path.write_text(json.dumps(tree))
    with pytest.raises(InputError, match=rf"wrong\.json is not a coating system: .*{said}"):
        read_file(path)
    with pytest.raises(InputError, match=rf"The coating system in the job is not a coating system: .*{said}"):
        of_job(edits.set_system(Job(), "x", tree))


def test_missing_field_and_files_that_are_none_are_told(tmp_path: Path) -> None:
    tree = as_copy(OWN)
    del tree["coat"]
    path = tmp_path / "less.json"
    path.write_text(json.dumps(tree))
    with pytest.raises(InputError, match=r"less\.json is not a coating system: .*missing required field `coat`"):
        read_file(path)
    with pytest.raises(InputError, match="could not be read"):
        read_file(tmp_path / "gone.json")
    path.write_bytes(b" " * (2 << 20))
    with pytest.raises(InputError, match="far too large"):
        read_file(path)


def test_new_jobs_begin_with_the_usual_one_while_there_is_one() -> None:
    assert usual_system() == DEMO
    save_own(OWN)
    use_from_now_on(OWN.id)
    assert usual_system() == OWN
    remove_own(OWN.id)
    assert usual_system() == DEMO
    with pytest.raises(InputError, match="There is no coating system"):
        use_from_now_on("none")
