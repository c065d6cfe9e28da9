"""An invented flat in a block: the wall between bedroom and living room moves by 450, a window is widened by 300."""

from __future__ import annotations

import msgspec
import pytest

from takeoff.plan.edits.coat_edits import coat_outside_walls
from takeoff.plan.model import (
    Band,
    Behind,
    Exclusion,
    Field,
    Job,
    Opening,
    OpeningId,
    Photo,
    Plane,
    Region,
    RegionId,
    Reveal,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
    WallTreatment,
)
from takeoff.revise.comparison import Compared, Drawn, compared

DEEP = 3500.0
replace = msgspec.structs.replace


def room(name: str, title: str, x0: float, x1: float, first: int = 0) -> Room:
    """A rectangle from the façade (side 1, y = 0) anticlockwise; ``first``: at which corner it is begun."""
    corners = [(x0, 0.0), (x1, 0.0), (x1, DEEP), (x0, DEEP)]
    corners = corners[first:] + corners[:first]
    sides = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y, source="drawn") for k, (x, y) in enumerate(corners, 1))
    return Room(id=RoomId(name), name=title, outline=sides, evidence=("walls on all sides",))


def storey(wall_mm: float, window_mm: float, ids: tuple[str, str] = ("r1", "r2"), first: int = 0) -> Storey:
    """Bedroom to ``wall_mm``, 100 of wall, living room to 7100; a window in its façade from x = 4500."""
    rooms = (room(ids[0], "Bedroom", 0.0, wall_mm, first), room(ids[1], "Living room", wall_mm + 100.0, 7100.0, first))
    strip = Strip(depth_mm=150.0, depth_source="assumed")
    sill = replace(strip, coat=False)
    window = Opening(
        id=OpeningId(f"o{ids[0]}"),
        kind="window",
        room=rooms[1].id,
        side=SideId(f"s{(0 - first) % 4 + 1}"),
        offset_mm=4500.0 - wall_mm - 100.0,
        width_mm=window_mm,
        sill_mm=900.0,
        head_mm=2100.0,
        reveal=Reveal(start=strip, end=strip, head=strip, sill=sill),
        width_source="drawn",
        evidence=("glazing drawn along the gap",),
    )
    return Storey(id=StoreyId("flat"), name="Flat", height_mm=2400.0, rooms=rooms, openings=(window,))


def job(wall_mm: float = 3000.0, window_mm: float = 1500.0) -> Job:
    return Job(name="Flat", storeys=(storey(wall_mm, window_mm),))


NEW = Drawn("flat_b.dxf", (storey(3450.0, 1800.0, ("r7", "r8"), first=2),))


def moved(old: Job, new: Drawn = NEW) -> Compared:
    return compared(old, [new])


def net(done: Compared, key: str, name: str = "") -> float:
    rooms = [room for room in done.difference.rooms if room.name == name]
    return float((rooms[0].quantities if rooms else done.difference.totals)[key].net)


def test_all_coated_both_rooms_are_listed() -> None:
    """Bedroom 2 × 0.45 × 2.4 + 0.45 × 3.5 = 3.735; living room −3.735 − 0.3 × 1.2 + 0.3 × 0.15 = −4.050."""
    done = moved(job())
    assert net(done, "coated_m2", "Bedroom") == 3.735
    assert net(done, "coated_m2", "Living room") == -4.05
    assert {room.name: room.change for room in done.difference.rooms} == {
        "Bedroom": "altered",
        "Living room": "altered",
    }


def outside_only() -> Job:
    """Façade outside, the stair wall unheated, both coated with returns of 600."""
    plain = job()
    bedroom, living = plain.storeys[0].rooms
    said = {SideId("s1"): Behind(cls="outside"), SideId("s2"): Behind(cls="unheated")}
    bedroom = replace(
        bedroom, outline=tuple(replace(s, behind=(said[s.id],)) if s.id == "s1" else s for s in bedroom.outline)
    )
    living = replace(
        living, outline=tuple(replace(s, behind=(said[s.id],)) if s.id in said else s for s in living.outline)
    )
    return coat_outside_walls(replace(plain, storeys=(replace(plain.storeys[0], rooms=(bedroom, living)),)), 600.0)


def test_of_facade_and_stair_wall_the_moved_wall_changes_nothing() -> None:
    """Walls −0.3 × 1.2 = −0.360, reveals 0.3 × 0.15 = 0.045, bead 0.300; what the façade loses in one room it gains
    in the other: 0.45 × 2.4 = 1.080."""
    done = moved(outside_only())
    assert net(done, "wall_net_m2") == -0.36
    assert net(done, "reveal_m2") == 0.045
    assert net(done, "bead_m") == 0.3
    bedroom = next(room for room in done.difference.rooms if room.name == "Bedroom").quantities["wall_net_m2"]
    assert (float(bedroom.added), float(bedroom.omitted)) == (1.08, 0.0)
    assert done.lost == ()
    side = done.job.storeys[0].rooms[0].outline
    assert sum(b.cls == "outside" and b.to_mm is None for s in side for b in s.behind) == 1


