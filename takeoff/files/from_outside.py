"""What comes from outside: the bytes of a file, the words in it and in its name, cleaned once, and the memory that
reading a damaged one may take.
"""

from __future__ import annotations

import contextlib
import importlib
import re
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from takeoff.errors import InputError
from takeoff.language import tr

LONGEST_NAME = 255
"""Letters of the name of a file, a layer or a block: more than file systems and drawing programs allow."""
_JOINERS = "\u200c\u200d"
"""Marks without width that several scripts need within a word."""


def clean(text: str, longest: int | None = None) -> str:
    """Text that can be written, printed and put on a sheet: undecodable bytes read as Western European,
    without lone halves of letters and control characters (line feeds stay), at most ``longest`` letters.
    """
    if not (text.isascii() and text.isprintable()):
        text = _sound(text)
    if longest is not None and len(text) > longest:
        text = text[: longest - 1] + "…"
    return text


def with_texts(tree: Any, change: Callable[[str], str]) -> Any:
    """The same tree of JSON with every text in it changed; names of fields stay."""
    if isinstance(tree, str):
        return change(tree)
    if isinstance(tree, dict):
        return {key: with_texts(inner, change) for key, inner in tree.items()}
    return [with_texts(inner, change) for inner in tree] if isinstance(tree, list) else tree


def undecodable(text: str) -> bool:
    """Whether the text holds halves of letters: bytes that were not in the encoding that the file names."""
    return not text.isascii() and any("\ud800" <= letter <= "\udfff" for letter in text)


_UNKNOWN_FIELD = re.compile(r"Object contains unknown field `([^`]*)`")


def newer_field(error: Exception) -> str:
    """The name of the field that a decoder met and no record here has, as it may stand in a sentence: a newer program
    may have written it. "" where it met something else."""
    found = _UNKNOWN_FIELD.match(str(error))
    return clean(found[1], 60) if found else ""


def name_of(path: Path) -> str:
    """A file's name as it is said and kept, for a folder without one (a drive) its whole path."""
    return clean(path.name or str(path), LONGEST_NAME)


def whole_file(path: Path, kind: str, most_bytes: int, smaller: str) -> bytes:
    """All of a file. ``kind`` ("DXF file") and ``smaller`` (how to make it so) are for the sentences.

    Raises InputError, one sentence, for what is missing, a folder, empty, too large or cannot be read.
    """
    name = name_of(path)
    try:
        if path.is_dir():
            raise InputError(tr("{file} is a folder: name the {kind} in it.", file=name, kind=kind))
        size = path.stat().st_size
        if size > most_bytes:
            raise too_large(name, size, most_bytes, smaller)
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise InputError(
            tr(
                "{file} does not exist in {folder}: check the name and the folder.",
                file=name,
                folder=clean(str(path.parent)),
            )
        ) from error
    except PermissionError as error:
        raise InputError(tr("{file} may not be read: ask its owner for permission, or copy it.", file=name)) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or tr("unknown reason")
        raise InputError(
            tr("{file} cannot be read ({reason}): check the disk or copy the file.", file=name, reason=reason)
        ) from error
    if not data.strip(b"\x00 \t\r\n"):
        raise InputError(tr("{file} is empty: get the file again.", file=name))
    return data


def too_large(name: str, size: int, most_bytes: int, smaller: str) -> InputError:
    """The refusal of a file, or of what is packed in it."""
    return InputError(
        tr(
            "{file} holds {size} MB and at most {most} MB can be read: {smaller}.",
            file=name,
            size=round(size / 2**20),
            most=most_bytes // 2**20,
            smaller=smaller,
        )
    )


def _sound(text: str) -> str:
    if undecodable(text):
        escaped = all("\udc80" <= letter <= "\udcff" for letter in text if "\ud800" <= letter <= "\udfff")
        data = text.encode("utf-8", "surrogateescape" if escaped else "replace")
        text = data.decode("cp1252" if escaped else "utf-8", "replace")
    return "".join(kept for letter in text if (kept := _letter(letter)))


def _letter(letter: str) -> str:
    if letter == "\n" or letter.isprintable() or letter in _JOINERS:
        return letter
    category = unicodedata.category(letter)
    return letter if category == "Zs" else " " if letter.isspace() else ""


@contextlib.contextmanager
def within_memory(path: Path) -> Iterator[None]:
    """What is done with a file in this block. Raises InputError, which names the file, where memory ends in it."""
    try:
        yield
    except MemoryError as error:
        raise InputError(
            tr("There is not enough memory for {file}: close other programs and try again.", file=name_of(path))
        ) from error


@contextlib.contextmanager
def named_in_refusals(path: Path) -> Iterator[None]:
    """What is refused in this block is said with the file's name where the sentence does not hold it."""
    try:
        yield
    except InputError as error:
        if name_of(path) in str(error):
            raise
        raise InputError(f"{name_of(path)}: {error}") from error


def limit_memory(most_bytes: int) -> None:
    """Lets this process take at most so much address space, where the system can limit it."""
    try:
        resource = importlib.import_module("resource")
    except ImportError:
        return  # Windows has no such limit; its memory manager refuses in its own way.
    with contextlib.suppress(ValueError, OSError):
        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        limit = most_bytes if hard == resource.RLIM_INFINITY else min(most_bytes, hard)
        resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
