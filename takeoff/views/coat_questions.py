"""What is asked before outside walls or ceilings under a roof are coated: one question at a time, one key each."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Literal

import msgspec

from takeoff.geometry.rings import ring_curves
from takeoff.language import listed as names_listed
from takeoff.language import mark, tr, tr_count
from takeoff.measure.outline_runs import Run, listed, open_runs, outline_runs, over_one_another
from takeoff.plan import edits
from takeoff.plan.model import AboveClass, BehindClass, Job, Storey
from takeoff.plan.shape import vertex_rings
from takeoff.plan.storeys_above import Ceilings, unsaid_ceilings
from takeoff.sheets.curved import facets
from takeoff.units.printing import fmt2, shown
from takeoff.views.board import State
from takeoff.views.figure_places import Stretch, Traced
from takeoff.views.naming import labels, storey_name
from takeoff.views.outside_walls import run_answered

RUN_ANSWERS: tuple[tuple[BehindClass, str], ...] = (
    ("outside", mark("Outside")),
    ("unheated", mark("Unheated")),
    ("heated", mark("Heated")),
    ("neighbour", mark("Neighbour")),
)
ABOVE_ANSWERS: tuple[tuple[AboveClass, str], ...] = (
    ("roof", mark("Roof, cold loft")),
    ("heated", mark("Heated")),
    ("neighbour", mark("Neighbour")),
    ("same", mark("A room of this dwelling")),
)
_LIKELY = {
    "same": mark("Rooms of the next storey lie over them."),
    "roof": mark("Their ceilings slope or have rooflights."),
}


class Question(msgspec.Struct, frozen=True):
    """One question with its answers in the order of their keys, and what is lit on the plan for it. ``parts``: the
    questions that it asks together, () for one alone."""

    kind: Literal["run", "above"]
    key: str
    storey: str
    words: str
    says: str
    answers: tuple[tuple[str, str], ...]
    lit: Traced
    parts: tuple[Question, ...] = ()


def _said(answers: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    return tuple((key, tr(words)) for key, words in answers)


def run_questions(state: State, rooms: Collection[str] | None = None) -> tuple[Question, ...]:
    """One for each straight run of the outlines that is outside only as drawn, at which one of these rooms
    looks; runs of several storeys that lie over one another are asked about together."""
    storeys = {str(storey.id): storey for storey in state.job.storeys}
    runs = [run for run in open_runs(state.job) if rooms is None or any(wall.room in rooms for wall in run.walls)]
    found = []
    for group in over_one_another(runs):
        own = tuple(_of_run(state, storeys[run.storey], run) for run in group)
        found.append(own[0] if len(own) == 1 else _of_runs(state.job, group, own))
    return tuple(found)


def _of_runs(job: Job, runs: tuple[Run, ...], own: tuple[Question, ...]) -> Question:
    """One question about runs of several storeys that lie over one another."""
    names = {str(storey.id): storey_name(storey) for storey in job.storeys}
    over = names_listed([names[run.storey] for run in runs[1:]])
    length = fmt2(sum(run.claimed_mm for run in runs) / 1000.0)
    first, lit = own[0], [question.lit for question in own]
    return Question(
        "run",
        "+".join(question.key for question in own),
        first.storey,
        tr("{words}; and over it on {over}", words=first.words, over=over),
        tr(
            "{storey}. The drawing ends there. What stands beyond {length} m of wall, on all these storeys?",
            storey=names[first.storey],
            length=length,
        ),
        first.answers,
        Traced(
            stretches=tuple(stretch for one in lit for stretch in one.stretches),
            courses=tuple(course for one in lit for course in one.courses),
        ),
        own,
    )


def claim_words(state: State) -> str:
    """ "Outside only as drawn, to check: 26.00 m of wall."; "" where all is said."""
    claimed = [b for room in state.takeoff.rooms for face in room.faces for b in face.behind if b.claimed]
    length = fmt2(sum(b.to_mm - b.from_mm for b in claimed) / 1000.0)
    return tr("Outside only as drawn, to check: {length} m of wall.", length=length) if claimed else ""


def _of_run(state: State, storey: Storey, run: Run) -> Question:
    names = labels(state.job)
    beside = dict.fromkeys(names[run.storey, str(wall.room)] for wall in run.walls)
    words = run.words(tuple(beside))
    says = tr("The drawing ends there. What stands beyond {length} m of wall?", length=shown(run.claimed_mm / 1000.0))
    if len(state.job.storeys) > 1:
        says = f"{storey_name(storey)}. {says}"
    stretches = tuple(Stretch(str(w.room), str(w.side), w.from_mm, w.to_mm) for w in run.walls)
    lit = Traced(stretches=stretches, courses=run.courses)
    return Question("run", f"{run.storey}/{run.name}", run.storey, words, says, _said(RUN_ANSWERS), lit)


def above_questions(state: State, rooms: Collection[str] | None = None) -> tuple[Question, ...]:
    """One for each group of rooms of which nobody has said what lies above their ceilings."""
    storeys = {str(storey.id): storey for storey in state.job.storeys}
    return tuple(
        _of_ceilings(state, storeys[group.storey], group)
        for group in unsaid_ceilings(state.job)
        if rooms is None or any(room in rooms for room in group.rooms)
    )


def _of_ceilings(state: State, storey: Storey, group: Ceilings) -> Question:
    names = labels(state.job)
    beneath = listed(tuple(names[group.storey, str(room)] for room in group.rooms))
    words = tr_count("Ceiling of {rooms}", "Ceilings of {rooms}", len(group.rooms), rooms=beneath)
    likely = tr(_LIKELY[group.likely]) if group.likely in _LIKELY else ""
    says = " ".join(part for part in (f"{storey_name(storey)}.", tr("What lies above?"), likely) if part)
    areas = tuple(
        tuple(tuple(point for curve in ring_curves(ring) for point in facets(curve)) for ring in vertex_rings(room))
        for room in storey.rooms
        if room.id in group.rooms
    )
    return Question(
        "above", f"{group.storey}/{group.likely}", group.storey, words, says, _said(ABOVE_ANSWERS), Traced(areas=areas)
    )


def question_answered(state: State, job: Job, question: Question, answer: str) -> Job:
    """The job with that answer, and the coat of outside walls after it. Raises InputError where what was
    asked about is gone."""
    if question.kind == "above":
        group = next((g for g in unsaid_ceilings(job) if f"{g.storey}/{g.likely}" == question.key), None)
        return edits.answer_above(job, group.rooms, answer) if group else job  # type: ignore[arg-type]
    for part in question.parts:
        job = question_answered(state, job, part, answer)
    if question.parts:
        return job
    run = next((r for r in outline_runs(job) if f"{r.storey}/{r.name}" == question.key), None)
    return run_answered(state, job, run, answer) if run else job  # type: ignore[arg-type]
