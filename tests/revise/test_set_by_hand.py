"""What somebody set otherwise than the drawing has it stays while the designer leaves it as it was: walls that were
moved, rooms parted, joined, taken out or put in, openings likewise. Where he changes it too, there is a line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from takeoff.plan import edits
from takeoff.plan.model import Job, Room
from takeoff.services.changed.comparing import Comparison, accepted_of, laid_over, read_as
from takeoff.services.opened.opening import Opened, open_file

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def ground() -> Opened:
    return open_file(SAMPLES / "terrace_ground.dxf")


@pytest.fixture(scope="module")
def same(ground: Opened) -> Opened:
    return read_as(ground.job, SAMPLES / "terrace_ground.dxf")


@pytest.fixture(scope="module")
def later(ground: Opened) -> Opened:
    return read_as(ground.job, SAMPLES / "terrace_ground_rev_b.dxf")


def called(job: Job, name: str) -> Room:
    return next(room for room in job.storeys[0].rooms if room.name == name)


def wall_moved(job: Job, name: str = "Living room") -> Job:
    room = called(job, name)
    low = min(room.outline, key=lambda side: side.y_mm)
    return edits.move_wall(job, room.id, low.id, 120.0)


def parted(job: Job, name: str = "Living room") -> Job:
    room = called(job, name)
    xs, ys = [side.x_mm for side in room.outline], [side.y_mm for side in room.outline]
    y = min(ys) + 700.0
    return edits.split_room(job, room.id, (min(xs), y), (max(xs), y), "open", name="Bay")


def joined(job: Job) -> Job:
    return edits.join_rooms(job, called(job, "WC").id, called(job, "Store").id)


def taken_out(job: Job) -> Job:
    return edits.remove_room(job, called(job, "Store").id)


def window_gone(job: Job) -> Job:
    window = next(o for o in job.storeys[0].openings if o.kind == "window" and o.room == called(job, "Living room").id)
    return edits.remove_opening(job, window.id)


def window_slid(job: Job) -> Job:
    window = next(o for o in job.storeys[0].openings if o.kind == "window" and o.room == called(job, "Living room").id)
    return edits.slide_opening(job, window.id, window.offset_mm + 150.0)


EDITS: dict[str, Callable[[Job], Job]] = {
    "a wall moved": wall_moved,
    "a room parted": parted,
    "rooms joined": joined,
    "a room taken out": taken_out,
    "a window taken out": window_gone,
    "a window slid": window_slid,
}


def against(ground: Opened, edit: Callable[[Job], Job], new: Opened) -> tuple[Job, Comparison]:
    job = edit(ground.job)
    assert job.storeys != ground.job.storeys
    return job, laid_over(msgspec.structs.replace(ground, job=job), [new])


@pytest.mark.parametrize("name", EDITS)
def test_the_same_drawing_again_undoes_nothing(ground: Opened, same: Opened, name: str) -> None:
    job, done = against(ground, EDITS[name], same)
    assert done.compared.difference.changed == ()
    assert done.compared.job.storeys == job.storeys
    assert done.compared.lost == ()


@pytest.mark.parametrize("name", EDITS)
def test_a_revision_changes_what_the_designer_changed_alone(ground: Opened, later: Opened, name: str) -> None:
    """Kitchen: a window added, wall −1.080; what was set in other rooms stays as it is."""
    job, done = against(ground, EDITS[name], later)
    (kitchen,) = done.compared.difference.changed
    assert (kitchen.name, float(kitchen.quantities["wall_net_m2"].net)) == ("Kitchen", -1.08)
    rooms = {room.id: room for room in done.compared.job.storeys[0].rooms}
    assert rooms == {room.id: room for room in job.storeys[0].rooms}
    assert accepted_of(done, {kitchen.room}).storeys == job.storeys


def test_a_window_comes_into_a_room_whose_wall_was_moved(ground: Opened, later: Opened) -> None:
    """The kitchen's front wall was moved by hand; B has it where it was and a window more, wherever it is."""
    job, done = against(ground, lambda job: wall_moved(job, "Kitchen"), later)
    (kitchen,) = done.compared.difference.changed
    assert float(kitchen.quantities["openings_m2"].net) == 1.08
    assert called(done.compared.job, "Kitchen").outline == called(job, "Kitchen").outline


def test_what_is_left_out_is_told(ground: Opened, same: Opened) -> None:
    _, done = against(ground, taken_out, same)
    told = [f.text for f in done.findings if f.code == "revision-left-out"]
    assert "Store is drawn as it was before, but is not in the job: it stays out." in told


def test_a_room_that_both_changed_is_told(ground: Opened) -> None:
    """The kitchen's wall was moved by hand, and a later drawing has another outline of it: the drawing goes before,
    with a line."""
    job = wall_moved(ground.job)
    storey = ground.job.storeys[0]
    living = called(ground.job, "Living room")
    drawn = edits.move_wall(ground.job, living.id, max(living.outline, key=lambda side: side.x_mm).id, 200.0)
    from takeoff.revise.comparison import Drawn, compared

    done = compared(job, [Drawn("c.dxf", drawn.storeys)], own={storey.id: storey})
    assert [(one.what, one.where) for one in done.lost] == [("outline that was set by hand", living.title)]
