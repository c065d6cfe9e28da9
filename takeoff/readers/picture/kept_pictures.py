"""Pictures that are kept with a job: photos (what is none is refused in one sentence, large ones are kept
smaller) and rendered pages."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import NamedTuple

from PIL import Image, ImageChops

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.readers.picture.picture_file import upright_of
from takeoff.readers.picture.picture_notes import PNG_MARK, bare_image, is_bare
from takeoff.units.printing import shown

LARGEST_FILE_BYTES = 60 * 2**20
LONGEST_PX = 2560
"""A photo is kept no longer than this: enough to read a crack on, a fifth of what a phone makes of it."""
AS_IT_CAME_BYTES = 1_500_000
"""A smaller file that is nothing but the picture is kept byte for byte."""
QUALITY = 85

_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")
"""Of the file type box (ISO/IEC 14496-12, 23008-12; from memory)."""


class KeptPhoto(NamedTuple):
    """A photo as it is kept: its bytes, their suffix with the dot, its size in pixels."""

    data: bytes
    suffix: str
    width_px: int
    height_px: int


def read_photo(path: Path) -> KeptPhoto:
    """The photo at ``path`` as it is kept: upright, its longer side no longer than 2560 pixels, and nothing
    beside the picture: no place, no person, no camera.

    Raises InputError, one sentence, for what is no photo, is damaged, too large, or of a kind that is
    not read.
    """
    data = _bytes(path)
    kind = data[8:12] if data[4:8] == b"ftyp" else b""
    if kind in _BRANDS:
        what = "an AVIF" if kind.startswith(b"avi") else "a HEIC"
        raise InputError(
            tr(
                "{file} is {what} picture, as phones write them, which is not read here: send it as JPEG (on the "
                "phone, choose the most compatible format).",
                file=path.name,
                what=what,
            )
        )
    image = upright_of(data, path.name)
    if max(image.size) <= LONGEST_PX and len(data) <= AS_IT_CAME_BYTES and is_bare(data):
        return KeptPhoto(data, ".png" if data.startswith(PNG_MARK) else ".jpg", *image.size)
    profile = image.info.get("icc_profile")
    image.thumbnail((LONGEST_PX, LONGEST_PX), Image.Resampling.LANCZOS)
    stream = BytesIO()
    bare_image(image.convert("RGB"), profile).save(stream, "JPEG", quality=QUALITY, optimize=True)
    return KeptPhoto(stream.getvalue(), ".jpg", *image.size)


ON_PAPER_PX = 1600
"""A photo on paper has no more pixels along its longer side: about 250 to the inch over the width of a page."""


def on_paper(data: bytes, name: str) -> KeptPhoto:
    """The photo in ``data`` as a page shows it: upright, a JPEG no longer than 1600 pixels, and nothing beside the
    picture, whatever an older program kept with it. Raises InputError for what is no picture; ``name`` is for
    messages."""
    image = upright_of(data, name)
    profile = image.info.get("icc_profile")
    image.thumbnail((ON_PAPER_PX, ON_PAPER_PX), Image.Resampling.LANCZOS)
    stream = BytesIO()
    image = bare_image(image.convert("RGB"), profile)
    image.save(stream, "JPEG", quality=QUALITY)
    return KeptPhoto(stream.getvalue(), ".jpg", *image.size)


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            raise InputError(
                tr(
                    "{file} has {size} MB, more than a photo of {most} MB: save it smaller.",
                    file=path.name,
                    size=shown(size / 2**20, 0),
                    most=LARGEST_FILE_BYTES // 2**20,
                )
            )
        data = path.read_bytes()
    except IsADirectoryError as error:
        raise InputError(tr("{file} is a folder: choose the photos in it.", file=path.name)) from error
    except OSError as error:
        raise InputError(
            tr("{file} cannot be read ({error}): copy it and try again.", file=path.name, error=error.strerror or error)
        ) from error
    if not data:
        raise InputError(tr("{file} is empty: send the photo again.", file=path.name))
    return data


GREY_WITHIN = 12
"""Pages whose red, green and blue differ by no more are kept in grey, at a third of the size."""


def png(rgb: bytes, width_px: int, height_px: int) -> bytes:
    """The PNG file of a picture given as rows from the top, three bytes per pixel; in grey where it has
    no colour."""
    image = Image.frombytes("RGB", (width_px, height_px), rgb)
    small = image.reduce(max(1, min(width_px, height_px) // 400))
    spread = max(_highest(band) for band in _differences(small))
    out = BytesIO()
    (image.convert("L") if spread <= GREY_WITHIN else image).save(out, "PNG", compress_level=3)
    return out.getvalue()


def _differences(image: Image.Image) -> tuple[Image.Image, Image.Image]:
    red, green, blue = image.split()
    return ImageChops.difference(red, green), ImageChops.difference(green, blue)


def _highest(band: Image.Image) -> int:
    """The highest value of a grey picture; 0 for an empty one."""
    return max((k for k, count in enumerate(band.histogram()) if count), default=0)
