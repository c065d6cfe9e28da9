"""Which findings are still open: those that the user has settled are told no more, and those that the job
alone cannot find again go with it until they are answered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache

import msgspec

from takeoff.errors import Facts, Finding, Where
from takeoff.files.paths import resource
from takeoff.findings import may_accept, settled_by, told_before
from takeoff.findings.known_again import known, rounded, says
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.model import DrawingId, Job, Settled, Unsettled

NO_ROOM = "no-room-found"
FOUND_AGAIN = frozenset({NO_ROOM, "picture-to-trace", "page-is-picture"})
"""Errors of opening a drawing that a job shows by itself: it has no room, or its picture has no scale."""


def with_unsettled(job: Job, told: Iterable[Finding], drawing: DrawingId = FIRST) -> Job:
    """The job with the errors among what opening one of its drawings has told, in place of those it had of it."""
    others = tuple(one for one in job.unsettled if one.drawing not in (None, drawing))
    own = tuple(
        Unsettled(code=f.code, text=f.text, where=f.where, drawing=drawing, facts=kept_facts(f), evidence=f.evidence)
        for f in dict.fromkeys(told)
        if f.severity == "error" and f.code not in FOUND_AGAIN
    )
    return msgspec.structs.replace(job, unsettled=(*others, *own))


def unsettled_findings(job: Job, drawing: DrawingId | None = None) -> tuple[Finding, ...]:
    """The errors that the job brought with it, of all its drawings or of one, as they were told when those
    were opened."""
    return tuple(
        told_before(one, "error") for one in job.unsettled if drawing is None or one.drawing in (None, drawing)
    )


def open_findings(job: Job, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that are neither settled nor about a room or opening that is gone, nor a doubt about a room that
    somebody has said is one. Errors stay unless the ledger lets them be accepted.

    A finding is settled by its facts and its place, whatever its words: with another figure it is open again.
    """
    settled = known_among(job.settled)
    rooms = {str(room.id) for storey in job.storeys for room in storey.rooms}
    sure = {str(room.id) for storey in job.storeys for room in storey.rooms if room.confidence == "sure"}
    openings = {str(o.id) for storey in job.storeys for o in storey.openings}
    openings |= {str(light.id) for storey in job.storeys for light in storey.rooflights}

    def is_open(finding: Finding) -> bool:
        if finding.code == NO_ROOM and rooms:
            return False  # its rooms were drawn by hand
        if finding.severity == "error":
            return not (may_accept(finding) and settled(finding))
        where = finding.where
        if (where.room and where.room not in rooms) or (where.opening and where.opening not in openings):
            return False
        if where.room in sure and settled_by(finding) == "room":
            return False
        return not settled(finding)

    return tuple(finding for finding in findings if is_open(finding))


# Known again -----------------------------------------------------------------------------------------

Kept = Finding | Settled | Unsettled


def kept_facts(one: Kept) -> Facts | None:
    """By what it is known again; None where it was told or kept before facts were."""
    return one.facts or None


def known_among(kept: Iterable[Kept]) -> Callable[[Kept], bool]:
    """Whether a finding is one of these: by key, facts and place. One that was kept before facts were is known by its
    sentence, as it was worded then."""
    kept = tuple(kept)
    everything = {known(one.facts, one.where) for one in kept if one.facts}
    by_place: dict[tuple[str, Where], list[Kept]] = {}
    for one in kept:
        by_place.setdefault((one.code, rounded(one.where)), []).append(one)

    def is_known(one: Kept) -> bool:
        if one.facts and known(one.facts, one.where) in everything:
            return True
        return any(_same_words(one, other) for other in by_place.get((one.code, rounded(one.where)), ()))

    return is_known


def _same_words(one: Kept, other: Kept) -> bool:
    """Of two of one code and place: whether they say the same, where one of them is a sentence alone."""
    if one.facts and other.facts:
        return False
    with_facts, text = (one, other.text) if one.facts else (other, one.text)
    if one.text == other.text or not with_facts.facts:
        return one.text == other.text
    sentence = _sentences_kept().get(with_facts.facts.key)
    return sentence is not None and says(text, sentence, with_facts.facts, with_facts.where)


@cache
def _sentences_kept() -> dict[str, str]:
    """The sentence of each key as it was while jobs kept sentences alone. They stay as they are when the ledger is
    worded anew."""
    return msgspec.json.decode(resource("findings/sentences_kept.json").read_bytes(), type=dict[str, str])
