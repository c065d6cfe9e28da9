"""The first pass over a drawing: what no drawing can say, step by step, and what of it is still open."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from takeoff.errors import Finding
from takeoff.measure.customs_assumed import custom_effects
from takeoff.plan.customs import USUAL_ARCHITRAVE_MM, USUAL_SKIRTING_MM
from takeoff.plan.model import Customs, Job, Room, RoomId, Storey
from takeoff.supply.substrate_findings import substrates_assumed, unsaid_m2
from takeoff.supply.systems import of_job, own_systems
from takeoff.views.board import State
from takeoff.views.coat_questions import run_questions
from takeoff.views.drawing_asks import steps
from takeoff.views.settling import Row, counts, rows

ASKED_ELSEWHERE = frozenset({"demo-system", "outside-as-drawn"})
"""Findings that a step of their own asks about."""


class PassStep(msgspec.Struct, frozen=True):
    """A step: its key, what it is called, and how much of it is still open; ``says``: that in words."""

    key: str
    title: str
    left: int
    says: str


def pass_steps(
    state: State, size_in_doubt: bool, findings: Sequence[Finding] = (), nameless: Collection[RoomId] = ()
) -> tuple[PassStep, ...]:
    """The steps in their order. ``findings``: those that are open; ``nameless``: rooms that the user leaves without
    a name."""
    job = state.job
    heights = sum(storey.height_source == "assumed" for storey in job.storeys)
    names = len(asked_rooms(job, nameless))
    kinds = len(steps(job)) - len(_unsure_to_name(job, nameless))
    runs = len(run_questions(state))
    stairs, looks = stairs_and_looks(state, findings)
    customs = len(custom_effects(job, state.takeoff))
    unsaid = sum(area > 0 for area in unsaid_m2(job, state.takeoff))
    return (
        PassStep("size", "Unit and scale", int(size_in_doubt), "in doubt" if size_in_doubt else "known"),
        PassStep("heights", "Storey heights", heights, _counted(heights, "assumed", "known")),
        PassStep("names", "Rooms", names, _counted(names, "to name or to confirm", "all named")),
        PassStep("kinds", "Openings", kinds, _counted(kinds, "to answer", "all answered")),
        PassStep("beyond", "Behind outside walls", runs, _counted(runs, "to answer", "all answered")),
        PassStep("stairs", "Over the stairs", len(stairs), _counted(len(stairs), "to answer", "nothing to ask")),
        PassStep("looks", "Seen in the drawing", len(looks), _counted(len(looks), "to look at", "nothing to look at")),
        PassStep("customs", "Trim and beads", customs, _counted(customs, "assumed", "said")),
        PassStep("substrates", "Substrates", unsaid, _counted(unsaid, "assumed", "said")),
        PassStep("product", "Product", int(_invented(job)), "invented example" if _invented(job) else "chosen"),
    )


CUSTOM_ANSWERS = (
    ("trim-off", "All of it comes off, new bead", "Skirting, coving and architraves come off; arrises get new bead"),
    (
        "trim-on",
        f"Skirting {USUAL_SKIRTING_MM:.0f} and architraves {USUAL_ARCHITRAVE_MM:.0f} mm stay on",
        "The coat goes up to them; no coving stays on, arrises get new bead",
    ),
    ("trim-page", "Say each by itself…", "Sizes, coving and the bead of arrises, on the page of the coat"),
)
"""What can be said of customs by one key each. Of "trim-on": what is not said yet is as ``TRIM_ON`` has it."""

SUBSTRATE_ANSWERS = (
    ("on-usual", "Plaster on walls, plasterboard over head", "Walls are of plaster, ceilings of plasterboard"),
    ("on-page", "Say each…", "What walls and ceilings are of, in the job, a room or a wall, on the page of the coat"),
)
"""What can be said of substrates by one key each."""

TRIM_ON = Customs(skirting_mm=USUAL_SKIRTING_MM, architrave_mm=USUAL_ARCHITRAVE_MM)


def _counted(count: int, what: str, none: str) -> str:
    return f"{count} {what}" if count else none


def _invented(job: Job) -> bool:
    from takeoff.errors import InputError

    try:
        return of_job(job).demo
    except InputError:
        return True


def stairs_and_looks(state: State, findings: Sequence[Finding]) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """What is asked of ceilings over stairs, and what reading and measuring want looked at that can be accepted as it
    is and that no other step asks about."""
    listed = rows(state, findings)
    stairs = tuple(row for row in listed if row.accept == "stair" and row.answers)
    looks = tuple(
        row
        for row in listed
        if row.group in ("error", "check")
        and row.accept == "finding"
        and not any(finding.code in ASKED_ELSEWHERE for finding in row.findings)
    )
    return stairs, looks


def substrates_words(state: State) -> str:
    """What is assumed of substrates, with what it would change; "" where all is said."""
    from takeoff.errors import InputError

    try:
        found = substrates_assumed(state.job, state.takeoff, of_job(state.job))
        return " ".join(finding.text for finding in found)
    except InputError:
        return ""


def still_said(state: State, findings: Sequence[Finding]) -> str:
    """What the sheets will say is assumed or open, in a sentence or two; "" where nothing is."""
    counted = counts(rows(state, findings))
    parts = []
    if counted["error"]:
        parts.append(f"To mend before the sheets are more than a draft: {counted['error']}.")
    if counted["check"]:
        parts.append(f"Still open, and said on the sheets: {counted['check']}.")
    if counted["assumed"]:
        parts.append(f"Assumed, and said on the sheets: {counted['assumed']}.")
    return " ".join(parts)


def own_products() -> tuple[tuple[str, str], ...]:
    """(id, name) of each coating system of the user's own that can be read; () where he has none."""
    from takeoff.errors import InputError
    from takeoff.supply.systems import load

    found = []
    for key in own_systems():
        try:
            found.append((key, load(key).name))
        except InputError:
            continue  # the page of coating systems says what is wrong with it
    return tuple(found)


def asked_rooms(job: Job, nameless: Collection[RoomId] = ()) -> tuple[tuple[Storey, Room], ...]:
    """The rooms without a name or in doubt, storey by storey as one walks through: from the top left, line by line."""
    found = []
    for storey in job.storeys:
        own = [r for r in storey.rooms if (not r.name or r.confidence != "sure") and r.id not in nameless]
        found += [(storey, room) for room in sorted(own, key=_reading_order)]
    return tuple(found)


def _unsure_to_name(job: Job, nameless: Collection[RoomId]) -> list[Room]:
    """Rooms in doubt that the step of names asks about: the step of openings counts them once they were left there."""
    return [room for _, room in asked_rooms(job, nameless) if room.confidence != "sure"]


LINE_MM = 2500.0
"""Rooms whose tops lie within so much stand in one line."""


def _reading_order(room: Room) -> tuple[float, float]:
    top, left = max(side.y_mm for side in room.outline), min(side.x_mm for side in room.outline)
    return -round(top / LINE_MM), left
