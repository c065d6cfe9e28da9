"""Gross and net wall areas as another program wrote them into an IFC file, measured again.

Source: the Qto sets of ``sample-building.ifc`` (MIT, from the source package of ifc-spf 0.2.0). The file
holds quantities and no shapes: four outer walls of 8000 and 6000 by 3300, three windows and two doors.
The wall's middle plane and our inner face have the same size here because the file says lengths only.
"""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Job, Opening, OpeningId, Rooflight, Room, RoomId, Side, SideId, Storey, StoreyId

IFC = Path(__file__).parents[2] / ".." / "shared" / "plans" / "quantities-fixture" / "sample-building.ifc"

pytestmark = pytest.mark.skipif(not IFC.exists(), reason="../shared/plans/quantities-fixture is not there")

Quantities = dict[str, dict[str, float]]
Sizes = list[tuple[str, float, float]]


def read_file() -> tuple[Quantities, Sizes]:
    """Quantities of walls and slabs by their mark, and (kind, width, height) of doors and windows."""
    lines = dict(re.findall(r"^#(\d+)=(.*);\s*$", IFC.read_text(), flags=re.MULTILINE))
    sets: Quantities = {}
    for line in lines.values():
        related = re.match(r"IFCRELDEFINESBYPROPERTIES\(.*\(#(\d+)\),#(\d+)\)", line)
        if not related or not lines[related[2]].startswith("IFCELEMENTQUANTITY"):
            continue
        name = re.match(r"IFC(?:WALL|SLAB)\('[^']*',\$,'(\S+) ", lines[related[1]])
        if name:
            parts = re.findall(r"#(\d+)", lines[related[2]].rsplit("(", 1)[1])
            found = [re.match(r"IFCQUANTITY\w+\('(\w+)',\$,\$,([\d.]+)", lines[part]) for part in parts]
            sets[name[1]] = {match[1]: float(match[2]) for match in found if match}
    sizes = [
        (match[1].lower(), float(match[3]), float(match[2]))
        for line in lines.values()
        if (match := re.match(r"IFC(DOOR|WINDOW)\(.*?,([\d.]+),([\d.]+),\.(?:DOOR|WINDOW)\.", line))
    ]
    return sets, sizes


def openings_of(wall: dict[str, float], sizes: Sizes) -> Sizes:
    """The doors and windows whose areas make up what the file deducted; they are taken off the list."""
    missing = wall["GrossSideArea"] - wall["NetSideArea"]
    for count in range(len(sizes) + 1):
        for some in combinations(sizes, count):
            if abs(sum(w * h for _, w, h in some) / 1e6 - missing) < 1e-9:
                for one in some:
                    sizes.remove(one)
                return list(some)
    raise AssertionError(f"no doors and windows make up {missing} m²")


def measured(walls: list[dict[str, float]], holes: list[Sizes], rooflights: tuple[Rooflight, ...] = ()) -> RoomTakeoff:
    """A room with these four walls as its sides, and their openings spaced along them."""
    length, width = walls[0]["Length"], walls[1]["Length"]
    corners = [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners))
    openings = tuple(
        Opening(
            id=OpeningId(f"o{i}{k}"),
            kind="window" if kind == "window" else "door",
            room=RoomId("r"),
            side=SideId(f"s{i}"),
            offset_mm=300 + 2500 * k,
            width_mm=w,
            sill_mm=900 if kind == "window" else 0,
            head_mm=(900 if kind == "window" else 0) + h,
        )
        for i, some in enumerate(holes)
        for k, (kind, w, h) in enumerate(some)
    )
    room = Room(id=RoomId("r"), outline=sides)
    storey = Storey(
        id=StoreyId("g"), height_mm=walls[0]["Height"], rooms=(room,), openings=openings, rooflights=rooflights
    )
    return measure(Job(storeys=(storey,))).rooms[0]


def test_outer_walls_have_the_gross_and_net_areas_of_the_file() -> None:
    sets, sizes = read_file()
    walls = [sets[f"W-0{i}"] for i in (1, 2, 3, 4)]
    assert (walls[0]["GrossSideArea"], walls[0]["NetSideArea"]) == (26.4, 22.8)
    room = measured(walls, [openings_of(wall, sizes) for wall in walls])
    assert [f.gross_m2 for f in room.faces] == pytest.approx([w["GrossSideArea"] for w in walls], rel=1e-12)
    assert [f.net_m2 for f in room.faces] == pytest.approx([w["NetSideArea"] for w in walls], rel=1e-12)
    assert room.wall_gross_m2 == pytest.approx(92.4, rel=1e-12)
    assert room.wall_net_m2 == pytest.approx(22.8 + 16.11 + 26.4 + 17.91, rel=1e-12)
    assert room.perimeter_m == pytest.approx(sets["S-01"]["Perimeter"] / 1000, rel=1e-12)
    assert room.floor_m2 == pytest.approx(sets["S-01"]["GrossArea"], rel=1e-12)


def test_partitions_have_the_gross_and_net_areas_of_the_file() -> None:
    sets, sizes = read_file()
    walls = [sets["P-01"], sets["P-02"]] * 2
    room = measured(walls, [openings_of(sets["P-01"], sizes), openings_of(sets["P-02"], sizes), [], []])
    assert [f.gross_m2 for f in room.faces[:2]] == pytest.approx([12.0, 10.5], rel=1e-12)
    assert [f.net_m2 for f in room.faces[:2]] == pytest.approx([10.32, 10.5], rel=1e-12)


def test_slab_with_a_hole_has_the_net_area_of_the_file() -> None:
    sets, _ = read_file()
    slab = sets["S-02"]
    assert slab["GrossArea"] - slab["NetArea"] == pytest.approx(1.5)
    hole = ((1000.0, 1000.0, 0.0), (2500.0, 1000.0, 0.0), (2500.0, 2000.0, 0.0), (1000.0, 2000.0, 0.0))
    light = Rooflight(id=OpeningId("l"), room=RoomId("r"), outline=hole)
    walls = [sets[f"W-0{i}"] for i in (1, 2, 3, 4)]
    assert measured(walls, [[], [], [], []], (light,)).ceiling_m2 == pytest.approx(slab["NetArea"], rel=1e-12)
