"""The sample job: the terrace's ground floor and its room in the roof, as a person would set it up."""

from __future__ import annotations

from itertools import pairwise

import msgspec
from plans import ATTIC_B, GROUND, Hole, Plan
from plans import Room as Sketch

from takeoff.plan.model import (
    Band,
    Behind,
    Border,
    CeilingTreatment,
    DrawingId,
    DrawingRef,
    Exclusion,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Region,
    RegionId,
    Reveal,
    Rooflight,
    Room,
    RoomId,
    Side,
    SideId,
    Stair,
    Storey,
    StoreyId,
    Strip,
    Swing,
    WallTreatment,
)

PARTY_WALL_MM = 200.0
FRONT_WALL_MM = 300.0
TOUCH_MM = 0.5


def job() -> Job:
    """Two storeys: one flat-ceilinged with part coating, one in the roof with slopes and a dormer."""
    ground = Storey(
        id=StoreyId("ground"),
        name="Ground floor",
        height_mm=2450.0,
        height_source="site",
        rooms=tuple(_ground_room(r) for r in GROUND.rooms),
        openings=tuple(_opening(GROUND, h) for h in GROUND.holes),
        building=(_building(GROUND),),
        building_source="typed",
        drawing=DrawingId("d1"),
    )
    attic = Storey(
        id=StoreyId("attic"),
        name="Room in the roof",
        level_mm=5200.0,
        height_mm=2400.0,
        height_source="typed",
        rooms=tuple(_attic_room(r) for r in ATTIC_B.rooms),
        openings=tuple(_opening(ATTIC_B, h) for h in ATTIC_B.holes),
        rooflights=(
            Rooflight(
                id=OpeningId("RL1"),
                room=RoomId("A1"),
                depth_mm=250.0,
                mark="RL1",
                source="figured",
                outline=((1800.0, 1500.0, 0.0), (2600.0, 1500.0, 0.0), (2600.0, 2300.0, 0.0), (1800.0, 2300.0, 0.0)),
            ),
        ),
        building=(_building(ATTIC_B),),
        building_source="typed",
        drawing=DrawingId("d2"),
    )
    return Job(
        name="Terrace house, invented example",
        storeys=(ground, attic),
        drawings=(_ref("d1", "terrace_ground.dxf", GROUND), _ref("d2", "terrace_attic_rev_b.dxf", ATTIC_B)),
    )


def _ref(name: str, file: str, plan: Plan) -> DrawingRef:
    return DrawingRef(id=DrawingId(name), name=file, number=plan.number, revision=plan.revision)


def _building(plan: Plan) -> tuple[tuple[float, float, float], ...]:
    x0, y0, x1, y1 = plan.outer
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))


def _sides(sketch: Sketch) -> tuple[Side, ...]:
    ring = (*sketch.outline, sketch.outline[0])
    return tuple(
        Side(
            id=SideId(f"{sketch.number}-{i + 1}"),
            x_mm=float(a[0]),
            y_mm=float(a[1]),
            source="drawn",
            behind=_behind(a, b),
        )
        for i, (a, b) in enumerate(pairwise(ring))
    )


def _behind(a: tuple[float, float], b: tuple[float, float]) -> tuple[Behind, ...]:
    """Party walls left and right, outside in front and at the back, else what the plan shows."""
    if a[0] == b[0] and a[0] in (0.0, 4800.0):
        return (Behind(cls="neighbour", thickness_mm=PARTY_WALL_MM),)
    if a[1] == b[1] and a[1] in (0.0, 8400.0):
        return (Behind(cls="outside", thickness_mm=FRONT_WALL_MM),)
    return ()


def _flight(plan: Plan) -> tuple[tuple[float, float, float], ...]:
    """The outline of a plan's stair, as its nosing lines have it."""
    xs, ys = ([float(line[k]) for line in plan.treads for k in pair] for pair in ((0, 2), (1, 3)))
    x0, x1, y0, y1 = min(xs), max(xs), min(ys), max(ys)
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))


SKIRTING = Band(edge="bottom", to_mm=120.0, into_reveals=True)
COVING = Band(edge="top", to_mm=100.0, what="coving")


def _ground_room(sketch: Sketch) -> Room:
    sides = _sides(sketch)
    room = Room(
        id=RoomId(sketch.number),
        name=sketch.name,
        number=sketch.number,
        outline=sides,
        evidence=("drawn from the sample plan",),
    )
    if sketch.name == "Living room":
        return msgspec.structs.replace(
            room,
            walls=WallTreatment(bands=(SKIRTING, COVING)),
            ceiling_treatment=CeilingTreatment(left_on=(Border(width_mm=100.0),)),
        )
    if sketch.name == "Hall":  # its ceiling was asked about: it goes on above the stair
        return msgspec.structs.replace(room, stair=Stair(outline=_flight(GROUND), answer="goes-on"))
    if sketch.name == "WC":
        return msgspec.structs.replace(
            room,
            walls=WallTreatment(substrate="lime-plaster", bands=(SKIRTING,)),
            ceiling_treatment=CeilingTreatment(coat=False),
        )
    if sketch.name == "Store":
        return msgspec.structs.replace(
            room, walls=WallTreatment(coat=False), ceiling_treatment=CeilingTreatment(coat=False)
        )
    if sketch.name == "Kitchen":
        return _kitchen(room)
    return room


