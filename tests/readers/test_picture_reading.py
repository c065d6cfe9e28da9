"""Pictures of every kind open upright and in 8 bits, and what is no picture is refused in a sentence."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from takeoff.errors import InputError
from takeoff.readers import picture
from takeoff.readers.picture import picture_file


def saved(folder: Path, image: Image.Image, name: str = "scan.png", **more: object) -> Path:
    image.save(folder / name, **more)
    return folder / name


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        picture.read(path)
    sentence = str(caught.value)
    assert "\n" not in sentence
    assert path.name in sentence
    return sentence


@pytest.mark.parametrize(
    ("name", "mode"),
    [
        ("scan.png", "RGB"),
        ("scan.png", "L"),
        ("scan.png", "1"),
        ("scan.png", "P"),
        ("scan.jpg", "RGB"),
        ("scan.jpg", "CMYK"),
        ("scan.tif", "RGB"),
        ("scan.tif", "CMYK"),
    ],
)
def test_a_picture_is_to_be_traced_and_its_size_is_known(tmp_path: Path, name: str, mode: str) -> None:
    path = saved(tmp_path, Image.new(mode, (60, 40)), name)
    drawing, (found,) = picture.read(path)
    assert drawing.picture is not None
    assert (drawing.picture.width_px, drawing.picture.height_px) == (60, 40)
    assert drawing.picture.sha256 == drawing.sha256
    assert not len(drawing.lines)
    assert (found.code, found.severity) == ("picture-to-trace", "error")
    assert picture.upright(path).mode in ("L", "RGB")


def test_a_photo_taken_on_its_side_stands_upright(tmp_path: Path) -> None:
    image = Image.new("RGB", (60, 40), "white")
    image.putpixel((0, 0), (0, 0, 0))
    exif = Image.Exif()
    exif[0x0112] = 6
    path = saved(tmp_path, image, exif=exif)
    drawing, _ = picture.read(path)
    assert drawing.picture is not None
    assert (drawing.picture.width_px, drawing.picture.height_px) == (40, 60)
    upright = picture.upright(path)
    assert upright.size == (40, 60)
    assert upright.getpixel((39, 0)) == (0, 0, 0)


def test_sixteen_bits_become_eight(tmp_path: Path) -> None:
    path = saved(tmp_path, Image.fromarray(np.full((10, 10), 32896, np.uint16)))
    assert picture.upright(path).getpixel((5, 5)) == 128


def test_see_through_parts_are_white_paper(tmp_path: Path) -> None:
    path = saved(tmp_path, Image.new("RGBA", (10, 10), (0, 0, 0, 0)))
    assert picture.upright(path).getpixel((5, 5)) == (255, 255, 255)


def test_of_several_pages_the_first_is_read_and_it_is_told(tmp_path: Path) -> None:
    page = Image.new("L", (20, 30))
    path = saved(tmp_path, page, "scan.tif", save_all=True, append_images=[page, page])
    _, found = picture.read(path)
    assert [f.code for f in found] == ["picture-to-trace", "picture-first-page"]
    assert "Pictures: 3" in f"{found[1].text} {found[1].evidence}"


def test_what_is_no_picture_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "scan.png"
    assert "does not exist" in refusal(path)
    path.write_bytes(b"")
    assert "is empty" in refusal(path)
    path.write_bytes(b"GIF89a and more")
    assert "is no picture that can be read" in refusal(path)
    folder = tmp_path / "folder.png"
    folder.mkdir()
    assert "is a folder" in refusal(folder)


@pytest.mark.parametrize("name", ["scan.png", "scan.jpg", "scan.tif"])
def test_a_picture_that_is_cut_off_is_refused(tmp_path: Path, name: str) -> None:
    noise = np.random.default_rng(7).integers(0, 255, (80, 80, 3), np.uint8)
    path = saved(tmp_path, Image.fromarray(noise), name)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    assert "cut off or damaged" in refusal(path) or "no picture that can be read" in refusal(path)


@pytest.mark.parametrize("suffix", [".png", ".jpg"])
def test_notes_that_are_cut_off_are_no_reason_to_say_anything(
    tmp_path: Path, suffix: str, recwarn: pytest.WarningsRecorder
) -> None:
    """Five entries are announced and none is there."""
    path = tmp_path / f"scan{suffix}"
    Image.new("L", (60, 40), 200).save(path, exif=b"Exif\0\0MM\0*\0\0\0\x08\0\x05\x01")
    assert picture.read(path)[0].picture is not None
    picture.upright(path)
    assert [str(one.message) for one in recwarn] == []


def test_a_bomb_is_refused_before_its_pixels_are_read(tmp_path: Path) -> None:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = chunk(b"IHDR", struct.pack(">IIBBBBB", 30000, 30000, 8, 2, 0, 0, 0))
    path = tmp_path / "bomb.png"
    body = chunk(b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b"")
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + header + body)
    assert refusal(path) == ("bomb.png has 900 million pixels, more than 200 million: save it at half its resolution.")


def test_the_library_keeps_its_own_limit_afterwards(tmp_path: Path) -> None:
    before = Image.MAX_IMAGE_PIXELS
    picture.read(saved(tmp_path, Image.new("L", (10, 10))))
    assert before == Image.MAX_IMAGE_PIXELS
    assert before is not None


def test_a_file_that_is_too_large_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = saved(tmp_path, Image.new("L", (10, 10)))
    monkeypatch.setattr(picture_file, "MOST_BYTES", 10)
    assert "scan.png holds 0 MB and at most 0 MB can be read" in refusal(path)


def test_a_rendered_page_of_a_scanned_pdf_is_a_picture_too() -> None:
    drawing, (found,) = picture.from_rgb("scan.pdf page 1", "abc", 1654, 2339, 200.0)
    assert drawing.picture is not None
    assert drawing.picture.height_px == 2339
    assert found.code == "picture-to-trace"
