"""Work is kept: saved in a file of our own, copied within seconds of an edit, offered after a crash."""

from __future__ import annotations

import sys
from pathlib import Path

import msgspec

from takeoff.plan import edits
from takeoff.plan.model import Photo
from takeoff.storage import jobfile, offers
from takeoff.storage.content import Content, attachment
from takeoff.storage.processes import Owner
from takeoff.storage.recovery import Recovery
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from noted_pictures import SECRET, jpeg, noted_in

CHECKOUT = Path(__file__).parents[2]
DEAD = 2**22 + 1
"""No process has a number beyond the largest that the system gives."""


def rename(window: MainWindow, name: str) -> None:
    window.document.apply("Rename", lambda job: edits.rename_room(job, "G1", name))


def killed(folder: Path) -> None:
    """Make the copies look as if their program had been killed."""
    owners = list(folder.glob("recovery/*/owner.json"))
    assert owners
    for owner in owners:
        held = msgspec.json.decode(owner.read_bytes(), type=Owner)
        owner.write_bytes(msgspec.json.encode(msgspec.structs.replace(held, pid=DEAD)))


def another(qtbot, told, tmp_path: Path) -> MainWindow:
    made = MainWindow(Settings(tmp_path / "window.json"), in_order=True)
    qtbot.addWidget(made, before_close_func=lambda _: told.answers.append("discard"))
    made.show()
    return made


def test_edit_is_copied_by_itself_within_seconds(sample, qtbot, tmp_path) -> None:
    rename(sample, "Passage")
    qtbot.waitUntil(lambda: bool(list(tmp_path.glob("recovery/*/copy.takeoff"))), timeout=4000)
    (offer,), _ = offers.offers(tmp_path / "recovery", alive=lambda _: False)
    assert offers.restore(offer).job == sample.document.job


def test_after_a_kill_the_next_start_offers_the_work_back(sample, qtbot, told, tmp_path) -> None:
    rename(sample, "Passage")
    sample.files.keeping.flush()
    killed(tmp_path)
    told.answers = ["take"]
    again = another(qtbot, told, tmp_path)
    again.files.start_with(None)
    assert "Recover the work?" in told.questions[0]
    assert again.document.job.storeys[0].rooms[0].name == "Passage"
    assert not again.document.stack.isClean()


def test_work_that_is_thrown_away_is_not_offered_again(sample, qtbot, told, tmp_path) -> None:
    rename(sample, "Passage")
    sample.files.keeping.flush()
    killed(tmp_path)
    told.answers = ["discard"]
    again = another(qtbot, told, tmp_path)
    assert again.files.keeping.offer_back() is False
    told.questions.clear()
    assert again.files.keeping.offer_back() is False
    assert told.questions == []


def test_a_copy_that_cannot_be_read_is_told_with_where_it_lies_and_kept(sample, qtbot, told, tmp_path) -> None:
    rename(sample, "Passage")
    copy = sample.files.keeping.flush()
    copy.write_bytes(copy.read_bytes()[:60])
    killed(tmp_path)
    again = another(qtbot, told, tmp_path)
    again.files.start_with(None)
    assert told.questions == []
    (sentence,) = [one for one in told.sentences if "recovery copy" in one]
    assert str(copy.parent) in sentence
    assert copy.exists()


def test_saved_work_leaves_no_copy(sample, told, tmp_path) -> None:
    rename(sample, "Passage")
    sample.files.keeping.flush()
    told.paths = [tmp_path / "mine.takeoff"]
    sample.acts.do("save-as")
    assert not list(tmp_path.glob("recovery/*/copy.takeoff"))
    assert jobfile.load(tmp_path / "mine.takeoff").job == sample.document.job


def test_job_file_keeps_its_drawing(window, told, tmp_path) -> None:
    window.files.open(CHECKOUT / "sample_plans" / "terrace_ground.dxf")
    told.paths = [tmp_path / "mine.takeoff"]
    window.acts.do("save-as")
    lines = len(window.document.drawing.lines)
    window.files.open(CHECKOUT / "sample_plans" / "terrace.job.json")
    window.files.open(tmp_path / "mine.takeoff")
    assert len(window.document.drawing.lines) == lines
    assert window.document.path == tmp_path / "mine.takeoff"


def test_copy_that_cannot_be_written_is_told_once_and_work_goes_on(sample, told, tmp_path) -> None:
    (tmp_path / "recovery").mkdir(exist_ok=True)
    for slot in tmp_path.glob("recovery/*"):
        slot.rmdir()
    (tmp_path / "recovery").rmdir()
    (tmp_path / "recovery").write_text("a file where the folder should be")
    for name in ("Passage", "Lobby"):
        rename(sample, name)
        sample.files.keeping.flush()
    assert len([s for s in told.sentences if "Save your work yourself" in s]) == 1
    assert sample.document.job.storeys[0].rooms[0].name == "Lobby"


def test_work_taken_back_from_an_older_program_holds_no_notes_in_its_photos(sample, qtbot, told, tmp_path) -> None:
    noted = attachment(jpeg(), ".jpg")
    photo = Photo(id="p1", sha256=noted.sha256, room=sample.document.job.storeys[0].rooms[0].id)
    job = msgspec.structs.replace(sample.document.job, photos=(photo,))
    before = Recovery(tmp_path / "recovery")
    before.note(Content(job, pictures=(noted,)), None)
    before.flush()
    killed(tmp_path)
    told.answers = ["take"]
    again = another(qtbot, told, tmp_path)
    assert again.files.keeping.offer_back() is True
    (kept,) = again.files.keeping.content().pictures
    assert not noted_in(kept.data)
    assert kept.sha256 == again.document.job.photos[0].sha256
    copies = b"".join(path.read_bytes() for path in tmp_path.glob("recovery/*/*"))
    assert SECRET not in copies
    assert any("notes of place or person" in sentence for sentence in told.sentences)
