"""The papers of jobs with everything set, in a language that nobody speaks and that is two fifths longer, laid out on
A4: nothing is cut off or runs into the margin."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from test_german_sheets import DAY, dressed_and_measured

from takeoff.language import catalogue as spoken
from takeoff.language import use_language
from takeoff.services.after_order.work_sheets import account_paper, handover_paper
from takeoff.services.measured.job_result import Measured
from takeoff.services.written.writing import document, for_paper
from takeoff.sheets.flow import Page
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import PAPERS, Document, Paper
from takeoff.sheets.work_papers import paper_pages
from tests.language.test_pseudo_sheets import Longer, texts_of

SAMPLES = Path(__file__).parents[2] / "sample_plans"
NAMES = ("terrace.job.json", "stairwell.dxf", "flat_feet.dxf")
FACE = Typeface()
MARGIN_MM = 14.9
_MADE: dict[str, tuple[Measured, Document]] = {}


@pytest.fixture(autouse=True)
def nobodys_language() -> Iterator[None]:
    spoken.use_catalogue("xx", Longer())
    yield
    use_language("en")


def made(name: str) -> tuple[Measured, Document]:
    """The sample dressed, measured and on paper; once for all tests."""
    if name not in _MADE:
        found = dressed_and_measured(SAMPLES / name)
        _MADE[name] = found, document(found, DAY, draft=True)
    return _MADE[name]


def beyond(pages: list[Page]) -> list[tuple[int, str]]:
    """Texts that run over the margins, by page."""
    return [
        (number, text)
        for number, page in enumerate(pages, 1)
        for x, y, text, style, size, _ in page.texts
        if x < MARGIN_MM
        or x + FACE.measure(text, style, size) > page.width_mm - MARGIN_MM
        or not 6.0 < y < page.height_mm - 8.0
    ]


def over_one_another(pages: list[Page]) -> list[tuple[int, str, str]]:
    """Texts of one line that are printed over the next one, by page."""
    found = []
    for number, page in enumerate(pages, 1):
        lines: dict[float, list[tuple[float, float, str]]] = {}
        for x, y, text, style, size, _ in page.texts:
            if text.strip():
                lines.setdefault(round(y, 1), []).append((x, x + FACE.measure(text, style, size), text))
        for line in lines.values():
            for one, other in pairwise(sorted(line)):
                if one[1] > other[0] + 0.2:
                    found.append((number, one[2], other[2]))
    return found


def cut(pages: list[Page]) -> list[str]:
    return [text for text in texts_of(pages) if "…" in text]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_nothing_of_a_paper_with_everything_set_is_cut_off(name: str, paper: Paper) -> None:
    found, sheets = made(name)
    pages = lay_out(for_paper(sheets, found, paper).for_paper(paper), "A4", FACE.measure)
    assert cut(pages) == []
    assert beyond(pages) == []
    assert any("⟦" in text for text in texts_of(pages))
    assert over_one_another(pages) == []


@pytest.mark.parametrize("name", NAMES)
def test_nothing_of_hand_over_and_account_is_cut_off(name: str) -> None:
    found, _ = made(name)
    for one in (handover_paper(found, DAY), account_paper(found.job, DAY)):
        pages = paper_pages(one, FACE.measure, "A4")
        assert cut(pages) == []
        assert beyond(pages) == []
        assert any("⟦" in text for text in texts_of(pages))
        assert over_one_another(pages) == []
