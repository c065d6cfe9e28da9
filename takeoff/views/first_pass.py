"""The first pass over a drawing: what no drawing can say, step by step, and what of it is still open."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from takeoff.errors import Finding
from takeoff.language import mark, tr, tr_count
from takeoff.measure.customs_assumed import custom_effects
from takeoff.plan.customs import USUAL_ARCHITRAVE_MM, USUAL_SKIRTING_MM
from takeoff.plan.model import Customs, Job, Room, RoomId, Storey, StoreyId
from takeoff.supply.substrate_findings import substrates_assumed, unsaid_m2
from takeoff.supply.systems import of_job, own_systems
from takeoff.views.board import State
from takeoff.views.coat_questions import run_questions
from takeoff.views.drawing_asks import steps
from takeoff.views.settling import Row, counts, rows

ASKED_ELSEWHERE = frozenset({"demo-system", "outside-as-drawn"})
"""Findings that a step of their own asks about."""


ROW_STEPS = ("stairs", "looks")
"""Steps that ask about one row after the other of what is to settle."""


class PassStep(msgspec.Struct, frozen=True):
    """A step: its key, what it is called, and how much of it is still open; ``says``: that in words."""

    key: str
    title: str
    left: int
    says: str


def pass_steps(
    state: State,
    size_in_doubt: bool,
    findings: Sequence[Finding] = (),
    nameless: Collection[RoomId] = (),
    heights_kept: Collection[StoreyId] = (),
) -> tuple[PassStep, ...]:
    """The steps in their order. ``findings``: those that are open; ``nameless``: rooms that the user leaves without
    a name; ``heights_kept``: storeys whose assumed height he leaves as it is."""
    job = state.job
    assumed = [storey.id for storey in job.storeys if storey.height_source == "assumed"]
    heights = sum(storey not in heights_kept for storey in assumed)
    kept = tr("kept as assumed") if assumed else tr("known")
    names = len(asked_rooms(job, nameless))
    kinds = len(steps(job)) - len(_unsure_to_name(job, nameless))
    runs = len(run_questions(state))
    stairs, looks = stairs_and_looks(state, findings)
    customs = len(custom_effects(job, state.takeoff))
    unsaid = sum(area > 0 for area in unsaid_m2(job, state.takeoff))
    return (
        PassStep("size", tr("Unit and scale"), int(size_in_doubt), tr("in doubt") if size_in_doubt else tr("known")),
        PassStep(
            "heights",
            tr("Storey heights"),
            heights,
            tr_count("{count} assumed", "{count} assumed", heights) if heights else kept,
        ),
        PassStep(
            "names",
            tr("Rooms"),
            names,
            tr_count("{count} to name or check", "{count} to name or check", names) if names else tr("all named"),
        ),
        PassStep("kinds", tr("Openings"), kinds, _to_answer(kinds)),
        PassStep("beyond", tr("Behind outside walls"), runs, _to_answer(runs)),
        PassStep(
            "stairs", tr("Over the stairs"), len(stairs), _to_answer(len(stairs)) if stairs else tr("nothing to ask")
        ),
        PassStep(
            "looks",
            tr("Seen in the drawing"),
            len(looks),
            tr_count("{count} to check", "{count} to check", len(looks)) if looks else tr("nothing to check"),
        ),
        PassStep("customs", tr("Trim and beads"), customs, _assumed(customs)),
        PassStep("substrates", tr("Substrates"), unsaid, _assumed(unsaid)),
        PassStep(
            "product", tr("Product"), int(_invented(job)), tr("invented example") if _invented(job) else tr("selected")
        ),
    )


class Course:
    """Which step of the pass is asked next, with what the user has put off or leaves open in it."""

    def __init__(self) -> None:
        self.nameless: set[RoomId] = set()
        self.heights_kept: set[StoreyId] = set()
        self.skipped: set[str] = set()
        """Steps that are put off."""
        self.left_open: set[str] = set()
        """Rows of what was seen in the drawing, and of stairs, that are put off."""

    def start_over(self) -> None:
        """What was put off is asked again."""
        self.skipped.clear()
        self.left_open.clear()

    def clear(self) -> None:
        """Another job is open."""
        self.start_over()
        self.nameless.clear()
        self.heights_kept.clear()

    def steps(self, state: State, size_in_doubt: bool, findings: Sequence[Finding]) -> tuple[PassStep, ...]:
        """The steps as they stand."""
        return pass_steps(state, size_in_doubt, findings, self.nameless, self.heights_kept)

    def following(self, steps: Sequence[PassStep], state: State, findings: Sequence[Finding]) -> str:
        """The key of the first step with something to ask that is not put off; "" at the end."""
        return next((step.key for step in steps if self._is_asked(step, state, findings)), "")

    def _is_asked(self, step: PassStep, state: State, findings: Sequence[Finding]) -> bool:
        if not step.left or step.key in self.skipped:
            return False
        return step.key not in ROW_STEPS or self.row(step.key, state, findings) is not None

    def row(self, key: str, state: State, findings: Sequence[Finding]) -> Row | None:
        """What is asked about in a step that goes row by row; None where nothing is left."""
        stairs, looks = stairs_and_looks(state, findings)
        return next((row for row in (stairs if key == "stairs" else looks) if row.key not in self.left_open), None)

    def room(self, job: Job) -> tuple[Storey, Room] | None:
        """The room whose name is asked for; None where none is."""
        return next(iter(asked_rooms(job, self.nameless)), None)

    def storey(self, job: Job) -> Storey | None:
        """The storey whose height is asked for; None where none is."""
        return next((s for s in job.storeys if s.height_source == "assumed" and s.id not in self.heights_kept), None)


CUSTOM_ANSWERS = (
    (
        "trim-off",
        mark("All of it comes off, new bead"),
        mark("Skirting, coving and architraves come off; arrises get new bead"),
    ),
    (
        "trim-on",
        mark("Skirting 120 mm and architraves 70 mm kept"),
        mark("The coat goes up to them; no coving is kept, arrises get new bead"),
    ),
    ("trim-page", mark("Set each by itself…"), mark("Sizes, coving and the bead of arrises, on the page of the coat")),
)
"""What can be said of customs by one key each. Of "trim-on": what is not said yet is as ``TRIM_ON`` has it."""

SUBSTRATE_ANSWERS = (
    (
        "on-usual",
        mark("Plaster on walls, plasterboard over head"),
        mark("Walls are of plaster, ceilings of plasterboard"),
    ),
    (
        "on-page",
        mark("Set each…"),
        mark("What walls and ceilings are of, in the job, a room or a wall, on the page of the coat"),
    ),
)
"""What can be said of substrates by one key each."""

TRIM_ON = Customs(skirting_mm=USUAL_SKIRTING_MM, architrave_mm=USUAL_ARCHITRAVE_MM)


def _to_answer(count: int) -> str:
    return tr_count("{count} to answer", "{count} to answer", count) if count else tr("all answered")


def _assumed(count: int) -> str:
    return tr_count("{count} assumed", "{count} assumed", count) if count else tr("given")


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
        parts.append(tr("To fix before the sheets are more than a draft: {count}.", count=counted["error"]))
    if counted["check"]:
        parts.append(tr("To check, and said on the sheets: {count}.", count=counted["check"]))
    if counted["assumed"]:
        parts.append(tr("Assumed, and said on the sheets: {count}.", count=counted["assumed"]))
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
