"""Invented plans on PDF sheets, in many ways to draw them: one pen for all, pens by weight or colour,
filled or hatched walls, named layers, letters as strokes, turned and cropped pages.

``write(plan, hand, path)`` puts a plan of ``invented`` on a sheet at a scale; its truth stays that of the
plan. The stream is written by hand, so that each test knows what the file holds.
"""

from __future__ import annotations

import itertools
import math
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
import shapely
from invented import LAYERS, Plan
from shapely.affinity import affine_transform
from strokes import strokes

MM = 72.0 / 25.4
PAPER = {"A1": (841.0, 594.0), "A3": (420.0, 297.0), "A0": (1189.0, 841.0)}
LATIN = {"Спальня": "Bedroom", "Κουζίνα": "Pantry"}
"""The fonts that every reader has know no Cyrillic or Greek."""
CAP = 0.718
"""Height of capitals of Helvetica per size."""


@dataclass(frozen=True)
class Hand:
    """How a sheet is drawn. ``pens``: mm of each role's pen (``plain`` for all others), ``colours``
    likewise; ``fill``: grey of the walls' bodies, ``edges``: whether they have outlines;
    ``hatch_mm``: spacing of hatch lines in them; ``words``: as text or as strokes; ``across``: with a
    figure across each room."""

    name: str
    pens: tuple[tuple[str, float], ...] = (("plain", 0.25),)
    colours: tuple[tuple[str, tuple[float, float, float]], ...] = ()
    fill: float | None = None
    edges: bool = True
    hatch_mm: float = 0.0
    words: str = "text"
    across: bool = False
    layers: bool = False
    turn: int = 0
    crop: bool = False
    fitted_furniture: bool = False
    scale_words: str = "Scale 1:{scale} @ {paper}"

    def pen(self, role: str) -> float:
        pens = dict(self.pens)
        return pens.get(role, pens["plain"])

    def colour(self, role: str) -> tuple[float, float, float]:
        return dict(self.colours).get(role, (0.0, 0.0, 0.0))


BY_WEIGHT = (("plain", 0.13), ("wall", 0.5), ("column", 0.5), ("door", 0.18), ("glass", 0.18))
IN_COLOURS = (
    ("wall", (0.0, 0.0, 0.0)),
    ("door", (0.8, 0.1, 0.1)),
    ("glass", (0.1, 0.3, 0.8)),
    ("furniture", (0.5, 0.5, 0.5)),
    ("figure", (0.1, 0.6, 0.2)),
)
HANDS = (
    Hand("one pen"),
    Hand("one pen, figures across", across=True),
    Hand("one pen, letters as strokes", words="strokes"),
    Hand("one pen, furniture along walls", fitted_furniture=True, across=True),
    Hand("pens by weight", BY_WEIGHT, across=True),
    Hand("pens by weight, furniture along walls", BY_WEIGHT, fitted_furniture=True),
    Hand("colours", colours=IN_COLOURS, across=True),
    Hand("filled walls", fill=0.0, edges=False),
    Hand("grey walls with outlines", BY_WEIGHT, fill=0.7, across=True),
    Hand("hatched walls", BY_WEIGHT, hatch_mm=1.2),
    Hand("one pen, hatched walls", hatch_mm=1.5),
    Hand("layers", layers=True, across=True),
    Hand("layers, furniture along walls", layers=True, fitted_furniture=True),
    Hand("page turned", BY_WEIGHT, turn=90),
    Hand("page turned over and cropped", turn=180, crop=True),
)


def role_of(layer: str) -> str:
    """What a layer of the invented plans is for."""
    if layer == "A-COLS":
        return "column"
    return next((role for names in LAYERS.values() for role, name in names.items() if name == layer), "plain")


