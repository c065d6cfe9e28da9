"""Jobs to be timed: a room of many walls and openings, a roof, a grid of rooms."""

from __future__ import annotations

import math

import msgspec

from takeoff.plan.model import (
    Field,
    Job,
    Opening,
    OpeningId,
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
)

Points = list[tuple[float, float, float]]

WINDOW = Reveal(
    start=Strip(depth_mm=150.0),
    end=Strip(depth_mm=150.0),
    head=Strip(depth_mm=150.0),
    sill=Strip(depth_mm=150.0, coat=False),
)


def room(name: str, points: Points, ceiling: Field | None = None) -> Room:
    sides = tuple(Side(id=SideId(f"{name}-{i}"), x_mm=x, y_mm=y, bulge=bulge) for i, (x, y, bulge) in enumerate(points))
    return Room(id=RoomId(name), name=name, outline=sides, ceiling=ceiling)


def window(mark: str, of: Room, side: int, offset_mm: float, width_mm: float = 800.0) -> Opening:
    return Opening(
        id=OpeningId(mark),
        kind="window",
        room=of.id,
        side=of.outline[side].id,
        offset_mm=offset_mm,
        width_mm=width_mm,
        sill_mm=900.0,
        head_mm=2100.0,
        reveal=WINDOW,
    )


def job_of(rooms: list[Room], openings: list[Opening]) -> Job:
    return Job(storeys=(Storey(id=StoreyId("s"), rooms=tuple(rooms), openings=tuple(openings)),))


def crossed_room_job(place_mm: float) -> Job:
    """A cross of twelve walls of 4 m with 27 windows."""
    right, up, left, down = (1, 0), (0, 1), (-1, 0), (0, -1)
    steps = [right, up, right, up, left, up, left, down, left, down, right, down]
    x, y, points = place_mm, place_mm, []
    for dx, dy in steps:
        points.append((x, y, 0.0))
        x, y = x + dx * 4000.0, y + dy * 4000.0
    cross = room("cross", points)
    windows = [window(f"w{i}", cross, i // 3, 300.0 + 1200.0 * (i % 3)) for i in range(27)]
    return job_of([cross], windows)


def roof_job(place_mm: float) -> Job:
    """Two slopes and a flat piece, a dormer, a bow at one end, four windows."""
    x, y = place_mm, place_mm
    bow = math.tan(math.radians(56.145) / 4)
    points = [(x, y, 0.0), (x + 8000, y, bow), (x + 8000, y + 5000, 0.0), (x, y + 5000, 0.0)]
    planes = (
        Plane(z_mm=2400.0),
        Plane(z_mm=1200.0, slope_y=1.0, at_y_mm=y),
        Plane(z_mm=1200.0, slope_y=-1.0, at_y_mm=y + 5000),
    )
    dormer = Region(
        id=RegionId("d"),
        op="raise",
        planes=(Plane(z_mm=2300.0),),
        outline=(
            (x + 2000, y + 200, 0.0),
            (x + 3500, y + 200, 0.0),
            (x + 3500, y + 1500, 0.0),
            (x + 2000, y + 1500, 0.0),
        ),
    )
    roof = room("roof", points, Field(planes=planes, regions=(dormer,)))
    return job_of([roof], [window("w0", roof, 3, 1500.0), window("w1", roof, 3, 2600.0)])


def grid_job(count: int, place_mm: float) -> Job:
    """Rooms of 4 × 3 m in a grid with walls of 100 mm between, a window in each."""
    across = max(1, math.isqrt(count))
    rooms, windows = [], []
    for i in range(count):
        x, y = place_mm + (i % across) * 4100.0, place_mm + (i // across) * 3100.0
        one = room(f"r{i}", [(x, y, 0.0), (x + 4000, y, 0.0), (x + 4000, y + 3000, 0.0), (x, y + 3000, 0.0)])
        rooms.append(one)
        windows.append(window(f"w{i}", one, 0, 1000.0))
    return job_of(rooms, windows)


def with_other_width(job: Job, index: int, width_mm: float) -> Job:
    """The job with one window of another width."""
    storey = job.storeys[0]
    openings = list(storey.openings)
    openings[index] = msgspec.structs.replace(openings[index], width_mm=width_mm)
    return msgspec.structs.replace(job, storeys=(msgspec.structs.replace(storey, openings=tuple(openings)),))
