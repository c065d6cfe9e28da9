"""A new drawing laid over a job: which storey it replaces, the job with it in, and the difference in figures."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

import msgspec
import numpy as np

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.measure import measure
from takeoff.measure.memory import Memory
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.edits.drawing_edits import moved_storey, pose_of
from takeoff.plan.job_drawings import drawing_called, fresh_drawing_id, with_drawing
from takeoff.plan.model import DrawingRef, Job, Laid, Room, RoomId, Side, Storey, StoreyId
from takeoff.plan.shape import holds
from takeoff.recognise.laid_over import lay_over
from takeoff.revise.carried_corners import Corner, picks_lost, with_picks
from takeoff.revise.carried_records import with_counted, with_records
from takeoff.revise.carried_rooms import Fate, Ids
from takeoff.revise.carrying import share_said, storey_added, storey_carried
from takeoff.revise.difference import Became, Difference, Printed, between
from takeoff.revise.lost import Lost
from takeoff.revise.matching import assigned
from takeoff.revise.placement import Placement, place, place_as

replace = msgspec.structs.replace

HALF = 0.5
"""Where fewer of a storey's rooms are in the new drawing, it may be another plan."""
REPLACES = 0.25
"""With fewer it replaces none (common practice, no source)."""
SAME_NAME_WORTH, SAME_NUMBER_WORTH, OTHER_NUMBER_WORTH = 0.3, 0.6, -0.3


class Drawn(msgspec.Struct, frozen=True):
    """A new drawing as it was read: what its file is called, the storeys found in it, how it names itself (None for a
    job)."""

    file: str
    storeys: tuple[Storey, ...]
    ref: DrawingRef | None = None


class LaidStorey(msgspec.Struct, frozen=True):
    """How one new storey lies: over which of the job's (None: it replaces none), turned, shifted and mirrored;
    ``fit``: which part of that storey's rooms it has, ``walls`` of its walls. ``drawn``: of which drawing, counted."""

    drawn: int
    storey: StoreyId | None
    title: str
    laid: Laid
    mirror: bool
    fit: float
    walls: float
    new: Storey


class Shown(msgspec.Struct, frozen=True):
    """How somebody has shown that the storey of a drawing lies over one of the job's."""

    drawn: int
    new: StoreyId
    storey: StoreyId
    laid: Laid
    mirror: bool = False


class Compared(msgspec.Struct, frozen=True):
    """A job and a new drawing. ``job``: with all that was accepted;
    ``fit``: which part of the rooms of the storeys that are replaced fit, 0 where none is."""

    old: Job
    job: Job
    difference: Difference
    placed: tuple[LaidStorey, ...]
    fit: float
    lost: tuple[Lost, ...]
    findings: tuple[Finding, ...]
    taken: tuple[Takeoff, Takeoff]

    @property
    def another_plan(self) -> bool:
        """Whether it may be the plan of something else: somebody is to say that it is not."""
        return any(finding.code == "another-plan" for finding in self.findings)


def placed(old: Job, drawn: Sequence[Drawn], shown: Sequence[Shown] = ()) -> tuple[LaidStorey, ...]:
    """How each new storey lies over the job. No storey is replaced twice."""
    news = [(k, storey) for k, one in enumerate(drawn) for storey in one.storeys if storey.rooms]
    tried: dict[tuple[int, int], Placement] = {}
    worth = np.full((len(old.storeys), len(news)), -1.0)
    said = {(one.drawn, one.new): one for one in shown}
    for j, (k, new) in enumerate(news):
        by_hand = said.get((k, new.id))
        for i, storey in enumerate(old.storeys):
            if by_hand is not None and by_hand.storey != storey.id:
                continue
            found = place_as(storey, new, by_hand.laid, by_hand.mirror) if by_hand else place(storey, new)
            if found is not None:
                tried[i, j] = found
                worth[i, j] = found.rooms + 0.1 * found.worth + _by_name(old, storey, drawn[k], new)
                worth[i, j] += 10.0 * (by_hand is not None)
    pairs = {j: i for i, j in assigned(worth, 0.0) if (i, j) in tried}
    laid = []
    for j, (k, new) in enumerate(news):
        row = pairs.get(j)
        if row is not None and (tried[row, j].rooms >= REPLACES or (k, new.id) in said):
            laid.append(_laid(k, old.storeys[row].id, old.storeys[row].title, tried[row, j]))
        else:
            laid.append(_by_itself(old, k, drawn[k], new))
    return tuple(laid)


