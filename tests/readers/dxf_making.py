"""Small DXF files made on the spot, and what the reader makes of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.readers.dxf import read

Draw = Callable[[Any, Any], None]


def made(folder: Path, draw: Draw, version: str = "R2010", name: str = "plan.dxf") -> Path:
    """The path of a DXF into which ``draw(document, model space)`` drew."""
    doc = ezdxf.new(version)
    draw(doc, doc.modelspace())
    path = folder / name
    doc.saveas(path)
    return path


def read_made(folder: Path, draw: Draw, version: str = "R2010") -> tuple[Drawing, tuple[Finding, ...]]:
    return read(made(folder, draw, version))


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [f.code for f in findings]


def arc_lengths(arcs: np.ndarray) -> np.ndarray:
    """chord · (1 + b²) / (4 |b|) · sweep, per row x0 y0 x1 y1 bulge."""
    chord, b = np.hypot(arcs[:, 2] - arcs[:, 0], arcs[:, 3] - arcs[:, 1]), np.abs(arcs[:, 4])
    return chord * (1 + b * b) / (4 * b) * 4 * np.arctan(b)


def total_length(drawing: Drawing) -> float:
    s = drawing.lines.segments
    return float(np.hypot(s[:, 2] - s[:, 0], s[:, 3] - s[:, 1]).sum() + arc_lengths(drawing.lines.arcs).sum())
