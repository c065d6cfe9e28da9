"""A job measured: its quantities, its order and what is still open, and the result of it as JSON.

Figures are unrounded, with the printed value beside every line of dims. Areas m², lengths m unless the name
ends in ``_mm``. Room figures are for one room; ``totals`` count ``times``. These types are the published schema
of ``takeoff-result/1``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

import msgspec

from takeoff.errors import Finding, OutputError, Severity, Where
from takeoff.files.from_outside import name_of, named_in_refusals
from takeoff.findings import fault_of, noticed, once
from takeoff.language import mark, tr, tr_count
from takeoff.measure.takeoff import BeadPiece, Dim, Face, OpeningEffect, RoomTakeoff, Takeoff
from takeoff.plan.job_drawings import origin_of
from takeoff.plan.model import BehindClass, Confidence, Job, Opening, Reveal, Ring, Rooflight, Room, Side, Storey
from takeoff.plan.provenance import RoomSource, room_source
from takeoff.plan.reasons import all_spoken
from takeoff.plan.settled import known_among, open_findings, unsettled_findings
from takeoff.plan.shape import in_question, vertices
from takeoff.services.measured.printed_records import Printed
from takeoff.services.opened.opening import READING_SHARE, Opened, Progress, silent
from takeoff.sheets.wall_names import Spoken
from takeoff.storage.jobs import json_schema
from takeoff.supply.order import Order
from takeoff.units.printing import printed, shown

_NAMES = {
    "wall_net_m2": mark("walls {change} m²"),
    "reveal_m2": mark("reveals {change} m²"),
    "coated_m2": mark("coat {change} m²"),
    "external_corner_m": mark("external corners {change} m"),
}
"""What is said of an opening that was not taken in."""

SCHEMA: Literal["takeoff-result/1"] = "takeoff-result/1"


class ResultBehind(msgspec.Struct, frozen=True):
    """What is behind a stretch of a face; ``class`` as in the job. ``claimed``: *outside* only as drawn."""

    from_mm: float
    to_mm: float
    cls: BehindClass = msgspec.field(name="class")
    thickness_mm: float | None = None
    claimed: bool = False


class ResultFace(msgspec.Struct, frozen=True):
    """One wall face."""

    id: str
    length_m: float
    gross_m2: float
    net_m2: float
    behind: tuple[ResultBehind, ...]


class ResultOpening(msgspec.Struct, frozen=True):
    """An opening of the room that is its host. ``reveal_mm``: the deepest strip on the host side."""

    id: str
    kind: Literal["window", "door", "open", "rooflight"]
    confidence: Confidence
    width_mm: float
    sill_mm: float | None
    head_mm: float | None
    reveal_mm: float


class ResultDim(msgspec.Struct, frozen=True):
    """times × dims = product; ``printed`` is the product as sheets print it."""

    quantity: str
    times: float
    dims_m: tuple[float, ...]
    product: float
    printed: float
    what: str
    where: str


class ResultRoom(msgspec.Struct, frozen=True):
    """One room. ``outline_mm``: rings of [x, y, bulge], the outer first."""

    id: str
    name: str
    storey: str
    times: int
    confidence: Confidence
    outline_mm: tuple[Ring, ...]
    height_min_mm: float
    height_max_mm: float
    floor_m2: float
    perimeter_m: float
    ceiling_m2: float
    wall_gross_m2: float
    openings_m2: float
    excluded_m2: float
    not_coated_m2: float
    wall_net_m2: float
    drop_m2: float
    reveal_m2: float
    coated_m2: float
    external_corner_m: float
    external_corner_by_kind_m: dict[str, float]
    internal_corner_m: dict[str, float]
    coat_edge_m: float
    coat_edge_by_kind_m: dict[str, float]
    floor_edge_m: float
    frame_joint_m: float
    frame_joint_by_kind_m: dict[str, float]
    bead_pieces: tuple[BeadPiece, ...]
    openings: tuple[ResultOpening, ...]
    faces: tuple[ResultFace, ...]
    dims: tuple[ResultDim, ...]
    source: RoomSource


class ResultSource(msgspec.Struct, frozen=True):
    """Where a storey is from: its drawing ("" for none), and which of its rooms were measured on site."""

    storey: str
    name: str
    drawing: str
    number: str
    revision: str
    page: int | None
    read_on_site: tuple[str, ...]


class ResultMaterial(msgspec.Struct, frozen=True):
    """One line of the order: ``packs`` in all, ``pack`` in words; ``cost`` null where a price is missing."""

    item: str
    need: float
    unit: str
    packs: int
    pack: str
    cost: float | None


class ResultFinding(msgspec.Struct, frozen=True):
    """A finding as other programs get it: its sentence with what it rests on, its place by ids."""

    code: str
    severity: Severity
    text: str
    where: Where


class Result(msgspec.Struct, frozen=True):
    """The whole result. ``source``: the file that was measured; ``unit``: its unit.

    ``totals_if_all_taken_in``: the same with every uncertain opening deducted; null where none is.
    ``draft``: why nothing of this is for a client yet; "" where nothing is to be fixed.
    ``printed``: the totals as the sheets print them.
    """

    schema: Literal["takeoff-result/1"]
    source: str
    unit: str
    rooms: tuple[ResultRoom, ...]
    totals: dict[str, float]
    materials: tuple[ResultMaterial, ...]
    findings: tuple[ResultFinding, ...]
    totals_if_all_taken_in: dict[str, float] | None = None
    draft: str = ""
    sources: tuple[ResultSource, ...] = ()
    printed: Printed | None = None


def result(measured: Measured) -> Result:
    """The result of a measured job, but for what is printed; rooms in the takeoff's order. Pure: nothing is measured
    here."""
    job, takeoff = measured.job, measured.takeoff
    names = Spoken(job)
    storeys = {storey.id: storey for storey in job.storeys}
    rooms = {(storey.id, room.id): room for storey in job.storeys for room in storey.rooms}
    return Result(
        schema=SCHEMA,
        source=measured.source,
        unit=job.drawings[0].unit if job.drawings else "mm",
        rooms=tuple(
            _room(job, figures, storeys[figures.storey], rooms[figures.storey, figures.room])  # type: ignore[index]
            for figures in takeoff.rooms
        ),
        totals=dict(takeoff.totals),
        materials=_materials(measured.order),
        findings=tuple(
            _told_whole(one)
            for one in (*measured.findings, *(_not_measured(effect, names) for effect in takeoff.unsure))
        ),
        totals_if_all_taken_in=dict(measured.if_taken_in.totals) if measured.if_taken_in else None,
        draft=measured.draft,
        sources=tuple(_source(job, storey) for storey in job.storeys),
    )


def _told_whole(finding: Finding) -> ResultFinding:
    return ResultFinding(finding.code, finding.severity, f"{finding.text} {finding.evidence}".strip(), finding.where)


def encode(value: Result) -> bytes:
    """The result as indented JSON in UTF-8. Raises OutputError where a figure is no number."""
    refuse_no_number(msgspec.to_builtins(value), "result")
    return msgspec.json.format(msgspec.json.encode(value), indent=1) + b"\n"


def schema() -> dict[str, object]:
    """The JSON Schema of a result."""
    return json_schema(Result, SCHEMA)


def _room(job: Job, figures: RoomTakeoff, storey: Storey, room: Room) -> ResultRoom:
    # every figure that both types name the same is passed on as it is
    same = {
        name: getattr(figures, name)
        for name in ResultRoom.__struct_fields__
        if name in RoomTakeoff.__struct_fields__ and name not in ("faces", "dims")
    }
    return ResultRoom(
        id=figures.room,
        outline_mm=tuple(_ring(sides) for sides in room.rings),
        openings=tuple(_openings(storey, room)),
        faces=tuple(_face(face) for face in figures.faces),
        dims=tuple(_dim(dim) for dim in figures.dims),
        source=room_source(job, storey, room),
        **same,
    )


def _source(job: Job, storey: Storey) -> ResultSource:
    origin = origin_of(job, storey)
    read = tuple(str(room.id) for room in storey.rooms if room_source(job, storey, room) == "site")
    if origin is None:
        return ResultSource(storey.id, storey.name, "", "", "", None, read)
    return ResultSource(storey.id, storey.name, origin.name, origin.number, origin.revision, origin.page, read)


def _ring(sides: tuple[Side, ...]) -> Ring:
    return vertices(sides)


def _openings(storey: Storey, room: Room) -> Iterable[ResultOpening]:
    for opening in storey.openings:
        if opening.room == room.id:
            yield _opening(opening)
    for rooflight in storey.rooflights:
        if rooflight.room == room.id:
            yield _rooflight(rooflight)


def _opening(opening: Opening) -> ResultOpening:
    return ResultOpening(
        opening.id,
        opening.kind,
        opening.confidence,
        opening.width_mm,
        opening.sill_mm,
        opening.head_mm,
        _deepest_mm(opening.reveal),
    )


def _rooflight(rooflight: Rooflight) -> ResultOpening:
    xs = [vertex[0] for vertex in rooflight.outline]
    return ResultOpening(
        rooflight.id, "rooflight", rooflight.confidence, max(xs) - min(xs), None, None, rooflight.depth_mm
    )


def _deepest_mm(reveal: Reveal) -> float:
    return max(strip.depth_mm for strip in (reveal.start, reveal.end, reveal.head, reveal.sill))


def _face(face: Face) -> ResultFace:
    behind = tuple(ResultBehind(b.from_mm, b.to_mm, b.cls, b.thickness_mm, b.claimed) for b in face.behind)
    return ResultFace(face.id, face.length_m, face.gross_m2, face.net_m2, behind)


def _dim(dim: Dim) -> ResultDim:
    return ResultDim(dim.quantity, dim.times, dim.dims, dim.product, float(printed(dim.product)), dim.what, dim.where)


def _not_measured(effect: OpeningEffect, names: Spoken) -> Finding:
    """What an opening that is not sure would change if it were taken in."""
    changes = [tr(words, change=_signed(effect.change[key])) for key, words in _NAMES.items() if effect.change.get(key)]
    reasons = "; ".join(all_spoken(effect.evidence)) + "." if effect.evidence else ""
    return noticed(
        "opening-not-measured",
        Where(room=effect.room, opening=effect.opening),
        opening=names.opening(effect.opening),
        reasons=reasons,
        changes=", ".join(changes) or tr("nothing changes"),
    )


def _signed(by: float) -> str:
    """ "+0.12", "−1.50"."""
    text = shown(by)
    return text if text.startswith("−") else f"+{text}"


def _materials(order: Order) -> tuple[ResultMaterial, ...]:
    return tuple(
        ResultMaterial(
            line.item,
            line.need,
            line.unit,
            sum(count for _, count in line.packs),
            line.pack,
            None if line.cost is None else float(line.cost),
        )
        for line in order.lines
    )


def refuse_no_number(value: object, place: str) -> None:
    """NaN and infinity would be written as null: say where they are instead."""
    if _all_numbers(value):
        return
    if isinstance(value, float) and not math.isfinite(value):
        raise OutputError(
            tr("The figure {place} is not a number: nothing was written; check the findings.", place=place)
        )
    if isinstance(value, dict):
        for key, item in value.items():
            refuse_no_number(item, f"{place}.{key}")
    elif isinstance(value, list | tuple):
        for index, item in enumerate(value):
            refuse_no_number(item, f"{place}[{index}]")


def _all_numbers(value: object) -> bool:
    """Whether no NaN and no infinity is in it; asked without putting places into words, which takes far longer."""
    stack = [value]
    while stack:
        found = stack.pop()
        if isinstance(found, float):
            if not math.isfinite(found):
                return False
        elif isinstance(found, dict):
            stack.extend(found.values())
        elif isinstance(found, list | tuple):
            stack.extend(found)
    return True


class Measured(msgspec.Struct, frozen=True):
    """A measured job: its quantities, what to order, and every finding once.

    ``if_taken_in``: its quantities with every opening in question measured too; None where none is.
    """

    job: Job
    takeoff: Takeoff
    order: Order
    findings: tuple[Finding, ...]
    source: str
    if_taken_in: Takeoff | None = None

    @property
    def has_errors(self) -> bool:
        """Whether a finding says that the result is wrong or incomplete until it is mended."""
        return any(finding.severity == "error" for finding in self.findings)

    @property
    def draft(self) -> str:
        """Why the sheets are a draft, in words; "" where nothing is to be mended."""
        return draft_of(self.findings)


def draft_of(findings: Iterable[Finding]) -> str:
    """Why sheets with these findings are a draft: the first error and how many more; "" without one."""
    errors = [finding for finding in findings if finding.severity == "error"]
    if not errors:
        return ""
    more = len(errors) - 1
    first = fault_of(errors[0])
    if not more:
        return first
    return tr_count("{first}; {count} more to fix", "{first}; {count} more to fix", more, first=first)


def if_all_taken_in(job: Job) -> Takeoff | None:
    """The job measured with every opening in question taken in, all of them together, since what they
    change may overlap; None for a job without one."""
    from takeoff.measure import measure

    if not in_question(job):
        return None

    def taken_in(storey: Storey) -> Storey:
        openings = tuple(msgspec.structs.replace(o, confidence="sure") for o in storey.openings)
        lights = tuple(msgspec.structs.replace(light, confidence="sure") for light in storey.rooflights)
        return msgspec.structs.replace(storey, openings=openings, rooflights=lights)

    return measure(msgspec.structs.replace(job, storeys=tuple(taken_in(storey) for storey in job.storeys)))


def billed_by(opened: Opened, convention: str) -> Opened:
    """The opened job with another measuring convention, of a file or an id, for its bill. Raises InputError, naming
    those that exist, for one that is not known."""
    from takeoff.measure.conventions import as_copy, chosen
    from takeoff.plan import edits

    found = chosen(convention)
    return msgspec.structs.replace(opened, job=edits.set_convention(opened.job, found.id, as_copy(found)))


def system_findings(job: Job, takeoff: Takeoff) -> tuple[Finding, ...]:
    """A note where the job's copy of its coating system, or of the convention of its bill, is another than the one that
    is known now, and what is assumed of substrates as that system has them."""
    from takeoff.measure import conventions
    from takeoff.supply.substrate_findings import substrates_assumed
    from takeoff.supply.systems import moved_on, of_job

    moved, system, billed = moved_on(job), of_job(job), conventions.moved_on(job)
    told = (noticed(f"system-copy/{moved}", system=system.name),) if moved else ()
    if billed:
        told = (*told, noticed(f"convention-copy/{billed}", convention=conventions.of_job(job).name))
    return (*told, *substrates_assumed(job, takeoff, system))


def with_copies(job: Job) -> Job:
    """The job as it is sent: with its own copy of its coating system and of the convention of its bill, so that its
    figures do not move with their files. The job itself where it has both, or is billed net, by no rule."""
    from takeoff.measure import conventions
    from takeoff.plan import edits
    from takeoff.supply.systems import as_copy, of_job

    if job.system_copy is None:
        job = edits.set_system(job, job.system, as_copy(of_job(job)))
    if job.convention_copy is None and job.convention != conventions.NET:
        job = edits.set_convention(job, job.convention, conventions.as_copy(conventions.of_job(job)))
    return job


def measure_job(opened: Opened, progress: Progress | None = None) -> Measured:
    """Quantities, order and findings of an opened job.

    A job without a room gives empty quantities and a finding of severity error. Raises InputError
    where the coating system or the measuring convention that the job names does not exist, and for a job
    with a number that no building has.
    """
    from takeoff.measure import measure
    from takeoff.measure.conventions import of_job as convention
    from takeoff.measure.customs_assumed import customs_assumed
    from takeoff.measure.outside_rule import outside_as_drawn
    from takeoff.plan.limits import refuse_unsound
    from takeoff.supply.lots import order_of
    from takeoff.supply.systems import of_job

    tell = progress or silent
    refuse_unsound(opened.job, name_of(opened.path))
    tell(READING_SHARE + 0.2, tr("Measuring"))
    with named_in_refusals(opened.path):
        system = of_job(opened.job)
        convention(opened.job)
        takeoff = measure(opened.job)
        tell(0.95, tr("Ordering"))
        order = order_of(opened.job, takeoff, system)
    told = (*opened.findings, *outside_as_drawn(opened.job, takeoff), *customs_assumed(opened.job, takeoff))
    told = (*told, *system_findings(opened.job, takeoff))
    if not takeoff.rooms and not any(f.severity == "error" for f in (*told, *order.findings)):
        name = name_of(opened.path)
        none = noticed("no-rooms/job", file=name) if opened.kind == "job" else noticed("no-rooms/drawing", named=name)
        told = (*told, none)
    found = still_open(opened.job, told, takeoff, order)
    return Measured(opened.job, takeoff, order, found, opened.source, if_all_taken_in(opened.job))


def still_open(job: Job, told: Iterable[Finding], takeoff: Takeoff, order: Order | None = None) -> tuple[Finding, ...]:
    """Everything that was noticed of a job and is not settled: each fault once, the grave ones first.

    ``told``: by reading, recognition and the job's check; what the job brought with it is added. This is
    what command, window and sheets show, all of them.
    """
    told = tuple(told)
    told_now = known_among(told)
    kept = (one for one in unsettled_findings(job) if not told_now(one))
    every = (*told, *kept, *(order.findings if order else ()))
    found = open_findings(job, once(every, takeoff.findings))
    now, before = Spoken(job), Spoken(job, as_found=True)
    # what was settled stays so when its room is named afterwards
    stays = set(open_findings(job, (before.finding(one) for one in found)))
    return open_findings(job, (now.finding(one) for one in found if before.finding(one) in stays))


def job_json(job: Job) -> bytes:
    """The job as a job file. Raises OutputError for one that would not read back the same."""
    from takeoff.storage import jobs

    return jobs.dump(job)


def schema_json(kind: Literal["job", "result"]) -> bytes:
    """The published JSON Schema of a job or of a result."""
    from takeoff.storage.jobs import job_schema

    value = job_schema() if kind == "job" else schema()
    return msgspec.json.format(msgspec.json.encode(value), indent=1) + b"\n"
