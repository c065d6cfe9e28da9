"""Written dimensions: the length their words say, and where it differs from the linework."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from statistics import median
from typing import NamedTuple

from takeoff.drawing.model import Dimension
from takeoff.errors import Finding, InputError, Where
from takeoff.findings import noticed
from takeoff.language import number
from takeoff.units.lengths import UNIT_MM, parse_length
from takeoff.units.printing import shown

WRITING_UNITS = ("mm", "cm", "m", "in", "ft")
"""Units that bare numbers beside dimension lines are written in."""
SAME_SHARE = 0.02
"""A written number within this share of the drawn length speaks of that length. Common practice,
no source: unit factors lie far further apart, wrong figures mostly do too."""
NOISE_MM = 0.5
"""Differences below this are drawing noise, however many zeros are written."""
FAR_OUT_MM = 0.01
"""What a length may lose whose ends lie tens of thousands of kilometres from the origin, as surveyors draw them."""
MOST_SINGLE_FINDINGS = 20
FEWEST_FOR_SCALE = 2

_GLYPHS = str.maketrans({"′": "'", "’": "'", "´": "'", "″": '"', "”": '"', "“": '"'})
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
_FRACTION = r"\d+\s*[/⁄]\s*\d+"
_LENGTH = re.compile(
    rf"(?P<feet>\d+\s*'(?:\s*-?\s*(?:\d+(?:[ -]+{_FRACTION}|\.\d+)?|{_FRACTION})\s*\")?"
    rf"|(?:\d+[ -]+)?{_FRACTION}\s*\"|\d+(?:\.\d+)?\s*\")"
    r"|(?P<named>\d+(?:[.,]\d+)?\s*(?:mm|cm|dm|m|in|ft)\b)"
    r"|(?P<raised>\d+[⁰¹²³⁴⁵⁶⁷⁸⁹])"
    r"|(?P<groups>\d{1,3}(?:[ .,]\d{3})+(?![\d.,]))"
    r"|(?P<bare>\d+(?:[.,]\d+)?)",
    re.IGNORECASE,
)


class Reading(NamedTuple):
    """One way to read a written dimension: the number, half of its last place, and the unit it
    names ("" for none). With a unit both are in mm."""

    number: float
    half_place: float
    unit: str


def readings(words: str) -> tuple[Reading, ...]:
    """Every way to read the one length in a dimension's words; none where it says no length, several
    ("90/210"), or one of more digits than any number has.

    >>> readings("2610.00 REF")
    (Reading(number=2610.0, half_place=0.005, unit=''),)
    """
    return tuple(reading for reading in _readings(words) if math.isfinite(reading.number))


def _readings(words: str) -> tuple[Reading, ...]:
    found = list(_LENGTH.finditer(words.translate(_GLYPHS)))
    if len(found) != 1:
        return ()
    match = found[0]
    said = match.group().strip()
    if match["feet"] or match["named"]:
        return _named(said, "ft" if match["feet"] else re.sub(r"[\d.,\s]", "", said).lower())
    if match["raised"]:
        # Common practice, no source: only centimetres are written with raised millimetres.
        mm = float(said[:-1] + said[-1].translate(_RAISED))
        return (Reading(mm, 0.5, "cm"),)
    if match["groups"]:
        return _grouped(said)
    return (_bare(said),)


def _named(said: str, unit: str) -> tuple[Reading, ...]:
    try:
        mm = parse_length(re.sub(r"\s+-\s*|-\s+", "-", said).replace("⁄", "/"))
    except InputError:
        return ()  # words that only look like a length ("0'-14\"") say none
    if unit == "ft":
        bottom = re.search(r"/\s*(\d+)", said)
        return (Reading(mm, UNIT_MM["in"] / (2.0 * int(bottom.group(1)) if bottom else 2.0), unit),)
    return (Reading(mm, _half_place(said) * UNIT_MM[unit], unit),)


def _grouped(said: str) -> tuple[Reading, ...]:
    """3 450 is one number; 3.450 or 3,450 may be thousands or three places."""
    whole = Reading(float(re.sub(r"[ .,]", "", said)), 0.5, "")
    if " " in said or len(re.findall(r"[.,]", said)) > 1:
        return (whole,)
    return (_bare(said), whole)


def _bare(said: str) -> Reading:
    return Reading(float(said.replace(",", ".")), _half_place(said), "")


def _half_place(said: str) -> float:
    places = re.search(r"[.,](\d+)", said)
    return 0.5 * 10.0 ** -(len(places.group(1)) if places else 0)


def says(reading: Reading, length_mm: float, writing: tuple[str, ...]) -> tuple[float, float, str] | None:
    """The written mm, half its last place in mm and its unit, if it can speak of this length."""
    for unit in (reading.unit,) if reading.unit else writing:
        factor = 1.0 if reading.unit else UNIT_MM[unit]
        if abs(reading.number * factor - length_mm) <= SAME_SHARE * length_mm:
            return reading.number * factor, reading.half_place * factor, unit
    return None


def writing_units(dimensions: tuple[Dimension, ...], unit_mm: float) -> tuple[str, ...]:
    """The units that this drawing's bare numbers are written in, the most frequent first.

    Several where short dimensions are written in cm and long ones in m. One stray match does not
    make a unit while others have more than five.
    """
    votes = dict.fromkeys(WRITING_UNITS, 0)
    for d in dimensions:
        for r in readings(d.text):
            said = None if r.unit else says(r, d.length * unit_mm, WRITING_UNITS)
            if said is not None:
                votes[said[2]] += 1
                break
    most = max(votes.values())
    ranked = sorted((u for u in votes if votes[u] and votes[u] * 5 >= most), key=lambda u: -votes[u])
    return tuple(ranked)


def written_mm(d: Dimension, length_mm: float, writing: tuple[str, ...]) -> tuple[float, float] | None:
    """What a dimension says in mm and half its last place: the reading nearest to the drawn length."""
    options = []
    for r in readings(d.text):
        for unit in (r.unit,) if r.unit else writing:
            factor = 1.0 if r.unit else UNIT_MM[unit]
            # Feet are rounded in the drawing's inches, everything else as it is written.
            step = d.step * UNIT_MM["in" if unit == "ft" else unit]
            options.append((r.number * factor, max(r.half_place * factor, step / 2.0)))
    return min(options, key=lambda o: abs(o[0] - length_mm), default=None)


def check_dimensions(
    dimensions: tuple[Dimension, ...], writing: tuple[str, ...], names: tuple[str, ...]
) -> tuple[Finding, ...]:
    """A finding for each dimension (in mm) whose words differ from its length by more than the
    rounding of what is written, with its place; beyond 20 they are summed up."""
    found = _fit_nothing(dimensions, writing)
    for d in dimensions:
        said = written_mm(d, d.length, writing)
        if said is None or abs(said[0] - d.length) <= max(said[1], NOISE_MM) + FAR_OUT_MM:
            continue
        found.append(
            noticed(
                "dimension-differs",
                Where(
                    x_mm=(d.x0 + d.x1) / 2,
                    y_mm=(d.y0 + d.y1) / 2,
                    handle=d.handle or None,
                    layer=names[d.layer] if 0 <= d.layer < len(names) else None,
                ),
                text=repr(d.text),
                written_mm=shown(said[0]),
                drawn_mm=shown(d.length),
            )
        )
    more = len(found) - MOST_SINGLE_FINDINGS
    if more > 0:
        found = [*found[:MOST_SINGLE_FINDINGS], noticed("dimension-differs/more", count=more)]
    return tuple(found)


def _fit_nothing(dimensions: tuple[Dimension, ...], writing: tuple[str, ...]) -> list[Finding]:
    """One finding where bare numbers fit the drawn lengths in no unit at all, with their ratio: the
    drawing may be made to the scale of a sheet."""
    bare = [
        (r[0].number / d.length, d)
        for d in dimensions
        if d.length > NOISE_MM and (r := readings(d.text)) and not r[0].unit
    ]
    if writing or len(bare) < FEWEST_FOR_SCALE:
        return []
    ratio, first = median(q for q, _ in bare), bare[0][1]
    return [
        noticed(
            "dimensions-fit-no-unit",
            Where(x_mm=(first.x0 + first.x1) / 2, y_mm=(first.y0 + first.y1) / 2),
            count=len(bare),
            ratio=number(Decimal(f"{ratio:.4g}")),
        )
    ]
