"""Draw an invented plan as a DXF, the way a draughtsman layers it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.units
from ezdxf.document import Drawing
from plans import Hole, Plan, Room
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

LAYERS = {
    "A-WALL": 7,
    "A-WALL-PATT": 8,
    "A-DOOR": 3,
    "A-GLAZ": 4,
    "A-FLOR-STRS": 6,
    "A-FLOR-PATT": 9,
    "A-FLOR-OVHD": 8,
    "A-FURN": 30,
    "A-ANNO-DIMS": 1,
    "A-AREA-IDEN": 7,
    "A-ANNO-NOTE": 7,
    "A-ANNO-TTLB": 7,
}
SQ_IN_PER_SQ_FT = 144.0


@dataclass(frozen=True)
class Pen:
    """Sizes on the sheet in drawing units: text height, a small and a large gap."""

    text: float
    gap: float
    door_leaf: float
    round_to: float


PENS = {"mm": Pen(125.0, 450.0, 40.0, 1.0), "in": Pen(5.0, 18.0, 1.5, 0.25)}


def write(plans: tuple[Plan, ...], path: Path) -> None:
    """Write one sheet with one or two storeys beside each other; the same bytes every time."""
    ezdxf.options.write_fixed_meta_data_for_testing = True
    doc = ezdxf.new("R2010", setup=["linetypes"])
    doc.units = ezdxf.units.MM if plans[0].unit == "mm" else ezdxf.units.IN
    pen = PENS[plans[0].unit]
    _set_up(doc, pen)
    for plan in plans:
        _walls(doc, plan)
        _holes(doc, plan, pen)
        _rooms(doc, plan, pen)
        _inside(doc, plan, pen)
        _dimensions(doc, plan, pen)
    _title_block(doc, plans, pen)
    for name in sorted(doc.entitydb.dxf_types_in_use()):
        doc.classes.add_class(name)  # else they follow in the order of a set, another in each run
    doc.saveas(path)


def _set_up(doc: Drawing, pen: Pen) -> None:
    for name, colour in LAYERS.items():
        doc.layers.add(name, color=colour)
    doc.layers.get("A-FLOR-OVHD").dxf.linetype = "DASHED"
    style = doc.dimstyles.new("PLAN")
    for key, value in (
        ("dimtxt", pen.text),
        ("dimasz", pen.text * 0.8),
        ("dimexo", pen.text * 0.4),
        ("dimexe", pen.text * 0.4),
        ("dimgap", pen.text * 0.3),
        ("dimtsz", pen.text * 0.4),
        ("dimdec", 0),
        ("dimscale", 1.0),
        ("dimtad", 1),
    ):
        style.set_dxf_attrib(key, value)
    window = doc.blocks.new("WINDOW")
    for y in (0.0, 0.45, 0.55, 1.0):
        window.add_line((0, y), (1, y), dxfattribs={"layer": "A-GLAZ"})
    window.add_attdef("MARK", (0.5, 1.6), dxfattribs={"height": 0.3, "layer": "A-ANNO-NOTE"})


def _wall_bodies(plan: Plan) -> list[Polygon]:
    rooms = [Polygon(r.outline) for r in plan.rooms]
    holes = [box(h.x0, h.y0, h.x1, h.y1) for h in plan.holes]
    # a round end has its own body; the straight walls stay open towards it
    solid = box(*plan.outer).difference(unary_union([*rooms, *holes]))
    parts = list(solid.geoms) if hasattr(solid, "geoms") else [solid]
    return sorted(parts, key=lambda p: p.bounds)


def _walls(doc: Drawing, plan: Plan) -> None:
    msp = doc.modelspace()
    for body in _wall_bodies(plan):
        hatch = msp.add_hatch(color=8, dxfattribs={"layer": "A-WALL-PATT"})
        hatch.set_pattern_fill("ANSI31", scale=25.0 if plan.unit == "mm" else 1.0)
        for ring in (body.exterior, *body.interiors):
            points = list(ring.coords)[:-1]
            msp.add_lwpolyline(points, close=True, dxfattribs={"layer": "A-WALL"})
            hatch.paths.add_polyline_path(points, is_closed=True)
    for curved in plan.curved_bodies:
        msp.add_lwpolyline(curved, format="xyb", close=True, dxfattribs={"layer": "A-WALL"})


def _holes(doc: Drawing, plan: Plan, pen: Pen) -> None:
    for hole in plan.holes:
        if hole.kind == "window":
            _window(doc, hole)
        else:
            _door(doc, hole, pen)


def _window(doc: Drawing, hole: Hole) -> None:
    turned = hole.along == "y"
    thickness = (hole.x1 - hole.x0) if turned else (hole.y1 - hole.y0)
    insert = doc.modelspace().add_blockref(
        "WINDOW",
        (hole.x1, hole.y0) if turned else (hole.x0, hole.y0),
        dxfattribs={"layer": "A-GLAZ", "xscale": hole.width, "yscale": thickness, "rotation": 90.0 if turned else 0.0},
    )
    middle = ((hole.x0 + hole.x1) / 2, (hole.y0 + hole.y1) / 2)
    insert.add_attrib("MARK", hole.mark, middle, dxfattribs={"height": thickness * 0.35, "layer": "A-ANNO-NOTE"})


def _door(doc: Drawing, hole: Hole, pen: Pen) -> None:
    name = _door_block(doc, hole.width, pen)
    high_end, high_side = hole.hinge == "high", hole.swing == "high"
    if hole.along == "x":
        at = (hole.x1 if high_end else hole.x0, hole.y1 if high_side else hole.y0)
        scale_y, rotation = (1.0 if high_side else -1.0), 0.0
    else:
        at = (hole.x1 if high_side else hole.x0, hole.y1 if high_end else hole.y0)
        scale_y, rotation = (-1.0 if high_side else 1.0), 90.0
    insert = doc.modelspace().add_blockref(
        name,
        at,
        dxfattribs={"layer": "A-DOOR", "xscale": -1.0 if high_end else 1.0, "yscale": scale_y, "rotation": rotation},
    )
    insert.add_attrib("MARK", hole.mark, at, dxfattribs={"height": pen.text * 0.7, "layer": "A-ANNO-NOTE"})


def _door_block(doc: Drawing, width: float, pen: Pen) -> str:
    name = f"DOOR-{width:g}"
    if name not in doc.blocks:
        block = doc.blocks.new(name)
        leaf = pen.door_leaf
        block.add_lwpolyline([(0, 0), (leaf, 0), (leaf, width), (0, width)], close=True, dxfattribs={"layer": "A-DOOR"})
        block.add_arc((0, 0), width, 0, 90, dxfattribs={"layer": "A-DOOR"})
        block.add_attdef("MARK", (width / 2, width / 3), dxfattribs={"height": pen.text * 0.7, "layer": "A-ANNO-NOTE"})
    return name


def area_m2(room: Room, unit: str) -> float:
    factor = 1e-6 if unit == "mm" else 0.0254**2
    return Polygon(room.outline).area * factor + room.arc_m2


def printed_area(room: Room, unit: str) -> str:
    """As the architect prints it: one decimal, m² or square feet."""
    if unit == "in":
        return f"{round(Polygon(room.outline).area / SQ_IN_PER_SQ_FT):d} sq ft"
    return f"{area_m2(room, unit):.1f} m²"


def _rooms(doc: Drawing, plan: Plan, pen: Pen) -> None:
    msp = doc.modelspace()
    for room in plan.rooms:
        x, y = room.label_at
        style = {"layer": "A-AREA-IDEN"}
        for text, dy, height in ((room.name, 1.0, 1.0), (printed_area(room, plan.unit), -0.6, 0.8)):
            msp.add_text(text, height=pen.text * height, dxfattribs=style).set_placement(
                (x, y + pen.text * dy), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER
            )
        if room.tiled:
            hatch = msp.add_hatch(color=9, dxfattribs={"layer": "A-FLOR-PATT"})
            hatch.set_pattern_fill("NET", scale=100.0 if plan.unit == "mm" else 4.0)
            hatch.paths.add_polyline_path(room.outline, is_closed=True)


def _inside(doc: Drawing, plan: Plan, pen: Pen) -> None:
    msp = doc.modelspace()
    for x0, y0, x1, y1 in plan.treads:
        msp.add_line((x0, y0), (x1, y1), dxfattribs={"layer": "A-FLOR-STRS"})
    for line in plan.overhead:
        msp.add_lwpolyline(line, dxfattribs={"layer": "A-FLOR-OVHD"})
    for name, x, y, width, depth in plan.furniture:
        if name not in doc.blocks:
            block = doc.blocks.new(name)
            block.add_lwpolyline([(0, 0), (1, 0), (1, 1), (0, 1)], close=True, dxfattribs={"layer": "A-FURN"})
            block.add_lwpolyline(
                [(0.1, 0.1), (0.9, 0.1), (0.9, 0.9), (0.1, 0.9)], close=True, dxfattribs={"layer": "A-FURN"}
            )
        msp.add_blockref(name, (x, y), dxfattribs={"layer": "A-FURN", "xscale": width, "yscale": depth})
    for text, x, y in plan.notes:
        msp.add_mtext(text, dxfattribs={"layer": "A-ANNO-NOTE", "char_height": pen.text * 0.7, "insert": (x, y)})


def feet_and_inches(length_in: float) -> str:
    """12'-6 1/2": quarters of an inch, as the flat is dimensioned."""
    feet, inches = divmod(length_in, 12)
    whole = math.floor(inches)
    quarter = {0.0: "", 0.25: " 1/4", 0.5: " 1/2", 0.75: " 3/4"}[inches - whole]
    return f"{int(feet)}'-{whole}{quarter}\""


