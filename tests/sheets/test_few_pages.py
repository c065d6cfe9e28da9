"""Site sheets of a house take few pages: cards side by side where that saves one, nothing in the foot, text to read."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import invented_job as job_of
import msgspec
import pytest

from takeoff.language import use_language, use_region
from takeoff.plan.model import Job, Opening, Storey
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.opening import Opened
from takeoff.services.written.writing import document, for_paper
from takeoff.sheets.card_pages import put_cards
from takeoff.sheets.flow import FOOT_MM, SIZES_MM, Flow, Page
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import CardFace, Line, RoomCard

SPOKEN = [("en", "GB"), ("de", "DE")]


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    yield
    use_language("en")
    use_region("")


def house_storey(key: str, floor: str) -> Storey:
    """Seven rooms, a porch of twelve sides among them, each with a window or a door that is in question."""
    notched = [(0.0, 0.0), (2260.0, 0.0), (2260.0, 625.0), (2035.0, 625.0), (2035.0, 1760.0), (2260.0, 1760.0)]
    notched += [(2260.0, 2385.0), (0.0, 2385.0), (0.0, 1760.0), (225.0, 1760.0), (225.0, 625.0), (0.0, 625.0)]
    plans = {
        "Porch": notched,
        "Store": job_of.rectangle(2500, 0, 3900, 2350),
        "Study": job_of.rectangle(4000, 0, 6487, 2350),
        "Kitchen": job_of.rectangle(0, 2600, 5444, 6293),
        "Stair": job_of.rectangle(0, 6400, 5444, 8610),
        "Dining room": job_of.rectangle(5600, 2600, 9637, 6303),
        "Living room": job_of.rectangle(5600, 6400, 9637, 10426),
    }
    rooms = tuple(job_of.room(f"{floor} {room}", corners) for room, corners in plans.items())
    openings: list[Opening] = []
    for number, room in enumerate(rooms):
        if number >= 3:
            openings.append(job_of.window(f"{key}-w{number}", room.id, "a", 600, 1400))
            openings.append(
                job_of.door(f"{key}-d{number}", room.id, "c", 900, confidence="check", evidence=("no arc",))
            )
    return Storey(id=key, name=f"{floor} floor", rooms=rooms, openings=tuple(openings))


@pytest.fixture(scope="module")
def house() -> Measured:
    job = Job(name="Invented house", storeys=(house_storey("s0", "Ground"), house_storey("s1", "Upper")))
    return measure_job(Opened(Path("house.job.json"), "job", job, ()))


def pages_of(measured: Measured, size: str) -> list[Page]:
    sheets = for_paper(document(measured, "2031-05-20"), measured, "site").for_paper("site")
    return lay_out(sheets, size, Typeface().measure)


@pytest.mark.parametrize(("spoken", "region"), SPOKEN)
def test_site_sheets_of_a_house_of_fourteen_rooms_take_six_pages(house: Measured, spoken: str, region: str) -> None:
    use_language(spoken)
    use_region(region)
    pages = pages_of(house, "A4")
    titles = [title for page in pages for title in page.outline]
    assert len(house.takeoff.rooms) == 14
    assert sum(any(title.endswith(room.name) for title in titles) for room in house.takeoff.rooms) == 14
    assert len(pages) <= 6


@pytest.mark.parametrize("size", list(SIZES_MM))
@pytest.mark.parametrize(("spoken", "region"), SPOKEN)
def test_cards_stand_above_the_foot_within_the_margins_and_large_enough(
    house: Measured, spoken: str, region: str, size: str
) -> None:
    use_language(spoken)
    use_region(region)
    measure = Typeface().measure
    for page in pages_of(house, size):
        captions = (caption.size_pt for *_, picture in page.pictures for caption in picture.captions)
        assert min(*(item[4] for item in page.texts), *captions, 99.0) >= 7.5
        for x, y, text, style, pt, _ in page.texts:
            assert x + measure(text, style, pt) <= page.width_mm - 14.9, text
            assert y > FOOT_MM - 0.1 or y < 18.0, text
        for x, y, picture in page.pictures:
            assert x + picture.width_mm <= page.width_mm - 14.9
            assert y > FOOT_MM - 0.1


def test_a_table_after_a_long_first_page_keeps_its_head_above_the_foot(house: Measured) -> None:
    """So many lines that the storeys' table begins anywhere on the page, at its very end too."""
    sheets, measure = document(house, "2031-05-20").for_paper("scope"), Typeface().measure
    assert sheets.summary is not None
    heads = {word for column in sheets.summary.columns for word in column.title.split()}
    for count in range(20, 48):
        lines = tuple(Line(f"Line {k}", "Said of the job.") for k in range(count))
        first, *_ = lay_out(msgspec.structs.replace(sheets, lines=lines), "A4", measure)
        assert [text for _, y, text, *_ in first.texts if y < FOOT_MM and heads & set(text.split())] == []


