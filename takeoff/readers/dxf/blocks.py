"""Layouts and blocks flattened: each block once, then placed wherever it is inserted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

import msgspec
import numpy as np
from ezdxf.math import OCS, Vec3

from takeoff.drawing.model import Dimension, Floats, Ints, Label, Layer, LineSource, Symbol
from takeoff.errors import Where
from takeoff.geometry.chords import chord_count, chords
from takeoff.readers.dxf import dxf_words as words
from takeoff.readers.dxf.dxf_entities import READERS, text_label
from takeoff.readers.dxf.dxf_log import FILLS, PARSER_FAULTS, Log
from takeoff.readers.dxf.dxf_shapes import (
    CHORD_STEP_DEG,
    FARTHEST,
    INHERITED,
    STRAIGHT_BULGE,
    WORD_COST,
    Frame,
    Gather,
    Shapes,
    similar,
)

MOST_PIECES = 2_000_000
"""Pieces that inserts may make in one layout; in all levels of nesting together three times it."""
DEEPEST = 60
"""Levels of nesting, far beyond any drawn on purpose."""
READ_STEP = 5_000
"""Entities between two signs of progress."""


class LayerTable:
    """The layers by name; a name that the table lacks is added as an ordinary layer."""

    def __init__(self, doc: Any, log: Log) -> None:
        self.log = log
        self.layers: list[Layer] = []
        self.linetypes: list[str] = []
        self._index: dict[str, int] = {}
        self.add("0")
        for record in doc.layers:
            ns = record.dxf.__dict__
            colour, flags = ns.get("color", 7), ns.get("flags", 0)
            state = "frozen" if flags & 1 else "off" if colour < 0 else "on"
            name = log.name_in(ns.get("name", "0"))
            layer = Layer(name, state, abs(colour), log.name_in(ns.get("linetype", "CONTINUOUS")).upper())  # type: ignore[arg-type]
            at = self.add(str(ns.get("name", "0")))
            self.layers[at], self.linetypes[at] = layer, layer.linetype

    def add(self, name: str) -> int:
        """The index of the layer of this name."""
        index = self._index.get(name)
        if index is None:
            key = name.casefold()
            index = self._index.get(key)
            if index is None:
                index = len(self.layers)
                self.layers.append(Layer(self.log.name_in(name)))
                self.linetypes.append("CONTINUOUS")
            self._index[name] = self._index[key] = index
        return index

    def name(self, index: int) -> str:
        return self.layers[index].name


class Flattener:
    """Flattens containers; keeps every block it has flattened, and what it may still spend."""

    def __init__(self, doc: Any, log: Log, said: Callable[[int], None] | None = None) -> None:
        self.doc, self.log, self.said = doc, log, said
        self.table = LayerTable(doc, log)
        self.blocks: dict[str, Shapes | None] = {}
        self.left = 3 * MOST_PIECES
        self.under_way: list[str] = []
        self.done = 0

    def layout(self, entities: Iterable[Any]) -> Shapes:
        """All pieces of a layout in its coordinates."""
        return self._flatten(entities, top=True)

    def _flatten(self, entities: Iterable[Any], top: bool) -> Shapes:
        g = Gather(top, self.table.add, self.table.linetypes, self.log)
        inserts: dict[str, list[Placement]] = {}
        for e in entities:
            self._read(e, g, inserts)
        own = g.seal(self.table.name)
        parts = [own]
        total = own.size()
        for key, at in inserts.items():
            block = self.blocks[key]
            if block is None:
                continue
            fitting, total = self._fitting(block, at, total)
            if fitting:
                parts += self._on_earth(block, fitting, top)
        return concatenated(parts)

    def _on_earth(self, block: Shapes, at: list[Placement], top: bool) -> list[Shapes]:
        """The block where it is placed, without the placements that move it off the Earth (a scale beyond
        all measure)."""
        parts = placed(block, at, top, self.table.linetypes, self.log)
        if all(within_reach(part) for part in parts):
            return parts
        kept: list[Shapes] = []
        for one in at:
            own = placed(block, [one], top, self.table.linetypes, self.log)
            if all(within_reach(part) for part in own):
                kept += own
            else:
                self.log.drop("INSERT", one.handle, "" if one.layer == INHERITED else self.table.name(one.layer))
        return kept

    def _read(self, e: Any, g: Gather, inserts: dict[str, list[Placement]]) -> None:
        kind = e.dxftype()
        ns = e.dxf.__dict__
        self.done += 1
        if self.said is not None and not self.done % READ_STEP:
            self.said(self.done)
        if ns.get("invisible", 0):
            self.log.invisible += 1
            return
        self.log.filling = kind in FILLS
        try:
            read = READERS.get(kind)
            if read is not None:
                read(e, g)
            elif kind == "INSERT":
                self._insert(e, ns, g, inserts)
            else:
                self.log.not_lines[self.log.name_in(kind)] += 1
        except PARSER_FAULTS as error:
            self.log.fault(kind, self.log.name_in(ns.get("handle") or ""), error, str(ns.get("layer", "0")))

    def _insert(self, e: Any, ns: dict[str, Any], g: Gather, inserts: dict[str, list[Placement]]) -> None:
        name = str(ns.get("name", ""))
        key = name.casefold()
        attributes = self._attributes(e, g)
        if not self._known(name, key, ns):
            return
        block = self.doc.blocks.get(name)
        layer = g.layer(ns)
        hides = layer != INHERITED and self.table.layers[layer].state == "frozen"
        base = block.block.dxf.__dict__.get("base_point") or Vec3()
        frames, (x, y) = insert_frames(ns, base)
        if len(frames) == 0:
            self.log.too_many[self.log.name_in(name)] = ns.get("row_count", 1) * ns.get("column_count", 1)
            return
        if not all(abs(v) < FARTHEST for f in frames for v in f):
            self.log.drop("INSERT", self.log.name_in(ns.get("handle") or ""), str(ns.get("layer", "0")))
            return
        inserts.setdefault(key, []).append(
            Placement(
                self.log.name_in(true_name(self.doc, block, name)),
                frames,
                layer,
                hides,
                self.log.name_in(ns.get("linetype", "BYLAYER")).upper(),
                g.handle(ns),
                x,
                y,
                float(ns.get("xscale", 1.0)),
                float(ns.get("yscale", 1.0)),
                float(ns.get("rotation", 0.0)),
                attributes,
            )
        )

    def _known(self, name: str, key: str, ns: dict[str, Any]) -> bool:
        """Flattens the block if need be; False where there is nothing to place."""
        if key in self.under_way:
            self.log.cycles.add(self.log.name_in(name))
            return False
        if key in self.blocks:
            return self.blocks[key] is not None
        if len(self.under_way) >= DEEPEST:
            self.log.too_deep.add(self.log.name_in(name))
            return False
        block = self.doc.blocks.get(name)
        if block is None or block.block is None:
            self.log.missing[self.log.name_in(name)] += 1
            return False
        if block.block.is_xref or block.block.is_xref_overlay:
            path = self.log.name_in(block.block.dxf.get("xref_path", ""))
            at = ns.get("insert", Vec3())
            place = Where(x_mm=at.x, y_mm=at.y) if abs(at.x) + abs(at.y) < FARTHEST else Where()
            self.log.xrefs.setdefault(self.log.name_in(name), (path, place))
            self.blocks[key] = None
            return False
        self.under_way.append(key)
        self.blocks[key] = self._flatten(block, top=False)
        self.under_way.pop()
        return True

    def _attributes(self, e: Any, g: Gather) -> tuple[tuple[str, str], ...]:
        """Tag and text of every attribute; those that show are labels too."""
        found = []
        name = self.log.name_in(e.dxf.__dict__.get("name", ""))
        for a in e.attribs:
            ns = a.dxf.__dict__
            long = a.virtual_mtext_entity() if a.has_embedded_mtext_entity else None
            plain = (
                words.plain(long.text, self.log, many_lines=True)
                if long is not None
                else words.plain(str(ns.get("text", "")), self.log)
            )
            tag = self.log.name_in(ns.get("tag", ""))
            found.append((tag, plain))
            if not ns.get("flags", 0) & 1 and not ns.get("invisible", 0):
                label: Label | None = text_label(ns, plain, g, tag, name)
                if label is not None:
                    g.labels.append(label)
        return tuple(found)

    def _fitting(self, block: Shapes, at: list[Placement], total: int) -> tuple[list[Placement], int]:
        """The placements that the limit on pieces allows, and the pieces so far."""
        each = block.size() + WORD_COST
        fitting = []
        for p in at:
            cost = each * len(p.frames)
            if total + cost > MOST_PIECES or cost > self.left:
                self.log.too_many[p.name] = self.log.too_many.get(p.name, 0) + cost
                continue
            total += cost
            self.left -= cost
            fitting.append(p)
        return fitting, total


def insert_frames(ns: dict[str, Any], base: Vec3) -> tuple[tuple[Frame, ...], tuple[float, float]]:
    """The frames of an insert, one per cell of its array (spacing is not scaled, but turned), and
    its insertion point in the plan. No frames where the array is absurd."""
    sx, sy = float(ns.get("xscale", 1.0)), float(ns.get("yscale", 1.0))
    angle = math.radians(float(ns.get("rotation", 0.0)))
    c, s = math.cos(angle), math.sin(angle)
    at = ns.get("insert") or Vec3()
    n = ns.get("extrusion")
    ux, uy, uz = (1.0, 0.0), (0.0, 1.0), (0.0, 0.0)
    if n is not None and not (n.x == 0.0 and n.y == 0.0 and n.z > 0.0):
        ocs = OCS(n)
        ux, uy, uz = (ocs.ux.x, ocs.ux.y), (ocs.uy.x, ocs.uy.y), (ocs.uz.x, ocs.uz.y)
    ax, ay = sx * (c * ux[0] + s * uy[0]), sx * (c * ux[1] + s * uy[1])
    bx, by = sy * (c * uy[0] - s * ux[0]), sy * (c * uy[1] - s * ux[1])
    rows = int(ns.get("row_count", 1)) if ns.get("row_spacing", 0.0) else 1
    columns = int(ns.get("column_count", 1)) if ns.get("column_spacing", 0.0) else 1
    rows, columns = max(1, rows), max(1, columns)
    if rows * columns > MOST_PIECES // 10:
        return (), (0.0, 0.0)
    frames = []
    for row in range(rows):
        for column in range(columns):
            u = column * float(ns.get("column_spacing", 0.0))
            v = row * float(ns.get("row_spacing", 0.0))
            px, py = at.x + c * u - s * v, at.y + s * u + c * v
            x, y = (px * ux[i] + py * uy[i] + at.z * uz[i] for i in (0, 1))
            frames.append((ax, bx, ay, by, x - ax * base.x - bx * base.y, y - ay * base.x - by * base.y))
    f = frames[0]
    return tuple(frames), (f[4] + ax * base.x + bx * base.y, f[5] + ay * base.x + by * base.y)


def true_name(doc: Any, block: Any, name: str) -> str:
    """The name a person gave: an anonymous copy of a dynamic block names its original."""
    if not name.startswith("*U"):
        return name
    record = block.block_record
    if record is None or not record.has_xdata("AcDbBlockRepBTag"):
        return name
    for tag in record.get_xdata("AcDbBlockRepBTag"):
        if tag.code == 1005:
            original = doc.entitydb.get(tag.value)
            return str(original.dxf.name) if original is not None else name
    return name


def within_reach(shapes: Shapes) -> bool:
    """Whether all of it lies on the Earth."""
    with np.errstate(all="ignore"):
        rows = [shapes.segments, shapes.arcs, shapes.loop_xyb]
        return all(not len(r) or float(np.abs(r).max()) < FARTHEST for r in rows)


Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Placement:
    """One insertion of a block: its frames (several for an array), the layer it lies on, whether
    that hides all of it, its linetype and handle, its attributes."""

    name: str
    frames: tuple[Frame, ...]
    layer: int
    hides: bool
    linetype: str
    handle: str
    x: float
    y: float
    scale_x: float
    scale_y: float
    rotation_deg: float
    attributes: tuple[tuple[str, str], ...] = ()


def concatenated(parts: list[Shapes]) -> Shapes:
    """All parts as one; indices of sources and loops are shifted, never shared."""
    if len(parts) == 1:
        return parts[0]
    shift = np.cumsum([0, *(len(p.sources) for p in parts)])
    starts, at = [np.zeros(1, np.int32)], 0
    for p in parts:
        starts.append(p.loop_start[1:] + at)
        at += len(p.loop_xyb)

    def sources(of: Callable[[Shapes], Ints]) -> Ints:
        return np.concatenate([of(p) + np.int32(s) for p, s in zip(parts, shift, strict=False)])

    def joined(of: Callable[[Shapes], Floats]) -> Floats:
        return np.concatenate([of(p) for p in parts])

    def layers(of: Callable[[Shapes], Ints]) -> Ints:
        return np.concatenate([of(p) for p in parts])

    return Shapes(
        joined(lambda p: p.segments),
        layers(lambda p: p.segment_layer),
        sources(lambda p: p.segment_source),
        joined(lambda p: p.arcs),
        layers(lambda p: p.arc_layer),
        sources(lambda p: p.arc_source),
        joined(lambda p: p.loop_xyb),
        np.concatenate(starts).astype(np.int32),
        layers(lambda p: p.loop_layer),
        sources(lambda p: p.loop_source),
        [w for p in parts for w in p.labels],
        [w for p in parts for w in p.symbols],
        [w for p in parts for w in p.dimensions],
        [w for p in parts for w in p.sources],
    )


def placed(block: Shapes, at: list[Placement], top: bool, linetypes: list[str], log: Log) -> list[Shapes]:
    """The block at every placement: round placements keep arcs, the others get chords."""
    round_: list[Placement] = []
    bent: list[Placement] = []
    for p in at:
        (round_ if similar(*p.frames[0][:4]) else bent).append(p)
    made = []
    if round_:
        made.append(_placed(block, round_, top, linetypes))
    if bent:
        made.append(_placed(straightened(block, log), bent, top, linetypes))
    return made


def _placed(block: Shapes, at: list[Placement], top: bool, linetypes: list[str]) -> Shapes:
    frames = np.array([f for p in at for f in p.frames], np.float64)
    owner = np.repeat(np.arange(len(at)), [len(p.frames) for p in at])
    layer = np.array([p.layer for p in at], np.int32)[owner]
    hides = np.array([p.hides for p in at], bool)[owner]
    sources, base = _sources(block, at, top, linetypes)
    base = base[owner]
    k = len(frames)

    def layers(of: Ints) -> Ints:
        taken = hides[:, None] | (of == INHERITED)[None, :]
        return np.where(taken, layer[:, None], of[None, :]).astype(np.int32).ravel()

    def source(of: Ints) -> Ints:
        return (base[:, None] + of[None, :]).astype(np.int32).ravel()

    segments = _moved(frames, block.segments.reshape(-1, 2)).reshape(k, -1, 4)
    sign = np.where(frames[:, 0] * frames[:, 3] - frames[:, 1] * frames[:, 2] < 0.0, -1.0, 1.0)
    arcs = _bulged(frames, sign, block.arcs, 4)
    loops = _bulged(frames, sign, block.loop_xyb, 2)
    v = len(block.loop_xyb)
    starts = np.append((np.arange(k)[:, None] * v + block.loop_start[None, :-1]).ravel(), k * v)
    boxes = _boxes(segments, arcs)
    return Shapes(
        segments.reshape(-1, 4),
        layers(block.segment_layer),
        source(block.segment_source),
        arcs.reshape(-1, 5),
        layers(block.arc_layer),
        source(block.arc_source),
        loops.reshape(-1, 3),
        starts.astype(np.int32),
        layers(block.loop_layer),
        source(block.loop_source),
        *_words(block, at, boxes),
        sources,
    )


def _moved(frames: Floats, xy: Floats) -> Floats:
    """(k, n, 2): every point through every frame."""
    x, y = xy[None, :, 0], xy[None, :, 1]
    a, b, c, d, tx, ty = (frames[:, i, None] for i in range(6))
    return np.stack((a * x + b * y + tx, c * x + d * y + ty), axis=-1)


def _bulged(frames: Floats, sign: Floats, rows: Floats, points: int) -> Floats:
    """(k, n, points + 1): rows of coordinates and a bulge, which turns round when mirrored."""
    moved = _moved(frames, rows[:, :points].reshape(-1, 2)).reshape(len(frames), -1, points)
    bulge = sign[:, None] * rows[None, :, points]
    return np.concatenate((moved, bulge[:, :, None]), axis=2)


def _sources(block: Shapes, at: list[Placement], top: bool, linetypes: list[str]) -> tuple[list[LineSource], Ints]:
    """Sources of the placed pieces and where those of each placement begin. In a layout every
    insert has its own, with its handle; in a block equal ones are shared."""
    made: list[LineSource] = []
    base = np.zeros(len(at), np.int32)
    known: dict[tuple[str, int], int] = {}
    for i, p in enumerate(at):
        inherited = "BYLAYER" if p.layer == INHERITED else linetypes[p.layer]
        own = inherited if p.linetype == "BYLAYER" else p.linetype
        key = (own, p.layer)
        if not top and key in known:
            base[i] = known[key]
            continue
        base[i] = known[key] = len(made)
        for s in block.sources:
            linetype = {"BYBLOCK": own, "BYLAYER": inherited}.get(s.linetype, s.linetype)
            path = f"{p.name}/{s.block}" if s.block else p.name
            made.append(LineSource(s.entity, p.handle, path, linetype, s.role, colour=s.colour))
    return made, base


def _boxes(segments: Floats, arcs: Floats) -> Floats:
    """(k, 4) x0 y0 x1 y1 of all linework of each frame; NaN where there is none."""
    k = len(segments)
    corners = [segments.reshape(k, -1, 2), arcs[:, :, :4].reshape(k, -1, 2)]
    if arcs.shape[1]:
        corners.append(_extremes(arcs).reshape(k, -1, 2))
    points = np.concatenate(corners, axis=1)
    if not points.shape[1]:
        return np.full((k, 4), np.nan)
    return np.concatenate((points.min(axis=1), points.max(axis=1)), axis=1)


def _extremes(arcs: Floats) -> Floats:
    """The outermost points right, up, left and down of each arc (its start where the arc does not
    reach them): (..., 4, 2)."""
    x0, y0, x1, y1, b = np.moveaxis(arcs, -1, 0)
    k = (1.0 - b * b) / (4.0 * b)
    cx, cy = (x0 + x1) / 2 - k * (y1 - y0), (y0 + y1) / 2 + k * (x1 - x0)
    r = np.hypot(x0 - cx, y0 - cy)
    start, sweep = np.arctan2(y0 - cy, x0 - cx), 4.0 * np.arctan(b)
    made = []
    for i in range(4):
        to = np.mod(np.sign(sweep) * (i * math.pi / 2.0 - start), 2.0 * math.pi)
        on = to < np.abs(sweep)
        ux, uy = ((1, 0), (0, 1), (-1, 0), (0, -1))[i]
        made.append(np.stack((np.where(on, cx + ux * r, x0), np.where(on, cy + uy * r, y0)), axis=-1))
    return np.stack(made, axis=-2)


def _words(block: Shapes, at: list[Placement], boxes: Floats) -> tuple[list[Label], list[Symbol], list[Dimension]]:
    labels: list[Label] = []
    symbols: list[Symbol] = []
    dimensions: list[Dimension] = []
    i = 0
    limits = boxes.tolist()
    for p in at:
        for n, f in enumerate(p.frames):
            box = limits[i]
            i += 1
            dx, dy = f[4] - p.frames[0][4], f[5] - p.frames[0][5]
            symbols.append(
                Symbol(
                    p.name,
                    p.x + dx,
                    p.y + dy,
                    p.scale_x,
                    p.scale_y,
                    p.rotation_deg,
                    p.layer,
                    None if math.isnan(box[0]) else (box[0], box[1], box[2], box[3]),
                    p.attributes if n == 0 else (),
                    p.handle,
                )
            )
            labels += [_label(w, f, p) for w in block.labels]
            symbols += [_symbol(w, f, p) for w in block.symbols]
            dimensions += [_dimension(w, f, p) for w in block.dimensions]
    return labels, symbols, dimensions


def _at(f: Frame, x: float, y: float) -> tuple[float, float]:
    return f[0] * x + f[1] * y + f[4], f[2] * x + f[3] * y + f[5]


def _layer(own: int, p: Placement) -> int:
    return p.layer if p.hides or own == INHERITED else own


def _turned(f: Frame, degrees: float) -> float:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return math.degrees(math.atan2(f[2] * c + f[3] * s, f[0] * c + f[1] * s))


def _label(w: Label, f: Frame, p: Placement) -> Label:
    x, y = _at(f, w.x, w.y)
    path = f"{p.name}/{w.block}" if w.block else p.name
    return Label(
        w.text,
        x,
        y,
        w.height * math.hypot(f[1], f[3]),
        _layer(w.layer, p),
        _turned(f, w.rotation_deg),
        p.handle,
        w.tag,
        path,
    )


def _symbol(w: Symbol, f: Frame, p: Placement) -> Symbol:
    x, y = _at(f, w.x, w.y)
    box: Box | None = None
    if w.box is not None:
        b = w.box
        xs, ys = zip(*(_at(f, u, v) for u in (b[0], b[2]) for v in (b[1], b[3])), strict=True)
        box = (min(xs), min(ys), max(xs), max(ys))
    mirror = -1.0 if f[0] * f[3] - f[1] * f[2] < 0.0 else 1.0
    return msgspec.structs.replace(
        w,
        x=x,
        y=y,
        scale_x=w.scale_x * math.hypot(f[0], f[2]),
        scale_y=mirror * w.scale_y * math.hypot(f[1], f[3]),
        rotation_deg=_turned(f, w.rotation_deg),
        layer=_layer(w.layer, p),
        box=box,
        handle=p.handle,
    )


def _dimension(w: Dimension, f: Frame, p: Placement) -> Dimension:
    (x0, y0), (x1, y1) = _at(f, w.x0, w.y0), _at(f, w.x1, w.y1)
    before, after = math.hypot(w.x1 - w.x0, w.y1 - w.y0), math.hypot(x1 - x0, y1 - y0)
    length = w.length * (after / before if before > 0.0 else math.hypot(f[0], f[2]))
    return Dimension(x0, y0, x1, y1, length, w.text, w.written, _layer(w.layer, p), p.handle, w.step)


def straightened(block: Shapes, log: Log) -> Shapes:
    """The same block with every arc cut into chords of at most 1.5 degrees, for placements that
    do not keep circles circles. Raises InputError where they are more than can be measured."""
    xyb, starts = block.loop_xyb, block.loop_start.astype(np.int64)
    if not len(block.arcs) and not (np.abs(xyb[:, 2]) >= STRAIGHT_BULGE).any():
        return block
    log.spend(int(chord_count(block.arcs[:, 4], CHORD_STEP_DEG).sum() + chord_count(xyb[:, 2], CHORD_STEP_DEG).sum()))
    following = np.arange(len(xyb)) + 1
    following[starts[1:] - 1] = starts[:-1]
    loop_chords, side = chords(np.column_stack((xyb[:, :2], xyb[following, :2], xyb[:, 2])), CHORD_STEP_DEG)
    arc_chords, arc = chords(block.arcs, CHORD_STEP_DEG)
    return replace(
        block,
        segments=np.concatenate((block.segments, arc_chords)),
        segment_layer=np.concatenate((block.segment_layer, block.arc_layer[arc])),
        segment_source=np.concatenate((block.segment_source, block.arc_source[arc])),
        arcs=np.zeros((0, 5)),
        arc_layer=np.zeros(0, np.int32),
        arc_source=np.zeros(0, np.int32),
        loop_xyb=np.column_stack((loop_chords[:, :2], np.zeros(len(loop_chords)))),
        loop_start=np.searchsorted(side, starts).astype(np.int32),
    )