FACTORS = (10.0, 25.4, 100.0, 304.8, 1000.0)
"""Between mm, cm, inches, feet and m."""


def fits_if(old: Job, drawn: Drawn) -> str | None:
    """By which factor a drawing would be larger if its rooms were the job's, in words; None where none does."""
    for factor in FACTORS:
        larger, smaller = (
            tr("{factor} times as large", factor=f"{factor:g}"),
            tr("{factor} times smaller", factor=f"{factor:g}"),
        )
        for scale, words in ((factor, larger), (1.0 / factor, smaller)):
            scaled = replace(drawn, storeys=tuple(_scaled(storey, scale) for storey in drawn.storeys))
            if any(one.storey is not None and one.fit >= HALF for one in placed(old, (scaled,))):
                return words
    return None


def _scaled(storey: Storey, by: float) -> Storey:
    """The outlines of a storey's rooms at another scale, and nothing else of it."""

    def ring(sides: tuple[Side, ...]) -> tuple[Side, ...]:
        return tuple(
            replace(side, x_mm=side.x_mm * by, y_mm=side.y_mm * by, behind=(), treatment=None) for side in sides
        )

    rooms = tuple(
        Room(
            id=room.id,
            name=room.name,
            number=room.number,
            outline=ring(room.outline),
            inner=tuple(map(ring, room.inner)),
        )
        for room in storey.rooms
    )
    return replace(storey, rooms=rooms, openings=(), rooflights=(), building=(), set_together=None)


def _laid(k: int, storey: StoreyId, title: str, found: Placement) -> LaidStorey:
    return LaidStorey(k, storey, title, found.laid, found.mirror, found.rooms, found.walls, found.storey)


def _by_itself(old: Job, k: int, drawn: Drawn, new: Storey) -> LaidStorey:
    """A storey that replaces none, over those of the job by its walls, or as it is drawn."""
    fit = lay_over(old.storeys, (new,))
    laid = fit.laid if fit.fits else Laid()
    title = new.name or _stem(drawn.file)
    return LaidStorey(k, None, title, laid, False, 0.0, fit.share, moved_storey(new, pose_of(laid)))


def _stem(file: str) -> str:
    words = (file.rpartition(".")[0] or file).replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def _by_name(job: Job, old: Storey, drawn: Drawn, new: Storey) -> float:
    """What names say for a storey's being replaced: its own, and the number of its drawing."""
    named = bool(old.name) and old.name.casefold() == new.name.casefold()
    worth = SAME_NAME_WORTH * named
    ref = drawing_called(job, old.drawing)
    if ref is not None and drawn.ref is not None and ref.number and drawn.ref.number:
        worth += SAME_NUMBER_WORTH if ref.number == drawn.ref.number else OTHER_NUMBER_WORTH
    return worth


def compared(
    old: Job,
    drawn: Sequence[Drawn],
    *,
    shown: Sequence[Shown] = (),
    refused: Collection[str] = (),
    laid: tuple[LaidStorey, ...] | None = None,
    printing: Printed | None = None,
    names: Mapping[StoreyId, Collection[str]] | None = None,
    memory: Memory | None = None,
    own: Mapping[StoreyId, Storey] | None = None,
) -> Compared:
    """A job with new drawings in it, and the difference.

    ``shown``: how somebody has laid storeys; ``laid``: how they were found to lie before, to spare finding it again;
    ``refused``: rooms that stay as they were; ``printing``: as ``difference.between`` has it; ``names``: what is
    written in the drawings of the job's storeys, where they are at hand; ``memory``: of the old job's measuring;
    ``own``: the job's storeys as its own drawings give them, where these are at hand.
    Raises InputError where a room cannot be measured.
    """
    lies = placed(old, drawn, shown) if laid is None else laid
    put = _put_in(old, drawn, lies, refused, names or {}, own or {})
    job, lost, became = put.job, put.lost, put.became
    measured = _both_measured(old, job, memory)
    lost += picks_lost(old, job, *measured, put.picks)
    difference = between(old, job, became, printing, measured)
    findings = [*_of_placing(old, drawn, lies), *put.findings, *_stairs(job, lies)]
    findings += [
        noticed("revision-lost", Where(room=x.room or None), what=x.what, place=x.where, was=x.was) for x in lost
    ]
    fit = _fit(old, lies)
    return Compared(old, job, difference, lies, fit, tuple(lost), tuple(dict.fromkeys(findings)), measured)