def card(number: int, walls: int, length_mm: float, name: str = "Room") -> RoomCard:
    ring = ((0.0, 0.0), (length_mm, 0.0), (length_mm, 2400.0), (0.0, 2400.0))
    face = CardFace("A  4 m", length_mm, 0.0, 2400.0, (ring,), (ring,), ())
    return RoomCard(
        f"r{number}", f"{name} {number}", "12.0 m² to coat", (Line("To read", "moisture"),), (face,) * walls
    )


def set_cards(cards: list[RoomCard]) -> Flow:
    flow = Flow(SIZES_MM["A4"], Typeface().measure, ("Job", "Site sheets"))
    put_cards(flow, cards)
    return flow


def boxes(page: Page) -> list[tuple[float, float, float, float]]:
    return [(x, y, x + picture.width_mm, y + picture.height_mm) for x, y, picture in page.pictures]


@pytest.mark.parametrize("count", [1, 2, 5, 13, 40])
def test_no_walls_of_cards_lie_over_one_another(count: int) -> None:
    flow = set_cards([card(k, 4, 900.0 + 700.0 * (k % 7)) for k in range(count)])
    assert sum(len(page.pictures) for page in flow.pages) == count
    for page in flow.pages:
        found = boxes(page)
        for k, (x0, y0, x1, y1) in enumerate(found):
            for a0, b0, a1, b1 in found[k + 1 :]:
                assert x1 <= a0 or a1 <= x0 or y1 <= b0 or b1 <= y0


def test_cards_stand_side_by_side_where_that_saves_a_page_and_large_where_it_does_not() -> None:
    few, many = set_cards([card(k, 4, 2000.0) for k in range(2)]), set_cards([card(k, 4, 2000.0) for k in range(12)])
    assert {x for x, *_ in few.pages[0].pictures} == {15.0}
    assert few.pages[0].pictures[0][2].scale == 50
    assert len({x for x, *_ in many.pages[0].pictures}) == 2
    assert (len(few.pages), len(many.pages)) == (1, 2)


def test_a_wall_too_long_for_a_column_has_the_whole_width() -> None:
    """A column of A4 is (180 - 8) / 2 = 86 mm wide: 12.9 m at 1:150."""
    cards = [card(k, 4, 2000.0) for k in range(12)]
    cards.insert(2, card(99, 1, 14000.0))
    wide = [picture for page in set_cards(cards).pages for *_, picture in page.pictures if picture.width_mm > 86.0]
    assert len(wide) == 1


def test_a_long_name_stands_in_several_lines_and_is_not_cut() -> None:
    name = "Room towards the long north corridor beside the boiler"
    for count in (1, 24):
        flow = set_cards([card(k, 4, 2000.0, name) for k in range(count)])
        text = " ".join(item[2] for page in flow.pages for item in page.texts)
        assert "boiler 0" in text
        assert "…" not in text
