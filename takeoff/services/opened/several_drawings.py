"""Several drawings in one job: each brings its storeys, which are laid over those that are there."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath

import msgspec

from takeoff.drawing.laying import laid as drawing_laid
from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError, Where
from takeoff.files.from_outside import clean, name_of
from takeoff.findings import noticed
from takeoff.language import percent, tr
from takeoff.plan.check import check
from takeoff.plan.edits.drawing_edits import finding_in_job, moved_storey, own_ids, pose_from, pose_of
from takeoff.plan.edits.storey_edits import FLOOR_MM, next_name
from takeoff.plan.job_drawings import drawing_called, fresh_drawing_id, with_drawing
from takeoff.plan.model import DrawingId, DrawingRef, Job, Laid, Storey
from takeoff.plan.settled import with_unsettled
from takeoff.recognise.laid_over import Fit, as_if_in, lay_over, same_storey
from takeoff.services.opened.opening import Opened
from takeoff.services.opened.room_proposals import Proposed
from takeoff.units.printing import printed

replace = msgspec.structs.replace


OF_LAYING = frozenset({"storey-laid-over", "storey-does-not-fit", "storey-drawn-twice"})
"""Codes of what laying a drawing over others tells."""


class Added(msgspec.Struct, frozen=True):
    """A job with the storeys of one drawing more. ``of``: what the drawing is called in the job;
    ``drawing``: its lines as they lie there (None for a model or job without lines); ``findings``: what
    reading it, finding its rooms and laying it over told; ``proposed``: its rooms as they were found, for
    finding them again with other layers."""

    job: Job
    of: DrawingId
    drawing: Drawing | None
    findings: tuple[Finding, ...]
    share: float
    proposed: Proposed | None = None


def with_drawing_of(job: Job, opened: Opened, of: DrawingId | None = None) -> Added:
    """The job with the storeys of an opened drawing above its own, laid over them by their walls. ``of``:
    what it is called in the job, if it was one of its drawings before.

    Raises InputError for a job, for a drawing without rooms, and for one that the job has already.
    """
    from takeoff.recognise.rooms.stair_claims import as_wells

    ref = _its_ref(job, opened)
    job = _called_after_files(job)
    of = of or fresh_drawing_id(job)
    fit = lay_over(job.storeys, opened.job.storeys)
    where = fit.laid if fit.fits else Laid()
    pose = pose_of(where)
    own = own_ids(opened.job, of)
    storeys = tuple(moved_storey(storey, pose) for storey in own.storeys)
    storeys = _named(job, _levelled(job, storeys), opened)
    gone = set(check(opened.job))
    told = tuple(finding_in_job(f, of, pose) for f in opened.findings if f not in gone)
    told = (*told, *_of_laying(job, storeys, opened, fit))
    joined = with_drawing(replace(job, storeys=(*job.storeys, *storeys)), replace(ref, id=of, laid=where))
    if all(storey.level_mm != other.level_mm for storey in storeys for other in job.storeys):
        joined = replace(joined, storeys=tuple(sorted(joined.storeys, key=lambda storey: storey.level_mm)))
    joined = as_wells(joined)
    drawing = drawing_laid(opened.drawing, pose) if opened.drawing is not None else None
    proposed = None
    if drawing is not None and opened.guesses:
        found = tuple(finding_in_job(f, of, pose) for f in opened.found)
        part = replace(own, storeys=tuple(storey for storey in joined.storeys if storey.drawing == of))
        proposed = Proposed(drawing, part, found, opened.guesses, ref.layer_roles, of)
    return Added(with_unsettled(joined, told, of), of, drawing, told, fit.share, proposed)


def read_otherwise(job: Job, of: DrawingId, opened: Opened) -> Added:
    """The job with one of its drawings as it was read in another unit or at another scale: its storeys are
    found anew, in place of those that were found in it, under their names and levels. Raises InputError as
    ``with_drawing_of`` does."""
    old = {storey.id: storey for storey in job.storeys if storey.drawing == of}
    rest = replace(
        job,
        storeys=tuple(storey for storey in job.storeys if storey.drawing != of),
        drawings=tuple(ref for ref in job.drawings if ref.id != of),
    )
    added = with_drawing_of(rest, opened, of)
    found = {storey.id: storey for storey in added.job.storeys}
    for name, was in old.items():
        if name in found:
            found[name] = replace(found[name], name=was.name, level_mm=was.level_mm, height_mm=was.height_mm)
    order = [storey.id for storey in job.storeys if storey.id in found]
    storeys = tuple(found[name] for name in (*order, *(name for name in found if name not in order)))
    refs = {ref.id: ref for ref in added.job.drawings}
    drawings = tuple(refs[ref.id] for ref in job.drawings)
    return replace(added, job=replace(added.job, storeys=storeys, drawings=drawings))


def laid_anew(job: Job, drawing: DrawingId, laid: Laid) -> Job:
    """The job with the storeys of one of its drawings lying otherwise over the others; what is set in them
    moves along. Raises InputError for a drawing that the job does not have."""
    ref = drawing_called(job, drawing)
    if ref is None:
        raise InputError(tr("The job does not have this drawing any more: add it again."))
    if ref.laid == laid:
        return job
    pose = pose_from(ref.laid, laid)
    storeys = tuple(moved_storey(s, pose) if s.drawing == drawing else s for s in job.storeys)
    return with_drawing(replace(job, storeys=storeys), replace(ref, laid=laid))


def all_in_one(first: Opened, others: Sequence[Opened]) -> Opened:
    """One job of several opened files, the first a drawing or a job, in the order from the lowest storey up.
    Raises InputError as ``with_drawing_of`` does."""
    if not others:
        return first
    gone = set(check(first.job))
    job, told, drawings = first.job, [f for f in first.findings if f not in gone], dict(first.drawings)
    if first.kind == "drawing":
        names = ", ".join(_name_of_file(one.path) for one in (first, *others))
        named = names if job.name == clean(first.path.stem) else job.name
        job = replace(job, storeys=_named(Job(), job.storeys, first), name=named)
    for other in others:
        added = with_drawing_of(job, other)
        job = added.job
        told += [f for f in added.findings if f not in told]
        if added.drawing is not None:
            drawings[added.of] = added.drawing
    findings = (*told, *check(job))
    return replace(first, job=job, findings=findings, drawings=drawings, others=tuple(others))


def _its_ref(job: Job, opened: Opened) -> DrawingRef:
    """The drawing that is added, as it names itself. Raises InputError where it cannot be added."""
    name = name_of(opened.path)
    if opened.kind == "job":
        raise InputError(tr("{file} is a job, not a drawing: only drawings are added to a job as storeys.", file=name))
    if not opened.job.has_rooms:
        raise InputError(
            tr("No room was found in {file}, so nothing was added: open it by itself to see why.", file=name)
        )
    ref = opened.job.drawings[0]
    known = next((own for own in job.drawings if own.sha256 and (own.sha256, own.page) == (ref.sha256, ref.page)), None)
    if known is not None:
        if ref.page:
            raise InputError(
                tr(
                    "This job has page {page} of {file} already: choose the drawing of another storey.",
                    page=ref.page,
                    file=name,
                )
            )
        raise InputError(tr("This job has {file} already: choose the drawing of another storey.", file=name))
    return ref


def _levelled(job: Job, storeys: tuple[Storey, ...]) -> tuple[Storey, ...]:
    """The storeys above those of the job, unless the drawing says their levels itself."""
    if not job.storeys or any(storey.level_mm for storey in storeys):
        return storeys
    top = max(job.storeys, key=lambda storey: storey.level_mm)
    level = top.level_mm + top.height_mm + FLOOR_MM
    found = []
    for storey in storeys:
        found.append(replace(storey, level_mm=level))
        level += storey.height_mm + FLOOR_MM
    return tuple(found)


def _named(job: Job, storeys: tuple[Storey, ...], opened: Opened) -> tuple[Storey, ...]:
    """The storeys, one without a name called after its file, and no two alike."""
    taken = [storey.name for storey in job.storeys]
    found = []
    for storey in storeys:
        name = storey.name or _name_of_file(opened.path)
        if name in taken:
            name = next_name(name, taken)
        taken.append(name)
        found.append(storey if name == storey.name else replace(storey, name=name))
    return tuple(found)


def _called_after_files(job: Job) -> Job:
    """The job in which storeys without a name are called after the drawing that they were found in: beside others they
    need one."""
    files = {ref.id: PurePath(ref.name) for ref in job.drawings if ref.name}
    taken = [storey.name for storey in job.storeys if storey.name]
    storeys = []
    for storey in job.storeys:
        path = files.get(storey.drawing) if storey.drawing is not None and not storey.name else None
        if path is not None:
            name = _name_of_file(path)
            name = next_name(name, taken) if name in taken else name
            taken.append(name)
            storey = replace(storey, name=name)
        storeys.append(storey)
    return replace(job, storeys=tuple(storeys)) if files else job


def _name_of_file(path: PurePath) -> str:
    words = clean(path.stem).replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def _of_laying(job: Job, storeys: tuple[Storey, ...], opened: Opened, fit: Fit) -> list[Finding]:
    """What is to be looked at where the storeys of a drawing do not fit over others, or show what is there."""
    if not job.storeys:
        return []
    name, first = name_of(opened.path), storeys[0]
    where = Where(storey=first.id)
    if not fit.fits:
        unit = as_if_in(job.storeys, storeys)
        if unit is not None:
            return [noticed("storey-does-not-fit/unit", where, file=name, share=_percent(fit), factor=unit)]
        return [noticed("storey-does-not-fit", where, file=name, share=_percent(fit))]
    twice = [
        noticed("storey-drawn-twice", Where(storey=new.id), file=name, storey=old.title)
        for new in storeys
        for old in job.storeys
        if same_storey(old, new)
    ]
    return twice or [noticed("storey-laid-over", where, file=name, share=_percent(fit))]


def _percent(fit: Fit) -> str:
    return percent(int(printed(100.0 * fit.share, 0)))
