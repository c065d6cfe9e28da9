"""What a job file holds besides the job, and how each piece becomes a part of the file and back."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

import msgspec

from takeoff.drawing import packing
from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError, OutputError
from takeoff.files.from_outside import newer_field
from takeoff.language import tr
from takeoff.plan.model import DrawingId, Job
from takeoff.storage import jobs

JOB = "job.json"
FINDINGS = "findings.json"
VIEW = "view.json"
DRAWINGS = "drawings/"
PICTURES = "pictures/"
SOURCE = "source/"
STATES = "states/"

LARGEST_VIEW_BYTES = 1 << 20

_PICTURE = re.compile(rf"{PICTURES}([0-9a-f]{{64}})(\.[a-z0-9]{{1,8}})")
_SOURCE = re.compile(rf"{SOURCE}[^/\\\0]{{1,200}}")
_DRAWING = re.compile(rf"{DRAWINGS}([A-Za-z0-9_-]{{1,40}})/({'|'.join(map(re.escape, packing.PARTS))})")
_STATE = re.compile(rf"{STATES}(\d{{4}})-([0-9a-f]{{64}})\.json")
_WHOLE = {JOB, FINDINGS, VIEW}

Read = TypeVar("Read")


class Attachment(msgspec.Struct, frozen=True):
    """A picture or a photo as it came. ``suffix`` with its dot, small letters."""

    sha256: str
    suffix: str
    data: bytes

    @property
    def part(self) -> str:
        """Its name in the file."""
        return f"{PICTURES}{self.sha256}{self.suffix}"


class SourceFile(msgspec.Struct, frozen=True):
    """The file that the drawing was read from, byte for byte."""

    name: str
    data: bytes


class KeptState(msgspec.Struct, frozen=True):
    """A state of the job that was sent or kept: its number in the line of states, and its bytes, which never change."""

    number: int
    sha256: str
    data: bytes

    @property
    def part(self) -> str:
        """Its name in the file."""
        return f"{STATES}{self.number:04d}-{self.sha256}.json"


class Content(msgspec.Struct, frozen=True):
    """Everything in a job file. ``drawings``: as they were read, by the job's names for them;
    ``findings``: of reading them, which opening again would not give back; ``view``: what the window
    remembers, plain JSON values; ``states``: what was sent, in order."""

    job: Job
    drawings: dict[DrawingId, Drawing] = {}
    findings: tuple[Finding, ...] = ()
    pictures: tuple[Attachment, ...] = ()
    source: SourceFile | None = None
    view: dict[str, Any] = {}
    states: tuple[KeptState, ...] = ()


def needed_pictures(job: Job, held: Iterable[Attachment]) -> tuple[Attachment, ...]:
    """Those of the pictures that a job speaks of, each once: its drawings' and its photos."""
    digests = {photo.sha256 for photo in job.photos}
    digests |= {ref.picture.sha256 for ref in job.drawings if ref.picture is not None}
    found: dict[str, Attachment] = {}
    for picture in held:
        if picture.sha256 in digests:
            found.setdefault(picture.sha256, picture)
    return tuple(found.values())


def attachment(data: bytes, suffix: str) -> Attachment:
    """A picture to be kept with a job, known by its digest. ``suffix``: as in ".jpg"."""
    return Attachment(hashlib.sha256(data).hexdigest(), suffix.lower(), data)


def kept_state(number: int, data: bytes) -> KeptState:
    """A state to be kept, known by its digest."""
    return KeptState(number, hashlib.sha256(data).hexdigest(), data)


def light_parts(content: Content) -> dict[str, bytes]:
    """What an edit changes. The job is not yet known to read back the same: see ``jobs.verify``."""
    parts = {JOB: jobs.encode(content.job)}
    if content.findings:
        parts[FINDINGS] = msgspec.json.encode(content.findings)
    if content.view:
        try:
            parts[VIEW] = json.dumps(content.view, allow_nan=False).encode()
        except (TypeError, ValueError, RecursionError) as error:
            raise OutputError(tr("The state of the view cannot be saved: {error}.", error=error)) from error
    return parts


def heavy_parts(content: Content) -> dict[str, bytes]:
    """What stays as it is while a job is edited. Raises OutputError where a part has no sound name."""
    parts: dict[str, bytes] = {}
    for key, drawing in content.drawings.items():
        parts |= {f"{DRAWINGS}{key}/{name}": data for name, data in packing.pack(drawing).items()}
    parts |= {picture.part: picture.data for picture in content.pictures}
    parts |= {state.part: state.data for state in content.states}
    if content.source is not None:
        parts[SOURCE + content.source.name] = content.source.data
    for name in parts:
        if not is_known(name):
            raise OutputError(tr("“{name}” cannot be saved with the job: give it a plain name.", name=name[:80]))
    return parts


