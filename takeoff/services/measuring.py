"""What a user does with a file, one function each: open, check, measure. Nothing is printed here."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Literal

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError
from takeoff.findings import noticed, once
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import DrawingRef, Job
from takeoff.plan.settled import open_findings
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import LayerGuess, Profile
from takeoff.services import result as results
from takeoff.services.contents import kind_of
from takeoff.services.layers import Said, sorted_out
from takeoff.storage.content import Content
from takeoff.supply.order import Order

Progress = Callable[[float, str], None]

READING_SHARE = 0.6
"""Part of the progress bar that reading takes; recognition and measuring share the rest."""


LOST_LINES = frozenset({"coordinates-dropped"})
"""Findings of a reader after which a drawing is not measured."""


class Opened(msgspec.Struct, frozen=True):
    """A job, read or proposed from a drawing, with what was noticed on the way."""

    path: Path
    kind: Literal["drawing", "job"]
    job: Job
    findings: tuple[Finding, ...]
    drawing: Drawing | None = None
    stored: Content | None = None
    """All that the job's file holds, for saving it again; None for a drawing."""
    drawings: tuple[Drawing, ...] = ()
    """All drawings of a building model, one per storey; ``drawing`` is then the first of them."""
    raw: Drawing | None = None
    """A drawing or a page as its reader gave it, to be answered for otherwise without reading again."""
    read: tuple[Finding, ...] = ()
    """What its reader noticed, with places as in ``raw``."""
    guesses: tuple[LayerGuess, ...] = ()
    """What each layer of ``drawing`` was taken for."""
    found: tuple[Finding, ...] = ()
    """Those of the findings that came of looking for rooms."""


class Answers(msgspec.Struct, frozen=True):
    """What a user says of a drawing before its rooms are proposed: heights and layers (``settings``),
    its unit, or its scale and page for a PDF, and what layers are for. ``profiles``: what was said of
    layers before, the latest last. ``lenient``: what is said of layers that are not there is passed
    over, since at another scale some may not be told apart."""

    settings: Settings = Settings()
    unit: str | None = None
    scale: str | float | None = None
    page: int | None = None
    said: Said = ()
    profiles: tuple[Profile, ...] = ()
    lenient: bool = False


class Measured(msgspec.Struct, frozen=True):
    """A measured job: its quantities, what to order, and every finding once."""

    job: Job
    takeoff: Takeoff
    order: Order
    findings: tuple[Finding, ...]
    source: str

    @property
    def has_errors(self) -> bool:
        """Whether a finding says that the result is wrong or incomplete until it is mended."""
        return any(finding.severity == "error" for finding in self.findings)


def open_file(
    path: Path,
    settings: Settings | None = None,
    unit: str | None = None,
    progress: Progress | None = None,
    scale: str | None = None,
    page_number: int | None = None,
    said: Said = (),
    profiles: tuple[Profile, ...] = (),
) -> Opened:
    """The job in a job file, or the one proposed from a drawing; told apart by content.

    ``settings``, ``unit`` and ``said`` act on drawings only, ``scale`` and ``page_number`` on PDF only:
    what was given in vain is a finding. Raises InputError in one sentence for what cannot be read, and
    for pictures, which have no lines.
    """
    from takeoff.services import papers

    kind = kind_of(path)
    if kind == "picture":
        raise papers.refuse_picture(path)
    answers = Answers(settings or Settings(), unit, scale, page_number, said, profiles)
    tell = progress or _silent
    if kind == "pdf":
        return _open_pdf(path, answers, tell)
    if kind == "job":
        opened = _open_job(path, settings, unit, said)
    elif kind == "model":
        opened = _open_model(path, answers, tell)
    else:
        opened = _open_drawing(path, answers, tell)
    vain = papers.in_vain(scale, page_number, path.name)
    return msgspec.structs.replace(opened, findings=(*vain, *opened.findings)) if vain else opened


def answered(opened: Opened, answers: Answers, progress: Progress | None = None) -> Opened:
    """The same drawing or page, read once, with other answers; ``page`` counts only for a new reading.

    Raises InputError for a unit, scale, layer or role that is none, and where nothing was read.
    """
    tell = progress or _silent
    if opened.raw is None:
        raise InputError(f"{opened.path.name} has to be opened again before its unit or layers are changed.")
    if kind_of_raw(opened.raw) == "pdf":
        return page_answered(opened.path, opened.raw, opened.read, answers, tell)
    return _drawing_answered(opened.path, opened.raw, opened.read, answers, tell)


