"""Plans made at random and changed at random, with everything known of them that a comparison has to find out: which
room, wall and opening is which, what was set of each, and what of it a change touches.

Rows of rooms between walls, rectangles with a corner cut out or a stub of wall in them. Walls have numbers that they
keep while they are moved; a wall that is cut in two keeps its number in one piece.
"""

from __future__ import annotations

import copy
import random
from dataclasses import dataclass, field
from itertools import pairwise

WALL = 100.0
HEIGHT = 2400.0
Spot = tuple[float, float]
Line = tuple[Spot, Spot]


@dataclass
class Hole:
    """A window or a door: ``at`` its lower end along the axis of its wall, in plan."""

    key: int
    room: str
    wall: int
    at: float
    width: float
    kind: str
    sill: float
    head: float


@dataclass
class Cell:
    """A room from x0 to x1 between its faces; ``walls``: their numbers by name. ``notch``: what is cut out of its upper
    right corner; ``stub``: where a stub of wall hangs from its upper wall, and how long it is. ``height``: of its
    ceiling as the drawing has it. ``cut_from``: the room that it was a part of."""

    key: str
    x0: float
    x1: float
    walls: dict[str, int]
    notch: Spot | None = None
    stub: Spot | None = None
    height: float | None = None
    cut_from: str = ""


@dataclass
class Row:
    low: float
    high: float
    cells: list[Cell]


@dataclass
class Design:
    """A storey. ``piece_of``: by the number of a wall, the one that it was cut off; ``gone_into``: by the number of a
    wall or the key of a room, what it became a part of."""

    rng: random.Random
    rows: list[Row] = field(default_factory=list)
    holes: list[Hole] = field(default_factory=list)
    height: float = HEIGHT
    counted: int = 0
    piece_of: dict[int, int] = field(default_factory=dict)
    gone_into: dict[int, int] = field(default_factory=dict)
    joined: dict[str, str] = field(default_factory=dict)

    def fresh(self) -> int:
        self.counted += 1
        return self.counted

    def cell(self, x0: float, x1: float) -> Cell:
        return Cell(f"Room {self.fresh()}", x0, x1, {name: self.fresh() for name in "SENW"})

    @property
    def cells(self) -> list[tuple[Row, Cell]]:
        return [(row, cell) for row in self.rows for cell in row.cells]

    def ring(self, row: Row, cell: Cell) -> list[tuple[int, Spot]]:
        """(number of the wall, where it starts), anticlockwise from the lower left corner."""
        w, x0, x1, low, high = cell.walls, cell.x0, cell.x1, row.low, row.high
        ring = [(w["S"], (x0, low)), (w["E"], (x1, low))]
        if cell.notch is not None:
            dx, dy = cell.notch
            ring += [(w["across"], (x1, high - dy)), (w["up"], (x1 - dx, high - dy)), (w["N"], (x1 - dx, high))]
        elif cell.stub is not None:
            at, long = cell.stub
            ring += [(w["N"], (x1, high)), (w["b1"], (at + WALL, high)), (w["b2"], (at + WALL, high - long))]
            ring += [(w["b3"], (at, high - long)), (w["N2"], (at, high))]
        else:
            ring.append((w["N"], (x1, high)))
        return [*ring, (w["W"], (x0, high))]

    def lines(self) -> dict[int, tuple[str, Line]]:
        """By number of a wall: its room and its ends, as it is walked."""
        found = {}
        for row, cell in self.cells:
            ring = self.ring(row, cell)
            for (name, start), (_, end) in pairwise([*ring, ring[0]]):
                found[name] = (cell.key, (start, end))
        return found

    def sound(self) -> bool:
        """Whether rooms are rooms and openings lie in their walls, apart from each other."""
        for row, cell in self.cells:
            cut = max(cell.notch or (0.0, 0.0))
            if cell.x1 - cell.x0 < 1400.0 + cut or row.high - row.low < 1800.0 + cut:
                return False
            if cell.stub is not None and not cell.x0 + 1200.0 < cell.stub[0] < cell.x1 - 1300.0:
                return False
        lines = self.lines()
        for hole in self.holes:
            if hole.wall not in lines:
                return False
            a, b = along(lines[hole.wall][1])
            if hole.at < min(a, b) + 150.0 or hole.at + hole.width > max(a, b) - 150.0:
                return False
        for one in self.holes:
            for other in self.holes:
                if one.key < other.key and one.wall == other.wall:
                    gap = max(one.at, other.at) - min(one.at + one.width, other.at + other.width)
                    if gap < 300.0:
                        return False
        return True


def axis_of(line: Line) -> int:
    """0 for a wall along x, 1 for one along y."""
    return 0 if abs(line[1][0] - line[0][0]) > abs(line[1][1] - line[0][1]) else 1


def along(line: Line) -> Spot:
    """From where to where a wall runs along its axis."""
    axis = axis_of(line)
    return line[0][axis], line[1][axis]


