"""Invented PDF files for the tests: raw ones written object by object, and a flat on a sheet."""

from __future__ import annotations

import zlib
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

MM = 72.0 / 25.4


def raw_pdf(
    path: Path,
    content: bytes,
    page: str = "/MediaBox [0 0 720 360]",
    resources: str = "",
    extra: tuple[bytes, ...] = (),
    catalog: str = "",
) -> Path:
    """A PDF with one page of this content stream; ``extra`` objects are numbered from 5 on."""
    objects = [
        f"<< /Type /Catalog /Pages 2 0 R {catalog} >>".encode(),
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R {page} /Contents 4 0 R /Resources << {resources} >> >>".encode(),
        stream(content),
        *extra,
    ]
    data, places = b"%PDF-1.5\n", []
    for number, body in enumerate(objects, start=1):
        places.append(len(data))
        data += b"%d 0 obj\n" % number + body + b"\nendobj\n"
    table = b"".join(b"%010d 00000 n \n" % at for at in places)
    size = len(objects) + 1
    data += b"".join(
        (
            b"xref\n0 %d\n0000000000 65535 f \n" % size,
            table,
            b"trailer << /Size %d /Root 1 0 R >>\n" % size,
            b"startxref\n%d\n%%%%EOF\n" % len(data),
        )
    )
    path.write_bytes(data)
    return path


def stream(content: bytes, entries: str = "", packed: bool = False) -> bytes:
    """A stream object, packed or plain."""
    if packed:
        content, entries = zlib.compress(content), entries + " /Filter /FlateDecode"
    return f"<< /Length {len(content)} {entries} >>\nstream\n".encode() + content + b"\nendstream"


class Sheet:
    """A canvas in mm of the building at a scale, from a corner on the paper."""

    def __init__(
        self,
        path: Path,
        scale: float,
        page_mm: tuple[float, float] = (420.0, 297.0),
        corner_mm: tuple[float, float] = (60.0, 60.0),
        shrink: float = 1.0,
    ) -> None:
        self.canvas = Canvas(str(path), pagesize=(page_mm[0] * MM, page_mm[1] * MM), invariant=1)
        self.path, self.k, self.corner = path, MM / scale * shrink, corner_mm

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Page points of a place in the building."""
        return self.corner[0] * MM + x * self.k, self.corner[1] * MM + y * self.k

    def line(self, x0: float, y0: float, x1: float, y1: float) -> None:
        self.canvas.line(*self.at(x0, y0), *self.at(x1, y1))

    def words(self, x: float, y: float, text: str, size_mm: float = 2.5, turned: bool = False) -> None:
        """Text whose middle stands at a place."""
        c = self.canvas
        c.saveState()
        c.translate(*self.at(x, y))
        if turned:
            c.rotate(90)
        c.setFont("Helvetica", size_mm * MM / 0.718)
        c.drawCentredString(0, -size_mm * MM / 2, text)
        c.restoreState()

    def on_paper(self, x_mm: float, y_mm: float, text: str, size_mm: float = 3.0) -> None:
        """Text that starts at a place on the sheet."""
        self.canvas.setFont("Helvetica", size_mm * MM / 0.718)
        self.canvas.drawString(x_mm * MM, y_mm * MM, text)

    def figure(self, x0: float, x1: float, y: float, text: str, turned: bool = False) -> None:
        """A dimension line with slashes at its ends and its figure over its middle; ``turned``: x
        and y change places."""
        c, tick = self.canvas, 1.0 * MM
        ends = [self.at(y, v) if turned else self.at(v, y) for v in (x0, x1)]
        c.setLineWidth(0.13 * MM)
        c.line(*ends[0], *ends[1])
        for px, py in ends:
            c.line(px - tick, py - tick, px + tick, py + tick)
            c.line(*((px - 3 * tick, py, px + tick, py) if turned else (px, py - tick, px, py + 3 * tick)))
        gap = 2.0 * MM / self.k
        middle = (x0 + x1) / 2
        self.words(*((y - gap, middle) if turned else (middle, y + gap)), text, 2.0, turned)

    def done(self) -> Path:
        self.canvas.showPage()
        self.canvas.save()
        return self.path


WALLS = ((0, 0, 8240, 240), (0, 4240, 8240, 4480), (0, 240, 240, 4240), (8000, 240, 8240, 4240))
"""Outer walls of an invented flat, 240 thick; inside 7760 × 4000 before the partition."""
PARTITION = (4240, 240, 4340, 4240)
DOOR = (1000, 1885)
"""The gap in the partition, from and to, in y: 885 wide."""
AREAS_M2 = (4.0 * 4.0, 3.66 * 4.0)


def flat(sheet: Sheet, figures: bool = True, door: bool = True, areas: bool = False) -> None:
    """Two rooms, 4.00 × 4.00 and 3.66 × 4.00, with a door between them."""
    c = sheet.canvas
    c.setLineWidth(0.35 * MM)
    c.rect(*sheet.at(0, 0), 8240 * sheet.k, 4480 * sheet.k)
    x0, y0, x1, y1 = PARTITION
    low, high = DOOR if door else (2000, 2000)
    for side in (
        (240, 240, x0, 240),
        (x0, 240, x0, low),
        (x0, low, x1, low),
        (x1, low, x1, y0),
        (x1, y0, 8000, y0),
        (8000, y0, 8000, y1),
        (8000, y1, x1, y1),
        (x1, y1, x1, high),
        (x1, high, x0, high),
        (x0, high, x0, y1),
        (x0, y1, 240, y1),
        (240, y1, 240, y0),
    ):
        sheet.line(*side)
    if door:
        c.setLineWidth(0.18 * MM)
        r = (high - low) * sheet.k
        hx, hy = sheet.at(x1, low)
        c.line(hx, hy, hx + r, hy)
        c.arc(hx - r, hy - r, hx + r, hy + r, 0, 90)
    sheet.words(2240, 2500, "Bedroom")
    sheet.words(6200, 2500, "Kitchen")
    if areas:
        sheet.words(2240, 2100, "16.0 m²")
        sheet.words(6200, 2100, "14.6 m²")
    if figures:
        row = ((0, 8240, -1400, "8240"), (240, 4240, -700, "4000"), (4340, 8000, -700, "3660"))
        for a, b, y, text in row:
            sheet.figure(a, b, y, text)
        for a, b, x, text in ((0, 4480, -1400, "4480"), (240, 4240, -700, "4000")):
            sheet.figure(a, b, x, text, turned=True)