class Sheet:
    """A content stream and what it needs."""

    def __init__(self, hand: Hand, scale: float, paper: str, plan: Plan) -> None:
        self.hand, self.scale, self.paper = hand, scale, paper
        low, high = _bounds(plan)
        wide, high_mm = PAPER[paper]
        middle = (np.array(low) + np.array(high)) / 2
        self.shift = np.array([wide / 2, high_mm / 2]) - middle / scale
        self.ops: list[str] = []
        self.layer_names: list[str] = []

    def at(self, x: float, y: float) -> str:
        """Page points of a place in the plan."""
        px, py = (np.array([x, y]) / self.scale + self.shift) * MM
        return f"{px:.4f} {py:.4f}"

    def pen(self, role: str) -> None:
        r, g, b = self.hand.colour(role)
        self.ops.append(f"{self.hand.pen(role) * MM:.4f} w {r} {g} {b} RG")

    def marked(self, layer: str) -> None:
        """Begins what is on a named layer, where the sheet has such."""
        if self.hand.layers:
            if layer not in self.layer_names:
                self.layer_names.append(layer)
            self.ops.append(f"/OC /L{self.layer_names.index(layer)} BDC")

    def end_marked(self) -> None:
        if self.hand.layers:
            self.ops.append("EMC")

    def line(self, x0: float, y0: float, x1: float, y1: float) -> None:
        self.ops.append(f"{self.at(x0, y0)} m {self.at(x1, y1)} l S")

    def arc(self, x0: float, y0: float, x1: float, y1: float, bulge: float, moved: bool = True) -> None:
        """An arc by Bézier curves; ``moved``: begin it, and paint it."""
        sweep = 4 * math.atan(bulge)
        p, q = complex(x0, y0), complex(x1, y1)
        centre = (p + q) / 2 + 1j * (q - p) * (1 - bulge * bulge) / (4 * bulge)
        parts = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
        step = sweep / parts
        k = 4 / 3 * math.tan(step / 4)
        if moved:
            self.ops.append(f"{self.at(x0, y0)} m")
        for i in range(parts):
            a = centre + (p - centre) * complex(math.cos(i * step), math.sin(i * step))
            b = centre + (p - centre) * complex(math.cos((i + 1) * step), math.sin((i + 1) * step))
            c, d = a + 1j * (a - centre) * k, b - 1j * (b - centre) * k
            self.ops.append(" ".join(self.at(z.real, z.imag) for z in (c, d, b)) + " c")
        if moved:
            self.ops.append("S")

    def ring(self, vertices: tuple[tuple[float, float, float], ...]) -> None:
        """A closed path, not painted yet."""
        self.ops.append(f"{self.at(*vertices[0][:2])} m")
        for (x0, y0, b), (x1, y1, _) in itertools.pairwise((*vertices, vertices[0])):
            if b:
                self.arc(x0, y0, x1, y1, b, moved=False)
            else:
                self.ops.append(f"{self.at(x1, y1)} l")
        self.ops.append("h")

    def words(self, x: float, y: float, text: str, height_mm: float, angle: float = 0.0) -> None:
        """Text whose middle stands at a place of the plan, in letters of so many mm on paper."""
        text = " ".join(LATIN.get(w, w) for w in text.split(" "))
        c, s = math.cos(angle), math.sin(angle)
        px, py = (np.array([x, y]) / self.scale + self.shift) * MM
        if self.hand.words == "strokes":
            plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
            h = height_mm * MM
            lines, wide = strokes(plain)
            for run in lines:
                points = [
                    (px + ((u - wide / 2) * c - (v - 0.5) * s) * h, py + ((u - wide / 2) * s + (v - 0.5) * c) * h)
                    for u, v in run
                ]
                self.ops.append(
                    f"{points[0][0]:.4f} {points[0][1]:.4f} m "
                    + " ".join(f"{a:.4f} {b:.4f} l" for a, b in points[1:])
                    + " S"
                )
            return
        size = height_mm * MM / CAP
        wide = 0.5 * size * len(text)
        ox, oy = -wide / 2, -height_mm * MM / 2
        code = text.encode("cp1252", "replace").hex()
        self.ops.append(
            f"0 0 0 rg BT /F1 {size:.4f} Tf {c:.6f} {s:.6f} {-s:.6f} {c:.6f} "
            f"{px + ox * c - oy * s:.4f} {py + ox * s + oy * c:.4f} Tm <{code}> Tj ET"
        )

    def on_paper(self, x_mm: float, y_mm: float, text: str, height_mm: float = 3.0) -> None:
        x, y = (np.array([x_mm, y_mm]) - self.shift) * self.scale
        self.words(float(x), float(y), text, height_mm)


def write(plan: Plan, hand: Hand, path: Path, scale: float = 100.0) -> list[shapely.Polygon]:
    """Draws the plan on a sheet large enough for it; gives its rooms as they lie on that sheet, in mm
    real size from the visible page's lower left corner."""
    low, high = _bounds(plan)
    size = (np.array(high) - np.array(low)) / scale + 50.0
    paper = next(p for p in ("A3", "A1", "A0") if size[0] < PAPER[p][0] and size[1] < PAPER[p][1])
    sheet = Sheet(hand, scale, paper, plan)
    _frame(sheet)
    draw(sheet, plan)
    _save(sheet, path)
    return [placed(sheet, room.polygon) for room in plan.rooms]


