"""What a file is, by what stands in it and not by how it is named."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Literal

from takeoff.errors import InputError

FIRST_BYTES = 4096

_FOREIGN: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "is a PDF, which cannot be measured yet: ask for the plan as DXF"),
    (b"ISO-10303-21", "is an IFC model, which cannot be measured yet: export a plan of each storey as DXF"),
    (b"\x89PNG", "is a picture, which cannot be measured: ask for the DXF of the plan"),
    (b"\xff\xd8\xff", "is a picture, which cannot be measured: ask for the DXF of the plan"),
    (b"II*\x00", "is a picture, which cannot be measured: ask for the DXF of the plan"),
    (b"MM\x00*", "is a picture, which cannot be measured: ask for the DXF of the plan"),
    (b"PK\x03\x04", "is a zip archive: unpack it and open the DXF in it"),
    (b"\x1f\x8b", "is a compressed file: unpack it and open the DXF in it"),
)
"""First bytes of files that people take for plans, and what to do about each."""

_BINARY_DXF = b"AutoCAD Binary DXF"  # the sentinel that the DXF format itself prescribes


def kind_of(path: Path) -> Literal["job", "drawing"]:
    """Whether ``path`` is a job or a drawing, from its first bytes.

    Raises InputError in one sentence for a missing or unreadable file, a folder, an empty file,
    a DWG whatever its name, and other formats that cannot be measured.
    """
    start = _first_bytes(path)
    if not start:
        raise InputError(f"“{path}” is empty: choose a DXF drawing or a job file.")
    if _is_dwg(start):
        raise InputError(
            f"“{path}” is a DWG, which cannot be read: save it as DXF in the drawing program and open that.")
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
            f"“{path}” is neither a DXF drawing nor a job: it holds binary data of another kind. "
            "Choose another file.")
    return "drawing"


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
