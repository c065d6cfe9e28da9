"""Damaged pictures by the dozen: each opens or is refused in one sentence, never with a traceback.

TAKEOFF_MUTANTS=500 makes the campaign longer.
"""

from __future__ import annotations

import os
import random
from io import BytesIO
from pathlib import Path

import numpy as np
from cpu import cpu_s
from PIL import Image

from takeoff.errors import InputError
from takeoff.readers import picture

HOW_MANY = int(os.environ.get("TAKEOFF_MUTANTS", "10"))
LONGEST_S = 20.0


def everything() -> list[bytes]:
    """Small pictures of the usual kinds, with an orientation and a palette among them."""
    noise = Image.fromarray(np.random.default_rng(3).integers(0, 255, (40, 60, 3), np.uint8))
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "camera"
    made = []
    for image, kind, more in (
        (noise, "PNG", {"exif": exif}),
        (noise.convert("P"), "PNG", {}),
        (noise, "JPEG", {"exif": exif}),
        (noise.convert("CMYK"), "JPEG", {}),
        (noise, "TIFF", {"compression": "tiff_lzw"}),
        (noise.convert("1"), "TIFF", {"compression": "group4"}),
        (noise, "TIFF", {"dpi": (300, 300)}),
    ):
        stream = BytesIO()
        image.save(stream, kind, **more)
        made.append(stream.getvalue())
    return made


def mutant(data: bytes, rng: random.Random) -> bytes:
    """One to five faults, most of them in the first bytes, where sizes and kinds are."""
    for _ in range(rng.randint(1, 5)):
        at = rng.randrange(len(data)) if rng.random() < 0.5 else rng.randrange(min(len(data), 300))
        kind = rng.choice(["byte", "bytes", "cut", "double"])
        if kind == "byte":
            data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
        elif kind == "bytes":
            data = data[:at] + rng.randbytes(rng.randint(1, 12)) + data[at + rng.randint(0, 12) :]
        elif kind == "cut":
            data = data[: max(at, 1)]
        else:
            data = data[:at] + data[at : at + rng.randint(1, 60)] * 2 + data[at:]
    return data


def test_mutated_pictures_open_or_are_refused_in_a_sentence(tmp_path: Path) -> None:
    originals = everything()
    path = tmp_path / "mutant.png"
    outcomes = {"picture": 0, "sentence": 0}
    for number in range(HOW_MANY):
        rng = random.Random(number)
        path.write_bytes(mutant(rng.choice(originals), rng))
        began = cpu_s()
        try:
            drawing, _ = picture.read(path)
            upright = picture.upright(path)
        except InputError as error:
            sentence = str(error)
            outcomes["sentence"] += 1
        else:
            sentence = path.name
            assert drawing.picture is not None, f"mutant {number}"
            assert upright.size == (drawing.picture.width_px, drawing.picture.height_px), f"mutant {number}"
            assert upright.mode in ("L", "RGB"), f"mutant {number}"
            outcomes["picture"] += 1
        assert path.name in sentence, f"mutant {number}"
        assert "\n" not in sentence, f"mutant {number}"
        assert cpu_s() - began < LONGEST_S, f"mutant {number}"
    assert sum(outcomes.values()) == HOW_MANY
    print(outcomes)
