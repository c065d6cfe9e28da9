"""Layouts and blocks flattened: each block once, then placed wherever it is inserted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
from ezdxf.math import OCS, Vec3

from takeoff.drawing.model import Label, Layer
from takeoff.errors import Where
from takeoff.readers.dxf import words
from takeoff.readers.dxf.entities import READERS, text_label
from takeoff.readers.dxf.figures import dimension
from takeoff.readers.dxf.placing import Placement, concatenated, placed
from takeoff.readers.dxf.report import PARSER_FAULTS, Log
from takeoff.readers.dxf.shapes import FARTHEST, INHERITED, WORD_COST, Frame, Gather, Shapes

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
            name = words.cleaned(str(ns.get("name", "0")), log)
            layer = Layer(name, state, abs(colour), str(ns.get("linetype", "CONTINUOUS")).upper())  # type: ignore[arg-type]
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
                self.layers.append(Layer(words.cleaned(name, self.log)))
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
                parts += placed(block, fitting, top, self.table.linetypes)
        return checked(concatenated(parts), self.log)

    def _read(self, e: Any, g: Gather, inserts: dict[str, list[Placement]]) -> None:
        kind = e.dxftype()
        ns = e.dxf.__dict__
        self.done += 1
        if self.said is not None and not self.done % READ_STEP:
            self.said(self.done)
        if ns.get("invisible", 0):
            self.log.invisible += 1
            return
        try:
            read = READERS.get(kind)
            if read is not None:
                read(e, g)
            elif kind == "INSERT":
                self._insert(e, ns, g, inserts)
            elif kind == "DIMENSION":
                dimension(e, g)
            else:
                self.log.not_lines[kind] += 1
        except PARSER_FAULTS as error:
            self.log.fault(kind, ns.get("handle") or "", error)

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
            self.log.too_many[name] = ns.get("row_count", 1) * ns.get("column_count", 1)
            return
        if not all(abs(v) < FARTHEST for f in frames for v in f):
            self.log.drop(1, "INSERT", ns.get("handle") or "", str(ns.get("layer", "0")))
            return
        inserts.setdefault(key, []).append(
            Placement(
                words.cleaned(true_name(self.doc, block, name), self.log),
                frames,
                layer,
                hides,
                str(ns.get("linetype", "BYLAYER")).upper(),
                (ns.get("handle") or "") if g.top else "",
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
            self.log.cycles.add(name)
            return False
        if key in self.blocks:
            return self.blocks[key] is not None
        if len(self.under_way) >= DEEPEST:
            self.log.too_deep.add(name)
            return False
        block = self.doc.blocks.get(name)
        if block is None or block.block is None:
            self.log.missing[words.cleaned(name, self.log)] += 1
            return False
        if block.block.is_xref or block.block.is_xref_overlay:
            path = words.cleaned(str(block.block.dxf.get("xref_path", "")), self.log)
            at = ns.get("insert", Vec3())
            place = Where(x_mm=at.x, y_mm=at.y) if abs(at.x) + abs(at.y) < FARTHEST else Where()
            self.log.xrefs.setdefault(name, (path, place))
            self.blocks[key] = None
            return False
        self.under_way.append(key)
        self.blocks[key] = self._flatten(block, top=False)
        self.under_way.pop()
        return True

    def _attributes(self, e: Any, g: Gather) -> tuple[tuple[str, str], ...]:
        """Tag and text of every attribute; those that show are labels too."""
        found = []
        name = words.cleaned(str(e.dxf.__dict__.get("name", "")), self.log)
        for a in e.attribs:
            ns = a.dxf.__dict__
            long = a.virtual_mtext_entity() if a.has_embedded_mtext_entity else None
            plain = (
                words.plain(long.text, self.log, many_lines=True)
                if long is not None
                else words.plain(str(ns.get("text", "")), self.log)
            )
            tag = words.cleaned(str(ns.get("tag", "")), self.log)
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


def checked(shapes: Shapes, log: Log) -> Shapes:
    """Refuses pieces that placing has moved off the Earth (a scale beyond all measure)."""
    with np.errstate(all="ignore"):
        rows = [shapes.segments, shapes.arcs, shapes.loop_xyb]
        if all(not len(r) or float(np.abs(r).max()) < FARTHEST for r in rows):
            return shapes
    log.drop(1, "INSERT", "", "")
    return Gather(False, lambda _: 0, ("CONTINUOUS",), log).seal(lambda _: "0")
