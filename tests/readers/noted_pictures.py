"""Pictures in eight formats with a place and a person noted in every place that each format has."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from io import BytesIO

from PIL import Image, ImageCms, PngImagePlugin, TiffImagePlugin

SIZE = (320, 200)
NOTE = "52.51627N 13.37770E Erika Muster"
SECRET = NOTE.encode()
XMP = f"<x:xmpmeta xmlns:x='adobe:ns:meta/'><exif:GPSLatitude>{NOTE}</exif:GPSLatitude></x:xmpmeta>".encode()
IPTC = b"\x1c\x02\x5a" + struct.pack(">H", len(SECRET)) + SECRET
PHOTOSHOP = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00" + struct.pack(">I", len(IPTC)) + IPTC
GPS, ARTIST, DESCRIPTION, ORIENTATION = 0x8825, 0x013B, 0x010E, 0x0112


def scene(mode: str = "RGB") -> Image.Image:
    """Grey from the middle, so that no two rows are the same."""
    return Image.radial_gradient("L").resize(SIZE).convert(mode)


def exif(turn: int = 1) -> Image.Exif:
    notes = Image.Exif()
    notes[ARTIST], notes[DESCRIPTION], notes[ORIENTATION] = NOTE, NOTE, turn
    place = notes.get_ifd(GPS)
    place[1], place[2], place[29] = "N", (52.0, 30.0, 58.6), NOTE
    return notes


def profile() -> bytes:
    """Of colours as screens have them, with the note in its words."""
    made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return made + SECRET


def in_jpeg(data: bytes) -> bytes:
    """The rest that a JPEG can hold: segments of applications, a small copy, words after the end."""
    parts = [(0xE0, b"JFXX\0\x10" + SECRET), (0xE1, b"http://ns.adobe.com/xap/1.0/\0" + XMP), (0xED, PHOTOSHOP)]
    parts += [(0xE1, b"http://ns.adobe.com/xmp/extension/\0" + XMP), (0xE2, b"MPF\0" + SECRET), (0xEB, b"JP" + SECRET)]
    parts += [(0xFE, SECRET), (0xE5, SECRET), (0xEE, SECRET)]
    segments = b"".join(struct.pack(">BBH", 0xFF, kind, len(body) + 2) + body for kind, body in parts)
    return data[:2] + segments + data[2:] + b"\xff\xd8" + SECRET + b"\xff\xd9"


def jpeg(mode: str = "RGB", turn: int = 1, **given: object) -> bytes:
    out = BytesIO()
    scene(mode).save(out, "JPEG", exif=exif(turn), icc_profile=profile(), comment=SECRET, **given)
    return in_jpeg(out.getvalue())


def several(turn: int = 1) -> bytes:
    """A JPEG that holds a second picture, as phones write them."""
    out = BytesIO()
    scene().save(out, "MPO", save_all=True, append_images=[scene()], exif=exif(turn), comment=SECRET)
    return in_jpeg(out.getvalue())


def png(turn: int = 1, **given: object) -> bytes:
    words = PngImagePlugin.PngInfo()
    words.add_text("Place", NOTE)
    words.add_text("Place", NOTE, zip=True)
    words.add_itxt("XML:com.adobe.xmp", XMP.decode())
    out = BytesIO()
    scene().save(out, "PNG", pnginfo=words, exif=exif(turn), icc_profile=profile(), **given)
    own = struct.pack(">I", len(SECRET)) + b"plAc" + SECRET + struct.pack(">I", zlib.crc32(b"plAc" + SECRET))
    data = out.getvalue()
    end = data.rindex(b"IEND") - 4
    return data[:end] + own + data[end:] + SECRET


def tiff(turn: int = 1, **given: object) -> bytes:
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[ARTIST], tags[DESCRIPTION], tags[ORIENTATION], tags[700] = NOTE, NOTE, turn, XMP
    tags.tagtype[33723], tags.tagtype[34377] = 7, 7
    tags[33723], tags[34377] = IPTC, PHOTOSHOP
    tags[GPS] = {1: "N", 29: NOTE}
    out = BytesIO()
    scene().save(out, "TIFF", tiffinfo=tags, icc_profile=profile(), **given)
    return out.getvalue() + SECRET


FORMATS: dict[str, Callable[..., bytes]] = {
    "plain.jpg": lambda turn=1: jpeg(turn=turn),
    "progressive.jpg": lambda turn=1: jpeg(turn=turn, progressive=True),
    "inks.jpg": lambda turn=1: jpeg("CMYK", turn),
    "several.jpg": several,
    "plain.png": png,
    "moving.png": lambda turn=1: png(
        turn, save_all=True, append_images=[scene().transpose(Image.Transpose.ROTATE_180)]
    ),
    "plain.tif": tiff,
    "pages.tif": lambda turn=1: tiff(turn, save_all=True, append_images=[scene()]),
}


def moving_gif(turn: int = 1) -> bytes:
    """With a comment, and a part that only some program knows."""
    out = BytesIO()
    scene().save(out, "GIF", comment=SECRET)
    data = out.getvalue()
    own = b"\x21\xff\x0bXMP DataXMP" + bytes((len(SECRET),)) + SECRET + b"\0"
    return data[:-1] + own + data[-1:]


def web(turn: int = 1) -> bytes:
    out = BytesIO()
    scene().save(out, "WEBP", exif=exif(turn), xmp=XMP, icc_profile=profile())
    return out.getvalue()


def wavelets(turn: int = 1) -> bytes:
    """JPEG 2000, with a comment and a box of its own kind after the picture."""
    out = BytesIO()
    scene().save(out, "JPEG2000", comment=SECRET)
    return out.getvalue() + struct.pack(">I4s", 24 + len(XMP), b"uuid") + bytes(16) + XMP


def bitmap(turn: int = 1) -> bytes:
    """Which has no place for words but after its end."""
    out = BytesIO()
    scene().save(out, "BMP")
    return out.getvalue() + SECRET


NOT_READ: dict[str, Callable[..., bytes]] = {
    "moving.gif": moving_gif,
    "web.webp": web,
    "wavelets.jp2": wavelets,
    "bitmap.bmp": bitmap,
}
"""Formats that are refused, so that nothing of them is kept."""


def noted_in(data: bytes) -> bool:
    """Whether a file says anything of place or person, packed or not."""
    if SECRET in data or b"xmpmeta" in data or b"Erika" in data:
        return True
    with Image.open(BytesIO(data)) as image:
        image.load()
        held = dict(image.getexif())
        return bool(
            held.keys() - {ORIENTATION} - set(range(254, 348)) - {530, 531, 532} or image.getexif().get_ifd(GPS)
        )