def is_known(name: str) -> bool:
    """Whether a part of this name belongs into a job file."""
    return name in _WHOLE or any(kind.fullmatch(name) for kind in (_DRAWING, _PICTURE, _SOURCE, _STATE))


def content_of(
    parts: Mapping[str, bytes], name: str, forgive: Callable[[str, InputError], None] | None = None
) -> Content:
    """The content in ``parts``; ``name`` is the file's, for messages.

    Raises InputError for what is wrong in any part. With ``forgive`` only for the job itself; for
    other parts it is called with what is lost, in words, and they are left out.
    """
    if JOB not in parts:
        raise InputError(tr("{file}: the job in it is missing or damaged: take a copy of the file.", file=name))

    def read(what: str, reader: Callable[[], Read], without: Read) -> Read:
        try:
            return reader()
        except InputError as error:
            if forgive is None:
                raise InputError(tr("{file}: {error}", file=name, error=error)) from error
            forgive(what, error)
            return without

    packed: dict[DrawingId, dict[str, bytes]] = {}
    for key, data in parts.items():
        if match := _DRAWING.fullmatch(key):
            packed.setdefault(DrawingId(match[1]), {})[match[2]] = data
    unpacked = {
        key: read(tr("the drawing as it was read"), lambda drawing=drawing: packing.unpack(drawing), None)  # type: ignore[misc]
        for key, drawing in packed.items()
    }
    pictures = (
        read(tr("the picture {name}", name=key), lambda key=key: _picture(key, parts[key]), None)  # type: ignore[misc]
        for key in parts
        if key.startswith(PICTURES)
    )
    states = (
        read(state_words(key), lambda key=key: _state(key, parts[key]), None)  # type: ignore[misc]
        for key in sorted(parts)
        if key.startswith(STATES)
    )
    sources = [SourceFile(key.removeprefix(SOURCE), parts[key]) for key in parts if key.startswith(SOURCE)]
    return Content(
        job=jobs.load(parts[JOB], name),
        drawings={key: drawing for key, drawing in unpacked.items() if drawing is not None},
        findings=read(tr("the findings of reading"), lambda: _findings(parts.get(FINDINGS, b"[]")), ()),
        pictures=tuple(picture for picture in pictures if picture is not None),
        source=sources[0] if sources else None,
        view=read(tr("the state of the view"), lambda: _view(parts.get(VIEW, b"{}")), {}),
        states=tuple(state for state in states if state is not None),
    )


def state_words(part: str) -> str:
    """What a kept state is called where it is lost."""
    return tr("the state {number} as it was sent", number=part.removeprefix(STATES)[:4].lstrip("0") or "0")


def _state(part: str, data: bytes) -> KeptState:
    match = _STATE.fullmatch(part)
    if match is None or hashlib.sha256(data).hexdigest() != match[2]:
        raise InputError(
            tr("The sent state {part} is not the one that was kept: take a copy of the file.", part=part[:80])
        )
    return KeptState(int(match[1]), match[2], data)


def _picture(part: str, data: bytes) -> Attachment:
    match = _PICTURE.fullmatch(part)
    if match is None or hashlib.sha256(data).hexdigest() != match[1]:
        raise InputError(tr("The picture {part} is not the one that was saved: attach it again.", part=part[:80]))
    return Attachment(match[1], match[2], data)


def _findings(data: bytes) -> tuple[Finding, ...]:
    try:
        return msgspec.json.decode(data, type=tuple[Finding, ...])
    except (msgspec.MsgspecError, RecursionError) as error:
        if name := newer_field(error):
            raise InputError(
                tr(
                    "The findings of reading in it have the field “{name}” of a newer program: open it there, or they "
                    "are lost.",
                    name=name,
                )
            ) from error
        raise InputError(tr("The findings in it cannot be read ({error}).", error=error)) from error


def _view(data: bytes) -> dict[str, Any]:
    if len(data) > LARGEST_VIEW_BYTES:
        raise InputError(tr("The state of the view in it is larger than any view: open it without."))
    try:
        return msgspec.json.decode(data, type=dict[str, Any])
    except (msgspec.MsgspecError, RecursionError) as error:
        raise InputError(tr("The state of the view in it cannot be read ({error}).", error=error)) from error
