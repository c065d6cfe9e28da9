"""Nothing but the picture: what a camera or a program noted beside it (place, person, device, small copies of
what was cut away) is left out before a picture is kept with a job.

JPEG and PNG keep their pixels bit for bit: only the parts that make the picture are copied. Of a TIFF, whose
notes may lie anywhere, the pixels are written anew.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from io import BytesIO

from PIL import Image, ImageCms

from takeoff.readers.picture.picture_file import DECODING_FAULTS, FORMATS, ORIENTATION, TURNS, own_limit, upright_of

PNG_MARK, JPEG_MARK = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"
PNG_PARTS = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT", b"pHYs", b"bKGD", b"hIST"}
)
"""The chunks without text or pictures of their own (PNG, ISO/IEC 15948; from memory)."""
JFIF = (b"JFIF\0", 14)
ADOBE = (b"Adobe", 12)
"""Applications' segments that say how colours are stored: how they begin, and how long they are without more."""
APP0, APP14, APP_LAST, COMMENT, SCAN, END = 0xE0, 0xEE, 0xEF, 0xFE, 0xDA, 0xD9
ALONE = frozenset((0x01, *range(0xD0, 0xD8)))
"""Markers without a length (JPEG, ISO/IEC 10918-1; from memory)."""


def without_notes(data: bytes, name: str) -> bytes:
    """The file of a picture without anything but the picture, its resolution and how it is turned.

    What holds no more than that comes back as it is. ``name`` is for messages: raises InputError, one
    sentence, for what cannot be shown.
    """
    bare = _bare(data)
    if bare is None:
        out = BytesIO()
        bare_image(upright_of(data, name)).save(out, "PNG")
        return out.getvalue()
    turn = _turn(data)
    return bare if turn == 1 else _turned(bare, turn)


def is_bare(data: bytes) -> bool:
    """Whether a JPEG or PNG file holds the upright picture and nothing beside it."""
    return _bare(data) == data


def bare_image(image: Image.Image, profile: bytes | None = None) -> Image.Image:
    """The pixels alone, grey or RGB, in the colours that screens expect where a sound ``profile`` says others."""
    bare = image.copy()
    bare.info = {}
    if not profile or bare.mode != "RGB":
        return bare
    try:
        own = ImageCms.ImageCmsProfile(BytesIO(profile))
        shown = ImageCms.profileToProfile(bare, own, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return bare  # a damaged profile, or one of other inks: the colours as they are
    shown = shown or bare
    shown.info = {}
    return shown


def _bare(data: bytes) -> bytes | None:
    """The parts that make the picture; None for another format, or where the parts cannot be told apart."""
    try:
        if data.startswith(PNG_MARK):
            return b"".join((PNG_MARK, *_png_parts(data)))
        if data.startswith(JPEG_MARK):
            return b"".join((data[:2], *_jpeg_parts(data)))
    except (struct.error, IndexError, ValueError):
        return None
    return None


def _png_parts(data: bytes) -> Iterator[bytes]:
    at = len(PNG_MARK)
    while True:
        length, kind = struct.unpack_from(">I4s", data, at)
        end = at + 12 + length
        if end > len(data):
            raise ValueError("cut off")
        if kind in PNG_PARTS:
            yield data[at:end]
        if kind == b"IEND":
            return
        at = end


def _jpeg_parts(data: bytes) -> Iterator[bytes]:
    at = 2
    while True:
        if data[at] != 0xFF:
            raise ValueError("no marker")
        while data[at + 1] == 0xFF:  # filling
            at += 1
        marker = data[at + 1]
        if marker == END:
            yield data[at : at + 2]
            return
        if marker in ALONE:
            yield data[at : at + 2]
            at += 2
            continue
        (length,) = struct.unpack_from(">H", data, at + 2)
        end = at + 2 + length
        if end > len(data) or length < 2:
            raise ValueError("cut off")
        if marker == SCAN:
            end = _scan_end(data, end)
            yield data[at:end]
        elif not (APP0 <= marker <= APP_LAST or marker == COMMENT):
            yield data[at:end]
        else:
            yield _application(marker, data[at + 4 : end])
        at = end


def _application(marker: int, body: bytes) -> bytes:
    """What is kept of an application's segment: how densely, and in what colours, the pixels are stored."""
    begins, size = JFIF if marker == APP0 else ADOBE
    if marker not in (APP0, APP14) or not body.startswith(begins) or len(body) < size:
        return b""
    kept = body[:size]
    if marker == APP0:
        kept = kept[:12] + b"\0\0"  # without the small copy
    return struct.pack(">BBH", 0xFF, marker, size + 2) + kept


def _scan_end(data: bytes, at: int) -> int:
    """Where the next marker after a scan's pixels stands."""
    while True:
        at = data.index(b"\xff", at)
        after = data[at + 1]
        if after != 0 and after not in ALONE and after != 0xFF:
            return at
        at += 1 if after == 0xFF else 2


def _turn(data: bytes) -> int:
    """The value of the orientation tag, 1 where there is none that is known."""
    try:
        with own_limit(), Image.open(BytesIO(data), formats=FORMATS) as image:
            turn = image.getexif().get(ORIENTATION, 1)
    except DECODING_FAULTS:
        return 1
    return turn if turn in TURNS else 1


def _turned(bare: bytes, turn: int) -> bytes:
    """The picture with a note of its turn, and of nothing else."""
    tiff = b"MM\0*" + struct.pack(">IHHHIHHI", 8, 1, ORIENTATION, 3, 1, turn, 0, 0)
    if bare.startswith(JPEG_MARK[:2]):
        body = b"Exif\0\0" + tiff
        return bare[:2] + struct.pack(">BBH", 0xFF, 0xE1, len(body) + 2) + body + bare[2:]
    chunk = b"eXIf" + tiff
    whole = struct.pack(">I", len(tiff)) + chunk + struct.pack(">I", zlib.crc32(chunk))
    (length,) = struct.unpack_from(">I", bare, len(PNG_MARK))
    at = len(PNG_MARK) + 12 + length  # after the head
    return bare[:at] + whole + bare[at:]
