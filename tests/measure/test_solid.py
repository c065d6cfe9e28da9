"""A room as facets in space: what is drawn as coat is what is measured as coat."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from worked_rooms import DOOR, L_SHAPE, WINDOW, box, flat, ring, sides

from takeoff.measure import measure
from takeoff.measure.solid import Facet, Solid, solid_of
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Field, Job, Opening, Plane, Region, Reveal, Rooflight, Room, Storey, Strip
from takeoff.storage.jobs import load

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def made(*openings: Opening, lights: tuple[Rooflight, ...] = (), **room) -> tuple[Solid, RoomTakeoff]:
    storey = Storey(id="g", rooms=(Room(id="R", **room),), openings=openings, rooflights=lights)
    job = Job(storeys=(storey,))
    return solid_of(job, storey, storey.rooms[0]), measure(job).rooms[0]


def area(facet: Facet) -> float:
    """Square metres of a flat ring."""
    x = y = z = 0.0
    a = facet.points[0]
    for b, c in zip(facet.points[1:], facet.points[2:], strict=False):
        u, v = [q - p for p, q in zip(a, b, strict=True)], [q - p for p, q in zip(a, c, strict=True)]
        x += u[1] * v[2] - u[2] * v[1]
        y += u[2] * v[0] - u[0] * v[2]
        z += u[0] * v[1] - u[1] * v[0]
    return math.sqrt(x * x + y * y + z * z) / 2e6


def coat(solid: Solid, *kinds: str) -> float:
    return sum(area(f) for f in solid.facets if f.state == "coat" and f.kind in kinds)


def agrees(solid: Solid, taken: RoomTakeoff, within: float = 1e-9) -> None:
    assert coat(solid, "wall") == pytest.approx(taken.wall_net_m2, rel=within)
    assert coat(solid, "ceiling") == pytest.approx(taken.ceiling_m2, rel=within)
    assert coat(solid, "drop", "top") == pytest.approx(taken.drop_m2, rel=within, abs=1e-9)
    assert coat(solid, "reveal") == pytest.approx(taken.reveal_m2, rel=within, abs=1e-9)


def test_l_shaped_room_with_a_window_and_a_door():
    solid, taken = made(WINDOW, DOOR, outline=sides(L_SHAPE))
    agrees(solid, taken)
    assert {f.surface for f in solid.facets if f.kind == "reveal"} == {
        "w.start",
        "w.head",
        "w.end",
        "w.sill",
        "d.start",
        "d.head",
        "d.end",
    }
    assert {f.state for f in solid.facets if f.kind == "pane"} == {"glass", "door"}


def test_every_facet_of_a_box_faces_into_the_room():
    solid, _ = made(WINDOW, outline=sides(box(5000, 4000)), ceiling=flat(2400))
    middle = (2500.0, 2000.0, 1200.0)
    for facet in solid.facets:
        if facet.kind != "reveal":
            towards = sum(n * (m - p) for n, m, p in zip(facet.faces, middle, facet.points[0], strict=True))
            assert towards > 0.0, facet.surface


def test_room_in_the_roof_with_a_dormer_and_dwarf_wall():
    roof = Field(
        planes=(Plane(z_mm=1000, slope_x=1),),
        regions=(
            Region(
                id="d",
                op="raise",
                planes=(Plane(z_mm=2300),),
                outline=ring([(500, 1000), (4000, 1000), (4000, 2500), (500, 2500)]),
            ),
        ),
    )
    dwarf = Region(
        id="f",
        op="raise",
        planes=(Plane(z_mm=900),),
        coat_sides=True,
        coat_face=True,
        outline=ring([(1000, 3000), (3000, 3000), (3000, 3100), (1000, 3100)]),
    )
    solid, taken = made(
        outline=sides(box(4000, 5000)), ceiling=roof, floor=Field(planes=(Plane(z_mm=0),), regions=(dwarf,))
    )
    agrees(solid, taken)
    assert sum(area(f) for f in solid.facets if f.kind == "floor") == pytest.approx(taken.floor_m2)


def test_bow_is_drawn_nearly_as_large_as_it_is():
    solid, taken = made(outline=sides(box(4000, 3000), bulges={0: 0.25}), ceiling=flat(2400))
    agrees(solid, taken, within=0.002)


def test_arched_round_and_splayed_openings():
    strips = {part: Strip(depth_mm=200.0) for part in ("start", "end", "head", "sill")}
    arch = Opening(
        id="a",
        kind="window",
        room="R",
        side="s0",
        offset_mm=500,
        width_mm=1000,
        sill_mm=800,
        head_mm=2100,
        shape="semicircular",
        reveal=Reveal(**strips),
    )
    porthole = Opening(
        id="o",
        kind="window",
        room="R",
        side="s1",
        offset_mm=500,
        width_mm=800,
        sill_mm=900,
        head_mm=1700,
        shape="round",
        reveal=Reveal(**strips),
    )
    splayed = Opening(
        id="s",
        kind="window",
        room="R",
        side="s2",
        offset_mm=500,
        width_mm=1000,
        sill_mm=800,
        head_mm=2100,
        reveal=Reveal(**strips, splay_deg=30.0),
    )
    solid, taken = made(arch, porthole, splayed, outline=sides(box(5000, 4000)), ceiling=flat(2400))
    agrees(solid, taken, within=0.01)


def test_rooflight_with_its_shaft():
    pane = ring([(1000, 1000), (1600, 1000), (1600, 2000), (1000, 2000)])
    light = Rooflight(id="l", room="R", outline=pane, depth_mm=250.0)
    solid, taken = made(
        lights=(light,), outline=sides(box(4000, 5000)), ceiling=Field(planes=(Plane(z_mm=1000, slope_x=1),))
    )
    agrees(solid, taken)


def test_every_room_of_the_sample_job_is_drawn_as_it_is_measured():
    job = load(SAMPLE.read_bytes(), SAMPLE.name)
    taken = {room.room: room for room in measure(job).rooms}
    seen = 0
    for storey in job.storeys:
        for room in storey.rooms:
            agrees(solid_of(job, storey, room), taken[str(room.id)])
            seen += 1
    assert seen == 7


def test_window_cut_by_a_low_ceiling_does_not_stick_out_above_it():
    solid, taken = made(WINDOW, outline=sides(box(5000, 4000)), ceiling=Field(planes=(Plane(z_mm=1500, slope_y=1),)))
    agrees(solid, taken)
    # at the window's wall the ceiling is 1.5 m high, and the window would reach 2.1
    assert max(p[2] for f in solid.facets if f.opening == "w" for p in f.points) == pytest.approx(1500)
