"""What is typed into the table of readings, read and shown again."""

from __future__ import annotations

import re
from typing import Literal

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import ReadDiagonal, ReadSide
from takeoff.plan.readings.walked_outline import MOST_CORNERS, corner_name
from takeoff.units.lengths import CEILING_HEIGHT, DEPTH, LENGTH, SILL, Size, parse_length, size_mm
from takeoff.units.printing import printed

Unit = Literal["m", "ft"]

LONGEST_MM = 200_000.0
"""A longer side is a slip of the keys."""

_SAME_MM = 1e-6

_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_TURN = re.compile(r"(?P<way>[lr]|left|right)?\s*(?P<rest>s|sq|square|\?|\d+(?:[.,]\d+)?\s*°?)?", re.IGNORECASE)

TurnKind = Literal["about", "square", "read", "free"]


def height(text: str, unit: Unit = "m") -> float | None:
    """As ``length``, from floor to ceiling somewhere."""
    return length(text, unit, CEILING_HEIGHT)


def length(text: str, unit: Unit = "m", size: Size = LENGTH) -> float | None:
    """mm above nought; None for an empty cell. Bare numbers are read as everywhere. Raises InputError."""
    if not text.strip():
        return None
    value = _one(text.strip(), unit, size)
    if not 0.0 < value <= LONGEST_MM:
        raise InputError(tr("“{text}” is not a length of a room: type it like 3.45, 3450 or 11'4\".", text=text))
    return value


def depth(text: str, unit: Unit = "m") -> float | None:
    """As ``length``, for reveals and thicknesses, where 0 is one too."""
    return small_length(text, unit, DEPTH)


def small_length(text: str, unit: Unit = "m", size: Size = SILL) -> float | None:
    """As ``length``, for sills and what else may be 0. Raises InputError for what the thing cannot be."""
    cleaned = text.strip()
    if not cleaned:
        return None
    bare = _BARE.fullmatch(cleaned)
    if bare and float(cleaned.replace(",", ".")) == 0.0:
        return 0.0
    if unit == "m":
        return size_mm(cleaned, size)
    return length(cleaned, unit)


def shown(mm: float | None, unit: Unit = "m") -> str:
    """A length as it would be typed, so that it reads back as it is; "" for None. What was typed in metres
    among feet, and is no clean number of inches, stays in metres."""
    if mm is None:
        return ""
    if unit == "m":
        return _plain(mm / 1000.0, 6) if mm < LENGTH.high_mm else _plain(mm, 3)
    feet = int(mm / 304.8 + 1e-9)
    inches = _plain((mm - feet * 304.8) / 25.4, 5)
    text = f"{feet}'{inches}\"" if feet else f'{inches}"'
    return text if abs(parse_length(text) - mm) < _SAME_MM else f"{_plain(mm / 1000.0, 6)} m"


def turn(text: str, way: int = -1) -> tuple[float, TurnKind]:
    """(degrees, to the left positive; how it is known). Empty: about a right angle.

    "L", "R": about; "L sq": said to be square; "R 45": turns right by 45°, read; "135": the corner
    inside the room, read (``way``: −1 walked clockwise); "L ?": follows from the diagonals.
    """
    match = _TURN.fullmatch(text.strip())
    if match is None:
        raise InputError(tr("“{text}” is not a turn: type L or R, L sq, R 45, the corner's angle, or R ?.", text=text))
    letter, rest = (match["way"] or "").lower()[:1], (match["rest"] or "").lower()
    sign = {"l": 1, "r": -1, "": way}[letter]
    if not rest:
        return 90.0 * sign, "about"
    if rest == "?":
        return 90.0 * sign, "free"
    if rest in ("s", "sq", "square"):
        return 90.0 * sign, "square"
    angle = float(rest.rstrip("° ").replace(",", "."))
    by = angle * sign if letter else (180.0 - angle) * way
    if not -175.0 <= by <= 175.0:
        raise InputError(tr("“{text}” turns back on itself: type how far the wall turns, like R 45.", text=text))
    return by, "read"


def turn_shown(side: ReadSide) -> str:
    """A turn as it would be typed."""
    letter = "L" if side.turn_deg > 0 else "R"
    if side.turn == "read":
        return f"{letter} {_plain(abs(side.turn_deg), 3)}"
    return letter + {"about": "", "square": " sq", "free": " ?"}[side.turn]


def running(text: str, unit: Unit = "m") -> tuple[tuple[tuple[float, float], ...], float | None]:
    """((jamb, jamb) of each opening, the wall's end or None) of running dimensions from one corner.

    "0, 850, 2050, 3600": a window from 850 to 2050 in a wall of 3600. A leading 0 is the corner; an
    odd number of the others ends with the wall's end. Empty: nothing. Raises InputError where they
    do not grow.
    """
    parts = [part for part in _parts(text) if part]
    values = [0.0 if _is_nought(part) else _one(part, unit) for part in parts]
    if values and values[0] == 0.0:
        values = values[1:]
    for before, after in zip([0.0, *values], values, strict=False):
        if after <= before:
            raise InputError(
                tr(
                    "“{text}”: running dimensions grow from the corner, {first} first; check {next}.",
                    text=text,
                    first=parts[0],
                    next=shown(after, unit),
                )
            )
    if values and values[-1] > LONGEST_MM:
        raise InputError(tr("“{text}” is longer than any wall: check the last figure.", text=text))
    end = values.pop() if len(values) % 2 else None
    return tuple(zip(values[0::2], values[1::2], strict=True)), end


def running_shown(side: ReadSide, unit: Unit = "m") -> str:
    """Running dimensions as they would be typed."""
    values = [v for o in side.openings for v in (o.from_mm, o.to_mm)]
    values += [side.run_mm] if side.run_mm is not None else []
    return ("; " if unit == "ft" else "  ").join(shown(v, unit) for v in values)


def diagonal(corners: str, text: str, count: int, unit: Unit = "m") -> ReadDiagonal | None:
    """The diagonal between two named corners ("AC"); None where either cell is empty."""
    if not corners.strip() or not text.strip():
        return None
    names = re.findall(r"[A-Z]", corners.upper())
    known = [corner_name(k) for k in range(min(count, MOST_CORNERS))]
    if len(names) != 2 or names[0] == names[1] or not set(names) <= set(known):
        raise InputError(
            tr(
                "“{text}” does not name two corners: type two of {first} to {last}, like AC.",
                text=corners,
                first=known[0],
                last=known[-1],
            )
        )
    a, b = (known.index(name) for name in names)
    return ReadDiagonal(a=a, b=b, length_mm=length(text, unit) or 0.0)


def _parts(text: str) -> list[str]:
    cleaned = text.strip()
    if re.search(r"['\"′″½¼¾]|[a-z]", cleaned, re.IGNORECASE):
        return [part.strip() for part in re.split(r"[;,]\s*", cleaned)]
    if re.search(r"[;\s]", cleaned):
        return re.split(r"[;\s]+|,\s+", cleaned.replace(", ", " ").rstrip(", "))
    # without blanks a comma parts figures unless it can be the only decimal comma
    return cleaned.split(",") if cleaned.count(",") > 1 or "." in cleaned else [cleaned]


def _is_nought(part: str) -> bool:
    return bool(_BARE.fullmatch(part)) and float(part.replace(",", ".")) == 0.0


def _one(part: str, unit: Unit, size: Size = LENGTH) -> float:
    return size_mm(part, size) if unit == "m" else parse_length(part, unit)


def _plain(value: float, places: int) -> str:
    text = f"{printed(value, places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
