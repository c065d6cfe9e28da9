"""Opening a file: what it is, by what stands in it; its job, read or proposed; and what a user answers of it."""

from __future__ import annotations

import errno
import hashlib
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Literal

import msgspec

import takeoff
from takeoff.drawing.model import Claim, Drawing, north_claimed
from takeoff.errors import Finding, InputError
from takeoff.files.from_outside import clean, name_of, within_memory
from takeoff.files.paths import resource
from takeoff.findings import noticed
from takeoff.language import listed, mark, tr
from takeoff.plan.job_drawings import FIRST, drawing_called, with_origin
from takeoff.plan.model import DrawingId, DrawingRef, Job
from takeoff.plan.settled import with_unsettled
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import NO_WALLS, LayerGuess, Profile, by_name
from takeoff.services.opened.layers import Said, sorted_out
from takeoff.services.opened.pictures import picture_kept, placed_of
from takeoff.storage.content import Attachment, Content, attachment
from takeoff.storage.jobfile import is_job_file

Kind = Literal["job", "drawing", "model", "pdf", "picture"]

FIRST_BYTES = 4096

_ZIP = b"PK\x03\x04"

_FOREIGN: tuple[tuple[bytes, str], ...] = (
    (_ZIP, mark("“{path}” is a zip archive: unpack it and open the DXF in it.")),
    (b"\x1f\x8b", mark("“{path}” is a compressed file: unpack it and open the DXF in it.")),
)
"""First bytes of files that people take for plans, and what to do about each."""

_PDF, _PDF_WITHIN = b"%PDF-", 1024
"""Some programs write a few bytes before the mark."""
_PICTURES = (b"\x89PNG", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*")
_STEP = b"ISO-10303-21"  # the first words of every STEP file, IFC among them
_BINARY_DXF = b"AutoCAD Binary DXF"  # the sentinel that the DXF format itself prescribes


def kind_of(path: Path) -> Kind:
    """What ``path`` is, from its first bytes. A job is JSON or a zip with it, a drawing is DXF, a model
    is IFC as text or alone in a zip, a picture PNG, JPEG or TIFF.

    Raises InputError in one sentence for a missing or unreadable file, a folder, an empty file,
    a DWG whatever its name, and other formats that cannot be measured.
    """
    start = _first_bytes(path)
    if not start:
        raise InputError(tr("“{path}” is empty: choose a DXF drawing or a job file.", path=path))
    if _is_dwg(start):
        raise InputError(
            tr(
                "“{path}” is a DWG, which cannot be read: save it as DXF in the drawing program and open that.",
                path=path,
            )
        )
    if start.startswith(_ZIP) and is_job_file(path):
        return "job"
    if _is_model(path, start):
        return "model"
    if _PDF in start[:_PDF_WITHIN]:
        return "pdf"
    if start.startswith(_PICTURES):
        return "picture"
    for magic, sentence in _FOREIGN:
        if start.startswith(magic):
            raise InputError(tr(sentence, path=path))
    if start.startswith(_BINARY_DXF):
        return "drawing"
    text = start.removeprefix(b"\xef\xbb\xbf").lstrip()
    if not text:
        raise InputError(tr("“{path}” holds only blanks: choose a DXF drawing or a job file.", path=path))
    # a DXF begins with the number of a group, whatever the file's name
    if text[:1] in b"{[" or (path.suffix.lower() == ".json" and not text[:1].isdigit()):
        return "job"
    if b"\0" in start:
        raise InputError(
            tr(
                "“{path}” is neither a DXF drawing nor a job: it holds binary data of another kind. "
                "Choose another file.",
                path=path,
            )
        )
    return "drawing"


def _is_model(path: Path, start: bytes) -> bool:
    """Whether a file is STEP text or a zip with an IFC model in it; by name where the zip is damaged,
    so that its reader can say what is wrong."""
    if start.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(_STEP):
        return True
    if not start.startswith(_ZIP):
        return False
    try:
        with zipfile.ZipFile(path) as archive:
            return any(name.lower().endswith(".ifc") for name in archive.namelist())
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return path.suffix.lower() == ".ifczip"


def _is_dwg(start: bytes) -> bool:
    """A DWG starts with AC and four digits of its version; a DXF never does."""
    return start[:2] == b"AC" and start[2:6].isdigit() and b"\n" not in start[:6]


def _first_bytes(path: Path) -> bytes:
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            raise InputError(
                tr("“{path}” is not an ordinary file: copy its content into one and open that.", path=path)
            )
        with path.open("rb") as file:
            return file.read(FIRST_BYTES)
    except FileNotFoundError as error:
        raise InputError(tr("“{path}” does not exist: check its name and folder.", path=path)) from error
    except IsADirectoryError as error:
        raise InputError(tr("“{path}” is a folder: name the drawing or the job in it.", path=path)) from error
    except PermissionError as error:
        raise InputError(
            tr("You may not read “{path}”: ask its owner for permission, or copy it.", path=path)
        ) from error
    except (OSError, ValueError) as error:
        if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG:
            raise InputError(tr("The name of the file is too long: choose a shorter one.")) from error
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            tr("“{path}” could not be read: {reason}. Check the disk and try again.", path=path, reason=reason)
        ) from error


