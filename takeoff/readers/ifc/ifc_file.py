"""The reader: looks at what stands in the file, and reads it in a process of its own.

The geometry library is native and can crash or hang on damaged files; in a process of its own that
ends as one sentence, and a window stays responsive meanwhile.
"""

from __future__ import annotations

import hashlib
import importlib.util
import io
import multiprocessing
import os
import signal
import traceback
import zipfile
import zlib
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError
from takeoff.files.ends_with_starter import end_with_starter
from takeoff.files.from_outside import limit_memory, name_of, too_large, whole_file
from takeoff.files.installing import install_command
from takeoff.language import mark, tr

Progress = Callable[[float, str], None]
Result = tuple[tuple[Drawing, ...], tuple[Finding, ...]]

LARGEST_BYTES = 500 * 1024 * 1024
"""Above this a model needs more memory than a site laptop has (common practice, no source)."""
SMALLER = mark("export only the storeys that are to be measured, or leave out the building's services")
HEAD_BYTES = 65536
TAIL_BYTES = 4096
STEP = b"ISO-10303-21"
STEP_END = b"END-ISO-10303-21"
ZIP = b"PK\x03\x04"
ENCRYPTED_FLAG = 0x1
OTHER_KINDS = (
    (b"%PDF", mark("a PDF")),
    (b"AC10", mark("a DWG")),
    (b"AutoCAD Binary DXF", mark("a DXF")),
    (b"\x89PNG", mark("a picture")),
    (b"\xff\xd8\xff", mark("a picture")),
    (b"<?xml", mark("an XML file")),
    (b"{", mark("a JSON file")),
    (b"\x89HDF", mark("an HDF file")),
)
STILL_CPU_S = 10.0
"""A healthy element takes well under a second of work; after so much without a sign the file is given up. Work is
counted and not time, so that a slow or busy machine gives the same answer."""
STILL_PER_MB_S = 2.0
"""The library says nothing while it parses; it reads more than 5 MB a second."""
STILL_S = 300.0
"""A process that says nothing for so long does not even work; where the system counts no work, this is all there is."""
LOOK_S = 0.1
MEMORY_BYTES = 1_900_000_000
MEMORY_PER_BYTE = 15
"""Parsed entities take up to this many times their text."""


def read(path: Path, progress: Progress | None = None) -> tuple[tuple[Drawing, ...], tuple[Finding, ...]]:
    """One drawing per storey, lowest first, in mm (``unit`` is the file's), and what was noticed.

    Each drawing is a cut 1.2 m above its storey through walls, columns, glazing, doors and windows,
    with labels and claims (see the package). Raises InputError, one sentence, for what is no IFC
    model, damaged, too large, or without shapes; whatever ``progress`` raises ends the reading.
    """
    name = name_of(Path(path))
    data, digest = checked(Path(path))
    if importlib.util.find_spec("ifcopenshell") is None:
        raise InputError(
            tr(
                "{file} is an IFC model, and what reads those is not installed. In the folder of the program run: "
                "{command}",
                file=name,
                command=install_command("ifc"),
            )
        )
    tell = progress or (lambda share, what: None)
    if multiprocessing.current_process().daemon:
        # Such a process may have none of its own: it is itself the one that shields its parent.
        from takeoff.readers.ifc.modelling import model_drawings

        return model_drawings(data, name, digest, tell)
    outcome = _apart(data, name, digest, tell)
    if isinstance(outcome, str):
        raise InputError(outcome)
    return outcome


def _apart(data: bytes, name: str, digest: str, progress: Progress) -> Result | str:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    limit = MEMORY_BYTES + MEMORY_PER_BYTE * len(data)
    process = context.Process(target=_work, args=(theirs, name, digest, limit), daemon=True)
    process.start()
    theirs.close()
    try:
        return _outcome(process, ours, data, name, progress)
    finally:
        if process.is_alive():
            process.kill()
        process.join()
        ours.close()


def _outcome(process: BaseProcess, ours: Connection, data: bytes, name: str, progress: Progress) -> Result | str:
    """What the process says in the end; it is told the data, since that may be unpacked from a zip."""
    patience = STILL_S + STILL_PER_MB_S * len(data) / 1e6
    waited = 0.0
    share, what = 0.0, tr("Reading {file}", file=name)
    try:
        ours.send_bytes(data)
        while True:
            progress(share, what)
            if not ours.poll(LOOK_S):
                waited += LOOK_S
                if waited > patience:
                    return _never_ends(name)
                continue
            waited = 0.0
            message = ours.recv()
            if message[0] != "share":
                outcome: Result | str = message[1]
                return outcome
            share, what = message[1], message[2]
    except (EOFError, OSError):
        process.join(STILL_S)
        if process.exitcode == -WORKED_ENOUGH:
            return _never_ends(name)
        if process.exitcode == OUT_OF_MEMORY:
            return tr(
                "{file} is too large for the memory: export it again with walls, openings and spaces only.", file=name
            )
        return tr("{file} has a damaged part: export it again with walls, openings and spaces only.", file=name)


