"""The format-neutral drawing: linework by layer, words, symbols, dimensions, and claims.

Readers produce it, recognition reads it. Coordinates are drawing units × ``unit_mm`` once the
unit has been decided; before that ``unit_mm`` is 1 and ``unit`` is "unknown". Linework is held
in arrays, one row per segment or arc, so that a large drawing stays small and fast.
"""

from __future__ import annotations

import math
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

LineState = Literal["on", "off", "frozen"]


class Layer(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A layer; entities refer to it by its index in ``Drawing.layers``. ``weight_mm``: how wide its
    lines are drawn on paper, 0 where that is not known."""

    name: str
    state: LineState = "on"
    colour: int = 7
    linetype: str = "CONTINUOUS"
    weight_mm: float = 0.0


class Linework:
    """Segments and arcs as arrays.

    ``segments``: (n, 4) x0 y0 x1 y1; ``segment_layer``, ``segment_source``: (n,) indices into
    the layers and into ``Drawing.sources``. ``arcs``: (m, 5) x0 y0 x1 y1 bulge (a full circle is
    two halves). Empty drawings have arrays of length 0. Arrays are not to be written to.
    """

    __slots__ = ("arc_layer", "arc_source", "arcs", "segment_layer", "segment_source", "segments")

    def __init__(
        self,
        segments: Floats | None = None,
        segment_layer: Ints | None = None,
        segment_source: Ints | None = None,
        arcs: Floats | None = None,
        arc_layer: Ints | None = None,
        arc_source: Ints | None = None,
    ) -> None:
        self.segments = np.zeros((0, 4)) if segments is None else segments
        self.arcs = np.zeros((0, 5)) if arcs is None else arcs
        n, m = len(self.segments), len(self.arcs)
        self.segment_layer = np.zeros(n, np.int32) if segment_layer is None else segment_layer
        self.segment_source = np.zeros(n, np.int32) if segment_source is None else segment_source
        self.arc_layer = np.zeros(m, np.int32) if arc_layer is None else arc_layer
        self.arc_source = np.zeros(m, np.int32) if arc_source is None else arc_source
        for a in (self.segments, self.arcs, self.segment_layer, self.segment_source, self.arc_layer, self.arc_source):
            a.setflags(write=False)

    def __len__(self) -> int:
        return len(self.segments) + len(self.arcs)


class LineSource(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where a run of linework came from: entity type, its handle, the block it was drawn in
    (outermost first, "" for none), whether it is dashed, a hatch boundary or a solid, and the width
    it is drawn with in drawing units as in its block (0: a hairline, or a width that varies).
    ``colour``: 0xRRGGBB where it has one of its own, −1 where it has its layer's. ``pen``, ``weight_mm``: on a page
    what it is drawn or filled with, in words, and how wide that is on paper, 0 for what is filled."""

    entity: str
    handle: str = ""
    block: str = ""
    linetype: str = "CONTINUOUS"
    role: Literal["line", "hatch", "solid", "frame"] = "line"
    width: float = 0.0
    colour: int = -1
    pen: str = ""
    weight_mm: float = 0.0


class Loop(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A polyline that the drawing itself closes: [x, y, bulge] per vertex."""

    vertices: tuple[tuple[float, float, float], ...]
    layer: int
    role: Literal["line", "hatch", "solid"] = "line"
    handle: str = ""


class Label(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A piece of text, plain, at the middle of its box (x, y); ``tag`` for block attributes."""

    text: str
    x: float
    y: float
    height: float
    layer: int
    rotation_deg: float = 0.0
    handle: str = ""
    tag: str = ""
    block: str = ""


class Symbol(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A block insertion: name, insertion point, x and y scale, rotation, the box of its linework
    (x0, y0, x1, y1), attributes as (tag, text)."""

    name: str
    x: float
    y: float
    scale_x: float
    scale_y: float
    rotation_deg: float
    layer: int
    box: tuple[float, float, float, float] | None = None
    attributes: tuple[tuple[str, str], ...] = ()
    handle: str = ""


class Dimension(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A dimension: its two measured points, its geometric length along its direction, its text as
    written ("" or "<>" means the measurement) and the number read from it, in drawing units.
    ``step``: what the drawing's program rounds shown measurements to, in the unit written (0: not)."""

    x0: float
    y0: float
    x1: float
    y1: float
    length: float
    text: str
    written: float | None
    layer: int
    handle: str = ""
    step: float = 0.0


class Claim(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Something the file says outright (a space solid, an opening's size, a storey), with its
    source; recognition decides what it means."""

    kind: str
    source: str
    ring: tuple[tuple[float, float, float], ...] = ()
    values: tuple[tuple[str, float], ...] = ()
    words: tuple[tuple[str, str], ...] = ()


def north_claimed(drawing: Drawing) -> float | None:
    """Where north lies by a drawing's claim of kind "north", degrees anticlockwise from its x; None without one."""
    for claim in drawing.claims:
        if claim.kind == "north":
            said = dict(claim.values)
            return math.degrees(math.atan2(said.get("y", 0.0), said.get("x", 0.0))) % 360.0
    return None


class Picture(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A picture that a drawing lies on, to be traced: the file's digest and size in pixels.

    ``mm_per_px`` is None until a known length is given. ``matrix``: the homography, row by row,
    from pixels (x right, y down) to the drawing's plane; the identity until it is straightened.
    """

    sha256: str
    width_px: int
    height_px: int
    mm_per_px: float | None = None
    matrix: tuple[float, ...] = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)


class Drawing(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One drawing, in model space unless it has only paper space.

    ``declared_unit``: what the file says of itself (an ``$INSUNITS`` name or ""). ``unit`` and
    ``unit_mm`` are "unknown" and 1.0 until ``recognise.units`` decides them.
    """

    name: str
    layers: tuple[Layer, ...]
    lines: Linework
    loops: tuple[Loop, ...] = ()
    labels: tuple[Label, ...] = ()
    symbols: tuple[Symbol, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    claims: tuple[Claim, ...] = ()
    sources: tuple[LineSource, ...] = ()
    declared_unit: str = ""
    unit: str = "unknown"
    unit_mm: float = 1.0
    sha256: str = ""
    picture: Picture | None = None
