"""Sizes of rooms as they are written in them: "3.50 x 4.20 m", "10' x 12'6\""."""

from __future__ import annotations

import re

FOOT_MM, INCH_MM = 304.8, 25.4
_FEET = r"(\d{1,2})\s*['’′]\s*-?\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:''|[\"”″’′'])?)?"
_BY = r"\s*[x×X*]\s*"
_FEET_BY_FEET = re.compile(rf"^{_FEET}{_BY}{_FEET}$")
_FIGURE = r"(\d{1,2}(?:[.,]\d{1,2})?)"
_METRES_BY_METRES = re.compile(rf"^{_FIGURE}\s*m?{_BY}{_FIGURE}\s*(m?)$", re.IGNORECASE)


def size_in(text: str) -> tuple[float, float] | None:
    """Both sides in mm of a room whose size is written in feet and inches, or in metres; None for other texts.

    Figures without a point are metres only where that is said: cables are 3 x 2.5.

    >>> size_in("10' x 15'"), size_in("4,20 x 3.5 m"), size_in("6 X 5.5 M")
    ((3048.0, 4572.0), (4200.0, 3500.0), (6000.0, 5500.0))
    >>> size_in("3 x 2.5"), size_in("900 x 2100")
    (None, None)
    """
    text = " ".join(text.split())
    feet = _FEET_BY_FEET.match(text)
    if feet is not None:
        a, b, c, d = (float(part or 0.0) for part in feet.groups())
        return a * FOOT_MM + b * INCH_MM, c * FOOT_MM + d * INCH_MM
    metres = _METRES_BY_METRES.match(text)
    if metres is not None and (metres[3] or not (metres[1].isdigit() or metres[2].isdigit())):
        return float(metres[1].replace(",", ".")) * 1000.0, float(metres[2].replace(",", ".")) * 1000.0
    return None
