"""Two plans at two scales on one sheet: the one that was read at the other's scale is asked about."""

from __future__ import annotations

from pathlib import Path

import invented
import numpy as np
import pytest
from invented_sheets import BY_WEIGHT, Hand, Sheet, _bounds, _frame, _save, draw
from test_invented_sheets import rooms_of
from test_rooms_found import area_m2

from takeoff.services.opened.opening import open_file

HAND = Hand("two scales", BY_WEIGHT, scale_words="Scale 1:100, 1:50 @ {paper}")


def two_plans(path: Path, areas: bool, titles: bool = True) -> tuple[invented.Plan, invented.Plan]:
    """A plan at 1:100 to the left and one at 1:50 to the right, titled below."""
    plans = invented.plan(100, "bodies"), invented.plan(1, "boxes")
    sheet = Sheet(HAND, 100.0, "A0", plans[0])
    _frame(sheet)
    where = ((100.0, -300, "Ground floor"), (50.0, 250, "Annex"))
    for plan, (scale, off, title) in zip(plans, where, strict=True):
        if not areas:
            plan.texts = [text for text in plan.texts if "m²" not in text[0]]
        own = Sheet(HAND, scale, "A0", plan)
        own.shift, own.ops = own.shift + np.array([off, 0.0]), sheet.ops
        draw(own, plan)
        if titles:
            below = _bounds(plan)[0][1] / scale + own.shift[1] - 15.0
            sheet.on_paper(594.5 + off, below, f"{title} 1:{scale:.0f}")
    _save(sheet, path)
    return plans


@pytest.mark.parametrize(("scale", "wrong"), [("1:100", 1), ("1:50", 0)])
def test_rooms_of_the_plan_at_the_other_scale_are_a_question(scale: str, wrong: int, tmp_path: Path) -> None:
    plans = two_plans(tmp_path / "two.pdf", areas=False)
    found = open_file(tmp_path / "two.pdf", scale=scale)
    areas = [{round(t.area_m2, 1) for t in plan.rooms} for plan in plans]
    sure = [r for r in rooms_of(found) if r.confidence == "sure"]
    assert len(sure) > 10
    assert all(round(area_m2(r), 1) in areas[1 - wrong] for r in sure)
    (told,) = [f for f in found.findings if f.code == "plan-at-other-scale"]
    assert f"open it again at {'1:50' if wrong else '1:100'}" in f"{told.text} {told.evidence}"


def test_without_titles_no_room_of_a_sheet_of_several_scales_is_sure(tmp_path: Path) -> None:
    two_plans(tmp_path / "two.pdf", areas=False, titles=False)
    found = open_file(tmp_path / "two.pdf", scale="1:100")
    assert {r.confidence for r in rooms_of(found)} <= {"check", "question"}


def test_printed_areas_prove_their_rooms_all_the_same(tmp_path: Path) -> None:
    plans = two_plans(tmp_path / "two.pdf", areas=True)
    found = open_file(tmp_path / "two.pdf", scale="1:50")
    annex = {round(t.area_m2, 1) for t in plans[1].rooms}
    sure = [r for r in rooms_of(found) if r.confidence == "sure"]
    assert len(sure) > 10
    assert all(round(area_m2(r), 1) in annex for r in sure)


def test_two_rooms_whose_areas_agree_prove_the_scale_of_their_plan(tmp_path: Path) -> None:
    """A title block that names the scale of details too; only two rooms of the plan print their areas."""
    plan = invented.plan(100, "bodies")
    areas = [text for text in plan.texts if "m²" in text[0]]
    plan.texts = [text for text in plan.texts if text not in areas[2:]]
    sheet = Sheet(Hand("details too", BY_WEIGHT, scale_words="Scale 1:100, 1:5"), 100.0, "A1", plan)
    _frame(sheet)
    draw(sheet, plan)
    _save(sheet, tmp_path / "one.pdf")
    sure = [r for r in rooms_of(open_file(tmp_path / "one.pdf", scale="1:100")) if r.confidence == "sure"]
    assert len(sure) > 3
