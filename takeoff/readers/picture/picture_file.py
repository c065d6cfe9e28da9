"""Opening a picture: what is none is refused in one sentence, the rest stands upright in 8 bits.

No lines are read off a picture: it is traced by hand, over the picture, once it is straight.
"""

from __future__ import annotations

import hashlib
import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

from PIL import Image

from takeoff.drawing.model import Claim, Drawing, Layer, Linework, Picture
from takeoff.errors import Finding, InputError
from takeoff.files.from_outside import name_of, whole_file
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.units.printing import shown

FORMATS = ("PNG", "JPEG", "TIFF")
MOST_PIXELS = 200_000_000
MOST_BYTES = 300 * 2**20
DECODING_FAULTS = (
    OSError,
    SyntaxError,
    ValueError,
    LookupError,
    TypeError,
    ArithmeticError,
    AttributeError,
    EOFError,
    struct.error,
    zlib.error,
    RuntimeError,
    Image.DecompressionBombError,
)
"""What Pillow raises on damaged files: mostly OSError and SyntaxError, the others escape from its
parsing of headers."""
SIXTEEN_BITS = ("I", "I;16", "I;16B", "I;16L", "I;16N")
WHITE = (255, 255, 255)
ORIENTATION = 0x0112
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What undoes each value of the orientation tag (TIFF 6.0, Exif; from memory)."""
LYING = frozenset(
    {Image.Transpose.TRANSPOSE, Image.Transpose.ROTATE_270, Image.Transpose.TRANSVERSE, Image.Transpose.ROTATE_90}
)


def read(path: Path) -> tuple[Drawing, tuple[Finding, ...]]:
    """A drawing without lines that holds the picture to trace, and what has to be done with it.

    Its size is that of the picture as it is looked at (a camera's turn is undone). Raises
    InputError, one sentence, for whatever is no whole PNG, JPEG or TIFF, or larger than 200
    million pixels.
    """
    name, data = name_of(Path(path)), _bytes(Path(path))
    image, frames = _opened(data, name)
    wide, high = reversed(image.size) if _turn(image) in LYING else image.size
    dpi = _dpi(image)
    drawing, found = _drawing(name, hashlib.sha256(data).hexdigest(), wide, high, dpi)
    if frames > 1:
        found = (*found, noticed("picture-first-page", file=name, count=frames))
    return drawing, found


def from_rgb(name: str, sha256: str, width_px: int, height_px: int, dpi: float) -> tuple[Drawing, tuple[Finding, ...]]:
    """The same for a page of a scanned PDF that was rendered at ``dpi``."""
    return _drawing(name, sha256, width_px, height_px, dpi)


def upright(path: Path) -> Image.Image:
    """The picture as it is looked at, in 8 bits grey or RGB on white. Raises InputError as ``read``."""
    return upright_of(_bytes(Path(path)), name_of(Path(path)))


def upright_of(data: bytes, name: str) -> Image.Image:
    """The same of the bytes of a picture file; ``name`` is for messages."""
    image, _ = _opened(data, name)
    turn = _turn(image)
    return eight_bit(image if turn is None else image.transpose(turn))


def eight_bit(image: Image.Image) -> Image.Image:
    """Grey or RGB in 8 bits: 16 bits scaled, inks and palettes as colours, see-through on white."""
    if image.mode in ("L", "RGB"):
        return image
    if image.mode in SIXTEEN_BITS:
        return _scaled(image, 65535.0)
    if image.mode == "F":
        return _scaled(image, max(1.0, _highest(image)))
    if image.mode == "1":
        return image.convert("L")
    if image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info:
        clear = image.convert("RGBA")
        paper = Image.new("RGBA", clear.size, (*WHITE, 255))
        return Image.alpha_composite(paper, clear).convert("RGB")
    return image.convert("RGB")


def _bytes(path: Path) -> bytes:
    return whole_file(path, tr("picture"), MOST_BYTES, tr("save it at half its resolution"))


def _highest(image: Image.Image) -> float:
    extrema = image.getextrema()
    high = extrema[1] if isinstance(extrema, tuple) else 1.0
    return float(high) if isinstance(high, int | float) else 1.0


def _scaled(image: Image.Image, top: float) -> Image.Image:
    grey = image.convert("F").point(lambda v: v * (255.0 / top))
    return grey.convert("L")


def _drawing(name: str, sha256: str, wide: int, high: int, dpi: float | None) -> tuple[Drawing, tuple[Finding, ...]]:
    values = (("width_px", float(wide)), ("height_px", float(high)), *((("dpi", dpi),) if dpi else ()))
    drawing = Drawing(
        name=name,
        layers=(Layer("traced"),),
        lines=Linework(),
        claims=(Claim("picture", name, values=values),),
        sha256=sha256,
        picture=Picture(sha256, wide, high),
    )
    return drawing, (noticed("picture-to-trace", file=name, width=wide, height=high),)


def _dpi(image: Image.Image) -> float | None:
    """Pixels per inch as the file has it, where both ways agree; cameras write a mere default."""
    dpi = image.info.get("dpi")
    if not isinstance(dpi, tuple) or len(dpi) != 2:
        return None
    try:
        x, y = float(dpi[0]), float(dpi[1])
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return x if 50.0 <= x <= 5000.0 and abs(x - y) <= 0.01 * x else None


def _turn(image: Image.Image) -> Image.Transpose | None:
    """What undoes the turn that the camera noted; None without one. Damaged notes count as none."""
    with own_limit():
        try:
            return TURNS.get(image.getexif().get(ORIENTATION, 1))
        except DECODING_FAULTS:
            return None


def _opened(data: bytes, name: str) -> tuple[Image.Image, int]:
    """The first picture of the file with its pixels read, and how many there are."""
    with own_limit():
        try:
            image: Image.Image = Image.open(BytesIO(data), formats=FORMATS)
        except DECODING_FAULTS as error:
            raise InputError(tr("{file} is no picture that can be read: save it as PNG or JPEG.", file=name)) from error
        wide, high = image.size
        if wide * high > MOST_PIXELS:
            raise InputError(
                tr(
                    "{file} has {count} million pixels, more than {most} million: save it at half its resolution.",
                    file=name,
                    count=shown(wide * high / 1000000.0, 0),
                    most=MOST_PIXELS // 1000000,
                )
            )
        try:
            frames = int(getattr(image, "n_frames", 1))
            image.load()
        except DECODING_FAULTS as error:
            raise InputError(
                tr("{file} is cut off or damaged, so that it cannot be shown whole: get the file again.", file=name)
            ) from error
        except MemoryError as error:
            raise InputError(
                tr("{file} needs more memory than there is: save it at half its resolution.", file=name)
            ) from error
    if min(image.size) < 2:
        raise InputError(
            tr(
                "{file} has {wide} × {high} pixels, too few for a plan: choose another file.",
                file=name,
                wide=wide,
                high=high,
            )
        )
    return image, frames


@contextmanager
def own_limit() -> Iterator[None]:
    """Leaves the limit on size to us: the library's own is lower, and warns before it refuses. Its
    complaints about tags it does not know are left out as well."""
    before = Image.MAX_IMAGE_PIXELS
    Image.MAX_IMAGE_PIXELS = None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        Image.MAX_IMAGE_PIXELS = before
