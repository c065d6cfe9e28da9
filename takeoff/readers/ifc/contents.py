"""What stands in a file before the IFC library is let at it; refusals in plain words."""

from __future__ import annotations

import hashlib
import zipfile
from pathlib import Path

from takeoff.errors import InputError

LARGEST_BYTES = 500 * 1024 * 1024
"""Above this a model needs more memory than a site laptop has (common practice, no source)."""
HEAD_BYTES = 65536
TAIL_BYTES = 4096
STEP = b"ISO-10303-21"
STEP_END = b"END-ISO-10303-21"
ZIP = b"PK\x03\x04"
ENCRYPTED_FLAG = 0x1
OTHER_KINDS = (
    (b"%PDF", "a PDF"),
    (b"AC10", "a DWG"),
    (b"AutoCAD Binary DXF", "a DXF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"<?xml", "an XML file"),
    (b"{", "a JSON file"),
    (b"\x89HDF", "an HDF file"),
)


def checked(path: Path) -> tuple[bytes, str]:
    """(the bytes of the model, SHA-256 of the file), a zipped one unpacked.

    Raises InputError, one sentence, for a file that is missing, empty, too large, encrypted, cut
    off or no IFC model.
    """
    data = _bytes(path)
    digest = hashlib.sha256(data).hexdigest()
    if data.startswith(ZIP):
        data = _unzipped(path.name, data)
    _refuse_others(path.name, data)
    return data, digest


def _too_large(name: str, size: int) -> InputError:
    return InputError(
        f"{name} holds {size / 1048576:.0f} MB and at most {LARGEST_BYTES // 1048576} MB can be read: export "
        "only the storeys that are to be measured, or leave out the building's services."
    )


def _bytes(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise InputError(f"{path.name or path} is a folder: name the IFC file in it.")
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise _too_large(path.name, size)
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise InputError(f"{path.name} does not exist in {path.parent}: check the name and the folder.") from error
    except PermissionError as error:
        raise InputError(f"{path.name} may not be read: ask its owner for permission, or copy it.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "unknown reason"
        sentence = f"{path.name} cannot be read ({reason}): check the disk or copy the file."
        raise InputError(sentence) from error
    if not data.strip(b"\x00 \t\r\n"):
        raise InputError(f"{path.name} is empty: get the file again.")
    return data


def _unzipped(name: str, data: bytes) -> bytes:
    import io

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            models = [i for i in archive.infolist() if i.filename.lower().endswith(".ifc")]
            if len(models) != 1:
                what = "no IFC model" if not models else f"{len(models)} IFC models"
                raise InputError(f"{name} is a zip archive with {what} in it: unpack it and open one model.")
            if models[0].flag_bits & ENCRYPTED_FLAG:
                raise InputError(f"{name} is encrypted: unpack it with its password and open the model.")
            if models[0].file_size > LARGEST_BYTES:
                raise _too_large(name, models[0].file_size)
            # One byte more than allowed is asked for, since the size in an archive can be untrue.
            with archive.open(models[0]) as packed:
                found = packed.read(LARGEST_BYTES + 1)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, RuntimeError, ValueError) as error:
        raise InputError(f"{name} is a damaged zip archive: get the file again.") from error
    except zipfile.zlib.error as error:  # type: ignore[attr-defined]
        raise InputError(f"{name} is a damaged zip archive: get the file again.") from error
    if len(found) > LARGEST_BYTES:
        raise _too_large(name, len(found))
    return found


def _refuse_others(name: str, data: bytes) -> None:
    head = data[:HEAD_BYTES].lstrip(b"\xef\xbb\xbf \t\r\n\x00")
    if not head.startswith(STEP):
        for mark, kind in OTHER_KINDS:
            if head.startswith(mark):
                raise InputError(f"{name} is {kind}, not an IFC model: export the model and open that.")
        raise InputError(f"{name} is no IFC model (it does not begin with {STEP.decode()}): export it again.")
    if b"IFC" not in head.upper():
        raise InputError(f"{name} is a STEP file of another kind, not an IFC model: export the model and open that.")
    tail = data[-TAIL_BYTES:].rstrip(b"\x00\x1a \t\r\n;")
    if not tail.endswith(STEP_END):
        raise InputError(f"{name} is cut off (it has no end mark), so parts are missing: get the file again.")
