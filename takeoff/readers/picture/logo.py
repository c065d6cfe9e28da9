"""A firm's logo as it is kept with its jobs: the picture alone, written anew, small enough to stand in every file."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import NamedTuple

from PIL import Image

from takeoff.errors import InputError
from takeoff.files.from_outside import name_of, whole_file
from takeoff.language import tr
from takeoff.readers.picture.picture_file import DECODING_FAULTS, own_limit, upright_of
from takeoff.readers.picture.picture_notes import bare_image

LARGEST_FILE_BYTES = 20 * 2**20
MOST_BYTES = 200_000
"""What a logo takes in a job's file at most."""
LONGEST_PX = 1200
"""At 60 mm on paper some 500 pixels an inch."""
_SIZES_PX = (LONGEST_PX, 800, 500, 300)
_WHITE = 250
"""What is as light as this all along an edge is paper, and is cut off."""
_QUALITY = 90


class KeptLogo(NamedTuple):
    """The bytes of a PNG or JPEG, and its size in pixels."""

    data: bytes
    width_px: int
    height_px: int


def read_logo(path: Path) -> KeptLogo:
    """The logo in a picture file as it is kept: upright, on white, without paper around it and without notes, at most
    1200 pixels long and 200 kB large.

    Raises InputError, one sentence, for what is no picture, is damaged, larger than 20 MB or nothing but paper.
    """
    name = name_of(Path(path))
    data = whole_file(Path(path), tr("picture"), LARGEST_FILE_BYTES, tr("save your logo as a small PNG"))
    image = upright_of(data, name)
    profile = image.info.get("icc_profile")
    bare = bare_image(image, profile)
    box = bare.convert("L").point(lambda light: 0 if light >= _WHITE else 255).getbbox()
    if box is None:
        raise InputError(tr("{file} is white all over: choose the picture of your logo.", file=name))
    return _small(bare.crop(box))


def _small(image: Image.Image) -> KeptLogo:
    """The largest that keeps within the limit: as PNG, which keeps letters sharp, else as JPEG."""
    for longest in _SIZES_PX:
        smaller = image.copy()
        smaller.thumbnail((longest, longest), Image.Resampling.LANCZOS)
        for kind, more in (("PNG", {"optimize": True}), ("JPEG", {"quality": _QUALITY})):
            stream = BytesIO()
            smaller.save(stream, kind, **more)
            made = stream.getvalue()
            if len(made) <= MOST_BYTES:
                return KeptLogo(made, *smaller.size)
    raise AssertionError("300 pixels do not take 200 kB")


def is_logo(data: bytes, width_px: int, height_px: int) -> bool:
    """Whether the bytes are a picture as ``read_logo`` gives it, of that size, whole."""
    if len(data) > MOST_BYTES or not 0 < width_px <= LONGEST_PX or not 0 < height_px <= LONGEST_PX:
        return False
    with own_limit():
        try:
            image: Image.Image = Image.open(BytesIO(data), formats=("PNG", "JPEG"))
            if image.size != (width_px, height_px):
                return False
            image.load()
        except DECODING_FAULTS:
            return False
    return True
