"""Photos pinned to a room, a face or an opening: taken in, marked, looked at, kept in the job's file."""

from __future__ import annotations

import sys
import zipfile
from pathlib import Path

import pytest
from hands import PLAIN, Hands
from PIL import Image
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtTest import QTest

from takeoff.plan import edits
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened
from takeoff.services.written.writing import document, write_everything
from takeoff.storage import jobfile
from takeoff.ui.document import Ref
from takeoff.ui.panels.photos_page import PhotosPage
from takeoff.ui.window.photos_part import Photos
from takeoff.views import pinned_photos
from takeoff.views.pinned_photos import pinned

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from noted_pictures import FORMATS, SECRET

KITCHEN = Ref("room", "G5")


def part_of(window) -> Photos:
    part = window.findChild(Photos, "photos")
    assert part is not None
    return part


@pytest.fixture
def files(tmp_path: Path) -> list[Path]:
    """Three photos of their own colours."""
    made = []
    for number, colour in enumerate(("#8090A0", "#A08060", "#608050")):
        path = tmp_path / f"wall {number}.jpg"
        Image.new("RGB", (800, 600), colour).save(path, quality=95)
        made.append(path)
    return made


def add(window, told, ref: Ref, *paths: Path) -> None:
    window.document.choose((ref,))
    told.paths = list(paths)
    window.acts.do("add-photos")


def window_ref(window) -> Ref:
    opening = next(o for o in window.document.storey.openings if o.kind == "window")
    return Ref("opening", str(opening.id), str(opening.room))