def random_design(rng: random.Random) -> Design:
    """One to three rows of two to four rooms, with doors between rooms and windows in the outside walls."""
    while True:
        design = Design(rng)
        y = 0.0
        for _ in range(rng.randint(1, 3)):
            high = y + rng.randrange(26, 42) * 100.0
            xs = [0.0, *sorted(rng.sample([2700.0, 4900.0, 7300.0, 9500.0], rng.randint(1, 3))), 12000.0]
            design.rows.append(Row(y, high, [design.cell(a, b - WALL) for a, b in pairwise(xs)]))
            y = high + WALL
        for row, cell in design.cells:
            draw = rng.random()
            if draw < 0.15:
                cut_corner(design, cell, (rng.choice((300.0, 450.0)), rng.choice((250.0, 400.0))))
            elif draw < 0.3:
                put_stub(design, cell, cell.x0 + rng.randrange(13, 22) * 100.0, rng.choice((400.0, 700.0)))
            if rng.random() < 0.6:
                put_door(design, row, cell)
            if rng.random() < 0.7:
                put_window(design, row, cell)
        if design.sound():
            return design


def cut_corner(design: Design, cell: Cell, size: Spot) -> None:
    cell.notch = size
    cell.walls |= {"across": design.fresh(), "up": design.fresh()}


def put_stub(design: Design, cell: Cell, at: float, long: float) -> None:
    cell.stub = (at, long)
    cell.walls |= {name: design.fresh() for name in ("b1", "b2", "b3", "N2")}


def put_door(design: Design, row: Row, cell: Cell) -> bool:
    """A door in the wall to the room on the right; none into the outside."""
    if cell is row.cells[-1] or cell.notch is not None:
        return False
    at = row.low + design.rng.randrange(3, 9) * 100.0
    design.holes.append(Hole(design.fresh(), cell.key, cell.walls["E"], at, 800.0, "door", 0.0, 2040.0))
    return True


def put_window(design: Design, row: Row, cell: Cell) -> bool:
    """A window in the lower wall of the first row, in the upper one of the last."""
    walls = ["S"] * (row is design.rows[0]) + ["N"] * (row is design.rows[-1] and cell.stub is None)
    if not walls:
        return False
    wall = design.rng.choice(walls)
    at = cell.x0 + design.rng.randrange(3, 9) * 100.0
    design.holes.append(Hole(design.fresh(), cell.key, cell.walls[wall], at, 900.0, "window", 900.0, 2100.0))
    return True


# Changes -------------------------------------------------------------------------------------------------

CHANGES = (
    "move a wall", "move a row", "move a corner", "add a wall", "remove a wall", "add a room", "remove a room",
    "split a room", "join two rooms", "add an opening", "remove an opening", "move an opening", "widen a window",
    "change a height", "change a ceiling",
)  # fmt: skip


def changed(design: Design, what: str) -> Design | None:
    """The design with one change of a kind; None where it has no place for one."""
    for _ in range(12):
        new = copy.deepcopy(design)
        new.rng = design.rng
        if _CHANGE[what](new) and new.sound():
            return new
    return None


def _move_wall(d: Design) -> bool:
    row = d.rng.choice(d.rows)
    k = d.rng.randrange(len(row.cells))
    by = d.rng.choice((-450.0, -200.0, 150.0, 300.0, 450.0))
    row.cells[k].x1 += by
    if k + 1 < len(row.cells):
        row.cells[k + 1].x0 += by
    return True


def _move_row(d: Design) -> bool:
    if len(d.rows) < 2:  # whether the upper or the lower wall has moved nobody could tell
        return False
    k = d.rng.randrange(len(d.rows))
    by = d.rng.choice((-300.0, 200.0, 400.0))
    d.rows[k].high += by
    if k + 1 < len(d.rows):
        d.rows[k + 1].low += by
    return True


def _move_corner(d: Design) -> bool:
    cells = [cell for _, cell in d.cells if cell.notch is not None]
    if not cells:
        return False
    cell = d.rng.choice(cells)
    assert cell.notch is not None
    cell.notch = (cell.notch[0] + d.rng.choice((-100.0, 0.0, 150.0)), cell.notch[1] + d.rng.choice((-100.0, 100.0)))
    return True


def _add_wall(d: Design) -> bool:
    _, cell = d.rng.choice(d.cells)
    if cell.notch is not None or cell.stub is not None:
        return False
    if any(hole.wall == cell.walls["N"] for hole in d.holes):
        return False
    put_stub(d, cell, cell.x0 + d.rng.randrange(13, 26) * 100.0, d.rng.choice((400.0, 700.0)))
    d.piece_of[cell.walls["N2"]] = cell.walls["N"]
    return True


