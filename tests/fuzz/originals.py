"""What the mutants of each kind are made from: sample plans, the tests' makers, and real plans where they are."""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "readers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "same"))
sys.path.insert(0, str(Path(__file__).resolve().parent))

import dxf_changes
import ifc_changes
import job_changes
import pdf_changes
import picture_changes
import test_dxf_mutants
import test_ifc_mutants
import test_pdf_mutants
import test_picture_mutants

TREE = Path(__file__).resolve().parents[2]
Change = Callable[[bytes, random.Random], bytes]
LARGEST_ORIGINAL = 3_000_000
LARGEST_MUTANT = 25_000_000
"""Larger ones are made anew: what is tried is the file, not the disk."""
DEEPER = 4000


class Kind(NamedTuple):
    """The suffix of its files, what they are made from, and how one is changed."""

    suffix: str
    originals: Callable[[Path], list[bytes]]
    changed: Change


def shared(*patterns: str) -> list[bytes]:
    """Real plans beside the tree; none where they are absent."""
    folder = next((p / "shared" / "plans" for p in TREE.parents if (p / "shared" / "plans").is_dir()), None)
    found = [] if folder is None else [p for pattern in patterns for p in sorted(folder.rglob(pattern))]
    return [p.read_bytes() for p in found if p.stat().st_size < LARGEST_ORIGINAL]


def dxf(folder: Path) -> list[bytes]:
    del folder
    return [*test_dxf_mutants.plans(), *shared("*.dxf")]


def ifc(folder: Path) -> list[bytes]:
    del folder
    small = [text.encode() for text in test_ifc_mutants.originals()[:3]]
    # A real model takes seconds: the small ones are tried more often.
    return [*small * 4, *shared("*.ifc")]


def pdf(folder: Path) -> list[bytes]:
    return [*test_pdf_mutants.everything(folder), *shared("*.pdf")]


def picture(folder: Path) -> list[bytes]:
    del folder
    return test_picture_mutants.everything()


def job(folder: Path) -> list[bytes]:
    """The sample job, and what is read from the sample plans."""
    del folder
    from takeoff.services.measured.job_result import job_json
    from takeoff.services.opened.opening import open_file

    samples = TREE / "sample_plans"
    read = [job_json(open_file(p).job) for p in sorted(samples.glob("*.dxf"))[:2]]
    return [*(p.read_bytes() for p in sorted(samples.glob("*.job.json"))), *read, *(2 * [one_room_with_everything()])]


def one_room_with_everything() -> bytes:
    """A room of the sample with a price, a programme, readings, looks, lots and all that is recorded of work: a small
    file, so that a change often meets what is rarely there."""
    import msgspec
    from test_german_sheets import dressed

    from takeoff.plan.model import Job
    from takeoff.storage import jobs

    sample = jobs.load((TREE / "sample_plans" / "terrace.job.json").read_bytes(), "terrace.job.json")
    storey = sample.storeys[0]
    room = storey.rooms[0]
    alone = msgspec.structs.replace(
        storey,
        rooms=(msgspec.structs.replace(room, readings=None),),
        openings=tuple(one for one in storey.openings if one.room == room.id and one.reveal_beyond is None),
        rooflights=(),
        set_together=None,
    )
    job = dressed(Job(name="Mill house", storeys=(alone,)), 3)
    tree = json.loads(jobs.encode(job))
    tree["work"] = work(str(room.id), storey.id)
    return jobs.dump(jobs.load(json.dumps(tree).encode(), "room.json"))


def work(room: str, storey: str) -> dict[str, Any]:
    """What was done, changed, billed and paid, one of each."""
    tub = {"item": "coat", "pack": "20 L tub", "count": 1, "batch": "B7"}
    line = {"what": "Skim", "quantity": "2.50", "unit": "m²", "price": "31.00", "tax": "19"}
    return {
        "movements": [{"moved": "delivered", "item": "coat", "pack": "20 L tub", "count": 3, "on": "2031-05-20"}],
        "stages": [{"room": room, "stage": "prepared", "on": "2031-05-21", "by": "Ann"}],
        "days": [
            {"room": room, "on": "2031-05-21", "who": "Ann", "hours": 7.5, "opened": [tub],
             "readings": [{"place": "wall A", "mm": 6.0}]}
        ],
        "changes": [{"number": 1, "place": "Hall", "what": "Wall opened", "lines": [line], "agreed_on": "2031-05-22",
                     "agreed_by": "Client", "state": "agreed"}],
        "contract": {"state": 1, "on": "2031-05-19", "by": "Client", "taxes": [{"rate": "19", "net": "1000.00"}],
                     "items": [{"item": "walls", "quantity": "30.00", "price": "31.00", "tax": "19"}],
                     "rooms": [{"room": f"{storey}/{room}", "name": "Hall", "weight": "1"}], "hour": "48", "tax": "19"},
        "bills": [{"number": 1, "on": "2031-05-23", "done": "400.00", "kept": "20.00", "due": "452.20"}],
        "payments": [{"on": "2031-06-01", "amount": "452.20"}],
        "keep_percent": "5",
        "defects": [{"number": 1, "place": "Hall", "what": "Scratch", "on": "2031-06-02"}],
    }  # fmt: skip


def container(folder: Path) -> list[bytes]:
    """The sample job as the window saves it, and a drawing with the job proposed from it."""
    from takeoff.services.opened.opening import open_file
    from takeoff.storage import jobfile
    from takeoff.storage.content import Content

    made = []
    for path in (TREE / "sample_plans" / "terrace.job.json", TREE / "sample_plans" / "flat_feet.dxf"):
        opened = open_file(path)
        saved = folder / "original.takeoff"
        jobfile.save(saved, Content(opened.job, opened.drawings, opened.findings))
        made.append(saved.read_bytes())
    return made


KINDS = {
    "dxf": Kind(".dxf", dxf, dxf_changes.changed),
    "ifc": Kind(".ifc", ifc, ifc_changes.changed),
    "pdf": Kind(".pdf", pdf, pdf_changes.changed),
    "picture": Kind(".png", picture, picture_changes.changed),
    "job": Kind(".json", job, job_changes.changed),
    "container": Kind(".takeoff", container, job_changes.container_changed),
}


def mutant(kind: str, originals: list[bytes], seed: int, number: int) -> bytes:
    """The mutant of this number; the same again for the same seed and the same originals."""
    rng = random.Random(f"{kind} {seed} {number}")
    # A tree nested as deep as Python reads is written again too, wherever this is called from.
    usual = sys.getrecursionlimit()
    sys.setrecursionlimit(usual + DEEPER)
    try:
        while True:
            made = KINDS[kind].changed(rng.choice(originals), rng)
            if len(made) <= LARGEST_MUTANT:
                return made
    finally:
        sys.setrecursionlimit(usual)


def write_originals(kind: str, folder: Path) -> None:
    """All originals of a kind as files, in their order."""
    folder.mkdir(parents=True, exist_ok=True)
    for number, data in enumerate(KINDS[kind].originals(folder)):
        (folder / f"{number:03d}.original").write_bytes(data)


def read_originals(folder: Path) -> list[bytes]:
    return [p.read_bytes() for p in sorted(folder.glob("*.original"))]
