"""A program that edits a job and saves it now and then, until it is killed. Run by ``test_kills.py``.

``editing_program.py JOB STATE LOG SEED``: takes back what the last run lost, goes on from there, and
writes to LOG, a line at a time, when it makes edit N and from when on edit N is said to be safe.
"""

from __future__ import annotations

import os
import random
import sys
import time
from pathlib import Path

import numpy as np
from msgspec.structs import replace

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.model import Job, Opening, OpeningId, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.storage import jobfile, lock
from takeoff.storage.content import Content
from takeoff.storage.offers import discard, offers, restore
from takeoff.storage.recovery import Recovery

ROOMS = 400
EDIT_EVERY_S = 0.01


def job_after(edits: int) -> Job:
    """The job after so many edits: in turn each room is named and its window widened by 1 mm."""
    return Job(
        name=f"edit {edits}",
        storeys=(
            Storey(
                id=StoreyId("g"),
                rooms=tuple(_room(i, edits) for i in range(ROOMS)),
                openings=tuple(_window(i, edits) for i in range(ROOMS)),
            ),
        ),
    )


def _turns(index: int, edits: int) -> int:
    return (edits - index + ROOMS - 1) // ROOMS if edits > index else 0


def _room(index: int, edits: int) -> Room:
    x, y = index % 20 * 5000.0, index // 20 * 4000.0
    corners = ((x, y), (x + 4000.0, y), (x + 4000.0, y + 3000.0), (x, y + 3000.0))
    sides = tuple(Side(id=SideId(f"{index}-{k}"), x_mm=u, y_mm=v) for k, (u, v) in enumerate(corners))
    return Room(id=RoomId(f"r{index}"), name=f"{_turns(index, edits)} times", outline=sides)


def _window(index: int, edits: int) -> Opening:
    return Opening(
        id=OpeningId(f"w{index}"),
        kind="window",
        room=RoomId(f"r{index}"),
        side=SideId(f"{index}-0"),
        offset_mm=500.0,
        width_mm=800.0 + _turns(index, edits),
        sill_mm=900.0,
        head_mm=2100.0,
    )


def edited(job: Job, edits: int) -> Job:
    """One edit more than ``edits``; rooms that it does not touch stay the same objects."""
    index, storey = edits % ROOMS, job.storeys[0]
    rooms, windows = list(storey.rooms), list(storey.openings)
    rooms[index], windows[index] = _room(index, edits + 1), _window(index, edits + 1)
    storey = replace(storey, rooms=tuple(rooms), openings=tuple(windows))
    return replace(job, name=f"edit {edits + 1}", storeys=(storey,))


def drawing(version: int) -> Drawing:
    """Linework of 20,000 lines; another version is imported now and then."""
    lines = np.full((20_000, 4), float(version))
    return Drawing(f"drawing {version}", (Layer("0"),), Linework(lines))


def edits_in(content: Content) -> int:
    """How many edits are in a job; it must then be exactly the job after them, with its drawing."""
    edits = int(content.job.name.removeprefix("edit "))
    assert content.job == job_after(edits), f"the job after {edits} edits is another one"
    version = int(content.drawings[FIRST].name.removeprefix("drawing "))
    assert version == edits // 100, f"drawing {version} with edit {edits}"
    assert (content.drawings[FIRST].lines.segments == float(version)).all()
    return edits


def best(job: Path, state: Path) -> tuple[Content, int]:
    """The furthest content that the job's file or an offered copy holds. Raises where one is broken."""
    held = [jobfile.load(job)] if job.exists() else []
    offered, findings = offers(state)
    assert findings == (), findings
    held += [restore(offer) for offer in offered]
    if not held:
        return Content(job_after(0), {FIRST: drawing(0)}), 0
    return max(((content, edits_in(content)) for content in held), key=lambda pair: pair[1])


def run(job: Path, state: Path, log: int, dice: random.Random) -> None:
    held = lock.take(job)
    assert held.held, held.warning
    content, edits = best(job, state)
    taken = offers(state)[0]
    recovery = Recovery(state)
    recovery.note(content, job)
    recovery.flush()
    for offer in taken:
        discard(offer)
    say(log, "ready", edits)
    save_at = time.monotonic() + dice.uniform(0.2, 2.0)
    while True:
        time.sleep(EDIT_EVERY_S if dice.random() < 0.99 else 0.7)  # a pause now and then
        new = edited(content.job, edits)
        edits += 1
        content = replace(content, job=new)
        if edits % 100 == 0:
            content = replace(content, drawings={FIRST: drawing(edits // 100)})
        recovery.note(content, job)
        say(log, "edit", edits)
        if time.monotonic() > save_at:
            save_at = time.monotonic() + dice.uniform(0.2, 2.0)
            say(log, "saving", edits)
            recovery.flush()
            jobfile.save(job, content, new if dice.random() < 0.5 else None)
            say(log, "saved", edits)
            recovery.saved()
            say(log, "dropped", edits)
        elif recovery.due_in_s() == 0.0:
            say(log, "copying", edits)
            recovery.flush()
            say(log, "copied", edits)


def say(log: int, what: str, edits: int) -> None:
    """One write per line, so that a kill loses no line that was written."""
    os.write(log, f"{what} {edits} {time.monotonic()}\n".encode())


if __name__ == "__main__":
    job_path, state_path, log_path = (Path(text) for text in sys.argv[1:4])
    run(
        job_path,
        state_path,
        os.open(log_path, os.O_CREAT | os.O_APPEND | os.O_WRONLY, 0o600),
        random.Random(int(sys.argv[4])),
    )
