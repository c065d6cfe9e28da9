"""A stroke font of our own, for sheets whose letters are lines: capitals and figures on a grid of 4 × 6."""

from __future__ import annotations

Point = tuple[float, float]

_GLYPHS = {
    "A": "00 26 40|12 32",
    "B": "00 06 36 45 44 33 03|33 42 41 30 00",
    "C": "45 36 16 05 01 10 30 41",
    "D": "00 06 26 44 42 20 00",
    "E": "46 06 00 40|03 33",
    "F": "46 06 00|03 33",
    "G": "45 36 16 05 01 10 30 41 43 23",
    "H": "00 06|40 46|03 43",
    "I": "20 26",
    "J": "46 41 30 10 01",
    "K": "00 06|46 03 40",
    "L": "06 00 40",
    "M": "00 06 23 46 40",
    "N": "00 06 40 46",
    "O": "10 01 05 16 36 45 41 30 10",
    "P": "00 06 36 45 44 33 03",
    "Q": "10 01 05 16 36 45 41 30 10|22 40",
    "R": "00 06 36 45 44 33 03|23 40",
    "S": "45 36 16 05 04 13 33 42 41 30 10 01",
    "T": "06 46|26 20",
    "U": "06 01 10 30 41 46",
    "V": "06 20 46",
    "W": "06 10 23 30 46",
    "X": "00 46|06 40",
    "Y": "06 23 46|23 20",
    "Z": "06 46 00 40",
    "0": "10 01 05 16 36 45 41 30 10",
    "1": "15 26 20",
    "2": "05 16 36 45 44 00 40",
    "3": "06 46 23 33 42 41 30 10 01",
    "4": "30 36 02 42",
    "5": "46 06 04 34 43 41 30 10 01",
    "6": "45 36 16 05 01 10 30 41 42 33 03",
    "7": "06 46 10",
    "8": "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
    "9": "01 10 30 41 45 36 16 05 04 13 43",
    ".": "20 21",
    ":": "21 22|24 25",
    "'": "26 25",
    "@": "32 12 14 34 31 41 45 36 16 05 01 10 30",
}
_WIDE = 6.0


def strokes(text: str) -> tuple[list[list[Point]], float]:
    """(polylines of the letters, width of the text), where capitals are 1 high and the text begins
    at 0, 0. What the font does not know is a blank."""
    found: list[list[Point]] = []
    for n, letter in enumerate(text.upper()):
        for run in _GLYPHS.get(letter, "").split("|"):
            points = [((n * _WIDE + int(p[0])) / 6.0, int(p[1]) / 6.0) for p in run.split()]
            if points:
                found.append(points)
    return found, max(1, len(text)) * _WIDE / 6.0
