"""Real plans that nobody here drew, where they are at hand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import score

from takeoff.errors import Finding
from takeoff.plan.model import Job
from takeoff.readers.dxf import read
from takeoff.recognise import propose
from takeoff.recognise.units import decide

PLANS = Path(__file__).parents[3] / "shared" / "plans"

pytestmark = pytest.mark.skipif(not PLANS.is_dir(), reason="the real plans are not at hand")


def proposed(name: str) -> tuple[Job, tuple[Finding, ...]]:
    drawing, _ = read(PLANS / name)
    return propose(decide(drawing)[0])


def truth(name: str) -> list[dict[str, float]]:
    rooms: list[dict[str, float]] = json.loads((PLANS / name).read_text(encoding="utf-8"))["rooms"]
    return rooms


def test_ground_floor_has_its_seven_rooms_one_wrong_print_and_a_porch_to_check() -> None:
    job, findings = proposed("house/ground.dxf")
    rooms = job.storeys[0].rooms
    labelled = sorted(score.room_area_m2(r) for r in rooms if r.printed_area_m2 is not None)
    true = sorted(t["area_m2"] for t in truth("house/ground.truth.json"))
    assert labelled == pytest.approx(true, rel=1e-3)
    (off,) = [f for f in findings if f.code == "printed-area-differs"]
    assert "5.9 m²" in f"{off.text} {off.evidence}"
    assert (off.where.x_mm, off.where.y_mm) == pytest.approx((3258, 9934), abs=300)
    bay = next(r for r in rooms if r.printed_area_m2 == 28.2)
    assert len(bay.outline) == 6
    (porch,) = [r for r in rooms if r.printed_area_m2 is None]
    assert porch.confidence == "check"
    assert score.room_area_m2(porch) == pytest.approx(6.691, rel=1e-3)


def test_upper_floor_has_every_space_and_none_is_sure_without_a_word_in_it() -> None:
    job, _ = proposed("house/upper.dxf")
    areas = [score.room_area_m2(r) for r in job.storeys[0].rooms]
    for true in truth("house/upper.truth.json"):
        assert min(abs(a - true["area_m2"]) for a in areas) < 0.005 * true["area_m2"]
    assert {r.confidence for r in job.storeys[0].rooms} == {"check"}
    windows = sorted(round(o.width_mm) for o in job.storeys[0].openings if o.kind == "window")
    for width in (655, 660, 675, 675, 990, 1000, 1250, 2000, 2201):
        assert min(abs(w - width) for w in windows) <= 50


@pytest.mark.parametrize("name", ["duplex_L1", "duplex_L2"])
def test_duplex_has_every_space_and_nothing_false_is_sure(name: str) -> None:
    found = score.score_plan(PLANS / "duplex" / f"{name}.dxf")
    assert found.found_rooms == found.true_rooms == 10
    assert found.sure_false == 0
    assert max(found.area_errors) < 0.005


def test_pavilion_is_said_to_be_an_open_plan() -> None:
    job, findings = proposed("pavilion/plan.dxf")
    assert "open-plan" in [f.code for f in findings]
    assert all(score.room_area_m2(r) < 25 for s in job.storeys for r in s.rooms)
