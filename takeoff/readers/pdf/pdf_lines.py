"""The linework of a page: pieces by pen become segments, arcs and loops on layers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

import numpy as np
from msgspec.structs import replace as replaced

from takeoff.drawing.model import Floats, LineSource, Linework, Loop
from takeoff.geometry.facets import Run, faceted_runs
from takeoff.geometry.filled_strips import filled_strips
from takeoff.geometry.glyphs import written
from takeoff.geometry.run_together import edges_of, run_together
from takeoff.geometry.touching_fills import together
from takeoff.readers.pdf.beziers import Bools, Ints, Pieces, pieces
from takeoff.readers.pdf.paper import Paper, boxes_of, clipped, inside
from takeoff.readers.pdf.parted_dashes import broad_dashes, dashes
from takeoff.readers.pdf.pdf_messages import Content
from takeoff.readers.pdf.pdf_pens import MM_PER_POINT, PenRow, line_name
from takeoff.readers.pdf.strewn_strokes import strewn

MEET_MM = 0.002
"""Ends closer than this on paper close a path: coordinates are kept in 32 bits."""
WIDE_MM, NARROWEST_MM = 0.25, 0.03
"""Of strips that are lines it is told to half or twice how wide they are: wide lines are twice as wide as narrow ones
(ISO 128 practice, from memory), and a plot rounds widths to its steps."""
LETTER_MM = 6.0
LETTER_SIDES = 6
"""Filled shapes smaller than a capital on a title, with curves or many sides, are letters."""
DOT_MM = 0.8
"""And whatever is filled and no larger than this is a dot or the head of an arrow: 80 mm of a building at 1:100."""
BACKGROUND_SHARE = 0.6
LINE, SOLID, UNSEEN, SPECK = 0, 1, 2, 3
_ROLES: dict[int, Literal["solid", "hatch"]] = {SOLID: "solid", SPECK: "hatch"}


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a page's paths came to, with the counts that its findings tell."""

    lines: Linework
    loops: tuple[Loop, ...]
    sources: tuple[LineSource, ...]
    chorded: int
    unseen: int
    cut: int
    hairs: int
    letters: int
    stroked: int
    inked: int
    runs: tuple[Run, ...]
    unclear: tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Paths:
    """Per subpath: its paint, layer, linetype (1: dashed), whether it closes, whether it is filled, the ink of that
    (n, 3), how wide its pen is on paper, how wide a line is that was drawn as a filled strip (0: it was not), and which
    subpath of the page it is or has its pen and clip from."""

    paint: Ints
    layer: Ints
    dashed: Ints
    closed: Bools
    filled: Bools
    ink: Ints
    wide_mm: Floats
    strip_mm: Floats
    came: Ints

    def pick(self, rows: Ints) -> Paths:
        """Those of these rows, which may come several times."""
        return Paths(
            self.paint[rows],
            self.layer[rows],
            self.dashed[rows],
            self.closed[rows],
            self.filled[rows],
            self.ink[rows],
            self.wide_mm[rows],
            self.strip_mm[rows],
            self.came[rows],
        )

    def __len__(self) -> int:
        return len(self.paint)


def linework(content: Content, paper: Paper, pens: tuple[PenRow, ...], letters_layer: int) -> Drawn:
    """All that is seen of a page's paths. A page without paths gives empty linework."""
    path = np.frombuffer(content.path, np.int32).astype(np.int64)
    found = pieces(
        _moved(content.sides, paper),
        np.frombuffer(content.curve, np.int32).astype(np.int64),
        path,
        _moved(content.controls, paper),
    )
    paths = _paths(content, pens)
    unseen = np.bincount(path, minlength=len(paths)) > 0
    unseen &= (paths.paint == UNSEEN) | _background(found, paths, paper)
    found = _only(found, ~unseen[found.path])
    found, paths, hairs = _hairs(_shut(found, paths), paths)
    found, paths = _joined(found, paths, content)
    found, paths = _barred(found, paths)
    paths = _broken(found, paths)
    found, paths, inked = _inked(found, paths)
    paths, letters = _letters(found, paths, letters_layer)
    paths, written_out = _stroked(found, paths, letters_layer)
    line = paths.paint[found.path] == LINE
    specks = strewn(found.xyxyb[line, :4], found.path[line], np.where(paths.layer == letters_layer, -1, paths.layer))
    paths = replace(paths, paint=np.where(specks, SPECK, paths.paint))
    found, runs, unclear = _curved(found, paths)
    boxes = _seen(content, paper)[paths.came]
    whole = inside(found, boxes[found.path])
    partly = np.bincount(found.path[~whole], minlength=len(paths)) > 0
    shown = clipped(found, boxes[found.path])
    sources, of_path = _sources(paths, content, pens)
    loops = _loops(_only(found, ~partly[found.path]), paths)
    return Drawn(
        _lines(shown, paths, of_path),
        loops,
        sources,
        found.chorded,
        int(unseen.sum()),
        int(partly.sum()),
        hairs,
        letters,
        written_out,
        inked,
        runs,
        unclear,
    )