Progress = Callable[[float, str], None]

READING_SHARE = 0.6
"""Part of the progress bar that reading takes; recognition and measuring share the rest."""


LOST_LINES = frozenset({"coordinates-dropped", "entity-not-read"})
"""Findings of a reader that tell, layer by layer, what is missing."""


class Opened(msgspec.Struct, frozen=True):
    """A job, read or proposed from a drawing, with what was noticed on the way."""

    path: Path
    kind: Literal["drawing", "job"]
    job: Job
    findings: tuple[Finding, ...]
    drawings: dict[DrawingId, Drawing] = {}
    """Its drawings as they were read, by the job's names for them."""
    stored: Content | None = None
    """All that the job's file holds, for saving it again; None for a drawing."""
    raw: Drawing | None = None
    """A drawing or a page as its reader gave it, to be answered for otherwise without reading again."""
    read: tuple[Finding, ...] = ()
    """What its reader noticed, with places as in ``raw``."""
    guesses: tuple[LayerGuess, ...] = ()
    """What each layer of ``drawing`` was taken for."""
    found: tuple[Finding, ...] = ()
    """Those of the findings that came of looking for rooms."""
    others: tuple[Opened, ...] = ()
    """The files that were opened to stand in the same job."""

    @property
    def source(self) -> str:
        """The names of its files."""
        return ", ".join((name_of(self.path), *(name_of(other.path) for other in self.others)))

    @property
    def drawing(self) -> Drawing | None:
        """The drawing that was read, or the first of a job's; None for a job without one."""
        return next(iter(self.drawings.values()), None)


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
    kind = kind_of(path)
    if kind == "picture":
        raise refuse_picture(path)
    answers = Answers(settings or Settings(), unit, scale, page_number, said, profiles)
    tell = progress or silent
    with within_memory(path):
        if kind == "pdf":
            return _open_pdf(path, answers, tell)
        if kind == "job":
            opened = _open_job(path, settings, unit, said)
        elif kind == "model":
            opened = _open_model(path, answers, tell)
        else:
            opened = _open_drawing(path, answers, tell)
    vain = in_vain(scale, page_number, name_of(path))
    return msgspec.structs.replace(opened, findings=(*vain, *opened.findings)) if vain else opened


def answered(opened: Opened, answers: Answers, progress: Progress | None = None) -> Opened:
    """The same drawing or page, read once, with other answers; ``page`` counts only for a new reading.

    Raises InputError for a unit, scale, layer or role that is none, and where nothing was read.
    """
    tell = progress or silent
    if opened.raw is None:
        raise InputError(tr("Open {file} again before you change its unit or layers.", file=name_of(opened.path)))
    again = page_answered if kind_of_raw(opened.raw) == "pdf" else _drawing_answered
    with within_memory(opened.path):
        return again(opened.path, opened.raw, opened.read, answers, tell)


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
        vain = noticed("option-without-effect/job", options=", ".join(in_vain), named=name_of(path))
        findings = (vain, *findings)
    return Opened(path, "job", stored.job, (*findings, *check(stored.job)), stored.drawings, stored)


