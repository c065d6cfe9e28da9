"""Photos that another program kept with their notes are bare as soon as the job is opened, by whatever door."""

from __future__ import annotations

import base64
import sys
from pathlib import Path

import msgspec
import pytest
from PIL import ImageChops

from takeoff.plan import edits
from takeoff.plan.model import Details, Job, Logo, Photo
from takeoff.readers.picture import upright_of
from takeoff.services.after_order.sent_states import Said, back_to, frozen, job_of, measured_of, read_state
from takeoff.services.opened.bare_pictures import with_bare_pictures
from takeoff.services.opened.job_store import change_job, load_job, save_job
from takeoff.services.opened.opening import Answers, open_file, open_for_window, silent
from takeoff.storage import jobfile, jobs
from takeoff.storage.content import Attachment, Content, attachment

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from noted_pictures import FORMATS, SIZE, jpeg, noted_in

JOB = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def pinned(pictures: list[Attachment]) -> Job:
    """The sample job with a photo of each picture in its first room, and a logo with notes."""
    job = jobs.load(JOB.read_bytes(), JOB.name)
    room = job.storeys[0].rooms[0].id
    photos = tuple(Photo(id=f"p{k}", sha256=one.sha256, room=room, name=f"{k}") for k, one in enumerate(pictures))
    logo = Logo(data=base64.b64encode(jpeg()).decode(), width_px=SIZE[0], height_px=SIZE[1])
    return msgspec.structs.replace(job, photos=photos, details=msgspec.structs.replace(job.details, logo=logo))


@pytest.fixture
def foreign(tmp_path: Path) -> Path:
    """A job whose file holds eight pictures as a camera wrote them."""
    pictures = [attachment(made(6), Path(name).suffix) for name, made in FORMATS.items()]
    path = tmp_path / "foreign.takeoff"
    jobfile.save(path, Content(pinned(pictures), pictures=tuple(pictures)))
    return path


def assert_bare(content: Content) -> None:
    held = {picture.sha256 for picture in content.pictures}
    assert len(content.job.photos) == len(FORMATS)
    assert len(held) == len(content.pictures) > 1
    assert {photo.sha256 for photo in content.job.photos} == held
    assert not any(noted_in(picture.data) for picture in content.pictures)
    assert content.job.details.logo is not None
    assert not noted_in(base64.b64decode(content.job.details.logo.data))


def test_opened_by_command_and_window_it_is_bare_and_says_so(foreign: Path) -> None:
    for opened in (open_file(foreign), open_for_window(foreign, Answers(), silent)):
        assert opened.stored is not None
        assert_bare(msgspec.structs.replace(opened.stored, job=opened.job))
        (said,) = [f.text for f in opened.findings if f.code == "picture-notes"]
        assert said == (
            "foreign.takeoff held notes of place or person beside 9 pictures: they are taken out, and leave the file "
            "once it is saved."
        )


def test_states_that_were_sent_hold_none_and_find_their_photos(foreign: Path) -> None:
    """An older program sent the job with its notes: the state keeps what it said, its pictures are bare too."""
    before = jobfile.load(foreign)
    sent = frozen(before, measured_of(before), "sent", Said("2031-05-20", "Client", "Ann"))
    jobfile.save(foreign, sent)
    content = load_job(foreign)
    assert_bare(content)
    old, new = read_state(sent.states[0]), read_state(content.states[0])
    assert_bare(msgspec.structs.replace(content, job=job_of(new)))
    assert msgspec.structs.replace(new, job=old.job) == old
    back = back_to(content, 1, "2031-05-21")
    assert_bare(back)
    again, said = with_bare_pictures(back, "foreign.takeoff")
    assert again is back
    assert said == ()


def test_changed_by_a_command_the_file_holds_none(foreign: Path, tmp_path: Path) -> None:
    content = load_job(foreign)
    assert_bare(content)
    other = tmp_path / "other.takeoff"
    other.write_bytes(foreign.read_bytes())
    save_job(foreign, content)
    change_job(other, lambda job: edits.rename_job(job, "Mill house"))
    for path in (foreign, other):
        assert_bare(jobfile.load(path))
        assert open_file(path).findings == open_file(path).findings
        assert "picture-notes" not in {f.code for f in open_file(path).findings}


def test_the_picture_itself_and_its_turn_stay_and_the_rest_is_untouched(foreign: Path) -> None:
    before = jobfile.load(foreign)
    bare, _ = with_bare_pictures(before, "foreign.takeoff")
    kept = {picture.sha256: picture for picture in bare.pictures}
    for old, photo in zip(before.pictures, bare.job.photos, strict=True):
        one, other = upright_of(old.data, "old"), upright_of(kept[photo.sha256].data, "new")
        assert one.size == other.size == SIZE[::-1]
        assert ImageChops.difference(one.convert("RGB"), other.convert("RGB")).getbbox() is None
    same, said = with_bare_pictures(bare, "foreign.takeoff")
    assert same is bare
    assert said == ()


def test_what_is_no_picture_stays_and_is_told() -> None:
    strange = attachment(b"Erika Muster", ".jpg")
    job = msgspec.structs.replace(pinned([strange]), details=Details())
    content, (said,) = with_bare_pictures(Content(job, pictures=(strange,)), "foreign.takeoff")
    assert content.pictures == (strange,)
    assert said.text == (
        "“0” in foreign.takeoff cannot be shown, so what may be noted in it stays: remove it, or pin the photo again."
    )
