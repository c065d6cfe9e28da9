"""What a file is, by what stands in it and not by how it is named."""

from __future__ import annotations

import errno
import zipfile
from pathlib import Path
from typing import Literal

from takeoff.errors import InputError
from takeoff.storage.jobfile import is_job_file

Kind = Literal["job", "drawing", "model", "pdf", "picture"]

FIRST_BYTES = 4096

_ZIP = b"PK\x03\x04"

_FOREIGN: tuple[tuple[bytes, str], ...] = (
    (_ZIP, "is a zip archive: unpack it and open the DXF in it"),
    (b"\x1f\x8b", "is a compressed file: unpack it and open the DXF in it"),
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
        raise InputError(f"“{path}” is empty: choose a DXF drawing or a job file.")
    if _is_dwg(start):
        raise InputError(
            f"“{path}” is a DWG, which cannot be read: save it as DXF in the drawing program and open that."
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
            raise InputError(f"“{path}” {sentence}.")
    if start.startswith(_BINARY_DXF):
        return "drawing"
    text = start.removeprefix(b"\xef\xbb\xbf").lstrip()
    if not text:
        raise InputError(f"“{path}” holds only blanks: choose a DXF drawing or a job file.")
    if text[:1] in b"{[":
        return "job"
    if b"\0" in start:
        raise InputError(
            f"“{path}” is neither a DXF drawing nor a job: it holds binary data of another kind. Choose another file."
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
            raise InputError(f"“{path}” is no ordinary file: copy its content into one and open that.")
        with path.open("rb") as file:
            return file.read(FIRST_BYTES)
    except FileNotFoundError as error:
        raise InputError(f"“{path}” does not exist: check its name and folder.") from error
    except IsADirectoryError as error:
        raise InputError(f"“{path}” is a folder: name the drawing or the job in it.") from error
    except PermissionError as error:
        raise InputError(f"“{path}” may not be read: ask its owner for the right, or copy it.") from error
    except (OSError, ValueError) as error:
        if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG:
            raise InputError("The name of the file is too long: choose a shorter one.") from error
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"“{path}” could not be read: {reason}. Check the disk and try again.") from error