def _stored(path: Path) -> tuple[Content, tuple[Finding, ...]]:
    """What a job file holds, JSON alone or with its drawing, and what of it was lost to damage."""
    from takeoff.services.opened.bare_pictures import with_bare_pictures
    from takeoff.storage import jobfile, jobs

    lost: tuple[Finding, ...] = ()
    if not jobfile.is_job_file(path):
        content = Content(jobs.load(path.read_bytes(), name_of(path)))
    else:
        try:
            content = jobfile.load(path)
        except jobfile.DamagedFile:
            content, lost = jobfile.recover(path)
    content, noted = with_bare_pictures(content, name_of(path))
    return content, (*lost, *noted)


def _open_drawing(path: Path, answers: Answers, tell: Progress) -> Opened:
    from takeoff.readers import dxf

    raw, read = dxf.read(path, lambda part, text: tell(part * READING_SHARE, text))
    _refuse_lost_walls(read, answers.said)
    return _drawing_answered(path, raw, read, answers, tell)


def _drawing_answered(path: Path, raw: Drawing, read: tuple[Finding, ...], answers: Answers, tell: Progress) -> Opened:
    from takeoff.plan.check import check
    from takeoff.recognise.propose import DEFAULTS, proposal
    from takeoff.recognise.units import decide_with_rooms, findings_in_mm

    tell(READING_SHARE, tr("Deciding the unit"))
    decided = decide_with_rooms(raw, answers.unit, lambda _part, _text: tell(READING_SHARE, tr("Deciding the unit")))
    drawing, unit_findings = decided.drawing, decided.findings
    drawing, settings, remembered = sorted_out(
        drawing, answers.settings, answers.said, answers.profiles, answers.lenient
    )
    known = decided.rooms if drawing is decided.drawing and settings == DEFAULTS else None
    job, found, guesses = known or proposal(
        drawing, settings, lambda part, text: tell(READING_SHARE + 0.05 + 0.15 * part, text)
    )
    read_mm = tuple(_by_layer(f, guesses) for f in findings_in_mm(read, drawing.unit_mm))
    told = (*read_mm, *unit_findings, *remembered, *found)
    job = with_unsettled(_with_source(job, drawing, path, settings), told)
    return Opened(
        path, "drawing", job, (*told, *check(job)), {FIRST: drawing}, raw=raw, read=read, guesses=guesses, found=found
    )


def _open_pdf(path: Path, answers: Answers, tell: Progress) -> Opened:

    scale = None if answers.scale is None else str(answers.scale)
    raw, read = read_pdf(path, scale, answers.page, lambda part, text: tell(part * READING_SHARE, text))
    return page_answered(path, raw, read, answers, tell)


