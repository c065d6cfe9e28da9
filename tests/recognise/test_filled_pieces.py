"""Walls whose pieces are filled one by one, on a layer for something else."""

import msgspec
import numpy as np
import pytest

from takeoff.drawing.model import Drawing, LineSource, Linework, Loop
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.propose import propose
from takeoff.recognise.walls.bounding_lines import is_role, prepare
from takeoff.recognise.walls.filled_pieces import with_filled_pieces
from takeoff.recognise.walls.layer_roles import guess
from takeoff.recognise.walls.opening_evidence import with_windows
from tests.recognise.drawn import Sheet

Box = tuple[float, float, float, float]
FILL, OUTLINE = "DIM", "0"
COLUMNS = tuple((x, y, x + 400, y + 400) for x in (0, 5600) for y in (0, 3600))
WALLS = ((400, 0, 5600, 200), (400, 3800, 5600, 4000), (0, 400, 200, 3600), (5800, 400, 6000, 3600))
PARTITION = ((3000, 200, 3100, 1000), (3000, 1900, 3100, 3800))
WALL_BELOW = ((0, 0, 6000, 200),)
"""Columns of 400 in the corners of 6000 × 4000, walls of 200 between their outer sides, one of 100 with a gap, and the
lower one a second time, as some fill twice."""


def drawn(*pieces: Box, red: tuple[Box, ...] = (), bare: tuple[Box, ...] = ()) -> Drawing:
    """Each piece filled and with a line round it, those in ``red`` in another ink and ``bare`` ones with two faces and
    no more, dimension lines across and an arrow."""
    sheet = Sheet()
    for piece in (*pieces, *red):
        sheet.box(*piece, layer=OUTLINE)
    for x0, y0, x1, y1 in bare:
        sheet.line(x0, y0, x1, y0, OUTLINE).line(x0, y1, x1, y1, OUTLINE)
    sheet.line(1500, -500, 1500, 4500, FILL).line(-500, 2000, 6500, 2000, FILL).word("Kitchen", 1000, 1500)
    for piece in pieces:
        sheet.box(*piece, layer=f"{FILL}|")
    for piece in red:
        sheet.box(*piece, layer=f"{FILL}|red")
    sheet.ring((0, -300), (300, -250), (300, -350), layer=f"{FILL}|")
    plain = sheet.drawing()
    names = [layer.name for layer in plain.layers]
    fill, solid = names.index(FILL), np.array([name.startswith(f"{FILL}|") for name in names])
    sources = tuple(LineSource("PATH", role="solid" if k else "line") for k in solid.tolist())
    work = plain.lines
    on = np.where(solid[work.segment_layer], fill, work.segment_layer).astype(np.int32)
    lines = Linework(work.segments, on, work.segment_source, work.arcs, work.arc_layer, work.arc_source)
    loops = tuple(Loop(loop.vertices, fill, role="solid") for loop in plain.loops if solid[loop.layer])
    return msgspec.structs.replace(plain, lines=lines, sources=sources, loops=loops)


def areas(drawing: Drawing) -> list[float]:
    return sorted(round(sound_polygon(r).area / 1e6, 2) for s in propose(drawing)[0].storeys for r in s.rooms)


def test_rooms_go_round_the_columns_in_filled_walls() -> None:
    # 2.8 × 3.6 and 2.7 × 3.6, each less two corners of 0.2 × 0.2.
    assert areas(drawn(*COLUMNS, *WALLS, *PARTITION)) == [pytest.approx(9.64), pytest.approx(10.0)]


def test_neither_joints_nor_arrows_are_left() -> None:
    drawing = drawn(*COLUMNS, *WALLS, *PARTITION)
    lines = prepare(drawing, guess(drawing))
    found = with_filled_pieces(drawing, lines)
    outline = found.pick(found.role == "unknown").xy
    # Outside 4 sides; inside 4 of each room and 2 × 2 of columns, its side at the partition in two, whose ends are 2.
    assert len(outline) == 4 + 2 * (4 + 4 + 1) + 2
    assert (found.role == "dimension").sum() == 2 + 3


def test_few_filled_pieces_change_nothing() -> None:
    drawing = drawn(*COLUMNS)
    lines = prepare(drawing, guess(drawing))
    assert with_filled_pieces(drawing, lines) is lines


def test_what_a_printer_filled_by_triangles_is_one_wall() -> None:
    plain = drawn(*COLUMNS, *WALLS, *PARTITION)
    halves = [
        msgspec.structs.replace(loop, vertices=tuple(loop.vertices[k] for k in corners))
        for loop in plain.loops
        for corners in (((0, 1, 2), (2, 3, 0)) if len(loop.vertices) == 4 else ((0, 1, 2),))
    ]
    assert areas(msgspec.structs.replace(plain, loops=tuple(halves))) == [pytest.approx(9.64), pytest.approx(10.0)]


def test_a_column_that_stands_free_is_one_where_its_ink_fills_columns_in_walls() -> None:
    free = (1500, 1500, 1900, 1900)
    drawing = drawn(*WALLS, *PARTITION, *WALL_BELOW, red=(*COLUMNS, free))
    found = with_filled_pieces(drawing, prepare(drawing, guess(drawing)))
    # Nothing is left of the lines round each piece, and the free column has its four sides.
    x, y = (found.xy[found.role == "unknown"][:, k::2] + found.origin[k] for k in (0, 1))
    on_free = ((x >= free[0]) & (x <= free[2]) & (y >= free[1]) & (y <= free[3])).all(axis=1)
    assert (len(x), on_free.sum()) == (4 + 2 * (4 + 4 + 1) + 2 + 4, 4)


def test_two_lines_between_broader_columns_are_a_partition() -> None:
    # The upper wall is not filled, two faces of 120 between the columns in the corners.
    pieces = [piece for piece in (*WALLS, *PARTITION, *WALL_BELOW) if piece[1] != 3800]
    storeys = propose(drawn(*pieces, *COLUMNS, bare=((400, 3740, 5600, 3860),)))[0].storeys
    assert [o.kind for s in storeys for o in s.openings if o.width_mm > 2000] == []
    assert len([room for s in storeys for room in s.rooms]) == 2


@pytest.mark.parametrize(("wide", "panes"), [(2510.0, 2), (3600.0, 0)], ids=["window", "partition"])
def test_two_lines_as_long_as_a_window_may_be_are_panes_though_as_far_apart_as_a_partitions_faces(
    wide: float, panes: int
) -> None:
    """Between wall ends of 240: a sill flush with one face, and the glass 106 behind it."""
    sheet = Sheet()
    for x, out in ((0.0, -3000.0), (wide, 3000.0)):
        sheet.line(x, 0, x, 240, "0").line(x, 0, x + out, 0, "0").line(x, 240, x + out, 240, "0")
    for y in (134, 240):
        sheet.line(0, y, wide, y, "0")
    plan = sheet.drawing()
    found = with_windows(prepare(plan, guess(plan)))
    assert is_role(found, "glazing").sum() == panes