def _moved(data: bytes, paper: Paper) -> Floats:
    points = np.frombuffer(data, np.float64).reshape(-1, 2)
    return paper.points(points).reshape(-1, 4)


def _only(p: Pieces, chosen: Bools) -> Pieces:
    return Pieces(p.xyxyb[chosen], p.path[chosen], p.chorded)


def _paths(content: Content, pens: tuple[PenRow, ...]) -> Paths:
    pen = np.frombuffer(content.pen, np.int32).astype(np.int64)
    kinds = {"line": LINE, "solid": SOLID, "unseen": UNSEEN}
    table = np.array(
        [(kinds[p.paint], p.layer, int(p.linetype == "DASHED"), int(p.filled)) for p in pens] or [(UNSEEN, 0, 0, 0)]
    )
    ink = np.array([p.fill or (0, 0, 0) for p in content.pens] or [(0, 0, 0)])
    wide = np.array([p.width if p.stroke is not None else 0.0 for p in content.pens] or [0.0]) * MM_PER_POINT
    rows = table[pen]
    closed = np.frombuffer(content.closed, np.uint8).astype(bool)
    # What is filled is closed, whether the path says so or not.
    closed = closed | (rows[:, 0] == SOLID)
    strip = np.zeros(len(pen))
    filled = rows[:, 3] > 0
    return Paths(rows[:, 0], rows[:, 1], rows[:, 2], closed, filled, ink[pen], wide[pen], strip, np.arange(len(pen)))


def _seen(content: Content, paper: Paper) -> Floats:
    page = np.array([0.0, 0.0, paper.width_mm, paper.height_mm])
    clips = paper.boxes(np.array(content.clips)) if content.clips else np.zeros((0, 4))
    return boxes_of(np.frombuffer(content.clip, np.int32).astype(np.int64), clips, page)


def _extents(p: Pieces, count: int) -> tuple[Floats, Floats]:
    """Lower and upper corner (count, 2) of every subpath; reversed infinities where it is empty."""
    low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    np.minimum.at(low, p.path, np.minimum(p.xyxyb[:, :2], p.xyxyb[:, 2:4]))
    np.maximum.at(high, p.path, np.maximum(p.xyxyb[:, :2], p.xyxyb[:, 2:4]))
    return low, high


def _background(p: Pieces, paths: Paths, paper: Paper) -> Bools:
    """Fills that cover most of the sheet: its paper colour, no body."""
    low, high = _extents(p, len(paths))
    size = np.where(np.isfinite(high - low), high - low, 0.0)
    area = size[:, 0] * size[:, 1]
    few = np.bincount(p.path, minlength=len(paths)) <= 5
    large = area > BACKGROUND_SHARE * paper.width_mm * paper.height_mm
    return np.asarray(few & (paths.paint == SOLID) & large, bool)


def _shut(p: Pieces, paths: Paths) -> Pieces:
    """The pieces, with the last side of what is filled without being closed."""
    if not len(p.path):
        return p
    last = np.flatnonzero(np.append(np.diff(p.path) != 0, True))
    first = np.concatenate(([0], last[:-1] + 1))
    back = np.column_stack((p.xyxyb[last, 2:4], p.xyxyb[first, :2], np.zeros(len(last))))
    is_open = (paths.paint[p.path[last]] == SOLID) & (np.abs(back[:, :2] - back[:, 2:4]).max(axis=1) > MEET_MM)
    after = last[is_open] + 1
    xyxyb = np.insert(p.xyxyb, after, back[is_open], axis=0)
    return Pieces(xyxyb, np.insert(p.path, after, p.path[last[is_open]]), p.chorded)


