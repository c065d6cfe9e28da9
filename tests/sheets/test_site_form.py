"""The blank form: everything within the page, in the order in which it is keyed."""

from pathlib import Path

import pypdfium2
import pytest

from takeoff.errors import InputError
from takeoff.language import use_language
from takeoff.plan.site_check import SiteCheck, SiteLimits
from takeoff.services.written.writing import write_form, write_today_form
from takeoff.sheets import palette
from takeoff.sheets.flow import SIZES_MM, Page
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.site_check_forms import HUMIDITIES, check_page, load_check_texts, today_page
from takeoff.sheets.site_form import form_pages, load_texts


@pytest.mark.parametrize("paper", ["A4", "A3"])
def test_everything_stands_within_the_page_and_above_its_foot(paper):
    face = Typeface()
    page, _ = form_pages(paper, 1, face.measure, "A job with a name that is much too long for its line " * 3)
    wide, tall = SIZES_MM[paper]
    foot = load_texts().foot
    for x, y, text, style, size, _ in page.texts:
        assert x >= 15.0, text
        assert x + face.measure(text, style, size) <= wide - 15.0 + 0.01, text
        assert 17.0 <= y <= tall - 10.0 or text == foot, text
        assert size >= palette.SMALLEST_PT
    assert not face.replaced
    for x0, y0, x1, y1, _, _ in page.rules:
        assert min(x0, x1) >= 15.0
        assert max(x0, x1) <= wide - 14.9
        assert min(y0, y1) >= 15.0
        assert max(y0, y1) <= tall - 10.0


def test_parts_stand_in_the_order_in_which_they_are_keyed():
    texts = load_texts()
    page, _ = form_pages("A4", 1, Typeface().measure)
    places = {text: (-y, x) for x, y, text, *_ in page.texts}
    order = [texts.room, texts.height, "A–B", "B–C", "I–J", texts.openings, texts.diagonals]
    assert sorted(order, key=lambda text: places[text]) == order


def test_no_two_texts_lie_over_each_other():
    face = Typeface()
    page, _ = form_pages("A4", 1, face.measure, "14 Invented Terrace")
    boxes = [
        (x, y, x + face.measure(text, style, size), y + 0.7 * size * palette.PT_MM, text)
        for x, y, text, style, size, _ in page.texts
    ]
    for n, one in enumerate(boxes):
        for other in boxes[:n]:
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, (one[4], other[4])


def test_two_pages_for_each_room(tmp_path: Path):
    write_form(tmp_path / "form.pdf", "A4", 3, "Invented Lane")
    made = pypdfium2.PdfDocument(tmp_path / "form.pdf")
    assert len(made) == 6
    text = made[1].get_textpage().get_text_range()
    assert "Page 2 of 6" in text
    assert "Invented Lane" in text
    made.close()


@pytest.mark.parametrize("rooms", [0, -1, 201])
def test_a_number_of_rooms_that_nobody_reads_is_refused(tmp_path: Path, rooms):
    with pytest.raises(InputError, match="1 to 200"):
        write_form(tmp_path / "form.pdf", rooms=rooms)
    assert list(tmp_path.iterdir()) == []


def _pages_of_the_check(paper: str, face: Typeface) -> list[Page]:
    """The second page of a room, and the page that asks whether to coat."""
    name = "A job with a name that is much too long for its line " * 3
    return [check_page(paper, 2, 2, face.measure, name), today_page(paper, face.measure, name)]


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_pages_of_the_site_check_stand_within_the_paper_and_over_nothing(paper, language):
    use_language(language)
    try:
        face = Typeface()
        foot = load_check_texts().foot
        for page in _pages_of_the_check(paper, face):
            wide, tall = SIZES_MM[paper]
            boxes = []
            for x, y, text, style, size, _ in page.texts:
                assert x >= 15.0, text
                right = x + face.measure(text, style, size)
                assert right <= wide - 15.0 + 0.01, text
                assert 17.0 <= y <= tall - 10.0 or text in foot, text
                assert size >= palette.SMALLEST_PT
                boxes.append((x, y, right, y + 0.7 * size * palette.PT_MM, text))
            for n, one in enumerate(boxes):
                for other in boxes[:n]:
                    apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
                    assert apart or not one[4].strip() or not other[4].strip(), (one[4], other[4])
    finally:
        use_language("en")


def test_dew_points_and_limits_are_those_of_the_site_check():
    """20 °C and 60 %: 12.0 °C; the job's own limit of the surface stands in place of the usual 10 °C."""
    face = Typeface()
    check = SiteCheck(limits=SiteLimits(low=(("surface", 12.0),)))
    texts = [text for _, _, text, *_ in today_page("A4", face.measure, "", check).texts]
    row = texts.index("20")
    assert texts[row + 1 + HUMIDITIES.index(60)] == "12.0"
    assert "at least 12 °C" in texts
    assert "at most 60 %" in texts
    assert "at least 3 K" in texts


def test_page_for_today_is_one_page(tmp_path: Path):
    write_today_form(tmp_path / "today.pdf", "A4", "Invented Lane")
    made = pypdfium2.PdfDocument(tmp_path / "today.pdf")
    assert len(made) == 1
    text = made[0].get_textpage().get_text_range()
    assert "May we coat today?" in text
    assert "Never cover a vent, flue or alarm" in text
    made.close()