def accepted(
    done: Compared,
    drawn: Sequence[Drawn],
    refused: Collection[str] = (),
    names: Mapping[StoreyId, Collection[str]] | None = None,
    own: Mapping[StoreyId, Storey] | None = None,
) -> Job:
    """The job of a comparison with what was accepted of it, not measured; all of it where nothing is refused."""
    if not refused:
        return done.job
    return _put_in(done.old, drawn, done.placed, refused, names or {}, own or {}).job


class _PutIn(NamedTuple):
    """A job with new drawings in it; what became of rooms, what was lost, where choices at corners are now."""

    job: Job
    became: dict[str, Became]
    lost: list[Lost]
    findings: list[Finding]
    picks: dict[Corner, Corner]


def _put_in(
    old: Job, drawn: Sequence[Drawn], lies: Sequence[LaidStorey], refused: Collection[str],
    names: Mapping[StoreyId, Collection[str]], own_drawings: Mapping[StoreyId, Storey],
) -> _PutIn:  # fmt: skip
    ids, job = Ids(old), old
    put = _PutIn(old, {}, [], [], {})
    fate = Fate({}, {}, {}, {}, set())
    called: dict[str, str] = {}
    for one in lies:
        if one.storey is None:
            job, more = _with_storey(job, one, ids, refused)
            put.became.update(more)
            continue
        was = next(storey for storey in old.storeys if storey.id == one.storey)
        done = storey_carried(was, one.new, ids, refused, names.get(was.id), own_drawings.get(was.id))
        own = Fate(done.walls, done.joined, done.parts, done.alongs, {room.id for room in was.rooms})
        storey, picks = with_picks(was, done.storey, own)
        put.picks.update(picks)
        storey = with_counted(was, storey, own, done.lost)
        storeys = tuple(storey if other.id == storey.id else other for other in job.storeys)
        job = job if storey is was else replace(job, storeys=storeys)
        put.became.update(done.became)
        put.lost.extend(done.lost)
        put.findings.extend(done.findings)
        fate.add(own)
        called |= done.printed_names
    job, lost = with_records(old, job, fate)
    put.lost.extend(lost)
    put.became.update({name: Became("renamed", (), was) for name, was in called.items() if name not in put.became})
    return put._replace(job=_with_drawings(job, drawn, lies))


def _both_measured(old: Job, job: Job, memory: Memory | None) -> tuple[Takeoff, Takeoff]:
    """Both states measured; of the second only what is otherwise, where nobody remembers the first one."""
    if memory is not None:
        return memory.measure(old), measure(job)
    both = Memory()
    return both.measure(old), both.measure(job)


def _fit(old: Job, lies: Sequence[LaidStorey]) -> float:
    rooms = {storey.id: len(storey.rooms) for storey in old.storeys}
    replaced = [one for one in lies if one.storey is not None]
    every = sum(rooms[one.storey] for one in replaced if one.storey is not None)
    fitting = sum(one.fit * rooms[one.storey] for one in replaced if one.storey is not None)
    return fitting / every if every else 0.0


