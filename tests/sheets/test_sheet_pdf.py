"""The PDF: every page whole, nothing over another, text that comes back as it was written."""

from __future__ import annotations

import os
import re
from functools import cache
from pathlib import Path

import invented_job as job_of
import msgspec
import pypdfium2
import pytest

from takeoff.errors import OutputError
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import Job, Storey
from takeoff.sheets import palette, pdf
from takeoff.sheets.flow import FOOT_MM, MARGIN_MM, Flow, Page, TableSetter, cut, wrap
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.pdf import MISSING, Typeface
from takeoff.sheets.picture import DOT_STEP_MM
from takeoff.sheets.sheet_document import build
from takeoff.sheets.sheet_values import PAPERS, Column, Document, Paper, Table

PT_MM = 25.4 / 72


def document(*storeys: Storey, name: str = "Sample Cottage") -> Document:
    job, takeoff = job_of.cottage(storeys or None, name)
    return build(job, takeoff, job_of.order(), job_of.FINDINGS, date="25 November 2026", firm="Fairweather")


DOCUMENTS = {
    "one storey": lambda: document(),
    "two storeys": lambda: document(job_of.cottage_storey(), job_of.upper_storey()),
    "many rooms": lambda: document(job_of.terrace_of(140), name="A name as long as a goods train " * 6),
    "wide": lambda: document(job_of.terrace_of(6, 6)),
    "no rooms": lambda: build(Job(name="Empty"), Takeoff((), {}, (), ())),
    "no rooms in a storey": lambda: build(Job(storeys=(Storey(id="s0"),)), Takeoff((), {}, (), ())),
}


@cache
def made(name: str) -> Document:
    return DOCUMENTS[name]()


def pages_text(data: bytes) -> list[str]:
    opened = pypdfium2.PdfDocument(data)
    return [page.get_textpage().get_text_range() for page in opened]


def text_boxes(page: Page, face: Typeface) -> list[tuple[float, float, float, float, str]]:
    """(left, right, low, high, text) of everything written on a page, pictures included, by ink."""
    items = [(x, y, text, style, size) for x, y, text, style, size, _ in page.texts]
    for px, py, picture in page.pictures:
        items += [(px + c.x_mm, py + c.y_mm, c.text, c.style, c.size_pt) for c in picture.captions]
    return [
        (x, x + face.measure(text, style, size), y - 0.02 * size * PT_MM, y + 0.7 * size * PT_MM, text)
        for x, y, text, style, size in items
        if text
    ]


@pytest.mark.parametrize("of", PAPERS)
@pytest.mark.parametrize("paper", ["A4", "A3"])
@pytest.mark.parametrize("name", DOCUMENTS)
def test_nothing_is_cut_off_and_nothing_lies_over_another(name: str, paper: str, of: Paper) -> None:
    face = Typeface()
    for number, page in enumerate(lay_out(made(name).for_paper(of), paper, face.measure), 1):
        found = sorted(text_boxes(page, face))
        for k, (left, right, low, high, text) in enumerate(found):
            assert left >= MARGIN_MM - 0.1, (number, text)
            assert right <= page.width_mm - MARGIN_MM + 0.1, (number, text)
            assert low >= 9.0, (number, text)
            assert high <= page.height_mm - 14.0, (number, text)
            for other in found[k + 1 :]:
                if other[0] >= right:
                    break
                assert other[2] >= high or other[3] <= low, (number, text, other[4])
        for x, y, picture in page.pictures:
            assert x >= MARGIN_MM - 0.1
            assert x + picture.width_mm <= page.width_mm - MARGIN_MM + 0.1
            assert y >= FOOT_MM - 6.0


@pytest.mark.parametrize("of", PAPERS)
@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_page_says_which_of_how_many_it_is(name: str, of: Paper) -> None:
    texts = pages_text(pdf.pdf_bytes(made(name), paper=of))
    for number, text in enumerate(texts, 1):
        assert f"Page {number} of {len(texts)}" in text