def placed(sheet: Sheet, polygon: shapely.Polygon) -> shapely.Polygon:
    """A polygon of the plan where the turned page shows it, in mm real size."""
    wide, high = (v * sheet.scale for v in PAPER[sheet.paper])
    x, y = sheet.shift * sheet.scale
    turned = {
        0: (1, 0, 0, 1, x, y),
        90: (0, 1, -1, 0, y, wide - x),
        180: (-1, 0, 0, -1, wide - x, high - y),
        270: (0, -1, 1, 0, high - y, x),
    }
    return affine_transform(polygon, turned[sheet.hand.turn])


def draw(sheet: Sheet, plan: Plan) -> None:
    """All of one plan."""
    _bodies(sheet, plan)
    for x0, y0, x1, y1, layer in plan.lines:
        _on(sheet, layer, partial(sheet.line, x0, y0, x1, y1))
    for x0, y0, x1, y1, bulge, layer in plan.arcs:
        _on(sheet, layer, partial(sheet.arc, x0, y0, x1, y1, bulge))
    for text, x, y, layer in plan.texts:
        _on(sheet, layer, partial(sheet.words, x, y, text, 150.0 / sheet.scale))
    for room in plan.rooms:
        if sheet.hand.fitted_furniture:
            _along_walls(sheet, room.polygon)
        if sheet.hand.across:
            _across(sheet, room.polygon)


def _on(sheet: Sheet, layer: str, drawn: Callable[[], None]) -> None:
    sheet.marked(layer)
    sheet.pen(role_of(layer))
    drawn()
    sheet.end_marked()


def _bodies(sheet: Sheet, plan: Plan) -> None:
    """Closed outlines: filled, hatched, outlined."""
    hand = sheet.hand
    for ring, layer in plan.loops:
        sheet.marked(layer)
        role = role_of(layer)
        sheet.pen(role)
        walls = role in ("wall", "column")
        if walls and hand.fill is not None:
            sheet.ops.append(f"{hand.fill} g")
            sheet.ring(ring)
            sheet.ops.append("f" if not hand.edges else "B")
        else:
            sheet.ring(ring)
            sheet.ops.append("S")
        if walls and hand.hatch_mm and not any(b for _, _, b in ring):
            _hatch(sheet, shapely.Polygon([v[:2] for v in ring]))
        sheet.end_marked()


def _hatch(sheet: Sheet, body: shapely.Polygon) -> None:
    """Lines at 45° in a wall's body, cut at its faces."""
    x0, y0, x1, y1 = body.bounds
    step = sheet.hand.hatch_mm * sheet.scale * math.sqrt(2.0)
    reach = y1 - y0
    sheet.ops.append(f"{0.13 * MM if len(sheet.hand.pens) > 1 else sheet.hand.pen('plain') * MM:.4f} w")
    for x in np.arange(x0 - reach, x1, step):
        cut = shapely.LineString([(x, y0), (x + reach, y1)]).intersection(body)
        for part in shapely.get_parts(cut):
            if part.geom_type == "LineString" and part.length > 1:
                (a, b), (c, d) = part.coords[0], part.coords[-1]
                sheet.line(a, b, c, d)


def _rectangle(polygon: shapely.Polygon) -> np.ndarray | None:
    """The four corners of a room that is a rectangle."""
    box = shapely.oriented_envelope(polygon)
    if polygon.area < 0.999 * box.area:
        return None
    return np.asarray(shapely.get_coordinates(box)[:4])


def _across(sheet: Sheet, polygon: shapely.Polygon) -> None:
    """A dimension line from wall to wall with slashes and its figure, beside the room's middle."""
    corners = _rectangle(polygon)
    if corners is None:
        return
    a, b, c, d = corners
    p, q = a + (d - a) * 0.3, b + (c - b) * 0.3
    along = (q - p) / np.hypot(*(q - p))
    if along[0] < -1e-9 or (abs(along[0]) < 1e-9 and along[1] < 0):
        p, q, along = q, p, -along
    across = np.array([-along[1], along[0]])
    sheet.marked("A-ANNO-DIMS")
    sheet.pen("figure")
    sheet.line(*p, *q)
    tick = (along + across) * sheet.scale
    for end in (p, q):
        sheet.line(*(end - tick), *(end + tick))
    length = float(np.hypot(*(q - p)))
    middle = (p + q) / 2 + across * 2.0 * sheet.scale
    sheet.words(float(middle[0]), float(middle[1]), f"{length:.0f}", 1.8, math.atan2(along[1], along[0]))
    sheet.end_marked()


