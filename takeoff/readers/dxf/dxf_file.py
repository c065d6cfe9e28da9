"""Opening the file: what is no DXF is refused in one sentence, what is damaged is recovered."""

from __future__ import annotations

import gc
import hashlib
import io
import logging
import struct
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ezdxf import audit, recover
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.const import DXFError

from takeoff.errors import InputError
from takeoff.files.from_outside import clean, whole_file
from takeoff.findings import noticed
from takeoff.language import mark, tr
from takeoff.language.lists import some_of
from takeoff.readers.dxf.dxf_log import PARSER_FAULTS, Log

LOADING_FAULTS = (*PARSER_FAULTS, struct.error, EOFError, OSError, StopIteration)
"""StopIteration escapes where a table ends in its middle."""
TAIL_BYTES = 2048
BINARY_MARK = b"AutoCAD Binary DXF\r\n\x1a\x00"
OTHER_KINDS = (
    (b"%PDF", mark("a PDF")),
    (b"PK\x03\x04", mark("a zip archive")),
    (b"\x89PNG", mark("a picture")),
    (b"\xff\xd8\xff", mark("a picture")),
    (b"ISO-10303", mark("an IFC or STEP file")),
    (b"<?xml", mark("an XML file")),
    (b"<!DOCTYPE", mark("a web page")),
    (b"<html", mark("a web page")),
    (b"{", mark("a JSON file")),
)
REPAIRS_SHOWN = 5
MOST_BYTES = 60 * 2**20
"""The library takes up to 30 times the file's size in memory; a plan of a whole tower has some 20 MB."""


def open_dxf(path: Path, log: Log) -> tuple[Any, str]:
    """The document and the file's sha256; repairs go to the log.

    Raises InputError, one sentence, for whatever is no whole DXF file.
    """
    data = whole_file(path, tr("DXF file"), MOST_BYTES, tr("save the plan without what is not to be measured"))
    _refuse_others(log.name, data)
    digest = hashlib.sha256(data).hexdigest()
    with rubbish_left():
        try:
            return readfile(str(path)), digest
        except LOADING_FAULTS as error:
            reason = _sentence(error)
        return _recovered(path, data, reason, log), digest


def _recovered(path: Path, data: bytes, reason: str, log: Log) -> Any:
    """The document that the library can save from a damaged file: first by repairing its structure,
    then by dropping what it cannot follow, which is an error until somebody has looked."""
    try:
        doc, auditor = recover.read(io.BytesIO(data))
        told = noticed("dxf-recovered", file=log.name, reason=reason)
    except LOADING_FAULTS:
        try:
            doc, auditor = recover.explore(path, errors="surrogateescape")
        except LOADING_FAULTS as error:
            raise InputError(
                tr("{file} is no readable DXF ({reason}): save it again as DXF.", file=log.name, reason=reason)
            ) from error
        told = noticed("dxf-recovered-in-part", file=log.name, reason=reason)
    log.repairs.append(told)
    _tell_repairs(auditor, log)
    return doc


@contextmanager
def listening(log: Log) -> Iterator[None]:
    """Turns what the library would print about its repairs into one finding."""
    said: list[str] = []
    ear = _Ear(said)
    logger = logging.getLogger("ezdxf")
    spread = logger.propagate
    logger.addHandler(ear)
    logger.propagate = False
    try:
        yield
    finally:
        logger.removeHandler(ear)
        logger.propagate = spread
    if said:
        log.repairs.append(noticed("dxf-repaired/values", file=log.name, count=len(said), first=_printable(said[0])))


class _Ear(logging.Handler):
    """Keeps the messages of a logger."""

    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self.said = said

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(record.getMessage())


@contextmanager
def rubbish_left() -> Iterator[None]:
    """Keeps the cycle collector off while many small objects are made: it finds nothing then and
    takes a quarter of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _refuse_others(name: str, data: bytes) -> None:
    """Raises InputError for other formats and for a file that ends in its middle."""
    head = data[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head[:2] == b"AC" and head[2:6].isdigit():
        raise InputError(tr("{file} is a DWG file, not a DXF: save it as DXF in its program.", file=name))
    for begin, kind in OTHER_KINDS:
        if head.startswith(begin):
            raise InputError(tr("{file} is {kind}, not a DXF: save the plan as DXF.", file=name, kind=tr(kind)))
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise InputError(tr("{file} is written in UTF-16, which no DXF is: save it again as DXF.", file=name))
    tail = data[-TAIL_BYTES:].rstrip(b"\x00\x1a \t\r\n")
    if data.startswith(BINARY_MARK):
        if not tail.endswith(b"EOF"):
            raise InputError(tr("{file} is cut off (it has no end mark): get the file again.", file=name))
        return
    if b"SECTION" not in data:
        raise InputError(tr("{file} is no DXF drawing (it has no sections): save the plan as DXF.", file=name))
    if not tail.endswith(b"EOF") and b"ENDSEC" not in tail[-64:]:
        raise InputError(tr("{file} is cut off, so lines are missing: get the file again.", file=name))


def _sentence(error: BaseException) -> str:
    """The reason in words; the library's inner stumbling says only that the structure is broken."""
    if isinstance(error, DXFError | UnicodeError | OSError) and str(error).strip():
        return _printable(str(error))
    return tr("its structure is broken")


def _printable(text: str) -> str:
    return clean(" ".join(text.splitlines()[:1])).strip().rstrip(".")[:160]


def _tell_repairs(auditor: Any, log: Log) -> None:
    """The repairs by kind, as two findings at most."""
    for entries, key in ((auditor.fixes, "dxf-repaired"), (auditor.errors, "dxf-not-repaired")):
        if entries:
            kinds = Counter(_kind(e) for e in entries)
            shown = some_of([f"{n} × {k}" for k, n in kinds.most_common()], REPAIRS_SHOWN)
            log.repairs.append(noticed(key, file=log.name, count=len(entries), kinds=shown))


def _kind(entry: Any) -> str:
    """What an audit entry says, without the handles that make each one different."""
    if entry.code in {e.value for e in audit.AuditError}:
        return audit.AuditError(entry.code).name.lower().replace("_", " ")
    return f"fault {entry.code}"
