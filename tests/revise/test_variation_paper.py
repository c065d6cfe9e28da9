"""The variation as paper: what it lists, that it closes, and what it says where nothing is known or nothing changes."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import msgspec
import openpyxl
import pypdfium2
import pytest

from takeoff.plan.price_terms import PriceTerms, RateOf
from takeoff.services.changed.comparing import Comparison, laid_over, read_as, with_refused
from takeoff.services.changed.variation_papers import variation_paper, write_variation
from takeoff.services.opened.opening import Opened, open_file
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.variation_picture import ALTERED_MM
from takeoff.sheets.work_papers import paper_bytes, paper_pages
from takeoff.views.comparing_seen import said_of

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def ground() -> Opened:
    return open_file(SAMPLES / "terrace_ground.dxf")


def against(opened: Opened, name: str) -> Comparison:
    return laid_over(opened, [read_as(opened.job, SAMPLES / f"{name}.dxf")])


def table(done: Comparison, name: str) -> Table:
    return next(one for one in variation_paper(done, "2031-05-20").tables if one.id == name)


def text_of(data: bytes) -> str:
    document = pypdfium2.PdfDocument(data)
    text = "".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return text


def test_what_is_unset_is_not_known(ground: Opened) -> None:
    done = against(ground, "terrace_ground_rev_b")
    rows = {row[0]: row for row in table(done, "price-of-change").rows}
    assert rows["Coat on walls"][-1] == "not known"
    assert table(done, "price-of-change").total is None


def test_the_change_is_priced_at_the_rates_of_the_job(ground: Opened) -> None:
    """Walls −1.08 × 40 = −43.20; reveals +0.50 × 60 = 30.00; bead +3.30 × 8 = 26.40; in all 13.20."""
    rates = (("walls", "40"), ("reveals", "60"), ("bead", "8"))
    terms = PriceTerms(rates=tuple(RateOf(item=item, price=price) for item, price in rates))  # type: ignore[arg-type]
    priced = msgspec.structs.replace(ground, job=msgspec.structs.replace(ground.job, price=terms))
    found = table(against(priced, "terrace_ground_rev_b"), "price-of-change")
    assert [row[-1] for row in found.rows] == [Decimal("-43.20"), Decimal("30.00"), Decimal("26.40")]
    assert found.total is not None
    assert found.total[-1] == Decimal("13.20")


def test_every_row_of_changes_closes(ground: Opened) -> None:
    found = table(against(ground, "terrace_ground_rev_b"), "changes")
    lines = [row for k, row in enumerate(found.rows) if found.kind_of(k) == "line"]
    assert len(lines) >= 4
    for _, _, old, new, added, omitted in lines:
        assert old + added - omitted == new  # type: ignore[operator]


def test_workings_show_the_lines_that_are_otherwise(ground: Opened) -> None:
    rows = table(against(ground, "terrace_ground_rev_b"), "workings").rows
    assert ("openings, deducted, window W7, wall C", "is", "0.900 × 1.200", Decimal("1.08")) in rows


def test_nothing_to_sign_where_nothing_changes(ground: Opened) -> None:
    done = against(ground, "terrace_ground")
    paper = variation_paper(done, "2031-05-20")
    assert paper.sign == ()
    assert paper.pictures == ()
    text = text_of(paper_bytes(paper, "A4"))
    assert "Nothing changes." in text
    assert "0 rooms" not in text
    assert said_of(done)[0] == "Nothing changes."


def test_files_are_written_and_hold_the_same_figures(ground: Opened, tmp_path: Path) -> None:
    done = against(ground, "terrace_ground_rev_b")
    written = write_variation(done, tmp_path / "out", accept=True, page="A4", date="2031-05-20")
    assert [path.name for path in written] == ["variation.pdf", "variation.xlsx", "difference.json", "job.json"]
    text = text_of((tmp_path / "out" / "variation.pdf").read_bytes())
    assert "31.46" in text
    assert "Client, date and signature" in text
    book = openpyxl.load_workbook(tmp_path / "out" / "variation.xlsx")
    cells = [cell for row in book["What changes"].iter_rows(values_only=True) for cell in row]
    assert 31.46 in cells
    again = open_file(tmp_path / "out" / "job.json")
    assert again.job.storeys == done.compared.job.storeys


def test_signatures_never_stand_alone(ground: Opened) -> None:
    """What is agreed stands on the page of the signatures, whatever the paper."""
    for size in ("A4", "A3", "Letter"):
        document = pypdfium2.PdfDocument(paper_bytes(variation_paper(against(ground, "terrace_ground_rev_b")), size))
        last = [page.get_textpage().get_text_range() for page in document][-1]
        document.close()
        assert "Client, date and signature" in last
        assert "The changes listed above" in last


def test_added_omitted_and_altered_are_told_apart_in_black_and_white(ground: Opened) -> None:
    """No two of them have the same stroke, dash and direction; words and numbers stand on paper, not on a hatch."""
    first = open_file(SAMPLES / "terrace_first.dxf")
    picture = variation_paper(against(first, "terrace_first_rev_b"), "2031-05-20").pictures[1][1]
    hatches = [s for s in picture.shapes if not s.closed and s.width_mm == 0.18]
    rising = [s for s in hatches if all(b[1] > a[1] and b[0] > a[0] for a, b in s.paths)]
    falling = [s for s in hatches if all((b[1] - a[1]) * (b[0] - a[0]) < 0 for a, b in s.paths)]
    assert rising
    assert falling
    assert len(rising) + len(falling) == len(hatches)
    assert all(s.dash_mm == () for s in rising)
    assert all(s.dash_mm for s in falling)
    outlines = [s for s in picture.shapes if s.closed and s.width_mm == ALTERED_MM]
    assert len(outlines) == 2  # bathroom and bedroom 2
    papers = [s for s in picture.shapes if s.fill]
    assert len(papers) == len(picture.captions)


def test_a_refused_room_has_no_price_and_stays_listed(ground: Opened) -> None:
    whole = against(ground, "terrace_ground_rev_b")
    done = with_refused(whole, {room.room for room in whole.compared.difference.changed})
    assert done.compared.job.storeys == ground.job.storeys
    paper = variation_paper(done, "2031-05-20")
    refused = next(one for one in paper.tables if one.id == "refused")
    assert ("Walls", "m²", Decimal("0.00"), Decimal("1.08")) in refused.rows


def test_additions_and_omissions_are_priced_apart() -> None:
    """First floor: walls +1.20 of the bathroom and +0.60 −0.60 of bedroom 2, at 40: 72.00 less 24.00 is 48.00."""
    opened = open_file(SAMPLES / "terrace_first.dxf")
    terms = PriceTerms(rates=(RateOf(item="walls", price="40"),))
    priced = msgspec.structs.replace(opened, job=msgspec.structs.replace(opened.job, price=terms))
    rows = {row[0]: row for row in table(against(priced, "terrace_first_rev_b"), "price-of-change").rows}
    amounts = ("1.80", "0.60", "40", "72.00", "24.00", "48.00")
    assert rows["Coat on walls"][2:] == tuple(Decimal(one) for one in amounts)


def test_plans_stand_beside_one_another_where_there_is_width(ground: Opened) -> None:
    """Two plans of 52 mm in a page of 180 mm are in one row, each under its title; none lies over another."""
    paper = variation_paper(against(ground, "terrace_ground_rev_b"), "2031-05-20")
    [key, plan] = paper.pictures
    twice = msgspec.structs.replace(paper, pictures=(key, plan, ("Another storey", plan[1]), ("A third", plan[1])))
    pages = paper_pages(twice, Typeface().measure, "A4")
    placed = pages[0].pictures
    assert len(placed) == 4
    lefts, lows = [x for x, _, _ in placed[1:]], {y for _, y, _ in placed[1:]}
    assert len(lows) == 1
    assert all(b - a >= plan[1].width_mm for a, b in pairwise(lefts))
    assert lefts[-1] + plan[1].width_mm <= 195.0
    titles = {text[2]: text for text in pages[0].texts}
    assert titles["Another storey"][0] == lefts[1]
    assert titles["Another storey"][1] == pytest.approx(titles[plan[0]][1])