def _of_placing(old: Job, drawn: Sequence[Drawn], lies: Sequence[LaidStorey]) -> list[Finding]:
    found = []
    replaced = {one.storey for one in lies if one.storey is not None}
    for one in lies:
        file = drawn[one.drawn].file
        if one.storey is None:
            if replaced:
                found.append(noticed("revision-new-storey", file=file, storey=one.title))
            else:
                found.append(noticed("another-plan/none", file=file))
            continue
        where = Where(storey=one.storey)
        if one.fit < HALF:
            told = noticed("another-plan", where, share=share_said(one.fit), storey=one.title, file=file)
            found.append(told)
        else:
            rooms, walls = share_said(one.fit), share_said(one.walls)
            how = _how(one)
            told = noticed("revision-laid-over", where, file=file, storey=one.title, rooms=rooms, walls=walls, how=how)
            found.append(told)
    if replaced:
        found += [
            noticed("revision-storey-missing", Where(storey=storey.id), storey=storey.title)
            for storey in old.storeys
            if storey.id not in replaced and storey.drawing is not None and storey.rooms
        ]
    return found


def _stairs(job: Job, lies: Sequence[LaidStorey]) -> list[Finding]:
    """Rooms in which a stair was drawn that the job has none in: it ended there, and a storey is above it now."""
    if all(one.storey is not None for one in lies):
        return []
    found = []
    for one in lies:
        storey = next((own for own in job.storeys if own.id == one.storey), None)
        for drawn in one.new.rooms if storey is not None else ():
            ring = drawn.stair.outline if drawn.stair is not None else ()
            for room in storey.rooms if storey is not None and ring else ():
                middle = sum(v[0] for v in ring) / len(ring), sum(v[1] for v in ring) / len(ring)
                if room.stair is None and holds(room, *middle):
                    where = Where(storey=str(storey.id) if storey else None, room=room.id)
                    found.append(noticed("revision-stair", where, room=room.title))
    return found


def _how(one: LaidStorey) -> str:
    said = [tr("mirrored")] if one.mirror else []
    if one.laid.turn_deg:
        said.append(tr("turned by {degrees}°", degrees=f"{one.laid.turn_deg:.2f}"))
    if one.laid.dx_mm or one.laid.dy_mm:
        said.append(tr("shifted by {x} and {y} mm", x=f"{one.laid.dx_mm:.0f}", y=f"{one.laid.dy_mm:.0f}"))
    return ", ".join(said) or tr("as it is drawn")


def _with_storey(job: Job, one: LaidStorey, ids: Ids, refused: Collection[str]) -> tuple[Job, dict[str, Became]]:
    """The job with a storey more, above those below which it was not drawn."""
    from takeoff.plan.edits.storey_edits import FLOOR_MM

    storey, became = storey_added(job, one.new, ids, one.title)
    rooms = tuple(room for room in storey.rooms if str(room.id) not in refused)
    kept = {room.id for room in rooms}
    if not rooms:
        return job, {}
    storey = replace(
        storey,
        rooms=rooms,
        openings=tuple(o for o in storey.openings if o.room in kept),
        rooflights=tuple(o for o in storey.rooflights if o.room in kept),
    )
    if job.storeys and not storey.level_mm:
        top = max(job.storeys, key=lambda own: own.level_mm)
        storey = replace(storey, level_mm=top.level_mm + top.height_mm + FLOOR_MM)
    return replace(job, storeys=(*job.storeys, storey)), {k: v for k, v in became.items() if RoomId(k) in kept}


def _with_drawings(job: Job, drawn: Sequence[Drawn], lies: Sequence[LaidStorey]) -> Job:
    """The job that names the drawings which its storeys are from now, and how they lie."""
    for k, one in enumerate(drawn):
        own = [lie for lie in lies if lie.drawn == k]
        if one.ref is None or not own:
            continue
        storey = next((s for s in job.storeys if s.id == own[0].storey), None)
        known = drawing_called(job, storey.drawing) if storey is not None else None
        if known is not None and known.sha256 and (known.sha256, known.page) == (one.ref.sha256, one.ref.page):
            continue  # the very drawing that it was made from
        name = known.id if known is not None else fresh_drawing_id(job)
        lies_as = known.laid if known is not None else Laid()
        job = with_drawing(job, replace(one.ref, id=name, laid=lies_as if own[0].mirror else own[0].laid))
        if storey is None:
            news = {lie.title for lie in own if lie.storey is None}
            storeys = tuple(
                replace(s, drawing=name) if s.title in news and s.id.startswith("storey-") else s for s in job.storeys
            )
            job = replace(job, storeys=storeys)
    return job
