"""Text: codes decoded to plain words, and the middle of the box they fill."""

from __future__ import annotations

import math
import re
from typing import Any

from ezdxf.tools.text import fast_plain_mtext, plain_text

from takeoff.files.from_outside import clean
from takeoff.readers.dxf.dxf_log import Log

LETTER_WIDTH = 0.65
"""Mean width of a letter in letter heights. Common practice, no source: only the place of a
label's middle depends on it."""
LINE_STEP = 5.0 / 3.0
"""Distance of MTEXT lines in letter heights at factor 1."""
MOST_LETTERS = 20_000
CODES = ("\\", "{", "}", "^", "%%", "\t", "\n")
"""Text without any of these is plain already, as most is."""
RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_RAISED_STACK = re.compile(r"\\S([^;\\]*)\^\s*;")
_POWER = re.compile(r"\^([0-9])")
"""A caret before a figure is no control code: 12 m^2."""
_NUMBERED = re.compile(r"%%(\d{3})")
_UNICODE = re.compile(r"\\U\+([0-9A-Fa-f]{4})")


def plain(raw: str, log: Log, many_lines: bool = False) -> str:
    """The words of TEXT (or MTEXT, lines joined by a line feed) without control codes."""
    raw = log.words_in(raw, MOST_LETTERS)
    if not any(mark in raw for mark in CODES):
        return raw.strip()
    raw = _NUMBERED.sub(_numbered, _UNICODE.sub(_letter, raw))
    if many_lines:
        raw = _RAISED_STACK.sub(lambda m: m.group(1).strip().translate(RAISED), raw)
        raw = _POWER.sub(_raised, raw)
        text = str(fast_plain_mtext(raw, split=False))
        text = plain_text(text) if "%%" in text else text
    else:
        text = plain_text(_POWER.sub(_raised, raw))
    # The codes can stand for control characters, which no sheet can show.
    return "\n".join(line.strip() for line in clean(text).split("\n")).strip()


def _letter(m: re.Match[str]) -> str:
    code = int(m.group(1), 16)
    return "�" if 0xD800 <= code < 0xE000 else chr(code)


def _raised(m: re.Match[str]) -> str:
    return m.group(1).translate(RAISED)


def _numbered(m: re.Match[str]) -> str:
    """%%178 is letter 178 of Western European."""
    code = int(m.group(1))
    return bytes([code]).decode("cp1252", "replace") if 32 <= code < 256 else m.group()


def text_middle(ns: dict[str, Any], text: str) -> tuple[float, float]:
    """The middle of a TEXT's box from its anchor, alignment, height and rotation."""
    height = float(ns.get("height", 1.0))
    across, up = int(ns.get("halign", 0)), int(ns.get("valign", 0))
    insert, align = ns["insert"], ns.get("align_point")
    if across in (3, 5) and align is not None:
        direction = math.atan2(align.y - insert.y, align.x - insert.x)
        x, y = (insert.x + align.x) / 2, (insert.y + align.y) / 2
        return x - math.sin(direction) * height / 2, y + math.cos(direction) * height / 2
    anchor = align if (across or up) and align is not None else insert
    width = len(text) * LETTER_WIDTH * height * float(ns.get("width", 1.0))
    dx = {0: 0.5, 1: 0.0, 2: -0.5, 4: 0.0}.get(across, 0.5) * width
    dy = 0.0 if across == 4 else {0: 0.5, 1: 0.5, 2: 0.0, 3: -0.5}.get(up, 0.5) * height
    return moved(anchor.x, anchor.y, dx, dy, float(ns.get("rotation", 0.0)))


def mtext_middle(ns: dict[str, Any], text: str, rotation_deg: float) -> tuple[float, float]:
    """The middle of an MTEXT's box from its anchor, attachment, width and number of lines."""
    height = float(ns.get("char_height", 1.0))
    lines = text.split("\n")
    column = float(ns.get("width", 0.0) or 0.0)
    widest = max(len(line) for line in lines) * LETTER_WIDTH * height
    count = len(lines)
    if 0.0 < column < widest:
        count = sum(max(1, math.ceil(len(line) * LETTER_WIDTH * height / column)) for line in lines)
        widest = column
    tall = height * (1.0 + (count - 1) * LINE_STEP * float(ns.get("line_spacing_factor", 1.0)))
    place = int(ns.get("attachment_point", 1)) - 1
    across, up = place % 3, place // 3
    dx = (0.5, 0.0, -0.5)[across] * widest
    dy = (-0.5, 0.0, 0.5)[min(max(up, 0), 2)] * tall
    return moved(ns["insert"].x, ns["insert"].y, dx, dy, rotation_deg)


def moved(x: float, y: float, dx: float, dy: float, rotation_deg: float) -> tuple[float, float]:
    c, s = math.cos(math.radians(rotation_deg)), math.sin(math.radians(rotation_deg))
    return x + c * dx - s * dy, y + s * dx + c * dy
