"""Settling what was found or assumed: accepted, confirmed, corrected, and opened again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from takeoff.errors import Finding, InputError, Where
from takeoff.findings import may_accept
from takeoff.language import mark, tr
from takeoff.plan.assumptions import Assumed, assumptions, field_of
from takeoff.plan.edits.height_edits import set_storey_height
from takeoff.plan.edits.lookup import changed, finite, with_opening, with_room
from takeoff.plan.edits.opening_edits import set_opening_confidence, set_opening_size
from takeoff.plan.edits.room_edits import set_room_confidence
from takeoff.plan.model import Field, Job, Opening, OpeningId, Reveal, Room, RoomId, Settled, Source, StoreyId, Strip
from takeoff.plan.settled import kept_facts, known_among
from takeoff.units.printing import whole

replace = msgspec.structs.replace


def accept_findings(job: Job, findings: Iterable[Finding]) -> Job:
    """The job with these findings accepted as they are. Raises InputError for an error that must be
    mended."""
    new = []
    for finding in findings:
        if not may_accept(finding):
            raise InputError(tr("This has to be fixed and cannot be accepted: {finding}", finding=finding.text))
        facts = kept_facts(finding)
        new.append(Settled(code=finding.code, text=finding.text, where=finding.where, facts=facts))
    return _kept(job, new)


def open_again(job: Job, settled: Settled) -> Job:
    """The job in which that finding is open again; a value that was confirmed is assumed again."""
    rest = tuple(one for one in job.settled if one != settled)
    if len(rest) == len(job.settled):
        raise InputError(tr("This is open already."))
    job = replace(job, settled=rest)
    if settled.how == "accepted":
        return job
    kind = settled.code.removeprefix("assumed-")
    thing = settled.where.opening or settled.where.room or ""
    probe = Assumed(kind, settled.where.storey or "", 0.0, thing, settled.where.room or "")  # type: ignore[arg-type]
    return _with_value(job, probe, None, "assumed")


def confirm(job: Job, values: Sequence[Assumed], value_mm: float | None = None) -> Job:
    """The job with these assumed values confirmed, or corrected to ``value_mm``: they count as typed.

    Raises InputError for a value that is not assumed any more, or a length that cannot be one.
    """
    if value_mm is not None:
        finite(value_mm=value_mm)
        if value_mm < 0 or (value_mm == 0 and any(not v.kind.endswith(("sill", "floor")) for v in values)):
            raise InputError(tr("The length must be more than 0."))
    open_now = set(assumptions(job))
    records = []
    for value in values:
        if value not in open_now:
            raise InputError(tr("This value was given in the meantime: it is no longer assumed."))
        job = _with_value(job, value, value_mm, "typed")
        how = "confirmed" if value_mm is None or value_mm == value.value_mm else "corrected"
        where = Where(
            storey=value.storey, room=value.room or None, opening=value.thing if value.thing != value.room else None
        )
        now, part = value.value_mm if value_mm is None else value_mm, value.kind.rpartition("-")[2]
        text = tr(_ACCEPTED[part] if how == "confirmed" else _CORRECTED[part], size=whole(now))
        records.append(Settled(code=value.code, text=text, where=where, how=how))  # type: ignore[arg-type]
    return _kept(job, records)


_ACCEPTED = {
    "height": mark("Storey height {size} mm, accepted"),
    "ceiling": mark("Ceiling at {size} mm, accepted"),
    "floor": mark("Floor at {size} mm, accepted"),
    "sill": mark("Sill at {size} mm, accepted"),
    "head": mark("Head at {size} mm, accepted"),
    "width": mark("Width {size} mm, accepted"),
    "reveal": mark("Reveal depth {size} mm, accepted"),
}
_CORRECTED = {
    "height": mark("Storey height {size} mm, corrected"),
    "ceiling": mark("Ceiling at {size} mm, corrected"),
    "floor": mark("Floor at {size} mm, corrected"),
    "sill": mark("Sill at {size} mm, corrected"),
    "head": mark("Head at {size} mm, corrected"),
    "width": mark("Width {size} mm, corrected"),
    "reveal": mark("Reveal depth {size} mm, corrected"),
}


def accept_room(job: Job, room_id: RoomId, findings: Iterable[Finding] = ()) -> Job:
    """The room is sure, and what was told about it being in doubt is settled."""
    return accept_findings(set_room_confidence(job, room_id, "sure"), findings)


def accept_opening(job: Job, opening_id: OpeningId, findings: Iterable[Finding] = ()) -> Job:
    """The opening is sure and measured from now on, and what was told about its doubt is settled."""
    return accept_findings(set_opening_confidence(job, opening_id, "sure"), findings)


def _kept(job: Job, new: Iterable[Settled]) -> Job:
    before = known_among(one for one in job.settled if one.how == "accepted")
    fresh = tuple(one for one in dict.fromkeys(new) if one not in job.settled and not (one.facts and before(one)))
    return replace(job, settled=(*job.settled, *fresh)) if fresh else job


def _with_value(job: Job, value: Assumed, value_mm: float | None, source: Source) -> Job:
    """The job with one value and where it comes from; None leaves the value as it is."""
    part = value.kind.rpartition("-")[2]
    if value.kind == "storey-height":
        storey = next((s for s in job.storeys if s.id == value.storey), None)
        height = storey.height_mm if storey is not None and value_mm is None else value_mm
        return set_storey_height(job, StoreyId(value.storey), height or 0.0, source)
    if value.kind in ("ceiling", "floor"):

        def refielded(room: Room) -> Room:
            field = field_of(room, value.kind)
            return room if field is None else changed(room, **{value.kind: _raised(field, value_mm, source)})

        return with_room(job, RoomId(value.thing), refielded)
    opening_id = OpeningId(value.thing)
    if part == "reveal":
        return with_opening(job, opening_id, lambda o: _with_depths(o, value_mm, source))
    if value_mm is None:
        return with_opening(job, opening_id, lambda o: changed(o, **{f"{part}_source": source}))
    return set_opening_size(job, opening_id, **{f"{part}_mm": value_mm}, source=source)


def _raised(field: Field, value_mm: float | None, source: Source) -> Field:
    """The field with its first plane at a height; the others go along."""
    by = 0.0 if value_mm is None or not field.planes else value_mm - field.planes[0].z_mm
    planes = tuple(replace(plane, z_mm=plane.z_mm + by) for plane in field.planes) if by else field.planes
    return changed(field, planes=planes, source=source)


def _with_depths(opening: Opening, depth_mm: float | None, source: Source) -> Opening:
    """All strips whose depth was assumed (or, going back to it, typed) at a depth."""

    def strip(old: Strip) -> Strip:
        meant = old.depth_source == ("typed" if source == "assumed" else "assumed")
        if not meant or old.depth_mm <= 0:
            return old
        return changed(old, depth_mm=old.depth_mm if depth_mm is None else depth_mm, depth_source=source)

    def deeper(reveal: Reveal) -> Reveal:
        return changed(
            reveal, start=strip(reveal.start), end=strip(reveal.end), head=strip(reveal.head), sill=strip(reveal.sill)
        )

    beyond = None if opening.reveal_beyond is None else deeper(opening.reveal_beyond)
    return changed(opening, reveal=deeper(opening.reveal), reveal_beyond=beyond)
