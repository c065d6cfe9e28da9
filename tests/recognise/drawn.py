"""Small drawings for tests: rectangles, lines, words and arcs on named layers, in mm."""

from __future__ import annotations

from dataclasses import dataclass, field

import msgspec
import numpy as np

from takeoff.drawing.model import Drawing, Label, Layer, LineSource, Linework, Loop, Symbol


@dataclass
class Sheet:
    """Collects linework; ``drawing()`` gives it as a Drawing in mm."""

    segments: list[tuple[float, float, float, float, str]] = field(default_factory=list)
    arcs: list[tuple[float, float, float, float, float, str]] = field(default_factory=list)
    loops: list[tuple[tuple[tuple[float, float, float], ...], str]] = field(default_factory=list)
    words: list[tuple[str, float, float, str]] = field(default_factory=list)
    linetypes: dict[str, str] = field(default_factory=dict)
    """Line types of layers that are not continuous."""
    off: set[str] = field(default_factory=set)
    shift: tuple[float, float] = (0.0, 0.0)

    def line(self, x0: float, y0: float, x1: float, y1: float, layer: str = "A-WALL") -> Sheet:
        self.segments.append((x0, y0, x1, y1, layer))
        return self

    def ring(self, *points: tuple[float, ...], layer: str = "A-WALL") -> Sheet:
        """A closed polyline; a third figure of a point is its bulge."""
        full = tuple((p[0], p[1], p[2] if len(p) > 2 else 0.0) for p in points)
        self.loops.append((full, layer))
        for (x0, y0, b), (x1, y1, _) in zip(full, full[1:] + full[:1], strict=True):
            if b:
                self.arcs.append((x0, y0, x1, y1, b, layer))
            else:
                self.segments.append((x0, y0, x1, y1, layer))
        return self

    def box(self, x0: float, y0: float, x1: float, y1: float, layer: str = "A-WALL") -> Sheet:
        return self.ring((x0, y0), (x1, y0), (x1, y1), (x0, y1), layer=layer)

    def word(self, text: str, x: float, y: float, layer: str = "A-ANNO-TEXT") -> Sheet:
        self.words.append((text, x, y, layer))
        return self

    def drawing(self) -> Drawing:
        used = [row[-1] for rows in (self.segments, self.arcs, self.loops, self.words) for row in rows]
        names = list(dict.fromkeys(str(u) for u in used))
        number = {name: k for k, name in enumerate(names)}
        dx, dy = self.shift
        s = np.array([(*r[:4], number[r[4]]) for r in self.segments], float).reshape(-1, 5)
        a = np.array([(*r[:5], number[r[5]]) for r in self.arcs], float).reshape(-1, 6)
        move = np.array([dx, dy, dx, dy])
        lines = Linework(
            s[:, :4] + move,
            s[:, 4].astype(np.int32),
            s[:, 4].astype(np.int32),
            np.concatenate([a[:, :4] + move, a[:, 4:5]], axis=1),
            a[:, 5].astype(np.int32),
            a[:, 5].astype(np.int32),
        )
        return Drawing(
            name="drawn by hand",
            layers=tuple(Layer(n, "off" if n in self.off else "on") for n in names),
            lines=lines,
            loops=tuple(Loop(tuple((x + dx, y + dy, b) for x, y, b in r), number[n]) for r, n in self.loops),
            labels=tuple(Label(t, x + dx, y + dy, 150.0, number[n]) for t, x, y, n in self.words),
            sources=tuple(LineSource("LINE", linetype=self.linetypes.get(n, "CONTINUOUS")) for n in names),
            unit="mm",
            unit_mm=1.0,
        )


def with_blocks(plain: Drawing, own: list[tuple[float, float, float, float]], symbols: list[Symbol]) -> Drawing:
    """The drawing, with placings of one block on its first layer and all their lines, ``own``."""
    lines, count = plain.lines, len(own)
    work = Linework(
        np.concatenate([lines.segments, np.array(own)]),
        np.concatenate([lines.segment_layer, np.zeros(count, np.int32)]),
        np.concatenate([lines.segment_source, np.full(count, len(plain.sources), np.int32)]),
        lines.arcs,
        lines.arc_layer,
        lines.arc_source,
    )
    sources = (*plain.sources, LineSource("LINE", block=symbols[0].name))
    return msgspec.structs.replace(plain, lines=work, sources=sources, symbols=tuple(symbols))


def two_rooms(door: bool = True) -> Sheet:
    """Outer walls of 300, a partition of 100 with a gap of 900: rooms of 4000 × 3000 and 3000 × 3000."""
    sheet = Sheet()
    sheet.box(-300, -300, 7400, 3300)
    sheet.ring(
        (0, 0),
        (4000, 0),
        (4000, 1000),
        (4100, 1000),
        (4100, 0),
        (7100, 0),
        (7100, 3000),
        (4100, 3000),
        (4100, 1900),
        (4000, 1900),
        (4000, 3000),
        (0, 3000),
    )
    sheet.word("Kitchen", 1500, 1500).word("Hall", 5500, 1500)
    if door:
        sheet.line(4000, 1000, 3100, 1000, "A-DOOR")
        sheet.arcs.append((4000, 1900, 3100, 1000, 0.41421356237, "A-DOOR"))
    return sheet
