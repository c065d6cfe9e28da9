"""A drawing as named parts of bytes: arrays in numpy's own format, everything else as MessagePack."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Mapping
from tokenize import TokenError
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework
from takeoff.errors import InputError, OutputError
from takeoff.files.from_outside import newer_field
from takeoff.language import tr

WORDS = "words.msgpack"
"""The part that holds everything but the arrays."""

_ARRAYS: dict[str, tuple[str, tuple[int, ...]]] = {
    "segments": ("<f8", (4,)),
    "segment_layer": ("<i4", ()),
    "segment_source": ("<i4", ()),
    "arcs": ("<f8", (5,)),
    "arc_layer": ("<i4", ()),
    "arc_source": ("<i4", ()),
}
"""Every array of the linework with its number type and the shape of a row."""

_ENDLESS = re.compile(rb"\xcb[\x7f\xff](?:\xf0|\xf8)\0{6}")
"""A float that is infinite, or not a number as programs write it, in MessagePack."""
_MAYBE_ENDLESS = re.compile(rb"\xcb[\x7f\xff][\xf0-\xff]")
"""Any float that is not finite, and here and there the inside of one that is."""

PARTS = (WORDS, *(f"{name}.npy" for name in _ARRAYS))
"""The names of the parts of a drawing, all of them always present."""


def pack(drawing: Drawing) -> dict[str, bytes]:
    """The drawing as ``PARTS``. Raises OutputError where a number is not finite."""
    encoder = msgspec.msgpack.Encoder(enc_hook=_without_arrays)
    parts = {WORDS: encoder.encode(drawing)}
    for name, (kind, _) in _ARRAYS.items():
        array = getattr(drawing.lines, name)
        parts[f"{name}.npy"] = _packed(array.astype(kind, copy=False))
    # Looking at the bytes first spares a walk over every word of a large drawing on each save.
    if not _finite(drawing, bool(_ENDLESS.search(parts[WORDS]))):
        raise OutputError(tr("The drawing {file} cannot be saved: a coordinate in it is no number.", file=drawing.name))
    return parts


def unpack(parts: Mapping[str, bytes]) -> Drawing:
    """The drawing in ``parts``. Its arrays look into the bytes and are not copied.

    Raises InputError for a missing part, an array of another type or shape, a layer that is not
    there, a number that is not finite.
    """
    missing = [name for name in PARTS if name not in parts]
    if missing:
        raise InputError(tr("The drawing in it lacks its part {part}: import the drawing again.", part=missing[0]))
    arrays = {name: _unpacked(parts[f"{name}.npy"], name, *form) for name, form in _ARRAYS.items()}
    lines = Linework(**arrays)
    try:
        drawing = msgspec.msgpack.decode(parts[WORDS], type=Drawing, dec_hook=lambda kind, value: lines)
    except (msgspec.MsgspecError, RecursionError, UnicodeError) as error:
        if name := newer_field(error):
            raise InputError(
                tr(
                    "The drawing in it has the field “{name}” of a newer program: open it there, or it is lost.",
                    name=name,
                )
            ) from error
        raise InputError(
            tr("The words of the drawing in it cannot be read ({error}): import it again.", error=error)
        ) from error
    if not _finite(drawing, bool(_MAYBE_ENDLESS.search(parts[WORDS]))):
        raise InputError(tr("A coordinate of the drawing in it is no number: import the drawing again."))
    _refuse_strays(drawing)
    return drawing


def _without_arrays(value: Any) -> None:
    if not isinstance(value, Linework):
        raise NotImplementedError(f"a {type(value).__name__} is no part of a drawing")


def _packed(array: NDArray[Any]) -> bytes:
    out = io.BytesIO()
    np.lib.format.write_array(out, np.ascontiguousarray(array), version=(1, 0), allow_pickle=False)
    return out.getvalue()


def _unpacked(data: bytes, name: str, kind: str, row: tuple[int, ...]) -> NDArray[Any]:
    """The array, whose header must say exactly what the data is, so that no header can ask for memory."""
    file = io.BytesIO(data)
    try:
        if np.lib.format.read_magic(file) != (1, 0):
            raise ValueError("another version of the array format")
        shape, by_column, dtype = np.lib.format.read_array_header_1_0(file)
    # numpy reads the header as a piece of Python
    except (ValueError, SyntaxError, TypeError, TokenError, RecursionError, MemoryError) as error:
        raise InputError(tr("The {part} of the drawing in it cannot be read: import it again.", part=name)) from error
    start = file.tell()
    size = math.prod(shape) * dtype.itemsize
    if dtype.str != kind or by_column or shape[1:] != row or len(shape) == 0 or len(data) - start != size:
        raise InputError(tr("The {part} of the drawing in it are of a wrong form: import it again.", part=name))
    array: NDArray[Any] = np.frombuffer(data, dtype, offset=start).reshape(shape)
    return array.astype(dtype.newbyteorder("="), copy=False)


def _refuse_strays(drawing: Drawing) -> None:
    """Rows must go together, and point to layers and sources that are there."""
    lines = drawing.lines
    for what, rows, layers, sources in (
        ("segments", len(lines.segments), lines.segment_layer, lines.segment_source),
        ("arcs", len(lines.arcs), lines.arc_layer, lines.arc_source),
    ):
        fits = len(layers) == len(sources) == rows
        # A drawing without sources numbers them 0 throughout: its linework came from nowhere in particular.
        if not fits or not _within(layers, len(drawing.layers)) or not _within(sources, len(drawing.sources)):
            raise InputError(tr("The {what} of the drawing in it do not fit its layers: import it again.", what=what))


def _within(indices: NDArray[np.int32], count: int) -> bool:
    return len(indices) == 0 or (indices.min() >= 0 and indices.max() < max(count, 1))


def _finite(drawing: Drawing, words_too: bool) -> bool:
    """Whether every coordinate is a number; those of words, loops and symbols only where asked."""
    if not all(np.isfinite(array).all() for array in (drawing.lines.segments, drawing.lines.arcs)):
        return False
    if not words_too:
        return True
    words = (
        drawing.loops,
        drawing.labels,
        drawing.symbols,
        drawing.dimensions,
        drawing.claims,
        drawing.picture,
        drawing.unit_mm,
    )
    return all(math.isfinite(number) for number in _numbers(words))


def _numbers(value: Any) -> Iterator[float]:
    """Every float in a value of structs and tuples."""
    stack = [value]
    while stack:
        item = stack.pop()
        if isinstance(item, float):
            yield item
        elif isinstance(item, tuple):
            stack.extend(item)
        elif isinstance(item, msgspec.Struct):
            stack.extend(getattr(item, name) for name in item.__struct_fields__)