def test_first_page_has_what_a_client_asks_first() -> None:
    first = pages_text(pdf.pdf_bytes(document()))[0]
    for words in (
        "Scope of coating work",
        "Sample Cottage, Ground floor",
        "25 November 2026",
        "181.2 m² to coat",
        "1 : 75",
        "Total",
        "Coated",
        "Assumed",
        "Not coated",
        "To confirm",
        "agreed",
    ):
        assert words in first


def test_client_gets_conditions_and_a_place_to_sign_and_no_workings() -> None:
    text = "\n".join(pages_text(pdf.pdf_bytes(document())))
    for words in ("Conditions", "Before and during the work", "For the client", "signature for scope, no price"):
        assert words in text
    for words in ("Dimensions:", "Workings", "Bead cutting list", "Findings", "wall, as in the lists"):
        assert words not in text


def test_team_gets_lists_and_letters_and_no_place_to_sign() -> None:
    site = pages_text(pdf.pdf_bytes(document(), paper="site"))
    dimensions = pages_text(pdf.pdf_bytes(document(), paper="dimensions"))
    for words in ("Bead cutting list", "wall, as in the lists", "Site sheets", "Before and during the work"):
        assert any(words in text for text in site)
    for words in ("Dimensions: Living", "Findings", "Dimension sheet"):
        assert any(words in text for text in dimensions)
    texts = (*site, *dimensions, *pages_text(pdf.pdf_bytes(document(), paper="order")))
    assert not any(words in text for text in texts for words in ("agreed", "signature", "Conditions"))


def test_text_comes_back_with_its_signs() -> None:
    text = "\n".join(pages_text(pdf.pdf_bytes(document(), paper="dimensions")))
    assert re.search(r"1\.800 × 1\.200 =\s+2\.16", text)
    assert "−15.78" in text
    assert "Floor (not coated) m²" in text


def test_same_document_gives_the_same_bytes() -> None:
    assert pdf.pdf_bytes(document()) == pdf.pdf_bytes(document())


@pytest.mark.parametrize("given", ["1", "4102444800", "soon"])
def test_the_clock_of_who_builds_packages_is_not_ours(monkeypatch: pytest.MonkeyPatch, given: str) -> None:
    before = pdf.pdf_bytes(document())
    monkeypatch.setenv("SOURCE_DATE_EPOCH", given)
    assert pdf.pdf_bytes(document()) == before
    assert os.environ["SOURCE_DATE_EPOCH"] == given


def test_greek_and_cyrillic_are_printed_and_missing_characters_are_seen() -> None:
    face = Typeface()
    assert face.clean("Λ Лестница ½ ± ≤ €") == "Λ Лестница ½ ± ≤ €"
    assert not face.replaced
    assert face.clean("厨房\tA\x07") == f"{MISSING}{MISSING} A{MISSING}"
    assert face.replaced
    assert ord(MISSING) in face._known


def test_sheet_with_missing_characters_says_so() -> None:
    texts = pages_text(pdf.pdf_bytes(document(name="Haus 厨房")))
    assert "Characters that the typeface lacks" in texts[-1]
    assert not any("Characters that the typeface lacks" in text for text in pages_text(pdf.pdf_bytes(document())))


def table(rows: int) -> Table:
    return Table(
        "t",
        "Many rows",
        (Column("Name"), Column("Area", "m²", "figure")),
        tuple((f"Row {k}", k) for k in range(rows)),
        ("Total", rows),
    )


@pytest.mark.parametrize("rows", range(38, 52))
def test_head_stands_on_every_page_and_the_total_never_alone(rows: int) -> None:
    face = Typeface()
    flow = Flow((210.0, 297.0), face.measure, ("Job", "Scope"))
    flow.new_page()
    TableSetter(flow, table(rows)).set()
    for page in flow.pages:
        words = [item[2] for item in page.texts]
        assert "Area m²" in words
        # Two rows with the head; two at the end, the last one with the total.
        assert sum(word.startswith("Row ") or word == "Total" for word in words) >= 2
    assert "Total" in [item[2] for item in flow.pages[-1].texts]


