"""What every saved record is made of: its base, ids, where a figure is from, rings."""

from __future__ import annotations

from typing import Literal, NewType

import msgspec

Source = Literal["drawn", "figured", "typed", "site", "assumed"]
Confidence = Literal["sure", "check", "question"]

StoreyId = NewType("StoreyId", str)
RoomId = NewType("RoomId", str)
SideId = NewType("SideId", str)
RegionId = NewType("RegionId", str)
OpeningId = NewType("OpeningId", str)
WallTypeId = NewType("WallTypeId", str)
DrawingId = NewType("DrawingId", str)

Vertex = tuple[float, float, float]
"""[x_mm, y_mm, bulge of the side that starts here]"""

Ring = tuple[Vertex, ...]


class Value(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Base of every saved record: frozen, strict, compared by value."""