class _Strips(NamedTuple):
    """Filled shapes of four sides with parallel ones: their subpaths, the first piece of each, the lines along their
    middle one way and the other (n, 4), and how long they are one way and the other."""

    four: Ints
    first: Ints
    flat: Floats
    steep: Floats
    ab: Floats
    bc: Floats


def _strips(p: Pieces, paths: Paths) -> _Strips | None:
    """What is filled between four straight sides; None where nothing is."""
    first = np.searchsorted(p.path, np.arange(len(paths)))
    four = np.flatnonzero(_four_sided(p, paths))
    if not len(four):
        return None
    a, b, c = (p.xyxyb[first[four] + k, :2] for k in range(3))
    d = p.xyxyb[first[four] + 2, 2:4]
    ab, bc = np.hypot(*(b - a).T), np.hypot(*(c - b).T)
    square = np.hypot(*(a + c - b - d).T) <= 0.1 * np.maximum(ab, bc)
    flat, steep = np.hstack(((a + d) / 2.0, (b + c) / 2.0)), np.hstack(((a + b) / 2.0, (c + d) / 2.0))
    found = _Strips(four, first[four], flat, steep, ab, bc)
    return _Strips(*(column[square] for column in found)) if square.any() else None


def _hairs(p: Pieces, paths: Paths) -> tuple[Pieces, Paths, int]:
    """Thin filled strips become the line along their middle."""
    rows = np.flatnonzero(_four_sided(p, paths))
    first = np.searchsorted(p.path, rows)
    pen = np.unique(np.column_stack((paths.layer[rows], paths.ink[rows])), axis=0, return_inverse=True)[1].reshape(-1)
    strips = filled_strips(p.xyxyb[first[:, None] + np.arange(3), :4], pen)
    if not strips.thin.any():
        return p, paths, 0
    rows, first = rows[strips.thin], first[strips.thin]
    kept = ~np.isin(p.path, rows)
    kept[first] = True
    xyxyb = p.xyxyb.copy()
    xyxyb[first, :4] = strips.middle[strips.thin]
    paint, closed, filled = paths.paint.copy(), paths.closed.copy(), paths.filled.copy()
    paint[rows], closed[rows], filled[rows] = LINE, False, False
    strip = paths.strip_mm.copy()
    strip[rows] = WIDE_MM * 2.0 ** np.round(np.log2(np.maximum(strips.wide[strips.thin], NARROWEST_MM) / WIDE_MM))
    made = replace(paths, paint=paint, closed=closed, filled=filled, strip_mm=strip)
    return _only(Pieces(xyxyb, p.path, p.chorded), kept), made, len(rows)


def _four_sided(p: Pieces, paths: Paths) -> Bools:
    """Which subpaths are filled between four straight sides."""
    count = np.bincount(p.path, minlength=len(paths))
    bent = np.bincount(p.path, weights=p.xyxyb[:, 4] != 0.0, minlength=len(paths)) > 0
    return np.asarray((paths.paint == SOLID) & ((count == 4) | (count == 3)) & ~bent)


def _barred(p: Pieces, paths: Paths) -> tuple[Pieces, Paths]:
    """The dashes of a broad line that are filled one by one become broken lines along their middle."""
    strips = _strips(p, paths)
    if strips is None:
        return p, paths
    four, first, flat, steep, ab, bc = strips
    along, across = (broad_dashes(middle, wide, paths.layer[four]) for middle, wide in ((flat, bc), (steep, ab)))
    chosen = along | across
    if not chosen.any():
        return p, paths
    rows = four[chosen]
    kept = ~np.isin(p.path, rows)
    kept[first[chosen]] = True
    xyxyb = p.xyxyb.copy()
    xyxyb[first[chosen], :4] = np.where(along[:, None], flat, steep)[chosen]
    paint, closed, filled, dashed = paths.paint.copy(), paths.closed.copy(), paths.filled.copy(), paths.dashed.copy()
    paint[rows], closed[rows], filled[rows], dashed[rows] = LINE, False, False, 1
    made = replace(paths, paint=paint, closed=closed, filled=filled, dashed=dashed)
    return _only(Pieces(xyxyb, p.path, p.chorded), kept), made


