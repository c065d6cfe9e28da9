"""Photos to keep: turned upright, made smaller, and what is none refused in one sentence."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from takeoff.errors import InputError
from takeoff.readers.picture import read_photo
from takeoff.readers.picture.kept_pictures import LARGEST_FILE_BYTES, LONGEST_PX


def photo(path: Path, size: tuple[int, int] = (640, 480), kind: str = "JPEG", **given: object) -> Path:
    Image.radial_gradient("L").resize(size).convert("RGB").save(path, kind, **given)
    return path


def test_small_photo_is_kept_byte_for_byte(tmp_path: Path) -> None:
    path = photo(tmp_path / "wall.jpg")
    kept = read_photo(path)
    assert (kept.data, kept.suffix, kept.width_px, kept.height_px) == (path.read_bytes(), ".jpg", 640, 480)
    assert read_photo(photo(tmp_path / "wall.png", kind="PNG")).suffix == ".png"


def test_large_photo_is_made_smaller_and_keeps_its_shape(tmp_path: Path) -> None:
    kept = read_photo(photo(tmp_path / "wall.jpg", (6000, 4500)))
    assert (kept.width_px, kept.height_px) == (LONGEST_PX, LONGEST_PX * 3 // 4)
    with Image.open(BytesIO(kept.data)) as image:
        assert image.size == (kept.width_px, kept.height_px)


def test_photo_that_the_camera_turned_stands_upright(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    kept = read_photo(photo(tmp_path / "wall.jpg", exif=exif))
    assert (kept.width_px, kept.height_px) == (480, 640)


def test_place_where_it_was_taken_is_not_kept(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    path = photo(tmp_path / "wall.jpg", exif=exif)
    with Image.open(path) as image:
        assert image.getexif().get_ifd(0x8825)
    with Image.open(BytesIO(read_photo(path).data)) as image:
        assert not image.getexif()


@pytest.mark.parametrize(("brand", "what"), [(b"heic", "a HEIC"), (b"mif1", "a HEIC"), (b"avif", "an AVIF")])
def test_what_phones_write_is_named_and_refused(tmp_path: Path, brand: bytes, what: str) -> None:
    path = tmp_path / "IMG_1.HEIC"
    path.write_bytes(b"\0\0\0\x18ftyp" + brand + bytes(100))
    with pytest.raises(InputError, match=f"IMG_1.HEIC is {what} picture.*send it as JPEG"):
        read_photo(path)


def test_damaged_cut_off_empty_and_foreign_files_are_one_sentence_each(tmp_path: Path) -> None:
    whole = photo(tmp_path / "wall.jpg", (2000, 1500)).read_bytes()
    for name, data, says in (
        ("cut.jpg", whole[: len(whole) // 2], "cut off or damaged"),
        ("empty.jpg", b"", "is empty"),
        ("list.jpg", b"bread, milk", "no picture"),
    ):
        (tmp_path / name).write_bytes(data)
        with pytest.raises(InputError, match=says) as caught:
            read_photo(tmp_path / name)
        assert str(caught.value).startswith(name)
    with pytest.raises(InputError, match="is a folder"):
        read_photo(tmp_path)
    with pytest.raises(InputError, match="cannot be read"):
        read_photo(tmp_path / "nowhere.jpg")


def test_file_beyond_the_limit_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.jpg"
    with path.open("wb") as file:
        file.truncate(LARGEST_FILE_BYTES + 1)
    with pytest.raises(InputError, match="more than a photo of 60 MB"):
        read_photo(path)
