"""Ratios against bare libraries, measured side by side in one run: ``python tests/bench/run.py``.

Times drift from machine to machine, ratios hardly. Every row is the best of several runs of the
floor and of ours, taken in turn. ``--small`` is a quick look at whether it all runs.
"""

from __future__ import annotations

import argparse
import gc
import itertools
import math
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import ezdxf
import numpy as np
import shapely
from bench_jobs import crossed_room_job, grid_job, roof_job, with_other_width
from reportlab.pdfgen import canvas

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.geometry.snapping import From, LineIndex, directions_after, snap
from takeoff.measure import Memory, measure
from takeoff.plan.model import Job
from takeoff.readers import dxf
from takeoff.recognise import propose
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import look


class Row(NamedTuple):
    """One line of the table; ``target`` is the ratio to stay below."""

    work: str
    floor: str
    floor_s: float
    ours_s: float
    target: float

    @property
    def ratio(self) -> float:
        return self.ours_s / self.floor_s


Run = Callable[[], object]


def side_by_side(floor: Run, ours: Run, repeats: int) -> tuple[float, float]:
    """The best times of both in s, taken in turn so that a slow spell hits both."""
    floor(), ours()  # what is imported or compiled on first use is not counted
    floors, mine = [], []
    for _ in range(repeats):
        floors.append(seconds(floor))
        mine.append(seconds(ours))
    return min(floors), min(mine)


def seconds(run: Run) -> float:
    gc.collect()
    begun = time.perf_counter()
    run()
    return time.perf_counter() - begun


