"""``takeoff firm`` and the logo and prices of ``takeoff sheets``, as a user types them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner
from PIL import Image

from takeoff.cli.commands import takeoff
from takeoff.errors import TakeoffError

PLANS = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(autouse=True)
def own(own_folder: Path) -> Path:
    return own_folder / "firm.json"


def run(*given: object) -> str:
    done = CliRunner().invoke(takeoff, [*map(str, given)], catch_exceptions=True, standalone_mode=False)
    if done.exception is not None:
        raise done.exception
    return done.output


def logo(tmp_path: Path) -> Path:
    Image.new("RGB", (300, 100), (20, 90, 120)).save(tmp_path / "logo.png")
    return tmp_path / "logo.png"


def words_of(pdf: Path) -> str:
    with pypdfium2.PdfDocument(pdf) as pages:
        return " ".join("".join(page.get_textpage().get_text_bounded() for page in pages).split())


def test_what_is_kept_stands_on_the_papers_of_the_next_drawing(tmp_path: Path, own: Path) -> None:
    assert "Nothing is kept yet" in run("firm")
    (tmp_path / "terms.txt").write_text("Payment within 14 days.", encoding="utf-8")
    said = run("firm", "--name", "Fairweather Ltd", "--address", "1 Sample Street, Demotown", "--logo", logo(tmp_path))
    assert str(own) in said
    assert "Logo: 300 × 100 pixels" in said
    run("firm", "--terms", tmp_path / "terms.txt")  # the others stay
    assert "Firm: Fairweather Ltd" in run("firm")
    run("measure", PLANS / "terrace_ground.dxf", "-o", tmp_path / "out")
    scope = words_of(tmp_path / "out" / "scope.pdf")
    for words in ("Fairweather Ltd", "1 Sample Street, Demotown", "Payment within 14 days."):
        assert words in scope
    assert "forgotten" in run("firm", "--forget")
    assert not own.exists()


def test_a_logo_that_is_none_is_refused_before_anything_is_kept_or_written(tmp_path: Path, own: Path) -> None:
    (tmp_path / "logo.txt").write_text("no picture")
    with pytest.raises(TakeoffError, match="no picture that can be read"):
        run("firm", "--name", "Fairweather Ltd", "--logo", tmp_path / "logo.txt")
    assert not own.exists()
    job = shutil.copy(PLANS / "terrace.job.json", tmp_path / "terrace.job.json")
    before = Path(job).read_bytes()
    with pytest.raises(TakeoffError, match="no picture that can be read"):
        run("sheets", job, "--logo", tmp_path / "logo.txt")
    assert not (tmp_path / "terrace").exists()
    assert Path(job).read_bytes() == before


def test_a_logo_and_prices_for_these_papers_alone(tmp_path: Path) -> None:
    job = shutil.copy(PLANS / "terrace.job.json", tmp_path / "terrace.job.json")
    run("sheets", job, "--only", "order", "--logo", logo(tmp_path), "-o", tmp_path / "plain")
    run("sheets", job, "--only", "order", "--prices", "-o", tmp_path / "priced")
    assert "Cost XTS" not in words_of(tmp_path / "plain" / "order.pdf")
    assert "Cost XTS" in words_of(tmp_path / "priced" / "order.pdf")
    with pypdfium2.PdfDocument(tmp_path / "plain" / "order.pdf") as pages:
        assert sum(1 for _ in pages[0].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])) == 1
