"""Sheets in a language that nobody speaks: each message in brackets and 40 % longer.

What stands outside brackets was never put into the catalogue; what ends in "…" or runs into the margin is cut off.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from takeoff.language import catalogue as spoken
from takeoff.language import use_language
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.sheets.flat import flat_tables
from takeoff.sheets.flow import Page
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import PAPERS, Document, Paper
from takeoff.sheets.site_form import form_pages

SAMPLES = Path(__file__).parents[2] / "sample_plans"
FACE = Typeface()


class Longer(spoken.Catalogue):
    """Every message in brackets, with so many letters more that it is 40 % longer."""

    def __init__(self) -> None:
        super().__init__({}, lambda count: 0 if count == 1 else 1)

    def lookup(self, context: str | None, message: str) -> str:
        return longer(message)

    def counted(self, one: str, many: str, count: int) -> str:
        return longer(one if count == 1 else many)


def longer(message: str) -> str:
    """ "⟦Room ⟧{number}⟦ oo⟧": the message with 40 % more letters, in words as long as German ones at most, its facts
    outside the brackets."""
    if not any(letter.isalpha() for letter in re.sub(FACT, "", message)):
        return message
    parts = [part if re.fullmatch(FACT, part) else f"⟦{part}⟧" for part in re.split(f"({FACT})", message) if part]
    more = "o" * -(-len(re.sub(FACT, "", message)) * 2 // 5)
    return "".join(parts) + f"⟦ {' '.join(more[k : k + 9] for k in range(0, len(more), 9))}⟧"


FACT = r"\{\w+\}"


@pytest.fixture(autouse=True)
def nobodys_language() -> Iterator[None]:
    spoken.use_catalogue("xx", Longer())
    yield
    use_language("en")


def outside(text: str) -> str:
    """What of a text stands in no brackets: names, figures, and what nobody put into the catalogue."""
    return re.sub(r"⟦[^⟦⟧]*⟧", " ", text)


UNITS = {"m", "mm", "m²", "L", "kg", "ml", "g", "XTS", "EUR", "ft", "May"}
"""And the month, which is the region's to write."""


def own_words(job: Job) -> set[str]:
    """Names that the job's people gave: rooms, storeys, drawings, marks, layers."""
    texts = [job.name, *msgspec.structs.astuple(job.details)]
    for storey in job.storeys:
        texts += [storey.name, *(f"{room.number} {room.name}" for room in storey.rooms)]
        texts += [o.mark for o in (*storey.openings, *storey.rooflights)]
    for drawing in job.drawings:
        texts += [drawing.name, drawing.number, drawing.revision]
    return {word for text in texts for word in re.findall(r"[^\W\d_]+", str(text))}


def sample(name: str) -> tuple[Job, Document]:
    opened = open_file(SAMPLES / name)
    job = edits.set_details(opened.job, price_coat_m2="31", price_bead_m="4.5")
    job = msgspec.structs.replace(job, convention="uk-nrm2")
    return job, document(measure_job(Opened(opened.path, opened.kind, job, opened.findings)), "2031-05-20")


NAMES = ("terrace.job.json", "flat_feet.dxf")
_MADE: dict[str, tuple[Job, Document]] = {}


def made(name: str) -> tuple[Job, Document]:
    if name not in _MADE:
        _MADE[name] = sample(name)
    return _MADE[name]


def texts_of(pages: list[Page]) -> Iterator[str]:
    for page in pages:
        yield from (item[2] for item in page.texts)
        for _, _, picture in page.pictures:
            yield from (caption.text for caption in picture.captions)


@pytest.mark.parametrize("name", NAMES)
def test_every_word_of_the_tables_is_in_the_catalogue(name: str) -> None:
    job, sheets = made(name)
    known = own_words(job) | UNITS
    missed = set()
    for table in flat_tables(sheets):
        if table.id in ("findings", "assumptions"):  # said by the ledger, which has tests of its own
            continue
        cells = [cell for row in (*table.rows, table.total or ()) for cell in row if isinstance(cell, str)]
        heads = [column.title for column in table.columns]
        for text in (table.title, table.full_note, table.empty, *heads, *cells):
            words = [w for w in re.findall(r"[^\W\d_]{2,}", outside(text)) if w not in known]
            if words:
                missed.add((table.id, text))
    assert missed == set()


@pytest.mark.parametrize("reader", PAPERS)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_nothing_is_cut_off_on_paper(reader: Paper, paper: str) -> None:
    _, sheets = made("terrace.job.json")
    pages = lay_out(sheets.for_paper(reader), paper, FACE.measure)
    cut = [text for text in texts_of(pages) if "…" in text]
    assert cut == []
    assert [*_beyond(pages)] == []


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_nothing_of_the_form_is_cut_off(paper: str) -> None:
    pages = form_pages(paper, 1, FACE.measure, "Sample")
    assert [text for text in texts_of(pages) if "…" in text] == []
    assert [*_beyond(pages)] == []


def _beyond(pages: list[Page]) -> Iterator[tuple[int, str]]:
    """Texts that run over the paper's margins, by page."""
    for number, page in enumerate(pages, 1):
        for x, y, text, style, size, _ in page.texts:
            right = x + FACE.measure(text, style, size)
            if x < 14.9 or right > page.width_mm - 14.9 or not 6.0 < y < page.height_mm - 8.0:
                yield number, text