@pytest.mark.parametrize("rows", range(38, 52))
def test_note_of_a_table_never_stands_alone(rows: int) -> None:
    face = Typeface()
    flow = Flow((210.0, 297.0), face.measure, ("Job", "Scope"))
    flow.new_page()
    columns = (Column("Name"), Column("Area", "m²", "figure"))
    body = tuple((f"Row {k}", k) for k in range(rows))
    TableSetter(flow, Table("t", "Many rows", columns, body, note="8 bars. Proved best.")).set()
    words = [item[2] for item in flow.pages[-1].texts]
    assert "8 bars. Proved best." in words
    assert f"Row {rows - 1}" in words


@pytest.mark.parametrize("used_mm", range(180, 246, 2))
def test_no_row_stands_alone_at_a_foot_or_a_head(used_mm: int) -> None:
    face = Typeface()
    flow = Flow((210.0, 297.0), face.measure, ("Job", "Scope"))
    flow.new_page()
    flow.y -= used_mm
    columns = (Column("Name"), Column("Area", "m²", "figure"))
    body = tuple((f"Row {k}", k) for k in range(7))
    TableSetter(flow, Table("t", "Some rows", columns, body)).set()
    rows = [sum(item[2].startswith("Row ") for item in page.texts) for page in flow.pages]
    assert sum(rows) == 7
    assert 1 not in rows


def test_open_questions_can_be_answered_where_the_scope_is_signed() -> None:
    face = Typeface()
    scope = document().for_paper("scope")
    assert scope.questions
    last = lay_out(scope, "A4", face.measure)[-1]
    height = {text.partition(" for")[0]: y for _, y, text, *_ in last.texts}
    assert height["To confirm"] > height["signature"]
    asked = [rule for rule in last.rules if height["signature"] + 20.0 < min(rule[1], rule[3]) < height["To confirm"]]
    upright = [rule for rule in asked if rule[0] == rule[2]]
    long = [rule for rule in asked if rule[2] - rule[0] > 150.0]
    assert len(upright) == 2 * len(scope.questions)  # the two sides of a box
    assert len(long) == len(scope.questions)  # a line to write on


def test_price_stands_on_the_first_page_instead_of_small_plans() -> None:
    face = Typeface()
    columns = (Column("What"), Column("Amount", "XTS", "figure"))
    price = Table(
        "offer",
        "Price",
        columns,
        tuple((f"Item {k}", k) for k in range(9)),
        ("Sum of all", 36),
        papers=("scope",),
        audience=("client",),
    )
    plain = made("two storeys")
    priced = msgspec.structs.replace(plain, totals=(price, *plain.totals)).for_paper("scope")
    pages = lay_out(priced, "A4", face.measure)
    assert [any(item[2] == "Sum of all" for item in page.texts) for page in pages] == [
        True,
        *[False] * (len(pages) - 1),
    ]
    assert not pages[0].pictures
    assert priced.questions
    assert len(pages) <= 4  # a house with its price and with what is still open


def test_small_plans_have_no_marks_of_openings_to_check() -> None:
    face = Typeface()
    pages = lay_out(made("two storeys").for_paper("scope"), "A4", face.measure)
    small, large = pages[0].pictures, [found for page in pages[1:] for found in page.pictures]
    assert any("check" in picture.marks for _, _, picture in large)
    assert small
    assert not any("check" in picture.marks for _, _, picture in small)
    assert not any(caption.text == "?" for _, _, picture in small for caption in picture.captions)


@pytest.mark.parametrize("used_mm", range(180, 240, 2))
def test_heading_never_stands_alone_at_the_foot(used_mm: int) -> None:
    face = Typeface()
    flow = Flow((210.0, 297.0), face.measure, ("Job", "Scope"))
    flow.new_page()
    flow.y -= used_mm
    TableSetter(flow, table(5)).set()
    page = next(p for p in flow.pages if any(item[2] == "Many rows" for item in p.texts))
    assert any(item[2] == "Row 0" for item in page.texts)


