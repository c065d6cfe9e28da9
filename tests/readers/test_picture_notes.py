"""What is kept of a picture is the picture: no place, no person, in whatever place a format has for them."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from noted_pictures import FORMATS, NOT_READ, SECRET, SIZE, exif, jpeg, noted_in, png, scene
from PIL import Image, ImageChops, ImageStat

from takeoff.errors import InputError
from takeoff.readers.picture import on_paper, read_logo, read_photo, upright_of, without_notes
from takeoff.services.opened.opening import Answers, open_for_window, silent
from takeoff.services.opened.pictures import find_picture
from takeoff.storage.content import attachment


def unlike(one: Image.Image, other: Image.Image) -> float:
    """The mean difference of two pictures in steps of 255."""
    return max(ImageStat.Stat(ImageChops.difference(one.convert("RGB"), other.convert("RGB"))).mean)


@pytest.mark.parametrize("name", FORMATS)
def test_the_pictures_hold_notes_before(name: str) -> None:
    assert noted_in(FORMATS[name]())


@pytest.mark.parametrize("turn", [1, 6])
@pytest.mark.parametrize("name", FORMATS)
def test_a_photo_is_kept_without_notes_upright_and_looks_the_same(tmp_path: Path, name: str, turn: int) -> None:
    path = tmp_path / name
    path.write_bytes(FORMATS[name](turn))
    kept = read_photo(path)
    assert not noted_in(kept.data)
    assert (kept.width_px, kept.height_px) == (SIZE if turn == 1 else SIZE[::-1])
    seen = upright_of(kept.data, name)
    assert seen.size == (kept.width_px, kept.height_px)
    meant = scene("CMYK" if "inks" in name else "RGB")
    assert unlike(seen, meant if turn == 1 else meant.transpose(Image.Transpose.ROTATE_270)) < 4


@pytest.mark.parametrize("turn", [1, 6])
@pytest.mark.parametrize("name", FORMATS)
def test_a_page_and_a_letterhead_have_none_either_even_of_what_an_older_program_kept(
    tmp_path: Path, name: str, turn: int
) -> None:
    path = tmp_path / name
    path.write_bytes(FORMATS[name](turn))
    page, head = on_paper(path.read_bytes(), name), read_logo(path)
    assert not noted_in(page.data)
    assert not noted_in(head.data)
    assert (page.width_px, page.height_px) == (SIZE if turn == 1 else SIZE[::-1])


@pytest.mark.parametrize("name", NOT_READ)
def test_a_format_that_is_not_read_is_refused_whole_as_photo_picture_and_logo(tmp_path: Path, name: str) -> None:
    data = NOT_READ[name]()
    assert SECRET in data
    # also where it goes by another ending
    for path in (tmp_path / name, tmp_path / f"{name}.jpg"):
        path.write_bytes(data)
        for take in (read_photo, read_logo, lambda path: open_for_window(path, Answers(), silent)):
            with pytest.raises(InputError) as refused:
                take(path)
            assert path.name in str(refused.value)
            assert "Erika" not in str(refused.value)


@pytest.mark.parametrize("turn", [1, 6])
@pytest.mark.parametrize("name", FORMATS)
def test_a_picture_to_trace_is_kept_without_notes_pixel_by_pixel(tmp_path: Path, name: str, turn: int) -> None:
    path = tmp_path / name
    path.write_bytes(FORMATS[name](turn))
    opened = open_for_window(path, Answers(), silent)
    assert opened.stored is not None
    (kept,) = opened.stored.pictures
    assert not noted_in(kept.data)
    one, other = upright_of(kept.data, name), upright_of(path.read_bytes(), name)
    assert one.size == other.size
    assert ImageChops.difference(one, other).getbbox() is None
    (ref,) = opened.job.drawings
    found = find_picture(tmp_path, ref)
    assert found is not None
    assert found.data == kept.data


def test_a_picture_that_an_older_program_kept_as_it_was_is_found_again(tmp_path: Path) -> None:
    path = tmp_path / "plain.jpg"
    path.write_bytes(jpeg())
    (ref,) = open_for_window(path, Answers(), silent).job.drawings
    assert ref.picture is not None
    whole = attachment(path.read_bytes(), ".jpg")
    from msgspec.structs import replace

    before = replace(ref, picture=replace(ref.picture, sha256=whole.sha256))
    assert find_picture(tmp_path, before) == whole
    path.write_bytes(b"another file")
    assert find_picture(tmp_path, ref) is None


def test_a_file_that_is_nothing_but_the_picture_comes_back_as_it_is() -> None:
    for kind in ("JPEG", "PNG"):
        out = BytesIO()
        scene().save(out, kind, dpi=(300, 300))
        assert without_notes(out.getvalue(), "plan") == out.getvalue()


def test_the_resolution_of_a_scan_stays() -> None:
    for kind in ("JPEG", "PNG"):
        out = BytesIO()
        scene().save(out, kind, dpi=(300, 300), exif=exif())
        with Image.open(BytesIO(without_notes(out.getvalue(), "plan"))) as image:
            assert image.info["dpi"] == pytest.approx((300, 300), abs=0.1)


def test_no_small_copy_stays() -> None:
    out = BytesIO()
    scene().save(out, "JPEG")
    data = out.getvalue()
    assert data[6:11] == b"JFIF\0"
    small = data[:4] + bytes((0, 16 + 3)) + data[6:18] + b"\x01\x01" + b"\xaa\xbb\xcc" + data[20:]
    bare = without_notes(small, "wall.jpg")
    assert b"\xaa\xbb\xcc" not in bare
    assert bare == data


@pytest.mark.parametrize("damage", [b"\xff" * 40, b"MM\0*\0\0\0\x08\xff\xff", b""])
def test_damaged_notes_cost_neither_the_photo_nor_the_others(tmp_path: Path, damage: bytes) -> None:
    from takeoff.views.pinned_photos import take_photos

    good, bad = tmp_path / "good.jpg", tmp_path / "bad.jpg"
    out = BytesIO()
    scene().save(out, "JPEG")
    good.write_bytes(out.getvalue())
    body = b"Exif\0\0" + damage
    bad.write_bytes(out.getvalue()[:2] + b"\xff\xe1" + (len(body) + 2).to_bytes(2) + body + out.getvalue()[2:])
    taken = take_photos((good, bad, good), lambda *_: None)
    assert [one.refused for one in taken] == ["", "", ""]
    assert all(one.kept is not None and not noted_in(one.kept.data) for one in taken)


def test_a_photo_in_the_colours_of_another_screen_keeps_how_it_looks(tmp_path: Path) -> None:
    """A profile whose red and green are swapped shows red where the file says green."""
    from PIL import ImageCms

    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = plain.replace(b"rXYZ", b"tEmP").replace(b"gXYZ", b"rXYZ").replace(b"tEmP", b"gXYZ")
    path = tmp_path / "wall.jpg"
    Image.new("RGB", (64, 64), (0, 200, 0)).save(path, "JPEG", icc_profile=swapped, quality=95)
    red, green, blue = upright_of(read_photo(path).data, "wall").getpixel((32, 32))
    assert red > 180
    assert max(green, blue) < 40


def test_a_cut_off_picture_is_still_refused() -> None:
    for data in (jpeg()[:3000], png()[:2000]):
        with pytest.raises(InputError, match="cut off or damaged"):
            without_notes(data, "wall")
    assert SECRET in jpeg()