def _never_ends(name: str) -> str:
    return tr("{file} could not be read: it is damaged, or one of its shapes never ends. Export it again.", file=name)


OUT_OF_MEMORY = 75
WORKED_ENOUGH = getattr(signal, "SIGPROF", 0)
"""What ends a process that has worked for as long as it asked, where the system has such a signal."""
FAULTS = (ArithmeticError, AttributeError, LookupError, RuntimeError, TypeError, ValueError)
"""What values of a kind that no sound file holds lead to."""


def _work(theirs: Connection, name: str, digest: str, limit: int) -> None:
    """Runs in the process of its own: reads, and sends what came of it."""
    end_with_starter()
    limit_memory(limit)
    _hush()
    from takeoff.readers.ifc.modelling import model_drawings

    data = theirs.recv_bytes()
    still_s = STILL_CPU_S + STILL_PER_MB_S * len(data) / 1e6

    def tell(share: float, what: str) -> None:
        _work_at_most(still_s)
        theirs.send(("share", share, what))

    _work_at_most(still_s)
    try:
        theirs.send(("done", model_drawings(data, name, digest, tell)))
    except InputError as error:
        theirs.send(("refused", str(error)))
    except MemoryError:
        os._exit(OUT_OF_MEMORY)
    except FAULTS as error:
        # A damaged file can break a rule that nothing here foresaw: the sentence says where.
        frames = [f for f in traceback.extract_tb(error.__traceback__) if "takeoff" in f.filename]
        at = f"{Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else "?"
        fault = f"{type(error).__name__}, {at}"
        said = tr("{file} breaks a rule of IFC ({fault}): export it again.", file=name, fault=fault)
        theirs.send(("refused", said))


def _work_at_most(cpu_s: float) -> None:
    """From now on this process may use so much CPU before it says so again; then it is ended, also within the native
    library, which would not let a handler of Python's run."""
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_PROF, cpu_s)


def _hush() -> None:
    """Sends what the native library would print to nowhere."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)


def checked(path: Path) -> tuple[bytes, str]:
    """(the bytes of the model, SHA-256 of the file), a zipped one unpacked.

    Raises InputError, one sentence, for a file that is missing, empty, too large, encrypted, cut
    off or no IFC model.
    """
    name = name_of(path)
    data = whole_file(path, tr("IFC file"), LARGEST_BYTES, tr(SMALLER))
    digest = hashlib.sha256(data).hexdigest()
    if data.startswith(ZIP):
        data = _unzipped(name, data)
    _refuse_others(name, data)
    return data, digest


def _unzipped(name: str, data: bytes) -> bytes:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            models = [i for i in archive.infolist() if i.filename.lower().endswith(".ifc")]
            if len(models) != 1:
                what = "no IFC model" if not models else f"{len(models)} IFC models"
                raise InputError(
                    tr("{file} is a zip archive with {what} in it: unpack it and open one model.", file=name, what=what)
                )
            if models[0].flag_bits & ENCRYPTED_FLAG:
                raise InputError(tr("{file} is encrypted: unpack it with its password and open the model.", file=name))
            if models[0].file_size > LARGEST_BYTES:
                raise too_large(name, models[0].file_size, LARGEST_BYTES, tr(SMALLER))
            # One byte more than allowed is asked for, since the size in an archive can be untrue.
            with archive.open(models[0]) as packed:
                found = packed.read(LARGEST_BYTES + 1)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, OSError, RuntimeError, ValueError) as error:
        raise InputError(tr("{file} is a damaged zip archive: get the file again.", file=name)) from error
    if len(found) > LARGEST_BYTES:
        raise too_large(name, len(found), LARGEST_BYTES, tr(SMALLER))
    return found


def _refuse_others(name: str, data: bytes) -> None:
    head = data[:HEAD_BYTES].lstrip(b"\xef\xbb\xbf \t\r\n\x00")
    if not head.startswith(STEP):
        for begin, kind in OTHER_KINDS:
            if head.startswith(begin):
                raise InputError(
                    tr("{file} is {kind}, not an IFC model: export the model and open that.", file=name, kind=tr(kind))
                )
        raise InputError(
            tr(
                "{file} is no IFC model (it does not begin with {step}): export it again.",
                file=name,
                step=STEP.decode(),
            )
        )
    if b"IFC" not in head.upper():
        raise InputError(
            tr("{file} is a STEP file of another kind, not an IFC model: export the model and open that.", file=name)
        )
    tail = data[-TAIL_BYTES:].rstrip(b"\x00\x1a \t\r\n;")
    if not tail.endswith(STEP_END):
        raise InputError(
            tr("{file} is cut off (it has no end mark), so parts are missing: get the file again.", file=name)
        )
