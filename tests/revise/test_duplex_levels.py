"""Two levels of a real building laid over each other: a sensible list, and the question whether it is another plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.cli.main import run
from takeoff.services.changed.comparing import Comparison, compare_files

DUPLEX = Path(__file__).parents[2] / ".." / "shared" / "plans" / "duplex"
ONE, TWO = DUPLEX / "duplex_L1.dxf", DUPLEX / "duplex_L2.dxf"
pytestmark = pytest.mark.skipif(not ONE.exists(), reason="../shared/plans/duplex is not there")


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    job = tmp_path_factory.mktemp("duplex") / "one.json"
    assert run(["job", str(ONE), "-o", str(job)]) == 0
    return compare_files(job, [TWO])


def test_it_may_be_another_plan(done: Comparison) -> None:
    assert done.another_plan


def test_the_list_is_sensible(done: Comparison) -> None:
    """The rooms of the lower level stay as they are; those of the upper one are a storey more, each once, and every
    figure closes."""
    difference = done.compared.difference
    before = {str(room.id) for storey in done.old.job.storeys for room in storey.rooms}
    assert {room.room for room in difference.rooms if room.change == "same"} == before
    added = [room for room in difference.rooms if room.change == "added"]
    assert len(added) + len(before) == len(difference.rooms)
    assert len(added) == sum(len(storey.rooms) for storey in done.news[0].job.storeys)
    assert all(q.old + q.added - q.omitted == q.new for q in difference.totals.values())
    assert done.compared.lost == ()


def test_nothing_is_written_until_somebody_says_so(done: Comparison, tmp_path: Path) -> None:
    out = tmp_path / "out"
    job = str(done.old.path)
    assert run(["compare", job, str(TWO), "-o", str(out)]) == 1
    assert not out.exists()
    assert run(["compare", job, str(TWO), "-o", str(out), "--even-so"]) == 0
    assert (out / "variation.pdf").exists()
