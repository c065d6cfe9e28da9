"""Damaged PDF files by the dozen: each gives a drawing or one sentence, soon, never a traceback.

TAKEOFF_MUTANTS=500 makes the campaign longer.
"""

from __future__ import annotations

import os
import random
from pathlib import Path

import numpy as np
import pytest
from cpu import cpu_s
from pdf_making import Sheet, flat, raw_pdf, stream

from takeoff.errors import InputError
from takeoff.readers import pdf
from takeoff.recognise.scale import decide_scale

HOW_MANY = int(os.environ.get("TAKEOFF_MUTANTS", "10"))
BATCHES = 2
LONGEST_S = 70.0
SILENCE_S = 30.0
TOKENS = [
    b"1e30",
    b"-1",
    b"999999999",
    b"0",
    b"null",
    b"<<",
    b">>",
    b"[",
    b"endobj",
    b"stream",
    b"nan",
    b"/F0",
    b"cm",
    b"re",
    b"Do",
    b"q",
    b"Q",
    b"(",
    b"\xff\xfe",
    b"W n",
    b"5 0 R",
    b"3 0 R",
]


def everything(folder: Path) -> list[bytes]:
    """A packed sheet, and a raw page with forms, layers, clips, curves and an annotation."""
    sheet = Sheet(folder / "flat.pdf", 50.0)
    flat(sheet)
    form = stream(
        b"0 0 m 36 0 l S q 1 0 0 1 5 5 cm /F0 Do Q",
        "/Type /XObject /Subtype /Form /BBox [0 0 99 99] /Resources << /XObject << /F0 5 0 R >> >>",
    )
    content = (
        b"q 0 1 -1 0 144 72 cm /F0 Do Q /OC /MC0 BDC 0.5 w 0 0 1 RG [3 2] 0 d 72 72 144 90 re S EMC "
        b"q 50 50 300 200 re W n 10 10 m 90 200 200 90 400 300 c h B Q 0.4 g 10 10 20 60 re f "
        b"BT /F1 12 Tf 100 100 Td (Kitchen 1:50) Tj ET"
    )
    raw = raw_pdf(
        folder / "raw.pdf",
        content,
        page="/MediaBox [0 0 720 360] /Rotate 90 /Annots [7 0 R]",
        resources="/XObject << /F0 5 0 R >> /Properties << /MC0 6 0 R >> /Font << /F1 8 0 R >>",
        extra=(
            form,
            b"<< /Type /OCG /Name (A-WALL) >>",
            b"<< /Type /Annot /Subtype /Square /Rect [1 1 9 9] /T (SHX) /Contents (HALL) >>",
            b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
        ),
    )
    return [sheet.done().read_bytes(), raw.read_bytes(), raw.read_bytes()]


def mutant(data: bytes, rng: random.Random) -> bytes:
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data))
        kind = rng.choice(["byte", "bytes", "cut", "token", "token", "double", "digit"])
        if kind == "byte":
            data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
        elif kind == "bytes":
            data = data[:at] + rng.randbytes(rng.randint(1, 40)) + data[at + rng.randint(0, 60) :]
        elif kind == "cut":
            data = data[:at] if rng.random() < 0.3 else data[:at] + data[at + rng.randint(1, 80) :]
        elif kind == "token":
            end = data.find(b" ", at)
            data = data[:at] + b" " + rng.choice(TOKENS) + (data[end:] if end > 0 else b"")
        elif kind == "double":
            data = data[:at] + data[at : at + rng.randint(1, 200)] * 2 + data[at:]
        else:
            places = [i for i in range(at, min(len(data), at + 400)) if data[i : i + 1].isdigit()]
            if places:
                data = data[: places[0]] + b"%d" % rng.randrange(10) + data[places[0] + 1 :]
        if not data:
            return b"%PDF"
    return data


@pytest.mark.parametrize("batch", range(BATCHES))
def test_mutated_files_give_a_drawing_or_a_sentence(tmp_path: Path, batch: int) -> None:
    originals = everything(tmp_path)
    path = tmp_path / "mutant.pdf"
    outcomes = {"drawing": 0, "sentence": 0}
    for number in range(batch, HOW_MANY, BATCHES):
        rng = random.Random(number)
        path.write_bytes(mutant(rng.choice(originals), rng))
        began = cpu_s()
        try:
            drawing, _ = pdf.read(path, silence_s=SILENCE_S)
            drawing, _ = decide_scale(drawing)
        except InputError as error:
            sentence = str(error)
            outcomes["sentence"] += 1
        else:
            sentence = path.name
            assert np.isfinite(drawing.lines.segments).all(), f"mutant {number}"
            assert np.isfinite(drawing.lines.arcs).all(), f"mutant {number}"
            assert len(drawing.lines) or drawing.picture is not None, f"mutant {number}"
            outcomes["drawing"] += 1
        assert path.name in sentence, f"mutant {number}"
        assert "\n" not in sentence, f"mutant {number}"
        assert cpu_s() - began < LONGEST_S, f"mutant {number}"
    assert sum(outcomes.values()) == len(range(batch, HOW_MANY, BATCHES))
    print(f"batch {batch}: {outcomes}")
