"""Text on a page becomes labels: joined into words and lines, where it stands and as it is turned."""

from __future__ import annotations

from pathlib import Path

import pytest
from pdf_making import MM, Sheet, raw_pdf
from reportlab.pdfgen.canvas import Canvas

from takeoff.drawing.model import Label
from takeoff.readers import pdf


def labels_of(path: Path, draw: object) -> tuple[Label, ...]:
    canvas = Canvas(str(path / "words.pdf"), pagesize=(200 * MM, 100 * MM))
    canvas.line(0, 0, 100, 100)
    draw(canvas)  # type: ignore[operator]
    canvas.save()
    return pdf.read(path / "words.pdf")[0].labels


def test_a_line_of_text_is_one_label_at_its_middle(tmp_path: Path) -> None:
    def draw(c: Canvas) -> None:
        c.setFont("Helvetica", 10)
        c.drawCentredString(100 * MM, 50 * MM, "Living room 28.2 m²")

    (label,) = labels_of(tmp_path, draw)
    assert label.text == "Living room 28.2 m²"
    assert (label.x, label.y) == pytest.approx((100.0, 50.0 + 0.35 * 10 / MM), abs=0.2)
    assert label.height == pytest.approx(7.0 / MM, abs=0.01)
    assert label.rotation_deg == pytest.approx(0.0)


@pytest.mark.parametrize("angle", [90, 180, 270, 17, 45])
def test_turned_text_keeps_its_words_and_its_angle(tmp_path: Path, angle: int) -> None:
    def draw(c: Canvas) -> None:
        c.translate(100 * MM, 50 * MM)
        c.rotate(angle)
        c.setFont("Helvetica", 10)
        c.drawCentredString(0, -3.5, "Kitchen 3450")

    (label,) = labels_of(tmp_path, draw)
    assert label.text == "Kitchen 3450"
    assert label.rotation_deg == pytest.approx(angle, abs=0.5)
    assert (label.x, label.y) == pytest.approx((100.0, 50.0), abs=1.0)


def test_letters_set_one_by_one_are_joined_and_columns_stay_apart(tmp_path: Path) -> None:
    def draw(c: Canvas) -> None:
        c.setFont("Helvetica", 10)
        x = 50.0
        for letter in "Door":
            c.drawString(x, 100, letter)
            x += c.stringWidth(letter, "Helvetica", 10)
        c.drawString(x + 4, 100, "list")
        c.drawString(x + 150, 100, "Window")
        c.drawString(50, 80, "second line")

    assert [v.text for v in labels_of(tmp_path, draw)] == ["Door list", "Window", "second line"]


def test_a_small_raised_two_is_square_metres(tmp_path: Path) -> None:
    def draw(c: Canvas) -> None:
        c.setFont("Helvetica", 10)
        c.drawString(50, 100, "12.4 m")
        x = 50 + c.stringWidth("12.4 m", "Helvetica", 10)
        c.setFont("Helvetica", 6)
        c.drawString(x, 104, "2")

    assert [v.text for v in labels_of(tmp_path, draw)] == ["12.4 m²"]


def test_text_on_a_turned_page_is_read_as_it_is_looked_at(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path / "turned.pdf", 1.0, page_mm=(100.0, 200.0), corner_mm=(0.0, 0.0))
    sheet.canvas.setPageRotation(90)
    sheet.line(0, 0, 50, 50)
    sheet.words(50, 100, "Hall", turned=True)
    (label,) = pdf.read(sheet.done())[0].labels
    assert label.text == "Hall"
    assert label.rotation_deg == pytest.approx(0.0, abs=0.1)
    assert (label.x, label.y) == pytest.approx((100.0, 150.0), abs=0.3)  # the library turns the page itself


def test_words_kept_in_annotations_beside_drawn_letters_are_read(tmp_path: Path) -> None:
    path = raw_pdf(
        tmp_path / "notes.pdf",
        b"0 0 m 90 90 l S",
        page="/MediaBox [0 0 720 360] /Annots [5 0 R 6 0 R]",
        extra=(
            b"<< /Type /Annot /Subtype /Square /Rect [72 72 144 90] /T (SHX Text) /Contents (BATH) >>",
            b"<< /Type /Annot /Subtype /Text /Rect [0 0 20 20] /T (Site office) /Contents (look) >>",
        ),
    )
    (label,) = pdf.read(path)[0].labels
    assert (label.text, label.x, label.y) == ("BATH", pytest.approx(38.1), pytest.approx(28.575))


def test_of_several_pages_the_one_that_says_it_is_a_floor_plan_is_read(tmp_path: Path) -> None:
    """Elevations have more lines; a cover lists the sheets and has few."""
    canvas = Canvas(str(tmp_path / "set.pdf"), pagesize=(420 * MM, 297 * MM), invariant=1)
    for words, lines in (("Sheets: floor plan, elevations", 30), ("Front elevation", 900), ("GROUND FLOOR PLAN", 400)):
        canvas.drawString(50, 50, words)
        for k in range(lines):
            canvas.line(100 + k % 40, 100 + k, 700 - k % 30, 100 + k)
        canvas.showPage()
    canvas.save()
    _, found = pdf.read(tmp_path / "set.pdf")
    told = next(f for f in found if f.code == "page-chosen")
    assert "Page 3" in told.text
    assert "2 (1,800 lines)" in (told.evidence or "")
