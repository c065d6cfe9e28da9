"""What the reader and its worker say to each other, as values that can be written to a pipe."""

from __future__ import annotations

import struct
from typing import BinaryIO, Literal

import msgspec

_LENGTH = struct.Struct("<Q")


class Request(msgspec.Struct, frozen=True):
    """What to do with a file: its page's content, the page as a picture at ``dpi``, or small pictures of
    all pages from ``page`` on, none longer than ``longest_px``."""

    path: str
    name: str
    page: int | None = None
    want: Literal["content", "picture", "pages"] = "content"
    dpi: float = 200.0
    longest_px: int = 0


class Progress(msgspec.Struct, frozen=True, tag="progress"):
    """How far the work is, 0 to 1, and at what."""

    share: float
    what: str


class Refused(msgspec.Struct, frozen=True, tag="refused"):
    """The file cannot be read; ``sentence`` is for the user."""

    sentence: str


class Broken(msgspec.Struct, frozen=True, tag="broken"):
    """A fault of the worker itself, with its traceback."""

    trace: str


class Pen(msgspec.Struct, frozen=True):
    """How a path is painted: stroke colour and width in page points (None: not stroked), fill
    colour (None: not filled), dashed or not, and its optional-content layer ("" for none)."""

    stroke: tuple[int, int, int] | None
    width: float
    fill: tuple[int, int, int] | None
    dashed: bool
    layer: str


class Char(msgspec.Struct, frozen=True, array_like=True):
    """One character in page points: start of its baseline, its box, direction, size."""

    text: str
    x: float
    y: float
    box: tuple[float, float, float, float]
    way_x: float
    way_y: float
    size: float


class Note(msgspec.Struct, frozen=True, array_like=True):
    """Words of an annotation that stands for text on the sheet, with its box in page points."""

    text: str
    box: tuple[float, float, float, float]


class Content(msgspec.Struct, frozen=True, tag="content"):
    """One page in page points, y up, as drawn (before its rotation).
    ``hidden``: named layers that are switched off.

    ``sides``: float64 (n, 4), start and end of each line or curve in drawing order;
    ``curve``: int32 (n,) row in ``controls`` (float64 (c, 4), two control points) or -1;
    ``path``: int32 (n,) the subpath of each side. Per subpath: ``pen``, ``clip`` (row in
    ``clips`` or -1; int32), ``closed`` (uint8) and ``thing`` (int32), the number of the path it is a part of.
    ``box``: the visible part of the page.
    """

    page: int
    pages: int
    sides_on: tuple[tuple[int, int], ...]
    box: tuple[float, float, float, float]
    turns: int
    sides: bytes
    curve: bytes
    path: bytes
    controls: bytes
    pen: bytes
    clip: bytes
    closed: bytes
    thing: bytes
    clips: tuple[tuple[float, float, float, float], ...]
    pens: tuple[Pen, ...]
    chars: tuple[Char, ...]
    notes: tuple[Note, ...]
    images: tuple[tuple[float, float, float, float], ...]
    uncounted: int = 0
    hidden: tuple[str, ...] = ()
    shadings: int = 0


class Rendered(msgspec.Struct, frozen=True, tag="rendered"):
    """A page as an RGB picture: rows from the top, three bytes per pixel."""

    page: int
    width_px: int
    height_px: int
    dpi: float
    rgb: bytes
    sha256: str


class Pages(msgspec.Struct, frozen=True, tag="pages"):
    """Small pictures of pages, with how many lines each has; ``pages``: how many there are in all."""

    pages: int
    shown: tuple[Rendered, ...]
    sides: tuple[int, ...]


Reply = Progress | Refused | Broken | Content | Rendered | Pages
Final = Content | Rendered | Pages

_encoder = msgspec.msgpack.Encoder()
_decoder: msgspec.msgpack.Decoder[Reply] = msgspec.msgpack.Decoder(Reply)
_requests: msgspec.msgpack.Decoder[Request] = msgspec.msgpack.Decoder(Request)


def send(pipe: BinaryIO, message: Reply | Request) -> None:
    """Writes a message with its length before it."""
    data = _encoder.encode(message)
    pipe.write(_LENGTH.pack(len(data)))
    pipe.write(data)
    pipe.flush()


def _body(pipe: BinaryIO) -> bytes | None:
    head = pipe.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    (size,) = _LENGTH.unpack(head)
    data = pipe.read(size)
    return data if len(data) == size else None


def receive(pipe: BinaryIO) -> Reply | None:
    """The next whole message, or None where the pipe ended first."""
    data = _body(pipe)
    return None if data is None else _decoder.decode(data)


def receive_request(pipe: BinaryIO) -> Request | None:
    """The request, or None where the pipe ended first."""
    data = _body(pipe)
    return None if data is None else _requests.decode(data)