def _remove_wall(d: Design) -> bool:
    cells = [cell for _, cell in d.cells if cell.stub is not None]
    if not cells:
        return False
    cell = d.rng.choice(cells)
    cell.stub = None
    d.gone_into[cell.walls.pop("N2")] = cell.walls["N"]
    for name in ("b1", "b2", "b3"):
        cell.walls.pop(name)
    return True


def _add_room(d: Design) -> bool:
    row = d.rng.choice(d.rows)
    x0 = row.cells[-1].x1 + WALL
    row.cells.append(d.cell(x0, x0 + d.rng.randrange(18, 35) * 100.0))
    return not any(hole.wall == row.cells[-2].walls["E"] for hole in d.holes)


def _remove_room(d: Design) -> bool:
    rows = [row for row in d.rows if len(row.cells) > 2]
    if not rows:
        return False
    row = d.rng.choice(rows)
    gone = row.cells.pop()
    walls = {*gone.walls.values(), row.cells[-1].walls["E"]}
    d.holes = [hole for hole in d.holes if hole.wall not in walls]
    return True


def _split(d: Design) -> bool:
    row, cell = max(d.cells, key=lambda one: one[1].x1 - one[1].x0)
    if cell.notch is not None or cell.stub is not None or cell.walls["N"] in d.gone_into.values():
        return False
    at = round(cell.x0 + (cell.x1 - cell.x0) * d.rng.choice((0.4, 0.6, 0.65)), -2)
    part = d.cell(at + WALL, cell.x1)
    part.cut_from, part.height = cell.key, cell.height
    if at - cell.x0 < cell.x1 - at:  # the larger part stays what it was
        part.x0, part.x1, cell.x0 = cell.x0, at, at + WALL
        cell.walls["W"], part.walls["W"] = part.walls["W"], cell.walls["W"]
        row.cells.insert(row.cells.index(cell), part)
    else:
        cell.x1 = at
        cell.walls["E"], part.walls["E"] = part.walls["E"], cell.walls["E"]
        row.cells.insert(row.cells.index(cell) + 1, part)
    for name in "SN":
        d.piece_of[part.walls[name]] = cell.walls[name]
    for hole in d.holes:
        for name in "SN":
            if hole.wall == cell.walls[name] and part.x0 <= hole.at <= part.x1:
                hole.wall, hole.room = part.walls[name], part.key
        if hole.wall in part.walls.values():
            hole.room = part.key
    return True


def _join(d: Design) -> bool:
    row = d.rng.choice(d.rows)
    if len(row.cells) < 2:
        return False
    k = d.rng.randrange(len(row.cells) - 1)
    left, right = row.cells[k], row.cells[k + 1]
    if left.notch or left.stub or right.stub or right.notch:
        return False
    if {left.walls["N"], right.walls["N"]} & set(d.gone_into.values()):
        return False
    d.holes = [hole for hole in d.holes if hole.wall not in (left.walls["E"], right.walls["W"])]
    stays, goes = (left, right) if left.x1 - left.x0 >= right.x1 - right.x0 else (right, left)
    if stays is left:
        left.walls["E"] = right.walls["E"]
    else:
        right.walls["W"] = left.walls["W"]
    for name in "SN":
        d.gone_into[goes.walls[name]] = stays.walls[name]
    stays.x0, stays.x1 = left.x0, right.x1
    row.cells.remove(goes)
    d.joined[goes.key] = stays.key
    for hole in d.holes:
        hole.wall = d.gone_into.get(hole.wall, hole.wall)
        hole.room = stays.key if hole.room == goes.key else hole.room
    return True


def _add_opening(d: Design) -> bool:
    row, cell = d.rng.choice(d.cells)
    return put_door(d, row, cell) if d.rng.random() < 0.5 else put_window(d, row, cell)


def _remove_opening(d: Design) -> bool:
    if d.holes:
        d.holes.remove(d.rng.choice(d.holes))
        return True
    return False


def _move_opening(d: Design) -> bool:
    if d.holes:
        d.rng.choice(d.holes).at += d.rng.choice((-300.0, -100.0, 200.0, 350.0))
    return bool(d.holes)


def _widen(d: Design) -> bool:
    windows = [hole for hole in d.holes if hole.kind == "window"]
    if windows:
        d.rng.choice(windows).width += d.rng.choice((-200.0, 300.0, 450.0))
    return bool(windows)


def _storey_height(d: Design) -> bool:
    d.height += d.rng.choice((-50.0, 100.0, 150.0))
    return True


def _ceiling_height(d: Design) -> bool:
    _, cell = d.rng.choice(d.cells)
    cell.height = (cell.height or d.height) + d.rng.choice((-100.0, 100.0))
    return True


_CHANGE = dict(
    zip(
        CHANGES,
        (_move_wall, _move_row, _move_corner, _add_wall, _remove_wall, _add_room, _remove_room, _split, _join,
         _add_opening, _remove_opening, _move_opening, _widen, _storey_height, _ceiling_height),
        strict=True,
    )
)  # fmt: skip