def kind_of_raw(raw: Drawing) -> Literal["drawing", "pdf"]:
    """Whether a drawing as read is a page of a PDF, which has a scale, or has a unit."""
    return "pdf" if any(claim.kind == "sheet" for claim in raw.claims) else "drawing"


def _open_job(path: Path, settings: Settings | None, unit: str | None, said: Said) -> Opened:
    from takeoff.plan.check import check

    stored, lost = _stored(path)
    named = [*(["unit"] if unit else []), *(["layer"] if said else []), *sorted(settings.given if settings else ())]
    in_vain = ["--" + name.removesuffix("_mm").replace("_", "-") for name in named]
    findings: tuple[Finding, ...] = (*lost, *stored.findings)
    if in_vain:
        vain = noticed("option-without-effect/job", options=", ".join(in_vain), named=path.name)
        findings = (vain, *findings)
    return Opened(path, "job", stored.job, (*findings, *check(stored.job)), stored.drawing, stored)


def _stored(path: Path) -> tuple[Content, tuple[Finding, ...]]:
    """What a job file holds, JSON alone or with its drawing, and what of it was lost to damage."""
    from takeoff.storage import jobfile, jobs

    if not jobfile.is_job_file(path):
        return Content(jobs.load(path.read_bytes(), path.name)), ()
    try:
        return jobfile.load(path), ()
    except jobfile.DamagedFile:
        return jobfile.recover(path)


def _open_drawing(path: Path, answers: Answers, tell: Progress) -> Opened:
    from takeoff.readers import dxf

    raw, read = dxf.read(path, lambda part, text: tell(part * READING_SHARE, text))
    _refuse_lost_lines(read)
    return _drawing_answered(path, raw, read, answers, tell)


def _drawing_answered(path: Path, raw: Drawing, read: tuple[Finding, ...], answers: Answers, tell: Progress) -> Opened:
    from takeoff.plan.check import check
    from takeoff.recognise.propose import proposal
    from takeoff.recognise.units import decide, findings_in_mm

    tell(READING_SHARE, "Deciding the unit")
    drawing, unit_findings = decide(raw, answers.unit)
    drawing, settings, remembered = sorted_out(
        drawing, answers.settings, answers.said, answers.profiles, answers.lenient
    )
    job, found, guesses = proposal(drawing, settings, lambda part, text: tell(READING_SHARE + 0.05 + 0.15 * part, text))
    job = _with_source(job, drawing, path, settings)
    findings = (*findings_in_mm(read, drawing.unit_mm), *unit_findings, *remembered, *found, *check(job))
    return Opened(path, "drawing", job, findings, drawing, raw=raw, read=read, guesses=guesses, found=found)


def _open_pdf(path: Path, answers: Answers, tell: Progress) -> Opened:
    from takeoff.services.papers import read_pdf

    scale = None if answers.scale is None else str(answers.scale)
    raw, read = read_pdf(path, scale, answers.page, lambda part, text: tell(part * READING_SHARE, text))
    return page_answered(path, raw, read, answers, tell)


def page_answered(path: Path, raw: Drawing, read: tuple[Finding, ...], answers: Answers, tell: Progress) -> Opened:
    """The rooms of a page of a PDF in mm on paper, and what was noticed. Raises InputError for a scale,
    layer or role that is none."""
    from takeoff.plan.check import check
    from takeoff.services.papers import proposed

    tell(READING_SHARE + 0.05, "Finding rooms")
    page = proposed(raw, read, answers.settings, answers.scale, answers.said, answers.profiles, answers.lenient)
    job, found = _with_source(page.job, page.drawing, path, page.settings), page.findings
    if answers.unit:
        found = (*found, noticed("option-without-effect/unit-of-sheet", named=path.name))
    return Opened(
        path,
        "drawing",
        job,
        (*found, *check(job)),
        page.drawing,
        raw=raw,
        read=read,
        guesses=page.guesses,
        found=page.found,
    )


def _open_model(path: Path, answers: Answers, tell: Progress) -> Opened:
    from takeoff.plan.check import check
    from takeoff.readers import ifc
    from takeoff.recognise.modelled import propose_modelled

    settings = answers.settings
    drawings, read_findings = ifc.read(path, lambda part, text: tell(part * READING_SHARE, text))
    tell(READING_SHARE + 0.05, "Finding rooms")
    job, found = propose_modelled(drawings, settings)
    if drawings:
        job = _with_source(job, drawings[0], path, settings)
    in_vain = [
        *(["--unit"] if answers.unit else []),
        *(["--layers"] if settings.layers else []),
        *(["--layer"] if answers.said else []),
    ]
    if in_vain:
        options = " and ".join(in_vain)
        found = (*found, noticed("option-without-effect/model", options=options, named=path.name))
    first = drawings[0] if drawings else None
    findings = (*read_findings, *found, *check(job))
    return Opened(path, "drawing", job, findings, first, None, drawings)