def _dimensions(doc: Drawing, plan: Plan, pen: Pen) -> None:
    x0, y0, x1, y1 = plan.outer
    _linear(doc, plan, (x0, y0), (x1, y0), (x0, y0 - 2 * pen.gap), 0)
    _linear(doc, plan, (x0, y0), (x0, y1), (x0 - 2 * pen.gap, y0), 90)
    for room in plan.rooms:
        xs, ys = [p[0] for p in room.outline], [p[1] for p in room.outline]
        if len(room.outline) > 4:
            continue
        third = min(ys) + (max(ys) - min(ys)) * 0.2
        _linear(doc, plan, (min(xs), min(ys)), (max(xs), min(ys)), (min(xs), third), 0)
        fifth = max(xs) - (max(xs) - min(xs)) * 0.15
        _linear(doc, plan, (max(xs), min(ys)), (max(xs), max(ys)), (fifth, min(ys)), 90)


def _linear(doc: Drawing, plan: Plan, p1: Any, p2: Any, base: Any, angle: float) -> None:
    length = abs(p2[0] - p1[0]) if angle == 0 else abs(p2[1] - p1[1])
    text = "<>" if plan.unit == "mm" else feet_and_inches(length)
    dimension = doc.modelspace().add_linear_dim(
        base=base, p1=p1, p2=p2, angle=angle, dimstyle="PLAN", text=text, dxfattribs={"layer": "A-ANNO-DIMS"}
    )
    dimension.render()