def _kitchen(room: Room) -> Room:
    """Tiles over the worktop on the rear wall, and a boxing along the party wall."""
    rear = next(i for i, s in enumerate(room.outline) if s.x_mm == 4800.0 and s.y_mm == 8400.0)
    tiles = Exclusion(
        id="K-tiles",
        what="tiles over the worktop",
        outline=((2400.0, 900.0, 0.0), (4800.0, 900.0, 0.0), (4800.0, 1500.0, 0.0), (2400.0, 1500.0, 0.0)),
    )
    sides = list(room.outline)
    sides[rear] = msgspec.structs.replace(sides[rear], treatment=WallTreatment(exclusions=(tiles,)))
    boxing = Region(
        id=RegionId("K-boxing"),
        op="lower",
        what="boxing",
        planes=(Plane(z_mm=2200.0),),
        outline=((4400.0, 5100.0, 0.0), (4800.0, 5100.0, 0.0), (4800.0, 8400.0, 0.0), (4400.0, 8400.0, 0.0)),
    )
    return msgspec.structs.replace(
        room, outline=tuple(sides), ceiling=Field(planes=(Plane(z_mm=2450.0),), regions=(boxing,), source="site")
    )


def _attic_room(sketch: Sketch) -> Room:
    """45° slopes from 1200 at the eaves to a flat piece at 2400; a dormer in the rear slope."""
    if sketch.name == "Attic store":
        planes = (Plane(z_mm=1200.0, slope_y=-1.0, at_y_mm=6400.0),)
        regions: tuple[Region, ...] = ()
    else:
        planes = (
            Plane(z_mm=2400.0),
            Plane(z_mm=1200.0, slope_y=1.0, at_y_mm=1200.0),
            Plane(z_mm=1200.0, slope_y=-1.0, at_y_mm=6400.0),
        )
        regions = (
            Region(
                id=RegionId("A-dormer"),
                op="raise",
                what="dormer",
                planes=(Plane(z_mm=2300.0),),
                outline=((2900.0, 5300.0, 0.0), (4100.0, 5300.0, 0.0), (4100.0, 6100.0, 0.0), (2900.0, 6100.0, 0.0)),
            ),
        )
    return Room(
        id=RoomId(sketch.number),
        name=sketch.name,
        number=sketch.number,
        outline=_sides(sketch),
        ceiling=Field(planes=planes, regions=regions, source="site"),
    )


def _opening(plan: Plan, hole: Hole) -> Opening:
    """An opening on the side of its first room that the hole touches."""
    sketch = next(r for r in plan.rooms if r.name == hole.rooms[0])
    number, offset = _host(sketch, hole)
    depth = 150.0 if hole.kind == "window" else 0.0
    strip = Strip(depth_mm=depth, depth_source="site")
    return Opening(
        id=OpeningId(hole.mark),
        kind="window" if hole.kind == "window" else "door",
        room=RoomId(sketch.number),
        side=SideId(f"{sketch.number}-{number}"),
        offset_mm=float(offset),
        width_mm=float(hole.width),
        sill_mm=900.0 if hole.kind == "window" else 0.0,
        head_mm=2100.0 if hole.kind == "window" else 2040.0 if plan is GROUND else 1000.0,
        reveal=Reveal(start=strip, end=strip, head=strip, sill=_uncoated(strip)),
        reveal_beyond=Reveal() if len(hole.rooms) > 1 else None,
        mark=hole.mark,
        width_source="drawn",
        sill_source="site",
        head_source="site",
        swings=() if hole.kind == "window" else (_swing(sketch, number, hole),),
    )


def _swing(sketch: Sketch, number: int, hole: Hole) -> Swing:
    """How a door's leaf hangs, as its host side sees it: the room lies to the left of the side."""
    ring = (*sketch.outline, sketch.outline[0])
    (ax, ay), (bx, by) = ring[number][:2], ring[number + 1][:2]
    upwards = (bx - ax) + (by - ay) > 0
    # along x the side that runs upwards has higher y on its left, along y lower x
    left_is_high = upwards if hole.along == "x" else not upwards
    return Swing(
        hinge="start" if (hole.hinge == "low") == upwards else "end",
        into="host" if (hole.swing == "high") == left_is_high else "beyond",
        leaf_mm=float(hole.width),
    )


def _uncoated(strip: Strip) -> Strip:
    """The sill strip: it has a board and is not coated."""
    return msgspec.structs.replace(strip, coat=False)


def _host(sketch: Sketch, hole: Hole) -> tuple[int, float]:
    ring = (*sketch.outline, sketch.outline[0])
    for i, (a, b) in enumerate(pairwise(ring)):
        level = (a[1] == b[1]) and hole.along == "x"
        upright = (a[0] == b[0]) and hole.along == "y"
        if level and min(abs(a[1] - hole.y0), abs(a[1] - hole.y1)) < TOUCH_MM:
            low, high, start, end = hole.x0, hole.x1, a[0], b[0]
        elif upright and min(abs(a[0] - hole.x0), abs(a[0] - hole.x1)) < TOUCH_MM:
            low, high, start, end = hole.y0, hole.y1, a[1], b[1]
        else:
            continue
        if min(start, end) - TOUCH_MM <= low and high <= max(start, end) + TOUCH_MM:
            return i + 1, (low - start if end > start else start - high)
    raise ValueError(f"{hole.mark} lies in no side of {sketch.name}")