def _refuse_lost_lines(findings: tuple[Finding, ...]) -> None:
    """A line that lost its place could be a wall: rooms without it would be wrong and look right."""
    for finding in findings:
        if finding.code in LOST_LINES:
            raise InputError(finding.text)


def _with_source(job: Job, drawing: Drawing, path: Path, settings: Settings) -> Job:
    """The job with its drawing named, so that a later revision can be told from this one, and with what
    was said of its page and layers, so that it can be proposed again."""
    ref = job.drawing or DrawingRef(name=path.name)
    digest = ref.sha256 or drawing.sha256 or hashlib.sha256(path.read_bytes()).hexdigest()
    sheet = next((dict(claim.values) for claim in drawing.claims if claim.kind == "sheet"), {})
    ref = msgspec.structs.replace(
        ref,
        name=path.name,
        sha256=digest,
        unit=drawing.unit,
        unit_mm=drawing.unit_mm,
        page=int(sheet["page"]) if "page" in sheet else None,
        layer_roles=settings.layer_roles,
    )
    return msgspec.structs.replace(job, drawing=ref, name=job.name or path.stem)


def billed_by(opened: Opened, convention: str) -> Opened:
    """The opened job with another measuring convention for its bill. Raises InputError, naming
    those that exist, for one that is not known."""
    from takeoff.measure.conventions import load

    job = msgspec.structs.replace(opened.job, convention=load(convention).id)
    return msgspec.structs.replace(opened, job=job)


def measure_job(opened: Opened, progress: Progress | None = None) -> Measured:
    """Quantities, order and findings of an opened job.

    A job without a room gives empty quantities and a finding of severity error. Raises InputError
    where the coating system or the measuring convention that the job names does not exist, and for a job
    with a number that no building has.
    """
    from takeoff.measure import measure
    from takeoff.measure.conventions import load as convention
    from takeoff.measure.outside_rule import outside_as_drawn
    from takeoff.plan.limits import refuse_unsound
    from takeoff.supply.materials import materials
    from takeoff.supply.systems import load

    tell = progress or _silent
    refuse_unsound(opened.job, opened.path.name)
    tell(READING_SHARE + 0.2, "Measuring")
    system = load(opened.job.system)
    convention(opened.job.convention)
    takeoff = measure(opened.job)
    tell(0.95, "Ordering")
    order = materials(takeoff, system)
    told = (*opened.findings, *outside_as_drawn(opened.job, takeoff))
    if not takeoff.rooms and not any(f.severity == "error" for f in (*told, *order.findings)):
        name = opened.path.name
        none = noticed("no-rooms/job", file=name) if opened.kind == "job" else noticed("no-rooms/drawing", named=name)
        told = (*told, none)
    return Measured(opened.job, takeoff, order, still_open(opened.job, told, takeoff, order), opened.path.name)


def still_open(job: Job, told: Iterable[Finding], takeoff: Takeoff, order: Order | None = None) -> tuple[Finding, ...]:
    """Everything that was noticed of a job and is not settled: each fault once, the grave ones first.

    ``told``: by reading, recognition and the job's check. This is what command, window and sheets
    show, all of them.
    """
    return open_findings(job, once((*told, *(order.findings if order else ())), takeoff.findings))


def result_json(measured: Measured) -> bytes:
    """The result of a measured job as JSON. Raises OutputError where a figure is no number."""
    return results.encode(
        results.result(measured.job, measured.takeoff, measured.order, measured.findings, measured.source)
    )


def job_json(job: Job) -> bytes:
    """The job as a job file. Raises OutputError for one that would not read back the same."""
    from takeoff.storage import jobs

    return jobs.dump(job)


def schema_json(kind: Literal["job", "result"]) -> bytes:
    """The published JSON Schema of a job or of a result."""
    from takeoff.storage.jobs import job_schema

    value = job_schema() if kind == "job" else results.schema()
    return msgspec.json.format(msgspec.json.encode(value), indent=1) + b"\n"


def _silent(part: float, text: str) -> None:
    del part, text