def import_row(entities: int, repeats: int) -> Row:
    """A drawing of lines, polylines and inserted doors."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.dxf"
        write_drawing(path, entities)
        times = side_by_side(lambda: ezdxf.readfile(path), lambda: dxf.read(path), repeats)
    return Row(f"import a DXF of {entities} entities", "ezdxf.readfile", *times, 1.2)


def write_drawing(path: Path, entities: int) -> None:
    doc = ezdxf.new("R2010")
    door = doc.blocks.new("DOOR")
    door.add_lwpolyline([(0, 0), (40, 0), (40, 800), (0, 800)], close=True)
    door.add_arc((0, 0), 800, 0, 90)
    msp = doc.modelspace()
    for i in range(entities):
        x, y = float(i % 500) * 1000.0, float(i // 500) * 1000.0
        if i % 10 == 0:
            msp.add_blockref("DOOR", (x, y), dxfattribs={"rotation": 90.0 * (i % 4)})
        elif i % 10 < 3:
            msp.add_lwpolyline([(x, y), (x + 600, y), (x + 600, y + 400), (x, y + 400)], close=True)
        else:
            msp.add_line((x, y), (x + 900, y + 300))
    doc.saveas(path)


def rooms_row(segments: int, untidy: bool, repeats: int) -> Row:
    """Rooms of a grid from wall faces alone; untidy: overshoots and doubled lines."""
    import numpy as np

    lines = np.array(list(wall_faces(segments // 4, untidy)))
    drawing = Drawing(name="grid.dxf", layers=(Layer("A-WALL"),), lines=Linework(lines), unit="mm")

    def floor() -> object:
        joined = shapely.union_all(shapely.linestrings(lines.reshape(-1, 2, 2)))
        return shapely.polygonize(shapely.get_parts(joined).tolist())

    times = side_by_side(floor, lambda: look(drawing, Settings()), repeats)
    kind = "untidy" if untidy else "clean"
    return Row(f"rooms from {segments} {kind} wall segments", "union_all and polygonize", *times, 2.0)


def proposal_row(segments: int, repeats: int) -> Row:
    """The whole proposal (outlines, openings, names, storeys) against finding the rooms alone."""
    import numpy as np

    lines = np.array(list(wall_faces(segments // 4, False)))
    drawing = Drawing(name="grid.dxf", layers=(Layer("A-WALL"),), lines=Linework(lines), unit="mm")
    times = side_by_side(lambda: look(drawing, Settings()), lambda: propose(drawing, Settings()), repeats)
    return Row(f"proposal from {segments} wall segments", "its rooms found", *times, 4.0)


def wall_faces(rooms: int, untidy: bool) -> Iterator[tuple[float, float, float, float]]:
    across = max(1, math.isqrt(rooms))
    over = 20.0 if untidy else 0.0
    for i in range(rooms):
        x, y = (i % across) * 4100.0, (i // across) * 3100.0
        corners = ((x, y), (x + 4000, y), (x + 4000, y + 3000), (x, y + 3000), (x, y))
        for side, (a, b) in enumerate(itertools.pairwise(corners)):
            if untidy and side == 0 and i % 5 == 0:
                yield (*a, *b)
            dx, dy = (b[0] - a[0]) / math.dist(a, b), (b[1] - a[1]) / math.dist(a, b)
            yield (a[0], a[1], b[0] + dx * over, b[1] + dy * over)


def exact_rectangles(job: Job) -> dict[str, float]:
    """The floor for a rectangular room: its figures by plain arithmetic, without dims or checks."""
    storey = job.storeys[0]
    room, height = storey.rooms[0], storey.height_mm
    sides = room.outline
    ring = [*sides, sides[0]]
    girth = sum(abs(b.x_mm - a.x_mm) + abs(b.y_mm - a.y_mm) for a, b in itertools.pairwise(ring))
    twice = sum(a.x_mm * b.y_mm - b.x_mm * a.y_mm for a, b in itertools.pairwise(ring))
    cut = reveal = arris = floor_edge = 0.0
    for o in storey.openings:
        top, low = min(o.head_mm, height), max(o.sill_mm, 0.0)
        cut += o.width_mm * (top - low)
        jambs_mm = o.reveal.start.depth_mm + o.reveal.end.depth_mm
        reveal += o.reveal.head.depth_mm * o.width_mm + jambs_mm * (top - low)
        arris += o.width_mm + 2 * (top - low)
        floor_edge += o.width_mm if low == 0.0 else 0.0
    gross = girth * height
    return {
        "wall_gross_m2": gross / 1e6,
        "openings_m2": cut / 1e6,
        "wall_net_m2": (gross - cut) / 1e6,
        "floor_m2": twice / 2e6,
        "reveal_m2": reveal / 1e6,
        "external_corner_m": arris / 1e3,
        "floor_edge_m": (girth - floor_edge) / 1e3,
    }


def each(jobs: list[Job], work: Callable[[Job], object]) -> Run:
    """Work on the next job of those made beforehand.

    Making them is not counted, and since they differ nothing remembered from the one before helps.
    """
    waiting = itertools.cycle(jobs)
    return lambda: work(next(waiting))


def room_row(what: str, make: Callable[[float], Job], target: float, repeats: int) -> Row:
    """One room against plain arithmetic over a room of as many walls and openings."""
    count = max(repeats, 3) * 10 + 1
    plain = crossed_room_job(0.0)
    jobs = [make(float(i)) for i in range(count)]
    times = side_by_side(each([plain], exact_rectangles), each(jobs, measure), count - 1)
    return Row(what, "exact rectangles, no dims", *times, target)


def many_rooms_row(count: int, repeats: int) -> Row:
    one = [grid_job(1, float(i)) for i in range(10 * repeats + 1)]
    all_of_them = [grid_job(count, 0.5 + i) for i in range(repeats + 1)]
    one_s, _ = side_by_side(each(one, measure), lambda: None, 10 * repeats)
    times = one_s, side_by_side(lambda: None, each(all_of_them, measure), repeats)[1]
    return Row(f"{count} rooms", "one room", *times, 1.1 * count)


def edit_row(count: int, repeats: int) -> Row:
    """One opening of one room changes; the others are remembered."""
    whole, memory = grid_job(count, 0.25), Memory()
    memory.measure(whole)
    edited = [with_other_width(whole, count // 2, 700.0 + i) for i in range(10 * repeats + 1)]
    one = [grid_job(1, 0.75 + i) for i in range(10 * repeats + 1)]
    times = side_by_side(each(one, measure), each(edited, memory.measure), 10 * repeats)
    return Row(f"edit of one among {count} rooms", "one room", *times, 3.0)


def snap_row(segments: int, repeats: int) -> Row:
    """Points near corners and near sides, each drawn to what is there while a side is being drawn."""
    rows = np.array(list(itertools.islice(wall_faces(segments // 4 + 1, False), segments)))
    index = LineIndex(rows)
    tree = shapely.STRtree(shapely.linestrings(rows.reshape(-1, 2, 2)))
    reach = 100.0
    spots = [(x + 30.0, y + 40.0) for x, y in rows[:: max(1, segments // 100), :2]]
    spots += [(x + 1700.0, y + 40.0) for x, y in spots]
    start = From((0.0, 0.0), directions_after((1.0, 0.0)), (500.0, 500.0))

    def floor() -> None:
        for x, y in spots:
            tree.query(shapely.box(x - reach, y - reach, x + reach, y + reach))

    def ours() -> None:
        for x, y in spots:
            snap(x, y, reach, (index,), start)

    times = side_by_side(floor, ours, repeats)
    return Row(f"draw {len(spots)} points to {segments} segments", "STRtree box query", *times, 20.0)


def pdf_row(lines: int, repeats: int) -> Row:
    """A plan picture of so many lines, painted by the sheet's writer, against one path of as many."""
    from takeoff.sheets.pdf import Typeface, paint_picture
    from takeoff.sheets.picture import Picture, Shape

    face = Typeface()
    courses = tuple(
        tuple((i * 37 % 5000 / 10, i * 91 % 8000 / 10, 0.0) for i in range(first, min(first + 5, lines)))
        for first in range(0, lines, 5)
    )
    picture = Picture(500.0, 800.0, 100, (Shape(courses, closed=False, stroke="#22292E"),))
    with tempfile.TemporaryDirectory() as folder:
        floor_file, ours_file = Path(folder) / "floor.pdf", Path(folder) / "ours.pdf"

        def ours() -> None:
            sheet = canvas.Canvas(str(ours_file))
            paint_picture(sheet, 0.0, 0.0, picture, face)
            sheet.save()

        times = side_by_side(lambda: bare_path(floor_file, lines), ours, repeats)
    return Row(f"picture of {lines} lines in a PDF", f"one path of {lines} lines", *times, 2.5)