def _joined(p: Pieces, paths: Paths, content: Content) -> tuple[Pieces, Paths]:
    """Pieces of what is filled that touch in one ink, on one layer and in one viewport, as the shape that is seen."""
    thing = np.frombuffer(content.thing, np.int32).astype(np.int64)[paths.came]
    clip = np.frombuffer(content.clip, np.int32).astype(np.int64)[paths.came]
    # Layers that the file names part what is filled; those that are made of inks do not.
    named = {name: k for k, name in enumerate(sorted({pen.layer for pen in content.pens}))}
    pens = np.array([named[pen.layer] for pen in content.pens] or [0])
    layer = pens[np.frombuffer(content.pen, np.int32).astype(np.int64)[paths.came]]
    kind = layer * (len(content.clips) + 1) + clip + 1
    joined = together(p.xyxyb, p.path, paths.paint == SOLID, thing, kind, paths.ink)
    if joined is None:
        return p, paths
    kept = ~joined.replaced[p.path]
    number = np.repeat(len(paths) + np.arange(len(joined.rings)), [len(r) for r in joined.rings])
    xyxyb, path = np.concatenate((p.xyxyb[kept], *joined.rings)), np.concatenate((p.path[kept], number))
    return Pieces(xyxyb, path, p.chorded), paths.pick(np.concatenate((np.arange(len(paths)), joined.lender)))


def _inked(p: Pieces, paths: Paths) -> tuple[Pieces, Paths, int]:
    """Strokes whose ink runs together as the shape that they fill; its edge stands for lines that draw it too."""
    straight = np.flatnonzero((paths.paint[p.path] == LINE) & (p.xyxyb[:, 4] == 0.0) & (paths.dashed[p.path] == 0))
    of = p.path[straight]
    pen = np.unique(np.column_stack((paths.layer[of], np.round(paths.wide_mm[of] * 1000))), axis=0, return_inverse=True)
    filled = run_together(p.xyxyb[straight, :4], pen[1].reshape(-1), paths.wide_mm[of])
    if filled is None:
        return p, paths, 0
    lines = straight[~filled.fills]
    rings, along = edges_of(filled, p.xyxyb[lines])
    kept = np.ones(len(p.path), bool)
    kept[straight[filled.fills]] = kept[lines[along]] = False
    lender = np.repeat(filled.lender, [1 + len(s.interiors) for s in filled.shapes])
    made = paths.pick(np.concatenate((np.arange(len(paths)), of[lender])))
    new = np.arange(len(made)) >= len(paths)
    made = replace(made, paint=np.where(new, SOLID, made.paint), filled=made.filled | new, closed=made.closed | new)
    path = np.concatenate((p.path[kept], np.repeat(len(paths) + np.arange(len(rings)), [len(r) for r in rings])))
    xyxyb = np.concatenate((p.xyxyb[kept], *rings))
    return Pieces(xyxyb, path, p.chorded), made, int(filled.fills.sum())


def _broken(p: Pieces, paths: Paths) -> Paths:
    """Lines that are drawn dash by dash are broken ones."""
    line = (paths.paint[p.path] == LINE) & (p.xyxyb[:, 4] == 0.0)
    pen = paths.layer * 100_000 + np.round(paths.wide_mm * 1000).astype(np.int64)
    found = dashes(p.xyxyb[line, :4], p.path[line], pen)
    return replace(paths, dashed=np.where(found, 1, paths.dashed))


def _letters(p: Pieces, paths: Paths, letters_layer: int) -> tuple[Paths, int]:
    """Small filled shapes with curves or many sides go to the layer of letters."""
    low, high = _extents(p, len(paths))
    size = np.where(np.isfinite(high - low), high - low, np.inf).max(axis=1)
    bent = np.bincount(p.path, weights=p.xyxyb[:, 4] != 0.0, minlength=len(paths)) > 0
    many = np.bincount(p.path, minlength=len(paths)) >= LETTER_SIDES
    letters = (paths.paint == SOLID) & ((size <= LETTER_MM) & (bent | many) | (size <= DOT_MM))
    layer = np.where(letters, letters_layer, paths.layer)
    return replace(paths, layer=layer), int(letters.sum())


def _stroked(p: Pieces, paths: Paths, letters_layer: int) -> tuple[Paths, int]:
    """Letters drawn as lines go to the layer of letters, whatever pen or layer they have."""
    line = (paths.paint[p.path] == LINE) & (paths.dashed[p.path] == 0)
    # On a page with layers of its own one layer is drawn with many pens.
    pen = np.column_stack((paths.layer, paths.strip_mm > 0.0, np.round(paths.wide_mm * 1000)))
    pen = np.unique(pen, axis=0, return_inverse=True)[1].reshape(-1)
    found = written(p.xyxyb[line, :4], p.path[line], pen)
    return replace(paths, layer=np.where(found, letters_layer, paths.layer)), int(found.sum())


