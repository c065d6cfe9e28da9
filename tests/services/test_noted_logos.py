"""A logo and a photo that say a place and a person, in each format that is read: nothing of it in the job, its
recovery copy, the firm that is kept for new jobs, or a paper."""

from __future__ import annotations

import base64
import re
import sys
import zipfile
import zlib
from io import BytesIO
from pathlib import Path

import msgspec
import pytest

from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.services.after_order.work_sheets import handover_paper
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.opened.pictures import photo_on_paper
from takeoff.services.written.firm import Firm, keep_firm, logo_in
from takeoff.services.written.writing import document, for_paper
from takeoff.sheets.pdf import pdf_bytes
from takeoff.sheets.work_papers import paper_bytes
from takeoff.storage import jobfile, jobs
from takeoff.storage.content import Content
from takeoff.storage.recovery import Recovery

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from noted_pictures import FORMATS, SECRET

JOB = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
PACKED = re.compile(rb"[A-Za-z0-9+/]{200,}={0,2}")
STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)


def unpacked(data: bytes) -> list[bytes]:
    """The bytes of a file, and what is packed into it: parts of a container, streams of a page, pictures in JSON."""
    found = [data]
    if data[:2] == b"PK":
        with zipfile.ZipFile(BytesIO(data)) as container:
            found += [container.read(name) for name in container.namelist()]
    for stream in STREAM.findall(data):
        try:
            found.append(zlib.decompress(stream))
        except zlib.error:
            found.append(stream)  # a JPEG as it is
    for part in tuple(found):
        found += [base64.b64decode(run[: len(run) // 4 * 4]) for run in PACKED.findall(part)]
    return found


def says_who(data: bytes) -> bool:
    return any(SECRET in part or b"Erika" in part or b"xmpmeta" in part for part in unpacked(data))


def pictures_in(data: bytes) -> int:
    return sum(part[:3] == b"\xff\xd8\xff" or part[:4] == b"\x89PNG" for part in unpacked(data))


@pytest.fixture
def noted(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    path = tmp_path / request.param
    path.write_bytes(FORMATS[request.param](6))
    return path


def with_logo(noted: Path) -> Job:
    return edits.set_logo(open_file(JOB).job, logo_in(noted))


@pytest.mark.parametrize("noted", FORMATS, indirect=True)
def test_no_place_or_person_of_a_logo_is_in_the_job_its_copy_or_the_firm(
    noted: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    job = with_logo(noted)
    jobfile.save(tmp_path / "house.takeoff", Content(job))
    recovery = Recovery(tmp_path / "recovery")
    recovery.note(Content(job), None)
    copy = recovery.flush()
    assert copy is not None
    keep_firm(Firm(logo=job.details.logo))
    (firm,) = (tmp_path / "data").rglob("firm.json")
    kept = (jobs.dump(job), (tmp_path / "house.takeoff").read_bytes(), copy.read_bytes(), firm.read_bytes())
    assert all(pictures_in(data) for data in kept)
    assert not any(says_who(data) for data in (*kept, *(p.read_bytes() for p in copy.parent.iterdir())))


@pytest.mark.parametrize("noted", FORMATS, indirect=True)
def test_no_place_or_person_of_a_logo_or_a_photo_is_on_paper(noted: Path) -> None:
    measured = measure_job(msgspec.structs.replace(open_file(JOB), job=with_logo(noted)))
    made = document(measured, "2031-05-20")
    handed = handover_paper(measured, "2031-05-20")
    handed = msgspec.structs.replace(handed, photos=(photo_on_paper(noted.read_bytes(), noted.name),))
    papers = (pdf_bytes(for_paper(made, measured, "scope"), "A4", "scope"), paper_bytes(handed))
    assert [data.count(b"/Subtype /Image") for data in papers] == [1, 2]
    assert not any(says_who(data) for data in papers)


def test_what_is_packed_is_seen() -> None:
    body = base64.b64encode(bytes(200) + SECRET + bytes(200))
    page = b"1 0 obj\nstream\n" + zlib.compress(SECRET) + b"\nendstream"
    assert says_who(b'{"logo": "' + body + b'"}')
    assert says_who(page)
    assert not says_who(b"nobody")
