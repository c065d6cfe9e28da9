"""Plans with so much on them that marks would lie over one another, or the whole would be too small to be read."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from takeoff.plan.model import Job, Opening, OpeningId, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets import captions, pdf
from takeoff.sheets.drawn import draw
from takeoff.sheets.picture import Asked, apart, half_diamond
from takeoff.sheets.sheet_values import Plan, PlanRoom
from takeoff.storage.jobs import dump


def measure_text(text: str, style: str, size: float) -> float:
    return len(text) * size * 0.2


def room(name: str, x: float, y: float, wide: float, deep: float) -> Room:
    corners = ((x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep))
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=a, y_mm=b) for k, (a, b) in enumerate(corners))
    return Room(id=RoomId(name), name=name, outline=outline)


def long_house(rooms: int = 40) -> Job:
    """Cells 3 × 4 m in one row of 124 m, with three openings in question beside each other in each."""
    made = tuple(room(f"Cell {k}", k * 3100.0, 0.0, 3000.0, 4000.0) for k in range(rooms))
    openings = tuple(
        Opening(id=OpeningId(f"{r.id}.{n}"), kind="window", room=r.id, side=SideId("s0"), offset_mm=300.0 + 900.0 * n,
                width_mm=600.0, sill_mm=900.0, head_mm=2100.0, confidence="question")
        for r in made for n in range(3)
    )  # fmt: skip
    return Job(
        storeys=(Storey(id=StoreyId("g"), height_mm=2400.0, height_source="typed", rooms=made, openings=openings),)
    )


def test_marks_over_one_another_are_one_with_their_number() -> None:
    """Three within 2 mm, a diamond being 5.2 mm wide, and one far off."""
    found = apart([(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (50.0, 0.0)], measure_text)
    assert sorted((round(mark.x_mm, 6), mark.count) for mark in found) == [(1.0, 3), (50.0, 1)]
    assert apart([], measure_text) == ()
    assert apart([(3.0, 4.0)], measure_text) == (Asked(3.0, 4.0),)


@pytest.mark.parametrize("step", [0.5, 2.0, 5.0, 6.0])
def test_no_mark_lies_over_another_and_none_is_lost(step: float) -> None:
    points = [(step * i, step * j * 0.7) for i in range(12) for j in range(9)]
    found = apart(points, measure_text)
    assert sum(mark.count for mark in found) == len(points)
    for one, other in itertools.combinations(found, 2):
        away = abs(one.x_mm - other.x_mm) + abs(one.y_mm - other.y_mm)
        assert away > half_diamond(one.count, measure_text) + half_diamond(other.count, measure_text)


def test_a_plan_that_would_be_too_small_has_a_larger_page(tmp_path: Path) -> None:
    """124 m are 248 mm at 1 : 500, and 620 mm at 1 : 200: A1 on its side, 841 mm."""
    path = tmp_path / "long.job.json"
    path.write_bytes(dump(long_house()))
    done = measure_job(open_file(path))
    for reader in ("scope", "site"):
        pages = pypdfium2.PdfDocument(pdf.pdf_bytes(document(done, "2031-05-20"), "A4", reader))  # type: ignore[arg-type]
        sizes = [tuple(round(side * 25.4 / 72) for side in page.get_size()) for page in pages]
        texts = [page.get_textpage().get_text_range() for page in pages]
        assert sizes[0] == (210, 297)
        assert [size for size in sizes if size[0] > 300] == [(841, 594)]
        plan = texts[sizes.index((841, 594))]
        assert "1 : 200" in plan
        assert "1 : 500" not in plan
        assert "Cell 39" in plan
        assert "3?" in plan or plan.count("?") >= 120


def test_a_house_keeps_its_paper(tmp_path: Path) -> None:
    """Two cells are 6.1 m: every page is A4, upright or on its side."""
    path = tmp_path / "short.job.json"
    path.write_bytes(dump(long_house(2)))
    done = measure_job(open_file(path))
    pages = pypdfium2.PdfDocument(pdf.pdf_bytes(document(done, "2031-05-20"), "A4", "site"))
    assert {tuple(sorted(round(side * 25.4 / 72) for side in page.get_size())) for page in pages} == {(210, 297)}


def star(corners: int) -> list[tuple[float, float]]:
    """A room of 10 m whose so many sides run in and out."""
    turns = [(4000.0 + 900.0 * (k % 2), 2 * math.pi * k / corners) for k in range(corners)]
    return [(round(5000 + r * math.cos(t), 1), round(5000 + r * math.sin(t), 1)) for r, t in turns]


def star_plan(corners: int) -> Plan:
    points = [(x, y, 0.0) for x, y in star(corners)]
    sides = tuple(itertools.pairwise([*points, points[0]]))
    drawn = PlanRoom(id="star", rings=(tuple(points),), coat=sides, parts=(), open_sides=(), name="Star", figure="",
                     letters=tuple((side, f"W{k}") for k, side in enumerate(sides)))  # fmt: skip
    return Plan("g", "Plan", rooms=(drawn,))


def test_letters_of_a_thousand_walls_take_no_more_tries_than_of_a_few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twenty walls of 1.6 to 1.7 m all have their letters at 1 : 50; a thousand in a ring of 10 m have not.

    A letter is tried from three feet on two grounds, first clear and then crossing: 12 tries; 24 letters at most
    make 288. Before, every letter of a thousand was tried, against all that is written at once.
    """
    counted: list[int] = []
    true_end = captions._leader_end

    def leader_end(*given: Any) -> Any:
        counted.append(1)
        return true_end(*given)

    monkeypatch.setattr(captions, "_leader_end", leader_end)
    few = draw(star_plan(20), 50, measure_text)
    assert few.unlettered == 0
    assert len(counted) <= 20
    counted.clear()
    many = draw(star_plan(1000), 50, measure_text)
    assert 3 <= len(counted) <= 288
    written = sum(caption.text.startswith("W") for caption in many.captions)
    assert written + many.unlettered == 1000
    assert many.unlettered >= 500


def test_the_sheet_says_how_many_walls_have_no_letter(tmp_path: Path) -> None:
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(star(200)))
    made = Room(id=RoomId("star"), name="Star", outline=outline)
    path = tmp_path / "star.job.json"
    path.write_bytes(
        dump(Job(storeys=(Storey(id=StoreyId("g"), height_mm=2400.0, height_source="typed", rooms=(made,)),)))
    )
    done = document(measure_job(open_file(path)), "2031-05-20")
    pages = pypdfium2.PdfDocument(pdf.pdf_bytes(done, "A4", "site"))
    text = " ".join(" ".join(page.get_textpage().get_text_range() for page in pages).split())
    said = re.search(r"Walls without room for a letter on the plan: (\d+)\.", text)
    assert said is not None
    assert 50 <= int(said[1]) < 200