def _title_block(doc: Drawing, plans: tuple[Plan, ...], pen: Pen) -> None:
    first, layer = plans[0], {"layer": "A-ANNO-TTLB"}
    x0, y0 = min(p.outer[0] for p in plans), min(p.outer[1] for p in plans)
    x1, y1 = max(p.outer[2] for p in plans), max(p.outer[3] for p in plans)
    m = 5 * pen.gap
    msp = doc.modelspace()
    msp.add_lwpolyline(
        [(x0 - m, y0 - 2 * m), (x1 + m, y0 - 2 * m), (x1 + m, y1 + m), (x0 - m, y1 + m)], close=True, dxfattribs=layer
    )
    block = doc.blocks.new("TITLE")
    width, row = x1 - x0 + 2 * m, pen.text * 2.4
    block.add_lwpolyline([(0, 0), (width, 0), (width, 2 * row), (0, 2 * row)], close=True, dxfattribs=layer)
    block.add_line((0, row), (width, row), dxfattribs=layer)
    fields = (
        ("PROJECT", "Invented example, no real building", 0.3, 1.3),
        ("TITLE", " / ".join(p.title for p in plans), 0.3, 0.3),
        ("NUMBER", first.number, 0.55, 0.3),
        ("REVISION", first.revision, 0.7, 0.3),
        ("SCALE", "1:50", 0.85, 0.3),
    )
    insert = msp.add_blockref("TITLE", (x0 - m, y0 - 2 * m), dxfattribs=layer)
    for tag, text, fx, fy in fields:
        at = (width * (fx if tag not in ("PROJECT", "TITLE") else 0.02), row * fy)
        block.add_attdef(tag, at, dxfattribs={"height": pen.text, **layer})
        insert.add_attrib(tag, text, (x0 - m + at[0], y0 - 2 * m + at[1]), dxfattribs={"height": pen.text, **layer})
    for plan in plans:
        msp.add_text(plan.title.upper(), height=pen.text * 1.4, dxfattribs={"layer": "A-ANNO-NOTE"}).set_placement(
            (plan.outer[0], plan.outer[1] - 3.5 * pen.gap)
        )