def test_what_is_said_of_a_wall_follows_it() -> None:
    """Whole stays whole, to the end stays to the end, what stands in between stays in its place in plan."""
    plain = job()
    living = plain.storeys[0].rooms[1]
    tiles = Exclusion(
        id="t",
        what="tiles",
        outline=((1000.0, 900.0, 0.0), (2000.0, 900.0, 0.0), (2000.0, 1500.0, 0.0), (1000.0, 1500.0, 0.0)),
    )
    treatment = WallTreatment(
        parts_mm=((0.0, 1000.0), (3000.0, 4000.0)), bands=(Band(edge="bottom", to_mm=90.0),), exclusions=(tiles,)
    )
    behind = (Behind(cls="outside", from_mm=0.0, to_mm=2500.0), Behind(cls="neighbour", from_mm=2500.0))
    sides = tuple(replace(s, treatment=treatment, behind=behind) if s.id == "s1" else s for s in living.outline)
    living = replace(living, outline=sides, ceiling=Field(planes=(Plane(z_mm=2500.0),), source="site"))
    rooms = (plain.storeys[0].rooms[0], living)
    done = moved(replace(plain, storeys=(replace(plain.storeys[0], rooms=rooms),)))
    after = done.job.storeys[0].rooms[1]
    wall = next(s for s in after.sides if s.id == "s1")
    # the façade begins 450 later: what stood at 2500 from its start stands at 2050, its end stays the end
    assert wall.behind == (Behind(cls="outside", from_mm=0.0, to_mm=2050.0), Behind(cls="neighbour", from_mm=2050.0))
    assert wall.treatment is not None
    assert wall.treatment.parts_mm == ((0.0, 550.0), (2550.0, None))
    assert [u for u, _, _ in wall.treatment.exclusions[0].outline] == [550.0, 1550.0, 1550.0, 550.0]
    assert wall.treatment.bands == treatment.bands
    assert after.ceiling == living.ceiling
    assert done.lost == ()


def test_boxing_at_a_moved_wall_moves_with_it() -> None:
    plain = job()
    bedroom, living = plain.storeys[0].rooms
    outline = ((2600.0, 0.0, 0.0), (3000.0, 0.0, 0.0), (3000.0, DEEP, 0.0), (2600.0, DEEP, 0.0))
    boxing = Region(id=RegionId("b"), op="lower", what="boxing", planes=(Plane(z_mm=2100.0),), outline=outline)
    bedroom = replace(bedroom, ceiling=Field(planes=(Plane(z_mm=2400.0),), regions=(boxing,)))
    done = moved(replace(plain, storeys=(replace(plain.storeys[0], rooms=(bedroom, living)),)))
    field = done.job.storeys[0].rooms[0].ceiling
    assert field is not None
    assert [x for x, _, _ in field.regions[0].outline] == [2600.0, 3450.0, 3450.0, 2600.0]


def test_a_room_that_is_gone_leaves_a_line_for_all_that_was_set_of_it() -> None:
    plain = outside_only()
    plain = replace(plain, photos=(Photo(id="p", sha256="0" * 64, room=RoomId("r2"), note="crack"),))
    gone = replace(storey(3000.0, 1500.0), openings=())
    done = moved(plain, Drawn("b.dxf", (replace(gone, rooms=gone.rooms[:1]),)))
    assert [room.change for room in done.difference.rooms] == ["same", "omitted"]
    assert {one.what for one in done.lost} >= {"coat of the wall", "what is behind the wall", "photo"}
    assert all(finding.text for finding in done.findings)
    assert sum(f.code == "revision-lost" for f in done.findings) == len(done.lost)


def test_a_room_cut_in_two_and_joined_again() -> None:
    plain = job()
    living = plain.storeys[0].rooms[1]
    walls = WallTreatment(substrate="lime-plaster")
    plain = replace(
        plain, storeys=(replace(plain.storeys[0], rooms=(plain.storeys[0].rooms[0], replace(living, walls=walls))),)
    )
    drawn = storey(3000.0, 1500.0)
    parts = (drawn.rooms[0], room("n1", "Living room", 3100.0, 5200.0), room("n2", "Study", 5300.0, 7100.0))
    opening = replace(drawn.openings[0], room=RoomId("n2"), offset_mm=200.0)
    done = moved(plain, Drawn("b.dxf", (replace(drawn, rooms=parts, openings=(opening,)),)))
    assert {r.name: r.change for r in done.difference.rooms} == {
        "Bedroom": "same",
        "Living room": "split",
        "Study": "split",
    }
    study = next(r for r in done.job.storeys[0].rooms if r.name == "Study")
    assert study.walls.substrate == "lime-plaster"
    back = moved(done.job, Drawn("c.dxf", plain.storeys))
    assert {r.name: r.change for r in back.difference.rooms} == {
        "Bedroom": "same",
        "Living room": "joined",
        "Study": "joined",
    }
    total = back.difference.totals["coated_m2"]
    assert float(total.new) == pytest.approx(float(done.difference.totals["coated_m2"].old), abs=1e-9)


def test_a_length_measured_on_site_outranks_the_drawing() -> None:
    plain = job()
    bedroom, living = plain.storeys[0].rooms
    bedroom = replace(bedroom, outline=tuple(replace(s, source="site") for s in bedroom.outline))
    done = moved(replace(plain, storeys=(replace(plain.storeys[0], rooms=(bedroom, living)),)))
    told = [f.text for f in done.findings if f.code == "revision-site-length"]
    assert any("3000 mm" in text and "3450 mm" in text for text in told)
    assert done.job.storeys[0].rooms[0] == bedroom
