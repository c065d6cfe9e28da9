"""Which corner a click means where several stand at one place, and that what is mended is told no more."""

from __future__ import annotations

import msgspec

from takeoff.measure import Memory
from takeoff.measure.takeoff import Edge
from takeoff.plan.check import check
from takeoff.plan.model import Exclusion, Field, Job, Opening, Plane, Region, Room, Side, Storey, WallTreatment
from takeoff.ui.canvas.corner_spots import CornerSpots, edge_of
from takeoff.views.board import stand

replace = msgspec.structs.replace
L_SHAPE = ((0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000))


def house(ceiling: Field | None = None, tiled: int | None = None) -> Job:
    """An L-shaped room whose free corner stands at 3000, 2000; tiles up to 0.90 m at the start of a side."""
    ring = ((0, 0, 0), (500, 0, 0), (500, 900, 0), (0, 900, 0))
    tiles = WallTreatment(exclusions=(Exclusion(id="t", outline=ring),))
    outline = tuple(
        Side(id=f"s{k}", x_mm=x, y_mm=y, treatment=tiles if k == tiled else None) for k, (x, y) in enumerate(L_SHAPE)
    )
    return Job(storeys=(Storey(id="g", rooms=(Room(id="R", outline=outline, ceiling=ceiling),)),))


def clicked(of: Job, x: float, y: float) -> list[Edge]:
    state, storey = stand(of, Memory()), of.storeys[0]
    refs = CornerSpots().at(state, storey, (x, y), 100.0)
    return [edge for ref in refs if (edge := edge_of(state, storey, ref)) is not None]


def test_a_click_beside_the_free_corner_takes_it_and_one_in_the_room_takes_nothing() -> None:
    (corner,) = clicked(house(), 3040, 1960)
    assert (corner.cls, corner.kind, corner.length_m) == ("external", "room", 2.4)
    assert clicked(house(), 2500, 1000) == []


def test_where_a_drop_meets_the_free_corner_the_free_corner_is_meant() -> None:
    # a boxing 0.30 m deep ends at the corner: above its soffit an inner corner stands at the same place
    ring = ((0, 1000, 0), (3000, 1000, 0), (3000, 4000, 0), (0, 4000, 0))
    region = Region(id="b", op="lower", outline=ring, planes=(Plane(z_mm=2100),))
    of = house(Field(planes=(Plane(z_mm=2400),), regions=(region,)))
    there = {
        e.cls for e in stand(of, Memory()).takeoff.rooms[0].edges if {(x, y) for x, y, _ in e.line} == {(3000, 2000)}
    }
    assert there == {"external", "internal"}
    assert [(e.cls, round(e.length_m, 3)) for e in clicked(of, 3000, 2000)] == [("external", 2.1)]


def test_where_tiles_end_at_a_corner_the_corner_is_meant_and_not_the_end_of_the_coat() -> None:
    free = clicked(house(tiled=3), 3000, 2000)
    assert [(e.cls, round(e.length_m, 3)) for e in free] == [("external", 1.5)]
    inner = clicked(house(tiled=0), 0, 0)
    assert [(e.cls, round(e.length_m, 3)) for e in inner] == [("internal", 1.5)]


def test_a_finding_of_opening_a_job_goes_when_it_is_mended(window) -> None:
    of = house()
    wrong = Opening(id="w", kind="window", room="R", side="s0", offset_mm=4800, width_mm=900, sill_mm=900, head_mm=2100)
    storey = of.storeys[0]
    broken = replace(of, storeys=(replace(storey, openings=(wrong,)),))
    document = window.document
    document.open(broken, findings=check(broken))
    assert any(f.where.opening == "w" for f in document.findings)
    mended = replace(broken, storeys=(replace(storey, openings=(replace(wrong, offset_mm=1000),)),))
    assert document.apply("Moved", lambda _: mended)
    document.consider_now()
    assert not any(f.where.opening == "w" for f in document.findings)
