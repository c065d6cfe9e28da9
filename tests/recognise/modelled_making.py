"""Drawings with claims as a model's reader gives them, for spaces and walls that are made up here."""

from __future__ import annotations

import math
from collections.abc import Sequence

from takeoff.drawing.model import Claim, Drawing, Linework

Points = Sequence[tuple[float, float]]


def box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def ring(points: Points) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(x), float(y), 0.0) for x, y in points)


def circle(x: float, y: float, radius: float, count: int) -> list[tuple[float, float]]:
    turns = [2 * math.pi * k / count for k in range(count)]
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]


def storey(name: str = "Ground", level: float = 0.0, top: float | None = None) -> Claim:
    values = [("level_mm", level), ("cut_mm", 1200.0)]
    if top is not None:
        values.append(("top_mm", top))
    return Claim("storey", "test", (), tuple(values), (("guid", name), ("name", name)))


def plane(
    kind: str,
    points: Points,
    z: float,
    slope: tuple[float, float] = (0.0, 0.0),
    at: tuple[float, float] = (0.0, 0.0),
    piece: int = 0,
) -> Claim:
    values = (
        ("piece", float(piece)),
        ("z_mm", z),
        ("slope_x", slope[0]),
        ("slope_y", slope[1]),
        ("at_x_mm", at[0]),
        ("at_y_mm", at[1]),
    )
    return Claim(kind, "test", ring(points), values)


def space(
    number: str,
    points: Points,
    *,
    floor: float = 0.0,
    top: float = 2500.0,
    name: str = "Room",
    ceilings: Sequence[Claim] | None = None,
    floors: Sequence[Claim] | None = None,
    exterior: bool = False,
    made: str = "",
    area: float | None = None,
    inner: Sequence[Points] = (),
    overhang: float = 0.0,
) -> list[Claim]:
    words = (
        ("guid", number),
        ("name", name),
        ("number", number),
        ("exterior", "yes" if exterior else ""),
        ("made", made),
    )
    values = (("floor_mm", floor), ("top_mm", top), ("x_mm", 0.0), ("y_mm", 0.0), ("overhang_m2", overhang))
    claims = [Claim("space", "test", ring(points), values, words)]
    claims += [Claim("space-inner", "test", ring(list(reversed(p)))) for p in inner]
    claims += ceilings if ceilings is not None else [plane("ceiling", points, top)]
    claims += floors if floors is not None else [plane("floor", points, floor)]
    if area is not None:
        claims.append(
            Claim(
                "quantity",
                "test",
                (),
                (("value", area),),
                (("guid", number), ("set", "Q"), ("name", "NetFloorArea"), ("unit", "m2")),
            )
        )
    return claims


def wall(points: Points, external: str = "", top: float = 2700.0, what: str = "walls") -> Claim:
    return Claim(
        "wall",
        "test",
        ring(points),
        (("base_mm", 0.0), ("top_mm", top)),
        (("guid", "w"), ("what", what), ("external", external)),
    )


def opening(
    kind: str,
    points: Points,
    sill: float,
    head: float,
    *,
    frame: tuple[float, float] | None = None,
    host: str = "w",
    face: float | None = None,
    operation: str = "",
    axis: tuple[float, float] = (1.0, 0.0),
) -> Claim:
    """``points``: along the wall first, then across it; ``axis``: of a door that works in that way, from its left to
    its right."""
    width, depth = math.dist(points[0], points[1]), math.dist(points[0], points[3])
    values = [
        ("width_mm", width),
        ("sill_mm", sill),
        ("head_mm", head),
        ("thickness_mm", depth),
        ("face_mm2", width * (head - sill) if face is None else face),
    ]
    if frame is not None:
        values += [("frame_from_mm", frame[0]), ("frame_to_mm", frame[1])]
    if operation:
        values += [("axis_x", axis[0]), ("axis_y", axis[1]), ("opens_x", -axis[1]), ("opens_y", axis[0])]
    words = (("guid", "o"), ("kind", kind), ("mark", ""), ("host", host), ("operation", operation))
    return Claim("opening", "test", ring(points), tuple(values), words)


def drawing(*claims: Claim | list[Claim]) -> Drawing:
    flat: list[Claim] = []
    for c in claims:
        flat += c if isinstance(c, list) else [c]
    return Drawing(name="model.ifc", layers=(), lines=Linework(), claims=tuple(flat), unit="mm")