def _curved(p: Pieces, paths: Paths) -> tuple[Pieces, tuple[Run, ...], tuple[Run, ...]]:
    """Runs of facets as arcs: within a closed path, or along open ones of one layer."""
    straight = np.flatnonzero((p.xyxyb[:, 4] == 0.0) & (paths.paint[p.path] == LINE))
    of = p.path[straight]
    group = np.where(paths.closed[of], of, -1 - paths.layer[of])
    # A bent piece between two straight ones parts them: their ends do not meet then.
    runs = faceted_runs(p.xyxyb[straight, :4], group)
    sure = [r for r in runs if r.sure]
    unclear = tuple(r for r in runs if not r.sure)
    if not sure:
        return p, (), unclear
    kept, xyxyb = np.ones(len(p.path), bool), p.xyxyb.copy()
    for run in sure:
        rows = straight[run.first : run.last + 1]
        kept[rows] = False
        for row, arc in zip((rows[0], rows[len(rows) // 2]), run.arcs, strict=False):
            kept[row], xyxyb[row] = True, arc
    return _only(Pieces(xyxyb, p.path, p.chorded), kept), tuple(sure), unclear


def _sources(paths: Paths, content: Content, pens: tuple[PenRow, ...]) -> tuple[tuple[LineSource, ...], Ints]:
    """(the kinds of path there are, the kind of each subpath). The outline of what is filled is a solid,
    whether a pen draws it too or not; a line that was filled as a strip has a pen as wide as that."""
    kinds = (
        LineSource("PATH"),
        LineSource("PATH", linetype="DASHED"),
        LineSource("PATH", role="solid"),
        LineSource("PATH", role="hatch"),
    )
    of = np.where((paths.paint == SOLID) | paths.filled, 2, np.where(paths.dashed > 0, 1, 0))
    of = np.where(paths.paint == SPECK, 3, of)
    if not len(of):
        return kinds, of
    pen = np.frombuffer(content.pen, np.int32).astype(np.int64)[paths.came]
    ways = np.column_stack((pen, of, np.round(paths.strip_mm * 1000).astype(np.int64)))
    used, row = np.unique(ways, axis=0, return_inverse=True)
    made = []
    for p, kind, strip in used.tolist():
        name, weight = pens[p].name, pens[p].weight_mm
        if strip:
            weight = round(strip / 1000, 2)
            name = line_name(content.pens[p].fill or (0, 0, 0), weight)
        made.append(replaced(kinds[kind], pen=name, weight_mm=weight))
    return tuple(made), row.reshape(-1)


def _lines(p: Pieces, paths: Paths, source: Ints) -> Linework:
    there = np.any(p.xyxyb[:, :2] != p.xyxyb[:, 2:4], axis=1)
    bent = there & (p.xyxyb[:, 4] != 0.0)
    plain = there & ~bent
    layer = paths.layer[p.path].astype(np.int32)
    kind = source[p.path].astype(np.int32)
    return Linework(p.xyxyb[plain, :4].copy(), layer[plain], kind[plain], p.xyxyb[bent], layer[bent], kind[bent])


def _loops(p: Pieces, paths: Paths) -> tuple[Loop, ...]:
    """Subpaths that close by themselves: at least three pieces, or two with an arc."""
    if not len(p.path):
        return ()
    first = np.flatnonzero(np.concatenate(([True], np.diff(p.path) != 0)))
    last = np.concatenate((first[1:], [len(p.path)])) - 1
    owner = p.path[first]
    meets = np.abs(p.xyxyb[first, :2] - p.xyxyb[last, 2:4]).max(axis=1) <= MEET_MM
    ring = meets | paths.closed[owner]
    number = last - first + 1
    bent = np.maximum.reduceat(p.xyxyb[:, 4] != 0.0, first)
    ring &= (number >= 3) | ((number == 2) & bent)
    made = []
    rows = p.xyxyb[:, [0, 1, 4]].tolist()
    for i in np.flatnonzero(ring):
        path = int(owner[i])
        vertices = tuple((x, y, b) for x, y, b in rows[first[i] : last[i] + 1])
        role: Literal["line", "solid", "hatch"] = _ROLES.get(int(paths.paint[path]), "line")
        made.append(Loop(vertices, int(paths.layer[path]), role))
    return tuple(made)
