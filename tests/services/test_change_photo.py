"""The photo of a change on site is on its page, beside the signatures; one that is not in the file is said."""

from __future__ import annotations

import hashlib
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from takeoff.cli.main import run
from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.services.after_order.work_sheets import change_paper
from takeoff.services.changed.site_changes import TypedChange, change_typed
from takeoff.services.opened.job_store import load_job
from takeoff.sheets.work_papers import paper_bytes
from takeoff.storage import jobfile
from takeoff.storage.content import Content, attachment

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def photo(wide: int, high: int) -> bytes:
    stream = BytesIO()
    Image.new("RGB", (wide, high), "#8090A0").save(stream, "JPEG")
    return stream.getvalue()


def with_change(data: bytes, days: str = "1") -> Job:
    """The sample with a photo of its kitchen, and a change that it shows."""
    job = load_job(SAMPLE).job
    room = job.storeys[0].rooms[0].id
    job = edits.pin_photo(job, hashlib.sha256(data).hexdigest(), "damp.jpg", room)
    typed = TypedChange(place="Hall", what="Strip", hours="2", price="40", days=days, photo="damp.jpg")
    return change_typed(job, typed, "2031-05-24")


def images(pdf: bytes) -> list[tuple[int, list[float]]]:
    """Every raster image with its page and its box in points."""
    found = []
    with pypdfium2.PdfDocument(pdf) as document:
        for number, page in enumerate(document):
            kinds = [one for one in page.get_objects() if one.type == 3]
            found += [(number, list(one.get_bounds())) for one in kinds]
    return found


@pytest.mark.parametrize(("wide", "high"), [(800, 600), (600, 1600), (2400, 300)])
def test_the_photo_stands_on_the_one_page(wide: int, high: int) -> None:
    data = photo(wide, high)
    pdf = paper_bytes(change_paper(with_change(data), 1, "2031-05-25", lambda _: data), "A4")
    [(page, (left, low, right, top))] = images(pdf)
    with pypdfium2.PdfDocument(pdf) as document:
        assert len(document) == 1
    assert page == 0
    # its sides are as the photo's, within the margins
    assert (right - left) / (top - low) == pytest.approx(wide / high, rel=0.01)
    assert left >= 15 / 25.4 * 72 - 0.5
    assert right <= (210 - 15) / 25.4 * 72 + 0.5
    assert low > 40


def test_a_photo_that_is_not_in_the_file_is_said() -> None:
    paper = change_paper(with_change(photo(40, 30)), 1, "2031-05-25")
    assert any("picture is not in the job's file" in line.text for line in paper.lines)
    assert paper.photos == ()


def test_one_day_is_a_day() -> None:
    said = [line.text for line in change_paper(with_change(photo(40, 30)), 1, "2031-05-25").lines]
    assert "The work ends 1 day later." in said
    said = [line.text for line in change_paper(with_change(photo(40, 30), "-1,5"), 1, "2031-05-25").lines]
    assert "The work ends 1.5 days earlier." in said


def test_a_photo_that_the_job_has_not() -> None:
    typed = TypedChange(place="Hall", what="Strip", hours="2", price="40", photo="roof.jpg")
    with pytest.raises(InputError, match="no photo “roof"):
        change_typed(load_job(SAMPLE).job, typed, "2031-05-24")


def test_the_command_prints_it(tmp_path: Path) -> None:
    data = photo(800, 600)
    path, pdf = tmp_path / "house.takeoff", tmp_path / "change.pdf"
    jobfile.save(path, Content(job=with_change(data), pictures=(attachment(data, ".jpg"),)))
    assert run(["change", str(path), "--number", "1", "--pdf", str(pdf)]) == 0
    assert len(images(pdf.read_bytes())) == 1