def page_answered(path: Path, raw: Drawing, read: tuple[Finding, ...], answers: Answers, tell: Progress) -> Opened:
    """The rooms of a page of a PDF in mm on paper, and what was noticed. Raises InputError for a scale,
    layer or role that is none."""
    from takeoff.plan.check import check
    from takeoff.services.opened.papers import proposed

    tell(READING_SHARE + 0.05, tr("Finding rooms"))
    page = proposed(raw, read, answers.settings, answers.scale, answers.said, answers.profiles, answers.lenient)
    job, found = _with_source(page.job, page.drawing, path, page.settings), page.findings
    if answers.unit:
        found = (*found, noticed("option-without-effect/unit-of-sheet", named=name_of(path)))
    job = with_unsettled(job, found)
    return Opened(
        path,
        "drawing",
        job,
        (*found, *check(job)),
        {FIRST: page.drawing},
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
    tell(READING_SHARE + 0.05, tr("Finding rooms"))
    job, found = propose_modelled(drawings, settings)
    if drawings:
        job = _with_source(job, drawings[0], path, settings)
    in_vain = [
        *(["--unit"] if answers.unit else []),
        *(["--layers"] if settings.layers else []),
        *(["--layer"] if answers.said else []),
    ]
    if in_vain:
        options = listed(in_vain)
        found = (*found, noticed("option-without-effect/model", options=options, named=name_of(path)))
    told = (*read_findings, *found)
    job = with_unsettled(job, told)
    shown = {FIRST: drawings[0]} if drawings else {}
    return Opened(path, "drawing", job, (*told, *check(job)), shown)


def _refuse_lost_walls(findings: tuple[Finding, ...], said: Said) -> None:
    """A line that lost its place and could be a wall: rooms without it would be wrong and look right."""
    roles = {name.casefold(): role for name, role in said}
    for finding in findings:
        if finding.code == "coordinates-dropped" and finding.severity == "error":
            layer = finding.where.layer or ""
            if roles.get(layer.casefold(), by_name(layer)[0]) not in NO_WALLS:
                raise InputError(f"{finding.text} {finding.evidence}".strip())


def _by_layer(finding: Finding, guesses: tuple[LayerGuess, ...]) -> Finding:
    """What is missing from a layer that nothing of a room is drawn on is to be looked at; anywhere else it
    may be a wall."""
    if finding.code not in LOST_LINES or finding.where.layer is None:
        return finding
    role = next((g.role for g in guesses if g.name == finding.where.layer), "unknown")
    return msgspec.structs.replace(finding, severity="check") if role in NO_WALLS else finding


def _with_source(job: Job, drawing: Drawing, path: Path, settings: Settings) -> Job:
    """The job with its drawing named, so that a later revision can be told from this one, and with what
    was said of its page and layers, so that it can be proposed again."""
    ref = drawing_called(job, FIRST) or DrawingRef(id=FIRST, name=name_of(path))
    digest = ref.sha256 or drawing.sha256 or hashlib.sha256(path.read_bytes()).hexdigest()
    sheet = next((dict(claim.values) for claim in drawing.claims if claim.kind == "sheet"), {})
    ref = msgspec.structs.replace(
        ref,
        name=name_of(path),
        sha256=digest,
        unit=drawing.unit,
        unit_mm=drawing.unit_mm,
        page=int(sheet["page"]) if "page" in sheet else None,
        layer_roles=settings.layer_roles,
        north_deg=north_claimed(drawing),
    )
    return as_usual(with_origin(msgspec.structs.replace(job, name=job.name or clean(path.stem)), ref))


def as_usual(job: Job) -> Job:
    """A new job with the coating system that the user works with, a copy of it, and the details of his firm."""
    from takeoff.services.written.firm import with_firm
    from takeoff.supply.systems import as_copy, usual_system

    system = usual_system()
    return with_firm(msgspec.structs.replace(job, system=system.id, system_copy=as_copy(system)))


def silent(part: float, text: str) -> None:
    """Progress that nobody looks at."""
    del part, text


PICTURE = "page-is-picture"
"""The reader's finding where a page is a scan."""


def read_pdf(
    path: Path, scale: str | None, page_number: int | None, tell: Progress, scans: bool = False
) -> tuple[Drawing, tuple[Finding, ...]]:
    """One page of a PDF in mm on paper, and what was noticed. Raises InputError in one sentence for
    what cannot be read, for a scale that is none, and, without ``scans``, for a page that is a picture."""
    from takeoff.readers import pdf
    from takeoff.recognise.scale import parse_scale

    if scale is not None:
        parse_scale(scale)  # refused before a long reading, not after
    raw, found = pdf.read(path, page_number, tell)
    for finding in found:
        if finding.code == PICTURE and not scans:
            raise InputError(finding.text)
    return raw, found


def refuse_picture(path: Path) -> InputError:
    """Why a picture is not measured and what to do, in one sentence; or what is wrong with it."""
    from takeoff.readers import picture

    try:
        drawing, _ = picture.read(path)
    except InputError as error:
        return error
    assert drawing.picture is not None
    wide, high = drawing.picture.width_px, drawing.picture.height_px
    return InputError(
        tr(
            "{file} is a picture ({wide} × {high} pixels) without lines to measure. Open it in the window "
            "(takeoff window FILE): give four corners of a known rectangle or one known length, and trace "
            "its rooms. Or ask for the plan as DXF, or as a PDF printed from the drawing program.",
            file=name_of(path),
            wide=wide,
            high=high,
        )
    )


def in_vain(scale: str | None, page_number: int | None, name: str) -> tuple[Finding, ...]:
    """A finding where options for paper were given for what is none."""
    given = [*(["--scale"] if scale is not None else []), *(["--page-number"] if page_number is not None else [])]
    if not given:
        return ()
    return (noticed("option-without-effect/no-paper", options=listed(given), named=name),)


SAMPLE = "terrace.job.json"
LONGEST_THUMBNAIL_PX = 230
MOST_SHOWN = 60
"""Pages of a PDF that are shown small; the reader gives no more."""


class Thumbnail(msgspec.Struct, frozen=True):
    """A page of a PDF, small: rows from the top, three bytes per pixel, and how many lines it has."""

    page: int
    width_px: int
    height_px: int
    rgb: bytes
    lines: int


def open_for_window(path: Path, answers: Answers, progress: Progress) -> Opened:
    """``open_file`` with what a spawned process can be given. Pictures and scanned pages are opened too,
    to be traced. Raises InputError."""
    kind = kind_of(path)
    with within_memory(path):
        if kind == "picture":
            return _picture_file(path)
        if kind == "pdf":
            return _page(path, answers, progress)
    return open_file(path, answers.settings, answers.unit, progress, said=answers.said, profiles=answers.profiles)


def _page(path: Path, answers: Answers, progress: Progress) -> Opened:
    scale = None if answers.scale is None else str(answers.scale)
    raw, read = read_pdf(path, scale, answers.page, lambda part, text: progress(part * READING_SHARE, text), scans=True)
    if raw.picture is None:
        return page_answered(path, raw, read, answers, progress)
    sheet = next(claim for claim in raw.claims if claim.kind == "sheet")
    return _scanned_page(path, sheet, progress)


_PAGE_DPI = 200.0
"""How finely a scanned page is kept."""


def _picture_file(path: Path) -> Opened:
    """A job without rooms over a picture, which is kept without what a camera noted. Raises InputError for
    what cannot be read or shown."""
    from takeoff.readers import picture as pictures

    drawing, found = pictures.read(path)
    return _over_picture(path, drawing, found, picture_kept(path), None)


def _scanned_page(path: Path, sheet: Claim, progress: Progress) -> Opened:
    """The same over a page of a PDF that is a scan, kept as a picture of its own. ``sheet``: what the
    reader claims of the page: its number, and how many there are."""
    from takeoff.readers import pdf
    from takeoff.readers import picture as pictures

    page = int(dict(sheet.values)["page"])
    rendered = pdf.render(path, page, _PAGE_DPI, progress)
    progress(0.8, tr("Keeping the page as a picture"))
    data = pictures.png(rendered.rgb, rendered.width_px, rendered.height_px)
    kept = attachment(data, ".png")
    drawing, found = pictures.from_rgb(name_of(path), kept.sha256, rendered.width_px, rendered.height_px, rendered.dpi)
    drawing = msgspec.structs.replace(drawing, claims=(*drawing.claims, sheet))
    return _over_picture(path, drawing, found, kept, page)


def _over_picture(
    path: Path, drawing: Drawing, found: tuple[Finding, ...], kept: Attachment, page: int | None
) -> Opened:
    assert drawing.picture is not None
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    flat = placed_of(drawing.picture)
    drawing = msgspec.structs.replace(drawing, unit="mm", unit_mm=1.0)
    placed = msgspec.structs.replace(flat, sha256=kept.sha256)
    ref = DrawingRef(id=FIRST, name=name_of(path), sha256=digest, page=page, picture=placed)
    job = as_usual(Job(name=clean(path.stem), drawings=(ref,)))
    # The job's own check says that it has to be placed, until it is.
    findings = tuple(f for f in found if f.code != "picture-to-trace")
    drawings = {FIRST: drawing}
    return Opened(path, "drawing", job, findings, drawings, Content(job, drawings, findings, (kept,)))


def thumbnails(path: Path, first: int, progress: Progress) -> tuple[Thumbnail, ...]:
    """Small pictures of up to 60 pages of a PDF from ``first`` on. Raises InputError."""
    from takeoff.readers import pdf

    with within_memory(path):
        shown = pdf.pages(path, LONGEST_THUMBNAIL_PX, first, progress)
    return tuple(
        Thumbnail(p.page, p.width_px, p.height_px, p.rgb, lines)
        for p, lines in zip(shown.shown, shown.sides, strict=True)
    )


def sample_job() -> Path | None:
    """The sample job that a first start opens: in the wheel's data, or beside it in a checkout."""
    try:
        found = resource(f"samples/{SAMPLE}")
    except InputError:
        beside = Path(takeoff.__file__).resolve().parents[1] / "sample_plans" / SAMPLE
        return beside if beside.is_file() else None
    return Path(str(found))