def _along_walls(sheet: Sheet, polygon: shapely.Polygon) -> None:
    """A worktop 600 deep along the longest side and a wardrobe of 1500 × 600 in the corner opposite."""
    corners = _rectangle(polygon)
    if corners is None or polygon.area < 9e6:
        return
    a, b, c, d = corners
    if np.hypot(*(c - b)) > np.hypot(*(b - a)):
        a, b, c, d = b, c, d, a
    n = (d - a) / np.hypot(*(d - a))
    u = (b - a) / np.hypot(*(b - a))
    sheet.marked("A-FURN")
    sheet.pen("furniture")
    sheet.line(*(a + n * 600), *(b + n * 600))
    inner = c - n * 600 - u * 1500
    sheet.line(*(c - n * 600), *inner)
    sheet.line(*inner, *(inner + n * 600))
    sheet.end_marked()


def _frame(sheet: Sheet) -> None:
    """The sheet's frame and its title block."""
    wide, high = PAPER[sheet.paper]
    sheet.marked("A-ANNO-TTLB")
    sheet.pen("frame")
    for x, y, w, h in ((10, 10, wide - 20, high - 20), (wide - 110, 10, 100, 12)):
        sheet.ops.append(f"{x * MM:.3f} {y * MM:.3f} {w * MM:.3f} {h * MM:.3f} re S")
    words = sheet.hand.scale_words.format(scale=f"{sheet.scale:.0f}", paper=sheet.paper)
    sheet.on_paper(wide - 60, 15, words)
    sheet.end_marked()


def _bounds(plan: Plan) -> tuple[tuple[float, float], tuple[float, float]]:
    points = [p for row in plan.lines for p in (row[:2], row[2:4])]
    points += [v[:2] for ring, _ in plan.loops for v in ring]
    x, y = zip(*points, strict=True)
    return (min(x), min(y)), (max(x), max(y))


def _save(sheet: Sheet, path: Path) -> None:
    """The file, object by object."""
    wide, high = (v * MM for v in PAPER[sheet.paper])
    box = f"/MediaBox [0 0 {wide:.3f} {high:.3f}] /Rotate {sheet.hand.turn}"
    if sheet.hand.crop:
        # The sheet's frame is cut off; the title block inside it stays.
        box = (
            f"/MediaBox [-40 -60 {wide + 100:.3f} {high + 30:.3f}] "
            f"/CropBox [0 0 {wide:.3f} {high:.3f}] /Rotate {sheet.hand.turn}"
        )
    font = "/F1 << /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>"
    first = 5
    groups = [f"{first + k} 0 R" for k in range(len(sheet.layer_names))]
    named = " ".join(f"/L{k} {ref}" for k, ref in enumerate(groups))
    resources = f"/Font << {font} >> /Properties << {named} >>"
    content = "\n".join(sheet.ops).encode("latin-1")
    listed = " ".join(groups)
    catalog = f"/OCProperties << /OCGs [{listed}] /D << /ON [{listed}] >> >>" if groups else ""
    objects = [
        f"<< /Type /Catalog /Pages 2 0 R {catalog} >>".encode(),
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R {box} /Contents 4 0 R /Resources << {resources} >> >>".encode(),
        b"<< /Length %d >>\nstream\n" % len(content) + content + b"\nendstream",
        *(f"<< /Type /OCG /Name ({name}) >>".encode("latin-1", "replace") for name in sheet.layer_names),
    ]
    data, places = b"%PDF-1.5\n", []
    for number, body in enumerate(objects, start=1):
        places.append(len(data))
        data += b"%d 0 obj\n" % number + body + b"\nendobj\n"
    table = b"".join(b"%010d 00000 n \n" % at for at in places)
    data += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1) + table
    data += b"trailer << /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (
        len(objects) + 1,
        data.index(b"xref\n0 "),
    )
    path.write_bytes(data)
