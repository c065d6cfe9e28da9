"""DIMENSION entities: their measured points, their length and what they say."""

from __future__ import annotations

import math
import re
from typing import Any

from ezdxf.math import Vec3

from takeoff.drawing.model import Dimension
from takeoff.readers.dxf import words
from takeoff.readers.dxf.shapes import FARTHEST, Gather

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_UNITS = re.compile(r"['\"′″]|\b(?:mm|cm|dm|m|in|ft)\b", re.IGNORECASE)


def dimension(e: Any, g: Gather) -> None:
    """Linear, aligned, radial and diameter dimensions; angles and ordinates are no lengths."""
    ns = e.dxf.__dict__
    kind = int(ns.get("dimtype", 0)) & 15
    if kind in (0, 1):
        a, b = ns.get("defpoint2"), ns.get("defpoint3")
    elif kind in (3, 4):
        a, b = ns.get("defpoint"), ns.get("defpoint4")
    else:
        return
    if a is None or b is None:
        raise ValueError("a dimension without its measured points")
    length = _across(a, b, ns) if kind == 0 else (b - a).magnitude
    if not (all(abs(v) < FARTHEST for v in (a.x, a.y, b.x, b.y)) and length < FARTHEST):
        g.log.drop(1, "DIMENSION", ns.get("handle") or "", str(ns.get("layer", "0")))
        return
    said = shown(e, ns, g)
    g.dimensions.append(
        Dimension(
            a.x,
            a.y,
            b.x,
            b.y,
            length,
            said,
            bare_number(said),
            g.layer(ns),
            (ns.get("handle") or "") if g.top else "",
            _step(e),
        )
    )


def _across(a: Vec3, b: Vec3, ns: dict[str, Any]) -> float:
    """The distance along the dimension's own direction, in its own plane (seen from below the
    direction is mirrored)."""
    angle = math.radians(float(ns.get("angle", 0.0)))
    n = ns.get("extrusion")
    way = Vec3(math.cos(angle) * (-1.0 if n is not None and n.z < 0.0 else 1.0), math.sin(angle), 0.0)
    return abs(float((b - a).dot(way)))


def _step(e: Any) -> float:
    """What the dimension's style rounds to; 0 where it does not."""
    step = e.override().get("dimrnd", 0.0)
    return float(step) if isinstance(step, int | float) and 0.0 < step < FARTHEST else 0.0


def shown(e: Any, ns: dict[str, Any], g: Gather) -> str:
    """What the sheet shows: the written override, or the words in the dimension's picture."""
    override = str(ns.get("text", "") or "")
    if override.strip() and "<>" not in override:
        return words.plain(override, g.log, many_lines=True)
    block = e.get_geometry_block()
    for part in block or ():
        if part.dxftype() == "MTEXT":
            return words.plain(part.text, g.log, many_lines=True)
        if part.dxftype() == "TEXT":
            return words.plain(part.dxf.get("text", ""), g.log)
    return words.plain(override, g.log, many_lines=True)


def bare_number(said: str) -> float | None:
    """The number in a dimension's words if there is exactly one and it names no unit."""
    if _UNITS.search(said):
        return None
    numbers = _NUMBER.findall(said)
    return float(numbers[0].replace(",", ".")) if len(numbers) == 1 else None
