"""The firm's logo, address and terms: small in the job, on every paper, kept for new jobs without their clients."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import msgspec
import pypdfium2
import pytest
from PIL import Image, ImageDraw

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.model import Job, Logo
from takeoff.services.after_order.work_sheets import handover_paper
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.firm import Firm, firm_of, keep_firm, kept_firm, letterhead_of, logo_in, with_firm
from takeoff.services.written.writing import document, for_paper
from takeoff.sheets.pdf import pdf_bytes
from takeoff.sheets.sheet_values import PAPERS
from takeoff.sheets.work_papers import paper_bytes
from takeoff.storage import jobs

PLANS = Path(__file__).parents[2] / "sample_plans"
JOB = PLANS / "terrace.job.json"


@pytest.fixture(autouse=True)
def own(own_folder: Path) -> Path:
    return own_folder / "firm.json"


def picture(path: Path, size: tuple[int, int] = (900, 300), noisy: bool = False, **notes: object) -> Path:
    image = Image.effect_noise(size, 90).convert("RGB") if noisy else Image.new("RGB", size, "white")
    if not noisy:
        ImageDraw.Draw(image).rectangle((100, 100, 499, 199), fill=(20, 90, 120))
    image.save(path, **notes)
    return path


def with_logo(tmp_path: Path) -> Job:
    job = edits.set_logo(open_file(JOB).job, logo_in(picture(tmp_path / "logo.png")))
    return edits.set_details(job, contractor="Fairweather Ltd", address="1 Sample Street, Demotown")


def test_paper_around_the_logo_is_cut_off_and_it_is_a_picture_of_its_own(tmp_path: Path) -> None:
    logo = logo_in(picture(tmp_path / "logo.png"))
    assert (logo.width_px, logo.height_px) == (400, 100)  # the box alone, 100 to 499 and 100 to 199
    kept = Image.open(io.BytesIO(base64.b64decode(logo.data)))
    assert kept.size == (400, 100)


def test_a_large_picture_is_kept_small_and_without_what_a_camera_noted(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x010F] = "SECRET CAMERA"
    path = picture(tmp_path / "photo.jpg", (3000, 2000), noisy=True, exif=exif, quality=95)
    assert b"SECRET CAMERA" in path.read_bytes()
    assert path.stat().st_size > 1_000_000
    data = base64.b64decode(logo_in(path).data)
    assert len(data) <= 200_000
    assert b"SECRET CAMERA" not in data


def test_what_is_no_logo_is_refused_in_one_sentence_and_nothing_is_lost(tmp_path: Path) -> None:
    (tmp_path / "text.png").write_text("no picture")
    with pytest.raises(InputError, match=r"^text\.png is no picture that can be read: save it as PNG or JPEG\.$"):
        logo_in(tmp_path / "text.png")
    with (tmp_path / "huge.png").open("wb") as stream:
        stream.truncate(100 * 2**20)
    with pytest.raises(InputError, match=r"^huge\.png holds 100 MB and at most 20 MB can be read: save your logo"):
        logo_in(tmp_path / "huge.png")
    Image.new("RGB", (50, 50), "white").save(tmp_path / "white.png")
    with pytest.raises(InputError, match=r"^white\.png is white all over"):
        logo_in(tmp_path / "white.png")
    with pytest.raises(InputError, match="is a folder"):
        logo_in(tmp_path)


def images_on(pdf: bytes) -> list[int]:
    """How many pictures of pixels stand on each page."""
    with pypdfium2.PdfDocument(pdf) as pages:
        return [sum(1 for _ in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])) for page in pages]


def test_logo_and_address_stand_on_the_first_page_of_every_paper(tmp_path: Path) -> None:
    opened = msgspec.structs.replace(open_file(JOB), job=with_logo(tmp_path))
    measured = measure_job(opened)
    made = document(measured, "2031-05-20")
    for paper in PAPERS:
        data = pdf_bytes(for_paper(made, measured, paper), "A4", paper)
        assert images_on(data)[0] == 1, paper
        assert not any(images_on(data)[1:]), paper
        with pypdfium2.PdfDocument(data) as pages:
            words = pages[0].get_textpage().get_text_bounded()
        assert "1 Sample Street, Demotown" in words, paper
    handed = handover_paper(measured, "2031-05-20")
    assert images_on(paper_bytes(handed))[0] == 1


def test_nothing_set_draws_nothing(tmp_path: Path) -> None:
    measured = measure_job(open_file(PLANS / "terrace_ground.dxf"))
    made = document(measured, "2031-05-20")
    assert not made.letterhead.is_set
    assert not any(images_on(pdf_bytes(for_paper(made, measured, "scope"), "A4", "scope")))


def test_the_job_keeps_its_logo_in_its_file(tmp_path: Path) -> None:
    job = with_logo(tmp_path)
    assert jobs.load(jobs.dump(job), "a.job.json") == job
    assert b'"logo": null' in jobs.dump(edits.set_logo(job, None))


def test_a_logo_that_somebody_damaged_in_the_file_is_told_in_one_sentence(tmp_path: Path) -> None:
    job = with_logo(tmp_path)
    sound = job.details.logo
    assert sound is not None
    for wrong in (
        Logo(data="not base64!", width_px=400, height_px=100),
        msgspec.structs.replace(sound, data=sound.data[: len(sound.data) // 2 // 4 * 4]),
        msgspec.structs.replace(sound, width_px=401),
        Logo(data=base64.b64encode(b"x" * 300_000).decode(), width_px=400, height_px=100),
    ):
        with pytest.raises(InputError, match=r"^The logo in this job is damaged: remove it or choose it again\.$"):
            letterhead_of(edits.set_logo(job, wrong))


def test_a_logo_of_no_size_is_refused_when_its_job_is_read(tmp_path: Path) -> None:
    data = jobs.dump(with_logo(tmp_path))
    with pytest.raises(InputError, match="width_px"):
        jobs.load(data.replace(b'"width_px": 400', b'"width_px": -4'), "a.job.json")


def test_new_jobs_begin_with_the_firm_and_never_with_a_client(tmp_path: Path, own: Path) -> None:
    job = edits.set_details(
        with_logo(tmp_path),
        terms="Payment within 14 days.",
        client="A. Private Client",
        site="9 Secret Lane",
        reference="J-77",
        price_coat_m2="48.50",
    )
    keep_firm(firm_of(job))
    kept = own.read_text(encoding="utf-8")
    for secret in ("Private", "Secret", "J-77", "48.50", job.name):
        assert secret not in kept
    fresh = open_file(PLANS / "terrace_ground.dxf").job.details
    assert (fresh.contractor, fresh.address) == ("Fairweather Ltd", "1 Sample Street, Demotown")
    assert fresh.terms == "Payment within 14 days."
    assert fresh.logo == job.details.logo
    assert (fresh.client, fresh.site, fresh.reference, fresh.price_coat_m2) == ("", "", "", "")
    # a job that there was before keeps what it says
    assert open_file(JOB).job.details.contractor != "Fairweather Ltd"


def test_a_firm_that_cannot_be_read_counts_as_none_and_an_empty_one_is_forgotten(own: Path) -> None:
    own.parent.mkdir(parents=True)
    own.write_bytes(b"\xff{ damaged")
    assert kept_firm() == Firm()
    assert with_firm(Job()) == Job()
    keep_firm(Firm(contractor="Fairweather Ltd"))
    assert kept_firm().contractor == "Fairweather Ltd"
    keep_firm(Firm())
    assert not own.exists()
