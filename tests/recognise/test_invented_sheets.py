"""Invented plans on PDF sheets in every pen: rooms are found, or asked about, and no wrong one is sure."""

from __future__ import annotations

import os
from pathlib import Path

import invented
import invented_office
import pytest
import shapely
from invented_sheets import HANDS, Hand, write
from test_invented_plans import shape
from test_rooms_found import area_m2

from takeoff.plan.model import Room
from takeoff.services.opened.opening import Opened, open_file

NEAR_SHARE = 0.005
STYLES = ("bodies", "jambs", "columns", "glazed", "boxes", "pieces", "single", "office")
FILLED = ("bodies", "columns", "glazed", "boxes", "office")
"""Those whose walls are closed outlines, which can be filled."""
EACH = int(os.environ.get("INVENTED_SHEETS", "2"))
"""Plans in each hand; 8 for all styles."""
SHEETS = [
    (hand, (FILLED if hand.fill is not None else STYLES)[(k + n) % (5 if hand.fill is not None else 8)])
    for k, hand in enumerate(HANDS)
    for n in range(EACH)
]


def plan_of(style: str, number: int = 100) -> invented.Plan:
    """An invented plan; its number goes with its style."""
    if style == "office":
        return invented_office.office(3)
    return invented.plan(number + STYLES.index(style), style)


def opened(plan: invented.Plan, hand: Hand, path: Path) -> tuple[Opened, list[shapely.Polygon]]:
    truth = write(plan, hand, path)
    return open_file(path, scale="1:100" if hand.words == "strokes" else None), truth


def rooms_of(found: Opened) -> list[Room]:
    return [room for storey in found.job.storeys for room in storey.rooms]


def split(rooms: list[Room], truth: list[shapely.Polygon]) -> tuple[list[Room], list[Room], int]:
    """(rooms that are true, those that are not, how many true ones are missed)"""
    shapes = [shape(room.outline) for room in rooms]
    good: set[int] = set()
    for true in truth:
        for k, own in enumerate(shapes):
            if (
                own.intersection(true).area > 0.95 * true.area
                and abs(area_m2(rooms[k]) * 1e6 - true.area) <= NEAR_SHARE * true.area
            ):
                good.add(k)
    return [rooms[k] for k in sorted(good)], [r for k, r in enumerate(rooms) if k not in good], len(truth) - len(good)


def told_apart(hand: Hand, style: str) -> bool:
    """Whether the sheet shows what is wall: by layers, by weight, or by what is filled; or is without
    furniture that could as well be walls."""
    return hand.layers or len(hand.pens) > 1 or hand.fill is not None or not hand.fitted_furniture


@pytest.mark.parametrize(("hand", "style"), SHEETS, ids=[f"{h.name}-{s}" for h, s in SHEETS])
def test_sheet_gives_its_rooms_or_asks(hand: Hand, style: str, tmp_path: Path) -> None:
    plan = plan_of(style)
    found, truth = opened(plan, hand, tmp_path / "sheet.pdf")
    assert found.drawing is not None
    assert found.drawing.unit_mm == 100.0
    _, wrong, missed = split(rooms_of(found), truth)
    assert [(r.name, r.evidence) for r in wrong if r.confidence == "sure"] == []
    if told_apart(hand, style):
        assert missed <= 0.05 * len(truth)
        # Where letters cannot be read, the box of the title block could be a room.
        assert len(wrong) <= 0.05 * len(truth) + (hand.words == "strokes")


def test_furniture_along_walls_in_the_pen_of_the_walls_is_found_by_printed_areas(tmp_path: Path) -> None:
    hand = next(h for h in HANDS if h.name == "one pen, furniture along walls")
    plan = plan_of("boxes")
    found, truth = opened(plan, hand, tmp_path / "sheet.pdf")
    good, wrong, _ = split(rooms_of(found), truth)
    assert len(good) >= 0.8 * len(truth)
    assert all(r.confidence != "sure" for r in wrong)


@pytest.mark.parametrize("style", ["bodies", "jambs", "columns", "boxes"])
@pytest.mark.parametrize("name", ["one pen", "layers", "filled walls"])
def test_a_sheet_and_its_drawing_give_the_same_rooms(name: str, style: str, tmp_path: Path) -> None:
    hand = next(h for h in HANDS if h.name == name)
    if hand.fill is not None and style not in FILLED:
        pytest.skip("its walls are no closed outlines")
    plan = plan_of(style)
    invented.write_dxf(plan, tmp_path / "plan.dxf")
    sheet, _ = opened(plan, hand, tmp_path / "sheet.pdf")
    drawn = rooms_of(open_file(tmp_path / "plan.dxf"))
    for_name = {room.number or room.name: area_m2(room) for room in rooms_of(sheet)}
    for room in drawn:
        assert for_name[room.number or room.name] == pytest.approx(area_m2(room), rel=NEAR_SHARE)