def bare_path(path: Path, lines: int) -> None:
    sheet = canvas.Canvas(str(path))
    drawn = sheet.beginPath()
    drawn.moveTo(0, 0)
    for i in range(lines):
        drawn.lineTo((i * 37 % 5000) / 10, (i * 91 % 8000) / 10)
    sheet.drawPath(drawn)
    sheet.save()


def fit_row(segments: int, repeats: int) -> Row:
    """The whole drawing painted: the plan's tiles against one bare path."""
    from canvas_rows import fit_views

    bare, ours, kept = fit_views(segments)
    times = side_by_side(bare, ours, 8 * repeats)
    del kept
    return Row(f"canvas of {segments} segments, fitted", "one path item", *times, 1.5)


def drag_row(segments: int, repeats: int) -> Row:
    """Zoomed to a room and dragged, frame by frame, against the fitted repaint."""
    from canvas_rows import FRAMES, zoomed_views

    fitted, dragged, kept = zoomed_views(segments)
    fitted_s, drag_s = side_by_side(fitted, dragged, 8 * repeats)
    del kept
    return Row(f"canvas of {segments} segments, a frame dragged", "its fitted repaint", fitted_s, drag_s / FRAMES, 0.25)


def revise_row(rooms: int, repeats: int) -> Row:
    """Two plans read and the second laid over the first, against reading them."""
    from revise_rows import comparing

    with tempfile.TemporaryDirectory() as folder:
        times = side_by_side(*comparing(Path(folder), rooms), repeats)
    return Row(f"two plans of {rooms} rooms compared", "both read", *times, 3.0)


def accept_row(rooms: int, repeats: int) -> Row:
    """A wall that the new drawing has elsewhere, put in, against the same wall moved by hand."""
    from revise_rows import accepting

    with tempfile.TemporaryDirectory() as folder:
        times = side_by_side(*accepting(Path(folder), rooms), 8 * repeats)
    return Row(f"a moved wall accepted among {rooms} rooms", "one edit", *times, 1.0)


TABLE: tuple[tuple[str, Callable[[int, int], Row]], ...] = (
    ("import", lambda part, repeats: import_row(100_000 // part, repeats)),
    ("rooms", lambda part, repeats: rooms_row(10_000 // part, False, repeats)),
    ("untidy", lambda part, repeats: rooms_row(10_000 // part, True, repeats)),
    ("proposal", lambda part, repeats: proposal_row(10_000 // part, repeats)),
    ("room", lambda part, repeats: room_row("one room of 12 walls and 27 openings", crossed_room_job, 4.0, repeats)),
    ("roof", lambda part, repeats: room_row("one room with slopes, a dormer and an arc", roof_job, 25.0, repeats)),
    ("many", lambda part, repeats: many_rooms_row(1000 // part, repeats)),
    ("edit", lambda part, repeats: edit_row(1000 // part, repeats)),
    ("revise", lambda part, repeats: revise_row(max(16, 1000 // part), repeats)),
    ("accept", lambda part, repeats: accept_row(max(16, 1000 // part), repeats)),
    ("snap", lambda part, repeats: snap_row(100_000 // part, repeats)),
    ("fit", lambda part, repeats: fit_row(101_000 // part, repeats)),
    ("drag", lambda part, repeats: drag_row(101_000 // part, repeats)),
    ("pdf", lambda part, repeats: pdf_row(100_000 // part, repeats)),
)


def main() -> None:
    names = [name for name, _ in TABLE]
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="a thousandth of the sizes, once each")
    parser.add_argument("--only", nargs="+", choices=names, default=names, help="these rows")
    chosen = parser.parse_args()
    part, repeats = (1000, 1) if chosen.small else (1, 3)
    print(f"{'work':46} {'floor':28} {'floor ms':>10} {'ours ms':>10} {'ratio':>9} {'target':>8}")
    for name, measured in TABLE:
        if name in chosen.only:
            row = measured(part, repeats)
            print(
                f"{row.work:46} {row.floor:28} {row.floor_s * 1e3:10.3f} {row.ours_s * 1e3:10.3f} "
                f"{row.ratio:9.2f} {row.target:8.1f}{'' if row.ratio <= row.target else '  missed'}",
                flush=True,
            )


if __name__ == "__main__":
    main()
