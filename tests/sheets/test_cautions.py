"""Every paper that goes to people says on its first page what to be careful of; none promises what nobody can."""

from __future__ import annotations

import re
from pathlib import Path

import pypdfium2
import pytest

from takeoff.files.paths import resource
from takeoff.language import use_region
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document, for_paper
from takeoff.sheets import pdf
from takeoff.sheets.sheet_values import PAPERS, Paper

SAMPLES = Path(__file__).parents[2] / "sample_plans"
_MADE: dict[str, Measured] = {}
PROMISED = re.compile(r"energy|saves? heat|\bis safe\b|\bsafe to\b|U-value|mould.free", re.IGNORECASE)


def pages(paper: Paper) -> list[str]:
    if not _MADE:
        _MADE["job"] = measure_job(open_file(SAMPLES / "terrace.job.json"))
    measured = _MADE["job"]
    made = pypdfium2.PdfDocument(
        pdf.pdf_bytes(for_paper(document(measured, "2031-05-20"), measured, paper), "A4", paper)
    )
    return [" ".join(page.get_textpage().get_text_range().split()) for page in made]


@pytest.mark.parametrize("paper", PAPERS)
def test_first_page_has_the_cautions(paper: Paper) -> None:
    first = pages(paper)[0]
    assert "General advice only" in first
    assert re.search(r"[Nn]ever cover a vent, (a )?flue or (an )?alarm", first)
    assert re.search(r"cures no damp", first)


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_promised(paper: Paper) -> None:
    assert not PROMISED.search(" ".join(pages(paper)))


def test_no_text_of_any_paper_promises_anything() -> None:
    for name in ("sheets/sheets.json", "sheets/site-form.json"):
        assert not PROMISED.search(resource(name).read_text(encoding="utf-8"))


def test_site_sheets_name_every_caution_and_a_countrys_limits_only_there() -> None:
    first = pages("site")[0]
    for words in ("escape route", "safety sheet", "Tubs", "lived in", "alarm", "asbestos"):
        assert words in first, words
    assert "EH40" in first
    use_region("US")
    try:
        abroad = " ".join(pages("site"))
    finally:
        use_region("")
    assert "local limits" in abroad
    assert "EH40" not in abroad
