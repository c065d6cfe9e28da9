"""What measuring notices is told once: not again where the check of the job has told the same fault."""

from __future__ import annotations

from typing import Any

import pytest
from rectangles import rect

from takeoff.errors import Finding, Where
from takeoff.findings.measuring import untold
from takeoff.measure import measure
from takeoff.plan.check import check
from takeoff.plan.model import Exclusion, Field, Job, Opening, Plane, Room, Storey, WallTreatment, WallType


def job(*rooms: Room, **more: Any) -> Job:
    types = more.pop("wall_types", ())
    return Job(storeys=(Storey(id="g", rooms=rooms, **more),), wall_types=types)


def told(a_job: Job) -> tuple[list[str], list[str]]:
    """The codes of the check, and those that measuring adds to them, without what is assumed."""
    checked, measured = check(a_job), measure(a_job).findings
    codes = [f.code for f in checked if f.severity != "assumed" and not f.code.startswith("behind")]
    return codes, [f.code for f in untold(measured, checked)]


def tiles(*outline: tuple[float, float]) -> WallTreatment:
    return WallTreatment(exclusions=(Exclusion(id="t", what="tiles", outline=tuple((x, z, 0.0) for x, z in outline)),))


TALL = tiles((500, 0), (1500, 0), (1500, 4500), (500, 4500))
WIDE = tiles((500, 0), (3500, 0), (3500, 1200), (500, 1200))


def window(**sizes: float) -> Opening:
    given = {"offset_mm": 1000.0, "width_mm": 1000.0, "sill_mm": 1000.0, "head_mm": 2000.0, **sizes}
    return Opening(id="w", kind="window", room="R", side="s0", **given)


def test_part_left_out_on_every_wall_that_is_too_tall_is_one_finding() -> None:
    tall = job(Room(id="R", outline=rect(0, 0, 4000, 3000), walls=TALL))
    assert [f.code for f in measure(tall).findings] == ["exclusion-sticks-out"]
    assert told(tall) == (["exclusion-sticks-out"], [])


def test_part_left_out_on_every_wall_need_fit_only_the_longest() -> None:
    assert told(job(Room(id="R", outline=rect(0, 0, 4000, 3000), walls=WIDE))) == ([], [])


def test_part_left_out_above_a_slope_is_seen_by_measuring_alone() -> None:
    # the gable rises to 3.9 m at one end, and is 2.4 high where the tiles are
    slope = Field(planes=(Plane(z_mm=2400, slope_x=0.375),))
    own = {"s0": {"treatment": tiles((0, 0), (400, 0), (400, 3000), (0, 3000))}}
    sloped = job(Room(id="R", outline=rect(0, 0, 4000, 3000, **own), ceiling=slope))
    assert told(sloped) == ([], ["exclusion-sticks-out"])


def test_open_side_with_nothing_behind_is_one_finding() -> None:
    alone = job(Room(id="R", outline=rect(0, 0, 4000, 3000, s1={"kind": "open"})))
    assert [f.code for f in measure(alone).findings] == ["open-side-leads-nowhere"]
    assert told(alone) == (["open-side-leads-nowhere"], [])


def test_open_side_longer_than_the_room_beyond_is_seen_by_measuring_alone() -> None:
    a = Room(id="R", outline=rect(0, 0, 4000, 3000, s1={"kind": "open"}))
    b = Room(id="S", outline=rect(4000, 0, 2000, 2000, s3={"kind": "open"}))
    assert told(job(a, b)) == ([], ["open-side-leads-nowhere"])


@pytest.mark.parametrize(
    ("sizes", "code"),
    [
        ({"offset_mm": 3500.0}, "opening-outside-wall"),
        ({"width_mm": 5000.0}, "opening-wider-than-wall"),
        ({"head_mm": 2600.0}, "opening-above-ceiling"),
    ],
)
def test_opening_that_does_not_fit_is_one_finding(sizes: dict[str, float], code: str) -> None:
    codes, added = told(job(Room(id="R", outline=rect(0, 0, 4000, 3000)), openings=(window(**sizes),)))
    assert codes == [code]
    assert added == []


def test_opening_that_reaches_past_the_finished_wall_is_seen_by_measuring_alone() -> None:
    lining = WallType(id="lining", finish_a_mm=100)
    lined = Room(id="R", outline=rect(0, 0, 4000, 3000, s1={"wall_type": "lining"}))
    found = told(job(lined, openings=(window(offset_mm=3000.0),), wall_types=(lining,)))
    assert found == ([], ["opening-wider-than-wall"])


def test_same_fault_of_another_place_is_told() -> None:
    here, there = (Where(storey="g", room="R", surface=s, opening="w") for s in ("s0", "s1"))
    checked = Finding("opening-above-ceiling", "check", "Told.", here)
    measured = [Finding("opening-cut-by-ceiling", "check", "Measured.", at) for at in (here, there, there)]
    assert untold(measured, [checked]) == (measured[1],)
    assert untold(measured, []) == (measured[0], measured[1])