def test_photos_of_a_room_stand_under_its_figures_and_on_the_plan(sample, told, files) -> None:
    add(sample, told, KITCHEN, *files[:2])
    part = part_of(sample)
    assert [tile.tile.title for tile in part.card.tiles.tiles] == ["wall 0.jpg", "wall 1.jpg"]
    assert part.card.isVisibleTo(sample.card)
    assert [(mark.ref, mark.count) for mark in part.marks.marks] == [(KITCHEN, 2)]
    assert sample.document.stack.undoText() == "Pin 2 photos"
    picture = part.card.tiles.tiles[0].picture
    assert picture is not None
    middle = picture.toImage().pixelColor(picture.width() // 2, picture.height() // 2)
    assert abs(middle.red() - 0x80) < 6
    sample.acts.do("undo")
    assert part.card.tiles.tiles == []
    assert part.marks.marks == ()


def test_photo_of_a_face_and_of_a_window_hang_there(sample, told, files) -> None:
    side = Ref("side", str(sample.document.storey.rooms[1].outline[1].id), "G2")
    add(sample, told, side, files[0])
    add(sample, told, window_ref(sample), files[1])
    one, other = pinned(sample.document.job, sample.document.job.photos)
    assert (one.kind, one.words) == ("side", "G2 Living room, wall B")
    assert (other.kind, other.words.split(", ")[1]) == ("opening", "window W1")
    assert {mark.ref.kind for mark in part_of(sample).marks.marks} == {"side", "opening"}


def test_click_on_the_mark_chooses_what_the_photo_shows(sample, told, files) -> None:
    ref = window_ref(sample)
    add(sample, told, ref, files[0])
    sample.document.choose(())
    (mark,) = part_of(sample).marks.marks
    Hands(sample).click(mark.at)
    assert sample.document.choice == (ref,)
    assert part_of(sample).card.tiles.isVisibleTo(sample.card)


def test_photo_opens_large_with_its_place_and_takes_a_note(sample, told, files, qtbot) -> None:
    add(sample, told, KITCHEN, *files)
    part = part_of(sample)
    qtbot.mouseClick(part.card.tiles.tiles[1], Qt.MouseButton.LeftButton)
    viewer = part.viewer
    assert viewer is not None
    assert (viewer.where.text(), viewer.count.text()) == ("Ground floor, G5 Kitchen", "2 of 3")
    assert viewer.picture.pixmap().width() > 600
    QTest.keyClick(viewer.picture, Qt.Key.Key_Right)
    assert viewer.count.text() == "3 of 3"
    viewer.note.setFocus()
    QTest.keyClicks(viewer.note, "damp below the sill")
    QTest.keyClick(viewer.note, Qt.Key.Key_Return)
    assert sample.document.job.photos[2].note == "damp below the sill"
    assert part.card.tiles.tiles[2].tile.title == "damp below the sill"
    QTest.keyClick(viewer, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: part.viewer is None)


def test_photo_is_removed_and_comes_back_with_its_picture(sample, told, files, qtbot, tmp_path) -> None:
    add(sample, told, KITCHEN, files[0])
    told.paths = [tmp_path / "house.takeoff"]
    sample.acts.do("save-as")
    part = part_of(sample)
    sample.activateWindow()
    part.card.tiles.tiles[0].setFocus()
    QTest.keyClick(part.card.tiles.tiles[0], Qt.Key.Key_Delete)
    assert sample.document.job.photos == ()
    assert any(room.id == KITCHEN.id for room in sample.document.storey.rooms)
    sample.acts.do("save")
    assert jobfile.load(tmp_path / "house.takeoff").pictures == ()
    sample.acts.do("undo")
    assert part.card.tiles.tiles[0].picture is not None
    sample.acts.do("save")
    assert len(jobfile.load(tmp_path / "house.takeoff").pictures) == 1


def test_photos_are_kept_in_the_jobs_file_and_shown_again(sample, told, files, tmp_path) -> None:
    add(sample, told, KITCHEN, *files)
    add(sample, told, window_ref(sample), files[0])
    told.paths = [tmp_path / "house.takeoff"]
    sample.acts.do("save-as")
    job = sample.document.job
    held = jobfile.load(tmp_path / "house.takeoff")
    assert len(held.pictures) == 3
    assert sorted(picture.data for picture in held.pictures) == sorted(path.read_bytes() for path in files)
    assert sample.files.start_empty()
    assert part_of(sample).marks.marks == ()
    sample.files.open(tmp_path / "house.takeoff")
    assert sample.document.job == job
    sample.document.choose((KITCHEN,))
    assert all(tile.picture is not None for tile in part_of(sample).card.tiles.tiles)


def test_photo_is_in_the_recovery_copy(sample, told, files, tmp_path) -> None:
    from takeoff.storage import offers

    add(sample, told, KITCHEN, files[0])
    sample.files.keeping.flush()
    (offer,), _ = offers.offers(tmp_path / "recovery", alive=lambda _: False)
    assert [picture.data for picture in offers.restore(offer).pictures] == [files[0].read_bytes()]


def test_what_cannot_be_read_is_told_and_the_others_are_pinned(sample, told, files, tmp_path) -> None:
    heic, torn = tmp_path / "IMG_7.HEIC", tmp_path / "torn.jpg"
    heic.write_bytes(b"\0\0\0\x18ftypheic" + bytes(64))
    whole = files[0].read_bytes()
    torn.write_bytes(whole[: len(whole) * 2 // 3])
    add(sample, told, KITCHEN, heic, torn, files[1])
    assert [photo.name for photo in sample.document.job.photos] == ["wall 1.jpg"]
    one, other = told.sentences[-1].splitlines()
    assert "IMG_7.HEIC is a HEIC picture" in one
    assert "torn.jpg is cut off or damaged" in other


def test_more_photos_than_a_job_may_hold_are_refused(sample, told, files, monkeypatch) -> None:
    add(sample, told, KITCHEN, files[0])
    monkeypatch.setattr(pinned_photos, "LARGEST_JOB_BYTES", files[0].stat().st_size + 10)
    add(sample, told, KITCHEN, files[1])
    assert "more than" in told.sentences[-1]
    assert len(sample.document.job.photos) == 1


def test_page_lists_photos_by_place_and_takes_what_is_dropped(sample, told, files, qtbot) -> None:
    add(sample, told, window_ref(sample), files[0])
    sample.acts.do("photos")
    page = sample.sides.page("photos")
    assert isinstance(page, PhotosPage)
    sample.document.choose((KITCHEN,))
    assert sample.sides.current == "photos"
    assert page.note.text() == "New ones are pinned to G5 Kitchen."
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in files[1:]])
    left = Qt.MouseButton.LeftButton
    page.dropEvent(QDropEvent(QPointF(40, 40), Qt.DropAction.CopyAction, data, left, PLAIN))
    assert [len(group.tiles) for group in page.groups] == [1, 2]
    assert {photo.room for photo in sample.document.job.photos[1:]} == {"G5"}
    sample.document.choose(())
    assert not page.button.isEnabled()
    assert "Select a room" in page.note.text()


def test_photo_whose_room_is_gone_stays_and_is_pinned_elsewhere(sample, told, files, qtbot) -> None:
    add(sample, told, KITCHEN, files[0])
    sample.acts.do("delete")
    assert pinned(sample.document.job, sample.document.job.photos)[0].words == "Its room is gone"
    part = part_of(sample)
    sample.acts.do("photos")
    page = sample.sides.page("photos")
    qtbot.mouseClick(page.groups[0].tiles[0], Qt.MouseButton.LeftButton)
    viewer = part.viewer
    qtbot.mouseClick(viewer.buttons["pin"], Qt.MouseButton.LeftButton)
    assert "Select a room" in told.sentences[-1]
    sample.document.choose((Ref("room", "G2"),))
    qtbot.mouseClick(viewer.buttons["pin"], Qt.MouseButton.LeftButton)
    assert sample.document.job.photos[0].room == "G2"
    assert viewer.where.text() == "Ground floor, G2 Living room"
    qtbot.mouseClick(viewer.buttons["place"], Qt.MouseButton.LeftButton)
    assert sample.document.choice == (Ref("room", "G2"),)


def test_photo_of_a_deleted_window_falls_back_to_its_room(sample, told, files) -> None:
    ref = window_ref(sample)
    add(sample, told, ref, files[0])
    sample.document.apply("Delete", lambda job: edits.remove_opening(job, ref.id))
    (at,) = pinned(sample.document.job, sample.document.job.photos)
    assert (at.kind, at.room) == ("room", ref.room)


def test_json_has_no_room_for_pictures_and_says_so(sample, told, files, tmp_path) -> None:
    add(sample, told, KITCHEN, files[0])
    told.paths = [tmp_path / "house.json"]
    sample.acts.do("save-as")
    assert "without its picture" in told.sentences[-1]
    sample.files.open(tmp_path / "house.json")
    sample.document.choose((KITCHEN,))
    (tile,) = part_of(sample).card.tiles.tiles
    assert tile.picture is None
    assert "not in the job’s file" in tile.toolTip()


def test_photos_of_what_is_chosen_are_removed_at_once(sample, told, files) -> None:
    add(sample, told, KITCHEN, *files)
    sample.acts.do("remove-photos")
    assert sample.document.job.photos == ()
    assert sample.document.stack.undoText() == "Remove 3 photos"
    assert not sample.acts.q("remove-photos").isEnabled()


def test_no_place_or_person_is_left_in_job_recovery_copy_or_sheets(sample, told, tmp_path) -> None:
    """Said in every place that each of eight formats has for it."""
    for name, made in FORMATS.items():
        (tmp_path / name).write_bytes(made(6))
    add(sample, told, KITCHEN, *(tmp_path / name for name in FORMATS))
    copy = sample.files.keeping.flush()
    told.paths = [tmp_path / "house.takeoff"]
    held = [*copy.parent.iterdir()]
    held_data = [data for file in held for data in all_in(file)]
    sample.acts.do("save-as")
    assert len(sample.document.job.photos) == len(FORMATS)
    measured = measure_job(Opened(tmp_path / "house.takeoff", "job", sample.document.job, ()))
    written = write_everything(measured, document(measured, "2031-05-20"), tmp_path / "out", draft=True)
    for data in (*held_data, *(data for file in (tmp_path / "house.takeoff", *written) for data in all_in(file))):
        assert SECRET not in data
        assert b"Erika" not in data
    assert (
        sum(data[:2] in (b"\xff\xd8", b"\x89P") for data in held_data) == len({*held_data} & pictures_of(sample)) >= 2
    )


def pictures_of(window) -> set[bytes]:
    """The bytes of the photos that a job speaks of."""
    keeping = window.files.keeping
    return {keeping.pictures[photo.sha256].data for photo in window.document.job.photos}


def all_in(file: Path) -> list[bytes]:
    """A file's bytes, or those of each part of a container."""
    if not zipfile.is_zipfile(file):
        return [file.read_bytes()]
    with zipfile.ZipFile(file) as container:
        return [file.read_bytes(), *(container.read(part) for part in container.namelist())]
