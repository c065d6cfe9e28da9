"""A drawing turned and moved as a whole, so that it lies over another one."""

from __future__ import annotations

import math

import msgspec
import numpy as np

from takeoff.drawing.model import Claim, Dimension, Drawing, Floats, Label, Linework, Loop, Symbol
from takeoff.geometry.poses import Pose, put

replace = msgspec.structs.replace


def laid(drawing: Drawing, pose: Pose) -> Drawing:
    """The drawing where the pose puts it; its picture, which lies by a matrix of its own, is left alone."""
    if pose == (0.0, 0.0, 0.0):
        return drawing
    lines = drawing.lines
    return replace(
        drawing,
        lines=Linework(
            _ends(lines.segments, pose),
            lines.segment_layer,
            lines.segment_source,
            _ends(lines.arcs, pose),
            lines.arc_layer,
            lines.arc_source,
        ),
        loops=tuple(_loop(loop, pose) for loop in drawing.loops),
        labels=tuple(_label(label, pose) for label in drawing.labels),
        symbols=tuple(_symbol(symbol, pose) for symbol in drawing.symbols),
        dimensions=tuple(_dimension(dimension, pose) for dimension in drawing.dimensions),
        claims=tuple(_claim(claim, pose) for claim in drawing.claims),
    )


def _ends(rows: Floats, pose: Pose) -> Floats:
    """Rows that begin with x0, y0, x1, y1."""
    moved = rows.copy()
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    turn = np.array([[cos, -sin], [sin, cos]])
    for at in (0, 2):
        moved[:, at : at + 2] = rows[:, at : at + 2] @ turn.T + np.array(pose[:2])
    return moved


def _loop(loop: Loop, pose: Pose) -> Loop:
    return replace(loop, vertices=tuple((*put(pose, (x, y)), bulge) for x, y, bulge in loop.vertices))


def _label(label: Label, pose: Pose) -> Label:
    x, y = put(pose, (label.x, label.y))
    return replace(label, x=x, y=y, rotation_deg=label.rotation_deg + math.degrees(pose[2]))


def _symbol(symbol: Symbol, pose: Pose) -> Symbol:
    x, y = put(pose, (symbol.x, symbol.y))
    box = symbol.box
    if box is not None:
        corners = [put(pose, (box[a], box[b])) for a in (0, 2) for b in (1, 3)]
        xs, ys = [c[0] for c in corners], [c[1] for c in corners]
        box = (min(xs), min(ys), max(xs), max(ys))
    return replace(symbol, x=x, y=y, rotation_deg=symbol.rotation_deg + math.degrees(pose[2]), box=box)


def _dimension(dimension: Dimension, pose: Pose) -> Dimension:
    (x0, y0), (x1, y1) = put(pose, (dimension.x0, dimension.y0)), put(pose, (dimension.x1, dimension.y1))
    return replace(dimension, x0=x0, y0=y0, x1=x1, y1=y1)


def _claim(claim: Claim, pose: Pose) -> Claim:
    return replace(claim, ring=tuple((*put(pose, (x, y)), bulge) for x, y, bulge in claim.ring))
