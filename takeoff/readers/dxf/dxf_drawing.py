"""The reader itself: open, flatten, find the curves, hand over a Drawing."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from takeoff.drawing.model import Claim, Drawing, Layer, LineSource, Linework, Loop
from takeoff.errors import Finding, InputError, Where
from takeoff.files.from_outside import name_of
from takeoff.findings import noticed
from takeoff.geometry.facets import Run, faceted_runs, scattered_runs
from takeoff.language import number, tr
from takeoff.readers.dxf.blocks import Flattener
from takeoff.readers.dxf.dxf_entities import LINEWORK
from takeoff.readers.dxf.dxf_file import listening, open_dxf, rubbish_left
from takeoff.readers.dxf.dxf_log import Log, listed, names
from takeoff.readers.dxf.dxf_shapes import Shapes
from takeoff.units.printing import shown, shown_short

Progress = Callable[[float, str], None]

INSUNITS = {
    1: "in",
    2: "ft",
    3: "mi",
    4: "mm",
    5: "cm",
    6: "m",
    7: "km",
    8: "microinch",
    9: "mil",
    10: "yd",
    11: "angstrom",
    12: "nm",
    13: "um",
    14: "dm",
    15: "dam",
    16: "hm",
    17: "Gm",
    18: "au",
    19: "ly",
    20: "pc",
    21: "us_ft",
    22: "us_in",
    23: "us_yd",
    24: "us_mi",
}
"""$INSUNITS of the DXF reference (from memory), short names."""
HEADER_NUMBERS = ("$INSUNITS", "$MEASUREMENT", "$LUNITS", "$DIMLFAC", "$DIMSCALE")
CURVES = frozenset({"ARC", "CIRCLE", "ELLIPSE", "SPLINE", "HELIX"})
SMALL_SHARE = 0.005
"""Of the drawing's size: rounder things are taps and handles, and nobody has to look at them."""
SHARE_LOADING, SHARE_READING = 0.75, 0.2


