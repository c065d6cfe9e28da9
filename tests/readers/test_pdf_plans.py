"""Whole plans from PDF: an invented flat on a sheet, and the real house at both of its scales."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pdf_making import AREAS_M2, Sheet, flat

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.measure import measure
from takeoff.readers import pdf
from takeoff.recognise import propose
from takeoff.recognise.scale import decide_scale

HOUSE = Path(__file__).parents[3] / "shared" / "plans" / "house"
NEAR_SHARE = 0.005


def floors_m2(drawing: Drawing) -> list[float]:
    job, _ = propose(drawing)
    return sorted(room.floor_m2 for room in measure(job).rooms)


def names(drawing: Drawing) -> set[str]:
    job, _ = propose(drawing)
    return {room.name for storey in job.storeys for room in storey.rooms}


def opened(path: Path, scale: str | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    return decide_scale(pdf.read(path)[0], scale)


@pytest.mark.parametrize("scale", [20.0, 50.0, 100.0])
def test_a_flat_printed_at_a_scale_gives_its_rooms(tmp_path: Path, scale: float) -> None:
    page = (841.0, 594.0) if scale == 20.0 else (420.0, 297.0)
    sheet = Sheet(tmp_path / "flat.pdf", scale, page, corner_mm=(120.0, 100.0))
    flat(sheet)
    sheet.on_paper(300, 20, f"Scale 1:{scale:.0f} @ {'A1' if scale == 20.0 else 'A3'}")
    sheet.on_paper(300, 12, "Flat 7, Invented Street")
    drawing, found = opened(sheet.done())
    assert drawing.unit_mm == scale
    assert [f.severity for f in found] == ["note"]
    assert "5 of 5 written dimensions agree" in f"{found[0].text} {found[0].evidence}"
    assert "quarter circles then have 885 mm radius" in f"{found[0].text} {found[0].evidence}"
    assert floors_m2(drawing) == pytest.approx(sorted(AREAS_M2), rel=NEAR_SHARE)
    assert names(drawing) == {"Bedroom", "Kitchen"}


def test_a_flat_without_a_title_block_is_scaled_by_its_figures(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path / "flat.pdf", 50.0, shrink=0.94)
    flat(sheet)
    drawing, found = opened(sheet.done())
    assert drawing.unit_mm == pytest.approx(50.0 / 0.94, rel=1e-3)
    assert found[0].code == "scale-decided"
    assert floors_m2(drawing) == pytest.approx(sorted(AREAS_M2), rel=NEAR_SHARE)


def test_a_flat_without_any_figure_asks_for_its_scale(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path / "flat.pdf", 50.0)
    flat(sheet, figures=False)
    _, found = opened(sheet.done())
    assert [(f.code, f.severity) for f in found] == [("scale-undecided", "error")]


@pytest.mark.skipif(not HOUSE.is_dir(), reason="the real house is not beside this checkout")
@pytest.mark.parametrize(("name", "scale"), [("ground_1to10.pdf", "1:10"), ("ground_plain_1to100.pdf", "1:100")])
def test_the_real_house_gives_the_rooms_of_its_truth(name: str, scale: str) -> None:
    truth = json.loads((HOUSE / "ground.truth.json").read_text(encoding="utf-8"))
    drawing, _ = opened(HOUSE / name, scale)
    found = floors_m2(drawing)
    wanted = sorted([*(room["area_m2"] for room in truth["rooms"]), truth["open_porch_no_label_m2"]])
    assert found == pytest.approx(wanted, rel=NEAR_SHARE)


@pytest.mark.skipif(not HOUSE.is_dir(), reason="the real house is not beside this checkout")
@pytest.mark.parametrize("name", ["ground_1to10.pdf", "ground_plain_1to100.pdf"])
def test_the_real_house_has_no_text_and_asks_for_its_scale(name: str) -> None:
    drawing, found = pdf.read(HOUSE / name)
    assert "no-text" in [f.code for f in found]
    assert [f.severity for f in decide_scale(drawing)[1]] == ["error"]
