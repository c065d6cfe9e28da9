"""A new drawing of many rooms laid over a job, against reading both; and one moved wall put in, against an edit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from pathlib import Path

import ezdxf

from takeoff.measure import Memory
from takeoff.plan.edits.wall_edits import move_wall
from takeoff.services.changed.comparing import accepted_of, laid_over
from takeoff.services.opened.opening import Opened, open_file

Run = Callable[[], object]
WIDE, DEEP, WALL = 4000.0, 3000.0, 100.0
MOVED = 300.0


def plan(path: Path, rooms: int, moved: bool) -> Path:
    """Rooms in a square of rows, each with its name; ``moved``: the wall between two in the middle stands 300 further
    left."""
    across = max(1, math.isqrt(rooms))
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    document.layers.add("A-WALL")
    space = document.modelspace()
    for number, (x0, y0, x1, y1) in enumerate(_boxes(rooms, across, moved)):
        ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        space.add_lwpolyline(ring, close=True, dxfattribs={"layer": "A-WALL"})
        space.add_text(f"Room {number + 1}", height=150.0).set_placement(((x0 + x1) / 2.0, (y0 + y1) / 2.0))
    deep = math.ceil(rooms / across)
    edge = [(-300.0, -300.0), (across * (WIDE + WALL) + 200.0, -300.0)]
    edge += [(x, deep * (DEEP + WALL) + 200.0) for x, _ in edge[::-1]]
    space.add_lwpolyline(edge, close=True, dxfattribs={"layer": "A-WALL"})
    document.saveas(path)
    return path


def _boxes(rooms: int, across: int, moved: bool) -> Iterator[tuple[float, float, float, float]]:
    middle = (rooms // across // 2) * across + max(0, across // 2 - 1)
    for i in range(rooms):
        x, y = (i % across) * (WIDE + WALL), (i // across) * (DEEP + WALL)
        left, right = MOVED * (moved and i == middle + 1), MOVED * (moved and i == middle)
        yield x - left, y, x + WIDE - right, y + DEEP


def comparing(folder: Path, rooms: int) -> tuple[Run, Run]:
    """(both plans read, both read and the second laid over the first)"""
    paths = plan(folder / "a.dxf", rooms, False), plan(folder / "b.dxf", rooms, True)

    def read() -> tuple[Opened, ...]:
        return tuple(open_file(path) for path in paths)

    def ours() -> None:
        old, new = read()
        done = laid_over(old, [new])
        assert len(done.compared.difference.changed) == 2

    return read, ours


def accepting(folder: Path, rooms: int) -> tuple[Run, Run]:
    """(a wall moved as an edit and measured, the moved wall of a new drawing put in and measured), each in a job that
    is remembered as it was"""
    old, new = (open_file(plan(folder / f"{k}.dxf", rooms, k == 1)) for k in (0, 1))
    done = laid_over(old, [new])
    first = done.compared.difference.changed[0]
    room = next(r for r in old.job.storeys[0].rooms if r.id == first.room)
    right = max(room.outline, key=lambda side: (side.x_mm, -side.y_mm))
    memory = Memory()

    def edit() -> None:
        memory.measure(old.job)
        memory.measure(move_wall(old.job, room.id, right.id, -MOVED, with_far_face=True))

    def accept() -> None:
        memory.measure(old.job)
        memory.measure(accepted_of(done))

    return edit, accept