def read(path: Path, progress: Progress | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """The drawing in its own units (``unit_mm`` 1) and everything worth knowing about it.

    Model space, or the paper space with most linework where the model is bare. Layers that are
    off or frozen are read too; ``Drawing.layers`` has their state. Raises InputError, one
    sentence, where there is no DXF or no linework in it.
    """
    path = Path(path)
    log = Log(name_of(path))
    say = progress or (lambda share, what: None)
    say(0.0, tr("Reading {file}", file=log.name))
    with listening(log):
        doc, digest = open_dxf(path, log)
        say(SHARE_LOADING, tr("Placing blocks"))
        with rubbish_left():
            drawing, found = _drawing(doc, digest, log, say)
    say(1.0, tr("Read"))
    return drawing, (*log.findings(), *found)


def _drawing(doc: Any, digest: str, log: Log, say: Progress) -> tuple[Drawing, tuple[Finding, ...]]:
    count = max(1, len(doc.entitydb))
    flattener = Flattener(
        doc, log, lambda n: say(SHARE_LOADING + SHARE_READING * min(1.0, n / count), tr("Placing blocks"))
    )
    shapes, space_findings = _space(doc, flattener, log)
    say(SHARE_LOADING + SHARE_READING, tr("Finding curves"))
    shapes, curve_findings = _with_curves(shapes)
    layers = tuple(flattener.table.layers)
    drawing = Drawing(
        name=log.name,
        layers=layers,
        lines=Linework(
            shapes.segments,
            shapes.segment_layer,
            shapes.segment_source,
            shapes.arcs,
            shapes.arc_layer,
            shapes.arc_source,
        ),
        loops=_loops(shapes),
        labels=tuple(shapes.labels),
        symbols=tuple(shapes.symbols),
        dimensions=tuple(shapes.dimensions),
        claims=(_header(doc), *_north(doc)),
        sources=tuple(shapes.sources),
        declared_unit=INSUNITS.get(_number(doc, "$INSUNITS"), ""),
        sha256=digest,
    )
    found = [*space_findings, *curve_findings, *_hidden(layers, drawing.lines)]
    return drawing, tuple(found)


def _space(doc: Any, flattener: Flattener, log: Log) -> tuple[Shapes, list[Finding]]:
    """The layout that is measured: the model, or the fullest paper space where it is bare."""
    shapes = flattener.layout(doc.modelspace())
    papers = {n: _lines_in(doc.layout(n)) for n in doc.layout_names() if n != "Model"}
    papers = {n: c for n, c in papers.items() if c}
    if _length(shapes):
        elsewhere = _counted(papers, log)
        return shapes, [noticed("paper-space-left", file=log.name, elsewhere=elsewhere)] if papers else []
    for best in sorted(papers, key=lambda n: -papers[n]):
        paper = flattener.layout(doc.layout(best))
        if _length(paper):
            rest = _counted({n: c for n, c in papers.items() if n != best}, log)
            return paper, [
                noticed(
                    "paper-space-read",
                    file=log.name,
                    space=log.name_in(best),
                    rest=tr(" Left out: {spaces}.", spaces=rest) if rest else "",
                )
            ]
    raise InputError(_bare(doc, log))


def _counted(papers: dict[str, int], log: Log) -> str:
    return ", ".join(tr("{count} in “{space}”", count=number(c), space=log.name_in(n)) for n, c in papers.items())


def _bare(doc: Any, log: Log) -> str:
    """Why there is nothing to measure, in one sentence."""
    holds = Counter(log.name_in(e.dxftype()) for e in doc.modelspace())
    reasons = [tr("it holds {things}", things=listed(holds)) if holds else tr("it is bare")]
    if log.repairs:
        reasons.append(tr("the file is damaged"))
    if log.unread:
        unread = sum((lost.kinds for lost in log.unread.values()), Counter[str]())
        reasons.append(tr("{things} could not be read", things=listed(unread)))
    if log.dropped:
        reasons.append(tr("coordinates are no numbers or beyond the Earth"))
    if log.xrefs:
        paths = ", ".join(path or name for name, (path, _) in log.xrefs.items())
        reasons.append(tr("it only refers to {paths}", paths=paths))
    return tr(
        "{file} has no lines to measure ({reasons}): save the plan itself as DXF and open that.",
        file=log.name,
        reasons=", ".join(reasons),
    )


def _length(shapes: Shapes) -> int:
    return len(shapes.segments) + len(shapes.arcs)


def _lines_in(layout: Any) -> int:
    return sum(1 for e in layout if e.dxftype() in LINEWORK)


def _number(doc: Any, key: str) -> int:
    value = doc.header.get(key, 0)
    return int(value) if isinstance(value, int | float) and abs(value) < 1e6 else 0


def _header(doc: Any) -> Claim:
    """What the header says about units, as a claim of kind "header"."""
    values = []
    for key in HEADER_NUMBERS:
        value = doc.header.get(key)
        if isinstance(value, int | float) and abs(value) < 1e12:
            values.append((key, float(value)))
    return Claim("header", "DXF header", values=tuple(values))


def _north(doc: Any) -> tuple[Claim, ...]:
    """Where north lies, as a claim of kind "north", where the drawing is placed on the Earth (GEODATA, its north vector
    in world coordinates). The angle in the header is passed over: every file has one, and its sense is not published.
    """
    for geodata in doc.objects.query("GEODATA"):
        if geodata.dxf.hasattr("north_direction"):
            x, y = float(geodata.dxf.north_direction.x), float(geodata.dxf.north_direction.y)
            if math.isfinite(x) and math.isfinite(y) and 1e-6 < math.hypot(x, y) < 1e6:
                return (Claim("north", "DXF GEODATA", values=(("x", x), ("y", y))),)
    return ()


def _loops(shapes: Shapes) -> tuple[Loop, ...]:
    made = []
    rows = list(map(tuple, shapes.loop_xyb.tolist()))
    start = shapes.loop_start.tolist()
    for i, (layer, s) in enumerate(zip(shapes.loop_layer.tolist(), shapes.loop_source.tolist(), strict=True)):
        source: LineSource = shapes.sources[s]
        role = source.role if source.role != "frame" else "line"
        made.append(Loop(tuple(rows[start[i] : start[i + 1]]), layer, role, source.handle))
    return tuple(made)


def _hidden(layers: tuple[Layer, ...], lines: Linework) -> list[Finding]:
    """A note on layers that are off or frozen and carry linework."""
    used = set(np.unique(np.concatenate((lines.segment_layer, lines.arc_layer))).tolist())
    hidden = [layer.name for i, layer in enumerate(layers) if i in used and layer.state != "on"]
    return [noticed("layers-hidden", layers=names(hidden))] if hidden else []


def _with_curves(shapes: Shapes) -> tuple[Shapes, list[Finding]]:
    """The same pieces with runs of facets as arcs, in linework and loops alike."""
    runs = _runs(shapes)
    sure = [(rows, r) for rows, r in runs if r.sure]
    smallest = SMALL_SHARE * _size(shapes)
    found = [_curve_finding(shapes, rows, r) for rows, r in runs if not r.sure and r.radius >= smallest]
    if not sure:
        return shapes, found
    gone = np.zeros(len(shapes.segments), bool)
    for rows, _ in sure:
        gone[rows] = True
    which = np.array([rows[0] for rows, r in sure for _ in r.arcs])
    arcs = np.array([a for _, r in sure for a in r.arcs])
    xyb, start = _curved_loops(shapes)
    first = sure[0][1]
    found.append(
        noticed(
            "facets-as-arc",
            Where(x_mm=first.arcs[0][0], y_mm=first.arcs[0][1]),
            count=number(len(sure)),
            sides=number(int(gone.sum())),
            radius=shown_short(first.radius, 3),
        )
    )
    return replace(
        shapes,
        segments=shapes.segments[~gone],
        segment_layer=shapes.segment_layer[~gone],
        segment_source=shapes.segment_source[~gone],
        arcs=np.concatenate((shapes.arcs, arcs)),
        arc_layer=np.concatenate((shapes.arc_layer, shapes.segment_layer[which])),
        arc_source=np.concatenate((shapes.arc_source, shapes.segment_source[which])),
        loop_xyb=xyb,
        loop_start=start,
    ), found


def _size(shapes: Shapes) -> float:
    """The longer side of what holds nearly all sides, without strays; 0 without any."""
    if not len(shapes.segments):
        return 0.0
    low, high = np.quantile(shapes.segments.reshape(-1, 2), (0.01, 0.99), axis=0)
    return float((high - low).max())


def _runs(shapes: Shapes) -> list[tuple[Any, Run]]:
    """Rows and run of every curve in facets: first along polylines, then among what is left, whose
    sides lie in any order."""
    layers = np.where(
        _from_curve(shapes)[shapes.segment_source], -1 - np.arange(len(shapes.segments)), shapes.segment_layer
    )
    runs = [(np.arange(r.first, r.last + 1), r) for r in faceted_runs(shapes.segments, layers)]
    left = layers >= 0
    for rows, _ in runs:
        left[rows] = False
    rest = np.flatnonzero(left)
    runs += [(rest[rows], r) for rows, r in scattered_runs(shapes.segments[rest], layers[rest])]
    return runs


def _from_curve(shapes: Shapes) -> Any:
    """Which sources are curves themselves: their sides are chords that the reader made."""
    return np.array([s.entity in CURVES for s in shapes.sources], bool)


def _curve_finding(shapes: Shapes, rows: Any, run: Run) -> Finding:
    x, y = shapes.segments[rows[0], :2].tolist()
    sides = run.last - run.first + 1
    at = Where(x_mm=x, y_mm=y)
    return noticed("facets-unclear", at, sides=sides, **_figures(run, x, y))


def _figures(run: Run, x: float, y: float) -> dict[str, Any]:
    return {
        "turn_deg": shown(run.turn_deg, 1),
        "x": shown_short(x, 3),
        "y": shown_short(y, 3),
        "radius": shown_short(run.radius, 3),
    }


def _curved_loops(shapes: Shapes) -> tuple[np.ndarray[Any, np.dtype[np.float64]], Any]:
    xyb, start = shapes.loop_xyb, shapes.loop_start.astype(np.int64)
    if not len(xyb):
        return xyb, shapes.loop_start
    count = np.diff(start)
    owner = np.repeat(np.arange(len(count)), count)
    following = np.arange(len(xyb)) + 1
    following[start[1:] - 1] = start[:-1]
    sides = np.concatenate((xyb[:, :2], xyb[following, :2]), axis=1)
    curve = _from_curve(shapes)[shapes.loop_source][owner]
    group = np.where((xyb[:, 2] == 0.0) & ~curve, owner, -1 - np.arange(len(xyb)))
    keep, bulge = np.ones(len(xyb), bool), xyb[:, 2].copy()
    for r in faceted_runs(sides, group):
        if r.sure:
            keep[r.first : r.last + 1] = False
            corners = [r.first] if len(r.arcs) == 1 else [r.first, r.first + (r.last - r.first + 1) // 2]
            for i, a in zip(corners, r.arcs, strict=True):
                keep[i], bulge[i] = True, a[4]
    kept = np.bincount(owner[keep], minlength=len(count))
    return (np.column_stack((xyb[:, :2], bulge))[keep], np.concatenate(([0], np.cumsum(kept))).astype(np.int32))