def test_cell_longer_than_a_page_is_cut_with_a_mark() -> None:
    face = Typeface()
    flow = Flow((210.0, 297.0), face.measure, ("Job", "Scope"))
    flow.new_page()
    TableSetter(flow, Table("t", "T", (Column("What"), Column("Why")), (("x", "word " * 9000),))).set()
    words = [item[2] for page in flow.pages for item in page.texts]
    assert any(word.endswith("…") for word in words)
    assert min(item[1] for page in flow.pages for item in page.texts) > FOOT_MM - 5


def test_long_words_are_broken_and_long_names_cut() -> None:
    measure = Typeface().measure
    lines = wrap("x" * 400, 60.0, "regular", 9.5, measure)
    assert "".join(lines) == "x" * 400
    assert all(measure(line, "regular", 9.5) <= 60.0 for line in lines)
    assert cut("A long name of a room", 20.0, "regular", 9.5, measure).endswith("…")
    assert wrap("", 60.0, "regular", 9.5, measure) == [""]


def test_plan_too_large_for_the_paper_is_left_out_in_words() -> None:
    room = job_of.room("Hangar", job_of.rectangle(0, 0, 900_000, 400_000))
    texts = pages_text(pdf.pdf_bytes(document(Storey(id="s0", rooms=(room,)))))
    assert "too large for this paper" in texts[0]


def test_folder_that_cannot_be_written_is_told_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="could not be written"):
        pdf.write(document(), tmp_path / "missing" / "scope.pdf")


def test_file_is_written_whole(tmp_path: Path) -> None:
    pdf.write(document(), tmp_path / "scope.pdf", "A3")
    assert (tmp_path / "scope.pdf").read_bytes() == pdf.pdf_bytes(document(), "A3")
    assert len(list(tmp_path.iterdir())) == 1


def test_rows_of_dots_cover_their_box_and_share_one_raster() -> None:
    step = DOT_STEP_MM
    rows = pdf.dot_rows(2.0, 1.0, 7.0)
    assert rows[0][1] <= 1.0
    assert rows[-1][1] >= 7.0
    assert all(2.0 - 2 * step < x <= 2.0 for x, _ in rows)
    # a box further on has the same dots: whole steps lie between them
    for (x, y), (other, _) in zip(rows, pdf.dot_rows(50.0, 1.0, 7.0), strict=True):
        assert abs((other - x) / step - round((other - x) / step)) < 1e-9
        assert y == pytest.approx(round(y / (step / 2)) * step / 2)
    # each second row stands half a step along
    assert abs((rows[1][0] - rows[0][0]) / step % 1 - 0.5) < 1e-9


def test_coat_is_told_from_walls_in_grey() -> None:
    """The band is lighter than the wall and its dots are far darker than both (relative luminance, WCAG 2.2)."""

    def light(colour: str) -> float:
        parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    def contrast(a: str, b: str) -> float:
        brighter, darker = sorted((light(a), light(b)), reverse=True)
        return (brighter + 0.05) / (darker + 0.05)

    assert contrast(palette.COAT, palette.DOTS) > 3.0
    assert contrast(palette.WALL, palette.DOTS) > 3.0


def test_a_name_beyond_measure_is_cut_at_the_same_letter_in_few_steps() -> None:
    from takeoff.sheets.flow import cut

    asked: list[int] = []

    def measure(text: str, style: str, size: float) -> float:
        asked.append(len(text))
        return sum(2.0 if ch == "W" else 1.0 for ch in text)

    def one_by_one(text: str, width: float) -> str:
        kept = text
        while kept and measure(kept.rstrip() + "…", "", 1.0) > width:
            kept = kept[:-1]
        return kept.rstrip() + "…" if kept else ""

    for text in ("Kitchen and dining room", "WWW iii WWW", "a b c d e f g"):
        for tenths in range(10 * len(text)):
            if measure(text, "", 1.0) > tenths / 10:
                assert cut(text, tenths / 10, "", 1.0, measure) == one_by_one(text, tenths / 10)
    asked.clear()
    cut("W" * 50_000, 120.0, "", 1.0, measure)
    assert len(asked) < 20
    assert sum(asked) < 51_000
